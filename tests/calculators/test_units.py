"""The one reader of what a person wrote, and what a calculator lets in."""

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from calculators.faults import FaultsError
from calculators.units import (
    Band,
    InstanceOf,
    Measure,
    OneOf,
    calculator,
    declaration,
    interpolate,
    number,
    q,
    read,
    read_loosely,
    say,
    solve,
    symbol,
    unit_names,
)
from tests.clock import within

few = settings(max_examples=50, deadline=None)


# --- what is read ------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("text", "value", "unit"),
    [
        ("12.5 g", 12.5, "g"),
        ("12,5 g", 12.5, "g"),
        ("12.5g", 12.5, "g"),
        ("  12.5   g  ", 12.5, "g"),
        ("3,5 kg", 3.5, "kg"),
        ("0,125 kg", 0.125, "kg"),
        ("1.234 kg", 1.234, "kg"),
        ("12,3456 g", 12.3456, "g"),
        ("1200 g", 1200, "g"),
        ("+5 g", 5, "g"),
        ("-18 °C", -18, "degC"),
        ("−18 °C", -18, "degC"),
        ("- 18 °C", -18, "degC"),
        ("31 C", 31, "degC"),
        ("88 °F", 88, "degF"),
        ("300 K", 300, "K"),
        ("66.7 %", 66.7, "percent"),
        ("66.7 °Bx", 66.7, "percent"),
        ("30 °Bé", 30, "degree_baume"),
        ("200 bloom", 200, "bloom"),
        ("6 leaves", 6, "leaf"),
        ("1 leaf", 1, "leaf"),
        ("1.29 g/cm³", 1.29, "g/cm**3"),
        ("1290 kg/m3", 1290, "kg/m**3"),
        ("16 cm", 16, "cm"),
        ("2.5 kJ/kg/K", 2.5, "kJ/kg/K"),
        ("40 mPa·s", 40, "mPa*s"),
        ("1e3 g", 1000, "g"),
        ("1.5E-2 kg", 0.015, "kg"),
        ("1e+2 g", 100, "g"),
        ("4 €", 4, "EUR"),
        ("4.20 GBP/kg", 4.2, "GBP/kg"),
        ("12.5\u00a0g", 12.5, "g"),
        ("12.5\u202fg", 12.5, "g"),
        ("12.5\tg", 12.5, "g"),
        ("100 µm", 100, "um"),
        ("100 μm", 100, "um"),
        ("007 g", 7, "g"),
        ("25 per  cent", 25, "percent"),
        ("12 500 g", 12500, "g"),
        ("1\u202f618,5 g", 1618.5, "g"),
        ("1\u00a0234\u00a0567 g", 1234567, "g"),
        ("1 234,567 g", 1234.567, "g"),
        ("-1 500 g", -1500, "g"),
        (".5 kg", 0.5, "kg"),
        (",25 kg", 0.25, "kg"),
        ("12. g", 12, "g"),
        ("\uff11\uff12\uff0e\uff15\u3000\uff47", 12.5, "g"),
        ("12 g.", 12, "g"),
        ("12 G", 12, "g"),
        ("12 Kg", 12, "kg"),
        ("12 GRAMS", 12, "g"),
        ("104 c", 104, "degC"),
        ("104 ° C", 104, "degC"),
        ("104 degrees Celsius", 104, "degC"),
        ("104 degrees", 104, "degree"),
        ("32 bé", 32, "degree_baume"),
        ("32 degrees Baumé", 32, "degree_baume"),
        ("1.29 g/cm^3", 1.29, "g/cm**3"),
        ("2 lb", 2, "pound"),
        ("4 oz", 4, "ounce"),
        ("7 in", 7, "inch"),
        ("700 ft", 700, "foot"),
        ("2300 feet", 2300, "foot"),
        ("£9.50", 9.5, "GBP"),
        ("$ 4.20/kg", 4.2, "USD/kg"),
        ("€1 250,5", 1250.5, "EUR"),
        ("$7", 7, "USD"),
        ("1.250,5 g", 1250.5, "g"),
        ("1,250.5 g", 1250.5, "g"),
        ("-1.234.567,8 g", -1234567.8, "g"),
        ("£1,250.50", 1250.5, "GBP"),
        ("–18 °C", -18, "degC"),
    ],
)
def test_what_a_student_writes_is_read(text, value, unit):
    found = read_loosely(text)
    assert found.value == value
    assert found.unit_name == unit
    assert found.text == text
    assert found.quantity.units == q(1, unit).units


