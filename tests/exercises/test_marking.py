"""Marking: what agrees, which road it shows, and what the student is told."""

import re
from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from calculators.faults import FaultsError
from calculators.units import q
from exercises.marking.rules import (
    ASSESSOR,
    FOLLOWS,
    MISSING,
    NEAR,
    PARTLY,
    POLICY,
    RIGHT,
    ROAD,
    UNIT_LOST,
    UNREAD,
    WRONG,
    mark_sheet,
    policy_of,
    rules,
    share_by_units_alone,
)
from exercises.questions import outcomes
from exercises.questions.building import build
from exercises.questions.parts import (
    Asked,
    ChoicePart,
    ChoicesPart,
    Option,
    OrderPart,
    QuantityPart,
    TablePart,
    WrongTurn,
)
from exercises.questions.registry import Question

OUTCOME = next(k for k, o in outcomes.outcomes().items() if o.evidence != "do")
SAYS = "This is the number you get by dividing. Look again at the rule."


def _question(id, ask, safety=False):
    return Question(id, ask, OUTCOME, "carry out", "both", safety)


def _scale(draw, share=0.1):
    """Twice 100 g is 200 g; then a tenth of that; numbers do themselves."""
    mass = draw.mass("mass", 100, 100)
    return Asked(
        [
            QuantityPart(
                f"Double {mass}.",
                answer=mass * 2,
                tolerance="1 g",
                wrong_turns=[
                    WrongTurn("halved", mass / 2, SAYS),
                    WrongTurn("not doubled", mass, SAYS + " Twice."),
                ],
            ),
            QuantityPart(
                "A tenth of it?",
                answer=lambda given: given["a"] * share,
                tolerance="1 % of the answer",
                wrong_turns=[
                    WrongTurn("times ten", lambda given: given["a"] * 10, SAYS),
                    WrongTurn("a fifth", lambda given: given["a"] / 5, SAYS),
                ],
            ),
        ]
    )


def _warm(draw):
    draw.whole("nothing", 1, 1)
    return QuantityPart("How warm?", answer=q(31.0, "degC"), tolerance="0.5 °C")


def _share(draw):
    draw.whole("nothing", 1, 1)
    return QuantityPart("What share?", answer=q(65.0, "percent"), tolerance="0.5 %")


def _leaves(draw):
    draw.whole("nothing", 1, 1)
    return QuantityPart("How many leaves?", answer=q(11, "leaf"), tolerance="0.25 leaf")


def _share_of_it(draw):
    """65 % of 200 g is 130 g; the share comes first."""
    mass = draw.mass("mass", 200, 200)
    return Asked(
        [
            QuantityPart("What share?", answer=q(65.0, "percent"), tolerance="0.5 %"),
            QuantityPart(
                "How much is that?",
                answer=lambda given: (mass * given["a"]).to("g"),
                tolerance="1 g",
            ),
        ]
    )


def _per_cent(draw):
    draw.whole("nothing", 1, 1)
    road = WrongTurn("not in per cent", q(0.65, "percent"), SAYS)
    return QuantityPart(
        "How many per cent?",
        answer=q(65.0, "percent"),
        tolerance="0.5 %",
        wrong_turns=[road, WrongTurn("the rest", q(35.0, "percent"), SAYS)],
    )


def _pick(draw):
    return ChoicePart(
        "Which?",
        [
            Option("this", right=True),
            Option("that", says="That melts. Look at heat."),
            Option("both"),
        ],
        marks=2,
        keep_order=True,
    )


def _picks(draw):
    return ChoicesPart(
        "Which?",
        [Option("a", right=True), Option("b", right=True), Option("c"), Option("d")],
        marks=2,
        keep_order=True,
    )


def _steps(draw):
    return OrderPart("Order.", ["soak", "warm", "melt", "stir"], marks=3)


def _rows(draw):
    draw.whole("nothing", 1, 1)
    part = {"tolerance": "0.1 g"}
    return TablePart(
        "Fill in.",
        {
            "sugar": QuantityPart("", answer=q(60.0, "g"), **part),
            "water": QuantityPart("", answer=q(40.0, "g"), **part),
        },
    )


