"""More questions about glucose syrup, kept from practice."""

from __future__ import annotations

from calculators import glucose
from calculators.units import Quantity, q, say
from exercises.questions.draws import Draw
from exercises.questions.parts import Asked, ChoicePart, Exhibit, QuantityPart, WrongTurn, one_right
from exercises.questions.registry import question

SCALE = "the bench scale shows 1 g"


def _tub(solids: Quantity) -> glucose.Syrup:
    return glucose.Syrup(q(42, "percent"), solids)


@question(
    "glucose-two-rests",
    outcome="glucose-solids",
    level="carry out",
    use="assessed",
    minutes=5,
)
def two_rests(draw: Draw) -> Asked:
    """Leftovers of two tubs go into one: solids in all, and their share."""
    first, second = draw.mass("first", 140, 240, 20), draw.mass("second", 320, 460, 20)
    dry, wet = draw.percent("dry", 79, 83), draw.percent("wet", 58, 64)
    one, two = glucose.split(first, _tub(dry)).solids, glucose.split(second, _tub(wet)).solids
    solids, total = one + two, first + second
    share = (solids / total).to("percent")
    return Asked(
        [
            QuantityPart(
                "How much of that is solids?",
                answer=solids,
                tolerance="2 g",
                because=SCALE + " at each weighing",
                wrong_turns=[
                    WrongTurn(
                        "the water",
                        total - solids,
                        "This is the number you get for the water. Ask what dry matter on a label "
                        "means.",
                    ),
                    WrongTurn(
                        "plain average",
                        total * (dry.m + wet.m) / 200,
                        "This is the number you get by averaging the two labels. "
                        "Ask which tub there is more of.",
                    ),
                    WrongTurn(
                        "labels exchanged",
                        q(first.m * wet.m / 100 + second.m * dry.m / 100, "g"),
                        "This is the number you get with the two labels exchanged. "
                        "Write each label beside its own mass.",
                    ),
                ],
                working="solids = first mass × its share + second mass × its share",
                worked=f"{say(first)} × {dry.m / 100:g} + {say(second)} × {wet.m / 100:g} = "
                f"{say(solids, digits=4)}",
            ),
            QuantityPart(
                "What share of solids goes on the label of the mixture?",
                answer=lambda given: (given["a"] / total).to("percent"),
                tolerance="0.5 %",
                because="labels are given to a whole per cent",
                wrong_turns=[
                    WrongTurn(
                        "plain average",
                        (dry + wet) / 2,
                        "This is the number you get by averaging the two labels. "
                        "Use your answer to the part before.",
                    ),
                    WrongTurn(
                        "water's share",
                        100 * q(1, "percent") - share,
                        "This is the number you get for the share of the water. "
                        "Ask which of the two a label gives.",
                    ),
                ],
                working="share = solids / mass of both × 100 %",
                worked=f"{say(solids, digits=4)} / {say(total)} = {say(share, digits=4)}",
            ),
        ],
        stem=f"You scrape two leftover glucose syrups into one tub: {say(first)} of {dry.m:g} % dry "
        f"matter and {say(second)} of {wet.m:g} %.",
    )


