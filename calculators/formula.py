"""How much, what is in it, what does it cost, and who can't eat it.

A formula is a name and its lines; every answer follows from the composition of
its ingredients.  No table of glazes is known to hold the whole against: density is
held against syrups of the handbook, the bloom test against its standard, water
activity against measured syrups, composition against the food tables.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, field, replace
from functools import cache
from types import MappingProxyType
from typing import Any

from calculators import glucose, safety, syrup
from calculators.faults import Fault, FaultsError, refuse
from calculators.ingredients import (
    PARTS,
    SUGARS,
    Ingredient,
    find,
)
from calculators.kitchen import Line
from calculators.sources import DATA, records, table
from calculators.units import (
    CURRENCIES,
    FROM_MEMORY,
    Band,
    Measure,
    OneOf,
    Quantity,
    Thing,
    is_quantity,
    q,
    say,
    takes,
)
from calculators.water import MOLAR_MASS

CERTIFIED = ("halal", "kosher")
DIETS = ("vegetarian", "vegan", *CERTIFIED)
_INDEX = {name: i for i, name in enumerate(PARTS)}
_MASS = Measure("g", above=0, high=1_000_000)


# --- a formula ----------------------------------------------------------------------


@dataclass(frozen=True)
class Formula:
    """A name and its lines; all that is wrong with them is told at once.

    Parameters
    ----------
    name : str
        What it is called.
    lines : sequence of kitchen.Line
        Ingredient, mass above 0 g, and where known the price of a pack and the mass
        of that pack.  All prices are in one currency.

    >>> glaze = Formula("Syrup", [Line("water", q(400, "g")), Line("sugar", q(600, "g"))])
    >>> say(mass(glaze))
    '1000 g'
    """

    name: str
    lines: tuple[Line, ...]
    items: tuple[Ingredient, ...] = field(init=False, repr=False, compare=False)
    grams: tuple[float, ...] = field(init=False, repr=False, compare=False)
    currency: str = field(init=False, repr=False, compare=False)
    parts: tuple[float, ...] = field(init=False, repr=False, compare=False)

    def __post_init__(self) -> None:
        """Check all lines, and reckon once what the answers below stand on."""
        if not isinstance(self.lines, list | tuple):
            raise refuse(
                f"formula {self.name}",
                "has no list of lines",
                repr(self.lines)[:60],
                "",
                'Give a list such as [Line("sugar", q(100, "g"))]',
            )
        lines = tuple(self.lines)
        faults: list[Fault] = (
            []
            if lines
            else [
                Fault(f"formula {self.name}", "has no lines", "", "", "Give it at least one line")
            ]
        )
        items, grams, currencies = [], [], []
        for number, line in enumerate(lines, 1):
            where = f"formula {self.name}, line {number}"
            if not isinstance(line, Line):
                faults.append(
                    Fault(
                        where,
                        "is not a line",
                        repr(line)[:60],
                        "",
                        'Write Line("sugar", q(100, "g"))',
                    )
                )
                continue
            item, fault = find(line.ingredient, f"{where}, ingredient")
            amount, heavy = _MASS.check(f"{where} ({line.ingredient}), mass", line.mass)
            weigh = _weighed(heavy, line.mass, item)
            faults += [f for f in (fault, weigh, *_price_faults(line, where, item)) if f]
            if item is not None and heavy is None:
                items.append(item)
                grams.append(float(amount.m))
            if line.price is not None and is_quantity(line.price):
                currencies.append(str(line.price.units))
        if len(set(currencies)) > 1:
            found = ", ".join(sorted(set(currencies)))
            faults.append(
                Fault(
                    f"formula {self.name}",
                    "has prices in more than one currency",
                    found,
                    "",
                    "Give every price in one currency",
                )
            )
        if faults:
            raise FaultsError(faults)
        shares = [[g * x / 100 for x in i.typical] for i, g in zip(items, grams, strict=True)]
        for attribute, value in (
            ("lines", lines),
            ("items", tuple(items)),
            ("grams", tuple(grams)),
            ("currency", currencies[0] if currencies else ""),
            ("parts", tuple(map(sum, zip(*shares, strict=True)))),
        ):
            object.__setattr__(self, attribute, value)

    def of(self, *names: str) -> float:
        """Return how many grams it holds of these parts together."""
        return sum(self.parts[_INDEX[name]] for name in names)


def _weighed(fault: Fault | None, given: Any, item: Ingredient | None) -> Fault | None:
    """Tell of a volume what it weighs, where the ingredient's density is known."""
    if fault and item and item.density and is_quantity(given) and given.check("[length]**3"):
        grams = (given * item.density.typical).to("g")
        step = f"Give it in g: {say(given)} of {item.name} weighs about {say(grams)}"
        return replace(fault, next_step=step)
    return fault


