"""Pictures: one style, told apart by everybody, the same every time."""

from __future__ import annotations

import math
import re
from itertools import combinations

import pytest

from calculators import colour
from calculators.units import q
from course.kit.figures import BERRY, INK, PAPER, QUIET, SERIES, dot, drawing, picture
from course.kit.pictures import syrup

# Machado, Oliveira and Fernandes 2009, A physiologically-based model for simulation of
# colour vision deficiency, matrices for severity 1.0 (published; as colour-science holds them).
DEFICIENT = {
    "protan": (
        (0.152286, 1.052583, -0.204868),
        (0.114503, 0.786281, 0.099216),
        (-0.003882, -0.048116, 1.051998),
    ),
    "deutan": (
        (0.367322, 0.860646, -0.227968),
        (0.280085, 0.672501, 0.047413),
        (-0.011820, 0.042940, 0.968881),
    ),
    "tritan": (
        (1.255528, -0.076749, -0.178779),
        (-0.078411, 0.930809, 0.147602),
        (0.004733, 0.691367, 0.303900),
    ),
}


def linear(code: str) -> list[float]:
    parts = [int(code[n : n + 2], 16) / 255 for n in (1, 3, 5)]
    return [c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in parts]


def coded(rgb: list[float]) -> str:
    out = []
    for c in rgb:
        c = min(1.0, max(0.0, c))
        out.append(12.92 * c if c <= 0.0031308 else 1.055 * c ** (1 / 2.4) - 0.055)
    return "#" + "".join(f"{round(255 * c):02x}" for c in out)


def seen(code: str, kind: str) -> str:
    rgb = linear(code)
    return coded(
        [
            math.sumprod(row, rgb)
            if hasattr(math, "sumprod")
            else sum(a * b for a, b in zip(row, rgb, strict=True))
            for row in DEFICIENT[kind]
        ]
    )


def luminance(code: str) -> float:
    red, green, blue = linear(code)
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


def contrast(one: str, other: str) -> float:
    high, low = sorted((luminance(one), luminance(other)), reverse=True)
    return (high + 0.05) / (low + 0.05)


@pytest.mark.parametrize("kind", DEFICIENT)
def test_kitchen_and_neighbour_are_told_apart_by_the_colour_blind(kind: str) -> None:
    mine, beside = seen(SERIES[1], kind), seen(SERIES[0], kind)
    assert colour.difference(colour.lab(mine), colour.lab(beside)).m > 20


@pytest.mark.parametrize(("one", "other"), list(combinations(SERIES, 2)))
def test_lines_are_told_apart_by_everybody_else(one: str, other: str) -> None:
    assert colour.difference(colour.lab(one), colour.lab(other)).m > 20


# WCAG 2.2, success criteria 1.4.3 and 1.4.6, and the house's own 7:1 for text (published)
@pytest.mark.parametrize("ink", [INK, BERRY, *SERIES])
def test_ink_is_read_easily_on_paper(ink: str) -> None:
    assert contrast(ink, PAPER) >= 4.5


def test_text_has_seven_to_one() -> None:
    assert contrast(INK, PAPER) >= 7
    assert contrast(QUIET, PAPER) >= 4.5


def test_a_picture_is_the_same_every_time() -> None:
    def once() -> str:
        return syrup.strength_and_density(q(65, "percent"), q(20, "degC")).svg

    assert once() == once()


def test_a_picture_names_its_colours_and_keeps_its_text() -> None:
    with drawing() as (figure, axes):
        dot(axes, 1, 2, "this kitchen")
        svg = picture(figure, "a dot", "see the dot").svg
    assert "this kitchen" in re.sub(r"<[^>]+>", " ", svg)
    assert "var(--berry" in svg
    assert not re.search(r"(?:fill|stroke): ?#[0-9a-f]{6}", svg.replace("#ffffff", ""))
    assert "http" not in re.sub(r'xmlns(:\w+)?="[^"]+"', "", svg)


def test_the_page_form_says_what_is_seen() -> None:
    shown = syrup.strength_and_density(q(65, "percent"), q(20, "degC"))
    assert 'role="img"' in shown.html()
    assert "1317 g" in shown.text()  # ICUMSA SPS-4, 65 % at 20 °C: 1316.56 kg/m³ (published)
    assert "<figcaption>" in shown.html()
