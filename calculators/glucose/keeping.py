"""How glucose syrup flows, freezes, dries and keeps."""

from __future__ import annotations

import math

from calculators.faults import Fault, FaultsError, fault_error
from calculators.glucose.tub import (
    BENCH,
    DE_RANGE,
    GLASSY_WATER,
    GLUCOSE,
    MOLAR,
    SUCROSE,
    SYRUP,
    Syrup,
    syrup_of,
)
from calculators.sources import records
from calculators.units import (
    FROM_MEMORY,
    Band,
    Measure,
    OneOf,
    Quantity,
    calculator,
    interpolate,
    q,
    say,
)
from calculators.water import KELVIN, MOLAR_MASS

# --- how it flows, freezes, dries and keeps -----------------------------------


@calculator(returns="a band in Pa s", syrup=SYRUP, temperature=Measure("degC", 27, 71))
def viscosity(syrup: Syrup | str, temperature: Quantity) -> Band:
    """Return how thick a confectioner's glucose syrup is.

    Read between remembered points, straight in ln(viscosity) against 1/T.

    Parameters
    ----------
    syrup : Syrup or str
        About 80 % solids (79 to 81.5) and 42 DE (38 to 46), or a tub of that kind.
    temperature : quantity
        Of the syrup (27 to 71 °C).

    Returns
    -------
    Band
        In Pa s, a factor of two either way; from memory.

    Examples
    --------
    >>> say(viscosity("confectioner", q(60, "degC")).typical)
    '2 Pa s'

    Notes
    -----
    *Watch out*: from 27 to 60 °C it gets nearly thirty times thinner. Warm the tub in
    a water bath rather than wet the spoon.

    Source: from memory; ``data/glucose_viscosity.csv``.
    """
    held = syrup_of(syrup)
    known = 79 <= held.solids.m <= 81.5 and 38 <= held.dextrose_equivalent.m <= 46
    if not known:
        raise fault_error(
            "viscosity, syrup",
            "is not one whose thickness we know",
            held,
            "It must be of 79 to 81.5 % solids and 38 to 46 DE",
            "Ask the maker for its data sheet",
        )
    points = sorted(
        (1 / (float(r["celsius"]) + KELVIN), math.log(float(r["viscosity"])))
        for r in records("glucose_viscosity")
    )
    inverse = min(max(1 / (temperature.m + KELVIN), points[0][0]), points[-1][0])
    typical = math.exp(interpolate(inverse, points))
    factor = BENCH["viscosity factor"].quantity.m
    return Band(
        q(typical / factor, "Pa*s"),
        q(typical, "Pa*s"),
        q(typical * factor, "Pa*s"),
        FROM_MEMORY,
        BENCH["viscosity factor"].note,
    )


BY_MOLECULES = "by molecules"
BY_EQUIVALENT = "by dextrose equivalent"


@calculator(returns="", dextrose_equivalent=DE_RANGE, counted=OneOf(BY_MOLECULES, BY_EQUIVALENT))
def freezing_factor(dextrose_equivalent: Quantity, counted: str = BY_MOLECULES) -> Quantity:
    """Return how much glucose solids lower the freezing point, beside sucrose as 1.

    By molecules: ``342.30 / mean molar mass``.  By dextrose equivalent: ``DE / 100``.

    Parameters
    ----------
    dextrose_equivalent : quantity
        3 to 100 %.
    counted : str
        ``"by molecules"`` (physics, and the trade's tables) or ``"by dextrose
        equivalent"`` (some mix sheets for ice cream).

    Returns
    -------
    quantity
        A plain number, for equal masses of solids.

    Examples
    --------
    >>> say(freezing_factor(q(42, "percent")), digits=2)
    '0.8'
    >>> say(freezing_factor(q(42, "percent"), "by dextrose equivalent"))
    '0.42'

    Notes
    -----
    *Watch out*: the two differ by a factor of two. Physics counts molecules, and that
    is followed here unless you ask; the mix sheet counts only what reduces copper, as
    if it were sucrose.

    Source: definition; the sheet's rule as in [goff-freezing], from memory.
    """
    if counted == BY_EQUIVALENT:
        return q(dextrose_equivalent.m / 100, "")
    return q(SUCROSE / (100 * GLUCOSE / dextrose_equivalent.m), "")


