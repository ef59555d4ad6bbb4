"""Panels and practice in Chromium: driven with every kind of answer, equal to Python."""

from __future__ import annotations

import re
from pathlib import Path
from typing import Any

import pytest

from calculators.units import Measure
from course.live import by_hand
from course.live.answers import Answers, calculator
from exercises.questions.answer_boxes import answer_boxes
from exercises.questions.parts import DrawnChoice, DrawnQuantity
from tests.browser.pages import chromium, faults_of, needs_chromium
from tests.exercises.marked_class import down_the_road, right

pytestmark = [pytest.mark.browser, needs_chromium, pytest.mark.xdist_group(__name__)]

SECONDS = 60_000  # to get the calculator ready, on a busy machine
SOON = 20_000
OWN = "form.gb-practice[id^=practice-]"  # practice of the lesson's own, not of earlier ones
LIVE = [
    path.stem
    for path in sorted((Path(__file__).parents[2] / "course" / "lessons").glob("*.md"))
    if re.search(r"^```\{(panel|practice)\}", path.read_text(encoding="utf-8"), re.MULTILINE)
]


def until(form: Any, selector: str, wanted: str, wait: int = SOON) -> None:
    """Wait until a place of a form says what is wanted; fail with what it says."""
    place = form.locator(selector)
    try:
        form.page.wait_for_function(
            "([place, wanted]) => place.textContent === wanted",
            arg=[place.element_handle(), wanted],
            timeout=wait,
        )
    except Exception:
        assert place.text_content() == wanted
        raise


def text_of(form: Any, html: str) -> str:
    """Return the text of some HTML as a browser reads it."""
    return str(
        form.page.evaluate(
            "html => { const box = document.createElement('div'); box.innerHTML = html; return box.textContent; }",
            html,
        )
    )


# --- every panel ---------------------------------------------------------------------------


def inputs_of(form: Any) -> list[dict[str, str]]:
    """Return what to write into a panel: as it stands, unreadable, and out of range."""
    start = form.evaluate("form => Object.fromEntries(new FormData(form))")
    boxes = form.evaluate(
        "form => [...form.querySelectorAll('input[type=text]')].map((box) => box.name)"
    )
    first, last = boxes[0], boxes[-1]
    out = [start, {**start, first: "a little"}, {**start, first: "7", last: "5 USD"}]
    _, held = calculator(form.get_attribute("data-live"))
    for name in boxes:
        spec = held.arguments.get(name)
        if isinstance(spec, Measure) and spec.high is not None:
            unit = start[name].partition(" ")[2]
            out.append({**start, name: f"99999999 {unit}".strip()})
            break
    return [*out, start]


def drive_panel(form: Any, answers: Answers) -> None:
    name = form.get_attribute("data-live")
    for details in form.locator("details").all():
        details.evaluate("one => { one.open = true; }")
    for values in inputs_of(form):
        for box, text in values.items():
            place = form.locator(f'input[type=text][name="{box}"]')
            if place.count() and place.input_value() != text:
                place.fill(text)
        form.dispatch_event("submit")
        out = answers.panel(name, values)
        if out["faults"]:
            wanted = (
                out["faults"].get("") or "No answer yet: look at what is said beside the number."
            )
            until(form, ".gb-answer", wanted)
        else:
            until(form, ".gb-answer", text_of(form, out["html"]))
        for box in values:
            told = form.locator(f'[name="{box}"]')
            if told.get_attribute("type") == "hidden":
                continue
            # Not at once: two answers may both be that there is none.
            until(form, f"#{told.get_attribute('id')}-fault", out["faults"].get(box, ""))
            assert (told.get_attribute("aria-invalid") == "true") == (box in out["faults"])


# --- every practice question ------------------------------------------------------------------


