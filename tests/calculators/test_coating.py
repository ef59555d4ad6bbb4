import math
from dataclasses import fields

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from calculators.coating import (
    SHAPES,
    Cylinder,
    Dome,
    Egg,
    Heart,
    Loaf,
    Ring,
    Savarin,
    Shape,
    Slab,
    Torus,
    YuleLog,
    area,
    coat,
    coat_band,
    glaze_needed,
    reuse,
    shape,
    thickness,
    volume,
)
from calculators.faults import FaultsError
from calculators.units import COMMON_PRACTICE, FROM_MEMORY, q

CAKE = Cylinder(q(18, "cm"), q(4.5, "cm"))
lengths = st.floats(0.5, 60)
few = settings(max_examples=50, deadline=None)


def cm(value):
    return q(value, "cm")


def near(quantity, value, unit_name, rel=1e-9):
    assert quantity.to(unit_name).m == pytest.approx(value, rel=rel)


# --- shapes ---


def test_a_slab_counts_its_top_and_four_sides():
    near(area(Slab(cm(20), cm(10), cm(4))), 200 + 2 * 80 + 2 * 40, "cm**2")


def test_the_inner_wall_of_a_ring_is_glazed():
    without = math.pi * (9**2 - 3**2) + math.pi * 18 * 5
    near(area(Ring(cm(18), cm(6), cm(5))) - q(without, "cm**2"), 30 * math.pi, "cm**2")


def test_a_savarin_is_half_a_torus():
    near(area(Savarin(cm(17), cm(7))) * 2, area(Torus(cm(17), cm(7))).m, "cm**2")
    near(volume(Savarin(cm(17), cm(7))) * 2, volume(Torus(cm(17), cm(7))).m, "cm**3")


@few
@given(lengths, lengths)
def test_a_ring_and_its_hole_make_a_cylinder(d, h):
    ring, plug = Ring(cm(2 * d), cm(d), cm(h)), Cylinder(cm(d), cm(h))
    whole = Cylinder(cm(2 * d), cm(h))
    near(volume(ring) + volume(plug), volume(whole).m, "cm**3")
    # The wall of the hole counts twice: once for the ring, once for the plug.
    near(area(ring) + area(plug) - area(whole), 2 * math.pi * d * h, "cm**2", 1e-6)


@few
@given(lengths, lengths, lengths)
def test_twice_the_size_takes_four_times_the_glaze_and_eight_times_the_cream(a, b, c):
    d = max(a, b) + 0.1
    small = min(a, b)
    for one, two in (
        (Cylinder(cm(a), cm(c)), Cylinder(cm(2 * a), cm(2 * c))),
        (Ring(cm(d), cm(small), cm(c)), Ring(cm(2 * d), cm(2 * small), cm(2 * c))),
        (Dome(cm(a)), Dome(cm(2 * a))),
        (YuleLog(cm(a), cm(b)), YuleLog(cm(2 * a), cm(2 * b))),
        (Slab(cm(a), cm(b), cm(c)), Slab(cm(2 * a), cm(2 * b), cm(2 * c))),
        (Savarin(cm(d), cm(small)), Savarin(cm(2 * d), cm(2 * small))),
        (Torus(cm(d), cm(small)), Torus(cm(2 * d), cm(2 * small))),
    ):
        near(area(two), 4 * area(one).m, "cm**2")
        near(volume(two), 8 * volume(one).m, "cm**3")


def test_another_unit_gives_the_same_area():
    near(area(Cylinder(q(180, "mm"), q(0.045, "m"))), area(CAKE).m, "cm**2")


@few
@given(lengths, lengths)
def test_a_volume_is_its_area_swept_out(d, h):
    # A layer of thickness e on the wall and top holds area x e, for small e.
    e = 1e-6
    thicker = Cylinder(cm(d + 2 * e), cm(h + e))
    grown = volume(thicker).m - volume(Cylinder(cm(d), cm(h))).m
    assert grown / e == pytest.approx(area(Cylinder(cm(d), cm(h))).m, rel=1e-2)


