"""How thick a coat stays on a cold cake: it runs off until the cold has set it.

Where warm glaze meets the frozen cake a set layer grows outwards, as the root of
time, while what is still liquid drains off the wall and over the edge.  The coat is
what the set layer catches.  A hotter, thinner glaze or a warmer cake catches less.

It is a race of two bands, so the answer is a wide band, and the scale has the last
word: see ``coating.coat``.  The frozen cake burns bare fingers with cold, and warm
glaze is slippery on the floor.  *Your local rules and your supervisor come first.*
"""

from __future__ import annotations

import math
from bisect import bisect_right
from functools import lru_cache
from itertools import pairwise
from operator import itemgetter
from typing import NamedTuple

from calculators.blending import GLAZE_DENSITY, GRAVITY
from calculators.coating import (
    Cylinder,
    Dome,
    Egg,
    Heart,
    Loaf,
    Ring,
    Savarin,
    Shape,
    Slab,
    YuleLog,
)
from calculators.cooling import GLAZE_CONDUCTIVITY, GLAZE_HEAT, contact_temperature
from calculators.cooling.mixing import TABLE as COOLING
from calculators.faults import fault_error
from calculators.frozen import frozen
from calculators.sources import table
from calculators.units import (
    FROM_MEMORY,
    Band,
    InstanceOf,
    Measure,
    OneOf,
    Quantity,
    calculator,
    interpolate,
    q,
    say,
    solve,
)
from calculators.water import GAS_IN_KJ, KELVIN

_TABLE = table("on_the_cake")
_FLOW = table("glaze_flow")["heat of flow"].quantity.m  # kJ/mol
SURFACE_TENSION = _TABLE["surface tension"].quantity
# Where the film is first followed; what it was before is forgotten at once.
_POURED_DEPTH, _FIRST_MOMENT = 0.010, 0.05  # m, s
_WAVE = 0.020  # m from crest to crest: the wave that is meant wherever waves are told
_WATCHED = _TABLE["watched"].quantity.m
TOP, WALL = "top", "wall"
_ALL = 4.0  # where erf is one but for 1e-8
_UNSEEN = 0.1  # % of a wave, that no eye sees and no page prints smaller

# A level top that drains over its edges keeps one shape: with thickness f(x) times a
# function of time, (x f³ f')' / x = -pace f on a disc, (f³ f')' = -pace f on a strip,
# f(0) = 1, f(1) = 0.  Pace, and mean over middle; the tests solve it.
_DISC, _STRIP = (1.09387, 0.78975), (0.52867, 0.86984)
# A round face thins at its crown alike, and keeps f² as it goes down: mean and foot by
# crown, of a half ball and of a log.
_BALL, _LOG = (1.1325, 1.3133), (1.0570, 1.1841)

_GLAZE = Measure("degC", 15, 80)
_CAKE = Measure("degC", -40, 15)
_DENSITY = Measure("kg/m**3", 900, 1600)
_TENSION = Measure("mN/m", 5, 100)
_FILM = Measure("mm", high=20, above=0)
_EFFUSIVITY = Measure("J/m**2/K/s**0.5", high=40_000, above=0)
_BAND = InstanceOf(Band, "a band")


# --- the set layer ----------------------------------------------------------------------


@calculator(
    returns="a band in mm",
    time=Measure("s", 0, 600),
    glaze=_GLAZE,
    cake=_CAKE,
    sets=Measure("degC", 0, 60),
    glaze_effusivity=_EFFUSIVITY,
    cake_effusivity=_EFFUSIVITY,
)
def depth_set(
    time: Quantity,
    glaze: Quantity,
    cake: Quantity,
    sets: Quantity,
    glaze_effusivity: Quantity | None = None,
    cake_effusivity: Quantity | None = None,
) -> Band:
    """Return how deep the cold of the cake has set the coat after some time.

    ``depth = 2 * sqrt(a * time) * inverse erf((sets - contact) / (glaze - contact))``
    with ``a = conductivity / (density * specific heat)`` of the glaze.

    Parameters
    ----------
    time : quantity
        Since glaze and cake met, s, up to 600.
    glaze, cake : quantity
        °C, at first.
    sets : quantity
        Where this glaze holds, °C; see ``gelatin_sugar.setting_point``.
    glaze_effusivity, cake_effusivity : quantity, optional
        As in ``cooling.contact_temperature``.

    Returns
    -------
    Band
        mm from the cake; zero where glaze and cake meet warmer than it sets.

    Examples
    --------
    >>> ten = depth_set(q(10, "s"), q(32, "degC"), q(-18, "degC"), q(20, "degC"))
    >>> q(0.5, "mm") < ten.typical < q(1, "mm")
    True

    Notes
    -----
    *Watch out*: gelatin needs time to set, so this is the most that can be set, and
    four times the time sets twice the depth.

    Source: two half spaces in contact, [carslaw-jaeger1959].
    """
    meets = contact_temperature(glaze, cake, glaze_effusivity, cake_effusivity)
    grown = 2000 * math.sqrt(_diffusivity(GLAZE_DENSITY.m) * time.m)
    ends = [
        grown * _front(glaze.m, contact.m, sets.m)
        for contact in (meets.high, meets.typical, meets.low)
    ]
    why = "mousses differ in air and ice; gelatin itself takes time"
    return Band.of(ends, "mm", FROM_MEMORY, why)


