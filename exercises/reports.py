"""Tells a lecturer what a marked class shows: what to teach again, and who needs help.

No number is told that the class can't bear: shares from five students, how well a
question tells strong from weak from thirty.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from math import ceil, floor
from pathlib import Path
from statistics import median
from typing import Any

from calculators.sources import source
from exercises.exports import marks_csv, marks_xlsx
from exercises.letters import (
    keep_in_words,
    make_folder,
    slug,
    solutions_opened,
    write,
    write_letters,
)
from exercises.markbook import (
    ISSUED,
    UNREADABLE,
    AnswerKey,
    Book,
    HandIn,
    Paper,
    Result,
    answer_keys,
)
from exercises.moderation import agreement
from exercises.pile import what_to_settle
from exercises.standing import (
    MET,
    NOT_PASSED,
    OPEN,
    PASSED,
    Standing,
    lesson_title,
    marks_said,
    rule,
    standing,
    still_open,
)
from exercises.statistics import (
    FEWEST_FOR_ITEMS,
    FEWEST_FOR_SHARES,
    Share,
    reliability,
    tells_apart,
    wilson,
)
from exercises.worksheet import page_template, say_date, static_text

FEWEST_ON_A_ROAD = 2
MOST_TO_TEACH = 5
MOST_LISTED = 200
LONGEST_PROMPT = 110
ENOUGH = 2 / 3  # an outcome that fewer have met is taught again
LITTLE = 0.2  # common practice: below it, a question tells little
COLUMNS, HIGHEST = 40, 16  # of the picture of the marks


# --- what the class shows, as plain data ---------------------------------------------


@dataclass(frozen=True)
class Road:
    """A wrong road and how many answers end there.

    Parameters
    ----------
    key : str
        The answer key.
    name, says : str
        What the question calls it, and what it tells the student.
    count, of : int
        So many of so many answers.
    chosen : bool
        Whether it is an option that was chosen, and not a number.
    """

    key: str
    name: str
    says: str
    count: int
    of: int
    chosen: bool


@dataclass
class Box:
    """One answer key of the paper, and how the class fared with it.

    Parameters
    ----------
    key, question, outcome, prompt : str
        Which one it is; ``prompt`` is worded as on the first sheet.
    total : float
        Its marks.
    got : Share or None
        Who got all of its marks; None below five students.
    open : int
        How many an assessor has still to settle; they are not counted.
    roads : list of Road
        The commonest first.
    apart : float or None
        How well it tells strong from weak.
    """

    key: str
    question: str
    outcome: str
    prompt: str
    total: float
    got: Share | None = None
    open: int = 0
    roads: list[Road] = field(default_factory=list)
    apart: float | None = None


@dataclass(frozen=True)
class OutcomeMet:
    """An outcome of the paper and how many have met it."""

    id: str
    wording: str
    lesson: str
    must: bool
    met: Share | None
    hits: int
    count: int


@dataclass(frozen=True)
class ToTeach:
    """A lesson to teach again, and why."""

    lesson: str
    outcomes: tuple[OutcomeMet, ...]
    road: Road | None


@dataclass(frozen=True)
class ToLookAt:
    """A hand-in that an assessor has to look at."""

    who: str
    number: int
    path: str
    kind: str
    says: tuple[str, ...]


@dataclass(frozen=True)
class ClassSummary:
    """All that the class report says, as data.

    Parameters
    ----------
    paper : Paper
        The paper.
    results : list of Result
        One a student: the latest sitting in which something came in.
    standings : list of Standing
        What each amounts to, in the same order.
    marked : int
        How many have marks.
    boxes : list of Box
        The answer keys of the paper.
    outcomes : list of OutcomeMet
        In the order of the sheet.
    teach : list of ToTeach
        What to teach again, the most urgent first.
    help : list of tuple of str
        Who needs help, and why.
    look : list of ToLookAt
        What an assessor has to look at.
    alpha : float or None
        How far the questions pull in one direction.
    why_not : str
        Why there is no item statistic; empty where there is one.
    """

    paper: Paper
    results: list[Result]
    standings: list[Standing]
    marked: int
    boxes: list[Box]
    outcomes: list[OutcomeMet]
    teach: list[ToTeach]
    help: list[tuple[str, str]]
    look: list[ToLookAt]
    alpha: float | None
    why_not: str


def class_summary(book: Book, paper: str, results: Sequence[Result] | None = None) -> ClassSummary:
    """Return what a marked class shows on one paper.

    Parameters
    ----------
    book : Book
        The mark book.
    paper : str
        The paper's name.
    results : sequence of Result, optional
        As :meth:`Book.results` gives them, where the caller has them already.
    """
    about = book.paper(paper)
    rows = list(book.results(paper) if results is None else results)
    latest = _one_a_student(rows)
    standings = [standing(row, about) for row in latest]
    marked = [(row, stands) for row, stands in zip(latest, standings, strict=True) if row.marks]
    boxes = _boxes([row for row, _ in marked])
    alpha, why_not = _items([row for row, _ in marked], boxes)
    met = _outcomes_met([stands for _, stands in marked])
    return ClassSummary(
        about,
        latest,
        standings,
        len(marked),
        boxes,
        met,
        _to_teach(met, boxes),
        _who_needs_help(latest, standings),
        _to_look_at(book, rows),
        alpha,
        why_not,
    )


def _one_a_student(rows: Iterable[Result]) -> list[Result]:
    chosen: dict[str, Result] = {}
    for row in rows:  # by student and sitting
        held = chosen.get(row.sheet.student)
        if held is None or row.handin is not None or held.handin is None:
            chosen[row.sheet.student] = row
    return list(chosen.values())


def _boxes(marked: Sequence[Result]) -> list[Box]:
    """Return every answer key in the order of the sheets, with what became of it."""
    boxes: dict[tuple[str, str], Box] = {}
    hits: Counter[tuple[str, str]] = Counter()
    counts: Counter[tuple[str, str]] = Counter()
    roads: Counter[tuple[tuple[str, str], str]] = Counter()
    says: dict[tuple[tuple[str, str], str], tuple[str, bool]] = {}
    for row in marked:
        for key in answer_keys(row.sheet.questions):
            place = (key.key, str(key.question["id"]))
            box = boxes.setdefault(
                place,
                Box(*place, key.outcome, _prompt(key), key.part["total"]),
            )
            mark = row.marks.get(key.key)
            if mark is None or still_open(mark, row):
                box.open += mark is not None
                continue
            counts[place] += 1
            hits[place] += mark.awarded >= mark.total
            if mark.road:
                roads[place, mark.road] += 1
                says.setdefault((place, mark.road), _says(key.part, mark.road))
    for place, box in boxes.items():
        if counts[place] >= FEWEST_FOR_SHARES:
            box.got = wilson(hits[place], counts[place])
    for (place, name), count in sorted(roads.items(), key=lambda each: -each[1]):
        text, chosen = says[place, name]
        if count >= FEWEST_ON_A_ROAD:
            boxes[place].roads.append(Road(place[0], name, text, count, counts[place], chosen))
    return list(boxes.values())


def _prompt(key: AnswerKey) -> str:
    """Return what is asked, short enough for a line or two; a table's row by its name."""
    text = str(key.part.get("prompt") or key.part.get("label", ""))
    if len(text) <= LONGEST_PROMPT:
        return text
    return text[:LONGEST_PROMPT].rsplit(" ", 1)[0] + " …"


