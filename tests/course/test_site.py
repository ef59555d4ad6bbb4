"""The course site: whole, offline, warning-free, run once."""

from __future__ import annotations

import html
import re
from pathlib import Path

import pytest

from calculators.faults import FaultsError
from course.demo import FOLDER
from course.lessons.modules import modules
from course.making import lessons
from course.scheme.reading import read_scheme
from course.site import building
from exercises.questions.outcomes import outcomes
from tests.browser.pages import site_of

pytestmark = pytest.mark.xdist_group(__name__)

DEMO = FOLDER / "scheme.toml"


@pytest.fixture(scope="module")
def site() -> Path:
    return site_of("student")


def page(site: Path, name: str) -> str:
    return (site / name).read_text(encoding="utf-8")


def test_building_again_runs_no_lesson_again(tmp_path: Path) -> None:
    scheme = read_scheme(DEMO)
    site_of("student")
    again = building.build(scheme, tmp_path / "site")
    assert again.run == []
    assert len(again.kept) == len(lessons.lessons_of(scheme.modules))


def test_the_first_page_names_every_module_lesson_and_outcome(site: Path) -> None:
    text = page(site, "index.html")
    for module in modules().values():
        assert module.title in text
    for outcome in outcomes().values():
        if outcome.evidence != "do":
            assert outcome.wording in text


def test_nothing_in_the_site_is_asked_of_another_host(site: Path) -> None:
    asks = re.compile(
        r"""(?:src|href)=["'](?:https?:)?//([^"'/]+)|url\(["']?(?:https?:)?//|@import"""
    )
    for path in [*site.rglob("*.html"), *site.rglob("*.css")]:
        found = [m[0] for m in asks.finditer(path.read_text(encoding="utf-8"))]
        assert [f for f in found if "bramblemoor.example" not in f] == [], path


def test_formulas_are_mathematics_without_a_script(site: Path) -> None:
    text = page(site, "lessons/how-strong.html")
    assert "<math" in text
    assert "\\frac" not in text.replace("alttext", "")


def test_a_caution_stands_in_every_lesson_that_meets_a_hazard(site: Path) -> None:
    for path in sorted((site / "lessons").glob("*.html")):
        assert "gb-warn" in path.read_text(encoding="utf-8"), path.name


def test_a_lecturers_notes_are_in_the_lecturers_edition_only(site: Path) -> None:
    assert "For the lecturer" not in page(site, "lessons/how-strong.html")
    assert "For the lecturer" in page(site_of("lecturer"), "lessons/how-strong.html")


def test_another_altitude_changes_prose_table_and_picture(tmp_path: Path) -> None:
    text = DEMO.read_text(encoding="utf-8")
    assert 'altitude = "430 m"' in text
    high = tmp_path / "scheme.toml"
    high.write_text(
        text.replace('altitude = "430 m"', 'altitude = "2250 m"')
        .replace(
            re.search(r"^modules = .*$", text, re.MULTILINE)[0],  # type: ignore[index]
            'modules = ["kitchen", "syrup"]',
        )
        .split("[papers.")[0],
        encoding="utf-8",
    )
    built = building.build(read_scheme(high), tmp_path / "site")
    here = page(built.site, "lessons/boiling.html")
    there = page(site_of("student"), "lessons/boiling.html")

    def parts(text: str, pattern: str) -> list[str]:
        return re.findall(pattern, text, re.DOTALL)

    for pattern in (
        r"<p>.*?</p>",
        r"<table.*?</table>",
        r'<figure class="gb-picture.*?</figure>',
    ):
        assert parts(here, pattern), pattern
        assert parts(here, pattern) != parts(there, pattern), pattern


def test_modules_left_out_take_their_links_and_outcomes_with_them(
    tmp_path: Path,
) -> None:
    text = DEMO.read_text(encoding="utf-8")
    small = tmp_path / "scheme.toml"
    small.write_text(
        re.sub(r"^modules = .*$", 'modules = ["kitchen", "pour"]', text, flags=re.MULTILINE).split(
            "[papers."
        )[0],
        encoding="utf-8",
    )
    built = building.build(read_scheme(small), tmp_path / "site")
    assert not (built.site / "lessons" / "how-strong.html").exists()
    assert outcomes()["syrup-strength"].wording in built.without


