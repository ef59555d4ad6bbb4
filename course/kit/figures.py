"""How every picture of the house looks: one paper, one ink, one message each.

The only module that knows matplotlib.  A picture is SVG text whose colours are
tokens (``var(--ink)`` and so on) with the printed colour as fallback, so that
it follows the page in the dark; text stays text.

Each picture is drawn twice by one function, under ``page_and_phone``: for a page,
and for the narrow column of a phone, with larger words and fewer of them.  What has
to differ is chosen by ``either(page, phone)``; most of it is done here for all.
"""

from __future__ import annotations

import io
import re
import textwrap
from collections.abc import Callable, Collection, Iterator, Mapping, Sequence
from contextlib import contextmanager
from functools import wraps
from typing import Any, ParamSpec, TypeVar

import matplotlib
import matplotlib.pyplot as plt
import numpy as np
from cycler import cycler
from matplotlib.patches import Circle as Circle  # so that no picture has to know
from matplotlib.patches import Polygon as Polygon  # where shapes come from
from matplotlib.patches import Rectangle as Rectangle
from matplotlib.ticker import AutoLocator

from course.kit import results
from course.kit.results import Picture
from exercises import look

matplotlib.use("Agg")

P = ParamSpec("P")
T = TypeVar("T")

_DAY = look.tokens()
INK, QUIET, PAPER, LINE, WASH = (_DAY[n] for n in ("ink", "soft", "bench", "hair", "wash"))
BERRY = _DAY["berry"]  # the reader's own kitchen
GLAZE = _DAY["glaze"]  # what stands beside it
THIRD, FOURTH = _DAY["third"], _DAY["fourth"]

# The order in which lines take their colours; checked for the three kinds of colour
# blindness by simulation (tests/course/kit/test_figures.py).
SERIES = (GLAZE, BERRY, THIRD, FOURTH)

_VARIABLES = {
    _DAY[name]: f"--{name}"
    for name in ("ink", "soft", "bench", "hair", "berry", "glaze", "third", "fourth", "wash")
}

STYLE: Any = {
    "svg.fonttype": "none",
    "svg.hashsalt": "glossbook",
    "font.family": "sans-serif",
    "font.sans-serif": ["DejaVu Sans"],
    "font.size": 10.5,
    "text.color": INK,
    "axes.edgecolor": QUIET,
    "axes.labelcolor": INK,
    "axes.facecolor": "none",
    "axes.linewidth": 0.8,
    "axes.spines.top": False,
    "axes.spines.right": False,
    "axes.grid": True,
    "axes.axisbelow": True,
    "grid.color": LINE,
    "grid.linewidth": 0.6,
    "figure.facecolor": "none",
    "savefig.facecolor": "none",
    "lines.linewidth": 2.0,
    "lines.solid_capstyle": "round",
    "xtick.color": QUIET,
    "ytick.color": QUIET,
    "xtick.labelcolor": INK,
    "ytick.labelcolor": INK,
    "axes.prop_cycle": cycler(color=list(SERIES)),
}


# A phone's column, in inches of 72 units: shown 390 px wide, a unit is a little more
# than a pixel, so that the words below stand at 13 px.
PHONE_WIDTH = 5.0
PHONE_STYLE: Any = STYLE | {
    "svg.hashsalt": "glossbook, on a phone",  # two drawings share one page
    "font.size": 12.5,
    "axes.titlesize": 12.5,
    "axes.titlepad": 9,
    "lines.linewidth": 2.2,
    "grid.linewidth": 0.7,
}
_LETTERS = 42  # in a line of a phone's column
_on_phone = False


@contextmanager
def phone() -> Iterator[None]:
    """Draw for the narrow column of a phone."""
    global _on_phone
    before, _on_phone = _on_phone, True
    try:
        yield
    finally:
        _on_phone = before


def either(page: T, phone: T) -> T:
    """Return what a page takes, or what a phone takes, whichever is drawn for."""
    return phone if _on_phone else page


