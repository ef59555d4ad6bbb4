"""The parts of a docstring, for pages that show what a calculator says of itself."""

from __future__ import annotations

import re

_SECTION = re.compile(r"^(\w[\w ]*)\n-+\n", re.MULTILINE)


def sections(docstring: str) -> dict[str, str]:
    """Return the parts of a numpy docstring: the text before, then each section."""
    pieces = _SECTION.split(docstring)
    return {
        "": pieces[0].strip(),
        **{name: body.strip() for name, body in zip(pieces[1::2], pieces[2::2], strict=True)},
    }


def anchor(name: str) -> str:
    """Return how a page of the reference calls the place of a calculator, ``water.boiling_point``."""
    return f"calculator-{name}".replace(".", "-").replace("_", "-")
