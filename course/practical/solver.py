"""The planner: from what a scheme has to a plan that keeps every rule, or what it lacks.

It tries the variants of :mod:`course.practical.timetable`, the simplest first, and gives
the first that arithmetic doesn't forbid to a constraint solver, which finds the minutes.
Seed and thread are fixed: one scheme gives one plan.
"""

from __future__ import annotations

import importlib.util
import math
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import product
from typing import Any

from calculators.faults import Fault, FaultsError, fault_error
from calculators.units import q
from course.practical import holding
from course.practical.timetable import (
    DAY_BEFORE,
    RACK,
    SAME_DAY,
    SOON,
    USED_BY,
    Layout,
    Load,
    Obstacle,
    Timetable,
    Variant,
    broken_rules,
    clocked,
    hours_of,
    jugs_needed,
    laid_out,
    limits_of,
    loads_of,
    obstacles,
    shortest_day,
)
from course.scheme.declared import WAYS
from course.scheme.model import Scheme
from course.scheme.practical import Decisions, Group

EFFORT = 0.2  # of one search for minutes, in the solver's own time: the same on every machine
TRIES = 12  # variants that the solver may try for one question
ROUNDS = 2
MOST_BENCHES_MORE, MOST_DAYS = 3, 4


@dataclass(frozen=True)
class Change:
    """A change that would make a plan possible, or why it would not."""

    rung: str
    words: str
    works: bool


@dataclass(frozen=True)
class Answer:
    """A plan for a group, or what stands in its way and the cheapest way out.

    Parameters
    ----------
    table : Timetable or None
        The plan; None where there is none.
    obstacles : tuple of Obstacle
        What forbids the simplest variant of each kind.
    change : Change or None
        The first change, in the order of :data:`RUNGS`, that makes a plan possible.
    rejected : tuple of Change
        Those before it, and why each doesn't do.
    """

    table: Timetable | None
    obstacles: tuple[Obstacle, ...] = ()
    change: Change | None = None
    rejected: tuple[Change, ...] = ()


def can_solve() -> bool:
    """Return whether the constraint solver is installed."""
    return importlib.util.find_spec("ortools") is not None


def planned(scheme: Scheme, group: Group) -> Answer:
    """Return the plan of a group, or what would make one possible.

    Parameters
    ----------
    scheme : Scheme
        Read and checked; what it pins stays as it is.
    group : Group
        Who stands at the benches.

    Returns
    -------
    Answer
        With a plan that keeps every rule of ``broken_rules``, or with the change.
    """
    pinned = scheme.practical.decisions
    if pinned.starts:
        return Answer(_pinned(scheme, group))
    if not can_solve():
        raise fault_error(
            "plan",
            "has no minutes, and the solver that finds them is not installed",
            group.name or "the group",
            "A plan that is pinned under [plan] is checked without it",
            'Install it: python -m pip install "glossbook[planner]"; or pin starts',
        )
    table, told = first_plan(scheme, group)
    if table is not None:
        return Answer(table)
    change, rejected = _way_out(scheme, group)
    return Answer(None, told, change, rejected)


def groups_of(scheme: Scheme) -> tuple[Group, ...]:
    """Return all groups of a scheme, in the order in which they come."""
    return (scheme.group, *scheme.practical.more_groups)


def planned_all(scheme: Scheme) -> tuple[Timetable, ...]:
    """Return a plan for each group.

    Raises
    ------
    FaultsError
        Where a group has none: what forbids it, and the smallest change that helps.
    """
    answers = [(group, planned(scheme, group)) for group in groups_of(scheme)]
    faults = [fault_of(group, answer) for group, answer in answers if answer.table is None]
    if faults:
        raise FaultsError(faults)
    return tuple(answer.table for _, answer in answers if answer.table is not None)


