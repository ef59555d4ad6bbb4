"""The practical: what to order, what to do the day before, and the plan of each bench.

:func:`plan` works all of it out from a scheme of work; :func:`page` makes one page
of it that prints.  Machine times are worked out by the calculators and are no
better than the bands they come from; the time of hands is common practice.
"""

from __future__ import annotations

import calendar
import datetime
import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from pathlib import Path

from jinja2 import Environment, FileSystemLoader, StrictUndefined

from calculators import (
    blending,
    coating,
    colour,
    cooling,
    formula,
    gelatin,
    glucose,
    marbling,
    safety,
    sources,
    stores,
    syrup,
    water,
)
from calculators.faults import Fault, FaultsError, refuse
from calculators.formula import Formula
from calculators.ingredients import Ingredient, ingredient
from calculators.kitchen import Line
from calculators.safety import Caution, LegalNote
from calculators.units import Band, Quantity, number, q, say
from course.scheme import (
    LEAF_LINE,
    POWDER,
    POWDER_LINE,
    Colour,
    LocalRules,
    Scheme,
)

_TEMPLATES = Path(__file__).with_name("templates")

# Minutes of hands, common practice of teaching kitchens; change them with your own.
_HANDS = {
    "briefing": 15,
    "blend": 5,
    "rest": 10,
    "colour": 15,
    "layer": 10,
    "frost": 5,
    "trial": 5,
    "pour each": 2,
    "move": 15,
    "left over": 10,
    "clean": 20,
}
_SPARE_WARMTH = 8.0  # °C above the window, lost while blending and colouring
_WARMER_BATH = 15.0  # °C by which the warm bath is above its target
_COLD_BATH = q(10, "degC")  # cold tap water with some ice
_BATH_TO_GLAZE = 4  # kilograms of water to one of glaze
_OUT_OF_COLD_BATH = q(21, "degC")
_INTO_COLD_BATH = q(60, "degC")
_FULL = 1.5  # depth of a jug two thirds full, in widths of it
_STEP = 5  # the plan counts in steps of so many minutes
_BUBBLE = q(1, "mm")
_LONGEST_DAY = q(8, "h")  # of a working day, common practice
_MOST_AT_A_BENCH, _MOST_IN_ALL = q(50, "kg"), q(500, "kg")

# What goes into the bowl under the hot syrup; the rest goes into the pan.
_BOWL = ("chocolate", "fat", "emulsifier")
_LATE = ("acid", "colour")
_COARSE = 0.1  # share of a mass that rounding to its scale may cost; from memory
_FINE = ("gelatin", "colour", "acid", "agar", "pectin")  # on the small scale
_WARM, _LEFT = "Warm the glaze", "What is left over"


# --- what a plan holds ------------------------------------------------------------------


@dataclass(frozen=True)
class Amount:
    """A result of the plan: what it is, the value, what it means at the bench."""

    label: str
    value: str
    meaning: str


@dataclass(frozen=True)
class Order:
    """A line of the order list; what is not known is None."""

    ingredient: str
    needed: Quantity | None
    pack: Quantity | None = None
    packs: int | None = None
    left: Quantity | None = None
    cost: Quantity | None = None
    note: str = ""


@dataclass(frozen=True)
class Step:
    """A step of the work, with its time, its temperature and its hazards.

    Parameters
    ----------
    title : str
        What is done, in a few words.
    does : tuple of str
        How it is done, short sentences.
    temperature : str
        What the thermometer must show; empty where it does not matter.
    starts, lasts : quantity or None
        Minutes from the beginning, and how many; None where no clock is kept.
    cautions : tuple of Caution
        Hazards met here for the first time.
    again : tuple of Caution
        Hazards that were met before.
    because : str
        Where the time or the number comes from.
    """

    title: str
    does: tuple[str, ...]
    temperature: str = ""
    starts: Quantity | None = None
    lasts: Quantity | None = None
    cautions: tuple[Caution, ...] = ()
    again: tuple[Caution, ...] = ()
    because: str = ""


@dataclass(frozen=True)
class Weighed:
    """A line of what is weighed out at a bench; ``shown`` is what the scale shows."""

    ingredient: str
    mass: Quantity
    shown: str
    note: str = ""


@dataclass(frozen=True)
class CakeRow:
    """Cakes of one kind at a bench: how many, and what is poured over each."""

    label: str
    count: int
    pour: Quantity


@dataclass(frozen=True)
class JugRow:
    """A jug of one colour: what is weighed into it, and what colours it."""

    name: str
    mass: Quantity
    colourant: str
    dose: Quantity | None
    too_small: bool


