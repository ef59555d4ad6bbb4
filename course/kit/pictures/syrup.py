"""Pictures of syrups: how strength is read, and what boiling does."""

from __future__ import annotations

from calculators import syrup, water
from calculators.units import Quantity, number, q, say
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
    page_and_phone,
    picture,
)
from course.kit.results import Picture


@page_and_phone
def strength_and_density(brix: Quantity, temperature: Quantity) -> Picture:
    """Draw density against Brix, with the reader's own syrup on the line."""
    strengths = [float(b) for b in range(0, 81, 2)]
    weights = [syrup.density(q(b, "percent"), temperature).m_as("g/l") for b in strengths]
    mine = syrup.density(brix, temperature).m_as("g/l")
    with drawing() as (figure, axes):
        curve(axes, strengths, weights, "")
        dot(
            axes,
            brix.m_as("percent"),
            mine,
            f"{say(brix)}: {say(q(mine, 'g'), digits=4)}",
            right=False,
        )
        axes.set(
            xlabel="Strength, °Bx", ylabel=f"Mass of a litre at {say(temperature)}, g", xlim=(0, 80)
        )
        return picture(
            figure,
            f"A curve that rises from {say(q(weights[0], 'g'), digits=4)} a litre for water to "
            f"{say(q(weights[-1], 'g'), digits=4)} at 80 °Bx, a little steeper as it goes. "
            f"A point marks {say(brix)} at {say(q(mine, 'g'), digits=4)}.",
            "The stronger the syrup, the heavier the litre. Weigh a litre and read the strength.",
        )


@page_and_phone
def strength_and_heat(brix: Quantity, room: Quantity) -> Picture:
    """Draw how one syrup's density falls as it warms: why a gauge needs a temperature."""
    degrees = [float(t) for t in range(0, 81, 5)]
    weights = [syrup.density(brix, q(t, "degC")).m_as("g/l") for t in degrees]
    here = syrup.density(brix, room).m_as("g/l")
    with drawing(height=3.2) as (figure, axes):
        curve(axes, degrees, weights, "")
        dot(axes, room.m_as("degC"), here, f"this room, {say(room)}")
        axes.axvline(20, color=QUIET, linewidth=0.8, linestyle=":")
        axes.set(
            xlabel="Temperature of the syrup, °C",
            ylabel=f"Mass of a litre, g ({say(brix)})",
        )
        return picture(
            figure,
            f"A line that falls from {say(q(weights[0], 'g'), digits=4)} a litre at 0 °C to "
            f"{say(q(weights[-1], 'g'), digits=4)} at 80 °C for a syrup of {say(brix)}. "
            f"A point marks this room at {say(q(here, 'g'), digits=4)}.",
            "The same syrup weighs less when it is warm. A gauge read warm says too little.",
        )


# --- what does boiling take out? -----------------------------------------------------


@page_and_phone
def before_and_after(sugar: Quantity, poured: Quantity, lost: Quantity) -> Picture:
    """Draw the pan as two bars: the sugar stays, the water gets less."""
    grams = [m.m_as("g") for m in (sugar, poured, poured - lost, lost)]
    s, before, after, gone = grams
    start = say(syrup.brix(sugar, poured))
    end = say(syrup.brix(sugar, poured - lost))
    apart = either(" ", "\n")
    with drawing(height=2.5, tall=3.2) as (figure, axes):
        for y, water in ((1, before), (0, after)):
            axes.barh(y, s, color=GLAZE, height=0.56)
            axes.barh(y, water, left=s, color=WASH, edgecolor=GLAZE, height=0.56)
            axes.annotate(
                f"sugar{apart}{say(q(s, 'g'))}",
                (s / 2, y),
                color=PAPER,
                ha="center",
                va="center",
                weight="bold",
            )
            axes.annotate(
                f"water{apart}{say(q(water, 'g'))}", (s + water / 2, y), ha="center", va="center"
            )
        axes.barh(
            0, gone, left=s + after, color="none", edgecolor=BERRY, linestyle="--", height=0.56
        )
        axes.annotate(
            f"steam{apart}{say(q(gone, 'g'))}",
            (s + after + gone / 2, 0),
            ha="center",
            va="center",
            color=BERRY,
            weight="bold",
        )
        axes.set(
            xlabel="Mass in the pan, g",
            yticks=[1, 0],
            xlim=(0, (s + before) * 1.01),
            yticklabels=[f"before\n{start}", f"after\n{end}"],
        )
        axes.grid(visible=False)
        return picture(
            figure,
            f"Two bars. Before: {say(q(s, 'g'))} of sugar and {say(q(before, 'g'))} of "
            f"water, {start}. After: the same {say(q(s, 'g'))} of sugar and "
            f"{say(q(after, 'g'))} of water, {end}; {say(q(gone, 'g'))} went as steam.",
            "The sugar's part does not move. Only the water's part gets shorter.",
        )


