"""Who does what, where and when: the tasks of a practical, and the rules they keep.

A :class:`Variant` is what is decided, :func:`laid_out` makes its tasks, a solver or a
pinned plan gives the minutes, and :func:`broken_rules` holds the result against every
rule, whoever made it.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise

from calculators import blending
from calculators.cooling import judge_time
from calculators.cooling.cooling_log import BROKEN
from calculators.ingredients import ingredient
from calculators.kitchen import Cake
from calculators.units import Quantity, q, say
from course.practical import holding
from course.practical.amounts import batch_for, dealt, mass_said
from course.practical.model import (
    FINE,
    HANDS,
    LONGEST_DAY,
    MOST_AT_A_BENCH,
)
from course.practical.orders import dose_for, in_stores
from course.practical.times import jugful, warm_to
from course.scheme.model import Scheme
from course.scheme.practical import Group
from exercises.craft.method import INTO_COLD_BATH, WARMER_BATH

STEPS_SEEN = 25  # a mass of so many steps of its scale is within 2 %: half a step in it
TUB_FULL = 0.8  # share of a tub that is filled; common practice
SOON = 2  # min from a cake out of the freezer, wiped, to its first glaze; common practice
DAY_BEFORE, SAME_DAY = "day before", "same day"
# Minutes of hands on the day before, common practice of teaching kitchens.
BEFORE = {"weigh": 20, "boil": 30, "gelatin": 15, "bowl": 5, "blend": 5, "cover": 5}
RACK = ("frost", "pour", "others", "move")
# What only one task can use at a time, with the tasks that use it; a bath is used by several.
USED_BY = {"hob": ("warm", "boil"), "blender": ("blend",), "assessor": ("pour",)}


# --- what is decided, and what comes of it -------------------------------------------------


@dataclass(frozen=True, order=True)
class Variant:
    """What is decided of a plan: when it is cooked, benches, batches, rounds, cooling.

    ``helped`` lets it make more glaze than is poured, until the blade is covered, and thin
    a colour with glaze, until the scale can show it.
    """

    when: str
    benches: int
    batches: int
    rounds: int
    way: str
    helped: bool = False

    def __str__(self) -> str:
        """Return it in words."""
        parts = [
            f"cooked on the {self.when}",
            f"{self.benches} bench{'es' if self.benches > 1 else ''}",
            f"{self.batches} batch{'es' if self.batches > 1 else ''}",
            f"{self.rounds} round{'s' if self.rounds > 1 else ''} of pouring",
        ]
        parts += [f"cooled by {self.way}"] if self.when == DAY_BEFORE else []
        parts += ["more glaze made, or colour thinned"] if self.helped else []
        return ", ".join(parts)


@dataclass(frozen=True)
class Obstacle:
    """Why a variant doesn't work: which rule, in words, and by how much in minutes."""

    rule: str
    words: str
    by: float = 0.0


@dataclass(frozen=True)
class Load:
    """What one bench pours in one round.

    Parameters
    ----------
    bench, round : int
        From 1.
    team : tuple of str
        The students whose round it is.
    pairs : tuple of (str, int, int)
        Student, kind of cake, how many before the assessor.
    others : tuple of int
        Cakes of each kind that nobody assesses.
    glaze : quantity
        What is made for it, g.
    """

    bench: int
    round: int
    team: tuple[str, ...]
    pairs: tuple[tuple[str, int, int], ...]
    others: tuple[int, ...]
    glaze: Quantity

    @property
    def cakes(self) -> tuple[int, ...]:
        """How many of each kind."""
        counts = list(self.others)
        for _, kind, count in self.pairs:
            counts[kind] += count
        return tuple(counts)


@dataclass(frozen=True)
class Task:
    """A task of the day.

    Parameters
    ----------
    kind : str
        What is done.
    bench, round, batch : int
        From 1; 0 where it is that of all.
    who : tuple of str
        Who does it and answers for it; all others help.
    lasts : int
        Minutes.
    starts : int
        Minutes from the first word.
    cake : int
        The kind of cake that is poured; -1 for none.
    count : int
        How many.
    """

    kind: str
    bench: int
    round: int
    batch: int
    who: tuple[str, ...]
    lasts: int
    starts: int = 0
    cake: int = -1
    count: int = 0

    @property
    def ends(self) -> int:
        """Minutes from the first word."""
        return self.starts + self.lasts


