"""How to blend a glaze smooth without blending air into it.

A bubble rises at a speed that grows with the square of its size, so large bubbles
leave a jug by themselves and small ones hardly move: the cure is not to make them.
The jug, the depth over the blade and the rest in the warm decide, before the sieve.
*Keep the blender's guard below the surface and off before it is lifted: hot glaze
splashes and the blade cuts.  Your local rules and your supervisor come first.*

Held against a school's worked problem, and against the terminal speeds of the
library ``fluids``.
"""

from __future__ import annotations

import math
from typing import Any

from calculators.faults import Fault, fault_error
from calculators.frozen import frozen
from calculators.sources import table
from calculators.units import (
    COMMON_PRACTICE,
    FROM_MEMORY,
    Band,
    Measure,
    OneOf,
    Quantity,
    calculator,
    q,
    say,
)

_TABLE = table("blending")
GRAVITY = 9.80665  # m/s², standard gravity, [si-brochure]
GLAZE_DENSITY = _TABLE["glaze density"].quantity
SURFACE_TENSION = table("on_the_cake")["surface tension"].quantity.to("N/m")
BLADE_COVER = _TABLE["blade cover"].quantity
HEAT_SHARE = _TABLE["heat share"].quantity

RIGID = "rigid"
CLEAN = "clean"
_FASTER = {RIGID: 1.0, CLEAN: 1.5}  # [hadamard1911]: a gas bubble without a skin
_SPHERE = 0.0477  # [beris1985]: 0.143 of 3 tau / (rho g d), so 0.143 / 3
_BUBBLE = 0.0715  # [tsamopoulos2008], from memory: 0.143 of tau / (rho g R)

_DIAMETER = Measure("mm", high=10, above=0)
_VISCOSITY = Measure("Pa*s", high=1000, above=0)
_DENSITY = Measure("kg/m**3", 500, 2000)
_DEPTH = Measure("cm", high=100, above=0)
_SURFACE = OneOf(RIGID, CLEAN)


# --- how fast a bubble leaves ---------------------------------------------------


@calculator(
    returns="mm/s",
    diameter=_DIAMETER,
    viscosity=_VISCOSITY,
    density=_DENSITY,
    surface=_SURFACE,
)
def rise_speed(
    diameter: Quantity,
    viscosity: Quantity,
    density: Quantity,
    surface: str = RIGID,
) -> Quantity:
    """Return how fast a single air bubble rises through a glaze at rest.

    ``speed = density * g * diameter² / (18 * viscosity)``; half as much again where
    the bubble's surface is clean.

    Parameters
    ----------
    diameter : quantity
        Of the bubble, mm, up to 10; the air's own weight is left out.
    viscosity : quantity
        Of the glaze, Pa s, up to 1000.
    density : quantity
        Of the glaze without air, kg/m³, 500 to 2000.
    surface : str
        ``"rigid"`` where gelatin or milk protein makes a skin on the bubble (every
        glaze), ``"clean"`` for a bare syrup.

    Returns
    -------
    quantity
        mm/s.  For one small round bubble: good to 1 % where it creeps, and up to
        15 % too fast near Reynolds number 1; a crowd of bubbles rises slower.

    Examples
    --------
    >>> say(rise_speed(q(1, "mm"), q(1, "Pa*s"), q(1300, "kg/m**3")))
    '0.708 mm/s'

    Notes
    -----
    *Watch out*: half the size is a quarter of the speed.  A bubble that is so fast
    or so large that the law fails (Reynolds or Bond number above 1) is refused.

    Sources: Stokes 1851 [stokes1851]; Hadamard 1911 and Rybczynski 1911
    [hadamard1911].
    """
    size, thickness, weight = diameter.m / 1000, viscosity.m, density.m
    speed = _FASTER[surface] * _stokes(size, thickness, weight)
    _must_creep("rise_speed", size, thickness, weight, speed)
    return q(1000 * speed, "mm/s")


