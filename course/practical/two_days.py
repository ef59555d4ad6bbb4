"""The clock of both days: what the plan comes to, judged before it is printed."""

from __future__ import annotations

import dataclasses

from calculators.cooling import Clock, Day, Work, both_days
from calculators.cooling.time_limits import hours
from calculators.faults import Fault, FaultsError
from calculators.units import Quantity, q, say
from course.practical.model import LEFT, POUR, WARM, WINDOW, Plan, PlanStep, Station
from course.practical.times import jugful, warm_to
from course.scheme.model import Scheme


def clock_of(plan: Plan) -> tuple[Clock, ...]:
    """Return the clock of both days for each station of a plan, in their order."""
    return tuple(both_days(_day(plan.scheme, one), plan.scheme.cooling) for one in plan.stations)


def refuse_broken(plan: Plan) -> None:
    """Refuse a plan that breaks a rule of its region or its school.

    Raises
    ------
    FaultsError
        One fault for each step: which rule, by how much, and the simplest mend.
    """
    faults = [
        Fault(
            f"plan, {station.name}, {one.step}",
            "breaks a rule",
            one.excess,
            f"The rule: {one.rule}",
            f"{clock.mend}{_written(clock)}" if clock.mend else "",
        )
        for station, clock in zip(plan.stations, plan.clocks, strict=True)
        for one in clock.broken
    ]
    if faults:
        raise FaultsError(faults)


def without_hours(plan: Plan) -> tuple[str, ...]:
    """Return what to ask where neither law nor school says how long a glaze is held."""
    if any(clock.held.limit is not None for clock in plan.clocks):
        return ()
    longest = max(clock.held.warm for clock in plan.clocks)
    return (
        f"The glaze is out of the cold for up to {hours(longest.m_as('min'))} on both days, and neither "
        "the law that we have read nor the scheme says how long it may be. Ask, and write "
        "discard_after under [local_rules].",
    )


def with_left_over(station: Station, clock: Clock) -> Station:
    """Return a station whose last glaze goes where its clock lets it go."""
    steps = tuple(
        dataclasses.replace(step, does=(*step.does, clock.left_over))
        if step.title == LEFT
        else step
        for step in station.steps
    )
    return dataclasses.replace(station, steps=steps)


def _written(clock: Clock) -> str:
    """Return how the mend is written into the scheme."""
    way = clock.mend.method if clock.mend else None
    if way is None:
        return ""
    keys = [f'bath = "{say(way.bath)}"', f'out = "{say(way.out)}"']
    if way.tray is not None:
        keys.append(f'tray = "{say(way.tray)}"')
    fridge = f', and storage = "{say(way.fridge)}" under [kitchen]' if way.fridge else ""
    return f" Write under [cooling]: {', '.join(keys)}{fridge}"


def _day(scheme: Scheme, station: Station) -> Day:
    """Return the numbers of a station that its clock needs."""
    names = [step.title for step in station.steps]
    warm, pour, left = (names.index(name) for name in (WARM, POUR, LEFT))
    work = [_work(scheme, names, station.steps[i], i) for i in range(warm, left + 1)]
    kitchen = scheme.kitchen
    return Day(
        glaze=jugful(scheme, station.batch)[1],
        jug=kitchen.jug,
        room=kitchen.room,
        fridge=kitchen.storage,
        display=kitchen.display,
        region=scheme.region,
        work=tuple(work[: pour - warm + 1]),
        after=tuple(work[pour - warm + 1 :]),
        school=scheme.local_rules.discard_after,
    )


def _work(scheme: Scheme, names: list[str], step: PlanStep, place: int) -> Work:
    """Return a step as the clock knows it: warm at first, then in the window."""
    ready = next(i for i, name in enumerate(names) if name in WINDOW)
    lasts = step.lasts if step.lasts is not None else q(1, "min")
    ends: Quantity = warm_to(scheme) if place < ready else scheme.window.high
    return Work(step.title.lower(), lasts, ends)
