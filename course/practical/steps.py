"""The steps of both days."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence

from calculators import blending, cooling, formula, gelatin, mixture, safety, water
from calculators.cooling.time_limits import ON_DISPLAY
from calculators.faults import FaultsError
from calculators.formula import Formula
from calculators.ingredients import Ingredient, ingredient
from calculators.kitchen import Line
from calculators.units import Band, Quantity, number, q, say
from course.practical.amounts import mass_said
from course.practical.model import (
    BOWL,
    BUBBLE,
    HANDS,
    LATE,
    LEFT,
    POUR,
    WARM,
    WINDOW,
    JugRow,
    PlanStep,
    Station,
)
from course.practical.orders import in_stores
from course.practical.times import (
    THICK,
    THICKENS,
    about_so_long,
    bath_time,
    by_itself,
    in_steps,
    jugful,
    one_bath,
    warm_to,
    window_said,
)
from course.scheme.model import Scheme
from exercises.craft.method import INTO_COLD_BATH, WARMER_BATH

# --- steps ---------------------------------------------------------------------------------------


class _Steps:
    """Steps in order: keeps the clock, and knows which hazards were met before."""

    def __init__(self, clocked: bool) -> None:
        self.clocked, self.now = clocked, q(0, "min")
        self.made: list[PlanStep] = []
        self.met: set[str] = set()

    def add(
        self,
        title: str,
        does: Iterable[str],
        *,
        hazards: Sequence[str] = (),
        temperature: str = "",
        lasts: Quantity | None = None,
        because: str = "",
    ) -> None:
        """Add a step; a hazard is told in full where it is met first."""
        new = [name for name in hazards if name not in self.met]
        old = [name for name in hazards if name in self.met]
        self.met.update(hazards)
        starts = self.now if self.clocked else None
        self.made.append(
            PlanStep(
                title,
                tuple(line for line in does if line),
                temperature,
                starts,
                lasts,
                tuple(safety.caution(name) for name in new),
                tuple(safety.caution(name) for name in old),
                because,
            )
        )
        if lasts is not None:
            self.now = self.now + lasts

    def hands(self, name: str, times: int = 1) -> Quantity:
        """Return the minutes of hands for a step."""
        return q(HANDS[name] * times, "min")


def _named(items: Iterable[Line]) -> str:
    return ", ".join(dict.fromkeys(line.ingredient for line in items))


def place_of(item: Ingredient) -> str:
    """Return where an ingredient goes: pan, bowl, gelatin, late."""
    if item.kind == "gelatin":
        return "gelatin"
    if item.kind in LATE:
        return "late"
    return "bowl" if item.kind in BOWL or item.name.startswith("condensed milk") else "pan"


def _kinds(scheme: Scheme) -> dict[str, list[Line]]:
    """Return what is in stores by where it goes."""
    where: dict[str, list[Line]] = {"pan": [], "bowl": [], "gelatin": [], "late": []}
    for line in in_stores(scheme, scheme.formula.mass):
        where[place_of(ingredient(line.ingredient))].append(line)
    return where


def soak_water(scheme: Scheme, glaze: Quantity) -> Quantity | None:
    """Return the water in which the gelatin of a batch is soaked; None without any."""
    lines = [
        line for line in in_stores(scheme, glaze) if ingredient(line.ingredient).kind == "gelatin"
    ]
    if not lines:
        return None
    return gelatin.soak(sum((line.mass for line in lines), q(0, "g")))


def pan(scheme: Scheme) -> mixture.Mixture | None:
    """Return what is boiled: the pan of the formula from these stores, less its soaking water.

    None where nothing goes into a pan, or no water is left in it.
    """
    held = _kinds(scheme)
    whole = Formula(scheme.formula.name, tuple(line for part in held.values() for line in part))
    plain = sum(line.mass.m for line in held["pan"] if line.ingredient == "water")
    soak = soak_water(scheme, scheme.formula.mass)
    kept = min(soak.m, plain) if soak is not None else 0.0
    try:
        made = mixture.pan(whole, [line.ingredient for line in held["pan"]], q(kept, "g"))
        mixture.boil_to(made, mixture.strength(made), scheme.kitchen.altitude)
    except FaultsError:
        return None
    return made


def _pan_boils(scheme: Scheme) -> str:
    """Return where the pan of the formula boils in this kitchen, where that is known."""
    held = pan(scheme)
    if held is None:
        return ""
    reading = mixture.boil_to(held, mixture.strength(held), scheme.kitchen.altitude).reading
    low, typical, high = (
        say(end, places=1) for end in (reading.low, reading.typical, reading.high)
    )
    return (
        f"With the water of the formula in it, it boils at {typical} here ({low} to {high}: "
        "tubs, tables and weather differ). If the scale disagrees, believe the scale."
    )


def day_before_steps(scheme: Scheme, stations: Sequence[Station]) -> tuple[PlanStep, ...]:
    """Return the steps of the day before."""
    steps = _Steps(clocked=False)
    kitchen, where = scheme.kitchen, _kinds(scheme)
    largest = max((s.batch for s in stations), default=q(0, "g"))
    water_boils = water.boiling_point(water.air_pressure(kitchen.altitude))
    steps.add(
        "Freeze the cakes",
        (
            f"All cakes go into the freezer at {say(kitchen.freezer)} and freeze hard "
            "through: overnight.",
            "Cover them as soon as they are hard, so that frost does not grow on them. "
            "Freeze an offcut as well, for the trial pour.",
        ),
        temperature=f"{say(kitchen.freezer)} or colder",
        hazards=("freezer-cold", "slippery-floor"),
    )
    steps.add(
        "Check the thermometers",
        (
            "Stirred ice and water must read 0 °C.",
            f"Boiling water must read {say(water_boils, digits=3)} at "
            f"{say(kitchen.altitude)} above the sea; the weather moves it a little.",
            "Write each error on the thermometer.",
        ),
        temperature=f"0 °C and {say(water_boils, digits=3)}",
        hazards=("steam", "glass-thermometer"),
    )
    steps.add(
        "Weigh out, a tray for each station",
        (
            "The masses are on the page of each station.",
            "Read every label again, and write down what is in the glaze.",
        ),
        hazards=("allergens", "powders"),
    )
    if where["gelatin"]:
        ratio = say(gelatin.SOAK_RATIO.typical)
        steps.add(
            "Soak the gelatin",
            (
                f"In cold water, {ratio} times its mass, taken off the water of the "
                "formula. Add soaking water and gelatin to the base together.",
            ),
            temperature="cold water",
        )
    steps.add(
        "Boil the pan",
        (
            "Only while whoever supervises hot sugar here is in the room.",
            f"Into the pan: {_named(where['pan'])}. Weigh the pan with what is in it.",
            f"Bring it to a full boil and stir until no grain is left. {_pan_boils(scheme)}",
            "Weigh it again. What is missing is water: give it back hot.",
        ),
        hazards=("hot-sugar", "steam"),
        because="the boiling point from all sugars of the pan and the height of the kitchen",
    )
    for technique in formula.gelling(scheme.formula.as_formula()):
        if technique.agent != "gelatin":
            steps.add(
                f"{technique.agent.capitalize()} is another technique",
                (technique.words, f"It sets {technique.sets}.", technique.reuse),
                hazards=("hot-sugar",),
                because=technique.provenance,
            )
    if where["gelatin"]:
        limits = gelatin.good_for_gelatin(q(60, "degC"))
        steps.add(
            "Stir in the gelatin",
            (
                f"Wait until the base is at {say(limits.highest)} or below; hotter, the "
                f"gelatin loses strength. Below {say(limits.lowest)} it leaves streaks.",
                "Stir until no streak is left.",
            ),
            temperature=f"{say(limits.lowest)} to {say(limits.highest)}",
            hazards=("hot-sugar",),
            because=limits.provenance,
        )
    if where["bowl"]:
        steps.add(
            "Pour it over the bowl",
            (f"In the bowl: {_named(where['bowl'])}. Let it stand a minute, then stir.",),
            hazards=("hot-sugar",),
        )
    if where["late"]:
        steps.add(
            "Add what comes late",
            (f"Stir in, off the heat: {_named(where['late'])}.",),
            hazards=("powders",),
        )
    least = blending.smallest_batch(kitchen.jug, kitchen.blade)
    steps.add(
        "Blend without air",
        (
            "Hold the head at the bottom of the jug, a little tilted, and let the air "
            "out before you switch on. Do not lift it while it runs.",
            f"The blade needs {least} in this jug.",
            *too_little(scheme, stations),
        ),
        hazards=("stick-blender", "mains-wet"),
    )
    cold = _cold_bath(scheme, largest)
    steps.add(
        "Cool it fast, cover it, label it",
        (
            cold,
            by_itself(scheme, largest),
            "Lay film onto the glaze itself, so that no skin and no drops form.",
            f"Into the fridge at {say(kitchen.storage)}. Label: what it is, what is in "
            "it, day and hour, whose it is. Write the hour into the log.",
        ),
        temperature=f"{say(kitchen.storage)} in the fridge",
        hazards=("chilling-holding", "allergens"),
        because="bath times from the calculators, with a coefficient from memory",
    )
    return tuple(steps.made)


def too_little(scheme: Scheme, stations: Sequence[Station]) -> list[str]:
    """Return where a batch does not cover the blade, and what to do there."""
    least = blending.smallest_batch(scheme.kitchen.jug, scheme.kitchen.blade).mass
    total = sum((s.batch * len(s.numbers) for s in stations), q(0, "g"))
    told = []
    for station in stations:
        if station.batch >= least:
            continue
        count = math.ceil((least / station.batch).m_as(""))
        step = (
            f"Pool the batches of {count} stations, and share them out after blending"
            if total >= least
            else "Take a narrower jug or a lower guard, or make more: raise spare under [coat]"
        )
        told.append(
            f"{station.name}: {mass_said(station.batch)} does not cover the blade, which "
            f"needs {mass_said(least)}. {step}."
        )
    return told


def _in_jugs(count: int) -> str:
    return f"Divide it into {count} jugs, none more than two thirds full. " if count > 1 else ""


def _cold_bath(scheme: Scheme, glaze: Quantity) -> str:
    if not glaze.m:
        return ""
    count, one = jugful(scheme, glaze)
    way = scheme.cooling
    iced = way.bath.m_as("degC") <= cooling.ICE
    water = (
        "water with ice that does not melt away"
        if iced
        else f"{way.times:g} times its mass of water"
    )
    time = bath_time(
        scheme, one, INTO_COLD_BATH, way.out, way.bath, None if iced else one * way.times
    )
    thick = f" {THICKENS}" if way.out < THICK else ""
    tray = f" Then pour it into trays, {say(way.tray)} deep." if way.tray is not None else ""
    return (
        f"{_in_jugs(count)}Stand each jug in {water} at {say(way.bath)} and stir both: from "
        f"{say(INTO_COLD_BATH)} to {say(way.out)} in {about_so_long(time)}. No drop of the "
        f"bath may get in.{thick}{tray}"
    )


def bench_steps(
    scheme: Scheme, batch: Quantity, cakes: Sequence[int], jugs: Sequence[JugRow]
) -> tuple[PlanStep, ...]:
    """Return the timed steps of one bench, from the first word to the last cloth."""
    steps = _Steps(clocked=True)
    kitchen, window = scheme.kitchen, window_said(scheme)
    many, warm = len(jugs) > 1, warm_to(scheme)
    bath = q(warm.m + WARMER_BATH, "degC")
    steps.add(
        "Begin",
        (
            "Kitchen first: who decides here, where the cold water, the cloths and the "
            "first aid are.",
            "Wash hands. Read the label of the glaze, and name its allergens aloud.",
            "Share out the work: thermometer, jugs, cakes, log.",
        ),
        hazards=("allergens",),
        lasts=steps.hands("briefing"),
    )
    count, one = jugful(scheme, batch)
    rewarm = bath_time(scheme, one, kitchen.storage, warm, bath)
    steps.add(
        WARM,
        (
            f"Write into the log when it leaves the cold. {_in_jugs(count)}Stand it in a bath at "
            f"{say(bath)}, and stir as soon as it lets you: {about_so_long(rewarm)}.",
            "A set glaze can't be stirred at first: cut it into pieces with a spatula.",
            "In a microwave: short bursts, and stir before each reading.",
        ),
        temperature=f"glaze to {say(warm)}",
        hazards=("steam", "microwave", "chilling-holding"),
        lasts=in_steps(rewarm.high),
        because="the slow end of the band",
    )
    rise = blending.temperature_rise(kitchen.blender, q(60, "s"), one, cooling.GLAZE_HEAT)
    steps.add(
        "Blend without air",
        (
            "Head down, air out, then on. Never lift it while it runs.",
            f"A minute at full power warms it by {say(rise, digits=2)} at the most.",
        ),
        hazards=("stick-blender", "mains-wet"),
        lasts=steps.hands("blend"),
        because="power of the blender, all of it as heat: an upper limit",
    )
    steps.add(
        "Rest and sieve",
        (
            _bubbles(scheme, batch),
            "Cover it, keep it warm, then pour it through a sieve.",
        ),
        temperature=f"above {say(scheme.window.high)}",
        lasts=steps.hands("rest"),
        because="viscosity from memory: for comparing, not for the clock",
    )
    if many or jugs[0].colourant:
        small = [jug.name for jug in jugs if jug.too_small]
        steps.add(
            "Share out and colour",
            (
                "Weigh each jug as the table says, and colour it.",
                f"Too little to cover the blade: {', '.join(small)}. Stir with a "
                "spatula, or pool with another station."
                if small
                else "",
                "Judge the colour first, then how it runs.",
            ),
            hazards=("colourants", "powders"),
            lasts=steps.hands("colour"),
        )
    steps.add(
        WINDOW[many],
        (
            f"{'Hold all jugs in one bath' if many else 'Stand the jug in a bath'} at "
            f"{say(_middle(scheme))} and stir{', each with its own spoon' if many else ''}: "
            f"{about_so_long(_down(scheme, jugs))}.",
            one_bath(scheme, batch),
            "Spoon test: it runs off in one sheet and closes over the back of the spoon.",
        ),
        temperature=window,
        hazards=("chilling-holding",),
        lasts=in_steps(_down(scheme, jugs).typical),
        because="for the largest jug",
    )
    if many:
        steps.add(
            "Layer the jugs",
            ("Pour the layers gently onto each other, as the table says. Do not stir.",),
            temperature=window,
            lasts=steps.hands("layer"),
        )
    steps.add(
        "Trial pour",
        (
            "Take only the frozen offcut out, and pour a little over it.",
            "Thin and bare edge: too warm. Thick and ridged: too cold.",
        ),
        temperature=window,
        hazards=("freezer-cold",),
        lasts=steps.hands("trial"),
    )
    grams = cooling.frost(
        kitchen.room,
        kitchen.humidity,
        kitchen.freezer,
        pressure=water.air_pressure(kitchen.altitude),
    )
    steps.add(
        "Take the cakes out, wipe off the frost",
        (
            "Only now, and only as many as you pour at once.",
            f"In this room some {number(grams.typical.m, 2)} g of frost settle on a "
            "square metre in a minute. Wipe it off with a clean glove or a dry cloth: a glaze slides on it.",
            "Rack over a tray or film.",
        ),
        temperature=f"cake at {say(kitchen.freezer)}",
        hazards=("freezer-cold", "slippery-floor"),
        lasts=steps.hands("frost"),
        because="room, humidity and freezer of the scheme; within a third",
    )
    steps.add(
        POUR,
        (
            "Weigh the jug. From 5 to 10 cm above, in one stroke: centre, spiral out, one slow lap "
            "just inside the rim. A ring begins at the edge of its hole. Do not go over it again.",
            _stays(scheme, batch, steps.hands("pour each", sum(cakes)), many),
            f"Outside {window}: stop, warm or cool it, write it down.",
            "Weigh the jug again, and later what ran off: the difference is the coat.",
        ),
        temperature=window,
        hazards=("slippery-floor",),
        lasts=steps.hands("pour each", sum(cakes)),
    )
    dew = cooling.thaws_wet(kitchen.freezer, kitchen.room, kitchen.humidity)
    steps.add(
        "Clean the edge and move the cakes",
        (
            "When it has stopped dripping: draw a knife under the edge, lift with two "
            "palette knives.",
            f"Thaw it in the cold. In this room: {str(dew)[0].lower()}{str(dew)[1:]}.",
            "Write on the label what is in cake and glaze.",
        ),
        temperature=f"{say(kitchen.display)} in the display",
        hazards=("knife", "allergens"),
        lasts=steps.hands("move"),
    )
    steps.add(
        LEFT,
        (
            "Sieve it, weigh it, and write down how often it was used. What is kept is cooled "
            "fast, covered, labelled and dated.",
            _discard(scheme),
        ),
        temperature=f"{say(kitchen.storage)} within the time of your rules",
        hazards=("reuse", "chilling-holding"),
        lasts=steps.hands("left over"),
    )
    steps.add(
        "Clean, dry the floor, sign the log",
        ("Blender unplugged before its head is cleaned. Hot water for sugar.",),
        hazards=("stick-blender", "slippery-floor"),
        lasts=steps.hands("clean"),
    )
    return tuple(steps.made)


def _stays(scheme: Scheme, batch: Quantity, pour: Quantity, many: bool) -> str:
    """Return how long a jug stays in the window on the bench, and what to do for longer."""
    room, window = scheme.kitchen.room, scheme.window
    if room.m >= window.low.m - 1:
        return ""
    one = jugful(scheme, batch)[1]
    (jug,) = cooling.jugs(one, (1,), scheme.kitchen.jug)
    stays = cooling.time_to(window.low, window.high, room, jug.time_constant)
    told = (
        f"On the bench a full jug of {mass_said(one)} falls through the window in about "
        f"{say(stays, 'min', digits=2)}, sooner as it empties"
    )
    if pour < stays / 2:
        return f"{told}: time enough for this pour, if you do not stop."
    keep = (
        "layer only as much at a time as you pour in that, and keep the rest in the bath"
        if many
        else f"stand it in the bath at {say(_middle(scheme))} again before that, and stir"
    )
    return f"{told}; this pour takes {say(pour)}: {keep}."


def _discard(scheme: Scheme) -> str:
    rule, school = cooling.time_rule(scheme.region), scheme.local_rules.discard_after
    told = []
    if rule is not None and rule.counts != ON_DISPLAY:
        told.append(f"The law here gives a warm glaze {rule}.")
    if school is not None:
        told.append(
            f"This school holds a warm glaze for {say(school)} in all; add up the log, both days."
        )
    return " ".join(told) or "Your local rules say how long it may have been warm in all. Ask."


def _middle(scheme: Scheme) -> Quantity:
    return q((scheme.window.low.m + scheme.window.high.m) / 2, "degC")


def _down(scheme: Scheme, jugs: Sequence[JugRow]) -> Band:
    """Return how long the largest jug takes down to the window in one warm bath."""
    largest = max(jugful(scheme, jug.mass)[1] for jug in jugs)
    return bath_time(scheme, largest, warm_to(scheme), scheme.window.high, _middle(scheme))


def _bubbles(scheme: Scheme, batch: Quantity) -> str:
    """Return how long a bubble needs to the top, where the glaze is known to flow."""
    warm = warm_to(scheme)
    try:
        thick = formula.viscosity(scheme.formula.as_formula(), warm).typical
        deep = blending.depth_in_jug(jugful(scheme, batch)[1], scheme.kitchen.jug)
        time = blending.time_to_clear(deep, BUBBLE, thick, blending.GLAZE_DENSITY)
    except FaultsError:
        return ""
    return (
        f"At {say(warm)} a bubble of {say(BUBBLE)} needs some "
        f"{say(time, digits=1)} to the top; one of half the size four times as long."
    )
