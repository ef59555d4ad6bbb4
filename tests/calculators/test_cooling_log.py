"""A cooling log is kept, broken or a question, and never more certain than the rule."""

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from calculators import safety
from calculators.cooling import cooling_log
from calculators.faults import FaultsError
from calculators.sources import records
from calculators.units import q

modest = settings(max_examples=50, deadline=None)


def log(*rows):
    return [(q(t, "min"), q(x, "degC")) for t, x in rows]


FAST = log((0, 77), (20, 57), (80, 21), (200, 5))
SLOW = log((0, 77), (20, 57), (200, 21), (300, 5))
LATE = log((0, 77), (20, 57), (130, 21), (500, 5))


@pytest.mark.parametrize(
    ("rows", "answer"),
    # FDA Food Code 3-501.14 (A): 57 to 21 °C in 2 h, 57 to 5 °C in 6 h in all.
    [
        (FAST, "kept"),
        (SLOW, "broken"),
        (LATE, "broken"),
        (log((0, 77), (0.5, 57), (120.5, 21), (360.5, 5)), "kept"),
        (log((0, 77), (1, 57), (122, 21), (300, 5)), "broken"),
        (log((0, 77), (1, 57), (100, 21), (362, 5)), "broken"),
    ],
)
def test_a_log_is_judged_by_both_steps_of_the_published_rule(rows, answer):
    assert cooling_log.judge(rows, "US").answer == answer


def test_six_hours_are_the_total_and_not_added_to_the_two():
    judgement = cooling_log.judge(LATE, "US")
    assert [one.answer for one in judgement.steps] == ["kept", "broken"]
    assert [one.took.m for one in judgement.steps] == pytest.approx([110, 480])


@pytest.mark.parametrize("region", ["EU", "GB", "NI", "Gulf", "CH", "elsewhere"])
@pytest.mark.parametrize("rows", [FAST, SLOW, LATE])
def test_where_the_law_gives_no_times_the_answer_is_ask(region, rows):
    judgement = cooling_log.judge(rows, region)
    assert judgement.answer == "ask"
    assert safety.REGIONS[region] in judgement.because
    assert str(judgement).endswith(safety.LAST_WORD)


def test_a_rule_from_memory_can_break_a_log_and_never_keep_it():
    kept = log((0, 77), (20, 60), (80, 20), (200, 4))
    assert cooling_log.judge(kept, "CA").answer == "ask"
    assert cooling_log.judge(SLOW, "CA").answer == "broken"


@pytest.mark.parametrize("rows", [FAST, SLOW, LATE])
def test_new_zealand_is_asked_and_australia_is_judged_by_its_standard(rows):
    assert cooling_log.judge(rows, "NZ").answer == "ask"
    kept = log((0, 77), (20, 60), (80, 20), (200, 4))
    assert cooling_log.judge(kept, "AU").answer == "kept"
    assert cooling_log.judge(SLOW, "AU").answer == "broken"


def test_a_log_that_begins_too_late_or_ends_too_early_is_a_question():
    assert cooling_log.judge(FAST[1:], "US").answer == "kept"
    late = log((0, 50), (60, 21), (180, 5))
    assert cooling_log.judge(late, "US").answer == "ask"
    assert "what came before" in cooling_log.judge(late, "US").because
    early = log((0, 77), (20, 57), (80, 21), (100, 15))
    assert cooling_log.judge(early, "US").answer == "ask"
    assert "ends before" in cooling_log.judge(early, "US").because


def test_readings_too_far_apart_to_tell_are_a_question():
    # 57 °C may have been passed just after 0 min, and 21 °C just before 130.
    few = log((0, 77), (60, 40), (130, 15), (200, 5))
    judgement = cooling_log.judge(few, "US")
    assert judgement.steps[0].took.m < 120
    assert [one.answer for one in judgement.steps] == ["ask", "kept"]
    assert judgement.answer == "ask"
    more = log((0, 77), (25, 58), (60, 40), (115, 20), (130, 15), (200, 5))
    assert cooling_log.judge(more, "US").answer == "kept"


def test_a_log_that_is_still_warm_after_the_time_is_broken():
    warm = log((0, 77), (20, 57), (200, 30))
    judgement = cooling_log.judge(warm, "US")
    assert judgement.answer == "broken"
    assert judgement.steps[0].took is None


def test_a_base_that_was_warmed_again_does_not_start_a_new_clock():
    again = log((0, 77), (20, 57), (80, 30), (100, 60), (160, 21), (220, 5))
    took = cooling_log.time_between(again, q(57, "degC"), q(21, "degC"))
    assert took.m == pytest.approx(140)


@pytest.mark.parametrize(
    ("after", "cold", "warm"),
    [
        ([(300, 30), (900, 30)], "5 °C", "30 °C"),  # ten hours on the bench
        ([(210, 4), (220, 5.5)], "5 °C", "5.5 °C"),
    ],
)
def test_a_base_that_was_cold_and_warmed_up_again_is_a_question(after, cold, warm):
    judgement = cooling_log.judge(FAST + log(*after), "US")
    assert judgement.answer == "ask"
    assert f"Once down to {cold} it warmed up again to {warm}" in judgement.because