@dataclass(frozen=True)
class Station:
    """One bench, or several that have the same to do."""

    numbers: tuple[int, ...]
    students: int
    cakes: tuple[CakeRow, ...]
    batch: Quantity
    weigh: tuple[Weighed, ...]
    jugs: tuple[JugRow, ...]
    layers: tuple[tuple[str, Quantity], ...]
    steps: tuple[Step, ...]

    @property
    def name(self) -> str:
        """Return how the bench is called on its page."""
        which = ", ".join(str(number) for number in self.numbers)
        return f"Station {which}" if len(self.numbers) == 1 else f"Stations {which}"

    @property
    def lasts(self) -> Quantity:
        """How long the plan of the bench takes, in minutes."""
        return sum((s.lasts for s in self.steps if s.lasts is not None), q(0, "min"))


@dataclass(frozen=True)
class Plan:
    """The whole practical, ready to be printed."""

    title: str
    school: str
    region: str
    day: datetime.date | None
    day_before: datetime.date | None
    window: str
    amounts: tuple[Amount, ...]
    orders: tuple[Order, ...]
    cost: Quantity | None
    without_price: tuple[str, ...]
    eaters: tuple[str, ...]
    legal: tuple[LegalNote, ...]
    before: tuple[Step, ...]
    stations: tuple[Station, ...]
    log_rows: tuple[str, ...]
    warnings: tuple[str, ...]
    rules: LocalRules


# --- the plan ------------------------------------------------------------------------------


def plan(scheme: Scheme) -> Plan:
    """Work out the practical of a scheme of work.

    Parameters
    ----------
    scheme : Scheme
        Read and checked.

    Returns
    -------
    Plan
        Orders, the day before, and a plan for each bench.

    Raises
    ------
    FaultsError
        Where an ingredient or a colourant may not go into food in the region.
    """
    _refuse_forbidden(scheme)
    benches = _share_out(scheme)
    batches = [_batch(scheme, cakes) for cakes in benches]
    _refuse_too_much(batches)
    total = sum(batches, q(0, "g"))
    made = Formula(scheme.formula.name, tuple(_in_stores(scheme, total)))
    orders, cost = _orders(scheme, made, total)
    stations = _alike(scheme, benches)
    day = scheme.group.practical
    return Plan(
        title=scheme.title,
        school=scheme.school.name,
        region=safety.REGIONS[scheme.region],
        day=day,
        day_before=day - datetime.timedelta(days=1) if day else None,
        window=_window(scheme),
        amounts=_amounts(scheme, benches, total),
        orders=orders,
        cost=cost,
        without_price=tuple(o.ingredient for o in orders if o.cost is None),
        eaters=formula.who_cannot_eat(made)[:-1],
        legal=_legal(scheme),
        before=_day_before(scheme, stations),
        stations=stations,
        log_rows=_LOG,
        warnings=_warnings(scheme, stations),
        rules=scheme.local_rules,
    )


def page(made: Plan) -> str:
    """Return a plan as one page of HTML that needs nothing else, and prints."""
    house = Environment(
        loader=FileSystemLoader(_TEMPLATES),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
    )
    house.filters["say"] = say
    house.filters["clock"] = clock
    house.filters["money"] = _money
    house.filters["weekday"] = _weekday
    return house.get_template("plan.html").render(plan=made, last_word=safety.last_word)


def _weekday(day: datetime.date) -> str:
    return calendar.day_name[day.weekday()]


def _money(amount: Quantity) -> str:
    return say(amount, places=2)


def clock(minutes: Quantity) -> str:
    """Return minutes from the beginning as hours and minutes.

    >>> clock(q(75, "min"))
    '1:15'
    """
    whole = round(minutes.m_as("min"))
    return f"{whole // 60}:{whole % 60:02d}"


# --- law, before anything else -----------------------------------------------------------------


def _refuse_forbidden(scheme: Scheme) -> None:
    """Refuse the whole plan if anything in it may not be eaten in the region."""
    asked = [
        (f"ingredient {line.ingredient}", ingredient(line.ingredient).colourant)
        for line in scheme.formula.lines
    ] + [(f"colour {jug.name}", jug.colourant) for jug in scheme.colours]
    faults = []
    for where, colourant in asked:
        if not colourant:
            continue
        permission = safety.allowed(colourant, scheme.region)
        if permission.answer == "no":
            faults.append(
                Fault(
                    f"order list, {where}",
                    f"may not go into food in {safety.REGIONS[scheme.region]}",
                    colourant,
                    str(permission.notes[0]),
                    "Take it out of the scheme; nothing was ordered",
                )
            )
    if faults:
        raise FaultsError(faults)


def _refuse_too_much(batches: Sequence[Quantity]) -> None:
    """Refuse more glaze than a bench can boil, or a room can cool."""
    for most, mass, whose in (
        (_MOST_AT_A_BENCH, max(batches), "a station"),
        (_MOST_IN_ALL, sum(batches, q(0, "g")), "all stations"),
    ):
        if mass > most:
            raise refuse(
                "plan, glaze",
                f"is more than {whose} can make",
                say(mass, "kg"),
                f"It must be at most {say(most)}",
                "Plan fewer cakes, or more stations",
            )


