"""Water that boils away from a formula and comes back."""

from __future__ import annotations

from calculators.faults import fault_error
from calculators.formula.amounts import FORMULA
from calculators.formula.model import MASS, Formula
from calculators.kitchen import Line
from calculators.units import Quantity, calculator, q, say

# --- water that goes and comes back -------------------------------------------------------


@calculator(returns="g", before=MASS, after=MASS)
def evaporated(before: Quantity, after: Quantity) -> Quantity:
    """Return the water that boiled off or dried away, from two weighings.

    water = before - after

    Parameters
    ----------
    before, after : quantity
        Mass of the glaze, without its pan, above 0 g.

    Returns
    -------
    quantity
        In g, as good as the two weighings.

    Examples
    --------
    >>> say(evaporated(q(1320, "g"), q(1262, "g")))
    '58 g'

    Notes
    -----
    *Watch out*: what was spilt, tasted or left on the spatula counts as water here.

    Source: arithmetic.
    """
    if after.m > before.m:
        raise fault_error(
            "evaporated, after",
            "is heavier than before",
            say(after, digits=6),
            f"It must be at most {say(before, digits=6)}",
            "Swap the two, or take the pan off both weighings",
        )
    return q(before.m - after.m, "g")


@calculator(returns="g", before=MASS, after=MASS, kept=MASS)
def water_to_give_back(before: Quantity, after: Quantity, kept: Quantity | None = None) -> Quantity:
    """Return the water that brings a glaze back to its strength, for what is kept of it.

    water = (before - after) x kept / after

    Parameters
    ----------
    before, after : quantity
        Mass of the whole glaze before and after it lost water, above 0 g.
    kept : quantity, optional
        How much of it is still there; all of it where nothing is given.

    Returns
    -------
    quantity
        In g.

    Examples
    --------
    >>> say(water_to_give_back(q(1000, "g"), q(900, "g"), q(450, "g")))
    '50 g'

    Notes
    -----
    *Watch out*: give the water back boiled and hot, and blend without drawing air.
    Water does not make an old glaze young: label, date and the limit of your kitchen
    stand.

    Source: arithmetic.
    """
    lost = evaporated(before, after)
    if kept is None:
        return lost
    if kept.m > after.m:
        raise fault_error(
            "water_to_give_back, kept",
            "is more than there was",
            say(kept, digits=6),
            f"It must be at most {say(after, digits=6)}",
            "Weigh what is left, without the bowl",
        )
    return q(lost.m * kept.m / after.m, "g")


@calculator(returns="a formula", formula=FORMULA, water=MASS)
def thin(formula: Formula, water: Quantity) -> Formula:
    """Return the formula with more water in it, to see what that does.

    Parameters
    ----------
    formula : Formula
        The one at hand.
    water : quantity
        Added, above 0 g.

    Returns
    -------
    Formula
        With one line more.

    Examples
    --------
    >>> syrup = Formula("syrup", [Line("water", q(300, "g")), Line("sugar", q(700, "g"))])
    >>> from calculators.formula import sugar_in_water
    >>> print(say(sugar_in_water(thin(syrup, q(100, "g")))))
    63.6 %

    Notes
    -----
    *Watch out*: water thins the gelatin too; too much and the glaze weeps.

    Source: arithmetic.
    """
    return Formula(
        f"{formula.name}, thinned with {say(water)} of water",
        (*formula.lines, Line("water", water)),
    )
