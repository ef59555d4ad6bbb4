"""The method's own decisions for a kitchen: what a run is compared with, never a script.

Guided runs say these steps one by one and ask why.  The decisions are common practice; the
numbers in them come from the kitchen.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Any

from calculators import gelatin
from calculators.units import q
from exercises.rehearsal import consequences as follows
from exercises.rehearsal.state import BATH, BENCH, FRIDGE, JUG, PAN, Conditions, Vessel

Deed = dict[str, Any]
IN_PAN = ("water", "sugar", "glucose syrup", "acid", "fruit", "glaze")
_GELATIN_GOES_IN, _REWARMED, _NIGHT = 72, 40, 840  # °C, °C, min: common practice


@dataclass(frozen=True)
class Step:
    """One decision of the method, the reason for it, and the lesson that gives the reason.

    Where no lesson is named, it is the one that teaches the action.
    """

    deed: Deed
    why: str
    lesson: str = ""


def method(conditions: Conditions) -> list[Step]:
    """Return the method for these conditions, from the thermometer to the board."""
    kitchen = conditions.kitchen
    lines = [(one.ingredient, one.mass.m_as("g")) for one in kitchen.formula]
    leaf, wanted = next(
        ((n, g) for n, g in lines if follows.kind(n) == "gelatin"), ("gelatin leaf", 0.0)
    )
    asked = kitchen.gelatin_wanted_bloom or kitchen.gelatin_bloom
    rule = "leaf for leaf" if "leaf" in leaf else "square root"
    grams = wanted
    if wanted:
        swapped = gelatin.swap(q(wanted, "g"), asked, q(conditions.bloom, "bloom"), rule)
        grams = round(swapped.m_as("g"), 1)
    plain = sum(g for n, g in lines if n == "water")
    soak = min(round(5 * grams), round(0.6 * plain))
    pan = [(n, g) for n, g in lines if follows.kind(n) in IN_PAN]
    pan = [(n, g - soak if n == "water" else g) for n, g in pan]
    rest = [(n, g) for n, g in lines if follows.kind(n) not in IN_PAN]
    rest = [(n, g) for n, g in rest if follows.kind(n) != "gelatin"]
    boil = math.ceil(follows.boils(Vessel(lines=tuple(pan)), kitchen))
    window = (kitchen.window_low.m_as("degC") + kitchen.window_high.m_as("degC")) / 2
    total = sum(g for _, g in lines)
    steps: list[tuple[Any, ...]] = [
        ({"do": "check thermometer"}, "A reading that is off by three degrees misses the window."),
        ({"do": "read box"}, "The grade decides how much to weigh."),
    ]
    if conditions.left_out:
        steps.append(
            (
                {"do": "throw away", "vessel": JUG},
                "A milk base that stood warm overnight is unsafe.",
            )
        )
    if grams:
        soaked = {"do": "soak", "what": leaf, "grams": grams, "water": float(soak), "minutes": 12.0}
        steps.append((soaked, "Soaked through in cold water it melts without lumps."))
    steps += [
        (
            {"do": "weigh", "what": n, "into": JUG, "grams": g},
            "Everything stands ready before it boils.",
            "make-it",
        )
        for n, g in rest
    ]
    steps += [
        (
            {"do": "weigh", "what": n, "into": PAN, "grams": g},
            "Water first, then sugar, then syrup.",
            "make-it",
        )
        for n, g in pan
    ]
    steps += [
        ({"do": "check pan"}, "Syrup boils up and sticks where it splashes."),
        ({"do": "cold water"}, "A burn is cooled at once."),
        (
            {"do": "heat", "vessel": PAN, "until": float(boil)},
            "At the boil the sugar is dissolved.",
        ),
        ({"do": "take off", "hand": "from the side"}, "Steam burns deeper than water."),
        (
            {
                "do": "cool",
                "vessel": PAN,
                "where": BENCH,
                "until": float(_GELATIN_GOES_IN),
                "minutes": 60.0,
            },
            "Above 80 °C gelatin loses strength.",
            "gelatin-care",
        ),
    ]
    if grams:
        steps.append(
            (
                {"do": "add gelatin", "vessel": PAN, "hand": "from the side"},
                "At 50 to 80 °C it melts well.",
            )
        )
    steps += [
        ({"do": "combine", "source": PAN, "into": JUG}, "The warmth melts the chocolate."),
        (
            {"do": "blend", "vessel": JUG, "seconds": 60.0, "lifted": 0.0},
            "With the guard well under the surface it draws no air.",
        ),
        ({"do": "sieve", "vessel": JUG}, "The sieve holds strings and bursts bubbles."),
        ({"do": "cover", "vessel": JUG, "hand": "from the side"}, "Film keeps skin and dew away."),
        (
            {
                "do": "cool",
                "vessel": JUG,
                "where": BATH,
                "bath": 1.0,
                "until": 8.0,
                "minutes": 90.0,
            },
            "Ice water takes the heat away in minutes; a fridge takes hours.",
            "what-can-hurt",
        ),
        (
            {"do": "cool", "vessel": JUG, "where": FRIDGE, "minutes": float(_NIGHT)},
            "Overnight the air leaves and the gelatin matures.",
            "blending",
        ),
        (
            {
                "do": "rewarm",
                "vessel": JUG,
                "bath": 60.0,
                "until": float(_REWARMED),
                "minutes": 120.0,
            },
            "Above its melting point no lump is left.",
            "gelatin-care",
        ),
        ({"do": "split", "second": 25.0}, "Half for the ground, a quarter for each vein."),
        (
            {"do": "colour", "vessel": "jug 2", "kind": "gel or paste", "shade": "pink"},
            "Gel goes in without specks.",
        ),
        (
            {"do": "colour", "vessel": "jug 3", "kind": "gel or paste", "shade": "green"},
            "Gel goes in without specks.",
        ),
        (
            {"do": "one bath", "bath": round(window, 1), "minutes": 30.0},
            "Small jugs cool faster; one bath brings all to one thickness.",
        ),
        ({"do": "layer"}, "Equally thick, they stay side by side."),
        (
            {
                "do": "cool",
                "vessel": JUG,
                "where": BATH,
                "bath": round(window, 1),
                "until": 0.0,
                "minutes": 5.0,
            },
            "The window of this formula is where it covers and levels.",
        ),
        ({"do": "trial pour", "vessel": JUG}, "An offcut tells what no thermometer does."),
        ({"do": "take cakes out"}, "Out at the last moment: frost gathers by the minute."),
        ({"do": "wipe"}, "On frost a glaze slides."),
        (
            {"do": "pour", "vessel": JUG, "grams": float(round(total))},
            "One stroke; the tray catches the rest.",
        ),
        ({"do": "tap"}, "It levels while it is liquid."),
        ({"do": "trim"}, "A foot that sets can't be trimmed."),
        ({"do": "plate"}, "Set on its board before it is soft."),
    ]
    return [Step(*row) for row in steps]
