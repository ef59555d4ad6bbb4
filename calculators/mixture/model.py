"""How several sugars in one pan share its water: three models that agree with themselves.

A model is used only if one sugar under two names changes nothing, which the product of
single sugars (Ross) does not allow.  Modified UNIQUAC [peres-macedo1996] is followed;
Norrish with all sugars in one pool [norrish1966] and Flory and Huggins [vandersman2017]
give a second opinion where they hold.  Plain numbers: g, °C, percent.

Each is put right by what it misses of pure sucrose, weighed by sucrose's share of the
sugars: as the other sugars vanish, all three become the curve of
``syrup.water_activity`` without a step.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from functools import cache, lru_cache
from typing import NamedTuple, TypeAlias

from calculators.sources import table
from calculators.syrup.boiling import log_activity as log_activity_of_sucrose
from calculators.units import interpolate
from calculators.water import KELVIN, MOLAR_MASS

WARM = 25.0  # °C, where the energies are told
STRONGEST = 95.0  # percent solids
SUGARS = ("sucrose", "glucose", "fructose", "lactose", "maltose")
ALCOHOLS = ("sorbitol", "glycerol", "xylitol")
# Where each model has its say, % of solids and weight.  Above 80 % Norrish boils 2 to 10 °C
# high, in weak syrup Flory and Huggins freezes 10 to 20 % too little: between they fade.
_ONE_POOL = ((0, 1), (75, 1), (80, 0), (100, 0))
_CHAINS = ((0, 0), (50, 0), (60, 1), (100, 1))
_LIKE_SUCROSE = 60.0  # DE up to which a syrup has sucrose's energies; at 100 it is glucose
_LIKE_GLUCOSE = ("glucose", "fructose", *ALCOHOLS)


class Energies(NamedTuple):
    """What UNIQUAC calls a, in K at 25 °C, and its slope with temperature."""

    to_water: float
    to_water_slope: float
    from_water: float
    from_water_slope: float


class Species(NamedTuple):
    """One kind of sugar as the models see it."""

    name: str
    molar_mass: float  # g/mol
    size: float  # r ** (2/3)
    surface: float  # q
    energies: Energies
    root: float  # sqrt(-K) of Norrish
    volume: float  # ml/g, dry
    like_sucrose: float  # its percent times this flow as sucrose


Parts: TypeAlias = Sequence[tuple[Species, float]]  # kinds and grams


def value(name: str, of: str = "mixture_sugars") -> float:
    """Return a number of a table."""
    return float(table(of)[name].quantity.m)


@cache
def species(name: str) -> Species:
    """Return a sugar or sugar alcohol by its name."""
    known = table("mixture_sugars")
    shape = name if f"{name} size" in known else "sucrose"
    density = "glycerol" if name == "glycerol" else "sugar"
    flows = 1.0 if name == "sucrose" else value(f"{name} as sucrose", "mixture_bench")
    return Species(
        name,
        value(f"{name} molar mass", "syrup_sugars"),
        value(f"{shape} size") ** (2 / 3),
        value(f"{shape} surface"),
        _energies("glucose" if name in _LIKE_GLUCOSE else "sucrose"),
        math.sqrt(-value(f"{name} norrish", "syrup_sugars")),
        1 / value(f"{density} density"),
        flows,
    )


@lru_cache(maxsize=256)
def syrup_solids(dextrose_equivalent: float) -> Species:
    """Return the solids of a glucose syrup as one sugar of their mean chain length.

    At 100 it is glucose; below 60 its energies are sucrose's.
    """
    de = dextrose_equivalent
    pure, pair = species("glucose"), species("sucrose")
    molar = 100 * pure.molar_mass / de
    more = (molar - pure.molar_mass) / (pure.molar_mass - MOLAR_MASS)  # glucoses after the first
    wider = value("sucrose size") - value("glucose size")
    slid = min(max((de - _LIKE_SUCROSE) / (100 - _LIKE_SUCROSE), 0.0), 1.0)
    ends = zip(_energies("sucrose"), pure.energies, strict=True)
    at_100 = value("glucose norrish", "syrup_sugars")
    constant = at_100 + (value("syrup norrish at 42 DE") - at_100) * (100 - de) / (100 - 42)
    thicker = value("syrup thicker by", "mixture_bench") * math.log(100 / de)
    return Species(
        f"syrup of {de:g} DE",
        molar,
        (value("glucose size") + more * wider) ** (2 / 3),
        pure.surface + more * (pair.surface - pure.surface),
        Energies(*(a + (b - a) * slid for a, b in ends)),
        math.sqrt(-constant),
        pure.volume,
        pure.like_sucrose + thicker,
    )


@cache
def _energies(of: str) -> Energies:
    to, back = f"{of} to water", f"water to {of}"
    return Energies(value(to), value(f"{to} slope"), value(back), value(f"{back} slope"))


# --- the three models: ln(water activity) ------------------------------------------------


def uniquac(parts: Parts, water: float, t: float) -> float:
    """Return ln(aw) by the modified UNIQUAC; sugars don't feel each other."""
    size, surface = _water_shape()
    kelvin, above = t + KELVIN, t - WARM
    n_water = water / MOLAR_MASS
    moles = sizes = surfaces = 0.0
    for kind, grams in parts:
        n = grams / kind.molar_mass
        moles += n
        sizes += n * kind.size
        surfaces += n * kind.surface
    share = size * (n_water + moles) / (n_water * size + sizes)  # volume over mole fraction
    wet = n_water * surface / (n_water * surface + surfaces)
    dry = 1 - wet
    met, pulled = wet, 0.0
    for kind, grams in parts:
        e = kind.energies
        covers = grams / kind.molar_mass * kind.surface / (n_water * surface + surfaces)
        met += covers * math.exp(-(e.to_water + e.to_water_slope * above) / kelvin)
        tau = math.exp(-(e.from_water + e.from_water_slope * above) / kelvin)
        pulled += covers * tau / (wet * tau + dry)
    mixing = math.log(n_water / (n_water + moles)) + math.log(share) + 1 - share
    return mixing + surface * (1 - math.log(met) - wet / met - pulled)


