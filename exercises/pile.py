"""Marks a whole folder of hand-ins, however messy, and loses none of them.

Workers read and mark in parallel; one writer records each batch in one transaction.
Whenever it is stopped, it can be run again: what the book has is not marked twice.
Files are taken in the order of their names, so that a run that was stopped and run
again ends like one that was not.
"""

from __future__ import annotations

import gc
import hashlib
import json
import multiprocessing
import os
import re
import signal
import stat
import threading
import unicodedata
from array import array
from bisect import bisect_left
from collections import Counter, deque
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from concurrent.futures import Future, ProcessPoolExecutor
from concurrent.futures.process import BrokenProcessPool
from dataclasses import dataclass, field
from datetime import UTC, datetime
from pathlib import Path
from typing import Any, NamedTuple

from calculators.faults import refuse
from exercises import handin as reader
from exercises.markbook import (
    MARKED,
    RECEIVED,
    SETTLED,
    UNREADABLE,
    Book,
    HandIn,
    Student,
    answer_keys,
    moment,
    must_name,
    now,
    open_book,
    read_token,
)
from exercises.marking import TO_SETTLE
from exercises.packed import Packed
from exercises.question import bank

BATCH = 100  # files a worker takes at a time, and a transaction records
MOST_HELD = 4_000_000  # bytes that a worker keeps in memory before it reads them
FEW = 150  # below this a pool costs more than it saves
FEWEST_COPIED = 2  # equal numbers on two sheets, from which a copy is suspected


# --- what there is to do ---------------------------------------------------------------


class Task(NamedTuple):
    """A file, or a run of the members of an archive."""

    path: str
    shown: str
    start: int = 0
    stop: int = 0  # 0: a plain file


def find(folder: Path, leave: Iterable[Path] = ()) -> Iterator[Task]:
    """Yield every file below a folder in the order of its names.

    Links are listed and not followed, and so are folders that can't be opened.
    ``leave`` names files that are no hand-ins, such as the mark book itself.
    """
    left = {str(path.resolve()) for path in leave}
    inside = [(str(folder), "", str(folder.resolve()), _names(str(folder)) or iter(()))]
    while inside:
        here, before, real, names = inside[-1]
        name = next(names, None)
        if name is None:
            inside.pop()
            continue
        path = f"{here}{os.sep}{name}"
        if name.endswith("/"):
            path = path[:-1]
            further = _names(path)
            if further is not None:
                real = f"{real}{os.sep}{name[:-1]}"
                inside.append((path, before + name, real, further))
                continue
            name = name[:-1]
        if f"{real}{os.sep}{name}" not in left:
            yield Task(path, before + name)


def _names(folder: str) -> Iterator[str] | None:
    """Return what is in a folder, in the order of whole paths; None where it is shut.

    A folder has a slash behind its name, and so sorts as the files in it do.
    """
    try:
        with os.scandir(folder) as found:
            return iter(
                sorted(
                    f"{one.name}/" if one.is_dir(follow_symlinks=False) else one.name
                    for one in found
                )
            )
    except OSError:
        return None


def _spread(tasks: Iterable[Task]) -> Iterator[Task]:
    """Replace each archive by runs of its members, so that no run is long."""
    for task in tasks:
        count = _members(task.path)
        if count:
            for start in range(0, count, BATCH):
                yield task._replace(start=start, stop=min(count, start + BATCH))
        else:
            yield task


_NO_ARCHIVE = (".json", ".ipynb", ".txt")


def _members(path: str) -> int:
    """Return how many files an archive holds; 0 for a plain or a damaged one."""
    if path.endswith(_NO_ARCHIVE):
        return 0
    try:
        if not stat.S_ISREG(os.lstat(path).st_mode):
            return 0
        with Path(path).open("rb") as file:
            if not reader.is_archive(file.read(4)):
                return 0
            archive = reader.Archive(file)
            with_faults = 0 if archive.fault else len(archive)
            archive.close()
            return with_faults
    except OSError:
        return 0


