"""How thick the serum of a mixture is: its water with its sugars, without gelatin and fat."""

from __future__ import annotations

import math

from calculators import syrup
from calculators.faults import fault_error
from calculators.mixture.composition import (
    MIXTURE,
    Inside,
    Mixture,
    known,
)
from calculators.mixture.model import Parts, solids, value
from calculators.units import FROM_MEMORY, Band, Measure, Quantity, calculator, interpolate, q, say

_20_C = q(20, "degC")
_STRONGEST = 85.0  # percent; beyond it nobody measures a syrup that flows
_SCATTER = ((0.0, 0.15), (20.0, 0.05), (60.0, 0.05), (100.0, 0.10))  # of syrup.viscosity


@calculator(returns="a band in mPa s", mixture=MIXTURE, temperature=Measure("degC", 0, 100))
def viscosity(mixture: Mixture, temperature: Quantity = _20_C) -> Band:
    """Return how thick the serum of a mixture is, as a band.

    ln(viscosity) = mean of the sugars' own at the same total solids, by their masses

    Parameters
    ----------
    mixture : Mixture
        At most 85 % sugars beside its water.
    temperature : quantity
        0 to 100 °C.

    Returns
    -------
    Band
        In mPa s: one sugar is good to 5 % from 20 to 60 °C, a mixture to 15 %, a tub known
        by its dextrose equivalent alone to a factor of 1.4.

    Examples
    --------
    >>> invert = Mixture(q(40, "g"), {"glucose": q(30, "g"), "sucrose": q(30, "g")})
    >>> print(say(viscosity(invert).typical, digits=2))
    48 mPa s

    Notes
    -----
    *Watch out*: a glaze is far thicker than its serum: gelatin and fat come on top.

    Each sugar flows as sucrose of a somewhat other strength does (``syrup.viscosity``);
    the factor is our fit to [crc-aqueous2021] at 20 °C.  Glucose measured at 45 °C by
    [telis2007] is a third thinner than that, and disagrees with the handbook's warmth.
    Source: [genotelle1978], [crc-aqueous2021]; for mixtures [migliori2007].
    """
    inside, t = known(mixture, "viscosity"), temperature.m
    strength = solids(inside.parts, inside.water)
    if strength > _STRONGEST:
        raise fault_error(
            "viscosity, mixture",
            "is too strong for what is known",
            say(q(strength, "percent"), digits=6),
            f"It must be at most {_STRONGEST:g} % sugars beside its water",
            "Count all the water that goes in",
        )
    here = _log_viscosity(inside.parts, strength, t)
    apart = _doubt(inside, strength, t, here)
    ends = (math.exp(here + way * apart) for way in (-1, 0, 1))
    return Band.of(ends, "mPa*s", FROM_MEMORY, "pairs of sugars and tubs of syrup differ")


def _log_viscosity(parts: Parts, strength: float, t: float) -> float:
    grams = sum(g for _, g in parts)
    if not grams:
        return math.log(syrup.viscosity.floats(0, t))
    return sum(
        g / grams * math.log(syrup.viscosity.floats(kind.like_sucrose * strength, t))
        for kind, g in parts
    )


def _doubt(inside: Inside, strength: float, t: float, here: float) -> float:
    """Return by how much the logarithm may be off: independent doubts, as squares."""
    doubts = [interpolate(t, _SCATTER)]
    if grams := inside.grams:
        shares = [(kind, g / grams) for kind, g in inside.parts]
        mixed = min(1.0, 2 * (1 - sum(s * s for _, s in shares)))
        doubts.append(mixed * value("mixed viscosity", "mixture_bench") / 100)
        syrups = sum(s for kind, s in shares if kind.name.startswith("syrup"))
        doubts.append(syrups * math.log(value("syrup viscosity factor", "mixture_bench")))
        moved = strength * (1 + min(inside.doubt / grams, 1)) - strength
        more = min(strength + moved * (1 - strength / 100), 90.0)
        doubts.append(_log_viscosity(inside.parts, more, t) - here)
    return math.sqrt(sum(d * d for d in doubts))
