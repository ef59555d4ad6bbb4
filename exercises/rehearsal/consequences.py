"""What follows at the bench: heat, water, gelatin, air, thickness, frost and the coat.

Each function asks the calculators and adds what only a bench adds; those numbers stand in
``calculators/data/rehearsal.csv``.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import replace
from functools import lru_cache

from calculators import blending, coating, gelatin, gelatin_sugar, glaze_flow, gloss, jug
from calculators import mixture as mixtures
from calculators import water as plain_water
from calculators.cooling import GLAZE_HEAT, cooling_log, frost, time_out_of_temperature
from calculators.cooling.moisture import saturated_at
from calculators.faults import FaultsError
from calculators.formula import Formula
from calculators.ingredients import ingredient
from calculators.jug import steps
from calculators.kitchen import Kitchen, Line
from calculators.mixture import Mixture
from calculators.on_the_cake import Coat, poured
from calculators.sources import table
from calculators.units import FROM_MEMORY, Band, Quantity, q
from exercises.rehearsal.state import BATH, BOWL, FRIDGE, PAN, Conditions, Vessel

_TABLE = table("rehearsal")
HEAT = GLAZE_HEAT.m * 1000  # J/kg/K
THIN, STIFF = 0.001, 500.0  # Pa s, water and a gel that hangs in the jug
PAN_WIDTH, BOWL_WIDTH = 20.0, 15.0  # cm
_NO_AIR = 0.02  # percent, that nobody sees
_LEAST = 1.0  # g, of which nothing is worked out
_HOT_PIECE, _COLD_PIECE, _STRIDE = 600.0, 1800.0, 20.0  # s


@lru_cache(maxsize=128)
def number(name: str) -> float:
    """Return a number of the bench by its name in the table."""
    return float(_TABLE[name].quantity.m)


MELTS = table("gelatin_bench")["gel melts"].quantity.m  # °C; below it lumps stay


# --- what is in a vessel ----------------------------------------------------------------


@lru_cache(maxsize=512)
def _formula(lines: tuple[tuple[str, float], ...]) -> Formula:
    return Formula("what is in it", tuple(Line(name, q(g, "g")) for name, g in lines))


def part(vessel: Vessel, *names: str) -> float:
    """Return how many grams of some parts it held as weighed."""
    return _formula(vessel.lines).of(*names) if vessel.lines else 0.0


def water(vessel: Vessel) -> float:
    """Return its water, g."""
    return part(vessel, "water") - vessel.evaporated


@lru_cache(maxsize=512)
def _mixture(lines: tuple[tuple[str, float], ...], evaporated: float) -> Mixture | None:
    try:
        whole = mixtures.glaze(_formula(lines))
        return replace(whole, water=q(whole.water.m_as("g") - evaporated, "g"))
    except FaultsError:
        return None  # dry, or nothing dissolved


def mixture(vessel: Vessel) -> Mixture | None:
    """Return what is dissolved in it; None where there is no syrup."""
    return _mixture(vessel.lines, vessel.evaporated) if vessel.lines else None


def boils(vessel: Vessel, kitchen: Kitchen) -> float:
    """Return where it boils in this kitchen, °C."""
    mix = mixture(vessel)
    if mix is None:
        return float(plain_water.boiling_point(kitchen.altitude).m_as("degC"))
    try:
        return float(mixtures.boiling_point(mix, kitchen.altitude).typical.m_as("degC"))
    except FaultsError:
        return float(plain_water.boiling_point(kitchen.altitude).m_as("degC"))


def activity(vessel: Vessel) -> float:
    """Return its water activity, to the gram of water."""
    return _activity(vessel.lines, float(round(vessel.evaporated)))


@lru_cache(maxsize=512)
def _activity(lines: tuple[tuple[str, float], ...], evaporated: float) -> float:
    mix = _mixture(lines, evaporated) if lines else None
    if mix is None:
        return 1.0
    try:
        return max(0.06, min(1.0, mixtures.water_activity(mix).typical.m))
    except FaultsError:
        return 1.0


def dissolved(vessel: Vessel) -> float:
    """Return the gelatin that holds, g."""
    return part(vessel, "gelatin") * (1 - vessel.lumps)


def _in_water(vessel: Vessel) -> float:
    held = dissolved(vessel)
    return 100 * held / (held + max(water(vessel), 0.1))


def set_ratio(vessel: Vessel, conditions: Conditions) -> float:
    """Return how firm it sets beside the formula as written, a plain number.

    Firmness grows as the square of gelatin in water and as its bloom and strength.
    """
    kitchen = conditions.kitchen
    formula = _formula(tuple((one.ingredient, one.mass.m_as("g")) for one in kitchen.formula))
    wet, dry = formula.of("water"), formula.of("gelatin")
    wanted = kitchen.gelatin_wanted_bloom or kitchen.gelatin_bloom
    if not dry:
        return 1.0
    wet -= number("boiled off") / 100 * sum(formula.grams)
    meant = (dry / (dry + max(wet, 1.0))) ** 2 * wanted.m_as("bloom")
    return (_in_water(vessel) / 100) ** 2 * conditions.bloom * vessel.strength / meant


def sets(vessel: Vessel, conditions: Conditions, cooled: str = gelatin_sugar.SLOW) -> Band | None:
    """Return where it sets; None where there is too little gelatin."""
    share, bloom = _in_water(vessel), conditions.bloom * vessel.strength
    if bloom < 100:
        share, bloom = share * math.sqrt(bloom / 100), 100
    if share < 1:
        return None
    sweet = part(vessel, *_SUGARS)
    brix = 100 * sweet / (sweet + max(water(vessel), 0.1))
    return _setting_point(min(share, 15.0), min(bloom, 250.0), min(brix, 80.0), cooled)


@lru_cache(maxsize=512)
def _setting_point(share: float, bloom: float, brix: float, cooled: str) -> Band:
    return gelatin_sugar.setting_point(
        q(share, "percent"), q(bloom, "bloom"), q(brix, "percent"), cooled
    )


_SUGARS = ("sucrose", "glucose", "fructose", "lactose", "maltose", "glucose syrup")


def viscosity(vessel: Vessel, conditions: Conditions, celsius: float | None = None) -> float:
    """Return how thick it is now, Pa s; stirred, so that a gel is broken."""
    t = vessel.celsius if celsius is None else celsius
    mix = mixture(vessel)
    if mix is None:
        return THIN
    try:
        serum = mixtures.viscosity(mix, q(min(max(t, 0), 100), "degC")).typical.m_as("Pa*s")
    except FaultsError:
        serum = THIN
    fat = part(vessel, "fat")
    litres = max(vessel.grams - fat, _LEAST) / 1350  # a syrup of about two thirds, from memory
    chains = min(dissolved(vessel) * vessel.strength / litres, 120)
    share = min(100 * (fat / 900) / (litres + fat / 900), 40)
    thick = glaze_flow.viscosity(
        q(min(max(serum, THIN), 900), "Pa*s"), q(chains, "kg/m**3"), q(share, "percent")
    ).typical.m_as("Pa*s")
    point = sets(vessel, conditions)
    if point is not None:
        below = point.typical.m_as("degC") - t
        if below > 0:
            thick *= math.exp(min(below / number("thickens"), 20))
    return min(max(thick, THIN), STIFF)


def spoon(thick: float) -> str:
    """Return what a spoon shows of this thickness."""
    if thick > glaze_flow.viscosity_from_spoon("heavy coat").high.m_as("Pa*s"):
        return "hangs on it in lumps and does not run"
    return min(
        glaze_flow.SPOONS,
        key=lambda seen: abs(
            math.log(glaze_flow.viscosity_from_spoon(seen).typical.m_as("Pa*s") / thick)
        ),
    )


# --- time -------------------------------------------------------------------------------


def waited(
    vessel: Vessel,
    name: str,
    conditions: Conditions,
    bath: float,
    seconds: float,
    clock: float = 0.0,
) -> Vessel:
    """Return a vessel after some time where it stands, its temperatures logged."""
    if vessel.grams < _LEAST or seconds <= 0:
        return vessel
    vessel = _off_the_boil(vessel, conditions)
    left = seconds
    while left > 1e-9:
        before = vessel.celsius
        piece = min(left, _HOT_PIECE if before > 45 else _COLD_PIECE)
        vessel = _rested(vessel, name, conditions, bath, piece)
        if abs(vessel.celsius - before) < 0.05 and left > piece:  # it changes no more
            piece = left
        left -= piece
        vessel = logged(vessel, clock + (seconds - left) / 60)
    return vessel


def logged(vessel: Vessel, clock: float) -> Vessel:
    """Write the temperature of milk and gelatin down, as a cooling log does."""
    kinds = {kind(name) for name, _ in vessel.lines}
    if len(kinds) < 2 or not kinds & {"gelatin", "milk"}:
        return vessel
    row = (clock, vessel.celsius)
    if len(vessel.history) > 1 and abs(vessel.history[-2][1] - vessel.celsius) < 0.5:
        return replace(vessel, history=(*vessel.history[:-1], row))
    return replace(vessel, history=(*vessel.history, row))


def _rested(
    vessel: Vessel, name: str, conditions: Conditions, bath: float, seconds: float
) -> Vessel:
    kitchen, wet = conditions.kitchen, max(water(vessel), 0.0)
    width = {PAN: PAN_WIDTH, BOWL: BOWL_WIDTH}.get(name, conditions.jug)
    depth = _depth(vessel, width)
    if depth < 0.06:
        width *= math.sqrt(depth / 0.06)  # a puddle
    held = jug.jug(
        q(vessel.grams, "g"),
        q(width, "cm"),
        "steel" if name in (PAN, BOWL) else "plastic",
        "filmed" if vessel.covered else "open",
        water=q(min(max(100 * wet / vessel.grams, 1), 100), "percent"),
        water_activity=q(activity(vessel), ""),
    )
    room = q(conditions.room, "degC")
    if vessel.place == FRIDGE:
        place = jug.fridge(kitchen.fridge)
    else:
        place = jug.bench(room, kitchen.humidity, plain_water.air_pressure(kitchen.altitude))
        if vessel.place == BATH:
            place = replace(place, bath=q(bath, "degC"))
    began, setting = jug.begin(vessel.celsius, held, place)
    if wet < 0.01 * vessel.grams:
        setting = replace(setting, drying=0.0)
    then = steps.after(began, setting, seconds)
    gone = min(max(1000 * (began.water - then.water), -wet), wet)
    middle = (vessel.celsius + then.celsius) / 2
    skin = 0.0
    if not vessel.covered and middle < 60 and part(vessel, "gelatin") and vessel.place != BATH:
        skin = 1 - math.exp(-seconds / 60 / number("skin forms"))
    cooled = replace(
        vessel,
        celsius=then.celsius,
        evaporated=vessel.evaporated + max(gone, 0.0),
        lumps=max(vessel.lumps, min(1.0, vessel.lumps + 0.05 * skin)),
    )
    return _eased(_weakened(cooled, middle, seconds), conditions, middle, seconds, depth)


def _weakened(vessel: Vessel, celsius: float, seconds: float) -> Vessel:
    """Take off what heat takes from gelatin."""
    if celsius < 45 or not part(vessel, "gelatin"):
        return vessel
    left = gelatin.strength_left(q(min(celsius, 105), "degC"), q(min(seconds / 3600, 24), "h"))
    return replace(vessel, strength=vessel.strength * left.typical.m_as("percent") / 100)


def _eased(
    vessel: Vessel, conditions: Conditions, celsius: float, seconds: float, depth: float
) -> Vessel:
    """Let bubbles rise while it is liquid."""
    if vessel.air < _NO_AIR:
        return replace(vessel, air=0.0)
    thick = viscosity(vessel, conditions, celsius)
    if thick > 50:
        return vessel
    speed = blending.rise_speed(
        q(number("bubble"), "mm"), q(thick, "Pa*s"), blending.GLAZE_DENSITY
    ).m_as("cm/s")
    return replace(vessel, air=vessel.air * math.exp(-min(speed * seconds / max(depth, 0.1), 50)))


def _off_the_boil(vessel: Vessel, conditions: Conditions) -> Vessel:
    """Let the last steam leave a pan that is too near the boil for slow cooling.

    Its heat makes the steam: ``mass * heat * fall = steam * latent heat``.
    """
    most = 0.88 * 1000 * plain_water.air_pressure(conditions.kitchen.altitude).m_as("kPa")
    moist = activity(vessel)
    if moist * saturated_at(vessel.celsius) <= most:
        return vessel
    low, high = 0.0, vessel.celsius
    for _ in range(50):
        middle = (low + high) / 2
        low, high = (middle, high) if moist * saturated_at(middle) < most else (low, middle)
    fall = vessel.celsius - low
    steam = vessel.grams * HEAT * fall / (1000 * plain_water.latent_heat().m_as("kJ/kg"))
    gone = min(steam, 0.5 * max(water(vessel), 0.0))
    return replace(vessel, celsius=low, evaporated=vessel.evaporated + gone)


def _depth(vessel: Vessel, width: float) -> float:
    """Return how deep a glaze stands in a round vessel of a width, both in cm."""
    return float(vessel.grams / blending.GLAZE_DENSITY.m * 1000 / (math.pi / 4 * width**2))


def heated(
    vessel: Vessel, conditions: Conditions, seconds: float, done: Callable[[Vessel], bool]
) -> tuple[Vessel, float]:
    """Return a vessel after some time on the hob, and how long that was.

    ``power * share = mass * heat * rise`` up to the boil, then water leaves.
    """
    share = table("syrup_hob")["electric ring"].quantity.m / 100
    power = conditions.kitchen.hob.m_as("W") * share
    latent = 1000 * plain_water.latent_heat().m_as("kJ/kg")
    spent = 0.0
    while spent < seconds - 1e-9 and not done(vessel):
        stride = min(_STRIDE, seconds - spent)
        limit, wet = boils(vessel, conditions.kitchen), water(vessel)
        if wet < 0.1 * vessel.grams:
            break  # it catches; nobody boils on
        joules = power * stride
        rise = joules / (vessel.grams / 1000 * HEAT)
        if vessel.celsius + rise <= limit:
            vessel = replace(vessel, celsius=vessel.celsius + rise)
        else:
            used = max(0.0, limit - vessel.celsius) * vessel.grams / 1000 * HEAT
            steam = max(0.0, joules - used) / latent * 1000
            vessel = replace(
                vessel, celsius=limit, evaporated=vessel.evaporated + min(steam, 0.1 * wet)
            )
        vessel = _weakened(stirred(vessel, stride), vessel.celsius, stride)
        spent += stride
    return vessel, spent


def stirred(vessel: Vessel, seconds: float) -> Vessel:
    """Return a vessel that was stirred: lumps of gelatin melt in a warm base."""
    t = vessel.celsius
    if t <= MELTS or vessel.lumps <= 0:
        return vessel
    pace = min(2.0, (t - MELTS) / (number("melts well") - MELTS))
    return replace(
        vessel, lumps=vessel.lumps * math.exp(-pace * seconds / number("melts into base"))
    )


def together(first: Vessel, second: Vessel) -> Vessel:
    """Return two lots in one vessel, with the heat of both."""
    a, b = first.grams, second.grams
    if a <= 0:
        return replace(second, place=first.place, covered=False)
    if b <= 0:
        return first
    lines = dict(first.lines)
    for name, grams in second.lines:
        lines[name] = lines.get(name, 0.0) + grams
    ga, gb = part(first, "gelatin"), part(second, "gelatin")

    def mean(x: float, y: float, by: tuple[float, float]) -> float:
        return (x * by[0] + y * by[1]) / (by[0] + by[1])

    gelatins = (ga, gb) if ga + gb > 0 else (1.0, 1.0)
    colours = [
        c for c in dict.fromkeys((*first.colour.split(" and "), *second.colour.split(" and "))) if c
    ]
    return replace(
        first,
        lines=tuple(lines.items()),
        evaporated=first.evaporated + second.evaporated,
        celsius=mean(first.celsius, second.celsius, (a, b)),
        strength=mean(first.strength, second.strength, gelatins),
        swollen=mean(first.swollen, second.swollen, gelatins),
        lumps=mean(first.lumps, second.lumps, (a, b)),
        air=mean(first.air, second.air, (a, b)),
        specks=max(first.specks, second.specks),
        streaks=max(first.streaks, second.streaks),
        colour=" and ".join(colours),
        covered=False,
        history=max(first.history, second.history, key=_warm_span),
    )


def _warm_span(history: tuple[tuple[float, float], ...]) -> float:
    return history[-1][0] - history[0][0] if history else -1.0


def taken(vessel: Vessel, grams: float) -> tuple[Vessel, Vessel]:
    """Return what is left and what was taken."""
    share = min(1.0, grams / vessel.grams) if vessel.grams > 0 else 0.0
    took = tuple((name, g * share) for name, g in vessel.lines)
    kept = tuple((name, g - t) for (name, g), (_, t) in zip(vessel.lines, took, strict=True))
    gone = vessel.evaporated * share
    rest = replace(vessel, lines=kept, evaporated=vessel.evaporated - gone)
    if share == 1.0:
        rest = Vessel(place=vessel.place, celsius=vessel.celsius)
    return rest, replace(vessel, lines=took, evaporated=gone)


# --- the blender ------------------------------------------------------------------------


def cover_over_guard(vessel: Vessel, conditions: Conditions, lifted: float) -> float:
    """Return how much glaze stands over the guard of the blender, cm; below nought is bare."""
    blade = float(conditions.kitchen.blade.m_as("cm"))
    return _depth(vessel, conditions.jug) - blade - lifted


def too_full(vessel: Vessel, conditions: Conditions) -> bool:
    """Return whether a jug is more than two thirds full: no blender belongs into it."""
    return _depth(vessel, conditions.jug) > number("two thirds") * conditions.jug


def leaf_weighs(grade: str, bloom: float) -> float:
    """Return what a leaf weighs, g: by its grade, or by its bloom where that has no leaf."""
    try:
        return float(gelatin.leaves_weigh(q(1, "leaf"), grade).m_as("g"))
    except FaultsError:
        return 2.0 * math.sqrt(200 / bloom)


def blended(vessel: Vessel, conditions: Conditions, seconds: float, lifted: float) -> Vessel:
    """Return a glaze after the stick blender: smooth, warmer, and with air."""
    over = cover_over_guard(vessel, conditions, lifted)
    safe = blending.BLADE_COVER.m_as("cm")
    bare = min(1.0, max(0.0, 1 - over / safe))
    rate = number("air covered") + bare * (number("air drawn") - number("air covered"))
    most = number("most air")
    air = most - (most - vessel.air) * math.exp(-rate * seconds / 60 / most)
    rise = blending.temperature_rise(
        conditions.kitchen.blender, q(seconds, "s"), q(vessel.grams / 1000, "kg"), GLAZE_HEAT
    ).m
    smooth = math.exp(-seconds / number("blends in"))
    warm = vessel.celsius >= number("blends from")
    return replace(
        vessel,
        air=air,
        celsius=min(vessel.celsius + rise, 110.0),
        lumps=vessel.lumps * (smooth if warm else math.sqrt(smooth)),
        specks=vessel.specks * (smooth if warm else 1.0),
        streaks=vessel.streaks * (smooth if warm else math.sqrt(smooth)),
    )


# --- the cakes --------------------------------------------------------------------------


def warmed(celsius: float, conditions: Conditions, seconds: float) -> tuple[float, float]:
    """Return the skin of a cake after some time in the room, and the frost that gathers, g/m²."""
    tau = 60 * number("cake warms")
    then = conditions.room + (celsius - conditions.room) * math.exp(-seconds / tau)
    rate = frost(
        q(conditions.room, "degC"),
        conditions.kitchen.humidity,
        q((celsius + then) / 2, "degC"),
    ).typical.m_as("g/m**2/min")
    return then, rate * seconds / 60


def coat(vessel: Vessel, conditions: Conditions, cake: float) -> Coat | None:
    """Return what coat stays on a cake, or None where the glaze no longer runs."""
    point = sets(vessel, conditions, gelatin_sugar.QUICK)
    thick = viscosity(vessel, conditions)
    if thick > 60:
        return None
    usual = point.typical if point is not None else q(0.5, "degC")
    warm = min(max(vessel.celsius, 15), 80)
    if warm <= usual.m_as("degC") + 0.5:
        return None
    shape = conditions.kitchen.cakes[0]
    return poured(
        q(warm, "degC"),
        q(min(max(cake, -40), 15), "degC"),
        _sure(q(thick, "Pa*s")),
        _sure(usual),
        coating.shape(shape.shape, shape.sizes),
    )


def coat_in_window(conditions: Conditions) -> tuple[float, float]:
    """Return the coats that this kitchen's formula gives at both ends of its window, g/cm²."""
    kitchen = conditions.kitchen
    wanted = kitchen.gelatin_wanted_bloom or kitchen.gelatin_bloom
    as_meant = replace(conditions, bloom=float(wanted.m_as("bloom")))
    key = str(kitchen.__dict__)
    if key not in _IN_WINDOW:
        lines = tuple((one.ingredient, float(one.mass.m_as("g"))) for one in kitchen.formula)
        boiled = sum(g for _, g in lines) * number("boiled off") / 100
        ends = []
        for end in (kitchen.window_high, kitchen.window_low):
            glaze = Vessel(lines=lines, evaporated=boiled, celsius=float(end.m_as("degC")))
            told = coat(glaze, as_meant, kitchen.freezer.m_as("degC"))
            ends.append(told.coat.typical.m_as("g/cm**2") if told else 0.0)
        _IN_WINDOW[key] = (min(ends), max(ends))
    return _IN_WINDOW[key]