@page_and_phone
def boiling_curve(brix: Quantity, altitude: Quantity) -> Picture:
    """Draw where syrups boil in this kitchen, and at the sea where that differs."""
    strengths = [*map(float, range(0, 80, 4)), *map(float, range(80, 96))]
    sea = q(0, "m")
    here = [syrup.boiling_point(q(b, "percent"), altitude).m for b in strengths]
    there = [syrup.boiling_point(q(b, "percent"), sea).m for b in strengths]
    mine = syrup.boiling_point(brix, altitude)
    apart = abs(there[0] - here[0]) >= 0.5
    with drawing() as (figure, axes):
        if apart:
            curve(
                axes,
                strengths,
                there,
                "at the sea",
                colour=QUIET,
                style="--",
                at=8,
                offset=(0, 13 if there[0] > here[0] else -13),
            )
        curve(axes, strengths, here, "")
        dot(
            axes,
            brix.m_as("percent"),
            mine.m_as("degC"),
            f"{say(brix)} boils{either(' ', chr(10))}at {say(mine)}",
            above=False,
        )
        axes.set(
            xlabel="Strength, °Bx",
            ylabel="Boils at, °C",
            xlim=(0, 110),
            xticks=range(0, 101, 20),
        )
        beside = (
            f" A dashed curve for the sea runs from {say(q(there[0], 'degC'))} to "
            f"{say(q(there[-1], 'degC'))}."
            if apart
            else ""
        )
        return picture(
            figure,
            f"A curve for {say(altitude)}: water boils at {say(q(here[0], 'degC'))}, "
            f"a syrup of {say(brix)} at {say(mine)}, one of 95 °Bx at "
            f"{say(q(here[-1], 'degC'))}. It is nearly flat to 60 °Bx, then climbs "
            f"ever more steeply.{beside}",
            "A weak syrup hides its strength from the thermometer; a strong one shows it.",
        )


@page_and_phone
def stage_ladder(altitude: Quantity) -> Picture:
    """Draw the stages of boiled sugar at the sea and in this kitchen, one above the other."""
    sea, here = syrup.stages(), syrup.stages(altitude)
    drop = sea[1].low.m - here[1].low.m
    apart = abs(drop) >= 0.5
    with drawing(height=4.0) as (figure, axes):
        for y, (old, new) in enumerate(zip(sea, here, strict=True)):
            if apart:
                axes.barh(
                    y + 0.2,
                    old.high.m - old.low.m,
                    left=old.low.m,
                    color=QUIET,
                    alpha=0.45,
                    height=0.26,
                )
            axes.barh(y - 0.14, new.high.m - new.low.m, left=new.low.m, color=BERRY, height=0.36)
            axes.annotate(
                f"{number(new.low.m)} to {number(new.high.m)}",
                (new.high.m, y - 0.14),
                xytext=(5, 0),
                textcoords="offset points",
                color=BERRY,
                weight="bold",
                va="center",
            )
        if apart:
            top = sea[-1]
            axes.annotate(
                "at the sea",
                (top.high.m, len(sea) - 0.8),
                color=QUIET,
                xytext=(5, 0),
                textcoords="offset points",
                va="center",
            )
        right = max(sea[-1].high.m, here[-1].high.m)
        axes.set(
            yticks=range(len(sea)),
            yticklabels=[stage.name for stage in sea],
            xlabel="On the thermometer, °C",
            xlim=(here[0].low.m - 5, right + either(14, 24)),
        )
        axes.grid(visible=False, axis="y")
        rungs = "; ".join(f"{new.name} {say(new.low)} to {say(new.high)}" for new in here)
        move = (
            f" Each lies about {say(q(abs(drop), 'delta_degC'), digits=2)} "
            f"{'below' if drop > 0 else 'above'} that of the sea."
            if apart
            else ""
        )
        return picture(
            figure,
            f"A ladder of stages at {say(altitude)}: {rungs}.{move}",
            "The same syrup, the same stage, another number on the thermometer."
            if apart
            else "So near the sea the stages are those of the books.",
        )


