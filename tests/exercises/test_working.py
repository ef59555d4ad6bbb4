"""Working beside a wrong value: read, rewarded by the mark scheme's steps, told in the letter."""

from dataclasses import replace

import pytest

from calculators.faults import FaultsError
from calculators.units import q
from exercises.marking.rules import NEAR, ROAD, WRONG
from exercises.marking.run import mark_folder
from exercises.marking.working import steps_of, suggested
from exercises.questions.answer_boxes import answer_boxes
from exercises.questions.building import build
from exercises.questions.parts import DrawnQuestion, QuantityPart, WrongTurn
from exercises.questions.registry import Question, bank
from exercises.reports.letters import letter
from exercises.sheets.mark_scheme import mark_scheme
from exercises.sheets.notebook import notebook
from exercises.sheets.sheet import Sheet
from exercises.sheets.worksheet import paper, web_page
from tests.exercises.marked_class import issued
from tests.exercises.pile_of_ours import OUTCOME, answer_file

RULE = "m2 = m1 x sqrt(B1 / B2)"


def _part(**more):
    held = {
        "answer": q(12.5, "g"),
        "tolerance": "0.1 g",
        "wrong_turns": [
            WrongTurn("straight ratio", q(14, "g"), "This is the number you get by the ratio."),
            WrongTurn("upside down", q(10, "g"), "This is the number you get turned over."),
        ],
        "working": RULE,
        "worked": "10 g x sqrt(250 / 160) = 12.5 g",
    }
    return QuantityPart("What do you weigh out?", **held | more)


def _card(**more):
    return Question("ours-swap", lambda draw: _part(**more), OUTCOME, "carry out", "both")


def _box(**more):
    return answer_boxes([build(_card(**more), "seed")])[0]


def test_the_rule_is_a_step_for_half_the_values_marks_unless_the_question_says_otherwise():
    assert steps_of(_box()) == [f"{RULE}: 1 mark"]
    assert steps_of(_box(marks={"value": 4, "unit": 1})) == [f"{RULE}: 2 marks"]
    assert steps_of(_box(marks={"value": 1, "unit": 1})) == []
    own = _box(method={"the ratio of the blooms": 0.5, "its square root": 1.0})
    assert steps_of(own) == ["the ratio of the blooms: 0.5 marks", "its square root: 1 mark"]


@pytest.mark.parametrize("method", [{"all of it": 2}, {"a": 1, "b": 1}, {"nothing": 0}])
def test_a_method_never_earns_as_much_as_the_right_value(method):
    with pytest.raises(FaultsError, match="must earn less than the right value"):
        _box(method=method)


def test_a_question_keeps_its_steps_and_an_older_sheet_has_the_rule_for_one():
    own = build(_card(method={"the root": 1.5}), "seed").to_json()
    assert own["parts"][0]["method"] == {"the root": 1.5}
    again = DrawnQuestion.from_json(own)
    assert again.parts[0].steps == {"the root": 1.5}
    old = build(_card(), "seed").to_json()
    assert "method" not in old["parts"][0]  # as sheets were stored before
    assert DrawnQuestion.from_json(old).parts[0].steps == {RULE: 1.0}


def test_every_form_of_a_sheet_says_what_working_can_earn_and_not_by_which_step():
    asked = build(_card(method={"the secret root": 1.5}), "seed")
    sheet = Sheet("3HJM-XJCQ-JMYE-EWPM-J6PP", "Ada", "Ours", [asked])
    for text in (web_page(sheet), paper(sheet), notebook(sheet)):
        assert "the working can earn 1.5 of them" in text
        assert "secret root" not in text
    assert "Beside a wrong value: the secret root: 1.5 marks" in mark_scheme([sheet])


@pytest.mark.parametrize(
    ("verdict", "working", "marks"),
    [
        (WRONG, "10 x 1.25 = 12.5, so 21.5 g", 1),  # digits turned round in copying
        (WRONG, "10 x 1,25 = 12,5", 1),
        (WRONG, "I guessed", 0),
        (WRONG, "112.5 or 12.75", 0),
        (WRONG, "", 0),
        (NEAR, "10 x 1.2", 1),
        (ROAD, "10 x 250 / 160", 0),
        (WRONG, "9" * 10_000, 0),
        (WRONG, "1 " * 5_000 + "12.5", 0),
    ],
)
def test_a_method_mark_is_suggested_only_where_the_right_number_stands_or_is_near(
    verdict, working, marks
):
    found = suggested(_box(), verdict, "straight ratio" if verdict == ROAD else "", working)
    assert found.marks == marks
    assert found.why


@pytest.fixture
def ours(tmp_path, monkeypatch):
    name = next(n for n, card in bank().items() if n == "gelatin-swap-powder")
    levels = {"recall": 0, "carry out": 1, "decide": 0}
    book, sheets = issued(
        tmp_path / "class.db", {name: bank()[name]}, [bank()[name].outcome], levels, 1
    )
    folder = tmp_path / "pile"
    folder.mkdir()
    with book:
        yield book, sheets[0], folder


def test_a_letter_quotes_the_working_and_says_what_was_given_for_it(ours):
    book, sheet, folder = ours
    box = answer_boxes(sheet.questions)[0]
    wrong = box.part.wrong_answer()
    working = f"I get {box.part.exact_answer().split()[0]} g <b>in the end</b>"
    (folder / "a.json").write_bytes(answer_file(sheet.token, {"1a": wrong}, {"1a": working}))
    mark_folder(folder, book, received_at="2030-02-20", workers=1)

    def told():
        (row,) = book.results("first")
        return " ".join(letter(row, book.paper("first")).split())

    assert "reading your working for 1a" in told()
    assert "in the end" not in told()
    from course.office.settling import Asked, look, settled

    nothing = {"kind": None, "part": None, "marks": None, "reads": None, "reopen": False}
    nothing |= {"handin": None, "appeal": None, "date": "", "by": "", "reason": "", "tell": ""}
    (matter,) = book.matters(kind="working")
    shown = "\n".join(look(book, matter.id))
    assert "For working:" in shown
    assert "Suggested: 1 mark, because the right number stands in the working" in shown
    ask = Asked(**nothing | {"numbers": (matter.id,), "decision": "suggested"})
    assert "1a: 0 → 1 of 3 marks." in settled(book, ask)[0]
    settled(book, replace(ask, by="A. Sessor", reason="The way is right"))
    assert "Your assessor read it and gave 1 mark for it." in told()
    assert "&lt;b&gt;in the end&lt;/b&gt;" in told()
    book.reopen(matter.id, by="A. Sessor", reason="Again")
    settled(book, replace(ask, decision="accept", by="A. Sessor", reason="No way in it"))
    assert "Your assessor read it; no marks were given for it." in told()


def test_many_workings_get_their_suggested_marks_in_one_go(ours):
    book, sheet, folder = ours
    box = answer_boxes(sheet.questions)[0]
    (folder / "a.json").write_bytes(
        answer_file(sheet.token, {"1a": box.part.wrong_answer()}, {"1a": "no idea"})
    )
    mark_folder(folder, book, received_at="2030-02-20", workers=1)
    from course.office.settling import Asked, settled

    ask = Asked(
        (), "working", "suggested", None, None, None, False, None, None, "", "A. S", "r", ""
    )
    assert "No mark changes." in settled(book, ask)[0]
    assert book.matters(waiting=True) == []