def _price_faults(line: Line, where: str, item: Ingredient | None) -> list[Fault]:
    where = f"{where} ({line.ingredient})"
    faults: list[Fault] = []
    if line.price is not None:
        if not is_quantity(line.price) or str(line.price.units) not in CURRENCIES:
            faults.append(
                Fault(
                    f"{where}, price",
                    "is not an amount of money",
                    str(line.price),
                    "",
                    'Write it like q(2.65, "EUR")',
                )
            )
        elif not 0 <= line.price.m < math.inf:
            faults.append(
                Fault(
                    f"{where}, price",
                    "is out of range",
                    str(line.price),
                    "It must be at least 0",
                    "Check the price",
                )
            )
        if line.pack is None:
            faults.append(
                Fault(
                    f"{where}, price",
                    "has no pack beside it",
                    str(line.price),
                    "A price is the price of a pack",
                    'Add the pack, like q(1, "kg")',
                )
            )
    if line.pack is not None:
        _, fault = _MASS.check(f"{where}, pack", line.pack)
        fault = _weighed(fault, line.pack, item)
        faults += [fault] if fault else []
    return faults


_FORMULA = Thing(Formula, "a formula")
_ANY_PART = OneOf(*PARTS, "sugars", "solids")
_FRIDGE = q(4, "degC")
_20_C = q(20, "degC")


# --- how much -------------------------------------------------------------------------


@takes("g", formula=_FORMULA)
def mass(formula: Formula) -> Quantity:
    """Return what all lines of a formula weigh together.

    m = sum of the lines

    Parameters
    ----------
    formula : Formula
        As it goes into the pan, before anything boils off.

    Returns
    -------
    quantity
        In g, as exact as the weighing.

    Examples
    --------
    >>> say(mass(Formula("syrup", [Line("water", q(1, "kg")), Line("sugar", q(500, "g"))])))
    '1500 g'

    Notes
    -----
    *Watch out*: after boiling the pan holds less; see :func:`evaporated`.

    Source: arithmetic.
    """
    return q(sum(formula.grams), "g")


@takes("a formula", formula=_FORMULA, wanted=_MASS)
def scale_to(formula: Formula, wanted: Quantity) -> Formula:
    """Return the same formula for another total mass, such as a number of cakes needs.

    each line x wanted / total

    Parameters
    ----------
    formula : Formula
        The one at hand.
    wanted : quantity
        Total mass, above 0 g; for cakes and a coat take it from
        ``coating.glaze_needed``.

    Returns
    -------
    Formula
        With every mass in g; prices and packs stay.

    Examples
    --------
    >>> syrup = Formula("syrup", [Line("water", q(400, "g")), Line("sugar", q(600, "g"))])
    >>> [say(line.mass) for line in scale_to(syrup, q(2.5, "kg")).lines]
    ['1000 g', '1500 g']

    Notes
    -----
    *Watch out*: water boils off by the surface of the pan and not by the mass, so a
    larger batch in the same pan loses a smaller share.

    Source: arithmetic.
    """
    return _times(formula, wanted.m / sum(formula.grams))


def _times(formula: Formula, factor: float) -> Formula:
    lines = (
        replace(line, mass=q(grams * factor, "g"))
        for line, grams in zip(formula.lines, formula.grams, strict=True)
    )
    return Formula(formula.name, tuple(lines))


