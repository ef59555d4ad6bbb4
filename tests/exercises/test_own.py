"""A lecturer's own questions: read from their folder, tried, private, never guessed at."""

import inspect
import textwrap
from functools import partial

import pytest

from calculators.faults import FaultsError
from exercises.book.book import create
from exercises.book.records import Student
from exercises.marking import run
from exercises.questions import own
from exercises.questions.building import build
from exercises.questions.parts import DrawnChoice, DrawnChoices
from exercises.questions.registry import bank
from exercises.sheets import choice, drafting, issuing
from tests.exercises.pile_of_ours import answer_file, right_answers

TEXT = """\
# Our own, for the second week.
[fridge-film]
outcome = "fault-reuse"
level = "recall"
stem = "The base stands in the fridge until tomorrow."
prompt = '''
Why does the film
lie on the glaze itself?'''
right = ["No air is left in which a skin could dry"]
worked = "A skin is a surface that has lost its water."
use = "both"

[fridge-film.wrong]
"It keeps smells away" = "A lid does that too. What does air do to a wet surface?"
"It looks tidy" = "Nobody looks into the fridge. What does air do to a wet surface?"

[hot-pan]
outcome = "kitchen-hazards"
level = "decide"
safety = true
prompt = "What do you do before you lift the pan?"
right = ["Clear the way to the bench", "Say out loud that it is coming"]
marks = 4

[hot-pan.wrong]
"Fill it to the rim" = "Think of what happens when it is carried."

[hot-pan.log]
title = "The stove at ten"
head = ["Time", "Pan"]
rows = [["10:02", "104 °C"], ["10:09", "118 °C"]]

[leaf-steps]
outcome = "gelatin-soak"
level = "carry out"
prompt = "Put the steps in order."
steps = ["Weigh the leaves", "Soak them in cold water", "Wring them out", "Melt them"]
says = "Begin with what needs time."
"""

PYTHON = '''\
"""Calculated questions of our own."""

from calculators.units import q, say
from exercises.questions.parts import Asked, QuantityPart, WrongTurn
from exercises.questions.registry import question


@question("our-syrup", outcome="syrup-strength", level="carry out", use="assessed")
def our_syrup(draw):
    """How much sugar, then how much syrup?"""
    water = draw.mass("water", 200, 600, 20)
    return Asked([
        QuantityPart(
            f"Sugar for {say(water)} of water, one and a half times as much?", water * 1.5,
            "1 g", because="The scale shows a gram.",
            wrong_turns=[WrongTurn("upside down", water / 1.5, "This is the number you get "
                                   "by dividing. Which of the two is more?")],
            working="s = 1.5 w", worked=say(water * 1.5),
        ),
        QuantityPart("And the syrup?", lambda given: given["a"] + water, "1 g"),
    ])
'''


@pytest.fixture
def folder(tmp_path):
    place = tmp_path / "our-questions"
    place.mkdir()
    (place / "week2.toml").write_text(TEXT, encoding="utf-8")
    (place / "sums.py").write_text(PYTHON, encoding="utf-8")
    yield place
    own.forget()


def told(folder):
    with pytest.raises(FaultsError) as caught:
        own.load(folder)
    return [str(fault) for fault in caught.value.faults]


# --- reading -----------------------------------------------------------------------------


def test_a_folder_gives_its_questions_in_the_order_of_their_names(folder):
    names = [one.id for one in own.load(folder)]
    assert names == ["fridge-film", "hot-pan", "leaf-steps", "our-syrup"]


def test_every_question_of_a_folder_is_private_and_in_the_bank(folder):
    for one in own.load(folder):
        assert one.private
        assert bank()[one.id] is one


def test_a_choice_is_read_with_what_each_wrong_one_tells(folder):
    own.load(folder)
    asked = build(bank()["fridge-film"], "seed")
    (part,) = asked.parts
    assert asked.stem == "The base stands in the fridge until tomorrow."
    assert part.prompt == "Why does the film lie on the glaze itself?"
    assert isinstance(part, DrawnChoice)
    assert not part.several
    right = [o.text for o in part.options if o.key in part.right]
    assert right == ["No air is left in which a skin could dry"]
    says = {o.text: o.says for o in part.options}
    assert says["It looks tidy"].startswith("Nobody looks")
    assert part.total == 1


