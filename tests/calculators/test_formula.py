"""Formulas: masses balance, faults come all at once, and nobody is told too much."""

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from calculators import formula as f
from calculators import mixture, safety
from calculators.faults import FaultsError
from calculators.formula import Formula
from calculators.ingredients import PARTS, ingredients
from calculators.kitchen import Line
from calculators.units import q

quick = settings(max_examples=50, deadline=None)


def line(name, grams, price=None, pack=None):
    return Line(
        name,
        q(grams, "g"),
        None if price is None else q(price, "EUR"),
        None if pack is None else q(pack, "g"),
    )


# Two formulas invented for these tests.
MILKY = Formula(
    "Milky base",
    [
        line("water", 160),
        line("sugar", 260, 1.40, 1000),
        line("glucose syrup, confectioner's", 280, 15.00, 5000),
        line("condensed milk, sweetened", 190, 2.80, 400),
        line("white chocolate", 310, 28.00, 2500),
        line("gelatin leaf", 19, 22.00, 1000),
    ],
)
JAM = Formula(
    "Jam base",
    [
        line("apricot jam", 500, 6.00, 1000),
        line("water", 130),
        line("glucose syrup, confectioner's", 90, 15.00, 5000),
        line("gelatin leaf", 12, 22.00, 1000),
    ],
)
NEUTRAL = Formula(
    "Neutral base",
    [
        line("neutral glaze", 700, 21.00, 3000),
        line("water", 70),
        line("gelatin leaf", 10, 22.00, 1000),
    ],
)
AGAR = Formula(
    "Agar base",
    [
        line("coconut milk", 400),
        line("sugar", 200),
        line("water", 200),
        line("agar", 4),
    ],
)

shelf = st.sampled_from(sorted(ingredients()))
some = st.lists(st.tuples(shelf, st.floats(0.5, 5000)), min_size=1, max_size=8)


@quick
@given(some)
def test_the_parts_weigh_what_the_lines_weigh(rows):
    made = Formula("any", [line(name, grams) for name, grams in rows])
    total = f.composition(made).total
    assert total.m == pytest.approx(f.mass(made).m, rel=2e-3)
    assert sum(f.share(made, part).m for part in PARTS) == pytest.approx(100, abs=0.2)


@quick
@given(some, st.floats(10, 50_000))
def test_scaling_keeps_every_share_and_gives_the_mass_that_was_wanted(rows, wanted):
    made = Formula("any", [line(name, grams) for name, grams in rows])
    scaled = f.scale_to(made, q(wanted, "g"))
    assert f.mass(scaled).m == pytest.approx(wanted)
    for part in PARTS:
        assert f.share(scaled, part).m == pytest.approx(f.share(made, part).m, abs=1e-9)


@quick
@given(st.floats(1, 500))
def test_thinning_adds_water_alone_and_weakens_everything_in_it(water):
    thin = f.thin(MILKY, q(water, "g"))
    assert f.mass(thin).m == pytest.approx(f.mass(MILKY).m + water)
    assert thin.of("sucrose", "fat") == pytest.approx(MILKY.of("sucrose", "fat"))
    assert f.sugar_in_water(thin) < f.sugar_in_water(MILKY)
    assert f.gelatin_in_water(thin) < f.gelatin_in_water(MILKY)
    assert f.supersaturation(thin).typical < f.supersaturation(MILKY).typical
    assert f.water_activity(thin).typical > f.water_activity(MILKY).typical


@quick
@given(st.floats(100, 5000), st.floats(0.1, 0.999), st.floats(0.01, 1))
def test_water_given_back_restores_the_strength_of_what_was_kept(before, left, kept):
    after = before * left
    back = f.water_to_give_back(q(before, "g"), q(after, "g"), q(after * kept, "g"))
    solids_in_kept = 0.6 * before * kept
    assert solids_in_kept / (after * kept + back.m) == pytest.approx(0.6)