def page_and_phone(draw: Callable[P, Picture]) -> Callable[P, Picture]:
    """Draw a picture for a page, and a second time for a phone where one is shown."""

    @wraps(draw)
    def both(*args: P.args, **kwargs: P.kwargs) -> Picture:
        page = draw(*args, **kwargs)
        if results.is_plain():  # a recording holds the words alone
            return page
        with phone():
            return Picture(page.svg, page.alt, page.caption, draw(*args, **kwargs).svg)

    return both


@contextmanager
def drawing(
    width: float = 6.4, height: float = 3.8, *, tall: float = 0.0, **kwargs: Any
) -> Iterator[tuple[Any, Any]]:
    """Open a figure in the style of the house and close it afterwards.

    Parameters
    ----------
    width, height : float
        Its size on a page, in inches.
    tall : float
        Its height on a phone, where the width is given; by default a little taller.
    kwargs : dict
        What matplotlib's ``subplots`` takes.
    """
    size = either((width, height), (PHONE_WIDTH, tall or 1.1 * height))
    with matplotlib.rc_context(either(STYLE, PHONE_STYLE)):
        figure, axes = plt.subplots(figsize=size, layout="constrained", **kwargs)
        try:
            yield figure, axes
        finally:
            plt.close(figure)


def picture(figure: Any, alt: str, caption: str) -> Picture:
    """Return a figure as a picture: deterministic SVG, colours by name, text as text."""
    for axis in (axis for axes in figure.axes for axis in (axes.xaxis, axes.yaxis)):
        if isinstance(locator := axis.get_major_locator(), AutoLocator):
            locator.set_params(nbins=either("auto", 5), steps=[1, 2, 5, 10])
    if _on_phone:
        _narrowed(figure)
    _settled(figure)
    file = io.StringIO()
    figure.savefig(file, format="svg", metadata={"Date": None, "Creator": None})
    return Picture(_named_colours(file.getvalue()), alt, caption)


