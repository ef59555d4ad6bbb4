"""What observations come to: outcomes, hurdles, agreement in counts, and logs."""

import pytest

from calculators.units import q
from exercises.observing.bench_log import NOTHING, judged_log
from exercises.observing.reading import read_files
from exercises.observing.seen import agreement, at_odds, benches, signed_once
from tests.exercises.observing.watched import at, book_with_sheets, saved, seen


@pytest.fixture
def book(tmp_path):
    with book_with_sheets(tmp_path / "class.db", must_pass=("bench-pour",)) as made:
        yield made


def bench(book, tmp_path, student="s01", **observers):
    """Return a student's bench after what each observer saved of it."""
    sheet = book.observation_sheets(student)[0]
    for name, change in observers.items():
        one = seen(sheet, change.get("without", ()), change.get("unseen", ()))
        one |= change.get("more", {})
        read_files(book, saved(tmp_path, name, [one]), "M. Oswin")
    return next(one for one in benches(book) if one.student.id == student)


def states(one):
    return {each.id: each.state for each in one.shown}


def test_all_seen_is_passed(book, tmp_path):
    one = bench(book, tmp_path, Ann={})
    assert one.state == "passed"
    assert set(states(one).values()) == {"met"}
    assert one.because == ()


def test_what_nobody_saw_is_left_out_and_never_failed(book, tmp_path):
    one = bench(book, tmp_path, Ann={"unseen": ["layers", "edges"]})
    assert states(one)["bench-marble"] == "not observed"
    assert states(one)["bench-pour"] == "met"
    assert one.state == "passed"
    assert one.count("not done") == 0


def test_too_much_unseen_waits_for_another_look(book, tmp_path):
    one = bench(book, tmp_path, Ann={"unseen": ["layers", "edges", "coat", "trim"]})
    assert one.state == "still to settle"
    assert "4 rows were seen by nobody" in one.because[0]


@pytest.mark.parametrize("row", ["hands", "water", "blade"])
def test_a_must_that_was_not_done_is_a_hurdle(book, tmp_path, row):
    one = bench(book, tmp_path, Ann={"without": [row]})
    assert one.state == "not yet passed"
    assert one.because[0].startswith("A must was not done")


def test_a_must_that_nobody_saw_is_open_and_not_failed(book, tmp_path):
    one = bench(book, tmp_path, Ann={"unseen": ["water"]})
    assert one.state == "still to settle"
    assert states(one)["bench-boil"] == "still to settle"


def test_the_judgement_of_the_whole_is_not_added_up(book, tmp_path):
    first = bench(book, tmp_path, Ann={"more": {"judgement": "not yet"}})
    assert first.state == "passed"


def test_an_outcome_that_must_be_met_decides(book, tmp_path):
    gone = ["plan", "window", "wiped", "one pour", "coat"]
    one = bench(book, tmp_path, Ann={"without": gone})
    assert states(one)["bench-pour"] == "not yet met"
    assert one.state == "not yet passed"
    assert any("It must be met to pass" in why for why in one.because)


def test_two_observers_who_differ_leave_a_row_open_until_they_agree(book, tmp_path):
    one = bench(book, tmp_path, Ann={}, Bo={"without": ["wiped"]})
    assert len(one.observations) == 2
    assert one.state == "still to settle"
    assert one.because == (
        "The observers differ: Frost wiped off the cake with a dry gloved hand before its "
        "first glaze.",
    )
    again = bench(book, tmp_path, Bo={})
    assert again.state == "passed"
    assert len(book.observations()) == 3


def test_what_one_saw_counts_where_the_other_did_not_look(book, tmp_path):
    one = bench(book, tmp_path, Ann={"unseen": ["wiped"]}, Bo={"unseen": ["coat"]})
    assert one.state == "passed"
    assert one.count("not seen by me") == 0


def test_agreement_is_told_in_counts(book, tmp_path):
    bench(book, tmp_path, "s01", Ann={}, Bo={"without": ["wiped"]})
    bench(book, tmp_path, "s02", Ann={"unseen": ["plan"]}, Bo={})
    bench(book, tmp_path, "s03", Ann={})
    found = agreement(benches(book))
    # 14 rows of the first, one of them apart; 13 of the second that both saw.
    assert (found.students, found.agreed, found.of) == (2, 26, 27)
    assert found.sentences[0] == "2 students were watched by two; they agreed on 26 of 27."
    assert found.sentences[1].startswith("They differ 1 of 2 times: Frost wiped")
    assert not any("kappa" in line for line in found.sentences)


def test_a_sheet_with_one_signature_is_told(book, tmp_path):
    bench(book, tmp_path, "s01", Ann={"more": {"second": "Bo"}})
    bench(book, tmp_path, "s02", Ann={}, Bo={})
    assert signed_once(benches(book)) == ""
    bench(book, tmp_path, "s03", Ann={"more": {"second": " ann "}})
    assert signed_once(benches(book)) == "1 sheet carries one signature; two are asked for."


