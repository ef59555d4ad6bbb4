"""Small drawings beside a panel's answer, where a picture says more than a number.

Plain SVG without a library: colours by the names of the site's style sheet, text as
text, and the reader's own point in berry.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from html import escape
from math import ceil, floor, log10
from typing import Any

from calculators.units import number, q, say

WIDE, HIGH = 340.0, 270.0  # a card on a phone is 320 px wide
LEFT, RIGHT, TOP, FOOT = 36.0, 14.0, 34.0, 44.0

Point = tuple[float, float]


@dataclass
class Plot:
    """Two axes, and what was drawn between them.

    Parameters
    ----------
    across, up : tuple of float
        The ends of the axes.
    across_name, up_name : str
        What they show, with the unit.
    """

    across: Point
    up: Point
    across_name: str
    up_name: str

    def __post_init__(self) -> None:
        self._drawn: list[str] = []

    def at(self, x: float, y: float) -> Point:
        """Return where a point lies on the paper."""
        (x0, x1), (y0, y1) = self.across, self.up
        return (
            LEFT + (x - x0) / (x1 - x0) * (WIDE - LEFT - RIGHT),
            HIGH - FOOT - (y - y0) / (y1 - y0) * (HIGH - TOP - FOOT),
        )

    def line(self, points: Sequence[Point], colour: str = "glaze", dash: str = "") -> None:
        """Draw a line through points."""
        path = " ".join(f"{x:.1f},{y:.1f}" for x, y in (self.at(*p) for p in points))
        dashed = f' stroke-dasharray="{dash}"' if dash else ""
        self._drawn.append(
            f'<polyline points="{path}" fill="none" stroke="var(--{colour})" '
            f'stroke-width="2.2" stroke-linejoin="round"{dashed}/>'
        )

    def wash(self, points: Sequence[Point]) -> None:
        """Shade the inside of an outline."""
        path = " ".join(f"{x:.1f},{y:.1f}" for x, y in (self.at(*p) for p in points))
        self._drawn.append(f'<polygon points="{path}" fill="var(--wash)"/>')

    def words(
        self,
        x: float,
        y: float,
        text: str,
        colour: str = "soft",
        anchor: str = "start",
        shift: Point = (0.0, 0.0),
        *,
        strong: bool = False,
    ) -> None:
        """Write words at a point."""
        px, py = self.at(x, y)
        weight = ' font-weight="600"' if strong else ""
        self._drawn.append(
            f'<text x="{px + shift[0]:.1f}" y="{py + shift[1]:.1f}" fill="var(--{colour})" '
            f'text-anchor="{anchor}"{weight}>{escape(text)}</text>'
        )

    def mine(self, x: float, y: float, text: str) -> None:
        """Mark the reader's own point and say what it is, on the side that has room."""
        px, py = self.at(x, y)
        late = px + 12 + 8 * len(text) > WIDE
        over = py > TOP + 30
        self._drawn.append(
            f'<circle cx="{px:.1f}" cy="{py:.1f}" r="6" fill="var(--berry)" '
            f'stroke="var(--plate)" stroke-width="2"/>'
        )
        self.words(
            x,
            y,
            text,
            "berry",
            "end" if late else "start",
            (-10 if late else 10, -10 if over else 20),
            strong=True,
        )

    def figure(self, alt: str, caption: str) -> str:
        """Return the drawing as a figure with a text alternative."""
        (x0, x1), (y0, y1) = self.across, self.up
        ticks = []
        for x in steps(x0, x1):
            px, _ = self.at(x, y0)
            ticks.append(
                f'<text x="{px:.1f}" y="{HIGH - FOOT + 18:.1f}" text-anchor="middle">{number(x)}</text>'
            )
        for y in steps(y0, y1):
            _, py = self.at(x0, y)
            ticks.append(
                f'<line x1="{LEFT}" x2="{WIDE - RIGHT}" y1="{py:.1f}" y2="{py:.1f}" stroke="var(--hair)" stroke-width=".7"/>'
                f'<text x="{LEFT - 7}" y="{py + 4:.1f}" text-anchor="end">{number(y)}</text>'
            )
        base = HIGH - FOOT
        axes = (
            f'<line x1="{LEFT}" x2="{WIDE - RIGHT}" y1="{base}" y2="{base}" stroke="var(--soft)"/>'
            f'<text x="{WIDE - RIGHT}" y="{HIGH - 7}" text-anchor="end">{escape(self.across_name)}</text>'
            f'<text x="2" y="{TOP - 16}">{escape(self.up_name)}</text>'
        )
        return figure(
            f'<g fill="var(--soft)">{"".join(ticks)}{axes}</g>{"".join(self._drawn)}',
            WIDE,
            HIGH,
            alt,
            caption,
        )


