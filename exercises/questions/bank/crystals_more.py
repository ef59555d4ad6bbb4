"""More questions about crystals, kept from practice: how cold, why, and what guards."""

from __future__ import annotations

from calculators import syrup
from calculators.units import q, say
from exercises.questions.draws import Draw
from exercises.questions.parts import (
    Asked,
    ChoicePart,
    Exhibit,
    Option,
    QuantityPart,
    WrongTurn,
    one_right,
)
from exercises.questions.registry import question

# --- does it hold too much? ----------------------------------------------------------------


@question(
    "crystals-how-cold",
    outcome="crystal-saturation",
    level="carry out",
    use="assessed",
    minutes=5,
)
def how_cold(draw: Draw) -> Asked:
    """So much sugar and water: down to what temperature does it keep?"""
    low = draw.one_of("row", (20, 40))
    aim = syrup.solubility(q(low + draw.one_of("above", (8, 9, 10, 11, 12)), "degC"))
    sugar = draw.mass("sugar", 640, 960, 40)
    poured = q(round(sugar.m * (100 / aim.m - 1)), "g")
    strength = syrup.brix(sugar, poured)
    full = syrup.full_at(strength)
    rows = {t: round(syrup.solubility(q(t, "degC")).m, 1) for t in (0, 20, 40, 60, 80)}
    below, above = rows[low], rows[low + 20]
    part = round((round(strength.m, 1) - below) / (above - below), 3)
    return Asked(
        [
            QuantityPart(
                f"A plain syrup holds {say(sugar)} of sugar and {say(poured)} of water. What is its "
                "Brix?",
                answer=strength,
                tolerance="0.3 %",
                because="rounding to a tenth on the way",
                wrong_turns=[
                    WrongTurn(
                        "sugar over water",
                        (sugar / poured).to("percent"),
                        "This is the number you get by dividing by the water alone. "
                        "Ask what the whole syrup weighs.",
                    ),
                    WrongTurn(
                        "water's share",
                        (poured / (sugar + poured)).to("percent"),
                        "This is the number you get for the share of the water. "
                        "Ask which of the two Brix counts.",
                    ),
                ],
                working="Brix = sugar / (sugar + water)",
                worked=f"{say(sugar)} / ({say(sugar)} + {say(poured)}) = {say(strength, digits=4)}",
            ),
            QuantityPart(
                "At what temperature is it just full? Below that, crystals can form.",
                answer=lambda given: syrup.full_at(
                    q(min(max(given["a"].to("percent").m, 64.5), 80), "percent")
                ),
                tolerance="3 °C",
                because="the table is rounded, and a tenth of a per cent is almost a degree",
                wrong_turns=[
                    WrongTurn(
                        "row below",
                        q(low, "degC"),
                        "This is the number you get from the colder of the two rows. Work out how "
                        "far the strength is on the way to the next.",
                    ),
                    WrongTurn(
                        "row above",
                        q(low + 20, "degC"),
                        "This is the number you get from the warmer of the two rows. Work out how "
                        "far the strength is on the way to it.",
                    ),
                ],
                working="interpolate: go the same fraction of the way in both columns",
                worked=f"the part of the way = ({strength.m:.1f} − {below:.1f}) / ({above:.1f} − "
                f"{below:.1f}) = {part:g}; {low} °C + {part:g} × 20 °C = "
                f"{say(q(low + 20 * part, 'degC'), digits=4)}; the curve itself gives "
                f"{say(full, digits=4)}",
            ),
        ],
        exhibit=Exhibit(
            "What water can keep",
            ("Temperature", "Full at"),
            [(f"{t} °C", f"{b:.1f} %") for t, b in rows.items()],
        ),
    )


# --- why did it grain? ------------------------------------------------------------------------

_PATTERNS = {
    "edge": (
        "Water left it from above",
        "Then it would begin where air touches it, and the jar would weigh less. Look at both.",
    ),
    "moved": (
        "It was kept moving when it should have rested",
        "Then fine grains would sit all through it from the first hours. Look at where and when.",
    ),
    "undissolved": (
        "Some of the sugar never went into solution",
        "Then coarse grains would lie at the bottom from the first morning. Look at where and when.",
    ),
    "milk": (
        "Another sugar than table sugar came out",
        "Then table sugar must have room enough, and another sugar must be plentiful. Look at "
        "what went in.",
    ),
}


