"""Questions about crystals: when they can come, why they came, and what guards."""

from __future__ import annotations

from calculators import glucose, syrup
from calculators.units import Quantity, q, say, unit
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

FROM_THE_TABLE = "the table is rounded, and sources differ by half a per cent"


def _held(temperature: Quantity) -> Quantity:
    """Return the grams of sugar that 100 g of water can keep, as the table prints it."""
    grams = syrup.sugar_per_water(syrup.solubility(temperature)).m / 10
    return q(round(grams), "g")


def _full(temperature: Quantity) -> Quantity:
    """Return the strength of a full syrup, as the table prints it."""
    return q(round(syrup.solubility(temperature).m, 1), "percent")


def _keeps(*degrees: int) -> Exhibit:
    rows = [q(t, "degC") for t in degrees]
    return Exhibit(
        "What water can keep",
        ("Temperature", "Full at", "Sugar to 100 g of water"),
        [(say(t), say(_full(t), places=1), say(_held(t))) for t in rows],
    )


# --- does it hold too much? ----------------------------------------------------------------


@question("crystals-water-keeps", outcome="crystal-saturation", level="carry out")
def water_keeps(draw: Draw) -> Asked:
    """So much water in the cold: how much sugar can it keep?"""
    poured = draw.mass("water", 220, 460, step=20)
    cold = draw.temperature("store", 2, 10, step=4)
    keeps = poured * (_held(cold) / q(100, "g"))
    return Asked(
        [
            QuantityPart(
                f"A plain syrup holds {say(poured)} of water and is stored at {say(cold)}. "
                "How much sugar can that water keep?",
                answer=keeps,
                tolerance="2 % of the answer",
                because=FROM_THE_TABLE,
                wrong_turns=[
                    WrongTurn(
                        "per cent for grams",
                        poured * (_full(cold).m / 100),
                        "This is the number you get by taking the per cent as grams to 100 g of "
                        "water. Look again at what stands below each column's number.",
                    ),
                    WrongTurn(
                        "row of the room",
                        poured * (_held(q(20, "degC")) / q(100, "g")),
                        "This is the number you get from the row of 20 °C. "
                        "Ask yourself where the syrup spends the night.",
                    ),
                    WrongTurn(
                        "equal masses",
                        poured,
                        "This is the number you get by giving water its own mass of sugar. "
                        "Read in the table how much more it can keep.",
                    ),
                ],
                working="sugar = water x (sugar to 100 g of water) / 100 g",
                worked=f"{say(poured)} x {say(_held(cold))} / 100 g = {say(keeps, digits=4)}",
            )
        ],
        exhibit=_keeps(2, 6, 10, 20),
    )


