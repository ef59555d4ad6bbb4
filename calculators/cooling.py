"""How long a glaze takes to the pouring window, and when the cake sweats.

A stirred glaze loses a fixed part of its distance to the room in each minute: a
large jug a small part, a small jug a large one.  What stands still cools from the
outside in.  On a frozen cake there is always frost; the dew point decides when it
thaws and stands in the display.
*Warm milk and gelatin are food for bacteria: log the time out of temperature.
Your local rules and your supervisor come first.*

Held against ``ht`` and CoolProp for the heat, PsychroLib for the dew point.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import Any

from calculators import water
from calculators.blending import GLAZE_DENSITY, GRAVITY
from calculators.faults import Fault, FaultsError, refuse
from calculators.sources import Row, table
from calculators.units import (
    FROM_MEMORY,
    Band,
    Measure,
    OneOf,
    Quantity,
    Thing,
    is_quantity,
    q,
    say,
    takes,
)
from calculators.water import KELVIN

_TABLE = table("cooling")
STEFAN_BOLTZMANN = 5.670374419e-8  # W/m²/K⁴, follows from [si-brochure]
DRY_AIR = 287.05  # J/kg/K, gas constant of dry air, [us-atmosphere1976]
STEAM = 461.5  # J/kg/K, gas constant of water vapour: 8.314 / 0.018015
AIR_HEAT = 1006.0  # J/kg/K, dry air; within 1 % from -60 to 150 °C
WATER_HEAT = q(4.18, "kJ/kg/K")  # 0 to 95 °C, within 1 %

WINDOW_LOW = _TABLE["window low"].quantity
WINDOW_HIGH = _TABLE["window high"].quantity
STILL_AIR = _TABLE["still air"].quantity
STIRRED_BATH = _TABLE["stirred water bath"].quantity
AIR_ON_CAKE = _TABLE["air over a cold cake"].quantity
AIR_ON_PAN = _TABLE["air over a hot pan"].quantity
PURE_WATER = q(1)  # water activity
GLAZE_HEAT = _TABLE["glaze specific heat"].quantity
GLAZE_CONDUCTIVITY = _TABLE["glaze conductivity"].quantity
EMISSIVITY = _TABLE["emissivity"].quantity
SEA_LEVEL = q(101.325, "kPa")
_PLACES = ("still air", "fan freezer", "stirred water bath")

_LEWIS_DOUBT = 0.3  # of the heat to mass analogy in a kitchen, from memory
_DEW_DOUBT = 1.0  # °C, what an error of 5 % of humidity makes, from memory

_TEMPERATURE = Measure("degC", -60, 150)
_LONGEST = 14400.0  # min, ten days
_TICK = 1e-9  # min; no clock shows less
_TIME = Measure("min", 0, _LONGEST)
_CONSTANT = Measure("min", high=_LONGEST, above=0)
_MASS = Measure("kg", high=1000, above=0)
_HEAT = Measure("kJ/kg/K", 0.5, 5)
_AREA = Measure("cm**2", high=1e6, above=0)
_COEFFICIENT = Measure("W/m**2/K", high=5000, above=0)
_PRESSURE = Measure("kPa", 30, 110)
_MOIST = Measure("degC", -40, 60)
_HUMIDITY = Measure("percent", high=100, above=0)


# --- mixing ---------------------------------------------------------------------


@takes("degC", parts=Thing((list, tuple), "a list of (mass, specific heat, temperature)"))
def mixed_temperature(parts: Sequence[tuple[Quantity, Quantity, Quantity]]) -> Quantity:
    """Return where the temperature settles when hot and cold are stirred together.

    ``temperature = sum(mass * heat * temperature) / sum(mass * heat)``

    Parameters
    ----------
    parts : list of (mass, specific heat, temperature)
        Each in kg, kJ/kg/K and °C, at least one.

    Returns
    -------
    quantity
        °C, if nothing melts, sets or is lost to bowl and air.

    Examples
    --------
    >>> syrup = (q(500, "g"), q(3.0, "kJ/kg/K"), q(85, "degC"))
    >>> chocolate = (q(200, "g"), q(2.0, "kJ/kg/K"), q(20, "degC"))
    >>> say(mixed_temperature([syrup, chocolate]))
    '71.3 °C'

    Notes
    -----
    *Watch out*: chocolate that melts and ice that thaws take heat as well, so the
    bowl ends colder than this.

    Source: balance of heat.
    """
    rows = _read_rows(
        "mixed_temperature, part",
        parts,
        (("mass", _MASS), ("specific heat", _HEAT), ("temperature", _TEMPERATURE)),
        1,
    )
    heat = sum(m * c * t for m, c, t in rows)
    return q(heat / sum(m * c for m, c, _ in rows), "degC")


# --- cooling of what is stirred -----------------------------------------------------


@takes(
    "degC",
    time=_TIME,
    start=_TEMPERATURE,
    surroundings=_TEMPERATURE,
    time_constant=_CONSTANT,
)
def temperature_after(
    time: Quantity, start: Quantity, surroundings: Quantity, time_constant: Quantity
) -> Quantity:
    """Return how warm a stirred glaze is after some time in steady surroundings.

    ``temperature = surroundings + (start - surroundings) * exp(-time / constant)``

    Parameters
    ----------
    time : quantity
        Since the start, min, up to ten days.
    start, surroundings : quantity
        Of the glaze at first, and of room or bath, °C.
    time_constant : quantity
        From :func:`rate_from_readings` or :func:`time_constant`, min.

    Returns
    -------
    quantity
        °C.

    Examples
    --------
    >>> hour = q(60, "min")
    >>> say(temperature_after(hour, q(80, "degC"), q(20, "degC"), q(120, "min")))
    '56.4 °C'

    Notes
    -----
    *Watch out*: half the time is not half the way; the last degrees are the slow
    ones.

    Source: Newton's law of cooling, with one temperature throughout the glaze.
    """
    left = math.exp(-time.m / time_constant.m)
    return q(surroundings.m + (start.m - surroundings.m) * left, "degC")


@takes(
    "min",
    target=_TEMPERATURE,
    start=_TEMPERATURE,
    surroundings=_TEMPERATURE,
    time_constant=_CONSTANT,
)
def time_to(
    target: Quantity, start: Quantity, surroundings: Quantity, time_constant: Quantity
) -> Quantity:
    """Return how long a stirred glaze takes to a target temperature.

    ``time = constant * ln((start - surroundings) / (target - surroundings))``

    Parameters
    ----------
    target : quantity
        Between start and surroundings, °C.
    start, surroundings : quantity
        Of the glaze at first, and of room or bath, °C.
    time_constant : quantity
        From :func:`rate_from_readings` or :func:`time_constant`, min.

    Returns
    -------
    quantity
        min.

    Examples
    --------
    >>> pot = time_constant(q(1, "kg"), q(2.9, "kJ/kg/K"), q(400, "cm**2"),
    ...     q(10, "W/m**2/K"))
    >>> say(time_to(q(32, "degC"), q(80, "degC"), q(20, "degC"), pot), "h")
    '3.24 h'

    Notes
    -----
    *Watch out*: a kilogram takes about three hours in the room.  Make the glaze the
    day before, or use a water bath.

    Source: Newton's law of cooling.
    """
    to_go, ahead = start.m - surroundings.m, target.m - surroundings.m
    if target.m == start.m:
        return q(0, "min")
    if ahead == 0 or to_go / ahead < 1:
        raise refuse(
            "time_to, target",
            "is never reached",
            say(target, digits=6),
            f"It must lie between {say(start, digits=6)} and "
            f"{say(surroundings, digits=6)}, "
            "short of the surroundings",
            "Choose another target, or colder or warmer surroundings",
        )
    return q(time_constant.m * math.log(to_go / ahead), "min")


@takes(
    "min",
    readings=Thing((list, tuple), "a list of (time, temperature)"),
    room=_TEMPERATURE,
)
def rate_from_readings(readings: Sequence[tuple[Quantity, Quantity]], room: Quantity) -> Quantity:
    """Return the time constant of your own jug, from a thermometer and a clock.

    The straight line through ``ln(temperature - room)`` against time; a reading far
    from the room counts for more, for there the thermometer's error matters less.

    Parameters
    ----------
    readings : list of (time, temperature)
        Two or more, in rising time, min and °C, all on one side of the room.
    room : quantity
        Temperature of room or bath, °C.

    Returns
    -------
    quantity
        min: the time in which the distance to the room falls to 37 %; ten days at
        the most, for what moves less does not cool.

    Examples
    --------
    >>> log = [(q(0, "min"), q(80, "degC")), (q(30, "min"), q(66.7, "degC"))]
    >>> say(rate_from_readings(log, q(20, "degC")))
    '120 min'

    Notes
    -----
    *Watch out*: it holds for this jug, this fill and this place only, and a glaze
    that is not stirred before each reading is colder at the wall.

    Source: Newton's law of cooling; weighted least squares.
    """
    rows = _read_log("rate_from_readings, reading", readings, 2)
    above = [t - room.m for _, t in rows]
    if not (min(above) > 0 or max(above) < 0):
        raise refuse(
            "rate_from_readings, readings",
            "lie on both sides of the room or on it",
            ", ".join(say(q(t, "degC")) for _, t in rows),
            f"All must be warmer than {say(room, digits=6)}, or all colder",
            "Leave out the readings near the room's temperature",
        )
    points = [(t, math.log(abs(d)), d * d) for (t, _), d in zip(rows, above, strict=True)]
    slope = _slope(points)
    if slope > -1 / _LONGEST:
        raise refuse(
            "rate_from_readings, readings",
            "do not approach the room",
            ", ".join(say(q(t, "degC")) for _, t in rows),
            f"They must move towards {say(room, digits=6)}",
            "Look at the room's temperature and the order of the readings",
        )
    return q(-1 / slope, "min")


@takes("min", mass=_MASS, specific_heat=_HEAT, area=_AREA, coefficient=_COEFFICIENT)
def time_constant(
    mass: Quantity, specific_heat: Quantity, area: Quantity, coefficient: Quantity
) -> Quantity:
    """Return how slowly a stirred jug follows its surroundings.

    ``constant = mass * specific_heat / (coefficient * area)``

    Parameters
    ----------
    mass : quantity
        Of the glaze, kg.
    specific_heat : quantity
        kJ/kg/K, 0.5 to 5.
    area : quantity
        Of glaze through which heat leaves, cm².
    coefficient : quantity
        Of heat transfer, W/m²/K: :func:`heat_transfer` or :func:`coefficient`.

    Returns
    -------
    quantity
        min: the time in which the distance to the room falls to 37 %.

    Examples
    --------
    >>> say(time_constant(q(1, "kg"), q(2.9, "kJ/kg/K"), q(400, "cm**2"),
    ...     q(10, "W/m**2/K")))
    '121 min'

    Notes
    -----
    *Watch out*: it needs one temperature throughout; see :func:`biot_number`.

    Source: balance of heat.
    """
    capacity = mass.m * specific_heat.m * 1000
    return q(capacity / (coefficient.m * area.m / 1e4) / 60, "min")


@takes(
    "",
    coefficient=_COEFFICIENT,
    volume=Measure("ml", high=1e6, above=0),
    area=_AREA,
    conductivity=Measure("W/m/K", 0.01, 500),
)
def biot_number(
    coefficient: Quantity,
    volume: Quantity,
    area: Quantity,
    conductivity: Quantity = GLAZE_CONDUCTIVITY,
) -> Quantity:
    """Return whether a glaze that stands still has one temperature throughout.

    ``number = coefficient * (volume / area) / conductivity``

    Parameters
    ----------
    coefficient : quantity
        Of heat transfer at the outside, W/m²/K.
    volume, area : quantity
        Of the glaze, ml, and the surface through which it cools, cm².
    conductivity : quantity
        Of the glaze, W/m/K; 0.4 from memory.

    Returns
    -------
    quantity
        A plain number.  Below 0.1 the centre keeps up; above it, stir.

    Examples
    --------
    >>> say(biot_number(q(10, "W/m**2/K"), q(1200, "ml"), q(400, "cm**2")))
    '0.75'

    Notes
    -----
    *Watch out*: a kilogram in a jug is well above 0.1, so a thermometer at the wall
    and one in the middle do not agree until you stir.

    Source: the customary limit for a body of one temperature, common practice.
    """
    thickness = volume.m / area.m / 100
    return q(coefficient.m * thickness / conductivity.m, "")


# --- how strongly the surroundings cool ------------------------------------------------


@dataclass(frozen=True)
class Air:
    """Dry air as it carries heat.

    Parameters
    ----------
    density, viscosity, conductivity, specific_heat : quantity
        kg/m³, Pa s, W/m/K and kJ/kg/K.
    """

    density: Quantity
    viscosity: Quantity
    conductivity: Quantity
    specific_heat: Quantity


@takes("an Air", temperature=_TEMPERATURE, pressure=_PRESSURE)
def air(temperature: Quantity, pressure: Quantity = SEA_LEVEL) -> Air:
    """Return what dry air is like: how heavy, how thin, how it conducts heat.

    ``viscosity = 1.458e-6 * T**1.5 / (T + 110.4)``, and a like formula for the
    conductivity; the density is that of an ideal gas.

    Parameters
    ----------
    temperature : quantity
        °C, -60 to 150.
    pressure : quantity
        kPa, 30 to 110; ``water.air_pressure`` gives it by altitude.

    Returns
    -------
    Air
        Density within 0.25 %, the others within 2 %.

    Examples
    --------
    >>> say(air(q(20, "degC")).density)
    '1.2 kg/m³'

    Notes
    -----
    *Watch out*: moist air is a little lighter; that is left out.

    Source: U.S. Standard Atmosphere 1976 [us-atmosphere1976], equations 51 and 53
    (their numbers from memory).
    """
    density, viscosity, conductivity = _air(temperature.m + KELVIN, pressure.m)
    return Air(
        q(density, "kg/m**3"),
        q(viscosity, "Pa*s"),
        q(conductivity, "W/m/K"),
        q(AIR_HEAT / 1000, "kJ/kg/K"),
    )


_HEIGHT = Measure("cm", high=200, above=0)
_SHINE = Measure("", 0, 1)


@takes(
    "W/m**2/K",
    surface=_TEMPERATURE,
    room=_TEMPERATURE,
    height=_HEIGHT,
    pressure=_PRESSURE,
)
def natural_convection(
    surface: Quantity, room: Quantity, height: Quantity, pressure: Quantity = SEA_LEVEL
) -> Quantity:
    """Return how strongly still air cools an upright wall.

    ``Nu = (0.825 + 0.387 * Ra**(1/6) / (1 + (0.492 / Pr)**(9/16))**(8/27))**2`` and
    ``coefficient = Nu * conductivity / height``, with air at the mean temperature.

    Parameters
    ----------
    surface, room : quantity
        °C, -60 to 150.
    height : quantity
        Of the wall, cm, up to 200.
    pressure : quantity
        Of the air, kPa, 30 to 110.

    Returns
    -------
    quantity
        W/m²/K, without radiation; for a real jug within 25 %.

    Examples
    --------
    >>> say(natural_convection(q(60, "degC"), q(20, "degC"), q(10, "cm")))
    '6.1 W/m²/K'

    Notes
    -----
    *Watch out*: radiation takes away as much again; a draught or a fan far more.

    Source: Churchill and Chu 1975 [churchill-chu1975], equation for all flows.
    """
    film = (surface.m + room.m) / 2 + KELVIN
    density, viscosity, conductivity = _air(film, pressure.m)
    prandtl = viscosity * AIR_HEAT / conductivity
    size = height.m / 100
    push = GRAVITY * abs(surface.m - room.m) / film * size**3
    rayleigh = push * (density / viscosity) ** 2 * prandtl
    bracket = (1 + (0.492 / prandtl) ** (9 / 16)) ** (8 / 27)
    nusselt = (0.825 + 0.387 * rayleigh ** (1 / 6) / bracket) ** 2
    return q(nusselt * conductivity / size, "W/m**2/K")


@takes("W/m**2/K", surface=_TEMPERATURE, room=_TEMPERATURE, emissivity=_SHINE)
def radiation(surface: Quantity, room: Quantity, emissivity: Quantity = EMISSIVITY) -> Quantity:
    """Return how strongly a surface gives heat to the walls around it by radiation.

    ``coefficient = emissivity * sigma * (T1 + T2) * (T1² + T2²)``

    Parameters
    ----------
    surface, room : quantity
        °C, -60 to 150.
    emissivity : quantity
        A plain number, 0 to 1; 0.95 from memory, polished steel about 0.1.

    Returns
    -------
    quantity
        W/m²/K.

    Examples
    --------
    >>> say(radiation(q(60, "degC"), q(20, "degC")))
    '6.64 W/m²/K'

    Notes
    -----
    *Watch out*: a bright steel jug cools more slowly than a plastic one beside it.

    Source: Stefan and Boltzmann's law; sigma from the SI [si-brochure].
    """
    hot, cool = surface.m + KELVIN, room.m + KELVIN
    return q(emissivity.m * STEFAN_BOLTZMANN * (hot + cool) * (hot**2 + cool**2), "W/m**2/K")


@takes(
    "W/m**2/K",
    surface=_TEMPERATURE,
    room=_TEMPERATURE,
    height=_HEIGHT,
    emissivity=_SHINE,
    pressure=_PRESSURE,
)
def heat_transfer(
    surface: Quantity,
    room: Quantity,
    height: Quantity,
    emissivity: Quantity = EMISSIVITY,
    pressure: Quantity = SEA_LEVEL,
) -> Quantity:
    """Return how strongly a jug cools in still air, convection and radiation together.

    ``coefficient = natural_convection + radiation``

    Parameters
    ----------
    surface, room, height : quantity
        As in :func:`natural_convection`.
    emissivity : quantity
        As in :func:`radiation`.
    pressure : quantity
        Of the air, as in :func:`natural_convection`.

    Returns
    -------
    quantity
        W/m²/K; for a real jug within 25 %.

    Examples
    --------
    >>> say(heat_transfer(q(60, "degC"), q(20, "degC"), q(10, "cm")), digits=2)
    '13 W/m²/K'

    Notes
    -----
    *Watch out*: it falls as the jug cools; take it midway between start and target.
    An uncovered hot glaze also loses heat by evaporation.

    Sources: as the two functions it adds.
    """
    moved = natural_convection(surface, room, height, pressure)
    return moved + radiation(surface, room, emissivity)


@takes("a band, W/m**2/K", place=OneOf(*_PLACES))
def coefficient(place: str) -> Band:
    """Return how strongly a place cools, as a band for a first estimate.

    A row of the table ``cooling.csv``.

    Parameters
    ----------
    place : str
        ``"still air"``, ``"fan freezer"`` or ``"stirred water bath"``.

    Returns
    -------
    Band
        W/m²/K, from memory.

    Examples
    --------
    >>> print(coefficient("stirred water bath"))
    50 W/m²/K to 200 W/m²/K, typically 100 W/m²/K

    Notes
    -----
    *Watch out*: your own two readings beat this band; see
    :func:`rate_from_readings`.

    Source: from memory.
    """
    row = _TABLE[place]
    return Band(*_three(row), row.provenance, row.condition)


# --- three jugs, and the bath that saves them -----------------------------------------------


@dataclass(frozen=True)
class Jug:
    """One share of a glaze in its jug.

    Parameters
    ----------
    share : quantity
        Of the whole, %.
    mass, depth, area, time_constant : quantity
        g, cm, cm² of wall and top, min.
    """

    share: Quantity
    mass: Quantity
    depth: Quantity
    area: Quantity
    time_constant: Quantity


@takes(
    "a jug for each share",
    total=Measure("g", high=100_000, above=0),
    shares=Thing((list, tuple), "a list of shares such as (2, 1, 1)"),
    jug_diameter=Measure("cm", high=100, above=0),
    specific_heat=_HEAT,
    density=Measure("kg/m**3", 500, 2000),
    coefficient=_COEFFICIENT,
)
def jugs(
    total: Quantity,
    shares: Sequence[Any],
    jug_diameter: Quantity,
    specific_heat: Quantity = GLAZE_HEAT,
    density: Quantity = GLAZE_DENSITY,
    coefficient: Quantity = STILL_AIR,
) -> tuple[Jug, ...]:
    """Return how fast each colour's jug cools when a glaze is divided.

    ``constant = mass * specific_heat / (coefficient * area)``, with the wall and the
    top of a straight jug; its bottom stands on the bench and is left out.

    Parameters
    ----------
    total : quantity
        Of the glaze, g, up to 100 kg.
    shares : list of numbers or quantities
        As parts of the whole: (2, 1, 1) or a half, a quarter and a quarter.
    jug_diameter : quantity
        Inside, the same for all, cm, up to 100.
    specific_heat, density : quantity
        Of the glaze, kJ/kg/K and kg/m³; defaults from memory.
    coefficient : quantity
        Of heat transfer, W/m²/K; still air from memory, 8 to 13.

    Returns
    -------
    tuple of Jug
        In the order of the shares.

    Examples
    --------
    >>> half, quarter, _ = jugs(q(1200, "g"), (2, 1, 1), q(10, "cm"))
    >>> say(half.time_constant, digits=2), say(quarter.time_constant, digits=2)
    ('100 min', '79 min')

    Notes
    -----
    *Watch out*: the small jugs are out of the window while the large one is not yet
    in it; see :func:`in_window_together`.

    Source: balance of heat.
    """
    parts = _read_shares(shares)
    width, weight = jug_diameter.m, density.m / 1000
    base = math.pi / 4 * width**2

    def jug(part: float) -> Jug:
        mass = total.m * part
        depth = mass / weight / base
        area = q(base + math.pi * width * depth, "cm**2")
        pace = time_constant(q(mass, "g"), specific_heat, area, coefficient)
        return Jug(q(100 * part, "percent"), q(mass, "g"), q(depth, "cm"), area, pace)

    return tuple(jug(part) for part in parts)


@dataclass(frozen=True)
class Together:
    """When each jug is in the window, and when all of them are.

    Parameters
    ----------
    enters : tuple of quantity
        When each jug comes down to the upper end of the window, min.
    leaves : tuple of quantity or None
        When each falls below the lower end, min; None for never.
    """

    enters: tuple[Quantity, ...]
    leaves: tuple[Quantity | None, ...]

    @property
    def first(self) -> Quantity:
        """When the last jug has come in, min."""
        return max(self.enters)

    @property
    def last(self) -> Quantity | None:
        """When the first jug falls out, min; None for never."""
        ends = [end for end in self.leaves if end is not None]
        return min(ends) if ends else None

    @property
    def together(self) -> bool:
        """Whether there is a time at which all are in."""
        return self.last is None or bool(self.first <= self.last)

    @property
    def words(self) -> str:
        """What is said at the bench."""
        if self.last is None:
            after = say(self.first, digits=2)
            return f"All jugs are in the window after {after} and stay in it"
        if self.together:
            ends = [say(end, digits=2) for end in (self.first, self.last)]
            return f"All jugs are in the window from {ends[0]} to {ends[1]}"
        gap = say(self.first - self.last, digits=2)
        return f"The jugs miss each other by {gap}: hold them in one bath"

    def __str__(self) -> str:
        """Return it in words."""
        return self.words


@takes(
    "when each is in the window, and whether all are at once",
    time_constants=Thing((list, tuple), "a list of time constants"),
    start=_TEMPERATURE,
    surroundings=_TEMPERATURE,
    low=_TEMPERATURE,
    high=_TEMPERATURE,
)
def in_window_together(
    time_constants: Sequence[Quantity],
    start: Quantity,
    surroundings: Quantity,
    low: Quantity = WINDOW_LOW,
    high: Quantity = WINDOW_HIGH,
) -> Together:
    """Return whether several jugs that cool side by side are ever ready at once.

    All are ready from the last arrival at ``high`` to the first departure at ``low``,
    if that is in this order.

    Parameters
    ----------
    time_constants : list of quantity
        One for each jug, min, from :func:`jugs` or :func:`rate_from_readings`.
    start, surroundings : quantity
        Of all jugs at first, and of room or bath, °C.
    low, high : quantity
        The pouring window, °C; 31 to 34 is common practice for one kind of glaze.

    Returns
    -------
    Together
        With ``enters``, ``leaves``, ``first``, ``last`` and ``together``.

    Examples
    --------
    >>> paces = [jug.time_constant for jug in jugs(q(1200, "g"), (2, 1, 1), q(10, "cm"))]
    >>> print(in_window_together(paces, q(60, "degC"), q(20, "degC")))
    The jugs miss each other by 5 min: hold them in one bath

    Notes
    -----
    *Watch out*: stir each jug before measuring it, with a clean spoon of its own.

    Source: Newton's law of cooling; the window is common practice.
    """
    _in_order("in_window_together", low, high)
    if surroundings.m >= high.m or start.m < high.m:
        raise refuse(
            "in_window_together",
            "has jugs that do not cool into the window",
            f"from {say(start, digits=6)} towards {say(surroundings, digits=6)}",
            f"They start at {say(high, digits=6)} or warmer, in surroundings colder than that",
            "Change start or surroundings",
        )
    rows = _read_rows(
        "in_window_together, jug",
        [(pace,) for pace in time_constants],
        (("time constant", _CONSTANT),),
        1,
    )
    paces = [q(row[0], "min") for row in rows]
    enters = tuple(time_to(high, start, surroundings, pace) for pace in paces)
    leaves = tuple(
        time_to(low, start, surroundings, pace) if surroundings.m < low.m else None
        for pace in paces
    )
    return Together(enters, leaves)


@dataclass(frozen=True)
class Bath:
    """A jug stirred in a water bath.

    Parameters
    ----------
    time : quantity
        To the target, min.
    settles : quantity
        Where glaze and bath would end, left alone, °C.
    bath_end : quantity
        The bath when the glaze is at its target, °C.
    time_constant : quantity
        min.
    """

    time: Quantity
    settles: Quantity
    bath_end: Quantity
    time_constant: Quantity


@takes(
    "a bath: time, where it settles, how warm the bath ends",
    mass=_MASS,
    start=_TEMPERATURE,
    target=_TEMPERATURE,
    bath=Measure("degC", 0, 95),
    area=_AREA,
    coefficient=_COEFFICIENT,
    bath_mass=_MASS,
    specific_heat=_HEAT,
)
def water_bath(
    mass: Quantity,
    start: Quantity,
    target: Quantity,
    bath: Quantity,
    area: Quantity,
    coefficient: Quantity = STIRRED_BATH,
    bath_mass: Quantity | None = None,
    specific_heat: Quantity = GLAZE_HEAT,
) -> Bath:
    """Return how long a stirred glaze takes to a target in a water bath.

    Both stirred: the distance to where they settle falls by
    ``exp(-coefficient * area * time * (1 / glaze + 1 / water))``, where ``glaze`` and
    ``water`` are mass times specific heat.

    Parameters
    ----------
    mass : quantity
        Of the glaze, kg.
    start, target : quantity
        Of the glaze, °C.
    bath : quantity
        Temperature of the water at first, °C, 0 to 95.
    area : quantity
        Of the jug that the water wets, cm².
    coefficient : quantity
        From glaze to water, W/m²/K; 100 from memory, band 50 to 200.
    bath_mass : quantity, optional
        Of the water, kg.  Left out, the bath is held at its temperature.
    specific_heat : quantity
        Of the glaze, kJ/kg/K; default from memory.

    Returns
    -------
    Bath
        With ``time``, ``settles``, ``bath_end`` and ``time_constant``.  The time is
        no better than the coefficient: half to twice as long.

    Examples
    --------
    >>> cold = water_bath(q(1, "kg"), q(80, "degC"), q(33, "degC"), q(15, "degC"),
    ...     q(400, "cm**2"), bath_mass=q(5, "kg"))
    >>> say(cold.time, digits=2), say(cold.settles), say(cold.bath_end)
    ('18 min', '22.9 °C', '21.5 °C')

    Notes
    -----
    *Watch out*: no drop of bath water may get into the glaze, and a glaze left in a
    cold bath sets at the wall while its middle is still hot: stir.

    Source: balance of heat for two stirred bodies.
    """
    glaze = mass.m * specific_heat.m
    pool = math.inf if bath_mass is None else bath_mass.m * WATER_HEAT.m
    share = 0.0 if bath_mass is None else glaze / (glaze + pool)
    settles = q(bath.m + (start.m - bath.m) * share, "degC")
    loss = coefficient.m * area.m / 1e4 / 1000  # kW/K
    pace = q(1 / (loss * (1 / glaze + 1 / pool)) / 60, "min")
    _bath_can(start, target, bath, settles, glaze)
    time = time_to(target, start, settles, pace)
    warmed = 0.0 if bath_mass is None else glaze * (start.m - target.m) / pool
    return Bath(time, settles, q(bath.m + warmed, "degC"), pace)


def _bath_can(
    start: Quantity, target: Quantity, bath: Quantity, settles: Quantity, glaze: float
) -> None:
    way = (start.m - target.m) * (target.m - settles.m)
    if way > 0 or target.m == start.m:
        return
    if (start.m - target.m) * (target.m - bath.m) > 0:
        least = glaze * (start.m - target.m) / (target.m - bath.m) / WATER_HEAT.m
        step = f"Take more than {say(q(least, 'kg'))} of water, or change it once"
    else:
        step = "Choose a target between the glaze and the bath"
    raise refuse(
        "water_bath, target",
        "is never reached in this bath",
        say(target, digits=6),
        f"Glaze and bath settle at {say(settles, digits=5)}",
        step,
    )


# --- the glaze meets the cake ---------------------------------------------------------------


_EFFUSIVITY = Measure("J/m**2/K/s**0.5", high=40_000, above=0)


@takes(
    "J/m**2/K/s**0.5",
    conductivity=Measure("W/m/K", high=500, above=0),
    density=Measure("kg/m**3", high=20_000, above=0),
    specific_heat=Measure("kJ/kg/K", high=5, above=0),
)
def effusivity(conductivity: Quantity, density: Quantity, specific_heat: Quantity) -> Quantity:
    """Return how strongly a material holds its temperature when it is touched.

    ``effusivity = sqrt(conductivity * density * specific_heat)``

    Parameters
    ----------
    conductivity, density, specific_heat : quantity
        W/m/K, kg/m³ and kJ/kg/K.

    Returns
    -------
    quantity
        J/m²/K/s^½.  Stainless steel is some seven times a glaze, mousse about two
        thirds of it.

    Examples
    --------
    >>> glaze = effusivity(q(0.4, "W/m/K"), q(1250, "kg/m**3"), q(2.9, "kJ/kg/K"))
    >>> glaze.m
    1204.2

    Notes
    -----
    *Watch out*: it is not the conductivity; air in a mousse lowers all three.

    Source: definition.
    """
    return q(
        math.sqrt(conductivity.m * density.m * specific_heat.m * 1000),
        "J/m**2/K/s**0.5",
    )


@takes(
    "a band, degC",
    glaze=_TEMPERATURE,
    cake=_TEMPERATURE,
    glaze_effusivity=_EFFUSIVITY,
    cake_effusivity=_EFFUSIVITY,
)
def contact_temperature(
    glaze: Quantity,
    cake: Quantity,
    glaze_effusivity: Quantity | None = None,
    cake_effusivity: Quantity | None = None,
) -> Band:
    """Return the temperature at which glaze and cake meet in the first moment.

    ``contact = (e1 * glaze + e2 * cake) / (e1 + e2)`` with the two effusivities.

    Parameters
    ----------
    glaze, cake : quantity
        °C, -60 to 150.
    glaze_effusivity, cake_effusivity : quantity, optional
        J/m²/K/s^½, from :func:`effusivity`.  Left out, bands from memory.

    Returns
    -------
    Band
        °C.  With both effusivities given, all three values are the same.

    Examples
    --------
    >>> print(contact_temperature(q(33, "degC"), q(-18, "degC")))
    4.17 °C to 19.6 °C, typically 12.6 °C

    Notes
    -----
    *Watch out*: it lies below the setting point of gelatin, so the glaze sets from
    the cake outwards while the rest still runs off.  Frost and ice that melt pull it
    lower.

    Source: two half spaces in contact, [carslaw-jaeger1959]; effusivities from
    memory.
    """
    warm = _spread(glaze_effusivity, "glaze effusivity")
    cold = _spread(cake_effusivity, "cake effusivity")

    def meet(one: float, two: float) -> float:
        return (one * glaze.m + two * cake.m) / (one + two)

    ends = [meet(one, two) for one in warm for two in cold]
    return Band(
        q(min(ends), "degC"),
        q(meet(warm[1], cold[1]), "degC"),
        q(max(ends), "degC"),
        FROM_MEMORY,
        "effusivities are from memory, and melting ice is left out",
    )


# --- dew and frost ----------------------------------------------------------------------------


@takes("degC", temperature=_MOIST, humidity=_HUMIDITY)
def dew_point(temperature: Quantity, humidity: Quantity) -> Quantity:
    """Return the temperature below which a surface gets wet in this air.

    ``x = ln(humidity) + 17.62 t / (243.12 + t)`` and
    ``dew point = 243.12 x / (17.62 - x)``

    Parameters
    ----------
    temperature : quantity
        Of the air, °C, -40 to 60.
    humidity : quantity
        Relative, over water, %, above 0 to 100.

    Returns
    -------
    quantity
        °C, within 0.05 above freezing in air of up to 50 °C, and 0.1 up to 60 °C.
        Below 0 °C see :func:`frost_point`.

    Examples
    --------
    >>> say(dew_point(q(22, "degC"), q(60, "percent")))
    '13.9 °C'

    Notes
    -----
    *Watch out*: humidity alone says little; 60 % is dry air in a fridge and wet air
    in summer.

    Source: WMO-No. 8, Annex 4.B [wmo8].
    """
    x = math.log(humidity.m / 100) + 17.62 * temperature.m / (243.12 + temperature.m)
    return q(243.12 * x / (17.62 - x), "degC")


@takes("degC", temperature=_MOIST, humidity=_HUMIDITY)
def frost_point(temperature: Quantity, humidity: Quantity) -> Quantity:
    """Return the temperature below which hoar frost grows, where that is below 0 °C.

    ``x = ln(humidity) + 17.62 t / (243.12 + t)`` and
    ``frost point = 272.62 x / (22.46 - x)``

    Parameters
    ----------
    temperature, humidity
        As in :func:`dew_point`.

    Returns
    -------
    quantity
        °C, within 0.05 down to -40 °C; a little above the dew point.  Refused where
        the air would make dew.

    Examples
    --------
    >>> say(frost_point(q(4, "degC"), q(50, "percent")))
    '−4.86 °C'

    Notes
    -----
    *Watch out*: in a freezer each opening of the door brings air far above it.

    Source: WMO-No. 8, Annex 4.B [wmo8], over ice.
    """
    x = math.log(humidity.m / 100) + 17.62 * temperature.m / (243.12 + temperature.m)
    if x > 0:
        raise refuse(
            "frost_point",
            "has air that makes dew, not frost",
            say(dew_point(temperature, humidity)),
            "The dew point must be at or below 0 °C",
            "Use the dew point",
        )
    return q(272.62 * x / (22.46 - x), "degC")


@takes(
    "a band, g/m**2/min",
    room=_MOIST,
    humidity=_HUMIDITY,
    surface=_MOIST,
    coefficient=_COEFFICIENT,
    pressure=_PRESSURE,
)
def frost(
    room: Quantity,
    humidity: Quantity,
    surface: Quantity,
    coefficient: Quantity = AIR_ON_CAKE,
    pressure: Quantity = SEA_LEVEL,
) -> Band:
    """Return how fast frost or dew gathers on a cold cake.

    ``rate = coefficient / heat of air * 0.622 * (vapour pressure in the room - at
    the surface) / air pressure``

    Parameters
    ----------
    room, humidity : quantity
        Of the air, °C and %.
    surface : quantity
        Of the cake, °C, -40 to 60.
    coefficient : quantity
        Of heat transfer by the air alone, without radiation, W/m²/K; 8 from memory.
    pressure : quantity
        Of the air, kPa, 30 to 110.

    Returns
    -------
    Band
        g/m²/min, within 30 %; nought where the surface is above the dew point.
        Times the minutes in the open it is a mass on an area.

    Examples
    --------
    >>> rate = frost(q(22, "degC"), q(60, "percent"), q(-18, "degC"))
    >>> say(rate.typical), say(rate.typical * q(10, "min"), "g/m**2")
    ('4.27 g/min/m²', '42.7 g/m²')

    Notes
    -----
    *Watch out*: a glaze slides on it.  Unwrap at the last moment and wipe with a
    clean glove or dry cloth; the cold burns bare fingers.

    Source: analogy of heat and mass, Lewis 1922 [lewis1922], with a Lewis number of
    one; vapour pressures over water and ice from WMO-No. 8 [wmo8].
    """
    there = humidity.m / 100 * _over_water(room.m)
    here = _over_ice(surface.m) if surface.m < 0 else _over_water(surface.m)
    wetter = max(0.0, there - here) / (pressure.m * 1000)
    rate = coefficient.m / AIR_HEAT * DRY_AIR / STEAM * wetter * 60_000
    return _doubtful(rate, 1.0)


@dataclass(frozen=True)
class Dew:
    """Whether a cake gets wet where it stands.

    Parameters
    ----------
    verdict : str
        ``"wet"``, ``"dry"`` or ``"in doubt"``.
    dew_point : quantity
        Of the air, °C.
    margin : quantity
        Surface less dew point, a difference, °C.
    words : str
        Said at the bench.
    """

    verdict: str
    dew_point: Quantity
    margin: Quantity
    words: str

    def __str__(self) -> str:
        """Return it in words."""
        return self.words


@takes("a verdict with the dew point", surface=_MOIST, room=_MOIST, humidity=_HUMIDITY)
def thaws_wet(surface: Quantity, room: Quantity, humidity: Quantity) -> Dew:
    """Return whether dew forms on a cake that thaws or stands in this air.

    Wet where ``surface < dew point``; within 1 °C of it the verdict is in doubt, for
    a hygrometer errs by some 5 %.

    Parameters
    ----------
    surface : quantity
        Of the cake, °C, -40 to 60.
    room, humidity : quantity
        Of the air in display, fridge or room, °C and %.

    Returns
    -------
    Dew
        With ``verdict``, ``dew_point``, ``margin`` and ``words``.

    Examples
    --------
    >>> cake = q(-18, "degC")
    >>> print(thaws_wet(cake, q(4, "degC"), q(85, "percent")))
    Wet until its surface is above 1.7 °C: thaw it where the air is cold and dry

    Notes
    -----
    *Watch out*: thawing in the fridge makes less dew because the cold air holds less
    water, and it keeps the cake in temperature.

    Source: :func:`dew_point`; the margin is from memory.
    """
    limit = dew_point(room, humidity)
    margin = surface.m - limit.m
    at = say(limit, digits=2)
    if margin < -_DEW_DOUBT:
        verdict = "wet"
        words = f"Wet until its surface is above {at}: thaw it where the air is cold and dry"
    elif margin > _DEW_DOUBT:
        verdict, words = "dry", f"Dry: its surface is above the dew point of {at}"
    else:
        verdict = "in doubt"
        words = f"In doubt: its surface is within 1 °C of the dew point of {at}"
    return Dew(verdict, limit, q(margin, "delta_degC"), words)


@takes(
    "a band, g/m**2/min",
    surface=Measure("degC", 0, 90),
    room=_MOIST,
    humidity=_HUMIDITY,
    water_activity=Measure("", 0, 1),
    coefficient=_COEFFICIENT,
    pressure=_PRESSURE,
)
def evaporation(
    surface: Quantity,
    room: Quantity,
    humidity: Quantity,
    water_activity: Quantity = PURE_WATER,
    coefficient: Quantity = AIR_ON_PAN,
    pressure: Quantity = SEA_LEVEL,
) -> Band:
    """Return how fast water leaves a hot open surface below boiling.

    ``rate = coefficient / (density * heat of air) * (vapour at the surface - vapour
    in the room)``

    Parameters
    ----------
    surface : quantity
        Of syrup or glaze, °C, 0 to 90.
    room, humidity : quantity
        Of the air, °C and %.
    water_activity : quantity
        Of the syrup, 0 to 1; 1 is water.
    coefficient : quantity
        Of heat transfer by the air alone, W/m²/K; 10 from memory.
    pressure : quantity
        Of the air, kPa, 30 to 110.

    Returns
    -------
    Band
        g/m²/min, within 30 %; on a hot surface more towards the high end, because
        the vapour carries itself away.  Nought where the surface gathers water.

    Examples
    --------
    >>> rate = evaporation(q(80, "degC"), q(22, "degC"), q(50, "percent"), q(0.9, ""))
    >>> say(rate.typical, digits=2)
    '130 g/min/m²'

    Notes
    -----
    *Watch out*: a small batch in a wide pan loses a far larger part than a large
    one; a film in contact stops it.

    The analogy can also be written with vapour pressures, as in :func:`frost`; hot,
    that comes out a fifth higher, and lies in the band too.

    Source: Lewis 1922 [lewis1922], with a Lewis number of one, vapour as mass by
    volume; ``water.vapour_pressure``.
    """
    there = humidity.m / 100 * _saturated(room.m)
    here = water_activity.m * _saturated(surface.m)
    wetter = max(0.0, _vapour(here, surface.m) - _vapour(there, room.m))
    if here <= there:
        return _doubtful(0.0, 1.0)
    rate = _transfer(coefficient.m, room.m, pressure.m) * wetter
    whole = pressure.m * 1000
    if here >= whole:
        raise refuse(
            "evaporation, surface",
            "boils at this air pressure",
            say(surface, digits=6),
            f"It must be below {say(water.boiling_point(pressure), digits=6)}",
            "Weigh the pan before and after instead",
        )
    carried = whole / (here - there) * math.log((whole - there) / (whole - here))
    return _doubtful(rate, carried)


# --- the window and the clock -------------------------------------------------------------------


@dataclass(frozen=True)
class Window:
    """Where a glaze stands to its pouring window.

    Parameters
    ----------
    verdict : str
        ``"below"``, ``"in"`` or ``"above"``.
    off : quantity
        How far outside, a difference, °C; nought inside.
    words : str
        Said at the bench, with what to do.
    """

    verdict: str
    off: Quantity
    words: str

    def __str__(self) -> str:
        """Return it in words."""
        return self.words


class _LowEnd(Measure):
    """The low end of the window, or a scheme that knows both ends."""

    @property
    def limit(self) -> str:
        """What is wanted, in words."""
        return f"{super().limit}, or a scheme of work"

    def check(self, name: str, value: Any) -> tuple[Any, Fault | None]:
        """Return the low end, or both ends of the scheme's window."""
        ends = None if is_quantity(value) else getattr(value, "window", None)
        if ends is None:
            return super().check(name, value)
        low, fault = super().check(f"{name}, window low", getattr(ends, "low", None))
        high, other = super().check(f"{name}, window high", getattr(ends, "high", None))
        return (low, high), fault or other