@question(
    "crystals-where-and-when",
    outcome="crystal-cause",
    level="decide",
    use="assessed",
    minutes=4,
)
def where_and_when(draw: Draw) -> Asked:
    """Where the grains sit and when they came shows the cause."""
    case = draw.one_of("case", tuple(_PATTERNS))
    mass = draw.mass("mass", 840, 1160, 40)
    seen, loss, made, cooled = draw.one_of(
        f"told {case}",
        {
            "edge": (
                (
                    "day 4: a hard ring at the wall and a skin; clear below",
                    30,
                    "sugar, glucose, water; stirred until clear, then boiled",
                    "not moved; stirred once when warm, to read it",
                ),
                (
                    "day 3: crust on the top, a finger's breadth; clear below",
                    40,
                    "sugar, condensed milk, glucose; stirred until clear, then boiled",
                    "not moved; carried to another shelf on day 2",
                ),
            ),
            "moved": (
                (
                    "evening of day 1: fine grit from top to bottom, smooth wall",
                    1,
                    "sugar, water; stirred until clear, then boiled",
                    "with the paddle on slow for the whole hour; film slipped at one side",
                ),
                (
                    "evening of day 1: cloudy all through, grit between the fingers",
                    2,
                    "sugar, glucose, water; stirred until clear, then boiled",
                    "in an ice bath, whisked until it was cold; film on at once",
                ),
            ),
            "undissolved": (
                (
                    "morning of day 2: coarse grains at the bottom; clear above",
                    2,
                    "sugar, glucose, water; on full flame at once, boiled after 3 min",
                    "not moved; film slipped at one side",
                ),
                (
                    "morning of day 2: a bed of grains below, each as large as salt",
                    1,
                    "sugar, water, glucose last; grains scratched under the spoon when it boiled",
                    "not moved; stirred once when warm, to read it",
                ),
            ),
            "milk": (
                (
                    "day 6: fine sand on the tongue, the same everywhere, smooth wall",
                    2,
                    "condensed milk and milk powder, much glucose, little sugar; stirred until clear",
                    "not moved; stirred once when warm, to read it",
                ),
                (
                    "day 5: like flour between the teeth, the same everywhere",
                    3,
                    "milk powder, cream, much glucose, a pinch of sugar; blended",
                    "not moved; film slipped at one side",
                ),
            ),
        }[case],
    )
    return Asked(
        [
            ChoicePart(
                "What is the most likely cause?",
                one_right(_PATTERNS, case),
                marks=3,
                worked=f"{_PATTERNS[case][0]}. Where the grains sit, when they came and what the jar "
                "weighs all fit this one; the other odd note does not fit.",
            )
        ],
        exhibit=Exhibit(
            "From the bench book",
            ("what", "noted"),
            [
                ("made of", made),
                ("weighed into its jar", say(mass, digits=4)),
                ("cooling", cooled),
                ("store", draw.one_of("store", ("fridge, 4 °C", "fridge, 5 °C", "fridge, 3 °C"))),
                ("weighed when it was found", say(mass - q(loss, "g"), digits=4)),
                ("found", seen),
            ],
        ),
    )


_ONE_OF_TWO = {
    "last": (
        "What was left at the bottom of the pan",
        "Ask which jar got what had dried on the wall of the pan.",
    ),
    "open": (
        "Air that reached it",
        "Ask what the two jars weighed when they were found.",
    ),
    "cold": (
        "The shelf on which it stood",
        "Ask whether the two jars were kept alike.",
    ),
    "spoon": (
        "A spoon that had been somewhere else",
        "Ask what went into one jar and not into the other.",
    ),
}


