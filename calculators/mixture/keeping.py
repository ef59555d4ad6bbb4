"""How much of a mixture's water is free, and where it begins to freeze."""

from __future__ import annotations

import math

from calculators.faults import fault_error
from calculators.mixture.composition import (
    MIXTURE,
    Mixture,
    known,
)
from calculators.mixture.doubt import activity, scatter, typical
from calculators.mixture.model import solids, value
from calculators.mixture.saturation import lactose_dissolved
from calculators.syrup.keeping import log_ice
from calculators.units import FROM_MEMORY, Band, Measure, Quantity, calculator, q, say, solve

_25_C = q(25, "degC")
_COLDEST = -30.0  # °C; the curve of sucrose ends at -15, and is carried on


@calculator(returns="a band, plain numbers", mixture=MIXTURE, temperature=Measure("degC", 0, 120))
def water_activity(mixture: Mixture, temperature: Quantity = _25_C) -> Band:
    """Return how much of a mixture's water is free for microbes to use, as a band.

    ln aw by UNIQUAC with all sugars in one water, put right by sucrose's own curve

    Parameters
    ----------
    mixture : Mixture
        Up to 95 % sugars beside its water; up to 85 % is measured.
    temperature : quantity
        0 to 120 °C; it matters little.

    Returns
    -------
    Band
        Plain numbers: 1 is pure water.  It holds the three models where each is good, the
        scatter of the data, the salts, and the doubt of the labels.  The high end takes
        the lactose that its water can't keep as crystals, which free water.

    Examples
    --------
    >>> pan = Mixture(q(140, "g"), {"sucrose": q(280, "g")}, [Tub(q(280, "g"))])
    >>> print(say(water_activity(pan).typical, digits=2))
    0.82

    Notes
    -----
    *Watch out*: no water activity that is worked out here relaxes a holding rule: near a
    line is not below it, and only a measurement by a laboratory counts.  Your local rules
    come first.  Hot and cold differ: boil by :func:`boiling_point`, keep by this.

    Source: [peres-macedo1996], [norrish1966] and [vandersman2017], constants from memory;
    [starzak-peacock1997] for sucrose; held against [sloan-labuza1975].
    """
    inside, t = known(mixture, "water_activity"), temperature.m
    share = scatter("cold", solids(inside.parts, inside.water))
    found = activity(inside, t, share)
    high = found.high
    settled = lactose_dissolved(inside, t)
    if settled is not inside:
        strength = solids(settled.parts, settled.water)
        high = max(high, activity(settled, t, scatter("cold", strength)).high)
    return Band.of(
        map(math.exp, (found.low, found.typical, high)),
        "",
        FROM_MEMORY,
        "models and data differ, and so do tubs and salts; worked out, not measured",
    )


@calculator(returns="a band in °C", mixture=MIXTURE)
def freezing_point(mixture: Mixture) -> Band:
    """Return where ice begins to form in a mixture, as a band.

    water activity of the mixture = that of ice, from its heat of melting

    Parameters
    ----------
    mixture : Mixture
        One that begins to freeze above -30 °C.

    Returns
    -------
    Band
        In °C.  The distance from 0 °C is good to 2.5 % for one sugar down to -5 °C;
        below -12 °C every model goes beyond what was measured, and the band opens.

    Examples
    --------
    >>> milk = Mixture(q(871, "g"), milk_solids=q(90, "g"), beside=q(39, "g"))
    >>> print(say(freezing_point(milk).typical, digits=2))
    −0.55 °C

    Notes
    -----
    *Watch out*: this is where freezing begins.  As ice forms the rest gets stronger, and
    a glaze at -18 °C is not frozen through, or not at all.

    Source: as :func:`water_activity`; salts of milk by the sheet of [goff-freezing].
    """
    inside = known(mixture, "freezing_point")

    def melts(t: float) -> float:
        return log_ice(t) - typical(inside, inside.water, t)

    if melts(_COLDEST) > 0:
        raise fault_error(
            "freezing_point, mixture",
            "begins to freeze further down than anybody has measured",
            f"below {say(q(_COLDEST, 'degC'))}",
            f"It must begin to freeze above {say(q(_COLDEST, 'degC'))}",
            "Take it as not freezing in your freezer, or let it down with water",
        )
    t = solve(melts, _COLDEST, 0)
    found = activity(inside, t, value("freezing scatter", "mixture_bench") / 100)
    slope = (log_ice(t + 0.01) - log_ice(t - 0.01)) / 0.02
    limit = value("freezing known to", "mixture_bench")
    more = max(0.0, limit - t) * value("freezing beyond", "mixture_bench")
    beyond = t < limit
    return Band.of(
        (
            t - (found.typical - found.low) / slope - more,
            t,
            min(0.0, t + (found.high - found.typical) / slope + more),
        ),
        "degC",
        FROM_MEMORY,
        f"below {say(q(limit, 'degC'))} every model goes beyond what was measured"
        if beyond
        else "models and data differ, and so do tubs and salts",
    )
