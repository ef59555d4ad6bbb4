"""The scheme as forms: every key has a gap, and the file keeps what somebody wrote in it."""

from __future__ import annotations

import html
import re
import tomllib
from pathlib import Path
from typing import Any

import pytest

from course.scheme.declared import LABELS, TABLES
from course.scheme.reading import read_scheme
from course.scheme.wizard import write
from tests.course.desk.conftest import Visitor, text_of


def path_of(visitor: Visitor) -> Path:
    path: Path = visitor.app.extensions["desk"].place.scheme
    return path


def digest_of(visitor: Visitor, address: str = "/scheme") -> str:
    found = re.search(r'name="digest" value="(\w+)"', visitor.get(address).text)
    assert found
    return found[1]


def sent(visitor: Visitor, **given: str) -> Any:
    """Fill some gaps, by their ways with __ for a point, and save."""
    asked = {f"at:{way}" if ":" not in way else way: value for way, value in given.items()}
    return visitor.post("/scheme", {"digest": digest_of(visitor), **asked})


def beside(page: str, way: str) -> str:
    found = re.search(rf'id="no-{re.escape(way)}">([^<]*)<', page)
    assert found, way
    return html.unescape(found[1]).replace("\xa0", " ")


def read_as(page: str, way: str) -> str:
    found = re.search(rf'id="is-{re.escape(way)}">([^<]*)<', page)
    assert found, way
    return html.unescape(found[1]).replace("\xa0", " ")


def test_a_value_is_changed_in_its_place_and_remarks_stay(bramblemoor: Visitor) -> None:
    path = path_of(bramblemoor)
    before = path.read_text(encoding="utf-8")
    digest = re.search(r'name="digest" value="(\w+)"', bramblemoor.get("/scheme").text)
    assert digest
    answer = bramblemoor.post(
        "/scheme", {"digest": digest[1], "at:kitchen.altitude": "1450 m", "at:cakes.1.count": "7"}
    )
    assert answer.status_code == 200
    assert "water boils here at 95.1 °C" in text_of(answer)
    after = path.read_text(encoding="utf-8")
    wanted = before.replace('altitude = "430 m"', 'altitude = "1450 m"').replace(
        "count = 6", "count = 7", 1
    )
    assert after == wanted


def test_a_fault_stands_beside_its_value_and_nothing_is_saved(bramblemoor: Visitor) -> None:
    path = path_of(bramblemoor)
    before = path.read_bytes()
    digest = re.search(r'name="digest" value="(\w+)"', bramblemoor.get("/scheme").text)
    assert digest
    asked = {"digest": digest[1], "at:kitchen.altitude": "1.450 m", "at:kitchen.room": "21 °C"}
    answer = bramblemoor.post("/scheme", asked)
    assert answer.status_code == 400
    page = answer.get_data(as_text=True)
    beside = re.search(r'id="no-kitchen\.altitude">([^<]+)<', page)
    assert beside
    assert "two ways" in beside[1] or "1450" in beside[1]
    assert 'value="21 °C"' in page  # what else was typed is still there
    assert path.read_bytes() == before


def test_while_one_types_faults_are_told_and_nothing_is_saved(bramblemoor: Visitor) -> None:
    before = path_of(bramblemoor).read_bytes()
    word = bramblemoor.word()
    asked = {"word": word, "at:kitchen.room": "warm"}
    told = bramblemoor.post("/scheme/try", asked, **{"X-Word": word}).get_json()
    assert "kitchen.room" in told["faults"]
    again = {"word": word, "at:kitchen.room": "24 °C"}
    told = bramblemoor.post("/scheme/try", again, **{"X-Word": word}).get_json()
    assert told["faults"] == {}
    assert told["read"]["kitchen.room"].startswith("read as 24 °C: what is colder than")
    assert path_of(bramblemoor).read_bytes() == before
    assert not list(path_of(bramblemoor).parent.glob(".typed*"))