def test_pound_ounce_inch_and_foot_are_those_of_1959():
    # International yard and pound agreement, 1959; NIST SP 811 (2008), B.8: exact.
    assert read("1 lb", "g").m_as("g") == pytest.approx(453.59237, abs=1e-9)
    assert read("1 oz", "g").m_as("g") == pytest.approx(28.349523125, abs=1e-9)
    assert read("1 in", "cm").m_as("cm") == pytest.approx(2.54, abs=1e-12)
    assert read("1 ft", "m").m_as("m") == pytest.approx(0.3048, abs=1e-12)


def test_number_without_unit_is_read_loosely_and_refused_strictly():
    assert read_loosely("12.5").unit_name is None
    assert read_loosely("12.5").quantity.dimensionless
    with pytest.raises(FaultsError, match=r'has no unit.*Write the unit too, like "12.5 g"'):
        read("12.5", "g")
    assert read("0.89", "").m == 0.89


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("", "is empty"),
        ("   ", "is empty"),
        ("g", "does not begin with a number"),
        ("about 5 g", "does not begin with a number"),
        ("1,234 g", "can be read in two ways"),
        ("12,345", "can be read in two ways"),
        ("-1,234 g", "can be read in two ways"),
        ("1.234.567 g", "more than one number"),
        ("1.234,567 g", "can be read in two ways"),
        ("1.23,4 g", "more than one number"),
        ("1,234.5,6 g", "more than one number"),
        ("5 - 3 g", "more than one number"),
        ("5+3 g", "more than one number"),
        ("5 6 g", "more than one number"),
        ("12 34 g", "more than one number"),
        ("1 2345 g", "more than one number"),
        ("12 345 6 g", "more than one number"),
        ("1234 567 g", "more than one number"),
        (". g", "does not begin with a number"),
        ("5 MPA S", "a unit that is not known"),
        ("5 M", "a unit that is not known"),
        ("10**10**10", "a unit that is not known"),
        ("9**9**9**9 g", "a unit that is not known"),
        ("2 * 3 g", "a unit that is not known"),
        ("nan", "does not begin with a number"),
        ("nan g", "does not begin with a number"),
        ("inf g", "does not begin with a number"),
        ("-inf g", "does not begin with a number"),
        ("Infinity kg", "does not begin with a number"),
        ("[1,2]", "does not begin with a number"),
        ("e", "does not begin with a number"),
        ("1 ± 0.1 g", "a unit that is not known"),
        ("0x10 g", "a unit that is not known"),
        ("1_000 g", "a unit that is not known"),
        ("1e400 g", "more than one number|not known"),
        ("1e999", "more than one number|not known"),
        ("1e100 g", "more than one number|not known"),
        ("1e g", "more than one number|not known"),
        ("5 bananas", "a unit that is not known: bananas"),
        ("5 __import__('os')", "a unit that is not known"),
        ("5 gram; ls", "a unit that is not known"),
        ("\u0661\u0662 g", "does not begin with a number"),  # Arabic-Indic 12
        ("1\u00b2 g", "a unit that is not known"),  # superscript
        ("½ g", "does not begin with a number"),
        ("=5 g", "does not begin with a number"),
    ],
)
def test_what_is_not_one_number_and_a_unit_is_refused_in_words(text, words):
    with pytest.raises(FaultsError, match=words):
        read_loosely(text)


