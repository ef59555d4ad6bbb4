"""One clock from the hob to the plate: both days predicted, and judged like a log.

The kitchen's numbers become a log before anybody has cooked: cooling on the bench, in
the bath, in the fridge, warming, holding, pouring, thawing, display.  The judge of real
logs judges it.  Where a step breaks a rule, the simplest other way that keeps it is
worked out.
*A prediction is no log: read the thermometer.  Your local rules and your supervisor
come first.*

No published collection of predicted and measured jugs is known; the balance of heat is
held against ``ht`` where it is written, in ``stirred`` and in ``jugs``.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import fields, replace
from itertools import pairwise
from typing import Any

from calculators.blending import GLAZE_DENSITY
from calculators.cooling.cooling_log import BROKEN, Judgement, judge, limits
from calculators.cooling.mixing import GLAZE_CONDUCTIVITY, GLAZE_HEAT, WATER_HEAT
from calculators.cooling.stirred import cooling_face, two_stirred
from calculators.cooling.surroundings import coefficient
from calculators.cooling.time_limits import (
    ALL_PERIODS,
    ON_DISPLAY,
    OUT,
    Held,
    hours,
    judge_time,
    time_rule,
    warm_between,
)
from calculators.faults import fault_error, refuse
from calculators.frozen import frozen
from calculators.safety import REGIONS
from calculators.units import Measure, OneOf, Quantity, q, say

AIR, BATH = "still air", "stirred water bath"
ICE = 2.0  # °C: a bath as cold as this has ice in it, and keeps its temperature
ICED = q(1, "degC")  # water with much ice in it, stirred; common practice
TEN = q(8, "degC")  # well below 10 °C: where a glaze leaves the bath
TRAY = q(2, "cm")  # a shallow layer; common practice
FRIDGE = q(2, "degC")  # as cold as a fridge is set; common practice
NIGHT = q(16, "h")  # from the bath to the next morning; common practice
OFF_THE_HOB = q(65, "degC")  # warmer than the hot line of every region
THAW, DISPLAY = q(6, "h"), q(8, "h")  # common practice
DAY_ONE, DAY_TWO = "day before", "day"
_LONGEST = 24 * 60  # min: a bath or a fridge that takes longer never gets there
_CLOSE = 1e-6  # °C and min

_HEAT, _COLD = Measure("degC", -30, 150), Measure("degC", -30, 65)
_GLAZE, _JUG = Measure("g", high=100_000, above=0), Measure("cm", 1, 100)
_TRAY, _LASTS = Measure("cm", 0.1, 50), Measure("min", high=_LONGEST, above=0)
_SCHOOL = Measure("h", 0.25, 24)

Temperature = Callable[[float], float]  # minutes after the start to °C


# --- how it cools: the one place where the model is chosen ---------------------------


@frozen
class Place:
    """A glaze that stands somewhere, as a cooling model needs to know it.

    Parameters
    ----------
    where : str
        *still air* or *stirred water bath*.
    mass : quantity
        In one jug or one tray, g.
    start, around : quantity
        Of the glaze at first, and of air or bath, °C.
    jug : quantity
        Its width, cm.
    tray : quantity or None
        How deep it lies in a tray, cm; None for a jug.
    water : quantity or None
        Of the bath, g; None where ice or a tap holds its temperature.
    """

    where: str
    mass: Quantity
    start: Quantity
    around: Quantity
    jug: Quantity
    tray: Quantity | None = None
    water: Quantity | None = None


Model = Callable[[Place], Temperature]


def _refuse(name: str, thing: Any, **specs: Measure | OneOf) -> None:
    """Refuse every value of a dataclass that is out of range, all at once."""
    may_lack = {field.name for field in fields(thing) if field.default is None}
    refuse(
        fault
        for key, spec in specs.items()
        if (value := getattr(thing, key)) is not None or key not in may_lack
        if (fault := spec.check(f"{name}, {key}", value)[1])
    )


def stirred_model(end: str = "typical") -> Model:
    """Return the model of a glaze of one temperature, with a coefficient from the table.

    ``temperature = settles + (start - settles) * exp(-time / constant)``

    Parameters
    ----------
    end : str
        *low*, *typical* or *high* of the band of the coefficient; *low* is slow.

    Returns
    -------
    function
        From a :class:`Place` to a temperature in °C after so many minutes.

    Examples
    --------
    >>> jug = Place(BATH, q(1140, "g"), q(60, "degC"), ICED, q(11, "cm"))
    >>> round(stirred_model()(jug)(14), 1)
    21.0

    Notes
    -----
    *Watch out*: a jug in the fridge is not stirred, so its middle is slower than this;
    and a glaze of gelatin thickens below about 20 °C: stir it as long as it lets you.

    Source: balance of heat, as in :func:`calculators.cooling.time_constant` and
    :func:`calculators.cooling.water_bath`; a tray adds its own conduction, the first
    term of the plate, 4 / π² of its thickness over its conductivity.
    """

    def model(place: Place) -> Temperature:
        grip = getattr(coefficient(place.where), end).m
        if place.tray is not None:
            half = place.tray.m_as("m") / 2
            grip = 1 / (1 / grip + 4 / math.pi**2 * half / GLAZE_CONDUCTIVITY.m)
        glaze = place.mass.m_as("kg") * GLAZE_HEAT.m * 1000  # J/K
        pool = math.inf if place.water is None else place.water.m_as("kg") * WATER_HEAT.m * 1000
        begun, around = place.start.m_as("degC"), place.around.m_as("degC")
        settles, rate = two_stirred(glaze, pool, begun, around, grip * _area(place))
        return lambda minutes: settles + (begun - settles) * math.exp(-rate * 60 * minutes)

    return model


def _area(place: Place) -> float:
    """Return through how many m² it cools: a wall and one end, or both faces of a tray."""
    volume = place.mass.m_as("kg") / GLAZE_DENSITY.m_as("kg/m**3")
    if place.tray is not None:
        return 2 * volume / place.tray.m_as("m")
    return cooling_face(place.jug.m_as("m"), volume)


# --- what is done -----------------------------------------------------------------------


@frozen
class Method:
    """How a glaze is cooled on the day before.

    Parameters
    ----------
    bath : quantity
        Temperature of the water at first, °C; at 2 °C or below there is ice in it.
    out : quantity
        Of the glaze when it leaves the bath, °C.
    tray : quantity or None
        How deep it lies in the fridge, cm; None where it stays in its jug.
    times : number
        Kilograms of water to one of glaze.
    fridge : quantity or None
        A fridge that is colder than the kitchen's, °C.
    """

    bath: Quantity
    out: Quantity
    tray: Quantity | None = None
    times: float = 4
    fridge: Quantity | None = None

    def __post_init__(self) -> None:
        """Refuse what is no temperature, and a tray that is none."""
        _refuse("method", self, bath=_COLD, out=_COLD, tray=_TRAY, fridge=_COLD)

    @property
    def coldest(self) -> Quantity:
        """The coldest at which a hot glaze can leave this bath in good time, °C."""
        bath, glaze = self.bath.m_as("degC"), GLAZE_HEAT.m
        share = 0.0 if bath <= ICE else glaze / (glaze + self.times * WATER_HEAT.m)
        return q(math.ceil(bath + (OFF_THE_HOB.m - bath) * share + 1), "degC")

    def __str__(self) -> str:
        """Return the method as it is said at the bench."""
        water = "water with ice" if self.bath.m_as("degC") <= ICE else "water"
        fridge = f" at {say(self.fridge)}" if self.fridge is not None else ""
        then = "in its jug" if self.tray is None else f"in a tray, {say(self.tray)} deep"
        return (
            f"stir it in {water} at {say(self.bath)} down to {say(self.out)}, "
            f"then into the fridge{fridge} {then}"
        )


USUAL = Method(q(10, "degC"), q(21, "degC"))


@frozen
class Work:
    """A step of the day: what it is, how long it lasts, how warm the glaze is at its end."""

    name: str
    lasts: Quantity
    ends: Quantity

    def __post_init__(self) -> None:
        """Refuse a step that lasts no time, and an end that is no temperature."""
        _refuse(f"work, {self.name}", self, lasts=_LASTS, ends=_HEAT)


@frozen
class Phase:
    """A stretch of the clock, as predicted.

    Parameters
    ----------
    day, name : str
        When, and what.
    starts, lasts : quantity
        min, from the hob on.
    begins, ends : quantity
        Of the glaze, °C.
    """

    day: str
    name: str
    starts: Quantity
    lasts: Quantity
    begins: Quantity
    ends: Quantity


@frozen
class Broken:
    """A step that breaks a rule, which one, and by how much."""

    step: str
    rule: str
    by: Quantity

    def __str__(self) -> str:
        """Return it as one sentence."""
        return f"{self.step}: {self.rule}: {self.excess}."

    @property
    def excess(self) -> str:
        """By how much, in words."""
        if self.by.is_compatible_with("min"):
            return f"{hours(self.by.m_as('min'))} too long"
        return f"{say(self.by)} too warm"


@frozen
class Mend:
    """The simplest other way that was found to keep the rules, and what it comes to."""

    words: str
    method: Method | None
    warm: Quantity

    def __str__(self) -> str:
        """Return it in words."""
        return self.words


@frozen
class Clock:
    """Both days of a glaze, predicted and judged.

    Parameters
    ----------
    phases : tuple of Phase
        In their order.
    log : tuple of (time, temperature)
        As it is predicted, to the end of the pour.
    cooling : Judgement
        Of the day before, by the judge of logs.
    held : Held
        Of both days, to the last pour.
    broken : tuple of Broken
        Empty where nothing is broken.
    mend : Mend or None
        None where nothing is broken.
    left_over : str
        What becomes of the rest, in words.
    slow : str
        What the slow end of the band would break; empty for nothing.
    """

    phases: tuple[Phase, ...]
    log: tuple[tuple[Quantity, Quantity], ...]
    cooling: Judgement
    held: Held
    broken: tuple[Broken, ...]
    mend: Mend | None
    left_over: str
    slow: str

    @property
    def keeps(self) -> bool:
        """Whether no rule is broken; what nobody knows is not broken."""
        return not self.broken


@frozen
class Day:
    """The numbers of a kitchen that the clock needs.

    Parameters
    ----------
    glaze : quantity
        In one jug, g.
    jug : quantity
        Its width, cm.
    room, fridge, display : quantity
        °C.
    region : str
        One of ``safety.regions()``.
    school : quantity or None
        How long the school holds a warm glaze in all; it may only be stricter.
    work : tuple of Work
        The steps of the day, from the fridge to the last pour.
    after : tuple of Work
        Those from the last pour until the rest is back in the cold.
    """

    glaze: Quantity
    jug: Quantity
    room: Quantity
    fridge: Quantity
    display: Quantity
    region: str
    work: tuple[Work, ...]
    after: tuple[Work, ...] = ()
    school: Quantity | None = None

    def __post_init__(self) -> None:
        """Refuse all that is out of range, at once."""
        _refuse(
            "day",
            self,
            glaze=_GLAZE,
            jug=_JUG,
            room=_HEAT,
            fridge=_COLD,
            display=_COLD,
            region=OneOf(*REGIONS),
            school=_SCHOOL,
        )


def both_days(
    day: Day, method: Method = USUAL, model: Callable[[str], Model] = stirred_model
) -> Clock:
    """Predict both days of a glaze as a log, and judge it.

    Parameters
    ----------
    day : Day
        The kitchen's numbers.
    method : Method
        How the glaze is cooled on the day before.
    model : function
        How a jug cools: from *low*, *typical* or *high*, an end of its band, to a
        :data:`Model`.  This is the one place where another model is put in.

    Returns
    -------
    Clock
        Its times are no better than the coefficients of the model: half to twice as long
        in a bath.  What the slow end would break stands in ``slow``.

    Examples
    --------
    >>> work = (Work("warm", q(35, "min"), q(42, "degC")), Work("pour", q(90, "min"), q(32, "degC")))
    >>> cold = q(4, "degC")
    >>> day = Day(q(1140, "g"), q(11, "cm"), q(22, "degC"), cold, cold, "AU", work)
    >>> made = both_days(day)
    >>> print(made.broken[0])
    day before, in the fridge: 21 °C to 5 °C within 4 h: 1 h 48 min too long.
    >>> print(made.mend.method)
    stir it in water with ice at 1 °C down to 8 °C, then into the fridge in a tray, 2 cm deep

    Notes
    -----
    *Watch out*: it is a plan and no log.  On the day the thermometer decides.

    Source: the model, and the rules of ``data/cooling_steps.csv`` and
    ``data/time_rules.csv``.
    """
    made = _judged(day, method, model("typical"))
    if made.broken:
        return replace(made, mend=_mend(day, method, model("typical")))
    slow = _judged(day, method, model("low"))
    return replace(made, slow=" ".join(map(str, slow.broken)))


# --- predicted ----------------------------------------------------------------------------


class _Life:
    """A log in the making: minutes and degrees, and the phases that they belong to."""

    def __init__(self, start: float) -> None:
        self.rows = [(0.0, start)]
        self.phases: list[Phase] = []

    def stand(self, day: str, name: str, heat: Temperature, lasts: float) -> None:
        """Follow a temperature for so many minutes, in steps of a minute or more."""
        begun, warm = self.rows[-1]
        step = max(1.0, lasts / 240)
        count = max(1, math.ceil(lasts / step))
        for i in range(1, count + 1):
            after = lasts * i / count
            self.rows.append((begun + after, heat(after)))
        ends = self.rows[-1][1]
        self.phases.append(
            Phase(
                day,
                name,
                q(begun, "min"),
                q(lasts, "min"),
                q(warm, "degC"),
                q(ends, "degC"),
            )
        )

    def step(self, day: str, work: Work) -> None:
        """Follow a step of hands, on a straight line to its end."""
        warm = self.rows[-1][1]
        lasts, ends = work.lasts.m_as("min"), work.ends.m_as("degC")
        self.stand(day, work.name, lambda t: warm + (ends - warm) * t / lasts, lasts)

    def log(self) -> tuple[tuple[Quantity, Quantity], ...]:
        """Return the log as the judge reads it."""
        return tuple((q(t, "min"), q(heat, "degC")) for t, heat in self.rows)


def _predicted(day: Day, method: Method, model: Model) -> tuple[_Life, int]:
    """Return the life of a glaze to its last pour, and where the second day begins."""
    life = _Life(OFF_THE_HOB.m)
    bench = Place(AIR, day.glaze, OFF_THE_HOB, day.room, day.jug)
    life.stand(DAY_ONE, "blended on the bench", model(bench), 5)
    _chilled(life, day, method, model, DAY_ONE, "in the fridge")
    second = len(life.rows) - 1
    for work in day.work:
        life.step(DAY_TWO, work)
    return life, second


def _fridge(day: Day, method: Method) -> Quantity:
    return day.fridge if method.fridge is None else method.fridge


def _chilled(life: _Life, day: Day, method: Method, model: Model, when: str, name: str) -> None:
    """Stir a glaze in the bath as long as that cools it, then let it stand in the fridge."""

    def here(where: str, around: Quantity) -> Place:
        return Place(where, day.glaze, q(life.rows[-1][1], "degC"), around, day.jug)

    if method.out.m_as("degC") < life.rows[-1][1]:
        iced = method.bath.m_as("degC") <= ICE
        pool = None if iced else day.glaze * method.times
        _bathed(life, method, model(replace(here(BATH, method.bath), water=pool)))
    cold = replace(here(AIR, _fridge(day, method)), tray=method.tray)
    life.stand(when, name, model(cold), NIGHT.m_as("min"))


def _bathed(life: _Life, method: Method, heat: Temperature) -> None:
    """Leave the glaze in the bath until it is as cold as it should be."""
    out = method.out.m_as("degC")
    done = next((t for t in range(1, _LONGEST) if heat(t) <= out + _CLOSE), None)
    if done is None:
        raise fault_error(
            "clock, bath",
            "never brings the glaze down so far",
            say(method.out),
            f"Bath and glaze settle at {say(q(heat(_LONGEST), 'degC'))}",
            "Take it out warmer, or put ice into the bath: 1 °C",
        )
    lasts = float(done)
    before = heat(done - 1)
    if before > out:
        lasts = done - 1 + (before - out) / (before - heat(done))
    life.stand(DAY_ONE, "stirred in the bath", heat, lasts)


# --- judged -----------------------------------------------------------------------------


def _judged(day: Day, method: Method, model: Model) -> Clock:
    life, second = _predicted(day, method, model)
    log = life.log()
    cooling = judge(log[: second + 1], day.region)
    held = judge_time(log, day.region, day.school)
    broken = [
        *_too_warm(day, method),
        *_cooling_broken(life, cooling),
        *_held_broken(life, day, held),
    ]
    left = _left_over(day, method, model, life)
    broken += _served(life, day, held)
    return Clock(tuple(life.phases), log, cooling, held, tuple(broken), None, left, "")


def _too_warm(day: Day, method: Method) -> list[Broken]:
    """Return the fridge that is warmer than cold food may be kept."""
    held, fridge = limits(day.region), _fridge(day, method)
    if held is None or fridge.m_as("degC") <= held.cold.m + _CLOSE:
        return []
    rule = f"cold food at {say(held.cold)} or colder"
    return [Broken(f"{DAY_ONE}, in the fridge", rule, (fridge - held.cold).to("delta_degC"))]


def _cooling_broken(life: _Life, cooling: Judgement) -> list[Broken]:
    """Return the steps of the cooling rule that break, each with its phase."""
    told = []
    for one in cooling.steps:
        if one.answer != BROKEN:
            continue
        began = next(t for t, heat in life.rows if heat <= one.step.start.m + _CLOSE)
        late = began + one.step.within.m
        took = NIGHT.m_as("min") if one.took is None else one.took.m
        phase = _at(life, late)
        rule = f"{say(one.step.start)} to {say(one.step.end)} within {hours(one.step.within.m_as('min'))}"
        if one.took is None:
            rule += ", and the next morning it is not there yet"
        told.append(Broken(f"{phase.day}, {phase.name}", rule, q(took - one.step.within.m, "min")))
    return told


def _held_broken(life: _Life, day: Day, held: Held) -> list[Broken]:
    if held.answer != BROKEN or held.limit is None:
        return []
    at = warm_between(day.region)
    over, spent = held.counted.m - held.limit.m, 0.0
    passed = life.rows[-1][0]
    for (t0, a), (t1, b) in reversed([*pairwise(life.rows)]):
        if at.cold.m < (a + b) / 2 < at.hot.m:
            spent += t1 - t0
        if spent >= over:
            passed = t0
            break
    phase = _at(life, passed)
    rule = f"a warm glaze for {hours(held.limit.m_as('min'))} at the most"
    return [Broken(f"{phase.day}, {phase.name}", rule, q(over, "min"))]


def _served(life: _Life, day: Day, held: Held) -> list[Broken]:
    """Stand the cakes in the display, and return what a display that is too warm breaks."""
    for name, lasts in (("thawing in the cold", THAW), ("in the display", DISPLAY)):
        began = life.phases[-1].starts + life.phases[-1].lasts
        life.phases.append(Phase(DAY_TWO, name, began, lasts.to("min"), day.display, day.display))
    rule = time_rule(day.region)
    if rule is None or day.display.m_as("degC") <= rule.cold.m + _CLOSE:
        return []
    before = held.warm if rule.counts == ALL_PERIODS else q(0, "min")
    stands = DISPLAY if rule.counts == ON_DISPLAY else THAW + DISPLAY
    over = before + stands.to("min") - rule.use_under
    if over.m <= 0:
        return []
    said = f"above {say(rule.cold)} for {hours(rule.use_under.m_as('min'))} at the most"
    return [Broken(f"{DAY_TWO}, in the display", said, over)]


def _at(life: _Life, time: float) -> Phase:
    """Return the phase in which a minute lies."""
    for phase in life.phases:
        if time < phase.starts.m + phase.lasts.m - _CLOSE:
            return phase
    return life.phases[-1]


def _left_over(day: Day, method: Method, model: Model, life: _Life) -> str:
    """Say what becomes of the rest, once it has been cooled like the day before."""
    back = _Life(life.rows[-1][1])
    back.rows, back.phases = [*life.rows], []
    for work in day.after:
        back.step(DAY_TWO, work)
    _chilled(back, day, method, model, DAY_TWO, "back in the fridge")
    cold = warm_between(day.region).cold
    if back.rows[-1][1] > cold.m:
        return f"Throw it out: this fridge does not bring it down to {say(cold)} again."
    again = judge_time(back.log(), day.region, day.school)
    comes = f"back in the cold it would come to {hours(again.warm.m_as('min'))} in all"
    if again.answer == BROKEN:
        return f"Throw it out: {comes}, and that is too long."
    if again.left_over == OUT:
        return f"Throw it out: {comes}, and {_back_by_law(day)}."
    if again.limit is None:
        return f"Ask: {comes}, and no figure is known here."
    return f"It may go back into the cold: {comes}."


def _back_by_law(day: Day) -> str:
    rule = time_rule(day.region)
    if rule is None or not rule.back_under:
        return "the law never lets it go back once it is held by time"
    return f"the law lets it go back only below {hours(rule.back_under.m_as('min'))}"


# --- mended --------------------------------------------------------------------------------


def ways(day: Day, method: Method) -> tuple[Method, ...]:
    """Return other ways of cooling, the simplest first."""
    cold = warm_between(day.region).cold
    down = q(max(cold.m, day.fridge.m_as("degC") + 0.5), "degC")
    iced, all_the_way = Method(ICED, TEN), Method(ICED, down)
    here = (
        iced,
        replace(method, tray=TRAY),
        replace(iced, tray=TRAY),
        all_the_way,
        replace(all_the_way, tray=TRAY),
    )
    if day.fridge <= FRIDGE:
        return here
    colder = (iced, replace(iced, tray=TRAY), Method(ICED, cold))
    return here + tuple(replace(way, fridge=FRIDGE) for way in colder)


def _mend(day: Day, method: Method, model: Model) -> Mend:
    tried = [(way, _judged(day, way, model)) for way in ways(day, method)]
    for way, clock in tried:
        if not clock.broken:
            first = f"{str(way)[0].upper()}{str(way)[1:]}"
            words = f"{first}: {_comes_to(day, clock)}."
            return Mend(words, way, clock.held.warm)
    way, best = min(tried, key=lambda pair: _worst(pair[1]).by.m)
    left = _worst(best)
    words = (
        f"No way of cooling mends it alone. With the quickest ({way}) it is still "
        f"{left.excess}, in the step {left.step}. Take that off with fewer cakes at a "
        "station, or keep half of the glaze cold until it is wanted."
    )
    return Mend(words, None, best.held.warm)


def _worst(clock: Clock) -> Broken:
    return max(clock.broken, key=lambda one: one.by.m)


def _comes_to(day: Day, clock: Clock) -> str:
    """Say how soon the glaze is cold, and how long it is warm on both days."""
    cold = warm_between(day.region).cold
    there = next(time for time, heat in clock.log if heat.m <= cold.m + _CLOSE)
    return (
        f"it is at {say(cold)} in {hours(there.m_as('min'))}, and warm for {hours(clock.held.warm.m_as('min'))} "
        "in all, to the last pour"
    )
