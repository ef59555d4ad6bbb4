"""What must hold for any mixture, whatever its constants are."""

import random
import subprocess
import sys
from itertools import pairwise

import pytest

from calculators import formula, mixture, safety, syrup
from calculators.faults import FaultsError
from calculators.formula import Formula
from calculators.glucose import Syrup
from calculators.kitchen import Line
from calculators.mixture import Mixture, Tub, model
from calculators.units import declaration, q, say
from tests.calculators.declared import every_calculator

EXACT = 1e-9
G, P, C = "g", "percent", "degC"
EVERY = {
    "keeps": mixture.water_activity,
    "boils": mixture.boiling_point,
    "freezes": mixture.freezing_point,
    "sucrose": mixture.sucrose_saturation,
    "lactose": mixture.lactose_saturation,
    "spares": mixture.water_to_spare,
    "flows": mixture.viscosity,
}


def made(water=200.0, tubs=(), milk=0.0, beside=0.0, **sugars):
    masses = {name: q(g, G) for name, g in sugars.items()}
    return Mixture(q(water, G), masses, list(tubs), q(milk, G), q(beside, G))


def tub(grams, de=42.0, solids=80.0):
    return Tub(q(grams, G), Syrup(q(de, P), q(solids, P)))


def ends(band):
    return [x.m for x in (band.low, band.typical, band.high)]


def close(one, two, within=EXACT):
    assert ends(one) == pytest.approx(ends(two), rel=within, abs=within)


# --- it agrees with itself ------------------------------------------------------------------


@pytest.mark.parametrize("name", EVERY)
def test_one_syrup_on_two_lines_changes_nothing(name):
    whole = made(150, [tub(200)], sucrose=200, lactose=9)
    halves = made(150, [tub(60), tub(140)], sucrose=200, lactose=9)
    close(EVERY[name](whole), EVERY[name](halves))


def test_one_sugar_on_two_lines_of_a_formula_changes_nothing():
    lines = [Line("water", q(300, G)), Line("sugar", q(600, G))]
    split = [Line("sugar", q(250, G)), Line("water", q(300, G)), Line("caster sugar", q(350, G))]
    for ask in EVERY.values():
        close(*(ask(mixture.glaze(Formula("g", each))) for each in (lines, split)))


@pytest.mark.parametrize("name", EVERY)
def test_the_order_of_lines_changes_nothing(name):
    names = {"sucrose": 150, "glucose": 40, "fructose": 30, "lactose": 9, "maltose": 20}
    turned = dict(reversed(names.items()))
    tubs = [tub(50, 28), tub(90, 60)]
    close(EVERY[name](made(200, tubs, **names)), EVERY[name](made(200, tubs[::-1], **turned)))


@pytest.mark.parametrize("name", EVERY)
def test_a_syrup_of_100_de_is_glucose(name):
    of_syrup = EVERY[name](made(200, [tub(100, 100, 100)], sucrose=150)).typical.m
    of_glucose = EVERY[name](made(200, sucrose=150, glucose=100)).typical.m
    assert of_syrup == pytest.approx(of_glucose, rel=EXACT, abs=EXACT)


def test_a_syrup_just_below_100_de_is_nearly_glucose():
    of_syrup = mixture.boiling_point(made(100, [tub(200, 99.999, 100)])).typical.m
    assert of_syrup == pytest.approx(
        mixture.boiling_point(made(100, glucose=200)).typical.m, abs=1e-4
    )


def test_no_sugar_leaves_water():
    plain = made(100)
    assert ends(mixture.water_activity(plain)) == [1, 1, 1]
    assert ends(mixture.freezing_point(plain)) == pytest.approx([0, 0, 0], abs=1e-6)
    assert ends(mixture.sucrose_saturation(plain)) == [0, 0, 0]
    assert ends(mixture.lactose_saturation(plain)) == [0, 0, 0]
    assert mixture.boiling_point(plain).typical.m == pytest.approx(
        syrup.boiling_point(q(0, P)).m, abs=1e-6
    )
    assert mixture.viscosity(plain).typical.m == pytest.approx(syrup.viscosity(q(0, P)).m)


@pytest.mark.parametrize("name", EVERY)
def test_what_stands_beside_changes_nothing(name):
    close(
        EVERY[name](made(sucrose=300, milk=20)), EVERY[name](made(sucrose=300, milk=20, beside=500))
    )


