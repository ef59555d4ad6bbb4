"""What boiling tells of a syrup's strength, and what it takes out."""

from __future__ import annotations

import math

from calculators import water
from calculators.faults import fault_error
from calculators.frozen import frozen
from calculators.sources import records
from calculators.syrup.saturation import two_columns
from calculators.syrup.strength import BROWNE, MODERN, SEA_LEVEL
from calculators.units import Measure, OneOf, Quantity, calculator, interpolate, q, say, solve
from calculators.water import GAS_CONSTANT, MOLAR_MASS

# --- what does boiling do? --------------------------------------------------------------


@calculator(
    returns="degC",
    brix=Measure("percent", 0, 99),
    altitude=water.ALTITUDE,
    following=OneOf(MODERN, BROWNE),
)
def boiling_point(
    brix: Quantity, altitude: Quantity = SEA_LEVEL, following: str = MODERN
) -> Quantity:
    """Return where a syrup of this strength boils in a kitchen at this height.

    water activity x vapour pressure of water = pressure of the air

    Parameters
    ----------
    brix : quantity
        Strength, 0 to 99 % (to 90 % for Browne); little is measured above 95 %.
    altitude : quantity
        Of the kitchen, -430 to 9000 m; the standard atmosphere gives the pressure.
    following : str
        ``"Starzak and Peacock 1997"``, from a century of data; or
        ``"Browne 1912"``, the column still copied in textbooks.

    Returns
    -------
    quantity
        In °C.  Its distance from the boiling point of water is good to 10 % up to
        85 % and to 15 % above.  The weather moves it by half a degree.

    Examples
    --------
    >>> print(say(boiling_point(q(85, "percent"))))
    114 °C
    >>> print(say(boiling_point(q(85, "percent"), q(2000, "m"))))
    107 °C

    Notes
    -----
    *Watch out*: Browne stands a quarter to a third too far above water from 70 % up,
    and at 10 % more than twice as far as Raoult's law allows (0.163 °C).  The stages of
    the kitchen do not settle it: soft ball sides with the modern curve, firm ball
    with Browne.  [saska2002] tells how thin the old data are.  For altitude,
    Browne's elevation is put on top of the boiling point of water there.

    Constants of the modern equation are published; its form is *from memory*,
    confirmed against [robinson-stokes1961].  Source: [starzak-peacock1997],
    [browne1912], [iso2533], [wagner-pruss1993].
    """
    pressure = water.air_pressure(altitude).m
    if following == BROWNE:
        return q(water.boiling_point.floats(pressure) + _browne(brix.m), "degC")
    return q(_boiling_point(brix.m, pressure), "degC")


@calculator(
    returns="percent",
    temperature=Measure("degC", 65, 175),
    altitude=water.ALTITUDE,
    following=OneOf(MODERN, BROWNE),
)
def brix_at_boiling(
    temperature: Quantity, altitude: Quantity = SEA_LEVEL, following: str = MODERN
) -> Quantity:
    """Return how strong a boiling syrup is, from its thermometer.

    :func:`boiling_point`, solved for the strength.

    Parameters
    ----------
    temperature : quantity
        Of the boiling syrup: from that of water at this height to that of a 99 %
        syrup (90 % for Browne).
    altitude, following
        As for :func:`boiling_point`.

    Returns
    -------
    quantity
        In percent, good to 2.5 %: what a tenth of the distance to water's boiling point
        makes of it.

    Examples
    --------
    >>> print(say(brix_at_boiling(q(103, "degC"))))
    60.6 %

    Notes
    -----
    *Watch out*: a thermometer 1 °C out is worth 8 % of sugar at 102 °C and 1 % at
    115 °C.  Check it in boiling water first.  Source: as :func:`boiling_point`.
    """
    pressure = water.air_pressure(altitude).m
    strongest = 90.0 if following == BROWNE else _STRONGEST
    low = water.boiling_point.floats(pressure)
    high = low + _browne(90) if following == BROWNE else _boiling_point(99, pressure)
    if not low - _SAID <= temperature.m <= high + _SAID:
        raise fault_error(
            "brix_at_boiling, temperature",
            "is not the boiling point of a syrup",
            say(temperature, digits=6),
            f"At {say(altitude)} water boils at {say(q(low, 'degC'), places=2)} and "
            f"a {strongest:g} % syrup at {say(q(high, 'degC'), places=2)}",
            "Wait until it boils, or check the thermometer in boiling water",
        )
    t = min(max(temperature.m, low), high)
    if following == BROWNE:
        turned = [(rise, b) for b, rise in two_columns(_BROWNE)]
        rise = min(t - low, turned[-1][0])
        return q(interpolate(rise, turned), "percent")
    return q(_brix_boiling_at(t, pressure), "percent")


@frozen
class Stage:
    """A stage of boiled sugar, for a kitchen at one height.

    Parameters
    ----------
    name : str
        As the trade calls it.
    low, high : quantity
        The temperatures on the thermometer between which it is met.
    strength : quantity
        Percent of sugar in the middle of the stage, by the newer curve; teaching tables
        differ by 2 %.  Only where nothing but sugar and water is in the pan.
    cold_water : str
        What a little of it does in cold water.
    """

    name: str
    low: Quantity
    high: Quantity
    strength: Quantity
    cold_water: str

    def __str__(self) -> str:
        """Return the stage as it is said at the bench."""
        return f"{self.name}: {say(self.low)} to {say(self.high)}"


