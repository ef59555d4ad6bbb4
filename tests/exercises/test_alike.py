"""Likeness: who copies is found, who works alone is left in peace."""

import sys

import pytest

from exercises.marking.alike import (
    ALARMS,
    MOST_SCORED,
    Gathered,
    Given,
    alike,
    given_of,
)
from exercises.marking.rules import mark_sheet
from exercises.marking.run import mark_folder
from exercises.questions.answer_boxes import answer_boxes
from exercises.questions.building import build
from exercises.questions.registry import bank
from tests.exercises import invented_classes
from tests.exercises.invented_classes import a_class, a_paper, copied, rng_of
from tests.exercises.marked_class import down_the_road, issued, right
from tests.exercises.pile_of_ours import answer_file

WAYS = ("plain", "zeros", "changed")


def _innocent(found, pairs):
    """Return the pairs in which somebody stands who copied nothing and gave nothing."""
    involved = {who for pair in pairs for who in pair}
    return [pair for pair in found if not {pair.one, pair.other} <= involved]


def measured(classes, start=0):
    """Return innocent pairs among honest classes and beside copiers, and copiers found."""
    alone = beside = met = total = 0
    for n in range(start, start + classes):
        rng = rng_of("honest", n)
        alone += len(alike(a_class(rng, a_paper(rng))))
        rng = rng_of("copied", n)
        paper = a_paper(rng)
        sheets = a_class(rng, paper)
        pairs = copied(rng, sheets, WAYS[n % 3], paper)
        found = alike(sheets)
        named = {frozenset((pair.one, pair.other)) for pair in found}
        met += sum(frozenset(pair) in named for pair in pairs)
        total += len(pairs)
        beside += len(_innocent(found, pairs))
    return alone / classes, beside / classes, met / total


def test_copiers_are_found_and_people_who_work_alone_are_not_named():
    alone, _, found = measured(60)
    assert alone <= ALARMS
    assert found >= 0.9


@pytest.mark.slow
def test_among_a_thousand_classes_few_innocent_are_named_and_most_copiers_are(capsys):
    alone, beside, found = measured(1000, start=1000)
    with capsys.disabled():
        sys.stdout.write(
            f"\n1000 honest classes of 30: {alone:.3f} innocent pairs a class; "
            f"1000 with two copiers: {found:.1%} found, {beside:.3f} innocent pairs a class\n"
        )
    assert alone <= ALARMS
    assert found >= 0.9


@pytest.mark.parametrize("coarse", [False, True])
@pytest.mark.parametrize("wrong", ["guess", "slip", "unnamed", "lesson"])
def test_habits_that_a_class_shares_name_nobody(monkeypatch, wrong, coarse):
    ways = {
        "guess": lambda rng, part, right: rng.choice((10.0, 50.0, 100.0)),
        "slip": lambda rng, part, right: rng.choice([n for n in part.steps if n != right]),
        "unnamed": lambda rng, part, right: right * 1.7,  # a wrong way that no question knows
        "lesson": lambda rng, part, right: part.steps[0],  # the number of the lesson's example
    }

    def by_habit(rng, part, right, taught):
        return Given(ways[wrong](rng, part, right), right)

    monkeypatch.setattr(invented_classes, "_wrong", by_habit)
    for n in range(20):
        rng = rng_of(wrong, coarse, n)
        paper = a_paper(rng)
        if coarse:
            paper = [part._replace(steps=part.steps[:4]) for part in paper]
        assert alike(a_class(rng, paper)) == []


IDS = (
    "gelatin-swap-powder",
    "syrup-blend",
    "boil-to-strength",
    "syrup-water-for-brix",
    "glucose-swap-packs",
    "gelatin-which-rule",
)


def _sheets(count=20):
    return {f"s{n:02}": [build(bank()[id], f"seed {n}") for id in IDS] for n in range(count)}


def _class_of(sheets, answers):
    return {
        who: given_of(answer_boxes(sheet), answers[who], mark_sheet(sheet, answers[who]))
        for who, sheet in sheets.items()
    }


def _alone(sheets):
    """Return answers: most are right, and every fourth part went down the first wrong turn."""
    return {
        who: {
            key.key: (down_the_road if (n + m) % 4 == 0 else right)(key)
            for m, key in enumerate(answer_boxes(sheet))
        }
        for n, (who, sheet) in enumerate(sheets.items())
    }


@pytest.mark.parametrize(
    "again",
    [
        lambda text: text,
        lambda text: text.replace(" g", "0 g") if "." in text else text,
        lambda text: f"ca. {text}" if text[0].isdigit() else text.upper(),
        lambda text: text.replace(".", ",").replace(" ", "  "),
    ],
)
def test_a_copy_is_found_however_its_numbers_are_written(again):
    sheets = _sheets()
    answers = _alone(sheets)
    assert alike(_class_of(sheets, answers)) == []
    answers["s03"] = {part: again(text) for part, text in answers["s11"].items()}
    answers["s03"]["1a"] = "12 g"  # one part done alone
    (pair,) = alike(_class_of(sheets, answers))
    assert {pair.one, pair.other} == {"s03", "s11"}
    assert pair.score > pair.threshold
    assert "which asks with other numbers" in pair.why
    assert "The book can't tell who wrote it." in pair.why


