"""Archives of hand-ins, opened in memory and within limits."""

from __future__ import annotations

import io
import re
import stat
import unicodedata
import zipfile
from collections.abc import Iterator
from dataclasses import dataclass
from typing import BinaryIO

from exercises.marking.hand_in import NotReadable
from exercises.marking.limits import (
    MOST_BYTES,
    MOST_DIRECTORY,
    MOST_IN_ARCHIVE,
    MOST_IN_INNER,
    MOST_MEMBERS,
    MOST_RATIO,
    MOST_UNPACKED,
)
from exercises.marking.reader import too_large

# --- archives ---------------------------------------------------------------------------------


@dataclass(frozen=True)
class Member:
    """A file in an archive: its bytes, or the reason why they are not read."""

    name: str
    data: bytes
    size: int
    fault: str
    dated: tuple[int, int, int, int, int, int]


_RESERVED = re.compile(r"(?:con|prn|aux|nul|com[0-9]|lpt[0-9])(?:\..*)?", re.IGNORECASE)


def is_archive(head: bytes) -> bool:
    """Tell whether a file begins as a zip does."""
    return head[:4] in (b"PK\x03\x04", b"PK\x05\x06")


def left_by_a_program(name: str) -> bool:
    """Tell whether a file was left by a program and was never meant as a hand-in."""
    parts = name.replace("\\", "/").split("/")
    return parts[-1] in (".DS_Store", "Thumbs.db", "desktop.ini") or any(
        part in ("__MACOSX", ".ipynb_checkpoints") for part in parts
    )


# By what stands in them, the documents that are archives inside.
_DOCUMENTS = (
    ("word/", "a word processor's file"),
    ("xl/", "a spreadsheet"),
    ("ppt/", "a set of slides"),
    ("Index/", "a word processor's file"),
)


def _document(infos: list[zipfile.ZipInfo]) -> str:
    """Return what document an archive is in truth; empty where it is a plain one."""
    names = {info.filename for info in infos}
    own = "[Content_Types].xml" in names or any(n.endswith(".iwa") for n in names)
    if own or infos[0].filename == "mimetype":
        for begins, what in _DOCUMENTS:
            if any(name.startswith(begins) for name in names):
                return what
        return "a document of an office program"
    return ""


@dataclass
class Budget:
    """How much may still be unpacked from an archive and all archives in it.

    Parameters
    ----------
    size : int
        Bytes.
    members : int
        Files.
    """

    size: int
    members: int = MOST_MEMBERS

    @property
    def spent(self) -> bool:
        """Whether more was asked for than there was."""
        return self.size < 0 or self.members < 0

    def take(self, size: int) -> bool:
        """Take one file of so many bytes; return whether there was room for it."""
        self.size -= size
        self.members -= 1
        return not self.spent