@dataclass(frozen=True)
class Layout:
    """The tasks of a variant before they have a clock, and what comes before which."""

    group: Group
    variant: Variant
    loads: tuple[Load, ...]
    batches: tuple[tuple[int, ...], ...]
    tasks: tuple[Task, ...]
    after: tuple[tuple[int, int], ...]
    soon: tuple[tuple[int, int], ...]
    spent: int
    colour_by: str
    without: tuple[str, ...]
    free: tuple[int, str] | None = None

    def of(self, kind: str, bench: int, round_: int) -> list[int]:
        """Return the places of the tasks of a kind at a bench in a round."""
        return [
            i
            for i, t in enumerate(self.tasks)
            if t.kind == kind and t.bench == bench and t.round == round_
        ]

    def begun(self, load: Load) -> int:
        """Return the place of the task with which the glaze of a load becomes warm."""
        name = "warm" if self.variant.when == DAY_BEFORE else "gelatin"
        batch = self.batch_of(load.bench)
        return next(
            i
            for i, t in enumerate(self.tasks)
            if t.kind == name and t.batch == batch and t.round == load.round
        )

    def batch_of(self, bench: int) -> int:
        """Return the number of the batch from which a bench pours."""
        return next(n for n, held in enumerate(self.batches, 1) if bench in held)

    def poured(self, load: Load) -> list[int]:
        """Return the places of the pours of a load, in their order."""
        return [
            *self.of("pour", load.bench, load.round),
            *self.of("others", load.bench, load.round),
        ]

    def glaze(self, batch: int, round_: int) -> Quantity:
        """Return what a batch holds for one round, g."""
        held = self.batches[batch - 1]
        masses = (x.glaze.m for x in self.loads if x.bench in held and x.round == round_)
        return q(sum(masses), "g")

    def batch(self, batch: int) -> Quantity:
        """Return what a batch weighs, all rounds, g."""
        rounds = range(1, self.variant.rounds + 1)
        return q(sum(self.glaze(batch, r).m for r in rounds), "g")

    def free_of(self, bench: int) -> str:
        """Return the allergen of which a bench is kept free; empty for none."""
        return self.free[1] if self.free and self.free[0] == bench else ""

    @property
    def total(self) -> Quantity:
        """Return what all batches weigh, g."""
        return q(sum(x.glaze.m for x in self.loads), "g")


@dataclass(frozen=True)
class Timetable:
    """A plan that has its clock."""

    layout: Layout
    tasks: tuple[Task, ...]

    @property
    def ends(self) -> int:
        """Minutes from the first word to the last cloth."""
        return max(task.ends for task in self.tasks)

    @property
    def starts(self) -> tuple[int, ...]:
        """The minutes as a scheme pins them."""
        return tuple(task.starts for task in self.tasks)

    def warm(self, load: Load) -> int:
        """Return how long the glaze of a load is warm, both days, to its last pour."""
        begun = self.tasks[self.layout.begun(load)].starts
        last = max(self.tasks[i].ends for i in self.layout.poured(load))
        return self.layout.spent + last - begun

    def assessors(self) -> dict[int, int]:
        """Return which assessor sees which assessed pour, by its place in the tasks."""
        free = [0] * self.layout.group.assessors
        seen = {}
        pours = [i for i, t in enumerate(self.tasks) if t.kind == "pour"]
        for i in sorted(pours, key=lambda i: (self.tasks[i].starts, i)):
            who = next((n for n, t in enumerate(free) if t <= self.tasks[i].starts), None)
            if who is not None:
                free[who], seen[i] = self.tasks[i].ends, who + 1
        return seen


# --- cakes and people ------------------------------------------------------------------------


