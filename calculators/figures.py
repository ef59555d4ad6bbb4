"""How every picture of the house looks: one paper, one ink, one message each.

The only module that knows matplotlib.  A picture is SVG text whose colours are
names (``var(--gb-ink)`` and so on) with the printed colour as fallback, so that
it follows the page in the dark; text stays text.
"""

from __future__ import annotations

import io
import re
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from typing import Any

import matplotlib

matplotlib.use("Agg")

import matplotlib.pyplot as plt
from cycler import cycler
from matplotlib.patches import Circle as Circle  # so that no picture has to know
from matplotlib.patches import Polygon as Polygon  # where shapes come from
from matplotlib.patches import Rectangle as Rectangle

from calculators.show import Picture

INK = "#2b1d14"
QUIET = "#6b5b4e"
PAPER = "#fbf7ef"
LINE = "#d9cfc0"
CARAMEL = "#9a4a06"  # the reader's own kitchen
PETROL = "#0d5c6b"  # what stands beside it
PLUM = "#7a3b6b"
OLIVE = "#5f6b1a"
WASH = "#efe4d2"

# The order in which lines take their colours; checked for the three kinds of colour
# blindness by simulation (tests/calculators/test_figures.py).
SERIES = (PETROL, CARAMEL, PLUM, OLIVE)

_VARIABLES = {
    INK: "--gb-ink", QUIET: "--gb-quiet", PAPER: "--gb-paper", LINE: "--gb-line",
    CARAMEL: "--gb-accent", PETROL: "--gb-second", PLUM: "--gb-third",
    OLIVE: "--gb-fourth", WASH: "--gb-wash",
}  # fmt: skip

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


@contextmanager
def drawing(
    width: float = 6.4, height: float = 3.8, **kwargs: Any
) -> Iterator[tuple[Any, Any]]:
    """Open a figure in the style of the house and close it afterwards."""
    with matplotlib.rc_context(STYLE):
        figure, axes = plt.subplots(
            figsize=(width, height), layout="constrained", **kwargs
        )
        try:
            yield figure, axes
        finally:
            plt.close(figure)


def picture(figure: Any, alt: str, caption: str) -> Picture:
    """Return a figure as a picture: deterministic SVG, colours by name, text as text."""
    file = io.StringIO()
    figure.savefig(file, format="svg", metadata={"Date": None, "Creator": None})
    return Picture(_named_colours(file.getvalue()), alt, caption)


def _named_colours(svg: str) -> str:
    svg = svg[svg.index("<svg") :]
    svg = re.sub(r"<metadata>.*?</metadata>", "", svg, flags=re.DOTALL)
    svg = re.sub(r' (?:width|height)="[\d.]+pt"', "", svg, count=2)
    svg = re.sub(r"font: [\d.]+px[^;]*'DejaVu Sans'[^;]*",
                 lambda m: re.sub(r"'DejaVu Sans'.*", "var(--gb-sans, sans-serif)", m[0]), svg)  # fmt: skip
    for colour, name in _VARIABLES.items():
        svg = re.sub(
            re.escape(colour), f"var({name}, {colour})", svg, flags=re.IGNORECASE
        )
    return svg


def dot(
    axes: Any, x: float, y: float, words: str, *, right: bool = True, above: bool = True
) -> None:
    """Mark the reader's own kitchen with the accent, and say so beside it."""
    axes.plot([x], [y], "o", color=CARAMEL, markersize=8, zorder=5)
    axes.annotate(
        words, (x, y), xytext=(10 if right else -10, 9 if above else -14),
        textcoords="offset points", color=CARAMEL, weight="bold",
        ha="left" if right else "right",
    )  # fmt: skip


def curve(
    axes: Any, xs: Sequence[float], ys: Sequence[float], words: str, *,
    colour: str = PETROL, at: int = -1, style: str = "-", offset: tuple[float, float] = (6, 0),
    ha: str = "left",
) -> None:  # fmt: skip
    """Draw a line with its name written at one of its points instead of a legend."""
    axes.plot(xs, ys, style, color=colour)
    axes.annotate(
        words, (xs[at], ys[at]), xytext=offset, textcoords="offset points",
        color=colour, va="center", ha=ha, annotation_clip=False,
    )  # fmt: skip


def band(
    axes: Any, low: float, high: float, words: str, *, vertical: bool = False
) -> None:
    """Shade a band of values and say what it is."""
    if vertical:
        axes.axvspan(low, high, color=WASH, zorder=0)
        axes.annotate(words, ((low + high) / 2, 1), xycoords=("data", "axes fraction"),
                      xytext=(0, -4), textcoords="offset points", ha="center", va="top",
                      color=QUIET)  # fmt: skip
    else:
        axes.axhspan(low, high, color=WASH, zorder=0)
        axes.annotate(words, (0, (low + high) / 2), xycoords=("axes fraction", "data"),
                      xytext=(6, 0), textcoords="offset points", ha="left", va="center",
                      color=QUIET)  # fmt: skip
