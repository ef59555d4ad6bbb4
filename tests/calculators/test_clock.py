"""Both days predicted as a log, judged, and mended by what was worked out."""

import math
from dataclasses import replace

import pytest

from calculators import cooling, safety
from calculators.cooling.clock import (
    AIR,
    BATH,
    ICED,
    TEN,
    TRAY,
    Day,
    Method,
    Place,
    Work,
    both_days,
    stirred_model,
    ways,
)
from calculators.cooling.cooling_log import judge
from calculators.faults import FaultsError
from calculators.units import q

WARM, WINDOW = q(42, "degC"), q(34, "degC")
WORK = (
    Work("warm", q(35, "min"), WARM),
    Work("blend, rest, colour", q(30, "min"), WARM),
    Work("window, layer, trial, frost", q(40, "min"), WINDOW),
    Work("pour", q(22, "min"), WINDOW),
)
AFTER = (Work("what is left over", q(25, "min"), WINDOW),)
IN_ICE = Method(ICED, q(5, "degC"))


def day(region="EU", **parts):
    """Return the demo's day: 1140 g in a jug of 11 cm, a fridge at 4 °C."""
    cold = q(4, "degC")
    return replace(
        Day(q(1140, "g"), q(11, "cm"), q(22, "degC"), cold, cold, region, WORK, AFTER), **parts
    )


# --- the model ----------------------------------------------------------------------------


def test_a_jug_in_air_follows_the_law_of_newton():
    """By hand: 1140 g deep 9.6 cm at 1250 kg/m³, wall and top 427 cm², 10.5 W/m²/K."""
    heat = stirred_model()(Place(AIR, q(1140, "g"), q(60, "degC"), q(4, "degC"), q(11, "cm")))
    constant = 1.14 * 2900 / (10.5 * 0.04267) / 60
    assert heat(0) == pytest.approx(60)
    assert heat(90) == pytest.approx(4 + 56 * math.exp(-90 / constant), abs=0.1)


def test_a_bath_with_ice_and_one_without_agree_with_the_bath_of_the_calculator():
    jug, hot = q(11, "cm"), q(60, "degC")
    wet = q(math.pi * 11 * (9.5966 + 11 / 4), "cm**2")
    for water in (None, q(4.56, "kg")):
        told = cooling.water_bath(
            q(1.14, "kg"), hot, q(21, "degC"), q(10, "degC"), wet, bath_mass=water
        )
        heat = stirred_model()(Place(BATH, q(1140, "g"), hot, q(10, "degC"), jug, water=water))
        assert heat(told.time.m) == pytest.approx(21, abs=0.05)


def test_a_shallow_tray_is_quicker_than_a_jug_and_a_thinner_one_quicker_still():
    def after(tray):
        place = Place(AIR, q(1140, "g"), q(21, "degC"), q(4, "degC"), q(11, "cm"), tray=tray)
        return stirred_model()(place)(60)

    assert after(q(1, "cm")) < after(q(2, "cm")) < after(None)


def test_a_very_deep_tray_cools_by_conduction_and_not_by_air():
    """The first term of a plate: time constant 4 L² / (π² α), half thickness L."""
    diffusivity = 0.4 / (1250 * 2900)
    slab = q(20, "cm")
    place = Place(BATH, q(10, "kg"), q(21, "degC"), q(1, "degC"), q(11, "cm"), tray=slab)
    heat = stirred_model("high")(place)
    constant = 4 * 0.1**2 / (math.pi**2 * diffusivity) / 60
    fallen = math.log(20 / (heat(600) - 1))
    assert 600 / fallen == pytest.approx(constant, rel=0.05)


def test_the_slow_end_is_slower():
    place = Place(BATH, q(1140, "g"), q(60, "degC"), ICED, q(11, "cm"))
    slow, usual, quick = (stirred_model(end)(place)(20) for end in ("low", "typical", "high"))
    assert quick < usual < slow


# --- judged ---------------------------------------------------------------------------------


