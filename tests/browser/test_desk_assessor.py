"""An assessor at the desk: from a damaged pile to letters in Firefox, and by keyboard alone."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from course.desk.app import application
from course.desk.place import Place
from exercises.book.book import open_book
from exercises.book.records import AGAIN, UNREAD_FILE, UNREAD_PART, WORKING
from tests.browser.firefox import Tab, firefox, needs_firefox
from tests.browser.pages import chromium, faults_of, needs_chromium
from tests.browser.test_desk import PAPER, open_desk
from tests.course.desk.conftest import HOST, Visitor
from tests.course.desk.damaged_pile import damaged_pile

pytestmark = [pytest.mark.browser, pytest.mark.xdist_group(__name__)]


@pytest.fixture
def handed_in(tmp_path: Path) -> tuple[Path, list[str]]:
    """A school whose paper is out, and the damaged pile of its class as files."""
    school = tmp_path / "school"
    school.mkdir()
    visitor = Visitor(application(Place(school), (HOST,)))
    visitor.opened()
    visitor.post("/begin")
    assert visitor.issue(PAPER).state == "done"
    with open_book(school / "class.db") as book:
        pile = damaged_pile(book.sheets(PAPER))
    pile += [(f"holiday {n}.jpg", b"\xff\xd8\xff\xe0" + bytes(200)) for n in range(8)]
    assert len(pile) >= 25
    paths = []
    for n, (name, data) in enumerate(pile):
        # A browser names files alone, so that two folders are two drops in one.
        path = tmp_path / "pile" / str(n) / name.rpartition("/")[2]
        path.parent.mkdir(parents=True)
        path.write_bytes(data)
        paths.append(str(path))
    return school, paths


def waiting(school: Path, kind: str) -> list[int]:
    with open_book(school / "class.db", read_only=True) as book:
        return [one.id for one in book.matters(waiting=True, kind=kind)]


@needs_firefox
def test_firefox_goes_from_a_damaged_pile_to_letters(
    handed_in: tuple[Path, list[str]], tmp_path_factory: pytest.TempPathFactory
) -> None:
    school, paths = handed_in

    def at(tab: Tab, heading: str) -> None:
        tab.until(f"document.querySelector('h1')?.textContent === {heading!r}")

    def show(tab: Tab, kind: str) -> None:
        tab.run(f"document.querySelector('select[name=kind]').value = {kind!r}")
        tab.click("form[method=get] button")
        tab.until(f"document.querySelector('input[name=kind]')?.value === {kind!r}")

    def confirm(tab: Tab, why: str) -> None:
        at(tab, "What it changes")
        tab.write("input[name=by]", "Ilse Varga")
        tab.write("input[name=reason]", why)
        tab.click("button.strong")
        tab.until("!document.querySelector('input[name=sure]')")

    with (
        open_desk(school) as address,
        firefox(tmp_path_factory.mktemp("profile"), tmp_path_factory.mktemp("down")) as browser,
        browser.tab() as tab,
    ):
        root = address.partition("?")[0]
        tab.goto(address)
        tab.goto(f"{root}pile")
        tab.files("input[name=files]", paths)
        tab.click("#pile button.strong")
        tab.until("document.querySelector('#work')?.dataset.state === 'done'", 120)
        tab.click("a.go")
        at(tab, "Matters")
        for kind, decision in ((UNREAD_FILE, "accept"), (WORKING, "suggested"), (AGAIN, "accept")):
            assert waiting(school, kind), kind
            show(tab, kind)
            tab.click("input[name=every]")
            tab.run(f"document.querySelector('select[name=decision]').value = {decision!r}")
            tab.click("button.strong")
            confirm(tab, "Looked at")
            assert not waiting(school, kind), kind
        for number in waiting(school, UNREAD_PART):
            tab.goto(f"{root}matters/{number}")
            tab.write("input[name=marks]", "1")
            tab.click(".decide button.strong")
            confirm(tab, "The range holds the answer")
        assert not waiting(school, UNREAD_PART)
        tab.goto(f"{root}results")
        tab.write("input[name=signed]", "Ilse Varga")
        tab.click("button.strong")
        tab.until("document.querySelector('#work')?.dataset.state === 'done'", 120)
        tab.click("a.go")
        at(tab, "Results")
        letters = tab.run(
            "[...document.querySelectorAll('a[href*=\"/kept/letters/\"]')].map((a) => a.href)"
        )
        outside = [url for url in tab.asked if "127.0.0.1" not in url and url[:4] == "http"]
        assert outside == []
        assert [text for text in tab.said if "Security" not in text] == []
        tab.goto(letters[0])
        assert "Ilse Varga" in tab.text("body")
    with open_book(school / "class.db") as book:
        assert not book.waiting()
        assert not book.verify("").faults
        handed = {one.token for one in book.handins() if one.token}
    assert len(letters) == len(handed)


@needs_chromium
def test_matters_are_settled_with_the_keyboard_alone(handed_in: tuple[Path, list[str]]) -> None:
    school, paths = handed_in
    with open_desk(school) as address, chromium() as page:
        root = address.partition("?")[0]
        page.goto(address)
        page.goto(f"{root}pile")
        page.locator("input[name=files]").first.set_input_files(paths)
        page.get_by_role("button", name="Read and mark them").press("Enter")
        page.get_by_text("It is done.").wait_for(timeout=120_000)
        page.get_by_role("link", name="Go on").press("Enter")
        page.get_by_role("heading", name="Matters").wait_for()

        def tab_to(selector: str) -> None:
            for _ in range(120):
                if page.evaluate(f"!!document.activeElement.closest({selector!r})"):
                    return
                page.keyboard.press("Tab")
            raise AssertionError(f"{selector} is not reached with Tab")

        def arrived(pattern: str) -> None:
            page.wait_for_url(re.compile(pattern))
            page.locator("h1").wait_for()

        # Files that can't be read: the kind is chosen, then all of them.
        tab_to("select[name=kind]")
        page.keyboard.type(UNREAD_FILE)
        page.keyboard.press("Tab")
        tab_to("form[method=get] button")
        page.keyboard.press("Enter")
        arrived("kind=unread")
        tab_to("input[name=every]")
        page.keyboard.press("Space")
        tab_to("main form[method=post] button")
        page.keyboard.press("Enter")
        arrived("/matters/decide")
        page.keyboard.type("Ilse Varga")  # the first gap waits for a name
        tab_to("input[name=reason]")
        page.keyboard.type("Asked for again")
        page.keyboard.press("Enter")
        arrived("/matters$")
        assert not waiting(school, UNREAD_FILE)

        # An answer that nobody can read: marks, why, decided; the next one comes by itself.
        page.goto(f"{root}matters?kind={UNREAD_PART.replace(' ', '+')}")
        numbers = waiting(school, UNREAD_PART)
        tab_to(".matters a")
        page.keyboard.press("Enter")
        arrived(rf"/matters/{numbers[0]}\?")
        for number in numbers:
            assert f"/matters/{number}" in page.url
            page.keyboard.press("m")
            page.keyboard.type("1")
            tab_to("input[name=reason]")
            page.keyboard.type("The range holds the answer")
            page.keyboard.press("Enter")
            arrived("/matters/decide")
            page.keyboard.press("Enter")  # the button waits for it
            arrived(r"/matters(/\d+.*)?$")
        assert not waiting(school, UNREAD_PART)

        # One of them is taken back.
        page.goto(f"{root}matters/{numbers[0]}")
        tab_to("form[action$=reopen] input[name=reason]")
        page.keyboard.type("Wrong sheet")
        page.keyboard.press("Enter")
        page.locator(".decide").wait_for()
        assert waiting(school, UNREAD_PART) == numbers[:1]
        assert not faults_of(page)
        assert page.said == []
    with open_book(school / "class.db") as book:
        assert not book.verify("").faults
        by = {one.by for one in book.decisions() if one.matter}
    assert by == {"Ilse Varga"}
