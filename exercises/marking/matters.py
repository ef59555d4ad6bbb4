"""What needs a look: each matter in plain words, previewed from → to, then decided.

A decision closes one matter.  It changes the parts that it names and the parts that
follow from them, as its preview shows before anything is done.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace

from calculators.faults import fault_error
from calculators.units import symbol
from exercises.book.book import Book
from exercises.book.decisions import ACCEPTED, ASSESSORS_MARK, MARKS, Closing, in_range
from exercises.book.matters import COUNTS, SET_ASIDE, flags_of
from exercises.book.records import (
    ALIKE,
    APPEAL,
    UNREAD_FILE,
    UNREAD_PART,
    WORKING,
    Decision,
    HandIn,
    Mark,
    Matter,
    Student,
)
from exercises.book.results import that_counts
from exercises.book.times import parse_time
from exercises.marking.checks import what_to_settle
from exercises.marking.corrections import corrections_of, marked
from exercises.marking.rules import TO_SETTLE, Bank, Verdict, to_base
from exercises.marking.working import Suggested, steps_of, suggested
from exercises.questions.answer_boxes import AnswerBox, answer_boxes
from exercises.questions.parts import DrawnQuantity
from exercises.questions.registry import bank


@dataclass(frozen=True)
class Proposal:
    """What is to be decided of a matter.

    Parameters
    ----------
    what : str
        ``"accepted"``, ``"counts"`` or ``"set aside"``; with marks or readings,
        ``"marks"`` is meant.
    marks : mapping of str to float
        Marks by answer key.
    reads : mapping of str to str
        How an answer reads, by answer key: it is marked as if it had been written so.
    """

    what: str = ACCEPTED
    marks: Mapping[str, float] = field(default_factory=dict)
    reads: Mapping[str, str] = field(default_factory=dict)


@dataclass(frozen=True)
class Change:
    """One part's marks, from and to, and why they move."""

    part: str
    before: float
    after: float
    total: float
    why: str = ""


@dataclass(frozen=True)
class Preview:
    """What a decision would do; nothing is done yet.

    Parameters
    ----------
    matter : Matter
        What it is about.
    closing : Closing
        What :func:`confirm` gives the book.
    changes : tuple of Change
        The named parts first, then those that follow from them.
    sheet : tuple of str
        What it does to the hand-in that counts, in sentences.
    left : tuple of str
        Parts that follow and can't be worked out again without a reading.
    """

    matter: Matter
    closing: Closing
    changes: tuple[Change, ...]
    sheet: tuple[str, ...] = ()
    left: tuple[str, ...] = ()

    @property
    def sentences(self) -> list[str]:
        """The same in words, from → to."""
        said = [
            f"{one.part}: {one.before:g} → {one.after:g} of {one.total:g} marks"
            + (f" ({one.why})." if one.why else ".")
            for one in self.changes
        ]
        said += self.sheet
        if self.left:
            said.append(
                f"{', '.join(self.left)} follow from it and keep their marks: say how the "
                "answer reads, and they are worked out again."
                if len(self.left) > 1
                else f"{self.left[0]} follows from it and keeps its mark: say how the answer "
                "reads, and it is worked out again."
            )
        return said or ["No mark changes."]


# --- what is to be decided, in words --------------------------------------------------------


def in_words(matter: Matter, one: HandIn, students: Mapping[str, Student]) -> str:
    """Return what there is to decide, in one or two plain sentences."""
    wrote = " ".join(str(one.answers.get(matter.part, "")).split())
    shown = f" says “{wrote}”" if wrote else ""
    if matter.kind == UNREAD_FILE:
        if archive := matter.detail.get("archive"):
            return f"What can't be read in {archive}; the first: {one.reason}"
        return one.reason
    if matter.kind == ALIKE and matter.detail.get("why"):
        return " ".join(matter.detail["why"])
    if matter.kind == UNREAD_PART:
        return f"Part {matter.part}{shown}: read it by hand and give it its marks."
    if matter.kind == WORKING:
        return f"Part {matter.part}{shown}, which is not right; working was written. Read it."
    if matter.kind == APPEAL:
        about = f"part {matter.part}" if matter.part else "the whole hand-in"
        says = str(matter.detail.get("says", "")).strip()
        says += "" if says.endswith((".", "?", "!")) else "."
        dated = str(matter.detail.get("date", matter.raised_at[:10]))
        return f"An appeal of {dated} about {about}: {says} A second reader decides."
    alone = replace(one, flags=flags_of([replace(matter, closed_by=None)]), matters=[matter])
    return " ".join(what_to_settle(alone, students)) or matter.kind


