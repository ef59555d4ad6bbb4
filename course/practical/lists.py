"""The lists of a plan: orders, the day before, labels, risks, and the calendar."""

from __future__ import annotations

import datetime
import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

from calculators import formula, safety
from calculators.formula import Formula
from calculators.units import Quantity, q, say
from course.practical import holding
from course.practical.amounts import mass_said
from course.practical.benches import weighed_on_scale
from course.practical.cards import Notes, at, day_of, notes_of, step_id, temperature
from course.practical.model import OrderLine, Weighed
from course.practical.orders import in_stores, orders_for
from course.practical.times import THICK, THICKENS, jugful
from course.practical.timetable import (
    BEFORE,
    DAY_BEFORE,
    Timetable,
    clocked,
    recipe,
    shelf_of,
)
from course.scheme.model import Scheme
from exercises.craft.method import method

CHECK, BATH, COVER = 5, "cool", "cover"  # minutes for the thermometers, first of all


@dataclass(frozen=True)
class Chore:
    """A line of the day-before list: when, which batch, what, how warm."""

    clock: str
    ends: str
    batch: int
    title: str
    does: tuple[str, ...]
    temperature: str
    caution: str


@dataclass(frozen=True)
class Before:
    """The day before of one group."""

    group: str
    day: datetime.date | None
    chores: tuple[Chore, ...]
    weighings: tuple[tuple[int, Quantity, tuple[Weighed, ...]], ...]
    lasts: int
    note: str


def orders(
    scheme: Scheme, tables: Sequence[Timetable]
) -> tuple[tuple[OrderLine, ...], Quantity | None]:
    """Return one order list over all groups, and what its packs cost."""
    found: dict[str, OrderLine] = {}
    costs: list[Quantity] = []
    for own, mass in recipes(scheme, tables):
        made = Formula(own.formula.name, tuple(in_stores(own, mass)))
        lines, cost = orders_for(own, made, mass)
        costs += [] if cost is None else [cost]
        for line in lines:
            first = found.get(line.ingredient)
            found[line.ingredient] = line if first is None else _together(first, line)
    lines = tuple(found.values())
    bought = [line.cost for line in lines if line.cost is not None]
    return lines, sum(bought[1:], bought[0]) if costs and bought else None


def _together(one: OrderLine, other: OrderLine) -> OrderLine:
    """Return two lines of one ingredient as one; packs are counted on the sum."""
    if one.needed is None or other.needed is None:
        return one
    known = one if one.pack is not None else other
    needed = (one.needed + other.needed).to("g")
    note = " ".join(dict.fromkeys(filter(None, (one.note, other.note))))
    if known.pack is None:
        return replace(one, needed=needed, note=note)
    packs = math.ceil((needed / known.pack).m_as("") - 1e-9)
    cost = None if known.cost is None or not known.packs else known.cost / known.packs * packs
    left = known.pack * packs - needed
    return OrderLine(one.ingredient, needed, known.pack, packs, left, cost, note)


def recipes(scheme: Scheme, tables: Sequence[Timetable]) -> list[tuple[Scheme, Quantity]]:
    """Return each formula that is cooked, with all that is made of it, g."""
    found: dict[str, tuple[Scheme, Quantity]] = {}
    for table in tables:
        for batch in range(1, len(table.layout.batches) + 1):
            own = recipe(scheme, table.layout, batch)
            before = found.get(own.formula.name, (own, q(0, "g")))[1]
            found[own.formula.name] = own, before + table.layout.batch(batch)
    return list(found.values())


def total_of(tables: Sequence[Timetable]) -> Quantity:
    """Return all the glaze of all groups, g."""
    return q(sum(table.layout.total.m for table in tables), "g")


def law(scheme: Scheme) -> tuple[str, ...]:
    """Return what the law says of each colour that is ordered."""
    colours = dict.fromkeys(jug.colourant for jug in scheme.colours if jug.colourant)
    return tuple(
        f"{name}: {note}" for name in colours for note in safety.allowed(name, scheme.region).notes
    )


# --- the day before -----------------------------------------------------------------------------


def chores(scheme: Scheme, table: Timetable) -> list[tuple[int, int, int, str]]:
    """Return the work of the day before: from, to, batch and step, each tool used once.

    One pair of hands follows each batch; hobs, blenders and baths are shared.
    """
    layout, has = table.layout, scheme.practical.equipment
    free = {
        "boil": [0] * (has.hobs or len(layout.batches)),
        "blend": [0] * (has.blenders or len(layout.batches)),
        BATH: [0] * (has.baths or len(layout.batches)),
    }
    made = [(0, CHECK, 0, "thermometers")]
    for batch in range(1, len(layout.batches) + 1):
        now = CHECK
        bath = holding.cooled(scheme, layout.batch(batch), layout.variant.way).bath
        for step in ("weigh", "boil", "gelatin", "bowl", "blend", BATH, COVER):
            lasts = bath if step == BATH else BEFORE[step]
            if step in free:
                first = free[step].index(min(free[step]))
                now = max(now, free[step][first])
                free[step][first] = now + lasts
            made.append((now, now + lasts, batch, step))
            now += lasts
    return sorted(made)


