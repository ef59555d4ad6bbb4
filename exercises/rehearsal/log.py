"""The log of a run: one file that replays exactly.

It holds the kitchen as text, the seed, the way, the surprises and the actions, and the
digest of the state at the end; where the lecturer set the run, its name, and whose it is.
It is recorded and commented on, never marked.
"""

from __future__ import annotations

import hashlib
import json
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from typing import Any

from calculators.faults import Fault, FaultsError, fault_error, refuse
from calculators.kitchen import kitchen_of
from exercises.rehearsal import actions  # noqa: F401 - they register themselves
from exercises.rehearsal.deeds import Outcome, act
from exercises.rehearsal.state import Conditions, State, conditions_of, to_json
from exercises.rehearsal.surprises import SURPRISES, beginning, drawn, met

__all__ = [
    "ENDING",
    "FREE",
    "GUIDED",
    "IS_LOG",
    "MOST_ACTIONS",
    "SURPRISED",
    "WAYS",
    "Run",
    "begin",
    "begin_set",
    "comes",
    "kitchen_digest",
    "log_of",
    "read_log",
    "replayed",
    "written_log",
]

GUIDED, FREE, SURPRISED = "guided", "free", "with surprises"
WAYS = (GUIDED, FREE, SURPRISED)
MOST_ACTIONS = 400
LONGEST_NAME = 100  # signs, of a set run and of who hands it in
IS_LOG, VERSION = "dry run", 2  # the first line of the file: what it is, and how it is written
ENDING = ".run.json"
_NO_MATTER = ("local_rules", "local_contact", "formula_name")  # of a kitchen, to a run


@dataclass(frozen=True)
class Run:
    """A run from its beginning to where it stands.

    Parameters
    ----------
    kitchen : mapping
        As ``calculators.kitchen.kitchen_of`` takes it, all text.
    seed : str
        What the surprises were drawn from.
    way : str
        ``"guided"``, ``"free"`` or ``"with surprises"``.
    surprises : tuple of str
        Their names.
    actions : tuple of mapping
        What was done, in order.
    name : str
        Of the run that the lecturer set; empty for one's own.
    student : str
        The token of a sheet, or the name, of who hands it in; empty for nobody.
    """

    kitchen: Mapping[str, Any]
    seed: str = ""
    way: str = FREE
    surprises: tuple[str, ...] = ()
    actions: tuple[Mapping[str, Any], ...] = ()
    name: str = ""
    student: str = ""

    @cached_property
    def conditions(self) -> Conditions:
        """The kitchen of this run, with what nobody sees."""
        return met(conditions_of(kitchen_of(**self.kitchen)), self.surprises)

    @cached_property
    def outcomes(self) -> tuple[Outcome, ...]:
        """What came of each action, replayed from the beginning."""
        state, out = beginning(self.conditions), []
        for deed in self.actions:
            out.append(act(self.conditions, state, deed))
            state = out[-1].state
        return tuple(out)

    @property
    def state(self) -> State:
        """The bench as it stands."""
        return self.outcomes[-1].state if self.outcomes else beginning(self.conditions)

    def then(self, deed: Mapping[str, Any]) -> tuple[Run, Outcome]:
        """Return the run with one action more, and what came of it.

        What could not be done is told and not kept.
        """
        if len(self.actions) >= MOST_ACTIONS:
            raise fault_error("run", "is full", len(self.actions), "", "Begin a new one")
        outcome = act(self.conditions, self.state, deed)
        if outcome.refused:
            return self, outcome
        longer = replace(self, actions=(*self.actions, dict(deed)))
        return longer._known(self.conditions, (*self.outcomes, outcome)), outcome

    def of(self, student: str) -> Run:
        """Return the same run as this student hands it in."""
        whose = " ".join(student.split())[:LONGEST_NAME]
        return replace(self, student=whose)._known(self.conditions, self.outcomes)

    def _known(self, conditions: Conditions, outcomes: tuple[Outcome, ...]) -> Run:
        """Spare a run that was just made to work out again what is known."""
        self.__dict__.update(conditions=conditions, outcomes=outcomes)
        return self

    @property
    def digest(self) -> str:
        """Return what the state at the end is recognised by."""
        return _digest(to_json(self.state))


def begin(
    kitchen: Mapping[str, Any],
    way: str = FREE,
    seed: str = "",
    surprises: tuple[str, ...] = (),
    name: str = "",
) -> Run:
    """Return a new run; surprises are drawn from the seed unless they are set."""
    if way not in WAYS:
        raise fault_error("way", "is not known", way, ", ".join(WAYS))
    run = Run(kitchen, seed, way, comes(way, seed, surprises), name=name)
    if not run.conditions.kitchen.cakes:
        raise fault_error("kitchen", "has no cakes to glaze", "", "", "Name a cake in the scheme")
    return run