@takes(
    "below, in or above, with words",
    temperature=_TEMPERATURE,
    low=_LowEnd("degC", -60, 150),
    high=_TEMPERATURE,
)
def window(
    temperature: Quantity,
    low: Any = WINDOW_LOW,
    high: Quantity = WINDOW_HIGH,
) -> Window:
    """Return whether a glaze is ready to pour.

    Compared with the two ends of the window, which are in it.

    Parameters
    ----------
    temperature : quantity
        Of the stirred glaze, °C.
    low, high : quantity
        The window of this formula, °C; 31 to 34 is common practice for a gelatin
        glaze on a frozen mousse cake.  A scheme of work in place of ``low`` brings
        both.

    Returns
    -------
    Window
        With ``verdict``, ``off`` and ``words``.

    Examples
    --------
    >>> print(window(q(38, "degC")))
    4 °C above the window: too hot it runs thin and melts the cake; stir, wait or use a bath

    Notes
    -----
    *Watch out*: the window belongs to the formula.  Look also at how it runs off a
    spoon, and pour a little on a frozen offcut first.  A base with milk that is held
    in it is out of temperature: see :func:`time_out_of_temperature`.

    Source: common practice.
    """
    low, high = _ends_of_window(low, high)
    _in_order("window", low, high)
    if temperature.m < low.m:
        off, verdict = low.m - temperature.m, "below"
        words = "too cold it sets in a thick, uneven coat; warm it gently and stir"
    elif temperature.m > high.m:
        off, verdict = temperature.m - high.m, "above"
        words = "too hot it runs thin and melts the cake; stir, wait or use a bath"
    else:
        ready = "In the window: try it on a spoon and a frozen offcut, then pour"
        return Window("in", q(0, "delta_degC"), ready)
    away = q(off, "delta_degC")
    return Window(verdict, away, f"{say(away)} {verdict} the window: {words}")


