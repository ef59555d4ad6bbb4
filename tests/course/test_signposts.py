"""Letters point to the paragraph that teaches, and to a practice question."""

from __future__ import annotations

import re
from html.parser import HTMLParser
from pathlib import Path

import pytest

from calculators.faults import FaultsError
from course.lessons import __file__ as lessons_file
from course.live.answers import Answers
from course.live.forms import practice_html
from course.making.blocks import setting_of
from course.scheme.reading import read_scheme
from course.site.signposts import signposts, taught
from exercises.marking.run import mark_folder
from exercises.questions.answer_boxes import answer_boxes
from exercises.questions.outcomes import outcomes
from exercises.questions.registry import bank
from exercises.reports.letters import open_solutions, write_letters
from exercises.reports.signposts import checked_site
from tests.exercises.marked_class import issued, right
from tests.exercises.pile_of_ours import answer_file

LESSONS = Path(lessons_file).parent
DEMO = LESSONS.parent / "demo" / "scheme.toml"
ASKED = ("syrup-strength", "boiling-point", "gelatin-powder", "gelatin-rule")


class Links(HTMLParser):
    """The addresses of a page and the words that carry them."""

    def __init__(self, text):
        super().__init__()
        self.found, self._open = [], None
        self.feed(text)

    def handle_starttag(self, tag, attrs):
        if tag == "a":
            self._open = dict(attrs)["href"]

    def handle_endtag(self, tag):
        self._open = None if tag == "a" else self._open

    def handle_data(self, data):
        if self._open:
            self.found.append((self._open, data))


@pytest.fixture
def weak(tmp_path):
    """Return a book in which one student got nothing right, and one everything."""
    book, sheets = issued(
        tmp_path / "class.db",
        bank(),
        ASKED,
        {"carry out": 3, "decide": 1},
        2,
        kitchen=read_scheme(DEMO).kitchen_values(),
    )
    for n, sheet in enumerate(sheets):
        answers = {
            key.key: key.part.wrong_answer() if n == 0 else right(key)
            for key in answer_boxes(sheet.questions)
        }
        folder = tmp_path / f"pile {n}"
        folder.mkdir()
        (folder / "x.handin.json").write_bytes(answer_file(sheet.token, answers))
        mark_folder(folder, book, received_at="2030-02-20 10:00", workers=1)
    with book:
        yield book


def letters(book, out, **more):
    return [path.read_text("utf-8") for path in write_letters(book, out, **more)]


def test_every_outcome_names_a_heading_of_its_lesson():
    for outcome in outcomes().values():
        text = (LESSONS / f"{outcome.lesson}.md").read_text(encoding="utf-8")
        assert outcome.taught in re.findall(r"^#{2,4} (.+)$", text, re.MULTILINE), outcome.id


def test_every_outcome_of_a_sheet_has_practice_and_its_card_is_found_by_the_link():
    answers = Answers(setting_of(read_scheme(DEMO)))
    for name, found in taught().items():
        if outcomes()[name].evidence == "do":
            continue
        assert found.practice, name
        for question, place in found.practice.items():
            card = practice_html(answers, question, live=True)
            assert f'id="{place.partition("#")[2]}"' in card


def test_each_question_to_look_at_again_is_linked_to_paragraph_and_practice(weak, tmp_path):
    site = "https://pastry.example/glaze"
    course = signposts(site)
    first, second = letters(weak, tmp_path / "l", course=course)
    found = Links(first).found
    lost = {one["outcome"] for one in weak.results("first")[0].sheet.questions}
    for outcome in lost:
        told = taught()[outcome]
        assert (f"{site}/{told.place}", told.heading) in found
    practice = {href for href, _ in found if "#practice-" in href}
    assert practice
    assert all(href.startswith(f"{site}/lessons/") for href in practice)
    asked = {one["id"] for one in weak.results("first")[0].sheet.questions}
    assert not asked & {
        href.partition("#practice-")[2] for href, words in found if words == "a question like it"
    }
    assert Links(second).found == []  # nothing to look at again


def test_a_letter_names_page_and_heading_where_nobody_said_where_the_site_is(weak, tmp_path):
    text, _ = letters(weak, tmp_path / "l", course=signposts())
    assert Links(text).found == []
    outcome = weak.results("first")[0].sheet.questions[0]["outcome"]
    told = taught()[outcome]
    assert f"<cite>{told.lesson}</cite>" in text


def test_a_site_in_a_folder_is_linked_by_the_way_from_the_letter(weak, tmp_path):
    site = tmp_path / "my site"
    site.mkdir()
    (site / "index.html").write_text("x", encoding="utf-8")
    text, _ = letters(weak, tmp_path / "l", course=signposts(checked_site(str(site))))
    hrefs = {href for href, _ in Links(text).found}
    assert hrefs
    assert all(href.startswith("../../my%20site/lessons/") for href in hrefs)


def test_what_is_no_site_is_refused(tmp_path):
    with pytest.raises(FaultsError, match="is neither an address nor the folder of a course"):
        checked_site(str(tmp_path))
    assert checked_site("https://pastry.example") == "https://pastry.example"


def test_a_worked_solution_says_the_rule_the_numbers_and_the_answer_once(weak, tmp_path):
    open_solutions(weak, "first", "L. Lecturer", "All are in")
    for text in letters(weak, tmp_path / "l", solutions=True):
        solved = re.findall(r'<div class="solved">(.*?)</div>', text, re.DOTALL)
        assert solved
        for one in solved:
            said = re.sub(r"<[^>]+>", " ", one)
            words = said.split()
            for size in range(2, 9):  # nothing stands twice in a row
                pairs = zip(*(words[n:] for n in range(2 * size)), strict=False)
                assert not [p for p in pairs if p[:size] == p[size:]], said


def test_rules_of_calculated_questions_use_words_and_no_bare_signs():
    for name, card in bank().items():
        for line in re.findall(r'working=(?:f?"([^"]*)")', card.source):
            assert not re.search(r"\b(?:m1|m2|B1|B2|solids1|share1)\b", line), (name, line)


def test_a_letter_shows_a_question_and_its_exhibit_once(weak, tmp_path):
    text, _ = letters(weak, tmp_path / "l")
    sheet = weak.results("first")[0].sheet
    for one in sheet.questions:
        if one["exhibit"]:
            assert text.count(f"<figcaption>{one['exhibit']['title']}") == sum(
                other["exhibit"] is not None
                and other["exhibit"]["title"] == one["exhibit"]["title"]
                for other in sheet.questions
            )
        if one["stem"]:
            line = one["stem"].split("\n")[0].replace("&", "&amp;").replace("'", "&#39;")
            assert text.count(line.replace('"', "&#34;")) == 1
