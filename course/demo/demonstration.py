"""``glossbook demo``: the whole job, once, for an invented school.

It builds the site, issues a paper to a class of twelve, plays what the twelve hand
in (well, badly, late, copied, damaged), marks the pile and writes the reports.
Everything goes the way that a real class goes; only the students are played.
"""

from __future__ import annotations

import hashlib
import json
import os
import shutil
import zipfile
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from pathlib import Path
from typing import Any

from course.demo import FOLDER
from course.demo.bench import watch
from course.office.papers import book_for, questions_for
from course.practical.handout import printed
from course.practical.page import page
from course.practical.planning import plan as planned
from course.practical.solver import can_solve
from course.scheme.model import Scheme
from course.scheme.reading import read_scheme
from course.site.building import all_titles, build
from course.site.signposts import signposts
from exercises.book.book import Book
from exercises.book.records import SheetRecord
from exercises.files.replacing import holds_others, only_a_folder
from exercises.marking import run
from exercises.marking.copied_line import pack_line
from exercises.marking.rules import mark_sheet
from exercises.questions.answer_boxes import answer_boxes
from exercises.questions.parts import DrawnQuantity
from exercises.questions.registry import Question
from exercises.reports import class_report
from exercises.reports.at_the_bench import write_bench_reports
from exercises.sheets import class_list, drafting, issuing

PAPER = "syrups-and-gelatin"
# No secret at all: with it the invented class comes out the same each time.
SECRET = hashlib.sha256(b"Bramblemoor").hexdigest()
ASSESSOR = "Marit Oswin"
Tell = Callable[[str], None]


@dataclass
class DemoMade:
    """Where everything lies, and what to open first.

    Parameters
    ----------
    places : list of tuple
        What it is, and its path.
    first : Path
        What to open first.
    """

    places: list[tuple[str, Path]]
    first: Path


def show(out: Path, tell: Tell = lambda line: None) -> DemoMade:
    """Do everything once for the invented school, into a folder.

    Parameters
    ----------
    out : Path
        What an earlier demo left there is replaced.
    tell : function of a line
        Is told what is going on.
    """
    _clear(out)
    scheme_file = out / "scheme.toml"
    class_file = out / "class.csv"
    for path in (scheme_file, class_file):
        shutil.copyfile(FOLDER / path.name, path)
    scheme = read_scheme(scheme_file)

    tell("1 of 7  The course site: lessons run for this kitchen")
    site = build(scheme, out / "site", tell=lambda line: tell(f"        {line}"))
    for note in site.notes:
        tell(f"        {note}")
    tell("2 of 7  The plan of the practical")
    plan = out / "practical.html"
    html, calendar = printed(scheme) if can_solve() else (page(planned(scheme)), "")
    plan.write_text(html, encoding="utf-8")
    if calendar:
        plan.with_suffix(".ics").write_text(calendar, encoding="utf-8", newline="")

    tell("3 of 7  Worksheets: drafted, checked, issued")
    questions = questions_for(scheme)
    students = class_list.read_class(class_file).students
    book = book_for(scheme, out / "class.db", secret=SECRET)
    with book:
        sheets = _issue(scheme, book, students, questions, out)
        tell("4 of 7  The class hands in (twelve students, played)")
        pile_folder = out / "hand-ins"
        _hand_in(sheets, out / "sheets", pile_folder, scheme)
        tell("5 of 7  Marking the pile")
        in_time = run.mark_folder(pile_folder, book, received_at=_day(scheme, -2))
        _second_try(sheets["BP-05"], pile_folder, scheme)
        summary = run.mark_folder(pile_folder, book, received_at=_day(scheme, 2))
        to_look = in_time.to_look + summary.to_look
        on_paper = sheets["BP-11"]
        run.key_in(
            book,
            on_paper.token,
            answers_of(on_paper, {}),
            ASSESSOR,
            received_at=_day(scheme, -1).isoformat(),
        )
        tell(f"        {summary.met} files read, {to_look} need a look")
        tell("6 of 7  The practical, watched (two observers, played)")
        observing = watch(scheme, class_file, book, out / "observing")
        tell("7 of 7  Letters, class report, marks")
        (written,) = class_report.write_reports(
            book,
            out / "reports",
            lessons=all_titles(),
            signed=ASSESSOR,
            course=signposts(str(site.site)),
        )
        seen = write_bench_reports(book, out / "reports", lessons=all_titles(), signed=ASSESSOR)
    places = [
        ("The course", site.site / "index.html"),
        ("The practical", plan),
        ("A student's sheet", _one(out / "sheets", "*BP-01*/*.html")),
        ("The mark scheme", out / "sheets" / f"{PAPER}-mark-scheme.html"),
        ("What was handed in", pile_folder),
        ("The class report", written.report),
        ("Letters to students", written.letters[0].parent),
        ("The marks", written.marks[1]),
        ("Observation sheets", observing / "observation-sheets.html"),
        ("For a tablet", observing / "observe.html"),
        *([("Both kinds of results", seen.results)] if seen else []),
        ("The mark book", out / "class.db"),
    ]
    return DemoMade(places, site.site / "index.html")


