"""Questions about boiling: what it takes out, where it happens, and when the pan comes off."""

from __future__ import annotations

from calculators import syrup, water
from calculators.units import q, say, unit
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

BENCH_SCALE = "the bench scale shows 1 g"


# --- what does boiling take out? --------------------------------------------------------------


@question("boil-two-weighings", outcome="boiling-water-lost", level="carry out", minutes=6)
def two_weighings(draw: Draw) -> Asked:
    """The pan before and after: what left it, and how strong is the syrup now?"""
    sugar = draw.mass("sugar", 620, 780, step=20)
    poured = draw.mass("water", 310, 390, step=20)
    pan = draw.mass("pan", 860, 980, step=10)
    before = pan + sugar + poured
    after = draw.mass("after", before.m - 175, before.m - 85, step=5)
    lost = before - after
    strong = syrup.brix(sugar, poured - lost)
    return Asked(
        [
            QuantityPart(
                "How much water boiled off?",
                answer=lost,
                tolerance="1 g",
                because=BENCH_SCALE,
                wrong_turns=[
                    WrongTurn(
                        "what is left",
                        after - pan,
                        "This is the number you get for the syrup that is left. "
                        "Compare the two weighings with each other.",
                    ),
                    WrongTurn(
                        "the water left",
                        poured - lost,
                        "This is the number you get for the water that is still in the pan. "
                        "Look again at what was asked.",
                    ),
                ],
                working="water lost = before − after",
                worked=f"{say(before, digits=4)} − {say(after, digits=4)} = {say(lost, digits=4)}",
            ),
            QuantityPart(
                "How strong is the syrup now?",
                answer=lambda given: syrup.brix(sugar, poured - given["a"]),
                tolerance="0.5 %",
                because="the scale's step of 1 g, and rounding on the way",
                wrong_turns=[
                    WrongTurn(
                        "as it was at first",
                        syrup.brix(sugar, poured),
                        "This is the number you get from what went into the pan. "
                        "Ask yourself what the syrup weighs now.",
                    ),
                    WrongTurn(
                        "pan weighed in",
                        (sugar / after).to(unit("percent")),
                        "This is the number you get with the pan's own mass in it. "
                        "Take the empty pan off first.",
                    ),
                    WrongTurn(
                        "loss taken from the sugar",
                        syrup.brix(sugar - lost, poured),
                        "This is the number you get if sugar leaves instead of water. "
                        "Ask yourself what steam is.",
                    ),
                ],
                working="Brix = sugar / (sugar + water − water lost)",
                worked=f"{say(sugar)} / ({say(sugar)} + {say(poured)} − {say(lost)}) = "
                f"{say(strong, digits=4)}",
            ),
        ],
        exhibit=Exhibit(
            "From the bench book",
            ("What", "Scale shows"),
            [
                ("Empty pan", say(pan)),
                ("Sugar, weighed in", say(sugar)),
                ("Water, weighed in", say(poured)),
                ("Pan and syrup, before boiling", say(before, digits=4)),
                ("Pan and syrup, after boiling", say(after, digits=4)),
            ],
        ),
    )


@question("boil-to-strength", outcome="boiling-water-lost", level="carry out", minutes=5)
def to_strength(draw: Draw) -> Asked:
    """How much must boil off, and what will the scale show then?"""
    mass = draw.mass("mass", 820, 1180, step=20)
    now = draw.percent("now", 54, 60)
    wanted = draw.percent("wanted", 70, 78)
    pan = draw.mass("pan", 760, 880, step=10)
    off = syrup.water_to_remove(mass, now, wanted)
    shows = mass + pan - off
    return Asked(
        [
            QuantityPart(
                f"A pan holds {say(mass, digits=4)} of syrup at {say(now)}. It must boil down to "
                f"{say(wanted)}. How much water has to go?",
                answer=off,
                tolerance="3 g",
                because=BENCH_SCALE + ", and the strength is rounded",
                wrong_turns=[
                    WrongTurn(
                        "difference of the percentages",
                        (mass * (wanted - now)).to(unit("g")),
                        "This is the number you get from the difference of the two percentages. "
                        "The sugar stays: ask yourself what the syrup weighs at the end.",
                    ),
                    WrongTurn(
                        "upside down",
                        mass * (wanted / now - 1).to(unit("")).m,
                        "This is the number you get with the two strengths exchanged. "
                        "Ask yourself first: does the syrup get lighter or heavier?",
                    ),
                ],
                working="water = mass × (1 − Brix now / Brix wanted)",
                worked=f"{say(mass, digits=4)} × (1 − {say(now)} / {say(wanted)}) = "
                f"{say(off, digits=4)}",
            ),
            QuantityPart(
                f"The empty pan weighs {say(pan)}. What does the scale show for "
                "pan and syrup when you take it off the hob?",
                answer=lambda given: mass + pan - given["a"],
                tolerance="3 g",
                because=BENCH_SCALE + ", and the strength is rounded",
                wrong_turns=[
                    WrongTurn(
                        "without the pan",
                        mass - off,
                        "This is the number you get for the syrup alone. "
                        "Ask yourself what else is on the scale.",
                    ),
                    WrongTurn(
                        "nothing boiled off",
                        mass + pan,
                        "This is the number you get before anything has boiled off. "
                        "Ask yourself what has left since.",
                    ),
                ],
                working="scale = pan + syrup − water lost",
                worked=f"{say(pan)} + {say(mass, digits=4)} − {say(off, digits=4)} = "
                f"{say(shows, digits=4)}",
            ),
        ]
    )


