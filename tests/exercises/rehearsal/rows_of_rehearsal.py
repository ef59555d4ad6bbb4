"""What a set run asks of the rows, for the invented kitchen of the tests."""

from __future__ import annotations

from typing import Any

from calculators.kitchen import kitchen_of
from exercises.observing.rows import COVER, pan_may_lack
from exercises.observing.sheet import content_of
from tests.exercises.rehearsal.kitchens_of_rehearsal import KITCHEN

MARBLED: dict[str, Any] = {
    **KITCHEN,
    "jugs": [["ivory", "50 %", ""], ["pink", "25 %", ""], ["green", "25 %", ""]],
}


def asks(kitchen: dict[str, Any] | None = None) -> dict[str, Any]:
    """Return rows, bands and limits as a set run holds them."""
    held = kitchen_of(**(kitchen or MARBLED))
    content = content_of(held, title="Glaze", school="Bramblemoor")
    return content | {"cover": COVER.m_as("cm"), "pan": pan_may_lack(held).m_as("g")}