def test_two_right_ones_make_a_question_with_several_choices_and_a_log(folder):
    own.load(folder)
    asked = build(bank()["hot-pan"], "seed")
    assert isinstance(asked.parts[0], DrawnChoices)
    assert len(asked.parts[0].right) == 2
    assert asked.parts[0].total == 4
    assert asked.safety
    assert asked.parts[0].safety
    assert list(asked.exhibit.rows[1]) == ["10:09", "118 °C"]


def test_steps_make_a_question_of_order_that_is_never_shown_in_order(folder):
    own.load(folder)
    for n in range(40):
        (part,) = build(bank()["leaf-steps"], f"seed {n}").parts
        assert part.right != (1, 2, 3, 4)
        in_order = [part.steps[place - 1] for place in part.right]
        assert in_order[0] == "Weigh the leaves"
        assert in_order[-1] == "Melt them"


def test_a_text_question_is_kept_out_of_practice_unless_it_says_so(folder):
    own.load(folder)
    assert bank()["hot-pan"].use == "assessed"
    assert bank()["fridge-film"].use == "both"


def test_loading_again_takes_what_was_mended_and_lets_go_of_what_was_taken_away(folder):
    own.load(folder)
    before = bank()["fridge-film"].digest
    (folder / "sums.py").unlink()
    (folder / "week2.toml").write_text(
        TEXT.replace("It looks tidy", "It looks neat"), encoding="utf-8"
    )
    own.load(folder)
    assert "our-syrup" not in bank()
    assert bank()["fridge-film"].digest != before


def test_a_remark_in_the_file_changes_no_digest(folder):
    own.load(folder)
    before = {one.id: one.digest for one in bank().values() if one.private}
    (folder / "week2.toml").write_text("# another remark\n" + TEXT, encoding="utf-8")
    (folder / "sums.py").write_text("# another remark\n" + PYTHON, encoding="utf-8")
    own.load(folder)
    assert {one.id: one.digest for one in bank().values() if one.private} == before
    assert len(set(before.values())) == 4


def test_an_empty_folder_has_no_questions(tmp_path):
    assert own.load(tmp_path) == []


def test_the_example_that_explains_the_format_can_be_read(tmp_path):
    text = inspect.getdoc(own)
    example = text[text.index("    [fridge-film]") : text.index("With two or more")]
    (tmp_path / "ours.toml").write_text(textwrap.dedent(example), encoding="utf-8")
    (one,) = own.load(tmp_path)
    own.forget()
    assert (one.id, one.level, one.private) == ("fridge-film", "recall", True)


# --- what is run, and what is not -------------------------------------------------------------


def test_only_the_python_files_of_the_folder_itself_are_run(folder):
    mark = folder / "was-run"
    trap = f"from pathlib import Path\nPath({str(mark)!r}).write_text('x')\n"
    (folder / "deeper").mkdir()
    for name in ("_notes.py", ".hidden.py", "notes.txt", "deeper/more.py"):
        (folder / name).write_text(trap, encoding="utf-8")
    own.load(folder)
    assert not mark.exists()
    assert not (folder / "__pycache__").exists()


def test_text_that_looks_like_code_stays_text(folder):
    line = "{draw.__class__} {{ 7 * 7 }} $(id) %s"
    (folder / "week2.toml").write_text(
        TEXT.replace("Put the steps in order.", line), encoding="utf-8"
    )
    own.load(folder)
    assert build(bank()["leaf-steps"], "seed").parts[0].prompt == line


# --- faults --------------------------------------------------------------------------------