@question("boil-point-here", outcome="boiling-point", level="carry out", minutes=4)
def point_here(draw: Draw) -> Asked:
    """At what reading does this syrup boil in this kitchen?"""
    altitude = draw.kitchen("altitude")
    low = draw.one_of("row", (70, 75))
    strength = q(low + draw.whole("above", 1, 4), "percent")
    base = water.boiling_point(water.air_pressure(altitude))
    here = syrup.boiling_point(strength, altitude)
    rise = here - base
    lifts = {b: syrup.boiling_point(q(b, "percent"), altitude) - base for b in (70, 75, 80)}
    rows = [(f"{b} %", say(lift, places=1)) for b, lift in lifts.items()]
    # As a student reads it: from the numbers that the table prints.
    printed = [round(lifts[b].m, 1) for b in (low, low + 5)]
    part = (strength.m - low) / 5
    read = q(printed[0] + part * (printed[1] - printed[0]), "delta_degC")
    added = q(round(base.m, 1), "degC") + read
    return Asked(
        [
            QuantityPart(
                f"Your kitchen is at {say(altitude, digits=4)}, and water boils there at "
                f"{say(base, places=1)}. At what reading does a {say(strength)} syrup boil? "
                "Read from the table how far above water that is.",
                answer=here,
                tolerance="0.5 °C",
                because="the weather changes the boiling point by half a degree",
                wrong_turns=[
                    WrongTurn(
                        "as water",
                        base,
                        "This is the number you get for plain water. "
                        "Ask yourself what the sugar does to it.",
                    ),
                    WrongTurn(
                        "below water",
                        base - rise,
                        "This is the number you get by going down from water. "
                        "Ask yourself which way sugar moves the boiling point.",
                    ),
                    WrongTurn(
                        "the rise alone",
                        q(rise.m, "degC"),
                        "This is the number you get for the distance from water alone. "
                        "Ask yourself what it must be added to.",
                    ),
                ],
                working="boiling point = that of water here + rise",
                worked=f"the part of the way = ({say(strength)} − {low} %) / 5 % = {part:g}; "
                f"the rise = {printed[0]:.1f} °C + {part:g} × ({printed[1]:.1f} °C − "
                f"{printed[0]:.1f} °C) = {say(read, digits=3)}; {say(base, places=1)} + "
                f"{say(read, digits=3)} = {say(added, places=2)}; the curve "
                f"itself gives {say(here, digits=4)}",
            )
        ],
        exhibit=Exhibit(
            "How far above water a syrup boils in your kitchen",
            ("Brix", "Above water"),
            rows,
        ),
    )


_SETS = {
    "harder": (
        "Stronger than meant: it sets harder",
        "Ask yourself how much water has left when this kitchen reaches that reading.",
    ),
    "softer": (
        "Weaker than meant: it stays softer",
        "Ask yourself how much water is still there when this kitchen reaches that reading.",
    ),
    "alike": (
        "As strong as meant: a degree is a degree everywhere",
        "The thermometer is right, but what boils at that reading here? Compare with water.",
    ),
}


