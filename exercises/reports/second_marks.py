"""A sample marked again, blind, and how far two assessors agree."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from pathlib import Path
from statistics import fmean
from typing import Any

from calculators.faults import Fault, FaultsError, fault_error
from exercises.book.book import Book
from exercises.book.records import Mark, PaperRecord, Result, must_name
from exercises.book.schema import UNREADABLE
from exercises.book.tokens import read_token
from exercises.marking.rules import TO_SETTLE
from exercises.questions.answer_boxes import answer_boxes
from exercises.questions.parts import DrawnQuestion
from exercises.reports.letters import make_folder, slug, write
from exercises.reports.spreadsheets import safe_cell
from exercises.reports.standing import BY_HAND, marks_said, pass_share, standing
from exercises.reports.statistics import (
    FEWEST_FOR_DIFFERENCE,
    FEWEST_FOR_KAPPA,
    FEWEST_FOR_SHARES,
    Share,
    kappa,
    wilson,
)
from exercises.sheets.page import page_template, static_text
from exercises.sheets.sheet import Sheet, public

SECOND = "second mark"
WITHIN = 1.0  # a second mark within this of the first one agrees


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
        that could not be read, and one in ``one_in`` of all that were marked.  A
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
    if faults:
        raise FaultsError(faults)
    about = book.paper(paper)
    picks = []
    for result in book.results(paper):
        if not result.marks:
            continue
        because = tuple(_because(book, result, about, one_in, margin))
        if because:
            picks.append(Pick(result, because))
    said = (
        f"Borderline (within {100 * margin:g} % of all marks from the "
        f"{100 * pass_share(about):g} % that pass), overridden, partly unreadable, and one "
        f"in {one_in} of the marked sheets by a keyed hash of its token."
    )
    return Sample(
        paper,
        str(about.plan.get("title") or paper),
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
    key = book.seed(f"moderation of {about.name}", result.sheet.token)
    if int(key[:12], 16) % one_in == 0:
        yield f"one in {one_in}"


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
    text = io.StringIO()
    writer = csv.writer(text, quoting=csv.QUOTE_ALL)
    writer.writerow(_HEADS)
    writer.writerows([safe_cell(cell) for cell in row] for row in rows)
    name = slug(chosen.paper)
    paths = out / f"{name}-{SHEET_PAGE}", out / f"{name}-{SHEET_TABLE}"
    write(paths[0], page)
    write(paths[1], b"\xef\xbb\xbf" + text.getvalue().encode())
    return paths


def read_second_marks(book: Book, paper: str, path: str | Path, by: str) -> int:
    """Read a filled-in table of second marks into the book.

    Second marks are noted beside the first ones and change none of them.  Rows without
    a mark are left for later; what this assessor gave before is not noted twice.

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
        How many marks are new.

    Raises
    ------
    FaultsError
        All that is wrong with the table, each with its line.
    """
    must_name(by)
    path = Path(path)
    results = {row.sheet.token: row for row in book.results(paper)}
    given = {(one.mark, one.by) for one in book.decisions() if one.what == SECOND}
    faults: list[Fault] = []
    notes = []
    for line, row in _rows_of(path):
        text = (row.get("second mark") or "").strip().lstrip("'")
        if not text:
            continue
        where = f"{path.name}:{line}"
        mark = _first_mark(row, results, where, faults)
        size = _mark_of(text, mark, where, faults)
        if mark is None or size is None or (mark.id, by) in given:
            continue
        if mark.by == by:
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
        given.add((mark.id, by))
        notes.append(
            {
                "what": SECOND,
                "mark": mark.id,
                "detail": {"paper": paper, "awarded": size, "first": mark.awarded},
                "reason": (row.get("remark") or "").strip(),
            }
        )
    if faults:
        raise FaultsError(faults)
    if not notes:
        return 0
    return book.append(by=by, reason="Marked a second time, blind", decisions=notes)


def _rows_of(path: Path) -> list[tuple[int, dict[str, str]]]:
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
    missing = [name for name in _HEADS[:4] if name not in (reader.fieldnames or ())]
    if missing:
        raise fault_error(
            f"{path.name}:1",
            f"has no column {', '.join(missing)}",
            head.strip()[:80],
            f"The table has {', '.join(_HEADS)}",
            "Fill in the table that was written",
        )
    return [(reader.line_num, row) for row in reader]


def _first_mark(
    row: Mapping[str, str],
    results: Mapping[str, Result],
    where: str,
    faults: list[Fault],
) -> Mark | None:
    try:
        token = read_token(row["sheet"] or "", where)
    except FaultsError as error:
        faults.extend(error.faults)
        return None
    result = results.get(token)
    mark = result.marks.get((row["part"] or "").strip()) if result else None
    if result is None:
        faults.append(
            Fault(
                where,
                "is for a sheet that this paper does not have",
                token,
                "",
                "Look whether it belongs to another paper",
            )
        )
    elif mark is None:
        faults.append(
            Fault(
                where,
                "is for a part that has no first mark",
                row["part"] or "",
                f"Marked parts: {', '.join(result.marks)}",
                "Compare with the sheet",
            )
        )
    return mark


def _mark_of(text: str, mark: Mark | None, where: str, faults: list[Fault]) -> float | None:
    try:
        size = float(text.replace(",", "."))
    except ValueError:
        size = float("nan")
    total = mark.total if mark else 0.0
    if mark and not (0 <= size <= total and (2 * size).is_integer()):
        faults.append(
            Fault(
                where,
                "is no mark for this part",
                text,
                f"From 0 to {marks_said(total)} in half marks",
                "Correct it",
            )
        )
        return None
    return size


# --- agreement ----------------------------------------------------------------------------


@dataclass(frozen=True)
class Agreement:
    """How far second marks agree with first ones.

    Parameters
    ----------
    count : int
        Answers that were marked twice.
    same, within : int
        How many marks are equal, and how many lie within a mark of each other.
    share : Share or None
        Those within a mark, with their interval; None below five.
    kappa : float or None
        Agreement beyond chance on none, some or all of the marks; None below thirty.
    difference : float or None
        Mean of second minus first marks a sheet; None below ten sheets.
    apart : tuple of tuple
        Sheet, part, first and second mark where they lie more than a mark apart.
    sentences : list of str
        The same in words; empty where nothing was marked twice.
    """

    count: int
    same: int
    within: int
    share: Share | None
    kappa: float | None
    difference: float | None
    apart: tuple[tuple[str, str, float, float], ...]
    sentences: list[str] = field(default_factory=list)


def agreement(book: Book, paper: str) -> Agreement:
    """Return how far the second marks of a paper agree with the first ones."""
    notes = [
        one for one in book.decisions() if one.what == SECOND and one.detail.get("paper") == paper
    ]
    if not notes:
        return Agreement(0, 0, 0, None, None, None, ())
    firsts: dict[int, tuple[Mark, str]] = {}
    waiting: set[int] = set()  # no first mark yet, so nothing to compare
    for token in _tokens_of(book, paper):
        for one in book.handins(token=token):
            for mark in book.marks(one.id, history=True):
                if mark.verdict in TO_SETTLE and mark.part in one.flags.get("to settle", ()):
                    waiting.add(mark.id)
                else:
                    firsts[mark.id] = mark, token
    pairs = [
        (*firsts[one.mark], float(one.detail["awarded"])) for one in notes if one.mark in firsts
    ]
    count = len(pairs)
    same = sum(mark.awarded == second for mark, _, second in pairs)
    within = sum(abs(mark.awarded - second) <= WITHIN for mark, _, second in pairs)
    by_sheet: dict[str, float] = {}
    for mark, token, second in pairs:
        by_sheet[token] = by_sheet.get(token, 0.0) + second - mark.awarded
    found = Agreement(
        count,
        same,
        within,
        wilson(within, count) if count >= FEWEST_FOR_SHARES else None,
        kappa([(_band(m.awarded, m.total), _band(s, m.total)) for m, _, s in pairs]),
        fmean(by_sheet.values()) if len(by_sheet) >= FEWEST_FOR_DIFFERENCE else None,
        tuple(
            (token, mark.part, mark.awarded, second)
            for mark, token, second in pairs
            if abs(mark.awarded - second) > WITHIN
        ),
    )
    left = sum(one.mark in waiting for one in notes)
    found.sentences.extend(_agreement_said(found, len(by_sheet)) if pairs else [])
    if left:
        found.sentences.append(
            f"{left} answer{'s' if left > 1 else ''} with a second mark "
            f"{'are' if left > 1 else 'is'} not compared: the first mark is still to "
            "settle."
        )
    return found


def _tokens_of(book: Book, paper: str) -> list[str]:
    return [row.sheet.token for row in book.results(paper) if row.handin]


def _band(awarded: float, total: float) -> str:
    return "all" if awarded >= total else "some" if awarded > 0 else "none"


def _agreement_said(found: Agreement, sheets: int) -> list[str]:
    said = [
        f"{found.count} answers of {sheets} sheets were marked a second time, blind: "
        f"{found.same} got the same mark, and {found.share or found.within} lie within a "
        "mark of the first."
    ]
    if found.kappa is not None:
        said.append(
            f"Beyond chance the two agree to {found.kappa:.2f} (Cohen's kappa on none, "
            "some or all of the marks; 1 is full agreement). Cohen (1960)."
        )
    else:
        said.append(
            f"Below {FEWEST_FOR_KAPPA} answers marked twice, or where both gave the same "
            "to everything, agreement beyond chance is not told."
        )
    if found.difference is not None:
        way = "above" if found.difference >= 0 else "below"
        said.append(
            f"A sheet's second marks lie {abs(found.difference):.1f} marks {way} the "
            "first ones on average."
        )
    if found.apart:
        parts = ", ".join(f"{part} of {token}" for token, part, *_ in found.apart[:10])
        said.append(f"More than a mark apart: {parts}.")
    return said