# --- waves ------------------------------------------------------------------------------


@calculator(
    returns="s",
    viscosity=Measure("Pa*s", above=0, high=1000),
    wave=Measure("mm", above=0, high=100),
    film=_FILM,
    density=_DENSITY,
    surface_tension=_TENSION,
    place=OneOf(TOP, WALL),
)
def levelling_time(
    viscosity: Quantity,
    wave: Quantity,
    film: Quantity,
    density: Quantity = GLAZE_DENSITY,
    surface_tension: Quantity = SURFACE_TENSION,
    place: str = TOP,
) -> Quantity:
    """Return how long a low wave takes to fall to 37 % while the film is liquid.

    ``3 * viscosity / (film³ * (tension * k⁴ + density * g * k²))``, ``k = 2 pi / wave``;
    on a wall without the term of gravity, which drains there and levels nothing.

    Parameters
    ----------
    viscosity : quantity
        Of the glaze, Pa s.
    wave : quantity
        From crest to crest, mm; several times the film.
    film : quantity
        How thick it is, mm.
    density : quantity
        kg/m³.
    surface_tension : quantity
        mN/m; 45 to 55 with milk protein or gelatin, from memory.
    place : str
        ``"top"`` or ``"wall"``.

    Returns
    -------
    quantity
        s, for waves that are low beside the film.

    Examples
    --------
    >>> say(levelling_time(q(2, "Pa*s"), q(20, "mm"), q(1, "mm")), digits=2)
    '3.6 s'

    Notes
    -----
    *Watch out*: half the film takes eight times as long: a thin coat keeps its waves.

    Sources: tension [orchard1963]; with gravity, the thin film of the textbooks.
    """
    k = 2 * math.pi / (wave.m / 1000)
    pull = _flattens(k, density.m, surface_tension.m / 1000, place)
    return q(3 * viscosity.m / ((film.m / 1000) ** 3 * pull), "s")


# --- the whole cake -----------------------------------------------------------------------


@frozen
class Coat:
    """What stays on a cake.

    Parameters
    ----------
    coat : Band
        Over all its faces, g/cm².
    top, wall, rim, foot : Band
        Mean of the top, mean of the wall, 5 mm below the edge, and at the foot, mm.  A
        round face counts as top and wall alike, and its crown as the rim.
    sets_after : Band
        When the cold has set the wall's mean coat, s; two minutes where it can't.
    waves_on_top, waves_on_wall : Band
        How much is left of a wave of 20 mm, %; 0.1 % stands for that and less.
    """

    coat: Band
    top: Band
    wall: Band
    rim: Band
    foot: Band
    sets_after: Band
    waves_on_top: Band
    waves_on_wall: Band

    def beside(self, weighed: Quantity) -> str:
        """Return what a weighed coat says of this band."""
        told = f"weighed {say(weighed, 'g/cm**2')}, worked out {self.coat}"
        if weighed in self.coat:
            return f"{told}: they agree, as far as so wide a band can"
        way = "less" if weighed < self.coat.low else "more"
        return f"{told}: {way} than the race of cold and gravity explains; believe the scale"

    def __str__(self) -> str:
        """Return it as it is said at the bench."""
        rim, foot = (say(part.typical, "mm", digits=2) for part in (self.rim, self.foot))
        return f"A coat of {self.coat}; {rim} at the rim and {foot} at the foot"


