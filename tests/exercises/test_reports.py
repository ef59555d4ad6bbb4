"""Letters and class reports: what is said, what is not, and nothing unescaped."""

from __future__ import annotations

import re
from dataclasses import replace
from html.parser import HTMLParser

import pytest

from calculators.faults import FaultsError
from exercises.book.decisions import Closing
from exercises.marking.matters import Proposal, confirm, preview
from exercises.marking.run import mark_folder
from exercises.questions import registry
from exercises.questions.answer_boxes import answer_boxes
from exercises.reports import standing as module_of_standing
from exercises.reports.class_report import (
    class_report,
    marks_picture,
    write_class_report,
    write_reports,
)
from exercises.reports.class_summary import OutcomeMet, _to_teach, class_summary
from exercises.reports.letters import (
    MOST_SENTENCES,
    at_most,
    open_solutions,
    solutions_opened,
    write_letters,
)
from exercises.reports.standing import NOT_YET, PASSED, standing
from exercises.reports.statistics import Counted
from tests.exercises.marked_class import down_the_road, issued, marked, right
from tests.exercises.pile_of_ours import answer_file
from tests.exercises.sheets_for_tests import QUESTIONS

OUTCOMES = ("gelatin-powder", "syrup-instrument", "gelatin-rule", "boiling-stage")
LEVELS = {"recall": 1, "carry out": 1, "decide": 2}
LESSONS = {
    "gelatin-grades": "Which gelatin?",
    "how-strong": "How strong is it?",
    "boiling": "What does boiling take out?",
}
HOSTILE = '<script>alert(1)</script><img src=x onerror="alert(2)">'


class Page(HTMLParser):
    """The tags of a page, its text, and whether all were closed."""

    EMPTY = frozenset(["meta", "input", "img", "br", "link", "hr"])

    def __init__(self, text):
        super().__init__()
        self.tags, self.open, self.text = [], [], ""
        self.feed(text)
        assert not self.open

    def handle_starttag(self, tag, attrs):
        self.tags.append((tag, dict(attrs)))
        if tag not in self.EMPTY:
            self.open.append(tag)

    def handle_startendtag(self, tag, attrs):
        self.tags.append((tag, dict(attrs)))

    def handle_endtag(self, tag):
        assert self.open.pop() == tag
        if tag in ("p", "li", "h1", "h2", "h3", "dt", "dd", "title"):
            self.text += " "

    def handle_data(self, data):
        self.text += data

    @property
    def words(self):
        return " ".join(self.text.split())


def assert_stands_alone(text):
    page = Page(text)
    names = {tag for tag, _ in page.tags}
    assert not names & {"script", "link", "iframe", "object", "embed", "form", "base"}
    for tag, attributes in page.tags:
        assert not [name for name in attributes if name.startswith("on")], tag
        for name in ("src", "href", "xlink:href"):
            assert attributes.get(name, "data:").startswith("data:")
    assert "@import" not in text
    assert not re.search(r"url\((?!['\"]?data:)", text)
    assert "default-src 'none'" in text


@pytest.fixture(autouse=True)
def small_sheets(monkeypatch):
    """One question of any kind judges an outcome here; test_blueprint tests the rule itself."""
    monkeypatch.setattr(module_of_standing, "enough", lambda must_pass: 1)
    monkeypatch.setattr(module_of_standing, "is_evidence", lambda box: True)


@pytest.fixture
def ours(tmp_path, monkeypatch):
    for name, card in QUESTIONS.items():  # follow-through asks the bank of today
        monkeypatch.setitem(registry.bank.cards, name, card)
    book, sheets = issued(
        tmp_path / "class.db", QUESTIONS, OUTCOMES, LEVELS, 6, must_pass=OUTCOMES[:1]
    )
    with book:
        yield Ours(book, sheets, tmp_path)


