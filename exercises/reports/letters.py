"""Writes each student a letter: what they can do, the one thing to do next, where to read.

A letter says what the answers show and never how somebody came to them.  It does not
give the right answers before the lecturer has opened them, which is a decision in the
mark book with a name and a time.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping, Sequence, Set
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from calculators.faults import fault_error
from exercises.book.book import Book
from exercises.book.decisions import ACCEPTED
from exercises.book.matters import COUNTS, SET_ASIDE
from exercises.book.records import WORKING, Decision, HandIn, Mark, PaperRecord, Result
from exercises.book.schema import MARKED, UNREADABLE
from exercises.files.writing import make_folder, write
from exercises.marking.corrections import REMARKED
from exercises.marking.rules import FOLLOWS, MISSING, RIGHT, UNIT_LOST
from exercises.observing.seen import Bench, benches, latest
from exercises.questions.answer_boxes import AnswerBox, answer_boxes
from exercises.questions.parts import DrawnChoice, DrawnQuantity, DrawnQuestion
from exercises.questions.registry import bank
from exercises.reports.signposts import Pointer, Signposts
from exercises.reports.standing import (
    BY_HAND,
    MET,
    NOT_JUDGED,
    NOT_PASSED,
    NOT_YET,
    PASSED,
    OutcomeShown,
    Standing,
    lesson_title,
    marks_said,
    rule,
    standing,
    still_open,
)
from exercises.sheets.choice import Rules
from exercises.sheets.class_list import WORDS
from exercises.sheets.issuing import look_of
from exercises.sheets.names import called, file_of, folder_of
from exercises.sheets.sheet import cautions_for, exhibit_shown, say_date
from exercises.sheets.worksheet import page_template, static_text

OPENED = "solutions opened"
MOST_SENTENCES = 3
_LONGEST_ANSWER = 200
_LONGEST_WORKING = 600
_COUNTED = (
    "No",
    "One",
    "Two",
    "Three",
    "Four",
    "Five",
    "Six",
    "Seven",
    "Eight",
    "Nine",
)
_BETWEEN_SENTENCES = re.compile(r"(?<=[.!?])\s+(?=[“\"'(A-Z])")


# --- when worked solutions are opened -------------------------------------------------


def open_solutions(book: Book, paper: str, by: str, reason: str) -> None:
    """Open the worked solutions of a paper: recorded with name, reason and time."""
    book.paper(paper)
    book.append(by=by, reason=reason, decisions=[{"what": OPENED, "detail": {"paper": paper}}])


def solutions_opened(book: Book, paper: str) -> Decision | None:
    """Return who opened the worked solutions of a paper, and when; None if nobody."""
    told = (one for one in book.decisions() if one.what == OPENED)
    return next((one for one in told if one.detail.get("paper") == paper), None)


def corrected_questions(book: Book, paper: str) -> frozenset[str]:
    """Return the questions that were re-marked, whose printed solution no longer holds."""
    return frozenset(
        str(one.detail["question"])
        for one in book.decisions()
        if one.what == REMARKED and one.detail.get("paper") == paper
    )


# --- a letter ---------------------------------------------------------------------------


def letter(
    result: Result,
    paper: PaperRecord,
    *,
    lessons: Mapping[str, str] | None = None,
    opened: bool = False,
    corrected: Iterable[str] = (),
    signed: str = "",
    keep: str = "",
    course: Signposts | None = None,
    folder: Path = Path(),
    bench: Bench | None = None,
    decided: Iterable[Decision] = (),
) -> str:
    """Return the letter about one sheet as a page that stands alone.

    Parameters
    ----------
    result : Result
        The sheet and what came of it.
    paper : Paper
        Its paper.
    lessons : mapping of str to str, optional
        Titles of the lessons, by id.
    opened : bool
        Whether worked solutions are open.
    corrected : iterable of str
        Questions whose solution no longer holds.
    signed : str
        In whose name; by default who issued the paper.
    keep : str
        How long data are kept with names, as the scheme says it.
    course : Signposts, optional
        Where the course teaches and practises what was asked.
    folder : Path
        Where the letter will lie, for links to a site in a folder.
    bench : Bench, optional
        What was seen of this student at the bench.
    decided : iterable of Decision
        Those about hand-ins of this sheet that stand, for what they tell the student.
    """
    paper = paper.at(result.sheet.version)
    keys = answer_boxes(result.sheet.questions)
    stands = standing(result, paper, keys)
    parts = [
        _part(key, result, result.marks[key.key], opened, frozenset(corrected))
        for key in keys
        if key.key in result.marks
    ]
    last = {part["place"]: part for part in parts if part["group"] == "again"}
    for part in last.values():  # once for each question
        if course is not None:
            asked = {one["id"] for one in result.sheet.questions}
            part["read"] = course.pointer(part["question"], part["outcome"], bank(), folder, asked)
    return page_template("letter.html").render(
        title=paper.title,
        look=look_of(result.student),
        name=result.student.name,
        dear=called(result.student.name),
        token=result.sheet.token,
        sitting=result.sheet.sitting,
        received=_received(result),
        awarded=marks_said(stands.awarded),
        total=marks_said(stands.total),
        marked=bool(result.marks),
        opening=_opening(result, stands, parts),
        came=_came(result, stands),
        told=_told(result, decided),
        step=_step(stands, parts, lessons or {}, result),
        outcomes=stands.shown if result.marks else (),
        won=marks_said,
        groups=_grouped(result, parts),
        opened=opened,
        cautions=_cautions(result, paper),
        rule=rule(paper),
        bench=bench if bench and bench.observations else None,
        by_hand=_by_hand(result),
        signed=signed or paper.issued_by or "",
        keep=keep_in_words(keep),
        css=static_text("tokens.css", "worksheet.css", "report.css"),
    )


_GROUPS = (
    ("right", "What is right"),
    ("again", "What to look at again"),
    ("open", "What your assessor still has to look at"),
)


def _grouped(
    result: Result, parts: Sequence[dict[str, Any]]
) -> list[tuple[str, list[dict[str, Any]]]]:
    """Return what is said in groups, with each question's words and exhibit once."""
    asked = [DrawnQuestion.from_json(one) for one in result.sheet.questions]
    words = WORDS in result.student.print.split()
    shown: set[int] = set()
    out = []
    for name, title in _GROUPS:
        group = []
        mine = [part for part in parts if part["group"] == name]
        for place in dict.fromkeys(part["place"] for part in mine):
            question = asked[place - 1]
            group.append(
                {
                    "place": place,
                    "again": place in shown,
                    "stem": question.stem,
                    "exhibit": exhibit_shown(question.exhibit, words),
                    "parts": [part for part in mine if part["place"] == place],
                }
            )
            shown.add(place)
        if group:
            out.append((title, group))
    return out


