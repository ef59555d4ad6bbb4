"""How a mirror glaze is made and poured, read from ``method.toml``.

Plans, cards and the lesson take their steps from here; numbers that depend on a kitchen
stand there by name and are worked out by whoever prints them.
"""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from types import MappingProxyType
from typing import Any

from calculators.units import Quantity, q, read

# Common practice of teaching kitchens.
SPARE_WARMTH = 8.0  # °C above the window, lost while blending and colouring
WARMER_BATH = 15.0  # °C by which the warm bath is above its target
INTO_COLD_BATH = q(60, "degC")

# The masses that a step may name.
MASSES = (
    "formula",
    "gelatin",
    "soak",
    "pan",
    "bowl",
    "batch",
    "jugs",
    "colour",
    "layers",
    "cake",
)
# The temperatures that depend on the kitchen; any other is a quantity.
TEMPERATURES = (
    "freezer",
    "fridge",
    "display",
    "window",
    "warm to",
    "pan boils",
    "out of bath",
    "cold",
)


@dataclass(frozen=True)
class Step:
    """A step of the method.

    Parameters
    ----------
    number : int
        From 1, on its day.
    id, title : str
        What a plan calls it, and what is done.
    does : tuple of str
        How, short sentences.
    mass : tuple of str
        Of :data:`MASSES`.
    temperature : str
        One of :data:`TEMPERATURES` or a quantity; empty where it doesn't matter.
    minutes : quantity or None
        Of hands; None where a plan works it out.
    ready, too_much, too_little : str
        The look that says so; the last two may be empty.
    caution : tuple of str
        Ids of the cautions.
    lesson : str
        Where it is explained.
    """

    number: int
    id: str
    title: str
    does: tuple[str, ...]
    ready: str
    lesson: str
    caution: tuple[str, ...] = ()
    mass: tuple[str, ...] = ()
    temperature: str = ""
    minutes: Quantity | None = None
    too_much: str = ""
    too_little: str = ""

    @property
    def degrees(self) -> Quantity | None:
        """The temperature, where it is the same in every kitchen."""
        if not self.temperature or self.temperature in TEMPERATURES:
            return None
        return read(self.temperature, "degC")


@dataclass(frozen=True)
class Stroke:
    """The one way to pour a shape: where it starts, what the jug does, when it stops."""

    shapes: tuple[str, ...]
    starts: str
    stroke: str
    stops: str
    watch: str


@dataclass(frozen=True)
class Dispute:
    """What people disagree on: what speaks for each side, and what this course does."""

    about: str
    one: str
    other: str
    we: str


@dataclass(frozen=True)
class Method:
    """The whole method.

    Parameters
    ----------
    day_before, day : tuple of Step
        In their order.
    strokes : mapping of str to Stroke
        By the shape of the cake.
    disputes : tuple of Dispute
        Said as such.
    """

    day_before: tuple[Step, ...]
    day: tuple[Step, ...]
    strokes: Mapping[str, Stroke]
    disputes: tuple[Dispute, ...]

    def step(self, id: str) -> Step:
        """Return a step of either day by its id.

        >>> method().step("pour").title
        'Pour'
        """
        return next(step for step in (*self.day_before, *self.day) if step.id == id)


@cache
def method() -> Method:
    """Return the method of the house.

    >>> method().strokes["dome"].starts
    'the crown'
    """
    text = Path(__file__).with_name("method.toml").read_text(encoding="utf-8")
    held = tomllib.loads(text)
    strokes = [Stroke(**_tuples(row)) for row in held["pour"]]
    return Method(
        _steps(held["day_before"]),
        _steps(held["day"]),
        MappingProxyType({shape: stroke for stroke in strokes for shape in stroke.shapes}),
        tuple(Dispute(**row) for row in held["dispute"]),
    )


def _steps(rows: list[dict[str, Any]]) -> tuple[Step, ...]:
    made = []
    for number, row in enumerate(rows, 1):
        given = _tuples(row)
        if "minutes" in given:
            given["minutes"] = q(given["minutes"], "min")
        made.append(Step(number, **given))
    return tuple(made)


def _tuples(row: dict[str, Any]) -> dict[str, Any]:
    return {key: tuple(v) if isinstance(v, list) else v for key, v in row.items()}