class Ours:
    """A class whose hand-ins a test writes one by one."""

    def __init__(self, book, sheets, root):
        self.book, self.sheets, self.root = book, sheets, root
        self.runs = 0

    def alike(self, one, other):
        """Raise what the marking of longer sheets raises where two are too alike."""
        numbers = [self.book.results("first")[n].handin.id for n in (one, other)]
        why = {a: {b: f"Hand-in {b}. 1a: the same."} for a, b in (numbers, numbers[::-1])}
        self.book.raise_alike("first", 1, max(numbers), why)

    def keys(self, n):
        return {key.key: key for key in answer_boxes(self.sheets[n].questions)}

    def hand_in(self, n, answers, *, when="2030-02-20 10:00", name="", working=None):
        self.runs += 1
        folder = self.root / f"pile {self.runs}"
        folder.mkdir()
        data = answer_file(self.sheets[n].token, answers, working)
        (folder / (name or "one.handin.json")).write_bytes(data)
        mark_folder(folder, self.book, received_at=when, workers=1)

    def right(self, n, **others):
        made = {name: right(key) for name, key in self.keys(n).items()}
        return {**made, **{k.replace("q", ""): v for k, v in others.items()}}

    def key_of(self, n, question, part="a"):
        place = [one["id"] for one in self.sheets[n].questions].index(question) + 1
        return f"{place}{part}"

    def letter(self, n, **more):
        paths = write_letters(self.book, self.root / "letters", lessons=LESSONS, **more)
        (path,) = [one for one in paths if one.name.startswith(self.sheets[n].student)]
        text = path.read_text("utf-8")
        assert_stands_alone(text)
        return Page(text).words


# --- letters ---------------------------------------------------------------------------


def test_a_letter_says_what_is_right_before_what_to_look_at_again(ours):
    road = ours.key_of(0, "t-swap")
    ours.hand_in(0, ours.right(0) | {road: down_the_road(ours.keys(0)[road])})
    said = ours.letter(0)
    assert said.index("Your answers show that you can") < said.index("Your next step")
    assert said.index("What is right") < said.index("What to look at again")
    assert f"That comes to 17 of {ours.sheets[0].total} marks" in said


def test_a_letter_shows_their_numbers_their_answer_and_what_it_shows(ours):
    road = ours.key_of(0, "t-swap")
    wrong = down_the_road(ours.keys(0)[road])
    ours.hand_in(0, {road: wrong})
    said = ours.letter(0)
    assert ours.keys(0)[road].part.prompt.replace("\xa0", " ") in said
    assert f"Your answer {wrong}".replace("\xa0", " ") in said
    assert "secret saying" in said


def test_a_letter_has_one_next_step_and_names_the_lesson_by_its_title(ours):
    road = ours.key_of(0, "t-swap")
    ours.hand_in(0, ours.right(0) | {road: down_the_road(ours.keys(0)[road])})
    said = ours.letter(0)
    assert said.count("Your next step") == 1
    assert f"Read Which gelatin? again. Then try {road} again from the beginning." in said
    others = [title for title in LESSONS.values() if title != "Which gelatin?"]
    assert not [title for title in others if title in said]


def test_a_letter_about_a_sheet_with_all_marks_has_nothing_to_read_again(ours):
    ours.hand_in(0, ours.right(0))
    said = ours.letter(0)
    assert "Nothing needs to be read again" in said
    assert "you have passed" in said
    assert "What to look at again" not in said


def test_a_letter_that_lacks_units_alone_says_so_and_waits_for_nothing(ours):
    road = ours.key_of(0, "t-swap")
    bare = {n: t.split()[0] for n, t in ours.right(0).items() if n == road}
    ours.hand_in(0, ours.right(0) | bare)
    said = ours.letter(0)
    assert "while you wait" not in said
    assert "Nothing needs to be read again. Write a unit that fits beside every" in said


def test_the_next_step_is_about_an_answer_to_look_at_before_units_that_lack(ours):
    road, other = ours.key_of(0, "t-swap"), ours.key_of(0, "t-choose")
    answers = ours.right(0)
    answers[road] = answers[road].split()[0]
    answers[other] = down_the_road(ours.keys(0)[other])
    ours.hand_in(0, answers)
    assert f"Then try {other} again from the beginning." in ours.letter(0)


