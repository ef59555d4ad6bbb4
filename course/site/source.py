"""The course as a plain Jupyter Book project, to go on from in Jupyter's own tools."""

from __future__ import annotations

import shutil
import tempfile
from pathlib import Path
from typing import Any

from course.dry_run.page import MY_BENCH
from course.making import blocks, lessons, running
from course.site import building
from exercises.craft import own_pictures
from exercises.files.replacing import holds_others, only_a_folder

MARK = "_toc.yml"  # by which a folder is known as a book's source
CONFIG = """\
# Made by Glossbook. Build it with: jupyter-book build .
title: {title}
author: {author}
only_build_toc_files: true
execute:
  execute_notebooks: "off"   # the outputs are those of this kitchen; "force" runs them again
sphinx:
  extra_extensions: [course.site.sphinx_ext]
  config:
    nb_mime_priority_overrides: [[html, text/html, 0]]
    html_math_renderer: mathml
    html_extra_path: [extra]
"""


def only_a_source(out: Path) -> None:
    """Refuse a folder that holds anything but an earlier source."""
    held = only_a_folder(out, "--source")
    if held and MARK not in held:
        raise holds_others(out, held, "book's source", "--source")


def write_source(
    scheme: Any,
    out: Path,
    *,
    edition: str = "student",
) -> Path:
    """Write the book's source: configuration, contents, pages, executed notebooks.

    Parameters
    ----------
    scheme : Scheme
        The scheme of work, read and checked.
    out : Path
        The folder; an earlier source in it is replaced, anything else is refused.
    edition : str
        ``student``, or ``lecturer`` with the lecturer's notes.

    Raises
    ------
    FaultsError
        If the folder holds something else, or a lesson stops.
    """
    only_a_source(out)
    own_pictures.load(scheme.pictures_folder)
    chosen = lessons.lessons_of(scheme.modules, scheme.lessons_folder)
    ran = running.run_all(chosen, blocks.kitchen_cell(scheme))
    executed = {one.lesson.slug: one.notebook for one in ran}
    with tempfile.TemporaryDirectory() as place:
        pages, *_ = building.write_pages(scheme, chosen, executed, edition, Path(place), None)
        draft = Path(place) / "book"
        (draft / "lessons").mkdir(parents=True)
        for page in [*pages.glob("*.md"), pages / MARK]:
            shutil.copyfile(page, draft / page.name)
        for notebook in (pages / "extra" / "notebooks").glob("*.ipynb"):
            shutil.copyfile(notebook, draft / "lessons" / notebook.name)
        (draft / "extra").mkdir()
        shutil.copyfile(pages / "extra" / MY_BENCH, draft / "extra" / MY_BENCH)
        building.put_plates(draft / "_static" / "plates", only=("title",))
        (draft / "_config.yml").write_text(
            CONFIG.format(title=_yaml(scheme.title), author=_yaml(scheme.school.name)),
            encoding="utf-8",
        )
        shutil.rmtree(out, ignore_errors=True)
        shutil.copytree(draft, out)
    return out


def _yaml(text: str) -> str:
    escaped = text.replace("\\", "\\\\").replace('"', '\\"')
    return f'"{escaped}"'
