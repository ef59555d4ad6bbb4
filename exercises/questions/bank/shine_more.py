"""More questions about what is in a glaze and what it costs, kept from practice."""

from __future__ import annotations

from calculators.units import number, q, say
from exercises.questions.draws import Draw
from exercises.questions.parts import (
    Asked,
    ChoicePart,
    Exhibit,
    Option,
    QuantityPart,
    WrongTurn,
    one_right,
)
from exercises.questions.registry import question

MONEY = "prices are rounded to the cent on the way"


@question(
    "base-price-you-can-pay",
    outcome="base-cost",
    level="carry out",
    use="assessed",
    minutes=6,
)
def price_you_can_pay(draw: Draw) -> Asked:
    """A budget for a number of cakes: what may a kilogram of glaze cost?"""
    cakes = draw.whole("cakes", 6, 14)
    keeps = draw.mass("keeps", 110, 170, 10)
    run_off = draw.percent("run-off", 35, 55, 5)
    cents = draw.whole("each", 24, 44) * 5
    stays = 1 - run_off.m / 100
    poured = (keeps * cakes / stays).to("kg")
    money = cents * cakes / 100
    price = q(money / poured.to_base_units().to("kg").m, "EUR/kg")  # as a sheet keeps it
    return Asked(
        [
            QuantityPart(
                f"{cakes} cakes keep {say(keeps)} of glaze each, and {say(run_off)} of what is poured "
                "runs off and is thrown away. How many kilograms go into the jugs?",
                answer=poured,
                tolerance="1 % of the answer",
                because="what a cake keeps is known to a few grams",
                unit="kg",
                wrong_turns=[
                    WrongTurn(
                        "run-off forgotten",
                        poured * stays,
                        "This is the number you get if nothing runs off. "
                        "Ask what is on the tray afterwards.",
                    ),
                    WrongTurn(
                        "run-off added instead of divided",
                        poured * stays * (2 - stays),
                        "This is the number you get by adding the run-off to what stays. "
                        "Ask what the run-off is a share of.",
                    ),
                ],
                working="poured = cakes × kept / (1 − run-off)",
                worked=f"{cakes} × {say(keeps)} / {number(stays)} = {say(poured, 'kg', digits=4)}",
            ),
            QuantityPart(
                f"The glaze of one cake may cost {cents / 100:.2f} EUR. What may a kilogram of "
                "it cost at most, in EUR/kg?",
                answer=lambda given: q(money / given["a"].to("kg").m, "EUR/kg"),
                tolerance="1.5 % of the answer",
                because=MONEY + ", and the mass may be rounded",
                wrong_turns=[
                    WrongTurn(
                        "only what stays is paid",
                        q(price.m / stays, "EUR/kg"),
                        "This is the number you get by paying for what stays on the cakes. "
                        "Ask who pays for the rest.",
                    ),
                    WrongTurn(
                        "one cake's money for all the glaze",
                        q(price.m / cakes, "EUR/kg"),
                        "This is the number you get with the money of one cake. "
                        "Ask how many cakes the glaze is for.",
                    ),
                ],
                working="price = money / mass",
                worked=f"{cakes} × {cents / 100:.2f} EUR / {say(poured, 'kg', digits=4)} = "
                f"{say(price, digits=4)}",
            ),
        ]
    )


@question(
    "base-after-thinning",
    outcome="base-composition",
    level="carry out",
    use="assessed",
    minutes=5,
)
def after_thinning(draw: Draw) -> Asked:
    """Water goes into a glaze: what are its shares of water and of fat now?"""
    mass = draw.mass("mass", 900, 1500, 50)
    water, fat = draw.percent("water", 26, 32), draw.percent("fat", 8, 14)
    more = draw.mass("more", 80, 140, 10)
    whole = mass + more
    held = mass * water.m / 100 + more
    now = (held / whole).to("percent")
    thinner = (mass * fat.m / 100 / whole).to("percent")
    return Asked(
        [
            QuantityPart(
                "What share of it is water now?",
                answer=now,
                tolerance="0.3 %",
                because="labels and cards give shares to a tenth at best",
                wrong_turns=[
                    WrongTurn(
                        "over the old mass",
                        (held / mass).to("percent"),
                        "This is the number you get by dividing by what the glaze weighed before. "
                        "Ask what it weighs now.",
                    ),
                    WrongTurn(
                        "only the water that was added",
                        (more / whole).to("percent"),
                        "This is the number you get for the added water alone. "
                        "Ask how much was in the glaze already.",
                    ),
                ],
                working="share = (mass × share before + water added) / (mass + water added) × 100 %",
                worked=f"({say(mass, digits=4)} × {water.m / 100:.2f} + {say(more)}) / "
                f"{say(whole, digits=4)} × 100 % = {say(now, digits=4)}",
            ),
            QuantityPart(
                "What share of it is fat now?",
                answer=thinner,
                tolerance="0.2 %",
                because="labels and cards give shares to a tenth at best",
                wrong_turns=[
                    WrongTurn(
                        "share of the water taken off",
                        q(fat.m - 100 * more.m / whole.m, "percent"),
                        "This is the number you get by taking the share of the water from that of the fat. "
                        "Ask how many grams of fat there are, before and after.",
                    ),
                    WrongTurn(
                        "thinned the wrong way",
                        q(fat.m * whole.m / mass.m, "percent"),
                        "This is the number you get with the two masses exchanged. "
                        "Ask whether water makes a glaze richer or poorer in fat.",
                    ),
                ],
                working="share = mass × share before / (mass + water added) × 100 %",
                worked=f"{say(mass, digits=4)} × {fat.m / 100:.2f} / {say(whole, digits=4)} × 100 % = "
                f"{say(thinner, digits=4)}",
            ),
        ],
        stem=f"The card of {say(mass, digits=4)} of glaze says: {say(water)} water, {say(fat)} fat. It "
        f"is thick, and {say(more)} of hot water are blended in.",
    )


