"""Questions of Kitchen first: what can hurt, who decides, and the cooling log."""

from __future__ import annotations

from calculators import cooling, formula, safety
from calculators.cooling import cooling_log
from calculators.kitchen import Line
from calculators.units import Quantity, q, say
from exercises.questions.draws import Draw
from exercises.questions.parts import (
    Asked,
    ChoicePart,
    ChoicesPart,
    Exhibit,
    Option,
    OrderPart,
    QuantityPart,
    WrongTurn,
    one_right,
)
from exercises.questions.registry import question

_LAST = safety.LAST_WORD


def _log(title: str, rows: list[tuple[Quantity, float]], note: tuple[str, ...] = ()) -> Exhibit:
    lines = [(say(t), say(q(x, "degC"))) for t, x in rows]
    return Exhibit(title, ("after", "temperature"), [*lines, *([note] if note else [])])


# --- what can hurt? -----------------------------------------------------------------


_WORN = {
    "sleeve": (
        "soaks the sleeve",
        "",
        "The soaked sleeve comes off, except where it sticks to the skin",
    ),
    "watch": (
        "runs over the wrist",
        ", watch and all",
        "The watch comes off; syrup that sticks stays on",
    ),
    "ring": (
        "runs over the ring finger",
        ", ring and all",
        "The ring comes off, before the finger swells",
    ),
}


@question(
    "kitchen-burn-in-order",
    outcome="kitchen-hazards",
    level="decide",
    safety=True,
    minutes=2,
)
def burn_in_order(draw: Draw) -> Asked:
    """Hot sugar on the skin, and something worn there: what first, what next?"""
    hot = draw.temperature("hot", 112, 121)
    place, worn, off = _WORN[draw.one_of("worn", tuple(_WORN))]
    return Asked(
        [
            OrderPart(
                "Put what happens next into order.",
                [
                    "The pan goes down, and both step away from the hob",
                    off,
                    "Cool running water goes over the burn",
                    "While the water runs, somebody goes for help",
                    "The tap is closed after 20 minutes",
                    "The first aider decides what comes next",
                ],
                says="Ask yourself what stops the burning, and how soon after the pan is "
                "safe it can begin.",
                worked=f"Pan down. {off}. Water at once, help while it runs, 20 minutes in all, then "
                f"the first aider. No ice, no butter, and nothing that sticks is peeled off. {_LAST}",
                safety=True,
            )
        ],
        stem=f"Syrup at {say(hot)} {place} of the student beside you{worn}.",
    )


@question(
    "kitchen-sugar-or-water",
    outcome="kitchen-hazards",
    level="recall",
    safety=True,
    minutes=1,
)
def sugar_or_water(draw: Draw) -> ChoicePart:
    """Why boiling sugar does more harm than boiling water."""
    hot = draw.temperature("hot", 110, 125)
    return ChoicePart(
        f"A drop of syrup at {say(hot)} touches one hand, and a drop of boiling water "
        "touches another. Why does the syrup do more harm?",
        [
            Option("It is hotter, and it stays where it lands", right=True),
            Option(
                "It is sour, and it eats its way into the skin",
                says="Sugar is not an acid. Ask what water does on the skin that syrup doesn't.",
            ),
            Option(
                "It is heavier, and it lands much harder",
                says="A drop is light, whatever it is made of. Ask what it does after it has landed.",
            ),
            Option(
                "It is drier, and it draws moisture out of the skin",
                says="It does its harm in seconds, by heat. Ask how long that heat stays there.",
            ),
        ],
        worked="Water runs off and cools as it goes. Syrup is hotter, and it sticks: all of its heat "
        f"goes into one place. {_LAST}",
        safety=True,
    )


