"""Keeping it: the whole folder as one file, and a mark book brought back from one."""

from __future__ import annotations

import tempfile
import zipfile
from datetime import datetime
from pathlib import Path
from typing import IO, Any

from flask import Blueprint, render_template, request

from calculators.faults import fault_error
from course.desk.app import desk
from course.desk.pages.kept import zipped
from exercises.book.book import open_book

pages = Blueprint("keeping", __name__)
LEFT_OUT = ("site", "site-lecturer")  # made again from the scheme at any time
BOOK = "class.db"
LARGEST_BOOK = 2 << 30  # bytes


def _copied(member: IO[bytes], path: Path) -> None:
    """Write what a file of an archive holds; refuse more than a book can be."""
    with path.open("wb") as file:
        while piece := member.read(1 << 20):
            file.write(piece)
            if file.tell() > LARGEST_BOOK:
                raise fault_error(
                    "The backup",
                    "holds a book of more than 2 GB",
                    "",
                    "",
                    "Unpack it, and put class.db into the folder by hand",
                )


@pages.get("/keeping")
def whole() -> Any:
    """Tell how the work is kept."""
    return render_template("keeping.html", there=desk().place.book.exists())


@pages.get("/keeping/take")
def take() -> Any:
    """Give scheme, class list, book, sheets, hand-ins and reports as one file."""
    place = desk().place
    files: list[tuple[Path, Path]] = []
    with tempfile.TemporaryDirectory() as aside:
        if place.book.exists():
            files.append((Path(aside) / BOOK, Path(BOOK)))
            with desk().book(read_only=True) as book:
                book.copy_to(files[0][0])
        for path in sorted(place.folder.rglob("*")):
            way = path.relative_to(place.folder)
            skip = way.parts[0] in LEFT_OUT or way.parts[0].startswith((".", BOOK))
            if path.is_file() and not path.is_symlink() and not skip:
                files.append((path, way))
        return zipped(f"glossbook {datetime.now():%Y-%m-%d %H-%M}.zip", files)


@pages.post("/keeping/bring-back")
def bring_back() -> Any:
    """Bring a mark book back from a backup; the one that is there is kept beside it."""
    sent = request.files.get("backup")
    if sent is None or not sent.filename:
        raise fault_error("The backup", "was not chosen", "", "", "Choose the file first")
    place = desk().place
    with tempfile.TemporaryDirectory(dir=place.folder, prefix=".back") as aside:
        found = Path(aside) / BOOK
        try:
            with zipfile.ZipFile(sent.stream) as archive, archive.open(BOOK) as member:
                _copied(member, found)
        except (zipfile.BadZipFile, KeyError, RuntimeError, NotImplementedError):
            raise fault_error(
                "The backup",
                "holds no mark book",
                sent.filename,
                f"It is a zip with {BOOK} in it",
                "Choose a file that Keeping it has made",
            ) from None
        with open_book(found) as book:
            checked = book.verify("")
        lines = [f"The book of the backup has {checked.entries} entries."]
        if checked.faults:
            raise fault_error(
                "The backup",
                "was changed from outside",
                "; ".join(checked.faults),
                "",
                "Use another backup",
            )
        if place.book.exists():
            kept = place.folder / f"class before {datetime.now():%Y-%m-%d %H-%M-%S}.db"
            with desk().book(read_only=True) as book:
                book.copy_to(kept)
            lines.append(f"The book that was here is kept as {kept.name}.")
            for end in ("-wal", "-shm"):
                place.book.with_name(place.book.name + end).unlink(missing_ok=True)
        found.replace(place.book)
    lines.append("The book of the backup is in its place.")
    return render_template("said.html", title="Brought back", lines=lines, back="/keeping")
