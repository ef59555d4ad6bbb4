"""How strong a syrup is, and what its strength makes it do.

Strength is degrees Brix: grams of sugar in 100 grams of syrup, here in percent.
All of it is for table sugar (sucrose) in water, except
:func:`water_activity_of_mixture`.  Milk, gelatin, glucose syrup or a white
colourant in the pan make a real glaze differ.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache
from typing import NamedTuple

from calculators import water
from calculators.faults import Fault, FaultsError, refuse
from calculators.sources import records, table
from calculators.units import (
    Measure,
    OneOf,
    Quantity,
    Thing,
    interpolate,
    q,
    say,
    solve,
    takes,
)
from calculators.water import GAS_CONSTANT, MOLAR_MASS

VAVRINECZ, HERZFELD, CHARLES = "Vavrinecz 1962", "Herzfeld 1892", "Charles 1960"
MODERN, BROWNE = "Starzak and Peacock 1997", "Browne 1912"
NORRISH, MONEY_BORN, GROVER = "Norrish and Ross", "Money and Born 1951", "Grover 1947"

_MASS = Measure("g", 0)
_SOME_MASS = Measure("g", above=0)
_SHARE = Measure("percent", 0, 100)
_SOLUBILITY_OF = OneOf(VAVRINECZ, HERZFELD, CHARLES)
_MODULUS = Measure("", 140, 150)
_20_C, _25_C, _SEA_LEVEL = q(20, "degC"), q(25, "degC"), q(0, "m")
_145 = q(145, "")


# --- how strong is it? ---------------------------------------------------------------


@takes("percent", sugar=_MASS, water=_MASS)
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
        raise refuse(
            "brix",
            "has neither sugar nor water",
            "0 g",
            "Both together must be above 0 g",
            "Weigh one in",
        )
    return q(100 * sugar.m / (sugar.m + water.m), "percent")


@takes("g/kg", brix=Measure("percent", 0, 99))
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


@takes("kg/m**3", brix=Measure("percent", 0, 95), temperature=Measure("degC", 0, 100))
def density(brix: Quantity, temperature: Quantity = _20_C) -> Quantity:
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
    return q(_density(brix.m, temperature.m), "kg/m**3")


@takes("percent", density=Measure("kg/m**3", 900, 1600), temperature=Measure("degC", 0, 100))
def brix_from_density(density: Quantity, temperature: Quantity = _20_C) -> Quantity:
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


@takes("", brix=Measure("percent", 0, 95))
def specific_gravity(brix: Quantity) -> Quantity:
    """Return how many times heavier than water a syrup is, both at 20 °C.

    specific gravity = density / density of water

    Parameters
    ----------
    brix : quantity
        Strength; measured to 80 %, goes on to 95 %.

    Returns
    -------
    quantity
        A plain number, good to 0.0005.

    Examples
    --------
    >>> print(say(specific_gravity(q(60, "percent")), digits=4))
    1.289

    Notes
    -----
    *Watch out*: some handbooks print this number times 1000 under the heading
    *density, kg/m³*.  At 20 °C the two differ by 0.2 %.  Source: [icumsa-sps4].
    """
    return q(_density(brix.m, 20) / _WATER_20, "")


@takes("degree_baume", brix=Measure("percent", 0, 95), modulus=_MODULUS)
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
    return q(modulus.m * (1 - _WATER_20 / _density(brix.m, 20)), "degree_baume")


@takes("percent", reading=Measure("degree_baume", 0, 52), modulus=_MODULUS)
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


@takes("", brix=Measure("percent", 0, 85))
def refractive_index(brix: Quantity) -> Quantity:
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
    return q(_refractive_index(brix.m), "")


@takes("percent", index=Measure("", 1.3329, 1.50399))
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
    *Watch out*: 5 °C too warm reads 0.4 % too little; see
    :func:`refractometer_correction`.  Source: [icumsa-sps3].
    """
    n = min(max(index.m, _refractive_index(0)), _refractive_index(85))
    return q(solve(lambda b: _refractive_index(b) - n, 0, 85), "percent")


@takes("percent", brix=Measure("percent", 10, 75), temperature=Measure("degC", 10, 30))
def refractometer_correction(brix: Quantity, temperature: Quantity) -> Quantity:
    """Return what to add to a refractometer reading that was not taken at 20 °C.

    The line between the neighbours in a table, along both its sides.

    Parameters
    ----------
    brix : quantity
        As read, 10 to 75 %.
    temperature : quantity
        Of the syrup on the prism, 10 to 30 °C.

    Returns
    -------
    quantity
        In percent Brix, below nought where the syrup is cold.  Good to 0.01 up to
        20 °C (published); to 0.05 above (from memory).

    Examples
    --------
    >>> print(say(refractometer_correction(q(60, "percent"), q(15, "degC"))))
    −0.38 %

    Notes
    -----
    *Watch out*: an instrument that compensates by itself must not be corrected
    again.  A hot drop cools on the prism and dries at its edge: let it come to
    room temperature under the closed lid.  Source: [oiv-as2-02], Table I.
    """
    columns, rows = _correction_table()
    at = [(t, interpolate(brix.m, list(zip(columns, row, strict=True)))) for t, row in rows]
    return q(interpolate(temperature.m, at), "percent")