@takes(
    "min",
    log=Thing((list, tuple), "a list of (time, temperature)"),
    low=_TEMPERATURE,
    high=_TEMPERATURE,
)
def time_out_of_temperature(
    log: Sequence[tuple[Quantity, Quantity]], low: Quantity, high: Quantity
) -> Quantity:
    """Return how long a glaze has been between chilled and hot holding.

    The temperature is taken to run straight from one row of the log to the next.

    Parameters
    ----------
    log : list of (time, temperature)
        Two or more rows in rising time, min and °C.
    low, high : quantity
        The two limits of the rule that holds here, °C, from your legal notes.

    Returns
    -------
    quantity
        min.  Time at a limit itself is in temperature, and does not count.

    Examples
    --------
    >>> log = [(q(0, "min"), q(70, "degC")), (q(60, "min"), q(40, "degC")),
    ...     (q(100, "min"), q(34, "degC"))]
    >>> say(time_out_of_temperature(log, q(5, "degC"), q(60, "degC")))
    '80 min'

    Notes
    -----
    *Watch out*: the time adds up over all days of a glaze's life, and between two
    rows an hour apart anything may have happened.  If in doubt, throw it out.

    Source: none needed; the limits are those of your local rules.
    """
    _in_order("time_out_of_temperature", low, high)
    rows = _read_log("time_out_of_temperature, row", log, 2)
    spent = sum(
        (t1 - t0) * _share_between(a, b, low.m, high.m) for (t0, a), (t1, b) in pairwise(rows)
    )
    return q(spent, "min")