def people_of(group: Group, benches: int) -> list[tuple[str, ...]]:
    """Return the students of each bench: 2C is the third at bench 2.

    >>> people_of(Group(5, 2), 2)
    [('1A', '1B', '1C'), ('2A', '2B')]
    """
    each, more = divmod(group.students, benches)
    return [tuple(f"{b + 1}{_letter(n)}" for n in range(each + (b < more))) for b in range(benches)]


def _letter(place: int) -> str:
    return chr(65 + place) if place < 26 else f"{chr(64 + place // 26)}{chr(65 + place % 26)}"


def tasks_for(
    cakes: Sequence[Cake], people: Sequence[str], pours: int
) -> tuple[dict[str, tuple[int, int]], list[int]]:
    """Return which cakes each student pours when seen, and what is left of each kind.

    As many as can be pour the same kind; nobody pours two kinds.

    >>> tasks_for([Cake("dome", {}, 5), Cake("ring", {}, 3)], ["1A", "1B", "1C", "1D"], 2)
    ({'1A': (0, 2), '1B': (0, 2), '1C': (1, 2)}, [1, 1])
    """
    left = [cake.count for cake in cakes]
    given: dict[str, tuple[int, int]] = {}
    kinds = sorted(range(len(cakes)), key=lambda kind: (-left[kind], kind))
    waiting = list(people)
    for kind in kinds:
        while waiting and left[kind] >= pours:
            given[waiting.pop(0)] = (kind, pours)
            left[kind] -= pours
    return given, left


def loads_of(scheme: Scheme, group: Group, benches: int, rounds: int) -> tuple[Load, ...]:
    """Return what each bench pours in each round."""
    people = people_of(group, benches)
    in_turn = [name for place in range(max(map(len, people))) for name in _at(people, place)]
    given, left = tasks_for(scheme.cakes, in_turn, scheme.practical.decisions.pours)
    made: list[Load] = []
    spare = dealt(left, benches * rounds)
    for bench, names in enumerate(people, 1):
        for round_ in range(1, rounds + 1):
            team = tuple(n for i, n in enumerate(names) if i % rounds == (round_ - 1) % rounds)
            pairs = tuple((n, *given[n]) for n in team if n in given)
            others = tuple(spare[(round_ - 1) * benches + bench - 1])
            team = team or (names[(round_ - 1) % len(names)],)
            load = Load(bench, round_, team, pairs, others, q(0, "g"))
            if sum(load.cakes):
                made.append(replace(load, glaze=batch_for(scheme, load.cakes).to("g")))
    return tuple(made)


def _at(people: Sequence[Sequence[str]], place: int) -> Iterator[str]:
    return (names[place] for names in people if place < len(names))


def recipe(scheme: Scheme, layout: Layout, batch: int) -> Scheme:
    """Return the scheme as a batch is cooked: with its own formula where it has one."""
    own = scheme.practical.kept_free
    if not (own and layout.free and layout.free[0] in layout.batches[batch - 1]):
        return scheme
    name = f"{scheme.formula.name}, without {own.allergen}"
    return replace(scheme, formula=replace(scheme.formula, name=name, lines=own.lines))


# --- what forbids a variant before any clock ---------------------------------------------------


def obstacles(scheme: Scheme, layout: Layout) -> list[Obstacle]:
    """Return what speaks against a variant, whatever its clock."""
    return [
        *_apart(scheme, layout),
        *_blade(scheme, layout),
        *_scale(scheme, layout),
        *_cooling(scheme, layout),
        *_room(scheme, layout),
        *_window(scheme, layout),
        *_too_long(scheme, layout),
    ]


def _apart(scheme: Scheme, layout: Layout) -> Iterator[Obstacle]:
    own = scheme.practical.kept_free
    if not (own and layout.free):
        return
    bench, allergen = layout.free
    people = people_of(layout.group, layout.variant.benches)[bench - 1]
    if own.students > len(people):
        words = f"{own.students} students with {allergen} and {len(people)} places at bench {bench}"
        yield Obstacle("allergy", words)


