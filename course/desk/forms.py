"""The scheme's file as gaps to fill, and what was typed put back into the file.

Every key that is declared has a gap, whether the file holds it or not: a gap that is
filled writes the key, one that is emptied takes it out.  Nothing else in the file moves.
"""

from __future__ import annotations

import datetime
import tomllib
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field
from typing import Any

from calculators.faults import Fault, fault_error
from course.scheme.declared import ORDER, TABLES
from exercises.files.toml_edit import TomlEdit
from exercises.files.toml_keys import Key, Keys
from exercises.files.toml_lines import Key as Path
from exercises.files.toml_lines import Walk

NEW = "+"  # stands in the way of a gap for the number of one that is not there yet
EMPTY = "[]"  # a list that says that there is none
_MANY = {table.way: table for table in TABLES if table.many}
TITLES = ("ingredient", "name", "shape", "allergen", "gelatin_grade")


@dataclass(frozen=True)
class Gap:
    """One key of a table as a gap.

    Parameters
    ----------
    way : str
        Under which a form sends it.
    path : tuple
        To the key in the file.
    key : Key
        What is declared of it.
    value : str
        What the file holds, as text; empty where it is not there.
    there : bool
        Whether the file holds it.
    note : str
        The remark behind it in the file.
    """

    way: str
    path: Path
    key: Key
    value: str = ""
    there: bool = False
    note: str = ""

    @property
    def name(self) -> str:
        """The name as it is said."""
        return self.key.name.replace("_", " ")

    @property
    def choices(self) -> list[str]:
        """What a choice offers, with a wrong word that stands there."""
        return list(dict.fromkeys((*self.key.offered(), *([self.value] if self.value else []))))


@dataclass(frozen=True)
class Lot:
    """One table of the file with its gaps; ``new`` where it would be one more of many."""

    way: str
    path: Path
    heading: str
    gaps: tuple[Gap, ...]
    new: bool = False

    @property
    def filled(self) -> list[Gap]:
        """The gaps that the file fills, or must."""
        return [gap for gap in self.gaps if gap.there or gap.key.needed or self.new]

    @property
    def open(self) -> list[Gap]:
        """The gaps that are left out."""
        return [gap for gap in self.gaps if gap not in self.filled]


@dataclass(frozen=True)
class Section:
    """All tables of one kind that stand beside one another.

    Parameters
    ----------
    table : Keys
        What is declared of them.
    way : str
        Of the kind, for what is wrong with all of them together.
    heading : str
        As it is said.
    lots : tuple of Lot
        Those that are there; the one, where there can be one alone.
    blanks : tuple of Lot
        To fill for one more, or for several where they only stand together.
    there : bool
        Whether the file has any.
    """

    table: Keys
    way: str
    heading: str
    lots: tuple[Lot, ...]
    blanks: tuple[Lot, ...] = ()
    there: bool = True


# --- from the file -------------------------------------------------------------------------


def sections(text: str, tables: Iterable[Keys] = TABLES) -> list[Section]:
    """Return every table that a scheme may have, with what its file holds.

    Parameters
    ----------
    text : str
        That can be read as TOML.
    tables : iterable of Keys
        Which of them.
    """
    data, notes = tomllib.loads(text), _notes(text)
    return [one for table in tables for one in _sections(table, data, notes)]


def _sections(table: Keys, data: Any, notes: Mapping[Path, str]) -> Iterator[Section]:
    for path, held in _places(data, tuple(table.way.split(".")) if table.way else ()):
        way = _said(path)
        if not table.many:
            inner = held if isinstance(held, dict) else {}
            lot = _lot(table, path, inner, table.heading, notes)
            yield Section(table, way, table.heading, (lot,), there=bool(inner))
            continue
        named = table.many == "named"
        rows = _each(held) if isinstance(held, dict if named else list) else []
        lots = [
            _lot(table, (*path, at), row, _heading(table, at, row), notes)
            for at, row in rows
            if isinstance(row, dict)
        ]
        several = 1 if rows else table.at_once
        blanks = tuple(
            _lot(
                table,
                (*path, f"{NEW}{n or ''}"),
                {},
                f"New {table.one}" + (f" {n + 1}" if several > 1 else ""),
                notes,
                len(rows),
            )
            for n in range(several)
        )
        of = _MANY[table.way.partition(".")[0]].one.capitalize() if len(path) > 2 else ""
        heading = f"{of} {_said(path[1:2])}: {table.heading}" if of else table.heading
        yield Section(table, way, heading, tuple(lots), blanks, bool(lots))


