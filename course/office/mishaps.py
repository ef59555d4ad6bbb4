"""What went wrong and is nobody's to mend at a prompt or a desk: the disk, and ourselves."""

from __future__ import annotations

import traceback
from pathlib import Path


def disk_said(error: OSError) -> str:
    """Return what a disk complained of as a sentence.

    >>> disk_said(PermissionError(13, "Permission denied", "site"))
    "site: can't be opened or written (Permission denied)."
    """
    reason = (error.strerror or "a fault of the disk").rstrip(".")
    return f"{error.filename or 'A file'}: can't be opened or written ({reason})."


def keep_details() -> Path:
    """Keep what only an engineer can use of the fault at hand in a file, and return where."""
    from course.making.running import cache_folder

    path = cache_folder() / "what-went-wrong.txt"
    path.parent.mkdir(parents=True, exist_ok=True)
    path.write_text(traceback.format_exc(), encoding="utf-8")
    return path
