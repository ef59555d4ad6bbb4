"""Whatever is given to a calculator: an answer, or a fault in our own words.

Every public calculator gets good and bad arguments at random, always the same ones.
"""

import decimal
import fractions
import math
import random

import pint
import pytest

from calculators import coating, formula, glucose, marbling, sources, units
from calculators.faults import FaultsError
from calculators.kitchen import Line
from calculators.units import Band, q, registry
from tests.calculators.declared import arguments, bands, every_calculator, quantities

EVERY = every_calculator()
DRAWS = 150  # for each calculator; together some ten seconds
STRANGER = pint.UnitRegistry().Quantity(3, "gram")

UNITS = (
    "g",
    "kg",
    "degC",
    "degF",
    "K",
    "delta_degC",
    "percent",
    "",
    "mm",
    "m",
    "s",
    "h",
    "kg/m**3",
    "Pa*s",
    "kPa",
    "bloom",
    "leaf",
    "degree_baume",
    "EUR",
    "W",
    "kJ/kg/K",
    "W/m**2/K",
    "g/mol",
    "g/cm**2",
    "cm**2",
    "mN/m",
    "J/m**2/K/s**0.5",
    "degree",
)
NUMBERS = (
    0,
    -1,
    1,
    3,
    95,
    100,
    99.9999999,
    -0.0,
    5e-324,
    1e-300,
    1e-15,
    1e15,
    1e300,
    1.7e308,
    -1e300,
    math.nan,
    math.inf,
    -math.inf,
    10**400,
    -(10**400),
)
BAD = (
    None,
    True,
    "",
    "12 g",
    "60 %",
    "x" * 5000,
    b"x",
    1j,
    [],
    (),
    {},
    object(),
    float,
    [1, 2, 3],
    {"a": 1},
    {None: None},
    {1: q(3, "g")},
    STRANGER,
    decimal.Decimal("3"),
    fractions.Fraction(1, 3),
    [(q(1, "g"),)],
    [(q(1, "g"), q(1, "g"))],
    [(1, 2)],
    [None],
    [(None, None)],
    {"white": None},
    {"white": q(1, "g")},
    {"white": math.nan, "red": 0.5},
    {"white": q(50, "degC")},
    {"sucrose": q(1e300, "g")},
    {"white": 10**400},
    Band(q(1, "g"), q(2, "g"), q(3, "g")),
    [(q(1e300, "min"), q(1, "degC")), (q(2, "min"), q(math.nan, "degC"))],
    (10**400, 0, 0),
    (1e308, 1e308, -1e308),
    (50, 1e60, 1e60),
    [(0.5, 10**400)],
    [("#ffffff", q(5, "degC"))],
    [("#ffffff", q(1e-320, "g"))],
    [(q(5, "degF"),) * 2],
    registry.Quantity([1, 2], "gram"),
    registry.Quantity(1j, "degC"),
    registry.Quantity(decimal.Decimal("3"), "g"),
)


def _bad(r):
    if r.random() < 0.5:
        return q(r.choice(NUMBERS), r.choice(UNITS))
    return r.choice(BAD) if r.random() < 0.8 else r.choice(NUMBERS)


def _whole(fault):
    assert fault.where
    assert fault.problem
    assert fault.limit or fault.next_step
    assert len(str(fault)) < 700


@pytest.mark.parametrize("name", EVERY)
def test_a_calculator_answers_or_says_in_our_words_what_is_wrong(name):
    r, answered = random.Random(name), 0
    for _ in range(DRAWS):
        given = arguments(name, EVERY[name], r)
        for argument in given:
            if r.random() < 0.9 / len(given):
                given[argument] = _bad(r)
        try:
            answer = EVERY[name](**given)
        except FaultsError as met:
            for fault in met.faults:
                _whole(fault)
            continue
        answered += 1
        for value in quantities(answer):
            assert math.isfinite(value if isinstance(value, float) else value.m)
        for band in bands(answer):
            assert band.low <= band.typical <= band.high
    assert 0 < answered < DRAWS or not given


SOMETHING = (*BAD, *NUMBERS, *(q(n, u) for n in NUMBERS for u in ("g", "cm", "degC")))
PLAIN = {
    "q, value": lambda x: q(x, "g"),
    "q, unit": lambda x: q(1.0, x),
    "say": units.say,
    "say in g": lambda x: units.say(x, "g"),
    "say in an unknown unit": lambda x: units.say(q(1, "g"), x) if isinstance(x, str) else None,
    "number": units.number,
    "read": units.read,
    "read as g": lambda x: units.read(x, "g"),
    "in a band": lambda x: x in Band(q(1, "g"), q(2, "g"), q(3, "g")),
    "a glucose syrup": lambda x: glucose.Syrup(x, q(80, "percent")),
    "a cylinder": lambda x: coating.Cylinder(x, q(4, "cm")),
    "a ring": lambda x: coating.Ring(q(10, "cm"), x, x),
    "a savarin": lambda x: coating.Savarin(x, q(4, "cm")),
    "a torus": lambda x: coating.Torus(x, x),
    "a tine": lambda x: marbling.Tine(x, x),
    "a wave": lambda x: marbling.Wave(x, x),
    "a vortex": lambda x: marbling.Vortex(x, x),
    "an area": marbling.polygon_area,
    "a formula's lines": lambda x: formula.Formula("glaze", x),
    "a formula's mass": lambda x: formula.Formula("glaze", [Line("sugar", x)]),
    "a formula's ingredient": lambda x: formula.Formula("glaze", [Line(x, q(1, "g"))]),
    "a formula's price": lambda x: formula.Formula("glaze", [Line("sugar", q(1, "g"), x, x)]),
    "a source": sources.source,
}


@pytest.mark.parametrize("what", PLAIN)
def test_reading_saying_and_making_things_answer_or_say_what_is_wrong(what):
    for given in SOMETHING:
        try:
            PLAIN[what](given)
        except FaultsError as met:
            for fault in met.faults:
                _whole(fault)


@pytest.mark.parametrize(
    ("unit", "words"),
    [
        ("lb", "q, unit: is not a unit that is known here .given: lb."),
        ("gramm", 'Did you mean "g"'),
        ("°c/", "is not a unit"),
        ("g/(", "is not a unit"),
        (None, "is not"),
        (["g"], "is not"),
    ],
)
def test_a_unit_that_is_none_is_told_with_those_that_are(unit, words):
    with pytest.raises(FaultsError, match=words):
        q(1, unit)


def test_a_difference_of_temperatures_is_no_temperature():
    from calculators import water

    with pytest.raises(FaultsError, match="is a difference of temperatures, and a temp"):
        water.density(q(20, "delta_degC"))


@pytest.mark.parametrize(
    ("word", "step"),
    [
        ("leaf", 'Did you mean "leaf for leaf"'),
        ("sqare root", 'Did you mean "square root"'),
        ("linear", "Choose one of these"),
    ],
)
def test_a_word_nearly_right_gets_the_right_one_as_next_step(word, step):
    from calculators import gelatin

    with pytest.raises(FaultsError, match=step):
        gelatin.swap(q(10, "g"), q(200, "bloom"), q(160, "bloom"), rule=word)


def test_capitals_and_hyphens_in_a_word_make_no_difference():
    from calculators import gelatin, syrup

    mass, wanted, held = q(10, "g"), q(200, "bloom"), q(160, "bloom")
    for word in ("Square root", "square-root", "square_root"):
        assert gelatin.swap(mass, wanted, held, word) == gelatin.swap(mass, wanted, held)
    assert syrup.solubility(following="herzfeld 1892") == syrup.solubility(
        following="Herzfeld 1892"
    )
