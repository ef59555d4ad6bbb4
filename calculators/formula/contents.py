"""What is in a formula, and what its water and sugar make it do."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from types import MappingProxyType

from calculators import glucose, syrup
from calculators.faults import fault_error
from calculators.formula.amounts import FORMULA, water_in
from calculators.formula.model import INDEX, Formula
from calculators.ingredients import PARTS, SUGARS
from calculators.sources import table
from calculators.units import FROM_MEMORY, Band, Measure, OneOf, Quantity, calculator, q, say
from calculators.water import MOLAR_MASS

_ANY_PART = OneOf(*PARTS, "sugars", "solids")
FRIDGE = q(4, "degC")


# --- what is in it ----------------------------------------------------------------------


@dataclass(frozen=True)
class Composition:
    """What a formula holds, part by part.

    Parameters
    ----------
    masses : mapping
        Mass by part.
    shares : mapping
        :class:`Band` in percent by part, from the low and high of the ingredients.
    """

    masses: Mapping[str, Quantity]
    shares: Mapping[str, Band]

    @property
    def total(self) -> Quantity:
        """What all the parts weigh together."""
        return q(sum(part.m for part in self.masses.values()), "g")


@calculator(returns="masses and shares of all parts", formula=FORMULA)
def composition(formula: Formula) -> Composition:
    """Return how much water, sugars by kind, fat, protein, gelatin and rest it holds.

    part = sum over the lines of mass x share of the part

    Parameters
    ----------
    formula : Formula
        As it goes into the pan.

    Returns
    -------
    Composition
        Masses in g, and shares as bands in %.  A band takes every ingredient at its
        low or at its high end together, so it is the widest that there can be.

    Examples
    --------
    >>> base = Formula("base", [Line("milk, whole", q(200, "g")), Line("sugar", q(50, "g"))])
    >>> say(composition(base).masses["lactose"])
    '10.1 g'

    Notes
    -----
    *Watch out*: milk, chocolate, glucose syrup and gelatin bring water or sugar that
    stands on no line of its own.

    Source: in each row of ``data/composition.csv``.
    """
    total = sum(formula.grams)
    masses = {name: q(g, "g") for name, g in zip(PARTS, formula.parts, strict=True)}
    return Composition(
        MappingProxyType(masses),
        MappingProxyType({name: _share(formula, name, total) for name in PARTS}),
    )


def _share(formula: Formula, name: str, total: float) -> Band:
    low = typical = high = 0.0
    provenance = []
    for item, grams in zip(formula.items, formula.grams, strict=True):
        part = item.parts.get(name)
        if part:
            low += grams * part.low
            typical += grams * part.typical
            high += grams * part.high
            provenance.append(part.provenance)
    weakest = FROM_MEMORY if FROM_MEMORY in provenance or not provenance else provenance[0]
    return Band(
        q(low / total, "percent"),
        q(typical / total, "percent"),
        q(min(100.0, high / total), "percent"),
        weakest,
        "tubs of one name differ; the range is from memory",
    )


@calculator(returns="percent", formula=FORMULA, part=_ANY_PART)
def share(formula: Formula, part: str) -> Quantity:
    """Return the share of one part in a formula: its fat, its water, its sugars.

    share = part / total

    Parameters
    ----------
    formula : Formula
        As it goes into the pan.
    part : str
        One of ``PARTS``, or ``"sugars"`` for all of them, or ``"solids"`` for all
        that is not water.

    Returns
    -------
    quantity
        In %, from the typical values; :func:`composition` has the bands.

    Examples
    --------
    >>> base = Formula("base", [Line("white chocolate", q(1, "kg")), Line("milk", q(1, "kg"))])
    >>> print(say(share(base, "fat")))
    17.7 %

    Notes
    -----
    *Watch out*: fat makes a glaze matt as it sets if it is not blended in finely.

    Source: as :func:`composition`.
    """
    names = {"sugars": SUGARS, "solids": PARTS[1:]}.get(part, (part,))
    return q(100 * formula.of(*names) / sum(formula.grams), "percent")


@calculator(returns="percent", formula=FORMULA)
def sugar_in_water(formula: Formula) -> Quantity:
    """Return how strong the syrup inside a glaze is: the Brix of its water phase.

    sugars / (sugars + water), whatever fat and chocolate float in it

    Parameters
    ----------
    formula : Formula
        With water in it.

    Returns
    -------
    quantity
        In %, every sugar counted and taken as dissolved.

    Examples
    --------
    >>> syrup = Formula("syrup", [Line("water", q(400, "g")), Line("sugar", q(600, "g"))])
    >>> print(say(sugar_in_water(syrup)))
    59.9 %

    Notes
    -----
    *Watch out*: a refractometer can't read it once milk, gelatin or white is in.

    Source: arithmetic on :func:`composition`.
    """
    sugars, water = formula.of(*SUGARS), water_in(formula, "sugar_in_water")
    return q(100 * sugars / (sugars + water), "percent")


@calculator(returns="", formula=FORMULA, temperature=Measure("degC", 0, 100))
def supersaturation(formula: Formula, temperature: Quantity = FRIDGE) -> Quantity:
    """Return how many times more sucrose the water holds than it can keep when stored.

    (sucrose/water) / (sucrose/water at saturation)

    Parameters
    ----------
    formula : Formula
        With water in it.
    temperature : quantity
        Of the store, 0 to 100 °C.

    Returns
    -------
    quantity
        A plain number: above 1 crystals can come.

    Examples
    --------
    >>> syrup = Formula("syrup", [Line("water", q(300, "g")), Line("sugar", q(700, "g"))])
    >>> say(supersaturation(syrup, q(4, "degC")), digits=2)
    '1.3'

    Notes
    -----
    *Watch out*: the measure is water alone.  Other sugars change what the water can
    keep, and glucose syrup and gelatin slow the crystals down: above 1 means *can
    come*, not *will come*.  The milk sugar of a very milky glaze may grain too.

    Source: ``syrup.supersaturation`` on the sucrose and the water of the formula.
    """
    sucrose, water = formula.of("sucrose"), water_in(formula, "supersaturation")
    strength = q(100 * sucrose / (sucrose + water), "percent")
    return syrup.supersaturation(strength, temperature)


@calculator(returns="percent", formula=FORMULA)
def gelatin_in_water(formula: Formula) -> Quantity:
    """Return how much gelatin, as weighed, stands in the water that it has to set.

    gelatin as weighed / (gelatin as weighed + water of everything else)

    Parameters
    ----------
    formula : Formula
        With its soaking water on a line, if it is counted.

    Returns
    -------
    quantity
        In %, by mass.

    Examples
    --------
    >>> gel = Formula("gel", [Line("water", q(105, "g")), Line("gelatin powder", q(7.5, "g"))])
    >>> print(say(gelatin_in_water(gel)))
    6.67 %

    Notes
    -----
    *Watch out*: bloom is not in this number; two glazes compare only at one bloom.
    Leave the soaking water out and the number is too high.

    Source: arithmetic; the example is the test solution of [bloom-test].
    """
    gelatin = sum(
        grams
        for item, grams in zip(formula.items, formula.grams, strict=True)
        if item.kind == "gelatin"
    )
    own = sum(
        grams * item.typical[0] / 100
        for item, grams in zip(formula.items, formula.grams, strict=True)
        if item.kind == "gelatin"
    )
    water = formula.of("water") - own
    if gelatin + water <= 0:
        raise fault_error(
            "gelatin_in_water, formula",
            "has neither water nor gelatin",
            formula.name,
            "It must hold water",
            "Give it the water that goes into the pan",
        )
    return q(100 * gelatin / (gelatin + water), "percent")


@calculator(returns="a band, plain numbers", formula=FORMULA)
def water_activity(formula: Formula) -> Band:
    """Return how much of the water is free for moulds and yeasts, as a band.

    aw = product over the sugars of (1 - x) exp(K x²), each alone in all the water

    Parameters
    ----------
    formula : Formula
        Its water phase at most 85 % solids, fat not counted.

    Returns
    -------
    Band
        Plain numbers for 25 °C: some 0.01 wide for sugars whose constants agree, and
        wider with glucose syrup, where two constants are remembered.  The low end
        counts salts and acids in the rest of milk, fruit and cocoa.

    Examples
    --------
    >>> syrup = Formula("syrup", [Line("water", q(400, "g")), Line("sugar", q(600, "g"))])
    >>> print(water_activity(syrup))
    0.891 to 0.901, typically 0.896

    Notes
    -----
    *Watch out*: the typical value leaves salts, proteins and acids out.  It
    says what may grow (``safety.may_grow``) and never that a glaze is safe: keeping
    time is set by your local rules.

    Source: ``syrup.water_activity_of_mixture`` [norrish1966], [ross1975], with
    constants from memory; glucose syrup by ``glucose.mean_molar_mass``, from memory.
    """
    water, sugars = water_in(formula, "water_activity"), formula.of(*SUGARS)
    if too_strong(formula):
        raise fault_error(
            "water_activity, formula",
            "has a water phase that is too strong",
            say(q(_solids_in_water(formula), "percent")),
            "It must hold at most 85 % solids, fat not counted: the equation is not tried beyond",
            "Count all the water of the formula",
        )
    known = {name: q(formula.of(name), "g") for name in SUGARS[:-1]}
    base = float(syrup.water_activity_of_mixture(q(water, "g"), known).m)
    error = table("formula_bench")["sugars error"]
    mixed = sum(1 for name in SUGARS if formula.of(name) > 0.02 * sugars) > 1
    spread = (error.high if mixed else error.low) or 0.0
    low, typical, high = (base * factor for factor in _glucose_factors(formula, water))
    low *= math.exp(-_salts_and_acids(formula) / (water / MOLAR_MASS))
    return Band(
        q(max(0.0, low - spread)),
        q(typical),
        q(min(1.0, high + spread)),
        FROM_MEMORY,
        "constants from memory; glucose syrups differ, and so do salts and acids",
    )


def too_strong(formula: Formula) -> bool:
    """Tell whether the syrup inside is stronger than the equation was tried."""
    return _solids_in_water(formula) > 85


def _solids_in_water(formula: Formula) -> float:
    """Return the percent of the water phase that is not water; fat is not in it."""
    solids = formula.of(*SUGARS, "protein", "gelatin", "other")
    return 100 * solids / (formula.of("water") + solids) if solids else 0.0


def _salts_and_acids(formula: Formula) -> float:
    """Return at most how many moles of particles the rest of its lines brings."""
    rows, index = table("formula_bench"), INDEX["other"]
    moles = 0.0
    for item, grams in zip(formula.items, formula.grams, strict=True):
        kind = "milk" if item.origin == "milk" else item.kind
        row = rows.get(f"solutes in the rest, {kind}")
        if row and row.high:
            moles += row.high * grams * item.typical[index] / 100_000
    return moles


def _glucose_factors(formula: Formula, water: float) -> tuple[float, float, float]:
    """Return what glucose syrup does to the water activity: low, typical, high."""
    solids = [
        (item.dextrose_equivalent, grams * item.typical[INDEX["glucose syrup"]] / 100)
        for item, grams in zip(formula.items, formula.grams, strict=True)
        if item.dextrose_equivalent
    ]
    row = table("glucose_bench")["norrish at 42 DE"]

    def factor(end: int, constant: float | None) -> float:
        moles = sum(grams / _molar_mass(three[end]) for three, grams in solids)
        x = moles / (moles + water / MOLAR_MASS)
        return (1 - x) * math.exp((constant or 0.0) * x * x)

    return factor(2, row.low), factor(1, row.value), factor(0, row.high)


@cache
def _molar_mass(dextrose_equivalent: float) -> float:
    return float(glucose.mean_molar_mass(q(dextrose_equivalent, "percent")).m_as("g/mol"))
