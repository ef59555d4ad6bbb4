"""When a cake sweats or frosts, and how fast water leaves a surface."""

from __future__ import annotations

import math

from calculators import water
from calculators.cooling.mixing import (
    AIR_HEAT,
    DRY_AIR,
    SEA_LEVEL,
    STEAM,
)
from calculators.cooling.stirred import COEFFICIENT
from calculators.cooling.surroundings import PRESSURE, natural_convection
from calculators.frozen import frozen
from calculators.units import FROM_MEMORY, Band, Measure, Quantity, calculator, q, say

_LEWIS_DOUBT = 0.3  # of the heat to mass analogy in a kitchen, from memory
_CAKE_HEIGHT = q(5, "cm")  # over which still air brings its water
_DEW_DOUBT = 1.0  # °C, what an error of 5 % of humidity makes, from memory
_MOIST = Measure("degC", -40, 60)
_HUMIDITY = Measure("percent", high=100, above=0)


# --- dew and frost ----------------------------------------------------------------------------


@calculator(returns="degC", temperature=_MOIST, humidity=_HUMIDITY)
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
    x = math.log(humidity.m / 100) + _power(_WATER, temperature.m)
    slope, shift = _WATER
    return q(shift * x / (slope - x), "degC")


@calculator(
    returns="a band, g/m**2/min",
    room=_MOIST,
    humidity=_HUMIDITY,
    surface=_MOIST,
    coefficient=COEFFICIENT,
    pressure=PRESSURE,
)
def frost(
    room: Quantity,
    humidity: Quantity,
    surface: Quantity,
    coefficient: Quantity | None = None,
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
        Of heat transfer by the air alone, without radiation, W/m²/K; left out, what
        ``natural_convection`` gives for a cake 5 cm high, less in thinner air.
    pressure : quantity
        Of the air, kPa, 30 to 110.

    Returns
    -------
    Band
        g/m²/min, within 30 %; zero where the surface is above the dew point.
        Times the minutes in the open it is a mass on an area.

    Examples
    --------
    >>> rate = frost(q(22, "degC"), q(60, "percent"), q(-18, "degC"))
    >>> say(rate.typical), say(rate.typical * q(10, "min"), "g/m**2")
    ('3.92 g/min/m²', '39.2 g/m²')

    Notes
    -----
    *Watch out*: a glaze slides on it.  Unwrap at the last moment and wipe with a
    clean glove or dry cloth; the cold burns bare fingers.

    Source: analogy of heat and mass, Lewis 1922 [lewis1922], with a Lewis number of
    one; vapour pressures over water and ice from WMO-No. 8 [wmo8].
    """
    there = humidity.m / 100 * _over(_WATER, room.m)
    here = _over(_ICE, surface.m) if surface.m < 0 else _over(_WATER, surface.m)
    wetter = max(0.0, there - here) / (pressure.m * 1000)
    if coefficient is None:
        coefficient = natural_convection(surface, room, _CAKE_HEIGHT, pressure)
    rate = coefficient.m / AIR_HEAT * DRY_AIR / STEAM * wetter * 60_000
    ends = (rate * (1 - _LEWIS_DOUBT), rate, rate * (1 + _LEWIS_DOUBT))
    return Band.of(ends, "g/m**2/min", FROM_MEMORY, "the air in a kitchen moves as it likes")


@frozen
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


@calculator(returns="a verdict with the dew point", surface=_MOIST, room=_MOIST, humidity=_HUMIDITY)
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


# Vapour pressures in the form that a student can turn round by hand, WMO-No. 8;
# water.vapour_pressure is the exact one.
_WATER, _ICE = (17.62, 243.12), (22.46, 272.62)  # slope, and °C


def _power(over: tuple[float, float], t: float) -> float:
    slope, shift = over
    return slope * t / (shift + t)


def _over(what: tuple[float, float], t: float) -> float:
    return 611.2 * math.exp(_power(what, t))  # Pa


def saturated_at(t: float) -> float:
    """Return the pressure of saturated vapour over water in Pa, at t °C.

    Exact where water is liquid; the two forms differ by 0.3 %.
    """
    return 1000 * water.vapour_pressure.floats(t) if t >= 0 else _over(_WATER, t)
