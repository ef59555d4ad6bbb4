"""The modules of the course: what they are called and which lessons they hold."""

from __future__ import annotations

import tomllib
from dataclasses import dataclass
from functools import cache
from pathlib import Path

@dataclass(frozen=True)
class Module:
    """A module of the course: an id, a title, what it is about, its lessons."""

    id: str
    title: str
    about: str
    lessons: tuple[str, ...]


@cache
def modules() -> dict[str, Module]:
    """Return the modules of the core route by id, in teaching order."""
    text = Path(__file__).with_name("modules.toml").read_text(encoding="utf-8")
    return {
        key: Module(key, row["title"], row["about"], tuple(row["lessons"]))
        for key, row in tomllib.loads(text).items()
    }