def test_every_fault_of_every_file_is_told_at_once_with_its_line(folder):
    (folder / "week2.toml").write_text(
        "[one-thing]\n"  # 1
        'outcome = "syrup-strenght"\n'  # 2
        'level = "recal"\n'  # 3
        'right = ["Yes", "Yes"]\n'  # 4
        'marks = "two"\n'  # 5
        "sizes = 3\n"  # 6
        "[one-thing.wrong]\n"  # 7
        '"No" = ""\n'  # 8
        "[Two]\n"  # 9
        'outcome = "bench-boil"\n'  # 10
        'level = "decide"\n'  # 11
        'prompt = "Well?"\n'  # 12
        'steps = ["only one"]\n'  # 13
        'right = ["Yes"]\n',  # 14
        encoding="utf-8",
    )
    (folder / "sums.py").write_text(
        "from exercises.questions.parts import ChoicePart, Option; from exercises.questions.registry import question\n"  # 1
        "\n"  # 2
        "@question('gelatin-swap-powder', outcome='pour-amount', level='hard')\n"  # 3
        "def one(draw):\n"  # 4
        "    return ChoicePart('Which?', [Option('a', right=True), Option('b')])\n"  # 5
        "\n"  # 6
        "@question('our-zero', outcome='pour-amount', level='decide')\n"  # 7
        "def two(draw):\n"  # 8
        "    return ChoicePart('Which?', [Option('a'), Option(str(1 / 0))])\n",  # 9
        encoding="utf-8",
    )
    faults = told(folder)
    begin = [fault.partition(" (given")[0].partition(". ")[0] for fault in faults]
    assert begin == [
        "sums.py:3, question gelatin-swap-powder, level: is not known",
        "sums.py:3, question gelatin-swap-powder: has the name of a question of the bank",
        "sums.py:9: stopped with ZeroDivisionError: division by zero",
        "week2.toml:1, one-thing.prompt: is missing",
        "week2.toml:2, one-thing.outcome: is not a known choice",
        "week2.toml:3, one-thing.level: is not a known choice",
        "week2.toml:4, one-thing.right: has the same text twice",
        "week2.toml:5, one-thing.marks: is not a whole number",
        "week2.toml:6, one-thing.sizes: is not a name that a question knows here",
        "week2.toml:8, one-thing.wrong.No: is empty",
        "week2.toml:9, Two: is not a name for a question",
        "week2.toml:10, Two.outcome: is one that no sheet can prove",
        "week2.toml:13, Two.steps: is not a list of 2 or more",
        "week2.toml:14, Two.right: stands beside steps",
    ]
    assert "Did you mean syrup-strength?" in faults[4]
    assert "Did you mean recall?" in faults[5]


def test_a_folder_with_a_fault_leaves_the_bank_as_it_was(folder):
    own.load(folder)
    before = bank()
    (folder / "more.toml").write_text("[x]\n", encoding="utf-8")
    told(folder)
    assert bank() == before


@pytest.mark.parametrize("name", ["gelatin-swap-powder", "leaf-steps"])
def test_a_name_that_is_taken_is_told_with_its_place(folder, name):
    (folder / "zeta.toml").write_text(
        TEXT[TEXT.index("[leaf-steps]") :].replace("leaf-steps", name), encoding="utf-8"
    )
    (fault,) = told(folder)
    if name == "leaf-steps":
        where = "has the name of one in week2.toml:33"
    else:
        where = "has the name of a question of the bank"
    assert fault.startswith(f"zeta.toml:1, question {name}: {where}")


def test_a_file_that_is_not_toml_is_told_with_its_line(folder):
    (folder / "week2.toml").write_text('[a]\nprompt = "open\n', encoding="utf-8")
    (fault,) = told(folder)
    assert fault.startswith("week2.toml:2: has a text that is opened and not closed")


def test_a_file_that_is_not_python_is_told_with_its_line(folder):
    (folder / "sums.py").write_text("import math\nx = = 2\n", encoding="utf-8")
    (fault,) = told(folder)
    assert fault.startswith("sums.py:2: is not Python as it stands")


def test_a_wrong_word_in_the_card_is_told_with_its_line(folder):
    text = PYTHON.replace('use="assessed"', 'usage="assessed"')
    (folder / "sums.py").write_text(text, encoding="utf-8")
    (fault,) = told(folder)
    assert fault.startswith("sums.py:8: stopped with TypeError")
    assert "usage" in fault