def _legal(scheme: Scheme) -> tuple[LegalNote, ...]:
    """Return the notes of law that a practical meets, and those on its colours."""
    subjects = ["cooling", "chilling", "holding", "allergens", "titanium white"]
    subjects += [jug.colourant for jug in scheme.colours if jug.colourant]
    return tuple(
        note
        for subject in _in_order(subjects)
        for note in safety.legal_note(subject, scheme.region)
    )


# --- cakes and glaze --------------------------------------------------------------------------


def _share_out(scheme: Scheme) -> list[list[int]]:
    """Return for each bench how many it has of each kind of cake, as even as can be."""
    benches = [[0] * len(scheme.cakes) for _ in range(scheme.group.stations)]
    turn = 0
    for kind, cake in enumerate(scheme.cakes):
        for _ in range(cake.count):
            benches[turn % len(benches)][kind] += 1
            turn += 1
    return benches


def _poured(scheme: Scheme, cakes: Sequence[int]) -> Quantity:
    """Return what is poured over the cakes of a bench."""
    rack = [
        (coating.shape(cake.shape, cake.sizes), count)
        for cake, count in zip(scheme.cakes, cakes, strict=True)
        if count
    ]
    if not rack:
        return q(0, "g")
    return coating.glaze_needed(rack, scheme.coat.mass, scheme.coat.run_off).typical


def _batch(scheme: Scheme, cakes: Sequence[int]) -> Quantity:
    """Return what a bench makes: poured, clinging to its jugs, and the spare."""
    poured = _poured(scheme, cakes)
    if not poured.m:
        return poured
    jugs = len(scheme.colours) + 1 if len(scheme.colours) > 1 else 1
    return (poured + _cling() * jugs) * (1 + scheme.coat.spare.m_as(""))


def _cling() -> Quantity:
    return sources.table("marbling")["cling"].quantity


def _amounts(
    scheme: Scheme, benches: Sequence[Sequence[int]], total: Quantity
) -> tuple[Amount, ...]:
    poured = sum((_poured(scheme, cakes) for cakes in benches), q(0, "g"))
    kept = poured * (1 - scheme.coat.run_off.m_as(""))
    cakes = sum(cake.count for cake in scheme.cakes)
    times = (total / scheme.formula.mass).m_as("")
    return (
        Amount(
            "Glaze to make",
            _mass(total),
            f"for {cakes} cake{'s' if cakes > 1 else ''}: what is poured, what clings to the jugs, and "
            f"{say(scheme.coat.spare)} to spare",
        ),
        Amount(
            "Poured over the cakes",
            _mass(poured),
            f"of which {_mass(kept)} stays on them and the rest runs off; weigh your "
            "own and put the numbers into the scheme",
        ),
        Amount(
            "The formula",
            f"{say(q(times, ''))} times",
            f"{scheme.formula.name}, which makes {_mass(scheme.formula.mass)}",
        ),
    )


def _mass(mass: Quantity) -> str:
    """Return a mass as it is said: grams below two kilograms."""
    return say(mass, "g" if mass.m_as("g") < 2000 else "kg")


# --- what is weighed, and what is ordered --------------------------------------------------------

# The tub that an ingredient of the table is.
_TUBS = {
    "glucose syrup, confectioner's": "confectioner",
    "light corn syrup": "light corn",
    "liquid glucose, home pack": "home pack",
}


def _in_stores(scheme: Scheme, total: Quantity) -> list[Line]:
    """Return the lines for a mass of glaze, swapped for what is in stores.

    Lines of one ingredient are put together, with the first price and pack.
    """
    lines: dict[str, Line] = {}
    for line in formula.scale_to(scheme.formula.as_formula(), total).lines:
        for held in _held(scheme, line):
            first = lines.get(held.ingredient)
            more = first.mass + held.mass if first else held.mass
            known = first if first and first.pack is not None else held
            lines[held.ingredient] = Line(held.ingredient, more, known.price, known.pack)
    for name, line in lines.items():
        if line.mass.m <= 0:
            raise refuse(
                f"order list, {name}",
                "is less than the swap of glucose syrup takes away",
                _mass(line.mass),
                "The syrup in stores brings more water than the formula has",
                "Order the syrup that the formula names",
            )
    return list(lines.values())


def _held(scheme: Scheme, line: Line) -> list[Line]:
    """Return what to weigh of what is in stores for one line of the formula.

    The price and the pack are those of what is in stores; water that a swap of
    glucose syrup takes away is a line below nought.
    """
    item = ingredient(line.ingredient)
    if item.kind == "gelatin":
        mass = _gelatin_held(scheme, line.mass)[0]
        return [Line(_gelatin_name(scheme, item), mass, line.price, line.pack)]
    wanted, held = _TUBS.get(item.name), scheme.stores.glucose
    if wanted is None or wanted == held:
        return [Line(item.name, line.mass, line.price, line.pack)]
    swap = glucose.swap(line.mass, wanted, held)
    name = next(name for name, tub in _TUBS.items() if tub == held)
    extra = swap.add - swap.leave_out
    water_line = [Line("water", extra)] if extra.m else []
    return [Line(name, swap.mass, line.price, line.pack), *water_line]


