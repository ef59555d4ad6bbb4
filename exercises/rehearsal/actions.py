"""The actions of a dry run: each is one small unit, and a new one is a function more.

An action lets time pass, changes what stands on the bench, and tells what a student would
see, read and feel there.  It never tells the hidden state.
"""

from __future__ import annotations

import math
from dataclasses import replace

from calculators.faults import fault_error
from calculators.units import say
from exercises.rehearsal import consequences as follows
from exercises.rehearsal.deeds import (
    FEEL,
    HAND,
    SEE,
    SHOWS,
    Bench,
    Number,
    Shelf,
    StoppedError,
    Word,
    action,
)
from exercises.rehearsal.state import (
    BATH,
    BENCH,
    BOWL,
    FRIDGE,
    JUG,
    ON_CAKES,
    PAN,
    TRAY,
    VESSELS,
    Vessel,
    the,
)

_ANY, _JUGS = Word((JUG, PAN, BOWL, *VESSELS[3:])), Word(VESSELS[2:])
_POTS = Word((PAN, JUG))
PAST = "It is past that already, so you don't wait."
_AWAY = 3.0  # °C beyond the window, from where anybody sees it
_WARMER = 2.0  # °C, that a cook notices after blending
_HALF_PAN = 5.0  # cm, of a pan of 10 cm; more boils over
_NEVER = 0.0  # as a temperature to stop at: only the clock counts


# --- before it is hot -------------------------------------------------------------------


@action("check thermometer", "Check the thermometer in ice water", "thermometer-and-scale")
def check_thermometer(bench: Bench) -> None:
    """Read it in melting ice."""
    bench.wait(180)
    error = round(bench.conditions.thermometer, 1)
    bench.note(thermometer_checked=True, known_error=error)
    bench.say(SHOWS, f"In stirred ice and water it shows {error:.1f} °C. You write that beside it.")


@action("check pan", "Look at the pan: clean, dry, large enough", "what-can-hurt")
def check_pan(bench: Bench) -> None:
    """Look at the pan before it is on the hob."""
    bench.wait(30)
    bench.note(pan_checked=True)
    bench.say(SEE, "The pan is dry, its handle is tight, and the boil has room to rise.")


@action("cold water", "Set a bowl of cold water beside the hob", "what-can-hurt")
def cold_water(bench: Bench) -> None:
    """Have cold water for a burn and for a pan that gets away."""
    bench.wait(30)
    bench.note(water_beside=True)
    bench.say(SEE, "A wide bowl of cold water stands within reach of the hob.")


@action("read box", "Read the grade on the box, and weigh a leaf", "gelatin-grades")
def read_box(bench: Bench) -> None:
    """Weigh a leaf: one of a weaker grade weighs more."""
    bench.wait(60)
    bench.note(box_read=True)
    kitchen, held = bench.conditions.kitchen, bench.conditions.bloom
    label = kitchen.gelatin_bloom.m_as("bloom")
    usual = follows.leaf_weighs(kitchen.gelatin_grade, label)
    leaf = usual * math.sqrt(label / held)
    bench.say(
        SHOWS,
        f"The box says {kitchen.gelatin_grade}. A leaf of that grade weighs about {usual:.1f} g; "
        f"of ten leaves from the box, each weighs {leaf:.1f} g.",
    )


@action(
    "weigh",
    "Weigh",
    "thermometer-and-scale",
    what=Shelf(),
    into=Word((PAN, BOWL, JUG)),
    grams=Number("g", 0.1, 3000, 100),
)
def weigh(bench: Bench, what: str, into: str, grams: float) -> None:
    """Weigh an ingredient; the scale counts in its own steps."""
    step = bench.conditions.kitchen.scale.m_as("g")
    shown = round(grams / step) * step if grams >= step else grams
    dry = follows.kind(what) == "gelatin"
    if dry and into == BOWL and bench[BOWL].grams > 0:
        raise fault_error(
            "The bowl", "has something in it", "", "", "Soak the gelatin with its water"
        )
    new = Vessel(
        lines=((what, shown),),
        celsius=bench.conditions.room,
        swollen=0.0 if dry else 1.0,
        lumps=1.0 if dry else 0.0,
    )
    _pour_in(bench, into, new, melts=dry)
    bench.wait(45)
    bench.say(SHOWS, f"The scale shows {shown:g} g of {what}.")
    if dry and into != BOWL:
        bench.say(SEE, "It is dry: it should be soaked first, or it stays in lumps.")


