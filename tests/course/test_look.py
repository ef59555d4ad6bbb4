"""The look: its skeleton is a drawing of the craft, its colours have one home, its words hold."""

from __future__ import annotations

import re
from collections.abc import Iterable
from itertools import pairwise, product
from pathlib import Path

import pytest
from bs4 import BeautifulSoup, Tag

from calculators import safety
from course.lessons.modules import modules
from course.making import lessons
from course.site import contents, fonts
from exercises import look
from exercises.questions.registry import bank
from tests.browser.pages import site_of

pytestmark = pytest.mark.xdist_group(__name__)

ROOT = Path(__file__).parents[2]
STYLES = [
    *(ROOT / "exercises" / "static").glob("*.css"),
    *(ROOT / "course" / "site" / "theme" / "glossbook").rglob("*.css"),
    *(ROOT / "exercises" / "templates").glob("*.html"),
    ROOT / "course" / "practical" / "plan.html",
]


@pytest.fixture(scope="module")
def site() -> Path:
    return site_of("student")


@pytest.fixture(scope="module")
def pages(site: Path) -> dict[str, str]:
    found = [*site.glob("*.html"), *(site / "lessons").glob("*.html")]
    found.remove(site / "my-bench.html")  # a sheet by itself, saved and printed like one
    return {path.relative_to(site).as_posix(): path.read_text(encoding="utf-8") for path in found}


@pytest.fixture(scope="module")
def parsed(pages: dict[str, str]) -> dict[str, BeautifulSoup]:
    return {name: BeautifulSoup(text, "html.parser") for name, text in pages.items()}


# --- no frame of bars and columns ----------------------------------------------------


def test_no_page_has_a_title_bar_a_side_list_a_trail_or_a_pair_of_arrows(
    pages: dict[str, str],
) -> None:
    for name, text in pages.items():
        for frame in ("gb-top", "gb-brand", "gb-side", "sidebar", "breadcrumb", "toctree-l1"):
            assert frame not in text, (name, frame)
        assert not re.search(r'rel="(?:prev|next|up)"', text), name
        assert not re.search(r">\s*(?:Previous|Next)\s*<", text), name
        header = text.partition("<main")[0]
        assert "<h1" not in header, name
        assert header.count("<header") == header.count('<header class="rim') == 1, name


def test_the_contents_are_shut_and_hold_the_search_each_lesson_and_the_light(
    pages: dict[str, str],
) -> None:
    slugs = [slug for module in modules().values() for slug in module.lessons]
    for name, text in pages.items():
        sheet = re.search(r'<details class="sheet">(.*?)</details>', text, re.DOTALL)
        assert sheet, name
        for slug in slugs:
            assert f"{slug}.html" in sheet[1] or name.endswith(f"{slug}.html"), (name, slug)
        assert 'role="search"' in sheet[1]
        assert 'id="light"' in sheet[1]


def test_a_lesson_hangs_from_the_run_of_its_part(pages: dict[str, str]) -> None:
    for place, module in enumerate(modules().values()):
        for slug in module.lessons:
            text = pages[f"lessons/{slug}.html"]
            here = re.findall(r'<li class="run here".*?<span class="t">([^<]+)', text)
            assert here == [module.title], slug
            assert f'<path d="M{100 * place} -12' in text, slug


def test_the_foot_is_a_sentence_that_says_what_comes_next(pages: dict[str, str]) -> None:
    order = lessons.lessons_of(list(modules()))
    for lesson, then in pairwise(order):
        foot = pages[f"lessons/{lesson.slug}.html"].partition('<div class="next">')[2]
        said = " ".join(re.sub(r"<[^>]+>", "", foot).split())
        about = then.about.replace("'", "&#39;")
        assert said.startswith(f"Next comes {then.title}: {about}, in {then.minutes} minutes.")


def test_every_lesson_says_in_one_clause_what_it_is_about() -> None:
    for lesson in lessons.lessons_of(list(modules())):
        assert 10 < len(lesson.about) < 90, lesson.slug
        assert not lesson.about.endswith((".", "?", "!")), lesson.slug
        assert lesson.about[0].islower() or lesson.about.startswith("Brix"), lesson.slug


# --- code, cautions, words --------------------------------------------------------------


def test_one_switch_shows_the_code_and_is_off_for_students_alone(pages: dict[str, str]) -> None:
    assert (
        "checked"
        not in re.findall(r'<input[^>]*id="show-code"[^>]*>', pages["lessons/pour.html"])[0]
    )
    lecturers = (site_of("lecturer") / "lessons" / "pour.html").read_text(encoding="utf-8")
    assert "checked" in re.findall(r'<input[^>]*id="show-code"[^>]*>', lecturers)[0]
    for name, text in pages.items():
        assert "above-input" not in text, f"{name} folds code by itself"