# --- how much sugar will it hold? -------------------------------------------------------


@takes("percent", temperature=Measure("degC", 0, 100), following=_SOLUBILITY_OF)
def solubility(temperature: Quantity = _20_C, following: str = VAVRINECZ) -> Quantity:
    """Return the strongest syrup that does not crystallise in the long run.

    brix = 64.447 + 0.08222 t + 1.6169e-3 t² - 1.558e-6 t³ - 4.63e-8 t⁴ (Vavrinecz)

    Parameters
    ----------
    temperature : quantity
        0 to 100 °C.
    following : str
        ``"Vavrinecz 1962"``, the sugar trade's equation; ``"Herzfeld 1892"``, the
        table in older books; or ``"Charles 1960"``.

    Returns
    -------
    quantity
        In percent.  The three lie within 0.6 % of each other; believe 0.5 %, and 0.6 %
        at 100 °C.

    Examples
    --------
    >>> print(say(solubility(q(20, "degC"))))
    66.7 %
    >>> print(say(solubility(q(20, "degC"), following="Herzfeld 1892")))
    67.1 %

    Notes
    -----
    *Watch out*: the famous *204 g in 100 g of water at 20 °C* is Herzfeld's; the
    modern figure is 200.5.  Glucose syrup in the pan changes both.

    Vavrinecz is followed because the trade's standard does; his coefficients and
    those of Charles are *from memory*, checked against Herzfeld's published table.
    Source: [vavrinecz1962], [herzfeld1892], [charles1960].
    """
    return q(_solubility(temperature.m, following), "percent")


@takes("degC", brix=Measure("percent", 64.447, 82.65))
def full_at(brix: Quantity) -> Quantity:
    """Return the temperature at which a cooling syrup becomes full.

    :func:`solubility`, solved for the temperature.

    Parameters
    ----------
    brix : quantity
        Strength, 64.447 to 82.65 %: that of full syrups from 0 to 100 °C.

    Returns
    -------
    quantity
        In °C.  An error of 0.4 % in the strength is 3 °C at 66 % and 2 °C at 80 %.

    Examples
    --------
    >>> print(say(full_at(q(75, "percent")), digits=2))
    63 °C

    Notes
    -----
    *Watch out*: below it crystals *can* come; when they do is a matter of seeds.
    Source: as :func:`solubility`, Vavrinecz.
    """
    ends = _solubility(0, VAVRINECZ), _solubility(100, VAVRINECZ)
    inside = min(max(brix.m, ends[0]), ends[1])
    return q(solve(lambda t: _solubility(t, VAVRINECZ) - inside, 0, 100), "degC")


@takes(
    "",
    brix=Measure("percent", 0, 99),
    temperature=Measure("degC", 0, 100),
    following=_SOLUBILITY_OF,
)
def supersaturation(
    brix: Quantity, temperature: Quantity = _20_C, following: str = VAVRINECZ
) -> Quantity:
    """Return how far a syrup is past what it can hold.

    (sugar / water in the syrup) / (sugar / water in a saturated one)

    Parameters
    ----------
    brix : quantity
        Strength, 0 to 99 %.
    temperature : quantity
        At which it is kept, 0 to 100 °C.
    following : str
        As for :func:`solubility`.

    Returns
    -------
    quantity
        A plain number: 1 is saturated, above 1 crystals may come.  Good to
        2.5 %; to 4 % near 100 °C, where the sources differ most.

    Examples
    --------
    >>> print(say(supersaturation(q(75, "percent"), q(20, "degC"))))
    1.5

    Notes
    -----
    *Watch out*: above 1 a syrup may stay clear for weeks, and grain within a
    minute once it is stirred or meets a crystal.  Source: as :func:`solubility`.
    """
    full = _solubility(temperature.m, following)
    return q(brix.m / (100 - brix.m) * (100 - full) / full, "")


# --- what does boiling do? --------------------------------------------------------------


