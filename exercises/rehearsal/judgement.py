"""The cake at the end, with its numbers, and the decisions that mattered most.

*Why* is found by computing the run again with each decision replaced by the method's own.
It is a comment, never a mark.
"""

from __future__ import annotations

import math
import time
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace

from calculators.cooling import cooling_log
from exercises.rehearsal import consequences as follows
from exercises.rehearsal.deeds import Bench, act, settings_of
from exercises.rehearsal.instead import Edit, edits
from exercises.rehearsal.log import Run
from exercises.rehearsal.method import Deed, Step, method
from exercises.rehearsal.state import ON_CAKES, TRAY, Conditions, State
from exercises.rehearsal.surprises import SURPRISES, beginning

SECONDS = 3.0  # at most, to find out why
TOLD = 3
_GOOD = 0.1  # what is good counts little, to choose between two ways that mend as much
_MUCH = 1 / 3  # of how far a number is off: below it a decision is not told
_MOVES = 0.15  # of what a pastry cook notices: below it a decision is not told
_CAP, _NOTHING, _UNSAFE = 6.0, 40.0, 60.0  # an unsafe cake is worse than none


@dataclass(frozen=True)
class Row:
    """One number of the cake: its name, value and unit, and how far it is from good.

    ``off`` counts what a pastry cook notices: below 1 nobody does.  ``under``: too little.
    ``good`` is the band in which it is good, in words.
    """

    name: str
    value: float
    unit: str
    off: float
    words: str
    under: bool = False
    good: str = ""

    def __str__(self) -> str:
        """Return it in a line."""
        return f"{self.name} {self.value:.3g} {self.unit}".strip() + (
            f": {self.words}" if self.off >= 1 else ""
        )


@dataclass(frozen=True)
class Reason:
    """A decision that mattered: which action, what the method does, and what that moves.

    ``place`` counts the actions from nought; it is where the other decision comes in.
    ``moved`` holds each number that was not good and gets better, and what it is then.
    ``says`` is it in words where *done* and *instead* are not enough.  ``after``: once the
    decisions before it are mended too.
    """

    place: int
    done: Deed | None
    instead: Deed | None
    gain: float
    moved: tuple[tuple[Row, float], ...]
    why: str
    lesson: str
    says: str = ""
    after: bool = False


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
    beside : tuple of str
        What went against a caution, whether or not it shows on this cake.
    left : tuple of (str, float)
        Where glaze is that is neither on a cake nor in the tray, and how many g.
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
    beside: tuple[str, ...]
    left: tuple[tuple[str, float], ...]
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
    if over:  # a minute too long is too long
        over = max(over, follows.number("notices clock"))
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
        "gelatin": 100 * cakes.strength,
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
        "foot": ("mm", lambda x: max(0.0, x - 2.5), "it has a thick foot"),
        "waves": ("%", float, "the marks of the pour stay"),
        "bare": ("%", float, "bare patches: too little was poured"),
        "pits": ("1/cm²", float, "bubbles have burst in the coat"),
        "gloss": ("", lambda x: smooth - x, "dull"),
        "specks": ("%", float, "specks of colour show"),
        "streaks": ("%", float, "streaks of fat show"),
        "lumps": ("%", float, "strings and lumps show in it"),
        "marble": ("×", lambda x: x - 1, "the colours did not stay side by side"),
        "slide": ("%", float, "the coat slides down the wall"),
        "set": ("%", set_off, "rubbery"),
        "gelatin": ("%", lambda x: min(0.0, x - 100), "heat has taken some of its strength"),
        "clock": ("min", lambda _: over, "too long warm: throw it away"),
    }
    under = {"coat": "thin: the cake shows through", "set": "soft"}
    notice = {name: follows.number(f"notices {name}") for name in told}
    ends = {name: f"up to {notice[name]:g} {told[name][0]}" for name in told}
    ends |= {
        "coat": f"{low - notice['coat']:.2f} to {high + notice['coat']:.2f} g/cm²",
        "rim": f"from {0.6 - notice['rim']:.2g} mm",
        "foot": f"up to {2.5 + notice['foot']:g} mm",
        "gloss": f"from {smooth - notice['gloss']:.0f}; a smooth one has {smooth:.0f}",
        "marble": f"up to {1 + notice['marble']:g} ×",
        "set": f"{80 - notice['set']:g} to {140 + notice['set']:g} % of the formula’s firmness",
        "gelatin": f"from {100 - notice['gelatin']:g} % of its strength",
        "clock": f"up to {follows.number('held warm'):g} min",
    }
    out = []
    for name, value in values.items():
        unit, away, words = told[name]
        off = away(value) / notice[name]
        words = under.get(name, words) if off < 0 else words
        out.append(Row(name, value, unit, abs(off), words, under=off < 0, good=ends[name]))
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
    return _far(rows, 1.0)


