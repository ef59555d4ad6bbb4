"""Which allergens have to be declared, and where."""

from __future__ import annotations

from collections.abc import Mapping
from functools import cache
from types import MappingProxyType

from calculators.frozen import frozen
from calculators.sources import records

# --- allergens to declare ------------------------------------------------------------


@frozen
class Allergen:
    """An allergen that the law has declared.

    Parameters
    ----------
    name : str
        Its short name, as in the ingredient table.
    words : str
        What it covers.
    regions : tuple of str
        Where it is declared, as far as we know.
    exempt : str
        What is left out of it by law in the EU.
    kitchen : str
        Where a pastry kitchen meets it.
    provenance : str
        Of the EU row; the lists of other regions are from memory.
    """

    name: str
    words: str
    regions: tuple[str, ...]
    exempt: str
    kitchen: str
    provenance: str


@cache
def allergens() -> Mapping[str, Allergen]:
    """Return the fourteen allergens of the EU list by their short name.

    >>> len(allergens()), allergens()["fish"].kitchen
    (14, 'fish gelatin as gelling agent is declared')
    """
    return MappingProxyType(
        {
            row["name"]: Allergen(
                row["name"],
                row["words"],
                tuple(row["regions"].split()),
                row["exempt"],
                row["kitchen"],
                row["provenance"],
            )
            for row in records("allergens")
        }
    )
