"""What stands on the shelf, what is in it, and whom it may harm.

The composition of each ingredient stands with its sources in
``data/composition.csv``.  Typical values are of the source named beside them, or are
worked out from it as their note says; low and high, what tubs on the market may hold,
are from memory throughout.  The three glucose syrups are those of ``glucose``, so that a
tub has one home.  Held against the food tables of two countries and against the least
amounts of the law.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from functools import cache
from types import MappingProxyType

from calculators import glucose
from calculators.faults import Fault, FaultsError
from calculators.frozen import frozen
from calculators.room import room_of
from calculators.sources import Row, records
from calculators.units import FROM_MEMORY, PUBLISHED, Band, InstanceOf, calculator, least_sure

SUGARS = ("sucrose", "glucose", "fructose", "lactose", "maltose", "glucose syrup")
PARTS = ("water", *SUGARS, "fat", "protein", "gelatin", "other")


@frozen
class Component:
    """What an ingredient holds of one thing, in g per 100 g, and who says so.

    Parameters
    ----------
    name : str
        One of :data:`PARTS`.
    typical, low, high : float
        In g per 100 g.
    source, where, provenance, note : str
        Of the typical value.
    """

    name: str
    typical: float
    low: float
    high: float
    source: str = ""
    where: str = ""
    provenance: str = FROM_MEMORY
    note: str = ""


@dataclass(frozen=True, eq=False)
class Ingredient:
    """Something on the shelf: what is in it, and whom it may harm.

    Parameters
    ----------
    name : str
        What the house calls it.
    also : tuple of str
        Other names under which it is found.
    kind : str
        *sugar*, *glucose syrup*, *milk*, *gelatin*, *colour* and so on.
    origin : str
        *plant*, *milk*, *pig or beef* and so on; decides the diets.
    allergens : tuple of str
        What it holds, by the names of ``safety.allergens()``.
    ask : tuple of str
        What it may hold: read the label.
    colourant : str
        What the law table calls it; empty where it is no colour.
    dextrose_equivalent : tuple of float or None
        Low, typical and high of its glucose syrup, in %.
    density : Band or None
        At 20 °C, of what is bought and poured by volume.
    parts : mapping
        :class:`Component` by name; *other* is what is left of 100 g.
    provenance, note : str
        Of what stands here, and a caveat.
    """

    name: str
    also: tuple[str, ...]
    kind: str
    origin: str
    allergens: tuple[str, ...]
    ask: tuple[str, ...]
    colourant: str
    dextrose_equivalent: tuple[float, float, float] | None
    density: Band | None
    parts: Mapping[str, Component]
    provenance: str
    note: str
    typical: tuple[float, ...] = field(init=False, repr=False)

    def __post_init__(self) -> None:
        """Lay the typical values out in the order of :data:`PARTS`."""
        row = tuple(self.parts[n].typical if n in self.parts else 0.0 for n in PARTS)
        object.__setattr__(self, "typical", row)

    def share(self, part: str) -> Band:
        """Return how much of one part it holds, as a band in percent."""
        p = self.parts.get(part) or Component(part, 0.0, 0.0, 0.0)
        return Band.of((p.low, p.typical, p.high), "percent", p.provenance, p.note)


@cache
def ingredients() -> Mapping[str, Ingredient]:
    """Return every ingredient by its name, in the order of the table.

    >>> list(ingredients())[:2], len(ingredients()) >= 28
    (['water', 'sugar'], True)
    """
    composition: dict[str, dict[str, Component]] = {}
    for row in records("composition"):
        low, typical, high = (float(row[c]) for c in ("low", "value", "high"))
        said = (row[c] for c in ("source", "where", "provenance", "note"))
        part = Component(row["part"], typical, low, high, *said)
        composition.setdefault(row["ingredient"], {})[part.name] = part
    return MappingProxyType(
        {
            row["name"]: _made(row, composition.get(row["name"], {}))
            for row in records("ingredients")
        }
    )


def _made(row: Mapping[str, str], given: Mapping[str, Component]) -> Ingredient:
    parts, equivalent = (
        dict(given),
        _three(row, "de_low", "dextrose_equivalent", "de_high"),
    )
    if row["tub"]:
        solids, sold_as = glucose.label(row["tub"])
        parts |= _of_tub(solids, parts.values())
        equivalent = _ends(sold_as)
    parts["other"] = _left_over(parts.values())
    return Ingredient(
        row["name"],
        tuple(name for name in row["also"].split(";") if name),
        row["kind"],
        row["origin"],
        tuple(row["allergens"].split()),
        tuple(row["ask"].split()),
        row["colourant"],
        equivalent,
        _density(row["weighed"], parts) if row["poured"] else None,
        MappingProxyType(parts),
        row["provenance"],
        row["note"],
    )


def _of_tub(solids: Row, others: Iterable[Component]) -> dict[str, Component]:
    """Return water and syrup solids of a tub, from what its label says."""
    low, typical, high = _ends(solids)
    rest = sum(part.typical for part in others)
    told = (solids.source, solids.where, solids.provenance, solids.note)
    return {
        "water": Component("water", 100 - typical, 100 - high, 100 - low, *told),
        "glucose syrup": Component("glucose syrup", typical - rest, low - rest, high, *told),
    }


def _ends(row: Row) -> tuple[float, float, float]:
    typical = row.quantity.m
    low = typical if row.low is None else row.low
    return low, typical, typical if row.high is None else row.high


def _three(row: Mapping[str, str], *columns: str) -> tuple[float, float, float] | None:
    if not row[columns[1]]:
        return None
    low, typical, high = (float(row[column]) for column in columns)
    return low, typical, high


def _density(weighed: str, parts: Mapping[str, Component]) -> Band:
    """Return the density at 20 °C of what is poured: as weighed, or from what is in it."""
    if weighed:
        ends = (x * float(weighed) for x in (0.99, 1.0, 1.01))
        return Band.of(ends, "kg/m**3", PUBLISHED, "a measure full of it was weighed")
    grams = {name: part.typical for name, part in parts.items()}
    made = 1e5 / room_of(
        grams.get("water", 0.0),
        sum(grams.get(sugar, 0.0) for sugar in SUGARS),
        grams.get("fat", 0.0),
        grams.get("protein", 0.0) + grams.get("gelatin", 0.0),
        grams.get("other", 0.0),
        20.0,
    )
    provenance = least_sure(part.provenance for part in parts.values())
    why = "worked out from what is in it: good to 2 %"
    return Band.of((x * made for x in (0.98, 1.0, 1.02)), "kg/m**3", provenance, why)


def _left_over(parts: Iterable[Component]) -> Component:
    """Return the other solids of 100 g, a difference and so as good as its terms."""
    given = tuple(parts)
    left = max(0.0, 100 - sum(part.typical for part in given))
    low = max(0.0, 100 - sum(part.high for part in given))
    high = max(left, 100 - sum(part.low for part in given))
    note = "what is left of 100 g: fibre, starch, minerals, acids"
    provenance = least_sure(part.provenance for part in given)
    return Component("other", left, low, high, "", "", provenance, note)


@cache
def _names() -> Mapping[str, Ingredient]:
    return {
        _plain(name): item for item in ingredients().values() for name in (*item.also, item.name)
    }


def _plain(name: str) -> str:
    letters = unicodedata.normalize("NFKD", name).replace("’", "'")
    bare = "".join(c for c in letters if not unicodedata.combining(c))
    return " ".join(bare.casefold().split())


@calculator(returns="an ingredient", name=InstanceOf(str, "the name of an ingredient"))
def ingredient(name: str) -> Ingredient:
    """Return one ingredient by its name, or by another name of the trade for it.

    Parameters
    ----------
    name : str
        Capitals and accents don't matter.

    Returns
    -------
    Ingredient
        Its parts in g per 100 g, typical, low and high.

    Examples
    --------
    >>> print(ingredient("Condensed milk").share("fat"))
    8 % to 10 %, typically 8.7 %

    Notes
    -----
    *Watch out*: a tub may differ from the table; its label comes first.

    Source: in each row of ``data/composition.csv``; much of it [usda-sr26].
    """
    found, fault = find(name, "ingredient, name")
    if found is None:
        raise FaultsError([fault] if fault else [])
    return found


def find(name: str, where: str) -> tuple[Ingredient | None, Fault | None]:
    """Return an ingredient by any of its names, or the fault to be told with others."""
    plain = _plain(str(name))
    found = _shelved.get(plain) or _names().get(plain)
    if found is not None:
        return found, None
    return None, Fault(where, "is not in the ingredient table", str(name), "", _step(plain))


def shelve(own: Iterable[Ingredient]) -> None:
    """Put ingredients of one's own on the shelf, beside those of the table, by name."""
    _shelved.update({_plain(item.name): item for item in own})


