"""Reading as a person would: what is meant, what stays open, and what never happens."""

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from calculators.faults import FaultsError
from calculators.units import q
from calculators.units.answers import is_blank, read_answer
from calculators.units.reading import read_loosely
from calculators.units.unit_names import written_units
from tests.clock import within


@pytest.mark.parametrize(
    ("text", "asked", "value", "unit"),
    [
        ("2 h 13 min", "min", 133, "min"),
        ("2 h 13 min", "h", 2 + 13 / 60, "h"),
        ("2 h 13 min", "g", 133, "min"),
        ("1 d 2 h", "h", 26, "h"),
        ("1 kg 250 g", "g", 1250, "g"),
        ("1 m 5 cm", "cm", 105, "cm"),
        ("2¾ h", "h", 2.75, "h"),
        ("about 1'250,5 g", "g", 1250.5, "g"),
        ("12 pounds", "GBP", 12, "GBP"),
        ("12 pounds", "g", 12, "pound"),
        ("12 lb", "GBP", 12, "pound"),
        ("12°", "degree_baume", 12, "degree_baume"),
        ("12°", "g", 12, "degree"),
        ("$5 milk", "CAD", 5, "CAD"),
        ("EUR 4.50/kg", "EUR/kg", 4.5, "EUR/kg"),
        ("1.2 x 10^-3 m", "m", 0.0012, "m"),
    ],
)
def test_what_is_meant_depends_on_what_was_asked(text, asked, value, unit):
    found = read_answer(text, asked)
    assert (found.value, found.unit_name) == (pytest.approx(value), unit)


def test_what_is_read_strictly_is_read_alike():
    for text in ("12.5 g", "-18 °C", "1 250 g", "£9.50", "12", "6 leaves"):
        plain, found = read_loosely(text), read_answer(text)
        assert (found.value, found.unit_name) == (plain.value, plain.unit_name)
        assert not found.loosely


def test_two_readings_are_both_kept_and_neither_is_chosen_where_none_comes_first():
    found = read_answer("1,450 kg", "kg")
    assert found.unsure
    assert {found.value, found.others[0][0]} == {1.45, 1450}
    found = read_answer("1.450 kg", "kg")
    assert (found.unsure, found.value, found.others) == (False, 1.45, ((1450.0, "kg"),))
    clock = read_answer("2:13", "min")
    assert clock.unsure
    assert {(clock.value, clock.unit_name), *clock.others} == {(133, "min"), (133, "s")}
    assert read_answer("88°", "degC").others == ((88.0, "degF"),)


@pytest.mark.parametrize("text", ["±6.5 °C", "+/-6.5 °C", "+-6.5 °C", "+/- 6.5 °C"])
def test_a_number_of_either_sign_is_read_with_both_however_the_sign_is_typed(text):
    found = read_answer(text, "degC")
    assert (found.value, found.others) == (6.5, ((-6.5, "degC"),))


@pytest.mark.parametrize("text", ["third", "Third", "FOURTH", "Fifth"])
def test_a_place_in_a_row_is_no_share_in_capitals_either(text):
    with pytest.raises(FaultsError):
        read_answer(text)


def test_a_unit_with_another_meaning_in_capitals_is_not_read_in_any_case():
    for text in ("5 MPA S", "5 M", "5 mPA"):
        with pytest.raises(FaultsError):
            read_answer(text, "Pa")


@pytest.mark.parametrize(
    "text", ["12-14 g", "12 or 14 g", ">12 g", "3 x 4 g", "12/7 g", "12 g 14 g", "2 + 3"]
)
def test_what_is_not_one_number_is_refused(text):
    with pytest.raises(FaultsError):
        read_answer(text, "g")


FEW = settings(max_examples=300, deadline=None)
SIGNS = "0123456789.,:'\"eE+-±x*/=()[]≈~?!½ ghkmin%°CBr€£and or about water ca."


@FEW
@given(st.text(alphabet=SIGNS, max_size=66), st.sampled_from(["", "g", "min", "percent", "EUR"]))
def test_text_near_an_answer_is_read_or_refused_and_nothing_else(text, asked):
    is_blank(text)
    try:
        found = read_answer(text, asked)
    except FaultsError:
        return
    assert math.isfinite(found.value)
    assert all(math.isfinite(value) for value, _ in found.others)
    assert found.unit_name is None or q(1, found.unit_name) is not None


@FEW
@given(st.text(max_size=70))
def test_any_text_is_read_or_refused_and_nothing_else(text):
    is_blank(text)
    try:
        assert math.isfinite(read_answer(text, "g").value)
    except FaultsError:
        return


@FEW
@given(st.floats(0.01, 1e6), st.sampled_from(["g", "kg", "ml", "min", "percent", "EUR"]))
def test_words_around_an_amount_never_change_it(value, unit):
    plain = f"{value:.2f}"
    for text in (f"about {plain} {unit}", f"= {plain} {unit}", f"({plain} {unit})"):
        found = read_answer(text, unit)
        assert found.value == pytest.approx(float(plain))
        assert found.unit_name == read_loosely(f"1 {unit}").unit_name


@pytest.mark.parametrize(
    "text",
    [
        "1 " * 32,
        "1'" * 32,
        "a " * 32,
        "a b" * 21,
        "=" * 64,
        "(" * 64,
        "about " * 10,
        "1/" * 32,
        "1 h " * 16,
        "1.000" * 12,
        "½" * 64,
        "±1" * 32,
        "1x10" * 16,
        "-" * 64,
        "minus " * 10,
        "a-" * 32,
        "9" * 100_000,
        "about " * 50_000,
    ],
)
def test_no_text_keeps_the_reader_busy(text):
    def refused() -> None:
        for asked in ("", "g", "min"):
            is_blank(text)
            with pytest.raises(FaultsError):
                read_answer(text, asked)

    within(0.2, refused)


def test_every_way_of_writing_a_unit_is_read_in_an_answer_too():
    for written, name in written_units().items():
        assert read_answer(f"1 {written} or so").unit_name == name, written