def _batches(tasks: Iterable[Task]) -> Iterator[list[Task]]:
    batch: list[Task] = []
    size = 0
    for task in tasks:
        batch.append(task)
        size += max(1, task.stop - task.start)
        if size >= BATCH:
            yield batch
            batch, size = [], 0
    if batch:
        yield batch


# --- one batch, in a worker --------------------------------------------------------------


class _Done(NamedTuple):
    """What a worker hands to the writer: new entries, and how many files there were."""

    entries: list[HandIn]
    files: int


class _Worker:
    """Reads and marks; looks into the book and never writes."""

    def __init__(self, book: Book) -> None:
        self.book = book
        self.policies: dict[str, dict[str, Any]] = {}

    def batch(self, tasks: Sequence[Task]) -> _Done:
        """Read and mark a batch of files."""
        done = _Done([], 0)
        held: list[tuple[HandIn, bytes | None]] = []
        size = 0
        for task in tasks:
            for one in _opened(task):
                held.append(one)
                size += len(one[1] or b"")
                if size > MOST_HELD:
                    done, held, size = self._read(held, done), [], 0
        return self._read(held, done)

    def _read(self, held: list[tuple[HandIn, bytes | None]], done: _Done) -> _Done:
        """Return what was done, and these files too."""
        met = self.book.met((entry.path, entry.digest) for entry, _ in held)
        fresh = [(e, data) for e, data in held if (e.path, e.digest) not in met]
        readings = [
            reader.read_bytes(data, entry.path) if data is not None else None
            for entry, data in fresh
        ]
        sheets = self.book.packed(r.token for r in readings if r and r.token)
        for (entry, _), reading in zip(fresh, readings, strict=True):
            if reading is not None:
                self.mark(entry, reading, sheets)
            done.entries.append(entry)
        return done._replace(files=done.files + len(held))

    def mark(self, entry: HandIn, reading: reader.Reading, sheets: Mapping[str, Packed]) -> None:
        """Mark one hand-in that was read, into its entry."""
        entry.form = reading.form
        entry.answers, entry.working = reading.answers, reading.working
        if reading.fault:
            entry.state, entry.reason = UNREADABLE, reading.fault
            entry.token = reading.token if reading.token in sheets else None
            return
        sheet = sheets.get(reading.token or "")
        if sheet is None:
            entry.state = UNREADABLE
            entry.reason = (
                f"Its sheet {reading.token} is not in this mark book. Look whether it "
                "belongs to another class."
            )
            return
        entry.token, entry.state = sheet.token, MARKED
        if sheet.paper not in self.policies:
            self.policies[sheet.paper] = self.book.paper(sheet.paper).policy
        policy = self.policies[sheet.paper]
        verdicts = sheet.mark(reading.answers, policy, reading.problems)
        entry.marks = [tuple(verdict) for verdict in verdicts]  # what travels fastest
        to_settle = [one.part for one in verdicts if one.verdict in TO_SETTLE]
        if to_settle:
            entry.flags["to settle"] = to_settle
        strays = reading.answers.keys() - {verdict.part for verdict in verdicts}
        if strays:
            entry.flags["strays"] = sorted(strays)[:20]
        entry.fingerprint, entry.numbers = fingerprint(sheet.quantities(), reading)


def fingerprint(
    quantities: Iterable[tuple[str, float]], reading: reader.Reading
) -> tuple[str | None, str | None]:
    """Return a digest of what was answered in numbers, and of what was expected there.

    Two hand-ins with the same first and another second one hold the same numbers
    where their sheets ask for different ones.
    """
    answered, expected = [], []
    for key, answer in quantities:
        text = "".join(reading.answers.get(key, "").split())
        if text:
            answered.append(f"{key}={text.casefold()}")
            expected.append(f"{answer:.6g}")
    if len(answered) < FEWEST_COPIED:
        return None, None
    work = [
        f"{key}={' '.join(text.split()).casefold()}"
        for key, text in sorted(reading.working.items())
    ]
    return _digest("\n".join(answered + work)), _digest("\n".join(expected))


