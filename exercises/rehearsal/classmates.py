"""A classmate's run: some decisions, what the model makes of them, and where to turn back.

Nothing here says which decision is wrong.  That is found as the dry run finds it: the run is
worked out again with each decision as the method has it.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache
from typing import Any

from calculators.faults import fault_error
from exercises.rehearsal.deeds import Outcome, act
from exercises.rehearsal.state import Conditions, State

Taken = Mapping[str, Any]
Deed = Mapping[str, Any]
MENDED = 1.0  # of what a cook notices: a run that ends so near the method's own came right


@dataclass(frozen=True)
class Step:
    """One step: the moment that it belongs to, and what is done; None where it is left out.

    What is done may depend on the state, such as the water that a pan has lost.
    """

    moment: str
    deed: Deed | Callable[[State], Deed] | None


@dataclass(frozen=True, eq=False)
class Plan:
    """A piece of the work in which some decisions are open.

    Parameters
    ----------
    sound : mapping
        The method's own decisions, by name.
    conditions : function
        From what was drawn to the kitchen with what nobody sees.
    begins : function
        From the conditions to the state at the beginning.
    steps : function
        From decisions to steps; for all decisions the same number of them.
    off : function
        From the state at the end, and the conditions, to how far it is from good.
    """

    sound: Taken
    conditions: Callable[[Taken], Conditions]
    begins: Callable[[Conditions], State]
    steps: Callable[[Taken], Sequence[Step]]
    off: Callable[[State, Conditions], float]


@dataclass(frozen=True)
class Told:
    """What the model makes of a classmate's run.

    Parameters
    ----------
    log : tuple of (State, mapping, Outcome)
        Each step: the state before it, what was done, what came of it.
    gains : mapping of str to float
        By how much the end is nearer to good with this one decision as the method has it.
    cause : str
        The decision with the largest gain.
    back : str
        The latest moment from which it still comes right, done as the method does.
    """

    log: tuple[tuple[State, Deed, Outcome], ...]
    gains: Mapping[str, float]
    cause: str
    back: str

    @property
    def end(self) -> State:
        """The bench at the end."""
        return self.log[-1][2].state


@lru_cache(maxsize=512)
def told(plan: Plan, taken: tuple[tuple[str, Any], ...]) -> Told:
    """Return what comes of decisions, which of them mattered most, and where to turn back.

    Parameters
    ----------
    plan : Plan
        The piece of work.
    taken : tuple of (str, value)
        What was decided, and what was drawn beside it.
    """
    held = dict(taken)
    conditions, begun = plan.conditions(held), plan.begins(plan.conditions(held))
    usual = plan.steps({**held, **plan.sound})
    log = _done(conditions, begun, plan.steps(held))
    ends = plan.off(log[-1][2].state, conditions)

    def off(steps: Sequence[Step]) -> float:
        return plan.off(_done(conditions, begun, steps)[-1][2].state, conditions)

    gains = {
        name: ends - off(plan.steps({**held, name: value}))
        for name, value in plan.sound.items()
        if held[name] != value
    }
    good = off(usual) + MENDED
    moments = list(dict.fromkeys(step.moment for step in usual))
    for moment in reversed(moments):
        first = next(n for n, step in enumerate(usual) if step.moment == moment)
        if off([*plan.steps(held)[:first], *usual[first:]]) <= good:
            return Told(log, gains, max(gains, key=lambda name: gains[name]), moment)
    raise fault_error("classmate's run", "is not mended even from its beginning", str(taken))


def _done(
    conditions: Conditions, begun: State, steps: Sequence[Step]
) -> tuple[tuple[State, Deed, Outcome], ...]:
    state, log = begun, []
    for step in steps:
        if step.deed is None:
            continue
        deed = step.deed(state) if callable(step.deed) else step.deed
        outcome = act(conditions, state, deed)
        if outcome.refused or outcome.stop:
            raise fault_error(
                "classmate's run", "can't be done", str(deed), "", outcome.refused or outcome.stop
            )
        log.append((state, deed, outcome))
        state = outcome.state
    return tuple(log)
