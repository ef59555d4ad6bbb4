"""Grades and bloom, and one gelatin in place of another."""

from __future__ import annotations

import math

from calculators.frozen import frozen
from calculators.sources import table
from calculators.units import Band, Measure, OneOf, Quantity, calculator, q, say

BENCH = table("gelatin_bench")
BLOOM_TEST = table("gelatin_bloom_test")

SQUARE_ROOT = "square root"
LEAF_FOR_LEAF = "leaf for leaf"
_RULES = {
    SQUARE_ROOT: "Square root: mass times the square root of bloom stays the same, "
    "as the strength of powder grows with the square of its concentration.",
    LEAF_FOR_LEAF: "Leaf for leaf: mass times bloom stays the same, as leaves are sold.",
}
RULES = tuple(_RULES)

BLOOM = Measure("bloom", 50, 300)
MASS = Measure("g", 0)


@frozen
class Grade:
    """A grade of leaf gelatin as the trade sells it.

    Parameters
    ----------
    name : str
        The metal it is named after.
    leaf_mass : Band
        What one leaf weighs, in g/leaf.
    bloom : Band
        Its strength; the packet's own figure comes first.
    """

    name: str
    leaf_mass: Band
    bloom: Band


GRADES: dict[str, Grade] = {
    name: Grade(
        name,
        table("gelatin_grades")[f"{name} leaf mass"].band(),
        table("gelatin_grades")[f"{name} bloom"].band(),
    )
    for name in ("bronze", "silver", "gold", "platinum", "titanium")
}
SOAK_RATIO = BENCH["soaking ratio"].band()

_GRADE = OneOf(*GRADES)


# --- one gelatin for another --------------------------------------------------


@calculator(returns="a sentence", rule=OneOf(*RULES))
def rule_in_words(rule: str) -> str:
    """Return the rule of a swap as a sentence to print beside the number.

    Parameters
    ----------
    rule : str
        ``"square root"`` or ``"leaf for leaf"``.

    Returns
    -------
    str
        One sentence.

    Examples
    --------
    >>> rule_in_words("leaf for leaf")
    'Leaf for leaf: mass times bloom stays the same, as leaves are sold.'

    Notes
    -----
    *Watch out*: a number without its rule can't be checked by anybody.

    Source: see :func:`swap`.
    """
    return _RULES[rule]


@calculator(returns="g", mass=MASS, wanted_bloom=BLOOM, held_bloom=BLOOM, rule=OneOf(*RULES))
def swap(
    mass: Quantity,
    wanted_bloom: Quantity,
    held_bloom: Quantity,
    rule: str = SQUARE_ROOT,
) -> Quantity:
    """Return the mass of the gelatin you hold that does what the formula's would.

    Square root: ``held = mass * sqrt(wanted bloom / held bloom)``.
    Leaf for leaf: ``held = mass * wanted bloom / held bloom``.

    Parameters
    ----------
    mass : quantity
        What the formula asks for (g).
    wanted_bloom : quantity
        The bloom that the formula asks for (50 to 300 bloom).
    held_bloom : quantity
        The bloom in your stores (50 to 300 bloom).
    rule : str
        ``"square root"`` for powder, ``"leaf for leaf"`` for leaves.

    Returns
    -------
    quantity
        Mass to weigh out, in g.  The square root is good to about 8 %.

    Examples
    --------
    >>> say(swap(q(10, "g"), q(200, "bloom"), q(140, "bloom")))
    '12 g'
    >>> say(swap(q(10, "g"), q(200, "bloom"), q(160, "bloom"), rule="leaf for leaf"))
    '12.5 g'

    Notes
    -----
    *Watch out*: the two rules differ: for 10 g, from 200 to 140 bloom, 12.0 g against
    14.3 g. Neither is wrong in its place. Say which one you used:
    :func:`rule_in_words`.

    Source: square root: rule of the makers' institutes. Leaf for leaf: no source.
    Both are common practice.
    """
    ratio = wanted_bloom.m / held_bloom.m
    return q(mass.m * (math.sqrt(ratio) if rule == SQUARE_ROOT else ratio), "g")


