"""Lessons: their heads, their modules, and a lecturer's own."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass, replace
from difflib import get_close_matches
from functools import cache
from pathlib import Path
from typing import Any, TypeAlias

from calculators.faults import Fault, FaultsError, fault_error
from course.lessons.modules import modules
from exercises.questions.outcomes import outcomes
from exercises.questions.registry import bank

Cell: TypeAlias = Any  # an nbformat cell
Notebook: TypeAlias = Any

LESSONS = Path(__file__).parents[1] / "lessons"
VALUE = re.compile(r"\{value\}`([^`]+)`")
CITE = re.compile(r"\{cite\}`([^`]+)`")
LINK = re.compile(r"\{lesson\}`([^`]+)`")
TERM = re.compile(r"\{term\}`(?:([^`<]+?)\s*<)?([^`<>]+)>?`")
BLOCK = re.compile(
    r"^(?P<fence>`{3,}|:{3,})\{(?P<name>[\w-]+)\}[ \t]*(?P<words>[^\n]*)\n"
    r"(?P<body>.*?)^(?P=fence)[ \t]*$",
    re.MULTILINE | re.DOTALL,
)
SECONDS_A_CELL = 120
MINUTES_BY_HAND = 3  # from memory: to read a sum and to end it twice, one or two numbers each
MINUTES_SHORT_RUN = 5  # from memory: to go twice through a short run, five actions each


# --- lessons ----------------------------------------------------------------------


@dataclass(frozen=True)
class Lesson:
    """A lesson as it was read from its file.

    Parameters
    ----------
    slug : str
        Its file name without ending; its address for ever.
    module : str
        The module it belongs to.
    title : str
        A question.
    minutes : int
        How long it takes to read and to practise.
    outcomes : tuple of str
        Keys of outcomes.toml.
    needs : tuple of str
        What the student needs beside the page.
    about : str
        What it is about, one clause; it ends the sentence *Next comes ...*.
    bench : int
        How many minutes its bench task takes with one's hands; 0 where there is none.
    waits : str
        What that task has to wait for, a clause: a night in the fridge, say.
    text : str
        The whole file.
    path : Path
        Where it was read.
    """

    slug: str
    module: str
    title: str
    minutes: int
    outcomes: tuple[str, ...]
    needs: tuple[str, ...]
    text: str
    path: Path
    about: str = ""
    bench: int = 0
    waits: str = ""

    @property
    def practised(self) -> tuple[str, ...]:
        """The practice questions that stand in it."""
        return tuple(words for name, words in self._blocks() if name == "practice")

    def _blocks(self) -> list[tuple[str, str]]:
        return [(b["name"], b["words"].strip()) for b in BLOCK.finditer(self.text)]

    @property
    def practice_minutes(self) -> int:
        """The minutes of its practice and its sums by hand, to the next five; the rest is reading."""
        known = bank()
        taken = sum(known[one].minutes for one in self.practised if one in known)
        taken += MINUTES_BY_HAND * sum(name == "byhand" for name, _ in self._blocks())
        return min(round(taken / 5) * 5, self.minutes)

    @property
    def bench_time(self) -> str:
        """A sentence on how long the bench task takes; empty where there is none."""
        if not self.bench:
            return ""
        runs = sum(name == "short-run" for name, _ in self._blocks())
        first = (
            f"{MINUTES_SHORT_RUN * runs} minutes to rehearse it first, then about"
            if runs
            else "About"
        )
        waits = f", {self.waits}" if self.waits else ""
        return f"{first} {self.bench} minutes{waits}."


def read_lesson(path: Path, module: str = "") -> Lesson:
    """Read a lesson's file; tell all faults of its head at once."""
    where = path.name
    try:
        text = path.read_text(encoding="utf-8-sig")
    except OSError as error:
        raise fault_error(
            where, "can't be read", error.strerror or "", "", "Check who may open it"
        ) from None
    except UnicodeDecodeError as error:
        raise fault_error(
            where,
            "is not text in UTF-8",
            f"byte {error.object[error.start]:#04x}",
            "",
            "Open it in a text editor and save it again, with the encoding UTF-8",
        ) from None
    head = parse(text, path).metadata
    faults = _head_faults(where, head)
    if faults:
        raise FaultsError(faults)
    return Lesson(
        path.stem,
        str(head.get("module", module)),
        head["title"].strip(),
        head["minutes"],
        tuple(head["outcomes"]),
        tuple(head.get("needs", ())),
        text,
        path,
        str(head.get("about", "")).strip().rstrip("."),
        head.get("bench", 0),
        str(head.get("waits", "")).strip().rstrip("."),
    )


_HEAD = {
    "title": 'title: "Why does our house syrup taste of lemon?"',
    "minutes": "minutes: 20",
    "outcomes": "outcomes: [syrup-strength]",
}


