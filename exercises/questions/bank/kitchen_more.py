"""More questions of Kitchen first, most of them kept from practice: accidents, labels, logs."""

from __future__ import annotations

from calculators import safety
from calculators.units import say
from exercises.questions.draws import Draw
from exercises.questions.parts import Asked, ChoicePart, Exhibit, Option, one_right
from exercises.questions.registry import question

_LAST = safety.LAST_WORD


def _lettered(draw: Draw, kinds: tuple[str, ...]) -> dict[str, str]:
    """Return a letter for each kind, in drawn order of the letters."""
    return dict(zip(kinds, draw.shuffled("letters", "ABCDEF"[: len(kinds)]), strict=True))


# --- what can hurt? -----------------------------------------------------------------

_ACCIDENTS = {
    "shock": (
        "{who} stands stiff with one hand on the humming stick blender and says nothing. "
        "Warm glaze has run over the bench and drips on a shoe.",
        "Cut the current at the wall before anybody reaches out",
        "That is for somebody whom electricity holds. Ask what this person is touching.",
    ),
    "scald": (
        "{who} has pulled the film off a hot tub, and steam went over one wrist. The lead of the "
        "blender lies in the wet beside it; its plug hangs free.",
        "Cool tap, at once, and there it stays for 20 minutes",
        "That is for skin that heat has burnt. Ask whether heat is what does the harm here.",
    ),
    "frozen": (
        "{who} came from the sink to lift a steel ring, and two fingers will not come off it. "
        "The freezer door stands open, and its light flickers.",
        "Lukewarm water over both until they part by themselves",
        "That loosens skin from cold metal. Ask what keeps this person where they are.",
    ),
    "breath": (
        "{who} has shaken out a bag of fine colour and now wheezes at every breath. Some of the "
        "colour lies on a hand, which has gone red with it.",
        "Out of the room into fresh air, and somebody fetches help",
        "That is for a chest that fine dust has upset. Ask where the harm sits here.",
    ),
    "swelling": (
        "{who} has tasted a praline glaze from a spoon. Some minutes later lips and eyelids "
        "swell. The spoon had stood in the hot jug.",
        "Their own adrenaline pen if they carry one, then the emergency number",
        "That is for an allergy that may close the throat. Ask what has changed in this face.",
    ),
}


@question(
    "kitchen-what-first",
    outcome="kitchen-hazards",
    level="decide",
    use="assessed",
    safety=True,
    minutes=2,
)
def what_first(draw: Draw) -> ChoicePart:
    """An accident with a second thing that looks bad: what comes first?"""
    case = draw.one_of("case", tuple(_ACCIDENTS))
    who = draw.one_of("who", ("A first-year", "Your neighbour", "A visitor", "A kitchen porter"))
    happened, first, _ = _ACCIDENTS[case]
    return ChoicePart(
        f"{happened.format(who=who)} What do you do first?",
        one_right({name: (text, says) for name, (_, text, says) in _ACCIDENTS.items()}, case),
        marks=2,
        worked=f"{first}. What does the harm decides what comes first. {_LAST}",
        safety=True,
    )