def _digest(text: str) -> str:
    return hashlib.sha256(text.encode("utf-8", "backslashreplace")).hexdigest()[:32]


def _opened(task: Task) -> Iterator[tuple[HandIn, bytes | None]]:
    """Yield each file of a task with its bytes, or None where it is not read."""
    entry = HandIn(task.shown, "", state=UNREADABLE)
    try:
        about = os.lstat(task.path)
        entry.size = about.st_size
        entry.received_at = _iso(about.st_mtime)
        if not stat.S_ISREG(about.st_mode):
            entry.reason = (
                "It is a folder that can't be opened. Ask who may open it."
                if stat.S_ISDIR(about.st_mode)
                else "It is a link or a device, not a file."
            )
            entry.digest = _digest(task.shown)
            yield entry, None
            return
        if reader.left_by_a_program(task.shown):
            entry.state, entry.reason = RECEIVED, "Left by a program; not a hand-in."
            entry.digest = _large(task.path, entry.size)
            yield entry, None
            return
        if task.stop:
            yield from _within(_archive(task.path), task, entry.received_at)
            return
        # Unbuffered, and with room for its own length: this is done thousands of times.
        with open(task.path, "rb", buffering=0) as file:  # noqa: PTH123
            data = file.read(min(about.st_size, reader.MOST_BYTES) + 1)
            while about.st_size < len(data) <= reader.MOST_BYTES:  # it grows
                more = file.read(reader.MOST_BYTES + 1 - len(data))
                data += more
                if not more:
                    break
            if reader.is_archive(data):  # one that could not be spread
                entry.reason = reader.Archive(file).fault or (
                    "It is an archive by another name. Name it .zip and mark again."
                )
                entry.digest = _large(task.path, entry.size)
                yield entry, None
                return
        if len(data) > reader.MOST_BYTES:
            entry.reason = reader.too_large(entry.size)
            entry.digest = _large(task.path, entry.size)
            yield entry, None
            return
        entry.digest = hashlib.sha256(data).hexdigest()
        yield entry, data
    except OSError as error:
        entry.reason = f"The disk did not give it: {error.strerror or 'a fault'}."
        entry.digest = entry.digest or _digest(task.shown)
        yield entry, None


_open: tuple[str, reader.Archive] | None = None


def _archive(path: str) -> reader.Archive:
    """Return an archive; the last one stays open for its next run of members."""
    global _open
    if _open is None or _open[0] != path:
        _let_go()
        _open = path, reader.Archive(Path(path).open("rb"))  # noqa: SIM115
    return _open[1]


def _let_go() -> None:
    global _open
    if _open is not None:
        _open[1].close()
        _open = None


def _large(path: str, size: int) -> str:
    """Return a digest of a file of any size: its length, its beginning and its end."""
    total = hashlib.sha256(str(size).encode())
    with Path(path).open("rb") as file:
        total.update(file.read(1_000_000))
        file.seek(max(0, size - 1_000_000))
        total.update(file.read(1_000_000))
    return total.hexdigest()


def _within(
    archive: reader.Archive,
    task: Task,
    received_at: str,
    depth: int = 1,
) -> Iterator[tuple[HandIn, bytes | None]]:
    budget = reader.MOST_IN_ARCHIVE if depth == 1 else reader.MOST_IN_INNER
    for member in archive.members(task.start, task.stop or None, budget):
        shown = f"{task.shown}!{member.name}"
        entry = HandIn(
            shown,
            hashlib.sha256(member.data).hexdigest(),
            member.size,
            _archive_time(member.dated) or received_at,
            "archive",
            state=UNREADABLE,
        )
        if reader.left_by_a_program(member.name):
            entry.state, entry.reason = RECEIVED, "Left by a program; not a hand-in."
            yield entry, None
        elif member.fault:
            entry.reason = member.fault
            entry.digest = _digest(f"{task.shown} {member.name} {member.size}")
            yield entry, None
        elif reader.is_archive(member.data):
            if depth >= reader.DEEPEST_ARCHIVE:
                entry.reason = (
                    "It is an archive in an archive in an archive. Unpack it by hand "
                    "and mark again."
                )
                yield entry, None
                continue
            inner = reader.open_archive(member.data)
            if inner.fault:
                entry.reason = inner.fault
                yield entry, None
            else:
                yield from _within(inner, Task(task.path, shown), entry.received_at, depth + 1)
            inner.close()
        elif len(member.data) > reader.MOST_BYTES:
            entry.reason = reader.too_large(len(member.data))
            yield entry, None
        else:
            yield entry, member.data