def write(form: Any, asked: dict[str, Any], given: dict[str, str]) -> None:
    """Write answers into a card as a reader does: text, choices, steps moved."""
    for key in answer_boxes([asked]):
        text, part = given[key.key], key.part
        places = form.locator(f'[name="{key.key}"]')
        if isinstance(part, DrawnQuantity):
            places.fill(text)
        elif isinstance(part, DrawnChoice):
            letters = text.split(", ")
            for place in places.all():
                wanted = place.get_attribute("value") in letters
                if not part.several:
                    if wanted:
                        place.check()
                elif place.is_checked() != wanted:
                    place.set_checked(wanted)
        else:
            steps = form.locator(f'fieldset:has([name="{key.key}"]) .gb-steps')
            for place, step in enumerate(text.split(", ")):
                one = steps.locator(f'li[data-step="{step}"]')
                one.locator("[data-by='1']").press("Enter")  # even where nothing is to move
                while one.evaluate("li => [...li.parentElement.children].indexOf(li)") > place:
                    one.locator("[data-by='-1']").press("Enter")


def kinds_of_answers(asked: dict[str, Any]) -> list[dict[str, str]]:
    keys = answer_boxes([asked])
    good = {key.key: right(key) for key in keys}
    road = {key.key: down_the_road(key) for key in keys}
    measured = [key.key for key in keys if isinstance(key.part, DrawnQuantity)]
    out = [good, road]
    if measured:
        out.append({**good, **dict.fromkeys(measured, "about a spoonful")})
        out.append({**road, **dict.fromkeys(measured, "9e30 kg")})
    return out


def drive_practice(form: Any, answers: Answers) -> None:
    ident = form.get_attribute("data-live")
    first = int(form.get_attribute("data-set"))
    for number in (first, first + 1):
        asked = answers.asked(ident, number)
        if number > first:
            form.get_by_role("button", name="The same with other numbers").click()
            until(form, ".gb-says", "The question has other numbers now.")
            prompt = text_of(form, answers.practice(ident, number)["html"])
            assert form.locator(".gb-asked").text_content() == prompt
        for given in kinds_of_answers(asked)[: 4 if number == first else 1]:
            write(form, asked, given)
            form.get_by_role("button", name="Look at my answer").click()
            for key, verdict in answers.judge(ident, number, given)["verdicts"].items():
                until(
                    form,
                    f'[data-verdict="{key}"]',
                    f"{verdict['word']} {verdict['says']}",
                )


@pytest.mark.parametrize("slug", LIVE)
def test_every_panel_and_practice_of_a_lesson_answers_as_python_does(
    address: str, answers: Answers, slug: str
) -> None:
    evening = LIVE.index(slug) % 2 == 1
    with chromium(390, evening=evening) as page:
        page.goto(f"{address}lessons/{slug}.html")
        for fold in page.locator("details.further > summary").all():
            fold.click()  # what goes further answers as well
        forms = page.locator("form[data-live]")
        assert forms.count() > 0
        first = forms.first
        first.locator("input:not([type=hidden]), button").first.focus()
        page.wait_for_function("!document.querySelector('.gb-says progress')", timeout=SECONDS)
        for form in page.locator("form.gb-panel:not(.gb-run)").all():
            drive_panel(form, answers)
        for form in page.locator("form.gb-practice").all():
            drive_practice(form, answers)
        # Errors showing, as a screen reader and a phone meet them.
        for form in page.locator("form.gb-panel:not(.gb-run)").all():
            form.locator("input[type=text]").first.fill("a little")
            form.locator("[aria-invalid]").first.wait_for(timeout=SOON)
        assert faults_of(page) == ""
        assert page.evaluate("document.documentElement.scrollWidth") <= 390
        assert page.asked == []
        assert page.said == []


# --- how it behaves ------------------------------------------------------------------------------


