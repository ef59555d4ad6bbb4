"""More about colour: which jar for this jug, a jug that came out odd, and the next layer."""

from __future__ import annotations

from calculators import marbling
from calculators.units import say
from exercises.questions.draws import Draw
from exercises.questions.parts import Asked, ChoicePart, Exhibit, QuantityPart, WrongTurn, one_right
from exercises.questions.registry import question

LAST = "Your local rules and your supervisor come first."


# --- kinds of colourant --------------------------------------------------------------

_JARS = {
    "liquid": ("liquid, water-based", "The liquid"),
    "gel": ("gel, with glycerol", "The gel"),
    "soluble": ("powder, soluble in water", "The soluble powder"),
    "oil": ("powder, for fat", "The fat powder"),
}
_GOOD = {
    "liquid": "for food; colour: beetroot red",
    "gel": "for food; colour: anthocyanins, of grapes",
    "soluble": "for food; colour: beetroot red",
    "oil": "for food; colour: paprika extract",
}
_CHECK = {
    "liquid": "Ask what a liquid does to a glaze like this one, and read its label to the end.",
    "gel": "Ask what a gel brings with it, and read its label to the end.",
    "soluble": "Ask what this powder dissolves in, and read its label to the end.",
    "oil": "Ask what this powder is spread through, and read its label to the end.",
}


@question(
    "colour-which-jar",
    outcome="colour-kind",
    level="decide",
    use="assessed",
    safety=True,
    minutes=5,
)
def which_jar(draw: Draw) -> Asked:
    """Four jars of one shade, one jug: glaze, guests and law leave one of them."""
    right = draw.one_of("right", tuple(_JARS))
    jug = draw.mass("jug", 280, 520, 40)
    folds = "falls off in folds, a little too thick"
    runs = "runs off at once, as thin as it may be"
    glaze = "white chocolate glaze" if right == "oil" else "clear glaze, no fat in it"
    spoon = {"liquid": folds, "gel": folds, "soluble": runs, "oil": runs}[right]
    spoiled = {
        "liquid": {"gel": "carmine", "soluble": "decoration"},
        "gel": {"liquid": "carmine", "soluble": "decoration"},
        "soluble": {},
        "oil": {"soluble": "titanium"},
    }[right]
    labels = {
        "carmine": "for food; colour: carmine",
        "decoration": "non-toxic, for decoration; colours not listed",
        "titanium": "for food; colours: E 171 and another",
    }
    why = {
        "liquid": "The glaze is a little too thick, and the water of the liquid loosens it. "
        "The fat powder would speck, and two labels stop the others.",
        "gel": "The glaze is a little too thick and bears what a gel brings. The fat powder "
        "would speck, and two labels stop the others.",
        "soluble": "The glaze is as thin as it may be, so nothing wet goes in. It has no fat, "
        "so the fat powder would speck.",
        "oil": "The glaze is as thin as it may be, so nothing wet goes in. The other powder "
        "holds E 171, and this glaze has fat to spread a fat powder.",
    }[right]
    order = draw.shuffled("shelf", tuple(_JARS))
    return Asked(
        [
            ChoicePart(
                "Which jar do you take?",
                one_right({name: (_JARS[name][1], _CHECK[name]) for name in _JARS}, right),
                marks=3,
                worked=f"{why} {_JARS[right][1]}. {LAST}",
                safety=True,
            )
        ],
        stem=f"A jug of {say(jug)} is to become deep red. Suppose you work in a country of the EU, and "
        "some of the guests are vegetarians.",
        exhibit=Exhibit(
            "The jug and the shelf",
            ("What", "Found"),
            [
                ("in the jug", glaze),
                ("from the spoon it", spoon),
                *(
                    (_JARS[name][0], labels[spoiled[name]] if name in spoiled else _GOOD[name])
                    for name in order
                ),
            ],
        ),
    )


_ODD = {
    "water": (
        "Water came along and thinned it",
        "That would let it run ahead of the others. Compare how the jugs run.",
    ),
    "swelled": (
        "Solids swelled in it and thickened it",
        "That would make it the slowest of the jugs. Compare how the jugs run.",
    ),
    "no fat": (
        "Its powder found nothing to spread in",
        "That would leave coloured points in a pale glaze. Compare what was seen.",
    ),
    "blade": (
        "What glitters was cut to dust in it",
        "That would take the shimmer and leave the shade. Compare what was seen.",
    ),
}