@question(
    "crystals-two-jars",
    outcome="crystal-cause",
    level="decide",
    use="assessed",
    minutes=4,
)
def two_jars(draw: Draw) -> Asked:
    """Two jars from one pan: one is sand, one is clear. What made the difference?"""
    case = draw.one_of("case", tuple(_ONE_OF_TWO))
    sand, clear = draw.two_of("jars", ("left", "right"))
    mass = draw.mass("mass", 460, 640, 20)
    less = q(round(mass.m * 0.96), "g")
    rows = {
        "jar": ("tall, new, washed", "wide, old, washed"),
        "filled": ("first, from the top", "second, after a wait"),
        "weighed in": (say(mass), say(mass)),
        "cover": ("film on the surface, lid", "film on the surface, lid"),
        "store": ("shelf in the room, 20 °C", "shelf in the room, 20 °C"),
        "opened": ("once, clean spoon", "once, clean spoon"),
        "weighed out": (say(q(mass.m - 1, "g")), say(mass)),
    }
    rows |= {
        "last": {"filled": ("second, pan scraped out", "first, from the top")},
        "open": {
            "cover": ("lid laid on loosely", "film on the surface, lid"),
            "weighed out": (say(less), say(mass)),
        },
        "cold": {"store": ("door of the fridge, 5 °C", "shelf in the room, 20 °C")},
        "spoon": {"opened": ("once, spoon from the sugar bin", "twice, clean spoon")},
    }[case]
    swap = sand == "right"
    return Asked(
        [
            ChoicePart(
                f"The {sand} jar has turned to sand, and the {clear} one is clear. What made the "
                "difference?",
                [
                    *one_right(_ONE_OF_TWO, case),
                    Option(
                        "The shape of the jar and the order of filling",
                        says="Glass of any shape holds the same syrup. Ask what can start a crystal "
                        "or take water away.",
                    ),
                ],
                marks=2,
                worked=f"{_ONE_OF_TWO[case][0]}. The other differences neither take water away nor "
                "bring a seed.",
            )
        ],
        stem="One pan of strong plain syrup was shared between two jars a week ago.",
        exhibit=Exhibit(
            "Two jars",
            ("", "left", "right"),
            [(what, *(pair[::-1] if swap else pair)) for what, pair in rows.items()],
        ),
    )


_AGAIN = {
    "water": (
        "It was still stronger than it used to be",
        "Work out whether as much water came back as had gone.",
    ),
    "grains": (
        "Not all of the old grains had gone",
        "Ask what was seen in the pan when it came off the heat.",
    ),
    "vessel": (
        "Old grains were waiting for it",
        "Ask where it was poured, and what was there before.",
    ),
    "dry": (
        "It lost again what it had been given",
        "Compare its mass on Friday with its mass on Monday.",
    ),
}


@question(
    "crystals-came-back",
    outcome="crystal-cause",
    level="decide",
    use="assessed",
    minutes=5,
)
def came_back(draw: Draw) -> Asked:
    """A syrup was turned back and grained once more: what was missed?"""
    case = draw.one_of("case", tuple(_AGAIN))
    new = draw.mass("new", 1040, 1280, 20)
    after = new - q(70, "g") if case == "water" else new + q(draw.one_of("bit", (-2, 1, 3)), "g")
    friday = after - q(60 if case == "dry" else 2, "g")
    rows = [
        ("last month, new, clear for weeks, weighed", say(new, digits=4)),
        ("Monday, sand, weighed", say(new - q(110, "g"), digits=4)),
        ("hot water given, warmed, weighed", say(after, digits=4)),
        (
            "looked at on the spoon",
            "clear but for a few bright points"
            if case == "grains"
            else "clear; a few small bubbles",
        ),
        (
            "poured into",
            "the same jar, emptied and wiped with a cloth"
            if case == "vessel"
            else "the same jar, out of the dishwasher",
        ),
        ("cover", "lid only" if case == "dry" else "film and lid; the film has a fold"),
        ("store", "fridge, 4 °C, as before"),
        ("Friday, sand again, weighed", say(friday, digits=4)),
    ]
    why = {
        "water": "It weighs less than when it was new, so less water came back than had gone.",
        "grains": "Its weight is as it was when new; the bright points were old grains.",
        "vessel": "Its weight is as it was when new, and it was clear; a cloth leaves grains behind.",
        "dry": "Its weight was as it was when new, and by Friday some of it had gone.",
    }
    return Asked(
        [
            ChoicePart(
                "What was missed?",
                one_right(_AGAIN, case),
                marks=3,
                worked=f"{_AGAIN[case][0]}. {why[case]}",
            )
        ],
        stem="A stock syrup of sugar and some glucose is a little over the line in the fridge, "
        "and stays clear there for weeks. One batch grained, was turned back on Monday, and is "
        "sand once more on Friday.",
        exhibit=Exhibit("From the bench book", ("what", "noted"), rows),
    )


# --- what guards? ---------------------------------------------------------------------------------

_GUARDS = {
    "glucose": (
        "Glucose syrup for a part of the sugar",
        "That keeps a strong syrup from graining in the cold. Ask whether graining is what "
        "threatens, and what else glucose brings.",
    ),
    "room": (
        "A shelf in the room, closed",
        "Warmth helps water to keep its sugar. Ask what else it helps, in this pot.",
    ),
    "seed": (
        "A spoonful of old crystals, and the paddle",
        "That brings crystals on. Ask whether they are wanted here.",
    ),
    "film": (
        "Film laid on while it is still warm",
        "That stops drying. Ask whether drying is what happens here.",
    ),
}


