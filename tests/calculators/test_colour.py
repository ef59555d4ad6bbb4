import math

import colour as reference
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from calculators.colour import (
    LEAVES,
    THICKENS,
    THINS,
    absorption,
    consistency,
    difference,
    dose,
    kinds,
    lab,
    mix,
    mix_reflectances,
    reflectance,
    srgb,
    water_added,
)
from calculators.faults import FaultsError
from calculators.ingredients import ingredient
from calculators.sources import table
from calculators.units import COMMON_PRACTICE, FROM_MEMORY, q, unit

few = settings(max_examples=50, deadline=None)
steps = st.tuples(*[st.integers(0, 255)] * 3)
anywhere = st.tuples(st.floats(0, 100), st.floats(-100, 100), st.floats(-100, 100))


def written(rgb):
    return "#{:02x}{:02x}{:02x}".format(*rgb)


# --- kinds ---


def test_every_effect_is_common_practice_and_a_direction_only():
    for kind in kinds().values():
        assert kind.effect in (THINS, LEAVES, THICKENS)
        assert kind.provenance == COMMON_PRACTICE
        assert all((kind.carrier, kind.why, kind.how, kind.watch))
        assert consistency(kind.name) == kind.effect
    assert len(kinds()) == 9


def test_every_kind_has_a_dose_of_the_bench_and_its_water_has_one_home():
    rows = table("colour_bench")
    off_the_shelf = {name for name, kind in kinds().items() if not kind.ingredient}
    doses = {f"dose, {kind}" for kind in kinds()}
    assert set(rows) == doses | {f"water, {kind}" for kind in off_the_shelf}
    for name, row in rows.items():
        assert row.low <= row.value <= row.high
        assert row.provenance == (COMMON_PRACTICE if name in doses else FROM_MEMORY)
        unit(row.unit)


def test_the_water_of_a_colourant_is_that_of_its_ingredient():
    """Cocoa powder, NDB 19165: 3.00 % water."""
    assert water_added("cocoa powder", q(100, "g")).typical.m == pytest.approx(3.00)
    for name, kind in kinds().items():
        if kind.ingredient:
            water = ingredient(kind.ingredient).share("water")
            assert water_added(name, q(100, "g")).high.m == pytest.approx(water.high.m)


def test_the_bench_table_has_not_lost_a_value():
    values = [row.value for row in table("colour_bench").values()]
    doses = 6 + 2 + 0.6 + 4 + 5 + 15 + 3 + 50 + 3
    water = 35
    assert sum(values) == pytest.approx(doses + water)


@pytest.mark.parametrize("kind", kinds())
def test_a_dose_grows_with_the_glaze_and_says_that_the_trade_vouches(kind):
    one, two = dose(kind, q(1, "kg")), dose(kind, q(2000, "g"))
    assert one.provenance == COMMON_PRACTICE
    for name in ("low", "typical", "high"):
        assert getattr(two, name).m == pytest.approx(2 * getattr(one, name).m)


@pytest.mark.parametrize("kind", kinds())
def test_no_colourant_brings_more_water_than_it_weighs(kind):
    band = water_added(kind, q(10, "g"))
    assert q(0, "g") <= band.low <= band.high <= q(10, "g")


def test_what_thins_brings_more_water_than_what_does_not():
    for thin in (k for k in kinds() if consistency(k) == THINS):
        for other in (k for k in kinds() if consistency(k) != THINS):
            high = water_added(other, q(10, "g")).high
            assert water_added(thin, q(10, "g")).low > high


def test_the_usual_dose_of_titanium_white_stays_under_the_limit_of_the_us():
    # 21 CFR 73.575: at most 1 % by weight
    assert dose("titanium white", q(1, "kg")).high <= q(10, "g")


def test_an_unknown_kind_gets_the_list():
    with pytest.raises(FaultsError, match="It must be one of: water-based liquid, gel"):
        dose("felt-tip", q(1, "kg"))


# --- screen colours ---


@few
@given(steps)
def test_a_screen_colour_comes_back_from_its_coordinates(rgb):
    assert srgb(lab(rgb)) == written(rgb)


@few
@given(st.integers(0, 255))
def test_a_grey_has_no_chroma(step):
    assert lab((step, step, step)).chroma < 0.02


