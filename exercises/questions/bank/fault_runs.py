"""A classmate's dry run: what went wrong in it, and where to turn back.

The log is worked out by the model of the rehearsal from what was drawn; which decision is the
answer follows from the same model, and not from a script.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from datetime import datetime, timedelta
from functools import cache
from typing import Any

from calculators import gelatin
from calculators.kitchen import kitchen_of
from calculators.units import q
from exercises.questions.draws import Draw
from exercises.questions.parts import Asked, ChoicePart, Exhibit, Option
from exercises.questions.registry import question
from exercises.rehearsal import consequences as follows
from exercises.rehearsal.classmates import Plan, Step, Told, told
from exercises.rehearsal.deeds import SHOWS
from exercises.rehearsal.judgement import distance, rows_of, set_off
from exercises.rehearsal.saying import sentence
from exercises.rehearsal.state import (
    BENCH,
    JUG,
    PAN,
    VESSELS,
    Conditions,
    State,
    Vessel,
    conditions_of,
    rounded,
)

# An invented glaze of the usual kind; its shares are common practice.
SYRUP = (("sugar", 300.0), ("glucose syrup", 300.0))
DAIRY = (("sweetened condensed milk", 200.0), ("white chocolate", 300.0))
LEAF, SOAK, WATER = 19.0, 95.0, 125.0
BLOOM = 200.0
FORMULA = (("water", SOAK + WATER), *SYRUP, *DAIRY, ("gelatin leaf", LEAF))
WINDOW = (31.0, 34.0)
MARKS = 2


@cache
def _kitchen() -> Conditions:
    low, high = (f"{end:g} °C" for end in WINDOW)
    return conditions_of(
        kitchen_of(
            altitude="200 m",
            room="22 °C",
            humidity="60 %",
            freezer="-18 °C",
            hob="2 kW",
            blender="600 W",
            jug="12 cm",
            blade="3 cm",
            scale="1 g",
            gelatin_grade="gold",
            gelatin_bloom=f"{BLOOM:g} bloom",
            gelatin_wanted="gold",
            glucose="confectioner",
            window_low=low,
            window_high=high,
            storage="4 °C",
            display="4 °C",
            region="elsewhere",
            coat="0.22 g/cm²",
            formula_name="White glaze",
            formula=[[name, f"{grams:g} g", "", ""] for name, grams in FORMULA],
            cakes=[["cylinder", {"diameter": "18 cm", "height": "5 cm"}, 3]],
        )
    )


def log_of(run: Told, begins: datetime) -> list[tuple[str, str, str]]:
    """Return the lines of a log: the clock, what was done, what an instrument showed."""
    return [
        (
            f"{begins + timedelta(minutes=before.clock):%H:%M}",
            sentence(deed),
            " ".join(words for sense, words in outcome.seen if sense == SHOWS),
        )
        for before, deed, outcome in run.log
    ]


def _begins(draw: Draw) -> datetime:
    return datetime(2000, 1, 1, 8, 0) + timedelta(minutes=5 * draw.whole("begins", 0, 18))


def asked_of(
    run: Told,
    causes: Mapping[str, tuple[str, str]],
    moments: Mapping[str, tuple[str, str, str]],
    prompt: str,
    worked: str,
) -> list[ChoicePart]:
    """Return both parts: what went wrong, and from where it could still have come right.

    Parameters
    ----------
    run : Told
        What the model says.
    causes : mapping of str to (str, str)
        Each decision as an option, and what to look at where it is not the one.
    moments : mapping of str to (str, str, str)
        Each moment as an option, and what to ask where it is too early and too late.
    prompt, worked : str
        Of the first part.
    """
    order = list(moments)
    right = order.index(run.back)
    return [
        ChoicePart(
            prompt,
            [
                Option(text, name == run.cause, "" if name == run.cause else says)
                for name, (text, says) in causes.items()
            ],
            marks=MARKS,
            worked=worked,
        ),
        ChoicePart(
            "From which moment on, done as the method does, would it still have come right? "
            "Choose the latest.",
            [
                Option(text, n == right, "" if n == right else (early if n < right else late))
                for n, (text, early, late) in enumerate(moments.values())
            ],
            marks=MARKS,
            worked=f"{moments[run.back][0]}: the rest of the method puts it right from there. "
            "Later it no longer does, and earlier you would do good work twice.",
        ),
    ]


# --- the day of the pour ------------------------------------------------------------------

DAY = {"blend": 60.0, "kind": "gel or paste", "to": 32.5, "wait": 0.0}
# What may be off, each as often as it takes for the three moments to come up alike.
_DAY_OFF: tuple[tuple[str, tuple[Any, ...]], ...] = (
    ("blend", (0.0, 10.0)),
    ("kind", ("powder",)),
    ("to", (28.5, 29.5)),
    ("blend", (0.0, 10.0)),
    ("kind", ("powder",)),
    ("wait", (6.0, 9.0)),
)
_DAY_NEAR = {"blend": 75.0, "to": 31.5, "wait": 1.0}  # unusual, and without harm
_TWO, _THREE = VESSELS[3:]


def _day_steps(taken: Mapping[str, Any]) -> Sequence[Step]:
    blend = {"do": "blend", "vessel": JUG, "seconds": taken["blend"], "lifted": 0.0}
    to = taken["to"]
    wait = {"do": "cool", "vessel": JUG, "where": "bath", "bath": to, "minutes": taken["wait"]}
    cool = {"do": "cool", "vessel": JUG, "where": "bath", "until": to, "minutes": 40.0}
    pink, green = (
        {"do": "colour", "vessel": vessel, "kind": taken["kind"], "shade": shade}
        for vessel, shade in ((_TWO, "pink"), (_THREE, "green"))
    )
    return (
        Step("share", blend if taken["blend"] else None),
        Step("share", {"do": "split", "second": 25.0}),
        Step("colour", pink),
        Step("colour", green),
        Step("layer", {"do": "one bath", "bath": 33.0, "minutes": 5.0}),
        Step("layer", {"do": "layer"}),
        Step("pour", {**cool, "bath": to - 8}),
        Step("pour", {"do": "take cakes out"}),
        Step("pour", {"do": "wipe"}),
        Step("pour", wait if taken["wait"] else None),
        Step("pour", {"do": "pour", "vessel": JUG, "grams": 1250.0}),
        Step("after", {"do": "tap"}),
    )


def _stirred_base(conditions: Conditions) -> State:
    """Return a base that was made the day before, stirred, chilled and rewarmed."""
    boiled = sum(grams for _, grams in FORMULA) * follows.number("boiled off") / 100
    base = Vessel(lines=FORMULA, evaporated=boiled, celsius=40.0, streaks=1.0, lumps=0.02)
    return rounded(State(vessels=((JUG, base),), bath=conditions.room, thermometer_checked=True))


_DAY = Plan(
    DAY,
    lambda taken: _kitchen(),
    _stirred_base,
    _day_steps,
    lambda state, conditions: distance(rows_of(state, conditions)),
)
_DAY_CAUSES = {
    "blend": (
        "How the fat was spread through the base",
        "Find the blender in the log, and how long it ran with its guard at the bottom. "
        "That is enough for the fat.",
    ),
    "kind": (
        "How the colour was brought into the jugs",
        "Find out what kind of colour it was. Gel and paste wet at once; ask what else was unusual.",
    ),
    "to": (
        "How warm the glaze went over the cakes",
        "Hold the last reading of the jug against the window of this formula: it lies inside.",
    ),
    "wait": (
        "How long the wiped cakes stood in the room",
        "Count the minutes between glove and pour. Ask how much frost can gather in them.",
    ),
}
_DAY_MOMENTS = {
    "share": (
        "Before the base was shared out into jugs",
        "From there it comes right as well. Ask which later moment still would, and saves a step.",
        "Ask what the blender can still do in a jug that holds a quarter.",
    ),
    "colour": (
        "Before the colours were stirred into jugs",
        "Colours that are in can stay. Ask what happens to the glaze only after them.",
        "By then the small jugs are full. Ask whether a small jug still covers a blade.",
    ),
    "layer": (
        "Before the colours were layered in the large jug",
        "Layers can stay as they lie. Ask what can still be put right with them in the jug.",
        "What is in the jugs stays in them from there. Ask what a bath can't take out again.",
    ),
    "pour": (
        "Before the glaze was poured over the cakes",
        "That is no earlier than needed, and still too early: ask what comes after it.",
        "A bath, a glove and a reading are all that is left then. Ask which of them could mend this.",
    ),
}
_MOVED = {
    "blend": "the fat stands in streaks and the coat is dull",
    "kind": "the colour stays in specks",
    "to": "the coat comes out far too heavy",
    "wait": "the coat slides down on frost",
}


@question("fault-run-day", outcome="fault-diagnose", level="decide", use="assessed", minutes=7)
def run_of_the_day(draw: Draw) -> Asked:
    """One decision of a classmate's day of the pour spoils it; others only look unusual."""
    name, values = _DAY_OFF[draw.whole("off", 0, len(_DAY_OFF) - 1)]
    off = {name: values[draw.whole("how", 0, 1) % len(values)]}
    near = {
        other: value
        for other, value in _DAY_NEAR.items()
        if draw.whole(f"near {other}", 0, 1) and other != name
    }
    run = told(_DAY, tuple(sorted({**DAY, **near, **off}.items())))
    low, high = (f"{end:g}" for end in WINDOW)
    return Asked(
        asked_of(
            run,
            _DAY_CAUSES,
            _DAY_MOMENTS,
            "Which decision will show most on these cakes?",
            f"Worked out again with each decision as the method has it, this one moves the cakes "
            f"most: {_DAY_CAUSES[run.cause][0].lower()}. As it was done, {_MOVED[run.cause]}.",
        ),
        stem="A classmate has saved the log of a dry run. The base was made the day before: boiled, "
        "gelatin in, stirred over the white chocolate, covered, chilled. Today it was rewarmed to "
        "40 °C, and the log begins. The guard of the blender is well covered in the large jug. "
        f"This formula is poured at {low} to {high} °C. Nobody has looked at the cakes yet.",
        exhibit=Exhibit(
            "The day of the pour",
            ("Clock", "Done", "An instrument shows"),
            log_of(run, _begins(draw)),
        ),
    )


