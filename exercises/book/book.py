"""The mark book: opened, read and written."""

from __future__ import annotations

import hashlib
import hmac
import json
import os
import re
import secrets
import sqlite3
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from contextlib import contextmanager
from datetime import datetime
from pathlib import Path
from types import TracebackType
from typing import Any, TypeAlias
from urllib.parse import quote

import sqlalchemy as sa
from sqlalchemy import event

from calculators.faults import FaultsError, fault_error
from exercises.book.records import (
    MACHINE,
    Decision,
    HandIn,
    Mark,
    NewSheet,
    PaperRecord,
    Result,
    SheetRecord,
    Student,
    must_name,
)
from exercises.book.schema import (
    ISSUED,
    MARKED,
    MIGRATIONS,
    SETTLED,
    UNREADABLE,
    VERSION,
    VERSIONS,
    book_table,
    decision_table,
    handin_table,
    mark_table,
    paper_table,
    sheet_table,
    student_table,
)
from exercises.book.times import limit_of, now
from exercises.book.tokens import new_token, read_token
from exercises.marking.packed import Packed, pack
from exercises.marking.rules import TO_SETTLE
from exercises.questions.registry import calculators_digest

BUSY_SECONDS = 30


def _sheet_columns(questions: sa.ColumnElement[Any]) -> tuple[Any, ...]:
    """Return the columns of a sheet in the order of its fields."""
    c = sheet_table.c
    return (
        c.token,
        c.paper,
        c.student,
        c.sitting,
        c.seed,
        questions,
        c.bank,
        c.calculators,
        c.opens_on,
        c.hand_in_by,
        c.issued_at,
    )


_SHEET_COLUMNS = {
    "all": _sheet_columns(sheet_table.c.questions),
    "head": _sheet_columns(sa.literal([], sa.JSON)),
}


# --- opening a book -----------------------------------------------------------------------

Judge: TypeAlias = Callable[[list[HandIn], list[HandIn]], list[HandIn]]


