"""How what is stirred cools, and how long it takes."""

from __future__ import annotations

import math
from collections.abc import Sequence
from itertools import pairwise
from typing import Any

from calculators.cooling.mixing import HEAT, MASS, TEMPERATURE, read_rows
from calculators.faults import Fault, fault_error, refuse
from calculators.units import InstanceOf, Measure, Quantity, calculator, q, say

_LONGEST = 14400.0  # min, ten days
_TICK = 1e-9  # min; no clock shows less
_TIME = Measure("min", 0, _LONGEST)
CONSTANT = Measure("min", high=_LONGEST, above=0)
AREA = Measure("cm**2", high=1e6, above=0)
COEFFICIENT = Measure("W/m**2/K", high=5000, above=0)


# --- cooling of what is stirred -----------------------------------------------------


@calculator(
    returns="degC",
    time=_TIME,
    start=TEMPERATURE,
    surroundings=TEMPERATURE,
    time_constant=CONSTANT,
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


@calculator(
    returns="min",
    target=TEMPERATURE,
    start=TEMPERATURE,
    surroundings=TEMPERATURE,
    time_constant=CONSTANT,
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
        raise fault_error(
            "time_to, target",
            "is never reached",
            say(target, digits=6),
            f"It must lie between {say(start, digits=6)} and "
            f"{say(surroundings, digits=6)}, "
            "short of the surroundings",
            "Choose another target, or colder or warmer surroundings",
        )
    return q(time_constant.m * math.log(to_go / ahead), "min")


@calculator(
    returns="min",
    readings=InstanceOf((list, tuple), "a list of (time, temperature)"),
    room=TEMPERATURE,
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
    rows = read_log("rate_from_readings, reading", readings)
    above = [t - room.m for _, t in rows]
    if not (min(above) > 0 or max(above) < 0):
        raise fault_error(
            "rate_from_readings, readings",
            "lie on both sides of the room or on it",
            ", ".join(say(q(t, "degC")) for _, t in rows),
            f"All must be warmer than {say(room, digits=6)}, or all colder",
            "Leave out the readings near the room's temperature",
        )
    points = [(t, math.log(abs(d)), d * d) for (t, _), d in zip(rows, above, strict=True)]
    slope = _slope(points)
    if slope > -1 / _LONGEST:
        raise fault_error(
            "rate_from_readings, readings",
            "do not approach the room",
            ", ".join(say(q(t, "degC")) for _, t in rows),
            f"They must move towards {say(room, digits=6)}",
            "Look at the room's temperature and the order of the readings",
        )
    return q(-1 / slope, "min")


@calculator(returns="min", mass=MASS, specific_heat=HEAT, area=AREA, coefficient=COEFFICIENT)
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
        Of heat transfer, W/m²/K: :func:`coefficient`.

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


def two_stirred(
    glaze: float, pool: float, start: float, around: float, loss: float
) -> tuple[float, float]:
    """Return where a stirred glaze and its bath settle, and how fast they come there.

    Parameters
    ----------
    glaze, pool : float
        Heat that each takes for a degree; a bath that is held takes no end of it.
    start, around : float
        Of glaze and bath at first, °C.
    loss : float
        From one to the other for each degree between them and each second.

    Returns
    -------
    tuple of float
        °C, and the share of the distance that goes in a second.
    """
    settles = around + (start - around) * (glaze / (glaze + pool))
    return settles, loss * (1 / glaze + 1 / pool)


def cooling_face(width: float, volume: float) -> float:
    """Return the area through which a straight jug cools: its wall and one end."""
    return math.pi / 4 * width**2 + 4 * volume / width


def _slope(points: Sequence[tuple[float, float, float]]) -> float:
    """Slope of the weighted straight line through (x, y, weight)."""
    whole = sum(w for _, _, w in points)
    x0 = sum(w * x for x, _, w in points) / whole
    y0 = sum(w * y for _, y, w in points) / whole
    across = sum(w * (x - x0) ** 2 for x, _, w in points)
    return sum(w * (x - x0) * (y - y0) for x, y, w in points) / across


def read_log(name: str, log: Sequence[Any]) -> list[tuple[float, float]]:
    """Return a log of times and temperatures in plain numbers, or refuse all its faults."""
    columns = (("time", _TIME), ("temperature", TEMPERATURE))
    rows = [(time, heat) for time, heat in read_rows(name, log, columns, 2)]
    refuse(
        Fault(
            f"{name} {at + 1}, time",
            "is not later than the row before",
            say(q(t1, "min")),
            f"It must be after {say(q(t0, 'min'))}",
            "Put the rows in order of time",
        )
        for at, ((t0, _), (t1, _)) in enumerate(pairwise(rows), 1)
        if t1 - t0 < _TICK
    )
    return rows
