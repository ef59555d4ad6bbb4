"""The worksheet as a student meets it: in Chromium, by mouse, keyboard and phone."""

from __future__ import annotations

import base64
import json
import re
import zlib
from pathlib import Path

import pytest

from calculators.faults import FaultsError
from calculators.units import read_loosely, symbol, written_units
from exercises.marking.reader import read_bytes
from exercises.sheets.mark_scheme import mark_scheme
from exercises.sheets.worksheet import paper, web_page
from tests.browser.pages import browser, faults_of, needs_chromium

playwright = pytest.importorskip("playwright.sync_api")
from tests.exercises.sheets_for_tests import TOKEN, a_sheet  # noqa: E402  # only with a browser

expect = playwright.expect
expect.set_options(timeout=20_000)  # on a busy machine

pytestmark = [
    pytest.mark.browser,
    pytest.mark.xdist_group(__name__),
    needs_chromium,
]


@pytest.fixture(scope="module")
def address(tmp_path_factory):
    path = tmp_path_factory.mktemp("page") / f"{TOKEN}.html"
    path.write_text(web_page(a_sheet()), encoding="utf-8")
    return path.as_uri()


@pytest.fixture
def context():
    made = browser().new_context(viewport={"width": 1280, "height": 900})
    yield made
    made.close()


@pytest.fixture
def page(context, address):
    """The page, with every request and every complaint noted."""
    opened = context.new_page()
    opened.asked, opened.complaints = [], []
    opened.on("request", lambda r: opened.asked.append(r.url))
    opened.on("console", lambda m: opened.complaints.append(m.text))
    opened.on("pageerror", lambda e: opened.complaints.append(str(e)))
    opened.goto(address)
    yield opened
    assert opened.complaints == []
    assert [u for u in opened.asked if not u.startswith(("file:", "data:", "blob:"))] == []


def said(page, key):
    return page.inner_text(f"#read-{key}")


# --- can it be read? -----------------------------------------------------------------------

NUMBERS = [
    "12.5",
    "12,5",
    "-3",
    "- 3",
    "+4",
    "−18",
    "1e3",
    "1.5e-2",
    "1e123",
    "1e",
    "0,125",
    "00,125",
    "1,234",
    "12,345",
    "1,2345",
    "1,234e1",
    "1.234",
    ".5",
    "5.",
    "5.g",
    "1 000",
    "1,000.5",
    "1.2.3",
    "１２",
    "٣",
    "nan",
    "inf",
    "1/2",
    "10**10",
    "2*3",
    "1±0.1",
    "",
    " ",
    "\t",
    "\u00a0",
    "\u2009",
    "\u200b",
    "\u202e",
    "9" * 64,
    "9" * 65,
    "1" + " " * 70,
    "0x10",
    "1_000",
    "½",
    "--1",
    "+-1",
    "١٢",
    "1e+5",
    "1e-05",
    "1E5",
    "[1]",
    "one",
    "£9.50",
    "$ 4",
    "€1 250",
    "£",
    "£-3",
    "£1,234",
    "€3,5/kg",
    "$$2",
    "£ 5 £",
    "1.250,5",
    "-1,234,567.8",
    "–18",
    "1–2",
    "1.250,500",
    "£1,250.50",
    "1,250.5,5",
    "1.25,5",
]
TAILS = [
    "",
    " g",
    "g",
    "\u00a0g",
    "\u202fkg",
    " \t ml",
    " %",
    " °C",
    "°C",
    " ºC",
    " C",
    "  kJ/kg/K",
    " deg  C",
    " deg\u00a0C",
    " % m/m",
    " g/100 g",
    " per  cent",
    " spoons",
    " G",
    " e",
    " E",
    " e5",
    " -",
    " +g",
    " 5",
    ",",
    ".",
    " g ",
    " \u200bg",
    " g\u0000",
    " gg",
    " constructor",
    " __proto__",
    " toString",
    " hasOwnProperty",
    " 😀",
    " g\ud7ff",
    "\u3000g",
    " leaf",
    " €",
    " \u2028g",
    "\u0085g",
    "\x1cg",
]


def python_reads(text):
    try:
        found = read_loosely(text)
    except FaultsError as error:
        return [False, error.faults[0].problem]
    return [True, found.value, symbol(found.unit_name) if found.unit_name else None]


