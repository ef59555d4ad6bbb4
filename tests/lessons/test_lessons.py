"""Every lesson says what was recorded, in a new kernel, by nbval."""

from __future__ import annotations

import os
import re
import shutil
import subprocess
import sys
from pathlib import Path

import nbformat
import pytest

import calculators
from course.lessons.modules import modules
from course.making import blocks, lessons, recording, running
from course.scheme.reading import read_scheme
from tests.lessons.record import DEMO, recorded

LESSONS = {lesson.slug: lesson for lesson in lessons.lessons_of(list(modules()))}


def nbval(notebook: Path, *, path: str = "") -> subprocess.CompletedProcess[str]:
    """Run nbval on one notebook, apart from this pytest and its settings."""
    command = [
        sys.executable,
        "-m",
        "pytest",
        "--nbval",
        "--nbval-current-env",
        "-p",
        "no:cacheprovider",
        "-p",
        "no:xdist",
        "-o",
        "addopts=",
        "-q",
        "-c",
        os.devnull,
        "--rootdir",
        str(notebook.parent),
        str(notebook),
    ]
    environment = {**os.environ, "PYTHONPATH": path}
    return subprocess.run(
        command,
        cwd=notebook.parent,
        env=environment,
        capture_output=True,
        text=True,
        check=False,
    )


@pytest.fixture(scope="module")
def kitchen() -> str:
    return blocks.kitchen_cell(read_scheme(DEMO))


def written(slug: str, kitchen: str, folder: Path) -> Path:
    notebook = recording.check_notebook(LESSONS[slug], kitchen, recorded(slug))
    path = folder / f"{slug}.ipynb"
    nbformat.write(notebook, path)
    return path


@pytest.mark.parametrize("slug", LESSONS)
def test_a_lesson_says_in_a_new_kernel_what_was_recorded(
    slug: str, kitchen: str, tmp_path: Path
) -> None:
    assert recorded(slug), f"no recording: run python -m tests.lessons.record {slug}"
    ran = nbval(written(slug, kitchen, tmp_path))
    assert ran.returncode == 0, ran.stdout[-6000:]
    cells = len(recording.code_cells(running.runnable(LESSONS[slug], kitchen)))
    assert f"{cells} passed" in ran.stdout


@pytest.mark.parametrize("slug", LESSONS)
def test_a_recording_is_of_the_cells_the_lesson_has_now(slug: str, kitchen: str) -> None:
    cells = recording.code_cells(running.runnable(LESSONS[slug], kitchen))
    assert [row["cell"] for row in recorded(slug)] == [cell.source for cell in cells]


def test_a_changed_constant_in_a_calculator_is_found(kitchen: str, tmp_path: Path) -> None:
    root = tmp_path / "changed"
    shutil.copytree(Path(calculators.__file__).parent, root / "calculators")
    water = root / "calculators" / "water.py"
    text = water.read_text(encoding="utf-8")
    assert "999.83952" in text, "the constant this test changes has moved"
    water.write_text(text.replace("999.83952", "989.83952"), encoding="utf-8")
    ran = nbval(written("how-strong", kitchen, tmp_path), path=str(root))
    assert ran.returncode == 1, ran.stdout[-3000:]
    assert "failed" in ran.stdout


@pytest.mark.parametrize("slug", LESSONS)
def test_a_band_of_temperature_promises_no_hundredths(slug: str) -> None:
    # A band of several degrees, of figures from memory, has no second decimal.
    for cell in recorded(slug):
        told = re.search(r"\d\.\d\d to −?\d+\.\d\d °C", cell["says"])
        assert told is None, told