def test_nothing_is_fetched_before_a_reader_touches_a_form(address: str) -> None:
    with chromium() as page:
        seen: list[str] = []
        page.on("request", lambda request: seen.append(request.url.rpartition("/")[2]))
        page.goto(f"{address}lessons/crystals.html")
        page.wait_for_timeout(300)
        fetched = {"started.bin", "pyodide.asm.wasm", "pyodide.mjs", "worker.js"}
        assert not fetched & set(seen)
        page.locator("form.gb-panel:not(.gb-run) .gb-from summary").first.click()
        page.wait_for_timeout(300)
        assert not fetched & set(seen)
        held: list[Any] = []  # so that what is said meanwhile stands still
        page.route("**/started.bin", lambda route: held.append(route))
        page.locator("form.gb-panel:not(.gb-run) input").first.focus()
        says = page.locator("form.gb-panel:not(.gb-run) .gb-says").first
        assert says.inner_text().startswith("Getting the calculator, about 9 MB")
        assert page.locator("progress").get_attribute("aria-label") == "Fetched"
        while not held:
            page.wait_for_timeout(50)
        held[0].continue_()
        page.wait_for_function("!document.querySelector('.gb-says progress')", timeout=SECONDS)
        assert fetched <= set(seen)
        assert [seen.count(name) for name in sorted(fetched)] == [1] * len(fetched)


def test_a_panel_and_practice_are_worked_by_keyboard_alone(address: str, answers: Answers) -> None:
    with chromium() as page:
        page.goto(f"{address}lessons/gelatin-grades.html")
        panel = page.locator("form.gb-panel:not(.gb-run)").first
        panel.locator("input").first.focus()
        page.keyboard.press("Control+A")
        page.keyboard.type("20 g")
        values = panel.evaluate("form => Object.fromEntries(new FormData(form))")
        until(
            panel,
            ".gb-answer",
            text_of(panel, answers.panel("gelatin.swap", values)["html"]),
            SECONDS,
        )

        choice = page.locator('form[data-live="gelatin-which-rule"]')
        asked = answers.asked("gelatin-which-rule")
        (key,) = answer_boxes([asked])
        choice.locator("input[type=radio]").first.focus()
        page.keyboard.press("Space")
        for _ in range([o.key for o in asked.parts[0].options].index(right(key))):
            page.keyboard.press("ArrowDown")
        page.keyboard.press("Enter")
        until(choice, ".gb-verdict", "agrees Right.")

        page.goto(f"{address}lessons/what-can-hurt.html")
        order = page.locator("form:has(.gb-steps)").first
        move = order.locator("li").nth(1).locator("[data-by='-1']")
        words = order.locator("li").nth(1).locator("span").first.text_content()
        move.focus()
        page.keyboard.press("Enter")
        until(order, ".gb-says", f"Now step 1 of {order.locator('li').count()}: {words}")
        assert page.evaluate("document.activeElement.dataset.by") == "-1"


def test_the_worked_solution_opens_after_an_attempt(address: str) -> None:
    with chromium() as page:
        page.goto(f"{address}lessons/gelatin-grades.html")
        form = page.locator(OWN).first
        worked = form.locator(".gb-worked summary")
        assert not worked.is_visible()
        form.get_by_role("button", name="Look at my answer").click()
        form.locator('[data-word="not answered yet"]').first.wait_for(timeout=SECONDS)
        assert not worked.is_visible()
        form.locator("input[type=text]").first.fill("9999")
        form.get_by_role("button", name="Look at my answer").click()
        worked.wait_for(timeout=SOON)
        worked.click()
        assert form.locator(".gb-worked p").first.is_visible()


def test_without_a_script_the_worked_solutions_stand_on_a_page_of_their_own(address: str) -> None:
    with chromium(390, java_script_enabled=False) as page:
        page.goto(f"{address}lessons/gelatin-grades.html")
        card = page.locator('form[data-live="gelatin-swap-powder"]')
        assert not card.locator(".gb-worked").is_visible()
        card.get_by_role("link", name="The worked solution").click()
        solution = page.locator("#solution-gelatin-swap-powder")
        assert solution.is_visible()
        assert "20.5 g × sqrt(220 / 160) = 24.04 g" in solution.inner_text()


