"""More about faults: two suspects in a log, trials on offcuts, and a tub from yesterday."""

from __future__ import annotations

from calculators import formula
from calculators.units import q, say
from exercises.questions.draws import Draw
from exercises.questions.parts import Asked, ChoicePart, Exhibit, QuantityPart, WrongTurn, one_right
from exercises.questions.registry import question

LAST = "Your local rules and your supervisor come first."


# --- water back ---------------------------------------------------------------------------


@question(
    "fault-water-two-warmings",
    outcome="fault-water-back",
    level="carry out",
    use="assessed",
    minutes=6,
)
def two_warmings(draw: Draw) -> Asked:
    """Water went twice, and between the two a part of the glaze was poured."""
    new = draw.mass("new", 1400, 2000, 100)
    first = q(5 * draw.whole("first", 8, 14), "g")
    poured = draw.mass("poured", 500, 800, 50)
    second = q(draw.whole("second", 16, 29), "g")
    warmed = new - first
    stayed = warmed - poured
    now = stayed - second
    share = formula.water_to_give_back(new, warmed, stayed)
    back = share + second
    return Asked(
        [
            QuantityPart(
                "How much water do you give back to what is in the bowl now?",
                answer=back,
                tolerance="0.6 g",
                because="the bench scale shows 1 g",
                marks={"value": 3, "unit": 1},
                wrong_turns=[
                    WrongTurn(
                        "all the water that went",
                        first + second,
                        "This is the number you get by giving back all that steam took. "
                        "A part of the first loss went out with the cakes: which part?",
                    ),
                    WrongTurn(
                        "the last warming only",
                        second,
                        "This is the number you get for the second warming alone. "
                        "What stayed had lost water before: ask how much of it.",
                    ),
                    WrongTurn(
                        "one loss for both",
                        (first + second) * now / (now + poured),
                        "This is the number you get by sharing both losses out alike. "
                        "Ask which of the two happened after the pour.",
                    ),
                    WrongTurn(
                        "all that is missing",
                        new - now,
                        "This is the number you get for everything that left the bowl. "
                        "Most of that is on the cakes.",
                    ),
                ],
                working="water = first loss × stayed / mass after the first warming + second loss",
                worked=f"first loss {say(new, digits=4)} − {say(warmed, digits=4)} = {say(first)}; "
                f"stayed {say(warmed, digits=4)} − {say(poured)} = {say(stayed, digits=4)}\n"
                f"{say(first)} × {say(stayed, digits=4)} / {say(warmed, digits=4)} + {say(second)} "
                f"= {say(back, digits=4)}",
            )
        ],
        stem="All masses are without the bowl.",
        exhibit=Exhibit(
            "One glaze, two days",
            ("When", "Written down"),
            [
                ("Monday, new", say(new, digits=4)),
                ("Monday, warmed", say(warmed, digits=4)),
                ("Monday", f"{say(poured)} poured and not caught; the rest under film, chilled"),
                ("Tuesday, warmed", say(now, digits=4)),
            ],
        ),
    )


@question(
    "fault-too-much-back", outcome="fault-water-back", level="carry out", use="assessed", minutes=5
)
def too_much_back(draw: Draw) -> QuantityPart:
    """Somebody gave back what the whole batch had lost: how much is too much?"""
    before = draw.mass("before", 1400, 1900, 100)
    lost = q(5 * draw.whole("lost", 12, 22), "g")
    kept = draw.mass("kept", 420, 580, 20)
    after = before - lost
    right = formula.water_to_give_back(before, after, kept)
    over = lost - right
    return QuantityPart(
        f"A glaze weighed {say(before, digits=4)} when it was new and {say(after, digits=4)} after "
        f"its last warming. Then most of it was poured, and {say(kept)} stayed. A helper has "
        f"stirred {say(lost)} of hot water into that. By how much is that too much?",
        answer=over,
        tolerance="0.6 g",
        because="the bench scale shows 1 g",
        wrong_turns=[
            WrongTurn(
                "what was right",
                right,
                "This is the number you get for the water that belonged in. "
                "Read again: how much went in on top of that?",
            ),
            WrongTurn(
                "nothing belonged in",
                lost,
                "This is the number you get if the left-over had lost no water. "
                "It was in the pan when the steam went: ask for its share.",
            ),
            WrongTurn(
                "poured mass below",
                lost - lost * kept / (after - kept),
                "This is the number you get by dividing by what was poured. "
                "The steam left the whole batch: ask what that weighed afterwards.",
            ),
        ],
        working="too much = given − (before − after) × kept / after",
        worked=f"{say(lost)} − {say(lost)} × {say(kept)} / {say(after, digits=4)} = "
        f"{say(over, digits=4)}",
    )