def _gelatin_name(scheme: Scheme, item: Ingredient) -> str:
    """Return what is weighed for a gelatin; that of fish or beef stays what it is."""
    if item.name not in (LEAF_LINE, POWDER_LINE):
        return item.name
    return POWDER_LINE if scheme.stores.gelatin_grade == POWDER else LEAF_LINE


def _gelatin_held(scheme: Scheme, mass: Quantity) -> tuple[Quantity, str]:
    """Return the gelatin of the stores for a mass of the formula's, and the rule."""
    wanted = stores.Gelatin(scheme.formula.gelatin_grade, scheme.formula.gelatin_bloom)
    held = stores.Gelatin(scheme.stores.gelatin_grade, scheme.stores.gelatin_bloom)
    if wanted == held:
        return mass, _counted(mass, held)
    rule = stores.rule_between(wanted, held)
    if rule == gelatin.LEAF_FOR_LEAF:
        count = gelatin.leaves(mass, wanted.grade)
        swap = gelatin.leaf_swap(count, wanted.grade, held.grade)
        return swap.mass, (
            f"{say(swap.leaves, digits=2)} of {held.grade} for as many of "
            f"{wanted.grade}. {swap.rule}"
        )
    swapped = gelatin.swap(mass, wanted.bloom, held.bloom, rule)
    return swapped, (
        f"{_counted(swapped, held)} {held.grade.capitalize()} of {say(held.bloom)} for "
        f"{wanted.grade} of {say(wanted.bloom)}. {gelatin.rule_in_words(rule)}"
    ).strip()


def _counted(mass: Quantity, held: stores.Gelatin) -> str:
    if not held.is_leaf:
        return ""
    return f"{say(gelatin.leaves(mass, held.grade), digits=2)} of {held.grade}."


def _note(scheme: Scheme, name: str, total: Quantity) -> str:
    """Return what must be said beside a line that was swapped."""
    lines = formula.scale_to(scheme.formula.as_formula(), total).lines
    item = ingredient(name)
    if item.kind == "gelatin":
        masses = (
            line.mass
            for line in lines
            if (of := ingredient(line.ingredient)).kind == "gelatin"
            and _gelatin_name(scheme, of) == name
        )
        return _gelatin_held(scheme, sum(masses, q(0, "g")))[1]
    swapped = [w.ingredient for w in lines if w.ingredient in _TUBS]
    if name in _TUBS and name not in swapped:
        return f"In place of {', '.join(swapped)}; the water is put right."
    return ""


def _orders(
    scheme: Scheme, made: Formula, total: Quantity
) -> tuple[tuple[Order, ...], Quantity | None]:
    """Return the order list, and what its packs cost together."""
    bill = formula.cost(made) if made.currency else None
    priced = {line.ingredient: line for line in bill.lines} if bill else {}
    orders = []
    for line in made.lines:
        pack, bought = line.pack, priced.get(line.ingredient)
        packs = math.ceil((line.mass / pack).m_as("") - 1e-9) if pack is not None else None
        orders.append(
            Order(
                line.ingredient,
                line.mass,
                pack,
                packs,
                pack * packs - line.mass if pack is not None else None,
                bought.bought if bought else None,
                _note(scheme, line.ingredient, total),
            )
        )
    return (*orders, *_colour_orders(scheme, total)), bill.bought if bill else None


def _colour_orders(scheme: Scheme, total: Quantity) -> list[Order]:
    """Return what colours to have at hand, and which of them must be asked about."""
    made = []
    for jug in scheme.colours:
        if jug.colourant:
            answer = safety.allowed(jug.colourant, scheme.region).answer
            note = "" if answer == "yes" else "Ask first: see what the law says below."
            mass = _dose(jug, total * jug.share.m_as(""))
            made.append(Order(f"{jug.name}: {jug.colourant}", mass, note=note))
    return made


def _dose(jug: Colour, glaze: Quantity) -> Quantity | None:
    """Return how much colourant a jug takes; None where nobody knows."""
    if jug.dose is not None:
        return (jug.dose * glaze).to("g")
    if jug.kind:
        return colour.dose(jug.kind, glaze).typical
    return None


# --- a bench --------------------------------------------------------------------------------------


def _alike(scheme: Scheme, benches: Sequence[Sequence[int]]) -> tuple[Station, ...]:
    """Return the benches, those with the same cakes and as many students together."""
    people = [
        scheme.group.students // len(benches) + (place < scheme.group.students % len(benches))
        for place in range(len(benches))
    ]
    groups: dict[tuple[tuple[int, ...], int], list[int]] = {}
    for place, cakes in enumerate(benches):
        if sum(cakes):
            groups.setdefault((tuple(cakes), people[place]), []).append(place)
    return tuple(
        _station(scheme, places, cakes, students) for (cakes, students), places in groups.items()
    )