@question("colour-odd-jug", outcome="colour-kind", level="decide", use="assessed", minutes=5)
def odd_jug(draw: Draw) -> Asked:
    """One jug of a marble came out odd, and its card leaves two reasons open."""
    case = draw.one_of("case", tuple(_ODD))
    jug = draw.mass("jug", 280, 400, 20)
    amount = {
        "water": f"{draw.whole('liquid', 7, 11)} g of liquid, {draw.whole('cocoa', 2, 3)} g of cocoa",
        "swelled": f"{draw.whole('much cocoa', 16, 24)} g of cocoa, "
        f"{draw.whole('little liquid', 1, 2)} g of liquid",
        "no fat": f"{draw.whole('oil', 2, 4)} g of a fat powder, a pinch of lustre flakes last",
        "blade": f"{draw.whole('flakes', 2, 4)} g of lustre flakes, a pinch of a fat powder",
    }[case]
    how = {
        "water": "blended, then rested",
        "swelled": "blended, then rested",
        "no fat": "blended; flakes stirred in by hand",
        "blade": "all blended together for a minute",
    }[case]
    base = {"no fat": "clear, no fat", "blade": "with white chocolate"}.get(
        case, draw.one_of("base", ("clear, no fat", "with white chocolate"))
    )
    seen = {
        "water": "a sheet from the spoon, sooner gone than the others",
        "swelled": "folds from the spoon, dull",
        "no fat": "dark points in a pale ground; it glitters",
        "blade": "an even grey; it does not glitter",
    }[case]
    warm = draw.one_of("warm", (32.6, 32.8, 33.3, 33.5))
    return Asked(
        [
            ChoicePart(
                "What is the most likely reason?",
                one_right(_ODD, case),
                marks=2,
                worked=f"In it: {amount}. {how.capitalize()}. Seen: {seen}. {_ODD[case][0]}.",
            )
        ],
        stem="Two jugs of a marble are as they should be, and the third is not.",
        exhibit=Exhibit(
            "The third jug",
            ("Entry", "Third jug", "The other two"),
            [
                ("mass", say(jug), say(jug)),
                ("glaze", base, base),
                ("colour", amount, "a pinch of soluble powder each"),
                ("treated", how, "blended, then rested"),
                ("temperature, stirred", f"{warm} °C", "33 °C"),
                ("seen", seen, "a sheet from the spoon, even"),
            ],
        ),
    )


@question(
    "colour-four-slips",
    outcome="colour-kind",
    level="decide",
    use="assessed",
    safety=True,
    minutes=6,
)
def four_slips(draw: Draw) -> Asked:
    """Four trainees say how they would colour one jug: whose slip is signed?"""
    jug = draw.mass("jug", 300, 480, 20)
    most = draw.one_of("most", (8, 10, 12))  # g/kg, on the labels
    pinch = round(jug.m * most / 1000 * draw.one_of("pinch", (0.2, 0.25, 0.3)), 1)
    over = round(jug.m * most / 1000 * draw.one_of("over", (1.6, 1.8, 2.0)), 1)
    label = f"for food, colours named, at most {most} g/kg"
    good = draw.one_of(
        "good",
        (
            ("soluble powder", f"{pinch} g, in a few drops of hot water", label),
            ("gel", f"{pinch} g, loosened in a spoonful of glaze", label),
        ),
    )
    bad = draw.shuffled(
        "bad",
        (
            (
                ("gel", f"{over} g, loosened in a spoonful of glaze", label),
                "Work out the largest mass that the label of this one allows in a jug like yours.",
            ),
            (
                (
                    "liquid",
                    f"{round(jug.m * 0.03)} g, dropped in and stirred",
                    "for food, colours named, as much as is needed",
                ),
                "Ask how much water this brings, and how this jug will run compared with the others.",
            ),
            (
                ("powder for fat", f"{pinch} g, blended into the warm glaze", label),
                "Ask what there is in this glaze to spread a powder like that.",
            ),
            (
                ("lustre flakes", f"{pinch} g, stirred in last", "non-toxic, for decoration"),
                "Ask whether anybody says on this label that it is food.",
            ),
            (
                (
                    "cocoa butter colour",
                    f"{pinch} g, melted and blended in",
                    "for food; cocoa butter, E 171, a colour",
                ),
                "Go through the contents of this one with the law of your country in mind.",
            ),
        ),
    )[:3]
    slips = [(good, ""), *bad]
    order = draw.shuffled("order", (0, 1, 2, 3))
    right = order.index(0)
    return Asked(
        [
            ChoicePart(
                "Whose slip do you sign?",
                one_right({n: (f"Slip {'TUVW'[n]}", slips[order[n]][1]) for n in range(4)}, right),
                marks=3,
                keep_order=True,
                worked=f"Slip {'TUVW'[right]}: {good[0]}, {good[1]}. It is food, it stays below "
                f"{most} g/kg, which is {say(jug * (most / 1000), digits=2)} here, and it hardly "
                f"changes how the jug runs. {LAST}",
                safety=True,
            )
        ],
        stem=f"A jug of {say(jug)} of clear glaze without fat runs just like the other two jugs of "
        "a marble, and must go on doing so. Suppose you work in a country of the EU.",
        exhibit=Exhibit(
            "Four slips",
            ("Slip", "Jar", "How much, and how", "On its label"),
            [("TUVW"[n], *slips[order[n]][0]) for n in range(4)],
        ),
    )