def wrapped(words: str, letters: int = _LETTERS) -> str:
    r"""Return words in lines of about equal length, none longer than that.

    >>> wrapped("Size of the bubble, mm (drawn larger than it is)")
    'Size of the bubble, mm\n(drawn larger than it is)'
    """
    lines = max(1, -(-len(words) // letters))
    even = min(letters, len(words) // lines + 4)
    return textwrap.fill(words, even)


def _narrowed(figure: Any) -> None:
    """Give a phone's picture the names of its upward axes on top."""
    figure.get_layout_engine().set(w_pad=0.08)
    for axes in figure.axes:
        axes.set_xlabel(wrapped(axes.get_xlabel()))
        if words := axes.get_ylabel():
            axes.set_ylabel("")
            axes.set_title(wrapped(words), loc="left")


# --- labels, and where they stand ----------------------------------------------------

_MOVES, _KEEPS_SIDE = "moves anywhere", "keeps its side"


def label(
    axes: Any,
    at: tuple[float, float],
    words: str,
    *,
    offset: tuple[float, float] = (9, 8),
    keeps_side: bool = False,
    **kwargs: Any,
) -> None:
    """Write words beside a point; they move where they would stand on something.

    Parameters
    ----------
    axes : Axes
        Where to.
    at : pair of float
        The point.
    words : str
        What to write.
    offset : pair of float
        Where they stand if nothing is there, in points from the point.
    keeps_side : bool
        Whether they stay to the left or the right, as the name of a curve does.
    kwargs : dict
        What matplotlib's ``annotate`` takes.
    """
    kwargs = {"ha": "left" if offset[0] >= 0 else "right", "color": INK} | kwargs
    axes.annotate(
        words,
        at,
        xytext=offset,
        textcoords="offset points",
        label=_KEEPS_SIDE if keeps_side else _MOVES,
        annotation_clip=False,
        **kwargs,
    )


def _settled(figure: Any) -> None:
    """Settle where everything stands, then move labels off lines, words and edges."""
    labels = [
        text
        for axes in figure.axes
        for text in axes.texts
        if text.get_label() in (_MOVES, _KEEPS_SIDE)
    ]
    for text in labels:
        text.set_in_layout(False)
    figure.draw_without_rendering()
    figure.set_layout_engine("none")
    waiting = sorted(labels, key=lambda text: text.get_weight() != "bold")
    # The reader's own kitchen first; who is placed is in the way of the rest.
    while waiting:
        _move(waiting.pop(0), waiting, figure)


def _move(text: Any, waiting: Sequence[Any], figure: Any) -> None:
    """Put a label where the least is in its way: as drawn, or another side of its point.

    What is in the way is counted in about the pixels of it that are met.
    """
    axes, edge = text.axes, figure.bbox
    lines = np.concatenate([np.empty((0, 2)), *(_drawn(line) for line in axes.lines)])
    boxes = [
        one.get_window_extent()
        for one in (*axes.texts, axes._left_title)
        if one is not text and one not in waiting
    ]
    point = axes.transData.transform(text.xy)
    a_point = figure.dpi / 72
    far = lines[np.hypot(*(lines - point).T) > 8 * a_point]

    def in_the_way(place: tuple[str, tuple[float, float]]) -> float:
        side, text.xyann = place
        text.set_ha(side)
        box = text.get_window_extent()
        over = max(0, axes.bbox.x0 - box.x0) + max(0, box.x1 - edge.x1 + 2)
        over += max(0, axes.bbox.y0 - box.y0) + max(0, box.y1 - edge.y1)
        crossed = ((lines > box.min - 1.5) & (lines < box.max + 1.5)).all(axis=1).sum()
        on = sum(
            max(0, min(box.x1, b.x1) - max(box.x0, b.x0))
            * max(0, min(box.y1, b.y1) - max(box.y0, b.y0))
            for b in boxes
        )
        # Words beyond another line or mark would be read as its name.
        way = np.linspace(point, np.clip(point, box.min, box.max), 12)
        near = np.hypot(*(far[:, None] - way[None]).T) < 2.5
        return float(4 * over + 3 * crossed + on / 4 + 200 * near.any())

    as_drawn = (text.get_ha(), text.xyann)
    if not in_the_way(as_drawn):
        return
    tall = text.get_window_extent().height / a_point
    middle = tall / 2 if text.get_va() == "center" else 0
    heights = [y + middle for y in (9, -5 - tall, 18, -14 - tall, 30, -26 - tall)]
    sides = [("left", 10.0), ("right", -10.0), ("center", 0.0)]
    if text.get_label() == _KEEPS_SIDE:
        sides = [(as_drawn[0], as_drawn[1][0])]
    places = [
        (0, as_drawn),
        *((4 + 6 * (n // 2), (side, (x, y))) for n, y in enumerate(heights) for side, x in sides),
    ]
    best = min(places, key=lambda place: place[0] + in_the_way(place[1]))
    in_the_way(best[1])  # puts it there


def _drawn(line: Any) -> Any:
    """Return points along a line, or about its marks, as they lie in the picture."""
    points = line.get_transform().transform(line.get_xydata())
    points = points[np.isfinite(points).all(axis=1)]
    if line.get_linewidth() < 1 and line.get_linestyle() in (":", "dotted"):
        return points[:0]  # a thin dotted line may run under words
    half = line.get_markersize() / 2 * line.figure.dpi / 72
    marks = (
        []
        if line.get_marker() in ("", "None", None)
        else [
            points + half * np.array(corner)
            for corner in ((0, 0), (-1, 0), (1, 0), (0, -1), (0, 1))
        ]
    )
    if line.get_linestyle() in ("None", "", " ") or len(points) < 2:
        return np.concatenate([points[:0], *marks])
    steps = np.hypot(*np.diff(points, axis=0).T)
    far = np.concatenate([[0.0], np.cumsum(steps)])
    at = np.arange(0, far[-1], 2.0)
    along = np.stack([np.interp(at, far, points[:, n]) for n in (0, 1)], axis=1)
    return np.concatenate([along, *marks])


def _named_colours(svg: str) -> str:
    svg = svg[svg.index("<svg") :]
    svg = re.sub(r"<metadata>.*?</metadata>", "", svg, flags=re.DOTALL)
    svg = re.sub(r' (?:width|height)="[\d.]+pt"', "", svg, count=2)
    svg = re.sub(r"<!--.*?-->\s*", "", svg, flags=re.DOTALL)
    svg = re.sub(r' id="[a-z0-9.]+_\d+"', "", svg)  # nothing refers to a part by number
    svg = re.sub(r"<[^>]+>", _to_hundredths, svg)
    svg = re.sub(
        r"font: [\d.]+px[^;]*'DejaVu Sans'[^;]*",
        lambda m: re.sub(r"'DejaVu Sans'.*", "var(--text, sans-serif)", m[0]),
        svg,
    )
    for colour, name in _VARIABLES.items():
        svg = re.sub(re.escape(colour), f"var({name}, {colour})", svg, flags=re.IGNORECASE)
    return svg


def _to_hundredths(tag: re.Match[str]) -> str:
    """Return a tag with its places to a hundredth of a point, which is enough."""
    return re.sub(r"(\.\d\d)\d+", r"\1", tag[0])


def dot(
    axes: Any, x: float, y: float, words: str, *, right: bool = True, above: bool = True
) -> None:
    """Mark the reader's own kitchen with the accent, and say so beside it."""
    axes.plot([x], [y], "o", color=BERRY, markersize=8, zorder=5)
    label(
        axes,
        (x, y),
        words,
        offset=(10 if right else -10, 9 if above else -14),
        color=BERRY,
        weight="bold",
    )


def curve(
    axes: Any,
    xs: Sequence[float],
    ys: Sequence[float],
    words: str,
    *,
    colour: str = GLAZE,
    at: int = -1,
    style: str = "-",
    offset: tuple[float, float] = (6, 0),
    ha: str = "left",
) -> None:
    """Draw a line with its name written at one of its points instead of a legend."""
    axes.plot(xs, ys, style, color=colour)
    if words:
        label(
            axes,
            (xs[at], ys[at]),
            words,
            offset=offset,
            color=colour,
            va="center",
            ha=ha,
        )


def name_rows(
    axes: Any,
    names: Mapping[float, str],
    mine: Collection[str] = (),
    half: float = 0.31,
) -> None:
    """Name the rows of a picture: beside them on a page, above each on a phone."""
    colours = {name: BERRY if name in mine else INK for name in names.values()}
    down = axes.yaxis_inverted()
    if not _on_phone:
        axes.set_yticks(list(names), list(names.values()))
        for tick, name in zip(axes.get_yticklabels(), names.values(), strict=True):
            tick.set_color(colours[name])
        return
    axes.set_yticks([])
    axes.spines["left"].set_visible(False)
    for place, name in names.items():
        axes.annotate(
            name.replace("\n", " "),
            (0, place - half if down else place + half),
            xycoords=("axes fraction", "data"),
            xytext=(0, 3),
            textcoords="offset points",
            va="bottom",
            color=colours[name],
        )
    low, high = min(names) - 0.5, max(names) + 0.5
    axes.set_ylim((high, low - 0.15) if down else (low, high + 0.15))


def band(axes: Any, low: float, high: float, words: str, *, vertical: bool = False) -> None:
    """Shade a band of values and say what it is."""
    if vertical:
        axes.axvspan(low, high, color=WASH, zorder=0)
        axes.annotate(
            words,
            ((low + high) / 2, 1),
            xycoords=("data", "axes fraction"),
            xytext=(0, -4),
            textcoords="offset points",
            ha="center",
            va="top",
            color=QUIET,
        )
    else:
        axes.axhspan(low, high, color=WASH, zorder=0)
        axes.annotate(
            words,
            (0, (low + high) / 2),
            xycoords=("axes fraction", "data"),
            xytext=(6, 0),
            textcoords="offset points",
            ha="left",
            va="center",
            color=QUIET,
        )