@calculator(
    returns="min",
    depth=_DEPTH,
    diameter=_DIAMETER,
    viscosity=_VISCOSITY,
    density=_DENSITY,
    surface=_SURFACE,
)
def time_to_clear(
    depth: Quantity,
    diameter: Quantity,
    viscosity: Quantity,
    density: Quantity,
    surface: str = RIGID,
) -> Quantity:
    """Return how long a bubble takes from the bottom of the jug to the top.

    ``time = depth / rise_speed``

    Parameters
    ----------
    depth : quantity
        Of the glaze in the jug, cm, up to 100.
    diameter, viscosity, density, surface
        As in :func:`rise_speed`.

    Returns
    -------
    quantity
        min, if the glaze neither cools nor sets meanwhile.

    Examples
    --------
    >>> say(time_to_clear(q(10, "cm"), q(0.5, "mm"), q(1, "Pa*s"), q(1300, "kg/m**3")))
    '9.41 min'

    Notes
    -----
    *Watch out*: while it waits it cools, gets thicker and holds its bubbles; rest it
    warm and covered, and count that time as time out of temperature.

    Sources: as :func:`rise_speed`.
    """
    speed = rise_speed(diameter, viscosity, density, surface)
    return q(depth.m * 10 / speed.m / 60, "min")


@calculator(
    returns="mm",
    depth=_DEPTH,
    time=Measure("min", high=14400, above=0),
    viscosity=_VISCOSITY,
    density=_DENSITY,
    surface=_SURFACE,
)
def smallest_cleared(
    depth: Quantity,
    time: Quantity,
    viscosity: Quantity,
    density: Quantity,
    surface: str = RIGID,
) -> Quantity:
    """Return the smallest bubble that has left the whole jug after a rest.

    ``diameter = sqrt(18 * viscosity * depth / (density * g * time))``

    Parameters
    ----------
    depth : quantity
        Of the glaze in the jug, cm, up to 100.
    time : quantity
        Of the rest, min, up to ten days.
    viscosity, density, surface
        As in :func:`rise_speed`.

    Returns
    -------
    quantity
        mm.  All larger bubbles have left; smaller ones from near the top too.

    Examples
    --------
    >>> rest = q(30, "min")
    >>> say(smallest_cleared(q(10, "cm"), rest, q(1, "Pa*s"), q(1300, "kg/m**3")))
    '0.28 mm'

    Notes
    -----
    *Watch out*: four times the rest only halves the bubble that is left.

    Sources: as :func:`rise_speed`.
    """
    speed = depth.m / 100 / (time.m * 60)
    push = _FASTER[surface] * density.m * GRAVITY
    size = math.sqrt(18 * viscosity.m * speed / push)
    _must_creep("smallest_cleared", size, viscosity.m, density.m, speed)
    return q(1000 * size, "mm")


@calculator(
    returns="Pa*s",
    diameter=_DIAMETER,
    speed=Measure("mm/s", high=1000, above=0),
    density=_DENSITY,
    surface=_SURFACE,
)
def viscosity_from_bubble(
    diameter: Quantity,
    speed: Quantity,
    density: Quantity,
    surface: str = RIGID,
) -> Quantity:
    """Return how thick a glaze is, from one bubble timed against a ruler.

    ``viscosity = density * g * diameter² / (18 * speed)``

    Parameters
    ----------
    diameter : quantity
        Of the bubble, mm, up to 10.
    speed : quantity
        At which it was seen to rise, mm/s.
    density, surface
        As in :func:`rise_speed`.

    Returns
    -------
    quantity
        Pa s.  An error of a tenth in the diameter is a fifth in the answer.

    Examples
    --------
    >>> seen = q(10, "mm") / q(14, "s")
    >>> say(viscosity_from_bubble(q(1, "mm"), seen, q(1300, "kg/m**3")))
    '0.992 Pa s'

    Notes
    -----
    *Watch out*: a round jug shows a bubble wider than it is; use a flat-sided one.

    Sources: as :func:`rise_speed`, solved for the viscosity.
    """
    size, pace = diameter.m / 1000, speed.m / 1000
    thickness = _FASTER[surface] * _stokes(size, 1.0, density.m) / pace
    _must_creep("viscosity_from_bubble", size, thickness, density.m, pace)
    return q(thickness, "Pa*s")


