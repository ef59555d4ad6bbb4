"""What is in a tub of glucose syrup, and how one tub replaces another."""

from __future__ import annotations

from typing import Any, NamedTuple

from calculators.faults import Fault, refuse
from calculators.frozen import frozen
from calculators.safety import REGIONS, legal_note
from calculators.sources import Row, table
from calculators.units import (
    Measure,
    OneOf,
    Quantity,
    calculator,
    check_in_place,
    number,
    q,
    say,
)

MOLAR = table("syrup_sugars")
GLUCOSE = MOLAR["glucose molar mass"].quantity.m  # g/mol
SUCROSE = MOLAR["sucrose molar mass"].quantity.m  # g/mol

BENCH = table("glucose_bench")
DE_RANGE = Measure("percent", 3, 100)
_SOLIDS = Measure("percent", high=100, above=0)
MASS = Measure("g", 0)


# --- the tub ------------------------------------------------------------------


@frozen
class Syrup:
    """A glucose syrup, told by the two figures of its label.

    Parameters
    ----------
    dextrose_equivalent : quantity
        3 to 100 %, of the solids.
    solids : quantity
        All that is not water, above 0 and up to 100 % of the whole.
    """

    dextrose_equivalent: Quantity
    solids: Quantity

    def __post_init__(self) -> None:
        """Check both figures and tell both faults at once."""
        refuse(check_in_place(self, dextrose_equivalent=DE_RANGE, solids=_SOLIDS))

    def __str__(self) -> str:
        """Return the syrup as it stands on a label."""
        return f"{say(self.solids)} solids, {number(self.dextrose_equivalent.m)} DE"


_TUB_ROWS = table("glucose_tubs")
TUBS: dict[str, Syrup] = {
    name: Syrup(
        _TUB_ROWS[f"{name} dextrose equivalent"].quantity,
        _TUB_ROWS[f"{name} solids"].quantity,
    )
    for name in ("confectioner", "light corn", "home pack")
}


class _Tub(OneOf):
    """An argument that is a syrup, or the name of a tub."""

    @property
    def limit(self) -> str:
        """What is wanted, in words."""
        return "It must be a Syrup, or one of: " + ", ".join(self.words)

    def check(self, name: str, value: Any) -> tuple[Any, Fault | None]:
        """Return the syrup, and the fault if it is neither."""
        if isinstance(value, Syrup):
            return value, None
        word, fault = super().check(name, value)
        return (word if fault else TUBS[word]), fault


SYRUP = _Tub(*TUBS)


@calculator(returns="what is known of both figures", tub=OneOf(*TUBS))
def label(tub: str) -> tuple[Row, Row]:
    """Return what is known of a tub: its solids and its dextrose equivalent.

    Parameters
    ----------
    tub : str
        One of :data:`TUBS`: ``"confectioner"``, ``"light corn"``, ``"home pack"``.

    Returns
    -------
    tuple of Row
        Solids, then dextrose equivalent, each with range, source and caveat.

    Examples
    --------
    >>> solids, equivalent = label("light corn")
    >>> print(say(solids.quantity), solids.provenance)
    77.2 % published

    Notes
    -----
    *Watch out*: the label of the tub in front of you comes first. A food label's *of
    which sugars* is not the solids: it counts only the short pieces.

    Source: ``data/glucose_tubs.csv``.
    """
    return _TUB_ROWS[f"{tub} solids"], _TUB_ROWS[f"{tub} dextrose equivalent"]


class Parts(NamedTuple):
    """What a mass of syrup consists of, in g."""

    solids: Quantity
    water: Quantity


@calculator(returns="solids and water in g", mass=MASS, syrup=SYRUP)
def split(mass: Quantity, syrup: Syrup | str) -> Parts:
    """Return the solids and the water in a mass of syrup.

    ``solids = mass * solids share``; the rest is water.

    Parameters
    ----------
    mass : quantity
        Syrup as weighed (g).
    syrup : Syrup or str
        The syrup, or the name of a tub in :data:`TUBS`.

    Returns
    -------
    Parts
        Solids and water in g; they add up to the mass.

    Examples
    --------
    >>> solids, water = split(q(300, "g"), "home pack")
    >>> say(solids), say(water)
    ('180 g', '120 g')

    Notes
    -----
    *Watch out*: this water counts in the formula like water from the tap.

    Source: a balance of masses.
    """
    solids = mass.m * solids_of(syrup) / 100
    return Parts(q(solids, "g"), q(mass.m - solids, "g"))