@page_and_phone
def two_boiling_tables(brix: Quantity) -> Picture:
    """Draw how far above water syrups boil: the modern curve and the old table."""
    strengths = [*map(float, range(0, 91, 2))]
    plain = syrup.boiling_point(q(0, "percent")).m

    def above(b: float, following: str) -> float:
        return float(syrup.boiling_point(q(b, "percent"), following=following).m - plain)

    modern = [above(b, syrup.MODERN) for b in strengths]
    old = [above(b, syrup.BROWNE) for b in strengths]
    b = brix.m_as("percent")
    mine, theirs = above(b, syrup.MODERN), above(b, syrup.BROWNE)
    with drawing() as (figure, axes):
        curve(
            axes,
            strengths,
            old,
            "the old table, 1912",
            colour=THIRD,
            style="--",
            at=-3,
            offset=(-8, 4),
            ha="right",
        )
        curve(axes, strengths, modern, "measured since", at=either(-2, -4), offset=(8, -6))
        axes.plot([b, b], [mine, theirs], color=BERRY, linewidth=1.2)
        dot(
            axes,
            b,
            mine,
            f"{say(brix)}: {number(mine, 2)} °C,{either(' ', chr(10))}not {number(theirs, 2)} °C",
            right=False,
        )
        axes.set(
            xlabel="Strength, °Bx",
            ylabel="Boils above water by, °C",
            xlim=(0, either(118, 128)),
            xticks=range(0, 101, 20),
        )
        return picture(
            figure,
            f"Two curves from zero. At {say(brix)} the newer one stands at "
            f"{number(mine, 2)} °C above water and the table of 1912 at {number(theirs, 2)} °C; "
            f"at 90 °Bx at {number(modern[-1], 3)} and {number(old[-1], 3)} °C.",
            "Up to 60 °Bx the two nearly meet. In strong syrups the old table stands about a "
            "quarter too high.",
        )


@page_and_phone
def time_on_the_hob(
    lost: Quantity, power: Quantity, altitude: Quantity, low: Quantity, high: Quantity
) -> Picture:
    """Draw how long a hob needs to drive water off, as a band of what reaches the pan."""
    most = max(500.0, 1.5 * lost.m_as("g"))
    grams = [most * n / 20 for n in range(21)]

    def minutes(g: float, share: Quantity) -> float:
        return float(water.time_to_boil_off(q(g, "g"), power * share, altitude).m)

    quick = [minutes(g, high) for g in grams]
    slow = [minutes(g, low) for g in grams]
    mine = lost.m_as("g")
    best, worst = minutes(mine, high), minutes(mine, low)
    with drawing(height=3.4) as (figure, axes):
        axes.fill_between(grams, quick, slow, color=WASH, zorder=0)
        curve(
            axes,
            grams,
            slow,
            f"{say(low)} reaches the pan",
            at=-6,
            offset=(-8, 6),
            ha="right",
        )
        curve(axes, grams, quick, f"{say(high)}", at=-3, offset=(0, -12))
        axes.plot([mine, mine], [best, worst], color=BERRY, linewidth=2.5)
        dot(
            axes,
            mine,
            best,
            f"{say(lost)}: {number(best, 2)} to {number(worst, 2)} min",
            above=False,
        )
        axes.set(
            xlabel="Water driven off, g",
            ylabel=f"Minutes on a hob of {say(power)}",
            xlim=(0, most),
            ylim=(0, None),
        )
        return picture(
            figure,
            f"Two straight lines from zero for a hob of {say(power)}. To drive off "
            f"{say(lost)} takes {number(best, 2)} minutes where {say(high)} of the power "
            f"reaches the pan and {number(worst, 2)} where {say(low)} does.",
            "Twice the water takes twice the time. What the hob wastes, you wait for.",
        )


