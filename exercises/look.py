"""The look that sites, sheets, letters, reports, plans and drawings share: its one token file."""

from __future__ import annotations

import re
from functools import cache
from pathlib import Path

from calculators.safety import cautions

TOKENS = Path(__file__).parent / "static" / "tokens.css"
_PLACES = {"day": ":root {", "evening": '[data-light="evening"] {', "print": "@media print {"}


@cache
def tokens(light: str = "day") -> dict[str, str]:
    """Return the values of the tokens by day, in the evening or in print.

    >>> tokens()["run"], tokens("evening")["run"], tokens("print")["bench"]
    ('#5b2a79', '#a074cc', '#fff')
    """
    text = re.sub(r"/\*.*?\*/", "", TOKENS.read_text(encoding="utf-8"), flags=re.DOTALL)
    own = text[text.index(_PLACES[light]) :].partition("}")[0]
    here = dict(re.findall(r"--([\w-]+):\s*([^;]+);", own))
    return here if light == "day" else tokens() | here


@cache
def _figures() -> dict[str, str]:
    text = (TOKENS.parent / "signs.svg").read_text(encoding="utf-8")
    return dict(re.findall(r'^<g id="([\w-]+)">(.*)</g>$', text, re.MULTILINE))


def sign_of(name: str) -> str:
    """Return the sign of a hazard by the name that a sheet has for it; empty where it has none.

    >>> sign_of("Hot sugar") == sign("hot-sugar")
    True
    """
    return next((sign(one.id) for one in cautions().values() if one.hazard == name), "")


def sign(hazard: str) -> str:
    """Return the warning sign of a hazard as SVG that stands in a page, hidden from speech.

    >>> sign("steam")[:20], sign("no such hazard")
    ('<svg class="gb-sign"', '')
    """
    figure = _figures().get(hazard)
    if figure is None:
        return ""
    figure = figure.replace('class="f"', 'fill="#17130c" stroke="none"')
    return (
        '<svg class="gb-sign" viewBox="-2 -1 104 92" width="56" height="50" aria-hidden="true">'
        '<path d="M50 7 94 83H6Z" fill="none" stroke="#ffc726" stroke-width="13" '
        'stroke-linejoin="round"/><path d="M50 7 94 83H6Z" fill="#ffc726" stroke="#17130c" '
        'stroke-width="8" stroke-linejoin="round"/><g fill="none" stroke="#17130c" '
        f'stroke-width="4.4" stroke-linecap="round" stroke-linejoin="round">{figure}</g></svg>'
    )