def _places(data: Any, way: Path, path: Path = ()) -> Iterator[tuple[Path, Any]]:
    """Yield where tables of a way stand: once for each table that could hold them."""
    if not way:
        yield path, data
        return
    held = data.get(way[0]) if isinstance(data, dict) else None
    if len(way) > 1 and way[0] in _MANY:
        for at, row in _each(held):
            yield from _places(row, way[1:], (*path, way[0], at))
    else:
        yield from _places(held, way[1:], (*path, way[0]))


def _each(held: Any) -> list[tuple[Any, Any]]:
    """Return what is one of many, by its place or its name."""
    if isinstance(held, dict):
        return list(held.items())
    return list(enumerate(held)) if isinstance(held, list) else []


def _heading(table: Keys, at: Any, row: Mapping[str, Any]) -> str:
    if isinstance(at, str):
        return f"{table.one.capitalize()} {at}"
    title = next((str(row[key]) for key in TITLES if row.get(key)), "")
    return f"{table.one.capitalize()} {at + 1}" + (f": {title}" if title else "")


def _lot(
    table: Keys,
    path: Path,
    held: Mapping[str, Any],
    heading: str,
    notes: Mapping[Path, str],
    place: int | None = None,
) -> Lot:
    new = place is not None
    real = path if place is None or table.many != "rows" else (*path[:-1], place)
    gaps = [
        Gap(
            _said((*path, k.name)),
            (*real, k.name),
            k,
            *_value_of(held, k.name),
            notes.get((*path, k.name), ""),
        )
        for k in table.keys
    ]
    for name, value in held.items():  # what nobody declared: a slip, to be seen and emptied
        if name not in ORDER[table.way] and not isinstance(value, dict) and not _rows(value):
            key = Key(name, "", None)
            gaps.append(Gap(_said((*path, name)), (*path, name), key, *_value_of(held, name)))
    return Lot(_said(path), real, heading, tuple(gaps), new)


def _rows(value: Any) -> bool:
    return isinstance(value, list) and any(isinstance(one, dict) for one in value)


def _said(path: Path) -> str:
    """Return a path as a fault says it."""
    return ".".join(str(step + 1) if isinstance(step, int) else step for step in path)


def _notes(text: str) -> dict[Path, str]:
    """Return the remark behind each value."""
    found = {}
    for path, (_, _, ends) in Walk(text).pairs.items():
        rest = text[ends:].partition("\n")[0].strip()
        if rest.startswith("#"):
            found[path] = rest.lstrip("# ")
    return found


def _value_of(held: Mapping[str, Any], name: str) -> tuple[str, bool]:
    if name not in held:
        return "", False
    value = held[name]
    if isinstance(value, bool):
        return ("yes" if value else "no"), True
    if isinstance(value, list):
        return ", ".join(map(str, value)) or EMPTY, True
    if isinstance(value, datetime.time):
        return value.strftime("%H:%M"), True
    if isinstance(value, datetime.date):
        return value.isoformat(), True
    return str(value), True


# --- back into the file -----------------------------------------------------------------------


@dataclass(frozen=True)
class Typed:
    """A file with what was typed in it.

    Parameters
    ----------
    text : str
        The file as it would be.
    slots : mapping
        From the way that a fault names to the gap, or the table, that it stands beside.
    paths : mapping
        From a path in the file that would be to the way of its gap or table.
    """

    text: str
    slots: Mapping[str, str]
    paths: Mapping[Path, str] = field(default_factory=dict)

    def slot(self, way: str) -> str:
        """Return the gap or table that is nearest to what a fault names; empty for none."""
        while way and way not in self.slots:
            way = way.rpartition(".")[0]
        return self.slots.get(way, "")


def typed_into(text: str, form: Mapping[str, str], tables: Iterable[Keys] = TABLES) -> Typed:
    """Put what was typed into the file; what nobody changed stays as it is.

    Parameters
    ----------
    text : str
        The file.
    form : mapping
        ``at:WAY`` for a value, ``less:WAY`` for one of many that goes.
    tables : iterable of Keys
        Which tables the form has gaps for.

    Raises
    ------
    FaultsError
        Where a new paper has the name of another, or none.
    """
    held, edit = sections(text, tables), TomlEdit(text, ORDER)
    gone, paths = [], {}
    for section in held:
        paths[_path_of(section)] = section.way
        added = 0
        for lot in (*section.lots, *section.blanks):
            path = lot.path
            if lot.new:
                path = _added(edit, section, lot, form, added)
                if not path:
                    continue
                added += 1
            else:
                _filled(edit, lot, form)
            if f"less:{lot.way}" in form and section.table.many and not lot.new:
                gone.append(path)
            else:
                paths |= {path: lot.way} | {(*path, g.key.name): g.way for g in lot.gaps}
    for path in sorted(gone, key=lambda p: [str(s).zfill(6) for s in p], reverse=True):
        edit.drop(path)
    paths = {_without(path, gone): way for path, way in paths.items()}
    return Typed(edit.text, {_said(path): way for path, way in paths.items()}, paths)


