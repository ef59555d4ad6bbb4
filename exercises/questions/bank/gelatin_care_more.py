"""More about gelatin in the pan: the week's block, doubtful readings, what killed the set."""

from __future__ import annotations

from calculators.units import number, say
from exercises.questions.draws import Draw
from exercises.questions.parts import Asked, ChoicePart, Exhibit, QuantityPart, WrongTurn, one_right
from exercises.questions.registry import question


@question("gelatin-care-week-block", outcome="gelatin-soak", level="carry out", use="assessed")
def week_block(draw: Draw) -> Asked:
    """A block for the whole class, with what stays in the tub."""
    benches = draw.whole("benches", 4, 7)
    dry = draw.mass("dry", 9, 17, step=0.5)
    ratio = draw.whole("ratio", 5, 6)
    stays = draw.percent("stays", 5, 15, step=5)
    keep = 1 - stays.m / 100
    block = benches * dry * (1 + ratio) / keep
    water = block * ratio / (1 + ratio)
    return Asked(
        [
            QuantityPart(
                "What must the block weigh?",
                answer=block,
                tolerance="1 % of the answer",
                because="what stays in the tub is known no better than that",
                wrong_turns=[
                    WrongTurn(
                        "nothing stays in the tub",
                        block * keep,
                        "This is the number you get if all of the block reaches the benches. "
                        "Look again at what the tub keeps.",
                    ),
                    WrongTurn(
                        "gelatin for block",
                        block / (1 + ratio),
                        "This is the number you get for dry gelatin alone. "
                        "Ask yourself what else is in a block.",
                    ),
                    WrongTurn(
                        "water for block",
                        water,
                        "This is the number you get for the water alone. "
                        "Ask yourself how many parts a block has in all.",
                    ),
                ],
                working="block = benches × gelatin × (1 + ratio) / (1 − share that stays)",
                worked=f"{benches} × {say(dry)} × (1 + {ratio}) / {number(keep)} = "
                f"{say(block, digits=4)}",
            ),
            QuantityPart(
                "How much of that is water?",
                answer=lambda given: given["a"] * ratio / (1 + ratio),
                tolerance="1.5 % of the answer",
                because="the block may be rounded",
                wrong_turns=[
                    WrongTurn(
                        "divided by the ratio",
                        lambda given: given["a"] / ratio,
                        "This is the number you get by dividing by the parts of water. "
                        "Count the parts of the whole block, then take those of water.",
                    ),
                    WrongTurn(
                        "the gelatin in it",
                        lambda given: given["a"] / (1 + ratio),
                        "This is the number you get for the gelatin. "
                        "Ask yourself which of the two is the greater share.",
                    ),
                ],
                working="water = block × ratio / (1 + ratio)",
                worked=f"{say(block, digits=4)} × {ratio} / {1 + ratio} = {say(water, digits=4)}",
            ),
        ],
        stem=f"You make gelatin mass for {benches} benches: one part of gelatin to {ratio} parts "
        f"of water. Each bench needs {say(dry)} of dry gelatin for its glaze. Of the block, "
        f"{say(stays)} stays in the tub and on the knife.",
    )


# --- cool enough, and what if not ---------------------------------------------------