@question(
    "glucose-put-right-late",
    outcome="glucose-swap",
    level="carry out",
    use="assessed",
    minutes=6,
)
def put_right_late(draw: Draw) -> Asked:
    """Packs went in gram for gram: how much more of them, and which water is too much?"""
    mass = draw.mass("mass", 200, 340, 20)
    wanted, held = draw.percent("wanted", 78, 82), draw.percent("held", 58, 64)
    missing = mass * (wanted.m - held.m) / 100
    swap = glucose.swap(mass, _tub(wanted), _tub(held))
    more = swap.mass - mass
    return Asked(
        [
            QuantityPart(
                "How many grams of solids are missing?",
                answer=missing,
                tolerance="1 g",
                because=SCALE,
                wrong_turns=[
                    WrongTurn(
                        "the solids of the packs",
                        mass * held.m / 100,
                        "This is the number you get for the solids that are in it. "
                        "Ask how many there should be.",
                    ),
                    WrongTurn(
                        "the solids that were meant",
                        mass * wanted.m / 100,
                        "This is the number you get for all the solids that were meant. "
                        "Ask how many of them are in it already.",
                    ),
                ],
                working="missing = mass × (share wanted − share held)",
                worked=f"{say(mass)} × ({wanted.m:g} − {held.m:g}) / 100 = {say(missing, digits=4)}",
            ),
            QuantityPart(
                "You have nothing but these packs. How much more of them do you weigh in, so that the "
                "solids are as meant?",
                answer=lambda given: given["a"] * 100 / held.m,
                tolerance="2 g",
                because=SCALE + ", and the grams of the first part may be rounded",
                wrong_turns=[
                    WrongTurn(
                        "solids for packs",
                        missing,
                        "This is the number you get by weighing out the missing solids. "
                        "Ask what else comes out of a pack.",
                    ),
                    WrongTurn(
                        "the whole swap",
                        swap.mass,
                        "This is the number you get for a fresh start. "
                        "Ask what is in the pan already.",
                    ),
                    WrongTurn(
                        "by the share of the tub",
                        missing * 100 / wanted.m,
                        "This is the number you get with the share of the syrup that you don't have. "
                        "Ask which label belongs to what you weigh.",
                    ),
                ],
                working="more = missing solids / share held",
                worked=f"{say(missing, digits=4)} / {held.m / 100:g} = {say(more, digits=4)}",
            ),
        ],
        stem=f"A formula wants {say(mass)} of glucose syrup of {wanted.m:g} % solids. Somebody has "
        f"weighed in {say(mass)} of home packs of {held.m:g} %. The water is not in yet.",
    )


_CHANGES = {
    "lower": (
        "A syrup of a lower DE came in",
        "Longer chains would make it thicker and less sweet, with the weight unchanged. Compare.",
    ),
    "higher": (
        "A syrup of a higher DE came in",
        "Shorter chains would make it thinner, sweeter and sticky in damp air. Compare.",
    ),
    "wetter": (
        "The same DE came in, with more water in the tub",
        "More water would make it thinner and weaken the set, and sweeten nothing. Compare.",
    ),
    "boiled": (
        "Nothing changed in the tub; the pan stood longer on the hob",
        "Then the batch would weigh less than it did. Compare.",
    ),
}


@question(
    "glucose-what-changed",
    outcome="glucose-role",
    level="decide",
    use="assessed",
    minutes=4,
)
def what_changed(draw: Draw) -> Asked:
    """The same grams, another glaze: what changed?"""
    case = draw.one_of("case", tuple(_CHANGES))
    batch = draw.mass("batch", 1200, 1800, 100)
    lost = q(batch.m - (90 if case == "boiled" else draw.one_of("bit", (4, 6, 8))), "g")
    flow, taste, damp, knife = {
        "lower": ("slower, stands higher", "less sweet", "drier than before", "clean cut"),
        "higher": ("quicker", "sweeter", "sticky by noon", "clean cut"),
        "wetter": ("quicker", "a little flat", "as before", "soft, a wet rim on the plate"),
        "boiled": ("slower, stands higher", "sweeter", "as before", "clean cut, firm"),
    }[case]
    return Asked(
        [
            ChoicePart(
                "What explains the change best?",
                one_right(_CHANGES, case),
                marks=3,
                worked=f"{_CHANGES[case][0]}. Flow alone fits two of the four; taste, weight and the "
                "damp decide between them.",
            )
        ],
        stem="A new delivery of glucose syrup was opened on Thursday. The grams on the card are the "
        "same on both days; so are sugar, water and gelatin.",
        exhibit=Exhibit(
            "From the bench book",
            ("what", "Wednesday", "Thursday"),
            [
                ("batch, hot, weighed", say(batch, digits=4), say(lost, digits=4)),
                ("off the spatula at 33 °C", "as always", flow),
                ("taste", "as always", taste),
                ("half a day in the damp display", "a little sticky", damp),
                ("under the knife", "clean cut", knife),
            ],
        ),
    )