def test_a_save_over_something_newer_is_refused_and_what_was_typed_is_kept(
    bramblemoor: Visitor,
) -> None:
    path = path_of(bramblemoor)
    digest = re.search(r'name="digest" value="(\w+)"', bramblemoor.get("/scheme").text)
    assert digest
    newer = path.read_text(encoding="utf-8").replace('room = "22 °C"', 'room = "25 °C"')
    path.write_text(newer, encoding="utf-8")
    asked = {"digest": digest[1], "at:kitchen.altitude": "900 m"}
    answer = bramblemoor.post("/scheme", asked)
    assert answer.status_code == 400
    assert path.read_text(encoding="utf-8") == newer
    (kept,) = path.parent.glob("scheme as typed *.toml")
    assert kept.name in text_of(answer)
    assert '"900 m"' in kept.read_text(encoding="utf-8")


def test_one_more_cake_and_one_less(bramblemoor: Visitor) -> None:
    path = path_of(bramblemoor)

    def press(action: str) -> None:
        page = bramblemoor.get("/scheme").text
        digest = re.search(r'name="digest" value="(\w+)"', page)
        assert digest
        assert (
            bramblemoor.post("/scheme", {"digest": digest[1], "action": action}).status_code == 200
        )

    press("more:cakes")
    assert path.read_text(encoding="utf-8").count("[[cakes]]") == 4
    press("less:cakes.4")
    assert path.read_text(encoding="utf-8").count("[[cakes]]") == 3


def test_every_key_that_a_scheme_may_have_has_a_gap_with_its_meaning(bramblemoor: Visitor) -> None:
    page = bramblemoor.get("/scheme").get_data(as_text=True)
    there = set(re.findall(r'name="at:([^"]+)"', page))
    names = {"formula.line": "+", "cakes": "+", "papers": "+", "colours": "+"}
    for table in TABLES:
        if table is LABELS or table.way in ("allergies.line", "dry_runs.line"):
            continue  # on a page of their own; once there is an allergy, or a run
        way = f"{table.way}." if table.way else ""
        way += f"{names.get(table.way, '+')}." if table.many else ""
        for key in table.keys:
            assert f"{way}{key.name}" in there, f"{way}{key.name}"
            help_ = re.search(rf'id="of-{re.escape(way + key.name)}">(.*?)</span>', page, re.S)
            assert help_
            assert key.about in html.unescape(help_[1])
            if not key.needed:
                assert key.usual in html.unescape(help_[1])
    humidity = re.search(r'id="of-kitchen.humidity">(.*?)</span>', page)
    assert humidity
    assert "from 5 to 95 %" in humidity[1]
    assert "Left out: 55 %" in humidity[1]


def test_every_quantity_is_said_as_it_was_read_and_what_follows_from_it(
    bramblemoor: Visitor,
) -> None:
    page = bramblemoor.get("/scheme").get_data(as_text=True)
    written = re.findall(r'name="at:([^"]+)"[^>]*value="[-0-9.]+ (?:m|°C|%|kW|W|cm|g|d|h)"', page)
    assert len(written) > 30
    assert all(read_as(page, way).startswith("read as ") for way in written)
    assert "water boils here at 98." in read_as(page, "kitchen.altitude")
    assert "18 % of the glaze" in read_as(page, "formula.line.1.mass")  # 230 g of 1278 g
    assert "12 questions on 5 outcomes" in read_as(page, "papers.syrups-and-gelatin")


def test_one_is_said_as_one(bramblemoor: Visitor) -> None:
    path = path_of(bramblemoor)
    text = path.read_text(encoding="utf-8")
    text = re.sub(r"(?m)^stations = .*$", "stations = 12", text, count=1)
    text += '\n[papers.short]\noutcomes = ["syrup-strength"]\nquestions = ["syrup-blend"]\n'
    text += '\n[papers.fixed]\noutcomes = ["syrup-strength"]\ninclude = ["syrup-blend"]\n'
    path.write_text(text, encoding="utf-8")
    page = bramblemoor.get("/scheme").get_data(as_text=True)
    assert read_as(page, "group.stations").endswith("1 student at each bench")
    assert read_as(page, "papers.short") == "1 question on 1 outcome"
    assert read_as(page, "papers.fixed") == "1 question on 1 outcome"
    assert read_as(page, "coat").endswith("stays on them")