_STOP = (
    (
        "blends 1.5 kg of warm glaze in a jug of 1.5 l, guard covered",
        "The jug is all but full, and a full jug throws hot glaze.",
    ),
    (
        "has switched the blender off and picks a lump from its blade with a spatula",
        "It is off, but not unplugged, and a thumb is enough to start it.",
    ),
    (
        "warms set glaze in the microwave in short bursts, the lid of the tub clipped shut",
        "Steam has nowhere to go in a closed tub.",
    ),
    (
        "stirs cold cream into a caramel that still bubbles over the flame",
        "What is cold boils up at once in a pan that has not calmed down.",
    ),
    (
        "brushes spilt icing sugar off the bench, beside a gas flame",
        "Dry brushing makes a cloud, and a cloud of dust can burn.",
    ),
    (
        "says hot, lifts the pan of syrup and walks round two crates to the rack",
        "The word was said, but the way is not clear.",
    ),
)
_GO_ON = (
    (
        "boils syrup to 118 °C in long sleeves, a bowl of cold water beside the hob",
        "Very hot, and protected as it should be. Ask who is less well protected.",
    ),
    (
        "holds a reddened hand under the tap, for a quarter of an hour now",
        "That is first aid at work, and it goes on. Ask where the next accident is coming.",
    ),
    (
        "gives hot water by the spoon to a caramel that is off the heat and calm, arms away",
        "Off the heat, calm, little by little: nothing is missing there. Look further.",
    ),
    (
        "has pulled the plug and now scrapes out the head of the blender",
        "Without its plug the blade can't start. Look for a machine that can.",
    ),
    (
        "calls out, puts on dry gloves and goes into the walk-in freezer",
        "Somebody knows, and the hands are dry. Look for a station where something is missing.",
    ),
    (
        "warms glaze in an open bowl in the microwave, 20 s at a time, and stirs",
        "Open, short, stirred: the spots are dealt with. Look at the other stations.",
    ),
)


@question(
    "kitchen-stop-which",
    outcome="kitchen-hazards",
    level="decide",
    use="assessed",
    safety=True,
    minutes=3,
)
def stop_which(draw: Draw) -> Asked:
    """Four stations at work: which one is stopped at once?"""
    bad, why = draw.one_of("bad", _STOP)
    rows = [(bad, True, ""), *((t, False, s) for t, s in draw.shuffled("good", _GO_ON)[:3])]
    rows = draw.shuffled("stations", rows)
    return Asked(
        [
            ChoicePart(
                "You may call out to one of them. Whom do you stop?",
                [Option(f"Station {n}", right, says) for n, (_, right, says) in enumerate(rows, 1)],
                marks=2,
                worked=f"The one who {bad}. {why} {_LAST}",
                safety=True,
                keep_order=True,
            )
        ],
        stem="It is a quarter past ten, and four people are at work.",
        exhibit=Exhibit(
            "What you see",
            ("station", "what somebody does there"),
            [(str(n), r[0]) for n, r in enumerate(rows, 1)],
        ),
    )


_CHANGES = {
    "way": (
        "Warn aloud, and have everybody who carries something stand still",
        "Look at who moved in that minute, and what each of them could know.",
    ),
    "calm": (
        "Let the pan fall quiet first, then add in spoonfuls",
        "Look at what the pan was doing when something went into it.",
    ),
    "jug": (
        "Share it over two vessels and blend one after the other",
        "Look at how high it stood before the motor ran.",
    ),
    "floor": (
        "Mop it dry and shout, before the next pair of shoes comes",
        "Look at what lay under the feet, and for how long.",
    ),
}