def _iso(seconds: float) -> str:
    try:
        return datetime.fromtimestamp(seconds, UTC).isoformat(timespec="seconds")
    except (OverflowError, ValueError, OSError):
        return now()


def _archive_time(dated: tuple[int, int, int, int, int, int]) -> str:
    """Return a member's time, which an archive keeps in local time; empty if none."""
    try:
        if dated[0] <= 1980:
            return ""
        here = datetime(*dated).astimezone(UTC)
        return here.isoformat(timespec="seconds")
    except (ValueError, OverflowError, OSError):
        return ""


# --- the pool -----------------------------------------------------------------------------

_worker: _Worker | None = None


def _start(book: str, prepare: Callable[[], None] | None) -> None:
    global _worker
    signal.signal(signal.SIGINT, signal.SIG_IGN)  # the parent decides when to stop
    if prepare:
        prepare()
    _worker = _Worker(open_book(book, read_only=True))
    gc.freeze()
    gc.set_threshold(50_000, 20, 50)  # a notebook is thousands of short-lived objects


def _run(tasks: Sequence[Task]) -> _Done:
    assert _worker is not None
    return _worker.batch(tasks)


def _pool(book: Path, workers: int, prepare: Callable[[], None] | None) -> ProcessPoolExecutor:
    # A copy of this process starts in no time; but with threads about it is not safe.
    can_copy = "fork" in multiprocessing.get_all_start_methods()
    how = "fork" if can_copy and threading.active_count() == 1 else "spawn"
    return ProcessPoolExecutor(
        workers,
        mp_context=multiprocessing.get_context(how),
        initializer=_start,
        initargs=(str(book), prepare),
    )


def _in_turn(
    book: Book,
    batches: Iterator[list[Task]],
    workers: int,
    prepare: Callable[[], None] | None,
) -> Iterator[_Done]:
    """Yield each batch's result in order, with a few batches on their way at most."""
    if workers <= 1:
        worker = _Worker(book)
        try:
            for batch in batches:
                yield worker.batch(batch)
        finally:
            _let_go()
        return
    bank()  # loaded once, and not once in every copy of this process
    book.close()  # no connection may be carried into a copy of this process
    pool = _pool(book.path, workers, prepare)
    waiting: deque[Future[_Done]] = deque()
    try:
        for batch in batches:
            waiting.append(pool.submit(_run, batch))
            if len(waiting) >= 3 * workers:
                yield waiting.popleft().result()
        while waiting:
            yield waiting.popleft().result()
    except BrokenProcessPool:
        raise refuse(
            "marking",
            "was interrupted: one of its processes was ended",
            "",
            "",
            "Run it again; what was marked is in the book",
        ) from None
    finally:
        pool.shutdown(wait=True, cancel_futures=True)


# --- late, repeated, copied, swapped ----------------------------------------------------------