def test_a_key_that_was_left_out_is_added_in_its_place(bramblemoor: Visitor) -> None:
    before = path_of(bramblemoor).read_text(encoding="utf-8")
    answer = sent(bramblemoor, **{"school.site": "https://bramblemoor.example/course"})
    assert answer.status_code == 200
    after = path_of(bramblemoor).read_text(encoding="utf-8")
    line = 'site = "https://bramblemoor.example/course"\n'
    assert after == before.replace(
        'lecturer = "Marit Oswin"\n', f'lecturer = "Marit Oswin"\n{line}'
    )


def test_a_whole_table_is_added_and_read(bramblemoor: Visitor) -> None:
    given = {"equipment.hobs": "3", "equipment.ice": "no", "equipment.fridge": "20 l"}
    answer = sent(bramblemoor, **given)
    assert answer.status_code == 200, text_of(answer)
    held = read_scheme(path_of(bramblemoor)).practical.equipment
    assert (held.hobs, held.ice, held.fridge.m_as("l")) == (3, False, 20)  # type: ignore[union-attr]
    assert "read as 20 l" in read_as(answer.get_data(as_text=True), "equipment.fridge")


def test_a_gap_that_is_emptied_takes_its_key_out_and_the_remark_stays(
    bramblemoor: Visitor,
) -> None:
    answer = sent(bramblemoor, **{"kitchen.storage": ""})
    assert answer.status_code == 200
    after = path_of(bramblemoor).read_text(encoding="utf-8")
    assert "storage" not in tomllib.loads(after)["kitchen"]
    assert "# storage: the fridge in which the glaze rests overnight\n" in after
    kept = read_scheme(path_of(bramblemoor)).kitchen.storage
    assert kept.m_as("degC") == 4  # what the page says of it: "Left out: 4 °C"


def test_a_key_that_must_be_there_is_asked_for_when_it_is_emptied(bramblemoor: Visitor) -> None:
    before = path_of(bramblemoor).read_bytes()
    answer = sent(bramblemoor, **{"kitchen.altitude": ""})
    assert answer.status_code == 400
    assert "is missing" in beside(answer.get_data(as_text=True), "kitchen.altitude")
    assert path_of(bramblemoor).read_bytes() == before


def test_a_row_is_filled_in_and_added(bramblemoor: Visitor) -> None:
    given = {
        "cakes.+.shape": "slab",
        "cakes.+.count": "2",
        "cakes.+.length": "30 cm",
        "cakes.+.width": "20 cm",
        "cakes.+.height": "3 cm",
    }
    answer = sent(bramblemoor, **given)
    assert answer.status_code == 200, text_of(answer)
    cakes = read_scheme(path_of(bramblemoor)).cakes
    assert [cake.shape for cake in cakes] == ["cylinder", "ring", "dome", "slab"]


def test_a_row_with_a_fault_is_kept_open_with_what_was_typed(bramblemoor: Visitor) -> None:
    before = path_of(bramblemoor).read_bytes()
    answer = sent(bramblemoor, **{"cakes.+.shape": "dome", "cakes.+.count": "many"})
    page = answer.get_data(as_text=True)
    assert answer.status_code == 400
    assert "is not a whole number" in beside(page, "cakes.+.count")
    assert "is missing" in beside(page, "cakes.+.diameter")
    assert re.search(r'<details class="another" open><summary>Another cake', page)
    assert 'value="many"' in page
    assert path_of(bramblemoor).read_bytes() == before


