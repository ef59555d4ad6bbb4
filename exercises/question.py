"""What a question is: parts, marks, tolerance and the wrong roads people take.

A question is a function that draws its values and returns its parts.  Nothing in
here marks, prints or stores; :func:`build` turns a question and a seed into plain
data that the worksheet prints, the mark book keeps and the marking reads.
"""

from __future__ import annotations

import difflib
import hashlib
import importlib
import inspect
import pkgutil
import tomllib
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, field
from functools import cache, cached_property
from pathlib import Path
from typing import Any, TypeAlias

import calculators
from calculators.faults import Fault, FaultsError, refuse
from calculators.units import Quantity, is_quantity, q, read, say, symbol, unit
from exercises.draws import Draw

LEVELS = ("recall", "carry out", "decide")
USES = ("practice", "assessed", "both")
EVIDENCE = ("calculate", "decide", "do")
MOST_DRAWS = 200
LETTERS = "abcdefghijklmnop"

Given: TypeAlias = Mapping[str, Quantity]
Answer: TypeAlias = "Quantity | Callable[[Given], Quantity]"


# --- outcomes -------------------------------------------------------------------


@dataclass(frozen=True)
class Outcome:
    """Something a student can do by the end of a lesson; a row of outcomes.toml."""

    id: str
    lesson: str
    verb: str
    wording: str
    evidence: str


@cache
def outcomes() -> dict[str, Outcome]:
    """Return the table of outcomes by id, in its order."""
    text = Path(__file__).with_name("outcomes.toml").read_text(encoding="utf-8")
    return {key: Outcome(key, **row) for key, row in tomllib.loads(text).items()}


# --- what a question says ------------------------------------------------------------


@dataclass(frozen=True)
class WrongRoad:
    """A wrong way to an answer that teachers of the trade know.

    Parameters
    ----------
    name : str
        Two or three words, for the assessor.
    value : quantity or str
        The number that comes of it; in a choice, the text of the option.
    says : str
        Begins *This is the number you get ...*, then gives one next step; it never
        gives the answer and never says that somebody did it.
    """

    name: str
    value: Any
    says: str


@dataclass(frozen=True)
class Exhibit:
    """Something to look at before answering: a log, two formulas, a drawing.

    Parameters
    ----------
    title : str
        What it is.
    head : sequence of str
        The columns of the log.
    rows : sequence of sequence of str
        Its lines.
    svg : str
        A drawing instead of a table, as SVG text of our own making.
    alt : str
        What the drawing shows, in words; required with ``svg``.
    """

    title: str
    head: Sequence[str] = ()
    rows: Sequence[Sequence[str]] = ()
    svg: str = ""
    alt: str = ""


@dataclass(frozen=True)
class Part:
    """A part that is answered with a quantity.

    Parameters
    ----------
    prompt : str
        What is asked, with the values in it.
    answer : quantity or function of the earlier answers
        The right answer; a function makes the part a follow-through part.
    tolerance : str
        ``"0.1 g"``, or ``"2 % of the answer"``.
    because : str
        Why that tolerance: what the scale shows, how far sources agree.
    marks : mapping
        Marks for ``"value"`` and, separately, ``"unit"``.
    wrong_roads : sequence of WrongRoad
        At least two.
    working : str
        The formula in the letters of the lesson.
    worked : str
        The solution step by step with this sheet's numbers, ending at the answer.
    unit : str
        The unit to print the answer in; by default that of the answer.
    safety : bool
        A safety decision: never accepted by follow-through.
    """

    prompt: str
    answer: Any
    tolerance: str
    because: str = ""
    marks: Mapping[str, int] = field(default_factory=lambda: {"value": 2, "unit": 1})
    wrong_roads: Sequence[WrongRoad] = ()
    working: str = ""
    worked: str = ""
    unit: str = ""
    safety: bool = False


