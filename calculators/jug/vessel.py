"""How a jug or a tray of glaze cools on the bench, in a bath and in the fridge.

Air carries heat from wall and top, the surface shines heat away, and an open hot
glaze loses more by drying than by both.  A film stops that; a skin slows it.
*Warm milk and gelatin are food for bacteria: log the time out of temperature.
Your local rules and your supervisor come first.*

Held against ``ht`` for the air and a textbook's worked problems for the vapour.
The clock of a whole plan calls ``jug.steps.after``, which takes and gives plain numbers.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace

from calculators.blending import GLAZE_DENSITY
from calculators.cooling import (
    GLAZE_HEAT,
    SEA_LEVEL,
    WATER_HEAT,
    WINDOW_HIGH,
    WINDOW_LOW,
)
from calculators.cooling import coefficient as place_coefficient
from calculators.cooling.moisture import saturated_at
from calculators.faults import Fault, fault_error, refuse
from calculators.frozen import frozen
from calculators.jug.steps import LONGEST, Setting, State, after, until
from calculators.sources import table
from calculators.units import (
    FROM_MEMORY,
    Band,
    InstanceOf,
    Measure,
    OneOf,
    Quantity,
    calculator,
    q,
    say,
    solve,
)

_TABLE = table("jug")
WALLS = ("steel", "plastic", "glass")
COVERS = ("filmed", "open", "stirred")
WATER_IN_GLAZE = _TABLE["glaze water"].quantity
GLAZE_ACTIVITY = _TABLE["glaze water activity"].quantity
_ENDS = (0, 1, 2)  # slow, usual, quick

_MASS = Measure("g", high=100_000, above=0)
_SIZE = Measure("cm", high=200, above=0)
_HEAT = Measure("kJ/kg/K", 0.5, 5)
_DENSITY = Measure("kg/m**3", 500, 2000)
_ACTIVITY = Measure("", 0.05, 1)
_WET = Measure("percent", 1, 100)
_WALL, _COVER = OneOf(*WALLS), OneOf(*COVERS)
_AIR = Measure("degC", -40, 60)
_HUMIDITY = Measure("percent", high=100, above=0)
_PRESSURE = Measure("kPa", 30, 110)
_GLAZE = Measure("degC", -5, 95)
_HALF, _BENCH_AIR = q(50, "percent"), q(22, "degC")


_PACE = _TABLE["heat loss"].three
_SHALLOWEST = 0.05  # cm


# --- what cools, and where it stands ----------------------------------------------


@frozen
class Vessel:
    """A jug or tray with glaze in it.

    Parameters
    ----------
    mass : quantity
        Of the glaze, g.
    floor, rim : quantity
        Area of its floor, cm², and the way around it, cm.
    wall, cover : str
        One of :data:`WALLS` and one of :data:`COVERS`.
    raised : bool
        Whether air or water reaches the floor too.
    specific_heat, density : quantity
        Of the glaze, kJ/kg/K and kg/m³.
    water, water_activity : quantity
        Of the glaze, % and a plain number.
    pace : tuple of float
        Slow, usual and quick: factors on all that carries heat away.
    """

    mass: Quantity
    floor: Quantity
    rim: Quantity
    wall: str
    cover: str
    raised: bool
    specific_heat: Quantity
    density: Quantity
    water: Quantity
    water_activity: Quantity
    pace: tuple[float, float, float]

    @property
    def depth(self) -> Quantity:
        """How deep the glaze stands, cm."""
        return q(self.mass.m / (self.density.m / 1000) / self.floor.m, "cm")


@frozen
class Place:
    """What stands around a vessel.

    Parameters
    ----------
    air, humidity, pressure : quantity
        °C, % and kPa.
    moved : tuple of float or None
        How strongly a fan's air carries heat, W/m²/K, slow, usual and quick; None
        for still air.
    bath : quantity or None
        The water around wall and floor, °C, at first.
    bath_mass : quantity or None
        Of that water, kg; None where it is held at its temperature.
    """

    air: Quantity
    humidity: Quantity
    pressure: Quantity
    moved: tuple[float, float, float] | None = None
    bath: Quantity | None = None
    bath_mass: Quantity | None = None


@calculator(
    returns="a vessel",
    mass=_MASS,
    width=_SIZE,
    wall=_WALL,
    cover=_COVER,
    specific_heat=_HEAT,
    density=_DENSITY,
    water=_WET,
    water_activity=_ACTIVITY,
)
def jug(
    mass: Quantity,
    width: Quantity,
    wall: str = "plastic",
    cover: str = "stirred",
    specific_heat: Quantity = GLAZE_HEAT,
    density: Quantity = GLAZE_DENSITY,
    water: Quantity = WATER_IN_GLAZE,
    water_activity: Quantity = GLAZE_ACTIVITY,
) -> Vessel:
    """Return a straight round jug of glaze that stands on its floor.

    ``depth = mass / (density * floor)``

    Parameters
    ----------
    mass : quantity
        Of the glaze, g, up to 100 kg.
    width : quantity
        Inside, cm, up to 200.
    wall : str
        ``"steel"``, ``"plastic"`` or ``"glass"``.
    cover : str
        ``"filmed"`` in contact, ``"open"`` and left alone, or ``"stirred"`` so that
        no skin forms.
    specific_heat, density : quantity
        Of the glaze, kJ/kg/K and kg/m³; defaults from memory.
    water, water_activity : quantity
        Of the glaze, % and a plain number; defaults from memory.

    Returns
    -------
    Vessel
        For the functions below.

    Examples
    --------
    >>> say(jug(q(600, "g"), q(11, "cm")).depth)
    '5.05 cm'

    Notes
    -----
    *Watch out*: glaze poured into a cold heavy jug is colder at once; give the
    temperature that it has in the jug.

    Sources: ``data/jug.csv``, walls partly [incropera2007].
    """
    floor = q(math.pi / 4 * width.m**2, "cm**2")
    rim = q(math.pi * width.m, "cm")
    glaze = (specific_heat, density, water, water_activity)
    return _deep_enough("jug", Vessel(mass, floor, rim, wall, cover, False, *glaze, _PACE))


@calculator(
    returns="a vessel",
    mass=_MASS,
    length=_SIZE,
    breadth=_SIZE,
    wall=_WALL,
    cover=_COVER,
    specific_heat=_HEAT,
    density=_DENSITY,
    water=_WET,
    water_activity=_ACTIVITY,
)
def tray(
    mass: Quantity,
    length: Quantity,
    breadth: Quantity,
    wall: str = "steel",
    cover: str = "filmed",
    specific_heat: Quantity = GLAZE_HEAT,
    density: Quantity = GLAZE_DENSITY,
    water: Quantity = WATER_IN_GLAZE,
    water_activity: Quantity = GLAZE_ACTIVITY,
) -> Vessel:
    """Return a tray of glaze on a rack, so that air reaches its floor.

    ``depth = mass / (density * length * breadth)``

    Parameters
    ----------
    mass : quantity
        Of the glaze, g, up to 100 kg.
    length, breadth : quantity
        Inside, cm, up to 200.
    wall, cover, specific_heat, density, water, water_activity
        As in :func:`jug`.

    Returns
    -------
    Vessel
        For the functions below.

    Examples
    --------
    >>> say(tray(q(1140, "g"), q(40, "cm"), q(30, "cm")).depth, "mm")
    '7.6 mm'

    Notes
    -----
    *Watch out*: on a shelf or a bench the floor cools far less: put a rack under it.

    Sources: ``data/jug.csv``, walls partly [incropera2007].
    """
    floor = q(length.m * breadth.m, "cm**2")
    rim = q(2 * (length.m + breadth.m), "cm")
    glaze = (specific_heat, density, water, water_activity)
    return _deep_enough("tray", Vessel(mass, floor, rim, wall, cover, True, *glaze, _PACE))


@calculator(returns="a place", air=_AIR, humidity=_HUMIDITY, pressure=_PRESSURE)
def bench(air: Quantity, humidity: Quantity = _HALF, pressure: Quantity = SEA_LEVEL) -> Place:
    """Return the bench of a kitchen, in still air.

    What the air is, and no more.

    Parameters
    ----------
    air : quantity
        Of the room, °C, -40 to 60.
    humidity : quantity
        Relative, %.
    pressure : quantity
        kPa; ``water.air_pressure`` gives it by altitude.

    Returns
    -------
    Place
        For the functions below.

    Examples
    --------
    >>> say(bench(q(22, "degC")).air)
    '22 °C'

    Notes
    -----
    *Watch out*: under an extractor hood or by an open door the air is not still.

    Source: none needed.
    """
    return Place(air, humidity, pressure)


@calculator(
    returns="a place",
    air=_AIR,
    humidity=_HUMIDITY,
    fan=OneOf("still", "moving"),
    pressure=_PRESSURE,
)
def fridge(
    air: Quantity,
    humidity: Quantity = _HALF,
    fan: str = "moving",
    pressure: Quantity = SEA_LEVEL,
) -> Place:
    """Return a fridge, with a fan or without.

    Still air is worked out; a fan's air is a band from memory, 8 to 25 W/m²/K.

    Parameters
    ----------
    air : quantity
        In the fridge, °C.
    humidity : quantity
        Relative, %.
    fan : str
        ``"still"`` or ``"moving"``.
    pressure : quantity
        As in :func:`bench`.

    Returns
    -------
    Place
        For the functions below.

    Examples
    --------
    >>> fridge(q(4, "degC")).moved
    (8.0, 15.0, 25.0)

    Notes
    -----
    *Watch out*: a hot jug warms the fridge and what stands in it; cool it first.

    Source: from memory, ``data/jug.csv``.
    """
    return Place(air, humidity, pressure, _TABLE["fridge air"].three if fan == "moving" else None)


@calculator(
    returns="a place",
    bath=Measure("degC", 0, 95),
    bath_mass=Measure("kg", high=1000, above=0),
    air=_AIR,
    humidity=_HUMIDITY,
    pressure=_PRESSURE,
)
def water_bath(
    bath: Quantity,
    bath_mass: Quantity | None = None,
    air: Quantity = _BENCH_AIR,
    humidity: Quantity = _HALF,
    pressure: Quantity = SEA_LEVEL,
) -> Place:
    """Return a stirred bath that wets wall and floor, under the air of the room.

    From glaze to water 50 to 200 W/m²/K from memory, less what the wall holds back.

    Parameters
    ----------
    bath : quantity
        Of the water at first, °C, 0 to 95.
    bath_mass : quantity, optional
        Of the water, kg.  Left out, the bath is held at its temperature.
    air, humidity, pressure : quantity
        Over the bath, as in :func:`bench`.

    Returns
    -------
    Place
        For the functions below.

    Examples
    --------
    >>> say(water_bath(q(10, "degC"), q(5, "kg")).bath)
    '10 °C'

    Notes
    -----
    *Watch out*: no drop of bath water may get into the glaze; stir glaze and bath.

    Source: from memory, ``data/cooling.csv``.
    """
    return Place(air, humidity, pressure, None, bath, bath_mass)


# --- how warm, how long, how much lighter -------------------------------------------

_VESSEL, _PLACE = InstanceOf(Vessel, "a jug or a tray"), InstanceOf(Place, "a place")
_TIME = Measure("min", 0, LONGEST / 60)


@calculator(returns="a band in °C", time=_TIME, start=_GLAZE, vessel=_VESSEL, place=_PLACE)
def temperature_after(time: Quantity, start: Quantity, vessel: Vessel, place: Place) -> Band:
    """Return how warm a glaze is after some time where it stands.

    The heat that leaves by air, radiation and drying, added up in small steps.

    Parameters
    ----------
    time : quantity
        min, up to ten days.
    start : quantity
        Of the glaze in the vessel, °C, -5 to 95.
    vessel : Vessel
        :func:`jug` or :func:`tray`.
    place : Place
        :func:`bench`, :func:`fridge` or :func:`water_bath`.

    Returns
    -------
    Band
        °C, from memory of how much small jugs, draughts and skins differ.

    Examples
    --------
    >>> hour = temperature_after(q(60, "min"), q(60, "degC"),
    ...     jug(q(600, "g"), q(11, "cm"), cover="filmed"), bench(q(22, "degC")))
    >>> q(38, "degC") < hour.typical < q(45, "degC")
    True

    Notes
    -----
    *Watch out*: it is one temperature throughout; a glaze that is not stirred is
    warmer in the middle.

    Sources: [churchill-chu1975], [mcadams1954], [lewis1922] and a balance of heat.
    """
    ends = [
        after(began, setting, time.m * 60).celsius
        for began, setting in _three(start, vessel, place)
    ]
    return _band(ends, "degC")


@calculator(returns="a band in min", target=_GLAZE, start=_GLAZE, vessel=_VESSEL, place=_PLACE)
def time_to(target: Quantity, start: Quantity, vessel: Vessel, place: Place) -> Band:
    """Return how long a glaze takes to a target where it stands.

    Steps as in :func:`temperature_after` until the target is passed.

    Parameters
    ----------
    target : quantity
        °C, -5 to 95.
    start, vessel, place
        As in :func:`temperature_after`.

    Returns
    -------
    Band
        min.  Refused where the slow end of the band would not arrive in ten days.

    Examples
    --------
    >>> open_jug = jug(q(600, "g"), q(11, "cm"), cover="stirred")
    >>> wait = time_to(q(34, "degC"), q(60, "degC"), open_jug, bench(q(22, "degC")))
    >>> q(45, "min") < wait.typical < q(60, "min")
    True

    Notes
    -----
    *Watch out*: the last degrees are the slow ones, and they carry the doubt.

    Sources: as :func:`temperature_after`.
    """
    return _band(_times(target, start, vessel, place), "min")


@calculator(returns="a band in g", time=_TIME, start=_GLAZE, vessel=_VESSEL, place=_PLACE)
def water_lost(time: Quantity, start: Quantity, vessel: Vessel, place: Place) -> Band:
    """Return how much lighter a glaze gets while it cools.

    Vapour at the surface, by the glaze's water activity, less that of the room.

    Parameters
    ----------
    time, start, vessel, place
        As in :func:`temperature_after`.

    Returns
    -------
    Band
        g; below zero where a cold glaze gathers dew.

    Examples
    --------
    >>> gone = water_lost(q(50, "min"), q(60, "degC"), jug(q(600, "g"), q(11, "cm")),
    ...     bench(q(22, "degC")))
    >>> q(6, "g") < gone.typical < q(13, "g")
    True

    Notes
    -----
    *Watch out*: weigh the jug before and after; the scale knows better.

    Sources: as :func:`temperature_after`.
    """
    ends = [
        1000 * (began.water - after(began, setting, time.m * 60).water)
        for began, setting in _three(start, vessel, place)
    ]
    return _band(ends, "g")


@frozen
class Meeting:
    """When several jugs are in the window, and for how long all of them are.

    Parameters
    ----------
    enters, leaves : tuple of Band
        When each jug comes in and falls out, min; ten days where it stays.
    shared : Band
        How long all are in at once, min; below zero they miss each other by that.
    """

    enters: tuple[Band, ...]
    leaves: tuple[Band, ...]
    shared: Band

    @property
    def verdict(self) -> str:
        """``"together"``, ``"apart"`` or ``"in doubt"``."""
        if self.shared.low.m > 0:
            return "together"
        return "apart" if self.shared.high.m < 0 else "in doubt"

    @property
    def words(self) -> str:
        """What is said at the bench."""
        low, high = self.shared.low, self.shared.high
        if low.m > LONGEST / 120:
            return "All jugs come into the window and stay in it"
        if self.verdict == "together":
            return f"All jugs are in the window at once for {_from_to(low, high)}"
        if self.verdict == "apart":
            return f"The jugs miss each other by {_from_to(-high, -low)}: hold them in one bath"
        return "The jugs may miss each other: hold them in one bath"

    def __str__(self) -> str:
        """Return it in words."""
        return self.words


def _from_to(low: Quantity, high: Quantity) -> str:
    """Return two times as they are said; once where they are said alike."""
    return " to ".join(dict.fromkeys(say(end, digits=2) for end in (low, high)))


@calculator(
    returns="when each is in the window, and for how long all are",
    vessels=InstanceOf((list, tuple), "a list of jugs"),
    start=_GLAZE,
    place=_PLACE,
    low=_GLAZE,
    high=_GLAZE,
)
def meeting(
    vessels: Sequence[Vessel],
    start: Quantity,
    place: Place,
    low: Quantity = WINDOW_LOW,
    high: Quantity = WINDOW_HIGH,
) -> Meeting:
    """Return whether several jugs that cool side by side are ever ready at once.

    From the last arrival at ``high`` to the first departure at ``low``, for a slow, a
    usual and a quick kitchen: jugs side by side share their air.

    Parameters
    ----------
    vessels : list of Vessel
        One :func:`jug` for each colour.
    start : quantity
        Of all of them at first, °C.
    place : Place
        As in :func:`temperature_after`.
    low, high : quantity
        The pouring window, °C.

    Returns
    -------
    Meeting
        With ``enters``, ``leaves``, ``shared`` and ``verdict``.

    Examples
    --------
    >>> shares = [jug(q(grams, "g"), q(11, "cm")) for grams in (600, 300)]
    >>> meeting(shares, q(60, "degC"), bench(q(22, "degC"))).verdict
    'apart'

    Notes
    -----
    *Watch out*: stir each jug before measuring it, with a clean spoon of its own.

    Sources: as :func:`temperature_after`; the window is common practice.
    """
    refuse(
        Fault(
            f"meeting, jug {n}",
            "is not a jug or a tray",
            repr(vessel)[:60],
            "A jug comes from jug(...) or tray(...)",
            "Make it so",
        )
        for n, vessel in enumerate(vessels, 1)
        if not isinstance(vessel, Vessel)
    )
    if not vessels or not start.m >= high.m > low.m:
        raise fault_error(
            "meeting",
            "has no jugs that cool into the window",
            f"{len(vessels)} from {say(start, digits=6)}",
            f"They start at {say(high, digits=6)} or warmer; {say(low, digits=6)} is its low end",
            "Change jugs, start or window",
        )
    into = [_times(high, start, vessel, place) for vessel in vessels]
    out = [_times(low, start, vessel, place, may_stay=True) for vessel in vessels]
    shared = [min(t[n] for t in out) - max(t[n] for t in into) for n in _ENDS]
    enters, leaves = (tuple(_band(times, "min") for times in each) for each in (into, out))
    return Meeting(enters, leaves, _band(shared, "min"))


@calculator(
    returns="a vessel with a narrower band",
    first=_GLAZE,
    second=_GLAZE,
    between=Measure("min", high=600, above=0),
    vessel=_VESSEL,
    place=_PLACE,
)
def read_from_own(
    first: Quantity, second: Quantity, between: Quantity, vessel: Vessel, place: Place
) -> Vessel:
    """Return a vessel whose pace comes from two readings of your own.

    The factor on all losses that leads from the first reading to the second; half a
    degree of doubt in each reading makes its band.

    Parameters
    ----------
    first, second : quantity
        Two readings of the stirred glaze, °C.
    between : quantity
        The time from one to the other, min, up to 600.
    vessel, place
        As in :func:`temperature_after`.

    Returns
    -------
    Vessel
        The same, with its own pace; it holds for this cover and this place.

    Examples
    --------
    >>> mine = read_from_own(q(60, "degC"), q(45, "degC"), q(20, "min"),
    ...     jug(q(600, "g"), q(11, "cm")), bench(q(22, "degC")))
    >>> wide = time_to(q(34, "degC"), q(60, "degC"), jug(q(600, "g"), q(11, "cm")),
    ...     bench(q(22, "degC")))
    >>> own = time_to(q(34, "degC"), q(60, "degC"), mine, bench(q(22, "degC")))
    >>> own.high - own.low < wide.high - wide.low
    True

    Notes
    -----
    *Watch out*: let the readings lie ten degrees apart or more: from two that are
    close together the thermometer's own error is all that you learn.

    Source: the balance of :func:`temperature_after`, turned round.
    """
    doubt = _TABLE["thermometer"].quantity.m * math.sqrt(2)
    way = math.copysign(1, second.m - first.m)
    paces = []
    for miss in (0.0, -doubt, doubt):
        pace = _pace_to(second.m + way * miss, first, between.m * 60, vessel, place)
        if pace is None:
            raise fault_error(
                "read_from_own, second",
                "does not fit this jug in this place",
                f"{say(first)} to {say(second)} in {say(between)}",
                "It must cool or warm at a fifth to five times the usual pace, by more "
                f"than {say(q(doubt, 'delta_degC'), digits=2)}",
                "Look at the clock, the room and the mass; read again later",
            )
        paces.append(pace)
    usual, slow, quick = paces
    return replace(vessel, pace=(slow, usual, quick))


@calculator(
    returns="a band in min",
    mass=_MASS,
    width=_SIZE,
    start=_GLAZE,
    target=_GLAZE,
    room=_AIR,
    humidity=_HUMIDITY,
    wall=_WALL,
    cover=_COVER,
)
def time_on_the_bench(
    mass: Quantity,
    width: Quantity,
    start: Quantity,
    target: Quantity,
    room: Quantity,
    humidity: Quantity = _HALF,
    wall: str = "plastic",
    cover: str = "stirred",
) -> Band:
    """Return how long a jug of glaze takes to a target on the bench.

    :func:`time_to` for a :func:`jug` on a :func:`bench`, in one call.

    Parameters
    ----------
    mass, width : quantity
        Of the glaze, g, and of the jug inside, cm.
    start, target : quantity
        °C, -5 to 95.
    room, humidity : quantity
        Of the air, °C and %.
    wall, cover : str
        As in :func:`jug`.

    Returns
    -------
    Band
        min.

    Examples
    --------
    >>> filmed = time_on_the_bench(q(600, "g"), q(11, "cm"), q(60, "degC"),
    ...     q(34, "degC"), q(22, "degC"), cover="filmed")
    >>> q(80, "min") < filmed.typical < q(130, "min")
    True

    Notes
    -----
    *Watch out*: open and stirred it is there in little more than half the time, and
    some grams lighter.

    Sources: as :func:`temperature_after`.
    """
    pot = jug(mass, width, wall, cover)
    return time_to(target, start, pot, bench(room, humidity))


# --- plain numbers, for a clock that runs through a whole day ---------------------------


def begin(start: float, vessel: Vessel, place: Place, end: int = 1) -> tuple[State, Setting]:
    """Return a vessel in a place as numbers; 0 is the slow end of the band, 2 the quick.

    The temperature is in °C.
    """
    floor, rim = vessel.floor.m / 1e4, vessel.rim.m / 100
    depth = vessel.depth.m / 100
    side = rim * depth
    wall = {name: _TABLE[f"{vessel.wall} {name}"].quantity.m for name in _WALL_NUMBERS}
    thick = wall["thickness"] / 1000
    skin = thick * wall["density"] * 1000 * wall["specific heat"]  # J/m²/K
    kilograms = vessel.mass.m / 1000
    wet = kilograms * vessel.water.m / 100
    room, bath = place.air.m, place.bath
    pool = place.bath_mass
    usual = place_coefficient("stirred water bath")
    setting = Setting(
        floor=floor,
        side=side,
        depth=depth,
        across=floor / rim,
        raised=vessel.raised,
        capacity=kilograms * vessel.specific_heat.m * 1000 + skin * (side + floor),
        wet=wet,
        bound=wet * (1 / vessel.water_activity.m - 1),
        wall=thick / wall["conductivity"],
        shine=_TABLE[f"{vessel.wall} emissivity"].three[end],
        top_shine=_TABLE["glaze emissivity"].three[end],
        drying=_TABLE[f"{vessel.cover} evaporation"].three[end],
        pace=vessel.pace[end],
        room=room,
        vapour=place.humidity.m / 100 * saturated_at(room),
        pascal=1000 * place.pressure.m,
        moved=place.moved[end] if place.moved else None,
        bathed=None if bath is None else (usual.low, usual.typical, usual.high)[end].m,
        bath_capacity=math.inf if pool is None else 1000 * pool.m * WATER_HEAT.m,
    )
    return State(start, wet, room if bath is None else bath.m), setting


# --- helpers ----------------------------------------------------------------------------

_WALL_NUMBERS = ("thickness", "density", "specific heat", "conductivity")


def _deep_enough(name: str, vessel: Vessel) -> Vessel:
    if vessel.depth.m >= _SHALLOWEST:
        return vessel
    least = vessel.floor.m * _SHALLOWEST * vessel.density.m / 1000
    raise fault_error(
        f"{name}, mass",
        "is spread too thin to count as a glaze that cools",
        f"{say(vessel.mass)}, {say(vessel.depth, 'mm', digits=2)} deep",
        f"It must stand half a millimetre deep, here {say(q(least, 'g'))}",
        "Take more glaze or a smaller vessel",
    )


def _three(start: Quantity, vessel: Vessel, place: Place) -> list[tuple[State, Setting]]:
    pairs = [begin(start.m, vessel, place, end) for end in _ENDS]
    for _, setting in pairs:
        steam = vessel.water_activity.m * saturated_at(start.m)
        if setting.drying and steam > 0.9 * setting.pascal:
            raise fault_error(
                "jug, start",
                "is too near the boil for this balance",
                say(start, digits=6),
                "Its steam must stay below nine tenths of the air pressure",
                "Start a few degrees lower",
            )
    return pairs


def _times(
    target: Quantity, start: Quantity, vessel: Vessel, place: Place, *, may_stay: bool = False
) -> list[float]:
    """Return when a target is met at each end of the band, min; ten days for never."""
    ends = []
    for began, setting in _three(start, vessel, place):
        state, met = until(target.m, began, setting)
        if not met and not may_stay:
            raise fault_error(
                "time_to, target",
                "is not surely reached there",
                say(target, digits=6),
                f"After ten days the glaze may be at {say(q(state.celsius, 'degC'), digits=3)}",
                "Choose another target, or a colder or warmer place",
            )
        ends.append(state.seconds / 60)
    return ends


def _pace_to(
    wanted: float, first: Quantity, seconds: float, vessel: Vessel, place: Place
) -> float | None:
    """Return the factor on all losses that ends at the wanted temperature."""

    def end(logarithm: float) -> float:
        began, setting = begin(first.m, replace(vessel, pace=(math.exp(logarithm),) * 3), place)
        return after(began, setting, seconds).celsius

    low, high = -math.log(5), math.log(5)
    slow, quick = end(low), end(high)
    if not min(slow, quick) < wanted < max(slow, quick):
        return None
    way = math.copysign(1, quick - slow)
    return math.exp(solve(lambda x: way * (end(x) - wanted), low, high, close=1e-9))


def _band(ends: list[float], unit: str) -> Band:
    why = "how much small jugs, draughts and skins differ; two readings of your own narrow it"
    return Band.of(sorted(ends), unit, FROM_MEMORY, why)
