"""How firm a gel is, and where it melts and sets."""

from __future__ import annotations

import math

from calculators.gelatin.grades import BENCH, BLOOM, BLOOM_TEST
from calculators.sources import table
from calculators.units import FROM_MEMORY, Band, Measure, Quantity, calculator, interpolate, q
from calculators.water import GAS_IN_KJ, KELVIN

_TEST_SHARE = 100 * (
    BLOOM_TEST["gelatin"].quantity.m
    / (BLOOM_TEST["gelatin"].quantity.m + BLOOM_TEST["water"].quantity.m)
)  # 6.67 % by mass


# --- how much gelatin is in it, and how firm it sets --------------------------


@calculator(returns="percent", gelatin=Measure("g", 0), water=Measure("g", above=0))
def solution(gelatin: Quantity, water: Quantity) -> Quantity:
    """Return the concentration of gelatin dissolved in water.

    ``concentration = 100 * gelatin / (gelatin + water)``

    Parameters
    ----------
    gelatin : quantity
        Dry gelatin (g).
    water : quantity
        All the water, that of soaking included (g, above zero).

    Returns
    -------
    quantity
        Percent by mass of the whole.

    Examples
    --------
    The jar of the bloom test:

    >>> say(solution(q(7.5, "g"), q(105, "g")))
    '6.67 %'

    Notes
    -----
    *Watch out*: of the *whole*, not of the water: 7.5 g on 105 g is 6.67 % and not
    7.14 %.

    Source: definition; the jar is that of [bloom-test].
    """
    return q(100 * gelatin.m / (gelatin.m + water.m), "percent")


@calculator(returns="a band in bloom", concentration=Measure("percent", 0.5, 15), bloom=BLOOM)
def gel_strength(concentration: Quantity, bloom: Quantity) -> Band:
    """Return how firm a gel sets, as the bloom that would feel the same in the test.

    ``strength = bloom * (c / 6.67 %) ** n``, n = 2 by the rule and 1.7 to 2.0 measured.

    Parameters
    ----------
    concentration : quantity
        Gelatin in percent of the whole (0.5 to 15 %).
    bloom : quantity
        Bloom of the gelatin (50 to 300 bloom).

    Returns
    -------
    Band
        In bloom; *typical* is the rule's own number (n = 2).

    Examples
    --------
    Half the concentration leaves a quarter of the strength:

    >>> say(gel_strength(q(10 / 3, "percent"), q(250, "bloom")).typical)
    '62.5 bloom'

    Notes
    -----
    *Watch out*: twice the gelatin is about four times as firm, not twice. Water gels
    at 10 °C after 17 hours; sugar, milk and fat in a glaze move the number.

    Source: 6.67 %: [bloom-test]. Rule and exponent: common practice.
    """
    power = BENCH["strength exponent"]
    share = concentration.m / _TEST_SHARE
    low, high = sorted(bloom.m * share**n for n in power.ends)
    return Band.of(
        (low, bloom.m * share**power.quantity.m, high),
        "bloom",
        power.provenance,
        "the exponent is 2 by the rule and 1.7 to 2.0 when measured",
    )


# --- melting and setting ------------------------------------------------------

_BLOOMS = (100.0, 150.0, 200.0, 250.0)
_GEL = {"concentration": Measure("percent", 1, 15), "bloom": Measure("bloom", 100, 250)}


@calculator(returns="a band in °C", **_GEL)
def melting_point(concentration: Quantity, bloom: Quantity) -> Band:
    """Return where a gelatin gel melts.

    ``1/T = 1/T10 - (R/H) * ln(c / 10 %)``, in kelvin; T10 is the point at 10 %.

    Parameters
    ----------
    concentration : quantity
        Gelatin in percent of the whole (1 to 15 %).
    bloom : quantity
        Bloom of the gelatin (100 to 250 bloom).

    Returns
    -------
    Band
        In °C, for water; from memory, about 3 °C either way.

    Examples
    --------
    >>> print(melting_point(q(10, "percent"), q(200, "bloom")))
    29 °C to 33 °C, typically 31 °C

    Notes
    -----
    *Watch out*: sources disagree for weak gels: this equation puts a 2 % gel 5 °C
    below a 10 % gel, bench memory says 1 to 3 °C. The equation is followed; the top
    of the band leans towards the bench. Sugar raises the point further:
    ``gelatin_sugar.melting_point``.

    Source: form: [eldridge-ferry1954]; its 200 to 230 kJ/mol and the points at 10 %:
    from memory, ``data/gelatin_melting.csv``.
    """
    return _gel_point("melts", concentration.m, bloom.m)


@calculator(returns="a band in °C", **_GEL)
def setting_point(concentration: Quantity, bloom: Quantity) -> Band:
    """Return where a gelatin solution begins to set when it cools slowly.

    ``1/T = 1/T10 - (R/H) * ln(c / 10 %)``, in kelvin; T10 is the point at 10 %.

    Parameters
    ----------
    concentration : quantity
        Gelatin in percent of the whole (1 to 15 %).
    bloom : quantity
        Bloom of the gelatin (100 to 250 bloom).

    Returns
    -------
    Band
        In °C, for water; from memory, about 3 °C either way.

    Examples
    --------
    >>> print(setting_point(q(10, "percent"), q(200, "bloom")))
    22 °C to 26 °C, typically 24 °C

    Notes
    -----
    *Watch out*: it sets several degrees below where it melts, and lower still when
    cooled fast. The same change with concentration is assumed for both points.

    Source: form: [eldridge-ferry1954]; numbers from memory,
    ``data/gelatin_melting.csv``.
    """
    return _gel_point("sets", concentration.m, bloom.m)


def _gel_point(what: str, percent: float, bloom: float) -> Band:
    rows = [table("gelatin_melting")[f"{b:.0f} bloom {what}"] for b in _BLOOMS]
    heat = BENCH["melting enthalpy"]

    def at(ten_percent: list[float], kilojoules: float) -> float:
        celsius = interpolate(bloom, list(zip(_BLOOMS, ten_percent, strict=True)))
        shift = GAS_IN_KJ / kilojoules * math.log(percent / 10)
        return 1 / (1 / (celsius + KELVIN) - shift) - KELVIN

    lows, highs = ([row.ends[n] for row in rows] for n in (0, 1))
    return Band.of(
        (
            min(at(lows, h) for h in heat.ends),
            at([row.quantity.m for row in rows], heat.quantity.m),
            max(at(highs, h) for h in heat.ends),
        ),
        "degC",
        FROM_MEMORY,
        "gelatins of one bloom differ, and sugar raises the point further",
    )