@calculator(returns="leaf", mass=MASS, grade=_GRADE)
def leaves(mass: Quantity, grade: str) -> Quantity:
    """Return how many leaves of a grade weigh that much.

    ``leaves = mass / mass of one leaf``

    Parameters
    ----------
    mass : quantity
        Mass of gelatin (g).
    grade : str
        ``"bronze"``, ``"silver"``, ``"gold"``, ``"platinum"`` or ``"titanium"``.

    Returns
    -------
    quantity
        Count of leaves, not rounded; good to about 15 %, as packs differ.

    Examples
    --------
    >>> say(leaves(q(15, "g"), "silver"))
    '6 leaves'

    Notes
    -----
    *Watch out*: this changes no grade: it only counts. Where it matters, weigh the
    leaves.

    Source: leaf masses: common practice;
    ``data/gelatin_grades.csv``.
    """
    return q(mass.m / GRADES[grade].leaf_mass.typical.m, "leaf")


@calculator(returns="g", leaves=Measure("leaf", 0), grade=_GRADE)
def leaves_weigh(leaves: Quantity, grade: str) -> Quantity:
    """Return what a number of leaves weighs dry; the inverse of :func:`leaves`.

    ``mass = leaves * mass of one leaf``

    Parameters
    ----------
    leaves : quantity
        Count of leaves.
    grade : str
        ``"bronze"``, ``"silver"``, ``"gold"``, ``"platinum"`` or ``"titanium"``.

    Returns
    -------
    quantity
        Mass in g; good to about 15 %, as packs differ.

    Examples
    --------
    >>> say(leaves_weigh(q(6, "leaf"), "gold"))
    '12 g'

    Notes
    -----
    *Watch out*: dry leaves, before soaking.

    Source: leaf masses: common practice;
    ``data/gelatin_grades.csv``.
    """
    return q(leaves.m * GRADES[grade].leaf_mass.typical.m, "g")


@frozen
class LeafSwap:
    """Leaves of one grade for leaves of another.

    Parameters
    ----------
    leaves : quantity
        Leaves to take of the grade you hold: the same count.
    mass : quantity
        What these weigh, in g.
    mass_wanted : quantity
        What the formula's own leaves would weigh, in g.
    strength : quantity
        Mass times bloom of your leaves in percent of the formula's: how well the
        convention holds for these two grades.
    """

    leaves: Quantity
    mass: Quantity
    mass_wanted: Quantity
    strength: Quantity

    @property
    def rule(self) -> str:
        """The rule in words, to print beside the numbers."""
        return rule_in_words(LEAF_FOR_LEAF)

    def __str__(self) -> str:
        """Return the swap as a sentence."""
        return (
            f"{say(self.leaves)} ({say(self.mass)}), "
            f"{say(self.strength)} of the strength by mass times bloom"
        )


@calculator(
    returns="leaves, masses and how well the convention holds",
    leaves=Measure("leaf", 0),
    wanted_grade=_GRADE,
    held_grade=_GRADE,
)
def leaf_swap(leaves: Quantity, wanted_grade: str, held_grade: str) -> LeafSwap:
    """Return what to take when the formula counts leaves of another grade.

    ``leaves held = leaves wanted``: makers keep mass of a leaf times bloom about the same.

    Parameters
    ----------
    leaves : quantity
        Leaves that the formula asks for.
    wanted_grade : str
        Their grade.
    held_grade : str
        The grade in your stores.

    Returns
    -------
    LeafSwap
        The same count, what it weighs, and its strength beside the formula's.

    Examples
    --------
    >>> print(leaf_swap(q(6, "leaf"), "gold", "silver"))
    6 leaves (15 g), 100 % of the strength by mass times bloom

    Notes
    -----
    *Watch out*: one leaf replaces one leaf, so the *mass* changes: weighing out the
    formula's grams of another grade breaks the rule. Bronze lies some 15 % above the
    others, and titanium more: for these weigh, and use :func:`swap`.

    Source: common practice, no source; ``data/gelatin_grades.csv``.
    """
    wanted, held = GRADES[wanted_grade], GRADES[held_grade]
    per_wanted = wanted.leaf_mass.typical.m * wanted.bloom.typical.m
    per_held = held.leaf_mass.typical.m * held.bloom.typical.m
    return LeafSwap(
        leaves,
        leaves_weigh(leaves, held_grade),
        leaves_weigh(leaves, wanted_grade),
        q(100 * per_held / per_wanted, "percent"),
    )
