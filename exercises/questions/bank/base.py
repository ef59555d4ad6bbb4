"""Questions about the base: what is in a glaze, what it costs, which of two to make."""

from __future__ import annotations

from collections.abc import Mapping
from math import ceil

from calculators import formula
from calculators.formula import Formula
from calculators.ingredients import SUGARS, ingredient
from calculators.kitchen import Line
from calculators.units import Quantity, number, q, say
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

LABELS = "labels give shares to a tenth, and the parts are rounded on the way"
MONEY = "prices are rounded to the cent on the way"
CONDENSED = "condensed milk, sweetened"
GLUCOSE = "glucose syrup, confectioner's"


def _glaze(name: str, grams: Mapping[str, Quantity]) -> Formula:
    return Formula(name, tuple(Line(what, mass) for what, mass in grams.items()))


def _labels(grams: Mapping[str, Quantity], columns: Mapping[str, tuple[str, ...]]) -> Exhibit:
    """Return the formula with what its labels say, as a student gets it on paper."""
    return Exhibit(
        "The formula, and what the labels say about 100 g",
        ("Ingredient", "In the pan", *columns),
        [
            (
                what,
                say(mass, digits=4),
                *(f"{number(_of(what, parts), 4)} g" for parts in columns.values()),
            )
            for what, mass in grams.items()
        ],
    )


def _of(what: str, parts: tuple[str, ...]) -> float:
    return sum(ingredient(what).share(part).typical.m for part in parts)


def _sum(grams: Mapping[str, Quantity], *parts: str) -> str:
    """Return the sum of a part over the lines, as it is worked on paper."""
    return " + ".join(
        f"{number(mass.m, 4)} × {number(_of(what, parts) / 100, 4)}"
        for what, mass in grams.items()
        if _of(what, parts) > 0
    )


# --- what is in it ------------------------------------------------------------------


@question("base-fat-of-a-glaze", outcome="base-composition", level="carry out", minutes=5)
def fat_of_a_glaze(draw: Draw) -> Asked:
    """Fat hides in two ingredients; the share is of the whole glaze."""
    grams = {
        "water": draw.mass("water", 180, 260, step=20),
        "sugar": draw.mass("sugar", 220, 320, step=20),
        CONDENSED: draw.mass("condensed", 150, 230, step=20),
        "white chocolate": draw.mass("chocolate", 210, 330, step=20),
    }
    glaze = _glaze("A white glaze", grams)
    total, share = formula.mass(glaze), formula.share(glaze, "fat")
    in_chocolate = grams["white chocolate"].m * _of("white chocolate", ("fat",)) / 100
    fatty = grams["white chocolate"] + grams[CONDENSED]
    return Asked(
        [
            QuantityPart(
                "What share of this glaze is fat?",
                answer=share,
                tolerance="0.2 %",
                because=LABELS,
                wrong_turns=[
                    WrongTurn(
                        "one line for all the fat",
                        q(100 * in_chocolate / total.m, "percent"),
                        "This is the number you get with the fat of the chocolate alone. "
                        "Look through the last column again.",
                    ),
                    WrongTurn(
                        "of the fatty lines only",
                        q(100 * glaze.of("fat") / fatty.m, "percent"),
                        "This is the number you get by dividing by only those ingredients that hold fat. "
                        "Ask yourself what the share is a share of.",
                    ),
                ],
                working="share of fat = fat of all ingredients / mass of all ingredients × 100 %",
                worked=f"({_sum(grams, 'fat')}) g / {say(total, digits=4)} × 100 % = {say(share, digits=4)}",
            )
        ],
        exhibit=_labels(grams, {"Fat": ("fat",)}),
    )