# --- what went wrong ------------------------------------------------------------------------

_PITS = {
    "jug": (
        "The blender, just before",
        "Mark every cake out of the second jug, sound or not. Do mark and pits go together?",
    ),
    "fall": (
        "The height of the pour",
        "Mark every cake that was poured from high up. Do mark and pits go together?",
    ),
    "frost": (
        "Frost under the coat",
        "Mark every cake that stood open and was not wiped. Do mark and pits go together?",
    ),
    "sieve": (
        "The sieve left out",
        "Mark every cake without a sieve. Do mark and pits go together?",
    ),
}


@question("fault-six-cakes", outcome="fault-diagnose", level="decide", use="assessed", minutes=6)
def six_cakes(draw: Draw) -> Asked:
    """Six cakes, four columns: which of them goes with the pits?"""
    case = draw.one_of("case", tuple(_PITS))
    order = draw.shuffled("cakes", range(6))
    bad, sound = set(order[:3]), order[3:]
    odd = {case: bad}
    for n, column in enumerate(name for name in _PITS if name != case):
        # each decoy is odd on one pitted cake and on one sound one
        odd[column] = {order[n], sound[n]}
    high = draw.whole("high", 28, 35)
    low = draw.whole("low", 6, 8)
    out = draw.whole("out", 9, 14)
    said = {
        "jug": ("first jug, rested overnight", "second jug, blended just now"),
        "fall": (f"{low} cm", f"{high} cm"),
        "frost": ("1 min, wiped", f"{out} min, not wiped"),
        "sieve": ("yes", "no"),
    }
    odd_one = "no sieve" if case == "sieve" else said[case][1]
    rows = [
        (
            f"{n + 1}",
            *(said[column][n in odd[column]] for column in _PITS),
            "pits" if n in bad else "smooth",
        )
        for n in range(6)
    ]
    names = ", ".join(str(n + 1) for n in sorted(bad))
    return Asked(
        [
            ChoicePart(
                "Which cause explains the pits best?",
                one_right(_PITS, case),
                marks=3,
                worked=f"Cakes {names} are pitted. Only one column is odd on these and on no "
                f"other: {odd_one}. Each of the others is odd on a smooth cake as well. "
                f"{_PITS[case][0]}.",
            )
        ],
        stem="Six cakes of one batch, poured one after the other by two people. Each of the four "
        "habits below can make pits.",
        exhibit=Exhibit(
            "Cake by cake",
            ("Cake", "Glaze", "Poured from", "Cake open for", "Sieve", "Top"),
            rows,
        ),
    )


_SLID = {
    "frost": (
        "The frost alone let it slide",
        "Look at the trials in which only the frost was taken away. Was that enough, each time?",
    ),
    "heat": (
        "The heat alone let it slide",
        "Look at the trials in which only the jug was cooler. Was that enough, each time?",
    ),
    "either": (
        "Each of the two is enough to let it slide",
        "If either were enough, mending one would never help. Look whether it ever did.",
    ),
    "both": (
        "Only both at once let it slide",
        "If it took both, mending any one would help. Look whether it always did.",
    ),
}


