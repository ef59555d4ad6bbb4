"""Whether a glaze is inside its pouring window, and how long it was out of the cold."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise
from typing import Any

from calculators.cooling.jugs import ends_in_order
from calculators.cooling.mixing import TEMPERATURE, WINDOW_HIGH, WINDOW_LOW
from calculators.cooling.stirred import read_log
from calculators.faults import Fault, fault_error
from calculators.frozen import frozen
from calculators.units import InstanceOf, Measure, Quantity, calculator, is_quantity, q, say

# --- the window and the clock -------------------------------------------------------------------


@frozen
class WindowVerdict:
    """Where a glaze stands to its pouring window.

    Parameters
    ----------
    verdict : str
        ``"below"``, ``"in"`` or ``"above"``.
    off : quantity
        How far outside, a difference, °C; zero inside.
    words : str
        Said at the bench, with what to do.
    """

    verdict: str
    off: Quantity
    words: str

    def __str__(self) -> str:
        """Return it in words."""
        return self.words


class _LowEnd(Measure):
    """The low end of the window, or a scheme that knows both ends."""

    @property
    def limit(self) -> str:
        """What is wanted, in words."""
        return f"{super().limit}, or a scheme of work"

    def check(self, name: str, value: Any) -> tuple[Any, Fault | None]:
        """Return the low end, or both ends of the scheme's window."""
        ends = None if is_quantity(value) else getattr(value, "window", None)
        if ends is None:
            return super().check(name, value)
        low, fault = super().check(f"{name}, window low", getattr(ends, "low", None))
        high, other = super().check(f"{name}, window high", getattr(ends, "high", None))
        return (low, high), fault or other


@calculator(
    returns="below, in or above, with words",
    temperature=TEMPERATURE,
    low=_LowEnd("degC", -60, 150),
    high=TEMPERATURE,
)
def window(
    temperature: Quantity,
    low: Any = WINDOW_LOW,
    high: Quantity = WINDOW_HIGH,
) -> WindowVerdict:
    """Return whether a glaze is ready to pour.

    Compared with the two ends of the window, which are in it.

    Parameters
    ----------
    temperature : quantity
        Of the stirred glaze, °C.
    low, high : quantity
        The window of this formula, °C; 31 to 34 is common practice for a gelatin
        glaze on a frozen mousse cake.  A scheme of work in place of ``low`` brings
        both.

    Returns
    -------
    Window
        With ``verdict``, ``off`` and ``words``.

    Examples
    --------
    >>> print(window(q(38, "degC")))
    4 °C above the window: too hot it runs thin and melts the cake; stir, wait or use a bath

    Notes
    -----
    *Watch out*: the window belongs to the formula.  Look also at how it runs off a
    spoon, and pour a little on a frozen offcut first.  A base with milk that is held
    in it is out of temperature: see :func:`time_out_of_temperature`.

    Source: common practice.
    """
    low, high = _ends_of_window(low, high)
    ends_in_order("window", low, high)
    if temperature.m < low.m:
        off, verdict = low.m - temperature.m, "below"
        words = "too cold it sets in a thick, uneven coat; warm it gently and stir"
    elif temperature.m > high.m:
        off, verdict = temperature.m - high.m, "above"
        words = "too hot it runs thin and melts the cake; stir, wait or use a bath"
    else:
        ready = "In the window: try it on a spoon and a frozen offcut, then pour"
        return WindowVerdict("in", q(0, "delta_degC"), ready)
    away = q(off, "delta_degC")
    return WindowVerdict(verdict, away, f"{say(away)} {verdict} the window: {words}")


@calculator(
    returns="min",
    log=InstanceOf((list, tuple), "a list of (time, temperature)"),
    low=TEMPERATURE,
    high=TEMPERATURE,
)
def time_out_of_temperature(
    log: Sequence[tuple[Quantity, Quantity]], low: Quantity, high: Quantity
) -> Quantity:
    """Return how long a glaze has been between chilled and hot holding.

    The temperature is taken to run straight from one row of the log to the next.

    Parameters
    ----------
    log : list of (time, temperature)
        Two or more rows in rising time, min and °C.
    low, high : quantity
        The two limits of the rule that holds here, °C, from your legal notes.

    Returns
    -------
    quantity
        min.  Time at a limit itself is in temperature, and does not count.

    Examples
    --------
    >>> log = [(q(0, "min"), q(70, "degC")), (q(60, "min"), q(40, "degC")),
    ...     (q(100, "min"), q(34, "degC"))]
    >>> say(time_out_of_temperature(log, q(5, "degC"), q(60, "degC")))
    '80 min'

    Notes
    -----
    *Watch out*: the time adds up over all days of a glaze's life, and between two
    rows an hour apart anything may have happened.  If in doubt, throw it out.

    Source: none needed; the limits are those of your local rules.
    """
    ends_in_order("time_out_of_temperature", low, high)
    rows = read_log("time_out_of_temperature, row", log)
    spent = sum(
        (t1 - t0) * _share_between(a, b, low.m, high.m) for (t0, a), (t1, b) in pairwise(rows)
    )
    return q(spent, "min")


def _ends_of_window(low: Any, high: Quantity) -> tuple[Quantity, Quantity]:
    """Return both ends, also where a scheme has brought them in place of the low one."""
    if not isinstance(low, tuple):
        return low, high
    if high is not WINDOW_HIGH:
        raise fault_error(
            "window, high",
            "is given beside the window of a scheme",
            say(high, digits=6),
            f"The scheme's window ends at {say(low[1], digits=6)}",
            "Give the scheme alone, or two temperatures",
        )
    return low


def _share_between(a: float, b: float, low: float, high: float) -> float:
    """Part of a straight run from a to b that lies between low and high."""
    if a == b:
        return 1.0 if low < a < high else 0.0
    bottom, top = max(min(a, b), low), min(max(a, b), high)
    return max(0.0, top - bottom) / abs(a - b)