# --- helpers --------------------------------------------------------------------------------------


def _air(kelvin: float, kilopascal: float) -> tuple[float, float, float]:
    """Density, viscosity and conductivity of dry air, [us-atmosphere1976]."""
    density = 1000 * kilopascal / (DRY_AIR * kelvin)
    viscosity = 1.458e-6 * kelvin**1.5 / (kelvin + 110.4)
    conductivity = 2.64638e-3 * kelvin**1.5 / (kelvin + 245.4 * 10 ** (-12 / kelvin))
    return density, viscosity, conductivity


# Vapour pressures in the form that a student can turn round by hand, WMO-No. 8;
# water.vapour_pressure is the exact one.
def _over_water(t: float) -> float:
    return 611.2 * math.exp(17.62 * t / (243.12 + t))  # Pa


def _saturated(t: float) -> float:
    """Exact where water is liquid; the two forms differ by 0.3 %."""
    return 1000 * water._vapour_pressure(t) if t >= 0 else _over_water(t)  # Pa


def _over_ice(t: float) -> float:
    return 611.2 * math.exp(22.46 * t / (272.62 + t))  # Pa


def _vapour(pascal: float, t: float) -> float:
    return 1000 * pascal / (STEAM * (t + KELVIN))  # g/m³


def _transfer(coefficient: float, room: float, kilopascal: float) -> float:
    density, _, _ = _air(room + KELVIN, kilopascal)
    return coefficient / (density * AIR_HEAT) * 60  # m/min