@question("fault-offcuts", outcome="fault-diagnose", level="decide", use="assessed", minutes=6)
def offcuts(draw: Draw) -> Asked:
    """A coat slid; frost and heat were both there, and eight offcuts were tried."""
    case = draw.one_of("case", tuple(_SLID))
    hot = draw.whole("hot", 39, 41)

    def slides(frost: bool, heat: bool) -> bool:
        return {
            "frost": frost,
            "heat": heat,
            "either": frost or heat,
            "both": frost and heat,
        }[case]

    trials = [(frost, heat) for frost in (True, False) for heat in (True, False)] * 2
    rows = []
    for n, place in enumerate(draw.shuffled("order", range(8))):
        frost, heat = trials[place]
        degrees = (hot if heat else 33) + (place % 3 - 1) * 0.4
        grams = 84 + (place * 5) % 9
        rows.append(
            (
                f"{n + 1}",
                f"{grams} g",
                f"{10 + place % 3} min, not wiped" if frost else f"{10 + place % 2} min, wiped",
                f"{degrees:.1f} °C",
                "slid" if slides(frost, heat) else "held",
            )
        )
    return Asked(
        [
            ChoicePart(
                "What do the trials show about that coat?",
                one_right(_SLID, case),
                marks=3,
                worked="Sort the trials into four heaps: wiped or not, hot or not. "
                f"{_SLID[case][0]}.",
            )
        ],
        stem=f"A coat slid off a cake that had not been wiped, from a jug at {hot} °C. Next day "
        "the same glaze is tried on frozen offcuts.",
        exhibit=Exhibit(
            "Eight offcuts",
            ("Trial", "Offcut", "Open for", "Jug, stirred", "Coat"),
            rows,
        ),
    )


_PATH = {
    "rim": (
        "It went round the edge before the middle",
        "That closes inwards and shuts air in. Ask what it would leave, and where.",
    ),
    "stop": (
        "It was broken off and begun once more",
        "Then glaze lies on glaze that had set. Ask what it would leave, and where.",
    ),
    "high": (
        "It fell from too far above",
        "A long fall splashes and drags air along. Ask what it would leave, and where.",
    ),
    "blade": (
        "It was smoothed when it had set",
        "A blade takes off what no longer flows. Ask what it would leave, and where.",
    ),
}


@question(
    "fault-path-of-the-pour", outcome="fault-diagnose", level="decide", use="assessed", minutes=5
)
def path_of_the_pour(draw: Draw) -> Asked:
    """What somebody saw of a pour names two doubtful habits; the coat shows which one it was."""
    case = draw.one_of("case", tuple(_PATH))
    other = draw.one_of("other", tuple(name for name in _PATH if name != case))
    width = draw.one_of("width", (16, 18, 20))
    coat = draw.one_of("coat", (0.2, 0.21, 0.23, 0.24))
    far = draw.whole("far", 25, 35)
    near = draw.whole("near", 6, 9)
    here = (case, other)
    notes = [
        "at the rim" if "rim" in here else "in the centre, then outwards",
        f"{far if 'high' in here else near} cm over the cake",
        f"{draw.whole('halves', 2, 3)} goes" if "stop" in here else "one go",
        f"palette knife, {draw.whole('late', 30, 60)} s later"
        if "blade" in here
        else "top left alone",
    ]
    seen = {
        "rim": "a ring-shaped seam half way in, a blister inside it; sides well covered",
        "stop": "a straight step across the top, and behind it a wall half bare",
        "high": "small pits all over, and drops on the card around the foot",
        "blade": "one flat stripe, thinner than the rest, that ends at the edge",
    }[case]
    return Asked(
        [
            ChoicePart(
                "Which habit left what is seen here?",
                one_right(_PATH, case),
                marks=2,
                worked=f"Seen: {seen}. Two of the notes are doubtful, and only one of them leaves "
                f"that. {_PATH[case][0]}. One stroke does: centre, outwards in a spiral, one slow "
                "lap just inside the rim, from 5 to 10 cm, then hands off.",
            )
        ],
        stem=f"A frozen round cake of {width} cm, wiped, glazed by a trainee.",
        exhibit=Exhibit(
            "What a second trainee wrote down",
            ("What", "Noted"),
            [
                ("jug, stirred", f"{draw.whole('jug', 32, 33)} °C, sieved"),
                ("start", notes[0]),
                ("height", notes[1]),
                ("poured in", notes[2]),
                ("afterwards", notes[3]),
                ("coat, weighed", f"{coat} g/cm²"),
                ("on the cake", seen),
            ],
        ),
    )


# --- used again? ------------------------------------------------------------------------------