@question("gelatin-care-pan-log", outcome="gelatin-heat", level="decide", use="assessed")
def pan_log(draw: Draw) -> Asked:
    """A base that cools: which reading is the first that lets the gelatin in?"""
    before = draw.whole("before", 1, 3)  # entries that are too hot
    trap = draw.one_of("trap", ("rim", "surface"))
    start = draw.whole("start", 0, 8)
    hot = (draw.whole("first", 99, 103), draw.whole("second", 91, 95), 87)[:before]
    good = draw.whole("good", 66, 72)
    how = {
        "rim": "probe at the rim, not stirred",
        "surface": "probe just under the surface, not stirred",
    }[trap]
    notes = ("off the hob", "stirred, in the middle", "stirred, in the middle")
    rows = [*zip(hot, notes, strict=False), (draw.whole("false", 71, 77), how)]
    rows += [
        (good, "condensed milk in, stirred, in the middle"),
        (good - draw.whole("fall", 6, 9), "stirred, in the middle"),
    ]
    if before < 3:
        rows.append((draw.whole("late", 38, 44), "stirred, in the middle"))
    if before < 2:
        rows.append((draw.whole("last", 29, 33), "still, a skin on top"))
    after = (5 * n for n in range(before + 3))
    clock = [start + m for m in (*after, 5 * before + 35, 5 * before + 75)][: len(rows)]
    times = [f"{9 + m // 60}:{m % 60:02d}" for m in clock]
    right = before + 1
    says = [
        f"At {times[0]} it had only just left the hob. Ask what a base that hot does to gelatin.",
        *(
            f"{hot[n]} °C is what the whole pan had at {times[n]}. Ask how long the gelatin would be in "
            f"such heat, {'for a start' if n == 1 else 'even now'}."
            for n in range(1, before)
        ),
        f"Look how it was read at {times[before]}, and ask what the middle of the pan had then.",
        "",
        f"It would do at {times[right + 1]}. Ask whether an entry before it does as well.",
        "It might still melt there. Ask what was gained by waiting as long as this.",
        "Nobody stirred this one, and it is cool. Ask what a soaked leaf does there.",
    ]

    options = {n: (f"at {time}", says[n]) for n, time in enumerate(times)}
    return Asked(
        [
            ChoicePart(
                "The soaked gelatin is ready. At which entry is it first safe to stir it in?",
                one_right(options, right),
                marks=2,
                keep_order=True,
                worked=f"At {times[before]} only the {'rim' if trap == 'rim' else 'surface'} "
                "was read, and it cools first: the middle was hotter. The next reading is "
                f"stirred, {good} °C, below 80 °C and far above where gelatin stays in lumps: "
                f"at {times[right]}.",
            )
        ],
        exhibit=Exhibit(
            "The pan, as it was written down",
            ("Time", "Reads", "How it was read"),
            [
                (time, f"{celsius} °C", note)
                for time, (celsius, note) in zip(times, rows, strict=True)
            ],
        ),
    )


@question("gelatin-care-what-now", outcome="gelatin-heat", level="decide", use="assessed")
def what_now(draw: Draw) -> Asked:
    """Four kinds of pan: which one is this, and what is done with it?"""
    case = draw.one_of("case", ("plate", "on", "lumps", "first"))
    room = draw.whole("room", 19, 25)
    grams = draw.mass("grams", 12, 22, step=1)
    heat, stood, state, waiting = {
        "plate": (draw.whole("hot", 91, 96), draw.whole("long", 20, 35), "stirred in", "none"),
        "on": (draw.whole("warm", 60, 69), draw.whole("short", 6, 14), "stirred in", "none"),
        "lumps": (draw.whole("cool", 29, 32), draw.whole("while", 5, 12), "strings", "none"),
        "first": (
            draw.whole("boiled", 88, 97),
            draw.whole("just", 1, 3),
            "soaked, ready",
            draw.one_of("cold", ("cold condensed milk", "chocolate from the shelf")),
        ),
    }[case]
    texts = {
        "plate": (
            "Cool it, set a spoonful, then judge its strength",
            "This is for gelatin that may have suffered. Ask what heat it met, and for how long.",
        ),
        "on": (
            "Go on as planned: what it lost needs no mending",
            "Go through heat and time of this pan again, and ask whether the gelatin is melted.",
        ),
        "lumps": (
            "Warm it to about 60 °C, stir it, pass it through a sieve",
            "This is for gelatin that has not melted. Ask what a base must have to melt it.",
        ),
        "first": (
            "Stir in what is still missing, read again, only then add it",
            "This is for a base that still has something to take. Look what is left on the bench.",
        ),
    }
    why = {
        "plate": f"{stood} min at {heat} °C took a part of the strength, and nobody knows how "
        "much. A spoonful on a cold plate shows it; more gelatin follows by the square root.",
        "on": f"{heat} °C is between the two ends, and {stood} min there take next to nothing.",
        "lumps": f"At {heat} °C soaked gelatin does not melt: the strings are gelatin.",
        "first": f"{heat} °C is too hot, and {waiting} cools it without waiting.",
    }
    return Asked(
        [
            ChoicePart(
                "What do you do next?",
                one_right(texts, case),
                marks=2,
                worked=f"{why[case]} {texts[case][0]}.",
            )
        ],
        stem=f"A milk base, {say(grams)} of gelatin, and a class that wants to go home.",
        exhibit=Exhibit(
            "The note beside the pan",
            ("Line", "Written down"),
            [
                ("base, stirred", f"{heat} °C"),
                ("has been so for", f"{stood} min"),
                ("gelatin", state),
                ("still to go in", waiting),
                ("room", f"{room} °C"),
                ("cakes", "frozen, wrapped"),
            ],
        ),
    )


