"""The file of a mark book: its version, who reads, and who alone writes."""

from __future__ import annotations

import sqlite3
from collections.abc import Iterable, Iterator
from contextlib import contextmanager
from pathlib import Path
from types import TracebackType
from typing import Any, Self

import sqlalchemy as sa

from calculators.faults import fault_error
from exercises.book import sqlite
from exercises.book.schema import MIGRATIONS, book_table, version_table

AT_A_TIME = 500  # values in one question to the database


def revisions() -> list[str]:
    """Return the revisions of Alembic's script directory, oldest first.

    Read from the names of its files, since loading Alembic takes longer than most
    commands.
    """
    return sorted(path.name[1:5] for path in (MIGRATIONS / "versions").glob("v*.py"))


def upgrade(connection: sa.Connection) -> None:
    """Bring the tables up to the newest revision."""
    from alembic import command  # only a new or an old book needs it
    from alembic.config import Config

    config = Config()
    config.set_main_option("script_location", str(MIGRATIONS).replace("%", "%%"))
    config.attributes["connection"] = connection
    command.upgrade(config, "head")


def in_turns(
    connection: sa.Connection,
    asked: sa.Select[Any],
    column: sa.ColumnElement[Any],
    values: Iterable[Any],
) -> Iterator[Any]:
    """Yield the rows whose column has one of many values, without asking for too many."""
    listed = list(dict.fromkeys(values))
    for start in range(0, len(listed), AT_A_TIME):
        some = asked.where(column.in_(listed[start : start + AT_A_TIME]))
        yield from connection.execute(some).all()


def storable(text: str) -> str:
    """Return text that can be stored, with lone surrogates written out."""
    if text.isascii():
        return text
    return text.encode("utf-8", "backslashreplace").decode()


class BookFile:
    """The file behind an open mark book.

    It is a context manager; leaving it closes the file.

    Parameters
    ----------
    path : Path
        The file.
    read_only : bool
        Whether nothing may be written.
    shown : Path, optional
        What faults call the file, where that is another name.
    """

    def __init__(self, path: Path, *, read_only: bool = False, shown: Path | None = None) -> None:
        self.path, self.read_only = path, read_only
        self._shown = shown or path
        self._engine = sqlite.engine_for(path, read_only=read_only)

    def close(self) -> None:
        """Close the file."""
        self._engine.dispose()

    def copy_to(self, path: Path) -> None:
        """Copy the whole book to a new file, as it is at one moment.

        Parameters
        ----------
        path : Path
            Where; nothing may be there yet.
        """
        if path.exists():
            raise fault_error(str(path), "is there already", "", "", "Name another file")
        with self._in_plain_words():
            sqlite.copy(self._engine, path)

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        self.close()

    @contextmanager
    def _in_plain_words(self) -> Iterator[None]:
        try:
            yield
        except (sa.exc.DatabaseError, sqlite3.DatabaseError) as error:
            raise sqlite.fault_of(self._shown, error) from None

    @contextmanager
    def _reading(self) -> Iterator[sa.Connection]:
        with self._in_plain_words(), self._engine.connect() as connection:
            yield connection

    @contextmanager
    def _writing(self) -> Iterator[sa.Connection]:
        """Give a connection that alone writes, all of it or nothing."""
        if self.read_only:
            raise sqlite.fault_of(self._shown, sqlite3.OperationalError("readonly"))
        with self._in_plain_words(), self._engine.connect() as connection:
            connection = connection.execution_options(writes=True)
            with connection.begin():
                yield connection

    def _version(self) -> str | None:
        """Return the revision of the tables; None where it is no mark book."""
        with self._reading() as connection:
            if not {"alembic_version", "book"} <= set(sa.inspect(connection).get_table_names()):
                return None
            return connection.execute(sa.select(version_table.c.version_num)).scalar_one_or_none()

    @property
    def about(self) -> dict[str, Any]:
        """What was said about the book when it was made, and since."""
        with self._reading() as connection:
            return dict(connection.execute(sa.select(book_table.c.about)).scalar_one())

    def say_about(self, **about: str) -> None:
        """Say something else about the book, such as where the course lies now."""
        held = self.about
        if held != held | about:
            with self._writing() as connection:
                connection.execute(book_table.update().values(about=held | about))
