"""Which questions a paper asks."""

from __future__ import annotations

import difflib
import hashlib
from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

from calculators.faults import Fault, fault_error, refuse
from calculators.units import Quantity
from exercises.questions.building import build
from exercises.questions.outcomes import outcomes
from exercises.questions.registry import LEVELS, Question
from exercises.sheets.blueprint import (
    BEST,
    JUDGEMENT,
    Asked,
    Blueprint,
    Honest,
    blueprint,
    enough,
    longest_honest,
)

TRIES = 400  # choices looked at to meet the marks of a plan
FEW_TRIES = 20  # the same, where it gives no marks
TOLD = "-told"  # ends the name of a question that says in words what another one shows


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
        Which sitting counts, of :data:`exercises.sheets.blueprint.SITTINGS`.
    kitchen : mapping of str to quantity
        The kitchen's values, for questions that ask about it.
    rules : Rules
        The school's own rules.
    include, exclude : sequence of str
        Ids of questions that it asks in any case, and of those that it never asks.
    only : sequence of str
        Ids of all its questions, in the order of the sheet; the levels then count nothing.
    used : collection of str
        Ids of questions that papers of other terms asked: taken where no other is left.
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
    include: Sequence[str] = ()
    exclude: Sequence[str] = ()
    only: Sequence[str] = ()
    used: Collection[str] = ()

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
            "include": list(self.include),
            "exclude": list(self.exclude),
            "only": list(self.only),
        }

    @property
    def count(self) -> int:
        """How many questions a sheet asks, before what must be in it in any case."""
        return len(self.only) or sum(self.levels.values())

    @property
    def pass_rule(self) -> dict[str, Any]:
        """The rule by which it is passed, as the mark book keeps it."""
        return {
            "share": self.pass_share,
            "must_pass": list(self.must_pass),
            "sittings": self.sittings,
            "evidence": True,
        }


# --- choosing the questions -----------------------------------------------------------


def could_ask(plan: PaperPlan, bank: Mapping[str, Question]) -> list[Asked]:
    """Return every question that a paper could ask, each drawn once."""
    return [
        Asked(one, build(one, "worth", plan.kitchen))
        for one in bank.values()
        if one.id in plan.only
        or one.id in plan.include
        or (
            one.outcome in plan.outcomes
            and one.use in ("assessed", "both")
            and one.id not in plan.exclude
            and not told(one, bank)
        )
    ]


def told(one: Question, bank: Mapping[str, Question]) -> bool:
    """Tell whether a question only says in words what another of the bank shows."""
    return one.id.endswith(TOLD) and one.id.removesuffix(TOLD) in bank


def choose(
    plan: PaperPlan,
    bank: Mapping[str, Question],
    secret: str = "",
    used: Collection[str] = (),
) -> list[Question]:
    """Return the questions of a paper, in the order of the lessons.

    What must be met is asked about first, then outcome after outcome of the plan, each by
    as many questions of its own kind as it takes to judge it; the marks add up to those of
    the plan.  Questions whose right options stand in practice are taken last.

    Parameters
    ----------
    plan : PaperPlan
        What is asked for.
    bank : mapping of str to Question
        The bank.
    secret : str
        Decides between questions that are as good: from the mark book, so that nobody
        else can tell which are chosen.
    used : collection of str
        Ids of questions that earlier papers and sittings asked: taken where no other is left.
    """
    fitting = could_ask(plan, bank)
    _check(plan, fitting, bank)
    place = {name: n for n, name in enumerate(outcomes())}
    if plan.only:
        return [bank[name] for name in plan.only]
    chosen = _best(plan, fitting, secret, frozenset((*used, *plan.used)))
    return sorted(
        (one.card for one in chosen),
        key=lambda one: (place[one.outcome], LEVELS.index(one.level), one.id),
    )


def paper_blueprint(plan: PaperPlan, chosen: Iterable[Question]) -> Blueprint:
    """Return the blueprint of a paper with these questions."""
    asked = [Asked(one, build(one, "worth", plan.kitchen)) for one in chosen]
    return blueprint(asked, plan.outcomes, plan.must_pass)


def honest_papers(plan: PaperPlan, bank: Mapping[str, Question]) -> list[Honest]:
    """Return papers that can bear all they claim: as long as the plan's, and with no limit."""
    held = could_ask(plan, bank)
    both = [
        longest_honest(held, plan.outcomes, plan.must_pass, limit)
        for limit in (plan.count or None, None)
    ]
    return list(dict.fromkeys(one for one in both if one is not None))