def _blended(layout: Layout) -> Iterator[tuple[int, Quantity]]:
    """Return each mass that is blended at once, with its batch: whole the day before, by rounds."""
    for batch in range(1, len(layout.batches) + 1):
        if layout.variant.when == DAY_BEFORE:
            yield batch, layout.batch(batch)
        for round_ in range(1, layout.variant.rounds + 1):
            if (mass := layout.glaze(batch, round_)).m:
                yield batch, mass


def _blade(scheme: Scheme, layout: Layout) -> Iterator[Obstacle]:
    least = blending.smallest_batch(scheme.kitchen.jug, scheme.kitchen.blade).mass
    for batch, mass in _blended(layout):
        one = jugful(scheme, mass)[1]
        if one < least:
            words = f"batch {batch}: {mass_said(one)} in a jug; the blade needs {mass_said(least)}"
            yield Obstacle("blade", words)
            return
        if mass > MOST_AT_A_BENCH:
            yield Obstacle("pan", f"batch {batch}: {mass_said(mass)} is more than a pan holds")
            return


def _shown_well(scheme: Scheme, name: str, mass: Quantity) -> bool:
    fine = ingredient(name).kind in FINE or mass < STEPS_SEEN * scheme.stores.scale
    return seen_on(scheme.stores.fine_scale if fine else scheme.stores.scale, mass)


def seen_on(step: Quantity, mass: Quantity) -> bool:
    """Return whether a scale shows a mass within 2 %.

    >>> seen_on(q(0.1, "g"), q(1.7, "g")), seen_on(q(0.1, "g"), q(2.5, "g"))
    (False, True)
    """
    return bool(mass.m_as("g") >= STEPS_SEEN * step.m_as("g") - 1e-9)


def _scale(scheme: Scheme, layout: Layout) -> Iterator[Obstacle]:
    for batch in range(1, len(layout.batches) + 1):
        own = recipe(scheme, layout, batch)
        for line in in_stores(own, layout.batch(batch)):
            if not _shown_well(scheme, line.ingredient, line.mass):
                said = f"{say(line.mass, 'g')} of {line.ingredient}"
                yield Obstacle("scale", f"batch {batch}: {said} is too little for its scale")
                return
    if not layout.colour_by:
        yield Obstacle("scale", "a dose of colour is too little for the fine scale")


def colour_by(scheme: Scheme, layout: Layout) -> str:
    """Return where colours are weighed so that the scale can show them; empty for nowhere.

    *stock* is a part of colour in nine of glaze, of which ten times as much is weighed.
    """
    step = scheme.stores.fine_scale
    batches = [
        layout.glaze(b, r)
        for b in range(1, len(layout.batches) + 1)
        for r in range(1, layout.variant.rounds + 1)
        if layout.glaze(b, r).m
    ]
    for place, masses in (("bench", [x.glaze for x in layout.loads]), ("batch", batches)):
        doses = (
            dose_for(colour, mass * colour.share.m_as(""))
            for mass in masses
            for colour in scheme.colours
            if colour.colourant or colour.kind
        )
        if all(seen_on(step, dose) for dose in doses if dose is not None):
            return place
    return "stock" if layout.variant.helped else ""


def _cooling(scheme: Scheme, layout: Layout) -> Iterator[Obstacle]:
    if layout.variant.when == SAME_DAY:
        return
    way, has = holding.HOW[layout.variant.way], scheme.practical.equipment
    if way.iced and not has.ice:
        yield Obstacle("ice", "there is no ice for the bath")
    trays = 0
    for batch in range(1, len(layout.batches) + 1):
        made = holding.cooled(scheme, layout.batch(batch), layout.variant.way)
        trays += made.trays
        if made.broken:
            yield Obstacle("cooling", f"batch {batch}, cooled by {way.name}: {made.broken}")
            return
    if has.trays is not None and trays > has.trays:
        yield Obstacle("trays", f"{trays} trays are needed and {has.trays} are there")


