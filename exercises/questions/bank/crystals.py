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
                        "per cent taken for grams",
                        poured * (_full(cold).m / 100),
                        "This is the number you get by taking the per cent as grams to 100 g of "
                        "water. Look again at the heading of each column.",
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
                        "Read from the table how much more it can keep.",
                    ),
                ],
                working="sugar = water × (sugar to 100 g of water) / 100 g",
                worked=f"{say(poured)} × {say(_held(cold))} / 100 g = {say(keeps, digits=4)}",
            )
        ],
        exhibit=_keeps(2, 6, 10, 20),
    )


@question(
    "crystals-over-the-line",
    outcome="crystal-saturation",
    level="carry out",
    minutes=5,
)
def over_the_line(draw: Draw) -> Asked:
    """How much sugar can't stay dissolved in the fridge, how far over is it, does warming help?"""
    sugar = draw.mass("sugar", 610, 760, step=10)
    poured = draw.mass("water", 240, 280, step=10)
    cold = draw.temperature("store", 2, 10, step=4)
    warm = draw.temperature("warm", 40, 70, step=30)
    held = _held(cold)
    warm_keeps = poured * (_held(warm) / q(100, "g"))
    keeps = poured * (held / q(100, "g"))
    over = sugar / keeps
    flat = syrup.brix(sugar, poured) / _full(cold)
    return Asked(
        [
            QuantityPart(
                f"A plain syrup of {say(sugar)} of sugar and {say(poured)} of water goes into a "
                f"fridge at {say(cold)}. How much of its sugar can't stay dissolved there?",
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
                        "difference of the percentages",
                        ((sugar + poured) * (syrup.brix(sugar, poured) - _full(cold))).to(
                            unit("g")
                        ),
                        "This is the number you get from the difference of the two percentages. "
                        "Work out first what the water alone can keep.",
                    ),
                ],
                working="too much = sugar − water × (sugar to 100 g of water) / 100 g",
                worked=f"the water keeps {say(poured)} × {say(held)} / 100 g = "
                f"{say(keeps, digits=4)}; {say(sugar)} − {say(keeps, digits=4)} = "
                f"{say(sugar - keeps, digits=4)}",
            ),
            ChoicePart(
                "How far over the line is it: what is its supersaturation?",
                [
                    Option(say(over, digits=3), right=True),
                    Option(
                        say(flat, digits=3),
                        says="This compares two percentages. Compare the sugar to each gram of water "
                        "instead, here and in a full syrup.",
                    ),
                    Option(
                        say(1 / over, digits=3),
                        says="Below 1, nothing could come out. Ask yourself which of the two "
                        "syrups holds more sugar.",
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
                f"The next day it is still clear. You warm it to {say(warm)}. What do you know "
                "about it at that heat?",
                one_right(
                    {
                        "over": (
                            "It is still over the line: a seed can start it",
                            f"Divide its sugar by its water, and look at the row of {say(warm)}.",
                        ),
                        "under": (
                            "It has room for its sugar: a seed would dissolve",
                            f"Work out how much its water can keep at {say(warm)}. Is that enough?",
                        ),
                        "clear": (
                            "It is safe at any heat: clear for a night is clear for good",
                            "Too much sugar is one half of graining. Ask what the other half is.",
                        ),
                        "sunk": (
                            "It is layered: its sugar has sunk and must be stirred up",
                            "Dissolved sugar does not sink. Ask how much its water can keep.",
                        ),
                    },
                    "over" if sugar > warm_keeps else "under",
                ),
                marks=2,
                worked=f"At {say(warm)} the water keeps {say(poured)} × {say(_held(warm))} / 100 g = "
                f"{say(warm_keeps, digits=4)}, and it holds {say(sugar)}.",
            ),
        ],
        exhibit=_keeps(2, 6, 10, 20, 40, 70),
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
                f"You have {say(mass)} of a {say(strong)} plain syrup, to be stored at {say(cold)}. "
                "How much water do you add, so that it is just full there?",
                answer=more,
                tolerance="5 g",
                because="the table is rounded to a tenth of a per cent",
                wrong_turns=[
                    WrongTurn(
                        "difference of the percentages",
                        (mass * (strong - full)).to(unit("g")),
                        "This is the number you get from the difference of the two percentages. "
                        "The sugar stays: ask yourself what the syrup weighs at the end.",
                    ),
                    WrongTurn(
                        "for equal masses",
                        2 * sugar - mass,
                        "This is the number you get by adding water until it equals the sugar. "
                        "Read from the table how strong the syrup may stay.",
                    ),
                    WrongTurn(
                        "the finished syrup",
                        mass + more,
                        "This is the number you get for the whole syrup at the end. "
                        "Ask yourself how much of it is in the pan already.",
                    ),
                ],
                working="water = mass × (Brix now / Brix when full − 1)",
                worked=f"{say(mass)} × ({say(strong)} / {say(full)} − 1) = {say(more, digits=4)}",
            )
        ],
        exhibit=_keeps(2, 6, 10, 20),
    )