@takes(
    "degC", brix=Measure("percent", 0, 99), altitude=water.ALTITUDE, following=OneOf(MODERN, BROWNE)
)
def boiling_point(
    brix: Quantity, altitude: Quantity = _SEA_LEVEL, following: str = MODERN
) -> Quantity:
    """Return where a syrup of this strength boils in a kitchen at this height.

    water activity x vapour pressure of water = pressure of the air

    Parameters
    ----------
    brix : quantity
        Strength, 0 to 99 % (to 90 % for Browne); little is measured above 95 %.
    altitude : quantity
        Of the kitchen, -430 to 9000 m; the standard atmosphere gives the pressure.
    following : str
        ``"Starzak and Peacock 1997"``, from a century of data; or
        ``"Browne 1912"``, the column still copied in textbooks.

    Returns
    -------
    quantity
        In °C.  Its distance from the boiling point of water is good to 10 % up to
        85 % and to 15 % above.  The weather moves it by half a degree.

    Examples
    --------
    >>> print(say(boiling_point(q(85, "percent"))))
    114 °C
    >>> print(say(boiling_point(q(85, "percent"), q(2000, "m"))))
    107 °C

    Notes
    -----
    *Watch out*: Browne stands a quarter to a third too far above water from 70 % up,
    and at 10 % more than twice as far as Raoult's law allows (0.163 °C).  The stages of
    the kitchen do not settle it: soft ball sides with the modern curve, firm ball
    with Browne.  [saska2002] tells how thin the old data are.  For altitude,
    Browne's elevation is put on top of the boiling point of water there.

    Constants of the modern equation are published; its form is *from memory*,
    confirmed against [robinson-stokes1961].  Source: [starzak-peacock1997],
    [browne1912], [iso2533], [wagner-pruss1993].
    """
    pressure = water.air_pressure(altitude).m
    if following == BROWNE:
        return q(water._boiling_point(pressure) + _browne(brix.m), "degC")
    return q(_boiling_point(brix.m, pressure), "degC")


@takes(
    "percent",
    temperature=Measure("degC", 65, 175),
    altitude=water.ALTITUDE,
    following=OneOf(MODERN, BROWNE),
)
def brix_at_boiling(
    temperature: Quantity, altitude: Quantity = _SEA_LEVEL, following: str = MODERN
) -> Quantity:
    """Return how strong a boiling syrup is, from its thermometer.

    :func:`boiling_point`, solved for the strength.

    Parameters
    ----------
    temperature : quantity
        Of the boiling syrup: from that of water at this height to that of a 99 %
        syrup (90 % for Browne).
    altitude, following
        As for :func:`boiling_point`.

    Returns
    -------
    quantity
        In percent, good to 2.5 %: what a tenth of the distance to water's boiling point
        makes of it.

    Examples
    --------
    >>> print(say(brix_at_boiling(q(103, "degC"))))
    60.6 %

    Notes
    -----
    *Watch out*: a thermometer 1 °C out is worth 8 % of sugar at 102 °C and 1 % at
    115 °C.  Check it in boiling water first.  Source: as :func:`boiling_point`.
    """
    pressure = water.air_pressure(altitude).m
    strongest = 90.0 if following == BROWNE else _STRONGEST
    low = water._boiling_point(pressure)
    high = low + _browne(90) if following == BROWNE else _boiling_point(99, pressure)
    if not low - _SAID <= temperature.m <= high + _SAID:
        raise refuse(
            "brix_at_boiling, temperature",
            "is not the boiling point of a syrup",
            say(temperature, digits=6),
            f"At {say(altitude)} water boils at {say(q(low, 'degC'), places=2)} and "
            f"a {strongest:g} % syrup at {say(q(high, 'degC'), places=2)}",
            "Wait until it boils, or check the thermometer in boiling water",
        )
    t = min(max(temperature.m, low), high)
    if following == BROWNE:
        turned = [(rise, b) for b, rise in _browne_table()]
        rise = min(t - low, turned[-1][0])
        return q(interpolate(rise, turned), "percent")
    return q(_brix_boiling_at(t, pressure), "percent")


@dataclass(frozen=True)
class Stage:
    """A stage of boiled sugar, for a kitchen at one height.

    Parameters
    ----------
    name : str
        As the trade calls it.
    low, high : quantity
        The temperatures on the thermometer between which it is met.
    strength : quantity
        Percent of sugar, as teaching tables give it; only where nothing but sugar
        and water is in the pan.
    cold_water : str
        What a little of it does in cold water.
    """

    name: str
    low: Quantity
    high: Quantity
    strength: Quantity
    cold_water: str

    def __str__(self) -> str:
        """Return the stage as it is said at the bench."""
        return f"{self.name}: {say(self.low)} to {say(self.high)}"


