"""The site in Chromium with the network cut: whole, quiet, readable by everybody."""

from __future__ import annotations

from pathlib import Path

import pytest

from course.modules import modules
from tests.browser.pages import chromium, needs_chromium, site_of

pytestmark = [pytest.mark.browser, needs_chromium, pytest.mark.xdist_group("site")]

PAGES = ["index", "glossary", "reference", "sources", "search"]
LESSONS = [
    f"lessons/{slug}" for module in modules().values() for slug in module.lessons
]
WCAG = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa"]


@pytest.fixture(scope="module")
def site() -> Path:
    return site_of("student")


@pytest.mark.parametrize("width", [1280, 390])
def test_every_page_is_whole_with_the_network_cut(site: Path, width: int) -> None:
    with chromium(width) as page:
        for name in [*PAGES, *LESSONS]:
            page.goto((site / f"{name}.html").as_uri())
            assert page.locator("h1").count() == 1, name
            wide = page.evaluate("document.documentElement.scrollWidth")
            assert wide <= width, f"{name} scrolls sideways: {wide} px"
        assert page.asked == []
        assert page.said == []


@pytest.mark.parametrize("evening", [False, True], ids=["day", "evening"])
@pytest.mark.parametrize("width", [1280, 390])
def test_every_page_meets_wcag_2_2_aa(site: Path, width: int, evening: bool) -> None:
    from axe_playwright_python.sync_playwright import Axe

    found = {}
    with chromium(width, evening=evening) as page:
        for name in [*PAGES, *LESSONS]:
            page.goto((site / f"{name}.html").as_uri())
            result = Axe().run(
                page, options={"runOnly": {"type": "tag", "values": WCAG}}
            )
            if result.violations_count:
                found[name] = result.generate_snapshot()
    assert found == {}


def test_a_formula_is_drawn(site: Path) -> None:
    with chromium() as page:
        page.goto((site / "lessons/how-strong.html").as_uri())
        box = page.locator("math").first.bounding_box()
        assert box["width"] > 50
        assert box["height"] > 15


def test_a_sign_between_two_words_of_a_formula_has_room(site: Path) -> None:
    gap = """() => [...document.querySelectorAll("mo")].filter((sign) =>
        "−×+".includes(sign.textContent.trim()) &&
        /[a-z]{2}/.test(sign.previousElementSibling?.textContent || "") &&
        /[a-z]{2}/.test(sign.nextElementSibling?.textContent || "")
      ).map((sign) => sign.nextElementSibling.getBoundingClientRect().left
        - sign.previousElementSibling.getBoundingClientRect().right
        - sign.getBoundingClientRect().width)"""
    with chromium() as page:
        page.goto((site / "lessons/pour.html").as_uri())
        gaps = page.evaluate(gap)
    assert gaps
    assert min(gaps) > 1


def test_searching_works_from_a_file(site: Path) -> None:
    with chromium() as page:
        page.goto((site / "index.html").as_uri())
        page.get_by_label("Search the course").fill("refractometer")
        page.keyboard.press("Enter")
        page.wait_for_selector("#search-results li")
        assert "How strong is it?" in page.locator("#search-results").inner_text()


def test_the_light_is_kept_from_page_to_page(site: Path) -> None:
    with chromium() as page:
        page.goto((site / "index.html").as_uri())
        page.get_by_role("button", name="Evening light").click()
        assert page.evaluate("document.documentElement.dataset.light") == "evening"
        page.reload()
        assert page.evaluate("document.documentElement.dataset.light") == "evening"


def test_the_keyboard_reaches_the_text_first(site: Path) -> None:
    with chromium() as page:
        page.goto((site / "index.html").as_uri())
        page.keyboard.press("Tab")
        assert page.evaluate("document.activeElement.textContent") == "To the text"
        page.keyboard.press("Enter")
        assert page.evaluate("document.activeElement.id") == "lesson"


def test_touch_targets_on_a_phone_are_large_enough(site: Path) -> None:
    with chromium(390) as page:
        page.goto((site / "index.html").as_uri())
        page.locator("#gb-fold > summary").click()
        for target in page.locator(
            ".gb-modules a, .gb-fold > summary, button, input"
        ).all():
            if target.is_visible():
                assert target.bounding_box()["height"] >= 44
