"""What comes back, in Chromium: openings, mixed sets, the start check, the self-test, the ladder."""

from __future__ import annotations

import re
from typing import Any

import pytest

from course.live.answers import Answers
from exercises.questions.answer_boxes import answer_boxes
from tests.browser.pages import chromium, faults_of, needs_chromium, site_of
from tests.browser.test_live import SECONDS, write
from tests.browser.test_memory import (
    FIRST,
    MONDAY,
    NOTHING_KEPT,
    TUESDAY,
    answer,
    remembered,
)
from tests.exercises.marked_class import down_the_road, right

pytestmark = [pytest.mark.browser, needs_chromium, pytest.mark.xdist_group(__name__)]


def number_of(page: Any, selector: str) -> int:
    return int(page.locator(selector).get_attribute("data-set"))


def fill(page: Any, answers: Answers, selector: str, *, rightly: bool) -> None:
    """Write answers into a card without having them read."""
    form = page.locator(selector)
    asked = answers.asked(form.get_attribute("data-live"), number_of(page, selector))
    how = right if rightly else down_the_road
    write(form, asked, {key.key: how(key) for key in answer_boxes([asked])})


# --- a lesson, and the next day ------------------------------------------------------------


@pytest.mark.parametrize("keeps", [True, False], ids=["kept", "nothing kept"])
@pytest.mark.parametrize("way", ["http", "file"])
def test_a_student_works_a_lesson_and_meets_the_next_day_what_slipped(
    address: str, answers: Answers, way: str, keeps: bool
) -> None:
    address = address if way == "http" else f"{site_of().as_uri()}/"
    with chromium(390) as page:
        sent: list[str] = []
        page.on("request", lambda r: r.method != "GET" and sent.append(r.url))
        if not keeps:
            page.add_init_script(NOTHING_KEPT)
        page.clock.set_fixed_time(MONDAY)
        page.goto(f"{address}lessons/how-strong.html")
        slipped = "#practice-syrup-jug-density"
        for form in page.locator("form[id^=practice-]").all():
            selector = f"#{form.get_attribute('id')}"
            answer(page, answers, selector, rightly=selector != slipped)
        states = page.locator("aside .aim li[data-o]").evaluate_all(
            "all => all.map((li) => li.dataset.s)"
        )
        assert states == ["1", "1", "1"]

        page.clock.set_fixed_time(TUESDAY)
        page.goto(f"{address}lessons/boiling.html")
        back = page.locator(".along .back form")
        assert back.count() == 3
        if keeps:
            page.wait_for_selector('.back form[data-o="syrup-scales"]')
            asked = back.evaluate_all("all => all.map((form) => form.dataset.o)")
            assert {"syrup-scales", "syrup-strength", "syrup-instrument"} == set(asked)
            said = page.locator(".back .from").all_inner_texts()
            for outcome, one in zip(asked, said, strict=True):
                why = "missed yesterday" if outcome == "syrup-scales" else "last right yesterday"
                assert one == f"From How strong is it?, {why}"
            selector = "#" + back.nth(asked.index("syrup-scales")).get_attribute("id")
            answer(page, answers, selector, rightly=True, number=number_of(page, selector))
            assert remembered(page)["outcomes"]["syrup-scales"] == ["-2026-11-09", "2026-11-10"]
            # It stands there on the same day, and something else may come on another.
            page.reload()
            page.wait_for_selector('.back form[data-o="syrup-scales"]')
            page.wait_for_function(
                "selector => document.querySelector(selector + ' input').value", arg=selector
            )
        else:
            assert "syrup-scales" not in back.evaluate_all("all => all.map((f) => f.dataset.o)")
        assert sent == []
        assert page.asked == []
        assert page.said == []


def test_yesterdays_answer_that_came_back_is_no_second_day(address: str, answers: Answers) -> None:
    with chromium(390) as page:
        page.clock.set_fixed_time(MONDAY)
        page.goto(f"{address}lessons/how-strong.html")
        answer(page, answers, FIRST, rightly=True)
        page.clock.set_fixed_time(TUESDAY)
        page.reload()
        answer(page, answers, FIRST, rightly=True)
        assert remembered(page)["outcomes"]["syrup-strength"] == ["2026-11-09"]


def test_without_a_script_the_opening_stands_and_turns_over(address: str) -> None:
    with chromium(390, java_script_enabled=False) as page:
        page.goto(f"{address}lessons/boiling.html")
        assert page.locator(".back > li").count() == 3
        over = page.locator(".back summary").first
        assert page.locator(".back .gb-worked div").first.is_hidden()
        over.click()
        assert page.locator(".back .gb-worked div").first.is_visible()
        page.goto(f"{address}sets/mixed-syrup.html")
        assert page.locator(".gb-ways").first.is_visible()


