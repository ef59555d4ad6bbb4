import math
from itertools import pairwise

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from calculators.colour import difference, lab
from calculators.faults import FaultsError
from calculators.marbling import (
    Pattern,
    Tine,
    Vortex,
    Wave,
    dominance,
    dominant_share,
    layers,
    left_over_colour,
    pattern,
    polygon_area,
    pour_order,
    split,
    split_with_cling,
)
from calculators.sources import table
from calculators.units import COMMON_PRACTICE, q

few = settings(max_examples=50, deadline=None)
SHARES = {"white": q(50, "percent"), "red": 0.25, "blue": q(0.25)}
STROKES = [
    Tine(pull=0.6),
    Tine(0.3, 0, 60, -0.4, 0.05),
    Wave(30),
    Vortex(0.2, -0.1, 200),
]

weights = st.lists(st.integers(1, 50), min_size=2, max_size=6)


def shares_of(parts):
    return {f"colour {i}": part / sum(parts) for i, part in enumerate(parts)}


# --- sharing out ---


def test_a_half_and_two_quarters_of_1200_g_are_600_300_and_300_g():
    assert {n: m.to("g").m for n, m in split(q(1.2, "kg"), SHARES).items()} == {
        "white": pytest.approx(600),
        "red": pytest.approx(300),
        "blue": pytest.approx(300),
    }


@few
@given(weights, st.floats(1, 50_000))
def test_the_masses_sum_to_the_total(parts, total):
    masses = split(q(total, "g"), shares_of(parts))
    assert sum(m.m for m in masses.values()) == pytest.approx(total)


@few
@given(weights, st.floats(1, 5000), st.floats(0, 50))
def test_after_what_clings_each_jug_still_gives_its_share(parts, total, cling):
    weighed = split_with_cling(q(total, "g"), shares_of(parts), q(cling, "g"))
    poured = {name: m.m - cling for name, m in weighed.items()}
    assert sum(poured.values()) == pytest.approx(total)
    for name, share in shares_of(parts).items():
        assert poured[name] == pytest.approx(share * total, abs=1e-6)


def test_another_unit_gives_the_same_masses():
    grams = split_with_cling(q(1200, "g"), SHARES, q(12, "g"))
    kilos = split_with_cling(q(1.2, "kg"), SHARES, q(0.012, "kg"))
    assert [m.m for m in grams.values()] == pytest.approx([m.m for m in kilos.values()])


def test_shares_that_do_not_make_a_whole_are_refused_with_their_sum():
    with pytest.raises(FaultsError, match=r"95 % together\)\. They must sum to 100 %"):
        split(q(1, "kg"), {"white": 0.5, "red": 0.25, "blue": 0.2})
    with pytest.raises(FaultsError, match="Take the surplus from the largest"):
        split(q(1, "kg"), {"white": 0.6, "red": 0.25, "blue": 0.25})


def test_every_share_that_is_none_is_told():
    with pytest.raises(FaultsError) as told:
        split(q(1, "kg"), {"white": 50, "red": q(25, "g"), "blue": -0.1, "black": True})
    assert len(told.value.faults) == 4
    assert 'Write a quarter as 0.25 or q(25, "percent")' in str(told.value)
    with pytest.raises(FaultsError, match="is empty"):
        split(q(1, "kg"), {})


# --- dominance and order ---


def test_half_is_enough_and_two_fifths_is_not():
    assert dominance(SHARES).enough
    assert dominance(SHARES).colour == "white"
    less = dominance({"red": 0.3, "white": 0.4, "blue": 0.3})
    assert (less.colour, less.enough) == ("white", False)
    assert "run together" in str(less)


def test_the_rule_of_a_half_is_common_practice():
    row = table("marbling")["dominant share"]
    assert dominant_share() == q(50, "percent")
    assert row.provenance == COMMON_PRACTICE


@few
@given(st.lists(st.sampled_from(["red", "blue", "gold"]), min_size=1, max_size=8))
def test_two_colours_never_touch_in_the_jug(colours):
    order = pour_order("white", colours)
    assert order[0] == order[-1] == "white"
    assert [name for name in order if name != "white"] == colours
    assert all("white" in pair for pair in pairwise(order))


def test_the_main_colour_among_the_others_is_refused():
    with pytest.raises(FaultsError, match="row 2: is not a colour beside the main one"):
        pour_order("white", ["red", "white"])
    with pytest.raises(FaultsError, match="is empty"):
        pour_order("white", [])


