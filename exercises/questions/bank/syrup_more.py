"""More questions about syrups, kept from practice: scales, instruments, boiling."""

from __future__ import annotations

from calculators import syrup, water
from calculators.units import Quantity, q, say, unit
from exercises.questions.draws import Draw
from exercises.questions.parts import (
    Asked,
    ChoicePart,
    Exhibit,
    Given,
    Option,
    QuantityPart,
    WrongTurn,
    one_right,
)
from exercises.questions.registry import question

READ_BETWEEN = "reading between two rows of the table"


# --- how strong is a syrup? -------------------------------------------------------------


@question(
    "syrup-sugar-to-strengthen",
    outcome="syrup-strength",
    level="carry out",
    use="assessed",
    minutes=4,
)
def sugar_to_strengthen(draw: Draw) -> QuantityPart:
    """A syrup is too weak and may not boil: how much sugar does it need?"""
    mass = draw.mass("mass", 540, 880, 20)
    now = draw.percent("now", 44, 52)
    wanted = draw.percent("wanted", 58, 64)
    had = mass.m * now.m / 100
    more = (mass.m - had) / (1 - wanted.m / 100) - mass.m
    return QuantityPart(
        f"{say(mass)} of a {say(now)} fruit syrup must not boil, or it loses its taste. You bring it "
        f"to {say(wanted)} with dry sugar. How much sugar do you stir in?",
        answer=q(more, "g"),
        tolerance="3 g",
        because="the bench scale shows 1 g, and the strengths are rounded",
        wrong_turns=[
            WrongTurn(
                "difference of the percentages",
                mass * (wanted.m - now.m) / 100,
                "This is the number you get from the difference of the two percentages. "
                "The water stays: ask what the syrup weighs at the end.",
            ),
            WrongTurn(
                "all its sugar",
                q(had + more, "g"),
                "This is the number you get for all the sugar at the end. "
                "Ask how much of it is in the syrup already.",
            ),
            WrongTurn(
                "as if water left",
                q(mass.m * (1 - now.m / wanted.m), "g"),
                "This is the number you get for the water that would have to boil off. "
                "Ask what stays the same when sugar is stirred in.",
            ),
        ],
        working="water = mass × (1 − Brix now); syrup = water / (1 − Brix wanted)",
        worked=f"the water stays: {say(mass)} × {1 - now.m / 100:.2f} = {say(q(mass.m - had, 'g'), digits=4)}; "
        f"/ {1 - wanted.m / 100:.2f} = {say(q(mass.m + more, 'g'), digits=4)}; minus {say(mass)}: "
        f"{say(q(more, 'g'), digits=4)}",
    )