CARDS = {
    "test-scale": _question("test-scale", _scale),
    "test-warm": _question("test-warm", _warm),
    "test-share": _question("test-share", _share),
    "test-per-cent": _question("test-per-cent", _per_cent),
    "test-leaves": _question("test-leaves", _leaves),
    "test-share-of-it": _question("test-share-of-it", _share_of_it),
    "test-pick": _question("test-pick", _pick),
    "test-picks": _question("test-picks", _picks),
    "test-steps": _question("test-steps", _steps),
    "test-rows": _question("test-rows", _rows),
    "test-hot": _question("test-hot", _warm, safety=True),
    "test-safe-scale": _question("test-safe-scale", _scale, safety=True),
}


def _mark(name, answers, policy=None, cards=CARDS, **changes):
    built = {**build(CARDS[name], "seed").to_json(), **changes}
    if isinstance(answers, str):
        answers = {"1a": answers}
    return mark_sheet([built], answers, policy, questions_now=lambda: cards)


def _first(name, answer, policy=None):
    return _mark(name, answer, policy)[0]


@pytest.mark.parametrize("text", ["200 g", "0.2 kg", "0,2 kg", "200,5 g", "199 g", "200000 mg"])
def test_the_true_value_in_any_unit_of_its_kind_wins_all(text):
    got = _first("test-scale", text)
    assert (got.value, got.unit, got.awarded, got.total) == (2, 1, 3, 3)
    assert got.verdict == RIGHT


@pytest.mark.parametrize(
    ("text", "value", "unit", "verdict"),
    [
        ("200", 2, 0, UNIT_LOST),  # unit missing
        ("200 ml", 2, 0, UNIT_LOST),  # another dimension
        ("200 kg", 2, 0, UNIT_LOST),  # the number is right, the unit a thousandfold
        ("50 g", 0, 0, ROAD),
        ("50", 0, 0, ROAD),
        ("202 g", 0, 0, NEAR),
        ("777 g", 0, 0, WRONG),
        ("777 ml", 0, 0, WRONG),
        ("777", 0, 0, WRONG),
        ("twice", 0, 0, UNREAD),
        ("1,234 g", 0, 0, WRONG),  # whichever way it is read
        ("1,234.5,6 g", 0, 0, UNREAD),
        ("   ", 0, 0, MISSING),
    ],
)
def test_value_and_unit_have_marks_of_their_own(text, value, unit, verdict):
    got = _first("test-scale", text)
    assert (got.value, got.unit, got.verdict) == (value, unit, verdict)
    assert got.awarded == value + unit


def test_a_policy_can_assume_a_missing_unit_but_only_beside_a_right_number():
    assumed = {"missing_unit": "assumed"}
    assert _first("test-scale", "200", assumed).awarded == 3
    assert _first("test-scale", "777", assumed).awarded == 0


def test_a_policy_can_ask_for_the_unit_of_the_question():
    asked = {"other_unit": "asked"}
    assert _first("test-scale", "0.2 kg", asked).unit == 0
    assert _first("test-scale", "200 g", asked).unit == 1


@pytest.mark.parametrize("text", ["777 g", "99999 g", "-3 g", "50 g", "202 g"])
def test_a_right_unit_beside_a_wrong_number_earns_nothing_unless_the_scheme_says_so(text):
    assert _first("test-scale", text).awarded == 0
    assert _first("test-scale", text, {"unit_alone": True}).awarded == 1
    assert "only beside a right number" in " ".join(rules())
    assert "beside a wrong number" in " ".join(rules({"unit_alone": True}))