def test_the_demo_in_its_jug_breaks_the_rule_of_two_regions_and_of_its_school():
    """A jug of 1140 g from 21 to 5 °C in a fridge at 4 °C takes 5 to 6 hours."""
    in_jug = Method(q(10, "degC"), q(21, "degC"))
    for region, rule in (("US", "57 °C to 5 °C within 6 h"), ("AU", "21 °C to 5 °C within 4 h")):
        clock = both_days(day(region), in_jug)
        assert clock.cooling.answer == "broken"
        assert clock.broken[0].step == "day before, in the fridge"
        assert clock.broken[0].rule == rule
        assert not clock.keeps
    school = both_days(day(school=q(3, "h")), in_jug)
    (one,) = school.broken
    assert one.rule == "a warm glaze for 3 h at the most"
    assert one.by.m == pytest.approx(school.held.warm.m - 180)


def test_the_judge_of_the_prediction_is_the_judge_of_logs():
    clock = both_days(day("US"), IN_ICE)
    first = next(i for i, (t, _) in enumerate(clock.log) if t == clock.phases[3].starts)
    assert clock.cooling == judge(clock.log[: first + 1], "US")
    assert clock.held == cooling.judge_time(clock.log, "US")


@pytest.mark.parametrize("region", ["US", "AU"])
def test_a_mend_is_worked_out_and_keeps_the_rules_itself(region):
    clock = both_days(day(region), cooling.USUAL)
    again = both_days(day(region), clock.mend.method)
    assert again.keeps
    assert clock.mend.warm == again.held.warm
    assert str(clock.mend.method)[1:] in str(clock.mend)


def test_the_simplest_way_is_tried_first_and_a_harder_one_only_where_it_fails():
    """The United States set 6 h in all, and a bath to below 10 °C does; Australia adds up."""
    assert both_days(day("US"), cooling.USUAL).mend.method == Method(ICED, TEN)
    australia = both_days(day("AU"), cooling.USUAL)
    order = ways(day("AU"), cooling.USUAL)
    for simpler in order[: order.index(australia.mend.method)]:
        assert not both_days(day("AU"), simpler).keeps
    assert TEN.m < 10
    assert order[1].tray == TRAY


def test_where_no_cooling_helps_it_says_how_much_the_day_itself_is_too_long():
    long = (*WORK, Work("pour more", q(3, "h"), WINDOW))
    clock = both_days(day("AU", work=long), cooling.USUAL)
    assert clock.mend.method is None
    assert "No way of cooling mends it alone" in str(clock.mend)
    assert "fewer cakes" in str(clock.mend)


def test_the_school_may_only_be_stricter():
    for school, limit in ((q(8, "h"), 240), (q(3, "h"), 180)):
        held = both_days(day("AU", school=school), IN_ICE).held
        assert held.limit.m == limit


def test_what_is_left_over_goes_back_only_where_the_law_lets_it():
    assert both_days(day("AU"), IN_ICE).left_over.startswith("Throw it out")
    assert "only below 2 h" in both_days(day("AU"), IN_ICE).left_over
    assert "never lets it go back" in both_days(day("US"), IN_ICE).left_over
    assert both_days(day("EU"), IN_ICE).left_over.startswith("Ask")
    brief = (Work("warm", q(10, "min"), WINDOW), Work("pour", q(5, "min"), WINDOW))
    quick = both_days(day("AU", work=brief, after=()), IN_ICE)
    assert quick.left_over.startswith("It may go back")


def test_a_fridge_warmer_than_the_law_allows_is_told_in_degrees():
    clock = both_days(day("AU", fridge=q(7, "degC")), IN_ICE)
    assert "2 °C too warm" in str(clock.broken[0])
    assert clock.mend.method.fridge == q(2, "degC")


def test_a_display_that_is_too_warm_breaks_the_hours_of_display():
    """4 h once above 8 °C, S.R. 2006 No. 3, schedule 4."""
    assert both_days(day("GB"), IN_ICE).keeps
    (one,) = both_days(day("GB", display=q(12, "degC")), IN_ICE).broken
    assert one.step == "day, in the display"
    assert one.by == q(4, "h")


@pytest.mark.parametrize("region", ["NZ", "elsewhere", "Gulf", "EU", "CH", "JP"])
def test_where_no_hours_are_known_nothing_is_broken_and_nothing_is_promised(region):
    clock = both_days(day(region), cooling.USUAL)
    assert clock.keeps
    assert clock.cooling.answer == "ask"
    assert clock.held.answer == "ask"