_MENDS = {
    "more water": (
        "Some more water, with gelatin for it",
        "That lets a thick glaze flow out before it sets. Ask whether it was too thick.",
    ),
    "less water": (
        "Less water, all else as it is",
        "That thickens the coat and firms the set. Ask whether it was too thin.",
    ),
    "finer": (
        "A wait before blending, and longer from below",
        "That makes the drops of fat finer. Ask whether fat is what spoiled this surface.",
    ),
    "glucose": (
        "Glucose syrup for a part of the sugar",
        "That keeps sugar in solution. Ask whether there was time for crystals, and a sign of them.",
    ),
}


@question(
    "base-what-to-change",
    outcome="base-compare",
    level="decide",
    use="assessed",
    minutes=4,
)
def what_to_change(draw: Draw) -> Asked:
    """A card with one true fault and one that only looks like it: what is changed?"""
    case = draw.one_of("case", tuple(_MENDS))
    water, sugar = draw.mass("water", 170, 230, 10), draw.mass("sugar", 260, 320, 10)
    mixed, face, foot, later = draw.one_of(
        f"told {case}",
        {
            "more water": (
                (
                    "hot base over chocolate, a minute's wait, blended 2 min",
                    "shines, but every stroke of the palette knife stays",
                    "a thick skirt",
                    "firm, smooth on the tongue",
                ),
                (
                    "hot base over chocolate, blended 90 s, sieved",
                    "shines in waves; it stood still half way down",
                    "drops that hang like wax",
                    "firm; a fork lifts it off whole",
                ),
            ),
            "less water": (
                (
                    "hot base over chocolate, a minute's wait, blended 2 min",
                    "shines, but the sponge shows at the edge",
                    "a thin ring that is wet next day",
                    "soft, smooth on the tongue",
                ),
                (
                    "hot base over chocolate, blended 90 s, sieved",
                    "shines; most of it is on the tray",
                    "drops of clear water next day",
                    "a finger leaves a dent that stays wet",
                ),
            ),
            "finer": (
                (
                    "warm base over chocolate in lumps, blended 20 s at once",
                    "dull, and a finger comes away shiny",
                    "even",
                    "just as on the first day, smooth on the tongue",
                ),
                (
                    "base over chocolate, stirred by hand: the blender was in use",
                    "small yellow eyes in it, dull between them",
                    "even, a little wide",
                    "the eyes are white and hard in the cold",
                ),
            ),
            "glucose": (
                (
                    "warm base over chocolate, blended 40 s after a minute's wait",
                    "shines like glass when it is new",
                    "even",
                    "dull on day 5, and it grates on the tongue",
                ),
                (
                    "hot base over chocolate, blended 90 s; the whisk was used for cooling",
                    "a mirror, without a bubble",
                    "even, a little wide",
                    "on day 3 the mirror has gone blind all over, and it grates",
                ),
            ),
        }[case],
    )
    return Asked(
        [
            ChoicePart(
                "The next batch is poured at the same temperature. Which one change do you make?",
                one_right(_MENDS, case),
                marks=2,
                worked=f"{_MENDS[case][0]}. "
                + {
                    "more water": "It sets before it has levelled, and nothing else is wrong.",
                    "less water": "It runs off too thin and weeps.",
                    "finer": "Fat lies on the surface in coarse drops.",
                    "glucose": "It grains with time: the surface itself was good.",
                }[case],
            )
        ],
        exhibit=Exhibit(
            "The card of a white glaze",
            ("what", "noted"),
            [
                ("water and sugar", f"{say(water)} and {say(sugar)}"),
                ("mixed", mixed),
                ("poured", f"in its window, {draw.one_of('who', ('two', 'three', 'four'))} cakes"),
                ("surface, one hour later", face),
                ("foot", foot),
                ("later", later),
            ],
        ),
    )