@frozen
class Swap:
    """One syrup weighed out for another, with the water put right.

    Parameters
    ----------
    mass : quantity
        What to weigh of the syrup you hold, in g.
    leave_out : quantity
        Water to take off the formula, in g; zero where none.
    add : quantity
        Water to add to the formula, in g; zero where none.
    """

    mass: Quantity
    leave_out: Quantity
    add: Quantity

    def __str__(self) -> str:
        """Return the swap as a sentence."""
        if self.leave_out.m:
            return f"{say(self.mass)}, and leave out {say(self.leave_out)} of water"
        if self.add.m:
            return f"{say(self.mass)}, and add {say(self.add)} of water"
        return f"{say(self.mass)}, and the water stays"


@calculator(returns="mass to weigh, water to leave out or add", mass=MASS, wanted=SYRUP, held=SYRUP)
def swap(mass: Quantity, wanted: Syrup | str, held: Syrup | str) -> Swap:
    """Return what to weigh of the syrup you hold, and what to do with the water.

    ``mass held = mass * solids wanted / solids held``; the solids stay the same, and
    the difference of the two masses is water.

    Parameters
    ----------
    mass : quantity
        Syrup that the formula asks for (g).
    wanted : Syrup or str
        The formula's syrup, or the name of a tub in :data:`TUBS`.
    held : Syrup or str
        The syrup in your stores, likewise.

    Returns
    -------
    Swap
        Mass to weigh, and the water to leave out or to add; exact for the solids given.

    Examples
    --------
    >>> print(swap(q(300, "g"), "confectioner", "home pack"))
    402 g, and leave out 102 g of water

    Notes
    -----
    *Watch out*: where the formula holds less water than must be left out, this swap
    can't be done: boil the syrup down first. A syrup of another dextrose equivalent
    is also sweeter or less sweet, and thinner or thicker.

    Source: a balance of masses.
    """
    weigh = mass.m * solids_of(wanted) / solids_of(held)
    extra = weigh - mass.m
    return Swap(q(weigh, "g"), q(max(extra, 0.0), "g"), q(max(-extra, 0.0), "g"))


@calculator(returns="words", syrup=SYRUP, region=OneOf(*REGIONS))
def lawful_name(syrup: Syrup | str, region: str = "EU") -> str:
    """Return whether a syrup may be called glucose syrup, and what it falls short of.

    Parameters
    ----------
    syrup : Syrup or str
        The syrup, or the name of a tub in :data:`TUBS`.
    region : str
        Whose law; Codex Alimentarius is looked at everywhere.

    Returns
    -------
    str
        ``"glucose syrup"``, ``"dried glucose syrup"``, or the minima it misses.

    Examples
    --------
    >>> lawful_name("confectioner")
    'glucose syrup'

    Notes
    -----
    *Watch out*: a home pack of 60 % solids misses the 70 % of the standards. Either
    it is sold under another name, or its label means something else by *60*: weigh,
    read and ask. Your local rules come first.

    Source: the rows of ``data/legal.csv``: [cxs212], [eu2001-111].
    """
    held = syrup_of(syrup)
    missed = []
    for note in legal_note("glucose syrup", region):
        if note.status == "minimum":
            of_de = "dextrose equivalent" in note.text
            value = held.dextrose_equivalent if of_de else held.solids
            missed += [note.text] if value < note.limit else []
    if missed:
        return "not glucose syrup by the minima we know. " + " ".join(missed)
    dried = [n.limit for n in legal_note("dried glucose syrup", region) if n.limit]
    if dried and held.solids >= max(dried):
        return "dried glucose syrup"
    return "glucose syrup"


def syrup_of(syrup: Syrup | str) -> Syrup:
    """Return the syrup; a default that is a tub's name becomes its syrup here."""
    return TUBS[syrup] if isinstance(syrup, str) else syrup


def solids_of(syrup: Syrup | str) -> float:
    """Return the solids of a syrup in percent."""
    return float(syrup_of(syrup).solids.m)