def test_all_kept_gets_all_the_water_back_in_any_unit():
    assert f.evaporated(q(1.32, "kg"), q(1262, "g")).m == pytest.approx(58)
    assert f.water_to_give_back(q(1.32, "kg"), q(1262, "g")).m == pytest.approx(58)


def test_a_glaze_that_grew_heavier_and_a_rest_that_outweighs_it_are_refused():
    with pytest.raises(FaultsError, match="is heavier than before"):
        f.evaporated(q(900, "g"), q(1000, "g"))
    with pytest.raises(FaultsError, match="is more than there was"):
        f.water_to_give_back(q(900, "g"), q(800, "g"), q(850, "g"))


def test_every_fault_of_a_formula_is_told_at_once():
    with pytest.raises(FaultsError) as caught:
        Formula(
            "Odd",
            [
                line("watter", 100),
                Line("sugar", q(100, "ml")),
                Line("honey", 50),
                line("agar", -2),
                line("butter, unsalted", 10, 3.0),
                Line("cocoa butter", q(5, "g"), q(2, "kg"), q(1, "kg")),
                Line("milk", q(5, "g"), q(2, "GBP"), q(1, "kg")),
                "salt",
            ],
        )
    text = str(caught.value)
    for words in (
        'Did you mean "water"?',
        "line 2 (sugar), mass: is a volume",
        "line 3 (honey), mass: is a bare number",
        "line 4 (agar), mass: is out of range",
        "line 5 (butter, unsalted), price: has no pack beside it",
        "line 6 (cocoa butter), price: is not an amount of money",
        "prices in more than one currency",
        "line 8: is not a line",
    ):
        assert words in text
    assert len(caught.value.faults) == 8


def test_a_price_without_end_is_told_together_with_the_other_faults():
    odd = Line("sugar", q(1, "g"), q(math.inf, "EUR"), q(0, "g"))
    with pytest.raises(FaultsError) as caught:
        Formula("x", [odd])
    assert [fault.where[-5:] for fault in caught.value.faults] == ["price", " pack"]


def test_a_volume_is_refused_with_what_it_weighs_where_that_is_known():
    milk = Line("milk", q(0.2, "l"), q(1.2, "EUR"), q(1, "l"))
    with pytest.raises(FaultsError) as caught:
        Formula("poured", [milk, Line("mango purée", q(1, "l"))])
    told = [fault.next_step for fault in caught.value.faults]
    assert told[0] == "Give it in g: 0.2 l of milk, whole weighs about 206 g"
    assert told[1] == "Give it in g: 1 l of milk, whole weighs about 1030 g"
    assert told[2] == "Give it in g"


def test_a_formula_without_lines_is_refused():
    with pytest.raises(FaultsError, match="has no lines"):
        Formula("Empty", [])


def test_a_formula_without_water_has_no_water_phase_and_says_so():
    dry = Formula("Dry", [line("white chocolate", 100)])
    for ask in (f.sugar_in_water, f.supersaturation, f.water_activity, f.density):
        with pytest.raises(FaultsError, match="next to no water for its sugar"):
            ask(dry)
    assert f.share(dry, "fat").m == pytest.approx(32.09)


def test_a_paste_drier_than_its_fibre_is_refused_with_what_it_holds():
    with pytest.raises(FaultsError, match=r"too dry.*34 g of water to 24\d g of protein"):
        f.water_activity(Formula("Paste", [line("cocoa powder", 300), line("water", 25)]))


def test_two_formulas_are_compared_where_one_is_too_dry_to_tell_its_water():
    paste = Formula("Paste", [line("cocoa powder", 300), line("water", 25)])
    assert f.analysis(paste).water_activity is None
    beside = f.compare(paste, MILKY)
    row = next(row for row in beside.rows if row.what == "water activity")
    assert row.first == "too dry to tell"
    assert row.second == f.water_activity(MILKY)
    assert not any("its water free" in said for said in beside.sentences)


def test_supersaturation_is_one_for_a_syrup_at_saturation():
    from calculators import syrup

    at = q(20, "degC")
    strength = syrup.solubility(at).m
    made = Formula("s", [line("sugar", strength / 0.998), line("water", 100 - strength)])
    assert f.supersaturation(made, at).typical.m == pytest.approx(1, abs=0.002)