@question(
    "crystals-pick-a-guard",
    outcome="crystal-guard",
    level="decide",
    use="assessed",
    minutes=3,
)
def pick_a_guard(draw: Draw) -> ChoicePart:
    """Four wishes, four means: which one fits?"""
    case = draw.one_of("case", tuple(_GUARDS))
    days = draw.whole("days", 3, 6)
    mass = draw.mass("mass", 600, 1400, 100)
    told = {
        "glucose": f"{say(mass, digits=4)} of a glaze with cream is over the line at 4 °C. It must "
        f"stay smooth for {days} days and may not become thinner.",
        "room": f"{say(mass, digits=4)} of plain syrup of 66 %, sugar and water only, is made for "
        f"soaking sponge. It must stay clear for {days} days and may not taste of anything else.",
        "seed": f"{say(mass, digits=4)} of syrup of 88 % is to become a white, smooth paste that "
        f"keeps for {days} days without a coarse grain.",
        "film": f"{say(mass, digits=4)} of milk glaze, well under the line, was smooth each time "
        f"except at the wall, where a crust came after {days} days in an open bowl.",
    }[case]
    return ChoicePart(
        f"{told} What do you choose?",
        one_right(_GUARDS, case),
        marks=2,
        worked=f"{_GUARDS[case][0]}. "
        + {
            "glucose": "Cream keeps it in the fridge, and water would thin it.",
            "room": "At 20 °C its water keeps 66 %, and there is nothing in it that spoils so soon.",
            "seed": "Countless small crystals at once stay too small to feel.",
            "film": "Only its edge dried; the glaze itself has room for its sugar.",
        }[case],
    )


@question(
    "crystals-four-plans",
    outcome="crystal-guard",
    level="decide",
    use="assessed",
    minutes=5,
)
def four_plans(draw: Draw) -> Asked:
    """Four plans for one syrup; three of them have a weak point."""
    sugar = draw.mass("sugar", 280, 340, 20)
    share = draw.one_of("share", (0.6, 0.65, 0.7))
    plenty = q(round(sugar.m * share / 10) * 10, "g")
    little = q(round(sugar.m * 0.12 / 5) * 5, "g")
    spoon = draw.one_of("spoon", ("a paddle", "a whisk", "a spoon"))
    lines = {
        "sound": (
            plenty,
            "stirred until clear, then left alone; clean jug; film when no steam rises",
            "",
        ),
        "too little": (
            little,
            "stirred until clear, then left alone; clean jug; film when no steam rises",
            "Work out which share of its sugar is glucose solids, the tub's water taken off.",
        ),
        "stirred": (
            plenty,
            f"stirred with {spoon} until it is cold; clean jug; film when no steam rises",
            "Ask what that does to a syrup that is over the line.",
        ),
        "scraped": (
            plenty,
            "stirred until clear, then left alone; wall scraped into the jug; film when no steam rises",
            "Ask what sits on the wall of a pan.",
        ),
    }
    letters = dict(zip(lines, draw.shuffled("letters", "TUVW"), strict=True))
    return Asked(
        [
            ChoicePart(
                "All of them are boiled to 76 % solids and kept at 4 °C. Which plan do you follow?",
                [
                    Option(f"Plan {letters[kind]}", kind == "sound", says)
                    for kind, (_, _, says) in sorted(lines.items(), key=lambda x: letters[x[0]])
                ],
                marks=2,
                worked=f"Plan {letters['sound']}: about "
                f"{80 * plenty.m / (0.8 * plenty.m + sugar.m):.0f} % of its sugar is glucose "
                "solids, and nothing starts a crystal.",
                keep_order=True,
            )
        ],
        stem=f"Each plan begins with {say(sugar)} of sugar, some water and a tub of glucose syrup of "
        "80 % solids.",
        exhibit=Exhibit(
            "Four plans",
            ("plan", "glucose syrup", "then"),
            sorted((letters[kind], say(tub), then) for kind, (tub, then, _) in lines.items()),
        ),
    )


