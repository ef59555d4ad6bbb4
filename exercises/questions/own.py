"""A lecturer's own questions, from a folder beside the scheme; none reaches the site.

Two kinds of files are read, each by the ending of its name.  A ``.toml`` file holds
questions in plain text, each under its own name:

    [fridge-film]
    outcome = "fault-reuse"           # a key of outcomes.toml
    level = "recall"                  # recall, carry out or decide
    prompt = "Why does the film lie on the glaze itself?"
    right = ["No air is left in which a skin could dry"]
    worked = "A skin is a surface that has lost its water."

    [fridge-film.wrong]               # each with what choosing it tells
    "It keeps smells away" = "A lid does that too. What does air do to a wet surface?"

With two or more under ``right`` it is a question with several right choices; with
``steps = [...]`` instead, in the right order, the steps are to be put in order, and
``says`` is what a wrong order is told.  All may have ``marks``, ``use`` (``assessed``
unless it says ``practice`` or ``both``), ``safety``, ``minutes``, ``stem`` and, under
``[fridge-film.log]``, a table to look at: ``title``, ``head`` and ``rows``.

A ``.py`` file holds calculated questions, written as those of the bank are.  It is
run, as any Python file of the lecturer's would be; nothing else in the folder is, and
names that begin with ``_`` or ``.`` are left alone.
"""

from __future__ import annotations

import dataclasses
import functools
import inspect
import json
import re
import traceback
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from pathlib import Path
from types import ModuleType
from typing import Any

from calculators.faults import Fault, FaultsError, fault_error, refuse
from calculators.units import q
from exercises.files.toml_file import TomlFile, TomlTable, text_fault
from exercises.questions.building import build
from exercises.questions.draws import Draw
from exercises.questions.outcomes import outcomes
from exercises.questions.parts import (
    LETTERS,
    Asked,
    ChoicePart,
    ChoicesPart,
    DrawnChoice,
    DrawnQuestion,
    Exhibit,
    Option,
    OrderPart,
    Part,
)
from exercises.questions.registry import (
    LEVELS,
    USES,
    Question,
    bank,
    card_faults,
)

TRIALS = 20  # draws that every question must stand before it is taken
LONGEST = 1500  # signs of a prompt or a worked solution
MOST_OPTIONS = 8
MOST_MARKS = 20
MOST_MINUTES = 60

_NAME = re.compile(r"[a-z0-9]+(-[a-z0-9]+)*")
# Ordinary values, to try questions on that ask about the kitchen of the scheme.
_KITCHEN = {
    "altitude": q(430, "m"),
    "room": q(22, "degC"),
    "humidity": q(60, "percent"),
    "freezer": q(-18, "degC"),
    "storage": q(4, "degC"),
    "display": q(4, "degC"),
    "hob": q(2000, "W"),
    "blender": q(600, "W"),
    "jug": q(11, "cm"),
    "blade": q(2.5, "cm"),
    "gelatin": q(160, "bloom"),
    "scale": q(1, "g"),
    "window_low": q(31, "degC"),
    "window_high": q(34, "degC"),
}


@dataclass(frozen=True)
class OwnQuestion(Question):
    """A question from a lecturer's folder.

    Parameters
    ----------
    text : str
        What it says, by which a change is found.
    """

    text: str = ""

    @property
    def source(self) -> str:
        """What it says, as it is written."""
        return self.text


@dataclass(frozen=True)
class _Written:
    """Asks what was written in plain text; only the order of options is drawn."""

    asked: Asked

    def __call__(self, draw: Draw) -> Asked:
        return self.asked


@dataclass(frozen=True)
class _Card:
    """A question with the place it was read from."""

    question: OwnQuestion
    path: Path
    line: int

    def fault(self, problem: str, given: object = "", limit: str = "", step: str = "") -> Fault:
        where = f"{self.path.name}:{self.line}, question {self.question.id}"
        return Fault(where, problem, str(given), limit, step)


