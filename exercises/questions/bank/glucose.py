"""Questions about glucose syrup: what is in the tub, the swap, and what it does."""

from __future__ import annotations

from calculators import glucose
from calculators.units import Quantity, number, q, say
from exercises.questions.draws import Draw
from exercises.questions.parts import (
    Asked,
    ChoicePart,
    ChoicesPart,
    Exhibit,
    Option,
    QuantityPart,
    WrongTurn,
    one_right,
)
from exercises.questions.registry import question

SCALE = "the bench scale shows 1 g"
_ANY_DE = q(42, "percent")


def _tub(solids: Quantity) -> glucose.Syrup:
    return glucose.Syrup(_ANY_DE, solids)


@question("glucose-split-tub", outcome="glucose-solids", level="carry out", minutes=3)
def split_tub(draw: Draw) -> Asked:
    """Solids and water of a mass of syrup, from its label."""
    mass = draw.mass("mass", 240, 460, step=20)
    share = draw.percent("solids", 74, 83)
    solids, wet = glucose.split(mass, _tub(share))
    return Asked(
        [
            QuantityPart(
                "How much of it is solids?",
                answer=solids,
                tolerance="1 g",
                because=SCALE,
                wrong_turns=[
                    WrongTurn(
                        "the water",
                        wet,
                        "This is the number you get for the water. "
                        "Look again at what the figure on the label is for.",
                    ),
                    WrongTurn(
                        "divided",
                        q(mass.m / (share.m / 100), "g"),
                        "This is the number you get by dividing by the share. "
                        "Ask yourself whether a part can be heavier than the whole.",
                    ),
                    WrongTurn(
                        "dextrose equivalent",
                        q(mass.m * 0.42, "g"),
                        "This is the number you get with the 42 of the DE. "
                        "Ask yourself what DE says, and what it doesn't.",
                    ),
                ],
                working="solids = mass × share of solids",
                worked=f"{say(mass)} × {share.m:g} / 100 = {say(solids, digits=4)}",
            ),
            QuantityPart(
                "How much of it is water?",
                answer=lambda given: mass - given["a"],
                tolerance="1 g",
                because=SCALE,
                wrong_turns=[
                    WrongTurn(
                        "share of the solids, not the tub",
                        q(solids.m * (100 - share.m) / 100, "g"),
                        "This is the number you get by taking the water's share of the solids. "
                        "Ask yourself what the label's percentage is a share of.",
                    ),
                    WrongTurn(
                        "all of it",
                        mass,
                        "This is the number you get if the whole tub were water. "
                        "Look again at your answer to the first part.",
                    ),
                ],
                working="water = mass − solids",
                worked=f"{say(mass)} − {say(solids, digits=4)} = {say(wet, digits=4)}",
            ),
        ],
        stem=f"You weigh {say(mass)} of glucose syrup. Its label says: 42 DE, "
        f"{share.m:g} % dry matter.",
    )


@question("glucose-swap-packs", outcome="glucose-swap", level="carry out", minutes=6)
def swap_packs(draw: Draw) -> Asked:
    """Home packs for a confectioner's tub, with the water put right."""
    mass = draw.mass("mass", 180, 360, step=20)
    wanted = draw.percent("wanted", 78, 82)
    held = draw.percent("held", 58, 64)
    swap = glucose.swap(mass, _tub(wanted), _tub(held))
    down = q(mass.m * held.m / wanted.m, "g")
    wet = q(mass.m * (wanted.m - held.m) / 100, "g")
    return Asked(
        [
            QuantityPart(
                "How much of the packs do you weigh out, so that the solids stay the same?",
                answer=swap.mass,
                tolerance="1 g",
                because=SCALE,
                wrong_turns=[
                    WrongTurn(
                        "ratio upside down",
                        down,
                        "This is the number you get with the two shares exchanged. Ask yourself "
                        "first: do you need more of the wetter syrup, or less?",
                    ),
                    WrongTurn(
                        "gram for gram",
                        mass,
                        "This is the number you get by weighing what the formula says. "
                        "Look again at the two shares of solids.",
                    ),
                    WrongTurn(
                        "difference added",
                        q(mass.m * (1 + (wanted.m - held.m) / 100), "g"),
                        "This is the number you get by adding the difference of the two shares. "
                        "Work out the solids first, in grams.",
                    ),
                ],
                working="yours = theirs × their solids / your solids",
                worked=f"{say(mass)} × {wanted.m:g} / {held.m:g} = {say(swap.mass, digits=4)}",
            ),
            QuantityPart(
                "How much water do you leave out of the formula?",
                answer=lambda given: given["a"] - mass,
                tolerance="1.5 g",
                because=SCALE + ", and the mass may be rounded",
                wrong_turns=[
                    WrongTurn(
                        "water of a gram-for-gram swap",
                        wet,
                        "This is the number you get for the extra water in the same mass of packs. "
                        "Ask yourself what mass of them you really weigh out.",
                    ),
                    WrongTurn(
                        "all water of the packs",
                        glucose.split(swap.mass, _tub(held)).water,
                        "This is the number you get for all the water in the packs. Ask yourself "
                        "whether the formula's own syrup was dry.",
                    ),
                ],
                working="water to leave out = yours − theirs",
                worked=f"{say(swap.mass, digits=4)} − {say(mass)} = "
                f"{say(swap.leave_out, digits=4)}",
            ),
        ],
        stem=f"A formula asks for {say(mass)} of glucose syrup with {wanted.m:g} % solids. "
        f"You only have home packs with {held.m:g} % solids.",
    )