def _says(part: Mapping[str, Any], name: str) -> tuple[str, bool]:
    for road in part.get("roads", ()):
        if road["name"] == name:
            return road["says"], False
    for option in part.get("options", ()):
        if option["text"] == name:
            return option["says"], True
    return "", False


def _items(marked: Sequence[Result], boxes: Sequence[Box]) -> tuple[float | None, str]:
    """Fill in how well each box tells strong from weak; return alpha, or why not."""
    if len(marked) < FEWEST_FOR_ITEMS:
        return None, (
            f"With {len(marked)} marked sheets nothing is said of how well a question "
            f"tells strong from weak, nor of reliability: below {FEWEST_FOR_ITEMS} such "
            "numbers are mostly chance."
        )
    common = [
        box
        for box in boxes
        if all(
            box.key in row.marks and row.marks[box.key].question == box.question for row in marked
        )
    ]
    if len(common) < 2:
        return None, (
            "The sheets have fewer than two questions in common, so that nothing is said "
            "of how well a question tells strong from weak, nor of reliability."
        )
    rows = [[row.marks[box.key].awarded for box in common] for row in marked]
    totals = [sum(row) for row in rows]
    for place, box in enumerate(common):
        item = [row[place] for row in rows]
        rest = [t - own for t, own in zip(totals, item, strict=True)]
        box.apart = tells_apart(item, rest)
    alpha = reliability(rows)
    return alpha, "" if alpha is not None else "All totals are equal."


