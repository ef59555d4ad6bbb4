"""What the mark book hands out: students, papers, sheets, hand-ins, marks, decisions."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from typing import Any

from calculators.faults import fault_error
from exercises.book.schema import RECEIVED
from exercises.questions.answer_boxes import answer_boxes as answer_boxes

MACHINE = "machine"
ERASED = "erased "  # what the path of an erased hand-in begins with


def must_name(by: str, where: str = "by") -> None:
    """Refuse a *by* that names no person."""
    if not by.strip() or by.strip().lower() == MACHINE:
        raise fault_error(where, "does not name a person", by, "", "Give the name of who does it")


def same_person(one: str, other: str) -> bool:
    """Tell whether two names are one person's, however their blanks and capitals were typed.

    >>> same_person("Ada Lind", "ada  lind ")
    True
    """
    return known_as(one) == known_as(other)


def known_as(name: str) -> str:
    """Return what a person's name has alike however its blanks and capitals were typed."""
    return " ".join(name.split()).casefold()


# --- what the book hands out ------------------------------------------------------------


@dataclass(frozen=True)
class Student:
    """A student of the class list with the arrangements made for them.

    Parameters
    ----------
    id, name : str
        As in the class list.
    extra_time : str
        ``"30 min"``, ``"2 d"``, ``"25 %"`` or ``"2 d + 15 min"``; empty for none.
    other_date : str
        A *hand in by* of their own; empty for the paper's.
    print : str
        ``"large"``, ``"plain"``, ``"words"``, several of them, or empty.
    about : mapping
        Whatever else the class list says and a report should print.
    erased_at : str or None
        When the person's data were erased.
    """

    id: str
    name: str
    extra_time: str = ""
    other_date: str = ""
    print: str = ""
    about: Mapping[str, Any] = field(default_factory=dict)
    erased_at: str | None = None


@dataclass(frozen=True)
class PaperRecord:
    """A paper: its plan, its rules, and how far it has come.

    What is signed after sheets went out is a later version, kept in ``versions``: a resit
    with other questions, or what the scheme says now.  ``number`` and ``sitting`` say
    which one this is; the first is 1, and a later one holds it as ``first``.
    """

    name: str
    plan: dict[str, Any]
    policy: dict[str, Any]
    pass_rule: dict[str, Any]
    state: str
    drafted_at: str
    checked_by: str | None = None
    checked_at: str | None = None
    issued_by: str | None = None
    issued_at: str | None = None
    versions: Sequence[Mapping[str, Any]] = ()
    number: int = 1
    sitting: int = 1
    first: PaperRecord | None = None

    @property
    def title(self) -> str:
        """What it is called; its name where the plan gives no title."""
        return str(self.plan.get("title") or self.name)

    def at(self, number: int) -> PaperRecord:
        """Return the paper as one of its versions says it, the first where there is no such."""
        first = self.first or self
        for one in self.versions:
            if one["number"] == number:
                return replace(self, **one, first=first)
        return first

    def each_version(self) -> list[PaperRecord]:
        """Return the paper as each of its versions says it, this one first."""
        return [self, *(self.at(one["number"]) for one in self.versions)]

    def signed_for(self, sitting: int) -> PaperRecord | None:
        """Return the version that was signed last for a sitting, if any was."""
        if self.state == "drafted":
            return None
        later = [one for one in self.versions if one["sitting"] == sitting and one["checked_by"]]
        if later:
            return self.at(later[-1]["number"])
        return self.at(1) if sitting == 1 else None

    def drafted_for(self, sitting: int) -> PaperRecord | None:
        """Return the version that waits for a signature in a sitting, if one does."""
        if self.state == "drafted":
            return self
        waiting = [
            one for one in self.versions if one["sitting"] == sitting and not one["checked_by"]
        ]
        return self.at(waiting[-1]["number"]) if waiting else None