@question("glucose-swap-drier", outcome="glucose-swap", level="carry out", minutes=6)
def swap_drier(draw: Draw) -> Asked:
    """A drier syrup for a wetter one: less of it, and water to add."""
    mass = draw.mass("mass", 200, 400, step=20)
    wanted = draw.percent("wanted", 60, 70, 2)
    held = draw.percent("held", 80, 96, 2)
    swap = glucose.swap(mass, _tub(wanted), _tub(held))
    return Asked(
        [
            QuantityPart(
                "How much of yours do you weigh out?",
                answer=swap.mass,
                tolerance="1 g",
                because=SCALE,
                wrong_turns=[
                    WrongTurn(
                        "ratio upside down",
                        q(mass.m * held.m / wanted.m, "g"),
                        "This is the number you get with the two shares exchanged. "
                        "Ask yourself first: is yours drier or wetter than theirs?",
                    ),
                    WrongTurn(
                        "gram for gram",
                        mass,
                        "This is the number you get by weighing what the formula says. "
                        "Look again at the two shares of solids.",
                    ),
                ],
                working="yours = theirs × their solids / your solids",
                worked=f"{say(mass)} × {wanted.m:g} / {held.m:g} = {say(swap.mass, digits=4)}",
            ),
            QuantityPart(
                "How much water do you add to the formula?",
                answer=lambda given: mass - given["a"],
                tolerance="1.5 g",
                because=SCALE + ", and the mass may be rounded",
                wrong_turns=[
                    WrongTurn(
                        "all the water of theirs",
                        glucose.split(mass, _tub(wanted)).water,
                        "This is the number you get for all the water in the formula's syrup. "
                        "Ask yourself whether yours holds no water at all.",
                    ),
                    WrongTurn(
                        "difference of shares",
                        q(mass.m * (held.m - wanted.m) / 100, "g"),
                        "This is the number you get from the difference of the two shares. "
                        "Work with the masses on the scale.",
                    ),
                ],
                working="water to add = theirs − yours",
                worked=f"{say(mass)} − {say(swap.mass, digits=4)} = {say(swap.add, digits=4)}",
            ),
        ],
        stem=f"A formula asks for {say(mass)} of a syrup with {wanted.m:g} % solids. "
        f"Your stores hold a drier one, thick or as a powder, with {held.m:g} % solids and the same DE.",
    )


@question("glucose-graining-share", outcome="glucose-solids", level="carry out")
def graining_share(draw: Draw) -> QuantityPart:
    """The share of glucose solids in all the sugar."""
    sugar = draw.mass("sugar", 300, 500, step=20)
    mass = draw.mass("mass", 120, 280, step=20)
    share = draw.percent("solids", 78, 82)
    solids = glucose.split(mass, _tub(share)).solids
    answer = glucose.graining_risk(sugar, mass, _tub(share)).share
    return QuantityPart(
        f"{say(sugar)} of sugar is boiled with {say(mass)} of glucose syrup with {share.m:g} % solids. "
        "What share of all the sugar is glucose solids?",
        answer=answer,
        tolerance="0.5 %",
        because="the guide value of 25 % is no sharper than that",
        wrong_turns=[
            WrongTurn(
                "syrup for solids",
                q(100 * mass.m / (mass.m + sugar.m), "percent"),
                "This is the number you get with the syrup as weighed. "
                "Ask yourself how much of it is water.",
            ),
            WrongTurn(
                "over the sugar alone",
                q(100 * solids.m / sugar.m, "percent"),
                "This is the number you get by dividing by the sugar alone. "
                "Look again at what *all the sugar* means.",
            ),
        ],
        working="share = glucose solids / (glucose solids + sugar) × 100",
        worked=f"glucose solids = {say(mass)} × {share.m:g} / 100 = {say(solids, digits=4)}\n"
        f"{number(solids.m, 4)} / ({number(solids.m, 4)} + {sugar.m:g}) × 100 = "
        f"{say(answer, 'percent', digits=4)}",
    )