def test_a_letter_about_what_nobody_could_read_does_not_say_that_all_is_well(ours):
    ours.hand_in(0, dict.fromkeys(ours.right(0), "so so"))
    said = ours.letter(0)
    assert "Nothing needs to be read again" not in said
    assert "your assessor looks at the rest first" in said


def test_each_part_has_at_most_three_sentences_and_keeps_the_next_step():
    text = "One is so. Two is so. Three is so. Four is so. Do this now."
    assert at_most(text) == "One is so. Two is so. Do this now."
    assert at_most("It is 1.5 g. Look again.") == "It is 1.5 g. Look again."
    assert MOST_SENTENCES == 3


def test_right_units_alone_meet_no_outcome(tmp_path, monkeypatch):
    for name, card in QUESTIONS.items():
        monkeypatch.setitem(registry.bank.cards, name, card)
    book, sheets = issued(
        tmp_path / "class.db",
        QUESTIONS,
        OUTCOMES,
        LEVELS,
        1,
        pass_share=0.3,
        policy={"unit_alone": True},
    )
    keys = answer_boxes(sheets[0].questions)
    asked = [key for key in keys if key.question.id == "t-swap"]
    answers = {key.key: right(key) for key in keys}
    answers |= {key.key: "1 g" for key in asked}
    (tmp_path / "one.handin.json").write_bytes(answer_file(sheets[0].token, answers))
    with book:
        mark_folder(tmp_path, book, received_at="2030-02-20 10:00", workers=1)
        (result,) = book.results("first")
        stands = standing(result, book.paper("first"))
    (weak,) = (one for one in stands.shown if one.id == asked[0].outcome)
    assert weak.won >= 0.3 * weak.possible
    assert weak.state == NOT_YET
    assert stands.state == PASSED


def test_outcomes_are_told_in_the_words_of_the_table(ours):
    from exercises.questions.outcomes import outcomes

    ours.hand_in(0, {})
    said = ours.letter(0)
    for name in OUTCOMES:
        wording = outcomes()[name].wording
        assert f"not yet met{wording[0].upper()}{wording[1:]}." in said.replace(
            "not yet met ", "not yet met"
        )


def test_no_right_answer_stands_in_a_letter_before_solutions_are_opened(ours):
    ours.hand_in(0, {ours.key_of(0, "t-safe"): "1 g"})
    part = ours.keys(0)[ours.key_of(0, "t-safe")].part
    said = ours.letter(0)
    assert "secret worked" not in said
    assert "secret working" not in said
    said = said.replace("1240 g", "", 1)  # stands in a log that is shown
    assert part.shown.replace("\xa0", " ") not in said
    assert "Worked solution" not in said


def test_worked_solutions_are_refused_until_a_named_person_has_opened_them(ours):
    ours.hand_in(0, {})
    with pytest.raises(FaultsError, match="has no worked solutions open to students"):
        write_letters(ours.book, ours.root / "letters", solutions=True)
    with pytest.raises(FaultsError, match="does not name a person"):
        open_solutions(ours.book, "first", "", "All are in")
    assert solutions_opened(ours.book, "first") is None
    open_solutions(ours.book, "first", "L. Lecturer", "All are in")
    opened = solutions_opened(ours.book, "first")
    assert (opened.by, opened.reason) == ("L. Lecturer", "All are in")
    assert opened.at
    said = ours.letter(0, solutions=True)
    assert "Worked solution secret working secret worked" in said
    part = ours.keys(0)[ours.key_of(0, "t-swap")].part
    assert part.shown.replace("\xa0", " ") in said
    assert "Worked solution" not in ours.letter(0)


def test_a_late_or_doubtful_hand_in_is_told_neutrally(ours):
    answers = ours.right(0)
    ours.hand_in(0, answers, working={"1a": "the same words"})
    ours.hand_in(1, answers, when="2030-03-04 10:00", working={"1a": "the same words"})
    ours.alike(0, 1)
    flags = ours.book.results("first")[1].handin.flags
    assert flags.keys() >= {"late", "copied"}
    said = ours.letter(1)
    assert "your assessor is looking at that" in said
    assert "Your assessor is checking how this hand-in came in" in said
    assert "these marks may still change" in said
    for word in (
        "copied",
        "copy",
        "cheat",
        "same answers",
        "Ada",
        "swapped",
        "suspect",
    ):
        assert word not in said


