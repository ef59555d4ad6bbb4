"""The book's source is a project that Jupyter Book builds by itself."""

from __future__ import annotations

import dataclasses
import os
import subprocess
import sys
from pathlib import Path

import pytest

from calculators.faults import FaultsError
from course.demo import FOLDER
from course.scheme.reading import read_scheme
from course.site.source import write_source

TOP = FOLDER.parents[1]
JUPYTER_BOOK = "from jupyter_book.cli.main import main; main()"


def test_jupyter_book_makes_a_book_of_it(tmp_path: Path) -> None:
    scheme = dataclasses.replace(
        read_scheme(FOLDER / "scheme.toml"), modules=("kitchen", "gelatin")
    )
    source = write_source(scheme, tmp_path / "book")
    done = subprocess.run(
        [sys.executable, "-c", JUPYTER_BOOK, "build", str(source)],
        env={**os.environ, "PYTHONPATH": str(TOP)},
        capture_output=True,
        text=True,
        check=False,
    )
    assert done.returncode == 0, done.stdout[-2000:] + done.stderr[-2000:]
    page = (source / "_build" / "html" / "lessons" / "gelatin-grades.html").read_text("utf-8")
    assert "silver" in page
    assert "<svg" in page
    assert "come first" in page  # the caution is there as text
    write_source(scheme, source)  # an earlier source is replaced
    assert not (source / "_build").exists()


def test_a_folder_with_something_else_is_left_as_it_is(tmp_path: Path) -> None:
    scheme = read_scheme(FOLDER / "scheme.toml")
    (tmp_path / "thesis.txt").write_text("mine", encoding="utf-8")
    with pytest.raises(FaultsError, match="is left as it is"):
        write_source(scheme, tmp_path)
    assert (tmp_path / "thesis.txt").read_text("utf-8") == "mine"