def _path_of(section: Section) -> Path:
    first = (*section.lots, *section.blanks)[0]
    return first.path[:-1] if section.table.many else first.path


def _filled(edit: TomlEdit, lot: Lot, form: Mapping[str, str]) -> None:
    for gap in lot.gaps:
        given = form.get(f"at:{gap.way}")
        if given is None or given.strip() == gap.value:
            continue
        if given.strip():
            edit.put(gap.path, read_back(gap.key, given.strip()))
        else:
            edit.take_out(gap.path)


def _added(edit: TomlEdit, section: Section, lot: Lot, form: Mapping[str, str], after: int) -> Path:
    """Write one more of many, where any of its gaps was filled; return its path.

    ``after`` is how many new ones came before it.
    """
    given = {gap: form.get(f"at:{gap.way}", "").strip() for gap in lot.gaps}
    name, path = form.get(f"at:{lot.way}", "").strip(), lot.path
    if not name and not any(given.values()):
        return ()
    if section.table.many == "named":
        if not name or any(name == one.path[-1] for one in section.lots):
            raise fault_error(
                f"scheme, {lot.way}",
                f"is the name of another {section.table.one}" if name else "has no name",
                name,
                "",
                f"Give it one of its own, such as second-{section.table.one.replace(' ', '-')}",
            )
        path = (*path[:-1], name)
    elif isinstance(path[-1], int):
        path = (*path[:-1], path[-1] + after)
    edit.add(path)
    for gap, value in given.items():
        if value:
            edit.put((*path, gap.key.name), read_back(gap.key, value))
    return path


def _without(path: Path, gone: Iterable[Path]) -> Path:
    """Return a path as it is when others that stood before it are gone."""
    out = list(path)
    for one in gone:
        n = len(one) - 1
        mine, theirs = (path[n], one[n]) if len(path) > n else ("", "")
        if path[:n] == one[:n] and isinstance(mine, int) and isinstance(theirs, int):
            out[n] = out[n] - 1 if mine > theirs else out[n]  # type: ignore[operator]
    return tuple(out)


def read_back(key: Key, given: str) -> Any:
    """Return what was typed as the kind of value that a key has, or else as text."""
    if key.kind == "yes or no":
        return {"yes": True, "no": False}.get(given.lower(), given)
    if key.kind == "words":
        if given == EMPTY:
            return []
        words = [word.strip() for word in given.split(",") if word.strip()]
        return [int(w) if w.isdecimal() and not hasattr(key, "one") else w for w in words]
    if key.kind == "number":
        for read in (int, float):
            try:
                return read(given)
            except ValueError:
                continue
    if key.kind == "day":
        try:
            return datetime.date.fromisoformat(given)
        except ValueError:
            return given
    return given


def beside(faults: Iterable[Fault], typed: Typed) -> dict[str, str]:
    """Return faults by the gap or table that each stands beside."""
    found: dict[str, list[str]] = {}
    for one in faults:
        slot = typed.slot(one.where.partition(", ")[2])
        if slot:
            found.setdefault(slot, []).append(str(one).partition(": ")[2])
    return {slot: " ".join(said) for slot, said in found.items()}


def by_gap(faults: Iterable[Fault]) -> dict[str, str]:
    """Return what is wrong by the gap that each fault names."""
    return {one.where.partition(", ")[2]: str(one).partition(": ")[2] for one in faults}


def held_in(text: str, table: Keys, name: str) -> str:
    """Return what a file has for a key of a table that stands alone; empty for nothing."""
    (section,) = sections(text, [table])
    return next(gap.value for gap in section.lots[0].gaps if gap.key.name == name)


def as_it_stands(text: str, tables: Iterable[Keys] = TABLES) -> Typed:
    """Return the file as it is, with its slots."""
    return typed_into(text, {}, tables)
