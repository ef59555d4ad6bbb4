"""What the commands say when they have done their work, line by line."""

from __future__ import annotations

import re
from pathlib import Path
from typing import Any

from course.lessons.modules import modules
from exercises.questions.outcomes import outcomes


def scheme_lines(scheme: Any) -> list[str]:
    """Return what a checked scheme amounts to."""
    names = ", ".join(modules()[name].title for name in scheme.modules)
    lines = [
        f"{scheme.title}, for {scheme.school.name}: nothing to put right.",
        f"Modules: {names}.",
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
    lines.append(f"Open {built.site / 'index.html'}, or run: glossbook serve {typed(built.site)}")
    return lines


def typed(path: Path) -> str:
    """Return a path as it is typed at a prompt: between quote marks where it must be.

    >>> typed(Path("site")), typed(Path("my site"))
    ('site', '"my site"')
    """
    plain = re.fullmatch(r"[\w./\\:~-]+", str(path))
    return str(path) if plain else f'"{path}"'


def visible(text: str) -> str:
    """Return a text with nothing in it that a terminal acts on."""
    return "".join(c if c.isprintable() else " " for c in text)