def _station(scheme: Scheme, places: Sequence[int], cakes: Sequence[int], students: int) -> Station:
    batch = _batch(scheme, cakes)
    jugs = _jugs(scheme, batch)
    return Station(
        numbers=tuple(place + 1 for place in places),
        students=students,
        cakes=_cake_rows(scheme, cakes),
        batch=batch,
        weigh=tuple(_weigh(scheme, line, batch) for line in _in_stores(scheme, batch)),
        jugs=jugs,
        layers=_layers(scheme, batch),
        steps=_bench(scheme, batch, cakes, jugs),
    )


def _weigh(scheme: Scheme, line: Line, batch: Quantity) -> Weighed:
    """Return a line as it is weighed, in whole steps of its scale."""
    fine = ingredient(line.ingredient).kind in _FINE
    step = scheme.stores.fine_scale if fine else scheme.stores.scale
    mass = _on_scale(line.mass, step)
    note = _note(scheme, line.ingredient, batch)
    soak = _soak_water(scheme, batch)
    if line.ingredient == "water" and soak is not None and soak < line.mass:
        shown = _shown(_on_scale(soak, scheme.stores.scale), scheme.stores.scale)
        note = f"Of it {shown} to soak the gelatin."
    if abs(mass.m - line.mass.m_as("g")) > _COARSE * line.mass.m_as("g"):
        told = f"Too little for a scale with steps of {_shown(step, step)}."
        return Weighed(line.ingredient, line.mass, say(line.mass, "g"), f"{told} {note}")
    return Weighed(line.ingredient, mass, _shown(mass, step), note)


def _on_scale(mass: Quantity, step: Quantity) -> Quantity:
    """Return a mass in whole steps of a scale."""
    grams = step.m_as("g")
    return q(round(round(mass.m_as("g") / grams) * grams, 6), "g")


def _shown(mass: Quantity, step: Quantity) -> str:
    """Return a mass with every digit that a scale of this step shows.

    >>> _shown(q(439.417608, "g"), q(0.1, "ounce")), _shown(q(20.5, "g"), q(0.1, "g"))
    ('15.5 oz (439 g)', '20.5 g')
    """
    for unit, also in (("g", ""), ("ounce", f" ({say(mass, 'g')})"), ("pound", "")):
        size = step.m_as(unit)
        if abs(size - round(size, 4)) < 1e-6 * size:
            return say(mass, unit, digits=7) + also
    return say(mass, "g")


def _cake_rows(scheme: Scheme, cakes: Sequence[int]) -> tuple[CakeRow, ...]:
    rows = []
    for cake, count in zip(scheme.cakes, cakes, strict=True):
        if count:
            one = [(coating.shape(cake.shape, cake.sizes), 1)]
            pour = coating.glaze_needed(one, scheme.coat.mass, scheme.coat.run_off)
            sizes = ", ".join(f"{name} {say(size)}" for name, size in cake.sizes.items())
            rows.append(CakeRow(f"{cake.shape}, {sizes}", count, pour.typical))
    return tuple(rows)


def _jugs(scheme: Scheme, batch: Quantity) -> tuple[JugRow, ...]:
    if len(scheme.colours) < 2:
        only = scheme.colours[0] if scheme.colours else Colour("the glaze", q(100, "percent"))
        parts = {only.name: batch}
        colours: tuple[Colour, ...] = (only,)
    else:
        shares = {jug.name: jug.share for jug in scheme.colours}
        parts = marbling.split(batch, shares)
        colours = scheme.colours
    least = blending.smallest_batch(scheme.kitchen.jug, scheme.kitchen.blade).mass
    return tuple(
        JugRow(
            jug.name,
            parts[jug.name],
            jug.colourant,
            _dose(jug, parts[jug.name]),
            bool(parts[jug.name] < least),
        )
        for jug in colours
    )


def _layers(scheme: Scheme, batch: Quantity) -> tuple[tuple[str, Quantity], ...]:
    """Return the layers of the pouring jug, the first at the bottom."""
    if len(scheme.colours) < 2:
        return ()
    shares = {jug.name: jug.share for jug in scheme.colours}
    base = marbling.dominance(shares).colour
    return marbling.layers(batch, shares, base)


# --- times ---------------------------------------------------------------------------------------


def _jugful(scheme: Scheme, glaze: Quantity) -> tuple[int, Quantity]:
    """Return in how many jugs a mass stands, none too full, and what is in each."""
    deep = blending.depth_in_jug(glaze, scheme.kitchen.jug).m_as("cm")
    count = math.ceil(deep / (_FULL * scheme.kitchen.jug.m_as("cm")))
    return count, glaze / count


