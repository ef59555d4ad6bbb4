"""Questions about syrups: how strong one is, and what boiling takes out."""

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
    TablePart,
    WrongTurn,
    one_right,
)
from exercises.questions.registry import question

BENCH_SCALE = "the bench scale shows 1 g"
READ_BETWEEN = "reading between two rows of the table"


def _handbook(*strengths: int) -> Exhibit:
    return Exhibit(
        "Sugar syrup at 20 °C",
        ("Brix", "Density", "Baumé"),
        [
            (
                f"{strength} %",
                say(syrup.density(q(strength, "percent")), digits=4),
                say(syrup.baume(q(strength, "percent")), places=1),
            )
            for strength in strengths
        ],
    )


# --- how strong is a syrup? -------------------------------------------------------------


@question("syrup-brix-weighed", outcome="syrup-strength", level="carry out")
def brix_weighed(draw: Draw) -> Asked:
    """Sugar and water go into a pan; how strong is it, how much sugar in a share?"""
    sugar = draw.mass("sugar", 520, 880, step=20)
    poured = draw.mass("water", 310, 490, step=20)
    share = draw.mass("share", 150, 290, step=20)
    strong = syrup.brix(sugar, poured)
    inside = (share * strong).to(unit("g"))
    return Asked(
        [
            QuantityPart(
                f"You weigh {say(sugar)} of sugar and {say(poured)} of water into a pan and "
                "warm it until all is dissolved. No water is lost. What is its Brix?",
                answer=strong,
                tolerance="0.5 %",
                because="half a per cent, as near as a syrup is kept at the bench",
                wrong_turns=[
                    WrongTurn(
                        "sugar over water",
                        (sugar / poured).to(unit("percent")),
                        "This is the number you get by dividing the sugar by the water alone. "
                        "Ask yourself what the whole syrup weighs.",
                    ),
                    WrongTurn(
                        "water's share",
                        (poured / (sugar + poured)).to(unit("percent")),
                        "This is the number you get for the share of the water. "
                        "Look again at which of the two Brix counts.",
                    ),
                ],
                working="Brix = sugar / (sugar + water)",
                worked=f"{say(sugar)} / ({say(sugar)} + {say(poured)}) = {say(strong, digits=4)}",
            ),
            QuantityPart(
                f"You take {say(share)} of this syrup for a glaze. How much sugar goes in with it?",
                answer=lambda given: (share * given["a"]).to(unit("g")),
                tolerance="2 g",
                because=BENCH_SCALE + ", and the Brix is rounded",
                wrong_turns=[
                    WrongTurn(
                        "the water in it",
                        share - inside,
                        "This is the number you get for the water in the share. "
                        "Look again at what was asked.",
                    ),
                    WrongTurn(
                        "all of it sugar",
                        share,
                        "This is the number you get by taking the syrup for sugar. "
                        "Ask yourself what else is in it.",
                    ),
                ],
                working="sugar = mass of syrup x Brix",
                worked=f"{say(share)} x {say(strong, digits=4)} = {say(inside, digits=4)}",
            ),
        ]
    )


@question("syrup-water-for-brix", outcome="syrup-strength", level="carry out")
def water_for_brix(draw: Draw) -> QuantityPart:
    """So much sugar, such a strength wanted; how much water?"""
    sugar = draw.mass("sugar", 420, 980, step=20)
    wanted = draw.percent("wanted", 54, 66)
    poured = syrup.water_to_add(sugar, q(100, "percent"), wanted)
    share = wanted.m / 100
    return QuantityPart(
        f"You have weighed {say(sugar)} of sugar and want a syrup of {say(wanted)}. "
        "How much water do you weigh to it?",
        answer=poured,
        tolerance="2 g",
        because=BENCH_SCALE + "; half a gram more or less comes from rounding",
        wrong_turns=[
            WrongTurn(
                "water's share of the sugar",
                sugar * (1 - share),
                "This is the number you get by taking the water's share of the sugar alone. "
                "Ask yourself what the per cent is a share of.",
            ),
            WrongTurn(
                "sugar's share of the sugar",
                sugar * share,
                "This is the number you get by multiplying the sugar by the Brix. "
                "First work out what the finished syrup weighs.",
            ),
            WrongTurn(
                "the whole syrup",
                sugar / share,
                "This is the number you get for the whole syrup. "
                "Ask yourself what of it is in the bowl already.",
            ),
        ],
        working="syrup = sugar / Brix; water = syrup - sugar",
        worked=f"{say(sugar)} / {say(wanted)} = {say(sugar / share, digits=4)}; "
        f"less {say(sugar)} of sugar: {say(poured, digits=4)}",
    )


