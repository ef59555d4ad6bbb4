"""How far a mixture's answer is to be trusted, in ln(water activity).

Independent doubts (the scatter of the data, the solids of the tubs, their dextrose
equivalent) add as squares; what the other models say, and the salts, come on top.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from functools import cache
from typing import NamedTuple

from calculators.mixture.composition import Inside
from calculators.mixture.model import log_activity, second_opinions, solids, value
from calculators.units import interpolate
from calculators.water import MOLAR_MASS


class Activity(NamedTuple):
    """The logarithm of a water activity: its typical value, and the ends around it."""

    low: float
    typical: float
    high: float


def scatter(name: str, strength: float) -> float:
    """Return the share by which data on ln(aw) miss each other: hot or cold."""
    usual, strong = _scatter(name)
    known = ((0.0, usual), (_RISES[name], usual), (90.0, strong), (100.0, strong))
    return interpolate(strength, known) / 100


_RISES = {"hot": 85.0, "cold": 75.0}  # percent solids, as the rows of the table say


@cache
def _scatter(name: str) -> tuple[float, float]:
    usual, strong = f"{name} scatter", f"{name} scatter when strong"
    return value(usual, "mixture_bench"), value(strong, "mixture_bench")


def typical(inside: Inside, water: float, t: float) -> float:
    """Return ln(aw) with the salts that are usual."""
    return log_activity(inside.parts, water, t) - _salts(inside.salts[1], water)


def activity(inside: Inside, t: float, share: float) -> Activity:
    """Return ln(aw) with its ends; share is the scatter of the data on it."""
    here = log_activity(inside.parts, inside.water, t)
    few, usual, many = (_salts(n, inside.water) for n in inside.salts)
    apart = second_opinions(inside.parts, inside.water, t)
    alone = math.sqrt((share * here) ** 2 + _of_labels(inside, t, here) ** 2)
    middle = here - usual
    low = here - many + min((0.0, *apart)) - alone
    high = here - few + max((0.0, *apart)) + alone
    return Activity(low, middle, min(high, 0.0))


def _salts(moles: float, water: float) -> float:
    return math.log1p(moles * MOLAR_MASS / water) if moles else 0.0


def _of_labels(inside: Inside, t: float, here: float) -> float:
    """Return what the doubt of solids and of dextrose equivalents makes of ln(aw)."""
    water, total = inside.water, 0.0
    if inside.doubt and inside.grams:
        moved = min(inside.doubt, water / 2)
        more = 1 + moved / inside.grams
        drier = [(kind, g * more) for kind, g in inside.parts]
        if solids(drier, water - moved) < 99:
            total += (log_activity(drier, water - moved, t) - here) ** 2
    if inside.finer != inside.coarser:
        ends: Sequence[float] = [
            log_activity(parts, water, t) - here for parts in (inside.finer, inside.coarser)
        ]
        total += max(end * end for end in ends)
    return math.sqrt(total)
