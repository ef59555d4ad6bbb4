"""Questions on colourants, their law, the shares of a marble and its layers."""

from __future__ import annotations

from calculators import colour, marbling, safety
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
    TablePart,
    WrongTurn,
    one_right,
)
from exercises.questions.registry import question

HALF, QUARTER = q(0.5), q(0.25)


# --- kinds of colourant and the law -------------------------------------------------


@question("colour-kind-thins", outcome="colour-kind", level="recall", minutes=1)
def kind_thins(draw: Draw) -> ChoicePart:
    """Which kind thins a glaze most."""
    jug = draw.mass("jug", 250, 450, 50)
    kinds = (
        "water-based liquid",
        "water-soluble powder",
        "titanium white",
        "cocoa powder",
    )
    says = {
        "leaves it": "This one leaves the glaze as it is. Look up what carries its colour.",
        "thickens": "This one thickens. Look up whether it brings water or takes it up.",
    }
    return ChoicePart(
        f"You colour a jug of {say(jug)}, each time to a clear shade. "
        "Which colourant thins the glaze?",
        [
            Option(
                kind,
                right=colour.consistency(kind) == "thins",
                says=says.get(colour.consistency(kind), ""),
            )
            for kind in kinds
        ],
        worked="Ask what carries the colour. A liquid is mostly water, and water thins.",
    )


@question("colour-white-law", outcome="colour-kind", level="decide", safety=True, minutes=2)
def white_law(draw: Draw) -> Asked:
    """An order list with a white that the region may forbid."""
    region = draw.one_of("region", ("EU", "NI"))
    mass = draw.mass("mass", 20, 50, 10)
    note = safety.allowed("titanium white", region).notes[0]
    return Asked(
        [
            ChoicePart(
                "What do you do?",
                [
                    Option(
                        "Strike it out, make an ivory base from the white chocolate, and "
                        "tell the supervisor about the jar",
                        right=True,
                    ),
                    Option(
                        "Use it up, because the jar was bought long ago",
                        says="A jar does not become food again by being old. Look at what "
                        "the note says about now.",
                    ),
                    Option(
                        "Use half of it, to stay below the largest dose",
                        says="A largest dose helps only where a colour is allowed at all. "
                        "Look at the answer for this region first.",
                    ),
                    Option(
                        "Use it on the side of the cake only",
                        says="The side is eaten as well. Ask what the note says about food.",
                    ),
                ],
                worked=f"The note for {safety.REGIONS[region]}: {note.text} "
                "The base becomes an ivory. Your local rules and your supervisor come first.",
                safety=True,
            )
        ],
        stem=f"You work in {safety.REGIONS[region]}. The law there, as noted: {note.text} "
        "A formula in three colours comes from a colleague abroad.",
        exhibit=Exhibit(
            "From the order list",
            ("item", "mass", "on its label"),
            (
                ("white chocolate", "1 kg", "cocoa butter, milk, sugar"),
                ("white powder", say(mass), "E 171, titanium dioxide, for food"),
                ("beetroot gel", "30 g", "beetroot juice, glucose syrup"),
            ),
        ),
    )


@question("colour-lustre-label", outcome="colour-kind", level="decide", safety=True, minutes=2)
def lustre_label(draw: Draw) -> Asked:
    """What a label must say before a shimmer may go on a cake."""
    weight = draw.mass("weight", 5, 25, 5)
    return Asked(
        [
            ChoicesPart(
                "Which of these must you find out before it may go into a glaze? "
                "Choose all that apply.",
                [
                    Option("Whether the label says that it is for food", right=True),
                    Option("Which colours are in it, by name or number", right=True),
                    Option("Whether each of them is allowed in your region", right=True),
                    Option(
                        "Whether it says non-toxic",
                        says="These words do not make it food. Look for the words: for food.",
                    ),
                    Option(
                        "Whether it has been used here before",
                        says="What was done before proves nothing about the law. Read the label.",
                    ),
                ],
                marks=3,
                worked="For food, what is in it, and whether the region allows that. "
                "In doubt it stays out. Your local rules and your supervisor come first.",
                safety=True,
            )
        ],
        stem=f"A tube of {say(weight)} of silver lustre lies in the drawer. "
        "Its front says: non-toxic, for decoration.",
    )


