"""Questions on the pour: how much, how warm, on what, and what went wrong."""

from __future__ import annotations

from math import log10, pi

from calculators import coating, cooling, formula, syrup
from calculators.units import Quantity, q, say
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

LOW, HIGH = q(31, "degC"), q(34, "degC")
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


# --- what went wrong -------------------------------------------------------------------


def _log(jug: str, blended: str, sieved: str, out: str, coat: str, thaw: str) -> Exhibit:
    return Exhibit(
        "The log of the pour",
        ("entry", "value"),
        (
            ("jug when poured", jug),
            ("blended", blended),
            ("sieved", sieved),
            ("cake", out),
            ("coat, weighed", coat),
            ("thawed", thaw),
        ),
    )


_GOOD = {
    "jug": "33 °C, stirred",
    "blended": "yesterday, rested under film",
    "sieved": "yes, poured in one go",
    "out": "wiped, poured after 1 min",
    "coat": "0.22 g/cm²",
    "thaw": "in its box in the fridge",
}


@question("fault-slide-log", outcome="fault-diagnose", level="decide", minutes=4)
def slide_log(draw: Draw) -> Asked:
    """A coat that slid: which of its several causes."""
    case = draw.one_of("case", ("frost", "hot", "heavy"))
    minutes = draw.whole("minutes", 15, 30)
    above = draw.whole("above", 39, 42)
    heavy = q(draw.one_of("heavy", (0.38, 0.4, 0.42, 0.44)), "g/cm**2")
    seen = {
        "frost": {"out": f"not wiped, poured after {minutes} min"},
        "hot": {"jug": f"{above} °C, stirred", "coat": "0.12 g/cm²"},
        "heavy": {"jug": "28 °C, stirred", "coat": say(heavy)},
    }[case]
    causes = {
        "frost": (
            "Frost on the cake that melted under its coat",
            "The log shows a wiped cake and a quick pour. Look at the other rows.",
        ),
        "hot": (
            "Glaze so hot that it ran off thin",
            "The log shows no heat above the window. Look at the other rows.",
        ),
        "heavy": (
            "Glaze so cool that it went on thick",
            "The log shows no heavy coat. Compare it with the usual band.",
        ),
    }
    return Asked(
        [
            ChoicePart(
                "What does the log point to?",
                [
                    *(
                        _option(words, right=name == case, says=says)
                        for name, (words, says) in causes.items()
                    ),
                    _option(
                        "Gelatin too strong to let the coat bend as the cake was lifted",
                        says="A strong set cracks; it doesn't slide. Stay with what the log shows.",
                    ),
                ],
                worked="Go through jug, coat, cake and air in this order. Unusual: "
                f"{'; '.join(seen.values())}.",
            )
        ],
        stem=f"A coat slid down the wall within an hour. {WINDOW} "
        "A usual coat is 0.15 to 0.30 g/cm².",
        exhibit=_log(**{**_GOOD, **seen}),
    )


@question("fault-surface-log", outcome="fault-diagnose", level="decide", minutes=4)
def surface_log(draw: Draw) -> Asked:
    """Pits, streaks, a thick skirt or a bare edge: read from the log."""
    case = draw.one_of("case", ("pits", "streaks", "skirt", "bare"))
    minutes = draw.whole("minutes", 2, 6)
    cold = draw.whole("cold", 26, 28)
    hot = draw.whole("hot", 39, 42)
    seen = {
        "pits": {"blended": f"{minutes} min before the pour, blade half out"},
        "streaks": {"sieved": "no; poured twice, and spread with a knife"},
        "skirt": {"jug": f"{cold} °C, stirred", "coat": "0.34 g/cm²"},
        "bare": {"jug": f"{hot} °C, stirred", "coat": "0.11 g/cm²"},
    }[case]
    faults = {
        "pits": ("Pits in the top", "Pits come from air. Look when and how the glaze was blended."),
        "streaks": ("Streaks", "Streaks come from lumps, or from a second pour. Look for either."),
        "skirt": ("A thick skirt", "A skirt comes from cold, thick glaze. Look at jug and coat."),
        "bare": ("A bare edge", "An edge goes bare when glaze runs thin. Look at jug and coat."),
    }
    looks = {
        "pits": "This lets air out. Look when and how the glaze was blended.",
        "streaks": "This takes out lumps. Look at sieve and pour.",
        "skirt": "This thins a cold glaze. Look how warm the jug was.",
        "bare": "This thickens a hot glaze. Look how warm the jug was.",
    }
    mends = {
        "pits": "Cover the blade, rest it overnight under film, and tap the jug",
        "streaks": "Blend and sieve it, pour once, and do not spread it",
        "skirt": "Warm it to the window, and trim the foot before it is hard",
        "bare": "Cool it to the window, and end with a lap just inside the rim",
    }
    return Asked(
        [
            ChoicePart(
                "Which fault do you expect on the cake?",
                [
                    _option(words, right=name == case, says=says)
                    for name, (words, says) in faults.items()
                ],
                worked=f"Unusual in this log: {'; '.join(seen.values())}.",
            ),
            ChoicePart(
                "What do you do at the next pour?",
                [
                    _option(
                        words,
                        right=name == case,
                        says=f"{looks[name]} Mend the row that differs.",
                    )
                    for name, words in mends.items()
                ],
                worked="Mend the one thing that the log shows, and leave the rest as it was.",
            ),
        ],
        stem=f"You see the log before you see the cake. {WINDOW} "
        "A usual coat is 0.15 to 0.30 g/cm².",
        exhibit=_log(**{**_GOOD, **seen}),
    )


