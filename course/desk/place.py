"""Where a desk's work lies: one folder for one school and year, and one desk to it at a time."""

from __future__ import annotations

import json
import os
import re
import unicodedata
from dataclasses import dataclass
from pathlib import Path

from calculators.faults import fault_error

LOCK = ".glossbook-desk.json"
_FAR = ("nfs", "cifs", "smb", "afp", "9p", "sshfs", "webdav", "davfs", "ncp", "afs")


@dataclass(frozen=True)
class _In:
    """What lies in a place under a name of its own."""

    name: str

    def __get__(self, place: Place, kind: type[Place]) -> Path:
        return place.folder / self.name


@dataclass(frozen=True)
class Place:
    """The folder of a school's work, and what lies where in it.

    Parameters
    ----------
    folder : Path
        Everything else lies in here.
    """

    folder: Path

    scheme = _In("scheme.toml")
    class_list = _In("class.csv")
    book = _In("class.db")
    site = _In("site")  # the students' course
    lecturer_site = _In("site-lecturer")  # with the lecturer's notes
    sheets = _In("sheets")  # drafts, sheets and mark schemes
    hand_ins = _In("hand-ins")  # a folder for each time that something came in
    reports = _In("reports")  # letters, class reports and tables
    observing = _In("observing")  # observation sheets, and what came back of them
    plan = _In("practical.html")


def file_name(text: str) -> str:
    r"""Return a name under which a file that somebody sent can be kept in a folder.

    >>> file_name("../../etc/passwd"), file_name("C:\\temp\\a b.json"), file_name("")
    ('passwd', 'a b.json', 'unnamed')
    """
    last = re.split(r"[/\\]", unicodedata.normalize("NFC", text))[-1]
    kept = "".join(c for c in last if c.isprintable() and c not in '<>:"|?*').strip(" .")
    return kept[-120:] or "unnamed"


def free(path: Path) -> Path:
    """Return a path, or the first like it that is still free."""
    found, n = path, 2
    while found.exists():
        found, n = path.with_name(f"{n} {path.name}"), n + 1
    return found


def refuse_a_share(folder: Path) -> None:
    """Refuse a folder on a network share: two machines would write one mark book.

    Raises
    ------
    FaultsError
        With the kind of the share, and what to do.
    """
    kind = _far_away(folder)
    if kind:
        raise fault_error(
            str(folder),
            "is on a network share",
            kind,
            "A mark book on a share can be damaged where two machines write in it",
            "Keep the folder on this machine, and copy a backup to the share",
        )


def _far_away(folder: Path) -> str:
    """Return the kind of file system where it is that of a share; empty otherwise."""
    whole = str(folder.resolve())
    if whole.startswith("\\\\"):
        return "a folder of another machine"
    mounts = Path("/proc/mounts")
    if not mounts.exists():
        return ""
    best, kind = "", ""
    for row in mounts.read_text(encoding="utf-8", errors="replace").splitlines():
        _, where, what, *_ = row.split(" ")
        where = where.replace("\\040", " ")
        if (whole + "/").startswith(where.rstrip("/") + "/") and len(where) >= len(best):
            best, kind = where, what
    return kind if any(kind.removeprefix("fuse.").startswith(far) for far in _FAR) else ""


class OneDesk:
    """Holds a folder for one desk; a second one is told where the first is.

    Parameters
    ----------
    place : Place
        The folder, which is there.
    address : str
        Where this desk answers.
    """

    def __init__(self, place: Place, address: str) -> None:
        self.path = place.folder / LOCK
        text = json.dumps({"pid": os.getpid(), "address": address})
        for _ in range(2):
            try:
                with self.path.open("x", encoding="utf-8") as file:
                    file.write(text)
                return
            except FileExistsError:
                other = self._other()
                if other:
                    raise fault_error(
                        str(place.folder),
                        "is open at another desk on this machine",
                        other,
                        "One desk at a time works on a folder",
                        "Go on there, or close that one first",
                    ) from None
                self.path.unlink(missing_ok=True)  # left behind by one that was killed

    def _other(self) -> str:
        try:
            held = json.loads(self.path.read_text(encoding="utf-8"))
            os.kill(int(held["pid"]), 0)
        except PermissionError:
            return "of another person"
        except (OSError, ValueError, KeyError, TypeError):
            return ""
        return str(held.get("address", ""))

    def let_go(self) -> None:
        """Give the folder free."""
        self.path.unlink(missing_ok=True)
