"""The desk in real browsers: from nothing to an issued paper, from a pile to a decision."""

from __future__ import annotations

import json
import re
import subprocess
import sys
import time
import tomllib
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

import pytest
from PIL import Image

from exercises.book.book import open_book
from exercises.questions.answer_boxes import answer_boxes
from tests.browser.firefox import firefox, needs_firefox
from tests.browser.pages import chromium, faults_of, needs_chromium

pytestmark = [pytest.mark.browser, pytest.mark.xdist_group(__name__)]

PAPER = "syrups-and-gelatin"
PAGES = (
    "",
    "scheme",
    "scheme/text",
    "course",
    "papers",
    f"papers/{PAPER}",
    "papers/class-list",
    f"papers/{PAPER}/questions",
    f"papers/{PAPER}/questions/syrup-blend?example=2",
    "papers/syrup-practice",
    "pile",
    "matters",
    "matters?kind=unread+part",
    "matters/1",
    "results",
    "practical",
    "keeping",
    "under-way",
)
CODE = "from course.cli.commands import main; main()"


@contextmanager
def open_desk(folder: Path) -> Iterator[str]:
    """Open the desk as the command does; give the address that it printed."""
    command = [sys.executable, "-c", CODE, "desk", str(folder), "--no-browser"]
    with subprocess.Popen(command, stdout=subprocess.PIPE, text=True) as running:
        assert running.stdout is not None
        said = re.search(r"http://\S+", running.stdout.readline())
        assert said
        try:
            yield said[0]
        finally:
            running.terminate()


def hand_in(folder: Path, spoilt: int) -> list[str]:
    """Write a hand-in for each sheet; the first ones have an answer that can't be read."""
    with open_book(folder / "class.db", read_only=True) as book:
        sheets = book.sheets(PAPER)
    files = []
    for n, sheet in enumerate(sheets):
        answers = {b.key: b.part.exact_answer() for b in answer_boxes(sheet.questions)}
        if n < spoilt:
            answers[next(iter(answers))] = "between two and three"
        path = folder / f"{n}.json"
        path.write_text(
            json.dumps({"glossbook": 1, "token": sheet.token, "answers": answers, "working": {}}),
            encoding="utf-8",
        )
        files.append(str(path))
    return files


def issue_a_paper(page: Any, address: str) -> str:
    """Begin with the demo and issue its paper; return the desk's address without its key."""
    root = address.partition("?")[0]
    page.goto(address)
    assert page.url == root  # the key is gone from the address
    page.get_by_role("button", name="Begin with Bramblemoor").click()
    page.get_by_role("heading", name="Today").wait_for()
    page.goto(f"{root}papers/{PAPER}")
    page.get_by_role("button", name="Draft it", exact=True).click()
    page.get_by_label("your name").fill("Marit Oswin")
    page.get_by_role("button", name="Issue the sheets").click()
    page.get_by_text("12 sheets").wait_for()
    return root


