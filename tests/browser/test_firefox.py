"""The site and the worksheet in Firefox: a second engine, driven by an open standard."""

from __future__ import annotations

import json
import time
from collections.abc import Iterator
from pathlib import Path

import pytest

from course.live.answers import Answers
from exercises.marking.reader import read_bytes
from exercises.questions.answer_boxes import answer_boxes
from exercises.questions.parts import DrawnQuantity
from exercises.sheets.worksheet import web_page
from tests.browser.firefox import Firefox, Tab, firefox, needs_firefox
from tests.browser.pages import WCAG, site_of
from tests.exercises.marked_class import down_the_road, right
from tests.exercises.sheets_for_tests import TOKEN, a_sheet

pytestmark = [pytest.mark.browser, needs_firefox, pytest.mark.xdist_group(__name__)]

PANEL = "form.gb-panel:not(.gb-run)"
CARD = "form.gb-practice[id^=practice-]"  # of the lesson's own


@pytest.fixture(scope="module")
def downloads(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return tmp_path_factory.mktemp("downloads")


@pytest.fixture(scope="module")
def browser(tmp_path_factory: pytest.TempPathFactory, downloads: Path) -> Iterator[Firefox]:
    with firefox(tmp_path_factory.mktemp("profile"), downloads) as running:
        yield running


@pytest.fixture
def tab(browser: Firefox) -> Iterator[Tab]:
    """A tab as wide as a phone, that asks nobody outside and complains of nothing."""
    with browser.tab() as opened:
        opened.narrow(390)
        yield opened
        asked = [url for url in opened.asked if url.startswith(("http", "ws"))]
        assert [url for url in asked if not url.startswith("http://127.0.0.1:")] == []
        assert opened.said == []


def read_as(tab: Tab, html: str) -> str:
    """Return the text of some HTML as a browser reads it."""
    return str(
        tab.run(
            "(() => { const box = document.createElement('div');"
            f" box.innerHTML = {json.dumps(html)}; return box.textContent; }})()"
        )
    )


def test_what_is_waited_for_may_come_late_and_an_error_is_told_at_the_end(tab: Tab) -> None:
    late = "setTimeout(() => { document.body.innerHTML = '<p id=late>here</p>'; }, 500)"
    tab.goto(f"data:text/html,<body><script>{late}</script></body>")
    tab.until("document.querySelector('#late').textContent === 'here'")
    tab.goto(f"data:text/html,<body><script>{late}</script></body>")
    tab.click("#late")
    with pytest.raises(AssertionError, match=r"never.*is null"):
        tab.until("document.querySelector('#never').textContent", seconds=0.2)


def test_a_panel_answers_as_python_does(tab: Tab, address: str, answers: Answers) -> None:
    tab.goto(f"{address}lessons/crystals.html")
    fetched = ("packages.zip", "pyodide.asm.wasm", "python_stdlib.zip")
    assert not [url for url in tab.asked if url.endswith(fetched)]
    name = tab.run(f"document.querySelector('{PANEL}').dataset.live")
    first = tab.run(f"document.querySelector('{PANEL} input').name")
    start = tab.run(f"Object.fromEntries(new FormData(document.querySelector('{PANEL}')))")
    for text in ("12,5 %", "a little", "400 %", "🍮", start[first]):
        tab.write(f"{PANEL} input", text)
        out = answers.panel(name, {**start, first: text})
        if out["faults"]:
            fault = f"{PANEL} .gb-fault"
            tab.says(fault, out["faults"][first])
            tab.until(f"document.querySelector('{PANEL} [aria-invalid]')")
        else:
            tab.says(f"{PANEL} .gb-answer", read_as(tab, out["html"]))
    assert [url for url in tab.asked if url.endswith(fetched)]


def test_a_practice_answer_is_read_as_python_reads_it(
    tab: Tab, address: str, answers: Answers
) -> None:
    tab.goto(f"{address}lessons/how-strong.html")
    ident = tab.run(f"document.querySelector('{CARD}').dataset.live")
    for number in (1, 2):
        asked = answers.asked(ident, number)
        keys = answer_boxes([asked])
        assert {type(key.part) for key in keys} == {DrawnQuantity}
        good = {key.key: right(key) for key in keys}
        road = {key.key: down_the_road(key) for key in keys}
        for given in (good, road, dict.fromkeys(good, "a spoonful")):
            for key, text in given.items():
                tab.write(f'{CARD} [name="{key}"]', text)
            tab.keys("Enter")
            verdicts = answers.judge(ident, number, given)["verdicts"]
            for key, verdict in verdicts.items():
                tab.says(
                    f'{CARD} [data-verdict="{key}"]',
                    f"{verdict['word']} {verdict['says']}",
                )
        tab.click(f"{CARD} [data-other]")
        tab.says(f"{CARD} .gb-says", "The question has other numbers now.")
    assert tab.run("document.documentElement.scrollWidth") <= 390


def test_a_page_with_faults_showing_meets_wcag_in_the_evening(tab: Tab, address: str) -> None:
    import axe_playwright_python

    tab.goto(f"{address}index.html")
    day = tab.run("getComputedStyle(document.body).backgroundColor")
    tab.click(".sheet > summary")
    tab.click("#light")
    tab.goto(f"{address}lessons/gelatin-grades.html")
    assert tab.run("document.documentElement.dataset.light") == "evening"
    assert tab.run("getComputedStyle(document.body).backgroundColor") != day
    tab.write(f"{PANEL} input", "a little")
    tab.until(f"document.querySelector('{PANEL} [aria-invalid]')")
    (axe,) = Path(axe_playwright_python.__file__).parent.glob("axe.min.js")
    tab.run(f"(() => {{ {axe.read_text(encoding='utf-8')}\n }})()")
    rules = json.dumps({"runOnly": {"type": "tag", "values": WCAG}})
    assert tab.run(f"axe.run({rules}).then((got) => got.violations)") == []


def test_what_is_come_back_to_shows_what_belongs_together(tab: Tab, address: str) -> None:
    tab.goto(f"{address}lessons/gelatin-grades.html")
    example = tab.text(f"{PANEL} .gb-answer")
    written = f"Object.fromEntries(new FormData(document.querySelector('{PANEL}')))"
    start = tab.run(written)
    tab.write(f"{PANEL} input", "20 g")
    tab.until(f"document.querySelector('{PANEL} .gb-answer').textContent !== {json.dumps(example)}")
    tab.click(f"{CARD} input[type=radio]")
    assert tab.run(f"document.querySelectorAll('{CARD} :checked').length") == 1
    tab.reload()
    assert tab.run(written) == start
    assert tab.text(f"{PANEL} .gb-answer") == example
    # What was chosen and not read is still there, and nothing is said of it.
    tab.until(f"document.querySelectorAll('{CARD} :checked').length === 1")
    assert tab.run(f"document.querySelectorAll('{CARD} .gb-verdict:not(:empty)').length") == 0
    assert tab.run(f"document.querySelector('{PANEL} .gb-boxes').disabled") is False


def test_searching_finds_a_lesson_and_a_word(tab: Tab, address: str) -> None:
    tab.goto(f"{address}index.html")
    tab.click(".sheet > summary")
    tab.write("#seek", "gelatin")
    tab.keys("Enter")
    found = "document.querySelector('#search-results')?.textContent"
    tab.until(f"{found}?.includes('Which gelatin, and how much?')")
    tab.until(f"{found}?.includes('Words: leaf gelatin')")


def test_a_worksheet_keeps_its_draft_and_makes_the_hand_in(
    tab: Tab, tmp_path: Path, downloads: Path
) -> None:
    page = tmp_path / f"{TOKEN}.html"
    page.write_text(web_page(a_sheet()), encoding="utf-8")
    tab.goto(page.as_uri())
    tab.write("#answer-1a", "12,5 g")
    tab.says("#read-1a", "It can be read. Reads as 12.5 g")
    tab.write("#answer-1b", "three")
    tab.click("#part-2a input[value=b]")
    tab.click("#part-3a li:nth-child(2) button[data-by='-1']")
    tab.until("document.querySelector('#draft').textContent.includes('kept')")
    tab.reload()
    tab.until("document.querySelector('#draft').textContent.includes('is back')")
    tab.says("#count", "3 of 8 answers can be read")
    tab.write("#answer-1b", "75 g")
    tab.click("#save")
    tab.until("document.querySelector('#saved').textContent.includes('downloads')")
    file = downloads / f"{TOKEN}.handin.json"
    wanted = {"1a": "12,5 g", "1b": "75 g", "2a": "b", "3a": "2, 1, 3, 4"}
    end = time.monotonic() + 30
    while not (file.exists() and file.stat().st_size) and time.monotonic() < end:
        time.sleep(0.05)
    reading = read_bytes(file.read_bytes())
    assert (reading.answers, reading.problems) == (wanted, {})
    tab.click("#copying summary")
    tab.until("document.querySelector('#line').value.startsWith('GB1.')")
    line = tab.run("document.querySelector('#line').value")
    assert read_bytes(line.encode()).answers == wanted


# --- what is remembered, and what comes back -------------------------------------------------


@pytest.mark.parametrize("way", ["http", "file"])
def test_what_slipped_yesterday_opens_todays_lesson(
    tab: Tab, address: str, answers: Answers, way: str
) -> None:
    address = address if way == "http" else f"{site_of().as_uri()}/"
    card = "#practice-syrup-water-for-brix"
    tab.goto(f"{address}lessons/how-strong.html")
    tab.write(f"{card} input", "3 g")
    tab.click(f"{card} [type=submit]")
    tab.until("glossbook.held.outcomes['syrup-strength']?.[0][0] === '-'", 120)
    tab.reload()
    tab.until(f"document.querySelector({json.dumps(card + ' input')}).value === '3 g'")
    # The clock moves by a day: what was today is yesterday.
    tab.run(
        "glossbook.change((mem) => { const day = new Date(Date.now() - 864e5);"
        " mem.outcomes = { 'syrup-strength': ['-' + glossbook.today(day)] }; })"
    )
    tab.goto(f"{address}lessons/crystals.html")
    slot = ".back li:has(form[data-o=syrup-strength])"
    tab.until(f"document.querySelector({json.dumps(slot)})")
    assert tab.text(f"{slot} .from") == "From How strong is it?, missed yesterday"
    tab.goto(f"{address}stand.html")
    tab.until("document.querySelectorAll('.again li').length === 1")
    tab.click("[data-forget]")
    tab.click("[data-yes]")
    tab.until("document.querySelector('[data-memory-says]').textContent.startsWith('Forgotten')")
    assert tab.run("Object.keys(localStorage).filter((key) => /^glossbook/.test(key))") == []
