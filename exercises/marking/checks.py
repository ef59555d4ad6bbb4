"""Late, repeated, swapped: what needs a look, and all of it in plain sentences."""

from __future__ import annotations

import re
import unicodedata
from array import array
from bisect import bisect_left
from collections.abc import Iterator, Mapping, Sequence
from datetime import datetime

from exercises.book.book import Book
from exercises.book.records import HandIn, Student
from exercises.book.schema import MARKED, SETTLED, UNREADABLE
from exercises.book.times import parse_time
from exercises.marking import hand_in

# --- late, repeated, swapped ------------------------------------------------------------------


class IrregularityCheck:
    """Recognises what an assessor has to settle; settles nothing itself.

    Parameters
    ----------
    book : Book
        For whom a sheet was issued, and until when.
    """

    def __init__(self, book: Book) -> None:
        self.book, self.named = book, _Named(book)
        self.pile = 0
        self.pile_is_late = False

    def __call__(self, fresh: list[HandIn], earlier: list[HandIn]) -> None:
        """Set flags on new hand-ins; the earlier ones are those of the same sheets."""
        limits = self.book.limits(one.token for one in fresh if one.token)
        by_token: dict[str, list[HandIn]] = {}
        for one in earlier:
            self._remember(one, by_token)
        for one in fresh:
            self.pile = one.pile = self.pile or one.id
            if one.token in limits:
                student, limit = limits[one.token]
                self._late(one, limit)
                strange = self._others_named(one, student)
                if strange:
                    one.flags["swapped"] = strange
                others = [o for o in by_token.get(one.token, []) if o.state in _READ]
                if others and one.state in _READ:
                    same = [o for o in others if o.answers == one.answers]
                    one.flags["repeated"] = {
                        "of": others[0].id,
                        "same answers": bool(same),
                    }
            self._remember(one, by_token)

    def without_known(self, entries: Sequence[HandIn]) -> list[HandIn]:
        """Return entries without those that an earlier pile held, in another folder.

        Same bytes, same file name, and no other student named by the folders: nothing
        new came in.
        """
        met = self.book.paths_of(one.digest for one in entries)
        return [
            one
            for one in entries
            if not one.size
            or not any(
                pile != self.pile
                and path != one.path
                and _PLACES.split(path)[-1] == _PLACES.split(one.path)[-1]
                and self.named.in_path(path) == self.named.in_path(one.path)
                for path, pile in met.get(one.digest, ())
            )
        ]

    def _others_named(self, one: HandIn, student: str) -> list[str]:
        """Return whom its name, its head or a token in it names in place of its student."""
        strange: set[str] = set()
        in_path = self.named.in_path(one.path)
        if student not in in_path:
            strange |= in_path
        for claim in one.claims:
            if hand_in.TOKEN_SHAPE.fullmatch(claim):
                other = self.book.sheets_by_token([claim], needs="head").get(claim)
                inside = {other.student if other else claim}
            else:
                inside = self.named.in_path(claim)
            if student not in inside:
                strange |= inside
        return sorted(strange)

    def _late(self, one: HandIn, limit: datetime | None) -> None:
        """Flag what came in late; where nobody said when it came, once for the pile."""
        if limit is None:
            return
        over = (parse_time(one.received_at) - limit).total_seconds()
        if over <= 0 or (one.clock == TAKEN_IN and self.pile_is_late):
            return
        late = {
            "minutes": round(over / 60),
            "until": limit.isoformat(),
            "clock": one.clock,
        }
        if one.clock == TAKEN_IN:
            self.pile_is_late = True
            late["pile"] = self.pile
        one.flags["late"] = late

    @staticmethod
    def _remember(one: HandIn, by_token: dict[str, list[HandIn]]) -> None:
        if one.token:
            by_token.setdefault(one.token, []).append(one)


_READ = (MARKED, SETTLED)  # what can't be read is no further hand-in: it has a look


_PLACES = re.compile(r"[/!\\]")
_BLANKS, _NO_LETTERS = re.compile(r"[\s,;_()]+"), re.compile(r"[\W_]+")


