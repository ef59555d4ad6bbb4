"""What a new scheme asks, and that what it writes is a scheme."""

import re

import pytest

from calculators.faults import FaultsError
from calculators.units import say
from course.scheme.reading import read_scheme
from course.scheme.wizard import questions, write


@pytest.fixture
def scheme_of(tmp_path):
    def make(text):
        path = tmp_path / "scheme.toml"
        path.write_text(text, encoding="utf-8")
        return read_scheme(path)

    return make


def test_about_ten_things_are_asked_each_once():
    keys = [ask.key for ask in questions()]
    assert 8 <= len(keys) <= 12
    assert len(keys) == len(set(keys))


def test_every_offered_answer_passes_its_own_check():
    for ask in questions():
        assert ask.check(ask.default)
        assert ask.question.strip()


def test_no_answer_at_all_makes_a_scheme_that_is_read(scheme_of):
    scheme = scheme_of(write({}))
    assert scheme.title == "The mirror glaze"
    assert scheme.group.stations == 6


def test_the_answers_stand_in_the_scheme(scheme_of):
    scheme = scheme_of(
        write(
            {
                "title": 'Glaze "à la" <room> \\ # one',
                "region": "gb",
                "altitude": "2250 m",
                "room": "75 °F",
                "gelatin_held": "Silver",
                "gelatin_wanted": "powder",
                "cakes": " 11 ",
                "students": "1",
            }
        )
    )
    assert scheme.title == 'Glaze "à la" <room> \\ # one'
    assert scheme.region == "GB"
    assert say(scheme.kitchen.altitude) == "2250 m"
    assert say(scheme.kitchen.room) == "23.9 °C"
    assert scheme.stores.gelatin_grade == "silver"
    assert scheme.cakes[0].count == 11
    assert scheme.group.stations == 1


def test_a_glaze_written_for_powder_has_powder_on_its_line(scheme_of):
    for wanted, line in (("powder", "gelatin powder"), ("silver", "gelatin leaf")):
        scheme = scheme_of(write({"gelatin_wanted": wanted}))
        assert scheme.formula.lines[-1].ingredient == line


def test_an_answer_out_of_range_is_told_as_it_was_typed():
    with pytest.raises(FaultsError, match=r"room: is out of range \(given: 300 °F\)"):
        write({"room": "300 °F"})


def test_a_kitchen_in_feet_and_fahrenheit_can_be_answered_for(scheme_of):
    scheme = scheme_of(write({"altitude": "5280 ft", "room": "72 °F", "jug": "5 in"}))
    assert say(scheme.kitchen.altitude) == "1610 m"  # 1609.344 m, exactly
    assert say(scheme.kitchen.jug) == "12.7 cm"


def test_a_place_below_the_sea_is_written_so_that_it_is_read(scheme_of):
    assert say(scheme_of(write({"altitude": "−12 m"})).kitchen.altitude) == "−12 m"


def test_every_value_left_at_its_usual_is_the_one_that_the_reader_takes(scheme_of):
    text = write({})
    opened = re.sub(r"(?m)^#: ", "", text)
    assert opened.count("\n#") < text.count("\n#") - 15
    assert scheme_of(opened).digest == scheme_of(text).digest


def test_all_answers_that_cannot_be_taken_are_told_at_once():
    with pytest.raises(FaultsError) as caught:
        write(
            {
                "altitude": "high",
                "room": "21 g",
                "jug": "90 cm",
                "students": "٣",
                "region": "Mars",
                "title": "a\x00",
                "colour": "red",
            }
        )
    told = {fault.where: str(fault) for fault in caught.value.faults}
    assert set(told) == {"altitude", "room", "jug", "students", "region", "title", "colour"}
    assert "It must be from 5 to 40 cm" in told["jug"]
    assert "It must be a whole number from 1 to 5000" in told["students"]
    assert "holds an invisible character" in told["title"]
