"""The mark book: who got which sheet, what came back, which marks, who decided what.

The book is one SQLite file.  Every file that was met is a row, whatever became of
it; marks are added and never overwritten; a decision has a name, a reason and a
time.  Whoever writes does so in one transaction, so that a book is never left half
written.  A book should lie on a local disk, not on a network drive.

In short::

    book = create("class.db")                 # or open_book("class.db")
    with book:
        book.enrol([Student("s1", "Ada Example")])
        book.draft_paper("gelatin", plan, policy=..., pass_rule=...)
        book.check_paper("gelatin", by="M. Checker")
        seed = book.seed("gelatin", "s1")      # give it to exercises.question.build
        book.issue_paper("gelatin", [NewSheet("s1", seed, questions)], by="L. Lecturer")
        for sheet in book.sheets("gelatin"): ...   # sheet.token, sheet.questions
        book.results("gelatin")                # after the pile was marked
"""

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
from dataclasses import dataclass, field
from datetime import UTC, date, datetime, time, timedelta
from functools import lru_cache
from operator import mul
from pathlib import Path
from types import TracebackType
from typing import Any, TypeAlias
from urllib.parse import quote

import sqlalchemy as sa
from sqlalchemy import event

from calculators.faults import FaultsError, refuse
from calculators.units import read, unit
from exercises.keys import AnswerKey as AnswerKey
from exercises.keys import answer_keys as answer_keys
from exercises.marking import TO_SETTLE
from exercises.packed import Packed, pack
from exercises.question import calculators_digest

VERSION = "0001"  # the newest file of exercises/migrations/versions
VERSIONS = ("0001",)
MIGRATIONS = Path(__file__).with_name("migrations")
MACHINE = "machine"
BUSY_SECONDS = 30

# The states of a hand-in; a sheet without one is ``ISSUED``.
ISSUED, RECEIVED, UNREADABLE = "issued", "received", "can't be read"
MARKED, SETTLED = "marked", "settled"

# --- tables -----------------------------------------------------------------------

metadata = sa.MetaData()


def _text(name: str, *, empty: bool = False) -> sa.Column[str]:
    return sa.Column(name, sa.String, nullable=empty)


def _json(name: str) -> sa.Column[Any]:
    return sa.Column(name, sa.JSON, nullable=False)