def _room(scheme: Scheme, layout: Layout) -> Iterator[Obstacle]:
    has = scheme.practical.equipment
    if has.fridge is not None and layout.variant.when == DAY_BEFORE:
        tubs = (layout.total / blending.GLAZE_DENSITY / TUB_FULL).to("l")
        if tubs > has.fridge:
            words = f"the tubs take {say(tubs)} and the fridge has {say(has.fridge)}"
            yield Obstacle("fridge", words)
    if has.freezer is not None:
        shelf = sum((cake.count * shelf_of(cake) for cake in scheme.cakes), q(0, "cm**2"))
        if shelf > has.freezer:
            words = f"the cakes take {say(shelf)} of shelf and it has {say(has.freezer)}"
            yield Obstacle("freezer", words)
    jugs = jugs_needed(scheme, layout)
    if has.jugs is not None and jugs > has.jugs:
        yield Obstacle("jugs", f"{jugs} jugs are needed and {has.jugs} are there")


def jugs_needed(scheme: Scheme, layout: Layout) -> int:
    """Return how many jugs stand on the benches at once."""
    colours = len(scheme.colours)
    at_bench = layout.variant.benches * (colours + 1 if colours > 1 else 1)
    rounds = range(1, layout.variant.rounds + 1)
    blended = 0
    for batch in range(1, len(layout.batches) + 1):
        masses = [mass for r in rounds if (mass := layout.glaze(batch, r)).m]
        blended += max(jugful(scheme, mass)[0] for mass in masses)
    return max(at_bench, blended)


def shelf_of(cake: Cake) -> Quantity:
    """Return the shelf that a cake takes, the rectangle round its foot, cm²."""
    sizes = cake.sizes
    if "area" in sizes:  # no foot is larger than the face above it
        return sizes["area"].to("cm**2")
    wide = next(sizes[name] for name in ("outer", "diameter", "width") if name in sizes)
    return (wide * sizes.get("length", wide)).to("cm**2")


def _window(scheme: Scheme, layout: Layout) -> Iterator[Obstacle]:
    for load in layout.loads:
        pours = max((count for _, _, count in load.pairs), default=1)
        stays = holding.stays_in_window(scheme, load.glaze / max(1, sum(load.cakes)) * pours)
        if stays < HANDS["pour each"]:
            words = (
                f"bench {load.bench}: a jug out of its bath leaves the window after "
                f"{stays:.0f} min, before one cake is poured"
            )
            yield Obstacle("window", words)
            return


def _too_long(scheme: Scheme, layout: Layout) -> Iterator[Obstacle]:
    """Return what no clock can mend: chains that are too long by themselves."""
    most = holding.most_warm(scheme)
    for load in layout.loads:
        least = layout.spent + shortest_warm(layout, load)
        if least > most:
            words = (
                f"bench {load.bench}: the glaze is warm for at least {least} min in all "
                f"and may be for {most} min"
            )
            yield Obstacle("holding", words, least - most)
            return
    least, there = shortest_day(layout), hours_of(layout.group)
    if least > there:
        words = f"the day takes at least {clocked(least)} h and has {clocked(there)} h"
        yield Obstacle("hours", words, least - there)


def shortest_warm(layout: Layout, load: Load) -> int:
    """Return the fewest minutes from the cold to the last pour of a load."""
    chain = [layout.begun(load)]
    kinds = ("blend", "rest", "colour", "window", "layer", "trial", "frost", "pour", "others")
    for i, task in enumerate(layout.tasks):
        shared = task.batch == layout.batch_of(load.bench) and not task.bench
        own = task.bench == load.bench
        if task.round == load.round and task.kind in (*kinds, "bowl") and (shared or own):
            chain.append(i)
    return sum(layout.tasks[i].lasts for i in chain)


def shortest_day(layout: Layout) -> int:
    """Return the fewest minutes that the day can take, whatever the order."""
    tasks = layout.tasks
    ends = [0] * len(tasks)
    before: dict[int, list[int]] = {}
    for first, second in layout.after:
        before.setdefault(second, []).append(first)
    for i in range(len(tasks)):
        ends[i] = max((ends[j] for j in before.get(i, ())), default=0) + tasks[i].lasts
    longest = max(ends)
    pours = [i for i, t in enumerate(tasks) if t.kind == "pour"]
    if not pours:
        return longest
    first = min(ends[i] - tasks[i].lasts for i in pours)
    watched = math.ceil(sum(tasks[i].lasts for i in pours) / layout.group.assessors)
    tail = HANDS["move"] + HANDS["left over"] + HANDS["clean"]
    return max(longest, first + watched + tail)


