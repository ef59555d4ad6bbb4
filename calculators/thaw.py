"""How many hours a frozen cake needs in the fridge until it can be served.

The cold air brings heat to the surface slowly, and mousse, full of air, passes it on
slowly.  Most of it melts ice, and in a sweet mousse the ice melts over many degrees.
*Thaw in the fridge: on the bench the outside is warm for hours before the middle is
soft.  Your local rules and your supervisor come first.*

Held against Plank's law and the numbers of Pham's erratum.
"""

from __future__ import annotations

import math

from calculators.cooling import WATER_HEAT, dew_point
from calculators.faults import Fault, refuse
from calculators.frozen import frozen
from calculators.sources import table
from calculators.units import (
    FROM_MEMORY,
    Band,
    Measure,
    OneOf,
    Quantity,
    calculator,
    q,
    say,
)

_TABLE = table("thaw")
PLACES = ("still fridge", "moving fridge", "boxed")
_DRY_HEAT = 1000 * _TABLE["dry solids heat"].quantity.m
_ICE_HEAT = 1000 * _TABLE["ice heat"].quantity.m
_LIQUID_HEAT = 1000 * WATER_HEAT.m
_FUSION = 1000 * _TABLE["heat of fusion"].quantity.m
_HELD = _TABLE["unfreezable water"].quantity.m
_SENSIBLE = _TABLE["Pham sensible"].quantity.m
_LATENT = _TABLE["Pham latent"].quantity.m
_SLICES = 200

_SERVED, _FRIDGE, _DAMP = q(2, "degC"), q(4, "degC"), q(85, "percent")
MOUSSE_WATER = _TABLE["mousse water"].quantity
MOUSSE_FREEZES = _TABLE["mousse freezing begins"].quantity
MOUSSE_DENSITY = _TABLE["mousse density"].quantity
_COLD = Measure("degC", -40, -1)
_FREEZING = Measure("degC", -12, -0.3)
_WET = Measure("percent", 20, 95)
_SIZE = Measure("cm", high=100, above=0)


# --- ice on the way --------------------------------------------------------------------


@calculator(returns="percent", temperature=Measure("degC", -40, 30), freezing=_FREEZING, water=_WET)
def ice(
    temperature: Quantity,
    freezing: Quantity = MOUSSE_FREEZES,
    water: Quantity = MOUSSE_WATER,
) -> Quantity:
    """Return how much of a mousse is ice at a temperature.

    ``ice = (water - held) * (1 - freezing / temperature)`` in °C below zero; the
    solids hold some water that never freezes.

    Parameters
    ----------
    temperature : quantity
        °C, -40 to 30.
    freezing : quantity
        Where the first ice forms, °C, -12 to -0.3; from memory.
    water : quantity
        In the mousse, %; from memory.

    Returns
    -------
    quantity
        % of the whole; zero above the freezing point.

    Examples
    --------
    >>> say(ice(q(-18, "degC")), digits=2), say(ice(q(-4, "degC")), digits=2)
    ('35\u00a0%', '10\u00a0%')

    Notes
    -----
    *Watch out*: there is no one freezing point: a third of the water of a sweet
    mousse is still liquid in the freezer.

    Source: ideal solution, [schwartzberg1976]; mousse from memory.
    """
    return q(100 * _ice(temperature.m, freezing.m, water.m / 100), "percent")


@calculator(
    returns="kJ/kg",
    cold=Measure("degC", -40, 30),
    warm=Measure("degC", -40, 30),
    freezing=_FREEZING,
    water=_WET,
)
def heat_between(
    cold: Quantity,
    warm: Quantity,
    freezing: Quantity = MOUSSE_FREEZES,
    water: Quantity = MOUSSE_WATER,
) -> Quantity:
    """Return the heat that a mousse takes up from one temperature to another.

    Warmth of solids, water and ice, and the melting of the ice that goes.

    Parameters
    ----------
    cold, warm : quantity
        °C, -40 to 30.
    freezing, water : quantity
        As in :func:`ice`.

    Returns
    -------
    quantity
        kJ/kg; below zero where ``warm`` is the colder one.

    Examples
    --------
    >>> say(heat_between(q(-18, "degC"), q(4, "degC")), digits=2)
    '170 kJ/kg'

    Notes
    -----
    *Watch out*: melting takes most of it, and most of that below -1 °C.

    Source: balance of heat on :func:`ice`.
    """
    given = freezing.m, water.m / 100
    return q((_enthalpy(warm.m, *given) - _enthalpy(cold.m, *given)) / 1000, "kJ/kg")


