"""A whole pile, marked and recorded."""

from __future__ import annotations

import gc
import json
import multiprocessing
import os
import threading
from collections import Counter, deque
from collections.abc import Callable, Iterator, Mapping
from concurrent.futures import Future, ProcessPoolExecutor
from concurrent.futures.process import BrokenProcessPool
from contextlib import contextmanager
from dataclasses import dataclass, field
from datetime import UTC, datetime
from itertools import chain
from pathlib import Path

from calculators.faults import fault_error
from exercises.book.book import Book
from exercises.book.records import ALIKE, HandIn, must_name
from exercises.book.schema import UNREADABLE
from exercises.book.times import now, parse_time
from exercises.book.tokens import read_token
from exercises.marking import hand_in, limits
from exercises.marking.checks import TAKEN_IN, IrregularityCheck, what_to_settle
from exercises.marking.comparing import Comparison
from exercises.marking.finding import Task, batches_of, find, names_in, spread_out
from exercises.marking.worker import (
    SELDOM,
    TOO_LONG,
    Done,
    Worker,
    digest_of,
    let_go,
    run_batch,
    start_worker,
)
from exercises.questions.answer_boxes import answer_boxes
from exercises.questions.registry import bank

MOST_SHOWN = 1000
FEW = 150  # below this a pool costs more than it saves


def _pool(book: Path, workers: int, prepare: Callable[[], None] | None) -> ProcessPoolExecutor:
    # A copy of this process starts in no time; but with threads about it is not safe.
    can_copy = "fork" in multiprocessing.get_all_start_methods()
    how = "fork" if can_copy and threading.active_count() == 1 else "spawn"
    return ProcessPoolExecutor(
        workers,
        mp_context=multiprocessing.get_context(how),
        initializer=start_worker,
        initargs=(str(book), os.getpid(), prepare),
    )


def _in_turn(
    book: Book,
    batches: Iterator[list[Task]],
    workers: int,
    prepare: Callable[[], None] | None,
) -> Iterator[Done]:
    """Yield each batch's result in order, with a few batches on their way at most."""
    if workers <= 1:
        worker = Worker(book)
        try:
            for batch in batches:
                yield worker.batch(batch)
        finally:
            let_go()
        return
    bank()  # loaded once, and not once in every copy of this process
    book.close()  # no connection may be carried into a copy of this process
    pool = _pool(book.path, workers, prepare)
    waiting: deque[tuple[list[Task], Future[Done]]] = deque()
    try:
        for next_one in chain(batches, [None]):
            if next_one is not None:
                waiting.append((next_one, pool.submit(run_batch, next_one)))
            while waiting and (next_one is None or len(waiting) >= 3 * workers):
                first, future = waiting.popleft()
                try:
                    yield future.result(limits.LONGEST_BATCH)
                except TimeoutError:
                    _end(pool)
                    yield from _one_by_one(book, first, prepare)
                    pool = _pool(book.path, workers, prepare)
                    waiting = deque((some, pool.submit(run_batch, some)) for some, _ in waiting)
    except BrokenProcessPool:
        raise fault_error(
            "marking",
            "was interrupted: one of its processes was ended",
            "",
            "",
            "Run it again; what was marked is in the book",
        ) from None
    finally:
        pool.shutdown(wait=True, cancel_futures=True)


def _one_by_one(
    book: Book, batch: list[Task], prepare: Callable[[], None] | None
) -> Iterator[Done]:
    """Yield what comes of each file alone; one at which a worker hangs can't be read."""
    alone = [
        task._replace(start=place, stop=place + 1) if task.stop else task
        for task in batch
        for place in range(task.start, max(task.stop, task.start + 1))
    ]
    pool = _pool(book.path, 1, prepare)
    try:
        for task in alone:
            future = pool.submit(run_batch, [task])
            try:
                yield future.result(min(limits.LONGEST_BATCH, 5 * limits.LONGEST_READING))
            except TimeoutError:
                _end(pool)
                pool = _pool(book.path, 1, prepare)
                shown = f"{task.shown}!number {task.start + 1}" if task.stop else task.shown
                entry = HandIn(shown, digest_of(shown), state=UNREADABLE, reason=TOO_LONG)
                yield Done([entry], 1)
    finally:
        pool.shutdown(wait=True, cancel_futures=True)