def test_the_page_reads_exactly_what_the_strict_reader_reads(page):
    texts = [number + tail for number in NUMBERS for tail in TAILS]
    texts += ["1 " + written for written in written_units()]
    texts += ["1" + written for written in written_units()]
    assert len(texts) > 2000
    got = page.evaluate(
        "(texts) => texts.map((t) => { const r = readAnswer(t);"
        " return r.ok ? [true, r.value, r.unit] : [false]; })",
        texts,
    )
    wanted = [python_reads(text) for text in texts]
    differing = [
        (text, one, other)
        for text, one, other in zip(texts, wanted, got, strict=True)
        if one[0] != other[0] or (one[0] and one[1:] != other[1:])
    ]
    assert differing == []
    assert sum(one[0] for one in wanted) > 400
    assert sum(not one[0] for one in wanted) > 400


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("12,5 g", "It can be read. Reads as 12.5 g"),
        ("40", "It can be read, but it has no unit. Reads as 40"),
        ("1,234 g", "1,234 can be read in two ways."),
        ("3 spoons", "The unit “spoons” is not known."),
        ("about ten", "This does not begin with a number."),
        ("1 2 g", "This holds more than one number."),
        ("1 200 g", "It can be read. Reads as 1200 g"),
        ("1.250,5 g", "It can be read. Reads as 1250.5 g"),
    ],
)
def test_the_page_says_at_once_whether_an_answer_can_be_read(page, text, words):
    page.fill("#answer-1a", text)
    assert said(page, "1a").startswith(words)


def test_the_page_never_says_whether_an_answer_is_right(page):
    right = a_sheet().questions[0].parts[0].shown
    page.fill("#answer-1a", right)
    first = said(page, "1a").replace(right, "N")
    page.fill("#answer-1a", "1 g")
    assert said(page, "1a").replace("1 g", "N") == first


# --- draft ---------------------------------------------------------------------------------


def answer_all(page):
    page.fill("#answer-1a", "12,5 g")
    page.fill("#answer-1b", "75 g")
    page.fill("#working-1a", "2 × 6.25 <b>g</b>")
    page.check("#part-2a input[value=b]")
    page.check("#part-2b input[value=a]")
    page.check("#part-2b input[value=c]")
    page.fill("#answer-3b\\.1", "65 %")
    page.fill("#answer-3b\\.2", "70 %")
    page.fill("#answer-4a", "200 g")
    for step, place in enumerate((3, 1, 2, 4), 1):
        page.fill(f"#place-3a-{step}", str(place))


WANTED = {
    "1a": "12,5 g",
    "1b": "75 g",
    "2a": "b",
    "2b": "a, c",
    "3a": "2, 3, 1, 4",
    "3b.1": "65 %",
    "3b.2": "70 %",
    "4a": "200 g",
}


def test_a_draft_survives_a_reload(page):
    answer_all(page)
    expect(page.locator("#draft")).to_contain_text("kept")
    page.reload()
    assert page.evaluate("gather().answers") == WANTED
    expect(page.locator("#working-1a")).to_have_value("2 × 6.25 <b>g</b>")
    expect(page.locator("#count")).to_have_text("8 of 8 answers can be read")
    expect(page.locator("#draft")).to_contain_text("is back")


def test_leaving_at_once_still_keeps_the_draft(page):
    page.fill("#answer-1a", "9 g")
    page.reload()
    expect(page.locator("#answer-1a")).to_have_value("9 g")


def test_two_windows_of_one_sheet_do_not_undo_each_other(context, page, address):
    page.fill("#answer-1a", "1 g")
    page.fill("#answer-1b", "7 g")
    expect(page.locator("#draft")).to_contain_text("kept")
    second = context.new_page()
    second.goto(address)
    second.fill("#answer-1a", "2 g")
    second.fill("#answer-1b", "")
    expect(second.locator("#draft")).to_contain_text("kept")
    expect(page.locator("#answer-1a")).to_have_value("2 g")
    expect(page.locator("#answer-1b")).to_have_value("")
    expect(page.locator("#draft")).to_contain_text("open in another window")
    page.goto("about:blank")  # the older window goes last, and takes nothing back
    second.reload()
    expect(second.locator("#answer-1a")).to_have_value("2 g")


def test_a_browser_that_refuses_to_keep_a_draft_is_told_of(context, address):
    context.add_init_script(
        "Object.defineProperty(window, 'localStorage',"
        " {get() { throw new DOMException('no', 'SecurityError'); }});"
    )
    opened = context.new_page()
    opened.goto(address)
    expect(opened.locator("#draft")).to_contain_text("keeps no draft")
    opened.fill("#answer-1a", "3 g")
    expect(opened.locator("#count")).to_have_text("1 of 8 answers can be read")
    assert "keeps no draft" in opened.inner_text("#draft")


def test_a_damaged_draft_does_no_harm(page):
    for text in (
        "{",
        "null",
        "[]",
        '{"answers": {"1a": 5, "3a": "9, x"}, "working": 3}',
    ):
        page.evaluate("([k, v]) => localStorage.setItem(k, v)", [f"glossbook {TOKEN}", text])
        page.evaluate("clearTimeout(timer); timer = undefined")
        page.reload()
        expect(page.locator("#count")).to_have_text("0 of 8 answers can be read")


