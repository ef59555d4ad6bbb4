"""What a device remembers, in Chromium: kept, come back, shown, moved, erased, sent nowhere."""

from __future__ import annotations

import json
import re
from pathlib import Path
from typing import Any

import pytest

from course.live.answers import Answers
from exercises.questions.answer_boxes import answer_boxes
from tests.browser.pages import chromium, needs_chromium, site_of
from tests.browser.test_live import SECONDS, SOON, write
from tests.exercises.marked_class import down_the_road, right

pytestmark = [pytest.mark.browser, needs_chromium, pytest.mark.xdist_group(__name__)]

MONDAY, TUESDAY = "2026-11-09T10:00:00", "2026-11-10T10:00:00"
FIRST = "#practice-syrup-brix-weighed"
NOTHING_KEPT = (
    "Object.defineProperty(window, 'localStorage', {configurable: true,"
    " get() { throw new DOMException('no', 'SecurityError'); }});"
)


def answer(page: Any, answers: Answers, selector: str, *, rightly: bool, number: int = 1) -> None:
    """Answer a card as a reader does, and have it read."""
    form = page.locator(selector)
    asked = answers.asked(form.get_attribute("data-live"), number)
    how = right if rightly else down_the_road
    write(form, asked, {key.key: how(key) for key in answer_boxes([asked])})
    form.evaluate("form => form.addEventListener('kept', () => form.dataset.done = 1)")
    form.locator("[type=submit]").click()
    page.wait_for_selector(f"{selector}[data-done]", timeout=SECONDS)
    form.evaluate("form => delete form.dataset.done")


def other_numbers(page: Any, selector: str) -> None:
    page.locator(f"{selector} [data-other]").click()
    page.wait_for_function(
        "selector => document.querySelector(selector + ' .gb-says').textContent.includes('other')",
        arg=selector,
        timeout=SECONDS,
    )


def remembered(page: Any) -> dict[str, Any]:
    return dict(page.evaluate("glossbook.held"))


# --- kept, and come back -------------------------------------------------------------------


def test_right_on_two_days_is_two_days_and_answers_come_back(
    address: str, answers: Answers
) -> None:
    with chromium(390) as page:
        sent: list[str] = []
        page.on("request", lambda r: r.method != "GET" and sent.append(r.url))
        page.clock.set_fixed_time(MONDAY)
        page.goto(f"{address}lessons/how-strong.html")
        aim = page.locator('aside .aim li[data-o="syrup-strength"]')
        assert aim.get_attribute("data-s") == "0"
        assert aim.locator("[data-stated]").text_content() == ", not tried"
        run = page.locator(".run").nth(1)
        assert run.evaluate("run => getComputedStyle(run).getPropertyValue('--held')") == "0.000"
        answer(page, answers, FIRST, rightly=True)
        assert aim.get_attribute("data-s") == "1"
        assert float(run.evaluate("run => run.style.getPropertyValue('--held')")) == pytest.approx(
            0.5 / 9, abs=1e-3
        )
        given = page.locator(f"{FIRST} input[type=text]").first.input_value()
        said = page.locator(f"{FIRST} .gb-verdict").all_text_contents()

        page.reload()
        page.wait_for_function(f"document.querySelector('{FIRST} input').value", timeout=SOON)
        assert page.locator(f"{FIRST} input[type=text]").first.input_value() == given
        assert page.locator(f"{FIRST} .gb-verdict").all_text_contents() == said

        # The same answer once more on the same day is no second day.
        answer(page, answers, FIRST, rightly=True)
        assert aim.get_attribute("data-s") == "1"
        page.clock.set_fixed_time(TUESDAY)
        page.reload()
        other_numbers(page, FIRST)
        answer(page, answers, FIRST, rightly=True, number=2)
        assert aim.get_attribute("data-s") == "2"
        assert aim.locator("[data-stated]").text_content() == ", right on two days"
        assert remembered(page)["outcomes"] == {"syrup-strength": ["2026-11-09", "2026-11-10"]}

        # Other numbers come back too, when their question is near.
        given = page.locator(f"{FIRST} input[type=text]").first.input_value()
        page.reload()
        page.locator(FIRST).scroll_into_view_if_needed()
        page.wait_for_function(f"document.querySelector('{FIRST} input').value", timeout=SECONDS)
        assert page.locator(f"{FIRST} input[type=text]").first.input_value() == given
        assert sent == []
        assert page.asked == []
        assert page.said == []


