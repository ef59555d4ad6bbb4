"""Pictures of the pour: the cut cake, three jugs that cool, where glaze meets cake."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from typing import Any

from calculators import coating, jug, syrup
from calculators.units import Band, Quantity, q, say
from course.kit.figures import (
    BERRY,
    FOURTH,
    GLAZE,
    INK,
    LINE,
    PAPER,
    QUIET,
    THIRD,
    WASH,
    Circle,
    Polygon,
    Rectangle,
    band,
    curve,
    dot,
    drawing,
    either,
    name_rows,
    page_and_phone,
    picture,
)
from course.kit.results import Picture
from exercises.craft.method import method

_DRAWN = 5  # times thicker than life, so that a coat can be seen


# --- the cake, cut ------------------------------------------------------------------


@page_and_phone
def cut(coat: Quantity, density: Quantity) -> Picture:
    """Draw a cut through a glazed cake, with the mean thickness of its coat."""
    thick = coating.thickness(coat, density)
    t = thick.m_as("cm") * _DRAWN
    with drawing(width=4.8, height=1.9, tall=2.4) as (figure, axes):
        _cake(axes, [(-9, 0), (-9, 4.5), (9, 4.5), (9, 0)])
        _glaze(axes, t * 0.7, t, skirt=t * 0.8)
        axes.add_patch(Rectangle((-5.5, 1.6), 11, 1.1, facecolor=LINE, edgecolor=QUIET))
        axes.annotate("insert", (0, 2.15), ha="center", va="center", color=INK)
        axes.annotate("frozen mousse", (0, 3.55), ha="center", va="center", color=INK)
        axes.add_patch(Rectangle((-9, -0.35), 18, 0.35, facecolor=QUIET))
        axes.annotate("biscuit", (0, 0.35), ha="center", color=INK)
        axes.annotate(
            f"mean coat {say(thick, digits=2)}\n(drawn {_DRAWN} times thicker)",
            (2.5, 4.5 + t * 0.5),
            xytext=(3.4, 7.2),
            color=BERRY,
            weight="bold",
            ha="center",
            va="center",
            arrowprops={"arrowstyle": "-", "color": BERRY},
        )
        axes.annotate(
            "thin at the rim",
            (-9.2, 4.5 + t * 0.5),
            xytext=(-8.6, 7.2),
            color=INK,
            ha="center",
            va="center",
            arrowprops={"arrowstyle": "-", "color": QUIET},
        )
        skirt = either(
            "skirt: scrape\nit off before\nyou weigh", "skirt: scrape it off before you weigh"
        )
        axes.annotate(
            skirt,
            (9.6 + t, either(0.4, 0.1)),
            color=INK,
            va="center",
            xytext=either((11.4 + t, 2.0), (11.5, -2.2)),
            ha=either("left", "right"),
            arrowprops={"arrowstyle": "-", "color": QUIET},
        )
        axes.set(
            xlim=either((-12.5, 17), (-13.2, 13)), ylim=(either(-0.6, -3), 8.6), aspect="equal"
        )
        axes.axis("off")
        return picture(
            figure,
            "A cut through a round cake: biscuit, frozen mousse with an insert, and a "
            "coat of glaze over top and wall. The coat is thinnest at the rim, thicker "
            "towards the foot of the wall, and ends in a skirt on the card. Its mean is "
            f"{say(thick, digits=2)}.",
            "The coat is not the same everywhere: thin at the rim, thicker at the foot. "
            "The weighing gives its mean.",
        )


def _cake(axes: Any, outline: Sequence[tuple[float, float]]) -> None:
    axes.add_patch(Polygon(outline, facecolor=WASH, edgecolor=QUIET, linewidth=0.8))


def _glaze(axes: Any, top: float, wall: float, skirt: float, *, rim: float = 0.45) -> None:
    """Coat the cake of 18 by 4.5: so thick on top, on the wall, and at the foot."""
    at_rim = top * rim
    right = [
        (7.5, 4.5 + top),
        (8.6, 4.5 + at_rim),
        (9 + at_rim, 4.3),
        (9 + 0.8 * wall, 3.2),
        (9 + wall, 1.2),
        (9 + wall + 0.2 * skirt, 0.5),
        (9 + wall + 1.6 * skirt, 0.12),
        (9 + wall + 1.8 * skirt, -0.05),
    ]
    left = [(-x, y) for x, y in reversed(right)]
    cake = [(9, 0), (9, 4.5), (-9, 4.5), (-9, 0)]
    axes.add_patch(Polygon([*left, *right, *cake], facecolor=GLAZE, edgecolor="none"))


# --- three jugs ---------------------------------------------------------------------


@page_and_phone
def three_jugs(
    vessels: Sequence[tuple[str, jug.Vessel]],
    start: Quantity,
    place: jug.Place,
    low: Quantity,
    high: Quantity,
    where: str,
) -> Picture:
    """Draw how jugs cool where they stand, each as a band, with the pouring window."""
    times = jug.meeting([one for _, one in vessels], start, place, low, high)
    stay = 6 * 60
    end = 1.25 * max(t.typical.m for t in (*times.enters, *times.leaves) if t.typical.m < stay)
    minutes = [end * n / 40 for n in range(41)]
    with drawing(width=5.2, height=3.4) as (figure, axes):
        band(axes, low.m_as("degC"), high.m_as("degC"), "pouring window")
        told = []
        for n, (name, one) in enumerate(vessels):
            cooled = [jug.temperature_after(q(m, "min"), start, one, place) for m in minutes]
            colour = (BERRY, GLAZE, THIRD)[n % 3]
            axes.fill_between(
                minutes,
                [t.low.m for t in cooled],
                [t.high.m for t in cooled],
                color=colour,
                alpha=0.15,
                linewidth=0,
            )
            curve(
                axes,
                minutes,
                [t.typical.m for t in cooled],
                name,
                colour=colour,
                at=(9, 8, 7)[n % 3],
                offset=((8, 10) if n == 0 else (-8, -10)),
                ha="left" if n == 0 else "right",
            )
            leaves = times.leaves[n].typical
            enters = say(times.enters[n].typical, digits=2)
            told.append(
                f"The {name} typically enters after {enters} and stays."
                if leaves.m >= stay
                else f"The {name} is typically in it from {enters} to {say(leaves, digits=2)}."
            )
        axes.set(xlabel="Time, min", ylabel="Temperature of the jug, °C", xlim=(0, end))
        return picture(
            figure,
            f"Curves that fall from {say(start)}, {where}, each with a shaded band around it, "
            f"steeply at first and then ever more slowly, through the window from {say(low)} "
            f"to {say(high)}. " + " ".join(told),
            "See where each curve enters the pouring window and leaves it; the shade is how "
            f"far kitchens differ. {times.words}.",
        )


# --- where glaze meets cake -------------------------------------------------------------


@page_and_phone
def meeting(
    glaze: Quantity,
    cake: Quantity,
    contact: Band,
    setting: Band,
    dew: Quantity,
    room: Quantity,
) -> Picture:
    """Draw on one scale the glaze, the cake, where they meet, and where dew begins."""
    rows = [
        ("glaze in the jug", glaze, glaze),
        ("air of the room", room, room),
        ("gelatin begins to set", setting.low, setting.high),
        ("dew falls below", dew, dew),
        ("glaze meets cake", contact.low, contact.high),
        ("cake from the freezer", cake, cake),
    ]
    with drawing(width=5.2, height=3.1, tall=4.6) as (figure, axes):
        for place, (name, low, high) in enumerate(reversed(rows)):
            a, b = low.m_as("degC"), high.m_as("degC")
            mine = name in ("glaze meets cake", "dew falls below")
            colour = BERRY if mine else GLAZE
            if b - a > 0.5:
                axes.plot([a, b], [place, place], color=colour, linewidth=7)
            else:
                axes.plot([a], [place], "o", color=colour, markersize=9)
            words = say(low, digits=2)
            if b - a > 0.5:
                words = f"{words} to {say(high, digits=2)}"
            axes.annotate(
                words,
                (b, place),
                xytext=(9, 0),
                textcoords="offset points",
                va="center",
                color=colour,
                annotation_clip=False,
            )
        axes.set(xlabel="Temperature, °C", ylim=(-0.6, len(rows) - 0.4))
        names = [name for name, *_ in reversed(rows)]
        name_rows(axes, dict(enumerate(names)), half=0.14)
        cold = min(low.m_as("degC") for _, low, _ in rows)
        span = max(high.m_as("degC") for *_, high in rows) - cold
        axes.set_xlim(cold - 0.1 * span, cold + 1.8 * span)
        axes.grid(axis="y", visible=False)
        told = "; ".join(
            f"{name} {say(a, digits=2)}" + ("" if a == b else f" to {say(b, digits=2)}")
            for name, a, b in rows
        )
        return picture(
            figure,
            f"One scale of temperature with six marks: {told}.",
            "Glaze and cake meet far below the jug. "
            "A surface to the left of the dew point gets wet in this room.",
        )


# --- faults ---------------------------------------------------------------------------


@page_and_phone
def faults() -> Picture:
    """Draw cuts through six faults beside a good coat, so that the shape tells the time."""
    panels: tuple[tuple[str, Callable[[Any], None]], ...] = (
        ("level coat", _level),
        ("thick foot", lambda axes: _glaze(axes, 1.1, 1.0, 1.5, rim=0.8)),
        ("thin rim", _bare),
        ("pits", _pits),
        ("slid", _slides),
        ("drops", _weeps),
    )
    with drawing(width=4.8, height=4.6, tall=4.4, nrows=3, ncols=2) as (figure, grid):
        for axes, (name, draw) in zip(grid.flat, panels, strict=True):
            _cake(axes, [(-9, 0), (-9, 4.5), (9, 4.5), (9, 0)])
            draw(axes)
            axes.plot([1.5, 14], [-0.1, -0.1], color=INK, linewidth=1)
            axes.annotate(name, (5.2, 2.2), ha="center", va="center", color=INK, weight="bold")
            axes.set(xlim=(1.5, 14), ylim=(-0.6, 6.4), aspect="equal")
            axes.axis("off")
        return picture(
            figure,
            "Six cuts through the edge of a cake. Level coat: even on top and wall. Thick foot: a "
            "broad foot on the card. Thin rim: no glaze at the rim. Pits: small holes in "
            "the top. Slid: the wall's glaze has gone down and lies in a fold. Drops: "
            "drops below the coat and on the card.",
            "The shape tells when it happened: foot and thin rim in the pour, pits in "
            "the jug, slipping and drops on the cake.",
        )


def _level(axes: Any) -> None:
    _glaze(axes, 0.7, 0.7, 0.35, rim=0.8)


def _bare(axes: Any) -> None:
    top = [(-7.6, 4.5), (-7.2, 4.8), (-5, 5.1), (5, 5.1), (7.2, 4.8), (7.6, 4.5)]
    axes.add_patch(Polygon(top, facecolor=GLAZE))
    for side in (-1, 1):
        wall = [(9, 3.4), (9.3, 3.0), (9.6, 1.2), (10.4, 0), (9, 0)]
        axes.add_patch(Polygon([(side * x, y) for x, y in wall], facecolor=GLAZE))


def _pits(axes: Any) -> None:
    _level(axes)
    for x in (2.4, 3.6, 4.9, 6.0, 7.2):
        axes.plot([x], [5.15], "o", color=PAPER, markersize=6)


def _slides(axes: Any) -> None:
    top = [(-8.6, 4.5), (-8.3, 4.9), (-5, 5.2), (5, 5.2), (8.3, 4.9), (8.6, 4.5)]
    axes.add_patch(Polygon(top, facecolor=GLAZE))
    for side in (-1, 1):
        fold = [
            (9, 1.6),
            (9.9, 1.7),
            (10.6, 1.2),
            (10.1, 0.8),
            (11, 0.5),
            (10.8, 0),
            (9, 0),
        ]
        axes.add_patch(Polygon([(side * x, y) for x, y in fold], facecolor=GLAZE))


def _weeps(axes: Any) -> None:
    _level(axes)
    for x, y in (
        (-9.9, 1.0),
        (10.0, 1.6),
        (9.9, 0.6),
        (-11.6, 0.15),
        (11.9, 0.15),
        (12.7, 0.1),
    ):
        axes.plot([x], [y], "o", color=FOURTH, markersize=4.5)


# --- water that goes ----------------------------------------------------------------


@page_and_phone
def water_gone(sugars: Quantity, water: Quantity, lost: Quantity) -> Picture:
    """Draw how the water phase of a glaze grows stronger as water leaves it."""
    w = water.m_as("g")
    most = min(0.6 * w, max(0.4 * w, 1.3 * lost.m_as("g")))
    gone = [most * n / 40 for n in range(41)]

    def strength(grams: float) -> float:
        return syrup.brix(sugars, q(w - grams, "g")).m_as("percent")

    with drawing(width=5.2, height=3.3) as (figure, axes):
        curve(axes, gone, [strength(g) for g in gone], "")
        mine = strength(lost.m_as("g"))
        dot(axes, lost.m_as("g"), mine, f"{say(lost)} lost: {say(q(mine, 'percent'))}", above=False)
        axes.set(
            xlabel="Water lost from the whole formula, g",
            ylabel="Sugars in the water phase, %",
            xlim=(0, most),
        )
        return picture(
            figure,
            f"A curve that rises from {say(q(strength(0), 'percent'))} with no water lost "
            f"to {say(q(strength(most), 'percent'))} with {say(q(most, 'g'))} lost, "
            f"steeper as it goes. A point marks {say(lost)}.",
            "Each gram that leaves makes the syrup in the glaze stronger, and the next "
            "gram counts for more.",
        )


# --- one stroke, frame by frame -----------------------------------------------------------

_FRAMES = ("1 begin", "2 go on", "3 last lap", "4 stop")
_DOME_FRAMES = ("1 begin", "2 go on", "3 stay", "4 stop")
_HOLE = 0.33  # of the outer radius
_DRAWN_AS = {"loaf": "slab"}
_NOT_DRAWN = ("heart", "egg", "other")  # told in words; the round cake stands for them


@page_and_phone
def strokes(shapes: Sequence[str]) -> Picture:
    """Draw the one stroke of each shape in four frames, from above and from the side."""
    drawn = [_DRAWN_AS.get(name, name) for name in shapes if name not in _NOT_DRAWN]
    found = {id(method().strokes[name]): name for name in drawn or ["cylinder"]}
    chosen = list(found.values())
    many = 2 * len(chosen)
    with drawing(width=5.2, height=1.15 * many, tall=1.0 * many, nrows=many, ncols=4) as (
        figure,
        grid,
    ):
        for place, name in enumerate(chosen):
            titles = _DOME_FRAMES if name == "dome" else _FRAMES
            for n in range(4):
                above, beside = grid[2 * place][n], grid[2 * place + 1][n]
                _from_above(above, name, n)
                _from_the_side(beside, name, n)
                above.set_title(titles[n], fontsize=either(9, None), color=INK, pad=2)
                for axes in (above, beside):
                    axes.axis("off")
                above.set(xlim=(-1.15, 1.15), ylim=(-1.15, 1.15), aspect="equal")
                beside.set(xlim=(-1.15, 1.15), ylim=(-0.5, 1.25), aspect="equal")
            grid[2 * place + 1][0].annotate(
                name,
                (-1.1, -0.1),
                va="top",
                color=BERRY,
                weight="bold",
                fontsize=either(10, None),
            )
        told = " ".join(
            f"{name.capitalize()}: begin at {stroke.starts}. {stroke.stroke} Stop: {stroke.stops}"
            for name in chosen
            for stroke in (method().strokes[name],)
        )
        rows = f" for each of {len(chosen)} shapes" if len(chosen) > 1 else ""
        return picture(
            figure,
            f"Four frames in a row{rows}, from above and from the side. {told}",
            "Above: the cake from above, with the path of the stream. Below: from the side, 5 to "
            "10 cm high, with the curtain on its way down. One stroke, no stop.",
        )


def _spiral(start: float, end: float, turns: float, after: float = 0.0) -> list[Any]:
    """Return a spiral from one radius to another, and then a lap of so many turns."""
    steps = 60
    parts = [n / steps for n in range(steps + 1)]
    out = [(start + (end - start) * part, turns * part) for part in parts]
    out += [(end, turns + after * n / steps) for n in range(1, steps + 1)] if after else []
    return [(r * math.sin(2 * math.pi * t), r * math.cos(2 * math.pi * t)) for r, t in out]


def _path(name: str, frame: int) -> list[tuple[float, float]]:
    """Return the path of the stream up to the end of a frame, from above."""
    if name == "dome":
        return [(0, 0), (0, 0.02)] if frame == 0 else _spiral(0, _HOLE, 0.5, 0.7 * frame)
    if name == "log":
        ends = ((-0.9, -0.9), (-0.9, 0.2), (-0.9, 1.05), (1.05, -1.05))[frame]
        line = [(ends[0] + (ends[1] - ends[0]) * n / 20, 0.0) for n in range(21)]
        return (
            [(-0.9, 0.06), *((x, 0.06) for x, _ in reversed(line)), *line] if frame == 3 else line
        )
    if name in ("ring", "savarin", "torus"):
        lap = _spiral(0.45, 0.45, 1)
        return lap if frame == 0 else lap + _spiral(0.45, 0.85, 1, (0, 0, 0.7, 1.1)[frame])
    if frame == 0:
        return [(0, 0), (0, 0.02)]
    return _spiral(0, 0.82, 2, (0, 0, 0.7, 1.0)[frame])


def _from_above(axes: Any, name: str, frame: int) -> None:
    flat = name in ("log", "slab")
    tall = 0.35 if name == "log" else 0.8
    holed = name in ("ring", "savarin", "torus")
    reach = ((0.6, 0.92, 1.0, 1.0) if holed else (0.3, 0.9, 1.0, 1.0))[frame]
    if flat:
        axes.add_patch(Rectangle((-1, -tall), 2, 2 * tall, facecolor=WASH, edgecolor=QUIET))
        wide = (0.15, 0.6, 1.0, 1.0)[frame]
        left = -1.0 if name == "log" else -wide
        deep = tall if name == "log" else tall * wide
        axes.add_patch(Rectangle((left, -deep), 2 * wide, 2 * deep, facecolor=GLAZE))
    else:
        axes.add_patch(Circle((0, 0), 1, facecolor=WASH, edgecolor=QUIET))
        axes.add_patch(Circle((0, 0), reach, facecolor=GLAZE))
        if holed:
            axes.add_patch(Circle((0, 0), _HOLE, facecolor=PAPER, edgecolor=QUIET))
    path = _path(name, frame)
    squash = tall if name == "slab" else 1.0
    xs, ys = [x for x, _ in path], [y * squash for _, y in path]
    axes.plot(xs, ys, color=PAPER, linewidth=3.2, solid_capstyle="round")
    axes.plot(xs, ys, color=BERRY, linewidth=1.8, solid_capstyle="round")
    if frame < 3:
        axes.plot(xs[-1:], ys[-1:], "o", color=BERRY, markeredgecolor=PAPER, markersize=7)


def _from_the_side(axes: Any, name: str, frame: int) -> None:
    high, down = 0.5, (0.0, 0.0, 0.6, 1.0)[frame]
    x, y = _path(name, frame)[-1]
    stream = (x if name == "log" else -math.hypot(x, y), high)
    if name == "dome":
        half = [(math.cos(math.pi * n / 40), math.sin(math.pi * n / 40)) for n in range(41)]
        axes.add_patch(Polygon([(x, 0.75 * y) for x, y in half], facecolor=WASH, edgecolor=QUIET))
        foot = (0.9, 0.6, 0.25, 0.0)[frame]
        cap = [(x, 0.75 * y) for x, y in half if y >= foot]
        axes.add_patch(Polygon([(1.06 * x, 1.06 * y + 0.02) for x, y in cap], facecolor=GLAZE))
        stream = (stream[0], 0.75)
    else:
        walls = [(-1.0, 1.0)]
        if name in ("ring", "savarin", "torus"):
            walls = [(-1.0, -_HOLE), (_HOLE, 1.0)]
        reach = ((0.6, 0.92, 1.0, 1.0) if len(walls) == 2 else (0.3, 0.9, 1.0, 1.0))[frame]
        for left, right in walls:
            axes.add_patch(
                Rectangle((left, 0), right - left, high, facecolor=WASH, edgecolor=QUIET)
            )
            a, b = max(left, -reach), min(right, reach)
            axes.add_patch(Rectangle((a, high), b - a, 0.08, facecolor=GLAZE))
            for x, inner in ((left, left == _HOLE), (right, right == -_HOLE)):
                run = (0.5, 1.0, 1.0, 1.0)[frame] if inner else down
                edge = x - 0.07 if x == left else x
                axes.add_patch(
                    Rectangle(
                        (edge, high * (1 - run)),
                        0.07,
                        high * run + 0.08 * (run > 0),
                        facecolor=GLAZE,
                    )
                )
    axes.plot([-1.15, 1.15], [-0.02, -0.02], color=INK, linewidth=1)
    if frame < 3:
        axes.plot([stream[0]] * 2, [stream[1] + 0.08, 1.2], color=BERRY, linewidth=2.4)
