"""A sample marked again, blind, and how far two assessors agree."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from math import ceil
from pathlib import Path
from statistics import fmean
from typing import Any

from calculators.faults import Fault, FaultsError, fault_error, refuse
from exercises.book.book import Book
from exercises.book.records import (
    Decision,
    Mark,
    PaperRecord,
    Result,
    known_as,
    must_name,
    same_person,
)
from exercises.book.schema import UNREADABLE
from exercises.book.tokens import read_token
from exercises.files.writing import make_folder, write
from exercises.marking.rules import TO_SETTLE
from exercises.questions.answer_boxes import answer_boxes
from exercises.questions.parts import DrawnQuestion
from exercises.reports.letters import slug
from exercises.reports.spreadsheets import write_csv
from exercises.reports.standing import BY_HAND, NOT_PASSED, marks_said, pass_share, standing
from exercises.reports.statistics import Kappa, kappa
from exercises.sheets.sheet import Sheet, public
from exercises.sheets.worksheet import page_template, static_text

SECOND, ADJUDICATED = "second mark", "adjudicated"


# --- the sample ------------------------------------------------------------------------


@dataclass(frozen=True)
class Pick:
    """A sheet of the sample, and why it is in it."""

    result: Result
    because: tuple[str, ...]


@dataclass(frozen=True)
class Sample:
    """The sheets to be marked a second time.

    Parameters
    ----------
    paper, title : str
        The paper's name and title.
    rule : str
        The rule by which they were chosen, in a sentence.
    picks : tuple of Pick
        In the order of their tokens, which says nothing about anybody.
    """

    paper: str
    title: str
    rule: str
    picks: tuple[Pick, ...]


def sample(book: Book, paper: str, *, one_in: int = 8, margin: float = 0.05) -> Sample:
    """Choose the sheets to be marked a second time, by a rule that anyone can check.

    Parameters
    ----------
    book : Book
        The mark book; the same book always gives the same sample.
    paper : str
        The paper.
    one_in : int
        Beside the others, one sheet in so many, by a keyed hash of its token.
    margin : float
        How near the marks needed to pass a sheet is *borderline*, as a share of all
        marks.

    Returns
    -------
    Sample
        Every sheet that is borderline, was overridden by an assessor or has a part
        that could not be read, one in ``one_in`` of all that were marked, and as large a
        share from the top, from the pass line and from those that fail.  A
        hand-in that could not be read as a whole has nothing to mark, and waits among
        what needs a look.
    """
    faults = []
    if one_in < 1:
        faults.append(
            Fault("one in", "is too small", str(one_in), "From 1", "Give 8, for one sheet in eight")
        )
    if not 0 <= margin <= 0.5:
        faults.append(
            Fault(
                "margin",
                "is out of range",
                str(margin),
                "From 0 to 0.5",
                "Give 0.05, for five in a hundred",
            )
        )
    refuse(faults)
    about = book.paper(paper)
    picks = []
    marked = [result for result in book.results(paper) if result.marks]
    ranges = _from_each_range(book, marked, about, one_in)
    for result in marked:
        because = tuple(_because(book, result, about, one_in, margin))
        because += ranges.get(result.sheet.token, ())
        if because:
            picks.append(Pick(result, because))
    said = (
        f"Borderline (within {100 * margin:g} % of all marks from the "
        f"{100 * pass_share(about):g} % that pass), overridden, partly unreadable, one "
        f"in {one_in} of the marked sheets by a keyed hash of its token, and at least as large "
        "a share of the top quarter, of the quarter at the pass line and of those that fail."
    )
    return Sample(
        paper,
        about.title,
        said,
        tuple(sorted(picks, key=lambda pick: pick.result.sheet.token)),
    )


def _because(
    book: Book, result: Result, about: PaperRecord, one_in: int, margin: float
) -> Iterable[str]:
    stands = standing(result, about)
    if abs(stands.awarded - stands.needed) <= margin * stands.total + 1e-9:
        yield "borderline"
    if any(mark.verdict == BY_HAND for mark in result.marks.values()):
        yield "overridden"
    if stands.open or any(one.state == UNREADABLE for one in result.others):
        yield "unreadable"
    if _by_hash(book, about, result) % one_in == 0:
        yield f"one in {one_in}"


def _by_hash(book: Book, about: PaperRecord, result: Result) -> int:
    return int(book.seed(f"moderation of {about.name}", result.sheet.token)[:12], 16)


TOP, AT_LINE, BELOW = "top", "at the pass line", "fail"


def _from_each_range(
    book: Book, marked: Sequence[Result], about: PaperRecord, one_in: int
) -> dict[str, tuple[str, ...]]:
    """Return sheets from the top, from the pass line and from those that fail.

    From each range at least one, and one in ``one_in``, by the keyed hash.
    """
    stands = {result.sheet.token: standing(result, about) for result in marked}
    share = {token: one.awarded / (one.total or 1) for token, one in stands.items()}
    few = ceil(len(marked) / 4)
    by_marks = sorted(marked, key=lambda one: (-share[one.sheet.token], one.sheet.token))
    line = pass_share(about)
    ranges = {
        TOP: by_marks[:few],
        AT_LINE: sorted(marked, key=lambda one: abs(share[one.sheet.token] - line))[:few],
        BELOW: [one for one in marked if stands[one.sheet.token].state == NOT_PASSED],
    }
    chosen: dict[str, tuple[str, ...]] = {}
    for name, some in ranges.items():
        some = sorted(some, key=lambda one: _by_hash(book, about, one))
        for one in some[: ceil(len(some) / one_in)]:
            token = one.sheet.token
            chosen[token] = (*chosen.get(token, ()), name)
    return chosen


# --- second marks, given blind -----------------------------------------------------------

_HEADS = ("sheet", "part", "marks possible", "second mark", "remark")
SHEET_PAGE, SHEET_TABLE = "second-marks.html", "second-marks.csv"


def blind_sheets(chosen: Sample, out: str | Path) -> tuple[Path, Path]:
    """Write what a second assessor needs: a page to print, and a table to fill in.

    Neither holds a name, a first mark, a verdict or why a sheet was chosen.

    Returns
    -------
    tuple of Path
        The page, and the table.
    """
    if not chosen.picks:
        raise fault_error(
            f"paper {chosen.paper}",
            "has no sheet to mark a second time",
            "",
            chosen.rule,
            "Mark the hand-ins first, or choose one in fewer",
        )
    out = Path(out)
    make_folder(out)
    rows, cases = [], []
    for pick in chosen.picks:
        result = pick.result
        lines: list[dict[str, Any]] = []
        asked = list(map(DrawnQuestion.from_json, result.sheet.questions))
        bare = Sheet(result.sheet.token, "", "", asked)
        exhibits = {f"{one['number']}a": one["exhibit"] for one in public(bare)["questions"]}
        for key in answer_boxes(result.sheet.questions):
            name, listed = key.whole_key, key.whole.public(key.place, False).listed()
            one = result.handin
            lines.append(
                {
                    "key": key.key,
                    "stem": key.question.stem,
                    "exhibit": exhibits.pop(name, None),
                    "prompt": key.whole.prompt,
                    "label": key.label,
                    "listed": [] if key.label else listed,
                    "wrote": str(one.answers.get(key.key, "")) if one else "",
                    "working": str(one.working.get(name, "")) if one else "",
                    "answer": key.part.right_answer(),
                    "tolerance": getattr(key.part, "tolerance_text", ""),
                    "worked": key.worked,
                    "follows": [name[:-1] + each for each in getattr(key.part, "follows", ())],
                    "total": marks_said(key.part.total),
                }
            )
            rows.append((result.sheet.token, key.key, marks_said(key.part.total), "", ""))
        cases.append({"token": result.sheet.token, "lines": lines})
    page = page_template("second_marks.html").render(
        title=chosen.title,
        rule=chosen.rule,
        cases=cases,
        css=static_text("tokens.css", "worksheet.css", "report.css"),
    )
    name = slug(chosen.paper)
    path = out / f"{name}-{SHEET_PAGE}"
    write(path, page)
    return path, write_csv(out / f"{name}-{SHEET_TABLE}", _HEADS, rows)


def read_second_marks(book: Book, paper: str, path: str | Path, by: str) -> int:
    """Read a filled-in table of second marks into the book.

    Second marks are noted beside the first ones and change none of them.  Rows without
    a mark are left for later; what this assessor gave before is not noted twice, and
    where it is another mark now, it is read as corrected.

    Parameters
    ----------
    book : Book
        Open for writing.
    paper : str
        The paper.
    path : str or Path
        The table as :func:`blind_sheets` wrote it, filled in.
    by : str
        Who gave the second marks; must not be who gave the first one.

    Returns
    -------
    int
        How many marks are new or corrected.

    Raises
    ------
    FaultsError
        All that is wrong with the table, each with its line.
    """
    must_name(by)
    path = Path(path)
    results = {row.sheet.token: row for row in book.results(paper)}
    given = {key: float(one.detail["awarded"]) for key, one in _second_marks(book, paper).items()}
    faults: list[Fault] = []
    notes = []
    for where, _, mark, size, remark in _filled_in(path, _HEADS[:4], results, faults):
        if given.get((mark.id, known_as(by))) == size:
            continue
        if same_person(mark.by, by):
            faults.append(
                Fault(
                    where,
                    "was marked first by the same person",
                    by,
                    "",
                    "Have somebody else give the second mark",
                )
            )
            continue
        given[mark.id, known_as(by)] = size
        notes.append(
            {
                "what": SECOND,
                "mark": mark.id,
                "detail": {"paper": paper, "awarded": size, "first": mark.awarded},
                "reason": remark,
            }
        )
    refuse(faults)
    if not notes:
        return 0
    return book.append(by=by, reason="Marked a second time, blind", decisions=notes)


def _rows_of(path: Path, heads: Sequence[str]) -> list[tuple[int, dict[str, str]]]:
    try:
        text = path.read_bytes().decode("utf-8-sig")
    except OSError as error:
        raise fault_error(str(path), "can't be read", error.strerror or "") from None
    except UnicodeDecodeError:
        raise fault_error(str(path), "is not in UTF-8", "", "", "Save it as CSV, UTF-8") from None
    head = text.partition("\n")[0]
    reader = csv.DictReader(
        io.StringIO(text), delimiter=";" if head.count(";") > head.count(",") else ","
    )
    missing = [name for name in heads if name not in (reader.fieldnames or ())]
    if missing:
        raise fault_error(
            f"{path.name}:1",
            f"has no column {', '.join(missing)}",
            head.strip()[:80],
            f"The table has {', '.join(heads)}",
            "Fill in the table that was written",
        )
    return [(reader.line_num, row) for row in reader]


def _filled_in(
    path: Path, heads: Sequence[str], results: Mapping[str, Result], faults: list[Fault]
) -> Iterator[tuple[str, str, Mark, float, str]]:
    """Yield place, token, first mark, mark and remark of each line with a mark in the last column.

    What is wrong with a line is added to the faults.
    """
    for line, row in _rows_of(path, heads):
        text = (row.get(heads[-1]) or "").strip().lstrip("'")
        where = f"{path.name}:{line}"
        if text:
            try:
                token = read_token(row["sheet"] or "", where)
                mark = _first_mark(row["part"] or "", token, results, where)
                size = _mark_of(text, mark, where)
            except FaultsError as error:
                faults += error.faults
            else:
                yield where, token, mark, size, (row.get(REMARK) or "").strip()


def _first_mark(part: str, token: str, results: Mapping[str, Result], where: str) -> Mark:
    if token not in results:
        raise fault_error(
            where,
            "is for a sheet that this paper does not have",
            token,
            "",
            "Look whether it belongs to another paper",
        )
    marks = results[token].marks
    if part.strip() not in marks:
        raise fault_error(
            where,
            "is for a part that has no first mark",
            part,
            f"Marked parts: {', '.join(marks)}",
            "Compare with the sheet",
        )
    return marks[part.strip()]


def _mark_of(text: str, first: Mark, where: str) -> float:
    try:
        size = float(text.replace(",", "."))
    except ValueError:
        size = float("nan")
    if not (0 <= size <= first.total and (2 * size).is_integer()):
        raise fault_error(
            where,
            "is no mark for this part",
            text,
            f"From 0 to {marks_said(first.total)} in half marks",
            "Correct it",
        )
    return size


# --- agreement ----------------------------------------------------------------------------


@dataclass(frozen=True)
class Agreement:
    """How far second marks agree with first ones.

    Parameters
    ----------
    count, same : int
        Answers that were marked twice, and how many got the same mark.
    sheets, same_sheets : int
        Sheets, and those on which every answer that was marked twice got the same.
    parts : dict of str to tuple of int
        By part: how many got the same, of how many.
    kappa : Kappa or None
        Agreement beyond chance, weighted by how far marks lie apart; None where both
        gave the same to everything.
    difference : float or None
        Mean of second minus first marks per sheet; None where nothing is compared.
    apart : tuple of tuple
        Sheet, part, first and second mark where they differ.
    sentences : list of str
        The same in words; empty where nothing was marked twice.
    """

    count: int
    same: int
    sheets: int
    same_sheets: int
    parts: dict[str, tuple[int, int]]
    kappa: Kappa | None
    difference: float | None
    apart: tuple[tuple[str, str, float, float], ...]
    sentences: list[str] = field(default_factory=list)


def agreement(book: Book, paper: str) -> Agreement:
    """Return how far the second marks of a paper agree with the first ones."""
    notes = list(_second_marks(book, paper).values())
    firsts: dict[int, tuple[Mark, str]] = {}
    waiting: set[int] = set()  # no first mark yet, so nothing to compare
    handed_in = [row.sheet.token for row in book.results(paper) if row.handin] if notes else []
    for token in handed_in:
        for one in book.handins(token=token):
            for mark in book.marks(one.id, history=True):
                if mark.verdict in TO_SETTLE and mark.part in one.flags.get("to settle", ()):
                    waiting.add(mark.id)
                else:
                    firsts[mark.id] = mark, token
    pairs = [
        (*firsts[one.mark], float(one.detail["awarded"])) for one in notes if one.mark in firsts
    ]
    equal = [mark.awarded == second for mark, _, second in pairs]
    parts: dict[str, tuple[int, int]] = {}
    by_sheet: dict[str, list[float]] = {}
    for (mark, token, second), same in zip(pairs, equal, strict=True):
        hits, of = parts.get(mark.part, (0, 0))
        parts[mark.part] = hits + same, of + 1
        by_sheet.setdefault(token, []).append(second - mark.awarded)
    found = Agreement(
        len(pairs),
        sum(equal),
        len(by_sheet),
        sum(not any(each) for each in by_sheet.values()),
        parts,
        kappa(
            [(m.awarded / m.total, second / m.total) for m, _, second in pairs if m.total],
            lambda one, two: abs(one - two),
        ),
        fmean(map(sum, by_sheet.values())) if by_sheet else None,
        tuple(
            (token, mark.part, mark.awarded, second)
            for mark, token, second in pairs
            if mark.awarded != second
        ),
    )
    left = sum(one.mark in waiting for one in notes)
    found.sentences.extend(_agreement_said(found, pairs, notes) if pairs else [])
    found.sentences.extend(_adjudicated_said(book, paper))
    if left:
        found.sentences.append(
            f"{left} answer{'s' if left > 1 else ''} with a second mark "
            f"{'are' if left > 1 else 'is'} not compared: the first mark is still to "
            "settle."
        )
    return found


def _second_marks(book: Book, paper: str) -> dict[tuple[int, str], Decision]:
    """Return the second marks that hold, by first mark and name: a corrected one is last."""
    return {
        (one.mark or 0, known_as(one.by)): one
        for one in book.decisions()
        if one.what == SECOND and one.detail.get("paper") == paper
    }


def _agreement_said(
    found: Agreement, pairs: Sequence[tuple[Mark, str, float]], notes: Sequence[Decision]
) -> list[str]:
    sheets = "sheet" if found.same_sheets == 1 else "sheets"
    said = [
        f"{found.count} answers on {found.sheets} sheets were marked a second time, blind: "
        f"{found.same} answers and {found.same_sheets} whole {sheets} got the same mark."
    ]
    unlike = {part: each for part, each in found.parts.items() if each[0] < each[1]}
    if unlike:
        worst = sorted(unlike, key=lambda part: unlike[part][0] / unlike[part][1])
        listed = ", ".join(f"{part} {unlike[part][0]} of {unlike[part][1]}" for part in worst)
        said.append(f"The same mark, part by part where it was not always so: {listed}.")
    if found.kappa is not None:
        value, low, high = found.kappa
        said.append(
            f"Agreement beyond chance is {value:.2f}; with this many answers it may be anything "
            f"from {low:.2f} to {high:.2f} (kappa, weighted by how far apart the marks are; "
            "1 is full agreement, 0 is chance). Cohen (1968)."
        )
    else:
        said.append(
            "Both gave the same share to everything, so agreement beyond chance can't be worked out."
        )
    said.append(_stricter(found, pairs, notes))
    if found.apart:
        parts = ", ".join(f"{part} of {token}" for token, part, *_ in found.apart[:10])
        more = len(found.apart) - 10
        said.append(f"Not the same: {parts}{f' and {more} more' if more > 0 else ''}.")
    return said


def _stricter(
    found: Agreement, pairs: Sequence[tuple[Mark, str, float]], notes: Sequence[Decision]
) -> str:
    """Return who gave less, in a sentence."""
    less = sum(second < mark.awarded for mark, _, second in pairs)
    more = sum(second > mark.awarded for mark, _, second in pairs)
    second = " and ".join(sorted({one.by for one in notes}))
    if found.difference is None or not (less or more):
        return f"Neither is stricter: {second} gave every answer its first mark."
    by = f"{abs(found.difference):.1f} marks per sheet"
    counted = f"less for {less} answers and more for {more}"
    if found.difference < 0:
        return f"{second} is stricter than the first marks: {counted}, on average {by} less."
    if found.difference > 0:
        return f"{second} is more lenient than the first marks: {counted}, on average {by} more."
    return f"Neither is stricter on the whole: {second} gave {counted}."


# --- where the two differ ------------------------------------------------------------------

_TO_DECIDE = ("sheet", "part", "marks possible", "first mark", "second mark")
FINAL, REMARK = "final mark", "remark"
DECIDE_TABLE = "final-marks.csv"


def to_adjudicate(book: Book, paper: str, out: str | Path) -> Path | None:
    """Write the table of answers whose two marks differ; None where none does.

    What was adjudicated before is left out.
    """
    found, done = agreement(book, paper), _adjudicated(book, paper)
    results = {row.sheet.token: row for row in book.results(paper)}
    rows = [
        (token, part, marks_said(results[token].marks[part].total), first, second, "", "")
        for token, part, first, second in found.apart
        if f"{token} {part}" not in done
    ]
    if not rows:
        return None
    path = Path(out) / f"{slug(paper)}-{DECIDE_TABLE}"
    return write_csv(path, (*_TO_DECIDE, FINAL, REMARK), rows)


def adjudicate(book: Book, paper: str, path: str | Path, by: str) -> int:
    """Give the marks of a table in which a third person decided: all of them, or none.

    Parameters
    ----------
    book : Book
        Open for writing.
    paper : str
        The paper.
    path : str or Path
        The table as :func:`to_adjudicate` wrote it, with final marks filled in.
    by : str
        Who decided; neither of the two who marked before.

    Returns
    -------
    int
        How many marks were given.
    """
    must_name(by)
    path = Path(path)
    results = {row.sheet.token: row for row in book.results(paper)}
    seconds = _second_marks(book, paper)
    faults: list[Fault] = []
    given: dict[str, Mark] = {}
    for where, token, mark, size, remark in _filled_in(
        path, ("sheet", "part", FINAL), results, faults
    ):
        if same_person(by, mark.by) or (mark.id, known_as(by)) in seconds:
            faults.append(
                Fault(
                    where,
                    "was marked by the same person before",
                    by,
                    "",
                    "Have a third person decide where two differ",
                )
            )
            continue
        boxes = answer_boxes(results[token].sheet.questions)
        box = next(each for each in boxes if each.key == mark.part)
        value = min(size, mark.total - float(box.part.marks.get("unit", 0.0)))
        given[f"{token} {mark.part}"] = replace(
            mark,
            value=value,
            unit=size - value,
            awarded=size,
            verdict=BY_HAND,
            reason=remark,
            road="",
            supersedes=mark.id,
        )
    refuse(faults)
    if not given:
        return 0
    detail = {"paper": paper, "marks": {name: one.awarded for name, one in given.items()}}
    book.append(
        by=by,
        reason="Two markers differed",
        decisions=[{"what": ADJUDICATED, "detail": detail}],
        marks=given.values(),
    )
    return len(given)


def _adjudicated(book: Book, paper: str) -> dict[str, str]:
    """Return what was adjudicated, as sheet and part, and by whom."""
    return {
        name: one.by
        for one in book.decisions()
        if one.what == ADJUDICATED and one.detail.get("paper") == paper
        for name in one.detail["marks"]
    }


def _adjudicated_said(book: Book, paper: str) -> list[str]:
    done = _adjudicated(book, paper)
    by: dict[str, list[str]] = {}
    for name, person in done.items():
        token, part = name.split()
        by.setdefault(person, []).append(f"{part} of {token}")
    return [f"Decided by {person}: {', '.join(some)}." for person, some in by.items()]