@dataclass(frozen=True)
class Option:
    """One choice of several.

    Parameters
    ----------
    text : str
        What it says.
    right : bool
        Whether it is (one of) the right one(s).
    says : str
        For a wrong one: what choosing it tells, and one next step.
    """

    text: str
    right: bool = False
    says: str = ""


def one_right(
    texts: Mapping[Any, str] | Mapping[Any, tuple[str, str]],
    right: Any,
    otherwise: str | Mapping[Any, str] = "",
) -> list[Option]:
    """Return options of which one is right, in the order given.

    Parameters
    ----------
    texts : mapping of name to str, or to (str, str)
        What each option says, and perhaps what choosing it tells.
    right : name
        The right one's.
    otherwise : str or mapping of name to str, optional
        What choosing a wrong one tells, where it does not stand beside it: the same
        for all, or each its own.

    Examples
    --------
    >>> one_right({"A": "Tub A", "B": "Tub B"}, "B", "Read the label again.")[0].says
    'Read the label again.'
    """

    def option(name: Any, text: str, says: str) -> Option:
        return Option(text, name == right, "" if name == right else says)

    hints = dict.fromkeys(texts, otherwise) if isinstance(otherwise, str) else otherwise
    return [
        option(name, text, hints[name]) if isinstance(text, str) else option(name, *text)
        for name, text in texts.items()
    ]


@dataclass(frozen=True)
class Choice:
    """A part with one right option; shown in drawn order unless told otherwise."""

    prompt: str
    options: Sequence[Option]
    marks: int = 1
    worked: str = ""
    safety: bool = False
    keep_order: bool = False


@dataclass(frozen=True)
class Choices(Choice):
    """A part with several right options; each is a mark lost or won, not below nought."""


@dataclass(frozen=True)
class Order:
    """A part in which steps are put in order; ``steps`` stand in the right one."""

    prompt: str
    steps: Sequence[str]
    marks: int = 2
    worked: str = ""
    says: str = ""
    safety: bool = False


@dataclass(frozen=True)
class Table:
    """A short table: several quantities, one a row, each with label and tolerance."""

    prompt: str
    rows: Mapping[str, Part]
    worked: str = ""
    safety: bool = False


AnyPart: TypeAlias = Part | Choice | Order | Table


@dataclass(frozen=True)
class Asked:
    """What a question function may return: a stem, an exhibit and parts."""

    parts: Sequence[AnyPart]
    stem: str = ""
    exhibit: Exhibit | None = None


@dataclass(frozen=True)
class Question:
    """A question of the bank.

    Parameters
    ----------
    id : str
        Its name for ever.
    ask : function of a Draw
        Draws the values and returns the parts.
    outcome : str
        A key of outcomes.toml, with evidence *calculate* or *decide*.
    level : str
        One of :data:`LEVELS`.
    use : str
        One of :data:`USES`.
    safety : bool
        The tag of safety questions.
    minutes : float
        What it takes a student.
    private : bool
        From a lecturer's folder: never on the site.
    """

    id: str
    ask: Callable[[Draw], Any]
    outcome: str
    level: str
    use: str
    safety: bool = False
    minutes: float = 4
    private: bool = False

    @property
    def lesson(self) -> str:
        """The lesson it belongs to, through its outcome."""
        return outcomes()[self.outcome].lesson

    @cached_property
    def digest(self) -> str:
        """A digest of the question and of the calculators it stands on."""
        text = inspect.getsource(self.ask) + calculators_digest()
        return hashlib.sha256(text.encode()).hexdigest()[:16]


@cache
def calculators_digest() -> str:
    """Return a digest of every formula and table of the ground floor."""
    total = hashlib.sha256()
    root = Path(calculators.__file__).parent
    shown = {"figures.py", "show.py", "kitchen.py"}  # how numbers look moves no mark
    for path in sorted(root.rglob("*")):
        counts = path.suffix in {".py", ".csv", ".txt"} and path.name not in shown
        if counts and path.parent.name != "pictures":
            total.update(path.relative_to(root).as_posix().encode() + path.read_bytes())
    return total.hexdigest()


