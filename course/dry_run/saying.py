"""How an action of the dry run is said in a sentence."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from exercises.rehearsal.deeds import ACTIONS

# How what an action takes is said in a sentence, and beside its box.
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