@question("colour-specks", outcome="colour-kind", level="decide", minutes=3)
def specks(draw: Draw) -> Asked:
    """Oil-based powder in a glaze without fat."""
    jug = draw.mass("jug", 300, 600, 50)
    powder = draw.mass("powder", 1, 3, 0.5)
    return Asked(
        [
            ChoicePart(
                "What is the most likely cause of the specks?",
                [
                    Option("The powder needs fat, and this glaze has none", right=True),
                    Option(
                        "The glaze was too warm for the colour",
                        says="Warmth helps a powder to spread. Compare what is in the two "
                        "jugs instead.",
                    ),
                    Option(
                        "Too little powder was taken",
                        says="Too little makes a pale glaze, not a specked one. "
                        "Ask what the powder can be spread in.",
                    ),
                    Option(
                        "The blender has drawn air",
                        says="Air makes pits and a paler glaze. Look at the column for fat.",
                    ),
                ],
                worked="An oil-based powder is spread through fat. The jug with white "
                "chocolate has fat; the neutral glaze has none. Take a water-soluble powder "
                "or a gel there.",
            )
        ],
        stem="One colour, two glazes. One of them shows dark specks.",
        exhibit=Exhibit(
            "Two jugs",
            ("", "jug A", "jug B"),
            (
                ("glaze", "white chocolate glaze", "neutral glaze"),
                ("fat in it", "some", "none"),
                ("mass", say(jug), say(jug)),
                ("oil-based powder", say(powder), say(powder)),
                ("blended at", "40 °C", "40 °C"),
                ("seen", "an even colour", "dark specks"),
            ),
        ),
    )


@question("colour-runs-ahead", outcome="colour-kind", level="decide", minutes=4)
def runs_ahead(draw: Draw) -> Asked:
    """How much water a liquid colour brings, and what it does to the marble."""
    jug = draw.mass("jug", 300, 600, 50)
    dose = draw.quantity("dose", 12, 24, 2, "g/kg")
    share = draw.percent("share", 75, 90, 5)
    brought = (jug * dose).to("g")
    water = (brought * share).to("g")
    return Asked(
        [
            QuantityPart(
                f"The jug holds {say(jug)} of glaze. It gets {say(dose)} of a liquid colour, "
                f"which is {say(share)} water. How much water does the colour bring?",
                answer=water,
                tolerance="0.1 g",
                because="A fine scale shows 0.1 g.",
                wrong_turns=[
                    WrongTurn(
                        "all of it water",
                        brought,
                        "This is the number you get when the whole colour counts as "
                        "water. Look again at what share of it is water.",
                    ),
                    WrongTurn(
                        "the rest of it",
                        brought - water,
                        "This is the number you get for what is not water. "
                        "Ask which of the two thins the glaze.",
                    ),
                ],
                working="water = glaze × dose × share of water",
                worked=f"{say(jug)} × {say(dose)} = {say(brought)} of colour. "
                f"{say(brought)} × {say(share)} = {say(water, digits=4)}",
            ),
            ChoicePart(
                "The other two jugs are coloured with a pinch of powder. All are at one "
                "temperature. What do you expect in the marble?",
                [
                    Option("The jug with the liquid runs ahead and smears", right=True),
                    Option(
                        "All three run alike, because they are equally warm",
                        says="Warmth is one cause of a thin glaze, and water is another. "
                        "Compare what went into the jugs.",
                    ),
                    Option(
                        "The jugs with powder run ahead",
                        says="A pinch of powder brings no water. Ask which jug became thinner.",
                    ),
                ],
                worked="Water thins. The thinner glaze runs ahead of the others, and the "
                "edges smear.",
            ),
        ]
    )


# --- shares ---------------------------------------------------------------------------