# --- order, by number and by keyboard --------------------------------------------------------


def test_steps_are_ordered_by_keyboard_alone(page):
    page.focus("#part-3a li:nth-child(4) button[data-by='-1']")
    step = page.get_attribute("#part-3a li:nth-child(4)", "data-step")
    for place in (3, 2, 1):
        page.keyboard.press("Enter")
        expect(page.locator("#said-3a")).to_have_text(f"Step {step} is now in place {place} of 4.")
        focused = page.evaluate("document.activeElement.getAttribute('aria-label')")
        assert focused == f"Move step {step} up"
    assert page.evaluate("gather().answers['3a']") == "4, 1, 2, 3"


def test_a_place_given_twice_or_left_out_cannot_be_read(page):
    for step, place in enumerate((1, 1, 2, 3), 1):
        page.fill(f"#place-3a-{step}", str(place))
    assert said(page, "3a") == "Place 1 is given twice."
    page.fill("#place-3a-2", "")
    assert said(page, "3a") == "Give every step a place."
    page.fill("#place-3a-2", "7")
    assert said(page, "3a") == "Places go from 1 to 4."
    page.fill("#place-3a-2", "4")
    assert "It can be read" in said(page, "3a")


def test_a_choice_can_be_taken_back(page):
    page.check("#part-2a input[value=a]")
    assert said(page, "2a") == "Chosen: a"
    page.click("#part-2a .none")
    assert page.evaluate("'2a' in gather().answers") is False


# --- handing in --------------------------------------------------------------------------------


def test_the_hand_in_is_one_small_file_in_the_agreed_form(page):
    answer_all(page)
    with page.expect_download() as waiting:
        page.click("#save")
    assert waiting.value.suggested_filename == f"{TOKEN}.handin.json"
    data = Path(waiting.value.path()).read_bytes()
    assert len(data) < 2000
    found = json.loads(data)
    assert set(found) == {"glossbook", "token", "answers", "working", "saved"}
    assert (found["glossbook"], found["token"]) == (1, TOKEN)
    assert found["answers"] == WANTED
    assert found["working"] == {"1a": "2 × 6.25 <b>g</b>"}
    reading = read_bytes(data)
    assert (reading.answers, reading.problems) == (WANTED, {})
    expect(page.locator("#saved")).to_contain_text("went to your downloads")


def test_what_is_open_or_unreadable_is_said_when_saving(page):
    page.fill("#answer-1a", "three")
    with page.expect_download():
        page.click("#save")
    words = expect(page.locator("#saved"))
    words.to_contain_text("Not readable yet: 1a.")
    words.to_contain_text("Not answered: 1b, 2a, 2b, 3a, 3b.1, 3b.2, 4a.")


def test_what_was_changed_after_saving_is_told(page):
    answer_all(page)
    with page.expect_download():
        page.click("#save")
    expect(page.locator("#saved")).to_contain_text("went to your downloads")
    page.fill("#answer-1a", "13 g")
    expect(page.locator("#saved")).to_contain_text("changed since you saved")
    with page.expect_download() as waiting:
        page.click("#save")
    expect(page.locator("#saved")).to_contain_text("went to your downloads")
    newer = json.loads(Path(waiting.value.path()).read_bytes())
    assert newer["answers"]["1a"] == "13 g"


def unpack(line):
    head, _, body = line.partition(".")
    data = base64.urlsafe_b64decode(body + "=" * (-len(body) % 4))
    return head, json.loads(zlib.decompress(data) if head == "GB1" else data)


@pytest.mark.parametrize("head", ["GB1", "GB0"])
def test_the_line_to_copy_holds_the_same_answers(page, head):
    answer_all(page)
    if head == "GB0":
        page.evaluate("delete window.CompressionStream")
    page.click("#copying summary")
    expect(page.locator("#line")).to_have_value(re.compile("^GB"))
    line = page.input_value("#line")
    assert set(line) <= set("ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789-_.")
    got, found = unpack(line)
    assert got == head
    assert found["token"] == TOKEN
    assert found["answers"] == WANTED
    assert read_bytes(line.encode()).answers == WANTED


def test_a_browser_that_saves_no_file_shows_the_line(page):
    page.fill("#answer-1a", "5 g")
    page.evaluate("() => { URL.createObjectURL = () => { throw new Error('no'); } }")
    page.click("#save")
    expect(page.locator("#saved")).to_contain_text("This browser saves no file.")
    expect(page.locator("#line")).to_be_visible()
    assert unpack(page.input_value("#line"))[1]["answers"] == {"1a": "5 g"}