def test_nothing_is_said_of_a_flag_that_was_settled(ours):
    ours.hand_in(0, ours.right(0), when="2030-03-04 10:00")
    one = ours.book.results("first")[0].handin
    assert "is looking at" in ours.letter(0)
    (late,) = ours.book.matters(handin=one.id)
    ours.book.close_matters([Closing(late.id)], by="A. Sessor", reason="Ill, note seen")
    said = ours.letter(0)
    assert "is looking at" not in said
    assert "Ill, note seen" not in said


def test_what_is_still_to_settle_is_said_and_not_counted_as_wrong(ours):
    key = ours.key_of(0, "t-swap")
    ours.hand_in(0, ours.right(0) | {key: "about a cup"})
    said = ours.letter(0)
    assert f"Your assessor is looking at {key};" in said
    assert "What your assessor still has to look at" in said
    assert "Your answer about a cup" in said


def test_an_assessors_mark_is_told_with_its_name_and_reason(ours):
    key = ours.key_of(0, "t-swap")
    ours.hand_in(0, ours.right(0) | {key: "about a cup"})
    mark = ours.book.results("first")[0].marks[key]
    ours.book.decide(
        "marks",
        by="A. Sessor",
        reason="Working seen",
        mark=mark.id,
        detail={"awarded": 2, "reason": "Your working holds up to the last line."},
    )
    said = ours.letter(0)
    assert "Marked by A. Sessor. Your working holds up to the last line. 2 of 3" in said


def test_an_assessors_own_words_stay_whole(ours):
    key = ours.key_of(0, "t-swap")
    ours.hand_in(0, ours.right(0) | {key: "about a cup"})
    mark = ours.book.results("first")[0].marks[key]
    words = "I read it. A cup is no unit. Yours holds 250 ml. I counted that. Weigh it next time."
    detail = {"awarded": 2, "reason": words}
    ours.book.decide("marks", by="A. Sessor", reason="Read", mark=mark.id, detail=detail)
    assert words in ours.letter(0)


def test_what_a_decision_tells_the_student_is_in_the_letter(ours):
    ours.hand_in(0, ours.right(0), when="2030-03-04 10:00")
    one = ours.book.results("first")[0].handin
    (late,) = ours.book.matters(handin=one.id)
    close = [Closing(late.id)]
    ours.book.close_matters(
        close, by="A. Sessor", reason="Note", told="The bus broke down: it counts."
    )
    appeal = ours.book.raise_matter(one.id, "appeal", by="Cy", part="1a", detail={"says": "No"})
    ours.book.close_matters(
        [Closing(appeal.id)], by="B. Reader", reason="Read", told="The mark stays. See lesson 2."
    )
    said = ours.letter(0)
    assert "A. Sessor writes: “The bus broke down: it counts.”" in said
    assert "B. Reader writes of 1a: “The mark stays. See lesson 2.”" in said
    assert "Note" not in said
    decision = ours.book.decide(
        "set aside", by="A. Sessor", reason="Note", handin=one.id, told="It came too late."
    )
    assert "does not count at present" in ours.letter(0)
    assert "A. Sessor writes: “It came too late.”" in ours.letter(0)
    ours.book.undo(decision.id, by="A. Sessor", reason="Note")
    assert "too late" not in ours.letter(0)


