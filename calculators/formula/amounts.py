"""How much a formula makes: its mass, volume and density."""

from __future__ import annotations

from dataclasses import replace

from calculators.faults import fault_error
from calculators.formula.model import MASS, Formula
from calculators.ingredients import SUGARS
from calculators.room import room_of
from calculators.units import InstanceOf, Measure, Quantity, calculator, q

FORMULA = InstanceOf(Formula, "a formula")
_20_C = q(20, "degC")


# --- how much -------------------------------------------------------------------------


@calculator(returns="g", formula=FORMULA)
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


@calculator(returns="a formula", formula=FORMULA, wanted=MASS)
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


@calculator(returns="cm**3", formula=FORMULA, temperature=Measure("degC", 0, 100))
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


@calculator(returns="kg/m**3", formula=FORMULA, temperature=Measure("degC", 0, 100))
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
    [choi-okos1986].
    """
    return q(1000 * sum(formula.grams) / _volume(formula, temperature.m), "kg/m**3")


def _volume(formula: Formula, t: float) -> float:
    return room_of(
        water_in(formula, "density"),
        formula.of(*SUGARS),
        formula.of("fat"),
        formula.of("protein", "gelatin"),
        formula.of("other"),
        t,
    )


def water_in(formula: Formula, where: str) -> float:
    """Return the grams of water in a formula, or refuse one without."""
    water = formula.of("water")
    if water <= 0.05 * (water + formula.of(*SUGARS)):
        raise fault_error(
            f"{where}, formula",
            "has next to no water for its sugar",
            f"{water:.3g} g in {formula.name}",
            "The sugar in the water phase must be below 95 %",
            "Give it the water that goes into the pan",
        )
    return water
