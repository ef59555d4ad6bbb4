"""Questions about gelatin: soaking, heat, acid, time and fresh fruit."""

from __future__ import annotations

from calculators import gelatin
from calculators.units import q, say
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

SCALE = "the bench scale shows 1 g"
FINE_SCALE = "the fine scale shows 0.1 g"


@question("gelatin-care-soak", outcome="gelatin-soak", level="carry out")
def soak(draw: Draw) -> Asked:
    """Soaking water, and what is then left of the formula's water."""
    dry = draw.mass("dry", 10, 22, step=0.5)
    ratio = draw.whole("ratio", 5, 6)
    formula = draw.mass("water", 220, 320, step=10)
    bath = gelatin.soak(dry, q(ratio))
    return Asked(
        [
            QuantityPart(
                f"How much cold water do you soak the gelatin in, at {ratio} times its mass?",
                answer=bath,
                tolerance="1 g",
                because=SCALE,
                wrong_turns=[
                    WrongTurn(
                        "block for water",
                        dry * (1 + ratio),
                        "This is the number you get for gelatin and water together. "
                        "Look again at what is asked.",
                    ),
                    WrongTurn(
                        "divided",
                        dry / ratio,
                        "This is the number you get by dividing. Ask yourself which of the two "
                        "weighs more, the gelatin or its water.",
                    ),
                ],
                working="soaking water = ratio × gelatin",
                worked=f"{ratio} × {say(dry)} = {say(bath, digits=4)}",
            ),
            QuantityPart(
                "The formula includes this water. How much of its water goes into the pan?",
                answer=lambda given: formula - given["a"],
                tolerance="1 g",
                because=SCALE,
                wrong_turns=[
                    WrongTurn(
                        "counted on top",
                        formula,
                        "This is the number you get if the soaking water comes on top. "
                        "Read again: the formula includes it.",
                    ),
                    WrongTurn(
                        "added",
                        formula + bath,
                        "This is the number you get by adding. "
                        "Ask yourself where the soaking water ends up.",
                    ),
                ],
                working="water for the pan = water of the formula − soaking water",
                worked=f"{say(formula)} − {say(bath, digits=4)} = {say(formula - bath, digits=4)}",
            ),
        ],
        stem=f"A glaze has {say(formula)} of water and {say(dry)} of gelatin.",
    )


@question("gelatin-care-weighed", outcome="gelatin-soak", level="carry out")
def weighed(draw: Draw) -> Asked:
    """Leaves soaked in a full bowl bring more water than the formula counts."""
    dry = draw.mass("dry", 12, 20, step=1)
    soaked = dry * draw.one_of("times", (7.5, 8, 8.5, 9, 9.5))
    brought = gelatin.soaked_water(dry, soaked)
    counted = gelatin.soak(dry)
    return Asked(
        [
            QuantityPart(
                "How much water do they bring?",
                answer=brought,
                tolerance="1 g",
                because=SCALE,
                wrong_turns=[
                    WrongTurn(
                        "all of it",
                        soaked,
                        "This is the number you get if soaked leaves were all water. "
                        "Ask yourself what else is on the scale.",
                    ),
                    WrongTurn(
                        "five times",
                        counted,
                        "This is the number you get from the usual ratio. "
                        "These leaves were weighed: use the two weighings.",
                    ),
                ],
                working="water = soaked leaves − dry leaves",
                worked=f"{say(soaked, digits=4)} − {say(dry)} = {say(brought, digits=4)}",
            ),
            QuantityPart(
                f"The formula allows for five times the gelatin, {say(counted)}. "
                "How much water do you take out of the pan to put it right?",
                answer=lambda given: given["a"] - counted,
                tolerance="1 g",
                because=SCALE,
                wrong_turns=[
                    WrongTurn(
                        "all the water they bring",
                        brought,
                        "This is the number you get by taking all of it out. "
                        "Ask yourself how much of it the formula expects.",
                    ),
                    WrongTurn(
                        "leaves left in",
                        soaked - counted,
                        "This is the number you get with the dry leaves counted as water. "
                        "Look again at your first answer.",
                    ),
                ],
                working="too much = water brought − water counted",
                worked=f"{say(brought, digits=4)} − {say(counted, digits=4)} = "
                f"{say(brought - counted, digits=4)}",
            ),
        ],
        stem=f"{say(dry)} of leaves were soaked in a full bowl. "
        f"Squeezed, they weigh {say(soaked, digits=4)}.",
    )


