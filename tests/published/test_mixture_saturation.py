"""How much lactose and sucrose water keeps dissolved.

[hudson1908] as reprinted: final solubility of lactose, published; the row of 39 °C is held
out of the table that is read.  Visser 1982, a polynomial in public code: published; it is
10 % above others at 20 °C.  Fox and McSweeney, as told by a page on dairy chemistry: finally
18.2 g: published.  Sucrose alone: [vavrinecz1962], see ``test_sucrose_solubility``.
"""

import pytest

from calculators import mixture, syrup
from calculators.mixture import Mixture
from calculators.units import q


def kept(celsius):
    """Return the g of lactose in 100 g of water that are just full."""
    of_ten = mixture.lactose_saturation(
        Mixture(q(100, "g"), {"lactose": q(10, "g")}), q(celsius, "degC")
    )
    return 10 / of_ten.typical.m


HUDSON = [
    (0, 11.9, 0.06),
    (25, 21.6, 0.06),
    (39, 31.5, 0.05),
    (49, 42.4, 0.06),
    (74, 86.2, 0.06),
    (89, 139.2, 0.05),
]


@pytest.mark.parametrize(("celsius", "printed", "tolerance"), HUDSON)
def test_water_keeps_as_much_lactose_as_hudson_found(celsius, printed, tolerance):
    assert kept(celsius) == pytest.approx(printed, rel=tolerance)


def test_at_20_degrees_water_finally_keeps_18_g():
    assert kept(20) == pytest.approx(18.2, abs=1.5)


@pytest.mark.parametrize("t", [0, 10, 20, 30, 40, 50, 60, 70, 80])
def test_visser_s_polynomial_lies_near_the_band(t):
    visser = 12.23 + 0.3375 * t + 0.001236 * t**2 + 7.257e-5 * t**3 + 5.188e-7 * t**4
    assert kept(t) == pytest.approx(visser, rel=0.12)


def test_sucrose_alone_is_full_where_its_table_says():
    for celsius in (0, 20, 60, 100):
        full = syrup.solubility(q(celsius, "degC")).m
        pan = Mixture(q(100 - full, "g"), {"sucrose": q(full, "g")})
        found = mixture.sucrose_saturation(pan, q(celsius, "degC"))
        assert found.typical.m == pytest.approx(1, abs=1e-9)


HERZFELD = [(20, 203.9), (50, 260.4)]  # g of sucrose in 100 g of water, [herzfeld1892]


@pytest.mark.parametrize(("celsius", "printed"), HERZFELD)
def test_the_old_table_lies_inside_the_band(celsius, printed):
    pan = Mixture(q(100, "g"), {"sucrose": q(printed, "g")})
    assert q(1.0) in mixture.sucrose_saturation(pan, q(celsius, "degC"))


def test_other_sugars_hold_sucrose_down_as_cane_practice_says():
    """1 - 0.088 for each gram to a gram of water, from memory."""
    one = Mixture(q(100, "g"), {"sucrose": q(100, "g")})
    two = Mixture(q(100, "g"), {"sucrose": q(100, "g"), "glucose": q(100, "g")})
    lifted = mixture.sucrose_saturation(two).typical / mixture.sucrose_saturation(one).typical
    assert lifted.m == pytest.approx(1 / (1 - 0.088), rel=1e-6)


def test_sucrose_leaves_40_to_80_percent_of_lactose_dissolved():
    """In 40 to 70 % syrup, [nickerson-moore1972] as quoted: from memory."""
    for percent, low, high in ((40, 0.7, 0.9), (70, 0.33, 0.5)):
        sucrose = 100 * percent / (100 - percent)
        made = Mixture(q(100, "g"), {"lactose": q(10, "g"), "sucrose": q(sucrose, "g")})
        there = 10 / mixture.lactose_saturation(made, q(20, "degC")).typical.m
        assert low < there / kept(20) < high
