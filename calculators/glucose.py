"""What is in the glucose tub, and what it does to a syrup, a glaze or a sweet.

Glucose syrup is water and starch cut into pieces.  The *dextrose equivalent* (DE)
says how finely: 100 is all single glucose, 20 is mostly long chains.  A tub brings
solids that keep sugar from graining, and water that belongs in the formula.

Where sources disagree: the measured dextrose equivalent runs above the theoretical
one (see :func:`mean_molar_mass`); a sucrose refractometer reads the syrup too high
(:func:`refractometer_reading`); two constants for the water activity are remembered
(:func:`water_activity` shows the band between them); the trade counts freezing in two
ways (:func:`freezing_factor` knows both).

Held against [iso1743] for refraction, [bender-dictionary] and [gaman-sherrington]
for sweetness, and the standards for what may be called glucose syrup.  Glass
transition, viscosity and water activity are from memory and come as bands.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Any, NamedTuple

from calculators.faults import Fault, FaultsError, refuse
from calculators.safety import REGIONS, legal_note
from calculators.sources import Row, records, table
from calculators.units import (
    COMMON_PRACTICE,
    FROM_MEMORY,
    PUBLISHED,
    Band,
    Measure,
    OneOf,
    Quantity,
    interpolate,
    number,
    q,
    say,
    takes,
)
from calculators.water import KELVIN, MOLAR_MASS

_MOLAR = table("syrup_sugars")
GLUCOSE = _MOLAR["glucose molar mass"].quantity.m  # g/mol
SUCROSE = _MOLAR["sucrose molar mass"].quantity.m  # g/mol
GLASSY_WATER = 138.0  # K, glass transition of water, [roos1993], from memory

_BENCH = table("glucose_bench")
_DE = Measure("percent", 3, 100)
_SOLIDS = Measure("percent", high=100, above=0)
_MASS = Measure("g", 0)
_20_C = q(20, "degC")


# --- the tub ------------------------------------------------------------------


@dataclass(frozen=True)
class Syrup:
    """A glucose syrup, told by the two figures of its label.

    Parameters
    ----------
    dextrose_equivalent : quantity
        3 to 100 %, reckoned on the solids.
    solids : quantity
        All that is not water, above 0 and up to 100 % of the whole.
    """

    dextrose_equivalent: Quantity
    solids: Quantity

    def __post_init__(self) -> None:
        """Check both figures and tell both faults at once."""
        faults = []
        for name, measure in (("dextrose_equivalent", _DE), ("solids", _SOLIDS)):
            value, fault = measure.check(f"Syrup, {name}", getattr(self, name))
            object.__setattr__(self, name, value)
            faults += [fault] if fault else []
        if faults:
            raise FaultsError(faults)

    def __str__(self) -> str:
        """Return the syrup as it stands on a label."""
        return f"{say(self.solids)} solids, {number(self.dextrose_equivalent.m)} DE"


_TUB_ROWS = table("glucose_tubs")
TUBS: dict[str, Syrup] = {
    name: Syrup(
        _TUB_ROWS[f"{name} dextrose equivalent"].quantity,
        _TUB_ROWS[f"{name} solids"].quantity,
    )
    for name in ("confectioner", "light corn", "home pack")
}


class _Tub(OneOf):
    """An argument that is a syrup, or the name of a tub."""

    @property
    def limit(self) -> str:
        """What is wanted, in words."""
        return "It must be a Syrup, or one of: " + ", ".join(self.words)

    def check(self, name: str, value: Any) -> tuple[Any, Fault | None]:
        """Return the syrup, and the fault if it is neither."""
        if isinstance(value, Syrup):
            return value, None
        word, fault = super().check(name, value)
        return (word if fault else TUBS[word]), fault


_SYRUP = _Tub(*TUBS)


@takes("what is known of both figures", tub=OneOf(*TUBS))
def label(tub: str) -> tuple[Row, Row]:
    """Return what is known of a tub: its solids and its dextrose equivalent.

    Parameters
    ----------
    tub : str
        One of :data:`TUBS`: ``"confectioner"``, ``"light corn"``, ``"home pack"``.

    Returns
    -------
    tuple of Row
        Solids, then dextrose equivalent, each with range, source and caveat.

    Examples
    --------
    >>> solids, equivalent = label("light corn")
    >>> print(say(solids.quantity), solids.provenance)
    77.2 % published

    Notes
    -----
    *Watch out*: the label of the tub in front of you comes first. A food label's *of
    which sugars* is not the solids: it counts only the short pieces.

    Source: ``data/glucose_tubs.csv``.
    """
    return _TUB_ROWS[f"{tub} solids"], _TUB_ROWS[f"{tub} dextrose equivalent"]


class Parts(NamedTuple):
    """What a mass of syrup consists of, in g."""

    solids: Quantity
    water: Quantity


@takes("solids and water in g", mass=_MASS, syrup=_SYRUP)
def split(mass: Quantity, syrup: Syrup | str) -> Parts:
    """Return the solids and the water in a mass of syrup.

    ``solids = mass * solids share``; the rest is water.

    Parameters
    ----------
    mass : quantity
        Syrup as weighed (g).
    syrup : Syrup or str
        The syrup, or the name of a tub in :data:`TUBS`.

    Returns
    -------
    Parts
        Solids and water in g; they add up to the mass.

    Examples
    --------
    >>> solids, water = split(q(300, "g"), "home pack")
    >>> say(solids), say(water)
    ('180 g', '120 g')

    Notes
    -----
    *Watch out*: this water counts in the formula like water from the tap.

    Source: a balance of masses.
    """
    solids = mass.m * _solids(syrup) / 100
    return Parts(q(solids, "g"), q(mass.m - solids, "g"))


@dataclass(frozen=True)
class Swap:
    """One syrup weighed out for another, with the water put right.

    Parameters
    ----------
    mass : quantity
        What to weigh of the syrup you hold, in g.
    leave_out : quantity
        Water to take off the formula, in g; nought where none.
    add : quantity
        Water to add to the formula, in g; nought where none.
    """

    mass: Quantity
    leave_out: Quantity
    add: Quantity

    def __str__(self) -> str:
        """Return the swap as a sentence."""
        if self.leave_out.m:
            return f"{say(self.mass)}, and leave out {say(self.leave_out)} of water"
        if self.add.m:
            return f"{say(self.mass)}, and add {say(self.add)} of water"
        return f"{say(self.mass)}, and the water stays"


@takes("mass to weigh, water to leave out or add", mass=_MASS, wanted=_SYRUP, held=_SYRUP)
def swap(mass: Quantity, wanted: Syrup | str, held: Syrup | str) -> Swap:
    """Return what to weigh of the syrup you hold, and what to do with the water.

    ``mass held = mass * solids wanted / solids held``; the solids stay the same, and
    the difference of the two masses is water.

    Parameters
    ----------
    mass : quantity
        Syrup that the formula asks for (g).
    wanted : Syrup or str
        The formula's syrup, or the name of a tub in :data:`TUBS`.
    held : Syrup or str
        The syrup in your stores, likewise.

    Returns
    -------
    Swap
        Mass to weigh, and the water to leave out or to add; exact for the solids given.

    Examples
    --------
    >>> print(swap(q(300, "g"), "confectioner", "home pack"))
    402 g, and leave out 102 g of water

    Notes
    -----
    *Watch out*: where the formula holds less water than must be left out, this swap
    can't be done: boil the syrup down first. A syrup of another dextrose equivalent
    is also sweeter or less sweet, and thinner or thicker.

    Source: a balance of masses.
    """
    weigh = mass.m * _solids(wanted) / _solids(held)
    extra = weigh - mass.m
    return Swap(q(weigh, "g"), q(max(extra, 0.0), "g"), q(max(-extra, 0.0), "g"))


@takes("a band in percent", reading=Measure("degree_baume", 42, 45))
def solids_from_baume(reading: Quantity) -> Band:
    """Return the solids of a 42 DE syrup sold by its commercial Baumé degree.

    ``solids = 80.3 % + 2 % * (reading - 43)``

    Parameters
    ----------
    reading : quantity
        The degree on the drum (42 to 45 °Bé).

    Returns
    -------
    Band
        Percent of the whole, half a percent either way; from memory.

    Examples
    --------
    >>> print(solids_from_baume(q(43, "degree_baume")))
    79.8 % to 80.8 %, typically 80.3 %

    Notes
    -----
    *Watch out*: the commercial degree is read at 60 °C against water at 15.6 °C, and
    one is added. It is not the Baumé of :func:`calculators.syrup.baume`.

    Source: data tables of the corn refiners, from memory; ``data/glucose_bench.csv``.
    """
    row = _BENCH["solids at 43 baume"]
    more = _BENCH["solids a degree"].quantity.m * (reading.m - 43)
    low, high = _ends(row)
    return Band(
        q(low + more, "percent"),
        q(row.quantity.m + more, "percent"),
        q(high + more, "percent"),
        FROM_MEMORY,
        "for 42 DE; another dextrose equivalent moves it",
    )


@takes("words", syrup=_SYRUP, region=OneOf(*REGIONS))
def lawful_name(syrup: Syrup | str, region: str = "EU") -> str:
    """Return whether a syrup may be called glucose syrup, and what it falls short of.

    Parameters
    ----------
    syrup : Syrup or str
        The syrup, or the name of a tub in :data:`TUBS`.
    region : str
        Whose law; Codex Alimentarius is looked at everywhere.

    Returns
    -------
    str
        ``"glucose syrup"``, ``"dried glucose syrup"``, or the minima it misses.

    Examples
    --------
    >>> lawful_name("confectioner")
    'glucose syrup'

    Notes
    -----
    *Watch out*: a home pack of 60 % solids misses the 70 % of the standards. Either
    it is sold under another name, or its label means something else by *60*: weigh,
    read and ask. Your local rules come first.

    Source: the rows of ``data/legal.csv``: [cxs212], [eu2001-111].
    """
    held = _syrup(syrup)
    missed = []
    for note in legal_note("glucose syrup", region):
        if note.status == "minimum":
            of_de = "dextrose equivalent" in note.text
            value = held.dextrose_equivalent if of_de else held.solids
            missed += [note.text] if value < note.limit else []
    if missed:
        return "not glucose syrup by the minima we know. " + " ".join(missed)
    dried = [n.limit for n in legal_note("dried glucose syrup", region) if n.limit]
    if dried and held.solids >= max(dried):
        return "dried glucose syrup"
    return "glucose syrup"


# --- what the dextrose equivalent tells ---------------------------------------


@takes("g/mol", dextrose_equivalent=Measure("percent", 0.9, 100))
def mean_molar_mass(dextrose_equivalent: Quantity) -> Quantity:
    """Return the mean mass of the molecules in the solids.

    ``molar mass = 100 * 180.16 / DE``: each chain has one end that counts.

    Parameters
    ----------
    dextrose_equivalent : quantity
        0.9 to 100 %.

    Returns
    -------
    quantity
        In g/mol, number average; up to 10 % too low, see below.

    Examples
    --------
    >>> say(mean_molar_mass(q(42, "percent")))
    '429 g/mol'

    Notes
    -----
    *Watch out*: the label's figure is *measured*, by reducing copper, and long chains
    reduce a little more than theory allows: maltose measures about 58 (from memory)
    where theory says 52.6. The true mean is then up to 10 % higher. This module
    follows theory. The rule *DE times chain length is 120* is a rough one: theory
    gives 100 for single glucose, rising to 111 for long chains.

    Source: definition of the dextrose equivalent; provenance from memory.
    """
    return q(100 * GLUCOSE / dextrose_equivalent.m, "g/mol")


@takes("percent", molar_mass=Measure("g/mol", 180, 20000))
def dextrose_equivalent(molar_mass: Quantity) -> Quantity:
    """Return the dextrose equivalent that theory gives for a molar mass.

    ``DE = 100 * 180.16 / molar mass``

    Parameters
    ----------
    molar_mass : quantity
        Number average (180 to 20,000 g/mol); 180 is single glucose, rounded.

    Returns
    -------
    quantity
        In percent; measured values run up to 10 % higher.

    Examples
    --------
    Maltose:

    >>> print(say(dextrose_equivalent(q(342.30, "g/mol"))))
    52.6 %

    Notes
    -----
    *Watch out*: theory, not the laboratory: see :func:`mean_molar_mass`.

    Source: definition.
    """
    return q(min(100 * GLUCOSE / molar_mass.m, 100.0), "percent")


_SUGARS = ("sucrose", "fructose", "glucose", "maltose", "lactose", "invert sugar")


@takes("a band in percent of sucrose", sugar=OneOf(*_SUGARS))
def relative_sweetness(sugar: str) -> Band:
    """Return how sweet a pure sugar is beside sucrose, weight for weight.

    Parameters
    ----------
    sugar : str
        ``"sucrose"``, ``"fructose"``, ``"glucose"``, ``"maltose"``, ``"lactose"`` or
        ``"invert sugar"``.

    Returns
    -------
    Band
        Percent of sucrose; sources differ by some 15 %.

    Examples
    --------
    >>> print(relative_sweetness("glucose"))
    63 % to 85 %, typically 74 %

    Notes
    -----
    *Watch out*: it changes with strength, warmth and acid.

    Source: [bender-dictionary], [gaman-sherrington]; the first is followed.
    """
    return _band(table("glucose_sweetness")[sugar])


@takes("a band in percent of sucrose", syrup=_SYRUP, of=OneOf("solids", "tub"))
def sweetness(syrup: Syrup | str, of: str = "solids") -> Band:
    """Return how sweet a glucose syrup is beside the same weight of sugar.

    Read between the rows of a table by dextrose equivalent; for the tub, times its
    solids.

    Parameters
    ----------
    syrup : Syrup or str
        The syrup (20 to 100 DE), or the name of a tub in :data:`TUBS`.
    of : str
        ``"solids"`` (the trade's figure) or ``"tub"`` (as weighed, with its water).

    Returns
    -------
    Band
        Percent of sucrose; from memory.

    Examples
    --------
    >>> print(sweetness("confectioner"))
    40 % to 60 %, typically 50 %

    Notes
    -----
    *Watch out*: trade tables speak of solids. The tub is a fifth less sweet again.

    Source: ``data/glucose_sweetness.csv``: [bender-dictionary] for pure glucose,
    trade tables from memory for the rest.
    """
    held = _syrup(syrup)
    equivalent = held.dextrose_equivalent.m
    if equivalent < 20:
        raise refuse(
            "sweetness, syrup",
            "has a dextrose equivalent below our table",
            say(held.dextrose_equivalent, digits=6),
            "It must be from 20 to 100 %",
            "Count it as hardly sweet",
        )
    rows = table("glucose_sweetness")
    known = [(de, rows[f"solids of {de} DE"]) for de in (20, 36, 42, 63)]
    known.append((100, rows["glucose"]))
    share = held.solids.m / 100 if of == "tub" else 1.0
    low, typical, high = (
        interpolate(equivalent, [(de, getattr(row, end)) for de, row in known]) * share
        for end in ("low", "value", "high")
    )
    return Band(
        q(low, "percent"),
        q(typical, "percent"),
        q(high, "percent"),
        FROM_MEMORY,
        "sweetness is tasted: sources differ by 15 % and more",
    )


# --- keeping sugar from graining ----------------------------------------------


@dataclass(frozen=True)
class Graining:
    """How likely a syrup of sugar and glucose is to grain.

    Parameters
    ----------
    share : quantity
        Glucose solids in percent of all sugar: sucrose and glucose solids.
    doctor_ratio : quantity
        Glucose solids to sucrose, a plain number.
    risk : str
        *high*, *some* or *low*.
    reason : str
        Why, and what to do.
    """

    share: Quantity
    doctor_ratio: Quantity
    risk: str
    reason: str
    provenance: str = COMMON_PRACTICE

    def __str__(self) -> str:
        """Return the risk as it is said at the bench."""
        return (
            f"{self.risk.capitalize()} risk of graining: {say(self.share)} of the sugar "
            f"is glucose solids. {self.reason}"
        )


@takes(
    "words, with the share of glucose solids",
    sugar=Measure("g", above=0),
    glucose=_MASS,
    syrup=_SYRUP,
)
def graining_risk(
    sugar: Quantity, glucose: Quantity, syrup: Syrup | str = "confectioner"
) -> Graining:
    """Return how likely sugar boiled with glucose syrup is to turn to sand.

    ``share = glucose solids / (glucose solids + sugar)``

    Parameters
    ----------
    sugar : quantity
        Sucrose (g, above nought).
    glucose : quantity
        Glucose syrup as weighed (g).
    syrup : Syrup or str
        Which syrup, or the name of a tub in :data:`TUBS`.

    Returns
    -------
    Graining
        The share, the doctor ratio, the risk in a word, and the reason.

    Examples
    --------
    >>> graining_risk(q(300, "g"), q(300, "g")).risk
    'low'

    Notes
    -----
    *Watch out*: the share is of solids, not of what the scale shows. Grain also needs
    a seed: crystals on the pan's wall, a dirty spoon, stirring while it cools. Far
    more glucose than needed makes a sweet sticky in damp air.

    Glucose and invert sugar lift the sugar that 100 g of saturated syrup can hold at
    20 °C from about 67 g to about 75 g [jackson-silsbee1924] (from memory).

    Source: 25 % and more stops graining, and 30 to 40 % in boiled sweets: common
    practice. The lower limit is from memory; ``data/glucose_bench.csv``.
    """
    solids = glucose.m * _solids(syrup) / 100
    share = 100 * solids / (solids + sugar.m)
    stops = _BENCH["graining stops"].quantity.m
    likely = _BENCH["graining likely"].quantity.m
    if share >= stops:
        risk = "low"
        reason = (
            f"From about {stops:g} % its mixed chains get in the way of sugar crystals. "
            "A clean pan and still cooling are needed all the same."
        )
    elif share >= likely:
        risk = "some"
        reason = (
            f"It slows crystals; about {stops:g} % is what stops them. "
            "Raise the share, or keep the syrup warm and clean and use it soon."
        )
    else:
        risk = "high"
        reason = (
            f"So little hardly gets in the way of sugar crystals; about {stops:g} % is "
            "what stops them."
        )
    return Graining(q(share, "percent"), q(solids / sugar.m), risk, reason)


# --- what an instrument shows -------------------------------------------------

_TEMPERATURES = (20.0, 30.0, 45.0, 60.0)
_MOST_READ = 81.0  # % solids; above it a sucrose scale of 85 % is at its end


@takes("", solids=Measure("percent", 0, _MOST_READ), temperature=Measure("degC", 20, 60))
def refractive_index(solids: Quantity, temperature: Quantity = _20_C) -> Quantity:
    """Return how strongly a glucose syrup bends light.

    Read between the rows of the standard: index less that of water, for each percent
    of solids, is nearly straight.

    Parameters
    ----------
    solids : quantity
        0 to 81 %; the rows end at 66, above it the line goes on.
    temperature : quantity
        Of prism and syrup (20 to 60 °C).

    Returns
    -------
    quantity
        A plain number; good to 0.0001 up to 66 % at the temperatures of the table.

    Examples
    --------
    >>> say(refractive_index(q(40, "percent")), digits=6)
    '1.40319'

    Notes
    -----
    *Watch out*: for the ordinary syrup of the standard's first table. One row there
    is a misprint: 1.46768 at 66 % and 45 °C, where the neighbours say 1.45768.

    Source: [iso1743], first table.
    """
    rows = records("glucose_refraction")
    by_heat = []
    for celsius in _TEMPERATURES:
        column = [(float(r["solids"]), float(r[f"at_{celsius:.0f}"])) for r in rows]
        water = column[0][1]
        slopes = [(s, (n - water) / s) for s, n in column[1:]]
        by_heat.append((celsius, water + solids.m * _straight(solids.m, slopes)))
    return q(interpolate(temperature.m, by_heat), "")


@takes("a band in percent", syrup=_SYRUP)
def refractometer_reading(syrup: Syrup | str) -> Band:
    """Return what a sucrose refractometer shows for a glucose syrup at 20 °C.

    The refractive index of the syrup, read on the scale of sucrose.

    Parameters
    ----------
    syrup : Syrup or str
        The syrup (25 to 55 DE, up to 81 % solids), or a tub of :data:`TUBS`.

    Returns
    -------
    Band
        Brix, 0.3 either way up to 66 % solids near 42 DE, else 1; the table ends at
        66 %.

    Examples
    --------
    >>> print(say(refractometer_reading("home pack").typical))
    62.5 %

    Notes
    -----
    *Watch out*: it reads some 4 % too high, so a tub looks stronger than it is. Thin
    a tub with its own weight of water, read, and double. Syrups of high dextrose
    equivalent read true or a little low: they are refused, not guessed.

    Source: [iso1743], first table; the sucrose scale of [icumsa-sps3].
    """
    from calculators.syrup import brix_from_refractive_index

    held = _syrup(syrup)
    equivalent, solids = held.dextrose_equivalent.m, held.solids.m
    faults = []
    if not 25 <= equivalent <= 55:
        faults.append(
            Fault(
                "refractometer_reading, syrup",
                "has a dextrose equivalent that the table does not speak for",
                say(held.dextrose_equivalent, digits=6),
                "It must be from 25 to 55 %",
                "Take the solids from the label",
            )
        )
    if solids > _MOST_READ:
        faults.append(
            Fault(
                "refractometer_reading, syrup",
                "is off the scale",
                say(held.solids, digits=6),
                f"It must be at most {_MOST_READ:g} % solids",
                "Thin it with its own weight of water, read, and double",
            )
        )
    if faults:
        raise FaultsError(faults)
    reading = brix_from_refractive_index(refractive_index(held.solids)).m
    sure = solids <= 66 and 38 <= equivalent <= 46
    either_way = 0.3 if sure else 1.0
    return Band(
        q(max(reading - either_way, 0), "percent"),
        q(reading, "percent"),
        q(reading + either_way, "percent"),
        PUBLISHED if sure else FROM_MEMORY,
        "the table's own precision"
        if sure
        else "beyond the table: 66 % solids, and a syrup near 42 DE",
    )


# --- how it flows, freezes, dries and keeps -----------------------------------


@takes("a band in Pa s", syrup=_SYRUP, temperature=Measure("degC", 27, 71))
def viscosity(syrup: Syrup | str, temperature: Quantity) -> Band:
    """Return how thick a confectioner's glucose syrup is.

    Read between remembered points, straight in ln(viscosity) against 1/T.

    Parameters
    ----------
    syrup : Syrup or str
        About 80 % solids (79 to 81.5) and 42 DE (38 to 46), or a tub of that kind.
    temperature : quantity
        Of the syrup (27 to 71 °C).

    Returns
    -------
    Band
        In Pa s, a factor of two either way; from memory.

    Examples
    --------
    >>> say(viscosity("confectioner", q(60, "degC")).typical)
    '2 Pa s'

    Notes
    -----
    *Watch out*: from 27 to 60 °C it gets nearly thirty times thinner. Warm the tub in
    a water bath rather than wet the spoon.

    Source: from memory; ``data/glucose_viscosity.csv``.
    """
    held = _syrup(syrup)
    known = 79 <= held.solids.m <= 81.5 and 38 <= held.dextrose_equivalent.m <= 46
    if not known:
        raise refuse(
            "viscosity, syrup",
            "is not one whose thickness we know",
            held,
            "It must be of 79 to 81.5 % solids and 38 to 46 DE",
            "Ask the maker for its data sheet",
        )
    points = sorted(
        (1 / (float(r["celsius"]) + KELVIN), math.log(float(r["viscosity"])))
        for r in records("glucose_viscosity")
    )
    inverse = min(max(1 / (temperature.m + KELVIN), points[0][0]), points[-1][0])
    typical = math.exp(interpolate(inverse, points))
    factor = _BENCH["viscosity factor"].quantity.m
    return Band(
        q(typical / factor, "Pa*s"),
        q(typical, "Pa*s"),
        q(typical * factor, "Pa*s"),
        FROM_MEMORY,
        _BENCH["viscosity factor"].note,
    )


BY_MOLECULES = "by molecules"
BY_EQUIVALENT = "by dextrose equivalent"


@takes("", dextrose_equivalent=_DE, counted=OneOf(BY_MOLECULES, BY_EQUIVALENT))
def freezing_factor(dextrose_equivalent: Quantity, counted: str = BY_MOLECULES) -> Quantity:
    """Return how much glucose solids lower the freezing point, beside sucrose as 1.

    By molecules: ``342.30 / mean molar mass``.  By dextrose equivalent: ``DE / 100``.

    Parameters
    ----------
    dextrose_equivalent : quantity
        3 to 100 %.
    counted : str
        ``"by molecules"`` (physics, and the trade's tables) or ``"by dextrose
        equivalent"`` (some mix sheets for ice cream).

    Returns
    -------
    quantity
        A plain number, for equal masses of solids.

    Examples
    --------
    >>> say(freezing_factor(q(42, "percent")), digits=2)
    '0.8'
    >>> say(freezing_factor(q(42, "percent"), "by dextrose equivalent"))
    '0.42'

    Notes
    -----
    *Watch out*: the two differ by a factor of two. Physics counts molecules, and that
    is followed here unless you ask; the mix sheet counts only what reduces copper, as
    if it were sucrose.

    Source: definition; the sheet's rule as in [goff-freezing], from memory.
    """
    if counted == BY_EQUIVALENT:
        return q(dextrose_equivalent.m / 100, "")
    return q(SUCROSE / (100 * GLUCOSE / dextrose_equivalent.m), "")


@takes("a band, plain numbers", syrup=_SYRUP)
def water_activity(syrup: Syrup | str) -> Band:
    """Return how much of a syrup's water is free for moulds and yeasts, at 25 °C.

    ``aw = x_water * exp(K * x_solids ** 2)`` (Norrish), x by molecules; K goes straight
    from -3.81 at 42 DE to -2.25 for pure glucose.

    Parameters
    ----------
    syrup : Syrup or str
        The syrup (20 to 100 DE), or the name of a tub in :data:`TUBS`.

    Returns
    -------
    Band
        0.04 either way.

    Examples
    --------
    >>> say(water_activity("confectioner").typical, digits=2)
    '0.79'

    Notes
    -----
    *Watch out*: two constants for 42 DE are remembered, -2.31 and -5.31; they give
    0.82 and 0.77 at 80 % solids. The middle is followed. A home pack of 60 % has far
    more free water than a tub of 80 %: it keeps in the fridge once open.

    Source: [norrish1966]; constants from memory, [chirife1982] for pure glucose;
    ``data/glucose_bench.csv``.
    """
    held = _syrup(syrup)
    equivalent = held.dextrose_equivalent.m
    faults = []
    if equivalent < 20:
        faults.append(
            Fault(
                "water_activity, syrup",
                "has a dextrose equivalent below what we know",
                say(held.dextrose_equivalent, digits=6),
                "It must be from 20 to 100 %",
                "Have it measured",
            )
        )
    if held.solids.m > 85:
        faults.append(
            Fault(
                "water_activity, syrup",
                "is drier than the formula holds for",
                say(held.solids, digits=6),
                "It must be at most 85 % solids",
                "Have it measured",
            )
        )
    if faults:
        raise FaultsError(faults)
    at_42 = _BENCH["norrish at 42 DE"].quantity.m
    pure = _MOLAR["glucose norrish"].quantity.m
    constant = pure + (at_42 - pure) * (100 - equivalent) / (100 - 42)
    chains = held.solids.m / (100 * GLUCOSE / equivalent)
    x = chains / (chains + (100 - held.solids.m) / MOLAR_MASS)
    typical = (1 - x) * math.exp(constant * x * x)
    either_way = _BENCH["water activity band"].quantity.m
    return Band(
        q(typical - either_way, ""),
        q(typical, ""),
        q(min(typical + either_way, 1.0), ""),
        FROM_MEMORY,
        "two remembered constants disagree",
    )


_GLASS = {row["solid"]: row for row in records("glucose_glass")}
_GLASS_SUGARS = ("sucrose", "glucose", "fructose", "maltose")
_DRY = Measure("percent", 0, 40)


@takes("a band in °C", water=_DRY, sugar=OneOf(*_GLASS_SUGARS))
def glass_transition(water: Quantity, sugar: str = "sucrose") -> Band:
    """Return where boiled sugar turns from glass to a sticky mass.

    ``T = (w1*T1 + k*w2*T2) / (w1 + k*w2)`` in kelvin (Gordon and Taylor): sugar 1,
    water 2 with T2 = 138 K.

    Parameters
    ----------
    water : quantity
        Water left in it (0 to 40 %).
    sugar : str
        ``"sucrose"``, ``"glucose"``, ``"fructose"`` or ``"maltose"``.

    Returns
    -------
    Band
        In °C, 4 °C either way; from memory.

    Examples
    --------
    Pulled sugar with 2 % of water, a warm day and a damp one:

    >>> say(glass_transition(q(2, "percent")).typical, digits=2)
    '45 °C'
    >>> say(glass_transition(q(5, "percent")).typical, digits=2)
    '23 °C'

    Notes
    -----
    *Watch out*: three percent of water taken from damp air cost over 20 °C: that is
    why sugar work sags. Replacing up to half of the sucrose by glucose syrup hardly
    moves this point; it slows the change (a study of 2007 in the Journal of Food
    Engineering, volume 81, read as abstract).

    Source: constants of [roos1993], from memory; ``data/glucose_glass.csv``.
    """
    row = _GLASS[sugar]
    return _glass(water.m, float(row["celsius"]), float(row["k"]))


@takes("a band in °C", water=_DRY, dextrose_equivalent=Measure("percent", 5, 100))
def glass_transition_of_syrup(water: Quantity, dextrose_equivalent: Quantity) -> Band:
    """Return where dried or boiled-down glucose syrup turns from glass to a sticky mass.

    As :func:`glass_transition`, its constants read between the rows by dextrose
    equivalent.

    Parameters
    ----------
    water : quantity
        Water left in it (0 to 40 %).
    dextrose_equivalent : quantity
        5 to 100 %.

    Returns
    -------
    Band
        In °C, 4 °C either way at the rows; from memory.

    Examples
    --------
    >>> say(glass_transition_of_syrup(q(0, "percent"), q(36, "percent")).typical)
    '100 °C'

    Notes
    -----
    *Watch out*: shorter chains, lower point: a syrup of high dextrose equivalent
    makes a stickier sweet. A formula by molar mass alone that goes round (243 less
    52,800 over M) does not give these values and is not used.

    Source: constants of [roos1993], from memory; ``data/glucose_glass.csv``.
    """
    rows = sorted(
        (float(r["dextrose_equivalent"]), float(r["celsius"]), float(r["k"]))
        for r in _GLASS.values()
        if r["dextrose_equivalent"]
    )
    celsius = interpolate(dextrose_equivalent.m, [(de, t) for de, t, _ in rows])
    k = interpolate(dextrose_equivalent.m, [(de, k) for de, _, k in rows])
    return _glass(water.m, celsius, k)


# --- helpers ------------------------------------------------------------------


def _glass(water: float, celsius: float, k: float) -> Band:
    dry = 100 - water
    point = (dry * (celsius + KELVIN) + k * water * GLASSY_WATER) / (dry + k * water)
    either_way = _BENCH["glass transition band"].quantity.m
    return Band(
        q(point - KELVIN - either_way, "degC"),
        q(point - KELVIN, "degC"),
        q(point - KELVIN + either_way, "degC"),
        FROM_MEMORY,
        "constants are remembered, and the point depends on how fast it is heated",
    )


def _syrup(syrup: Syrup | str) -> Syrup:
    """Return the syrup; a default that is a tub's name becomes its syrup here."""
    return TUBS[syrup] if isinstance(syrup, str) else syrup


def _solids(syrup: Syrup | str) -> float:
    return float(_syrup(syrup).solids.m)


def _ends(row: Row) -> tuple[float, float]:
    if row.low is None or row.high is None:
        raise refuse(row.name, "has no band in the table")
    return row.low, row.high


def _band(row: Row) -> Band:
    low, high = _ends(row)
    return Band(
        q(low, row.unit),
        row.quantity,
        q(high, row.unit),
        row.provenance,
        row.note or row.condition,
    )


def _straight(x: float, points: list[tuple[float, float]]) -> float:
    """Return y at x, going on in the end's own direction beyond the points."""
    if x < points[0][0]:
        (x0, y0), (x1, y1) = points[:2]
    elif x > points[-1][0]:
        (x0, y0), (x1, y1) = points[-2:]
    else:
        return interpolate(x, points)
    return y0 + (y1 - y0) * (x - x0) / (x1 - x0)