def test_a_wrong_road_that_meets_the_answer_is_told_before_anything_is_issued(folder):
    text = PYTHON.replace("water / 1.5", "water * 1.5")
    (folder / "sums.py").write_text(text, encoding="utf-8")
    (fault,) = told(folder)
    assert fault.startswith("sums.py:8, question our-syrup: was not fair in 200 draws")


def test_a_choice_without_a_right_option_is_told(folder):
    (folder / "sums.py").write_text(
        "from exercises.questions.parts import ChoicePart, Option; from exercises.questions.registry import question\n"
        "@question('our-choice', outcome='pour-amount', level='decide')\n"
        "def one(draw):\n"
        "    return ChoicePart('Which?', [Option('a'), Option('b')])\n",
        encoding="utf-8",
    )
    (fault,) = told(folder)
    assert "sums.py:2, question our-choice: does not have one right option" in fault


def test_marks_that_differ_between_students_are_told(folder):
    text = PYTHON.replace("working=", "marks={'value': draw.whole('m', 1, 3)}, working=")
    (folder / "sums.py").write_text(text, encoding="utf-8")
    (fault,) = told(folder)
    assert fault.startswith("sums.py:8, question our-syrup: is worth more to some")


def test_a_draw_that_fails_later_is_told_with_its_line_and_no_traceback(folder):
    text = PYTHON.replace(
        '    water = draw.mass("water", 200, 600, 20)\n',
        '    water = draw.mass("water", 200, 600, 20)\n    1 / (draw.seed != "late")\n',
    )
    (folder / "sums.py").write_text(text, encoding="utf-8")
    own.load(folder)
    with pytest.raises(FaultsError, match=r"sums\.py:12: stopped with ZeroDivision"):
        build(bank()["our-syrup"], "late")


def test_a_folder_that_is_not_there_is_told(tmp_path):
    with pytest.raises(FaultsError, match="is not a folder"):
        own.load(tmp_path / "nowhere")


# --- issued and marked -----------------------------------------------------------------------


@pytest.mark.parametrize("how", ["fork", "spawn"])
def test_own_questions_are_issued_and_marked_in_several_processes(
    folder, tmp_path, monkeypatch, how
):
    own.load(folder)
    plan = choice.PaperPlan(
        "ours",
        "Ours",
        ("fault-reuse", "gelatin-soak", "syrup-strength"),
        {"recall": 1, "carry out": 2},
    )
    mine = {name: one for name, one in bank().items() if one.private}
    people = [Student(f"s{n}", f"Person {n}") for n in range(3)]
    with create(tmp_path / "class.db") as book:
        paper = drafting.check(drafting.draft(plan, mine, book), "M. Checker", book)
        out = tmp_path / "out"
        issuing.issue_sheets(paper, mine, people, book, out, "L. Lecturer", workers=2)
        pile_folder = tmp_path / "pile"
        pile_folder.mkdir()
        for sheet in book.sheets("ours"):
            answers = right_answers(sheet)
            sums = next(key for key in answers if "g" in answers[key] and key.endswith("a"))
            answers[sums] = "777 g"  # wrong, so that the next part has to follow it
            asked = next(x for x in sheet.questions if x["id"] == "our-syrup")
            water = 200 + 20 * asked["values"]["water"]
            answers[sums[:-1] + "b"] = f"{777 + water} g"
            (pile_folder / f"{sheet.token}.handin.json").write_bytes(
                answer_file(sheet.token, answers)
            )
        own.forget()  # the workers have to load them by themselves
        monkeypatch.setattr(
            run.multiprocessing,
            "get_all_start_methods",
            lambda: ["fork", "spawn"] if how == "fork" else ["spawn"],
        )
        summary = run.mark_folder(
            pile_folder,
            book,
            received_at="2030-02-20 12:00",
            workers=2,
            prepare=partial(own.prepare, folder),
        )
        assert summary.states == {"marked": 3}
        assert summary.to_look == 0
        for handin in book.handins():
            verdicts = {m.part: m for m in book.marks(handin.id)}
            wrong = [m for m in verdicts.values() if m.awarded < m.total]
            assert len(wrong) == 1, [m.reason for m in wrong]