@pytest.mark.parametrize(
    "text",
    [
        "12\x00.5 g",
        "12.5 g\x07",
        "12.5\n g",
        "12.5 g\r",
        "\x1b[31m12 g",
        "\u202e5.21 g",  # right-to-left override: would show as 12.5
        "12.5 \u2066g\u2069",
        "12\u200b.5 g",  # zero-width space
        "12.5 g\ufeff",
        "12\u00ad.5 g",  # soft hyphen
        "12.5 g\x7f",
        "12.5 \ud800g",  # a lone surrogate
    ],
)
def test_invisible_characters_are_refused_and_shown_as_their_code(text):
    with pytest.raises(FaultsError, match=r"invisible character \(U\+[0-9A-F]{4}\)") as met:
        read_loosely(text)
    assert str(met.value).isascii()


def test_64_characters_are_read_and_65_are_not():
    longest = "1." + "0" * 60 + " g"
    assert len(longest) == 64
    assert read_loosely(longest).value == 1
    with pytest.raises(FaultsError, match="is 65 characters long"):
        read_loosely("1" + longest)


@pytest.mark.parametrize(
    "text", ["9" * 100_000, "g" * 100_000, "1e" + "9" * 100_000, "1 " * 50_000]
)
def test_enormous_text_is_refused_at_once_and_not_repeated(text):
    def refused() -> str:
        with pytest.raises(FaultsError) as met:
            read_loosely(text)
        return str(met.value)

    assert len(within(0.5, refused)) < 400


@pytest.mark.parametrize("thing", [None, 12, 12.5, b"12 g", ["12 g"], {"12": "g"}, True])
def test_what_is_not_text_is_refused(thing):
    with pytest.raises(FaultsError, match="is not text"):
        read_loosely(thing)


def test_wrong_dimension_is_said_in_words():
    with pytest.raises(FaultsError, match=r"is a volume, and a mass is wanted.*Give it in g"):
        read("5 ml", "g")
    with pytest.raises(FaultsError, match="is a bloom strength, and a mass is wanted"):
        read("200 bloom", "g")
    with pytest.raises(FaultsError, match="is an amount of EUR, and an amount of GBP"):
        read("5 EUR", "GBP")


def test_misspelt_unit_gets_a_suggestion():
    with pytest.raises(FaultsError, match="Did you mean bloom"):
        read_loosely("200 blom")


def test_the_place_is_named_in_the_error():
    with pytest.raises(FaultsError, match=r"^scheme\.toml, line 12: is empty"):
        read("", "g", where="scheme.toml, line 12")


@few
@given(st.text(max_size=70))
def test_whatever_is_written_is_read_or_refused_and_nothing_else(text):
    try:
        found = read_loosely(text)
    except FaultsError:
        return
    assert math.isfinite(found.value)


@few
@given(st.text(alphabet="0123456789.,eE+-*/ gk%°C()\u202e\uff11", max_size=66))
def test_text_near_a_number_is_read_or_refused_and_nothing_else(text):
    try:
        found = read_loosely(text)
    except FaultsError:
        return
    assert math.isfinite(found.value)


@few
@given(
    st.floats(-1e9, 1e9, allow_nan=False),
    st.sampled_from(["g", "kg", "ml", "°C", "%", "cm", "min", "bloom", "leaves"]),
)
def test_what_is_said_at_full_length_is_read_back(value, sign):
    text = f"{value:.6f} {sign}"
    assert read_loosely(text).value == pytest.approx(value, abs=1e-6)
    comma = text.replace(".", ",")
    assert read_loosely(comma).value == read_loosely(text).value


@few
@given(
    st.floats(-1e5, 1e5),
    st.sampled_from(["g", "degC", "percent", "kg/m**3", "mPa*s", "kJ/kg/K", "degree_baume"]),
)
def test_what_the_house_says_the_house_can_read(value, unit):
    spoken = say(q(value, unit), places=2)
    again = read(spoken, unit)
    assert again.m == pytest.approx(value, abs=0.00501)


