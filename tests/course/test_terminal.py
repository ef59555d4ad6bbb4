"""No name of a file or folder makes a terminal do anything, whichever command prints it."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest
from click.testing import CliRunner, Result

from course.cli.commands import main
from course.demo import FOLDER
from exercises.book.book import create
from exercises.book.records import Student

ODD = "x\x1b[31m\x1b]0;title\x07\x9b2Jy"
ACTS = ("\x1b", "\x07", "\x9b")
BOOK = ["--book", f"{ODD}.db"]
# Each command, pointed at places with such a name; what can't be found is told by name.
NAMED = {
    "describe": [f"no-{ODD}/scheme.toml"],
    "check": [f"{ODD}.toml"],
    "course": ["scheme.toml", "--source", ODD, "--out", ODD],
    "show": [ODD],
    "plan": ["scheme.toml", "--out", f"{ODD}.html"],
    "questions": [f"{ODD}.toml"],
    "issue": ["scheme.toml", "--paper", ODD, *BOOK],
    "desk": [f"{ODD}.txt", "--no-browser"],
    "mark": [ODD, "--book", "class.db"],
    "observe": ["scheme.toml", "--read", ODD, *BOOK],
    "settle": BOOK,
    "verify": [f"{ODD}.db"],
    "report": [*BOOK, "--paper", ODD],
    "moderate": ["--book", "class.db", "--paper", ODD],
    "remark": ["--book", "class.db", "--paper", ODD, "--question", ODD, "--everyone", "a"],
    "person": [ODD, "--book", "class.db", "--export", f"{ODD}.json"],
    "demo": ["--out", ODD],
}


def ran(name: str) -> Result:
    return CliRunner().invoke(main, [name, *NAMED[name]], color=True)


@pytest.fixture(autouse=True)
def desk(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)
    shutil.copyfile(FOLDER / "scheme.toml", "scheme.toml")
    with create("class.db") as book:
        book.enrol([Student("TA-1", "Ada Ample")])
    Path(f"{ODD}.txt").write_text("mine", encoding="utf-8")
    Path(ODD).mkdir()
    (Path(ODD) / f"{ODD}.json").write_text("cut", encoding="utf-8")


def test_every_command_is_tried():
    assert NAMED.keys() == main.commands.keys()


@pytest.mark.parametrize("name", NAMED)
def test_what_a_command_prints_acts_on_no_terminal(name: str) -> None:
    done = ran(name)
    said = done.stdout + done.stderr
    assert "x [31m" in said, said  # it is told by its name
    assert [sign for sign in ACTS if sign in said] == []


def test_a_hand_in_with_such_a_name_is_settled_by_it(desk: None) -> None:
    ran("mark")
    done = CliRunner().invoke(main, ["settle", "--book", "class.db"], color=True)
    assert "x [31m" in done.output
    assert [sign for sign in ACTS if sign in done.output] == []