def test_what_was_shown_before_it_was_right_is_a_try_and_a_miss_is_kept(
    address: str, answers: Answers
) -> None:
    with chromium(390) as page:
        page.clock.set_fixed_time(MONDAY)
        page.goto(f"{address}lessons/how-strong.html")
        answer(page, answers, FIRST, rightly=False)
        answer(page, answers, FIRST, rightly=True)
        assert remembered(page)["outcomes"] == {"syrup-strength": ["-2026-11-09", "~2026-11-09"]}
        looked = "#practice-syrup-which-instrument"
        # The worked solution opens after an attempt; what follows it is a try.
        assert not page.locator(f"{looked} .gb-worked summary").is_visible()
        answer(page, answers, looked, rightly=False)
        page.locator(f"{looked} .gb-worked summary").click()
        answer(page, answers, looked, rightly=True)
        assert remembered(page)["outcomes"]["syrup-instrument"] == ["-2026-11-09", "~2026-11-09"]
        # Other numbers, answered at once, count.
        other_numbers(page, FIRST)
        answer(page, answers, FIRST, rightly=True, number=2)
        assert "2026-11-09" in remembered(page)["outcomes"]["syrup-strength"]
        assert page.said == []


def test_choices_and_orders_come_back_as_they_were(address: str, answers: Answers) -> None:
    with chromium(390) as page:
        page.goto(f"{address}lessons/make-it.html")
        order, choice = "#practice-make-order-before", "#practice-make-stroke-begins"
        for card in (order, choice):
            answer(page, answers, card, rightly=False)
        steps = page.locator(f"{order} .gb-steps").inner_text()
        picked = page.locator(f"{choice} :checked").evaluate_all("all => all.map((b) => b.value)")
        assert picked
        page.reload()
        page.wait_for_function(f"document.querySelector('{choice} :checked')", timeout=SOON)
        assert page.locator(f"{order} .gb-steps").inner_text() == steps
        again = page.locator(f"{choice} :checked").evaluate_all("all => all.map((b) => b.value)")
        assert again == picked


def test_what_was_written_and_not_read_outlasts_a_reload(address: str, answers: Answers) -> None:
    picked, order = "#practice-syrup-which-instrument", "#practice-make-order-before"
    with chromium(390) as page:
        page.clock.set_fixed_time(MONDAY)
        page.goto(f"{address}lessons/how-strong.html")
        asked = answers.asked(page.locator(FIRST).get_attribute("data-live"), 1)
        write(page.locator(FIRST), asked, {key.key: right(key) for key in answer_boxes([asked])})
        given = page.locator(f"{FIRST} input[type=text]").first.input_value()
        page.locator(f"{picked} input").nth(1).check()
        page.reload()  # at once, as a phone does with a page that is out of sight
        page.wait_for_function(f"document.querySelector('{FIRST} input').value", timeout=SOON)
        assert page.locator(f"{FIRST} input[type=text]").first.input_value() == given
        assert page.locator(f"{picked} input").nth(1).is_checked()
        assert page.locator(".gb-verdict:not(:empty)").count() == 0
        assert remembered(page)["outcomes"] == {}

        # It proves nothing and spoils nothing: read now, it is right at the first look.
        answer(page, answers, FIRST, rightly=True)
        assert remembered(page)["outcomes"] == {"syrup-strength": ["2026-11-09"]}
        said = page.locator(f"{FIRST} .gb-verdict").all_text_contents()
        page.reload()
        page.wait_for_function(f"document.querySelector('{FIRST} input').value", timeout=SOON)
        assert page.locator(f"{FIRST} .gb-verdict").all_text_contents() == said

        page.goto(f"{address}lessons/make-it.html")
        page.wait_for_selector(f"{order} fieldset:enabled", timeout=SECONDS)
        page.locator(f"{order} [data-by='1']").first.click()
        steps = page.locator(f"{order} .gb-steps").inner_text()
        page.reload()
        page.wait_for_function(f"document.querySelector('{order} [type=hidden]').value")
        assert page.locator(f"{order} .gb-steps").inner_text() == steps


