"""A sheet in all its forms: whole, valid, safe, and silent about the answers."""

from __future__ import annotations

import ast
import html
import json
import re
from html.parser import HTMLParser

import nbformat
import pytest

from calculators.units import q
from exercises.book.tokens import new_token
from exercises.marking.copied_line import pack_line
from exercises.marking.reader import read_bytes
from exercises.marking.rules import mark_sheet
from exercises.questions.answer_boxes import answer_boxes
from exercises.questions.building import build
from exercises.questions.parts import DrawnQuantity, DrawnQuestion
from exercises.questions.registry import bank
from exercises.sheets.mark_scheme import mark_scheme
from exercises.sheets.notebook import markdown, notebook
from exercises.sheets.sheet import public, say_date
from exercises.sheets.worksheet import paper, web_page
from tests.exercises.sheets_for_tests import QUESTIONS, SECRETS, TOKEN, a_sheet

FORMS = [notebook, web_page, paper]
HOSTILE = '<script>alert(1)</script> "x" & `code` $x$ {{ 7*7 }} ![i](http://example.test)'


class Tags(HTMLParser):
    """Every tag of a page, with its attributes, and whether all were closed."""

    EMPTY = frozenset(["meta", "input", "img", "br", "link", "hr"])

    def __init__(self, text):
        super().__init__()
        self.tags, self.open = [], []
        self.feed(text)

    def handle_starttag(self, tag, attrs):
        self.tags.append((tag, dict(attrs)))
        if tag not in self.EMPTY:
            self.open.append(tag)

    def handle_endtag(self, tag):
        assert self.open
        assert self.open.pop() == tag


def cells_with(text, key):
    cells = json.loads(text)["cells"]
    return {
        cell["metadata"]["glossbook"][key]: cell
        for cell in cells
        if key in cell["metadata"].get("glossbook", {})
    }


# --- the notebook -------------------------------------------------------------------------


def test_the_notebook_is_valid_and_is_read_again_by_nbformat():
    found = nbformat.reads(notebook(a_sheet()), as_version=4)
    nbformat.validate(found)
    assert (found.nbformat, found.nbformat_minor) == (4, 5)
    assert found.metadata.glossbook == {"token": TOKEN, "sheet": 1}


def test_each_answer_has_one_cell_with_one_empty_string():
    sheet = a_sheet()
    cells = cells_with(notebook(sheet), "part")
    assert list(cells) == [one.key for one in answer_boxes(sheet.questions)]
    assert "3b.2" in cells
    for cell in cells.values():
        (statement,) = ast.parse(cell["source"]).body
        assert ast.literal_eval(statement.value) == ""
        assert cell["cell_type"] == "code"


def test_each_part_has_a_cell_for_working():
    cells = cells_with(notebook(a_sheet()), "working")
    assert list(cells) == ["1a", "1b", "2a", "2b", "3a", "3b", "4a"]
    assert {cell["cell_type"] for cell in cells.values()} == {"markdown"}


def test_the_notebook_shows_exhibits_as_a_table_and_as_an_attachment():
    cells = json.loads(notebook(a_sheet()))["cells"]
    table = next(c["source"] for c in cells if c["id"] == "question-2")
    assert "| Time | Mass \\| pan |\n| --- | --- |\n| 10:02 | 1240 g |" in table
    drawn = next(c for c in cells if c["id"] == "question-4")
    assert "![A line that rises.](attachment:exhibit-4.svg)" in drawn["source"]
    assert "image/svg+xml" in drawn["attachments"]["exhibit-4.svg"]


def test_markdown_shows_text_as_it_was_written():
    from markdown_it import MarkdownIt

    for text in (
        HOSTILE,
        "1. not a list",
        "- x",
        "# head",
        "a_b_c **x** ~~y~~ | z",
        "&lt;",
    ):
        shown = MarkdownIt().enable("table").enable("strikethrough").render(markdown(text))
        assert html.unescape(re.sub("^<p>|</p>\n$", "", shown)) == text


def whole_bank():
    """Return a sheet with every question of the bank."""
    kitchen = {"altitude": q(35, "m")}
    questions = [build(one, "whole", kitchen) for one in bank().values()]
    return a_sheet(questions=questions)


def right_answers(sheet):
    return {key.key: key.part.right_answer() for key in answer_boxes(sheet.questions)}


