"""What `settle` and `verify` do: matters listed, previewed and decided; lines come back."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

import click

from calculators.faults import fault_error, visible
from exercises.book.book import Book
from exercises.book.records import KINDS, WORKING, HandIn, Student
from exercises.book.times import now, parse_time
from exercises.marking import matters
from exercises.questions.parts import marks_in_words


@dataclass(frozen=True)
class Asked:
    """What was typed behind ``glossbook settle``; see the command's help."""

    numbers: tuple[int, ...]
    kind: str | None
    decision: str | None
    part: str | None
    marks: float | None
    reads: str | None
    reopen: bool
    handin: int | None
    appeal: str | None
    date: str
    by: str
    reason: str
    tell: str

    @property
    def decides(self) -> bool:
        """Whether a decision on a matter is asked for."""
        return self.decision is not None or self.marks is not None or self.reads is not None

    def __post_init__(self) -> None:
        ways = (
            self.part is not None and self.marks is not None,
            self.appeal is not None,
            self.decision in ("counts", "set aside"),
        )
        if self.handin is not None and sum(ways) != 1:
            raise click.UsageError(
                "Beside --hand-in give --part and --marks, or --appeal, or --decision counts "
                'or "set aside".'
            )
        if self.handin is None and self.appeal is not None:
            raise click.UsageError("Say whose marks: --hand-in NUMBER.")
        if self.handin is None and self.decides and not (self.numbers or self.kind):
            raise click.UsageError("Give the matter's NUMBER, or --hand-in NUMBER.")
        if self.kind is not None and self.kind not in KINDS:
            raise click.UsageError(f"--kind is one of: {', '.join(KINDS)}.")
        says = self.decides or self.reopen or self.appeal
        if (self.by or self.reason or self.part) and not says:
            raise click.UsageError("Say what is decided: --decision, --marks or --reads.")


def settled(book: Book, asked: Asked) -> list[str]:
    """Do what was asked for, and return what to say."""
    if asked.handin is not None and asked.appeal is not None:
        return appeal(book, asked.handin, asked.part or "", asked.appeal, asked.date, asked.by)
    if asked.handin is not None and asked.decision is not None:
        said = {"by": asked.by, "reason": asked.reason, "told": asked.tell}
        return choose(book, asked.handin, asked.decision, **said)
    if asked.handin is not None:
        return overrule(book, asked.handin, asked)
    if asked.reopen:
        return [
            line
            for number in asked.numbers
            for line in reopen(book, number, asked.by, asked.reason)
        ]
    if asked.decides:
        chosen = asked.numbers or [m.id for m in book.matters(kind=asked.kind, waiting=True)]
        return settle(book, chosen, asked)
    if asked.numbers:
        return [line for number in asked.numbers for line in look(book, number)]
    return to_settle(book, asked.kind)


def to_settle(book: Book, kind: str | None = None) -> list[str]:
    """Return the matters that wait for a decision, a line each."""
    students = book.students()
    waiting = book.matters(waiting=True, kind=kind)
    if not waiting:
        return ["Nothing needs a look."]
    handins = {one.id: one for one in book.handins()}
    who = owners(book, (handins[one.handin] for one in waiting), students)
    count = len(waiting)
    lines = [f"{count} {'matters need' if count > 1 else 'matter needs'} a look."]
    for one in waiting:
        held = handins[one.handin]
        lines.append(
            f"  {one.id}  {who[held.id]}, {held.path}: "
            f"{one.kind}. {matters.in_words(one, held, students)}"
        )
    return [
        *lines,
        "Look at one: glossbook settle NUMBER",
        "See what a decision would change: glossbook settle NUMBER --decision accept, or "
        "--marks MARKS, or --reads ANSWER",
        'Then decide, with --by "Name" --reason "why" too.',
    ]


def owners(book: Book, handins: Iterable[HandIn], people: Mapping[str, Student]) -> dict[int, str]:
    """Return whose sheet each hand-in is for, with paper and sitting, by its number."""
    handins = list(handins)
    sheets = book.sheets_by_token((h.token for h in handins if h.token), needs="head")
    found = {}
    for one in handins:
        sheet = sheets.get(one.token or "")
        if sheet is None:
            found[one.id] = "No sheet"
            continue
        person = people[sheet.student]
        resit = f", sitting {sheet.sitting}" if sheet.sitting > 1 else ""
        found[one.id] = f"{person.id} {person.name}".strip() + f", {sheet.paper}{resit}"
    return found


SUGGESTED = "suggested"
WAYS = {"accept": "accepted", "counts": "counts", "set aside": "set aside"}


def settle(book: Book, numbers: Sequence[int], asked: Asked) -> list[str]:
    """Show what decisions on matters would change; decide them where a name confirms it."""
    previews = [_preview(book, number, asked) for number in numbers]
    lines = [f"Matter {p.matter.id}, {p.matter.kind}: {' '.join(p.sentences)}" for p in previews]
    if not (asked.by or asked.reason):
        return [*lines, _NOTHING_YET]
    matters.confirm(book, previews, by=asked.by, reason=asked.reason, told=asked.tell)
    closed = f"{len(previews)} matters are" if len(previews) != 1 else "The matter is"
    return [*lines, f"{closed} closed, decided by {asked.by}."]


def _preview(book: Book, number: int, asked: Asked) -> matters.Preview:
    """Return what the decision on a matter would change."""
    if asked.decision == SUGGESTED:
        return as_suggested(book, number)
    about = asked.part or book.matter(number).part
    if (asked.marks is not None or asked.reads is not None) and not about:
        raise fault_error(
            f"matter {number}", "is about no part", "", "", "Name the part: --part 2a"
        )
    proposal = matters.Proposal(
        WAYS[asked.decision or "accept"],
        {about: asked.marks} if asked.marks is not None else {},
        {about: asked.reads} if asked.reads is not None else {},
    )
    return matters.preview(book, number, proposal)