def _far(rows: tuple[Row, ...], good: float) -> float:
    """Return how far a cake is from good; what is good counts by a share."""
    unsafe = any(row.name == "clock" and row.off >= 1 for row in rows)
    off = sum(min(row.off, _CAP) * (1 if row.off >= 1 else good) for row in rows)
    return off + _UNSAFE * unsafe if rows else _NOTHING


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
        _beside(run),
        tuple(
            (n, v.grams) for n, v in state.vessels if n not in (ON_CAKES, TRAY) and v.grams >= 0.5
        ),
        sum(v.evaporated for v in vessels.values()),
        sum(v.grams for n, v in vessels.items() if n not in (ON_CAKES, TRAY)),
        spent,
        whole,
    )


def _beside(run: Run) -> tuple[str, ...]:
    """Return what went against a caution, whether or not it shows on this cake."""
    told, before = [], beginning(run.conditions)
    for deed, outcome in zip(run.actions, run.outcomes, strict=True):
        if deed["do"] == "add gelatin" and not outcome.stop:
            vessel = str(settings_of(deed)["vessel"])
            held = before.vessel(vessel)
            if held.celsius > follows.number("hot steam"):
                told.append(
                    f"The gelatin went in at {held.celsius:.0f} °C. Above 80 °C it loses strength, "
                    "the more the longer."
                )
        if outcome.state.cakes.poured and not before.cakes.poured:
            wiped = any(one["do"] == "wipe" for one in run.actions)
            told += [] if wiped else ["The cakes were never wiped. On frost a glaze slides."]
        before = outcome.state
    return tuple(told)


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
    """Find what would have mended the cake: the strongest first, and then what is left."""
    ends, whole, here = now() + seconds, True, rows
    if rows and all(row.off < 1 for row in rows):
        return (), True
    tries = [e for e in edits(run, steps) if within is None or e.place in within]
    found: list[Reason] = []
    ways: list[Reason] = []
    mended: Edit | None = None
    while len(found) < TOLD:
        gains: list[tuple[Reason, Edit, Edit, tuple[Row, ...]]] = []
        for one in tries:
            both = mended.then(one) if mended else one
            state = both.end(run, lambda: now() > ends)
            if state is None:
                whole = False
                break
            then = rows_of(state, run.conditions)
            reason = _reason(one, here, then)
            if reason.gain >= _MOVES and (reason.moved or not (here and then)):
                gains.append((replace(reason, after=bool(mended)), one, both, then))
        if not gains:
            break
        gains.sort(
            key=lambda g: (-round(2 * g[0].gain), g[1].at_pour, -round(g[0].gain, 6), g[0].place)
        )
        if not mended:
            ways = [reason for reason, _, _, _ in gains]
        reason, _, mended, here = gains[0]
        found.append(reason)
        tries = [one for one in tries if one is not gains[0][1]]
    told = {(r.place, r.says, str(r.instead)) for r in found}
    ways = [r for r in ways if (r.place, r.says, str(r.instead)) not in told]
    return (*found, *ways[: TOLD - len(found)]), whole


def _reason(edit: Edit, rows: tuple[Row, ...], then: tuple[Row, ...]) -> Reason:
    """Return what a change moves: only what was not good counts, or is not good after it."""
    other = {row.name: row for row in then}
    moved = sorted(
        (r for r in rows if r.off >= 1 and r.name in other and _mends(r, other[r.name])),
        key=lambda r: other[r.name].off - r.off,
    )
    why = edit.why or (_CONSEQUENCE.get(moved[0].name, "") if moved else "")
    told = tuple((row, other[row.name].value) for row in moved[:3])
    gain = _far(rows, _GOOD) - _far(then, _GOOD)
    return Reason(edit.place, edit.done, edit.instead, gain, told, why, edit.lesson, says=edit.says)


def _mends(row: Row, then: Row) -> bool:
    """Return whether a number that is not good becomes good, or much better."""
    return row.off - then.off > (_MOVES if then.off < 1 else _MUCH * row.off)


# What lies between a decision and a number of the cake, where the decision has no reason of
# its own.
_CONSEQUENCE = {
    "coat": "The thicker and the cooler a glaze is, the more of it stays.",
    "rim": "A hot or thin glaze leaves the edge first.",
    "foot": "What sets too late gathers at the foot.",
    "waves": "It levels only while it runs.",
    "bare": "What runs off has to be poured too, and a heavier coat needs more.",
    "pits": "Each bubble that is poured may burst in the coat.",
    "gloss": "Air, specks and fat make the surface rough.",
    "specks": "A powder wets in a warm base only.",
    "streaks": "Fat shines only where it is spread finely.",
    "lumps": "What is not melted is poured too.",
    "marble": "Colours stay side by side where they are equally thick.",
    "slide": "Frost, a soft glaze and one that sets late let it slide.",
    "set": "How firm it is depends on gelatin in water.",
    "gelatin": "Above 80 °C gelatin loses strength, the more the longer.",
    "clock": "Minutes in the warm count from the boil to the pour.",
}
