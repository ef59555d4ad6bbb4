"""Files that Glossbook wrote, given as they are: alone and without script, or many in one."""

from __future__ import annotations

import io
import zipfile
from collections.abc import Iterable
from pathlib import Path
from typing import Any

from flask import abort, g, send_file

from course.desk.guard import KEPT_POLICY

TYPES = {
    ".html": "text/html; charset=utf-8",
    ".csv": "text/csv; charset=utf-8",
    ".xlsx": "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet",
    ".zip": "application/zip",
    ".ics": "text/calendar; charset=utf-8",
}


def kept_file(folder: Path, name: str, *, take_along: bool = False) -> Any:
    """Give a file of a folder; nothing that leads out of it, and no link.

    Parameters
    ----------
    folder : Path
        The folder.
    name : str
        The way to the file in it, as an address has it.
    take_along : bool
        Whether it is to be saved, and not shown.
    """
    try:
        path = (folder / name).resolve()
        there = path.is_file() and path.is_relative_to(folder.resolve())
    except (OSError, ValueError):
        there = False
    if not there or path.suffix not in TYPES:
        abort(404)
    g.policy = KEPT_POLICY
    return send_file(
        path,
        TYPES[path.suffix],
        as_attachment=take_along or path.suffix != ".html",
        download_name=path.name,
    )


def zipped(name: str, files: Iterable[tuple[Path, Path]]) -> Any:
    """Give files as one archive, each where it is to lie in it."""
    held = io.BytesIO()
    with zipfile.ZipFile(held, "w", zipfile.ZIP_DEFLATED) as archive:
        for path, inside in files:
            archive.write(path, inside)
    held.seek(0)
    return send_file(held, "application/zip", as_attachment=True, download_name=name)