@question(
    "crystals-too-much-sugar",
    outcome="crystal-saturation",
    level="carry out",
    minutes=5,
)
def too_much_sugar(draw: Draw) -> Asked:
    """How much sugar has no place in the fridge, how far over is it, what follows?"""
    sugar = draw.mass("sugar", 610, 760, step=10)
    poured = draw.mass("water", 240, 280, step=10)
    cold = draw.temperature("store", 2, 10, step=4)
    held = _held(cold)
    keeps = poured * (held / q(100, "g"))
    over = sugar / keeps
    flat = syrup.brix(sugar, poured) / _full(cold)
    return Asked(
        [
            QuantityPart(
                f"A plain syrup of {say(sugar)} of sugar and {say(poured)} of water goes into a "
                f"fridge at {say(cold)}. How much of its sugar has no place in its water there?",
                answer=sugar - keeps,
                tolerance="10 g",
                because=FROM_THE_TABLE,
                wrong_turns=[
                    WrongTurn(
                        "what it can keep",
                        keeps,
                        "This is the number you get for the sugar that the water can keep. "
                        "Look again at what was asked.",
                    ),
                    WrongTurn(
                        "row of the room",
                        sugar - poured * (_held(q(20, "degC")) / q(100, "g")),
                        "This is the number you get from the row of 20 °C. "
                        "Ask yourself where the syrup spends the night.",
                    ),
                    WrongTurn(
                        "difference of the per cents",
                        ((sugar + poured) * (syrup.brix(sugar, poured) - _full(cold))).to(
                            unit("g")
                        ),
                        "This is the number you get from the difference of the two per cents. "
                        "Count first what the water alone can keep.",
                    ),
                ],
                working="too much = sugar - water x (sugar to 100 g of water) / 100 g",
                worked=f"the water keeps {say(poured)} x {say(held)} / 100 g = "
                f"{say(keeps, digits=4)}; {say(sugar)} - {say(keeps, digits=4)} = "
                f"{say(sugar - keeps, digits=4)}",
            ),
            ChoicePart(
                "How far over is it? Which is its supersaturation?",
                [
                    Option(say(over, digits=3), right=True),
                    Option(
                        say(flat, digits=3),
                        says="This compares the two per cents. Compare sugar to water with sugar "
                        "to water.",
                    ),
                    Option(
                        say(1 / over, digits=3),
                        says="Below 1 nothing could come out. Ask yourself which of the two "
                        "syrups holds more.",
                    ),
                    Option(
                        say(sugar / poured, digits=3),
                        says="This is sugar to water in this syrup alone. It still has to be "
                        "compared with a full one.",
                    ),
                ],
                worked=f"({say(sugar)} / {say(poured)}) / ({say(held)} / 100 g) = "
                f"{say(over, digits=3)}.",
            ),
            ChoicePart(
                "The syrup is still clear on the next day. What do you know?",
                [
                    Option("Crystals can come whenever something starts them", right=True),
                    Option(
                        "It is safe: what is clear on the next day stays clear",
                        says="Look at the supersaturation, and ask yourself what is still missing.",
                    ),
                    Option(
                        "The sum must be wrong, or it would have grained",
                        says="Too much sugar is one half of graining. Read again what the other is.",
                    ),
                    Option(
                        "The sugar has sunk to the bottom as a stronger syrup",
                        says="Dissolved sugar does not sink. Ask yourself what crystals need to begin.",
                    ),
                ],
                marks=2,
                worked="It is over the line and has not been started yet.",
            ),
        ],
        exhibit=_keeps(2, 6, 10, 20),
    )


@question("crystals-water-to-keep", outcome="crystal-saturation", level="carry out", minutes=5)
def water_to_keep(draw: Draw) -> Asked:
    """A syrup is too strong for its fridge: how much water goes back?"""
    mass = draw.mass("mass", 620, 980, step=20)
    strong = draw.percent("strong", 72, 78)
    cold = draw.temperature("store", 2, 10, step=4)
    full = _full(cold)
    more = syrup.water_to_add(mass, strong, full)
    sugar = (mass * strong).to(unit("g"))
    return Asked(
        [
            QuantityPart(
                f"You have {say(mass)} of a plain syrup of {say(strong)}. It is to be stored at "
                f"{say(cold)}. How much water do you give it, so that it is just full there?",
                answer=more,
                tolerance="5 g",
                because="the table is rounded to a tenth of a per cent",
                wrong_turns=[
                    WrongTurn(
                        "difference of the per cents",
                        (mass * (strong - full)).to(unit("g")),
                        "This is the number you get from the difference of the two per cents. "
                        "The sugar stays: ask yourself what the syrup weighs at the end.",
                    ),
                    WrongTurn(
                        "for equal masses",
                        2 * sugar - mass,
                        "This is the number you get by giving as much water as there is sugar. "
                        "Read in the table how strong it may stay.",
                    ),
                    WrongTurn(
                        "the finished syrup",
                        mass + more,
                        "This is the number you get for the whole syrup at the end. "
                        "Ask yourself what of it is in the pan already.",
                    ),
                ],
                working="water = mass x (Brix now / Brix when full - 1)",
                worked=f"{say(mass)} x ({say(strong)} / {say(full)} - 1) = {say(more, digits=4)}",
            )
        ],
        exhibit=_keeps(2, 6, 10, 20),
    )


# --- why did it grain? ------------------------------------------------------------------------

_CAUSES = {
    "boiled too far": "It was boiled too far: too little water was left for its sugar.",
    "dried open": "It stood open and dried: the fridge took water out of it.",
    "seeded": "Old crystals were in the jug: they started a syrup that was over the line.",
    "colder store": "It was stored colder than it was made for: cold water keeps less sugar.",
}