def test_a_base_that_was_warmed_half_way_is_a_question_too():
    # At 21 °C after an hour, then on the stove again, and at 5 °C within the six.
    again = log((0, 77), (1, 57), (61, 21), (90, 45), (340, 5))
    judgement = cooling_log.judge(again, "US")
    assert judgement.answer == "ask"
    assert "Once down to 21 °C it warmed up again to 45 °C" in judgement.because
    slow = log((0, 77), (1, 57), (61, 21), (90, 45), (380, 5))
    assert cooling_log.judge(slow, "US").answer == "broken"


@modest
@given(
    st.floats(60, 95),
    st.floats(0.5, 4.5),
    st.floats(20, 90),
    st.lists(st.floats(1, 900).map(lambda t: round(t, 2)), min_size=1, max_size=6, unique=True),
)
def test_no_log_of_a_base_that_was_too_slow_is_ever_kept(start, bath, pace, times):
    """Newton's law tells what happened; the log tells what was read of it."""

    def reached(level):
        return pace * math.log((start - bath) / (level - bath))

    times = [0, *sorted(times), 3000]
    rows = [(t, bath + (start - bath) * math.exp(-t / pace)) for t in times]
    answer = cooling_log.judge(log(*rows), "US").answer
    slow = reached(21) - reached(57) > 120 + 1e-3 or reached(5) - reached(57) > 360 + 1e-3
    assert not (slow and answer == "kept")


def test_a_log_with_too_few_readings_is_a_question():
    # Evenly from 95 to 21 °C it would take 97 minutes from 57; in an ice bath, which
    # cools fast at first, 136.
    few = log((0, 95), (200, 21), (300, 5))
    judgement = cooling_log.judge(few, "US")
    assert judgement.answer == "ask"
    assert "readings lie too far apart" in judgement.because
    assert "may have taken 3.33 h, and the rule gives 2 h" in judgement.because
    often = log((0, 95), (40, 66), (64, 57), (100, 38), (180, 21), (300, 5))
    assert cooling_log.judge(often, "US").answer == "kept"


def test_a_base_that_stays_cold_stays_kept():
    assert cooling_log.judge(FAST + log((300, 3), (900, 5)), "US").answer == "kept"


def test_a_minute_too_long_is_not_told_as_two_hours_against_two():
    late = log((0, 57), (120.2, 21), (300, 5))
    assert "it took more than 2 h, and" in cooling_log.judge(late, "US").because


def test_two_hours_are_two_hours_in_any_clock():
    for start in (0.1, 0.3, 1.7, 7.9):
        hours = [(q(start + t, "h"), q(x, "degC")) for t, x in ((0, 57), (2, 21), (6, 5))]
        assert cooling_log.judge(hours, "US").answer == "kept"


@modest
@given(st.floats(1, 300), st.floats(1, 300))
def test_a_slower_log_never_fares_better(fast, more):
    order = {"broken": 0, "ask": 1, "kept": 2}
    quick = log((0, 77), (5, 57), (5 + fast, 21), (10 + 2 * fast, 5))
    slow = log((0, 77), (5, 57), (5 + fast + more, 21), (10 + 2 * fast + 2 * more, 5))
    assert (
        order[cooling_log.judge(slow, "US").answer] <= order[cooling_log.judge(quick, "US").answer]
    )


@modest
@given(st.floats(0, 500))
def test_when_the_clock_was_started_does_not_matter(start):
    moved = [(t + q(start, "min"), x) for t, x in SLOW]
    took = cooling_log.time_between(moved, q(57, "degC"), q(21, "degC"))
    assert took.m == pytest.approx(180)


def test_limits_are_those_of_the_legal_notes():
    assert (cooling_log.limits("US").cold.m, cooling_log.limits("US").hot.m) == (5, 57)
    assert (cooling_log.limits("GB").cold.m, cooling_log.limits("GB").hot.m) == (8, 63)
    assert cooling_log.limits("EU") is None
    assert cooling_log.limits("Gulf") is None


def test_a_bad_log_is_refused_with_its_row():
    with pytest.raises(FaultsError, match=r"^judge, row 2, time: is not later"):
        cooling_log.judge(log((10, 77), (5, 57)), "US")
    with pytest.raises(FaultsError, match=r"^time_between, row 1, temperature") as met:
        cooling_log.time_between([(q(0, "min"), 77), 5], q(57, "degC"), q(21, "degC"))
    assert len(met.value.faults) == 2
    with pytest.raises(FaultsError, match="never reaches"):
        cooling_log.time_between(log((0, 77), (5, 57)), q(57, "degC"), q(21, "degC"))
    with pytest.raises(FaultsError, match="Swap"):
        cooling_log.time_between(FAST, q(21, "degC"), q(57, "degC"))


@pytest.mark.parametrize("row", records("cooling_steps"))
def test_the_steps_say_the_same_as_the_notes_on_the_law(row):
    """The figures stand in words in the law table; neither may change alone."""
    ends = f"from {row['start']} °C to {row['end']} °C"
    hours = f"within {float(row['within']) / 60:g} hours"
    for region in row["region"].split():
        notes = [n for n in safety.legal_note("cooling", region) if ends in n.text]
        assert any(hours in note.text for note in notes)
        assert {note.provenance for note in notes} == {row["provenance"]}
        assert {note.dated.isoformat() for note in notes} == {row["dated"]}