@question("colour-split-jugs", outcome="marble-split", level="carry out")
def split_jugs(draw: Draw) -> Asked:
    """Share a glaze out with what clings to each jug."""
    total = draw.mass("total", 900, 2100, 100)
    cling = draw.mass("cling", 14, 30, 2)
    jugs = marbling.split_with_cling(total, {"white": HALF, "red": QUARTER, "blue": QUARTER}, cling)
    small, large = jugs["red"], jugs["white"]
    return Asked(
        [
            QuantityPart(
                "How much do you weigh into the red jug?",
                answer=small,
                tolerance="1 g",
                because="The bench scale shows 1 g.",
                wrong_turns=[
                    WrongTurn(
                        "cling forgotten",
                        total / 4,
                        "This is the number you get when nothing clings. Ask what the "
                        "scraped jug still weighs.",
                    ),
                    WrongTurn(
                        "cling shared out",
                        (total + 3 * cling) / 4,
                        "This is the number you get when the cling is added to the "
                        "total and shared out. Ask how much each jug keeps by itself.",
                    ),
                    WrongTurn(
                        "thirds",
                        total / 3 + cling,
                        "This is the number you get for three equal shares. Look again "
                        "at the share of this jug.",
                    ),
                ],
                working="in the jug = total × share + cling",
                worked=f"{say(total, digits=4)} × 0.25 = {say(total / 4, digits=4)}. "
                f"With {say(cling)} of cling: {say(small, digits=4)}",
            ),
            QuantityPart(
                "And how much do you make in all, for the three jugs together?",
                answer=large + 2 * small,
                tolerance="2 g",
                because="Three weighings, each to 1 g, may add up to a little more than 1 g.",
                wrong_turns=[
                    WrongTurn(
                        "cling once",
                        total + cling,
                        "This is the number you get when only one jug keeps some. Count the jugs.",
                    ),
                    WrongTurn(
                        "no cling",
                        total,
                        "This is the number you get for what must leave the jugs. "
                        "Ask what stays in them.",
                    ),
                ],
                working="in all = total + number of jugs × cling",
                worked=f"{say(total, digits=4)} + 3 × {say(cling)} = "
                f"{say(large + 2 * small, digits=4)}",
            ),
        ],
        stem=f"{say(total, digits=4)} of glaze must leave the jugs: a half white, a quarter "
        f"red, a quarter blue. Each jug keeps {say(cling)} on its wall, full or not.",
    )


@question("colour-split-table", outcome="marble-split", level="carry out")
def split_table(draw: Draw) -> Asked:
    """Share a glaze out into three unlike shares."""
    total = draw.mass("total", 1000, 2000, 100)
    main = draw.one_of("main", (50, 55, 60))
    second = draw.one_of("second", (20, 25, 30))
    cling = draw.mass("cling", 12, 28, 2)
    parts = {"ivory": main, "pink": second, "green": 100 - main - second}
    jugs = marbling.split_with_cling(
        total, {name: q(part, "percent") for name, part in parts.items()}, cling
    )

    def row(name: str) -> QuantityPart:
        share = parts[name] / 100
        return QuantityPart(
            name,
            answer=jugs[name],
            tolerance="1 g",
            because="The bench scale shows 1 g.",
            marks={"value": 1, "unit": 1},
            wrong_turns=[
                WrongTurn(
                    "cling forgotten",
                    total * share,
                    "This is the number you get when nothing clings. Ask what the "
                    "scraped jug still weighs.",
                ),
                WrongTurn(
                    "cling three times",
                    total * share + 3 * cling,
                    "This is the number you get with the cling of all three jugs in "
                    "one. Each jug keeps its own.",
                ),
            ],
            working="in the jug = total × share + cling",
            worked=f"{say(total, digits=4)} × {share:g} + {say(cling)} = "
            f"{say(jugs[name], digits=4)}",
        )

    return Asked(
        [TablePart("What do you weigh into each jug?", {name: row(name) for name in parts})],
        stem=f"{say(total, digits=4)} of glaze must leave the jugs: {main} % ivory, "
        f"{second} % pink, the rest green. Each jug keeps {say(cling)}.",
    )


@question("colour-base-layer", outcome="marble-split", level="carry out")
def base_layer(draw: Draw) -> QuantityPart:
    """How heavy one layer of the base is."""
    total = draw.mass("total", 900, 2100, 60)
    layer = marbling.layers(total, {"white": HALF, "red": QUARTER, "blue": QUARTER}, "white")[0][1]
    return QuantityPart(
        f"{say(total, digits=4)} goes into the pouring jug: a half white as the base, a "
        "quarter red, a quarter blue. The base goes in first, between the colours, and last, "
        "in equal layers. How heavy is one layer of the base?",
        answer=layer,
        tolerance="2 g",
        because="Nobody pours a layer more closely than that.",
        wrong_turns=[
            WrongTurn(
                "two layers",
                total / 4,
                "This is the number you get for two layers of base. Write the order "
                "down and count the base in it.",
            ),
            WrongTurn(
                "five equal layers",
                total / 5,
                "This is the number you get when all five layers weigh the same. Look "
                "again at the share of the base.",
            ),
            WrongTurn(
                "all of it a base",
                total / 3,
                "This is the number you get when the whole jug is base. Take its share first.",
            ),
        ],
        working="layer = total × share of the base ÷ number of its layers",
        worked=f"The base is {say(total, digits=4)} × 0.5 = {say(total / 2, digits=4)}. "
        f"Order: white, red, white, blue, white. So {say(total / 2, digits=4)} ÷ 3 = "
        f"{say(layer, digits=4)}",
    )


# --- order ----------------------------------------------------------------------------


