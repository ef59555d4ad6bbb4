"""One registry of units, quantities and bands of them, each with where it comes from."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable
from functools import lru_cache
from pathlib import Path
from typing import Any, TypeAlias, TypeVar

import pint

from calculators.faults import fault_error
from calculators.units.unit_names import WRITTEN, nearest

DEFINITIONS = Path(__file__).parents[1] / "data" / "units.txt"
registry: Any = pint.UnitRegistry(str(DEFINITIONS), cache_folder=None)
Quantity: TypeAlias = Any  # pint's arithmetic is dynamic; see DEVELOPERS.md
PintQuantity = registry.Quantity

Function = TypeVar("Function", bound=Callable[..., Any])

PUBLISHED = "published"
COMMON_PRACTICE = "common practice"
FROM_MEMORY = "from memory"
PROVENANCES = (PUBLISHED, COMMON_PRACTICE, FROM_MEMORY)  # the surest first


def least_sure(provenances: Iterable[str]) -> str:
    """Return the provenance of what is worked out from values of these.

    >>> least_sure(["published", "common practice"])
    'common practice'
    """
    return max(provenances, key=PROVENANCES.index, default=FROM_MEMORY)


# --- quantities ---------------------------------------------------------------


@lru_cache(maxsize=512)
def unit(name: str) -> Any:
    """Return a unit of the registry by its name in code, such as ``"kg/m**3"``."""
    try:
        return registry.Unit(name)
    except Exception:  # pint has many kinds of error for text that is no unit
        near = nearest(name) if isinstance(name, str) else ""
        raise fault_error(
            "q, unit",
            "is not a unit that is known here",
            str(name)[:40],
            "The units are those of the bench: g, kg, l, ml, cm, mm, min, h, degC, "
            "degF, percent and what they make, like kg/m**3",
            f'Did you mean "{WRITTEN[near]}"?' if near else "Turn it into one of these",
        ) from None


def q(value: float, unit_name: str = "") -> Quantity:
    """Return a quantity from a number and a unit written in our own code.

    For text that a person wrote, use :func:`read`.

    >>> say(q(12.5, "g"))
    '12.5 g'
    """
    if type(value) is not float and not is_small(value):
        value = _float(value)
    try:
        return PintQuantity(value, unit(unit_name))
    except TypeError:  # a unit name that can't even be looked up, such as a list
        raise fault_error(
            "q, unit", "is not text", repr(unit_name)[:40], "", 'Write it like "g"'
        ) from None


def _float(value: Any) -> float:
    """Return any kind of real number as a float; refuse what is none."""
    number = real_number(value)
    if number is None:
        raise fault_error(
            "q, value",
            "is not a number",
            repr(value)[:40],
            "It must be one real number",
            'Write it like q(12.5, "g"), or read("12.5 g") for text',
        )
    return number


def real_number(value: Any) -> float | None:
    """Return a real number as a float, and None for anything else."""
    if isinstance(value, bool | str | bytes) or not hasattr(value, "__float__"):
        return None
    try:
        return float(value)
    except (TypeError, ValueError):
        return None
    except OverflowError:
        return math.inf if value > 0 else -math.inf


def is_quantity(thing: object) -> bool:
    """Tell whether something is a quantity of this registry."""
    return isinstance(thing, PintQuantity)


def is_small(magnitude: object) -> bool:
    """Tell whether a magnitude is a whole number that a float can hold."""
    return type(magnitude) is int and -(2**53) < magnitude < 2**53
