"""What a scheme says of its practical: groups, what the kitchen has, what is decided."""

from __future__ import annotations

import datetime
from collections.abc import Callable
from dataclasses import dataclass, field
from itertools import pairwise

from calculators import formula, safety
from calculators.kitchen import Line
from calculators.units import Quantity, q, say
from course.scheme.declared import (
    ALLERGIES,
    EQUIPMENT,
    FIRST_START,
    GROUP,
    MORE_GROUPS,
    OBSERVATION,
    PLAN,
)
from course.scheme.tables import rows_of, whole
from exercises.files.toml_file import TomlTable
from exercises.observing.rows import Limits

TRAY = (q(40, "cm"), q(30, "cm"))  # inside, a common size


# --- what is held ---------------------------------------------------------------------------


@dataclass(frozen=True)
class Group:
    """Who stands at the bench, and when.

    Parameters
    ----------
    students, stations : int
        How many; at most one bench each.
    practical : date or None
        The day of the pour.
    name : str
        How the group is called; empty where there is one alone.
    start : str
        The clock at the first word, as 09:00.
    hours, hours_before : quantity or None
        Contact hours of the day and of the day before, h; None where none are given.
    assessors : int
        Who can watch one pour each.
    """

    students: int
    stations: int
    practical: datetime.date | None = None
    name: str = ""
    start: str = FIRST_START
    hours: Quantity | None = None
    hours_before: Quantity | None = None
    assessors: int = 1


@dataclass(frozen=True)
class Equipment:
    """What the kitchen has, all benches together; None where the scheme doesn't count it.

    Parameters
    ----------
    jugs, blenders, hobs, baths, trays : int or None
        Blending jugs, stick blenders, hobs, sinks or bowls for a bath, shallow trays.
    tray_length, tray_breadth : quantity
        Inside, cm.
    ice : bool
        Whether there is ice enough for the baths.
    wall : str
        Of the jugs: steel, plastic or glass; it decides how fast a bath works.
    fridge : quantity or None
        Room for tubs of glaze, l.
    freezer : quantity or None
        Shelf for cakes, cm².
    """

    jugs: int | None = None
    blenders: int | None = None
    hobs: int | None = None
    baths: int | None = None
    trays: int | None = None
    tray_length: Quantity = TRAY[0]
    tray_breadth: Quantity = TRAY[1]
    ice: bool = True
    wall: str = "steel"
    fridge: Quantity | None = None
    freezer: Quantity | None = None


@dataclass(frozen=True)
class Decisions:
    """What the lecturer has decided of the plan; None where the planner may choose.

    Parameters
    ----------
    when, cooling : str
        One of :data:`~course.scheme.declared.WHEN`, and one of
        :data:`~course.scheme.declared.WAYS`; empty where it is open.
    benches, batches, rounds : int or None
        Benches in use, batches cooked, rounds of pouring.
    helped : bool or None
        Whether more glaze is made than is poured, and a colour thinned, where that helps.
    pours : int
        Cakes that each student pours before an assessor.
    starts : tuple of int
        Minutes at which each task begins, as a printed plan lists them.
    """

    when: str = ""
    cooling: str = ""
    benches: int | None = None
    batches: int | None = None
    rounds: int | None = None
    helped: bool | None = None
    pours: int = 2
    starts: tuple[int, ...] = ()


@dataclass(frozen=True)
class Allergy:
    """An allergen that somebody in the class has; nobody is named.

    Parameters
    ----------
    allergen : str
        By its name in ``safety.allergens()``.
    students : int
        How many.
    lines : tuple of Line
        A glaze without it, for a bench of its own; empty where there is none.
    """

    allergen: str
    students: int = 1
    lines: tuple[Line, ...] = ()


@dataclass(frozen=True)
class Practical:
    """All that a scheme says of the practical beside its first group.

    ``limits`` are what the lecturer decides of the observation sheet.
    """

    more_groups: tuple[Group, ...] = ()
    equipment: Equipment = Equipment()
    decisions: Decisions = Decisions()
    allergies: tuple[Allergy, ...] = ()
    limits: Limits = field(default_factory=Limits)

    @property
    def kept_free(self) -> Allergy | None:
        """The allergy for which one bench has a glaze of its own; None where no bench has."""
        return next((one for one in self.allergies if one.lines), None)


# --- read ------------------------------------------------------------------------------------


