"""Hearts, eggs, loaves and cakes known by their area, from the scheme to the card."""

import pytest

from calculators.faults import FaultsError
from calculators.kitchen import Cake
from calculators.units import q
from course.demo import FOLDER
from course.kit.pictures import pour
from course.practical.amounts import batch_for
from course.practical.timetable import shelf_of
from course.scheme.reading import read_scheme
from course.site.contents import _cake
from exercises.craft.method import method
from exercises.observing.rows import bands

TEXT = (FOLDER / "scheme.toml").read_text(encoding="utf-8")
HEAD, TAIL = TEXT.split("[[cakes]]")[0], "# Three jugs" + TEXT.split("# Three jugs")[1]
CAKES = """
[[cakes]]
shape = "heart"
area = "412 cm²"
count = 4

[[cakes]]
shape = "heart"
width = "18 cm"
height = "4 cm"
count = 2

[[cakes]]
shape = "loaf"
length = "20 cm"
width = "8 cm"
height = "6 cm"
corner = "2 cm"
count = 2

[[cakes]]
shape = "egg"
length = "12 cm"
width = "8 cm"
count = 24

[[cakes]]
shape = "other"
area = "0.06 m²"
count = 1

"""


def scheme_of(tmp_path, cakes=CAKES):
    path = tmp_path / "scheme.toml"
    path.write_text(HEAD + cakes + TAIL, encoding="utf-8")
    return read_scheme(path)


def test_a_heart_of_412_cm2_takes_the_glaze_of_that_area(tmp_path):
    scheme = scheme_of(tmp_path)
    found = {band.cake: band for band in bands(scheme.as_kitchen())}
    # 412 cm² at 0.22 g/cm² keep 90.6 g; 15 % either way.
    assert (found["heart 412 cm²"].low, found["heart 412 cm²"].high) == (77, 105)
    # Half runs off: 181.28 g are poured over one, with 10 % spare and four jugs' clinging.
    more, less = batch_for(scheme, (2, 0, 0, 0, 0)), batch_for(scheme, (1, 0, 0, 0, 0))
    assert (more - less).m_as("g") == pytest.approx(412 * 0.22 / 0.5 * 1.1)


def test_each_shape_has_a_stroke_a_shelf_and_a_name(tmp_path):
    scheme = scheme_of(tmp_path)
    for cake in scheme.cakes:
        assert method().strokes[cake.shape].stroke
        assert shelf_of(cake).m_as("cm**2") > 0
        assert _cake(cake)["name"]
    assert shelf_of(scheme.cakes[0]) == q(412, "cm**2")
    assert _cake(scheme.cakes[0])["sizes"] == "412 cm² to glaze"


@pytest.mark.parametrize(
    ("shape", "sizes", "shelf"),
    [
        ("heart", {"width": 14, "height": 3.8}, 14 * 14),  # as deep as wide, nearly
        ("log", {"diameter": 8, "length": 25}, 8 * 25),
        ("slab", {"length": 30, "width": 4, "height": 6}, 30 * 4),
        ("ring", {"outer": 16, "inner": 5, "height": 4}, 16 * 16),
        ("egg", {"length": 12, "width": 8}, 12 * 8),
    ],
)
def test_a_cake_takes_the_shelf_of_its_foot_and_never_of_its_wall(shape, sizes, shelf):
    cake = Cake(shape, {name: q(size, "cm") for name, size in sizes.items()}, 1)
    assert shelf_of(cake).m_as("cm**2") == pytest.approx(shelf)


def test_a_lesson_is_told_of_the_area(tmp_path):
    from calculators.kitchen import kitchen_of
    from course.making.blocks import setting_of

    kitchen = kitchen_of(**setting_of(scheme_of(tmp_path))["kitchen"])
    assert kitchen.cakes[0].sizes["area"].m_as("cm**2") == pytest.approx(412)


@pytest.mark.parametrize("shapes", [["heart"], ["loaf", "egg", "other"], ["heart", "dome"]])
def test_the_strokes_of_any_kitchen_can_be_drawn(shapes):
    assert pour.strokes(shapes)


@pytest.mark.parametrize(
    ("old", "new", "words"),
    [
        ('area = "412 cm²"', 'area = "412 cm"', "area"),
        ('corner = "2 cm"', 'corner = "5 cm"', "is rounder than the cake is wide"),
        ('length = "12 cm"\nwidth = "8 cm"', 'length = "7 cm"\nwidth = "8 cm"', "is shorter"),
        ('shape = "other"\narea = "0.06 m²"', 'shape = "other"', "other"),
    ],
)
def test_a_fault_of_a_cake_has_its_line(tmp_path, old, new, words):
    with pytest.raises(FaultsError) as caught:
        scheme_of(tmp_path, CAKES.replace(old, new))
    assert words in str(caught.value)
    assert all("scheme.toml:" in fault.where for fault in caught.value.faults)


@pytest.mark.slow
def test_every_lesson_runs_for_these_cakes(tmp_path):
    from course.making import blocks, lessons, running

    scheme = scheme_of(tmp_path)
    chosen = lessons.lessons_of(scheme.modules, None)
    ran = list(running.run_all(chosen, blocks.kitchen_cell(scheme), folder=tmp_path / "runs"))
    assert {one.lesson.slug for one in ran} == {one.slug for one in chosen}