def _pour_in(bench: Bench, into: str, new: Vessel, *, melts: bool = False) -> None:
    """Put something into a vessel, and say what becomes of what does not melt."""
    old = bench[into]
    both = follows.together(old, new)
    if old.grams > 0:
        spits = follows.number("spits")
        if old.celsius >= spits > new.celsius:
            bench.say(
                SEE,
                "It boils up to the rim and spits hot syrup. A little at a time, with face and "
                "arms away.",
            )
        kinds = {follows.kind(name) for name, _ in both.lines}
        cold = both.celsius < follows.number("chocolate melts")
        if "chocolate" in kinds and cold and _fresh_chocolate(old, new):
            both = replace(both, lumps=max(both.lumps, 0.5))
        if _fresh_chocolate(old, new):
            both = replace(both, streaks=1.0)
        if melts:
            both = replace(both, lumps=min(1.0, max(both.lumps, _unmelted(both, new))))
    bench[into] = both


def _fresh_chocolate(old: Vessel, new: Vessel) -> bool:
    """Whether one of two lots brings chocolate that the other has not."""
    held = [any(follows.kind(n) == "chocolate" for n, _ in lot.lines) for lot in (old, new)]
    return held[0] != held[1]


def _unmelted(both: Vessel, new: Vessel) -> float:
    """Return what stays in lumps as gelatin meets a base, by its soaking and the warmth."""
    low, well = follows.MELTS, follows.number("melts well")
    warm = min(1.0, max(0.0, (both.celsius - low) / (well - low)))
    return 1 - new.swollen * warm


@action(
    "soak",
    "Soak gelatin in cold water",
    "gelatin-care",
    what=Word(("gelatin leaf", "gelatin powder")),
    grams=Number("g", 1, 200, 18),
    water=Number("g", 0, 2000, 90),
    minutes=Number("min", 0, 120, 10),
)
def soak(bench: Bench, what: str, grams: float, water: float, minutes: float) -> None:
    """Soak gelatin in its own water, all of which goes in with it."""
    if bench[BOWL].grams > 0:
        raise fault_error("The bowl", "is full", "", "", "Use what is in it, or throw it away")
    room = bench.conditions.room
    lines = ((what, grams),) + ((("water", water),) if water else ())
    drinks = min(1.0, water / (follows.number("soak water") * grams))
    swollen = drinks * (1 - math.exp(-minutes / follows.number("soaks")))
    bench[BOWL] = Vessel(lines=lines, celsius=room - 6, swollen=swollen, lumps=1.0)
    bench.wait(60 + 60 * minutes)
    leaf = "leaf" in what
    if swollen > 0.8:
        soft = "is soft all through and bends like wet cloth" if leaf else "is one even jelly"
        bench.say(FEEL, f"It {soft}.", "leaf soaked" * leaf)
    elif swollen > 0.4:
        hard = "your fingers find something hard" if leaf else "there are dry grains"
        bench.say(FEEL, f"It is soft outside; in the middle {hard}.")
    else:
        stiff = "is stiff and cracks when it is bent" if leaf else "is dry grains still"
        bench.say(FEEL, f"It {stiff}.", "leaf dry" * leaf)


# --- on the hob and off it ----------------------------------------------------------------


