"""A small class of ours with its sheets, for the tests and benchmarks of marking."""

import json

from calculators.units import q, symbol
from exercises.book.book import create
from exercises.book.records import NewSheet, Student
from exercises.questions import outcomes
from exercises.questions.answer_boxes import answer_boxes
from exercises.questions.building import build
from exercises.questions.parts import (
    Asked,
    ChoicePart,
    DrawnQuantity,
    Option,
    OrderPart,
    QuantityPart,
    WrongTurn,
)
from exercises.questions.registry import Question

OUTCOME = next(k for k, o in outcomes.outcomes().items() if o.evidence != "do")
NAMES = ("Ada Ample", "Bo Batter", "Cy Crumb", "Di Dough", "Ed Eclair", "Flo Flour")


def _scale(draw):
    mass = draw.mass("mass", 100, 500)
    root = draw.whole("times", 2, 9)
    return Asked(
        [
            QuantityPart(
                f"Take {mass.m:g} g {root} times. What do you weigh out?",
                answer=mass * root,
                tolerance="1 g",
                wrong_turns=[
                    WrongTurn("divided", mass / root, "This is the number you get by dividing."),
                    WrongTurn("once", mass, "This is the number you get with one."),
                ],
                worked="Multiply them.",
            ),
            QuantityPart(
                "And a tenth of it?",
                answer=lambda given: given["a"] / 10,
                tolerance="1 % of the answer",
                wrong_turns=[
                    WrongTurn("times ten", lambda g: g["a"] * 10, "This is ten times it."),
                    WrongTurn("a fifth", lambda g: g["a"] / 5, "This is a fifth of it."),
                ],
            ),
        ]
    )


def _warm(draw):
    warm = draw.temperature("warm", 28, 36)
    return QuantityPart(
        f"It is {warm.m:g} °C. Two more?",
        answer=q(warm.m + 2, "degC"),
        tolerance="0.5 °C",
    )


def _pick(draw):
    options = [
        Option(f"option {n}", right=n == 1, says="" if n == 1 else "Look again.") for n in range(4)
    ]
    return ChoicePart("Which?", options)


def _steps(draw):
    return OrderPart("Put in order.", ["soak", "warm", "melt", "stir"])


CARDS = [
    Question(f"ours-{name}", ask, OUTCOME, "carry out", "both")
    for name, ask in (("scale", _scale), ("warm", _warm), ("pick", _pick), ("steps", _steps))
]


def issue(path, names=NAMES, *, hand_in_by="2030-03-01", repeat=1, paper="first"):
    """Make a book in which every name has a sheet; returns the open book and sheets."""
    book = create(path)
    students = [Student(f"st{n:05}", name) for n, name in enumerate(names, 1)]
    book.enrol(students)
    book.draft_paper(paper, {"title": "Ours"})
    book.check_paper(paper, "M. Checker")
    sheets = []
    for one in students:
        seed = book.seed(paper, one.id)
        seeds = [seed, *(f"{seed} {n}" for n in range(1, repeat))]
        built = [build(card, each).to_json() for each in seeds for card in CARDS]
        sheets.append(NewSheet(one.id, seed, built, "2030-02-01", hand_in_by))
    return book, book.issue_paper(paper, sheets, "L. Lecturer")


def right_answers(sheet):
    """Return the right answer of every part as a student could write it."""
    out = {}
    for key in answer_boxes(sheet.questions):
        part = key.part
        if isinstance(part, DrawnQuantity):
            right = q(part.answer, part.base_unit).to(part.unit)
            out[key.key] = f"{right.m:.6g} {symbol(right.units)}"
        else:
            out[key.key] = ", ".join(map(str, part.right))
    return out


def answer_file(token, answers, working=None):
    """Return the bytes of an answer file."""
    thing = {
        "glossbook": 1,
        "token": token,
        "answers": answers,
        "working": working or {},
    }
    return json.dumps({**thing, "saved": "2030-02-20T10:00:00Z"}).encode()


def notebook_file(token, answers, working=None, pad=""):
    """Return the bytes of a notebook with one reply cell an answer."""
    cells = [{"cell_type": "markdown", "metadata": {}, "source": [f"# Sheet {token}\n", pad]}]
    for key, text in answers.items():
        cells.append(
            {
                "cell_type": "markdown",
                "metadata": {},
                "source": [f"**{key}** What?\n", pad],
            }
        )
        cells.append(
            {
                "cell_type": "code",
                "metadata": {"glossbook": {"part": key}},
                "outputs": [],
                "execution_count": None,
                "source": [f"answer = {json.dumps(text, ensure_ascii=False)}"],
            }
        )
        cells.append(
            {
                "cell_type": "markdown",
                "metadata": {"glossbook": {"working": key}},
                "source": [
                    f"Working for {key}. Write your working below this line.\n",
                    "\n",
                    (working or {}).get(key, ""),
                ],
            }
        )
    about = {
        "glossbook": {"token": token, "sheet": 1},
        "kernelspec": {"name": "python3"},
    }
    return json.dumps(
        {"cells": cells, "metadata": about, "nbformat": 4, "nbformat_minor": 5},
        indent=1,
        ensure_ascii=False,
    ).encode()
