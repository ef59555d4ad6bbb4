"""Large print is large: nothing on a printed sheet or letter is below 18 pt."""

from __future__ import annotations

import pytest

from exercises.book.records import Student
from exercises.reports.letters import open_solutions, write_letters
from exercises.sheets.worksheet import paper, web_page
from tests.browser.pages import browser, needs_chromium

pytest.importorskip("playwright.sync_api")
from tests.exercises.marked_class import marked  # only with a browser
from tests.exercises.sheets_for_tests import QUESTIONS, a_sheet

pytestmark = [
    pytest.mark.browser,
    pytest.mark.xdist_group(__name__),
    needs_chromium,
]
OUTCOMES = ("gelatin-powder", "syrup-instrument", "gelatin-rule", "boiling-stage")
PIXELS = 18 * 96 / 72  # 18 pt
SMALL = """least => {
  const found = [];
  const texts = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT);
  while (texts.nextNode()) {
    const text = texts.currentNode, element = text.parentElement;
    if (!text.data.trim() || element.closest("script, style")) continue;
    if (element.getBoundingClientRect().width < 2) continue;  // unseen, or not printed
    const size = parseFloat(getComputedStyle(element).fontSize);
    if (size < least - 0.01) found.push([text.data.trim().slice(0, 40), size]);
  }
  return found;
}"""


@pytest.fixture(scope="module")
def printed():
    page = browser().new_page(viewport={"width": 794, "height": 1123})  # A4

    def small(text, media="print"):
        page.emulate_media(media=media)
        page.set_content(text)
        return page.evaluate(SMALL, PIXELS)

    yield small
    page.close()


def large_letter(root):
    levels = {"recall": 1, "carry out": 1, "decide": 2}
    with marked(root, QUESTIONS, OUTCOMES, levels, 2, leave=()) as book:
        book.enrol([Student("s0000", "Ada Ample", print="large")])
        open_solutions(book, "first", "L. Lecturer", "All are in")
        paths = write_letters(book, root / "l", solutions=True)
        return [path.read_text("utf-8") for path in paths]


def test_nothing_on_large_paper_is_below_18_points(printed):
    sheet = a_sheet(large=True, minutes=26, extra=7, rule="Half of the marks pass.")
    assert printed(paper(sheet)) == []
    assert printed(web_page(sheet)) == []
    assert printed(web_page(sheet), "screen") == []
    assert "font: 18pt sans-serif" in paper(sheet)


def test_nothing_in_a_large_letter_is_below_18_points(printed, tmp_path):
    large, usual = large_letter(tmp_path)
    assert printed(large) == []
    assert printed(usual)  # and the check can fail