def hours_of(group: Group) -> int:
    """Return the minutes that a group has; a working day where the scheme gives none."""
    return int((group.hours if group.hours is not None else LONGEST_DAY).m_as("min"))


def clocked(minutes: float) -> str:
    """Return minutes as hours and minutes.

    >>> clocked(75)
    '1:15'
    """
    whole = math.ceil(minutes)
    return f"{whole // 60}:{whole % 60:02d}"


# --- the tasks of a variant --------------------------------------------------------------------


class _Tasks:
    """Tasks in the making: each goes after those that it is told of."""

    def __init__(self) -> None:
        self.made: list[Task] = []
        self.after: list[tuple[int, int]] = []
        self.soon: list[tuple[int, int]] = []

    def add(self, task: Task, after: Sequence[int]) -> int:
        self.made.append(task)
        place = len(self.made) - 1
        self.after += [(before, place) for before in after]
        return place


def laid_out(
    scheme: Scheme, group: Group, variant: Variant, loads: tuple[Load, ...] = ()
) -> Layout:
    """Return the tasks of a variant, without a clock; loads may be known already."""
    loads = loads or loads_of(scheme, group, variant.benches, variant.rounds)
    used = sorted({load.bench for load in loads})
    own = scheme.practical.kept_free
    free = (used[0], own.allergen) if own else None
    shared = used[1:] if free else used
    count = max(1, min(variant.batches - bool(free), len(shared)))
    cuts = [round(len(shared) * n / count) for n in range(count + 1)]
    batches = tuple(tuple(shared[a:b]) for a, b in pairwise(cuts) if b > a)
    if free:
        batches = ((free[0],), *batches)
    poured = {name for load in loads for name, _, _ in load.pairs}
    people = [name for names in people_of(group, variant.benches) for name in names]
    without = tuple(name for name in people if name not in poured)
    bare = Layout(group, variant, loads, batches, (), (), (), 0, "", without, free)
    if variant.helped:
        bare = _covered(scheme, bare)
        loads = bare.loads
    spent = 0
    if variant.when == DAY_BEFORE:
        spent = max(
            holding.cooled(scheme, bare.batch(b), variant.way).warm
            for b in range(1, len(batches) + 1)
        )
    bare = replace(bare, spent=spent, colour_by=colour_by(scheme, bare))
    made = _Tasks()
    everyone = tuple(people)
    begin = made.add(Task("begin", 0, 0, 0, everyone, HANDS["briefing"]), ())
    last: dict[int, list[int]] = {}
    for round_ in range(1, variant.rounds + 1):
        for batch in range(1, len(batches) + 1):
            rows = [x for x in loads if x.round == round_ and x.bench in batches[batch - 1]]
            if not rows:
                continue
            ready = _prepared(made, scheme, bare, batch, rows, begin)
            for turn, load in enumerate(rows):
                last.setdefault(load.bench, []).append(
                    _poured(made, scheme, load, batch, ready, turn)
                )
    rests = []
    for bench, ends in last.items():
        team = next(x.team for x in reversed(loads) if x.bench == bench)
        task = Task("left over", bench, variant.rounds, 0, team[-1:], HANDS["left over"])
        rests.append(made.add(task, ends))
    made.add(Task("clean", 0, 0, 0, everyone, HANDS["clean"]), rests)
    if free:
        made.after += _first_blended(made.made)
    return replace(bare, tasks=tuple(made.made), after=tuple(made.after), soon=tuple(made.soon))


def _first_blended(tasks: Sequence[Task]) -> list[tuple[int, int]]:
    """Return that the batch kept free of an allergen, the first, is blended before others."""
    blends = [(i, t) for i, t in enumerate(tasks) if t.kind == "blend"]
    return [
        (i, j)
        for i, one in blends
        for j, other in blends
        if one.batch == 1 and other.batch > 1 and one.round == other.round
    ]


