"""What a lesson says, recorded, and held against a new run."""

from __future__ import annotations

from typing import Any

import nbformat

from course.making.lessons import Cell, Lesson, Notebook
from course.making.running import runnable
from course.making.steps import tags

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
            cell.source += "\nfrom course.kit.results import plain_text_only\nplain_text_only()"
    return notebook


def _recorded_outputs(cell: Cell, says: str) -> list[Any]:
    if not says:
        return []
    if "values" in tags(cell):
        return [nbformat.v4.new_output("stream", name="stdout", text=says + "\n")]
    return [nbformat.v4.new_output("execute_result", data={"text/plain": says}, execution_count=1)]