def test_a_line_that_stands_open_follows_the_answers(page):
    page.fill("#answer-1a", "5 g")
    page.click("#copying summary")
    expect(page.locator("#line")).to_have_value(re.compile("^GB"))
    first = page.input_value("#line")
    assert unpack(first)[1]["answers"] == {"1a": "5 g"}
    page.fill("#answer-1a", "6 g")
    expect(page.locator("#line")).not_to_have_value(first)
    assert unpack(page.input_value("#line"))[1]["answers"] == {"1a": "6 g"}


def test_very_long_working_still_makes_a_line(page):
    page.fill("#working-1a", "x + ä " * 600)
    page.click("#copying summary")
    expect(page.locator("#line")).to_have_value(re.compile("^GB"))
    assert unpack(page.input_value("#line"))[1]["working"]["1a"].startswith("x + ä")


# --- seen by everyone --------------------------------------------------------------------------


@pytest.mark.parametrize("scheme", ["light", "dark"])
@pytest.mark.parametrize("width", [1280, 390])
@pytest.mark.parametrize("look", [{}, {"large": True, "plain": True}])
def test_axe_finds_nothing_at_level_aa(tmp_path, scheme, width, look):
    path = tmp_path / "page.html"
    path.write_text(web_page(a_sheet(**look)), encoding="utf-8")
    made = browser().new_context(
        viewport={"width": width, "height": 844}, color_scheme=scheme, bypass_csp=True
    )
    opened = made.new_page()
    opened.goto(path.as_uri())
    answer_all(opened)
    opened.fill("#answer-1a", "three")
    found = faults_of(opened, every_rule=True)
    made.close()
    assert found == ""


def test_nothing_scrolls_sideways_and_targets_are_large_enough_on_a_phone(address):
    made = browser().new_context(viewport={"width": 390, "height": 844}, has_touch=True)
    opened = made.new_page()
    opened.goto(address)
    answer_all(opened)
    assert opened.evaluate("document.documentElement.scrollWidth") == 390
    small = opened.evaluate(
        "[...document.querySelectorAll('button, summary, .option, textarea,"
        " input:not(.option input)')].filter(e => e.checkVisibility())"
        ".map(e => [e.outerHTML.slice(0, 80), e.getBoundingClientRect()])"
        ".filter(([, r]) => r.height < 44 || r.width < 44).map(([h]) => h)"
    )
    made.close()
    assert small == []


@pytest.mark.parametrize(("width", "letters"), [(320, 100), (390, 200), (320, 200)])
def test_nothing_scrolls_sideways_on_a_narrow_phone_or_in_letters_twice_as_large(
    address, width, letters
):
    made = browser().new_context(viewport={"width": width, "height": 844})
    opened = made.new_page()
    opened.goto(address)
    answer_all(opened)
    opened.evaluate(f"document.documentElement.style.fontSize = '{letters}%'")
    assert opened.evaluate("document.documentElement.scrollWidth") == width
    made.close()


@pytest.mark.parametrize("look", [{}, {"large": True}, {"plain": True}])
def test_the_paper_fits_a4_and_has_a_line_for_every_answer(tmp_path, look):
    path = tmp_path / "paper.html"
    path.write_text(paper(a_sheet(**look)), encoding="utf-8")
    made = browser().new_context(viewport={"width": 665, "height": 990})  # 176 mm of text
    opened = made.new_page()
    opened.goto(path.as_uri())
    opened.emulate_media(media="print")
    assert opened.evaluate("document.documentElement.scrollWidth") <= 665
    assert opened.locator(".line:not(.short)").count() == 5
    after = opened.locator(".exhibit").first.evaluate("e => getComputedStyle(e).breakAfter")
    assert after == "avoid"  # a table stands on the page of the part that asks for it
    line = opened.locator(".room + .write").first.evaluate("e => getComputedStyle(e).breakBefore")
    assert line == "avoid"  # no line for an answer stands alone on a page
    assert opened.pdf(prefer_css_page_size=True).startswith(b"%PDF")
    made.close()


@pytest.mark.parametrize("look", [{}, {"large": True, "plain": True}])
def test_axe_finds_nothing_on_paper_and_mark_scheme(tmp_path, look):
    sheet = a_sheet(**look)
    made = browser().new_context(viewport={"width": 1000, "height": 900}, bypass_csp=True)
    opened = made.new_page()
    for name, text in (("paper", paper(sheet)), ("scheme", mark_scheme([sheet]))):
        path = tmp_path / f"{name}.html"
        path.write_text(text, encoding="utf-8")
        opened.goto(path.as_uri())
        assert faults_of(opened, every_rule=True) == ""
    made.close()