# --- the day before, at the hob -----------------------------------------------------------

HOB = {"leaf": "by its weight", "back": 0.0, "warm": 0.0}
_HOB_OFF: tuple[tuple[str, tuple[Any, ...]], ...] = (
    ("leaf", ("by the box",)),
    ("back", (-1.0, 110.0)),  # none, or far more than the pan has lost
    ("warm", (90.0, 120.0)),
    ("leaf", ("by the box",)),
    ("back", (-1.0, 110.0)),
    ("warm", (90.0, 120.0)),
)
_NONE_BACK = -1.0


def _hob_kitchen(taken: Mapping[str, Any]) -> Conditions:
    return replace(_kitchen(), bloom=float(taken["bloom"]))


def _clean_bench(conditions: Conditions) -> State:
    """Return a bench on which all that protects a hand is ready."""
    return rounded(
        State(bath=conditions.room, thermometer_checked=True, pan_checked=True, water_beside=True)
    )


def _hob_steps(taken: Mapping[str, Any]) -> Sequence[Step]:
    grams = LEAF
    if taken["leaf"] == HOB["leaf"] and taken["bloom"] != BLOOM:
        held = q(float(taken["bloom"]), "bloom")
        swapped = gelatin.swap(q(LEAF, "g"), q(BLOOM, "bloom"), held, "square root")
        grams = round(swapped.m_as("g"), 1)

    def back(state: State) -> dict[str, Any]:
        lost = round(dict(state.vessels)[PAN].evaporated)
        return {"do": "weigh", "what": "water", "into": PAN, "grams": lost + taken["back"]}

    soak = {"do": "soak", "what": "gelatin leaf", "grams": grams, "water": SOAK, "minutes": 12.0}
    stand = {"do": "cool", "vessel": PAN, "where": BENCH, "minutes": 90.0}
    warm = {"do": "cool", "vessel": PAN, "where": "bath", "bath": 85.0, "minutes": taken["warm"]}
    fills = [
        Step("hob", {"do": "weigh", "what": name, "into": PAN, "grams": each})
        for name, each in (("water", WATER), *SYRUP)
    ]
    return (
        Step("soak", {"do": "read box"}),
        Step("soak", soak),
        *fills,
        Step("hob", {"do": "weigh vessel", "vessel": PAN}),
        Step("hob", {"do": "heat", "vessel": PAN, "until": 0.0, "minutes": taken["boil"]}),
        Step("hob", {"do": "take off", "hand": "from the side"}),
        Step("gelatin", {**stand, "until": 90.0}),  # no water into what is over 100 °C
        Step("gelatin", {"do": "weigh vessel", "vessel": PAN}),
        Step("gelatin", None if taken["back"] == _NONE_BACK else back),
        Step("gelatin", {**stand, "until": 70.0}),
        Step("gelatin", {"do": "add gelatin", "vessel": PAN, "hand": "from the side"}),
        Step("warm", warm if taken["warm"] else None),
        *(
            Step("warm", {"do": "weigh", "what": name, "into": JUG, "grams": each})
            for name, each in DAIRY
        ),
        Step("warm", {"do": "combine", "source": PAN, "into": JUG}),
        Step("after", {"do": "blend", "vessel": JUG, "seconds": 60.0, "lifted": 0.0}),
    )


