"""Pictures of gelatin: how it is graded, how it is swapped, and what weakens it."""

from __future__ import annotations

from typing import Any

from calculators import gelatin
from calculators.units import Quantity, number, q, say
from course.kit.figures import (
    BERRY,
    GLAZE,
    INK,
    LINE,
    QUIET,
    THIRD,
    WASH,
    band,
    curve,
    dot,
    drawing,
    either,
    label,
    name_rows,
    page_and_phone,
    picture,
)
from course.kit.results import Picture

HALF_AN_HOUR = q(30, "min")
SOUR, NEUTRAL = q(3.0), q(6.5)


@page_and_phone
def bloom_test() -> Picture:
    """Draw the jar, the plunger and the four numbers of the bloom test."""
    test = gelatin.BLOOM_TEST
    plunger, depth = test["plunger"].quantity, test["penetration"].quantity
    grams, water = test["gelatin"].quantity, test["water"].quantity
    cold, rest = test["temperature"].quantity, test["maturing"].quantity
    wide, gel, deep = 5.9, 5.5, depth.m_as("cm") * 1.0
    half = plunger.m_as("cm") / 2
    with drawing(height=3.6, tall=3.9) as (figure, axes):
        axes.set_axis_off()
        axes.set(xlim=either((-4.6, 12.4), (-3.2, 9.6)), ylim=(-0.6, 9.2), aspect="equal")
        left, right = -wide / 2, wide / 2
        surface = [
            (left, gel),
            (-half, gel),
            (-half, gel - deep),
            (half, gel - deep),
            (half, gel),
            (right, gel),
        ]
        axes.fill(
            [left, *(x for x, _ in surface), right], [0, *(y for _, y in surface), 0], color=WASH
        )
        axes.plot([left, left, right, right], [7.2, 0, 0, 7.2], color=QUIET)
        axes.plot([x for x, _ in surface], [y for _, y in surface], color=GLAZE)
        axes.fill(
            [-half, half, half, -half], [gel - deep, gel - deep, 7.8, 7.8], color=LINE, ec=QUIET
        )
        axes.annotate(
            "",
            (0, 7.8),
            xytext=(0, 9.1),
            arrowprops={"arrowstyle": "-|>", "color": BERRY, "linewidth": 2},
        )
        _note(
            axes,
            (0.25, 8.6),
            either(
                "the force, in grams, is the bloom",
                "the force, in grams,\nis the bloom",
            ),
            BERRY,
            3.5,
        )
        _note(axes, (half, 7.0), f"a flat plunger, {say(plunger)} wide", INK, 3.5)
        _note(axes, (half, gel - deep), f"goes in {say(depth)}", INK, 3.5)
        _note(
            axes,
            (1.5, 3.2),
            f"{say(grams)} of gelatin{either(' ', chr(10))}in {say(water)} of water",
            INK,
            3.5,
        )
        _note(axes, (1.5, 1.4), f"{say(rest)} at {say(cold)}", INK, 3.5)
        return picture(
            figure,
            f"A jar of gel in section: {say(grams)} of gelatin in {say(water)} of water, "
            f"kept {say(rest)} at {say(cold)}. A flat plunger {say(plunger)} wide is pushed "
            f"{say(depth)} into it, and an arrow above it stands for the force.",
            "One recipe, one temperature, one plunger. Only the gelatin differs, so the "
            "force tells how strong it is.",
        )


@page_and_phone
def leaf_masses(held: str) -> Picture:
    """Draw the mass of a leaf against its bloom, with the curve of mass times bloom."""
    silver = gelatin.GRADES["silver"]
    product = silver.leaf_mass.typical.m * silver.bloom.typical.m
    blooms = [float(b) for b in range(90, 281, 5)]
    told = []
    with drawing() as (figure, axes):
        curve(
            axes,
            blooms,
            [product / b for b in blooms],
            f"mass × bloom = {number(product)} g",
            at=2,
            offset=(10, 4),
        )
        for grade in gelatin.GRADES.values():
            mine = grade.name == held
            x, y = grade.bloom.typical.m, grade.leaf_mass.typical.m
            colour = BERRY if mine else INK
            _cross(axes, grade, colour)
            words = f"{grade.name}{', in stores' if mine else ''}"
            if mine:
                dot(axes, x, y, words)
            else:
                axes.plot([x], [y], "o", color=colour, markersize=5)
                label(axes, (x, y), words, offset=(8, 6), color=colour)
            told.append(f"{grade.name} {say(q(y, 'g'))} at {say(q(x, 'bloom'))}")
        axes.set(
            xlabel="Strength, bloom",
            ylabel="Mass of one leaf, g",
            xlim=(90, 285),
            ylim=(1, 6),
        )
        return picture(
            figure,
            f"Five points with bars for their spread: {'; '.join(told)}. Silver, gold and "
            "platinum lie near a falling curve of constant mass times bloom; bronze and "
            "titanium lie above it.",
            "The stronger the gelatin, the lighter its leaf. So one leaf replaces one leaf, "
            "best between silver, gold and platinum.",
        )


