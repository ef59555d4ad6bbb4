"""On which line of a TOML file a key stands.

Python's reader of TOML gives values without their lines, and a fault without a
line is no help in a file of two hundred.  :func:`lines` walks over text that
the reader has accepted already, so it need not know what a value means, only
where it begins and ends.
"""

from __future__ import annotations

import tomllib
from typing import TypeAlias

Key: TypeAlias = "tuple[str | int, ...]"

_BLANK = " \t\r"
_ENDS_A_VALUE = ",]}#\n"


def lines(text: str) -> dict[Key, int]:
    r"""Return the line of each key, counted from 1.

    A key is the way to a value: ``("kitchen", "altitude")``, or
    ``("cakes", 1, "count")`` for the second table of an array of tables.

    >>> lines('[kitchen]\naltitude = "430 m"')[("kitchen", "altitude")]
    2
    """
    return Walk(text.replace("\r\n", "\n")).found


class Walk:
    """One walk over a text with plain line ends: what it met, by key.

    ``found`` has the line; ``pairs`` where a name begins, its value begins and its value
    ends; ``headings`` where the heading of a table begins and ends.
    """

    def __init__(self, text: str) -> None:
        self.text, self.at, self.line = text, 0, 1
        self.found: dict[Key, int] = {}
        self.pairs: dict[Key, tuple[int, int, int]] = {}
        self.headings: dict[Key, tuple[int, int]] = {}
        self.counts: dict[Key, int] = {}
        table: Key = ()
        while self._to_next():
            if self._here("["):
                table = self._header()
            else:
                self._pair(table)

    # -- small steps ---------------------------------------------------------------

    def _here(self, sign: str) -> bool:
        return self.text.startswith(sign, self.at)

    def _step(self, count: int = 1) -> None:
        self.line += self.text.count("\n", self.at, self.at + count)
        self.at += count

    def _to_next(self, also: str = "") -> bool:
        """Step over blanks, line ends, comments and the signs of ``also``."""
        while self.at < len(self.text):
            sign = self.text[self.at]
            if sign == "#":
                end = self.text.find("\n", self.at)
                self._step((end if end >= 0 else len(self.text)) - self.at)
            elif sign in _BLANK or sign == "\n" or sign in also:
                self._step()
            else:
                return True
        return False

    def _quoted(self) -> str:
        """Step over a text in quote marks and return it as it is written."""
        mark = self.text[self.at]
        long = self._here(mark * 3)
        closing, start = (mark * 3 if long else mark), self.at
        self._step(len(closing))
        while self.at < len(self.text) and not self._here(closing):
            self._step(2 if mark == '"' and self._here("\\") else 1)
        self._step(len(closing))
        while long and self._here(mark):  # a quote mark may touch the closing three
            self._step()
        return self.text[start : self.at]

    def _name(self) -> Key:
        """Step over a key, dotted or not, and return its parts."""
        parts: list[str | int] = []
        while self.at < len(self.text):
            if self._here('"') or self._here("'"):
                parts.append(tomllib.loads(f"k = {self._quoted()}")["k"])
            else:
                start = self.at
                while self.at < len(self.text) and (
                    self.text[self.at].isalnum() or self.text[self.at] in "_-"
                ):
                    self._step()
                parts.append(self.text[start : self.at])
            self._blanks()
            if not self._here("."):
                break
            self._step()
            self._blanks()
        return tuple(parts)

    def _blanks(self) -> None:
        while self.at < len(self.text) and self.text[self.at] in _BLANK:
            self._step()

    # -- the parts of a file ----------------------------------------------------------

    def _header(self) -> Key:
        """Read ``[table]`` or ``[[table]]``; return the way to it."""
        doubled, line, begins = self._here("[["), self.line, self.at
        self._step(2 if doubled else 1)
        self._blanks()
        path: Key = ()
        name = self._name()
        for place, part in enumerate(name):
            path = (*path, part)
            last = place == len(name) - 1
            if doubled and last:
                self.found.setdefault(path, line)
                self.counts[path] = self.counts.get(path, -1) + 1
            elif last:
                self.found[path] = line
            if path in self.counts:
                path = (*path, self.counts[path])
            self.found.setdefault(path, line)
        self._step(2 if doubled else 1)
        self.headings[path] = (begins, self.at)
        return path

    def _pair(self, table: Key) -> None:
        """Read ``name = value``."""
        line, begins, path = self.line, self.at, table
        for part in self._name():
            path = (*path, part)
            self.found.setdefault(path, line)
        self._step()  # the equals sign
        self._blanks()
        value = self.at
        self._value(path)
        self.pairs[path] = (begins, value, value + len(self.text[value : self.at].rstrip()))

    def _value(self, path: Key) -> None:
        """Step over a value; note what stands inside an array or an inline table."""
        self._blanks()
        if self._here("["):
            self._step()
            place = 0
            while self._to_next(also=",") and not self._here("]"):
                self.found[(*path, place)] = self.line
                self._value((*path, place))
                place += 1
            self._step()
        elif self._here("{"):
            self._step()
            while self._to_next(also=",") and not self._here("}"):
                self._pair(path)
            self._step()
        elif self._here('"') or self._here("'"):
            self._quoted()
        else:
            while self.at < len(self.text) and self.text[self.at] not in _ENDS_A_VALUE:
                self._step()
