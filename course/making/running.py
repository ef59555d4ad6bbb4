"""A lesson and a kitchen become an executed notebook."""

from __future__ import annotations

import hashlib
import json
import os
import re
import subprocess
import sys
from collections.abc import Iterator, Sequence
from concurrent.futures import ThreadPoolExecutor, as_completed
from dataclasses import dataclass
from functools import cache
from importlib.metadata import version
from pathlib import Path
from typing import Any

import nbformat
import platformdirs
from click import unstyle

from calculators.faults import Fault, FaultsError, fault_error
from course.making import forked
from course.making.lessons import SECONDS_A_CELL, VALUE, Cell, Lesson, Notebook, parse

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
    parsed = parse(lesson.text, lesson.path)
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
    first = nbformat.v4.new_code_cell(kitchen, metadata={"tags": ["kitchen"]})
    for cell, line in zip(parsed.cells, lines, strict=True):
        cell.metadata["line"] = line + 1
        cell.metadata.setdefault("tags", [])
        if cell.cell_type == "markdown" and (wanted := VALUE.findall(cell.source)):
            ask = ",\n    ".join(wanted)
            notebook.cells.append(
                nbformat.v4.new_code_cell(
                    f"from course.kit.results import values\nvalues(\n    {ask},\n)",
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


# Where a cell's figures come from: what lessons import, and what that stands on.
REACHED = (
    "calculators",
    "course/kit",
    "course/practical",
    "course/scheme",
    "exercises/craft",
    "exercises/rehearsal",
)


@cache
def _house_digest() -> str:
    """Return a digest of all that a cell can reach: code, tables, words, sources."""
    root = Path(__file__).parents[2]
    total = hashlib.sha256()
    for folder in REACHED:
        for path in sorted((root / folder).rglob("*")):
            if path.suffix in {".py", ".csv", ".txt", ".toml", ".bib"}:
                total.update(path.relative_to(root).as_posix().encode() + path.read_bytes())
    return total.hexdigest()


def key_of(lesson: Lesson, kitchen: str) -> str:
    """Return what a run depends on, as a digest: lesson, kitchen, house, libraries."""
    parts = (lesson.text, kitchen, _house_digest(), _versions())
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
        raise fault_error(*_why(notebook, lesson, str(error))) from None
    return notebook


Todo = tuple[Lesson, Path]
Ended = tuple[Lesson, Path, Notebook | None, Sequence[Fault]]


def _executed(todo: Sequence[Todo], kitchen: str, workers: int) -> Iterator[Ended]:
    """Yield each lesson as it ends, run in children of a warm server or in kernels."""
    if len(todo) > 1 and forked.can_fork():
        places = {f"{n}.json": one for n, one in enumerate(todo)}
        asked = {name: runnable(lesson, kitchen) for name, (lesson, _) in places.items()}
        for name, notebook in forked.execute_all(asked, workers):
            lesson, path = places[name]
            if notebook is None or _error(notebook):
                why = _why(notebook or asked[name], lesson, "its process ended before it did")
                yield lesson, path, None, fault_error(*why).faults
            else:
                yield lesson, path, notebook, []
        return
    with ThreadPoolExecutor(workers) as pool:
        waiting = {pool.submit(run, lesson, kitchen): (lesson, path) for lesson, path in todo}
        for future in as_completed(waiting):
            lesson, path = waiting[future]
            try:
                yield lesson, path, future.result(), []
            except FaultsError as error:
                yield lesson, path, None, error.faults


def _error(notebook: Notebook) -> tuple[Cell, Any] | None:
    """Return the first cell that stopped, with what it said; None where all came to their end."""
    outputs = ((cell, output) for cell in notebook.cells for output in cell.get("outputs", ()))
    return next((pair for pair in outputs if pair[1].output_type == "error"), None)


def _why(notebook: Notebook, lesson: Lesson, otherwise: str) -> tuple[str, str, str, str, str]:
    found = _error(notebook)
    if found is None:
        return lesson.path.name, "could not be run", otherwise, "", "Look at the lesson"
    line, stopped = _where(*found, lesson.text.splitlines())
    return (
        f"{lesson.path.name}:{line}",
        f"stopped with {found[1].ename}: {found[1].evalue}",
        stopped,
        "",
        "Mend the line, or the kitchen's value it asks for",
    )


def _where(cell: Cell, output: Any, text: Sequence[str]) -> tuple[int, str]:
    """Return the line of the lesson at which a cell stopped, and what stands there."""
    begins, code = cell.metadata.get("line", 1), cell.source.splitlines()
    traceback = unstyle("\n".join(output.traceback))
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
    for lesson, path, notebook, wrong in _executed(todo, kitchen, jobs or os.cpu_count() or 2):
        if notebook is None:
            faults += wrong
            continue
        draft = path.with_suffix(f".{os.getpid()}.part")
        draft.write_text(json.dumps(notebook, ensure_ascii=False), encoding="utf-8")
        draft.replace(path)
        yield Ran(lesson, notebook, fresh=True)
    if faults:
        raise FaultsError(faults)