@question(
    "kitchen-near-miss",
    outcome="kitchen-hazards",
    level="decide",
    use="assessed",
    safety=True,
    minutes=4,
)
def near_miss(draw: Draw) -> Asked:
    """An accident book: which change would have prevented it?"""
    case = draw.one_of("case", tuple(_CHANGES))
    hot = draw.temperature("hot", 109, 119)
    start = draw.whole("minute", 2, 40)
    clock = [f"10:{start + n:02d}" for n in (0, 4, 8, 9, 10)]
    told = draw.one_of(
        f"told {case}",
        {
            "way": (
                (
                    "spill at the sink called out and wiped up",
                    f"syrup at {say(hot)}, off the hob, no more bubbles",
                    "the pan is on its way to the rack; a tray of rings comes from the freezer",
                    "both turn the corner of the bench at once; syrup over a sleeve",
                ),
                (
                    "jug of base blended, half full",
                    f"syrup at {say(hot)}, off the hob, no more bubbles",
                    "somebody steps back from the scale with a tub; the pan is passing behind",
                    "elbow against the handle; syrup down one side of the apron",
                ),
            ),
            "calm": (
                (
                    "spill at the sink called out and wiped up",
                    f"sugar at {say(hot)}, cream from the fridge measured into a jug",
                    "flame turned off, cream poured in while the sugar still foams",
                    "the foam climbs over the edge and on to a hand",
                ),
                (
                    "pan carried to the bench, word given, way clear",
                    f"sugar shows {say(hot)}, too far; a cup of water is fetched",
                    "the cup goes in at one go; there are still bubbles",
                    "it spits as far as the chin",
                ),
            ),
            "jug": (
                (
                    "hot pan carried to the bench, everybody warned",
                    f"syrup came off at {say(hot)} and was left to calm down",
                    "2.4 kg of base poured into the jug of 2 l, blender set in",
                    "switched on for a second; base on both forearms",
                ),
                (
                    f"syrup of {say(hot)} poured over chocolate, a minute's wait",
                    "a spill called out and wiped up",
                    "the last ladle goes in; the base stands a finger below the rim",
                    "the blender starts under the surface; base over wrist and watch",
                ),
            ),
            "floor": (
                (
                    "base ladled into moulds; some drips beside the rack",
                    f"next syrup at {say(hot)}, off the hob, no more bubbles",
                    "the pan is carried past the rack, word given, corner free",
                    "the carrier goes down on one knee; syrup over the floor",
                ),
                (
                    "rings out of the freezer, frost knocked off beside the hob",
                    f"syrup at {say(hot)}, pan off, bubbles gone",
                    "word given, everybody stands still; the pan is lifted",
                    "a heel slides; syrup over the shin",
                ),
            ),
        }[case],
    )
    change = _CHANGES[case][0]
    return Asked(
        [
            ChoicePart(
                "Which change would have prevented it?",
                one_right(_CHANGES, case),
                marks=2,
                worked=f"{change}. The line before the accident shows what was missing. {_LAST}",
                safety=True,
            )
        ],
        stem="Somebody was burnt this morning.",
        exhibit=Exhibit(
            "From the accident book",
            ("time", "what was written"),
            [*zip(clock, told, strict=False), (clock[4], "cool running water, help sent for")],
        ),
    )


@question(
    "kitchen-ready-to-boil", outcome="kitchen-hazards", level="decide", safety=True, minutes=3
)
def ready_to_boil(draw: Draw) -> Asked:
    """Four stations before the hob goes on: which one may begin?"""
    sleeves = draw.one_of("sleeves", ("long sleeves", "cuffs buttoned"))
    bowl = draw.one_of("bowl", ("bowl of cold water", "basin of cold water"))
    cloth = draw.one_of("cloth", ("dry cloth", "dry gloves"))
    way = draw.one_of("way", ("way to the rack clear", "floor clear as far as the rack"))
    lines = {
        "ready": (f"{cloth}, {way}, {bowl}, {sleeves}, closed shoes", ""),
        "cloth": (
            f"{bowl}, {sleeves}, damp cloth, {way}, closed shoes",
            "Ask what a hot handle does to water in a cloth.",
        ),
        "way": (
            f"closed shoes, {cloth}, {bowl}, {sleeves}, crate on the floor at the corner",
            "Walk its way with empty hands. Ask what you would meet.",
        ),
        "bowl": (
            f"{way}, closed shoes, {sleeves}, {cloth}, empty bowl",
            "Ask with what a burn would be cooled in the first seconds.",
        ),
    }
    letters = _lettered(draw, tuple(lines))
    return Asked(
        [
            ChoicePart(
                "Sugar is to be boiled. Which station may light its flame?",
                [
                    Option(f"Station {letters[kind]}", kind == "ready", says)
                    for kind, (_, says) in sorted(lines.items(), key=lambda x: letters[x[0]])
                ],
                marks=2,
                worked=f"Station {letters['ready']}. At the others something is missing that nobody can "
                f"fetch while sugar burns. {_LAST}",
                safety=True,
                keep_order=True,
            )
        ],
        exhibit=Exhibit(
            "Before the start",
            ("station", "what you see"),
            sorted((letters[kind], seen) for kind, (seen, _) in lines.items()),
        ),
    )