def _best(
    plan: PaperPlan, fitting: Sequence[Asked], secret: str, used: frozenset[str]
) -> list[Asked]:
    best: list[Asked] = []
    best_score: tuple[float, ...] | None = None
    reached = set()
    for attempt in range(TRIES if plan.marks else FEW_TRIES):
        chosen = _one_choice(plan, fitting, f"{secret}\x1f{attempt}", used)
        print_ = blueprint(chosen, plan.outcomes, plan.must_pass)
        reached.add(print_.marks)
        off = abs(print_.marks - plan.marks) if plan.marks else 0
        score = (
            sum(row.missing for row in print_.rows if row.must),
            off,
            len(print_.not_judged),
            max(0.0, JUDGEMENT - print_.judgement),
        )
        if best_score is None or score < best_score:
            best, best_score = chosen, score
        if best_score == (0, 0, 0, 0):
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
    return best


def _one_choice(
    plan: PaperPlan, fitting: Sequence[Asked], secret: str, used: frozenset[str]
) -> list[Asked]:
    """Return one choice: what must be met first, then outcome after outcome."""

    def key(one: Asked) -> tuple[bool, bool, str]:
        text = "\x1f".join((plan.name, one.card.id, secret))
        drawn = hashlib.blake2b(text.encode(), digest_size=8).hexdigest()
        return one.key_is_shown, one.card.id in used, drawn

    left = sorted(fitting, key=key)
    chosen = [one for one in left if one.card.id in plan.include]
    shown = dict.fromkeys((*plan.outcomes, *(one.card.outcome for one in fitting)), 0)
    asked = dict(shown)
    for one in chosen:
        left.remove(one)
        asked[one.card.outcome] += 1
        shown[one.card.outcome] += one.evidence
    order = {name: n for n, name in enumerate(plan.outcomes)}

    def need(one: Asked, slots: int) -> tuple[int, ...]:
        name = one.card.outcome
        must = name in plan.must_pass
        missing = enough(must) - shown[name]
        alike = any(_family(one) == _family(other) for other in chosen)
        if one.evidence and not one.key_is_shown and 0 < missing <= slots:
            return (0, not must, not one.usual, order.get(name, 0), alike)
        lone = missing > slots  # one more would judge nothing
        rank = (one.key_is_shown, not one.evidence, lone, asked[name], order.get(name, 0))
        return (1, *rank, alike)

    for level in reversed(LEVELS):  # the scarcest kind first
        given = sum(one.card.level == level for one in chosen)
        for slots in range(plan.levels.get(level, 0) - given, 0, -1):
            best = min(
                (one for one in left if one.card.level == level),
                key=lambda one: need(one, slots),
            )
            left.remove(best)
            chosen.append(best)
            asked[best.card.outcome] += 1
            shown[best.card.outcome] += best.evidence
    return chosen


def _family(one: Asked) -> str:
    """Return what questions have in common that are as like as two looks at one plate."""
    return one.card.id.removesuffix(TOLD).rpartition("-")[0]


def _check(plan: PaperPlan, fitting: Sequence[Asked], bank: Mapping[str, Question]) -> None:
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
    faults += _named_faults(plan, bank)
    if not plan.only:
        faults += _missing(plan, fitting)
    refuse(faults)


def _missing(plan: PaperPlan, fitting: Sequence[Asked]) -> list[Fault]:
    """Return what a choice lacks: questions of a level, or of an outcome."""
    where, faults = f"paper {plan.name}", []
    for level, wanted in plan.levels.items():
        held = sum(one.card.level == level for one in fitting)
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
    if not sum(plan.levels.values()) and not plan.include:
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
        if name in outcomes() and not any(one.card.outcome == name for one in fitting)
    ]
    return faults


def _named_faults(plan: PaperPlan, bank: Mapping[str, Question]) -> list[Fault]:
    """Return what is wrong with the questions that a paper names."""
    faults = []
    for key, names in (
        ("questions", plan.only),
        ("include", plan.include),
        ("exclude", plan.exclude),
    ):
        for name in names:
            where = f"paper {plan.name}, {key}"
            if name not in bank:
                near = difflib.get_close_matches(name, bank, n=1, cutoff=0.5)
                step = f"Did you mean {near[0]}?" if near else "Look it up: glossbook questions"
                faults.append(Fault(where, "is no question", name, "", step))
            elif key != "exclude" and bank[name].use == "practice":
                faults.append(
                    Fault(
                        where,
                        "is a question for practice only",
                        name,
                        "",
                        "Choose another: glossbook questions",
                    )
                )
    both = set(plan.exclude) & {*plan.only, *plan.include}
    faults += [
        Fault(f"paper {plan.name}, exclude", "is named to be asked as well", name, "", "Drop one")
        for name in sorted(both)
    ]
    return faults