@question("base-hidden-water", outcome="base-composition", level="carry out", minutes=5)
def hidden_water(draw: Draw) -> Asked:
    """Water comes in three lines, and only one is called water."""
    grams = {
        "water": draw.mass("water", 160, 260, step=20),
        "sugar": draw.mass("sugar", 230, 330, step=20),
        GLUCOSE: draw.mass("glucose", 210, 310, step=20),
        CONDENSED: draw.mass("condensed", 140, 220, step=20),
    }
    glaze = _glaze("A glaze", grams)
    all_water, total = q(glaze.of("water"), "g"), formula.mass(glaze)
    share = formula.share(glaze, "water")
    no_syrup = all_water - grams[GLUCOSE] * _of(GLUCOSE, ("water",)) / 100
    return Asked(
        [
            QuantityPart(
                "How much water goes into the pan in all?",
                answer=all_water,
                tolerance="2 g",
                because=LABELS,
                wrong_turns=[
                    WrongTurn(
                        "only the water line",
                        grams["water"],
                        "This is the number you get from the line that is called water. "
                        "See which other ingredients bring some.",
                    ),
                    WrongTurn(
                        "the syrup's water left out",
                        no_syrup,
                        "This is the number you get without the water of the glucose syrup. "
                        "Look through the last column again.",
                    ),
                ],
                working="water = sum over the ingredients of mass × share of water",
                worked=f"{_sum(grams, 'water')} = {say(all_water, digits=4)}",
            ),
            QuantityPart(
                "What share of the glaze is that?",
                answer=lambda given: (given["a"] / total).to("percent"),
                tolerance="0.3 %",
                because=LABELS,
                wrong_turns=[
                    WrongTurn(
                        "over the rest, not the whole",
                        lambda given: (given["a"] / (total - given["a"])).to("percent"),
                        "This is the number you get by dividing by all that is not water. "
                        "A share is a share of the whole: look at what you divided by.",
                    ),
                    WrongTurn(
                        "only the water line",
                        (grams["water"] / total).to("percent"),
                        "This is the number you get from the line that is called water. "
                        "Use your answer to the part before.",
                    ),
                ],
                working="share of water = water / mass of all ingredients × 100 %",
                worked=f"{say(all_water, digits=4)} / {say(total, digits=4)} × 100 % = {say(share, digits=4)}",
            ),
        ],
        exhibit=_labels(grams, {"Water": ("water",)}),
    )


@question("base-syrup-inside", outcome="base-composition", level="carry out", minutes=6)
def syrup_inside(draw: Draw) -> Asked:
    """How strong the syrup inside a glaze with fat is."""
    grams = {
        "water": draw.mass("water", 190, 270, step=20),
        "sugar": draw.mass("sugar", 230, 310, step=20),
        CONDENSED: draw.mass("condensed", 170, 230, step=20),
        "white chocolate": draw.mass("chocolate", 250, 330, step=20),
    }
    glaze = _glaze("A white glaze", grams)
    sugars, water = q(glaze.of(*SUGARS), "g"), q(glaze.of("water"), "g")
    total, strength = formula.mass(glaze), formula.sugar_in_water(glaze)

    def share(part: Quantity, of: Quantity) -> Quantity:
        return (part / of).to("percent")

    return Asked(
        [
            TablePart(
                "Add up what all the ingredients bring.",
                {
                    "sugars, in g": QuantityPart(
                        "sugars",
                        answer=sugars,
                        tolerance="3 g",
                        because=LABELS,
                        marks={"value": 1, "unit": 1},
                        wrong_turns=[
                            WrongTurn(
                                "only the sugar line",
                                grams["sugar"],
                                "This is the number you get from the line that is called sugar. "
                                "See which other ingredients bring some.",
                            ),
                            WrongTurn(
                                "the chocolate's sugar left out",
                                sugars
                                - grams["white chocolate"] * _of("white chocolate", SUGARS) / 100,
                                "This is the number you get without the sugars of the chocolate. "
                                "They dissolve too: look at its label.",
                            ),
                        ],
                        working="sugars = sum over the ingredients of mass × share of sugars",
                        worked=f"{_sum(grams, *SUGARS)} = {say(sugars, digits=4)}",
                    ),
                    "water, in g": QuantityPart(
                        "water",
                        answer=water,
                        tolerance="2 g",
                        because=LABELS,
                        marks={"value": 1, "unit": 1},
                        wrong_turns=[
                            WrongTurn(
                                "only the water line",
                                grams["water"],
                                "This is the number you get from the line that is called water. "
                                "See which other ingredients bring some.",
                            ),
                            WrongTurn(
                                "the milk's water twice",
                                water + grams[CONDENSED] * _of(CONDENSED, ("water",)) / 100,
                                "This is the number you get by counting the condensed milk twice. "
                                "Go down the list once, from the top.",
                            ),
                        ],
                        working="water = sum over the ingredients of mass × share of water",
                        worked=f"{_sum(grams, 'water')} = {say(water, digits=4)}",
                    ),
                },
                worked="Each ingredient: mass × share.",
            ),
            QuantityPart(
                "How strong is the syrup inside this glaze? Give the share of sugar in its water phase.",
                answer=strength,
                tolerance="0.5 %",
                because=LABELS,
                wrong_turns=[
                    WrongTurn(
                        "sugar over the whole glaze",
                        share(sugars, total),
                        "This is the number you get by dividing by the whole glaze. "
                        "Ask yourself which ingredients make up the syrup, and which float in it.",
                    ),
                    WrongTurn(
                        "sugar over water",
                        share(sugars, water),
                        "This is the number you get by dividing by the water alone. "
                        "A share can't be above 100 %: look at what you divided by.",
                    ),
                ],
                working="sugar in the water phase = sugars / (sugars + water) × 100 %",
                worked=f"{say(sugars, digits=4)} / ({say(sugars, digits=4)} + {say(water, digits=4)}) "
                f"× 100 % = {say(strength, digits=4)}",
            ),
        ],
        exhibit=_labels(grams, {"Sugars": SUGARS, "Water": ("water",)}),
    )


