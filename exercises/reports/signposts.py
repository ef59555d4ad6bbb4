"""Where the course teaches what a question asks, and where it is practised."""

from __future__ import annotations

import os
import re
from collections.abc import Container, Mapping, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from urllib.parse import quote

from calculators.faults import fault_error
from exercises.questions.registry import Question

ADDRESS = re.compile(r"https?://[^\s\"'<>]+")
SAME, LIKE, ABOUT = "the same question with other numbers", "a question like it", "a question on it"


@dataclass(frozen=True)
class Taught:
    """Where an outcome is taught.

    Parameters
    ----------
    lesson, heading : str
        Title of the page, and the heading above the paragraph.
    place : str
        Where that is, from the top of the site: ``lessons/boiling.html#a-heading``.
    practice : mapping of str to str
        The places of its practice questions, by id.
    """

    lesson: str
    heading: str
    place: str
    practice: Mapping[str, str] = field(default_factory=dict)


@dataclass(frozen=True)
class Pointer:
    """What a letter points to; an address is empty where nobody said where the site is."""

    lesson: str
    heading: str
    href: str
    practice: str = ""
    practice_href: str = ""


@dataclass(frozen=True)
class Signposts:
    """Points from outcomes to the pages of a course.

    Parameters
    ----------
    taught : mapping of str to Taught
        By outcome.
    site : str
        The site's address, or its folder; empty where neither is known.
    """

    taught: Mapping[str, Taught] = field(default_factory=dict)
    site: str = ""

    def pointer(
        self,
        question: str,
        outcome: str,
        bank: Mapping[str, Question],
        folder: Path,
        asked: Container[str] = (),
    ) -> Pointer | None:
        """Return where to read and to practise what a question asked.

        Parameters
        ----------
        question, outcome : str
            Its id and its outcome.
        bank : mapping of str to Question
            For the level of a question.
        folder : Path
            Where the page lies that points.
        asked : container of str
            The questions of the whole sheet: none of them is fresh.
        """
        found = self.taught.get(outcome)
        if found is None:
            return None
        base = self._base(folder)
        fresh, said = _like(question, list(found.practice), bank, asked)
        return Pointer(
            found.lesson,
            found.heading,
            base + found.place if base else "",
            said,
            base + found.practice[fresh] if base and fresh else "",
        )

    def _base(self, folder: Path) -> str:
        if not self.site or ADDRESS.fullmatch(self.site):
            return self.site and self.site.rstrip("/") + "/"
        way = os.path.relpath(Path(self.site).resolve(), folder.resolve())
        return quote(Path(way).as_posix()) + "/"


def _like(
    question: str, shown: Sequence[str], bank: Mapping[str, Question], asked: Container[str]
) -> tuple[str, str]:
    """Return the practice question that is most like one, and what to call it."""
    level = bank[question].level if question in bank else ""
    fresh = [name for name in shown if name != question and name not in asked]
    for name in fresh:
        if name in bank and bank[name].level == level:
            return name, LIKE
    if question in shown:
        return question, SAME
    others = fresh or [name for name in shown if name != question]
    return (others[0], ABOUT) if others else ("", "")


def checked_site(site: str) -> str:
    """Return the address or the folder of a site; refuse what is neither."""
    if not site or ADDRESS.fullmatch(site):
        return site
    if not (Path(site) / "index.html").is_file():
        raise fault_error(
            "--site",
            "is neither an address nor the folder of a course",
            site,
            "An address begins with https:// or http://; a folder holds index.html",
            "Copy the address from the browser, or name the folder that “course” made",
        )
    return site