class Archive:
    """A zip that is read in memory, member by member, and unpacked nowhere.

    Parameters
    ----------
    file : binary file
        Open for reading, with ``seek``.

    Raises
    ------
    FaultsError
        Never; ``fault`` says why the archive as a whole can't be read.
    """

    def __init__(self, file: BinaryIO) -> None:
        self.fault, self._file = "", file
        self._zip: zipfile.ZipFile | None = None
        self._infos: list[zipfile.ZipInfo] = []
        try:
            self._check_directory(file)
            self._zip = zipfile.ZipFile(file)
            infos = [i for i in self._zip.infolist() if not i.is_dir()]
            if len(infos) > MOST_MEMBERS:
                raise NotReadable(f"It holds more than {MOST_MEMBERS} files.")
            if not infos:
                raise NotReadable("It is an archive with nothing in it.")
            if what := _document(infos):
                raise NotReadable(f"It is {what}, not a hand-in. Look at it by hand.")
            self._infos = infos
        except NotReadable as reason:
            self.fault = str(reason)
        except Exception:  # a hostile directory can raise nearly anything
            self.fault = "It is an archive that is damaged. Ask for it again."
        self._seen: dict[str, int] = {}
        for place, info in enumerate(self._infos):
            self._seen.setdefault(self._folded(info.filename), place)

    @staticmethod
    def _check_directory(file: BinaryIO) -> None:
        """Refuse a directory of members that alone would take seconds to read."""
        end = file.seek(0, io.SEEK_END)
        file.seek(max(0, end - 66_000))
        tail = file.read()
        place = tail.rfind(b"PK\x05\x06")
        size = int.from_bytes(tail[place + 12 : place + 16], "little")
        large = tail[place - 20 : place - 16] == b"PK\x06\x07"  # for huge archives
        if place >= 0 and (size > MOST_DIRECTORY or large):
            raise NotReadable(f"It holds more than {MOST_MEMBERS} files.")
        file.seek(0)

    @staticmethod
    def _folded(name: str) -> str:
        return unicodedata.normalize("NFC", name.replace("\\", "/")).casefold()

    def __len__(self) -> int:
        return len(self._infos)

    def close(self) -> None:
        """Let the archive go."""
        if self._zip is not None:
            self._zip.close()
        self._file.close()

    def members(
        self, start: int = 0, stop: int | None = None, budget: Budget | None = None
    ) -> Iterator[Member]:
        """Yield the members from start to stop; each in memory, one at a time.

        Once the budget is spent, one member says so for all that are left.
        """
        budget = budget or Budget(MOST_IN_ARCHIVE)
        for place, info in enumerate(self._infos[start:stop], start):
            if budget.spent:
                return
            name = info.filename.encode("utf-8", "backslashreplace").decode()
            fault = self._hostile(place, info)
            data = b""
            if not fault:
                try:
                    data, fault = self._bytes(info)
                except Exception:  # zlib, zipfile and struct each raise their own
                    fault = "It is damaged inside the archive. Ask for it again."
            if not budget.take(len(data)):
                data, fault = (
                    b"",
                    (
                        "The archive unpacks to far more than a pile of hand-ins. Neither "
                        "this file nor any after it was read."
                    ),
                )
            yield Member(name, data, info.file_size, fault, info.date_time)

    def _hostile(self, place: int, info: zipfile.ZipInfo) -> str:
        name = info.filename.replace("\\", "/")
        parts = name.split("/")
        if name.startswith("/") or ".." in parts or re.match(r"[A-Za-z]:", name):
            return "Its name points outside the archive."
        if any(_RESERVED.fullmatch(part.rstrip(" .")) for part in parts):
            return "Its name is reserved by some systems."
        if any(unicodedata.category(c)[0] == "C" for c in name):
            return "Its name holds an invisible character."
        if len(name) > 400:
            return "Its name is far too long."
        if stat.S_ISLNK(info.external_attr >> 16):
            return "It is a link, not a file."
        if info.flag_bits & 1:
            return "It is locked with a password. Ask for it without."
        if info.compress_type not in (zipfile.ZIP_STORED, zipfile.ZIP_DEFLATED):
            return "It is packed in a way that is not opened."
        if self._seen.get(self._folded(info.filename)) != place:
            return "Another file of the archive has the same name."
        return ""

    def _bytes(self, info: zipfile.ZipInfo) -> tuple[bytes, str]:
        inner = info.filename.lower().endswith(".zip")
        most = MOST_IN_INNER if inner else MOST_BYTES
        if info.file_size > most:
            return b"", too_large(info.file_size)
        if info.file_size > MOST_UNPACKED and (
            info.file_size > MOST_RATIO * max(1, info.compress_size)
        ):
            return b"", "It unpacks to hundreds of times its size."
        assert self._zip is not None
        with self._zip.open(info) as file:
            data = file.read(most + 1)
        return (data, "") if len(data) <= most else (b"", too_large(len(data)))


def open_archive(data: bytes) -> Archive:
    """Open an archive that lies inside another one."""
    return Archive(io.BytesIO(data))
