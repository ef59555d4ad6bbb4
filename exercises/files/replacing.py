"""Nothing is overwritten that Glossbook did not make: one check, and one way to say so."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from itertools import chain, islice
from pathlib import Path

from calculators.faults import fault_error

LOOKED_AT = 4000  # bytes of a file by which it is known
MARK = ".glossbook"  # lies in a folder that a command of ours made
_LITTER = {".DS_Store", "Thumbs.db", "desktop.ini", MARK}
_STEP = "Name a new one with {option}, or move what is there to another place"
_TOKENS = b"--bench:"  # a name of the stylesheet that every page of ours carries


def _is_page(begins: bytes) -> bool:
    """Tell whether a file begins as the pages of ours do."""
    return begins.startswith(b"<!doctype html") and _TOKENS in begins


# Each kind that a command writes to a place somebody names, and how its files are known;
# what is made only once is never replaced.
KINDS: dict[str, Callable[[bytes], bool]] = {
    "page": _is_page,
    "calendar": lambda begins: begins.startswith(b"begin:vcalendar") and b"glossbook" in begins,
    "data": lambda begins: begins.startswith(b"{") and b'"decisions"' in begins[:60],
    "list of receipts": lambda begins: False,
    "scheme": lambda begins: False,
}


def may_replace(path: Path, kind: str, option: str = "--out") -> Path:
    """Return a path that may be written; refuse one that holds something else.

    Parameters
    ----------
    path : Path
        The file that is to be written.
    kind : str
        One of :data:`KINDS`.
    option : str
        With which another name is given.

    Raises
    ------
    FaultsError
        If there is a folder, a mark book, a scheme or any other thing of another kind.
    """
    if path.is_dir():
        raise _refused(path, f"is a folder and not a {kind}", "", option)
    begins = _beginning(path)
    if begins.strip() and not KINDS[kind](begins):
        raise _refused(path, f"is there already, and is no {kind} that may be replaced", "", option)
    return path


def may_fill(folder: Path, option: str = "--out") -> Path:
    """Return a folder into which files may be written; refuse one that is somebody's own.

    Parameters
    ----------
    folder : Path
        New, empty, or made by a command before: then it holds the mark of one, or a page
        of ours.
    option : str
        With which another name is given.
    """
    held = only_a_folder(folder, option)
    ours = (folder / MARK).exists() or any(
        _is_page(_beginning(path))
        for path in islice(chain(folder.glob("*.html"), folder.glob("*/*.html")), 100)
    )
    if held and not ours:
        raise holds_others(folder, held, "command", option)
    return folder


def mark_as_ours(folder: Path) -> None:
    """Put the mark into a folder that a command has filled, and into no empty one."""
    if folder.is_dir() and only_a_folder(folder):
        (folder / MARK).write_text(
            "Glossbook made this folder and may replace what it put there.\n", encoding="utf-8"
        )


def only_a_folder(folder: Path, option: str = "--out") -> list[str]:
    """Return what lies in a folder; refuse a file in its place."""
    if folder.exists() and not folder.is_dir():
        raise _refused(folder, "is a file and not a folder", "", option)
    held = {path.name for path in folder.iterdir()} if folder.exists() else set()
    return sorted(held - _LITTER)


def holds_others(
    folder: Path, names: Sequence[str], maker: str, option: str = "--out"
) -> Exception:
    """Return the fault of a folder with files that no ``maker`` put there."""
    more = f" and {len(names) - 3} more" if len(names) > 3 else ""
    given = ", ".join(names[:3]) + more
    return _refused(folder, f"holds files that no {maker} put there", given, option)


def _beginning(path: Path) -> bytes:
    if not path.is_file():
        return b""
    with path.open("rb") as file:
        return file.read(LOOKED_AT).removeprefix(b"\xef\xbb\xbf").lstrip().lower()


def _refused(path: Path, problem: str, given: str, option: str) -> Exception:
    return fault_error(
        str(path),
        problem,
        given,
        "It is left as it is, since what is there would be lost",
        _STEP.format(option=option),
    )
