"""No question gives its answer away to somebody who knows nothing of pastry.

Judged over 200 draws of each question, and for each outcome as a whole.  Questions
that give something away are listed by name with what it is, until they are mended;
a question that was mended must leave the list.
"""

from __future__ import annotations

import pytest

from exercises.questions.outcomes import outcomes
from tests.exercises.item_tells import (
    CONSTANT,
    DRAWS,
    SHARED,
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

LONGEST, WORDS, ODD = "the longest option", "most words of the stem", "the odd grammar"

TO_MEND: dict[str, set[str]] = {
    "base-let-down": {LONGEST, ODD, CONSTANT},
    "base-two-formulas": {WORDS, CONSTANT},
    "base-who-cannot-eat": {LONGEST},
    "blending-hot-or-cool": {CONSTANT},
    "blending-log-of-the-cup": {LONGEST},
    "blending-smallest-batch": {WORDS, CONSTANT},
    "blending-which-jug": {CONSTANT, SHARED},
    "boil-on-a-mountain": {LONGEST, CONSTANT},
    "boil-two-pans": {CONSTANT},
    "boil-water-back": {CONSTANT},
    "boil-what-raises-it": {LONGEST, ODD},
    "boil-which-needs-longer": {WORDS, ODD, CONSTANT},
    "colour-kind-thins": {SHARED},
    "colour-lustre-label": {LONGEST, ODD, CONSTANT},
    "colour-muddy-marble": {LONGEST},
    "colour-order-change": {LONGEST, CONSTANT},
    "colour-runs-ahead": {CONSTANT},
    "colour-specks": {LONGEST, ODD, CONSTANT},
    "colour-white-law": {LONGEST, WORDS, CONSTANT},
    "crystals-on-the-map": {CONSTANT},
    "crystals-sand-log": {SHARED},
    "crystals-too-much-sugar": {CONSTANT},
    "crystals-turn-back": {LONGEST, WORDS, ODD, CONSTANT},
    "crystals-what-guards": {LONGEST, WORDS},
    "fault-cracks": {LONGEST, ODD},
    "fault-dark-hides": {WORDS, ODD},
    "fault-reuse-steps": {CONSTANT},
    "fault-slide-log": {LONGEST},
    "fault-surface-log": {SHARED},
    "fault-weeps-log": {LONGEST},
    "gelatin-care-four-bowls": {SHARED},
    "gelatin-care-fruit": {LONGEST, ODD},
    "gelatin-care-hot-base": {LONGEST},
    "gelatin-care-plant": {LONGEST, WORDS, ODD},
    "gelatin-care-soak-cold": {LONGEST},
    "gelatin-care-went-in-hot": {LONGEST, CONSTANT},
    "gelatin-unlabelled-box": {CONSTANT, SHARED},
    "gelatin-what-slipped": {SHARED},
    "gelatin-which-rule": {LONGEST, WORDS},
    "glucose-refractometer": {LONGEST, WORDS, ODD, CONSTANT},
    "glucose-sand-or-not": {LONGEST},
    "glucose-thin-glaze": {ODD},
    "kitchen-allergens": {LONGEST, SHARED},
    "kitchen-before-start": {WORDS, SHARED},
    "kitchen-first-aid": {CONSTANT},
    "kitchen-how-long": {SHARED},
    "kitchen-ice-bath": {LONGEST},
    "kitchen-log-hole": {LONGEST, CONSTANT},
    "kitchen-log-judge": {SHARED},
    "kitchen-nobody-there": {LONGEST, WORDS, CONSTANT},
    "kitchen-three-thermometers": {LONGEST},
    "kitchen-which-scale": {CONSTANT, SHARED},
    "kitchen-whose-rule": {LONGEST, SHARED},
    "pour-dew": {WORDS, SHARED},
    "pour-three-jugs": {LONGEST, CONSTANT},
    "pour-time-log": {LONGEST},
    "pour-whose-window": {LONGEST, WORDS, ODD},
    "syrup-reading-log": {LONGEST, WORDS, SHARED},
    "syrup-refractometer-blind": {SHARED},
    "syrup-which-instrument": {WORDS},
}

ASKED = sorted({one.outcome for one in BANK.values()})


@pytest.mark.parametrize("outcome", ASKED)
def test_guessing_without_pastry_earns_no_more_than_chance_and_ten_points(outcome):
    own = {name: drawn(name, KITCHEN) for name, one in BANK.items() if one.outcome == outcome}
    assert {n: found for n, asked in own.items() if (found := tells(n, asked))} == {
        n: TO_MEND[n] for n in own if n in TO_MEND
    }
    good = [asked for name, all_of_it in own.items() if name not in TO_MEND for asked in all_of_it]
    assert {guesser for guesser, one in earned(good).items() if one.tells} == set()


def test_the_list_of_questions_to_mend_names_questions_of_the_bank():
    assert set(TO_MEND) <= set(BANK)


def test_no_question_that_is_kept_from_practice_gives_anything_away():
    assert {n for n in TO_MEND if BANK[n].use == "assessed"} == set()


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
    assert any(choices(one) for one in drawn("kitchen-nobody-there", KITCHEN)[:1])
