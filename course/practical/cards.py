"""What hangs over each bench: one card, one A4 page, from a plan that has its clock."""

from __future__ import annotations

import datetime
import math
from collections.abc import Sequence
from dataclasses import dataclass

from calculators import formula, safety
from calculators.kitchen import Cake
from calculators.units import Quantity, q, say
from course.practical import holding
from course.practical.amounts import layers_of, mass_said, pour_of
from course.practical.orders import dose_for
from course.practical.times import jugful, warm_to, window_said
from course.practical.timetable import SAME_DAY, Layout, Load, Task, Timetable, people_of, recipe
from course.scheme.model import Scheme
from course.scheme.practical import minutes_of
from exercises.craft.method import WARMER_BATH, Step, method

AGAIN = 45  # min to cool a rest, where nothing was cooled before; common practice
DENSE = 15  # rows above which a card leaves out the look and all but the first sentence


@dataclass(frozen=True)
class Notes:
    """What card, label and lecturer's page say of the glaze: allergens, gelatin, diets."""

    allergens: str
    read: str
    gelatin: str
    diets: str


@dataclass(frozen=True)
class Row:
    """A row of a card: when, what, how, how much, how warm, who, and what hurts."""

    clock: str
    title: str
    does: tuple[str, ...]
    mass: tuple[str, ...]
    temperature: str
    lasts: str
    who: str
    ready: str
    caution: str
    hazard: str


@dataclass(frozen=True)
class Card:
    """The page of one bench."""

    bench: int
    group: str
    people: tuple[str, ...]
    cakes: tuple[str, ...]
    rows: tuple[Row, ...]
    strokes: tuple[tuple[str, str], ...]
    formula: str
    notes: Notes
    free_of: str

    @property
    def dense(self) -> bool:
        """Whether the rows have to be short."""
        return len(self.rows) > DENSE


def at(group_start: str, minutes: float) -> str:
    """Return a time of the plan on the clock of the wall.

    >>> at("09:00", 95)
    '10:35'
    """
    whole = minutes_of(group_start) + round(minutes)
    return f"{whole // 60 % 24}:{whole % 60:02d}"


def cards(scheme: Scheme, table: Timetable) -> tuple[Card, ...]:
    """Return the card of each bench of a plan."""
    benches = sorted({load.bench for load in table.layout.loads})
    return tuple(_card(scheme, table, bench) for bench in benches)


def _card(scheme: Scheme, table: Timetable, bench: int) -> Card:
    layout = table.layout
    loads = [load for load in layout.loads if load.bench == bench]
    batch = layout.batch_of(bench)
    own = recipe(scheme, layout, batch)
    mine = [
        task
        for task in table.tasks
        if task.bench == bench or (not task.bench and task.batch in (0, batch))
    ]
    rounds = {load.round for load in loads}
    mine = [t for t in mine if not t.batch or t.round in rounds]
    mine.sort(key=lambda task: (task.starts, task.ends))
    kinds = [kind for kind in range(len(scheme.cakes)) if any(x.cakes[kind] for x in loads)]
    shapes = tuple(dict.fromkeys(scheme.cakes[kind].shape for kind in kinds))
    return Card(
        bench,
        layout.group.name,
        people_of(layout.group, layout.variant.benches)[bench - 1],
        tuple(
            f"{sum(x.cakes[kind] for x in loads)} × {cake_said(scheme.cakes[kind])}: "
            f"{mass_said(pour_of(scheme, kind))} each"
            for kind in kinds
        ),
        tuple(_rows(scheme, table, mine, loads)),
        tuple((shape, method().strokes[shape].stroke) for shape in shapes),
        own.formula.name,
        notes_of(own),
        layout.free_of(bench),
    )


def cake_said(cake: Cake) -> str:
    """Return a cake in words, with its sizes."""
    return f"{cake.shape} {', '.join(say(size) for size in cake.sizes.values())}"


def _rows(
    scheme: Scheme, table: Timetable, tasks: Sequence[Task], loads: Sequence[Load]
) -> list[Row]:
    rows: list[Row] = []
    start, many = table.layout.group.start, table.layout.variant.rounds > 1
    seen: set[int] = set()
    told: set[str] = set()
    for task in tasks:
        if task.kind == "pour":
            if task.round in seen:
                continue
            seen.add(task.round)
        pours = [t for t in tasks if t.kind == "pour" and t.round == task.round]
        step = method().step(step_id(task))
        load = next((x for x in loads if x.round == task.round), None)
        lasts = task.lasts if task.kind != "pour" else pours[-1].ends - pours[0].starts
        title = f"{step.title}, round {task.round}" if many and task.round else step.title
        caution = step.caution[0] if step.caution else ""
        who = (
            ", ".join(f"{t.who[0]} {at(start, t.starts)}" for t in pours)
            if task.kind == "pour"
            else "everybody"
            if not task.batch and not task.bench
            else ", ".join(task.who)
        )
        rest = left_over(scheme, table) if task.kind == "left over" else ""
        out = rest if rest and thrown_out(scheme, table) else ""
        does = (out,) if out else (*_thinned(table.layout, task), *step.does, rest)
        rows.append(
            Row(
                at(start, task.starts),
                title,
                () if step.id in told else tuple(filter(None, does)),
                _mass(scheme, table.layout, task, load),
                "" if out else temperature(scheme, step),
                f"{lasts} min",
                who,
                "" if step.id in told else "Weighed and written down." if out else step.ready,
                caution,
                safety.caution(caution).hazard if caution else "",
            )
        )
        told.add(step.id)
    return rows