def test_each_caution_stands_in_full_once_a_page_with_sign_and_name(pages: dict[str, str]) -> None:
    for name, text in pages.items():
        full = re.findall(r'<section class="gb-warn" id="hazard-([\w-]+)".*?</section>', text)
        short = re.findall(r'href="#hazard-([\w-]+)"', text)
        assert len(full) == len(set(full)), name
        assert set(short) <= set(full), name
        for key in full:
            warning = re.search(rf'id="hazard-{key}".*?</section>', text, re.DOTALL)
            assert warning
            assert "gb-sign" in warning[0]
            assert safety.caution(key).hazard in warning[0]
        if name.startswith("lessons/"):
            assert text.count('<p class="rules">') == 1, name
            assert safety.LAST_WORD in text.partition('<p class="rules">')[2].partition("</p>")[0]
            assert full, name


def test_french_is_marked_as_french(pages: dict[str, str]) -> None:
    words = pages["glossary.html"]
    assert words.count('<i lang="fr">') >= 40
    for name, text in pages.items():
        assert not re.search(r"French: <em>", text), name


def test_one_viewport_tag_and_no_heading_link_in_the_way_of_the_keyboard(
    pages: dict[str, str],
) -> None:
    for name, text in pages.items():
        assert text.count('name="viewport"') == 1, name
        for link in re.findall(r'<a class="headerlink"[^>]*>', text):
            assert 'tabindex="-1"' in link, name


def named(page: BeautifulSoup, part: Tag) -> str:
    """Return what a screen reader calls a part of a page by its label; empty without one."""
    by = part.get("aria-labelledby")
    heads = [page.find(id=one) for one in str(by).split()] if by else []
    said = " ".join(one.get_text() for one in heads if isinstance(one, Tag))
    return " ".join((said or str(part.get("aria-label", ""))).split())


def test_regions_and_practices_of_a_page_have_names_that_tell_them_apart(
    pages: dict[str, str], parsed: dict[str, BeautifulSoup]
) -> None:
    for name, text in pages.items():
        page = parsed[name]
        parts = page.select("form, nav, aside, [role=region], section[aria-labelledby]")
        regions = [named(page, part) for part in parts]
        assert all(regions), (name, regions)
        assert len(regions) == len(set(regions)), (name, regions)
        for practice in re.findall(r'<form class="gb-practice"[^>]*>', text):
            outcome = re.search(r'data-o="([^"]+)"', practice)
            question = re.search(r'data-live="([^"]+)"', practice)
            assert outcome
            assert question
            assert bank()[question[1]].outcome == outcome[1]


def test_nothing_in_a_page_scrolls_sideways_by_design() -> None:
    style = (STYLES[0].parents[2] / "course/site/theme/glossbook/static/glossbook.css").read_text()
    moving = re.findall(r"^(.*?)\{[^}]*overflow(?:-x)?: (?:auto|scroll)", style, re.MULTILINE)
    assert [one.strip() for one in moving] == [".gb-math"]


def test_the_words_of_drawings_have_a_colour_that_is_read_in_both_lights(
    pages: dict[str, str],
) -> None:
    drawn = "".join(text for name, text in pages.items() if name.startswith("lessons/"))
    fills = re.findall(r"<text\b[^>]*fill[:=]\s*\"?(?:var\(--)?([\w#-]+)", drawn)
    assert len(fills) > 500
    assert set(fills) <= {*TEXT, "soft", "bench", "currentColor"}  # bench: on a dark shape


# --- what goes further --------------------------------------------------------------------


def test_what_goes_further_is_shut_and_what_stands_behind_its_rule_is_not(
    site: Path, parsed: dict[str, BeautifulSoup]
) -> None:
    for lesson in lessons.lessons_of(list(modules())):
        named = re.findall(r"^### (Further: .+)$", lesson.text, re.MULTILINE)
        page = parsed[f"lessons/{lesson.slug}.html"]
        folds = page.select("details.further")
        assert [fold.summary.h3.get_text() for fold in folds] == named, lesson.slug
        assert not [fold for fold in folds if fold.has_attr("open")], lesson.slug
        assert not page.select("section > hr, .further .further, .further h2"), lesson.slug
        told = (site / "notebooks" / f"{lesson.slug}.ipynb").read_text(encoding="utf-8")
        assert all(f"### {name}" in told for name in named), lesson.slug
    page = parsed["lessons/glucose-tub.html"]
    fold = page.find("details", id="further-why-it-reads-too-high")
    assert "How strongly a sugar syrup of 60 % bends light" in fold.get_text()
    behind = next(one for one in page.find_all("p") if one.text.startswith("A full tub of 80"))
    assert behind.find_parent("details") is None
    assert behind.find_parent("section")["id"] == fold.find_parent("section")["id"]


# --- one file of tokens --------------------------------------------------------------------


