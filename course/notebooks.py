"""A lesson and a kitchen become an executed notebook; run once, shown three ways.

A lesson is a MyST Markdown notebook.  It is run a single time for a kitchen; from
that one run come the page of the site, the notebook to download and the notebook
that nbval checks.  The renderings are chains of small steps, ``cell -> cell or
None``, each of which does one thing.
"""

from __future__ import annotations

import hashlib
import json
import os
import re
import subprocess
import sys
from collections.abc import Callable, Iterable, Iterator, Sequence
from concurrent.futures import ThreadPoolExecutor, as_completed
from copy import deepcopy
from dataclasses import dataclass, field, replace
from difflib import get_close_matches
from functools import cache
from importlib.metadata import version
from pathlib import Path
from typing import Any, TypeAlias

import nbformat
import platformdirs

from calculators import safety
from calculators.faults import Fault, FaultsError, refuse
from calculators.show import PHONE, with_phone
from calculators.sources import source
from course.modules import modules
from exercises.question import calculators_digest, outcomes

Cell: TypeAlias = Any  # an nbformat cell
Notebook: TypeAlias = Any
Step: TypeAlias = "Callable[[Cell, Setting], Cell | None]"

LESSONS = Path(__file__).with_name("lessons")
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
        How long it takes.
    outcomes : tuple of str
        Keys of outcomes.toml.
    needs : tuple of str
        What the student needs beside the page.
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