@question("fault-weeps-log", outcome="fault-diagnose", level="decide", minutes=4)
def weeps_log(draw: Draw) -> Asked:
    """Drops after the thaw: dew, or a weak set."""
    case = draw.one_of("case", ("dew", "weak"))
    room = q(draw.whole("room", 22, 27), "degC")
    heat = q(draw.whole("heat", 92, 98), "degC")
    point = cooling.dew_point(room, q(65, "percent"))
    rows = (
        ("gelatin went in at", say(heat) if case == "weak" else "60 °C"),
        ("kept hot for", "40 min" if case == "weak" else "5 min"),
        (
            "thawed",
            "in its box in the fridge"
            if case == "weak"
            else f"unwrapped, in a room of {say(room)} and 65 %",
        ),
        ("dew point there", "not read" if case == "weak" else say(point, places=1)),
        ("drops on the plate", "none" if case == "weak" else "everywhere"),
        ("glaze under a finger", "soft, it tears" if case == "weak" else "firm"),
    )
    return Asked(
        [
            ChoicePart(
                "Where do the drops come from?",
                [
                    _option(
                        "From the air: dew fell on a cold cake",
                        right=case == "dew",
                        says="The plate is dry, and the cake stood in its box. Look at the "
                        "rows on gelatin.",
                    ),
                    _option(
                        "From the glaze: a weak set lets water go",
                        right=case == "weak",
                        says="The glaze is firm, and the plate is wet as well. Compare the "
                        "dew point with a cold cake.",
                    ),
                    _option(
                        "From the mousse: ice in it melts and comes up through the glaze",
                        says="Mousse holds what melts in it. Compare plate and glaze.",
                    ),
                    _option(
                        "From the sugar: its crystals left water behind",
                        says="You would feel grit, and the log mentions none. Look at "
                        "plate and set.",
                    ),
                ],
                worked=(
                    "The gelatin was far too hot for far too long and lost strength; the "
                    "plate is dry."
                    if case == "weak"
                    else "The cake was colder than the dew point, and the plate is wet too: "
                    "the air made these drops."
                ),
            ),
            ChoicePart(
                "What do you do next time?",
                [
                    _option(
                        "Thaw it in its box, in the fridge",
                        right=case == "dew",
                        says="It thawed there already. Mend the set.",
                    ),
                    _option(
                        "Add the gelatin later, below 80 °C",
                        right=case == "weak",
                        says="The gelatin was treated well. Mend the air around the cake.",
                    ),
                    _option(
                        "Blot it, chill it well and glaze it again",
                        says="That hides the drops for a day. Mend the cause instead.",
                    ),
                ],
                worked="Mend the cause that the log shows.",
            ),
        ],
        stem="After the thaw there are small drops on the glaze.",
        exhibit=Exhibit("The log", ("entry", "value"), rows),
    )


@question("fault-water-back", outcome="fault-water-back", level="carry out")
def water_back(draw: Draw) -> QuantityPart:
    """The water to give back to what is left of a glaze."""
    before = draw.mass("before", 1200, 2000, 50)
    lost = q(5 * draw.whole("lost", 16, 28), "g")
    kept = draw.mass("kept", 400, 700, 20)
    after = before - lost
    back = formula.water_to_give_back(before, after, kept)
    return QuantityPart(
        f"A batch of glaze weighed {_four(before)} when it was new, and {_four(after)} after "
        f"three warmings. Now {say(kept)} of it is left. How much water do you give back to that?",
        answer=back,
        tolerance="0.5 g",
        because="The bench scale shows 1 g: half a step either way.",
        wrong_turns=[
            WrongTurn(
                "all the water",
                lost,
                "This is the number you get for the whole batch. Ask how much of it is "
                "still there.",
            ),
            WrongTurn(
                "old mass below",
                lost * kept / before,
                "This is the number you get by dividing by the old mass. What is "
                "left is a share of the mass after the loss.",
            ),
            WrongTurn(
                "what is gone",
                before - kept,
                "This is the number you get for all that is missing. Most of that is on the cakes.",
            ),
        ],
        working="water = (before − after) × kept ÷ after",
        worked=f"{_four(before)} − {_four(after)} = {say(lost)}. "
        f"{say(lost)} × {say(kept)} ÷ {_four(after)} = {_four(back)}",
    )