@few
@given(weights, st.integers(1, 6))
def test_the_layers_hold_what_the_jugs_hold(parts, rounds):
    shares = shares_of(parts)
    sums = dict.fromkeys(shares, 0.0)
    for name, mass in layers(q(1, "kg"), shares, "colour 0", rounds):
        sums[name] += mass.m
    for name, mass in split(q(1, "kg"), shares).items():
        assert sums[name] == pytest.approx(mass.m)


def test_a_main_colour_without_a_share_and_half_a_round_are_refused():
    with pytest.raises(FaultsError, match="has no share"):
        layers(q(1, "kg"), SHARES, "gold")
    with pytest.raises(FaultsError, match="is not a whole number"):
        layers(q(1, "kg"), SHARES, "white", 1.5)


# --- left-overs ---

JUGS = {"yellow": "#f2c230", "blue": "#2757a5", "red": "#c1272d", "white": "#f4efe4"}


def test_bright_left_overs_go_grey_together():
    left = {name: q(150, "g") for name in ("yellow", "blue", "red")}
    mixed = lab(left_over_colour(left, JUGS))
    bright = [lab(JUGS[name]) for name in left]
    assert mixed.chroma < 0.5 * min(one.chroma for one in bright)
    assert mixed.lightness < sum(one.lightness for one in bright) / 3


def test_a_single_left_over_keeps_its_colour():
    kept = left_over_colour({"yellow": q(150, "g")}, JUGS)
    assert difference(lab(kept), lab(JUGS["yellow"])).m < 0.8


def test_a_left_over_without_a_colour_is_refused():
    with pytest.raises(FaultsError, match=r"\(given: gold\)"):
        left_over_colour({"gold": q(1, "g"), "red": q(1, "g")}, JUGS)


# --- patterns ---


def seen_by_counting(marble: Pattern, step: float) -> dict[str, float]:
    """Share of each colour by painting the patches in order and counting squares.

    Independent of the areas: a line of squares at a time, the patches' edges crossed.
    """
    counts: dict[str, int] = {}
    ys = [y for patch in marble.patches for _, y in patch.outline]
    y = min(ys) + step / 2
    while y < max(ys):
        line: dict[int, str] = {}
        for patch in marble.patches:
            crossings = sorted(
                x0 + (y - y0) * (x1 - x0) / (y1 - y0)
                for (x0, y0), (x1, y1) in pairwise([*patch.outline, patch.outline[0]])
                if (y0 > y) != (y1 > y)
            )
            for left, right in zip(crossings[::2], crossings[1::2], strict=True):
                for column in range(math.ceil(left / step), math.ceil(right / step)):
                    line[column] = patch.colour
        for name in line.values():
            counts[name] = counts.get(name, 0) + 1
        y += step
    total = sum(counts.values())
    return {name: 100 * count / total for name, count in counts.items()}


@pytest.mark.parametrize("strokes", [[], STROKES], ids=["drops", "strokes"])
@pytest.mark.parametrize("seed", [1, "Room 4"])
def test_squares_counted_in_the_painted_pattern_give_the_shares(strokes, seed):
    marble = pattern(SHARES, "white", strokes, seed)
    counted = seen_by_counting(marble, 0.01)
    assert counted["white"] == pytest.approx(50, abs=1)
    assert counted["red"] == pytest.approx(25, abs=1)
    assert counted["blue"] == pytest.approx(25, abs=1)


@settings(max_examples=25, deadline=None)
@given(
    st.lists(st.integers(5, 50), min_size=2, max_size=5),
    st.integers(0, 10_000),
    st.floats(-1, 1),
    st.floats(-360, 360),
)
def test_a_pattern_keeps_the_shares_whatever_the_hand_does(parts, seed, pull, turn):
    shares = shares_of(parts)
    strokes = [Tine(0.1, 0, 70, pull), Vortex(0.2, 0.3, turn), Wave(10, 0.05)]
    measured = pattern(shares, "colour 0", strokes, seed).shares()
    for name, share in shares.items():
        assert measured[name].m == pytest.approx(100 * share, abs=1)


