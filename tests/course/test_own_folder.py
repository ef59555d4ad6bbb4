"""A lecturer's own lessons and questions, from folders beside the scheme."""

from __future__ import annotations

import re
from pathlib import Path

import click
import nbformat
import pytest
from click.testing import CliRunner

from calculators.faults import FaultsError
from course.cli.commands import main
from course.demo import FOLDER
from course.making import steps
from course.making.lessons import read_lesson
from course.office import papers, setting
from course.scheme.model import Scheme
from course.scheme.reading import read_scheme
from course.site import building
from exercises.book.book import open_book
from exercises.questions import own

DEMO = FOLDER / "scheme.toml"

HEAD = """\
---
title: {title}
minutes: 10
module: kitchen
outcomes: [kitchen-hazards]
kernelspec:
  name: python3
  display_name: Python 3
---

# {title}

"""

LESSON = """\
Our bench stands at {value}`kitchen.altitude`.

```{code-cell} ipython3
from calculators import water
from course.kit.results import result
result(water.boiling_point(water.air_pressure(kitchen.altitude)), "is where our water boils")
```
"""

QUESTIONS = """\
[our-door]
outcome = "kitchen-hazards"
level = "decide"
prompt = "Which of the two doors of our kitchen do you take with a hot pan?"
right = ["The one to the yard, which opens away from you"]
worked = "A door that opens towards you has to be pulled with a hand."

[our-door.wrong]
"The one to the hall, which is nearer" = "Think of the hand that the handle needs."
"""

PAPER = """
[papers.our-kitchen]
title = "Our kitchen"
use = "assessed"
outcomes = ["kitchen-hazards"]
decide = 1
"""

CLASS = "id,name\ns1,Ada Ample\ns2,Bo Batter\n"


@pytest.fixture
def beside(tmp_path: Path) -> Path:
    """Make a scheme of Kitchen first alone, with own lessons and questions."""
    text = DEMO.read_text(encoding="utf-8").split("[papers.")[0]
    text = re.sub(r"^modules = .*$", 'modules = ["kitchen"]', text, flags=re.MULTILINE)
    folders = '\n[own]\nlessons = "lessons"\nquestions = "questions"\n'
    (tmp_path / "scheme.toml").write_text(text + PAPER + folders, encoding="utf-8")
    (tmp_path / "class.csv").write_text(CLASS, encoding="utf-8")
    for name, files in (
        (
            "lessons",
            {
                "our-bench.md": HEAD.format(title="Where is our bench?") + LESSON,
                "thermometer-and-scale.md": HEAD.format(title="Which of ours is true?")
                + "We have two, and they differ.\n",
            },
        ),
        ("questions", {"ours.toml": QUESTIONS}),
    ):
        (tmp_path / name).mkdir()
        for file, content in files.items():
            (tmp_path / name / file).write_text(content, encoding="utf-8")
    yield tmp_path
    own.forget()


def scheme(folder: Path) -> Scheme:
    return read_scheme(folder / "scheme.toml")


def test_an_own_lesson_is_added_and_one_replaced_and_no_own_question_is_shown(
    beside: Path,
) -> None:
    papers.questions_for(scheme(beside))
    site = building.build(scheme(beside), beside / "site").site
    added = (site / "lessons" / "our-bench.html").read_text(encoding="utf-8")
    assert "Where is our bench?" in added
    assert "430" in added
    replaced = (site / "lessons" / "thermometer-and-scale.html").read_text("utf-8")
    assert "We have two, and they differ." in replaced
    assert (site / "lessons" / "what-can-hurt.html").exists()
    for path in site.rglob("*"):
        if path.is_file():
            data = path.read_bytes()
            assert b"our-door" not in data, path
            assert b"the two doors of our kitchen" not in data, path


def test_a_lesson_that_asks_an_own_question_is_refused_and_nothing_is_shown(
    beside: Path,
) -> None:
    papers.questions_for(scheme(beside))
    with (beside / "lessons" / "our-bench.md").open("a", encoding="utf-8") as file:
        file.write("\n```{practice} our-door\n```\n")
    line = (beside / "lessons" / "our-bench.md").read_text("utf-8").splitlines()
    where = rf"our-bench\.md:{line.index('```{practice} our-door') + 1}, practice: .*our-door"
    with pytest.raises(FaultsError, match=where) as refused:
        building.build(scheme(beside), beside / "site")
    assert "glossbook questions" in str(refused.value)
    assert not (beside / "site").exists()


