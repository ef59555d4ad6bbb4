"""What a panel and a practice question answer, on a desktop and in a browser alike.

Everything comes in as text a person wrote and goes out as plain data.  The worked
examples of the pages are made by these functions when the site is built; in a browser
the same functions answer the reader.  No formula, range or marking rule is here.
"""

from __future__ import annotations

import json
import re
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cached_property, lru_cache
from typing import Any

from calculators.catalogue import calculator_named
from calculators.faults import Fault, FaultsError, fault_error
from calculators.units import (
    Declaration,
    InstanceOf,
    Measure,
    OneOf,
    Quantity,
    declaration,
    is_quantity,
    q,
    read,
    say,
    symbol,
)
from course.live import by_hand, cards
from course.live.sketch import sketch
from exercises.questions import registry
from exercises.questions.parts import DrawnQuestion

SEED = "the course site"
KITCHEN = "kitchen."
# The marble that is shown where a course has one colour or none, as in its lesson.
THREE_JUGS = {
    "ivory": q(50, "percent"),
    "pink": q(25, "percent"),
    "green": q(25, "percent"),
}

# How the verdicts of marking are said in practice.
AGREES, NEAR, LOOK_AGAIN = "agrees", "near", "look again"
UNREAD, NOTHING = "can't be read", "not answered yet"


@dataclass(frozen=True)
class Field:
    """One box of a panel.

    Parameters
    ----------
    name : str
        The argument; an entry of a table is ``"shares.ivory"``.
    label : str
        Its name in words.
    start : str
        What stands in it at first, as a person writes it.
    limit : str
        What it may be, in words.
    words : tuple of str
        The choices, where there is nothing to write.
    given : bool
        Whether the lesson takes it as given, so that it can stand aside.
    fixed : bool
        Whether it is a thing of the kitchen, which can't be changed here.
    """

    name: str
    label: str
    start: str
    limit: str = ""
    words: tuple[str, ...] = ()
    given: bool = False
    fixed: bool = False


def calculator(name: str) -> tuple[Callable[..., Any], Declaration]:
    """Return a public calculator by its name, ``"syrup.density"``, and what it takes."""
    found = calculator_named(name)
    held = declaration(found) if found else None
    if found is None or held is None:
        raise fault_error(
            "panel",
            "is not a calculator",
            name,
            "",
            "Look up its name on the page What each calculator answers",
        )
    return found, held


_TO_A_TENTH = ("syrup.density", "water.density")  # kg/m³, as good as they claim


def _measured(text: str, spec: Measure, arg: str) -> Any:
    """Read a quantity; a bare number is not offered a unit that puts it out of range."""
    try:
        return read(text, spec.unit_name, arg)
    except FaultsError as error:
        try:
            with_unit = read(f"{text} {symbol(spec.unit)}", spec.unit_name, arg)
        except FaultsError:
            raise error from None
        if spec.check(arg, with_unit)[1] is None:
            raise
        step = "Write the number with its unit"
        raise fault_error(arg, "has no unit", text, spec.limit, step) from None