@page_and_phone
def two_rules(mass: Quantity, wanted: Quantity, held: Quantity) -> Picture:
    """Draw what to weigh by each rule against the bloom in stores."""
    blooms = [float(b) for b in range(100, 281, 5)]
    by = {
        rule: [gelatin.swap(mass, wanted, q(b, "bloom"), rule).m for b in blooms]
        for rule in gelatin.RULES
    }
    here = {rule: gelatin.swap(mass, wanted, held, rule) for rule in gelatin.RULES}
    root, leaf = here[gelatin.SQUARE_ROOT], here[gelatin.LEAF_FOR_LEAF]
    low, high = sorted((root.m, leaf.m))
    with drawing() as (figure, axes):
        axes.plot(blooms, by[gelatin.LEAF_FOR_LEAF], color=THIRD)
        axes.plot(blooms, by[gelatin.SQUARE_ROOT], color=GLAZE)
        axes.plot([held.m] * 2, [low, high], ":", color=BERRY)
        for rule, amount in here.items():
            upper = amount.m == high
            dot(
                axes,
                held.m,
                amount.m,
                f"{say(amount)},{either(' ', chr(10))}{rule}",
                above=upper,
                right=upper,
            )
        axes.plot([wanted.m], [mass.m], "s", color=INK, markersize=6, zorder=4)
        label(
            axes,
            (wanted.m, mass.m),
            offset=(8, 10),
            words=f"the formula:{either(' ', chr(10))}{say(mass)} of {say(wanted)}",
        )
        axes.set(
            xlabel="Strength of the gelatin in stores, bloom",
            ylabel="What to weigh, g",
            xlim=(95, 345 if max(held.m, either(0, wanted.m)) > 190 else 285),
        )
        return picture(
            figure,
            f"Two falling curves that cross where the formula stands, at {say(wanted)} and "
            f"{say(mass)}. Leaf for leaf is the steeper one. At {say(held)}, in stores here, "
            f"it gives {say(leaf)}, the square root {say(root)}.",
            "Both rules agree where nothing is swapped. The further the two gelatins are "
            "apart, the more it matters which rule you name.",
        )


@page_and_phone
def ladder(base: Quantity, low: Quantity, high: Quantity) -> Picture:
    """Draw where gelatin sets, melts, dissolves and weakens, and this kitchen's window."""
    gel = {"concentration": q(3, "percent"), "bloom": q(200, "bloom")}
    sets, melts = gelatin.setting_point(**gel), gelatin.melting_point(**gel)
    verdict = gelatin.good_for_gelatin(base)
    begins = gelatin.BENCH["begins to lose"]
    good = (verdict.lowest.m, verdict.highest.m)
    steps = [
        ("3 % in water sets", sets.low.m, sets.high.m, GLAZE),
        ("the same gel melts", melts.low.m, melts.high.m, GLAZE),
        ("your pouring window", low.m_as("degC"), high.m_as("degC"), BERRY),
        ("stir the gelatin in", *good, GLAZE),
        (
            "begins to lose strength",
            begins.low or good[1],
            begins.high or good[1],
            THIRD,
        ),
    ]
    with drawing(height=3.4, tall=4.4) as (figure, axes):
        for n, (words, start, end, colour) in enumerate(steps):
            axes.barh(n, end - start, left=start, height=0.5, color=colour)
            reach = f"{words}, {number(start, places=0)} to {number(end, places=0)} °C"
            right = end < 60
            beside, over = (end if right else start, n), (0, n + 0.27)
            axes.annotate(
                reach,
                either(beside, over),
                color=colour,
                xytext=either((6 if right else -6, 0), (0, 3)),
                textcoords="offset points",
                va=either("center", "bottom"),
                ha=either("left" if right else "right", "left"),
            )
        place = base.m_as("degC")
        axes.axvline(place, color=BERRY, linestyle=":")
        axes.annotate(
            f"the base, {say(base)}",
            (place, 1),
            xycoords=("data", "axes fraction"),
            xytext=(0, 3),
            textcoords="offset points",
            color=BERRY,
            ha="right" if place > 80 else "center",
            va="bottom",
            weight="bold",
        )
        axes.set(
            xlabel="Temperature, °C", xlim=(0, 110), ylim=(-0.6, len(steps) - either(0.4, 0.2))
        )
        axes.set_yticks([])
        axes.spines["left"].set_visible(False)
        told = "; ".join(f"{w}, {a:.0f} to {b:.0f} °C" for w, a, b, _ in steps)
        return picture(
            figure,
            f"Bars on a scale of temperature from 0 to 110 °C: {told}. A line marks the "
            f"base at {say(base)}.",
            "Each step is a band and not a point. The base stands where it stands: see how "
            "far it is from the bar in which gelatin goes in.",
        )