@question("boil-formula-moves", outcome="boiling-stage", level="decide", minutes=5)
def formula_moves(draw: Draw) -> Asked:
    """A formula from one height, a kitchen at another: when does the pan come off?"""
    altitude = draw.quantity("altitude", 1100, 2300, step=100, unit="m")
    written = draw.temperature("written", 109, 117)
    up = draw.one_of("goes", ("up", "down")) == "up"
    base = water.boiling_point(water.air_pressure(altitude))
    if up:
        here = syrup.boiling_point(syrup.brix_at_boiling(written), altitude)
        told = (
            f"A formula written at sea level says: boil to {say(written)}. You cook it in a kitchen "
            f"at {say(altitude, digits=4)}, and your checked thermometer shows "
            f"{say(base, places=1)} in boiling water."
        )
        working = "reading here = reading in the formula − (100 °C − water's boiling point here)"
    else:
        here = syrup.boiling_point(syrup.brix_at_boiling(written, altitude))
        told = (
            f"A formula from a mountain kitchen says: boil to {say(written)}. That kitchen is at "
            f"{say(altitude, digits=4)}, and water boils there at {say(base, places=1)}. You cook at "
            "sea level."
        )
        working = "reading here = reading in the formula + (100 °C − water's boiling point there)"
    difference = q(abs(here.m - written.m), "delta_degC")
    wrong = written + difference if up else written - difference
    return Asked(
        [
            QuantityPart(
                f"{told} At what reading do you take the pan off, for the same strength?",
                answer=here,
                tolerance="1 °C",
                because="1 °C for every 300 m is as near as the weather allows",
                wrong_turns=[
                    WrongTurn(
                        "as written",
                        written,
                        "This is the number you get by using the formula as written. "
                        "Ask yourself at what temperature water boils in each kitchen.",
                    ),
                    WrongTurn(
                        "the wrong way",
                        wrong,
                        "This is the number you get by going the other way. "
                        "Ask yourself in which kitchen water boils hotter.",
                    ),
                ],
                working=working,
                worked=f"the air is {'thinner' if up else 'denser'} here, so water and every syrup "
                f"boil {say(difference, places=1)} {'lower' if up else 'higher'}: "
                f"{say(written, digits=4)} {'−' if up else '+'} {say(difference, places=1)} = "
                f"{say(here, digits=4)}",
            ),
            ChoicePart(
                "A colleague boils to the reading in the formula all the same. What comes out?",
                one_right(_SETS, "harder" if up else "softer"),
                worked="Here that reading belongs to a "
                + ("stronger syrup: it sets harder." if up else "weaker syrup: it stays softer."),
            ),
        ]
    )


def _curves(first: list[tuple[int, int]], second: list[tuple[int, int]]) -> str:
    """Return two pans' temperature against time, as a drawing with its own scale."""

    def x(minute: float) -> float:
        return 58 + minute * 15.5

    def y(celsius: float) -> float:
        return 212 - (celsius - 100) * 9

    lines = []
    for name, points, colour, dash in (
        ("A", first, "var(--berry, #a31c43)", ""),
        ("B", second, "var(--glaze, #5b2a79)", ' stroke-dasharray="9 5"'),
    ):
        path = " ".join(f"{x(m):.0f},{y(c):.0f}" for m, c in points)
        end = points[-1]
        slow = end[0] > 12  # its name stands over its end, that of the other beside it
        aside, anchor = (0, "middle") if slow else (-8, "end")
        lines.append(
            f'<polyline points="{path}" fill="none" stroke="{colour}" stroke-width="3"{dash}/>'
            f'<text x="{x(end[0]) + aside:.0f}" y="{y(end[1]) - 8:.0f}" text-anchor="{anchor}" fill="{colour}" '
            f'font-size="16" font-weight="700">pan {name}</text>'
        )
    grid = "".join(
        f'<line x1="58" x2="330" y1="{y(c):.0f}" y2="{y(c):.0f}" stroke="var(--hair, #c6c4cf)"/>'
        f'<text x="52" y="{y(c) + 5:.0f}" text-anchor="end">{c} °C</text>'
        for c in range(100, 121, 4)
    )
    ticks = "".join(
        f'<text x="{x(m):.0f}" y="234" text-anchor="middle">{m}</text>' for m in range(0, 16, 3)
    )
    return (
        '<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 346 264" width="430" height="328" '
        'font-family="var(--text, sans-serif)" font-size="14" fill="var(--ink, #231a2b)">'
        f'{grid}{ticks}<text x="192" y="256" text-anchor="middle">minutes on the hob</text>'
        f"{''.join(lines)}</svg>"
    )


