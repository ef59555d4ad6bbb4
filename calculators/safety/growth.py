"""What a water activity still lets grow."""

from __future__ import annotations

from calculators.sources import table
from calculators.units import Measure, Quantity, calculator

# --- what a water activity lets grow ---------------------------------------------------


@calculator(returns="names, those that need most water first", water_activity=Measure("", 0, 1))
def may_grow(water_activity: Quantity) -> tuple[str, ...]:
    """Return what may still grow at a water activity, given warmth and time.

    All whose lowest water activity is at or below this one.

    Parameters
    ----------
    water_activity : quantity or number
        0 to 1, such as ``formula.water_activity`` gives; take the high end of a band.

    Returns
    -------
    tuple of str
        Kinds of microbe.  None below 0.60, where nothing is known to grow.

    Examples
    --------
    >>> may_grow(0.78)
    ('bacteria that live in salt', 'moulds that like it dry', 'yeasts that live in sugar')

    Notes
    -----
    *Watch out*: what may not grow is not dead, and a wet spot on a dry glaze is wet.
    It says nothing of acid, cold or time, and it never makes a glaze safe.  Your local
    rules and your supervisor come first.

    Source: bands of [beuchat1981]; Staphylococcus from memory; ``data/growth.csv``.
    """
    rows = table("growth").values()
    return tuple(row.name for row in rows if water_activity.m >= row.quantity.m)