class Answers:
    """Answers panels and practice for one kitchen.

    Parameters
    ----------
    setting : mapping
        ``kitchen``, the values of the kitchen cell; ``values``, what a question may
        ask of the kitchen; ``policy``, how units are marked.  All as text.
    """

    def __init__(self, setting: Mapping[str, Any]) -> None:
        self._setting = setting

    @cached_property
    def kitchen(self) -> Any:
        """The kitchen as the lessons know it."""
        from calculators.kitchen import kitchen_of

        return kitchen_of(**self._setting["kitchen"])

    def call(self, asked: str) -> str:
        """Answer a call as the page sends it: ``["panel", name, values]`` in JSON."""
        name, *given = json.loads(asked)
        known: dict[str, Callable[..., dict[str, Any]]] = {
            "panel": self.panel,
            "practice": self.practice,
            "judge": self.judge,
            "dry_run": lambda log, deed: self._telling.answer(log, deed),
            "short_run": lambda name, log, deed: self.short_runs.answer(name, log, deed),
            "ready": lambda: {},
        }
        return json.dumps(known[name](*given), ensure_ascii=False)

    @cached_property
    def _telling(self) -> Any:
        from course.dry_run.telling import Telling

        held = self._setting
        return Telling(
            held["kitchen"],
            held.get("titles", {}),
            held.get("dry runs", ()),
            held.get("pictures", ()),
        )

    @cached_property
    def short_runs(self) -> Any:
        """The short runs of the lessons."""
        from course.dry_run.short import ShortTelling

        held = self._setting
        return ShortTelling(held["kitchen"], held.get("titles", {}), held.get("pictures", ()))

    # -- panels ----------------------------------------------------------------------

    def fields(self, name: str, start: Mapping[str, str]) -> list[Field]:
        """Return the boxes of a panel, from what the calculator declares.

        Parameters
        ----------
        name : str
            The calculator, such as ``"syrup.density"``.
        start : mapping of str to str
            What the lesson puts in at first: ``"65 %"`` or ``"kitchen.altitude"``.
        """
        _, held = calculator(name)
        faults = [
            Fault(
                f"panel {name}, {arg}",
                "is not an argument",
                text,
                "It takes " + (", ".join(held.arguments) or "nothing"),
            )
            for arg, text in start.items()
            if arg not in held.arguments
        ]
        boxes: list[Field] = []
        for arg, spec in held.arguments.items():
            try:
                boxes += self._boxes(arg, spec, start.get(arg), held.defaults)
            except FaultsError as error:
                faults += [
                    Fault(f"panel {name}, {arg}", f.problem, f.given, f.limit, f.next_step)
                    for f in error.faults
                ]
        if faults:
            raise FaultsError(faults)
        return boxes

    def _boxes(
        self, arg: str, spec: Any, start: str | None, defaults: Mapping[str, Any]
    ) -> list[Field]:
        label, given = arg.replace("_", " "), start is None
        if given and arg not in defaults:
            raise fault_error(
                arg,
                "has nothing to start with",
                "",
                spec.limit,
                f"Write a line like {arg}: ... into the panel",
            )
        if isinstance(spec, InstanceOf):
            return self._things(arg, label, spec, start)
        value = defaults[arg] if start is None else start
        if start is not None and start.startswith(KITCHEN):
            value = self.thing(start)
        if isinstance(spec, OneOf):
            if value not in spec.words:
                raise fault_error(arg, "is not one of its words", value, spec.limit)
            return [Field(arg, label, str(value), "", spec.words, given)]
        text = written(value) if is_quantity(value) else str(value or "")
        if text:
            try:
                read(text, spec.unit_name, arg)
            except FaultsError:
                if given:  # a unit that nobody writes by hand: it stays as it is
                    return []
                raise
        return [Field(arg, label, text, spec.limit, (), given)]

    def _things(self, arg: str, label: str, spec: InstanceOf, start: str | None) -> list[Field]:
        if start is None:
            return []
        value = self._thing_in(arg, start)
        if isinstance(value, Mapping):
            return [
                Field(f"{arg}.{key}", key, written(each), "It must be above 0")
                for key, each in value.items()
            ]
        if not isinstance(value, spec.kind):
            raise fault_error(
                arg,
                f"is not {spec.words}",
                start,
                "",
                "Name a thing of the kitchen, such as kitchen.formula",
            )
        if not start.startswith("kitchen"):
            return [Field(arg, label, start, spec.limit)]
        return [Field(arg, label, start, "", (), False, fixed=True)]

    def thing(self, path: str) -> Any:
        """Return a value of the kitchen by its path, such as ``kitchen.altitude``."""
        kitchen = self.kitchen
        if path == "kitchen":
            return kitchen
        name = path.removeprefix(KITCHEN)
        value = getattr(kitchen, name, None) if not name.startswith("_") else None
        if value is None:
            raise fault_error(
                "panel",
                "is not known of this kitchen",
                path,
                "",
                "Name a value of the kitchen cell, or write a quantity",
            )
        if name == "formula":
            from calculators.formula import Formula

            return Formula(kitchen.formula_name, tuple(value))
        if name == "jugs":
            held = {jug.name: jug.share for jug in value}
            return held if len(held) > 1 else dict(THREE_JUGS)
        if name == "cakes":
            from calculators.coating import shape

            return [(shape(cake.shape, cake.sizes), cake.count) for cake in value]
        return value

    def panel(self, name: str, values: Mapping[str, str]) -> dict[str, Any]:
        """Answer a panel: what comes out, or what is wrong with each box.

        Parameters
        ----------
        name : str
            The calculator.
        values : mapping of str to str
            What stands in each box.

        Returns
        -------
        dict
            ``faults``, a sentence by the name of the box (``""`` for the whole
            panel); ``text``, the answer in a line; ``html``, the answer and its
            sketch.
        """
        function, held = calculator(name)
        given, faults = {}, {}
        for arg, spec in held.arguments.items():
            try:
                got = self._given(arg, spec, values, held.defaults)
            except FaultsError as error:
                for fault in error.faults:
                    faults[fault.where] = _about(fault)
                continue
            if got is None:
                if arg not in held.defaults:
                    faults[arg] = f"{arg.replace('_', ' ')} is missing"
                continue
            given[arg], wrong = spec.check(arg, got)
            if wrong:
                faults[arg] = _about(wrong)
        if not faults:
            try:
                out = function(**given)
            except FaultsError as error:
                faults = {
                    (box := _box(f.where, values)): _about(f, _subject(f.where, box))
                    for f in error.faults
                }
        if faults:
            return {"faults": faults, "text": "", "html": ""}
        said = cards.said(say(out, places=1) if name in _TO_A_TENTH else out)
        drawn = sketch(name, given | {"kitchen": self}, out)
        return {"faults": {}, "text": said.text, "html": said.html() + drawn}

    def _given(
        self,
        arg: str,
        spec: Any,
        values: Mapping[str, str],
        defaults: Mapping[str, Any],
    ) -> Any:
        """Return one argument from what is written; None where its default will do."""
        table = {
            key.removeprefix(f"{arg}."): text
            for key, text in values.items()
            if key.startswith(f"{arg}.")
        }
        if table:
            return _read_all(arg, table)
        if arg not in values:
            return None
        text = values[arg]
        if isinstance(spec, Measure):
            if not text.strip() and defaults.get(arg, text) is None:
                return None
            return _measured(text, spec, arg)
        return self._thing_in(arg, text) if isinstance(spec, InstanceOf) else text

    def _thing_in(self, arg: str, text: str) -> Any:
        """Return a thing: of the kitchen, a list ``300 g / 65 %; 200 g / 0 %``, or words."""
        if text.startswith("kitchen"):
            return self.thing(text)
        if ";" not in text and " / " not in text:
            return text
        rows = [
            tuple(read(each, None, arg) for each in row.split(" / "))
            for row in text.split(";")
            if row.strip()
        ]
        return [row if len(row) > 1 else row[0] for row in rows]

    # -- practice ------------------------------------------------------------------------

    @cached_property
    def _values(self) -> dict[str, Quantity]:
        return {name: read(text) for name, text in self._setting["values"].items()}

    @lru_cache(maxsize=16)  # noqa: B019 - there is one of these for each page
    def asked(self, question_id: str, number: int = 1) -> DrawnQuestion:
        """Return a practice question with its numbers; each number has numbers of its own.

        A private question, or one that only stands on assessed sheets, is refused.
        """
        from exercises.questions.building import build

        seed = SEED if number == 1 else f"{SEED} {number}"
        built = build(practice_question(question_id), seed, self._values)
        exhibit, own = built.exhibit, self._setting.get("pictures", {})
        if exhibit and exhibit.plate in own:
            built = replace(built, exhibit=replace(exhibit, alt=own[exhibit.plate]))
        return built

    def practice(self, question_id: str, number: int) -> dict[str, Any]:
        """Return the inside of a practice card, or of a sum to end, with other numbers."""
        question_id, leave = by_hand.named(question_id)
        if leave:
            return {"html": by_hand.asked_html(self.by_hand(question_id, leave, number))}
        return {"html": cards.asked_html(self.asked(question_id, number))}

    def by_hand(self, question_id: str, leave: int, number: int = 1) -> by_hand.Sum:
        """Return a question's sum by hand, some of its last numbers left open."""
        asked = self.asked(question_id, by_hand.number_of(leave, number))
        return by_hand.Sum(asked, leave)

    def judge(self, question_id: str, number: int, answers: Mapping[str, str]) -> dict[str, Any]:
        """Return a verdict in words on each answer, by its key."""
        from exercises.marking.rules import mark_sheet

        question_id, leave = by_hand.named(question_id)
        if leave:
            one = self.by_hand(question_id, leave, number)
            asked, answers = one.question(), one.answers(answers)
        else:
            asked = self.asked(question_id, number)
        verdicts = mark_sheet(
            [asked],
            answers,
            self._setting.get("policy"),
            questions_now=lambda: {question_id: practice_question(question_id)},
        )
        return {"verdicts": {v.part: _verdict(v) for v in verdicts}}