def test_where_no_answer_can_be_read_it_is_said_aloud_and_judged_by_the_reader(
    address: str,
) -> None:
    def without_live(route: Any) -> None:
        answer = route.fetch()
        route.fulfill(
            response=answer, body=re.sub(r"<script[^>]*data-ways.*?</script>", "", answer.text())
        )

    with chromium(390) as page:
        page.clock.set_fixed_time(MONDAY)
        page.route("**/lessons/boiling.html", without_live)
        page.goto(f"{address}lessons/boiling.html")
        slots = page.locator(".back > li")
        outcomes = slots.locator("form").evaluate_all("all => all.map((form) => form.dataset.o)")
        for place, words in enumerate(("I had it", "Not yet")):
            slots.nth(place).locator("summary").click()
            slots.nth(place).get_by_role("button", name=words).click()
        held = remembered(page)["outcomes"]
        assert held == {outcomes[0]: ["2026-11-09"], outcomes[1]: ["-2026-11-09"]}
        assert page.said == []


# --- mixed: the way first ---------------------------------------------------------------------


def test_a_mixed_set_wants_the_way_before_the_answer(address: str, answers: Answers) -> None:
    with chromium(390) as page:
        page.goto(f"{address}sets/mixed-syrup.html")
        form = page.locator(".back form").first
        selector = "#" + form.get_attribute("id")
        outcome = form.get_attribute("data-o")
        field = form.locator(".gb-boxes :is(.gb-field, .gb-options, .gb-steps)").first
        assert field.is_hidden()
        assert page.locator(".back .from").first.is_hidden()
        said = []
        for way in form.locator(".gb-ways input").all():
            if way.get_attribute("value") != outcome:
                way.check()
                form.get_by_role("button", name="Take this way").click()
                said.append(form.locator(".gb-way-says").inner_text())
                assert field.is_hidden()
        assert len(set(said)) == 3
        assert all(one.startswith("That is how to ") for one in said)
        form.locator(f'.gb-ways input[value="{outcome}"]').check()
        form.get_by_role("button", name="Take this way").click()
        assert field.is_visible()
        assert form.locator(".gb-way-says").inner_text().startswith("Your way: ")
        assert page.evaluate("document.activeElement.closest('form').id") == selector[1:]
        answer(page, answers, selector, rightly=True, number=number_of(page, selector))
        # A wrong way was tried first, so it is no proof.
        assert [day[0] for day in remembered(page)["outcomes"][outcome]] == ["~"]
        assert page.locator(".back .from").first.is_visible()
        page.reload()
        assert field.is_visible()
        assert page.said == []


# --- the ladder ---------------------------------------------------------------------------------


def test_a_miss_leads_to_the_claim_then_to_the_first_line_then_to_other_numbers(
    address: str, answers: Answers
) -> None:
    with chromium(390) as page:
        page.goto(f"{address}lessons/how-strong.html")
        card = "#practice-syrup-water-for-brix"
        help_ = page.locator(f"{card} .gb-help")
        answer(page, answers, card, rightly=False)
        told = page.locator(f"{card} .gb-verdict").first.inner_text()
        assert told.startswith("look again") or told.startswith("Look again")
        assert help_.inner_text() == ""
        # The same answer once more is no second attempt.
        answer(page, answers, card, rightly=False)
        assert help_.inner_text() == ""
        box = page.locator(f"{card} input[type=text]").first
        for wrong, rung in (("11 g", 2), ("12 g", 3)):
            box.fill(wrong)
            page.locator(f"{card} [type=submit]").click()
            page.wait_for_function(
                "([card, off]) => glossbook.card(document.querySelector(card)).off === off",
                arg=[card, rung],
                timeout=SECONDS,
            )
            link = help_.get_by_role("link")
            assert link.inner_text() == "Strength is the sugar's share of everything in the pan"
            assert help_.get_by_role("button").count() == (1 if rung == 3 else 0)
        assert "With these numbers it begins like this:" in help_.inner_text()
        assert " g / " in help_.inner_text()
        assert "…" in help_.inner_text()
        link.click()
        section = page.locator("#strength-is-the-sugar-s-share-of-everything-in-the-pan")
        assert page.url.endswith(f"#{section.get_attribute('id')}")
        assert section.locator("h2").bounding_box()["y"] < 400
        help_.get_by_role("button", name="Now the same with other numbers").click()
        page.wait_for_function(
            "card => document.querySelector(card + ' .gb-says').textContent.includes('other')",
            arg=card,
            timeout=SECONDS,
        )
        assert help_.inner_text() == ""
        assert box.input_value() == ""
        assert page.said == []