class Judge:
    """Recognises what an assessor has to settle; settles nothing itself.

    Parameters
    ----------
    book : Book
        For whom a sheet was issued, and until when.
    """

    def __init__(self, book: Book) -> None:
        self.book, self.named = book, _Named(book)

    def __call__(self, fresh: list[HandIn], earlier: list[HandIn]) -> list[HandIn]:
        """Set flags on new hand-ins; return the earlier ones that got one too."""
        limits = self.book.limits(one.token for one in fresh if one.token)
        by_token: dict[str, list[HandIn]] = {}
        by_print: dict[str, list[HandIn]] = {}
        for one in earlier:
            self._remember(one, by_token, by_print)
        changed: dict[int, HandIn] = {}
        for one in fresh:
            if one.token in limits:
                student, limit = limits[one.token]
                _late(one, limit)
                named = self.named.in_path(one.path)
                if named and student not in named:
                    one.flags["swapped"] = sorted(named)
                others = [o for o in by_token.get(one.token, []) if o.state in _READ]
                if others and one.state in _READ:
                    same = [o for o in others if o.answers == one.answers]
                    one.flags["repeated"] = {
                        "of": others[0].id,
                        "same answers": bool(same),
                    }
                copies = [
                    o
                    for o in by_print.get(one.fingerprint or "", [])
                    if o.token != one.token and o.numbers != one.numbers
                ]
                if copies:
                    _add(one, "copied", [o.id for o in copies][:20])
                    for other in copies[:20]:
                        _add(other, "copied", [one.id])
                        changed[other.id] = other
            self._remember(one, by_token, by_print)
        return list(changed.values())

    @staticmethod
    def _remember(
        one: HandIn,
        by_token: dict[str, list[HandIn]],
        by_print: dict[str, list[HandIn]],
    ) -> None:
        if one.token:
            by_token.setdefault(one.token, []).append(one)
        if one.fingerprint:
            by_print.setdefault(one.fingerprint, []).append(one)


_READ = (MARKED, SETTLED)  # what can't be read is no further hand-in: it has a look


def _late(one: HandIn, limit: datetime | None) -> None:
    if limit is None:
        return
    over = (moment(one.received_at) - limit).total_seconds()
    if over > 0:
        one.flags["late"] = {
            "minutes": round(over / 60),
            "until": limit.isoformat(),
            "clock": one.clock,
        }


def _add(one: HandIn, flag: str, ids: Sequence[int]) -> None:
    held = one.flags.get(flag, [])
    one.flags[flag] = sorted({*held, *ids})[:20]


_PLACES = re.compile(r"[/!\\]")
_BLANKS, _NO_LETTERS = re.compile(r"[\s,;_()]+"), re.compile(r"[\W_]+")


class _Named:
    """Finds students of the class list in the names of files and folders.

    A class may be large, so of each way to write a name only a number is kept, in
    order: forty bits that the way gives, and the place of the student.  What is
    found so is looked up in the book and compared.
    """

    def __init__(self, book: Book) -> None:
        self.book = book
        ways = array("Q")
        self.longest = 1
        for place, person, name in book.names():
            for way in _ways(person, name):
                ways.append((hash(way) & _MASK) << _BITS | place)
                if len(way) > self.longest:
                    self.longest = len(way)
        self.ways = array("Q", sorted(ways))

    def in_path(self, path: str) -> set[str]:
        """Return the students whose name or id stands in a path."""
        found: set[str] = set()
        for place in _PLACES.split(path):
            stem = reader.TOKEN_SHAPE.sub(" ", place) if "-" in place else place
            by_letters, by_blanks = _words(stem), _between_blanks(stem)
            runs = [by_letters, by_blanks] if by_letters != by_blanks else [by_letters]
            for words in runs:
                for start in range(len(words)):
                    for end in range(start + 1, min(len(words), start + self.longest) + 1):
                        found |= self._written(tuple(words[start:end]))
        return found

    def _written(self, way: tuple[str, ...]) -> set[str]:
        number = (hash(way) & _MASK) << _BITS
        at = bisect_left(self.ways, number)
        places = []
        while at < len(self.ways) and self.ways[at] - number < 1 << _BITS:
            places.append(self.ways[at] - number)
            at += 1
        if not places:
            return set()
        people = self.book.names(places)
        return {person for _, person, name in people if way in _ways(person, name)}


_BITS = 24  # room for sixteen million students
_MASK = (1 << 64 - _BITS) - 1


