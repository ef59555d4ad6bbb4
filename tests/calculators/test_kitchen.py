"""What a kitchen says of itself that is not written in its scheme."""

import pytest

from calculators.kitchen import Kitchen, kitchen_of
from calculators.units import q


def kitchen(**other: str) -> Kitchen:
    given = {
        "altitude": "430 m",
        "room": "22 °C",
        "humidity": "60 %",
        "freezer": "-18 °C",
        "hob": "2 kW",
        "blender": "600 W",
        "jug": "11 cm",
        "blade": "2.5 cm",
        "scale": "1 g",
        "gelatin_grade": "silver",
        "gelatin_bloom": "160 bloom",
        "gelatin_wanted": "gold",
        "glucose": "confectioner",
        "window_low": "31 °C",
        "window_high": "34 °C",
        "storage": "4 °C",
        "display": "4 °C",
        "region": "EU",
        "formula_name": "glaze",
        "formula": [("water", "100 g", "", "")],
        "cakes": [],
    }
    return kitchen_of(**{**given, **other})


@pytest.mark.parametrize(("storage", "said"), [("4 °C", 4), ("0 °C", 0), ("-2 °C", 0)])
def test_a_fridge_below_the_ice_point_counts_as_0_degrees_for_a_syrup(storage, said):
    assert kitchen(storage=storage).fridge == q(said, "degC")


@pytest.mark.parametrize(("room", "said"), [("22 °C", 22), ("30 °C", 29), ("40 °C", 29)])
def test_a_jug_cools_in_air_that_is_colder_than_the_window_even_in_a_hot_room(room, said):
    assert kitchen(room=room).air == q(said, "degC")