@question(
    "gelatin-care-doubtful-probe", outcome="gelatin-heat", level="decide", use="assessed", minutes=5
)
def doubtful_probe(draw: Draw) -> Asked:
    """The pan is read with a thermometer that errs: what is it really, and so?"""
    case = draw.one_of("case", ("now", "wait", "warm", "other"))
    off = draw.one_of("off", (5, 6, 7))
    read, shift = {
        "now": (draw.whole("reads now", 82, 84), off),  # in truth 75 to 79
        "wait": (draw.whole("reads wait", 78, 79), -off),  # in truth 83 to 86
        "warm": (draw.whole("reads warm", 36, 37), off),  # in truth 29 to 32
        "other": (draw.whole("reads other", 60, 70), 0),
    }[case]
    ice, boil = (shift, 100 + shift) if case != "other" else (off, 100 - off)
    again = {
        "other": (read + draw.whole("jump", 14, 19), read - 9),
    }.get(case, (read, read))
    texts = {
        "now": (
            "Stir the gelatin in now",
            "Put the reading right by ice and boiling water, then ask again whether it melts "
            "and keeps there.",
        ),
        "wait": (
            "Let the base cool further, then stir it in",
            "Ask which way this thermometer errs: is the pan really hotter than it reads?",
        ),
        "warm": (
            "Warm the base gently, then stir it in",
            "Ask whether soaked gelatin would melt at what the pan really has.",
        ),
        "other": (
            "Fetch another thermometer before anything else",
            "A thermometer that is always wrong by as much can be put right. Is this one?",
        ),
    }
    real = read - shift
    told = {
        "now": f"It reads {off} °C too high in ice and in boiling water, so the pan is at "
        f"{real} °C: below the guide value of 80 °C.",
        "wait": f"It reads {off} °C too low in ice and in boiling water, so the pan is at "
        f"{real} °C: above the guide value of 80 °C.",
        "warm": f"It reads {off} °C too high in ice and in boiling water, so the pan is at "
        f"{real} °C, and gelatin stays in lumps there.",
        "other": "It errs upwards in ice, downwards in boiling water, and jumps in one pan: "
        "no correction holds.",
    }[case]
    return Asked(
        [
            ChoicePart(
                "What do you do?",
                one_right(texts, case),
                marks=3,
                worked=f"{told} {texts[case][0]}.",
            )
        ],
        stem="A milk base in a kitchen at the sea. The soaked gelatin is ready.",
        exhibit=Exhibit(
            "What this thermometer showed today",
            ("In", "Reads"),
            [
                ("melting ice, stirred", f"{number(ice)} °C"),
                ("water at a full boil", f"{boil} °C"),
                ("the base, stirred", f"{read} °C"),
                ("the base, stirred, ten seconds later", f"{again[0]} °C"),
                ("the base, stirred, ten seconds after that", f"{again[1]} °C"),
            ],
        ),
    )


@question("gelatin-care-whose-pan", outcome="gelatin-heat", level="decide", minutes=5)
def whose_pan(draw: Draw) -> Asked:
    """Four benches have soaked their gelatin: whose pan is ready for it?"""
    good = draw.one_of(
        "good",
        (
            (f"{draw.whole('good one', 62, 74)} °C, stirred", "milk"),
            (f"{draw.whole('good two', 56, 66)} °C, stirred", "milk and chocolate"),
            (f"{draw.whole('good three', 58, 70)} °C, stirred", "raspberry, boiled"),
        ),
    )
    bad = draw.shuffled(
        "bad",
        (
            (
                (f"{draw.whole('hot', 86, 94)} °C, stirred", "milk"),
                "Ask what gelatin loses there, and how long this pan takes to cool.",
            ),
            (
                (f"{draw.whole('rim', 64, 72)} °C at the rim", "milk"),
                "Ask where this one was read, and what the rest of the pan has.",
            ),
            (
                (f"{draw.whole('cool', 28, 32)} °C, stirred", "milk and chocolate"),
                "Ask what a soaked leaf does in a base like this one.",
            ),
            (
                (f"{draw.whole('pine', 56, 64)} °C, stirred", "pineapple, warmed once"),
                "The heat is right here. Ask what else in this pan would meet the gelatin.",
            ),
        ),
    )
    pans = [(good, ""), *bad[:3]]
    order = draw.shuffled("order", (0, 1, 2, 3))
    right = order.index(0)
    return Asked(
        [
            ChoicePart(
                "At which bench may the gelatin go in now?",
                one_right({n: (f"Bench {n + 5}", pans[order[n]][1]) for n in range(4)}, right),
                marks=2,
                keep_order=True,
                worked=f"Bench {right + 5}: {good[0]}, {good[1]}. Stirred and read in the middle, it "
                "is between the two ends, and nothing in it cuts gelatin.",
            )
        ],
        exhibit=Exhibit(
            "Four pans",
            ("Bench", "Reads", "Base"),
            [(f"{n + 5}", *pans[order[n]][0]) for n in range(4)],
        ),
    )