@takes("the stages, weakest first", altitude=water.ALTITUDE)
def stages(altitude: Quantity = _SEA_LEVEL) -> tuple[Stage, ...]:
    """Return the stages of boiled sugar with their temperatures at this height.

    Each end of a stage is moved to where a syrup of the same strength boils.

    Parameters
    ----------
    altitude : quantity
        Of the kitchen, -430 to 9000 m.

    Returns
    -------
    tuple of Stage
        From thread to hard crack.  The ends are *common practice*; tables differ
        by 2 °C, by more at thread.

    Examples
    --------
    >>> print(stages(q(1500, "m"))[1])
    soft ball: 107 °C to 111 °C

    Notes
    -----
    *Watch out*: boiling sugar sticks and burns deep.  Long sleeves, no wet tools,
    a bowl of cold water within reach; your local rules and your supervisor come
    first.

    Kitchens lower the target by 1 °C for each 300 m, which is the same thing up to
    hard ball.
    Source: common practice; [mcgee2004].
    """
    here = water.air_pressure(altitude).m
    return tuple(
        Stage(
            row["name"],
            q(_moved(float(row["low"]), _NORMAL_PRESSURE, here), "degC"),
            q(_moved(float(row["high"]), _NORMAL_PRESSURE, here), "degC"),
            q(float(row["strength"]), "percent"),
            row["cold_water"],
        )
        for row in records("syrup_stages")
    )


@takes("the name of a stage", temperature=Measure("degC", 65, 175), altitude=water.ALTITUDE)
def stage(temperature: Quantity, altitude: Quantity = _SEA_LEVEL) -> str:
    """Return the stage of a boiling syrup, from its thermometer.

    The temperature is moved to where a syrup of the same strength boils at the
    sea, and looked up there to the nearest whole degree, as the table is written.

    Parameters
    ----------
    temperature : quantity
        Of the boiling syrup, 65 to 175 °C.
    altitude : quantity
        Of the kitchen, -430 to 9000 m.

    Returns
    -------
    str
        A stage; or *below thread*, *between ... and ...*, *past hard crack*.

    Examples
    --------
    >>> stage(q(114, "degC"))
    'soft ball'
    >>> stage(q(114, "degC"), q(1500, "m"))
    'firm ball'

    Notes
    -----
    *Watch out*: the same thermometer reading is a later stage in the mountains.
    A temperature at which one stage ends and the next begins counts as the later.
    Sugar that has cooled is at no stage: this is for a pan on the boil.  Caution
    and source as :func:`stages`.
    """
    at_sea = round(sea_level_equivalent(temperature, altitude).m)
    rows = records("syrup_stages")
    before = ""
    for row in reversed(rows):
        if at_sea > float(row["high"]):
            return f"between {row['name']} and {before}" if before else f"past {row['name']}"
        if at_sea >= float(row["low"]):
            return row["name"]
        before = row["name"]
    return f"below {before}"


@takes("degC", temperature=Measure("degC", 65, 175), altitude=water.ALTITUDE)
def sea_level_equivalent(temperature: Quantity, altitude: Quantity = _SEA_LEVEL) -> Quantity:
    """Return where a syrup that boils here would boil at the sea.

    The strength stays, the pressure changes.

    Parameters
    ----------
    temperature : quantity
        Of the boiling syrup, 65 to 175 °C.
    altitude : quantity
        Of the kitchen, -430 to 9000 m.

    Returns
    -------
    quantity
        In °C, good to 0.5 °C up to hard ball.  Beyond, the tables of cooks go on taking
        off the same for all stages, and at hard crack and 2300 m differ by 2 °C.

    Examples
    --------
    >>> print(say(sea_level_equivalent(q(109, "degC"), q(1500, "m"))))
    114 °C

    Notes
    -----
    *Watch out*: a recipe's temperature was written near the sea; go the other way
    with :func:`stages`.  Below water's boiling point and above a 99 % syrup's, the
    difference at that end is used.  Source: as :func:`boiling_point`; held against
    [csu-candy].
    """
    here = water.air_pressure(altitude).m
    return q(_moved(temperature.m, here, _NORMAL_PRESSURE), "degC")


@takes("g", mass=_SOME_MASS, brix=_SHARE, wanted=Measure("percent", above=0, high=100))
def water_to_remove(mass: Quantity, brix: Quantity, wanted: Quantity) -> Quantity:
    """Return how much water must boil off to make a syrup as strong as wanted.

    water = mass (1 - brix / wanted)

    Parameters
    ----------
    mass : quantity
        Of the syrup now, above 0 g.
    brix, wanted : quantity
        Strength now, above 0 %, and the higher strength wanted; at most 100 %.

    Returns
    -------
    quantity
        In g, exact: no sugar leaves with the steam.

    Examples
    --------
    >>> print(say(water_to_remove(q(1, "kg"), q(60, "percent"), q(80, "percent"))))
    250 g

    Notes
    -----
    *Watch out*: weigh pan and syrup together before and after; the scale tells
    the strength better than a thermometer.  Source: a balance of masses.
    """
    _some_sugar("water_to_remove", brix)
    if wanted.m < brix.m:
        raise refuse(
            "water_to_remove, wanted",
            "is weaker than the syrup is now",
            say(wanted, digits=6),
            f"It must be at least {say(brix, digits=6)}",
            "Use water_to_add",
        )
    return q(mass.m * (1 - brix.m / wanted.m), "g")