def _covered(scheme: Scheme, layout: Layout) -> Layout:
    """Return a layout in which every mass that is blended covers the blade."""
    least = blending.smallest_batch(scheme.kitchen.jug, scheme.kitchen.blade).mass
    loads = []
    for load in layout.loads:
        mass = layout.glaze(layout.batch_of(load.bench), load.round)
        short = (least / mass).m_as("")
        loads.append(replace(load, glaze=load.glaze * short) if short > 1 else load)
    return replace(layout, loads=tuple(loads))


def _prepared(
    made: _Tasks, scheme: Scheme, bare: Layout, batch: int, rows: Sequence[Load], begin: int
) -> int:
    """Add what is done with a whole batch of a round; return its last task."""
    round_ = rows[0].round
    hands = [name for load in rows for name in load.team]
    mass = bare.glaze(batch, round_)
    if bare.variant.when == DAY_BEFORE:
        bath = q(warm_to(scheme).m + WARMER_BATH, "degC")
        chain = [("warm", holding.warming(scheme, mass, bath))]
    else:
        chain = [(name, BEFORE[name]) for name in ("weigh", "boil", "gelatin", "bowl")]
    chain += [("blend", HANDS["blend"]), ("rest", HANDS["rest"])]
    if bare.colour_by == "batch" and _coloured(scheme):
        chain.append(("colour", HANDS["colour"]))
    place = begin
    for turn, (kind, lasts) in enumerate(chain):
        who = (hands[turn % len(hands)],)
        place = made.add(Task(kind, 0, round_, batch, who, lasts), (place,))
    return place


def _coloured(scheme: Scheme) -> bool:
    return any(colour.colourant or colour.kind for colour in scheme.colours)


def _poured(made: _Tasks, scheme: Scheme, load: Load, batch: int, ready: int, offset: int) -> int:
    """Add what a bench does with its share of a round; return its last task."""
    from_hob = any(t.kind == "boil" for t in made.made)
    start = INTO_COLD_BATH if from_hob else warm_to(scheme)
    many = len(scheme.colours) > 1
    biggest = max((c.share.m_as("") for c in scheme.colours), default=1.0) if many else 1.0
    waits = holding.into_window(scheme, load.glaze * biggest, start)
    pooled = made.made[ready].kind == "colour"
    chain = [] if pooled or not _coloured(scheme) else [("colour", HANDS["colour"])]
    chain.append(("window", waits))
    if many:
        chain.append(("layer", HANDS["layer"]))
    chain += [("trial", HANDS["trial"]), ("frost", HANDS["frost"])]
    team, place, turn = load.team, ready, offset + 1

    def add(kind: str, lasts: int, who: Sequence[str], cake: int = -1, count: int = 0) -> int:
        task = Task(kind, load.bench, load.round, batch, tuple(who), lasts, 0, cake, count)
        return made.add(task, (place,))

    for kind, lasts in chain:
        place = add(kind, lasts, (team[turn % len(team)],))
        turn += 1
    made.soon += [(place - 1, place), (place, place + 1)]  # trial, frost, first pour
    for name, cake, count in load.pairs:
        place = add("pour", HANDS["pour each"] * count, (name,), cake, count)
    if sum(load.others):
        place = add("others", HANDS["pour each"] * sum(load.others), team, -1, sum(load.others))
    return add("move", HANDS["move"], (team[turn % len(team)],))


# --- whether a timetable keeps every rule -----------------------------------------------------