def _outcomes_met(standings: Sequence[Standing]) -> list[OutcomeMet]:
    seen: dict[str, list[Any]] = {}
    for stands in standings:
        for each in stands.shown:
            entry = seen.setdefault(each.id, [each, 0, 0])
            if each.state != OPEN:
                entry[1] += each.state == MET
                entry[2] += 1
    return [
        OutcomeMet(
            name,
            one.wording,
            one.lesson,
            one.must,
            wilson(hits, count) if count >= FEWEST_FOR_SHARES else None,
            hits,
            count,
        )
        for name, (one, hits, count) in seen.items()
    ]


def _to_teach(met: Sequence[OutcomeMet], boxes: Sequence[Box]) -> list[ToTeach]:
    """Return the lessons of outcomes that fewer than two thirds have met."""
    weak: dict[str, list[OutcomeMet]] = {}
    for each in sorted(met, key=lambda one: one.met.share if one.met else 1.0):
        if each.met and each.met.share < ENOUGH:
            weak.setdefault(each.lesson, []).append(each)
    out = []
    for lesson, some in weak.items():
        names = {each.id for each in some}
        roads = [road for box in boxes if box.outcome in names for road in box.roads]
        road = max(roads, key=lambda one: one.count, default=None)
        out.append(ToTeach(lesson, tuple(some), road))
    out.sort(key=lambda one: not any(each.must for each in one.outcomes))
    return out[:MOST_TO_TEACH]


def _told_apart(rows: Iterable[Result]) -> dict[str, str]:
    """Return what each student is called: by id too, where two have one name."""
    names = {row.student.id: row.student.name for row in rows}
    shared = Counter(names.values())
    return {
        person: f"{name} ({person})" if name and shared[name] > 1 else name or person
        for person, name in names.items()
    }


def _who_needs_help(
    results: Sequence[Result], standings: Sequence[Standing]
) -> list[tuple[str, str]]:
    said: list[tuple[float, str, str]] = []
    called = _told_apart(results)
    for row, stands in zip(results, standings, strict=True):
        if row.student.erased_at:
            continue
        who = called[row.student.id]
        if row.state == ISSUED:
            said.append((-2, who, "Nothing has come in that counts."))
        elif not row.marks:
            said.append((-1, who, "What came in has no marks yet."))
        elif stands.state == NOT_PASSED or any(each.must for each in stands.not_yet):
            text = f"{marks_said(stands.awarded)} of {marks_said(stands.total)} marks."
            weak = sorted(stands.not_yet, key=lambda each: (not each.must, each.won))
            if weak:
                more = len(weak) - 1
                text += f" Not yet met: {weak[0].wording}"
                text += f", and {more} more." if more else "."
            said.append((stands.awarded / max(stands.total, 1), who, text))
    return [(who, text) for _, who, text in sorted(said, key=lambda one: one[0])]