def naming(book: Book, student: str) -> list[int]:
    """Return the hand-ins whose file names hold a student's name or id."""
    named = _Named(book)
    return [one.id for one in book.handins() if student in named.in_path(one.path)]


def _ways(person: str, name: str) -> list[tuple[str, ...]]:
    """Return the ways in which a student may stand in a path, as words."""
    ways: list[tuple[str, ...]] = [(_folded(person),)] if len(person) > 2 else []
    words = tuple(_words(name))
    if len(words) > 1:
        turned = [words, (*words[1:], words[0])]
        if len(words) > 2:
            turned.append((words[-1], *words[:-1]))
        ways += turned
        ways += [("".join(way),) for way in turned]
    return ways


def _between_blanks(text: str) -> list[str]:
    return _BLANKS.split(_folded(text))


def _folded(text: str) -> str:
    if text.isascii():
        return text.casefold()
    plain = unicodedata.normalize("NFKD", text).casefold()
    return "".join(c for c in plain if not unicodedata.combining(c))


def _words(text: str) -> list[str]:
    return [word for word in _NO_LETTERS.split(_folded(text)) if word]


def what_to_settle(one: HandIn, students: Mapping[str, Student]) -> list[str]:
    """Return in plain sentences what an assessor has to settle about a hand-in."""
    flags, said = one.flags, []
    if one.state == UNREADABLE:
        said.append(one.reason)
    if late := flags.get("late"):
        said.append(f"It came {_span(late['minutes'])} late, as the {_CLOCKS[late['clock']]} says.")
    if again := flags.get("repeated"):
        said.append(
            "It is a further hand-in of a sheet, "
            + ("with the same answers." if again["same answers"] else "with other answers.")
            + f" The first is number {again['of']}."
        )
    if copies := flags.get("copied"):
        numbers = ", ".join(map(str, copies))
        said.append(
            f"It holds the same answers as hand-in {numbers}, whose sheet asks for "
            "other numbers. The book can't tell who wrote them."
        )
    if named := flags.get("swapped"):
        names = ", ".join(students[n].name or n for n in named if n in students)
        said.append(f"Its file names {names}, and its sheet belongs to somebody else.")
    if parts := flags.get("to settle"):
        said.append(f"By hand: {', '.join(parts)}.")
    if strays := flags.get("strays"):
        said.append(f"It answers {', '.join(strays)}, which the sheet does not ask.")
    return said


_CLOCKS = {"file": "date of the file", "archive": "archive", "given": "assessor"}


def _span(minutes: float) -> str:
    for size, word in ((1440, "day"), (60, "hour")):
        if minutes >= size:
            count = round(minutes / size)
            return f"{count} {word}{'s' if count > 1 else ''}"
    return f"{round(minutes)} min" if minutes >= 1 else "less than a minute"


# --- the whole pile ------------------------------------------------------------------------------


@dataclass
class Summary:
    """What a run met and what came of it.

    Parameters
    ----------
    met : int
        Files, and files in archives.
    known : int
        Those that the book had already.
    states : Counter
        New ones, by what became of them.
    look : list of tuple of str
        Path, and what there is to settle, for new ones; the first thousand.
    to_look : int
        How many new ones need a look.
    """

    met: int = 0
    known: int = 0
    states: Counter[str] = field(default_factory=Counter)
    look: list[tuple[str, str]] = field(default_factory=list)
    to_look: int = 0

    @property
    def new(self) -> int:
        """How many were not in the book before."""
        return sum(self.states.values())


@dataclass(frozen=True)
class Progress:
    """How far a run has come: files done, and how many there are at least."""

    done: int
    total: int


