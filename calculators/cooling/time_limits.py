"""How long a glaze may be warm in all, and whether what is left may go back.

Where a law lets time take the place of cold, its hours are counted in its own way:
over all periods, from the cold, or on display alone.  Where it gives no hours, the
school's figure is the only one, and the answer is never a plain yes.
"""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date
from functools import cache
from itertools import pairwise

from calculators import safety
from calculators.cooling.cooling_log import ASK, BROKEN, KEPT, Limits, limits
from calculators.cooling.pouring_window import time_out_of_temperature
from calculators.cooling.stirred import read_log
from calculators.frozen import frozen
from calculators.sources import records
from calculators.units import PUBLISHED, InstanceOf, Measure, OneOf, Quantity, calculator, q, say

ALL_PERIODS, FROM_THE_COLD, ON_DISPLAY = "all periods", "from the cold", "on display"
BACK, OUT = "back into the cold", "throw it out"
_REGION = OneOf(*safety.REGIONS)
_COLD, _HOT = 5.0, 60.0  # °C: where a region sets none, the strictest that we have read
_ROUNDING = 1e-6  # min


# --- the rule ---------------------------------------------------------------------


@frozen
class TimeRule:
    """Time as a control: how it is counted, and how long it may be.

    Parameters
    ----------
    counts : str
        *all periods* are added up, or it runs *from the cold* without a stop, or it holds
        *on display* alone.
    cold, hot : quantity
        Between these it counts, °C.
    back_under : quantity or None
        Below this the food may go back into the cold, min; 0 for never, None where the
        rule is silent.
    use_under : quantity
        From this on it is thrown out, min.
    source, where : str
        Key of the bibliography and place in it.
    dated : date
        When the rule was last looked at.
    provenance : str
        *published* or *from memory*.
    """

    counts: str
    cold: Quantity
    hot: Quantity
    back_under: Quantity | None
    use_under: Quantity
    source: str
    where: str
    dated: date
    provenance: str

    def __str__(self) -> str:
        """Return the rule as it is said at the bench."""
        how = {
            ALL_PERIODS: "all periods added up",
            FROM_THE_COLD: "from the moment it leaves the cold",
            ON_DISPLAY: "once only, for service or on display",
        }[self.counts]
        return f"{say(self.use_under, 'h')} between {say(self.cold)} and {say(self.hot)}, {how}"


@calculator(returns="a rule, or none", region=_REGION)
def time_rule(region: str) -> TimeRule | None:
    """Return how long the law of a region lets time take the place of cold.

    Parameters
    ----------
    region : str
        One of ``safety.regions()``.

    Returns
    -------
    TimeRule or None
        None where the law gives no hours, or where we have read none.

    Examples
    --------
    >>> print(time_rule("AU"))
    4 h between 5 °C and 60 °C, all periods added up

    Notes
    -----
    *Watch out*: the hours of Great Britain and Northern Ireland are for service and
    display; a jug on the bench has none.

    Source: ``data/time_rules.csv``, each row; in words, ``safety.legal_note``.
    """
    return _rule(region)


@cache
def _rule(region: str) -> TimeRule | None:
    for row in records("time_rules"):
        if region in row["region"].split():
            return TimeRule(
                row["counts"],
                q(float(row["cold"]), "degC"),
                q(float(row["hot"]), "degC"),
                q(float(row["back_under"]), "min") if row["back_under"] else None,
                q(float(row["use_under"]), "min"),
                row["source"],
                row["where"],
                date.fromisoformat(row["dated"]),
                row["provenance"],
            )
    return None


@calculator(returns="two limits in °C", region=_REGION)
def warm_between(region: str) -> Limits:
    """Return between which temperatures a glaze counts as warm, in any region.

    Parameters
    ----------
    region : str
        One of ``safety.regions()``.

    Returns
    -------
    Limits
        Those of the region; where it sets none, 5 °C and 60 °C, the strictest read.

    Examples
    --------
    >>> print(warm_between("EU"))
    above 5 °C and below 60 °C
    >>> print(warm_between("GB"))
    above 8 °C and below 63 °C

    Notes
    -----
    *Watch out*: where the region sets none, the two are for counting, and no law.

    Source: ``safety.legal_note`` on chilling and on holding.
    """
    held = limits(region)
    return held or Limits(q(_COLD, "degC"), q(_HOT, "degC"), region)


# --- judged -----------------------------------------------------------------------


@frozen
class Held:
    """What a log says against the hours for a warm glaze.

    Parameters
    ----------
    answer : str
        ``"kept"``, ``"broken"`` or ``"ask"``.
    because : str
        In words.
    warm : quantity
        Time between the two lines, all periods, min.
    counted : quantity
        As the stricter rule counts it, min.
    limit : quantity or None
        The hours that it is held against; None where nobody gave any.
    left_over : str
        What becomes of the rest: *back into the cold*, *throw it out*, or *ask*.
    """

    answer: str
    because: str
    warm: Quantity
    counted: Quantity
    limit: Quantity | None
    left_over: str

    def __str__(self) -> str:
        """Return the answer, its reason and who has the last word."""
        return f"{self.answer}: {self.because} {safety.LAST_WORD}"