def _opening(result: Result, stands: Standing, parts: Sequence[Mapping[str, Any]]) -> list[str]:
    """Return the first sentences: what is right, the marks, what they come to."""
    if not result.marks:
        return _nothing_marked(result)
    return [
        _what_is_right(stands, parts),
        f"That comes to {marks_said(stands.awarded)} of {marks_said(stands.total)} "
        f"marks; {_comes_to(stands)}",
    ]


def _nothing_marked(result: Result) -> list[str]:
    if result.handin is None and result.others:
        return [
            "What came in for this sheet does not count at present; your assessor "
            "can tell you why and what to do now."
        ]
    if result.state == UNREADABLE and result.handin is not None:
        return [
            "Thank you for handing in. Your file came, but it can't be read. "
            f"{_for_the_student(result.handin.reason)}",
            "Your assessor is looking at it; ask whether you may hand it in once more.",
        ]
    return ["Your hand-in came and is with your assessor. There are no marks for it yet."]


_FOR_THE_ASSESSOR = ("Ask", "Compare", "Find", "Key", "Look", "Name", "Unpack")


def _for_the_student(reason: str) -> str:
    """Return why a file can't be read, without the step that an assessor takes.

    >>> _for_the_student("It breaks off at line 10. Ask for the file again.")
    'It breaks off at line 10.'
    """
    sentences = _BETWEEN_SENTENCES.split(reason.strip())
    told = [one for one in sentences if not one.startswith(_FOR_THE_ASSESSOR)]
    return " ".join(told)


