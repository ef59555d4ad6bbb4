"""Three jugs that cool at three speeds, and the bath that brings them together."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Any

from calculators.blending import GLAZE_DENSITY
from calculators.cooling.mixing import (
    GLAZE_HEAT,
    HEAT,
    MASS,
    STILL_AIR,
    STIRRED_BATH,
    TEMPERATURE,
    WATER_HEAT,
    WINDOW_HIGH,
    WINDOW_LOW,
    read_rows,
)
from calculators.cooling.stirred import (
    AREA,
    COEFFICIENT,
    CONSTANT,
    cooling_face,
    time_constant,
    time_to,
    two_stirred,
)
from calculators.faults import fault_error
from calculators.frozen import frozen
from calculators.units import InstanceOf, Measure, Quantity, calculator, is_quantity, q, say

# --- three jugs, and the bath that saves them -----------------------------------------------


@frozen
class CoolingJug:
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


@calculator(
    returns="a jug for each share",
    total=Measure("g", high=100_000, above=0),
    shares=InstanceOf((list, tuple), "a list of shares such as (2, 1, 1)"),
    jug_diameter=Measure("cm", high=100, above=0),
    specific_heat=HEAT,
    density=Measure("kg/m**3", 500, 2000),
    coefficient=COEFFICIENT,
)
def jugs(
    total: Quantity,
    shares: Sequence[Any],
    jug_diameter: Quantity,
    specific_heat: Quantity = GLAZE_HEAT,
    density: Quantity = GLAZE_DENSITY,
    coefficient: Quantity = STILL_AIR,
) -> tuple[CoolingJug, ...]:
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

    def jug(part: float) -> CoolingJug:
        mass = total.m * part
        volume = mass / weight
        depth = 4 * volume / (math.pi * width**2)
        area = q(cooling_face(width, volume), "cm**2")
        pace = time_constant(q(mass, "g"), specific_heat, area, coefficient)
        return CoolingJug(q(100 * part, "percent"), q(mass, "g"), q(depth, "cm"), area, pace)

    return tuple(jug(part) for part in parts)


@frozen
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


@calculator(
    returns="when each is in the window, and whether all are at once",
    time_constants=InstanceOf((list, tuple), "a list of time constants"),
    start=TEMPERATURE,
    surroundings=TEMPERATURE,
    low=TEMPERATURE,
    high=TEMPERATURE,
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
    ends_in_order("in_window_together", low, high)
    if surroundings.m >= high.m or start.m < high.m:
        raise fault_error(
            "in_window_together",
            "has jugs that do not cool into the window",
            f"from {say(start, digits=6)} towards {say(surroundings, digits=6)}",
            f"They start at {say(high, digits=6)} or warmer, in surroundings colder than that",
            "Change start or surroundings",
        )
    rows = read_rows(
        "in_window_together, jug",
        [(pace,) for pace in time_constants],
        (("time constant", CONSTANT),),
        1,
    )
    paces = [q(row[0], "min") for row in rows]
    enters = tuple(time_to(high, start, surroundings, pace) for pace in paces)
    leaves = tuple(
        time_to(low, start, surroundings, pace) if surroundings.m < low.m else None
        for pace in paces
    )
    return Together(enters, leaves)


@frozen
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


@calculator(
    returns="a bath: time, where it settles, how warm the bath ends",
    mass=MASS,
    start=TEMPERATURE,
    target=TEMPERATURE,
    bath=Measure("degC", 0, 95),
    area=AREA,
    coefficient=COEFFICIENT,
    bath_mass=MASS,
    specific_heat=HEAT,
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
    loss = coefficient.m * area.m / 1e4 / 1000  # kW/K
    end, rate = two_stirred(glaze, pool, start.m, bath.m, loss)
    settles, pace = q(end, "degC"), q(1 / rate / 60, "min")
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
    raise fault_error(
        "water_bath, target",
        "is never reached in this bath",
        say(target, digits=6),
        f"Glaze and bath settle at {say(settles, digits=5)}",
        step,
    )


def ends_in_order(name: str, low: Any, high: Any) -> None:
    """Refuse two ends that are not in order."""
    if low.m >= high.m:
        raise fault_error(
            name,
            "has its limits upside down",
            f"{say(low, digits=6)} to {say(high, digits=6)}",
            "The low limit must be below the high one",
            "Swap them" if low.m > high.m else "Set them apart",
        )


def _read_shares(shares: Sequence[Any]) -> list[float]:
    rows = read_rows(
        "jugs, share",
        [(s.to("") if is_quantity(s) and s.dimensionless else s,) for s in shares],
        (("part", Measure("", high=1000, above=0)),),
        1,
    )
    whole = sum(row[0] for row in rows)
    return [row[0] / whole for row in rows]