@question("gelatin-care-block", outcome="gelatin-soak", level="carry out", minutes=3)
def block(draw: Draw) -> QuantityPart:
    """A formula says gelatin, and the fridge holds gelatin mass."""
    dry = draw.mass("dry", 9, 21, step=0.5)
    ratio = draw.whole("ratio", 5, 6)
    answer = dry * (1 + ratio)
    return QuantityPart(
        f"A formula asks for {say(dry)} of dry gelatin. The fridge holds a block of gelatin mass: "
        f"one part of gelatin to {ratio} parts of water. How much of the block do you take?",
        answer=answer,
        tolerance="1 g",
        because=SCALE,
        wrong_turns=[
            WrongTurn(
                "water only",
                dry * ratio,
                "This is the number you get for the water alone. "
                "Ask yourself what else is in the block.",
            ),
            WrongTurn(
                "gelatin for block",
                dry,
                "This is the number you get by weighing the formula's grams of block. "
                "Ask yourself how much of the block is gelatin.",
            ),
            WrongTurn(
                "gelatin in that mass of block",
                gelatin.gelatin_in_mass(dry, q(ratio)),
                "This is the number you get for the gelatin in that mass of block. "
                "Read again which way the question goes.",
            ),
        ],
        working="block = gelatin × (1 + ratio)",
        worked=f"{say(dry)} × (1 + {ratio}) = {say(answer, digits=4)}",
    )


_BASES = (
    (
        (88, 90, 92, 94, 96),
        "wait",
        "Above about 80 °C gelatin begins to lose strength.",
    ),
    ((56, 60, 64, 68, 72), "now", "From 50 to 80 °C it dissolves and keeps."),
    ((24, 26, 28, 30, 32), "warm", "Below about 35 °C soaked gelatin doesn't melt."),
)


@question("gelatin-care-hot-base", outcome="gelatin-heat", level="decide", minutes=2)
def hot_base(draw: Draw) -> ChoicePart:
    """A base at some temperature: does the gelatin go in?"""
    heats, right, why = draw.one_of("base", _BASES)
    celsius = draw.one_of("celsius", heats)
    options = {
        "now": (
            "Stir the gelatin in at once",
            "Compare the temperature with both ends of the band.",
        ),
        "wait": (
            "Add the cold ingredients first",
            "Ask yourself whether this base is really too hot.",
        ),
        "warm": (
            "Heat it a little more first",
            "Ask yourself whether this base is really too cold.",
        ),
        "boil": (
            "Boil it up with the gelatin for a moment",
            "Ask yourself what boiling does to the set.",
        ),
    }
    return ChoicePart(
        f"A milk base is at {celsius} °C. Your leaves are soaked, the cakes are in the freezer, "
        "and condensed milk is still to go in. What do you do?",
        one_right(options, right),
        marks=2,
        worked=f"{why} {options[right][0]}.",
    )


_HOT = {
    "try": (
        "Cool a spoonful of it on a plate before you decide",
        "That is for a set that nobody has tried. Look at the last line.",
    ),
    "use": (
        "Cool it to the window and use it as it is",
        "That is for a set that held up. Compare the last line with last week's.",
    ),
    "more": (
        "Stir in more soaked gelatin, weighed by the square root",
        "That is for a set that has suffered. Look at what the spoonful did.",
    ),
    "waste": (
        "Throw it away: above 80 °C its gelatin stops setting for good",
        "Strength falls along a slope, not off a cliff. Ask how you could see what is left.",
    ),
}


@question("gelatin-care-was-too-hot", outcome="gelatin-heat", level="decide", minutes=3)
def was_too_hot(draw: Draw) -> Asked:
    """The gelatin went in too hot: what now?"""
    case = draw.one_of("case", ("try", "use", "more"))
    celsius = draw.one_of("celsius", (88, 90, 92))
    minutes = draw.one_of("minutes", (30, 40, 50) if case == "more" else (5, 8, 10))
    spoonful = {
        "try": "not tried",
        "use": "firm after 5 min; last week's took 5 min too",
        "more": "soft after 15 min; last week's was firm after 5 min",
    }[case]
    return Asked(
        [
            ChoicePart(
                "What do you do with it now?",
                one_right(_HOT, case),
                marks=2,
                worked={
                    "try": "A few minutes in a base that is not sour cost little, and nobody knows "
                    "how much. ",
                    "use": "A few minutes in a base that is not sour cost little, and the spoonful "
                    "shows it. ",
                    "more": "So long at that heat took a good part of the strength, and the "
                    "spoonful shows it. ",
                }[case]
                + f"{_HOT[case][0]}.",
            )
        ],
        exhibit=Exhibit(
            "From the log",
            ("Line", "Written down"),
            [
                ("Base", "milk, not sour"),
                ("Gelatin went in at", f"{celsius} °C"),
                ("Stayed at that heat for", f"{minutes} min"),
                ("Then", "off the heat"),
                ("A spoonful on a cold plate", spoonful),
            ],
        ),
    )