def before(scheme: Scheme, table: Timetable) -> Before:
    """Return the day-before list of a group, with its times."""
    layout = table.layout
    group = layout.group
    rows, lasts = [], 0
    if layout.variant.when == DAY_BEFORE:
        way = holding.HOW[layout.variant.way]
        for begun, ends, batch, name in chores(scheme, table):
            step = method().step(name)
            does = step.does
            if name == BATH:
                does += (f"{str(way)[0].upper()}{str(way)[1:]}.",)
                does += (THICKENS,) if way.out < THICK else ()
            warm = say(way.out) if name == BATH else temperature(scheme, step)
            caution = safety.caution(step.caution[0]).hazard if step.caution else ""
            rows.append(
                Chore(
                    at(group.start, begun),
                    at(group.start, ends),
                    batch,
                    step.title,
                    does,
                    warm,
                    caution,
                )
            )
            lasts = max(lasts, ends)
    weighings = tuple(
        (
            batch,
            layout.batch(batch),
            tuple(
                weighed_on_scale(recipe(scheme, layout, batch), line, layout.batch(batch))
                for line in in_stores(recipe(scheme, layout, batch), layout.batch(batch))
            ),
        )
        for batch in range(1, len(layout.batches) + 1)
    )
    return Before(group.name, day_of(table), tuple(rows), weighings, lasts, _note(table, lasts))


def _note(table: Timetable, lasts: int) -> str:
    there = table.layout.group.hours_before
    if not lasts:
        return "Nothing but the freezing: the glaze is cooked on the day itself."
    told = f"It takes {clocked(lasts)} h with one pair of hands for each batch."
    if there is not None and lasts > there.m_as("min"):
        told += f" There are {say(there)}: begin earlier, or let staff finish the cooling."
    return told


# --- labels, risks ---------------------------------------------------------------------------------


@dataclass(frozen=True)
class Label:
    """What stands on a tub."""

    what: str
    mass: str
    whose: str
    made: datetime.date | None
    use_by: datetime.date | None
    notes: Notes


def labels(scheme: Scheme, table: Timetable) -> tuple[Label, ...]:
    """Return a label for each tub that goes into the fridge."""
    layout, made = table.layout, []
    for batch, benches in enumerate(layout.batches, 1):
        own = recipe(scheme, layout, batch)
        count, one = jugful(scheme, layout.batch(batch))
        for n in range(1, count + 1):
            whose = f"batch {batch}, tub {n} of {count}, bench {', '.join(map(str, benches))}"
            name = f"{layout.group.name}, {whose}" if layout.group.name else whose
            made.append(
                Label(
                    own.formula.name,
                    mass_said(one),
                    name,
                    day_of(table),
                    layout.group.practical,
                    notes_of(own),
                )
            )
    return tuple(made)


def risks(table: Timetable) -> tuple[tuple[safety.Caution, str], ...]:
    """Return the hazards of this plan, each with the steps in which it is met."""
    kinds = {step_id(task) for task in table.tasks}
    steps = [step for step in method().day if step.id in kinds]
    if table.layout.variant.when == DAY_BEFORE:
        steps = [*method().day_before, *steps]
    else:
        steps = [s for s in method().day_before if s.id not in ("cool", "cover")] + steps
    found: dict[str, list[str]] = {}
    for step in steps:
        for name in step.caution:
            found.setdefault(name, []).append(step.title)
    return tuple(
        (safety.caution(name), ", ".join(dict.fromkeys(titles))) for name, titles in found.items()
    )


def shelf(scheme: Scheme) -> str:
    """Return the shelf that the cakes take in the freezer."""
    total = sum((cake.count * shelf_of(cake) for cake in scheme.cakes), q(0, "cm**2"))
    return say(total, "cm**2", digits=2)


def eaters(scheme: Scheme, tables: Sequence[Timetable]) -> tuple[tuple[str, tuple[str, ...]], ...]:
    """Return for each formula who can't eat it, by what is really in stores."""
    return tuple(
        (
            own.formula.name,
            formula.who_cannot_eat(Formula(own.formula.name, tuple(in_stores(own, mass)))),
        )
        for own, mass in recipes(scheme, tables)
    )


# --- the calendar ----------------------------------------------------------------------------------


def calendar(scheme: Scheme, tables: Sequence[Timetable]) -> str:
    """Return both days of each group as a calendar file (RFC 5545); no zone is given."""
    lines = ["BEGIN:VCALENDAR", "VERSION:2.0", "PRODID:-//Glossbook//practical//EN"]
    for place, table in enumerate(tables, 1):
        group = table.layout.group
        if group.practical is None:
            continue
        name = f", {group.name}" if group.name else ""
        eve = before(scheme, table)
        if eve.lasts and eve.day is not None:
            title = f"Day before{name}: {scheme.formula.name}"
            lines += _event(f"{place}-before", eve.day, group.start, eve.lasts, title)
        title = f"Practical{name}: {scheme.formula.name}"
        lines += _event(f"{place}-day", group.practical, group.start, table.ends, title)
    return "".join(f"{folded}\r\n" for line in (*lines, "END:VCALENDAR") for folded in _fold(line))


def _event(id: str, day: datetime.date, start: str, lasts: int, title: str) -> list[str]:
    begun = datetime.datetime.combine(day, datetime.time.fromisoformat(start))
    stamp, ends = "%Y%m%dT%H%M%S", begun + datetime.timedelta(minutes=lasts)
    text = title.replace("\\", "\\\\").replace(";", "\\;").replace(",", "\\,")
    return [
        "BEGIN:VEVENT",
        f"UID:{begun:{stamp}}-{id}@glossbook.invalid",
        f"DTSTAMP:{day:%Y%m%d}T000000Z",
        f"DTSTART:{begun:{stamp}}",
        f"DTEND:{ends:{stamp}}",
        f"SUMMARY:{text}",
        "END:VEVENT",
    ]


def _fold(line: str) -> list[str]:
    """Fold a line at 75 octets, as the standard asks."""
    parts, now = [], ""
    for letter in line:
        if len((now + letter).encode()) > 74:
            parts.append(now)
            now = " "
        now += letter
    return [*parts, now]
