"""More about the pour: the tray weighed, your own jug timed, now or not, and which room."""

from __future__ import annotations

from math import log, log10

from calculators import coating, cooling
from calculators.units import q, say
from exercises.questions.draws import Draw
from exercises.questions.parts import Asked, ChoicePart, Exhibit, QuantityPart, WrongTurn, one_right
from exercises.questions.registry import question

LOW, HIGH = q(31, "degC"), q(34, "degC")


# --- how much ---------------------------------------------------------------------------


@question("pour-from-the-tray", outcome="pour-amount", level="carry out", use="assessed", minutes=5)
def from_the_tray(draw: Draw) -> Asked:
    """A rack is weighed as a whole: its run-off and its coat."""
    width = draw.one_of("width", (14, 16, 18, 20))
    count = draw.whole("count", 4, 9)
    coat = draw.one_of("coat", (0.18, 0.2, 0.22, 0.24, 0.26))
    share = draw.one_of("share", (0.38, 0.42, 0.46, 0.54, 0.58))
    cake = coating.Cylinder(q(width, "cm"), q(4.5, "cm"))
    face = q(round(coating.area(cake).m), "cm**2")
    kept = count * face.m * coat
    poured = q(round(kept / (1 - share), -1), "g")
    caught = q(round(poured.m - kept), "g")
    run_off = (caught / poured).to("percent")
    found = ((poured - caught) / (count * face)).to("g/cm**2")
    return Asked(
        [
            QuantityPart(
                "What share of the poured glaze ran off?",
                answer=run_off,
                tolerance="0.5 %",
                because="tray and jugs are weighed to a few grams",
                wrong_turns=[
                    WrongTurn(
                        "over what stays",
                        (caught / (poured - caught)).to("percent"),
                        "This is the number you get by dividing by what stayed on the cakes. "
                        "Ask what the run-off is a share of.",
                    ),
                    WrongTurn(
                        "what stays",
                        ((poured - caught) / poured).to("percent"),
                        "This is the number you get for the share that stayed. "
                        "Read again which of the two is asked.",
                    ),
                ],
                working="run-off = caught / poured × 100 %",
                worked=f"{say(caught, digits=4)} / {say(poured, digits=4)} × 100 % = "
                f"{say(run_off, digits=4)}",
            ),
            QuantityPart(
                "What is the mean coat on these cakes?",
                answer=found,
                tolerance="2 % of the answer",
                because="tray and jugs are weighed to a few grams",
                wrong_turns=[
                    WrongTurn(
                        "all that was poured",
                        (poured / (count * face)).to("g/cm**2"),
                        "This is the number you get if nothing ran off. Ask what is on the tray.",
                    ),
                    WrongTurn(
                        "one cake",
                        ((poured - caught) / face).to("g/cm**2"),
                        "This is the number you get by putting it all on one cake. "
                        "Count the cakes that it is on.",
                    ),
                    WrongTurn(
                        "what ran off",
                        (caught / (count * face)).to("g/cm**2"),
                        "This is the number you get for what the tray caught. "
                        "Ask which part is on the cakes.",
                    ),
                ],
                working="coat = (poured − caught) / (cakes × area)",
                worked=f"({say(poured, digits=4)} − {say(caught, digits=4)}) / ({count} × "
                f"{say(face)}) = {say(found, digits=4)}",
            ),
        ],
        stem=f"There are {count} round cakes on a rack; {say(face)} of each takes glaze. "
        f"{say(poured, digits=4)} left the jugs, and {say(caught, digits=4)} is scraped from "
        "tray and feet afterwards.",
    )


# --- how warm, and when -------------------------------------------------------------------