def test_the_share_of_a_paper_that_units_alone_earn_is_what_they_earn():
    sheet = [build(CARDS["test-scale"], "seed"), build(CARDS["test-pick"], "seed")]
    policy = {"unit_alone": True}
    marks = mark_sheet(sheet, {"1a": "777 g", "1b": "777 g"}, policy, questions_now=lambda: CARDS)
    earned, total = sum(v.awarded for v in marks), sum(v.total for v in marks)
    assert share_by_units_alone(sheet, policy) == pytest.approx(earned / total)
    assert share_by_units_alone(sheet) == 0


def test_a_unit_that_nobody_wrote_earns_nothing_beside_a_wrong_number():
    for policy in ({"unit_alone": True}, {"unit_alone": True, "missing_unit": "assumed"}):
        assert _first("test-scale", "777", policy).awarded == 0
        assert _first("test-leaves", "12", policy).awarded == 0


def test_an_unknown_policy_is_refused_with_all_its_faults():
    with pytest.raises(FaultsError) as caught:
        policy_of({"missing_unit": "maybe", "colour": "red"})
    assert len(caught.value.faults) == 2
    assert policy_of(None) == POLICY


def test_temperatures_are_converted_from_fahrenheit_and_kelvin():
    # 31 °C is 87.8 °F and 304.15 K by the definition of the scales
    for text in ("31 °C", "87.8 °F", "304.15 K", "31.5 °C", "30,5 °C"):
        assert _first("test-warm", text).verdict == RIGHT, text
    assert _first("test-warm", "31 °F").verdict == UNIT_LOST
    assert _first("test-warm", "33 °C").verdict == WRONG


def test_a_difference_of_temperatures_may_be_written_in_celsius_or_kelvin():
    def ask(draw):
        return QuantityPart("Rise?", answer=q(5.0, "delta_degC"), tolerance="0.2 °C")

    card = build(_question("test-rise", ask), "seed")
    for text, verdict in (
        ("5 °C", RIGHT),
        ("5 K", RIGHT),
        ("9 °F", RIGHT),
        ("6 K", WRONG),
    ):
        assert mark_sheet([card], {"1a": text})[0].verdict == verdict, text


def test_a_share_may_be_written_in_per_cent_or_as_a_fraction_that_says_so():
    assert _first("test-share", "65 %").awarded == 3
    assert _first("test-share", "0,65 g/g").awarded == 3
    assert _first("test-share", "65").verdict == UNIT_LOST
    assert _first("test-share", "0.65 %").verdict == UNIT_LOST


@pytest.mark.parametrize("name", ["test-share", "test-per-cent"])
@pytest.mark.parametrize("text", ["0.65", "0.65 %", "65", ".65", "0,65"])
def test_a_fraction_where_per_cent_is_asked_is_one_slip_whatever_roads_a_question_names(name, text):
    """It was three marks of three where no road named it, and none where one did."""
    if (name, text) == ("test-per-cent", "65"):
        assert _first(name, text).awarded == 3  # asked how many per cent
        return
    found = _first(name, text)
    assert (found.verdict, found.value, found.unit) == (UNIT_LOST, 2, 0)


@pytest.mark.parametrize("written", ["1.250 g", "1.250", " 1.250 g"])
def test_a_point_that_may_part_thousands_is_left_to_the_assessor(written):
    def ask(draw):
        road = WrongTurn("as it stands", q(1.25, "g"), SAYS)
        return QuantityPart("Weigh.", q(1250, "g"), "1 g", wrong_turns=[road])

    questions = [build(_question("m-thousand", ask), "seed")]
    (got,) = mark_sheet(questions, {"1a": written})
    assert (got.verdict, got.awarded) == (ASSESSOR, 0)
    for plainly_wrong in ("0.250 g", "1.25 g", "1.2500 g", "1.350 g", "1250.000 kg"):
        (got,) = mark_sheet(questions, {"1a": plainly_wrong})
        assert got.verdict != ASSESSOR
    (got,) = mark_sheet(questions, {"1a": "1.250 kg"})
    assert got.verdict == RIGHT


def test_in_a_safety_decision_a_misfit_of_units_wins_nothing():
    assert _first("test-hot", "31 °C").awarded == 3
    assert _first("test-hot", "31 °F").awarded == 0
    assert _first("test-hot", "31 g").awarded == 0


