"""How thick a warm glaze is, built from its syrup, gelatin and fat, and read at the bench.

Sugar water makes the most of it, chains of gelatin multiply that two or three times,
and drops of fat add a little.  The product is a band; one reading of your own, with a
cup, a bubble or a spoon, narrows it.

Held against Taylor's and Batchelor's formulas for drops, the test of gelatin makers,
and the flow of oil through short holes.
"""

from __future__ import annotations

import math

from calculators.blending import GLAZE_DENSITY, GRAVITY
from calculators.faults import fault_error
from calculators.sources import table
from calculators.units import (
    FROM_MEMORY,
    Band,
    InstanceOf,
    Measure,
    OneOf,
    Quantity,
    calculator,
    q,
    say,
)
from calculators.water import GAS_IN_KJ, KELVIN

_TABLE = table("glaze_flow")
MELTED, SOLID = "melted", "solid"
SPOONS = ("runs like water", "thin coat", "even coat", "heavy coat")
READINGS = ("cup", "bubble", "spoon")
_CREEP = 20.0  # Reynolds number in a hole, up to which its entry counts as slow

_VISCOSITY = Measure("Pa*s", above=0, high=1000)
_GELATIN = Measure("kg/m**3", 0, 120)
_FAT = Measure("percent", 0, 40)
_DENSITY = Measure("kg/m**3", 900, 1600)
_WARM = Measure("degC", 20, 90)
_BAND = InstanceOf(Band, "a band")
_HOLE = Measure("mm", above=0, high=20)
_NO_GELATIN, _NO_FAT = q(0, "kg/m**3"), q(0, "percent")


# --- what it is made of -----------------------------------------------------------------


@calculator(returns="a band in plain numbers", gelatin=_GELATIN)
def gelatin_factor(gelatin: Quantity) -> Band:
    """Return how many times thicker gelatin makes the syrup it is dissolved in.

    ``1 + x + huggins * x²`` with ``x = volume * gelatin``.

    Parameters
    ----------
    gelatin : quantity
        Dry gelatin by volume of the serum (water, sugars and what is dissolved, no
        fat), kg/m³ or g/l, 0 to 120; a leaf holds 10 to 14 % of water.

    Returns
    -------
    Band
        A plain number, for a sol above its setting point; from memory.

    Examples
    --------
    >>> print(gelatin_factor(q(18, "g/l")))
    1.45 to 3.25, typically 2.02

    Notes
    -----
    *Watch out*: near its setting point a sol that has waited is far thicker, and
    thinner again when stirred.

    Source: Huggins' equation [huggins1942]; numbers from memory.
    """
    volume, crowd, coil = (
        _TABLE[name].three for name in ("gelatin volume", "huggins", "coil in syrup")
    )
    ends = (_huggins(volume[n] * coil[n] * gelatin.m / 1000, crowd[n]) for n in range(3))
    why = "gelatins and what sugar does to their chains differ"
    return Band.of(ends, "", FROM_MEMORY, why)


@calculator(returns="", ratio=Measure("", 0, 1e9))
def drop_number(ratio: Quantity) -> Quantity:
    """Return how much a drop thickens a liquid, for each share of volume.

    ``(1 + 2.5 * ratio) / (1 + ratio)``

    Parameters
    ----------
    ratio : quantity
        Viscosity of the drop by that of the liquid, a plain number.

    Returns
    -------
    quantity
        A plain number: 1 for a bubble, 2.5 for a hard ball.

    Examples
    --------
    >>> say(drop_number(q(1)))
    '1.75'

    Notes
    -----
    *Watch out*: melted cocoa butter in a thick glaze is nearly a bubble, and solid
    fat is a hard ball.

    Source: [taylor1932].
    """
    return q((1 + 2.5 * ratio.m) / (1 + ratio.m), "")


@calculator(returns="", fat=_FAT, drop=Measure("", 1, 2.5), packing=Measure("", 0.5, 0.75))
def fat_factor(
    fat: Quantity, drop: Quantity, packing: Quantity = _TABLE["packing"].quantity
) -> Quantity:
    """Return how many times thicker drops of fat make a liquid.

    ``(1 - fat / packing) ** (-drop * packing)``

    Parameters
    ----------
    fat : quantity
        Share of the volume, %, 0 to 40.
    drop : quantity
        :func:`drop_number`, 1 to 2.5.
    packing : quantity
        At which drops jam, a plain number; 0.64 for equal balls.

    Returns
    -------
    quantity
        A plain number.

    Examples
    --------
    >>> say(fat_factor(q(10, "percent"), q(2.5)))
    '1.31'

    Notes
    -----
    *Watch out*: of white chocolate only its fat is drops; its sugar dissolves.

    Source: [krieger-dougherty1959].
    """
    return q((1 - fat.m / 100 / packing.m) ** (-drop.m * packing.m), "")