@takes("g", mass=_SOME_MASS, brix=_SHARE, wanted=Measure("percent", above=0, high=100))
def water_to_add(mass: Quantity, brix: Quantity, wanted: Quantity) -> Quantity:
    """Return how much water thins a syrup to the strength wanted.

    water = mass (brix / wanted - 1)

    Parameters
    ----------
    mass : quantity
        Of the syrup now, above 0 g.
    brix, wanted : quantity
        Strength now, at most 100 %, and the lower strength wanted, above 0 %.

    Returns
    -------
    quantity
        In g, exact.

    Examples
    --------
    >>> print(say(water_to_add(q(800, "g"), q(75, "percent"), q(60, "percent"))))
    200 g

    Notes
    -----
    *Watch out*: water in hot sugar spits.  Take the pan off the heat and add it
    slowly; your local rules and your supervisor come first.
    Source: a balance of masses.
    """
    _some_sugar("water_to_add", brix)
    if wanted.m > brix.m:
        raise refuse(
            "water_to_add, wanted",
            "is stronger than the syrup is now",
            say(wanted, digits=6),
            f"It must be at most {say(brix, digits=6)}",
            "Use water_to_remove",
        )
    return q(mass.m * (brix.m / wanted.m - 1), "g")


class Blend(NamedTuple):
    """What comes of pouring syrups together: its mass and its strength."""

    mass: Quantity
    brix: Quantity


@takes("a mass and a strength", parts=Thing((list, tuple), "a list of (mass, brix) pairs"))
def blend(parts: Sequence[tuple[Quantity, Quantity]]) -> Blend:
    """Return the mass and the strength of several syrups poured together.

    brix = sum of mass x brix / sum of mass

    Parameters
    ----------
    parts : list of (mass, brix)
        Mass 0 g or more, strength 0 to 100 %; water is 0 %, dry sugar 100 %.

    Returns
    -------
    Blend
        Its ``mass`` in g and its ``brix`` in percent, exact.

    Examples
    --------
    >>> both = blend([(q(500, "g"), q(70, "percent")), (q(300, "g"), q(30, "percent"))])
    >>> print(say(both.mass), "of", say(both.brix))
    800 g of 55 %

    Notes
    -----
    *Watch out*: average by mass.  Averaging by volume is wrong, since the stronger
    syrup is the heavier.  Source: a balance of masses.
    """
    faults, total, sugar = [], 0.0, 0.0
    for number, part in enumerate(parts, 1):
        where = f"blend, part {number}"
        if not isinstance(part, list | tuple) or len(part) != 2:
            faults.append(
                Fault(
                    where,
                    "is not a pair of mass and brix",
                    repr(part)[:60],
                    "",
                    'Write it like (q(500, "g"), q(70, "percent"))',
                )
            )
            continue
        mass, mass_fault = _MASS.check(f"{where}, mass", part[0])
        share, share_fault = _SHARE.check(f"{where}, brix", part[1])
        faults += [fault for fault in (mass_fault, share_fault) if fault]
        if not (mass_fault or share_fault):
            total += mass.m
            sugar += mass.m * share.m
    if faults:
        raise FaultsError(faults)
    if total == 0:
        raise refuse(
            "blend",
            "has nothing in it",
            "0 g",
            "It must be above 0 g",
            "Give a mass above 0 g",
        )
    return Blend(q(total, "g"), q(sugar / total, "percent"))


# --- how does it flow, keep, freeze and warm? --------------------------------------------


@takes("mPa*s", brix=Measure("percent", 0, 75), temperature=Measure("degC", 0, 100))
def viscosity(brix: Quantity, temperature: Quantity = _20_C) -> Quantity:
    """Return how thick a syrup is.

    log10(viscosity) = 22.46 x - 0.114 + (30 - t)/(91 + t) (1.1 + 43.1 x^1.25),
    x the mole fraction of sugar, viscosity in mPa s.

    Parameters
    ----------
    brix : quantity
        Strength, 0 to 75 %.
    temperature : quantity
        15 to 80 °C is the range it was made for; 0 to 100 °C is accepted.

    Returns
    -------
    quantity
        In mPa s (water at 20 °C has 1).  Good to 5 % from 20 to 60 °C; to 15 %
        below, in strong syrup; to 10 % above, in weak syrup.

    Examples
    --------
    >>> print(say(viscosity(q(60, "percent"), q(20, "degC")), digits=2))
    60 mPa s
    >>> print(say(viscosity(q(60, "percent"), q(40, "degC")), digits=2))
    21 mPa s

    Notes
    -----
    *Watch out*: gelatin and white make a glaze far thicker than its syrup.

    Copies of the equation print 43.2 for 43.1 (harmless) and 0.14 for 0.114
    (wrong).  The table of 1942 gives 56.5 mPa s at 60 % and 20 °C, later ones
    58.5; the later is preferred.  Source: [genotelle1978], as repeated by
    [longinotti-corti2008].
    """
    return q(_viscosity(brix.m, temperature.m), "mPa*s")