def in_a_notebook(sheet, answers):
    filled = json.loads(notebook(sheet))
    for cell in filled["cells"]:
        key = cell["metadata"].get("glossbook", {}).get("part")
        if key:
            cell["source"] = f"answer = {answers[key]!r}"
        key = cell["metadata"].get("glossbook", {}).get("working")
        if key == "1a":
            cell["source"] += "I divided."
    return json.dumps(filled).encode()


def in_a_file(sheet, answers):
    working = {"1a": "I divided."}
    return json.dumps(
        {"glossbook": 1, "token": sheet.token, "answers": answers, "working": working}
    ).encode()


def in_a_line(sheet, answers):
    return pack_line(json.loads(in_a_file(sheet, answers))).encode()


@pytest.mark.parametrize("way", [in_a_notebook, in_a_file, in_a_line])
def test_right_answers_to_every_question_come_back_and_earn_every_mark(way):
    every = whole_bank().questions
    for first in range(0, len(every), 100):  # a file holds so many answers and no more
        sheet = a_sheet(questions=every[first : first + 100], token=new_token())
        answers = right_answers(sheet)
        reading = read_bytes(way(sheet, answers))
        assert reading.token == sheet.token
        assert reading.answers == answers
        assert reading.working == {"1a": "I divided."}
        verdicts = mark_sheet(sheet.questions, reading.answers, problems=reading.problems)
        short = [(v.question, v.part, v.reason) for v in verdicts if v.awarded != v.total]
        assert short == []
        assert sum(v.total for v in verdicts) == sheet.total


def test_the_files_of_every_question_of_the_bank_are_whole():
    sheet = whole_bank()
    nbformat.validate(nbformat.reads(notebook(sheet), as_version=4))
    for form in (web_page, paper, lambda one: mark_scheme([one])):
        assert Tags(form(sheet)).open == []


# --- what a student's files do not say --------------------------------------------------------


@pytest.mark.parametrize("form", FORMS)
def test_no_file_of_a_student_holds_what_is_expected(form):
    sheet = a_sheet()
    text = re.sub("<style>.*?</style>", "", form(sheet), flags=re.DOTALL)
    for secret in SECRETS:
        assert secret not in text
    for question in sheet.questions:
        assert question.id not in text
        assert question.outcome not in text
        for part in question.parts:
            for row in (one for _, one in part.boxes("")):
                if isinstance(row, DrawnQuantity):
                    assert row.shown not in text
                    assert repr(row.answer) not in text
    for word in ('"right"', '"tolerance', '"roads"', '"values"', '"seed"', '"follows"'):
        assert word not in text


def test_a_new_field_of_a_question_stays_out_of_the_public_side():
    stored = [build(one, "seed").to_json() for one in QUESTIONS.values()]
    for question in stored:
        question["leak"] = "leaked"
        for part in question["parts"]:
            part["leak"] = "leaked"
            for each in (*part.get("options", ()), *part.get("rows", ())):
                each["leak"] = "leaked"
    shown = public(a_sheet(questions=[DrawnQuestion.from_json(one) for one in stored]))
    parts = [part for question in shown["questions"] for part in question["parts"]]
    assert "leaked" not in repr(shown)
    public_fields = {"key", "prompt", "marks", "boxes", "options", "steps"}
    assert {name for part in parts for name in vars(part)} == public_fields
    assert {len(option) for part in parts for option in getattr(part, "options", ())} == {2}


def test_the_forms_ask_the_same_with_the_same_numbers():
    sheet = a_sheet()
    plain = [html.unescape(re.sub("<[^>]+>", "", form(sheet))) for form in FORMS]
    for question in sheet.questions:
        for part in question.parts:
            assert all(part.prompt in text for text in plain)
            for _, text in part.public(1, False).listed():
                assert text in html.unescape(web_page(sheet))


# --- pages -------------------------------------------------------------------------------


@pytest.mark.parametrize("form", [web_page, paper, lambda sheet: mark_scheme([sheet])])
def test_a_page_is_well_formed_and_asks_nothing_of_the_network(form):
    text = form(a_sheet())
    page = Tags(text)
    assert page.open == []
    ids = [attrs["id"] for _, attrs in page.tags if "id" in attrs]
    assert len(ids) == len(set(ids))
    for tag, attrs in page.tags:
        assert tag not in ("link", "iframe", "object", "base")
        assert attrs.get("src", "data:").startswith("data:")
        assert not any(name.startswith("on") for name in attrs)
    without = text.replace("http://www.w3.org/2000/svg", "")
    assert "http" not in re.sub('http-equiv="', "", without)
    assert "url(" not in text
    assert "@import" not in text
    assert "default-src &#39;none&#39;" in text or "default-src 'none'" in text


