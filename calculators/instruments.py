"""How far to trust a thermometer and a scale, and how to put them right.

A thermometer is read in ice and in boiling water, and a straight line through the
two does the rest.  A scale is as good as its step, and that is much for a small mass.

Held against the standard atmosphere with two libraries for where water boils, and
against the pharmacopoeia's rule for the smallest weight [usp41].  The line and the
rounding are arithmetic: no published table of either is known.
"""

from __future__ import annotations

from calculators import water
from calculators.faults import fault_error
from calculators.sources import table
from calculators.units import Band, Measure, Quantity, calculator, q, say

_TABLE = table("instruments")
_SHOWN = Measure("degC", -50, 250)
_IN_ICE = Measure("degC", -10, 10)
_IN_BOILING = Measure("degC", 60, 115)
_BOILS_AT = Measure("degC", 65, 102)
_MASS = Measure("g", above=0)
_ERROR = Measure("percent", above=0, high=100)
_BOILS = q(100, "degC")
_FURTHEST = 10.0  # °C: further out than this is a slip or a broken thermometer


# --- the thermometer ------------------------------------------------------------------


@calculator(returns="a band in °C", altitude=water.ALTITUDE)
def boiling_here(altitude: Quantity) -> Band:
    """Return where water boils in a kitchen, as a band: the weather moves it.

    The boiling point at the pressure of the standard atmosphere, and at 2 % less
    and 2 % more.

    Parameters
    ----------
    altitude : quantity
        Of the kitchen, −430 to 9000 m.

    Returns
    -------
    Band
        °C; its width is the weather's, from memory.

    Examples
    --------
    >>> print(say(boiling_here(q(430, "m")).typical))
    98.5 °C

    Notes
    -----
    *Watch out*: a weather report gives the pressure *reduced to sea level*, which is
    not the pressure in your kitchen.

    Source: ``water.air_pressure`` [iso2533] and ``water.boiling_point``.
    """
    row = _TABLE["weather"]
    usual = water.air_pressure(altitude)
    low, typical, high = (
        water.boiling_point(usual * share / 100) for share in (row.low, row.value, row.high)
    )
    return Band(low, typical, high, row.provenance, "the weather moves the air pressure")


@calculator(
    returns="degC", shown=_SHOWN, in_ice=_IN_ICE, in_boiling=_IN_BOILING, boils_at=_BOILS_AT
)
def true_temperature(
    shown: Quantity,
    in_ice: Quantity,
    in_boiling: Quantity,
    boils_at: Quantity = _BOILS,
) -> Quantity:
    """Return how hot it is when a thermometer shows so much.

    true = (shown - in ice) x boils at / (in boiling - in ice), all in °C.

    Parameters
    ----------
    shown : quantity
        What the thermometer shows now, −50 to 250 °C.
    in_ice, in_boiling : quantity
        What it showed in melting ice and in boiling water.
    boils_at : quantity
        Where water boils in this kitchen: :func:`boiling_here`.

    Returns
    -------
    quantity
        °C.  Between the two readings as good as they are; beyond them it is a line
        drawn on, and weaker the further it goes.

    Examples
    --------
    >>> print(say(true_temperature(q(50, "degC"), q(1, "degC"), q(99, "degC"))))
    50 °C

    Notes
    -----
    *Watch out*: one reading in ice moves the whole line and does not turn it.  A
    thermometer that is further out than 10 °C is refused: it is broken.  And one that
    is out by more than :func:`error_for_safety` is no thermometer for chilling and hot
    holding, whatever its line says.

    Source: a straight line through two fixed points.
    """
    scale = boils_at.m / _span("true_temperature", in_ice, in_boiling, boils_at)
    return q((shown.m - in_ice.m) * scale, "degC")