@question("boil-two-curves", outcome="boiling-stage", level="decide", minutes=4)
def two_curves(draw: Draw) -> Asked:
    """Two curves that cross: which pan do you stand by, and which syrup is the stronger?"""
    target = draw.one_of("target", (106, 108, 114, 116))
    steady_first = draw.one_of("steady", (True, False))
    minute = draw.one_of("minute", (6, 9, 12))
    steady = [(0, 102), (3, 105), (6, 108), (9, 111), (12, 114), (15, 117)]
    late = [(0, 101), (3, 102), (6, 104), (9, 111), (12, 118)]
    first, second = (steady, late) if steady_first else (late, steady)
    names = ("A", "B") if steady_first else ("B", "A")
    ready = names[0] if target < 111 else names[1]
    shows = {"A": dict(first)[minute], "B": dict(second)[minute]}
    stronger = "alike" if shows["A"] == shows["B"] else max(shows, key=lambda pan: shows[pan])

    def told(points: list[tuple[int, int]]) -> str:
        return ", ".join(f"{c} °C at {m} min" for m, c in points)

    return Asked(
        [
            ChoicePart(
                f"Both pans are to come off at {target} °C. Which one is ready first?",
                [
                    *one_right(
                        {
                            pan: (
                                f"Pan {pan}",
                                f"Follow the line of {target} °C from the left. Do you meet the "
                                f"curve of pan {pan} first?",
                            )
                            for pan in "AB"
                        },
                        ready,
                    ),
                    Option(
                        "Both at the same time",
                        says="That is so only where the curves cross. Look at the height of "
                        "the crossing.",
                    ),
                ],
                worked=f"On the line of {target} °C the curve of pan {ready} comes first.",
                keep_order=True,
            ),
            ChoicePart(
                f"Both pans began with the same syrup. What do you know about them after {minute} "
                "minutes?",
                one_right(
                    {
                        "A": (
                            "Pan A holds the stronger syrup",
                            f"Read both curves above {minute} min: is A the higher one there?",
                        ),
                        "B": (
                            "Pan B holds the stronger syrup",
                            f"Read both curves above {minute} min: is B the higher one there?",
                        ),
                        "alike": (
                            "They hold equally strong syrups",
                            f"Read both curves above {minute} min: are they equally high there?",
                        ),
                        "weigh": (
                            "They would have to be weighed before anybody could say",
                            "Weighing would show it too. Ask what a boiling reading says about "
                            "strength.",
                        ),
                    },
                    stronger,
                ),
                worked=f"Pan A shows {shows['A']} °C and pan B {shows['B']} °C. In one kitchen, the "
                "higher the boiling reading, the stronger the syrup.",
            ),
        ],
        exhibit=Exhibit(
            "Two pans on two hobs",
            svg=_curves(first, second),
            alt=f"Temperature against time. Pan A: {told(first)}. Pan B: {told(second)}.",
        ),
    )


@question(
    "boil-to-a-weight-order", outcome="boiling-water-lost", level="recall", safety=True, minutes=2
)
def to_a_weight_order(draw: Draw) -> OrderPart:
    """Boil to a weight: the steps."""
    return OrderPart(
        "You boil a syrup to a weight. Put the steps in order.",
        [
            "Weigh the empty pan and write it down.",
            "Weigh in the sugar and the water.",
            "Work out from both what pan and syrup must weigh at the end.",
            "Bring it to the boil and brush down the sides.",
            "Take the pan off, weigh it, and put it back if it is too heavy.",
            "Stop when the scale shows the weight you worked out.",
        ],
        marks=3,
        says="Ask yourself what you can no longer weigh once the pan is full and hot.",
        worked="First what can only be weighed cold and empty, then the sum, then the boil, "
        "then weigh until it is right.",
    )


@question("boil-what-raises-it", outcome="boiling-point", level="recall", minutes=2)
def what_raises_it(draw: Draw) -> ChoicesPart:
    """What raises the boiling reading of a syrup."""
    return ChoicesPart(
        "Which of these raise the reading in a boiling syrup?",
        [
            Option("More sugar", right=True),
            Option("Less water", right=True),
            Option(
                "More heat",
                says="More heat boils it faster, not hotter. Ask yourself what sets the "
                "boiling point.",
            ),
            Option(
                "A higher kitchen",
                says="Ask yourself what the thinner air does to boiling water.",
            ),
            Option(
                "A bigger pan with twice as much in it",
                says="It takes longer. Ask yourself whether its strength has changed.",
            ),
        ],
        marks=2,
        worked="Only the strength and the air decide: more sugar, or less water.",
    )