def test_all_bad_sizes_are_told_at_once():
    with pytest.raises(FaultsError) as told:
        Ring(18, q(6, "g"), cm(-5))
    assert len(told.value.faults) == 3
    assert "Ring, outer: is a bare number (given: 18)" in str(told.value)


def test_a_hole_as_wide_as_the_cake_is_refused():
    for kind in (lambda: Ring(cm(6), cm(6), cm(5)), lambda: Savarin(cm(6), cm(7))):
        with pytest.raises(FaultsError, match="is not smaller than the cake"):
            kind()


@pytest.mark.parametrize("name", SHAPES)
def test_every_shape_says_what_it_covers_and_can_be_made_by_name(name):
    names = [size.name for size in fields(SHAPES[name])]
    sizes = dict(zip(names, (cm(9), cm(4), cm(3), cm(1)), strict=False))
    made = shape(name, sizes)
    assert isinstance(made, Shape)
    assert made.covers
    assert area(made).m > 0
    assert volume(made).m > 0


def outline_of_a_heart(side, steps=20_000):
    """Points of a square on its tip with a half circle on its two upper sides."""
    half = side / math.sqrt(2)
    points = [(-half, 0.0), (0.0, -half), (half, 0.0)]
    for x, y, begins in ((half / 2, half / 2, -math.pi / 4), (-half / 2, half / 2, math.pi / 4)):
        points += [
            (x + side / 2 * math.cos(a), y + side / 2 * math.sin(a))
            for a in (begins + math.pi * n / steps for n in range(steps + 1))
        ]
    return points


def test_a_heart_has_the_area_and_edge_of_its_outline():
    points = outline_of_a_heart(10.0)
    width = max(x for x, _ in points) - min(x for x, _ in points)
    pairs = list(zip(points, points[1:] + points[:1], strict=True))
    plan = abs(sum(x0 * y1 - x1 * y0 for (x0, y0), (x1, y1) in pairs)) / 2
    edge = sum(math.dist(one, other) for one, other in pairs)
    near(area(Heart(cm(width), cm(4))), plan + 4 * edge, "cm**2", 1e-6)
    near(volume(Heart(cm(width), cm(4))), 4 * plan, "cm**3", 1e-6)


def test_an_egg_has_the_face_of_half_an_ellipsoid():
    # A curve y(x) turned about its length, half of it: pi * integral of y * sqrt(1 + y'²).
    a, b, steps = 7.0, 4.0, 200_000
    total = 0.0
    for n in range(steps):
        angle = math.pi * (n + 0.5) / steps
        along = math.hypot(a * math.sin(angle), b * math.cos(angle))
        total += math.pi * b * math.sin(angle) * along * math.pi / steps
    near(area(Egg(cm(2 * a), cm(2 * b))), total, "cm**2", 1e-6)
    near(volume(Egg(cm(2 * a), cm(2 * b))), 2 / 3 * math.pi * a * b * b, "cm**3")


def test_an_egg_as_long_as_wide_is_a_dome():
    near(area(Egg(cm(8), cm(8))), area(Dome(cm(8))).m, "cm**2", 1e-6)
    near(volume(Egg(cm(8), cm(8))), volume(Dome(cm(8))).m, "cm**3")


def test_a_loaf_lies_between_a_slab_and_a_round_cake():
    near(area(Loaf(cm(12), cm(12), cm(4), cm(6))), area(Cylinder(cm(12), cm(4))).m, "cm**2")
    sharp = area(Loaf(cm(20), cm(8), cm(5), cm(1e-6)))
    near(sharp, area(Slab(cm(20), cm(8), cm(5))).m, "cm**2", 1e-5)


def test_a_cake_known_by_its_area_has_that_area_and_no_volume():
    near(area(shape("heart", {"area": q(412, "cm**2")})), 412, "cm**2")
    near(area(shape("other", {"area": q(0.05, "m**2")})), 500, "cm**2")
    with pytest.raises(FaultsError, match="known by its area alone"):
        volume(shape("other", {"area": q(412, "cm**2")}))