@action(
    "heat",
    "Heat on the hob",
    "boiling",
    vessel=_POTS,
    until=Number("°C", 0, 125, 103),
    minutes=Number("min", 0.5, 40, 20),
)
def heat(bench: Bench, vessel: str, until: float, minutes: float) -> None:
    """Heat until the thermometer shows a temperature, or for so long."""
    bench.filled(vessel, 20)
    if vessel != PAN:
        raise fault_error(the(vessel), "is plastic", "", "", "Heat in the pan, or rewarm in a bath")
    if not bench.state.pan_checked:
        raise StoppedError(
            f"Nobody had looked at the pan. {_unlooked(bench)} Syrup sticks to skin at over 100 °C. "
            "Look at the pan first. Your local rules and your supervisor come first."
        )
    if not bench.state.water_beside:
        raise StoppedError(
            "A splash of syrup hit a wrist and there was no cold water beside the hob. Hot sugar "
            "sticks and goes on burning until it is cooled. Set the bowl of cold water there "
            "first. Your local rules and your supervisor come first."
        )

    def there(now: Vessel) -> bool:
        error = bench.conditions.thermometer - bench.state.known_error
        return until > _NEVER and now.celsius + error >= until

    before = bench[vessel]
    bench[vessel], seconds = follows.heated(
        replace(before, covered=False, place=BENCH), bench.conditions, 60 * minutes, there
    )
    bench.wait(seconds, skip=(vessel,))
    lost = bench[vessel].evaporated - before.evaporated
    bench.say(
        SHOWS, f"The thermometer shows {bench.reads(vessel):.1f} °C after {seconds / 60:.0f} min."
    )
    bench.say(
        SEE,
        "It boils in large slow bubbles and gives off steam."
        if lost > 2
        else "It is hot and does not boil.",
    )


def _unlooked(bench: Bench) -> str:
    """Return what happens to a pan that nobody looked at."""
    depth = bench[PAN].grams / 1.25 / (math.pi / 4 * follows.PAN_WIDTH**2)  # cm
    if depth > _HALF_PAN:
        return "It stood too full: it boiled up and ran over onto the hob."
    return "Its handle was loose: it tipped, and syrup ran onto the hob."


@action("take off", "Take the pan off the hob", "what-can-hurt", hand=HAND)
def take_off(bench: Bench, hand: str) -> None:
    """Take it off and set it on a dry cloth."""
    bench.filled(PAN)
    bench.guard_hand(PAN, hand)
    bench.wait(20)
    bench.say(SEE, "The pan stands on a dry cloth and settles.")


@action("read", "Read the thermometer", "thermometer-and-scale", vessel=_ANY, hand=HAND)
def read(bench: Bench, vessel: str, hand: str) -> None:
    """Stir, wait until it stands still, and read."""
    bench.filled(vessel)
    bench.guard_hand(vessel, hand)
    bench.wait(20)
    shown = bench.reads(vessel)
    known = bench.state.known_error
    more = f" Less its error of {known:.1f} °C that is {shown - known:.1f} °C." if known else ""
    bench.say(SHOWS, f"{shown:.1f} °C.{more}")


@action("weigh vessel", "Weigh a vessel", "how-strong", vessel=_ANY)
def weigh_vessel(bench: Bench, vessel: str) -> None:
    """Weigh what is in it; the vessel's own mass is off."""
    bench.filled(vessel)
    bench.wait(20)
    step = bench.conditions.kitchen.scale.m_as("g")
    bench.say(SHOWS, f"{round(bench[vessel].grams / step) * step:g} g.")


@action("spoon", "Dip a spoon", "pour", vessel=_ANY)
def spoon(bench: Bench, vessel: str) -> None:
    """Dip a warm spoon and draw a line through the coat."""
    held = bench.filled(vessel)
    bench.wait(20)
    bench.say(FEEL, f"{follows.spoon(follows.viscosity(held, bench.conditions)).capitalize()}.")
    _looks(bench, vessel)


def _looks(bench: Bench, vessel: str) -> None:
    held = bench[vessel]
    if held.lumps > 0.05:
        bench.say(
            SEE, "There are lumps in it." if held.lumps > 0.3 else "A few strings and grains show."
        )
    if held.air > 6:
        bench.say(SEE, "It is pale and full of fine bubbles.")
    elif held.air > 2:
        bench.say(SEE, "There are fine bubbles at the wall of the jug.")
    if held.streaks > 0.3:
        bench.say(SEE, "Streaks of melted chocolate swim in it.")
    if held.specks > 0.05:
        bench.say(SEE, "Specks of colour show.")


# --- what goes in -------------------------------------------------------------------------


