"""What must always hold of syrups, whatever the numbers."""

import inspect

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from calculators import syrup, water
from calculators.faults import FaultsError
from calculators.sources import bibliography, records, table
from calculators.units import declaration, is_quantity, q

few = settings(max_examples=50, deadline=None)
HOWS = ("Starzak and Peacock 1997", "Browne 1912")


def pc(value):
    return q(value, "percent")


def c(value):
    return q(value, "degC")


# --- inverses come back ----------------------------------------------------------------


@few
@given(st.floats(0, 95), st.floats(0, 100))
def test_strength_comes_back_from_density(brix, t):
    there = syrup.density(pc(brix), c(t))
    assert syrup.brix_from_density(there, c(t)).m == pytest.approx(brix, abs=1e-6)


@few
@given(st.floats(0, 95), st.sampled_from([145, 144.3]))
def test_strength_comes_back_from_baume(brix, modulus):
    reading = syrup.baume(pc(brix), q(modulus, ""))
    back = syrup.brix_from_baume(reading, q(modulus, ""))
    assert back.m == pytest.approx(brix, abs=1e-6)


@few
@given(st.floats(0, 85))
def test_strength_comes_back_from_refractive_index(brix):
    index = syrup.refractive_index(pc(brix))
    back = syrup.brix_from_refractive_index(index)
    assert back.m == pytest.approx(brix, abs=1e-6)


@few
@given(st.floats(0.1, 90), st.floats(0, 4000), st.sampled_from(HOWS))
def test_strength_comes_back_from_the_boiling_point(brix, metres, how):
    t = syrup.boiling_point(pc(brix), q(metres, "m"), how)
    back = syrup.brix_at_boiling(t, q(metres, "m"), how)
    assert back.m == pytest.approx(brix, abs=1e-4)


@few
@given(st.floats(0, 98.9))
def test_strength_comes_back_at_the_strong_end_too(brix):
    back = syrup.brix_at_boiling(syrup.boiling_point(pc(brix)))
    assert back.m == pytest.approx(brix, abs=1e-3)


@few
@given(st.floats(1, 5000), st.floats(1, 80), st.floats(0.1, 19))
def test_water_removed_and_given_back_leaves_the_syrup_as_it_was(mass, brix, more):
    lost = syrup.water_to_remove(q(mass, "g"), pc(brix), pc(brix + more))
    back = syrup.water_to_add(q(mass, "g") - lost, pc(brix + more), pc(brix))
    assert back.m == pytest.approx(lost.m, abs=1e-6)


@pytest.mark.parametrize("modulus", [140, 144.3, 145, 150])
def test_both_ends_come_back_from_baume_at_every_modulus(modulus):
    for brix in (0, 95):
        reading = syrup.baume(pc(brix), q(modulus, ""))
        back = syrup.brix_from_baume(reading, q(modulus, ""))
        assert back.m == pytest.approx(brix, abs=1e-6)


@pytest.mark.parametrize("metres", [-430, -100, 0, 1234, 9000])
@pytest.mark.parametrize(("how", "strongest"), list(zip(HOWS, (99, 90), strict=True)))
def test_both_ends_come_back_from_the_boiling_point(metres, how, strongest):
    for brix in (0, strongest):
        t = syrup.boiling_point(pc(brix), q(metres, "m"), how)
        back = syrup.brix_at_boiling(t, q(metres, "m"), how)
        assert back.m == pytest.approx(brix, abs=1e-4)


def test_a_full_syrup_is_full_where_it_was_filled():
    for t in (0, 0.001, 20, 63, 99.999, 100):
        assert syrup.full_at(syrup.solubility(c(t))).m == pytest.approx(t, abs=1e-6)


# --- monotone where physics says so -------------------------------------------------------


@few
@given(st.floats(0, 74), st.floats(0.2, 1), st.floats(0, 100))
def test_more_sugar_makes_it_heavier_and_thicker(brix, more, t):
    weak, strong = pc(brix), pc(brix + more)
    assert syrup.density(strong, c(t)) > syrup.density(weak, c(t))
    assert syrup.viscosity(strong, c(t)) > syrup.viscosity(weak, c(t))
    assert syrup.refractive_index(strong) > syrup.refractive_index(weak)
    assert syrup.baume(strong) > syrup.baume(weak)
    assert syrup.specific_heat(strong, c(t)) < syrup.specific_heat(weak, c(t))


@few
@given(st.floats(0, 98), st.floats(0.2, 1), st.floats(-300, 5000))
def test_more_sugar_boils_hotter(brix, more, metres):
    weak, strong, here = pc(brix), pc(brix + more), q(metres, "m")
    assert syrup.boiling_point(strong, here) > syrup.boiling_point(weak, here)