def _set_of(state: State, conditions: Conditions) -> float:
    return 100 * follows.set_ratio(dict(state.vessels)[JUG], conditions)


_HOB = Plan(
    HOB,
    _hob_kitchen,
    _clean_bench,
    _hob_steps,
    lambda state, conditions: (
        abs(set_off(_set_of(state, conditions))) / follows.number("notices set")
    ),
)
_HOB_CAUSES = {
    "leaf": (
        "How much of this gelatin was soaked",
        "Read what the weighed leaf says of the grade on the box. What was soaked suits it.",
    ),
    "back": (
        "How much water the pan was given back",
        "Take the two weighings of the pan from each other, and hold the water against that.",
    ),
    "warm": (
        "How long the pan was kept warm and open",
        "Look for a bath after the gelatin went in. Steam needs time to leave an open pan.",
    ),
    "boil": (
        "How hot the syrup was when it boiled",
        "A longer boil takes water, and water can be given back. Look what was done about it.",
    ),
}
_HOB_MOMENTS = {
    "soak": (
        "Before the leaves were soaked in water",
        "From there it comes right as well. Ask which later moment still would.",
        "That is the beginning: nothing is later than you chose. Read the log again.",
    ),
    "hob": (
        "Before the pan was put on the hob",
        "What the boil took can be put right after it. Ask how, and when at the latest.",
        "What lay in the bowl was decided by then. Ask when it was weighed out.",
    ),
    "gelatin": (
        "Before the gelatin was put in the pan",
        "Until there nothing was lost for good. Ask what happened to the pan afterwards.",
        "The leaves are weighed and soaked by then. Ask when their mass was chosen.",
    ),
    "warm": (
        "Before the pan was emptied over the chocolate",
        "Ask what is left to do after it, and whether that could mend a set.",
        "All water and gelatin are in the pan by then. Ask when they were weighed.",
    ),
}
_SET = {
    "leaf": "the leaf was weaker than the box says, and no more of it was taken",
    "back": "the water does not match what the two weighings of the pan say it lost",
    "warm": "an open pan in a hot bath lost water all the time",
}


