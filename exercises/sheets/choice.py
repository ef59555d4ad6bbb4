"""Which questions a paper asks."""

from __future__ import annotations

import hashlib
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

from calculators.faults import Fault, FaultsError, fault_error
from calculators.units import Quantity
from exercises.questions.building import build
from exercises.questions.outcomes import outcomes
from exercises.questions.registry import LEVELS, Question

TRIES = 400  # choices looked at to meet the marks of a plan
SITTINGS = BEST, LAST, CAPPED = "best", "last", "capped"  # which one counts in the end


@dataclass(frozen=True)
class Rules:
    """The school's own rules, named at the end of every caution."""

    link: str = ""
    contact: str = ""


@dataclass(frozen=True)
class PaperPlan:
    """What a paper is made of, as the scheme says it.

    Parameters
    ----------
    name, title : str
        Its name in the scheme, and what stands on the sheet.
    outcomes : sequence of str
        What it may ask about; keys of outcomes.toml.
    levels : mapping of str to int
        How many questions of each level.
    marks : int or None
        What the paper is worth; None for whatever the questions add up to.
    opens_on, hand_in_by : str
        Dates in ISO form.
    must_pass : sequence of str
        Outcomes that must be met whatever the marks.
    policy : mapping
        How units are marked, as the mark book keeps it.
    pass_share : float
        The share of the marks that passes.
    sittings : str
        Which sitting counts, of :data:`SITTINGS`.
    kitchen : mapping of str to quantity
        The kitchen's values, for questions that ask about it.
    rules : Rules
        The school's own rules.
    """

    name: str
    title: str
    outcomes: Sequence[str]
    levels: Mapping[str, int]
    marks: int | None = None
    opens_on: str = ""
    hand_in_by: str = ""
    must_pass: Sequence[str] = ()
    policy: Mapping[str, Any] = field(default_factory=dict)
    pass_share: float = 0.5
    sittings: str = BEST
    kitchen: Mapping[str, Quantity] = field(default_factory=dict)
    rules: Rules = field(default_factory=Rules)

    @property
    def pass_rule(self) -> dict[str, Any]:
        """What passes, for the mark book."""
        return {
            "share": self.pass_share,
            "must_pass": list(self.must_pass),
            "sittings": self.sittings,
        }

    def plain(self) -> dict[str, Any]:
        """Return the plan as plain data, for the mark book."""
        return {
            "title": self.title,
            "outcomes": list(self.outcomes),
            "levels": dict(self.levels),
            "marks": self.marks,
            "opens_on": self.opens_on,
            "hand_in_by": self.hand_in_by,
            "kitchen": {
                name: [float(value.magnitude), str(value.units)]
                for name, value in self.kitchen.items()
            },
            "rules": [self.rules.link, self.rules.contact],
        }


# --- choosing the questions -----------------------------------------------------------


def choose(plan: PaperPlan, bank: Mapping[str, Question]) -> list[Question]:
    """Return the questions of a paper: decided by the plan and the bank alone.

    Every outcome of the plan is asked about where the numbers allow it, must-pass
    outcomes first; the marks add up to those of the plan.  Questions stand in the
    order of the lessons.
    """
    fitting = [
        one
        for one in bank.values()
        if one.outcome in plan.outcomes and one.use in ("assessed", "both")
    ]
    _check(plan, fitting)
    worth = {one.id: marks_worth(one, plan.kitchen) for one in fitting}
    best: list[Question] = []
    best_score: tuple[int, int, int] | None = None
    reached = set()
    for attempt in range(TRIES):
        chosen = _one_choice(plan, fitting, attempt)
        asked = {one.outcome for one in chosen}
        total = sum(worth[one.id] for one in chosen)
        reached.add(total)
        score = (
            len(set(plan.must_pass) - asked),
            abs(total - plan.marks) if plan.marks else 0,
            len(set(plan.outcomes) - asked),
        )
        if best_score is None or score < best_score:
            best, best_score = chosen, score
        if best_score == (0, 0, 0):
            break
    if plan.marks and best_score and best_score[1]:
        near = sorted(reached, key=lambda total: (abs(total - (plan.marks or 0)), total))
        raise fault_error(
            f"paper {plan.name}, marks",
            "can't be met with these questions",
            plan.marks,
            f"Totals that can: {', '.join(map(str, sorted(near[:5])))}",
            "Give one of these, other levels, or no marks at all",
        )
    place = {name: n for n, name in enumerate(outcomes())}
    return sorted(best, key=lambda one: (place[one.outcome], LEVELS.index(one.level), one.id))


def _check(plan: PaperPlan, fitting: Sequence[Question]) -> None:
    where = f"paper {plan.name}"
    faults = [
        Fault(f"{where}, {key}", "is not known", name, "", "Take it from the table")
        for key, names, table in (
            ("outcomes", plan.outcomes, outcomes()),
            ("levels", plan.levels, LEVELS),
        )
        for name in names
        if name not in table
    ]
    faults += [
        Fault(
            f"{where}, must_pass",
            "is not among the outcomes of the paper",
            name,
            "",
            "Add it to the outcomes, or leave it out",
        )
        for name in plan.must_pass
        if name not in plan.outcomes
    ]
    for level, wanted in plan.levels.items():
        held = sum(one.level == level for one in fitting)
        if level in LEVELS and wanted > held:
            faults.append(
                Fault(
                    f"{where}, levels",
                    f"asks for more {level} questions than there are",
                    str(wanted),
                    f"The bank has {held} for these outcomes",
                    "Ask for fewer, or name more outcomes",
                )
            )
    if not sum(plan.levels.values()):
        faults.append(
            Fault(f"{where}, levels", "ask for no question", "", "", "Ask for at least one")
        )
    faults += [
        Fault(
            f"{where}, outcomes",
            "has no question that a sheet could ask",
            name,
            "",
            "Leave it out, or add a question",
        )
        for name in plan.outcomes
        if name in outcomes() and not any(one.outcome == name for one in fitting)
    ]
    if faults:
        raise FaultsError(faults)


def _one_choice(plan: PaperPlan, fitting: Sequence[Question], attempt: int) -> list[Question]:
    """Return one choice: in a keyed order, outcomes asked least often first."""

    def key(one: Question) -> str:
        text = "\x1f".join((plan.name, one.id, str(attempt)))
        return hashlib.blake2b(text.encode(), digest_size=8).hexdigest()

    count = dict.fromkeys(plan.outcomes, 0)
    left = sorted(fitting, key=key)
    chosen: list[Question] = []
    for level in reversed(LEVELS):  # the scarcest kind first
        for _ in range(plan.levels.get(level, 0)):
            one = min(
                (one for one in left if one.level == level),
                key=lambda o: (count[o.outcome], o.outcome not in plan.must_pass),
            )
            left.remove(one)
            chosen.append(one)
            count[one.outcome] += 1
    return chosen


def marks_worth(one: Question, kitchen: Mapping[str, Quantity]) -> int:
    """Return the marks that a question is worth."""
    return build(one, "worth", kitchen).total
