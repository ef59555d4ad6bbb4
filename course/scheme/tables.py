"""Tables of a scheme's file, read whole: into what a scheme holds, and row by row."""

from __future__ import annotations

from collections.abc import Callable
from typing import TypeVar

from exercises.files.toml_file import TomlTable
from exercises.files.toml_keys import Keys

T = TypeVar("T")


def whole(made: Callable[..., T], keys: Keys, table: TomlTable) -> T:
    """Return what is made of all keys of a table; what else stands in it is a fault."""
    held = made(**keys.read(table))
    table.done()
    return held


def rows_of(table: TomlTable, key: str, none: str = "") -> list[TomlTable]:
    """Return the rows under a key that may be left out; ``none`` says what an empty list lacks."""
    table.known.add(key)
    return table.tables(key, none or f"there is none under {key}") if key in table.data else []
