"""All that is known of a formula, and two formulas side by side."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from typing import Any

from calculators import mixture
from calculators.faults import FaultsError
from calculators.formula.amounts import FORMULA, density, mass, volume
from calculators.formula.contents import (
    FRIDGE,
    Composition,
    composition,
    gelatin_in_water,
    share,
    sugar_in_water,
    supersaturation,
    water_activity,
)
from calculators.formula.diet import Diet, Holds, allergens, diets
from calculators.formula.model import Formula
from calculators.formula.price import Cost, cost
from calculators.formula.setting import Technique, gelling
from calculators.frozen import frozen
from calculators.units import Band, Measure, Quantity, calculator, say

_UNTOLD = "too dry to tell"
_CRYSTALS = (("supersaturation", "sucrose"), ("lactose_saturation", "milk sugar"))

# --- all of it, and two side by side --------------------------------------------------------------


@frozen
class Analysis:
    """Everything this module knows of one formula; see the functions of these names.

    ``lactose_saturation`` and ``freezing_point`` are those of ``mixture``.  What is not
    known of a formula, because it is too dry or too full, is None.
    """

    name: str
    mass: Quantity
    composition: Composition
    water: Quantity
    sugars: Quantity
    fat: Quantity
    sugar_in_water: Quantity
    supersaturation: Band | None
    lactose_saturation: Band | None
    gelatin_in_water: Quantity
    water_activity: Band | None
    freezing_point: Band | None
    density: Quantity
    volume: Quantity
    cost: Cost | None
    allergens: tuple[Holds, ...]
    diets: Mapping[str, Diet]
    gelling: tuple[Technique, ...]


@calculator(returns="an analysis", formula=FORMULA, storage=Measure("degC", 0, 100))
def analysis(formula: Formula, storage: Quantity = FRIDGE) -> Analysis:
    """Return everything about one formula: how much, what is in it, cost, who can't.

    Parameters
    ----------
    formula : Formula
        With water in it.
    storage : quantity
        Temperature at which it is kept, 0 to 100 °C; density and volume are at 20 °C.

    Returns
    -------
    Analysis
        Cost is None where no line has a price; saturation, water activity and freezing
        point are None where a formula is too dry for what is known.

    Examples
    --------
    >>> syrup = Formula("syrup", [Line("water", q(400, "g")), Line("sugar", q(600, "g"))])
    >>> print(say(analysis(syrup).sugars))
    59.9 %

    Notes
    -----
    *Watch out*: as it goes into the pan; for the boiled glaze take the water off first.

    Source: as each of the functions.
    """
    glaze = mixture.glaze(formula)

    def known(answer: Callable[..., Band], *asked: Any) -> Band | None:
        try:
            return answer(*asked)
        except FaultsError:
            return None

    return Analysis(
        formula.name,
        mass(formula),
        composition(formula),
        share(formula, "water"),
        share(formula, "sugars"),
        share(formula, "fat"),
        sugar_in_water(formula),
        known(supersaturation, formula, storage),
        known(mixture.lactose_saturation, glaze, storage),
        gelatin_in_water(formula),
        known(water_activity, formula),
        known(mixture.freezing_point, glaze),
        density(formula),
        volume(formula),
        cost(formula) if formula.currency else None,
        allergens(formula),
        diets(formula),
        gelling(formula),
    )


@frozen
class Compared:
    """One row of two formulas side by side: what, and the two values."""

    what: str
    first: Any
    second: Any


@frozen
class Comparison:
    """Two formulas side by side.

    Parameters
    ----------
    first, second : Analysis
        Of the two.
    rows : tuple of Compared
        By water, sugars, fat, gelatin, keeping, density and price.
    sentences : tuple of str
        What the differences are likely to mean at the bench.
    """

    first: Analysis
    second: Analysis
    rows: tuple[Compared, ...]
    sentences: tuple[str, ...]


@calculator(returns="a comparison", first=FORMULA, second=FORMULA, storage=Measure("degC", 0, 100))
def compare(first: Formula, second: Formula, storage: Quantity = FRIDGE) -> Comparison:
    """Return two formulas side by side, and what the differences are likely to mean.

    Parameters
    ----------
    first, second : Formula
        With water in them.
    storage : quantity
        Temperature at which they are kept, 0 to 100 °C.

    Returns
    -------
    Comparison
        Rows of two values, and sentences that say *likely*: gloss is seen and not
        calculated.

    Examples
    --------
    >>> jam = Formula("Jam base", [Line("apricot jam", q(800, "g")), Line("water", q(200, "g"))])
    >>> plain = Formula("Neutral base", [Line("neutral glaze", q(1, "kg"))])
    >>> print(compare(jam, plain).sentences[0])
    Jam base holds more water (47.6 % against 35.0 %): it likely flows and levels more easily, and weeps sooner.

    Notes
    -----
    *Watch out*: what a number says is tried with a spoon and a frozen offcut.

    Source: as :func:`analysis`; what a difference means is common practice.
    """
    a, b = analysis(first, storage), analysis(second, storage)
    rows = [
        Compared(
            what, *(untold if (value := getattr(one, name)) is None else value for one in (a, b))
        )
        for what, name, untold in (
            ("water", "water", ""),
            ("sugars", "sugars", ""),
            ("fat", "fat", ""),
            ("sugar in the water phase", "sugar_in_water", ""),
            ("times the sucrose that its water can keep", "supersaturation", _UNTOLD),
            ("times the milk sugar that its water can keep", "lactose_saturation", _UNTOLD),
            ("gelatin in the water phase", "gelatin_in_water", ""),
            ("density at 20 °C", "density", ""),
            ("water activity", "water_activity", _UNTOLD),
            ("begins to freeze at", "freezing_point", "below what is known"),
        )
    ]
    if a.cost and b.cost:
        rows.append(Compared("cost", a.cost.per_kilogram, b.cost.per_kilogram))
    return Comparison(a, b, tuple(rows), tuple(_meaning(a, b)))


def _meaning(a: Analysis, b: Analysis) -> Iterable[str]:
    def differ(name: str, least: float, holds: str, so: str) -> Iterable[str]:
        one, two = getattr(a, name), getattr(b, name)
        if abs(one.m - two.m) >= least:
            most, rest = (a, b) if one.m > two.m else (b, a)
            yield (
                f"{most.name} {holds} ({say(getattr(most, name), places=1)} against "
                f"{say(getattr(rest, name), places=1)}): {so}."
            )

    yield from differ(
        "water", 2, "holds more water", "it likely flows and levels more easily, and weeps sooner"
    )
    yield from differ(
        "fat",
        2,
        "holds more fat",
        "it covers and tastes of more, and likely shines less if it is not blended finely",
    )
    if a.gelatin_in_water.m and b.gelatin_in_water.m:  # another setting agent: no such sentence
        yield from differ(
            "gelatin_in_water",
            0.3,
            "has more gelatin in its water",
            "at one bloom it likely sets firmer and is poured warmer",
        )
    for one in (a, b):
        for name, sugar in _CRYSTALS:
            full: Band | None = getattr(one, name)
            if full and full.high.m > 1:
                may = "can" if full.low.m > 1 else "may"
                yield (
                    f"{one.name} holds {say(full.low, digits=2)} to {say(full.high, digits=2)} "
                    f"times the {sugar} that its water can keep: crystals {may} come in store."
                )
    for wet, dry in ((a, b), (b, a)):
        more_free, less_free = wet.water_activity, dry.water_activity
        if more_free and less_free and more_free.low > less_free.high:
            yield f"{wet.name} leaves more of its water free than {dry.name}: it keeps less long."
    bills = sorted(
        (one.cost.per_kilogram.m, one.name, one.cost.per_kilogram) for one in (a, b) if one.cost
    )
    if len(bills) == 2 and bills[0][2].units == bills[1][2].units:
        (_, _, less), (_, dear, more) = bills
        yield f"{dear} costs more ({say(more, places=2)} against {say(less, places=2)})."
    agents = [{t.agent for t in one.gelling} for one in (a, b)]
    if agents[0] != agents[1]:
        said = [" and ".join(sorted(s)) or "nothing but its sugar and pectin" for s in agents]
        yield f"{a.name} is set by {said[0]}, {b.name} by {said[1]}: two techniques."
