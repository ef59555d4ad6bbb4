"""What does not add up in a plan."""

from __future__ import annotations

from collections.abc import Sequence

from calculators import formula, marbling, safety
from calculators.units import Quantity, q, say
from course.practical.amounts import mass_said
from course.practical.model import LONGEST_DAY, Station
from course.practical.orders import in_stores, uncoloured
from course.practical.page import clock
from course.practical.steps import soak_water, too_little
from course.scheme.model import Scheme


def warnings_of(scheme: Scheme, stations: Sequence[Station]) -> tuple[str, ...]:
    """Return what a lecturer must settle before the day."""
    told = []
    idle = scheme.group.stations - sum(len(s.numbers) for s in stations)
    if idle:
        told.append(
            f"There are fewer cakes than stations: {idle} would stand idle. Give more "
            "cakes, or fewer stations."
        )
    told += too_little(scheme, stations)
    longest = max(stations, key=lambda station: station.lasts)
    if longest.lasts > LONGEST_DAY:
        told.append(
            f"{longest.name}: the plan takes {clock(longest.lasts)} hours, longer than a "
            "working day. Give it fewer cakes, use more stations, or plan two days."
        )
    return (*told, *to_settle(scheme))


def to_settle(scheme: Scheme) -> tuple[str, ...]:
    """Return what of glaze and colours must be settled, whoever stands where."""
    told = _over_dose(scheme)
    if plain := uncoloured(scheme):
        told.append(plain)
    for technique in formula.gelling(scheme.formula.as_formula()):
        if technique.agent != "gelatin":
            told.append(
                f"The glaze is set by {technique.agent}, and the warming in this plan is "
                f"that of gelatin. {technique.reuse}"
            )
    soak, held = soak_water(scheme, scheme.formula.mass), _water_line(scheme)
    if soak is not None and held < soak:
        told.append(
            f"The gelatin is soaked in {mass_said(soak)} of water a formula, and the formula "
            f"counts {mass_said(held)}. Count the soaking water on a line of its own, or the "
            "glaze is thinner than it says."
        )
    if len(scheme.colours) > 1:
        shares = {jug.name: jug.share for jug in scheme.colours}
        chosen = marbling.dominance(shares)
        if not chosen.enough:
            told.append(str(chosen))
    return tuple(told)


def _over_dose(scheme: Scheme) -> list[str]:
    """Return the jugs whose dose is above the figure that the law gives."""
    told = []
    for jug in scheme.colours:
        if not jug.colourant or jug.dose is None:
            continue
        for note in safety.allowed(jug.colourant, scheme.region).notes:
            if note.limit is not None and jug.dose > note.limit:
                told.append(
                    f"{jug.name}: {say(jug.dose)} of {jug.colourant} is more than the law "
                    f"allows in {safety.REGIONS[scheme.region]}. {note.text} Dose less."
                )
    return told


def _water_line(scheme: Scheme) -> Quantity:
    lines = in_stores(scheme, scheme.formula.mass)
    return sum((w.mass for w in lines if w.ingredient == "water"), q(0, "g"))