@calculator(
    returns="kept, broken or ask, and what becomes of the rest",
    log=InstanceOf((list, tuple), "a list of (time, temperature)"),
    region=_REGION,
    school=Measure("h", 0.25, 24),
    displayed=InstanceOf(bool, "True or False"),
)
def judge_time(
    log: Sequence[tuple[Quantity, Quantity]],
    region: str,
    school: Quantity | None = None,
    displayed: bool = False,
) -> Held:
    """Judge how long a glaze was warm, by the law of a region and the school's figure.

    Parameters
    ----------
    log : list of (time, temperature)
        Of all days, two or more rows in rising time, min and °C; it ends with the last
        use.
    region : str
        One of ``safety.regions()``.
    school : quantity, optional
        How long the school holds a warm glaze in all, h; it may only be stricter.
    displayed : bool
        True where the log is one of service or display.

    Returns
    -------
    Held
        *kept* only by a published rule with hours.  A school's figure alone can break a
        log, and makes *ask* of it where it is kept.

    Examples
    --------
    >>> log = [(q(0, "min"), q(4, "degC")), (q(1, "min"), q(32, "degC")),
    ...     (q(150, "min"), q(32, "degC"))]
    >>> held = judge_time(log, "AU")
    >>> held.answer, held.left_over
    ('kept', 'throw it out')

    Notes
    -----
    *Watch out*: near the limit is not within it: read the thermometer and the clock.

    Source: the rows of ``data/time_rules.csv``.
    """
    at = warm_between(region)
    warm = time_out_of_temperature(log, at.cold, at.hot)
    rule = _rule(region)
    if rule is not None and rule.counts == ON_DISPLAY and not displayed:
        rule = None
    checks = []
    if rule is not None:
        counted = warm
        if rule.counts == FROM_THE_COLD:
            counted = q(_since_the_cold(log, at.cold.m), "min")
        checks.append((rule.use_under, counted, f"the rule of {safety.REGIONS[region]}"))
    if school is not None:
        checks.append((school.to("min"), warm, "the figure of your school"))
    left = _left_over(rule, warm)
    for limit, counted, whose in checks:
        if counted.m > limit.m + _ROUNDING:
            said = f"It was warm for {hours(counted.m_as('min'))}, and {whose} gives {hours(limit.m_as('min'))}."
            return Held(BROKEN, said, warm, counted, limit, OUT)
    if not checks:
        said = f"It was warm for {hours(warm.m_as('min'))}. {_no_hours(region)} Your food safety plan: ask."
        return Held(ASK, said, warm, warm, None, left)
    limit, counted, whose = min(checks, key=lambda check: check[0].m - check[1].m)
    said = f"It was warm for {hours(counted.m_as('min'))}, within the {hours(limit.m_as('min'))} of {whose}."
    if rule is None:
        return Held(ASK, f"{said} {_no_hours(region)}", warm, counted, limit, left)
    answer = KEPT if rule.provenance == PUBLISHED else ASK
    return Held(answer, said, warm, counted, limit, left)


def hours(minutes: float) -> str:
    """Return minutes as a clock says them, rounded to the minute.

    >>> hours(125), hours(35), hours(240)
    ('2 h 5 min', '35 min', '4 h')
    """
    whole = round(minutes)
    parts = [f"{whole // 60} h"] if whole >= 60 else []
    if whole % 60 or not parts:
        parts.append(f"{whole % 60} min")
    return " ".join(parts)


def _no_hours(region: str) -> str:
    return f"We know of no hours for this in the law of {safety.REGIONS[region]}."


def _left_over(rule: TimeRule | None, warm: Quantity) -> str:
    if rule is None or rule.back_under is None:
        return ASK
    return BACK if warm.m < rule.back_under.m else OUT


def _since_the_cold(log: Sequence[tuple[Quantity, Quantity]], cold: float) -> float:
    """Return the minutes from the first leaving of the cold to the last time above it.

    0 where it never was cold, or never left it: going back and out again stops no clock.
    """
    rows = read_log("judge_time, row", log)
    left = back = None
    for (t0, a), (t1, b) in pairwise(rows):
        if left is None and a <= cold < b:
            left = t0 + (t1 - t0) * (cold - a) / (b - a)
        if b > cold:
            back = t1
        elif a > cold:
            back = t0 + (t1 - t0) * (a - cold) / (a - b)
    return 0.0 if left is None or back is None else back - left
