"""The class report as a page, and everything that is written for a paper."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from math import ceil, floor
from pathlib import Path
from statistics import median
from typing import Any

from calculators.sources import source
from exercises.book.book import Book
from exercises.book.records import Result
from exercises.files.writing import make_folder, write
from exercises.observing.seen import benches
from exercises.reports.at_the_bench import class_sentences
from exercises.reports.class_summary import (
    COLUMNS,
    HIGHEST,
    LITTLE,
    MOST_LISTED,
    Box,
    ClassSummary,
    OutcomeMet,
    Road,
    ToLookAt,
    class_summary,
)
from exercises.reports.finals import finals
from exercises.reports.letters import (
    keep_in_words,
    slug,
    solutions_opened,
    write_letters,
)
from exercises.reports.marks_tables import marks_csv, marks_xlsx
from exercises.reports.office import about_resit, final_page, write_across, write_resit_list
from exercises.reports.second_marks import agreement
from exercises.reports.signposts import Signposts
from exercises.reports.spreadsheets import write_csv, write_record
from exercises.reports.standing import (
    NOT_JUDGED,
    OPEN,
    PASSED,
    Standing,
    lesson_title,
    marks_said,
    rule,
)
from exercises.reports.statistics import FEWEST_FOR_SHARES, Counted
from exercises.sheets.sheet import say_date
from exercises.sheets.worksheet import page_template, static_text

# --- the class report as a page -----------------------------------------------------------


def class_report(
    summary: ClassSummary,
    *,
    lessons: Mapping[str, str] | None = None,
    opened: str = "",
    head: str = "",
    moderation: Sequence[str] = (),
    keep: str = "",
    bench: Sequence[str] = (),
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
    head : str
        The head of the mark book's record.
    moderation : sequence of str
        What second marks showed, as sentences.
    keep : str
        How long data are kept with names.
    bench : sequence of str
        What the practical came to, as sentences.
    """
    titles = lessons or {}
    marked = [each for each in summary.standings if each.state]
    looks: dict[str, list[ToLookAt]] = {}
    for each in summary.look:
        looks.setdefault(each.kind, []).append(each)
    return page_template("class_report.html").render(
        title=summary.paper.title,
        facts=_facts(summary, marked),
        short=_in_short(summary, marked),
        teach=[
            {
                "title": lesson_title(each.lesson, titles),
                "outcomes": [
                    {"said": f"{one.met} have met", "wording": one.wording, "must": one.must}
                    for one in each.outcomes
                ],
                "road": _road_said(each.road) if each.road else None,
            }
            for each in summary.teach
        ],
        few=summary.marked < FEWEST_FOR_SHARES,
        fewest=FEWEST_FOR_SHARES,
        count=summary.marked,
        missing=summary.missing,
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
        head=head,
        moderation=moderation,
        bench=bench,
        keep=keep_in_words(keep),
        sources={name: _cited(name) for name in ("henrysson1963", "cronbach1951")},
        css=static_text("tokens.css", "worksheet.css", "report.css"),
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
    said = [f"Handed in: {came} of {count} students. Marked: {len(marked)}."]
    passed = sum(each.state == PASSED for each in marked)
    waiting = sum(each.state == OPEN for each in marked)
    if marked:
        said.append(
            f"Passed: {passed}"
            + (f"; for {waiting} more it depends on what is still to settle." if waiting else ".")
        )
    if summary.look:
        said.append(f"{_need_a_look(summary)} before the marks are final.")
    return said


def _need_a_look(summary: ClassSummary) -> str:
    count = len(summary.look)
    return "1 hand-in needs a look" if count == 1 else f"{count} hand-ins need a look"


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
        f"{begins} median is {marks_said(middle)} of {total} marks; the middle half scored "
        f"{marks_said(low)} to {marks_said(high)}."
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


def _outcome_row(one: OutcomeMet) -> dict[str, Any]:
    return {
        "wording": one.wording,
        "must": one.must,
        "said": f"{NOT_JUDGED}: {one.why}" if one.why else str(one.met),
        "strip": _strip(one.met) if one.told else None,
    }


def _strip(counted: Counted | None) -> dict[str, float] | None:
    if counted is None:
        return None
    return {"place": counted.low, "low": counted.low, "high": counted.high}


def _box_row(box: Box) -> dict[str, Any]:
    return {
        "key": box.key,
        "what": box.prompt,
        "said": str(box.got) if box.got else "",
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
            else "discriminates little: look at it"
            if box.apart < LITTLE
            else "discriminates well"
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
        One for each sheet of which something came in.
    report : Path
        The class report.
    marks : list of Path
        The marks as CSV and XLSX, and the final marks.
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
    out: Path,
    paper: str,
    lessons: Mapping[str, str] | None = None,
    results: Sequence[Result] | None = None,
) -> tuple[Path, ClassSummary]:
    """Write the class report of a paper; return where it lies, and what it tells."""
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
        head=book.head(),
        moderation=agreement(book, paper).sentences,
        keep=str(book.about.get("keep_data", "")),
        bench=class_sentences(benches(book)),
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
    course: Signposts | None = None,
) -> list[Written]:
    """Write letters, class report and marks of every issued paper, and results across papers.

    Parameters
    ----------
    book : Book
        The mark book.
    out : str or Path
        The folder: ``letters/<paper>/``, and beside it the class report, the marks and,
        where no paper is named, ``results.csv``, ``results.xlsx`` and ``record.txt``.
    paper, solutions, lessons, signed, course
        As :func:`exercises.reports.letters.write_letters` takes them.
    """
    out = Path(out)
    papers = [book.paper(paper)] if paper else book.papers()
    written = []
    all_finals = {}
    tables: list[Path] = []
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
            course=course,
            results=results,
        )
        report, summary = write_class_report(book, out, one.name, lessons, results)
        name = slug(one.name)
        counted = finals(results, one)
        all_finals[one.name] = one, counted
        page = final_page(one, counted)
        resit = out / f"{name}-resit.csv"
        marks = [
            marks_csv(book, one.name, out / f"{name}-marks.csv", results=results),
            marks_xlsx(book, one.name, out / f"{name}-marks.xlsx", results=results),
            write_csv(out / f"{name}-final.csv", page.heads, page.rows),
        ]
        tables += [*marks, write_resit_list(counted, resit)]
        notes = about_resit(one.name, counted, resit)
        if summary.look:
            notes.append(f"{_need_a_look(summary)}: see {report}.")
        written.append(Written(one.name, letters, report, marks, len(summary.look), notes))
    if all_finals and not paper:
        across = write_across(book, out, all_finals)
        write_record(out / "record.txt", book, [*tables, *across])
    return written