# --- what killed the set ----------------------------------------------------------------

_SOFT = {
    "heat": (
        "The time it was kept hot",
        "Ask how much heat and time gelatin bears, and whether these two batches differ enough.",
    ),
    "acid": (
        "The moment at which the juice went in",
        "Ask how hot the base was when it became sour, on each of the two days.",
    ),
    "fruit": (
        "The state of the fruit in it",
        "Ask on each day whether the fruit had ever been heated.",
    ),
    "water": (
        "The water that came with the gelatin",
        "Add up what the gelatin brought on each day, and ask whether anybody weighed it.",
    ),
}


@question(
    "gelatin-care-two-batches", outcome="gelatin-killers", level="decide", use="assessed", minutes=5
)
def two_batches(draw: Draw) -> Asked:
    """A firm batch and a soft one differ in everything: which difference matters?"""
    killer = draw.one_of("killer", tuple(_SOFT))
    name = draw.one_of("fruit", ("pineapple", "kiwi", "papaya"))
    dry = draw.mass("dry", 14, 20, step=1)
    brought = 5 * dry.m
    late = draw.whole("late", 36, 42)
    hold = draw.whole("hold", 8, 15)
    firm = {
        "heat": f"{hold} min at 64 °C",
        "acid": f"lemon, in at {late} °C",
        "fruit": f"{name}, from a can",
        "water": f"{number(brought)} g, weighed",
    }
    harmless = {
        "heat": f"{hold + 9} min at 68 °C",
        "acid": f"lemon, in at {late + 4} °C",
        "fruit": f"{name}, boiled for 2 min",
        "water": f"{number(brought + 2)} g, weighed",
    }
    deadly = {
        "heat": f"{draw.whole('hours', 4, 6)} h at 93 °C",
        "acid": f"lemon, in at {draw.whole('early', 88, 94)} °C, kept there for 40 min",
        "fruit": f"{name}, frozen in pieces and thawed",
        "water": "leaves from a full bowl, squeezed by hand",
    }
    middle = {
        "heat": f"{hold + 12} min at 82 °C",
        "acid": f"lemon, in at {late + 18} °C",
        "fruit": f"{name}, bought fresh, boiled through in pieces",
        "water": f"{number(brought + 30)} g, weighed, and taken off the water in the pan",
    }
    doubtful = draw.one_of("doubtful", tuple(what for what in firm if what != killer))
    soft = {what: (deadly if what == killer else harmless)[what] for what in firm}
    soft[doubtful] = middle[doubtful]
    labels = {
        "heat": "kept hot with the gelatin in",
        "acid": "juice",
        "fruit": "fruit",
        "water": "water in the gelatin",
    }
    seen = {
        "heat": "soft all through",
        "acid": "soft all through",
        "fruit": "ran by the next noon",
        "water": "soft all through",
    }[killer]
    return Asked(
        [
            ChoicePart(
                "Which difference is most likely to explain Thursday?",
                one_right(_SOFT, killer),
                marks=2,
                worked=f"Thursday: {labels[killer]}: {soft[killer]}. The other lines differ too, even "
                f"the one with {soft[doubtful]}, but a set would hardly notice that. "
                f"{_SOFT[killer][0]}.",
            )
        ],
        stem="The same formula on two days. Tuesday's jelly was cut into cubes; Thursday's could "
        "not be.",
        exhibit=Exhibit(
            "Tuesday and Thursday",
            ("", "Tuesday", "Thursday"),
            [
                ("gelatin", f"{say(dry)}, gold", f"{say(dry)}, gold, a new box"),
                *((labels[what], firm[what], soft[what]) for what in firm),
                ("in the fridge", "11 h at 4 °C", "14 h at 5 °C"),
                ("seen", "firm", seen),
            ],
        ),
    )


