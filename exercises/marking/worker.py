"""One batch of a pile, read and marked in a worker."""

from __future__ import annotations

import gc
import hashlib
import os
import signal
import stat
import threading
import time
from collections.abc import Callable, Iterator, Mapping, Sequence
from contextlib import contextmanager
from datetime import UTC, datetime
from pathlib import Path
from typing import Any, NamedTuple

from exercises.book.book import Book, open_book
from exercises.book.records import HandIn, PaperRecord, SheetRecord
from exercises.book.schema import MARKED, RECEIVED, UNREADABLE
from exercises.book.times import now
from exercises.marking import archives, hand_in, limits, reader
from exercises.marking.alike import given_of
from exercises.marking.corrections import Correction, corrections_of, marked
from exercises.marking.dry_runs import DryRuns
from exercises.marking.finding import MOST_HELD, Task
from exercises.marking.rules import NEAR, ROAD, TO_SETTLE, WRONG, Verdict
from exercises.questions.answer_boxes import AnswerBox, answer_boxes
from exercises.questions.parts import DrawnQuestion
from exercises.rehearsal.log import Run

WRONG_VALUES = (WRONG, NEAR, ROAD)
SELDOM = (50_000, 20, 50)  # collect seldom: a hand-in is thousands of short-lived objects
TOO_LONG = "It takes far longer to read than any hand-in does. Look at it by hand."
TOO_LONG_A_RUN = "It takes far longer to do again than any dry run does. Look at it by hand."

# --- one batch, in a worker --------------------------------------------------------------


class Done(NamedTuple):
    """What a worker hands to the writer: new entries, and how many files there were."""

    entries: list[HandIn]
    files: int


class Worker:
    """Reads and marks; looks into the book and never writes."""

    def __init__(self, book: Book) -> None:
        self.book = book
        self.papers: dict[str, PaperRecord] = {}
        self.corrections: dict[str, list[Correction]] = {}
        self.dry_runs = DryRuns(book)

    def batch(self, tasks: Sequence[Task]) -> Done:
        """Read and mark a batch of files."""
        done = Done([], 0)
        held: list[tuple[HandIn, bytes | None]] = []
        size = 0
        for task in tasks:
            for one in _opened(task):
                held.append(one)
                size += len(one[1] or b"")
                if size > MOST_HELD:
                    done, held, size = self._read(held, done), [], 0
        return self._read(held, done)

    def _read(self, held: list[tuple[HandIn, bytes | None]], done: Done) -> Done:
        """Return what was done, and these files too."""
        met = self.book.met((entry.path, entry.digest) for entry, _ in held)
        fresh = [(e, data) for e, data in held if (e.path, e.digest) not in met]
        readings = [
            _in_time(data, entry.path) if data is not None else None for entry, data in fresh
        ]
        sheets = self.book.sheets_by_token(r.token for r in readings if r and r.token)
        for (entry, _), reading in zip(fresh, readings, strict=True):
            if reading is not None:
                self.mark(entry, reading, sheets)
            done.entries.append(entry)
        return done._replace(files=done.files + len(held))

    def mark(
        self, entry: HandIn, reading: hand_in.Reading, sheets: Mapping[str, SheetRecord]
    ) -> None:
        """Mark one hand-in that was read, into its entry."""
        entry.form = reading.form
        entry.answers, entry.working = reading.answers, reading.working
        entry.claims = [*reading.names, *(t for t in reading.tokens if t != reading.token)]
        if reading.fault:
            entry.state, entry.reason = UNREADABLE, reading.fault
            of_a_sheet = reading.token in sheets and reading.form != limits.DRY_RUN
            entry.token = reading.token if of_a_sheet else None
            return
        if reading.log is not None:
            self._rehearsed(entry, reading.log, reading.token)
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
        if sheet.paper not in self.papers:
            self.papers[sheet.paper] = self.book.paper(sheet.paper)
            self.corrections[sheet.paper] = corrections_of(self.book, sheet.paper)
        policy = self.papers[sheet.paper].at(sheet.version).policy
        fixes = self.corrections[sheet.paper]
        asked = [DrawnQuestion.from_json(one) for one in sheet.questions]
        verdicts = marked(asked, reading.answers, policy, fixes, reading.problems)
        entry.marks = [tuple(verdict) for verdict in verdicts]  # what travels fastest
        to_settle = [one.part for one in verdicts if one.verdict in TO_SETTLE]
        if to_settle:
            entry.flags["to settle"] = to_settle
        boxes = answer_boxes(asked)
        with_working = _to_read(boxes, verdicts, reading)
        if with_working:
            entry.flags["working"] = with_working
        strays = reading.answers.keys() - {verdict.part for verdict in verdicts}
        if strays:
            entry.flags["strays"] = sorted(strays)[:20]
        entry.gave = sheet.paper, sheet.sitting, given_of(boxes, reading.answers, verdicts)

    def _rehearsed(self, entry: HandIn, log: tuple[Run, str], token: str | None) -> None:
        """Do a dry run again into its entry, or say why it can't be read."""
        try:
            with _ringing(limits.LONGEST_REPLAY):
                self.dry_runs.take(entry, log, token)
        except hand_in.NotReadable as reason:
            entry.state, entry.reason = UNREADABLE, str(reason)
        except _TooLong:
            entry.state, entry.reason = UNREADABLE, TOO_LONG_A_RUN


class _TooLong(Exception):  # noqa: N818  caught where the clock was set
    """Reading took longer than any hand-in takes."""