class _Named:
    """Finds students of the class list in the names of files and folders."""

    # A class may be large: of each way to write a student only its hash is kept, beside
    # the place of the student, sorted.  Among a million ways no two share one of 2**64.

    def __init__(self, book: Book) -> None:
        self.people: list[str] = []
        self.longest = 1
        parts = [(array("q"), array("I")) for _ in range(SORTED_APART)]
        for person, name in book.names():
            for way in _ways(person, name):
                key = hash(" ".join(way))
                keys, places = parts[key % SORTED_APART]
                keys.append(key)
                places.append(len(self.people))
                self.longest = max(self.longest, len(way))
            self.people.append(person)
        self._ways = [_sorted(*part) for part in parts]

    def _written(self, way: str) -> Iterator[str]:
        """Yield the students who are written so."""
        key = hash(way)
        keys, places = self._ways[key % SORTED_APART]
        at = bisect_left(keys, key)
        while at < len(keys) and keys[at] == key:
            yield self.people[places[at]]
            at += 1

    def in_path(self, path: str) -> set[str]:
        """Return the students whose name or id is in a path."""
        found: set[str] = set()
        for place in _PLACES.split(path):
            stem = hand_in.TOKEN_SHAPE.sub(" ", place) if "-" in place else place
            by_letters, by_blanks = _words(stem), _between_blanks(stem)
            runs = [by_letters, by_blanks] if by_letters != by_blanks else [by_letters]
            for words in runs:
                for start in range(len(words)):
                    for end in range(start + 1, min(len(words), start + self.longest) + 1):
                        found.update(self._written(" ".join(words[start:end])))
        return found


SORTED_APART = 16  # so that only a part of a large class is held twice while it is sorted


def _sorted(keys: array[int], places: array[int]) -> tuple[array[int], array[int]]:
    pairs = sorted(zip(keys, places, strict=True))
    return array("q", [key for key, _ in pairs]), array("I", [place for _, place in pairs])


def naming(book: Book, student: str) -> list[int]:
    """Return the hand-ins whose file names hold a student's name or id."""
    named = _Named(book)
    return [one.id for one in book.handins() if student in named.in_path(one.path)]


def _ways(person: str, name: str) -> list[tuple[str, ...]]:
    """Return the ways in which a student may stand in a path, as words."""
    ways: list[tuple[str, ...]] = []
    if len(person) > 2:
        ways = list(dict.fromkeys([(_folded(person),), tuple(_words(person))]))
    words = tuple(_words(name))
    if len(words) > 1:
        turned = [words, (*words[1:], words[0])]
        if len(words) > 2:
            turned.append((words[-1], *words[:-1]))
        ways += turned
        ways += [("".join(way),) for way in turned]
    return ways


def _between_blanks(text: str) -> list[str]:
    return _BLANKS.split(_folded(text))


def _folded(text: str) -> str:
    if text.isascii():
        return text.casefold()
    plain = unicodedata.normalize("NFKD", text).casefold()
    return "".join(c for c in plain if not unicodedata.combining(c))


def _words(text: str) -> list[str]:
    return [word for word in _NO_LETTERS.split(_folded(text)) if word]


def what_to_settle(one: HandIn, students: Mapping[str, Student]) -> list[str]:
    """Return in plain sentences what an assessor has to settle about a hand-in."""
    flags, said = one.flags, []
    if one.state == UNREADABLE and one.needs_a_look:
        said.append(one.reason)
    if (late := flags.get("late")) and "pile" in late:
        said.append(
            f"Its pile was taken in {_span(late['minutes'])} after the date, and nobody said "
            "when it came in. Accept it if it came in time."
        )
    elif late:
        said.append(f"It came {_span(late['minutes'])} late, as the {_CLOCKS[late['clock']]} says.")
    if again := flags.get("repeated"):
        said.append(
            "It is a further hand-in of a sheet, "
            + ("with the same answers." if again["same answers"] else "with other answers.")
            + f" The first is number {again['of']}."
        )
    if copies := flags.get("copied"):
        numbers = ", ".join(map(str, copies))
        said.append(
            f"It is more like hand-in {numbers} than working alone explains, though that "
            "sheet asks with other numbers. The book can't tell who wrote it."
        )
    if named := flags.get("swapped"):
        names = ", ".join(students[n].name or n if n in students else n for n in named)
        said.append(f"It names {names}, and its sheet belongs to somebody else.")
    if parts := flags.get("to settle"):
        said.append(f"By hand: {', '.join(parts)}.")
    if parts := flags.get("working"):
        said.append(f"Working to read: {', '.join(parts)}.")
    if appeal := flags.get("appeal"):
        said.append(f"An appeal of {appeal['date']}: {appeal['says']}")
    if strays := flags.get("strays"):
        said.append(f"It answers {', '.join(strays)}, which the sheet does not ask.")
    return said


TAKEN_IN = "taken in"
_CLOCKS = {"file": "date of the file", "archive": "archive", "given": "assessor"}


def _span(minutes: float) -> str:
    for size, word in ((1440, "day"), (60, "hour")):
        if minutes >= size:
            count = round(minutes / size)
            return f"{count} {word}{'s' if count > 1 else ''}"
    return f"{round(minutes)} min" if minutes >= 1 else "less than a minute"