# --- the bank -------------------------------------------------------------------------

_bank: dict[str, Question] = {}


def question(
    id: str,
    *,
    outcome: str,
    level: str,
    use: str = "both",
    safety: bool = False,
    minutes: float = 4,
    private: bool = False,
) -> Callable[[Callable[[Draw], Any]], Callable[[Draw], Any]]:
    """Put a question into the bank; what is wrong with its card is refused at once.

    While a lecturer's own files are read, the card is laid on the shelf that
    :func:`gathered` holds, to be checked with all others.
    """

    def register(ask: Callable[[Draw], Any]) -> Callable[[Draw], Any]:
        card = Question(id, ask, outcome, level, use, safety, minutes, private)
        if _shelf is not None:
            _shelf.append(card)
            return ask
        faults = card_faults(card)
        if id in _bank and inspect.getsource(_bank[id].ask) != inspect.getsource(ask):
            where = f"question {id}"
            faults.append(Fault(where, "is in the bank already", id, "", "Name it anew"))
        if faults:
            raise FaultsError(faults)
        _bank[id] = card
        return ask

    return register


_shelf: list[Question] | None = None


@contextmanager
def gathered() -> Iterator[list[Question]]:
    """Lay every card that is written meanwhile on a shelf of its own, unchecked."""
    global _shelf
    before, _shelf = _shelf, []
    try:
        yield _shelf
    finally:
        _shelf = before


def card_faults(card: Question) -> list[Fault]:
    """Return what is wrong with a question's card: level, use, outcome."""
    where = f"question {card.id}"
    faults = [
        Fault(f"{where}, {name}", "is not known", str(value), _near(value, allowed))
        for name, value, allowed in (
            ("level", card.level, LEVELS),
            ("use", card.use, USES),
            ("outcome", card.outcome, tuple(outcomes())),
        )
        if value not in allowed
    ]
    known = outcomes().get(card.outcome) if isinstance(card.outcome, str) else None
    if known and known.evidence == "do":
        faults.append(
            Fault(
                f"{where}, outcome",
                "is one that no sheet can prove",
                card.outcome,
                "",
                "Choose an outcome with evidence calculate or decide",
            )
        )
    return faults


def _near(value: object, allowed: Sequence[str]) -> str:
    """Return the words that were meant, as far as one can tell: all of a few."""
    if len(allowed) <= 5:
        return ", ".join(allowed)
    near = difflib.get_close_matches(str(value), allowed, n=3, cutoff=0)
    return f"The nearest that are known: {', '.join(near)}"


def replace_private(own: Iterable[Question]) -> None:
    """Put a lecturer's own questions into the bank, in the place of earlier ones."""
    bank()
    for name in [name for name, one in _bank.items() if one.private]:
        del _bank[name]
    _bank.update({one.id: one for one in own})


def bank() -> dict[str, Question]:
    """Return every question, by id, after loading the files of exercises/bank."""
    _load_bank()
    return dict(sorted(_bank.items()))


@cache
def _load_bank() -> None:
    package = importlib.import_module("exercises.bank")
    for module in pkgutil.iter_modules(package.__path__):
        importlib.import_module(f"exercises.bank.{module.name}")


# --- from a question and a seed to plain data --------------------------------------------


class _Remembering(dict[str, Quantity]):
    """Earlier answers, remembering which of them were asked for."""

    def __init__(self, *args: Any) -> None:
        super().__init__(*args)
        self.asked: set[str] = set()

    def __getitem__(self, name: str) -> Quantity:
        self.asked.add(name)
        return super().__getitem__(name)


def base(quantity: Quantity) -> float:
    """Return a quantity's number in base units (kelvin, gram, metre, plain share)."""
    return float(quantity.to_base_units().magnitude)


