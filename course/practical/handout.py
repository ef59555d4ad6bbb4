"""All that is printed for a practical, as one page that needs nothing else."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import Any

from markupsafe import Markup, escape

from calculators import safety
from calculators.units import q, say
from course.practical import lists
from course.practical.amounts import mass_said, refuse_forbidden
from course.practical.cards import allergy_notes, at, cards, in_the_room, left_over, step_id
from course.practical.holding import cold_line, most_warm
from course.practical.orders import without_price
from course.practical.page import template
from course.practical.solver import pins, planned_all
from course.practical.timetable import Task, Timetable, clocked
from course.practical.warnings import to_settle
from course.scheme.model import Scheme
from exercises import look
from exercises.craft.method import method

# Shown to the reader in the drawing, in place of the id of a task.
SHORT = {"begin": "briefing", "others": "other cakes", "left over": "rest", "window": "bath"}
WIDE, SIDE, HIGH = 700, 62, 18  # of the drawing, in its own units


def printed(scheme: Scheme) -> tuple[str, str]:
    """Return the handout and the calendar of a scheme.

    Raises
    ------
    FaultsError
        Where a colour is forbidden, or no plan keeps all rules: with the way out.
    """
    refuse_forbidden(scheme)
    tables = planned_all(scheme)
    return handout(scheme, tables), lists.calendar(scheme, tables)


def handout(scheme: Scheme, tables: Sequence[Timetable]) -> str:
    """Return the plans of all groups as one page of HTML."""
    orders, cost = lists.orders(scheme, tables)
    return template("handout.html", mass=mass_said).render(
        scheme=scheme,
        signs=Markup(look.TOKENS.with_name("signs.svg").read_text(encoding="utf-8")),
        css=Markup((Path(__file__).parent / "handout.css").read_text(encoding="utf-8")),
        groups=[_group(scheme, table, len(tables) > 1, n) for n, table in enumerate(tables, 1)],
        orders=orders,
        cost=cost,
        unpriced=without_price(orders),
        total=mass_said(lists.total_of(tables)),
        eaters=lists.eaters(scheme, tables),
        law=lists.law(scheme),
        shelf=lists.shelf(scheme),
        cold=say(q(cold_line(scheme), "degC")),
        freezer=say(scheme.kitchen.freezer),
        pours=scheme.practical.decisions.pours,
        last_word=safety.last_word(scheme.local_rules),
        settle=to_settle(scheme),
    )


def _group(scheme: Scheme, table: Timetable, several: bool, number: int) -> dict[str, Any]:
    layout = table.layout
    group = layout.group
    seen = table.assessors()
    pours = sorted((table.tasks[i].starts, i) for i in seen)
    return {
        "id": f"group-{number}-" if several else "",
        "called": group.name,
        "group": group,
        "table": table,
        "cards": cards(scheme, table),
        "ends": at(group.start, table.ends),
        "lasts": clocked(table.ends),
        "warm": max(table.warm(load) for load in layout.loads),
        "most": most_warm(scheme),
        "drawing": drawing(table),
        "pours": [
            (
                at(group.start, start),
                table.tasks[i].who[0],
                f"{table.tasks[i].count} × {scheme.cakes[table.tasks[i].cake].shape}",
                seen[i],
            )
            for start, i in pours
        ],
        "without": layout.without,
        "allergies": allergy_notes(scheme, layout),
        "wrong": _wrong(table),
        "left_over": left_over(scheme, table),
        "room": in_the_room(scheme, table),
        "before": lists.before(scheme, table),
        "labels": lists.labels(scheme, table),
        "risks": lists.risks(table),
        "pins": pins(table),
    }


def _wrong(table: Timetable) -> list[tuple[str, str, str]]:
    """Return what can go wrong, with the first time at which it can."""
    first: dict[str, int] = {}
    for task in table.tasks:
        name = step_id(task)
        first[name] = min(first.get(name, task.starts), task.starts)
    told = []
    for step in sorted((s for s in method().day if s.id in first), key=lambda s: first[s.id]):
        words = " ".join(filter(None, (step.too_much, step.too_little)))
        if words:
            told.append((at(table.layout.group.start, first[step.id]), step.title, words))
    return told


# --- the clock, drawn --------------------------------------------------------------------------


def drawing(table: Timetable) -> Markup:
    """Return all benches on one clock: a line for each batch and bench, a bar for each task."""
    layout = table.layout
    places = [
        (f"batch {n}", [t for t in table.tasks if t.batch == n and not t.bench])
        for n in range(1, len(layout.batches) + 1)
    ]
    places += [
        (f"bench {n}", [t for t in table.tasks if t.bench == n])
        for n in sorted({load.bench for load in layout.loads})
    ]
    rounds = range(1, layout.variant.rounds + 1)
    lines = [
        (_named(name, r, rounds), [t for t in own if t.round == r])
        for name, own in places
        for r in rounds
    ]
    lines.append(("all", [t for t in table.tasks if not t.bench and not t.batch]))
    scale = (WIDE - SIDE) / table.ends
    made = [_hours(table, scale, len(lines))]
    for row, (name, tasks) in enumerate(lines):
        y = HIGH * (row + 1)
        made.append(f'<text x="0" y="{y + 11}">{escape(name)}</text>')
        made += [_bar(task, scale, y) for task in tasks]
    height = HIGH * (len(lines) + 1) + 4
    return Markup(
        f'<svg class="clockwork" viewBox="0 0 {WIDE} {height}" role="img" '
        f'aria-label="All benches on one clock">{"".join(made)}</svg>'
    )


def _named(name: str, round_: int, rounds: range) -> str:
    return f"{name}, r. {round_}" if len(rounds) > 1 else name


def _hours(table: Timetable, scale: float, lines: int) -> str:
    made = []
    for minute in range(0, table.ends + 1, 30):
        x = SIDE + minute * scale
        made.append(
            f'<path class="line" d="M{x:.1f} 12V{HIGH * (lines + 1)}"/>'
            f'<text x="{x:.1f}" y="9" text-anchor="middle">{at(table.layout.group.start, minute)}</text>'
        )
    return "".join(made)


def _bar(task: Task, scale: float, y: int) -> str:
    x, wide = SIDE + task.starts * scale, task.lasts * scale
    name = SHORT.get(task.kind, task.kind)
    style = "seen" if task.kind == "pour" else "bar"
    bar = (
        f'<rect class="{style}" x="{x:.1f}" y="{y}" width="{wide - 0.6:.1f}" height="{HIGH - 3}"/>'
    )
    fits = task.kind != "pour" and wide > 4.6 * len(name)
    words = f'<text x="{x + 2:.1f}" y="{y + 10.5}">{name}</text>' if fits else ""
    return f"<g><title>{name} {escape(chr(32).join(task.who))}</title>{bar}{words}</g>"
