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
        "water-soluble powder": "A pinch of this powder leaves the glaze as it is. Look up what "
        "carries its colour.",
        "titanium white": "This white lies in the glaze as fine dust. Look up what that does to it.",
        "cocoa powder": "Cocoa swells. Look up whether it brings water or takes it up.",
    }
    return ChoicePart(
        f"You colour a jug of {say(jug)} to a strong shade. Which colourant thins the glaze?",
        [
            Option(
                kind,
                right=colour.consistency(kind) == "thins",
                says=says.get(kind, ""),
            )
            for kind in kinds
        ],
        worked="Ask what carries the colour. A liquid is mostly water, and water thins.",
    )


@question("colour-white-here", outcome="colour-kind", level="decide", safety=True, minutes=3)
def white_here(draw: Draw) -> Asked:
    """An order list with a white: the law of the region decides what becomes of it."""
    region = draw.one_of("region", ("EU", "NI", "US", "CA", "AU", "Gulf"))
    mass = draw.mass("mass", 20, 50, 10)
    permission = safety.allowed("titanium white", region)
    note = permission.notes[0]
    options = {
        "no": (
            "Strike it out and plan an ivory base instead",
            "That is for a white that a law forbids. Look for such a word in the note.",
        ),
        "yes": (
            "Keep it, up to the dose in the note and on the jar",
            "That is for a white that a published note permits. Read how this note puts it.",
        ),
        "ask": (
            "Leave it unopened until the supervisor has an answer",
            "That is for a note that isn't sure. Does this one leave a doubt?",
        ),
        "side": (
            "Spread a little of it on the sides of the cakes and only there",
            "Guests eat the sides as well. Ask what the note says about food.",
        ),
    }
    return Asked(
        [
            ChoicePart(
                "What becomes of the white powder?",
                one_right(options, permission.answer),
                marks=2,
                worked=f"The note for {safety.REGIONS[region]} ({note.provenance}): {note.text} "
                f"{options[permission.answer][0]}. Your local rules and your supervisor come first.",
                safety=True,
            )
        ],
        stem=f"Suppose you work in {safety.REGIONS[region]}. This course notes ({note.provenance}): "
        f"{note.text} A formula in three colours comes from a colleague abroad.",
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


@question("colour-lustre-missing", outcome="colour-kind", level="decide", safety=True, minutes=3)
def lustre_missing(draw: Draw) -> Asked:
    """What is still to be found out before a shimmer may go on a cake."""
    weight = draw.mass("weight", 5, 25, 5)
    known = draw.one_of("known", ("for food", "colours", "allowed"))
    facts = {
        "for food": ("for food", "on the back", "the front says shimmer, and nothing else does"),
        "colours": (
            "colours, by number",
            "listed on the back",
            "the front says silver, and nothing else does",
        ),
        "allowed": (
            "law of this region",
            "supervisor: all colours of this maker are allowed here",
            "looked up by nobody",
        ),
    }
    open_points = {
        "for food": "Does its label say that it may be eaten?",
        "colours": "What colours are in it, each by name or number?",
        "allowed": "Does the law of this region allow each of them?",
    }
    return Asked(
        [
            ChoicesPart(
                "What must you still find out before it may go into a glaze? Choose all that apply.",
                [
                    Option(
                        text,
                        right=name != known,
                        says="Go through what you have found. Is this answered there?"
                        if name == known
                        else "",
                    )
                    for name, text in open_points.items()
                ]
                + [
                    Option(
                        "Does its front promise that it is non-toxic, and washable?",
                        says="Words like these do not make it food. Ask which words would.",
                    ),
                    Option(
                        "Was it used here last year, and did guests like the look?",
                        says="What was done before proves nothing about the law. Read the label.",
                    ),
                ],
                marks=2,
                worked="It must be made for food, you must know what is in it, and the law must "
                f"allow that. Already known: {facts[known][0]}. In doubt it stays out. Your local "
                "rules and your supervisor come first.",
                safety=True,
            )
        ],
        stem=f"A tube of {say(weight)} of silver lustre is in the drawer.",
        exhibit=Exhibit(
            "What you have found so far",
            ("point", "found"),
            [(what, yes if name == known else no) for name, (what, yes, no) in facts.items()],
        ),
    )


_JUGS = {
    "fat": (
        "Its powder is for fat, and found none",
        "Compare what each powder needs with what is in each glaze.",
    ),
    "dry": (
        "Its powder went in dry, and stayed in lumps",
        "Compare how the powder went into each jug.",
    ),
    "air": (
        "Its blade drew in air, which made it pale",
        "Compare what was seen, and how each jug was blended.",
    ),
    "dose": (
        "Its dose was smaller, so the shade is weaker",
        "Compare the two masses of powder, jug for jug.",
    ),
}


@question("colour-two-jugs", outcome="colour-kind", level="decide", minutes=4)
def two_jugs(draw: Draw) -> Asked:
    """One shade, two jugs: what went wrong in the second?"""
    case = draw.one_of("case", tuple(_JUGS))
    jug = draw.mass("jug", 300, 600, 50)
    powder = draw.mass("powder", 2, 4, 0.5)
    less = say(powder * 0.5) if case == "dose" else say(powder)
    seen = {
        "fat": "dark specks, however long it is stirred",
        "dry": "dark specks; one that is crushed gives a strong streak",
        "air": "paler, with fine pits",
        "dose": "paler; smooth",
    }[case]
    return Asked(
        [
            ChoicePart(
                "What is the most likely cause in jug B?",
                one_right(_JUGS, case),
                marks=2,
                worked=f"Jug B: {seen}. {_JUGS[case][0]}.",
            )
        ],
        stem="Both jugs were to have the same shade. Jug A is as it should be.",
        exhibit=Exhibit(
            "Two jugs",
            ("", "jug A", "jug B"),
            (
                (
                    "glaze",
                    "white chocolate glaze",
                    "clear glaze, no fat in it" if case == "fat" else "white chocolate glaze",
                ),
                ("mass", say(jug), say(jug)),
                (
                    "powder",
                    f"{say(powder)}, {'for fat' if case == 'fat' else 'soluble'}",
                    f"{less}, {'for fat' if case == 'fat' else 'soluble'}",
                ),
                (
                    "added",
                    "loosened in a spoonful first",
                    "straight from the jar"
                    if case in ("dry", "air")
                    else "loosened in a spoonful first",
                ),
                (
                    "blended",
                    "guard covered",
                    "guard half out" if case == "air" else "guard covered",
                ),
                ("seen", "an even colour", seen),
            ),
        ),
    )


@question("colour-who-runs-ahead", outcome="colour-kind", level="decide", minutes=4)
def who_runs_ahead(draw: Draw) -> Asked:
    """How much water a liquid colour brings, and which jug it thins."""
    jug = draw.mass("jug", 300, 600, 50)
    dose = draw.quantity("dose", 12, 24, 2, "g/kg")
    share = draw.percent("share", 75, 90, 5)
    wet, dry = draw.two_of("colours", ("red", "blue", "green", "yellow"))
    brought = (jug * dose).to("g")
    water = (brought * share).to("g")
    return Asked(
        [
            QuantityPart(
                f"The {wet} jug holds {say(jug)} of glaze. It gets {say(dose)} of a liquid colour, "
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
                f"The {dry} jug gets a pinch of soluble powder, the white one nothing. All are at "
                "one temperature. What do you expect in the marble?",
                [
                    Option(f"{wet.capitalize()} runs ahead, and its edges smear", right=True),
                    Option(
                        f"{dry.capitalize()} runs ahead, and its edges smear",
                        says="A pinch of powder brings no water. Ask which jug became thinner.",
                    ),
                    Option(
                        "White runs ahead, and its edges smear",
                        says="Nothing went into this one. Ask what went into each of the others.",
                    ),
                    Option(
                        "All three run alike, and their edges stay clear",
                        says="Heat is one cause of a thin glaze, and water is another. "
                        "Compare what went into the jugs.",
                    ),
                ],
                worked=f"Water thins. {wet.capitalize()} is thinner than the others, so it runs "
                "ahead of them and its edges smear.",
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
                worked=f"its share = {say(total, digits=4)} × 0.25 = {say(total / 4, digits=4)}; "
                f"{say(total / 4, digits=4)} + {say(cling)} = {say(small, digits=4)}",
            ),
            QuantityPart(
                "How much do you make in all, for the three jugs?",
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
                        "This is the number you get for what leaves the jugs. "
                        "Ask what stays in them.",
                    ),
                ],
                working="in all = total + number of jugs × cling",
                worked=f"{say(total, digits=4)} + 3 × {say(cling)} = "
                f"{say(large + 2 * small, digits=4)}",
            ),
        ],
        stem=f"You need {say(total, digits=4)} of glaze out of the jugs: half of it white, a quarter "
        f"red, a quarter blue. Each jug keeps {say(cling)} on its wall, however full it was.",
    )