_KILLERS = {
    "heat": "Hours of great heat",
    "acid": "Heat and acid together",
    "fruit": "The enzyme of fresh fruit",
    "water": "Too much water: the soaking water was not counted",
}


@question("gelatin-care-four-bowls", outcome="gelatin-killers", level="decide", minutes=4)
def four_bowls(draw: Draw) -> Asked:
    """Four bowls and their log: what killed the set of one of them?"""
    killer = draw.one_of("killer", tuple(_KILLERS))
    hours = draw.one_of("hours", (3, 4, 5))
    fruit = draw.one_of("fruit", ("pineapple", "kiwi", "papaya"))
    bowls = dict(zip(_KILLERS, draw.shuffled("bowls", "1234"), strict=True))
    lines = {
        "heat": ("milk", "none", f"{hours} h at 90 °C", "all counted"),
        "acid": ("lemon, from the start", "none", "40 min at 85 °C", "all counted"),
        "fruit": ("milk", f"{fruit}, raw", "5 min at 60 °C", "all counted"),
        "water": ("milk", f"{fruit}, canned", "5 min at 60 °C", "110 g not counted"),
    }
    rows = sorted((bowls[name], *line) for name, line in lines.items())
    return Asked(
        [
            ChoicePart(
                f"None of the four bowls set well. What is the most likely cause in bowl "
                f"{bowls[killer]}?",
                one_right(
                    _KILLERS,
                    killer,
                    {
                        "heat": "Look at how hot this bowl was, and for how long.",
                        "acid": "Look at when this bowl became sour, and how hot it was then.",
                        "fruit": "Look at whether the fruit of this bowl was ever heated.",
                        "water": "Look at what became of the soaking water of this bowl.",
                    },
                ),
                marks=2,
                worked=f"Bowl {bowls[killer]}: base {lines[killer][0]}; fruit {lines[killer][1]}; "
                f"in the heat {lines[killer][2]}; soaking water {lines[killer][3]}. "
                f"{_KILLERS[killer]}.",
            )
        ],
        exhibit=Exhibit(
            "Four bowls, the same gelatin in each",
            ("Bowl", "Base", "Fruit", "In the heat", "Soaking water"),
            rows,
        ),
    )


@question("gelatin-care-half-lives", outcome="gelatin-killers", level="carry out")
def half_lives(draw: Draw) -> QuantityPart:
    """How much of an enzyme is left after some half-lives."""
    life = draw.one_of("life", (4, 5, 6))
    count = draw.whole("count", 3, 5)
    minutes = life * count
    answer = q(100 * 0.5**count, "percent")
    steps = " -> ".join(
        ["100 %", *(say(q(100 * 0.5**n, "percent"), digits=4) for n in range(1, count + 1))]
    )
    return QuantityPart(
        f"At one temperature the enzyme of a fresh juice has a half-life of {life} min. The juice "
        f"is kept there for {minutes} min. What share of the enzyme still cuts gelatin?",
        answer=answer,
        tolerance="3 % of the answer",
        because="halving is exact; rounding on the way is allowed",
        wrong_turns=[
            WrongTurn(
                "half divided by the count",
                q(100 / (2 * count), "percent"),
                "This is the number you get by dividing a half by the number of half-lives. "
                "Write it down step by step: what is left after each half-life?",
            ),
            WrongTurn(
                "one half-life too few",
                q(100 * 0.5 ** (count - 1), "percent"),
                "This is the number you get after one half-life less. Count the halvings again.",
            ),
            WrongTurn(
                "what is gone",
                q(100 - 100 * 0.5**count, "percent"),
                "This is the number you get for what is destroyed. "
                "Read again which of the two is asked for.",
            ),
        ],
        working="left = (1/2)^(time / half-life)",
        worked=f"{minutes} min / {life} min = {count} half-lives\n{steps}",
    )


