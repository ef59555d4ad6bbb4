"""The invented kitchen and the careful run that the tests of the dry run vary."""

from __future__ import annotations

from typing import Any

from exercises.rehearsal.log import Run, begin
from exercises.rehearsal.method import method

KITCHEN: dict[str, Any] = {
    "altitude": "430 m",
    "room": "22 °C",
    "humidity": "60 %",
    "freezer": "-18 °C",
    "hob": "2 kW",
    "blender": "600 W",
    "jug": "11 cm",
    "blade": "2.5 cm",
    "scale": "1 g",
    "gelatin_grade": "gold",
    "gelatin_bloom": "200 bloom",
    "gelatin_wanted": "gold",
    "glucose": "confectioner",
    "window_low": "31 °C",
    "window_high": "34 °C",
    "storage": "4 °C",
    "display": "4 °C",
    "region": "EU",
    "coat": "0.22 g/cm²",
    "formula_name": "White chocolate glaze",
    "formula": [
        ["water", "230 g", "", ""],
        ["sugar", "280 g", "1.35 EUR", "1 kg"],
        ["glucose syrup", "280 g", "14.80 EUR", "5 kg"],
        ["sweetened condensed milk", "190 g", "2.65 EUR", "397 g"],
        ["white chocolate", "280 g", "27.50 EUR", "2.5 kg"],
        ["gelatin leaf", "18 g", "12.40 EUR", "500 g"],
    ],
    "cakes": [["cylinder", {"diameter": "18 cm", "height": "4.5 cm"}, 3]],
}


def careful(run: Run | None = None) -> list[dict[str, Any]]:
    """Return the method's own actions, to be changed by a test."""
    held = run or begin(KITCHEN)
    return [dict(step.deed) for step in method(held.conditions)]


def played(actions: list[dict[str, Any]], run: Run | None = None) -> Run:
    """Return a run in which these were done, each as far as it could be."""
    run = run or begin(KITCHEN)
    for deed in actions:
        run, _ = run.then(deed)
    return run
