"""Questions on the pour: how much, how warm, and on what."""

from __future__ import annotations

from math import log10, pi

from calculators import coating, cooling
from calculators.units import Quantity, q, say
from exercises.questions.draws import Draw
from exercises.questions.parts import (
    Asked,
    ChoicePart,
    Exhibit,
    Option,
    OrderPart,
    QuantityPart,
    WrongTurn,
    one_right,
)
from exercises.questions.registry import question

HIGH = q(34, "degC")
WINDOW = "The window of this glaze is 31 °C to 34 °C."
LAST = "Your local rules and your supervisor come first."


def _option(text: str, right: bool = False, says: str = "") -> Option:
    """Return an option that says what it tells only where it is not the right one."""
    return Option(text, right=right, says="" if right else says)


def _four(value: Quantity) -> str:
    return say(value, digits=4)


# --- how much ---------------------------------------------------------------------------


@question("pour-rack", outcome="pour-amount", level="carry out", minutes=6)
def rack(draw: Draw) -> Asked:
    """Area of a round cake, and the glaze for several."""
    width = draw.length("width", 14, 24, 2)
    height = draw.length("height", 4, 6, 0.5)
    count = draw.whole("count", 3, 9)
    coat = draw.quantity("coat", 0.18, 0.26, 0.01, "g/cm**2")
    lost = draw.percent("run off", 40, 60, 5)
    cake = coating.Cylinder(width, height)
    face = coating.area(cake)
    top = (pi / 4 * width**2).to("cm**2")
    share = lost.m / 100

    def pour(area: Quantity) -> Quantity:
        return (area * count * coat / (1 - share)).to("g")

    needed = pour(face)
    return Asked(
        [
            QuantityPart(
                "What area of one cake takes glaze?",
                answer=face,
                tolerance="2 cm²",
                because="Taking pi as 3.14 changes the area by less than that.",
                wrong_turns=[
                    WrongTurn(
                        "sides forgotten",
                        top,
                        "This is the number you get for the top alone. Ask where else "
                        "the glaze runs.",
                    ),
                    WrongTurn(
                        "base counted",
                        face + top,
                        "This is the number you get with the base as well. Ask what the "
                        "cake stands on.",
                    ),
                    WrongTurn(
                        "width for radius",
                        (pi * width**2 + 2 * pi * width * height),
                        "This is the number you get with the width in place of the "
                        "radius. Sketch the cake and mark both.",
                    ),
                ],
                working="area = π × (d² ÷ 4 + d × h)",
                worked=f"π × ({width.m:g}² ÷ 4 + {width.m:g} × {height.m:g}) cm² = {_four(face)}",
            ),
            QuantityPart(
                "How much glaze must leave the jug for all the cakes?",
                answer=lambda given: pour(given["a"]),
                tolerance="1 % of the answer",
                because="The coat is known no better than that.",
                wrong_turns=[
                    WrongTurn(
                        "run-off forgotten",
                        lambda given: given["a"] * count * coat,
                        "This is the number you get for what stays. Ask what becomes of the rest.",
                    ),
                    WrongTurn(
                        "run-off added on",
                        lambda given: given["a"] * count * coat * (1 + share),
                        "This is the number you get when the run-off is added to what "
                        "stays. It is a share of all that is poured.",
                    ),
                    WrongTurn(
                        "one cake",
                        lambda given: pour(given["a"]) / count,
                        "This is the number you get for one cake. Count the cakes.",
                    ),
                ],
                working="poured = area × number × coat ÷ (1 − run-off)",
                worked=f"{_four(face)} × {count} × {say(coat)} ÷ (1 − {share:g}) = {_four(needed)}",
                unit="g",
            ),
        ],
        stem=f"You glaze {count} round cakes, {say(width)} wide and {say(height)} high. The coat "
        f"is {say(coat)}, and {say(lost)} of what is poured runs off.",
    )