# --- why did it grain? ------------------------------------------------------------------------

_CAUSES = {
    "boiled too far": "It was boiled too far: too little water was left for its sugar.",
    "dried open": "It stood open and dried: the fridge took water out of it.",
    "seeded": "Old crystals were in its jug: they started a syrup that was over the line.",
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
                "The plain syrup has turned to sand. What does the log point to?",
                one_right(
                    _CAUSES,
                    case,
                    {
                        "boiled too far": "Compare the mass after boiling with the mass it was "
                        "boiled for.",
                        "dried open": "Compare the two weighings: how much water left it in two "
                        "days?",
                        "seeded": "Look at what was in the jug before this syrup went in.",
                        "colder store": "Compare its strength with a full syrup, in the old place "
                        "and in the new one.",
                    },
                ),
                marks=3,
                worked=f"{_CAUSES[case]} The log: mass wanted {say(mass, digits=4)}, got "
                f"{say(shown, digits=4)}, later {say(later, digits=4)}; jug {jug}; "
                f"cover: {cover}; store: {store}.",
            )
        ],
        stem=f"The syrup was to be made of {say(sugar)} of sugar, boiled with water to "
        f"{say(mass, digits=4)}. A full syrup is {say(_full(q(4, 'degC')), places=1)} at 4 °C and "
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
        f'<circle cx="{x(b):.0f}" cy="{y(t):.0f}" r="5" fill="var(--berry, #a31c43)"/>'
        f'<text x="{x(b) - 9:.0f}" y="{y(t) + 6:.0f}" fill="var(--berry, #a31c43)" font-size="17" '
        f'text-anchor="end" font-weight="700">{name}</text>'
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