def mark_folder(
    folder: str | Path,
    book: Book,
    *,
    received_at: datetime | str | None = None,
    workers: int | None = None,
    tell: Callable[[Progress], None] | None = None,
    prepare: Callable[[], None] | None = None,
) -> Summary:
    """Mark every hand-in below a folder into a mark book.

    Parameters
    ----------
    folder : str or Path
        Searched with all its folders and archives.
    book : Book
        Open for writing.
    received_at : datetime or str, optional
        When they all came in; by default each file's own date is taken.
    workers : int, optional
        Processes that read and mark; by default one a core.
    tell : function, optional
        Called with a :class:`Progress` after every batch.
    prepare : function, optional
        Called in each worker first, for instance to load a lecturer's own questions;
        a function of a module, so that it can be sent there.

    Returns
    -------
    Summary
        Counts, and what needs a look.
    """
    folder = Path(folder)
    if not folder.is_dir() or _names(str(folder)) is None:
        raise refuse(
            str(folder),
            "is not a folder that can be opened",
            "",
            "",
            "Give the folder into which the hand-ins were put",
        )
    given = moment(received_at).astimezone(UTC) if received_at else None
    beside = [book.path.with_name(book.path.name + end) for end in ("", "-wal", "-shm")]
    total = sum(max(1, task.stop - task.start) for task in _spread(find(folder, beside)))
    cores = workers if workers is not None else (os.cpu_count() or 1)
    if workers is None and total < FEW:
        cores = 1
    if prepare and cores <= 1:
        prepare()
    judge, summary = None, Summary()
    batches = _batches(_spread(find(folder, beside)))
    for done in _in_turn(book, batches, cores, prepare):
        if given is not None:
            for one in done.entries:
                one.received_at, one.clock = (
                    given.isoformat(timespec="seconds"),
                    "given",
                )
        judge = judge or Judge(book)  # made while the workers are at work
        new = book.record(done.entries, judge)
        summary.met += done.files
        summary.known += done.files - len(new)
        for one in new:
            summary.states[one.state] += 1
            if one.needs_a_look:
                summary.to_look += 1
                if len(summary.look) < 1000:
                    students = book.students(one.flags.get("swapped", ()))
                    said = what_to_settle(one, students)
                    summary.look.append((one.path, " ".join(said)))
        if tell:
            tell(Progress(summary.met, max(total, summary.met)))
    return summary


def key_in(
    book: Book,
    token: str,
    answers: Mapping[str, str],
    by: str,
    *,
    working: Mapping[str, str] | None = None,
    received_at: datetime | str | None = None,
) -> HandIn:
    """Record and mark answers that were written on paper.

    Parameters
    ----------
    book : Book
        Open for writing.
    token : str
        From the head of the sheet; a mistyped one is recognised.
    answers, working : mapping of str to str
        As they stand on the paper, by answer key.
    by : str
        Who keyed them in.
    received_at : datetime or str, optional
        When the paper came in; by default now.

    Returns
    -------
    HandIn
        As recorded; keying in the same once more changes nothing.
    """
    must_name(by)
    sheet = book.sheet(token)
    keys = [key.key for key in answer_keys(sheet.questions)]
    wrong = sorted(set(answers) - set(keys))
    if wrong:
        raise refuse(
            "answers",
            "are for parts that the sheet does not have",
            ", ".join(wrong),
            f"It has {', '.join(keys)}",
            "Compare with the paper",
        )
    reading = reader.Reading(reader.PAPER, read_token(token))
    for key, value in answers.items():
        reader.take_answer(key, value, reading)
    for key, value in (working or {}).items():
        reader.take_working(key, value, reading)
    text = json.dumps([reading.answers, reading.working], sort_keys=True)
    when = moment(received_at).astimezone(UTC).isoformat("T", "seconds") if received_at else now()
    entry = HandIn(f"on paper {sheet.token}", _digest(text), len(text), when, "given")
    _Worker(book).mark(entry, reading, book.packed([sheet.token]))
    new = book.record([entry], Judge(book))
    if new:
        book.decide("keyed in", by=by, reason="The sheet came back on paper", handin=entry.id)
        return entry
    return next(
        one
        for one in book.handins(token=sheet.token)
        if (one.path, one.digest) == (entry.path, entry.digest)
    )