@calculator(returns="the stages, weakest first", altitude=water.ALTITUDE)
def stages(altitude: Quantity = SEA_LEVEL) -> tuple[Stage, ...]:
    """Return the stages of boiled sugar with their temperatures at this height.

    Each end of a stage is moved to where a syrup of the same strength boils.

    Parameters
    ----------
    altitude : quantity
        Of the kitchen, -430 to 9000 m.

    Returns
    -------
    tuple of Stage
        From thread to hard crack.  The ends are *common practice*; tables differ
        by 2 °C, by more at thread.

    Examples
    --------
    >>> print(stages(q(1500, "m"))[1])
    soft ball: 107 °C to 111 °C

    Notes
    -----
    *Watch out*: boiling sugar sticks and burns deep.  Long sleeves, no wet tools,
    a bowl of cold water within reach; your local rules and your supervisor come
    first.

    Kitchens lower the target by 1 °C for each 300 m, which is the same thing up to
    hard ball.
    Source: common practice; [mcgee2004].
    """
    here = water.air_pressure(altitude).m
    return tuple(
        Stage(
            row["name"],
            q(_moved(float(row["low"]), water.NORMAL_PRESSURE, here), "degC"),
            q(_moved(float(row["high"]), water.NORMAL_PRESSURE, here), "degC"),
            q(float(row["strength"]), "percent"),
            row["cold_water"],
        )
        for row in records("syrup_stages")
    )


@calculator(returns="degC", temperature=Measure("degC", 65, 175), altitude=water.ALTITUDE)
def sea_level_equivalent(temperature: Quantity, altitude: Quantity = SEA_LEVEL) -> Quantity:
    """Return where a syrup that boils here would boil at the sea.

    The strength stays, the pressure changes.

    Parameters
    ----------
    temperature : quantity
        Of the boiling syrup, 65 to 175 °C.
    altitude : quantity
        Of the kitchen, -430 to 9000 m.

    Returns
    -------
    quantity
        In °C, good to 0.5 °C up to hard ball.  Beyond, the tables of cooks go on taking
        off the same for all stages, and at hard crack and 2300 m differ by 2 °C.

    Examples
    --------
    >>> print(say(sea_level_equivalent(q(109, "degC"), q(1500, "m"))))
    114 °C

    Notes
    -----
    *Watch out*: a recipe's temperature was written near the sea; go the other way
    with :func:`stages`.  Below water's boiling point and above a 99 % syrup's, the
    difference at that end is used.  Source: as :func:`boiling_point`; held against
    [csu-candy].
    """
    here = water.air_pressure(altitude).m
    return q(_moved(temperature.m, here, water.NORMAL_PRESSURE), "degC")


# --- the formulas in plain numbers (percent, °C, kPa, kg/m³) ---------------------------------

_BROWNE = "syrup_boiling_browne"
_MOLAR_SUCROSE = 342.30  # g/mol
_STRONGEST = 99.0  # percent; the boiling curve ends here
# An end may be given as it is said or printed: rounded.
_SAID = 0.005  # °C
# [starzak-peacock1997]: Q in J/mol, a, b.
_Q, _A, _B = -17638.0, -1.0038, -0.24653


def _browne(b: float) -> float:
    if b > 90:
        raise fault_error(
            "boiling_point, brix",
            "is beyond Browne's table",
            say(q(b, "percent"), digits=6),
            "It must be at most 90 %",
            f'Use following="{MODERN}"',
        )
    return interpolate(b, two_columns(_BROWNE))


def log_activity(b: float, t: float) -> float:
    """Return the natural logarithm of the water activity of sucrose: percent, °C."""
    sugar = b / _MOLAR_SUCROSE
    x = sugar / (sugar + (100 - b) / MOLAR_MASS)
    energy = _Q * x * x * (1 + _A * x + _B * x * x)
    return math.log(1 - x) + energy / (GAS_CONSTANT * (t + water.KELVIN))


def _boiling_point(b: float, pressure: float) -> float:
    wanted = math.log(pressure)
    return solve(
        lambda t: math.log(water.vapour_pressure.floats(t)) + log_activity(b, t) - wanted,
        0,
        250,
    )


def _brix_boiling_at(t: float, pressure: float) -> float:
    wanted = math.log(pressure / water.vapour_pressure.floats(t))
    if log_activity(0, t) <= wanted:
        return 0.0
    if log_activity(_STRONGEST, t) >= wanted:
        return _STRONGEST
    return solve(lambda b: wanted - log_activity(b, t), 0, _STRONGEST)


def _moved(t: float, pressure: float, to: float) -> float:
    """Return where the syrup that boils at t under one pressure boils under another."""
    if abs(pressure - to) < 1e-9:
        return t
    b = _brix_boiling_at(t, pressure)
    return t + _boiling_point(b, to) - _boiling_point(b, pressure)
