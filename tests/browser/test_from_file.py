"""The site opened as a file, as from a stick or an unpacked zip: panels, practice, dry run."""

from __future__ import annotations

import os
import shutil
from pathlib import Path
from typing import Any

import pytest

from course.live.answers import Answers
from course.live.snapshot import MEMORY
from exercises.questions.answer_boxes import answer_boxes
from tests.browser.firefox import firefox, needs_firefox
from tests.browser.pages import chromium, needs_chromium, served, site_of
from tests.browser.test_firefox import CARD, PANEL
from tests.browser.test_live import SECONDS, drive_panel, text_of, until
from tests.exercises.marked_class import right

pytestmark = [pytest.mark.browser, pytest.mark.xdist_group(__name__)]

ODD_NAME = "Glaçage, 100 % & more #1"  # of a folder, as people name them


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The site as it lies on a stick: copied, in a folder with a name of its own."""
    place = tmp_path_factory.mktemp("stick") / ODD_NAME
    shutil.copytree(site_of(), place, copy_function=os.link)
    return place


def heard(page: Any) -> list[str]:
    """Return a list to which is added whatever a page complains of, warnings too."""
    said: list[str] = []
    page.on("console", lambda m: m.type in ("error", "warning") and said.append(m.text))
    return said


def ready(form: Any) -> None:
    form.page.wait_for_function("!document.querySelector('.gb-says progress')", timeout=SECONDS)


@needs_chromium
def test_a_course_opened_by_a_click_answers_in_chromium(folder: Path, answers: Answers) -> None:
    with chromium() as page:
        said = heard(page)
        page.goto((folder / "index.html").as_uri())
        page.get_by_role("link", name="Start here").click()
        page.get_by_text("Contents and search").click()
        page.get_by_label("Contents").get_by_text("When do crystals come?").click()
        panel = page.locator(PANEL).first
        panel.locator("input").first.focus()
        ready(panel)
        drive_panel(panel, answers)
        card = page.locator(CARD).first
        card.get_by_role("button", name="The same with other numbers").click()
        until(card, ".gb-says", "The question has other numbers now.")
        ident = card.get_attribute("data-live")
        assert card.locator(".gb-asked").text_content() == text_of(
            card, answers.practice(ident, 2)["html"]
        )
        page.goto((folder / "dry-run.html").as_uri())
        page.wait_for_function("document.querySelector('#gb-deed').length > 0", timeout=SECONDS)
        assert said == page.said == page.asked == []


@needs_firefox
def test_a_course_opened_by_a_click_answers_in_firefox(
    folder: Path, answers: Answers, tmp_path: Path
) -> None:
    with firefox(tmp_path, tmp_path) as browser, browser.tab() as tab:
        tab.goto((folder / "lessons" / "how-strong.html").as_uri())
        ident = tab.run(f"document.querySelector('{CARD}').dataset.live")
        asked = answers.asked(ident)
        given = {key.key: right(key) for key in answer_boxes([asked])}
        for key, text in given.items():
            tab.write(f'{CARD} [name="{key}"]', text)
        tab.keys("Enter")
        for key, verdict in answers.judge(ident, 1, given)["verdicts"].items():
            assert verdict["word"] == "agrees"
            tab.says(f'{CARD} [data-verdict="{key}"]', f"agrees {verdict['says']}")
        tab.goto((folder / "lessons" / "crystals.html").as_uri())
        name = tab.run(f"document.querySelector('{PANEL}').dataset.live")
        tab.write(f"{PANEL} input", "a little")
        values = tab.run(f"Object.fromEntries(new FormData(document.querySelector('{PANEL}')))")
        first = tab.run(f"document.querySelector('{PANEL} input').name")
        tab.says(f"{PANEL} .gb-fault", answers.panel(name, values)["faults"][first])
        tab.goto((folder / "dry-run.html").as_uri())
        tab.until("document.querySelector('#gb-deed').length > 0")
        assert tab.said == []
        assert [url for url in tab.asked if not url.startswith(("file:", "blob:", "data:"))] == []


def without(site: Path, place: Path, fault: str) -> Path:
    """Return a copy of a site whose kept memory is damaged, lost, or of another runtime."""
    shutil.copytree(site, place, copy_function=os.link)
    (live,) = (place / "_static" / "live").iterdir()
    for path in (live / MEMORY, live / "carried" / f"{MEMORY}.js"):
        data = path.read_bytes()
        path.unlink()
        if fault == "damaged":
            middle = len(data) // 2
            path.write_bytes(data[:middle] + b"AAAA" + data[middle + 4 :])
    return place


@needs_chromium
@pytest.mark.parametrize("way", ["file", "http"])
def test_a_damaged_memory_only_costs_time(answers: Answers, tmp_path: Path, way: str) -> None:
    site = without(site_of(), tmp_path / "site", "damaged")
    with served(site) as address, chromium() as page:
        said = heard(page)
        page.goto((address if way == "http" else site.as_uri() + "/") + "lessons/crystals.html")
        panel = page.locator(PANEL).first
        panel.locator("input").first.focus()
        ready(panel)
        drive_panel(panel, answers)
        assert any("from the start, since" in text for text in said)


@needs_chromium
def test_where_bytes_are_dear_fewer_are_fetched_and_the_answer_is_the_same(
    answers: Answers,
) -> None:
    dear = "Object.defineProperty(navigator, 'connection', { value: { saveData: true } })"
    with served(site_of()) as address, chromium() as page:
        seen: list[str] = []
        page.on("request", lambda request: seen.append(request.url.rpartition("/")[2]))
        page.add_init_script(dear)
        page.goto(f"{address}lessons/crystals.html")
        panel = page.locator(PANEL).first
        panel.locator("input").first.focus()
        ready(panel)
        drive_panel(panel, answers)
        assert MEMORY not in seen
        assert "packages.zip" in seen


@needs_chromium
def test_what_the_memory_lacks_is_fetched_when_a_call_needs_it() -> None:
    """Forget a module in the memory's Python: the next call that imports it still answers."""
    with served(site_of()) as address, chromium() as page:

        def changed(route: Any) -> None:
            text = route.fetch().text()
            route.fulfill(
                body=text.replace(
                    "return started;",
                    """started.runPython(`
              import sys
              for name in [n for n in sys.modules if n.startswith("exercises.marking")]:
                  del sys.modules[name]`);
              return started;""",
                    1,
                ),
                content_type="text/javascript",
            )

        page.route("**/worker.js", changed)
        seen: list[str] = []
        page.on("request", lambda request: seen.append(request.url.rpartition("/")[2]))
        page.goto(f"{address}lessons/crystals.html")
        card = page.locator(CARD).first
        card.get_by_role("button", name="Look at my answer").click()
        place = card.locator(".gb-verdict strong").first
        place.wait_for(timeout=SECONDS)
        assert place.text_content() == "not answered yet"
        assert MEMORY in seen
        assert "packages.zip" in seen
