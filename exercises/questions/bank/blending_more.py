"""More about blending: a bubble timed, air by ruler and scale, and where it came in."""

from __future__ import annotations

from math import pi

from calculators import blending
from calculators.units import number, q, say
from exercises.questions.draws import Draw
from exercises.questions.parts import Asked, ChoicePart, Exhibit, QuantityPart, WrongTurn, one_right
from exercises.questions.registry import question

HEAVY = q(1290, "kg/m**3")
MARGIN = say(blending.BLADE_COVER)  # a school may ask for less: the stem says how much


def _deep(mass: float, width: float) -> float:
    """Return how deep this many grams of glaze are in a jug, in cm."""
    return float(blending.depth_in_jug(q(mass, "g"), q(width, "cm"), HEAVY).m)


# --- a bubble that is timed -----------------------------------------------------------


@question(
    "blending-bubble-timed", outcome="bubble-rise", level="carry out", use="assessed", minutes=6
)
def bubble_timed(draw: Draw) -> QuantityPart:
    """How thick a glaze is, from one bubble, a ruler and a clock."""
    size = draw.length("size", 0.8, 1.6, step=0.2, unit="mm")
    way = draw.length("way", 10, 30, step=5, unit="mm")
    time = draw.duration("time", 24, 76, step=4, unit="s")
    heavy = draw.one_of("density", (1240, 1260, 1290, 1310))
    speed = way / time
    thick = blending.viscosity_from_bubble(size, speed, q(heavy, "kg/m**3"))
    return QuantityPart(
        f"In a flat-sided jar of glaze, {heavy} kg/m³, you time one bubble. It is {say(size)} wide, "
        f"has a skin, and rises {say(way)} in {say(time)}. How thick is the glaze: what is its "
        "viscosity?",
        answer=thick,
        tolerance="2 % of the answer",
        because="g and the steps between may be rounded",
        wrong_turns=[
            WrongTurn(
                "radius for diameter",
                thick / 4,
                "This is the number you get with the radius in place of the width. "
                "Look again at what the formula squares.",
            ),
            WrongTurn(
                "a bare bubble",
                thick * 18 / 12,
                "This is the number you get for a bubble without a skin. "
                "Look again at which of the two numbers you divide by.",
            ),
            WrongTurn(
                "width not squared",
                q(thick.m / (size.m / 1000), "Pa*s"),
                "This is the number you get with the width taken once. "
                "Write the formula down before you solve it.",
            ),
        ],
        working="viscosity = density × g × diameter² / (18 × speed)",
        worked=f"speed: {number(way.m / 1000)} m / {say(time)} = {number(speed.m / 1000, 4)} m/s\n"
        f"{heavy} kg/m³ × 9.81 m/s² × ({number(size.m / 1000)} m)² / (18 × "
        f"{number(speed.m / 1000, 4)} m/s) = {say(thick, digits=4)}",
    )


# --- air by ruler and scale -------------------------------------------------------------


@question("blending-air-by-ruler", outcome="bubble-air", level="carry out", use="assessed")
def air_by_ruler(draw: Draw) -> QuantityPart:
    """The same glaze is deeper after blending."""
    before = draw.length("before", 6.5, 9, step=0.1)
    more = draw.whole("more", 4, 9)
    after = q(round(before.m + more / 10, 1), "cm")
    air = q(100 * (1 - before.m / after.m), "percent")
    return QuantityPart(
        f"A glaze free of air is {say(before)} deep in a jug with straight walls. After "
        f"blending, nothing added and nothing lost, it is {say(after)} deep. What share of "
        "it is air, by volume?",
        answer=air,
        tolerance="0.15 %",
        because="the quotient may be rounded; the ruler itself is good to about 1 % of air",
        wrong_turns=[
            WrongTurn(
                "over the old depth",
                q(100 * (after.m / before.m - 1), "percent"),
                "This is the number you get by dividing by the old depth. "
                "Ask yourself what the air is now a share of.",
            ),
            WrongTurn(
                "what is glaze",
                q(100 * before.m / after.m, "percent"),
                "This is the number you get for the glaze in the jug. "
                "Ask yourself what fills the rest.",
            ),
            WrongTurn(
                "centimetres for per cent",
                q(10 * more, "percent"),
                "This is the number you get by reading the rise as a share. "
                "Ask yourself how deep the whole is.",
            ),
        ],
        working="air = (1 − depth before / depth after) × 100 %",
        worked=f"(1 − {number(before.m)} / {number(after.m)}) × 100 % = {say(air, digits=4)}",
    )