# --- what it costs ----------------------------------------------------------------------


@question("base-cost-of-a-rack", outcome="base-cost", level="carry out", minutes=6)
def cost_of_a_rack(draw: Draw) -> Asked:
    """From what a cake keeps, through the run-off, to money."""
    cakes = draw.whole("cakes", 4, 12)
    keeps = draw.mass("keeps", 105, 165, step=5)
    run_off = draw.percent("run-off", 40, 60, step=5)
    cents = draw.whole("price", 78, 122) * 5
    price = q(cents / 100, "EUR/kg")
    poured = (cakes * keeps / (1 - run_off.m / 100)).to("g")
    bill = (poured * price).to("EUR")
    return Asked(
        [
            QuantityPart(
                f"You glaze {cakes} cakes. Each keeps {say(keeps)} of glaze, and {say(run_off)} "
                "of what is poured runs off. How much glaze do you need in the jugs?",
                answer=poured,
                tolerance="1 % of the answer",
                because="what a cake keeps is known to a few grams",
                wrong_turns=[
                    WrongTurn(
                        "run-off added instead of divided",
                        cakes * keeps * (1 + run_off.m / 100),
                        "This is the number you get by adding the run-off to what stays. "
                        "It is a share of what is poured: ask yourself what share stays.",
                    ),
                    WrongTurn(
                        "run-off forgotten",
                        cakes * keeps,
                        "This is the number you get if nothing runs off. "
                        "Ask yourself what is on the tray afterwards.",
                    ),
                ],
                working="poured = cakes × kept / (1 − run-off)",
                worked=f"{cakes} × {say(keeps)} / (1 − {number(run_off.m / 100)}) = {say(poured, digits=4)}",
            ),
            QuantityPart(
                f"A kilogram of this glaze costs {number(cents / 100, 4)} EUR. "
                "What does the glaze for the rack cost, in EUR?",
                answer=lambda given: (given["a"] * price).to("EUR"),
                tolerance="1.5 % of the answer",
                because=MONEY + ", and the mass may be rounded",
                wrong_turns=[
                    WrongTurn(
                        "only what stays",
                        (cakes * keeps * price).to("EUR"),
                        "This is the number you get by paying only for what stays on the cakes. "
                        "You bought what runs off as well: use your answer to the part before.",
                    ),
                    WrongTurn(
                        "the price of one kilogram",
                        q(cents / 100, "EUR"),
                        "This is the number you get for one kilogram. "
                        "Compare it with the mass that you need.",
                    ),
                ],
                working="cost = mass × price of a kilogram",
                worked=f"{say(poured, 'kg', digits=4)} × {number(cents / 100, 4)} EUR/kg = {say(bill, digits=4)}",
            ),
        ]
    )


