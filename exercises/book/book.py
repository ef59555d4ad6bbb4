"""A mark book: made, opened, read and written."""

from __future__ import annotations

import os
import secrets
from collections.abc import Mapping
from pathlib import Path
from typing import Any

from calculators.faults import fault_error
from exercises.book import sqlite
from exercises.book.chain import head, seal_all
from exercises.book.connecting import revisions, upgrade
from exercises.book.personal import PersonalData
from exercises.book.schema import book_table
from exercises.book.times import now


class Book(PersonalData):
    """An open mark book; made by :func:`create` and :func:`open_book`.

    Its parts, one building on the other: the file (``connecting``), students
    (``people``), papers and sheets (``issuing``), ``hand_ins``, ``decisions``,
    ``results``, ``observations`` and a person's data (``personal``).
    """


def create(
    path: str | Path, about: Mapping[str, Any] | None = None, *, secret: str | None = None
) -> Book:
    """Make a new mark book and open it.

    Parameters
    ----------
    path : str or Path
        Where; nothing may be there yet.
    about : mapping, optional
        The course's title, how long data are kept, and the like.
    secret : str, optional
        What decides questions, numbers and options: 32 bytes in hexadecimal signs, drawn
        where none is given.  Only a demonstration gives one, to come out the same each time.
    """
    path = Path(path)
    if path.exists():
        raise fault_error(
            str(path),
            "is there already",
            "",
            "",
            "Open it, or give the new mark book another name",
        )
    if not path.parent.is_dir():
        raise fault_error(
            str(path),
            "has no folder to be put in",
            str(path.parent),
            "",
            "Make the folder first",
        )
    # Built beside and then renamed: a book is there whole or not at all.
    beside = path.with_name(f".{path.name}.{secrets.token_hex(4)}")
    book = Book(beside, shown=path)
    try:
        with book._in_plain_words():
            sqlite.keep_a_log(book._engine)
        with book._writing() as connection:
            upgrade(connection)
            connection.execute(
                book_table.insert().values(
                    id=1,
                    made_at=now(),
                    secret=secret or secrets.token_hex(32),
                    about=dict(about or {}),
                )
            )
        book.close()
        beside.replace(path)
    except OSError as error:
        raise sqlite.fault_of(path, error) from None
    finally:
        book.close()
        for left in beside.parent.glob(beside.name + "*"):
            left.unlink(missing_ok=True)
    return open_book(path)


def open_book(path: str | Path, *, read_only: bool = False) -> Book:
    """Open a mark book; an older one is brought up to date first, in one step.

    Parameters
    ----------
    path : str or Path
        The file.
    read_only : bool
        Only look; also done by itself where the file may not be written.

    Raises
    ------
    FaultsError
        Where there is no such file, it is no mark book, or it comes from a newer
        Glossbook.  The file is left as it is.
    """
    path = Path(path)
    if not path.is_file():
        raise fault_error(
            str(path),
            "is not there" if not path.exists() else "is not a file",
            "",
            "",
            "Check the name; a mark book is made when the first paper is issued",
        )
    book = Book(path, read_only=read_only or not os.access(path, os.W_OK))
    try:
        version = book._version()
        if version is None:
            raise fault_error(
                str(path),
                "is a database, but not a mark book",
                "",
                "",
                "Give the file that was made when the paper was issued",
            )
        if version not in revisions():
            raise fault_error(
                str(path),
                "comes from a newer Glossbook",
                f"version {version}",
                f"This Glossbook knows versions up to {revisions()[-1]}",
                "Install the newer Glossbook; the book was left as it is",
            )
        if version != revisions()[-1]:
            with book._writing() as connection:
                upgrade(connection)
                if not head(connection):
                    seal_all(connection)
    except BaseException:
        book.close()
        raise
    return book
