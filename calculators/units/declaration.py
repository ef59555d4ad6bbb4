"""What a calculator takes and returns, declared beside it and checked at every call."""

from __future__ import annotations

import math
import re
from collections.abc import Callable, Sequence
from dataclasses import replace
from functools import wraps
from typing import Any, Protocol, TypeAlias

import pint

from calculators.faults import Fault, FaultsError
from calculators.frozen import frozen
from calculators.units.reading import read
from calculators.units.registry import (
    Function,
    PintQuantity,
    Quantity,
    is_small,
    real_number,
    unit,
)
from calculators.units.saying import Band, as_given, dimension_of, is_difference, number, symbol
from calculators.units.unit_names import LONGEST_TEXT

# --- what a calculator takes -----------------------------------------------------------


_THOUSANDS = r"\s*([1-9][0-9]{0,2})[.]([0-9]{3})(?![0-9])([^0-9.,]*)"
_LARGEST = 1e12  # where no limit is declared: beyond it is no kitchen, but a slip
_ROUNDING = 1e-9  # of a limit: so much may a conversion carry a value beyond it
_SMALLEST = 1e-12  # by how much a value has to be above a limit that is not allowed


class Measure:
    """An argument that is a quantity: its kitchen unit and the range it may have.

    Parameters
    ----------
    unit_name : str
        The unit in which the body receives it.
    low, high : float, optional
        The limits in that unit, ends included; None for no limit.
    above : float, optional
        A lower limit that is itself not allowed (a mass above zero).
    """

    __slots__ = ("above", "high", "least", "low", "most", "unit", "unit_name")

    def __init__(
        self,
        unit_name: str,
        low: float | None = None,
        high: float | None = None,
        *,
        above: float | None = None,
    ) -> None:
        self.unit_name, self.low, self.high, self.above = unit_name, low, high, above
        self.unit = unit(unit_name)
        self.most = high if high is not None else _LARGEST
        self.least = low if low is not None else -_LARGEST
        if above is not None:
            self.least = max(self.least, above + _SMALLEST)

    @property
    def limit(self) -> str:
        """The range in words."""
        sign = symbol(self.unit)
        tail = f" {sign}" if sign else ""
        if self.above is not None:
            upper = "" if self.high is None else f" and at most {number(self.high, 6)}{tail}"
            return f"It must be above {number(self.above, 6)}{tail}{upper}"
        if self.low is None and self.high is None:
            return f"It is given in {sign or 'plain numbers'}"
        if self.high is None:
            return f"It must be at least {number(self.low or 0, 6)}{tail}"
        if self.low is None:
            return f"It must be at most {number(self.high, 6)}{tail}"
        return f"It must be from {number(self.low, 6)} to {number(self.high, 6)}{tail}"

    def written(self, name: str, text: str) -> tuple[Any, Fault | None]:
        """Return what a person wrote in the kitchen unit, and the fault if there is one.

        Where a point before three digits may part thousands, and both numbers would do,
        it is asked which of the two is meant.

        Raises
        ------
        FaultsError
            If the text is no number with a unit.

        Examples
        --------
        >>> print(Measure("m", -430, 5000).written("altitude", "1.450 m")[1])
        altitude: can be read in two ways (given: 1.450 m). It may be 1.45 m or 1450 m. Write "1450 m" or "1.45 m".
        """
        value, fault = self.check(name, read(text, self.unit_name, name))
        if fault or not (ways := _two_ways(text)):
            return value, fault
        if self.check(name, read(ways[1], self.unit_name, name))[1]:
            return value, None
        return value, _asked_about(name, text, ways)

    def check(self, name: str, value: Any) -> tuple[Any, Fault | None]:
        """Return the value in the kitchen unit, and the fault if there is one."""
        if type(value) is not PintQuantity:
            real = None if self.unit_name else real_number(value)
            if real is None:
                return value, self._no_quantity(name, value)
            value = PintQuantity(real, self.unit)
        if type(value._magnitude) is not float and not is_small(value._magnitude):
            real = real_number(value._magnitude)
            if real is None:
                return value, self._no_quantity(name, value._magnitude)
            value = PintQuantity(real, value._units)
        if value._units != self.unit._units:
            try:
                if is_difference(value) and not is_difference(PintQuantity(1, self.unit)):
                    raise pint.DimensionalityError(value.units, self.unit)
                value = value.to(self.unit)
            except (pint.PintError, ArithmeticError):
                return value, Fault(
                    name,
                    f"is {dimension_of(value)}, and {dimension_of(PintQuantity(1, self.unit))} is wanted",
                    as_given(value),
                    self.limit,
                    f"Give it in {symbol(self.unit) or 'plain numbers'}",
                )
        size = value._magnitude
        if self.least <= size <= self.most:
            return value, None
        for end in (self.low, self.high):  # carried there by a conversion
            if end is not None and abs(size - end) <= _ROUNDING * max(1.0, abs(end)):
                return PintQuantity(float(end), self.unit), None
        return value, self._out_of_range(name, value)

    def _no_quantity(self, name: str, value: Any) -> Fault:
        bare = isinstance(value, int | float) and not isinstance(value, bool)
        if bare:
            step = f'Give it a unit, for instance q({value}, "{self.unit_name}")'[:120]
        elif isinstance(value, Band):
            step = "Give one of its values, such as .typical"
        else:
            step = f"Give a quantity in {symbol(self.unit) or 'plain numbers'}"
        problem = "is a bare number" if bare else "is not a quantity"
        return Fault(name, problem, as_given(value), self.limit, step)

    def _out_of_range(self, name: str, value: Quantity) -> Fault:
        size, limit = value._magnitude, self.limit
        if math.isfinite(size):
            if self.high is None and size > self.most:
                limit += f" and at most {number(self.most, 6)}"
            if self.above is not None and self.above < size < self.least:
                limit += f", by no less than {_SMALLEST:g}"
        step = "Check the number and its unit"
        return Fault(name, "is out of range", as_given(value), limit, step)


