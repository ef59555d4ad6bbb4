"""The developers' guide, and a copy of the tree in which its recipes are carried out."""

from __future__ import annotations

import os
import re
import shlex
import shutil
import subprocess
import sys
from pathlib import Path

TOP = Path(__file__).parents[2]
ADDED = Path(__file__).with_name("added")  # what a recipe adds, too long to stand in a test
MADE = {"site", "demo", "build", "dist"}


def recipe(heading: str) -> str:
    """Return what the guide says under a heading."""
    guide = (TOP / "DEVELOPERS.md").read_text(encoding="utf-8")
    found = re.search(rf"^### {re.escape(heading)}\n(.*?)(?=^##)", guide, re.M | re.S)
    assert found, f"DEVELOPERS.md has no recipe {heading!r}"
    return found[1]


def commands(heading: str, **names: str) -> list[str]:
    """Return the commands that a recipe gives, in order, with its ``<words>`` filled in."""
    found = re.findall(r"`((?:pytest|python|glossbook) [^`]+)`", recipe(heading))
    assert found, f"{heading}: no command to run"
    for word, name in names.items():
        found = [command.replace(f"<{word}>", name) for command in found]
    left = [command for command in found if re.search(r"<\w+>", command)]
    assert left == [], "a word of the guide is filled in by nothing"
    return found


class Tree:
    """A copy of the project as it is in the working tree, apart from it."""

    def __init__(self, folder: Path) -> None:
        self.top = folder / "tree"
        self.cache = folder / "kept"
        for path in TOP.iterdir():
            hidden = path.name.startswith(".") and path.name not in (".ci", ".gitignore")
            if hidden or path.name in MADE or path.name.endswith(".egg-info"):
                continue
            if path.is_dir():
                ignored = shutil.ignore_patterns("__pycache__")
                shutil.copytree(path, self.top / path.name, ignore=ignored)
            else:
                self.top.mkdir(exist_ok=True)
                shutil.copy(path, self.top / path.name)

    def write(self, name: str, text: str) -> None:
        """Write a file that is not there yet."""
        path = self.top / name
        assert not path.exists(), f"{name} is there already"
        path.write_text(text, encoding="utf-8")

    def add(self, name: str, text: str) -> None:
        """Add lines at the end of a file."""
        path = self.top / name
        path.write_text(path.read_text(encoding="utf-8") + text, encoding="utf-8")

    def change(self, name: str, old: str, new: str) -> None:
        """Write one text in the place of another that stands there once."""
        path = self.top / name
        text = path.read_text(encoding="utf-8")
        assert text.count(old) == 1, f"{name} has {old!r} {text.count(old)} times"
        path.write_text(text.replace(old, new), encoding="utf-8")

    def run(self, command: str) -> subprocess.CompletedProcess[str]:
        """Run a command of the guide in the copy."""
        name, *words = shlex.split(command)
        start = {
            "pytest": ["-m", "pytest"],
            "python": [],
            "glossbook": ["-c", "from course.cli.commands import main; main()"],
        }[name]
        return subprocess.run(
            [sys.executable, *start, *words],
            cwd=self.top,
            env={
                **{key: value for key, value in os.environ.items() if key[:6] != "PYTEST"},
                "PYTHONPATH": str(self.top),
                "GLOSSBOOK_CACHE": str(self.cache),
            },
            capture_output=True,
            text=True,
            check=False,
        )

    def passes(self, command: str) -> str:
        """Run a command that must end well; return what it printed."""
        done = self.run(command)
        assert done.returncode == 0, f"{command}\n{done.stdout[-6000:]}\n{done.stderr[-2000:]}"
        if command.startswith("pytest"):
            assert re.search(r"[1-9]\d* passed", done.stdout) or "[100%]" in done.stdout
        return done.stdout

    def fails(self, command: str, words: str, heading: str = "") -> None:
        """Run a command that must fail with some words: those of the guide, where it has a recipe."""
        if heading:
            assert f"*{words}*" in recipe(heading), f"{heading} does not name this failure"
        done = self.run(command)
        said = " ".join((done.stdout + done.stderr).split())
        assert done.returncode != 0, f"{command} ended well"
        wanted = ".*".join(re.escape(piece) for piece in re.split(r"\.\.\.|\{\.\.\.\}", words))
        assert re.search(wanted, said), f"{command} does not say {words!r}:\n{said[-6000:]}"

    def carries_out(self, heading: str, **names: str) -> None:
        """Run every command of a recipe, and then what reads the code."""
        for command in commands(heading, **names):
            self.passes(command)
        self.passes("python -m ruff check .")
        self.passes("python -m ruff format --check .")