def test_how_an_answer_reads_is_told_and_a_second_markers_note_is_not(ours):
    key = ours.key_of(0, "t-swap")
    ours.hand_in(0, ours.right(0) | {key: "about a cup"})
    result = ours.book.results("first")[0]
    (matter,) = ours.book.matters(handin=result.handin.id)
    proposal = Proposal(reads={key: "12 g"})
    found = preview(ours.book, matter.id, proposal)
    confirm(ours.book, [found], by="A. Sessor", reason="Seen", told="I read your cup as 12 g.")
    assert f"A. Sessor writes of {key}: “I read your cup as 12 g.”" in ours.letter(0)
    mark = ours.book.results("first")[0].marks[key].id
    note = {"awarded": 1, "reason": "For the moderator alone"}
    ours.book.decide("second mark", by="B. Reader", reason="Blind", mark=mark, detail=note)
    assert "moderator alone" not in ours.letter(0)


def test_nobody_is_blamed_where_nothing_came_or_nothing_could_be_read(ours):
    assert write_letters(ours.book, ours.root / "letters") == []
    folder = ours.root / "damaged"
    folder.mkdir()
    data = answer_file(ours.sheets[2].token, {"1a": "x"})
    data = data.replace(b'"answers": {"1a": "x"}', b'"answers": 3')
    (folder / "x.handin.json").write_bytes(data)
    mark_folder(folder, ours.book, received_at="2030-02-20", workers=1)
    assert ours.book.results("first")[2].state == "can't be read"
    said = ours.letter(2)
    assert "Thank you for handing in. Your file came, but it can't be read." in said
    assert "Outcomes: met and not yet met" not in said
    data = answer_file(ours.sheets[3].token, {"1a": "x"})[:90]  # cut on its way
    (folder / "cut.json").write_bytes(data)
    mark_folder(folder, ours.book, received_at="2030-02-20", workers=1)
    said = ours.letter(3)
    assert (
        "Your file came, but it can't be read. The file is incomplete: it breaks off in line"
        in said
    )
    assert "Ask for the file again" not in said  # that is for the assessor


def test_large_print_is_kept_in_a_letter(ours):
    student = ours.book.students()[ours.sheets[0].student]
    changed = {name: getattr(student, name) for name in ("id", "name", "extra_time")}
    ours.book.enrol([type(student)(**changed, print="large plain")])
    ours.hand_in(0, {})
    text = write_letters(ours.book, ours.root / "letters")[0].read_text("utf-8")
    assert '<body class="letter large plain">' in text


def test_a_caution_stands_in_the_letter_where_a_safety_question_lost_marks(ours):
    ours.hand_in(0, ours.right(0))
    ours.hand_in(1, ours.right(1) | {ours.key_of(1, "t-safe"): "1 g"})
    paths = write_letters(ours.book, ours.root / "letters")
    assert 'class="caution"' not in paths[0].read_text("utf-8")
    assert 'class="caution"' in paths[1].read_text("utf-8")


@pytest.mark.parametrize("hostile", [HOSTILE, "{{ 7*7 }}", "</style><script>x", "\u202egnp"])
def test_nothing_a_student_wrote_reaches_a_page_unescaped(ours, hostile):
    ours.book.enrol([type(ours.book.students()["s0000"])("s0000", f"Ada {hostile}")])
    answers = ours.right(0) | {"1a": hostile, "2a": hostile}
    ours.hand_in(0, answers, name="x.handin.json", working={"1a": hostile})
    ours.hand_in(0, {**answers, "2b": hostile}, when="2030-03-09")
    letter = write_letters(ours.book, ours.root / "letters")[0].read_text("utf-8")
    report = write_class_report(ours.book, ours.root, "first")[0].read_text("utf-8")
    for text in (letter, report):
        assert_stands_alone(text)
        assert "<script" not in text
        assert not re.search(r'<img(?! src="data:image/)', text)  # exhibits are ours
        assert "49" not in Page(text).words.split()


def test_an_erased_person_gets_no_letter(ours):
    for n in range(6):
        ours.hand_in(n, ours.right(n))
    ours.book.erase("s0000", "L. Lecturer", "Asked for it")
    names = [path.name for path in write_letters(ours.book, ours.root / "letters")]
    assert len(names) == 5
    assert not [name for name in names if "ada" in name or "s0000" in name]


# --- the class report ------------------------------------------------------------------------


