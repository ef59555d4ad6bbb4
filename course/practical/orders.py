"""What is weighed and what is ordered."""

from __future__ import annotations

import math
from collections.abc import Sequence

from calculators import colour, formula, gelatin, glucose, safety
from calculators.faults import fault_error
from calculators.formula import Formula
from calculators.ingredients import Ingredient, ingredient
from calculators.kitchen import Line
from calculators.labels import Label
from calculators.units import Quantity, q, say
from course.kit import stores
from course.practical.amounts import mass_said
from course.practical.model import OrderLine
from course.scheme.checking import LEAF_LINE, POWDER_LINE
from course.scheme.declared import POWDER
from course.scheme.model import Colour, Scheme
from course.scheme.own_ingredients import OwnIngredient

# --- what is weighed, and what is ordered --------------------------------------------------------

# The tub that an ingredient of the table is.
_TUBS = {
    "glucose syrup, confectioner's": "confectioner",
    "light corn syrup": "light corn",
    "liquid glucose, home pack": "home pack",
}


def in_stores(scheme: Scheme, total: Quantity) -> list[Line]:
    """Return the lines for a mass of glaze, swapped for what is in stores.

    Lines of one ingredient are put together, with the first price and pack.
    """
    lines: dict[str, Line] = {}
    for line in formula.scale_to(scheme.formula.as_formula(), total).lines:
        for held in _held(scheme, line):
            first = lines.get(held.ingredient)
            more = first.mass + held.mass if first else held.mass
            known = first if first and first.pack is not None else held
            lines[held.ingredient] = Line(held.ingredient, more, known.price, known.pack)
    for name, line in lines.items():
        if line.mass.m <= 0:
            raise fault_error(
                f"order list, {name}",
                "is less than the swap of glucose syrup takes away",
                mass_said(line.mass),
                "The syrup in stores brings more water than the formula has",
                "Order the syrup that the formula names",
            )
    return list(lines.values())


def _held(scheme: Scheme, line: Line) -> list[Line]:
    """Return what to weigh of what is in stores for one line of the formula.

    The price and the pack are those of what is in stores; water that a swap of
    glucose syrup takes away is a line below nought.
    """
    item = ingredient(line.ingredient)
    if item.kind == "gelatin":
        mass = _gelatin_held(scheme, line.mass)[0]
        return [Line(_gelatin_name(scheme, item), mass, line.price, line.pack)]
    wanted, held = _TUBS.get(item.name), scheme.stores.glucose
    if wanted is not None and (own := _own_syrup(scheme)):
        price, pack = own.price or line.price, own.pack or line.pack
        return _swapped(line, wanted, syrup_of_label(own.label), own.label.name, price, pack)
    if wanted is None or wanted == held:
        return [Line(item.name, line.mass, line.price, line.pack)]
    name = next(name for name, tub in _TUBS.items() if tub == held)
    return _swapped(line, wanted, held, name, line.price, line.pack)


def _swapped(
    line: Line,
    wanted: str,
    held: glucose.Syrup | str,
    name: str,
    price: Quantity | None,
    pack: Quantity | None,
) -> list[Line]:
    swap = glucose.swap(line.mass, wanted, held)
    extra = swap.add - swap.leave_out
    water_line = [Line("water", extra)] if extra.m else []
    return [Line(name, swap.mass, price, pack), *water_line]


def _own_syrup(scheme: Scheme) -> OwnIngredient | None:
    name = scheme.stores.own_glucose
    return next((one for one in scheme.own_ingredients if one.label.name == name), None)


def syrup_of_label(label: Label) -> glucose.Syrup:
    """Return a glucose syrup by the two figures of its label."""
    solids = label.per_100_g.get("solids", 100 - label.per_100_g.get("water", 0.0))
    return glucose.Syrup(label.dextrose_equivalent, q(solids, "percent"))


def _gelatin_name(scheme: Scheme, item: Ingredient) -> str:
    """Return what is weighed for a gelatin; that of fish or beef stays what it is."""
    if item.name not in (LEAF_LINE, POWDER_LINE):
        return item.name
    return POWDER_LINE if scheme.stores.gelatin_grade == POWDER else LEAF_LINE


def _gelatin_held(scheme: Scheme, mass: Quantity) -> tuple[Quantity, str]:
    """Return the gelatin of the stores for a mass of the formula's, and the rule."""
    held = stores.Gelatin(scheme.stores.gelatin_grade, scheme.stores.gelatin_bloom)
    return _gelatin_as(scheme, mass, held)


def _or_instead(scheme: Scheme, mass: Quantity) -> str:
    """Return what the other gelatins on the shelf would weigh; empty for none."""
    told = []
    for grade, bloom in scheme.stores.more_gelatins:
        one = stores.Gelatin(grade, bloom)
        weighs, _ = _gelatin_as(scheme, mass, one)
        told.append(f"{mass_said(weighs)} of {one}")
    return (
        f" Or: {'; or '.join(told)}. Their animal and diets may differ: read the pack."
        if told
        else ""
    )