@few
@given(st.floats(0, 96), st.floats(0.1, 1), st.floats(-15, 150))
def test_more_sugar_leaves_less_water_free(brix, more, t):
    weak, strong = pc(brix), pc(brix + more)
    assert syrup.water_activity(strong, c(t)) < syrup.water_activity(weak, c(t))


@few
@given(st.floats(0, 61), st.floats(0.1, 1))
def test_more_sugar_freezes_colder(brix, more):
    assert syrup.freezing_point(pc(brix + more)) < syrup.freezing_point(pc(brix))


@few
@given(st.floats(0, 98), st.sampled_from(["Vavrinecz 1962", "Herzfeld 1892", "Charles 1960"]))
def test_warm_water_holds_more_sugar(t, source):
    assert syrup.solubility(c(t + 1), source) > syrup.solubility(c(t), source)


@few
@given(st.floats(5, 75), st.floats(0, 99))
def test_warm_syrup_is_thinner_and_lighter(brix, t):
    warm, cool = c(t + 1), c(t)
    assert syrup.viscosity(pc(brix), warm) < syrup.viscosity(pc(brix), cool)
    if t > 4:
        assert syrup.density(pc(brix), warm) < syrup.density(pc(brix), cool)


# --- masses balance --------------------------------------------------------------------------


@few
@given(st.lists(st.tuples(st.floats(0.1, 5000), st.floats(0, 100)), min_size=1, max_size=6))
def test_no_sugar_is_lost_in_a_blend(parts):
    mixed = syrup.blend([(q(m, "g"), pc(b)) for m, b in parts])
    assert mixed.mass.m == pytest.approx(sum(m for m, _ in parts))
    sugar = mixed.mass.m * mixed.brix.m / 100
    assert sugar == pytest.approx(sum(m * b / 100 for m, b in parts), abs=1e-9)


@few
@given(st.floats(0, 5000), st.floats(0.1, 5000))
def test_blending_dry_sugar_with_water_is_weighing_them_in(sugar, wet):
    mixed = syrup.blend([(q(sugar, "g"), pc(100)), (q(wet, "g"), pc(0))])
    assert mixed.brix.m == pytest.approx(syrup.brix(q(sugar, "g"), q(wet, "g")).m)


@few
@given(st.floats(1, 5000), st.floats(1, 100), st.floats(0.1, 1))
def test_thinning_is_blending_with_water(mass, brix, share):
    wanted = brix * share
    added = syrup.water_to_add(q(mass, "g"), pc(brix), pc(wanted))
    mixed = syrup.blend([(q(mass, "g"), pc(brix)), (added, pc(0))])
    assert mixed.brix.m == pytest.approx(wanted)


def test_boiling_a_kilogram_from_60_to_80_takes_250_grams_out():
    lost = syrup.water_to_remove(q(1, "kg"), pc(60), pc(80))
    assert lost.m_as("g") == pytest.approx(250, abs=1e-9)  # 600 g of sugar stay


# --- solubility, mixtures, stages -----------------------------------------------------------


@few
@given(st.floats(0, 100))
def test_a_saturated_syrup_is_supersaturated_by_exactly_one(t):
    full = syrup.solubility(c(t))
    assert syrup.supersaturation(full, c(t)).m == pytest.approx(1)


@few
@given(st.floats(-400, 4000), st.floats(80, 160))
def test_sea_level_equivalent_goes_and_comes_back(metres, t):
    here = water.air_pressure(q(metres, "m"))
    above = t - water.boiling_point(here).m
    assume(0.5 < above < 52)  # the strongest, of 99 %, boils 54 above where air is thin
    at_sea = syrup.sea_level_equivalent(c(t), q(metres, "m"))
    strength = syrup.brix_at_boiling(c(t), q(metres, "m"))
    assert syrup.brix_at_boiling(at_sea).m == pytest.approx(strength.m, abs=1e-4)


# --- any unit in gives the same answer, and each answer has its unit ----------------------------


@few
@given(st.floats(1, 74), st.floats(1, 99))
def test_any_unit_in_gives_the_same_answer(brix, t):
    share, fahrenheit = q(brix / 100, ""), c(t).to("degF")
    for function in (syrup.density, syrup.viscosity, syrup.specific_heat):
        plain = function(pc(brix), c(t))
        assert function(share, fahrenheit).m == pytest.approx(plain.m, rel=1e-9)
        assert function(share, c(t).to("kelvin")).m == pytest.approx(plain.m, rel=1e-9)
        assert plain.units == q(1, declaration(function).returns).units