def test_who_wrote_nothing_is_among_no_answers_that_end_somewhere(ours):
    road = ours.key_of(0, "t-swap")
    for n in range(6):
        answers = ours.right(n)
        answers[road] = down_the_road(ours.keys(n)[road]) if n < 2 else answers[road]
        ours.hand_in(n, answers | ({road: "?"} if n == 5 else {road: ""} if n == 4 else {}))
    box = next(one for one in class_summary(ours.book, "first").boxes if one.key == road)
    assert (box.got.hits, box.got.count) == (2, 6)
    assert [(one.name, one.count, one.of) for one in box.roads] == [("secret road", 2, 4)]


def test_shares_and_roads_are_counted_as_by_hand(ours):
    road = ours.key_of(0, "t-swap")
    for n in range(6):
        answers = ours.right(n)
        if n < 2:
            answers[road] = down_the_road(ours.keys(n)[road])
        ours.hand_in(n, answers)
    found = class_summary(ours.book, "first")
    box = next(one for one in found.boxes if one.key == road)
    assert (box.got.hits, box.got.count) == (4, 6)
    assert [(one.name, one.count, one.of) for one in box.roads] == [("secret road", 2, 6)]
    assert found.marked == 6
    met = {one.id: (one.met.hits, one.met.count) for one in found.outcomes}
    assert met["gelatin-powder"] == (6, 6)


def test_what_fewer_than_two_thirds_have_met_is_taught_again_with_its_road(ours):
    one, two = (ours.key_of(0, "t-swap", part) for part in "ab")
    for n in range(6):
        keys = ours.keys(n)
        answers = ours.right(n)
        if n < 3:
            answers |= {one: down_the_road(keys[one]), two: "0.001 g"}
        ours.hand_in(n, answers)
    found = class_summary(ours.book, "first")
    assert [each.lesson for each in found.teach] == ["gelatin-grades"]
    (weak,) = found.teach[0].outcomes
    assert (weak.met.hits, weak.met.count, weak.must) == (3, 6, True)
    assert found.teach[0].road.count == 3
    said = Page(class_report(found, lessons=LESSONS)).words
    assert "Which gelatin? 3 of 6 have met" in said
    assert "It must be met to pass." in said
    assert f"in {one}, 3 of 6 answers end at secret road . secret saying" in said.replace(
        "secret road.", "secret road ."
    )
    assert [who for who, _ in found.help] == ["Ada Ample", "Bo Batter", "Cleo Crumb"]


def test_a_must_pass_outcome_that_most_have_met_is_not_taught_again(ours):
    one, two = (ours.key_of(0, "t-swap", part) for part in "ab")
    for n in range(6):
        answers = ours.right(n)
        if n < 1:
            answers |= {one: "0.001 g", two: "0.001 g"}
        ours.hand_in(n, answers)
    found = class_summary(ours.book, "first")
    weak = next(each for each in found.outcomes if each.must)
    assert (weak.met.hits, weak.met.count) == (5, 6)
    assert found.teach == []
    assert [why for _, why in found.help if weak.wording in why]  # told by name


def test_the_median_of_a_class_is_one_so_far_while_marks_are_still_to_settle(ours):
    for n in range(5):
        ours.hand_in(n, ours.right(n))
    assert "The median is" in class_report(class_summary(ours.book, "first"))
    ours.hand_in(5, ours.right(5) | {ours.key_of(5, "t-swap"): "3 or so more"})
    said = class_report(class_summary(ours.book, "first"))
    assert "So far the median is" in said


def test_two_students_of_one_name_are_told_apart_in_the_class_report(ours):
    one, two, three = (sheet.student for sheet in ours.sheets[:3])
    ours.book.enrol(replace(s, name="Lee") for s in ours.book.students([one, two]).values())
    found = class_summary(ours.book, "first")
    assert {f"Lee ({one})", f"Lee ({two})"} <= set(found.missing)
    assert ours.book.students()[three].name in found.missing
    ours.hand_in(0, {})
    called = [who for who, _ in class_summary(ours.book, "first").help]
    assert called == [f"Lee ({one})"]


