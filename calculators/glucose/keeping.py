"""How glucose syrup flows, freezes, dries and keeps."""

from __future__ import annotations

import math

from calculators.faults import fault_error
from calculators.glucose.tub import (
    BENCH,
    SYRUP,
    Syrup,
    syrup_of,
)
from calculators.sources import records
from calculators.units import (
    FROM_MEMORY,
    Band,
    Measure,
    Quantity,
    calculator,
    interpolate,
)
from calculators.water import KELVIN

# --- how it flows, freezes, dries and keeps -----------------------------------


@calculator(returns="a band in Pa s", syrup=SYRUP, temperature=Measure("degC", 27, 71))
def viscosity(syrup: Syrup | str, temperature: Quantity) -> Band:
    """Return how thick a confectioner's glucose syrup is.

    Read between remembered points, straight in ln(viscosity) against 1/T.

    Parameters
    ----------
    syrup : Syrup or str
        About 80 % solids (79 to 81.5) and 42 DE (38 to 46), or a tub of that kind.
    temperature : quantity
        Of the syrup (27 to 71 °C).

    Returns
    -------
    Band
        In Pa s, a factor of two either way; from memory.

    Examples
    --------
    >>> say(viscosity("confectioner", q(60, "degC")).typical)
    '2 Pa s'

    Notes
    -----
    *Watch out*: from 27 to 60 °C it gets nearly thirty times thinner. Warm the tub in
    a water bath rather than wet the spoon.

    Source: from memory; ``data/glucose_viscosity.csv``.
    """
    held = syrup_of(syrup)
    known = 79 <= held.solids.m <= 81.5 and 38 <= held.dextrose_equivalent.m <= 46
    if not known:
        raise fault_error(
            "viscosity, syrup",
            "is not one whose thickness we know",
            held,
            "It must be of 79 to 81.5 % solids and 38 to 46 DE",
            "Ask the maker for its data sheet",
        )
    points = sorted(
        (1 / (float(r["celsius"]) + KELVIN), math.log(float(r["viscosity"])))
        for r in records("glucose_viscosity")
    )
    inverse = min(max(1 / (temperature.m + KELVIN), points[0][0]), points[-1][0])
    typical = math.exp(interpolate(inverse, points))
    factor = BENCH["viscosity factor"].quantity.m
    ends = (typical / factor, typical, typical * factor)
    return Band.of(ends, "Pa*s", FROM_MEMORY, BENCH["viscosity factor"].note)


# --- helpers ------------------------------------------------------------------