@question("syrup-blend", outcome="syrup-strength", level="carry out")
def blend(draw: Draw) -> QuantityPart:
    """Two rests of syrup in one bowl; how strong is it now?"""
    first = draw.mass("first", 220, 380, step=20)
    second = draw.mass("second", 510, 690, step=20)
    weak = draw.percent("weak", 46, 54)
    strong = draw.percent("strong", 64, 72)
    mixed = syrup.blend([(first, weak), (second, strong)]).brix
    total = first + second
    return QuantityPart(
        f"Two rests of syrup go into one bowl: {say(first)} of {say(weak)} and "
        f"{say(second)} of {say(strong)}. What is the Brix of the whole?",
        answer=mixed,
        tolerance="0.5 %",
        because="half a per cent, as near as a syrup is kept at the bench",
        wrong_turns=[
            WrongTurn(
                "plain middle",
                (weak + strong) / 2,
                "This is the number you get by taking the middle of the two strengths. "
                "Ask yourself of which there is more in the bowl.",
            ),
            WrongTurn(
                "masses exchanged",
                (first * strong + second * weak) / total,
                "This is the number you get with the two masses exchanged. "
                "Write each mass beside its own strength.",
            ),
        ],
        working="Brix = (m1 B1 + m2 B2) / (m1 + m2)",
        worked=f"sugar {say((first * weak + second * strong).to(unit('g')), digits=4)} in "
        f"{say(total, digits=4)} of syrup: {say(mixed, digits=4)}",
    )


@question("syrup-handbook", outcome="syrup-scales", level="carry out", minutes=5)
def handbook(draw: Draw) -> Asked:
    """Read density and Baumé between two rows of a table."""
    low = draw.one_of("row", (40, 50, 60))
    strength = q(low + draw.one_of("above", (3, 4, 6, 7)), "percent")
    below, above = q(low, "percent"), q(low + 10, "percent")
    rows = {}
    for label, reads, tolerance in (
        ("Density", syrup.density, "3 kg/m³"),
        ("Baumé", syrup.baume, "0.2 °Bé"),
    ):
        rows[label] = QuantityPart(
            f"{label} of a syrup of {say(strength)}",
            answer=reads(strength),
            tolerance=tolerance,
            because=READ_BETWEEN,
            marks={"value": 1, "unit": 1},
            wrong_turns=[
                WrongTurn(
                    "row below",
                    reads(below),
                    "This is the number you get from the row below. "
                    "Work out how far the strength lies on the way to the next row.",
                ),
                WrongTurn(
                    "row above",
                    reads(above),
                    "This is the number you get from the row above. "
                    "Work out how far the strength lies on the way to it.",
                ),
            ],
            working="go the same part of the way in both columns",
            worked=f"{say(strength)} lies between {say(below)} and {say(above)}: "
            f"{say(reads(strength), digits=4)}",
        )
    return Asked(
        [
            TablePart(
                f"Read from the table what a syrup of {say(strength)} has at 20 °C. "
                "Where it lies between two rows, go the same part of the way.",
                rows,
            )
        ],
        exhibit=_handbook(40, 50, 60, 70),
    )


