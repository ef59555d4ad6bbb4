"""All that is known of a formula, and two formulas side by side."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Any

from calculators.formula.amounts import FORMULA, density, mass, volume
from calculators.formula.contents import (
    FRIDGE,
    Composition,
    composition,
    gelatin_in_water,
    share,
    sugar_in_water,
    supersaturation,
    too_strong,
    water_activity,
)
from calculators.formula.diet import Diet, Holds, allergens, diets
from calculators.formula.model import Formula
from calculators.formula.price import Cost, cost
from calculators.formula.setting import Technique, gelling
from calculators.units import Band, Measure, Quantity, calculator, say

# --- all of it, and two side by side --------------------------------------------------------------


@dataclass(frozen=True)
class Analysis:
    """Everything this module knows of one formula; see the functions of these names."""

    name: str
    mass: Quantity
    composition: Composition
    water: Quantity
    sugars: Quantity
    fat: Quantity
    sugar_in_water: Quantity
    supersaturation: Quantity
    gelatin_in_water: Quantity
    water_activity: Band | None
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
        Cost is None where no line has a price; water activity is None where the
        syrup inside is too strong to tell it: more than 85 % solids, fat not counted.

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
    return Analysis(
        formula.name,
        mass(formula),
        composition(formula),
        share(formula, "water"),
        share(formula, "sugars"),
        share(formula, "fat"),
        sugar_in_water(formula),
        supersaturation(formula, storage),
        gelatin_in_water(formula),
        None if too_strong(formula) else water_activity(formula),
        density(formula),
        volume(formula),
        cost(formula) if formula.currency else None,
        allergens(formula),
        diets(formula),
        gelling(formula),
    )


@dataclass(frozen=True)
class Compared:
    """One row of two formulas side by side: what, and the two values."""

    what: str
    first: Any
    second: Any


@dataclass(frozen=True)
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
        Compared(what, getattr(a, name), getattr(b, name))
        for what, name in (
            ("water", "water"),
            ("sugars", "sugars"),
            ("fat", "fat"),
            ("sugar in the water phase", "sugar_in_water"),
            ("times the sucrose that its water can keep", "supersaturation"),
            ("gelatin in the water phase", "gelatin_in_water"),
            ("density at 20 °C", "density"),
        )
    ]
    free = [one.water_activity or "too strong to tell" for one in (a, b)]
    rows.append(Compared("water activity", *free))
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
        if one.supersaturation.m > 1:
            yield (
                f"{one.name} holds {say(one.supersaturation)} times the sucrose that "
                "its water can keep: crystals can come in store."
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