@dataclass(frozen=True)
class NewSheet:
    """A sheet about to be issued.

    Parameters
    ----------
    student : str
        The student's id.
    seed : str
        From :meth:`Book.seed`.
    questions : sequence of mapping
        As :func:`exercises.questions.building.build` returns them, in the order of the sheet.
    opens_on, hand_in_by : str
        The paper's dates; a student's own arrangement is applied when marking.
    sitting : int
        1, and 2 for a resit.
    token : str
        From :func:`new_token`; left empty, the book draws one.
    """

    student: str
    seed: str
    questions: Sequence[Mapping[str, Any]]
    opens_on: str = ""
    hand_in_by: str = ""
    sitting: int = 1
    token: str = ""


@dataclass(frozen=True)
class SheetRecord:
    """A sheet as it was issued; nothing in it ever changes."""

    token: str
    paper: str
    student: str
    sitting: int
    seed: str
    questions: list[dict[str, Any]]
    bank: str
    calculators: str
    opens_on: str
    hand_in_by: str
    issued_at: str
    version: int = 1

    @property
    def total(self) -> int:
        """The marks that can be had."""
        return sum(part["total"] for one in self.questions for part in one["parts"])


# The kinds of matters.
LATE, AGAIN, ALIKE, IDENTITY = "late", "second hand-in", "alike", "identity"
UNREAD_PART, UNREAD_FILE, WORKING = "unread part", "unread file", "working"
NOT_ASKED, APPEAL = "not asked", "appeal"
KINDS = (
    UNREAD_FILE,
    UNREAD_PART,
    WORKING,
    LATE,
    AGAIN,
    IDENTITY,
    ALIKE,
    NOT_ASKED,
    APPEAL,
)


@dataclass(frozen=True)
class Matter:
    """One thing about a hand-in that a person has to decide.

    Parameters
    ----------
    id, handin : int
        Its number, and the hand-in that it is about.
    kind : str
        One of :data:`KINDS`.
    part : str
        The answer key that it is about; empty for the whole hand-in.
    detail : dict
        What was found.
    raised_by, raised_at : str
        ``"machine"`` or a name, and when.
    closed_by : int or None
        The decision that closed it and stands.
    """

    id: int
    handin: int
    kind: str
    part: str
    detail: dict[str, Any]
    raised_by: str
    raised_at: str
    closed_by: int | None = None

    @property
    def open(self) -> bool:
        """Whether it has still to be decided."""
        return self.closed_by is None


@dataclass
class HandIn:
    """A file that was met, whatever became of it; ``id`` is given by the book.

    Parameters
    ----------
    path : str
        Relative to the folder, with the member of an archive after ``!``.
    digest : str
        SHA-256 of its bytes.
    received_at : str
        When it came in, ISO 8601.
    clock : str
        Who says so: ``"given"`` by an assessor, or ``"taken in"``, the time at which it
        came into the book; in older books ``"file"`` and ``"archive"`` too.
    form : str
        ``"notebook"``, ``"file"``, ``"line"``, ``"paper"``, ``"dry run"`` or ``"unknown"``.
    token : str or None
        The sheet, where it is known.
    state, reason : str
        One of the book's states, and why where it was not marked.
    answers, working : dict
        What the student wrote, by answer key.
    fingerprint, numbers : str or None
        From older books alone, which recognised copies by them.
    flags : dict
        What needs a look, by ``late, repeated, copied, swapped, to settle, working,
        strays, appeal``; from the book, what is still open.
    dated, dated_by : str
        The date that its ``"file"`` or ``"archive"`` carries: a hint, which its sender
        can set.
    pile : int or None
        The first hand-in of the pile with which it was taken in.
    claims : sequence of str
        For recording: names and tokens that it carries beside its own.
    receipt : str
        Once recorded, what its student can be given.
    marks : sequence of tuple
        For recording: verdicts of :mod:`exercises.marking`, or their fields.
    gave : tuple or None
        For recording: paper and sitting of its sheet, and what it gave part by part, as
        :func:`exercises.marking.alike.given_of` returns it.
    rehearsal : mapping or None
        For recording: of the log of a dry run what the book keeps beside the file.
    """

    path: str
    digest: str
    size: int = 0
    received_at: str = ""
    clock: str = "file"
    form: str = "unknown"
    token: str | None = None
    state: str = RECEIVED
    reason: str = ""
    answers: dict[str, Any] = field(default_factory=dict)
    working: dict[str, Any] = field(default_factory=dict)
    fingerprint: str | None = None
    numbers: str | None = None
    flags: dict[str, Any] = field(default_factory=dict)
    marks: Sequence[tuple[Any, ...]] = ()
    id: int = 0
    met_at: str = ""
    matters: Sequence[Matter] = ()
    set_aside: bool = False
    dated: str = ""
    dated_by: str = ""
    pile: int | None = None
    claims: Sequence[str] = ()
    receipt: str = ""
    gave: tuple[str, int, Mapping[str, Any]] | None = None
    rehearsal: Mapping[str, Any] | None = None

    @property
    def waiting(self) -> list[Matter]:
        """The matters that an assessor has still to decide.

        Of a hand-in that was set aside only an appeal waits; of an erased one nothing.
        """
        if self.path.startswith(ERASED):
            return []
        return [m for m in self.matters if m.open and (m.kind == APPEAL or not self.set_aside)]

    @property
    def needs_a_look(self) -> bool:
        """Whether an assessor has still to look at it."""
        return bool(self.waiting)