@calculator(returns="degC", true=_SHOWN, in_ice=_IN_ICE, in_boiling=_IN_BOILING, boils_at=_BOILS_AT)
def reading_for(
    true: Quantity,
    in_ice: Quantity,
    in_boiling: Quantity,
    boils_at: Quantity = _BOILS,
) -> Quantity:
    """Return what a thermometer must show when it is so hot.

    shown = in ice + true x (in boiling - in ice) / boils at, all in °C.

    Parameters
    ----------
    true : quantity
        What the recipe wants, −50 to 250 °C.
    in_ice, in_boiling : quantity
        What it showed in melting ice and in boiling water.
    boils_at : quantity
        Where water boils in this kitchen: :func:`boiling_here`.

    Returns
    -------
    quantity
        °C, as good as :func:`true_temperature`.

    Examples
    --------
    >>> print(say(reading_for(q(34, "degC"), q(2, "degC"), q(102, "degC"))))
    36 °C

    Notes
    -----
    *Watch out*: put the correction on once.  A number that is corrected already, in
    the recipe and again at the pan, is wrong twice.

    Source: a straight line through two fixed points.
    """
    span = _span("reading_for", in_ice, in_boiling, boils_at)
    return q(in_ice.m + true.m * span / boils_at.m, "degC")


def _span(name: str, in_ice: Quantity, in_boiling: Quantity, boils_at: Quantity) -> float:
    if abs(in_boiling.m - boils_at.m) > _FURTHEST:
        raise fault_error(
            f"{name}, in_boiling",
            "is too far from where water boils here",
            say(in_boiling, digits=6),
            f"Water boils here at {say(boils_at, digits=4)}",
            "Read it again with the tip well under the surface, or take the thermometer out of use",
        )
    return float(in_boiling.m - in_ice.m)


def retire_from() -> Band:
    """Return from which error on a thermometer is taken out of use, as a band.

    >>> print(retire_from().provenance)
    common practice
    """
    return _TABLE["retire"].band(_TABLE["retire"].condition)


def error_for_safety() -> Quantity:
    """Return the largest error of a thermometer that says whether food is safe.

    Cold and hot holding, cooling and reheating are judged with no other.  The guides
    of several countries say the same in words: -1 to 1 °C in ice, and within 1 °C of
    the boil.  Source: [fda-food-code], 4-203.11; your local rules come first.

    >>> print(say(error_for_safety()))
    1 °C
    """
    return _TABLE["for safety"].quantity


# --- the scale ---------------------------------------------------------------------------


@calculator(returns="percent", mass=_MASS, step=_MASS)
def scale_error(mass: Quantity, step: Quantity) -> Quantity:
    """Return how far off a weighing may be, as a share of what is weighed.

    error = step / mass: half a step when it is set to zero, half when it is read.

    Parameters
    ----------
    mass : quantity
        What is weighed, above 0 g.
    step : quantity
        The smallest change that the scale shows, above 0 g.

    Returns
    -------
    quantity
        In %: the most that the step alone can do.

    Examples
    --------
    >>> scale_error(q(3, "g"), q(1, "g")).m
    33.3

    Notes
    -----
    *Watch out*: a scale can be out by more than its step: on a soft bench, near a
    fan, with a tired battery, or over its load.

    Source: the rounding of two readings, half a step each.
    """
    return q(100 * step.m / mass.m, "percent")


@calculator(returns="g", step=_MASS, error=_ERROR)
def smallest_mass(step: Quantity, error: Quantity) -> Quantity:
    """Return the least mass that a scale weighs with no more than an error.

    mass = step / error

    Parameters
    ----------
    step : quantity
        The smallest change that the scale shows, above 0 g.
    error : quantity
        What you allow, above 0 and up to 100 %.

    Returns
    -------
    quantity
        In g.

    Examples
    --------
    >>> print(say(smallest_mass(q(1, "g"), q(2, "percent"))))
    50 g

    Notes
    -----
    *Watch out*: this counts for each ingredient on its own and not for the bowl:
    3 g on top of 900 g are still weighed to the step.

    Source: :func:`scale_error`, turned round.
    """
    return q(100 * step.m / error.m, "g")


def error_allowed() -> Band:
    """Return the error that a mass in a glaze may have, as a band.

    >>> print(error_allowed().provenance)
    common practice
    """
    return _TABLE["share"].band(_TABLE["share"].condition)