def begin_set(held: Mapping[str, Any]) -> Run:
    """Return a run that was set, at its beginning, from its values as plain data."""
    return begin(
        held["kitchen"],
        str(held["way"]),
        str(held["seed"]),
        tuple(held["surprises"]),
        str(held["name"]),
    )


def comes(way: str, seed: str, named: Sequence[str] = ()) -> tuple[str, ...]:
    """Return the surprises that a run meets: those that were named, or those of its seed."""
    return tuple(named) or (drawn(seed) if way == SURPRISED else ())


def kitchen_digest(kitchen: Mapping[str, Any]) -> str:
    """Return what a kitchen is recognised by, as far as a run depends on it.

    Names, addresses and prices may change; the course is built again, and the log of a run
    stays one of this kitchen.
    """
    held = {key: value for key, value in kitchen.items() if key not in _NO_MATTER}
    held["formula"] = [list(line[:2]) for line in held.get("formula", ())]
    return _digest(held)


def _digest(held: Any) -> str:
    text = json.dumps(held, sort_keys=True, ensure_ascii=False)
    return hashlib.sha256(text.encode()).hexdigest()[:16]


def written_log(run: Run) -> str:
    """Return the log of a run as the text of its file."""
    held = {
        IS_LOG: VERSION,
        "run": run.name,
        "student": run.student,
        "kitchen": run.kitchen,
        "kitchen digest": kitchen_digest(run.kitchen),
        "seed": run.seed,
        "way": run.way,
        "surprises": list(run.surprises),
        "actions": [dict(a) for a in run.actions],
        "ends": run.digest,
    }
    return json.dumps(held, ensure_ascii=False, indent=1) + "\n"


def read_log(text: str, where: str = "run") -> Run:
    """Return a run from the text of its file; it must end as the file says.

    Raises
    ------
    FaultsError
        Where it is no log, was written by another version, is too long, or does not
        replay.
    """
    try:
        held = json.loads(text)
    except (ValueError, RecursionError) as error:
        raise _no_log(where) from error
    return replayed(*log_of(held, where), where)


def log_of(held: Any, where: str = "run") -> tuple[Run, str]:
    """Return the run that a file holds, not replayed yet, and how the file says it ends."""
    if not isinstance(held, dict) or IS_LOG not in held:
        raise _no_log(where)
    if held[IS_LOG] != VERSION or isinstance(held[IS_LOG], bool):
        raise fault_error(
            where,
            "was written by another version of the dry run",
            str(held[IS_LOG])[:20],
            f"This one reads version {VERSION}",
            "Save it again from the page of this course",
        )
    try:
        run = Run(
            dict(held["kitchen"]),
            str(held["seed"])[:LONGEST_NAME],
            str(held["way"]),
            tuple(str(s) for s in held["surprises"]),
            tuple({str(k): v for k, v in a.items()} for a in held["actions"]),
            str(held["run"])[:LONGEST_NAME],
            str(held["student"])[:LONGEST_NAME],
        )
        same = kitchen_digest(run.kitchen) == held["kitchen digest"]
        ends = str(held["ends"])
    except (ValueError, KeyError, TypeError, AttributeError) as error:
        raise _no_log(where) from error
    faults = [
        Fault(where, "names a surprise that is not known", s, ", ".join(SURPRISES))
        for s in run.surprises
        if s not in SURPRISES
    ]
    if run.way not in WAYS:
        faults.append(Fault(where, "names a way that is not known", run.way[:40], ", ".join(WAYS)))
    if len(run.actions) > MOST_ACTIONS:
        faults.append(
            Fault(where, "has too many actions", str(len(run.actions)), f"{MOST_ACTIONS}")
        )
    if not same:
        faults.append(Fault(where, "has another kitchen than it says", "", "", _CHANGED))
    refuse(faults)
    return run, ends


def replayed(run: Run, ends: str, where: str = "run") -> Run:
    """Return a run that was done again, action by action, and ended as its file says."""
    try:
        outcomes = run.outcomes
    except FaultsError as error:
        raise fault_error(
            where, "has a kitchen that can't be read", str(error)[:80], "", "Save it again"
        ) from error
    except (ValueError, KeyError, TypeError, AttributeError, ArithmeticError) as error:
        raise fault_error(
            where, "can't be done again", str(error)[:80], "", "Save it again"
        ) from error
    refused = [n for n, one in enumerate(outcomes, 1) if one.refused]
    if refused:
        raise fault_error(
            f"{where}, step {refused[0]}",
            "can't be done there",
            outcomes[refused[0] - 1].refused[:120],
            "A page keeps no such step",
            _CHANGED,
        )
    if run.digest != ends:
        raise fault_error(where, "does not end as it says", "", "", _CHANGED)
    return run


_CHANGED = "It was changed after it was saved, or made by another version"


def _no_log(where: str) -> FaultsError:
    step = "Take the file as the page of the dry run saved it; its name ends in"
    return fault_error(where, "is not the log of a run", "", "", f"{step} {ENDING}")