_BAD = (
    "The lead of the blender lies across a puddle",
    "The jug under the blender is full to the rim",
    "A pot handle sticks out over the edge",
    "The bowl for cold water is empty",
    "There is syrup on the floor",
)
_GOOD = {
    "The blender is unplugged while its head is being cleaned": "Without its plug the blade can't "
    "start. Look for something that can go wrong.",
    "Dry gloves lie at the freezer": "They keep skin off cold metal. Look for something that is "
    "missing, or in the way.",
    "A tray stands under the glazing rack": "It keeps glaze off the floor. Look for something that "
    "is missing, or in the way.",
    "The jug is half full and the blade well covered": "So it throws no glaze and draws no air. "
    "Look for a jug that would.",
}


@question(
    "kitchen-before-start",
    outcome="kitchen-hazards",
    level="decide",
    safety=True,
    minutes=2,
)
def before_start(draw: Draw) -> Asked:
    """A bench before the start: what must be put right?"""
    bad = draw.shuffled("bad", _BAD)[:3]
    good = draw.shuffled("good", tuple(_GOOD))[:3]
    return Asked(
        [
            ChoicesPart(
                "What must be put right before work begins? Choose all that apply.",
                [Option(text, right=True) for text in bad]
                + [Option(text, says=_GOOD[text]) for text in good],
                marks=3,
                worked="Put right: " + "; ".join(t[0].lower() + t[1:] for t in bad) + ". "
                f"Work begins when that is done. {_LAST}",
                safety=True,
            )
        ],
        stem="It is early, you are the first one in, and no machine is running. You look around.",
    )


# --- who decides? ---------------------------------------------------------------------


@question(
    "kitchen-order-list",
    outcome="kitchen-law",
    level="decide",
    safety=True,
    minutes=3,
)
def order_list(draw: Draw) -> Asked:
    """A colour on the order list, with what is known of the law: yes, no or ask?"""
    region = draw.one_of("region", ("EU", "NI", "GB", "US", "Gulf"))
    colour = draw.one_of("colour", ("titanium white", "carmine", "lustre powder"))
    permission = safety.allowed(colour, region)
    options = {
        "no": (
            "Strike it off the list",
            "That is for a colour that a note forbids. Look for that word in the note.",
        ),
        "yes": (
            "Order it, and keep to the largest dose that is allowed",
            "That needs a rule that somebody has read and that says yes. Look at how "
            "the note is known.",
        ),
        "ask": (
            "Order nothing yet, and ask the supervisor or the authority",
            "That is for a note that is from memory, unclear, or leaves it to the label. "
            "Look at how this one is known.",
        ),
        "abroad": (
            "Order it, because the formula was poured abroad without trouble",
            "Another kitchen has another law. Look at the region of this one.",
        ),
    }
    return Asked(
        [
            ChoicePart(
                "What do you do with this line of the order list?",
                one_right(options, permission.answer),
                marks=2,
                worked=f"The answer for {safety.REGIONS[region]} is {permission.answer}. "
                f"{options[permission.answer][0]}. {_LAST}",
                safety=True,
            )
        ],
        stem=f"A formula from abroad asks for {colour}. Suppose your kitchen is in "
        f"{safety.REGIONS[region]}.",
        exhibit=Exhibit(
            "What this course knows of the law",
            ("note", "how it is known"),
            [(n.text, n.known) for n in permission.notes],
        ),
    )


