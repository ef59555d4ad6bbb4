"""What the pages of a site know of their course: modules, lessons, their order, the cakes."""

from __future__ import annotations

import hashlib
import tomllib
from collections.abc import Sequence
from itertools import pairwise
from pathlib import Path
from typing import Any

from markupsafe import Markup

import exercises
from calculators.sources import source
from calculators.units import say
from course.lessons.modules import modules
from course.making.lessons import Lesson
from course.site.sets import START, Sets
from exercises.questions.outcomes import outcomes

PLATES = Path(exercises.__file__).parent / "craft" / "plates"  # their index lies beside them
ON_MEMORY = ("latimier2021", "kang2014", "rohrer2014")  # why practice is spread out, and mixed
_NUMBERS = ("", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten")
_PLACES = ("", "first", "second", "third", "fourth", "fifth", "sixth", "seventh", "eighth")
# shape -> what one and several are called, and the drawing that stands for them
_SHAPES = {
    "cylinder": ("cake", "cakes", "cake"),
    "ring": ("ring", "rings", "ring"),
    "dome": ("dome", "domes", "dome"),
    "log": ("log", "logs", "cake"),
    "slab": ("slab", "slabs", "cake"),
    "savarin": ("savarin", "savarins", "ring"),
    "torus": ("ring with a round edge", "rings with a round edge", "ring"),
    "loaf": ("loaf", "loaves", "cake"),
    "heart": ("heart", "hearts", "cake"),
    "egg": ("egg", "eggs", "dome"),
    "other": ("cake", "cakes", "cake"),
}


def course(scheme: Any, chosen: Sequence[Lesson], back: Sets) -> dict[str, Any]:
    """Return what templates need of a course: its modules, its lessons by page, its cakes."""
    taught = [key for key in scheme.modules if any(one.module == key for one in chosen)]
    parts: list[dict[str, Any]] = []
    for key in taught:
        own = [lesson for lesson in chosen if lesson.module == key]
        parts.append(
            {
                "title": modules()[key].title,
                "about": modules()[key].about,
                "hours": hours(sum(lesson.minutes for lesson in own) / 60),
                "outcomes": [o for lesson in own for o in lesson.outcomes],
                "lessons": [_brief(lesson) for lesson in own],
            }
        )
    order = [one for part in parts for one in part["lessons"]]
    before = {after["doc"]: first for first, after in pairwise(order)}
    after = {first["doc"]: then for first, then in pairwise(order)}
    mixed = back.mixed_after()
    pages = {}
    for place, part in enumerate(parts):
        for n, one in enumerate(part["lessons"], 1):
            doc = one["doc"]
            pages[doc] = one | {
                "module": place,
                "place": f"{part['title']}, {_place(n, len(part['lessons']))}. "
                f"{one['minutes']} minutes.",
                "before": before.get(doc),
                "after": after.get(doc),
                "mixed": mixed.get(doc),
                "back": back.opening(one["slug"]),
                "opening": back.opening_minutes(one["slug"]),
                "notebook": f"notebooks/{one['slug']}.ipynb",
            }
    then = {one["mixed"]["doc"]: one["after"] for one in pages.values() if one["mixed"]}
    named = f"{scheme.title}\x1f{scheme.school.name}"
    return {
        "key": hashlib.sha256(named.encode()).hexdigest()[:8],
        "sources": {key: _cited(key) for key in ON_MEMORY},
        "modules": parts,
        "lessons": pages,
        "sets": {doc: page | {"after": then.get(doc)} for doc, page in back.pages.items()},
        "check": START if START in back.pages else None,
        "start": order[0] if order else None,
        "hours": hours(sum(one["minutes"] for one in order) / 60),
        "count": len(order),
        "cakes": [_cake(cake) for cake in scheme.cakes],
        "colours": _listed([colour.name for colour in scheme.colours]),
        "colours_count": _number(len(scheme.colours)),
    }


def _cited(key: str) -> Markup:
    """Return a source as a page at the top of the site names it."""
    link = '<a href="sources.html#source-{}">{}</a>'
    return Markup(link).format(key, source(key).short)


def title_plate() -> dict[str, Any] | None:
    """Return the picture of the first page; None while there is only the drawing."""
    file = PLATES / "title-800.webp"
    if not file.is_file():
        return None
    rows = tomllib.loads(PLATES.with_suffix(".toml").read_text(encoding="utf-8"))["plates"]
    own = next(row for row in rows if row["id"] == "title")
    return {
        "file": file,
        "src": f"_static/{file.name}",
        "alt": own["alt"],
        "caption": own["caption"],
    }


def _brief(lesson: Lesson) -> dict[str, Any]:
    return {
        "slug": lesson.slug,
        "doc": f"lessons/{lesson.slug}",
        "title": lesson.title,
        "about": lesson.about,
        "minutes": lesson.minutes,
        "practice": lesson.practice_minutes,
        "bench": lesson.bench_time,
        "needs": lesson.needs,
        "outcomes": lesson.outcomes,
        "can": [(key, outcomes()[key].wording) for key in lesson.outcomes],
    }


def _place(n: int, of: int) -> str:
    if of == 1:
        return "in one lesson"
    which = _PLACES[n] if n < len(_PLACES) else f"{n}th"
    return f"{'last' if n == of > 2 else which} lesson of {_number(of)}"


def _number(n: int) -> str:
    return _NUMBERS[n] if n < len(_NUMBERS) else str(n)


def hours(hours: float) -> str:
    """Return hours to the quarter, as people say them.

    >>> hours(2.3), hours(0.7), hours(1)
    ('2¼ hours', '¾ hour', '1 hour')
    """
    quarters = round(hours * 4) / 4
    whole, part = divmod(quarters, 1)
    tail = {0: "", 0.25: "¼", 0.5: "½", 0.75: "¾"}[part]
    number = f"{int(whole) or ''}{tail}" or "0"
    return f"{number} hour" + ("" if quarters <= 1 else "s")


def _cake(cake: Any) -> dict[str, Any]:
    one, several, drawing = _SHAPES[cake.shape]
    words = {
        "diameter": "wide",
        "outer": "wide",
        "inner": "across the hole",
        "height": "high",
        "length": "long",
        "width": "wide",
        "corner": "round at the corners",
        "area": "to glaze",
    }
    sizes = [f"{say(size)} {words.get(name, name)}" for name, size in cake.sizes.items()]
    return {
        "count": cake.count,
        "name": one if cake.count == 1 else several,
        "sizes": ", ".join(sizes),
        "drawing": drawing,
    }


def _listed(names: Sequence[str]) -> str:
    """Return names as they stand in a sentence.

    >>> _listed(["ivory", "pink", "green"])
    'ivory, pink and green'
    """
    *rest, last = names or [""]
    return f"{', '.join(rest)} and {last}" if rest else last
