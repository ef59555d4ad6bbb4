"""A worked solution taken apart, one key of a pocket calculator after the other.

A question writes its solution in a line: *11 g x sqrt(200 / 250) = 9.839 g*.  Here such
lines become the steps of a sum on paper: brackets, roots and logarithms first, then times
and divided by from the left, then plus and minus.  What can't be read so is left alone.
"""

from __future__ import annotations

import math
import operator
import re
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import TypeAlias

from calculators.units import number

DIGITS = 4  # of a number on the way; it is carried on unrounded
NEAR_ENOUGH = 0.005  # of what a solution says itself, which is rounded
# What may stand between a number on the calculator and the answer: %, thousands, minutes.
SCALES = (1, 100, 1000, 0.001, 60, 1 / 60, 0.01)


@dataclass(frozen=True)
class Step:
    """One number that has to be found.

    Parameters
    ----------
    put_in : str
        What it is found from, with the numbers put in; empty where it follows from the
        step before.
    words : str
        What the solution says of it; empty within a sum.
    before, after : str
        What stands around the number in its line.
    value : float
        The number.
    said : str
        As it is written, with its unit at the end of a sum.
    last : bool
        Whether a sum ends with it.
    """

    put_in: str
    words: str
    before: str
    value: float
    after: str
    said: str
    last: bool = False


# --- a small grammar of sums --------------------------------------------------------------

Node: TypeAlias = "float | tuple[str, tuple[Node, ...]]"
_TOKEN = re.compile(
    r"\s*(?:(?P<number>\d+(?:\.\d+)?)|(?P<name>sqrt|ln|√|π)|(?P<op>[+\-−×*÷/()²³])"
    r"|(?P<times>x(?![A-Za-z]))|(?P<unit>%|°|[A-Za-zµ°]+(?:/[A-Za-z]+)*[²³]?))"
)
_SIGNS = {"-": "−", "x": "×", "*": "×", "/": "÷", "√": "sqrt"}


def _tokens(text: str) -> list[str] | None:
    """Return numbers and signs, units left out; None where words stand in it."""
    out: list[str] = []
    place = 0
    text = text.strip()
    while place < len(text):
        found = _TOKEN.match(text, place)
        if not found:
            return None
        place = found.end()
        sign = found["number"] or found["name"] or found["op"] or found["times"]
        if sign:
            out.append(_SIGNS.get(sign, sign))
        elif not out or not re.match(r"[\d)²³]", out[-1][-1]):
            return None  # a word where a number should be
        elif found["unit"] == "%" and not (out[-1] == "100" and out[-2:-1] == ["×"]):
            out[-1] = f"{float(out[-1]) / 100:.12g}" if out[-1][0].isdigit() else out[-1]
    return out


class _Reader:
    def __init__(self, tokens: Sequence[str]) -> None:
        self.tokens, self.place = tokens, 0

    def now(self) -> str:
        return self.tokens[self.place] if self.place < len(self.tokens) else ""

    def take(self) -> str:
        self.place += 1
        return self.tokens[self.place - 1]

    def terms(self) -> Node:
        """Read what is added and taken off."""
        return self.chain("+−", self.factors)

    def factors(self) -> Node:
        """Read what is multiplied and divided."""
        return self.chain("×÷", self.power)

    def chain(self, signs: str, inner: Callable[[], Node]) -> Node:
        """Read terms or factors from the left, each pair a node of its own."""
        node = inner()
        while self.now() and self.now() in signs:
            node = (self.take(), (node, inner()))
        return node

    def power(self) -> Node:
        node = self.one()
        while self.now() and self.now() in "²³":
            node = (self.take(), (node,))
        return node

    def one(self) -> Node:
        token = self.take()
        if token == "(":
            node = self.terms()
            if self.take() != ")":
                raise ValueError(token)
            return node if isinstance(node, float) else ("(", (node,))
        if token == "−":
            return -float(self.take())
        if token in ("sqrt", "ln"):
            return (token, (self.one(),))
        return math.pi if token == "π" else float(token)


_HERE = "\x00"


def _write(node: Node, way: tuple[int, ...] | None = None) -> str:
    """Return a sum as it is written, with a mark in the place that a way leads to."""
    if way == ():
        return _HERE
    if isinstance(node, float):
        return "π" if node == math.pi else number(node, DIGITS)
    sign, inner = node
    parts = [_write(each, way[1:] if way and n == way[0] else None) for n, each in enumerate(inner)]
    if sign == "(":
        # Brackets that hold a single number fall away with it.
        return parts[0] if parts[0] == _HERE else f"({parts[0]})"
    if sign in "²³":
        return parts[0] + sign
    if sign in ("sqrt", "ln"):
        return ("√" if sign == "sqrt" else "ln ") + parts[0]
    return f"{parts[0]} {sign} {_second(parts[1])}"


def _second(text: str) -> str:
    """Return what stands after a sign; a number below nought is put into brackets there."""
    return f"({text})" if text.startswith(("-", "−")) else text