def tolerance_in(text: str, answer: Quantity) -> float:
    """Return a tolerance as a number of base units.

    ``"2 % of the answer"`` is relative; anything else is a quantity of the answer's
    dimension, where °C means a difference of temperatures.
    """
    if text.endswith(" of the answer"):
        share = read(text.removesuffix(" of the answer"), "percent", "tolerance")
        return abs(base(share) * base(answer))
    width = read(text, None, "tolerance")
    if not width.is_compatible_with(answer) or width.magnitude < 0:
        raise refuse(
            "tolerance",
            "does not fit the answer",
            text,
            f"The answer is {say(answer)}",
            f"Write it in a unit of the answer, like 0.5 {symbol(answer.units)}".rstrip(),
        )
    degree = {"degree_Celsius": 1.0, "degree_Fahrenheit": 5 / 9}.get(str(width.units))
    return float(width.magnitude) * degree if degree else base(width)


def ask(
    chosen: Question, seed: str, counter: int, kitchen: Mapping[str, Quantity] | None
) -> tuple[Asked, Draw]:
    """Run a question's function once and return what it asks, with its draw."""
    draw = Draw(seed, chosen.id, counter, kitchen)
    return _asked(chosen.ask(draw)), draw


def asked_again(chosen: Question, values: Mapping[str, Any]) -> Asked:
    """Return what a question asks for the values that a sheet has stored."""
    return _asked(chosen.ask(Draw("", chosen.id, recorded=values)))


def _asked(returned: Any) -> Asked:
    if isinstance(returned, Asked):
        return returned
    if isinstance(returned, Part | Choice | Order | Table):
        return Asked([returned])
    return Asked(list(returned))


def build(
    chosen: Question, seed: str, kitchen: Mapping[str, Quantity] | None = None
) -> dict[str, Any]:
    """Return a question of a sheet as plain data, drawn again until it is fair.

    A draw is fair when every answer is finite and no wrong road ends within
    tolerance of the right answer.  The number of draws put back is ``counter``.

    Returns
    -------
    dict
        ``id, outcome, level, safety, digest, counter, values, stem, exhibit,
        parts``; each part a dictionary with ``name, kind, prompt, marks`` and what
        its kind needs (see :func:`_quantity_part` and its neighbours).
    """
    for counter in range(MOST_DRAWS):
        asked, draw = ask(chosen, seed, counter, kitchen)
        parts = _parts(asked, draw)
        if all(_fair(part) for part in parts):
            return _plain(chosen, asked, draw, counter, parts)
    raise refuse(
        f"question {chosen.id}",
        f"was not fair in {MOST_DRAWS} draws",
        seed,
        "No wrong road may end within tolerance of the answer",
        "Narrow the values it draws, or drop the wrong road",
    )


def built_again(chosen: Question, values: Mapping[str, Any]) -> dict[str, Any]:
    """Return a question as :func:`build` does, for the values that a sheet has stored.

    For a question that was put right after its sheets were issued.
    """
    draw = Draw("", chosen.id, recorded=values)
    asked = _asked(chosen.ask(draw))
    return _plain(chosen, asked, draw, 0, _parts(asked, draw))


def _plain(
    chosen: Question,
    asked: Asked,
    draw: Draw,
    counter: int,
    parts: list[dict[str, Any]],
) -> dict[str, Any]:
    return {
        "id": chosen.id,
        "outcome": chosen.outcome,
        "level": chosen.level,
        "safety": chosen.safety,
        "digest": chosen.digest,
        "counter": counter,
        "values": draw.values,
        "stem": asked.stem,
        "exhibit": _exhibit(asked.exhibit),
        "parts": parts,
    }