_TOO_FAR = {
    "boiling": (
        "Move it off the flame and let it calm down",
        "That comes first when a pan still bubbles. Does this one?",
    ),
    "calm": (
        "Give it hot water by the spoon, at arm's length",
        "That is for a pan that is hot, and calm. Is this one?",
    ),
    "hard": (
        "Cover it with water and warm it slowly",
        "That is for a syrup that has gone cold and hard. Has this one?",
    ),
    "ice": (
        "Drop in ice cubes one by one, which melt slowly enough",
        "Each cube is a lot of cold water in one place, and it sinks. "
        "Ask yourself what happens to it down there.",
    ),
}


@question("boil-too-far", outcome="boiling-stage", level="decide", safety=True, minutes=2)
def too_far(draw: Draw) -> ChoicePart:
    """A syrup went too far: what is done next, so that water comes back safely?"""
    over = draw.temperature("over", 128, 138)
    case = draw.one_of("case", ("boiling", "calm", "hard"))
    state = {
        "boiling": "It is still on the hob, and it bubbles.",
        "calm": "Somebody took it from the hob two minutes ago, and its surface is still.",
        "hard": "That was an hour ago. Nobody noticed, and now a spoon stands upright in it.",
    }[case]
    return ChoicePart(
        f"A syrup has reached {say(over)}, which is too far. {state} What do you do next?",
        one_right(_TOO_FAR, case),
        marks=2,
        safety=True,
        worked=f"{_TOO_FAR[case][0]}. Only hot water goes into hot sugar, little by little, off the "
        "heat and once it is calm, with face and arms away. Your local rules and your supervisor "
        "come first.",
    )


@question("boil-more-to-lose", outcome="boiling-water-lost", level="decide", minutes=5)
def more_to_lose(draw: Draw) -> Asked:
    """Two formulas side by side: which pan has more water to lose, and what comes of it?"""
    sugar = draw.mass("sugar", 420, 580, step=20)
    thin = draw.mass("thin", 290, 370, step=20)
    extra = draw.mass("extra", 110, 190, step=20)
    wanted = q(draw.one_of("wanted", (76, 77, 78, 79, 81, 82)), "percent")
    wetter = draw.one_of("wetter", ("A", "B"))
    drier = "B" if wetter == "A" else "A"
    end = sugar / (wanted.m / 100)
    small = sugar + thin - end
    large = small + extra
    waters = {wetter: f"{say(thin)}, and {say(extra)} for washing down", drier: say(thin)}
    return Asked(
        [
            ChoicePart(
                f"Both are boiled to {say(wanted)} on the same hob. "
                "Which pan takes longer, and which syrup is sweeter at the end?",
                one_right(
                    {
                        wetter: (f"{wetter} takes longer; neither is sweeter", ""),
                        drier: (
                            f"{drier} takes longer; neither is sweeter",
                            "They do end alike. Ask yourself which has more water to lose.",
                        ),
                        "less sweet": (
                            f"{wetter} takes longer, and it ends less sweet",
                            "Ask yourself how much of the extra water is still there at the end.",
                        ),
                        "same": (
                            "Neither takes longer, and neither is sweeter",
                            "They do end alike. Ask yourself what has to leave each pan.",
                        ),
                    },
                    wetter,
                ),
                marks=2,
                worked="The same sugar at the same Brix is the same syrup in the end. "
                f"{wetter} has more water to lose.",
            ),
            QuantityPart(
                f"How much water has to leave pan {wetter}?",
                answer=large,
                tolerance="3 g",
                because=BENCH_SCALE + ", and the strength is rounded",
                wrong_turns=[
                    WrongTurn(
                        "the other pan",
                        small,
                        "This is the number you get for the other pan. "
                        f"Look again at which water went into {wetter}.",
                    ),
                    WrongTurn(
                        "all its water",
                        thin + extra,
                        "This is the number you get if all the water leaves. "
                        "Ask yourself how much stays in a syrup of that strength.",
                    ),
                ],
                working="water lost = sugar + water − sugar / Brix",
                worked=f"{say(sugar)} + {say(thin + extra)} − {say(sugar)} / {say(wanted)} = "
                f"{say(large, digits=4)}",
            ),
        ],
        exhibit=Exhibit(
            "Two formulas for the same syrup",
            ("", "Formula A", "Formula B"),
            [
                ("Sugar", say(sugar), say(sugar)),
                ("Water", waters["A"], waters["B"]),
            ],
        ),
    )