@question("blending-least-on-the-scale", outcome="bubble-air", level="carry out", use="assessed")
def least_on_the_scale(draw: Draw) -> Asked:
    """A limit of air, turned into what the scale must show, and a cup held against it."""
    cup = draw.mass("cup", 38, 74, step=2)
    free = draw.mass("free", 306, 334)
    limit = draw.percent("limit", 2, 5, step=1)
    keep = 1 - limit.m / 100
    least = cup + free * keep
    return Asked(
        [
            QuantityPart(
                "What must the scale show at least, for cup and glaze?",
                answer=least,
                tolerance="0.6 g",
                because="the bench scale shows 1 g",
                wrong_turns=[
                    WrongTurn(
                        "the cup counted as glaze",
                        (cup + free) * keep,
                        "This is the number you get by taking the share off the mass of the cup as well. "
                        "Ask yourself what the air is a share of.",
                    ),
                    WrongTurn(
                        "the cup left out",
                        free * keep,
                        "This is the number you get for the glaze alone. "
                        "Look again at what is on the scale.",
                    ),
                    WrongTurn(
                        "air that weighs",
                        cup + free * (1 + limit.m / 100),
                        "This is the number you get if air made the cup heavier. "
                        "Ask yourself what leaves the cup when air comes in.",
                    ),
                ],
                working="scale = cup + free of air × (1 − limit)",
                worked=f"{say(cup)} + {say(free)} × {number(keep)} = {say(least, digits=4)}",
            )
        ],
        stem=f"Your kitchen pours no glaze with more than {say(limit)} of air, by volume. The cup "
        f"weighs {say(cup)} empty. Filled level, it holds {say(free)} of this glaze when that is "
        "free of air.",
    )


# --- jug, batch and blade ---------------------------------------------------------------


@question("blending-which-way", outcome="bubble-jug", level="decide", use="assessed", minutes=7)
def which_way(draw: Draw) -> Asked:
    """A share, the clean jugs, the colour and the bench beside it: which way is left?"""
    case = draw.one_of("case", ("own", "narrower", "spatula", "pool"))
    guard = draw.one_of("guard", (2.5, 3))
    wide = draw.one_of("wide", (11, 12))
    need = guard + blending.BLADE_COVER.m
    fits = pi / 4 * wide**2 * need * 1.29
    share = {
        "own": round(fits * draw.one_of("over", (1.1, 1.15, 1.2)), -1),
        "narrower": round(fits * draw.one_of("half", (0.58, 0.62, 0.66)), -1),
        "spatula": round(fits * draw.one_of("little", (0.34, 0.37, 0.4)), -1),
        "pool": round(fits * draw.one_of("short", (0.6, 0.63, 0.66)), -1),
    }[case]
    narrow = 8 if case == "narrower" else 10
    colour = {
        "spatula": "a gel that a spoon stirs in",
    }.get(case, "a powder that needs the blade")
    beside = {
        "pool": "the same colour, the same base, the same share",
        "own": "the same colour, hazelnut in its base",
    }.get(case, "another colour, another base")
    jugs = {
        "own": f"{wide} cm wide, two of them",
        "pool": f"{wide} cm wide, two of them",
        "spatula": f"{wide} cm and {narrow} cm wide",
        "narrower": f"{wide} cm and {narrow} cm wide",
    }[case]
    texts = {
        "own": (
            f"Blend it alone in the jug of {wide} cm",
            f"Work out how deep it is in {wide} cm, and compare that with guard and margin.",
        ),
        "narrower": (
            "Blend it alone in a jug that is narrower",
            "Look whether a narrower one is clean, and whether this share needs one to cover "
            "the blade, and then does.",
        ),
        "spatula": (
            "Blend base first, colour this by spatula",
            "Ask whether this colour spreads without a blade.",
        ),
        "pool": (
            "Pool two benches first, then share out",
            "Ask what the other bench has in its jug, and whether the two really need each other.",
        ),
    }
    deep = _deep(share, wide)
    told = {
        "own": "That covers them, and hazelnut stays where it is.",
        "narrower": f"In {narrow} cm it is {number(_deep(share, narrow), 2)} cm deep, which "
        "covers them, and this powder needs the blade.",
        "spatula": f"Even in {narrow} cm it is only {number(_deep(share, narrow), 2)} cm "
        "deep, the other bench has something else, and this colour stirs in.",
        "pool": f"No narrower jug is clean, and this powder needs the blade. Two shares are "
        f"{number(_deep(2 * share, wide), 2)} cm deep.",
    }[case]
    return Asked(
        [
            ChoicePart(
                "How do you get colour into this share without air?",
                one_right(texts, case),
                marks=3,
                worked=f"The share is {number(deep, 2)} cm deep in {wide} cm; guard and margin "
                f"are {number(need)} cm. {told}",
            )
        ],
        exhibit=Exhibit(
            "On the bench",
            ("What", "Found"),
            [
                ("share to colour", f"{number(share, 4)} g, 1.29 g/ml"),
                ("clean jugs", jugs),
                ("guard of the blender", f"{number(guard)} cm high; {MARGIN} of glaze over it"),
                ("colour", colour),
                ("next bench has", beside),
                ("time until the pour", f"{draw.whole('time', 25, 45)} min"),
            ],
        ),
    )