def test_masses_may_come_in_kilograms_or_grams():
    grams = syrup.brix(q(300, "g"), q(150, "g"))
    assert syrup.brix(q(0.3, "kg"), q(150, "g")).m == pytest.approx(grams.m)
    mixed = syrup.blend([(q(0.5, "kg"), q(0.7, "")), (q(300, "g"), pc(30))])
    assert mixed.brix.m == pytest.approx(55)


@pytest.mark.parametrize(
    ("answer", "unit"),
    [
        (syrup.brix(q(1, "g"), q(1, "g")), "percent"),
        (syrup.sugar_per_water(pc(50)), "g/kg"),
        (syrup.brix_from_density(q(1200, "kg/m**3")), "percent"),
        (syrup.baume(pc(50)), "degree_baume"),
        (syrup.brix_from_baume(q(30, "degree_baume")), "percent"),
        (syrup.refractive_index(pc(50)), ""),
        (syrup.brix_from_refractive_index(q(1.4, "")), "percent"),
        (syrup.solubility(), "percent"),
        (syrup.supersaturation(pc(70)), ""),
        (syrup.boiling_point(pc(50)), "degC"),
        (syrup.brix_at_boiling(c(110)), "percent"),
        (syrup.sea_level_equivalent(c(110)), "degC"),
        (syrup.water_to_remove(q(1, "kg"), pc(50), pc(60)), "g"),
        (syrup.water_to_add(q(1, "kg"), pc(60), pc(50)), "g"),
        (syrup.water_activity(pc(50)), ""),
        (syrup.freezing_point(pc(20)), "degC"),
        (syrup.specific_heat(pc(20)), "kJ/kg/K"),
    ],
)
def test_answer_comes_in_its_kitchen_unit(answer, unit):
    assert is_quantity(answer)
    assert answer.units == q(1, unit).units


def test_modulus_144_3_reads_lower_than_145():
    old = syrup.baume(pc(60), q(144.3, ""))
    assert old.m == pytest.approx(syrup.baume(pc(60)).m * 144.3 / 145)


# --- what is refused, and in which words --------------------------------------------------------


@pytest.mark.parametrize(
    "wrong",
    [
        lambda: syrup.density(pc(96)),
        lambda: syrup.density(pc(-1)),
        lambda: syrup.density(pc(60), c(101)),
        lambda: syrup.viscosity(pc(76)),
        lambda: syrup.refractive_index(pc(86)),
        lambda: syrup.solubility(c(-5)),
        lambda: syrup.boiling_point(pc(99.5)),
        lambda: syrup.freezing_point(pc(70)),
        lambda: syrup.brix(q(-1, "g"), q(1, "g")),
        lambda: syrup.water_to_remove(q(0, "g"), pc(50), pc(60)),
        lambda: syrup.stages(q(20, "km")),
    ],
)
def test_what_is_out_of_range_is_refused_with_the_limit(wrong):
    with pytest.raises(FaultsError, match=r"out of range .*It must be"):
        wrong()


@pytest.mark.parametrize(
    ("wrong", "words"),
    [
        (lambda: syrup.density(60), "is a bare number"),
        (lambda: syrup.density(q(60, "g")), "is a mass, and a plain number or share is wanted"),
        (lambda: syrup.brix(q(0, "g"), q(0, "g")), "neither sugar nor water"),
        (lambda: syrup.brix_at_boiling(c(95)), r"water boils at 99\.97 °C"),
        (lambda: syrup.brix_at_boiling(c(165)), "Wait until it boils, or check"),
        (lambda: syrup.brix_at_boiling(c(130), q(0, "m"), "Browne 1912"), "a 90 % syrup"),
        (lambda: syrup.boiling_point(pc(95), following="Browne 1912"), "beyond Browne"),
        (lambda: syrup.boiling_point(pc(50), following="my uncle"), "not a known choice"),
        (lambda: syrup.brix_from_density(q(990, "kg/m**3")), "Check for bubbles"),
        (lambda: syrup.brix_from_baume(q(49.9, "degree_baume")), "is not that of a syrup"),
        (lambda: syrup.water_to_remove(q(1, "kg"), pc(60), pc(50)), "Use water_to_add"),
        (lambda: syrup.water_to_add(q(1, "kg"), pc(50), pc(60)), "Use water_to_remove"),
        (
            lambda: syrup.water_to_remove(q(1, "kg"), pc(0), pc(60)),
            "is water without sugar .*Weigh sugar in",
        ),
        (
            lambda: syrup.water_to_add(q(1, "kg"), pc(0), pc(60)),
            "is water without sugar .*Weigh sugar in",
        ),
        (lambda: syrup.blend([]), "has nothing in it"),
        (lambda: syrup.blend([q(1, "g")]), "part 1: is not a pair"),
        (lambda: syrup.blend("syrup"), r"is not a list of \(mass, brix\) pairs"),
    ],
)
def test_nonsense_is_refused_in_words_that_help(wrong, words):
    with pytest.raises(FaultsError, match=words):
        wrong()


