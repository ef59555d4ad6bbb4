"""What holds for every calculator, whoever wrote it.

Units, limits and messages come from each declaration; the directions of physics and
the pairs that undo each other stand in two tables below.
"""

import math
import random
from itertools import pairwise

import pytest

from calculators import (
    blending,
    coating,
    colour,
    cooling,
    formula,
    gelatin,
    gelatin_sugar,
    glaze_flow,
    gloss,
    glucose,
    instruments,
    jug,
    marbling,
    mixture,
    on_the_cake,
    syrup,
    thaw,
    water,
)
from calculators.faults import FaultsError
from calculators.kitchen import Line
from calculators.units import Band, InstanceOf, Measure, OneOf, declaration, is_quantity, q, symbol
from tests.calculators.declared import (
    arguments,
    bands,
    every_calculator,
    in_other_units,
    other_units,
    quantities,
)

EVERY = every_calculator()
WITH_MEASURES = {
    name: function
    for name, function in EVERY.items()
    if any(isinstance(s, Measure) for s in declaration(function).arguments.values())
}
ARGUMENTS = [
    (name, argument)
    for name, function in WITH_MEASURES.items()
    for argument, spec in declaration(function).arguments.items()
    if isinstance(spec, Measure)
]
DRAWS = 12


def _spec(name, argument):
    return declaration(EVERY[name]).arguments[argument]


def _answers(name, r, wanted=DRAWS, tries=600):
    """Yield arguments, all good together, and what comes of them."""
    for _ in range(tries):
        given = arguments(name, EVERY[name], r)
        try:
            answer = EVERY[name](**given)
        except FaultsError:
            continue
        yield given, answer
        wanted -= 1
        if not wanted:
            return


def _numbers(answer):
    return [x if isinstance(x, float) else float(x.to_base_units().m) for x in quantities(answer)]


# --- units ------------------------------------------------------------------------------


@pytest.mark.parametrize(("name", "argument"), ARGUMENTS)
def test_any_unit_in_gives_the_same_answer(name, argument):
    spec, r = _spec(name, argument), random.Random(f"{name} {argument}")
    for given, answer in _answers(name, r):
        for other in other_units(spec.unit_name):
            same = EVERY[name](**{**given, argument: given[argument].to(other)})
            assert _numbers(same) == pytest.approx(_numbers(answer), rel=1e-6, abs=1e-9)


@pytest.mark.parametrize(
    "name",
    [
        name
        for name, function in EVERY.items()
        if any(isinstance(s, InstanceOf) for s in declaration(function).arguments.values())
    ],
)
def test_any_unit_inside_a_list_a_table_or_a_shape_gives_the_same_answer(name):
    r = random.Random(name)
    for given, answer in _answers(name, r, 6):
        other = {argument: in_other_units(value, r) for argument, value in given.items()}
        same = EVERY[name](**other)
        if not isinstance(answer, formula.Formula):  # its lines keep what was written
            assert _numbers(same) == pytest.approx(_numbers(answer), rel=1e-6, abs=1e-6)


@pytest.mark.parametrize("name", EVERY)
def test_the_answer_has_the_unit_that_was_declared(name):
    gives = declaration(EVERY[name]).returns
    asked = 0
    for _, answer in _answers(name, random.Random(name)):
        asked += 1
        if is_quantity(answer):
            assert symbol(answer.units) == (symbol(gives) if gives != "a share in percent" else "%")
        if isinstance(answer, Band):
            assert gives.startswith("a band")
            unit = gives.removeprefix("a band").removeprefix(",").removeprefix(" in").strip()
            said = symbol(answer.typical.units)
            assert unit in (said, str(answer.typical.units)) or symbol(unit_of(unit)) == said
    assert asked


def unit_of(words):
    """Return the unit that a declaration's words mean."""
    return {
        "plain numbers": "",
        "°C": "degC",
        "percent of sucrose": "percent",
        "Pa s": "Pa*s",
        "mPa s": "mPa*s",
    }.get(words, words)


@pytest.mark.parametrize("name", EVERY)
def test_bands_hold_their_typical_value_and_say_who_vouches(name):
    for _, answer in _answers(name, random.Random(name)):
        for band in bands(answer):
            assert band.low <= band.typical <= band.high
            assert band.provenance in ("published", "common practice", "from memory")


