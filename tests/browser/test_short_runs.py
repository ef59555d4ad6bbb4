"""The short runs of the lessons by keyboard: from a server and from a file, by day and evening."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

import pytest

from exercises.rehearsal.short import SHORTS
from tests.browser.pages import chromium, faults_of, needs_chromium, served, site_of

pytestmark = [pytest.mark.browser, pytest.mark.xdist_group("site")]

START = 90_000  # ms, to get the course's Python on a busy machine
FORM = "form.gb-run"
ACTIONS: dict[str, list[tuple[str, dict[str, str]]]] = {
    "soak": [("soak", {"minutes": "12"}), ("add gelatin", {})],
    "blend": [("blend", {"lifted": "8"}), ("pour", {})],
    "share": [("split", {}), ("colour", {"shade": "green"}), ("layer", {})],
    "pour": [("read", {}), ("take cakes out", {}), ("pour", {})],
}
ROOMS = [("http", 390, False), ("file", 320, True), ("http", 1280, True), ("file", 390, False)]


@pytest.fixture(scope="module")
def address() -> Iterator[str]:
    with served(site_of()) as where:
        yield where


def by_keyboard(page: Any, do: str, values: dict[str, str], count: int) -> None:
    """Choose an action, fill its boxes and do it, without a mouse."""
    page.focus(f"{FORM} [data-deed]")
    page.select_option(f"{FORM} [data-deed]", do)
    for name, value in values.items():
        box = page.locator(f"{FORM} [name={name}]")
        if box.evaluate("box => box.tagName") == "SELECT":
            box.select_option(value)
        else:
            box.fill(value)
    page.focus(f"{FORM} [data-choosing] .gb-button")
    page.keyboard.press("Enter")
    page.wait_for_function(
        f"document.querySelectorAll('[data-done] li').length === {count}", timeout=START
    )


@needs_chromium
@pytest.mark.parametrize(("name", "room"), list(zip(SHORTS, ROOMS, strict=True)))
def test_a_short_run_by_keyboard_ends_by_itself_and_is_kept_over_a_reload(
    address: str, name: str, room: tuple[str, int, bool]
) -> None:
    way, width, evening = room
    base = address if way == "http" else f"{site_of().as_uri()}/"
    with chromium(width, evening=evening, reduced_motion="reduce") as page:
        page.goto(f"{base}lessons/{SHORTS[name].lesson}.html")
        assert SHORTS[name].asks[:40] in page.inner_text(FORM)
        assert not page.is_visible(f"{FORM} [data-deed]")  # nothing starts unasked
        page.focus(f"{FORM} [data-new]")
        page.keyboard.press("Enter")
        page.wait_for_selector(f"{FORM} [data-deed]", state="visible", timeout=START)
        actions = ACTIONS[name]
        for count, (do, values) in enumerate(actions[:-1], 1):
            by_keyboard(page, do, values, count)
        page.reload()
        assert page.inner_text(f"{FORM} [data-new]") == "Go on"
        page.focus(f"{FORM} [data-new]")
        page.keyboard.press("Enter")
        page.wait_for_function(
            f"document.querySelectorAll('[data-done] li').length === {len(actions) - 1}",
            timeout=START,
        )
        besides = 2 if name == "blend" else 0  # the cakes are taken out and wiped for them
        by_keyboard(page, *actions[-1], len(actions) + besides)
        page.wait_for_selector(f"{FORM} [data-ended] table", timeout=START)
        assert page.evaluate("document.activeElement.matches('[data-ended]')")
        assert not page.is_visible(f"{FORM} [data-choosing]")
        assert page.locator(f"{FORM} [data-ended] a[href='../dry-run.html']").count() == 1
        for picture in page.locator(f"{FORM} img").all():
            picture.scroll_into_view_if_needed()
            assert picture.evaluate("one => one.decode().then(() => one.naturalWidth)") > 0
        assert page.evaluate("document.documentElement.scrollWidth") <= width
        assert page.asked == []
        assert page.said == []
        if way == "http":  # from a file axe itself asks for what may not be fetched
            assert faults_of(page) == ""


@needs_chromium
def test_without_a_script_a_short_run_says_so_in_one_line(address: str) -> None:
    with chromium(390, java_script_enabled=False) as page:
        page.goto(f"{address}lessons/{SHORTS['pour'].lesson}.html")
        said = page.inner_text(f"{FORM} .gb-says")
        assert "where scripts may run" in said
        assert "\n" not in said
        assert page.is_disabled(f"{FORM} [data-new]")
        assert page.is_visible(f"{FORM} [data-bench] svg")