def test_on_its_own_page_a_second_miss_shows_the_picture_of_the_lesson(
    address: str, answers: Answers
) -> None:
    with chromium(390) as page:
        page.goto(f"{address}lessons/how-strong.html")
        card = "#practice-syrup-jug-density"
        twice = (
            "(() => { const ids = [...document.querySelectorAll('[id]')].map((one) => one.id);"
            " return ids.length - new Set(ids).size; })()"
        )
        before = page.evaluate(twice)
        answer(page, answers, card, rightly=False)
        page.locator(f"{card} input[type=text]").first.fill("3 g/l")
        page.locator(f"{card} [type=submit]").click()
        page.wait_for_selector(f"{card} .gb-help figure", timeout=SECONDS)
        assert page.evaluate(twice) == before


# --- read as a whole --------------------------------------------------------------------------------


def test_the_start_check_says_which_lessons_to_take(address: str, answers: Answers) -> None:
    with chromium(1280) as page:
        page.goto(f"{address}sets/start-check.html")
        forms = page.locator(".back form")
        assert forms.count() == 12
        assert page.locator(".back .gb-acts").first.is_hidden()
        ids = forms.evaluate_all("all => all.map((form) => form.id)")
        for place, ident in enumerate(ids[:3]):
            fill(page, answers, f"#{ident}", rightly=place != 1)
        page.get_by_role("button", name="Which lessons shall I take?").click()
        told = page.locator("[data-told]")
        page.wait_for_function(
            "document.querySelector('[data-told]').textContent.includes('agree')", timeout=SECONDS
        )
        assert told.inner_text().startswith("2 of 12 agree.")
        take, rest = (
            one.locator("a").evaluate_all("all => all.map((a) => a.pathname.split('/').at(-1))")
            for one in told.locator("ul").all()
        )
        assert rest == ["thermometer-and-scale.html", "boiling.html"]
        assert take[:3] == ["what-can-hurt.html", "make-it.html", "how-strong.html"]
        assert len(take) == 12
        # Nobody is asked to answer what this page says to leave out.
        told = page.locator(f"#{ids[5]} .gb-verdict").first
        assert (told.get_attribute("data-word"), told.inner_text()) == (
            "not answered yet",
            "Left out",
        )
        assert page.said == []


def test_the_self_test_says_nothing_before_it_is_read_as_a_whole(
    address: str, answers: Answers
) -> None:
    with chromium(1280) as page:
        page.goto(f"{address}sets/self-test.html")
        ids = page.locator(".back form").evaluate_all("all => all.map((form) => form.id)")
        assert len(ids) == 43
        assert page.locator(".back .gb-worked").first.is_hidden()
        fill(page, answers, f"#{ids[0]}", rightly=True)
        fill(page, answers, f"#{ids[4]}", rightly=False)
        assert page.locator(".gb-verdict:not(:empty)").count() == 0
        page.reload()  # three hours of answers outlast it
        page.get_by_role("button", name="Have all of it read").click()
        page.wait_for_function(
            "document.querySelector('[data-told]').textContent.includes('agree')", timeout=SECONDS
        )
        assert page.locator("[data-told]").inner_text().startswith("1 of 43 agree.")
        assert len(remembered(page)["outcomes"]) == 2
        assert page.locator(".back .gb-worked").first.is_visible()
        assert page.said == []


# --- everybody -----------------------------------------------------------------------------------------


@pytest.mark.parametrize("evening", [False, True], ids=["day", "evening"])
@pytest.mark.parametrize("width", [1280, 320])
def test_pages_of_questions_that_come_back_are_whole_and_meet_wcag(
    address: str, width: int, evening: bool
) -> None:
    names = sorted(path.stem for path in (site_of() / "sets").glob("*.html"))
    assert len(names) == 9
    with chromium(width, evening=evening) as page:
        for name in names:
            page.goto(f"{address}sets/{name}.html")
            assert page.locator("h1").count() == 1
            assert page.evaluate("document.documentElement.scrollWidth") <= width, name
            assert faults_of(page) == ""
        assert page.asked == []
        assert page.said == []


def test_a_mixed_question_is_worked_by_keyboard_alone(address: str, answers: Answers) -> None:
    with chromium(1280) as page:
        page.goto(f"{address}sets/mixed-kitchen.html")
        form = page.locator(".back form").first
        outcome = form.get_attribute("data-o")
        form.locator(".gb-ways input").first.focus()
        page.keyboard.press("Space")
        for _ in range(4):
            if page.evaluate("document.activeElement.value") == outcome:
                break
            page.keyboard.press("ArrowDown")
        # Passing over the others takes none of them.
        assert form.get_attribute("data-shut") is not None
        assert remembered(page)["cards"] == {}
        page.keyboard.press("Tab")
        page.keyboard.press("Enter")
        assert form.get_attribute("data-shut") is None
        assert page.evaluate("!!document.activeElement.closest('.gb-boxes')")
        assert page.said == []