def fault_of(group: Group, answer: Answer) -> Fault:
    """Return an answer without a plan as a fault, with its way out."""
    told = "; ".join(one.words for one in answer.obstacles)
    rejected = " ".join(f"{one.rung}: {one.words}." for one in answer.rejected)
    way = answer.change.words if answer.change else "No single change that we know helps"
    return Fault(
        f"plan, {group.name or 'the group'}",
        "can't be made to fit",
        f"{group.students} students at {group.stations} benches",
        f"{told}. {rejected}".strip(),
        way,
    )


# --- the search ----------------------------------------------------------------------------


def variants(scheme: Scheme, group: Group) -> list[Variant]:
    """Return every variant that the scheme leaves open, the simplest first."""
    pinned = scheme.practical.decisions
    cakes = sum(cake.count for cake in scheme.cakes)
    most = min(group.stations, group.students, cakes)
    whens = (pinned.when,) if pinned.when else (DAY_BEFORE, SAME_DAY)
    benches = (pinned.benches,) if pinned.benches else range(most, max(0, most - 2), -1)
    all_rounds = (pinned.rounds,) if pinned.rounds else range(1, ROUNDS + 1)
    helps = (False, True) if pinned.helped is None else (pinned.helped,)
    found: dict[Variant, int] = {}
    for when, at, rounds, helped in product(whens, benches, all_rounds, helps):
        ways = (pinned.cooling,) if pinned.cooling else WAYS
        all_batches = (pinned.batches,) if pinned.batches else range(1, at + 1)
        for way, batches in product(ways if when == DAY_BEFORE else ("",), all_batches):
            cost = 3 * (when == SAME_DAY) + 3 * (most - at) + (WAYS.index(way) if way else 0)
            cost += (at - batches) + 2 * (rounds - 1)
            cost += helped * (6 + 2 * batches)  # each batch may be more
            if 1 <= at <= most:
                found[Variant(when, at, min(batches, at), rounds, way, helped)] = cost
    return sorted(found, key=lambda variant: (found[variant], variant))


def first_plan(scheme: Scheme, group: Group) -> tuple[Timetable | None, tuple[Obstacle, ...]]:
    """Return the plan of the simplest variant that has one, or what forbids them all."""
    told: dict[str, Obstacle] = {}
    tries = 0
    loads: dict[tuple[int, int], tuple[Load, ...]] = {}
    for variant in variants(scheme, group):
        shape = variant.benches, variant.rounds
        if shape not in loads:
            loads[shape] = loads_of(scheme, group, *shape)
        layout = laid_out(scheme, group, variant, loads[shape])
        against = obstacles(scheme, layout)
        if not against:
            tries += 1
            table = minutes(scheme, layout)
            if table is not None and not broken_rules(scheme, table):
                return table, ()
            words = f"{variant}: no order of its tasks keeps hours, hands and holding time"
            against = [Obstacle("order", words)]
        for one in against:
            if one.rule not in told or one.by < told[one.rule].by:
                told[one.rule] = one
        if tries >= TRIES:
            break
    return None, tuple(told.values())


def minutes(scheme: Scheme, layout: Layout, bounded: bool = True) -> Timetable | None:
    """Return a layout with its minutes, as early as can be; None where there are none."""
    from ortools.sat.python import cp_model

    model = cp_model.CpModel()
    horizon = hours_of(layout.group) if bounded else 24 * 60
    starts = [
        model.new_int_var(0, max(0, horizon - task.lasts), f"s{i}")
        for i, task in enumerate(layout.tasks)
    ]
    spans = [
        model.new_fixed_size_interval_var(start, task.lasts, f"i{i}")
        for i, (start, task) in enumerate(zip(starts, layout.tasks, strict=True))
    ]
    for first, second in layout.after:
        model.add(starts[second] >= starts[first] + layout.tasks[first].lasts)
    for first, second in layout.soon:
        model.add(starts[second] <= starts[first] + layout.tasks[first].lasts + SOON)
    for places in _one_at_a_time(layout):
        model.add_no_overlap([spans[i] for i in places])
    _shared(model, scheme, layout, starts, spans)
    most, warm = holding.most_warm(scheme), []
    for load in layout.loads:
        begun, last = layout.begun(load), layout.poured(load)[-1]
        lasts = starts[last] + layout.tasks[last].lasts - starts[begun]
        model.add(lasts <= most - layout.spent)
        warm.append(lasts)
    end = starts[-1] + layout.tasks[-1].lasts
    model.minimize(len(warm) * 1000 * end + 10 * sum(warm) + sum(starts))
    solver = cp_model.CpSolver()
    solver.parameters.random_seed = 1
    solver.parameters.num_workers = 1
    solver.parameters.max_deterministic_time = EFFORT
    if solver.solve(model) not in (cp_model.OPTIMAL, cp_model.FEASIBLE):
        return None
    return with_starts(layout, [int(solver.value(start)) for start in starts])


