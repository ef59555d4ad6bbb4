"""What observations come to: rows, outcomes met or not yet met, and where observers differ.

What nobody saw is left out, and never failed.  Where two observers differ on a row,
neither is taken: it stays open until they agree.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from itertools import combinations
from typing import Any

from calculators.units import q, say
from exercises.book.book import Book
from exercises.book.observations import Observation, ObservationSheet
from exercises.book.records import Student, known_as
from exercises.observing.bench_log import NOTHING, JudgedLog, judged_log
from exercises.observing.reading import newest
from exercises.observing.rows import NOT_DONE, NOT_SEEN, SEEN
from exercises.questions.outcomes import outcomes

MET, NOT_YET, OPEN = "met", "not yet met", "still to settle"
NOT_OBSERVED = "not observed"
PASSED, NOT_PASSED = "passed", "not yet passed"
DIFFER = "observers differ"
MOST_UNSEEN = 3  # rows that nobody saw, before a sheet is too thin; common practice
_EDGE = 1e-9


@dataclass(frozen=True)
class BenchOutcome:
    """What was seen of one outcome: rows seen, of those that were decided."""

    id: str
    wording: str
    lesson: str
    seen: int
    of: int
    state: str
    must: bool


@dataclass(frozen=True)
class Bench:
    """What one sheet of a student comes to.

    Parameters
    ----------
    sheet, student : ObservationSheet, Student
        Whose it is.
    observations : tuple of Observation
        Those that count, one for each observer.
    rows : tuple of (mapping, str)
        Each row of the sheet with *seen*, *not done*, *not seen by me* or *observers
        differ*.
    shown : tuple of BenchOutcome
        In the order of the sheet.
    logs : tuple of (str, JudgedLog)
        Each observer's log, judged.
    state : str
        *passed*, *not yet passed*, *still to settle*, *not observed*.
    because : tuple of str
        Why, in sentences.
    """

    sheet: ObservationSheet
    student: Student
    observations: tuple[Observation, ...]
    rows: tuple[tuple[Mapping[str, Any], str], ...]
    shown: tuple[BenchOutcome, ...]
    logs: tuple[tuple[str, JudgedLog], ...]
    state: str
    because: tuple[str, ...]

    def count(self, answer: str) -> int:
        """Return how many rows have an answer."""
        return sum(said == answer for _, said in self.rows)


def benches(book: Book) -> list[Bench]:
    """Return what each observation sheet of a book comes to, by student and sitting."""
    people = book.students()
    by_token: dict[str, list[Observation]] = {}
    for one in book.observations():
        by_token.setdefault(one.token, []).append(one)
    return [
        bench_of(sheet, people[sheet.student], by_token.get(sheet.token, ()))
        for sheet in book.observation_sheets()
    ]


def latest(found: Iterable[Bench]) -> dict[str, Bench]:
    """Return of each student the last sitting in which anybody watched, else the last."""
    out: dict[str, Bench] = {}
    for bench in found:
        if bench.observations or bench.student.id not in out:
            out[bench.student.id] = bench
    return out


def bench_of(sheet: ObservationSheet, student: Student, came: Iterable[Observation]) -> Bench:
    """Return what one sheet comes to.

    Parameters
    ----------
    sheet : ObservationSheet
        With its rows and its rule.
    student : Student
        Whose it is.
    came : iterable of Observation
        All that was recorded for it.
    """
    counted = newest(came)
    content = sheet.content
    rows = tuple((row, _decided(row["id"], counted)) for row in content["rows"])
    share, must = float(content["share"]), set(content["must_pass"])
    shown = tuple(
        _outcome(name, [pair for pair in rows if pair[0]["outcome"] == name], share, name in must)
        for name in dict.fromkeys(row["outcome"] for row, _ in rows)
    )
    school = None if content["hold"] is None else q(content["hold"], "h")
    logs = tuple(
        (one.observer, judged_log(one.log, content["region"], school)) for one in counted if one.log
    )
    state, because = _state(rows, shown, logs, share, bool(counted))
    return Bench(sheet, student, tuple(counted), rows, shown, logs, state, tuple(because))


def _decided(row: str, counted: Sequence[Observation]) -> str:
    said = {one.answers.get(row, [NOT_SEEN])[0] for one in counted} - {NOT_SEEN}
    if len(said) > 1:
        return DIFFER
    return next(iter(said), NOT_SEEN)


def _outcome(
    name: str, rows: Sequence[tuple[Mapping[str, Any], str]], share: float, must: bool
) -> BenchOutcome:
    held = outcomes().get(name)
    count = Counter(said for _, said in rows)
    hurdles = {said for row, said in rows if row["must"]}
    state = _met(count, share)
    if NOT_DONE in hurdles:
        state = NOT_YET
    elif state == MET and hurdles & {NOT_SEEN, DIFFER}:
        state = OPEN
    return BenchOutcome(
        name,
        held.wording if held else name.replace("-", " "),
        held.lesson if held else "",
        count[SEEN],
        count[SEEN] + count[NOT_DONE],
        state,
        must,
    )


def _met(count: Mapping[str, int], share: float) -> str:
    """Return the state of rows by the share that was seen; open ones could go either way."""
    seen, missed, differ = (count.get(word, 0) for word in (SEEN, NOT_DONE, DIFFER))
    total = seen + missed + differ
    if not total:
        return NOT_OBSERVED
    if seen >= share * total - _EDGE:
        return MET
    return OPEN if seen + differ >= share * total - _EDGE else NOT_YET


def _state(
    rows: Sequence[tuple[Mapping[str, Any], str]],
    shown: Sequence[BenchOutcome],
    logs: Sequence[tuple[str, JudgedLog]],
    share: float,
    any_came: bool,
) -> tuple[str, list[str]]:
    """Return whether the practical is passed, and why not."""
    if not any_came:
        return NOT_OBSERVED, ["Nobody has handed in an observation of this sheet."]
    no = [
        f"A must was not done: {row['says']}."
        for row, said in rows
        if row["must"] and said == NOT_DONE
    ]
    no += [
        f"It must be met to pass: {one.wording}."
        for one in shown
        if one.must and one.state == NOT_YET
    ]
    no += [f"The log breaks a rule. {log.because[0]}" for _, log in logs if log.answer == "broken"]
    whole = _met(Counter(said for _, said in rows), share)
    if whole == NOT_YET:
        no.append(f"Less than {100 * share:g} % of the rows that were observed were seen.")
    if no:
        return NOT_PASSED, no
    wait = [f"The observers differ: {row['says']}." for row, said in rows if said == DIFFER]
    wait += [
        f"Nobody saw a must: {row['says']}."
        for row, said in rows
        if row["must"] and said == NOT_SEEN
    ]
    wait += [
        f"It must be met to pass, and is {one.state}: {one.wording}."
        for one in shown
        if one.must and one.state in (OPEN, NOT_OBSERVED)
    ]
    unseen = sum(said == NOT_SEEN for _, said in rows)
    if unseen > MOST_UNSEEN:
        wait.append(f"{unseen} rows were seen by nobody: watch once more before it is passed.")
    wait += [
        f"Nothing follows from the log of {who}. {' '.join(log.because)}"
        for who, log in logs
        if log.answer == NOTHING
    ]
    return (OPEN, wait) if wait else (PASSED, [])


# --- numbers beside ticks -----------------------------------------------------------------


def at_odds(bench: Bench) -> list[str]:
    """Return where an observer's numbers say another thing than the tick; nothing is changed."""
    told = []
    content = bench.sheet.content
    bands = {band["cake"]: band for band in content["bands"]}
    low, high = content["window"]
    for one in bench.observations:
        numbers = one.numbers
        band = bands.get(str(numbers.get("cake", "")))
        if band and "before" in numbers and "after" in numbers:
            coat = numbers["after"] - numbers["before"]
            inside = band["low"] <= coat <= band["high"]
            told += _odd(one, "coat", inside, f"the coat weighed {coat:g} g")
        if "temperature" in numbers:
            heat, edge = numbers["temperature"], content["thermometer"]
            if not (low - edge <= heat <= low + edge or high - edge <= heat <= high + edge):
                inside = low <= heat <= high
                told += _odd(one, "window", inside, f"the jug had {say(q(heat, 'degC'))}")
    return told


