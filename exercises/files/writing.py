"""Files and folders put in their places, whole or not at all."""

from __future__ import annotations

from collections.abc import Iterable
from contextlib import suppress
from pathlib import Path

from calculators.faults import fault_error


def make_folder(path: Path) -> None:
    """Make a folder, or say why it can't be made."""
    try:
        path.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise fault_error(
            str(path),
            "can't be made",
            error.strerror or "",
            "",
            "Choose another folder, then run it again",
        ) from None


def write(path: Path, content: str | bytes | Iterable[str]) -> None:
    """Put a file in its place, whole or not at all; a long one may come in pieces.

    Raises
    ------
    FaultsError
        If the disk is full or the folder is not to be written to; what lay there stays.
    """
    beside = path.with_name(f".{path.name}.part")
    pieces = [content] if isinstance(content, str | bytes) else content
    try:
        with beside.open("wb") as file:
            for piece in pieces:
                file.write(piece if isinstance(piece, bytes) else piece.encode("utf-8", "replace"))
        beside.replace(path)
    except OSError as error:
        with suppress(OSError):
            beside.unlink(missing_ok=True)
        raise fault_error(
            str(path),
            "can't be written",
            error.strerror or "",
            "",
            "Make room or choose another folder, then run it again",
        ) from None
