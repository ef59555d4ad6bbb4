"""Units as people write them, in five languages, and the nearest to what somebody wrote."""

from __future__ import annotations

from collections.abc import Iterator
from functools import cache
from pathlib import Path

LONGEST_TEXT = 64
CURRENCIES = (
    "EUR",
    "GBP",
    "USD",
    "CHF",
    "CAD",
    "AUD",
    "NZD",
    "AED",
    "SEK",
    "NOK",
    "DKK",
    "PLN",
    "JPY",
    "INR",
    "ZAR",
)

# --- the units that are read ----------------------------------------------------------

# Of these, capitals don't matter, and a full stop may follow.  It is not so for all:
# mPa is no MPa, and M is no metre.
_ANY_CASE = {
    "g",
    "kg",
    "l",
    "ml",
    "cl",
    "cm",
    "mm",
    "cm**2",
    "min",
    "h",
    "degC",
    "degF",
    "percent",
    "degree_baume",
    "bloom",
    "leaf",
    "g/cm**3",
    "kg/m**3",
    "ounce",
    "pound",
}


def _ways() -> Iterator[tuple[str, str]]:
    """Yield each way of writing a unit with the registry's name of it."""
    path = Path(__file__).parents[1] / "data" / "written_units.txt"
    for line in path.read_text(encoding="utf-8").splitlines():
        if not line.startswith("#"):
            name, _, ways = line.partition(" = ")
            for way in ways.split("; "):
                yield way, name
    for code in CURRENCIES:
        yield code, code
        yield f"{code}/kg", f"{code}/kg"


WRITTEN = dict(_ways())
for _way, _name in tuple(WRITTEN.items()):
    if _name in _ANY_CASE:
        for _other in (_way.lower(), _way.upper(), _way.capitalize(), f"{_way}."):
            WRITTEN.setdefault(_other, _name)


def written_units() -> dict[str, str]:
    """Return every way of writing a unit that is read, with the registry's name.

    For a page that tells whether an answer can be read, without this package.
    """
    return dict(WRITTEN)


def nearest(written: str) -> str:
    """Return the known unit nearest to what was written, for a message."""
    import difflib  # here, for at the top it would slow every import

    close = difflib.get_close_matches(written, WRITTEN, n=1, cutoff=0.7)
    return close[0] if close else ""


@cache
def folded_ways() -> dict[str, str]:
    """Return the ways of writing a unit for which capitals and a full stop don't matter."""
    return {
        way.casefold(): name
        for way, name in reversed(WRITTEN.items())
        if name in _ANY_CASE or name in CURRENCIES or (len(way) > 3 and way.isalpha())
    }
