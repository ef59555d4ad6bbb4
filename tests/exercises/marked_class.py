"""An invented class whose hand-ins were marked, for the tests of what is told of it."""

from __future__ import annotations

import random

from calculators.units import q, symbol
from exercises.book.book import create
from exercises.book.records import NewSheet, Student
from exercises.book.times import now
from exercises.marking.run import mark_folder
from exercises.questions.answer_boxes import answer_boxes
from exercises.questions.building import build
from exercises.questions.parts import DrawnOrder, DrawnQuantity
from exercises.sheets.choice import PaperPlan
from exercises.sheets.drafting import check, draft
from tests.exercises.pile_of_ours import answer_file

FIRST = (
    "Ada",
    "Bo",
    "Cleo",
    "Dov",
    "Esme",
    "Femi",
    "Gus",
    "Hana",
    "Ivo",
    "Juno",
    "Kit",
    "Lena",
)
LAST = ("Ample", "Batter", "Crumb", "Dough", "Ember", "Flour", "Glace", "Honey", "Icing", "Jam")


def a_class(count):
    return [
        Student(f"s{n:04}", f"{FIRST[n % 12]} {LAST[(n // 12 + n) % 10]}") for n in range(count)
    ]


def right(key):
    """Return the right answer of a box as a student could write it."""
    part = key.part
    if isinstance(part, DrawnQuantity):
        size = q(part.answer, part.base_unit).to(part.unit).magnitude
        return f"{size:.7g} {written(part)}".strip()
    return ", ".join(map(str, part.right))


def written(part):
    """Return a unit as the strict reader knows it."""
    return symbol(part.unit)


def down_the_road(key, place=0):
    """Return the answer that a wrong turn gives; another choice where it is one."""
    part = key.part
    if isinstance(part, DrawnQuantity):
        if not part.roads:
            return "1 g"
        size = q(part.roads[place].value, part.base_unit).to(part.unit)
        return f"{size.magnitude:.7g} {written(part)}".strip()
    if isinstance(part, DrawnOrder):
        return ", ".join(map(str, reversed(part.right)))
    return next(o.key for o in part.options if o.key not in part.right)


def issued(path, bank, outcomes, levels, count, **more):
    """Return an open book with one issued paper, and its sheets."""
    plan = PaperPlan(
        "first",
        "Syrups and gelatin",
        outcomes,
        levels,
        opens_on="2030-02-01",
        hand_in_by="2030-03-01",
        **more,
    )
    book = create(path, {"keep_data": "400 d"})
    students = a_class(count)
    book.enrol(students)
    check(draft(plan, bank, book), "M. Checker", book)
    names = book.paper("first").plan["questions"]
    new = []
    for one in students:
        seed = book.seed("first", one.id)
        built = [build(bank[name], seed, plan.kitchen).to_json() for name in names]
        new.append(NewSheet(one.id, seed, built, "2030-02-01", "2030-03-01"))
    return book, book.issue_paper("first", new, "L. Lecturer")


def hand_in(folder, sheets, seed=1, leave=()):
    """Write hand-ins of students of every strength; those in ``leave`` hand in none."""
    chance = random.Random(seed)
    for n, sheet in enumerate(sheets):
        if n in leave:
            continue
        strength = chance.random()
        answers = {}
        for key in answer_boxes(sheet.questions):
            luck = chance.random()
            if luck < 0.25 + 0.75 * strength:
                answers[key.key] = right(key)
            elif luck < 0.9:
                answers[key.key] = down_the_road(key)
            elif luck < 0.95:
                answers[key.key] = right(key).rstrip("g%°C ")
        (folder / f"{sheet.token}.handin.json").write_bytes(answer_file(sheet.token, answers))


def marked(tmp_path, bank, outcomes, levels, count=12, leave=(11,), **more):
    """Return an open book of a class whose hand-ins were marked."""
    book, sheets = issued(tmp_path / "class.db", bank, outcomes, levels, count, **more)
    folder = tmp_path / "pile"
    folder.mkdir()
    hand_in(folder, sheets, leave=leave)
    mark_folder(folder, book, received_at="2030-02-20 10:00", workers=1)
    return book


__all__ = ["a_class", "down_the_road", "hand_in", "issued", "marked", "now", "right"]
