"""How much water gelatin soaks up, and what it brings into a formula."""

from __future__ import annotations

from calculators.faults import fault_error
from calculators.gelatin.grades import BENCH, MASS, SOAK_RATIO
from calculators.units import Band, Measure, Quantity, calculator, q, say

# --- soaking, and the water it brings -----------------------------------------


@calculator(returns="g", mass=MASS, ratio=Measure("", 3, 12))
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


@calculator(returns="a band in g", mass=MASS)
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
    row = BENCH["pick-up of a squeezed leaf"]
    return Band.of((mass.m * times for times in row.three), "g", row.provenance, row.note)


@calculator(returns="g", dry=MASS, soaked=MASS)
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
        raise fault_error(
            "soaked_water, soaked",
            "weighs less than the dry gelatin",
            say(soaked, digits=6),
            f"It must be at least {say(dry, digits=6)}",
            "Check which weighing is which",
        )
    return q(soaked.m - dry.m, "g")


@calculator(returns="g", block=MASS, ratio=Measure("", 3, 12))
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
