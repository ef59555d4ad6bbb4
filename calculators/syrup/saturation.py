"""How much sugar a syrup can hold in solution, warm and cold."""

from __future__ import annotations

from functools import cache

from calculators.sources import records
from calculators.syrup.strength import AT_20_C, CHARLES, HERZFELD, VAVRINECZ, polynomial_at
from calculators.units import (
    Measure,
    OneOf,
    Quantity,
    calculator,
    float_calculator,
    interpolate,
    q,
    solve,
)

_SOLUBILITY_OF = OneOf(VAVRINECZ, HERZFELD, CHARLES)


# --- how much sugar will it hold? -------------------------------------------------------


@float_calculator(returns="percent", temperature=Measure("degC", 0, 100), following=_SOLUBILITY_OF)
def solubility(temperature: float = 20, following: str = VAVRINECZ) -> float:
    """Return the strongest syrup that does not crystallise in the long run.

    brix = 64.447 + 0.08222 t + 1.6169e-3 t² - 1.558e-6 t³ - 4.63e-8 t⁴ (Vavrinecz)

    Parameters
    ----------
    temperature : quantity
        0 to 100 °C.
    following : str
        ``"Vavrinecz 1962"``, the sugar trade's equation; ``"Herzfeld 1892"``, the
        table in older books; or ``"Charles 1960"``.

    Returns
    -------
    quantity
        In percent.  The three lie within 0.6 % of each other; believe 0.5 %, and 0.6 %
        at 100 °C.

    Examples
    --------
    >>> print(say(solubility(q(20, "degC"))))
    66.7 %
    >>> print(say(solubility(q(20, "degC"), following="Herzfeld 1892")))
    67.1 %

    Notes
    -----
    *Watch out*: the famous *204 g in 100 g of water at 20 °C* is Herzfeld's; the
    modern figure is 200.5.  Glucose syrup in the pan changes both.

    Vavrinecz is followed because the trade's standard does; his coefficients and
    those of Charles are *from memory*, checked against Herzfeld's published table.
    Source: [vavrinecz1962], [herzfeld1892], [charles1960].
    """
    if following == HERZFELD:
        return interpolate(temperature, two_columns("syrup_solubility_herzfeld"))
    return polynomial_at(_SOLUBILITY[following], temperature)


@calculator(returns="degC", brix=Measure("percent", 64.447, 82.65))
def full_at(brix: Quantity) -> Quantity:
    """Return the temperature at which a cooling syrup becomes full.

    :func:`solubility`, solved for the temperature.

    Parameters
    ----------
    brix : quantity
        Strength, 64.447 to 82.65 %: that of full syrups from 0 to 100 °C.

    Returns
    -------
    quantity
        In °C.  An error of 0.4 % in the strength is 3 °C at 66 % and 2 °C at 80 %.

    Examples
    --------
    >>> print(say(full_at(q(75, "percent")), digits=2))
    63 °C

    Notes
    -----
    *Watch out*: below it crystals *can* come; when they do is a matter of seeds.
    Source: as :func:`solubility`, Vavrinecz.
    """
    ends = solubility.floats(0), solubility.floats(100)
    inside = min(max(brix.m, ends[0]), ends[1])
    return q(solve(lambda t: solubility.floats(t) - inside, 0, 100), "degC")


@calculator(
    returns="",
    brix=Measure("percent", 0, 99),
    temperature=Measure("degC", 0, 100),
    following=_SOLUBILITY_OF,
)
def supersaturation(
    brix: Quantity, temperature: Quantity = AT_20_C, following: str = VAVRINECZ
) -> Quantity:
    """Return how far a syrup is past what it can hold.

    (sugar / water in the syrup) / (sugar / water in a saturated one)

    Parameters
    ----------
    brix : quantity
        Strength, 0 to 99 %.
    temperature : quantity
        At which it is kept, 0 to 100 °C.
    following : str
        As for :func:`solubility`.

    Returns
    -------
    quantity
        A plain number: 1 is saturated, above 1 crystals may come.  Good to
        2.5 %; to 4 % near 100 °C, where the sources differ most.

    Examples
    --------
    >>> print(say(supersaturation(q(75, "percent"), q(20, "degC"))))
    1.5

    Notes
    -----
    *Watch out*: above 1 a syrup may stay clear for weeks, and grain within a
    minute once it is stirred or meets a crystal.  Source: as :func:`solubility`.
    """
    full = solubility.floats(temperature.m, following)
    return q(brix.m / (100 - brix.m) * (100 - full) / full, "")


# [vavrinecz1962] and [charles1960], constant first.
_SOLUBILITY = {
    VAVRINECZ: (64.447, 8.222e-2, 1.6169e-3, -1.558e-6, -4.63e-8),
    CHARLES: (64.397, 0.07251, 0.0020569, -9.035e-6),
}


@cache
def two_columns(name: str) -> list[tuple[float, float]]:
    """Return a table of two columns as pairs of numbers."""
    return [(float(row["name"]), float(row["value"])) for row in records(name)]