_SHELF = {
    "low": (
        "The tub of 28 DE",
        "That takes sweetness away and gives body. Ask whether body is what is missing.",
    ),
    "middle": (
        "The tub of 42 DE, as before",
        "That changes nothing. Ask whether the guests' words call for a change of the tub.",
    ),
    "high": (
        "The tub of 62 DE",
        "That sweetens, softens and draws water. Ask whether the guests want that.",
    ),
    "none": (
        "No other tub: look at gelatin and water",
        "Ask whether what they say is about the set or about sugar.",
    ),
}


@question(
    "glucose-guests-say",
    outcome="glucose-role",
    level="decide",
    use="assessed",
    minutes=3,
)
def guests_say(draw: Draw) -> Asked:
    """What guests say about a glaze: which tub, if any, is the answer?"""
    case = draw.one_of("case", tuple(_SHELF))
    guests = draw.whole("guests", 12, 40)
    words = draw.one_of(
        f"words {case}",
        {
            "low": (
                (
                    "looks thin on the edges, and one slice is enough, it is so sweet",
                    "sticks to the box when we carry it home",
                    "the set is just right",
                ),
                (
                    "much too sweet for me",
                    "I could see the sponge through the sides, though it cut well",
                    "my fingers were sticky afterwards",
                ),
            ),
            "middle": (
                (
                    "shines well, not too sweet, cuts well",
                    "my neighbour's slice was smaller than mine",
                    "the sponge was dry on one side",
                ),
                (
                    "sweet enough for me, and it did not run",
                    "I'd rather have had the red one",
                    "there was a hairline crack where the knife went in twice",
                ),
            ),
            "high": (
                (
                    "hard as toffee straight from the freezer, and it splits off the knife",
                    "could be sweeter for the children",
                    "it does not stick to anything, even in the damp",
                ),
                (
                    "chewy where it is thick",
                    "tastes of little",
                    "flakes came off when it was cut cold, and it was quite dry",
                ),
            ),
            "none": (
                (
                    "a puddle on the plate after an hour",
                    "slides off the side when it warms up",
                    "sweetness and shine are just right",
                ),
                (
                    "my plate was wet",
                    "it wobbled and let go of the mousse",
                    "I liked that it was not sticky, and sweet enough",
                ),
            ),
        }[case],
    )
    return Asked(
        [
            ChoicePart(
                "Which change do you try first?",
                one_right(_SHELF, case),
                marks=2,
                worked=f"{_SHELF[case][0]}. Long chains give body without sweetness; short ones "
                "sweeten, soften and draw water; a weak set is a matter of gelatin.",
            )
        ],
        stem=f"{guests} guests ate the same glaze, made with the usual tub of 42 DE. On the shelf "
        "there are tubs of 28 and 62 DE as well, all of 80 % solids.",
        exhibit=Exhibit(
            "What they wrote",
            ("card", "words"),
            [(str(n), w) for n, w in enumerate(draw.shuffled("cards", words), 1)],
        ),
    )


_FORECASTS = {
    "low": (
        "It will run thicker and taste less sweet",
        "Look whether the new pieces are longer than the old ones.",
    ),
    "high": (
        "It will run thinner and taste sweeter",
        "Look whether the new pieces are shorter than the old ones.",
    ),
    "wet": (
        "It will run thinner, set weaker and taste much the same",
        "Look how much of the new tub is water.",
    ),
    "same": (
        "Nobody will notice",
        "Look through both labels for a line that decides how it flows, sweetens or thins.",
    ),
}