@question(
    "fault-reuse-four-tubs",
    outcome="fault-reuse",
    level="decide",
    use="assessed",
    safety=True,
    minutes=6,
)
def four_tubs(draw: Draw) -> Asked:
    """Four tubs of left-over glaze, one cake: which tub may go on it?"""
    a, b, c = (5 * draw.whole(name, 3, 6) for name in ("a", "b", "c"))  # 45 to 90 min in all
    times = f"{a} min, {b} min, {c} min"
    over = f"{a + 40} min, {b + 35} min, {c} min"
    clean = "tray and film, sieved at once"
    tubs = [
        (("milk, soya, beef gelatin", clean, times, "once"), ""),
        (
            ("milk, soya, beef gelatin", clean, over, "once"),
            "Add up all its days, and compare the total with this school's rule.",
        ),
        draw.one_of(
            "holds",
            (
                (
                    ("milk, soya, almond, beef gelatin", clean, times, "once"),
                    "Compare what is in it with what the cake already has.",
                ),
                (
                    ("milk, soya, fish gelatin", clean, times, "once"),
                    "Read what sets it, and ask whether the cake has that already.",
                ),
                (
                    ("white glaze, the usual one", clean, times, "once"),
                    "Ask who could tell a guest what is in it.",
                ),
            ),
        ),
        draw.one_of(
            "else",
            (
                (
                    ("milk, soya, beef gelatin", clean, f"{a} min, not noted, {c} min", "once"),
                    "Ask what is known of its second day.",
                ),
                (
                    ("milk, soya, beef gelatin", "bench top, sieved at once", times, "once"),
                    "Ask what lay under the rack when it was caught.",
                ),
                (
                    ("milk, soya, beef gelatin", clean, times, "three times"),
                    "Ask how often this school lets a glaze come back.",
                ),
                (
                    ("milk, soya, beef gelatin", "tray and film, sieved next day", times, "once"),
                    "Ask when the crumbs were taken out of it.",
                ),
            ),
        ),
    ]
    order = draw.shuffled("order", (0, 1, 2, 3))
    right = order.index(0)
    return Asked(
        [
            ChoicePart(
                "Which tub may go on it?",
                one_right({n: (f"Tub {'PQRS'[n]}", tubs[order[n]][1]) for n in range(4)}, right),
                marks=3,
                keep_order=True,
                worked=f"Tub {'PQRS'[right]}: {a} min + {b} min + {c} min = {a + b + c} min, the "
                "same allergens as the cake, caught clean and sieved at once, used again once. "
                f"Each other tub fails by one line, and one is enough. {LAST}",
                safety=True,
            )
        ],
        stem="A chocolate mousse cake with milk, soya and beef gelatin is to be glazed dark. This "
        "school's rule: no more than 2 h out of temperature on all days in total, and no more than "
        "two uses after the first. Each tub was chilled between its days and looks and smells as it should.",
        exhibit=Exhibit(
            "Four tubs",
            ("Tub", "Contents", "Caught on", "Out of temperature", "Used again"),
            [("PQRS"[n], *tubs[order[n]][0]) for n in range(4)],
        ),
    )


_TUB = {
    "keep": (
        "It may be used today, and goes in the bin after that",
        "Go through the two days for contents, time and cold. Is there really nothing against it?",
    ),
    "time": (
        "It goes in the bin, since it was warm for too long",
        "Add up every stretch out of the cold on both days before you say so.",
    ),
    "contents": (
        "It goes in the bin, for what has come into it",
        "Look at every place where glaze met tray, tool or tub before you say so.",
    ),
    "gap": (
        "It goes in the bin, for nobody knows how it was kept",
        "Look whether each hour of the two days has somebody who read it before you say so.",
    ),
}


