"""How strong a syrup is: by weighing, density, hydrometer or refractometer."""

from __future__ import annotations

from collections.abc import Sequence

from calculators import water
from calculators.faults import fault_error
from calculators.units import Measure, Quantity, calculator, float_calculator, q, say, solve

VAVRINECZ, HERZFELD, CHARLES = "Vavrinecz 1962", "Herzfeld 1892", "Charles 1960"
MODERN, BROWNE = "Starzak and Peacock 1997", "Browne 1912"

MASS = Measure("g", 0)
_MODULUS = Measure("", 140, 150)
AT_20_C, AT_25_C, SEA_LEVEL = q(20, "degC"), q(25, "degC"), q(0, "m")
_145 = q(145, "")


# --- how strong is it? ---------------------------------------------------------------


@calculator(returns="percent", sugar=MASS, water=MASS)
def brix(sugar: Quantity, water: Quantity) -> Quantity:
    """Return the strength of a syrup from what was weighed into it.

    brix = sugar / (sugar + water)

    Parameters
    ----------
    sugar, water : quantity
        Masses, 0 g or more; not both 0.

    Returns
    -------
    quantity
        In percent, which is degrees Brix; as good as the scales.

    Examples
    --------
    >>> print(say(brix(q(300, "g"), q(150, "g"))))
    66.7 %

    Notes
    -----
    *Watch out*: weigh the water.  A litre of syrup is not a litre of water with
    sugar in it.  Source: a balance of masses.
    """
    if sugar.m + water.m == 0:
        raise fault_error(
            "brix",
            "has neither sugar nor water",
            "0 g",
            "Both together must be above 0 g",
            "Weigh one in",
        )
    return q(100 * sugar.m / (sugar.m + water.m), "percent")


@calculator(returns="g/kg", brix=Measure("percent", 0, 99))
def sugar_per_water(brix: Quantity) -> Quantity:
    """Return how much sugar there is to a kilogram of water.

    brix / (100 - brix): the other way in which handbooks tell strength.

    Parameters
    ----------
    brix : quantity
        Strength, 0 to 99 %.

    Returns
    -------
    quantity
        In g/kg.  Divide by ten for the handbook's *g in 100 g of water*.

    Examples
    --------
    >>> print(say(sugar_per_water(q(50, "percent"))))
    1000 g/kg

    Notes
    -----
    *Watch out*: 67 % and *200 g in 100 g of water* are the same syrup.
    Source: a balance of masses.
    """
    return q(1000 * brix.m / (100 - brix.m), "g/kg")


@float_calculator(
    returns="kg/m**3", brix=Measure("percent", 0, 95), temperature=Measure("degC", 0, 100)
)
def density(brix: float, temperature: float = 20) -> float:
    """Return how heavy a volume of syrup is.

    density = water's + sum of b[k][i] w^i ((t - 20) / 100)^k, w = brix / 100.

    Parameters
    ----------
    brix : quantity
        Strength.  Measured from 0 to 80 %; from there to 95 % the equation goes on
        smoothly and nobody vouches for it.
    temperature : quantity
        Measured from 0 to 80 °C; goes on to 100 °C.

    Returns
    -------
    quantity
        In kg/m³, good to 0.1 kg/m³ below 50 % and 0.5 kg/m³ above.

    Examples
    --------
    >>> print(say(density(q(60, "percent")), digits=5))
    1286.6 kg/m³

    Notes
    -----
    *Watch out*: the handbook table *density of a saturated syrup by temperature*
    is measured cool; a hot syrup is lighter than it says.

    The older handbooks [crc-sucrose] are lower above 46 %, by 0.2 at 60 % and 0.5
    at 80 %.  Source: ``[icumsa-sps4]``, the more recent measurement.
    """
    w, warmth = brix / 100, (temperature - 20) / 100
    added = polynomial_at([polynomial_at(row, w) for row in _DENSITY], warmth)
    return water.density.floats(temperature) + w * added


@calculator(
    returns="percent", density=Measure("kg/m**3", 900, 1600), temperature=Measure("degC", 0, 100)
)
def brix_from_density(density: Quantity, temperature: Quantity = AT_20_C) -> Quantity:
    """Return the strength of a syrup from its weighed volume.

    :func:`density`, solved for the strength.

    Parameters
    ----------
    density : quantity
        Mass over volume, from that of water to that of a 95 % syrup.
    temperature : quantity
        Of the syrup when its volume was read, 0 to 100 °C.

    Returns
    -------
    quantity
        In percent.  An error of 1 kg/m³ is 0.2 %.

    Examples
    --------
    >>> print(say(brix_from_density(q(1.2866, "kg/l"))))
    60 %

    Notes
    -----
    *Watch out*: bubbles in the jug read as less sugar.  Source: [icumsa-sps4].
    """
    return q(_brix_from_density(density.m, temperature.m), "percent")


@calculator(returns="degree_baume", brix=Measure("percent", 0, 95), modulus=_MODULUS)
def baume(brix: Quantity, modulus: Quantity = _145) -> Quantity:
    """Return what a Baumé hydrometer shows in a syrup at 20 °C.

    Bé = modulus (1 - 1 / specific gravity)

    Parameters
    ----------
    brix : quantity
        Strength; measured to 80 %, goes on to 95 %.
    modulus : number
        145 for the sugar trade's scale; 144.3 for the old *rational* scale that
        some European hydrometers carry; 140 to 150.

    Returns
    -------
    quantity
        In degrees Baumé, good to 0.05 for the modulus named.

    Examples
    --------
    >>> print(say(baume(q(60, "percent"))))
    32.5 °Bé

    Notes
    -----
    *Watch out*: a Baumé figure without its modulus is worth no more than 0.2
    degrees.  The rational scale belongs to 15 °C; read here at 20 °C it is about
    0.05 out.  Source: [mohos2010], appendix 2; [icumsa-sps4] for the gravity.
    """
    return q(modulus.m * (1 - _WATER_20 / density.floats(brix.m, 20)), "degree_baume")


