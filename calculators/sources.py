"""Where a number comes from: the bibliography, and tables whose rows say it.

One bibliography (``data/sources.bib``) serves docstrings, tables, lessons and
questions; a key that is not in it is an error.  A table is a CSV file in
``data/`` with one value a row, and its provenance in the same row.
"""

from __future__ import annotations

import csv
import re
from functools import cache
from pathlib import Path

from calculators.faults import fault_error
from calculators.frozen import frozen
from calculators.units import (
    COMMON_PRACTICE,
    FROM_MEMORY,
    PROVENANCES,
    PUBLISHED,
    Band,
    Quantity,
    q,
)

DATA = Path(__file__).with_name("data")
BIBLIOGRAPHY = DATA / "sources.bib"

_ENTRY = r"(?s)@(\w+)\{([\w-]+),(.*?)\n\}"
_FIELD = r"(?m)^\s*(\w+)\s*=\s*\{(.*?)\},?\s*$"


@frozen
class Source:
    """A work of the bibliography.

    Parameters
    ----------
    key : str
        Its key in ``data/sources.bib``.
    kind : str
        ``article``, ``book``, ``standard``, ``legislation`` or ``table``.
    fields : dict
        Author, title, year and so on, as written there.
    """

    key: str
    kind: str
    fields: dict[str, str]

    @property
    def short(self) -> str:
        """Author and year, as it stands in a sentence."""
        people = re.split(r"\s+and\s+", self.fields["author"])
        names = [p.split(",")[0].strip() for p in people]
        if len(names) > 3:
            names = [names[0] + " and others"]
        who = names[0] if len(names) == 1 else ", ".join(names[:-1]) + " and " + names[-1]
        year = self.fields.get("year", "")
        return f"{who} ({year})" if year else who

    @property
    def full(self) -> str:
        """The whole reference, one line."""
        f = self.fields
        parts = [f"{self.short}:", f"{f['title']}."]
        if "journal" in f:
            volume = f" {f['volume']}" if "volume" in f else ""
            pages = f", {f['pages']}" if "pages" in f else ""
            parts.append(f"{f['journal']}{volume}{pages}.")
        parts += [f"{f[name]}." for name in ("publisher", "number", "note") if name in f]
        if "doi" in f:
            parts.append(f"https://doi.org/{f['doi']}")
        return " ".join(parts)


@cache
def bibliography() -> dict[str, Source]:
    """Return every source by its key."""
    text = BIBLIOGRAPHY.read_text(encoding="utf-8")
    return {
        key: Source(key, kind, dict(re.findall(_FIELD, body)))
        for kind, key, body in re.findall(_ENTRY, text)
    }


def source(key: str) -> Source:
    """Return one source; a key that is not in the bibliography is refused."""
    try:
        return bibliography()[key]
    except (KeyError, TypeError):
        raise fault_error(
            "source",
            "is not in the bibliography",
            str(key)[:60],
            "",
            "Add it to calculators/data/sources.bib",
        ) from None


@frozen
class Row:
    """One value of a table, with all that belongs to it.

    Parameters
    ----------
    name : str
        What the value is of; the key of the row.
    value, low, high : float or None
        In ``unit``; blank in the table is None and stays unknown.
    unit : str
        The registry's name of the unit.
    condition : str
        Where the value holds (temperature, state, region).
    source : str
        A key of the bibliography; blank where provenance is not *published*.
    where : str
        Table, equation or page in the source.
    provenance : str
        *published*, *common practice* or *from memory*.
    note : str
        A caveat.
    """

    name: str
    value: float | None
    low: float | None
    high: float | None
    unit: str
    condition: str
    source: str
    where: str
    provenance: str
    note: str

    @property
    def quantity(self) -> Quantity:
        """The value as a quantity; refused where it is unknown."""
        if self.value is None:
            raise fault_error(self.name, "has no known value", "", "", "Show it as unknown")
        return q(self.value, self.unit)

    @property
    def ends(self) -> tuple[float, float]:
        """Low and high in its unit; refused where there is no band."""
        low, _, high = self.three
        return low, high

    def band(self, why: str | None = None) -> Band:
        """Return the value with its ends; ``why`` it is a band, else its note says."""
        why = self.note if why is None else why
        return Band.of(self.three, self.unit, self.provenance, why)

    @property
    def three(self) -> tuple[float, float, float]:
        """Low, usual and high in its unit; refused where there is no band."""
        if self.low is None or self.value is None or self.high is None:
            raise fault_error(self.name, "has no band", "", "", "Fill in low and high")
        return self.low, self.value, self.high


COLUMNS = (
    "name",
    "value",
    "low",
    "high",
    "unit",
    "condition",
    "source",
    "where",
    "provenance",
    "note",
)


@cache
def table(name: str) -> dict[str, Row]:
    """Return the rows of ``data/<name>.csv`` by their name.

    The columns are :data:`COLUMNS`.  Rows with the same name are refused.
    """
    rows: dict[str, Row] = {}
    for line in records(name):
        value, low, high = (float(line[c]) if line[c] else None for c in COLUMNS[1:4])
        unit, condition, key, where, provenance, note = (line[c] for c in COLUMNS[4:])
        row = Row(
            line["name"],
            value,
            low,
            high,
            unit,
            condition,
            key,
            where,
            provenance,
            note,
        )
        if row.name in rows:
            raise fault_error(f"data/{name}.csv", "has the same name twice", row.name)
        rows[row.name] = row
    return rows


@cache
def records(name: str) -> tuple[dict[str, str], ...]:
    """Return the rows of ``data/<name>.csv`` as they stand, one dictionary a row."""
    with (DATA / f"{name}.csv").open(encoding="utf-8", newline="") as file:
        return tuple(
            {key: (value or "").strip() for key, value in line.items()}
            for line in csv.DictReader(file)
        )


def standing() -> dict[str, int]:
    """Return how many rows of all tables are of each provenance, the surest first."""
    rows = [row for path in sorted(DATA.glob("*.csv")) for row in records(path.stem)]
    return {name: sum(row.get("provenance") == name for row in rows) for name in PROVENANCES}


def provenance_note(row: Row) -> str:
    """Return in words where a value comes from, for a caption or a table.

    The three provenances are named as they are, never dressed up.
    """
    if row.provenance == PUBLISHED:
        where = f", {row.where}" if row.where else ""
        return f"{PUBLISHED}: {source(row.source).short}{where}"
    if row.provenance in (COMMON_PRACTICE, FROM_MEMORY):
        return row.provenance
    raise fault_error(row.name, "has no provenance", row.provenance, ", ".join(PROVENANCES))
