"""Pictures of the base: what a surface does to light, what is in a glaze, and its air."""

from __future__ import annotations

import math
import textwrap
from collections.abc import Callable, Sequence
from typing import Any

from calculators import blending, formula
from calculators.faults import FaultsError
from calculators.units import Quantity, q, say
from course.kit.figures import (
    BERRY,
    FOURTH,
    GLAZE,
    INK,
    PAPER,
    QUIET,
    THIRD,
    WASH,
    curve,
    dot,
    drawing,
    either,
    name_rows,
    page_and_phone,
    picture,
)
from course.kit.results import Picture

# --- what light does on a surface ---------------------------------------------------


@page_and_phone
def surfaces() -> Picture:
    """Draw four glazes cut through, each with light that falls on it and leaves it."""
    panels: tuple[tuple[str, Callable[[float], float]], ...] = (
        ("smooth and level", lambda x: 0.0),
        ("pits of burst bubbles", lambda x: -0.26 * _bumps(x, (1.55, 3.65, 7.1), 0.5)),
        ("sugar crystals", lambda x: 0.2 * abs((x % 1.15) / 0.575 - 1)),
        ("coarse fat", lambda x: 0.22 * _bumps(x, (0.6, 3.0, 5.4, 7.8), 0.75)),
    )
    with drawing(height=4.2, tall=3.3, nrows=2, ncols=2) as (figure, grid):
        for axes, (words, height) in zip(grid.flat, panels, strict=True):
            _light_on(axes, height)
            axes.set_title(words, fontsize=either(10.5, None), color=INK, pad=2)
        return picture(
            figure,
            "Four cuts through a glaze. On the smooth one six rays of light come in "
            "together and leave together. On pits of burst bubbles, on crystals and on "
            "coarse drops of fat the same six rays leave in different directions.",
            "A mirror sends light that came in together out together. A pit, a crystal or "
            "a drop of fat sends it astray, and the eye sees a dull place.",
        )


def _bumps(x: float, middles: Sequence[float], width: float) -> float:
    return sum(math.exp(-(((x - m) / width) ** 2)) for m in middles)


def _light_on(axes: Any, height: Callable[[float], float]) -> None:
    xs = [n / 50 for n in range(501)]
    ys = [height(x) for x in xs]
    axes.fill_between(xs, ys, -1.4, color=WASH, zorder=0)
    axes.plot(xs, ys, color=INK, linewidth=1.2)
    for x in (1.2, 2.6, 4.0, 5.4, 6.8, 8.2):
        y, slope = height(x), (height(x + 1e-3) - height(x - 1e-3)) / 2e-3
        away = _mirrored(0.5, -math.sqrt(0.75), slope)
        axes.plot([x - 1.05, x], [y + 1.82, y], color=QUIET, linewidth=0.9)
        axes.annotate(
            "",
            (x + 2.1 * away[0], y + 2.1 * away[1]),
            (x, y),
            arrowprops={
                "arrowstyle": "->",
                "color": GLAZE,
                "linewidth": 1.5,
                "shrinkA": 0,
                "shrinkB": 0,
            },
        )
    axes.set(xlim=(0, 10), ylim=(-1.4, 2.7), aspect="equal")
    axes.axis("off")


def _mirrored(right: float, up: float, slope: float) -> tuple[float, float]:
    """Return where a ray goes that falls on a mirror of this slope."""
    size = math.hypot(slope, 1)
    across, along = -slope / size, 1 / size
    into = right * across + up * along
    return right - 2 * into * across, up - 2 * into * along


# --- what is in a glaze ---------------------------------------------------------------


