"""Whether a base cooled fast enough, judged from what was written down.

A log is judged against the rule of a region where we know one with figures.
Where we know none, the answer is to ask, and never yes.

Two published rules are held against: the steps and limits of the Food Code, and the
limits of the Food Standards Agency.  No published collection of judged logs is known.
"""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date
from functools import cache
from itertools import pairwise
from typing import Any

from calculators import safety
from calculators.cooling.pouring_window import time_out_of_temperature
from calculators.cooling.stirred import read_log
from calculators.faults import fault_error
from calculators.frozen import frozen
from calculators.sources import records
from calculators.units import PUBLISHED, InstanceOf, Measure, OneOf, Quantity, calculator, q, say

KEPT, BROKEN, ASK = "kept", "broken", "ask"
_TEMPERATURE = Measure("degC", -30, 250)
_REGION = OneOf(*safety.REGIONS)
_LOG = InstanceOf((list, tuple), "a list of (time, temperature)")
_ROUNDING = 1e-6  # min: so much may the reckoning of straight lines add


# --- the rule that holds here ----------------------------------------------------


@frozen
class CoolingStep:
    """One step of a cooling rule: from here to there within a time.

    Parameters
    ----------
    start, end, within : quantity
        °C, °C and min.
    source, where : str
        Key of the bibliography and place in it; empty where memory alone vouches.
    dated : date
        When the rule was last looked at.
    provenance : str
        *published* or *from memory*.
    """

    start: Quantity
    end: Quantity
    within: Quantity
    source: str
    where: str
    dated: date
    provenance: str

    def __str__(self) -> str:
        """Return the step as it is said at the bench."""
        within = say(self.within, "hour")
        return f"from {say(self.start)} to {say(self.end)} within {within}"


@calculator(returns="steps, or none", region=_REGION)
def steps(region: str) -> tuple[CoolingStep, ...]:
    """Return the cooling rule of a region step by step; none where we know no figures.

    Parameters
    ----------
    region : str
        One of ``safety.regions()``.

    Returns
    -------
    tuple of Step
        Empty where the law gives no times, or where we have read none.

    Examples
    --------
    >>> for step in steps("US"):
    ...     print(step)
    from 57 °C to 21 °C within 2 h
    from 57 °C to 5 °C within 6 h

    Notes
    -----
    *Watch out*: no figure is not no rule.  "As quickly as possible" is a rule too,
    and your food safety plan says what it means.

    Source: ``data/cooling_steps.csv``, each row; in words, ``safety.legal_note``.
    """
    return _steps(region)


@cache
def _steps(region: str) -> tuple[CoolingStep, ...]:
    return tuple(
        CoolingStep(
            q(float(row["start"]), "degC"),
            q(float(row["end"]), "degC"),
            q(float(row["within"]), "min"),
            row["source"],
            row["where"],
            date.fromisoformat(row["dated"]),
            row["provenance"],
        )
        for row in records("cooling_steps")
        if {*safety.laws_of(region)} & {*row["region"].split()}
    )


@frozen
class Limits:
    """Between these two temperatures a base counts as out of temperature."""

    cold: Quantity
    hot: Quantity
    region: str

    def __str__(self) -> str:
        """Return the two limits in words."""
        return f"above {say(self.cold)} and below {say(self.hot)}"


@calculator(returns="two limits in °C, or none", region=_REGION)
def limits(region: str) -> Limits | None:
    """Return where cold holding ends and hot holding begins in a region.

    Parameters
    ----------
    region : str
        One of ``safety.regions()``.

    Returns
    -------
    Limits or None
        None where the region sets no figure, or where we have read none.

    Examples
    --------
    >>> print(limits("GB"))
    above 8 °C and below 63 °C
    >>> limits("EU") is None
    True

    Notes
    -----
    *Watch out*: some of these figures are from memory; the notes say which.

    Source: ``safety.legal_note`` on chilling and on holding.
    """
    cold, hot = (_degrees(subject, region) for subject in ("chilling", "holding"))
    return None if cold is None or hot is None else Limits(cold, hot, region)


def _degrees(subject: str, region: str) -> Quantity | None:
    for note in safety.legal_note(subject, region):
        if note.limit is not None and str(note.limit.units) == "degree_Celsius":
            return note.limit
    return None