@calculator(returns="a band, plain numbers", syrup=SYRUP)
def water_activity(syrup: Syrup | str) -> Band:
    """Return how much of a syrup's water is free for moulds and yeasts, at 25 °C.

    ``aw = x_water * exp(K * x_solids ** 2)`` (Norrish), x by molecules; K goes straight
    from -3.81 at 42 DE to -2.25 for pure glucose.

    Parameters
    ----------
    syrup : Syrup or str
        The syrup (20 to 100 DE), or the name of a tub in :data:`TUBS`.

    Returns
    -------
    Band
        0.04 either way.

    Examples
    --------
    >>> say(water_activity("confectioner").typical, digits=2)
    '0.79'

    Notes
    -----
    *Watch out*: two constants for 42 DE are remembered, -2.31 and -5.31; they give
    0.82 and 0.77 at 80 % solids. The middle is followed. A home pack of 60 % has far
    more free water than a tub of 80 %: it keeps in the fridge once open.

    Source: [norrish1966]; constants from memory, [chirife1982] for pure glucose;
    ``data/glucose_bench.csv``.
    """
    held = syrup_of(syrup)
    equivalent = held.dextrose_equivalent.m
    faults = []
    if equivalent < 20:
        faults.append(
            Fault(
                "water_activity, syrup",
                "has a dextrose equivalent below what we know",
                say(held.dextrose_equivalent, digits=6),
                "It must be from 20 to 100 %",
                "Have it measured",
            )
        )
    if held.solids.m > 85:
        faults.append(
            Fault(
                "water_activity, syrup",
                "is drier than the formula holds for",
                say(held.solids, digits=6),
                "It must be at most 85 % solids",
                "Have it measured",
            )
        )
    if faults:
        raise FaultsError(faults)
    at_42 = BENCH["norrish at 42 DE"].quantity.m
    pure = MOLAR["glucose norrish"].quantity.m
    constant = pure + (at_42 - pure) * (100 - equivalent) / (100 - 42)
    chains = held.solids.m / (100 * GLUCOSE / equivalent)
    x = chains / (chains + (100 - held.solids.m) / MOLAR_MASS)
    typical = (1 - x) * math.exp(constant * x * x)
    either_way = BENCH["water activity band"].quantity.m
    return Band(
        q(typical - either_way, ""),
        q(typical, ""),
        q(min(typical + either_way, 1.0), ""),
        FROM_MEMORY,
        "two remembered constants disagree",
    )


_GLASS = {row["solid"]: row for row in records("glucose_glass")}
_GLASS_SUGARS = ("sucrose", "glucose", "fructose", "maltose")
_DRY = Measure("percent", 0, 40)


@calculator(returns="a band in °C", water=_DRY, sugar=OneOf(*_GLASS_SUGARS))
def glass_transition(water: Quantity, sugar: str = "sucrose") -> Band:
    """Return where boiled sugar turns from glass to a sticky mass.

    ``T = (w1*T1 + k*w2*T2) / (w1 + k*w2)`` in kelvin (Gordon and Taylor): sugar 1,
    water 2 with T2 = 138 K.

    Parameters
    ----------
    water : quantity
        Water left in it (0 to 40 %).
    sugar : str
        ``"sucrose"``, ``"glucose"``, ``"fructose"`` or ``"maltose"``.

    Returns
    -------
    Band
        In °C, 4 °C either way; from memory.

    Examples
    --------
    Pulled sugar with 2 % of water, a warm day and a damp one:

    >>> say(glass_transition(q(2, "percent")).typical, digits=2)
    '45 °C'
    >>> say(glass_transition(q(5, "percent")).typical, digits=2)
    '23 °C'

    Notes
    -----
    *Watch out*: three percent of water taken from damp air cost over 20 °C: that is
    why sugar work sags. Replacing up to half of the sucrose by glucose syrup hardly
    moves this point; it slows the change (a study of 2007 in the Journal of Food
    Engineering, volume 81, read as abstract).

    Source: constants of [roos1993], from memory; ``data/glucose_glass.csv``.
    """
    row = _GLASS[sugar]
    return _glass(water.m, float(row["celsius"]), float(row["k"]))


@calculator(returns="a band in °C", water=_DRY, dextrose_equivalent=Measure("percent", 5, 100))
def glass_transition_of_syrup(water: Quantity, dextrose_equivalent: Quantity) -> Band:
    """Return where dried or boiled-down glucose syrup turns from glass to a sticky mass.

    As :func:`glass_transition`, its constants read between the rows by dextrose
    equivalent.

    Parameters
    ----------
    water : quantity
        Water left in it (0 to 40 %).
    dextrose_equivalent : quantity
        5 to 100 %.

    Returns
    -------
    Band
        In °C, 4 °C either way at the rows; from memory.

    Examples
    --------
    >>> say(glass_transition_of_syrup(q(0, "percent"), q(36, "percent")).typical)
    '100 °C'

    Notes
    -----
    *Watch out*: shorter chains, lower point: a syrup of high dextrose equivalent
    makes a stickier sweet. A formula by molar mass alone that goes round (243 less
    52,800 over M) does not give these values and is not used.

    Source: constants of [roos1993], from memory; ``data/glucose_glass.csv``.
    """
    rows = sorted(
        (float(r["dextrose_equivalent"]), float(r["celsius"]), float(r["k"]))
        for r in _GLASS.values()
        if r["dextrose_equivalent"]
    )
    celsius = interpolate(dextrose_equivalent.m, [(de, t) for de, t, _ in rows])
    k = interpolate(dextrose_equivalent.m, [(de, k) for de, _, k in rows])
    return _glass(water.m, celsius, k)


# --- helpers ------------------------------------------------------------------


def _glass(water: float, celsius: float, k: float) -> Band:
    dry = 100 - water
    point = (dry * (celsius + KELVIN) + k * water * GLASSY_WATER) / (dry + k * water)
    either_way = BENCH["glass transition band"].quantity.m
    return Band(
        q(point - KELVIN - either_way, "degC"),
        q(point - KELVIN, "degC"),
        q(point - KELVIN + either_way, "degC"),
        FROM_MEMORY,
        "constants are remembered, and the point depends on how fast it is heated",
    )