def _end(pool: ProcessPoolExecutor) -> None:
    """End the workers of a pool, which may never answer again."""
    for process in list(pool._processes.values()):
        process.kill()
    pool.shutdown(wait=True, cancel_futures=True)


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
        Path, and what there is to settle, for new ones; the first :data:`MOST_SHOWN`.
    to_look : int
        How many new ones need a look.
    pile : int
        The first hand-in of the pile; 0 where nothing was new.
    receipts : int
        How many new ones have a receipt, logs of dry runs too: :meth:`exercises.book.book.Book.receipts`.
    rehearsed : int
        New logs of dry runs, which are recorded and not marked.
    """

    met: int = 0
    known: int = 0
    states: Counter[str] = field(default_factory=Counter)
    look: list[tuple[str, str]] = field(default_factory=list)
    to_look: int = 0
    pile: int = field(default=0, compare=False)
    receipts: int = 0
    rehearsed: int = 0
    _places: dict[int, int] = field(default_factory=dict, compare=False, repr=False)

    def looks_at(self, book: Book, one: HandIn, *, counted: bool = False) -> None:
        """Take up what there is to settle about a new hand-in, once more where it was counted."""
        self.to_look += not counted
        place = self._places.get(one.id)
        if place is None and not counted and len(self.look) < MOST_SHOWN:
            place = self._places[one.id] = len(self.look)
        if place is not None:
            named = one.flags.get("swapped", ())
            said = what_to_settle(one, book.students(named) if named else {})
            self.look[place : place + 1] = [(one.path, " ".join(said))]

    @property
    def new(self) -> int:
        """How many were not in the book before."""
        return sum(self.states.values())


@dataclass(frozen=True)
class Progress:
    """How far a run has come: files done, and how many there are at least."""

    done: int
    total: int


@contextmanager
def _what_is_loaded_stays() -> Iterator[None]:
    """Keep the collector from looking again and again through what was loaded before."""
    held = gc.get_threshold()
    gc.freeze()
    gc.set_threshold(*SELDOM)
    try:
        yield
    finally:
        gc.set_threshold(*held)
        gc.unfreeze()


@_what_is_loaded_stays()
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
        When they all came in; by default the time at which each is taken in.  The dates
        that files and archives carry are kept beside it, as hints.
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
    if not folder.is_dir() or names_in(str(folder)) is None:
        raise fault_error(
            str(folder),
            "is not a folder that can be opened",
            "",
            "",
            "Give the folder into which the hand-ins were put",
        )
    given = parse_time(received_at).astimezone(UTC) if received_at else None
    beside = [book.path.with_name(book.path.name + end) for end in ("", "-wal", "-shm")]
    total = sum(max(1, task.stop - task.start) for task in spread_out(find(folder, beside)))
    cores = workers if workers is not None else (os.cpu_count() or 1)
    if workers is None and total < FEW:
        cores = 1
    if prepare and cores <= 1:
        prepare()
    judge, summary, comparison = None, Summary(), Comparison(book)
    batches = batches_of(spread_out(find(folder, beside)))
    for done in _in_turn(book, batches, cores, prepare):
        for one in done.entries:
            one.dated, one.dated_by = one.received_at, one.clock
            one.received_at = given.isoformat(timespec="seconds") if given else now()
            one.clock = "given" if given else TAKEN_IN
        judge = judge or IrregularityCheck(book)  # made while the workers are at work
        new = book.record(judge.without_known(done.entries), judge)
        comparison.take(new)
        summary.met += done.files
        summary.known += done.files - len(new)
        for one in new:
            summary.states[one.state] += 1
            summary.rehearsed += one.rehearsal is not None
            summary.receipts += one.token is not None or one.rehearsal is not None
            if one.needs_a_look:
                summary.looks_at(book, one)
        if tell:
            tell(Progress(summary.met, max(total, summary.met)))
    summary.pile = judge.pile if judge else 0
    for number in comparison.raise_matters():
        if number >= summary.pile:
            one = book.handin(number)
            counted = any(matter.kind != ALIKE for matter in one.waiting)
            summary.looks_at(book, one, counted=counted)
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
    keys = [key.key for key in answer_boxes(sheet.questions)]
    wrong = sorted(set(answers) - set(keys))
    if wrong:
        raise fault_error(
            "answers",
            "are for parts that the sheet does not have",
            ", ".join(wrong),
            f"It has {', '.join(keys)}",
            "Compare with the paper",
        )
    reading = hand_in.Reading(limits.PAPER, read_token(token))
    for key, value in answers.items():
        hand_in.take_answer(key, value, reading)
    for key, value in (working or {}).items():
        hand_in.take_working(key, value, reading)
    text = json.dumps([reading.answers, reading.working], sort_keys=True)
    when = (
        parse_time(received_at).astimezone(UTC).isoformat("T", "seconds") if received_at else now()
    )
    entry = HandIn(f"on paper {sheet.token}", digest_of(text), len(text), when, "given")
    Worker(book).mark(entry, reading, {sheet.token: sheet})
    new = book.record([entry], IrregularityCheck(book))
    if new:
        comparison = Comparison(book)
        comparison.take(new)
        comparison.raise_matters()
        book.decide("keyed in", by=by, reason="The sheet came back on paper", handin=entry.id)
        return book.handin(entry.id)
    return next(
        one
        for one in book.handins(token=sheet.token)
        if (one.path, one.digest) == (entry.path, entry.digest)
    )
