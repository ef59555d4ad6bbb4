"""The cake at the end, with its numbers, and the decisions that mattered most.

*Why* is found by computing the run again with each decision replaced by the method's own.
It is a comment, never a mark.
"""

from __future__ import annotations

import math
import time
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from calculators.cooling import cooling_log
from exercises.rehearsal import consequences as follows
from exercises.rehearsal.deeds import ACTIONS, Bench, act
from exercises.rehearsal.log import Run
from exercises.rehearsal.method import Deed, Step, method
from exercises.rehearsal.state import ON_CAKES, TRAY, Conditions, State
from exercises.rehearsal.surprises import SURPRISES, beginning

SECONDS = 3.0  # at most, to find out why
TOLD = 3
_MOVES = 0.15  # of what a pastry cook notices: below it a decision is not told
_FOR_COLOURS = ("split", "colour", "one bath", "layer")  # nobody misses them in one colour
_CAP, _NOTHING, _UNSAFE = 6.0, 40.0, 60.0  # an unsafe cake is worse than none


@dataclass(frozen=True)
class Row:
    """One number of the cake: its name, value and unit, and how far it is from good.

    ``off`` counts what a pastry cook notices: below 1 nobody does.  ``under``: too little.
    """

    name: str
    value: float
    unit: str
    off: float
    words: str
    under: bool = False

    def __str__(self) -> str:
        """Return it in a line."""
        return f"{self.name} {self.value:.3g} {self.unit}".strip() + (
            f": {self.words}" if self.off >= 1 else ""
        )


@dataclass(frozen=True)
class Reason:
    """A decision that mattered: which action, what the method does, and what that moves.

    ``place`` counts the actions from nought; it is where the other decision comes in.
    ``moved`` holds each number that gets better, and what it is then.
    """

    place: int
    done: Deed | None
    instead: Deed | None
    gain: float
    moved: tuple[tuple[Row, float], ...]
    why: str
    lesson: str


@dataclass(frozen=True)
class Judgement:
    """What a run ended as.

    Parameters
    ----------
    glazed : bool
        Whether anything was poured.
    rows : tuple of Row
        The numbers of the cake; empty where nothing was poured.
    reasons : tuple of Reason
        Those that mattered most, first the strongest.
    surprises : tuple of str
        What nobody told at the beginning.
    stops : tuple of str
        The actions at which somebody would have been hurt.
    water_lost, wasted, cost : float
        g, g, and in the kitchen's currency for what has a price.
    whole : bool
        Whether every decision could be tried in the time.
    """

    glazed: bool
    rows: tuple[Row, ...]
    reasons: tuple[Reason, ...]
    surprises: tuple[str, ...]
    stops: tuple[str, ...]
    water_lost: float
    wasted: float
    cost: float
    whole: bool

    def row(self, name: str) -> Row:
        """Return a number of the cake by its name."""
        return next(row for row in self.rows if row.name == name)


def rows_of(state: State, conditions: Conditions) -> tuple[Row, ...]:
    """Return the numbers of the cake as it stands."""
    cakes = state.cakes
    if not cakes.poured:
        return ()
    over = max(0.0, cakes.clock - follows.number("held warm"))
    if cakes.rule == cooling_log.BROKEN:
        over = max(over, 2 * follows.number("notices clock"))
    values = {
        "coat": cakes.coat,
        "rim": cakes.rim,
        "foot": cakes.foot,
        "waves": cakes.waves,
        "bare": 100 - cakes.covered,
        "pits": cakes.air * follows.number("pits by air"),
        "gloss": follows.gloss_units(cakes.air, cakes.specks, cakes.streaks),
        "specks": 100 * cakes.specks,
        "streaks": 100 * cakes.streaks,
        "lumps": 100 * cakes.lumps,
        "marble": cakes.marble,
        "slide": 100 * slides(state),
        "set": 100 * cakes.set_ratio,
        "clock": cakes.clock,
    }
    return rows_from(values, conditions, over)