_book = sa.Table(
    "book",
    metadata,
    sa.Column("id", sa.Integer, primary_key=True),
    _text("made_at"),
    _text("secret"),
    _json("about"),
)
_student = sa.Table(
    "student",
    metadata,
    sa.Column("id", sa.String, primary_key=True),
    _text("name"),
    _text("extra_time"),
    _text("other_date"),
    _text("print"),
    _json("about"),
    _text("erased_at", empty=True),
)
_paper = sa.Table(
    "paper",
    metadata,
    sa.Column("name", sa.String, primary_key=True),
    _json("plan"),
    _json("policy"),
    _json("pass_rule"),
    _text("state"),
    _text("drafted_at"),
    _text("checked_by", empty=True),
    _text("checked_at", empty=True),
    _text("issued_by", empty=True),
    _text("issued_at", empty=True),
)
_sheet = sa.Table(
    "sheet",
    metadata,
    sa.Column("token", sa.String, primary_key=True),
    sa.Column("paper", sa.String, sa.ForeignKey("paper.name"), nullable=False),
    sa.Column("student", sa.String, sa.ForeignKey("student.id"), nullable=False),
    sa.Column("sitting", sa.Integer, nullable=False),
    _text("seed"),
    _text("bank"),
    _text("calculators"),
    _text("opens_on"),
    _text("hand_in_by"),
    _text("issued_at"),
    # The long ones stand last: whatever stands behind them is slow to reach.
    _text("marking"),
    _json("questions"),
    sa.UniqueConstraint("paper", "student", "sitting"),
)
_handin = sa.Table(
    "handin",
    metadata,
    sa.Column("id", sa.Integer, primary_key=True),
    _text("path"),
    _text("digest"),
    sa.Column("size", sa.Integer, nullable=False),
    _text("received_at"),
    _text("clock"),
    _text("met_at"),
    _text("form"),
    sa.Column("token", sa.String, sa.ForeignKey("sheet.token")),
    _text("state"),
    _text("reason"),
    _json("answers"),
    _json("working"),
    _text("fingerprint", empty=True),
    _text("numbers", empty=True),
    _json("flags"),
    sa.UniqueConstraint("path", "digest"),
    sa.Index("handin_token", "token"),
    sa.Index("handin_fingerprint", "fingerprint"),
)
_mark = sa.Table(
    "mark",
    metadata,
    sa.Column("id", sa.Integer, primary_key=True),
    sa.Column("handin", sa.Integer, sa.ForeignKey("handin.id"), nullable=False),
    _text("question"),
    _text("part"),
    sa.Column("value", sa.Float, nullable=False),
    sa.Column("unit", sa.Float, nullable=False),
    sa.Column("awarded", sa.Float, nullable=False),
    sa.Column("total", sa.Float, nullable=False),
    _text("verdict"),
    _text("reason"),
    _text("road"),
    _text("by"),
    _text("at"),
    sa.Column("supersedes", sa.Integer, sa.ForeignKey("mark.id")),
    sa.Index("mark_handin", "handin"),
)
_decision = sa.Table(
    "decision",
    metadata,
    sa.Column("id", sa.Integer, primary_key=True),
    sa.Column("handin", sa.Integer, sa.ForeignKey("handin.id")),
    sa.Column("mark", sa.Integer, sa.ForeignKey("mark.id")),
    _text("what"),
    _json("detail"),
    _text("by"),
    _text("reason"),
    _text("at"),
    sa.Index("decision_handin", "handin"),
)


def _sheet_columns(questions: sa.ColumnElement[Any]) -> tuple[Any, ...]:
    """Return the columns of a sheet in the order of its fields."""
    c = _sheet.c
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
    "all": _sheet_columns(_sheet.c.questions),
    "head": _sheet_columns(sa.literal([], sa.JSON)),
}


# --- tokens -------------------------------------------------------------------------

# Twenty-three signs (a prime number) that nobody takes for one another, without
# 0 O D, 1 I L, 2 Z, 5 S, 8 B, 6 G and U.  Nineteen drawn ones hold 85 bits.
ALPHABET = "346789ACEFHJKMNPQRTVWXY"
DRAWN = 19
_PLACE = {sign: place for place, sign in enumerate(ALPHABET)}
_WEIGHTS = range(1, DRAWN + 2)
_AS_KEPT = re.compile(rf"[{ALPHABET}]{{4}}(?:-[{ALPHABET}]{{4}}){{4}}")
_SPACING = re.compile(r"[\s\-‐‑–—_.]+")


def new_token() -> str:
    """Return a token that nobody can guess, in five groups of four.

    The last sign is a check: one mistyped sign, or two exchanged ones, never give
    another token.
    """
    drawn = [secrets.randbelow(len(ALPHABET)) for _ in range(DRAWN)]
    total = sum(weight * value for weight, value in enumerate(drawn, 1))
    size = len(ALPHABET)
    check = -total * pow(DRAWN + 1, -1, size) % size
    signs = "".join(ALPHABET[value] for value in [*drawn, check])
    return "-".join(signs[start : start + 4] for start in range(0, len(signs), 4))


