"""What a student can do by the end of a lesson: the table of outcomes."""

from __future__ import annotations

import tomllib
from dataclasses import dataclass
from functools import cache
from pathlib import Path

# --- outcomes -------------------------------------------------------------------


@dataclass(frozen=True)
class Outcome:
    """Something a student can do by the end of a lesson; a row of outcomes.toml."""

    id: str
    lesson: str
    verb: str
    wording: str
    evidence: str
    taught: str
    hazards: tuple[str, ...] = ()


@cache
def outcomes() -> dict[str, Outcome]:
    """Return the table of outcomes by id, in its order."""
    text = (Path(__file__).parents[1] / "outcomes.toml").read_text(encoding="utf-8")
    return {
        key: Outcome(key, **{**row, "hazards": tuple(row["hazards"])})
        for key, row in tomllib.loads(text).items()
    }
