"""A TOML file that is changed in its place: remarks, order and blank lines stay as they are.

Values are put in where they stand.  What is new comes where its remark waits for it (a
line like ``# room = "21 °C"``), or else after what comes before it in the declared
order.  What is taken out leaves its remark behind.
"""

from __future__ import annotations

import re
import tomllib
from collections.abc import Mapping, Sequence
from typing import Any

import tomlkit

from calculators.faults import fault_error
from exercises.files.toml_lines import Key, Walk

LONGEST_LINE = 100


class TomlEdit:
    """A text of TOML under change; ``text`` is what it has become.

    Parameters
    ----------
    text : str
        That can be read, with plain line ends.
    order : mapping
        The keys of each table by its dotted way, in the order in which they are written.
    """

    def __init__(self, text: str, order: Mapping[str, Sequence[str]]) -> None:
        self.text, self.order = text if text.endswith("\n") or not text else text + "\n", order

    # -- one value ---------------------------------------------------------------------

    def put(self, path: Key, value: Any) -> None:
        """Give a key a value; where it is not there, it is written, with its table."""
        walk = Walk(self.text)
        if path in walk.pairs:
            _, begins, ends = walk.pairs[path]
            new, remarks = _changed(str(path[-1]), self.text[begins:ends], value)
            self._splice(begins, ends, new)
            self._remarks_above(walk.pairs[path][0], remarks)
            return
        *above, name = path
        table = tuple(above)
        if table and table not in walk.headings:
            if table in walk.found:  # written in line, or with points
                self._by_library(path, value)
                return
            self.add(table)
            walk = Walk(self.text)
        self._new_line(walk, table, str(name), _written(str(name), value))

    def _new_line(self, walk: Walk, table: Key, name: str, value: str) -> None:
        begins, ends = self._region(walk, table)
        waiting = re.compile(rf"^#:? ?({re.escape(name)}[ \t]*=.*)$", re.MULTILINE)
        found = waiting.search(self.text, begins, ends)
        if found and _reads(found[1]):
            held = Walk(found[1]).pairs[(name,)]
            line = f"{name} = {value}{found[1][held[2] :]}"
            self._splice(found.start(), found.end(), line)
            return
        known = self._keys(table)
        before = known[: known.index(name)] if name in known else known
        stands = [walk.pairs[(*table, one)][2] for one in before if (*table, one) in walk.pairs]
        at = self._line_end(max(stands, default=begins)) if stands or table else begins
        self._splice(at, at, f"{name} = {value}\n")

    def _keys(self, table: Key) -> list[str]:
        """Return the keys of a table in their order; a name of its own is no part of its way."""
        first, *inside = _way(table).split(".")
        for way in (".".join([first, *inside]), ".".join([first, *inside[1:]])):
            if way in self.order:
                return list(self.order[way])
        return []

    def take_out(self, path: Key) -> None:
        """Take a key out; a table without any other goes with it, and remarks stay."""
        walk = Walk(self.text)
        if path not in walk.pairs:
            return
        table = path[:-1]
        others = [p for p in (*walk.pairs, *walk.headings) if p[: len(table)] == table]
        if table in walk.headings and set(others) == {path, table}:
            self.drop(table)
            return
        if not self._own_lines(walk, [path]):
            self._by_library(path, None)

    # -- whole tables ----------------------------------------------------------------------

    def add(self, path: Key) -> None:
        """Write the heading of a new table; one that ends in a number is one more of many."""
        walk = Walk(self.text)
        many = isinstance(path[-1], int)
        way = _way(path)
        heading = f"[[{way}]]" if many else f"[{_dotted(path)}]"
        waiting = re.search(
            rf"^#:? ?({re.escape(heading)}[ \t]*(?:#.*)?)$", self.text, re.MULTILINE
        )
        if waiting and (not many or path[-1] == 0):
            after = [begins for begins, _ in walk.headings.values() if begins > waiting.start()]
            ends = min(after, default=len(self.text))
            if not any(waiting.start() < begins < ends for begins, _, _ in walk.pairs.values()):
                self._splice(waiting.start(), waiting.end(), waiting[1])
                return
        at = self._end_of(walk, path, way)
        before = "" if self.text[:at].endswith("\n\n") or not at else "\n"
        self._splice(at, at, f"{before}{heading}\n")

    def _end_of(self, walk: Walk, path: Key, way: str) -> int:
        """Return where a new table goes: after its sisters, or what comes before it."""
        ways = list(self.order)
        base = way if way in ways else way.rpartition(".")[0]
        earlier = ways[: ways.index(base)] if base in ways else ways
        inside = path[: -2 if isinstance(path[-1], int) else -1]
        found = [(p, ends) for p, (_, _, ends) in walk.pairs.items()]
        found += [(p, ends) for p, (_, ends) in walk.headings.items()]
        top = {p for p in walk.pairs if len(p) == 1}
        for one in (base, *reversed(earlier)):
            ends = [
                self._line_end(ends)
                for held, ends in found
                if held[: len(inside)] == inside
                and (f"{_way(held)}.".startswith(f"{one}.") if one else held in top)
            ]
            if ends:
                return max(ends)
        return len(self.text)

    def drop(self, path: Key) -> None:
        """Take out a whole table with all that is under it; its remarks stay."""
        walk = Walk(self.text)
        inside = [p for p in walk.pairs if p[: len(path)] == path]
        headings = [p for p in walk.headings if p[: len(path)] == path]
        if not headings or not self._own_lines(walk, inside, headings):
            self._by_library(path, None)

    # -- the text ---------------------------------------------------------------------------

    def _own_lines(self, walk: Walk, pairs: Sequence[Key], headings: Sequence[Key] = ()) -> bool:
        """Take out lines that hold these alone; False, and nothing done, where one doesn't."""
        found = [(walk.pairs[p][0], walk.pairs[p][2], str(p[-1])) for p in pairs]
        found += [(*walk.headings[p], "") for p in headings]
        cuts = []
        for begins, ends, name in found:
            first = self.text.rfind("\n", 0, begins) + 1
            last = self._line_end(ends)
            rest = self.text[ends:last].strip()
            if self.text[first:begins].strip() or (rest and not rest.startswith("#")):
                return False
            held = (*_remarks(self.text[begins:ends]), *([rest] if rest else []))
            cuts.append((first, last, name, held))
        for first, last, name, held in sorted(cuts, reverse=True):
            self._splice(first, last, "")
            said = [f"# {name}: {_bare(one)}" if name else f"# {_bare(one)}" for one in held]
            # What stands elsewhere too need not be kept twice.
            left = [line for line, one in zip(said, held, strict=True) if one not in self.text]
            self._splice(first, first, "".join(f"{line}\n" for line in left))
            self._close_up(first)
        return True

    def _close_up(self, at: int) -> None:
        """Leave one blank line where a cut has left more."""
        before, after = self.text[:at], self.text[at:]
        if before.endswith("\n\n") or not before:
            self.text = before + after.lstrip("\n")
        if self.text.endswith("\n\n"):
            self.text = self.text.rstrip("\n") + "\n"

    def _region(self, walk: Walk, table: Key) -> tuple[int, int]:
        """Return where the lines of a table begin and end."""
        begins = self._line_end(walk.headings[table][1]) if table else 0
        later = [at for at, _ in walk.headings.values() if at >= begins]
        return begins, min(later, default=len(self.text))

    def _line_end(self, at: int) -> int:
        if at and self.text[at - 1 : at] == "\n":
            return at
        found = self.text.find("\n", at)
        return len(self.text) if found < 0 else found + 1

    def _remarks_above(self, at: int, remarks: Sequence[str]) -> None:
        first = self.text.rfind("\n", 0, at) + 1
        self._splice(first, first, "".join(f"{one}\n" for one in remarks))

    def _splice(self, begins: int, ends: int, new: str) -> None:
        self.text = self.text[:begins] + new + self.text[ends:]

    def _by_library(self, path: Key, value: Any) -> None:
        """Change what is written in line; None takes it out."""
        held = tomlkit.parse(self.text)
        inner: Any = held
        try:
            for step in path[:-1]:
                inner = inner[step]
            if value is None:
                del inner[path[-1]]
            else:
                inner[path[-1]] = value
        except (LookupError, TypeError, ValueError, AttributeError):
            way = ".".join(str(step + 1) if isinstance(step, int) else step for step in path)
            raise fault_error(
                f"file, {way}",
                "can't be written there",
                "",
                "What stands in its place is no table",
                "Mend that in the file itself",
            ) from None
        self.text = tomlkit.dumps(held)


