"""One way to say a quantity, so that every page writes numbers and units alike."""

from __future__ import annotations

import math
from collections.abc import Iterable
from functools import lru_cache
from typing import Any

import pint

from calculators.faults import fault_error
from calculators.frozen import frozen
from calculators.units.registry import (
    FROM_MEMORY,
    PintQuantity,
    Quantity,
    is_quantity,
    is_small,
    q,
    real_number,
    unit,
)
from calculators.units.unit_names import CURRENCIES


@frozen
class Band:
    """A value known only as a band: low, typical and high.

    Parameters
    ----------
    low, typical, high : quantity
        Of one dimension, in rising order.
    provenance : str
        One of :data:`PROVENANCES`.
    why : str
        What makes it a band and not a number.
    """

    low: Quantity
    typical: Quantity
    high: Quantity
    provenance: str = FROM_MEMORY
    why: str = ""

    @classmethod
    def of(
        cls,
        ends: Iterable[float],
        unit_name: str = "",
        provenance: str = FROM_MEMORY,
        why: str = "",
    ) -> Band:
        """Return the band of a low, a typical and a high number of one unit.

        >>> print(Band.of((1, 2, 3), "g"))
        1 g to 3 g, typically 2 g
        """
        low, typical, high = (q(end, unit_name) for end in ends)
        return cls(low, typical, high, provenance, why)

    def __str__(self) -> str:
        """Return the band as it is said at the bench."""
        return f"{say(self.low)} to {say(self.high)}, typically {say(self.typical)}"

    def __contains__(self, value: Quantity) -> bool:
        """Tell whether a quantity lies in the band, ends included."""
        like = is_quantity(value) and value.is_compatible_with(self.low.units)
        if not like or real_number(value._magnitude) is None:
            raise fault_error(
                "a band",
                "can't be compared with this",
                as_given(value),
                f"The band is {self}",
                f"Give a quantity in {symbol(self.low.units) or 'plain numbers'}",
            )
        return bool(self.low <= value <= self.high)


# --- saying a quantity ----------------------------------------------------------

_SYMBOLS = {
    "gram": "g",
    "kilogram": "kg",
    "milligram": "mg",
    "microgram": "µg",
    "metre": "m",
    "centimetre": "cm",
    "millimetre": "mm",
    "micrometre": "µm",
    "kilometre": "km",
    "second": "s",
    "minute": "min",
    "hour": "h",
    "day": "d",
    "litre": "l",
    "millilitre": "ml",
    "centilitre": "cl",
    "kelvin": "K",
    "degree_Celsius": "°C",
    "degree_Fahrenheit": "°F",
    "delta_degree_Celsius": "°C",
    "delta_degree_Fahrenheit": "°F",
    "percent": "%",
    "bloom": "bloom",
    "leaf": "leaf",
    "degree_baume": "°Bé",
    "pascal": "Pa",
    "kilopascal": "kPa",
    "hectopascal": "hPa",
    "millipascal": "mPa",
    "bar": "bar",
    "millibar": "mbar",
    "joule": "J",
    "kilojoule": "kJ",
    "megajoule": "MJ",
    "watt": "W",
    "kilowatt": "kW",
    "ounce": "oz",
    "pound": "lb",
    "inch": "in",
    "foot": "ft",
    "mole": "mol",
    "newton": "N",
    "degree": "°",
    "kilogram / metre ** 3": "kg/m³",
}
_POWERS = {1: "", 2: "²", 3: "³", 4: "⁴", 0.5: "^½"}


@lru_cache(maxsize=512)
def _symbol(container: Any) -> str:
    up: list[str] = []
    down: list[str] = []
    for name, power in container.items():
        mark = _POWERS.get(abs(power), f"^{abs(power):g}")
        (up if power > 0 else down).append(_SYMBOLS.get(name, name) + mark)
    down.sort(key=lambda part: (part == "K", part))  # kJ/kg/K, as handbooks write it
    return " ".join(sorted(up)) + "".join("/" + part for part in down)


def symbol(unit_name: str | Any) -> str:
    """Return how a unit is written on paper: ``"kg/m**3"`` gives ``"kg/m³"``."""
    return _symbol((unit(unit_name) if isinstance(unit_name, str) else unit_name)._units)