@calculator(
    returns="a coat: mass by area, thin rim, foot, waves",
    glaze=_GLAZE,
    cake=_CAKE,
    viscosity=_BAND,
    sets=_BAND,
    shape=InstanceOf(Shape, "a shape"),
    density=_DENSITY,
    surface_tension=_TENSION,
)
def poured(
    glaze: Quantity,
    cake: Quantity,
    viscosity: Band,
    sets: Band,
    shape: Shape,
    density: Quantity = GLAZE_DENSITY,
    surface_tension: Quantity = SURFACE_TENSION,
) -> Coat:
    """Return what coat stays where a glaze is poured over a cold cake.

    On the wall ``thickness⁴ = a * distance / (density * g * J)``: draining after
    Jeffreys, with a glaze that thickens towards the cake and stands where it is set;
    J adds up how far it flows meanwhile.  The top drains over its edge likewise.

    Parameters
    ----------
    glaze, cake : quantity
        °C, at the pour.
    viscosity : Band
        Of the glaze at the pour: ``glaze_flow.viscosity`` or ``calibrated``.
    sets : Band
        Where it sets within seconds, °C: ``gelatin_sugar.setting_point``.
    shape : Shape
        Cylinder, ring, slab, dome, log or savarin of ``coating``.
    density, surface_tension : quantity
        Of the glaze, kg/m³ and mN/m.

    Returns
    -------
    Coat
        Bands from viscosity, setting and cake together.  A wide one: it tells which
        way a change goes, and how far, better than it tells the coat.

    Examples
    --------
    >>> thick = Band(q(0.3, "Pa*s"), q(0.45, "Pa*s"), q(0.8, "Pa*s"))
    >>> sets = Band(q(16, "degC"), q(24, "degC"), q(31, "degC"))
    >>> cake = Cylinder(q(18, "cm"), q(4.5, "cm"))
    >>> told = poured(q(33, "degC"), q(-18, "degC"), thick, sets, cake)
    >>> q(0.1, "g/cm**2") < told.coat.typical < q(0.3, "g/cm**2")
    True

    Notes
    -----
    *Watch out*: frost, a second pour over the first and a spatula are not in it; nor
    is what the top goes on feeding to the rim, which is a little thicker than told.

    Sources: draining [jeffreys1930], cold [carslaw-jaeger1959]; gelling, thickness and
    mousse from memory.
    """
    if glaze.m <= sets.low.m_as("degC") + 0.5:
        raise fault_error(
            "poured, glaze",
            "has set in the jug",
            say(glaze, digits=6),
            f"It must be well above {say(sets.low.to('degC'))}",
            "Warm it gently and stir",
        )
    cakes = COOLING["cake effusivity"].three
    case = _Case(
        glaze.m,
        cake.m,
        viscosity.typical.m_as("Pa*s"),
        sets.typical.m_as("degC"),
        cakes[1],
        _ground(shape),
        density.m,
        surface_tension.m / 1000,
    )
    doubts = (
        [case._replace(viscosity=v.m_as("Pa*s")) for v in (viscosity.low, viscosity.high)],
        [case._replace(sets=s.m_as("degC")) for s in (sets.low, sets.high)],
        [case._replace(cold=cakes[0]), case._replace(cold=cakes[2])],
    )
    usual = _followed(case)
    others = [[_followed(one) for one in pair] for pair in doubts]
    units = ("g/cm**2", "mm", "mm", "mm", "mm", "s", "percent", "percent")
    bands = []
    for n, unit in enumerate(units):
        down = up = 0.0
        for pair in others:
            moves = [math.log(one[n] / usual[n]) for one in pair]
            down, up = math.hypot(down, min(*moves, 0)), math.hypot(up, max(*moves, 0))
        high = min(usual[n] * math.exp(up), {"percent": 100, "s": _WATCHED}.get(unit, math.inf))
        ends = (usual[n] * math.exp(-down), usual[n], high)
        why = "thickness, setting and the cake's own cold, each from a band"
        bands.append(Band.of(ends, unit, FROM_MEMORY, why))
    return Coat(*bands)


# --- the race ---------------------------------------------------------------------------------


class _Ground(NamedTuple):
    """The faces of a cake in m² and m."""

    top: float = 0.0
    across: float = 1.0  # from the middle of the top to its edge
    edge: tuple[float, float] = _DISC
    wall: float = 0.0
    height: float = 1.0
    round: float = 0.0
    radius: float = 1.0
    ways: int = 2  # in which a round face falls away: a ball in two, a log in one
    profile: tuple[float, float] = _BALL