@question("colour-split-table", outcome="marble-split", level="carry out")
def split_table(draw: Draw) -> Asked:
    """Share a glaze out into three different shares."""
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
        stem=f"You need {say(total, digits=4)} of glaze out of the jugs: {main} % ivory, "
        f"{second} % pink, the rest green. Each jug keeps {say(cling)} on its wall.",
    )


@question("colour-base-layer", outcome="marble-split", level="carry out")
def base_layer(draw: Draw) -> QuantityPart:
    """How heavy one layer of the main colour is."""
    total = draw.mass("total", 900, 2100, 60)
    layer = marbling.layers(total, {"white": HALF, "red": QUARTER, "blue": QUARTER}, "white")[0][1]
    return QuantityPart(
        f"{say(total, digits=4)} goes into the pouring jug: half of it white, the main "
        "colour, a quarter red, a quarter blue. White goes in first, between the colours, and last, in equal "
        "layers. What does one layer of white weigh?",
        answer=layer,
        tolerance="2 g",
        because="Nobody can pour a layer more exactly than that.",
        wrong_turns=[
            WrongTurn(
                "two layers",
                total / 4,
                "This is the number you get for two layers of white. Write the order "
                "down and count the white in it.",
            ),
            WrongTurn(
                "five equal layers",
                total / 5,
                "This is the number you get when all five layers weigh the same. Look "
                "again at the share of the white.",
            ),
            WrongTurn(
                "all of it white",
                total / 3,
                "This is the number you get when the whole jug is white. Take its share first.",
            ),
        ],
        working="layer = total × share of the main colour ÷ number of its layers",
        worked=f"The white is {say(total, digits=4)} × 0.5 = {say(total / 2, digits=4)}. "
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
            "Hold all jugs in one bath until they are at one temperature",
            "Pour a third of the white into the pouring jug",
            f"Pour the {first} gently onto the white",
            f"Cover the {first} with the second third of the white",
            f"Pour the {second} gently onto that white",
            f"Cover the {second} with the last of the white",
            "Pour over the cake in one go, without stirring",
        ],
        marks=3,
        worked="Bring all to one temperature. The main colour goes in first, between the others, and "
        "last. Stir now, and the marble is lost.",
        says="No two colours may touch: the main one lies between them. And ask what must be the "
        "same in all jugs before you begin.",
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
            "Too little white, which must keep the others apart",
            "Add up the share of the white: is it below a half?",
        ),
        "touch": (
            "Two colours in a row, with no white to part them",
            "Read the order aloud: do two colours follow each other?",
        ),
        "apart": (
            "Three jugs that were not equally warm when layered",
            "Compare the three temperatures: are they alike?",
        ),
    }
    return Asked(
        [
            ChoicePart(
                "What does the log show?",
                [
                    *one_right(
                        {
                            name: (words, f"The log does not show this. {check}")
                            for name, (words, check) in causes.items()
                        },
                        case,
                    ),
                    Option(
                        "A cake that was too cold for the glaze that was poured on it",
                        says="The log says nothing about the cake. Stay with what is written down.",
                    ),
                ],
                worked=f"{causes[case][0]}. A clear marble needs three things: at least half of it "
                "one colour, that colour between any two others, one temperature.",
            )
        ],
        stem="A marble came out muddy. There is no photograph, only this log.",
        exhibit=Exhibit(
            "What was written down",
            ("entry", "value"),
            (("in all", say(total, digits=4)), *rows),
        ),
    )