@question(
    "kitchen-white-limit",
    outcome="kitchen-law",
    level="carry out",
    safety=True,
    minutes=4,
)
def white_limit(draw: Draw) -> Asked:
    """A largest dose by law and a smaller one on the label."""
    glaze = draw.mass("glaze", 1100, 2400, 100)
    dose = draw.quantity("dose", 4, 8, 1, "g/kg")
    limit = safety.allowed("titanium white", "US").notes[0].limit
    law, label = (limit * glaze).to("g"), (dose * glaze).to("g")
    return Asked(
        [
            QuantityPart(
                f"The law allows at most {say(limit)} of the food. How much white is that "
                f"in {say(glaze, digits=4)} of glaze?",
                answer=law,
                tolerance="0.1 g",
                because="the fine scale shows 0.1 g",
                wrong_turns=[
                    WrongTurn(
                        "ten per cent",
                        law * 10,
                        "This is the number you get for ten per cent. Ask yourself how many "
                        "grams are one in a hundred.",
                    ),
                    WrongTurn(
                        "one gram per kilogram",
                        law / 10,
                        "This is the number you get with one gram in a kilogram. Ask "
                        "yourself how many grams a per cent of a kilogram is.",
                    ),
                ],
                working="white = limit × glaze",
                worked=f"{say(limit)} of {say(glaze, digits=4)} = {say(law, digits=4)}",
                safety=True,
            ),
            QuantityPart(
                f"The label of the jar gives {say(dose)} as the largest dose. What is the most "
                "that you may weigh in?",
                answer=label,
                tolerance="0.1 g",
                because="the fine scale shows 0.1 g",
                wrong_turns=[
                    WrongTurn(
                        "the law alone",
                        law,
                        "This is the number you get from the law alone. Compare the two "
                        "limits, and ask which one is stricter.",
                    ),
                    WrongTurn(
                        "both together",
                        law + label,
                        "This is the number you get by adding the two limits. Ask yourself "
                        "whether both must be kept.",
                    ),
                ],
                working="the smaller of limit × glaze and dose × glaze",
                worked=f"{say(dose)} of {say(glaze, digits=4)}, which is stricter than the "
                f"law: {say(label, digits=4)}",
                safety=True,
            ),
        ],
        stem=f"Suppose your kitchen is in {safety.REGIONS['US']}, where titanium white is permitted "
        "within a limit.",
    )


@question("kitchen-allergens", outcome="kitchen-law", level="decide", safety=True, minutes=3)
def allergens(draw: Draw) -> Asked:
    """A formula: which allergens are in it for certain?"""
    setting = draw.one_of("gelatin", ("gelatin, fish", "gelatin leaf"))
    dairy = draw.one_of("dairy", ("condensed milk, sweetened", "milk"))
    gelatin = draw.mass("gelatin mass", 12, 20)
    lines = [
        Line("water", q(150, "g")),
        Line("sugar", q(300, "g")),
        Line(dairy, q(200, "g")),
        Line("white chocolate", q(300, "g")),
        Line(setting, gelatin),
    ]
    made = formula.Formula("glaze", tuple(lines))
    certain = {h.allergen: h.ingredients for h in formula.allergens(made) if h.certain}
    shown = ("milk", "soya", "fish", "gluten", "sesame", "sulphites")
    words = safety.allergens()
    return Asked(
        [
            ChoicesPart(
                "Which of these are certainly in the glaze, so that they must be declared in the "
                "European Union? Choose all that apply.",
                [
                    Option(
                        words[name].words,
                        name in certain,
                        "" if name in certain else _NOT_IN_IT[name],
                    )
                    for name in shown
                ],
                marks=3,
                worked="; ".join(
                    f"{words[name].words}: {' and '.join(map(_as_said, who))}"
                    for name, who in certain.items()
                )
                + f". The label of each tub can add more. {_LAST}",
                safety=True,
            )
        ],
        exhibit=Exhibit(
            "The glaze, and the labels in your hand",
            ("ingredient", "mass", "its label says"),
            [(line.ingredient, say(line.mass), _LABELS.get(line.ingredient, "")) for line in lines],
        ),
    )


_NOT_IN_IT = {
    "milk": "Look for dairy on the labels of all five ingredients. Is there any?",
    "soya": "Look for lecithin on the labels of all five ingredients. What is it made from?",
    "fish": "Look at the last label: which animal does this gelatin come from?",
    "gluten": "Look for wheat, rye, barley or oats on the labels of all five ingredients.",
    "sesame": "Look for seeds on the labels of all five ingredients. Is there any?",
    "sulphites": "Look for a preservative on the labels of all five ingredients. Is there any?",
}


def _as_said(name: str) -> str:
    """Return an ingredient without the comma of its name: milk (whole)."""
    head, _, kind = name.partition(", ")
    return f"{head} ({kind})" if kind else head