def test_numbers_that_anothers_sheet_would_give_are_found_where_the_other_gave_none():
    sheets = _sheets()
    answers = _alone(sheets)
    answers["s03"] = {key.key: right(key) for key in answer_boxes(sheets["s11"])}
    answers["s11"] = {}
    (pair,) = alike(_class_of(sheets, answers))
    assert (pair.one, pair.other) == ("s03", "s11")


@pytest.mark.parametrize("written", ["", "?", "don't know", "-", "10", "100 g", "1,234 g or so"])
def test_nothing_the_same_guess_and_what_cannot_be_read_weigh_nothing(written):
    sheets = _sheets()
    answers = _alone(sheets)
    for who in ("s03", "s11"):
        answers[who] = {key.key: written for key in answer_boxes(sheets[who])}
    assert alike(_class_of(sheets, answers)) == []


def _turns(people, turn_of):
    """Return a class in which everyone is wrong throughout, each with own numbers."""
    return {
        f"s{n:02}": {
            str(m): Given(1000.0 + 37 * n + m, 9000.0 + 41 * n + m, False, turn_of(n, m))
            for m in range(12)
        }
        for n in range(people)
    }


def test_an_uncommon_wrong_turn_that_two_share_throughout_is_told_with_the_parts():
    (pair,) = alike(_turns(40, lambda n, m: "upside down" if n < 2 else "common"))
    assert {pair.one, pair.other} == {"s00", "s01"}
    assert (len(pair.turns), pair.numbers) == (12, ())
    assert "the same uncommon wrong turn" in pair.why


@pytest.mark.parametrize("rate", [0.4, 0.6, 1.0])
def test_a_common_wrong_turn_that_everyone_shares_throughout_says_nothing(rate):
    def turn(n, m):
        return "common" if n < rate * 40 else f"other {n % 3}"

    assert alike(_turns(40, turn)) == []


def test_a_copy_in_a_marked_pile_becomes_a_matter_of_both(tmp_path):
    outcomes = [bank()[id].outcome for id in IDS[:4]]
    levels = {"recall": 0, "carry out": 6, "decide": 0}
    book, sheets = issued(tmp_path / "class.db", bank(), outcomes, levels, 12)
    own = {sheet.token: answer_boxes(sheet.questions) for sheet in sheets}
    folder = tmp_path / "pile"
    folder.mkdir()
    for sheet in sheets:
        answers = {key.key: right(key) for key in own[sheet.token]}
        if sheet is sheets[3]:
            answers = {key.key: right(key) for key in own[sheets[8].token]}
        (folder / f"{sheet.token}.json").write_bytes(answer_file(sheet.token, answers))
    with book:
        mark_folder(folder, book, received_at="2030-02-20", workers=1)
        matters = book.matters(kind="alike")
        tokens = {book.handin(one.handin).token for one in matters}
    assert tokens == {sheets[3].token, sheets[8].token}
    assert len(matters) == 2


@pytest.mark.parametrize("same", [True, False])
def test_the_work_for_a_large_class_is_bounded_however_alike_it_is(monkeypatch, same):
    scored = []
    score = Gathered._scored
    monkeypatch.setattr(Gathered, "_scored", lambda *args: scored.append(args[1:3]) or score(*args))
    people, parts, near = 2000, 12, 60  # who share a wrong number and a wrong turn
    gathered = Gathered()
    for n in range(people):
        group = 0 if same else n // near
        gathered.add(
            f"s{n}",
            {
                str(m): Given(100.0 + group + m, 9000.0 + 37 * n + m, False, f"turn {group}")
                for m in range(parts)
            },
        )
    found = gathered.alike()
    assert len(scored) <= (0 if same else people * MOST_SCORED)
    assert bool(found) is not same  # what all have in common says nothing of two


def test_in_classes_of_a_thousand_most_copiers_are_found_and_nobody_else():
    named, pairs = set(), set()
    for n in range(3):
        rng = rng_of("large", n)
        paper = a_paper(rng)
        sheets = a_class(rng, paper, 1000)
        pairs |= {(n, *sorted(pair)) for pair in copied(rng, sheets, "plain", paper)}
        named |= {(n, *sorted((pair.one, pair.other))) for pair in alike(sheets)}
    assert named <= pairs
    assert len(named) >= len(pairs) - 1


def test_letters_of_options_that_keep_their_order_weigh_only_as_their_choice_does():
    def a_sheet(n, letter, wanted):
        return {str(m): Given(letter, wanted, False, f"option {letter}") for m in range(12)}

    kept = {f"s{n:02}": a_sheet(n, "b" if n < 12 else "c", "ad"[n % 2]) for n in range(24)}
    assert alike(kept) == []


def test_a_class_of_one_or_none_is_alike_to_nobody():
    assert alike({}) == []
    assert alike({"s1": {"1a": Given(1.0, 2.0)}}) == []
