"""The site in Chromium with the network cut: whole, quiet, readable by everybody."""

from __future__ import annotations

from pathlib import Path
from threading import Thread

import pytest

from course.lessons.modules import modules
from course.site.show import server
from tests.browser.pages import chromium, faults_of, needs_chromium, site_of

pytestmark = [pytest.mark.browser, needs_chromium, pytest.mark.xdist_group(__name__)]

PAGES = [
    "index",
    "stand",
    "glossary",
    "solutions",
    "reference",
    "reference-mixture",
    "sources",
    "search",
]
LESSONS = [f"lessons/{slug}" for module in modules().values() for slug in module.lessons]


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
    found = {}
    with chromium(width, evening=evening) as page:
        for name in [*PAGES, *LESSONS]:
            page.goto((site / f"{name}.html").as_uri())
            if faults := faults_of(page):
                found[name] = faults
    assert found == {}


def test_a_pale_word_and_a_picture_without_words_are_faults() -> None:
    with chromium() as page:
        page.set_content("<p style='color: #ccc; background: #fff'>Pale</p><img src='data:,'>")
        report = faults_of(page)
    assert "color-contrast" in report
    assert "image-alt" in report


# Each picture that is shown: its kind, its smallest words in px, words cut off or on others.
PICTURES = """() => [...document.querySelectorAll("figure svg")]
  .filter((svg) => getComputedStyle(svg).display !== "none" && svg.getBoundingClientRect().width)
  .map((svg) => {
    const frame = svg.getBoundingClientRect();
    const words = [...svg.querySelectorAll("text")].map((text) => {
      const { left, right, top, bottom } = text.getBoundingClientRect();
      const px = parseFloat(getComputedStyle(text).fontSize) * svg.getScreenCTM().a;
      return { said: text.textContent.trim(), left, right, top, bottom, px };
    });
    const on = (a, b) => Math.min(a.right, b.right) - Math.max(a.left, b.left) > 2
      && Math.min(a.bottom, b.bottom) - Math.max(a.top, b.top) > 0.3 * (a.bottom - a.top);
    return {
      name: svg.getAttribute("aria-label"),
      spoken: svg.getAttribute("role") === "img",
      phone: svg.classList.contains("gb-phone"),
      twice: svg.parentElement.classList.contains("gb-twice"),
      px: Math.min(...words.map((word) => word.px)),
      cut: words.filter((w) => w.left < frame.left - 1 || w.right > frame.right + 1)
        .map((w) => w.said),
      on: words.flatMap((a, n) => words.slice(n + 1).filter((b) => on(a, b))
        .map((b) => [a.said, b.said])),
    };
  })"""


@pytest.mark.parametrize("width", [1280, 390])
def test_the_words_of_every_picture_are_large_whole_and_apart(site: Path, width: int) -> None:
    with chromium(width) as page:
        for name in LESSONS:
            page.goto((site / f"{name}.html").as_uri())
            shown = page.evaluate(PICTURES)
            drawn_twice = [picture for picture in shown if picture["twice"]]
            assert len(drawn_twice) == page.locator(".gb-twice").count() > 0, name
            for picture in shown:
                assert picture["spoken"], picture
                assert picture["phone"] == (picture["twice"] and width == 390)
                assert picture["px"] >= 12, picture
                assert (picture["cut"], picture["on"]) == ([], []), picture


def test_a_printed_page_has_each_picture_once_as_on_a_page_in_black(site: Path) -> None:
    ink = "getComputedStyle(document.documentElement).getPropertyValue('--ink')"
    with chromium(390, evening=True) as page:
        page.goto((site / "lessons/pour.html").as_uri())
        page.emulate_media(media="print", color_scheme="dark")
        assert page.evaluate(ink).strip() == "#000"
        shown = [one for one in page.evaluate(PICTURES) if one["twice"]]
        assert len(shown) == page.locator(".gb-twice").count() > 0
        assert not any(one["phone"] for one in shown)


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
    from playwright.sync_api import expect

    with chromium() as page:
        page.goto((site / "index.html").as_uri())
        page.locator(".sheet > summary").click()
        page.get_by_label("Look for a word or a fault").fill("refractometer")
        page.keyboard.press("Enter")
        found = page.locator("#search-results")
        expect(found).to_contain_text("How strong is it?", timeout=20_000)