def test_a_name_with_another_blank_is_no_second_person(book, tmp_path):
    watched = {"Ann Quill": {"more": {"second": "ann  Quill"}}, "Ann  Quill": {}}
    one = bench(book, tmp_path, "s01", **watched)
    assert len(one.observations) == 1
    assert signed_once([one]).startswith("1 sheet carries one signature")


def test_nobody_watched_by_two_is_nothing_to_compare(book, tmp_path):
    bench(book, tmp_path, Ann={})
    assert agreement(benches(book)).sentences == []


def test_a_tick_that_the_numbers_contradict_is_told_and_stays(book, tmp_path):
    numbers = {"cake": "dome 7 cm", "before": "100", "after": "131", "temperature": "37"}
    one = bench(book, tmp_path, Ann={"more": {"numbers": numbers}})
    assert at_odds(one) == [
        "Ann wrote “seen”, and the coat weighed 31 g, outside what the row asks.",
        "Ann wrote “seen”, and the jug had 37 °C, outside what the row asks.",
    ]
    assert one.count("seen") == 14


def test_a_reading_near_the_edge_contradicts_nobody(book, tmp_path):
    # The window is 31 to 34 °C and the thermometer may be 1 °C out.
    one = bench(book, tmp_path, Ann={"more": {"numbers": {"temperature": "34.8"}}})
    assert at_odds(one) == []


# --- the log --------------------------------------------------------------------------------


def log(*rows):
    return [[at(minutes), heat] for minutes, heat in rows]


def test_a_log_is_held_against_the_figure_of_the_school():
    rows = log((0, 4), (20, 38), (50, 34), (80, 33), (110, 33))
    kept = judged_log(rows, "EU", q(3, "h"))
    assert kept.answer == "ask"  # no hours in the law that was read: never a plain yes
    broken = judged_log(rows, "EU", q(1, "h"))
    assert broken.answer == "broken"


def test_a_log_is_held_against_the_hours_of_the_law():
    # The regulator's 2 h / 4 h rule: from 4 h in all it is thrown out.
    rows = log(*((30 * n, 4 if n == 0 else 32) for n in range(11)))
    assert judged_log(rows, "AU").answer == "broken"
    assert judged_log(rows[:7], "AU").answer == "kept"


def test_cooling_is_judged_by_the_rule_for_cooling():
    # Food Code 3-501.14: from 57 °C to 21 °C within 2 h; here 36 °C take 2 h 24 min.
    slow = log(*((20 * n, 70 - 5 * n) for n in range(14)))
    told = judged_log(slow, "US")
    assert told.answer == "broken"
    assert any("From 57 °C to 21 °C" in why for why in told.because)


@pytest.mark.parametrize(
    ("rows", "words"),
    [
        ([(0, 4), (10, None), (20, 30)], "Row 2 has no temperature"),
        ([(0, 4), (20, 30), (10, 32)], "The clock runs back, or stands still, from row 2"),
        ([(0, 4), (0, 30)], "stands still, from row 1"),
        ([(0, 4), (10, 32), (75, 32)], "Nobody read it for 1 h 5 min between rows 2 and 3"),
        ([(0, 4), (10, 320)], "320 °C, which no thermometer here shows"),
        ([(0, 4)], "1 reading"),
    ],
)
def test_from_a_log_with_holes_nothing_is_concluded(rows, words):
    told = judged_log(log(*rows), "AU", q(30, "min"))
    assert told.answer == NOTHING
    assert words in str(told)


@pytest.mark.parametrize("region", ["US", "AU", "EU"])
def test_a_log_that_begins_warm_is_never_kept(region):
    # In the United States the clock starts at the cold: without it, 90 min would count as 0.
    told = judged_log(log((0, 32), (30, 32), (60, 32), (90, 32)), region, q(3, "h"))
    assert told.answer == NOTHING
    assert "Row 1 has 32 °C: nobody wrote down when it left the cold" in str(told)


def test_a_log_that_begins_warm_and_is_too_long_all_the_same_is_broken():
    # The regulator's 2 h / 4 h rule: 5 h are too long, whatever was before them.
    rows = log(*((30 * n, 32) for n in range(11)))
    assert judged_log(rows, "AU").answer == "broken"


def test_a_night_in_the_cold_is_no_hole():
    rows = log((0, 4), (900, 4), (910, 30), (930, 33))
    assert judged_log(rows, "AU").answer == "kept"


def test_a_broken_log_fails_and_one_with_holes_waits(book, tmp_path):
    def with_log(*rows):
        return {"more": {"log": [{"at": at(m), "temperature": t} for m, t in rows]}}

    slow = [(0, 4)] + [(25 * n, 32) for n in range(1, 10)]
    one = bench(book, tmp_path, "s01", Ann=with_log(*slow))
    assert one.state == "not yet passed"
    assert one.because[0].startswith("The log breaks a rule.")
    other = bench(book, tmp_path, "s02", Ann=with_log((0, 4), (90, 32)))
    assert other.state == "still to settle"
    assert "Nothing follows from the log of Ann" in other.because[0]