@question("crystals-across-the-curve", outcome="crystal-cause", level="decide", minutes=4)
def across_the_curve(draw: Draw) -> Asked:
    """Three syrups on the map: which can grain, and what carries one across the curve?"""
    over = (draw.percent("over", 74, 79).m, draw.temperature("cold", 8, 24, step=4).m)
    hot = (draw.percent("hot", 74, 79).m, draw.temperature("warm", 82, 94, step=4).m)
    weak = (draw.percent("weak", 54, 60).m, draw.temperature("cool", 8, 24, step=4).m)
    names = draw.shuffled("names", ["A", "B", "C"])
    points = dict(sorted(zip(names, (over, hot, weak), strict=True)))
    told = "; ".join(f"{n} at {b:g} °Bx and {t:g} °C" for n, (b, t) in points.items())
    says = {
        names[1]: "This one is hot enough for its strength. Go along the line of its temperature "
        "to the curve, and see on which side it lies.",
        names[2]: "This one has room for more sugar. See on which side of the curve it lies.",
    }
    return Asked(
        [
            ChoicePart(
                "In which of these plain syrups can crystals form as it is now?",
                [Option(f"In {n}", n == names[0], says.get(n, "")) for n in points],
                marks=2,
                worked=f"Only {names[0]} lies to the right of and below the curve.",
                keep_order=True,
            ),
            ChoicesPart(
                "Which of these carry a syrup across the curve, one way or the other?",
                [
                    Option(f"Warming {names[0]} to 98 °C", right=True),
                    Option(f"Cooling {names[1]} to 20 °C", right=True),
                    Option(
                        f"Cooling {names[2]} to 2 °C",
                        says="Go straight down from this point: does the curve lie on the way?",
                    ),
                    Option(
                        f"Stirring {names[0]} at its own temperature",
                        says="Stirring moves nothing on the map. Ask yourself what it starts.",
                    ),
                ],
                marks=2,
                worked=f"Warming goes straight up: {names[0]} ends on the clear side. Cooling goes "
                f"straight down: {names[1]} ends where crystals can come, and {names[2]} is too "
                "weak for that at any temperature above 0 °C.",
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
                "Both are boiled down to the same mass of water and are over the line in the fridge. "
                "Which one is guarded against graining?",
                [
                    Option(f"Pan {guarded}", right=True),
                    Option(
                        f"Pan {open_pan}",
                        says="Work out for both pans what share of all the sugar is glucose solids.",
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
                f"What share of all the sugar in pan {guarded} is glucose solids? The syrup in the tub "
                f"is {say(solids)} solids.",
                answer=share,
                tolerance="1 %",
                because="tubs of one name differ by about a per cent",
                wrong_turns=[
                    WrongTurn(
                        "tub counted whole",
                        (plenty / (plenty + sugar)).to(unit("percent")),
                        "This is the number you get by counting the whole tub. "
                        "Ask yourself how much of that is water.",
                    ),
                    WrongTurn(
                        "solids over sugar",
                        (part / sugar).to(unit("percent")),
                        "This is the number you get by dividing by the sugar alone. "
                        "Look again at what all the sugar is.",
                    ),
                ],
                working="share = glucose solids / (glucose solids + sugar)",
                worked=f"{say(plenty)} × {say(solids)} = {say(part, digits=4)}; "
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
            "A wet brush round the wall as it boils",
            "Some glucose from the start",
            "Rest, until it is cold",
            "Film on its surface",
            "A clean jug, with the scrapings left behind",
        ),
    )
    bad = draw.shuffled(
        "bad",
        (
            (
                "Steady stirring",
                "Stirring a syrup that is over the line makes seeds. Ask yourself what "
                "crystals need to begin.",
            ),
            (
                "Last week's jug, topped up while there is a little left",
                "A crust in the jug is a seed. Ask yourself what is on its wall.",
            ),
            (
                "A scraper for what has dried on the wall of the pan",
                "What has dried there is crystals. Ask yourself what they do in the syrup.",
            ),
            (
                "A few more minutes on the hob, to be sure of it",
                "Boiling takes out the water that keeps the sugar. Follow the path on the map.",
            ),
        ),
    )
    return ChoicesPart(
        "A pan of sugar and water must stay smooth for a week in the fridge. What helps?",
        [Option(text, right=True) for text in good[:3]]
        + [Option(text, says=says) for text, says in bad[:2]],
        marks=3,
        worked="Help: " + "; ".join(text[0].lower() + text[1:] for text in good[:3]) + ".",
    )


@question("crystals-clear-order", outcome="crystal-guard", level="recall", safety=True, minutes=2)
def clear_order(draw: Draw) -> OrderPart:
    """A syrup that is to stay clear: the steps."""
    return OrderPart(
        "You are boiling a syrup that must stay clear. Put the steps in order.",
        [
            "Weigh sugar, glucose syrup and water into a clean pan.",
            "Stir over low heat until no grain is left.",
            "Bring it to the boil and wipe the wall with a wet brush.",
            "Boil to the mass you worked out, without stirring.",
            "Pour it into a clean jug and leave the scrapings behind.",
            "Lay film on the surface when no steam rises, and let it cool undisturbed.",
        ],
        marks=3,
        says="Ask yourself at which step a grain could still be left, and what it would do later.",
        worked="Dissolve first, then wash down the wall, then boil without stirring, then keep seeds and dry air out.",
    )


_BACK = {
    "strong": (
        "Water back by weight, warm it until no grain is left, then a clean jug",
        "Water makes a syrup weaker. Ask whether this one is stronger than it should be.",
    ),
    "seeded": (
        "Warm it until no grain is left, then a clean jug, and no water",
        "Heat melts the grains away, but leaves the strength as it was. Ask what it should be.",
    ),
    "cold": (
        "Warm it until no grain is left, then a clean jug, and a shelf in the room",
        "A warmer shelf helps a syrup that was made for one. Compare where it was with its plan.",
    ),
    "boil": (
        "Sieve out the grains, boil the rest a little longer, then a clean jug",
        "Boiling takes water out. Ask whether this sugar needs less water.",
    ),
}


@question("crystals-back-to-clear", outcome="crystal-guard", level="decide", minutes=4)
def back_to_clear(draw: Draw) -> Asked:
    """A syrup has grained: how does it get clear again, and stay so?"""
    case = draw.one_of("case", ("strong", "seeded", "cold"))
    plan = draw.mass("plan", 1000, 1400, 50)
    missing = q(10 * draw.whole("missing", 6, 14), "g")
    now = plan - missing if case == "strong" else plan - q(2, "g")
    room = case == "cold"
    return Asked(
        [
            ChoicePart(
                "How do you turn it back, so that it stays clear?",
                one_right(_BACK, case),
                marks=2,
                worked={
                    "strong": f"It lacks {say(missing)} of water.",
                    "seeded": "It weighs what it should, and stood where it should: the crust in "
                    "the jug started it.",
                    "cold": "It weighs what it should, but cold water keeps less sugar than its plan "
                    "allows for.",
                }[case]
                + f" {_BACK[case][0]}.",
            )
        ],
        stem="A stock syrup of sugar and some glucose is made a little over the line, and stays "
        "clear for weeks. This batch has turned to sand.",
        exhibit=Exhibit(
            "From the bench book",
            ("what", "noted"),
            [
                (
                    "its plan",
                    f"{say(plan, digits=4)} in all, for "
                    + ("a shelf at 20 °C" if room else "the fridge, 4 °C"),
                ),
                ("weighs now, as sand", say(now, digits=4)),
                (
                    "jug",
                    "out of the dishwasher"
                    if case != "seeded"
                    else "topped up; a crust round its wall",
                ),
                ("has stood in", "the fridge, 4 °C"),
                ("cover", "film and lid"),
            ],
        ),
    )