def read_token(text: str, where: str = "token") -> str:
    """Return a token as it is kept, from one as a person typed it.

    Blanks, hyphens and small letters do not matter.

    Raises
    ------
    FaultsError
        Where it was mistyped, saying how.
    """
    if isinstance(text, str) and _AS_KEPT.fullmatch(text) and _agrees(text):
        return text
    if not isinstance(text, str) or len(text) > 64:
        raise refuse(where, "is not a token", str(text)[:24], "", _TOKEN_STEP)
    signs = _SPACING.sub("", text).upper()
    strange = sorted({sign for sign in signs if sign not in _PLACE})
    if strange:
        raise refuse(
            where,
            f"holds {', '.join(strange)}, which no token has",
            text.encode("ascii", "backslashreplace").decode(),
            f"A token is written with {ALPHABET}",
            _TOKEN_STEP,
        )
    if len(signs) != DRAWN + 1:
        raise refuse(
            where,
            f"has {len(signs)} signs",
            text,
            f"A token has {DRAWN + 1}",
            _TOKEN_STEP,
        )
    if not _agrees(signs):
        raise refuse(where, "is mistyped: its check sign does not agree", text, "", _TOKEN_STEP)
    return "-".join(signs[start : start + 4] for start in range(0, len(signs), 4))


def _agrees(token: str) -> bool:
    """Tell whether the check sign of a token agrees with the others."""
    places = map(_PLACE.__getitem__, token.replace("-", ""))
    return sum(map(mul, _WEIGHTS, places)) % len(ALPHABET) == 0


_TOKEN_STEP = "Compare it sign by sign with the head of the sheet"


# --- times ----------------------------------------------------------------------------


def now() -> str:
    """Return this moment as the book writes it: ISO 8601, in UTC, to the second."""
    return datetime.now(UTC).isoformat(timespec="seconds")


def moment(value: str | date | datetime, *, end_of_day: bool = True) -> datetime:
    """Return a time with its zone; a plain date means the end of that day here.

    Parameters
    ----------
    value : str, date or datetime
        ``"2030-03-01"``, ``"2030-03-01 17:00"``; without a zone it is local time.
    end_of_day : bool
        Whether a plain date means its end, as in *hand in by*, or its beginning.
    """
    if isinstance(value, str):
        try:
            value = (
                date.fromisoformat(value.strip())
                if len(value.strip()) <= 10
                else datetime.fromisoformat(value.strip())
            )
        except ValueError:
            raise refuse(
                "date", "is not a date", value, "", 'Write it like "2030-03-01 17:00"'
            ) from None
    if not isinstance(value, datetime):
        edge = time(23, 59, 59) if end_of_day else time(0)
        value = datetime.combine(value, edge)
    return value.astimezone() if value.tzinfo is None else value


def latest(sheet: Sheet, student: Student) -> datetime | None:
    """Return the last moment at which a sheet is not late, or None for no limit.

    Another date of the student takes the place of the paper's; extra time
    (``"30 min"``, ``"2 d"``, or ``"25 %"`` of the time from *opens on*) is added.
    """
    return _limit(sheet.hand_in_by, sheet.opens_on, student.other_date, student.extra_time)


@lru_cache(maxsize=4096)
def _limit(hand_in_by: str, opens_on: str, other_date: str, extra_time: str) -> datetime | None:
    written = other_date or hand_in_by
    if not written:
        return None
    limit = moment(written)
    if not extra_time:
        return limit
    extra = read(extra_time, None, "extra time")
    if extra.is_compatible_with(unit("s")):
        return limit + timedelta(seconds=float(extra.to("s").magnitude))
    if extra.is_compatible_with(unit("percent")) and opens_on:
        share = float(extra.to("").magnitude)
        return limit + share * (limit - moment(opens_on, end_of_day=False))
    return limit


def must_name(by: str) -> None:
    """Refuse a *by* that names no person."""
    if not by.strip() or by.strip().lower() == MACHINE:
        raise refuse("by", "does not name a person", by, "", "Give the name of who does it")


# --- what the book hands out ------------------------------------------------------------