MARK = ".glossbook-demo"


def _clear(out: Path) -> None:
    """Empty the folder of an earlier demo; leave any other folder alone."""
    held = only_a_folder(out)
    if held and MARK not in held:
        raise holds_others(out, held, "demo")
    shutil.rmtree(out, ignore_errors=True)
    out.mkdir(parents=True)
    (out / MARK).write_text("A demo made this folder and may replace it.\n", encoding="utf-8")


def _one(folder: Path, pattern: str) -> Path:
    return next(p for p in sorted(folder.glob(pattern)) if "paper" not in p.name)


def _issue(
    scheme: Scheme,
    book: Book,
    students: Any,
    questions: Mapping[str, Question],
    out: Path,
) -> dict[str, SheetRecord]:
    drafted = drafting.draft(scheme.paper_plan(PAPER), questions, book)
    (out / f"{PAPER}-to-check.html").write_text(
        drafting.draft_text(drafted, questions), encoding="utf-8"
    )
    checked = drafting.check(drafted, ASSESSOR, book)
    issuing.issue_sheets(checked, questions, students, book, out / "sheets", ASSESSOR)
    return {sheet.student: sheet for sheet in book.sheets(PAPER)}


# --- what the class hands in ------------------------------------------------------------


def answers_of(sheet: SheetRecord, instead: Mapping[str, str]) -> dict[str, str]:
    """Return right answers to a sheet, with some of them replaced."""
    right = {key.key: key.part.exact_answer() for key in answer_boxes(sheet.questions)}
    return right | {key: text for key, text in instead.items() if key in right}


def weak(sheet: SheetRecord) -> dict[str, str]:
    """Answer as somebody does who read the lesson once: every other part goes wrong."""
    keys = answer_boxes(sheet.questions)[1::2]
    return answers_of(sheet, {key.key: key.part.wrong_answer() for key in keys})


def down_a_road(sheet: SheetRecord) -> dict[str, str]:
    """Answer well, but take the first wrong turn wherever one branches off."""
    return answers_of(
        sheet,
        {
            key.key: key.part.in_unit(key.part.roads[0].value, 6)
            for key in answer_boxes(sheet.questions)
            if isinstance(key.part, DrawnQuantity) and key.part.roads
        },
    )


def without_units(sheet: SheetRecord) -> dict[str, str]:
    """Answer well, and leave out every unit."""
    right = answers_of(sheet, {})
    return {
        key.key: right[key.key].split()[0]
        if isinstance(key.part, DrawnQuantity)
        else right[key.key]
        for key in answer_boxes(sheet.questions)
    }


def one_part_wrong(sheet: SheetRecord, place: int) -> dict[str, str]:
    """Answer well but for one part."""
    keys = answer_boxes(sheet.questions)
    key = keys[place % len(keys)]
    wrong = weak(sheet).get(key.key, "")
    right = answers_of(sheet, {})
    return right | {key.key: wrong if wrong != right[key.key] else ""}


def _least_right(sheet: SheetRecord, others: Sequence[dict[str, str]]) -> dict[str, str]:
    """Return those of others' answers of which most are wrong on this sheet."""

    def wrong(answers: dict[str, str]) -> int:
        marked = mark_sheet(sheet.questions, answers)
        return sum(not one.awarded and bool(answers[one.part]) for one in marked)

    return max(others, key=wrong)