def _one_at_a_time(layout: Layout) -> Iterator[list[int]]:
    """Return the tasks that must not overlap: those of one person, those of one rack."""
    people = sorted({name for task in layout.tasks for name in task.who})
    for name in people:
        yield [i for i, task in enumerate(layout.tasks) if name in task.who]
    for bench in sorted({load.bench for load in layout.loads}):
        yield [i for i, t in enumerate(layout.tasks) if t.bench == bench and t.kind in RACK]


def _shared(
    model: Any, scheme: Scheme, layout: Layout, starts: list[Any], spans: list[Any]
) -> None:
    """Hold hobs, blenders, baths and assessors to how many there are."""
    there = limits_of(scheme, layout.group)
    for what, names in USED_BY.items():
        held = [spans[i] for i, task in enumerate(layout.tasks) if task.kind in names]
        limit = there[what]
        if limit is not None and held:
            model.add_cumulative(held, [1] * len(held), limit)
    if (baths := there["bath"]) is not None:
        held = []
        for n, load in enumerate(layout.loads):
            first = layout.of("window", load.bench, load.round)[0]
            last = layout.poured(load)[-1]
            end = starts[last] + layout.tasks[last].lasts
            size = model.new_int_var(0, 24 * 60, f"b{n}")
            held.append(model.new_interval_var(starts[first], size, end, f"bath{n}"))
        model.add_cumulative(held, [1] * len(held), baths)


# --- a plan that is pinned ---------------------------------------------------------------------


def _pinned(scheme: Scheme, group: Group) -> Timetable:
    """Return the plan that the scheme pins, or refuse it with every rule that it breaks."""
    pinned = scheme.practical.decisions
    needed = ["when", "benches", "batches", "rounds", "helped"]
    needed += ["cooling"] if pinned.when != SAME_DAY else []
    faults = [
        Fault(f"plan.{key}", "is missing beside starts", "", "Pin all of a plan or none", "Add it")
        for key in needed
        if getattr(pinned, key) in ("", None)
    ]
    if faults:
        raise FaultsError(faults)
    variant = next(iter(variants(scheme, group)), None)
    layout = None if variant is None else laid_out(scheme, group, variant)
    if layout is None or len(layout.tasks) != len(pinned.starts):
        tasks = 0 if layout is None else len(layout.tasks)
        raise fault_error(
            "plan.starts",
            "is not of this plan",
            f"{len(pinned.starts)} minutes",
            f"The plan has {tasks} tasks",
            "Leave starts out and plan again",
        )
    table = with_starts(layout, pinned.starts)
    broken = broken_rules(scheme, table)
    if broken:
        raise FaultsError(
            [
                Fault(
                    "plan.starts",
                    "breaks a rule",
                    one.rule,
                    one.words,
                    "Change the pinned plan, or leave starts out",
                )
                for one in broken
            ]
        )
    return table


def with_starts(layout: Layout, starts: Sequence[int]) -> Timetable:
    """Return a layout with minutes that were found before."""
    pairs = zip(layout.tasks, starts, strict=True)
    return Timetable(layout, tuple(replace(task, starts=start) for task, start in pairs))