def _head_faults(where: str, head: Any) -> list[Fault]:
    """Return all that is wrong with the head of a lesson."""
    faults = [
        Fault(
            where,
            f"has no {key!r} in its head",
            "",
            "",
            f"Add it between the --- lines at the top, like {line}",
        )
        for key, line in _HEAD.items()
        if key not in head
    ]
    title = head.get("title", "?")
    if not title.strip():
        faults.append(_no_title(where))
    for key, least in (("minutes", 1), ("bench", 0)):
        minutes = head.get(key, least)
        if type(minutes) is not int or not least <= minutes <= 999:
            faults.append(
                Fault(
                    where,
                    f"has {'minutes' if key == 'minutes' else 'minutes at the bench'}"
                    " that are not a number",
                    str(minutes),
                    f"It must be a whole number from {least} to 999",
                    f"Write it like {key}: 20",
                )
            )
    for key in ("outcomes", "needs"):
        if not isinstance(head.get(key, []), list):
            faults.append(
                Fault(
                    where,
                    f"has {key} that are not a list",
                    str(head[key]),
                    "",
                    f"Write it like {key}: [{head[key]}]",
                )
            )
    known, named = list(outcomes()), head.get("outcomes", [])
    for key in named if isinstance(named, list) else []:
        if key not in known:
            near = get_close_matches(str(key), known, n=1, cutoff=0.5)
            faults.append(
                Fault(
                    where,
                    "names an outcome that is not in the table",
                    str(key),
                    "",
                    f"Did you mean {near[0]}?" if near else "See outcomes.toml",
                )
            )
    return faults


def _no_title(where: str) -> Fault:
    step = f"Write it between quote marks, like {_HEAD['title']}"
    return Fault(where, "has a title that is not text", "", "", step)


def lessons_of(module_ids: Sequence[str], own_folder: Path | None = None) -> list[Lesson]:
    """Return the lessons of some modules in order; tell all faults of all heads at once.

    A file in the lecturer's own folder replaces the lesson of the same name; one
    with a new name is put at the end of the module that its head names.  Names that
    begin with ``_`` or ``.`` are left alone, and so is a ``README.md``.
    """
    own, faults = _own_lessons(own_folder)
    extra = [lesson for slug, lesson in own.items() if slug not in _core_slugs()]
    faults += [
        Fault(
            lesson.path.name,
            "names a module that is not there",
            lesson.module,
            "The modules are " + ", ".join(modules()),
            "Write module: and one of these",
        )
        for lesson in extra
        if lesson.module not in modules()
    ]
    if faults:
        raise FaultsError(faults)
    found: list[Lesson] = []
    for module_id in module_ids:
        for slug in modules()[module_id].lessons:
            path = LESSONS / f"{slug}.md"
            if slug in own:
                found.append(replace(own[slug], module=module_id))
            elif path.exists():
                found.append(read_lesson(path, module_id))
        found += [lesson for lesson in extra if lesson.module == module_id]
    return found


def _own_lessons(folder: Path | None) -> tuple[dict[str, Lesson], list[Fault]]:
    """Return the lecturer's own lessons by name, and the faults of all of them."""
    held: dict[str, Lesson] = {}
    faults: list[Fault] = []
    for path in sorted(folder.glob("*.md")) if folder else []:
        if path.name.startswith(("_", ".")) or path.name == "README.md":
            continue
        try:
            held[path.stem] = read_lesson(path)
        except FaultsError as error:
            faults += error.faults
    return held, faults


@cache
def _core_slugs() -> frozenset[str]:
    return frozenset(slug for module in modules().values() for slug in module.lessons)


def parse(text: str, path: Path) -> Notebook:
    """Return a lesson's text as a notebook, with the line of each cell."""
    from myst_nb.core.read import read_myst_markdown_notebook
    from myst_parser.config.main import MdParserConfig

    config = MdParserConfig(enable_extensions={"dollarmath", "colon_fence"})
    try:
        return read_myst_markdown_notebook(text, config, add_source_map=True, path=path)
    except Exception as error:
        said = str(error)
        found = re.search(r"Notebook metadata: .*?line (\d+)", said, re.DOTALL)
        if found:  # the lines of the head are counted from the one after its first ---
            line = text.splitlines()[int(found[1])].strip()
            raise fault_error(
                f"{path.name}:{int(found[1]) + 1}",
                "has a head that can't be read",
                line[:60],
                "",
                "Write a name, a colon and a value; put text that holds "
                "signs between quote marks, and close them",
            ) from None
        if "['metadata']['title']" in said:
            raise FaultsError([_no_title(path.name)]) from None
        raise fault_error(
            path.name,
            "is not a MyST notebook",
            " ".join(said.split()),
            "",
            "Look at its head and cells",
        ) from None