@question(
    "gelatin-care-four-plans", outcome="gelatin-killers", level="decide", use="assessed", minutes=4
)
def four_plans(draw: Draw) -> Asked:
    """Four plans for a fruit jelly under a glaze: one of them will hold."""
    name = draw.one_of("fruit", ("pineapple", "kiwi", "fig"))
    grams = draw.mass("gelatin", 10, 16, step=1)
    good = draw.one_of(
        "good",
        (
            (f"{name} juice, boiled for 2 min, then cooled to 60 °C", "stirred in then"),
            (f"{name} pieces, boiled until their middle has boiled", "stirred in at 55 °C"),
            (f"{name} purée, its label says pasteurised", "stirred in at 58 °C"),
        ),
    )
    bad = draw.shuffled(
        "bad",
        (
            (
                (f"{name} purée, frozen and thawed, label torn off", "stirred in at 55 °C"),
                "Nobody knows whether this fruit was ever heated. Ask what cold does to an enzyme.",
            ),
            (
                (f"{name} juice, warmed to 45 °C", "twice the usual mass, stirred in at 45 °C"),
                "Ask what goes on cutting in juice that was only warmed, however much "
                "gelatin there is.",
            ),
            (
                (
                    f"{name} and lemon, boiled together with the gelatin",
                    "in from the start, 40 min",
                ),
                "No enzyme is left here. Ask what heat and acid do together.",
            ),
        ),
    )
    cards = [(good, ""), *bad]
    order = draw.shuffled("order", (0, 1, 2, 3))
    right = order.index(0)
    letters = "ABCD"
    return Asked(
        [
            ChoicePart(
                "Which plan do you sign?",
                one_right({n: (f"Plan {letters[n]}", cards[order[n]][1]) for n in range(4)}, right),
                marks=2,
                keep_order=True,
                worked=f"Plan {letters[right]}: {good[0]}, gelatin {good[1]}. The enzyme is gone "
                "before the gelatin comes, and the gelatin meets no great heat.",
            )
        ],
        stem=f"A {name} jelly is to lie under a glaze for a party on Saturday. Four trainees have "
        "each written a plan.",
        exhibit=Exhibit(
            f"Four plans, each with {say(grams)} of gelatin as the usual mass",
            ("Plan", "Fruit", "Gelatin"),
            [(letters[n], *cards[order[n]][0]) for n in range(4)],
        ),
    )


@question("gelatin-care-what-was-seen", outcome="gelatin-killers", level="decide", use="assessed")
def what_was_seen(draw: Draw) -> Asked:
    """The notes leave two causes open; what was seen leaves one."""
    case = draw.one_of("case", ("enzyme", "acid", "water", "lumps"))
    fruit = draw.one_of("fruit", ("pineapple", "kiwi", "papaya"))
    minutes = draw.whole("minutes", 25, 45)
    heat = draw.whole("heat", 86, 93)
    extra = draw.whole("extra", 40, 70)
    dry = draw.mass("dry", 12, 18, step=1)
    facts = {
        "enzyme": f"raw {fruit} laid on top of some of the cakes",
        "acid": f"lemon kept hot with it, {minutes} min at {heat} °C",
        "water": f"soaked gelatin weighed {extra} g more than planned; no water left out for it",
        "lumps": "soaked gelatin put into a base that was not read; sieved afterwards",
    }
    other = {"enzyme": "acid", "acid": "enzyme", "water": "lumps", "lumps": "water"}[case]
    seen = {
        "enzyme": (
            "firm in the evening, runny by noon",
            "runny below the fruit only",
            "not sour",
        ),
        "acid": ("never firm", "the same on every cake", "sour"),
        "water": ("never firm", "the same on every cake", "nothing in the sieve"),
        "lumps": ("never firm", "the same on every cake", "strings like wet glass in the sieve"),
    }[case]
    if other == "acid":  # the decoy: sour, but late and cool
        facts["acid"] = f"lemon stirred in last, {minutes} min at 38 °C"
    texts = {
        "enzyme": (
            "An enzyme went on cutting it for hours",
            "That would work where fruit lies, and go on all night. Compare place and hour.",
        ),
        "acid": (
            "Acid at great heat wore it down early",
            "That would weaken the whole pan, before anything was poured. Compare what was seen.",
        ),
        "water": (
            "Too much liquid made it thinner throughout",
            "That leaves nothing behind but a softer set. See whether anything was left behind.",
        ),
        "lumps": (
            "A share of it stayed behind, unmelted",
            "That would show when the base was strained. See what was found there.",
        ),
    }
    rows = [
        ("gelatin", f"{say(dry)}, gold, in date"),
        *draw.shuffled("facts", [("also noted", facts[case]), ("also noted", facts[other])]),
        ("when", seen[0]),
        ("where", seen[1]),
        ("else", seen[2]),
    ]
    return Asked(
        [
            ChoicePart(
                "What is the most likely cause?",
                one_right(texts, case),
                marks=3,
                worked=f"Two notes could explain a soft set. What was seen decides: {seen[0]}; "
                f"{seen[1]}; {seen[2]}. {texts[case][0]}.",
            )
        ],
        stem="A glaze did not set as it should.",
        exhibit=Exhibit("Notes of that day and the next", ("Line", "Written down"), rows),
    )