def test_below_five_marked_sheets_no_share_is_told(ours):
    for n in range(4):
        ours.hand_in(n, ours.right(n))
    found = class_summary(ours.book, "first")
    assert all(box.got is None for box in found.boxes)
    said = Page(class_report(found)).words
    assert "Shares are shown from 5 marked sheets on, and there are 4." in said
    assert "true share:" not in said


def test_what_needs_a_look_lists_late_repeated_copied_unreadable_and_to_settle(ours):
    answers = ours.right(0)
    ours.hand_in(0, answers, working={"1a": "words"})
    ours.hand_in(1, answers, working={"1a": "words"})
    ours.alike(0, 1)
    ours.hand_in(2, ours.right(2), when="2030-03-04")
    ours.hand_in(3, ours.right(3))
    ours.hand_in(3, ours.right(3) | {"1a": "1 g"}, name="again.handin.json")
    ours.hand_in(4, ours.right(4) | {"1a": "a cup"})
    folder = ours.root / "odd"
    folder.mkdir()
    (folder / "list.txt").write_text("milk, eggs")
    mark_folder(folder, ours.book, received_at="2030-02-20", workers=1)
    found = class_summary(ours.book, "first")
    kinds = {each.kind for each in found.look}
    assert kinds == {
        "Same answers as another",
        "Late",
        "Handed in again",
        "Answers to settle",
        "Can't be read",
    }
    said = Page(class_report(found)).words
    assert "proves nothing about anybody" in said
    assert "list.txt" in said


def test_one_hand_in_that_needs_a_look_is_one(ours, tmp_path):
    ours.hand_in(0, ours.right(0) | {"1a": "a cup"})
    (made,) = write_reports(ours.book, tmp_path / "r")
    said = Page(made.report.read_text("utf-8")).words
    assert "1 hand-in needs a look before the marks are final." in said
    assert f"1 hand-in needs a look: see {made.report}." in made.notes


def _met(name, hits, left, count, must=False):
    return OutcomeMet(name, name, f"lesson {name}", must, Counted(hits, left, count), True, "")


def test_what_to_teach_again_looks_at_must_pass_first_and_at_the_worst_that_can_come():
    met = [
        _met("weak", 3, 0, 27),
        _met("unsettled", 17, 8, 27),  # 17 of the 19 that are settled, but 17 of 27
        _met("must", 14, 8, 27, must=True),
        _met("must nearly", 23, 0, 27, must=True),
        _met("fine", 18, 0, 27),
        _met("must fine", 25, 0, 27, must=True),
    ]
    listed = [each.outcomes[0].id for each in _to_teach(met, [])]
    assert listed == ["must", "weak", "unsettled"]
    assert str(met[2].met) == "14 to 22 of 27 (8 still to settle)"


def test_unsettled_work_is_shown_as_bounds_and_not_dropped(ours):
    for n in range(6):
        ours.hand_in(n, ours.right(n) | ({"1a": "a cup"} if n < 2 else {}))
    found = class_summary(ours.book, "first")
    (box,) = [box for box in found.boxes if box.key == "1a"]
    assert (box.got.hits, box.got.open, box.got.count) == (4, 2, 6)
    said = Page(class_report(found)).words
    assert "4 to 6 of 6 (2 still to settle)" in said


@pytest.mark.parametrize(("count", "told"), [(29, False), (30, True)])
def test_item_statistics_are_told_from_thirty_students_and_else_why_not(tmp_path, count, told):
    with marked(tmp_path, QUESTIONS, OUTCOMES, LEVELS, count, leave=()) as book:
        found = class_summary(book, "first")
    assert (found.alpha is not None) is told
    assert any(box.apart is not None for box in found.boxes) is told
    said = Page(class_report(found)).words
    assert ("Reliability of the whole paper" in said) is told
    assert ("how reliable the paper is: 29, and below 30" in said) is not told
    assert "Cronbach" in said
    assert "nothing is estimated" in said
    assert "true share" not in said