def _what_is_right(stands: Standing, parts: Sequence[Mapping[str, Any]]) -> str:
    can = [each for each in stands.shown if each.state == MET]
    can.sort(key=lambda each: -each.won / each.possible)
    if can:
        said = "; and you can ".join(each.wording for each in can[:2])
        more = len(can) - 2
        tail = f" You meet {_few(more).lower()} more {'outcome' if more == 1 else 'outcomes'}."
        return f"Your answers show that you can {said}.{tail if more > 0 else ''}"
    right = [part["key"] for part in parts if part["group"] == "right"]
    if right:
        what = "answer" if len(right) == 1 else "answers"
        return f"Your {what} to {_listed(right)} {_are(right)} right."
    tried = sum(part["wrote"] != "" for part in parts)
    if tried:
        return f"You answered {tried} of {len(parts)} parts."
    return "Your hand-in came, and can be read."


def _few(count: int) -> str:
    return _COUNTED[count] if count < len(_COUNTED) else str(count)


def _are(things: Sequence[Any]) -> str:
    return "is" if len(things) == 1 else "are"


def _listed(words: Sequence[str]) -> str:
    """Return words as they are listed in a sentence.

    >>> _listed(["1a", "1b", "2a"])
    '1a, 1b and 2a'
    """
    if len(words) < 2:
        return "".join(words)
    return f"{', '.join(words[:-1])} and {words[-1]}"


def _comes_to(stands: Standing) -> str:
    needed = f"{marks_said(round(stands.needed, 2))} are needed to pass"
    if stands.state == PASSED:
        return "you have passed."
    if stands.state == NOT_PASSED:
        must = stands.in_the_way
        if must and stands.awarded >= stands.needed:
            wording = _listed([f"“{each.wording}”" for each in must])
            return f"they are enough to pass as soon as {wording} {_are(must)} met as well."
        return f"{needed}, so you have not passed yet."
    return f"{needed}, and your assessor is still looking at part of your sheet."


def _came(result: Result, stands: Standing) -> list[str]:
    """Return what is to be said, in a neutral way, of how the hand-in came."""
    one = result.handin
    if one is None or one.state == UNREADABLE:
        return []
    said = []
    flags = one.flags if one.state == MARKED else {}
    if "late" in flags:
        until = say_date(str(flags["late"].get("until", ""))[:16])
        said.append(
            f"This hand-in is in the book as received after {until}; your assessor is "
            "looking at that."
        )
    if result.others and any(each.needs_a_look for each in (one, *result.others)):
        said.append(
            "More than one hand-in came for this sheet. This letter is about the one "
            f"of {_received(result)}; your assessor is deciding which one counts."
        )
    if working := flags.get("working"):
        said.append(
            f"Your assessor is reading your working for {_listed(working)}; that can only "
            "raise your marks."
        )
    if "appeal" in flags:
        said.append("A second reader is looking at your appeal.")
    if flags.keys() & {"copied", "swapped", "strays"}:
        said.append("Your assessor is checking how this hand-in came in.")
    if stands.open:
        said.append(
            f"Your assessor is looking at {_listed(stands.open)}; that can only raise your marks."
        )
    if said:
        said.append("Until then these marks may still change.")
    return said


def _told(result: Result, decided: Iterable[Decision]) -> list[str]:
    """Return what assessors tell the student beside no mark: of a date, of an appeal."""
    parts = {matter.id: matter.part for one in _all_of(result) for matter in one.matters}
    beside = {mark.reason for mark in result.marks.values() if mark.verdict == BY_HAND}
    said = []
    for one in decided:
        closes = one.what in (ACCEPTED, COUNTS, SET_ASIDE) or "reads" in one.detail
        if one.told.strip() and closes and one.told not in beside:
            part = parts.get(one.matter or 0, "")
            about = f" of {part}" if part else ""
            said.append(f"{one.by} writes{about}: “{one.told.strip()}”")
    return list(dict.fromkeys(said))


def _all_of(result: Result) -> list[HandIn]:
    """Return the hand-ins of a sheet, the one that counts last."""
    return [*result.others, *([result.handin] if result.handin else [])]


def _received(result: Result) -> str:
    return say_date(result.handin.received_at[:10]) if result.handin else ""


@dataclass(frozen=True)
class _Step:
    """The one thing to do next: what to read, or words; then the part to try again."""

    words: str = ""
    lesson: str = ""
    read: Pointer | None = None
    again: str = ""


