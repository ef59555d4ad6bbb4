"""Questions about blending: bubbles, the air in a cup, and the blade in the jug."""

from __future__ import annotations

from math import pi

from calculators import blending
from calculators.units import number, q, say
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

STOKES = "time = depth × 18 × viscosity / (density × g × diameter²)"
G = "9.81 m/s²"
ROUNDED = "g and the steps between may be rounded"


def _leaves(depth: float, diameter: float, thick: float, heavy: float) -> str:
    """Return the sum of the time a bubble takes, in metres, seconds and pascals."""
    return (
        f"{number(depth / 100)} m × 18 × {number(thick)} Pa s / "
        f"({number(heavy, 4)} kg/m³ × {G} × ({number(diameter / 1000)} m)²)"
    )


# --- bubbles that rise ------------------------------------------------------------


@question("blending-time-to-leave", outcome="bubble-rise", level="carry out", minutes=6)
def time_to_leave(draw: Draw) -> Asked:
    """How long a bubble needs from the bottom of the jug."""
    depth = draw.length("depth", 6, 13)
    size = draw.length("size", 0.3, 0.7, step=0.1, unit="mm")
    thick = draw.one_of("viscosity", (0.4, 0.6, 1.2, 2.4))
    heavy = draw.one_of("density", (1240, 1260, 1290, 1310))
    given = depth, size, q(thick, "Pa*s"), q(heavy, "kg/m**3")
    time = blending.time_to_clear(*given)
    return Asked(
        [
            QuantityPart(
                f"A glaze is {say(depth)} deep in its jug. Its viscosity is {number(thick)} Pa s "
                f"and its density {heavy} kg/m³. A bubble {say(size)} wide, with a skin of gelatin, "
                "sits at the bottom. How long until it reaches the surface, if the glaze stays as it is?",
                answer=time,
                unit="min",
                tolerance="2 % of the answer",
                because=ROUNDED,
                wrong_turns=[
                    WrongTurn(
                        "radius for diameter",
                        4 * time,
                        "This is the number you get with the radius in place of the diameter. "
                        "Look again at what the formula squares.",
                    ),
                    WrongTurn(
                        "a bubble without a skin",
                        blending.time_to_clear(*given, surface=blending.CLEAN),
                        "This is the number you get for a clean bubble in a bare syrup. "
                        "Read the question again: what covers this one?",
                    ),
                    WrongTurn(
                        "minutes for seconds",
                        time / 60,
                        "This is the number you get with minutes written for seconds. "
                        "Check each unit again.",
                    ),
                ],
                working=STOKES,
                worked=f"{_leaves(depth.m, size.m, thick, heavy)} = {say(time, 's', digits=4)} = "
                f"{say(time, digits=4)}",
            )
        ]
    )


@question("blending-half-the-size", outcome="bubble-rise", level="recall", minutes=3)
def half_the_size(draw: Draw) -> Asked:
    """The square: another size of bubble, the same jug."""
    minutes = draw.duration("minutes", 3, 14)
    parts, word = draw.one_of("parts", ((2, "half as wide"), (3, "a third as wide")))
    time = minutes * parts**2
    return Asked(
        [
            QuantityPart(
                f"A bubble needs {say(minutes)} to leave the jug. How long does a bubble {word} "
                "need in the same glaze?",
                answer=time,
                tolerance="1 min",
                because="the minutes are whole",
                marks={"value": 1, "unit": 1},
                wrong_turns=[
                    WrongTurn(
                        "half the size, half the speed",
                        minutes * parts,
                        "This is the number you get if speed grows with the width itself. "
                        "Look again at what the formula does to the diameter.",
                    ),
                    WrongTurn(
                        "the wrong way round",
                        minutes / parts**2,
                        "This is the number you get if the smaller bubble were the faster one. "
                        "Ask yourself which one has less lift.",
                    ),
                ],
                working="time goes with 1 / diameter²",
                worked=f"{say(minutes)} × {parts} × {parts} = {say(time, digits=4)}",
            )
        ]
    )