def raise_appeal(
    book: Book, handin: int, says: str, *, by: str, date: str, part: str = ""
) -> Matter:
    """Record a student's appeal; somebody who gave no mark there has to decide it.

    Parameters
    ----------
    book : Book
        Open for writing.
    handin : int
        The hand-in whose marks are appealed against.
    says : str
        What the student says.
    by : str
        Who records it.
    date : str
        When the appeal came.
    part : str
        The part that it is about; empty for all.
    """
    one = book.handin(handin)
    marks = {mark.part for mark in book.marks(one.id)}
    if not says.strip():
        raise fault_error("appeal", "says nothing", "", "", "Write what the student says")
    if part and part not in marks:
        raise _no_such_part(one, [part], marks)
    return book.raise_matter(
        handin, APPEAL, by=by, part=part, detail={"says": says.strip(), "date": date}
    )


# --- before it is done --------------------------------------------------------------------------


def preview(book: Book, number: int, proposal: Proposal, *, questions: Bank = bank) -> Preview:
    """Return what a decision on a matter would change, changing nothing.

    Parameters
    ----------
    book : Book
        The mark book.
    number : int
        The matter.
    proposal : Proposal
        What is to be decided.
    questions : function
        Gives the questions of today's bank, for follow-through.
    """
    matter = book.matter(number)
    if not matter.open:
        raise fault_error(
            f"matter {number}",
            "is closed",
            f"decision {matter.closed_by}",
            "",
            f"Reopen it first: glossbook settle {number} --reopen",
        )
    one = book.handin(matter.handin)
    standing = {mark.part: mark for mark in book.marks(one.id)}
    named = [*proposal.marks, *proposal.reads]
    strange = [part for part in named if part not in standing]
    if strange:
        raise _no_such_part(one, strange, standing)
    if named and proposal.what != ACCEPTED:
        raise fault_error(
            f"matter {number}",
            "would get marks and another decision at once",
            proposal.what,
            "",
            "Decide one thing at a time",
        )
    if proposal.what == SET_ASIDE and _with_others(book, matter):
        raise fault_error(
            f"matter {number}",
            "is about a whole pile, and not about one hand-in",
            proposal.what,
            f"It would set aside hand-in {one.id} alone, which came as all of them did",
            "Set aside what came late one by one, with glossbook settle --hand-in NUMBER "
            '--decision "set aside"; then accept the matter',
        )
    what = MARKS if named else proposal.what
    changes: list[Change] = []
    marks: list[Mark] = []
    left: list[str] = []
    if named:
        sheet = _Marked(book, one, questions)
        for mark, why in sheet.decided(standing, proposal):
            old = standing[mark.part]
            changes.append(Change(mark.part, old.awarded, mark.awarded, mark.total, why))
            marks.append(mark)
        left = sheet.not_worked_out(proposal, {mark.part for mark in marks})
    if matter.kind == UNREAD_PART:
        after = {**standing, **{mark.part: mark for mark in marks}}
        if after[matter.part].verdict in TO_SETTLE:
            raise fault_error(
                f"part {matter.part}",
                "has no mark yet",
                "",
                "An answer that nobody read can't be closed without a mark",
                "Give its marks (--marks), or say how it reads (--reads)",
            )
    detail = {"reads": dict(proposal.reads)} if proposal.reads else {}
    closing = Closing(matter.id, what, marks, detail)
    said = which_counts(book, one, what) if what in (COUNTS, SET_ASIDE) else []
    return Preview(matter, closing, tuple(changes), tuple(said), tuple(left))