def pins(table: Timetable) -> str:
    """Return the table of a scheme that pins a plan."""
    made = table.layout.variant
    cooling = f'cooling = "{made.way}"\n' if made.when == DAY_BEFORE else ""
    starts = ", ".join(map(str, table.starts))
    return (
        f'[plan]\nwhen = "{made.when}"\n{cooling}benches = {made.benches}\n'
        f"batches = {made.batches}\nrounds = {made.rounds}\n"
        f"helped = {str(made.helped).lower()}\nstarts = [{starts}]\n"
    )


# --- the way out ---------------------------------------------------------------------------------

Found = tuple[str, bool]


def _way_out(scheme: Scheme, group: Group) -> tuple[Change | None, tuple[Change, ...]]:
    """Return the first rung that helps, and why those before it don't."""
    rejected: list[Change] = []
    for rung, tried in RUNGS:
        words, works = tried(scheme, group)
        change = Change(rung, words, works)
        if works:
            return change, tuple(rejected)
        rejected.append(change)
    return None, tuple(rejected)


def _why(scheme: Scheme, group: Group) -> str:
    """Return the obstacle that is nearest to being none, in words."""
    told = first_plan(scheme, group)[1]
    return min(told, key=lambda one: (one.by, one.rule)).words if told else ""


def _with(scheme: Scheme, **parts: Any) -> Scheme:
    return replace(scheme, practical=replace(scheme.practical, **parts))


def _order(scheme: Scheme, group: Group) -> Found:
    """Try another order of work: each pin lifted alone, then all."""
    pinned = scheme.practical.decisions
    free = Decisions(pours=pinned.pours)
    names = ("cooling", "batches", "rounds", "helped", "benches", "when")  # mildest first
    held = [name for name in names if getattr(pinned, name) != getattr(free, name)]
    for name in held:
        one = replace(pinned, **{name: getattr(free, name)})
        table = first_plan(_with(scheme, decisions=one), group)[0]
        if table is not None:
            return f"Take {name} out of [plan]: {table.layout.variant}", True
    if len(held) > 1:
        table = first_plan(_with(scheme, decisions=free), group)[0]
        if table is not None:
            return f"Take {', '.join(held)} out of [plan]: {table.layout.variant}", True
    return (
        "no pin that is lifted helps" if held else "none of the orders that were tried fits"
    ), False


def _tools(scheme: Scheme, group: Group) -> Found:
    """Try a bath, a tray or another tool, each kind alone."""
    has = scheme.practical.equipment
    layout = laid_out(scheme, group, variants(_with(scheme, decisions=Decisions()), group)[0])

    def plan_with(tools: dict[str, Any]) -> Timetable | None:
        return first_plan(_with(scheme, equipment=replace(has, **tools)), group)[0]

    for name, word in (
        ("baths", "bath"),
        ("trays", "tray"),
        ("blenders", "blender"),
        ("hobs", "hob"),
        ("jugs", "jug"),
    ):
        there = getattr(has, name)
        if there is None:
            continue
        plenty = max(there + 4, jugs_needed(scheme, layout) if name == "jugs" else 0)
        if plan_with({name: plenty}) is None:
            continue
        count = next(n for n in range(there + 1, plenty + 1) if plan_with({name: n}))
        extra = count - there
        return f"Get {extra} {word}{'s' if extra > 1 else ''} more: {count} in all", True
    if not has.ice and (table := plan_with({"ice": True})):
        return f"Get ice for the baths: {table.layout.variant}", True
    return "no bath, tray, jug, blender or hob more helps by itself", False