# --- where to go on ---------------------------------------------------------------------------


def test_the_first_page_leads_to_where_the_reader_stopped(address: str) -> None:
    with chromium(1280) as page:
        page.goto(f"{address}index.html")
        start, go = page.locator(".way:not(#go-on)"), page.locator("#go-on")
        assert not go.is_visible()
        assert "now" in start.get_attribute("class").split()
        page.goto(f"{address}lessons/boiling.html")
        heading = page.locator("h2", has_text="Thin air moves every stage")
        heading.scroll_into_view_if_needed()
        page.wait_for_function("glossbook.held.place?.section.startsWith('Thin')", timeout=SOON)
        page.goto(f"{address}index.html")
        assert go.inner_text().startswith("Go on here")
        assert "What does boiling take out? At: Thin air moves every stage" in go.inner_text()
        assert "now" not in start.get_attribute("class").split()
        go.click()
        page.wait_for_url("**/lessons/boiling.html#thin-air-moves-every-stage")
        # Read to its foot, a lesson leads on to the one after it.
        page.locator(".next").scroll_into_view_if_needed()
        page.wait_for_function("glossbook.held.read['lessons/boiling']", timeout=SOON)
        page.goto(f"{address}stand.html")
        read = page.locator("[data-read='lessons/boiling']").inner_text()
        assert re.fullmatch(r"read on \d+ \w+", read)
        page.goto(f"{address}index.html")
        go.click()
        page.wait_for_url("**/lessons/crystals.html")
        assert page.said == []


# --- shown, moved, erased -----------------------------------------------------------------------


def test_what_is_remembered_is_shown_saved_fetched_and_forgotten(
    address: str, answers: Answers, tmp_path: Path
) -> None:
    with chromium(1280, accept_downloads=True) as page:
        page.clock.set_fixed_time(MONDAY)
        page.goto(f"{address}lessons/how-strong.html")
        answer(page, answers, FIRST, rightly=True)
        page.goto(f"{address}stand.html")
        page.locator("[data-all-of-it] summary").click()
        assert '"syrup-strength"' in page.locator("[data-all-of-it] pre").inner_text()
        with page.expect_download() as got:
            page.get_by_role("button", name="Save what this device remembers").click()
        kept = tmp_path / got.value.suggested_filename
        got.value.save_as(kept)
        assert kept.name == "what-i-know-2026-11-09.held.json"
        before = remembered(page)
        assert json.loads(kept.read_text(encoding="utf-8"))["held"] == before

        page.get_by_role("button", name="Forget it all").click()
        page.get_by_role("button", name="No, keep it").click()
        assert remembered(page)["outcomes"] != {}
        page.get_by_role("button", name="Forget it all").click()
        page.get_by_role("button", name="Yes, forget it all").click()
        assert page.evaluate("Object.keys(localStorage).filter((k) => /^glossbook/.test(k))") == []
        assert remembered(page)["outcomes"] == {}
        assert page.locator(".stands [data-s='1']").count() == 0

        page.locator("[data-file]").set_input_files(kept)
        page.wait_for_function(
            "document.querySelector('[data-memory-says]').textContent.startsWith('Fetched')"
        )
        assert remembered(page)["outcomes"] == before["outcomes"]
        assert remembered(page)["cards"] == before["cards"]
        assert page.locator(".stands [data-s='1']").count() == 1
        assert page.said == []