@question("pour-ring", outcome="pour-amount", level="carry out")
def ring(draw: Draw) -> QuantityPart:
    """The area of a ring, with its inner wall."""
    outer = draw.length("outer", 16, 24, 2)
    inner = draw.length("inner", 5, 9, 1)
    height = draw.length("height", 4, 6, 0.5)
    face = coating.area(coating.Ring(outer, inner, height))
    inside = pi * inner * height
    disc = pi / 4 * inner**2
    return QuantityPart(
        f"A ring has an outer diameter of {say(outer)}, a hole of {say(inner)}, and a height "
        f"of {say(height)}. The walls are straight. What area takes glaze?",
        answer=face,
        tolerance="2 cm²",
        because="Taking pi as 3.14 changes the area by less than that.",
        wrong_turns=[
            WrongTurn(
                "inner wall forgotten",
                face - inside,
                "This is the number you get without the inner wall. Look into the hole.",
            ),
            WrongTurn(
                "hole left in the top",
                face + disc,
                "This is the number you get when the top has no hole. Ask what is missing there.",
            ),
            WrongTurn(
                "no hole at all",
                coating.area(coating.Cylinder(outer, height)),
                "This is the number you get for a cake without a hole. Ask what the "
                "hole takes away, and what it adds.",
            ),
        ],
        working="area = π × ((D² − d²) ÷ 4 + (D + d) × h)",
        worked=f"π × (({outer.m:g}² − {inner.m:g}²) ÷ 4 + ({outer.m:g} + {inner.m:g}) × "
        f"{height.m:g}) cm² = {_four(face)}",
    )


@question("pour-coat", outcome="pour-amount", level="carry out")
def coat_weighed(draw: Draw) -> QuantityPart:
    """The coat from two weighings of a cake."""
    before = draw.mass("before", 640, 900, 10)
    kept = q(5 * draw.whole("kept", 18, 28), "g")
    skirt = draw.mass("skirt", 18, 36, 2)
    cake = coating.Cylinder(q(18, "cm"), q(4.5, "cm"))
    after = before + kept
    found = coating.coat(before, after, cake)
    face = coating.area(cake)
    return QuantityPart(
        f"A frozen cake on its card weighs {say(before)}. Glazed, and when the dripping has ended, it weighs "
        f"{_four(after + skirt)}. You scrape {say(skirt)} of skirt from the card. "
        f"Its glazed area is {_four(face)}. What is the coat?",
        answer=found,
        tolerance="2 % of the answer",
        because="Each weighing is good to a gram or two.",
        wrong_turns=[
            WrongTurn(
                "skirt counted",
                ((kept + skirt) / face).to("g/cm**2"),
                "This is the number you get with the skirt as part of the coat. Ask "
                "whether it is on the cake.",
            ),
            WrongTurn(
                "whole cake",
                (after / face).to("g/cm**2"),
                "This is the number you get for the whole cake. Take off what it weighed at first.",
            ),
        ],
        working="coat = (after − before) ÷ area",
        worked=f"After scraping: {_four(after + skirt)} − {say(skirt)} = {_four(after)}. "
        f"({_four(after)} − {say(before)}) ÷ {_four(face)} = {_four(found)}",
    )


# --- how warm -----------------------------------------------------------------------


@question("pour-when", outcome="pour-cooling", level="carry out")
def when(draw: Draw) -> QuantityPart:
    """When a stirred jug reaches the window."""
    start = draw.temperature("start", 48, 64, 2)
    room = draw.temperature("room", 18, 24, 1)
    pace = draw.duration("pace", 60, 120, 10)
    ready = cooling.time_to(HIGH, start, room, pace)
    ratio = (start.m - room.m) / (HIGH.m - room.m)
    return QuantityPart(
        f"A stirred jug is at {say(start)} in air of {say(room)}. Its time constant is "
        f"{say(pace)}. How long until it is at 34 °C, the upper end of the window?",
        answer=ready,
        tolerance="1 min",
        because="Nobody can read a falling thermometer more exactly.",
        wrong_turns=[
            WrongTurn(
                "straight line",
                pace * (start.m - HIGH.m) / (start.m - room.m),
                "This is the number you get on a straight line. A jug cools ever more "
                "slowly as it nears the room. Look for the formula with ln.",
            ),
            WrongTurn(
                "the other logarithm",
                pace * log10(ratio),
                "This is the number you get with the logarithm to base ten. Look for "
                "the key that says ln.",
            ),
            WrongTurn(
                "room forgotten",
                cooling.time_to(HIGH, start, q(0, "degC"), pace),
                "This is the number you get in air of 0 °C. Take the room off both "
                "temperatures first.",
            ),
        ],
        working="t = time constant × ln((start − air) ÷ (target − air))",
        worked=f"{say(pace)} × ln(({start.m:g} − {room.m:g}) ÷ (34 − {room.m:g})) = {_four(ready)}",
    )