@pytest.mark.parametrize("form", [*FORMS, lambda sheet: mark_scheme([sheet])])
def test_hostile_text_stays_text(form):
    stored = [one.to_json() for one in a_sheet().questions]
    stored[0]["stem"] = HOSTILE
    stored[1]["exhibit"]["rows"] = [[HOSTILE, HOSTILE]]
    for question in stored:
        for part in question["parts"]:
            part |= {"prompt": HOSTILE, "steps": [HOSTILE for _ in part.get("steps", ())]}
            for each in (*part.get("options", ()), *part.get("rows", ())):
                each["text" if "text" in each else "label"] = HOSTILE
    questions = [DrawnQuestion.from_json(one) for one in stored]
    text = form(a_sheet(questions=questions, student=HOSTILE, title=HOSTILE))
    if form is notebook:
        cells = json.loads(text)["cells"]
        assert not any("<script" in re.sub(r"\\<", "", c["source"]) for c in cells)
        assert not any(
            re.search(r"(?<!\\)!\[i\]", c["source"]) for c in cells if "i\\]" in c["source"]
        )
    else:
        assert "<script>alert" not in text
        assert "49" not in re.findall(r"\{\{ 7\*7 \}\}|49</", text)


def test_every_control_of_the_page_has_a_name():
    page = Tags(web_page(a_sheet()))
    named = {attrs.get("for") for tag, attrs in page.tags if tag == "label"}
    for tag, attrs in page.tags:
        if tag == "textarea":
            assert attrs.get("aria-label")
        if tag == "input" and "id" in attrs:
            assert attrs["id"] in named or attrs.get("aria-describedby")
        if tag == "img":
            assert attrs["alt"]


def test_large_and_plain_print_are_marked_on_the_page():
    assert '<html lang="en-GB" class="large">' in paper(a_sheet(large=True))
    assert '<html lang="en-GB" class="large plain">' in web_page(a_sheet(large=True, plain=True))


def test_a_sheet_with_a_safety_question_carries_the_cautions_of_its_lesson():
    text = web_page(a_sheet())
    assert "Hot sugar" in text
    assert "Your local rules and your supervisor come first." in text
    none = a_sheet(questions=[build(QUESTIONS["t-swap"], "s")], cautions=())
    assert "supervisor" not in web_page(none)


# --- mark scheme and words ----------------------------------------------------------------------


def test_the_mark_scheme_states_answers_tolerances_roads_and_follow_through():
    first, second = a_sheet("one", student="Ada"), a_sheet("two", student="Bo")
    text = html.unescape(mark_scheme([first, second]))
    for sheet in (first, second):
        for question in sheet.questions:
            for part in question.parts:
                for row in (one for _, one in part.boxes("")):
                    if isinstance(row, DrawnQuantity):
                        assert row.shown in text
                        for road in row.roads:
                            assert row.in_unit(road.value) in text
    for secret in SECRETS:
        assert secret in text
    assert "From the student's own 1a" in text
    assert "2 % of the answer: secret reason" in text
    assert "None: a safety decision" not in text  # no part of these is one


def test_a_number_of_base_units_is_said_in_the_unit_of_the_part():
    # 373.15 K is 100 °C, by the definition of the Celsius scale.
    def asked(base_unit, unit):
        return DrawnQuantity(answer=0.0, tolerance=0.0, base_unit=base_unit, unit=unit)

    assert asked("kelvin", "degC").in_unit(373.15) == "100\u00a0°C"
    assert asked("", "percent").in_unit(0.655) == "65.5\u00a0%"


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("2027-03-01", "Monday 1 March 2027"),
        ("2027-03-12T17:00", "Friday 12 March 2027, 17:00"),
        ("2027-03-12 09:30", "Friday 12 March 2027, 09:30"),
        ("", ""),
        ("after Easter", "after Easter"),
    ],
)
def test_a_date_is_said_in_words(text, said):
    assert say_date(text) == said
