"""A tub that the table doesn't have, from what stands on its label.

The label says what is in 100 g, which allergens it holds and may hold, and what it is
made of.  What it doesn't say is never guessed from a name that sounds alike.

No published data are needed: the label is the source, and its figures are averages.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from types import MappingProxyType

from calculators import safety
from calculators.faults import Fault, refuse
from calculators.ingredients import SUGARS, Component, Ingredient, ingredients, table_has
from calculators.sources import records
from calculators.units import FROM_MEMORY, PUBLISHED, Band, Quantity, read, say

# What a label may say of 100 g.  *solids* is what is not water; *sugars* are all of them,
# and those that have no line of their own count as sucrose.
ON_LABEL = ("water", "solids", "sugars", *SUGARS, "fat", "protein", "gelatin")
_NAMED = tuple(name for name in SUGARS if name != "glucose syrup")
_APART = 0.1  # share by which a tub may differ from its label; from memory
_ROUNDED = 1.0  # g by which the figures of a label may pass 100 together


def origins() -> tuple[str, ...]:
    """Return what an ingredient can be of: it decides who may eat it."""
    return tuple(row["origin"] for row in records("origins"))


def kinds() -> tuple[str, ...]:
    """Return what an ingredient can be used as."""
    return tuple(dict.fromkeys(item.kind for item in ingredients().values()))


@dataclass(frozen=True)
class Label:
    """What stands on the label of a tub.

    Parameters
    ----------
    name : str
        As formula and stores call it; no name of the table.
    kind, origin : str
        What it is used as, and what it is of: one of :func:`kinds`, of :func:`origins`.
    per_100_g : mapping
        Grams by the names of :data:`ON_LABEL`; water or solids must be there.
    allergens, may_contain : tuple of str
        By the names of ``safety.allergens()``; empty only where the label names none.
    density : quantity or None
        kg/m³ or g/ml; without it a pack in millilitres can't be weighed.
    dextrose_equivalent : quantity or None
        %; a glucose syrup must have one.
    colourant : str
        What the law table calls it; a colour must have one.
    """

    name: str
    kind: str
    origin: str
    per_100_g: Mapping[str, float]
    allergens: tuple[str, ...]
    may_contain: tuple[str, ...] = ()
    density: Quantity | None = None
    dextrose_equivalent: Quantity | None = None
    colourant: str = ""

    def __post_init__(self) -> None:
        """Refuse what no label can say, all at once."""
        refuse(self._faults())

    def _faults(self) -> Iterable[Fault]:
        where, held = f"label of {self.name}", self.per_100_g
        if table_has(self.name):
            yield Fault(
                f"{where}, name",
                "has the name of another ingredient",
                self.name,
                "The table has it, with other figures",
                "Give yours a name of its own, such as the brand's",
            )
        for key, word, known in (
            ("kind", self.kind, kinds()),
            ("of", self.origin, origins()),
            *(("allergens", one, tuple(safety.allergens())) for one in self.allergens),
            *(("may_contain", one, tuple(safety.allergens())) for one in self.may_contain),
            *(("per 100 g", one, ON_LABEL) for one in held),
        ):
            if word not in known:
                yield Fault(f"{where}, {key}", "is not known", word, ", ".join(known))
        if "water" not in held and "solids" not in held:
            yield Fault(
                f"{where}, water",
                "says neither its water nor its solids",
                "",
                "Water is not on every label",
                "Ask the maker for the data sheet, and add water or solids",
            )
        if (
            "water" in held
            and "solids" in held
            and abs(sum(held[n] for n in _BOTH) - 100) > _ROUNDED
        ):
            yield Fault(where, "has water and solids that don't make 100 g together")
        named = sum(held.get(name, 0.0) for name in _NAMED)
        if "sugars" in held and named > held["sugars"] + _ROUNDED:
            yield Fault(
                where,
                "has more sugars by name than in all",
                f"{named:g} g",
                f"{held['sugars']:g} g",
            )
        total = sum(one.typical for one in self._parts())
        if total > 100 + _ROUNDED or any(not 0 <= grams <= 100 for grams in held.values()):
            yield Fault(where, "has more than 100 g in 100 g", f"{total:g} g", "", "Read it again")
        if self.kind == "glucose syrup" and self.dextrose_equivalent is None:
            yield Fault(
                f"{where}, de",
                "is a glucose syrup without its dextrose equivalent",
                "",
                "",
                "Add de",
            )
        if self.kind == "colour" and not self.colourant:
            yield Fault(
                f"{where}, colourant",
                "is a colour without its name in the law",
                "",
                "The region decides which may be used",
                "Add colourant, as it stands in the list of ingredients",
            )
        if self.origin in _TELLS and _TELLS[self.origin] not in self.allergens:
            yield Fault(
                f"{where}, allergens",
                f"is of {self.origin} and doesn't name it",
                ", ".join(self.allergens) or "none",
                "",
                f'Add "{_TELLS[self.origin]}"',
            )

    def _parts(self) -> list[Component]:
        held = dict(self.per_100_g)
        water = held.pop("water", None)
        solids = held.pop("solids", None)
        if water is None and solids is not None:
            water = 100 - solids
        sugars = held.pop("sugars", None)
        if self.kind == "glucose syrup" and "glucose syrup" not in held:
            # The sugars that a label of syrup names are pieces of its solids.
            beside = sum(held.get(name, 0.0) for name in ("fat", "protein"))
            for name in _NAMED:
                held.pop(name, None)
            held["glucose syrup"] = max(0.0, 100 - (water or 0.0) - beside)
        elif sugars is not None:
            rest = sugars - sum(held.get(name, 0.0) for name in _NAMED)
            if rest > 0:
                held["sucrose"] = held.get("sucrose", 0.0) + rest
        held["water"] = water or 0.0
        return [_component(name, grams) for name, grams in held.items() if grams]

    def as_ingredient(self) -> Ingredient:
        """Return it as formula, mixture, allergens and order list know an ingredient.

        >>> oat = Label("oat bar", "chocolate", "plant", {"water": 1, "sugars": 45, "fat": 38}, ())
        >>> print(oat.as_ingredient().share("fat").typical)
        38 percent
        """
        parts = {one.name: one for one in self._parts()}
        left = max(0.0, 100 - sum(one.typical for one in parts.values()))
        parts["other"] = Component("other", left, 0.0, min(100.0, left + 10), note="what is left")
        de = self.dextrose_equivalent
        typical = None if de is None else float(de.m_as("percent"))
        density = self.density
        return Ingredient(
            self.name,
            (),
            self.kind,
            self.origin,
            self.allergens,
            tuple(name for name in self.may_contain if name not in self.allergens),
            self.colourant,
            None if typical is None else (max(3.0, typical - 3), typical, min(100.0, typical + 3)),
            None
            if density is None
            else Band.of((density.m_as("kg/m**3"),) * 3, "kg/m**3", PUBLISHED, "from its label"),
            MappingProxyType(parts),
            PUBLISHED,
            "from its label",
        )

    def as_text(self) -> dict[str, str]:
        """Return the label as text, as it stands in a lesson's kitchen cell."""
        out = {"name": self.name, "kind": self.kind, "of": self.origin}
        out["allergens"] = " ".join(self.allergens)
        out["may_contain"] = " ".join(self.may_contain)
        if self.density is not None:
            out["density"] = say(self.density, "g/ml", digits=6)
        if self.dextrose_equivalent is not None:
            out["de"] = say(self.dextrose_equivalent, digits=6)
        if self.colourant:
            out["colourant"] = self.colourant
        return out | {name: f"{grams:g}" for name, grams in self.per_100_g.items()}


_BOTH = ("water", "solids")
_TELLS = {"milk": "milk", "egg": "eggs", "fish": "fish"}  # of an animal that is an allergen


def _component(name: str, grams: float) -> Component:
    apart = max(0.5, _APART * grams)
    if name in ("water", "glucose syrup"):  # sold to a figure
        apart = min(apart, 2.0)
    return Component(
        name,
        grams,
        max(0.0, grams - apart),
        min(100.0, grams + apart),
        provenance=FROM_MEMORY,
        note="its label; the range is from memory",
    )


def label_of(text: Mapping[str, str]) -> Label:
    """Return a label from its text: :meth:`Label.as_text` the other way round.

    >>> label_of({"name": "oat bar", "kind": "chocolate", "of": "plant", "water": "1"}).kind
    'chocolate'
    """
    density, de = text.get("density", ""), text.get("de", "")
    return Label(
        text["name"],
        text["kind"],
        text["of"],
        {name: float(text[name]) for name in ON_LABEL if name in text},
        tuple(text.get("allergens", "").split()),
        tuple(text.get("may_contain", "").split()),
        read(density, "g/ml", f"{text['name']}, density") if density else None,
        read(de, "percent", f"{text['name']}, de") if de else None,
        text.get("colourant", ""),
    )