def rows_from(
    values: Mapping[str, float], conditions: Conditions, over: float = 0.0
) -> tuple[Row, ...]:
    """Return the rows of a cake's numbers; the clock is ``over`` by so many minutes."""
    low, high = follows.coat_in_window(conditions)
    smooth = follows.gloss_units(0, 0, 0)
    told: dict[str, tuple[str, Callable[[float], float], str]] = {
        "coat": ("g/cm²", lambda x: min(0.0, x - low) or max(0.0, x - high), "heavy"),
        "rim": ("mm", lambda x: min(0.0, x - 0.6), "the edge shows through"),
        "foot": ("mm", lambda x: max(0.0, x - 2.5), "a thick foot stands around it"),
        "waves": ("%", float, "the marks of the pour stay"),
        "bare": ("%", float, "bare patches: too little was poured"),
        "pits": ("1/cm²", float, "bubbles have burst in the coat"),
        "gloss": ("", lambda x: smooth - x, "dull"),
        "specks": ("%", float, "specks of colour show"),
        "streaks": ("%", float, "streaks of fat show"),
        "lumps": ("%", float, "strings and lumps stand in it"),
        "marble": ("×", lambda x: x - 1, "the colours have not kept beside each other"),
        "slide": ("%", float, "the coat slides down the wall"),
        "set": ("%", set_off, "rubbery"),
        "clock": ("min", lambda _: over, "too long warm: throw it away"),
    }
    under = {"coat": "thin: the cake shows through", "set": "soft"}
    out = []
    for name, value in values.items():
        unit, away, words = told[name]
        off = away(value) / follows.number(f"notices {name}")
        words = under.get(name, words) if off < 0 else words
        out.append(Row(name, value, unit, abs(off), words, under=off < 0))
    return tuple(out)


def set_off(percent: float) -> float:
    """Return how far a set is from that of the formula, %: soft below 0, rubbery above."""
    return min(0.0, percent - 80) or max(0.0, percent - 140)


def slides(state: State) -> float:
    """Return the share of the coat that slides: on frost, too soft, or never set."""
    cakes = state.cakes
    frost = (cakes.under / follows.number("frost slides")) ** 2
    soft = max(0.0, 0.7 - cakes.set_ratio)
    late = max(0.0, cakes.sets_after - 60) / 60
    return 1 - math.exp(-(frost + soft + 0.5 * late))


def distance(rows: tuple[Row, ...]) -> float:
    """Return how far a cake is from good, each number counted to a limit."""
    unsafe = any(row.name == "clock" and row.off >= 1 for row in rows)
    return sum(min(row.off, _CAP) for row in rows) + _UNSAFE * unsafe if rows else _NOTHING


def judge(
    run: Run,
    seconds: float = SECONDS,
    now: Callable[[], float] = time.perf_counter,
    *,
    steps: Sequence[Step] = (),
    within: range | None = None,
) -> Judgement:
    """Return the cake at the end of a run and why it is so.

    Parameters
    ----------
    run : Run
        As far as it went.
    seconds : float
        How long it may look for reasons, by ``now``.
    now : callable
        A clock, s.
    steps : sequence of Step, optional
        What it is compared with, in place of the method.
    within : range, optional
        The places of the decisions that are looked at; all of them unless given.
    """
    rows = rows_of(run.state, run.conditions)
    reasons, whole = _reasons(run, rows, seconds, now, steps or method(run.conditions), within)
    state, kitchen = run.state, run.conditions.kitchen
    vessels = dict(state.vessels)
    prices = {
        line.ingredient: float(line.price.m) / line.pack.m_as("g")
        for line in kitchen.formula
        if line.price is not None and line.pack is not None
    }
    spent = sum(
        prices.get(name, 0.0) * grams for vessel in vessels.values() for name, grams in vessel.lines
    )
    return Judgement(
        state.cakes.poured,
        rows,
        reasons,
        tuple(SURPRISES[name].said for name in run.surprises),
        state.stops,
        sum(v.evaporated for v in vessels.values()),
        sum(v.grams for n, v in vessels.items() if n not in (ON_CAKES, TRAY)),
        spent,
        whole,
    )


def had_waited(run: Run, place: int, minutes: float) -> tuple[tuple[Row, float], ...]:
    """Return what moves on the cake had everything stood for some minutes before an action.

    Parameters
    ----------
    run : Run
        To its end.
    place : int
        Of the action, from nought.
    minutes : float
        How long; all that comes after is done as it was.

    Returns
    -------
    tuple of (Row, float)
        Each number that moves by more than nobody would notice, as it is, and what it would be.
    """
    state = run.outcomes[place - 1].state if place else beginning(run.conditions)
    bench = Bench(state, run.conditions)
    bench.wait(60 * minutes)
    state = bench.done()
    for deed in run.actions[place:]:
        state = act(run.conditions, state, deed).state
    then = {row.name: row for row in rows_of(state, run.conditions)}
    rows = [row for row in rows_of(run.state, run.conditions) if row.name in then]
    apart = {row.name: abs(row.off - then[row.name].off) for row in rows}
    moved = sorted((r for r in rows if apart[r.name] > _MOVES), key=lambda r: -apart[r.name])
    return tuple((row, then[row.name].value) for row in moved)


