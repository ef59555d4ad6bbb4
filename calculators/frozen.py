"""Frozen dataclasses that cost little to make: the house has eighty, and each import makes them.

The standard decorator compiles six methods for each class, half of the time in which the
calculators import.  Here ``__init__`` alone is compiled; the others are shared.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import MISSING, FrozenInstanceError, dataclass, field, fields
from operator import attrgetter
from typing import Any, NoReturn, TypeVar, dataclass_transform

T = TypeVar("T")


@dataclass_transform(frozen_default=True, field_specifiers=(field,))
def frozen(cls: type[T]) -> type[T]:
    """Return a class as ``dataclass(frozen=True)`` makes it.

    >>> @frozen
    ... class Jug:
    ...     wide: float
    ...     name: str = "jug"
    >>> Jug(11.0), Jug(11.0) == Jug(wide=11.0), hash(Jug(1.0)) == hash(Jug(1.0))
    (Jug(wide=11.0, name='jug'), True, True)
    >>> Jug(11.0).wide = 12.0
    Traceback (most recent call last):
    dataclasses.FrozenInstanceError: cannot assign to field 'wide'
    """
    own = vars(cls)
    made: Any = dataclass(init=False, repr=False, eq=False)(cls)
    all_of = fields(made)
    compared = _values([f.name for f in all_of if f.compare])
    shown = [f.name for f in all_of if f.repr]

    def equal(self: Any, other: object) -> Any:
        if other.__class__ is not self.__class__:
            return NotImplemented
        return bool(compared(self) == compared(other))

    def hashed(self: Any) -> int:
        return hash(compared(self))

    def said(self: Any) -> str:
        held = ", ".join(f"{name}={getattr(self, name)!r}" for name in shown)
        return f"{type(self).__qualname__}({held})"

    own_eq, own_hash = "__eq__" in own, own.get("__hash__") is not None
    if "__init__" not in own:
        made.__init__ = _init(made)
    if "__repr__" not in own:
        made.__repr__ = said
    if not own_eq:
        made.__eq__ = equal
    if not own_hash:
        made.__hash__ = hashed
    made.__setattr__, made.__delattr__ = _kept, _kept
    return cls


def _values(names: list[str]) -> Callable[[Any], Any]:
    """Return what gives the values of some fields as one tuple, or as one value of one."""
    return attrgetter(*names) if names else lambda _: ()


def _kept(self: object, name: str, *_: object) -> NoReturn:
    raise FrozenInstanceError(f"cannot assign to field {name!r}")


def _init(cls: type) -> Callable[..., None]:
    """Return the ``__init__`` of a class, compiled from its fields."""
    takes, does = ["self"], []
    known: dict[str, Any] = {"_put": object.__setattr__, "_MISSING": MISSING}
    for one in fields(cls):
        name, start = one.name, f"_{one.name}"
        if one.default_factory is not MISSING:
            known[start] = one.default_factory
            fresh = f"{start}() if {name} is _MISSING else {name}" if one.init else f"{start}()"
            does.append(f"_put(self, {name!r}, {fresh})")
            takes += [f"{name}=_MISSING"] if one.init else []
        elif one.init:
            known[start] = one.default
            does.append(f"_put(self, {name!r}, {name})")
            takes.append(name if one.default is MISSING else f"{name}={start}")
    if hasattr(cls, "__post_init__"):
        does.append("self.__post_init__()")
    text = f"def __init__({', '.join(takes)}):\n " + "\n ".join(does or ["pass"])
    exec(text, known)  # the names of fields, as the standard library does it
    made: Callable[..., None] = known["__init__"]
    made.__qualname__ = f"{cls.__qualname__}.__init__"
    return made