def as_suggested(book: Book, number: int) -> matters.Preview:
    """Return what the suggested method mark of a working would change."""
    matter = book.matter(number)
    if matter.kind != WORKING:
        raise fault_error(
            f"matter {number}",
            "has no suggested marks",
            matter.kind,
            "Marks are suggested for working alone",
            "Decide it with --decision accept, or --marks",
        )
    found = matters.working_to_read(book, matter)
    marks = {matter.part: found.awarded} if found.suggested.marks else {}
    return matters.preview(book, number, matters.Proposal(WAYS["accept"], marks))


_NOTHING_YET = "Nothing is decided yet. Decide it with --by NAME --reason WHY."


def reopen(book: Book, number: int, by: str, reason: str) -> list[str]:
    """Take the decision on a matter back."""
    book.reopen(number, by=by, reason=reason)
    return [f"Matter {number} is open again; what its decision changed is as before."]


def overrule(book: Book, handin: int, asked: Asked) -> list[str]:
    """Show or give other marks for a part about which no matter was raised."""
    part, marks = asked.part or "", asked.marks or 0.0
    held = {m.part: m for m in book.marks(book.handin(handin).id)}
    if part not in held:
        raise fault_error(
            "--part",
            "is not a part of this hand-in",
            part,
            ", ".join(held) or "It has none",
            "Look at the mark scheme",
        )
    line = f"{part}: {held[part].awarded:g} → {marks:g} of {held[part].total:g} marks."
    if not (asked.by or asked.reason):
        return [line, _NOTHING_YET]
    detail: dict[str, Any] = {"awarded": marks, "reason": asked.tell}
    book.decide("marks", by=asked.by, reason=asked.reason, mark=held[part].id, detail=detail)
    return [line, f"Decided by {asked.by}."]


def choose(
    book: Book, handin: int, what: str, *, by: str, reason: str, told: str = ""
) -> list[str]:
    """Show or decide that a hand-in counts, or is set aside."""
    lines = matters.which_counts(book, book.handin(handin), what)
    if not (by or reason):
        return [*lines, _NOTHING_YET]
    book.decide(what, by=by, reason=reason, handin=handin, told=told)
    return [*lines, f"Decided by {by}."]


def appeal(book: Book, handin: int, part: str, says: str, date: str, by: str) -> list[str]:
    """Record a student's appeal, with its date."""
    day = parse_time(date).date().isoformat() if date else now()[:10]
    made = matters.raise_appeal(book, handin, says, by=by, date=day, part=part)
    return [f"The appeal is matter {made.id}. Somebody who gave no mark there decides it."]


def look(book: Book, number: int) -> list[str]:
    """Return a matter and its hand-in as an assessor looks at it."""
    one = book.matter(number)
    held = book.handin(one.handin)
    state = "to decide" if one.open else "closed"
    words = matters.in_words(one, held, book.students())
    lines = [f"Matter {one.id}, {one.kind}, {state}. {words}", *_one(book, held)]
    if one.kind == WORKING:
        lines += _about_working(matters.working_to_read(book, one))
    if "pile" in one.detail:
        lines += matters.dates_after(book, one.detail["pile"])
    return lines


def _about_working(found: matters.WorkingToRead) -> list[str]:
    steps = "; ".join(found.steps) or "no step earns marks by itself"
    return [
        f"  Mark scheme {found.part}: {found.worked}",
        f"  For working: {steps}.",
        f"  Suggested: {marks_in_words(found.suggested.marks)}, because {found.suggested.why}. "
        "Give it with --decision suggested, or others with --marks.",
    ]


def _one(book: Book, one: HandIn) -> list[str]:
    """Return a hand-in as an assessor looks at it: whose, what was written, what it got."""
    owner = owners(book, [one], book.students())[one.id]
    lines = [
        f"Hand-in {one.id}, {one.path}: {one.state}. {one.reason}".rstrip(),
        f"  For: {owner}.",
    ]
    for m in book.marks(one.id):
        wrote = str(one.answers.get(m.part, "")).strip()
        shown = f" wrote {_printable(wrote)};" if wrote else ""
        lines.append(f"  {m.part}:{shown} {m.awarded:g} of {m.total:g}. {m.reason} (by {m.by})")
    lines += [f"  Working {key}: {_printable(text)}" for key, text in one.working.items()]
    lines += [
        f"  Decided: {d.what}{f', matter {d.matter}' if d.matter else ''}, by {d.by}, "
        f"{d.at[:10]}: {d.reason}"
        for d in book.decisions(one.id)
    ]
    return lines


def verify(book: Book, asked: str) -> tuple[list[str], bool]:
    """Say whether anything in the record was changed from outside, and where."""
    found = book.verify(asked)
    lines = [f"{found.entries} entries, head {found.head[:16]}."]
    lines += [f"  {text}" for text in found.faults]
    if not found.faults:
        lines.append("Nothing was changed from outside.")
    if found.known is False:
        lines.append(
            f"{asked} is not in this record, so the record was cut short or rebuilt since."
        )
    if found.known:
        lines.append(f"{asked} is in this record: since then it was only added to.")
    return lines, not found.faults and found.known is not False


def _printable(text: str) -> str:
    """Return what a student wrote on one line, with nothing that moves a cursor."""
    return f"“{' '.join(visible(text).split())}”"