@takes("", brix=Measure("percent", 0, 97), temperature=Measure("degC", -15, 150))
def water_activity(brix: Quantity, temperature: Quantity = _25_C) -> Quantity:
    """Return how much of a syrup's water is free for microbes to use.

    aw = (1 - x) exp(Q/(R T) x² (1 + a x + b x²)), x the mole fraction of sugar.

    Parameters
    ----------
    brix : quantity
        Strength, 0 to 97 %; beyond, the equation turns and is worthless when cool.
    temperature : quantity
        -15 to 150 °C; it matters little.

    Returns
    -------
    quantity
        A plain number: 1 is pure water.  Good to 0.0015 up to 67 % at 25 °C, to
        0.005 to 75 %, less beyond.

    Examples
    --------
    >>> print(say(water_activity(q(60, "percent")), digits=2))
    0.9

    Notes
    -----
    *Watch out*: a saturated syrup stands at 0.85, where moulds and yeasts of sugar
    still grow.  Sugar alone keeps nothing for ever; your local rules come first.

    Constants published, form *from memory*, confirmed against
    [robinson-stokes1961].  Source: [starzak-peacock1997].
    """
    return q(math.exp(_log_activity(brix.m, temperature.m)), "")


@takes(
    "",
    water=_SOME_MASS,
    sugars=Thing(dict, "a table of sugars and their masses"),
    following=OneOf(NORRISH, MONEY_BORN, GROVER),
)
def water_activity_of_mixture(
    water: Quantity, sugars: dict[str, Quantity], following: str = NORRISH
) -> Quantity:
    """Return how much of the water is free where several sugars share it.

    Norrish and Ross: aw = product over the sugars of (1 - x) exp(K x²), each sugar
    taken alone in all of the water.

    Parameters
    ----------
    water : quantity
        Mass of all the water, above 0 g.
    sugars : dict
        Mass by name: sucrose, glucose, fructose, maltose, lactose, sorbitol,
        glycerol, xylitol, glucose syrup solids; 0 g or more.
    following : str
        ``"Norrish and Ross"``; ``"Money and Born 1951"``, 1/(1 + 0.27 N), N mol in
        100 g of water; or ``"Grover 1947"``, 1.04 - 0.1 E + 0.0045 E².

    Returns
    -------
    quantity
        A plain number for 25 °C.  Norrish and Ross is good to 0.005 for sucrose up
        to 70 %, and 0.01 for a mixture; the others to 0.012 for sucrose up to 67 %.
        Stronger than that they part: at 80 % of sucrose by up to 0.08.

    Examples
    --------
    >>> mix = {"sucrose": q(300, "g"), "glucose": q(100, "g")}
    >>> print(say(water_activity_of_mixture(q(150, "g"), mix), digits=2))
    0.79

    Notes
    -----
    *Watch out*: K is for the natural exponent (sucrose -6.47); the form with
    powers of ten uses another (-2.81).  Never use it for boiling.  Grover is bad
    below 1 g of sucrose to 1 g of water, and his curve turns up again at 11.  Glucose
    syrup has a factor in Grover alone; elsewhere nobody's constant is safe, and it is
    refused.

    The constants are *from memory*, checked against [robinson-stokes1961] for
    sucrose.  Source: [norrish1966], [chirife1982], [ross1975], [money-born1951],
    [grover1947].
    """
    grams = _masses(sugars)
    if following == GROVER:
        factors = _of(grams, "grover", following)
        e = sum(f * m for f, (_, m) in zip(factors, grams, strict=True)) / water.m
        if not 1 <= e <= _GROVER_ENDS:
            raise refuse(
                "water_activity_of_mixture, following",
                f"is too {'weak' if e < 1 else 'strong'} a mixture for Grover",
                f"{e:.2f} g of sucrose equivalent to 1 g of water",
                f"It must be from 1 to {_GROVER_ENDS:g}",
                f'Use following="{NORRISH}"',
            )
        return q(1.04 - 0.1 * e + 0.0045 * e * e, "")
    molar = _of(grams, "molar mass", following)
    moles = [m / each for (_, m), each in zip(grams, molar, strict=True)]
    if following == MONEY_BORN:
        return q(1 / (1 + 0.27 * 100 * sum(moles) / water.m), "")
    logarithm = 0.0
    for n, k in zip(moles, _of(grams, "norrish", following), strict=True):
        x = n / (n + water.m / MOLAR_MASS)
        logarithm += math.log(1 - x) + k * x * x
    return q(math.exp(logarithm), "")


