"""Every command that writes to a place somebody names leaves what is not ours alone."""

from __future__ import annotations

import shutil
from pathlib import Path

import click
import pytest
from click.testing import CliRunner

from course.cli.commands import main
from course.demo import FOLDER
from exercises.book.book import create
from exercises.book.records import Student

# Options and arguments by which a place to write to is named, and how each command is run.
PLACES = {"out", "export", "receipts", "source"}
RUN = {
    "course": ["scheme.toml"],
    "plan": ["scheme.toml"],
    "questions": ["scheme.toml"],
    "issue": ["scheme.toml", "--paper", "syrups-and-gelatin", "--book", "class.db"],
    "observe": ["scheme.toml", "--alone"],
    "mark": ["pile", "--book", "class.db"],
    "report": ["--book", "class.db"],
    "moderate": ["--book", "class.db", "--paper", "syrups-and-gelatin"],
    "person": ["TA-1", "--book", "class.db"],
    "demo": [],
}
WRITING = [
    (name, parameter.opts[0])
    for name, command in main.commands.items()
    for parameter in command.params
    if isinstance(parameter, click.Option) and parameter.name in PLACES
]


@pytest.fixture
def desk(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.chdir(tmp_path)
    shutil.copyfile(FOLDER / "scheme.toml", "scheme.toml")
    with create("class.db") as book:
        book.enrol([Student("TA-1", "Ada Ample")])
    Path("pile").mkdir()
    Path("own").mkdir()
    Path("own/thesis.txt").write_text("mine", encoding="utf-8")
    Path("own/index.html").write_text("<!DOCTYPE html>\n<title>A school's</title>", "utf-8")
    Path("notes.txt").write_text("mine", encoding="utf-8")
    Path("answers.json").write_text('{"glossbook": 1}', encoding="utf-8")
    Path("home.html").write_text("<!DOCTYPE html>\n<title>A school's</title>", "utf-8")
    return tmp_path


def _all(folder: Path) -> dict[str, bytes]:
    """Return every file but the log that a database keeps beside itself."""
    return {
        str(path.relative_to(folder)): path.read_bytes()
        for path in sorted(folder.rglob("*"))
        if path.is_file() and not path.name.endswith(("-wal", "-shm"))
    }


def test_every_command_with_a_place_to_write_to_is_tried() -> None:
    assert {name for name, _ in WRITING} == set(RUN)


@pytest.mark.parametrize(
    "place", ["class.db", "scheme.toml", "notes.txt", "answers.json", "home.html", "own"]
)
@pytest.mark.parametrize(("name", "option"), WRITING)
def test_nothing_is_overwritten_that_a_command_did_not_make(
    desk: Path, name: str, option: str, place: str
) -> None:
    before = _all(desk)
    done = CliRunner().invoke(main, [name, *RUN[name], option, place])
    assert done.exit_code == 1, done.output
    assert place in done.output
    assert "left as it is" in done.output
    assert _all(desk) == before


def test_a_scheme_is_not_described_over_what_is_there(desk: Path) -> None:
    before = _all(desk)
    for place in ("class.db", "scheme.toml", "notes.txt", "own"):
        done = CliRunner().invoke(main, ["describe", place])
        assert done.exit_code == 1, done.output
        assert "left as it is" in done.output
    assert _all(desk) == before


def test_what_a_command_made_it_may_fill_again(desk: Path) -> None:
    for _ in range(2):
        done = CliRunner().invoke(main, ["issue", *RUN["issue"], "--out", "sheets"])
        assert "Drafted" in done.output, done.output
    shutil.rmtree("sheets")
    shutil.copytree("own", "sheets")
    done = CliRunner().invoke(main, ["issue", *RUN["issue"]])
    assert "holds files that no command put there" in done.output
