"""Where gelatin sets and melts in a glaze that is two thirds sugar.

Sugar takes water away from the gelatin: it sets and melts warmer than in water, by
degrees that nobody has tabled for a glaze.  A gel that has matured overnight melts
warmer than a fresh one; a film chilled in seconds sets colder than a slow pot.

**These bands are not made to meet the pouring window.**  For the usual formula the
typical setting point comes out a little below 31 °C, its band from well below to just
above the window.  So they do not contradict each other, nor does one prove the other:
a glaze of 28 °C may be too thick before it is set, because its syrup thickens and
chains begin to cluster, and a jug is not a slow laboratory ramp.  If your own glaze ropes or lumps at a temperature, believe it.
"""

from __future__ import annotations

from collections.abc import Iterable

from calculators import gelatin
from calculators.sources import table
from calculators.units import FROM_MEMORY, Band, Measure, OneOf, Quantity, calculator

_TABLE = table("gelatin_sugar")
_FULL = 70.0  # % sugars, to which the remembered lift belongs
_BLOOM = Measure("bloom", 100, 250)
_SHARE = Measure("percent", 1, 15)
_SUGAR = Measure("percent", 0, 80)
SLOW, QUICK = "slow", "within seconds"
FRESH, MATURED = "fresh", "matured"


@calculator(returns="a band in delta_degC", sugar=_SUGAR)
def lift(sugar: Quantity) -> Band:
    """Return how much warmer gelatin sets and melts because of sugar.

    ``lift = lift at 70 % * (sugar / 70 %) ** power``

    Parameters
    ----------
    sugar : quantity
        All sugars in sugars and water, %, 0 to 80.

    Returns
    -------
    Band
        A difference in °C, from memory.

    Examples
    --------
    >>> print(lift(q(69, "percent")))
    2.91 °C to 13.8 °C, typically 7.83 °C

    Notes
    -----
    *Watch out*: that it rises is measured, how far is remembered.  Beside much syrup
    of low DE, 6 % of gelatin and more may part from it and cloud
    [gelatin-syrup2023]: no rule here holds then.

    Sources: direction [fluids7-163], abstract; numbers from memory.
    """
    share = sugar.m / _FULL
    size, power = _TABLE["lift at full sugar"], _TABLE["lift power"]
    ends = [end * share**n for end in size.three for n in power.three]
    usual = size.three[1] * share ** power.three[1]
    return _band([min(ends), usual, max(ends)], "delta_degC")


@calculator(
    returns="a band in °C",
    gelatin_in_water=_SHARE,
    bloom=_BLOOM,
    sugar=_SUGAR,
    cooled=OneOf(SLOW, QUICK),
)
def setting_point(
    gelatin_in_water: Quantity, bloom: Quantity, sugar: Quantity, cooled: str = SLOW
) -> Band:
    """Return where a sugared gelatin glaze begins to set.

    ``gelatin.setting_point + lift(sugar)``, less the fall of quick setting.

    Parameters
    ----------
    gelatin_in_water : quantity
        Dry gelatin in gelatin and water, %, 1 to 15.
    bloom : quantity
        100 to 250 bloom.
    sugar : quantity
        All sugars in sugars and water, %, 0 to 80.
    cooled : str
        ``"slow"`` as in a jug, or ``"within seconds"`` as on a frozen cake.

    Returns
    -------
    Band
        °C; each doubt counted once, together as the root of their squares.

    Examples
    --------
    >>> print(setting_point(q(4.6, "percent"), q(200, "bloom"), q(69, "percent")))
    23.9 °C to 35.6 °C, typically 29.3 °C

    Notes
    -----
    *Watch out*: it is no pouring temperature; a glaze is poured some degrees above
    the point at which it begins to thicken by itself.

    Sources: :func:`gelatin.setting_point`, :func:`lift`; the fall from memory.
    """
    parts = [(1, gelatin.setting_point(gelatin_in_water, bloom)), (1, lift(sugar))]
    if cooled == QUICK:
        parts.append((-1, _row("fall of quick setting")))
    return _sum(parts)


@calculator(
    returns="a band in °C",
    gelatin_in_water=_SHARE,
    bloom=_BLOOM,
    sugar=_SUGAR,
    age=OneOf(FRESH, MATURED),
)
def melting_point(
    gelatin_in_water: Quantity, bloom: Quantity, sugar: Quantity, age: str = MATURED
) -> Band:
    """Return where a set glaze melts again.

    ``gelatin.melting_point + lift(sugar)``, and the lift by maturing.

    Parameters
    ----------
    gelatin_in_water, bloom, sugar
        As in :func:`setting_point`.
    age : str
        ``"fresh"``, or ``"matured"`` overnight in the fridge.

    Returns
    -------
    Band
        °C, each doubt counted once.

    Examples
    --------
    >>> matured = melting_point(q(4.6, "percent"), q(200, "bloom"), q(69, "percent"))
    >>> fresh = melting_point(q(4.6, "percent"), q(200, "bloom"), q(69, "percent"), "fresh")
    >>> matured.typical > fresh.typical > q(34, "degC")
    True

    Notes
    -----
    *Watch out*: warm a matured glaze well above this, and stir: lumps that float in a
    glaze of the right temperature have not melted yet.

    Sources: :func:`gelatin.melting_point`, :func:`lift`; maturing from memory.
    """
    parts = [(1, gelatin.melting_point(gelatin_in_water, bloom)), (1, lift(sugar))]
    if age == MATURED:
        parts.append((1, _row("lift by maturing")))
    return _sum(parts)


# --- helpers ---------------------------------------------------------------------------


def _row(name: str) -> Band:
    return _band(_TABLE[name].three, _TABLE[name].unit)


def _sum(parts: list[tuple[int, Band]]) -> Band:
    """Add bands with their signs; doubts that have nothing to do with each other."""
    usual = sum(sign * part.typical.m for sign, part in parts)
    down = up = 0.0
    for sign, part in parts:
        below, above = part.typical.m - part.low.m, part.high.m - part.typical.m
        down += (below if sign > 0 else above) ** 2
        up += (above if sign > 0 else below) ** 2
    return _band([usual - down**0.5, usual, usual + up**0.5], "degC")


def _band(ends: Iterable[float], unit: str) -> Band:
    why = "gelatins differ, and how far sugar lifts the point is remembered, not read"
    return Band.of(ends, unit, FROM_MEMORY, why)