def test_colder_store_never_lowers_the_supersaturation():
    values = [f.supersaturation(MILKY, q(t, "degC")).typical.m for t in (0, 4, 20, 40, 60)]
    assert values == sorted(values, reverse=True)


def test_water_activity_is_a_wide_band_with_glucose_syrup_and_narrow_without():
    plain = f.water_activity(Formula("p", [line("sugar", 600), line("water", 400)]))
    with_glucose = f.water_activity(Formula("g", [line("water", 150), line("glucose syrup", 800)]))
    assert (plain.high - plain.low).m < 0.011
    assert (with_glucose.high - with_glucose.low).m > 0.04
    assert plain.provenance == with_glucose.provenance == "from memory"


def test_a_syrup_flows_as_its_sugar_does_and_gelatin_thickens_it():
    """60 % sucrose at 20 °C has 58.5 mPa s in the handbook."""
    plain = [line("sugar", 600 / 0.998), line("water", 400)]
    thin = f.viscosity(Formula("p", plain), q(20, "degC"))
    assert thin.typical.m_as("mPa*s") == pytest.approx(58.5, rel=0.05)
    gelled = f.viscosity(Formula("g", [*plain, line("gelatin leaf", 20)]), q(20, "degC"))
    fatter = f.viscosity(Formula("f", [*plain, line("cocoa butter", 100)]), q(20, "degC"))
    assert thin.typical < fatter.typical < gelled.typical


def test_a_glaze_is_taken_at_eighty_five_percent_where_nobody_measured_a_stronger_one():
    strong = Formula("t", [line("sugar", 900), line("water", 100)])
    there = Formula("t", [line("sugar", 850 / 0.998), line("water", 150 - 850 / 0.998 + 850)])
    at = q(60, "degC")
    assert f.viscosity(strong, at).typical.m == pytest.approx(f.viscosity(there, at).typical.m)


def test_fat_and_chocolate_leave_the_strength_of_the_water_phase_to_the_sugar():
    without = Formula("a", [line("sugar", 300), line("water", 200)])
    with_fat = Formula("b", [*without.lines, line("cocoa butter", 400)])
    assert f.sugar_in_water(with_fat) == f.sugar_in_water(without)


def test_cost_is_told_for_what_is_used_and_for_whole_packs_and_names_what_has_no_price():
    bill = f.cost(JAM)
    # 500 g of 6.00 a kg, 90 g of 15.00 for 5 kg, 12 g of 22.00 a kg
    assert bill.used.m == pytest.approx(3.00 + 0.27 + 0.264)
    assert bill.bought == q(6 + 15 + 22, "EUR")
    assert bill.per_kilogram.m == pytest.approx(1000 * 3.534 / 732)
    assert bill.unpriced == ("water",)
    assert [one.left_over.m for one in bill.lines] == pytest.approx([500, 4910, 988])


def test_spare_is_bought_too_and_a_pack_that_just_suffices_is_not_doubled():
    made = Formula("x", [line("sugar", 500, 1.40, 1000), line("water", 100)])
    assert [f.cost(made, q(s, "percent")).lines[0].packs for s in (0, 100)] == [1, 1]
    assert f.cost(Formula("y", [line("sugar", 1001, 1.4, 1000)])).lines[0].packs == 2


def test_a_formula_without_prices_has_no_cost_and_says_what_to_do():
    with pytest.raises(FaultsError, match="Give price and pack"):
        f.cost(AGAR)
    assert f.analysis(AGAR).cost is None


def test_allergens_are_certain_or_to_be_asked_for_and_never_both():
    holds = {one.allergen: one for one in f.allergens(MILKY)}
    assert holds["milk"].certain
    assert holds["milk"].ingredients == ("condensed milk, sweetened", "white chocolate")
    assert holds["soya"].certain
    assert not holds["sulphites"].certain
    assert len(holds) == len(f.allergens(MILKY))