def confirm(
    book: Book, previews: Iterable[Preview], *, by: str, reason: str, told: str = ""
) -> list[Decision]:
    """Do what previews showed: all of them, or none.

    Parameters
    ----------
    book : Book
        Open for writing.
    previews : iterable of Preview
        As they were looked at; refused where a mark has changed since.
    by : str
        Who decides.
    reason : str
        Their own note, which stays in the book.
    told : str
        What the student reads beside the marks that were given by hand.
    """
    closings = [
        replace(
            one.closing,
            marks=[
                replace(mark, reason=told) if told and mark.verdict == ASSESSORS_MARK else mark
                for mark in one.closing.marks
            ],
        )
        for one in previews
    ]
    return book.close_matters(closings, by=by, reason=reason, told=told)


def answers_as_read(book: Book, one: HandIn) -> dict[str, str]:
    """Return what a student wrote, with what an assessor said of how it reads."""
    answers = dict(one.answers)
    for decision in book.standing_decisions(one.id):
        answers.update(decision.detail.get("reads", {}))
    return answers


def _no_such_part(one: HandIn, parts: Sequence[str], has: Iterable[str]) -> Exception:
    return fault_error(
        f"hand-in {one.id}",
        "has no such part",
        ", ".join(parts),
        f"It has {', '.join(has) or 'none'}",
        "Look at the mark scheme",
    )


class _Marked:
    """A hand-in marked before and after a decision, to see what follows from it."""

    def __init__(self, book: Book, one: HandIn, questions: Bank) -> None:
        self.one, self.questions_now = one, questions
        self.sheet = book.sheet(one.token or "")
        self.policy = book.paper(self.sheet.paper).at(self.sheet.version).policy
        self.corrections = corrections_of(book, self.sheet.paper)
        self.boxes = {box.key: box for box in answer_boxes(self.sheet.questions)}
        self.before = answers_as_read(book, one)

    def verdicts(self, answers: Mapping[str, str]) -> dict[str, Verdict]:
        found = marked(
            self.sheet.questions,
            answers,
            self.policy,
            self.corrections,
            questions_now=self.questions_now,
        )
        return {one.part: one for one in found}

    def decided(
        self, standing: Mapping[str, Mark], proposal: Proposal
    ) -> Iterator[tuple[Mark, str]]:
        """Yield the new marks, each with the reason why it moves."""
        after = {**self.before, **proposal.reads}
        for part, awarded in proposal.marks.items():
            if awarded == standing[part].total and part not in proposal.reads:
                after[part] = _as_right(self.boxes[part]) or after.get(part, "")
        old, new = self.verdicts(self.before), self.verdicts(after)
        for part, text in proposal.reads.items():
            if part not in proposal.marks:
                if new[part].verdict in TO_SETTLE:
                    raise fault_error(
                        f"part {part}", "can't be read so", text, "", "Write a number and its unit"
                    )
                yield _as_mark(standing[part], new[part], f"Read as “{text}”. "), f"read as {text}"
        for part, awarded in proposal.marks.items():
            yield _by_hand(standing[part], self.boxes[part], awarded), ""
        named = {*proposal.marks, *proposal.reads}
        for part, earlier in self._following(named):
            mark = standing.get(part)
            if mark is None or mark.verdict == ASSESSORS_MARK or part in named:
                continue
            if _earned(old[part]) != _earned(new[part]):
                yield _as_mark(mark, new[part]), f"follows from {earlier}"

    def _following(self, named: Iterable[str]) -> Iterator[tuple[str, str]]:
        """Yield the boxes that follow from named ones, each with the one it follows from."""
        for key, box in self.boxes.items():
            for part in named:
                held = self.boxes[part]
                own = part.split(".")[0].removeprefix(str(held.place))
                if box.place == held.place and own in getattr(box.part, "follows", ()):
                    yield key, part
                    break

    def not_worked_out(self, proposal: Proposal, moved: set[str]) -> list[str]:
        """Return parts that follow from one whose value is still unknown."""
        verdicts = self.verdicts(self.before)
        unknown = [
            part
            for part, awarded in proposal.marks.items()
            if part not in proposal.reads
            and awarded < float(self.boxes[part].part.total)
            and verdicts[part].verdict in TO_SETTLE
        ]
        return [key for key, _ in self._following(unknown) if key not in moved]


def _earned(one: Verdict) -> tuple[float, float, str]:
    return one.value, one.unit, one.verdict


