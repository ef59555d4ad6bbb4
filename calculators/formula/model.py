"""A formula: a name and its lines."""

from __future__ import annotations

import math
from dataclasses import field, replace
from typing import Any

from calculators.faults import Fault, fault_error, refuse
from calculators.frozen import frozen
from calculators.ingredients import PARTS, Ingredient, find
from calculators.kitchen import Line
from calculators.units import CURRENCIES, Measure, is_quantity, say

INDEX = {name: i for i, name in enumerate(PARTS)}
MASS = Measure("g", above=0, high=1_000_000)


# --- a formula ----------------------------------------------------------------------


@frozen
class Formula:
    """A name and its lines; all that is wrong with them is told at once.

    Parameters
    ----------
    name : str
        What it is called.
    lines : sequence of kitchen.Line
        Ingredient, mass above 0 g, and where known the price of a pack and the mass
        of that pack.  All prices are in one currency.

    >>> glaze = Formula("Syrup", [Line("water", q(400, "g")), Line("sugar", q(600, "g"))])
    >>> sum(glaze.grams)
    1000.0
    """

    name: str
    lines: tuple[Line, ...]
    items: tuple[Ingredient, ...] = field(init=False, repr=False, compare=False)
    grams: tuple[float, ...] = field(init=False, repr=False, compare=False)
    currency: str = field(init=False, repr=False, compare=False)
    parts: tuple[float, ...] = field(init=False, repr=False, compare=False)

    def __post_init__(self) -> None:
        """Check all lines, and work out once what the answers below rest on."""
        if not isinstance(self.lines, list | tuple):
            raise fault_error(
                f"formula {self.name}",
                "has no list of lines",
                repr(self.lines)[:60],
                "",
                'Give a list such as [Line("sugar", q(100, "g"))]',
            )
        lines = tuple(self.lines)
        faults: list[Fault] = (
            []
            if lines
            else [
                Fault(f"formula {self.name}", "has no lines", "", "", "Give it at least one line")
            ]
        )
        items, grams, currencies = [], [], []
        for number, line in enumerate(lines, 1):
            where = f"formula {self.name}, line {number}"
            if not isinstance(line, Line):
                faults.append(
                    Fault(
                        where,
                        "is not a line",
                        repr(line)[:60],
                        "",
                        'Write Line("sugar", q(100, "g"))',
                    )
                )
                continue
            item, fault = find(line.ingredient, f"{where}, ingredient")
            amount, heavy = MASS.check(f"{where} ({line.ingredient}), mass", line.mass)
            weigh = _weighed(heavy, line.mass, item)
            faults += [f for f in (fault, weigh, *_price_faults(line, where, item)) if f]
            if item is not None and heavy is None:
                items.append(item)
                grams.append(float(amount.m))
            if line.price is not None and is_quantity(line.price):
                currencies.append(str(line.price.units))
        if len(set(currencies)) > 1:
            found = ", ".join(sorted(set(currencies)))
            faults.append(
                Fault(
                    f"formula {self.name}",
                    "has prices in more than one currency",
                    found,
                    "",
                    "Give every price in one currency",
                )
            )
        refuse(faults)
        shares = [[g * x / 100 for x in i.typical] for i, g in zip(items, grams, strict=True)]
        for attribute, value in (
            ("lines", lines),
            ("items", tuple(items)),
            ("grams", tuple(grams)),
            ("currency", currencies[0] if currencies else ""),
            ("parts", tuple(map(sum, zip(*shares, strict=True)))),
        ):
            object.__setattr__(self, attribute, value)

    def of(self, *names: str) -> float:
        """Return how many grams it holds of these parts together."""
        return sum(self.parts[INDEX[name]] for name in names)


def _weighed(fault: Fault | None, given: Any, item: Ingredient | None) -> Fault | None:
    """Tell of a volume what it weighs, where the ingredient's density is known."""
    if fault and item and item.density and is_quantity(given) and given.check("[length]**3"):
        grams = (given * item.density.typical).to("g")
        step = f"Give it in g: {say(given)} of {item.name} weighs about {say(grams)}"
        return replace(fault, next_step=step)
    return fault


def _price_faults(line: Line, where: str, item: Ingredient | None) -> list[Fault]:
    where = f"{where} ({line.ingredient})"
    faults: list[Fault] = []
    if line.price is not None:
        if not is_quantity(line.price) or str(line.price.units) not in CURRENCIES:
            faults.append(
                Fault(
                    f"{where}, price",
                    "is not an amount of money",
                    str(line.price),
                    "",
                    'Write it like q(2.65, "EUR")',
                )
            )
        elif not 0 <= line.price.m < math.inf:
            faults.append(
                Fault(
                    f"{where}, price",
                    "is out of range",
                    str(line.price),
                    "It must be at least 0",
                    "Check the price",
                )
            )
        if line.pack is None:
            faults.append(
                Fault(
                    f"{where}, price",
                    "has no pack beside it",
                    str(line.price),
                    "A price is the price of a pack",
                    'Add the pack, like q(1, "kg")',
                )
            )
    if line.pack is not None:
        _, fault = MASS.check(f"{where}, pack", line.pack)
        fault = _weighed(fault, line.pack, item)
        faults += [fault] if fault else []
    return faults