# --- who decides? ---------------------------------------------------------------------

_LATE = {
    "not food": (
        "Leave it out: nothing on it says that it may be eaten",
        "Compare the words on the packet with what a packet of food must say.",
    ),
    "tell": (
        "Use it, once labels and counter name what is new",
        "Ask who could be harmed by what is in it, and what they have been told.",
    ),
    "law": (
        "Leave it out: what is allowed elsewhere is not allowed here",
        "Ask which law holds in this kitchen, and whether it has spoken.",
    ),
    "ask": (
        "Use nothing of it until the person in charge has decided",
        "Ask whether what you know is enough for a yes or a no.",
    ),
}


@question(
    "kitchen-late-change",
    outcome="kitchen-law",
    level="decide",
    use="assessed",
    safety=True,
    minutes=3,
)
def late_change(draw: Draw) -> Asked:
    """Something changes an hour before service: in, out, or ask?"""
    case = draw.one_of("case", tuple(_LATE))
    cakes = draw.whole("cakes", 8, 24)
    region = draw.one_of("region", ("EU", "NI"))
    place = safety.REGIONS[region]
    told = {
        "not food": draw.one_of(
            "craft",
            (
                "The gold powder has run out. A jar from the craft shop reads: gold shimmer, "
                "non-toxic, washable.",
                "The silver dust has run out. A jar from the florist reads: silver lustre, for "
                "decoration, 25 g.",
            ),
        ),
        "tell": draw.one_of(
            "allergen",
            (
                "Pork leaf has run out. The leaf in the store room reads: gelatin from fish skin. "
                "Cards were written on Monday.",
                "The plain dark chocolate has run out. The same maker's bar for tonight reads: "
                "cocoa mass, sugar, milk fat. Cards were written on Monday.",
            ),
        ),
        "law": draw.one_of(
            "colleague",
            (
                "A guest chef from overseas brings a sealed jar. It reads: food colour, E 171, with "
                "dose and date, and was bought lawfully at home.",
                "Your school's partner in another country sends its own white. It reads: food "
                "colour, E 171, 10 g to a kilogram.",
            ),
        ),
        "ask": draw.one_of(
            "unclear",
            (
                "A farm sends blue petals for colour. The bag says edible flowers, with name and "
                "date, and nobody here has read whether this flower may colour a cake.",
                "The glucose syrup comes in a new tub. Its sheet names wheat and sulphites "
                "'below the limit', and a guest has written that she reacts to sulphites.",
            ),
        ),
    }[case]
    return Asked(
        [
            ChoicePart(
                "What do you do?",
                one_right(_LATE, case),
                marks=2,
                worked=f"{_LATE[case][0]}. {_LAST}",
                safety=True,
            )
        ],
        stem=f"A kitchen in {place}, an hour before {cakes} cakes go out. {told}",
    )