def test_every_unit_of_the_list_is_one_of_the_registry():
    for written, name in unit_names.WRITTEN.items():
        assert q(1, name).units is not None, written
        assert read_loosely(f"1 {written}").unit_name == name


# --- what is said -----------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("value", "text"),
    [
        (1286.61, "1290"),
        (0.30278, "0.303"),
        (12.0, "12"),
        (0, "0"),
        (-0.0001, "−0.0001"),
        (-18.25, "−18.2"),
        (99.95, "100"),
        (0.0999, "0.0999"),
        (1e6, "1000000"),
    ],
)
def test_number_has_three_digits_and_a_real_minus(value, text):
    assert number(value) == text


def test_minus_nought_is_nought():
    assert number(-0.001, places=1) == "0.0"


@pytest.mark.parametrize("value", [math.nan, math.inf, -math.inf])
def test_what_is_not_finite_is_never_said(value):
    with pytest.raises(FaultsError, match="not a finite number"):
        number(value)


def test_units_are_written_as_on_paper():
    assert symbol("kg/m**3") == "kg/m³"
    assert symbol("kJ/kg/K") == "kJ/kg/K"
    assert symbol("degC") == "°C"
    assert symbol("W/m**2/K") == "W/m²/K"
    assert say(q(2, "leaf")) == "2 leaves"
    assert say(q(1, "leaf")) == "1 leaf"
    assert say(q(66.7, "percent")) == "66.7\u00a0%"
    assert say(q(5, "")) == "5"


def test_band_says_its_ends_and_knows_what_lies_in_it():
    band = Band(q(1, "g"), q(2, "g"), q(3, "g"))
    assert str(band) == "1 g to 3 g, typically 2 g"
    assert q(0.002, "kg") in band
    assert q(3, "g") in band
    assert q(4, "g") not in band


# --- what a calculator takes --------------------------------------------------------------------


@calculator(
    returns="g",
    mass=Measure("g", above=0),
    share=Measure("percent", 0, 100),
    count=Measure("", 1, 10),
    way=OneOf("short", "long"),
    extra=InstanceOf(dict, "a table"),
)
def _sample(mass, share=q(50, "percent"), count=q(1, ""), way="short", extra=None):  # noqa: B008
    return q(mass.m * share.m / 100 * count.m, "g")


def test_body_gets_the_kitchen_unit_whatever_comes_in():
    assert _sample(q(1, "kg"), q(0.25, "")).m == pytest.approx(250)
    assert _sample(mass=q(1, "kg"), share=q(25, "percent")).m == pytest.approx(250)
    assert _sample(q(1, "kg")).m == pytest.approx(500)


def test_plain_number_is_taken_where_a_plain_number_is_wanted_and_nowhere_else():
    assert _sample(q(1, "g"), count=2).m == pytest.approx(1)
    assert _sample(q(1, "g"), count=2.0).m == pytest.approx(1)
    with pytest.raises(FaultsError, match="count: is not a quantity"):
        _sample(q(1, "g"), count=True)


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        ({"mass": 5}, r'_sample, mass: is a bare number \(given: 5\).*q\(5, "g"\)'),
        ({"mass": "5 g"}, "mass: is not a quantity"),
        ({"mass": None}, "mass: is not a quantity"),
        ({"mass": q(5, "cm")}, "is a length, and a mass is wanted .*Give it in g"),
        ({"mass": q(5, "degC")}, "is a temperature, and a mass is wanted"),
        ({"mass": q(5, "bloom")}, "is a bloom strength, and a mass is wanted"),
        ({"mass": q(0, "g")}, r"out of range \(given: 0 g\)\. It must be above 0 g"),
        ({"mass": q(-1, "kg")}, r"out of range \(given: −1000 g\)"),
        ({"mass": q(math.nan, "g")}, r"out of range \(given: nan\)"),
        ({"mass": q(math.inf, "g")}, r"out of range \(given: inf\)"),
        ({"share": q(101, "percent")}, "It must be from 0 to 100\u00a0?%|from 0 to 100 %"),
        ({"share": q(math.nan, "percent")}, "out of range"),
        ({"count": q(1, "g")}, "is a mass, and a plain number or share is wanted"),
        ({"way": "round"}, "not a known choice .*one of: short, long"),
        ({"way": 3}, "not a known choice"),
        ({"extra": [1]}, "is not a table"),
    ],
)
def test_what_does_not_fit_is_refused_with_value_limit_and_next_step(arguments, words):
    with pytest.raises(FaultsError, match=words):
        _sample(**{"mass": q(1, "g"), **arguments})