@question(
    "glucose-new-label",
    outcome="glucose-role",
    level="decide",
    use="assessed",
    minutes=4,
)
def new_label(draw: Draw) -> Asked:
    """Two labels, swapped gram for gram: what will the glaze be like?"""
    case = draw.one_of("case", tuple(_FORECASTS))
    old = draw.percent("old", 40, 44).m
    dry = draw.percent("dry", 79, 81)
    new, solids = {
        "low": (draw.one_of("low", (24, 26, 28)), dry.m + draw.one_of("a", (-1, 0, 1))),
        "high": (draw.one_of("high", (60, 62, 64)), dry.m + draw.one_of("b", (-1, 0, 1))),
        "wet": (old + draw.one_of("c", (-2, 1, 2)), draw.one_of("pack", (60, 62, 64))),
        "same": (old + draw.one_of("d", (-2, 1, 2)), dry.m + draw.one_of("e", (-1, 1))),
    }[case]
    made_of = draw.two_of("starch", ("maize", "wheat", "potato"))
    prices = draw.two_of("price", ("2.10 EUR", "2.90 EUR", "3.60 EUR"))
    return Asked(
        [
            ChoicePart(
                "The new tub goes into the same formula, gram for gram. What will the glaze be like?",
                one_right(_FORECASTS, case),
                marks=2,
                worked=f"{_FORECASTS[case][0]}: DE from {old:g} to {new:g}, dry matter from "
                f"{dry.m:g} % to {solids:g} %. A point or two of either is not noticed; starch and "
                "price say nothing about flow or taste.",
            )
        ],
        exhibit=Exhibit(
            "Two labels",
            ("line", "old tub", "new tub"),
            [
                ("starch from", *made_of),
                ("DE", f"{old:g}", f"{new:g}"),
                ("dry matter", f"{dry.m:g} %", f"{solids:g} %"),
                ("a kilogram costs", *prices),
                ("best before", "in 14 months", draw.one_of("date", ("in 9", "in 18")) + " months"),
            ],
        ),
    )


_VERDICTS = {
    ("body", "low"): (
        "A good choice: long chains thicken and hardly sweeten",
        "Ask whether this tub's chains are long, and whether that is what is wanted.",
    ),
    ("soft", "high"): (
        "A good choice: short pieces soften and hold water",
        "Ask whether this tub's pieces are short, and whether that is what is wanted.",
    ),
    ("body", "high"): (
        "A poor choice: short pieces make it thinner and sticky",
        "Ask whether this tub's pieces are short, and whether that does harm here.",
    ),
    ("soft", "low"): (
        "A poor choice: long chains make it stiff and draw no water",
        "Ask whether this tub's chains are long, and whether that does harm here.",
    ),
}


@question("glucose-colleagues-tub", outcome="glucose-role", level="decide", minutes=3)
def colleagues_tub(draw: Draw) -> ChoicePart:
    """Somebody took a tub for a purpose: a good choice or a poor one, and why?"""
    wish, cut = draw.one_of("case", tuple(_VERDICTS))
    told = draw.one_of(
        f"told {wish}",
        {
            "body": (
                "A mirror glaze runs off upright sides and tastes too sweet",
                "A glaze is thin on the corners, and guests find it far too sweet",
            ),
            "soft": (
                "A filling turns hard within a week in dry air",
                "A layer under the glaze is like toffee at −18 °C",
            ),
        }[wish],
    )
    cuts = {"low": (22, 25, 28), "high": (58, 61, 64)}[cut]
    equivalent = draw.one_of(f"cut {cut}", cuts)
    usual = draw.percent("usual", 40, 44).m
    right = (wish, cut)
    return ChoicePart(
        f"{told}. The usual tub is {usual:g} DE. To mend that, a colleague takes one of {equivalent} DE "
        "with the same solids. What do you say?",
        one_right(_VERDICTS, right),
        marks=2,
        worked=f"{_VERDICTS[right][0]}. The lower the DE, the longer the chains.",
    )
