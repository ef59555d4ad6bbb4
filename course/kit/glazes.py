"""Two more glazes to hold your own beside: a jam glaze and a neutral base.

Both are invented, for comparing and not for service.  They are made with the glucose
syrup and the gelatin of your own formula, and priced with your own prices.  What your
formula doesn't price is taken at an invented multiple of what your sugar costs.  No
published table exists to hold an invented glaze against.
"""

from __future__ import annotations

from calculators.formula import Formula
from calculators.ingredients import ingredient
from calculators.kitchen import Kitchen, Line
from calculators.units import InstanceOf, Quantity, calculator, q

_KITCHEN = InstanceOf(Kitchen, "a kitchen")
_JAM = (
    ("apricot jam", 600),
    ("water", 180),
    ("glucose syrup", 120),
    ("lemon juice", 12),
    ("gelatin leaf", 10),
)
_NEUTRAL = (
    ("water", 350),
    ("sugar", 350),
    ("glucose syrup", 270),
    ("gelatin leaf", 18),
)
# What a kilogram costs beside a kilogram of sugar: invented, as the formulas are.
_TIMES_SUGAR = {"sugar": 1.0, "apricot jam": 4.0, "lemon juice": 3.0}
_TIMES_SUGAR_BY_KIND = {"glucose syrup": 2.2, "gelatin": 25.0}


@calculator(returns="a formula", kitchen=_KITCHEN)
def jam_glaze(kitchen: Kitchen) -> Formula:
    """Return an apricot glaze: jam let down with water and glucose, set with gelatin.

    Parameters
    ----------
    kitchen : Kitchen
        Whose glucose syrup, gelatin and prices are used.

    Returns
    -------
    Formula
        922 g, invented; without prices where the kitchen's formula has none.

    Examples
    --------
    >>> from calculators.formula import mass
    >>> from calculators.kitchen import example_kitchen
    >>> from calculators.units import say
    >>> say(mass(jam_glaze(example_kitchen())))
    '922 g'

    Notes
    -----
    *Watch out*: jams differ; read the sugar on the label of yours.

    Source: invented.
    """
    return _made("Apricot jam glaze", _JAM, kitchen)


@calculator(returns="a formula", kitchen=_KITCHEN)
def neutral_base(kitchen: Kitchen) -> Formula:
    """Return a clear neutral base: water, sugar, glucose syrup and gelatin.

    Parameters
    ----------
    kitchen : Kitchen
        Whose glucose syrup, gelatin and prices are used.

    Returns
    -------
    Formula
        988 g, invented; without prices where the kitchen's formula has none.

    Examples
    --------
    >>> from calculators.formula import share
    >>> from calculators.kitchen import example_kitchen
    >>> from calculators.units import say
    >>> base = neutral_base(example_kitchen())
    >>> print(say(share(base, "water"), digits=2), base.currency)
    41 % EUR

    Notes
    -----
    *Watch out*: a tub of neutral glaze from a supplier is mostly set by pectin, and
    is worked hotter.

    Source: invented.
    """
    return _made("Neutral base", _NEUTRAL, kitchen)


# --- helpers ------------------------------------------------------------------------


def _made(name: str, lines: tuple[tuple[str, float], ...], kitchen: Kitchen) -> Formula:
    held = {ingredient(line.ingredient).kind: line for line in kitchen.formula}
    return Formula(
        name,
        tuple(_line(_from_stores(wanted, held), q(g, "g"), kitchen) for wanted, g in lines),
    )


def _from_stores(wanted: str, held: dict[str, Line]) -> str:
    """Return the kitchen's own kind of glucose syrup or gelatin instead of ours."""
    kind = ingredient(wanted).kind
    own = kind in _TIMES_SUGAR_BY_KIND and kind in held
    return held[kind].ingredient if own else wanted


def _line(name: str, mass: Quantity, kitchen: Kitchen) -> Line:
    priced = {
        ingredient(line.ingredient).name: (line.price, line.pack)
        for line in kitchen.formula
        if line.price is not None and line.pack is not None
    }
    item = ingredient(name)
    if item.name in priced:
        return Line(name, mass, *priced[item.name])
    times = _TIMES_SUGAR.get(item.name, _TIMES_SUGAR_BY_KIND.get(item.kind))
    if times is None or not priced:
        return Line(name, mass)
    return Line(name, mass, times * _price_of_sugar(priced), q(1, "kg"))


def _price_of_sugar(priced: dict[str, tuple[Quantity, Quantity]]) -> Quantity:
    """Return what a kilogram of sugar costs, or of the cheapest line that is priced."""
    each = {name: price / pack.m_as("kg") for name, (price, pack) in priced.items()}
    return each.get("sugar", min(each.values()))