def broken_rules(scheme: Scheme, table: Timetable) -> list[Obstacle]:
    """Return every rule that a plan with its clock breaks."""
    layout = table.layout
    told = [*obstacles(scheme, layout)]
    for first, second in layout.after:
        if table.tasks[second].starts < table.tasks[first].ends:
            one, other = table.tasks[first], table.tasks[second]
            words = f"{other.kind} begins at {clocked(other.starts)}, before {one.kind} is done"
            told.append(Obstacle("order", words))
    for first, second in layout.soon:
        waits = table.tasks[second].starts - table.tasks[first].ends
        if waits > SOON:
            kind = table.tasks[first].kind
            told.append(Obstacle("thaw", f"{waits} min pass after {kind}", waits - SOON))
    told += _two_places(table)
    told += _over(table, scheme)
    most = holding.most_warm(scheme)
    for load in layout.loads:
        if table.warm(load) > most:
            words = f"bench {load.bench}: the glaze is warm for {table.warm(load)} min of {most}"
            told.append(Obstacle("holding", words, table.warm(load) - most))
    told += _judged(scheme, table)
    there = hours_of(layout.group)
    if table.ends > there:
        words = f"it takes {clocked(table.ends)} h and there are {clocked(there)} h"
        told.append(Obstacle("hours", words, table.ends - there))
    return told


def both_days(
    scheme: Scheme, table: Timetable, load: Load
) -> tuple[tuple[Quantity, Quantity], ...]:
    """Return the log of a load from the hob to its last pour, as predicted."""
    layout = table.layout
    made = None
    if layout.variant.when == DAY_BEFORE:
        batch = layout.batch(layout.batch_of(load.bench))
        made = holding.cooled(scheme, batch, layout.variant.way)
    return holding.two_days(made, table.warm(load) - layout.spent, warm_to(scheme))


def _judged(scheme: Scheme, table: Timetable) -> Iterator[Obstacle]:
    """Return what the judge of real logs says against the prediction of each load."""
    for load in table.layout.loads:
        log = both_days(scheme, table, load)
        held = judge_time(log, scheme.region, scheme.local_rules.discard_after)
        if held.answer == BROKEN:
            yield Obstacle("holding", f"bench {load.bench}: {held.because}")


def _two_places(table: Timetable) -> Iterator[Obstacle]:
    people = sorted({name for task in table.tasks for name in task.who})
    for name in people:
        mine = sorted((t for t in table.tasks if name in t.who), key=lambda t: t.starts)
        for one, other in pairwise(mine):
            if other.starts < one.ends:
                words = f"{name} is at {one.kind} and {other.kind} at {clocked(other.starts)}"
                yield Obstacle("two places", words)
    for bench in sorted({load.bench for load in table.layout.loads}):
        rack = [t for t in table.tasks if t.bench == bench and t.kind in RACK]
        for one, other in pairwise(sorted(rack, key=lambda t: t.starts)):
            if other.starts < one.ends:
                words = f"bench {bench} has {one.kind} and {other.kind} on one rack"
                yield Obstacle("two places", words)


def uses(table: Timetable, what: str) -> list[tuple[int, int]]:
    """Return from when to when one piece of something is in use."""
    layout, tasks = table.layout, table.tasks
    if what == "bath":
        return [
            (
                tasks[layout.of("window", x.bench, x.round)[0]].starts,
                tasks[layout.poured(x)[-1]].ends,
            )
            for x in layout.loads
        ]
    return [(t.starts, t.ends) for t in tasks if t.kind in USED_BY[what]]


def most_at_once(spans: Sequence[tuple[int, int]]) -> int:
    """Return how many spans of time overlap at the most.

    >>> most_at_once([(0, 5), (3, 8), (8, 9)])
    2
    """
    return max((sum(a <= t < b for a, b in spans) for t, _ in spans), default=0)


def limits_of(scheme: Scheme, group: Group) -> dict[str, int | None]:
    """Return how many there are of what only one task can use at a time."""
    has = scheme.practical.equipment
    return {
        "hob": has.hobs,
        "blender": has.blenders,
        "bath": has.baths,
        "assessor": group.assessors,
    }


def _over(table: Timetable, scheme: Scheme) -> Iterator[Obstacle]:
    for what, there in limits_of(scheme, table.layout.group).items():
        wanted = most_at_once(uses(table, what))
        if there is not None and wanted > there:
            yield Obstacle(what, f"{wanted} of {what} at once, and {there} there")