def load(folder: Path | str, trials: int = TRIALS) -> list[Question]:
    """Read a folder of a lecturer's own questions, and put them into the bank.

    They take the place of own questions that were loaded before, so that a course has
    those of one folder.  With a fault in any file, the bank stays as it was.

    Parameters
    ----------
    folder : path
        Its ``.toml`` files are read; its ``.py`` files are run.
    trials : int
        How many draws of each question are tried.

    Returns
    -------
    list of Question
        All of them private, in the order of their names.

    Raises
    ------
    FaultsError
        With every fault that was found, each with file and line.
    """
    folder = Path(folder)
    if not folder.is_dir():
        raise fault_error(
            str(folder),
            "is not a folder",
            "",
            "",
            "Make it beside the scheme, or mend its name under [own]",
        )
    public = {name: one for name, one in bank().items() if not one.private}
    cards: list[_Card] = []
    faults: list[Fault] = []
    for path in sorted(folder.iterdir()):
        read = _READERS.get(path.suffix.lower())
        if read and path.is_file() and not path.name.startswith(("_", ".")):
            found, wrong = read(path)
            cards += found
            faults += wrong
    faults += _clashes(cards, public)
    for card in cards:
        faults += _tried(card, trials)
    refuse(_in_order(faults))
    own = sorted((card.question for card in cards), key=lambda one: one.id)
    bank.replace_private(own)
    return list(own)


def prepare(folder: Path | str) -> None:
    """Load a folder in a process that marks; a function that can be sent there.

    Its questions were tried before, where a person is told what is wrong.
    """
    load(folder, trials=0)


def forget() -> None:
    """Take every lecturer's own question out of the bank."""
    bank.replace_private(())


def _in_order(faults: Iterable[Fault]) -> list[Fault]:
    def place(fault: Fault) -> tuple[str, int]:
        name, _, line = fault.where.partition(",")[0].rpartition(":")
        return name, int(line) if line.isdigit() else 0

    return sorted(faults, key=place)


def _clashes(cards: Iterable[_Card], public: Mapping[str, Question]) -> list[Fault]:
    faults = []
    met: dict[str, _Card] = {}
    for card in cards:
        name = card.question.id
        if name in public:
            problem = "has the name of a question of the bank"
        elif name in met:
            problem = f"has the name of one in {met[name].path.name}:{met[name].line}"
        else:
            met[name] = card
            continue
        faults.append(card.fault(problem, name, "", "Give it another name"))
    return faults


# --- plain text -------------------------------------------------------------------------


def _from_text(path: Path) -> tuple[list[_Card], list[Fault]]:
    cards = []
    try:
        file = TomlFile(path, "question", "file of questions")
        for name in file.data:
            if not _NAME.fullmatch(name):
                file.fault(
                    (name,),
                    "is not a name for a question",
                    name,
                    "Small letters and digits, with - between words",
                    "Write it like [fridge-film]",
                )
            question = _question(name, file.top.table(name))
            cards.append(_Card(question, path, file.lines.get((name,), 1)))
        file.tell()
    except FaultsError as error:
        return [], list(error.faults)
    return cards, []


def _question(name: str, table: TomlTable) -> OwnQuestion:
    outcome = table.text("outcome")
    if outcome and outcome not in outcomes():
        table.unknown("outcome", outcome, list(outcomes()))
    elif outcome and outcomes()[outcome].evidence == "do":
        table.fault(
            "outcome",
            "is one that no sheet can prove",
            outcome,
            "",
            "Choose an outcome with evidence calculate or decide",
        )
    level = table.word("level", LEVELS)
    use = table.word("use", USES, "assessed")
    safety = table.yes_or_no("safety", False)
    minutes = table.whole("minutes", 1, MOST_MINUTES, 2)
    asked = Asked(
        [_part(table, safety)],
        stem=table.text("stem", "", LONGEST),
        exhibit=_log(table),
    )
    table.done()
    said = repr((asked, outcome, level, safety))
    return OwnQuestion(name, _Written(asked), outcome, level, use, safety, minutes, True, said)


