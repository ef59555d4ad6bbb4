"""What a run may find in the kitchen that nobody told: each is one small unit.

A surprise changes the conditions of a run and nothing else; which ones come is drawn from
the run's seed, or set by the lecturer.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

from calculators.faults import fault_error
from exercises.picking import pick
from exercises.rehearsal.state import JUG, Conditions, State, Vessel, rounded

Changes = Callable[[Conditions], Conditions]
DRAWN = 2  # surprises in a run
_QUESTION = "dry run"
_OLD_FROST = 60.0  # g/m² on cakes that were stored unwrapped: as much as this kitchen invents


@dataclass(frozen=True)
class Surprise:
    """One surprise: its name, what it was, said at the end, and what it changes."""

    name: str
    said: str
    changes: Changes


SURPRISES: dict[str, Surprise] = {}


def surprise(name: str, said: str) -> Callable[[Changes], Changes]:
    """Register a function as a surprise."""

    def keep(changes: Changes) -> Changes:
        SURPRISES[name] = Surprise(name, said, changes)
        return changes

    return keep


@surprise("thermometer", "The thermometer read 3 °C too high.")
def thermometer(conditions: Conditions) -> Conditions:
    """Ice water shows it."""
    return replace(conditions, thermometer=3.0)


@surprise("gelatin", "The leaves in the box were of a weaker grade than it says.")
def weaker_leaves(conditions: Conditions) -> Conditions:
    """Put leaves into the box that are weaker, and heavier each."""
    label = conditions.kitchen.gelatin_bloom.m_as("bloom")
    return replace(conditions, bloom=max(100.0, round(0.8 * label / 10) * 10))


@surprise(
    "wide jug", "The narrow jug was broken: in the wide one the glaze hardly covers the blade."
)
def wide_jug(conditions: Conditions) -> Conditions:
    """Make the same glaze stand lower."""
    return replace(conditions, jug=round(1.7 * conditions.jug, 1))


@surprise("warm room", "The room was warm: 30 °C.")
def warm_room(conditions: Conditions) -> Conditions:
    """Make it cool slowly, and frost gather faster."""
    return replace(conditions, room=30.0)


@surprise("frost", "The cakes had been stored unwrapped: white frost lay on them.")
def old_frost(conditions: Conditions) -> Conditions:
    """Put frost on the cakes that a glove takes off."""
    return replace(conditions, frost=_OLD_FROST)


@surprise("left out", "The base from the day before had stood on the bench overnight.")
def left_out(conditions: Conditions) -> Conditions:
    """Leave a milk base that nobody chilled on the bench."""
    return replace(conditions, left_out=True)


def drawn(seed: str) -> tuple[str, ...]:
    """Return the surprises that a seed brings, the same for ever."""
    left, out = list(SURPRISES), []
    for n in range(DRAWN):
        out.append(left.pop(pick(seed, _QUESTION, f"surprise {n}", 0, len(left))))
    return tuple(out)


def met(conditions: Conditions, names: Sequence[str]) -> Conditions:
    """Return the conditions after some surprises."""
    for name in names:
        if name not in SURPRISES:
            raise fault_error("surprise", "is not known", name, ", ".join(SURPRISES))
        conditions = SURPRISES[name].changes(conditions)
    return conditions


def beginning(conditions: Conditions) -> State:
    """Return the bench as the run begins."""
    if not conditions.left_out:
        return State(bath=conditions.room)
    overnight = 900.0  # min
    base = Vessel(
        lines=tuple((one.ingredient, one.mass.m_as("g")) for one in conditions.kitchen.formula),
        celsius=conditions.room,
        covered=True,
        history=((0.0, 60.0), (240.0, conditions.room), (overnight, conditions.room)),
    )
    return rounded(State(clock=overnight, vessels=((JUG, base),), bath=conditions.room))