@question("pour-two-readings", outcome="pour-cooling", level="carry out", use="assessed", minutes=7)
def two_readings(draw: Draw) -> Asked:
    """The time constant of your own jug, and with it the minute of the pour."""
    first = draw.temperature("first", 56, 66, 2)
    fall = draw.whole("fall", 8, 12)
    second = q(first.m - fall, "degC")
    room = draw.temperature("room", 18, 24, 1)
    between = draw.duration("between", 16, 32, 2)
    pace = cooling.rate_from_readings([(q(0, "min"), first), (between, second)], room)
    wait = cooling.time_to(HIGH, second, room, pace)
    above, left, end = first.m - room.m, second.m - room.m, HIGH.m - room.m
    return Asked(
        [
            QuantityPart(
                "What is the time constant of this jug?",
                answer=pace,
                tolerance="2 % of the answer",
                because="the logarithm may be rounded",
                wrong_turns=[
                    WrongTurn(
                        "the other logarithm",
                        between / log10(above / left),
                        "This is the number you get with the logarithm to base ten. "
                        "Look for the key that says ln.",
                    ),
                    WrongTurn(
                        "room forgotten",
                        between / log(first.m / second.m),
                        "This is the number you get in air of 0 °C. "
                        "Take the room off both readings first.",
                    ),
                    WrongTurn(
                        "quotient upside down",
                        between * log(above / left),
                        "This is the number you get by multiplying with the logarithm. "
                        "Look again at what you divide by.",
                    ),
                ],
                working="time constant = minutes / ln((first − air) / (second − air))",
                worked=f"{say(between)} / ln(({first.m:g} − {room.m:g}) / ({second.m:g} − "
                f"{room.m:g})) = {say(pace, digits=4)}",
            ),
            QuantityPart(
                "How long after the second reading is it at 34 °C?",
                answer=lambda given: cooling.time_to(HIGH, second, room, given["a"]),
                tolerance="3 % of the answer",
                because="the time constant is rounded, and nobody can read more exactly",
                wrong_turns=[
                    WrongTurn(
                        "from the first reading",
                        lambda given: cooling.time_to(HIGH, first, room, given["a"]),
                        "This is the number you get from the first reading on. "
                        "Read again when the minutes start.",
                    ),
                    WrongTurn(
                        "as fast as before",
                        q(between.m * (second.m - HIGH.m) / fall, "min"),
                        "This is the number you get if it went on falling as fast. "
                        "Ask what happens to the pace as the jug nears the room.",
                    ),
                ],
                working="t = time constant × ln((second − air) / (target − air))",
                worked=f"{say(pace, digits=4)} × ln({left:g} / {end:g}) = {say(wait, digits=4)}",
            ),
        ],
        stem=f"A stirred jug in air of {say(room)} is at {say(first)}, and {say(between)} later "
        f"at {say(second)}. Nothing else is known about it.",
    )


@question("pour-window-lasts", outcome="pour-cooling", level="carry out", use="assessed", minutes=5)
def window_lasts(draw: Draw) -> QuantityPart:
    """How long two different jugs are in the window at once, side by side."""
    room = draw.temperature("room", 18, 25, 1)
    large = draw.duration("large", 105, 145, 5)
    small = draw.duration("small", 62, 86, 2)
    time = cooling.time_to(LOW, HIGH, room, small)
    ratio = (HIGH.m - room.m) / (LOW.m - room.m)
    return QuantityPart(
        f"Two stirred jugs of a marble leave the bath at 34 °C, the upper end of the window, and "
        f"stand in air of {say(room)}. The large one has a time constant of {say(large)}, the "
        f"small one of {say(small)}. For how long are both still in the window, which ends at "
        "31 °C?",
        answer=time,
        tolerance="0.6 min",
        because="nobody can read a falling thermometer more exactly",
        wrong_turns=[
            WrongTurn(
                "the large jug",
                large * log(ratio),
                "This is the number you get for the large jug. "
                "Ask which of the two leaves the window first.",
            ),
            WrongTurn(
                "the other logarithm",
                small * log10(ratio),
                "This is the number you get with the logarithm to base ten. "
                "Look for the key that says ln.",
            ),
            WrongTurn(
                "room forgotten",
                small * log(HIGH.m / LOW.m),
                "This is the number you get in air of 0 °C. "
                "Take the room off both temperatures first.",
            ),
        ],
        working="t = time constant × ln((34 °C − air) / (31 °C − air)), for the faster jug",
        worked=f"The small jug falls out first.\n{say(small)} × ln((34 − {room.m:g}) / (31 − "
        f"{room.m:g})) = {say(time, digits=4)}",
    )


# --- now, later, or not at all --------------------------------------------------------------

_TRIALS = "at 29 °C folds; at 32 °C and 34 °C an even coat; at 38 °C a bare rim"


