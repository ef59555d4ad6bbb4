"""Pictures of glucose syrup: what is in the tub, and what it does."""

from __future__ import annotations

from typing import Any

from calculators import glucose
from calculators.sources import table
from calculators.units import Quantity, number, q, say
from course.kit.figures import (
    BERRY,
    GLAZE,
    INK,
    LINE,
    PAPER,
    QUIET,
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


@page_and_phone
def tubs(mass: Quantity, own: str) -> Picture:
    """Draw the same mass of three tubs, parted into solids and water."""
    told = []
    apart = either(" ", "\n")
    with drawing(height=2.6, tall=4.0) as (figure, axes):
        for n, name in enumerate(glucose.TUBS):
            solids, water = glucose.split(mass, name)
            mine = name == own
            colour = BERRY if mine else GLAZE
            _bar(axes, n, 0, solids, f"solids{apart}{say(solids)}", colour, PAPER)
            _bar(axes, n, solids.m_as("g"), water, f"water{apart}{say(water)}", LINE, INK)
            told.append(f"{name}: {say(solids)} of solids and {say(water)} of water")
        labels = [f"{name}\n(in stores)" if name == own else name for name in glucose.TUBS]
        _names(axes, labels, own)
        axes.set(xlabel=f"{say(mass)} of each tub, g", xlim=(0, mass.m_as("g")))
        return picture(
            figure,
            f"Three bars of {say(mass)}, each parted in two. {'; '.join(told)}.",
            "The scale shows the same, and the tubs do not hold the same. The pale part is water.",
        )


@page_and_phone
def water_counted(mass: Quantity, water: Quantity) -> Picture:
    """Draw solids and water of a formula: as written, gram for gram, and put right."""
    swap = glucose.swap(mass, "confectioner", "home pack")
    left = max(water - swap.leave_out + swap.add, q(0, "g"))
    ways = [
        ("as written", mass, "confectioner", water),
        ("gram for gram", mass, "home pack", water),
        ("water put right", swap.mass, "home pack", left),
    ]
    told = []
    room = 0.06 * (swap.mass + water).m_as("g")
    with drawing(height=2.9, tall=4.0) as (figure, axes):
        for n, (name, weighed, tub, tap) in enumerate(ways):
            solids, brought = glucose.split(weighed, tub)
            colour = BERRY if n == 1 else GLAZE
            start = 0.0
            for amount, words, fill, ink in (
                (solids, "solids", colour, PAPER),
                (brought, "water", LINE, INK),
                (tap, "tap", WASH, INK),
            ):
                _bar(
                    axes,
                    n,
                    start,
                    amount,
                    f"{words}\n{either(say(amount), number(amount.m_as('g'), places=0))}",
                    fill,
                    ink,
                    room,
                )
                start += amount.m_as("g")
            told.append(f"{name}: {say(solids)} of solids, {say(brought + tap)} of water in all")
        _names(axes, [name for name, *_ in ways], "gram for gram")
        axes.set(xlabel="Glucose syrup and water of the formula, g")
        return picture(
            figure,
            f"Three bars parted into solids, the syrup's water and water from the tap. "
            f"{'; '.join(told)}.",
            "The first and the last bar hold the same solids and the same water. The middle "
            "one holds fewer solids and more water."
            if water >= swap.leave_out
            else "The packs bring more water than the whole formula holds. Boil them down "
            "first, or buy the right tub.",
        )


@page_and_phone
def sweetness(own: str) -> Picture:
    """Draw how sweet the solids are against their dextrose equivalent, as a band."""
    degrees = [float(d) for d in range(20, 101)]
    bands = [glucose.sweetness(glucose.Syrup(q(d, "percent"), q(80, "percent"))) for d in degrees]
    middle = [b.typical.m for b in bands]
    here = glucose.TUBS[own]
    mine = glucose.sweetness(here)
    place = here.dextrose_equivalent.m
    with drawing(height=3.4, tall=4.4) as (figure, axes):
        axes.fill_between(degrees, [b.low.m for b in bands], [b.high.m for b in bands], color=LINE)
        curve(axes, degrees, middle, "")
        axes.axhline(100, color=QUIET, linewidth=0.8, linestyle=":")
        axes.annotate("sugar", (20, 100), xytext=(4, -11), textcoords="offset points", color=QUIET)
        floor = either(0, -26)
        axes.annotate(
            either(
                "long chains: thick,\nless sweet, dries less sticky",
                "long chains:\nthick, less sweet,\ndries less sticky",
            ),
            (20, floor + 2),
            color=INK,
            xytext=(4, 6),
            textcoords="offset points",
        )
        axes.annotate(
            either(
                "short pieces: thin, sweeter,\nsticky, browns sooner",
                "short pieces:\nthin, sweeter, sticky,\nbrowns sooner",
            ),
            (100, floor + 2),
            color=INK,
            xytext=(-2, 6),
            textcoords="offset points",
            ha="right",
        )
        dot(axes, place, mine.typical.m, f"in stores: {place:.0f} DE", right=False)
        axes.set(
            xlabel="Dextrose equivalent of the syrup, DE",
            ylabel="Sweetness of its solids, % of sugar",
            xlim=(20, 100),
            ylim=(floor, 110),
            yticks=range(0, 101, 25),
        )
        return picture(
            figure,
            f"A rising band, from {bands[0].low.m:.0f} to {bands[0].high.m:.0f} % of sugar at "
            f"20 DE up to {bands[-1].low.m:.0f} to {bands[-1].high.m:.0f} % at 100 DE. A point "
            f"marks the tub in stores, {place:.0f} DE and about {mine.typical.m:.0f} %.",
            "The finer the starch is cut, the sweeter the syrup. It stays less sweet than "
            "sugar all the way.",
        )


@page_and_phone
def graining(sugar: Quantity, mass: Quantity, own: str) -> Picture:
    """Draw the share of glucose solids with each tub, on the bands of risk."""
    rows = table("glucose_bench")
    likely, stops = (
        rows["graining likely"].quantity.m,
        rows["graining stops"].quantity.m,
    )
    risks = {name: glucose.graining_risk(sugar, mass, name) for name in glucose.TUBS}
    top = max(50.0, 10 + max(risk.share.m for risk in risks.values()))
    told = []
    with drawing(height=2.6, tall=4.0) as (figure, axes):
        zones = (
            (0.0, likely, "sand is likely"),
            (likely, stops, "slowed"),
            (stops, top, "held back"),
        )
        for n, (start, end, words) in enumerate(zones):
            ground = (LINE, WASH, "none")[n]
            axes.axvspan(start, end, facecolor=ground, alpha=0.75, linewidth=0, zorder=0)
            axes.annotate(
                either(words, words.replace(" is", " is\n").replace("\n ", "\n")),
                ((start + end) / 2, 2.75),
                ha="center",
                va="center",
                color=INK,
            )
        for n, (name, risk) in enumerate(risks.items()):
            colour = BERRY if name == own else GLAZE
            axes.plot([risk.share.m], [n], "o", color=colour, markersize=8)
            axes.annotate(
                f"{risk.share.m:.0f} %",
                (risk.share.m, n),
                xytext=(9, 0),
                textcoords="offset points",
                va="center",
                color=colour,
            )
            told.append(f"{name} {risk.share.m:.0f} %, {risk.risk} risk")
        labels = [f"{name}\n(in stores)" if name == own else name for name in risks]
        _names(axes, labels, own)
        axes.set(
            xlabel="Glucose solids in all sugar, %", xlim=(0, top), ylim=(3.2, either(-0.6, -0.9))
        )
        return picture(
            figure,
            f"Three points on bands of risk: {'; '.join(told)}. Below {likely:.0f} % sand is "
            f"likely, from about {stops:.0f} % it is held back.",
            "The same mass from a wetter tub guards the sugar less. The limits are guide "
            "values and no walls.",
        )


# --- helpers --------------------------------------------------------------------


def _bar(
    axes: Any,
    row: int,
    start: float,
    amount: Quantity,
    words: str,
    fill: str,
    ink: str,
    room: float = 0.0,
) -> None:
    wide = amount.m_as("g")
    if wide <= 0:
        return
    axes.barh(row, wide, left=start, height=0.62, color=fill, ec=QUIET, linewidth=0.5)
    if wide < room:
        return
    axes.annotate(
        words,
        (start + wide / 2, row),
        ha="center",
        va="center",
        color=ink,
        fontsize=either(9, None),
    )


def _names(axes: Any, labels: list[str], own: str) -> None:
    axes.invert_yaxis()
    axes.grid(visible=False)
    mine = [label for label in labels if label.startswith(own)]
    name_rows(axes, dict(enumerate(labels)), mine)
