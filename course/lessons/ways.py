"""The way to an answer, and the claim of a lesson that helps when one slips."""

from __future__ import annotations

import tomllib
from dataclasses import dataclass
from functools import cache
from pathlib import Path


@dataclass(frozen=True)
class Way:
    """What helps with an outcome; a row of ways.toml.

    Parameters
    ----------
    way : str
        How its answer is found, in a few words that give none away.
    see : str
        The heading of its lesson under which that stands.
    """

    way: str
    see: str


@cache
def ways() -> dict[str, Way]:
    """Return the ways by outcome."""
    text = Path(__file__).with_name("ways.toml").read_text(encoding="utf-8")
    return {key: Way(**row) for key, row in tomllib.loads(text).items()}
