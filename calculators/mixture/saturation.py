"""How much sucrose and how much lactose a mixture's water can keep dissolved.

Other sugars take water away from both.  What crystallises first is often the milk's own
sugar, which nobody weighed in.
"""

from __future__ import annotations

import math
from dataclasses import replace
from functools import cache

from calculators import syrup
from calculators.faults import fault_error
from calculators.mixture.composition import (
    LABEL_SOLIDS,
    MIXTURE,
    POURED,
    WEIGHED,
    Inside,
    Mixture,
    known,
    simple_pan,
)
from calculators.mixture.model import species, value
from calculators.sources import records, table
from calculators.units import (
    FROM_MEMORY,
    Band,
    Measure,
    Quantity,
    calculator,
    interpolate,
    q,
)

_MOST_OTHERS = 3.0  # g to 1 g of water: of stronger company nothing is known
_FRIDGE, _80 = q(4, "degC"), q(80, "percent")
_HELD_DOWN = "how far glucose syrup and lactose hold sucrose down is known for cane syrups only"
_STORE = Measure("degC", 0, 100)
_STORE_OF_MILK = Measure("degC", 0, 89)


@calculator(returns="a band, plain numbers", mixture=MIXTURE, temperature=_STORE)
def sucrose_saturation(mixture: Mixture, temperature: Quantity = _FRIDGE) -> Band:
    """Return how many times more sucrose the water holds than it can keep, as a band.

    (sucrose/water) / (that of a full syrup x (1 - 0.088 other sugars/water))

    Parameters
    ----------
    mixture : Mixture
        With at most 3 g of other sugars to 1 g of water.
    temperature : quantity
        Of the store, 0 to 100 °C.

    Returns
    -------
    Band
        Plain numbers: above 1 crystals can come.  For sucrose alone good to 2.5 %; with
        other sugars 0.06 more for each gram of them to a gram of water.

    Examples
    --------
    >>> pan = Mixture(q(140, "g"), {"sucrose": q(280, "g")}, [Tub(q(280, "g"))])
    >>> print(say(sucrose_saturation(pan).typical, digits=2))
    0.87

    Notes
    -----
    *Watch out*: answer for the whole glaze and not for its pan: chocolate and condensed
    milk bring sugar, the soaking water comes back.  Above 1 means *can come*, not *will*.

    Source: [vavrinecz1962] for sucrose alone; the coefficient is cane practice
    [broadfoot-steindl], from memory; for glucose syrup it is a guess with that band.
    """
    inside = known(mixture, "sucrose_saturation")
    sucrose, others = inside.of("sucrose") / inside.water, _others(inside, "sucrose")
    row = table("mixture_bench")["sucrose held down"]
    if others > _MOST_OTHERS:
        raise fault_error(
            "sucrose_saturation, mixture",
            "holds too much of other sugars for what is known",
            f"{others:.3g} g to 1 g of water",
            f"It must be at most {_MOST_OTHERS:g} g to 1 g of water",
            "Count all its water, that of the tubs too",
        )
    full = syrup.solubility.floats(temperature.m)
    pure = full / (100 - full)
    weak, usual, strong = ((1 - (k or 0) * others) for k in (row.low, row.value, row.high))
    data = value("sucrose solubility", "mixture_bench") / 100
    ends = (
        sucrose / (pure * weak) / (1 + data),
        sucrose / (pure * usual),
        sucrose / (pure * strong) * (1 + data),
    )
    return Band.of(ends, "", FROM_MEMORY, _HELD_DOWN)


@calculator(
    returns="a band, plain numbers",
    sugar=WEIGHED,
    water=POURED,
    glucose_syrup=WEIGHED,
    solids=LABEL_SOLIDS,
    temperature=_STORE,
)
def sucrose_saturation_of_pan(
    sugar: Quantity,
    water: Quantity,
    glucose_syrup: Quantity,
    solids: Quantity = _80,
    temperature: Quantity = _FRIDGE,
) -> Band:
    """Return how full of sucrose a pan of sugar, water and one glucose syrup is, as a band.

    :func:`sucrose_saturation` of these three

    Parameters
    ----------
    sugar, water, glucose_syrup : quantity
        Masses; water above 0 g, the others 0 g or more.
    solids : quantity
        Of the syrup, by its label, above 0 to 100 %.
    temperature : quantity
        Of the store, 0 to 100 °C.

    Returns
    -------
    Band
        Plain numbers: above 1 crystals can come.

    Examples
    --------
    >>> print(say(sucrose_saturation_of_pan(q(280, "g"), q(140, "g"), q(280, "g")).typical, digits=2))
    0.86

    Notes
    -----
    *Watch out*: glucose syrup slows crystals down, and still takes water away from sugar.
    Source: as :func:`sucrose_saturation`.
    """
    return sucrose_saturation(
        simple_pan(sugar, water, glucose_syrup, solids, q(42, "percent")), temperature
    )


