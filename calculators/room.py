"""How much room water, sugars, fat, protein and the rest take together."""

from __future__ import annotations

from calculators import syrup
from calculators.sources import table
from calculators.units import q


def room_of(
    water: float, sugars: float, fat: float, protein: float, other: float, celsius: float
) -> float:
    """Return the volume of a mixture.

    Parameters
    ----------
    water, sugars, fat, protein, other : float
        In g; gelatin counts as protein.  Sugars are at most 95 % of sugars and water,
        or there is neither.
    celsius : float
        0 to 100 °C.

    Returns
    -------
    float
        In cm³, good to 2 % for a glaze, a syrup or a milk: every sugar is taken as
        sucrose, and salt, pigment and starch as one light solid.

    Notes
    -----
    Source: ``syrup.density`` for the water phase; fat and protein after
    [choi-okos1986].
    """
    wet = sugars + water
    liquid = syrup.density(q(100 * sugars / wet, "percent"), q(celsius, "degC")).m if wet else 1.0
    return (
        1000 * wet / liquid
        + room_alone(fat, "fat", celsius)
        + room_alone(protein, "protein", celsius)
        + room_alone(other, "other", celsius)
    )


def room_alone(grams: float, name: str, celsius: float) -> float:
    """Return the room that fat, protein or other solids take, cm³; grams, °C."""
    rows = table("formula_bench")
    slope = rows.get(f"{name} density slope")
    per_degree = slope.value if slope and slope.value else 0.0
    return 1000 * grams / ((rows[f"{name} density"].value or 1) + per_degree * (celsius - 20))