@question("crystals-sand-log", outcome="crystal-cause", level="decide", minutes=5)
def sand_log(draw: Draw) -> Asked:
    """A log of one syrup: which line explains the sand?"""
    case = draw.one_of("case", tuple(_CAUSES))
    sugar = draw.mass("sugar", 640, 720, step=20)
    aim = {"boiled too far": 64, "dried open": 64, "seeded": 72, "colder store": 66}[case]
    mass = q(round(sugar.m / aim * 100), "g")
    shown = q(round(sugar.m / 0.74), "g") if case == "boiled too far" else mass
    later = q(round(shown.m * 0.88), "g") if case == "dried open" else shown
    room, cold = "20 °C", "4 °C"
    store = {"colder store": f"moved from {room} to {cold}", "seeded": room}.get(case, cold)
    jug = "topped up, last week's crust still on its wall" if case == "seeded" else "washed and dry"
    cover = "none" if case == "dried open" else "film on the surface"
    return Asked(
        [
            ChoicePart(
                "The plain syrup has turned to sand. Which cause does this log show?",
                one_right(
                    _CAUSES,
                    case,
                    "Find the line of the log that would show it, and hold it against the table.",
                ),
                marks=3,
                worked=f"{_CAUSES[case]} The log: weight wanted {say(mass, digits=4)}, got "
                f"{say(shown, digits=4)}, later {say(later, digits=4)}; jug {jug}; "
                f"cover: {cover}; store: {store}.",
            )
        ],
        stem=f"The syrup was to be made of {say(sugar)} of sugar, boiled with water to "
        f"{say(mass, digits=4)}. A full syrup has {say(_full(q(4, 'degC')), places=1)} at 4 °C and "
        f"{say(_full(q(20, 'degC')), places=1)} at 20 °C.",
        exhibit=Exhibit(
            "From the bench book",
            ("What", "Written down"),
            [
                ("Syrup weighed after boiling", say(shown, digits=4)),
                ("Jug", jug),
                ("Cover", cover),
                ("Store", store),
                ("Syrup weighed two days later", say(later, digits=4)),
            ],
        ),
    )


def _map(points: dict[str, tuple[float, float]]) -> str:
    """Return the map of sugar and water with three lettered points, as a drawing."""

    def x(brix: float) -> float:
        return 54 + (brix - 50) * 6.9

    def y(celsius: float) -> float:
        return 222 - celsius * 2

    line = " ".join(
        f"{x(syrup.solubility(q(t, 'degC')).m):.0f},{y(t):.0f}" for t in range(0, 101, 5)
    )
    ticks = "".join(
        f'<text x="{x(b):.0f}" y="242" text-anchor="middle">{b}</text>' for b in range(50, 91, 10)
    ) + "".join(
        f'<text x="48" y="{y(t) + 5:.0f}" text-anchor="end">{t} °C</text>'
        for t in range(0, 101, 20)
    )
    dots = "".join(
        f'<circle cx="{x(b):.0f}" cy="{y(t):.0f}" r="6" fill="var(--berry, #a31c43)"/>'
        f'<text x="{x(b) + 10:.0f}" y="{y(t) + 6:.0f}" fill="var(--berry, #a31c43)" font-size="17" '
        f'font-weight="700">{name}</text>'
        for name, (b, t) in points.items()
    )
    return (
        '<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 346 272" width="430" height="338" '
        'font-family="var(--text, sans-serif)" font-size="14" fill="var(--ink, #231a2b)">'
        f'<path d="M54 22 V222 H330" fill="none" stroke="var(--soft, #5a5064)"/>{ticks}'
        f'<polyline points="{line}" fill="none" stroke="var(--glaze, #5b2a79)" stroke-width="3"/>'
        f'<text x="{x(71):.0f}" y="{y(37):.0f}" '
        f'fill="var(--glaze, #5b2a79)">full syrup</text>{dots}'
        '<text x="192" y="265" text-anchor="middle">strength, °Bx</text></svg>'
    )