@question("base-used-and-bought", outcome="base-cost", level="carry out", minutes=5)
def used_and_bought(draw: Draw) -> Asked:
    """What a batch uses of a tub is not what the shop asks for."""
    need = draw.mass("need", 450, 1100, step=50)
    pack = draw.one_of("pack", (397, 410, 500))
    cents = draw.whole("price", 45, 70) * 5
    used, packs = need.m * cents / 100 / pack, ceil(need.m / pack)
    used_money, bought = q(used, "EUR"), q(packs * cents / 100, "EUR")
    return Asked(
        [
            QuantityPart(
                f"A rack of cakes needs {say(need)} of condensed milk. A tin of {pack} g costs "
                f"{number(cents / 100, 4)} EUR. What is the milk in the glaze worth?",
                answer=used_money,
                tolerance="0.02 EUR",
                because=MONEY,
                wrong_turns=[
                    WrongTurn(
                        "pack for portion",
                        bought,
                        "This is the number you get by paying for whole tins. "
                        "Ask yourself how much of the last tin is left.",
                    ),
                    WrongTurn(
                        "a tin taken for a kilogram",
                        q(need.m / 1000 * cents / 100, "EUR"),
                        "This is the number you get if the price is that of a kilogram. "
                        "Look again at how much one tin holds.",
                    ),
                ],
                working="used = mass / pack × price",
                worked=f"{say(need)} / {pack} g × {number(cents / 100, 4)} EUR = {say(used_money, digits=4)}",
            ),
            QuantityPart(
                "What do you pay for it at the shop?",
                answer=bought,
                tolerance="0.02 EUR",
                because="only whole tins are sold",
                wrong_turns=[
                    WrongTurn(
                        "part of a tin",
                        used_money,
                        "This is the number you get for what is used. "
                        "A shop sells only whole tins: round up.",
                    ),
                    WrongTurn(
                        "one tin short",
                        q((packs - 1) * cents / 100, "EUR"),
                        "This is the number you get by rounding the tins down. "
                        "Check whether they hold enough.",
                    ),
                ],
                working="bought = price × tins, rounded up",
                worked=f"{say(need)} / {pack} g = {number(need.m / pack)}, so {packs} tins; "
                f"{packs} × {number(cents / 100, 4)} EUR = {say(bought, digits=4)}",
            ),
        ]
    )


# --- which of two -----------------------------------------------------------------------


def _two(draw: Draw) -> tuple[Formula, Formula, Exhibit]:
    """Return a white glaze and a jam glaze, and the table that holds them side by side."""
    white = Formula(
        "White glaze",
        (
            Line("water", draw.mass("water", 200, 260, step=20)),
            Line("sugar", q(280, "g"), q(1.3, "EUR"), q(1, "kg")),
            Line("glucose syrup", q(280, "g"), q(3.1, "EUR"), q(1, "kg")),
            Line("condensed milk", q(190, "g"), q(2.6, "EUR"), q(397, "g")),
            Line(
                "white chocolate",
                draw.mass("chocolate", 240, 320, step=20),
                q(11.2, "EUR"),
                q(1, "kg"),
            ),
            Line("gelatin leaf", q(18, "g"), q(26, "EUR"), q(1, "kg")),
        ),
    )
    jam = Formula(
        "Jam glaze",
        (
            Line("apricot jam", draw.mass("jam", 540, 640, step=20), q(4.9, "EUR"), q(1, "kg")),
            Line("water", draw.mass("more water", 150, 220, step=10)),
            Line("glucose syrup", q(110, "g"), q(3.1, "EUR"), q(1, "kg")),
            Line("gelatin leaf", q(10, "g"), q(26, "EUR"), q(1, "kg")),
        ),
    )
    a, b = formula.analysis(white), formula.analysis(jam)
    free = [formula.water_activity(one) for one in (white, jam)]

    def bill(one: formula.Analysis) -> str:
        return say(one.cost.per_kilogram, digits=3) if one.cost else ""

    rows = [
        ("Water", say(a.water), say(b.water)),
        ("Sugars", say(a.sugars), say(b.sugars)),
        ("Fat", say(a.fat, digits=2), say(b.fat, digits=1)),
        ("Gelatin in its water", say(a.gelatin_in_water), say(b.gelatin_in_water)),
        (
            "Water activity",
            *(f"{say(one.low, digits=2)} to {say(one.high, digits=2)}" for one in free),
        ),
        ("Cost", bill(a), bill(b)),
        (
            "Made of",
            *(
                "; ".join(f"{line.ingredient} {say(line.mass)}" for line in one.lines)
                for one in (white, jam)
            ),
        ),
    ]
    return (
        white,
        jam,
        Exhibit("Two formulas side by side", ("", white.name, jam.name), rows),
    )