@question(
    "fault-run-hob",
    outcome="gelatin-killers",
    level="decide",
    use="assessed",
    safety=True,
    minutes=7,
)
def run_at_the_hob(draw: Draw) -> Asked:
    """A glaze set far from what it should; the log of the day before says why."""
    name, values = _HOB_OFF[draw.whole("off", 0, len(_HOB_OFF) - 1)]
    off = {name: values[draw.whole("how", 0, 1) % len(values)]}
    other = draw.one_of("other box", (BLOOM, 120.0))
    taken = {
        **HOB,
        "bloom": 120.0 if name == "leaf" else other,
        "boil": draw.one_of("boil", (5.0, 5.5)),
        **off,
    }
    run = told(_HOB, tuple(sorted(taken.items())))
    soft = _set_of(run.end, _hob_kitchen(taken)) < 100
    return Asked(
        asked_of(
            run,
            _HOB_CAUSES,
            _HOB_MOMENTS,
            f"Next day the glaze is far too {'soft' if soft else 'firm'}. Which decision made it so?",
            f"Worked out again with each decision as the method has it, this one moves the set "
            f"most: {_HOB_CAUSES[run.cause][0].lower()}; {_SET[run.cause]}.",
        ),
        stem=f"A classmate has saved the log of a dry run. The formula asks for {LEAF:g} g of gold "
        f"leaf of {BLOOM:g} bloom, and counts on a pan that weighs after its boil what it weighed "
        "before. Pan, thermometer and cold water were looked at beforehand.",
        exhibit=Exhibit(
            "The day before", ("Clock", "Done", "An instrument shows"), log_of(run, _begins(draw))
        ),
    )
