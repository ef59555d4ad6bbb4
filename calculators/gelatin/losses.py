"""What heat, acid, time and fresh fruit take from the set."""

from __future__ import annotations

import math

from calculators.faults import fault_error
from calculators.frozen import frozen
from calculators.gelatin.grades import BENCH
from calculators.sources import records
from calculators.units import (
    COMMON_PRACTICE,
    FROM_MEMORY,
    PUBLISHED,
    Band,
    Measure,
    OneOf,
    Quantity,
    calculator,
    number,
    q,
    say,
)
from calculators.water import GAS_IN_KJ, KELVIN

_NEUTRAL = q(6.0)  # pH at which strength is kept best, 6 to 8


# --- heat, acid and time ------------------------------------------------------


@calculator(
    returns="a band in percent",
    temperature=Measure("degC", 20, 105),
    time=Measure("h", 0, 24),
    acidity=Measure("", 2, 8),
)
def strength_left(temperature: Quantity, time: Quantity, acidity: Quantity = _NEUTRAL) -> Band:
    """Return what is left of the strength after time in the heat.

    ``strength left = exp(-k * time)``; k grows with heat (Arrhenius) and in acid.

    Parameters
    ----------
    temperature : quantity
        Of the base with the gelatin in it (20 to 105 °C).
    time : quantity
        How long it stays there (0 to 24 h).
    acidity : quantity
        pH, a plain number (2 to 8); a milk base is near 6.5, a fruit base 3 to 4.

    Returns
    -------
    Band
        Percent of the strength at the start.  From memory: it tells which way and
        roughly how far, and is no number to build a formula on.  Less than 0.1 % is
        told as nothing.

    Examples
    --------
    >>> print(strength_left(q(80, "degC"), q(30, "min")))
    95.1 % to 97.5 %, typically 96.3 %

    Notes
    -----
    *Watch out*: it is a slope and not a cliff: at 85 °C a set is not dead, at 60 °C
    for a day it is weaker. Put acid in late and cool. Between pH 5 and 8 nothing
    changes here, as nothing surer is known; below pH 3 it is at least as bad as at 3.

    Source: rates, activation energy and acid factor: from memory,
    ``data/gelatin_bench.csv``.
    """
    losses = _losses(temperature.m, acidity.m)
    left = [100 * math.exp(-rate * time.m) for rate in reversed(losses)]
    return Band.of(
        (share if share >= _LEAST else 0.0 for share in left),
        "percent",
        FROM_MEMORY,
        "rates of loss differ between gelatins and are remembered, not read",
    )


_LEAST = 0.1  # percent, below which nobody can tell a set from none


def _losses(celsius: float, acidity: float) -> tuple[float, float, float]:
    """Return low, typical and high rates of loss, each per hour."""
    rate, energy, sour = (BENCH[name] for name in ("loss rate", "activation energy", "sour factor"))
    colder = 1 / (80 + KELVIN) - 1 / (celsius + KELVIN)  # the rate is at 80 °C
    sourness = min(max(5 - acidity, 0), 2) / 2  # zero at pH 5, one at pH 3

    def loss(k: float, e: float, f: float) -> float:
        return k * math.exp(e / GAS_IN_KJ * colder) * f**sourness

    slow, fast = rate.ends
    little, much = sour.ends
    return (
        min(loss(slow, e, little) for e in energy.ends),
        loss(rate.quantity.m, energy.quantity.m, sour.quantity.m),
        max(loss(fast, e, much) for e in energy.ends),
    )


@frozen
class HeatVerdict:
    """Whether a base is right for stirring gelatin in, and why.

    Parameters
    ----------
    good : bool
        Yes or no.
    reason : str
        Why, and what to do.
    lowest, highest : quantity
        The limits at both ends, in °C; guide values.
    """

    good: bool
    reason: str
    lowest: Quantity
    highest: Quantity
    provenance: str = COMMON_PRACTICE

    def __bool__(self) -> bool:
        """Return yes or no."""
        return self.good

    def __str__(self) -> str:
        """Return the verdict as it is said at the bench."""
        return f"{'Yes' if self.good else 'No'}. {self.reason}"