@action("add gelatin", "Add the soaked gelatin", "gelatin-care", vessel=_POTS, hand=HAND)
def add_gelatin(bench: Bench, vessel: str, hand: str) -> None:
    """Put the gelatin in with all of its water, and stir for a minute."""
    soaked = bench.filled(BOWL)
    bench.filled(vessel, 20)
    bench.guard_hand(vessel, hand)
    bench[BOWL] = Vessel(celsius=bench.conditions.room)
    _pour_in(bench, vessel, soaked, melts=True)
    bench.wait(60)
    bench[vessel] = follows.stirred(bench[vessel], 60)
    _looks(bench, vessel)
    if bench[vessel].lumps <= 0.05:
        bench.say(SEE, "The gelatin is gone into it without a streak.")


@action("combine", "Pour one into the other", "blending", source=_ANY, into=_POTS)
def combine(bench: Bench, source: str, into: str) -> None:
    """Pour all of one vessel into another and stir."""
    if source == into:
        raise fault_error(the(source), "can't be poured into itself", "", "", "Choose two vessels")
    held = bench.filled(source)
    bench[source] = Vessel(celsius=bench.conditions.room)
    if held.celsius >= follows.number("hot steam"):
        bench.say(
            SEE,
            "Steam rises as you pour. Pour slowly, in long sleeves and with your face away, into a "
            "vessel made for such heat: hot syrup splashes and sticks to skin.",
        )
    _pour_in(bench, into, held)
    bench.wait(40)
    both = bench[into]
    if both.celsius >= follows.number("chocolate melts") and not follows.part(both, "gelatin"):
        bench.change(into, lumps=min(both.lumps, 0.3))
    bench[into] = follows.stirred(bench[into], 40)
    bench.say(SEE, f"All of it is in {the(into).lower()}.")
    _looks(bench, into)


@action(
    "stir",
    "Stir",
    "gelatin-care",
    vessel=_ANY,
    minutes=Number("min", 0.5, 10, 1),
    hand=HAND,
)
def stir(bench: Bench, vessel: str, minutes: float, hand: str) -> None:
    """Stir with a spatula: strings of gelatin melt where it is warm enough."""
    held = bench.filled(vessel)
    bench.guard_hand(vessel, hand)
    bench[vessel] = follows.stirred(held, 60 * minutes)
    bench.wait(60 * minutes)
    if " and " in held.colour:
        bench.say(SEE, "The colours run into each other.")
    bench.say(SEE, "It moves as one, equally warm at the wall and in the middle.")
    _looks(bench, vessel)


@action(
    "blend",
    "Blend with the stick blender",
    "blending",
    vessel=_JUGS,
    seconds=Number("s", 5, 600, 60),
    lifted=Number("cm", 0, 12, 0),
)
def blend(bench: Bench, vessel: str, seconds: float, lifted: float) -> None:
    """Blend with the guard so far above the bottom of the jug."""
    held = bench.filled(vessel, 20)
    over = follows.cover_over_guard(held, bench.conditions, lifted)
    if follows.too_full(held, bench.conditions):
        bench.say(SEE, "The jug is more than two thirds full: it splashes over. Blend it in two.")
    bench[vessel] = follows.blended(held, bench.conditions, seconds, lifted)
    bench.wait(seconds, skip=(vessel,))
    if over < 0.3:
        bench.say(SEE, "The blender slurps: a funnel of air reaches down to its blade.", "blade up")
    elif over < 2:
        bench.say(SEE, "The surface turns in a hollow that reaches towards the blade.")
    else:
        bench.say(SEE, "The surface is still and closes over the blender.", "blade under")
    if bench[vessel].celsius - held.celsius >= _WARMER:
        more = bench[vessel].celsius - held.celsius
        bench.say(SHOWS, f"It is {more:.0f} °C warmer than before.")
    _looks(bench, vessel)