def _bath(
    scheme: Scheme,
    glaze: Quantity,
    start: Quantity,
    target: Quantity,
    bath: Quantity,
    bath_mass: Quantity | None = None,
) -> Band:
    """Return how long a jug in a water bath takes, as a band from its coefficient."""
    width = scheme.kitchen.jug.m_as("cm")
    deep = blending.depth_in_jug(glaze, scheme.kitchen.jug).m_as("cm")
    wet = q(math.pi * width * (deep + width / 4), "cm**2")
    pace = cooling.coefficient("stirred water bath")
    slow, usual, fast = (
        cooling.water_bath(glaze, start, target, bath, wet, h, bath_mass).time
        for h in (pace.low, pace.typical, pace.high)
    )
    return Band(fast, usual, slow, pace.provenance, "how well jug and bath are stirred")


def _in_steps(minutes: Quantity) -> Quantity:
    """Return minutes in whole steps of the plan, rounded up."""
    return q(max(1, math.ceil(minutes.m_as("min") / _STEP)) * _STEP, "min")


def _about(time: Band) -> str:
    low, usual, high = (say(t, "min", digits=2) for t in (time.low, time.typical, time.high))
    return f"about {usual} ({low} to {high}, from memory: your own readings are better)"


def _by_itself(scheme: Scheme, glaze: Quantity) -> str:
    """Return how long the glaze would take to the window on the bench."""
    room, high = scheme.kitchen.room, scheme.window.high
    if room.m >= high.m - 1 or high.m >= _INTO_COLD_BATH.m:
        return ""
    one = _jugful(scheme, glaze)[1]
    (jug,) = cooling.jugs(one, (1,), scheme.kitchen.jug)
    hours = cooling.time_to(high, _INTO_COLD_BATH, room, jug.time_constant)
    return f"By itself it would take about {say(hours, 'h', digits=2)} to the window on the bench."


def _one_bath(scheme: Scheme, batch: Quantity) -> str:
    """Return whether the jugs would ever be ready at once without a bath."""
    room, window = scheme.kitchen.room, scheme.window
    start = _warm(scheme)
    if len(scheme.colours) < 2 or room.m >= window.high.m:
        return ""
    shares = [jug.share for jug in scheme.colours]
    paces = [j.time_constant for j in cooling.jugs(batch, shares, scheme.kitchen.jug)]
    told = cooling.in_window_together(paces, start, room, window.low, window.high)
    return f"Left on the bench: {str(told)[0].lower()}{str(told)[1:]}."


def _warm(scheme: Scheme) -> Quantity:
    """Return how warm the glaze is made before it is blended and coloured."""
    return q(scheme.window.high.m + _SPARE_WARMTH, "degC")


def _window(scheme: Scheme) -> str:
    return f"{say(scheme.window.low)} to {say(scheme.window.high)}"


# --- steps ---------------------------------------------------------------------------------------


class _Steps:
    """Steps in order: keeps the clock, and knows which hazards were met before."""

    def __init__(self, clocked: bool) -> None:
        self.clocked, self.now = clocked, q(0, "min")
        self.made: list[Step] = []
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
            Step(
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
        return q(_HANDS[name] * times, "min")


def _named(items: Iterable[Line]) -> str:
    return ", ".join(dict.fromkeys(line.ingredient for line in items))


def _kinds(scheme: Scheme) -> dict[str, list[Line]]:
    """Return what is in stores by where it goes: pan, bowl, gelatin, late."""
    where: dict[str, list[Line]] = {"pan": [], "bowl": [], "gelatin": [], "late": []}
    for line in _in_stores(scheme, scheme.formula.mass):
        item = ingredient(line.ingredient)
        if item.kind == "gelatin":
            place = "gelatin"
        elif item.kind in _LATE:
            place = "late"
        elif item.kind in _BOWL or item.name.startswith("condensed milk"):
            place = "bowl"
        else:
            place = "pan"
        where[place].append(line)
    return where


def _soak_water(scheme: Scheme, glaze: Quantity) -> Quantity | None:
    """Return the water in which the gelatin of a batch is soaked; None without any."""
    lines = [
        line for line in _in_stores(scheme, glaze) if ingredient(line.ingredient).kind == "gelatin"
    ]
    if not lines:
        return None
    return gelatin.soak(sum((line.mass for line in lines), q(0, "g")))


def _pan_boils(scheme: Scheme) -> str:
    """Return where the pan boils in this kitchen, where that can be worked out."""
    lines = _kinds(scheme)["pan"]
    soak = _soak_water(scheme, scheme.formula.mass)
    pan = []
    for line in lines:
        mass = line.mass - soak if line.ingredient == "water" and soak else line.mass
        soak = None if line.ingredient == "water" else soak
        if mass.m > 0:
            pan.append(Line(line.ingredient, mass))
    try:
        strength = formula.sugar_in_water(Formula("pan", tuple(pan)))
        boils = syrup.boiling_point(strength, scheme.kitchen.altitude)
    except FaultsError:
        return ""
    return f"It boils at about {say(boils)} here."


def _day_before(scheme: Scheme, stations: Sequence[Station]) -> tuple[Step, ...]:
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
        because="the boiling point from the sugars of the pan and the height of the kitchen",
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
            *_too_little(scheme, stations),
        ),
        hazards=("stick-blender", "mains-wet"),
    )
    cold = _cold_bath(scheme, largest)
    steps.add(
        "Cool it fast, cover it, label it",
        (
            cold,
            _by_itself(scheme, largest),
            "Lay film onto the glaze itself, so that no skin and no drops form.",
            f"Into the fridge at {say(kitchen.storage)}. Label: what it is, what is in "
            "it, day and hour, whose it is. Write the hour into the log.",
        ),
        temperature=f"{say(kitchen.storage)} in the fridge",
        hazards=("chilling-holding", "allergens"),
        because="bath times from the calculators, with a coefficient from memory",
    )
    return tuple(steps.made)