def _step(
    stands: Standing,
    parts: Sequence[Mapping[str, Any]],
    lessons: Mapping[str, str],
    result: Result,
) -> _Step | None:
    """Return the one next step."""
    if not result.marks:
        return None
    again = {part["outcome"] for part in parts if part["group"] == "again"}
    target = _weakest(stands, again)
    if target is None and stands.open:
        return _Step(
            "Nothing for now: your assessor looks at the rest first, and then you get "
            "another letter."
        )
    if target is None:
        return _Step(
            "Nothing needs to be read again. Practise with other numbers before "
            "your next day at the bench, so that you remember it."
        )
    mine = [part for part in parts if part["outcome"] == target.id and part["group"] == "again"]
    title = lesson_title(target.lesson, lessons)
    if mine:
        read = next((part["read"] for part in mine if part["read"]), None)
        return _Step(lesson=title, read=read, again=mine[0]["key"])
    if stands.open:
        return _Step(lesson=title)
    return _Step(  # all that is lost are marks for units
        "Nothing needs to be read again. Write a unit that fits beside every "
        "number: that was all that your right answers lacked."
    )


def _weakest(stands: Standing, again: Set[str]) -> OutcomeShown | None:
    """Return the outcome to work on, one with an answer to look at ``again`` if any.

    Must-pass comes first, then where most marks are lost.
    """
    lost = [each for each in stands.shown if each.won < each.possible]
    not_yet = [each for each in lost if each.state == NOT_YET]
    return max(
        not_yet or [each for each in lost if each.state in (MET, NOT_JUDGED)],
        key=lambda each: (each.id in again, each.must, each.possible - each.won),
        default=None,
    )


def _part(
    key: AnswerBox, result: Result, mark: Mark, opened: bool, corrected: frozenset[str]
) -> dict[str, Any]:
    """Return what the letter says of one answer."""
    won = mark.awarded >= mark.total or mark.verdict in (RIGHT, FOLLOWS, UNIT_LOST)
    solution: list[str] = []
    if opened and key.question.id in corrected:
        solution = ["This question was corrected; ask your lecturer for its solution."]
    elif opened:
        solution = _solution(key)
    return {
        "key": key.key,
        "place": key.place,
        "question": key.question.id,
        "outcome": key.outcome,
        "read": None,
        "prompt": key.whole.prompt,
        "label": key.label,
        "wrote": _wrote(result, key),
        "working": _working(result, key, mark),
        "missing": mark.verdict == MISSING,
        "said": _said(mark),
        "marks": f"{marks_said(mark.awarded)} of {marks_said(mark.total)}",
        "group": "open" if still_open(mark, result) else "right" if won else "again",
        "solution": solution,
    }


def _solution(key: AnswerBox) -> list[str]:
    """Return the worked solution line by line: the rule, the numbers, the answer once."""
    if isinstance(key.part, DrawnChoice):
        right, said = key.part.right_texts(), key.worked
        left = [text for text in right if text.rstrip(".") not in said]
        return [f"Right: {'; '.join(left).rstrip('.')}."] * bool(left) + said.splitlines()
    lines = [line for line in key.part.solution().splitlines() if line.strip()]
    if not key.part.worked and key.worked:
        lines += [line for line in key.worked.splitlines() if line.strip()]
    if isinstance(key.part, DrawnQuantity) and not lines[-1].endswith(key.part.shown):
        lines.append(key.part.shown)
    return lines


def _said(mark: Mark) -> str:
    if mark.verdict == BY_HAND:  # a person's own words stay whole
        return f"Marked by {mark.by}. {mark.reason.strip()}"
    return at_most(mark.reason)


def at_most(text: str) -> str:
    """Return a text of a few sentences; the last one, the next step, always stays.

    >>> at_most("It is near. You rounded. You did it twice. Round at the end.")
    'It is near. You rounded. Round at the end.'
    """
    sentences = _BETWEEN_SENTENCES.split(text.strip())
    if len(sentences) <= MOST_SENTENCES:
        return text.strip()
    return " ".join([*sentences[: MOST_SENTENCES - 1], sentences[-1]])


def _wrote(result: Result, key: AnswerBox) -> str:
    text = str(result.handin.answers.get(key.key, "")) if result.handin else ""
    text = text.strip()
    if len(text) > _LONGEST_ANSWER:
        return text[:_LONGEST_ANSWER] + " …"
    return key.part.with_words(text)


