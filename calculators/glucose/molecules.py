"""What the dextrose equivalent says of the molecules, and how sweet they are."""

from __future__ import annotations

from calculators.faults import fault_error
from calculators.glucose.tub import GLUCOSE, SYRUP, Syrup, syrup_of
from calculators.sources import table
from calculators.units import (
    FROM_MEMORY,
    Band,
    Measure,
    OneOf,
    Quantity,
    calculator,
    interpolate,
    q,
    say,
)

# --- what the dextrose equivalent tells ---------------------------------------


@calculator(returns="g/mol", dextrose_equivalent=Measure("percent", 0.9, 100))
def mean_molar_mass(dextrose_equivalent: Quantity) -> Quantity:
    """Return the mean mass of the molecules in the solids.

    ``molar mass = 100 * 180.16 / DE``: each chain has one end that counts.

    Parameters
    ----------
    dextrose_equivalent : quantity
        0.9 to 100 %.

    Returns
    -------
    quantity
        In g/mol, number average; up to 10 % too low, see below.

    Examples
    --------
    >>> say(mean_molar_mass(q(42, "percent")))
    '429 g/mol'

    Notes
    -----
    *Watch out*: the label's figure is *measured*, by reducing copper, and long chains
    reduce a little more than theory allows: maltose measures about 58 (from memory)
    where theory says 52.6. The true mean is then up to 10 % higher. This module
    follows theory. The rule *DE times chain length is 120* is a rough one: theory
    gives 100 for single glucose, rising to 111 for long chains.

    Source: definition of the dextrose equivalent; provenance from memory.
    """
    return q(100 * GLUCOSE / dextrose_equivalent.m, "g/mol")


@calculator(returns="percent", molar_mass=Measure("g/mol", 180, 20000))
def dextrose_equivalent(molar_mass: Quantity) -> Quantity:
    """Return the dextrose equivalent that theory gives for a molar mass.

    ``DE = 100 * 180.16 / molar mass``

    Parameters
    ----------
    molar_mass : quantity
        Number average (180 to 20,000 g/mol); 180 is single glucose, rounded.

    Returns
    -------
    quantity
        In percent; measured values run up to 10 % higher.

    Examples
    --------
    Maltose:

    >>> print(say(dextrose_equivalent(q(342.30, "g/mol"))))
    52.6 %

    Notes
    -----
    *Watch out*: theory, not the laboratory: see :func:`mean_molar_mass`.

    Source: definition.
    """
    return q(min(100 * GLUCOSE / molar_mass.m, 100.0), "percent")


@calculator(returns="a band in percent of sucrose", syrup=SYRUP, of=OneOf("solids", "tub"))
def sweetness(syrup: Syrup | str, of: str = "solids") -> Band:
    """Return how sweet a glucose syrup is beside the same weight of sugar.

    Read between the rows of a table by dextrose equivalent; for the tub, times its
    solids.

    Parameters
    ----------
    syrup : Syrup or str
        The syrup (20 to 100 DE), or the name of a tub in :data:`TUBS`.
    of : str
        ``"solids"`` (the trade's figure) or ``"tub"`` (as weighed, with its water).

    Returns
    -------
    Band
        Percent of sucrose; from memory.

    Examples
    --------
    >>> print(sweetness("confectioner"))
    40 % to 60 %, typically 50 %

    Notes
    -----
    *Watch out*: trade tables speak of solids. The tub is a fifth less sweet again.

    Source: ``data/glucose_sweetness.csv``: [bender-dictionary] for pure glucose,
    trade tables from memory for the rest.
    """
    held = syrup_of(syrup)
    equivalent = held.dextrose_equivalent.m
    if equivalent < 20:
        raise fault_error(
            "sweetness, syrup",
            "has a dextrose equivalent below our table",
            say(held.dextrose_equivalent, digits=6),
            "It must be from 20 to 100 %",
            "Count it as hardly sweet",
        )
    rows = table("glucose_sweetness")
    known = [(de, rows[f"solids of {de} DE"]) for de in (20, 42, 63)]
    known.append((100, rows["glucose"]))
    share = held.solids.m / 100 if of == "tub" else 1.0
    ends = (
        interpolate(equivalent, [(de, getattr(row, end)) for de, row in known]) * share
        for end in ("low", "value", "high")
    )
    why = "sweetness is tasted: sources differ by 15 % and more"
    return Band.of(ends, "percent", FROM_MEMORY, why)
