"""How much gelatin sets it, and what spoils the set.

Grades and bloom, one gelatin for another, soaking, warming, and the heat, acid and
fresh fruit that take the set away.

Two rules of swapping live side by side in the trade, and they disagree.  *Leaf for
leaf* keeps mass times bloom: leaves are sold so that one leaf replaces one leaf.  The
*square root* keeps concentration squared times bloom: how strength really grows, and
the rule for powder.  This module follows the square root unless it is told otherwise,
and whoever shows a number shows :func:`rule_in_words` with it.

Two independent published tables exist here for the bloom test only
([bloom-test] and JIS K6503, one method); bromelain is published by two laboratories
([sriwatanapongse2000], [jutamongkon2010]).  What heat, acid and time cost, and where gels melt, is from
memory: those answers are bands.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from calculators.faults import refuse
from calculators.sources import Row, records, table
from calculators.units import (
    COMMON_PRACTICE,
    FROM_MEMORY,
    PUBLISHED,
    Band,
    Measure,
    OneOf,
    Quantity,
    interpolate,
    number,
    q,
    say,
    takes,
)
from calculators.water import GAS_CONSTANT, KELVIN

BENCH = table("gelatin_bench")
BLOOM_TEST = table("gelatin_bloom_test")
_GAS = GAS_CONSTANT / 1000  # kJ/mol/K

SQUARE_ROOT = "square root"
LEAF_FOR_LEAF = "leaf for leaf"
_RULES = {
    SQUARE_ROOT: "Square root: mass times the square root of bloom stays the same, "
    "as the strength of powder grows with the square of its concentration.",
    LEAF_FOR_LEAF: "Leaf for leaf: mass times bloom stays the same, as leaves are sold.",
}
RULES = tuple(_RULES)

_BLOOM = Measure("bloom", 50, 300)
_MASS = Measure("g", 0)
_NEUTRAL = q(6.0)  # pH at which strength is kept best, 6 to 8
_TEST_SHARE = 100 * (
    BLOOM_TEST["gelatin"].quantity.m
    / (BLOOM_TEST["gelatin"].quantity.m + BLOOM_TEST["water"].quantity.m)
)  # 6.67 % by mass


def _band(row: Row) -> Band:
    low, high = _ends(row)
    return Band(q(low, row.unit), row.quantity, q(high, row.unit), row.provenance, row.note)


def _ends(row: Row) -> tuple[float, float]:
    if row.low is None or row.high is None:
        raise refuse(row.name, "has no band in the table")
    return row.low, row.high


@dataclass(frozen=True)
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
        _band(table("gelatin_grades")[f"{name} leaf mass"]),
        _band(table("gelatin_grades")[f"{name} bloom"]),
    )
    for name in ("bronze", "silver", "gold", "platinum", "titanium")
}
SOAK_RATIO = _band(BENCH["soaking ratio"])

_GRADE = OneOf(*GRADES)


# --- one gelatin for another --------------------------------------------------


@takes("a sentence", rule=OneOf(*RULES))
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


@takes("g", mass=_MASS, wanted_bloom=_BLOOM, held_bloom=_BLOOM, rule=OneOf(*RULES))
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

    Source: square root: rule of the makers' institutes, from memory. Leaf for leaf:
    common practice, no source.
    """
    ratio = wanted_bloom.m / held_bloom.m
    return q(mass.m * (math.sqrt(ratio) if rule == SQUARE_ROOT else ratio), "g")


@takes("leaf", mass=_MASS, grade=_GRADE)
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

    Source: leaf masses: common practice (titanium from memory);
    ``data/gelatin_grades.csv``.
    """
    return q(mass.m / GRADES[grade].leaf_mass.typical.m, "leaf")


@takes("g", leaves=Measure("leaf", 0), grade=_GRADE)
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

    Source: leaf masses: common practice (titanium from memory);
    ``data/gelatin_grades.csv``.
    """
    return q(leaves.m * GRADES[grade].leaf_mass.typical.m, "g")


@dataclass(frozen=True)
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


