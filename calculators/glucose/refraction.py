"""What a refractometer shows of glucose syrup."""

from __future__ import annotations

from calculators.faults import Fault, refuse
from calculators.glucose.tub import SYRUP, Syrup, syrup_of
from calculators.sources import records
from calculators.units import (
    FROM_MEMORY,
    PUBLISHED,
    Band,
    Measure,
    Quantity,
    calculator,
    interpolate,
    q,
    say,
)

_20_C = q(20, "degC")


# --- what an instrument shows -------------------------------------------------

_TEMPERATURES = (20.0, 30.0, 45.0, 60.0)
_MOST_READ = 81.0  # % solids; above it a sucrose scale of 85 % is at its end


@calculator(
    returns="", solids=Measure("percent", 0, _MOST_READ), temperature=Measure("degC", 20, 60)
)
def refractive_index(solids: Quantity, temperature: Quantity = _20_C) -> Quantity:
    """Return how strongly a glucose syrup bends light.

    Read between the rows of the standard: index less that of water, for each percent
    of solids, is nearly straight.

    Parameters
    ----------
    solids : quantity
        0 to 81 %; the rows end at 66, above it the line goes on.
    temperature : quantity
        Of prism and syrup (20 to 60 °C).

    Returns
    -------
    quantity
        A plain number; good to 0.0001 up to 66 % at the temperatures of the table.

    Examples
    --------
    >>> say(refractive_index(q(40, "percent")), digits=6)
    '1.40319'

    Notes
    -----
    *Watch out*: for the ordinary syrup of the standard's first table. One row there
    is a misprint: 1.46768 at 66 % and 45 °C, where the neighbours say 1.45768.

    Source: [iso1743], first table.
    """
    rows = records("glucose_refraction")
    by_heat = []
    for celsius in _TEMPERATURES:
        column = [(float(r["solids"]), float(r[f"at_{celsius:.0f}"])) for r in rows]
        water = column[0][1]
        slopes = [(s, (n - water) / s) for s, n in column[1:]]
        by_heat.append((celsius, water + solids.m * _straight(solids.m, slopes)))
    return q(interpolate(temperature.m, by_heat), "")


@calculator(returns="a band in percent", syrup=SYRUP)
def refractometer_reading(syrup: Syrup | str) -> Band:
    """Return what a sucrose refractometer shows for a glucose syrup at 20 °C.

    The refractive index of the syrup, read on the scale of sucrose.

    Parameters
    ----------
    syrup : Syrup or str
        The syrup (25 to 55 DE, up to 81 % solids), or a tub of :data:`TUBS`.

    Returns
    -------
    Band
        Brix, 0.3 either way up to 66 % solids near 42 DE, else 1; the table ends at
        66 %.

    Examples
    --------
    >>> print(say(refractometer_reading("home pack").typical))
    62.5 %

    Notes
    -----
    *Watch out*: it reads some 4 % too high, so a tub looks stronger than it is. Thin
    a tub with its own weight of water, read, and double. Syrups of high dextrose
    equivalent read true or a little low: they are refused, not guessed.

    Source: [iso1743], first table; the sucrose scale of [icumsa-sps3].
    """
    from calculators.syrup import brix_from_refractive_index

    held = syrup_of(syrup)
    equivalent, solids = held.dextrose_equivalent.m, held.solids.m
    faults = []
    if not 25 <= equivalent <= 55:
        faults.append(
            Fault(
                "refractometer_reading, syrup",
                "has a dextrose equivalent that the table does not speak for",
                say(held.dextrose_equivalent, digits=6),
                "It must be from 25 to 55 %",
                "Take the solids from the label",
            )
        )
    if solids > _MOST_READ:
        faults.append(
            Fault(
                "refractometer_reading, syrup",
                "is off the scale",
                say(held.solids, digits=6),
                f"It must be at most {_MOST_READ:g} % solids",
                "Thin it with its own weight of water, read, and double",
            )
        )
    refuse(faults)
    reading = brix_from_refractive_index(refractive_index(held.solids)).m
    sure = solids <= 66 and 38 <= equivalent <= 46
    either_way = 0.3 if sure else 1.0
    return Band.of(
        (max(reading - either_way, 0), reading, reading + either_way),
        "percent",
        PUBLISHED if sure else FROM_MEMORY,
        "the table's own precision"
        if sure
        else "beyond the table: 66 % solids, and a syrup near 42 DE",
    )


def _straight(x: float, points: list[tuple[float, float]]) -> float:
    """Return y at x, going on in the end's own direction beyond the points."""
    if x < points[0][0]:
        (x0, y0), (x1, y1) = points[:2]
    elif x > points[-1][0]:
        (x0, y0), (x1, y1) = points[-2:]
    else:
        return interpolate(x, points)
    return y0 + (y1 - y0) * (x - x0) / (x1 - x0)