def test_the_slow_end_of_the_band_is_told_where_it_would_break():
    near = both_days(day(school=q(3, "h")), IN_ICE)
    assert near.keeps
    assert "a warm glaze for 3 h" in near.slow
    assert both_days(day(school=q(6, "h")), IN_ICE).slow == ""


def test_another_model_is_put_in_at_one_place():
    def at_once(place):
        return lambda minutes: place.around.m if minutes > 1 else place.start.m

    clock = both_days(day("AU"), cooling.USUAL, lambda end: at_once)
    assert clock.keeps
    assert clock.held.warm.m < 150


def test_a_bath_that_never_gets_there_is_refused_with_what_helps():
    with pytest.raises(FaultsError, match=r"settle at 1[78].* put ice into the bath"):
        both_days(day(), Method(q(10, "degC"), q(12, "degC")))
    assert Method(q(10, "degC"), q(12, "degC")).coldest.m == pytest.approx(19.5, abs=1)


def test_every_number_of_a_day_that_is_out_of_range_is_told_at_once():
    with pytest.raises(FaultsError) as met:
        replace(day(), region="Atlantis", glaze=q(0, "g"), jug=11, fridge=None, school=q(2, "d"))
    told = [str(fault) for fault in met.value.faults]
    assert [line.split(":")[0] for line in told] == [
        "day, glaze",
        "day, jug",
        "day, fridge",
        "day, region",
        "day, school",
    ]
    with pytest.raises(FaultsError, match="work, pour, lasts"):
        Work("pour", q(0, "min"), WINDOW)
    with pytest.raises(FaultsError, match="method, tray"):
        Method(ICED, TEN, q(2, "g"))


# --- time as a control -----------------------------------------------------------------------


def log(*rows):
    """Return minutes and degrees as a log."""
    return [(q(t, "min"), q(heat, "degC")) for t, heat in rows]


# The guide of Australia: below 2 h back, to 4 h use, from 4 h out.
TABLE = [(60, "kept", "back into the cold"), (130, "kept", "throw it out")]


@pytest.mark.parametrize(("minutes", "answer", "left"), TABLE)
def test_two_and_four_hours_decide_what_becomes_of_it(minutes, answer, left):
    held = cooling.judge_time(log((0, 4), (1, 32), (minutes, 32)), "AU")
    assert (held.answer, held.left_over) == (answer, left)
    broken = cooling.judge_time(log((0, 4), (1, 32), (250, 32)), "AU")
    assert (broken.answer, broken.left_over) == ("broken", "throw it out")


def test_australia_adds_up_all_periods_and_the_united_states_count_from_the_cold():
    both = log((0, 65), (150, 4), (900, 4), (901, 32), (1020, 32))
    assert cooling.judge_time(both, "AU").answer == "broken"
    held = cooling.judge_time(both, "US")
    assert held.answer == "kept"
    assert held.counted.m == pytest.approx(120, abs=1)
    assert held.left_over == "throw it out"


def test_going_back_to_the_cold_stops_no_clock_in_the_united_states():
    """3-501.19: what is held by time does not go back."""
    twice = log((0, 65), (60, 4), (900, 4), (901, 32), (960, 32), (961, 4), (1200, 4), (1201, 32))
    held = cooling.judge_time(twice, "US")
    assert held.answer == "broken"
    assert held.counted.m == pytest.approx(301, abs=1)
    cooled = log((0, 65), (60, 4), (900, 4))
    assert cooling.judge_time(cooled, "US").counted.m == 0


def test_the_four_hours_of_display_are_no_hours_for_a_jug_on_the_bench():
    warm = log((0, 4), (1, 32), (200, 32))
    assert cooling.judge_time(warm, "NI").answer == "ask"
    assert cooling.judge_time(warm, "NI", displayed=True).answer == "kept"
    assert cooling.judge_time(log((0, 4), (1, 32), (300, 32)), "NI", displayed=True).answer == (
        "broken"
    )


@pytest.mark.parametrize("region", safety.regions())
def test_a_school_alone_can_break_a_log_and_never_keep_it(region):
    warm = log((0, 2), (1, 32), (100, 32))
    assert cooling.judge_time(warm, region, q(1, "h")).answer == "broken"
    rule = cooling.time_rule(region)
    kept = rule is not None and rule.counts != "on display"
    assert cooling.judge_time(warm, region, q(3, "h")).answer == ("kept" if kept else "ask")
