"""A TOML file that a person wrote: read plainly, every fault told with its line.

:class:`TomlFile` gathers the faults of a file; a :class:`Table` takes values out
of it, checks each, and knows at the end which names nobody asked for.  What the
names mean is known elsewhere.
"""

from __future__ import annotations

import datetime
import difflib
import re
import tomllib
import unicodedata
from collections.abc import Mapping, Sequence
from operator import itemgetter
from pathlib import Path
from typing import Any

from calculators.faults import Fault, FaultsError, fault_error, refuse
from calculators.units import Measure, Quantity, q, say
from exercises.files.toml_lines import Key, lines

LARGEST_FILE = 256_000
LONGEST_LINE_OF_TEXT = 200
LONGEST_FILE_NAME = 60
MOST_WORDS_LISTED = 16
_MOST_SLIPS = 20  # lines that can't be read, told at once

_POINTED_DATE = re.compile(r"= *[0-9]{1,4}([./])[0-9]{1,2}\1[0-9]{1,4}\b")
_DAY = re.compile(r"[0-9]{4}-[0-9]{2}-[0-9]{2}")


class TomlFile:
    """A whole file under check; ``top`` is its outermost table.

    Parameters
    ----------
    path : Path
        A file in UTF-8.
    word : str
        What a table of it is called in a fault.
    whole : str
        What the file is called.
    text : str, optional
        What the file would hold; without it, it is read.
    beside : mapping, optional
        What files that lie beside it would hold, by their names.
    """

    def __init__(
        self,
        path: Path,
        word: str = "scheme",
        whole: str = "scheme of work",
        text: str | None = None,
        beside: Mapping[str, str] | None = None,
    ) -> None:
        self.path, self.word, self.beside = path, word, beside or {}
        text = _text_of(path, whole) if text is None else text
        self.data = _toml_of(text, path.name)
        self.lines = lines(text)
        self.top = TomlTable(self, self.data, ())
        self.quantities: dict[Key, Quantity] = {}  # as they were read, by their way
        self._faults: list[tuple[int, Fault]] = []

    def fault(
        self, key: Key, problem: str, given: Any = "", limit: str = "", step: str = ""
    ) -> None:
        """Note a fault at a key, or at the nearest thing above it that has a line."""
        at = key
        while at and at not in self.lines:
            at = at[:-1]
        line = self.lines.get(at, 1)
        name = ".".join(str(p + 1) if isinstance(p, int) else p for p in key)
        where = f"{self.path.name}:{line}, {name}"
        self._faults.append((line, Fault(where, problem, _written(given), limit, step)))

    def tell(self) -> None:
        """Raise all faults at once, in the order of the lines; do nothing without."""
        refuse(fault for _, fault in sorted(self._faults, key=itemgetter(0)))