# --- shares ---------------------------------------------------------------------------


@question("colour-short-jug", outcome="marble-split", level="carry out", use="assessed", minutes=5)
def short_jug(draw: Draw) -> Asked:
    """The smallest jug is short: what marble does it still allow?"""
    share = draw.one_of("share", (20, 25))
    base = draw.one_of("base", (50, 55))
    cling = draw.mass("cling", 12, 28, 2)
    held = draw.mass("held", 228, 296, 4)
    total = (held - cling) * (100 / share)
    needed = total * (base / 100) + cling
    return Asked(
        [
            QuantityPart(
                "How much glaze can leave the jugs in total, if the shares stay the same?",
                answer=total,
                unit="g",
                tolerance="6 g",
                because="1 g in the small jug is 4 g or 5 g in all",
                wrong_turns=[
                    WrongTurn(
                        "cling forgotten",
                        held * (100 / share),
                        "This is the number you get if the small jug gives all that is in it. "
                        "Ask what stays on its wall.",
                    ),
                    WrongTurn(
                        "cling added",
                        (held + cling) * (100 / share),
                        "This is the number you get by adding the cling. "
                        "Ask whether more or less leaves the jug than is in it.",
                    ),
                    WrongTurn(
                        "cling of three jugs",
                        (held - 3 * cling) * (100 / share),
                        "This is the number you get with the cling of all jugs taken from one. "
                        "Each jug keeps its own.",
                    ),
                ],
                working="total = (in the jug − cling) / share",
                worked=f"({say(held)} − {say(cling)}) / {share / 100:g} = {say(total, digits=4)}",
            ),
            QuantityPart(
                "How much white must then be in its jug?",
                answer=lambda given: given["a"] * (base / 100) + cling,
                unit="g",
                tolerance="4 g",
                because="the total is good to some grams, and this is about half of it",
                wrong_turns=[
                    WrongTurn(
                        "cling forgotten",
                        lambda given: given["a"] * (base / 100),
                        "This is the number you get for what must leave the white jug. "
                        "Ask what stays in it.",
                    ),
                    WrongTurn(
                        "from the mass of the red",
                        held * (base / share),
                        "This is the number you get by scaling the red jug as it is. "
                        "Take the cling off before, and add it after.",
                    ),
                ],
                working="in the jug = total × share + cling",
                worked=f"{say(total, digits=4)} × {base / 100:g} + {say(cling)} = "
                f"{say(needed, digits=4)}",
            ),
        ],
        stem=f"A marble is {base} % white, {share} % red, the rest blue. Only {say(held)} of red "
        f"is in its jug, and no more can be made. Each jug keeps {say(cling)} on its wall.",
    )


# --- order ----------------------------------------------------------------------------