def _gelatin_as(scheme: Scheme, mass: Quantity, held: stores.Gelatin) -> tuple[Quantity, str]:
    """Return what a gelatin weighs for a mass of the formula's, and the rule."""
    wanted = stores.Gelatin(scheme.formula.gelatin_grade, scheme.formula.gelatin_bloom)
    if wanted == held:
        return mass, _counted(mass, held)
    rule = stores.rule_between(wanted, held)
    if rule == gelatin.LEAF_FOR_LEAF:
        count = gelatin.leaves(mass, wanted.grade)
        swap = gelatin.leaf_swap(count, wanted.grade, held.grade)
        return swap.mass, (
            f"{say(swap.leaves, digits=2)} of {held.grade} for as many of "
            f"{wanted.grade}. {swap.rule}"
        )
    swapped = gelatin.swap(mass, wanted.bloom, held.bloom, rule)
    return swapped, (
        f"{_counted(swapped, held)} {held.grade.capitalize()} of {say(held.bloom)} for "
        f"{wanted.grade} of {say(wanted.bloom)}. {gelatin.rule_in_words(rule)}"
    ).strip()


def _counted(mass: Quantity, held: stores.Gelatin) -> str:
    if not held.is_leaf:
        return ""
    return f"{say(gelatin.leaves(mass, held.grade), digits=2)} of {held.grade}."


OF_FISH = (
    "Fish gelatin sets and melts colder than pig or beef gelatin of the same bloom, and the "
    "temperatures here are for those: try a little on a frozen offcut first, and keep the "
    "glazed cakes cold."
)  # common practice


def note_on(scheme: Scheme, name: str, total: Quantity) -> str:
    """Return what must be said beside a line that was swapped."""
    lines = formula.scale_to(scheme.formula.as_formula(), total).lines
    item = ingredient(name)
    if item.kind == "gelatin":
        masses = (
            line.mass
            for line in lines
            if (of := ingredient(line.ingredient)).kind == "gelatin"
            and _gelatin_name(scheme, of) == name
        )
        whole = sum(masses, q(0, "g"))
        fish = f" {OF_FISH}" if item.origin == "fish" else ""
        return f"{_gelatin_held(scheme, whole)[1]}{fish}{_or_instead(scheme, whole)}".strip()
    swapped = [w.ingredient for w in lines if w.ingredient in _TUBS]
    bought = name in _TUBS or (name and name == scheme.stores.own_glucose)
    if bought and swapped and name not in swapped:
        return f"In place of {', '.join(swapped)}; the water is put right."
    return ""


def orders_for(
    scheme: Scheme, made: Formula, total: Quantity
) -> tuple[tuple[OrderLine, ...], Quantity | None]:
    """Return the order list, and what its packs cost together."""
    bill = formula.cost(made) if made.currency else None
    priced = {line.ingredient: line for line in bill.lines} if bill else {}
    orders = []
    for line in made.lines:
        pack, bought = line.pack, priced.get(line.ingredient)
        packs = math.ceil((line.mass / pack).m_as("") - 1e-9) if pack is not None else None
        orders.append(
            OrderLine(
                line.ingredient,
                line.mass,
                pack,
                packs,
                pack * packs - line.mass if pack is not None else None,
                bought.bought if bought else None,
                note_on(scheme, line.ingredient, total),
            )
        )
    return (*orders, *_colour_orders(scheme, total)), bill.bought if bill else None


def without_price(lines: Sequence[OrderLine]) -> tuple[str, ...]:
    """Return what is not in the total, because no price is given."""
    return tuple(line.ingredient for line in lines if line.cost is None)


def _colour_orders(scheme: Scheme, total: Quantity) -> list[OrderLine]:
    """Return what colours to have at hand, and which of them must be asked about."""
    made = []
    for jug in scheme.colours:
        if jug.colourant or jug.kind:
            if not jug.colourant:
                note = "Read its label: the scheme doesn't say which colour it is."
            elif safety.allowed(jug.colourant, scheme.region).answer == "yes":
                note = ""
            else:
                note = "Ask first: see what the law says below."
            mass = dose_for(jug, total * jug.share.m_as(""))
            made.append(OrderLine(f"{jug.name}: {jug.colourant or jug.kind}", mass, note=note))
    return made


def uncoloured(scheme: Scheme) -> str:
    """Return which jugs of a marble nothing colours; empty where they can be told apart.

    One of them is the glaze as it is; two of them would be one colour under two names.
    """
    plain = [jug.name for jug in scheme.colours if not (jug.colourant or jug.kind)]
    if len(plain) < 2:
        return ""
    return (
        f"Nothing colours {' and '.join(plain)}: none is ordered and no step colours them. "
        "Name a colourant for all but one under [[colours]]."
    )


def dose_for(jug: Colour, glaze: Quantity) -> Quantity | None:
    """Return how much colourant a jug takes; None where nobody knows."""
    if jug.dose is not None:
        return (jug.dose * glaze).to("g")
    if jug.kind:
        return colour.dose(jug.kind, glaze).typical
    return None