@pytest.mark.parametrize("name", WITH_MEASURES)
def test_a_fraction_serves_where_percent_is_wanted_and_a_number_where_none_is(name):
    specs = declaration(EVERY[name]).arguments
    r = random.Random(name)
    for given, answer in _answers(name, r, 4):
        other = dict(given)
        for argument, spec in specs.items():
            if not isinstance(spec, Measure):
                continue
            if spec.unit_name == "percent":
                other[argument] = q(given[argument].m / 100)
            elif spec.unit_name == "":
                other[argument] = float(given[argument].m)
        assert _numbers(EVERY[name](**other)) == pytest.approx(_numbers(answer), rel=1e-6, abs=1e-9)


# --- what is refused ------------------------------------------------------------------------


@pytest.mark.parametrize("name", [n for n in EVERY if declaration(EVERY[n]).arguments])
def test_every_bad_argument_is_told_in_one_message(name):
    wrong = dict.fromkeys(declaration(EVERY[name]).arguments, object())
    with pytest.raises(FaultsError) as met:
        EVERY[name](**wrong)
    told = [fault.where.rpartition(", ")[2] for fault in met.value.faults]
    assert told == list(wrong)
    assert len(str(met.value).splitlines()) == len(wrong)


@pytest.mark.parametrize(("name", "argument"), ARGUMENTS)
def test_a_bare_number_or_a_wrong_kind_is_refused_by_name_with_limit_and_next_step(name, argument):
    spec = _spec(name, argument)
    wrong = [q(7, "EUR"), "7 g", None] + ([7] if spec.unit_name else [])
    given, _ = next(_answers(name, random.Random(name)))
    for value in wrong:
        if value is None and argument in declaration(EVERY[name]).defaults:
            continue
        with pytest.raises(FaultsError) as met:
            EVERY[name](**{**given, argument: value})
        (fault,) = met.value.faults
        assert fault.where.endswith(f", {argument}")
        assert fault.limit == spec.limit
        assert fault.next_step
        assert fault.given
        text = str(met.value)
        assert fault.limit in text
        assert fault.next_step in text


@pytest.mark.parametrize(("name", "argument"), ARGUMENTS)
def test_just_beyond_a_limit_is_refused_and_the_limit_is_told(name, argument):
    spec = _spec(name, argument)
    given, _ = next(_answers(name, random.Random(name)))
    beyond = []
    for end, way in ((spec.low, -1), (spec.high, 1)):
        if end is not None:
            for unit_name in (spec.unit_name, *other_units(spec.unit_name)):
                assert spec.check("", q(end, spec.unit_name).to(unit_name))[1] is None
            beyond.append(end + way * max(1e-6, abs(end) * 1e-6))
    if spec.above is not None:
        beyond += [spec.above, spec.above - 1]
    for value in (*beyond, math.nan, math.inf, -math.inf, 1e300):
        with pytest.raises(FaultsError, match="is out of range") as met:
            EVERY[name](**{**given, argument: q(value, spec.unit_name)})
        assert spec.limit in str(met.value)
        assert argument in met.value.faults[0].where


@pytest.mark.parametrize(
    ("name", "argument"),
    [
        (name, argument)
        for name, function in EVERY.items()
        for argument, spec in declaration(function).arguments.items()
        if isinstance(spec, OneOf)
    ],
)
def test_a_strange_word_is_answered_with_the_words_that_are_known(name, argument):
    spec = _spec(name, argument)
    given, _ = next(_answers(name, random.Random(name)))
    for wrong in ("no such word", "", 5, None):
        with pytest.raises(FaultsError) as met:
            EVERY[name](**{**given, argument: wrong})
        for word in spec.words:
            assert word in str(met.value)


@pytest.mark.parametrize("name", EVERY)
def test_arguments_may_stand_in_their_order_and_are_left_as_they_were(name):
    for given, answer in _answers(name, random.Random(name), 2):
        before = repr(given)
        assert _numbers(EVERY[name](*given.values())) == _numbers(answer)
        assert repr(given) == before


@pytest.mark.parametrize("name", [n for n, one in EVERY.items() if hasattr(one, "floats")])
def test_the_twin_in_floats_gives_the_number_of_the_answer(name):
    for given, answer in _answers(name, random.Random(name)):
        bare = {key: value.m if is_quantity(value) else value for key, value in given.items()}
        assert EVERY[name].floats(**bare) == answer.m
        assert symbol(answer.units) == symbol(declaration(EVERY[name]).returns)