@question("blending-will-a-rest-do", outcome="bubble-rise", level="decide", minutes=4)
def will_a_rest_do(draw: Draw) -> Asked:
    """A jug, its bubbles and a rest: what the rest can do, and what it can't."""
    rest = draw.duration("rest", 15, 25, step=5)
    depth = q(draw.one_of("depth", (8, 9, 10)), "cm")
    case = draw.one_of("case", ("rest", "sieve", "warm"))
    thick = {"at 60 °C, 0.3 Pa s": q(0.3, "Pa*s"), "at 33 °C, 4 Pa s": q(4, "Pa*s")}
    heavy = q(1290, "kg/m**3")
    sizes = [q(mm, "mm") for mm in (0.1, 0.5, 1)]
    rows = [
        (
            say(size),
            *(say(blending.time_to_clear(depth, size, v, heavy), digits=2) for v in thick.values()),
        )
        for size in sizes
    ]
    seen, warm = {
        "rest": ("half a millimetre", 60),
        "sieve": ("a tenth of a millimetre", 60),
        "warm": ("half a millimetre", 33),
    }[case]
    options = {
        "rest": (
            "Leave it as it is for the rest of that time",
            "Find the row of its bubbles and the column of its heat. Is this rest long enough?",
        ),
        "sieve": (
            "Sieve it now; next time make it the day before",
            "Sieve and night are for bubbles that no rest clears. Could these leave by themselves?",
        ),
        "warm": (
            "Warm it again under film; let it rest then",
            "Heat makes a glaze thin. Ask whether this one is too thick for its bubbles to leave.",
        ),
        "blend": (
            "Blend it again with the blade near the surface",
            "A blade near the surface draws in more air than it breaks. Look for a way without one.",
        ),
    }
    why = {
        "rest": "At 60 °C these bubbles are out long before the rest is over.",
        "sieve": "The smallest bubbles need far longer than any rest that is allowed in the warm. "
        "A sieve breaks some of them now; in a night in the fridge the tiniest dissolve.",
        "warm": "At 33 °C these bubbles stay in for longer than the rest; at 60 °C they leave "
        "within minutes.",
    }
    return Asked(
        [
            ChoicePart(
                f"A glaze was blended and is now at {warm} °C, covered. You can give it {say(rest)}. "
                f"It is full of bubbles of about {seen}. What do you do?",
                one_right(options, case),
                marks=2,
                worked=f"{why[case]} {options[case][0]}.",
            )
        ],
        exhibit=Exhibit(
            f"How long bubbles need in {say(depth)} of this thick glaze",
            ("Size", *thick),
            rows,
        ),
    )


@question("blending-smallest-left", outcome="bubble-rise", level="carry out", minutes=6)
def smallest_left(draw: Draw) -> Asked:
    """What a rest has cleared, and what four times the rest would."""
    depth = draw.length("depth", 6, 13)
    rest = draw.duration("rest", 10, 40, step=5)
    thick = draw.one_of("viscosity", (0.4, 0.6, 1.2, 2.4))
    heavy = 1290
    given = depth, rest, q(thick, "Pa*s"), q(heavy, "kg/m**3")
    size = blending.smallest_cleared(*given)
    return Asked(
        [
            QuantityPart(
                f"A glaze of {number(thick)} Pa s and {heavy} kg/m³ is {say(depth)} deep and rests "
                f"for {say(rest)}. How wide is the smallest bubble, with a skin, that has had time to leave?",
                answer=size,
                unit="mm",
                tolerance="2 % of the answer",
                because=ROUNDED,
                wrong_turns=[
                    WrongTurn(
                        "radius for diameter",
                        size / 2,
                        "This is the number you get for the radius. The formula has the whole width: "
                        "look again at what was asked.",
                    ),
                    WrongTurn(
                        "minutes for seconds",
                        size * 60**0.5,
                        "This is the number you get with the minutes put in as seconds. "
                        "Check each unit again.",
                    ),
                ],
                working="diameter = sqrt(18 × viscosity × depth / (density × g × time))",
                worked=f"sqrt(18 × {number(thick)} Pa s × {number(depth.m / 100)} m / ({heavy} kg/m³ × {G} × "
                f"{number(rest.m * 60, 4)} s)) = {say(size, digits=4)}",
            ),
            QuantityPart(
                "And after four times that rest?",
                answer=lambda given: given["a"] / 2,
                unit="mm",
                tolerance="3 % of the answer",
                because=ROUNDED,
                wrong_turns=[
                    WrongTurn(
                        "four times the rest, a quarter of the size",
                        lambda given: given["a"] / 4,
                        "This is the number you get if size falls with the time itself. "
                        "Look for the square root.",
                    ),
                    WrongTurn(
                        "the same bubble",
                        lambda given: given["a"],
                        "This is the number you get if the rest makes no difference. "
                        "Put four times the time into the formula.",
                    ),
                ],
                working="diameter goes with 1 / sqrt(time)",
                worked=f"{say(size, digits=4)} / sqrt(4) = {say(size / 2, digits=4)}",
            ),
        ]
    )


