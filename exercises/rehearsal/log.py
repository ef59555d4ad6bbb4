"""The log of a run: one file that replays exactly.

It holds the kitchen as text, the seed, the way, the surprises and the actions, and the
digest of the state at the end.  It is recorded and commented on, never marked.
"""

from __future__ import annotations

import hashlib
import json
from collections.abc import Mapping
from dataclasses import dataclass, replace
from functools import cached_property
from typing import Any

from calculators.faults import Fault, FaultsError, fault_error
from calculators.kitchen import kitchen_of
from exercises.rehearsal import actions  # noqa: F401 - they register themselves
from exercises.rehearsal.deeds import Outcome, act
from exercises.rehearsal.state import Conditions, State, conditions_of, to_json
from exercises.rehearsal.surprises import SURPRISES, beginning, drawn, met

__all__ = ["FREE", "GUIDED", "SURPRISED", "WAYS", "Run", "begin", "read_log", "written_log"]

GUIDED, FREE, SURPRISED = "guided", "free", "with surprises"
WAYS = (GUIDED, FREE, SURPRISED)
MOST_ACTIONS = 400


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
    """

    kitchen: Mapping[str, Any]
    seed: str = ""
    way: str = FREE
    surprises: tuple[str, ...] = ()
    actions: tuple[Mapping[str, Any], ...] = ()

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
        longer.__dict__["conditions"] = self.conditions
        longer.__dict__["outcomes"] = (*self.outcomes, outcome)
        return longer, outcome

    @property
    def digest(self) -> str:
        """Return what the state at the end is recognised by."""
        text = json.dumps(to_json(self.state), sort_keys=True, ensure_ascii=False)
        return hashlib.sha256(text.encode()).hexdigest()[:16]


def begin(
    kitchen: Mapping[str, Any], way: str = FREE, seed: str = "", surprises: tuple[str, ...] = ()
) -> Run:
    """Return a new run; surprises are drawn from the seed unless they are set."""
    if way not in WAYS:
        raise fault_error("way", "is not known", way, ", ".join(WAYS))
    chosen = surprises or (drawn(seed) if way == SURPRISED else ())
    run = Run(kitchen, seed, way, tuple(chosen))
    if not run.conditions.kitchen.cakes:
        raise fault_error("kitchen", "has no cakes to glaze", "", "", "Name a cake in the scheme")
    return run


def written_log(run: Run) -> str:
    """Return the log of a run as the text of its file."""
    held = {
        "kitchen": run.kitchen,
        "seed": run.seed,
        "way": run.way,
        "surprises": list(run.surprises),
        "actions": [dict(a) for a in run.actions],
        "ends": run.digest,
    }
    return json.dumps(held, ensure_ascii=False, indent=1) + "\n"


def read_log(text: str, where: str = "run") -> Run:
    """Return a run from the text of its file; it must end as the file says."""
    try:
        held = json.loads(text)
        run = Run(
            held["kitchen"],
            str(held["seed"]),
            str(held["way"]),
            tuple(str(s) for s in held["surprises"]),
            tuple({str(k): v for k, v in a.items()} for a in held["actions"]),
        )
        ends = str(held["ends"])
    except (ValueError, KeyError, TypeError, AttributeError) as error:
        raise fault_error(
            where,
            "is not the log of a run",
            str(error)[:80],
            "",
            "Hand in the file as it was saved",
        ) from error
    faults = [
        Fault(where, "names a surprise that is not known", s, ", ".join(SURPRISES))
        for s in run.surprises
        if s not in SURPRISES
    ]
    if len(run.actions) > MOST_ACTIONS:
        faults.append(
            Fault(where, "has too many actions", str(len(run.actions)), f"{MOST_ACTIONS}")
        )
    if faults:
        raise FaultsError(faults)
    try:
        now = run.digest
    except (ValueError, KeyError, TypeError, AttributeError) as error:
        raise fault_error(
            where, "has a kitchen that can't be read", str(error)[:80], "", "Save it again"
        ) from error
    if now != ends:
        raise fault_error(
            where,
            "does not end as it says",
            now,
            ends,
            "It was changed after it was saved, or made by another version",
        )
    return run
