"""How water behaves in this kitchen: how heavy, how thin, and where it boils.

Each formula is checked against the reference equations of the International
Association for the Properties of Water and Steam, through two public libraries.
"""

from __future__ import annotations

import math

from calculators.units import Measure, Quantity, calculator, float_calculator, q, solve

KELVIN = 273.15  # 0 °C in kelvin, by definition
GAS_CONSTANT = 8.314462618  # J/mol/K, exact to these digits, [si-brochure]
GAS_IN_KJ = GAS_CONSTANT / 1000  # kJ/mol/K
MOLAR_MASS = 18.015  # g/mol, H2O
ALTITUDE = Measure("m", -430, 9000)  # the Dead Sea shore to the highest summit
NORMAL_PRESSURE = 101.325  # kPa, the standard atmosphere, [iso2533]
_SEA_LEVEL = q(0, "m")


@float_calculator(returns="kg/m**3", temperature=Measure("degC", 0, 100))
def density(temperature: float = 20) -> float:
    """Return how heavy a volume of water is, at normal air pressure.

    density = polynomial of degree 5 in t / (1 + 0.01687985 t), with t in °C.

    Parameters
    ----------
    temperature : quantity
        Of the water, 0 to 100 °C.

    Returns
    -------
    quantity
        In kg/m³, good to 0.02 kg/m³.

    Examples
    --------
    >>> print(say(density(q(20, "degC")), digits=5))
    998.2 kg/m³

    Notes
    -----
    *Watch out*: a litre jug of boiling water holds 4 % less than a kilogram.

    Two sets of coefficients are in circulation, one for each temperature scale;
    they differ by less than 0.01 kg/m³.  This is the original of 1975, on which
    the sugar tables stand.  Source: [kell1975], equation 16.
    """
    t, (k0, k1, k2, k3, k4, k5) = temperature, _KELL
    return (k0 + t * (k1 + t * (k2 + t * (k3 + t * (k4 + t * k5))))) / (1 + 16.879850e-3 * t)


@float_calculator(returns="mPa*s", temperature=Measure("degC", 0, 100))
def viscosity(temperature: float = 20) -> float:
    """Return how thick water is: the yardstick for every syrup.

    viscosity = sum of four powers of T / 300 K.

    Parameters
    ----------
    temperature : quantity
        Of the water, 0 to 100 °C.

    Returns
    -------
    quantity
        In mPa s, good to 1 %.

    Examples
    --------
    >>> print(say(viscosity(q(20, "degC"))))
    1 mPa s

    Notes
    -----
    Source: [patek2009], equation for 0.1 MPa (also IAPWS SR6-08).
    """
    part = (temperature + KELVIN) / 300
    return float(sum(a * part**b for a, b in _VISCOSITY)) / 1000


@float_calculator(returns="kPa", temperature=Measure("degC", 0, 200))
def vapour_pressure(temperature: float) -> float:
    """Return how hard water pushes to become steam.

    ln(p / pc) = (Tc / T) (a1 d + a2 d^1.5 + a3 d^3 + a4 d^3.5 + a5 d^4 + a6 d^7.5),
    d = 1 - T / Tc.

    Parameters
    ----------
    temperature : quantity
        Of the water, 0 to 200 °C.

    Returns
    -------
    quantity
        In kPa, good to 0.1 %.

    Examples
    --------
    >>> print(say(vapour_pressure(q(100, "degC")), digits=4))
    101.4 kPa

    Notes
    -----
    *Watch out*: this is over liquid water.  Over ice the pressure is lower.
    Source: [wagner-pruss1993], equation 1.
    """
    kelvin = temperature + KELVIN
    d = 1 - kelvin / _TC
    return _PC / 1000 * math.exp(_TC / kelvin * sum(a * d**i for a, i in _P))


@float_calculator(returns="kJ/kg", temperature=Measure("degC", 0, 200))
def latent_heat(temperature: float = 100) -> float:
    """Return the heat it takes to turn water into steam.

    L = T (dp/dT) (1/rho_steam - 1/rho_water), the law of Clapeyron.

    Parameters
    ----------
    temperature : quantity
        At which it evaporates, 0 to 200 °C.

    Returns
    -------
    quantity
        In kJ/kg, good to 0.1 %.

    Examples
    --------
    >>> print(say(latent_heat(q(100, "degC")), digits=3))
    2260 kJ/kg

    Notes
    -----
    *Watch out*: it is five times the heat from ice water to the boil.  Steam that
    meets skin gives all of it back, which is why steam scalds worse than water.
    Source: [wagner-pruss1993], equations 1 to 3.
    """
    kelvin = temperature + KELVIN
    d = 1 - kelvin / _TC
    rho_water = _RHOC * (1 + sum(b * d ** (i / 3) for b, i in _LIQUID))
    rho_steam = _RHOC * math.exp(sum(c * d ** (i / 6) for c, i in _STEAM))
    p = 1000 * vapour_pressure.floats(temperature)
    slope = -p / kelvin * (math.log(p / _PC) + sum(a * i * d ** (i - 1) for a, i in _P))
    return kelvin * slope * (1 / rho_steam - 1 / rho_water) / 1000