def step_id(task: Task) -> str:
    """Return the step of the method that a task of the day is."""
    return "blend again" if task.kind == "blend" else task.kind


def _thinned(layout: Layout, task: Task) -> tuple[str, ...]:
    if task.kind != "colour" or layout.colour_by != "stock":
        return ()
    return ("Thin each colour first: 1 part with 9 of glaze.",)


def in_the_room(scheme: Scheme, table: Timetable) -> str:
    """Return how long a jug out of its bath stays in the window; empty where it always does.

    It is the jug for one student's cakes, the smallest that stands on a bench.
    """
    least = min(
        load.glaze.m / sum(load.cakes) * max((n for *_, n in load.pairs), default=1)
        for load in table.layout.loads
    )
    stays = holding.stays_in_window(scheme, q(least, "g"))
    if math.isinf(stays):
        return ""
    room, window = say(scheme.kitchen.room), window_said(scheme)
    below = scheme.kitchen.room.m < scheme.window.low.m
    how = "cools" if below else "warms"
    cold = "" if below else " Keep ice by the bath: the room heats it too."
    return (
        f"The room has {room} and the window is {window}: out of its bath the glaze of one "
        f"student {how} out of it in about {math.floor(stays)} min. Leave each jug in the bath "
        f"until its pour.{cold}"
    )


def temperature(scheme: Scheme, step: Step) -> str:
    """Return what the thermometer shows in a step, in this kitchen."""
    kitchen = scheme.kitchen
    told = {
        "": "",
        "cold": "cold",
        "freezer": say(kitchen.freezer),
        "fridge": say(kitchen.storage),
        "display": say(kitchen.display),
        "window": window_said(scheme).replace(" °C to", " to"),
        "warm to": say(warm_to(scheme)),
        "pan boils": "full boil",
        "out of bath": "as the list says",
    }
    if step.id == "warm":
        bath = q(warm_to(scheme).m + WARMER_BATH, "degC")
        return f"{say(warm_to(scheme))}, bath {say(bath)}".replace(" °C", "\u00a0°C")
    return told.get(step.temperature, step.temperature).replace(" °C", "\u00a0°C")


def _mass(scheme: Scheme, layout: Layout, task: Task, load: Load | None) -> tuple[str, ...]:
    """Return the masses of a task, each as it is said."""
    if task.kind in ("warm", "blend", "boil", "bowl"):
        mass = layout.glaze(task.batch, task.round)
        count, one = jugful(scheme, mass)
        benches = layout.batches[task.batch - 1]
        whose = f"for benches {', '.join(map(str, benches))}" if len(benches) > 1 else ""
        jugs = f"in {count} jugs, {mass_said(one)} each" if count > 1 else ""
        return tuple(filter(None, (mass_said(mass), jugs, whose)))
    if load is None:
        return ()
    if task.kind == "colour":
        mass = layout.glaze(task.batch, task.round) if not task.bench else load.glaze
        return tuple(jug_said(scheme, layout, mass, place) for place in range(len(scheme.colours)))
    if task.kind == "window":
        return tuple(f"{c.name} {mass_said(load.glaze * c.share.m_as(''))}" for c in scheme.colours)
    if task.kind == "layer":
        layers = enumerate(layers_of(scheme, load.glaze), 1)
        return tuple(f"{n}. {name} {mass_said(mass)}" for n, (name, mass) in layers)
    if task.kind == "pour":
        kinds = dict.fromkeys(kind for _, kind, _ in load.pairs)
        return tuple(
            f"{mass_said(pour_of(scheme, kind))} a {scheme.cakes[kind].shape}" for kind in kinds
        )
    if task.kind == "others":
        return tuple(
            f"{count} × {scheme.cakes[kind].shape}"
            for kind, count in enumerate(load.others)
            if count
        )
    return ()


def jug_said(scheme: Scheme, layout: Layout, glaze: Quantity, place: int) -> str:
    """Return a jug of colour: what goes in, and the dose as it is weighed."""
    colour = scheme.colours[place]
    mass = glaze * colour.share.m_as("")
    dose = dose_for(colour, mass)
    if dose is None:
        return f"{colour.name} {mass_said(mass)}"
    if layout.colour_by == "stock":
        return f"{colour.name} {mass_said(mass)} + {say(dose * 10, 'g', digits=2)} thinned"
    return f"{colour.name} {mass_said(mass)} + {say(dose, 'g', digits=2)}"


