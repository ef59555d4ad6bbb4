"""The log of a bench, judged by the clock's own judge; from a log with holes nothing follows."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from itertools import pairwise
from typing import Any

from calculators import safety
from calculators.cooling import judge, judge_time, warm_between
from calculators.cooling.time_limits import hours
from calculators.units import Quantity, q, say

APART = q(30, "min")  # longest between two readings while the glaze is warm; common practice
NOTHING = "nothing concluded"
_RANGE = (-30.0, 150.0)  # °C that a kitchen thermometer shows; common practice


@dataclass(frozen=True)
class JudgedLog:
    """What a bench log says.

    Parameters
    ----------
    answer : str
        *kept*, *broken*, *ask*, or *nothing concluded*.
    because : tuple of str
        In words, each a sentence.
    """

    answer: str
    because: tuple[str, ...]

    def __str__(self) -> str:
        """Return it as it is told."""
        return f"{self.answer}: {' '.join(self.because)}"


def judged_log(
    log: Sequence[Sequence[Any]], region: str, school: Quantity | None = None
) -> JudgedLog:
    """Judge a bench log: how fast it cooled, and how long it was warm in all.

    Parameters
    ----------
    log : sequence of (time, temperature)
        As written down: ISO times, and °C or None where nothing was read.
    region : str
        Whose rules hold.
    school : quantity, optional
        How long the school holds a warm glaze, h.

    Returns
    -------
    JudgedLog
        *nothing concluded* where a row has no reading, the clock runs back, or nobody
        read a warm glaze for longer than :data:`APART`: all such places are told.  So too
        where the first reading is warm already, unless what was read breaks a rule.
    """
    cold, hot = warm_between(region).cold.m, warm_between(region).hot.m
    holes = _holes(log, cold)
    if holes:
        return JudgedLog(NOTHING, tuple(holes))
    begun = datetime.fromisoformat(str(log[0][0]))
    rows = [
        (q((datetime.fromisoformat(str(at)) - begun).total_seconds() / 60, "min"), q(heat, "degC"))
        for at, heat in log
    ]
    told = [judge_time(rows, region, school)]
    answers, because = [told[0].answer], [told[0].because]
    if any(heat.m >= hot for _, heat in rows):
        start = max(n for n, (_, heat) in enumerate(rows) if heat.m >= hot)
        end = next((n for n, (_, heat) in enumerate(rows) if n > start and heat.m <= cold), None)
        cooled = rows[start : None if end is None else end + 1]
        if len(cooled) > 1:
            cooling = judge(cooled, region)
            answers.append(cooling.answer)
            because.append(cooling.because)
    answer = next(one for one in ("broken", "ask", "kept") if one in answers)
    if answer != "broken" and cold < rows[0][1].m < hot:
        why = f"Row 1 has {say(rows[0][1])}: nobody wrote down when it left the cold, or the heat."
        return JudgedLog(NOTHING, (why,))
    return JudgedLog(answer, (*because, safety.LAST_WORD))


def _holes(log: Sequence[Sequence[Any]], cold: float) -> list[str]:
    """Return every reason for which nothing follows from a log."""
    if len(log) < 2:
        return [f"The log has {len(log)} reading{'' if len(log) == 1 else 's'}; it takes two."]
    told = []
    for n, (_, heat) in enumerate(log, 1):
        if heat is None:
            told.append(f"Row {n} has no temperature.")
        elif not _RANGE[0] <= heat <= _RANGE[1]:
            told.append(f"Row {n} has {heat:g} °C, which no thermometer here shows.")
    for n, ((t0, a), (t1, b)) in enumerate(pairwise(log), 1):
        gap = (
            datetime.fromisoformat(str(t1)) - datetime.fromisoformat(str(t0))
        ).total_seconds() / 60
        if gap <= 0:
            told.append(f"The clock runs back, or stands still, from row {n} to row {n + 1}.")
        elif gap > APART.m and not (a is not None and b is not None and max(a, b) <= cold):
            told.append(
                f"Nobody read it for {hours(gap)} between rows {n} and {n + 1}; "
                f"{say(APART)} is the longest while it is warm."
            )
    return told