def _working(result: Result, key: AnswerBox, mark: Mark) -> tuple[str, str]:
    """Return the working that an assessor read, and what was given for it."""
    one = result.handin
    its = [m for m in one.matters if m.kind == WORKING and m.part == key.key] if one else []
    if one is None or not its or its[-1].open:
        return "", ""
    text = str(one.working.get(key.whole_key, "")).strip()
    if len(text) > _LONGEST_WORKING:
        text = text[:_LONGEST_WORKING] + " …"
    if mark.verdict != BY_HAND or not mark.value:
        return text, "Your assessor read it; no marks were given for it."
    marks = f"{marks_said(mark.value)} mark{'' if mark.value == 1 else 's'}"
    return text, f"Your assessor read it and gave {marks} for it."


def keep_in_words(text: str) -> str:
    """Return how long data are kept as it is said; other text as it is.

    >>> keep_in_words("400 d")
    '400 days'
    """
    found = re.fullmatch(r"(\d+) ?d", text.strip())
    return f"{found[1]} days" if found else text


def _by_hand(result: Result) -> list[str]:
    return sorted({m.by for m in result.marks.values() if m.verdict == BY_HAND})


def _cautions(result: Result, paper: PaperRecord) -> list[dict[str, str]]:
    """Return the cautions of safety questions that lost marks."""
    lost = {mark.question for mark in result.marks.values() if mark.awarded < mark.total}
    asked = [DrawnQuestion.from_json(one) for one in result.sheet.questions if one["id"] in lost]
    rules = paper.plan.get("rules") or ["", ""]
    return cautions_for(asked, Rules(*rules))


# --- everyone's letters -----------------------------------------------------------------


def write_letters(
    book: Book,
    out: str | Path,
    *,
    paper: str | None = None,
    solutions: bool = False,
    lessons: Mapping[str, str] | None = None,
    signed: str = "",
    course: Signposts | None = None,
    results: Sequence[Result] | None = None,
) -> list[Path]:
    """Write a letter about each sheet of which something came in; return where they lie.

    Parameters
    ----------
    book : Book
        The mark book.
    out : str or Path
        The folder; ``<paper>/<student id>-<name>_<paper>_<token>.html`` in it, with the
        sitting behind the paper where it is a resit.
    paper : str, optional
        Only this paper.
    solutions : bool
        With worked solutions; refused where nobody has opened them.
    lessons : mapping of str to str, optional
        Titles of the lessons, by id.
    signed : str
        In whose name; by default who issued the paper.
    course : Signposts, optional
        Where the course teaches and practises what was asked.
    results : sequence of Result, optional
        Of that one paper, where the caller has them already.
    """
    out, keep, paths = Path(out), str(book.about.get("keep_data", "")), []
    papers = [book.paper(paper)] if paper else [p for p in book.papers() if p.state == "issued"]
    for one in papers:
        if solutions and solutions_opened(book, one.name) is None:
            raise fault_error(
                f"paper {one.name}",
                "has no worked solutions open to students",
                "",
                "They are opened by a named person, once everyone has handed in",
                "Open them first, or write the letters without them",
            )
    at_the_bench = latest(benches(book))
    decided: dict[int | None, list[Decision]] = {}
    for decision in book.standing_decisions():
        decided.setdefault(decision.handin, []).append(decision)
    for one in papers:
        folder = out / slug(one.name)
        make_folder(folder)
        corrected = corrected_questions(book, one.name)
        rows = book.results(one.name) if results is None else results
        for result in filter(something_to_say, rows):
            text = letter(
                result,
                one,
                lessons=lessons,
                opened=solutions,
                corrected=corrected,
                signed=signed,
                keep=keep,
                course=course,
                folder=folder,
                bench=at_the_bench.get(result.student.id),
                decided=[
                    decision for came in _all_of(result) for decision in decided.get(came.id, ())
                ],
            )
            path = folder / f"{name_of(result)}.html"
            write(path, text)
            paths.append(path)
    return paths


def something_to_say(result: Result) -> bool:
    """Tell whether there is anything to write about; who handed in nothing gets no letter."""
    came = result.handin is not None or bool(result.others)
    return came and not result.student.erased_at


def name_of(result: Result) -> str:
    """Return the name of a file about a student's sheet: person, paper and token."""
    sheet = result.sheet
    paper = sheet.paper + (f" {sheet.sitting}" if sheet.sitting > 1 else "")
    return f"{folder_of(result.student)}_{file_of('', paper, sheet.token)}"


def slug(text: str) -> str:
    """Return a paper's name as the name of a folder.

    >>> slug("Syrups & gelatin/1")
    'syrups-gelatin-1'
    """
    return re.sub(r"[^a-z0-9]+", "-", text.casefold()).strip("-")[:60] or "paper"