@action("sieve", "Pass through a sieve", "blending", vessel=_JUGS)
def sieve(bench: Bench, vessel: str) -> None:
    """Pass it through a fine sieve; what stays in the sieve is lost."""
    held = bench.filled(vessel, 20)
    stays = 2 + 0.03 * held.lumps * held.grams
    kept, lost = follows.taken(held, min(stays, 0.2 * held.grams))
    bench.throw(lost)
    bench[vessel] = replace(
        kept,
        lumps=kept.lumps * (1 - follows.number("sieve holds") / 100),
        specks=kept.specks * (1 - follows.number("sieve holds specks") / 100),
        air=kept.air * (1 - follows.number("air burst by sieve") / 100),
        covered=False,
    )
    bench.wait(90)
    bench.say(
        SEE,
        "Strings and lumps stay in the sieve."
        if held.lumps > 0.05
        else "The sieve stays nearly clean.",
    )


@action("cover", "Lay film on the surface", "shine", vessel=_ANY, hand=HAND)
def cover(bench: Bench, vessel: str, hand: str) -> None:
    """Lay film in contact, so that neither skin nor dew forms."""
    held = bench.filled(vessel)
    bench.guard_hand(vessel, hand)
    bench.change(vessel, covered=True)
    bench.wait(30)
    bench.say(SEE, "The film lies on it without a bubble.")
    if held.celsius >= follows.number("hot steam"):
        bench.say(
            SEE,
            "Steam comes from under its edge. Keep face, fingers and wrists out of it, and open the "
            "film away from you. The box of the film says how hot the film may get.",
        )


# --- cool and warm ------------------------------------------------------------------------


def _until(bench: Bench, name: str, until: float, minutes: float, around: float) -> float:
    """Wait until the thermometer shows a temperature, or for so long; return the seconds.

    Each look is a little before it should be there, by how fast it went so far.  Nobody waits
    for what is behind: a pan in a room of ``around`` °C that is colder already.
    """
    spent, total, stride = 0.0, 60 * minutes, 60.0
    way = 1 if until > bench.believed(name) else -1
    if until > _NEVER and way * (around - bench[name].celsius) < 0:
        return 0.0
    while spent < total - 1e-9:
        here = bench.believed(name)
        gap = way * (until - here)
        if until > _NEVER and gap <= 0.05:
            break
        stride = min(total - spent, stride if until > _NEVER else total)
        bench.wait(stride)
        spent += stride
        pace = way * (bench.believed(name) - here) / stride
        ahead = (gap - pace * stride) / pace if pace > 1e-6 else 600.0
        stride = min(max(0.95 * ahead, 5.0), 600.0)
    return spent


@action(
    "cool",
    "Let it stand",
    "pour",
    vessel=_ANY,
    where=Word((BENCH, BATH, FRIDGE)),
    bath=Number("°C", 0, 90, 20),
    until=Number("°C", 0, 100, 0),
    minutes=Number("min", 0.5, 1440, 10),
)
def cool(bench: Bench, vessel: str, where: str, bath: float, until: float, minutes: float) -> None:
    """Leave a vessel in a place until it shows a temperature, or for so long."""
    bench.filled(vessel)
    bench.change(vessel, place=where)
    if where == BATH:
        bench.note(bath=bath)
    kitchen = bench.conditions.kitchen
    around = {BATH: bath, FRIDGE: kitchen.fridge.m_as("degC")}.get(where, bench.conditions.room)
    spent = _until(bench, vessel, until, minutes, around)
    if where == BATH:
        bench.change(vessel, place=BENCH)
    bench.say(SEE, f"{_time(spent)} later." if spent else PAST)
    if until > _NEVER or minutes < 180:
        bench.say(SHOWS, f"{bench.reads(vessel):.1f} °C in {the(vessel).lower()}.")
    if follows.viscosity(bench[vessel], bench.conditions) > 60 and follows.part(
        bench[vessel], "gelatin"
    ):
        bench.say(FEEL, "It has set: it shakes in one piece.")
    elif not bench[vessel].covered and spent > 1800 and bench[vessel].celsius < 60:
        bench.say(SEE, "A skin wrinkles when you move the vessel.", "skin")


