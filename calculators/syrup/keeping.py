"""How a syrup flows, keeps, freezes and warms."""

from __future__ import annotations

import math

from calculators import water
from calculators.syrup.boiling import log_activity
from calculators.syrup.strength import AT_20_C, AT_25_C
from calculators.units import Measure, Quantity, calculator, float_calculator, q, solve
from calculators.water import GAS_CONSTANT

# --- how does it flow, keep, freeze and warm? --------------------------------------------


@float_calculator(
    returns="mPa*s", brix=Measure("percent", 0, 75), temperature=Measure("degC", 0, 100)
)
def viscosity(brix: float, temperature: float = 20) -> float:
    """Return how thick a syrup is.

    log10(viscosity) = 22.46 x - 0.114 + (30 - t)/(91 + t) (1.1 + 43.1 x^1.25),
    x the mole fraction of sugar, viscosity in mPa s.

    Parameters
    ----------
    brix : quantity
        Strength, 0 to 75 %.
    temperature : quantity
        15 to 80 °C is the range it was made for; 0 to 100 °C is accepted.

    Returns
    -------
    quantity
        In mPa s (water at 20 °C has 1).  Good to 5 % from 20 to 60 °C; to 15 %
        below, in strong syrup; to 10 % above, in weak syrup.

    Examples
    --------
    >>> print(say(viscosity(q(60, "percent"), q(20, "degC")), digits=2))
    60 mPa s
    >>> print(say(viscosity(q(60, "percent"), q(40, "degC")), digits=2))
    21 mPa s

    Notes
    -----
    *Watch out*: gelatin and white make a glaze far thicker than its syrup.

    Copies of the equation print 43.2 for 43.1 (harmless) and 0.14 for 0.114
    (wrong).  The table of 1942 gives 56.5 mPa s at 60 % and 20 °C, later ones
    58.5; the later is preferred.  Source: [genotelle1978], as repeated by
    [longinotti-corti2008].
    """
    x, t = brix / (1900 - 18 * brix), temperature
    power = 22.46 * x - 0.114 + (30 - t) / (91 + t) * (1.1 + 43.1 * x**1.25)
    return float(10**power)


@calculator(returns="", brix=Measure("percent", 0, 97), temperature=Measure("degC", -15, 150))
def water_activity(brix: Quantity, temperature: Quantity = AT_25_C) -> Quantity:
    """Return how much of a syrup's water is free for microbes to use.

    aw = (1 - x) exp(Q/(R T) x² (1 + a x + b x²)), x the mole fraction of sugar.

    Parameters
    ----------
    brix : quantity
        Strength, 0 to 97 %; beyond, the equation turns and is worthless when cool.
    temperature : quantity
        -15 to 150 °C; it matters little.

    Returns
    -------
    quantity
        A plain number: 1 is pure water.  Good to 0.0015 up to 67 % at 25 °C, to
        0.005 to 75 %, less beyond.

    Examples
    --------
    >>> print(say(water_activity(q(60, "percent")), digits=2))
    0.9

    Notes
    -----
    *Watch out*: a saturated syrup stands at 0.85, where moulds and yeasts of sugar
    still grow.  Sugar alone keeps nothing for good; your local rules come first.

    Constants published, form *from memory*, confirmed against
    [robinson-stokes1961].  Source: [starzak-peacock1997].
    """
    return q(math.exp(log_activity(brix.m, temperature.m)), "")


@calculator(returns="degC", brix=Measure("percent", 0, 62))
def freezing_point(brix: Quantity) -> Quantity:
    """Return where ice begins to form in a syrup.

    water activity of the syrup = that of ice, from its heat of melting.

    Parameters
    ----------
    brix : quantity
        Strength, 0 to 62 %; stronger than that, sugar comes out before ice does.

    Returns
    -------
    quantity
        In °C.  Its distance from 0 °C is good to 2.5 % (or 0.03 °C) up to 40 %.

    Examples
    --------
    >>> print(say(freezing_point(q(40, "percent"))))
    −4.45 °C

    Notes
    -----
    *Watch out*: this is where freezing begins.  As ice forms, the rest gets
    stronger, and a glaze at -18 °C is never frozen through.  The school rule of
    1.86 °C for each mole in a kilogram of water is 19 % low at 40 %.

    Source: [starzak-peacock1997] with the heat of melting of ice, 6009.5 J/mol,
    and the step of heat capacity, 37.3 J/mol/K (from memory).
    """
    return q(solve(lambda t: log_ice(t) - log_activity(brix.m, t), -30, 0), "degC")


@calculator(returns="kJ/kg/K", brix=Measure("percent", 0, 95), temperature=Measure("degC", 0, 120))
def specific_heat(brix: Quantity, temperature: Quantity = AT_20_C) -> Quantity:
    """Return the heat that warms a kilogram of syrup by one degree.

    c = 4184 - 2511 w + 7.5 w t J/kg/K, w = brix / 100.

    Parameters
    ----------
    brix : quantity
        Strength, 0 to 95 %; 0 to 80 % is the range of the sugar house.
    temperature : quantity
        0 to 120 °C.

    Returns
    -------
    quantity
        In kJ/kg/K, good to 3 %.

    Examples
    --------
    >>> print(say(specific_heat(q(60, "percent"), q(60, "degC"))))
    2.95 kJ/kg/K

    Notes
    -----
    *Watch out*: a syrup warms faster than water on the same flame and cools
    faster in the same bath.  A printed variant has the sign of the last term
    wrong, so that c would fall with warmth.  Source: [honig1953], for pure sugar.
    """
    w = brix.m / 100
    return q((4184 - 2511 * w + 7.5 * w * temperature.m) / 1000, "kJ/kg/K")


MELTING, _MELTING_STEP = 6009.5, 37.3  # of ice at 0 °C, J/mol and J/mol/K


def log_ice(t: float) -> float:
    """Return the natural logarithm of the water activity over ice at t °C."""
    kelvin, melting = t + water.KELVIN, water.KELVIN
    heat = (MELTING - _MELTING_STEP * melting) * (1 / melting - 1 / kelvin)
    return (heat + _MELTING_STEP * math.log(kelvin / melting)) / GAS_CONSTANT
