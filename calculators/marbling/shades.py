"""The shades in which pictures draw the colours of a marble: illustrations, no recipes.

A name such as "beetroot pink" is drawn as some pink.
"""

from __future__ import annotations

from collections.abc import Sequence

# Words in a jug's name, and the shade it is drawn in; the lightness differs as well,
# so that pink and green stay apart for every kind of eye.
_SHADES = {
    "ivory": "#f3ead7",
    "white": "#f8f5ee",
    "cream": "#f3e6c4",
    "black": "#26211f",
    "pink": "#d98aa0",
    "rose": "#d98aa0",
    "green": "#2f5d3a",
    "blue": "#2757a5",
    "red": "#b3202c",
    "yellow": "#f2c230",
    "orange": "#e0812b",
    "purple": "#5b2a6e",
    "violet": "#5b2a6e",
    "brown": "#5a3320",
    "chocolate": "#5a3320",
    "grey": "#8c8a86",
}
_OTHERS = ("#d98aa0", "#2f5d3a", "#2757a5", "#f2c230", "#5b2a6e", "#e0812b", "#8c8a86")


def shades(names: Sequence[str]) -> dict[str, str]:
    """Return a shade for each jug's name, no two alike."""
    found: dict[str, str] = {}
    for name in names:
        named = [s for word, s in _SHADES.items() if word in name.lower()]
        free = [s for s in (*named, *_OTHERS) if s not in found.values()]
        found[name] = free[0] if free else _OTHERS[-1]
    return found