@calculator(returns="percent", reading=Measure("degree_baume", 0, 52), modulus=_MODULUS)
def brix_from_baume(reading: Quantity, modulus: Quantity = _145) -> Quantity:
    """Return the strength of a syrup from a Baumé hydrometer at 20 °C.

    specific gravity = modulus / (modulus - Bé), then :func:`brix_from_density`.

    Parameters
    ----------
    reading : quantity
        In degrees Baumé, from 0 to that of a 95 % syrup: 49.5 for a modulus of 145.
    modulus : number
        As for :func:`baume`.

    Returns
    -------
    quantity
        In percent.  A tenth of a degree read wrong is 0.2 %.

    Examples
    --------
    >>> print(say(brix_from_baume(q(30, "degree_baume"))))
    55.2 %

    Notes
    -----
    *Watch out*: in a hot syrup the hydrometer shows too little, about 1 °Bé for
    25 °C.  Cool the sample.  Source: [mohos2010], appendix 2; [icumsa-sps4].
    """
    gravity = modulus.m / (modulus.m - reading.m)
    return q(_brix_from_density(gravity * _WATER_20, 20, reading), "percent")


@float_calculator(returns="", brix=Measure("percent", 0, 85))
def refractive_index(brix: float) -> float:
    """Return how strongly a syrup bends light, at 20 °C and 589 nm.

    n = polynomial of degree 5 in brix.

    Parameters
    ----------
    brix : quantity
        Strength, 0 to 85 %.

    Returns
    -------
    quantity
        A plain number.  The curve meets the trade's table of 1974 to 0.00001,
        which is closer than any refractometer of the bench reads.

    Examples
    --------
    >>> print(say(refractive_index(q(50, "percent")), digits=5))
    1.4201

    Notes
    -----
    *Watch out*: the scale is that of sucrose.  Glucose syrup bends light
    differently, and milk or gelatin make the reading worthless.

    The official equation was not at hand; this is our fit to the printed table.
    Source of the table: [icumsa-sps3].
    """
    return polynomial_at(_INDEX, brix)


@calculator(returns="percent", index=Measure("", 1.3329, 1.50399))
def brix_from_refractive_index(index: Quantity) -> Quantity:
    """Return the strength of a syrup from its refractive index at 20 °C.

    :func:`refractive_index`, solved for the strength.

    Parameters
    ----------
    index : number
        1.3329 (water, less a misreading) to 1.50399 (85 %).

    Returns
    -------
    quantity
        In percent.  An error of 0.0001 is 0.05 %.

    Examples
    --------
    >>> print(say(brix_from_refractive_index(q(1.4201, ""))))
    50 %

    Notes
    -----
    *Watch out*: 5 °C too warm reads 0.4 % too little.  Source: [icumsa-sps3].
    """
    n = min(max(index.m, refractive_index.floats(0)), refractive_index.floats(85))
    return q(solve(lambda b: refractive_index.floats(b) - n, 0, 85), "percent")


_WATER_20 = water.density.floats(20)
_TABLED = 0.05  # kg/m³, which is 0.01 % of sugar

# [icumsa-sps4]: b[k][i], i from 1.  One copy in circulation prints -3.9646 for
# b[0][4], which moves the density by less than 0.0003 kg/m³.
_DENSITY = (
    (385.1761, 135.3705, 40.9299, -3.9643, 13.4853, -17.2890),
    (-46.2720, -7.1720, 1.1597, 5.1126, 17.5254),
    (59.7712, 7.2491, 12.3630, -35.4791),
    (-47.2207, -21.6977, 27.6301),
    (18.3184, 12.3081),
)
# Our fit to the table of [icumsa-sps3], constant first; largest residual 1e-5.
_INDEX = (
    1.33298642,
    1.42726702e-3,
    5.51772100e-6,
    1.02406021e-8,
    1.60386795e-10,
    -1.09311330e-12,
)


def polynomial_at(coefficients: Sequence[float], x: float) -> float:
    """Return a polynomial at x, coefficients from the constant up."""
    value = 0.0
    for c in reversed(coefficients):
        value = value * x + c
    return value


def _brix_from_density(wanted: float, t: float, given: Quantity | None = None) -> float:
    low, high = water.density.floats(t), density.floats(95, t)
    if not low - _TABLED <= wanted <= high + _TABLED:
        raise fault_error(
            "brix_from_density, density" if given is None else "brix_from_baume, reading",
            "is not that of a syrup",
            say(q(wanted, "kg/m**3") if given is None else given, digits=6),
            f"At {say(q(t, 'degC'))} water has {say(q(low, 'kg/m**3'), places=1)} and "
            f"a 95 % syrup {say(q(high, 'kg/m**3'), places=1)}",
            "Check for bubbles, and that the temperature is that of the syrup",
        )
    inside = min(max(wanted, low), high)
    return solve(lambda b: density.floats(b, t) - inside, 0, 95)