@question("pour-rack-waits", outcome="pour-decide", level="decide", use="assessed", minutes=5)
def rack_waits(draw: Draw) -> Asked:
    """A jug that falls, cakes that wait, and a clock: what is done first?"""
    case = draw.one_of("case", ("pour", "bath", "wait", "back"))
    tenths = draw.whole("tenths", 0, 6)
    now = {"pour": 32.9, "bath": 32.4, "wait": 36.8, "back": 32.6}[case] + tenths / 10
    fell = {
        "pour": draw.one_of("slow", (0.3, 0.4)),
        "bath": draw.one_of("fast", (1.4, 1.6, 1.8)),
        "wait": draw.one_of("hot", (1.4, 1.6, 1.8)),
        "back": draw.one_of("calm", (0.3, 0.4, 0.5)),
    }[case]
    cakes = draw.whole("many", 7, 9) if case == "bath" else draw.whole("few", 2, 3)
    state = {
        "pour": "hard; unwrapped and wiped just now",
        "bath": "hard; still in the freezer",
        "wait": "hard; still in the freezer",
        "back": f"a finger leaves a dent; unwrapped {draw.whole('out', 22, 34)} min ago, wiped",
    }[case]
    humid = draw.whole("humid", 45, 66)
    texts = {
        "pour": (
            "Pour every cake, one after the other",
            "Ask whether jug and cakes are fit for it now, and still will be at the last cake.",
        ),
        "bath": (
            "Stop its fall in a warm bath, and only then pour",
            "Ask how far the jug will have fallen by the last cake, if nothing holds it.",
        ),
        "wait": (
            "Keep stirring for a while, cakes kept cold",
            "Ask what the trials say of a glaze that is as warm as this one.",
        ),
        "back": (
            "Send the cakes away to freeze again",
            "Ask what the glaze needs to find under it, and whether these cakes have it.",
        ),
    }
    last = now - fell / 5 * 2 * cakes
    why = {
        "pour": f"It falls by {fell} °C in 5 min, and {cakes} cakes take {2 * cakes} min: it "
        "stays where the trials were even. The cakes are hard and wiped.",
        "bath": f"It falls by {fell} °C in 5 min. {cakes} cakes take {2 * cakes} min, so the last "
        f"would get it at about {last:.0f} °C, where it folds. Water of about 32 °C holds it.",
        "wait": "It is nearly as warm as where the rim stayed bare. It falls by itself, and "
        "nobody takes a cake out before.",
        "back": "A cake that gives under a finger sets too little glaze, however good the jug is.",
    }
    return Asked(
        [
            ChoicePart(
                "What do you do?",
                one_right(texts, case),
                marks=3,
                worked=f"{why[case]} {texts[case][0]}.",
            )
        ],
        exhibit=Exhibit(
            "At the rack",
            ("What", "Found"),
            [
                ("trials of this glaze", _TRIALS),
                ("jug 5 min ago", f"{now + fell:.1f} °C, stirred"),
                ("jug now", f"{now:.1f} °C, stirred"),
                ("cakes to do", f"{cakes}, each takes 2 min"),
                ("cakes", state),
                ("room", f"22 °C, {humid} %"),
            ],
        ),
    )