@dataclass(frozen=True)
class Student:
    """A student of the class list with the arrangements made for them.

    Parameters
    ----------
    id, name : str
        As in the class list.
    extra_time : str
        ``"30 min"``, ``"2 d"`` or ``"25 %"``; empty for none.
    other_date : str
        A *hand in by* of their own; empty for the paper's.
    print : str
        ``"large"``, ``"plain"`` or empty.
    about : mapping
        Whatever else the class list says and a report should print.
    erased_at : str or None
        When the person's data were erased.
    """

    id: str
    name: str
    extra_time: str = ""
    other_date: str = ""
    print: str = ""
    about: Mapping[str, Any] = field(default_factory=dict)
    erased_at: str | None = None


@dataclass(frozen=True)
class Paper:
    """A paper: its plan, its rules, and how far it has come."""

    name: str
    plan: dict[str, Any]
    policy: dict[str, Any]
    pass_rule: dict[str, Any]
    state: str
    drafted_at: str
    checked_by: str | None = None
    checked_at: str | None = None
    issued_by: str | None = None
    issued_at: str | None = None


@dataclass(frozen=True)
class NewSheet:
    """A sheet about to be issued.

    Parameters
    ----------
    student : str
        The student's id.
    seed : str
        From :meth:`Book.seed`.
    questions : sequence of mapping
        As :func:`exercises.question.build` returns them, in the order of the sheet.
    opens_on, hand_in_by : str
        The paper's dates; a student's own arrangement is applied when marking.
    sitting : int
        1, and 2 for a resit.
    token : str
        From :func:`new_token`; left empty, the book draws one.
    """

    student: str
    seed: str
    questions: Sequence[Mapping[str, Any]]
    opens_on: str = ""
    hand_in_by: str = ""
    sitting: int = 1
    token: str = ""


@dataclass(frozen=True)
class Sheet:
    """A sheet as it was issued; nothing in it ever changes."""

    token: str
    paper: str
    student: str
    sitting: int
    seed: str
    questions: list[dict[str, Any]]
    bank: str
    calculators: str
    opens_on: str
    hand_in_by: str
    issued_at: str

    @property
    def total(self) -> int:
        """The marks that can be had."""
        return sum(part["total"] for one in self.questions for part in one["parts"])


@dataclass
class HandIn:
    """A file that was met, whatever became of it; ``id`` is given by the book.

    Parameters
    ----------
    path : str
        Relative to the folder, with the member of an archive after ``!``.
    digest : str
        SHA-256 of its bytes.
    received_at : str
        When it came in, ISO 8601.
    clock : str
        Who says so: ``"file"``, ``"archive"`` or ``"given"``.
    form : str
        ``"notebook"``, ``"file"``, ``"line"``, ``"paper"`` or ``"unknown"``.
    token : str or None
        The sheet, where it is known.
    state, reason : str
        One of the book's states, and why where it was not marked.
    answers, working : dict
        What the student wrote, by answer key.
    fingerprint : str or None
        Digest of answers and working, by which copies are recognised.
    numbers : str or None
        Digest of what the sheet expected there: copies of one another with equal
        numbers prove nothing.
    flags : dict
        ``late, repeated, copied, swapped, to settle, notes``: what needs a look.
    marks : sequence of tuple
        For recording: verdicts of :mod:`exercises.marking`, or their fields.
    """

    path: str
    digest: str
    size: int = 0
    received_at: str = ""
    clock: str = "file"
    form: str = "unknown"
    token: str | None = None
    state: str = RECEIVED
    reason: str = ""
    answers: dict[str, Any] = field(default_factory=dict)
    working: dict[str, Any] = field(default_factory=dict)
    fingerprint: str | None = None
    numbers: str | None = None
    flags: dict[str, Any] = field(default_factory=dict)
    marks: Sequence[tuple[Any, ...]] = ()
    id: int = 0
    met_at: str = ""

    @property
    def needs_a_look(self) -> bool:
        """Whether an assessor has still to look at it."""
        return self.state == UNREADABLE or (self.state == MARKED and bool(self.flags))


@dataclass(frozen=True)
class Mark:
    """The mark that stands for one answer key of one hand-in."""

    id: int
    handin: int
    question: str
    part: str
    value: float
    unit: float
    awarded: float
    total: float
    verdict: str
    reason: str
    road: str
    by: str
    at: str
    supersedes: int | None = None