def number(value: float, digits: int = 3, places: int | None = None) -> str:
    """Return a number rounded for reading, with a real minus sign.

    >>> number(1286.61), number(0.30278), number(12.0), number(-18.25, places=1)
    ('1290', '0.303', '12', '−18.2')
    """
    real = real_number(value)
    if real is None or not math.isfinite(real):
        raise fault_error(
            "number",
            "is not a finite number",
            repr(value)[:40],
            "",
            "Look where it was worked out",
        )
    value = real
    if places is None:
        size = math.floor(math.log10(abs(value))) if value else 0
        places = max(0, digits - 1 - size)
        rounded = round(value, digits - 1 - size)
        text = f"{rounded:.{places}f}"
        text = text.rstrip("0").rstrip(".") if "." in text else text
    else:
        text = f"{value:.{places}f}"
    text = text if text.strip("-0.") else text.lstrip("-")
    return text.replace("-", "−")


def say(
    quantity: Quantity,
    unit_name: str | None = None,
    *,
    digits: int = 3,
    places: int | None = None,
) -> str:
    """Return a quantity as it is written at the bench: ``12.5 g``, ``31 °C``.

    Parameters
    ----------
    quantity : quantity
        What to say.
    unit_name : str, optional
        Convert to this unit first.
    digits : int
        Significant digits (trailing zeros are dropped).
    places : int, optional
        Decimal places instead of significant digits.

    >>> say(q(1.2866, "kg/l"), "kg/m**3", digits=4)
    '1287 kg/m³'
    """
    if not is_quantity(quantity) or real_number(quantity._magnitude) is None:
        raise fault_error(
            "say",
            "is not a quantity",
            as_given(quantity),
            "",
            "Say one of its values, like .typical"
            if isinstance(quantity, Band)
            else 'Give it a unit, like q(12.5, "g")',
        )
    if unit_name is not None:
        wanted = unit(unit_name)
        try:
            quantity = quantity.to(wanted)
        except (pint.PintError, ArithmeticError):
            raise fault_error(
                "say",
                f"is {dimension_of(quantity)}, and {dimension_of(PintQuantity(1, wanted))} is asked for",
                as_given(quantity),
                "",
                f"Say it in a unit such as {symbol(quantity.units) or 'none'}",
            ) from None
    sign = symbol(quantity.units)
    text = number(quantity.magnitude, digits, places)
    if sign == "leaf" and text != "1":
        sign = "leaves"
    if sign in ("", "°"):
        return text + sign
    return f"{text}\N{NO-BREAK SPACE}{sign}" if sign == "%" else f"{text} {sign}"


_DIMENSIONS = {
    "[mass]": "a mass",
    "[length]": "a length",
    "[length] ** 2": "an area",
    "[length] ** 3": "a volume",
    "[time]": "a time",
    "[temperature]": "a temperature",
    "dimensionless": "a plain number or share",
    "[gel_strength]": "a bloom strength",
    "[leaves]": "a count of leaves",
    "[baume_scale]": "a Baumé degree",
    "[mass] / [length] ** 3": "a density",
    "[mass] / [length] / [time] ** 2": "a pressure",
    "[mass] / [length] / [time]": "a viscosity",
    "[length] ** 2 * [mass] / [time] ** 2": "an energy",
    "[length] ** 2 * [mass] / [time] ** 3": "a power",
    "[mass] / [length] ** 2": "a mass on an area",
    "[length] / [time]": "a speed",
    "[mass] / [substance]": "a molar mass",
    **{f"[{code.lower()}]": f"an amount of {code}" for code in CURRENCIES},
}


def is_difference(quantity: Quantity) -> bool:
    """Tell whether it is a difference of temperatures, and so no temperature."""
    names = list(quantity._units)
    return len(names) == 1 and names[0].startswith("delta_")


def as_given(value: Any) -> str:
    """Return anything as it is shown in a fault: short, and never an error."""
    if is_quantity(value):
        real = real_number(value._magnitude)
        if real is None:
            return repr(value._magnitude)[:40]
        if not math.isfinite(real):
            return str(real)
        if real == 0 or 1e-9 < abs(real) < 1e9:
            return say(value, digits=6)
        return f"{real:g} {symbol(value.units)}".strip()
    if isinstance(value, int) and not is_small(value) and not isinstance(value, bool):
        return f"{real_number(value):g}"
    text = str(value) if isinstance(value, str | float | int | Band) else repr(value)
    return text[:60] or "nothing"


def dimension_of(quantity: Quantity) -> str:
    """Return what a quantity measures, in words."""
    if is_difference(quantity):
        return "a difference of temperatures"
    name = str(quantity.dimensionality)
    return _DIMENSIONS.get(name, f"a quantity in {symbol(quantity.units)}")