@question(
    "syrup-gauge-to-litres",
    outcome="syrup-scales",
    level="carry out",
    use="assessed",
    minutes=5,
)
def gauge_to_litres(draw: Draw) -> Asked:
    """A gauge gives Baumé; how strong is it, and what do some litres weigh?"""
    low = draw.one_of("row", (50, 55, 60))
    reading = syrup.baume(q(low + draw.one_of("above", (2, 2.5, 3)), "percent"))
    shown = q(round(reading.m, 1), "degree_baume")
    volume = draw.quantity("volume", 1.5, 4, 0.5, "l")
    strong = syrup.brix_from_baume(shown)
    dense = syrup.density(strong)
    mass = (volume * dense).to(unit("kg"))
    rows = [q(b, "percent") for b in range(50, 66, 5)]
    below, above = (syrup.baume(q(low + more, "percent")) for more in (0, 5))
    first, last = round(below.m, 1), round(above.m, 1)
    part = round((shown.m - first) / (last - first), 3)
    return Asked(
        [
            QuantityPart(
                f"A syrup gauge floats at {say(shown, places=1)} in a plain syrup at 20 °C. How "
                "strong is the syrup, in Brix?",
                answer=strong,
                tolerance="0.4 %",
                because=READ_BETWEEN,
                wrong_turns=[
                    WrongTurn(
                        "Baumé for Brix",
                        q(shown.m, "percent"),
                        "This is the number you get by taking Baumé for Brix. "
                        "Ask what each of the two counts.",
                    ),
                    WrongTurn(
                        "row below",
                        q(low, "percent"),
                        "This is the number you get from the row below. "
                        "Work out how far your reading is on the way to the next row.",
                    ),
                    WrongTurn(
                        "row above",
                        q(low + 5, "percent"),
                        "This is the number you get from the row above. "
                        "Work out how far your reading is on the way to it.",
                    ),
                ],
                working="interpolate: go the same fraction of the way in both columns",
                worked=f"the part of the way = ({shown.m:.1f} − {first}) / ({last} − {first}) = "
                f"{part:g}; {low} % + {part:g} × 5 % = {say(q(low + 5 * part, 'percent'), digits=4)}; "
                f"the curve itself gives {say(strong, digits=4)}",
            ),
            QuantityPart(
                f"What does {say(volume)} of it weigh?",
                answer=mass,
                tolerance="1 % of the answer",
                because="a litre measure is good to about one part in a hundred",
                wrong_turns=[
                    WrongTurn(
                        "a litre for a kilogram",
                        q(volume.m, "kg"),
                        "This is the number you get if a litre weighs a kilogram. "
                        "Ask which liquid does that.",
                    ),
                    WrongTurn(
                        "divided",
                        q(volume.m / dense.m * 1000, "kg"),
                        "This is the number you get by dividing by the density. "
                        "Ask first whether syrup is heavier or lighter than water.",
                    ),
                ],
                working="mass = volume × density",
                worked=f"{say(volume)} × {say(dense, digits=4)} = {say(mass, digits=4)}",
                unit="kg",
            ),
        ],
        exhibit=Exhibit(
            "Sugar syrup at 20 °C",
            ("Brix", "Baumé", "Density"),
            [
                (say(b), say(syrup.baume(b), places=1), say(syrup.density(b), digits=4))
                for b in rows
            ],
        ),
    )


_DISAGREE = {
    "warm": (
        "The jar was not at the temperature for which two of the scales are made",
        "That would move whatever feels weight by volume, and leave the cooled drop alone. Compare.",
    ),
    "rinse": (
        "There was something on the glass besides the drop",
        "That would move the drop's reading and no other. Compare.",
    ),
    "boiled": (
        "The instruments are right, and the bench book no longer is",
        "Then all three would have to agree with each other. Compare.",
    ),
    "jug": (
        "The half litre was not half a litre",
        "That would move jug and scale, and leave the gauge and the drop alone. Compare.",
    ),
}


@question(
    "syrup-three-voices",
    outcome="syrup-instrument",
    level="decide",
    use="assessed",
    minutes=4,
)
def three_voices(draw: Draw) -> Asked:
    """Three instruments and a bench book disagree: what happened?"""
    case = draw.one_of("case", tuple(_DISAGREE))
    sugar = draw.mass("sugar", 620, 700, 20)
    poured = draw.mass("water", 340, 380, 20)
    sum_of_book = syrup.brix(sugar, poured).m
    scatter = draw.shuffled("scatter", (-0.3, 0.1, 0.3))
    warm = syrup.density(q(sum_of_book, "percent"), q(55, "degC"))
    less = syrup.brix_from_density(warm).m - sum_of_book
    moved = {
        "warm": (less, less, 0),
        "rinse": (0, 0, -5.2),
        "boiled": (4.4, 4.4, 4.4),
        "jug": (-5.6, 0, 0),
    }[case]
    jug, gauge, drop = (
        f"{sum_of_book + by + bit:.1f} %" for by, bit in zip(moved, scatter, strict=True)
    )
    at = 55 if case == "warm" else draw.one_of("at", (19, 20, 21))
    rows = [
        ("half a litre on the scale, then the table", f"jar at {at} °C", jug),
        ("syrup gauge, lowered into the jar", f"jar at {at} °C", gauge),
        ("refractometer, prism rinsed and shaken dry", "drop at 20 °C, lid closed", drop),
    ]
    return Asked(
        [
            ChoicePart(
                "What explains these readings best?",
                one_right(_DISAGREE, case),
                marks=2,
                worked=f"By the book it is {sum_of_book:.1f} %. {_DISAGREE[case][0]}.",
            )
        ],
        stem=f"The bench book says: {say(sugar)} of sugar, {say(poured)} of water, brought to the "
        "boil on Tuesday. On Thursday three people measure what is in the jar.",
        exhibit=Exhibit("Thursday", ("how", "noted", "reading, as Brix"), rows),
    )