@page_and_phone
def side_by_side(formulas: Sequence[formula.Formula]) -> Picture:
    """Draw what each hundred grams of some glazes hold; the first is the reader's own."""
    names = ("water", "sugars", "fat")
    colours = (GLAZE, FOURTH, THIRD, QUIET)
    rows = [[formula.share(one, name).m for name in names] for one in formulas]
    rows = [[*row, 100 - sum(row)] for row in rows]
    # On a phone the names of the parts stand under the first bar.
    places = [-n - either(0, 0.4 if n else 0) for n in range(len(rows))]
    count = len(formulas)
    with drawing(height=0.9 + 0.72 * count, tall=1.6 + 0.9 * count) as (figure, axes):
        for place, row in zip(places, rows, strict=True):
            left = 0.0
            for part, colour in zip(row, colours, strict=True):
                axes.barh(place, part, left=left, color=colour, height=0.56)
                if part >= 5:
                    axes.text(
                        left + part / 2,
                        place,
                        f"{part:.0f}",
                        color=PAPER,
                        ha="center",
                        va="center",
                        weight="bold",
                    )
                left += part
        _name_parts(axes, rows[0], (*names, "rest"), colours)
        names_of = [textwrap.fill(one.name, 17) for one in formulas]
        name_rows(axes, dict(zip(places, names_of, strict=True)), names_of[:1], half=0.28)
        axes.grid(visible=False)
        axes.tick_params(axis="y", length=0)
        axes.set(
            xlim=(0, either(108, 111)),
            xticks=range(0, 101, either(20, 50)),
            xlabel="g in 100 g of glaze, as it goes into the pan",
        )
        axes.spines["left"].set_visible(False)
        said = "; ".join(
            f"{one.name}: water {row[0]:.0f}, sugars {row[1]:.0f}, fat {row[2]:.1f}, "
            f"the rest {row[3]:.0f}"
            for one, row in zip(formulas, rows, strict=True)
        )
        return picture(
            figure,
            f"A bar for each glaze, in g of 100 g. {said}.",
            "The same few parts in other shares. Your own glaze is the uppermost bar.",
        )


def _name_parts(
    axes: Any, row: Sequence[float], names: Sequence[str], colours: Sequence[str]
) -> None:
    """Name the parts of the first bar: the last beside it, the others at their middles."""
    left = 0.0
    for part, name, colour in zip(row, names, colours, strict=True):
        if name == names[-1]:
            axes.text(101, 0, name, color=colour, va="center")
        elif part >= 4:
            axes.text(
                left + part / 2,
                either(0.36, -0.36),
                name,
                color=colour,
                ha="center",
                va=either("bottom", "top"),
            )
        left += part


@page_and_phone
def thinned(own: formula.Formula) -> Picture:
    """Draw how added water weakens the syrup and the gelatin of a glaze."""
    total = sum(own.grams)
    added = [float(p) for p in range(21)]
    more = [own, *(formula.thin(own, q(total * p / 100, "g")) for p in added[1:])]
    sugar = _of_first([formula.sugar_in_water(one).m for one in more])
    gel = _of_first([formula.gelatin_in_water(one).m for one in more])
    with drawing(height=3.2) as (figure, axes):
        curve(axes, added, sugar, "strength of the syrup", at=13, offset=(0, 12))
        if gel:
            curve(
                axes,
                added,
                gel,
                "gelatin in its water",
                colour=THIRD,
                at=9,
                offset=(-8, -14),
                ha="right",
            )
        dot(axes, 0, 100, "as the formula stands", above=True)
        axes.set(
            xlabel="Water added, g to 100 g of glaze",
            xlim=(-0.3, 20),
            ylim=(None, 108),
            ylabel="Of what it was, %",
        )
        last = f" and the gelatin in its water to {gel[10]:.0f} %" if gel else ""
        return picture(
            figure,
            f"Lines that fall as water is added to {own.name}. With 10 g of water to 100 g "
            f"the strength of the syrup is down to {sugar[10]:.0f} % of what it was{last}.",
            "Water thins the syrup a little and the gelatin much: a glaze let down too far "
            "runs, sets softly and weeps."
            if gel
            else "Water thins the syrup: a glaze let down too far runs and weeps.",
        )


def _of_first(values: Sequence[float]) -> list[float]:
    return [100 * v / values[0] for v in values] if values[0] else []


# --- the air in a glaze -----------------------------------------------------------------

SIZES = (0.1, 0.2, 0.3, 0.5, 1.0)  # mm


_GONE = q(1, "km").to("cm")


def climbed(size: Quantity, thick: Quantity, rest: Quantity, density: Quantity) -> Quantity:
    """Return how far a bubble has climbed after a rest; one too quick for the law is gone."""
    try:
        return (blending.rise_speed(size, thick, density) * rest).to("cm")
    except FaultsError:
        return _GONE