class TomlTable:
    """One table of the file: takes values out of it, and knows which it was asked for."""

    def __init__(self, file: TomlFile, data: dict[str, Any], path: Key) -> None:
        self.file, self.data, self.path = file, data, path
        self.known: set[str] = set()
        self.bad: set[str] = set()

    def fault(
        self, key: str, problem: str, given: Any = "", limit: str = "", step: str = ""
    ) -> None:
        """Note a fault at a key of this table."""
        self.bad.add(key)
        self.file.fault((*self.path, key), problem, given, limit, step)

    def sound(self, key: str = "") -> bool:
        """Tell whether no fault was found at a key, or in the table at all."""
        return key not in self.bad if key else not self.bad

    def names_a_file(self, what: str) -> None:
        """Note a fault where this table's own name is none that a file could bear."""
        name = str(self.path[-1])
        if len(name) > LONGEST_FILE_NAME or not re.fullmatch(r"[a-z0-9]+(?:-[a-z0-9]+)*", name):
            like = re.sub(r"[^a-z0-9]+", "-", name.lower())[:LONGEST_FILE_NAME].strip("-")
            self.file.fault(
                self.path,
                "has a name that no file could bear",
                name,
                f"A {what}'s name has small letters, digits and single hyphens",
                f"Name it like {like or f'{what}-1'}",
            )

    def _get(self, key: str, default: Any, example: str) -> tuple[Any, bool]:
        """Return a value and whether it is there; a missing one is a fault."""
        self.known.add(key)
        if key in self.data:
            return self.data[key], True
        if default is ... and "" not in self.bad:
            under = f" under [{_dotted(self.path)}]" if self.path and not self.data else ""
            self.fault(key, "is missing", "", "", f"Add it{under}: {key} = {example}")
        return None, False

    def text(self, key: str, default: Any = ..., longest: int = LONGEST_LINE_OF_TEXT) -> str:
        """Return a line of text; without a default it must be there.

        The lines of a long text are joined where more than a line is allowed.
        """
        value, there = self._get(key, default, '"..."')
        if not there:
            return "" if default is ... else str(default)
        if not isinstance(value, str):
            self.fault(key, "is not text", value, "", f'Write it like "{value}"')
            return ""
        if longest > LONGEST_LINE_OF_TEXT:
            value = " ".join(value.split())
        fault = text_fault(key, value, longest)
        if fault:
            self.fault(key, fault.problem, fault.given, fault.limit, fault.next_step)
        elif not value.strip() and default is ...:
            self.fault(key, "is empty", "", "", "Write it out")
        return value.strip()

    def quantity(self, key: str, measure: Measure, default: Any = ...) -> Quantity:
        """Return a quantity in its kitchen unit, or None where there is a fault."""
        value, there = self._get(key, default, f'"... {_sign(measure)}"')
        if not there:
            if default is ... or default is None:
                return None
            value = default
        if not isinstance(value, str):
            bare = isinstance(value, int | float) and not isinstance(value, bool)
            self.fault(
                key,
                "is a bare number" if bare else "is not a quantity",
                value,
                measure.limit,
                f'Write it with its unit, like "{value} {_sign(measure)}"'
                if bare
                else "Write it as text, a number and its unit",
            )
            return None
        try:
            checked, wrong = measure.written(key, value)
        except FaultsError as error:
            first = error.faults[0]
            limit = first.limit or measure.limit
            step = first.next_step.replace('"12.5 g"', f'"12.5 {_sign(measure)}"')
            if step.startswith("Write the unit like"):
                step = f"Give it in {_sign(measure)}"
            self.fault(key, first.problem, first.given, limit, step)
            return None
        if wrong:
            self.fault(key, wrong.problem, value, wrong.limit, wrong.next_step)
            return None
        if there:
            self.file.quantities[(*self.path, key)] = checked
        return checked

    def whole(self, key: str, low: int, high: int, default: Any = ...) -> Any:
        """Return a whole number from low to high; None where there is a fault."""
        value, there = self._get(key, default, "...")
        if not there:
            return 0 if default is ... else default
        limit = f"It must be a whole number from {low} to {high}"
        if not isinstance(value, int) or isinstance(value, bool):
            self.fault(
                key, "is not a whole number", value, limit, f"Write it like {key} = {low or 1}"
            )
            return 0
        if not low <= value <= high:
            self.fault(key, "is out of range", value, limit, "Check the number")
            return 0
        return value

    def yes_or_no(self, key: str, default: bool) -> bool:
        """Return true or false."""
        value, there = self._get(key, default, "true")
        if not there:
            return default
        if not isinstance(value, bool):
            self.fault(
                key,
                "is not yes or no",
                value,
                "It must be true or false",
                f"Write it like {key} = true",
            )
            return default
        return value

    def word(self, key: str, allowed: Sequence[str], default: Any = ...) -> str:
        """Return one word of a list; the nearest is suggested for another."""
        value, there = self._get(key, default, f'"...", one of: {", ".join(allowed)}')
        if not there:
            return "" if default is ... else str(default)
        if isinstance(value, str) and value in allowed:
            return value
        self.unknown(key, value, allowed)
        return ""

    def unknown(self, key: str, value: Any, allowed: Sequence[str]) -> None:
        """Note that a value is none of a list; the nearest is suggested."""
        self.fault(key, "is not a known choice", value, *_instead(str(value), allowed))

    def listed(self, key: str) -> list[Any]:
        """Return a list as it stands; no list where it is something else."""
        value = self.data.get(key, [])
        return value if isinstance(value, list) else []

    def words(self, key: str, allowed: Sequence[str], kind: str, default: Any) -> tuple[str, ...]:
        """Return the words of a list that are known; each other one is a fault.

        Where none is ``allowed`` by name, any text is.
        """
        example = f'["{allowed[0] if allowed else kind}"]'
        value, there = self._get(key, ... if default is None else default, example)
        if not there:
            return tuple(default or ())
        if not isinstance(value, list):
            self.fault(key, "is not a list", value, "", f"Write it like {example}")
            return ()
        if not value and default is None:
            self.fault(key, "is an empty list", "[]", "", f"Name at least one {kind}")
        good: list[str] = []
        for place, word in enumerate(value):
            known = isinstance(word, str) and (not allowed or word in allowed)
            if known and word not in good:
                good.append(word)
                continue
            said = (f"is not a {kind}", word, "", "Write it between quote marks")
            if known:
                said = ("is in the list twice", word, "", "Keep one")
            elif allowed:
                said = (f"is not a known {kind}", word, *_instead(str(word), allowed))
            self.bad.add(key)
            self.file.fault((*self.path, key, place), *said)
        return tuple(good)

    def date(self, key: str) -> datetime.date | None:
        """Return a day, given as a TOML date or as text; None where there is none."""
        value, there = self._get(key, None, "")
        if not there:
            return None
        if isinstance(value, datetime.date) and not isinstance(value, datetime.datetime):
            return value
        if isinstance(value, str) and _DAY.fullmatch(value):
            try:
                return datetime.date.fromisoformat(value)
            except ValueError:
                self.fault(key, "is not in the calendar", value, "", "Check the day and month")
                return None
        self.fault(
            key,
            "is not a day",
            value,
            "A day is year, month and day",
            f"Write it like {key} = 2027-03-08",
        )
        return None

    def table(self, key: str, needed: bool = True) -> TomlTable:
        """Return a table inside this one; an empty one where there is none."""
        self.known.add(key)
        value = self.data.get(key, {})
        inner = TomlTable(self.file, value if isinstance(value, dict) else {}, (*self.path, key))
        if not isinstance(value, dict):
            self.fault(
                key,
                "is not a table",
                value,
                "",
                f"Begin it with [{_dotted(inner.path)}]",
            )
            inner.bad.add("")
            inner.known.add("name")
        return inner

    def tables(self, key: str, none: str) -> list[TomlTable]:
        """Return the tables of a list; at least one is wanted."""
        self.known.add(key)
        value = self.data.get(key, [])
        heading = f"[[{_dotted((*self.path, key))}]]"
        if isinstance(value, dict) or not isinstance(value, list):
            self.fault(key, "is not a list of tables", "", "", f"Begin each with {heading}")
            return []
        if not value:
            self.fault(key, "is missing", "", none.capitalize(), f"Add one: {heading}")
        rows = []
        for place, row in enumerate(value):
            if isinstance(row, dict):
                rows.append(TomlTable(self.file, row, (*self.path, key, place)))
            else:
                self.file.fault(
                    (*self.path, key, place),
                    "is not a table",
                    row,
                    "",
                    f"Begin it with {heading}",
                )
        return rows

    def done(self, quiet: bool = False) -> None:
        """Tell of every key that nobody asked for."""
        if quiet:
            return
        for key in self.data:
            if key not in self.known:
                self.file.fault(
                    (*self.path, key),
                    f"is not a name that a {self.file.word} knows here",
                    "",
                    *_instead(key, sorted(self.known)),
                )