@question("glucose-thin-glaze", outcome="glucose-swap", level="decide", minutes=4)
def thin_glaze(draw: Draw) -> Asked:
    """Two batches side by side: why is one of them thin?"""
    mass = draw.mass("mass", 240, 320, step=20)
    water = draw.mass("water", 180, 240, step=20)
    pack = draw.percent("pack", 58, 62)
    cause = draw.one_of("cause", ("gram for gram", "water left in"))
    swap = glucose.swap(mass, _tub(q(80, "percent")), _tub(pack))
    weighed = mass if cause == "gram for gram" else swap.mass
    options = {
        "gram for gram": (
            "Packs were weighed gram for gram: fewer solids and more water",
            "Work out the solids in the packs. Are they fewer than on Monday?",
        ),
        "water left in": (
            "Packs were weighed for their solids: their extra water came on top",
            "Work out the solids in the packs first: are there as many as on Monday?",
        ),
        "de": (
            "Packs have another dextrose equivalent: that alone made it so thin",
            "The log says nothing about DE. Ask yourself what it says about water.",
        ),
        "gelatin": (
            "Packs hold acid: it took a part of the strength of the gelatin",
            "The log says nothing about acid. Ask yourself what else came with the packs.",
        ),
    }
    return Asked(
        [
            ChoicePart(
                "Tuesday's glaze is thin and weeps. What does the log show?",
                one_right(options, cause),
                marks=2,
                worked=f"Monday's solids: {say(mass * 0.8)}. Tuesday's: "
                f"{say(glucose.split(weighed, _tub(pack)).solids)}. {options[cause][0]}.",
            )
        ],
        exhibit=Exhibit(
            "From the bench book",
            ("Weighed in", "Monday", "Tuesday"),
            [
                (
                    "Glucose syrup",
                    f"{say(mass)}, tub of 80 % solids",
                    f"{say(weighed)}, packs of {pack.m:g} % solids",
                ),
                ("Sugar", "280 g", "280 g"),
                ("Water", say(water), say(water)),
                ("Gelatin, gold leaf", "18 g", "18 g"),
            ],
        ),
    )


_WISHES = (
    (
        "A mirror glaze should be less sweet and have more body, and it is too sticky now.",
        "low",
    ),
    (
        "A filling should stay soft for a week and take up water from the air.",
        "high",
    ),
    (
        "A formula asks for the usual confectioner's syrup of about 42 DE.",
        "middle",
    ),
)


@question("glucose-which-tub", outcome="glucose-role", level="decide", minutes=3)
def which_tub(draw: Draw) -> Asked:
    """Three tubs on the shelf: which of them does what is wanted?"""
    wish, best = draw.one_of("wish", _WISHES)
    low, middle, high = (
        draw.percent("low", 26, 30),
        draw.percent("middle", 40, 43),
        draw.percent("high", 60, 65),
    )
    tubs = {"low": ("A", low), "middle": ("B", middle), "high": ("C", high)}
    says = {
        "low": "Long chains give body and little sweetness. Is that what is wanted here?",
        "middle": "A middle DE does a little of everything. Ask yourself what is wanted here.",
        "high": "Short pieces are sweeter, thinner and draw water. "
        "Ask yourself what is wanted here.",
    }
    letter = tubs[best][0]
    return Asked(
        [
            ChoicePart(
                f"{wish} Which tub do you take?",
                one_right({name: f"Tub {tubs[name][0]}" for name in tubs}, best, says),
                marks=2,
                keep_order=True,
                worked=f"Tub {letter}, of {tubs[best][1].m:g} DE. The lower the DE, the longer the "
                "chains: more body, less sweet, less sticky. The higher, the other way.",
            )
        ],
        exhibit=Exhibit(
            "Three tubs on the shelf",
            ("Tub", "DE", "Solids"),
            [(t, f"{de.m:g}", "80 %") for t, de in tubs.values()],
        ),
    )


