"""Who can't eat a formula, and which of its colourants the law allows."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from functools import cache
from types import MappingProxyType

from calculators import safety
from calculators.formula.amounts import FORMULA
from calculators.formula.model import Formula
from calculators.frozen import frozen
from calculators.ingredients import Ingredient
from calculators.sources import records
from calculators.units import calculator

CERTIFIED = ("halal", "kosher")
DIETS = ("vegetarian", "vegan", *CERTIFIED)


# --- who can't eat it ------------------------------------------------------------------------


@frozen
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


@calculator(returns="the allergens, certain ones first", formula=FORMULA)
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


@frozen
class Diet:
    """Whether a diet may eat it: *yes*, *no* or *ask*, and because of what."""

    name: str
    answer: str
    because: tuple[str, ...]


@calculator(returns="an answer for each diet", formula=FORMULA)
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


@calculator(returns="sentences", formula=FORMULA)
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