def test_cocoa_butter_in_a_glaze_changes_nothing():
    lines = [Line("water", q(200, G)), Line("sugar", q(300, G)), Line("milk", q(50, G))]
    plain, fat = (
        mixture.glaze(Formula("g", [*lines, *more]))
        for more in ((), (Line("cocoa butter", q(200, G)),))
    )
    for ask in EVERY.values():
        close(ask(plain), ask(fat))


@pytest.mark.parametrize("name", mixture.composition.KINDS)
@pytest.mark.parametrize("seed", range(6))
def test_adding_any_sugar_lowers_the_water_activity(name, seed):
    r = random.Random(seed)
    held = {n: r.uniform(0, 120) for n in r.sample(mixture.composition.KINDS, 3)}
    before = made(150, [tub(r.uniform(1, 100), r.uniform(20, 95))], **held)
    after = made(150, before.tubs, **held | {name: held.get(name, 0) + 1})
    for t in (0, 25, 105):
        one, two = (mixture.water_activity(m, q(t, C)).typical.m for m in (before, after))
        assert two < one


@pytest.mark.parametrize("de", [5, 20, 42, 70, 100])
def test_adding_any_syrup_lowers_the_water_activity(de):
    found = [
        mixture.water_activity(made(100, [tub(g, de, 100)], sucrose=150)).typical.m
        for g in range(1, 300, 20)
    ]
    assert all(b < a for a, b in pairwise(found))


ALL = [*map(model.species, mixture.composition.KINDS), *map(model.syrup_solids, (5.0, 28.0, 60.0))]


@pytest.mark.parametrize("seed", range(10))
def test_sugar_ties_water_up_and_water_frees_it_whatever_is_in_the_pan(seed):
    """Up to 95 %, from -15 to 120 °C, for one to four kinds at a time."""
    r, tried = random.Random(seed), 0
    while tried < 60:
        held = {kind: r.expovariate(1 / 60) for kind in r.sample(ALL, r.randint(1, 4))}
        water, t = r.choice((5, 20, 60, 200, 1000)), r.choice((-15, 0, 25, 60, 105, 120))
        if model.solids(list(held.items()), water) > 94.9:
            continue
        tried += 1
        here = model.log_activity(list(held.items()), water, t)
        more = r.choice(ALL)
        sweeter = held | {more: held.get(more, 0) + 0.01}
        assert model.log_activity(list(sweeter.items()), water, t) < here < 0
        assert model.log_activity(list(held.items()), water * 1.001, t) > here


# --- it tends to sucrose without a step -------------------------------------------------------

TODAY = {
    "boils": (mixture.boiling_point, lambda b: syrup.boiling_point(b), 90),
    "keeps": (mixture.water_activity, lambda b: syrup.water_activity(b), 90),
    "freezes": (mixture.freezing_point, lambda b: syrup.freezing_point(b), 62),
    "flows": (mixture.viscosity, lambda b: syrup.viscosity(b), 75),
    "sucrose": (mixture.sucrose_saturation, lambda b: syrup.supersaturation(b, q(4, C)), 90),
}


@pytest.mark.parametrize("name", TODAY)
@pytest.mark.parametrize("percent", [10, 40, 60, 75, 90])
def test_sucrose_alone_has_today_s_curve(name, percent):
    ask, today, strongest = TODAY[name]
    if percent <= strongest:
        found = ask(made(100 - percent, sucrose=percent)).typical.m
        assert found == pytest.approx(today(q(percent, P)).m, rel=1e-7, abs=1e-7)


@pytest.mark.parametrize("name", TODAY)
@pytest.mark.parametrize("other", ["glucose", "lactose", "glycerol", "tub"])
def test_as_the_others_vanish_the_answer_tends_to_it_in_ever_smaller_steps(name, other):
    ask, _, _ = TODAY[name]

    def at(grams):
        if other == "tub":
            return ask(made(45, [tub(grams, solids=100)] if grams else [], sucrose=55))
        return ask(made(45, **{"sucrose": 55, other: grams}))

    bare = at(0)
    for grams in (1, 1e-3, 1e-6):
        for end, plain in zip(ends(at(grams)), ends(bare), strict=True):
            assert abs(end - plain) < 0.2 * grams * max(1, abs(plain)) + 1e-8


def test_the_models_come_and_go_without_a_step():
    """Bands have no jump where a model begins or ends: 50, 60, 75, 80 and 85 %."""
    pan = made(100, [tub(200, 30)], sucrose=100)
    for border in (50, 60, 75, 80, 85, 90):
        below, above = (
            mixture.boiling_point(mixture.at_strength(pan, q(border + step, P)))
            for step in (-1e-4, 1e-4)
        )
        assert ends(above) == pytest.approx(ends(below), abs=2e-3)


