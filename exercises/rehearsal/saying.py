"""How actions, times and numbers of a run are said."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from exercises.rehearsal import actions  # noqa: F401 - they register themselves
from exercises.rehearsal.deeds import ACTIONS, settings_of
from exercises.rehearsal.judgement import Row

# How what an action takes is said in a sentence.
_SAID = {
    "minutes": "{} min",
    "grams": "{} g",
    "seconds": "{} s",
    "water": "{} g of water",
    "until": "until it shows {} °C",
    "bath": "in water of {} °C",
    "second": "{} % in each small jug",
    "lifted": "the guard {} cm above the bottom",
    "vessel": "the {}",
    "source": "the {}",
    "into": "into the {}",
    "where": "in the {}",
    "shade": "{}",
}


def sentence(deed: Mapping[str, Any]) -> str:
    """Return an action in words, with what it took."""
    said, values = ACTIONS[str(deed["do"])].says, ", ".join(_values(deed).values())
    return f"{said}: {values}" if values else said


def other_way(done: Mapping[str, Any], instead: Mapping[str, Any]) -> str:
    """Return in words how one action could be done in another way: only what is different."""
    if done["do"] != instead["do"]:
        return f"You did: {sentence(done)}. Instead: {sentence(instead)}."
    ours, theirs = _values(done), _values(instead)
    yours = [text for name, text in ours.items() if text != theirs.get(name)]
    method = [text for name, text in theirs.items() if text != ours.get(name)]
    said = ACTIONS[str(done["do"])].says
    return f"{said}. You: {', '.join(yours)}. Instead: {', '.join(method)}."


def _values(deed: Mapping[str, Any]) -> dict[str, str]:
    """Return what an action took, each in words, by its name."""
    held = settings_of(deed)
    if not held.get("until", 1):
        del held["until"]
    if held.get("where", "bath") != "bath":
        held.pop("bath", None)
    elif "bath" in held:
        held.pop("where", None)
    said = _SAID | ({"minutes": "at most {} min"} if "until" in held else {})
    return {
        name: said.get(name, "{}")
        .format(f"{value:g}" if isinstance(value, float | int) else value)
        .replace("in the bench", "on the bench")
        .replace("the jug ", "jug ")
        for name, value in held.items()
    }


def clock(minutes: float) -> str:
    """Return the time since the beginning, in words."""
    hours, rest = divmod(round(minutes), 60)
    return f"{hours} h {rest:02d} min" if hours else f"{rest} min"


def number(value: float) -> str:
    """Return a number of the cake, to two figures or whole."""
    return f"{value:.0f}" if abs(value) >= 10 or not value else f"{value:#.2g}"


def moves(moved: Sequence[tuple[Row, float]]) -> str:
    """Return in a line what numbers of the cake are, and what they would be."""
    return "; ".join(
        f"{row.name} {number(row.value)} → {number(then)} {row.unit}".strip() for row, then in moved
    )