# --- how long -----------------------------------------------------------------------------


@frozen
class Thawed:
    """When a cake can be served, and when dew stops.

    Parameters
    ----------
    time : Band
        Until the middle is at its target, h.
    dry_after : Band or None
        Until the surface is above the dew point, h; None where dew never forms.
    dew_point : quantity
        Of the air in the fridge, °C.
    """

    time: Band
    dry_after: Band | None
    dew_point: Quantity

    @property
    def words(self) -> str:
        """What is said at the bench."""
        hours = [say(t, "h", digits=2) for t in (self.time.low, self.time.high)]
        told = f"Ready in the middle after {hours[0]} to {hours[1]}"
        if self.dry_after is None:
            return f"{told}; no dew forms"
        wet = say(self.dry_after.typical, "h", digits=2)
        return f"{told}; dew or frost gathers for about the first {wet}: leave it wrapped or boxed"

    def __str__(self) -> str:
        """Return it in words."""
        return self.words


@calculator(
    returns="when it is ready and when it is dry",
    diameter=_SIZE,
    height=_SIZE,
    cake=_COLD,
    target=Measure("degC", -0.5, 20),
    fridge=Measure("degC", 0, 25),
    place=OneOf(*PLACES),
    humidity=Measure("percent", high=100, above=0),
    freezing=_FREEZING,
    water=_WET,
    density=Measure("kg/m**3", 200, 1400),
)
def thaw(
    diameter: Quantity,
    height: Quantity,
    cake: Quantity,
    target: Quantity = _SERVED,
    fridge: Quantity = _FRIDGE,
    place: str = "still fridge",
    humidity: Quantity = _DAMP,
    freezing: Quantity = MOUSSE_FREEZES,
    water: Quantity = MOUSSE_WATER,
    density: Quantity = MOUSSE_DENSITY,
) -> Thawed:
    """Return how long a round frozen cake on its board takes to serving temperature.

    ``time = sum(heat / (coefficient * area * (fridge - cake)) * (1 + Bi / K))``, with
    K = 4 where ice melts and 6 where none does; ``Bi = coefficient * thickness /
    conductivity``, and the thickness twice the height, or the diameter if less.

    Parameters
    ----------
    diameter, height : quantity
        Of the cake, cm.
    cake : quantity
        At first, °C, -40 to -1.
    target : quantity
        Of the middle, °C, below the fridge's own.
    fridge : quantity
        Its air, °C, 0 to 25.
    place : str
        ``"still fridge"``, ``"moving fridge"`` or ``"boxed"``.
    humidity : quantity
        Of the air in the fridge, %.
    freezing, water, density : quantity
        Of the mousse, °C, % and kg/m³; from memory.

    Returns
    -------
    Thawed
        ``time`` and ``dry_after`` as bands in h, from memory of mousse and fridges.

    Examples
    --------
    >>> told = thaw(q(18, "cm"), q(4.5, "cm"), q(-18, "degC"))
    >>> q(4, "h") < told.time.low < told.time.high < q(24, "h")
    True

    Notes
    -----
    *Watch out*: the last degree takes as long as several before it, since cake and
    fridge are then nearly alike.  The board under it lets little heat in, and none
    is counted; neither is the heat that dew brings, some tenth of the whole.

    Sources: [pham1984], its stages the other way round for thawing; mousse from memory.
    """
    faults = []
    if target.m >= fridge.m - 0.5:
        faults.append(
            Fault(
                "thaw, target",
                "is not reached in this fridge in any useful time",
                say(target, digits=6),
                f"It must be at least half a degree below the fridge's {say(fridge, digits=6)}",
                "Choose a lower target or a warmer place",
            )
        )
    if cake.m > freezing.m - 0.2:
        faults.append(
            Fault(
                "thaw, cake",
                "is not frozen",
                say(cake, digits=6),
                f"It must be below {say(q(freezing.m - 0.2, 'degC'), digits=4)}",
                "Look at the temperature of the freezer",
            )
        )
    refuse(faults)
    dew = dew_point(fridge, humidity)
    times, wets = [], []
    for end in (2, 1, 0):  # quick, usual, slow
        h, k = _TABLE[place].three[end], _TABLE["mousse conductivity"].three[end]
        body = _Body(
            h,
            min(2 * height.m, diameter.m) / 100,
            k,
            _volume_by_area(diameter.m, height.m) * density.m,
            fridge.m,
        )
        mousse = (freezing.m, water.m / 100)
        mean = body.mean_when_the_middle_is(target.m)
        times.append(body.seconds(cake.m, mean, *mousse) / 3600)
        edge = body.mean_when_the_face_is(dew.m)
        wets.append(body.seconds(cake.m, max(cake.m, min(edge, mean)), *mousse) / 3600)
    return Thawed(_hours(times), _hours(wets) if wets[1] > 0 else None, dew)


