"""Comments on dry runs: what a log shows of each row of the observation sheet, never a mark."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from exercises.book.book import Book
from exercises.book.records import HandIn, Student
from exercises.book.rehearsals import Rehearsal, SetRun
from exercises.files.writing import make_folder, write
from exercises.observing.sheet import cautions_of
from exercises.questions.outcomes import outcomes
from exercises.rehearsal.log import comes
from exercises.rehearsal.saying import clock, number
from exercises.rehearsal.surprises import SURPRISES
from exercises.rehearsal.watched import DONE, NOT_DONE, NOT_HERE, NOT_REACHED
from exercises.reports.letters import keep_in_words
from exercises.reports.standing import lesson_title
from exercises.sheets.issuing import look_of
from exercises.sheets.names import called, folder_of
from exercises.sheets.sheet import say_date
from exercises.sheets.worksheet import page_template, static_text

_MISSED = ((NOT_DONE, "What to do differently next time"),)
_GROUPS = (
    (NOT_REACHED, "What this run did not come to"),
    (DONE, "What the run shows"),
    (NOT_HERE, "What no rehearsal can show"),
)
MOST_TOLD = 3


@dataclass(frozen=True)
class CommentsWritten:
    """What was written of dry runs: the sheets, and the class in sentences."""

    sheets: list[Path]
    sentences: list[str]


def write_comments(
    book: Book, out: str | Path, *, lessons: Mapping[str, str] | None = None, signed: str = ""
) -> CommentsWritten | None:
    """Write a sheet of comments for each student and run; None where no log came in.

    Of several logs of one run the last counts; the others stay in the book.

    Parameters
    ----------
    book : Book
        The mark book.
    out : str or Path
        The folder: ``letters/dry-runs/`` in it.
    lessons : mapping of str to str, optional
        Titles of the lessons, by id.
    signed : str
        In whose name; by default the school's.
    """
    runs = {one.id: one for one in book.dry_runs()}
    people = book.students()
    held: dict[tuple[str, str], list[Rehearsal]] = {}
    for one in book.rehearsals():
        if not people[one.student].erased_at:
            held.setdefault((one.student, runs[one.dry_run].name), []).append(one)
    if not held:
        return None
    folder = Path(out) / "letters" / "dry-runs"
    make_folder(folder)
    keep = keep_in_words(str(book.about.get("keep_data", "")))
    sheets = []
    for (student, name), logs in held.items():
        last = logs[-1]
        path = folder / f"{folder_of(people[student])}_{name}.html"
        page = comment_sheet(
            last,
            runs[last.dry_run],
            people[student],
            book.handin(last.handin),
            lessons=lessons or {},
            signed=signed,
            keep=keep,
            count=len(logs),
        )
        write(path, page)
        sheets.append(path)
    return CommentsWritten(sheets, class_sentences([logs[-1] for logs in held.values()]))


def comment_sheet(
    log: Rehearsal,
    run: SetRun,
    student: Student,
    file: HandIn,
    *,
    lessons: Mapping[str, str],
    signed: str = "",
    keep: str = "",
    count: int = 1,
) -> str:
    """Return the comments on one log as a page that stands alone.

    Parameters
    ----------
    log, run, student, file : Rehearsal, SetRun, Student, HandIn
        What was done, of which run, by whom, and the file that brought it.
    lessons : mapping of str to str
        Titles of the lessons, by id.
    signed, keep : str
        In whose name, and how long data are kept, in words.
    count : int
        How many logs of this run the student has handed in.
    """
    asked = {row["id"]: row for row in run.content["rows"]}
    rows = [{**asked.get(one["row"], {}), **one} for one in log.shown["rows"]]
    return page_template("rehearsal_comment.html").render(
        title=run.content["title"],
        name=student.name,
        dear=called(student.name),
        run=f"{run.name}, {run.content['way']}",
        look=look_of(student),
        came=say_date(file.received_at[:10]),
        steps=log.shown["steps"],
        clock=clock(log.shown["minutes"]),
        said=_said(run, file, count),
        step=_step(rows, log.shown["stops"], lessons),
        cautions=_cautions(rows, log.shown["stops"], run.content["last word"]),
        stops=log.shown["stops"],
        missed=_groups(rows, _MISSED),
        groups=_groups(rows, _GROUPS),
        cake=[
            {
                "name": one["name"],
                "number": number(one["value"]),
                "unit": one["unit"],
                "words": one["words"] if one["off"] >= 1 else "good",
            }
            for one in log.shown["cake"]
        ],
        surprises=_surprises(run),
        last_word=run.content["last word"],
        signed=signed or run.content["school"],
        keep=keep,
        css=static_text("tokens.css", "worksheet.css", "report.css"),
    )


def _said(run: SetRun, file: HandIn, count: int) -> list[str]:
    """Return what there is to say of how it came in; a date decides nothing here."""
    said = []
    by = run.content["hand in by"]
    if by and file.received_at[:10] > by:
        said.append(f"It came in after {say_date(by)}, by which it was to be handed in.")
    if count > 1:
        said.append(f"You have handed in {count} logs of this run; this is about the last one.")
    return said


def _groups(
    rows: Sequence[Mapping[str, Any]], titles: Sequence[tuple[str, str]]
) -> list[tuple[str, list[dict[str, Any]]]]:
    """Return rows under the title of their state; a title without rows is left out."""
    timed = [{**row, "at": "" if row["minutes"] is None else clock(row["minutes"])} for row in rows]
    held = [(title, [row for row in timed if row["state"] == state]) for state, title in titles]
    return [(title, found) for title, found in held if found]


def _step(
    rows: Sequence[Mapping[str, Any]], stops: Sequence[str], lessons: Mapping[str, str]
) -> tuple[str, str]:
    """Return the one next step: what to do, and the lesson to read."""
    if stops:
        return "Do the run again, and come to its end without a stop.", ""
    missed = [row for row in rows if row["state"] == NOT_DONE]
    if not missed:
        return "Go through your plan aloud, with your own kitchen in mind, then to the bench.", ""
    first = next((row for row in missed if row["must"]), missed[0])
    lesson = outcomes()[first["outcome"]].lesson
    return f"Rehearse this first: {first['says']}.", lesson_title(lesson, lessons)


def _cautions(
    rows: Sequence[Mapping[str, Any]], stops: Sequence[str], last_word: str
) -> list[dict[str, str]]:
    """Return what can hurt where something was not done, or where the run stopped."""
    hot = [row for row in rows if row["state"] == NOT_DONE or (stops and row["when"] == "boil")]
    return [one for each in cautions_of(hot, last_word).values() for one in each]


def _surprises(run: SetRun) -> list[str]:
    one = run.content
    names = comes(one["way"], one["seed"], one["surprises"])
    return [SURPRISES[name].said for name in names]


def class_sentences(logs: Sequence[Rehearsal]) -> list[str]:
    """Return what most of a class did not do, the commonest first; nobody is named."""
    missed, reached = Counter[str](), Counter[str]()
    for one in logs:
        for row in one.shown["rows"]:
            missed[row["says"]] += row["state"] == NOT_DONE
            reached[row["says"]] += row["state"] in (DONE, NOT_DONE)
    return [
        f"Not done in {n} of {reached[says]}: {says}."
        for says, n in missed.most_common(MOST_TOLD)
        if n
    ]