@dataclass(frozen=True)
class Mark:
    """The mark that stands for one answer key of one hand-in."""

    id: int
    handin: int
    question: str
    part: str
    value: float
    unit: float
    awarded: float
    total: float
    verdict: str
    reason: str
    road: str
    by: str
    at: str
    supersedes: int | None = None
    decision: int | None = None


@dataclass(frozen=True)
class Decision:
    """What an assessor decided.

    Parameters
    ----------
    id : int
        Its number.
    handin, mark, matter : int or None
        What it is about.
    what : str
        ``"accepted"``, ``"marks"``, ``"counts"``, ``"set aside"``, ``"reopened"``, or
        any other word for a note.
    detail : dict
        What more there is to say.
    by, at : str
        Who, and when.
    reason : str
        The assessor's own note; it stays in the book.
    told : str
        What the student reads.
    undoes : int or None
        The decision that this one takes back.
    """

    id: int
    handin: int | None
    mark: int | None
    what: str
    detail: dict[str, Any]
    by: str
    reason: str
    at: str
    matter: int | None = None
    told: str = ""
    undoes: int | None = None


@dataclass(frozen=True)
class Result:
    """One sheet and what came of it, as a report needs it.

    Parameters
    ----------
    sheet, student : Sheet, Student
        Whose it is.
    state : str
        *issued* where nothing came back, else the state of the hand-in that counts.
    handin : HandIn or None
        The one that counts: the assessor's choice, else the first that could be
        marked, else the first.
    marks : dict of str to Mark
        By answer key; empty where nothing was marked.
    others : list of HandIn
        Further hand-ins of this sheet.
    needs_a_look : bool
        Whether an assessor has still to decide something about this sheet.
    """

    sheet: SheetRecord
    student: Student
    state: str
    handin: HandIn | None
    marks: dict[str, Mark]
    others: list[HandIn]
    needs_a_look: bool

    @property
    def awarded(self) -> float:
        """The marks that were won."""
        return sum(mark.awarded for mark in self.marks.values())

    @property
    def total(self) -> int:
        """The marks that could be had."""
        return self.sheet.total

    @property
    def outcomes(self) -> dict[str, tuple[float, float]]:
        """Marks won and possible for each outcome of the sheet."""
        out: dict[str, tuple[float, float]] = {}
        for key in answer_boxes(self.sheet.questions):
            won, possible = out.get(key.outcome, (0.0, 0.0))
            mark = self.marks.get(key.key)
            out[key.outcome] = (
                won + (mark.awarded if mark else 0.0),
                possible + key.part.total,
            )
        return out