@question("colour-next-layer", outcome="marble-order", level="decide", use="assessed")
def next_layer(draw: Draw) -> Asked:
    """A pouring jug half filled, and somebody called away: what goes in next?"""
    case = draw.one_of("case", ("colour", "part", "rest", "bath"))
    first, second = draw.two_of("colours", ("red", "blue", "green", "pink"))
    total = draw.mass("total", 960, 1680, 120)
    layer, quarter = total.m / 6, total.m / 4
    done = {
        "colour": draw.one_of("after white", (1, 3)),
        "part": 2,
        "rest": 4,
        "bath": draw.one_of("after any", (1, 2, 3)),
    }[case]
    names = ("white", first, "white", second)
    poured = ", ".join(
        f"{name} {layer if name == 'white' else quarter:g} g" for name in names[:done]
    )
    left = {
        "white": total.m / 2 - layer * names[:done].count("white"),
        first: quarter * (done < 2),
        second: quarter * (done < 4),
    }
    middle = draw.whole("middle", 32, 33)
    apart = draw.whole("apart", 5, 7)
    warm = {
        name: middle - (apart if case == "bath" and name in ("white", second) else 0)
        for name in left
    }
    if case == "bath":
        warm["white"] = middle + 3
    texts = {
        "colour": (
            "A colour that is not in it, all of its jug",
            "This is for a jug whose top layer can take a colour. Ask what lies on top there now.",
        ),
        "part": (
            "White, and some of it kept for later",
            "This is for a jug that still waits for more than white. Ask what is to come, and "
            "whether white may come now.",
        ),
        "rest": (
            "White, as much as is left of it",
            "This closes the jug. Ask whether anything else must still go in before.",
        ),
        "bath": (
            "Nothing, until the jugs agree again",
            "This is for jugs that would not lie on each other. Compare the three that are left.",
        ),
    }
    why = {
        "colour": "White lies on top, so a colour may follow.",
        "part": f"{first.capitalize()} lies on top, so white must cover it, and {second} will "
        "need white above it as well.",
        "rest": f"{second.capitalize()} lies on top and nothing else is to come, so all the "
        "white that is left covers it.",
        "bath": "The jugs have drifted apart: a cool layer sinks in a lump, a warm one runs "
        "through. One bath comes first.",
    }
    rows = [("poured so far, first to last", poured)]
    rows += [
        (f"left in the {name} jug", f"{mass:g} g, {warm[name]} °C" if mass else "scraped out")
        for name, mass in left.items()
    ]
    return Asked(
        [
            ChoicePart(
                "What goes into the pouring jug next?",
                one_right(texts, case),
                marks=2,
                worked=f"{why[case]} {texts[case][0]}.",
            )
        ],
        stem=f"A marble of {say(total, digits=4)}: half white, a quarter {first}, a quarter "
        f"{second}. Whoever layered it was called away. All jugs were at one temperature "
        "when the first layer went in.",
        exhibit=Exhibit("As you find it", ("What", "Found"), rows),
    )


@question("colour-four-jugs", outcome="marble-order", level="decide", use="assessed", minutes=6)
def four_jugs(draw: Draw) -> Asked:
    """Four pouring jugs, layer by layer: which one will pour a clear marble?"""
    first, second = draw.two_of("colours", ("red", "blue", "green", "pink"))
    unit = draw.one_of("unit", (80, 90, 100, 110))
    more = draw.one_of("more", (0, 10, 20))

    def layers(*rows: tuple[str, float]) -> str:
        return ", ".join(f"{name} {mass:g}" for name, mass in rows)

    good = layers(
        ("white", 2 * unit + more),
        (first, 3 * unit),
        ("white", 2 * unit + more),
        (second, 3 * unit - 20),
        ("white", 2 * unit),
    )
    jugs = [
        ((good, "33, 33, 33"), ""),
        (
            (
                layers(
                    ("white", unit + 20),
                    (first, 3 * unit),
                    ("white", unit + 20),
                    (second, 3 * unit),
                    ("white", unit),
                ),
                "33, 33, 33",
            ),
            "The order is fine. Add up each colour of this jug, and ask which one keeps the "
            "others apart.",
        ),
        draw.one_of(
            "touch",
            (
                (
                    (
                        layers(
                            ("white", 3 * unit),
                            (first, 3 * unit),
                            (second, 3 * unit),
                            ("white", 3 * unit),
                        ),
                        "33, 33, 33",
                    ),
                    "The masses are fine. Read the layers of this jug aloud: what lies on what?",
                ),
                (
                    (
                        layers(
                            (first, 3 * unit),
                            ("white", 3 * unit),
                            (second, 3 * unit),
                            ("white", 3 * unit),
                        ),
                        "33, 33, 33",
                    ),
                    "The masses are fine. Ask which layer of this jug lies on bare wall.",
                ),
            ),
        ),
        (
            (
                layers(
                    ("white", 2 * unit),
                    (second, 3 * unit),
                    ("white", 2 * unit),
                    (first, 3 * unit),
                    ("white", 2 * unit),
                ),
                draw.one_of("apart", ("37, 30, 31", "29, 34, 35", "36, 36, 29")),
            ),
            "Order and masses are fine. Ask what else must be the same before one lies on another.",
        ),
    ]
    order = draw.shuffled("order", (0, 1, 2, 3))
    right = order.index(0)
    white = 6 * unit + 2 * more
    total = white + 6 * unit - 20
    return Asked(
        [
            ChoicePart(
                "Which jug do you pour over the cake that will be shown?",
                one_right({n: (f"Jug {'KLMN'[n]}", jugs[order[n]][1]) for n in range(4)}, right),
                marks=3,
                keep_order=True,
                worked=f"Jug {'KLMN'[right]}: white lies first, between and last; it is {white} g "
                f"of {total} g, which is at least {say(marbling.dominant_share())}; and all were "
                "equally warm.",
            )
        ],
        stem="Four cooks have each layered a pouring jug. The layers are listed in the order in which "
        f"they went in, in grams; the temperatures are those of white, {first} and {second} just "
        "before, in °C.",
        exhibit=Exhibit(
            "Four pouring jugs",
            ("Jug", "Layers, first to last", "Temperatures"),
            [("KLMN"[n], *jugs[order[n]][0]) for n in range(4)],
        ),
    )


