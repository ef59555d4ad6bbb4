"""How much of what: one registry of units, one strict reader, one way to say it.

Every number of the house is a quantity of this registry.  Text that a person
wrote becomes a quantity through :func:`read` and nothing else: it knows numbers
and unit names, and evaluates nothing.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import lru_cache, wraps
from itertools import pairwise
from pathlib import Path
from typing import Any, TypeAlias, TypeVar

import pint

from calculators.faults import Fault, FaultsError, refuse
from calculators.reading import _WRITTEN, LONGEST_TEXT, _nearest
from calculators.reading import CURRENCIES as CURRENCIES
from calculators.reading import Reading as Reading
from calculators.reading import read_loosely as read_loosely
from calculators.reading import written_units as written_units

DEFINITIONS = Path(__file__).with_name("data") / "units.txt"
registry: Any = pint.UnitRegistry(str(DEFINITIONS), cache_folder=None)
Quantity: TypeAlias = Any  # pint's arithmetic is dynamic; see DEVELOPERS.md
_Quantity = registry.Quantity

Function = TypeVar("Function", bound=Callable[..., Any])

PUBLISHED = "published"
COMMON_PRACTICE = "common practice"
FROM_MEMORY = "from memory"
PROVENANCES = (PUBLISHED, COMMON_PRACTICE, FROM_MEMORY)


# --- quantities ---------------------------------------------------------------


@lru_cache(maxsize=512)
def unit(name: str) -> Any:
    """Return a unit of the registry by its name in code, such as ``"kg/m**3"``."""
    try:
        return registry.Unit(name)
    except Exception:  # pint has many kinds of error for text that is no unit
        near = _nearest(name) if isinstance(name, str) else ""
        raise refuse(
            "q, unit",
            "is not a unit that is known here",
            str(name)[:40],
            "The units are those of the bench: g, kg, l, ml, cm, mm, min, h, degC, "
            "degF, percent and what they make, like kg/m**3",
            f'Did you mean "{_WRITTEN[near]}"?' if near else "Turn it into one of these",
        ) from None


def q(value: float, unit_name: str = "") -> Quantity:
    """Return a quantity from a number and a unit written in our own code.

    For text that a person wrote, use :func:`read`.

    >>> say(q(12.5, "g"))
    '12.5 g'
    """
    if type(value) is not float and not _is_small(value):
        value = _float(value)
    try:
        return _Quantity(value, unit(unit_name))
    except TypeError:  # a unit name that can't even be looked up, such as a list
        raise refuse(
            "q, unit", "is not text", repr(unit_name)[:40], "", 'Write it like "g"'
        ) from None


def _float(value: Any) -> float:
    """Return any kind of real number as a float; refuse what is none."""
    number = _real(value)
    if number is None:
        raise refuse(
            "q, value",
            "is not a number",
            repr(value)[:40],
            "It must be one real number",
            'Write it like q(12.5, "g"), or read("12.5 g") for text',
        )
    return number


def _real(value: Any) -> float | None:
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
    return isinstance(thing, _Quantity)


@dataclass(frozen=True)
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

    def __str__(self) -> str:
        """Return the band as it is said at the bench."""
        return f"{say(self.low)} to {say(self.high)}, typically {say(self.typical)}"

    def __contains__(self, value: Quantity) -> bool:
        """Tell whether a quantity lies in the band, ends included."""
        like = is_quantity(value) and value.is_compatible_with(self.low.units)
        if not like or _real(value._magnitude) is None:
            raise refuse(
                "a band",
                "can't be compared with this",
                _shown(value),
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
    real = _real(value)
    if real is None or not math.isfinite(real):
        raise refuse(
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
        Significant digits (trailing noughts are dropped).
    places : int, optional
        Decimal places instead of significant digits.

    >>> say(q(1.2866, "kg/l"), "kg/m**3", digits=4)
    '1287 kg/m³'
    """
    if not is_quantity(quantity) or _real(quantity._magnitude) is None:
        raise refuse(
            "say",
            "is not a quantity",
            _shown(quantity),
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
            raise refuse(
                "say",
                f"is {_dimension(quantity)}, and {_dimension(_Quantity(1, wanted))} is asked for",
                _shown(quantity),
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


# --- reading what a person wrote ---------------------------------------------------


def read(text: str, like: str | None = None, where: str = "value") -> Quantity:
    """Read a quantity as a person writes it: ``"16 cm"``, ``"21 °C"``, ``"2,5 kg"``.

    Parameters
    ----------
    text : str
        A number and a unit; see :func:`read_loosely` for what is accepted.
    like : str, optional
        A unit of the dimension that is wanted, for instance ``"g"``.
    where : str
        What to call the place in an error.

    Returns
    -------
    quantity
        In the unit that was written.

    >>> say(read("16 cm", "m"))
    '16 cm'
    """
    reading = read_loosely(text, where)
    if reading.unit_name is None and like not in (None, ""):
        raise refuse(
            where,
            "has no unit",
            text,
            "",
            f'Write the unit too, like "{text.strip()} {symbol(like or "")}"',
        )
    value = reading.quantity
    if like is not None and not value.is_compatible_with(unit(like)):
        raise refuse(
            where,
            f"is {_dimension(value)}, and {_dimension(q(1, like))} is wanted",
            text,
            "",
            f"Give it in {symbol(like) or 'plain numbers'}",
        )
    return value


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


def _is_difference(quantity: Quantity) -> bool:
    """Tell whether it is a difference of temperatures, and so no temperature."""
    names = list(quantity._units)
    return len(names) == 1 and names[0].startswith("delta_")


def _is_small(magnitude: object) -> bool:
    """Tell whether a magnitude is a whole number that a float can hold."""
    return type(magnitude) is int and -(2**53) < magnitude < 2**53


def _shown(value: Any) -> str:
    """Return anything as it is shown in a fault: short, and never an error."""
    if is_quantity(value):
        real = _real(value._magnitude)
        if real is None:
            return repr(value._magnitude)[:40]
        if not math.isfinite(real):
            return str(real)
        if real == 0 or 1e-9 < abs(real) < 1e9:
            return say(value, digits=6)
        return f"{real:g} {symbol(value.units)}".strip()
    if isinstance(value, int) and not _is_small(value) and not isinstance(value, bool):
        return f"{_real(value):g}"
    text = str(value) if isinstance(value, str | float | int | Band) else repr(value)
    return text[:60] or "nothing"


def _dimension(quantity: Quantity) -> str:
    if _is_difference(quantity):
        return "a difference of temperatures"
    name = str(quantity.dimensionality)
    return _DIMENSIONS.get(name, f"a quantity in {symbol(quantity.units)}")


# --- what a calculator takes -----------------------------------------------------------


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
        A lower limit that is itself not allowed (a mass above nought).
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

    def check(self, name: str, value: Any) -> tuple[Any, Fault | None]:
        """Return the value in the kitchen unit, and the fault if there is one."""
        if type(value) is not _Quantity:
            real = None if self.unit_name else _real(value)
            if real is None:
                return value, self._no_quantity(name, value)
            value = _Quantity(real, self.unit)
        if type(value._magnitude) is not float and not _is_small(value._magnitude):
            real = _real(value._magnitude)
            if real is None:
                return value, self._no_quantity(name, value._magnitude)
            value = _Quantity(real, value._units)
        if value._units != self.unit._units:
            try:
                if _is_difference(value) and not _is_difference(_Quantity(1, self.unit)):
                    raise pint.DimensionalityError(value.units, self.unit)
                value = value.to(self.unit)
            except (pint.PintError, ArithmeticError):
                return value, Fault(
                    name,
                    f"is {_dimension(value)}, and {_dimension(_Quantity(1, self.unit))} is wanted",
                    _shown(value),
                    self.limit,
                    f"Give it in {symbol(self.unit) or 'plain numbers'}",
                )
        size = value._magnitude
        if self.least <= size <= self.most:
            return value, None
        for end in (self.low, self.high):  # carried there by a conversion
            if end is not None and abs(size - end) <= _ROUNDING * max(1.0, abs(end)):
                return _Quantity(float(end), self.unit), None
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
        return Fault(name, problem, _shown(value), self.limit, step)

    def _out_of_range(self, name: str, value: Quantity) -> Fault:
        size, limit = value._magnitude, self.limit
        if math.isfinite(size):
            if self.high is None and size > self.most:
                limit += f" and at most {number(self.most, 6)}"
            if self.above is not None and self.above < size < self.least:
                limit += f", by no less than {_SMALLEST:g}"
        step = "Check the number and its unit"
        return Fault(name, "is out of range", _shown(value), limit, step)


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
            _shown(value),
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


class Thing:
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
        return value, Fault(name, f"is not {self.words}", _shown(value), "", f"Give {self.words}")


Spec: TypeAlias = Measure | OneOf | Thing


def takes(gives: str = "", **specs: Spec) -> Callable[[Function], Function]:
    """Declare what a calculator takes and gives; check it; tell all faults at once.

    The body receives each :class:`Measure` converted to its kitchen unit, so that
    ``temperature.m`` is a number of degrees Celsius where °C was declared.

    Parameters
    ----------
    gives : str
        The unit of the answer, or words for an answer that is not one quantity.
    **specs : Measure, OneOf or Thing
        One for each argument.
    """

    def decorate(function: Function) -> Function:
        names, defaults = _signature(function)
        if set(specs) != set(names):
            raise TypeError(f"{function.__name__}: declared {set(specs)}, takes {set(names)}")

        @wraps(function)
        def checked(*args: Any, **kwargs: Any) -> Any:
            given = dict(zip(names, args, strict=False))
            if kwargs:
                given.update(kwargs)
            if len(args) > len(names) or len(given) != len(args) + len(kwargs):
                return function(*args, **kwargs)  # Python says what is wrong
            faults = None
            for name, value in given.items():
                spec = specs.get(name)
                if spec is None:
                    return function(*args, **kwargs)  # an unknown name: Python says so
                if value is None and name in defaults and defaults[name] is None:
                    continue
                given[name], fault = spec.check(name, value)
                if fault:
                    faults = [*(faults or []), fault]
            if faults:
                raise FaultsError(
                    Fault(
                        f"{function.__name__}, {f.where}",
                        f.problem,
                        f.given,
                        f.limit,
                        f.next_step,
                    )
                    for f in faults
                )
            return function(**given)

        checked.__glossbook__ = Declaration(dict(specs), gives, defaults)  # type: ignore[attr-defined]
        return checked  # type: ignore[return-value]

    return decorate


def _signature(function: Callable[..., Any]) -> tuple[tuple[str, ...], dict[str, Any]]:
    # What inspect.signature tells, without its cost: this runs at import for each
    # calculator, and inspect alone would be a tenth of the import.
    code = function.__code__
    names = code.co_varnames[: code.co_argcount + code.co_kwonlyargcount]
    positional = names[: code.co_argcount]
    given = function.__defaults__ or ()
    defaults = dict(zip(positional[len(positional) - len(given) :], given, strict=True))
    return names, defaults | (function.__kwdefaults__ or {})


@dataclass(frozen=True)
class Declaration:
    """What :func:`takes` declared of a calculator: arguments, answer, defaults."""

    arguments: dict[str, Spec]
    gives: str
    defaults: dict[str, Any]


def declaration(function: Callable[..., Any]) -> Declaration | None:
    """Return what a calculator declares, or None for a plain function."""
    return getattr(function, "__glossbook__", None)


# --- a little numerics, shared ------------------------------------------------------------


def solve(
    rising: Callable[[float], float], low: float, high: float, *, close: float = 1e-10
) -> float:
    """Return where a rising function of one number crosses nought.

    Bisection with secant steps kept inside the bracket; the caller makes sure that
    the crossing lies between low and high.
    """
    f_low, f_high = rising(low), rising(high)
    if f_low > 0 or f_high < 0:
        raise refuse("solve", "has no crossing between its limits", f"{low} to {high}")
    for end, f_end in ((low, f_low), (high, f_high)):
        if f_end == 0:
            return end
    for _ in range(200):
        if high - low <= close * max(1.0, abs(low), abs(high)):
            break
        middle = low - f_low * (high - low) / (f_high - f_low) if f_high != f_low else low
        third = (high - low) / 64
        if not low + third < middle < high - third:
            middle = (low + high) / 2
        value = rising(middle)
        if value == 0:
            return middle
        if value < 0:
            low, f_low = middle, value
        else:
            high, f_high = middle, value
    return (low + high) / 2


def interpolate(x: float, table: Sequence[tuple[float, float]]) -> float:
    """Return y at x on the straight line between two rows of a table of (x, y)."""
    for (x0, y0), (x1, y1) in pairwise(table):
        if x0 <= x <= x1:
            return y0 + (y1 - y0) * (x - x0) / (x1 - x0)
    raise refuse("interpolate", "lies outside the table", x, f"{table[0][0]} to {table[-1][0]}")