_WORK: dict[str, Callable[..., float]] = {
    "+": operator.add,
    "−": operator.sub,
    "×": operator.mul,
    "÷": operator.truediv,
    "²": lambda a: a**2,
    "³": lambda a: a**3,
    "sqrt": math.sqrt,
    "ln": math.log,
}


_RANK = {"²": 0, "³": 0, "sqrt": 0, "ln": 0, "×": 1, "÷": 1, "+": 2, "−": 2}


def _next(node: Node) -> tuple[int, ...] | None:
    """Return the way to what comes next: brackets, then powers, then × and ÷, then + and −."""
    found: list[tuple[int, int, tuple[int, ...]]] = []

    def look(one: Node, way: tuple[int, ...], depth: int) -> None:
        if isinstance(one, float):
            return
        sign, inner = one
        bracket = sign in ("(", "sqrt", "ln")
        for place, each in enumerate(inner):
            look(each, (*way, place), depth + bracket)
        if sign != "(" and all(isinstance(each, float) for each in inner):
            found.append((-depth, _RANK[sign], way))

    look(node, (), 0)
    return min(found, key=lambda one: one[:2])[2] if found else None


def _pressed(node: Node, way: tuple[int, ...]) -> tuple[Node, float]:
    assert not isinstance(node, float)
    sign, inner = node
    if not way:
        out = float(_WORK[sign](*inner))
        return out, out
    new, out = _pressed(inner[way[0]], way[1:])
    if sign == "(" and isinstance(new, float):
        return new, out  # a number needs no brackets
    return (sign, tuple(new if n == way[0] else one for n, one in enumerate(inner))), out


def _around(node: Node, way: tuple[int, ...]) -> tuple[str, str]:
    """Return what is written before and after one place of a sum."""
    before, _, after = _write(node, way).partition(_HERE)
    return before, after


# --- a solution ---------------------------------------------------------------------------

_PIECE = re.compile(r"\n+|;\s+|(?<=[^\d])\.\s+|(?<=\d)\.\s+(?=[A-Z(\d])")
_TOLD = re.compile(r"^(\D+): (\d+(?:\.\d+)?(?: \S+)?)$")
_WORDS = re.compile(r"^((?:[^\W\d_]|[\s:,'])*?)(?=[(\d√π]|sqrt|ln\b)")


def steps(worked: str, shown: str = "") -> list[Step]:
    """Return the steps of a worked solution; none where one of its lines is no sum.

    Parameters
    ----------
    worked : str
        The solution, its lines parted by semicolons, full stops or line ends.
    shown : str
        The answer that the sum must come to; a line without ``=`` may follow it.

    >>> for one in steps("11 g x sqrt(200 / 250) = 9.839 g"):
    ...     print(one.put_in or "", "|", one.before + one.said + one.after)
    11 × √(200 ÷ 250) | 11 × √0.8
     | 11 × 0.8944
     | 9.839 g
    """
    out: list[Step] = []
    for piece in _PIECE.split(worked.strip()):
        if out and "=" not in piece and not _TOLD.match(piece):
            continue  # a remark
        made = _piece(piece.strip().rstrip("."))
        if not made:
            return []
        out += made
    aim = re.match(r"-?\d+(?:\.\d+)?", shown)
    if aim and (not out or abs(out[-1].value - float(aim[0])) > NEAR_ENOUGH * abs(float(aim[0]))):
        return []
    return out


def _piece(piece: str) -> list[Step]:
    told = _TOLD.match(piece)
    if told:  # a rule that needs no sum: one leaf replaces one leaf
        number_said = float(told[2].split()[0])
        return [Step("", told[1], "", number_said, "", told[2], last=True)]
    named, equals, rest = piece.partition(" = ")
    if equals and not re.search(r"\d|sqrt|π", named):
        piece = rest
    else:
        named = ""
    words = _WORDS.match(piece)
    lead = named or (words[1].strip() if words else "")
    sums, *ends = piece[len(words[1]) if words else 0 :].split(" = ")
    tokens = _tokens(sums)
    if not ends or not tokens:
        return []
    said = ends[-1].strip()
    end = re.match(r"-?\d+(?:\.\d+)?", said)
    try:
        reader = _Reader(tokens)
        node = reader.terms()
        if reader.now() or not end or "," in said or isinstance(node, float):
            return []
    except (IndexError, ValueError):
        return []
    target = float(end[0])
    out: list[Step] = []
    put_in = _write(node)
    while not isinstance(node, float):
        way = _next(node)
        if way is None:
            return []
        before, after = _around(node, way)
        node, value = _pressed(node, way)
        out.append(Step(put_in, lead, before, value, after, number(value, DIGITS)))
        put_in = lead = ""
    if not any(abs(node * f - target) <= NEAR_ENOUGH * abs(target) for f in SCALES):
        return []
    fits = abs(node - target) <= NEAR_ENOUGH * abs(target)
    ending = Step("", "", "", target, "", said, last=True)
    if fits:
        ending = Step(out[-1].put_in, out[-1].words, "", target, "", said, last=True)
        out.pop()
    return [*out, ending]
