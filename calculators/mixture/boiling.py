"""Where a pan of several sugars boils here, and how strong it is when it boils there."""

from __future__ import annotations

import math

from calculators import water as plain_water
from calculators.faults import fault_error
from calculators.frozen import frozen
from calculators.mixture.composition import (
    LABEL_DE,
    LABEL_SOLIDS,
    MIXTURE,
    POURED,
    WEIGHED,
    Inside,
    Mixture,
    at_strength,
    known,
    mass,
    simple_pan,
    sweet,
)
from calculators.mixture.doubt import activity, scatter, typical
from calculators.mixture.model import STRONGEST, solids
from calculators.units import FROM_MEMORY, Band, Measure, Quantity, calculator, q, say, solve

_SEA_LEVEL, _80, _42 = q(0, "m"), q(80, "percent"), q(42, "percent")
_SAID = 0.005  # °C: an end may be given as it is printed, rounded
_WEAKEST = 1e-3  # percent
_WHY = "models and old and new tables differ, and so do tubs; the weather comes on top"


@calculator(returns="a band in °C", mixture=MIXTURE, altitude=plain_water.ALTITUDE)
def boiling_point(mixture: Mixture, altitude: Quantity = _SEA_LEVEL) -> Band:
    """Return where a mixture boils in a kitchen at this height, as a band.

    water activity of the mixture x vapour pressure of water = pressure of the air

    Parameters
    ----------
    mixture : Mixture
        Up to 95 % sugars beside its water.
    altitude : quantity
        Of the kitchen, -430 to 9000 m; the standard atmosphere gives the pressure.

    Returns
    -------
    Band
        In °C; for a pan of 60 to 75 % about 1 °C either way, of which the models are
        0.3 °C.  It holds the three models where each is good, the scatter of the data
        (10 % of the distance to water's boiling point; 15 % when very strong), and the
        doubt of the tubs' labels.

    Examples
    --------
    >>> pan = Mixture(q(140, "g"), {"sucrose": q(280, "g")}, [Tub(q(280, "g"))])
    >>> print(say(boiling_point(pan, q(430, "m")).typical, places=1))
    103.9 °C

    Notes
    -----
    *Watch out*: the weather moves every boiling point by half a degree, and is not in the
    band.  Check the thermometer in boiling water, and look at the weight as well.

    Source: [peres-macedo1996], [norrish1966] and [vandersman2017], constants from memory;
    [starzak-peacock1997] for sucrose, to which it tends as the other sugars vanish.
    """
    return _band(known(mixture, "boiling_point"), plain_water.air_pressure(altitude).m)


@calculator(
    returns="a band in °C",
    sugar=WEIGHED,
    water=POURED,
    glucose_syrup=WEIGHED,
    solids=LABEL_SOLIDS,
    dextrose_equivalent=LABEL_DE,
    altitude=plain_water.ALTITUDE,
)
def boiling_point_of_pan(
    sugar: Quantity,
    water: Quantity,
    glucose_syrup: Quantity,
    solids: Quantity = _80,
    dextrose_equivalent: Quantity = _42,
    altitude: Quantity = _SEA_LEVEL,
) -> Band:
    """Return where a pan of sugar, water and one glucose syrup boils here, as a band.

    :func:`boiling_point` of these three

    Parameters
    ----------
    sugar, water, glucose_syrup : quantity
        Masses; water above 0 g, the others 0 g or more; the soaking water is not in it.
    solids, dextrose_equivalent : quantity
        Of the syrup, by its label: above 0 to 100 %, and 5 to 100 %.
    altitude : quantity
        Of the kitchen, -430 to 9000 m.

    Returns
    -------
    Band
        In °C, as good as :func:`boiling_point`.

    Examples
    --------
    >>> pan = q(280, "g"), q(140, "g"), q(280, "g")
    >>> for label in (28, 42, 60):
    ...     band = boiling_point_of_pan(*pan, q(80, "percent"), q(label, "percent"))
    ...     print(say(band.typical, places=1))
    104.7 °C
    105.3 °C
    105.9 °C

    Notes
    -----
    *Watch out*: two tubs of one name may lie a degree apart here: read the label.
    Source: as :func:`boiling_point`.
    """
    pan = simple_pan(sugar, water, glucose_syrup, solids, dextrose_equivalent)
    return _band(known(pan, "boiling_point_of_pan"), plain_water.air_pressure(altitude).m)


@frozen
class Left:
    """What is in a pan that boils at a reading: its strength, its water, its mass.

    Parameters
    ----------
    strength : Band
        In percent.
    water, mass : Band
        In g; the pan itself is not in it.
    """

    strength: Band
    water: Band
    mass: Band