@calculator(
    returns="a band in Pa*s",
    serum=_VISCOSITY,
    gelatin=_GELATIN,
    fat=_FAT,
    state=OneOf(MELTED, SOLID),
)
def viscosity(
    serum: Quantity,
    gelatin: Quantity = _NO_GELATIN,
    fat: Quantity = _NO_FAT,
    state: str = MELTED,
) -> Band:
    """Return how thick a warm glaze is, from what it is made of.

    ``serum * gelatin_factor * fat_factor``

    Parameters
    ----------
    serum : quantity
        Viscosity of water and all sugars at the glaze's temperature, Pa s.
    gelatin : quantity
        As in :func:`gelatin_factor`.
    fat : quantity
        Share of the volume, %, 0 to 40.
    state : str
        Of the fat: ``"melted"`` or ``"solid"``.

    Returns
    -------
    Band
        Pa s; the doubts of syrup, gelatin and clusters together, as the root of
        their squares in the logarithm.

    Examples
    --------
    >>> print(viscosity(q(0.18, "Pa*s"), q(18, "g/l"), q(10, "percent")))
    0.255 Pa s to 0.765 Pa s, typically 0.419 Pa s

    Notes
    -----
    *Watch out*: it holds some degrees above the setting point.  Below that a glaze
    is a gel that is being broken, and no number of a liquid fits.

    Sources: as the factors; doubts from memory.
    """
    chains = gelatin_factor(gelatin)
    drop = 2.5 if state == SOLID else drop_number(q(_TABLE["fat viscosity"].three[1] / serum.m)).m
    usual = serum.m * chains.typical.m * fat_factor(fat, q(drop)).m
    doubts = [math.log(_TABLE[name].quantity.m) for name in ("serum doubt", "shear doubt")]
    down = [*doubts, math.log(chains.typical.m / chains.low.m)]
    up = [*doubts, math.log(chains.high.m / chains.typical.m)]
    why = "syrups, gelatins and clusters of fat differ; one bench reading narrows it"
    return _spread(usual, math.hypot(*down), math.hypot(*up), why)


# --- what the bench reads ----------------------------------------------------------------


@calculator(
    returns="Pa*s",
    time=Measure("s", above=0, high=3600),
    width=Measure("mm", above=0, high=300),
    first=Measure("mm", above=0, high=300),
    last=Measure("mm", above=0, high=300),
    hole=_HOLE,
    length=Measure("mm", 0, 100),
    density=_DENSITY,
)
def viscosity_from_cup(
    time: Quantity,
    width: Quantity,
    first: Quantity,
    last: Quantity,
    hole: Quantity,
    length: Quantity = q(0.5, "mm"),  # noqa: B008
    density: Quantity = GLAZE_DENSITY,
) -> Quantity:
    """Return how thick a glaze is, from how long it runs out of a cup with a hole.

    ``density * g * time / (floor * ln(first / last) * (3 / r³ + 8 * length / (pi * r⁴)))``
    with the hole's radius r: a thin hole and a tube, one after the other.

    Parameters
    ----------
    time : quantity
        Between two marks, s.
    width : quantity
        Of the straight cup inside, mm.
    first, last : quantity
        Heights of the marks above the outside of the hole, mm.
    hole, length : quantity
        Width of the hole, and how thick the wall is there, mm.
    density : quantity
        Of the glaze, kg/m³.

    Returns
    -------
    quantity
        Pa s, for a slow stream; refused for one too quick for the formula.

    Examples
    --------
    >>> cup = viscosity_from_cup(q(36, "s"), q(60, "mm"), q(80, "mm"), q(40, "mm"),
    ...     q(8, "mm"), q(1, "mm"))
    >>> say(cup, digits=2)
    '4 Pa s'

    Notes
    -----
    *Watch out*: measure the hole with a drill that just fits; a tenth too wide is a
    third too thick.  Keep the cup as warm as the glaze.

    Sources: thin hole [sampson1891], tube after Hagen and Poiseuille; their sum
    [dagan1982].
    """
    if last.m >= first.m:
        raise fault_error(
            "viscosity_from_cup, last",
            "is not below the first mark",
            say(last, digits=6),
            f"It must be below {say(first, digits=6)}",
            "Swap the marks",
        )
    radius = hole.m / 2000
    floor = math.pi * (width.m / 2000) ** 2
    holds = 3 / radius**3 + 8 * length.m / 1000 / (math.pi * radius**4)
    pull = density.m * GRAVITY
    thick = pull * time.m / (floor * math.log(first.m / last.m) * holds)
    stream = pull * first.m / 1000 / (thick * holds)  # m³/s at first
    reynolds = 2 * density.m * stream / (math.pi * radius * thick)
    if reynolds > _CREEP:
        raise fault_error(
            "viscosity_from_cup, time",
            "is too short for a slow stream",
            f"{say(time)}, Reynolds number {reynolds:.2g}",
            f"The Reynolds number must be at most {_CREEP:g}",
            "Take a smaller hole",
        )
    return q(thick, "Pa*s")