def _way(path: Key) -> str:
    return ".".join(step for step in path if isinstance(step, str))


def _dotted(path: Key) -> str:
    return ".".join(
        step if re.fullmatch(r"[\w-]+", step, re.ASCII) else tomlkit.item(step).as_string()
        for step in path
        if isinstance(step, str)
    )


def _reads(line: str) -> bool:
    try:
        tomllib.loads(line)
    except tomllib.TOMLDecodeError:
        return False
    return True


def _bare(remark: str) -> str:
    return remark.lstrip("# ").rstrip()


def _remarks(value: str) -> list[str]:
    """Return the remarks that stand inside a value of several lines."""
    if "\n" not in value or not value.startswith("["):
        return []
    quoted = r"\"(?:[^\"\\]|\\.)*\"|'[^']*'"
    return [found[1] for found in re.finditer(rf"{quoted}|(#[^\n]*)", value) if found[1]]


def _written(name: str, value: Any) -> str:
    """Return a value as TOML has it; a long list over several lines."""
    plain = tomlkit.item(value).as_string()
    if not isinstance(value, list) or len(f"{name} = {plain}") <= LONGEST_LINE:
        return plain
    rows = [" "]
    for one in value:
        said = f" {tomlkit.item(one).as_string()},"
        if len(rows[-1] + said) > LONGEST_LINE:
            rows.append(" ")
        rows[-1] += said
    return "\n".join(["[", *rows, "]"])


def _changed(name: str, old: str, value: Any) -> tuple[str, list[str]]:
    """Return a new value in the place of an old one, and remarks that no longer fit in it."""
    remarks = _remarks(old)
    if isinstance(value, list) and remarks:
        array: Any = tomlkit.parse(f"x = {old}")["x"]
        was = array.unwrap()
        stays = [one for one in was if one in value]
        if value[: len(stays)] == stays:  # taken out, or added at the end
            for one in [one for one in was if one not in value]:
                array.remove(one)
            array.extend(value[len(stays) :])
            kept = array.as_string()
            return kept, [one for one in remarks if one not in kept]
    return _written(name, value), remarks
