"""How glucose syrup keeps sugar from graining."""

from __future__ import annotations

from calculators.frozen import frozen
from calculators.glucose.tub import BENCH, MASS, SYRUP, Syrup, solids_of
from calculators.units import COMMON_PRACTICE, Measure, Quantity, calculator, q, say

# --- keeping sugar from graining ----------------------------------------------


@frozen
class Graining:
    """How likely a syrup of sugar and glucose is to grain.

    Parameters
    ----------
    share : quantity
        Glucose solids in percent of all sugar: sucrose and glucose solids.
    doctor_ratio : quantity
        Glucose solids to sucrose, a plain number.
    risk : str
        *high*, *some* or *low*.
    reason : str
        Why, and what to do.
    """

    share: Quantity
    doctor_ratio: Quantity
    risk: str
    reason: str
    provenance: str = COMMON_PRACTICE

    def __str__(self) -> str:
        """Return the risk as it is said at the bench."""
        return (
            f"{self.risk.capitalize()} risk of graining: {say(self.share)} of the sugar "
            f"is glucose solids. {self.reason}"
        )


@calculator(
    returns="words, with the share of glucose solids",
    sugar=Measure("g", above=0),
    glucose=MASS,
    syrup=SYRUP,
)
def graining_risk(
    sugar: Quantity, glucose: Quantity, syrup: Syrup | str = "confectioner"
) -> Graining:
    """Return how likely sugar boiled with glucose syrup is to turn to sand.

    ``share = glucose solids / (glucose solids + sugar)``

    Parameters
    ----------
    sugar : quantity
        Sucrose (g, above zero).
    glucose : quantity
        Glucose syrup as weighed (g).
    syrup : Syrup or str
        Which syrup, or the name of a tub in :data:`TUBS`.

    Returns
    -------
    Graining
        The share, the doctor ratio, the risk in a word, and the reason.

    Examples
    --------
    >>> graining_risk(q(300, "g"), q(300, "g")).risk
    'low'

    Notes
    -----
    *Watch out*: the share is of solids, not of what the scale shows. Grain also needs
    a seed: crystals on the pan's wall, a dirty spoon, stirring while it cools. Far
    more glucose than needed makes a sweet sticky in damp air.

    Glucose and invert sugar lift the sugar that 100 g of saturated syrup can hold at
    20 °C from about 67 g to about 75 g [jackson-silsbee1924] (from memory).

    Source: 25 % and more stops graining, and 30 to 40 % in boiled sweets: common
    practice, and so is the lower limit; ``data/glucose_bench.csv``.
    """
    solids = glucose.m * solids_of(syrup) / 100
    share = 100 * solids / (solids + sugar.m)
    stops = BENCH["graining stops"].quantity.m
    likely = BENCH["graining likely"].quantity.m
    if share >= stops:
        risk = "low"
        reason = (
            f"From about {stops:g} % its mixed chains get in the way of sugar crystals. "
            "A clean pan and still cooling are needed all the same."
        )
    elif share >= likely:
        risk = "some"
        reason = (
            f"It slows crystals; about {stops:g} % is what stops them. "
            "Raise the share, or keep the syrup warm and clean and use it soon."
        )
    else:
        risk = "high"
        reason = (
            f"So little hardly gets in the way of sugar crystals; about {stops:g} % is "
            "what stops them."
        )
    return Graining(q(share, "percent"), q(solids / sugar.m), risk, reason)
