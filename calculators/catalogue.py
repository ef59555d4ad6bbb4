"""Which functions are calculators: those on this floor that declare what they take."""

from __future__ import annotations

import importlib
import pkgutil
from collections.abc import Callable
from functools import cache
from typing import Any

import calculators
from calculators.units import declaration


@cache
def subjects() -> dict[str, dict[str, Callable[..., Any]]]:
    """Return the calculators of each subject, in the order of its files.

    A subject is a module or a folder of this floor; a calculator is a public function
    that carries a declaration.  Nothing else makes one, so there is no list to keep.

    Examples
    --------
    >>> "boiling_point" in subjects()["syrup"], "units" in subjects()
    (True, False)
    """
    found: dict[str, dict[str, Callable[..., Any]]] = {}
    for module in pkgutil.walk_packages(calculators.__path__, "calculators."):
        home = importlib.import_module(module.name)
        for name, thing in vars(home).items():
            ours = getattr(thing, "__module__", "") == module.name
            if ours and callable(thing) and not name.startswith("_") and declaration(thing):
                found.setdefault(module.name.split(".")[1], {})[name] = thing
    return dict(sorted(found.items()))


def calculator_named(name: str) -> Callable[..., Any] | None:
    """Return a calculator by subject and function, ``"syrup.density"``; None if there is none."""
    subject, _, function = name.partition(".")
    try:
        found = getattr(importlib.import_module(f"calculators.{subject}"), function, None)
    except (ImportError, ValueError):
        return None
    if found is None or function.startswith("_") or declaration(found) is None:
        return None
    return found