# --- when do crystals come? --------------------------------------------------------------


@page_and_phone
def sugar_water_holds(fridge: Quantity) -> Picture:
    """Draw how much sugar 100 g of water can keep, from cold to hot."""
    degrees = [float(t) for t in range(0, 101, 4)]
    held = [_held(q(t, "degC")) for t in degrees]
    mine = _held(fridge)
    with drawing(height=3.4) as (figure, axes):
        curve(axes, degrees, held, "")
        dot(
            axes,
            fridge.m_as("degC"),
            mine,
            f"your fridge, {say(fridge)}: {number(mine)} g",
            above=False,
        )
        axes.annotate(
            "more than it can keep",
            (either(30, 24), held[either(12, 14)]),
            color=QUIET,
            ha="center",
        )
        axes.annotate("room for more sugar", (78, held[6]), color=QUIET, ha="center")
        axes.set(
            xlabel="Temperature, °C",
            ylabel="Sugar in 100 g of water, g",
            xlim=(-1, 101),
            ylim=(130, 500),
        )
        return picture(
            figure,
            f"A curve that rises from {number(held[0])} g at 0 °C to {number(held[-1])} g at "
            f"100 °C, steeper as it goes. A point marks {number(mine)} g at {say(fridge)}.",
            "Hot water keeps more than twice as much sugar as cold. Below the line all is clear.",
        )


def _held(temperature: Quantity) -> float:
    """Return the grams of sugar that 100 g of water can keep."""
    return float(syrup.sugar_per_water(syrup.solubility(temperature)).m_as("g/kg") / 10)


