"""Written from what was seen at the bench: letters, a class report, and results of both kinds.

A paper and an observation prove different things; neither stands in for the other.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path

from exercises.book.book import Book
from exercises.files.writing import make_folder, write
from exercises.observing.rows import NOT_DONE, NOT_SEEN, SEEN
from exercises.observing.seen import (
    DIFFER,
    MET,
    NOT_OBSERVED,
    NOT_PASSED,
    OPEN,
    PASSED,
    Bench,
    agreement,
    at_odds,
    benches,
    latest,
    signed_once,
)
from exercises.observing.sheet import cautions_of
from exercises.reports.finals import finals
from exercises.reports.letters import keep_in_words
from exercises.reports.spreadsheets import Cell, Page, write_csv
from exercises.reports.standing import lesson_title
from exercises.sheets.issuing import look_of
from exercises.sheets.names import called, folder_of
from exercises.sheets.sheet import say_date
from exercises.sheets.worksheet import page_template, static_text

_GROUPS = (
    (SEEN, "What was seen"),
    (NOT_DONE, "What to practise"),
    (DIFFER, "What your observers have still to agree on"),
    (NOT_SEEN, "What nobody saw; it counts neither for nor against you"),
)
_SAID = {
    PASSED: "You have passed the practical.",
    NOT_PASSED: "The practical is not passed yet; you can be watched again.",
    OPEN: "Whether you have passed is still to settle.",
    NOT_OBSERVED: "Nothing has come in from your observer yet.",
}


@dataclass(frozen=True)
class BenchWritten:
    """Where the letters, the class report and the results lie."""

    letters: list[Path]
    report: Path
    results: Path


def write_bench_reports(
    book: Book, out: str | Path, *, lessons: Mapping[str, str] | None = None, signed: str = ""
) -> BenchWritten | None:
    """Write all that is written of the practical; None where no sheet was issued.

    Parameters
    ----------
    book : Book
        The mark book.
    out : str or Path
        The folder: ``letters/practical/``, ``practical-class-report.html`` and
        ``results-of-both-kinds.csv`` in it.
    lessons : mapping of str to str, optional
        Titles of the lessons, by id.
    signed : str
        In whose name; by default who issued the sheets.
    """
    out, found = Path(out), benches(book)
    if not found:
        return None
    keep = str(book.about.get("keep_data", ""))
    folder = out / "letters" / "practical"
    make_folder(folder)
    letters = []
    for bench in found:
        if bench.student.erased_at or not bench.observations:
            continue
        sitting = bench.sheet.sitting
        tail = f"-{sitting}" if sitting > 1 else ""
        path = folder / f"{folder_of(bench.student)}{tail}.html"
        write(path, bench_letter(bench, lessons=lessons or {}, signed=signed, keep=keep))
        letters.append(path)
    report = out / "practical-class-report.html"
    write(report, bench_class_report(found, keep=keep, head=book.head()))
    both = both_kinds(book, found)
    results = write_csv(out / "results-of-both-kinds.csv", both.heads, both.rows)
    return BenchWritten(letters, report, results)


# --- a letter -------------------------------------------------------------------------


def bench_letter(
    bench: Bench, *, lessons: Mapping[str, str], signed: str = "", keep: str = ""
) -> str:
    """Return the letter about one practical as a page that stands alone."""
    notes: dict[str, list[str]] = {}
    for one in bench.observations:
        for row, said in one.notes.items():
            if said.get("note"):
                notes.setdefault(row, []).append(f"{one.observer}: {said['note']}")
    groups = [
        (
            title,
            [
                {"says": row["says"], "must": row["must"], "notes": notes.get(row["id"], [])}
                for row, said in bench.rows
                if said == answer
            ],
        )
        for answer, title in _GROUPS
    ]
    return page_template("bench_letter.html").render(
        title=bench.sheet.content["title"],
        name=bench.student.name,
        dear=called(bench.student.name),
        token=bench.sheet.token,
        sitting=bench.sheet.sitting,
        look=look_of(bench.student),
        watched=" and ".join(
            f"{one.observer} ({say_date(one.saved_at[:10])})" for one in bench.observations
        ),
        said=_SAID[bench.state],
        because=bench.because,
        step=_step(bench, lessons),
        cautions=_cautions(bench),
        shown=bench.shown,
        groups=[(title, rows) for title, rows in groups if rows],
        judgements=[(one.observer, one.judgement) for one in bench.observations if one.judgement],
        whole=notes.get("", []),
        logs=list(dict.fromkeys(tuple(log.because) for _, log in bench.logs)),
        share=f"{100 * bench.sheet.content['share']:g} %",
        last_word=bench.sheet.content["last word"],
        signed=signed or bench.sheet.issued_by,
        keep=keep_in_words(keep),
        css=static_text("tokens.css", "worksheet.css", "report.css"),
    )


def _cautions(bench: Bench) -> list[dict[str, str]]:
    """Return what can hurt where a must was missed."""
    missed = [row for row, said in bench.rows if said == NOT_DONE and row["must"]]
    found = cautions_of(missed, bench.sheet.content["last word"])
    return [one for each in found.values() for one in each]


def _step(bench: Bench, lessons: Mapping[str, str]) -> tuple[str, str]:
    """Return the one next step: what to do, and the lesson to read."""
    missed = [row for row, said in bench.rows if said == NOT_DONE]
    if not missed:
        return "Pour again soon, so that your hands remember it.", ""
    first = next((row for row in missed if row["must"]), missed[0])
    shown = next(one for one in bench.shown if one.id == first["outcome"])
    return f"Practise this first: {first['says']}.", lesson_title(shown.lesson, lessons)


# --- the class ----------------------------------------------------------------------------


def bench_class_report(found: Sequence[Bench], *, keep: str = "", head: str = "") -> str:
    """Return the class report of the practical as a page that stands alone."""
    now = list(latest(found).values())
    help_ = [b for b in now if b.state == NOT_PASSED]
    waits = [b for b in now if b.state == OPEN]
    odd = [(b.student.name, at_odds(b)) for b in found if b.observations]
    content = found[0].sheet.content
    return page_template("bench_report.html").render(
        title=content["title"],
        short=[*class_sentences(found), *filter(None, [signed_once(now)])],
        help=[(b.student.name, b.because) for b in help_],
        waits=[(b.student.name, b.because) for b in waits],
        odd=[(name, told) for name, told in odd if told],
        outcomes=_outcomes(now),
        rows=_rows(now),
        agreed=agreement(found).sentences,
        keep=keep_in_words(keep),
        head=head,
        css=static_text("tokens.css", "worksheet.css", "report.css"),
    )


def class_sentences(found: Sequence[Bench]) -> list[str]:
    """Return in sentences what the last sitting of each student came to."""
    now = list(latest(found).values())
    if not now:
        return []
    states = Counter(bench.state for bench in now)
    told = f"{len(now) - states[NOT_OBSERVED]} of {len(now)} students were watched at the bench"
    counts = [f"{states[s]} {words}" for s, words in _COUNTED if states[s]]
    return [f"{told}: {', '.join(counts)}." if counts else f"{told}."]


_COUNTED = ((PASSED, "have passed"), (NOT_PASSED, "not yet"), (OPEN, "still to settle"))


def _outcomes(now: Sequence[Bench]) -> list[tuple[str, str]]:
    states: dict[str, Counter[str]] = {}
    wording: dict[str, str] = {}
    for bench in now:
        for one in bench.shown:
            states.setdefault(one.id, Counter())[one.state] += 1
            wording[one.id] = one.wording
    return [
        (
            wording[name],
            f"{count[MET]} of {count.total() - count[NOT_OBSERVED]} have met it"
            + "".join(f", {count[s]} {s}" for s in (OPEN, NOT_OBSERVED) if count[s]),
        )
        for name, count in states.items()
    ]


def _rows(now: Sequence[Bench]) -> list[tuple[str, str]]:
    """Return each row that somebody missed, the most missed first."""
    missed, seen = Counter[str](), Counter[str]()
    for bench in now:
        for row, said in bench.rows:
            missed[row["says"]] += said == NOT_DONE
            seen[row["says"]] += said in (SEEN, NOT_DONE)
    return [(says, f"{n} of {seen[says]}") for says, n in missed.most_common() if n]


# --- results of both kinds ------------------------------------------------------------------


def both_kinds(book: Book, found: Sequence[Bench]) -> Page:
    """Return one row for each student: each paper, the practical, and what both come to.

    Of a paper the sitting counts that its rule says, of the practical the last one.  Passed
    is who has passed all that was issued to them.
    """
    papers = [one for one in book.papers() if one.state == "issued"]
    states: dict[str, dict[str, str]] = {}
    for paper in papers:
        for final in finals(book.results(paper.name), paper):
            states.setdefault(final.student.id, {})[paper.name] = final.state
    now = latest(found)
    wordings: dict[str, str] = {o.id: o.wording for b in now.values() for o in b.shown}
    heads = ["Student", "Name", *(paper.name for paper in papers), "Practical", "Sitting"]
    heads += ["Watched by", "Rows seen", "Not done", "Not seen", *wordings.values(), "Both"]
    rows: list[list[Cell]] = []
    for who, person in book.students().items():
        bench = now.get(who)
        own = states.get(who, {})
        if bench is None and not own:
            continue
        cells: list[Cell] = [who, person.name, *(own.get(paper.name, "") for paper in papers)]
        cells += _bench_cells(bench, list(wordings))
        asked = [*own.values(), *([bench.state] if bench else [])]
        rows.append([*cells, _both(asked)])
    return Page("Results of both kinds", heads, rows)


def _bench_cells(bench: Bench | None, outcomes: Sequence[str]) -> list[Cell]:
    if bench is None:
        return [""] * (6 + len(outcomes))
    states = {one.id: one.state for one in bench.shown}
    return [
        bench.state,
        bench.sheet.sitting,
        ", ".join(one.observer for one in bench.observations),
        *(bench.count(answer) for answer in (SEEN, NOT_DONE, NOT_SEEN)),
        *(states.get(name, "") for name in outcomes),
    ]


def _both(states: Sequence[str]) -> str:
    """Return what several results come to by the pass rule: all of them have to be passed.

    >>> _both(["passed", "passed"]), _both(["passed", "not yet passed"]), _both(["passed", ""])
    ('passed', 'not yet passed', 'still to settle')
    """
    if NOT_PASSED in states:
        return NOT_PASSED
    return PASSED if set(states) == {PASSED} else OPEN