@takes("cm**3", formula=_FORMULA, temperature=Measure("degC", 0, 100))
def volume(formula: Formula, temperature: Quantity = _20_C) -> Quantity:
    """Return the room a formula takes in the jug, without air in it.

    V = m / density

    Parameters
    ----------
    formula : Formula
        With water in it.
    temperature : quantity
        0 to 100 °C.

    Returns
    -------
    quantity
        In cm³, good to 2 %.

    Examples
    --------
    >>> syrup = Formula("syrup", [Line("water", q(400, "g")), Line("sugar", q(600, "g"))])
    >>> say(volume(syrup), "litre", digits=2)
    '0.78 l'

    Notes
    -----
    *Watch out*: a jug for a stick blender is filled to two thirds at the most.

    Source: as :func:`density`.
    """
    return q(_volume(formula, temperature.m), "cm**3")


@takes("kg/m**3", formula=_FORMULA, temperature=Measure("degC", 0, 100))
def density(formula: Formula, temperature: Quantity = _20_C) -> Quantity:
    """Return how heavy a formula is for its room, without air in it.

    V = V(sugars in water, as a syrup) + m_fat/rho_fat + m_protein/rho_protein + ...

    Parameters
    ----------
    formula : Formula
        With water in it.
    temperature : quantity
        0 to 100 °C.

    Returns
    -------
    quantity
        In kg/m³, good to 2 % for a glaze, a syrup or a milk: every sugar is taken as
        sucrose, and salt, pigment and starch as one light solid.

    Examples
    --------
    >>> syrup = Formula("syrup", [Line("water", q(400, "g")), Line("sugar", q(600, "g"))])
    >>> say(density(syrup), digits=3)
    '1290 kg/m³'

    Notes
    -----
    *Watch out*: a glaze that weighs less than this in the measuring jug holds air;
    ``blending.air_fraction`` tells how much.

    Source: ``syrup.density`` for the water phase; fat and protein after
    [choi-okos1986], from memory.
    """
    return q(1000 * sum(formula.grams) / _volume(formula, temperature.m), "kg/m**3")


def _volume(formula: Formula, t: float) -> float:
    rows = table("formula_bench")

    def room(grams: float, name: str) -> float:
        slope = rows.get(f"{name} density slope")
        per_degree = slope.value if slope and slope.value else 0.0
        return 1000 * grams / ((rows[f"{name} density"].value or 1) + per_degree * (t - 20))

    sugars, water = formula.of(*SUGARS), _water(formula, "density")
    liquid = syrup.density(q(100 * sugars / (sugars + water), "percent"), q(t, "degC"))
    return (
        1000 * (sugars + water) / liquid.m
        + room(formula.of("fat"), "fat")
        + room(formula.of("protein", "gelatin"), "protein")
        + room(formula.of("other"), "other")
    )


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


@takes("masses and shares of all parts", formula=_FORMULA)
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


@takes("percent", formula=_FORMULA, part=_ANY_PART)
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


def _water(formula: Formula, where: str) -> float:
    water = formula.of("water")
    if water <= 0.05 * (water + formula.of(*SUGARS)):
        raise refuse(
            f"{where}, formula",
            "has next to no water for its sugar",
            f"{water:.3g} g in {formula.name}",
            "The sugar in the water phase must be below 95 %",
            "Give it the water that goes into the pan",
        )
    return water


@takes("percent", formula=_FORMULA)
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
    sugars, water = formula.of(*SUGARS), _water(formula, "sugar_in_water")
    return q(100 * sugars / (sugars + water), "percent")


@takes("", formula=_FORMULA, temperature=Measure("degC", 0, 100))
def supersaturation(formula: Formula, temperature: Quantity = _FRIDGE) -> Quantity:
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
    sucrose, water = formula.of("sucrose"), _water(formula, "supersaturation")
    strength = q(100 * sucrose / (sucrose + water), "percent")
    return syrup.supersaturation(strength, temperature)


@takes("percent", formula=_FORMULA)
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
        raise refuse(
            "gelatin_in_water, formula",
            "has neither water nor gelatin",
            formula.name,
            "It must hold water",
            "Give it the water that goes into the pan",
        )
    return q(100 * gelatin / (gelatin + water), "percent")