_WAYS = {
    "drop": (
        "A drop on the refractometer",
        "A drop tells the truth only for plain sugar in water. Ask what is in this one, and "
        "whether you need to make do with a drop.",
    ),
    "litre": (
        "A measured half litre on the scale, and the table",
        "Ask whether there is half a litre of it, cool and clear.",
    ),
    "pan": (
        "The pan on the scale, and the weights it began with",
        "Ask whether anybody knows what it weighed when it began.",
    ),
    "card": (
        "The card of the batch, added up line by line",
        "Ask whether there is a card, and whether nothing there can be read.",
    ),
}


@question(
    "syrup-which-way",
    outcome="syrup-instrument",
    level="decide",
    use="assessed",
    minutes=3,
)
def which_way(draw: Draw) -> ChoicePart:
    """Four syrups, four ways: which one shows its strength?"""
    case = draw.one_of("case", tuple(_WAYS))
    much = draw.mass("much", 760, 960, 40)
    told = {
        "drop": "Somebody left one spoonful of a clear stock syrup, sugar and nothing else, in a "
        f"jar that used to hold {say(much)}. It is cold. Nobody noted anything.",
        "litre": f"{say(much)} of a clear syrup, as much from the glucose tub as from the sugar bin, "
        "is in a pail, cold. Nobody noted anything.",
        "pan": f"A syrup of {say(much)} of sugar and some glucose cooks down. The thermometer fell "
        "on the floor this morning. Tape on the handle says what pan and filling weighed cold.",
        "card": f"A ready glaze of {say(much)} with milk, gelatin and white is in the fridge. "
        "Your lecturer asks how strong the syrup inside it is. What was weighed in is on paper.",
    }[case]
    return ChoicePart(
        f"{told} How do you find its strength?",
        one_right(_WAYS, case),
        marks=2,
        worked=f"{_WAYS[case][0]}. "
        + {
            "drop": "It is plain sugar, and there is too little of it to measure out.",
            "litre": "Glucose makes the refractometer read high; weight by volume is hardly moved.",
            "pan": "Only water leaves a pan, whatever else is in it.",
            "card": "Milk, gelatin and white upset every instrument.",
        }[case],
    )


@question(
    "syrup-leave-out",
    outcome="syrup-instrument",
    level="decide",
    use="assessed",
    minutes=4,
)
def leave_out(draw: Draw) -> Asked:
    """Five readings of one jar: the odd number is not the one to strike out."""
    true = draw.quantity("true", 61, 67, 1, "percent").m
    fault, why = draw.one_of(
        "fault",
        (
            (
                "drop taken hot, lid left open a while",
                "A hot drop dries on the glass, so what it shows is no longer the jar.",
            ),
            (
                "prism rinsed, drop put on at once",
                "Rinsing water is mixed into the drop, so it shows something thinner than the jar.",
            ),
            (
                "drop from the rim, where a crust had formed",
                "A crust is not the syrup, so the drop shows something else than the jar.",
            ),
        ),
    )
    fine = (
        (
            "drop cooled on the spoon, prism wiped, lid closed",
            "Cooled, wiped, closed: ask of which reading you can't say that.",
        ),
        (
            "jar stirred first, prism wiped, lid closed for a minute",
            "It is stirred, wiped and covered. Look at how the others were taken.",
        ),
        (
            "prism wiped, lid closed; looked at again a minute later",
            "Looking twice does no harm. Look for what touched a drop.",
        ),
        (
            "prism wiped with water, then with a dry cloth, lid closed",
            "Water was there, and a cloth after it. Read the others as closely.",
        ),
    )
    numbers = draw.shuffled("numbers", (true - 0.2, true + 0.1, true + 0.3, true - 1.3))
    rows = [(text, n, False, says) for (text, says), n in zip(fine, numbers, strict=True)]
    rows.append((fault, true + draw.one_of("bit", (-0.1, 0.0, 0.2)), True, ""))
    rows = draw.shuffled("rows", rows)
    return Asked(
        [
            ChoicePart(
                "One of them must not be used, whatever number it shows. Which?",
                [
                    Option(f"Reading {n}", right, says)
                    for n, (_, _, right, says) in enumerate(rows, 1)
                ],
                marks=2,
                worked=f"The one noted '{fault}'. {why} A reading far from the others is a reason to "
                "measure again, and no reason to strike it out.",
                keep_order=True,
            )
        ],
        stem=f"Five students read one jar of plain syrup. Its label says {true:g} %.",
        exhibit=Exhibit(
            "The refractometer",
            ("reading", "how it was taken", "it shows"),
            [(str(n), text, f"{x:.1f} %") for n, (text, x, _, _) in enumerate(rows, 1)],
        ),
    )


