"""What a water activity still lets grow, and whether a food must be kept cold."""

from __future__ import annotations

from bisect import bisect_left

from calculators.sources import records, table
from calculators.units import InstanceOf, Measure, Quantity, calculator

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

    Source: bands of [beuchat1981]; Staphylococcus [ars-growth]; ``data/growth.csv``.
    """
    rows = table("growth").values()
    return tuple(row.name for row in rows if water_activity.m >= row.quantity.m)


# --- must it be kept cold? -------------------------------------------------------------

ASSESS = "assess"
_PH = ("ph 4.6", "ph 5.0", "ph 14")
NEAR_IS_NOT_BELOW = (
    "A water activity that was worked out lies near the line, and near is not below. "
    "Until a laboratory has measured water activity and pH, a milk glaze is food that is "
    "kept cold."
)


@calculator(
    returns="no control or assess",
    water_activity=Measure("", 0, 1),
    ph=Measure("", 0, 14),
    measured=InstanceOf(bool, "True or False"),
)
def cold_or_not(water_activity: Quantity, ph: Quantity, measured: bool = False) -> str:
    """Return whether one food code asks for cold, by water activity and pH together.

    Its table B, for food that was not heated, or was heated and not packed.

    Parameters
    ----------
    water_activity : quantity or number
        0 to 1; of two readings the higher.
    ph : quantity or number
        0 to 14; of two readings the higher.
    measured : bool
        True only where a laboratory measured both.  A value that was worked out never
        frees a food from the cold.

    Returns
    -------
    str
        *no control*, or *assess*: keep it cold until somebody has proved that it needs
        no cold.

    Examples
    --------
    >>> cold_or_not(0.87, 6.0, measured=True), cold_or_not(0.89, 6.0, measured=True)
    ('no control', 'assess')
    >>> cold_or_not(0.87, 6.0)
    'assess'

    Notes
    -----
    *Watch out*: it is the table of one country.  A wet spatula, a purée or dew under the
    film makes a wet spot, and there the table no longer holds.

    Source: [fda-food-code], definition of food that needs control, table B.
    """
    if not measured:
        return ASSESS
    rows = records("cold_or_not")
    wet, sour = water_activity.m, ph.m
    lines = [float(row["up_to"]) for row in rows]
    row = rows[0] if wet < lines[0] else rows[max(1, bisect_left(lines, wet))]
    column = "ph 4.2" if sour < 4.2 else _PH[bisect_left([4.6, 5.0], sour)]
    return row[column]