_IN_WINDOW: dict[str, tuple[float, float]] = {}


def waves(coat: Coat, vessel: Vessel, conditions: Conditions) -> float:
    """Return how much of a wave is left where it sets, %; what has begun to set keeps it."""
    level = max(coat.waves_on_top.typical.m, coat.waves_on_wall.typical.m)
    point = sets(vessel, conditions)
    below = 0.0 if point is None else point.typical.m_as("degC") - vessel.celsius
    held = 1 - math.exp(-max(below, 0.0) / number("thickens"))
    return level + (100 - level) * held


def _sure(value: Quantity) -> Band:
    return Band(value, value, value, FROM_MEMORY, "one glaze, as it is in this run")


def area(conditions: Conditions) -> float:
    """Return the area of all the cakes, cm²."""
    cake = conditions.kitchen.cakes[0]
    return coating.area(coating.shape(cake.shape, cake.sizes)).m_as("cm**2") * cake.count


def need(per_area: float, conditions: Conditions) -> float:
    """Return the grams that close all cakes with a coat of g/cm², with what runs off.

    Of a coat that is too thin more runs off: it takes as much as one of the window.
    """
    return number("spread") * max(per_area, coat_in_window(conditions)[0]) * area(conditions)


def gloss_units(air: float, specks: float, streaks: float) -> float:
    """Return what a gloss meter would show: air, specks and fat make the surface rough."""
    rough = math.hypot(
        number("smooth"),
        air * number("haze by air"),
        specks * number("haze by specks"),
        streaks * number("haze by streaks"),
    )
    return gloss_of(rough)


def gloss_of(rough: float) -> float:
    """Return what a gloss meter would show on a surface so rough, µm."""
    return gloss.gloss(roughness=q(min(rough, 5), "um")).m


# --- the clock of food safety -------------------------------------------------------------


def warm_time(history: tuple[tuple[float, float], ...], region: str) -> tuple[float, str]:
    """Return the minutes out of temperature, and what the region's rule says of the log."""
    rows = [
        row for n, row in enumerate(history) if n + 1 == len(history) or history[n + 1][0] > row[0]
    ]
    if len(rows) < 2:
        return 0.0, cooling_log.ASK
    log = [(q(minutes, "min"), q(celsius, "degC")) for minutes, celsius in rows]
    try:
        told = cooling_log.judge(log, region)
    except FaultsError:
        return 0.0, cooling_log.ASK
    if told.warm is not None:
        return told.warm.m_as("min"), told.answer
    ends = (q(number(name), "degC") for name in ("cold holding", "hot holding"))
    return time_out_of_temperature(log, *ends).m_as("min"), told.answer


def kind(name: str) -> str:
    """Return what kind of ingredient it is."""
    return ingredient(name).kind