def table_has(name: str) -> bool:
    """Return whether a name, or another name for it, is the table's."""
    return _plain(name) in _names()


_shelved: dict[str, Ingredient] = {}


def _step(asked: str) -> str:
    """Return what to do about a name that nobody knows.

    A slip of the pen is mended.  A name that only sounds like another is never taken for
    it: the two may differ in allergens and in who may eat them.
    """
    import difflib  # here, for at the top it would slow every import

    words = re.findall(r"\w+", asked)
    holding = [n for n in _names() if words and set(words) <= set(re.findall(r"\w+", n))]
    if holding:
        found = dict.fromkeys(_names()[n].name for n in sorted(holding, key=len))
        listed = ", ".join(f'"{one}"' for one in list(found)[:4])
        return f"The table has {listed}: write the one that you mean"
    slips = [
        name
        for name in _names()
        if len(theirs := re.findall(r"\w+", name)) == len(words)
        and all(
            a[0] == b[0] and difflib.SequenceMatcher(None, a, b).ratio() >= _SLIP
            for a, b in zip(words, theirs, strict=True)
        )
    ]
    if slips:
        best = max(slips, key=lambda n: difflib.SequenceMatcher(None, asked, n).ratio())
        return f'Did you mean "{_names()[best].name}"?'
    return "See the list of ingredients, or write its label under [[own_ingredients]]"


_SLIP = 0.8  # how alike two spellings of one word are