_CAME = {
    "lowered": (
        "The guard was lowered flat",
        "Find the batches in which it was lowered like that. Is the cup light in these, and only these?",
    ),
    "speed": (
        "The blade was set too fast",
        "Find the batches that were blended fast. Is the cup light in these, and only these?",
    ),
    "moved": (
        "The head was pumped up and down",
        "Find the batches in which it was pumped. Is the cup light in these, and only these?",
    ),
    "lifted": (
        "The head came out while it turned",
        "Find the batches in which it still turned. Is the cup light in these, and only these?",
    ),
}


@question("blending-five-batches", outcome="bubble-jug", level="decide", use="assessed", minutes=6)
def five_batches(draw: Draw) -> Asked:
    """Five batches and a cup: which habit of the hand goes with the air?"""
    case = draw.one_of("case", tuple(_CAME))
    full = draw.mass("full", 304, 332)
    order = draw.shuffled("batches", range(5))
    light, sound = order[:2], order[2:]
    odd = {case: set(light)}
    for n, habit in enumerate(name for name in _CAME if name != case):
        # each decoy is odd on one light cup and on one that is full
        odd[habit] = {light[n % 2], sound[n]}
    said = {
        "lowered": ("at a slant", "flat"),
        "speed": ("slow", "fast"),
        "moved": ("kept still", "pumped"),
        "lifted": ("at rest", "turning"),
    }
    lost = {n: draw.whole(f"lost {n}", 0, 2) for n in sound}
    lost |= {n: draw.whole(f"lost {n}", 11, 19) for n in light}
    rows = [
        (
            f"{n + 1}",
            *(said[habit][n in odd[habit]] for habit in _CAME),
            say(full - q(lost[n], "g")),
        )
        for n in range(5)
    ]
    names = " and ".join(str(n + 1) for n in sorted(light))
    return Asked(
        [
            ChoicePart(
                "Which habit explains the air best?",
                one_right(_CAME, case),
                marks=3,
                worked=f"The cups of batches {names} are light by more than a gram or two. Only one "
                f"habit is found in these and in no other. {_CAME[case][0]}.",
            )
        ],
        stem=f"Free of air, the cup holds {say(full)} of this glaze. Several people blended five "
        "batches in one jug, all covered to the same depth.",
        exhibit=Exhibit(
            "Five batches",
            ("Batch", "Lowered", "Speed", "Head", "Taken out", "Cup, glaze alone"),
            rows,
        ),
    )


