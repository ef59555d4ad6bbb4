"""The dry run by keyboard in Chromium and Firefox: to its end, kept over a reload."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from exercises.rehearsal.log import read_log, written_log
from tests.browser.firefox import Firefox, firefox, needs_firefox
from tests.browser.pages import chromium, faults_of, needs_chromium, served, site_of

pytestmark = [pytest.mark.browser, pytest.mark.xdist_group(__name__)]

START = 90_000  # ms, to get the course's Python on a busy machine
DONE = "document.querySelectorAll('[data-done] li').length"
NEXT = "document.querySelector('[data-next] button')"


@pytest.fixture(scope="module")
def address() -> Iterator[str]:
    with served(site_of()) as where:
        yield f"{where}dry-run.html"


def done(page: Any, count: int) -> None:
    page.wait_for_function(f"{DONE} === {count}", timeout=START)


@needs_chromium
def test_a_guided_run_by_keyboard_ends_as_python_says_it_ends(address: str) -> None:
    with chromium(390) as page:
        page.goto(address)
        page.wait_for_selector("[data-next] button", timeout=START)
        page.focus("[data-next] button")
        count = 0
        while page.is_visible("[data-next] button"):
            page.keyboard.press("Enter")
            count += 1
            done(page, count)
            if count == 9:  # a reload takes nothing away
                told = page.inner_text("[data-bench]")
                page.reload()
                done(page, count)
                assert page.inner_text("[data-bench]") == told
                page.focus("[data-next] button")
        assert count > 25
        page.focus("[data-end]")
        page.keyboard.press("Enter")
        page.wait_for_selector("[data-ended] table")
        assert page.evaluate("document.documentElement.scrollWidth") == 390
        with page.expect_download() as download:
            page.evaluate("document.querySelector('[data-keep]').click()")
        log = Path(download.value.path()).read_text(encoding="utf-8")
        run = read_log(log)  # refused unless it ends alike
        assert run.state.cakes.plated
        assert written_log(run) == log
        assert faults_of(page) == ""
        assert page.asked == []
        assert page.said == []


@needs_chromium
def test_a_set_run_is_saved_for_handing_in_and_loaded_step_by_step(
    address: str, tmp_path: Path
) -> None:
    with chromium(390) as page:
        page.goto(address)
        page.wait_for_selector("[data-next] button", timeout=START)
        page.select_option("#gb-which", "before-the-pour")
        page.click("[data-new]")
        page.wait_for_function("document.querySelector('[data-next]').hidden")
        assert page.is_disabled("#gb-way")
        for count, deed in enumerate(("check thermometer", "check pan", "cold water"), 1):
            page.select_option("#gb-deed", deed)
            page.click("button:has-text('Do it')")
            done(page, count)
        page.click("summary:has-text('hand it in')")
        page.fill("#gb-student", "Ada Linden")
        with page.expect_download() as download:
            page.keyboard.press("Enter")
        assert download.value.suggested_filename == "before-the-pour-Ada-Linden.run.json"
        done(page, 3)  # Enter saved, and did nothing at the bench
        saved = tmp_path / "a.run.json"
        download.value.save_as(saved)
        run = read_log(saved.read_text(encoding="utf-8"))
        assert (run.name, run.student, run.state.known_error) == (
            "before-the-pour",
            "Ada Linden",
            3,
        )
        page.click("[data-new]")
        done(page, 0)  # a file holds it: nothing is asked
        page.click("button:has-text('Do it')")
        done(page, 1)
        page.click("[data-new]")
        assert page.inner_text("[data-sure]").startswith("The one step of this run would go.")
        page.click("button:has-text('Do it')")
        done(page, 2)
        assert page.inner_text("[data-sure]") == ""
        page.click("[data-new]")
        done(page, 2)
        page.click("[data-new]")
        done(page, 0)
        page.set_input_files("#gb-load", saved)
        page.wait_for_selector("[data-next] button")
        for count in (1, 2, 3):
            page.click("[data-next] button")
            done(page, count)
        page.wait_for_function("document.querySelector('[data-next]').hidden")
        page.set_input_files("#gb-load", {"name": "a.json", "mimeType": "", "buffer": b"{}"})
        page.wait_for_function(
            "document.querySelector('[data-said]').textContent.includes('not the log of a run')"
        )
        done(page, 3)
        assert faults_of(page) == ""
        assert page.said == []


@needs_chromium
def test_a_free_run_takes_numbers_stops_for_safety_and_goes_back(address: str) -> None:
    with chromium(390, evening=True, reduced_motion="reduce") as page:
        page.goto(address)
        page.wait_for_selector("[data-next] button", timeout=START)
        page.select_option("#gb-way", "free")
        page.click("[data-new]")
        page.wait_for_function("document.querySelector('[data-next]').hidden")
        page.select_option("#gb-deed", "weigh")
        page.fill("[name=grams]", "250,5")
        page.keyboard.press("Enter")
        done(page, 1)
        assert "The scale shows 250 g of water" in page.inner_text("[data-said]")
        page.fill("[name=grams]", "much")
        page.keyboard.press("Enter")
        page.wait_for_function(
            "document.querySelector('.gb-says').textContent.includes('not a number')"
        )
        page.select_option("#gb-deed", "heat")
        page.focus("[name=minutes]")
        page.keyboard.press("Enter")
        done(page, 2)
        assert "Look at the pan first" in page.inner_text("[data-said]")
        page.focus("details:has([data-done]) summary")
        page.keyboard.press("Enter")
        page.focus("[data-done] [data-back='1']")
        page.keyboard.press("Enter")
        done(page, 1)
        assert faults_of(page) == ""
        assert page.said == []


@pytest.fixture(scope="module")
def browser(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Firefox]:
    folders = (tmp_path_factory.mktemp(name) for name in ("profile", "downloads"))
    with firefox(*folders) as running:
        yield running


@needs_firefox
def test_firefox_says_the_same(address: str, browser: Firefox) -> None:
    with browser.tab() as tab:
        tab.narrow(390)
        tab.goto(address)
        tab.until(NEXT, 90)
        for count in range(1, 13):
            tab.run(f"{NEXT}.focus()")
            tab.keys("Enter")
            tab.until(f"{DONE} === {count}")
        tab.run("document.querySelector('[data-keep]').click()")
        tab.until("document.querySelector('[data-save]').href")
        log = tab.run("fetch(document.querySelector('[data-save]').href).then(r => r.text())")
        assert len(read_log(log).actions) == 12
        assert tab.said == []