def test_white_is_the_lightest_and_black_the_darkest():
    assert lab("#ffffff").lightness == pytest.approx(100, abs=1e-3)
    assert lab("#000000").lightness == pytest.approx(0, abs=1e-3)


@pytest.mark.parametrize(
    ("given", "what"),
    [
        ("b5651d", "is not a colour that can be read"),
        ("#b5651", "is not a colour that can be read"),
        ("#b5651g", "is not a colour that can be read"),
        ((1, 2), "is not three numbers"),
        ((1, 2, True), "is not three numbers"),
        ((1, 2, float("nan")), "is not three numbers"),
        ((1, 2, 256), "has a number out of range"),
        (12, "is not a colour such as"),
    ],
)
def test_a_colour_that_can_t_be_read_is_refused(given, what):
    with pytest.raises(FaultsError, match=what):
        lab(given)


def test_a_colour_beyond_the_screen_is_refused():
    with pytest.raises(FaultsError, match="no screen of this kind shows"):
        srgb((50, 120, 0))


# --- differences ---


@few
@given(anywhere, anywhere)
def test_a_difference_is_the_same_both_ways_and_never_below_nought(one, two):
    assert difference(one, two).m == pytest.approx(difference(two, one).m, abs=1e-9)
    assert difference(one, two).m >= 0
    assert difference(one, one).m == 0


@few
@given(anywhere, anywhere)
def test_an_independent_library_agrees_on_any_two_colours(one, two):
    # Between opposite hues the formula itself jumps (Sharma 2005), by what is rounded first.
    turn = math.atan2(one[2], one[1]) - math.atan2(two[2], two[1])
    assume(abs(abs(turn) - math.pi) > 1e-6)
    theirs = reference.delta_E(one, two, method="CIE 2000")
    assert difference(one, two).m == pytest.approx(theirs, abs=1e-6)


def test_a_pair_is_checked_on_both_sides():
    with pytest.raises(FaultsError, match="difference, second: is not three numbers"):
        difference((50, 0, 0), (50, 0, "0"))


# --- mixing ---


@few
@given(st.floats(0.01, 1))
def test_the_ratio_and_the_reflectance_are_inverse(r):
    assert reflectance(absorption(r)).m == pytest.approx(r)


def test_a_share_may_be_given_in_percent():
    assert absorption(q(20, "percent")).m == pytest.approx(1.6)


@few
@given(steps, st.floats(1, 500), st.floats(1, 500))
def test_mixing_a_colour_with_itself_gives_it_back(rgb, a, b):
    light = tuple(max(step, 12) for step in rgb)  # above the darkest tone of a kitchen
    mixed = mix([(light, q(a, "g")), (light, q(b, "g"))])
    assert difference(lab(mixed), lab(light)).m < 0.8


@few
@given(st.floats(0.05, 1), st.floats(0.05, 1), st.floats(1, 99))
def test_a_mixture_lies_between_its_parts_and_below_their_mean(r1, r2, share):
    parts = [(r1, q(share, "g")), (r2, q(100 - share, "g"))]
    mixed = mix_reflectances(parts).m
    mean = (r1 * share + r2 * (100 - share)) / 100
    assert min(r1, r2) - 1e-9 <= mixed <= mean + 1e-9


def test_masses_and_shares_of_the_same_mixture_agree():
    masses = mix([("#f4efe4", q(0.6, "kg")), ("#c1272d", q(300, "g"))])
    shares = mix([("#f4efe4", 2), ("#c1272d", 1)])
    assert masses == shares


def test_everything_wrong_with_a_mixture_is_told_at_once():
    with pytest.raises(FaultsError) as told:
        mix([("#ffffff", q(1, "g")), "#000000", ("#000000", "much"), ("#111111", 0.5)])
    assert [f.problem for f in told.value.faults] == [
        "is not a pair",
        "does not say how much",
        "mixes masses and shares",
    ]
    with pytest.raises(FaultsError, match="holds nothing"):
        mix([])


def test_every_colour_of_a_mixture_that_cannot_be_read_is_told_with_its_row():
    with pytest.raises(FaultsError) as caught:
        mix([("red", q(1, "g")), ("#ffffff", q(1, "g")), ((0, 0, 999), q(1, "g"))])
    assert [fault.where for fault in caught.value.faults] == [
        "parts, row 1, colour",
        "parts, row 3, colour",
    ]