@cache
def _water_shape() -> tuple[float, float]:
    return value("water size") ** (2 / 3), value("water surface")


def one_pool(parts: Parts, water: float) -> float:
    """Return ln(aw) by Norrish, all sugars in one pool: ln xw - (sum of sqrt(-K) x)²."""
    n_water = water / MOLAR_MASS
    moles = weighed = 0.0
    for kind, grams in parts:
        n = grams / kind.molar_mass
        moles += n
        weighed += n * kind.root
    total = n_water + moles
    return math.log(n_water / total) - (weighed / total) ** 2


def flory_huggins(parts: Parts, water: float) -> float:
    """Return ln(aw) by Flory and Huggins: ln fw + sum of f (1 - 1/N) + chi fs²."""
    density, chi = _flory()
    room, each = water / density, MOLAR_MASS / density
    total = room + sum(grams * kind.volume for kind, grams in parts)
    answer = math.log(room / total) + chi * (1 - room / total) ** 2
    for kind, grams in parts:
        longer = kind.molar_mass * kind.volume / each
        answer += grams * kind.volume / total * (1 - 1 / longer)
    return answer


@cache
def _flory() -> tuple[float, float]:
    return value("water density"), value("chi")


# --- put right by sucrose, and weighed by where they hold --------------------------------


def solids(parts: Parts, water: float) -> float:
    """Return the percent of sugars in sugars and water."""
    grams = sum(g for _, g in parts)
    return 100 * grams / (grams + water)


def log_activity(parts: Parts, water: float, t: float) -> float:
    """Return ln(aw) by UNIQUAC, put right by sucrose."""
    grams, share, alone = _sucrose(parts)
    if not grams:
        return 0.0
    answer = uniquac(parts, water, t) if share < 1 else 0.0
    if share:
        curve = log_activity_of_sucrose(100 * grams / (grams + water), t)
        answer = curve if share == 1 else answer + share * (curve - uniquac(alone, water, t))
    return answer


def second_opinions(parts: Parts, water: float, t: float) -> tuple[float, ...]:
    """Return how far the other models lie from :func:`log_activity`, where they hold."""
    grams, share, alone = _sucrose(parts)
    if not grams or share == 1:
        return ()
    strength = 100 * grams / (grams + water)
    here = log_activity(parts, water, t)
    curve = log_activity_of_sucrose(strength, t) if share else 0.0
    apart = []
    for model, trusted in ((one_pool, _ONE_POOL), (flory_huggins, _CHAINS)):
        if weight := interpolate(strength, trusted):
            there = model(parts, water) + share * (curve - model(alone, water))
            apart.append(weight * (there - here))
    return tuple(apart)


def _sucrose(parts: Parts) -> tuple[float, float, Parts]:
    """Return all sugars, sucrose's share, and sucrose in the place of them all."""
    grams = sum(g for _, g in parts)
    sucrose = sum(g for kind, g in parts if kind.name == "sucrose")
    alone = ((species("sucrose"), grams),)
    return grams, sucrose / grams if grams else 0.0, alone
