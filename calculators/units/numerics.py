"""A little numerics that several calculators share: a root, and a value between rows."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from itertools import pairwise

from calculators.faults import fault_error

# --- a little numerics, shared ------------------------------------------------------------


def solve(
    rising: Callable[[float], float], low: float, high: float, *, close: float = 1e-10
) -> float:
    """Return where a rising function of one number crosses zero.

    Bisection with secant steps kept inside the bracket; the caller makes sure that
    the crossing lies between low and high.
    """
    f_low, f_high = rising(low), rising(high)
    if f_low > 0 or f_high < 0:
        raise fault_error("solve", "has no crossing between its limits", f"{low} to {high}")
    for end, f_end in ((low, f_low), (high, f_high)):
        if f_end == 0:
            return end
    for _ in range(200):
        if high - low <= close * max(1.0, abs(low), abs(high)):
            break
        middle = low - f_low * (high - low) / (f_high - f_low) if f_high != f_low else low
        third = (high - low) / 64
        if not low + third < middle < high - third:
            middle = (low + high) / 2
        value = rising(middle)
        if value == 0:
            return middle
        if value < 0:
            low, f_low = middle, value
        else:
            high, f_high = middle, value
    return (low + high) / 2


def interpolate(x: float, table: Sequence[tuple[float, float]]) -> float:
    """Return y at x on the straight line between two rows of a table of (x, y)."""
    for (x0, y0), (x1, y1) in pairwise(table):
        if x0 <= x <= x1:
            return y0 + (y1 - y0) * (x - x0) / (x1 - x0)
    raise fault_error(
        "interpolate", "lies outside the table", x, f"{table[0][0]} to {table[-1][0]}"
    )