def read_lesson(path: Path, module: str = "") -> Lesson:
    """Read a lesson's file; tell all faults of its head at once."""
    where = path.name
    try:
        text = path.read_text(encoding="utf-8-sig")
    except OSError as error:
        raise refuse(
            where, "can't be read", error.strerror or "", "", "Check who may open it"
        ) from None
    except UnicodeDecodeError as error:
        raise refuse(
            where,
            "is not text in UTF-8",
            f"byte {error.object[error.start]:#04x}",
            "",
            "Open it in a text editor and save it again, with the encoding UTF-8",
        ) from None
    head = _parse(text, path).metadata
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
    title, minutes = head.get("title", "?"), head.get("minutes", 1)
    if not title.strip():
        faults.append(_no_title(where))
    if type(minutes) is not int or not 1 <= minutes <= 999:
        faults.append(
            Fault(
                where,
                "has minutes that are not a number",
                str(minutes),
                "It must be a whole number from 1 to 999",
                f"Write it like {_HEAD['minutes']}",
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


def _parse(text: str, path: Path) -> Notebook:
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
            raise refuse(
                f"{path.name}:{int(found[1]) + 1}",
                "has a head that can't be read",
                line[:60],
                "",
                "Write a name, a colon and a value; put text that holds "
                "signs between quote marks, and close them",
            ) from None
        if "['metadata']['title']" in said:
            raise FaultsError([_no_title(path.name)]) from None
        raise refuse(
            path.name,
            "is not a MyST notebook",
            " ".join(said.split()),
            "",
            "Look at its head and cells",
        ) from None


# --- running ---------------------------------------------------------------------------


def runnable(lesson: Lesson, kitchen: str) -> Notebook:
    """Return the notebook that is run: kitchen first, and a cell for each prose value.

    Parameters
    ----------
    lesson : Lesson
        What is taught.
    kitchen : str
        The source of the kitchen cell.
    """
    parsed = _parse(lesson.text, lesson.path)
    lines = parsed.metadata.pop("source_map")
    notebook = nbformat.v4.new_notebook(
        metadata={
            "kernelspec": {
                "name": "python3",
                "display_name": "Python 3",
                "language": "python",
            }
        }
    )
    first = nbformat.v4.new_code_cell(kitchen, metadata={"tags": ["kitchen", "hide-input"]})
    for cell, line in zip(parsed.cells, lines, strict=True):
        cell.metadata["line"] = line + 1
        cell.metadata.setdefault("tags", [])
        if cell.cell_type == "markdown" and (wanted := VALUE.findall(cell.source)):
            ask = ",\n    ".join(wanted)
            notebook.cells.append(
                nbformat.v4.new_code_cell(
                    f"from calculators.show import values\nvalues(\n    {ask},\n)",
                    metadata={"tags": ["values"], "line": line + 1},
                )
            )
            cell.metadata["takes_values"] = len(wanted)
        notebook.cells.append(cell)
    place = next((n for n, c in enumerate(notebook.cells) if c.cell_type == "code"), 0)
    notebook.cells.insert(place, first)
    for n, cell in enumerate(notebook.cells):
        cell["id"] = f"{lesson.slug[:40]}-{n:03d}"
    return notebook


@cache
def _versions() -> str:
    libraries = ("pint", "matplotlib", "nbformat", "nbclient", "ipykernel")
    return " ".join([sys.version.split()[0], *(f"{name}={version(name)}" for name in libraries)])


@cache
def _figures_digest() -> str:
    import calculators

    folder = Path(calculators.__file__).parent
    files = [folder / f"{name}.py" for name in ("figures", "show", "kitchen")]
    files += sorted((folder / "pictures").glob("*.py"))
    return hashlib.sha256(b"".join(path.read_bytes() for path in files)).hexdigest()


def key_of(lesson: Lesson, kitchen: str) -> str:
    """Return what a run depends on, as a digest: lesson, kitchen, calculators, libraries."""
    parts = (lesson.text, kitchen, calculators_digest(), _figures_digest(), _versions())
    return hashlib.sha256("\x1f".join(parts).encode()).hexdigest()[:32]


def cache_folder() -> Path:
    """Return where runs are kept on this machine: the user's cache folder."""
    return Path(os.environ.get("GLOSSBOOK_CACHE") or platformdirs.user_cache_dir("glossbook"))


def run(lesson: Lesson, kitchen: str) -> Notebook:
    """Run a lesson in a kernel of its own and return it with its outputs."""
    from nbclient import NotebookClient
    from nbclient.exceptions import CellExecutionError

    notebook = runnable(lesson, kitchen)
    client = NotebookClient(
        notebook, timeout=SECONDS_A_CELL, kernel_name="python3", coalesce_streams=True
    )
    try:
        client.execute(stderr=subprocess.DEVNULL)  # the kernel's chatter
    except CellExecutionError as error:
        raise refuse(*_why(notebook, lesson, error)) from None
    return notebook


def _why(notebook: Notebook, lesson: Lesson, error: Exception) -> tuple[str, str, str, str, str]:
    for cell in notebook.cells:
        for output in cell.get("outputs", ()):
            if output.output_type == "error":
                line, stopped = _where(cell, output, lesson.text.splitlines())
                return (
                    f"{lesson.path.name}:{line}",
                    f"stopped with {output.ename}: {output.evalue}",
                    stopped,
                    "",
                    "Mend the line, or the kitchen's value it asks for",
                )
    return lesson.path.name, "could not be run", str(error), "", "Look at the lesson"


def _where(cell: Cell, output: Any, text: Sequence[str]) -> tuple[int, str]:
    """Return the line of the lesson at which a cell stopped, and what stands there."""
    begins, code = cell.metadata.get("line", 1), cell.source.splitlines()
    traceback = re.sub(r"\x1b\[[0-9;]*m", "", "\n".join(output.traceback))
    found = re.search(r"Cell In\[\d+\], line (\d+)", traceback)
    stopped = code[min(int(found[1]), len(code)) - 1 if found else -1].strip()
    if "values" in cell.metadata.get("tags", ()):
        stopped = stopped.rstrip(",")
    after = (n for n in range(begins, len(text) + 1) if stopped in text[n - 1])
    return next(after, begins), stopped


@dataclass
class Ran:
    """A lesson that was run, or taken from the cache."""

    lesson: Lesson
    notebook: Notebook
    fresh: bool


def run_all(
    lessons: Sequence[Lesson],
    kitchen: str,
    *,
    folder: Path | None = None,
    jobs: int | None = None,
) -> Iterator[Ran]:
    """Run lessons in parallel, each at most once for a key; yield them as they end.

    All faults of all lessons are told together at the end; what ran is kept.
    """
    store = (folder or cache_folder()) / "lessons"
    store.mkdir(parents=True, exist_ok=True)
    faults: list[Fault] = []
    todo = []
    for lesson in lessons:
        path = store / f"{lesson.slug}-{key_of(lesson, kitchen)}.json"
        if path.exists():
            yield Ran(
                lesson,
                nbformat.from_dict(json.loads(path.read_text("utf-8"))),
                fresh=False,
            )
        else:
            todo.append((lesson, path))
    with ThreadPoolExecutor(max_workers=jobs or os.cpu_count() or 2) as pool:
        waiting = {pool.submit(run, lesson, kitchen): (lesson, path) for lesson, path in todo}
        for future in as_completed(waiting):
            lesson, path = waiting[future]
            try:
                notebook = future.result()
            except FaultsError as error:
                faults += error.faults
                continue
            draft = path.with_suffix(f".{os.getpid()}.part")
            draft.write_text(json.dumps(notebook, ensure_ascii=False), encoding="utf-8")
            draft.replace(path)
            yield Ran(lesson, notebook, fresh=True)
    if faults:
        raise FaultsError(faults)


# --- rendering: chains of steps ------------------------------------------------------------


@dataclass
class Setting:
    """What the steps need to know beside the cell.

    Parameters
    ----------
    lesson : Lesson
        The lesson that is rendered.
    titles : dict
        The titles of the lessons of this course by slug; others are left out.
    all_titles : dict
        The titles of all lessons there are.
    edition : str
        ``student`` or ``lecturer``.
    local_rules : object with link and contact, optional
        The school's own rules, named at the end of a caution.
    glossary : dict
        Term to meaning.
    practice, panel : functions
        Make the block of a practice question or a calculator panel, as HTML for
        the site and as Markdown for the download.
    """

    lesson: Lesson
    titles: dict[str, str]
    all_titles: dict[str, str]
    edition: str = "student"
    local_rules: safety.LocalRules | None = None
    glossary: dict[str, Any] = field(default_factory=dict)
    practice: Callable[[str, str], str] = lambda question, form: ""
    panel: Callable[[str, str, str], str] = lambda name, body, form: ""
    _values: list[str] = field(default_factory=list)
    _named: set[str] = field(default_factory=set)


def render(notebook: Notebook, steps: Iterable[Step], setting: Setting) -> Notebook:
    """Send every cell through a chain of steps; a step that returns None drops it."""
    rendered = deepcopy(notebook)
    cells = []
    chain = tuple(steps)
    for cell in rendered.cells:
        for step in chain:
            cell = step(cell, setting)
            if cell is None:
                break
        else:
            cells.append(cell)
    rendered.cells = cells
    return rendered


def tags(cell: Cell) -> list[str]:
    """Return the tags of a cell."""
    return list(cell.metadata.get("tags", ()))


def take_values(cell: Cell, setting: Setting) -> Cell | None:
    """Keep what a values cell printed for the paragraph behind it, and drop the cell."""
    if "values" not in tags(cell):
        return cell
    text = "".join(o.text for o in cell.outputs if o.output_type == "stream")
    setting._values = text.splitlines()
    return None


def as_prose(text: str) -> str:
    r"""Return text that a person wrote so that no sign of it is taken for Markdown.

    >>> print(as_prose("Bakery *No. 1* & Sons"))
    Bakery \*No. 1\* \& Sons
    """
    if re.fullmatch(r"https?://[^\s<>]+", text):
        return f"<{text}>"
    return re.sub(r"([\\`*_{}\[\]<>$&|~#])", r"\\\1", text)


def put_values(cell: Cell, setting: Setting) -> Cell:
    """Put the values into the prose that asked for them."""
    if cell.cell_type == "markdown" and cell.metadata.get("takes_values"):
        held = map(as_prose, setting._values)
        cell.source = VALUE.sub(lambda _: next(held), cell.source)
        del cell.metadata["takes_values"]
    return cell


def put_head(cell: Cell, setting: Setting) -> Cell:
    """Put minutes, outcomes and needs under the title."""
    if cell.cell_type == "markdown" and cell.source.startswith("# "):
        title, _, rest = cell.source.partition("\n")
        lesson, table = setting.lesson, outcomes()
        can = "\n".join(f"- {table[key].wording}" for key in lesson.outcomes)
        need = "\n".join(f"- {thing}" for thing in lesson.needs)
        needs = f"\n\n**You will need**\n\n{need}" if need else ""
        cell.source = (
            f"{title}\n\n*About {lesson.minutes} minutes.*\n\n"
            f"**By the end you can**\n\n{can}{needs}\n{rest}"
        )
    return cell


def blocks(form: str) -> Step:
    """Return the step that expands our own blocks for the site or for plain Jupyter."""

    def step(cell: Cell, setting: Setting) -> Cell:
        if cell.cell_type == "markdown":
            cell.source = BLOCK.sub(lambda m: _block(m, setting, form), cell.source)
        return cell

    return step


def _block(match: re.Match[str], setting: Setting, form: str) -> str:
    name, words, body = match["name"], match["words"].strip(), match["body"].strip()
    if name == "hazard":
        return "\n\n".join(_hazard(key, setting, form) for key in words.split())
    if name == "lecturer":
        if setting.edition != "lecturer":
            return ""
        # Each of its bold names begins a paragraph.
        apart = re.sub(r"\n+(?=\*\*)", "\n\n", body)
        return _admonition("For the lecturer", apart, "gb-lecturer", form)
    if name == "practice":
        return setting.practice(words, form)
    if name == "panel":
        return setting.panel(words, body, form)
    if name == "word":
        return _word(words, setting, form)
    if form == "plain":
        return _plain_block(name, words, body)
    return match[0]


def _hazard(key: str, setting: Setting, form: str) -> str:
    caution = safety.caution(key)
    acts = "\n".join(f"- {act}" for act in caution.act)
    aid = f"\n\n**First aid.** {caution.first_aid}" if caution.first_aid else ""
    named = form in setting._named  # the school's rules stand in a page's first caution
    setting._named.add(form)
    rules = setting.local_rules
    last = safety.last_word(None if named else rules)
    for own in (rules.contact, rules.link) if rules else ():
        last = last.replace(own, as_prose(own)) if own else last
    body = f"{caution.happens}\n\n{acts}{aid}\n\n{last}"
    return _admonition(caution.hazard, body, "gb-hazard", form)


def _admonition(title: str, body: str, style: str, form: str) -> str:
    if form == "site":
        return f"::::{{admonition}} {title}\n:class: {style}\n{body}\n::::"
    quoted = "\n".join(f"> {line}".rstrip() for line in body.splitlines())
    return f"> **{title}**\n>\n{quoted}"


def _word(term: str, setting: Setting, form: str) -> str:
    entry = setting.glossary.get(term)
    if entry is None:
        raise refuse(
            setting.lesson.path.name,
            "explains a word that is not in the glossary",
            term,
        )
    french = f" (French: *{entry['french']}*)" if entry.get("french") else ""
    body = f"**{term}**{french}: {entry['meaning']}"
    if form == "site":
        return f"::::{{container}} gb-word\n{body}\n::::"
    return f"> {body}"


def _plain_block(name: str, words: str, body: str) -> str:
    body = "\n".join(line for line in body.splitlines() if not re.match(r":\w+:", line))
    title = words or name.capitalize()
    return _admonition(title, body.strip(), "", "plain")


def cite(form: str) -> Step:
    """Return the step that turns citations into links or plain words."""

    def one(key: str) -> str:
        short = source(key).short
        return f"[{short}](#source-{key})" if form == "site" else short

    def step(cell: Cell, setting: Setting) -> Cell:
        if cell.cell_type == "markdown":
            cell.source = CITE.sub(
                lambda m: "; ".join(one(key.strip()) for key in m[1].split(",")),
                cell.source,
            )
        return cell

    return step


def link(form: str) -> Step:
    """Return the step that links lessons; one that is left out keeps its title only."""

    def one(slug: str, setting: Setting) -> str:
        title = setting.titles.get(slug)
        if title is None:
            if slug not in setting.all_titles:
                raise refuse(setting.lesson.path.name, "links a lesson that is not there", slug)
            return f"*{setting.all_titles[slug]}* (a lesson that is not part of this course)"
        return (
            f"{{doc}}`{title} </lessons/{slug}>`" if form == "site" else f"[{title}]({slug}.ipynb)"
        )

    def step(cell: Cell, setting: Setting) -> Cell:
        if cell.cell_type == "markdown":
            cell.source = LINK.sub(lambda m: one(m[1], setting), cell.source)
        return cell

    return step


_UNIT_APART = re.compile(r"(?<=\d) (?=(?:[µmck]?g|m?l|[cmµk]?m|°C|°Bx|°Bé|min|h|s|bloom|kJ|W|K)\b)")


def keep_units(cell: Cell, setting: Setting) -> Cell:
    """Keep a number and its unit on one line of the page."""
    if cell.cell_type == "markdown":
        cell.source = _UNIT_APART.sub("\N{NO-BREAK SPACE}", cell.source)
    return cell


def plain_terms(cell: Cell, setting: Setting) -> Cell:
    """Leave a glossary term as plain words."""
    if cell.cell_type == "markdown":
        cell.source = TERM.sub(lambda m: m[1] or m[2], cell.source)
    return cell


def drop_guards(cell: Cell, setting: Setting) -> Cell | None:
    """Leave out cells that only guard a sentence."""
    return None if "guard" in tags(cell) else cell


def drop_plumbing(cell: Cell, setting: Setting) -> Cell | None:
    """Leave out cells that only fetch what the others use."""
    return None if "plumbing" in tags(cell) else cell


def drop_empty(cell: Cell, setting: Setting) -> Cell | None:
    """Leave out cells that hold nothing any more."""
    return cell if cell.source.strip() else None


PROMPTS = {
    "kitchen": "The kitchen this lesson is computed for",
    "picture": "How it is drawn",
    "proof": "How it is compared",
    "table": "How the table is made",
}
_TABLE = re.compile(r"^rows\(", re.MULTILINE)


def fold(cell: Cell, setting: Setting) -> Cell:
    """Fold the source of cells that draw, list or prove, under words that say so."""
    kinds = {*PROMPTS} & {*tags(cell)}
    if not kinds and cell.cell_type == "code" and _TABLE.search(cell.source):
        kinds = {"table"}
    for name in kinds:
        cell.metadata["tags"] = sorted({*tags(cell), "hide-input"})
        prompts = {"code_prompt_show": PROMPTS[name], "code_prompt_hide": PROMPTS[name]}
        cell.metadata["mystnb"] = prompts
    return cell


def pictures(cell: Cell, setting: Setting) -> Cell:
    """Keep one form of each output: the HTML of what shows itself."""
    for output in cell.get("outputs", ()):
        data = output.get("data", {})
        if "text/html" in data:
            html = data["text/html"]
            if phone := data.get(PHONE):
                html = with_phone(html, phone)
            output["data"] = {"text/html": html}
    return cell


def no_phone(cell: Cell, setting: Setting) -> Cell:
    """Leave out the drawings for phones, which plain Jupyter would not choose between."""
    for output in cell.get("outputs", ()):
        output.get("data", {}).pop(PHONE, None)
    return cell


def no_metadata(cell: Cell, setting: Setting) -> Cell:
    """Leave nothing of the generator's own marks in a file for others."""
    keep = {"tags": tags(cell)} if tags(cell) else {}
    cell.metadata = nbformat.from_dict(keep)
    if cell.cell_type == "code":
        cell.execution_count = None
    return cell


SITE: tuple[Step, ...] = (
    take_values,
    put_values,
    put_head,
    blocks("site"),
    cite("site"),
    link("site"),
    drop_guards,
    drop_plumbing,
    fold,
    pictures,
    drop_empty,
)
DOWNLOAD: tuple[Step, ...] = (
    take_values,
    put_values,
    put_head,
    blocks("plain"),
    cite("plain"),
    link("plain"),
    plain_terms,
    drop_guards,
    no_phone,
    drop_empty,
    no_metadata,
)


# --- the recorded outputs --------------------------------------------------------------------


def code_cells(notebook: Notebook) -> list[Cell]:
    """Return the cells that nbval runs, values of the prose included."""
    return [cell for cell in notebook.cells if cell.cell_type == "code"]


def record(notebook: Notebook) -> list[dict[str, str]]:
    """Return what a lesson said, cell by cell, in plain text: what is recorded."""
    return [
        {
            "cell": cell.source,
            "says": "\n".join(_says(output) for output in cell.outputs),
        }
        for cell in code_cells(notebook)
    ]


def _says(output: Any) -> str:
    if output.output_type == "stream":
        return str(output.text).rstrip("\n")
    return str(output.get("data", {}).get("text/plain", ""))


def check_notebook(lesson: Lesson, kitchen: str, recorded: list[dict[str, str]]) -> Notebook:
    """Return the notebook that nbval runs: today's cells, the recorded outputs.

    A cell that is not the recorded one keeps the recorded output of its place, so
    that any change has to show in the recording.
    """
    notebook = runnable(lesson, kitchen)
    notebook.cells = code_cells(notebook)
    for n, cell in enumerate(notebook.cells):
        says = recorded[n]["says"] if n < len(recorded) else "(not recorded)"
        cell.outputs = _recorded_outputs(cell, says)
        cell.execution_count = n + 1
        if "kitchen" in tags(cell):
            cell.source += "\nfrom calculators.show import plain_text_only\nplain_text_only()"
    return notebook


def _recorded_outputs(cell: Cell, says: str) -> list[Any]:
    if not says:
        return []
    if "values" in tags(cell):
        return [nbformat.v4.new_output("stream", name="stdout", text=says + "\n")]
    return [nbformat.v4.new_output("execute_result", data={"text/plain": says}, execution_count=1)]
