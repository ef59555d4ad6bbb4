"""No question gives its answer away to somebody who knows nothing of pastry.

Judged over 200 draws of each question, and for each outcome as a whole.
"""

from __future__ import annotations

import pytest

from exercises.questions.outcomes import outcomes
from tests.exercises.item_tells import (
    DRAWS,
    choices,
    constant_parts,
    drawn,
    earned,
    largest,
    longest,
    odd_grammar,
    of_the_stem,
    shares_a_hint,
    smallest,
    tells,
)
from tests.exercises.test_bank import BANK, KITCHEN

ASKED = sorted({one.outcome for one in BANK.values()})


@pytest.mark.parametrize("outcome", ASKED)
def test_guessing_without_pastry_earns_no_more_than_chance_and_ten_points(outcome):
    own = {name: drawn(name, KITCHEN) for name, one in BANK.items() if one.outcome == outcome}
    assert {name: found for name, asked in own.items() if (found := tells(name, asked))} == {}
    together = [asked for all_of_it in own.values() for asked in all_of_it]
    assert {guesser for guesser, one in earned(together).items() if one.tells} == set()


# --- the guessers themselves -------------------------------------------------------------

TEXTS = {
    "a": "Wait, and then stir",
    "b": "Cool it",
    "c": "Warm it",
    "d": "Put a film on it because the air in the room is dry",
}


def part(right, texts=TEXTS, says=None, prompt="?", name="a"):
    says = says or {}
    return {
        "name": name,
        "kind": "choice",
        "prompt": prompt,
        "options": [{"key": k, "text": t, "says": says.get(k, k)} for k, t in texts.items()],
        "right": [right],
    }


def asked(*parts):
    return {"stem": "", "parts": list(parts)}


def test_the_longest_option_is_found():
    assert longest(TEXTS, "") == ["d"]


def test_the_ends_of_numbers_are_found_and_words_have_none():
    numbers = {"a": "about 12 g", "b": "−3 °C", "c": "4.5 g"}
    assert (largest(numbers, ""), smallest(numbers, "")) == (["a"], ["b"])
    assert largest(TEXTS, "") == []


def test_words_of_the_stem_count_without_their_endings_and_without_small_ones():
    assert of_the_stem(TEXTS, "They cooled what they had.") == ["b"]
    assert of_the_stem(TEXTS, "With that, nothing.") == []


def test_the_option_built_unlike_the_others_is_found():
    assert odd_grammar({"a": "Yes: it is.", "b": "No, wait", "c": "No, stir", "d": "No, no"}, "")
    assert odd_grammar({"a": "Stir it.", "b": "Cool it.", "c": "Warm it!"}, "") == []
    assert odd_grammar({"a": "Stir it.", "b": "Cool it.", "c": "Wait"}, "") == ["c"]


def test_a_question_whose_longest_option_is_always_right_is_caught():
    one = earned([asked(part("d"))] * 10)["the longest option"]
    assert (one.right, one.chance, one.tells) == (1, 0.25, True)


def test_a_question_whose_right_option_wanders_is_not():
    each = [asked(part(key)) for key in TEXTS]
    assert not any(one.tells for one in earned(each).values())
    assert constant_parts(each) == []


def test_the_same_right_words_are_caught_whatever_their_numbers():
    same = [
        asked(part("a", {"a": f"Add {n} g of water", "b": "Boil", "c": "Wait"})) for n in (1, 2, 30)
    ]
    assert constant_parts(same) == ["a"]
    numbers = [asked(part("a", {"a": f"{n} g", "b": f"{n + 5} g", "c": "0 g"})) for n in (1, 2)]
    assert constant_parts(numbers) == []


def test_two_wrong_options_with_one_hint_are_caught():
    assert shares_a_hint([asked(part("a", says={"b": "Look again.", "c": "Look again."}))])
    assert not shares_a_hint([asked(part("a"))])


def test_every_outcome_that_sheets_can_prove_is_asked_and_judged():
    assert set(ASKED) == {o.id for o in outcomes().values() if o.evidence != "do"}
    assert DRAWS >= 200
    assert any(choices(one) for one in drawn("kitchen-guest-asks", KITCHEN)[:1])
