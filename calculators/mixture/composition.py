"""What a mixture is: water, sugars by kind, tubs of glucose syrup, solids of milk.

Fat, protein and undissolved cocoa are beside it: they weigh, and change nothing else.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import field, replace
from typing import Any

from calculators.faults import Fault, fault_error, refuse
from calculators.frozen import frozen
from calculators.glucose import TUBS, Syrup
from calculators.mixture.model import (
    ALCOHOLS,
    STRONGEST,
    SUGARS,
    Parts,
    Species,
    solids,
    species,
    syrup_solids,
    value,
)
from calculators.sources import table
from calculators.syrup.keeping import MELTING
from calculators.units import (
    Band,
    InstanceOf,
    Measure,
    OneOf,
    Quantity,
    calculator,
    check_in_place,
    q,
    say,
)
from calculators.water import GAS_CONSTANT, KELVIN, MOLAR_MASS

KINDS = (*SUGARS, *ALCOHOLS)
WEIGHED = Measure("g", 0, 1_000_000)
POURED = Measure("g", above=0, high=1_000_000)
LABEL_SOLIDS = Measure("percent", above=0, high=100)
LABEL_DE = Measure("percent", 5, 100)  # longer chains are starch, and no model holds
_DOUBT = Measure("percent", 0, 20)
_BENCH = table("mixture_bench")
_NOTHING = q(0, "g")


@frozen
class Tub:
    """Some glucose syrup of a mixture, and how far its label is to be trusted.

    Parameters
    ----------
    mass : quantity
        As weighed, its water included, above 0 g.
    syrup : Syrup or str
        The syrup by its label, 5 to 100 DE, or the name of a tub in ``glucose.TUBS``.
    solids_doubt, equivalent_doubt : quantity
        How far solids and dextrose equivalent may lie from the label, either way: 0 to
        20 %.
    """

    mass: Quantity
    syrup: Syrup | str = "confectioner"
    solids_doubt: Quantity = _BENCH["label solids"].quantity
    equivalent_doubt: Quantity = _BENCH["label dextrose equivalent"].quantity

    def __post_init__(self) -> None:
        """Check all four and tell all faults at once."""
        faults = check_in_place(self, mass=POURED, solids_doubt=_DOUBT, equivalent_doubt=_DOUBT)
        if isinstance(self.syrup, Syrup):
            where = "Tub, dextrose equivalent"
            _, fault = LABEL_DE.check(where, self.syrup.dextrose_equivalent)
            faults += [fault] if fault else []
        else:
            word, fault = OneOf(*TUBS).check("Tub, syrup", self.syrup)
            if fault:
                faults.append(fault)
            else:
                object.__setattr__(self, "syrup", TUBS[word])
        refuse(faults)


@frozen
class Mixture:
    """Water with sugars in it, as they are in the pan or the glaze.

    Parameters
    ----------
    water : quantity
        All of it but that of the tubs, above 0 g.
    sugars : mapping
        Mass by name: sucrose, glucose, fructose, lactose, maltose, sorbitol, glycerol,
        xylitol; 0 g or more, without crystal water.
    tubs : sequence of Tub
        Glucose syrups.
    milk_solids : quantity
        Milk solids not fat: they bring lactose and salts.  0 g or more.
    beside : quantity
        Fat, protein, cocoa and whatever else only weighs, 0 g or more.
    salts : Band, optional
        Particles of salts and acids, in mol; those of ``milk_solids`` come on top.
    doubt : quantity
        How many grams counted as sugars may be water, or the other way round, from
        ingredients other than the tubs.

    >>> pan = Mixture(q(140, "g"), {"sucrose": q(280, "g")}, [Tub(q(280, "g"))])
    >>> print(say(strength(pan)))
    72.1 %
    """

    water: Quantity
    sugars: Mapping[str, Quantity] = field(default_factory=dict)
    tubs: Sequence[Tub] = ()
    milk_solids: Quantity = _NOTHING
    beside: Quantity = _NOTHING
    salts: Band | None = None
    doubt: Quantity = _NOTHING
    inside: Inside = field(init=False, repr=False, compare=False)

    def __post_init__(self) -> None:
        """Check everything, tell all faults at once, and add up what is inside."""
        faults = check_in_place(
            self, water=POURED, milk_solids=WEIGHED, beside=WEIGHED, doubt=WEIGHED
        )
        sugars = {}
        for name, mass in self._pairs(faults):
            word, fault = OneOf(*KINDS).check(f"Mixture, {name}", name)
            mass, other = WEIGHED.check(f"Mixture, {name}", mass)
            faults += [one for one in (other, fault) if one]
            if not fault:
                sugars[word] = mass
        for place, tub in enumerate(self._listed(faults), 1):
            if not isinstance(tub, Tub):
                where, step = f"Mixture, tub {place}", 'Write Tub(q(280, "g"), "confectioner")'
                faults.append(Fault(where, "is not a tub", repr(tub)[:60], "", step))
        if self.salts is not None and not _is_moles(self.salts):
            where, step = "Mixture, salts", 'Give a Band of amounts like q(0.1, "mol")'
            faults.append(Fault(where, "is not a band in mol", repr(self.salts)[:60], "", step))
        refuse(faults)
        object.__setattr__(self, "sugars", sugars)
        object.__setattr__(self, "tubs", tuple(self.tubs))
        object.__setattr__(self, "inside", _added_up(self))

    def _pairs(self, faults: list[Fault]) -> list[tuple[Any, Any]]:
        if isinstance(self.sugars, Mapping):
            return list(self.sugars.items())
        step = 'Give a table such as {"sucrose": q(280, "g")}'
        faults.append(Fault("Mixture, sugars", "is not a table", repr(self.sugars)[:60], "", step))
        return []

    def _listed(self, faults: list[Fault]) -> Sequence[Any]:
        if isinstance(self.tubs, list | tuple):
            return self.tubs
        step = 'Give a list such as [Tub(q(280, "g"))]'
        faults.append(Fault("Mixture, tubs", "is not a list", repr(self.tubs)[:60], "", step))
        return ()


def _is_moles(salts: Any) -> bool:
    ends = (salts.low, salts.typical, salts.high) if isinstance(salts, Band) else ()
    return bool(ends) and all(Measure("mol", 0).check("", end)[1] is None for end in ends)


@frozen
class Inside:
    """A mixture added up in plain numbers: g, mol.

    Parameters
    ----------
    parts : sequence
        Sugars and their grams, each kind once, in an order of their own.
    finer, coarser : sequence
        The same with every syrup's dextrose equivalent at its high and its low end.
    water, beside, doubt : float
        In g; the doubt of tubs and of the rest are independent and add as squares.
    salts : tuple of float
        Low, typical and high, in mol of particles.
    """

    parts: Parts
    finer: Parts
    coarser: Parts
    water: float
    beside: float
    doubt: float
    salts: tuple[float, float, float]

    @property
    def grams(self) -> float:
        """All sugars and syrup solids."""
        return sum(g for _, g in self.parts)

    def of(self, name: str) -> float:
        """Return the grams of one sugar."""
        return sum(g for kind, g in self.parts if kind.name == name)

    def with_water(self, water: float) -> Inside:
        """Return the same with another mass of water."""
        return replace(self, water=water)


def _added_up(mixture: Mixture) -> Inside:
    water = mixture.water.m
    grams = {name: mass.m for name, mass in mixture.sugars.items()}
    milk = mixture.milk_solids.m
    lactose = milk * value("lactose in milk solids", "mixture_bench") / 100
    grams["lactose"] = grams.get("lactose", 0.0) + lactose
    syrups: dict[tuple[float, float], float] = {}
    doubts: dict[tuple[float, ...], float] = {(): mixture.doubt.m}
    for tub in mixture.tubs:
        assert isinstance(tub.syrup, Syrup)
        # rounded, so that a label told in other units is the same label
        label = tub.syrup.dextrose_equivalent, tub.equivalent_doubt, tub.syrup.solids
        de, apart, solids_of = (round(float(x.m), 9) for x in label)
        dry = tub.mass.m * solids_of / 100
        water += tub.mass.m - dry
        kind = de, apart
        syrups[kind] = syrups.get(kind, 0.0) + dry
        one = *kind, solids_of, round(tub.solids_doubt.m, 9)  # tubs of one label are off together
        doubts[one] = doubts.get(one, 0.0) + tub.mass.m * tub.solids_doubt.m / 100

    def parts(way: int) -> Parts:
        total: dict[Species, float] = {species(n): g for n, g in grams.items() if g}
        for (de, apart), dry in syrups.items():
            moved = de + way * apart
            kind = species("glucose") if moved >= 100 else syrup_solids(max(moved, LABEL_DE.least))
            total[kind] = total.get(kind, 0.0) + dry
        return tuple(sorted(total.items(), key=lambda pair: pair[0].name))

    salts = _milk_salts(milk)
    if mixture.salts:
        low, typical, high = salts
        more = mixture.salts
        salts = (
            low + more.low.m_as("mol"),
            typical + more.typical.m_as("mol"),
            high + more.high.m_as("mol"),
        )
    return Inside(
        parts(0),
        parts(1),
        parts(-1),
        water,
        mixture.beside.m + milk - lactose,
        math.sqrt(sum(d * d for d in doubts.values())),
        salts,
    )


def _milk_salts(milk: float) -> tuple[float, float, float]:
    """Return the particles of the salts of so many grams of milk solids, in mol."""
    row = _BENCH["salts of milk"]
    each = MELTING / (GAS_CONSTANT * KELVIN**2) / MOLAR_MASS * milk  # a mole lowers it so
    return (row.low or 0) * each, (row.value or 0) * each, (row.high or 0) * each


MIXTURE = InstanceOf(Mixture, "a mixture")
_STRENGTH = Measure("percent", above=0, high=STRONGEST)


@calculator(returns="percent", mixture=MIXTURE)
def strength(mixture: Mixture) -> Quantity:
    """Return how strong a mixture is: all its sugars and syrup solids, beside its water.

    sugars / (sugars + water), whatever fat and cocoa float in it

    Parameters
    ----------
    mixture : Mixture
        With or without sugar.

    Returns
    -------
    quantity
        In percent, as good as the labels of its tubs.

    Examples
    --------
    >>> pan = Mixture(q(140, "g"), {"sucrose": q(280, "g")}, [Tub(q(280, "g"))])
    >>> print(say(strength(pan)))
    72.1 %

    Notes
    -----
    *Watch out*: 280 g of a tub is 225 g of solids and 55 g of water; the soaking water of
    the gelatin is not in the pan, but it is in the glaze.  Source: a balance of masses.
    """
    return q(solids(mixture.inside.parts, mixture.inside.water), "percent")


@calculator(returns="g", mixture=MIXTURE)
def mass(mixture: Mixture) -> Quantity:
    """Return what a mixture weighs, with all that is beside it.

    water + sugars + tubs + milk solids + what is beside

    Parameters
    ----------
    mixture : Mixture
        With or without sugar.

    Returns
    -------
    quantity
        In g.

    Examples
    --------
    >>> print(say(mass(Mixture(q(140, "g"), {"sucrose": q(280, "g")}, [Tub(q(280, "g"))]))))
    700 g

    Notes
    -----
    *Watch out*: the pan itself is not in it.  Source: a balance of masses.
    """
    inside = mixture.inside
    return q(inside.water + inside.grams + inside.beside, "g")


@calculator(returns="a mixture", mixture=MIXTURE, strength=_STRENGTH)
def at_strength(mixture: Mixture, strength: Quantity) -> Mixture:
    """Return the same mixture with as much water boiled off, or added, as a strength asks.

    water = sugars (100 - strength) / strength

    Parameters
    ----------
    mixture : Mixture
        With sugar in it.
    strength : quantity
        Wanted, above 0 and up to 95 %.

    Returns
    -------
    Mixture
        The water of its tubs counted as water of its own.

    Examples
    --------
    >>> pan = Mixture(q(300, "g"), {"sucrose": q(280, "g")}, [Tub(q(280, "g"))])
    >>> print(say(mass(at_strength(pan, q(72, "percent")))))
    701 g

    Notes
    -----
    *Watch out*: only water leaves a pan; what spat or stuck to the spoon counts as water.
    Source: a balance of masses.
    """
    grams = sweet(mixture, "at_strength").grams
    return _with_water(mixture, grams * (100 - strength.m) / strength.m)


@calculator(returns="a mixture", mixture=MIXTURE, mass=Measure("g", above=0, high=1_000_000))
def at_mass(mixture: Mixture, mass: Quantity) -> Mixture:
    """Return the same mixture boiled down, or let down with water, until it weighs this.

    water = mass - all that is not water

    Parameters
    ----------
    mixture : Mixture
        As it went into the pan.
    mass : quantity
        Without the pan: more than all that is not water.

    Returns
    -------
    Mixture
        The water of its tubs counted as water of its own.

    Examples
    --------
    >>> pan = Mixture(q(300, "g"), {"sucrose": q(280, "g")}, [Tub(q(280, "g"))])
    >>> print(say(strength(at_mass(pan, q(700, "g")))))
    72.1 %

    Notes
    -----
    *Watch out*: weigh the empty pan first.  Source: a balance of masses.
    """
    inside = mixture.inside
    dry = inside.grams + inside.beside
    least = dry + inside.grams * (100 - STRONGEST) / STRONGEST
    if mass.m <= least:
        raise fault_error(
            "at_mass, mass",
            "leaves next to no water",
            say(mass, digits=6),
            f"It must be above {say(q(math.ceil(least * 10) / 10, 'g'), digits=6)}: what is "
            f"not water, and {100 - STRONGEST:g} % of water with its sugars",
            "Take the pan off the reading with its own mass, or check the lines",
        )
    return _with_water(mixture, mass.m - dry)


def _with_water(mixture: Mixture, water: float) -> Mixture:
    """Return the same with this water and no other: each tub by its solids."""
    return replace(mixture, water=q(water, "g"), tubs=[_dried(tub) for tub in mixture.tubs])


def _dried(tub: Tub) -> Tub:
    assert isinstance(tub.syrup, Syrup)
    share = tub.syrup.solids.m / 100
    return Tub(
        q(tub.mass.m * share, "g"),
        Syrup(tub.syrup.dextrose_equivalent, q(100, "percent")),
        q(min(tub.solids_doubt.m / share, 20.0), "percent"),
        tub.equivalent_doubt,
    )


def simple_pan(
    sugar: Quantity,
    water: Quantity,
    glucose_syrup: Quantity,
    solids: Quantity,
    dextrose_equivalent: Quantity,
) -> Mixture:
    """Return the mixture of sugar, water and one tub, from checked quantities."""
    tubs = [Tub(glucose_syrup, Syrup(dextrose_equivalent, solids))] if glucose_syrup.m else []
    return Mixture(water, {"sucrose": sugar}, tubs)


def sweet(mixture: Mixture, where: str) -> Inside:
    """Return what is inside a mixture that holds sugar and is not too strong to be known."""
    inside = mixture.inside
    if not inside.grams:
        raise fault_error(
            f"{where}, mixture",
            "holds no sugar",
            "0 g",
            "Its sugars and syrup solids must be above 0 g",
            "Weigh sugar in; water alone never gets to a strength",
        )
    return known(mixture, where)


def known(mixture: Mixture, where: str) -> Inside:
    """Return what is inside a mixture that is not too strong for the models."""
    inside = mixture.inside
    here = solids(inside.parts, inside.water)
    if here > STRONGEST + 1e-9:
        raise fault_error(
            f"{where}, mixture",
            "is too strong for what is known",
            say(q(here, "percent"), digits=6),
            f"It must be at most {STRONGEST:g} % sugars and syrup solids beside its water",
            "Count all the water that goes in, that of the tubs too",
        )
    return inside