def test_a_broken_link_in_a_lesson_is_told_and_the_old_site_stays(
    tmp_path: Path,
) -> None:
    (tmp_path / "own").mkdir()
    (tmp_path / "own" / "house.md").write_text(
        "---\ntitle: House?\nminutes: 5\nmodule: syrup\noutcomes: [syrup-strength]\n"
        "kernelspec:\n  name: python3\n---\n# House?\n\nSee [that](#nowhere-at-all).\n",
        encoding="utf-8",
    )
    text = DEMO.read_text(encoding="utf-8") + '\n[own]\nlessons = "own"\n'
    (tmp_path / "scheme.toml").write_text(text, encoding="utf-8")
    out = tmp_path / "site"
    (out / "_static").mkdir(parents=True)
    (out / "_static" / "glossbook.css").write_text("", encoding="utf-8")
    (out / "index.html").write_text("the old site", encoding="utf-8")
    with pytest.raises(FaultsError, match=r"house.*nowhere-at-all"):
        building.build(read_scheme(tmp_path / "scheme.toml"), out)
    assert (out / "index.html").read_text(encoding="utf-8") == "the old site"


@pytest.mark.parametrize("beside", [[], ["_static/glossbook.css", "index.html"]])
def test_a_build_never_replaces_a_folder_with_files_of_the_lecturers_own(
    tmp_path: Path, beside: list[str]
) -> None:
    for name in [*beside, "thesis.txt"]:
        (tmp_path / name).parent.mkdir(exist_ok=True)
        (tmp_path / name).write_text("mine", encoding="utf-8")
    said = r"no build put there \(given: thesis\.txt\).*would be lost.*--out"
    with pytest.raises(FaultsError, match=said):
        building.build(read_scheme(DEMO), tmp_path)
    assert (tmp_path / "thesis.txt").read_text(encoding="utf-8") == "mine"


def test_a_homepage_that_is_not_a_site_of_ours_is_not_replaced(tmp_path: Path) -> None:
    (tmp_path / "index.html").write_text("the school's own", encoding="utf-8")
    with pytest.raises(FaultsError, match=r"no build put there \(given: index\.html\)"):
        building.build(read_scheme(DEMO), tmp_path)


def test_a_file_in_the_place_of_the_site_is_told(tmp_path: Path) -> None:
    (tmp_path / "site").write_text("mine", encoding="utf-8")
    with pytest.raises(FaultsError, match="is a file and not a folder"):
        building.build(read_scheme(DEMO), tmp_path / "site")


def test_a_folder_that_a_build_made_is_replaced_though_a_file_manager_was_there(
    site: Path, tmp_path: Path
) -> None:
    made = {path.name for path in site.iterdir()}
    reference = {name for name in made if building._OF_REFERENCE.fullmatch(name)}
    assert made - reference <= building._SITES_OWN
    assert (site / building._FACE).is_file()
    for name in made:
        (tmp_path / name).mkdir()
    (tmp_path / "_static" / "glossbook.css").write_text("", encoding="utf-8")
    (tmp_path / ".DS_Store").write_text("", encoding="utf-8")
    building._only_a_site(tmp_path)


def test_the_names_of_a_school_are_printed_as_they_are_written(tmp_path: Path) -> None:
    text = DEMO.read_text(encoding="utf-8").split("[papers.")[0]
    title, name = "Glanz & <b>*Zucker*</b> {doc}`no` 🍰", "Schule $1 _Süß_ <i> & {x}`y`"
    text = re.sub(r"^title = .*$", f"title = '{title}'", text, flags=re.MULTILINE)
    text = re.sub(r"^modules = .*$", 'modules = ["kitchen"]', text, flags=re.MULTILINE)
    text = re.sub(r"^name = \"Pastry.*$", f"name = '{name}'", text, flags=re.MULTILINE)
    path = tmp_path / "scheme.toml"
    path.write_text(text, encoding="utf-8")
    built = building.build(read_scheme(path), tmp_path / "site", live=False)
    first = page(built.site, "index.html")
    assert "<b>*" not in first
    assert "<i>" not in first
    seen = html.unescape(re.sub(r"<[^>]+>", "", first))
    assert seen.count(title) == 2  # above the heading and in the title of the window
    assert f"Made for {name} with Glossbook." in seen
    assert seen.count(name) == 2
