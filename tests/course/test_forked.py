"""Lessons run in children of a warm server, as they would in kernels of their own."""

from __future__ import annotations

import json
from pathlib import Path

import nbformat
import pytest

from calculators.faults import FaultsError
from course.demo import FOLDER
from course.making import blocks, forked, lessons, running
from course.scheme.reading import read_scheme

pytestmark = pytest.mark.skipif(not forked.can_fork(), reason="this system forks no process")
KITCHEN = blocks.kitchen_cell(read_scheme(FOLDER / "scheme.toml"))


def notebook(*cells: str) -> object:
    return nbformat.v4.new_notebook(cells=[nbformat.v4.new_code_cell(cell) for cell in cells])


def said(executed: object) -> list[list[dict[str, object]]]:
    return [json.loads(json.dumps(cell.outputs)) for cell in executed.cells]  # type: ignore[attr-defined]


def test_a_lesson_says_the_same_as_in_a_kernel(tmp_path: Path) -> None:
    two = lessons.lessons_of(["gelatin"])
    ran = {one.lesson.slug: one for one in running.run_all(two, KITCHEN, folder=tmp_path)}
    assert all(one.fresh for one in ran.values())
    in_a_kernel = running.run(two[0], KITCHEN)
    here = ran[two[0].slug].notebook
    code = [
        [cell.outputs for cell in of.cells if cell.cell_type == "code"]
        for of in (in_a_kernel, here)
    ]
    assert json.loads(json.dumps(code[0])) == json.loads(json.dumps(code[1]))


def test_no_notebook_sees_what_another_did() -> None:
    mark = "import calculators\ncalculators.seen = getattr(calculators, 'seen', 0) + 1\n"
    asked = {f"{n}.json": notebook(mark + "calculators.seen") for n in range(3)}
    for _, executed in forked.execute_all(asked, 1):
        assert [output["data"] for output in said(executed)[0]] == [{"text/plain": "1"}]


def test_a_cell_that_stops_is_the_last_and_a_child_that_dies_is_told() -> None:
    asked = {
        "stops.json": notebook("1 + 1", "x = 1\n1 / 0", "print('never')"),
        "dies.json": notebook("import os\nos._exit(3)"),
        "prints.json": notebook("print('one')\n2"),
    }
    ended = dict(forked.execute_all(asked, 2))
    assert ended["dies.json"] is None
    first, second, third = said(ended["stops.json"])
    assert first[0]["data"] == {"text/plain": "2"}
    assert second[0]["ename"] == "ZeroDivisionError"
    assert "line 2" in "".join(second[0]["traceback"])  # type: ignore[arg-type]
    assert third == []
    assert [one["output_type"] for one in said(ended["prints.json"])[0]] == [
        "stream",
        "execute_result",
    ]


def test_a_lesson_that_stops_is_told_with_its_line(tmp_path: Path) -> None:
    own = tmp_path / "own"
    own.mkdir()
    text = lessons.lessons_of(["gelatin"])[0].text
    head, _, rest = text.partition("\n# ")
    broken = f"{head}\n# {rest}\n\n```{{code-cell}} ipython3\nnothing_of_this_name\n```\n"
    (own / "gelatin-grades.md").write_text(broken, encoding="utf-8")
    with pytest.raises(FaultsError, match=r"gelatin-grades\.md:\d+: stopped with NameError"):
        list(running.run_all(lessons.lessons_of(["gelatin"], own), KITCHEN, folder=tmp_path))