@question("fault-syrup-back", outcome="fault-water-back", level="carry out")
def syrup_back(draw: Draw) -> QuantityPart:
    """Bring a clear syrup back to its strength."""
    mass = draw.mass("mass", 450, 950, 50)
    now = draw.percent("now", 72, 77, 1)
    wanted = draw.percent("wanted", 64, 68, 1)
    water = syrup.water_to_add(mass, now, wanted)
    return QuantityPart(
        f"{say(mass)} of a clear syrup for thinning reads {now.m:g} °Bx. It should be at "
        f"{wanted.m:g} °Bx. How much water do you add?",
        answer=water,
        tolerance="2 g",
        because="A refractometer is good to a few tenths of a degree.",
        wrong_turns=[
            WrongTurn(
                "Brix subtracted",
                mass * (now.m - wanted.m) / 100,
                "This is the number you get by taking one strength from the other. The "
                "syrup grows as you add water: keep the sugar the same instead.",
            ),
            WrongTurn(
                "upside down",
                mass * (1 - wanted.m / now.m),
                "This is the number you get with the two strengths swapped. The new "
                "syrup must weigh more than the old one.",
            ),
        ],
        working="water = mass × (Brix now ÷ Brix wanted − 1)",
        worked=f"{say(mass)} × ({now.m:g} ÷ {wanted.m:g} − 1) = {_four(water)}",
        unit="g",
    )


@question("fault-reuse-label", outcome="fault-reuse", level="decide", safety=True, minutes=4)
def reuse_label(draw: Draw) -> Asked:
    """Decide from a label whether a glaze may be used again."""
    case = draw.one_of("case", ("allergen", "unlabelled", "time", "times"))
    minutes = draw.whole("minutes", 150, 220)
    mass = draw.mass("mass", 350, 900, 50)
    rows = {
        "contents": "milk, soya, gelatin (beef)",
        "meant for": "a cake with milk and soya",
        "out of temperature, in all": "55 min",
        "used again so far": "once; the limit here is twice",
        "sieved": "yes, at once",
    } | {
        "allergen": {"contents": "milk, soya, gelatin (beef), hazelnut from the tray"},
        "unlabelled": {"contents": "not written", "used again so far": "not written"},
        "time": {"out of temperature, in all": f"{minutes} min"},
        "times": {"used again so far": "twice; the limit here is twice"},
    }[case]
    why = {
        "allergen": "it holds an allergen that the new cake does not have",
        "unlabelled": "nobody knows what is in it",
        "time": "it was out of temperature longer than the rule allows",
        "times": "it was used again as often as the rule allows",
    }
    look = {
        "allergen": "Compare what is in it with the cake it is meant for.",
        "unlabelled": "Look whether the contents are written.",
        "time": "Compare the time with the limit.",
        "times": "Compare the number of uses with the limit.",
    }
    return Asked(
        [
            ChoicePart(
                "May it be used for this cake? Choose the answer with the right reason.",
                [
                    *(
                        _option(
                            f"No: {reason}",
                            right=name == case,
                            says=""
                            if name == case
                            else "Throwing out is safe, but this is "
                            f"not the reason here. {look[name]}",
                        )
                        for name, reason in why.items()
                    ),
                    _option(
                        "Yes, if it is coloured dark first",
                        says="A dark colour hides the grey and mends nothing else. Go down "
                        "the list of the lesson.",
                    ),
                    _option(
                        "Yes, because it was sieved at once",
                        says="Sieving is one line of the list. Go through the others.",
                    ),
                ],
                worked=f"No: {why[case]}. One such answer is enough. In doubt, throw it out. {LAST}",
                safety=True,
            )
        ],
        stem=f"{say(mass)} of caught glaze is in the fridge. This school's rule: at most "
        "120 min out of temperature, at most two uses after the first.",
        exhibit=Exhibit("Its label", ("entry", "value"), tuple(rows.items())),
    )


_KEEPING = (
    "Sieve it at once",
    "Cool it fast, in a shallow layer",
    "Label it with contents, date and time so far",
    "Lay film on its surface",
)
_SPOILING = {
    "Leave it on the bench overnight, so that its air gets out": "Air can leave in the fridge as "
    "well. Ask what grows on the bench.",
    "Pour it into the tub of fresh glaze, so that none is lost": "Then the whole tub has its "
    "crumbs, its allergens and its time. Keep it apart.",
    "Boil it up for a minute, so that it is as good as new": "Heat does not undo everything that "
    "grew, and it takes water and strength. Ask what keeps it as it is.",
}