_TOGETHER = {
    "bath": (
        "Set all in one bath of about 32 °C and stir",
        "One bath is for jugs that lie on both sides of the window. Do these?",
    ),
    "wait": (
        "Keep stirring, and read them all again soon",
        "That is for jugs that all lie above the window, close together. Do these?",
    ),
    "layer": (
        "Layer them now, and pour",
        "That is for jugs that are all in the window, and alike. Are these?",
    ),
    "mix": (
        "Stir a little of the warmest into each of the others",
        "That evens out the heat, but spoils the colours. Look for heat without glaze.",
    ),
}


@question("pour-jugs-together", outcome="pour-decide", level="decide", minutes=3)
def jugs_together(draw: Draw) -> Asked:
    """Three jugs of a marble: are they ready together, and if not, what brings them there?"""
    case = draw.one_of("case", ("bath", "wait", "layer"))
    large, small = {
        "bath": (draw.whole("hot", 36, 39), draw.whole("cool", 26, 29)),
        "wait": (draw.whole("warm", 37, 38), draw.whole("also warm", 36, 37)),
        "layer": (draw.whole("in", 32, 33), draw.whole("also in", 32, 33)),
    }[case]
    return Asked(
        [
            ChoicePart(
                "What do you do now?",
                one_right(_TOGETHER, case),
                marks=2,
                worked={
                    "bath": "The large jug is above the window and the small ones are below it. One "
                    "stirred bath in the middle of the window brings all to one temperature, and "
                    "none falls out. ",
                    "wait": "All are above the window and close together; they cool by themselves. ",
                    "layer": "All are in the window and within a degree. ",
                }[case]
                + f"{_TOGETHER[case][0]}.",
            )
        ],
        stem=f"{WINDOW} You want to layer and pour a marble. The cakes are in the freezer.",
        exhibit=Exhibit(
            "Stirred, and read in the middle",
            ("jug", "mass", "temperature"),
            (
                ("ivory", "600 g", f"{large} °C"),
                ("pink", "300 g", f"{small} °C"),
                ("green", "300 g", f"{small} °C"),
            ),
        ),
    )


@question("pour-now-or-not", outcome="pour-decide", level="decide", minutes=4)
def now_or_not(draw: Draw) -> Asked:
    """Decide from jug, cake and room what to do now."""
    case = draw.one_of("case", ("hot", "cold", "frost", "ready"))
    off = draw.whole("off", 3, 6)
    inside = draw.whole("inside", 32, 33)
    jug = {"hot": 34 + off, "cold": 31 - off}.get(case, inside)
    minutes = draw.whole("minutes", 12, 25) if case == "frost" else 1
    does = {
        "hot": (
            "Stir and wait, or set the jug in a cooler bath; keep the cake frozen",
            "This is for a jug above its window. Compare the jug with both ends.",
        ),
        "cold": (
            "Warm the jug gently in a bath and stir; keep the cake frozen",
            "This is for a jug below its window. Compare the jug with both ends.",
        ),
        "frost": (
            "Wipe the cake with a clean dry cloth, or take a fresh one, then pour",
            "This is for a cake that has stood in the open. Look how long it has been out.",
        ),
        "ready": (
            "Try the spoon and a frozen offcut, then pour in one go",
            "This is for a jug in its window and a cake that is hard and clean. Look "
            "at each row again.",
        ),
    }
    return Asked(
        [
            ChoicePart(
                "What do you do first?",
                [
                    _option(words, right=name == case, says=says)
                    for name, (words, says) in does.items()
                ],
                worked=f"The jug is at {jug} °C, and the window is 31 °C to 34 °C. "
                f"The cake has been unwrapped for {minutes} min. {does[case][0]}.",
            )
        ],
        stem=WINDOW,
        exhibit=Exhibit(
            "At the rack",
            ("entry", "value"),
            (
                ("jug, stirred", f"{jug} °C"),
                ("cake", "−18 °C, hard"),
                ("unwrapped for", f"{minutes} min"),
                ("its surface", "white with frost" if case == "frost" else "dry and smooth"),
                ("room", "22 °C, 60 %"),
            ),
        ),
    )