def _as_mark(old: Mark, new: Verdict, before: str = "") -> Mark:
    return replace(
        old,
        value=new.value,
        unit=new.unit,
        awarded=new.awarded,
        verdict=new.verdict,
        reason=before + new.reason,
        road=new.road,
        supersedes=old.id,
    )


def _by_hand(old: Mark, box: AnswerBox, awarded: float) -> Mark:
    """Return a mark that an assessor gives; marks for the value come before the unit's."""
    in_range(awarded, old.total)
    value = min(awarded, old.total - float(box.part.marks.get("unit", 0.0)))
    return replace(
        old,
        value=value,
        unit=awarded - value,
        awarded=awarded,
        verdict=ASSESSORS_MARK,
        reason="",
        road="",
        supersedes=old.id,
    )


def _as_right(box: AnswerBox) -> str:
    """Return the right answer of a quantity as it could be written; empty for others."""
    part = box.part
    if not isinstance(part, DrawnQuantity):
        return ""
    factor, offset, _ = to_base(part.unit)
    return f"{(part.answer - offset) / factor:.12g} {symbol(part.unit)}".strip()


@dataclass(frozen=True)
class WorkingToRead:
    """A student's working, and what the mark scheme has to hold beside it.

    Parameters
    ----------
    part, working : str
        The part, and what was written.
    worked : str
        How the mark scheme works it out.
    steps : list of str
        What earns marks beside a wrong value, each with its marks.
    suggested : Suggested
        The marks that are suggested for it, and why.
    awarded : float
        What the part would get with them.
    """

    part: str
    working: str
    worked: str
    steps: list[str]
    suggested: Suggested
    awarded: float


def working_to_read(book: Book, matter: Matter) -> WorkingToRead:
    """Return the working that a matter is about, with the mark scheme's steps."""
    one, part = book.handin(matter.handin), matter.part
    boxes = answer_boxes(book.sheet(one.token or "").questions)
    box = next(each for each in boxes if each.key == part)
    mark = next(each for each in book.marks(one.id) if each.part == part)
    written = str(one.working.get(box.whole_key, ""))
    found = suggested(box, mark.verdict, mark.road, written)
    ways = (box.part.worked, box.whole.worked, getattr(box.whole, "working", ""))
    worked = next((text for text in ways if text), "It has no steps.")
    return WorkingToRead(
        part, written, worked, steps_of(box), found, max(mark.awarded, mark.unit + found.marks)
    )


def _with_others(book: Book, matter: Matter) -> bool:
    """Tell whether a matter is about a pile in which more came than its own hand-in."""
    pile = matter.detail.get("pile")
    return pile is not None and any(
        one.token and one.pile == pile and one.id != matter.handin for one in book.handins()
    )


def dates_after(book: Book, pile: int) -> list[str]:
    """Return the hand-ins of a pile whose own dates are after their limit; only hints."""
    came = [one for one in book.handins() if one.pile == pile and one.token]
    limits = book.limits(one.token for one in came if one.token)
    said = []
    for one in came:
        _, limit = limits[one.token or ""]
        if limit and one.dated and parse_time(one.dated) > limit:
            said.append(
                f"  Hand-in {one.id}, {one.path}: the date in its {one.dated_by} is "
                f"{one.dated[:16].replace('T', ' ')}, after {limit:%Y-%m-%d %H:%M}. Its sender "
                "can set that date."
            )
    return said


def which_counts(book: Book, one: HandIn, what: str) -> list[str]:
    """Return which hand-in of a sheet counts before and after, and its marks."""
    if one.token is None:
        return []
    came = book.handins(token=one.token)
    decided = book.counted()
    before = that_counts(came, decided)
    decided.pop(one.id, None)
    after = that_counts(
        [replace(each, set_aside=False) for each in came], {**decided, one.id: what}
    )
    names = [f"hand-in {each.id}" if each else "no hand-in" for each in (before, after)]
    marks = [
        sum(mark.awarded for mark in book.marks(each.id)) if each else 0.0
        for each in (before, after)
    ]
    if names[0] == names[1]:
        return [f"{names[0].capitalize()} counts, as before, with {marks[0]:g} marks."]
    return [f"The sheet's marks: {marks[0]:g} ({names[0]}) → {marks[1]:g} ({names[1]} counts)."]