@page_and_phone
def state_diagram(start: Quantity, end: Quantity, fridge: Quantity, altitude: Quantity) -> Picture:
    """Draw the map of sugar and water, with the path of a pan boiled and chilled."""
    cold = [(float(b), syrup.freezing_point(q(b, "percent")).m) for b in range(0, 63, 2)]
    full = [(syrup.solubility(q(t, "degC")).m, float(t)) for t in range(0, 101, 4)]
    hot = [(float(b), syrup.boiling_point(q(b, "percent"), altitude).m) for b in range(0, 91, 2)]
    boils, done = (syrup.boiling_point(b, altitude).m for b in (start, end))
    b0, b1, room, t1 = start.m, end.m, 20.0, fridge.m
    crossing = syrup.full_at(end).m
    with drawing(height=4.6) as (figure, axes):
        axes.fill_betweenx([t for _, t in full], [b for b, _ in full], 100, color=WASH, zorder=0)
        curve(axes, *_columns(cold), "", colour=THIRD)
        curve(axes, *_columns(full), "")
        curve(axes, *_columns(hot), "", colour=FOURTH)
        (last_b, last_t), (first_b, first_t) = cold[-1], full[0]
        axes.plot([last_b, first_b], [last_t, first_t], ":", color=GLAZE)
        on_boil = [b0 + (b1 - b0) * n / 12 for n in range(13)]
        path = [
            (b0, room),
            *((b, syrup.boiling_point(q(b, "percent"), altitude).m) for b in on_boil),
            (b1, t1),
        ]
        axes.plot(*_columns(path), color=BERRY, linewidth=2.5, zorder=4)
        for words, x, y, colour in (
            ("steam leaves", 22, hot[11][1] + 6, FOURTH),
            ("clear syrup", 28, 48.0, INK),
            ("ice and syrup", 22, -13.0, THIRD),
            (
                either(
                    "more sugar\nthan the water\ncan keep",
                    "more\nsugar\nthan the\nwater\ncan keep",
                ),
                either(88, 88.5),
                either(32.0, 31.0),
                INK,
            ),
        ):
            axes.annotate(words, (x, y), color=colour, ha="center", va="center")
        for name, x, y in (
            ("1", b0, (room + boils) / 2),
            ("2", (b0 + b1) / 2, boils + 1),
            ("3", b1, (done + crossing) / 2),
        ):
            axes.annotate(
                name,
                (x, y),
                xytext=(-6, 5),
                textcoords="offset points",
                color=BERRY,
                weight="bold",
                ha="right",
            )
        axes.plot([b1], [crossing], "o", color=BERRY, markersize=8, zorder=5)
        axes.annotate(
            f"full at {say(q(crossing, 'degC'), digits=2)}",
            (b1, crossing),
            xytext=(9, -4),
            textcoords="offset points",
            color=BERRY,
            weight="bold",
        )
        axes.plot([b1], [t1], "s", color=BERRY, markersize=7, zorder=5)
        axes.annotate(
            "4 fridge",
            (b1, t1),
            xytext=(9, -4),
            textcoords="offset points",
            color=BERRY,
            weight="bold",
        )
        axes.set(
            xlabel="Strength, °Bx",
            ylabel="Temperature, °C",
            xlim=(0, 100),
            ylim=(-20, 125),
        )
        return picture(
            figure,
            f"A map of strength against temperature. On top the boiling curve for "
            f"{say(altitude)}, below left the curve where ice begins, to the right the curve "
            f"of the full syrup; beyond it a shaded field. A path climbs at {say(start)} from "
            f"{say(q(room, 'degC'))} to {say(q(boils, 'degC'))}, follows the boiling curve to "
            f"{say(end)} at {say(q(done, 'degC'))}, falls straight down, meets the full curve "
            f"at {say(q(crossing, 'degC'), digits=2)} and ends at {say(fridge)} inside the "
            f"shaded field.",
            "1 heat, 2 boil, 3 cool, 4 fridge. Where the path enters the shaded field, "
            "crystals can come. The dotted piece is a straight line of ours.",
        )


def _columns(points: list[tuple[float, float]]) -> tuple[list[float], list[float]]:
    """Return the first and the second numbers of pairs as two lists."""
    return [x for x, _ in points], [y for _, y in points]


@page_and_phone
def glucose_guard(share: Quantity, likely: Quantity, stops: Quantity) -> Picture:
    """Draw how much of the sugar is glucose solids, on a scale from graining to safe."""
    mine = share.m_as("percent")
    low, high = likely.m_as("percent"), stops.m_as("percent")
    right = max(45.0, mine + 8)
    with drawing(height=2.2) as (figure, axes):
        for start, end, words, colour in (
            (0, low, "grains", THIRD),
            (low, high, "slower", QUIET),
            (high, right, "guarded", GLAZE),
        ):
            axes.barh(
                0, end - start, left=start, color=colour, alpha=0.25, height=0.5, edgecolor=colour
            )
            axes.annotate(words, ((start + end) / 2, -0.3), color=INK, ha="center", va="top")
        axes.plot([mine, mine], [-0.25, 0.36], color=BERRY, linewidth=3)
        axes.annotate(
            f"this pan, {say(share)}",
            (mine, 0.4),
            color=BERRY,
            weight="bold",
            ha="center",
            va="bottom",
        )
        axes.set(
            yticks=[],
            xlim=(0, right),
            ylim=(-0.6, 0.75),
            xlabel="Glucose solids in all the sugar, %",
        )
        axes.grid(visible=False)
        axes.spines["left"].set_visible(False)
        return picture(
            figure,
            f"A bar in three parts: grains up to about {say(likely)}, slower to about "
            f"{say(stops)}, guarded beyond. A mark shows this pan at {say(share)}.",
            "The edges are habits of the trade and not laws: think of them as broad.",
        )