def _in_time(data: bytes, name: str) -> hand_in.Reading:
    """Read a hand-in, and give it up where that takes too long."""
    try:
        with _ringing(limits.LONGEST_READING):
            return reader.read_bytes(data, name)
    except _TooLong:
        return hand_in.Reading(token=hand_in.find_token(name[-2000:]), fault=TOO_LONG)


@contextmanager
def _ringing(seconds: float) -> Iterator[None]:
    """Raise :class:`_TooLong` after some seconds, where this system has a clock for it."""
    if threading.current_thread() is not threading.main_thread() or not hasattr(
        signal, "setitimer"
    ):
        yield
        return

    def ring(signum: int, frame: Any) -> None:
        raise _TooLong

    before = signal.signal(signal.SIGALRM, ring)
    signal.setitimer(signal.ITIMER_REAL, seconds)
    try:
        yield
    finally:
        signal.setitimer(signal.ITIMER_REAL, 0)
        signal.signal(signal.SIGALRM, before)


def _to_read(
    boxes: Sequence[AnswerBox], verdicts: Sequence[Verdict], reading: hand_in.Reading
) -> list[str]:
    """Return the parts whose number is wrong and whose working an assessor should read."""
    if not reading.working:
        return []
    return [
        box.key
        for box, one in zip(boxes, verdicts, strict=True)
        if one.value == 0
        and one.verdict in WRONG_VALUES
        and box.part.marks.get("value")
        and box.key.split(".")[0] in reading.working
    ]


def digest_of(text: str) -> str:
    """Return the digest of a text."""
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
            entry.digest = digest_of(task.shown)
            yield entry, None
            return
        if archives.left_by_a_program(task.shown):
            entry.state, entry.reason = RECEIVED, "Left by a program; not a hand-in."
            entry.digest = _large(task.path, entry.size)
            yield entry, None
            return
        if task.stop:
            archive = _archive(task.path)
            share = (task.stop - task.start) / max(1, len(archive))
            most = max(limits.LEAST_UNPACKED, limits.MOST_GROWTH * entry.size)
            budget = archives.Budget(min(limits.MOST_IN_ARCHIVE, int(share * most)))
            yield from _within(archive, task, entry.received_at, budget)
            return
        # Unbuffered, and with room for its own length: this is done thousands of times.
        with open(task.path, "rb", buffering=0) as file:  # noqa: PTH123
            data = file.read(min(about.st_size, limits.MOST_BYTES) + 1)
            while about.st_size < len(data) <= limits.MOST_BYTES:  # it grows
                more = file.read(limits.MOST_BYTES + 1 - len(data))
                data += more
                if not more:
                    break
            if archives.is_archive(data):  # one that could not be spread
                entry.reason = archives.Archive(file).fault or (
                    "It is an archive by another name. Name it .zip and mark again."
                )
                entry.digest = _large(task.path, entry.size)
                yield entry, None
                return
        if len(data) > limits.MOST_BYTES:
            entry.reason = reader.too_large(entry.size)
            entry.digest = _large(task.path, entry.size)
            yield entry, None
            return
        entry.digest = hashlib.sha256(data).hexdigest()
        yield entry, data
    except OSError as error:
        entry.reason = f"The disk did not give it: {error.strerror or 'a fault'}."
        entry.digest = entry.digest or digest_of(task.shown)
        yield entry, None


_open: tuple[str, archives.Archive] | None = None


def _archive(path: str) -> archives.Archive:
    """Return an archive; the last one stays open for its next run of members."""
    global _open
    if _open is None or _open[0] != path:
        let_go()
        _open = path, archives.Archive(Path(path).open("rb"))  # noqa: SIM115
    return _open[1]


def let_go() -> None:
    """Close the archive that is held open."""
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
    archive: archives.Archive,
    task: Task,
    received_at: str,
    budget: archives.Budget,
    depth: int = 1,
) -> Iterator[tuple[HandIn, bytes | None]]:
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
        if archives.left_by_a_program(member.name):
            entry.state, entry.reason = RECEIVED, "Left by a program; not a hand-in."
            yield entry, None
        elif member.fault:
            entry.reason = member.fault
            entry.digest = digest_of(f"{task.shown} {member.name} {member.size}")
            yield entry, None
        elif archives.is_archive(member.data):
            if depth >= limits.DEEPEST_ARCHIVE:
                entry.reason = (
                    "It is an archive in an archive in an archive. Unpack it by hand "
                    "and mark again."
                )
                yield entry, None
                continue
            inner = archives.open_archive(member.data)
            if inner.fault:
                entry.reason = inner.fault
                yield entry, None
            else:
                yield from _within(
                    inner, Task(task.path, shown), entry.received_at, budget, depth + 1
                )
            inner.close()
        elif len(member.data) > limits.MOST_BYTES:
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

_worker: Worker | None = None


def start_worker(book: str, parent: int, prepare: Callable[[], None] | None) -> None:
    """Prepare a worker for its batches; it ends when the process that started it does."""
    global _worker
    threading.Thread(target=_end_with, args=(parent,), daemon=True).start()
    signal.signal(signal.SIGINT, signal.SIG_IGN)  # the parent decides when to stop
    if prepare:
        prepare()
    _worker = Worker(open_book(book, read_only=True))
    gc.freeze()
    gc.set_threshold(*SELDOM)


def _end_with(parent: int) -> None:
    while os.getppid() == parent:
        time.sleep(1)
    os._exit(1)


def run_batch(tasks: Sequence[Task]) -> Done:
    """Return what was done with a batch."""
    assert _worker is not None
    return _worker.batch(tasks)