def test_what_is_found_is_said_in_plain_words_and_a_word_by_its_name(
    site: Path,
) -> None:
    from playwright.sync_api import expect

    with chromium() as page:
        page.goto((site / "search.html").as_uri() + "?q=gelatin")
        found = page.locator("#search-results")
        expect(found).to_contain_text("Words: leaf gelatin", timeout=20_000)
        expect(found).to_contain_text("Places found: ")
        page.goto((site / "search.html").as_uri() + "?q=zzzz")
        expect(found).to_contain_text("Nothing was found.", timeout=20_000)
        assert page.said == []


def test_from_a_server_a_search_shows_the_words_around(site: Path) -> None:
    from playwright.sync_api import expect

    running = server(site, 0)
    Thread(target=running.serve_forever, daemon=True).start()
    try:
        with chromium(390) as page:
            page.goto(f"http://127.0.0.1:{running.server_port}/search.html?q=refractometer")
            one = page.locator("#search-results li:has-text('How strong is it?')").first
            expect(one.locator("p")).to_contain_text("refractometer", timeout=20_000)
            expect(page.locator("#search-results")).not_to_contain_text("='")
            assert page.said == []
    finally:
        running.shutdown()
        running.server_close()


def test_nothing_scrolls_sideways_on_a_narrow_phone_or_in_letters_twice_as_large(
    site: Path,
) -> None:
    found = {}
    for width, letters in ((320, 100), (390, 200)):
        with chromium(width) as page:
            for name in [*PAGES, *LESSONS]:
                page.goto((site / f"{name}.html").as_uri())
                wide = page.evaluate(
                    """letters => {
                      if (letters > 100) document.documentElement.style.fontSize = `${letters}%`;
                      document.querySelectorAll("details").forEach((one) => { one.open = true; });
                      return document.documentElement.scrollWidth; }""",
                    letters,
                )
                if wide > width:
                    found[name, letters] = wide
    assert found == {}


def test_a_table_too_wide_for_a_phone_stacks_and_names_its_columns(site: Path) -> None:
    shown = "cell => [getComputedStyle(cell).display, getComputedStyle(cell, '::before').content]"
    for width, wanted in ((320, ["block", '"low DE: "']), (1280, ["table-cell", "none"])):
        with chromium(width) as page:
            page.goto((site / "lessons/glucose-tub.html").as_uri())
            cell = page.locator("table:has(th:has-text('high DE')) td[data-h^='low DE']").first
            assert cell.evaluate(shown)[0] == wanted[0]
            assert cell.evaluate(shown)[1].startswith(wanted[1][:7])


def test_the_light_is_kept_from_page_to_page(site: Path) -> None:
    with chromium() as page:
        page.goto((site / "index.html").as_uri())
        page.locator(".sheet > summary").click()
        page.get_by_role("button", name="Evening light").click()
        assert page.evaluate("document.documentElement.dataset.light") == "evening"
        page.reload()
        assert page.evaluate("document.documentElement.dataset.light") == "evening"


def test_a_browser_that_keeps_nothing_searches_and_changes_its_light(
    site: Path,
) -> None:
    from playwright.sync_api import expect

    with chromium(390) as page:
        page.add_init_script(
            "Object.defineProperty(window, 'localStorage', {configurable: true,"
            " get() { throw new DOMException('no', 'SecurityError'); }});"
        )
        page.goto((site / "index.html").as_uri())
        page.locator(".sheet > summary").click()
        page.get_by_role("button", name="Evening light").click()
        assert page.evaluate("document.documentElement.dataset.light") == "evening"
        page.goto((site / "search.html").as_uri() + "?q=gelatin")
        found = page.locator("#search-results")
        expect(found).to_contain_text("What kills a set?", timeout=20_000)
        assert page.said == []


