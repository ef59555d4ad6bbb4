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
                        "is the greater, the gelatin or its water.",
                    ),
                ],
                working="soaking water = ratio x gelatin",
                worked=f"{ratio} x {say(dry)} = {say(bath, digits=4)}",
            ),
            QuantityPart(
                "The formula counts this water. How much of its water goes into the pan?",
                answer=lambda given: formula - given["a"],
                tolerance="1 g",
                because=SCALE,
                wrong_turns=[
                    WrongTurn(
                        "counted on top",
                        formula,
                        "This is the number you get if the soaking water comes on top. "
                        "Read again: the formula counts it.",
                    ),
                    WrongTurn(
                        "added",
                        formula + bath,
                        "This is the number you get by adding. "
                        "Ask yourself where the soaking water ends up.",
                    ),
                ],
                working="water for the pan = water of the formula - soaking water",
                worked=f"{say(formula)} - {say(bath, digits=4)} = {say(formula - bath, digits=4)}",
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
                        "You have weighed it: use your own two weighings.",
                    ),
                ],
                working="water = soaked leaves - dry leaves",
                worked=f"{say(soaked, digits=4)} - {say(dry)} = {say(brought, digits=4)}",
            ),
            QuantityPart(
                f"The formula counts five times the gelatin, {say(counted)}. "
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
                working="too much = water brought - water counted",
                worked=f"{say(brought, digits=4)} - {say(counted, digits=4)} = "
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
        f"A formula asks for {say(dry)} of dry gelatin. In the fridge is gelatin mass, made of "
        f"one part of gelatin and {ratio} parts of water. What do you weigh off the block?",
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
                "Ask yourself how much of a block is gelatin.",
            ),
            WrongTurn(
                "gelatin in so much block",
                gelatin.gelatin_in_mass(dry, q(ratio)),
                "This is the number you get for the gelatin in that mass of block. "
                "Read again which way the question goes.",
            ),
        ],
        working="block = gelatin x (1 + ratio)",
        worked=f"{say(dry)} x (1 + {ratio}) = {say(answer, digits=4)}",
    )


_BASES = (
    (
        (88, 90, 92, 94, 96),
        "wait",
        "Above about 80 °C gelatin begins to lose strength.",
    ),
    ((56, 60, 64, 68, 72), "now", "From 50 to 80 °C it dissolves and keeps."),
    ((24, 26, 28, 30, 32), "warm", "Below about 35 °C soaked gelatin does not melt."),
)


@question("gelatin-care-hot-base", outcome="gelatin-heat", level="decide", minutes=2)
def hot_base(draw: Draw) -> ChoicePart:
    """A base at some temperature: does the gelatin go in?"""
    heats, right, why = draw.one_of("base", _BASES)
    celsius = draw.one_of("celsius", heats)
    options = {
        "now": (
            "Stir the soaked gelatin in now",
            "Hold the temperature against both ends of the band.",
        ),
        "wait": (
            "Stir the cold ingredients in first, read again, then add the gelatin",
            "Ask yourself whether this base is too hot at all.",
        ),
        "warm": (
            "Warm the base first, then add the gelatin",
            "Ask yourself whether this base is too cold at all.",
        ),
        "boil": (
            "Boil base and gelatin together once, to be safe",
            "Ask yourself what boiling does to the set.",
        ),
    }
    return ChoicePart(
        f"A milk base stands at {celsius} °C. The soaked gelatin is ready, and the cakes are "
        "waiting in the freezer. What do you do?",
        one_right(options, right),
        marks=2,
        worked=f"{why} {options[right][0]}.",
    )


@question("gelatin-care-went-in-hot", outcome="gelatin-heat", level="decide", minutes=3)
def went_in_hot(draw: Draw) -> Asked:
    """The gelatin went in too hot: what now?"""
    celsius = draw.one_of("celsius", (88, 90, 92))
    minutes = draw.one_of("minutes", (5, 8, 10))
    return Asked(
        [
            ChoicePart(
                "What do you do with it?",
                [
                    Option(
                        "Cool it, set a spoonful on a cold plate, and then decide",
                        right=True,
                    ),
                    Option(
                        "Throw it away: above 80 °C gelatin is dead",
                        says="It is a slope and not a cliff. "
                        "Ask yourself how you could see what is left.",
                    ),
                    Option(
                        "Stir in the same amount of gelatin again",
                        says="Some of the strength is left, and twice the gelatin is about four "
                        "times as firm. Ask yourself how you could see what is left.",
                    ),
                    Option(
                        "Keep it hot, so that it stays liquid until tomorrow",
                        says="Time in the heat takes more. Look again at the three things that "
                        "add up.",
                    ),
                ],
                marks=2,
                worked="A few minutes in a base that is not sour cost little. A spoonful on a "
                "cold plate shows what is left; more gelatin follows by the square root.",
            )
        ],
        exhibit=Exhibit(
            "From the log",
            ("Line", "Written down"),
            [
                ("Base", "milk, not sour"),
                ("Gelatin went in at", f"{celsius} °C"),
                ("Stood at that heat", f"{minutes} min"),
                ("Then", "still in the pan, on the bench"),
            ],
        ),
    )