_KINDS = (
    ("swapped", "Named otherwise"),
    ("copied", "Same answers as another"),
    ("late", "Late"),
    ("repeated", "Handed in again"),
    ("to settle", "Answers to settle"),
    ("strays", "Answers without a question"),
    ("notes", "Noted while reading"),
)


def _to_look_at(book: Book, rows: Sequence[Result]) -> list[ToLookAt]:
    students = book.students()
    called = _told_apart(rows)
    found: list[tuple[HandIn, str]] = [
        (one, called[row.student.id])
        for row in rows
        for one in (*((row.handin,) if row.handin else ()), *row.others)
        if one.needs_a_look
    ]
    found += [
        (one, "")
        for one in book.handins(state=UNREADABLE)
        if one.token is None and one.needs_a_look
    ]
    return [
        ToLookAt(
            who,
            one.id,
            one.path,
            "Can't be read"
            if one.state == UNREADABLE
            else next((words for flag, words in _KINDS if flag in one.flags), "Other"),
            tuple(what_to_settle(one, students)),
        )
        for one, who in sorted(found, key=lambda pair: pair[0].id)
    ]


# --- the class report as a page -----------------------------------------------------------


def class_report(
    summary: ClassSummary,
    *,
    lessons: Mapping[str, str] | None = None,
    opened: str = "",
    moderation: Sequence[str] = (),
    keep: str = "",
) -> str:
    """Return the class report as a page that stands alone.

    Parameters
    ----------
    summary : ClassSummary
        From :func:`class_summary`.
    lessons : mapping of str to str, optional
        Titles of the lessons, by id.
    opened : str
        Who opened the worked solutions and when, as a sentence.
    moderation : sequence of str
        What second marks showed, as sentences.
    keep : str
        How long data are kept with names.
    """
    titles = lessons or {}
    marked = [each for each in summary.standings if each.state]
    looks: dict[str, list[ToLookAt]] = {}
    for each in summary.look:
        looks.setdefault(each.kind, []).append(each)
    return page_template("class_report.html").render(
        title=str(summary.paper.plan.get("title") or summary.paper.name),
        facts=_facts(summary, marked),
        short=_in_short(summary, marked),
        teach=[
            {
                "title": lesson_title(each.lesson, titles),
                "outcomes": [
                    {"said": _met_said(one), "wording": one.wording, "must": one.must}
                    for one in each.outcomes
                ],
                "road": _road_said(each.road) if each.road else None,
            }
            for each in summary.teach
        ],
        few=summary.marked < FEWEST_FOR_SHARES,
        fewest=FEWEST_FOR_SHARES,
        count=summary.marked,
        help=summary.help[:MOST_LISTED],
        help_more=max(0, len(summary.help) - MOST_LISTED),
        looks=[
            (kind, some[:MOST_LISTED], max(0, len(some) - MOST_LISTED))
            for kind, some in looks.items()
        ],
        dots=marks_picture([each.awarded for each in marked], marked[0].total, marked[0].needed)
        if marked
        else None,
        spread=_spread(marked),
        outcomes=[_outcome_row(each) for each in summary.outcomes],
        boxes=[_box_row(each) for each in summary.boxes],
        roads=[_road_said(road) for road in _commonest(summary.boxes)],
        apart=_apart_rows(summary.boxes),
        alpha=summary.alpha,
        why_not=summary.why_not,
        rule=rule(summary.paper),
        opened=opened,
        moderation=moderation,
        keep=keep_in_words(keep),
        sources={name: _cited(name) for name in ("wilson1927", "henrysson1963", "cronbach1951")},
        css=static_text("worksheet.css", "report.css"),
    )


def _facts(summary: ClassSummary, marked: Sequence[Standing]) -> list[tuple[str, str]]:
    came = sum(row.handin is not None for row in summary.results)
    passed = sum(each.state == PASSED for each in marked)
    facts = [
        ("Students", str(len(summary.results))),
        ("Handed in", str(came)),
        ("Marked", str(summary.marked)),
        ("Passed", str(passed)),
    ]
    if summary.look:
        facts.append(("To look at", str(len(summary.look))))
    return facts