def test_what_can_not_be_fetched_is_said_and_tried_again(address: str) -> None:
    with chromium() as page:
        page.route("**/pyodide.asm.wasm", lambda route: route.abort())
        page.goto(f"{address}lessons/crystals.html")
        form = page.locator("form.gb-panel:not(.gb-run)").last
        box = form.locator("input").first
        box.fill("71 %")
        says = "The calculator could not be fetched or started. Look at the connection, then change a number or ask again. In an old browser it can't start."
        until(form, ".gb-says", says, SECONDS)
        page.unroute("**/pyodide.asm.wasm")
        box.fill("72 %")
        until(
            form,
            ".gb-says",
            "Change a number, with its unit, and the answer follows.",
            SECONDS,
        )
        assert form.locator(".gb-answer strong").count() == 1


def test_other_numbers_pressed_twice_quickly_are_those_that_are_judged(
    address: str, answers: Answers
) -> None:
    with chromium(390) as page:
        page.goto(f"{address}lessons/how-strong.html")
        form = page.locator(OWN).first
        ident = form.get_attribute("data-live")
        form.locator("[data-other]").dblclick()
        until(form, ".gb-says", "The question has other numbers now.", SECONDS)
        shown = text_of(form, answers.practice(ident, 2)["html"])
        assert form.locator(".gb-asked").text_content() == shown
        asked = answers.asked(ident, 2)
        given = {key.key: right(key) for key in answer_boxes([asked])}
        write(form, asked, given)
        form.get_by_role("button", name="Look at my answer").dblclick()
        for key, verdict in answers.judge(ident, 2, given)["verdicts"].items():
            assert verdict["word"] == "agrees"
            until(form, f'[data-verdict="{key}"]', f"agrees {verdict['says']}")


def test_a_verdict_on_what_no_longer_stands_there_is_not_shown(address: str) -> None:
    with chromium(390) as page:
        page.goto(f"{address}lessons/how-strong.html")
        form = page.locator(OWN).first
        box = form.locator("input[type=text]").first
        box.fill("5 g")
        form.get_by_role("button", name="Look at my answer").click()
        box.fill("6 g")
        says = "This was changed meanwhile. Have it read again."
        until(form, ".gb-says", says, SECONDS)
        assert form.locator(".gb-verdict").first.text_content() == ""


def test_a_page_that_is_come_back_to_shows_what_belongs_together(address: str) -> None:
    with chromium(390) as page:
        page.goto(f"{address}lessons/gelatin-grades.html")
        panel = page.locator("form.gb-panel:not(.gb-run)").first
        example = panel.locator(".gb-answer").text_content()
        start = panel.evaluate("form => Object.fromEntries(new FormData(form))")
        panel.locator("input").first.fill("20 g")
        page.locator("form.gb-practice input[type=radio]").first.check()
        choice = page.locator("form.gb-panel:not(.gb-run) select").first
        if choice.count():
            choice.select_option(index=1)
        until(panel, ".gb-says", panel.get_attribute("data-can"), SECONDS)
        page.goto(f"{address}index.html")
        page.go_back()
        page.wait_for_function("!document.querySelector('.gb-boxes').disabled")
        now = panel.evaluate("form => Object.fromEntries(new FormData(form))")
        assert now == start
        assert panel.locator(".gb-answer").text_content() == example
        # What was chosen and not read is still there, and nothing is said of it.
        page.wait_for_function(
            "document.querySelectorAll('form.gb-practice :checked').length === 1"
        )
        assert page.locator("form.gb-practice .gb-verdict:not(:empty)").count() == 0