def test_all_faults_are_told_at_once():
    with pytest.raises(FaultsError) as met:
        _sample(5, q(120, "percent"), q(3, "cm"), "round", 7)
    places = [fault.where for fault in met.value.faults]
    assert places == [f"_sample, {n}" for n in ("mass", "share", "count", "way", "extra")]
    assert len(str(met.value).splitlines()) == 5


def test_python_itself_says_when_arguments_are_missing_or_too_many():
    with pytest.raises(TypeError, match="missing"):
        _sample()
    with pytest.raises(TypeError, match="unexpected keyword"):
        _sample(q(1, "g"), colour=3)
    with pytest.raises(TypeError, match="positional"):
        _sample(q(1, "g"), q(1, "percent"), q(1, ""), "short", {}, 6)
    with pytest.raises(TypeError, match="multiple values"):
        _sample(q(1, "g"), mass=q(1, "g"))


def test_every_argument_must_be_declared():
    with pytest.raises(TypeError, match="declared"):

        @calculator(returns="g", mass=Measure("g"))
        def _undeclared(mass, other):
            return mass


def test_declaration_can_be_asked_for():
    told = declaration(_sample)
    assert told.returns == "g"
    assert set(told.arguments) == {"mass", "share", "count", "way", "extra"}
    assert told.defaults["way"] == "short"
    assert declaration(print) is None


def test_a_quantity_of_another_registry_is_not_taken():
    import pint

    stranger = pint.UnitRegistry().Quantity(5, "gram")
    with pytest.raises(FaultsError, match="mass: is not a quantity"):
        _sample(stranger)


def test_what_was_given_is_left_as_it_was():
    mass = q(1, "kg")
    _sample(mass)
    assert mass.m == 1
    assert mass.units == q(1, "kg").units


@few
@given(st.floats(1e-6, 1e6), st.sampled_from(["g", "kg", "mg"]))
def test_any_unit_of_mass_gives_the_same_answer(value, unit):
    mass = q(value, "g")
    assert _sample(mass.to(unit)).m == pytest.approx(_sample(mass).m, rel=1e-9)


# --- the little numerics ------------------------------------------------------------------------------


@few
@given(st.floats(-50, 50), st.sampled_from([1, 3, 5]))
def test_solve_finds_where_a_rising_function_crosses_nought(root, power):
    found = solve(lambda x: (x - root) ** power, -60, 60)
    assert found == pytest.approx(root, abs=1e-6)


def test_solve_says_when_there_is_no_crossing():
    with pytest.raises(FaultsError, match="no crossing between its limits"):
        solve(lambda x: x + 100, 0, 1)
    assert solve(lambda x: x, 0, 1) == pytest.approx(0, abs=1e-9)
    assert solve(lambda x: x - 1, 0, 1) == pytest.approx(1)


def test_interpolation_stays_on_the_line_and_inside_the_table():
    rows = [(0, 0), (10, 5), (20, 20)]
    assert interpolate(5, rows) == 2.5
    assert interpolate(10, rows) == 5
    assert interpolate(20, rows) == 20
    with pytest.raises(FaultsError, match="outside the table"):
        interpolate(21, rows)