@question("fault-keep-what-ran-off", outcome="fault-reuse", level="decide", safety=True, minutes=3)
def keep_what_ran_off(draw: Draw) -> ChoicesPart:
    """What is still to be done with caught glaze before it may be kept."""
    mass = draw.mass("mass", 400, 1200, 100)
    done = draw.one_of("done", tuple(range(len(_KEEPING))))
    bad = draw.shuffled("bad", tuple(_SPOILING))[:2]
    past = (
        "It has been through the sieve.",
        "It is cold.",
        "Its label is written.",
        "It is covered with film.",
    )[done]
    again = (
        "The crumbs are out. Ask what is still missing.",
        "It is cold already. Ask what is still missing.",
        "Its label is written. Ask what is still missing.",
        "It has its film. Ask what is still missing.",
    )[done]
    return ChoicesPart(
        f"{_four(mass)} of milk glaze ran off on to a clean tray, and you want to keep it. {past} "
        "What else must happen? Choose all that apply.",
        [_option(text, right=n != done, says=again) for n, text in enumerate(_KEEPING)]
        + [_option(text, says=_SPOILING[text]) for text in bad],
        marks=3,
        worked=f"Sieve, cool fast, film, label, chill, and keep it apart from fresh glaze. {past} "
        f"{LAST}",
        safety=True,
    )


@question("fault-cracks", outcome="fault-diagnose", level="decide", minutes=3)
def cracks(draw: Draw) -> Asked:
    """Cracks or a dull face: cause and check."""
    case = draw.one_of("case", ("cracks", "dull"))
    grams = draw.mass("gelatin", 18, 26, 2)
    hours = draw.whole("hours", 10, 20)
    rows = {
        "cracks": (
            ("gelatin in the formula", f"{say(grams)} of 160 bloom"),
            ("gelatin weighed in", f"{say(grams)} of 250 bloom"),
            ("kept", "under film, in the fridge"),
            ("between two fingers", "smooth"),
        ),
        "dull": (
            ("gelatin in the formula", f"{say(grams)} of 160 bloom"),
            ("gelatin weighed in", f"{say(grams)} of 160 bloom"),
            ("kept", f"{hours} h open in the fridge"),
            ("between two fingers", "gritty"),
        ),
    }[case]
    seen = {
        "cracks": "Hairline cracks showed when the cake was lifted.",
        "dull": "The glaze is dull and has a skin.",
    }[case]
    return Asked(
        [
            ChoicePart(
                "What is the most likely cause?",
                [
                    _option(
                        "Too firm a set to bend",
                        right=case == "cracks",
                        says="The gelatin was weighed as the formula says. Look at how it "
                        "was kept.",
                    ),
                    _option(
                        "Too dry a surface, and grain",
                        right=case == "dull",
                        says="It was kept under film and is smooth. Look at the two rows on "
                        "gelatin.",
                    ),
                    _option(
                        "Too much frost below the coat",
                        says="Frost lets a coat slide. Compare the two rows on gelatin, then the "
                        "row on keeping.",
                    ),
                    _option(
                        "Too warm a jug, and a coat that was too thin",
                        says="That leaves a bare edge. Compare the two rows on gelatin, then the row "
                        "on keeping.",
                    ),
                ],
                worked=(
                    "A stronger gelatin went in, gram for gram, so the set is too firm to bend. "
                    "Swap by bloom."
                    if case == "cracks"
                    else "It stood open, so its surface dried, and the grit is sugar. Lay film on it."
                ),
            )
        ],
        stem=seen,
        exhibit=Exhibit("What was written down", ("entry", "value"), rows),
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
                "With a thermometer: 31 °C to 34 °C suits every one",
                says="That is common practice for one kind of formula. Ask what a new "
                "formula changes.",
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


@question("fault-dark-hides", outcome="fault-reuse", level="recall", minutes=1)
def dark_hides(draw: Draw) -> ChoicePart:
    """What a dark colour does to left-overs."""
    mass = draw.mass("mass", 300, 900, 100)
    return ChoicePart(
        f"{say(mass)} of left-over marble has turned to one dull shade. What does a dark colour "
        "do for it?",
        [
            _option("It covers up the grey", True),
            _option(
                "It covers up any crumbs as well",
                says="Crumbs stick out of a coat of any colour. Ask what a sieve is for.",
            ),
            _option(
                "It makes the glaze safe for longer",
                says="Colour does nothing to germs or time. Look at what sets the limit.",
            ),
            _option(
                "It keeps allergens from the tray out of the cake",
                says="Allergens stay, seen or unseen. Look at the first points of the list.",
            ),
        ],
        worked="Dark colour hides the grey. Crumbs are sieved out; time and allergens stay as they "
        f"are. {LAST}",
    )