_KILLERS = {
    "heat": "Long at great heat",
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
                f"None of the four bowls set well. What is the likeliest cause in bowl "
                f"{bowls[killer]}?",
                one_right(
                    _KILLERS,
                    killer,
                    "Read the line of this bowl again, column by column, and ask "
                    "yourself which entry stands out.",
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
        because="halving again and again is exact; rounding on the way is allowed",
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
                "This is the number you get for what is spoilt. "
                "Read again which of the two is asked.",
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
        f"A guest wants {name} in a gelatin jelly. Which of these will let it set? "
        "Mark all that are right.",
        [
            Option(f"{name.capitalize()} from a can", right=True),
            Option(f"Fresh {name}, boiled for two minutes and cooled", right=True),
            Option(
                f"Frozen {name}, thawed",
                says="Ask yourself whether cold spoils an enzyme or only slows it.",
            ),
            Option(
                f"Fresh {name}, with twice the gelatin",
                says="Ask yourself what the enzyme does with the second half.",
            ),
            Option(
                f"Fresh {name}, warmed to 40 °C",
                says="Look again at how the half-life changes with heat.",
            ),
        ],
        marks=2,
        worked="Boiling spoils the enzyme, and canned fruit was boiled. "
        "Cold, little warmth and more gelatin leave it at work.",
    )


@question("gelatin-care-order", outcome="gelatin-heat", level="carry out", minutes=3)
def order(draw: Draw) -> OrderPart:
    """Soak, cool, add, sour: in which order?"""
    acid = draw.one_of("acid", ("lemon juice", "passion fruit juice"))
    return OrderPart(
        f"Put the steps of a gelatin glaze with {acid} in order.",
        [
            "Soak the gelatin in weighed cold water",
            "Boil sugar, glucose syrup and the rest of the water",
            "Take the pan off and let the base fall below 80 °C",
            "Stir the soaked gelatin in until no streak is left",
            f"Stir in the {acid}, when the base is cooler still",
            "Cover with film in contact, label and chill",
        ],
        says="Ask yourself what each step must find ready, and what gelatin bears worst together.",
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
                f"No: {agent} sets and melts elsewhere. Find a formula made for it and try it",
                right=True,
            ),
            Option(
                f"Yes, gram for gram, but boil the {agent} first",
                says="Boiling it is right, the mass is a guess. "
                "Ask yourself whether it can be poured where gelatin is poured.",
            ),
            Option(
                "Yes, by the square root of bloom",
                says="Bloom is measured for gelatin. Ask yourself what the other maker tells you.",
            ),
            Option(
                "Yes, half the mass, stirred in at 60 °C like gelatin",
                says="Ask yourself at what heat it dissolves.",
            ),
        ],
        worked="Agar and pectin are other techniques: another heat, another pouring temperature, "
        "another bite. No ratio holds; a trial does.",
    )


@question("gelatin-care-soak-cold", outcome="gelatin-soak", level="recall", minutes=1)
def soak_cold(draw: Draw) -> ChoicePart:
    """Why soaking is done cold."""
    celsius = draw.one_of("celsius", (40, 45, 50))
    return ChoicePart(
        f"Somebody soaks leaves in a bowl of water at {celsius} °C, to save time. What happens?",
        [
            Option("Some of the gelatin dissolves and goes away with the water", right=True),
            Option(
                "Nothing: warm water only works faster",
                says="Ask yourself what gelatin does in warm water.",
            ),
            Option(
                "The gelatin loses its strength for good",
                says="That takes more heat and more time. Ask yourself where the gelatin is now.",
            ),
            Option(
                "The leaves take up no water at all",
                says="They do swell. Ask yourself whether they stay whole.",
            ),
        ],
        worked="Warm water dissolves gelatin, and what is dissolved is poured away. Soak cold.",
    )