@question("gelatin-care-next-time", outcome="gelatin-killers", level="decide", minutes=5)
def next_time(draw: Draw) -> Asked:
    """A dessert that failed, and last week's that did not: what is changed for the next?"""
    case = draw.one_of("case", ("boil", "late", "weigh", "short"))
    fruit = draw.one_of("fruit", ("pineapple", "kiwi", "papaya"))
    early = draw.whole("early", 86, 92)
    long = draw.whole("long", 150, 240)
    brief = draw.whole("brief", 5, 12)
    now = {
        "fruit": f"{fruit}, thawed from the freezer" if case == "boil" else f"{fruit}, canned",
        "lemon": f"in at {early} °C, 30 min there" if case == "late" else "in last, at 38 °C",
        "soaked": "in a bowl, squeezed" if case == "weigh" else "in water by weight",
        "kept warm": f"{long} min at 91 °C" if case == "short" else f"{brief} min at 60 °C",
    }
    # one more entry looks bad, but it was there last week as well
    twice = draw.one_of("twice", tuple(c for c in ("late", "weigh", "short") if c != case))
    where = {"late": "lemon", "weigh": "soaked", "short": "kept warm"}[twice]
    mild = {
        "late": "in at 66 °C, 3 min there",
        "weigh": "in a bowl, squeezed, weighed after",
        "short": f"{brief + 20} min at 78 °C",
    }[twice]
    now[where] = mild
    before = {
        "fruit": f"{fruit}, canned",
        "lemon": "in last, at 40 °C",
        "soaked": "in water by weight",
        "kept warm": f"{brief + 3} min at 62 °C",
    } | {where: mild}
    texts = {
        "boil": (
            "Boil all raw fruit for two minutes first",
            "That helps against an enzyme. Compare the fruit of the two weeks.",
        ),
        "late": (
            "Let sour things wait until it is cool",
            "That spares gelatin from acid in the heat. Compare when the lemon went in.",
        ),
        "weigh": (
            "Know how much liquid each leaf brings",
            "That keeps a set from being thinned. Compare how it was soaked.",
        ),
        "short": (
            "Spare it hours of strong heat",
            "That leaves a set its strength. Compare heat and minutes of the two weeks.",
        ),
    }
    changed = {"boil": "fruit", "late": "lemon", "weigh": "soaked", "short": "kept warm"}[case]
    return Asked(
        [
            ChoicePart(
                "What do you change for next week?",
                one_right(texts, case),
                marks=2,
                worked=f"One entry looks doubtful in both weeks ({where}: {mild}), and last week it "
                f"did no harm. New this week is: {changed}, {now[changed]}. {texts[case][0]}.",
            )
        ],
        stem="A dessert in a glass, set with gelatin. Last week it held, this week it ran.",
        exhibit=Exhibit(
            "Two weeks",
            ("", "Last week, it held", "This week, it ran"),
            [(what, before[what], now[what]) for what in now],
        ),
    )
