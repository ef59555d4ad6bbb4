"""What the commands say when they have done their work, line by line."""

from __future__ import annotations

import dataclasses
import datetime
import re
from collections.abc import Iterator, Mapping
from pathlib import Path
from typing import Any

from calculators.units import is_quantity, say
from course.lessons.modules import modules
from course.office.follows import follows
from course.practical import cards
from course.practical.amounts import poured_over
from course.practical.orders import uncoloured
from exercises.questions.outcomes import outcomes


def scheme_lines(scheme: Any) -> list[str]:
    """Return what a checked scheme amounts to."""
    names = ", ".join(modules()[name].title for name in scheme.modules)
    lines = [
        f"{scheme.title}, for {scheme.school.name}: nothing to put right.",
        f"Modules: {names}.",
        *as_read(scheme),
    ]
    lines += [f"Paper {plan.name}: {plan.asks}." for plan in scheme.papers.values()]
    lines += map(str, scheme.dry_runs.values())
    if scheme.left_out:
        table = outcomes()
        lines.append("With the modules left out go these outcomes:")
        lines += [f"  {table[key].wording}" for key in scheme.left_out]
    return lines


def as_read(scheme: Any) -> list[str]:
    """Return every value of the scheme as it was read, with what follows from it."""
    kitchen = scheme.kitchen
    said = follows(scheme)
    poured = poured_over(scheme, [cake.count for cake in scheme.cakes])
    plain = uncoloured(scheme)
    return [
        "As read:",
        f"  altitude {say(kitchen.altitude, digits=5)}: {said['kitchen', 'altitude']}",
        f"  room {say(kitchen.room)} at {say(kitchen.humidity)}: {said['kitchen', 'room']}",
        f"  the glaze pours at {say(scheme.window.low)} to {say(scheme.window.high)}",
        *(f"  {_group(one)}" for one in (scheme.group, *scheme.practical.more_groups)),
        *(f"  {_allergy(scheme, one)}" for one in scheme.practical.allergies),
        *(f"  {line}" for line in _written(scheme)),
        f"  the glaze weighs {say(scheme.formula.mass, digits=5)}; poured over all cakes: "
        f"{say(poured, digits=3)}",
        *([f"  {plain}"] if plain else []),
    ]


def _group(group: Any) -> str:
    """Return how many stand at how many benches, and of which group."""
    named = f"{group.name}: " if group.name else ""
    benches = "1 bench" if group.stations == 1 else f"{group.stations} benches"
    return f"{named}{_students(group.students)} at {benches}"


def _students(count: int) -> str:
    return "1 student" if count == 1 else f"{count} students"


def _allergy(scheme: Any, allergy: Any) -> str:
    """Return who can't eat what, and whether there is a glaze without it."""
    served = cards.served(scheme, allergy.allergen)
    without = "with a glaze without it" if served else "and no glaze without it is given"
    return f"allergic to {allergy.allergen}: {_students(allergy.students)}, {without}"


def _written(thing: Any, heading: str = "") -> Iterator[str]:
    """Yield a line for each table of a scheme that holds quantities or dates."""
    if isinstance(thing, tuple):
        for one in thing:
            yield from _written(one, heading)
        return
    inner = thing if isinstance(thing, Mapping) else _fields(thing)
    named = " ".join(str(inner[key]) for key in ("ingredient", "name", "shape") if inner.get(key))
    said = []
    for key, value in inner.items():
        word = key.replace("_", " ")
        if is_quantity(value):
            said.append(f"{word} {say(value, digits=6)}")
        elif isinstance(value, datetime.date):
            past = " (a day that is past)" if value < datetime.date.today() else ""
            said.append(f"{word} {value}{past}")
    if said:
        yield f"{named or heading}: {', '.join(said)}".removeprefix(": ")
    for key, value in inner.items():
        if isinstance(value, tuple | Mapping) or dataclasses.is_dataclass(value):
            yield from _written(value, named if key == "sizes" else key.replace("_", " "))


def _fields(thing: Any) -> Mapping[str, Any]:
    return vars(thing) if dataclasses.is_dataclass(thing) else {}


def built_lines(built: Any) -> list[str]:
    """Return what a build made."""
    lines = [
        f"{len(built.run)} lessons run, {len(built.kept)} kept from an earlier run, "
        f"in {built.seconds:.1f} s.",
        *built.notes,
    ]
    if built.without:
        lines.append("With the modules left out go these outcomes:")
        lines += [f"  {wording}" for wording in built.without]
    lines.append(f"Open {built.site / 'index.html'}, or run: glossbook show {typed(built.site)}")
    return lines


def typed(path: Path) -> str:
    """Return a path as it is typed at a prompt: between quote marks where it must be.

    >>> typed(Path("site")), typed(Path("my site"))
    ('site', '"my site"')
    """
    plain = re.fullmatch(r"[\w./\\:~-]+", str(path))
    return str(path) if plain else f'"{path}"'