def test_fish_gelatin_is_an_allergen_and_wheat_glucose_is_not_called_gluten():
    made = Formula("fish", [line("gelatin, fish", 5), line("glucose syrup", 100)])
    assert [one.allergen for one in f.allergens(made) if one.certain] == ["fish"]
    assert "gluten" not in [one.allergen for one in f.allergens(made)]


def test_gelatin_is_not_for_vegetarians_and_a_halal_answer_is_never_yes():
    assert f.diets(MILKY)["vegetarian"].because == ("gelatin leaf",)
    assert f.diets(AGAR)["vegan"].answer == "yes"
    assert f.diets(AGAR)["halal"].answer == "ask"
    for name in ingredients():
        one = f.diets(Formula("one", [line(name, 10)]))
        assert {one["halal"].answer, one["kosher"].answer} <= {"no", "ask"}
        if one["vegetarian"].answer == "no":
            assert one["vegan"].answer == "no"


@pytest.mark.parametrize("name", ["dark chocolate", "cocoa powder", "colour, in cocoa butter"])
def test_a_vegan_reads_a_label_that_may_name_milk(name):
    diet = f.diets(Formula("one", [line(name, 10)]))["vegan"]
    assert diet.answer == "ask"
    assert diet.because


def test_who_cannot_eat_it_ends_with_the_last_word():
    said = f.who_cannot_eat(MILKY)
    assert said[-1] == safety.LAST_WORD
    assert "It holds milk and lactose: condensed milk, sweetened; white chocolate." in said


def test_a_jam_base_is_told_from_a_neutral_base_by_its_water_and_its_price():
    side = f.compare(JAM, NEUTRAL)
    told = {row.what: (row.first, row.second) for row in side.rows}
    assert told["water"][0] > told["water"][1]
    assert told["fat"][0].m == pytest.approx(0.15, abs=0.1)
    assert any(s.startswith("Jam base holds more water") for s in side.sentences)
    assert any(s.startswith("Neutral base costs more") for s in side.sentences)


def test_a_comparison_turned_round_says_the_same():
    one, two = f.compare(JAM, MILKY), f.compare(MILKY, JAM)
    assert set(one.sentences) == set(two.sentences)
    assert [r.first for r in one.rows] == [r.second for r in two.rows]


def test_a_plant_based_set_is_told_as_another_technique_and_gives_no_mass():
    text = " ".join(f.plant_based(MILKY))
    assert "another technique" in text
    assert "Agar" in text
    assert "Pectin" in text
    assert " g " not in text
    assert [t.agent for t in f.gelling(AGAR)] == ["agar"]
    assert any("two techniques" in s for s in f.compare(MILKY, AGAR).sentences)


def test_the_unit_of_a_line_does_not_matter():
    kilos = Formula("k", [Line("sugar", q(0.6, "kg")), Line("water", q(0.4, "kg"))])
    grams = Formula("g", [line("sugar", 600), line("water", 400)])
    assert f.sugar_in_water(kilos).m == pytest.approx(f.sugar_in_water(grams).m)
    assert f.density(kilos, q(68, "degF")).m == pytest.approx(f.density(grams).m)


def test_a_freezer_as_store_is_refused_with_the_range():
    with pytest.raises(FaultsError, match=r"out of range.*from 0 to 100 °C"):
        f.supersaturation(MILKY, q(-18, "degC"))


def test_the_analysis_is_what_the_functions_answer_one_by_one():
    whole = f.analysis(MILKY, q(10, "degC"))
    assert whole.supersaturation == f.supersaturation(MILKY, q(10, "degC"))
    assert whole.freezing_point == mixture.freezing_point(mixture.glaze(MILKY))
    assert whole.lactose_saturation == mixture.lactose_saturation(
        mixture.glaze(MILKY), q(10, "degC")
    )
    assert whole.water_activity == f.water_activity(MILKY)
    assert whole.cost == f.cost(MILKY)
    assert whole.volume.m * whole.density.m / 1000 == pytest.approx(whole.mass.m)