@question(
    "kitchen-free-of-nuts",
    outcome="kitchen-law",
    level="decide",
    use="assessed",
    safety=True,
    minutes=4,
)
def free_of_nuts(draw: Draw) -> Asked:
    """Four cakes and what was done with jug, sieve and tray: which may be offered?"""
    nut = draw.one_of("nut", ("hazelnuts", "almonds", "pistachios"))
    sure = draw.one_of("sure", (True, True, True, False))
    trace = draw.one_of("trace", ("sieve", "jug", "spatula"))
    lines = {
        "with": (
            f"ground {nut} under the coat, fresh jug",
            "It is made with what the guest can't eat. Read its line once more.",
        ),
        "rinsed": (
            f"plain dark glaze; {trace} of the first cake, rinsed under the tap",
            f"Rinsing leaves what you can't see. Ask where the {trace} had been.",
        ),
        "caught": (
            "white glaze, topped up with what was caught under the rack",
            "Ask what else had dripped on that tray.",
        ),
        "clean": (
            "raspberry glaze; jug and sieve from the dishwasher, all labels read this morning"
            if sure
            else "raspberry glaze; jug and sieve from the dishwasher, stabiliser from a tub without "
            "a label",
            ""
            if sure
            else "Clean tools are one half. Ask what is known of everything that went in.",
        ),
    }
    order = ["with", *draw.shuffled("order", ("rinsed", "caught", "clean"))]
    letters = dict(zip(order, draw.shuffled("letters", "PQRS"), strict=True))
    options = [
        Option(f"Cake {letters[kind]}", kind == "clean" and sure, says)
        for kind, (_, says) in sorted(lines.items(), key=lambda one: letters[one[0]])
    ]
    return Asked(
        [
            ChoicePart(
                "Which of them may be offered to this guest?",
                [
                    *options,
                    Option(
                        "No cake of these four",
                        not sure,
                        "For one of them everything is known and nothing has touched it. Follow each "
                        "tool from cake to cake."
                        if sure
                        else "",
                    ),
                ],
                marks=2,
                worked=(
                    f"Only cake {letters['clean']}: its labels are read and its tools are washed. "
                    if sure
                    else "None: what has no label is not known. "
                )
                + f"A rinse and a shared tray carry traces. {_LAST}",
                safety=True,
                keep_order=True,
            )
        ],
        stem=f"A guest is allergic to {nut}. Four cakes were glazed today, in this order. The rack "
        "went through the dishwasher each time; the tray below it stayed.",
        exhibit=Exhibit(
            "From the bench book",
            ("cake", "coat and tools"),
            [(letters[kind], lines[kind][0]) for kind in order],
        ),
    )


_WORDS = {
    "law": (
        "It stays out, whoever says otherwise",
        "Ask whether anything that was said here is forbidden to everybody.",
    ),
    "house": (
        "You follow the plan on the wall",
        "Ask whether two rules disagree, and which of them asks for more.",
    ),
    "charge": (
        "You fetch whoever runs the shift and wait",
        "Ask whether a rule has answered this already, and whether there is somebody to ask.",
    ),
    "stop": (
        "You put it aside and begin something else",
        "Ask whether there is really nobody left who could decide.",
    ),
}


@question(
    "kitchen-whose-word",
    outcome="kitchen-law",
    level="decide",
    use="assessed",
    safety=True,
    minutes=3,
)
def whose_word(draw: Draw) -> ChoicePart:
    """Law, house, supervisor or your own stop: whose word counts here?"""
    case = draw.one_of("case", tuple(_WORDS))
    hours = draw.duration("hours", 2, 4, 1, "h")
    told = {
        "law": draw.one_of(
            "law",
            (
                "In a school in France a white base wants E 171, and the assistant says: we have "
                f"always taken it, and guests eat in {say(hours)}.",
                "In a school in Spain the owner brings E 171 from a trip and says: I answer for it, "
                f"glaze in {say(hours)}.",
            ),
        ),
        "house": draw.one_of(
            "house",
            (
                f"The law would allow a base {say(hours)} more on the bench. The school's own paper "
                "beside the fridge gives it one hour less. The assistant says: the law is the law.",
                f"A book allows caught glaze {say(hours)} before it is chilled. The school's own paper "
                "beside the fridge says at once. The book is new, the paper is old.",
            ),
        ),
        "charge": draw.one_of(
            "charge",
            (
                "A maker has changed a recipe, and the new label says: may contain traces of egg. "
                "No list in the school says what traces mean for tonight. The chef is next door, "
                f"and there are {say(hours)} left.",
                "A tub of purée arrives with its seal torn and its label whole. No paper in the school "
                f"covers that. The chef is on the telephone, and there are {say(hours)} left.",
            ),
        ),
        "stop": draw.one_of(
            "stop",
            (
                "Yesterday's base has no date and no name. The chef and the assistant are at the "
                f"market and can't be reached for {say(hours)}. Guests come before that.",
                "A jar of red has lost its label. Whoever bought it has left the school, and nobody "
                f"in charge can be reached for {say(hours)}. Guests come before that.",
            ),
        ),
    }[case]
    return ChoicePart(
        f"{told} What happens?",
        one_right(_WORDS, case),
        marks=2,
        worked={
            "law": "E 171 is not authorised in food in the European Union, and no person can "
            "permit it. ",
            "house": "Of two rules the stricter one counts. ",
            "charge": "No rule has answered it, and there is somebody to ask. ",
            "stop": "Nothing is known and nobody can decide: then you stop. ",
        }[case]
        + _LAST,
        safety=True,
    )


