"""Glucose syrup: balances, directions, refusals."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from calculators import glucose
from calculators.faults import FaultsError
from calculators.glucose import TUBS, Syrup
from calculators.units import q

few = settings(max_examples=50, deadline=None)
masses = st.floats(1, 5000)
solids = st.floats(20, 100)
equivalents = st.floats(20, 100)
syrups = st.builds(lambda de, s: Syrup(q(de, "percent"), q(s, "percent")), equivalents, solids)


@few
@given(masses, syrups)
def test_solids_and_water_add_up_to_the_mass(mass, syrup):
    parts = glucose.split(q(mass, "g"), syrup)
    assert (parts.solids + parts.water).m == pytest.approx(mass)


@few
@given(masses, syrups, syrups)
def test_a_swap_keeps_the_solids_and_all_the_water(mass, wanted, held):
    swap = glucose.swap(q(mass, "g"), wanted, held)
    before, after = glucose.split(q(mass, "g"), wanted), glucose.split(swap.mass, held)
    assert after.solids.m == pytest.approx(before.solids.m)
    balanced = after.water.m + swap.add.m - swap.leave_out.m
    assert balanced == pytest.approx(before.water.m, abs=1e-6)
    assert min(swap.add.m, swap.leave_out.m) == 0


@few
@given(masses, syrups, syrups)
def test_swapping_there_and_back_gives_the_first_mass(mass, one, other):
    there = glucose.swap(q(mass, "g"), one, other)
    back = glucose.swap(there.mass, other, one)
    assert back.mass.m == pytest.approx(mass)
    assert back.add.m == pytest.approx(there.leave_out.m, abs=1e-6)


def test_a_swap_says_what_to_do_with_the_water():
    # 300 g at 80.3 % are 240.9 g of solids: 401.5 g at 60 %
    thin = glucose.swap(q(300, "g"), "confectioner", "home pack")
    assert thin.mass.m == pytest.approx(401.5)
    assert "leave out 102 g of water" in str(thin)
    thick = glucose.swap(q(300, "g"), "home pack", "confectioner")
    assert "add" in str(thick)
    assert "the water stays" in str(glucose.swap(q(9, "g"), "home pack", "home pack"))


def test_a_swap_in_kilograms_is_the_same_swap():
    one = glucose.swap(q(300, "g"), "confectioner", "light corn")
    other = glucose.swap(q(0.3, "kg"), "confectioner", TUBS["light corn"])
    assert other.mass.m == pytest.approx(one.mass.m)
    assert str(other.mass.units) == "gram"


@few
@given(st.floats(3, 100))
def test_dextrose_equivalent_comes_back_from_the_molar_mass(equivalent):
    heavy = glucose.mean_molar_mass(q(equivalent, "percent"))
    if heavy.m >= 180.16:
        found = glucose.dextrose_equivalent(heavy)
        assert found.m == pytest.approx(equivalent)


@pytest.mark.parametrize("grams", [180.16, 342.3, 6005, 20000])
def test_molar_mass_comes_back_from_the_dextrose_equivalent(grams):
    found = glucose.mean_molar_mass(glucose.dextrose_equivalent(q(grams, "g/mol")))
    assert found.m == pytest.approx(grams)


def test_single_glucose_rounded_to_180_is_a_dextrose_equivalent_of_100():
    assert glucose.dextrose_equivalent(q(180, "g/mol")).m == 100


def test_the_tub_is_less_sweet_than_its_solids_by_its_water():
    tub = glucose.sweetness("home pack", of="tub").typical.m
    assert tub == pytest.approx(0.6 * glucose.sweetness("home pack").typical.m)


@few
@given(st.floats(0, 81), st.floats(0, 81), st.floats(20, 60), st.floats(20, 60))
def test_light_bends_more_in_stronger_and_less_in_warmer_syrup(s1, s2, t1, t2):
    weak, strong = sorted((s1, s2))
    cool, warm = sorted((t1, t2))
    index = glucose.refractive_index
    assert index(q(weak, "percent"), q(cool, "degC")) <= index(
        q(strong, "percent"), q(cool, "degC")
    )
    assert index(q(strong, "percent"), q(warm, "degC")) <= index(
        q(strong, "percent"), q(cool, "degC")
    )


@few
@given(st.floats(27, 71), st.floats(27, 71))
def test_a_warmer_syrup_is_thinner(one, other):
    cool, warm = (glucose.viscosity("confectioner", q(t, "degC")) for t in sorted((one, other)))
    assert warm.typical.m <= cool.typical.m * (1 + 1e-12)
    assert cool.low < cool.typical < cool.high


@pytest.mark.parametrize(
    ("sugar", "syrup", "risk"),
    [(300, 300, "low"), (300, 60, "some"), (300, 20, "high"), (300, 0, "high")],
)
def test_the_risk_of_graining_falls_with_the_share_of_glucose(sugar, syrup, risk):
    told = glucose.graining_risk(q(sugar, "g"), q(syrup, "g"))
    assert told.risk == risk
    assert "25 %" in told.reason
    assert told.reason in str(told)


def test_share_and_doctor_ratio_count_solids_and_not_the_tub():
    # 100 g at 60 % are 60 g beside 180 g of sugar: a quarter, and one to three
    told = glucose.graining_risk(q(180, "g"), q(100, "g"), "home pack")
    assert told.share.m == pytest.approx(25)
    assert told.doctor_ratio.m == pytest.approx(1 / 3)


def test_a_home_pack_is_told_what_it_misses():
    assert "70 %" in glucose.lawful_name("home pack")
    assert glucose.lawful_name("light corn") == "glucose syrup"


def test_both_figures_of_a_syrup_are_checked_at_once():
    with pytest.raises(FaultsError) as caught:
        Syrup(q(120, "percent"), q(0, "percent"))
    assert len(caught.value.faults) == 2
    with pytest.raises(FaultsError, match="bare number"):
        Syrup(42, q(80, "percent"))


def test_a_share_is_the_same_syrup_as_its_percent():
    assert Syrup(q(0.42), q(0.8)).solids.m == pytest.approx(80)


@pytest.mark.parametrize(
    ("call", "names"),
    [
        (lambda: glucose.swap(300, "bucket", q(80, "percent")), ["mass", "wanted", "held"]),
        (lambda: glucose.graining_risk(q(0, "g"), q(-1, "g")), ["sugar", "glucose"]),
        (
            lambda: glucose.refractive_index(q(90, "percent"), q(5, "degC")),
            ["solids", "temperature"],
        ),
        (
            lambda: glucose.refractometer_reading(Syrup(q(95, "percent"), q(90, "percent"))),
            ["syrup", "syrup"],
        ),
        (lambda: glucose.viscosity("home pack", q(40, "degC")), ["syrup"]),
        (lambda: glucose.sweetness(Syrup(q(10, "percent"), q(80, "percent"))), ["syrup"]),
    ],
)
def test_every_fault_is_told_at_once(call, names):
    with pytest.raises(FaultsError) as caught:
        call()
    assert [f.where.split(", ")[1] for f in caught.value.faults] == names
    assert all(f.limit or f.next_step for f in caught.value.faults)


def test_the_column_of_refraction_has_the_sum_that_was_added_by_hand():
    from calculators.sources import records

    assert sum(float(r["at_20"]) for r in records("glucose_refraction")) == (
        pytest.approx(11.16826, abs=1e-5)
    )


@few
@given(equivalents, equivalents, st.floats(20, 85))
def test_shorter_chains_are_sweeter(one, other, share):
    low, high = (Syrup(q(de, "percent"), q(share, "percent")) for de in sorted((one, other)))
    assert glucose.sweetness(low).typical <= glucose.sweetness(high).typical


def test_a_value_just_beyond_a_limit_is_not_told_as_the_limit():
    with pytest.raises(FaultsError, match=r"given: 81\.001\s%\)\. It must be at most 81"):
        glucose.refractometer_reading(Syrup(q(42, "percent"), q(81.001, "percent")))
    with pytest.raises(FaultsError, match=r"given: 19\.9999\s%\)\. It must be from 20"):
        glucose.sweetness(Syrup(q(19.9999, "percent"), q(80, "percent")))