def test_a_wrong_road_speaks_in_its_own_words_and_is_named_for_the_assessor():
    got = _first("test-scale", "50 g")
    assert got.road == "halved"
    assert SAYS in got.reason
    assert got.reason.startswith("The unit is right.")


def test_two_wrong_roads_near_each_other_are_named_neither():
    built = build(CARDS["test-scale"], "seed")
    road = {"name": "other", "value": 51.5, "says": "This is something else."}
    stored = built.to_json()
    stored["parts"][0]["roads"].append(road)
    got = mark_sheet([stored], {"1a": "50 g"})[0]
    assert (got.verdict, got.road) == (WRONG, "")


# --- follow-through -----------------------------------------------------------------


def test_a_later_part_is_right_from_ones_own_earlier_answer_without_double_penalty():
    got = _mark("test-scale", {"1a": "100 g", "1b": "10 g"})
    assert (got[0].verdict, got[0].awarded) == (ROAD, 0)
    assert (got[1].verdict, got[1].awarded) == (FOLLOWS, 3)
    assert "1a" in got[1].reason


def test_a_later_part_is_right_with_the_true_value_too():
    assert _mark("test-scale", {"1a": "100 g", "1b": "20 g"})[1].verdict == RIGHT


@pytest.mark.parametrize("earlier", ["", "?", "nothing", "5000 g", "1 g", "0 g", "-100 g"])
def test_nothing_follows_from_a_missing_unreadable_or_absurd_answer(earlier):
    later = {"5000 g": "500 g", "1 g": "0.1 g", "0 g": "0 g", "-100 g": "-10 g"}
    got = _mark("test-scale", {"1a": earlier, "1b": later.get(earlier, "10 g")})
    assert got[1].verdict not in (RIGHT, FOLLOWS)
    assert got[1].value == 0


@pytest.mark.parametrize("earlier", ["100 ml", "100", "about 100 g", "100 g sugar"])
def test_a_later_part_follows_from_the_number_whatever_became_of_its_unit(earlier):
    got = _mark("test-scale", {"1a": earlier, "1b": "10 g"})
    assert (got[1].verdict, got[1].awarded) == (FOLLOWS, 3)


def test_a_later_part_follows_from_a_fraction_where_per_cent_was_asked():
    for earlier in ("0.55", "0.55 %", "55"):
        got = _mark("test-share-of-it", {"1a": earlier, "1b": "110 g"})
        assert (got[0].awarded, got[1].verdict) == (0, FOLLOWS), earlier
    for earlier in ("0.65", "0.65 %", "65"):
        got = _mark("test-share-of-it", {"1a": earlier, "1b": "130 g"})
        assert (got[0].awarded, got[1].verdict) == (2, RIGHT), earlier


@pytest.mark.parametrize("earlier", ["nothing", "100-110 g", "1,234 g", "100 + 20 g"])
def test_what_may_follow_from_an_answer_that_cannot_be_read_is_left_to_the_assessor(earlier):
    got = _mark("test-scale", {"1a": earlier, "1b": "10 g"})
    assert (got[1].verdict, got[1].awarded) == (ASSESSOR, 0)
    assert "1a" in got[1].reason
    assert _mark("test-scale", {"1a": earlier, "1b": "20 g"})[1].verdict == RIGHT
    assert _mark("test-safe-scale", {"1a": earlier, "1b": "10 g"})[1].verdict == WRONG


def test_an_answer_that_was_read_loosely_is_told_how_it_was_read():
    for text, words in (
        ("about 200 g", "Read as about 200 g:"),
        ("0.2 kg sugar", "Read as 0.2 kg:"),
        ("150 + 50 = 200 g", "Read as 200 g:"),
        ("~777 g", "Read as about 777 g:"),
    ):
        assert words in _first("test-scale", text).reason
    assert "31 °C" in _first("test-warm", "31 degrees").reason
    assert "Read as" not in _first("test-scale", "200 g").reason