def text_fault(where: str, text: str, longest: int = LONGEST_LINE_OF_TEXT) -> Fault | None:
    """Return what is wrong with a line of text that will be printed, if anything is."""
    if len(text) > longest:
        return Fault(
            where,
            f"is {len(text)} characters long",
            text[:24] + " ...",
            f"At most {longest} fit on a page",
            "Shorten it",
        )
    if any(unicodedata.category(sign)[0] == "C" for sign in text):
        return Fault(
            where,
            "holds an invisible character",
            text.encode("ascii", "backslashreplace").decode()[:40],
            "",
            "Type it again instead of pasting it",
        )
    return None


def _instead(written: str, allowed: Sequence[str]) -> tuple[str, str]:
    """Return the limit and the next step for a word that is not in a list."""
    near = [word for word in allowed if word.lower() == written.lower()]
    near = near or difflib.get_close_matches(written, allowed, n=1, cutoff=0.6)
    few = len(allowed) <= MOST_WORDS_LISTED
    limit = f"It must be one of: {', '.join(allowed)}" if few else ""
    if near:
        return limit, f"Did you mean {near[0]}?"
    if few:
        return limit, "Choose one of these"
    nearest = difflib.get_close_matches(written, allowed, n=3, cutoff=0)
    return "", f"The nearest that are known: {', '.join(nearest)}"


def _written(given: Any) -> str:
    """Return a value as it stands in the file; a table is too long to be told back."""
    if isinstance(given, bool):
        return str(given).lower()
    if isinstance(given, dict) or (isinstance(given, list) and given):
        return ""
    return str(given)


def _sign(measure: Measure) -> str:
    return say(q(1, measure.unit_name)).partition(" ")[2] or "%"


def _dotted(path: Key) -> str:
    return ".".join(str(part) for part in path if not isinstance(part, int))


# --- reading the file ---------------------------------------------------------------------