_JOBS = {
    "seen": "Fresh fruit on a tart is to stay visible under the coat.",
    "covered": "A dark sponge is to vanish under one pale, even coat.",
    "milk": "Half of the guests can't have milk.",
    "cheap": "The school pays, and any sweet coat will do.",
}


@question("base-which-for-the-job", outcome="base-compare", level="decide", minutes=6)
def which_for_the_job(draw: Draw) -> Asked:
    """Two formulas by water, sugar, fat and price: which one for which job?"""
    _, _, exhibit = _two(draw)
    job = draw.one_of("job", tuple(_JOBS))
    true = draw.shuffled(
        "true",
        (
            "The jam glaze likely flows out level more easily.",
            "The jam glaze is likely the first of the two to weep.",
            "The white glaze hides more of what is under it.",
            "More of the jam glaze's water is free, so it keeps less long.",
        ),
    )[:2]
    false = draw.shuffled(
        "false",
        (
            (
                "The white glaze surely shines more than the jam glaze does.",
                "No number here sees gloss. Ask yourself what you would have to look at.",
            ),
            (
                "The white glaze keeps at room temperature, as so little of its water is free.",
                "In such a band moulds and yeasts still grow, and it holds milk. "
                "Local rules decide how it is kept.",
            ),
            (
                "The jam glaze sets firmer, as it has more water for its gelatin.",
                "More water thins gelatin. Compare the rows of gelatin in the water.",
            ),
        ),
    )[:2]
    return Asked(
        [
            ChoicePart(
                f"{_JOBS[job]} Which of the two do you make, and why?",
                one_right(
                    {
                        "seen": (
                            "The jam glaze, for it has next to no fat",
                            "Ask what fat in fine drops does to light, and whether this job wants it.",
                        ),
                        "covered": (
                            "The white glaze, for its fat scatters light",
                            "Ask whether light should pass here, or be stopped.",
                        ),
                        "milk": (
                            "The jam glaze, for no dairy goes into it",
                            "Ask whether allergens are what this job turns on.",
                        ),
                        "cheap": (
                            "The jam glaze, for a kilogram costs less",
                            "Compare the two costs, and ask whether money decides here.",
                        ),
                    },
                    job,
                ),
                worked={
                    "seen": "Fat in fine drops scatters light: the white glaze covers, the jam "
                    "glaze stays clear.",
                    "covered": "Fat in fine drops scatters light: the white glaze covers, the jam "
                    "glaze lets the sponge show.",
                    "milk": "Condensed milk and white chocolate are dairy. The jam glaze has "
                    "neither; read the label of each tub all the same.",
                    "cheap": "Either would do, and a kilogram of the jam glaze costs less.",
                }[job],
            ),
            ChoicesPart(
                "Which of these sentences do the numbers support?",
                [Option(text, right=True) for text in true]
                + [Option(text, says=says) for text, says in false],
                marks=2,
                worked="More water and less gelatin in it: it levels sooner and weeps sooner. More "
                "free water: it keeps less long. More fat: it hides more. You have to look to "
                "judge gloss, and rules say how a glaze is kept.",
            ),
        ],
        exhibit=exhibit,
    )