# --- the log -----------------------------------------------------------------------


@calculator(returns="min", log=_LOG, start=_TEMPERATURE, end=_TEMPERATURE)
def time_between(
    log: Sequence[tuple[Quantity, Quantity]], start: Quantity, end: Quantity
) -> Quantity:
    """Return how long a base took from one temperature down to another.

    The clock starts when the log first falls below the upper temperature, or with
    its first row if that is below already, and stops when it first reaches the lower.

    Parameters
    ----------
    log : list of (time, temperature)
        Two or more rows in rising time, min and °C.
    start, end : quantity
        The upper and the lower temperature, −30 to 250 °C.

    Returns
    -------
    quantity
        min, on straight lines from row to row.

    Examples
    --------
    >>> log = [(q(0, "min"), q(77, "degC")), (q(30, "min"), q(57, "degC")),
    ...     (q(90, "min"), q(21, "degC"))]
    >>> say(time_between(log, q(57, "degC"), q(21, "degC")))
    '60 min'

    Notes
    -----
    *Watch out*: a log that begins too late hides minutes, and one that ends too
    early is refused: nobody knows when the base was cold.

    Source: none needed; the temperatures are those of your rule.
    """
    if end.m >= start.m:
        raise fault_error(
            "time_between, end",
            "is not below the start",
            say(end, digits=6),
            f"The start is {say(start)}",
            "Swap them" if end.m > start.m else "Give a lower end",
        )
    rows = read_log("time_between, row", log)
    done = _first_at(rows, end.m)
    if done is None:
        raise fault_error(
            "time_between, log",
            "never reaches the lower temperature",
            say(q(min(t for _, t in rows), "degC")),
            f"The rule ends at {say(end)}",
            "Read on until it is reached, or throw the base out",
        )
    begun = _first_at(rows, start.m)
    return q(done - (rows[0][0] if begun is None else begun), "min")


@frozen
class Judged:
    """One step of the rule beside what the log says of it.

    Parameters
    ----------
    step : Step
        The rule.
    took : quantity or None
        How long it took, min; None where the log ends too early.
    answer : str
        ``"kept"``, ``"broken"`` or ``"ask"``.
    """

    step: CoolingStep
    took: Quantity | None
    answer: str


@frozen
class Judgement:
    """What a log says against a region's rule.

    Parameters
    ----------
    answer : str
        ``"kept"``, ``"broken"`` or ``"ask"``; one broken step breaks it.
    because : str
        In words.
    steps : tuple of Judged
        Step by step; empty where the region gives no times.
    warm : quantity or None
        Time between the limits of the region; None where it sets none.
    gap : quantity
        The longest time in which nobody read the thermometer.
    """

    answer: str
    because: str
    steps: tuple[Judged, ...]
    warm: Quantity | None
    gap: Quantity

    def __str__(self) -> str:
        """Return the answer, its reason and who has the last word."""
        return f"{self.answer}: {self.because} {safety.LAST_WORD}"


@calculator(returns="kept, broken or ask, and why", log=_LOG, region=_REGION)
def judge(log: Sequence[tuple[Quantity, Quantity]], region: str) -> Judgement:
    """Judge a cooling log against the rule of a region: kept, broken or ask.

    Parameters
    ----------
    log : list of (time, temperature)
        Two or more rows in rising time, min and °C.
    region : str
        One of ``safety.regions()``.

    Returns
    -------
    Judgement
        *kept* only where a published rule was kept by a log that covers all of it and
        never warms up again, however the base fell between two readings; a rule from
        memory makes *ask* of it.  A broken step stays broken.

    Examples
    --------
    >>> log = [(q(0, "min"), q(77, "degC")), (q(60, "min"), q(57, "degC")),
    ...     (q(240, "min"), q(21, "degC")), (q(400, "min"), q(5, "degC"))]
    >>> print(judge(log, "US").because)
    From 57 °C to 21 °C it took 3 h, and the rule gives 2 h.

    Notes
    -----
    *Watch out*: *kept* is not yet *safe*.  The log knows nothing of dirty jugs, of a
    thermometer that is out, or of a pot that was warmed between two rows.

    Source: the rows of ``data/cooling_steps.csv``.
    """
    rows = read_log("judge, row", log)
    held = limits(region)
    warm = None if held is None else time_out_of_temperature(log, held.cold, held.hot)
    gap = q(max(b[0] - a[0] for a, b in pairwise(rows)), "min")
    judged = tuple(_judged(step, rows, log) for step in _steps(region))
    answer, because = _because(judged, rows, region)
    return Judgement(answer, because, judged, warm, gap)


