"""A packed sheet: small, and marked to the very verdicts of the whole sheet."""

import json
import random

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from calculators.faults import FaultsError
from exercises.marking import packed
from exercises.marking.packed import Packed, pack
from exercises.marking.rules import MISSING, RIGHT, mark_sheet
from exercises.questions.answer_boxes import answer_boxes
from exercises.questions.building import build
from exercises.questions.registry import bank
from tests.exercises.pile_of_ours import CARDS, right_answers


class _Sheet:
    def __init__(self, questions):
        self.questions = questions


def _drawn(seed):
    """Return a sheet with every question that needs no kitchen, as it is stored."""
    out = []
    for card in [*bank().values(), *CARDS]:
        try:
            out.append(build(card, seed).to_json())
        except FaultsError:
            continue
    return json.loads(json.dumps(out))


WHOLE = _drawn("a seed")
PACKED = Packed.of("token", "paper", pack(WHOLE))
RIGHTS = right_answers(_Sheet(WHOLE))
KEYS = [key.key for key in answer_boxes(WHOLE)]


def _now():
    return {**bank(), **{card.id: card for card in CARDS}}


def _both(answers, policy=None, problems=None):
    one = mark_sheet(WHOLE, answers, policy, problems, _now)
    two = PACKED.mark(answers, policy, problems, _now)
    return one, two


def test_right_answers_are_seen_at_once_and_nothing_is_unpacked():
    shut = PACKED._replace(lines=[])
    unseen = []
    for row in shut.rows:
        try:
            alone = shut._replace(rows=[row]).mark(RIGHTS)
        except IndexError:
            unseen.append(row[0])
            continue
        assert alone[0].awarded == alone[0].total
    assert len(unseen) < len(KEYS) / 20, unseen


def test_an_empty_sheet_is_missing_everywhere_and_nothing_is_unpacked():
    got = PACKED._replace(lines=[]).mark({KEYS[0]: " \n"})
    assert [(one.part, one.verdict) for one in got] == [(key, MISSING) for key in KEYS]


def _spoilt(pick, text):
    """Return a right answer that something happened to; often nothing bad."""
    number, blank, unit = text.partition(" ")
    ways = [
        lambda: text,
        lambda: f"  {text} ",
        lambda: text.replace(" ", ""),
        lambda: text.replace(".", ","),
        lambda: text.upper(),
        lambda: number,
        lambda: f"{number} kg",
        lambda: f"{number} %",
        lambda: text[::-1],
        lambda: pick.choice(list(RIGHTS.values())),
        lambda: pick.choice(["", "a", "b, a", "2 1 3", "x" * 300, "1e99 g", "NaN", "\u200b5 g"]),
        lambda: (
            f"{pick.choice([0.01, 0.1, 0.97, 0.995, 1.004, 1.02, 1.3, 10, 100]) * float(number):.6g}{blank}{unit}"
        ),
    ]
    try:
        return pick.choice(ways)()
    except ValueError:
        return text


@pytest.mark.parametrize(
    "policy",
    [None, {"missing_unit": "assumed"}, {"other_unit": "asked", "unit_alone": False}],
)
def test_spoilt_answers_get_the_same_verdicts_packed_and_whole(policy):
    pick = random.Random(5)
    for _ in range(60):
        answers = {key: _spoilt(pick, text) for key, text in RIGHTS.items()}
        problems = {key: "It is torn." for key in KEYS if pick.random() < 0.02}
        one, two = _both(answers, policy, problems)
        assert one == two


@settings(max_examples=50, deadline=None)
@given(st.dictionaries(st.sampled_from(KEYS), st.text(max_size=12), max_size=40))
def test_any_text_gets_the_same_verdict_packed_and_whole(answers):
    one, two = _both(answers)
    assert one == two


def test_a_whole_right_sheet_earns_everything_packed_and_whole():
    one, two = _both(RIGHTS)
    assert one == two
    assert {v.verdict for v in two} == {RIGHT}


def test_a_packed_sheet_has_no_prose_for_readers_but_every_value():
    for question in WHOLE:
        text = pack([question])
        for part in question["parts"]:
            for name in ("prompt", "worked", "working", "because"):
                assert not part.get(name) or json.dumps(part[name]) not in text
    following = next(q for q in WHOLE if any(p.get("follows") for p in q["parts"]))
    last = json.loads(pack([following]).split("\n")[-1])
    assert last["values"] == following["values"]


def test_a_question_with_follow_through_is_unpacked_whole(monkeypatch):
    opened = []
    scan = packed._scan
    monkeypatch.setattr(packed, "_scan", lambda *text: opened.append(text[0]) or scan(*text))
    key = next(k for k in answer_boxes(WHOLE) if getattr(k.part, "follows", ()))
    alone = {name: text for name, text in RIGHTS.items() if name != key.key}
    PACKED.mark({**alone, key.key: "1e50 g"}, None, None, _now)
    assert json.loads(opened[-1])["id"] == key.question.id