@question("blending-how-much-to-make", outcome="bubble-jug", level="decide", minutes=6)
def how_much_to_make(draw: Draw) -> Asked:
    """A marble is planned: which is the smallest batch that spares everybody the spatula?"""
    width = draw.one_of("width", (9, 10, 11))
    guard = draw.one_of("guard", (2.5, 3))
    smallest = draw.one_of("smallest", (20, 25, 30))
    place = draw.whole("place", 0, 3)
    need = guard + blending.BLADE_COVER.m
    least = pi / 4 * width**2 * need * 1.29
    enough = least * 100 / smallest
    offered = (0.6, 0.78, 0.92, 1.06, 1.22, 1.4, 1.6)[3 - place : 7 - place]
    right = round(enough * 1.06, -1)
    masses = [round(enough * factor, -1) for factor in offered]

    def says(mass: float) -> str:
        share = mass * smallest / 100
        deep = f"Of {number(mass, 4)} g, the smallest share is {number(share, 4)} g. "
        if mass < right:
            return deep + "Work out how deep that is, and ask what covers the blade."
        return deep + "That would do. Ask whether you need as much glaze as that."

    texts = {mass: (f"{number(mass, 4)} g", says(mass)) for mass in masses}
    return Asked(
        [
            ChoicePart(
                "Which of these is the smallest batch of which every share can be blended in its "
                "own jug?",
                one_right(texts, right),
                marks=3,
                keep_order=True,
                worked=f"Guard and margin are {number(need)} cm. pi / 4 × ({width} cm)² × "
                f"{number(need)} cm × 1.29 g/cm³ = {number(least)} g must be in the smallest jug, "
                f"so {number(least)} g / {smallest / 100:g} = {number(enough, 4)} g in all. The "
                f"next one offered: {number(right, 4)} g.",
            )
        ],
        stem=f"The jugs are {width} cm wide inside, the guard is {number(guard)} cm high, and "
        f"you want {MARGIN} of glaze over it. The glaze weighs 1.29 g/ml. The smallest share of "
        f"the marble is {smallest} %.",
    )


@question(
    "blending-four-benches",
    outcome="bubble-jug",
    level="decide",
    use="assessed",
    safety=True,
    minutes=5,
)
def four_benches(draw: Draw) -> Asked:
    """Four benches are about to switch on: which one may?"""
    guard = draw.one_of("guard", (2.5, 3))
    jug = draw.one_of("jug", (14, 15, 16))
    need = guard + blending.BLADE_COVER.m
    deep = round(need + draw.one_of("spare", (0.5, 0.8, 1.1)), 1)
    benches = [
        ((deep, "upright on the floor, lowered at a slant", "slowest"), ""),
        (
            (
                round(guard + draw.one_of("bare", (0.6, 0.9, 1.2)), 1),
                "upright on the floor, lowered at a slant",
                "slowest",
            ),
            "Take the guard off the depth: what is left over it, once the surface dips?",
        ),
        (
            (round(deep + 0.4, 1), "half way up, to reach all of it", "slowest"),
            "Ask what covers the head up there.",
        ),
        draw.one_of(
            "fourth",
            (
                (
                    (round(jug - 1.2, 1), "upright on the floor, lowered at a slant", "slowest"),
                    "Ask where the glaze goes when a jug as full as that begins to turn.",
                ),
                (
                    (round(deep + 0.2, 1), "upright on the floor, lowered at a slant", "full"),
                    "Ask what a surface does when it is spun from nothing to full speed.",
                ),
                (
                    (round(deep + 0.3, 1), "jug tilted towards you, head at its rim", "slowest"),
                    "Ask where head and hand are when this jug slips.",
                ),
            ),
        ),
    ]
    order = draw.shuffled("order", (0, 1, 2, 3))
    right = order.index(0)
    return Asked(
        [
            ChoicePart(
                "Which of them may switch on as things are?",
                one_right({n: (f"Bench {n + 1}", benches[order[n]][1]) for n in range(4)}, right),
                marks=2,
                keep_order=True,
                worked=f"Bench {right + 1}: {number(deep)} cm covers the guard of {number(guard)} "
                f"cm by {number(deep - guard)} cm, the head is on the floor, and it starts "
                "slowly. Your supervisor and the maker's rules come first.",
                safety=True,
            )
        ],
        stem=f"The jugs are {jug} cm high inside, and the guards {number(guard)} cm. This kitchen "
        f"wants {MARGIN} of glaze over a guard.",
        exhibit=Exhibit(
            "Four benches",
            ("Bench", "Depth of glaze", "Blender", "First speed"),
            [
                (f"{n + 1}", f"{number(benches[order[n]][0][0])} cm", *benches[order[n]][0][1:])
                for n in range(4)
            ],
        ),
    )