@question(
    "base-who-cannot-eat",
    outcome="base-compare",
    level="decide",
    safety=True,
    minutes=4,
)
def who_cannot_eat(draw: Draw) -> Asked:
    """A guest and two formulas: what may be promised."""
    _, _, exhibit = _two(draw)
    guest, says = draw.one_of(
        "guest",
        (
            ("is allergic to milk", "Two ingredients of the white glaze hold milk."),
            (
                "eats nothing that comes from animals",
                "Both are set with gelatin, which comes from animals.",
            ),
        ),
    )
    milk = guest == "is allergic to milk"
    return Asked(
        [
            ChoicePart(
                f"A guest {guest}. What do you do?",
                [
                    Option(
                        "Offer the jam glaze: read each label first, and use clean tools.",
                        right=milk,
                        says=""
                        if milk
                        else "Read its last ingredient again: what sets it, and what is that made from?",
                    ),
                    Option(
                        "Offer a third glaze: ask the supervisor for one that suits.",
                        right=not milk,
                        says="One of the two is made without milk. Find out which, and what you have "
                        "to check before you say so."
                        if milk
                        else "",
                    ),
                    Option(
                        "Offer the white glaze: a slice holds only a few grams of what they avoid.",
                        says="A trace can be too much. Look at what each of its ingredients is made of.",
                    ),
                    Option(
                        "Offer the jam glaze: make it in the jug of the white one, rinsed hot.",
                        says="A rinse leaves traces on jug, sieve and blade. Ask what else is needed.",
                    ),
                ],
                marks=2,
                worked=says + " Labels are read each time, and traces come from tools too. "
                "Local rules and the supervisor decide.",
                safety=True,
            )
        ],
        exhibit=exhibit,
    )


@question("base-why-dull", outcome="base-compare", level="decide", minutes=4)
def why_dull(draw: Draw) -> Asked:
    """A log of four glazes; one of them went wrong, and why."""
    cases = {
        "coarse": (
            ("8 %", "stirred with a whisk", "34 °C", "dull, greasy to the finger"),
            "The fat was not made fine.",
        ),
        "bubbles": (
            ("8 %", "blended, guard half out of the glaze", "33 °C", "small pits all over"),
            "The blender drew air.",
        ),
        "cold": (
            ("8 %", "blended, guard covered", "27 °C", "shiny, but with waves and a thick foot"),
            "It was too cool to flow out level.",
        ),
        "crystals": (
            (
                "8 %",
                "blended, guard covered, no glucose in the pan",
                "33 °C",
                "shiny at first, sandy after five days",
            ),
            "Its water held more sugar than it could keep dissolved.",
        ),
    }
    name = draw.one_of("case", tuple(cases))
    (fat, how, poured, seen), _ = cases[name]
    batch = draw.whole("batch", 3, 40)
    says = {
        "coarse": "Fat stays coarse with too little blending. Look at how this batch was mixed.",
        "bubbles": "Pits appear where air was drawn in. Look at where the guard was.",
        "cold": "A glaze that is too cool stops before it is level. Look at the temperature.",
        "crystals": "Crystals take days, and they need more sugar than the water can keep. Look at "
        "what was in the pan and when the fault was seen.",
    }
    return Asked(
        [
            ChoicePart(
                f"What spoiled the surface of batch {batch}?",
                one_right({key: sentence for key, (_, sentence) in cases.items()}, name, says),
                marks=2,
                worked="Gloss needs four things: smooth, level, free of bubbles, free of crystals. "
                "The card shows which of them is missing here: read how it was mixed, "
                "how warm it was when poured, and when the fault was seen.",
            )
        ],
        exhibit=Exhibit(
            f"The card of batch {batch}",
            ("Noted", "Entry"),
            [("fat", fat), ("mixed", how), ("poured at", poured), ("seen", seen)],
        ),
    )