def _ground(shape: Shape) -> _Ground:
    sizes = {name: cm / 100 for name, cm in shape._centimetres.items()}
    whole, width = shape._area() / 1e4, sizes.get("outer", sizes.get("diameter", 0.0))
    hole, height = sizes.get("inner", 0.0), sizes.get("height", 1.0)
    if isinstance(shape, Cylinder):
        top = math.pi / 4 * width**2
        return _Ground(top, width / 2, _DISC, whole - top, height)
    if isinstance(shape, Ring):
        top = math.pi / 4 * (width**2 - hole**2)
        return _Ground(top, (width - hole) / 4, _STRIP, whole - top, height)
    if isinstance(shape, Slab):
        top = sizes["length"] * sizes["width"]
        across = min(sizes["length"], sizes["width"]) / 2
        return _Ground(top, across, _STRIP, whole - top, height)
    if isinstance(shape, Loaf):
        top = shape._plan()[0] / 1e4
        across = min(sizes["length"], sizes["width"]) / 2
        return _Ground(top, across, _STRIP, whole - top, height)
    if isinstance(shape, Heart):  # as a disc of the same top
        top = shape._plan()[0] / 1e4
        return _Ground(top, math.sqrt(top / math.pi), _DISC, whole - top, height)
    if isinstance(shape, Egg):  # across its narrow side
        return _Ground(round=whole, radius=sizes["width"] / 2)
    if isinstance(shape, Dome):
        return _Ground(round=whole, radius=width / 2)
    if isinstance(shape, YuleLog):
        ends = math.pi / 4 * width**2
        half = width / 2
        return _Ground(
            wall=ends, height=half, round=whole - ends, radius=half, ways=1, profile=_LOG
        )
    if isinstance(shape, Savarin):
        return _Ground(round=whole, radius=(width - hole) / 4, ways=1, profile=_LOG)
    raise fault_error(
        "poured, shape",
        "has an underside that nobody has worked out",
        type(shape).__name__,
        "It must be a cylinder, ring, slab, loaf, heart, dome, egg, log or savarin",
        "Weigh a cake before and after",
    )


class _Case(NamedTuple):
    """One pour in SI numbers; temperatures in °C."""

    glaze: float
    cake: float
    viscosity: float
    sets: float
    cold: float  # effusivity of the cake
    ground: _Ground
    density: float
    tension: float


class _Race(NamedTuple):
    """How a film flows while the cold comes, in ``u = depth / (2 * sqrt(a * time))``.

    ``steps`` holds (u, flow, fall, level): the flow below a face at u, what is still to
    drain there, and what is still to level.
    """

    front: float
    steps: list[tuple[float, float, float, float]]

    def at(self, u: float, column: int) -> float:
        """Return a column at u; beyond the grid, as in a glaze that is still warm."""
        first, last = self.steps[0], self.steps[-1]
        if u <= first[0]:
            return first[column]
        if u >= last[0]:
            return last[column] * (u / last[0]) ** (3.0, 3.0, -2.0, -2.0)[column]
        right = bisect_right(self.steps, u, key=itemgetter(0))
        near = self.steps[right - 1 : right + 1]
        return interpolate(math.log(u), [(math.log(s[0]), s[column]) for s in near])


_GRID, _FAR = 200, 40.0


def _race(case: _Case) -> _Race:
    warm = math.sqrt(GLAZE_CONDUCTIVITY.m * case.density * GLAZE_HEAT.m * 1000)
    contact = (warm * case.glaze + case.cold * case.cake) / (warm + case.cold)
    sets = min(case.sets, case.glaze - 0.5)
    front = _front(case.glaze, contact, sets)
    pour = 1 / (case.glaze + KELVIN)

    def fluid(u: float) -> float:
        here = contact + (case.glaze - contact) * math.erf(u)
        return math.exp(-_FLOW / GAS_IN_KJ * (1 / (here + KELVIN) - pour)) / case.viscosity

    start = max(front, 0.001)
    grid = [start * (_FAR / start) ** (n / _GRID) for n in range(_GRID + 1)]
    still = fluid(front) * (start - front)
    zero, one, two = still, still * start / 2, still * start**2 / 3
    sums = [(zero, one, two)]
    for a, b in pairwise(grid):
        middle, width = (a + b) / 2, b - a
        value = fluid(middle)
        zero, one, two = (
            zero + value * width,
            one + value * middle * width,
            two + value * middle * middle * width,
        )
        sums.append((zero, one, two))
    pulls = [u * s[0] - s[1] for u, s in zip(grid, sums, strict=True)]
    flows = [u * u * s[0] - 2 * u * s[1] + s[2] for u, s in zip(grid, sums, strict=True)]
    fall = 1 / (4 * case.viscosity * _FAR**2)
    level = 1 / (6 * case.viscosity * _FAR**2)
    steps = [(_FAR, flows[-1], fall, level)]
    for n in range(_GRID - 1, -1, -1):
        a, b = grid[n], grid[n + 1]
        fall += (b - a) * (pulls[n] / a**5 + pulls[n + 1] / b**5) / 2
        level += (b - a) * (max(flows[n], 0) / a**6 + flows[n + 1] / b**6) / 2
        steps.append((a, max(flows[n], 0.0), fall, level))
    return _Race(front, steps[::-1])