_LABELS = {
    "white chocolate": "cocoa butter, sugar, milk powder, soya lecithin",
    "condensed milk, sweetened": "whole milk, sugar",
    "milk": "whole milk",
    "gelatin, fish": "gelatin from fish skin",
    "gelatin leaf": "gelatin from pig skin",
}


_ANSWERS = {
    "gone": (
        "I can't tell you, so this one is not for you today",
        "That is for a tub of which nobody knows what is in it. What do you know of this one?",
    ),
    "named": (
        "It has that in it, so please choose another cake",
        "That is for a label that lists it. Read this one to the end.",
    ),
    "traces": (
        "There may be traces, so this one is not for you",
        "That is for a label that warns of traces. Read this one to the end.",
    ),
    "safe": (
        "Nobody put any in, so you can at least try a small piece of it",
        "A tub can hold what nobody put in, and a crumb can be enough. Ask what you really know.",
    ),
}


@question(
    "kitchen-guest-asks",
    outcome="kitchen-law",
    level="decide",
    safety=True,
    minutes=2,
)
def guest_asks(draw: Draw) -> ChoicePart:
    """A guest asks, and you are alone with a tub: what do you say?"""
    case = draw.one_of("case", ("gone", "named", "traces"))
    about = draw.one_of("about", ("hazelnuts", "soya", "wheat", "sesame"))
    tub = draw.one_of("tub", ("white coating", "praline", "crunchy pieces"))
    label = {
        "gone": "has lost its label",
        "named": f"says 'sugar, cocoa butter, {about}, salt'",
        "traces": f"says 'sugar, cocoa butter, salt; made in a factory that handles {about}'",
    }[case]
    return ChoicePart(
        f"A guest with an allergy asks about {about} in a cake. The tub of {tub} that went into it "
        f"{label}. The supervisor is out. What is your answer?",
        one_right(_ANSWERS, case),
        worked={
            "gone": "What nobody has read, nobody knows. In doubt, ask; with nobody to ask, stop. ",
            "named": "The label lists it. ",
            "traces": "The label warns of it, and a trace can be enough. ",
        }[case]
        + _LAST,
        safety=True,
    )


# --- the cooling log ---------------------------------------------------------------------


@question(
    "kitchen-log-judge",
    outcome="kitchen-cooling",
    level="decide",
    safety=True,
    minutes=4,
)
def log_judge(draw: Draw) -> Asked:
    """A cooling log against a rule of two steps."""
    case = draw.one_of("case", ("kept", "first", "second"))
    slow = case == "first"
    at21 = draw.duration("at21", 160 if slow else 90, 220 if slow else 130, 10)
    late = case == "second"
    at5 = draw.duration("at5", 400 if late else 260, 480 if late else 360, 10)
    rows = [(q(0, "min"), 82.0), (q(20, "min"), 57.0), (at21, 21.0), (at5, 5.0)]
    judged = cooling_log.judge([(t, q(x, "degC")) for t, x in rows], "US")
    first, second = judged.steps
    found = {
        ("kept", "kept"): "kept",
        ("broken", "kept"): "first",
        ("kept", "broken"): "second",
    }[first.answer, second.answer]
    options = {
        "kept": "Both steps are in time: cover, label and date it, and show the log",
        "first": "The first step took too long: out of use, and tell the supervisor",
        "second": "Only the second step took too long: out of use, and tell the supervisor",
        "more": "It is still warm inside: leave it on the bench until it is cold",
    }
    took = [say(one.took) for one in judged.steps]
    return Asked(
        [
            ChoicePart(
                "What do you do with it?",
                one_right(
                    options,
                    found,
                    {
                        "kept": "Run the clock for each step by itself, from the row at 57 °C on. "
                        "Is each of them short enough?",
                        "first": "Run the clock from 57 °C to 21 °C. Is it longer than the rule "
                        "gives?",
                        "second": "Run the clock from 57 °C down to 5 °C. Is it longer than the "
                        "rule gives?",
                        "more": "Read the last row: is there any heat left in it?",
                    },
                ),
                marks=2,
                worked=f"From 57 °C to 21 °C it took {took[0]} of the 120 min allowed. To 5 °C "
                f"it took {took[1]} in all of the 360 min allowed. {options[found]}. {_LAST}",
                safety=True,
            )
        ],
        stem="Suppose this is your rule: from 57 °C to 21 °C within 2 hours, and from 57 °C to 5 °C "
        "within 6 hours in all.",
        exhibit=_log("A milk base off the hob", rows),
    )