def check_in_place(thing: object, **measures: Measure) -> list[Fault]:
    """Put quantities of a frozen thing into their kitchen units, and return the faults."""
    faults = []
    for name, measure in measures.items():
        value, fault = measure.check(f"{type(thing).__name__}, {name}", getattr(thing, name))
        object.__setattr__(thing, name, value)
        faults += [fault] if fault else []
    return faults


def read_plainly(text: str, where: str = "value") -> Quantity:
    """Read a quantity of any size and kind; ask about one that can be read in two ways.

    >>> print(read_plainly("1.5 d", "extra_time"))
    1.5 day

    Raises
    ------
    FaultsError
        If the text is no number with a unit, or its point may part thousands.
    """
    value = read(text, None, where)
    if ways := _two_ways(text):
        raise FaultsError([_asked_about(where, text, ways)])
    return value


def _two_ways(text: str) -> tuple[str, str] | None:
    """Return what a point before three digits may mean; None where it is plain."""
    if not (parted := re.fullmatch(_THOUSANDS, text)):
        return None
    sizes = f"{float(parted[1] + '.' + parted[2]):g}", parted[1] + parted[2]
    small, large = (f"{size} {parted[3].strip()}".strip() for size in sizes)
    return small, large


def _asked_about(name: str, text: str, ways: tuple[str, str]) -> Fault:
    small, large = ways
    return Fault(
        name,
        "can be read in two ways",
        text,
        f"It may be {small} or {large}",
        f'Write "{large}" or "{small}"',
    )


class OneOf:
    """An argument that is one of a few words."""

    def __init__(self, *words: str) -> None:
        self.words = words

    @property
    def limit(self) -> str:
        """The words, in words."""
        return "It must be one of: " + ", ".join(self.words)

    def check(self, name: str, value: Any) -> tuple[Any, Fault | None]:
        """Return the word, and the fault if it is not one of them.

        Capitals, hyphens and underscores make no difference.
        """
        if isinstance(value, str):
            if value in self.words:
                return value, None
            plain = {_plain(word): word for word in self.words}
            if _plain(value) in plain:
                return plain[_plain(value)], None
        near = _near_word(value, self.words)
        return value, Fault(
            name,
            "is not a known choice",
            as_given(value),
            self.limit,
            f'Did you mean "{near}"?' if near else "Choose one of these",
        )


def _plain(word: str) -> str:
    return " ".join(word[:LONGEST_TEXT].casefold().replace("-", " ").replace("_", " ").split())


def _near_word(value: object, words: Sequence[str]) -> str:
    import difflib

    if not isinstance(value, str):
        return ""
    plain = {_plain(word): word for word in words}
    begins = [word for word in plain if word.startswith(_plain(value) or "?")]
    if len(begins) == 1:
        return plain[begins[0]]
    close = difflib.get_close_matches(_plain(value), plain, n=1, cutoff=0.6)
    return plain[close[0]] if close else ""


class InstanceOf:
    """An argument that is an object of our own, or a list or table of them.

    Parameters
    ----------
    kind : type or tuple of type
        What it must be an instance of.
    words : str
        What it is called in an error: ``"a formula"``.
    """

    def __init__(self, kind: type | tuple[type, ...], words: str) -> None:
        self.kind, self.words = kind, words

    @property
    def limit(self) -> str:
        """What is wanted, in words."""
        return f"It must be {self.words}"

    def check(self, name: str, value: Any) -> tuple[Any, Fault | None]:
        """Return the object, and the fault if it is of another kind."""
        if isinstance(value, self.kind):
            return value, None
        return value, Fault(name, f"is not {self.words}", as_given(value), "", f"Give {self.words}")