@lru_cache(maxsize=64)  # the ends of a band that is sure are its middle
def _followed(case: _Case) -> tuple[float, ...]:
    """Return coat, top, wall, rim, foot, seconds to set, and both waves."""
    race, spread = _race(case), _diffusivity(case.density)
    reach = 2 * math.sqrt(spread * _WATCHED)  # m, u = film / reach at the end
    most = _POURED_DEPTH

    def last(film: float) -> float:
        return max(race.front, film / reach)

    def distance(film: float) -> float:
        return case.density * GRAVITY * film**4 / spread * race.at(last(film), 2)

    def wall(z: float) -> float:
        if race.front > 0:  # the cold overtakes it: the fourth root
            set_film = (spread * z / (case.density * GRAVITY * race.at(race.front, 2))) ** 0.25
            if set_film <= race.front * reach:
                return min(set_film, most)
        thick = solve(lambda x: math.log(distance(math.exp(x)) / z), -25, 5)
        return min(math.exp(thick), most)

    ground = case.ground
    parts, coated = [], 0.0  # (middle, mean, foot) of each face, m³ in all
    if ground.round:
        crown = _thinned(case, race, spread, level=False)
        mean, foot = (crown * times for times in ground.profile)
        parts, coated = [(mean, mean, crown, foot)], mean * ground.round
    if ground.wall:  # below a top, or the ends of a log
        upright = sum(wall(ground.height * (n + 0.5) / 8) for n in range(8)) / 8
        coated += upright * ground.wall
    if ground.top:
        middle = _thinned(case, race, spread, level=True) * ground.edge[1]
        rim = wall(min(_TABLE["rim"].quantity.m / 1000, ground.height))
        parts = [(middle, upright, rim, wall(ground.height))]
        coated += middle * ground.top
    top, mean, rim, foot = parts[0]
    coat = case.density * coated / (ground.top + ground.wall + ground.round)
    seconds = _WATCHED
    if race.front > 0:
        seconds = min(_WATCHED, mean**2 / (4 * spread * race.front**2))
    k = 2 * math.pi / _WAVE
    waves = []
    for film, place in ((top, TOP), (mean, WALL)):
        flowed = film**5 / (2 * spread) * race.at(last(film), 3)
        pull = _flattens(k, case.density, case.tension, place)
        waves.append(max(100 * math.exp(-min(pull * flowed, 60)), _UNSEEN))
    return (coat / 10, *(1000 * film for film in (top, mean, rim, foot)), seconds, *waves)


def _thinned(case: _Case, race: _Race, spread: float, *, level: bool) -> float:
    """Return the film where it sets, in the middle of a top or on a crown, m.

    A level top thins by ``-pull * film * mobility``, a crown by ``-pull * mobility``.
    """
    ground = case.ground
    film, time = _POURED_DEPTH, _FIRST_MOMENT
    pull = case.density * GRAVITY
    pull *= ground.edge[0] / ground.across**2 if level else ground.ways / ground.radius
    steps = 200
    factor = (_WATCHED / time) ** (1 / steps)
    for _ in range(steps):
        then = time * factor
        cold = 2 * math.sqrt(spread * (time + then) / 2)
        u = film / cold
        if u <= race.front:
            break
        thins = pull * race.at(u, 1) * cold**3 * (then - time)  # mobility goes with film³
        film /= (1 + 3 * thins) ** (1 / 3) if level else math.sqrt(1 + 2 * thins / film)
        time = then
    return film


# --- helpers ------------------------------------------------------------------------------


def _diffusivity(density: float) -> float:
    return GLAZE_CONDUCTIVITY.m / (density * GLAZE_HEAT.m * 1000)


def _front(glaze: float, contact: float, sets: float) -> float:
    """Return u of the set front: zero where the face is warmer than it sets."""
    if sets <= contact:
        return 0.0
    if glaze - contact < 0.02:  # as warm as each other, and both colder than it sets
        return _ALL
    share = (min(sets, glaze - 0.01) - contact) / (glaze - contact)
    return solve(lambda u: math.erf(u) - share, 0, _ALL)


def _flattens(k: float, density: float, tension: float, place: str) -> float:
    gravity = density * GRAVITY * k**2 if place == TOP else 0.0
    return tension * k**4 + gravity