@takes("degC", brix=Measure("percent", 0, 62))
def freezing_point(brix: Quantity) -> Quantity:
    """Return where ice begins to form in a syrup.

    water activity of the syrup = that of ice, from its heat of melting.

    Parameters
    ----------
    brix : quantity
        Strength, 0 to 62 %; stronger than that, sugar comes out before ice does.

    Returns
    -------
    quantity
        In °C.  Its distance from 0 °C is good to 2.5 % (or 0.03 °C) up to 40 %.

    Examples
    --------
    >>> print(say(freezing_point(q(40, "percent"))))
    −4.45 °C

    Notes
    -----
    *Watch out*: this is where freezing begins.  As ice forms, the rest gets
    stronger, and a glaze at -18 °C is never frozen through.  The school rule of
    1.86 °C for each mole in a kilogram of water is 19 % low at 40 %.

    Source: [starzak-peacock1997] with the heat of melting of ice, 6009.5 J/mol,
    and the step of heat capacity, 37.3 J/mol/K (from memory).
    """
    return q(solve(lambda t: _log_ice(t) - _log_activity(brix.m, t), -30, 0), "degC")


@takes("kJ/kg/K", brix=Measure("percent", 0, 95), temperature=Measure("degC", 0, 120))
def specific_heat(brix: Quantity, temperature: Quantity = _20_C) -> Quantity:
    """Return the heat that warms a kilogram of syrup by one degree.

    c = 4184 - 2511 w + 7.5 w t J/kg/K, w = brix / 100.

    Parameters
    ----------
    brix : quantity
        Strength, 0 to 95 %; 0 to 80 % is the range of the sugar house.
    temperature : quantity
        0 to 120 °C.

    Returns
    -------
    quantity
        In kJ/kg/K, good to 3 %.

    Examples
    --------
    >>> print(say(specific_heat(q(60, "percent"), q(60, "degC"))))
    2.95 kJ/kg/K

    Notes
    -----
    *Watch out*: a syrup warms faster than water on the same flame and cools
    faster in the same bath.  A printed variant has the sign of the last term
    wrong, so that c would fall with warmth.  Source: [honig1953], for pure sugar.
    """
    w = brix.m / 100
    return q((4184 - 2511 * w + 7.5 * w * temperature.m) / 1000, "kJ/kg/K")


# --- the formulas in plain numbers (percent, °C, kPa, kg/m³) ---------------------------------

_MOLAR_SUCROSE = 342.30  # g/mol
_NORMAL_PRESSURE = 101.325  # kPa
_WATER_20 = water._density(20)
_STRONGEST = 99.0  # percent; the boiling curve ends here
# An end may be given as it is said or printed: rounded.
_SAID = 0.005  # °C
_TABLED = 0.05  # kg/m³, which is 0.01 % of sugar
_GROVER_ENDS = 10.0  # g of sucrose equivalent to 1 g of water; his parabola turns at 11

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
# [vavrinecz1962] and [charles1960], constant first.
_SOLUBILITY = {
    VAVRINECZ: (64.447, 8.222e-2, 1.6169e-3, -1.558e-6, -4.63e-8),
    CHARLES: (64.397, 0.07251, 0.0020569, -9.035e-6),
}
# [starzak-peacock1997]: Q in J/mol, a, b.
_Q, _A, _B = -17638.0, -1.0038, -0.24653
_MELTING, _MELTING_STEP = 6009.5, 37.3  # of ice at 0 °C, J/mol and J/mol/K


def _polynomial(coefficients: Sequence[float], x: float) -> float:
    value = 0.0
    for c in reversed(coefficients):
        value = value * x + c
    return value


def _density(b: float, t: float) -> float:
    w, warmth = b / 100, (t - 20) / 100
    added = _polynomial([_polynomial(row, w) for row in _DENSITY], warmth)
    return water._density(t) + w * added


def _brix_from_density(wanted: float, t: float, given: Quantity | None = None) -> float:
    low, high = water._density(t), _density(95, t)
    if not low - _TABLED <= wanted <= high + _TABLED:
        raise refuse(
            "brix_from_density, density" if given is None else "brix_from_baume, reading",
            "is not that of a syrup",
            say(q(wanted, "kg/m**3") if given is None else given, digits=6),
            f"At {say(q(t, 'degC'))} water has {say(q(low, 'kg/m**3'), places=1)} and "
            f"a 95 % syrup {say(q(high, 'kg/m**3'), places=1)}",
            "Check for bubbles, and that the temperature is that of the syrup",
        )
    inside = min(max(wanted, low), high)
    return solve(lambda b: _density(b, t) - inside, 0, 95)


