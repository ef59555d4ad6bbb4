"""How thick a formula is when it is warm, from its syrup, its gelatin and its fat."""

from __future__ import annotations

from calculators import glaze_flow, mixture
from calculators.formula.amounts import FORMULA, density
from calculators.formula.model import Formula
from calculators.formula.water import thin
from calculators.ingredients import SUGARS
from calculators.room import room_alone
from calculators.units import Band, Measure, Quantity, calculator, q

_STRONGEST = 85.0  # percent sugars beside water, up to which syrups were measured


@calculator(returns="a band in Pa*s", formula=FORMULA, temperature=Measure("degC", 20, 100))
def viscosity(formula: Formula, temperature: Quantity) -> Band:
    """Return how thick a warm glaze is, by what is in it.

    ``mixture.viscosity`` of its syrup, times what gelatin and drops of fat do

    Parameters
    ----------
    formula : Formula
        With water in it.
    temperature : quantity
        Some degrees above where it sets, 20 to 100 °C.

    Returns
    -------
    Band
        In Pa s, from memory: a factor of two either way, which one bench reading narrows
        (``glaze_flow.calibrated``).

    Examples
    --------
    >>> from calculators.kitchen import Line
    >>> lines = [Line("water", q(230, "g")), Line("sugar", q(280, "g"))]
    >>> glaze = Formula("g", [*lines, Line("glucose syrup", q(280, "g"))])
    >>> print(glaze.name, viscosity(glaze, q(60, "degC")).typical < viscosity(glaze, q(34, "degC")).typical)
    g True

    Notes
    -----
    *Watch out*: pectin, starch, fruit and cocoa thicken a glaze too, and are not in it.
    A syrup stronger than 85 % is taken at 85 %: nobody measured a stronger one.

    Source: [genotelle1978], [crc-aqueous2021], [huggins1942], [krieger-dougherty1959];
    numbers of gelatin and fat from memory.
    """
    sugars, water = formula.of(*SUGARS), formula.of("water")
    if (lacks := sugars * (100 - _STRONGEST) / _STRONGEST - water) > 0:
        formula = thin(formula, q(lacks * (1 + 1e-9), "g"))
    serum = mixture.viscosity(mixture.glaze(formula), temperature).typical.to("Pa*s")
    room = sum(formula.grams) / density(formula, temperature).m_as("g/cm**3")  # cm³
    fat = room_alone(formula.of("fat"), "fat", temperature.m_as("degC"))
    gelatin = 1000 * formula.of("gelatin") / (room - fat)
    return glaze_flow.viscosity(serum, q(gelatin, "kg/m**3"), q(100 * fat / room, "percent"))
