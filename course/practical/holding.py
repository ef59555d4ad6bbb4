"""How a glaze is cooled on the day before, and how long it is warm in all.

A prediction becomes a log, and the judge of real logs judges it.  :func:`judged` is the
one place that asks: another clock can stand behind it.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache

from calculators import blending, jug
from calculators.cooling import time_out_of_temperature
from calculators.cooling.cooling_log import BROKEN, judge, limits
from calculators.cooling.time_limits import ON_DISPLAY, TimeRule, time_rule
from calculators.faults import FaultsError
from calculators.jug.steps import after, until
from calculators.jug.vessel import Place, Vessel, begin
from calculators.units import Quantity, q, say
from course.practical.model import FULL
from course.practical.times import warm_to
from course.scheme.declared import WAYS
from course.scheme.model import Scheme

HOT = 65.0  # °C, off the hob: warmer than the hot line of every region
OVERNIGHT = 16 * 60  # min from the bath to the morning; common practice
DEEP = q(2, "cm")  # of a shallow layer in a tray; common practice
WATER_TIMES = 4  # kilograms of bath to one of glaze
LONGEST_WARM = q(4, "h")  # the strictest figure that we have read for time as a control
STRICT = (5.0, 60.0)  # °C: cold and hot line where a region gives none
_STEP = 50  # g
_ROW = 300.0  # s between two rows of a predicted log


@dataclass(frozen=True)
class Way:
    """A way to cool a glaze: the bath, where it leaves it, and jug or tray in the fridge."""

    name: str
    bath: Quantity
    out: Quantity
    iced: bool
    tray: bool

    def __str__(self) -> str:
        """Return it as it is said at the bench."""
        water = "water with ice" if self.iced else f"{WATER_TIMES} times its mass of water"
        then = f"in trays, {say(DEEP)} deep" if self.tray else "in its tub"
        return f"stir it in {water} at {say(self.bath)} to {say(self.out)}, then cool it {then}"


_COOL, _ICE = q(10, "degC"), q(1, "degC")
HOW = {
    way.name: way
    for way in (
        Way(WAYS[0], _COOL, q(21, "degC"), iced=False, tray=False),
        Way(WAYS[1], _ICE, q(10, "degC"), iced=True, tray=False),
        Way(WAYS[2], _ICE, q(5, "degC"), iced=True, tray=False),
        Way(WAYS[3], _COOL, q(21, "degC"), iced=False, tray=True),
        Way(WAYS[4], _ICE, q(10, "degC"), iced=True, tray=True),
    )
}


@dataclass(frozen=True)
class Cooled:
    """What the day before comes to, as predicted.

    Parameters
    ----------
    log : tuple of (time, temperature)
        From the hob to the next morning.
    bath : int
        Minutes in the bath.
    warm : int
        Minutes between the lines of the region.
    broken : str
        Which rule breaks; empty for none.
    trays : int
        Trays in use.
    """

    log: tuple[tuple[Quantity, Quantity], ...]
    bath: int
    warm: int
    broken: str
    trays: int = 0


def judged(log: Sequence[tuple[Quantity, Quantity]], region: str) -> tuple[str, int]:
    """Return which rule of a region a log breaks, empty for none, and its warm minutes."""
    told = judge(log, region)
    held = limits(region)
    cold, hot = (held.cold.m, held.hot.m) if held else STRICT
    warm = time_out_of_temperature(log, q(cold, "degC"), q(hot, "degC")).m_as("min")
    return (told.because if told.answer == BROKEN else ""), math.ceil(warm - 1e-6)


def most_warm(scheme: Scheme) -> int:
    """Return for how many minutes a glaze may be warm in all, both days."""
    school, rule = scheme.local_rules.discard_after, _hours_here(scheme.region)
    law = rule.use_under if rule else LONGEST_WARM
    return int(min(LONGEST_WARM, law, school or LONGEST_WARM).m_as("min"))


def _hours_here(region: str) -> TimeRule | None:
    """Return the hours that the law gives a glaze at the bench; None for display alone."""
    rule = time_rule(region)
    return None if rule is None or rule.counts == ON_DISPLAY else rule


def two_days(made: Cooled | None, warm: int, at: Quantity) -> tuple[tuple[Quantity, Quantity], ...]:
    """Return the log of both days, as predicted, for the judge of logs.

    Parameters
    ----------
    made : Cooled or None
        The day before; None where the glaze is cooked on the day.
    warm : int
        Minutes from the cold, or from the gelatin, to the last pour.
    at : quantity
        How warm it is in that time, °C.
    """
    rows = list(made.log) if made else []
    out = rows[-1][0].m + 1e-3 if rows else 0.0
    return (*rows, (q(out, "min"), at), (q(out + warm, "min"), at))


def cold_line(scheme: Scheme) -> float:
    """Return the warmest that counts as cold here, °C."""
    held = limits(scheme.region)
    return float(held.cold.m) if held else STRICT[0]


def cooled(scheme: Scheme, mass: Quantity, name: str) -> Cooled:
    """Return how a batch is cooled in one of the ways of :data:`HOW`."""
    kitchen, tray = scheme.kitchen, scheme.practical.equipment
    return _cooled(
        name,
        tray.wall,
        in_one_jug(scheme, mass),
        math.ceil(mass.m_as("g") / tray_holds(scheme).m_as("g")),
        scheme.region,
        kitchen.jug.m_as("cm"),
        kitchen.room.m_as("degC"),
        kitchen.storage.m_as("degC"),
        cold_line(scheme),
        (tray.tray_length.m_as("cm"), tray.tray_breadth.m_as("cm")),
        mass.m_as("g"),
    )


def in_one_jug(scheme: Scheme, mass: Quantity) -> int:
    """Return what stands in each jug of a batch, g, rounded up to whole steps.

    A step more or less moves no time by a minute, and spares the same sum over again.
    """
    most = _jug_holds(scheme.kitchen.jug.m_as("cm"))
    grams = float(mass.m_as("g"))
    return max(1, math.ceil(grams / math.ceil(grams / most) / _STEP)) * _STEP


@lru_cache(maxsize=64)
def _jug_holds(width: float) -> float:
    """Return what a jug holds before it is too full to blend, g."""
    volume = math.pi / 4 * width**2 * FULL * width
    return float(volume * blending.GLAZE_DENSITY.m_as("g/cm**3"))


def tray_holds(scheme: Scheme) -> Quantity:
    """Return what one tray holds at :data:`DEEP`."""
    tray = scheme.practical.equipment
    volume = tray.tray_length * tray.tray_breadth * DEEP
    return (volume * blending.GLAZE_DENSITY).to("g")


@lru_cache(maxsize=512)
def _cooled(
    name: str,
    wall: str,
    grams: int,
    trays: int,
    region: str,
    width: float,
    room: float,
    storage: float,
    cold: float,
    tray: tuple[float, float],
    whole: float,
) -> Cooled:
    way = HOW[name]
    one = q(grams, "g")
    vessel = jug.jug(one, q(width, "cm"), wall)
    water = None if way.iced else (one * WATER_TIMES).to("kg")
    rows = [(0.0, HOT)]
    bath = jug.water_bath(way.bath, water, q(room, "degC"))
    there = _follow(rows, vessel, bath, way.out.m_as("degC"))
    if not there:
        return Cooled((), 0, 0, f"the bath never brings it to {say(way.out)}")
    minutes = math.ceil(rows[-1][0])
    if way.tray:
        each = q(whole / trays, "g")
        try:
            laid = jug.tray(each, q(tray[0], "cm"), q(tray[1], "cm"))
        except FaultsError:
            return Cooled((), 0, 0, f"{say(each)} lies too thin in a tray of this size")
    else:
        laid = jug.jug(one, q(width, "cm"), wall, "filmed")
    _stand(rows, laid, jug.fridge(q(storage, "degC")))
    log = tuple((q(t, "min"), q(heat, "degC")) for t, heat in rows)
    broken, warm = judged(log, region)
    if not broken and rows[-1][1] > max(cold, storage) + 0.5:
        broken = f"in the morning it is still at {say(q(rows[-1][1], 'degC'))}"
    return Cooled(log, minutes, warm, broken, trays if way.tray else 0)


def _follow(rows: list[tuple[float, float]], vessel: Vessel, place: Place, out: float) -> bool:
    """Add rows until the glaze is at a temperature; False where it never gets there."""
    begun, start = rows[-1]
    state, setting = begin(start, vessel, place)
    last, there = until(out, state, setting)
    if not there or last.seconds > OVERNIGHT * 60:
        return False
    while state.seconds + _ROW / 5 < last.seconds:
        state = after(state, setting, _ROW / 5)
        rows.append((begun + state.seconds / 60, state.celsius))
    rows.append((begun + last.seconds / 60 + 1e-3, out))
    return True


def _stand(rows: list[tuple[float, float]], vessel: Vessel, place: Place) -> None:
    """Add rows until the next morning."""
    begun, start = rows[-1]
    state, setting = begin(start, vessel, place)
    for _ in range(round(OVERNIGHT * 60 / _ROW)):
        state = after(state, setting, _ROW)
        rows.append((begun + state.seconds / 60, state.celsius))


# --- the day itself -------------------------------------------------------------------------


def warming(scheme: Scheme, mass: Quantity, bath: Quantity) -> int:
    """Return the minutes in which a cold jug comes to where it is blended, as a rule."""
    return _bathed(
        scheme.practical.equipment.wall,
        in_one_jug(scheme, mass),
        scheme.kitchen.jug.m_as("cm"),
        scheme.kitchen.storage.m_as("degC"),
        warm_to(scheme).m_as("degC"),
        bath.m_as("degC"),
        scheme.kitchen.room.m_as("degC"),
    )


def into_window(scheme: Scheme, mass: Quantity, start: Quantity) -> int:
    """Return the minutes in a bath at the middle of the window until it is inside."""
    low, high = scheme.window.low.m, scheme.window.high.m
    return _bathed(
        scheme.practical.equipment.wall,
        in_one_jug(scheme, mass),
        scheme.kitchen.jug.m_as("cm"),
        start.m_as("degC"),
        high,
        (low + high) / 2,
        scheme.kitchen.room.m_as("degC"),
    )


def stays_in_window(scheme: Scheme, mass: Quantity) -> float:
    """Return for how many minutes a jug out of its bath stays in the window."""
    low, high = scheme.window.low.m, scheme.window.high.m
    room = scheme.kitchen.room.m_as("degC")
    if low <= room <= high:
        return math.inf
    return _left(
        scheme.practical.equipment.wall,
        in_one_jug(scheme, mass),
        scheme.kitchen.jug.m_as("cm"),
        (low + high) / 2,
        low if room < low else high,
        room,
    )


@lru_cache(maxsize=512)
def _left(wall: str, grams: int, width: float, start: float, end: float, room: float) -> float:
    vessel = jug.jug(q(grams, "g"), q(width, "cm"), wall)
    state, setting = begin(start, vessel, jug.bench(q(room, "degC")))
    last, there = until(end, state, setting)
    return last.seconds / 60 if there else math.inf


@lru_cache(maxsize=512)
def _bathed(
    wall: str, grams: int, width: float, start: float, target: float, bath: float, room: float
) -> int:
    vessel = jug.jug(q(grams, "g"), q(width, "cm"), wall)
    place = jug.water_bath(q(bath, "degC"), None, q(room, "degC"))
    state, setting = begin(start, vessel, place)
    last, _ = until(target, state, setting)
    return max(5, 5 * math.ceil(last.seconds / 60 / 5 - 1e-9))


def left_over(scheme: Scheme, warm: int, again: int) -> str:
    """Return what becomes of the rest, as far as a rule says.

    It has been warm for so many minutes, and cooling it takes as many again as it did.
    """
    return thrown_out(scheme, warm, again) or (
        f"The rest has been warm for {warm} min in all. If your rules let it go back, cool "
        f"it at once: it may be warm for {_most_back(scheme)} min in all, with what comes."
    )


def thrown_out(scheme: Scheme, warm: int, again: int) -> str:
    """Return why the rest is thrown out; empty where no rule says that it must be."""
    most = _most_back(scheme)
    if not most:
        return "Throw the rest out: time alone does not let it go back into the cold."
    if warm + again > most:
        return (
            f"Throw the rest out: it has been warm for {warm} min, and would be for "
            f"{warm + again} min until it is cold again."
        )
    return ""


def _most_back(scheme: Scheme) -> int:
    """Return for how many minutes in all what goes back into the cold may be warm."""
    most, rule = most_warm(scheme), _hours_here(scheme.region)
    if rule is None or rule.back_under is None:
        return most
    return min(most, int(rule.back_under.m_as("min")))