def _odd(one: Observation, row: str, inside: bool, what: str) -> list[str]:
    said = one.answers.get(row, [NOT_SEEN])[0]
    if said == (NOT_DONE if inside else SEEN):
        where = "inside" if inside else "outside"
        return [f"{one.observer} wrote “{said}”, and {what}, {where} what the row asks."]
    return []


def signed_once(found: Iterable[Bench]) -> str:
    """Return in a sentence how many sheets one person alone stands by; empty for none."""
    alone = [
        bench
        for bench in found
        if len({known_as(n) for o in bench.observations for n in (o.observer, o.second) if n}) == 1
    ]
    if not alone:
        return ""
    return f"{len(alone)} {'sheet carries' if len(alone) == 1 else 'sheets carry'} one signature; two are asked for."


# --- two observers of one student ----------------------------------------------------------


@dataclass(frozen=True)
class Agreement:
    """How far observers of the same students agree, in counts.

    Parameters
    ----------
    students : int
        Watched by two or more.
    agreed, of : int
        Answers alike, of those on rows that both of a pair saw.
    rows : tuple of (str, int, int)
        Each row on which some differ: what it says, how often, of how many.
    """

    students: int
    agreed: int
    of: int
    rows: tuple[tuple[str, int, int], ...]

    @property
    def sentences(self) -> list[str]:
        """Return it in sentences; none where nobody was watched by two."""
        if not self.students:
            return []
        who = "1 student was" if self.students == 1 else f"{self.students} students were"
        if not self.of:
            return [f"{who} watched by two, and no row was seen by both."]
        told = [f"{who} watched by two; they agreed on {self.agreed} of {self.of}."]
        told += [f"They differ {n} of {of} times: {says}." for says, n, of in self.rows]
        return told


def agreement(found: Iterable[Bench]) -> Agreement:
    """Return how far the observers of the same sheets agree."""
    students, alike, total = 0, 0, 0
    says: dict[str, str] = {}
    apart, of = Counter[str](), Counter[str]()
    for bench in found:
        pairs = list(combinations(bench.observations, 2))
        students += bool(pairs)
        for one, other in pairs:
            for row, _ in bench.rows:
                name = row["id"]
                says[name] = row["says"]
                pair = [o.answers.get(name, [NOT_SEEN])[0] for o in (one, other)]
                if NOT_SEEN in pair:
                    continue
                total += 1
                of[name] += 1
                alike += pair[0] == pair[1]
                apart[name] += pair[0] != pair[1]
    rows = tuple((says[name], n, of[name]) for name, n in apart.most_common() if n)
    return Agreement(students, alike, total, rows)