@question("base-thinned-or-boiled", outcome="base-compare", level="decide", minutes=5)
def thinned_or_boiled(draw: Draw) -> Asked:
    """A glaze changed on its second day: what did that do to its gelatin, and what follows?"""
    gelatin = draw.mass("gelatin", 14, 20, step=1)
    water = draw.mass("water", 280, 360, step=10)
    change = draw.mass("change", 90, 140, step=10)
    case = draw.one_of("case", ("thinned", "boiled"))
    sign = 1 if case == "thinned" else -1
    start = 100 * gelatin.m / (gelatin.m + water.m)
    end = gelatin.m + water.m + sign * change.m
    after = q(100 * gelatin.m / end, "percent")
    done = {
        "thinned": ("rewarmed, seems thick", f"{say(change)} of hot water stirred in, pours well"),
        "boiled": ("rewarmed, and forgotten on the hob", f"weighed: {say(change)} of water gone"),
    }[case]
    return Asked(
        [
            QuantityPart(
                "What is the gelatin in the water of this glaze after the last entry?",
                answer=after,
                tolerance="0.05 %",
                because="the gelatin is weighed to a gram in some hundred grams",
                wrong_turns=[
                    WrongTurn(
                        "as it was made",
                        q(start, "percent"),
                        "This is the number you get for the glaze as it was made. "
                        "Go through all entries of the card.",
                    ),
                    WrongTurn(
                        "the water the wrong way",
                        q(100 * gelatin.m / (gelatin.m + water.m - sign * change.m), "percent"),
                        "This is the number you get if the water went the other way. "
                        "Read the last entry again: did water come or go?",
                    ),
                ],
                working="gelatin in water = gelatin / (gelatin + all water) × 100 %",
                worked=f"{say(gelatin)} / ({say(gelatin)} + {say(water)} "
                f"{'+' if sign > 0 else '−'} {say(change)}) × 100 % = {say(after, digits=4)}",
            ),
            ChoicePart(
                "How will it differ from Monday's the next day?",
                one_right(
                    {
                        "thinned": (
                            "Softer, and quicker to let drops go",
                            "That is for gelatin in more water than before. Compare your two shares.",
                        ),
                        "boiled": (
                            "Tougher, and slower to flow out level",
                            "That is for gelatin in less water than before. Compare your two shares.",
                        ),
                        "same": (
                            "Just as firm, for the gelatin weighs the same",
                            "Its mass is the same. Ask what it has to set now.",
                        ),
                        "greasy": (
                            "Greasier, for its fat ran out",
                            "Fat comes out of a glaze that was blended badly. Look at what changed here.",
                        ),
                    },
                    case,
                ),
                worked=f"The gelatin went from {say(q(start, 'percent'), digits=3)} to "
                f"{say(after, digits=3)} of its water: "
                + (
                    "a thinner gel is softer and holds its water less well."
                    if case == "thinned"
                    else "a stronger gel is tougher, and the glaze flows less."
                ),
            ),
        ],
        exhibit=Exhibit(
            "The card of a glaze",
            ("When", "Entry"),
            [
                ("Monday, 9:00", f"made: {say(water)} of water in all, {say(gelatin)} of gelatin"),
                ("Tuesday, 9:20", done[0]),
                ("Tuesday, 9:50", done[1]),
            ],
        ),
    )


@question("base-four-things", outcome="base-compare", level="recall", minutes=2)
def four_things(draw: Draw) -> Asked:
    """What gloss is."""
    wrong = draw.one_of(
        "wrong",
        (
            (
                "rich in gelatin",
                "Gelatin holds whatever surface you made. Think of what light meets.",
            ),
            ("rich in fat", "Fat covers, and coarse fat dulls. Think of what light meets."),
            ("strongly coloured", "A black pebble can be dull. Think of what light meets."),
        ),
    )
    return Asked(
        [
            ChoicesPart(
                "A glaze shines when its surface is ...",
                [
                    Option("smooth", right=True),
                    Option("level", right=True),
                    Option("free of bubbles", right=True),
                    Option("free of crystals", right=True),
                    Option(wrong[0], says=wrong[1]),
                    Option(
                        "thick",
                        says="A thick coat can be as dull as a thin one. Think of what light meets.",
                    ),
                ],
                marks=2,
                worked="Gloss is a smooth, level surface without bubbles and without crystals.",
            )
        ]
    )