def test_nothing_follows_in_a_safety_decision():
    got = _mark("test-safe-scale", {"1a": "100 g", "1b": "10 g"})
    assert got[1].value == 0


def test_a_later_part_is_right_from_ones_own_rounded_answer():
    # 199 g is within tolerance of 200 g; a tenth of it is not within 0.5 % of 20 g
    built = build(CARDS["test-scale"], "seed")
    stored = built.to_json()
    stored["parts"][1] |= {"tolerance": 0.05, "tolerance_text": "0.05 g"}
    got = mark_sheet([stored], {"1a": "199 g", "1b": "19.9 g"}, questions_now=lambda: CARDS)
    assert [one.verdict for one in got] == [RIGHT, RIGHT]
    assert "1a" not in got[1].reason


def test_wrong_roads_are_recognised_from_ones_own_earlier_answer():
    got = _mark("test-scale", {"1a": "110 g", "1b": "22 g"})
    assert (got[1].verdict, got[1].road) == (ROAD, "a fifth")


def test_a_question_with_other_answers_is_left_to_the_assessor_only_where_it_matters():
    moved = {"test-scale": _question("test-scale", lambda draw: _scale(draw, share=0.12))}
    for cards in (moved, {}):
        wrong = _mark("test-scale", {"1a": "110 g", "1b": "11 g"}, cards=cards)
        assert wrong[1].verdict == ASSESSOR
        assert wrong[1].to_settle
        true = _mark("test-scale", {"1a": "200 g", "1b": "11 g"}, cards=cards)
        assert true[1].verdict == WRONG
        right = _mark("test-scale", {"1a": "110 g", "1b": "20 g"}, cards=cards)
        assert right[1].verdict == RIGHT


def test_an_edit_that_moves_no_answer_moves_no_verdict():
    def ask(draw):
        """Ask the same in other words."""
        first, second = _scale(draw).parts
        return [replace(first, prompt="In other words?"), replace(second, because="other words")]

    edited = {"test-scale": _question("test-scale", ask)}
    for answers in ({"1a": "110 g", "1b": "11 g"}, {"1a": "110 g", "1b": "22 g"}):
        now = _mark("test-scale", answers, cards=edited, digest="of a file that has changed")
        assert now == _mark("test-scale", answers)


def test_a_question_that_no_longer_draws_what_is_stored_is_left_to_the_assessor():
    got = _mark("test-scale", {"1a": "110 g", "1b": "11 g"}, values={"other": 1})
    assert got[1].verdict == ASSESSOR


# --- choices, orders, tables ------------------------------------------------------------


@pytest.mark.parametrize(
    "text",
    [
        "a",
        "A",
        " (a) ",
        "a)",
        "Option a",
        "this",
        "THIS",
        "[a]",
        "a!",
        '"a"',
        "‘a’",
        "a:",
        "a -",
        "Choice A",
        "my answer: a",
        "the answer is a",
        "\uff41",
    ],
)
def test_a_choice_is_read_as_people_write_it(text):
    assert _first("test-pick", text).awarded == 2


def test_a_wrong_choice_is_told_what_it_shows():
    got = _first("test-pick", "b")
    assert (got.awarded, got.verdict, got.road) == (0, WRONG, "that")
    assert got.reason == "That melts. Look at heat."
    assert _first("test-pick", "c").road == ""


@pytest.mark.parametrize("text", ["e", "ab", "a, b", "a or b", "not a", "1", "none", "a" * 300])
def test_a_choice_that_is_none_of_the_letters_cannot_be_read(text):
    assert _first("test-pick", text).verdict == UNREAD


@pytest.mark.parametrize(
    ("text", "marks", "verdict"),
    [
        ("a, b", 2, RIGHT),
        ("BA", 2, RIGHT),
        ("a and b", 2, RIGHT),
        ("both a and b", 2, RIGHT),
        ("['a', 'b']", 2, RIGHT),
        ("a", 1, PARTLY),
        ("a c", 0, WRONG),
        ("a b c", 1, PARTLY),
        ("abcd", 0, WRONG),
        ("c d", 0, WRONG),
    ],
)
def test_several_choices_win_and_lose_alike_but_not_below_nought(text, marks, verdict):
    got = _first("test-picks", text)
    assert (got.awarded, got.verdict) == (marks, verdict)