def test_the_keyboard_reaches_the_text_first(site: Path) -> None:
    with chromium() as page:
        page.goto((site / "index.html").as_uri())
        page.keyboard.press("Tab")
        assert page.evaluate("document.activeElement.textContent") == "To the text"
        page.keyboard.press("Enter")
        page.wait_for_function("document.activeElement.id === 'text'")


def test_touch_targets_on_a_phone_are_large_enough(site: Path) -> None:
    with chromium(390) as page:
        page.goto((site / "index.html").as_uri())
        page.locator(".sheet > summary").click()
        for target in page.locator(".sheet a, .sheet > summary, button, input, .way").all():
            if target.is_visible():
                assert target.bounding_box()["height"] >= 44


def test_what_script_makes_a_region_has_a_name_of_its_own(site: Path) -> None:
    """Formulas that are wider than a phone can be moved, and so become regions."""
    names = """() => { document.querySelectorAll("details").forEach((one) => { one.open = true; });
        dispatchEvent(new Event("resize"));
        return [...document.querySelectorAll("[role=region]")].map((one) => one.ariaLabel); }"""
    seen = 0
    with chromium(320) as page:
        for name in LESSONS:
            page.goto((site / f"{name}.html").as_uri())
            told = page.evaluate(names)
            assert all(told), name
            assert len(told) == len(set(told)), (name, told)
            seen += len(told)
    assert seen > 10


# --- folds and paper --------------------------------------------------------------------


def test_a_link_into_a_fold_opens_it_and_paper_shows_every_fold(site: Path) -> None:
    fold = "#further-why-it-reads-too-high"
    inside = f"{fold} > div > p >> nth=0"
    with chromium() as page:
        page.goto((site / "lessons/glucose-tub.html").as_uri())
        assert not page.is_visible(inside)
        page.evaluate(f"location.hash = '{fold}'")
        page.wait_for_selector(inside, state="visible")
    for script in (True, False):
        with chromium(java_script_enabled=script) as page:
            page.goto((site / "lessons/glucose-tub.html").as_uri())
            assert not page.is_visible(inside)
            page.emulate_media(media="print")
            assert page.locator(f"{fold} > div").bounding_box()["height"] > 50


def test_on_paper_no_label_of_the_method_and_no_word_is_torn_from_what_it_says(site: Path) -> None:
    """A name or a label at the foot of one sheet, and what it means on the next, help nobody."""
    whole = """[...document.querySelectorAll(".gb-method dl, .gb-word")]
        .map((one) => getComputedStyle(one).breakInside)"""
    named = """[...document.querySelectorAll(".gb-method-title, .gb-step")]
        .map((one) => getComputedStyle(one).breakAfter)"""
    with chromium() as page:
        page.emulate_media(media="print")
        page.goto((site / "lessons/make-it.html").as_uri())
        found = [page.evaluate(whole), page.evaluate(named)]
    assert min(map(len, found)) > 20
    assert [set(styles) for styles in found] == [{"avoid"}, {"avoid"}]


def test_no_block_of_a_printed_lesson_pushes_half_a_sheet_aside(site: Path) -> None:
    """What must not be broken is lower than half of an A4 sheet within its margins."""
    sheet = 297 - 2 * 15  # mm, as the style's @page has it
    tall = """most => [...document.querySelectorAll("article *")].filter((one) =>
        getComputedStyle(one).breakInside === "avoid" && one.getBoundingClientRect().height > most)
        .map((one) => `${one.tagName}.${one.className}`)"""
    found = {}
    with chromium(round((210 - 2 * 15) / 25.4 * 96)) as page:
        page.emulate_media(media="print")
        for name in LESSONS:
            page.goto((site / f"{name}.html").as_uri())
            page.evaluate("dispatchEvent(new Event('beforeprint'))")
            if blocks := page.evaluate(tall, sheet / 2 / 25.4 * 96):
                found[name] = blocks
    assert found == {}