# --- what stands on every page ------------------------------------------------------------------


def notes_of(scheme: Scheme) -> Notes:
    """Return the allergens of the glaze, the animal of its gelatin, and whom it excludes."""
    made = scheme.formula.as_formula()
    inside: list[str] = []
    maybe: list[str] = []
    for one in formula.allergens(made):
        (inside if one.certain else maybe).append(one.allergen)
    gelatins = [item for item in made.items if item.kind == "gelatin"]
    origins = ", ".join(dict.fromkeys(f"{item.name} ({item.origin})" for item in gelatins))
    no = [d.name for d in formula.diets(made).values() if d.answer == "no"]
    ask = [d.name for d in formula.diets(made).values() if d.answer == "ask"]
    diets = f"Not {', not '.join(no)}." if no else ""
    if ask:
        diets += f" Ask whether {' and '.join(ask)}."
    return Notes(", ".join(inside), ", ".join(maybe), origins, diets.strip())


def allergy_notes(scheme: Scheme, layout: Layout) -> tuple[str, ...]:
    """Return what the plan says to each allergy of the class; nobody is named."""
    holds, own = _glazes(scheme)
    bench = layout.free[0] if layout.free else 0
    told = []
    for allergy in scheme.practical.allergies:
        words = safety.allergens()[allergy.allergen].words
        who = f"{words}: {allergy.students} student{'s' if allergy.students > 1 else ''}"
        all_pour, one_pours = holds.get(allergy.allergen), own.get(allergy.allergen)
        if served(scheme, allergy.allergen):
            told.append(_own_bench(bench, one_pours, who))
        elif one_pours:
            of_all = f"{_held('The glaze of the other benches', all_pour)} " if all_pour else ""
            told.append(
                f"{who}. {of_all}{_held(f'The glaze of bench {bench}', one_pours)} All benches "
                f"share one room, so no bench here can be promised free of it. {_SETTLE}"
            )
        elif all_pour:
            told.append(
                f"{who}. {_held('The glaze', all_pour)} Every bench pours this glaze in one room, "
                f"so no bench here can be promised free of it. {_SETTLE}"
            )
        else:
            told.append(
                f"{who}. No line of the formula names it. Traces come by bench, jug, "
                "sieve and label: this kitchen can't promise a bench free of it. "
                + safety.LAST_WORD
            )
    return tuple(told)


_SETTLE = (
    "Settle before the day with whoever decides what these students touch and do. "
    + safety.LAST_WORD
)


def served(scheme: Scheme, allergen: str) -> bool:
    """Tell whether the glaze of the bench kept free is one without this allergen."""
    own = scheme.practical.kept_free
    if own is None or own.allergen == allergen:
        return own is not None
    all_pour, one_pours = (glaze.get(allergen) for glaze in _glazes(scheme))
    return all_pour is not None and not (one_pours and one_pours.certain)


def _glazes(scheme: Scheme) -> tuple[dict[str, formula.Holds], dict[str, formula.Holds]]:
    """Return what the class's glaze holds, and that of the bench kept free, by allergen."""
    own = scheme.practical.kept_free
    made = (scheme.formula.as_formula(), formula.Formula("own", own.lines) if own else None)
    of_all, of_one = (
        {one.allergen: one for one in (formula.allergens(each) if each else ())} for each in made
    )
    return of_all, of_one


def _held(glaze: str, one: formula.Holds) -> str:
    how = "holds it" if one.certain else "may hold it: read the label"
    return f"{glaze} {how} ({', '.join(one.ingredients)})."


def _own_bench(bench: int, ask: formula.Holds | None, told: str) -> str:
    label = f" Read the labels of {', '.join(ask.ingredients)}." if ask else ""
    return (
        f"{told}. Bench {bench} has a formula whose lines don't name it, a batch, tools "
        f"and cloths of its own, and is blended first on the day.{label} Air, hands and "
        "cakes still carry traces in one room: nobody can promise more here. " + safety.LAST_WORD
    )


def day_of(table: Timetable) -> datetime.date | None:
    """Return the day on which the glaze is cooked."""
    day = table.layout.group.practical
    if day is None or table.layout.variant.when == SAME_DAY:
        return day
    return day - datetime.timedelta(days=1)


def left_over(scheme: Scheme, table: Timetable) -> str:
    """Return what becomes of the rest of this plan, at its worst."""
    return holding.left_over(scheme, *_warm(table))


def thrown_out(scheme: Scheme, table: Timetable) -> str:
    """Return why the rest of this plan is thrown out, at its worst; empty where it need not be."""
    return holding.thrown_out(scheme, *_warm(table))


def _warm(table: Timetable) -> tuple[int, int]:
    """Return for how long the rest was warm, and for how long again until it is cold, min."""
    warm = max(table.warm(load) for load in table.layout.loads)
    return warm, table.layout.spent or AGAIN
