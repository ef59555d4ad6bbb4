"""Gelatin: balances, inverses, directions, refusals."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from calculators import gelatin
from calculators.faults import FaultsError
from calculators.units import is_quantity, q

few = settings(max_examples=50, deadline=None)
masses = st.floats(0.5, 5000)
blooms = st.floats(50, 300)
grades = st.sampled_from(list(gelatin.GRADES))
rules = st.sampled_from(gelatin.RULES)


@few
@given(masses, blooms, blooms, rules)
def test_swapping_there_and_back_gives_the_first_mass(mass, one, other, rule):
    there = gelatin.swap(q(mass, "g"), q(one, "bloom"), q(other, "bloom"), rule)
    back = gelatin.swap(there, q(other, "bloom"), q(one, "bloom"), rule)
    assert back.m == pytest.approx(mass)


@few
@given(masses, blooms, blooms)
def test_the_square_root_moves_the_mass_less_than_leaf_for_leaf(mass, one, other):
    given_ = q(mass, "g"), q(one, "bloom"), q(other, "bloom")
    root, leaf = (gelatin.swap(*given_, rule).m for rule in gelatin.RULES)
    assert abs(root - mass) <= abs(leaf - mass) + 1e-9
    assert (root >= mass) == (leaf >= mass)


def test_a_swap_in_kilograms_is_the_same_swap():
    blooms = q(200, "bloom"), q(160, "bloom")
    one = gelatin.swap(q(12, "g"), *blooms)
    other = gelatin.swap(q(0.012, "kg"), *blooms)
    assert other.m == pytest.approx(one.m)
    assert str(other.units) == "gram"


def test_each_rule_says_itself_in_words():
    said = [gelatin.rule_in_words(rule) for rule in gelatin.RULES]
    assert "square root of bloom" in said[0]
    assert "mass times bloom" in said[1]
    with pytest.raises(FaultsError, match="square root, leaf for leaf"):
        gelatin.rule_in_words("guess")


@few
@given(masses, grades)
def test_leaves_and_their_mass_are_inverses(mass, grade):
    count = gelatin.leaves(q(mass, "g"), grade)
    assert gelatin.leaves_weigh(count, grade).m == pytest.approx(mass)


@pytest.mark.parametrize("wanted", ["silver", "gold", "platinum"])
@pytest.mark.parametrize("held", ["silver", "gold", "platinum"])
def test_one_leaf_replaces_one_leaf_within_a_tenth(wanted, held):
    swap = gelatin.leaf_swap(q(6, "leaf"), wanted, held)
    assert swap.leaves.m == 6
    assert swap.strength.m == pytest.approx(100, abs=10)
    assert swap.rule == gelatin.rule_in_words("leaf for leaf")
    assert swap.mass.m == pytest.approx(gelatin.leaves_weigh(swap.leaves, held).m)
    assert swap.mass_wanted.m == pytest.approx(gelatin.leaves_weigh(swap.leaves, wanted).m)


def test_bronze_for_silver_is_seen_to_be_stronger_than_the_convention_says():
    # 3.3 g x 140 bloom against 2.5 g x 160 bloom
    swap = gelatin.leaf_swap(q(4, "leaf"), "silver", "bronze")
    assert swap.strength.m == pytest.approx(115.5, abs=0.1)
    assert "leaves" in str(swap)


@few
@given(masses, st.floats(3, 12))
def test_a_block_of_gelatin_mass_holds_what_went_into_it(mass, ratio):
    water = gelatin.soak(q(mass, "g"), ratio)
    block = q(mass, "g") + water
    assert gelatin.gelatin_in_mass(block, ratio).m == pytest.approx(mass)
    assert gelatin.soaked_water(q(mass, "g"), block).m == pytest.approx(water.m)


def test_soaking_water_is_five_to_six_times_the_gelatin():
    assert gelatin.soak(q(10, "g")).m == pytest.approx(50)
    assert (gelatin.SOAK_RATIO.low.m, gelatin.SOAK_RATIO.high.m) == (5, 6)
    assert gelatin.SOAK_RATIO.provenance == "common practice"


def test_what_leaves_pick_up_is_a_band_in_proportion():
    band = gelatin.pick_up(q(20, "g"))
    assert band.low < band.typical < band.high
    assert band.high.m == pytest.approx(10 * gelatin.pick_up(q(2, "g")).high.m)


def test_soaked_leaves_lighter_than_dry_ones_are_refused():
    with pytest.raises(FaultsError, match="weighs less than the dry gelatin"):
        gelatin.soaked_water(q(12, "g"), q(11, "g"))


@few
@given(st.floats(0.5, 15), st.floats(0.5, 15), blooms)
def test_more_gelatin_is_never_softer(one, other, bloom):
    less, more = (
        gelatin.gel_strength(q(c, "percent"), q(bloom, "bloom")) for c in sorted((one, other))
    )
    assert less.low <= more.low
    assert less.typical <= more.typical
    assert less.high <= more.high
    assert less.low <= less.typical <= less.high


heats, hours, acids = st.floats(20, 105), st.floats(0, 24), st.floats(2, 8)


@few
@given(heats, heats, hours, hours, acids, acids)
def test_hotter_longer_and_sourer_never_leave_more(t1, t2, h1, h2, a1, a2):
    gentle = gelatin.strength_left(q(min(t1, t2), "degC"), q(min(h1, h2), "h"), max(a1, a2))
    harsh = gelatin.strength_left(q(max(t1, t2), "degC"), q(max(h1, h2), "h"), min(a1, a2))
    for end in ("low", "typical", "high"):
        assert getattr(harsh, end) <= getattr(gentle, end)
    assert harsh.low <= harsh.typical <= harsh.high
    assert harsh.provenance == "from memory"


def test_no_time_costs_no_strength():
    band = gelatin.strength_left(q(100, "degC"), q(0, "min"), 3.0)
    assert (band.low.m, band.high.m) == (100, 100)


@few
@given(st.floats(0, 150))
def test_the_verdict_is_yes_between_its_own_limits_and_gives_a_reason(celsius):
    verdict = gelatin.good_for_gelatin(q(celsius, "degC"))
    inside = verdict.lowest.m <= celsius <= verdict.highest.m
    assert bool(verdict) is verdict.good is inside
    assert len(verdict.reason) > 20
    assert str(verdict).startswith("Yes" if inside else "No")


@pytest.mark.parametrize(
    ("celsius", "says"),
    [
        (20, "does not melt"),
        (42, "slowly"),
        (60, "Warm enough"),
        (92, "begins to lose strength"),
    ],
)
def test_the_verdict_says_why_at_both_ends(celsius, says):
    assert says in gelatin.good_for_gelatin(q(celsius, "degC")).reason


def test_a_base_in_fahrenheit_gets_the_same_verdict():
    assert gelatin.good_for_gelatin(q(140, "degF")).good
    assert not gelatin.good_for_gelatin(q(198, "degF")).good


@few
@given(st.floats(1, 15), st.floats(100, 250))
def test_a_gel_sets_below_where_it_melts_and_inside_its_band(share, bloom):
    given_ = q(share, "percent"), q(bloom, "bloom")
    melts, sets = gelatin.melting_point(*given_), gelatin.setting_point(*given_)
    assert sets.typical < melts.typical
    for band in (melts, sets):
        assert band.low < band.typical < band.high
        assert band.provenance == "from memory"


@few
@given(st.floats(1, 15), st.floats(1, 15), st.floats(100, 250), st.floats(100, 250))
def test_stronger_gels_melt_higher(c1, c2, b1, b2):
    weak = gelatin.melting_point(q(min(c1, c2), "percent"), q(min(b1, b2), "bloom"))
    strong = gelatin.melting_point(q(max(c1, c2), "percent"), q(max(b1, b2), "bloom"))
    assert weak.typical.m <= strong.typical.m + 1e-9


@few
@given(st.floats(50, 80), st.floats(50, 80))
def test_hotter_juice_loses_its_enzyme_sooner(one, other):
    cool, hot = (gelatin.enzyme_half_life("pineapple", q(t, "degC")) for t in sorted((one, other)))
    assert hot.typical <= cool.typical
    assert cool.low < cool.typical < cool.high


@pytest.mark.parametrize(
    "fruit", [name for name, fruit in gelatin.FRUITS.items() if not fruit.published]
)
def test_a_fruit_without_a_published_half_life_is_refused_with_what_to_do(fruit):
    with pytest.raises(FaultsError) as caught:
        gelatin.enzyme_half_life(fruit, q(60, "degC"))
    assert gelatin.FRUITS[fruit].enzyme in str(caught.value)
    assert "Boil the fresh juice" in str(caught.value)


def test_pineapple_is_the_only_published_fruit():
    published = [f.name for f in gelatin.FRUITS.values() if f.published]
    assert published == ["pineapple"]
    assert len(gelatin.FRUITS) == 7


@pytest.mark.parametrize(
    ("call", "names"),
    [
        (
            lambda: gelatin.swap(10, q(200, "g"), q(999, "bloom"), rule="half"),
            ["mass", "wanted_bloom", "held_bloom", "rule"],
        ),
        (lambda: gelatin.leaves(q(-1, "g"), "copper"), ["mass", "grade"]),
        (lambda: gelatin.gel_strength(q(0.1, "percent"), 200), ["concentration", "bloom"]),
        (
            lambda: gelatin.strength_left(q(130, "degC"), q(-1, "h"), 12.0),
            ["temperature", "time", "acidity"],
        ),
        (
            lambda: gelatin.melting_point(q(0, "percent"), q(300, "bloom")),
            ["concentration", "bloom"],
        ),
        (lambda: gelatin.enzyme_half_life("plum", q(100, "degC")), ["fruit", "temperature"]),
    ],
)
def test_every_fault_is_told_at_once(call, names):
    with pytest.raises(FaultsError) as caught:
        call()
    assert [f.where.split(", ")[1] for f in caught.value.faults] == names


@pytest.mark.parametrize(
    ("answer", "unit_name"),
    [
        (gelatin.swap(q(9, "g"), q(200, "bloom"), q(220, "bloom")), "gram"),
        (gelatin.leaves(q(9, "g"), "gold"), "leaf"),
        (gelatin.solution(q(9, "g"), q(91, "g")), "percent"),
        (gelatin.soak(q(9, "g")), "gram"),
    ],
)
def test_answers_come_in_kitchen_units(answer, unit_name):
    assert is_quantity(answer)
    assert str(answer.units) == unit_name
