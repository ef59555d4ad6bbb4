"""A paper drafted and checked by a person, and what is not as it was when it was signed."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Mapping, Sequence
from typing import Any

from calculators import safety
from calculators.faults import fault_error
from calculators.units import Quantity, q
from exercises.book.book import Book
from exercises.book.records import PaperRecord as BookPaper
from exercises.questions.building import build
from exercises.questions.parts import DrawnQuestion
from exercises.questions.registry import Question
from exercises.sheets.blueprint import Asked, Blueprint, blueprint, pass_rule_said
from exercises.sheets.choice import TOLD, PaperPlan, Rules, choose, paper_blueprint
from exercises.sheets.mark_scheme import mark_scheme
from exercises.sheets.sheet import Sheet, cautions_for

SAMPLES = 3  # sheets by which a question is known again when a paper is issued


def draft(plan: PaperPlan, bank: Mapping[str, Question], book: Book, sitting: int = 1) -> BookPaper:
    """Choose a paper's questions and put it into the book as drafted.

    Which of those that would do are chosen is decided by the secret of the book; those
    that its other papers and sittings ask are taken only where no others are left.  Once
    sheets of the paper are out, this is a later version: they keep what they said.
    """
    kept = _kept(plan, bank, book, sitting)
    held = {one.name: one for one in book.papers()}.get(plan.name)
    if held is not None and held.state == "issued":
        return book.draft_version(
            plan.name, sitting, kept, policy=plan.policy, pass_rule=plan.pass_rule
        )
    return book.draft_paper(plan.name, kept, policy=plan.policy, pass_rule=plan.pass_rule)


def asked_now(
    plan: PaperPlan, bank: Mapping[str, Question], book: Book, sitting: int = 1
) -> list[Question]:
    """Return the questions that a paper asks if it is drafted now.

    Where its scheme asks for the same as the version signed last in the sitting, they are
    those of that version: a bank that has grown changes no paper.
    """
    earlier = {one.name: one for one in book.papers()}
    record = earlier.get(plan.name)
    signed = record.signed_for(sitting) if record else None
    if signed and _asks_the_same(signed, plan):
        names = signed.plan["questions"]
        if all(name in bank for name in names):
            return [bank[name] for name in names]
    used = {
        name
        for paper in earlier.values()
        for one in paper.each_version()
        if (one.name, one.sitting) != (plan.name, sitting)
        for name in one.plan.get("questions", ())
    }
    secret = book.secret_for("questions", plan.name, str(sitting))
    return choose(plan, bank, secret, used)


_ASKS = ("outcomes", "levels", "marks", "include", "exclude", "only")


def _asks_the_same(signed: BookPaper, plan: PaperPlan) -> bool:
    now = plan.plain()
    must = list(plan.must_pass) == list(signed.pass_rule.get("must_pass", ()))
    return must and all((signed.plan.get(key) or None) == (now[key] or None) for key in _ASKS)


def _kept(
    plan: PaperPlan, bank: Mapping[str, Question], book: Book, sitting: int
) -> dict[str, Any]:
    """Return what the book keeps of a paper as its scheme asks for it now."""
    chosen = asked_now(plan, bank, book, sitting)
    asked = paper_blueprint(plan, chosen)
    return plan.plain() | {
        "questions": [one.id for one in chosen],
        "digests": {one.id: digest_of(one, plan.kitchen) for one in _and_told(chosen, bank)},
        "total": asked.marks,
        "minutes": asked.minutes,
    }


def _and_told(chosen: Sequence[Question], bank: Mapping[str, Question]) -> list[Question]:
    """Return questions and their equals in words, which are signed with them."""
    told = [bank.get(f"{one.id}{TOLD}") for one in chosen]
    return [*chosen, *(one for one in told if one is not None)]


def changes(
    signed: BookPaper, plan: PaperPlan, bank: Mapping[str, Question], book: Book, sitting: int = 1
) -> list[str]:
    """Return what a paper would say otherwise now than its signed version does.

    Parameters
    ----------
    signed : PaperRecord
        The version by which sheets of the sitting go out, or for a resit that has none
        yet, the one of the first sitting.
    plan : PaperPlan
        What the scheme asks for now.
    bank : mapping of str to Question
        The bank of today.
    book : Book
        The mark book.
    sitting : int
        Which sitting; a resit has dates of its own.
    """
    now = _kept(plan, bank, book, sitting)
    return differences(signed, now, plan, dates=sitting == 1)


def differences(
    signed: BookPaper, now: Mapping[str, Any], plan: PaperPlan, dates: bool = True
) -> list[str]:
    """Return line by line what is not as it was signed: from, to."""
    was = _flat(signed.plan, signed.policy, signed.pass_rule)
    new = _flat(now, plan.policy, plan.pass_rule)
    leave = {"kitchen", "digests", "total", "minutes", "questions", "rules"}
    leave |= set() if dates else {"opens_on", "hand_in_by"}
    lines = [
        f"{key.replace('_', ' ')}: {_said(was[key])} → {_said(new.get(key))}"
        for key in was
        if key not in leave and key in new and was[key] != new[key]
    ]
    before, after = signed.plan.get("questions", ()), now["questions"]
    lines += [f"question out: {name}" for name in before if name not in after]
    lines += [f"question in: {name}" for name in after if name not in before]
    digests = signed.plan.get("digests", {})
    lines += [
        f"question {name}, or a formula behind it: not as it was"
        for name in now["digests"]
        if name in digests and digests[name] != now["digests"][name]
    ]
    if sorted(before) == sorted(after) and list(before) != list(after):
        lines.append("the questions stand in another order")
    return lines


def _flat(
    plan: Mapping[str, Any], policy: Mapping[str, Any], pass_rule: Mapping[str, Any]
) -> dict[str, Any]:
    """Return a plan with its kitchen, local rules and both rules value by value."""
    return {
        **plan,
        **{
            f"kitchen, {name}": f"{value:g} {unit}".strip()
            for name, (value, unit) in plan.get("kitchen", {}).items()
        },
        **dict(zip(("local rules", "contact"), plan.get("rules", ()), strict=False)),
        **{f"marking, {key}": value for key, value in policy.items()},
        **{f"pass, {key}": value for key, value in pass_rule.items()},
    }


def _said(value: Any) -> str:
    if isinstance(value, Mapping):
        return ", ".join(f"{count} {name}" for name, count in value.items() if count) or "none"
    if isinstance(value, list):
        return ", ".join(map(str, value)) or "none"
    return "none" if value in ("", None) else str(value)


def kitchen_of(drafted: BookPaper) -> dict[str, Quantity]:
    """Return the kitchen that a paper was drafted for."""
    return {name: q(*pair) for name, pair in drafted.plan["kitchen"].items()}


def digest_of(chosen: Question, kitchen: Mapping[str, Quantity]) -> str:
    """Return a digest of a question: of its text, and of some sheets that come of it.

    A formula that gives other answers changes it; a comment in the formula does not.
    """
    drawn = [build(chosen, f"check {n}", kitchen).to_json() for n in range(SAMPLES)]
    return hashlib.sha256(json.dumps([chosen.digest, drawn]).encode()).hexdigest()[:16]


def draft_text(
    drafted: BookPaper, bank: Mapping[str, Question], changed: Sequence[str] = ()
) -> str:
    """Return the paper to be checked, to print: what it judges by what, and a sample sheet.

    What has ``changed`` since an earlier version was signed stands first.
    """
    questions = built(drafted, bank, f"sample of {drafted.name}")
    sample = sheet_of(drafted, "SAMPLE", "Sample sheet", questions)
    printed = printed_blueprint(drafted, bank, questions)
    return mark_scheme([sample], drafted.policy, printed, changed)


def printed_blueprint(
    drafted: BookPaper, bank: Mapping[str, Question], questions: Sequence[DrawnQuestion]
) -> Blueprint:
    """Return what a drafted paper judges by what."""
    asked = [Asked(bank[one.id], one) for one in questions]
    return blueprint(asked, drafted.plan["outcomes"], drafted.pass_rule.get("must_pass", ()))


def check(drafted: BookPaper, by: str, book: Book) -> BookPaper:
    """Record that a named person has looked through a drafted paper."""
    if drafted.number > 1:
        return book.check_version(drafted.name, drafted.number, by)
    return book.check_paper(drafted.name, by)


def built(
    drafted: BookPaper, bank: Mapping[str, Question], seed: str, words: bool = False
) -> list[DrawnQuestion]:
    """Return the questions of a paper for a seed; in words, the equals of those with a picture."""
    plan = drafted.plan
    kitchen = kitchen_of(drafted)
    missing = [name for name in plan["questions"] if name not in bank]
    if missing:
        raise fault_error(
            f"paper {drafted.name}",
            "asks for questions that are not in the bank",
            ", ".join(missing),
            "",
            "Draft the paper again, or give the folder they are in",
        )
    asked = [f"{name}{TOLD}" for name in plan["questions"]] if words else plan["questions"]
    pairs = zip(asked, plan["questions"], strict=True)
    return [build(bank.get(told, bank[name]), seed, kitchen) for told, name in pairs]


def sheet_of(
    drafted: BookPaper,
    token: str,
    student: str,
    questions: Sequence[DrawnQuestion],
    **more: Any,
) -> Sheet:
    """Return the sheet of a student, by what its paper says."""
    rules: safety.HasLocalRules = Rules(*drafted.plan["rules"])
    dates = {name: drafted.plan[name] for name in ("opens_on", "hand_in_by")}
    return Sheet(
        token,
        student,
        drafted.plan["title"],
        questions,
        cautions=cautions_for(questions, rules),
        name_units=names_units(drafted.policy),
        rule=pass_rule_said(drafted.pass_rule),
        minutes=float(drafted.plan.get("minutes", 0)),
        **(dates | more),
    )


def names_units(policy: Mapping[str, Any]) -> bool:
    """Tell whether marking takes a unit as asked, so that the sheet has to ask for it."""
    return policy.get("other_unit") == "asked" or policy.get("missing_unit") == "assumed"
