"""The rows of an observation sheet, worked out for one kitchen from ``rows.toml``.

Each row belongs to a step of the method and to an outcome that only hands can show.
"""

from __future__ import annotations

import math
import tomllib
from collections.abc import Iterable
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Any

from calculators import coating
from calculators.cooling import time_rule, warm_between
from calculators.cooling.time_limits import ON_DISPLAY
from calculators.kitchen import Cake, Kitchen
from calculators.sources import table
from calculators.units import Quantity, q, say
from exercises.craft.method import method
from exercises.craft.plates import DISCLAIMER, Plate, glazes, of_state

MOST_ROWS, MOST_IN_THE_POUR = 14, 4  # what one observer can watch; common practice
WHEN = ("before", "boil", "blend", "pour", "after", "end")
SEEN, NOT_DONE, NOT_SEEN = "seen", "not done", "not seen by me"
ANSWERS = (SEEN, NOT_DONE, NOT_SEEN)
# The judgement of the whole beside the rows; it is never added to them.
JUDGEMENTS = ("not yet", "just", "sound", "could teach it")
PAN = q(5, "g")  # what a hot pan may lack after the boil; common practice
STANDARDS = 3  # plates on a sheet, as many as have room beside its numbers
COAT_BAND, OUT_BY = q(15, "percent"), q(1, "delta_degC")  # common practice
COVER = table("blending")["blade cover"].band().low  # a must asks for the least of the band


# --- what is held ---------------------------------------------------------------------


@dataclass(frozen=True)
class Limits:
    """What a lecturer decides for the rows; the rest is worked out from the kitchen.

    Parameters
    ----------
    coat_band : quantity
        How far the mass of a coat may be from the one planned, either way; a share.
    thermometer : quantity
        How far the thermometers may be out, delta_degC.
    cover : quantity
        Depth of glaze over the guard of the blade, cm.
    hold : quantity or None
        How long the school holds a warm glaze in all, h.

    The defaults are common practice; that of *cover* is the low end of its row in
    ``data/blending.csv``.
    """

    coat_band: Quantity = COAT_BAND
    thermometer: Quantity = OUT_BY
    cover: Quantity = COVER
    hold: Quantity | None = None


USUAL = Limits()


@dataclass(frozen=True)
class Row:
    """One thing to look for.

    Parameters
    ----------
    id, outcome, step : str
        Its short name, the outcome and the step of the method that it belongs to.
    when : str
        One of :data:`WHEN`.
    how : str
        *seen*, *measured*, *read* or *product*.
    says, look : str
        What is done, and what to look at.
    must : bool
        Whether it is a hurdle.
    """

    id: str
    outcome: str
    step: str
    when: str
    how: str
    says: str
    look: str
    must: bool = False


@dataclass(frozen=True)
class Band:
    """What the coat of a cake weighs, g; so many are weighed together on this scale."""

    cake: str
    together: int
    low: float
    high: float

    def __str__(self) -> str:
        """Return it as a row says it."""
        count = f"{self.together} × " if self.together > 1 else ""
        return f"{count}{self.cake} {self.low:g} to {self.high:g} g"


@dataclass(frozen=True)
class Standard:
    """A plate that shows a row done or not done, with its few words."""

    row: str
    plate: Plate
    says: str


# --- worked out -----------------------------------------------------------------------


def rows(kitchen: Kitchen, limits: Limits = USUAL, without: Iterable[str] = ()) -> list[Row]:
    """Return the rows of a kitchen, in the order of the work.

    Parameters
    ----------
    kitchen : Kitchen
        Its window, blade, scale, cakes, coat and colours.
    limits : Limits, optional
        What the lecturer decides.
    without : iterable of str
        Outcomes that this course does not teach.

    Returns
    -------
    list of Row
        At most 14, at most four of them during the pour.
    """
    gone = set(without)
    glaze = "marbled" if len(kitchen.jugs) > 1 and "bench-marble" not in gone else "plain"
    words = _words(kitchen, limits)
    made = []
    for row in _table()["row"]:
        if row["outcome"] in gone or row.get("glaze", glaze) != glaze:
            continue
        ready = method().step(row["step"]).ready
        made.append(
            Row(
                row["id"],
                row["outcome"],
                row["step"],
                row["when"],
                row["how"],
                row["says"].format(**words),
                row.get("look", ready).format(**words),
                row.get("must", False),
            )
        )
    return made


