"""Questions on faults: what went wrong, water given back, and glaze used again."""

from __future__ import annotations

from calculators import cooling, formula, syrup
from calculators.units import Quantity, q, say
from exercises.questions.draws import Draw
from exercises.questions.parts import (
    Asked,
    ChoicePart,
    ChoicesPart,
    Exhibit,
    Option,
    QuantityPart,
    WrongTurn,
)
from exercises.questions.registry import question

WINDOW = "The window of this glaze is 31 °C to 34 °C."
LAST = "Your local rules and your supervisor come first."


def _option(text: str, right: bool = False, says: str = "") -> Option:
    """Return an option that says what it tells only where it is not the right one."""
    return Option(text, right=right, says="" if right else says)


def _four(value: Quantity) -> str:
    return say(value, digits=4)


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
        stem=f"A coat slid down the wall within an hour. {WINDOW}",
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
        "streaks": {"sieved": "not sieved; poured twice, and spread with a knife"},
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
        stem=f"You see the log before you see the cake. {WINDOW}",
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
                "It makes it safer",
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