@settings(max_examples=25, deadline=None)
@given(st.floats(-2, 2), st.floats(-360, 360), st.floats(0.05, 1))
def test_each_stroke_keeps_a_small_area(x, turn, reach):
    # Twice the area of a small triangle, before and after, clear of the tine's crease.
    h = 1e-5
    corners = [(x, 0.3), (x + h, 0.3), (x, 0.3 + h)]
    for stroke in (
        Tine(0, -0.9, 0, 0.5, reach),
        Wave(turn, 0.2, reach + 0.2),
        Vortex(3.1, 0, turn, reach),
    ):
        moved = [stroke.move(corner) for corner in corners]
        assert polygon_area(moved) == pytest.approx(h * h / 2, rel=2e-2)


def test_a_drop_makes_room_for_exactly_itself():
    # Concentric drops of a half and a half: the edge of the second is at sqrt(1/2).
    marble = pattern({"white": 2 / 3, "red": 1 / 3}, "white", rounds=1)
    areas = [polygon_area(patch.outline) / math.pi for patch in marble.patches]
    assert areas == pytest.approx([1, 2 / 3, 1 / 3], rel=2e-3)


def test_patches_lie_on_patches_that_were_poured_before():
    for place, patch in enumerate(pattern(SHARES, "white", STROKES).patches):
        assert patch.on is None if place == 0 else patch.on < place


COMB = [Tine(x=x, angle=a, pull=0.8, reach=0.04) for a in (90, 0) for x in (-0.5, 0, 0.5)]
MANY = {
    "a fine shake": [Wave(size=1, length=0.05)],
    "a narrow tine": [Tine(pull=10, reach=0.05)],
    "a needle": [Tine(pull=3, reach=0.01)],
    "a comb both ways": COMB,
    "to and fro, four times": [Tine(angle=a, pull=2, reach=0.08) for a in (90, 0)] * 4,
    "all tools in turn": [Tine(pull=1), Wave(40, 0.1, 0.4), Vortex(0.2, 0, 300, 0.2)] * 3,
}


@pytest.mark.parametrize("strokes", MANY.values(), ids=MANY)
def test_many_and_fine_strokes_keep_the_shares_as_liouville_says(strokes):
    """No stroke changes an area (Lu and others 2012); only the drawing could."""
    shares = {"white": 0.5, "red": 0.2, "blue": 0.3}
    measured = pattern(shares, "white", strokes).shares()
    for name, share in shares.items():
        assert measured[name].m == pytest.approx(100 * share, abs=0.2), name


def test_a_stroke_too_fine_to_be_drawn_is_refused_by_its_row_before_it_takes_long():
    with pytest.raises(FaultsError, match=r"row 2: stirs it finer.*at most 200000 points"):
        pattern(SHARES, "white", [Tine(), Wave(size=5, length=0.01)])


def test_the_same_seed_gives_the_same_pattern_and_another_seed_another():
    assert pattern(SHARES, "white", STROKES, 7) == pattern(SHARES, "white", STROKES, 7)
    assert pattern(SHARES, "white", STROKES, 7) != pattern(SHARES, "white", STROKES, 8)


def test_a_tine_pulls_along_its_line_and_half_as_far_at_its_reach():
    tine = Tine(0, 0, 90, 0.4, 0.1)
    assert tine.move((0, 0)) == pytest.approx((0, 0.4))
    assert tine.move((0.1, 0)) == pytest.approx((0.1, 0.2))
    assert tine.move((-0.2, 0)) == pytest.approx((-0.2, 0.1))


def test_a_vortex_turns_its_reach_half_as_far():
    assert Vortex(0, 0, 180, 0.5).move((0.5, 0)) == pytest.approx((0, 0.5))


def test_strokes_are_checked_when_they_are_made_and_when_they_are_used():
    with pytest.raises(FaultsError) as told:
        Tine(pull=float("nan"), reach=0)
    assert len(told.value.faults) == 2
    with pytest.raises(FaultsError, match="It must be a Tine, a Wave or a Vortex"):
        pattern(SHARES, "white", ["swirl"])


def test_left_overs_whose_colours_or_masses_cannot_be_read_are_told_by_their_names():
    jugs = {"sky": "blue", "snow": "#ffffff", "sun": "yellow"}
    with pytest.raises(FaultsError) as caught:
        left_over_colour(dict.fromkeys(jugs, q(10, "g")), jugs)
    assert [fault.where for fault in caught.value.faults] == [
        "left_over_colour, colours, sky",
        "left_over_colour, colours, sun",
    ]
    with pytest.raises(FaultsError, match="left_over_colour, left, snow: does not say how"):
        left_over_colour({"snow": q(-1, "g")}, jugs)