_PLANS = {
    "share": (
        "More white, with the layers left as they are",
        "Add up the plan: does the white have its half? And does it lie between the colours?",
    ),
    "layers": (
        "White between the colours, with the shares as they are",
        "Read the layers aloud: do two colours follow each other? And is there white enough?",
    ),
    "both": (
        "More white, and some of it between the colours",
        "Two things would have to be wrong for that. Check the shares and then the layers.",
    ),
    "nothing": (
        "Neither shares nor layers: it can be poured as planned",
        "Check the share of the white, and then what lies on what. Is each as it should be?",
    ),
}


@question("colour-mend-the-plan", outcome="marble-order", level="decide", minutes=3)
def mend_the_plan(draw: Draw) -> Asked:
    """Decide what to change in a plan for a marble."""
    case = draw.one_of("case", tuple(_PLANS))
    small, large = draw.one_of("small", (30, 36, 40)), draw.one_of("large", (50, 54, 60))
    main = small if case in ("share", "both") else large
    total = draw.mass("total", 1000, 1600, 100)
    each = (100 - main) / 2
    touch = case in ("layers", "both")
    return Asked(
        [
            ChoicePart(
                "What do you change before anyone pours?",
                one_right(_PLANS, case),
                marks=2,
                worked=f"The white has {main} %, and it needs at least "
                f"{say(marbling.dominant_share())} (common practice). "
                + ("Red and blue touch. " if touch else "White lies between red and blue. ")
                + f"{_PLANS[case][0]}.",
            )
        ],
        stem="This is a plan for a marble.",
        exhibit=Exhibit(
            "The plan",
            ("entry", "value"),
            (
                ("in all", say(total, digits=4)),
                ("shares", f"white {main} %, red {each:g} %, blue {each:g} %"),
                ("order", "white, red, blue, white" if touch else "white, red, white, blue, white"),
                ("temperatures", "all from one bath"),
            ),
        ),
    )