# --- which way it goes ------------------------------------------------------------------------

P, C, G, KG = "percent", "degC", "g", "kg/m**3"
UP, DOWN = 1, -1
_CYLINDER = coating.Cylinder(q(18, "cm"), q(4.5, "cm"))
_JUG, _BENCH = jug.jug(q(600, G), q(11, "cm")), jug.bench(q(22, C))
_SETS = Band(q(16, C), q(24, C), q(27, C))
_SYRUP = formula.Formula("s", [Line("water", q(300, "g")), Line("sugar", q(600, "g"))])


_PAN = mixture.Mixture(
    q(140, "g"), {"sucrose": q(280, "g"), "lactose": q(9, "g")}, [mixture.Tub(q(280, "g"))]
)


def _thick(warm):
    """Return a glaze of 0.45 Pa s at 34 °C, thinner when warmer (45 kJ/mol)."""
    times = math.exp(45 / 8.314e-3 * (1 / (warm.m + 273.15) - 1 / 307.15))
    return Band(*(q(x * times, "Pa*s") for x in (0.3, 0.45, 0.8)))


def _typical(answer):
    return answer.typical.m if isinstance(answer, Band) else answer.m


def _over(low, high, unit, steps=12):
    return [q(low + (high - low) * i / steps, unit) for i in range(steps + 1)]


