"""What the formula asks for, and what stands in the stores in its place.

A lesson's worked example is the kitchen's own swap where there is one to make.
Where the stores hold just what the formula asks for, another grade or tub is chosen
to compare with, and the story says so.  No published table is known to hold it
against: the numbers are those of ``gelatin`` and ``glucose``.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from calculators import gelatin, glucose
from calculators.ingredients import ingredient
from calculators.kitchen import Kitchen, Line
from calculators.units import InstanceOf, Quantity, calculator, q, say

POWDER = "powder"
_POWDER_BLOOM = 200.0  # where a scheme names powder and no bloom; common practice
COUNTED = ("silver", "gold", "platinum")  # swapped by count; common practice
_EXAMPLE = 12.0  # g of gelatin, for a glaze without any
_EXAMPLE_SYRUP = 280.0  # g of glucose syrup, for a glaze without any
_KITCHEN = InstanceOf(Kitchen, "a kitchen")


# --- gelatin --------------------------------------------------------------------


@dataclass(frozen=True)
class Gelatin:
    """A gelatin as it is sold.

    Parameters
    ----------
    grade : str
        A grade of leaf, or ``"powder"``.
    bloom : quantity
        Its strength.
    """

    grade: str
    bloom: Quantity

    @property
    def is_leaf(self) -> bool:
        """Whether it is sold in leaves."""
        return self.grade != POWDER

    def __str__(self) -> str:
        """Return how it is called over the bench."""
        kind = f"{self.grade} leaf" if self.is_leaf else POWDER
        return f"{kind} of {say(self.bloom)}"


@dataclass(frozen=True)
class GelatinCase:
    """The swap of a gelatin that a lesson works through.

    Parameters
    ----------
    mass : quantity
        What the formula asks for, in g.
    wanted, held : Gelatin
        The formula's gelatin, and the one in stores.
    own : bool
        Whether it is this kitchen's own swap, and none that was made up.
    story : str
        The situation in a few sentences.
    """

    mass: Quantity
    wanted: Gelatin
    held: Gelatin
    own: bool
    story: str

    @property
    def rule(self) -> str:
        """The rule of the swap; see :func:`rule_between`."""
        return rule_between(self.wanted, self.held)

    @property
    def to_weigh(self) -> Quantity:
        """What to weigh of the gelatin in stores, by that rule, in g."""
        if self.rule == gelatin.LEAF_FOR_LEAF:
            count = gelatin.leaves(self.mass, self.wanted.grade)
            return gelatin.leaves_weigh(count, self.held.grade)
        return gelatin.swap(self.mass, self.wanted.bloom, self.held.bloom, self.rule)

    @property
    def leaf_grades(self) -> tuple[str, str]:
        """Two grades of leaf to compare: these two, or others where one is powder."""
        held, wanted = self.held.grade, self.wanted.grade
        if not self.held.is_leaf:
            held = "silver" if wanted != "silver" else "gold"
        if not self.wanted.is_leaf:
            wanted = "gold" if held != "gold" else "platinum"
        return wanted, held


_GELATIN = InstanceOf(Gelatin, "a gelatin")


@calculator(returns="a rule", wanted=_GELATIN, held=_GELATIN)
def rule_between(wanted: Gelatin, held: Gelatin) -> str:
    """Return the rule by which one gelatin is swapped for another.

    Leaf for leaf within one grade and between silver, gold and platinum, where the
    convention holds within 10 %; else the square root.

    Parameters
    ----------
    wanted : Gelatin
        What the formula asks for.
    held : Gelatin
        What is in stores.

    Returns
    -------
    str
        ``"leaf for leaf"`` or ``"square root"``.

    Examples
    --------
    >>> gold, silver, bronze = (
    ...     Gelatin(name, gelatin.GRADES[name].bloom.typical)
    ...     for name in ("gold", "silver", "bronze")
    ... )
    >>> rule_between(gold, silver), rule_between(gold, bronze)
    ('leaf for leaf', 'square root')

    Notes
    -----
    *Watch out*: bronze and titanium are leaves too, but one of theirs does not replace
    one of gold or platinum: weigh them.

    Source: common practice.
    """
    same = wanted.is_leaf and wanted.grade == held.grade
    counted = wanted.grade in COUNTED and held.grade in COUNTED
    return gelatin.LEAF_FOR_LEAF if same or counted else gelatin.SQUARE_ROOT


@calculator(returns="a swap of gelatin", kitchen=_KITCHEN)
def gelatin_case(kitchen: Kitchen) -> GelatinCase:
    """Return the swap of gelatin that this kitchen has to make, or one to practise on.

    Parameters
    ----------
    kitchen : Kitchen
        With its stores and its formula.

    Returns
    -------
    GelatinCase
        Two gelatins of different strength, a mass, and the story.

    Examples
    --------
    >>> from calculators.kitchen import example_kitchen
    >>> case = gelatin_case(example_kitchen())  # its formula holds no gelatin
    >>> case.own, case.held.grade
    (False, 'gold')

    Notes
    -----
    *Watch out*: where formula and stores agree, the gelatin wanted is made up;
    ``own`` is then false and the story says so.

    Source: the scheme; what is made up is common practice.
    """
    weighed = _mass(kitchen, "gelatin")
    own = bool(weighed.m)
    mass = weighed if own else q(_EXAMPLE, "g")
    held = Gelatin(kitchen.gelatin_grade, kitchen.gelatin_bloom)
    asked = Gelatin(kitchen.gelatin_wanted, _wanted_bloom(kitchen))
    begins = "Your formula asks for" if own else "Your own glaze holds no gelatin, so take one with"
    begin = f"{begins} {say(mass)} of {asked}"
    alike = asked.bloom == held.bloom or (asked.is_leaf and asked.grade == held.grade)
    if not alike:
        return GelatinCase(mass, asked, held, own, f"{begin}. In stores there is {held}.")
    other = _other_than(held)
    story = (
        f"{begin}, and in stores there is {held}. Nothing has to be swapped "
        f"today. But the next formula asks for {say(mass)} of {other}, and this lesson "
        "takes that one."
    )
    return GelatinCase(mass, other, held, False, story)


def _wanted_bloom(kitchen: Kitchen) -> Quantity:
    if kitchen.gelatin_wanted_bloom is not None:
        return kitchen.gelatin_wanted_bloom
    grade = gelatin.GRADES.get(kitchen.gelatin_wanted)
    return grade.bloom.typical if grade else q(_POWDER_BLOOM, "bloom")


def _other_than(held: Gelatin) -> Gelatin:
    """Return a leaf of another strength: gold, or platinum beside a gold-like one."""
    gold = gelatin.GRADES["gold"].bloom
    name = "platinum" if held.bloom in gold else "gold"
    return Gelatin(name, gelatin.GRADES[name].bloom.typical)


# --- glucose --------------------------------------------------------------------


@dataclass(frozen=True)
class GlucoseCase:
    """The syrup of a glaze, and the tubs it may come from.

    Parameters
    ----------
    mass : quantity
        Glucose syrup that the formula asks for, in g.
    sugar : quantity
        Sugar weighed beside it, in g.
    water : quantity
        Water weighed into the formula, in g.
    wanted : Syrup
        The syrup of the formula.
    wanted_name, held_name : str
        What it is called, and the tub in stores.
    story : str
        What formula and stores say, in a sentence.
    """

    mass: Quantity
    sugar: Quantity
    water: Quantity
    wanted: glucose.Syrup
    wanted_name: str
    held_name: str
    story: str

    @property
    def held(self) -> glucose.Syrup:
        """The syrup in stores."""
        return glucose.TUBS[self.held_name]


NAMES = {
    "confectioner": "a confectioner's tub",
    "light corn": "light corn syrup",
    "home pack": "home packs",
}


@calculator(returns="a syrup and its tubs", kitchen=_KITCHEN)
def glucose_case(kitchen: Kitchen) -> GlucoseCase:
    """Return how much glucose syrup this kitchen's glaze asks for, and of which tub.

    Parameters
    ----------
    kitchen : Kitchen
        With its stores and its formula.

    Returns
    -------
    GlucoseCase
        Masses of syrup, sugar and water, the two syrups, and the story.

    Examples
    --------
    >>> from calculators.kitchen import example_kitchen
    >>> case = glucose_case(example_kitchen())  # 300 g of water, 500 g of sugar
    >>> say(case.sugar), say(case.water), case.held_name
    ('500 g', '300 g', 'confectioner')

    Notes
    -----
    *Watch out*: a glaze without glucose syrup or sugar gets a made-up mass, and the
    story says so.

    Source: the scheme; composition of the syrups: ``data/composition.csv``.
    """
    weighed = _mass(kitchen, "glucose syrup")
    mass = weighed if weighed.m else q(_EXAMPLE_SYRUP, "g")
    sugar = _weighed(kitchen, "sugar")
    wanted, name = _syrup_of(kitchen)
    held = kitchen.glucose
    said = f"{say(mass)} of glucose syrup ({wanted})"
    begins = "Your formula asks for"
    if not weighed.m:
        begins = "Your own glaze holds no glucose syrup, so take one with"
    return GlucoseCase(
        mass,
        sugar if sugar.m else mass,
        _weighed(kitchen, "water"),
        wanted,
        name,
        held,
        f"{begins} {said}. The stores hold {NAMES[held]} ({glucose.TUBS[held]}).",
    )


def _syrup_of(kitchen: Kitchen) -> tuple[glucose.Syrup, str]:
    """Return the syrup that the formula names first; a confectioner's where none."""
    for line in kitchen.formula:
        item = ingredient(line.ingredient)
        if item.kind == "glucose syrup" and item.dextrose_equivalent:
            dry = 100 - item.share("water").typical.m
            degree = item.dextrose_equivalent[1]
            return glucose.Syrup(q(degree, "percent"), q(dry, "percent")), item.name
    return glucose.TUBS["confectioner"], "glucose syrup, confectioner's"


# --- helpers --------------------------------------------------------------------


def _mass(kitchen: Kitchen, kind: str) -> Quantity:
    return _sum(x for x in kitchen.formula if ingredient(x.ingredient).kind == kind)


def _weighed(kitchen: Kitchen, name: str) -> Quantity:
    return _sum(x for x in kitchen.formula if ingredient(x.ingredient).name == name)


def _sum(lines: Iterable[Line]) -> Quantity:
    return q(sum(float(line.mass.m_as("g")) for line in lines), "g")