@question(
    "crystals-cannot-grain",
    outcome="crystal-guard",
    level="decide",
    use="assessed",
    minutes=6,
)
def cannot_grain(draw: Draw) -> Asked:
    """Good habits and bad ones; only one of four plain syrups has room for its sugar."""
    waters = [say(q(grams, "g")) for grams in draw.shuffled("waters", (240, 300, 360, 420))]

    def sugar(strength: float, water: str) -> str:
        grams = float(water.split()[0])
        return say(q(round(grams * strength / (100 - strength) / 5) * 5, "g"))

    careful = draw.shuffled(
        "careful",
        (
            "clean jug, left still, film when no steam rises",
            "wall washed down, left still, clean jug",
            "sieved, clean jug, film when no steam rises",
        ),
    )
    careless = draw.one_of(
        "careless",
        ("last week's jug, stirred until cold", "scraped out of the pan, stirred until cold"),
    )
    cool, warm = draw.one_of("cool", ("4 °C", "5 °C")), draw.one_of("warm", ("20 °C", "21 °C"))
    lines = {
        "room": (sugar(61, waters[0]), waters[0], cool, careless, ""),
        "near": (
            sugar(67.5, waters[1]),
            waters[1],
            cool,
            careful[0],
            "Work out its strength, and what its water keeps where it is.",
        ),
        "warm": (
            sugar(71, waters[2]),
            waters[2],
            warm,
            careful[1],
            "Warmth helps. Work out whether it helps enough for that much sugar.",
        ),
        "strong": (
            sugar(74, waters[3]),
            waters[3],
            cool,
            careful[2],
            "It is handled well. Ask what it holds for each gram of its water.",
        ),
    }
    letters = dict(zip(lines, draw.shuffled("letters", "EFGH"), strict=True))
    return Asked(
        [
            ChoicePart(
                "Three of them can grain one day. Which one can't, as long as it loses no water?",
                [
                    Option(f"Syrup {letters[kind]}", kind == "room", line[4])
                    for kind, line in sorted(lines.items(), key=lambda x: letters[x[0]])
                ],
                marks=3,
                worked=f"Syrup {letters['room']}: it is a 61 % syrup, so its water has room for more. Where "
                "there is room, a seed dissolves; where there is none, care only puts it off.",
                keep_order=True,
            )
        ],
        stem=f"Four plain syrups. Full is {say(syrup.solubility(q(4, 'degC')), digits=3)} at 4 °C and "
        f"{say(syrup.solubility(q(20, 'degC')), digits=3)} at 20 °C.",
        exhibit=Exhibit(
            "Four syrups",
            ("syrup", "sugar", "water", "kept at", "how it was handled"),
            sorted((letters[kind], *line[:4]) for kind, line in lines.items()),
        ),
    )


_HOLES = {
    "glucose": (
        "The glucose",
        "Work out which share of all the sugar its solids are.",
    ),
    "stirring": (
        "The stirring",
        "Ask until when stirring helps, and from when on it harms.",
    ),
    "wall": (
        "The wall of the pan",
        "Ask where the grains on the wall end up.",
    ),
    "cover": (
        "The cover",
        "Ask how long its surface could dry.",
    ),
}


@question("crystals-find-the-hole", outcome="crystal-guard", level="decide", minutes=4)
def find_the_hole(draw: Draw) -> Asked:
    """A plan that was followed and has one weak point: which line is changed?"""
    case = draw.one_of("case", tuple(_HOLES))
    sugar = draw.mass("sugar", 280, 360, 20)
    tub = q(round(sugar.m * (0.1 if case == "glucose" else 0.6) / 10) * 10, "g")
    warm = draw.temperature("film", 34, 40, 2)
    rows = [
        ("sugar, glucose syrup of 80 % solids", f"{say(sugar)}, {say(tub)}"),
        (
            "paddle",
            "slowly, until it was cold"
            if case == "stirring"
            else "until it was clear, then taken out",
        ),
        (
            "wall",
            "scraped into the jug, so that nothing is lost"
            if case == "wall"
            else "wet brush as it began to boil; a dry rim was left in the pan",
        ),
        (
            "film",
            f"over the rim of the jug, at {say(warm)}; surface bare for two days"
            if case == "cover"
            else f"on the surface, at {say(warm)}; one bubble below it",
        ),
        ("jug", "out of the dishwasher, still wet"),
    ]
    return Asked(
        [
            ChoicePart(
                "It was sand on the third day. Which line of the plan do you change?",
                one_right(_HOLES, case),
                marks=2,
                worked=f"{_HOLES[case][0]}. "
                + {
                    "glucose": "About 25 % of all the sugar should be glucose solids, and here they "
                    "are far fewer.",
                    "stirring": "Stirring a syrup that is over the line makes seeds.",
                    "wall": "What has dried on the wall is crystals.",
                    "cover": "A bare surface dries, and a crust begins there.",
                }[case],
            )
        ],
        stem="This plan is for a syrup that is over the line in the fridge.",
        exhibit=Exhibit("The plan, as it was followed", ("line", "noted"), rows),
    )