@question(
    "fault-reuse-two-days",
    outcome="fault-reuse",
    level="decide",
    use="assessed",
    safety=True,
    minutes=6,
)
def two_days(draw: Draw) -> Asked:
    """The diary of one tub: may it be used, and if not, why not?"""
    case = draw.one_of("case", tuple(_TUB))
    start = draw.whole("start", 5, 20)
    held = draw.whole("held", 30, 38)
    more = draw.whole("more", 24, 32)
    later = draw.whole("later", 30, 38) if case == "time" else draw.whole("soon", 10, 18)
    if case == "time":
        held, more = held + 8, more + 14
    total = held + more + later
    night = {
        "gap": "power off, back on at 6; the recorder has no line for it",
        "time": "power off for 5 min; the recorder shows 4 °C throughout",
    }.get(case, "the recorder shows 4 °C throughout")
    beside = {
        "contents": "caught on the tray that the praline cakes had dripped on",
        "time": "caught on clean film, sieved at once",
    }.get(case, "caught on clean film, sieved at once; praline cakes on another rack")
    why = {
        "keep": f"In all it was out of the cold for {total} min, nothing came into it, and every "
        "hour was read.",
        "time": f"{held} min + {more} min + {later} min = {total} min, more than the rule allows.",
        "contents": "Praline is nuts, and the tray was wet with it. The new cake has none.",
        "gap": "For some hours nobody knows how warm it was, and then the longest time counts.",
    }

    def clock(hour: int, minute: int) -> str:
        return f"{hour + minute // 60}:{minute % 60:02d}"

    rows = [
        (f"Monday, {clock(10, start)}", "out of the fridge, warmed and poured"),
        (f"Monday, {clock(10, start + 8)}", beside),
        (f"Monday, {clock(10, start + held)}", "at 5 °C again, in a bath, stirred"),
        ("Monday night", night),
        (f"Tuesday, {clock(9, start)}", "out of the fridge, warmed and poured, caught clean"),
        (f"Tuesday, {clock(9, start + more)}", "at 5 °C again"),
        (f"Tuesday, {clock(14, start)}", "out of the fridge, being warmed"),
        (f"Tuesday, {clock(14, start + later)}", "now: ready to pour"),
    ]
    return Asked(
        [
            ChoicePart(
                "What do you decide about this tub?",
                one_right(_TUB, case),
                marks=3,
                worked=f"{why[case]} {_TUB[case][0]}. {LAST}",
                safety=True,
            )
        ],
        stem="A milk glaze without nuts, for a cake without nuts. This school's rule: above 5 °C "
        "for at most 90 min on all days in total, and the third pour is the last.",
        exhibit=Exhibit("The diary of one tub", ("When", "What"), rows),
    )


_LEFT = {
    "grey": (
        "Colour it dark, on the same kind of cake",
        "That mends one thing only. Ask whether its colour is all that is wrong with this one.",
    ),
    "crumbs": (
        "Warm it, strain it, then use it as it is",
        "That takes out what is solid. Ask whether something solid is all that is wrong here.",
    ),
    "thick": (
        "Give it hot water by weight, then try a spoon",
        "That mends a glaze which steam made thick. Look whether this one has lost anything.",
    ),
    "out": (
        "Put it in the waste, and write that down",
        "Nothing is mended by that but a doubt. Look for an entry that leaves no other way.",
    ),
}


@question(
    "fault-reuse-what-for",
    outcome="fault-reuse",
    level="decide",
    use="assessed",
    safety=True,
    minutes=5,
)
def what_for(draw: Draw) -> Asked:
    """A left-over with a blemish: what does it need, or is it waste?"""
    case = draw.one_of("case", tuple(_LEFT))
    new = draw.mass("new", 800, 1200, 50)
    lost = draw.one_of("lost", (0.05, 0.06, 0.07)) if case == "thick" else 0.005
    now = q(round(new.m * (1 - lost)), "g")
    minutes = 5 * draw.whole("minutes", 6, 11)
    trouble = draw.one_of(
        "trouble",
        (
            ("smell", "a little sour, for a glaze without acid"),
            ("lid", "found open, a wet knife in it"),
            ("label", "the ink has run: day and contents can't be read"),
        ),
    )
    looks = {
        "grey": "dull violet from three shades; smooth",
        "crumbs": "its own ivory; sponge from the cakes in it",
        "thick": "its own ivory; smooth, falls in folds at 33 °C",
        "out": draw.one_of("looks", ("dull violet; smooth", "its own ivory; smooth")),
    }[case]
    rows = [
        ("label", "milk, soya, beef gelatin; Monday"),
        ("lid", "shut, film on the glaze"),
        ("smell", "of vanilla"),
        ("caught on", "clean film"),
        ("time out of temperature", f"{minutes} min; the rule here is 120 min"),
        ("when caught, and now", f"{say(new, digits=4)}, {say(now, digits=4)}"),
        ("looks", looks),
    ]
    if case == "out":
        rows = [(what, trouble[1] if what == trouble[0] else found) for what, found in rows]
    why = {
        "grey": "Only the shade is spoilt: dark hides that, and hides nothing else.",
        "crumbs": "Crumbs come out through a sieve, once it is liquid. Dark would not hide them.",
        "thick": f"It has lost {say(new - now)} of water, which is weighed back in.",
        "out": f"One doubt is enough: {trouble[0]}, {trouble[1]}. No colour, sieve or water "
        "mends that.",
    }
    return Asked(
        [
            ChoicePart(
                "What do you do with this tub?",
                one_right(_LEFT, case),
                marks=2,
                worked=f"{why[case]} {_LEFT[case][0]}. {LAST}",
                safety=True,
            )
        ],
        stem="A left-over from Monday, for cakes with milk, soya and beef gelatin.",
        exhibit=Exhibit("The tub", ("What", "Found"), rows),
    )


