"""How a syrup flows, keeps, freezes and warms."""

from __future__ import annotations

import math
from collections.abc import Sequence

from calculators import water
from calculators.faults import Fault, FaultsError, fault_error
from calculators.sources import table
from calculators.syrup.boiling import log_activity
from calculators.syrup.dilution import SOME_MASS
from calculators.syrup.strength import AT_20_C, AT_25_C, GROVER, MASS, MONEY_BORN, NORRISH
from calculators.units import InstanceOf, Measure, OneOf, Quantity, calculator, q, solve
from calculators.water import GAS_CONSTANT, MOLAR_MASS

# --- how does it flow, keep, freeze and warm? --------------------------------------------


@calculator(returns="mPa*s", brix=Measure("percent", 0, 75), temperature=Measure("degC", 0, 100))
def viscosity(brix: Quantity, temperature: Quantity = AT_20_C) -> Quantity:
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
    return q(viscosity_at(brix.m, temperature.m), "mPa*s")


def viscosity_at(b: float, t: float) -> float:
    """Return the viscosity in mPa·s: percent, °C."""
    x = b / (1900 - 18 * b)
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
    still grow.  Sugar alone keeps nothing for ever; your local rules come first.

    Constants published, form *from memory*, confirmed against
    [robinson-stokes1961].  Source: [starzak-peacock1997].
    """
    return q(math.exp(log_activity(brix.m, temperature.m)), "")


@calculator(
    returns="",
    water=SOME_MASS,
    sugars=InstanceOf(dict, "a table of sugars and their masses"),
    following=OneOf(NORRISH, MONEY_BORN, GROVER),
)
def water_activity_of_mixture(
    water: Quantity, sugars: dict[str, Quantity], following: str = NORRISH
) -> Quantity:
    """Return how much of the water is free where several sugars share it.

    Norrish and Ross: aw = product over the sugars of (1 - x) exp(K x²), each sugar
    taken alone in all of the water.

    Parameters
    ----------
    water : quantity
        Mass of all the water, above 0 g.
    sugars : dict
        Mass by name: sucrose, glucose, fructose, maltose, lactose, sorbitol,
        glycerol, xylitol, glucose syrup solids; 0 g or more.
    following : str
        ``"Norrish and Ross"``; ``"Money and Born 1951"``, 1/(1 + 0.27 N), N mol in
        100 g of water; or ``"Grover 1947"``, 1.04 - 0.1 E + 0.0045 E².

    Returns
    -------
    quantity
        A plain number for 25 °C.  Norrish and Ross is good to 0.005 for sucrose up
        to 70 %, and 0.01 for a mixture; the others to 0.012 for sucrose up to 67 %.
        Stronger than that they part: at 80 % of sucrose by up to 0.08.

    Examples
    --------
    >>> mix = {"sucrose": q(300, "g"), "glucose": q(100, "g")}
    >>> print(say(water_activity_of_mixture(q(150, "g"), mix), digits=2))
    0.79

    Notes
    -----
    *Watch out*: K is for the natural exponent (sucrose -6.47); the form with
    powers of ten uses another (-2.81).  Never use it for boiling.  Grover is bad
    below 1 g of sucrose to 1 g of water, and his curve turns up again at 11.  Glucose
    syrup has a factor in Grover alone; elsewhere nobody's constant is safe, and it is
    refused.

    The constants are *from memory*, checked against [robinson-stokes1961] for
    sucrose.  Source: [norrish1966], [chirife1982], [ross1975], [money-born1951],
    [grover1947].
    """
    grams = _masses(sugars)
    if following == GROVER:
        factors = _of(grams, "grover", following)
        e = sum(f * m for f, (_, m) in zip(factors, grams, strict=True)) / water.m
        if not 1 <= e <= _GROVER_ENDS:
            raise fault_error(
                "water_activity_of_mixture, following",
                f"is too {'weak' if e < 1 else 'strong'} a mixture for Grover",
                f"{e:.2f} g of sucrose equivalent to 1 g of water",
                f"It must be from 1 to {_GROVER_ENDS:g}",
                f'Use following="{NORRISH}"',
            )
        return q(1.04 - 0.1 * e + 0.0045 * e * e, "")
    molar = _of(grams, "molar mass", following)
    moles = [m / each for (_, m), each in zip(grams, molar, strict=True)]
    if following == MONEY_BORN:
        return q(1 / (1 + 0.27 * 100 * sum(moles) / water.m), "")
    logarithm = 0.0
    for n, k in zip(moles, _of(grams, "norrish", following), strict=True):
        x = n / (n + water.m / MOLAR_MASS)
        logarithm += math.log(1 - x) + k * x * x
    return q(math.exp(logarithm), "")


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


_GROVER_ENDS = 10.0  # g of sucrose equivalent to 1 g of water; his parabola turns at 11
MELTING, _MELTING_STEP = 6009.5, 37.3  # of ice at 0 °C, J/mol and J/mol/K


def log_ice(t: float) -> float:
    """Return the natural logarithm of the water activity over ice at t °C."""
    kelvin, melting = t + water.KELVIN, water.KELVIN
    heat = (MELTING - _MELTING_STEP * melting) * (1 / melting - 1 / kelvin)
    return (heat + _MELTING_STEP * math.log(kelvin / melting)) / GAS_CONSTANT


def _masses(sugars: dict[str, Quantity]) -> list[tuple[str, float]]:
    known = [n.removesuffix(" norrish") for n in table("syrup_sugars") if n.endswith(" norrish")]
    faults, grams = [], []
    for name, mass in sugars.items():
        where = f"water_activity_of_mixture, {name}"
        if name not in known:
            faults.append(
                Fault(
                    where,
                    "is not a sugar that is known here",
                    str(name),
                    "Known are: " + ", ".join(known),
                    "Use one of these names",
                )
            )
            continue
        checked, fault = MASS.check(where, mass)
        if fault:
            faults.append(fault)
        else:
            grams.append((name, checked.m))
    if faults:
        raise FaultsError(faults)
    return grams


def _of(grams: Sequence[tuple[str, float]], what: str, following: str) -> list[float]:
    """Return a constant of each sugar; tell all that have none."""
    rows = table("syrup_sugars")
    found = [(name, rows[f"{name} {what}"].value) for name, _ in grams]
    if unknown := [name for name, value in found if value is None]:
        other, column = (NORRISH, "norrish") if following == GROVER else (GROVER, "grover")
        serves = all(rows[f"{name} {column}"].value is not None for name, _ in grams)
        step = f'Use following="{other}"' if serves else "Leave it out, and say so"
        where, problem = (
            "water_activity_of_mixture, ",
            f"has no known constant for {following}",
        )
        raise FaultsError(Fault(f"{where}{name}", problem, name, "", step) for name in unknown)
    return [value for _, value in found if value is not None]
