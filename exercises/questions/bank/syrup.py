"""Questions about syrups: how strong one is, and what can read it."""

from __future__ import annotations

from calculators import syrup
from calculators.units import q, say, unit
from exercises.questions.draws import Draw
from exercises.questions.parts import (
    Asked,
    ChoicePart,
    ChoicesPart,
    Exhibit,
    Option,
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
                because="half a per cent is as near as a bench keeps a syrup",
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
                        "This is the number you get for the share of water. "
                        "Look again at which of the two Brix counts.",
                    ),
                ],
                working="Brix = sugar / (sugar + water)",
                worked=f"{say(sugar)} / ({say(sugar)} + {say(poured)}) = {say(strong, digits=4)}",
            ),
            QuantityPart(
                f"You take {say(share)} of this syrup for a glaze. How much sugar is in that?",
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
                        "This is the number you get by counting the syrup as sugar. "
                        "Ask yourself what else is in it.",
                    ),
                ],
                working="sugar = mass of syrup × Brix",
                worked=f"{say(share)} × {say(strong, digits=4)} = {say(inside, digits=4)}",
            ),
        ]
    )


@question("syrup-water-for-brix", outcome="syrup-strength", level="carry out")
def water_for_brix(draw: Draw) -> QuantityPart:
    """Sugar weighed, a strength wanted; how much water?"""
    sugar = draw.mass("sugar", 420, 980, step=20)
    wanted = draw.percent("wanted", 54, 66)
    poured = syrup.water_to_add(sugar, q(100, "percent"), wanted)
    share = wanted.m / 100
    return QuantityPart(
        f"You have weighed {say(sugar)} of sugar and want a {say(wanted)} syrup. "
        "How much water do you add?",
        answer=poured,
        tolerance="2 g",
        because=BENCH_SCALE + ", and rounding may add half a gram",
        wrong_turns=[
            WrongTurn(
                "water's share of the sugar",
                sugar * (1 - share),
                "This is the number you get by taking the water's share of the sugar alone. "
                "Ask yourself what the percentage is a share of.",
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
                "Ask yourself how much of it is in the bowl already.",
            ),
        ],
        working="syrup = sugar / Brix; water = syrup − sugar",
        worked=f"{say(sugar)} / {say(wanted)} = {say(sugar / share, digits=4)}; "
        f"minus {say(sugar)} of sugar: {say(poured, digits=4)}",
    )


@question("syrup-blend", outcome="syrup-strength", level="carry out")
def blend(draw: Draw) -> QuantityPart:
    """Two leftover syrups in one bowl; how strong is the mixture?"""
    first = draw.mass("first", 220, 380, step=20)
    second = draw.mass("second", 510, 690, step=20)
    weak = draw.percent("weak", 46, 54)
    strong = draw.percent("strong", 64, 72)
    mixed = syrup.blend([(first, weak), (second, strong)]).brix
    total = first + second
    return QuantityPart(
        f"Two leftover syrups go into one bowl: {say(first)} of {say(weak)} and "
        f"{say(second)} of {say(strong)}. What is the Brix of the mixture?",
        answer=mixed,
        tolerance="0.5 %",
        because="half a per cent is as near as a bench keeps a syrup",
        wrong_turns=[
            WrongTurn(
                "plain average",
                (weak + strong) / 2,
                "This is the number you get by averaging the two strengths. "
                "Ask yourself which of the two there is more of in the bowl.",
            ),
            WrongTurn(
                "masses exchanged",
                (first * strong + second * weak) / total,
                "This is the number you get with the two masses exchanged. "
                "Write each mass beside its own strength.",
            ),
        ],
        working="Brix = sugar in both / mass of both",
        worked=f"sugar: {say(first)} × {say(weak)} + {say(second)} × {say(strong)} = "
        f"{say((first * weak + second * strong).to(unit('g')), digits=4)}; in all "
        f"{say(first)} + {say(second)} = {say(total, digits=4)}; Brix: {say(mixed, digits=4)}",
    )