_FIRST = {
    "caught": (
        "How it was caught",
        "Ask what the glaze touched on its way, and how soon the crumbs were out.",
    ),
    "contents": (
        "What is in it",
        "Put its contents and those of the new cake side by side, word by word.",
    ),
    "time": (
        "Its time out of the cold",
        "Add up its stretches, and then compare them with the rule.",
    ),
    "uses": (
        "How often it came back",
        "Count the pours after the first, and then compare them with the rule.",
    ),
    "nothing": (
        "Nothing stops it",
        "Go through all the lines once more. Does really none of them say no?",
    ),
}


@question("fault-reuse-on-what", outcome="fault-reuse", level="decide", safety=True, minutes=5)
def on_what(draw: Draw) -> Asked:
    """A tub has at most one thing against it: which?"""
    case = draw.one_of("case", tuple(_FIRST))
    days = draw.whole("days", 2, 3)
    each = [draw.whole(f"day {n}", 16, 28) for n in range(4)][: 4 if case == "uses" else days]
    if case == "time":
        each = [minutes + 100 // days for minutes in each]
    nut = draw.one_of("nut", ("almond", "hazelnut", "pistachio"))
    pours = {"uses": "Mon, Tue, Wed, Thu"}.get(case, "Mon, Tue" if days == 2 else "Mon, Tue, Wed")
    rows = [
        (
            "contents",
            f"milk, soya, {nut}, beef gelatin"
            if case == "contents"
            else "milk, soya, beef gelatin",
        ),
        ("new cake has", "milk, soya, wheat, egg, beef gelatin"),
        (
            "caught on",
            draw.one_of("bare", ("the bench, scraped up", "film, sieved the next day"))
            if case == "caught"
            else "film, sieved at once",
        ),
        ("out of the cold", " and ".join(f"{minutes} min" for minutes in each)),
        ("poured", pours),
        ("colour", draw.one_of("colour", ("grey", "as new", "a shade darker"))),
        ("smell", "as it should"),
    ]
    why = {
        "caught": "What lay on the bench, or sat in it until the next day, is in it now.",
        "contents": f"The new cake has no {nut}, so nobody who eats it expects that.",
        "time": f"{' + '.join(str(m) for m in each)} = {sum(each)} min, more than 120 min.",
        "uses": "Four pours are three after the first.",
        "nothing": f"{' + '.join(str(m) for m in each)} = {sum(each)} min; no more allergens than "
        "the cake; caught clean, sieved at once; few enough pours. Colour decides nothing.",
    }[case]
    return Asked(
        [
            ChoicePart(
                "What stops it from being used today, if anything?",
                one_right(_FIRST, case),
                marks=2,
                worked=f"{why} {_FIRST[case][0]}. {LAST}",
                safety=True,
            )
        ],
        stem="A tub of left-over glaze. This school's rule: at most 120 min out of the cold "
        "on all days in total, and two pours after the first.",
        exhibit=Exhibit("Its label", ("Line", "Written down"), rows),
    )