@question("glucose-sand-or-not", outcome="glucose-role", level="decide", minutes=4)
def sand_or_not(draw: Draw) -> Asked:
    """Two formulas: which of them guards its sugar from graining, and why?"""
    sugar = draw.mass("sugar", 380, 460, step=20)
    rich = draw.mass("rich", 240, 300, step=20)
    poor = draw.mass("poor", 40, 70, step=10)
    swapped = draw.one_of("first", ("rich", "poor"))
    first, second = (rich, poor) if swapped == "rich" else (poor, rich)
    one, two = (
        glucose.graining_risk(sugar, mass, _tub(q(80, "percent"))).share for mass in (first, second)
    )
    right = "A" if first.m > second.m else "B"
    return Asked(
        [
            ChoicePart(
                "Both syrups are in the fridge over the weekend. Which is less likely to turn to sand?",
                [
                    *one_right(
                        {
                            name: f"Formula {name}, for its share of glucose solids"
                            for name in ("A", "B")
                        },
                        right,
                        "Work out the share of glucose solids in both, and compare.",
                    ),
                    Option(
                        "Both alike, for they hold just as much sugar as each other",
                        says="The sugar is the same. Ask yourself what gets in its way.",
                    ),
                    Option(
                        "Neither, for glucose is a sugar that grains too",
                        says="Mixed chains find no place in a crystal. "
                        "Ask yourself what is in the tub.",
                    ),
                ],
                marks=2,
                worked=f"A: {say(one, digits=2)} of all the sugar is glucose solids. "
                f"B: {say(two, digits=2)}. About 25 % holds crystals back, so {right}.",
            )
        ],
        exhibit=Exhibit(
            "Two formulas",
            ("Weighed in", "A", "B"),
            [
                ("Sugar", say(sugar), say(sugar)),
                ("Glucose syrup, 80 % solids", say(first), say(second)),
                ("Water", "200 g", "200 g"),
            ],
        ),
    )


@question("glucose-what-de-says", outcome="glucose-role", level="recall", minutes=2)
def what_de_says(draw: Draw) -> ChoicesPart:
    """What a dextrose equivalent tells and what it does not."""
    equivalent = draw.whole("equivalent", 36, 44)
    return ChoicesPart(
        f"A label says {equivalent} DE. What does that tell you? Choose all that apply.",
        [
            Option("How finely the starch was cut", right=True),
            Option("Roughly how sweet the solids are", right=True),
            Option(
                f"That {equivalent} % of the tub is sugar and the rest is water",
                says="DE is a share of the solids. Ask yourself which figure gives the water.",
            ),
            Option(
                "How much glucose is in it",
                says="DE counts the ends of all the pieces, long and short. "
                "Ask yourself whether every end belongs to a single glucose.",
            ),
        ],
        marks=2,
        worked="DE says how short the pieces are, and so roughly how sweet. "
        "The figure for the solids gives the water.",
    )


_READS = {
    "scale": (
        "Both may be right, for the scale is made for sugar",
        "That explains a reading that is too high by as much as in a fresh pack. Is it, here?",
    ),
    "dried": (
        "Its pack has lost water, so it is stronger than it was",
        "That would raise the reading above that of a fresh pack. Compare the two differences.",
    ),
    "wet": (
        "Its pack has gained water, so it is weaker than it was",
        "That would bring the reading below that of a fresh pack. Compare the two differences.",
    ),
    "de": (
        "Neither is right, for a refractometer shows the dextrose equivalent of a syrup",
        "A refractometer knows nothing of DE. Look again at what it measures.",
    ),
}


@question("glucose-reads-high", outcome="glucose-role", level="decide", minutes=4)
def reads_high(draw: Draw) -> Asked:
    """A sucrose refractometer reads glucose syrup high: by how much is still the scale?"""
    case = draw.one_of("case", ("scale", "dried", "wet"))
    fresh, opened = draw.percent("fresh", 56, 60), draw.percent("opened", 61, 65)
    true = (
        opened + {"scale": q(0, "percent"), "dried": q(6, "percent"), "wet": q(-6, "percent")}[case]
    )
    first, second = (glucose.refractometer_reading(_tub(one)).typical for one in (fresh, true))
    return Asked(
        [
            ChoicePart(
                "What do you make of the opened pack?",
                one_right(_READS, case),
                marks=2,
                worked="Glucose syrup bends light a little more than sugar of the same strength, so "
                f"the fresh pack reads {say(first - fresh, places=1)} high. The opened one reads "
                f"{say(abs(second - opened), places=1)} too "
                f"{'high' if second > opened else 'low'}. {_READS[case][0]}.",
            )
        ],
        stem="Two packs of glucose syrup from one maker, read at 20 °C with a refractometer for "
        "sugar. One is fresh; the other was opened a while ago.",
        exhibit=Exhibit(
            "Two packs",
            ("Pack", "Solids, on its sheet", "Refractometer"),
            [
                ("fresh", say(fresh), say(first, places=1)),
                ("opened", say(opened), say(second, places=1)),
            ],
        ),
    )