# --- helpers -------------------------------------------------------------------------------


@frozen
class _Body:
    """A cake in cold air: W/m²/K, m, W/m/K, kg for each m² of face, °C."""

    coefficient: float
    thickness: float
    conductivity: float
    mass: float
    air: float

    @property
    def biot(self) -> float:
        return self.coefficient * self.thickness / self.conductivity

    def mean_when_the_middle_is(self, middle: float) -> float:
        """Return the mean temperature, [pham1984]."""
        return middle - (middle - self.air) / (2 + 4 / self.biot)

    def mean_when_the_face_is(self, face: float) -> float:
        """Return the mean at which a face that warms steadily is so warm."""
        return self.air - (self.air - face) * (1 + self.biot / _SENSIBLE)

    def seconds(self, first: float, last: float, freezing: float, water: float) -> float:
        """Add up the stages in thin slices of temperature."""
        total, slice_ = 0.0, (last - first) / _SLICES
        for n in range(_SLICES):
            low = first + n * slice_
            heat = _enthalpy(low + slice_, freezing, water) - _enthalpy(low, freezing, water)
            divisor = _LATENT if low + slice_ / 2 < freezing else _SENSIBLE
            total += self.stage(heat, self.air - low - slice_ / 2, divisor)
        return total

    def stage(self, heat: float, push: float, divisor: float = _LATENT) -> float:
        """Return seconds for J/kg at one temperature, K below the air's: Plank's law."""
        return self.mass * heat / (self.coefficient * push) * (1 + self.biot / divisor)


def _volume_by_area(diameter: float, height: float) -> float:
    """Volume by glazed face of a cylinder on its board, m."""
    return height / (1 + 4 * height / diameter) / 100


def _ice(t: float, freezing: float, water: float) -> float:
    if t >= freezing:
        return 0.0
    held = min(_HELD * (1 - water), water)
    return (water - held) * (1 - freezing / t)


def _enthalpy(t: float, freezing: float, water: float) -> float:
    """Heat above liquid at 0 °C, J/kg; ice forms by the ideal curve."""
    dry = (1 - water) * _DRY_HEAT * t
    if t >= freezing:
        return dry + water * _LIQUID_HEAT * t
    held = min(_HELD * (1 - water), water)
    free = water - held
    # liquid that is left: held + free * freezing / t; its warmth, integrated from 0
    liquid = held * t + free * freezing * (1 + math.log(t / freezing))
    frozen = free * (t - freezing - freezing * math.log(t / freezing))
    return dry + _LIQUID_HEAT * liquid + _ICE_HEAT * frozen - _FUSION * _ice(t, freezing, water)


def _hours(ends: list[float]) -> Band:
    why = "fridges and mousses differ; a probe in the middle of one cake is better"
    return Band.of(sorted(ends), "h", FROM_MEMORY, why)