def _parts(asked: Asked, draw: Draw) -> list[dict[str, Any]]:
    true = _Remembering()
    parts: list[dict[str, Any]] = []
    for name, part in zip(LETTERS, asked.parts, strict=False):
        if isinstance(part, Part):
            data = _quantity_part(part, true)
            true[name] = q(data["answer"], data["base_unit"]).to(unit(data["unit"]))
        elif isinstance(part, Order):
            data = _order_part(part, draw, name)
        elif isinstance(part, Table):
            rows = {label: _quantity_part(row, true) for label, row in part.rows.items()}
            data = {
                "kind": "table",
                "prompt": part.prompt,
                "worked": part.worked,
                "safety": part.safety,
                "rows": [{"label": label, **row} for label, row in rows.items()],
                "total": sum(row["total"] for row in rows.values()),
            }
        else:
            data = _choice_part(part, draw, name)
        parts.append({"name": name, **data})
    return parts


def _quantity_part(part: Part, true: _Remembering) -> dict[str, Any]:
    """Return a quantity as data: answer, tolerance and roads are floats in base units."""
    true.asked = set()
    answer = part.answer(true) if callable(part.answer) else part.answer
    if not is_quantity(answer):
        raise refuse("answer", "is not a quantity", answer, "", "Return a quantity")
    shown = part.unit or str(answer.units)
    return {
        "kind": "quantity",
        "prompt": part.prompt,
        "answer": base(answer),
        "base_unit": str(answer.to_base_units().units),
        "unit": shown,
        "shown": say(answer, shown, digits=4),
        "tolerance": tolerance_in(part.tolerance, answer),
        "tolerance_text": part.tolerance,
        "because": part.because,
        "marks": dict(part.marks),
        "total": sum(part.marks.values()),
        "roads": [
            {"name": r.name, "value": base(_now(r.value, true)), "says": r.says}
            for r in part.wrong_roads
        ],
        "follows": sorted(true.asked),
        "working": part.working,
        "worked": part.worked,
        "safety": part.safety,
    }


def _now(value: Any, true: Given) -> Quantity:
    return value(true) if callable(value) else value


def _choice_part(part: Choice, draw: Draw, name: str) -> dict[str, Any]:
    options = list(part.options)
    if not part.keep_order:
        options = draw.shuffled(f"options {name}", options)
    return {
        "kind": "choices" if isinstance(part, Choices) else "choice",
        "prompt": part.prompt,
        "options": [
            {"key": key, "text": o.text, "says": o.says}
            for key, o in zip(LETTERS, options, strict=False)
        ],
        "right": [k for k, o in zip(LETTERS, options, strict=False) if o.right],
        "marks": {"choice": part.marks},
        "total": part.marks,
        "worked": part.worked,
        "safety": part.safety,
    }


def _order_part(part: Order, draw: Draw, name: str) -> dict[str, Any]:
    places = draw.shuffled(f"order {name}", range(len(part.steps)))
    return {
        "kind": "order",
        "prompt": part.prompt,
        "steps": [part.steps[place] for place in places],
        "right": [places.index(n) + 1 for n in range(len(places))],
        "marks": {"order": part.marks},
        "total": part.marks,
        "says": part.says,
        "worked": part.worked,
        "safety": part.safety,
    }


def _exhibit(exhibit: Exhibit | None) -> dict[str, Any] | None:
    if exhibit is None:
        return None
    return {
        "title": exhibit.title,
        "head": list(exhibit.head),
        "rows": [list(row) for row in exhibit.rows],
        "svg": exhibit.svg,
        "alt": exhibit.alt,
    }


def _fair(part: Mapping[str, Any]) -> bool:
    """Tell whether no wrong road of a part ends within tolerance of its answer."""
    rows: Iterable[Mapping[str, Any]] = part.get("rows", ())
    if part["kind"] == "table":
        return all(_fair(row) for row in rows)
    if part["kind"] == "order":
        return bool(part["right"] != sorted(part["right"]))
    if part["kind"] != "quantity":
        return True
    finite = part["answer"] == part["answer"] and abs(part["answer"]) < 1e15
    return finite and all(
        abs(road["value"] - part["answer"]) > 2 * part["tolerance"] for road in part["roads"]
    )


def unit_in_words(unit_name: str) -> str:
    """Return how the unit of an answer is written, for a prompt or a mark scheme."""
    return symbol(unit_name)
