"""The equations of the mixture models, beside a library of thermodynamics.

``thermo``: UNIQUAC in its ordinary form.  Its second combinatorial term falls away where
each size equals its surface, so that its residual part can be taken out and compared.
"""

import math

import pytest
from thermo import UNIQUAC

from calculators.mixture import model
from calculators.water import MOLAR_MASS

SYRUP = model.syrup_solids(42.0)
MIXTURES = [  # kinds and grams, beside 40 g of water
    [(model.species("sucrose"), 60.0)],
    [(model.species("glucose"), 50.0)],
    [(model.species("sucrose"), 40.0), (model.species("glucose"), 20.0), (SYRUP, 10.0)],
    [(model.species("sucrose"), 100.0), (model.species("glucose"), 60.0), (SYRUP, 80.0)],
    [(model.species("glucose"), 2.0), (SYRUP, 300.0)],
]
WATER = 40.0


def _logs_of_tau(parts, t):
    """Return ln(tau): water first, sugars indifferent to each other."""
    size = 1 + len(parts)
    logs = [[0.0] * size for _ in range(size)]
    for j, (kind, _) in enumerate(parts, 1):
        e = kind.energies
        logs[j][0] = -(e.to_water + e.to_water_slope * (t - 25)) / (t + 273.15)
        logs[0][j] = -(e.from_water + e.from_water_slope * (t - 25)) / (t + 273.15)
    return logs


@pytest.mark.parametrize("t", [-10.0, 25.0, 105.0])
@pytest.mark.parametrize("parts", MIXTURES, ids=len)
def test_uniquac_agrees_with_the_library_s_residual_part(parts, t):
    moles = [WATER / MOLAR_MASS, *(g / kind.molar_mass for kind, g in parts)]
    xs = [n / sum(moles) for n in moles]
    qs = [model.value("water surface"), *(kind.surface for kind, _ in parts)]
    # The library keeps tau = exp(B / T) with a table of B.
    by_kelvin = [[x * (t + 273.15) for x in row] for row in _logs_of_tau(parts, t)]
    library = UNIQUAC(T=t + 273.15, xs=xs, rs=qs, qs=qs, tau_bs=by_kelvin)
    share = qs[0] / sum(x * s for x, s in zip(xs, qs, strict=True))
    residual = math.log(library.gammas()[0]) - (math.log(share) + 1 - share)
    sizes = [model.value("water size") ** (2 / 3), *(kind.size for kind, _ in parts)]
    free = sizes[0] / sum(x * s for x, s in zip(xs, sizes, strict=True))
    wanted = math.log(xs[0]) + math.log(free) + 1 - free + residual
    assert model.uniquac(parts, WATER, t) == pytest.approx(wanted, abs=1e-9)


def test_one_pool_is_norrish_for_one_sugar():
    """50 % of sucrose: 0.9348 by (1 - x) exp(-6.47 x²), worked out by others."""
    found = math.exp(model.one_pool([(model.species("sucrose"), 50.0)], 50.0))
    assert found == pytest.approx(0.9348, abs=1e-4)


def test_flory_and_huggins_is_raoult_in_a_weak_solution():
    kind = model.species("sucrose")
    found = model.flory_huggins([(kind, 0.1)], 1000.0)
    mole_share = (0.1 / kind.molar_mass) / (1000 / MOLAR_MASS)
    assert -found == pytest.approx(mole_share, rel=0.01)