def bands(kitchen: Kitchen, limits: Limits = USUAL) -> list[Band]:
    """Return what the coat of each kind of cake may weigh.

    ``mass = area * coat``, more or less by the lecturer's band.  Each of two weighings
    may be a step of the scale out; where twice that is more than the band, several cakes
    are weighed together.

    Parameters
    ----------
    kitchen : Kitchen
        Its cakes, its coat in g/cm² and the step of its scale.
    limits : Limits, optional
        With the band.
    """
    if kitchen.coat is None:
        return []
    share, step = limits.coat_band.m_as(""), kitchen.scale.m_as("g")
    out: dict[str, Band] = {}
    for cake in kitchen.cakes:
        area = coating.area(coating.shape(cake.shape, cake.sizes))
        mass = area.m_as("cm**2") * kitchen.coat.m_as("g/cm**2")
        count = max(1, math.ceil(2 * step / (share * mass) - 1e-9))
        low, high = (mass * count * (1 + way * share) for way in (-1, 1))
        name = cake_named(cake)
        out[name] = Band(name, count, math.floor(low / step) * step, math.ceil(high / step) * step)
    return list(out.values())


def pan_may_lack(kitchen: Kitchen) -> Quantity:
    """Return what a pan may lack after the boil, g: two steps of the scale at the least."""
    return max(PAN, 2 * kitchen.scale)


def cake_named(cake: Cake) -> str:
    """Return a cake by its shape and sizes.

    >>> cake_named(Cake("dome", {"diameter": q(7, "cm")}, 24))
    'dome 7 cm'
    """
    return f"{cake.shape} {' × '.join(say(size) for size in cake.sizes.values())}"


def standards(kitchen: Kitchen, held: Iterable[Row]) -> list[Standard]:
    """Return the plates that say what the product should look like, three at most.

    They are of the shape that this kitchen glazes, where there is such a plate.
    """
    shapes = [cake.shape for cake in kitchen.cakes]
    ids = {row.id for row in held}
    marbled = "edges" in ids
    found = []
    for row in _table()["standard"]:
        if row["row"] not in ids:
            continue
        fit = sorted(
            of_state(row["state"]),
            key=lambda plate: (
                (len(glazes()[plate.glaze].shares) > 1) != marbled,
                plate.shape not in shapes[:1],
                plate.shape not in shapes,
            ),
        )
        found.append(Standard(row["row"], fit[0], row["says"]))
    return found[:STANDARDS]


def caption(held: Iterable[Standard]) -> str:
    """Return what is said once under the plates of a sheet; empty where there are none."""
    return DISCLAIMER if any(one.plate.caption.endswith(DISCLAIMER) for one in held) else ""


def hold_said(kitchen: Kitchen, limits: Limits = USUAL) -> str:
    """Return what the head of a sheet says on how long the glaze may be warm."""
    at = warm_between(kitchen.region)
    hold, rule = limits.hold, time_rule(kitchen.region)
    told = f"The log counts the time {at}."
    if rule is not None and rule.counts != ON_DISPLAY:  # by it the log is judged
        told += f" The law here gives a warm glaze {rule}."
        if hold is None:
            return told
    if hold is not None:
        return f"{told} This school holds a warm glaze for at most {say(hold)} in all."
    return f"{told} How long that may be: ask whoever decides here."


def _words(kitchen: Kitchen, limits: Limits) -> dict[str, str]:
    """Return the numbers that a row may name."""
    pan = pan_may_lack(kitchen)
    coats = "; ".join(map(str, bands(kitchen, limits)))
    return {
        "low": say(kitchen.window_low),
        "high": say(kitchen.window_high),
        "error": say(limits.thermometer),
        "cover": say(kitchen.blade + limits.cover),
        "margin": say(limits.cover),
        "pan": say(pan, "g"),
        "coats": coats or "as the lecturer has written it on the board",
    }


@cache
def _table() -> dict[str, Any]:
    return tomllib.loads(Path(__file__).with_name("rows.toml").read_text(encoding="utf-8"))
