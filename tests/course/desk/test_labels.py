"""A label is copied into a form as it is printed, and said back as the calculators take it."""

from __future__ import annotations

import html
import re
import tomllib
from pathlib import Path
from typing import Any

import pytest

from calculators import ingredients
from course.scheme.reading import read_scheme
from tests.course.desk.conftest import Visitor, text_of

NEW = "own_ingredients.+"
BAR = {
    f"at:{NEW}.name": "oat white bar",
    f"at:{NEW}.kind": "chocolate",
    f"at:{NEW}.of": "plant",
    f"at:{NEW}.water": "1 g",
    f"at:{NEW}.fat": "36,5",
    f"at:{NEW}.sugars": "48 g",
    f"has:{NEW}.allergens": "gluten",
    f"has:{NEW}.may_contain": ["milk", "nuts"],
    f"at:{NEW}.price": "31.00 EUR",
    f"at:{NEW}.pack": "2 kg",
}


@pytest.fixture(autouse=True)
def shelf(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(ingredients, "_shelved", {})


def path_of(visitor: Visitor) -> Path:
    path: Path = visitor.app.extensions["desk"].place.scheme
    return path


def sent(visitor: Visitor, given: dict[str, Any], query: str = "", digest: str = "") -> Any:
    page = visitor.get(f"/scheme/labels{query}").get_data(as_text=True)
    held = re.search(r'name="digest" value="(\w+)"', page)
    assert held
    asked = {f"asked:{way}": "yes" for way in re.findall(r'name="asked:([^"]+)"', page)}
    more = {"beside": "yes"} if query else {}
    return visitor.post("/scheme/labels", {"digest": digest or held[1], **asked, **more, **given})


def slot(answer: Any, name: str) -> str:
    found = re.search(rf'id="{re.escape(name)}">([^<]*)<', answer.get_data(as_text=True))
    assert found, name
    return html.unescape(found[1]).replace("\xa0", " ")


def test_a_label_is_written_as_it_is_printed_and_read_by_the_calculators(
    bramblemoor: Visitor,
) -> None:
    before = path_of(bramblemoor).read_text(encoding="utf-8")
    answer = sent(bramblemoor, BAR)
    assert answer.status_code == 200, text_of(answer)
    after = path_of(bramblemoor).read_text(encoding="utf-8")
    (row,) = tomllib.loads(after)["own_ingredients"]
    assert row["fat"] == "36,5 %"
    assert row["may_contain"] == ["milk", "nuts"]
    (own,) = read_scheme(path_of(bramblemoor)).own_ingredients
    assert own.label.per_100_g == {"water": 1, "sugars": 48, "fat": 36.5}
    made = slot(answer, "is-own_ingredients.1")
    assert "36.5 g fat, 48 g sucrose, 1 g water, 14.5 g that the label does not name" in made
    assert "It holds cereals with gluten" in made
    assert "Read the label for milk and lactose" in made
    assert "Your local rules and your supervisor come first" in made
    assert "15.5 EUR for a kilogram" in made  # 31.00 EUR for 2 kg
    begins = after.index("[[own_ingredients]]")
    assert after.replace(after[begins : after.index("[window]")], "") == before
    ticked = re.findall(r'value="(\w+)" checked', bramblemoor.get("/scheme/labels").text)
    assert ticked == ["gluten", "milk", "nuts"]


def test_nothing_typed_changes_nothing(bramblemoor: Visitor) -> None:
    sent(bramblemoor, BAR)
    before = path_of(bramblemoor).read_bytes()
    page = bramblemoor.get("/scheme/labels").get_data(as_text=True)
    shown = {
        name: html.unescape(value)
        for name, value in re.findall(r'name="(at:own_ingredients.1[^"]*)" value="([^"]*)"', page)
    }
    assert shown["at:own_ingredients.1.fat"] == "36,5"
    ticks = {
        "has:own_ingredients.1.allergens": "gluten",
        "has:own_ingredients.1.may_contain": ["milk", "nuts"],
    }
    assert sent(bramblemoor, shown | ticks).status_code == 200
    assert path_of(bramblemoor).read_bytes() == before


def test_silence_on_allergens_is_no_answer(bramblemoor: Visitor) -> None:
    before = path_of(bramblemoor).read_bytes()
    silent = {key: value for key, value in BAR.items() if "allergens" not in key}
    refused = sent(bramblemoor, silent)
    assert refused.status_code == 400
    assert "Silence is not an answer here" in slot(refused, f"no-{NEW}.allergens")
    assert path_of(bramblemoor).read_bytes() == before
    assert 'value="oat white bar"' in refused.get_data(as_text=True)
    assert sent(bramblemoor, silent | {f"has:{NEW}.allergens": "[]"}).status_code == 200
    assert "allergens = []" in path_of(bramblemoor).read_text(encoding="utf-8")


def test_a_colour_that_the_region_forbids_is_told_with_its_law(bramblemoor: Visitor) -> None:
    white = {
        f"at:{NEW}.name": "snow white",
        f"at:{NEW}.kind": "colour",
        f"at:{NEW}.of": "mineral",
        f"at:{NEW}.water": "0",
        f"at:{NEW}.colourant": "titanium white",
        f"has:{NEW}.allergens": "[]",
    }
    made = slot(sent(bramblemoor, white), "is-own_ingredients.1")
    assert "may not go into food in the European Union" in made
    assert "E 171" in made


@pytest.mark.parametrize(
    ("changed", "where", "said"),
    [
        ({f"at:{NEW}.water": ""}, f"no-{NEW}.water", "neither its water nor its solids"),
        ({f"at:{NEW}.kind": "glucose syrup"}, f"no-{NEW}.de", "without its dextrose equivalent"),
        ({f"at:{NEW}.fat": "136"}, f"no-{NEW}.fat", "is out of range"),
        ({f"at:{NEW}.of": "milk"}, f"no-{NEW}.allergens", 'Add "milk"'),
        ({f"at:{NEW}.pack": "2 l"}, f"no-{NEW}.pack", "its density is not known"),
        ({f"at:{NEW}.name": "white chocolate"}, f"no-{NEW}.name", "the name of another ingredient"),
    ],
)
def test_a_fault_of_a_label_stands_beside_it(
    bramblemoor: Visitor, changed: dict[str, str], where: str, said: str
) -> None:
    before = path_of(bramblemoor).read_bytes()
    answer = sent(bramblemoor, BAR | changed)
    assert answer.status_code == 400
    assert said in slot(answer, where)
    assert path_of(bramblemoor).read_bytes() == before


def test_labels_in_a_file_beside_the_scheme_are_written_there(bramblemoor: Visitor) -> None:
    path = path_of(bramblemoor)
    path.write_text(
        path.read_text(encoding="utf-8") + '\n[own]\ningredients = "labels.toml"\n',
        encoding="utf-8",
    )
    beside = path.with_name("labels.toml")
    beside.write_text("# Copied on 3 March.\n", encoding="utf-8")
    before = path.read_bytes()
    answer = sent(bramblemoor, BAR, "?beside=yes")
    assert answer.status_code == 200, text_of(answer)
    assert path.read_bytes() == before
    assert beside.read_text(encoding="utf-8").startswith("# Copied on 3 March.\n")
    assert "48 g sucrose" in slot(answer, "is-own_ingredients.1")
    (own,) = read_scheme(path).own_ingredients
    assert own.label.name == "oat white bar"


@pytest.mark.parametrize(
    "name", ["../labels.toml", "/etc/labels.toml", "class.db", "x/../../y.toml"]
)
def test_no_file_outside_the_folder_is_written(bramblemoor: Visitor, name: str) -> None:
    path = path_of(bramblemoor)
    path.write_text(
        path.read_text(encoding="utf-8") + f'\n[own]\ningredients = "{name}"\n', encoding="utf-8"
    )
    answer = bramblemoor.post("/scheme/labels", {"beside": "yes", "digest": "x", **BAR})
    assert answer.status_code == 400
    assert "no file of labels beside the scheme" in text_of(answer)


def test_a_save_over_newer_labels_is_refused_and_what_was_typed_is_kept(
    bramblemoor: Visitor,
) -> None:
    answer = sent(bramblemoor, BAR, digest="0123456789abcdef")
    assert answer.status_code == 400
    (kept,) = path_of(bramblemoor).parent.glob("scheme as typed *.toml")
    assert kept.name in text_of(answer)
    assert tomllib.loads(kept.read_text(encoding="utf-8"))["own_ingredients"][0]["fat"] == "36,5 %"
    assert "own_ingredients" not in path_of(bramblemoor).read_text(encoding="utf-8")


def test_while_one_types_the_label_is_said_back_and_nothing_is_saved(bramblemoor: Visitor) -> None:
    before = path_of(bramblemoor).read_bytes()
    word = bramblemoor.word()
    asked = {
        "word": word,
        **BAR,
        f"asked:{NEW}.allergens": "yes",
        f"asked:{NEW}.may_contain": "yes",
    }
    told = bramblemoor.post("/scheme/labels/try", asked, **{"X-Word": word}).get_json()
    assert told["faults"] == {}
    assert "48 g sucrose" in told["read"][NEW]
    assert path_of(bramblemoor).read_bytes() == before