def _too_little(scheme: Scheme, stations: Sequence[Station]) -> list[str]:
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
            f"{station.name}: {_mass(station.batch)} does not cover the blade, which "
            f"needs {_mass(least)}. {step}."
        )
    return told


def _in_jugs(count: int) -> str:
    return f"Divide it into {count} jugs, none more than two thirds full. " if count > 1 else ""


def _cold_bath(scheme: Scheme, glaze: Quantity) -> str:
    if not glaze.m:
        return ""
    count, one = _jugful(scheme, glaze)
    time = _bath(
        scheme,
        one,
        _INTO_COLD_BATH,
        _OUT_OF_COLD_BATH,
        _COLD_BATH,
        one * _BATH_TO_GLAZE,
    )
    return (
        f"{_in_jugs(count)}Stand each jug in {_BATH_TO_GLAZE} times its mass of water at "
        f"{say(_COLD_BATH)} and stir both: from {say(_INTO_COLD_BATH)} to "
        f"{say(_OUT_OF_COLD_BATH)} in {_about(time)}. No drop of the bath may get in."
    )


def _bench(
    scheme: Scheme, batch: Quantity, cakes: Sequence[int], jugs: Sequence[JugRow]
) -> tuple[Step, ...]:
    """Return the timed steps of one bench, from the first word to the last cloth."""
    steps = _Steps(clocked=True)
    kitchen, window = scheme.kitchen, _window(scheme)
    many, warm = len(jugs) > 1, _warm(scheme)
    bath = q(warm.m + _WARMER_BATH, "degC")
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
    count, one = _jugful(scheme, batch)
    rewarm = _bath(scheme, one, kitchen.storage, warm, bath)
    steps.add(
        _WARM,
        (
            f"Write into the log when it leaves the cold. {_in_jugs(count)}Stand it in a bath at "
            f"{say(bath)}, and stir as soon as it lets you: {_about(rewarm)}.",
            "A set glaze can't be stirred at first: cut it into pieces with a spatula.",
            "In a microwave: short bursts, and stir before each reading.",
        ),
        temperature=f"glaze to {say(warm)}",
        hazards=("steam", "microwave", "chilling-holding"),
        lasts=_in_steps(rewarm.high),
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
        "Bring it into the window" if not many else "Bring all jugs into the window",
        (
            f"{'Hold all jugs in one bath' if many else 'Stand the jug in a bath'} at "
            f"{say(_middle(scheme))} and stir{', each with its own spoon' if many else ''}: "
            f"{_about(_down(scheme, jugs))}.",
            _one_bath(scheme, batch),
            "Spoon test: it runs off in one sheet and closes over the back of the spoon.",
        ),
        temperature=window,
        hazards=("chilling-holding",),
        lasts=_in_steps(_down(scheme, jugs).typical),
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
        "Pour",
        (
            "Weigh the jug. From the middle outwards, in one go, all around; an inner "
            "wall of a ring as well. Do not go over it again.",
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
        _LEFT,
        (
            "Sieve it, weigh it, cool it fast, cover, label and date it, or throw it "
            "out. Write down how often it was used.",
            _discard(scheme.local_rules),
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
    one = _jugful(scheme, batch)[1]
    (jug,) = cooling.jugs(one, (1,), scheme.kitchen.jug)
    stays = cooling.time_to(window.low, window.high, room, jug.time_constant)
    told = (
        f"On the bench a full jug of {_mass(one)} falls through the window in about "
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


def _discard(rules: LocalRules) -> str:
    if rules.discard_after is None:
        return "Your local rules say how long it may have been warm in all. Ask."
    return (
        f"This school holds a warm glaze for {say(rules.discard_after)} in all; add up "
        "the log, both days."
    )


def _middle(scheme: Scheme) -> Quantity:
    return q((scheme.window.low.m + scheme.window.high.m) / 2, "degC")


def _down(scheme: Scheme, jugs: Sequence[JugRow]) -> Band:
    """Return how long the largest jug takes down to the window in one warm bath."""
    largest = max(_jugful(scheme, jug.mass)[1] for jug in jugs)
    return _bath(scheme, largest, _warm(scheme), scheme.window.high, _middle(scheme))


def _bubbles(scheme: Scheme, batch: Quantity) -> str:
    """Return how long a bubble needs to the top, where the table of thickness goes."""
    warm = _warm(scheme)
    if not 30 <= warm.m <= 80:
        return ""
    thick = blending.glaze_viscosity(warm).typical
    deep = blending.depth_in_jug(_jugful(scheme, batch)[1], scheme.kitchen.jug)
    time = blending.time_to_clear(deep, _BUBBLE, thick, blending.GLAZE_DENSITY)
    return (
        f"At {say(warm)} a bubble of {say(_BUBBLE)} needs some "
        f"{say(time, digits=1)} to the top; one of half the size four times as long."
    )


# --- the log, and what does not add up -----------------------------------------------------------

_LOG = (
    "into the fridge, day before",
    "out of the fridge",
    "warm",
    "blended",
    "sieved",
    "in the window",
    "first pour",
    "last pour",
    "left over into the cold",
    "out of the cold in all, both days",
    "",
    "",
    "",
)


def _warnings(scheme: Scheme, stations: Sequence[Station]) -> tuple[str, ...]:
    """Return what a lecturer must settle before the day."""
    told = []
    idle = scheme.group.stations - sum(len(s.numbers) for s in stations)
    if idle:
        told.append(
            f"There are fewer cakes than stations: {idle} would stand idle. Give more "
            "cakes, or fewer stations."
        )
    told += _too_little(scheme, stations)
    told += _over_dose(scheme)
    limit = scheme.local_rules.discard_after
    longest = max(stations, key=lambda station: station.lasts)
    if longest.lasts > _LONGEST_DAY:
        told.append(
            f"{longest.name}: the plan takes {clock(longest.lasts)} hours, longer than a "
            "working day. Give it fewer cakes, use more stations, or plan two days."
        )
    if limit is None:
        warm = max(_time_warm(station) for station in stations)
        told.append(
            f"The glaze is out of the cold for up to {clock(warm)} hours, and the scheme "
            "does not say how long your rules hold it. Ask, and write discard_after "
            "under [local_rules]."
        )
    for station in stations:
        warm = _time_warm(station)
        if limit is not None and warm > limit:
            told.append(
                f"{station.name}: the glaze is out of the cold for {clock(warm)} hours, "
                f"and your rules hold it for {say(limit)}. Give the station fewer cakes, "
                "or keep half of the glaze cold until it is wanted."
            )
    for technique in formula.gelling(scheme.formula.as_formula()):
        if technique.agent != "gelatin":
            told.append(
                f"The glaze is set by {technique.agent}, and the warming in this plan is "
                f"that of gelatin. {technique.reuse}"
            )
    soak, held = _soak_water(scheme, scheme.formula.mass), _water_line(scheme)
    if soak is not None and held < soak:
        told.append(
            f"The gelatin is soaked in {_mass(soak)} of water a formula, and the formula "
            f"counts {_mass(held)}. Count the soaking water on a line of its own, or the "
            "glaze is thinner than it says."
        )
    if len(scheme.colours) > 1:
        shares = {jug.name: jug.share for jug in scheme.colours}
        chosen = marbling.dominance(shares)
        if not chosen.enough:
            told.append(str(chosen))
    return tuple(told)


def _over_dose(scheme: Scheme) -> list[str]:
    """Return the jugs whose dose is above the figure that the law gives."""
    told = []
    for jug in scheme.colours:
        if not jug.colourant or jug.dose is None:
            continue
        for note in safety.allowed(jug.colourant, scheme.region).notes:
            if note.limit is not None and jug.dose > note.limit:
                told.append(
                    f"{jug.name}: {say(jug.dose)} of {jug.colourant} is more than the law "
                    f"allows in {safety.REGIONS[scheme.region]}. {note.text} Dose less."
                )
    return told


def _water_line(scheme: Scheme) -> Quantity:
    lines = _in_stores(scheme, scheme.formula.mass)
    return sum((w.mass for w in lines if w.ingredient == "water"), q(0, "g"))


def _time_warm(station: Station) -> Quantity:
    """Return how long the glaze of a bench is out of the cold."""
    names = [step.title for step in station.steps]
    first, last = names.index(_WARM), names.index(_LEFT)
    spans = (step.lasts for step in station.steps[first : last + 1])
    return sum((span for span in spans if span is not None), q(0, "min"))


def _in_order(names: Iterable[str]) -> tuple[str, ...]:
    """Return the names once each, in the order in which they came."""
    return tuple(dict.fromkeys(names))