# --- air in a cup ----------------------------------------------------------------------


@question("blending-air-in-the-cup", outcome="bubble-air", level="carry out", minutes=4)
def air_in_the_cup(draw: Draw) -> Asked:
    """Two weighings of one cup."""
    cup = draw.mass("cup", 42, 68)
    shown = draw.mass("shown", 362, 388)
    lost = q(draw.whole("lost", 9, 29), "g")
    free, weighed = shown - cup, shown - cup - lost
    air = blending.air_fraction(weighed, free)
    return Asked(
        [
            QuantityPart(
                f"An empty cup weighs {say(cup)}. Filled level with glaze that is free of air, it "
                f"shows {say(shown)} on the scale. Filled level after blending, it shows {say(shown - lost)}. "
                "What share of the blended glaze is air, by volume?",
                answer=air,
                tolerance="0.2 %",
                because="the bench scale shows whole grams",
                wrong_turns=[
                    WrongTurn(
                        "the cup left on the scale",
                        q(100 * lost.m / shown.m, "percent"),
                        "This is the number you get with the cup weighed in. "
                        "Take it off both weighings first.",
                    ),
                    WrongTurn(
                        "the glaze, not the air",
                        q(100 - air.m, "percent"),
                        "This is the number you get for the glaze in the cup. "
                        "Ask yourself what fills the rest.",
                    ),
                ],
                working="air = (1 − weighed / free of air) × 100 %",
                worked=f"{say(shown - lost)} − {say(cup)} = {say(weighed)}; {say(shown)} − {say(cup)} = {say(free)}; "
                f"(1 − {say(weighed)} / {say(free)}) × 100 % = {say(air, digits=4)}",
            )
        ]
    )


@question("blending-log-of-the-cup", outcome="bubble-air", level="decide", minutes=5)
def log_of_the_cup(draw: Draw) -> Asked:
    """One cup weighed four times: where did the air come from?"""
    full = draw.mass("full", 306, 330)
    case = draw.one_of("case", ("blended in", "sieved in", "never in"))
    first = draw.whole("first", 1, 2)
    falls = {
        "blended in": (first, 16, 14, 12),
        "sieved in": (first, first + 1, first + 1, 15),
        "never in": (first, first + 1, first + 1, first + 1),
    }[case]
    steps = (
        "poured out of the pan",
        "blended for a minute",
        "rested for 15 min",
        "sieved from high up",
    )
    rows = [(step, say(full - q(less, "g"))) for step, less in zip(steps, falls, strict=True)]
    says = {
        "blended in": "Compare the weighing before and after the blender: does it jump there?",
        "sieved in": "Compare the weighing before and after the sieve: does it jump there?",
        "never in": "The scale can't show a difference of one gram. Look for a larger jump.",
    }
    sentences = {
        "blended in": "At the blender: cover its guard.",
        "sieved in": "At the sieve: hold it lower.",
        "never in": "Nowhere: keep it up.",
    }
    return Asked(
        [
            ChoicePart(
                f"Free of air, the glaze fills the cup with {say(full)}. Where did most of the air come in, and "
                "what do you change?",
                [
                    *one_right(sentences, case, says),
                    Option(
                        "During the rest: leave that out from now on.",
                        says="A rest lets air out, if anything. Look at the rows before and after it.",
                    ),
                ],
                marks=2,
                worked="Look for the row where the cup gets lighter by much more than a gram: the air "
                "came in there. If there is no such row, there is nothing to mend.",
            )
        ],
        exhibit=Exhibit(
            "The same cup, filled level each time", ("After", "Glaze in the cup"), rows
        ),
    )


# --- jug and blade -------------------------------------------------------------------------