@takes(
    "leaves, masses and how well the convention holds",
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
    others, and titanium (from memory) more: for these weigh, and use :func:`swap`.

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


# --- soaking, and the water it brings -----------------------------------------


@takes("g", mass=_MASS, ratio=Measure("", 3, 12))
def soak(mass: Quantity, ratio: Quantity = SOAK_RATIO.typical) -> Quantity:
    """Return the cold water in which gelatin is soaked.

    ``water = ratio * gelatin``

    Parameters
    ----------
    mass : quantity
        Dry gelatin (g).
    ratio : quantity
        Water to gelatin (3 to 12); by default 5, and 5 to 6 is usual.

    Returns
    -------
    quantity
        Mass of water in g; all of it goes into the formula with the gelatin.

    Examples
    --------
    >>> say(soak(q(12, "g")))
    '60 g'
    >>> say(soak(q(12, "g"), 6))
    '72 g'

    Notes
    -----
    *Watch out*: powder takes up exactly the water you weigh. Leaves in a bowl take
    what they like: see :func:`pick_up`, or weigh them (:func:`soaked_water`). Either
    way this water belongs to the formula. Soak cold, or gelatin goes away with the
    water.

    Source: common practice; ``data/gelatin_bench.csv``.
    """
    return q(mass.m * ratio.m, "g")


@takes("a band in g", mass=_MASS)
def pick_up(mass: Quantity) -> Band:
    """Return the water that leaves carry over from a bowl after squeezing.

    ``water = ratio * dry gelatin``, with a ratio from 5 to 10.

    Parameters
    ----------
    mass : quantity
        Dry leaves (g).

    Returns
    -------
    Band
        Water in g: low, typical and high.

    Examples
    --------
    >>> print(pick_up(q(12, "g")))
    60 g to 120 g, typically 66 g

    Notes
    -----
    *Watch out*: a band this wide is a reason to weigh: see :func:`soaked_water`.

    Source: common practice, makers' data; ``data/gelatin_bench.csv``.
    """
    ratio = _band(BENCH["pick-up of a squeezed leaf"])
    return Band(
        q(mass.m * ratio.low.m, "g"),
        q(mass.m * ratio.typical.m, "g"),
        q(mass.m * ratio.high.m, "g"),
        COMMON_PRACTICE,
        ratio.why,
    )


@takes("g", dry=_MASS, soaked=_MASS)
def soaked_water(dry: Quantity, soaked: Quantity) -> Quantity:
    """Return the water that soaked leaves bring into a formula, by two weighings.

    ``water = soaked - dry``

    Parameters
    ----------
    dry : quantity
        Leaves before soaking (g).
    soaked : quantity
        The same leaves soaked and squeezed (g).

    Returns
    -------
    quantity
        Water in g, as good as the scale.

    Examples
    --------
    >>> say(soaked_water(q(12, "g"), q(76, "g")))
    '64 g'

    Notes
    -----
    *Watch out*: take this much water off the formula, unless the formula counts it
    already.

    Source: a balance of masses.
    """
    if soaked.m < dry.m:
        raise refuse(
            "soaked_water, soaked",
            "weighs less than the dry gelatin",
            say(soaked, digits=6),
            f"It must be at least {say(dry, digits=6)}",
            "Check which weighing is which",
        )
    return q(soaked.m - dry.m, "g")


@takes("g", block=_MASS, ratio=Measure("", 3, 12))
def gelatin_in_mass(block: Quantity, ratio: Quantity = SOAK_RATIO.typical) -> Quantity:
    """Return the dry gelatin in a set block of soaked gelatin (*gelatin mass*).

    ``gelatin = block / (1 + ratio)``

    Parameters
    ----------
    block : quantity
        Gelatin mass weighed off the block (g).
    ratio : quantity
        Water to gelatin when it was made (3 to 12); by default 5.

    Returns
    -------
    quantity
        Dry gelatin in g.

    Examples
    --------
    >>> say(gelatin_in_mass(q(90, "g")))
    '15 g'

    Notes
    -----
    *Watch out*: a formula that says *gelatin mass* and one that says *gelatin* differ
    six times.

    Source: a balance of masses; the ratio is common practice.
    """
    return q(block.m / (1 + ratio.m), "g")


# --- how much gelatin is in it, and how firm it sets --------------------------


@takes("percent", gelatin=Measure("g", 0), water=Measure("g", above=0))
def solution(gelatin: Quantity, water: Quantity) -> Quantity:
    """Return the concentration of gelatin dissolved in water.

    ``concentration = 100 * gelatin / (gelatin + water)``

    Parameters
    ----------
    gelatin : quantity
        Dry gelatin (g).
    water : quantity
        All the water, that of soaking included (g, above nought).

    Returns
    -------
    quantity
        Percent by mass of the whole.

    Examples
    --------
    The jar of the bloom test:

    >>> say(solution(q(7.5, "g"), q(105, "g")))
    '6.67 %'

    Notes
    -----
    *Watch out*: of the *whole*, not of the water: 7.5 g on 105 g is 6.67 % and not
    7.14 %.

    Source: definition; the jar is that of [bloom-test].
    """
    return q(100 * gelatin.m / (gelatin.m + water.m), "percent")


@takes("g", water=_MASS, concentration=Measure("percent", 0, 50))
def gelatin_for(water: Quantity, concentration: Quantity) -> Quantity:
    """Return the gelatin that brings water to a concentration.

    ``gelatin = water * c / (100 - c)``

    Parameters
    ----------
    water : quantity
        All the water (g).
    concentration : quantity
        Gelatin in percent of the whole (0 to 50 %).

    Returns
    -------
    quantity
        Dry gelatin in g.

    Examples
    --------
    >>> say(gelatin_for(q(485, "g"), q(3, "percent")))
    '15 g'

    Notes
    -----
    *Watch out*: 3 % of the whole is a little more than 3 g for each 100 g of water.

    Source: definition; the inverse of :func:`solution`.
    """
    return q(water.m * concentration.m / (100 - concentration.m), "g")


@takes("g", gelatin=_MASS, concentration=Measure("percent", 0.1, 50))
def water_for(gelatin: Quantity, concentration: Quantity) -> Quantity:
    """Return the water that brings gelatin to a concentration.

    ``water = gelatin * (100 - c) / c``

    Parameters
    ----------
    gelatin : quantity
        Dry gelatin (g).
    concentration : quantity
        Gelatin in percent of the whole (0.1 to 50 %).

    Returns
    -------
    quantity
        All the water, that of soaking included, in g.

    Examples
    --------
    >>> say(water_for(q(15, "g"), q(3, "percent")))
    '485 g'

    Notes
    -----
    *Watch out*: the soaking water is part of it, not on top of it.

    Source: definition; the inverse of :func:`solution`.
    """
    return q(gelatin.m * (100 - concentration.m) / concentration.m, "g")


@takes("a band in bloom", concentration=Measure("percent", 0.5, 15), bloom=_BLOOM)
def gel_strength(concentration: Quantity, bloom: Quantity) -> Band:
    """Return how firm a gel sets, as the bloom that would feel the same in the test.

    ``strength = bloom * (c / 6.67 %) ** n``, n = 2 by the rule and 1.7 to 2.0 measured.

    Parameters
    ----------
    concentration : quantity
        Gelatin in percent of the whole (0.5 to 15 %).
    bloom : quantity
        Bloom of the gelatin (50 to 300 bloom).

    Returns
    -------
    Band
        In bloom; *typical* is the rule's own number (n = 2).

    Examples
    --------
    Half the concentration leaves a quarter of the strength:

    >>> say(gel_strength(q(10 / 3, "percent"), q(250, "bloom")).typical)
    '62.5 bloom'

    Notes
    -----
    *Watch out*: twice the gelatin is about four times as firm, not twice. Water gels
    at 10 °C after 17 hours; sugar, milk and fat in a glaze move the number.

    Source: 6.67 %: [bloom-test]. Rule and exponent: from memory.
    """
    power = BENCH["strength exponent"]
    share = concentration.m / _TEST_SHARE
    ends = sorted(bloom.m * share**n for n in _ends(power))
    return Band(
        q(ends[0], "bloom"),
        q(bloom.m * share**power.quantity.m, "bloom"),
        q(ends[1], "bloom"),
        FROM_MEMORY,
        "the exponent is 2 by the rule and 1.7 to 2.0 when measured",
    )


# --- heat, acid and time ------------------------------------------------------


@takes(
    "a band in percent",
    temperature=Measure("degC", 20, 105),
    time=Measure("h", 0, 24),
    acidity=Measure("", 2, 8),
)
def strength_left(temperature: Quantity, time: Quantity, acidity: Quantity = _NEUTRAL) -> Band:
    """Return what is left of the strength after time in the heat.

    ``strength left = exp(-k * time)``; k grows with heat (Arrhenius) and in acid.

    Parameters
    ----------
    temperature : quantity
        Of the base with the gelatin in it (20 to 105 °C).
    time : quantity
        How long it stays there (0 to 24 h).
    acidity : quantity
        pH, a plain number (2 to 8); a milk base is near 6.5, a fruit base 3 to 4.

    Returns
    -------
    Band
        Percent of the strength at the start.  From memory: it tells which way and
        roughly how far, and is no number to build a formula on.

    Examples
    --------
    >>> print(strength_left(q(80, "degC"), q(30, "min")))
    95.1 % to 97.5 %, typically 96.3 %

    Notes
    -----
    *Watch out*: it is a slope and not a cliff: at 85 °C a set is not dead, at 60 °C
    for a day it is weaker. Put acid in late and cool. Between pH 5 and 8 nothing
    changes here, as nothing surer is known; below pH 3 it is at least as bad as at 3.

    Source: rates, activation energy and acid factor: from memory,
    ``data/gelatin_bench.csv``.
    """
    losses = _losses(temperature.m, acidity.m)
    left = [100 * math.exp(-rate * time.m) for rate in losses]
    return Band(
        q(left[2], "percent"),
        q(left[1], "percent"),
        q(left[0], "percent"),
        FROM_MEMORY,
        "rates of loss differ between gelatins and are remembered, not read",
    )


def _losses(celsius: float, acidity: float) -> tuple[float, float, float]:
    """Return low, typical and high rates of loss, each per hour."""
    rate, energy, sour = (BENCH[name] for name in ("loss rate", "activation energy", "sour factor"))
    colder = 1 / (80 + KELVIN) - 1 / (celsius + KELVIN)  # the rate is at 80 °C
    sourness = min(max(5 - acidity, 0), 2) / 2  # nought at pH 5, one at pH 3

    def loss(k: float, e: float, f: float) -> float:
        return k * math.exp(e / _GAS * colder) * f**sourness

    slow, fast = _ends(rate)
    little, much = _ends(sour)
    return (
        min(loss(slow, e, little) for e in _ends(energy)),
        loss(rate.quantity.m, energy.quantity.m, sour.quantity.m),
        max(loss(fast, e, much) for e in _ends(energy)),
    )


@dataclass(frozen=True)
class Verdict:
    """Whether a base is right for stirring gelatin in, and why.

    Parameters
    ----------
    good : bool
        Yes or no.
    reason : str
        Why, and what to do.
    lowest, highest : quantity
        The limits at both ends, in °C; guide values.
    """

    good: bool
    reason: str
    lowest: Quantity
    highest: Quantity
    provenance: str = COMMON_PRACTICE

    def __bool__(self) -> bool:
        """Return yes or no."""
        return self.good

    def __str__(self) -> str:
        """Return the verdict as it is said at the bench."""
        return f"{'Yes' if self.good else 'No'}. {self.reason}"


@takes("yes or no, with the reason and both limits", temperature=Measure("degC", 0, 150))
def good_for_gelatin(temperature: Quantity) -> Verdict:
    """Tell whether a base is at the right temperature for stirring in soaked gelatin.

    From 50 to 80 °C, both guide values.

    Parameters
    ----------
    temperature : quantity
        Of the base (0 to 150 °C).

    Returns
    -------
    Verdict
        Yes or no, the reason, and the limits at both ends.

    Examples
    --------
    >>> print(good_for_gelatin(q(60, "degC")))
    Yes. Warm enough to dissolve the gelatin, and not so hot that it weakens quickly. Stir until no streak is left.
    >>> good_for_gelatin(q(92, "degC")).good
    False

    Notes
    -----
    *Watch out*: the upper limit is no cliff: gelatin that went in at 85 °C is weaker
    and not dead. A base at 80 °C scalds, and sugar sticks: do not test it with a
    finger. Your local rules and your supervisor come first.

    Source: common practice; ``data/gelatin_bench.csv``.
    """
    lowest = BENCH["dissolving"].quantity
    highest = BENCH["begins to lose"].quantity
    melts = BENCH["gel melts"].quantity
    if temperature.m > highest.m:
        reason = (
            f"Above about {say(highest)} gelatin begins to lose strength, faster the hotter "
            "and the more sour it is. Let the base cool first. If the gelatin is already in, "
            "cool the base now and try the set on a cold plate."
        )
    elif temperature.m < melts.m:
        reason = (
            f"Below about {say(melts)} soaked gelatin does not melt and stays in lumps. "
            "Warm the base, or melt the gelatin in a little of it."
        )
    elif temperature.m < lowest.m:
        reason = (
            "Soaked gelatin melts here, but slowly, and streaks stay behind. "
            f"Warm the base to {say(lowest)} or more, or melt the gelatin first."
        )
    else:
        reason = (
            "Warm enough to dissolve the gelatin, and not so hot that it weakens "
            "quickly. Stir until no streak is left."
        )
    return Verdict(lowest.m <= temperature.m <= highest.m, reason, lowest, highest)


# --- melting and setting ------------------------------------------------------

_BLOOMS = (100.0, 150.0, 200.0, 250.0)
_GEL = {"concentration": Measure("percent", 1, 15), "bloom": Measure("bloom", 100, 250)}


@takes("a band in °C", **_GEL)
def melting_point(concentration: Quantity, bloom: Quantity) -> Band:
    """Return where a gelatin gel melts.

    ``1/T = 1/T10 - (R/H) * ln(c / 10 %)``, in kelvin; T10 is the point at 10 %.

    Parameters
    ----------
    concentration : quantity
        Gelatin in percent of the whole (1 to 15 %).
    bloom : quantity
        Bloom of the gelatin (100 to 250 bloom).

    Returns
    -------
    Band
        In °C, for water; from memory, about 3 °C either way.

    Examples
    --------
    >>> print(melting_point(q(10, "percent"), q(200, "bloom")))
    29 °C to 33 °C, typically 31 °C

    Notes
    -----
    *Watch out*: sources disagree for weak gels: this equation puts a 2 % gel 5 °C
    below a 10 % gel, bench memory says 1 to 3 °C. The equation is followed; the top
    of the band leans towards the bench. Much sugar raises the point by 1 to 3 °C,
    which is not counted.

    Source: form: [eldridge-ferry1954]; its 200 to 230 kJ/mol and the points at 10 %:
    from memory, ``data/gelatin_melting.csv``.
    """
    return _gel_point("melts", concentration.m, bloom.m)


@takes("a band in °C", **_GEL)
def setting_point(concentration: Quantity, bloom: Quantity) -> Band:
    """Return where a gelatin solution begins to set when it cools slowly.

    ``1/T = 1/T10 - (R/H) * ln(c / 10 %)``, in kelvin; T10 is the point at 10 %.

    Parameters
    ----------
    concentration : quantity
        Gelatin in percent of the whole (1 to 15 %).
    bloom : quantity
        Bloom of the gelatin (100 to 250 bloom).

    Returns
    -------
    Band
        In °C, for water; from memory, about 3 °C either way.

    Examples
    --------
    >>> print(setting_point(q(10, "percent"), q(200, "bloom")))
    22 °C to 26 °C, typically 24 °C

    Notes
    -----
    *Watch out*: it sets several degrees below where it melts, and lower still when
    cooled fast. The same change with concentration is assumed for both points.

    Source: form: [eldridge-ferry1954]; numbers from memory,
    ``data/gelatin_melting.csv``.
    """
    return _gel_point("sets", concentration.m, bloom.m)


def _gel_point(what: str, percent: float, bloom: float) -> Band:
    rows = [table("gelatin_melting")[f"{b:.0f} bloom {what}"] for b in _BLOOMS]
    heat = BENCH["melting enthalpy"]

    def at(ten_percent: list[float], kilojoules: float) -> float:
        celsius = interpolate(bloom, list(zip(_BLOOMS, ten_percent, strict=True)))
        shift = _GAS / kilojoules * math.log(percent / 10)
        return 1 / (1 / (celsius + KELVIN) - shift) - KELVIN

    lows, highs = ([_ends(row)[n] for row in rows] for n in (0, 1))
    return Band(
        q(min(at(lows, h) for h in _ends(heat)), "degC"),
        q(at([row.quantity.m for row in rows], heat.quantity.m), "degC"),
        q(max(at(highs, h) for h in _ends(heat)), "degC"),
        FROM_MEMORY,
        "gelatins of one bloom differ, and sugar raises the point by 1 to 3 °C",
    )


# --- fresh fruit --------------------------------------------------------------


@dataclass(frozen=True)
class Fruit:
    """A fruit whose juice cuts gelatin while it is fresh.

    Parameters
    ----------
    name, enzyme : str
        The fruit, and what cuts.
    published : bool
        Whether a half-life in heat is known to us from a publication.
    note : str
        What is said of it, from memory where nothing is published.
    """

    name: str
    enzyme: str
    published: bool
    note: str


FRUITS: dict[str, Fruit] = {
    row["fruit"]: Fruit(row["fruit"], row["enzyme"], row["provenance"] == PUBLISHED, row["note"])
    for row in records("gelatin_fruit")
}


@takes("a band in min", fruit=OneOf(*FRUITS), temperature=Measure("degC", 50, 80))
def enzyme_half_life(fruit: str, temperature: Quantity) -> Band:
    """Return how long half of a fresh juice's enzyme lasts at a temperature.

    ``half-life = ln 2 / k``, ``k = 1.37e50 * exp(-3.26e5 / (R*T))`` per minute.

    Parameters
    ----------
    fruit : str
        Pineapple; the others of :data:`FRUITS` are refused, with the reason.
    temperature : quantity
        Of the juice (50 to 80 °C).

    Returns
    -------
    Band
        In minutes.  From 55 to 67 °C, where it was measured, a factor of 1.5 either
        way (from memory); beyond, the band opens with the second laboratory's doubt
        of the activation energy, 313 kJ/mol give or take 57: a factor of nearly 4 at
        80 °C.

    Examples
    --------
    >>> say(enzyme_half_life("pineapple", q(60, "degC")).typical, "min")
    '6.56 min'
    >>> print(enzyme_half_life("pineapple", q(75, "degC")))
    0.0191 min to 0.109 min, typically 0.0412 min

    Notes
    -----
    *Watch out*: half is not none: ten half-lives leave a thousandth. Fruits and
    extracts differ by more than this band: one laboratory needed eight minutes at
    80 °C until almost none was left. At the bench boil fresh juice for one to two
    minutes, let it cool, then add gelatin, and set a spoonful first. Canned fruit is
    boiled already.

    Source: [sriwatanapongse2000] and, for the band beyond, [jutamongkon2010]; both
    read as abstracts.
    """
    entry = FRUITS[fruit]
    if not entry.published:
        raise refuse(
            "enzyme_half_life, fruit",
            f"has no published half-life known to us ({entry.enzyme})",
            fruit,
            "Only pineapple is published" + (f". From memory: {entry.note}" if entry.note else ""),
            "Boil the fresh juice for one to two minutes before gelatin goes in",
        )
    celsius = temperature.m
    half = _bromelain_half_life(celsius)
    nearest = min(max(celsius, _MEASURED[0]), _MEASURED[1])
    at_the_edge = _bromelain_half_life(nearest)
    colder = 1 / (celsius + KELVIN) - 1 / (nearest + KELVIN)
    carried = [
        math.exp(energy / _GAS * colder)
        for energy in _ends(BENCH["activation energy of bromelain"])
    ]
    return Band(
        q(at_the_edge / 1.5 * min(carried), "min"),
        q(half, "min"),
        q(at_the_edge * 1.5 * max(carried), "min"),
        PUBLISHED,
        "measured in juice by one laboratory; fruits differ"
        if celsius == nearest
        else f"extrapolated to {number(celsius)} °C from 55 to 67 °C; fruits differ",
    )


_MEASURED = (55.0, 67.0)  # °C, [sriwatanapongse2000]


def _bromelain_half_life(celsius: float) -> float:
    """Return the half-life in minutes by the published constants."""
    energy = BENCH["activation energy of bromelain"].quantity.m
    rate = 1.37e50 * math.exp(-energy / (_GAS * (celsius + KELVIN)))
    return math.log(2) / rate
