"""A file is replaced only where it is of the kind that is about to be written."""

from __future__ import annotations

from pathlib import Path

from calculators.faults import fault_error

# How each kind begins that a command writes to a place somebody names.
BEGINS = {"page": b"<!doctype html", "calendar": b"begin:vcalendar", "data": b"{"}


def may_replace(path: Path, kind: str) -> Path:
    """Return a path that may be written; refuse one that holds something else.

    Parameters
    ----------
    path : Path
        The file that is to be written.
    kind : str
        One of :data:`BEGINS`.

    Raises
    ------
    FaultsError
        If there is a folder, a mark book, a scheme or any other thing of another kind.
    """
    if not path.exists():
        return path
    begins = b""
    if not path.is_dir():
        with path.open("rb") as file:
            begins = file.read(64).lstrip().lower()
    if path.is_dir() or (begins and not begins.startswith(BEGINS[kind])):
        raise fault_error(
            str(path),
            f"is there already, and is no {kind} that may be replaced",
            "",
            "It is left as it is",
            "Give another name with --out or --export",
        )
    return path