def _part(table: TomlTable, safety: bool) -> Part:
    prompt = table.text("prompt", longest=LONGEST)
    worked = table.text("worked", "", LONGEST)
    if "steps" in table.data:
        _only(table, "steps", ("right", "wrong"))
        steps = _texts(table, "steps", 2)
        marks = table.whole("marks", 1, MOST_MARKS, 2)
        return OrderPart(prompt, steps, marks, worked, table.text("says", "", LONGEST), safety)
    right = _texts(table, "right", 1)
    wrong = table.table("wrong")
    if not wrong.data:
        heading = ".".join((*map(str, table.path), "wrong"))
        table.fault("wrong", "has no choice in it", "", "", f"Add them under [{heading}]")
    options = [Option(text, right=True) for text in right]
    for text in wrong.data:
        if text in right:
            wrong.fault(text, "stands under right as well", text, "", "Keep one")
        options.append(Option(text, says=wrong.text(text, longest=LONGEST)))
    if len(options) > MOST_OPTIONS:
        table.fault(
            "right",
            "has too many choices with those under wrong",
            len(options),
            f"At most {MOST_OPTIONS} fit on a sheet",
            "Leave some out",
        )
    marks = table.whole("marks", 1, MOST_MARKS, max(1, len(right)))
    kind = ChoicesPart if len(right) > 1 else ChoicePart
    return kind(prompt, options, marks, worked, safety)


def _only(table: TomlTable, kept: str, others: Iterable[str]) -> None:
    for key in others:
        if key in table.data:
            table.known.add(key)
            table.fault(
                key,
                f"stands beside {kept}",
                "",
                "A question is a choice or an order",
                f"Leave out {key}, or {kept}",
            )


def _texts(table: TomlTable, key: str, fewest: int) -> list[str]:
    """Return a list of different texts; every other thing in it is a fault."""
    table.known.add(key)
    value = table.data.get(key)
    if not isinstance(value, list) or not fewest <= len(value) <= MOST_OPTIONS:
        there = "is missing" if value is None else f"is not a list of {fewest} or more"
        table.fault(
            key,
            there,
            "" if value is None else value,
            f"A list of {fewest} to {MOST_OPTIONS} texts",
            f'Write it like {key} = ["...", "..."]',
        )
        return []
    texts = []
    for place, text in enumerate(value):
        at = (*table.path, key, place)
        if not isinstance(text, str) or not text.strip():
            table.file.fault(at, "is not text", text, "", 'Write it like "..."')
        elif wrong := text_fault(key, text):
            table.file.fault(at, wrong.problem, wrong.given, wrong.limit, wrong.next_step)
        else:
            texts.append(text.strip())
    twice = {text for text in texts if texts.count(text) > 1}
    for text in sorted(twice):
        table.fault(key, "has the same text twice", text, "", "Keep one")
    return texts


def _log(table: TomlTable) -> Exhibit | None:
    if "log" not in table.data:
        return None
    log = table.table("log")
    title = log.text("title")
    head = _texts(log, "head", 1)
    log.known.add("rows")
    rows = log.listed("rows")
    even = all(
        isinstance(row, list)
        and len(row) == len(head)
        and all(isinstance(cell, str) and cell.isprintable() for cell in row)
        for row in rows
    )
    if not rows or not even:
        log.fault(
            "rows",
            "are not lines of as many texts as head has",
            "",
            "",
            'Write it like rows = [["10:02", "84 °C"], ["10:30", "61 °C"]]',
        )
        rows = []
    log.done()
    return Exhibit(title, tuple(head), tuple(tuple(row) for row in rows))


# --- Python ---------------------------------------------------------------------------------


def _from_python(path: Path) -> tuple[list[_Card], list[Fault]]:
    """Run a file of the lecturer's, and return the questions it put on the shelf."""
    module = ModuleType(f"own_questions_{path.stem}")
    module.__file__ = str(path)
    faults: list[Fault] = []
    with bank.gathered() as shelf:
        try:
            code = compile(path.read_text(encoding="utf-8-sig"), str(path), "exec")
            exec(code, module.__dict__)
        except (Exception, SystemExit) as error:
            faults += _told(error, path)
    cards = []
    for one in shelf:
        line = getattr(getattr(one.ask, "__code__", None), "co_firstlineno", 1)
        own = _Card(_guarded(one, path), path, line)
        cards.append(own)
        if not isinstance(one.id, str) or not _NAME.fullmatch(one.id):
            faults.append(
                own.fault(
                    "has a name that can't be used",
                    one.id,
                    "Small letters and digits, with - between words",
                    "Give it another name",
                )
            )
        faults += [
            dataclasses.replace(fault, where=f"{path.name}:{line}, {fault.where}")
            for fault in card_faults(one)
        ]
    return cards, faults