@question("colour-layer-order", outcome="marble-order", level="carry out", minutes=3)
def layer_order(draw: Draw) -> OrderPart:
    """The steps from three jugs to one pour."""
    first, second = draw.two_of("colours", ("red", "blue", "green", "yellow"))
    return OrderPart(
        "Put the steps of a marble in order.",
        [
            "Hold all jugs in one bath until they have one temperature",
            "Pour a third of the white base into the pouring jug",
            f"Pour the {first} gently onto the base",
            f"Cover the {first} with the second third of the base",
            f"Pour the {second} gently onto that base",
            f"Cover the {second} with the last of the base",
            "Pour over the cake in one go, without stirring",
        ],
        marks=3,
        worked="One temperature first. Then the base comes first, between the colours, and "
        "last. What is stirred now is lost.",
        says="Look for two colours that touch: the base lies between them. And ask what must "
        "be alike in all jugs before you begin.",
    )


@question("colour-muddy-marble", outcome="marble-order", level="decide", minutes=4)
def muddy_marble(draw: Draw) -> Asked:
    """Diagnose a muddy marble from what was written down."""
    total = draw.mass("total", 900, 1800, 150)
    case = draw.one_of("case", ("thirds", "touch", "apart"))
    third, half, quarter = (say(total / n, digits=3) for n in (3, 2, 4))
    rows = {
        "thirds": (
            ("masses", f"white {third}, red {third}, blue {third}"),
            ("order", "white, red, white, blue, white"),
            ("temperatures", "33 °C, 33 °C, 33 °C"),
        ),
        "touch": (
            ("masses", f"white {half}, red {quarter}, blue {quarter}"),
            ("order", "white, red, blue, white"),
            ("temperatures", "33 °C, 33 °C, 33 °C"),
        ),
        "apart": (
            ("masses", f"white {half}, red {quarter}, blue {quarter}"),
            ("order", "white, red, white, blue, white"),
            ("temperatures", "37 °C, 31 °C, 30 °C"),
        ),
    }[case]
    causes = {
        "thirds": (
            "The base has less than half, so it can't keep the others apart",
            "Add up the share of the base: is it below a half?",
        ),
        "touch": (
            "Two colours lie on each other in the jug without base between",
            "Read the order aloud: do two colours follow each other?",
        ),
        "apart": (
            "The jugs were at different temperatures when they were layered",
            "Compare the three temperatures: are they alike?",
        ),
    }
    return Asked(
        [
            ChoicePart(
                "Which cause does the log show?",
                [
                    *one_right(
                        {
                            name: (words, f"The log does not show this. {check}")
                            for name, (words, check) in causes.items()
                        },
                        case,
                    ),
                    Option(
                        "The cakes were too cold",
                        says="The log says nothing of the cakes. Stay with what is written down.",
                    ),
                ],
                worked=f"{causes[case][1]} Here the answer is in the row that differs from "
                "good practice: a half for the base, base between any two colours, one "
                "temperature.",
            )
        ],
        stem="A marble came out muddy. There is no photograph, only this log.",
        exhibit=Exhibit(
            "What was written down",
            ("entry", "value"),
            (("in all", say(total, digits=4)), *rows),
        ),
    )


@question("colour-order-change", outcome="marble-order", level="decide", minutes=3)
def order_change(draw: Draw) -> Asked:
    """Decide what to change in a plan for a marble."""
    main = draw.one_of("main", (30, 35, 40))
    total = draw.mass("total", 1000, 1600, 100)
    each = (100 - main) / 2
    return Asked(
        [
            ChoicePart(
                "What do you change before anyone pours?",
                [
                    Option(
                        "More base, to at least a half, and base between the colours", right=True
                    ),
                    Option(
                        "Nothing, the shares make a whole",
                        says="They do, and that is not enough. Ask how large the base is.",
                    ),
                    Option(
                        "Stir the pouring jug once, so that the colours join",
                        says="What is stirred becomes one colour. Ask what keeps them apart.",
                    ),
                    Option(
                        "Only the order; the shares are fine",
                        says="The order does need a change. Now look at the share of the "
                        "base as well.",
                    ),
                ],
                worked=f"The base has {main} %, and it needs at least "
                f"{say(marbling.dominant_share())} (common practice). In the plan red and blue "
                "touch, so base must go between them.",
            )
        ],
        stem="A plan for a marble lies on the bench.",
        exhibit=Exhibit(
            "The plan",
            ("entry", "value"),
            (
                ("in all", say(total, digits=4)),
                ("shares", f"white {main} %, red {each:g} %, blue {each:g} %"),
                ("order", "white, red, blue, white"),
                ("temperatures", "all from one bath"),
            ),
        ),
    )