@question(
    "kitchen-log-warm",
    outcome="kitchen-cooling",
    level="carry out",
    safety=True,
    minutes=6,
)
def log_warm(draw: Draw) -> Asked:
    """How long was it lukewarm, today and tomorrow together?"""
    passed = draw.duration("passed", 20, 60, 20)
    cold = draw.duration("cold", 150, 290, 10)
    pour = draw.duration("pour", 25, 55, 10)
    low, high, most = q(8, "degC"), q(63, "degC"), q(240, "min")
    last = cold + q(60, "min")
    rows = [(q(0, "min"), 75.0), (passed, 51.0), (cold, 8.0), (last, 4.0)]
    log = [(t, q(x, "degC")) for t, x in rows]
    warm = cooling.time_out_of_temperature(log, low, high)
    both = warm + pour
    keep = both <= most
    options = (
        (
            "Yes, it is within the rule: note both times and show the log",
            True,
        ),
        ("No, it is beyond the rule: put it out of use", False),
    )
    return Asked(
        [
            QuantityPart(
                f"How long was the base below {say(high)} and above {say(low)} on the first "
                "day? Assume that it falls evenly between two rows.",
                answer=warm,
                tolerance="3 min",
                because="the clock of the log is read to a few minutes",
                unit="min",
                wrong_turns=[
                    WrongTurn(
                        "from the hob on",
                        cold,
                        "This is the number you get with the clock running from the first row. "
                        "Look again at when the base cooled below the upper limit.",
                    ),
                    WrongTurn(
                        "from the second row",
                        cold - passed,
                        "This is the number you get with the clock running from the second "
                        "row. It was below the limit before that: when?",
                    ),
                    WrongTurn(
                        "to the last row",
                        last - passed / 2,
                        "This is the number you get with the clock running to the last row. "
                        "Ask yourself when the lower limit was reached.",
                    ),
                ],
                working="time = end of lukewarm − start of lukewarm",
                worked=f"It passes {say(high)} halfway to the second row, after "
                f"{say(passed / 2)}, and {say(low)} after {say(cold)}: "
                f"{say(warm, 'min', digits=4)}",
            ),
            QuantityPart(
                f"On the next day it is lukewarm for {say(pour)} at the pour. How long is "
                "that in all?",
                answer=lambda given: given["a"] + pour,
                tolerance="3 min",
                because="the clock of the log is read to a few minutes",
                unit="min",
                wrong_turns=[
                    WrongTurn(
                        "the first day only",
                        warm,
                        "This is the number you get for the first day alone. "
                        "Ask whether the clock starts again in the morning.",
                    ),
                    WrongTurn(
                        "one minus the other",
                        warm - pour,
                        "This is the number you get by taking one time from the other. "
                        "Ask whether a night in the fridge takes minutes away.",
                    ),
                ],
                working="in all = first day + second day",
                worked=f"{say(warm, 'min')} + {say(pour)} = {say(both, 'min', digits=4)}",
            ),
            ChoicePart(
                f"Suppose your rule allows a base {say(most)} in all. May it still be poured?",
                one_right(
                    {yes: text for text, yes in options},
                    keep,
                    "Add up both days, and compare the total with the rule.",
                ),
                worked=f"{say(both, 'min')} in all, and {say(most)} are allowed. {_LAST}",
                safety=True,
            ),
        ],
        exhibit=_log("First day", rows),
    )


