"""Pictures of Kitchen first are the same each time and say their numbers in words."""

import pytest

from calculators.cooling import cooling_log
from calculators.units import q
from course.kit.pictures import kitchen

LOG = [
    (q(0, "min"), q(82, "degC")),
    (q(70, "min"), q(57, "degC")),
    (q(310, "min"), q(21, "degC")),
    (q(540, "min"), q(4, "degC")),
]
FAST = [(q(0, "min"), q(82, "degC")), (q(10, "min"), q(60, "degC")), (q(60, "min"), q(4, "degC"))]
DRAWN = {
    "burn times": lambda: kitchen.burn_times(q(118, "degC"), q(34, "degC")),
    "logs": lambda: kitchen.two_logs({"slow": LOG, "fast": FAST}, "US"),
    "boiling": lambda: kitchen.boiling_by_altitude(q(2250, "m")),
    "thermometer": lambda: kitchen.thermometer_line(
        q(1, "degC"), q(97, "degC"), q(98.5, "degC"), [q(34, "degC"), q(118, "degC")]
    ),
    "scale": lambda: kitchen.scale_error(q(1, "g"), [q(3, "g"), q(300, "g")]),
}
SAYS = {
    "burn times": ["6 s at 60 °C", "5 min at 48.9 °C", "118 °C"],
    "logs": ["slow takes 4 h", "57 °C", "21 °C"],
    "boiling": ["92.5 °C", "100 °C"],
    "thermometer": ["+1.0 °C in ice", "−1.5 °C in boiling water"],
    "scale": ["33\xa0% of 3 g", "0.33\xa0% of 300 g"],
}


@pytest.mark.parametrize("name", DRAWN)
def test_a_picture_is_drawn_the_same_each_time(name):
    assert DRAWN[name]().svg == DRAWN[name]().svg


@pytest.mark.parametrize("name", DRAWN)
def test_the_words_for_a_picture_hold_its_numbers(name):
    drawn = DRAWN[name]()
    for words in SAYS[name]:
        assert words in drawn.alt
    assert drawn.caption.endswith(".")


def test_the_burn_picture_marks_each_row_of_the_table_and_draws_no_curve():
    svg = DRAWN["burn times"]().svg
    for row in ("48.9 °C", "54.4 °C", "60 °C", "65.6 °C"):
        assert row in svg


@pytest.mark.parametrize("region", ["US", "AU", "CA"])
def test_logs_are_drawn_for_every_region_that_has_times(region):
    assert cooling_log.steps(region)
    assert kitchen.two_logs({"slow": LOG, "fast": FAST}, region).alt


@pytest.mark.parametrize("step", [0.001, 0.1, 1, 5, 50])
def test_a_scale_of_any_step_can_be_drawn(step):
    assert kitchen.scale_error(q(step, "g"), [q(3, "g"), q(300, "g")]).alt