@action(
    "rewarm",
    "Rewarm in a bath, stirring",
    "pour",
    vessel=_ANY,
    bath=Number("°C", 20, 90, 55),
    until=Number("°C", 20, 80, 40),
    minutes=Number("min", 1, 240, 90),
)
def rewarm(bench: Bench, vessel: str, bath: float, until: float, minutes: float) -> None:
    """Warm it in a bath until it shows a temperature, stirring gently."""
    bench.filled(vessel)
    bench.change(vessel, place=BATH)
    bench.note(bath=bath)
    spent = _until(bench, vessel, until, minutes, bath)
    if not spent:
        bench.say(SEE, PAST)
    bench[vessel] = replace(follows.stirred(bench[vessel], spent), place=BENCH)
    bench.say(SHOWS, f"{bench.reads(vessel):.1f} °C after {_time(spent)}.")
    _looks(bench, vessel)


@action(
    "one bath",
    "Hold all jugs in one bath",
    "colour-and-marbling",
    bath=Number("°C", 20, 60, 33),
    minutes=Number("min", 1, 120, 20),
)
def one_bath(bench: Bench, bath: float, minutes: float) -> None:
    """Bring all the jugs to one temperature, and stir each."""
    names = tuple(n for n in _JUGS.words if bench[n].grams > 1)
    if not names:
        raise fault_error("Every jug", "is empty", "", "", "Put something into it first")
    bench.note(bath=bath)
    for name in names:
        bench.change(name, place=BATH)
    bench.wait(60 * minutes)
    for name in names:
        bench.change(name, place=BENCH)
    shown = ", ".join(f"{bench.reads(name):.1f} °C" for name in names)
    bench.say(SHOWS, f"{shown}.")


def _time(seconds: float) -> str:
    return f"{seconds / 3600:.1f} h" if seconds >= 5400 else f"{seconds / 60:.0f} min"


# --- colours ------------------------------------------------------------------------------


@action(
    "split", "Share it out into three jugs", "colour-and-marbling", second=Number("%", 5, 45, 25)
)
def split(bench: Bench, second: float) -> None:
    """Give a share to each of the two other jugs."""
    whole = bench.filled(JUG, 30)
    for name in VESSELS[3:]:
        if bench[name].grams > 0:
            raise fault_error(the(name), "has something in it", "", "", "Pour it back first")
    grams = whole.grams * second / 100
    for name in VESSELS[3:]:
        bench[JUG], share = follows.taken(bench[JUG], grams)
        bench[name] = share
    bench.wait(90)
    bench.say(
        SHOWS,
        f"{grams:.0f} g in each of the two small jugs, {bench[JUG].grams:.0f} g in the large one.",
    )


@action(
    "colour",
    "Colour it",
    "colour-and-marbling",
    vessel=Word((*VESSELS[3:], JUG)),
    kind=Word(("gel or paste", "powder")),
    shade=Word(("pink", "green", "ivory", "dark")),
)
def colour(bench: Bench, vessel: str, kind: str, shade: str) -> None:
    """Stir a colour in with a spatula; its few grams are not counted."""
    held = bench.filled(vessel)
    specks = 0.0
    if kind == "powder":
        warm = held.celsius >= follows.number("powder wets")
        specks = follows.number("powder left warm" if warm else "powder left cold") / 100
    bench.change(vessel, colour=shade, specks=max(held.specks, specks))
    bench.wait(60)
    bench.say(SEE, f"It is {shade}{' with dry specks in it' if specks > 0.3 else ''}.")


@action("layer", "Layer the colours in one jug", "colour-and-marbling")
def layer(bench: Bench) -> None:
    """Pour the colours into the large jug in turns, and do not stir."""
    others = [n for n in VESSELS[3:] if bench[n].grams > 1]
    if not others:
        raise fault_error("Jug 2", "is empty", "", "", "Share it out and colour it first")
    thick = [follows.viscosity(bench[n], bench.conditions) for n in (JUG, *others)]
    for name in others:
        bench[JUG] = follows.together(bench[JUG], bench[name])
        bench[name] = Vessel(celsius=bench.conditions.room)
    bench.cakes = replace(bench.cakes, marble=max(thick) / min(thick))
    bench.wait(60)
    if bench.cakes.marble > 1 + follows.number("notices marble"):
        bench.say(SEE, "One colour sinks through the others; another lies on top like a lid.")
    else:
        bench.say(SEE, "The colours lie beside each other with clean edges.", "layered jug")