def test_forgetting_one_course_leaves_another_of_the_same_address_alone(address: str) -> None:
    others = ["glossbook-held other", "glossbook-run /other/", "glossbook abc.of.a.sheet"]
    with chromium() as page:
        page.goto(f"{address}stand.html")
        page.evaluate(
            "names => names.forEach((name) => localStorage.setItem(name, '{}'))",
            [*others, "glossbook-run /", "glossbook-light"],
        )
        page.get_by_role("button", name="Forget it all").click()
        page.get_by_role("button", name="Yes, forget it all").click()
        page.get_by_text("Forgotten: answers").wait_for()
        assert page.evaluate("Object.keys(localStorage).sort()") == sorted(others)
        assert page.said == []


@pytest.mark.parametrize(
    ("text", "why"),
    [
        ("{broken", "can't be read: it is not whole, or of another kind."),
        ('{"a": 1}', "holds nothing that this course remembers."),
        ('{"held": {"outcomes": {"syrup-strength": ["soon"]}}}', "holds no day and no answer."),
        (" " * 5_000_001, "is larger than 5 MB"),
    ],
)
def test_a_file_that_is_not_ours_changes_nothing_and_says_why(
    address: str, tmp_path: Path, text: str, why: str
) -> None:
    file = tmp_path / "holiday.json"
    file.write_text(text, encoding="utf-8")
    with chromium(390) as page:
        page.goto(f"{address}stand.html")
        page.evaluate("glossbook.note('syrup-strength', '-')")
        before = remembered(page)
        page.locator("[data-file]").set_input_files(file)
        page.wait_for_function("document.querySelector('[data-memory-says]').textContent")
        says = page.locator("[data-memory-says]").inner_text()
        assert says.startswith(f"holiday.json {why}")
        assert "Nothing was changed." in says
        assert remembered(page) == before


def test_a_file_with_foreign_things_in_it_brings_only_what_has_its_form(
    address: str, tmp_path: Path
) -> None:
    file = tmp_path / "odd.json"
    script = "<img src=x onerror=document.title='taken'>"
    held = {
        "outcomes": {"syrup-strength": ["2026-11-09", script, 7], "__proto__": "x"},
        "cards": {f"lessons/how-strong{FIRST}": {"set": 1, "given": {"1": script}, "said": {}}},
        "read": {"lessons/boiling": "2026-11-09"},
        "place": {"page": "javascript:alert(1)", "title": script},
        "asked": [1, 2],
    }
    file.write_text(json.dumps({"held": held, "course": "other"}), encoding="utf-8")
    with chromium(390) as page:
        page.goto(f"{address}stand.html")
        page.locator("[data-file]").set_input_files(file)
        page.wait_for_function("document.querySelector('[data-memory-says]').textContent")
        assert "another kitchen" in page.locator("[data-memory-says]").inner_text()
        got = remembered(page)
        assert got["outcomes"] == {"syrup-strength": ["2026-11-09"]}
        assert got["place"] is None
        assert got["cards"] == {}
        page.goto(f"{address}index.html")
        assert page.title() != "taken"
        assert page.said == []


@pytest.mark.parametrize("broken", ["{broken", "[]", '"text"', "null", '{"outcomes": 3}'])
def test_storage_that_holds_something_else_stops_no_page(address: str, broken: str) -> None:
    with chromium(390) as page:
        page.goto(f"{address}stand.html")
        page.evaluate("text => localStorage.setItem(glossbook.key, text)", broken)
        page.reload()
        assert (
            page.locator("[data-counted]").inner_text().startswith("You have had 0 of them right")
        )
        assert page.said == []


def test_where_nothing_is_kept_the_page_works_and_says_so(address: str, answers: Answers) -> None:
    with chromium(390) as page:
        page.add_init_script(NOTHING_KEPT)
        page.goto(f"{address}lessons/how-strong.html")
        answer(page, answers, FIRST, rightly=True)
        aim = page.locator('aside .aim li[data-o="syrup-strength"]')
        assert aim.get_attribute("data-s") == "1"
        page.goto(f"{address}stand.html")
        assert "This browser keeps nothing" in page.locator("[data-keeps]").inner_text()
        assert page.locator(".stands [data-s='1']").count() == 0
        assert page.said == []