def _doubtful(rate: float, carried: float) -> Band:
    return Band(
        q(rate * (1 - _LEWIS_DOUBT), "g/m**2/min"),
        q(rate, "g/m**2/min"),
        q(rate * (1 + _LEWIS_DOUBT) * max(1.0, carried), "g/m**2/min"),
        FROM_MEMORY,
        "the air in a kitchen moves as it likes",
    )


def _three(row: Row) -> tuple[Quantity, Quantity, Quantity]:
    if row.low is None or row.high is None:
        raise refuse(row.name, "has no band", "", "", "Fill in low and high")
    return q(row.low, row.unit), row.quantity, q(row.high, row.unit)


def _spread(given: Quantity | None, name: str) -> tuple[float, float, float]:
    if given is not None:
        return given.m, given.m, given.m
    low, typical, high = _three(_TABLE[name])
    return low.m, typical.m, high.m


def _ends_of_window(low: Any, high: Quantity) -> tuple[Quantity, Quantity]:
    """Return both ends, also where a scheme has brought them in place of the low one."""
    if not isinstance(low, tuple):
        return low, high
    if high is not WINDOW_HIGH:
        raise refuse(
            "window, high",
            "is given beside the window of a scheme",
            say(high, digits=6),
            f"The scheme's window ends at {say(low[1], digits=6)}",
            "Give the scheme alone, or two temperatures",
        )
    return low