# --- the cooling log ---------------------------------------------------------------------


def _readings(*degrees: float) -> str:
    return ", ".join(f"{t:g}" for t in degrees) + " °C"


@question(
    "kitchen-log-trust",
    outcome="kitchen-cooling",
    level="decide",
    use="assessed",
    safety=True,
    minutes=4,
)
def log_trust(draw: Draw) -> Asked:
    """Four logs of one evening: by which of them may a base be judged?"""
    start = draw.whole("start", 76, 82)
    bend = draw.whole("bend", -1, 1)
    lines = {
        "good": (
            _readings(start, 52 + bend, 34 + bend, 23, 16 + bend),
            "tip in the middle of the base; 0 °C in ice today",
            "",
        ),
        "made up": (
            _readings(start - 1, start - 16, start - 31, start - 46, start - 61),
            "tip in the middle of the base; 0 °C in ice today",
            "A pot cools fast at first and ever more slowly. Look at the steps of this one.",
        ),
        "air": (
            _readings(6, 5, 5 + (bend > 0), 4, 5),
            "tip hung in the fridge beside the pot; 0 °C in ice today",
            "Ask what this thermometer was in.",
        ),
        "out": (
            _readings(start + 1, 50 - bend, 33, 21 - bend, 14),
            f"tip in the middle of the base; {3 + (bend > 0)} °C in ice today",
            "Ask what ice and water should make it show, and what follows for each row.",
        ),
    }
    letters = _lettered(draw, tuple(lines))
    return Asked(
        [
            ChoicePart(
                "Which of these logs may you judge its base by, as it is?",
                [
                    Option(f"Log {letters[kind]}", kind == "good", says)
                    for kind, (_, _, says) in sorted(lines.items(), key=lambda x: letters[x[0]])
                ],
                marks=2,
                worked=f"Log {letters['good']}. One of the others falls in even steps, as no pot "
                "does; one shows only the air; one comes from a thermometer that is too far out to "
                f"judge food by. {_LAST}",
                safety=True,
                keep_order=True,
            )
        ],
        stem="Four bases of milk were cooled in stirred ice baths. Each was read every 20 minutes.",
        exhibit=Exhibit(
            "Four logs",
            ("log", "read", "noted beside it"),
            sorted((letters[kind], read, note) for kind, (read, note, _) in lines.items()),
        ),
    )


_NOW = {
    "leave": (
        "Leave it where it is, stir on, read again soon",
        "Follow the readings: where will they be when the time is up?",
    ),
    "move": (
        "Shallow pans and an ice bath now, and go on writing",
        "Ask whether it will cool in time where it is, and whether there is still time.",
    ),
    "out": (
        "Out of use, and tell the person in charge",
        "Ask when the clock began, and whether all of the time is gone.",
    ),
    "check": (
        "Find out what happened between two rows before you judge",
        "Look whether each row can follow from the one before it.",
    ),
}