# --- what does boiling take out? --------------------------------------------------------------


@question(
    "boil-spatula-left-in",
    outcome="boiling-water-lost",
    level="carry out",
    use="assessed",
    minutes=6,
)
def spatula_left_in(draw: Draw) -> Asked:
    """The second weighing holds something that the first did not."""
    sugar = draw.mass("sugar", 540, 720, 20)
    poured = draw.mass("water", 320, 400, 20)
    pan = draw.mass("pan", 780, 900, 20)
    spatula = draw.mass("spatula", 62, 88, 2)
    gone = draw.one_of("gone", (130, 145, 160, 175, 190))
    after = q(pan.m + sugar.m + poured.m - gone + spatula.m, "g")
    before = pan + sugar + poured
    strong = syrup.brix(sugar, poured - q(gone, "g"))
    return Asked(
        [
            QuantityPart(
                "How much water has boiled off?",
                answer=q(gone, "g"),
                tolerance="2 g",
                because="the bench scale shows 1 g, twice",
                wrong_turns=[
                    WrongTurn(
                        "spatula forgotten",
                        before - after,
                        "This is the number you get from the two weighings as they are. "
                        "Ask what was in the pan at the second one.",
                    ),
                    WrongTurn(
                        "spatula the wrong way",
                        q(gone - 2 * spatula.m, "g"),
                        "This is the number you get with the spatula taken off the wrong weighing. "
                        "Ask which of the two it made heavier.",
                    ),
                ],
                working="water lost = before − (after − spatula)",
                worked=f"{say(before, digits=4)} − ({say(after, digits=4)} − {say(spatula)}) = "
                f"{say(q(gone, 'g'), digits=4)}",
            ),
            QuantityPart(
                "How strong is the syrup now?",
                answer=lambda given: syrup.brix(sugar, poured - given["a"]),
                tolerance="0.5 %",
                because="the scale's 1 g and rounding on the way",
                wrong_turns=[
                    WrongTurn(
                        "as it was at first",
                        syrup.brix(sugar, poured),
                        "This is the number you get from what went into the pan. "
                        "Ask what the syrup weighs now.",
                    ),
                    WrongTurn(
                        "pan weighed in",
                        (sugar / (after - spatula)).to(unit("percent")),
                        "This is the number you get with the pan included. "
                        "Take off what is not syrup.",
                    ),
                ],
                working="Brix = sugar / (sugar + water − water lost)",
                worked=f"{say(sugar)} / ({say(sugar)} + {say(poured)} − {gone} g) = "
                f"{say(strong, digits=4)}",
            ),
        ],
        exhibit=Exhibit(
            "From the bench book",
            ("what", "scale shows"),
            [
                ("empty pan", say(pan)),
                ("sugar, weighed in", say(sugar)),
                ("water, weighed in", say(poured)),
                ("spatula, clean and dry", say(spatula)),
                ("after boiling, spatula still in the pan", say(after, digits=4)),
            ],
        ),
    )


# --- at what temperature does it boil? -----------------------------------------------------


def _rises(*strengths: int) -> tuple[dict[int, float], Exhibit]:
    """Return how far above water syrups boil, and the table that says so."""
    base = syrup.boiling_point(q(0, "percent"))
    lifts = {b: round((syrup.boiling_point(q(b, "percent")) - base).m, 1) for b in strengths}
    return lifts, Exhibit(
        "How far above water a syrup boils",
        ("Brix", "Above water"),
        [(f"{b} %", f"{lift:.1f} °C") for b, lift in lifts.items()],
    )