def figure(inside: str, wide: float, high: float, alt: str, caption: str) -> str:
    """Return SVG as a figure of the page, with words for what is seen."""
    return (
        f'<figure class="gb-sketch"><svg xmlns="http://www.w3.org/2000/svg" '
        f'viewBox="0 0 {wide:g} {high:g}" font-family="var(--text, sans-serif)" font-size="13.5" '
        f'role="img" aria-label="{escape(alt)}">{inside}</svg>'
        f"<figcaption>{escape(caption)}</figcaption></figure>"
    )


def steps(low: float, high: float, about: int = 5) -> list[float]:
    """Return round numbers between two limits, for the marks of an axis.

    >>> steps(0, 100)
    [0.0, 20.0, 40.0, 60.0, 80.0, 100.0]
    """
    rough = (high - low) / about
    size = 10.0 ** floor(log10(rough))
    by = next(size * k for k in (1, 2, 5, 10) if size * k >= rough * (1 - 1e-9))
    return [n * by for n in range(ceil(low / by), floor(high / by) + 1)]


# --- the syrup and what it can hold ---------------------------------------------------


def _holding(given: Mapping[str, Any], answer: Any) -> str:
    """Draw the curve of the full syrup, with the reader's pan on it or beside it."""
    from calculators import syrup

    follows = {"following": given["following"]} if "following" in given else {}
    full = [
        (float(t), syrup.solubility(q(float(t), "degC"), **follows).m_as("percent"))
        for t in range(0, 101, 5)
    ]
    if "brix" in given and "temperature" in given:
        x, y = given["temperature"].m_as("degC"), given["brix"].m_as("percent")
    elif "brix" in given:
        x, y = answer.m_as("degC"), given["brix"].m_as("percent")
    else:
        warm = given.get("temperature", q(20, "degC"))
        x, y = warm.m_as("degC"), answer.m_as("percent")
    low = min(55.0, 5 * (y // 5))
    high = max(90.0, min(100.0, 5 * (y // 5 + 1)))
    plot = Plot((0, 100), (low, high), "temperature, °C", "strength, °Bx")
    plot.wash([(0.0, high), *full, (100.0, high)])
    plot.line(full)
    plot.words(4, high, "too full: crystals can come", "soft", "start", (4, 20))
    plot.words(96, low, "it all stays dissolved", "soft", "end", (0, -10))
    plot.words(62, _on(full, 62), "just full", "glaze", "start", (4, 20))
    if abs(y - _on(full, x)) > 0.3:
        plot.line([(x, y), (x, _on(full, x))], "berry", "2 4")
    plot.mine(x, y, "your pan")
    holds = _on(full, x)
    side = "above" if y > holds + 0.05 else "below" if y < holds - 0.05 else "on"
    return plot.figure(
        f"The curve of the syrup that is just full, from {number(full[0][1])} °Bx at 0 °C "
        f"to {number(full[-1][1])} °Bx at 100 °C. Your pan, {number(y)} °Bx at {number(x)} °C, "
        f"lies {side} it.",
        f"Your pan lies {side} the curve"
        + {
            "above": ": it holds more sugar than the water can keep at that temperature.",
            "below": ": the water could take more sugar at that temperature.",
            "on": ": the water holds all it can keep at that temperature.",
        }[side],
    )


def _on(curve: Sequence[Point], x: float) -> float:
    from calculators.units import interpolate

    return interpolate(min(max(x, curve[0][0]), curve[-1][0]), curve)


# --- cooling to the window -------------------------------------------------------------


def _cooling(given: Mapping[str, Any], answer: Any) -> str:
    """Draw how a stirred glaze cools, the window of this kitchen, and the reader's point."""
    from calculators import cooling

    kitchen = given["kitchen"].kitchen
    steady = {n: given[n] for n in ("start", "surroundings", "time_constant")}
    if "time" in given:
        x, y = given["time"].m_as("min"), answer.m_as("degC")
    else:
        x, y = answer.m_as("min"), given["target"].m_as("degC")
    last = max(1.8 * x, 1.5 * steady["time_constant"].m_as("min"))
    curve = [
        (last * n / 48, cooling.temperature_after(q(last * n / 48, "min"), **steady).m_as("degC"))
        for n in range(49)
    ]
    low, high = kitchen.window_low.m_as("degC"), kitchen.window_high.m_as("degC")
    temperatures = [t for _, t in curve] + [low, high]
    room = 0.06 * (max(temperatures) - min(temperatures))
    plot = Plot(
        (0, last),
        (min(temperatures) - room, max(temperatures) + room),
        "time, min",
        "temperature, °C",
    )
    plot.wash([(0, low), (last, low), (last, high), (0, high)])
    plot.words(0, (low + high) / 2, f"pour: {number(low)} to {number(high)} °C", shift=(6, 4.5))
    plot.line(curve)
    plot.mine(x, y, f"{number(x)} min, {number(y)} °C")
    inside = "inside" if low <= y <= high else "above" if y > high else "below"
    return plot.figure(
        f"A curve from {say(steady['start'])} towards {say(steady['surroundings'])}. Your point, "
        f"{number(x)} min and {number(y)} °C, lies {inside} the pouring window of "
        f"{number(low)} to {number(high)} °C.",
        f"After {number(x)} min the glaze is {inside} this kitchen's window.",
    )


# --- the marble -----------------------------------------------------------------------


def _marble(given: Mapping[str, Any], answer: Any) -> str:
    """Draw a marbled puddle in which each colour has its share."""
    from calculators import marbling
    from calculators.marbling.shades import shades

    shares = given["shares"]
    main = given.get("main") or max(shares, key=lambda name: shares[name])
    stroke = marbling.Tine(angle=35, y=0.1, pull=0.45, reach=0.22)
    pattern = marbling.pattern(shares, main, (stroke,))
    hues = shades(list(shares))
    patches = "".join(
        f'<polygon points="{" ".join(f"{98 + 94 * x:.1f},{135 - 94 * y:.1f}" for x, y in p.outline)}" '
        f'fill="{hues[p.colour]}" stroke="var(--soft)" stroke-width=".5"/>'
        for p in pattern.patches
    )
    keys = "".join(
        f'<rect x="206" y="{66 + 42 * n}" width="20" height="20" rx="3" fill="{hues[name]}" '
        f'stroke="var(--soft)"/><text x="231" y="{74 + 42 * n}" fill="var(--ink)">'
        f'{escape(name)}</text><text x="231" y="{91 + 42 * n}" fill="var(--ink)">'
        f"{escape(say(share.to('percent')))}</text>"
        for n, (name, share) in enumerate(shares.items())
    )
    told = ", ".join(f"{name} {say(share.to('percent'))}" for name, share in shares.items())
    return figure(
        f"{patches}{keys}",
        WIDE,
        HIGH,
        f"A marbled puddle seen from above: {told} of its surface.",
        "An illustration of the shares; no two pours marble alike.",
    )


_DRAWN: dict[str, Callable[[Mapping[str, Any], Any], str]] = {
    "syrup.solubility": _holding,
    "syrup.supersaturation": _holding,
    "syrup.full_at": _holding,
    "cooling.temperature_after": _cooling,
    "cooling.time_to": _cooling,
    "marbling.split": _marble,
    "marbling.dominance": _marble,
    "marbling.layers": _marble,
    "marbling.split_with_cling": _marble,
}


def sketch(name: str, given: Mapping[str, Any], answer: Any) -> str:
    """Return the drawing of a panel as HTML; nothing where a number says enough.

    Parameters
    ----------
    name : str
        The calculator.
    given : mapping
        Its arguments, and under ``kitchen`` who knows the kitchen.
    answer : object
        What the calculator answered.
    """
    draw = _DRAWN.get(name)
    return draw(given, answer) if draw else ""