# --- the bubble that stays --------------------------------------------------------


@frozen
class Held:
    """Whether a glaze at rest holds a bubble in its place.

    Parameters
    ----------
    critical : Band
        The yield stress that would just hold it: low as a rigid sphere, high as a
        bubble without a skin, typically the middle of the two.
    verdict : str
        ``"held"``, ``"rises"`` or ``"in doubt"``.
    words : str
        The verdict as it is said at the bench, with what it rests on.
    """

    critical: Band
    verdict: str
    words: str

    @property
    def as_sphere(self) -> Quantity:
        """The critical yield stress as a rigid sphere."""
        return self.critical.low

    @property
    def as_bubble(self) -> Quantity:
        """The critical yield stress as a bubble without a skin."""
        return self.critical.high

    def __str__(self) -> str:
        """Return the verdict in words."""
        return self.words


@calculator(
    returns="whether it is held, with the critical stress as a band",
    diameter=_DIAMETER,
    yield_stress=Measure("Pa", 0, 1000),
    density=_DENSITY,
)
def held_by_yield_stress(diameter: Quantity, yield_stress: Quantity, density: Quantity) -> Held:
    """Return whether a glaze is stiff enough at rest to hold a bubble for good.

    ``critical = 0.0477 * density * g * diameter`` for a rigid sphere, and
    ``0.0715 * density * g * diameter`` for a round bubble without a skin.

    Parameters
    ----------
    diameter : quantity
        Of the bubble, mm, up to 10.
    yield_stress : quantity
        The stress below which the glaze does not flow, Pa, 0 to 1000.
    density : quantity
        Of the glaze, kg/m³, 500 to 2000.

    Returns
    -------
    Held
        The band of the critical stress, Pa, and the verdict.  What is seen at the
        bench lies within a factor of two.

    Examples
    --------
    >>> bubble = held_by_yield_stress(q(0.5, "mm"), q(2, "Pa"), q(1300, "kg/m**3"))
    >>> bubble.verdict, say(bubble.as_sphere), say(bubble.as_bubble)
    ('held', '0.304 Pa', '0.456 Pa')

    Notes
    -----
    *Watch out*: 0.143 is often quoted without saying of what.  It is the limit of
    ``3 * stress / (density * g * diameter)``; read without the 3 it is wrong by
    three times.

    Sources: Beris and others 1985 [beris1985] for the sphere (0.143 published, what
    it is divided by from memory); Tsamopoulos and others 2008 [tsamopoulos2008] for
    the bubble, from memory.
    """
    push = density.m * GRAVITY * diameter.m / 1000
    sphere, bubble = _SPHERE * push, _BUBBLE * push
    critical = Band.of(
        (sphere, (sphere + bubble) / 2, bubble),
        "Pa",
        FROM_MEMORY,
        "real bubbles lie within a factor of two; the bubble's limit is from memory",
    )
    stress = yield_stress.m
    size = say(diameter)
    if stress >= bubble:
        sure = "" if stress >= 2 * bubble else ", though not by a factor of two"
        return Held(critical, "held", f"A bubble of {size} stays where it is{sure}")
    if stress < sphere:
        sure = "" if stress <= sphere / 2 else ", though not by a factor of two"
        return Held(critical, "rises", f"A bubble of {size} rises, if slowly{sure}")
    return Held(
        critical,
        "in doubt",
        f"A bubble of {size} may rise or stay: the two limits do not agree",
    )


# --- the air that is in it -----------------------------------------------------------


class _FullCup(Measure):
    """The mass of what fills a cup, or a density, which is a cup of one litre."""

    def check(self, name: str, value: Any) -> tuple[Any, Fault | None]:
        """Return the value in g or in g/ml, and the fault if there is one."""
        if getattr(value, "dimensionality", None) == q(1, "g/ml").dimensionality:
            return Measure("g/ml", high=3, above=0).check(name, value)
        return super().check(name, value)