_GAPS = {
    "warm": (
        "Throw it out and report the gap",
        "That is for a gap in which it may have been lukewarm. How cold was it before the gap?",
    ),
    "cold": (
        "Keep it and note the gap beside the readings",
        "That is for a gap before which, and after which, it was as cold as it should be.",
    ),
    "hot": (
        "Keep it and time the cooling from the first reading after the gap",
        "That is for a gap before which, and after which, it was too hot for anything to grow.",
    ),
    "taste": (
        "Boil it up, taste it and keep it if there is nothing wrong with it",
        "You can't taste what grew in the warm, and boiling leaves some of its poisons behind. "
        "Look at what the log can prove.",
    ),
}


@question(
    "kitchen-gap-in-the-log",
    outcome="kitchen-cooling",
    level="decide",
    safety=True,
    minutes=3,
)
def gap_in_the_log(draw: Draw) -> Asked:
    """A log with a gap in it: what can have happened there?"""
    case = draw.one_of("case", ("warm", "cold", "hot"))
    gap = draw.duration("gap", 100, 160, 10)
    last = draw.whole("last", 44, 56)
    high = draw.whole("high", 78, 84)
    times, heats = {
        "warm": ((0, 20, 60), (high, 66, last)),
        "cold": ((0, 30, 80, 130), (high, 40, 12, 4)),
        "hot": ((0, 20), (high + 8, high)),
    }[case]
    after = {"warm": (4, 4), "cold": (4, 4), "hot": (69, 41)}[case]
    end = times[-1] + int(gap.m)
    rows = [*zip(times, heats, strict=True), (end, after[0]), (end + 20, after[1])]
    place = {
        "warm": "left on the bench, then put into the fridge",
        "cold": "in an ice bath, then in the fridge",
        "hot": "kept hot on the hob, then put into an ice bath",
    }[case]
    return Asked(
        [
            ChoicePart(
                f"For {say(gap)} nobody read the thermometer. What do you do with the base?",
                one_right(_GAPS, case),
                marks=2,
                worked={
                    "warm": "It may have been lukewarm for the whole gap, and nobody can say "
                    "otherwise. In doubt, throw it out. ",
                    "cold": "It was cold before the gap and cold after it, in a fridge. ",
                    "hot": "It was above 63 °C before the gap and after it: what grows in food doesn't "
                    "grow there. The clock of the cooling starts afterwards. ",
                }[case]
                + _LAST,
                safety=True,
            )
        ],
        stem=f"A cream base was {place}. Suppose your rule counts the time below 63 °C and above "
        "8 °C.",
        exhibit=Exhibit(
            "Its cooling log",
            ("after", "temperature"),
            [(f"{t} min", f"{x} °C") for t, x in rows],
        ),
    )


@question(
    "kitchen-whose-rule",
    outcome="kitchen-cooling",
    level="recall",
    safety=True,
    minutes=2,
)
def whose_rule(draw: Draw) -> ChoicePart:
    """Which kind of rule on cooling holds in this region?"""
    region = draw.one_of("region", ("EU", "GB", "US", "Gulf"))
    right = {"EU": "quick", "GB": "quick", "US": "times", "Gulf": "ask"}[region]
    options = {
        "quick": "The law says quickly: a written plan sets times",
        "times": "The law sets figures: hours for each of two steps",
        "ask": "Your authority sets figures: ask for them",
        "none": "Habit: it is fine as long as it ends up in a fridge",
    }
    steps = safety.legal_note("cooling", region)[:2]
    dated = f"The note of {steps[0].dated}: " if steps[0].dated else ""
    return ChoicePart(
        f"Suppose your kitchen goes by the law of {safety.REGIONS[region]}. As far as this course knows, "
        "what decides how fast a base must cool?",
        one_right(
            options,
            right,
            {
                "quick": "This is how the note for another region reads. Does the law here leave "
                "the times to you?",
                "times": "This is how the note for another region reads. Does the law here give "
                "hours?",
                "ask": "This is how the note for another region reads. Who sets the figures here?",
                "none": "How long it was lukewarm counts, too. Ask who sets the times here.",
            },
        ),
        worked=f"{dated}{' '.join(note.text for note in steps)} {_LAST}",
        safety=True,
    )