def test_a_colour_goes_and_the_shares_are_mended_in_one_save(bramblemoor: Visitor) -> None:
    gone = {"less:colours.2": "yes"}
    refused = sent(bramblemoor, **gone)
    assert refused.status_code == 400
    page = refused.get_data(as_text=True)
    assert "75 %" in beside(page, "colours")
    assert re.search(r'name="less:colours.2" value="yes" checked', page)
    answer = sent(bramblemoor, **gone, **{"colours.3.share": "50 %"})
    assert answer.status_code == 200, text_of(answer)
    names = [colour.name for colour in read_scheme(path_of(bramblemoor)).colours]
    assert names == ["ivory", "spinach green"]
    assert "# Three jugs for a marble." in path_of(bramblemoor).read_text(encoding="utf-8")


def test_a_fault_in_a_row_after_one_that_goes_stands_beside_its_own_gap(
    bramblemoor: Visitor,
) -> None:
    answer = sent(bramblemoor, **{"less:cakes.1": "yes", "cakes.3.diameter": "wide"})
    page = answer.get_data(as_text=True)
    assert beside(page, "cakes.3.diameter")
    assert not beside(page, "cakes.2.outer")


def test_one_more_like_a_row_that_cannot_stand_twice_is_shown_to_be_changed(
    bramblemoor: Visitor,
) -> None:
    before = path_of(bramblemoor).read_bytes()
    answer = bramblemoor.post(
        "/scheme", {"digest": digest_of(bramblemoor), "action": "more:colours"}
    )
    page = answer.get_data(as_text=True)
    assert answer.status_code == 400
    assert "is the name of another jug too" in beside(page, "colours.+.name")
    assert path_of(bramblemoor).read_bytes() == before


def test_a_paper_is_added_by_its_name_and_taken_out(bramblemoor: Visitor) -> None:
    given = {"papers.+": "resit", "papers.+.outcomes": "syrup-strength", "papers.+.decide": "2"}
    assert sent(bramblemoor, **given).status_code == 200
    assert read_scheme(path_of(bramblemoor)).papers["resit"].levels["decide"] == 2
    twice = sent(bramblemoor, **given)
    assert twice.status_code == 400
    assert "is the name of another paper" in text_of(twice)
    assert sent(bramblemoor, **{"less:papers.resit": "yes"}).status_code == 200
    assert "resit" not in read_scheme(path_of(bramblemoor)).papers


def test_an_allergy_gets_its_formula_line_by_line(bramblemoor: Visitor) -> None:
    assert sent(bramblemoor, **{"allergies.+.allergen": "milk"}).status_code == 200
    page = bramblemoor.get("/scheme").get_data(as_text=True)
    assert 'name="at:allergies.1.line.+.mass"' in page
    given = {"allergies.1.line.+.ingredient": "water", "allergies.1.line.+.mass": "200 g"}
    assert sent(bramblemoor, **given).status_code == 200
    (allergy,) = read_scheme(path_of(bramblemoor)).practical.allergies
    assert [line.ingredient for line in allergy.lines] == ["water"]


def test_a_dry_run_is_set_with_a_glaze_of_its_own(bramblemoor: Visitor) -> None:
    given = {"dry_runs.+": "at-home", "dry_runs.+.way": "guided"}
    assert sent(bramblemoor, **given).status_code == 200
    line = "dry_runs.at-home.line."
    refused = sent(bramblemoor, **{f"{line}+.ingredient": "water", f"{line}+.mass": "200 g"})
    assert refused.status_code == 400  # water alone is no glaze: its lines only stand together
    page = html.unescape(refused.get_data(as_text=True))
    assert "too little sugar" in page
    assert f'name="at:{line}+.mass"' in page
    assert 'value="200 g"' in page
    glaze = {"": ("water", "200 g"), "2": ("sugar", "300 g"), "5": ("gelatin leaf", "12 g")}
    lines = {f"{line}+{n}.ingredient": what for n, (what, _) in glaze.items()}
    lines |= {f"{line}+{n}.mass": mass for n, (_, mass) in glaze.items()}
    assert sent(bramblemoor, **lines).status_code == 200
    held = read_scheme(path_of(bramblemoor)).dry_runs["at-home"].lines
    assert [(one.ingredient, one.mass.m_as("g")) for one in held] == [
        ("water", 200),
        ("sugar", 300),
        ("gelatin leaf", 12),
    ]