@question(
    "boil-own-water-first",
    outcome="boiling-point",
    level="carry out",
    use="assessed",
    minutes=4,
)
def own_water_first(draw: Draw) -> Asked:
    """Plain water was boiled this morning: what will the syrup's reading be?"""
    altitude = draw.one_of("altitude", (150, 400, 650, 900, 1150, 1400))
    out = draw.one_of("out", (-1.2, -0.8, 0.7, 1.1))
    pressure = water.air_pressure(q(altitude, "m"))
    shown = q(round(water.boiling_point(pressure).m + out, 1), "degC")
    lifts, table = _rises(65, 70, 75, 80)
    low = draw.one_of("row", (70, 75))
    strength = q(low + draw.one_of("above", (2, 3)), "percent")
    rise = lifts[low] + (lifts[low + 5] - lifts[low]) * (strength.m - low) / 5
    answer = q(shown.m + rise, "degC")
    return Asked(
        [
            QuantityPart(
                f"Before work you boil plain water. Your thermometer shows {say(shown, places=1)}. "
                f"What will the same thermometer show when a {say(strength)} syrup boils?",
                answer=answer,
                tolerance="0.4 °C",
                because=READ_BETWEEN + ", and height changes the rise by a tenth or two",
                wrong_turns=[
                    WrongTurn(
                        "counted from 100 °C",
                        q(100 + rise, "degC"),
                        "This is the number you get by counting from 100 °C. "
                        "Ask what this thermometer showed in water.",
                    ),
                    WrongTurn(
                        "row below",
                        q(shown.m + lifts[low], "degC"),
                        "This is the number you get from the row below. "
                        "Work out how far the strength is on the way to the next row.",
                    ),
                    WrongTurn(
                        "row above",
                        q(shown.m + lifts[low + 5], "degC"),
                        "This is the number you get from the row above. "
                        "Work out how far the strength is on the way to it.",
                    ),
                ],
                working="reading = what it shows in water + rise",
                worked=f"{strength.m - low:g} fifths of the way from {lifts[low]:.1f} to "
                f"{lifts[low + 5]:.1f} is {rise:.1f}; {say(shown, places=1)} and {rise:.1f} more: "
                f"{say(answer, digits=4)}",
            )
        ],
        exhibit=table,
    )


