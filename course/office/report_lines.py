"""What the commands say when they have done their work, line by line."""

from __future__ import annotations

import re
from pathlib import Path
from typing import Any

from calculators import cooling, water
from calculators.units import say
from course.lessons.modules import modules
from exercises.questions.outcomes import outcomes


def scheme_lines(scheme: Any) -> list[str]:
    """Return what a checked scheme amounts to."""
    names = ", ".join(modules()[name].title for name in scheme.modules)
    lines = [
        f"{scheme.title}, for {scheme.school.name}: nothing to put right.",
        f"Modules: {names}.",
        *as_read(scheme),
    ]
    lines += [
        f"Paper {plan.name}: {plan.questions} questions on {len(plan.outcomes)} outcomes."
        for plan in scheme.papers.values()
    ]
    if scheme.left_out:
        table = outcomes()
        lines.append("With the modules left out go these outcomes:")
        lines += [f"  {table[key].wording}" for key in scheme.left_out]
    return lines


def as_read(scheme: Any) -> list[str]:
    """Return the kitchen's values as they were read, with what follows from them."""
    kitchen = scheme.kitchen
    boils = water.boiling_point(water.air_pressure(kitchen.altitude))
    dew = cooling.dew_point(kitchen.room, kitchen.humidity)
    return [
        "As read:",
        f"  altitude {say(kitchen.altitude, digits=5)}: water boils here at {say(boils, digits=3)}",
        f"  room {say(kitchen.room)} at {say(kitchen.humidity)}: "
        f"what is colder than {say(dew, digits=2)} sweats",
        f"  freezer {say(kitchen.freezer)}, hob {say(kitchen.hob)}, blender {say(kitchen.blender)}",
        f"  the glaze pours at {say(scheme.window.low)} to {say(scheme.window.high)}",
        f"  {scheme.group.students} students at {scheme.group.stations} benches",
    ]


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