@calculator(returns="a band in Pa*s", seen=OneOf(*SPOONS))
def viscosity_from_spoon(seen: str) -> Band:
    """Return what a spoon tells of how thick a glaze is, coarsely.

    A row of the table ``glaze_flow.csv``.

    Parameters
    ----------
    seen : str
        ``"runs like water"``, ``"thin coat"``, ``"even coat"`` or ``"heavy coat"``.

    Returns
    -------
    Band
        Pa s: a factor of three either way.

    Examples
    --------
    >>> print(viscosity_from_spoon("even coat"))
    0.25 Pa s to 2 Pa s, typically 0.7 Pa s

    Notes
    -----
    *Watch out*: a cold spoon sets the glaze on it; dip it for a minute first.

    Source: common practice, what each word is taken to mean.
    """
    return _TABLE[seen].band(_TABLE[seen].condition)


@calculator(
    returns="a band in Pa*s",
    there=_BAND,
    read=_VISCOSITY,
    by=OneOf(*READINGS),
    here=_BAND,
    read_at=_WARM,
    wanted_at=_WARM,
)
def calibrated(
    there: Band,
    read: Quantity,
    by: str,
    here: Band,
    read_at: Quantity,
    wanted_at: Quantity,
) -> Band:
    """Return how thick your own glaze is, the composition corrected by one reading.

    ``here * read / there``; the band is that of the reading, wider the further the
    temperature wanted is from the one that was read.

    Parameters
    ----------
    there : Band
        :func:`viscosity` at the temperature of the reading.
    read : quantity
        What the bench read, Pa s.
    by : str
        ``"cup"``, ``"bubble"`` or ``"spoon"``.
    here : Band
        :func:`viscosity` at the temperature wanted.
    read_at, wanted_at : quantity
        The two temperatures, °C.

    Returns
    -------
    Band
        Pa s.

    Examples
    --------
    >>> at_40, at_34 = viscosity(q(0.13, "Pa*s")), viscosity(q(0.18, "Pa*s"))
    >>> print(calibrated(at_40, q(0.2, "Pa*s"), "cup", at_34, q(40, "degC"), q(34, "degC")))
    0.224 Pa s to 0.343 Pa s, typically 0.277 Pa s

    Notes
    -----
    *Watch out*: read it at the bench on the same day, stirred and free of bubbles.

    Source: none needed; the doubts are from memory.
    """
    if by == "spoon":
        nearest = min(SPOONS, key=lambda s: abs(math.log(_TABLE[s].three[1] / read.m)))
        low, typical, high = _TABLE[nearest].three
        doubts = [math.log(typical / low), math.log(high / typical)]
    else:
        doubts = [math.log(_TABLE[f"{by} reading"].quantity.m)] * 2
    energy = _TABLE["heat of flow"].three
    apart = abs(1 / (wanted_at.m + KELVIN) - 1 / (read_at.m + KELVIN))
    carried = (energy[2] - energy[0]) / 2 / GAS_IN_KJ * apart
    usual = here.typical.m_as("Pa*s") * read.m / there.typical.m_as("Pa*s")
    why = f"one reading with a {by}, carried to another temperature"
    return _spread(usual, math.hypot(doubts[0], carried), math.hypot(doubts[1], carried), why)


# --- helpers -----------------------------------------------------------------------------


def _huggins(filled: float, crowd: float) -> float:
    return 1 + filled + crowd * filled * filled


def _spread(usual: float, down: float, up: float, why: str) -> Band:
    ends = (usual * math.exp(-down), usual, usual * math.exp(up))
    return Band.of(ends, "Pa*s", FROM_MEMORY, why)