def read_group(table: TomlTable, named: bool = False) -> Group:
    """Read one group; its faults are told like all others."""
    group = Group(**(MORE_GROUPS if named else GROUP).read(table))
    if group.students and group.stations and group.stations > group.students:
        table.fault(
            "stations",
            "are more than there are students",
            group.stations,
            f"There are {group.students} students",
            "Mend one of the two",
        )
    table.done()
    return group


def read_practical(
    top: TomlTable, first: Group, lines_of: Callable[[TomlTable], tuple[Line, ...]]
) -> Practical:
    """Read further groups, equipment, decisions and allergies of a scheme."""
    groups = tuple(read_group(row, named=True) for row in rows_of(top, "more_groups"))
    _apart(top, (first, *groups))
    allergies: list[Allergy] = []
    for row in rows_of(top, "allergies"):
        lines = lines_of(row) if "line" in row.data else ()
        one = Allergy(**ALLERGIES.read(row), lines=lines)
        _without(row, one)
        there = sum(group.students or 0 for group in (first, *groups))
        if there and (one.students or 0) > there:
            row.fault(
                "students",
                "are more than there are students",
                one.students,
                f"There are {there} students in all groups",
                "Mend one of the two",
            )
        row.known.add("line")
        if first_own := next((other for other in allergies if other.lines and one.lines), None):
            row.fault(
                "line",
                "is a second glaze for an allergy",
                one.allergen,
                "One bench is kept free, with one glaze",
                f"Leave these lines out, and let the glaze without {first_own.allergen} be "
                f"without {one.allergen} as well",
            )
        row.done()
        allergies.append(one)
    decisions = whole(Decisions, PLAN, top.table("plan", needed=False))
    if groups and decisions.starts:
        top.fault(
            "plan",
            "pins minutes, and there are several groups",
            f"{len(groups) + 1} groups",
            "The minutes are those of one group",
            "Take starts out, or keep a scheme for each group",
        )
    return Practical(
        groups,
        whole(Equipment, EQUIPMENT, top.table("equipment", needed=False)),
        decisions,
        tuple(allergies),
        _limits(top.table("observation", needed=False)),
    )


def _limits(table: TomlTable) -> Limits:
    """Read what the lecturer decides of the observation sheet."""
    band, out_by, cover = OBSERVATION.read(table).values()
    table.done()
    if not table.sound():
        return Limits()
    return Limits(band, q(out_by.m_as("degC"), "delta_degC"), cover)


def _without(row: TomlTable, allergy: Allergy) -> None:
    """Refuse a glaze that holds the very allergen that it is to be without."""
    if not allergy.lines or not all(line.ingredient and line.mass for line in allergy.lines):
        return
    for one in formula.allergens(formula.Formula("own", allergy.lines)):
        if one.allergen == allergy.allergen and one.certain:
            row.fault(
                "line",
                f"holds {safety.allergens()[one.allergen].words}",
                ", ".join(one.ingredients),
                "The glaze of this bench is to be without it",
                "Take these lines out, or leave the formula out",
            )


def _apart(top: TomlTable, groups: tuple[Group, ...]) -> None:
    """Refuse two groups of one name, and two that need one kitchen at once."""
    seen = {groups[0].name}
    for group in groups[1:]:
        if group.name and group.name in seen:
            top.fault(
                "more_groups",
                "have one name twice",
                group.name,
                "Each group has a name of its own",
                "Call one of them something else",
            )
        seen.add(group.name)
    days = [g.practical for g in groups if g.practical]
    if len(groups) > 1 and len(days) < len(groups):
        top.fault(
            "more_groups",
            "have no day of their own",
            f"{len(days)} of {len(groups)} groups have one",
            "Two groups can't use one kitchen at once",
            "Give each group its practical = day",
        )
    for day in sorted({d for d in days if days.count(d) > 1}):
        sharing = sorted((g for g in groups if g.practical == day), key=lambda g: g.start)
        for one, other in pairwise(sharing):
            if one.hours is None or _ends(one) > minutes_of(other.start):
                lasts = "has no hours" if one.hours is None else f"lasts {say(one.hours)}"
                top.fault(
                    "more_groups",
                    "overlap on one day",
                    f"{day}, {one.start} and {other.start}",
                    f"The group at {one.start} {lasts}",
                    "Give the earlier group hours that end first, or another day",
                )


def _ends(group: Group) -> float:
    return minutes_of(group.start) + (group.hours.m_as("min") if group.hours is not None else 0)


def minutes_of(clock: str) -> int:
    """Return a clock time as minutes after midnight.

    >>> minutes_of("08:30")
    510
    """
    hour, minute = clock.split(":")
    return int(hour) * 60 + int(minute)