@question(
    "boil-from-the-scale",
    outcome="boiling-point",
    level="carry out",
    use="assessed",
    minutes=6,
)
def from_the_scale(draw: Draw) -> Asked:
    """Weights give the strength, the strength gives the reading, in this kitchen."""
    altitude = draw.kitchen("altitude")
    sugar = draw.mass("sugar", 600, 780, 20)
    low = draw.one_of("row", (70, 75))
    left = q(round(sugar.m / (low + draw.one_of("above", (1.5, 2.5, 3.5))) * 100), "g")
    pan = draw.mass("pan", 760, 880, 20)
    strength = (sugar / left).to(unit("percent"))
    base = q(round(water.boiling_point(water.air_pressure(altitude)).m, 1), "degC")
    lifts, table = _rises(65, 70, 75, 80)

    def reads(brix: float) -> float:
        row = 5 * int(brix // 5)
        return lifts[row] + (lifts[row + 5] - lifts[row]) * (brix - row) / 5

    def boils(given: Given) -> Quantity:
        held = given["a"].to(unit("percent")).m
        return syrup.boiling_point(q(min(max(held, 1), 95), "percent"), altitude)

    true = syrup.boiling_point(strength, altitude)
    return Asked(
        [
            QuantityPart(
                f"{say(sugar)} of sugar went into a pan of {say(pan)}, with plenty of water. Boiling, "
                f"pan and syrup now weigh {say(pan + left, digits=4)}. How strong is the syrup?",
                answer=strength,
                tolerance="0.4 %",
                because="the bench scale shows 1 g",
                wrong_turns=[
                    WrongTurn(
                        "pan weighed in",
                        (sugar / (pan + left)).to(unit("percent")),
                        "This is the number you get with the pan included. "
                        "Take off what is not syrup.",
                    ),
                    WrongTurn(
                        "sugar over water",
                        (sugar / (left - sugar)).to(unit("percent")),
                        "This is the number you get by dividing by the water that is left. "
                        "Ask what the whole syrup weighs.",
                    ),
                ],
                working="Brix = sugar / (pan and syrup − pan)",
                worked=f"{say(sugar)} / ({say(pan + left, digits=4)} − {say(pan)}) = "
                f"{say(strength, digits=4)}",
            ),
            QuantityPart(
                f"Your kitchen is at {say(altitude, digits=4)}, and plain water boils there at "
                f"{say(base, places=1)}. What does a correct thermometer show in the pan at this "
                "moment?",
                answer=boils,
                tolerance="0.6 °C",
                because=READ_BETWEEN + ", and the weather changes it by half a degree",
                wrong_turns=[
                    WrongTurn(
                        "as water",
                        base,
                        "This is the number you get for plain water. Ask what the sugar does to it.",
                    ),
                    WrongTurn(
                        "below water",
                        q(base.m - reads(strength.m), "degC"),
                        "This is the number you get by going down from water. "
                        "Ask which way sugar moves the boiling point.",
                    ),
                    WrongTurn(
                        "rise added twice",
                        q(base.m + 2 * reads(strength.m), "degC"),
                        "This is the number you get by adding the rise twice. "
                        "Ask where the table counts from.",
                    ),
                ],
                working="reading = water here + rise",
                worked=f"{say(strength, digits=4)} boils about {reads(strength.m):.1f} degrees above "
                f"water by the table: {say(base, places=1)} + {reads(strength.m):.1f} °C; the curve "
                f"itself gives {say(true, digits=4)}",
            ),
        ],
        exhibit=table,
    )


# --- when does the pan come off? ------------------------------------------------------------

_DROP = {
    "off": (
        "Off now",
        "Ask what a drop shows that a number in a book can't, and whether this one shows it.",
    ),
    "on": (
        "Boil on, and have the thermometer looked at",
        "Ask whether the drop has got as far as was wanted.",
    ),
    "again": (
        "Pan aside for a moment, and another drop",
        "Ask whether drop and thermometer were each read as they must be.",
    ),
    "back": (
        "Off, wait until it is calm, then a little hot water",
        "Ask whether it has really gone past what was wanted.",
    ),
}


@question(
    "boil-drop-or-number",
    outcome="boiling-stage",
    level="decide",
    use="assessed",
    safety=True,
    minutes=4,
)
def drop_or_number(draw: Draw) -> Asked:
    """Drop and thermometer do not say the same: which do you follow?"""
    case = draw.one_of("case", tuple(_DROP))
    high = q(draw.one_of("height", (1500, 1650, 1800, 1950)), "m")
    sea = q(draw.one_of("low", (5, 20, 40, 60)), "m")
    drop_of = round((syrup.boiling_point(q(0, "percent"), high)).m - 100)
    height, reading, felt = {
        "off": (high, 118 + drop_of, "out of cold water it is a ball, firm to the finger"),
        "on": (sea, 118, "out of cold water it makes a soft thread between two fingers"),
        "again": (sea, 118, "dropped on the back of a spoon; soft while it is still warm"),
        "back": (high, 118, "out of cold water it is a ball that no finger dents"),
    }[case]
    reading += draw.one_of("jitter", (-1, 0, 1)) * (case != "back")
    minutes = draw.duration("minutes", 8, 14)
    return Asked(
        [
            ChoicePart(
                "What do you do with the pan?",
                one_right(_DROP, case),
                marks=2,
                worked={
                    "off": "Up here a firm ball boils below the book's number, and the cold drop "
                    "shows the strength itself. ",
                    "on": "The drop is far too weak for a firm ball, and at this height the number "
                    "should be right: so the thermometer is not. ",
                    "again": "A warm drop is soft at any strength. It must be cold, in the water. ",
                    "back": "Up here the book's number belongs to a stronger syrup, and the drop "
                    "shows it. ",
                }[case]
                + f"{_DROP[case][0]}.",
                safety=True,
            )
        ],
        stem="The book, written at the coast, wants a firm ball and says 118 °C. Sugar and water "
        "only.",
        exhibit=Exhibit(
            "At the hob",
            ("what", "noted"),
            [
                ("kitchen", f"{say(height, digits=4)} above the sea"),
                ("on the boil for", say(minutes)),
                ("flame", draw.one_of("flame", ("small", "medium", "full"))),
                ("thermometer, tip in the middle", f"{reading} °C"),
                ("a drop", felt),
            ],
        ),
    )


_STOP_BY = {
    "weight": (
        "The weight of pan and syrup",
        "Ask whether you can lift and weigh it in time, and whether its weights are known.",
    ),
    "degrees": (
        "The reading of the thermometer",
        "Ask how much strength one degree is worth here, and whether a table fits what is in it.",
    ),
    "drop": (
        "A drop in a bowl of cold water",
        "Ask whether a surer sign is at hand, and whether a drop shows anything at this strength.",
    ),
    "clock": (
        "The minutes that it took last time",
        "Ask what else would have to be the same as last time.",
    ),
}


@question(
    "boil-stop-by",
    outcome="boiling-stage",
    level="decide",
    use="assessed",
    minutes=3,
)
def stop_by(draw: Draw) -> ChoicePart:
    """Weight, degrees, a drop or the clock: what decides when to stop?"""
    case = draw.one_of("case", ("weight", "degrees", "drop", "milk"))
    right = "weight" if case == "milk" else case
    aim = draw.percent("aim", *((64, 72) if right == "weight" else (87, 90)))
    sugar = draw.mass("sugar", 500, 900, 50)
    what = f"{say(sugar)} of sugar" + (", condensed milk" if case == "milk" else "")
    told = {
        "weight": "The empty pan was weighed. The thermometer was checked and is half a degree out.",
        "milk": "The empty pan was weighed. The thermometer was checked and is right.",
        "degrees": "The empty pan was weighed. The thermometer was checked and is right.",
        "drop": "Nobody weighed the empty pan. The thermometer has not been checked since it fell.",
    }[case]
    return ChoicePart(
        f"{what[0].upper() + what[1:]} and water must boil down until {say(aim)} of the pan is "
        f"{'solids' if case == 'milk' else 'sugar'}. {told} By what do you decide when to stop?",
        one_right(_STOP_BY, right),
        marks=2,
        worked=f"{_STOP_BY[right][0]}. "
        + {
            "weight": "In a weak syrup half a degree is several per cent of strength; grams are exact.",
            "milk": "Boiling tables hold for sugar and water only; grams hold for every pan.",
            "degrees": "So strong a syrup gains too fast to be weighed, and each degree is little "
            "strength.",
            "drop": "Neither scale nor thermometer can be trusted, and so strong a syrup shows in "
            "a drop.",
        }[case],
    )


@question(
    "boil-next-pan",
    outcome="boiling-stage",
    level="decide",
    use="assessed",
    minutes=6,
)
def next_pan(draw: Draw) -> Asked:
    """Three pans up a mountain: at which one must you be first?"""
    height = draw.quantity("height", 900, 1800, 300, "m")
    lower = round(height.m / 300)
    pairs = draw.shuffled("pairs", ((107, 0.5), (112, 1), (117, 2)))
    left = draw.shuffled("left", (2, 5, 7))
    rows = [
        (pan, f"{book} °C", f"{book - lower - minutes * rate:g} °C", f"{rate:g} °C")
        for pan, (book, rate), minutes in zip("KLM", pairs, left, strict=True)
    ]
    says = {
        5: "Take the height off each book's number first, then divide what is missing by what the "
        "pan gains each minute.",
        7: "Work out for each pan where it should come off up here, and how soon it will be there.",
    }
    return Asked(
        [
            ChoicePart(
                "You can only be at one hob. At which pan must you be first?",
                [
                    *(
                        Option(f"At pan {pan}", minutes == 2, says.get(minutes, ""))
                        for pan, minutes in zip("KLM", left, strict=True)
                    ),
                    Option(
                        "At any of them: all are ready at the same time",
                        says="Divide what each pan is missing by what it gains, and compare the "
                        "minutes.",
                    ),
                ],
                marks=3,
                worked=f"Up here every reading is {lower} °C lower: "
                + "; ".join(
                    f"pan {pan} needs {minutes} min"
                    for pan, minutes in zip("KLM", left, strict=True)
                )
                + ".",
                keep_order=True,
            )
        ],
        stem=f"Three plain syrups boil in a kitchen at {say(height, digits=4)}, each by a book from "
        "the coast. The thermometers are right.",
        exhibit=Exhibit(
            "Three pans",
            ("pan", "the book says", "it shows", "gains each minute"),
            rows,
        ),
    )