@takes("a band, plain numbers", formula=_FORMULA)
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
    water, sugars = _water(formula, "water_activity"), formula.of(*SUGARS)
    if _too_strong(formula):
        raise refuse(
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


def _too_strong(formula: Formula) -> bool:
    """Tell whether the syrup inside is stronger than the equation was tried."""
    return _solids_in_water(formula) > 85


def _solids_in_water(formula: Formula) -> float:
    """Return the percent of the water phase that is not water; fat is not in it."""
    solids = formula.of(*SUGARS, "protein", "gelatin", "other")
    return 100 * solids / (formula.of("water") + solids) if solids else 0.0


def _salts_and_acids(formula: Formula) -> float:
    """Return at most how many moles of particles the rest of its lines brings."""
    rows, index = table("formula_bench"), _INDEX["other"]
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
        (item.dextrose_equivalent, grams * item.typical[_INDEX["glucose syrup"]] / 100)
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


# --- water that goes and comes back -------------------------------------------------------


@takes("g", before=_MASS, after=_MASS)
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
        raise refuse(
            "evaporated, after",
            "is heavier than before",
            say(after, digits=6),
            f"It must be at most {say(before, digits=6)}",
            "Swap the two, or take the pan off both weighings",
        )
    return q(before.m - after.m, "g")


@takes("g", before=_MASS, after=_MASS, kept=_MASS)
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
        raise refuse(
            "water_to_give_back, kept",
            "is more than there was",
            say(kept, digits=6),
            f"It must be at most {say(after, digits=6)}",
            "Weigh what is left, without the bowl",
        )
    return q(lost.m * kept.m / after.m, "g")


@takes("a formula", formula=_FORMULA, water=_MASS)
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


# --- what does it cost -----------------------------------------------------------------------


@dataclass(frozen=True)
class CostLine:
    """What one line costs: for what is used, and for the packs that are bought."""

    ingredient: str
    mass: Quantity
    packs: int
    used: Quantity
    bought: Quantity
    left_over: Quantity


@dataclass(frozen=True)
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


@takes("a cost", formula=_FORMULA, spare=Measure("percent", 0, 100))
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
        raise refuse(
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


# --- who can't eat it ------------------------------------------------------------------------


@dataclass(frozen=True)
class Holds:
    """An allergen of a formula, and the ingredients that bring it.

    Parameters
    ----------
    allergen : str
        By its name in ``safety.allergens()``.
    certain : bool
        True where it is in; False where the label has to be read.
    ingredients : tuple of str
        Which bring it, or may.
    """

    allergen: str
    certain: bool
    ingredients: tuple[str, ...]


@takes("the allergens, certain ones first", formula=_FORMULA)
def allergens(formula: Formula) -> tuple[Holds, ...]:
    """Return the allergens of a formula, and those for which a label must be read.

    Parameters
    ----------
    formula : Formula
        With every colour and decoration on a line.

    Returns
    -------
    tuple of Holds
        Certain ones first, each with the ingredients that bring it.

    Examples
    --------
    >>> base = Formula("base", [Line("milk", q(200, "g")), Line("gelatin, fish", q(5, "g"))])
    >>> [holds.allergen for holds in allergens(base) if holds.certain]
    ['fish', 'milk']

    Notes
    -----
    *Watch out*: the table knows the usual tub; the label in your hand comes first.
    Wheat glucose syrup need not be declared as wheat in the EU, and is not for that
    reason gluten free.

    Source: common practice for what a tub holds; the fourteen names [eu1169].
    """
    inside = _by_allergen(formula, lambda item: item.allergens)
    maybe = _by_allergen(formula, lambda item: item.ask)
    return tuple(
        [Holds(name, True, tuple(who)) for name, who in inside.items()]
        + [Holds(name, False, tuple(who)) for name, who in maybe.items() if name not in inside]
    )


def _by_allergen(
    formula: Formula, of: Callable[[Ingredient], tuple[str, ...]]
) -> dict[str, dict[str, None]]:
    found: dict[str, dict[str, None]] = {name: {} for name in safety.allergens()}
    for item in formula.items:
        for name in of(item):
            found[name][item.name] = None
    return {name: who for name, who in found.items() if who}


@dataclass(frozen=True)
class Diet:
    """Whether a diet may eat it: *yes*, *no* or *ask*, and because of what."""

    name: str
    answer: str
    because: tuple[str, ...]


@takes("an answer for each diet", formula=_FORMULA)
def diets(formula: Formula) -> Mapping[str, Diet]:
    """Return for each diet whether it may eat this, and which ingredients speak against.

    Parameters
    ----------
    formula : Formula
        With every colour and decoration on a line.

    Returns
    -------
    mapping
        :class:`Diet` by name: vegetarian, vegan, halal, kosher.

    Examples
    --------
    >>> base = Formula("base", [Line("milk", q(200, "g")), Line("gelatin leaf", q(5, "g"))])
    >>> diets(base)["vegetarian"].because
    ('gelatin leaf',)

    Notes
    -----
    *Watch out*: halal and kosher are certified and never answered with yes here.

    Source: common practice; ``data/origins.csv``.
    """
    return MappingProxyType({diet: _diet(formula, diet) for diet in DIETS})


def _diet(formula: Formula, diet: str) -> Diet:
    said = {item.name: _diet_of(item, diet) for item in formula.items}
    for answer in ("no", "ask"):
        because = tuple(name for name, word in said.items() if word == answer)
        if because:
            return Diet(diet, answer, because)
    if diet in CERTIFIED:
        return Diet(diet, "ask", ("the certificate of each ingredient",))
    return Diet(diet, "yes", ())


def _diet_of(item: Ingredient, diet: str) -> str:
    """Return *yes*, *no* or *ask*; a label that may name milk is read by a vegan."""
    word = _origins()[item.origin][diet]
    animal = diet == "vegan" and _OF_ANIMALS.intersection(item.ask)
    return "ask" if word == "yes" and animal else word


_OF_ANIMALS = frozenset({"milk", "eggs", "fish", "crustaceans", "molluscs"})


@cache
def _origins() -> Mapping[str, Mapping[str, str]]:
    return {row["origin"]: row for row in records("origins")}


@takes("sentences", formula=_FORMULA)
def who_cannot_eat(formula: Formula) -> tuple[str, ...]:
    """Return in sentences who can't eat this, what to ask, and who has the last word.

    Parameters
    ----------
    formula : Formula
        With every colour and decoration on a line.

    Returns
    -------
    tuple of str
        The last one is the last word of every caution.

    Examples
    --------
    >>> for line in who_cannot_eat(Formula("syrup", [Line("butter", q(1, "kg"))])):
    ...     print(line)
    It holds milk and lactose: butter, unsalted.
    It is not vegan: butter, unsalted.
    Ask whether it is halal: butter, unsalted.
    Ask whether it is kosher: butter, unsalted.
    Your local rules and your supervisor come first.

    Notes
    -----
    *Watch out*: traces from the bench, the jug and the sieve stand on no line.

    Source: as :func:`allergens` and :func:`diets`.
    """
    words = safety.allergens()
    found = [
        f"It holds {words[h.allergen].words}: {'; '.join(h.ingredients)}."
        if h.certain
        else f"Read the label for {words[h.allergen].words}: {'; '.join(h.ingredients)}."
        for h in allergens(formula)
    ]
    for diet in diets(formula).values():
        if diet.answer == "no":
            found.append(f"It is not {diet.name}: {'; '.join(diet.because)}.")
        elif diet.answer == "ask":
            found.append(f"Ask whether it is {diet.name}: {'; '.join(diet.because)}.")
    return (*found, safety.LAST_WORD)


@takes("permissions", formula=_FORMULA, region=OneOf(*safety.REGIONS))
def colourants(formula: Formula, region: str) -> Mapping[str, safety.Permission]:
    """Return for each colour of a formula whether the region allows it: yes, no or ask.

    Parameters
    ----------
    formula : Formula
        With its colours on lines.
    region : str
        One of ``safety.regions()``.

    Returns
    -------
    mapping
        ``safety.Permission`` by ingredient; empty where there is no colour.

    Examples
    --------
    >>> white = Formula("w", [Line("neutral glaze", q(1, "kg")), Line("e 171", q(5, "g"))])
    >>> colourants(white, "EU")["titanium white"].answer
    'no'

    Notes
    -----
    *Watch out*: a *no* must keep the colour off the order list.

    Source: ``safety.allowed``.
    """
    return {
        item.name: safety.allowed(item.colourant, region)
        for item in formula.items
        if item.colourant
    }


# --- what makes it set --------------------------------------------------------------------------


@dataclass(frozen=True)
class Technique:
    """How a gelling agent is worked.

    Parameters
    ----------
    agent : str
        *gelatin*, *agar* or *pectin*.
    words : str
        How it is brought in and how it behaves.
    sets, melts : str
        Where it sets and melts, in words.
    reuse : str
        Whether a glaze of it can be warmed again.
    provenance : str
        *from memory* or *common practice*.
    """

    agent: str
    words: str
    sets: str
    melts: str
    reuse: str
    provenance: str


@cache
def techniques() -> Mapping[str, Technique]:
    """Return how each gelling agent is worked.

    >>> list(techniques())
    ['gelatin', 'agar', 'pectin']
    """
    import tomllib  # here, for at the top it would slow every import

    text = (DATA / "gelling.toml").read_text(encoding="utf-8")
    return {name: Technique(name, **row) for name, row in tomllib.loads(text).items()}


@takes("techniques", formula=_FORMULA)
def gelling(formula: Formula) -> tuple[Technique, ...]:
    """Return what makes a formula set, and how that is worked.

    Parameters
    ----------
    formula : Formula
        With its gelling agent on a line.

    Returns
    -------
    tuple of Technique
        One for each agent; none where nothing sets it but sugar.

    Examples
    --------
    >>> print(gelling(Formula("g", [Line("agar", q(5, "g")), Line("milk", q(1, "kg"))]))[0].sets)
    at 32 to 43 °C

    Notes
    -----
    *Watch out*: agar is solid in the pouring window of a gelatin glaze.

    Source: from memory; ``data/gelling.toml``.
    """
    kinds = dict.fromkeys(item.kind for item in formula.items)
    return tuple(techniques()[kind] for kind in kinds if kind in techniques())


@takes("sentences", formula=_FORMULA)
def plant_based(formula: Formula) -> tuple[str, ...]:
    """Return what a glaze without animals asks for: another technique, and no swap.

    Parameters
    ----------
    formula : Formula
        The one to be thought anew.

    Returns
    -------
    tuple of str
        What stands in the way, and how agar and pectin are worked.

    Examples
    --------
    >>> print(plant_based(Formula("g", [Line("gelatin leaf", q(5, "g"))]))[0])
    Not plant-based here: gelatin leaf.

    Notes
    -----
    *Watch out*: no mass is given, because no ratio holds from one make to the next.
    Make a trial set of a spoonful on a cold plate.

    Source: from memory and common practice; ``data/gelling.toml``.
    """
    diet = diets(formula)["vegan"]
    first = {
        "no": f"Not plant-based here: {'; '.join(diet.because)}.",
        "ask": f"Read the label of: {'; '.join(diet.because)}.",
        "yes": "Everything in it is of plants already.",
    }[diet.answer]
    return (
        first,
        "Gelatin has no gram-for-gram swap: a plant-based set is another technique, "
        "with its own formula, heat, pouring temperature and bite.",
        *(
            f"{techniques()[agent].words} {techniques()[agent].reuse}"
            for agent in ("agar", "pectin")
        ),
    )


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


@takes("an analysis", formula=_FORMULA, storage=Measure("degC", 0, 100))
def analysis(formula: Formula, storage: Quantity = _FRIDGE) -> Analysis:
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
        None if _too_strong(formula) else water_activity(formula),
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


@takes("a comparison", first=_FORMULA, second=_FORMULA, storage=Measure("degC", 0, 100))
def compare(first: Formula, second: Formula, storage: Quantity = _FRIDGE) -> Comparison:
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
