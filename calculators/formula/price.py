"""What a formula costs."""

from __future__ import annotations

import math

from calculators.faults import fault_error
from calculators.formula.amounts import FORMULA
from calculators.formula.model import Formula
from calculators.frozen import frozen
from calculators.units import Measure, Quantity, calculator, q

# --- what does it cost -----------------------------------------------------------------------


@frozen
class CostLine:
    """What one line costs: for what is used, and for the packs that are bought."""

    ingredient: str
    mass: Quantity
    packs: int
    used: Quantity
    bought: Quantity
    left_over: Quantity


@frozen
class Cost:
    """What a formula costs.

    Parameters
    ----------
    used : quantity
        For what goes into the pan.
    bought : quantity
        For whole packs.
    per_kilogram : quantity
        Of what is used, a kilogram of formula.
    lines : tuple of CostLine
        One for each line with a price.
    unpriced : tuple of str
        Lines without a price; they are in no sum.
    """

    used: Quantity
    bought: Quantity
    per_kilogram: Quantity
    lines: tuple[CostLine, ...]
    unpriced: tuple[str, ...]


@calculator(returns="a cost", formula=FORMULA, spare=Measure("percent", 0, 100))
def cost(formula: Formula, spare: Quantity = q(0, "percent")) -> Cost:  # noqa: B008
    """Return what a formula costs, for what is used and for whole packs.

    used = mass x price / pack; bought = price x packs, rounded up

    Parameters
    ----------
    formula : Formula
        With at least one price.
    spare : quantity
        Made beyond the formula, 0 to 100 %.

    Returns
    -------
    Cost
        In the currency of the prices; lines without a price are named.

    Examples
    --------
    >>> lines = [Line("sugar", q(600, "g"), q(1.2, "EUR"), q(1, "kg")), Line("water", q(400, "g"))]
    >>> bill = cost(Formula("syrup", lines), q(100, "percent"))
    >>> say(bill.used), say(bill.bought), bill.unpriced
    ('1.44 EUR', '2.4 EUR', ('water',))

    Notes
    -----
    *Watch out*: a line without a price is not free; it is not known.

    Source: arithmetic.
    """
    if not formula.currency:
        raise fault_error(
            "cost, formula",
            "has no price",
            formula.name,
            "",
            "Give price and pack on its lines",
        )
    more, money = 1 + spare.m / 100, formula.currency
    priced, unpriced = [], []
    for line, grams in zip(formula.lines, formula.grams, strict=True):
        if line.price is None or line.pack is None:
            unpriced.append(line.ingredient)
            continue
        wanted, pack = grams * more, line.pack.m_as("g")
        packs = math.ceil(wanted / pack - 1e-9)
        priced.append(
            CostLine(
                line.ingredient,
                q(wanted, "g"),
                packs,
                q(line.price.m * wanted / pack, money),
                q(line.price.m * packs, money),
                q(max(0.0, packs * pack - wanted), "g"),
            )
        )
    used = sum(line.used.m for line in priced)
    return Cost(
        q(used, money),
        q(sum(line.bought.m for line in priced), money),
        q(1000 * used / (sum(formula.grams) * more), f"{money}/kg"),
        tuple(priced),
        tuple(unpriced),
    )
