"""What follows from a value of a scheme, in words: said beside the value, and by *check*."""

from __future__ import annotations

import datetime
from collections.abc import Iterator

from calculators import blending, coating, cooling, formula, safety, water
from calculators.faults import FaultsError
from calculators.ingredients import ingredient
from calculators.kitchen import Line
from calculators.units import q, say
from course.practical.amounts import kept_said, mass_said, poured_over
from course.practical.orders import in_stores, uncoloured
from course.scheme.declared import MISSING_UNIT, OTHER_UNIT
from course.scheme.model import Scheme
from course.scheme.own_ingredients import OwnIngredient
from exercises.files.toml_lines import Key

Said = Iterator[tuple[Key, str]]
_SHARES = {"water": "water", "sugars": "sugar", "fat": "fat"}


def follows(scheme: Scheme) -> dict[Key, str]:
    """Return what follows from the values of a scheme, by their way in its file.

    Parameters
    ----------
    scheme : Scheme
        Checked.
    """
    found: dict[Key, str] = {}
    for part in (_kitchen, _stores, _formula, _coat, _cakes, _colours, _people, _days, _marks):
        try:
            found.update(part(scheme))
        except FaultsError:  # a kitchen beyond what a calculator takes: nothing follows
            continue
    return found


def _kitchen(scheme: Scheme) -> Said:
    kitchen = scheme.kitchen
    boils = water.boiling_point(water.air_pressure(kitchen.altitude))
    yield ("kitchen", "altitude"), f"water boils here at {say(boils, digits=3)}"
    dew = cooling.dew_point(kitchen.room, kitchen.humidity)
    yield ("kitchen", "room"), f"what is colder than {say(dew, digits=2)} sweats"
    least = blending.smallest_batch(kitchen.jug, kitchen.blade)
    yield ("kitchen", "blade"), f"the least that can be blended in this jug is {say(least.mass)}"


def _stores(scheme: Scheme) -> Said:
    for way, one in (("stores", scheme.stores), ("formula", scheme.formula)):
        yield (way, "gelatin_grade"), f"counted as {say(one.gelatin_bloom)}; the pack may differ"
    wanted, held = (
        sum(one.mass.m_as("g") for one in lines if ingredient(one.ingredient).kind == "gelatin")
        for lines in (scheme.formula.lines, in_stores(scheme, scheme.formula.mass))
    )
    if wanted and held:
        yield (
            ("stores", "gelatin_bloom"),
            f"{say(q(held, 'g'))} of it does what the {say(q(wanted, 'g'))} of the formula would",
        )


def _formula(scheme: Scheme) -> Said:
    made = scheme.formula.as_formula()
    shares = ", ".join(
        f"{say(formula.share(made, part), digits=2)} {word}" for part, word in _SHARES.items()
    )
    yield ("formula",), f"the glaze weighs {say(scheme.formula.mass, digits=5)}: {shares}"
    whole = scheme.formula.mass.m_as("g")
    for n, line in enumerate(scheme.formula.lines):
        share = q(100 * line.mass.m_as("g") / whole, "percent")
        yield ("formula", "line", n, "mass"), f"{say(share, digits=2)} of the glaze"
        if line.price is not None and line.pack is not None:
            money = line.price * (line.mass / line.pack).m_as("")
            used = say(q(round(money.m, 2), str(money.units)), digits=6)
            yield ("formula", "line", n, "price"), f"{used} for this formula"


def _coat(scheme: Scheme) -> Said:
    poured = poured_over(scheme, [cake.count for cake in scheme.cakes])
    said = f"poured over all cakes: {say(poured, digits=3)}, {kept_said(scheme, poured)}"
    yield ("coat",), said


def _cakes(scheme: Scheme) -> Said:
    for n, cake in enumerate(scheme.cakes):
        area = coating.area(coating.shape(cake.shape, cake.sizes))
        kept = q(area.m_as("cm**2") * scheme.coat.mass.m_as("g/cm**2"), "g")
        yield (
            ("cakes", n, "count"),
            f"each takes glaze on {say(area, digits=3)} and keeps {say(kept, digits=3)}",
        )


