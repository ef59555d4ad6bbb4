"""What temperature a mixture ends at."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from calculators.faults import Fault, fault_error, refuse
from calculators.sources import table
from calculators.units import Measure, q
from calculators.water import NORMAL_PRESSURE

TABLE = table("cooling")
STEFAN_BOLTZMANN = 5.670374419e-8  # W/m²/K⁴, follows from [si-brochure]
DRY_AIR = 287.05  # J/kg/K, gas constant of dry air, [us-atmosphere1976]
STEAM = 461.5  # J/kg/K, gas constant of water vapour: 8.314 / 0.018015
AIR_HEAT = 1006.0  # J/kg/K, dry air; within 1 % from -60 to 150 °C
WATER_HEAT = q(4.18, "kJ/kg/K")  # 0 to 95 °C, within 1 %

WINDOW_LOW = TABLE["window low"].quantity
WINDOW_HIGH = TABLE["window high"].quantity
STILL_AIR = TABLE["still air"].quantity
STIRRED_BATH = TABLE["stirred water bath"].quantity
PURE_WATER = q(1)  # water activity
GLAZE_HEAT = TABLE["glaze specific heat"].quantity
GLAZE_CONDUCTIVITY = TABLE["glaze conductivity"].quantity
SEA_LEVEL = q(NORMAL_PRESSURE, "kPa")

TEMPERATURE = Measure("degC", -60, 150)
MASS = Measure("kg", high=1000, above=0)
HEAT = Measure("kJ/kg/K", 0.5, 5)


# --- mixing ---------------------------------------------------------------------


def read_rows(
    name: str,
    rows: Sequence[Any],
    columns: Sequence[tuple[str, Measure]],
    least: int,
) -> list[tuple[float, ...]]:
    """Check every cell of a small table and tell all faults at once."""
    wanted = ", ".join(label for label, _ in columns)
    if len(rows) < least:
        raise fault_error(
            name,
            "is missing",
            f"{len(rows) or 'none'}",
            f"At least {least} must be given",
            f"Give rows of ({wanted})",
        )
    read: list[tuple[float, ...]] = []
    faults: list[Fault] = []
    for at, row in enumerate(rows, 1):
        if not isinstance(row, list | tuple) or len(row) != len(columns):
            faults.append(
                Fault(
                    f"{name} {at}",
                    "is not a row",
                    repr(row)[:60],
                    f"A row is ({wanted})",
                    "Write it so",
                )
            )
            continue
        cells = [
            measure.check(f"{name} {at}, {label}", cell)
            for (label, measure), cell in zip(columns, row, strict=True)
        ]
        faults += [fault for _, fault in cells if fault]
        if not faults:
            read.append(tuple(float(value.m) for value, _ in cells))
    refuse(faults)
    return read