@question("blending-covered-shares", outcome="bubble-jug", level="carry out", minutes=6)
def covered_shares(draw: Draw) -> Asked:
    """The least glaze over the guard, and then the shares of a marble."""
    width = draw.length("width", 9, 14)
    guard = draw.length("guard", 2.5, 4, step=0.5)
    margin, heavy = blending.BLADE_COVER, 1290
    least = blending.smallest_batch(width, guard, margin, q(heavy, "kg/m**3")).mass

    def mass(wide: float, deep: float) -> object:
        return q(pi / 4 * wide**2 * deep * heavy / 1000, "g")

    total = q(round(least.m * draw.one_of("share", (1.6, 2.4, 2.8, 4.4, 4.8)), -1), "g")
    half, quarter = say(total / 2, places=0), say(total / 4, places=0)
    covered = "all" if total / 4 > least else "half" if total / 2 > least else "none"
    return Asked(
        [
            QuantityPart(
                f"A jug is {say(width)} wide inside. The blender's guard is {say(guard)} high, and "
                f"you want {say(margin)} of glaze over it. The glaze weighs {heavy} kg/m³. "
                "What is the smallest mass that you can blend?",
                answer=least,
                tolerance="2 % of the answer",
                because="widths are measured to a millimetre",
                wrong_turns=[
                    WrongTurn(
                        "the guard just covered",
                        mass(width.m, guard.m),
                        "This is the number you get without the margin. "
                        "The surface dips as the blade turns: read the question again.",
                    ),
                    WrongTurn(
                        "width for radius",
                        mass(2 * width.m, guard.m + margin.m),
                        "This is the number you get with the width put in as the radius. "
                        "Look again at what the formula squares.",
                    ),
                    WrongTurn(
                        "glaze as heavy as water",
                        q(least.m / heavy * 1000, "g"),
                        "This is the number you get for water. Multiply the volume by the density of the glaze.",
                    ),
                ],
                working="least mass = pi / 4 × width² × (guard + margin) × density",
                worked=f"pi / 4 × ({say(width)})² × {say(guard + margin)} × {number(heavy / 1000)} g/cm³ = "
                f"{say(least, digits=4)}",
            ),
            ChoicePart(
                f"You make {say(total, digits=4)} of glaze and divide it: one half of {half}, and two "
                f"quarters of {quarter} each, every one in a jug of this width. What can you blend?",
                one_right(
                    {
                        "all": (
                            "all three shares",
                            "Compare a quarter with the least mass of the part before.",
                        ),
                        "half": (
                            "only the half",
                            "Compare each share with the least mass of the part before: both sizes.",
                        ),
                        "quarters": (
                            "only the quarters",
                            "A smaller share is shallower in the jug. Ask which one covers the blade.",
                        ),
                        "none": (
                            "none of them",
                            "Compare the half with the least mass of the part before.",
                        ),
                    },
                    covered,
                ),
                keep_order=True,
                worked=f"The least is {say(least, places=0)}. The half is {half}, a quarter is "
                f"{quarter}: "
                + {
                    "all": "each share covers the blade.",
                    "half": "only the half covers the blade.",
                    "none": "no share covers the blade.",
                }[covered],
            ),
        ]
    )


def _jugs(widths: tuple[int, ...], depths: tuple[float, ...], guard: float) -> str:
    """Return three jugs cut through, drawn to one scale, as SVG."""
    unit, floor, gap = 9, 150, 24
    left, parts = gap, []
    for letter, width, depth in zip("ABC", widths, depths, strict=True):
        right, top, middle = (
            left + width * unit,
            floor - depth * unit,
            left + width * unit / 2,
        )
        parts.append(
            f'<rect x="{left}" y="{top:g}" width="{width * unit}" height="{depth * unit:g}" '
            'fill="currentColor" fill-opacity="0.12"/>'
            f'<path d="M{left} 30 V{floor} H{right} V30" fill="none" stroke="currentColor" stroke-width="2"/>'
            f'<path d="M{left} {top:g} H{right}" stroke="currentColor"/>'
            f'<path d="M{middle - 18:g} {floor} v{-guard * unit:g} h36 v{guard * unit:g} z" '
            'fill="currentColor" fill-opacity="0.55"/>'
            f'<path d="M{middle:g} {floor - guard * unit:g} V12" stroke="currentColor" stroke-width="4"/>'
            f'<text x="{middle:g}" y="172" text-anchor="middle" fill="currentColor">{letter}</text>'
        )
        left = right + gap
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {left} 182" font-family="sans-serif" '
        f'font-size="15">{"".join(parts)}</svg>'
    )