def _time(scheme: Scheme, group: Group) -> Found:
    """Try contact hours: the fewest in which a variant fits."""
    there = hours_of(group)
    longest = replace(group, hours=q(14, "h"))
    best: int | None = None
    tries = 0
    for variant in variants(scheme, longest):
        layout = laid_out(scheme, longest, variant)
        if obstacles(scheme, layout) or (best is not None and shortest_day(layout) >= best):
            continue
        table = minutes(scheme, layout)
        tries += 1
        if table is not None and not broken_rules(scheme, table):
            best = table.ends if best is None else min(best, table.ends)
        if tries >= TRIES:
            break
    if best is None:
        return f"no number of hours helps ({_why(scheme, longest)})", False
    needed = 5 * math.ceil(best / 5)
    if needed <= there:
        return "it is not the hours that are too few", False
    return f"Give it {clocked(needed - there)} h more: {clocked(needed)} h in all", True


def _fewer(scheme: Scheme, group: Group) -> Found:
    """Try fewer cakes: the fewest that must go, those that nobody assesses first."""
    whole = sum(cake.count for cake in scheme.cakes)
    least = min(whole, group.students)

    def fits(count: int) -> bool:
        return first_plan(fewer_cakes(scheme, whole - count), group)[0] is not None

    if whole <= least or not fits(whole - least):
        why = _why(fewer_cakes(scheme, least), group)
        return f"not even {least} cakes fit ({why})", False
    low, high = 1, whole - least
    while low < high:
        middle = (low + high) // 2
        low, high = (low, middle) if fits(middle) else (middle + 1, high)
    made = fewer_cakes(scheme, whole - low)
    counts = ", ".join(f"{cake.count or 'no'} {cake.shape}" for cake in made.cakes)
    return f"Pour {low} cake{'s' if low > 1 else ''} fewer: {counts}", True


def fewer_cakes(scheme: Scheme, count: int) -> Scheme:
    """Return a scheme with so many cakes; the kind that most students pour goes last."""
    cakes = list(scheme.cakes)
    most = max(range(len(cakes)), key=lambda kind: cakes[kind].count)
    gone = sum(cake.count for cake in cakes) - count
    for kind in [*(k for k in range(len(cakes)) if k != most), most]:
        off = min(gone, cakes[kind].count)
        cakes[kind] = replace(cakes[kind], count=cakes[kind].count - off)
        gone -= off
    return replace(scheme, cakes=tuple(cakes))


def _bench(scheme: Scheme, group: Group) -> Found:
    """Try another bench, with the tools of a bench."""
    has, names = scheme.practical.equipment, ("baths", "blenders", "hobs", "jugs")
    why = ""
    for more in range(1, MOST_BENCHES_MORE + 1):
        if group.stations + more > group.students:
            break
        tools: Any = {
            n: getattr(has, n) + more * _each(scheme, n) for n in names if getattr(has, n)
        }
        wider = replace(group, stations=group.stations + more)
        richer = _with(scheme, equipment=replace(has, **tools))
        if first_plan(richer, wider)[0] is not None:
            return f"Use {more} bench{'es' if more > 1 else ''} more, with their tools", True
        why = _why(richer, wider)
    return f"a bench more doesn't help{f' ({why})' if why else ''}", False


def _each(scheme: Scheme, name: str) -> int:
    return len(scheme.colours) + 1 if name == "jugs" and len(scheme.colours) > 1 else 1


def _day(scheme: Scheme, group: Group) -> Found:
    """Try another day: the class in parts, each with its share of the cakes."""
    why = ""
    for days in range(2, MOST_DAYS + 1):
        students = math.ceil(group.students / days)
        if students == group.students:
            break
        part = replace(group, students=students, stations=min(group.stations, students))
        cakes = tuple(replace(c, count=math.ceil(c.count / days)) for c in scheme.cakes)
        if first_plan(replace(scheme, cakes=cakes), part)[0] is not None:
            return f"Take {days} days, with at most {students} students on each", True
        why = _why(replace(scheme, cakes=cakes), part)
    return f"more days don't help{f' ({why})' if why else ''}", False


RUNGS: tuple[tuple[str, Callable[[Scheme, Group], Found]], ...] = (
    ("another order of work", _order),
    ("a bath or a tray", _tools),
    ("time", _time),
    ("fewer cakes", _fewer),
    ("another bench", _bench),
    ("another day", _day),
)