@question("syrup-handbook", outcome="syrup-scales", level="carry out", minutes=5)
def handbook(draw: Draw) -> Asked:
    """Read density and Baumé between two rows of a table."""
    low = draw.one_of("row", (40, 50, 60))
    strength = q(low + draw.one_of("above", (3, 4, 6, 7)), "percent")
    below, above = q(low, "percent"), q(low + 10, "percent")
    rows = {}
    for label, reads, places, tolerance in (
        ("Density", syrup.density, 0, "3 kg/m³"),
        ("Baumé", syrup.baume, 1, "0.2 °Bé"),
    ):
        first, last = (round(reads(row).m, places) for row in (below, above))  # as the table has it
        part = (strength.m - low) / 10
        between = q(first + part * (last - first), str(reads(below).u))
        rows[label] = QuantityPart(
            f"{label} of a {say(strength)} syrup",
            answer=reads(strength),
            tolerance=tolerance,
            because=READ_BETWEEN,
            marks={"value": 1, "unit": 1},
            wrong_turns=[
                WrongTurn(
                    "row below",
                    reads(below),
                    "This is the number you get from the row below. "
                    "Work out how far your strength is on the way to the next row.",
                ),
                WrongTurn(
                    "row above",
                    reads(above),
                    "This is the number you get from the row above. "
                    "Work out how far your strength is on the way to it.",
                ),
            ],
            working="interpolate: go the same fraction of the way in both columns",
            worked=f"{say(strength)} is {strength.m - low:g} tenths of the way from {say(below)} to "
            f"{say(above)}; {first:g} + {part:g} × ({last:g} − {first:g}) = "
            f"{say(between, digits=4)}; the curve itself gives {say(reads(strength), digits=4)}",
        )
    return Asked(
        [
            TablePart(
                f"Read the density and Baumé of a {say(strength)} syrup at 20 °C from the table. Between "
                "two rows, go the same fraction of the way in each column.",
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
    way, span = float(f"{dense.m - lower:.4g}"), upper - lower
    part = float(f"{way / span:.3g}")
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
                worked=f"a litre weighs 2 × {say(mass, digits=4)} = {say(2 * mass, digits=4)}; "
                "g/l is the same number as kg/m³: "
                f"{say(dense, digits=4)}",
            ),
            QuantityPart(
                "Read the Brix for your density from the table.",
                answer=lambda given: syrup.brix_from_density(given["a"]),
                tolerance="0.5 %",
                because=READ_BETWEEN,
                wrong_turns=[
                    WrongTurn(
                        "row below",
                        low,
                        "This is the number you get from the row below. "
                        "Work out how far your density is on the way to the next row.",
                    ),
                    WrongTurn(
                        "row above",
                        low + q(5, "percent"),
                        "This is the number you get from the row above. "
                        "Work out how far your density is on the way to it.",
                    ),
                ],
                working="interpolate: go the same fraction of the way in both columns",
                worked=f"the part of the way = {way:g} / {span:g} = {part:g}; "
                f"{say(low)} + {part:g} × 5 % = {say(low + q(5 * part, 'percent'), digits=4)}; "
                f"the curve itself gives {say(strong, digits=4)}",
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
                says="This is a ratio to the water alone. Look again at what the 100 g are.",
            ),
            Option(
                f"{strength} g of sugar in 100 ml of syrup",
                says="This is per volume. Brix is by mass: look at the definition.",
            ),
            Option(
                f"{strength} % of the sugar that the water could dissolve",
                says="This compares it with a full solution, which is another number. "
                "Look at the definition of Brix.",
            ),
        ],
        worked=f"Brix counts grams of sugar in 100 g of syrup: {strength} g.",
    )


_PANS = (
    (
        "A plain sugar syrup has cooled to 20 °C, and there are only a few spoonfuls of it.",
        "The refractometer",
        "It reads a plain, cooled sugar syrup from one drop.",
    ),
    (
        "A plain sugar syrup is bubbling on the hob, and you want its strength while it does.",
        "The thermometer",
        "The boiling point rises with the strength and can be read while it boils.",
    ),
    (
        "A finished glaze contains syrup, condensed milk, gelatin and a white colourant.",
        "The scale",
        "Milk, gelatin and white upset every other instrument: work it out from what was weighed.",
    ),
)


@question("syrup-which-instrument", outcome="syrup-instrument", level="decide", minutes=2)
def which_instrument(draw: Draw) -> ChoicePart:
    """Three pans, four instruments: which one can be trusted here?"""
    pan, best, why = draw.one_of("pan", _PANS)
    others = {
        "The refractometer": "It needs a plain sugar syrup, cooled, and a drop of it. "
        "Ask yourself what is in this pan, and how hot it is.",
        "The thermometer": "By the boiling table it gives the strength of a syrup on the boil. "
        "Ask yourself whether this one is boiling.",
        "The hydrometer, in a tall jar": "Its scale holds for 20 °C and for plain sugar and water, and it must "
        "float. Look again at this pan.",
        "The scale": "That means working it out from what was weighed. Ask yourself whether "
        "something here can be read directly.",
    }
    return ChoicePart(
        f"{pan} Which one gives you a figure that you can trust?",
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
        "boiled": "Steam left the pan, so it is right.",
        "hot drop": "Its drop dried up, so it is too high.",
        "cold water": "A wet prism thinned the drop, so it is too low.",
        "wrong scale": "The bench scale is out by some grams, so it means nothing.",
    }
    return Asked(
        [
            ChoicePart(
                "What do you say about the second reading?",
                one_right(
                    options,
                    case,
                    {
                        "boiled": "Then the syrup would weigh less. Compare the two masses.",
                        "hot drop": "Then the sample would have been taken hot. Look at how it was "
                        "taken.",
                        "cold water": "Then the reading would have fallen. Compare it with the "
                        "first, and look at how the sample was taken.",
                        "wrong scale": "Then the two masses would make no sense. Compare them with "
                        "what was weighed in.",
                    },
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
        "Which of these does a refractometer read wrongly?",
        [Option(text, right=True) for text in blind[:2]]
        + [
            Option(
                text,
                says=f"{again} is sugar and water and nothing else. Ask yourself what could "
                "upset the light in it.",
            )
            for text, again in zip(clear[:2], ("This one", "This, too,"), strict=True)
        ],
        marks=2,
        worked="Milk, white, gelatin, bubbles and crystals upset the reading: "
        + " and ".join(text[0].lower() + text[1:] for text in blind[:2])
        + ".",
    )