@calculator(returns="a band, plain numbers", mixture=MIXTURE, temperature=_STORE_OF_MILK)
def lactose_saturation(mixture: Mixture, temperature: Quantity = _FRIDGE) -> Band:
    """Return how many times more lactose the water holds than it can keep, as a band.

    (lactose/water) / (that of a full solution x exp(-0.37 other sugars/water))

    Parameters
    ----------
    mixture : Mixture
        With milk in it; without any the answer is 0.
    temperature : quantity
        Of the store, 0 to 89 °C.

    Returns
    -------
    Band
        Plain numbers: above 1 crystals can come.  Between 1.6 and 2.1 they come where
        there is a seed; good to 10 % for lactose alone, and less beside other sugars.

    Examples
    --------
    >>> milk = Mixture(q(871, "g"), milk_solids=q(90, "g"))
    >>> print(say(lactose_saturation(milk).typical, digits=2))
    0.43

    Notes
    -----
    *Watch out*: lactose crystals are slow, and feel like sand.  Four solubilities at 20 °C
    are in circulation, from 7 to 20 g to 100 g of water: for the first and the final, as
    hydrate or without its water.  This one is final, without its water.

    Source: [hudson1908] for lactose alone; what sucrose does to it after
    [nickerson-moore1972], from memory.
    """
    inside = known(mixture, "lactose_saturation")
    lactose = inside.of("lactose") / inside.water
    return Band.of(
        (lactose / full for full in reversed(_lactose_full(inside, temperature.m))),
        "",
        FROM_MEMORY,
        "tables of lactose differ by 10 %, and little is known beside other sugars",
    )


@calculator(returns="a band in g", mixture=MIXTURE, temperature=_STORE)
def water_to_spare(mixture: Mixture, temperature: Quantity = _FRIDGE) -> Band:
    """Return the water that may leave a mixture before its sucrose is full, as a band.

    water - (sucrose / full + 0.088 other sugars)

    Parameters
    ----------
    mixture : Mixture
        The whole glaze, with its soaking water.
    temperature : quantity
        Of the store, 0 to 100 °C.

    Returns
    -------
    Band
        In g; below zero it lacks that water already.  Plan with the low end.

    Examples
    --------
    >>> pan = Mixture(q(140, "g"), {"sucrose": q(280, "g")}, [Tub(q(280, "g"))])
    >>> print(say(water_to_spare(pan).typical, digits=2))
    23 g

    Notes
    -----
    *Watch out*: it looks at sucrose alone; :func:`lactose_saturation` tells of the milk.
    Source: as :func:`sucrose_saturation`.
    """
    inside = known(mixture, "water_to_spare")
    sucrose = inside.of("sucrose")
    others = inside.grams - sucrose
    full = syrup.solubility.floats(temperature.m)
    pure, data = full / (100 - full), value("sucrose solubility", "mixture_bench") / 100
    row = table("mixture_bench")["sucrose held down"]

    def spare(coefficient: float | None, of_pure: float) -> float:
        return inside.water - sucrose / (pure * of_pure) - (coefficient or 0) * others

    ends = (spare(row.high, 1 - data), spare(row.value, 1), spare(row.low, 1 + data))
    return Band.of(ends, "g", FROM_MEMORY, _HELD_DOWN)


# --- plain numbers --------------------------------------------------------------------------


def _others(inside: Inside, than: str) -> float:
    """Return the grams of all sugars but one to a gram of water."""
    return (inside.grams - inside.of(than)) / inside.water


@cache
def _hudson() -> tuple[tuple[float, float], ...]:
    rows = records("mixture_lactose")
    return tuple((float(r["celsius"]), math.log(float(r["value"]) / 100)) for r in rows)


def _lactose_full(inside: Inside, t: float) -> tuple[float, float, float]:
    """Return the grams of lactose that a gram of the water keeps: low, typical, high."""
    alone = math.exp(interpolate(t, _hudson()))
    others, row = _others(inside, "lactose"), table("mixture_bench")["lactose held down"]
    data = value("lactose solubility", "mixture_bench") / 100
    low, typical, high = (math.exp(-(k or 0) * others) for k in (row.high, row.value, row.low))
    return alone * low * (1 - data), alone * typical, alone * high * (1 + data)


def lactose_dissolved(inside: Inside, t: float) -> Inside:
    """Return the mixture without the lactose that its water can't keep; the same if none."""
    held = inside.of("lactose")
    kept = _lactose_full(inside, min(t, _hudson()[-1][0]))[1] * inside.water
    if held <= kept:
        return inside
    lactose = species("lactose")
    settled = tuple((k, kept if k is lactose else g) for k, g in inside.parts)
    return replace(inside, parts=settled, finer=settled, coarser=settled)