DIRECTIONS = {
    "a warmer water is thinner": (DOWN, water.viscosity, _over(0, 100, C)),
    "a warmer water steams harder": (UP, water.vapour_pressure, _over(0, 200, C)),
    "a warmer water needs less heat to steam": (DOWN, water.latent_heat, _over(1, 200, C)),
    "a higher kitchen has less air": (DOWN, water.air_pressure, _over(-430, 9000, "m")),
    "more pressure boils hotter": (UP, water.boiling_point, _over(1, 1000, "kPa")),
    "a higher kitchen boils syrup cooler": (
        DOWN,
        lambda h: syrup.boiling_point(q(80, P), h),
        _over(-430, 9000, "m"),
    ),
    "more sugar is heavier, hot": (UP, lambda b: syrup.density(b, q(80, C)), _over(0, 95, P)),
    "more sugar bends light more": (UP, syrup.refractive_index, _over(0, 85, P)),
    "more sugar floats the hydrometer higher": (UP, syrup.baume, _over(0, 95, P)),
    "more sugar is more supersaturated": (UP, syrup.supersaturation, _over(0, 99, P)),
    "warmth takes supersaturation away": (
        DOWN,
        lambda t: syrup.supersaturation(q(75, P), t),
        _over(0, 100, C),
    ),
    "a warmer full syrup is stronger": (UP, syrup.full_at, _over(64.5, 82.6, P)),
    "more sugar takes less heat": (DOWN, syrup.specific_heat, _over(0, 95, P)),
    "a higher reading is stronger": (UP, syrup.brix_from_baume, _over(0, 49, "degree_baume")),
    "hotter boiling is stronger, by the old table": (
        UP,
        lambda t: syrup.brix_at_boiling(t, following="Browne 1912"),
        _over(100, 127, C),
    ),
    "finer cut is lighter molecules": (DOWN, glucose.mean_molar_mass, _over(3, 100, P)),
    "more solids read higher": (
        UP,
        lambda s: glucose.refractometer_reading(glucose.Syrup(q(42, P), s)),
        _over(5, 81, P),
    ),
    "weaker gelatin needs more": (
        DOWN,
        lambda b: gelatin.swap(q(10, G), q(200, "bloom"), b),
        _over(50, 300, "bloom"),
    ),
    "stronger bloom sets firmer": (
        UP,
        lambda b: gelatin.gel_strength(q(3, P), b),
        _over(50, 300, "bloom"),
    ),
    "longer heat leaves less": (
        DOWN,
        lambda t: gelatin.strength_left(q(90, C), t),
        _over(0, 24, "h"),
    ),
    "hotter leaves less": (DOWN, lambda t: gelatin.strength_left(t, q(2, "h")), _over(20, 105, C)),
    "less acid leaves more": (
        UP,
        lambda a: gelatin.strength_left(q(70, C), q(2, "h"), a),
        _over(3, 5, ""),
    ),
    "hotter juice keeps its enzyme less": (
        DOWN,
        lambda t: gelatin.enzyme_half_life("pineapple", t),
        _over(50, 80, C),
    ),
    "a thicker glaze holds bubbles longer": (
        UP,
        lambda v: blending.time_to_clear(q(10, "cm"), q(0.5, "mm"), v, q(1250, KG)),
        _over(0.5, 50, "Pa*s"),
    ),
    "a longer rest clears smaller bubbles": (
        DOWN,
        lambda t: blending.smallest_cleared(q(10, "cm"), t, q(1, "Pa*s"), q(1250, KG)),
        _over(5, 600, "min"),
    ),
    "a heavier cup holds less air": (
        DOWN,
        lambda m: blending.air_fraction(m, q(300, G)),
        _over(1, 300, G),
    ),
    "a larger bubble needs more to hold it": (
        UP,
        lambda d: blending.held_by_yield_stress(d, q(1, "Pa"), q(1250, KG)).as_bubble,
        _over(0.1, 5, "mm"),
    ),
    "a wider jug needs a larger batch": (
        UP,
        lambda d: blending.smallest_batch(d, q(3, "cm")).mass,
        _over(5, 40, "cm"),
    ),
    "a hotter glaze is thinner": (DOWN, lambda t: formula.viscosity(_SYRUP, t), _over(30, 80, C)),
    "a brighter layer absorbs less": (DOWN, colour.absorption, _over(0.01, 1, "")),
    "more absorbing is darker": (DOWN, colour.reflectance, _over(0, 50, "")),
    "more glaze takes more colour": (
        UP,
        lambda m: colour.dose("gel or paste", m),
        _over(10, 5000, G),
    ),
    "more dark makes it darker": (
        DOWN,
        lambda s: colour.mix_reflectances([(0.9, q(1)), (0.2, s)]),
        _over(0, 1, ""),
    ),
    "a thicker coat needs more glaze": (
        UP,
        lambda k: coating.glaze_needed([(_CYLINDER, 1)], k),
        _over(0.05, 2, "g/cm**2"),
    ),
    "more run-off needs more glaze": (
        UP,
        lambda o: coating.glaze_needed([(_CYLINDER, 1)], None, o),
        _over(0, 90, P),
    ),
    "a heavier glaze is a thinner coat": (
        DOWN,
        lambda d: coating.thickness(q(0.2, "g/cm**2"), d),
        _over(900, 1600, KG),
    ),
    "a glaze cools": (
        DOWN,
        lambda t: cooling.temperature_after(t, q(80, C), q(20, C), q(120, "min")),
        _over(0, 600, "min"),
    ),
    "a lower target takes longer": (
        DOWN,
        lambda t: cooling.time_to(t, q(80, C), q(20, C), q(120, "min")),
        _over(21, 80, C),
    ),
    "a colder bath is quicker": (
        UP,
        lambda b: cooling.water_bath(q(1, "kg"), q(80, C), q(33, C), b, q(400, "cm**2")).time,
        _over(0, 32, C),
    ),
    "a hotter wall draws more air": (
        UP,
        lambda t: cooling.natural_convection(t, q(20, C), q(10, "cm")),
        _over(21, 60, C),
    ),
    "wetter air has a higher dew point": (
        UP,
        lambda h: cooling.dew_point(q(22, C), h),
        _over(1, 100, P),
    ),
    "warmer air has a higher dew point": (
        UP,
        lambda t: cooling.dew_point(t, q(50, P)),
        _over(-40, 60, C),
    ),
    "wetter air frosts more": (
        UP,
        lambda h: cooling.frost(q(22, C), h, q(-18, C)),
        _over(10, 100, P),
    ),
    "a colder cake frosts more": (
        DOWN,
        lambda t: cooling.frost(q(22, C), q(60, P), t),
        _over(-40, 13, C),
    ),
    "a warmer cake meets the glaze warmer": (
        UP,
        lambda t: cooling.contact_temperature(q(33, C), t),
        _over(-40, 20, C),
    ),
    "a warmer store holds more sugar": (
        DOWN,
        lambda t: formula.supersaturation(_SYRUP, t),
        _over(0, 100, C),
    ),
    "a warmer glaze is lighter": (DOWN, lambda t: formula.density(_SYRUP, t), _over(0, 100, C)),
    "thinned, less of it is sugar": (
        DOWN,
        lambda m: formula.sugar_in_water(formula.thin(_SYRUP, m)),
        _over(1, 2000, G),
    ),
    "thinned, more of its water is free": (
        UP,
        lambda m: formula.water_activity(formula.thin(_SYRUP, m)),
        _over(1, 2000, G),
    ),
    "a higher kitchen boils a pan cooler": (
        DOWN,
        lambda h: mixture.boiling_point(_PAN, h),
        _over(-430, 9000, "m"),
    ),
    "a finer syrup makes its pan boil hotter": (
        UP,
        lambda de: mixture.boiling_point_of_pan(q(280, G), q(140, G), q(280, G), q(80, P), de),
        _over(5, 100, P),
    ),
    "more syrup makes less room for sugar": (
        UP,
        lambda s: mixture.sucrose_saturation_of_pan(q(280, G), q(140, G), q(280, G), s),
        _over(5, 100, P),
    ),
    "a stronger pan boils hotter": (
        UP,
        lambda s: mixture.boiling_point(mixture.at_strength(_PAN, s)),
        _over(1, 95, P),
    ),
    "a stronger mixture frees less water": (
        DOWN,
        lambda s: mixture.water_activity(mixture.at_strength(_PAN, s)),
        _over(1, 95, P),
    ),
    "a stronger mixture freezes lower": (
        DOWN,
        lambda s: mixture.freezing_point(mixture.at_strength(_PAN, s)),
        _over(1, 76, P),
    ),
    "a stronger serum is thicker": (
        UP,
        lambda s: mixture.viscosity(mixture.at_strength(_PAN, s)),
        _over(1, 85, P),
    ),
    "a warmer serum is thinner": (
        DOWN,
        lambda t: mixture.viscosity(_PAN, t),
        _over(0, 100, C),
    ),
    "a hotter boiling pan holds less water": (
        DOWN,
        lambda t: mixture.left_at_boiling(_PAN, t).water,
        _over(100.1, 125, C),
    ),
    "a warmer store keeps more sucrose": (
        DOWN,
        lambda t: mixture.sucrose_saturation(_PAN, t),
        _over(0, 100, C),
    ),
    "a warmer store keeps more lactose": (
        DOWN,
        lambda t: mixture.lactose_saturation(_PAN, t),
        _over(0, 89, C),
    ),
    "a warmer store leaves more water to spare": (
        UP,
        lambda t: mixture.water_to_spare(_PAN, t),
        _over(0, 100, C),
    ),
    "a larger mass is weighed better": (
        DOWN,
        lambda m: instruments.scale_error(m, q(1, G)),
        _over(1, 2000, G),
    ),
    "an open jug cools": (
        DOWN,
        lambda t: jug.temperature_after(t, q(60, C), _JUG, _BENCH),
        _over(0, 600, "min"),
    ),
    "an open jug takes longer to a lower target": (
        DOWN,
        lambda t: jug.time_to(t, q(60, C), _JUG, _BENCH),
        _over(24, 59, C),
    ),
    "a hotter jug loses more water": (
        UP,
        lambda t: jug.water_lost(q(30, "min"), t, _JUG, _BENCH),
        _over(20, 90, C),
    ),
    "a larger jug takes longer": (
        UP,
        lambda m: jug.time_on_the_bench(m, q(11, "cm"), q(60, C), q(34, C), q(22, C)),
        _over(30, 20_000, G),
    ),
    "more gelatin is thicker": (UP, glaze_flow.gelatin_factor, _over(0, 120, KG)),
    "a thicker drop counts more": (UP, glaze_flow.drop_number, _over(0, 50, "")),
    "more fat is thicker": (UP, lambda f: glaze_flow.fat_factor(f, q(2)), _over(0, 40, P)),
    "a thicker serum is a thicker glaze": (UP, glaze_flow.viscosity, _over(0.05, 50, "Pa*s")),
    "a slower cup is thicker": (
        UP,
        lambda t: glaze_flow.viscosity_from_cup(
            t, q(60, "mm"), q(80, "mm"), q(40, "mm"), q(6, "mm")
        ),
        _over(30, 600, "s"),
    ),
    "the set layer grows": (
        UP,
        lambda t: on_the_cake.depth_set(t, q(33, C), q(-18, C), q(24, C)),
        _over(0, 600, "s"),
    ),
    "a warmer cake sets less of the coat": (
        DOWN,
        lambda t: on_the_cake.depth_set(q(10, "s"), q(33, C), t, q(24, C)),
        _over(-40, 0, C),
    ),
    "a hotter pour leaves a thinner coat": (
        DOWN,
        lambda t: on_the_cake.poured(t, q(-18, C), _thick(t), _SETS, _CYLINDER).wall,
        _over(28, 60, C),
    ),
    "a thicker film levels sooner": (
        DOWN,
        lambda h: on_the_cake.levelling_time(q(1, "Pa*s"), q(20, "mm"), h),
        _over(0.2, 5, "mm"),
    ),
    "a denser glaze mirrors more": (UP, gloss.reflectance, _over(1, 3, "")),
    "roughness takes the mirror away": (DOWN, gloss.mirrored, _over(0, 0.3, "um")),
    "roughness dulls": (DOWN, lambda r: gloss.gloss(roughness=r), _over(0, 0.3, "um")),
    "colder is more ice": (DOWN, thaw.ice, _over(-40, -3.1, C)),
    "warmer holds more heat": (UP, lambda t: thaw.heat_between(q(-40, C), t), _over(-40, 30, C)),
    "a colder cake thaws longer": (
        DOWN,
        lambda t: thaw.thaw(q(18, "cm"), q(4.5, "cm"), t).time,
        _over(-40, -4, C),
    ),
    "sugar lifts": (UP, gelatin_sugar.lift, _over(0, 80, P)),
    "sugar sets warmer": (
        UP,
        lambda s: gelatin_sugar.setting_point(q(5, P), q(200, "bloom"), s),
        _over(0, 80, P),
    ),
    "stronger bloom melts warmer": (
        UP,
        lambda b: gelatin_sugar.melting_point(q(5, P), b, q(69, P)),
        _over(100, 250, "bloom"),
    ),
    "a higher kitchen boils water cooler": (DOWN, instruments.boiling_here, _over(-430, 9000, "m")),
}