def test_the_report_shows_no_grid_of_students_by_tasks(tmp_path):
    with marked(tmp_path, QUESTIONS, OUTCOMES, LEVELS, 30, leave=()) as book:
        text = write_class_report(book, tmp_path, "first")[0].read_text("utf-8")
    tags = [tag for tag, _ in Page(text).tags]
    assert "table" not in tags
    assert "rect" not in tags
    assert_stands_alone(text)


def test_every_picture_says_itself_in_words_or_stands_beside_them(tmp_path):
    with marked(tmp_path, QUESTIONS, OUTCOMES, LEVELS, 12) as book:
        text = write_class_report(book, tmp_path, "first")[0].read_text("utf-8")
    pictures = [attributes for tag, attributes in Page(text).tags if tag == "svg"]
    assert len(pictures) > 10
    for one in pictures:
        assert one.get("aria-hidden") == "true" or one.get("aria-labelledby")
    assert text.count("<title id=") == 1


def test_every_student_is_in_the_picture_of_marks_and_none_outside_of_it():
    found = marks_picture([0, 3.5, 10, 20, 20], 20, 10)
    assert len(found["dots"]) == 5
    assert all(0 <= dot["x"] <= 1 for dot in found["dots"])
    assert sum(dot["low"] for dot in found["dots"]) == found["below"] == 2
    many = marks_picture([7.0] * 1000, 300, 150)
    assert many["each"] * len(many["dots"]) >= 1000
    assert many["height"] <= 16


def test_all_reports_are_written_and_the_same_twice(tmp_path):
    with marked(tmp_path, QUESTIONS, OUTCOMES, LEVELS, 12) as book:
        (one,) = write_reports(book, tmp_path / "a", lessons=LESSONS)
        (two,) = write_reports(book, tmp_path / "b", lessons=LESSONS)
    assert len(one.letters) == 11  # the last one has handed in nothing
    names = sorted(p.name for p in (tmp_path / "a").iterdir())
    assert names == [
        "first-class-report.html",
        "first-final.csv",
        "first-marks.csv",
        "first-marks.xlsx",
        "first-resit.csv",
        "letters",
        "record.txt",
        "results.csv",
        "results.xlsx",
    ]
    for here, there in zip(
        [*one.letters, one.report, *one.marks],
        [*two.letters, two.report, *two.marks],
        strict=True,
    ):
        assert here.read_bytes() == there.read_bytes()


def test_a_hostile_name_of_a_wrong_road_is_escaped(tmp_path):
    from exercises.questions.parts import ChoicePart as ChoicePart
    from exercises.questions.parts import Option
    from exercises.questions.registry import Question

    def ask(draw):
        options = [
            Option("Right one", right=True),
            Option(HOSTILE, says="Look <b>again."),
        ]
        return ChoicePart("Which?", options, keep_order=True)

    card = Question("t-hostile", ask, "gelatin-rule", "recall", "both")
    book, sheets = issued(
        tmp_path / "class.db", {"t-hostile": card}, ("gelatin-rule",), {"recall": 1}, 6
    )
    with book:
        folder = tmp_path / "pile"
        folder.mkdir()
        for sheet in sheets:
            (folder / f"{sheet.token}.json").write_bytes(answer_file(sheet.token, {"1a": "b"}))
        mark_folder(folder, book, received_at="2030-02-20", workers=1)
        assert class_summary(book, "first").boxes[0].roads[0].name == HOSTILE
        (written,) = write_reports(book, tmp_path / "out")
    for path in (*written.letters, written.report):
        text = path.read_text("utf-8")
        assert_stands_alone(text)
        assert "<script" not in text
        assert "&lt;script&gt;" in text


def test_a_letter_shows_each_exhibit_once(ours):
    ours.hand_in(0, ours.right(0))
    path = next(p for p in write_letters(ours.book, ours.root / "l") if "s0000" in p.name)
    text = path.read_text("utf-8")
    assert text.count('<figure class="exhibit">') == 2  # a log, asked about twice, and a curve
    assert text.count("10:02") == 1
    assert text.count('alt="A line that rises."') == 1
