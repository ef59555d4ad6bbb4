"""Every picture of the lessons, on a page and on a phone: words large, apart and whole."""

from __future__ import annotations

import ast
import io
from contextlib import redirect_stdout
from pathlib import Path

import pytest

from calculators.units import q
from course.demo import FOLDER
from course.kit import figures
from course.kit.pictures import syrup
from course.kit.results import PHONE, Picture
from course.lessons.modules import modules
from course.making import blocks, lessons, running
from course.scheme.reading import read_scheme
from course.scheme.wizard import write
from tests.course.kit.legible import hard_to_read, watched

DEMO = FOLDER / "scheme.toml"
SLUGS = [slug for module in modules().values() for slug in module.lessons]


def drawn(slug: str, path: Path = DEMO) -> tuple[list[Picture], list[str]]:
    """Return a lesson's pictures for a kitchen, and what is hard to read in them."""
    scheme = read_scheme(path)
    lesson = next(o for o in lessons.lessons_of(scheme.modules) if o.slug == slug)
    names: dict[str, object] = {}
    shown = []
    with watched() as found, redirect_stdout(io.StringIO()):
        for cell in running.runnable(lesson, blocks.kitchen_cell(scheme)).cells:
            if cell.cell_type != "code" or "values" in cell.metadata.get("tags", ()):
                continue
            *first, last = ast.parse(cell.source).body
            exec(compile(ast.Module(first, []), slug, "exec"), names)
            if not isinstance(last, ast.Expr):
                exec(compile(ast.Module([last], []), slug, "exec"), names)
                continue
            value = eval(compile(ast.Expression(last.value), slug, "eval"), names)
            if isinstance(value, Picture):
                shown.append(value)
    return shown, found


@pytest.mark.parametrize("slug", SLUGS)
def test_the_words_of_each_picture_are_large_apart_and_whole(slug: str) -> None:
    shown, found = drawn(slug)
    assert shown
    assert all(picture.phone for picture in shown)
    assert found == []


ODD = {
    "mountain": {"altitude": "2250 m", "room": "14 °C", "gelatin_held": "bronze"},
    "ship": {"altitude": "250 ft", "room": "84 °F", "gelatin_held": "platinum"},
    "below the sea": {"altitude": "-400 m", "room": "30 °C", "gelatin_held": "titanium"},
}


@pytest.mark.slow
@pytest.mark.parametrize("name", ODD)
def test_they_are_in_odd_kitchens_too(name: str, tmp_path: Path) -> None:
    path = tmp_path / "scheme.toml"
    path.write_text(write(ODD[name]), encoding="utf-8")
    assert [fault for slug in SLUGS for fault in drawn(slug, path)[1]] == []


def test_a_small_word_a_word_on_a_word_and_a_word_cut_off_are_found() -> None:
    with figures.phone(), figures.drawing() as (figure, axes):
        axes.set(xlim=(0, 1), ylim=(0, 1))
        axes.axis("off")
        axes.text(0.5, 0.5, "one")
        axes.text(0.5, 0.5, "other", fontsize=9)
        axes.text(0.9, 0.2, "a long word at the edge").set_in_layout(False)
        figure.draw_without_rendering()
        found = hard_to_read(figure)
    assert found == [
        "phone: 'other' is small",
        "phone: 'a long word at the edge' is cut off",
        "phone: 'one' stands on 'other'",
    ]


def test_a_label_moves_off_a_line_and_off_the_edge() -> None:
    with figures.drawing() as (figure, axes):
        axes.plot([0, 1], [0, 1])
        axes.set(xlim=(0, 1), ylim=(0, 1))
        figures.dot(axes, 0.5, 0.5, "on the line", above=False)
        figures.dot(axes, 0.99, 0.3, "over the edge")
        figures._settled(figure)
        on_the_line, over = axes.texts
        assert on_the_line.xyann == (10, -14)  # right and below: nothing is there
        assert over.get_ha() == "right"
        axes.plot([0, 1], [0.45, 0.45])
        figures._move(on_the_line, [], figure)
        assert on_the_line.get_ha() == "right"
        assert on_the_line.xyann[1] > 0


def test_the_name_of_a_curve_keeps_its_side() -> None:
    with figures.drawing() as (figure, axes):
        figures.curve(axes, [0, 1], [0, 0], "a name", at=0)
        axes.set(xlim=(-0.1, 1), ylim=(-1, 1))
        figures._settled(figure)
        (name,) = axes.texts
        assert name.get_ha() == "left"
        assert name.xyann[1] != 0  # off its own line


def test_one_run_gives_both_drawings_and_a_recording_none_for_the_phone(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    both = syrup.strength_and_heat(q(60, "percent"), q(22, "degC"))
    bundle = both._repr_mimebundle_()
    assert 'class="gb-phone" role="img"' in bundle[PHONE]
    assert "gb-phone" not in bundle["text/html"]
    monkeypatch.setattr("course.kit.results._plain", True)
    plain = syrup.strength_and_heat(q(60, "percent"), q(22, "degC"))
    assert plain._repr_mimebundle_() == {"text/plain": both.text()}


def test_two_drawings_on_one_page_share_no_name() -> None:
    """A browser looks a clip or a mark up by its name, and one of the two is not shown."""
    import re

    both = syrup.strength_and_heat(q(60, "percent"), q(22, "degC"))
    page, phone = (set(re.findall(r' id="([^"]+)"', s)) for s in (both.svg, both.phone))
    assert page
    assert phone
    assert page & phone == set()


def test_numbers_of_words_are_kept_whole_while_those_of_lines_are_shortened() -> None:
    with figures.drawing() as (figure, axes):
        axes.text(0.123456, 0.5, "0.001 g")
        svg = figures.picture(figure, "a number", "See it.").svg
    assert ">0.001 g<" in svg
    assert ".123456" not in svg