@calculator(
    returns="percent",
    weighed=_FullCup("g", above=0),
    air_free=_FullCup("g", above=0),
)
def air_fraction(weighed: Quantity, air_free: Quantity) -> Quantity:
    """Return how much of a blended glaze is air, by volume, from a cup filled level.

    ``air = 1 - weighed / air_free``

    Parameters
    ----------
    weighed : quantity
        The glaze that fills the cup after blending, g, without the cup; or its
        density.
    air_free : quantity
        The same cup full of the glaze without air, g; or that density.

    Returns
    -------
    quantity
        % of the volume.  One gram in a cup of 250 g is 0.4 %.

    Examples
    --------
    >>> air_fraction(q(284, "g"), q(300, "g")).m_as("percent")
    5.33

    Notes
    -----
    *Watch out*: take the cup's own mass off both, and fill it at the same
    temperature.

    Source: balance of volumes; the mass of the air is left out.
    """
    if weighed.dimensionality != air_free.dimensionality:
        raise fault_error(
            "air_fraction",
            "has a mass beside a density",
            f"{say(weighed)} and {say(air_free)}",
            "Both are masses of the same cup, or both are densities",
            "Give two of a kind",
        )
    if weighed.m > air_free.m:
        raise fault_error(
            "air_fraction, weighed",
            "is more than the glaze without air",
            say(weighed, digits=6),
            f"It must be at most {say(air_free, digits=6)}",
            "See whether the two are swapped, or the cup's own mass is in one of them",
        )
    return q(100 * (1 - weighed.m / air_free.m), "percent")


# --- the blender and the jug ------------------------------------------------------------


@calculator(
    returns="delta_degC",
    power=Measure("W", 0, 5000),
    time=Measure("s", 0, 3600),
    mass=Measure("kg", high=1000, above=0),
    specific_heat=Measure("kJ/kg/K", 0.5, 5),
    share=Measure("percent", 0, 100),
)
def temperature_rise(
    power: Quantity,
    time: Quantity,
    mass: Quantity,
    specific_heat: Quantity,
    share: Quantity = HEAT_SHARE,
) -> Quantity:
    """Return how much blending warms the glaze, at the most.

    ``rise = share * power * time / (mass * specific_heat)``

    Parameters
    ----------
    power : quantity
        Of the blender, as on its plate, W, 0 to 5000.
    time : quantity
        Of blending, s, up to an hour.
    mass : quantity
        Of the glaze, kg.
    specific_heat : quantity
        Of the glaze, kJ/kg/K, 0.5 to 5; about 2.9 for a glaze, from memory.
    share : quantity
        What part of the power ends in the glaze, %, 0 to 100.

    Returns
    -------
    quantity
        A difference of temperature, °C: an upper bound at 100 %.

    Examples
    --------
    >>> minute = q(60, "s")
    >>> say(temperature_rise(q(300, "W"), minute, q(1.2, "kg"), q(3, "kJ/kg/K")))
    '5 °C'

    Notes
    -----
    *Watch out*: the plate tells what the motor may draw, and a blender in a loose
    glaze draws less.

    Source: energy balance.
    """
    heat = share.m / 100 * power.m * time.m
    return q(heat / (mass.m * 1000 * specific_heat.m), "delta_degC")


_JUG = Measure("cm", high=100, above=0)


@frozen
class Batch:
    """The least glaze that a jug and a blade will blend without drawing air.

    Parameters
    ----------
    depth : quantity
        Of the glaze in the jug, cm.
    volume : quantity
        ml.
    mass : quantity
        g.
    provenance : str
        Of the margin over the guard.
    """

    depth: Quantity
    volume: Quantity
    mass: Quantity
    provenance: str = COMMON_PRACTICE

    def __str__(self) -> str:
        """Return the batch as it is said at the bench."""
        return f"{say(self.mass)} ({say(self.volume)}, {say(self.depth)} deep)"


