"""A lesson, and the next day, in Firefox: over http and from a file, kept and not kept."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from course.live.answers import Answers
from exercises.questions.answer_boxes import answer_boxes
from exercises.questions.parts import DrawnChoice, DrawnQuantity
from tests.browser.firefox import Tab, firefox, needs_firefox
from tests.browser.pages import site_of
from tests.browser.test_memory import MONDAY, NOTHING_KEPT, TUESDAY
from tests.exercises.marked_class import down_the_road, right

pytestmark = [pytest.mark.browser, needs_firefox, pytest.mark.xdist_group(__name__)]

SLIPPED = "syrup-jug-density"
MOVED = """() => {
  const Real = Date;
  const off = Real.parse(DAY) - Real.now();
  globalThis.Date = class extends Real {
    constructor(...given) { given.length ? super(...given) : super(Real.now() + off); }
    static now() { return Real.now() + off; }
  };
}"""


def set_clock(tab: Tab, day: str) -> str:
    """Let a tab's next pages think it is another day."""
    return tab.before(MOVED.replace("DAY", json.dumps(day)))


def write(tab: Tab, card: str, answers: Answers, *, rightly: bool) -> None:
    """Answer a card with the pointer and the keys, and have it read."""
    form = f"document.querySelector({card!r})"
    ident, number = tab.run(f"[{form}.dataset.live, Number({form}.dataset.set)]")
    how = right if rightly else down_the_road
    for box in answer_boxes([answers.asked(ident, number)]):
        place, given = f'{card} [name="{box.key}"]', how(box)
        if isinstance(box.part, DrawnQuantity):
            tab.write(place, given)
        elif isinstance(box.part, DrawnChoice):
            for letter in given.split(", "):
                tab.click(f'{place}[value="{letter}"]')
        else:
            steps = f'{card} fieldset:has([name="{box.key}"]) .gb-steps'
            for at, step in enumerate(given.split(", ")):
                one = f'{steps} li[data-step="{step}"]'
                tab.click(f"{one} [data-by='1']")  # even where nothing is to move
                while (
                    tab.run(
                        f"[...document.querySelector({steps!r}).children].indexOf("
                        f"document.querySelector({one!r}))"
                    )
                    > at
                ):
                    tab.click(f"{one} [data-by='-1']")
    tab.run(f"{form}.addEventListener('kept', () => {{ {form}.dataset.done = 1 }})")
    tab.click(f"{card} [type=submit]")
    tab.until(f"{form}.dataset.done")


@pytest.mark.parametrize(
    ("way", "keeps"),
    [
        ("http", False),
        ("file", True),
        pytest.param("http", True, marks=pytest.mark.slow),
        pytest.param("file", False, marks=pytest.mark.slow),
    ],
)
def test_what_slipped_comes_back_the_next_day_in_firefox(
    address: str, answers: Answers, tmp_path: Path, way: str, keeps: bool
) -> None:
    root = address if way == "http" else f"{site_of().as_uri()}/"
    with firefox(tmp_path, tmp_path) as browser, browser.tab() as tab:
        tab.narrow(390)
        monday = set_clock(tab, MONDAY)
        if not keeps:
            tab.before(f"() => {{ {NOTHING_KEPT} }}")
        tab.goto(f"{root}lessons/how-strong.html")
        cards = tab.run("[...document.querySelectorAll('form[id^=practice-]')].map((f) => f.id)")
        assert f"practice-{SLIPPED}" in cards
        for card in cards:
            write(tab, f"#{card}", answers, rightly=card != f"practice-{SLIPPED}")
        states = "[...document.querySelectorAll('aside .aim li[data-o]')].map((li) => li.dataset.s)"
        assert tab.run(states) == ["1", "1", "1"]

        tab.no_more(monday)
        set_clock(tab, TUESDAY)
        tab.goto(f"{root}lessons/boiling.html")
        back = "[...document.querySelectorAll('.along .back form')]"
        if keeps:
            tab.until(f"{back}.some((form) => form.dataset.o === 'syrup-scales')")
            ident = tab.run(f"{back}.find((form) => form.dataset.o === 'syrup-scales').id")
            write(tab, f"#{ident}", answers, rightly=True)
            held = tab.run("glossbook.held.outcomes")
            assert held["syrup-scales"] == ["-2026-11-09", "2026-11-10"]
        else:
            assert tab.run(f"{back}.length") == 3
            assert "syrup-scales" not in tab.run(f"{back}.map((form) => form.dataset.o)")
        asked = [url for url in tab.asked if url.startswith(("http", "ws"))]
        assert [url for url in asked if not url.startswith("http://127.0.0.1:")] == []
        assert tab.said == []