# --- helpers ------------------------------------------------------------------------


def written(quantity: Any) -> str:
    """Return a quantity as text that the strict reader gives back unchanged."""
    if not is_quantity(quantity):
        return f"{quantity:.12g}"
    text = f"{float(quantity.magnitude):.12g} {symbol(quantity.units)}"
    return text.replace("\N{NO-BREAK SPACE}", " ").strip()


def _read_all(arg: str, table: Mapping[str, str]) -> dict[str, Quantity]:
    out: dict[str, Quantity] = {}
    faults: list[Fault] = []
    for key, text in table.items():
        try:
            out[key] = read(text, None, f"{arg}.{key}")
        except FaultsError as error:
            faults += error.faults
    if faults:
        raise FaultsError(faults)
    return out


def _about(fault: Fault, subject: str = "This") -> str:
    """Return a fault as it is said beside the box: the value stands there already."""
    step = fault.next_step if "q(" not in fault.next_step else "Check the number and its unit"
    parts = [f"{subject} {fault.problem}", fault.limit, step]
    return " ".join(p if p.endswith((".", "?", "!")) else f"{p}." for p in parts if p)


def _box(where: str, values: Mapping[str, str]) -> str:
    """Return the box that a calculator's fault is about, or none for the whole panel."""
    names = where.split(", ")[1:]
    for name in (".".join(names), *names[-1:]):
        if name in values:
            return name
    return ""