@question("pour-time-log", outcome="pour-decide", level="decide", safety=True, minutes=6)
def time_log(draw: Draw) -> Asked:
    """Add up the time out of temperature, and decide."""
    warm = draw.duration("warm", 15, 30, 5)
    held = q(5 * draw.whole("held", 4, 12), "min")
    earlier = draw.duration("earlier", 13, 33, 5)
    pot = [
        (q(0, "min"), q(5, "degC")),
        (warm, q(45, "degC")),
        (warm + held, q(33, "degC")),
        (warm + held + q(25, "min"), q(5, "degC")),
    ]
    today = cooling.time_out_of_temperature(pot, q(5, "degC"), q(60, "degC"))
    total = today + earlier
    limit = q(2, "h")
    over = total > limit
    return Asked(
        [
            QuantityPart(
                "How long has it been out of temperature on both days in total?",
                answer=total,
                tolerance="1 min",
                because="The log is written to the minute.",
                safety=True,
                wrong_turns=[
                    WrongTurn(
                        "today only",
                        today,
                        "This is the number you get for today alone. Read the last row of the log.",
                    ),
                    WrongTurn(
                        "in the window only",
                        held + earlier,
                        "This is the number you get without warming and cooling. How "
                        "warm was it on the way?",
                    ),
                ],
                working="time = all minutes between the two limits, of all days",
                worked=f"Today {say(warm)} + {say(held)} + 25 min = {say(today)}. With "
                f"{say(earlier)} from before: {_four(total)}",
            ),
            ChoicePart(
                "This school's rule: at most 2 h in all above 5 °C and below 60 °C. What becomes "
                "of the left-over glaze?",
                [
                    _option(
                        "Throw it out, and write that down",
                        right=bool(over),
                        says="Compare your total with the limit again. Is it really over?",
                    ),
                    _option(
                        "Keep it, labelled with its time so far",
                        right=not over,
                        says="Compare your total with the limit again. Is it really under?",
                    ),
                    _option(
                        "Boil it up, and start its clock from zero again",
                        says="Heat does not undo everything that grew, and the rule counts "
                        "all of the time. Look at the rule again.",
                    ),
                    _option(
                        "Smell it first, and keep it if nothing seems to be wrong",
                        says="Germs that make people ill need not smell. Go by the time.",
                    ),
                ],
                worked=f"{_four(total)}, and the limit is 120 min. {LAST}",
                safety=True,
            ),
        ],
        stem="The log of a milk glaze. Its limits are 5 °C and 60 °C.",
        exhibit=Exhibit(
            "The log",
            ("time", "glaze", "note"),
            (
                ("0 min", "5 °C", "out of the fridge"),
                (say(warm), "45 °C", "warmed"),
                (say(warm + held), "33 °C", "poured"),
                (say(warm + held + q(25, "min")), "5 °C", "left-over, cold again"),
                ("earlier", "", f"yesterday it was out of temperature for {say(earlier)}"),
            ),
        ),
    )


@question("pour-in-one-stroke", outcome="pour-decide", level="carry out", minutes=3)
def in_one_stroke(draw: Draw) -> OrderPart:
    """The steps of a pour, from the jug to the foot."""
    tool = draw.one_of("tool", ("a clean dry cloth", "a clean dry glove"))
    shape = draw.one_of("shape", ("round", "ring"))
    stroke = {
        "round": (
            "Start over the centre and spiral out without a stop",
            "Finish with one slow lap just inside the rim",
        ),
        "ring": (
            "Start with one lap along the edge of the hole, until it has closed",
            "Move out without a stop, and finish with a lap just inside the outer rim",
        ),
    }[shape]
    cake = {"round": "a round cake", "ring": "a ring"}[shape]
    return OrderPart(
        f"The glaze was made yesterday. Put the steps of glazing {cake} in order.",
        [
            "Bring the glaze into the window in a bath, stirred",
            "Try it on a spoon and on a frozen offcut",
            "Take the cake from the freezer and unwrap it",
            f"Wipe the frost off with {tool}",
            *stroke,
            "Tap the rack lightly two or three times, once the coat has closed",
            "Trim the foot when only single drops fall",
        ],
        marks=3,
        worked="The glaze is ready before the cake leaves the freezer: from then on every minute "
        "brings frost. One stroke from 5 to 10 cm above does it all; nothing is poured on glaze "
        "that has set.",
        says="Ask what must be ready before the cake comes out of the freezer, and where the "
        "stroke has to end so that the walls are covered.",
    )