def test_a_place_for_a_verdict_is_known_before_it_speaks(address: str) -> None:
    with chromium(390) as page:
        page.goto(f"{address}lessons/gelatin-grades.html")
        for place in page.locator("form[data-live] [role=status]").all():
            shown = place.evaluate("one => getComputedStyle(one).display")
            assert shown != "none"


OLD = {
    "no WebAssembly": "delete window.WebAssembly",
    "no modules": "delete HTMLScriptElement.prototype.noModule",
    "no module workers": "window.Worker = class { constructor() { setTimeout(() => this.onerror({})); }"
    " postMessage() {} terminate() {} }",
}


@pytest.mark.parametrize("missing", OLD)
def test_a_browser_that_is_too_old_is_told_so(address: str, missing: str) -> None:
    with chromium(390) as page:
        page.add_init_script(OLD[missing])
        page.goto(f"{address}lessons/crystals.html")
        form = page.locator("form.gb-panel:not(.gb-run)").first
        if "worker" in missing:
            form.locator("input").first.focus()
        says = "This browser is too old to calculate here. A newer one can."
        until(form, ".gb-says", says)
        assert form.locator(".gb-answer strong").is_visible()


def test_without_a_script_the_worked_example_stands_with_a_sentence(
    address: str,
) -> None:
    with chromium(390, java_script_enabled=False) as page:
        page.goto(f"{address}lessons/crystals.html")
        form = page.locator("form.gb-panel:not(.gb-run)").first
        assert form.locator(".gb-answer strong").inner_text()
        assert form.locator(".gb-says").inner_text().startswith("A worked example.")
        card = page.locator(OWN).first
        assert "you can write your answer here" in card.locator(".gb-says").inner_text()
        assert not card.get_by_role("button", name="Look at my answer").is_visible()


def test_on_paper_stands_the_example_and_no_solution_under_its_question(address: str) -> None:
    with chromium() as page:
        page.goto(f"{address}lessons/gelatin-grades.html")
        page.emulate_media(media="print")
        page.evaluate("window.dispatchEvent(new Event('beforeprint'))")
        assert page.locator("form.gb-panel:not(.gb-run) .gb-answer strong").first.is_visible()
        assert page.locator("form.gb-practice .gb-worked").count() > 0
        assert not page.locator("form.gb-practice .gb-worked").first.is_visible()
        assert not page.get_by_role("button", name="Look at my answer").first.is_visible()
        assert not page.locator(".gb-says").first.is_visible()


def test_touch_targets_of_the_forms_are_large_enough(address: str) -> None:
    with chromium(390) as page:
        page.goto(f"{address}lessons/gelatin-grades.html")
        for target in page.locator(
            "form[data-live] :is(.gb-write, .gb-button, summary, .gb-option)"
        ).all():
            if target.is_visible():
                assert target.bounding_box()["height"] >= 44


def test_the_end_of_a_sum_is_read_as_python_reads_it(address: str, answers: Answers) -> None:
    with chromium(320) as page:
        page.goto(f"{address}lessons/pour.html")
        for leave in (1, 2):
            name = by_hand.name("pour-when", leave)
            form = page.locator(f'form[data-live="{name}"]')
            for number in (1, 2):
                parts = answers.by_hand("pour-when", leave, number).open.values()
                given = {f"1{part.name}": part.shown for part in parts}
                for key, text in given.items():
                    form.locator(f'[name="{key}"]').fill(text)
                form.get_by_role("button", name="Hold mine against it").click()
                for key, verdict in answers.judge(name, number, given)["verdicts"].items():
                    assert verdict["word"] == "agrees"
                    place = f'[data-verdict="{key}"]'
                    until(form, place, f"agrees {verdict['says']}", SECONDS)
                form.get_by_role("button", name="The same with other numbers").click()
                until(form, ".gb-says", "The question has other numbers now.")
        assert page.evaluate("document.documentElement.scrollWidth") <= 320
        assert faults_of(page) == ""
        assert page.said == []