def create(path: str | Path, about: Mapping[str, Any] | None = None) -> Book:
    """Make a new mark book and open it.

    Parameters
    ----------
    path : str or Path
        Where; nothing may be there yet.
    about : mapping, optional
        The course's title, how long data are kept, and the like.
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
            "has no folder to lie in",
            str(path.parent),
            "",
            "Make the folder first",
        )
    # Built beside and then renamed: a book is there whole or not at all.
    beside = path.with_name(f".{path.name}.{secrets.token_hex(4)}")
    book = Book(beside, told=path)
    try:
        with book._telling():
            raw = book._engine.raw_connection()
            raw.cursor().execute("PRAGMA journal_mode=WAL")
            raw.close()
        with book._writing() as connection:
            _upgrade(connection)
            connection.execute(
                book_table.insert().values(
                    id=1,
                    made_at=now(),
                    secret=secrets.token_hex(32),
                    about=dict(about or {}),
                )
            )
        book.close()
        beside.replace(path)
    except OSError as error:
        raise _told(path, error) from None
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
        if version not in VERSIONS:
            raise fault_error(
                str(path),
                "comes from a newer Glossbook",
                f"version {version}",
                f"This Glossbook knows versions up to {VERSION}",
                "Install the newer Glossbook; the book was left as it is",
            )
        if version != VERSION:
            with book._writing() as connection:
                _upgrade(connection)
    except BaseException:
        book.close()
        raise
    return book


def open_or_create(path: str | Path) -> Book:
    """Open the mark book, or make it where there is none yet."""
    return open_book(path) if Path(path).exists() else create(path)


def _upgrade(connection: sa.Connection) -> None:
    from alembic import command  # only a new or an old book needs it
    from alembic.config import Config

    config = Config()
    config.set_main_option("script_location", str(MIGRATIONS).replace("%", "%%"))
    config.attributes["connection"] = connection
    command.upgrade(config, "head")


_TOLD = (
    ("readonly", "can't be written", "Allow writing to it, or copy it elsewhere"),
    ("full", "could not be written: the disk is full", "Make room and run it again"),
    ("not a database", "is not a mark book", "Give the file that Glossbook made"),
    ("malformed", "is damaged", "Put the last copy of the book back in its place"),
    ("locked", "is in use", "Wait for the other program to end, then run it again"),
    ("unable to open", "can't be opened", "Check the folder and who may write to it"),
    ("i/o error", "can't be read or written: the disk reports a fault", "Copy it to another disk"),
)


def _told(path: Path, error: BaseException) -> FaultsError:
    """Return what the database or the disk complained of, in plain words."""
    text = str(getattr(error, "orig", None) or error)
    for sign, problem, step in _TOLD:
        if sign in text.lower():
            return fault_error(
                str(path), problem, "", "", f"{step}; nothing in the book was changed"
            )
    return fault_error(
        str(path),
        f"could not be used: {text}",
        "",
        "",
        "Check the disk; nothing in the book was changed",
    )


_encode = json.JSONEncoder(separators=(",", ":"), allow_nan=False).encode


def _dumps(value: dict[str, Any]) -> str:
    return _encode(value) if value else "{}"


def _each(connection: sa.Connection, asked: str, values: Iterable[Any]) -> Iterator[Any]:
    """Yield the rows of a question that ends in IN, without asking too much at once."""
    listed = list(dict.fromkeys(values))
    for start in range(0, len(listed), 500):
        some = tuple(listed[start : start + 500])
        marks = ",".join("?" * len(some))
        yield from connection.exec_driver_sql(f"{asked} ({marks})", some)


def _plain(text: str) -> str:
    """Return text that can be stored, with lone surrogates written out."""
    if text.isascii():
        return text
    return text.encode("utf-8", "backslashreplace").decode()


class Book:
    """An open mark book; made by :func:`create` and :func:`open_book`.

    It is a context manager; leaving it closes the file.
    """

    def __init__(self, path: Path, *, read_only: bool = False, told: Path | None = None) -> None:
        self.path, self.read_only = path, read_only
        self._shown = told or path

        def connect() -> sqlite3.Connection:
            how = "mode=rwc"
            if read_only:
                # A book in a folder that may not be written has no room for the
                # files SQLite keeps beside it; without them it is read as it lies.
                beside = path.with_name(path.name + "-wal").exists()
                alone = not beside and not os.access(path.parent, os.W_OK)
                how = "immutable=1" if alone else "mode=ro"
            made = sqlite3.connect(
                f"file:{quote(str(path.resolve()))}?{how}",
                uri=True,
                timeout=BUSY_SECONDS,
                isolation_level=None,
                check_same_thread=False,
            )
            made.execute("PRAGMA foreign_keys=ON")
            if not read_only:
                made.execute("PRAGMA synchronous=FULL")
                made.execute("PRAGMA secure_delete=ON")  # erased means overwritten
            return made

        self._engine = sa.create_engine("sqlite://", creator=connect, poolclass=sa.pool.QueuePool)

        @event.listens_for(self._engine, "begin")
        def begin(connection: sa.Connection) -> None:
            writes = connection.get_execution_options().get("writes")
            connection.exec_driver_sql("BEGIN IMMEDIATE" if writes else "BEGIN")

    # -- the file -------------------------------------------------------------------

    def close(self) -> None:
        """Close the file."""
        self._engine.dispose()

    def __enter__(self) -> Book:
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        self.close()

    @contextmanager
    def _telling(self) -> Iterator[None]:
        try:
            yield
        except (sa.exc.DatabaseError, sqlite3.DatabaseError) as error:
            raise _told(self._shown, error) from None

    @contextmanager
    def _reading(self) -> Iterator[sa.Connection]:
        with self._telling(), self._engine.connect() as connection:
            yield connection

    @contextmanager
    def _writing(self) -> Iterator[sa.Connection]:
        """Give a connection that alone writes, all of it or nothing."""
        if self.read_only:
            raise _told(self._shown, sqlite3.OperationalError("readonly"))
        with self._telling(), self._engine.connect() as connection:
            connection = connection.execution_options(writes=True)
            with connection.begin():
                yield connection

    def _version(self) -> str | None:
        with self._reading() as connection:
            names = {
                row[0]
                for row in connection.exec_driver_sql(
                    "SELECT name FROM sqlite_master WHERE type = 'table'"
                )
            }
            if not {"alembic_version", "book"} <= names:
                return None
            row = connection.exec_driver_sql(
                "SELECT version_num FROM alembic_version"
            ).one_or_none()
            return str(row[0]) if row else None

    @property
    def about(self) -> dict[str, Any]:
        """What was said about the book when it was made."""
        with self._reading() as connection:
            return dict(connection.execute(sa.select(book_table.c.about)).scalar_one())

    # -- students -------------------------------------------------------------------

    def enrol(self, students: Iterable[Student]) -> tuple[int, int]:
        """Add students, or bring their names and arrangements up to date.

        Returns
        -------
        tuple of int
            How many are new, and how many were changed.
        """
        new = changed = 0
        with self._writing() as connection:
            for one in students:
                values = {
                    "name": _plain(one.name),
                    "extra_time": one.extra_time,
                    "other_date": one.other_date,
                    "print": one.print,
                    "about": dict(one.about),
                }
                held = connection.execute(
                    sa.select(student_table).where(student_table.c.id == one.id)
                ).one_or_none()
                if held is None:
                    connection.execute(student_table.insert().values(id=_plain(one.id), **values))
                    new += 1
                elif held.erased_at is None and any(
                    getattr(held, name) != value for name, value in values.items()
                ):
                    connection.execute(
                        student_table.update().where(student_table.c.id == one.id).values(values)
                    )
                    changed += 1
        return new, changed

    def students(self, ids: Iterable[str] | None = None) -> dict[str, Student]:
        """Return every student (or those with these ids), by id."""
        asked = sa.select(student_table).order_by(student_table.c.id)
        if ids is not None:
            asked = asked.where(student_table.c.id.in_(list(ids)))
        with self._reading() as connection:
            rows = connection.execute(asked)
            return {row.id: Student(**row._mapping) for row in rows}

    def names(self, places: Iterable[int] | None = None) -> Iterator[tuple[int, str, str]]:
        """Yield a place in the book, id and name of every student, or of these places."""
        asked = "SELECT rowid, id, name FROM student"
        with self._reading() as connection:
            if places is None:
                everyone: Any = connection.exec_driver_sql(asked)
                yield from everyone
            else:
                yield from _each(connection, f"{asked} WHERE rowid IN", places)

    # -- papers ------------------------------------------------------------------------

    def draft_paper(
        self,
        name: str,
        plan: Mapping[str, Any],
        *,
        policy: Mapping[str, Any] | None = None,
        pass_rule: Mapping[str, Any] | None = None,
    ) -> PaperRecord:
        """Draft a paper, or draft it anew: whatever was checked must be checked again.

        Parameters
        ----------
        name : str
            The paper's name in the scheme.
        plan : mapping
            What it is made of, as plain data; the questions shown to the checker too.
        policy : mapping, optional
            How units are marked; see :data:`exercises.marking.rules.POLICY`.
        pass_rule : mapping, optional
            ``{"share": 0.5, "must_pass": [outcome, ...]}``.
        """
        with self._writing() as connection:
            held = self._one_paper(connection, name)
            if held and held.state == "issued":
                raise fault_error(
                    f"paper {name}",
                    "is issued and stays as it is",
                    held.issued_at or "",
                    "",
                    "Give the new paper another name, or issue a resit",
                )
            values = {
                "plan": dict(plan),
                "policy": dict(policy or {}),
                "pass_rule": dict(pass_rule or {}),
                "state": "drafted",
                "drafted_at": now(),
                "checked_by": None,
                "checked_at": None,
            }
            if held is None:
                connection.execute(paper_table.insert().values(name=name, **values))
            else:
                connection.execute(
                    paper_table.update().where(paper_table.c.name == name).values(values)
                )
        return self.paper(name)

    def check_paper(self, name: str, by: str) -> PaperRecord:
        """Record that a named person has looked through the drafted paper."""
        must_name(by)
        with self._writing() as connection:
            held = self._paper_that_is(connection, name, "drafted", "checked")
            connection.execute(
                paper_table.update()
                .where(paper_table.c.name == held.name)
                .values(state="checked", checked_by=_plain(by), checked_at=now())
            )
        return self.paper(name)

    def issue_paper(
        self, name: str, sheets: Iterable[NewSheet], by: str, *, bank: str = ""
    ) -> list[SheetRecord]:
        """Issue a checked paper: keep every sheet, all of them or none.

        A student who has a sheet of this sitting already keeps it as it is, so that
        issuing again adds only those who joined later.

        Parameters
        ----------
        name : str
            The paper.
        sheets : iterable of NewSheet
            One a student and sitting.
        by : str
            Who issues it.
        bank : str, optional
            Digest of the bank; by default that of the sheet's own questions.

        Returns
        -------
        list of Sheet
            Those asked for, with their tokens, whether new or kept.
        """
        must_name(by)
        tokens: list[str] = []
        with self._writing() as connection:
            held = self._paper_that_is(connection, name, "checked", "issued")
            kept = {
                (row.student, row.sitting): row.token
                for row in connection.execute(
                    sa.select(
                        sheet_table.c.student, sheet_table.c.sitting, sheet_table.c.token
                    ).where(sheet_table.c.paper == name)
                )
            }
            known = set(connection.execute(sa.select(student_table.c.id)).scalars())
            at = now()
            for one in sheets:
                if one.student not in known:
                    raise fault_error(
                        f"paper {name}",
                        "has a sheet for nobody in the book",
                        one.student,
                        "",
                        "Enrol the student first",
                    )
                token = kept.get((one.student, one.sitting))
                if token is None:
                    token = read_token(one.token) if one.token else new_token()
                    kept[one.student, one.sitting] = token
                    digests = "".join(str(each.get("digest")) for each in one.questions)
                    connection.execute(
                        sheet_table.insert(),
                        {
                            "token": token,
                            "paper": name,
                            "student": one.student,
                            "sitting": one.sitting,
                            "seed": one.seed,
                            "questions": list(one.questions),
                            "marking": pack(one.questions),
                            "bank": bank or hashlib.sha256(digests.encode()).hexdigest()[:16],
                            "calculators": calculators_digest(),
                            "opens_on": str(one.opens_on),
                            "hand_in_by": str(one.hand_in_by),
                            "issued_at": at,
                        },
                    )
                tokens.append(token)
            if held.state == "checked":
                connection.execute(
                    paper_table.update()
                    .where(paper_table.c.name == name)
                    .values(state="issued", issued_by=_plain(by), issued_at=at)
                )
        found = self.sheets_by_token(tokens)
        return [found[token] for token in tokens]

    def paper(self, name: str) -> PaperRecord:
        """Return a paper by its name."""
        with self._reading() as connection:
            held = self._one_paper(connection, name)
            names = list(connection.execute(sa.select(paper_table.c.name)).scalars())
        if held is None:
            raise fault_error(
                f"paper {name}",
                "is not in this book",
                "",
                f"It has: {', '.join(sorted(names)) or 'no paper yet'}",
                "Check the name, or draft the paper first",
            )
        return held

    def papers(self) -> list[PaperRecord]:
        """Return every paper, in the order in which they were drafted."""
        with self._reading() as connection:
            rows = connection.execute(
                sa.select(paper_table).order_by(paper_table.c.drafted_at, paper_table.c.name)
            )
            return [PaperRecord(**row._mapping) for row in rows]

    @staticmethod
    def _one_paper(connection: sa.Connection, name: str) -> PaperRecord | None:
        row = connection.execute(
            sa.select(paper_table).where(paper_table.c.name == name)
        ).one_or_none()
        return PaperRecord(**row._mapping) if row else None

    def _paper_that_is(self, connection: sa.Connection, name: str, *states: str) -> PaperRecord:
        held = self._one_paper(connection, name)
        if held is None:
            raise fault_error(
                f"paper {name}", "is not in this book", "", "", "Draft the paper first"
            )
        if held.state not in states:
            raise fault_error(
                f"paper {name}",
                f"is {held.state}",
                "",
                f"It must be {' or '.join(states)}",
                "Have a named person check it first"
                if held.state == "drafted"
                else "An issued paper stays as it is",
            )
        return held

    # -- sheets ------------------------------------------------------------------------

    def seed(self, paper: str, student: str, sitting: int = 1) -> str:
        """Return the seed of a sheet: the same for ever, and only from this book."""
        with self._reading() as connection:
            secret = connection.execute(sa.select(book_table.c.secret)).scalar_one()
        text = "\x1f".join((paper, student, str(sitting)))
        return hmac.new(bytes.fromhex(secret), text.encode(), hashlib.sha256).hexdigest()

    def sheets(self, paper: str | None = None, *, needs: str = "all") -> list[SheetRecord]:
        """Return the sheets of a paper (or of every paper), by student and sitting.

        Parameters
        ----------
        paper : str, optional
            Only this paper's.
        needs : str
            ``"all"``; ``"head"`` leaves the questions out.
        """
        asked = sa.select(*_SHEET_COLUMNS[needs]).order_by(
            sheet_table.c.paper, sheet_table.c.student, sheet_table.c.sitting
        )
        if paper is not None:
            asked = asked.where(sheet_table.c.paper == paper)
        with self._reading() as connection:
            return [SheetRecord(*row) for row in connection.execute(asked)]

    def sheet(self, token: str) -> SheetRecord:
        """Return the sheet of a token as a person typed it."""
        token = read_token(token)
        found = self.sheets_by_token([token])
        if not found:
            raise fault_error(
                "token",
                "belongs to no sheet of this book",
                token,
                "",
                "Look whether the sheet was issued from another mark book",
            )
        return found[token]

    def sheets_by_token(
        self, tokens: Iterable[str], *, needs: str = "all"
    ) -> dict[str, SheetRecord]:
        """Return the sheets of these tokens, by token; unknown ones are left out.

        Parameters
        ----------
        tokens : iterable of str
            As the book keeps them.
        needs : str
            ``"all"``; ``"head"`` leaves the questions out.
        """
        wanted, out = list(dict.fromkeys(tokens)), {}
        with self._reading() as connection:
            for start in range(0, len(wanted), 500):
                rows = connection.execute(
                    sa.select(*_SHEET_COLUMNS[needs]).where(
                        sheet_table.c.token.in_(wanted[start : start + 500])
                    )
                )
                out.update({row[0]: SheetRecord(*row) for row in rows})
        return out

    def packed(self, tokens: Iterable[str]) -> dict[str, Packed]:
        """Return what marking needs of these sheets, by token; no unknown ones."""
        with self._reading() as connection:
            return {
                row[0]: Packed.of(*row)
                for row in _each(
                    connection,
                    "SELECT token, paper, marking FROM sheet WHERE token IN",
                    tokens,
                )
            }

    def limits(self, tokens: Iterable[str]) -> dict[str, tuple[str, datetime | None]]:
        """Return for each of these sheets whose it is, and when it is late."""
        asked = (
            "SELECT sheet.token, student, hand_in_by, opens_on, other_date, extra_time"
            " FROM sheet JOIN student ON student.id = student WHERE sheet.token IN"
        )
        with self._reading() as connection:
            return {
                row[0]: (row[1], limit_of(*row[2:])) for row in _each(connection, asked, tokens)
            }

    # -- hand-ins ------------------------------------------------------------------------

    def met(self, keys: Iterable[tuple[str, str]]) -> set[tuple[str, str]]:
        """Return which of these (path, digest) the book has already."""
        wanted = set(keys)
        with self._reading() as connection:
            return self._met(connection, wanted)

    @staticmethod
    def _met(connection: sa.Connection, wanted: set[tuple[str, str]]) -> set[tuple[str, str]]:
        out: set[tuple[str, str]] = set()
        asked = "SELECT path, digest FROM handin WHERE digest IN"
        for path, digest in _each(connection, asked, (key[1] for key in wanted)):
            if path.startswith(_ERASED):  # met once, and not to come back
                out.update(key for key in wanted if key[1] == digest)
            out.add((path, digest))
        return out & wanted

    def record(self, entries: Iterable[HandIn], judge: Judge | None = None) -> list[HandIn]:
        """Record files that were met, with their marks, in one transaction.

        What the book has already (same path, same bytes) is left as it is, so that
        a second run changes nothing.

        Parameters
        ----------
        entries : iterable of HandIn
            With ``marks`` where they were marked.
        judge : function, optional
            Called inside the transaction with the new entries and those earlier
            ones that share a sheet or a fingerprint with them; sets flags, and
            returns the earlier ones whose flags it changed.

        Returns
        -------
        list of HandIn
            Those that were new, with their ids.
        """
        entries = list(entries)
        for one in entries:
            one.path = _plain(one.path)
        with self._writing() as connection:
            held = self._met(connection, {(one.path, one.digest) for one in entries})
            fresh = []
            for one in entries:
                if (one.path, one.digest) not in held:
                    held.add((one.path, one.digest))
                    fresh.append(one)
            if not fresh:
                return []
            top = connection.execute(sa.select(sa.func.max(handin_table.c.id))).scalar()
            at = now()
            for place, one in enumerate(fresh, (top or 0) + 1):
                one.id, one.met_at = place, at
                one.received_at = one.received_at or at
            changed = judge(fresh, self._related(connection, fresh)) if judge else []
            connection.exec_driver_sql(
                _INSERT_HANDIN,
                [
                    (
                        one.id,
                        one.path,
                        one.digest,
                        one.size,
                        one.received_at,
                        one.clock,
                        one.met_at,
                        one.form,
                        one.token,
                        one.state,
                        _plain(one.reason),
                        _dumps(one.answers),
                        _dumps(one.working),
                        one.fingerprint,
                        one.numbers,
                        _dumps(one.flags),
                    )
                    for one in fresh
                ],
            )
            rows = [(one.id, *verdict) for one in fresh for verdict in one.marks]
            if rows:
                connection.exec_driver_sql(_BY_MACHINE.format(at), rows)
            new = {one.id for one in fresh}
            for one in changed:
                if one.id not in new:
                    connection.execute(
                        handin_table.update()
                        .where(handin_table.c.id == one.id)
                        .values(flags=one.flags)
                    )
        return fresh

    @staticmethod
    def _related(connection: sa.Connection, fresh: Sequence[HandIn]) -> list[HandIn]:
        ids: set[int] = set()
        for column in ("token", "fingerprint"):
            values = {getattr(one, column) for one in fresh}
            asked = f"SELECT id FROM handin WHERE {column} IN"
            ids.update(row[0] for row in _each(connection, asked, values - {None}))
        listed, out = sorted(ids), []
        for start in range(0, len(listed), 500):
            rows = connection.execute(
                sa.select(handin_table)
                .where(handin_table.c.id.in_(listed[start : start + 500]))
                .order_by(handin_table.c.id)
            )
            out += [HandIn(**row._mapping) for row in rows]
        return out

    def handins(
        self,
        *,
        paper: str | None = None,
        token: str | None = None,
        state: str | None = None,
    ) -> list[HandIn]:
        """Return hand-ins in the order in which they were met.

        Parameters
        ----------
        paper, token, state : str, optional
            Only those of this paper, of this sheet, in this state.
        """
        asked = sa.select(handin_table).order_by(handin_table.c.id)
        if paper is not None:
            asked = asked.join(sheet_table).where(sheet_table.c.paper == paper)
        if token is not None:
            asked = asked.where(handin_table.c.token == token)
        if state is not None:
            asked = asked.where(handin_table.c.state == state)
        with self._reading() as connection:
            return [HandIn(**row._mapping) for row in connection.execute(asked)]

    def waiting(self) -> int:
        """Return how many hand-ins an assessor has still to look at."""
        flags = sa.cast(handin_table.c.flags, sa.String)
        flagged = sa.and_(handin_table.c.state == MARKED, flags != "{}")
        asked = sa.select(sa.func.count()).where(
            sa.or_(handin_table.c.state == UNREADABLE, flagged)
        )
        with self._reading() as connection:
            return int(connection.execute(asked).scalar_one())

    def counts(self) -> dict[str, int]:
        """Return how many hand-ins are in each state."""
        with self._reading() as connection:
            rows = connection.execute(
                sa.select(handin_table.c.state, sa.func.count()).group_by(handin_table.c.state)
            )
            return {state: count for state, count in rows}

    # -- marks and decisions ----------------------------------------------------------------

    def marks(self, handin: int, *, history: bool = False) -> list[Mark]:
        """Return the marks that stand for a hand-in; with ``history``, all ever given."""
        with self._reading() as connection:
            rows = [
                Mark(**row._mapping)
                for row in connection.execute(
                    sa.select(mark_table)
                    .where(mark_table.c.handin == handin)
                    .order_by(mark_table.c.id)
                )
            ]
        return rows if history else list(_standing(rows).values())

    def decide(
        self,
        what: str,
        *,
        by: str,
        reason: str,
        handin: int | None = None,
        mark: int | None = None,
        detail: Mapping[str, Any] | None = None,
    ) -> Decision:
        """Record an assessor's decision, and do what it says.

        Parameters
        ----------
        what : str
            ``"marks"``: with ``mark`` and ``detail={"awarded": 2, "reason": "..."}``
            (or ``"value"`` and ``"unit"``) a new mark is added that takes the place of
            the old one, which stays in the history.  ``"settled"``: the hand-in needs
            no further look.  ``"counts"``: of several hand-ins of a sheet this one
            counts.  ``"set aside"``: this one never counts.  Any other word is kept
            as a note, such as a second mark given blind.
        by, reason : str
            Who, and why; neither may be empty.
        handin, mark : int
            What it is about: one of the two.
        detail : mapping, optional
            What more there is to say.
        """
        must_name(by)
        if not reason.strip():
            raise fault_error("reason", "is empty", "", "", "Say in a few words why")
        if (handin is None) == (mark is None):
            raise fault_error(
                "decision",
                "is about nothing, or about two things",
                "",
                "",
                "Give a hand-in or a mark",
            )
        extra, at = dict(detail or {}), now()
        with self._writing() as connection:
            if mark is not None:
                row = connection.execute(
                    sa.select(mark_table).where(mark_table.c.id == mark)
                ).one_or_none()
                if row is None:
                    raise fault_error("mark", "is not in this book", mark)
                if what == "marks":
                    self._overrule(connection, Mark(**row._mapping), by, extra, at)
                    self._looked_at(connection, [(row.handin, row.part)])
            else:
                held = connection.execute(
                    sa.select(handin_table.c.state).where(handin_table.c.id == handin)
                ).one_or_none()
                if held is None:
                    raise fault_error("hand-in", "is not in this book", handin or "")
                if what in ("settled", "counts", "set aside"):
                    connection.execute(
                        handin_table.update()
                        .where(handin_table.c.id == handin)
                        .values(state=SETTLED)
                    )
            done = connection.execute(
                decision_table.insert().values(
                    handin=handin,
                    mark=mark,
                    what=what,
                    detail=extra,
                    by=_plain(by),
                    reason=_plain(reason),
                    at=at,
                )
            )
            key = done.inserted_primary_key
        return Decision(int(key[0]) if key else 0, handin, mark, what, extra, by, reason, at)

    def append(
        self,
        *,
        by: str,
        reason: str,
        decisions: Iterable[Mapping[str, Any]] = (),
        marks: Iterable[Mark] = (),
    ) -> int:
        """Append many decisions and marks in one transaction: all of them, or none.

        Parameters
        ----------
        by, reason : str
            Who, and why; neither may be empty.
        decisions : iterable of mapping
            ``what``, ``detail``, and ``handin`` or ``mark`` where it is about one;
            one about neither is about the whole book.  A decision's own ``reason``
            takes the place of the common one.
        marks : iterable of Mark
            Each takes the place of the mark that it ``supersedes``, which must still
            stand; the old one stays in the history.

        Returns
        -------
        int
            How many rows were added.
        """
        must_name(by)
        if not reason.strip():
            raise fault_error("reason", "is empty", "", "", "Say in a few words why")
        at, who, why = now(), _plain(by), _plain(reason)
        noted = [
            {
                "handin": one.get("handin"),
                "mark": one.get("mark"),
                "what": one["what"],
                "detail": dict(one.get("detail") or {}),
                "by": who,
                "reason": _plain(one.get("reason") or "") or why,
                "at": at,
            }
            for one in decisions
        ]
        rows = [
            (
                m.handin,
                m.question,
                m.part,
                m.value,
                m.unit,
                m.awarded,
                m.total,
                m.verdict,
                _plain(m.reason),
                m.road,
                who,
                at,
                m.supersedes,
            )
            for m in marks
        ]
        with self._writing() as connection:
            gone = {
                old
                for old in connection.execute(
                    sa.select(mark_table.c.supersedes).where(mark_table.c.supersedes.is_not(None))
                ).scalars()
            }
            moved = [row[2] for row in rows if row[-1] in gone]
            if moved:
                raise fault_error(
                    "marks",
                    "no longer stand",
                    ", ".join(dict.fromkeys(moved)),
                    "",
                    "Somebody changed them meanwhile: look at the change again",
                )
            if rows:
                connection.exec_driver_sql(_INSERT_MARK, rows)
                self._looked_at(
                    connection,
                    [(row[0], row[2]) for row in rows if row[7] not in TO_SETTLE],
                )
            if noted:
                connection.execute(decision_table.insert(), noted)
        return len(rows) + len(noted)

    @staticmethod
    def _looked_at(connection: sa.Connection, places: Iterable[tuple[int, str]]) -> None:
        """Take parts that have their marks now off what their hand-ins have to settle."""
        done: dict[int, set[str]] = {}
        for handin, part in places:
            done.setdefault(handin, set()).add(part)
        for handin, parts in done.items():
            this = handin_table.c.id == handin
            flags = dict(
                connection.execute(sa.select(handin_table.c.flags).where(this)).scalar_one()
            )
            waited = flags.pop("to settle", [])
            left = [part for part in waited if part not in parts]
            if left != waited:
                flags |= {"to settle": left} if left else {}
                connection.execute(handin_table.update().where(this).values(flags=flags))

    @staticmethod
    def _overrule(
        connection: sa.Connection,
        old: Mark,
        by: str,
        detail: Mapping[str, Any],
        at: str,
    ) -> None:
        later = connection.execute(
            sa.select(mark_table.c.id).where(mark_table.c.supersedes == old.id)
        ).first()
        if later:
            raise fault_error(
                "mark", "no longer stands", old.id, "", "Overrule the one that stands"
            )
        value = float(detail.get("value", detail.get("awarded", old.value)))
        unit_mark = float(detail.get("unit", 0.0 if "awarded" in detail else old.unit))
        awarded = value + unit_mark
        if not 0 <= awarded <= old.total:
            raise fault_error(
                "marks",
                "are out of range",
                awarded,
                f"From 0 to {old.total:g}",
                "Give marks within the range",
            )
        connection.execute(
            mark_table.insert().values(
                handin=old.handin,
                question=old.question,
                part=old.part,
                value=value,
                unit=unit_mark,
                awarded=awarded,
                total=old.total,
                verdict="assessor's mark",
                reason=_plain(str(detail.get("reason", old.reason))),
                road="",
                by=_plain(by),
                at=at,
                supersedes=old.id,
            )
        )

    def decisions(self, handin: int | None = None) -> list[Decision]:
        """Return the decisions, oldest first; those about one hand-in and its marks."""
        asked = sa.select(decision_table).order_by(decision_table.c.id)
        if handin is not None:
            its = sa.select(mark_table.c.id).where(mark_table.c.handin == handin)
            asked = asked.where(
                sa.or_(decision_table.c.handin == handin, decision_table.c.mark.in_(its))
            )
        with self._reading() as connection:
            return [Decision(**row._mapping) for row in connection.execute(asked)]

    # -- results ----------------------------------------------------------------------------

    def results(self, paper: str, student: str | None = None) -> list[Result]:
        """Return one row a sheet of the paper, by student and sitting.

        Parameters
        ----------
        paper : str
            The paper's name.
        student : str, optional
            Only this student's.
        """
        self.paper(paper)
        everyone = self.students()
        asked = (
            sa.select(mark_table)
            .join(handin_table, handin_table.c.id == mark_table.c.handin)
            .join(sheet_table, sheet_table.c.token == handin_table.c.token)
            .where(sheet_table.c.paper == paper)
            .order_by(mark_table.c.id)
        )
        with self._reading() as connection:
            marks: dict[int, list[Mark]] = {}
            for row in connection.execute(asked):
                marks.setdefault(row.handin, []).append(Mark(*row))
            decided: dict[int, str] = {
                row.handin: row.what
                for row in connection.execute(
                    sa.select(decision_table.c.handin, decision_table.c.what)
                    .where(decision_table.c.what.in_(("counts", "set aside")))
                    .order_by(decision_table.c.id)
                )
            }
        by_token: dict[str, list[HandIn]] = {}
        for one in self.handins(paper=paper):
            by_token.setdefault(one.token or "", []).append(one)
        out = []
        for sheet in self.sheets(paper):
            if student is not None and sheet.student != student:
                continue
            came = by_token.get(sheet.token, [])
            counts = _that_counts(came, decided)
            stand = _standing(marks.get(counts.id, [])) if counts else {}
            out.append(
                Result(
                    sheet,
                    everyone[sheet.student],
                    counts.state if counts else ISSUED,
                    counts,
                    stand,
                    [one for one in came if one is not counts],
                    any(one.needs_a_look for one in came),
                )
            )
        return out

    def student_marks(self, student: str) -> list[Result]:
        """Return everything a student was issued and what came of it."""
        names = {sheet.paper for sheet in self.sheets() if sheet.student == student}
        return [
            result
            for paper in self.papers()
            if paper.name in names
            for result in self.results(paper.name, student)
        ]

    # -- a person's data ----------------------------------------------------------------------

    def export(self, student: str) -> dict[str, Any]:
        """Return everything the book holds about a person, as plain data."""
        person = self.students().get(student)
        if person is None:
            raise fault_error("student", "is not in this book", student)
        sheets = [one for one in self.sheets() if one.student == student]
        handins = [one for s in sheets for one in self.handins(token=s.token)]
        return {
            "student": {**vars(person), "about": dict(person.about)},
            "sheets": [vars(one) for one in sheets],
            "hand-ins": [
                {
                    **vars(one),
                    "marks": [vars(m) for m in self.marks(one.id, history=True)],
                }
                for one in handins
            ],
            "decisions": [vars(d) for one in handins for d in self.decisions(one.id)],
        }

    def erase(self, student: str, by: str, reason: str, named_in: Sequence[int] = ()) -> str:
        """Erase a person, and keep their marks only as numbers.

        Name, id, arrangements, answers, file names, reasons and remarks go; where the
        name stands in what was written about others, a gap takes its place.

        Parameters
        ----------
        student : str
            The id.
        by, reason : str
            Who erases, and on whose wish.
        named_in : sequence of int
            Hand-ins of others, or of nobody, whose file names hold the person's name.

        Returns
        -------
        str
            The id under which the numbers are kept.
        """
        must_name(by)
        new = f"erased-{secrets.token_hex(6)}"
        its = sa.select(sheet_table.c.token).where(sheet_table.c.student == new)
        mine = sa.select(handin_table.c.id).where(handin_table.c.token.in_(its))
        marks = sa.select(mark_table.c.id).where(mark_table.c.handin.in_(mine))
        with self._writing() as connection:
            run = connection.execute
            person = run(
                sa.select(student_table.c.name).where(student_table.c.id == student)
            ).first()
            if not person:
                raise fault_error("student", "is not in this book", student)
            run(
                student_table.insert().values(
                    id=new,
                    name="",
                    extra_time="",
                    other_date="",
                    print="",
                    about={},
                    erased_at=now(),
                )
            )
            run(sheet_table.update().where(sheet_table.c.student == student).values(student=new))
            run(student_table.delete().where(student_table.c.id == student))
            run(
                handin_table.update()
                .where(handin_table.c.token.in_(its))
                .values(
                    path=_ERASED + sa.cast(handin_table.c.id, sa.String),
                    answers={},
                    working={},
                    reason="",
                    fingerprint=None,
                    flags={},
                )
            )
            run(mark_table.update().where(mark_table.c.handin.in_(mine)).values(reason=""))
            run(
                decision_table.update()
                .where(sa.or_(decision_table.c.handin.in_(mine), decision_table.c.mark.in_(marks)))
                .values(reason="", detail={})
            )
            run(
                handin_table.update()
                .where(handin_table.c.id.in_(named_in))
                .values(path=_ERASED + sa.cast(handin_table.c.id, sa.String))
            )
            run(
                decision_table.insert().values(
                    what="erased",
                    detail={"kept as": new},
                    by=_plain(by),
                    reason=_plain(reason),
                    at=now(),
                )
            )
            _leave_gaps(connection, student, person.name, new)
        return new


def _leave_gaps(connection: sa.Connection, student: str, name: str, kept_as: str) -> None:
    """Take a person's name and id out of what was written about others."""
    words = [re.escape(word) for word in (name, student) if len(word) > 2]
    if not words:
        return
    named = re.compile(rf"(?<!\w)(?:{'|'.join(words)})(?!\w)", re.IGNORECASE)
    for table, columns in (
        (decision_table, ("reason", "detail")),
        (mark_table, ("reason",)),
        (handin_table, ("reason", "flags")),
    ):
        held = [table.c[column] for column in columns]
        asked = sa.select(table.c.id, *held)
        if table is mark_table:
            asked = asked.where(table.c.by != MACHINE)
        for row in connection.execute(asked).all():
            old = {column: row._mapping[column] for column in columns}
            new = _without(old, named, kept_as)
            if new != old:
                connection.execute(table.update().where(table.c.id == row.id).values(**new))


