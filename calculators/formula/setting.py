"""What makes a formula set, and what to use without animal gelatin."""

from __future__ import annotations

from collections.abc import Mapping
from functools import cache

from calculators.formula.amounts import FORMULA
from calculators.formula.diet import diets
from calculators.formula.model import Formula
from calculators.frozen import frozen
from calculators.sources import DATA
from calculators.units import calculator

# --- what makes it set --------------------------------------------------------------------------


@frozen
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


@calculator(returns="techniques", formula=FORMULA)
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


@calculator(returns="sentences", formula=FORMULA)
def plant_based(formula: Formula) -> tuple[str, ...]:
    """Return what a glaze without animals asks for: another technique, and no swap.

    Parameters
    ----------
    formula : Formula
        The one to be worked out again from the start.

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