@dataclass(frozen=True)
class Decision:
    """What an assessor decided."""

    id: int
    handin: int | None
    mark: int | None
    what: str
    detail: dict[str, Any]
    by: str
    reason: str
    at: str


@dataclass(frozen=True)
class Result:
    """One sheet and what came of it, as a report needs it.

    Parameters
    ----------
    sheet, student : Sheet, Student
        Whose it is.
    state : str
        *issued* where nothing came back, else the state of the hand-in that counts.
    handin : HandIn or None
        The one that counts: the assessor's choice, else the first that could be
        marked, else the first.
    marks : dict of str to Mark
        By answer key; empty where nothing was marked.
    others : list of HandIn
        Further hand-ins of this sheet.
    needs_a_look : bool
        Whether an assessor has still to decide something about this sheet.
    """

    sheet: Sheet
    student: Student
    state: str
    handin: HandIn | None
    marks: dict[str, Mark]
    others: list[HandIn]
    needs_a_look: bool

    @property
    def awarded(self) -> float:
        """The marks that were won."""
        return sum(mark.awarded for mark in self.marks.values())

    @property
    def total(self) -> int:
        """The marks that could be had."""
        return self.sheet.total

    @property
    def outcomes(self) -> dict[str, tuple[float, float]]:
        """Marks won and possible for each outcome of the sheet."""
        out: dict[str, tuple[float, float]] = {}
        for key in answer_keys(self.sheet.questions):
            won, possible = out.get(key.outcome, (0.0, 0.0))
            mark = self.marks.get(key.key)
            out[key.outcome] = (
                won + (mark.awarded if mark else 0.0),
                possible + key.part["total"],
            )
        return out


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
        raise refuse(
            str(path),
            "is there already",
            "",
            "",
            "Open it, or give the new mark book another name",
        )
    if not path.parent.is_dir():
        raise refuse(
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
                _book.insert().values(
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
        raise refuse(
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
            raise refuse(
                str(path),
                "is a database, but not a mark book",
                "",
                "",
                "Give the file that was made when the paper was issued",
            )
        if version not in VERSIONS:
            raise refuse(
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
            return refuse(str(path), problem, "", "", f"{step}; nothing in the book was changed")
    return refuse(
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
            return dict(connection.execute(sa.select(_book.c.about)).scalar_one())

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
                    sa.select(_student).where(_student.c.id == one.id)
                ).one_or_none()
                if held is None:
                    connection.execute(_student.insert().values(id=_plain(one.id), **values))
                    new += 1
                elif held.erased_at is None and any(
                    getattr(held, name) != value for name, value in values.items()
                ):
                    connection.execute(
                        _student.update().where(_student.c.id == one.id).values(values)
                    )
                    changed += 1
        return new, changed

    def students(self, ids: Iterable[str] | None = None) -> dict[str, Student]:
        """Return every student (or those with these ids), by id."""
        asked = sa.select(_student).order_by(_student.c.id)
        if ids is not None:
            asked = asked.where(_student.c.id.in_(list(ids)))
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
    ) -> Paper:
        """Draft a paper, or draft it anew: whatever was checked must be checked again.

        Parameters
        ----------
        name : str
            The paper's name in the scheme.
        plan : mapping
            What it is made of, as plain data; the questions shown to the checker too.
        policy : mapping, optional
            How units are marked; see :data:`exercises.marking.POLICY`.
        pass_rule : mapping, optional
            ``{"share": 0.5, "must_pass": [outcome, ...]}``.
        """
        with self._writing() as connection:
            held = self._one_paper(connection, name)
            if held and held.state == "issued":
                raise refuse(
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
                connection.execute(_paper.insert().values(name=name, **values))
            else:
                connection.execute(_paper.update().where(_paper.c.name == name).values(values))
        return self.paper(name)

    def check_paper(self, name: str, by: str) -> Paper:
        """Record that a named person has looked through the drafted paper."""
        must_name(by)
        with self._writing() as connection:
            held = self._paper_that_is(connection, name, "drafted", "checked")
            connection.execute(
                _paper.update()
                .where(_paper.c.name == held.name)
                .values(state="checked", checked_by=_plain(by), checked_at=now())
            )
        return self.paper(name)

    def issue_paper(
        self, name: str, sheets: Iterable[NewSheet], by: str, *, bank: str = ""
    ) -> list[Sheet]:
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
                    sa.select(_sheet.c.student, _sheet.c.sitting, _sheet.c.token).where(
                        _sheet.c.paper == name
                    )
                )
            }
            known = set(connection.execute(sa.select(_student.c.id)).scalars())
            at = now()
            for one in sheets:
                if one.student not in known:
                    raise refuse(
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
                        _sheet.insert(),
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
                    _paper.update()
                    .where(_paper.c.name == name)
                    .values(state="issued", issued_by=_plain(by), issued_at=at)
                )
        found = self.sheets_by_token(tokens)
        return [found[token] for token in tokens]

    def paper(self, name: str) -> Paper:
        """Return a paper by its name."""
        with self._reading() as connection:
            held = self._one_paper(connection, name)
            names = list(connection.execute(sa.select(_paper.c.name)).scalars())
        if held is None:
            raise refuse(
                f"paper {name}",
                "is not in this book",
                "",
                f"It has: {', '.join(sorted(names)) or 'no paper yet'}",
                "Check the name, or draft the paper first",
            )
        return held

    def papers(self) -> list[Paper]:
        """Return every paper, in the order in which they were drafted."""
        with self._reading() as connection:
            rows = connection.execute(
                sa.select(_paper).order_by(_paper.c.drafted_at, _paper.c.name)
            )
            return [Paper(**row._mapping) for row in rows]

    @staticmethod
    def _one_paper(connection: sa.Connection, name: str) -> Paper | None:
        row = connection.execute(sa.select(_paper).where(_paper.c.name == name)).one_or_none()
        return Paper(**row._mapping) if row else None

    def _paper_that_is(self, connection: sa.Connection, name: str, *states: str) -> Paper:
        held = self._one_paper(connection, name)
        if held is None:
            raise refuse(f"paper {name}", "is not in this book", "", "", "Draft the paper first")
        if held.state not in states:
            raise refuse(
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
            secret = connection.execute(sa.select(_book.c.secret)).scalar_one()
        text = "\x1f".join((paper, student, str(sitting)))
        return hmac.new(bytes.fromhex(secret), text.encode(), hashlib.sha256).hexdigest()

    def sheets(self, paper: str | None = None, *, needs: str = "all") -> list[Sheet]:
        """Return the sheets of a paper (or of every paper), by student and sitting.

        Parameters
        ----------
        paper : str, optional
            Only this paper's.
        needs : str
            ``"all"``; ``"head"`` leaves the questions out.
        """
        asked = sa.select(*_SHEET_COLUMNS[needs]).order_by(
            _sheet.c.paper, _sheet.c.student, _sheet.c.sitting
        )
        if paper is not None:
            asked = asked.where(_sheet.c.paper == paper)
        with self._reading() as connection:
            return [Sheet(*row) for row in connection.execute(asked)]

    def sheet(self, token: str) -> Sheet:
        """Return the sheet of a token as a person typed it."""
        token = read_token(token)
        found = self.sheets_by_token([token])
        if not found:
            raise refuse(
                "token",
                "belongs to no sheet of this book",
                token,
                "",
                "Look whether the sheet was issued from another mark book",
            )
        return found[token]

    def sheets_by_token(self, tokens: Iterable[str], *, needs: str = "all") -> dict[str, Sheet]:
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
                        _sheet.c.token.in_(wanted[start : start + 500])
                    )
                )
                out.update({row[0]: Sheet(*row) for row in rows})
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
            return {row[0]: (row[1], _limit(*row[2:])) for row in _each(connection, asked, tokens)}

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
            top = connection.execute(sa.select(sa.func.max(_handin.c.id))).scalar()
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
                        _handin.update().where(_handin.c.id == one.id).values(flags=one.flags)
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
                sa.select(_handin)
                .where(_handin.c.id.in_(listed[start : start + 500]))
                .order_by(_handin.c.id)
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
        asked = sa.select(_handin).order_by(_handin.c.id)
        if paper is not None:
            asked = asked.join(_sheet).where(_sheet.c.paper == paper)
        if token is not None:
            asked = asked.where(_handin.c.token == token)
        if state is not None:
            asked = asked.where(_handin.c.state == state)
        with self._reading() as connection:
            return [HandIn(**row._mapping) for row in connection.execute(asked)]

    def waiting(self) -> int:
        """Return how many hand-ins an assessor has still to look at."""
        flags = sa.cast(_handin.c.flags, sa.String)
        flagged = sa.and_(_handin.c.state == MARKED, flags != "{}")
        asked = sa.select(sa.func.count()).where(sa.or_(_handin.c.state == UNREADABLE, flagged))
        with self._reading() as connection:
            return int(connection.execute(asked).scalar_one())

    def counts(self) -> dict[str, int]:
        """Return how many hand-ins are in each state."""
        with self._reading() as connection:
            rows = connection.execute(
                sa.select(_handin.c.state, sa.func.count()).group_by(_handin.c.state)
            )
            return {state: count for state, count in rows}

    # -- marks and decisions ----------------------------------------------------------------

    def marks(self, handin: int, *, history: bool = False) -> list[Mark]:
        """Return the marks that stand for a hand-in; with ``history``, all ever given."""
        with self._reading() as connection:
            rows = [
                Mark(**row._mapping)
                for row in connection.execute(
                    sa.select(_mark).where(_mark.c.handin == handin).order_by(_mark.c.id)
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
            raise refuse("reason", "is empty", "", "", "Say in a few words why")
        if (handin is None) == (mark is None):
            raise refuse(
                "decision",
                "is about nothing, or about two things",
                "",
                "",
                "Give a hand-in or a mark",
            )
        extra, at = dict(detail or {}), now()
        with self._writing() as connection:
            if mark is not None:
                row = connection.execute(sa.select(_mark).where(_mark.c.id == mark)).one_or_none()
                if row is None:
                    raise refuse("mark", "is not in this book", mark)
                if what == "marks":
                    self._overrule(connection, Mark(**row._mapping), by, extra, at)
                    self._looked_at(connection, [(row.handin, row.part)])
            else:
                held = connection.execute(
                    sa.select(_handin.c.state).where(_handin.c.id == handin)
                ).one_or_none()
                if held is None:
                    raise refuse("hand-in", "is not in this book", handin or "")
                if what in ("settled", "counts", "set aside"):
                    connection.execute(
                        _handin.update().where(_handin.c.id == handin).values(state=SETTLED)
                    )
            done = connection.execute(
                _decision.insert().values(
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
            raise refuse("reason", "is empty", "", "", "Say in a few words why")
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
                    sa.select(_mark.c.supersedes).where(_mark.c.supersedes.is_not(None))
                ).scalars()
            }
            moved = [row[2] for row in rows if row[-1] in gone]
            if moved:
                raise refuse(
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
                connection.execute(_decision.insert(), noted)
        return len(rows) + len(noted)

    @staticmethod
    def _looked_at(connection: sa.Connection, places: Iterable[tuple[int, str]]) -> None:
        """Take parts that have their marks now off what their hand-ins have to settle."""
        done: dict[int, set[str]] = {}
        for handin, part in places:
            done.setdefault(handin, set()).add(part)
        for handin, parts in done.items():
            this = _handin.c.id == handin
            flags = dict(connection.execute(sa.select(_handin.c.flags).where(this)).scalar_one())
            waited = flags.pop("to settle", [])
            left = [part for part in waited if part not in parts]
            if left != waited:
                flags |= {"to settle": left} if left else {}
                connection.execute(_handin.update().where(this).values(flags=flags))

    @staticmethod
    def _overrule(
        connection: sa.Connection,
        old: Mark,
        by: str,
        detail: Mapping[str, Any],
        at: str,
    ) -> None:
        later = connection.execute(
            sa.select(_mark.c.id).where(_mark.c.supersedes == old.id)
        ).first()
        if later:
            raise refuse("mark", "no longer stands", old.id, "", "Overrule the one that stands")
        value = float(detail.get("value", detail.get("awarded", old.value)))
        unit_mark = float(detail.get("unit", 0.0 if "awarded" in detail else old.unit))
        awarded = value + unit_mark
        if not 0 <= awarded <= old.total:
            raise refuse(
                "marks",
                "are out of range",
                awarded,
                f"From 0 to {old.total:g}",
                "Give marks within the range",
            )
        connection.execute(
            _mark.insert().values(
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
        asked = sa.select(_decision).order_by(_decision.c.id)
        if handin is not None:
            its = sa.select(_mark.c.id).where(_mark.c.handin == handin)
            asked = asked.where(sa.or_(_decision.c.handin == handin, _decision.c.mark.in_(its)))
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
            sa.select(_mark)
            .join(_handin, _handin.c.id == _mark.c.handin)
            .join(_sheet, _sheet.c.token == _handin.c.token)
            .where(_sheet.c.paper == paper)
            .order_by(_mark.c.id)
        )
        with self._reading() as connection:
            marks: dict[int, list[Mark]] = {}
            for row in connection.execute(asked):
                marks.setdefault(row.handin, []).append(Mark(*row))
            decided: dict[int, str] = {
                row.handin: row.what
                for row in connection.execute(
                    sa.select(_decision.c.handin, _decision.c.what)
                    .where(_decision.c.what.in_(("counts", "set aside")))
                    .order_by(_decision.c.id)
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
            raise refuse("student", "is not in this book", student)
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
        its = sa.select(_sheet.c.token).where(_sheet.c.student == new)
        mine = sa.select(_handin.c.id).where(_handin.c.token.in_(its))
        marks = sa.select(_mark.c.id).where(_mark.c.handin.in_(mine))
        with self._writing() as connection:
            run = connection.execute
            person = run(sa.select(_student.c.name).where(_student.c.id == student)).first()
            if not person:
                raise refuse("student", "is not in this book", student)
            run(
                _student.insert().values(
                    id=new,
                    name="",
                    extra_time="",
                    other_date="",
                    print="",
                    about={},
                    erased_at=now(),
                )
            )
            run(_sheet.update().where(_sheet.c.student == student).values(student=new))
            run(_student.delete().where(_student.c.id == student))
            run(
                _handin.update()
                .where(_handin.c.token.in_(its))
                .values(
                    path=_ERASED + sa.cast(_handin.c.id, sa.String),
                    answers={},
                    working={},
                    reason="",
                    fingerprint=None,
                    flags={},
                )
            )
            run(_mark.update().where(_mark.c.handin.in_(mine)).values(reason=""))
            run(
                _decision.update()
                .where(sa.or_(_decision.c.handin.in_(mine), _decision.c.mark.in_(marks)))
                .values(reason="", detail={})
            )
            run(
                _handin.update()
                .where(_handin.c.id.in_(named_in))
                .values(path=_ERASED + sa.cast(_handin.c.id, sa.String))
            )
            run(
                _decision.insert().values(
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
        (_decision, ("reason", "detail")),
        (_mark, ("reason",)),
        (_handin, ("reason", "flags")),
    ):
        held = [table.c[column] for column in columns]
        asked = sa.select(table.c.id, *held)
        if table is _mark:
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