def _refractive_index(b: float) -> float:
    return _polynomial(_INDEX, b)


@cache
def _correction_table() -> tuple[list[float], list[tuple[float, list[float]]]]:
    rows = records("syrup_refractometer")
    columns = [name for name in rows[0] if name.isdigit()]
    return [float(c) for c in columns], [
        (float(row["temperature"]), [float(row[c]) for c in columns]) for row in rows
    ]


def _solubility(t: float, following: str) -> float:
    if following == HERZFELD:
        return interpolate(t, _two_columns("syrup_solubility_herzfeld"))
    return _polynomial(_SOLUBILITY[following], t)


@cache
def _two_columns(name: str) -> list[tuple[float, float]]:
    return [(float(row["name"]), float(row["value"])) for row in records(name)]


def _browne_table() -> list[tuple[float, float]]:
    return _two_columns("syrup_boiling_browne")


def _browne(b: float) -> float:
    if b > 90:
        raise refuse(
            "boiling_point, brix",
            "is beyond Browne's table",
            say(q(b, "percent"), digits=6),
            "It must be at most 90 %",
            f'Use following="{MODERN}"',
        )
    return interpolate(b, _browne_table())


def _viscosity(b: float, t: float) -> float:
    x = b / (1900 - 18 * b)
    power = 22.46 * x - 0.114 + (30 - t) / (91 + t) * (1.1 + 43.1 * x**1.25)
    return float(10**power)


def _log_activity(b: float, t: float) -> float:
    sugar = b / _MOLAR_SUCROSE
    x = sugar / (sugar + (100 - b) / MOLAR_MASS)
    energy = _Q * x * x * (1 + _A * x + _B * x * x)
    return math.log(1 - x) + energy / (GAS_CONSTANT * (t + water.KELVIN))


def _log_ice(t: float) -> float:
    kelvin, melting = t + water.KELVIN, water.KELVIN
    heat = (_MELTING - _MELTING_STEP * melting) * (1 / melting - 1 / kelvin)
    return (heat + _MELTING_STEP * math.log(kelvin / melting)) / GAS_CONSTANT


def _boiling_point(b: float, pressure: float) -> float:
    wanted = math.log(pressure)
    return solve(
        lambda t: math.log(water._vapour_pressure(t)) + _log_activity(b, t) - wanted,
        0,
        250,
    )


def _brix_boiling_at(t: float, pressure: float) -> float:
    wanted = math.log(pressure / water._vapour_pressure(t))
    if _log_activity(0, t) <= wanted:
        return 0.0
    if _log_activity(_STRONGEST, t) >= wanted:
        return _STRONGEST
    return solve(lambda b: wanted - _log_activity(b, t), 0, _STRONGEST)


def _moved(t: float, pressure: float, to: float) -> float:
    """Return where the syrup that boils at t under one pressure boils under another."""
    if abs(pressure - to) < 1e-9:
        return t
    b = _brix_boiling_at(t, pressure)
    return t + _boiling_point(b, to) - _boiling_point(b, pressure)


def _some_sugar(name: str, brix: Quantity) -> None:
    if brix.m == 0:
        raise refuse(
            f"{name}, brix",
            "is water without sugar",
            say(brix),
            "It must be above 0 %",
            "Weigh sugar in; water alone never gets to a strength",
        )


def _masses(sugars: dict[str, Quantity]) -> list[tuple[str, float]]:
    known = [n.removesuffix(" norrish") for n in table("syrup_sugars") if n.endswith(" norrish")]
    faults, grams = [], []
    for name, mass in sugars.items():
        where = f"water_activity_of_mixture, {name}"
        if name not in known:
            faults.append(
                Fault(
                    where,
                    "is not a sugar that is known here",
                    str(name),
                    "Known are: " + ", ".join(known),
                    "Use one of these names",
                )
            )
            continue
        checked, fault = _MASS.check(where, mass)
        if fault:
            faults.append(fault)
        else:
            grams.append((name, checked.m))
    if faults:
        raise FaultsError(faults)
    return grams


def _of(grams: Sequence[tuple[str, float]], what: str, following: str) -> list[float]:
    """Return a constant of each sugar; tell all that have none."""
    rows = table("syrup_sugars")
    found = [(name, rows[f"{name} {what}"].value) for name, _ in grams]
    if unknown := [name for name, value in found if value is None]:
        other, column = (NORRISH, "norrish") if following == GROVER else (GROVER, "grover")
        serves = all(rows[f"{name} {column}"].value is not None for name, _ in grams)
        step = f'Use following="{other}"' if serves else "Leave it out, and say so"
        where, problem = (
            "water_activity_of_mixture, ",
            f"has no known constant for {following}",
        )
        raise FaultsError(Fault(f"{where}{name}", problem, name, "", step) for name in unknown)
    return [value for _, value in found if value is not None]