# --- the pan -------------------------------------------------------------------------------------

PAN = made(140, [tub(280)], sucrose=280)


@pytest.mark.parametrize("metres", [0, 430, 1450, 3640])
def test_a_pan_is_known_to_about_a_degree(metres):
    low, typical, high = ends(mixture.boiling_point(PAN, q(metres, "m")))
    assert 0.7 < typical - low < 1.3
    assert 0.7 < high - typical < 1.3


def test_a_finer_syrup_boils_hotter_and_a_coarser_cooler():
    found = [
        mixture.boiling_point(made(140, [tub(280, de)], sucrose=280)).typical.m
        for de in (20, 28, 42, 60, 80, 100)
    ]
    assert all(b > a for a, b in pairwise(found))
    assert 0.8 < found[3] - found[1] < 1.6  # the dextrose equivalent is worth about a degree


def test_boil_to_this_weight_or_to_this_reading_is_one_stop():
    pan = made(174, [tub(280)], beside=30, sucrose=280)
    stop = mixture.boil_to(pan, q(74, P), q(430, "m"))
    assert stop.mass.m + stop.boiled_off.m == pytest.approx(mixture.mass(pan).m)
    by_weight = mixture.at_mass(pan, stop.mass)
    assert mixture.strength(by_weight).m == pytest.approx(74, abs=1e-9)
    left = mixture.left_at_boiling(pan, stop.reading.typical, q(430, "m"))
    assert left.mass.typical.m == pytest.approx(stop.mass.m, abs=1e-3)
    assert left.mass.low < left.mass.typical < left.mass.high
    assert str(stop).startswith(f"Boil to {say(stop.mass)}, or to ")


def test_the_mass_of_a_pan_is_the_mass_of_its_lines():
    pan = made(174, [tub(280)], milk=40, beside=30, sucrose=280, glucose=3)
    assert mixture.mass(pan).m == pytest.approx(174 + 280 + 40 + 30 + 280 + 3)
    assert mixture.mass(mixture.at_mass(pan, q(750, G))).m == pytest.approx(750)


def test_two_readings_of_a_band_bracket_each_other():
    """Where the pan may boil at the reading at most, it may hold this water at most."""
    band = mixture.boiling_point(PAN)
    left = mixture.left_at_boiling(PAN, band.high)
    assert left.water.high.m == pytest.approx(PAN.inside.water, rel=0.05)


def test_a_colder_or_stronger_glaze_freezes_in_a_wider_band():
    weak, strong = (mixture.freezing_point(mixture.at_strength(PAN, q(s, P))) for s in (40, 72))
    assert "beyond" in strong.why
    assert strong.high.m - strong.low.m > 4 * (weak.high.m - weak.low.m)


# --- from a formula --------------------------------------------------------------------------------

ROWS = [
    ("water", 230),
    ("sugar", 280),
    ("glucose syrup, confectioner's", 280),
    ("condensed milk, sweetened", 190),
    ("white chocolate", 280),
    ("gelatin leaf", 15),
]
GLAZE = Formula("demo", [Line(name, q(grams, G)) for name, grams in ROWS])


def test_a_glaze_keeps_every_gram_of_its_formula():
    made_of = mixture.glaze(GLAZE)
    assert mixture.mass(made_of).m == pytest.approx(formula.mass(GLAZE).m, rel=1e-9)
    assert made_of.inside.water == pytest.approx(formula.composition(GLAZE).masses["water"].m)
    assert mixture.strength(made_of).m == pytest.approx(formula.sugar_in_water(GLAZE).m, rel=1e-9)


def test_a_pan_is_its_lines_without_the_soaking_water():
    names = ["water", "sugar", "glucose syrup"]
    pan = mixture.pan(GLAZE, names, q(90, G))
    assert mixture.mass(pan).m == pytest.approx(700)
    assert mixture.boiling_point(pan).typical.m == pytest.approx(
        mixture.boiling_point(made(140, [tub(280, 42, 80.3)], sucrose=280)).typical.m, abs=0.02
    )
    whole = mixture.pan(GLAZE, names)
    assert mixture.boiling_point(whole).typical < mixture.boiling_point(pan).typical