@calculator(
    returns="bands of strength, water and mass",
    mixture=MIXTURE,
    reading=Measure("degC", 65, 175),
    altitude=plain_water.ALTITUDE,
)
def left_at_boiling(mixture: Mixture, reading: Quantity, altitude: Quantity = _SEA_LEVEL) -> Left:
    """Return how strong a boiling pan is, from its thermometer, and what is left in it.

    :func:`boiling_point`, solved for the water.

    Parameters
    ----------
    mixture : Mixture
        What went in, with sugar in it; how much of its water is gone does not matter.
    reading : quantity
        Of the boiling pan: above that of water at this height, and at most that of the
        same sugars at 95 %.
    altitude : quantity
        Of the kitchen, -430 to 9000 m.

    Returns
    -------
    Left
        Bands; for a pan near 70 % the water is good to 10 %.

    Examples
    --------
    >>> pan = Mixture(q(230, "g"), {"sucrose": q(280, "g")}, [Tub(q(280, "g"))])
    >>> print(say(left_at_boiling(pan, q(104, "degC"), q(430, "m")).water.typical, digits=2))
    190 g

    Notes
    -----
    *Watch out*: a thermometer 1 °C out is worth some 3 % of sugar here.  The weight on the
    scale is the better witness.  Source: as :func:`boiling_point`.
    """
    inside = sweet(mixture, "left_at_boiling")
    pressure, t = plain_water.air_pressure(altitude).m, reading.m
    weakest, strongest = (
        inside.with_water(_water_at(inside, strength)) for strength in (_WEAKEST, STRONGEST)
    )
    if not (_steams(weakest, t + _SAID) >= math.log(pressure) >= _steams(strongest, t - _SAID)):
        low, high = (q(_point(end, pressure), "degC") for end in (weakest, strongest))
        raise fault_error(
            "left_at_boiling, reading",
            "is not where this mixture boils",
            say(reading, digits=6),
            f"At {say(altitude)} water boils at {say(low, places=2)} and these sugars at "
            f"{STRONGEST:g} % at {say(high, places=2)}",
            "Wait until it boils, or check the thermometer in boiling water",
        )
    wanted = math.log(pressure / plain_water.vapour_pressure.floats(t))
    middle = _water_of(inside, t, wanted)
    here = inside.with_water(middle)
    strength = solids(here.parts, middle)
    found = activity(here, t, scatter("hot", strength))
    most = _water_of(inside, t, wanted + found.typical - found.low)
    least = _water_of(inside, t, wanted + found.typical - found.high)
    dry, waters = inside.grams + inside.beside, (least, middle, most)
    strengths = [solids(inside.parts, w) for w in reversed(waters)]
    bands = ((strengths, "percent"), (waters, "g"), ([dry + w for w in waters], "g"))
    return Left(*(Band.of(ends, unit, FROM_MEMORY, _WHY) for ends, unit in bands))


@frozen
class Stop:
    """Where to stop boiling: by the scale, or by the thermometer of this kitchen.

    Parameters
    ----------
    mass : quantity
        What the mixture weighs then, without its pan.
    boiled_off : quantity
        The water that has gone by then; below zero where water has to be added.
    reading : Band
        What the thermometer shows then.
    """

    mass: Quantity
    boiled_off: Quantity
    reading: Band

    def __str__(self) -> str:
        """Return the stop as it is said at the hob."""
        low, typical, high = (
            say(end, places=1)
            for end in (self.reading.low, self.reading.typical, self.reading.high)
        )
        return f"Boil to {say(self.mass)}, or to {typical} here ({low} to {high})"


@calculator(
    returns="a weight and a reading",
    mixture=MIXTURE,
    strength=Measure("percent", above=0, high=STRONGEST),
    altitude=plain_water.ALTITUDE,
)
def boil_to(mixture: Mixture, strength: Quantity, altitude: Quantity = _SEA_LEVEL) -> Stop:
    """Return the weight and the reading at which a pan has come to a strength.

    weight = all that is not water + sugars (100 - strength) / strength

    Parameters
    ----------
    mixture : Mixture
        What went in, with sugar in it.
    strength : quantity
        Wanted: sugars beside water, above 0 and up to 95 %.
    altitude : quantity
        Of the kitchen, -430 to 9000 m.

    Returns
    -------
    Stop
        The weight as good as the labels of the tubs; the reading is a band.

    Examples
    --------
    >>> pan = Mixture(q(230, "g"), {"sucrose": q(280, "g")}, [Tub(q(280, "g"))])
    >>> print(boil_to(pan, q(72, "percent"), q(430, "m")))
    Boil to 701 g, or to 103.8 °C here (102.9 °C to 104.7 °C)

    Notes
    -----
    *Watch out*: put the empty pan on the scale first and note its mass.  Boiling sugar
    burns: take the pan off the heat to weigh it, with both hands, dry cloths and a clear
    way.  Your local rules and your supervisor come first.

    Source: a balance of masses; the reading as :func:`boiling_point`.
    """
    there = at_strength(mixture, strength)
    gone = mixture.inside.water - there.inside.water
    return Stop(mass(there), q(gone, "g"), boiling_point(there, altitude))


# --- plain numbers ------------------------------------------------------------------------


def _steams(inside: Inside, t: float) -> float:
    """Return the logarithm of the pressure of the steam over a mixture, in kPa."""
    return math.log(plain_water.vapour_pressure.floats(t)) + typical(inside, inside.water, t)


def _point(inside: Inside, pressure: float) -> float:
    wanted = math.log(pressure)
    return solve(lambda t: _steams(inside, t) - wanted, 0, 250, close=1e-9)


def _band(inside: Inside, pressure: float) -> Band:
    t = _point(inside, pressure)
    found = activity(inside, t, scatter("hot", solids(inside.parts, inside.water)))
    steam = [math.log(plain_water.vapour_pressure.floats(t + step)) for step in (-0.5, 0.5)]
    slope = steam[1] - steam[0]
    ends = (
        t - (found.high - found.typical) / slope,
        t,
        t + (found.typical - found.low) / slope,
    )
    return Band.of(ends, "degC", FROM_MEMORY, _WHY)


def _water_at(inside: Inside, strength: float) -> float:
    return inside.grams * (100 - strength) / strength


def _water_of(inside: Inside, t: float, wanted: float) -> float:
    """Return the water with which ln(aw) is what is wanted, within what is known."""

    def beyond(strength: float) -> float:
        return wanted - typical(inside, _water_at(inside, strength), t)

    if beyond(_WEAKEST) >= 0:
        return _water_at(inside, _WEAKEST)
    if beyond(STRONGEST) <= 0:
        return _water_at(inside, STRONGEST)
    return _water_at(inside, solve(beyond, _WEAKEST, STRONGEST, close=1e-9))