@needs_chromium
def test_from_an_empty_folder_to_decisions_and_every_page_meets_wcag(tmp_path: Path) -> None:
    found = {}
    with open_desk(tmp_path) as address, chromium() as page:
        root = issue_a_paper(page, address)

        page.goto(f"{root}pile")
        page.locator("input[name=files]").first.set_input_files(hand_in(tmp_path, 3))
        page.get_by_role("button", name="Read and mark them").click()
        page.get_by_text("It is done.").wait_for(timeout=120_000)
        page.get_by_role("link", name="Go on").click()

        # With the keyboard alone: the first matter, its marks, why, and the next one comes.
        page.locator(".matters a").first.focus()
        page.keyboard.press("Enter")
        page.wait_for_url(re.compile(r"/matters/\d+$"))
        page.set_viewport_size({"width": 320, "height": 900})
        assert page.evaluate("document.documentElement.scrollWidth") <= 320
        page.keyboard.press("m")
        page.keyboard.type("1")
        page.keyboard.press("Enter")
        page.get_by_text("0 → 1 of").wait_for()
        page.wait_for_function("document.activeElement.matches('[autofocus]')")
        page.keyboard.type("Halfway there")
        page.keyboard.press("Enter")
        page.wait_for_url(re.compile(r"/matters/\d+$"))

        for width, scheme in ((1280, "light"), (390, "dark")):
            page.set_viewport_size({"width": width, "height": 900})
            page.emulate_media(color_scheme=scheme)
            for name in PAGES:
                page.goto(f"{root}{name}")
                assert page.locator("h1").count() == 1, name
                wide = page.evaluate("document.documentElement.scrollWidth")
                assert wide <= width, f"{name} scrolls sideways: {wide} px"
                if faults := faults_of(page):
                    found[name, width] = faults
        assert page.asked == []
        assert page.said == []
    assert found == {}
    with open_book(tmp_path / "class.db") as book:
        waiting = [one for one in book.matters(waiting=True) if one.kind == "unread part"]
        decided = [one for one in book.decisions() if one.matter]
    assert len(waiting) == 2
    assert [(one.by, one.reason) for one in decided] == [("Marit Oswin", "Halfway there")]


def tab_to(page: Any, wanted: str) -> None:
    """Press Tab until the focus is on what is wanted, as somebody without a mouse does."""
    for _ in range(400):
        page.keyboard.press("Tab")
        if page.evaluate("wanted => document.activeElement.matches(wanted)", wanted):
            return
    raise AssertionError(f"no Tab leads to {wanted}")


@needs_chromium
def test_a_scheme_is_filled_in_by_keyboard_and_its_forms_meet_wcag_when_all_is_open(
    tmp_path: Path,
) -> None:
    scheme, found = tmp_path / "scheme.toml", {}
    photograph = tmp_path / "IMG_0042.jpg"
    Image.new("RGB", (1200, 900), (120, 60, 30)).save(photograph)
    with open_desk(tmp_path) as address, chromium() as page:
        root = address.partition("?")[0]
        page.goto(address)
        page.get_by_role("button", name="Begin with Bramblemoor").click()
        page.get_by_role("heading", name="Today").wait_for()
        page.set_viewport_size({"width": 390, "height": 900})

        page.goto(f"{root}scheme")
        tab_to(page, "[id='at-kitchen.altitude']")
        page.keyboard.press("Control+A")
        page.keyboard.type("1.450 m")
        page.locator("[id='no-kitchen.altitude']").get_by_text("two ways").wait_for()
        page.keyboard.press("Control+A")
        page.keyboard.type("1450 m")
        page.locator("[id='is-kitchen.altitude']").get_by_text("boils here at 95.1").wait_for()
        tab_to(page, "#part-4 .another > summary")
        page.keyboard.press("Enter")
        for name, value in (("shape", "dome"), ("count", "2"), ("diameter", "8 cm")):
            tab_to(page, f"[id='at-cakes.+.{name}']")
            page.keyboard.type(value)
        page.keyboard.press("Enter")
        page.wait_for_url("**/scheme?saved=yes")
        held = tomllib.loads(scheme.read_text(encoding="utf-8"))
        assert held["kitchen"]["altitude"] == "1450 m"
        assert held["cakes"][-1] == {"shape": "dome", "count": 2, "diameter": "8 cm"}

        page.goto(f"{root}scheme/labels")
        new = "own_ingredients.+"
        for name, value in (
            ("name", "oat bar"),
            ("kind", "chocolate"),
            ("of", "plant"),
            ("water", "1"),
            ("sugars", "45 g"),
        ):
            tab_to(page, f"[id='at-{new}.{name}']")
            page.keyboard.type(value)
        page.locator(f"[id='no-{new}.allergens']").get_by_text("Silence").wait_for()
        tab_to(page, f"[name='has:{new}.allergens'][value='gluten']")
        page.keyboard.press("Space")
        page.locator(f"[id='is-{new}']").get_by_text("45 g sucrose").wait_for()
        tab_to(page, ".save .strong")
        page.keyboard.press("Enter")
        page.get_by_role("group", name="Label 1: oat bar").wait_for()

        page.goto(f"{root}scheme/pictures")
        page.locator("input[value=thin-rim]").check()
        page.locator("#picture").set_input_files(photograph)
        page.locator("#as-shown").wait_for()  # as it will be cut, before it goes in
        page.locator("#at-alt").fill("A thin rim on a round cake.")
        page.locator("#no-alt").get_by_text("gives away").wait_for()
        page.locator("#at-alt").fill("A round cake, brown along its upper edge.")
        page.get_by_role("button", name="Put it in").click()
        picture = page.locator("#own-thin-rim img")
        assert picture.evaluate("one => one.decode().then(() => one.naturalWidth)") == 400

        for width, light in ((1280, "light"), (390, "dark")):
            page.set_viewport_size({"width": width, "height": 900})
            page.emulate_media(color_scheme=light)
            for name in ("scheme", "scheme/labels", "scheme/pictures"):
                page.goto(f"{root}{name}")
                page.evaluate(
                    "document.querySelectorAll('details').forEach(d => { d.open = true })"
                )
                wide = page.evaluate("document.documentElement.scrollWidth")
                assert wide <= width, f"{name} scrolls sideways: {wide} px"
                if faults := faults_of(page):
                    found[name, width] = faults
        assert page.asked == []
        assert page.said == []
    assert found == {}