def _ordered(places):
    right = build(CARDS["test-steps"], "seed").parts[0].right
    return " ".join(str(right[place]) for place in places)


@pytest.mark.parametrize(
    ("places", "marks"),
    # six pairs; share well placed s, marks 3 x (2s - 1) down to halves
    [((0, 1, 2, 3), 3), ((0, 1, 3, 2), 2), ((1, 0, 3, 2), 1), ((3, 2, 1, 0), 0)],
)
def test_an_order_earns_by_the_pairs_that_stand_right(places, marks):
    assert _first("test-steps", _ordered(places)).awarded == marks


def test_an_order_is_read_with_commas_blanks_arrows_or_nothing_between():
    text = _ordered(range(4))
    for between in (
        ", ",
        ",",
        "",
        " > ",
        "-",
        ". ",
        "/",
        "|",
        " => ",
        " then ",
        ", step ",
    ):
        assert _first("test-steps", between.join(text.split())).verdict == RIGHT


@pytest.mark.parametrize("text", ["?", "-", "don't know", "weiß nicht", "…"])
def test_a_sign_for_no_answer_is_no_answer_in_every_kind_of_part(text):
    for name in ("test-scale", "test-pick", "test-picks", "test-steps"):
        assert _first(name, text).verdict == MISSING, name


@pytest.mark.parametrize("text", ["1 2 3", "1 1 2 3", "1 2 3 5", "one two", "٣ 1 2 4"])
def test_an_order_that_does_not_name_each_step_once_cannot_be_read(text):
    assert _first("test-steps", text).verdict == UNREAD


def test_each_row_of_a_table_is_marked_for_itself():
    got = _mark("test-rows", {"1a.1": "60 g", "1a.2": "41 g"})
    assert [(v.part, v.awarded) for v in got] == [("1a.1", 3), ("1a.2", 0)]


# --- what is said ------------------------------------------------------------------------


def test_a_reason_never_holds_the_answer_and_has_three_sentences_at_most():
    texts = ["200", "200 ml", "50 g", "202 g", "777 g", "777", "x", "", "1e99 g", "b"]
    for name, card in CARDS.items():
        shown = [getattr(p, "shown", "") for p in build(card, "seed").parts]
        for text in texts:
            for verdict in _mark(name, {"1a": text, "1b": text, "1a.1": text}):
                assert verdict.reason
                assert not any(s and s in verdict.reason for s in shown)
                assert len(re.findall(r"[.?!](?:\s|$)", verdict.reason)) <= 3, verdict


def test_the_rules_say_what_the_policy_does():
    assert "is lost" in " ".join(rules())
    assert "counts as written" in " ".join(rules({"missing_unit": "assumed"}))


@settings(max_examples=200, deadline=None)
@given(st.text(max_size=80), st.text(max_size=80))
def test_no_text_makes_marking_stumble_or_win_more_than_there_is(one, two):
    for name in CARDS:
        for verdict in _mark(name, {"1a": one, "1b": two, "1a.1": one}):
            assert 0 <= verdict.awarded <= verdict.total


@settings(max_examples=50, deadline=None)
@given(st.floats(1e-6, 1e6), st.sampled_from([("g", 1), ("kg", 1e-3), ("mg", 1e3)]))
def test_the_unit_in_which_it_is_written_never_changes_the_verdict_of_a_number(x, how):
    name, factor = how
    plain = _first("test-scale", f"{x:.9g} g")
    other = _first("test-scale", f"{x * factor:.9g} {name}")
    if other.verdict != UNIT_LOST and abs(abs(x - 200) - 1) > 1e-3:
        assert plain.verdict == other.verdict