# --- where I stand, and the schedule ---------------------------------------------------------------


def due_in(page: Any, days: list[str]) -> int:
    """Return in how many days an outcome with these days comes back."""
    page.evaluate("days => glossbook.change((mem) => { mem.outcomes = { it: days }; })", days)
    return int(page.evaluate("glossbook.next('it').due"))


def test_the_gaps_widen_with_each_right_day_and_a_miss_begins_again(address: str) -> None:
    with chromium(390) as page:
        page.clock.set_fixed_time("2026-11-30T09:00:00")
        page.goto(f"{address}stand.html")
        gaps = page.evaluate("glossbook.GAPS")
        text = page.locator("article").inner_text()
        assert (
            f"after {gaps[0]} day, then after {gaps[1]}, {gaps[2]}, {gaps[3]} and {gaps[4]} days"
            in (text)
        )
        right_days = ["2026-11-01", "2026-11-02", "2026-11-05", "2026-11-12", "2026-11-30"]
        assert due_in(page, ["2026-11-30"]) == 1
        assert due_in(page, ["2026-11-29", "2026-11-30"]) == 3
        assert due_in(page, ["2026-11-27", "2026-11-28", "2026-11-30"]) == 7
        assert due_in(page, right_days) == 28
        assert due_in(page, ["2026-10-01", *right_days]) == 28
        assert due_in(page, [*right_days[:4], "-2026-11-30"]) == 1
        assert due_in(page, ["-2026-11-28", "2026-11-30"]) == 1
        assert due_in(page, ["-2026-11-30", "2026-11-30"]) == 1
        assert due_in(page, ["-2026-11-20"]) == -9


def test_where_i_stand_shows_three_to_repeat_the_missed_one_first(
    address: str, answers: Answers
) -> None:
    with chromium(1280) as page:
        page.clock.set_fixed_time("2026-11-30T09:00:00")
        page.goto(f"{address}stand.html")
        assert not page.locator(".again").is_visible()
        page.evaluate(
            """glossbook.change((mem) => { mem.outcomes = {
              "gelatin-leaf": ["2026-11-01"], "syrup-scales": ["-2026-11-28"],
              "pour-amount": ["2026-11-20"], "base-cost": ["2026-11-29"],
              "check-scale": ["2026-11-29", "2026-11-30"] }; })"""
        )
        cards = page.locator(".again li")
        assert cards.count() == 3
        told = [one.split("\n") for one in cards.all_inner_texts()]
        assert [rows[0] for rows in told] == [
            "How strong is it?",
            "Which gelatin, and how much?",
            "How much, how warm, on what?",
        ]
        assert [rows[2] for rows in told] == [
            "missed 2 days ago",
            "last right 29 days ago",
            "last right 10 days ago",
        ]
        assert page.locator("[data-counted]").inner_text() == (
            "You have had 1 of them right on two days and tried 4 more; 38 are still to come."
        )
        drips = page.locator(".drips i[data-o='check-scale']")
        rest = page.locator(".drips i[data-o='bubble-jug']")
        assert drips.bounding_box()["height"] > 5 * rest.bounding_box()["height"]
        cards.first.get_by_role("link").click()
        page.wait_for_function("document.activeElement?.dataset.o === 'syrup-scales'")
        assert page.said == []


def test_every_outcome_stands_there_once_as_a_drip_and_as_a_sentence(address: str) -> None:
    from exercises.questions.outcomes import outcomes

    on_sheets = [one.id for one in outcomes().values() if one.evidence != "do"]
    text = (site_of() / "stand.html").read_text(encoding="utf-8")
    drips = re.findall(r'<i data-o="([\w-]+)"', text)
    rows = re.findall(r'<li data-o="([\w-]+)" data-wording', text)
    assert sorted(drips) == sorted(rows) == sorted(on_sheets)