@question("blending-pool-or-not", outcome="bubble-jug", level="decide", minutes=4)
def pool_or_not(draw: Draw) -> Asked:
    """Three jugs with the same share: in which one does the blade stay covered?"""
    mass = draw.mass("mass", 350, 380, step=10)
    heavy, guard, margin = q(1290, "kg/m**3"), 3.0, blending.BLADE_COVER
    middle = draw.one_of("middle", (10, 11))
    widths = tuple(draw.shuffled("widths", (8, middle, 14)))
    depths = tuple(blending.depth_in_jug(mass, q(w, "cm"), heavy).m for w in widths)
    need = guard + margin.m
    right = widths.index(8)
    said = "; ".join(
        f"jug {letter}: {width} cm wide, {number(depth, 2)} cm deep"
        for letter, width, depth in zip("ABC", widths, depths, strict=True)
    )
    return Asked(
        [
            ChoicePart(
                f"Each of three jugs holds {say(mass)} of glaze. The guard is {number(guard)} cm high, "
                f"and you want {say(margin)} of glaze over it. Which jug do you take?",
                [
                    *one_right(
                        {n: f"jug {letter}" for n, letter in enumerate("ABC")},
                        right,
                        {
                            n: f"Read how deep the glaze is in jug {letter}. "
                            "Is that more than guard and margin added up?"
                            for n, letter in enumerate("ABC")
                        },
                    ),
                    Option(
                        "any of them, with the jug tilted",
                        says="A running blender stays still, and so does its jug. Look for a jug that suits.",
                    ),
                ],
                marks=1,
                keep_order=True,
                worked=f"Guard and margin together are {say(q(guard, 'cm') + margin)}. Only the narrow jug "
                f"{'ABC'[right]} holds the glaze that deep: {number(depths[right], 2)} cm.",
            ),
            ChoicesPart(
                "Another bench has the same mass of the same colour, and you put both into one "
                "jug. In which of these is the blade covered now, with its margin?",
                [
                    *(
                        Option(
                            f"jug {letter}",
                            right=2 * depth > need,
                            says=""
                            if 2 * depth > need
                            else f"Work out how deep twice the glaze is in jug {letter}, and "
                            "compare again.",
                        )
                        for letter, depth in zip("ABC", depths, strict=True)
                    ),
                    Option(
                        "all, if it runs only briefly",
                        says="Air goes in at the first turn of the blade. Ask what covers it.",
                    ),
                    Option(
                        "all, if you tilt the jug",
                        says="The blade comes near the surface, and the jug near your hand. Look "
                        "for a way that keeps both still.",
                    ),
                ],
                marks=2,
                worked="Twice the glaze is twice as deep: "
                + "; ".join(
                    f"jug {letter} {number(2 * depth, 2)} cm"
                    for letter, depth in zip("ABC", depths, strict=True)
                )
                + f". Guard and margin need {number(need)} cm.",
                safety=True,
            ),
        ],
        exhibit=Exhibit(
            "Three jugs cut through, with the guard standing in each",
            svg=_jugs(widths, depths, guard),
            alt=f"Three jugs with the guard of a blender, {number(guard)} cm high, on the floor of each. {said}.",
        ),
    )


@question("blending-steps", outcome="bubble-jug", level="decide", safety=True, minutes=3)
def steps(draw: Draw) -> Asked:
    """The way of the hand, in order."""
    full = draw.one_of("full", ("half full", "two thirds full at the most"))
    return Asked(
        [
            OrderPart(
                "Put the steps of blending without air in order.",
                [
                    f"Fill the jug until guard and margin are covered, {full}.",
                    "Lower the guard in at a slant, so that the air under it escapes.",
                    "Stand it upright on the floor of the jug.",
                    "Switch on at the slowest speed.",
                    "Switch off, and wait until the blade has stopped.",
                    "Lift the blender out.",
                ],
                marks=2,
                says="Ask at each step: is the blade covered, and is it turning?",
                worked="The blade turns only while it is covered, and it has stopped before you lift it out. "
                "Your supervisor and the maker's rules come first.",
                safety=True,
            )
        ]
    )
