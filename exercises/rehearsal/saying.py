"""How actions, times and numbers of a run are said."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from exercises.rehearsal import actions  # noqa: F401 - they register themselves
from exercises.rehearsal.deeds import ACTIONS

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
    found = ACTIONS[str(deed["do"])]
    held = {name: deed.get(name, takes.start) for name, takes in found.takes.items()}
    if not held.get("until", 1):
        del held["until"]
    if held.get("where", "bath") != "bath":
        held.pop("bath", None)
    elif "bath" in held:
        held.pop("where", None)
    said = _SAID | ({"minutes": "at most {} min"} if "until" in held else {})
    values = [
        said.get(name, "{}").format(f"{value:g}" if isinstance(value, float | int) else value)
        for name, value in held.items()
    ]
    text = f"{found.says}: {', '.join(values)}" if values else found.says
    return text.replace("in the bench", "on the bench").replace("the jug ", "jug ")


def clock(minutes: float) -> str:
    """Return the time since the beginning, in words."""
    hours, rest = divmod(round(minutes), 60)
    return f"{hours} h {rest:02d} min" if hours else f"{rest} min"


def number(value: float) -> str:
    """Return a number of the cake, to two figures or whole."""
    return f"{value:.0f}" if abs(value) >= 10 else f"{value:.2g}"