def test_a_link_to_nowhere_is_told_with_the_line_of_the_lesson(beside: Path) -> None:
    path = beside / "lessons" / "our-bench.md"
    text = path.read_text("utf-8") + "\nFirst this.\n\nThen [that](nowhere-at-all.md).\n"
    path.write_text(text, "utf-8")
    line = next(n for n, one in enumerate(text.splitlines(), 1) if "nowhere" in one)
    with pytest.raises(FaultsError, match=rf"our-bench\.md:{line}: .*nowhere-at-all"):
        building.build(scheme(beside), beside / "site", live=False)


def test_a_caution_that_is_not_there_is_told_with_the_line_of_the_lesson(beside: Path) -> None:
    path = beside / "lessons" / "our-bench.md"
    path.write_text(path.read_text("utf-8") + "\n```{hazard} hot-sugr\n```\n", "utf-8")
    lesson = read_lesson(path)
    line = path.read_text("utf-8").splitlines().index("```{hazard} hot-sugr") + 1
    cell = nbformat.v4.new_markdown_cell("```{hazard} hot-sugr\n```\n")
    with pytest.raises(FaultsError, match=rf"our-bench\.md:{line}, caution, id: .*hot-sugr"):
        steps.blocks("plain")(cell, steps.Setting(lesson, {}, {}))


def test_an_own_question_can_be_chosen_issued_and_marked(
    beside: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    everything = papers.questions_for

    def own_only(held: Scheme | None) -> dict:  # so that the plan has to choose it
        return {name: one for name, one in everything(held).items() if one.private}

    monkeypatch.setattr(papers, "questions_for", own_only)
    arguments = (
        "our-kitchen",
        beside / "class.csv",
        beside / "class.db",
        beside / "out",
    )
    setting.issue(scheme(beside), *arguments, None, 1)
    setting.issue(scheme(beside), *arguments, "M. Checker", 1)
    sheets = sorted((beside / "out").rglob("*.ipynb"))
    assert len(sheets) == 2
    assert all("Which of the two doors" in p.read_text("utf-8") for p in sheets)
    (beside / "handed-in").mkdir()
    sheets[0].rename(beside / "handed-in" / sheets[0].name)
    with open_book(beside / "class.db") as held:
        lines, _ = papers.mark(
            held, beside / "handed-in", beside / "scheme.toml", lambda done, total: None
        )
    assert lines[0].startswith("1 file read")


def test_a_fault_in_an_own_question_is_told_before_anything_is_drafted(
    beside: Path,
) -> None:
    (beside / "questions" / "more.toml").write_text("[our-floor]\n", encoding="utf-8")
    with pytest.raises(FaultsError, match=r"more\.toml:1, our-floor\.outcome: is missing"):
        setting.issue(
            scheme(beside), "our-kitchen", None, beside / "class.db", beside / "out", None, 1
        )
    assert not (beside / "class.db").exists()


@pytest.mark.parametrize("key", ["lessons", "questions"])
def test_a_folder_above_the_scheme_is_refused(beside: Path, key: str) -> None:
    lower = beside / "term"
    lower.mkdir()
    text = (beside / "scheme.toml").read_text(encoding="utf-8")
    other = {"lessons": "questions", "questions": "lessons"}[key]
    text = text.replace(f'{other} = "{other}"\n', "")
    for away in (f"../{key}", str(beside / key), "linked"):
        (lower / "scheme.toml").write_text(text.replace(f'"{key}"', f'"{away}"'), "utf-8")
        if away == "linked":
            (lower / away).symlink_to(beside / key)
        with pytest.raises(FaultsError, match=rf"own\.{key}: is outside the scheme's folder"):
            read_scheme(lower / "scheme.toml")


def test_a_scheme_without_a_folder_has_no_own_questions_left_from_another(
    beside: Path,
) -> None:
    assert "our-door" in papers.questions_for(scheme(beside))
    assert "our-door" not in papers.questions_for(read_scheme(DEMO))


def test_own_python_is_run_only_after_the_command_says_from_where(beside: Path) -> None:
    folder = read_scheme(beside / "scheme.toml").questions_folder
    assert folder is not None
    said = CliRunner().invoke(main, ["check", str(beside / "scheme.toml")])
    assert "run as Python" not in said.output  # only plain text lies there
    (folder / "ours.py").write_text("", encoding="utf-8")
    with pytest.MonkeyPatch.context() as seen:
        lines: list[str] = []
        seen.setattr(click, "echo", lambda text="", **how: lines.append(str(text)))
        seen.setattr(setting, "try_papers", lambda held: lines.append("tried") or {})
        CliRunner().invoke(main, ["check", str(beside / "scheme.toml")])
    assert lines[0] == f"Your own questions are run as Python, from {folder}"
    assert lines[1] == "tried"