def _colours(scheme: Scheme) -> Said:
    poured = poured_over(scheme, [cake.count for cake in scheme.cakes])
    for n, colour in enumerate(scheme.colours):
        mass = poured * colour.share.m_as("")
        yield ("colours", n, "share"), f"{mass_said(mass)} of what is poured"
        if colour.dose is not None:
            dose = q(mass.m_as("kg") * colour.dose.m_as("g/kg"), "g")
            yield ("colours", n, "dose"), f"{say(dose, digits=2)} of colour in all"
        if uncoloured(scheme) and not (colour.colourant or colour.kind):
            yield ("colours", n, "name"), uncoloured(scheme)
        if colour.colourant:
            yield ("colours", n, "colourant"), law_said(colour.colourant, scheme.region)


def law_said(colourant: str, region: str) -> str:
    """Return in a sentence whether a colourant may go into food in a region."""
    answer = safety.allowed(colourant, region).answer
    where = safety.REGIONS[region]
    if answer == "no":
        return f"may not go into food in {where}"
    if answer == "yes":
        return f"may go into food in {where}, up to its dose: read its label"
    return f"ask first: the table can't say that it may go into food in {where}"


def _people(scheme: Scheme) -> Said:
    more = [(("more_groups", n), one) for n, one in enumerate(scheme.practical.more_groups)]
    for way, group in ((("group",), scheme.group), *more):
        least, rest = divmod(group.students, group.stations)
        each = f"{least} or {least + 1}" if rest else str(least)
        yield (*way, "stations"), f"{each} {'student' if each == '1' else 'students'} at each bench"


def _days(scheme: Scheme) -> Said:
    more = [(("more_groups", n), one) for n, one in enumerate(scheme.practical.more_groups)]
    days = [
        ((*way, "practical"), one.practical) for way, one in ((("group",), scheme.group), *more)
    ]
    for name, paper in scheme.papers.items():
        days += [(("papers", name, "opens_on"), paper.opens_on)]
        days += [(("papers", name, "hand_in_by"), paper.hand_in_by)]
    for way, day in days:
        if day is not None:
            yield way, f"a {day:%A}{', and past' if day < datetime.date.today() else ''}"


def _marks(scheme: Scheme) -> Said:
    for name, paper in scheme.papers.items():
        yield ("papers", name), paper.asks
    yield ("marking", "missing_unit"), MISSING_UNIT[scheme.marking.missing_unit]
    yield ("marking", "other_unit"), OTHER_UNIT[scheme.marking.other_unit]
    if scheme.term is not None:
        yield ("term", "class"), f"{say(scheme.term.weeks * scheme.term.class_time, 'h')} in all"


# --- a label of one's own -------------------------------------------------------------------


def label_lines(one: OwnIngredient, region: str) -> list[str]:
    """Return what the calculators make of a label: parts, who can't eat it, the law, the price.

    Parameters
    ----------
    one : OwnIngredient
        Read, so that it is on the shelf.
    region : str
        Whose law holds.
    """
    item = one.label.as_ingredient()
    parts = [
        f"{part.typical:.3g} g {'that the label does not name' if name == 'other' else name}"
        for name, part in item.parts.items()
        if part.typical >= 0.05
    ]
    lines = [f"In 100 g: {', '.join(parts)}."]
    if item.dextrose_equivalent is not None:
        low, usual, high = item.dextrose_equivalent
        lines.append(f"Dextrose equivalent {usual:g} %, taken as {low:g} to {high:g} %.")
    if item.colourant:
        lines.append(f"{item.colourant.capitalize()}: {law_said(item.colourant, region)}.")
        lines += [str(note) for note in safety.allowed(item.colourant, region).notes]
    if one.price is not None and one.pack is not None:
        kilogram = say(one.price * (q(1, "kg") / one.pack).m_as(""), digits=3)
        lines.append(f"A pack of {mass_said(one.pack)}: {kilogram} for a kilogram.")
    alone = formula.Formula(item.name, (Line(item.name, q(100, "g")),))
    return [*lines, *formula.who_cannot_eat(alone)]
