"""Facts of the trade that the house stands on, one by one.

Source: none.  Provenance: common practice, each of them, and each says so where it
is kept.  Columns, as sentences: the fact, its value, its unit; a tolerance of 1 in
the last figure where one is given.
"""

import pytest

from calculators import coating, colour, cooling, formula, gelatin, glucose, marbling
from calculators.sources import table
from calculators.units import COMMON_PRACTICE, q

HUNDRED = q(100, "g")


def test_liquid_glucose_of_small_packs_is_60_percent_sugar_and_40_percent_water():
    parts = glucose.split(HUNDRED, "home pack")
    assert parts.solids.to("g").m == pytest.approx(60, abs=1)
    assert parts.water.to("g").m == pytest.approx(40, abs=1)
    solids, _ = glucose.label("home pack")
    assert solids.provenance == COMMON_PRACTICE


def test_a_base_above_80_degrees_begins_to_take_strength_from_gelatin():
    verdict = gelatin.good_for_gelatin(q(81, "degC"))
    assert not verdict.good
    assert verdict.highest.to("degC").m == 80
    assert verdict.provenance == COMMON_PRACTICE
    assert gelatin.BENCH["begins to lose"].provenance == COMMON_PRACTICE
    assert gelatin.good_for_gelatin(q(79, "degC")).good


def test_a_marbled_glaze_is_poured_from_31_to_34_degrees():
    assert cooling.WINDOW_LOW.to("degC").m == pytest.approx(31, abs=1)
    assert cooling.WINDOW_HIGH.to("degC").m == pytest.approx(34, abs=1)
    verdicts = [cooling.window(q(t, "degC")).verdict for t in (29, 31, 34, 36)]
    assert verdicts == ["below", "in", "in", "above"]
    rows = table("cooling")
    assert rows["window low"].provenance == COMMON_PRACTICE
    assert rows["window high"].provenance == COMMON_PRACTICE


def test_the_predominant_colour_has_at_least_half_and_the_others_about_a_quarter():
    rows = table("marbling")
    assert marbling.dominant_share().to("percent").m == 50
    assert rows["dominant share"].provenance == COMMON_PRACTICE
    usual = {"white": 0.5, "red": 0.25, "blue": 0.25}
    assert marbling.dominance(usual).enough
    assert not marbling.dominance({"white": 0.48, "red": 0.26, "blue": 0.26}).enough


@pytest.mark.parametrize(
    ("kind", "effect"),
    [
        ("water-based liquid", colour.THINS),
        ("oil-based powder", colour.LEAVES),
        ("titanium white", colour.THICKENS),
    ],
)
def test_a_colourant_changes_the_glaze_in_this_direction(kind, effect):
    assert colour.consistency(kind) == effect
    assert colour.kinds()[kind].provenance == COMMON_PRACTICE


def test_each_reheating_drives_off_water_that_a_reused_glaze_needs_back():
    fact = next(row for row in coating.reuse() if row.name == "reheating")
    assert fact.provenance == COMMON_PRACTICE
    assert "needs water back" in fact.note
    # Direction only: the glaze lost mass on the hob, so water goes back in.
    assert formula.water_to_give_back(q(1000, "g"), q(960, "g")) > q(0, "g")


def test_mixed_left_overs_of_a_marble_turn_grey_and_are_recoloured_dark():
    fact = next(row for row in coating.reuse() if row.name == "left-over colour")
    assert fact.provenance == COMMON_PRACTICE
    assert "turn grey and are recoloured dark" in fact.note
    # Direction only: the mixture of three bright jugs is greyer than each of them.
    jugs = {"yellow": "#f2c230", "blue": "#2757a5", "red": "#c1272d"}
    mixed = marbling.left_over_colour(dict.fromkeys(jugs, HUNDRED), jugs)
    greyness = colour.lab(mixed).chroma
    assert all(greyness < colour.lab(jug).chroma for jug in jugs.values())