@question("crystals-on-the-map", outcome="crystal-cause", level="decide", minutes=4)
def on_the_map(draw: Draw) -> Asked:
    """Three syrups on the map: which can grain, and what brings it back?"""
    over = (draw.percent("over", 74, 79).m, draw.temperature("cold", 8, 24, step=4).m)
    hot = (draw.percent("hot", 74, 79).m, draw.temperature("warm", 82, 94, step=4).m)
    weak = (draw.percent("weak", 54, 60).m, draw.temperature("cool", 8, 24, step=4).m)
    names = draw.shuffled("names", ["A", "B", "C"])
    points = dict(sorted(zip(names, (over, hot, weak), strict=True)))
    told = "; ".join(f"{n} at {b:g} °Bx and {t:g} °C" for n, (b, t) in points.items())
    says = {
        names[1]: "This one is hot enough for its strength. Go along its own temperature to "
        "the curve, and see on which side it lies.",
        names[2]: "This one has room for more sugar. See on which side of the curve it lies.",
    }
    return Asked(
        [
            ChoicePart(
                "In which of these plain syrups can crystals come as it stands?",
                [Option(f"In {n}", n == names[0], says.get(n, "")) for n in points],
                marks=2,
                worked=f"Only {names[0]} lies to the right of and below the curve.",
                keep_order=True,
            ),
            ChoicesPart(
                "What moves that syrup back to the clear side of the curve?",
                [
                    Option("Warming it", right=True),
                    Option("Adding water to it", right=True),
                    Option(
                        "Stirring it",
                        says="Stirring moves nothing on the map. Ask yourself what it starts.",
                    ),
                    Option(
                        "Boiling it down further",
                        says="Follow the path on the map: which way does boiling lead?",
                    ),
                ],
                marks=2,
                worked="Warming goes up, water goes left; both lead back over the curve.",
            ),
        ],
        exhibit=Exhibit(
            "Three syrups on the map of sugar and water",
            svg=_map(points),
            alt="The curve of the full syrup rises from 64 °Bx at 0 °C to 83 °Bx at 100 °C. "
            f"Three points: {told}.",
        ),
    )


# --- what guards? ---------------------------------------------------------------------------------


@question("crystals-two-pans", outcome="crystal-guard", level="decide", minutes=5)
def two_pans(draw: Draw) -> Asked:
    """Two pans with glucose syrup: which one is guarded, and by what share?"""
    sugar = draw.mass("sugar", 280, 360, step=20)
    little = draw.mass("little", 20, 30, step=5)
    plenty = draw.mass("plenty", 180, 240, step=20)
    guarded = draw.one_of("guarded", ("A", "B"))
    weighed = {guarded: plenty, "B" if guarded == "A" else "A": little}
    solids = q(80, "percent")
    part = (plenty * solids).to(unit("g"))
    share = (part / (part + sugar)).to(unit("percent"))
    open_pan = "B" if guarded == "A" else "A"
    low = glucose.graining_risk(sugar, plenty, glucose.Syrup(q(42, "percent"), solids))
    return Asked(
        [
            ChoicePart(
                "Both are boiled to the same weight of water and are over the line in the fridge. "
                "Which one is guarded against graining?",
                [
                    Option(f"Pan {guarded}", right=True),
                    Option(
                        f"Pan {open_pan}",
                        says="Work out for both pans which share of all the sugar is glucose solids.",
                    ),
                    Option(
                        "Neither: glucose only sweetens",
                        says="Read again what the mixed chains of glucose syrup do to a crystal.",
                    ),
                ],
                marks=2,
                worked=f"Pan {guarded}: glucose solids are {say(share)} of all the sugar, and the "
                f"risk is {low.risk}.",
                keep_order=True,
            ),
            QuantityPart(
                f"Which share of all the sugar in pan {guarded} is glucose solids? The tub holds "
                f"{say(solids)} solids.",
                answer=share,
                tolerance="1 %",
                because="tubs of one name differ by about a per cent",
                wrong_turns=[
                    WrongTurn(
                        "tub counted whole",
                        (plenty / (plenty + sugar)).to(unit("percent")),
                        "This is the number you get by counting the whole tub. "
                        "Ask yourself how much of it is water.",
                    ),
                    WrongTurn(
                        "solids over sugar",
                        (part / sugar).to(unit("percent")),
                        "This is the number you get by dividing by the sugar alone. "
                        "Look again at what all the sugar is.",
                    ),
                ],
                working="share = glucose solids / (glucose solids + sugar)",
                worked=f"{say(plenty)} x {say(solids)} = {say(part, digits=4)}; "
                f"{say(part, digits=4)} / ({say(part, digits=4)} + {say(sugar)}) = "
                f"{say(share, digits=4)}",
            ),
        ],
        exhibit=Exhibit(
            "Two pans",
            ("", "Pan A", "Pan B"),
            [
                ("Sugar", say(sugar), say(sugar)),
                ("Glucose syrup", say(weighed["A"]), say(weighed["B"])),
            ],
        ),
    )