@pytest.mark.parametrize("sentence", DIRECTIONS)
def test_it_goes_the_way_that_physics_says(sentence):
    way, function, values = DIRECTIONS[sentence]
    answers = [_typical(function(value)) for value in values]
    assert all(way * b > way * a for a, b in pairwise(answers))


# --- there and back ---------------------------------------------------------------------------

BACK = {
    "boiling point and pressure": (_over(20, 175, C), water.vapour_pressure, water.boiling_point),
    "brix and density": (_over(0, 95, P), syrup.density, syrup.brix_from_density),
    "brix and Baumé": (_over(0, 95, P), syrup.baume, syrup.brix_from_baume),
    "brix and refraction": (
        _over(0, 85, P),
        syrup.refractive_index,
        syrup.brix_from_refractive_index,
    ),
    "brix and boiling": (_over(0, 99, P), syrup.boiling_point, syrup.brix_at_boiling),
    "pan and reading": (
        _over(5, 95, P),
        lambda s: mixture.boiling_point(mixture.at_strength(_PAN, s)).typical,
        lambda t: mixture.left_at_boiling(_PAN, t).strength.typical,
    ),
    "pan and weight": (
        _over(5, 94, P),
        lambda s: mixture.boil_to(_PAN, s).mass,
        lambda m: mixture.strength(mixture.at_mass(_PAN, m)),
    ),
    "full syrup": (_over(1, 99, C), syrup.solubility, syrup.full_at),
    "DE and molar mass": (_over(3, 100, P), glucose.mean_molar_mass, glucose.dextrose_equivalent),
    "leaves and grams": (
        _over(0, 60, G),
        lambda m: gelatin.leaves(m, "silver"),
        lambda n: gelatin.leaves_weigh(n, "silver"),
    ),
    "swap and back": (
        _over(0, 60, G),
        lambda m: gelatin.swap(m, q(200, "bloom"), q(160, "bloom")),
        lambda m: gelatin.swap(m, q(160, "bloom"), q(200, "bloom")),
    ),
    "tub and back": (
        _over(1, 900, G),
        lambda m: glucose.swap(m, "confectioner", "home pack").mass,
        lambda m: glucose.swap(m, "home pack", "confectioner").mass,
    ),
    "block of gelatin": (
        _over(1, 90, G),
        gelatin.gelatin_in_mass,
        lambda m: q(m.m + gelatin.soak(m).m, G),
    ),
    "bubble and viscosity": (
        _over(0.5, 50, "Pa*s"),
        lambda v: blending.rise_speed(q(1, "mm"), v, q(1250, KG)),
        lambda s: blending.viscosity_from_bubble(q(1, "mm"), s, q(1250, KG)),
    ),
    "bubble and rest": (
        _over(0.1, 1, "mm"),
        lambda d: blending.time_to_clear(q(10, "cm"), d, q(2, "Pa*s"), q(1250, KG)),
        lambda t: blending.smallest_cleared(q(10, "cm"), t, q(2, "Pa*s"), q(1250, KG)),
    ),
    "depth and batch": (
        _over(4, 20, "cm"),
        lambda d: q(blending.smallest_batch(q(10, "cm"), d, q(0, "cm")).mass.m, G),
        lambda m: blending.depth_in_jug(m, q(10, "cm")),
    ),
    "absorption and reflectance": (_over(0.01, 1, ""), colour.absorption, colour.reflectance),
    "time and temperature": (
        _over(0, 600, "min"),
        lambda t: cooling.temperature_after(t, q(80, C), q(20, C), q(120, "min")),
        lambda t: cooling.time_to(t, q(80, C), q(20, C), q(120, "min")),
    ),
    "an open jug, time and temperature": (
        _over(0, 120, "min"),
        lambda t: jug.temperature_after(t, q(60, C), _JUG, _BENCH).typical,
        lambda t: jug.time_to(t, q(60, C), _JUG, _BENCH).typical,
    ),
    "thermometer": (
        _over(-20, 150, C),
        lambda t: instruments.reading_for(t, q(1, C), q(98, C)),
        lambda t: instruments.true_temperature(t, q(1, C), q(98, C)),
    ),
    "scale": (
        _over(0.1, 100, P),
        lambda e: instruments.smallest_mass(q(1, G), e),
        lambda m: instruments.scale_error(m, q(1, G)),
    ),
}