@needs_chromium
def test_a_server_killed_while_it_marks_loses_nothing_and_counts_nothing_twice(
    tmp_path: Path,
) -> None:
    with open_desk(tmp_path) as address, chromium() as page:
        root = issue_a_paper(page, address)
        page.goto(f"{root}pile")
        files = hand_in(tmp_path, 0)
        page.locator("input[name=files]").first.set_input_files(files)
        page.get_by_role("button", name="Read and mark them").click()
    # The desk is gone, perhaps in the middle; another one takes the same files.
    with open_desk(tmp_path) as address, chromium() as page:
        root = address.partition("?")[0]
        page.goto(address)
        page.goto(f"{root}pile")
        page.locator("input[name=files]").first.set_input_files(files)
        page.get_by_role("button", name="Read and mark them").click()
        page.get_by_text("It is done.").wait_for(timeout=120_000)
    with open_book(tmp_path / "class.db") as book:
        assert len(book.handins()) == 12
        assert all(one.state == "marked" for one in book.handins())
        assert not book.verify("").faults


@needs_firefox
def test_firefox_changes_a_value_and_is_told_a_fault_while_typing(
    tmp_path: Path, tmp_path_factory: pytest.TempPathFactory
) -> None:
    profile = tmp_path_factory.mktemp("profile")
    with (
        open_desk(tmp_path) as address,
        firefox(profile, tmp_path_factory.mktemp("down")) as browser,
        browser.tab() as tab,
    ):
        root = address.partition("?")[0]
        tab.goto(address)
        tab.click("button")
        tab.says("h1", "Today")
        tab.goto(f"{root}scheme")
        box = "#at-kitchen\\\\.altitude"
        tab.run(f"document.querySelector('{box}').value = ''")
        tab.write(box.replace("\\\\", "\\"), "1.450 m")
        tab.until("document.getElementById('no-kitchen.altitude').textContent !== ''")
        tab.run(f"document.querySelector('{box}').value = ''")
        tab.write(box.replace("\\\\", "\\"), "1450 m")
        tab.until("document.getElementById('no-kitchen.altitude').textContent === ''")
        tab.click(".save button")
        deadline = time.monotonic() + 30
        scheme = tmp_path / "scheme.toml"
        while 'altitude = "1450 m"' not in scheme.read_text(encoding="utf-8"):
            assert time.monotonic() < deadline
            time.sleep(0.1)
        assert [url for url in tab.asked if "127.0.0.1" not in url and url[:4] == "http"] == []