def _without(thing: Any, named: re.Pattern[str], gap: str) -> Any:
    """Return plain data with a gap for every name in its texts."""
    if isinstance(thing, str):
        return named.sub(gap, thing)
    if isinstance(thing, Mapping):
        return {key: _without(each, named, gap) for key, each in thing.items()}
    if isinstance(thing, list | tuple):
        return [_without(each, named, gap) for each in thing]
    return thing


_ERASED = "erased "
_INSERT_HANDIN = (
    "INSERT INTO handin (id, path, digest, size, received_at, clock, met_at, form,"
    " token, state, reason, answers, working, fingerprint, numbers, flags)"
    " VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?)"
)
_INSERT_MARK = (
    "INSERT INTO mark (handin, question, part, value, unit, awarded, total, verdict,"
    ' reason, road, "by", at, supersedes)'
    " VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?)"
)
# What is the same in every row stands in the statement: there are many rows.
_BY_MACHINE = _INSERT_MARK.replace("?, ?, ?)", f"'{MACHINE}', '{{}}', NULL)")


def _standing(rows: Iterable[Mark]) -> dict[str, Mark]:
    """Return the marks that no later mark takes the place of, by answer key."""
    return {mark.part: mark for mark in sorted(rows, key=lambda mark: mark.id)}


def _that_counts(came: Sequence[HandIn], decided: Mapping[int, str]) -> HandIn | None:
    chosen = [one for one in came if decided.get(one.id) == "counts"]
    if chosen:
        return chosen[-1]
    left = [one for one in came if decided.get(one.id) != "set aside"]
    marked = [one for one in left if one.state in (MARKED, SETTLED)]
    in_time = sorted(marked, key=lambda one: (one.received_at, one.id))
    return in_time[0] if in_time else (left[0] if left else None)
