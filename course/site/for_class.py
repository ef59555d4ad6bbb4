"""For the class: of each lesson a handout of two pages and a set of slides, from its own page.

What stands on them is what the lesson says: nothing is written twice.
"""

from __future__ import annotations

from collections.abc import Sequence
from copy import copy
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Any

from bs4 import BeautifulSoup, Tag
from jinja2 import Environment, PackageLoader, select_autoescape
from markupsafe import Markup

from course.making.lessons import Lesson
from course.scheme.model import TermPlan
from course.site.weeks import weeks_of
from exercises.look import TOKENS

FOLDER = "for-the-class"
_CLOSING = ("common-mistakes", "practice", "at-the-bench", "sources")
_NEVER = (
    "script, input, textarea, select, button, details, label, legend .unit, .headerlink, "
    ".gb-acts, .gb-says, .gb-state, .sr, .cell_input"
)
PICTURES, MISTAKES = 1, 4  # on a handout; a slide is made for every picture


@dataclass(frozen=True)
class Claim:
    """A claim of a lesson: its heading, how it begins, its first picture and first sum."""

    heading: str
    begins: Markup
    picture: Markup
    by_hand: Markup


@dataclass(frozen=True)
class ForClass:
    """What of a lesson is shown to a class."""

    slug: str
    title: str
    place: str
    situation: Markup
    can: tuple[str, ...]
    hazards: tuple[tuple[str, str], ...]
    claims: tuple[Claim, ...]
    mistakes: tuple[Markup, ...]
    question: Markup
    bench: str

    @property
    def sums(self) -> list[Markup]:
        """The sums by hand, in order."""
        return [claim.by_hand for claim in self.claims if claim.by_hand]


def read_page(path: Path) -> ForClass:
    """Read the page of a lesson that a build has made.

    Parameters
    ----------
    path : Path
        ``lessons/<slug>.html`` of a site.
    """
    page = BeautifulSoup(path.read_text(encoding="utf-8"), "html.parser")
    whole = _one(page, "article section")
    for gone in whole.select(_NEVER):
        gone.decompose()
    first = _one(whole, ".first")
    claims = [
        part
        for part in whole.find_all("section", recursive=False)
        if part.get("id") and part.get("id") not in _CLOSING and "gb-warn" not in _classes(part)
    ]
    asked = whole.select_one(".gb-practice .gb-asked")
    bench = whole.select_one("#at-the-bench > p")
    return ForClass(
        path.stem,
        _words(_one(first, "h1")),
        _words(_one(first, ".kick")),
        _html(first.select_one(".main > p:not(.kick)")),
        tuple(said for one in first.select("ul.aim li > span") if (said := _words(one))),
        tuple(
            (_words(one).removeprefix("Warning: "), _words(one.find_next_sibling("p")))
            for one in whole.select(".gb-warn > .name")
        ),
        tuple(map(_claim, claims)),
        tuple(_html(one, inside=True) for one in whole.select("#common-mistakes li")[:MISTAKES]),
        _html(asked, inside=True),
        _words(bench) if bench else "",
    )


def _claim(section: Tag) -> Claim:
    begins = next((one for one in section.find_all("p") if _is_text(one)), None)
    picture = section.select_one("figure")
    sums = section.select_one(".hand") or next(
        (one for one in section.find_all("p") if _words(one).startswith("By hand")), None
    )
    return Claim(
        _words(_one(section, "h2")),
        _html(begins, inside=True),
        _picture(picture),
        _html(sums),
    )


def _is_text(paragraph: Tag) -> bool:
    """Tell whether a paragraph is the lesson's own text, and no caution, word or panel."""
    return paragraph.find_parent(["form", "aside"]) is None and not any(
        {"gb-warn", "gb-warn-short", "gb-words", "admonition"} & set(_classes(above))
        for above in paragraph.parents
    )


def _picture(figure: Tag | None) -> Markup:
    """Return a picture in its drawing for a page; the one for a phone stays out."""
    if figure is None:
        return Markup("")
    own = copy(figure)
    for phone in own.select(".gb-phone"):
        phone.decompose()
    for image in own.select("img"):  # printed at once, whether it was scrolled to or not
        del image["loading"]
    return _html(own)


def _one(within: Tag, selector: str) -> Tag:
    found = within.select_one(selector)
    if found is None:
        raise ValueError(f"a page without {selector}")
    return found


def _classes(tag: Tag) -> list[str]:
    held: Any = tag.get("class") or []
    return list(held)


def _words(tag: Any) -> str:
    return " ".join(tag.get_text(" ").split()) if tag is not None else ""


def _html(tag: Tag | None, *, inside: bool = False) -> Markup:
    """Return the mark-up of a part of our own page; names are left out, links become text."""
    if tag is None:
        return Markup("")
    own = copy(tag)
    for one in own.find_all(True):
        if one.name == "a":
            one.unwrap()
    return Markup(own.decode_contents() if inside else str(own))


@cache
def _templates() -> Environment:
    return Environment(
        loader=PackageLoader("course.site", "class_pages"),
        autoescape=select_autoescape(),
        trim_blocks=True,
        lstrip_blocks=True,
    )


def write_for_class(
    site: Path, lessons: Sequence[Lesson], term: TermPlan | None = None
) -> list[Path]:
    """Write handouts and slides beside a site's lessons, and the weeks of a term.

    Parameters
    ----------
    site : Path
        A site that a build has made; they go into its folder :data:`FOLDER`.
    lessons : sequence of Lesson
        In their order.
    term : TermPlan, optional
        The weeks over which they are laid.

    Returns
    -------
    list of Path
        What was written: two files for each lesson, and one for the term.

    Raises
    ------
    FaultsError
        Where the term is too short.
    """
    weeks = weeks_of(term, lessons) if term else []
    folder = site / FOLDER
    folder.mkdir(exist_ok=True)
    tokens = Markup(TOKENS.read_text(encoding="utf-8"))

    def write(name: str, template: str, **held: Any) -> Path:
        page = _templates().get_template(f"{template}.html")
        path = folder / f"{name}.html"
        path.write_text(page.render(tokens=tokens, **held), encoding="utf-8")
        return path

    written = []
    for one in lessons:
        lesson = read_page(site / "lessons" / f"{one.slug}.html")
        for kind in ("handout", "slides"):
            written.append(write(f"{one.slug}-{kind}", kind, lesson=lesson, pictures=PICTURES))
    return [*written, write("weeks", "weeks", weeks=weeks, term=term)] if term else written