_JOBS = {
    "hide": (
        (
            "A dark sponge must not show through, even at the edge.",
            "Crumbs of a brown base must not be seen through the coat.",
        ),
        "fine drops of fat scatter light, and so it covers",
    ),
    "show": (
        (
            "Slices of fruit must be seen through the coat.",
            "A printed sheet below the coat must stay readable.",
        ),
        "next to no fat is in it, so light goes through",
    ),
    "level": (
        (
            "A fine relief must come out level, and the cake is eaten within the hour.",
            "A coat as thin as can be, over sharp lines, for a photograph in half an hour.",
        ),
        "it holds the most water for its sugars and gelatin, so it flows out; it may weep later",
    ),
    "hold": (
        (
            "Two hours in a warm van, and the coat has to hold on upright sides.",
            "An evening on a buffet under lamps, and nothing may slide or run.",
        ),
        "its water holds the most gelatin, so the set is the firmest",
    ),
}


@question(
    "base-pick-a-glaze",
    outcome="base-compare",
    level="decide",
    use="assessed",
    minutes=4,
)
def pick_a_glaze(draw: Draw) -> Asked:
    """Four analyses and one job: which glaze do you make?"""
    job = draw.one_of("job", tuple(_JOBS))
    wish = draw.one_of("wish", _JOBS[job][0])
    shares = {
        "hide": (draw.whole("a", 23, 26), draw.whole("b", 52, 55), draw.whole("c", 13, 16), 6),
        "show": (draw.whole("d", 32, 35), draw.whole("e", 61, 63), 0.2, 4),
        "level": (draw.whole("f", 43, 46), draw.whole("g", 45, 48), draw.whole("h", 4, 6), 2),
        "hold": (draw.whole("i", 27, 30), draw.whole("j", 60, 63), draw.whole("k", 3, 5), 11),
    }
    says = {
        "hide": "It holds the most fat. Ask what fat in fine drops does to light, and whether that is "
        "wanted.",
        "show": "It lets light through. Ask whether anything must be seen through it.",
        "level": "It runs the most and holds the least. Ask how long it has to last.",
        "hold": "It sets the hardest. Ask whether anything pulls at it, and what a stiff coat costs.",
    }
    letters = dict(zip(shares, draw.shuffled("letters", "WXYZ"), strict=True))
    return Asked(
        [
            ChoicePart(
                f"{wish} Which glaze do you make?",
                [
                    Option(f"Glaze {letters[kind]}", kind == job, "" if kind == job else says[kind])
                    for kind in sorted(letters, key=lambda one: letters[one])
                ],
                marks=2,
                worked=f"Glaze {letters[job]}: {_JOBS[job][1]}.",
                keep_order=True,
            )
        ],
        exhibit=Exhibit(
            "Four glazes",
            ("glaze", "water", "sugars", "fat", "gelatin in its water"),
            sorted((letters[k], *(f"{x:g} %" for x in row)) for k, row in shares.items()),
        ),
    )


_CLAIMS = {
    "first weeps": "The first is likelier to weep",
    "second weeps": "The second is likelier to weep",
    "first hides": "The first hides more of what is below it",
    "second hides": "The second hides more of what is below it",
    "gloss": "The one that holds more gelatin will shine more",
}


@question(
    "base-what-numbers-bear",
    outcome="base-compare",
    level="decide",
    use="assessed",
    minutes=4,
)
def what_numbers_bear(draw: Draw) -> Asked:
    """Two analyses with large and small differences: which claim do they support?"""
    case = draw.one_of("case", tuple(_CLAIMS)[:4])
    weeps, swap = "weeps" in case, case.startswith("second")
    water, fat = draw.whole("water", 26, 29), draw.whole("fat", 5, 7)
    sugars = draw.whole("sugars", 56, 58)
    set_by = draw.one_of("gelatin", (5.5, 6.0, 6.5))
    one = (
        (water + 9, sugars - 8, fat, set_by - 3.5)
        if weeps
        else (water, sugars - 7, fat + 8, set_by)
    )
    two = (
        water,
        sugars,
        fat + draw.one_of("bit", (-0.5, 0.5)),
        set_by + draw.one_of("gel", (0, 0.5)),
    )
    costs = draw.two_of("cost", ("3.10 EUR/kg", "4.40 EUR/kg", "6.20 EUR/kg"))
    pair = [two, one] if swap else [one, two]
    says = {
        "first weeps": "Weeping is water that a weak set lets go. Look at water and at what holds it.",
        "second weeps": "Ask in which of the two the water is held less well.",
        "first hides": "What hides is fat in fine drops. Look whether the two differ much in it.",
        "second hides": "Ask which of the two scatters more light.",
        "gloss": "Gelatin holds a surface and makes none. Ask what no number here can show.",
    }
    names = ("Water", "Sugars", "Fat", "Gelatin in its water")
    return Asked(
        [
            ChoicePart(
                "Which of these claims do the numbers support?",
                one_right(_CLAIMS, case, says),
                marks=2,
                worked=f"{_CLAIMS[case]}: "
                + (
                    "it holds far more water, and far less gelatin in it. The fat is much the same."
                    if weeps
                    else "it holds far more fat. Water and gelatin are much the same."
                ),
            )
        ],
        exhibit=Exhibit(
            "Two formulas",
            ("", "first", "second"),
            [
                *(
                    (name, *(f"{x:g} %" for x in both))
                    for name, *both in zip(names, *pair, strict=True)
                ),
                ("Costs", *costs),
            ],
        ),
    )
