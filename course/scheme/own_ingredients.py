"""Ingredients of a kitchen's own, read from their labels in the scheme or a file beside it."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Any

from calculators.faults import FaultsError
from calculators.ingredients import ingredient, shelve
from calculators.labels import ON_LABEL, Label
from calculators.units import Measure, Quantity, is_quantity, read
from course.scheme.declared import LABELS
from course.scheme.tables import rows_of
from exercises.files.toml_file import TomlFile, TomlTable


@dataclass(frozen=True)
class OwnIngredient:
    """A label, and what a pack of it costs; both may be None."""

    label: Label
    price: Quantity | None = None
    pack: Quantity | None = None


def read_own(top: TomlTable, beside: str, price: Any) -> tuple[OwnIngredient, ...]:
    """Read the labels of a scheme and of the file beside it, and put them on the shelf.

    Parameters
    ----------
    top : TomlTable
        The scheme's outermost table.
    beside : str
        The name of a file with more of them; empty for none.
    price : function
        From a table to the price in it, in the scheme's currency.
    """
    rows = rows_of(top, "own_ingredients")
    files: list[TomlFile] = []
    if beside:
        path = top.file.path.parent / beside
        try:
            files.append(TomlFile(path, "label", "file of labels", top.file.beside.get(beside)))
        except FaultsError as error:
            for fault in error.faults:
                top.file.fault(
                    ("own", "ingredients"), fault.problem, beside, fault.limit, fault.next_step
                )
    for file in files:
        rows += rows_of(file.top, "own_ingredients")
        file.top.done()
    made: dict[str, OwnIngredient] = {}
    for row in rows:
        one = _one(row, price)
        if one is None:
            continue
        name = one.label.name
        if name.casefold() in made:
            row.fault("name", "is there twice", name, "", "Keep one of the two")
        made[name.casefold()] = one
    for file in files:
        file.tell()
    shelve(one.label.as_ingredient() for one in made.values())
    return tuple(made.values())


def _one(row: TomlTable, price: Any) -> OwnIngredient | None:
    if "allergens" not in row.data:
        row.known.add("allergens")
        row.fault(
            "allergens",
            "is missing",
            "",
            "Silence is not an answer here",
            "Write what the label names; allergens = [] where it names none",
        )
    holds = replace(LABELS["allergens"], default=()).read(row)  # none may be named
    said = LABELS.read(row, "allergens") | {"allergens": holds}
    name, kind, origin = said["name"], said["kind"], said["of"]
    per_100_g = {
        part: said[key].m_as("percent")
        for part in ON_LABEL
        if said[key := part.replace(" ", "_")] is not None
    }
    cost, pack = price(row), pack_of(row, said["density"])
    row.done()
    if not row.sound() or not (name and kind and origin):
        return None
    try:
        label = Label(
            name,
            kind,
            origin,
            per_100_g,
            said["allergens"],
            said["may_contain"],
            said["density"],
            said["de"],
            said["colourant"],
        )
    except FaultsError as error:
        for fault in error.faults:
            key = fault.where.rpartition(", ")[2]
            row.fault(
                key if key in said else "name",
                fault.problem,
                fault.given,
                fault.limit,
                fault.next_step,
            )
        return None
    return OwnIngredient(label, cost, pack)


_PACK = Measure("g", None, 100_000, above=0)


def pack_of(row: TomlTable, density: Quantity | None) -> Quantity | None:
    """Read a pack in grams, or in millilitres where the density is known."""
    written = row.data.get("pack")
    if isinstance(written, str):
        try:
            value = read(written)
        except FaultsError:
            value = None
        if is_quantity(value) and value.check("[length]**3"):
            row.known.add("pack")
            if density is not None:
                return (value * density).to("g")
            row.fault(
                "pack",
                "is a volume, and its density is not known",
                written,
                "A pack is weighed",
                'Weigh one and write it in grams, or add density = "1.03 g/ml"',
            )
            return None
    return row.quantity("pack", _PACK, None)


def density_of(name: str) -> Quantity | None:
    """Return the density of an ingredient of the table or of one's own, where known."""
    try:
        band = ingredient(name).density
    except FaultsError:
        return None
    return band.typical if band else None