def _in_order(name: str, low: Quantity, high: Quantity) -> None:
    if low.m >= high.m:
        raise refuse(
            name,
            "has its limits upside down",
            f"{say(low, digits=6)} to {say(high, digits=6)}",
            "The low limit must be below the high one",
            "Swap them" if low.m > high.m else "Set them apart",
        )


def _slope(points: Sequence[tuple[float, float, float]]) -> float:
    """Slope of the weighted straight line through (x, y, weight)."""
    whole = sum(w for _, _, w in points)
    x0 = sum(w * x for x, _, w in points) / whole
    y0 = sum(w * y for _, y, w in points) / whole
    across = sum(w * (x - x0) ** 2 for x, _, w in points)
    return sum(w * (x - x0) * (y - y0) for x, y, w in points) / across


def _share_between(a: float, b: float, low: float, high: float) -> float:
    """Part of a straight run from a to b that lies between low and high."""
    if a == b:
        return 1.0 if low < a < high else 0.0
    bottom, top = max(min(a, b), low), min(max(a, b), high)
    return max(0.0, top - bottom) / abs(a - b)


def _read_rows(
    name: str,
    rows: Sequence[Any],
    columns: Sequence[tuple[str, Measure]],
    least: int,
) -> list[tuple[float, ...]]:
    """Check every cell of a small table and tell all faults at once."""
    wanted = ", ".join(label for label, _ in columns)
    if len(rows) < least:
        raise refuse(
            name,
            "is missing",
            f"{len(rows) or 'none'}",
            f"At least {least} must be given",
            f"Give rows of ({wanted})",
        )
    read: list[tuple[float, ...]] = []
    faults: list[Fault] = []
    for at, row in enumerate(rows, 1):
        if not isinstance(row, list | tuple) or len(row) != len(columns):
            faults.append(
                Fault(
                    f"{name} {at}",
                    "is not a row",
                    repr(row)[:60],
                    f"A row is ({wanted})",
                    "Write it so",
                )
            )
            continue
        cells = []
        for (label, measure), cell in zip(columns, row, strict=True):
            value, fault = measure.check(f"{name} {at}, {label}", cell)
            cells.append(value)
            if fault:
                faults.append(fault)
        if not faults:
            read.append(tuple(float(cell.m) for cell in cells))
    if faults:
        raise FaultsError(faults)
    return read


def _read_log(name: str, rows: Sequence[Any], least: int) -> list[tuple[float, ...]]:
    read = _read_rows(name, rows, (("time", _TIME), ("temperature", _TEMPERATURE)), least)
    back = [
        Fault(
            f"{name} {at + 1}, time",
            "is not later than the row before",
            say(q(t1, "min")),
            f"It must be after {say(q(t0, 'min'))}",
            "Put the rows in order of time",
        )
        for at, ((t0, _), (t1, _)) in enumerate(pairwise(read), 1)
        if t1 - t0 < _TICK
    ]
    if back:
        raise FaultsError(back)
    return read


def _read_shares(shares: Sequence[Any]) -> list[float]:
    rows = _read_rows(
        "jugs, share",
        [(s.to("") if is_quantity(s) and s.dimensionless else s,) for s in shares],
        (("part", Measure("", high=1000, above=0)),),
        1,
    )
    whole = sum(row[0] for row in rows)
    return [row[0] / whole for row in rows]