def _judged(step: CoolingStep, rows: Sequence[tuple[float, float]], log: Any) -> Judged:
    if _first_at(rows, step.end.m) is None:
        begun = _first_at(rows, step.start.m)
        so_far = rows[-1][0] - (rows[0][0] if begun is None else begun)
        over = begun is not None and so_far > step.within.m
        return Judged(step, None, BROKEN if over else ASK)
    took = time_between(log, step.start, step.end)
    if took.m > step.within.m + _ROUNDING:
        return Judged(step, took, BROKEN)
    sure = (
        rows[0][1] >= step.start.m
        and _warmed_to(rows, step.end.m) is None
        and _longest(rows, step) <= step.within.m + _ROUNDING
    )
    return Judged(step, took, KEPT if sure and step.provenance == PUBLISHED else ASK)


def _because(
    judged: Sequence[Judged], rows: Sequence[tuple[float, float]], region: str
) -> tuple[str, str]:
    where = safety.REGIONS[region]
    for one in judged:
        if one.answer == BROKEN:
            span = f"From {say(one.step.start)} to {say(one.step.end)}"
            within = say(one.step.within, "hour")
            gives = f"the rule gives {within}."
            if one.took is None:
                return BROKEN, f"{span} it never came down within the log, and {gives}"
            took = say(one.took, "hour")
            took = f"more than {took}" if took == within else took
            return BROKEN, f"{span} it took {took}, and {gives}"
    if not judged:
        return ASK, (
            f"We know of no times in the law of {where}. Your food safety plan sets them: ask."
        )
    if any(one.took is None for one in judged):
        return ASK, "The log ends before the base was cold: nobody knows the rest."
    for one in reversed(judged):
        if (warm := _warmed_to(rows, one.step.end.m)) is not None:
            return ASK, (
                f"Once down to {say(one.step.end)} it warmed up again to "
                f"{say(q(warm, 'degC'))}: the rule for cooling does not cover that."
            )
    if rows[0][1] < judged[0].step.start.m:
        begins = say(judged[0].step.start)
        return ASK, f"The log begins below {begins}: nobody knows what came before."
    for one in judged:
        if (longest := _longest(rows, one.step)) > one.step.within.m + _ROUNDING:
            return ASK, (
                f"The readings lie too far apart: from {say(one.step.start)} to "
                f"{say(one.step.end)} it may have taken "
                f"{say(q(longest, 'min'), 'hour')}, and the rule gives "
                f"{say(one.step.within, 'hour')}."
            )
    if any(one.answer == ASK for one in judged):
        return ASK, f"It keeps the rule of {where} as we remember it. Ask for the rule."
    return KEPT, f"Each step of the rule of {where} was kept."


def _longest(rows: Sequence[tuple[float, float]], step: CoolingStep) -> float:
    """Return the longest time that a step can have taken by what was read.

    From the last reading before it was below the upper temperature, to the first at
    which it was at the lower.
    """
    below = next(i for i, (_, heat) in enumerate(rows) if heat < step.start.m)
    begun = _first_at(rows, step.start.m) or 0.0
    done = next(time for time, heat in rows if heat <= step.end.m)
    return done - min(begun, rows[max(below - 1, 0)][0])


def _warmed_to(rows: Sequence[tuple[float, float]], level: float) -> float | None:
    """Return how warm a base got after it had come down to a level; None for no more."""
    done = _first_at(rows, level)
    later = [heat for time, heat in rows if done is not None and time > done]
    return max(later) if later and max(later) > level else None


def _first_at(rows: Sequence[tuple[float, float]], level: float) -> float | None:
    """Return when a log first comes down to a level; None where it never does.

    A log that begins below the level begins with it.
    """
    if rows[0][1] <= level:
        return rows[0][0]
    for (t0, a), (t1, b) in pairwise(rows):
        if b <= level < a:
            return t0 + (t1 - t0) * (a - level) / (a - b)
    return None