@question("syrup-jug-density", outcome="syrup-scales", level="carry out", minutes=6)
def jug_density(draw: Draw) -> Asked:
    """A measuring jug and a scale give a density, and that gives the Brix."""
    mass = draw.mass("mass", 621, 664)
    volume = q(500, "ml")
    dense = (mass / volume).to(unit("kg/m**3"))
    strong = syrup.brix_from_density(dense)
    low = q(5 * (strong.m // 5), "percent")
    lower, upper = (round(syrup.density(low + q(more, "percent")).m) for more in (0, 5))
    way, span = f"{dense.m - lower:.4g}", upper - lower
    return Asked(
        [
            QuantityPart(
                f"{say(volume)} of a plain sugar syrup, cooled to 20 °C, weighs {say(mass)} "
                "without the jug. What is its density in kg/m³?",
                answer=dense,
                tolerance="5 kg/m³",
                because="a measuring jug is read to 2 ml in 500 ml",
                wrong_turns=[
                    WrongTurn(
                        "not per litre",
                        q(mass.m, "kg/m**3"),
                        "This is the number you get without dividing by the volume. "
                        "Ask yourself what a whole litre would weigh.",
                    ),
                    WrongTurn(
                        "upside down",
                        q(1e6 / dense.m, "kg/m**3"),
                        "This is the number you get with volume over mass. "
                        "Ask yourself first: is syrup heavier or lighter than water?",
                    ),
                ],
                working="density = mass / volume",
                worked=f"{say(volume)} are half a litre, so a litre weighs "
                f"{say(2 * mass, digits=4)}, and g/l is the same number as kg/m³: "
                f"{say(dense, digits=4)}",
            ),
            QuantityPart(
                "Read the Brix that belongs to your density from the table.",
                answer=lambda given: syrup.brix_from_density(given["a"]),
                tolerance="0.5 %",
                because=READ_BETWEEN,
                wrong_turns=[
                    WrongTurn(
                        "row below",
                        low,
                        "This is the number you get from the row below. "
                        "Work out how far your density lies on the way to the next row.",
                    ),
                    WrongTurn(
                        "row above",
                        low + q(5, "percent"),
                        "This is the number you get from the row above. "
                        "Work out how far your density lies on the way to it.",
                    ),
                ],
                working="go the same part of the way in both columns",
                worked=f"{say(dense, digits=4)} is {way} of the {span} kg/m³ on the way from "
                f"{say(low)} to {say(low + q(5, 'percent'))}; {say(low)} + {way} / {span} x 5 % "
                f"is about {say(strong, digits=4)}",
            ),
        ],
        exhibit=_handbook(50, 55, 60, 65, 70),
    )


@question("syrup-brix-means", outcome="syrup-scales", level="recall", minutes=1)
def brix_means(draw: Draw) -> ChoicePart:
    """What a degree Brix counts."""
    strength = draw.one_of("strength", (52, 56, 58, 62, 64, 66))
    return ChoicePart(
        f"A label says {strength} Brix. What does that mean?",
        [
            Option(f"{strength} g of sugar in 100 g of syrup", right=True),
            Option(
                f"{strength} g of sugar to 100 g of water",
                says="This counts against the water alone. Look again at what the 100 g are.",
            ),
            Option(
                f"{strength} g of sugar in 100 ml of syrup",
                says="This counts against a volume. Brix is weighed: look at the definition.",
            ),
            Option(
                f"{strength} % of the sugar that the water could dissolve",
                says="This compares with a full solution, which is another number. "
                "Look at the definition of Brix.",
            ),
        ],
        worked=f"Brix counts grams of sugar in 100 g of syrup: {strength} g.",
    )


_PANS = (
    (
        "A plain sugar syrup has cooled to 20 °C. You may take a drop.",
        "The refractometer",
        "It reads a plain, cooled sugar syrup from one drop.",
    ),
    (
        "A plain sugar syrup is boiling hard, and you want to know its strength while it boils.",
        "The thermometer, with the boiling table of this kitchen",
        "The boiling point rises with the strength and can be read while it boils.",
    ),
    (
        "A finished glaze holds syrup, condensed milk, gelatin and a white colourant.",
        "None of these: work it out from what was weighed",
        "Milk, gelatin and white upset every one of these instruments.",
    ),
)


@question("syrup-which-instrument", outcome="syrup-instrument", level="decide", minutes=2)
def which_instrument(draw: Draw) -> ChoicePart:
    """Three pans, four ways to read them: which one can be trusted here?"""
    pan, best, why = draw.one_of("pan", _PANS)
    others = {
        "The refractometer": "It needs a plain sugar syrup, cooled, and a drop of it. "
        "Ask yourself what else is in this pan, and how hot it is.",
        "The thermometer, with the boiling table of this kitchen": "It tells the strength "
        "only of a syrup on the boil. Ask yourself whether this one boils.",
        "A hydrometer, let into the pan as it is": "Its scale holds for 20 °C and for sugar "
        "in water. Look again at this pan.",
        "None of these: work it out from what was weighed": "Something here can be read "
        "directly. Go through the instruments one by one.",
    }
    return ChoicePart(
        f"{pan} Which way to its strength do you trust?",
        one_right({text: text for text in others}, best, others),
        marks=2,
        worked=f"{best}. {why}",
    )


@question("syrup-reading-log", outcome="syrup-instrument", level="decide", minutes=4)
def reading_log(draw: Draw) -> Asked:
    """Two readings of one pan differ: is it the syrup or the sample?"""
    sugar = draw.mass("sugar", 620, 680, step=10)
    poured = draw.mass("water", 350, 390, step=10)
    case = draw.one_of("case", ("boiled", "hot drop", "cold water"))
    first = syrup.brix(sugar, poured)
    start = sugar + poured
    end = start - q(90, "g") if case == "boiled" else start
    shows = {
        "boiled": (sugar / end).to(unit("percent")),
        "hot drop": first + q(6.5, "percent"),
        "cold water": first - q(7.5, "percent"),
    }[case]
    sample = {
        "boiled": "cooled to 20 °C, lid closed",
        "hot drop": "straight from the pan, lid left open",
        "cold water": "cooled to 20 °C, prism just rinsed",
    }[case]
    moved = (
        f"stayed at {say(start, digits=4)}"
        if end == start
        else f"went from {say(start, digits=4)} to {say(end, digits=4)}"
    )
    options = {
        "boiled": "Water has boiled off. The syrup is stronger, and the reading is right.",
        "hot drop": "The drop was hot and dried on the prism. The reading is too high.",
        "cold water": "Water was left on the prism. The reading is too low.",
        "wrong scale": "The bench scale is out. Nothing can be said.",
    }
    return Asked(
        [
            ChoicePart(
                "What explains the second reading best?",
                one_right(
                    options,
                    case,
                    "Hold it against the mass of the syrup and the way the sample "
                    "was taken: do both agree with it?",
                ),
                marks=2,
                worked=f"The mass {moved}, and the sample was {sample}. {options[case]}",
            )
        ],
        stem=f"{say(sugar)} of sugar and {say(poured)} of water went into the pan.",
        exhibit=Exhibit(
            "From the bench book, with what the refractometer read",
            ("When", "Mass", "Sample", "Reading"),
            [
                (
                    "all dissolved",
                    say(start, digits=4),
                    "cooled to 20 °C, lid closed",
                    say(first, places=1),
                ),
                ("after a while", say(end, digits=4), sample, say(shows, places=1)),
            ],
        ),
    )


@question("syrup-refractometer-blind", outcome="syrup-instrument", level="recall", minutes=2)
def refractometer_blind(draw: Draw) -> ChoicesPart:
    """What a refractometer reads, and what makes it useless."""
    blind = draw.shuffled(
        "blind",
        (
            "A glaze base with condensed milk in it",
            "A glaze with titanium white",
            "A syrup with soaked gelatin stirred in",
            "A syrup full of fine air bubbles",
            "A syrup with sugar crystals still in it",
        ),
    )
    clear = draw.shuffled(
        "clear",
        (
            "A plain sugar syrup at 20 °C",
            "A plain sugar syrup at 15 °C, corrected by the table",
            "Clear sugar water for soaking sponge, at 20 °C",
        ),
    )
    return ChoicesPart(
        "Which of these can a refractometer not read rightly?",
        [Option(text, right=True) for text in blind[:2]]
        + [
            Option(
                text,
                says="This is sugar and water and nothing else. Ask yourself what could "
                "upset the light in it.",
            )
            for text in clear[:2]
        ],
        marks=2,
        worked="Milk, white, gelatin, bubbles and crystals upset the reading: "
        + " and ".join(text[0].lower() + text[1:] for text in blind[:2])
        + ".",
    )


# --- what does boiling take out? --------------------------------------------------------------


@question("boil-two-weighings", outcome="boiling-water-lost", level="carry out", minutes=6)
def two_weighings(draw: Draw) -> Asked:
    """The pan before and after: what went, and how strong is the syrup now?"""
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
                working="water lost = before - after",
                worked=f"{say(before, digits=4)} - {say(after, digits=4)} = {say(lost, digits=4)}",
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
                        "This is the number you get when sugar leaves instead of water. "
                        "Ask yourself what is in the steam.",
                    ),
                ],
                working="Brix = sugar / (sugar + water - water lost)",
                worked=f"{say(sugar)} / ({say(sugar)} + {say(poured)} - {say(lost)}) = "
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
                        "difference of the per cents",
                        (mass * (wanted - now)).to(unit("g")),
                        "This is the number you get from the difference of the two per cents. "
                        "The sugar stays: ask yourself what the syrup weighs at the end.",
                    ),
                    WrongTurn(
                        "upside down",
                        mass * (wanted / now - 1).to(unit("")).m,
                        "This is the number you get with the two strengths exchanged. "
                        "Ask yourself first: does the syrup get lighter or heavier?",
                    ),
                ],
                working="water = mass x (1 - Brix now / Brix wanted)",
                worked=f"{say(mass, digits=4)} x (1 - {say(now)} / {say(wanted)}) = "
                f"{say(off, digits=4)}",
            ),
            QuantityPart(
                f"The empty pan weighs {say(pan)}. What does the scale show, pan and syrup "
                "together, when you take it off?",
                answer=lambda given: mass + pan - given["a"],
                tolerance="3 g",
                because=BENCH_SCALE + ", and the strength is rounded",
                wrong_turns=[
                    WrongTurn(
                        "without the pan",
                        mass - off,
                        "This is the number you get for the syrup alone. "
                        "Ask yourself what else stands on the scale.",
                    ),
                    WrongTurn(
                        "nothing boiled off",
                        mass + pan,
                        "This is the number you get before anything has boiled off. "
                        "Ask yourself what has gone since.",
                    ),
                ],
                working="scale = pan + syrup - water lost",
                worked=f"{say(pan)} + {say(mass, digits=4)} - {say(off, digits=4)} = "
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
    read = lifts[low] + (lifts[low + 5] - lifts[low]) * (strength.m - low) / 5
    read = q(round(read.m, 1), "delta_degC")
    added = q(round(base.m, 1), "degC") + read
    fifths = "1 fifth" if strength.m - low == 1 else f"{strength.m - low:g} fifths"
    return Asked(
        [
            QuantityPart(
                f"Your kitchen lies at {say(altitude, digits=4)}, and water boils there at "
                f"{say(base, places=1)}. At what reading does a syrup of {say(strength)} boil? "
                "Read from the table how far above water that is.",
                answer=here,
                tolerance="0.5 °C",
                because="the weather moves the boiling point by half a degree",
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
                worked=f"{say(strength)} lies {fifths} of the way from {low} % to {low + 5} %: "
                f"{say(read, places=1)} above water; {say(base, places=1)} + "
                f"{say(read, places=1)} = {say(added, places=1)} by the table, and the curve "
                f"itself says {say(here, digits=4)}",
            )
        ],
        exhibit=Exhibit(
            "How far above water a syrup boils in your kitchen",
            ("Brix", "Above water"),
            rows,
        ),
    )


@question("boil-on-a-mountain", outcome="boiling-stage", level="decide", minutes=5)
def on_a_mountain(draw: Draw) -> Asked:
    """A formula written at the sea, a kitchen high up: when does the pan come off?"""
    altitude = draw.quantity("altitude", 1100, 2300, step=100, unit="m")
    written = draw.temperature("written", 107, 117)
    strength = syrup.brix_at_boiling(written)
    here = syrup.boiling_point(strength, altitude)
    base = water.boiling_point(water.air_pressure(altitude))
    lower = written - here
    return Asked(
        [
            QuantityPart(
                f"A formula, written at the sea, says: boil to {say(written)}. You cook it in a kitchen "
                f"at {say(altitude, digits=4)}, and your checked thermometer shows "
                f"{say(base, places=1)} in boiling water. At what reading do you take the pan "
                "off, for the same strength?",
                answer=here,
                tolerance="1 °C",
                because="kitchens take 1 °C for every 300 m, which is as near as the weather allows",
                wrong_turns=[
                    WrongTurn(
                        "as written",
                        written,
                        "This is the number you get by taking the formula as it stands. "
                        "Ask yourself where water boils up here.",
                    ),
                    WrongTurn(
                        "the wrong way",
                        written + lower,
                        "This is the number you get by going up instead of down. "
                        "Ask yourself whether water boils hotter or cooler up here.",
                    ),
                ],
                working="reading here = reading at the sea - (100 °C - water's boiling point here)",
                worked=f"the air is thinner, so each syrup boils {say(lower, places=1)} "
                f"lower: {say(here, digits=4)}",
            ),
            ChoicePart(
                "A colleague boils to the reading of the formula all the same. What comes out?",
                [
                    Option("A stronger syrup than meant: it sets harder", right=True),
                    Option(
                        "A weaker syrup than meant: it stays soft",
                        says="Ask yourself how much water has left when this kitchen reaches "
                        "that reading.",
                    ),
                    Option(
                        "The same syrup: a degree is a degree",
                        says="The thermometer is right, but what boils at that reading up here? "
                        "Compare with water.",
                    ),
                ],
                worked="Up here that reading belongs to a stronger syrup: it sets harder.",
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


@question("boil-two-pans", outcome="boiling-stage", level="decide", minutes=4)
def two_pans(draw: Draw) -> Asked:
    """Two curves that cross: which pan do you stand by, and when?"""
    target = draw.one_of("target", (106, 108, 114, 116))
    steady_first = draw.one_of("steady", (True, False))
    steady = [(0, 102), (3, 105), (6, 108), (9, 111), (12, 114), (15, 117)]
    late = [(0, 101), (3, 102), (6, 104), (9, 111), (12, 118)]
    first, second = (steady, late) if steady_first else (late, steady)
    names = ("A", "B") if steady_first else ("B", "A")
    ready = names[0] if target < 111 else names[1]

    def told(points: list[tuple[int, int]]) -> str:
        return ", ".join(f"{c} °C at {m} min" for m, c in points)

    return Asked(
        [
            ChoicePart(
                f"Both pans are to come off at {target} °C. Which one is ready first?",
                [
                    *one_right(
                        {pan: f"Pan {pan}" for pan in "AB"},
                        ready,
                        f"Follow the line of {target} °C from the left: "
                        "which curve do you meet first?",
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
                "Both pans began with the same syrup. Both show 111 °C after 9 minutes. "
                "What do you know of them at that moment?",
                [
                    Option("They are equally strong", right=True),
                    Option(
                        "The pan that heats faster is stronger",
                        says="The boiling reading tells the strength, and not the speed. "
                        "Compare the two readings.",
                    ),
                    Option(
                        "Nothing, until both are weighed",
                        says="Weighing would tell it too. Ask yourself what a boiling reading "
                        "says about strength.",
                    ),
                ],
                worked="Same kitchen, same boiling reading: they are equally strong.",
            ),
        ],
        exhibit=Exhibit(
            "Two pans on two hobs",
            svg=_curves(first, second),
            alt=f"Temperature against time. Pan A: {told(first)}. Pan B: {told(second)}.",
        ),
    )


@question("boil-to-a-weight-order", outcome="boiling-water-lost", level="recall", minutes=2)
def to_a_weight_order(draw: Draw) -> OrderPart:
    """Boil to a weight: the steps."""
    return OrderPart(
        "You boil a syrup to a weight. Put the steps in order.",
        [
            "Weigh the empty pan and write it down.",
            "Weigh in the sugar and the water.",
            "Work out what pan and syrup must weigh at the end.",
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
    """What moves the boiling reading of a syrup."""
    return ChoicesPart(
        "Which of these make the reading of a boiling syrup higher?",
        [
            Option("More sugar in the same water", right=True),
            Option("Going on boiling, so that water leaves", right=True),
            Option(
                "A stronger flame under the same syrup",
                says="A stronger flame boils faster, not hotter. Ask yourself what sets the "
                "boiling point.",
            ),
            Option(
                "A kitchen higher above the sea",
                says="Ask yourself what the thinner air does to boiling water.",
            ),
            Option(
                "Twice as much of the same syrup",
                says="It takes longer. Ask yourself whether its strength has changed.",
            ),
        ],
        marks=2,
        worked="Only the strength and the air decide. More sugar, or less water.",
    )


@question("boil-water-back", outcome="boiling-stage", level="decide", safety=True, minutes=2)
def water_back(draw: Draw) -> ChoicePart:
    """A syrup went too far: how does water come back in, safely?"""
    over = draw.temperature("over", 116, 126)
    return ChoicePart(
        f"Your syrup has gone too far: the thermometer shows {say(over)}. You want to give water "
        "back. What do you do?",
        [
            Option(
                "Pan off the heat; wait until it is calm; then hot water in small amounts",
                right=True,
            ),
            Option(
                "Pan on a low flame, so that it keeps boiling; cold water in small amounts",
                says="While it boils, steam and sugar fly. "
                "Ask yourself what has to stop before water goes in.",
            ),
            Option(
                "Pan off the heat; ice cubes one by one, because ice melts slowly",
                says="Each cube is much cold water in one place, and it sinks. "
                "Ask yourself what happens to it down there.",
            ),
            Option(
                "Pan off the heat; lid on; water in small amounts through the gap",
                says="Steam gathers under a lid. Ask yourself where it goes, "
                "and where your hand is then.",
            ),
        ],
        marks=2,
        safety=True,
        worked="Off the heat, calm, then hot water in small amounts, face and arms away.",
    )


@question("boil-which-needs-longer", outcome="boiling-water-lost", level="decide", minutes=5)
def which_needs_longer(draw: Draw) -> Asked:
    """Two formulas side by side: which pan has more water to lose?"""
    sugar = draw.mass("sugar", 420, 580, step=20)
    thin = draw.mass("thin", 290, 370, step=20)
    extra = draw.mass("extra", 110, 190, step=20)
    wanted = q(draw.one_of("wanted", (76, 77, 78, 79, 81, 82)), "percent")
    end = sugar / (wanted.m / 100)
    small = sugar + thin - end
    large = small + extra
    return Asked(
        [
            ChoicePart(
                f"Both are boiled to {say(wanted)} on the same hob. "
                "Which pan stays on longer, and which glaze is sweeter at the end?",
                [
                    Option("Formula B stays on longer; both end equally sweet", right=True),
                    Option(
                        "Formula B stays on longer and ends less sweet",
                        says="Ask yourself what of the water is still there at the end.",
                    ),
                    Option(
                        "Both take as long, because both hold the same sugar",
                        says="The sugar stays. Ask yourself what has to leave each pan.",
                    ),
                    Option(
                        "Formula A stays on longer, because it is stronger",
                        says="Ask yourself which of them is nearer to its end already.",
                    ),
                ],
                marks=2,
                worked="The same sugar at the same Brix: the same syrup at the end. "
                "B has more water to lose.",
            ),
            QuantityPart(
                "How much water has to leave pan B?",
                answer=large,
                tolerance="3 g",
                because=BENCH_SCALE + ", and the strength is rounded",
                wrong_turns=[
                    WrongTurn(
                        "pan A",
                        small,
                        "This is the number you get for the other pan. "
                        "Look again at which water went into B.",
                    ),
                    WrongTurn(
                        "all its water",
                        thin + extra,
                        "This is the number you get when all the water leaves. "
                        "Ask yourself what of it stays in a syrup of that strength.",
                    ),
                ],
                working="water lost = sugar + water - sugar / Brix",
                worked=f"{say(sugar)} + {say(thin + extra)} - {say(sugar)} / {say(wanted)} = "
                f"{say(large, digits=4)}",
            ),
        ],
        exhibit=Exhibit(
            "Two formulas for the same syrup",
            ("", "Formula A", "Formula B"),
            [
                ("Sugar", say(sugar), say(sugar)),
                ("Water", say(thin), f"{say(thin)} and {say(extra)} for washing down"),
            ],
        ),
    )