def _reasons(
    run: Run,
    rows: tuple[Row, ...],
    seconds: float,
    now: Callable[[], float],
    steps: Sequence[Step],
    within: range | None,
) -> tuple[tuple[Reason, ...], bool]:
    ends, here = now() + seconds, distance(rows)
    found: list[Reason] = []
    whole = True
    late_first = sorted(_others(run, steps), key=lambda one: -one[0])  # they are soon tried
    for place, deeds, done, instead, why, lesson in late_first:
        if within is not None and place not in within:
            continue
        state = run.outcomes[place - 1].state if place else beginning(run.conditions)
        for deed in deeds:
            if now() > ends:
                break
            state = act(run.conditions, state, deed).state
        if now() > ends:
            whole = False
            break
        then = rows_of(state, run.conditions)
        gain = here - distance(then)
        if gain < _MOVES:
            continue
        other = {row.name: row for row in then}
        moved = [
            (row, other[row.name].value)
            for row in sorted(
                (r for r in rows if r.name in other),
                key=lambda r: r.off - other[r.name].off,
                reverse=True,
            )
            if row.off - other[row.name].off > _MOVES
        ]
        found.append(Reason(place, done, instead, gain, tuple(moved[:3]), why, lesson))
    found.sort(key=lambda r: (-round(r.gain, 6), r.place))
    return tuple(found[:TOLD]), whole


def _key(deed: Mapping[str, Any]) -> tuple[str, ...]:
    """Return what makes two decisions the same decision, however it was taken."""
    names = ("do", "what", "vessel") if deed["do"] != "soak" else ("do",)
    return tuple(str(deed.get(name, "")) for name in names)


def _others(
    run: Run, steps: Sequence[Step]
) -> Iterator[tuple[int, list[Deed], Deed | None, Deed | None, str, str]]:
    """Yield each run in which one decision is the method's own.

    As the place from which it differs, what is done from there on, the decision, the
    method's, the reason for that and the lesson that gives it.
    """
    done = [dict(a) for a in run.actions]
    free = set(range(len(done)))
    places: dict[int, int] = {}  # step -> action
    for n, step in enumerate(steps):
        match = next((i for i in sorted(free) if _key(done[i]) == _key(step.deed)), None)
        if match is None:
            match = next((i for i in sorted(free) if done[i]["do"] == step.deed["do"]), None)
        if match is not None:
            places[n] = match
            free.discard(match)
    alike: dict[tuple[Any, ...], list[int]] = {}  # taken twice, one decision
    for n, i in places.items():
        here, there = _values(done[i]), _values(steps[n].deed)
        apart = [(k, here[k], there[k]) for k in here if here[k] != there[k]]
        if apart:
            alike.setdefault((done[i]["do"], *apart), []).append(n)
    for group in alike.values():
        instead = {places[n]: steps[n].deed for n in group}
        first = min(instead)
        step = next(steps[n] for n in group if places[n] == first)
        deeds = [instead.get(i, done[i]) for i in range(first, len(done))]
        yield first, deeds, done[first], step.deed, step.why, _lesson(step)
    one_colour = not any(deed["do"] == "split" for deed in done)
    for n, step in enumerate(steps):
        if one_colour and step.deed["do"] in _FOR_COLOURS:
            continue
        if n not in places:
            i = next((places[m] for m in range(n + 1, len(steps)) if m in places), len(done))
            yield i, [step.deed, *done[i:]], None, step.deed, step.why, _lesson(step)
    for i in sorted(free):
        lesson = ACTIONS[str(done[i]["do"])].lesson
        yield i, done[i + 1 :], done[i], None, "The method does without it.", lesson


def _lesson(step: Step) -> str:
    return step.lesson or ACTIONS[str(step.deed["do"])].lesson


def _values(deed: Mapping[str, Any]) -> dict[str, Any]:
    found = ACTIONS[str(deed["do"])]
    return {name: deed.get(name, takes.start) for name, takes in found.takes.items()}