@question("gelatin-care-fruit", outcome="gelatin-killers", level="decide", minutes=2)
def fruit(draw: Draw) -> ChoicesPart:
    """Which of these may go into a gelatin set?"""
    name = draw.one_of("fruit", ("pineapple", "papaya", "kiwi"))
    return ChoicesPart(
        f"A guest wants {name} in a gelatin jelly. With which of these will it set? "
        "Choose all that apply.",
        [
            Option(f"Canned {name}, in pieces", right=True),
            Option(f"Raw {name}, boiled for two minutes", right=True),
            Option(
                f"Frozen {name}, thawed",
                says="Ask yourself whether cold destroys an enzyme or only slows it.",
            ),
            Option(
                f"Raw {name}, with twice the gelatin that is usual",
                says="Ask yourself what the enzyme does to the second half.",
            ),
            Option(
                f"Raw {name}, warmed to 40 °C",
                says="Look again at how the half-life changes with heat.",
            ),
        ],
        marks=2,
        worked="Boiling destroys the enzyme, and canned fruit was boiled. "
        "Cold, gentle warmth and more gelatin leave it at work.",
    )


@question("gelatin-care-order", outcome="gelatin-heat", level="carry out", safety=True, minutes=3)
def order(draw: Draw) -> OrderPart:
    """Soak, cool, add, sour: in which order?"""
    acid = draw.one_of("acid", ("lemon juice", "passion fruit juice"))
    return OrderPart(
        f"Put the steps of a gelatin glaze with {acid} in order.",
        [
            "Soak the gelatin in weighed cold water",
            "Boil sugar, glucose syrup and the rest of the water",
            "Take the pan off and let the base cool below 80 °C",
            "Stir the soaked gelatin in until no streak is left",
            f"Stir in the {acid} when the base has cooled further",
            "Lay film on the surface, label it and chill it",
        ],
        says="Ask yourself what each step needs to be ready, and which two things gelatin can't bear "
        "together.",
        worked="Gelatin goes into a base below 80 °C, and the acid comes last and cool.",
    )


@question("gelatin-care-plant", outcome="gelatin-killers", level="decide", minutes=2)
def plant(draw: Draw) -> ChoicePart:
    """A plant-based set is another technique."""
    grams = draw.mass("grams", 10, 20, step=2)
    agent = draw.one_of("agent", ("agar", "pectin"))
    return ChoicePart(
        f"A mirror glaze with {say(grams)} of gelatin is to be made without animals. "
        f"Somebody suggests {say(grams)} of {agent} instead. What do you say?",
        [
            Option(
                f"Look for a recipe that was written for {agent}",
                right=True,
            ),
            Option(
                f"Boil the {agent} for a minute or two first, then take {say(grams)}",
                says="Boiling it is right, the mass is a guess. "
                "Ask yourself whether it can be poured at the same heat as gelatin.",
            ),
            Option(
                f"Take what the square root says for the bloom of {agent}",
                says="Bloom is measured for gelatin. Ask yourself what the maker's sheet gives.",
            ),
            Option(
                "Stir in half of that like gelatin at 60 °C",
                says="Ask yourself at what heat it dissolves.",
            ),
        ],
        worked="Agar and pectin are other techniques: they dissolve, set and melt at other "
        "temperatures, and have a different bite. No ratio holds; a formula made for it, and a "
        "trial, do.",
    )


@question("gelatin-care-soak-cold", outcome="gelatin-soak", level="recall", minutes=1)
def soak_cold(draw: Draw) -> ChoicePart:
    """Why soaking is done cold."""
    celsius = draw.one_of("celsius", (40, 45, 50))
    return ChoicePart(
        f"To save time, somebody soaks leaves in a bowl of water at {celsius} °C and pours the "
        "water off. What happens?",
        [
            Option("Some gelatin goes down the sink", right=True),
            Option(
                "They only soften faster",
                says="They do. Ask yourself what else gelatin does in warm water.",
            ),
            Option(
                "Their strength is lost for good, however short the soak was",
                says="That takes more heat and more time. Ask yourself where some of the gelatin is now.",
            ),
            Option(
                "Each leaf stays as hard as it was",
                says="They do swell. Ask yourself whether all of each leaf stays in one piece.",
            ),
        ],
        worked="Warm water dissolves gelatin, and what has dissolved is poured away. Soak cold.",
    )
