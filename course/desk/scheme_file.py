"""The scheme's file as the desk reads and writes it; nothing newer is written over."""

from __future__ import annotations

import hashlib
from datetime import datetime
from pathlib import Path

from calculators.faults import FaultsError, fault_error
from course.desk.place import free
from exercises.files.writing import write

BOM = b"\xef\xbb\xbf"


def text_of(path: Path) -> str:
    """Return what a file holds, with plain line ends; nothing where there is none."""
    return path.read_text(encoding="utf-8-sig") if path.exists() else ""


def digest_of(*parts: str | bytes) -> str:
    """Return by what it is known whether something is still as it was shown."""
    total = hashlib.sha256()
    for part in parts:
        total.update(part.encode() if isinstance(part, str) else part)
    return total.hexdigest()[:16]


def save(path: Path, text: str) -> None:
    """Write a file with the line ends that it had."""
    held = path.read_bytes() if path.exists() else b""
    new = text.replace("\n", "\r\n") if b"\r\n" in held else text
    write(path, (BOM if held.startswith(BOM) else b"") + new.encode("utf-8"))


def changed_meanwhile(what: str, kept: Path) -> FaultsError:
    """Return the fault of a page that is older than the file which it would change."""
    return fault_error(
        what,
        "was changed by somebody else, or in another window, since this page was shown",
        "",
        f"What you typed is kept as {kept.name}",
        "Load the page again, and put in what is missing",
    )


def keep(folder: Path, text: str, what: str = "scheme") -> Path:
    """Keep what somebody typed beside a file that was changed meanwhile."""
    path = free(folder / f"{what} as typed {datetime.now():%Y-%m-%d %H-%M-%S}.toml")
    path.write_text(text, encoding="utf-8")
    return path