@calculator(
    returns="yes or no, with the reason and both limits", temperature=Measure("degC", 0, 150)
)
def good_for_gelatin(temperature: Quantity) -> HeatVerdict:
    """Tell whether a base is at the right temperature for stirring in soaked gelatin.

    From 50 to 80 °C, both guide values.

    Parameters
    ----------
    temperature : quantity
        Of the base (0 to 150 °C).

    Returns
    -------
    Verdict
        Yes or no, the reason, and the limits at both ends.

    Examples
    --------
    >>> print(good_for_gelatin(q(60, "degC")))
    Yes. Warm enough to dissolve the gelatin, and not so hot that it weakens quickly. Stir until no streak is left.
    >>> good_for_gelatin(q(92, "degC")).good
    False

    Notes
    -----
    *Watch out*: the upper limit is no cliff: gelatin that went in at 85 °C is weaker
    and not dead. A base at 80 °C scalds, and sugar sticks: do not test it with a
    finger. Your local rules and your supervisor come first.

    Source: common practice; ``data/gelatin_bench.csv``.
    """
    lowest = BENCH["dissolving"].quantity
    highest = BENCH["begins to lose"].quantity
    melts = BENCH["gel melts"].quantity
    if temperature.m > highest.m:
        reason = (
            f"Above about {say(highest)} gelatin begins to lose strength, faster the hotter "
            "and the more sour it is. Let the base cool first. If the gelatin is already in, "
            "cool the base now and try the set on a cold plate."
        )
    elif temperature.m < melts.m:
        reason = (
            f"Below about {say(melts)} soaked gelatin does not melt and stays in lumps. "
            "Warm the base, or melt the gelatin in a little of it."
        )
    elif temperature.m < lowest.m:
        reason = (
            "Soaked gelatin melts here, but slowly, and streaks stay behind. "
            f"Warm the base to {say(lowest)} or more, or melt the gelatin first."
        )
    else:
        reason = (
            "Warm enough to dissolve the gelatin, and not so hot that it weakens "
            "quickly. Stir until no streak is left."
        )
    return HeatVerdict(lowest.m <= temperature.m <= highest.m, reason, lowest, highest)


# --- fresh fruit --------------------------------------------------------------


@frozen
class Fruit:
    """A fruit whose juice cuts gelatin while it is fresh.

    Parameters
    ----------
    name, enzyme : str
        The fruit, and what cuts.
    published : bool
        Whether a half-life in heat is known to us from a publication.
    note : str
        What is said of it; where it comes from stands in ``data/gelatin_fruit.csv``.
    """

    name: str
    enzyme: str
    published: bool
    note: str


FRUITS: dict[str, Fruit] = {
    row["fruit"]: Fruit(row["fruit"], row["enzyme"], row["known"] == "half-life", row["note"])
    for row in records("gelatin_fruit")
}


@calculator(returns="a band in min", fruit=OneOf(*FRUITS), temperature=Measure("degC", 50, 80))
def enzyme_half_life(fruit: str, temperature: Quantity) -> Band:
    """Return how long half of a fresh juice's enzyme lasts at a temperature.

    ``half-life = ln 2 / k``, ``k = 1.37e50 * exp(-3.26e5 / (R*T))`` per minute.

    Parameters
    ----------
    fruit : str
        Pineapple; the others of :data:`FRUITS` are refused, with the reason.
    temperature : quantity
        Of the juice (50 to 80 °C).

    Returns
    -------
    Band
        In minutes.  From 55 to 67 °C, where it was measured, a factor of 1.5 either
        way (from memory); beyond, the band opens with the second laboratory's doubt
        of the activation energy, 313 kJ/mol give or take 57: a factor of nearly 4 at
        80 °C.

    Examples
    --------
    >>> say(enzyme_half_life("pineapple", q(60, "degC")).typical, "min")
    '6.56 min'
    >>> print(enzyme_half_life("pineapple", q(75, "degC")))
    0.0191 min to 0.109 min, typically 0.0412 min

    Notes
    -----
    *Watch out*: half is not none: ten half-lives leave a thousandth. Fruits and
    extracts differ by more than this band: one laboratory needed eight minutes at
    80 °C until almost none was left. At the bench boil fresh juice for one to two
    minutes, let it cool, then add gelatin, and set a spoonful first. Canned fruit is
    boiled already.

    Source: [sriwatanapongse2000] and, for the band beyond, [jutamongkon2010]; both
    read as abstracts.
    """
    entry = FRUITS[fruit]
    if not entry.published:
        raise fault_error(
            "enzyme_half_life, fruit",
            f"has no published half-life known to us ({entry.enzyme})",
            fruit,
            "Only that of pineapple is published" + (f"; {entry.note}" if entry.note else ""),
            "Boil the fresh juice for one to two minutes before gelatin goes in",
        )
    celsius = temperature.m
    nearest = min(max(celsius, _MEASURED[0]), _MEASURED[1])
    at_the_edge = _bromelain_half_life(nearest)
    colder = 1 / (celsius + KELVIN) - 1 / (nearest + KELVIN)
    carried = [
        math.exp(energy / GAS_IN_KJ * colder)
        for energy in BENCH["activation energy of bromelain"].ends
    ]
    return Band.of(
        (
            at_the_edge / 1.5 * min(carried),
            _bromelain_half_life(celsius),
            at_the_edge * 1.5 * max(carried),
        ),
        "min",
        PUBLISHED,
        "measured in juice by one laboratory; fruits differ"
        if celsius == nearest
        else f"extrapolated to {number(celsius)} °C from 55 to 67 °C; fruits differ",
    )


_MEASURED = (55.0, 67.0)  # °C, [sriwatanapongse2000]


def _bromelain_half_life(celsius: float) -> float:
    """Return the half-life in minutes by the published constants."""
    energy = BENCH["activation energy of bromelain"].quantity.m
    rate = 1.37e50 * math.exp(-energy / (GAS_IN_KJ * (celsius + KELVIN)))
    return math.log(2) / rate