@calculator(
    returns="a batch: depth, volume and mass",
    jug_diameter=_JUG,
    blade_height=_JUG,
    margin=Measure("cm", 0, 20),
    density=_DENSITY,
)
def smallest_batch(
    jug_diameter: Quantity,
    blade_height: Quantity,
    margin: Quantity = BLADE_COVER,
    density: Quantity = GLAZE_DENSITY,
) -> Batch:
    """Return the least glaze that covers the blender's guard in a straight jug.

    ``volume = pi / 4 * jug_diameter² * (blade_height + margin)``

    Parameters
    ----------
    jug_diameter : quantity
        Inside, cm, up to 100.
    blade_height : quantity
        From the bottom of the jug to the top of the guard as it is held, cm.
    margin : quantity
        Of glaze above the guard, cm, 0 to 20; 2 cm is common practice.
    density : quantity
        Of the glaze, kg/m³, 500 to 2000; weigh your own.

    Returns
    -------
    Batch
        With ``depth`` in cm, ``volume`` in ml and ``mass`` in g.  The room that the
        blender's foot takes is left out, so it is on the safe side.

    Examples
    --------
    >>> print(smallest_batch(q(10, "cm"), q(3, "cm")))
    491 g (393 ml, 5 cm deep)

    Notes
    -----
    *Watch out*: a quarter share may be less than this.  Then use a narrower jug, a
    spatula, or pool the batches; never tilt a running blender.

    Source: volume of a cylinder; the margin is common practice.
    """
    depth = blade_height.m + margin.m
    volume = math.pi / 4 * jug_diameter.m**2 * depth
    mass = volume * density.m / 1000
    return Batch(q(depth, "cm"), q(volume, "ml"), q(mass, "g"))


@calculator(
    returns="cm",
    mass=Measure("g", high=100_000, above=0),
    jug_diameter=_JUG,
    density=_DENSITY,
)
def depth_in_jug(
    mass: Quantity, jug_diameter: Quantity, density: Quantity = GLAZE_DENSITY
) -> Quantity:
    """Return how deep a share of glaze stands in a straight jug.

    ``depth = mass / (density * pi / 4 * jug_diameter²)``

    Parameters
    ----------
    mass : quantity
        Of the glaze, g, up to 100 kg.
    jug_diameter : quantity
        Inside, cm, up to 100.
    density : quantity
        Of the glaze, kg/m³, 500 to 2000.

    Returns
    -------
    quantity
        cm.

    Examples
    --------
    >>> say(depth_in_jug(q(300, "g"), q(10, "cm")))
    '3.06 cm'

    Notes
    -----
    *Watch out*: a jug that widens upwards holds the glaze lower at the brim and
    higher at the foot than this.

    Source: volume of a cylinder.
    """
    area = math.pi / 4 * jug_diameter.m**2
    return q(mass.m / (density.m / 1000) / area, "cm")


# --- helpers ----------------------------------------------------------------------------


def _stokes(size: float, thickness: float, weight: float) -> float:
    return weight * GRAVITY * size**2 / (18 * thickness)  # SI throughout


def _must_creep(name: str, size: float, thickness: float, weight: float, speed: float) -> None:
    reynolds = weight * speed * size / thickness
    bond = weight * GRAVITY * size**2 / SURFACE_TENSION.m
    if reynolds > 1:
        raise fault_error(
            name,
            "has a bubble too fast for Stokes' law",
            f"Reynolds number {reynolds:.2g}",
            "The Reynolds number must be at most 1",
            "Take a smaller bubble or a thicker glaze; such a bubble leaves by itself",
        )
    if bond > 1:
        raise fault_error(
            name,
            "has a bubble too large to stay round",
            f"{1000 * size:.3g} mm, Bond number {bond:.2g}",
            "The Bond number must be at most 1, which is about 2 mm",
            "Take a smaller bubble; larger ones are burst with a spatula or a sieve",
        )