def _text_of(path: Path, whole: str) -> str:
    name = str(path)
    if not path.exists():
        raise fault_error(
            name, "is not there", "", "", "Check the name, or make one: glossbook describe"
        )
    if path.is_dir():
        raise fault_error(
            name, "is a folder", "", "", f"Name the file in it, like {path / 'scheme.toml'}"
        )
    try:
        with path.open("rb") as file:
            raw = file.read(LARGEST_FILE + 1)
    except OSError as error:
        raise fault_error(
            name, "can't be read", error.strerror or "", "", "Check who may open the file"
        ) from None
    if len(raw) > LARGEST_FILE:
        raise fault_error(
            name,
            f"is too large for a {whole}",
            f"{path.stat().st_size} bytes",
            f"At most {LARGEST_FILE} bytes are read",
            "Check that it is the right file",
        )
    try:
        return raw.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = raw.count(b"\n", 0, error.start) + 1
        raise fault_error(
            f"{path.name}:{line}",
            "is not text in UTF-8",
            f"byte {raw[error.start]:#04x}",
            "Such a file is saved as UTF-8",
            "Open it in a text editor and save it again, with the encoding UTF-8",
        ) from None


# What Python's reader says on the left, what a lecturer can use on the right.
_PLAINLY = (
    (
        "Expected '='",
        "has a name without an equals sign after it",
        'Write it like altitude = "430 m"',
    ),
    (
        "Invalid value",
        "has a value that can't be read",
        'Put text and quantities between double quotes, like "430 m"',
    ),
    ("Cannot overwrite", "gives the same name a second time", "Keep one of the two"),
    (
        "Cannot declare",
        "opens the same table a second time",
        "Put both parts under one heading, or write [[ ]] for a list of tables",
    ),
    (
        "Cannot mutate",
        "adds to something that is closed already",
        "Put both parts under one heading",
    ),
    (
        "Illegal character",
        "has a text that is opened and not closed, or a sign that can't be shown",
        "Close the text with the same quote mark on the same line",
    ),
    (
        "Unterminated",
        "has a text that is opened and not closed",
        "Close the text with the same quote mark",
    ),
    ("Unclosed", "has a list or table that is opened and not closed", "Close it with ] or }"),
    (
        "Expected newline",
        "has something after its value",
        "Put one name and one value on a line, and # before a remark",
    ),
    (
        "Invalid statement",
        "can't be read",
        "Begin a line with a name in plain letters, and a remark with #",
    ),
    (
        "Expected ']",
        "has a heading that is opened and not closed",
        "Close it: [kitchen], or [[cakes]] for a list of tables",
    ),
    (
        "Invalid initial character",
        "has a name with a sign that a name can't have",
        "Write names with letters, digits, - and _",
    ),
    (
        "Unescaped",
        "has a backslash that means nothing here",
        "Write a backslash twice, or put the text between single quotes",
    ),
    (
        "Invalid hex",
        "has a backslash that means nothing here",
        "Write a backslash twice, or put the text between single quotes",
    ),
    ("Duplicate inline", "gives the same name a second time", "Keep one of the two"),
    ("Invalid date", "has a date that is not in the calendar", "Write it like 2027-03-08"),
)


def _toml_of(text: str, name: str) -> dict[str, Any]:
    """Return what the text says, or tell every line that can't be read.

    A line that stands for itself is left out, and what follows is read on: so the
    next slip is told too.  A line that others lean on, such as a heading, ends it.
    """
    faults: list[Fault] = []
    written = text.split("\n")
    while True:
        try:
            read_so_far = tomllib.loads("\n".join(written))
        except RecursionError:
            raise fault_error(
                name, "is nested too deeply", "", "", "Check that it is the right file"
            ) from None
        except tomllib.TOMLDecodeError as error:
            line, fault = _slip(str(error), written, name)
            faults.append(fault)
            if len(faults) == _MOST_SLIPS or not _stands_alone(written[line - 1]):
                raise FaultsError(faults) from None
            written[line - 1] = ""
        except ValueError:
            raise fault_error(
                name, "holds a number that is too long", "", "", "Write it shorter"
            ) from None
        else:
            refuse(faults)
            return read_so_far


def _slip(said: str, written: Sequence[str], name: str) -> tuple[int, Fault]:
    """Return the line that can't be read, and the fault in plain words."""
    found = re.search(r"at line (\d+)", said)
    whole = "\n".join(written).rstrip().count("\n") + 1
    line = min(int(found[1]), len(written)) if found else whole
    problem, step = next(
        ((p, s) for begin, p, s in _PLAINLY if said.startswith(begin)),
        (f"can't be read: {said}", "Compare the line with one that can be read"),
    )
    shown = written[line - 1].strip()[:60]
    if _POINTED_DATE.search(shown):
        problem, step = "has a date that can't be read", "Write year, month, day, like 2027-03-08"
    return line, Fault(f"{name}:{line}", problem, shown, "", step)


def _stands_alone(line: str) -> bool:
    """Tell whether a line can be left out without changing what the others mean."""
    bare = line.strip()
    return (
        bool(bare)
        and not bare.startswith(("[", "]", "{", "}"))
        and bare.count("[") == bare.count("]")
        and bare.count("{") == bare.count("}")
        and '"""' not in bare
        and "'''" not in bare
    )