@calculator(returns="min", mass=Measure("g", 0), power=Measure("W", above=0), altitude=ALTITUDE)
def time_to_boil_off(mass: Quantity, power: Quantity, altitude: Quantity = _SEA_LEVEL) -> Quantity:
    """Return how long a pan on the boil needs to lose water as steam.

    time = mass x latent heat / power

    Parameters
    ----------
    mass : quantity
        Of the water that goes, 0 g or more.
    power : quantity
        That reaches the pan, above 0 W: less than the label of the hob says.
    altitude : quantity
        Of the kitchen, -430 to 9000 m.

    Returns
    -------
    quantity
        In min, good to 3 % for the power given; the syrup boils already.

    Examples
    --------
    >>> print(say(time_to_boil_off(q(200, "g"), q(1, "kW"))))
    7.52 min

    Notes
    -----
    *Watch out*: some hobs bring less than half of their power into the pan; the
    table ``syrup_hob`` says how much.  Foam that boils over is sugar
    lost and a burn gained.  Source: a balance of heat, with :func:`latent_heat`.
    """
    boils = boiling_point.floats(air_pressure.floats(altitude.m))
    joule = mass.m * latent_heat.floats(boils)
    return q(joule / power.m / 60, "min")


@float_calculator(returns="kPa", altitude=ALTITUDE)
def air_pressure(altitude: float = 0) -> float:
    """Return the pressure of the air at a kitchen's height above the sea.

    p = 101.325 kPa x (1 - 2.25577e-5 h)^5.25588, with h in metres.

    Parameters
    ----------
    altitude : quantity
        Height above sea level, -430 to 9000 m.

    Returns
    -------
    quantity
        In kPa: the standard atmosphere.  The weather moves it by some 2 %.

    Examples
    --------
    >>> print(say(air_pressure(q(1600, "m"))))
    83.5 kPa

    Notes
    -----
    *Watch out*: weather stations report pressure *reduced to sea level*; that
    figure is not the pressure in a mountain kitchen.  Source: [iso2533].
    """
    return NORMAL_PRESSURE * float((1 - 2.25577e-5 * altitude) ** 5.25588)


@float_calculator(returns="degC", pressure=Measure("kPa", 1, 1000))
def boiling_point(pressure: float = NORMAL_PRESSURE) -> float:
    """Return where water boils under a pressure: what a thermometer must show.

    The temperature at which :func:`vapour_pressure` equals the pressure.

    Parameters
    ----------
    pressure : quantity
        Of the air, or inside a pressure cooker; 1 to 1000 kPa, absolute.

    Returns
    -------
    quantity
        In °C, good to 0.02 °C for the pressure given.

    Examples
    --------
    >>> print(say(boiling_point(air_pressure(q(2000, "m")))))
    93.3 °C

    Notes
    -----
    *Watch out*: a gauge shows the pressure *above* that of the air; add the air's.
    Source: [wagner-pruss1993], equation 1, solved for the temperature.
    """
    wanted = math.log(pressure)
    return solve(lambda t: math.log(vapour_pressure.floats(t)) - wanted, 0, 200)


# --- what the equations were fitted with ----------------------------------------------

# [kell1975], equation 16: numerator from the constant upwards.
_KELL = (
    999.83952,
    16.945176,
    -7.9870401e-3,
    -46.170461e-6,
    105.56302e-9,
    -280.54253e-12,
)
_TC, _PC, _RHOC = 647.096, 22.064e6, 322.0  # critical point: K, Pa, kg/m³
# [wagner-pruss1993]: (factor, power of 1 - T/Tc)
_P = (
    (-7.85951783, 1),
    (1.84408259, 1.5),
    (-11.7866497, 3),
    (22.6807411, 3.5),
    (-15.9618719, 4),
    (1.80122502, 7.5),
)
# (factor, thirds of a power)
_LIQUID = (
    (1.99274064, 1),
    (1.09965342, 2),
    (-0.510839303, 5),
    (-1.75493479, 16),
    (-45.5170352, 43),
    (-6.74694450e5, 110),
)
# (factor, sixths of a power)
_STEAM = (
    (-2.03150240, 2),
    (-2.68302940, 4),
    (-5.38626492, 8),
    (-17.2991605, 18),
    (-44.7586581, 37),
    (-63.9201063, 71),
)
# [patek2009]: (factor in µPa s, power of T / 300 K)
_VISCOSITY = ((280.68, -1.9), (511.45, -7.7), (61.131, -19.6), (0.45903, -40.0))