def luminance(code: str) -> float:
    code = code.lstrip("#")
    code = "".join(c * 2 for c in code) if len(code) == 3 else code
    parts = [int(code[n : n + 2], 16) / 255 for n in (0, 2, 4)]
    red, green, blue = (c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in parts)
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


def contrast(one: str, other: str) -> float:
    high, low = sorted((luminance(one), luminance(other)), reverse=True)
    return (high + 0.05) / (low + 0.05)


# WCAG 2.2, success criteria 1.4.3 (text, 4.5) and 1.4.11 (shapes and bounds, 3) (published)
GROUNDS = ("bench", "plate", "berry-wash")
TEXT = ("ink", "glaze", "berry", "third", "fourth")


@pytest.mark.parametrize("light", ["day", "evening", "print"])
def test_text_and_bounds_stand_out_from_their_grounds(light: str) -> None:
    held = look.tokens(light)
    pairs = [*product(TEXT, GROUNDS), ("soft", "bench"), ("soft", "plate"), ("soft", "wash")]
    pairs += [("on-fill", "fill"), ("sign-ink", "sign")]
    pairs += product(("ink", "glaze", "third"), ["wash"])
    assert {
        p: contrast(held[p[0]], held[p[1]]) for p in pairs if contrast(held[p[0]], held[p[1]]) < 4.5
    } == {}
    shapes = [*product(("run", "edge"), GROUNDS), ("run", "wash")]
    assert {
        p: contrast(held[p[0]], held[p[1]]) for p in shapes if contrast(held[p[0]], held[p[1]]) < 3
    } == {}


def test_no_style_but_the_tokens_names_a_colour_of_its_own() -> None:
    allowed = {"#fff", "#ffffff", "#000", "#333", "#555", "#bbb", "#999", "#777"}  # paper's own
    assert len(STYLES) > 8
    for path in STYLES:
        text = path.read_text(encoding="utf-8")
        if path != look.TOKENS:
            found = set(re.findall(r"(?<!&)(#[0-9a-fA-F]{3,6})\b(?=[;\s\"')])", text))
            assert found <= allowed | {"#3d1a54", "#cfb2e2"}, path.name


def test_every_token_that_a_style_asks_for_is_there() -> None:
    own = {"held", "runs", "letters", "fillet", "now"}  # set where they are used
    for path in [*STYLES, *(ROOT / "course" / "site" / "theme").rglob("*.svg")]:
        asked = set(re.findall(r"var\(--([\w-]+)", path.read_text(encoding="utf-8")))
        assert asked <= set(look.tokens()) | own, path.name


def test_every_colour_that_a_drawing_asks_for_is_a_token() -> None:
    asked: dict[str, set[str]] = {}
    for floor in ("course", "exercises"):
        for path in (ROOT / floor).rglob("*.py"):
            for name in re.findall(r"var\(--([a-z][\w-]*)", path.read_text(encoding="utf-8")):
                asked.setdefault(name, set()).add(path.name)
    assert len(asked) > 5
    assert {name: paths for name, paths in asked.items() if name not in look.tokens()} == {}


def test_the_site_serves_the_one_token_file(site: Path) -> None:
    assert (site / "_static" / "tokens.css").read_bytes() == look.TOKENS.read_bytes()


# --- the title picture -----------------------------------------------------------------------


def test_the_title_plate_takes_the_place_of_the_drawing_where_it_lies(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(contents, "PLATES", tmp_path / "plates")
    assert contents.title_plate() is None
    (tmp_path / "plates").mkdir()
    (tmp_path / "plates" / "title-800.webp").write_bytes(b"a picture")
    (tmp_path / "plates.toml").write_text(
        '[[plates]]\nid = "other"\n[[plates]]\nid = "title"\nalt = "A cake."\n'
        'caption = "A cake. Rendered, not photographed."\n',
        encoding="utf-8",
    )
    shown = contents.title_plate()
    assert shown
    assert shown["file"].read_bytes() == b"a picture"
    assert shown["src"] == "_static/title-800.webp"
    assert (shown["alt"], shown["caption"]) == ("A cake.", "A cake. Rendered, not photographed.")


# --- typefaces -----------------------------------------------------------------------------


def test_a_typeface_that_is_not_the_pinned_one_is_not_used(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def other(package: str, names: Iterable[str], place: Path, seconds: int) -> dict[str, bytes]:
        return dict.fromkeys(names, b"another font")

    monkeypatch.setattr(fonts, "from_npm", other)
    assert fonts.fonts(tmp_path) is None
    assert not list(tmp_path.glob("*/fonts.css"))


def test_without_npm_the_systems_own_faces_stand_in(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(fonts.shutil, "which", lambda name: None)
    assert fonts.fonts(tmp_path) is None
    for family in (look.tokens()["head"], look.tokens()["text"]):
        assert re.search(r", (?:sans-)?serif$", family)