def test_an_end_may_be_given_as_it_is_printed():
    # 998.2 kg/m³ and 99.97 °C are what tables print of water.
    assert syrup.brix_from_density(q(998.2, "kg/m**3")).m == 0
    assert syrup.brix_at_boiling(c(99.97)).m == 0
    for beyond in (
        lambda: syrup.brix_from_density(q(998.1, "kg/m**3")),
        lambda: syrup.brix_at_boiling(c(99.96)),
    ):
        with pytest.raises(FaultsError, match="is not"):
            beyond()


# --- the tables --------------------------------------------------------------------------------------


def test_every_row_names_a_source_that_exists():
    for name in ("boiling_browne", "solubility_herzfeld", "stages", "sugars"):
        for row in records(f"syrup_{name}"):
            assert row["provenance"] in ("published", "common practice", "from memory")
            assert row["source"] in bibliography() or not row["source"]
            assert row["source"] or row["provenance"] != "published"


def test_tables_have_the_rows_that_were_typed_in():
    # Counts and sums of the printed columns, so that no digit changes unseen.
    assert len(table("syrup_boiling_browne")) == 14
    assert sum(r.value for r in table("syrup_boiling_browne").values()) == pytest.approx(108.4)
    stages = records("syrup_stages")
    assert [float(r["low"]) for r in stages] == [110, 112, 118, 121, 132, 146]
    assert [float(r["high"]) for r in stages] == [112, 116, 121, 130, 143, 154]
    norrish = {n: r.value for n, r in table("syrup_sugars").items() if n.endswith("norrish")}
    assert sum(v for v in norrish.values() if v) == pytest.approx(-30.18)


def test_molar_masses_are_those_of_the_formulas():
    atoms = {"C": 12.011, "H": 1.008, "O": 15.999}
    formulas = {
        "sucrose": (12, 22, 11),
        "glucose": (6, 12, 6),
        "fructose": (6, 12, 6),
        "maltose": (12, 22, 11),
        "lactose": (12, 22, 11),
        "sorbitol": (6, 14, 6),
        "glycerol": (3, 8, 3),
        "xylitol": (5, 12, 5),
    }
    for name, counts in formulas.items():
        mass = sum(n * atoms[a] for n, a in zip(counts, "CHO", strict=True))
        row = table("syrup_sugars")[f"{name} molar mass"]
        assert row.value == pytest.approx(mass, abs=0.02)


def test_every_public_calculator_declares_and_documents_what_it_takes():
    for module in (syrup, water):
        for name, function in inspect.getmembers(module, inspect.isfunction):
            if name.startswith("_") or function.__module__ != module.__name__:
                continue
            assert declaration(function), name
            assert "Parameters" in function.__doc__, name
            assert "Examples" in function.__doc__, name
            for argument in declaration(function).arguments:
                assert argument in function.__doc__.split("Returns")[0], (name, argument)


@pytest.mark.parametrize(("t", "herzfeld"), [(20, 67.09), (60, 74.18), (80, 78.36)])
def test_a_syrup_is_full_where_the_old_table_says_within_half_a_percent(t, herzfeld):
    """[herzfeld1892], published; half a per cent is 4 °C at 20 °C and 2.5 at 80 °C."""
    found = syrup.full_at(q(herzfeld, "percent")).m
    assert found == pytest.approx(t, abs=4 if t < 50 else 2.5)


def test_a_syrup_that_is_full_gives_its_temperature_back():
    for t in (1, 4, 20, 63, 99):
        strength = syrup.solubility(q(t, "degC"))
        assert syrup.full_at(strength).m == pytest.approx(t, abs=1e-6)


def test_a_syrup_that_never_gets_full_in_the_cold_is_refused():
    with pytest.raises(FaultsError, match="64"):
        syrup.full_at(q(60, "percent"))


def test_water_alone_is_fully_free():
    assert syrup.water_activity(pc(0)).m == 1


def test_all_faults_are_told_at_once():
    with pytest.raises(FaultsError) as met:
        syrup.density(60, c(200))
    assert len(met.value.faults) == 2
    with pytest.raises(FaultsError) as met:
        syrup.blend([(q(-1, "g"), pc(50)), (q(1, "g"), pc(120)), (5, 6)])
    assert len(met.value.faults) == 4
