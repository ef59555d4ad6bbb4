"""The keys that a table of a TOML file may have: one declaration, for its reader and its form.

A key knows what it means, how it is read, what it may be, and what holds where it is
left out.  A reader takes its value with :meth:`Key.read`; a form shows the same words.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from typing import Any, ClassVar

from calculators.units import Measure, Quantity
from exercises.files.toml_file import LONGEST_LINE_OF_TEXT, TomlTable

Choices = Callable[[], Sequence[str]]


@dataclass(frozen=True)
class Key:
    """One key of a table; its value is read by code of the table's own.

    Parameters
    ----------
    name : str
        As the file has it.
    about : str
        What it means, in a few words.
    default : anything
        What is read where it is left out; ``...`` where it must be there.
    without : str
        What holds without it, where the default doesn't say so by itself.
    """

    name: str
    about: str = ""
    default: Any = ...
    without: str = field(default="", kw_only=True)
    kind: ClassVar[str] = "text"

    @property
    def needed(self) -> bool:
        """Whether it must be there."""
        return self.default is ...

    @property
    def usual(self) -> str:
        """What holds where it is left out, in words; empty where nothing does."""
        if self.without or self.needed:
            return self.without
        if isinstance(self.default, bool):
            return "yes" if self.default else "no"
        if isinstance(self.default, tuple | list):
            return ", ".join(map(str, self.default))
        return "" if self.default is None else str(self.default)

    @property
    def limit(self) -> str:
        """What it may be, in words; empty where that is plain."""
        return ""

    def offered(self) -> Sequence[str]:
        """Return the words from which it is chosen; none where it is written."""
        return ()


@dataclass(frozen=True)
class Text(Key):
    """A line of text, of at most so many signs."""

    most: int = field(default=LONGEST_LINE_OF_TEXT, kw_only=True)

    def read(self, table: TomlTable) -> str:
        """Take its value out of a table."""
        return table.text(self.name, self.default, longest=self.most)


@dataclass(frozen=True)
class Size(Key):
    """A quantity."""

    measure: Measure = field(kw_only=True)
    kind: ClassVar[str] = "quantity"

    @property
    def limit(self) -> str:
        """Its unit and range."""
        return self.measure.limit

    def read(self, table: TomlTable) -> Quantity:
        """Take its value out of a table."""
        return table.quantity(self.name, self.measure, self.default)


@dataclass(frozen=True)
class Whole(Key):
    """A whole number."""

    low: int = field(kw_only=True)
    high: int = field(kw_only=True)
    kind: ClassVar[str] = "number"

    @property
    def limit(self) -> str:
        """Its range."""
        return f"A whole number from {self.low} to {self.high}"

    def read(self, table: TomlTable) -> Any:
        """Take its value out of a table."""
        return table.whole(self.name, self.low, self.high, self.default)


@dataclass(frozen=True)
class Word(Key):
    """One word of a list."""

    choices: Choices = field(kw_only=True)
    kind: ClassVar[str] = "word"

    def offered(self) -> Sequence[str]:
        """Return the words of the list."""
        return self.choices()

    def read(self, table: TomlTable) -> str:
        """Take its value out of a table."""
        return table.word(self.name, self.choices(), self.default)


@dataclass(frozen=True)
class Words(Key):
    """Several words of a list; any text where there is no list.  ``one`` is what each is."""

    choices: Choices = field(default=tuple, kw_only=True)
    one: str = field(kw_only=True)
    kind: ClassVar[str] = "words"

    def offered(self) -> Sequence[str]:
        """Return the words of the list."""
        return self.choices()

    def read(self, table: TomlTable) -> tuple[str, ...]:
        """Take its value out of a table."""
        default = None if self.needed else self.default
        return table.words(self.name, tuple(self.choices()), self.one, default)


@dataclass(frozen=True)
class YesNo(Key):
    """Yes or no; None where it is left out and has no default."""

    kind: ClassVar[str] = "yes or no"

    def offered(self) -> Sequence[str]:
        """Return both."""
        return ("yes", "no")

    def read(self, table: TomlTable) -> bool | None:
        """Take its value out of a table."""
        table.known.add(self.name)
        if self.default is None and self.name not in table.data:
            return None
        return table.yes_or_no(self.name, bool(self.default))


@dataclass(frozen=True)
class Day(Key):
    """A day of the calendar."""

    kind: ClassVar[str] = "day"

    def read(self, table: TomlTable) -> Any:
        """Take its value out of a table."""
        return table.date(self.name)


@dataclass(frozen=True)
class Keys:
    """The keys of one table of a file, or of each table of many.

    Parameters
    ----------
    way : str
        Where it stands in the file, as ``formula.line``; empty for the outermost.
    heading : str
        As a form says it.
    keys : tuple of Key
        In the order in which they are read and shown.
    about : str
        A sentence on the whole of it.
    many : str
        ``rows`` where there may be several, ``named`` where each has a name of its own;
        empty for one alone.
    one : str
        What one of many is called.
    at_once : int
        How many a form offers to fill where there are none: those that only stand together.
    """

    way: str
    heading: str
    keys: tuple[Key, ...]
    about: str = ""
    many: str = ""
    one: str = ""
    at_once: int = 1

    def __getitem__(self, name: str) -> Any:
        return next(key for key in self.keys if key.name == name)

    def read(self, table: TomlTable, *leave: str) -> dict[str, Any]:
        """Return the values of all keys by name, but for those that the reader reads itself."""
        return {
            key.name: key.read(table)
            for key in self.keys
            if key.name not in leave and type(key) is not Key and hasattr(key, "read")
        }