@page_and_phone
def ladder(
    own: formula.Formula,
    depth: Quantity,
    cool: Quantity,
    hot: Quantity,
    rest: Quantity,
    density: Quantity,
) -> Picture:
    """Draw how far bubbles of five sizes have climbed in the jug after a rest."""
    top = depth.m_as("cm")
    thick = [formula.viscosity(own, t).typical for t in (cool, hot)]
    said = []
    with drawing(height=4.0) as (figure, axes):
        axes.axhspan(0, top, color=WASH, zorder=0)
        for n, size in enumerate(SIZES):
            heights = [climbed(q(size, "mm"), t, rest, density).m for t in thick]
            for x, height, colour in (
                (n - 0.16, heights[0], BERRY),
                (n + 0.16, heights[1], GLAZE),
            ):
                gone = height >= top
                axes.plot([x, x], [0, min(height, top)], color=colour, linewidth=1.4)
                axes.plot(
                    [x],
                    [min(height, top)],
                    "o",
                    color=colour,
                    clip_on=False,
                    markersize=4 + 14 * size,
                    markeredgewidth=1.5,
                    zorder=5,
                    markerfacecolor=PAPER if gone else colour,
                )
            said.append(
                f"{size:g} mm: {_how_far(heights[0], top)} at {say(cool)}, "
                f"{_how_far(heights[1], top)} at {say(hot)}"
            )
        axes.axhline(top, color=QUIET, linewidth=1)
        axes.text(
            -0.42, top * 1.30, f"left: at {say(cool)}, as you pour", color=BERRY, weight="bold"
        )
        axes.text(-0.42, top * 1.19, f"right: at {say(hot)}, hot", color=GLAZE)
        axes.text(-0.42, top * 1.03, "the surface", color=QUIET)
        axes.text(len(SIZES) - 0.58, top * 1.30, "open ring: it has left", color=QUIET, ha="right")
        axes.set_xticks(range(len(SIZES)), [f"{size:g}" for size in SIZES])
        axes.grid(visible=False)
        axes.set(
            xlim=(-0.5, len(SIZES) - 0.5),
            ylim=(0, top * 1.42),
            xlabel="Size of the bubble, mm (drawn larger than it is)",
            ylabel=f"Climbed in {say(rest)}, cm",
        )
        return picture(
            figure,
            f"Bubbles of five sizes in {say(depth, digits=2)} of glaze after {say(rest)}. "
            + "; ".join(said)
            + ".",
            "Half the size is a quarter of the climb. The large bubbles leave by "
            "themselves; the smallest hardly move.",
        )


def _how_far(height: float, top: float) -> str:
    return "gone" if height >= top else f"climbed {say(q(height, 'cm'), digits=2)}"


@page_and_phone
def jugs_and_blade(
    shares: Sequence[tuple[str, Quantity]],
    jug: Quantity,
    blade: Quantity,
    density: Quantity,
) -> Picture:
    """Draw each share in its jug, with the blender's guard standing in it."""
    least = blending.smallest_batch(jug, blade, density=density)
    width, guard, line = jug.m_as("cm"), blade.m_as("cm"), least.depth.m_as("cm")
    depths = [blending.depth_in_jug(mass, jug, density).m for _, mass in shares]
    tall = max([*depths, line]) * 1.12 + 1
    step = width * 1.35
    with drawing(height=3.6) as (figure, axes):
        for n, ((name, mass), depth) in enumerate(zip(shares, depths, strict=True)):
            left, enough = n * step, mass >= least.mass
            axes.fill_between([left, left + width], depth, color=WASH)
            axes.plot([left, left + width], [depth] * 2, color=INK, linewidth=1)
            axes.plot(
                [left, left, left + width, left + width],
                [tall, 0, 0, tall],
                color=QUIET,
                linewidth=1.6,
            )
            axes.fill_between([left + width * 0.28, left + width * 0.72], guard, color=GLAZE)
            axes.plot([left + width / 2] * 2, [guard, tall], color=GLAZE, linewidth=3)
            axes.plot([left, left + width], [line] * 2, ":", color=BERRY, linewidth=1.8)
            words = (
                f"{textwrap.fill(name, 13)}\n{say(mass)}\n{'covered' if enough else 'too little'}"
            )
            axes.text(
                left + width / 2,
                -tall * 0.04,
                words,
                ha="center",
                va="top",
                color=INK if enough else BERRY,
                weight="normal" if enough else "bold",
                linespacing=1.35,
            )
        axes.set(xlim=(-width * 0.15, len(shares) * step), ylim=(-tall * 0.42, tall * 1.02))
        axes.axis("off")
        said = "; ".join(
            f"{name}, {say(mass)}, stands {say(q(depth, 'cm'), digits=2)} deep, "
            f"{'covered' if mass >= least.mass else 'too little'}"
            for (name, mass), depth in zip(shares, depths, strict=True)
        )
        return picture(
            figure,
            f"Jugs {say(jug)} wide with a blender's guard {say(blade)} high in each. "
            f"A dotted line at {say(least.depth)} is the least depth. {said}.",
            f"The dotted line is the least depth: the guard and "
            f"{say(blending.BLADE_COVER)} of glaze over it. Below it the blade draws air.",
        )