# --- the pour -----------------------------------------------------------------------------


@action("take cakes out", "Take the cakes out of the freezer", "pour")
def take_cakes_out(bench: Bench) -> None:
    """Unwrap them on the rack: from now on frost gathers."""
    _bare(bench)
    if not bench.cakes.out:
        bench.cakes = replace(
            bench.cakes,
            out=True,
            celsius=bench.conditions.kitchen.freezer.m_as("degC"),
            frost=bench.conditions.frost,
        )
    bench.wait(60)
    cake = bench.conditions.kitchen.cakes[0]
    sizes = ", ".join(f"{name} {say(size)}" for name, size in cake.sizes.items())
    bench.say(SEE, f"{cake.count} × {cake.shape} on the rack: {sizes}. {_frosty(bench)}")


def _bare(bench: Bench) -> None:
    if bench.cakes.poured:
        ways = "Trim the foot, set them on their boards, or look at the cake"
        raise fault_error("The cakes", "are glazed", "", "", ways)


def _out(bench: Bench) -> None:
    """Ask that the cakes stand on the rack, bare."""
    _bare(bench)
    if not bench.cakes.out:
        raise fault_error("The cakes", "are in the freezer", "", "", "Take them out first")


def _frosty(bench: Bench) -> str:
    if bench.cakes.frost > 20:
        return "White frost lies on the cakes; your glove writes in it."
    return "A breath of frost dulls the cakes." if bench.cakes.frost > 3 else "The cakes are dry."


@action("wipe", "Wipe the cakes with a clean dry glove", "pour")
def wipe(bench: Bench) -> None:
    """Wipe the frost off at the last moment."""
    _out(bench)
    bench.wait(60)
    frost = bench.cakes.frost * follows.number("wipe leaves") / 100
    bench.cakes = replace(bench.cakes, frost=frost)
    bench.say(SEE, _frosty(bench))


@action("trial pour", "Pour a little over a frozen offcut", "pour", vessel=_JUGS)
def trial_pour(bench: Bench, vessel: str) -> None:
    """See on an offcut what the cakes would look like."""
    bench.filled(vessel, 60)
    coat = follows.coat(bench[vessel], bench.conditions, -18)
    bench[vessel], gone = follows.taken(bench[vessel], 30)
    bench.throw(gone)
    bench.wait(60)
    if coat is None:
        bench.say(SEE, "It leaves the spoon in a lump and stays where it fell.")
        return
    grams = coat.coat.typical.m_as("g/cm**2")
    low, high = follows.coat_in_window(bench.conditions)
    notice = follows.number("notices coat")
    how = "even and opaque"
    if grams < low - notice:
        how = "thin, and the edge shows through"
    elif grams > high + notice:
        how = "thick, with a heavy foot"
    warmth = _warmth(bench, vessel)
    bench.say(SEE, f"On the offcut the coat is {how}.")
    if warmth:
        bench.say(SEE, warmth)
    elif follows.waves(coat, bench[vessel], bench.conditions) > 90:
        bench.say(SEE, "The marks of the pour stay in it.")
    _looks(bench, vessel)


def _warmth(bench: Bench, vessel: str) -> str:
    """Return what is seen of a glaze that is poured far too hot or too cold."""
    kitchen, celsius = bench.conditions.kitchen, bench[vessel].celsius
    if celsius >= follows.number("melts cake"):
        return "It runs off like water, and the face of the cake melts under it."
    if celsius > kitchen.window_high.m_as("degC") + _AWAY:
        return "It runs off fast, and the edge shows through."
    if celsius < kitchen.window_low.m_as("degC") - _AWAY:
        return "It falls in folds, and they stay."
    return ""