@page_and_phone
def half_an_hour(base: Quantity) -> Picture:
    """Draw what half an hour of heat leaves of the strength, neutral and sour."""
    heats = sorted({60.0, 80.0, float(base.m_as("degC"))})
    kinds = ((NEUTRAL, "milk", GLAZE), (SOUR, "sour fruit", THIRD))
    told = []
    with drawing(height=3.4, tall=4.6) as (figure, axes):
        axes.invert_yaxis()
        labels = []
        for n, (celsius, (acid, word, colour)) in enumerate(
            (t, kind) for t in heats for kind in kinds
        ):
            left = gelatin.strength_left(q(celsius, "degC"), HALF_AN_HOUR, acid)
            low, typical, high = (x.m for x in (left.low, left.typical, left.high))
            mine = celsius == base.m_as("degC")
            colour = BERRY if mine else colour
            axes.plot([low, high], [n, n], color=colour, linewidth=7, alpha=0.45)
            axes.plot([typical], [n], "o", color=colour, markersize=7)
            labels.append(f"{celsius:.0f} °C, {word} (pH {number(acid.m)})")
            told.append(f"{labels[-1]}: {low:.0f} to {high:.0f} %")
        mine = [one for one in labels if one.startswith(f"{base.m_as('degC'):.0f} ")]
        name_rows(axes, dict(enumerate(labels)), mine, half=0.12)
        axes.set(xlabel="What is left of the strength after half an hour, %", xlim=(0, 101))
        return picture(
            figure,
            f"Bands of what is left after half an hour. {'; '.join(told)}.",
            "Heat alone takes a part in half an hour. Heat and acid together can take most "
            "of it. Wide bands mean that nobody knows it better.",
        )


@page_and_phone
def half_life() -> Picture:
    """Draw how fast the enzyme of fresh pineapple is spoilt by heat."""
    degrees = [float(t) for t in range(50, 76)]
    lives = [gelatin.enzyme_half_life("pineapple", q(t, "degC")) for t in degrees]
    minutes = [life.typical.m_as("min") for life in lives]
    with drawing() as (figure, axes):
        axes.fill_between(
            degrees,
            [x.low.m_as("min") for x in lives],
            [x.high.m_as("min") for x in lives],
            color=LINE,
        )
        curve(axes, degrees, minutes, "")
        band(axes, 55, 67, "measured here", vertical=True)
        axes.set_yscale("log")
        axes.set_yticks([1 / 60, 1, 60], ["1 s", "1 min", "1 h"])
        axes.minorticks_off()
        for celsius in (60.0, 70.0):
            life = minutes[degrees.index(celsius)]
            axes.plot([celsius], [life], "o", color=GLAZE)
            label(axes, (celsius, life), f"{celsius:.0f} °C: {_short(life)}", color=GLAZE)
        axes.set(
            xlabel="Temperature of the juice, °C", ylabel="Time until half is left", xlim=(50, 75)
        )
        return picture(
            figure,
            f"A steeply falling band on a scale of minutes: {_short(minutes[5])} at 55 °C, "
            f"{_short(minutes[10])} at 60 °C, {_short(minutes[20])} at 70 °C. It was "
            "measured from 55 to 67 °C and is drawn on beyond.",
            "A few degrees change everything. Warm juice keeps its enzyme for a long time; "
            "beyond 67 °C the curve is carried on and not measured.",
        )


# --- helpers --------------------------------------------------------------------


def _short(minutes: float) -> str:
    if minutes >= 1.5:
        return say(q(minutes, "min"), digits=2)
    return say(q(minutes * 60, "s"), digits=2)


def _note(axes: Any, at: tuple[float, float], words: str, colour: str, x: float) -> None:
    axes.annotate(
        words,
        at,
        xytext=(x, at[1]),
        color=colour,
        va="center",
        arrowprops={"arrowstyle": "-", "color": QUIET, "linewidth": 0.7},
    )


def _cross(axes: Any, grade: gelatin.Grade, colour: str) -> None:
    """Draw the spread of a grade in both directions."""
    bloom, mass = grade.bloom, grade.leaf_mass
    axes.plot([bloom.low.m, bloom.high.m], [mass.typical.m] * 2, color=colour, linewidth=1)
    axes.plot([bloom.typical.m] * 2, [mass.low.m, mass.high.m], color=colour, linewidth=1)