Spec: TypeAlias = Measure | OneOf | InstanceOf


def calculator(returns: str = "", **specs: Spec) -> Callable[[Function], Function]:
    """Declare what a calculator takes and returns; check it; tell all faults at once.

    The body receives each :class:`Measure` converted to its kitchen unit, so that
    ``temperature.m`` is a number of degrees Celsius where °C was declared.

    Parameters
    ----------
    returns : str
        The unit of the answer, or words for an answer that is not one quantity.
    **specs : Measure, OneOf or InstanceOf
        One for each argument.
    """

    def decorate(function: Function) -> Function:
        _, defaults = _signature(function)
        return _checked(function, function, Declaration(dict(specs), returns, defaults))

    return decorate


class FloatCalculator(Protocol):
    """A calculator whose body is a formula in bare floats.

    Outside it takes and returns quantities as all do; ``floats`` is the formula itself,
    unchecked, for another one that asks it many times.
    """

    floats: Callable[..., float]

    def __call__(self, *args: Any, **kwargs: Any) -> Quantity:
        """Return the answer as a quantity."""


def float_calculator(
    returns: str, **specs: Measure | OneOf
) -> Callable[[Callable[..., float]], FloatCalculator]:
    """Declare a calculator whose body works in bare floats, so that it has a twin for speed.

    The body receives each :class:`Measure` as a number of its kitchen unit, and gives one
    of ``returns``.

    Parameters
    ----------
    returns : str
        The unit of the answer.
    **specs : Measure or OneOf
        One for each argument.

    Examples
    --------
    >>> @float_calculator(returns="m", feet=Measure("m", 0))
    ... def twice(feet: float = 1.0) -> float:
    ...     return 2 * feet
    >>> print(say(twice(q(50, "cm"))), twice.floats(0.5), say(twice()))
    1 m 1.0 2 m
    """
    measures = {name: spec for name, spec in specs.items() if isinstance(spec, Measure)}
    answer = unit(returns)

    def decorate(function: Callable[..., float]) -> FloatCalculator:
        _, bare = _signature(function)
        defaults = {
            name: PintQuantity(float(value), measures[name].unit) if name in measures else value
            for name, value in bare.items()
        }

        def of_quantities(**given: Any) -> Quantity:
            for name in measures.keys() & given.keys():
                given[name] = given[name]._magnitude
            return PintQuantity(float(function(**given)), answer)

        checked: Any = _checked(
            function, of_quantities, Declaration(dict(specs), returns, defaults)
        )
        checked.floats = function
        return checked

    return decorate


def _checked(function: Any, call: Callable[..., Any], held: Declaration) -> Any:
    """Return a function that checks what it is given and calls; it shows as another."""
    names, _ = _signature(function)
    specs, defaults = held.arguments, held.defaults
    if set(specs) != set(names):
        raise TypeError(f"{function.__name__}: declared {set(specs)}, takes {set(names)}")

    @wraps(function)
    def checked(*args: Any, **kwargs: Any) -> Any:
        given = dict(zip(names, args, strict=False))
        if kwargs:
            given.update(kwargs)
        if len(args) > len(names) or len(given) != len(args) + len(kwargs):
            return function(*args, **kwargs)  # Python says what is wrong
        faults: list[Fault] = []
        for name, value in given.items():
            spec = specs.get(name)
            if spec is None:
                return function(*args, **kwargs)  # an unknown name: Python says so
            if value is None and name in defaults and defaults[name] is None:
                continue
            given[name], fault = spec.check(name, value)
            if fault:
                faults.append(replace(fault, where=f"{function.__name__}, {fault.where}"))
        if faults:
            raise FaultsError(faults)
        return call(**given)

    checked.__glossbook__ = held  # type: ignore[attr-defined]
    return checked


def _signature(function: Callable[..., Any]) -> tuple[tuple[str, ...], dict[str, Any]]:
    # What inspect.signature tells, without its cost: this runs at import for each
    # calculator, and inspect alone would be a tenth of the import.
    code = function.__code__
    names = code.co_varnames[: code.co_argcount + code.co_kwonlyargcount]
    positional = names[: code.co_argcount]
    given = function.__defaults__ or ()
    defaults = dict(zip(positional[len(positional) - len(given) :], given, strict=True))
    return names, defaults | (function.__kwdefaults__ or {})


@frozen
class Declaration:
    """What :func:`calculator` declared of a calculator: arguments, answer, defaults."""

    arguments: dict[str, Spec]
    returns: str
    defaults: dict[str, Any]


def declaration(function: Callable[..., Any]) -> Declaration | None:
    """Return what a calculator declares, or None for a plain function."""
    return getattr(function, "__glossbook__", None)