@question(
    "kitchen-log-next",
    outcome="kitchen-cooling",
    level="decide",
    use="assessed",
    safety=True,
    minutes=4,
)
def log_next(draw: Draw) -> Asked:
    """A log that is still being written: what now?"""
    case = draw.one_of("case", tuple(_NOW))
    hot = draw.temperature("hot", 78, 84)
    by = draw.whole("by", 0, 2)
    place, rows = {
        "leave": ("ice bath, stirred", ((12, 61), (24, 47 + by), (36, 36), (48, 28 + by))),
        "move": ("on the bench, in the deep pot", ((15, 71), (30, 62), (45, 55 + by), (60, 50))),
        "out": ("on the bench, in the deep pot", ((40, 60), (85, 46), (130, 37 + by), (180, 31))),
        "check": ("ice bath, stirred", ((12, 60), (24, 45), (36, 58 + by), (48, 44))),
    }[case]
    room = draw.temperature("room", 23, 27)
    return Asked(
        [
            ChoicePart(
                "What do you do now?",
                one_right(_NOW, case),
                marks=2,
                worked={
                    "leave": "It falls fast and has most of its two hours left. ",
                    "move": "The room is warmer than the aim, so the bench never brings it there; "
                    "but the clock began late, and there is time. ",
                    "out": "The clock began at 60 °C, more than two hours ago. ",
                    "check": "A pot in an ice bath does not get warmer by itself. ",
                }[case]
                + f"{_NOW[case][0]}. {_LAST}",
                safety=True,
            )
        ],
        stem=f"A milk base came off the hob at {say(hot)}. The plan here: from 60 °C down to "
        f"21 °C in two hours. The room is at {say(room)}.",
        exhibit=Exhibit(
            f"The log so far ({place})",
            ("after", "temperature"),
            [("0 min", say(hot)), *((f"{t} min", f"{x} °C") for t, x in rows)],
        ),
    )


@question(
    "kitchen-one-bath",
    outcome="kitchen-cooling",
    level="decide",
    use="assessed",
    safety=True,
    minutes=3,
)
def one_bath(draw: Draw) -> Asked:
    """Four vessels and one ice bath: which goes in first?"""
    base = draw.one_of("base", ("milk", "cream", "fruit purée and cream"))
    deep = draw.one_of("deep", ("one deep pail, lid on", "one tall pot", "one pail, in a cloth"))
    big = draw.quantity("big", 3, 5, 0.5, "kg")
    hot = draw.temperature("hot", 92, 104, 2)
    warm = draw.temperature("warm", 44, 56, 2)
    lines = {
        "deep": (
            f"{say(big)} of base with {base}, {deep}",
            say(warm),
            "",
        ),
        "syrup": (
            f"{say(big)} of plain sugar syrup of 70 %, one deep pail",
            say(hot),
            "It is the hottest. Ask whether germs can do much in so strong a syrup.",
        ),
        "flat": (
            f"{say(big)} of base with {base}, in trays two fingers deep",
            say(warm),
            "Ask how far heat has to travel in this one, compared with the others.",
        ),
        "done": (
            f"{say(big)} of base with {base}, cooked yesterday, just out of the fridge",
            "5 °C",
            "It has been through all that. Ask which of them is still lukewarm.",
        ),
    }
    letters = _lettered(draw, tuple(lines))
    return Asked(
        [
            ChoicePart(
                "The ice bath has room for one of them. Which goes in first?",
                [
                    Option(f"Vessel {letters[kind]}", kind == "deep", says)
                    for kind, (_, _, says) in sorted(lines.items(), key=lambda x: letters[x[0]])
                ],
                marks=2,
                worked=f"Vessel {letters['deep']}: germs grow in it, it is lukewarm, and its middle "
                f"is far from any cold. {_LAST}",
                safety=True,
                keep_order=True,
            )
        ],
        exhibit=Exhibit(
            "What is on the bench",
            ("vessel", "what is in it", "now at"),
            sorted((letters[kind], what, at) for kind, (what, at, _) in lines.items()),
        ),
    )
