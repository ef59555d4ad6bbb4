"""A small bank of invented questions of every kind, for tests of sheets."""

from __future__ import annotations

from calculators.units import q, say
from exercises.questions.building import build
from exercises.questions.parts import (
    Asked,
    ChoicePart,
    ChoicesPart,
    Exhibit,
    Option,
    OrderPart,
    QuantityPart,
    TablePart,
    WrongTurn,
)
from exercises.questions.registry import Question
from exercises.sheets.sheet import Sheet, cautions_for

TOKEN = "3467-9ACE-FHJK-MNPQ-RTVP"
SVG = (
    '<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 300 120">'
    '<path d="M10 110 L290 20" stroke="#0d525c" fill="none"/></svg>'
)
SECRETS = (
    "secret reason",
    "secret road",
    "secret saying",
    "secret working",
    "secret worked",
    "secret option saying",
    "secret order saying",
)


def _swap(draw):
    mass = draw.mass("mass", 6, 24, 0.5)
    roads = [
        WrongTurn("secret road", mass * 1.5, "secret saying"),
        WrongTurn("secret road two", mass * 0.5, "secret saying"),
    ]
    common = {
        "because": "secret reason",
        "wrong_turns": roads,
        "working": "secret working",
        "worked": "secret worked",
    }
    return Asked(
        [
            QuantityPart(f"You have {say(mass)}. Weigh double.", mass * 2, "0.1 g", **common),
            QuantityPart(
                "Then soak it, six to one.",
                lambda given: given["a"] * 6,
                "2 % of the answer",
                because="secret reason",
                wrong_turns=[WrongTurn("secret road", mass * 5, "secret saying")],
            ),
        ],
        stem="Monday, three cakes.",
    )


def _choose(draw):
    return Asked(
        [
            ChoicePart(
                "Which one?",
                [
                    Option("The scale", right=True),
                    Option("The <b>refractometer</b> & more", says="secret option saying"),
                    Option("Neither", says="secret option saying"),
                ],
                worked="secret worked",
            ),
            ChoicesPart(
                "Which of these?",
                [
                    Option("Milk", right=True),
                    Option("White", right=True),
                    Option("Salt", says="secret option saying"),
                ],
                marks=2,
            ),
        ],
        exhibit=Exhibit("A log", ("Time", "Mass | pan"), [["10:02", "1240 g"]]),
    )


def _order(draw):
    return [
        OrderPart(
            "In which order?",
            ["Weigh.", "Soak.", "Wring.", "Stir in."],
            says="secret order saying",
            worked="secret worked",
        ),
        TablePart(
            "Fill in.",
            {
                "Pan one": QuantityPart("", q(65, "percent"), "0.5 %", because="secret reason"),
                "Pan two": QuantityPart("", q(70, "percent"), "0.5 %", because="secret reason"),
            },
        ),
    ]


def _safe(draw):
    mass = draw.mass("mass", 100, 900, 10)
    roads = [WrongTurn("secret road", mass / 3, "secret saying")]
    return Asked(
        [
            QuantityPart(
                f"{say(mass)} of sugar: how much syrup at 50 %?", mass * 2, "1 g", wrong_turns=roads
            )
        ],
        exhibit=Exhibit("A curve", svg=SVG, alt="A line that rises."),
    )


QUESTIONS = {
    one.id: one
    for one in (
        Question("t-swap", _swap, "gelatin-powder", "carry out", "both"),
        Question("t-choose", _choose, "syrup-instrument", "decide", "both"),
        Question("t-order", _order, "gelatin-rule", "recall", "assessed"),
        Question("t-safe", _safe, "boiling-stage", "decide", "both", safety=True),
    )
}


def a_sheet(seed="seed", **more):
    """Return a sheet with every kind of part."""
    questions = [build(one, seed) for one in QUESTIONS.values()]
    values = {
        "token": TOKEN,
        "student": "Ada Example",
        "title": "Syrup and gelatin",
        "questions": questions,
        "opens_on": "2027-03-01",
        "hand_in_by": "2027-03-08T17:00",
        "cautions": cautions_for(questions),
    }
    return Sheet(**(values | more))