@action("pour", "Pour over the cakes", "pour", vessel=_JUGS, grams=Number("g", 20, 20000, 1000))
def pour(bench: Bench, vessel: str, grams: float) -> None:
    """Pour in one stroke; what runs off is caught in the tray."""
    held = bench.filled(vessel, 20)
    _out(bench)
    coat = follows.coat(held, bench.conditions, bench.cakes.celsius)
    warmth = _warmth(bench, vessel)
    if coat is None:
        bench.wait(20)
        bench.say(SEE, "It hangs in the jug and does not run. Nothing is on the cakes.")
        return
    rest, out = follows.taken(held, min(grams, held.grams))
    area = follows.area(bench.conditions)
    per_area = coat.coat.typical.m_as("g/cm**2")
    stays = min(per_area * area, 0.9 * out.grams)
    closed = min(1.0, out.grams / follows.need(per_area, bench.conditions))
    off, on = follows.taken(out, stays)
    bench[vessel], bench[ON_CAKES] = rest, on
    bench[TRAY] = follows.together(bench[TRAY], off)
    under = bench.cakes.frost
    minutes, rule = follows.warm_time(held.history, bench.conditions.kitchen.region)
    bench.wait(60)
    bench.cakes = replace(
        bench.cakes,
        poured=True,
        coat=per_area,
        top=coat.top.typical.m,
        rim=coat.rim.typical.m,
        foot=coat.foot.typical.m,
        waves=follows.waves(coat, held, bench.conditions),
        covered=100 * closed,
        sets_after=coat.sets_after.typical.m,
        under=under,
        air=held.air,
        specks=held.specks,
        streaks=held.streaks,
        lumps=held.lumps,
        set_ratio=follows.set_ratio(held, bench.conditions),
        strength=held.strength,
        since=bench.state.clock,
        clock=minutes,
        rule=rule,
    )
    bench.say(
        SEE,
        "The glaze closes over the cakes." if closed > 0.97 else "Bare patches stay at the foot.",
    )
    if warmth:
        bench.say(SEE, warmth)
    if bench.cakes.under > 20:
        bench.say(SEE, "At the wall the coat begins to creep down.")
    _looks(bench, vessel)


@action("tap", "Tap the rack", "pour")
def tap(bench: Bench) -> None:
    """Tap while it is still liquid: waves and bubbles go."""
    _glazed(bench)
    soon = (bench.state.clock - bench.cakes.since) * 60 < bench.cakes.sets_after
    bench.wait(10)
    if soon and not bench.cakes.tapped:
        keeps = follows.number("tap")
        bench.cakes = replace(
            bench.cakes, tapped=True, waves=bench.cakes.waves * keeps, air=bench.cakes.air * keeps
        )
        bench.say(SEE, "A few bubbles burst and the surface draws level.")
    else:
        bench.say(SEE, "Nothing moves any more.")


def _glazed(bench: Bench) -> None:
    if not bench.cakes.poured:
        raise fault_error("The cakes", "are not glazed yet", "", "", "Pour first")


@action("trim", "Trim the foot with a spatula", "pour")
def trim(bench: Bench) -> None:
    """Take the drips off the foot before it sets hard."""
    _glazed(bench)
    if not bench.cakes.trimmed:
        bench[ON_CAKES], gone = follows.taken(bench[ON_CAKES], 0.03 * bench[ON_CAKES].grams)
        bench.throw(gone)
    foot = bench.cakes.foot if bench.cakes.trimmed else 0.7 * bench.cakes.foot
    bench.cakes = replace(bench.cakes, trimmed=True, foot=foot)
    bench.wait(60)
    bench.say(SEE, "The foot is clean and straight.", "trimming")


@action("plate", "Set the cakes on their boards", "pour")
def plate(bench: Bench) -> None:
    """Lift them over with two palette knives."""
    _glazed(bench)
    bench.cakes = replace(bench.cakes, plated=True)
    bench.wait(120)
    bench.say(SEE, "The cakes stand on their boards.")


@action("throw away", "Throw it away", "what-can-hurt", vessel=_ANY)
def throw_away(bench: Bench, vessel: str) -> None:
    """If in doubt, throw it out."""
    bench.throw(bench.filled(vessel))
    bench[vessel] = Vessel(celsius=bench.conditions.room)
    bench.wait(60)
    bench.say(SEE, f"{the(vessel)} is empty, washed and dry.")