def test_what_nobody_declared_is_shown_and_emptied(bramblemoor: Visitor) -> None:
    path = path_of(bramblemoor)
    text = path.read_text(encoding="utf-8")
    path.write_text(text.replace("[kitchen]\n", '[kitchen]\nrooom = "22 °C"\n'), encoding="utf-8")
    assert "Did you mean room?" in beside(bramblemoor.get("/scheme").text, "kitchen.rooom")
    assert sent(bramblemoor, **{"kitchen.rooom": ""}).status_code == 200
    assert path.read_text(encoding="utf-8") == text


def test_a_scheme_that_was_described_takes_its_waiting_lines(bramblemoor: Visitor) -> None:
    path = path_of(bramblemoor)
    path.write_text(write({}), encoding="utf-8")
    assert sent(bramblemoor, **{"coat.spare": "15 %", "kitchen.hob": "3 kW"}).status_code == 200
    text = path.read_text(encoding="utf-8")
    assert 'spare = "15 %"        # made beyond what is poured\n' in text
    assert "#: hob" not in text
    assert tomllib.loads(text)["coat"] == {"spare": "15 %"}


def test_line_ends_and_the_mark_of_a_file_from_windows_stay(bramblemoor: Visitor) -> None:
    path = path_of(bramblemoor)
    lines = path.read_bytes().replace(b"\n", b"\r\n")
    path.write_bytes(b"\xef\xbb\xbf" + lines)
    assert sent(bramblemoor, **{"cakes.1.count": "7"}).status_code == 200
    wanted = lines.replace(b"count = 6", b"count = 7", 1)
    assert path.read_bytes() == b"\xef\xbb\xbf" + wanted


def test_a_file_that_is_no_toml_is_mended_as_text(bramblemoor: Visitor) -> None:
    path_of(bramblemoor).write_text("title = \n", encoding="utf-8")
    page = bramblemoor.get("/scheme")
    assert page.status_code == 200
    assert "has a value that can't be read" in html.unescape(text_of(page))


@pytest.mark.parametrize(
    "text",
    [
        "kitchen = 3\n",
        "cakes = {}\n",
        "papers = []\n",
        'cakes = ["x"]\n',
        "[papers]\na = 1\n",
        "formula.line = 2\n",
        "[[kitchen]]\n",
        "colours = 1.5\n",
        "",
    ],
)
def test_a_file_of_another_shape_is_shown_with_its_faults(bramblemoor: Visitor, text: str) -> None:
    path_of(bramblemoor).write_text(text, encoding="utf-8")
    page = bramblemoor.get("/scheme")
    assert page.status_code == 200
    assert "to be put right" in text_of(page)
    assert sent(bramblemoor, **{"kitchen.room": "22 °C"}).status_code == 400


@pytest.mark.parametrize(
    "action", ["more:", "more:title", "more:cakes.9", "less:..", "less:cakes.9", "x"]
)
def test_a_button_that_no_page_has_does_nothing(bramblemoor: Visitor, action: str) -> None:
    before = path_of(bramblemoor).read_bytes()
    asked = {"digest": digest_of(bramblemoor), "action": action}
    assert bramblemoor.post("/scheme", asked).status_code == 200
    assert path_of(bramblemoor).read_bytes() == before


def test_what_is_typed_is_never_taken_as_mark_up(bramblemoor: Visitor) -> None:
    evil = '"><script>alert(1)</script>'
    answer = sent(bramblemoor, **{"title": "x", "cakes.+.shape": evil, "papers.+": evil})
    page = answer.get_data(as_text=True)
    assert answer.status_code == 400
    assert "<script>alert" not in page