def _file(sheet: SheetRecord, answers: Mapping[str, str], saved: datetime) -> dict[str, Any]:
    return {
        "glossbook": 1,
        "token": sheet.token,
        "answers": dict(answers),
        "working": {},
        "saved": saved.isoformat(timespec="seconds"),
    }


def _day(scheme: Scheme, days: int) -> datetime:
    last = scheme.papers[PAPER].hand_in_by
    if last is None:
        raise ValueError("the demo's paper has no date")
    return datetime(last.year, last.month, last.day, 15, 30) + timedelta(days=days)


def _hand_in(sheets: Mapping[str, SheetRecord], issued: Path, folder: Path, scheme: Scheme) -> None:
    """Put into a folder what twelve students hand in."""
    folder.mkdir(parents=True)
    early = _day(scheme, -2)
    nearly_right = {"BP-01": answers_of(sheets["BP-01"], {})} | {
        name: one_part_wrong(sheets[name], place)
        for name, place in (("BP-05", 1), ("BP-07", 2), ("BP-09", 3), ("BP-10", 4), ("BP-12", 0))
    }

    def put(name: str, data: str | bytes, when: datetime = early) -> None:
        path = folder / name
        path.write_bytes(data.encode() if isinstance(data, str) else data)
        os.utime(path, (when.timestamp(), when.timestamp()))

    def save(
        student: str, answers: Mapping[str, str], when: datetime = early, name: str = ""
    ) -> None:
        sheet = sheets[student]
        text = json.dumps(_file(sheet, answers, when), ensure_ascii=False)
        put(name or f"{sheet.token}.handin.json", text, when)

    save("BP-01", nearly_right["BP-01"])  # good
    save("BP-02", weak(sheets["BP-02"]))
    save("BP-03", down_a_road(sheets["BP-03"]))
    save("BP-04", without_units(sheets["BP-04"]))
    # a hand-in in time; another one follows after the date
    save("BP-05", nearly_right["BP-05"])
    # the answers of a classmate, on this student's own sheet
    save("BP-06", _least_right(sheets["BP-06"], list(nearly_right.values())))
    # a notebook, filled in
    put("BP-07 notebook.ipynb", _filled_notebook(issued, sheets["BP-07"]))
    # a file that was cut short on its way
    whole = json.dumps(_file(sheets["BP-08"], answers_of(sheets["BP-08"], {}), early))
    put(f"{sheets['BP-08'].token}.handin.json", whole[: len(whole) // 2])
    # not a hand-in at all
    put("holiday.jpg", b"\xff\xd8\xff\xe0" + bytes(range(256)) * 4)
    # a phone that would not save: the line was copied into a message
    put(
        "message.txt",
        pack_line(_file(sheets["BP-09"], nearly_right["BP-09"], early)),
    )
    # two that came zipped together
    with zipfile.ZipFile(folder / "from the post.zip", "w") as archive:
        for student in ("BP-10", "BP-12"):
            sheet, answers = sheets[student], nearly_right[student]
            info = zipfile.ZipInfo(f"{sheet.token}.handin.json", early.timetuple()[:6])
            archive.writestr(info, json.dumps(_file(sheet, answers, early)))
    # BP-11 wrote on paper: keyed in by the assessor


def _second_try(sheet: SheetRecord, folder: Path, scheme: Scheme) -> None:
    """Put a further hand-in of a sheet into the folder, all right but after the date."""
    text = json.dumps(_file(sheet, answers_of(sheet, {}), _day(scheme, 2)), ensure_ascii=False)
    (folder / "second try.handin.json").write_text(text, encoding="utf-8")


def _filled_notebook(issued: Path, sheet: SheetRecord) -> str:
    path = next(issued.glob(f"*/*{sheet.token}.ipynb"))
    notebook = json.loads(path.read_text(encoding="utf-8"))
    answers = one_part_wrong(sheet, 2)
    for cell in notebook["cells"]:
        key = cell["metadata"].get("glossbook", {}).get("part")
        if key in answers:
            cell["source"] = f"answer = {json.dumps(answers[key], ensure_ascii=False)}"
    return json.dumps(notebook, ensure_ascii=False)