@question("pour-spoon-or-number", outcome="pour-decide", level="decide", use="assessed", minutes=5)
def spoon_or_number(draw: Draw) -> Asked:
    """Thermometer, spoon and offcut don't agree: which do you believe, and what follows?"""
    case = draw.one_of("case", ("warm", "water", "sieve", "pour"))
    new = draw.mass("new", 1200, 1800, 100)
    gone = draw.one_of("gone", (0.05, 0.06, 0.07)) if case == "water" else 0.01
    after = q(round(new.m * (1 - gone), -1), "g")
    warmings = draw.whole("times", 3, 4) if case == "water" else draw.whole("once", 1, 2)
    often = ("once", "twice", "three times", "four times")[warmings - 1]
    read = {
        "warm": draw.whole("cold", 27, 28),
        "water": 33,
        "sieve": 33,
        "pour": draw.whole("above", 36, 37),
    }[case]
    spoon = {
        "warm": "falls in folds",
        "water": "falls in folds",
        "sieve": "an even sheet with threads in it",
        "pour": "an even sheet, the metal covered",
    }[case]
    offcut = {
        "warm": "thick at the foot",
        "water": "thick at the foot",
        "sieve": "streaks, and little knots on top",
        "pour": "even to the rim, foot closed",
    }[case]
    film = {
        "sieve": "slipped off in the night",
        "warm": "on it all the time",
        "pour": "on it all the time",
    }.get(case, "laid on late, each time")
    texts = {
        "warm": (
            "Bring heat into it, then try again",
            "Ask whether this one is too cool, or thick for another reason.",
        ),
        "water": (
            "Give back what steam took, then try again",
            "Put the two weighings side by side, and ask how much of the batch has gone.",
        ),
        "sieve": (
            "Blend out what is in it and strain it, then try again",
            "Ask whether anything solid is in this glaze, and where it would come from.",
        ),
        "pour": (
            "Go ahead, and write a new window down",
            "Ask what spoon and offcut both say. Two witnesses can outweigh a habit.",
        ),
    }
    why = {
        "warm": f"Spoon and offcut agree: too thick. It weighs what it did, and {read} °C is cool.",
        "water": f"Spoon and offcut agree: too thick, though {read} °C is warm enough. The batch "
        f"has lost {say(new - after)}, warmed {often}.",
        "sieve": "It runs as it should, and something is in it: a skin, from the night "
        "without film.",
        "pour": f"{read} °C is warmer than the usual for such a glaze, but spoon and offcut are "
        "both good, and they have the last word. The window belongs to the formula.",
    }
    return Asked(
        [
            ChoicePart(
                "What do you do?",
                one_right(texts, case),
                marks=3,
                worked=f"{why[case]} {texts[case][0]}.",
            )
        ],
        stem="A glaze from another school, with its own formula. Nobody here has poured it yet.",
        exhibit=Exhibit(
            "What you have",
            ("What", "Found"),
            [
                ("batch when new, without bowl", say(new, digits=4)),
                ("batch now, without bowl", say(after, digits=4)),
                ("warmed so far", often),
                ("film", film),
                ("stirred, in the middle", f"{read} °C"),
                ("spoon", spoon),
                ("frozen offcut", offcut),
            ],
        ),
    )


_ROOMS = {
    "shop": (
        "In the shop, not in the kitchen",
        "Find the dew point of the shop, and then ask the same of the kitchen.",
    ),
    "kitchen": (
        "In the kitchen, not in the shop",
        "Find the dew point of the kitchen, and then ask the same of the shop.",
    ),
    "both": (
        "In either of the two",
        "For this the air of each room must leave the cake dry. Check the damper one.",
    ),
    "neither": (
        "In neither of the two",
        "For this each room must make the cake wet. Check the drier one.",
    ),
}


@question("pour-which-room", outcome="pour-decide", level="decide", use="assessed", minutes=6)
def which_room(draw: Draw) -> Asked:
    """A table of the air, two rooms, one cake: where does it stay dry?"""
    case = draw.one_of("case", tuple(_ROOMS))
    face = draw.one_of("face", (9, 10, 11))
    airs = [(t, h) for t in (18, 20, 22, 24, 26) for h in (30, 40, 50, 60, 70)]

    def dew(air: tuple[int, int]) -> float:
        return float(cooling.dew_point(q(air[0], "degC"), q(air[1], "percent")).m)

    dry = [air for air in airs if face - 5 < dew(air) < face - 2]
    wet = [air for air in airs if face + 2 < dew(air) < face + 5]
    first, second = draw.two_of("places", range(min(len(dry), len(wet))))
    shop = dry[first] if case in ("shop", "both") else wet[first]
    kitchen = dry[second] if case in ("kitchen", "both") else wet[second]
    grid = [
        (f"{t} °C", *(f"{dew((t, h)):.0f} °C" for h in (30, 40, 50, 60, 70)))
        for t in (18, 20, 22, 24, 26)
    ]
    return Asked(
        [
            ChoicePart(
                "Where can it stand unwrapped for ten minutes without drops?",
                one_right(_ROOMS, case),
                marks=3,
                worked=f"The cake is at {face} °C. Air of {shop[0]} °C and {shop[1]} % wets what is "
                f"colder than {dew(shop):.0f} °C, air of {kitchen[0]} °C and {kitchen[1]} % what is "
                f"colder than {dew(kitchen):.0f} °C. {_ROOMS[case][0]}. How long it may stand out "
                "at all, your local rules say.",
            )
        ],
        stem=f"A glazed cake comes out of its cool box with its surface at {face} °C. The shop is at "
        f"{shop[0]} °C and {shop[1]} %, the kitchen at {kitchen[0]} °C and {kitchen[1]} %.",
        exhibit=Exhibit(
            "Where dew begins, by the air's temperature and humidity",
            ("Air", "30 %", "40 %", "50 %", "60 %", "70 %"),
            grid,
        ),
    )