def _subject(where: str, box: str) -> str:
    """Return what a calculator's fault is about, where that is no single box."""
    names = where.split(", ")[1:]
    if box:
        return "This"
    return f"The {names[-1].replace('_', ' ')}" if names else "With these numbers it"


@lru_cache(maxsize=64)
def practice_question(question_id: str) -> registry.Question:
    """Return a question of the bank that practice may show."""
    found = registry.bank().get(question_id)
    if found is None or found.private or found.use == "assessed":
        raise fault_error(
            "practice",
            "is not a question of the bank that practice may show",
            question_id,
            "",
            "Look up its name: glossbook questions",
        )
    return found


_WORDS: Sequence[tuple[str, tuple[str, ...]]] = (
    (AGREES, ("right", "follows from earlier")),
    (NEAR, ("near", "right but for the unit", "partly right")),
    (UNREAD, ("can't be read", "for the assessor")),
    (NOTHING, ("missing",)),
)


def _verdict(verdict: Any) -> dict[str, str]:
    word = next((w for w, kinds in _WORDS if verdict.verdict in kinds), LOOK_AGAIN)
    says = re.sub(r"\b1([a-p])\b", r"part \1", verdict.reason)
    if word == NOTHING:
        says = "Answer this first; a wrong answer tells something too."
    if word == UNREAD:
        says = says.removeprefix("This could not be read: ")
        says = says.replace("An assessor will look at it.", "Write one number and its unit.")
        says = says[0].upper() + says[1:]
    return {"word": word, "says": says}
