"""The words of drawings, read on what truly lies under them, in both lights and widths."""

from __future__ import annotations

from pathlib import Path

import pytest

from course.lessons.modules import modules
from tests.browser.pages import chromium, needs_chromium, site_of
from tests.course.test_look import contrast

pytestmark = [pytest.mark.browser, needs_chromium, pytest.mark.xdist_group(__name__)]

LESSONS = [slug for module in modules().values() for slug in module.lessons]

# Each word of each drawing that is shown: what it says, its colour, and the colour under its
# middle, of all shapes drawn before it that are not cut away there.  A stroke that is painted
# before the letters counts as their ground.
WORDS = """() => {
  const read = (code) => { const n = code.match(/[\\d.]+/g).map(Number); return [...n.slice(0, 3), n[3] ?? 1]; };
  const over = (top, under) => [0, 1, 2].map((k) => top[k] * top[3] + under[k] * (1 - top[3])).concat(1);
  const hex = (c) => "#" + c.slice(0, 3).map((v) => Math.round(v).toString(16).padStart(2, "0")).join("");
  const paint = (style, what) => {
    if (!style[what].startsWith("rgb")) return null;
    const c = read(style[what]);
    c[3] *= style[`${what}Opacity`] * style.opacity;
    return c[3] ? c : null;
  };
  const behind = (one) => {
    const under = one.parentElement ? behind(one.parentElement) : [255, 255, 255, 1];
    return over(read(getComputedStyle(one).backgroundColor), under);
  };
  const holds = (shape, x, y) => {
    const at = new DOMPoint(x, y).matrixTransform(shape.getScreenCTM().inverse());
    const cut = document.getElementById(shape.getAttribute("clip-path")?.match(/#([^)"]+)/)?.[1]);
    return shape.isPointInFill(at) && (!cut || cut.firstElementChild.isPointInFill(at));
  };
  document.querySelectorAll("details").forEach((one) => { one.open = true; });
  const found = [];
  for (const svg of document.querySelectorAll("article svg")) {
    if (!svg.getBoundingClientRect().width) continue;
    const all = [...svg.querySelectorAll("path, rect, circle, ellipse, polygon, text")]
      .filter((one) => !one.closest("defs, clipPath, symbol, marker"));
    for (const [n, text] of all.entries()) {
      const box = text.getBoundingClientRect(), said = text.textContent.trim();
      if (text.tagName !== "text" || !box.width || !said) continue;
      const style = getComputedStyle(text.querySelector("tspan") ?? text);
      let ground = behind(svg);
      for (const shape of all.slice(0, n)) {
        const fill = shape.tagName !== "text" && paint(getComputedStyle(shape), "fill");
        if (fill && holds(shape, box.x + box.width / 2, box.y + box.height / 2)) ground = over(fill, ground);
      }
      const halo = style.paintOrder.startsWith("stroke") && paint(style, "stroke");
      if (halo) ground = over(halo, ground);
      found.push([said, hex(over(paint(style, "fill") ?? ground, ground)), hex(ground)]);
    }
  }
  return found; }"""


@pytest.fixture(scope="module")
def site() -> Path:
    return site_of("student")


@pytest.mark.parametrize("evening", [False, True], ids=["day", "evening"])
@pytest.mark.parametrize("width", [1280, 390])
def test_the_words_of_drawings_are_read_on_what_lies_under_them(
    site: Path, width: int, evening: bool
) -> None:
    """WCAG 2.2, success criterion 1.4.3: 4.5 to 1 (published)."""
    faint, seen = {}, 0
    with chromium(width, evening=evening) as page:
        for slug in LESSONS:
            page.goto((site / f"lessons/{slug}.html").as_uri())
            words = page.evaluate(WORDS)
            seen += len(words)
            for said, colour, ground in words:
                if contrast(colour, ground) < 4.5:
                    faint[slug, said] = colour, ground
    assert seen > 500
    assert faint == {}


def test_a_pale_word_on_a_dark_shape_and_one_on_a_cut_shape_are_told_apart() -> None:
    drawing = """<article style="background: #eeeeee"><svg width="200" height="100">
        <clipPath id="half"><rect width="100" height="100"/></clipPath>
        <rect width="200" height="100" fill="#222222" clip-path="url(#half)"/>
        <text x="20" y="50" fill="#ffffff">left</text>
        <text x="140" y="50" fill="#ffffff">right</text></svg></article>"""
    with chromium() as page:
        page.set_content(drawing)
        (_, white, dark), (_, _, pale) = page.evaluate(WORDS)
    assert contrast(white, dark) > 15
    assert pale == "#eeeeee"
