"""From the lines of a formula to the mixture in its pan, or in the whole glaze."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Protocol, runtime_checkable

from calculators.faults import fault_error, refuse
from calculators.glucose import Syrup
from calculators.ingredients import PARTS, SUGARS, Ingredient, find
from calculators.mixture.composition import Mixture, Tub
from calculators.mixture.model import value
from calculators.sources import table
from calculators.units import FROM_MEMORY, Band, InstanceOf, Measure, Quantity, calculator, q, say

_NONE = q(0, "g")
_BESIDE = ("fat", "protein", "gelatin", "other")
_AT = {name: place for place, name in enumerate(PARTS)}


@runtime_checkable
class Weighed(Protocol):
    """A formula as this module sees it: ingredients and their grams, line by line."""

    @property
    def name(self) -> str:
        """What it is called."""

    @property
    def items(self) -> tuple[Ingredient, ...]:
        """The ingredient of each line."""

    @property
    def grams(self) -> tuple[float, ...]:
        """The mass of each line."""


_FORMULA = InstanceOf(Weighed, "a formula")


@calculator(returns="a mixture", formula=_FORMULA)
def glaze(formula: Weighed) -> Mixture:
    """Return the mixture in a whole glaze: all its lines, the soaking water too.

    part = sum over the lines of mass x share of the part

    Parameters
    ----------
    formula : Formula
        With every line that holds water on it.

    Returns
    -------
    Mixture
        Sugars by kind, syrups by their dextrose equivalent, the salts of milk, fruit and
        acids; fat, protein, gelatin and cocoa stand beside.  Doubts come from the low and
        high of each ingredient.

    Examples
    --------
    >>> from calculators.formula import Formula
    >>> from calculators.kitchen import Line
    >>> from calculators.mixture import water_activity
    >>> syrup = Formula("syrup", [Line("water", q(400, "g")), Line("sugar", q(600, "g"))])
    >>> print(say(water_activity(glaze(syrup)).typical, digits=2))
    0.9

    Notes
    -----
    *Watch out*: everything counts as dissolved; cocoa and starch do not.

    Source: ``data/composition.csv``; salts of milk by the sheet of [goff-freezing].
    """
    return _mixture(formula.name, list(zip(formula.items, formula.grams, strict=True)), 0.0)


@calculator(
    returns="a mixture",
    formula=_FORMULA,
    names=InstanceOf((list, tuple), "a list of names of ingredients"),
    soaking_water=Measure("g", 0, 1_000_000),
)
def pan(formula: Weighed, names: Sequence[str], soaking_water: Quantity = _NONE) -> Mixture:
    """Return the mixture in the pan: some lines of a glaze, without the soaking water.

    as :func:`glaze`, for these lines; the soaking water is taken off the water

    Parameters
    ----------
    formula : Formula
        The whole glaze.
    names : list of str
        The ingredients that go into the pan, by any name of theirs.
    soaking_water : quantity
        Kept back for the gelatin, out of the formula's water; 0 g or more.

    Returns
    -------
    Mixture
        As it goes on the hob.

    Examples
    --------
    >>> from calculators.formula import Formula
    >>> from calculators.kitchen import Line
    >>> from calculators.mixture import mass
    >>> lines = [("water", 230), ("sugar", 280), ("glucose syrup", 280), ("gelatin leaf", 15)]
    >>> whole = Formula("g", [Line(name, q(grams, "g")) for name, grams in lines])
    >>> print(say(mass(pan(whole, ["water", "sugar", "glucose syrup"], q(90, "g")))))
    700 g

    Notes
    -----
    *Watch out*: soaking water that you count in the pan makes it boil 2 °C too low, on
    paper.  Source: as :func:`glaze`.
    """
    found = [find(name, f"pan, names, {place}") for place, name in enumerate(names, 1)]
    refuse(fault for _, fault in found if fault)
    wanted = {item.name for item, _ in found if item}
    held = list(zip(formula.items, formula.grams, strict=True))
    if lost := sorted(wanted - {item.name for item, _ in held}):
        raise fault_error(
            "pan, names",
            "are not on the lines of this formula",
            ", ".join(lost),
            "Its lines are: " + ", ".join(item.name for item, _ in held),
            "Name lines of the formula",
        )
    return _mixture(formula.name, [(i, g) for i, g in held if i.name in wanted], soaking_water.m)


def _mixture(name: str, held: list[tuple[Ingredient, float]], soaking: float) -> Mixture:
    plain = sum(g for item, g in held if item.name == "water")
    water = sum(g * item.typical[_AT["water"]] for item, g in held) / 100 - soaking
    if soaking > plain or water <= 0:
        raise fault_error(
            "pan, soaking_water" if soaking else "glaze, formula",
            "is more than its water line" if soaking else "holds no water",
            say(q(soaking, "g")) if soaking else name,
            f"It must be at most {say(q(plain, 'g'))}" if soaking else "It must hold water",
            "Count all the water that goes in",
        )
    sugars = {s: _grams(held, s) for s in SUGARS if s != "glucose syrup"}
    tubs = [tub for item, g in held if (tub := _tub(item, g))]
    doubts: dict[str, float] = {}  # two lines of one ingredient are off together
    for item, g in held:
        doubts[item.name] = doubts.get(item.name, 0.0) + _doubt(item, g)
    milk = sugars["lactose"] / (value("lactose in milk solids", "mixture_bench") / 100)
    beside = sum(_grams(held, part) for part in _BESIDE)
    rest = min(milk - sugars["lactose"], beside)
    sugars["lactose"] = 0.0
    return Mixture(
        q(water, "g"),
        {s: q(g, "g") for s, g in sugars.items()},
        tubs,
        q(milk, "g"),
        q(beside - rest, "g"),
        _salts(held),
        q(math.sqrt(sum(d * d for d in doubts.values())), "g"),
    )


def _grams(held: list[tuple[Ingredient, float]], part: str) -> float:
    return sum(g * item.typical[_AT[part]] for item, g in held) / 100


def _tub(item: Ingredient, grams: float) -> Tub | None:
    """Return the dry syrup of an ingredient; its water is with the water."""
    part = item.parts.get("glucose syrup")
    if not part or not part.typical:
        return None
    unknown = table("glucose_tubs")["home pack dextrose equivalent"]  # its packs do not say
    usual = unknown.low or 0, unknown.value or 0, unknown.high or 0
    low, typical, high = item.dextrose_equivalent or usual
    apart = min(max(high - typical, typical - low), 20.0)
    dry = Syrup(q(typical, "percent"), q(100, "percent"))
    return Tub(q(grams * part.typical / 100, "g"), dry, _NO_DOUBT, q(apart, "percent"))


_NO_DOUBT = q(0, "percent")


def _doubt(item: Ingredient, grams: float) -> float:
    """Return how many grams of its water may be sugar, or the other way round."""
    part = item.parts.get("water")
    sweet = any(item.parts.get(name) for name in SUGARS)
    return grams * (part.high - part.low) / 200 if part and sweet else 0.0


def _salts(held: list[tuple[Ingredient, float]]) -> Band | None:
    rows = table("mixture_solutes")
    low = typical = high = 0.0
    for item, grams in held:
        if row := rows.get(item.kind):
            kilograms = grams * item.typical[_AT["other"]] / 100_000
            low += (row.low or 0) * kilograms
            typical += (row.value or 0) * kilograms
            high += (row.high or 0) * kilograms
    if not high:
        return None
    return Band.of((low, typical, high), "mol", FROM_MEMORY, "acids and salts differ")