def _guarded(card: Question, path: Path) -> OwnQuestion:
    """Return a question that tells a fault of its own code with file and line."""

    @functools.wraps(card.ask)
    def ask(draw: Draw) -> Any:
        try:
            return card.ask(draw)
        except Exception as error:
            raise FaultsError(_told(error, path)) from None

    try:
        text = inspect.getsource(card.ask)
    except (OSError, TypeError):
        text = path.read_text(encoding="utf-8-sig")
    values = {f.name: getattr(card, f.name) for f in dataclasses.fields(Question)}
    return OwnQuestion(**(values | {"ask": ask, "private": True, "text": text}))


def _told(error: BaseException, path: Path, line: int = 1) -> list[Fault]:
    """Return what stopped a file of Python as faults with its line."""
    if isinstance(error, OSError | UnicodeDecodeError):
        return [Fault(path.name, "can't be read", "", "", "Save it as UTF-8 text")]
    if isinstance(error, SyntaxError) and error.filename == str(path):
        return [
            Fault(
                f"{path.name}:{error.lineno or 1}",
                f"is not Python as it stands: {error.msg}",
                (error.text or "").strip()[:60],
                "",
                "Mend the line",
            )
        ]
    frames = traceback.extract_tb(error.__traceback__)
    line = next((f.lineno or line for f in reversed(frames) if f.filename == str(path)), line)
    if isinstance(error, FaultsError):
        return [
            fault
            if fault.where.startswith(f"{path.name}:")
            else dataclasses.replace(fault, where=f"{path.name}:{line}, {fault.where}")
            for fault in error.faults
        ]
    stopped = f"stopped with {type(error).__name__}: {error}"
    return [Fault(f"{path.name}:{line}", stopped, "", "", "Mend the line")]


_READERS: Mapping[str, Callable[[Path], tuple[list[_Card], list[Fault]]]] = {
    ".toml": _from_text,
    ".py": _from_python,
}


# --- tried before it is taken -----------------------------------------------------------------


def _tried(card: _Card, trials: int) -> list[Fault]:
    """Return what goes wrong with a question in its first draws, the first time it does."""
    if card_faults(card.question):
        return []
    marks = set()
    for n in range(trials):
        try:
            built = build(card.question, f"trial {n}", _KITCHEN)
            json.dumps(built.to_json())
        except Exception as error:
            return _told(error, card.path, card.line)
        wrong = _faulty(card, built)
        if wrong:
            return wrong
        marks.add(tuple(part.total for part in built.parts))
    if len(marks) > 1:
        return [
            card.fault(
                "is worth more to some students than to others",
                ", ".join(str(sum(one)) for one in sorted(marks)),
                "Marks are the same in every draw",
                "Give fixed marks",
            )
        ]
    return []


def _faulty(card: _Card, built: DrawnQuestion) -> list[Fault]:
    faults = []
    if not 1 <= len(built.parts) < len(LETTERS):
        faults.append(
            card.fault(
                "has no part, or too many",
                len(built.parts),
                f"1 to {len(LETTERS) - 1} parts",
                "Return at least one part",
            )
        )
    for part in built.parts:
        if isinstance(part, DrawnChoice) and not part.is_complete():
            wanted = "one or more right options" if part.several else "one right option"
            faults.append(
                card.fault(
                    f"does not have {wanted} and a wrong one in part {part.name}",
                    len(part.right),
                    "",
                    "Mark the right ones with right=True",
                )
            )
        if not part.prompt.strip():
            faults.append(card.fault(f"asks nothing in part {part.name}", "", "", "Write it out"))
    return faults