def test_a_salted_glaze_frees_less_water_and_milk_brings_salts():
    lines = [Line("water", q(200, G)), Line("sugar", q(300, G))]
    plain, salted, sour = (
        mixture.water_activity(mixture.glaze(Formula("g", [*lines, *more])))
        for more in ((), (Line("salt", q(5, G)),), (Line("citric acid", q(5, G)),))
    )
    assert salted.typical < sour.typical < plain.typical
    assert mixture.glaze(GLAZE).inside.salts[1] > 0


# --- what is refused ------------------------------------------------------------------------------


def test_everything_wrong_with_a_mixture_is_told_at_once():
    with pytest.raises(FaultsError) as met:
        Mixture(q(0, G), {"sugar": q(5, G), "glucose": q(-1, G)}, ["tub"], q(5, "m"), salts=q(1))
    told = [fault.where for fault in met.value.faults]
    assert told == [
        "Mixture, water",
        "Mixture, milk_solids",
        "Mixture, sugar",
        "Mixture, glucose",
        "Mixture, tub 1",
        "Mixture, salts",
    ]
    assert all(fault.next_step for fault in met.value.faults)


def test_a_tub_tells_all_that_is_wrong_with_it():
    with pytest.raises(FaultsError) as met:
        Tub(q(0, G), "bucket", q(30, P), q(3, G))
    assert len(met.value.faults) == 4
    with pytest.raises(FaultsError, match="from 5 to 100"):
        tub(100, 4)


@pytest.mark.parametrize(
    ("ask", "words"),
    [
        (lambda: mixture.water_activity(made(1, sucrose=99)), "at most 95 %"),
        (lambda: mixture.at_strength(made(10), q(60, P)), "holds no sugar"),
        (lambda: mixture.at_mass(PAN, q(500, G)), "must be above"),
        (lambda: mixture.left_at_boiling(PAN, q(99, C)), "water boils at 99.97"),
        (lambda: mixture.left_at_boiling(PAN, q(170, C)), "is not where this mixture boils"),
        (lambda: mixture.sucrose_saturation(made(50, glucose=200)), "at most 3 g"),
        (lambda: mixture.viscosity(made(10, sucrose=90)), "at most 85"),
        (lambda: mixture.freezing_point(made(15, glycerol=85)), "above −30"),
        (lambda: mixture.pan(GLAZE, ["sugar", "honey"]), "are not on the lines"),
        (lambda: mixture.pan(GLAZE, ["sugr"]), 'Did you mean "sugar"'),
        (lambda: mixture.pan(GLAZE, ["water", "sugar"], q(300, G)), "at most 230 g"),
        (lambda: mixture.glaze(Formula("oil", [Line("cocoa butter", q(5, G))])), "holds no water"),
    ],
)
def test_what_can_t_be_answered_is_refused_with_limit_and_next_step(ask, words):
    with pytest.raises(FaultsError) as met:
        ask()
    assert words in str(met.value).replace("\xa0", " ")
    assert all(fault.next_step for fault in met.value.faults)


# --- what it must never do ------------------------------------------------------------------------


def test_no_rule_of_time_or_warmth_asks_for_a_water_activity():
    """A computed water activity says what may grow, and relaxes nothing."""
    rules = ("safety.", "cooling_log.")
    asking = [
        name
        for name, function in every_calculator().items()
        if name.startswith(rules)
        and any("activity" in argument for argument in declaration(function).arguments)
    ]
    assert sorted(asking) == ["safety.cold_or_not", "safety.may_grow"]
    wet, sour = q(0.5), q(6.0)
    assert safety.cold_or_not(wet, sour) == "assess"  # however dry it was worked out to be


def test_the_mixture_stands_below_the_formula():
    code = "import sys, calculators.mixture; print('calculators.formula' in sys.modules)"
    ran = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert ran.stdout.strip() == "False"


@pytest.mark.parametrize("by", [-5, 5])
def test_where_a_model_has_its_say_moves_the_band_little_and_never_the_answer(by, monkeypatch):
    usual = mixture.water_activity(PAN)
    for name in ("_ONE_POOL", "_CHAINS"):
        whole = [(at + by if 0 < at < 100 else at, weight) for at, weight in getattr(model, name)]
        monkeypatch.setattr(model, name, tuple(whole))
    moved = mixture.water_activity(PAN)
    assert moved.typical.m == usual.typical.m
    assert moved.low.m == pytest.approx(usual.low.m, abs=0.01)
    assert moved.high.m == pytest.approx(usual.high.m, abs=0.01)
