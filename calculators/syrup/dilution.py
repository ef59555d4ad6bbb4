"""How much water to boil off or to add, and what two syrups make together."""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

from calculators.faults import Fault, fault_error, refuse
from calculators.syrup.strength import MASS
from calculators.units import InstanceOf, Measure, Quantity, calculator, q, say

SOME_MASS = Measure("g", above=0)
_SHARE = Measure("percent", 0, 100)


@calculator(returns="g", mass=SOME_MASS, brix=_SHARE, wanted=Measure("percent", above=0, high=100))
def water_to_remove(mass: Quantity, brix: Quantity, wanted: Quantity) -> Quantity:
    """Return how much water must boil off to make a syrup as strong as wanted.

    water = mass (1 - brix / wanted)

    Parameters
    ----------
    mass : quantity
        Of the syrup now, above 0 g.
    brix, wanted : quantity
        Strength now, above 0 %, and the higher strength wanted; at most 100 %.

    Returns
    -------
    quantity
        In g, exact: no sugar leaves with the steam.

    Examples
    --------
    >>> print(say(water_to_remove(q(1, "kg"), q(60, "percent"), q(80, "percent"))))
    250 g

    Notes
    -----
    *Watch out*: weigh pan and syrup together before and after; the scale tells
    the strength better than a thermometer.  Source: a balance of masses.
    """
    _some_sugar("water_to_remove", brix)
    if wanted.m < brix.m:
        raise fault_error(
            "water_to_remove, wanted",
            "is weaker than the syrup is now",
            say(wanted, digits=6),
            f"It must be at least {say(brix, digits=6)}",
            "Use water_to_add",
        )
    return q(mass.m * (1 - brix.m / wanted.m), "g")


@calculator(returns="g", mass=SOME_MASS, brix=_SHARE, wanted=Measure("percent", above=0, high=100))
def water_to_add(mass: Quantity, brix: Quantity, wanted: Quantity) -> Quantity:
    """Return how much water thins a syrup to the strength wanted.

    water = mass (brix / wanted - 1)

    Parameters
    ----------
    mass : quantity
        Of the syrup now, above 0 g.
    brix, wanted : quantity
        Strength now, at most 100 %, and the lower strength wanted, above 0 %.

    Returns
    -------
    quantity
        In g, exact.

    Examples
    --------
    >>> print(say(water_to_add(q(800, "g"), q(75, "percent"), q(60, "percent"))))
    200 g

    Notes
    -----
    *Watch out*: water in hot sugar spits.  Take the pan off the heat and add it
    slowly; your local rules and your supervisor come first.
    Source: a balance of masses.
    """
    _some_sugar("water_to_add", brix)
    if wanted.m > brix.m:
        raise fault_error(
            "water_to_add, wanted",
            "is stronger than the syrup is now",
            say(wanted, digits=6),
            f"It must be at most {say(brix, digits=6)}",
            "Use water_to_remove",
        )
    return q(mass.m * (brix.m / wanted.m - 1), "g")


class Blend(NamedTuple):
    """What comes of pouring syrups together: its mass and its strength."""

    mass: Quantity
    brix: Quantity


@calculator(
    returns="a mass and a strength", parts=InstanceOf((list, tuple), "a list of (mass, brix) pairs")
)
def blend(parts: Sequence[tuple[Quantity, Quantity]]) -> Blend:
    """Return the mass and the strength of several syrups poured together.

    brix = sum of mass x brix / sum of mass

    Parameters
    ----------
    parts : list of (mass, brix)
        Mass 0 g or more, strength 0 to 100 %; water is 0 %, dry sugar 100 %.

    Returns
    -------
    Blend
        Its ``mass`` in g and its ``brix`` in percent, exact.

    Examples
    --------
    >>> both = blend([(q(500, "g"), q(70, "percent")), (q(300, "g"), q(30, "percent"))])
    >>> print(say(both.mass), "of", say(both.brix))
    800 g of 55 %

    Notes
    -----
    *Watch out*: average by mass.  Averaging by volume is wrong, since the stronger
    syrup is the heavier.  Source: a balance of masses.
    """
    faults, total, sugar = [], 0.0, 0.0
    for number, part in enumerate(parts, 1):
        where = f"blend, part {number}"
        if not isinstance(part, list | tuple) or len(part) != 2:
            faults.append(
                Fault(
                    where,
                    "is not a pair of mass and brix",
                    repr(part)[:60],
                    "",
                    'Write it like (q(500, "g"), q(70, "percent"))',
                )
            )
            continue
        mass, mass_fault = MASS.check(f"{where}, mass", part[0])
        share, share_fault = _SHARE.check(f"{where}, brix", part[1])
        faults += [fault for fault in (mass_fault, share_fault) if fault]
        if not (mass_fault or share_fault):
            total += mass.m
            sugar += mass.m * share.m
    refuse(faults)
    if total == 0:
        raise fault_error(
            "blend",
            "has nothing in it",
            "0 g",
            "It must be above 0 g",
            "Give a mass above 0 g",
        )
    return Blend(q(total, "g"), q(sugar / total, "percent"))


def _some_sugar(name: str, brix: Quantity) -> None:
    if brix.m == 0:
        raise fault_error(
            f"{name}, brix",
            "is water without sugar",
            say(brix),
            "It must be above 0 %",
            "Weigh sugar in; water alone never gets to a strength",
        )