@question("colour-mud-where", outcome="marble-order", level="decide", use="assessed", minutes=5)
def mud_where(draw: Draw) -> Asked:
    """The card has two weak points; where the mud is shows which of them caused it."""
    case = draw.one_of("case", ("touch", "stirred", "apart", "white short"))
    first, second = draw.two_of("colours", ("red", "blue", "yellow", "green"))
    also = draw.one_of("also", tuple(c for c in ("stirred", "apart", "white short") if c != case))
    total = draw.mass("total", 900, 1500, 60)
    here = (case, also)
    white = total.m * (0.4 if "white short" in here else 0.5)
    each = (total.m - white) / 2
    order = (
        f"white, {first}, {second}, white"
        if case == "touch"
        else (f"white, {first}, white, {second}, white")
    )
    warm = (
        "36 °C, 33 °C, 30 °C"
        if case == "apart"
        else ("34 °C, 33 °C, 32 °C" if also == "apart" else "33 °C, 33 °C, 33 °C")
    )
    carried = {
        case: "the jug was stirred once with a spoon" if case == "stirred" else "",
        also: "the jug was carried to the next bench" if also == "stirred" else "",
    }
    notes = [text for text in carried.values() if text] or ["poured where it was layered"]
    seen = {
        "touch": f"a third colour where {first} meets {second}; both clear against white",
        "stirred": "one colour all over, from the first drop; no edges anywhere",
        "apart": f"edges clear, but {second} came out in a lump at the end",
        "white short": f"edges clear; {first} and {second} crowd, and white is hard to find",
    }[case]
    texts = {
        "touch": (
            "No white between two colours",
            "That would make a third shade, and only where the two meet. Look where it is.",
        ),
        "stirred": (
            "A spoon went through the layers",
            "That would leave no edge at all. Look whether there are any.",
        ),
        "apart": (
            "One jug was thicker than the others",
            "That would let a layer sink or break through whole. Look for a lump.",
        ),
        "white short": (
            "Too small a share for the white",
            "That would leave edges but no ground. Look how much ground there is.",
        ),
    }
    return Asked(
        [
            ChoicePart(
                "Which weak point caused it?",
                one_right(texts, case),
                marks=2,
                worked=f"On the cake: {seen}. {texts[case][0]}.",
            )
        ],
        stem=f"A marble of {say(total, digits=4)} did not come out as drawn.",
        exhibit=Exhibit(
            "The card, and the cake",
            ("Line", "Written down"),
            [
                ("masses", f"white {white:g} g, {first} {each:g} g, {second} {each:g} g"),
                ("layers", order),
                ("temperatures", warm),
                ("before the pour", notes[0]),
                ("on the cake", seen),
            ],
        ),
    )