@question("crystals-what-guards", outcome="crystal-guard", level="recall", minutes=2)
def what_guards(draw: Draw) -> ChoicesPart:
    """Which habits keep a strong syrup from graining?"""
    good = draw.shuffled(
        "good",
        (
            "Wipe the pan's wall with a wet brush as soon as it boils",
            "Weigh in glucose syrup with the sugar",
            "Leave it still while it cools",
            "Lay film on its surface before it goes into the cold",
            "Pour it into a clean jug and leave the scrapings in the pan",
        ),
    )
    bad = draw.shuffled(
        "bad",
        (
            (
                "Stir it well until it is cold",
                "Stirring a syrup that is over the line makes seeds. Ask yourself what "
                "crystals need to begin.",
            ),
            (
                "Top up last week's jug with it",
                "A crust in the jug is a seed. Ask yourself what is on its wall.",
            ),
            (
                "Scrape down what has dried on the wall",
                "What has dried there is crystals. Ask yourself what they do in the syrup.",
            ),
            (
                "Boil it a little further, to be sure",
                "Boiling takes out the water that keeps the sugar. Follow the path on the map.",
            ),
        ),
    )
    return ChoicesPart(
        "You want a strong syrup to stay clear. Which of these help?",
        [Option(text, right=True) for text in good[:3]]
        + [Option(text, says=says) for text, says in bad[:2]],
        marks=3,
        worked="Help: " + "; ".join(text[0].lower() + text[1:] for text in good[:3]) + ".",
    )


@question("crystals-clear-order", outcome="crystal-guard", level="recall", minutes=2)
def clear_order(draw: Draw) -> OrderPart:
    """A syrup that is to stay clear: the steps."""
    return OrderPart(
        "You boil a syrup that is to stay clear. Put the steps in order.",
        [
            "Weigh sugar, glucose syrup and water into a clean pan.",
            "Stir over low heat until no grain is left.",
            "Bring it to the boil and wipe the wall with a wet brush.",
            "Boil to the weight worked out, without stirring.",
            "Pour it into a clean jug and leave the scrapings behind.",
            "Lay film on the surface and let it cool undisturbed.",
        ],
        marks=3,
        says="Ask yourself at which step a grain could still be left, and what it would do later.",
        worked="First dissolve, then wash the wall, then boil still, then keep seeds and dry air out.",
    )


@question("crystals-turn-back", outcome="crystal-guard", level="decide", minutes=3)
def turn_back(draw: Draw) -> ChoicePart:
    """A plain syrup has grained: how is it turned back so that it stays clear?"""
    missing = draw.mass("missing", 60, 140, step=10)
    return ChoicePart(
        "A plain stock syrup has turned to sand. The sum says that it lacks "
        f"{say(missing)} of water for its fridge. How do you turn it back for good?",
        [
            Option(
                f"Add {say(missing)} of water, warm it until every crystal is gone, sieve it into "
                "a clean jug, film on the surface",
                right=True,
            ),
            Option(
                "Warm it until it looks clear and put it back into the same jug",
                says="It is as strong as before, and the jug holds seeds. "
                "Ask yourself which half of graining has been taken away.",
            ),
            Option(
                "Sieve the crystals out and boil the rest a little longer",
                says="Boiling takes out more water. Ask yourself what the sugar lacks.",
            ),
            Option(
                "Beat it cold until the crystals are small",
                says="That is how a fondant is made. Ask yourself what was wanted here.",
            ),
        ],
        marks=2,
        worked=f"Water for the sugar ({say(missing)}), no crystal left, and no seed in the jug.",
    )