@pytest.mark.parametrize(
    ("make", "words"),
    [
        (lambda: Loaf(cm(20), cm(8), cm(5), cm(5)), "rounder than the cake is wide"),
        (lambda: Egg(cm(5), cm(8)), "shorter than the egg is wide"),
        (lambda: shape("other", {"area": q(-1, "cm**2")}), "area"),
        (lambda: shape("other", {"width": cm(5)}), "is not a known shape"),
    ],
)
def test_sizes_that_no_cake_has_are_refused(make, words):
    with pytest.raises(FaultsError) as told:
        make()
    assert words in str(told.value)


def test_a_shape_by_name_tells_missing_and_strange_sizes_together():
    with pytest.raises(FaultsError) as told:
        shape("ring", {"outer": cm(18), "width": cm(3)})
    text = str(told.value)
    assert "ring, inner: is missing" in text
    assert "ring, height: is missing" in text
    assert "ring, width: is not a size of this shape" in text


def test_an_unknown_shape_gets_the_list_of_shapes():
    with pytest.raises(FaultsError, match="It must be one of: cylinder, ring, dome"):
        shape("pyramid", {})


# --- coat and jug ---


def test_the_coat_is_what_the_scale_says_over_the_area():
    near(coat(q(800, "g"), q(900, "g"), CAKE), 100 / area(CAKE).m, "g/cm**2")
    near(coat(q(0.8, "kg"), q(900, "g"), CAKE), 100 / area(CAKE).m, "g/cm**2")


def test_a_cake_that_lost_mass_is_refused():
    with pytest.raises(FaultsError, match=r"after: is less than before \(given: 700 g\)"):
        coat(q(800, "g"), q(700, "g"), CAKE)


def test_without_a_weighing_the_answer_is_a_band_from_memory():
    needed = glaze_needed([(CAKE, 1)])
    assert needed.low < needed.typical < needed.high
    assert needed.provenance == FROM_MEMORY
    # 0.15 to 0.30 g/cm² on 509 cm², poured 1.5 to 2.5 times
    near(needed.low, 509 * 0.15 * 1.5, "g", 0.02)
    near(needed.high, 509 * 0.30 * 2.5, "g", 0.02)


def test_the_usual_coat_is_one_to_three_millimetres():
    band = coat_band()
    near(band.low, 0.15, "g/cm**2")
    near(band.high, 0.30, "g/cm**2")
    # common practice: 1.2 to 2.4 mm, printed beside 0.15 to 0.30 g/cm²
    near(thickness(band.low, q(1250, "kg/m**3")), 1.2, "mm", 1e-6)
    near(thickness(band.high, q(1250, "kg/m**3")), 2.4, "mm", 1e-6)


def test_more_run_off_needs_more_glaze():
    needed = [
        glaze_needed([(CAKE, 1)], q(0.2, "g/cm**2"), q(r, "percent")).typical.m
        for r in (0, 20, 50, 75)
    ]
    assert needed == sorted(needed)
    assert needed[2] == pytest.approx(2 * needed[0])
    assert needed[3] == pytest.approx(4 * needed[0])


def test_every_bad_row_of_cakes_is_told():
    with pytest.raises(FaultsError) as told:
        glaze_needed([(CAKE, 0), CAKE, (CAKE, 2.5), (CAKE, 1)])
    assert [f.where for f in told.value.faults] == [
        "cakes, row 1",
        "cakes, row 2",
        "cakes, row 3",
    ]
    with pytest.raises(FaultsError, match="is empty"):
        glaze_needed([])


# --- films ---


# --- the table ---


def test_the_answers_come_in_kitchen_units():
    assert str(area(CAKE).units) == "centimetre ** 2"
    assert str(volume(CAKE).units) == "centimetre ** 3"
    assert str(glaze_needed([(CAKE, 1)]).low.units) == "gram"


def test_what_is_known_of_reuse_is_practice_and_has_no_numbers():
    assert len(reuse()) == 3
    for row in reuse():
        assert row.provenance == COMMON_PRACTICE
        assert row.value is None
        assert row.note