@pytest.mark.parametrize("pair", BACK)
def test_there_and_back_gives_the_first_value(pair):
    values, there, back = BACK[pair]
    for value in values:
        once = back(there(value))
        assert once.m_as(value.units) == pytest.approx(value.m, rel=1e-6, abs=1e-5)


# --- nothing is lost -----------------------------------------------------------------------------


@pytest.mark.parametrize("seed", range(20))
def test_masses_balance_and_shares_make_a_whole(seed):
    r = random.Random(seed)
    total = q(r.uniform(100, 5000), G)
    cuts = sorted(r.uniform(1, 99) for _ in range(2))
    parts = [cuts[0], cuts[1] - cuts[0], 100 - cuts[1]]
    shares = {f"colour {i}": q(part, P) for i, part in enumerate(parts)}
    assert sum(m.m for m in marbling.split(total, shares).values()) == pytest.approx(total.m)
    poured = marbling.layers(total, shares, "colour 0", r.randint(1, 3))
    assert sum(m.m for _, m in poured) == pytest.approx(total.m)
    jugs = cooling.jugs(total, list(shares.values()), q(12, "cm"))
    assert sum(j.mass.m for j in jugs) == pytest.approx(total.m)
    assert sum(j.share.m for j in jugs) == pytest.approx(100)
    tub = glucose.split(total, r.choice(list(glucose.TUBS)))
    assert tub.solids.m + tub.water.m == pytest.approx(total.m)
    b = q(r.uniform(40, 60), P)
    gone = syrup.water_to_remove(total, b, q(75, P))
    thick = q(total.m - gone.m, G)
    assert syrup.water_to_add(thick, q(75, P), b).m == pytest.approx(gone.m)
    glaze = formula.scale_to(_SYRUP, total)
    held = formula.composition(glaze)
    assert held.total.m == pytest.approx(total.m)
    assert sum(s.typical.m for s in held.shares.values()) == pytest.approx(100)