def _in_short(summary: ClassSummary, marked: Sequence[Standing]) -> list[str]:
    count = len(summary.results)
    came = sum(row.handin is not None for row in summary.results)
    said = [f"{came} of {count} students have handed in, and {len(marked)} are marked."]
    passed = sum(each.state == PASSED for each in marked)
    waiting = sum(each.state == OPEN for each in marked)
    if marked:
        said.append(
            f"{passed} have passed"
            + (f"; for {waiting} it hangs on what is still to settle." if waiting else ".")
        )
    if summary.look:
        n = len(summary.look)
        said.append(
            f"{n} hand-in{'s' if n > 1 else ''} need{'' if n > 1 else 's'} a look "
            "before the marks are final."
        )
    return said


def _spread(marked: Sequence[Standing]) -> str:
    """Return where the marks lie, in a sentence; nothing where there are too few."""
    if len(marked) < FEWEST_FOR_SHARES:
        return ""
    won = sorted(each.awarded for each in marked)
    middle = median(won)
    low, high = won[len(won) // 4], won[-1 - len(won) // 4]
    total = marks_said(marked[0].total)
    begins = "So far the" if any(each.open for each in marked) else "The"
    return (
        f"{begins} middle of the class has {marks_said(middle)} of {total} marks, and half "
        f"of it lies between {marks_said(low)} and {marks_said(high)}."
    )


def marks_picture(won: Sequence[float], total: float, needed: float) -> dict[str, Any]:
    """Return the places of the dots of a picture of marks, one column a mark or more.

    Places along are shares from 0 to 1 and places up are whole steps from 0, so that
    the picture fits a phone and a sheet of paper alike.
    """
    wide = max(1, ceil(total / COLUMNS))
    columns = Counter(floor(mark / wide + 1e-9) for mark in won)
    each = max(1, ceil(max(columns.values()) / HIGHEST))
    dots = [
        {
            "x": min(1.0, (column * wide + (wide - 1) / 2) / total),
            "y": up,
            "low": column * wide + wide - 1 < needed - 1e-9,
        }
        for column, count in sorted(columns.items())
        for up in range(ceil(count / each))
    ]
    step = next(s for s in (1, 2, 5, 10, 20, 50, 100, 200, 500, 1000) if total / s <= 6)
    ends = list(range(0, int(total) + 1, step))
    return {
        "dots": dots,
        "height": 1 + max(dot["y"] for dot in dots),
        "each": each,
        "wide": wide,
        "ends": [(end / total, str(end)) for end in ends],
        "needed": needed / total,
        "needed_said": marks_said(round(needed, 2)),
        "below": sum(mark < needed - 1e-9 for mark in won),
        "count": len(won),
    }


def _met_said(one: OutcomeMet) -> str:
    return f"{one.hits} of {one.count} have met"


def _outcome_row(one: OutcomeMet) -> dict[str, Any]:
    return {
        "wording": one.wording,
        "must": one.must,
        "said": str(one.met) if one.met else f"{one.hits} of {one.count}",
        "strip": _strip(one.met),
    }


def _strip(share: Share | None) -> dict[str, float] | None:
    if share is None:
        return None
    return {"place": share.share, "low": share.low, "high": share.high}


def _box_row(box: Box) -> dict[str, Any]:
    return {
        "key": box.key,
        "what": box.prompt,
        "said": str(box.got) if box.got else "",
        "open": box.open,
        "strip": _strip(box.got),
    }


def _commonest(boxes: Sequence[Box]) -> list[Road]:
    roads = [road for box in boxes for road in box.roads]
    return sorted(roads, key=lambda one: (-one.count / one.of, one.key))[:10]


def _road_said(road: Road) -> dict[str, str]:
    verb = "chose" if road.chosen else "end at"
    return {
        "before": f"In {road.key}, {road.count} of {road.of} answers {verb} ",
        "name": road.name.rstrip("."),
        "says": road.says,
    }


def _apart_rows(boxes: Sequence[Box]) -> list[dict[str, Any]]:
    rows = []
    for box in sorted(boxes, key=lambda one: one.apart or 0.0):
        if box.apart is None:
            continue
        words = (
            "pulls the other way: look at its wording and its answer"
            if box.apart < -LITTLE / 2
            else "tells little: look at it"
            if box.apart < LITTLE
            else "tells strong from weak"
        )
        rows.append(
            {
                "key": box.key,
                "what": box.prompt,
                "said": f"{box.apart:.2f}".replace("-", "−") + f": {words}.",
                "strip": {"place": (box.apart + 1) / 2, "low": 0, "high": None},
            }
        )
    return rows


def _cited(key: str) -> str:
    found = source(key)
    get = found.fields.get
    return (
        f"{get('author')} ({get('year')}), {get('title')}, {get('journal')} "
        f"{get('volume')}, {get('pages')}"
    )


# --- everything of a paper ---------------------------------------------------------------------


@dataclass(frozen=True)
class Written:
    """What was written of one paper.

    Parameters
    ----------
    paper : str
        Its name.
    letters : list of Path
        One a student and sitting.
    report : Path
        The class report.
    marks : list of Path
        The marks, as CSV and XLSX.
    to_look : int
        How many hand-ins need a look.
    notes : list of str
        What should be said about it.
    """

    paper: str
    letters: list[Path]
    report: Path
    marks: list[Path]
    to_look: int
    notes: list[str]


def write_class_report(
    book: Book,
    out: str | Path,
    paper: str,
    *,
    lessons: Mapping[str, str] | None = None,
    results: Sequence[Result] | None = None,
) -> Path:
    """Write the class report of a paper, and return where it lies."""
    path, _ = _class_report(book, Path(out), paper, lessons, results)
    return path


def _class_report(
    book: Book,
    out: Path,
    paper: str,
    lessons: Mapping[str, str] | None,
    results: Sequence[Result] | None,
) -> tuple[Path, ClassSummary]:
    summary = class_summary(book, paper, results)
    decided = solutions_opened(book, paper)
    opened = (
        f"Worked solutions were opened by {decided.by} on "
        f"{say_date(decided.at[:10])}: {decided.reason}."
        if decided
        else ""
    )
    text = class_report(
        summary,
        lessons=lessons,
        opened=opened,
        moderation=agreement(book, paper).sentences,
        keep=str(book.about.get("keep_data", "")),
    )
    make_folder(out)
    path = out / f"{slug(paper)}-class-report.html"
    write(path, text)
    return path, summary


def write_reports(
    book: Book,
    out: str | Path,
    *,
    paper: str | None = None,
    solutions: bool = False,
    lessons: Mapping[str, str] | None = None,
    signed: str = "",
    tell: Callable[[int, int], None] | None = None,
) -> list[Written]:
    """Write letters, class report and marks of every issued paper.

    Parameters
    ----------
    book : Book
        The mark book.
    out : str or Path
        The folder: ``letters/<paper>/``, and beside it the class report and the marks.
    paper, solutions, lessons, signed, tell
        As :func:`exercises.letters.write_letters` takes them.
    """
    out = Path(out)
    papers = [book.paper(paper)] if paper else book.papers()
    written = []
    for one in papers:
        if one.state != "issued":
            continue
        results = book.results(one.name)
        letters = write_letters(
            book,
            out / "letters",
            paper=one.name,
            solutions=solutions,
            lessons=lessons,
            signed=signed,
            results=results,
            tell=tell,
        )
        report, summary = _class_report(book, out, one.name, lessons, results)
        name = slug(one.name)
        marks = [
            marks_csv(book, one.name, out / f"{name}-marks.csv", results=results),
            marks_xlsx(book, one.name, out / f"{name}-marks.xlsx", results=results),
        ]
        notes = (
            [f"{len(summary.look)} hand-ins need a look: they are listed in {report}."]
            if summary.look
            else []
        )
        written.append(Written(one.name, letters, report, marks, len(summary.look), notes))
    return written
