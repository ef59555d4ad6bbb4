"""Pictures of colour: layers in a jug, a marbled cake, what left-overs turn into.

The shades are illustrations: a name such as "beetroot pink" is drawn as some pink.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from typing import Any

from calculators import colour, marbling
from calculators.marbling import Point
from calculators.marbling.shades import shades
from calculators.units import Quantity, q, say
from course.kit.figures import (
    INK,
    QUIET,
    Circle,
    Polygon,
    Rectangle,
    drawing,
    page_and_phone,
    picture,
)
from course.kit.results import Picture

# The poured puddle is laid over the cake: its middle covers the top, the rest the wall.
_RIM, _FOOT = 0.62, 0.98
_STROKES = (
    marbling.Tine(angle=25, x=0.0, y=0.15, pull=0.55, reach=0.25),
    marbling.Tine(angle=205, x=0.0, y=-0.3, pull=0.4, reach=0.2),
    marbling.Wave(angle=115, size=0.06, length=0.9),
    marbling.Vortex(x=0.15, y=0.05, turn=70, reach=0.35),
)


@page_and_phone
def layers(poured: Sequence[tuple[str, Quantity]]) -> Picture:
    """Draw the pouring jug cut open, with its layers from the bottom up."""
    hues = shades(list(dict.fromkeys(name for name, _ in poured)))
    with drawing(width=5.2, height=3.4) as (figure, axes):
        floor = 0.0
        for place, (name, mass) in enumerate(poured, 1):
            high = mass.m_as("g")
            axes.add_patch(
                Rectangle((0, floor), 1, high, facecolor=hues[name], edgecolor=QUIET, linewidth=0.6)
            )
            axes.annotate(
                f"{place}  {name}, {say(mass)}",
                (1.08, floor + high / 2),
                va="center",
                color=INK,
                annotation_clip=False,
            )
            floor += high
        for side in (0, 1):
            axes.plot([side, side], [0, floor * 1.12], color=INK, linewidth=1.6)
        axes.plot([0, 1], [0, 0], color=INK, linewidth=1.6)
        axes.set(xlim=(-0.1, 2.9), ylim=(-0.02 * floor, floor * 1.16))
        axes.axis("off")
        order = ", ".join(f"{name} {say(mass)}" for name, mass in poured)
        return picture(
            figure,
            f"A jug cut open. From the bottom up its layers are: {order}.",
            "Read from the bottom up. The main colour comes first, between any two others, and last.",
        )


@page_and_phone
def marbled_cake(shares: Mapping[str, Any], main: str) -> Picture:
    """Draw a marbled cake from above and from the side: an illustration of shares."""
    marble = marbling.pattern(shares, main, _STROKES)
    hues = shades(list(shares))
    with drawing(width=5.2, height=3.0, tall=2.9, ncols=2, width_ratios=(1, 1)) as (
        figure,
        both,
    ):
        top, side = both
        rim = Circle((0, 0), _RIM, facecolor=hues[main], edgecolor=QUIET)
        wall = Rectangle((-_RIM, -0.5), 2 * _RIM, 0.5, facecolor=hues[main], edgecolor=QUIET)
        top.add_patch(rim)
        side.add_patch(wall)
        for patch in marble.patches:
            _fill(top, patch.outline, hues[patch.colour], rim)
            _fill(side, _on_the_wall(patch.outline), hues[patch.colour], wall)
        side.plot([-0.75, 0.75], [-0.5, -0.5], color=INK, linewidth=1.2)
        top.annotate("from above", (0, -0.76), ha="center", color=QUIET)
        side.annotate("from the side", (0, -0.76), ha="center", color=QUIET)
        for axes in both:
            axes.set(xlim=(-0.78, 0.78), ylim=(-0.92, 0.66), aspect="equal")
            axes.axis("off")
        _key(figure, hues)
        measured = ", ".join(
            f"{say(share, digits=2)} {name}" for name, share in marble.shares().items()
        )
        return picture(
            figure,
            "A round cake from above, with veins of colour drawn across it, and the same "
            "cake from the side, where the veins run over the rim and down the wall. "
            f"Over the whole puddle it is {measured}.",
            "An illustration: it shows what these shares look like. "
            "No picture can foretell the marble of a real pour.",
        )


@page_and_phone
def left_overs(left: Mapping[str, Quantity], hues: Mapping[str, str]) -> Picture:
    """Draw left-over colours and what they make together: an illustration."""
    mixed = marbling.left_over_colour(left, hues)
    cells = [*hues.items(), ("all together", mixed)]
    with drawing(width=5.6, height=1.9) as (figure, axes):
        for place, (name, hue) in enumerate(cells):
            x = place * 1.25 + (0.45 if place == len(cells) - 1 else 0)
            axes.add_patch(Rectangle((x, 0), 1, 1, facecolor=hue, edgecolor=QUIET))
            axes.annotate(name, (x + 0.5, -0.12), ha="center", va="top", color=INK)
            axes.annotate(f"{_chroma(hue):.0f}", (x + 0.5, 1.08), ha="center", color=QUIET)
        end = (len(cells) - 1) * 1.25 + 0.2
        axes.annotate("→", (end - 0.03, 0.5), ha="center", va="center", fontsize=16)
        axes.set(xlim=(-0.1, end + 1.4), ylim=(-0.45, 1.35))
        axes.axis("off")
        told = ", ".join(f"{name} {_chroma(hue):.0f}" for name, hue in cells)
        return picture(
            figure,
            f"Squares of colour, and a dull one that is their mixture. Chroma: {told}.",
            "An illustration: the number above a square is its chroma, nought for grey. "
            "Bright colours together lose most of it. The real shade will differ.",
        )


# --- helpers ------------------------------------------------------------------------


def _fill(axes: Any, outline: Sequence[Point], hue: str, within: Any) -> None:
    if len(outline) < 3:
        return
    shape = Polygon(outline, facecolor=hue, edgecolor="none")
    axes.add_patch(shape)
    shape.set_clip_path(within)


def _on_the_wall(outline: Sequence[Point]) -> list[Point]:
    """Return the front half of an outline as it lies on the wall, seen from the side."""
    seen = []
    for x, y in _finely(_front(outline)):
        far = math.hypot(x, y)
        turn = math.atan2(x, -y)
        seen.append((_RIM * math.sin(turn), -0.5 * (far - _RIM) / (_FOOT - _RIM)))
    return seen


def _front(outline: Sequence[Point]) -> list[Point]:
    """Cut away what lies behind the middle of the cake."""
    line, kept = -1e-3, []
    for (x0, y0), (x1, y1) in zip(outline, [*outline[1:], outline[0]], strict=True):
        if y0 <= line:
            kept.append((x0, y0))
        if (y0 <= line) != (y1 <= line):
            part = (line - y0) / (y1 - y0)
            kept.append((x0 + part * (x1 - x0), line))
    return kept


def _finely(outline: Sequence[Point]) -> list[Point]:
    """Add points to long edges, because the wall is bent."""
    fine: list[Point] = []
    for (x0, y0), (x1, y1) in zip(outline, [*outline[1:], *outline[:1]], strict=True):
        steps = max(1, math.ceil(math.dist((x0, y0), (x1, y1)) / 0.03))
        fine += [(x0 + (x1 - x0) * n / steps, y0 + (y1 - y0) * n / steps) for n in range(steps)]
    return fine


def _key(figure: Any, hues: Mapping[str, str]) -> None:
    """Write each colour's name beside a spot of it, under the two views."""
    for place, (name, hue) in enumerate(hues.items()):
        x = (place + 0.5) / len(hues)
        figure.text(x, 0.02, name, ha="center", color=INK)
        spot = Rectangle(
            (x - 0.015, 0.075),
            0.03,
            0.045,
            facecolor=hue,
            edgecolor=QUIET,
            transform=figure.transFigure,
        )
        figure.add_artist(spot)


def _chroma(hue: str) -> float:
    return colour.lab(hue).chroma


def contrast(first: str, second: str) -> Quantity:
    """Return how far apart two jugs' shades look, as drawn here."""
    hues = shades([first, second])
    return q(colour.difference(colour.lab(hues[first]), colour.lab(hues[second])).m)
