"""The numbers of a sheet: the same for ever, wherever they are drawn.

A value is a step counted from a keyed hash of seed, question and the value's
name.  No random generator takes part, so the same sheet comes back under every
Python, and adding a value to a question moves none of the others.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from decimal import Decimal
from math import factorial
from typing import Any, TypeVar

from calculators.faults import fault_error
from calculators.units import Quantity, q
from exercises.picking import pick

Item = TypeVar("Item")


class Draw:
    """What a question draws its values from; remembers each under its name.

    Parameters
    ----------
    seed : str
        The sheet's seed.
    question : str
        The question's id.
    counter : int
        Counts the draws that were put back because a wrong turn met the answer.
    kitchen : mapping of str to quantity, optional
        The kitchen of the scheme, for questions that ask about it.
    recorded : mapping, optional
        Values as a sheet stores them; these are given back instead of drawn.
    """

    def __init__(
        self,
        seed: str,
        question: str,
        counter: int = 0,
        kitchen: Mapping[str, Quantity] | None = None,
        recorded: Mapping[str, Any] | None = None,
    ) -> None:
        self.seed, self.question, self.counter = seed, question, counter
        self._kitchen = dict(kitchen or {})
        self._recorded = recorded
        self.values: dict[str, Any] = {}

    def _index(self, name: str, size: int) -> int:
        """Return the index drawn under a name, or the one that is recorded."""
        if name in self.values:
            raise fault_error(f"{self.question}, {name}", "is drawn twice", name)
        if self._recorded is not None:
            index = self._recorded.get(name)
            if not isinstance(index, int) or not 0 <= index < size:
                raise fault_error(
                    f"{self.question}, {name}",
                    "is not in the sheet as this question draws it",
                    str(index),
                    "",
                    "The question has changed since the sheet was issued",
                )
        else:
            index = pick(self.seed, self.question, name, self.counter, size)
        self.values[name] = index
        return index

    # -- quantities ---------------------------------------------------------------

    def quantity(self, name: str, low: float, high: float, step: float, unit: str) -> Quantity:
        """Return a quantity from low to high in whole steps, ends included.

        >>> Draw("seed", "example").quantity("mass", 10, 12, 0.5, "g").units == q(1, "g").units
        True
        """
        first, last, by = (Decimal(str(x)) for x in (low, high, step))
        size = int((last - first) / by) + 1
        return q(float(first + by * self._index(name, size)), unit)

    def mass(
        self, name: str, low: float, high: float, step: float = 1, unit: str = "g"
    ) -> Quantity:
        """Return a mass, in grams unless another unit is named."""
        return self.quantity(name, low, high, step, unit)

    def temperature(self, name: str, low: float, high: float, step: float = 1) -> Quantity:
        """Return a temperature in °C."""
        return self.quantity(name, low, high, step, "degC")

    def percent(self, name: str, low: float, high: float, step: float = 1) -> Quantity:
        """Return a share in per cent."""
        return self.quantity(name, low, high, step, "percent")

    def length(
        self, name: str, low: float, high: float, step: float = 1, unit: str = "cm"
    ) -> Quantity:
        """Return a length, in centimetres unless another unit is named."""
        return self.quantity(name, low, high, step, unit)

    def duration(
        self, name: str, low: float, high: float, step: float = 1, unit: str = "min"
    ) -> Quantity:
        """Return a time, in minutes unless another unit is named."""
        return self.quantity(name, low, high, step, unit)

    def volume(
        self, name: str, low: float, high: float, step: float = 1, unit: str = "ml"
    ) -> Quantity:
        """Return a volume, in millilitres unless another unit is named."""
        return self.quantity(name, low, high, step, unit)

    def whole(self, name: str, low: int, high: int) -> int:
        """Return a whole number from low to high, ends included."""
        return low + self._index(name, high - low + 1)

    # -- choices --------------------------------------------------------------------

    def one_of(self, name: str, options: Sequence[Item]) -> Item:
        """Return one of the options."""
        return options[self._index(name, len(options))]

    def two_of(self, name: str, options: Sequence[Item]) -> tuple[Item, Item]:
        """Return two different options, in drawn order."""
        size = len(options)
        first, second = divmod(self._index(name, size * (size - 1)), size - 1)
        return options[first], options[second if second < first else second + 1]

    def shuffled(self, name: str, items: Sequence[Item]) -> list[Item]:
        """Return the items in a drawn order."""
        left, out = list(items), []
        index = self._index(name, factorial(len(left)))
        while left:
            index, place = divmod(index, len(left))
            out.append(left.pop(place))
        return out

    # -- the kitchen --------------------------------------------------------------------

    def kitchen(self, name: str) -> Quantity:
        """Return a value of the scheme's kitchen, kept with the sheet.

        Names: ``altitude``, ``room``, ``humidity``, ``freezer``, ``hob``,
        ``blender``, ``gelatin`` (the bloom in stores), ``window_low``, ``window_high``.
        """
        key = f"kitchen {name}"
        if self._recorded is not None and key in self._recorded:
            value, unit_name = self._recorded[key]
        elif name in self._kitchen:
            held = self._kitchen[name]
            value, unit_name = float(held.magnitude), str(held.units)
        else:
            raise fault_error(
                f"{self.question}, {name}",
                "is not known of this kitchen",
                name,
                "",
                "Give it in the scheme under [kitchen]",
            )
        self.values[key] = [value, unit_name]
        return q(value, unit_name)
