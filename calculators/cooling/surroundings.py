"""How strongly air, wind, walls and water cool what stands in them."""

from __future__ import annotations

from calculators.blending import GRAVITY
from calculators.cooling.mixing import (
    AIR_HEAT,
    DRY_AIR,
    SEA_LEVEL,
    TABLE,
    TEMPERATURE,
)
from calculators.units import Band, Measure, OneOf, Quantity, calculator, q
from calculators.water import KELVIN

_PLACES = ("still air", "fan freezer", "stirred water bath")
PRESSURE = Measure("kPa", 30, 110)


# --- how strongly the surroundings cool ------------------------------------------------


_HEIGHT = Measure("cm", high=200, above=0)


@calculator(
    returns="W/m**2/K",
    surface=TEMPERATURE,
    room=TEMPERATURE,
    height=_HEIGHT,
    pressure=PRESSURE,
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
    density, viscosity, conductivity = air_at(film, pressure.m)
    prandtl = viscosity * AIR_HEAT / conductivity
    size = height.m / 100
    push = GRAVITY * abs(surface.m - room.m) / film * size**3
    rayleigh = push * (density / viscosity) ** 2 * prandtl
    return q(up_a_wall(rayleigh, prandtl) * conductivity / size, "W/m**2/K")


def up_a_wall(rayleigh: float, prandtl: float) -> float:
    """Return the Nusselt number of still air on an upright wall, [churchill-chu1975]."""
    bracket = (1 + (0.492 / prandtl) ** (9 / 16)) ** (8 / 27)
    return (0.825 + 0.387 * rayleigh ** (1 / 6) / bracket) ** 2


@calculator(returns="a band, W/m**2/K", place=OneOf(*_PLACES))
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
    return TABLE[place].band(TABLE[place].condition)


# --- helpers --------------------------------------------------------------------------------------


def air_at(kelvin: float, kilopascal: float) -> tuple[float, float, float]:
    """Density, viscosity and conductivity of dry air, [us-atmosphere1976]."""
    density = 1000 * kilopascal / (DRY_AIR * kelvin)
    viscosity = 1.458e-6 * kelvin**1.5 / (kelvin + 110.4)
    conductivity = 2.64638e-3 * kelvin**1.5 / (kelvin + 245.4 * 10 ** (-12 / kelvin))
    return density, viscosity, conductivity
