"""What is in a formula, and what its water and sugar make it do."""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType

from calculators import mixture
from calculators.faults import fault_error
from calculators.formula.amounts import FORMULA, water_in
from calculators.formula.model import Formula
from calculators.frozen import frozen
from calculators.ingredients import PARTS, SUGARS
from calculators.units import Band, Measure, OneOf, Quantity, calculator, least_sure, q

_ANY_PART = OneOf(*PARTS, "sugars", "solids")
FRIDGE = q(4, "degC")


# --- what is in it ----------------------------------------------------------------------


@frozen
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
    return Band.of(
        (low / total, typical / total, min(100.0, high / total)),
        "percent",
        least_sure(provenance),
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


@calculator(returns="a band, plain numbers", formula=FORMULA, temperature=Measure("degC", 0, 100))
def supersaturation(formula: Formula, temperature: Quantity = FRIDGE) -> Band:
    """Return how many times more sucrose the water holds than it can keep when stored.

    (sucrose/water) / (sucrose/water at saturation, beside the other sugars)

    Parameters
    ----------
    formula : Formula
        With water in it, and at most 3 g of other sugars to 1 g of water.
    temperature : quantity
        Of the store, 0 to 100 °C.

    Returns
    -------
    Band
        Plain numbers: above 1 crystals can come.

    Examples
    --------
    >>> syrup = Formula("syrup", [Line("water", q(300, "g")), Line("sugar", q(700, "g"))])
    >>> say(supersaturation(syrup, q(4, "degC")).typical, digits=2)
    '1.3'

    Notes
    -----
    *Watch out*: above 1 means *can come*, not *will come*: glucose syrup and gelatin slow
    the crystals down.  The milk's own sugar is another matter: ``lactose_saturation``.

    Source: ``mixture.sucrose_saturation`` on the whole glaze.
    """
    water_in(formula, "supersaturation")
    return mixture.sucrose_saturation(mixture.glaze(formula), temperature)


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

    ``mixture.water_activity`` of the whole glaze, at 25 °C

    Parameters
    ----------
    formula : Formula
        Its water phase at most 95 % sugars, and more water than protein, gelatin, fibre
        and ash.

    Returns
    -------
    Band
        Plain numbers.  It holds the scatter of the data, the salts and acids of milk and
        fruit, and what the labels of the tubs leave open.

    Examples
    --------
    >>> syrup = Formula("syrup", [Line("water", q(400, "g")), Line("sugar", q(600, "g"))])
    >>> print(say(water_activity(syrup).typical, digits=2))
    0.9

    Notes
    -----
    *Watch out*: it says what may grow (``safety.may_grow``) and never that a glaze is
    safe: near a line is not below it, and keeping time is set by your local rules.

    Source: as ``mixture.water_activity``.
    """
    water = water_in(formula, "water_activity")
    dry = formula.of("protein", "gelatin", "other")
    if dry > water:
        raise fault_error(
            "water_activity, formula",
            "is too dry to tell",
            f"{water:.3g} g of water to {dry:.3g} g of protein, fibre and ash",
            "Its protein, gelatin, fibre and ash must weigh at most as much as its water: "
            "they hold water too, and no equation of sugars counts them",
            "Count all the water of the formula",
        )
    return mixture.water_activity(mixture.glaze(formula))