_STAND = {
    "wet": (
        "Leave it boxed until it has warmed up",
        "That is for a cake that the air would wet. Find out where dew begins in this room.",
    ),
    "dry": (
        "Put it out as it is",
        "Without its box it stays dry only if dew begins below its own temperature. Does it, here?",
    ),
    "in doubt": (
        "Try a cold spoon there first, for ten minutes",
        "A trial is for a room in which a degree decides. How far apart are the two here?",
    ),
    "wipe": (
        "Put it out, and wipe the drops off with a soft cloth now and then",
        "Whoever wipes a glaze takes the gloss along. Look for a way without any drops.",
    ),
}


@question("pour-out-of-the-fridge", outcome="pour-decide", level="decide", minutes=5)
def out_of_the_fridge(draw: Draw) -> Asked:
    """Find where dew begins between two rows and columns, and decide how a cake is put out."""
    case = draw.one_of("case", ("wet", "dry", "in doubt"))
    face = draw.whole("face", 8, 11)
    airs = [(t, h) for t in (18, 20, 22, 24, 26) for h in range(25, 80, 5)]

    def dew(t: float, h: float) -> float:
        return float(cooling.dew_point(q(t, "degC"), q(h, "percent")).m)

    def fits(air: tuple[int, int]) -> bool:
        above = dew(*air) - face
        return {"wet": 3 < above < 7, "dry": -7 < above < -3, "in doubt": abs(above) < 0.6}[case]

    fitting = [air for air in airs if fits(air)]
    room, humidity = fitting[draw.whole("air", 0, 11) % len(fitting)]
    columns = (20, 30, 40, 50, 60, 70, 80)
    point = dew(room, humidity)
    return Asked(
        [
            ChoicePart(
                "Guests will look at it for ten minutes. How do you put it out?",
                one_right(_STAND, case),
                marks=2,
                worked=f"Air of {room} °C and {humidity} % wets what is colder than about "
                f"{point:.0f} °C, and the cake is at {face} °C. "
                + (
                    "A hygrometer is wrong by as much as a degree of that. "
                    if case == "in doubt"
                    else ""
                )
                + f"{_STAND[case][0]}. How long it may stand out, your local rules say.",
            )
        ],
        stem=f"A glazed cake comes from the fridge; its surface is at {face} °C. The room is at "
        f"{room} °C and {humidity} %.",
        exhibit=Exhibit(
            "Where dew begins, by the temperature and humidity of the air",
            ("Air", *(f"{h} %" for h in columns)),
            [
                (f"{t} °C", *(say(q(round(dew(t, h)), "degC")) for h in columns))
                for t in (18, 20, 22, 24, 26)
            ],
        ),
    )


# --- to recall ------------------------------------------------------------------------


@question("pour-whose-window", outcome="pour-cooling", level="recall", minutes=1)
def whose_window(draw: Draw) -> ChoicePart:
    """What the pouring window belongs to, and what proves it."""
    cakes = draw.whole("cakes", 4, 12)
    return ChoicePart(
        f"You have a formula that nobody here has poured, and {cakes} cakes. How do you find its "
        "window?",
        [
            _option("With a spoon and an offcut", True),
            _option(
                "With a thermometer alone",
                says="A number from another formula says nothing about this one. Ask what "
                "shows how it runs.",
            ),
            _option(
                "With a thermometer in the room in which you pour",
                says="The room cools the jug; it says nothing about the glaze. Ask what shows "
                "how it runs.",
            ),
            _option(
                "With a plate in the fridge, to see where it sets",
                says="There the glaze is a jelly. Ask when it still runs, and yet holds.",
            ),
        ],
        worked="The window belongs to the formula. Spoon and offcut show it, and the scheme "
        "keeps it.",
    )
