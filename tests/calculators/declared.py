"""Every public calculator and what it takes, for tests that hold for all of them.

A list of good things stands here for each argument that is not a quantity or a word;
a new calculator with a new kind of argument adds its own.
"""

import random
from collections.abc import Callable, Iterator
from dataclasses import fields, is_dataclass
from typing import Any

from calculators import coating, formula, gelatin, glucose, jug, marbling, mixture
from calculators.catalogue import subjects
from calculators.kitchen import Line, example_kitchen
from calculators.units import Band, Measure, OneOf, declaration, is_quantity, q
from course.kit.stores import Gelatin


def every_calculator() -> dict[str, Callable[..., Any]]:
    """Return every function that declares what it takes, by ``subject.name``."""
    return {
        f"{subject}.{name}": thing
        for subject, held in subjects().items()
        for name, thing in held.items()
    }


# --- other units of the same kind ---------------------------------------------------------

# By the kitchen unit of the declaration: units that a kitchen may write instead.
ALSO = {
    "g": ("kg", "mg"),
    "kg": ("g", "mg"),
    "degC": ("degF", "K"),
    "percent": ("", "g/kg", "g/g"),
    "": ("percent",),
    "mm": ("cm", "m", "um"),
    "cm": ("mm", "m"),
    "m": ("km", "cm"),
    "cm**2": ("m**2", "mm**2"),
    "ml": ("l", "cm**3", "cl"),
    "um": ("mm", "m"),
    "s": ("min", "h"),
    "min": ("s", "h", "d"),
    "h": ("min", "s", "d"),
    "kg/m**3": ("g/cm**3", "g/ml", "kg/l", "g/l"),
    "g/cm**2": ("kg/m**2", "mg/mm**2"),
    "kPa": ("Pa", "hPa", "bar", "mbar"),
    "Pa": ("kPa", "mbar"),
    "Pa*s": ("mPa*s", "kg/m/s"),
    "mm/s": ("m/s", "cm/min"),
    "W": ("kW", "J/s"),
    "kJ/kg/K": ("J/kg/K", "J/g/delta_degC"),
    "W/m/K": ("mW/m/K", "W/cm/K"),
    "W/m**2/K": ("kW/m**2/K", "W/cm**2/K"),
    "J/m**2/K/s**0.5": ("kJ/m**2/K/s**0.5",),
    "mN/m": ("N/m", "J/m**2"),
    "g/mol": ("kg/mol",),
    "degree": (),
    "degree_baume": (),
    "bloom": (),
    "leaf": (),
}


def other_units(kitchen: str) -> tuple[str, ...]:
    """Return the units that a kitchen may write in the place of a declaration's."""
    if kitchen not in ALSO:
        raise LookupError(f"{kitchen}: add its other units to tests/calculators/declared.py")
    return ALSO[kitchen]


# --- good arguments -----------------------------------------------------------------------


def _log(r: random.Random) -> list[Any]:
    begin, times = r.uniform(60, 95), sorted(r.sample(range(0, 600), r.randint(2, 6)))
    heat = [21 + (begin - 21) * 0.99**t for t in times]
    return [(q(t, "min"), q(h, "degC")) for t, h in zip(times, heat, strict=True)]


def _shares(r: random.Random) -> dict[str, Any]:
    others = r.choice(((25, 25), (50,), (10, 20, 20), (30,)))
    shares = {f"colour {i}": q(s, "percent") for i, s in enumerate(others)}
    return {"white": q(100 - sum(others), "percent"), **shares}


def _shape(r: random.Random) -> coating.Shape:
    big, small = q(r.uniform(10, 30), "cm"), q(r.uniform(1, 9), "cm")
    return r.choice(
        [
            coating.Cylinder(big, small),
            coating.Ring(big, small, small),
            coating.Dome(big),
            coating.YuleLog(small, big),
            coating.Slab(big, small, small),
            coating.Savarin(big, small),
            coating.Torus(big, small),
        ]
    )


def _formula(r: random.Random) -> formula.Formula:
    rows = [
        ("water", 120),
        ("sugar", 250),
        ("glucose syrup, confectioner's", 250),
        ("condensed milk, sweetened", 180),
        ("white chocolate", 280),
        ("gelatin leaf", 15),
    ]
    kept = rows[:2] + r.sample(rows[2:], r.randint(0, 4))
    lines = [Line(n, q(g * r.uniform(0.7, 1.3), "g")) for n, g in kept]
    lines[1] = Line("sugar", lines[1].mass, q(1.2, "EUR"), q(1, "kg"))
    return formula.Formula("glaze", lines)


def _syrup(r: random.Random) -> Any:
    made = glucose.Syrup(q(r.uniform(25, 55), "percent"), q(r.uniform(60, 81), "percent"))
    return r.choice([made, *glucose.TUBS])


def _mixture(r: random.Random) -> mixture.Mixture:
    names = ("sucrose", "glucose", "fructose", "lactose", "maltose", "sorbitol", "glycerol")
    sugars = {name: q(r.uniform(0, 40), "g") for name in r.sample(names, r.randint(0, 3))}
    sugars["sucrose"] = q(r.uniform(50, 200), "g")
    tubs = [mixture.Tub(q(r.uniform(20, 150), "g"), _syrup(r)) for _ in range(r.randint(0, 2))]
    milk, fat = q(r.uniform(0, 40), "g"), q(r.uniform(0, 100), "g")
    return mixture.Mixture(q(r.uniform(110, 400), "g"), sugars, tubs, milk, fat)


def _parts(r: random.Random) -> Any:
    return [
        (r.choice(["#ffffff", "#b5651d", (10, 20, 30)]), q(r.uniform(1, 500), "g"))
        for _ in range(3)
    ]


def _vessel(r: random.Random) -> jug.Vessel:
    kind = r.choice(jug.WALLS), r.choice(jug.COVERS)
    mass, width = q(r.uniform(100, 3000), "g"), q(r.uniform(8, 25), "cm")
    return r.choice([jug.jug(mass, width, *kind), jug.tray(mass, width, width, *kind)])


def _place(r: random.Random) -> jug.Place:
    cold, room = q(r.uniform(1, 15), "degC"), q(r.uniform(15, 30), "degC")
    return r.choice([jug.bench(room), jug.fridge(cold), jug.water_bath(cold, q(5, "kg"))])


def _band(low: float, high: float, unit: str) -> Callable[[random.Random], Band]:
    def make(r: random.Random) -> Band:
        ends = sorted(r.uniform(low, high) for _ in range(3))
        return Band(*(q(end, unit) for end in ends))

    return make


# fmt: off
GOOD: dict[str, Callable[[random.Random], Any]] = {
    "blend, parts": lambda r: [(q(r.uniform(1, 900), "g"), q(r.uniform(0, 90), "percent")) for _ in range(r.randint(1, 4))],
    "mix, parts": _parts,
    "mix_reflectances, parts": lambda r: [(r.uniform(0.01, 1), q(r.uniform(1, 500), "g")) for _ in range(3)],
    "readings": _log,
    "log": _log,
    "time_constants": lambda r: [q(r.uniform(20, 200), "min") for _ in range(3)],
    "jugs, shares": lambda r: r.choice([(2, 1, 1), (q(50, "percent"), q(50, "percent")), [0.5, 0.5]]),
    "shares": _shares,
    "main": lambda _: "white",
    "pour_order, colours": lambda r: r.sample(["red", "blue", "gold"], r.randint(1, 3)),
    "left_over_colour, left": lambda r: {"red": q(r.uniform(1, 300), "g"), "white": q(100, "g")},
    "left_over_colour, colours": lambda _: {"red": "#c1272d", "white": (250, 250, 245)},
    "strokes": lambda r: r.sample([marbling.Tine(), marbling.Wave(), marbling.Vortex()], r.randint(0, 2)),
    "seed": lambda r: r.choice([1, "cake", 77]),
    "cakes": lambda r: [(_shape(r), r.randint(1, 30)) for _ in range(r.randint(1, 3))],
    "shape, name": lambda _: "cylinder",
    "sizes": lambda r: {"diameter": q(r.uniform(5, 30), "cm"), "height": q(4, "cm")},
    "shape": _shape,
    "mixture": _mixture,
    "pan, names": lambda _: ["sugar", "water"],
    "formula": _formula,
    "formula, first": _formula,
    "compare, first": _formula,
    "compare, second": _formula,
    "difference, first": lambda r: (r.uniform(0, 100), r.uniform(-80, 80), r.uniform(-80, 80)),
    "difference, second": lambda r: (r.uniform(0, 100), r.uniform(-80, 80), r.uniform(-80, 80)),
    "lab": lambda r: (r.uniform(30, 70), r.uniform(-10, 10), r.uniform(-10, 10)),
    "srgb": lambda r: r.choice(["#7b3f00", (r.randint(0, 255), 3, 90)]),
    "syrup": _syrup,
    "glucose.swap, wanted": _syrup,
    "glucose.swap, held": _syrup,
    "colourant": lambda r: r.choice(["titanium white", "carmine", "no such colour"]),
    "ingredient, name": lambda r: r.choice(["sugar", "milk", "gelatin leaf"]),
    "kitchen": lambda _: example_kitchen(),
    "rule_between, wanted": lambda _: Gelatin("gold", gelatin.GRADES["gold"].bloom.typical),
    "rule_between, held": lambda _: Gelatin("powder", q(200, "bloom")),
    "caution, id": lambda _: "reuse",
    "vessel": _vessel,
    "vessels": lambda r: [_vessel(r) for _ in range(r.randint(1, 3))],
    "meeting, place": lambda r: jug.bench(q(r.uniform(15, 25), "degC")),
    "temperature_after, place": _place,
    "time_to, place": _place,
    "water_lost, place": _place,
    "read_from_own, place": _place,
    "poured, viscosity": _band(0.1, 4, "Pa*s"),
    "poured, sets": _band(15, 30, "degC"),
    "calibrated, there": _band(0.1, 4, "Pa*s"),
    "calibrated, here": _band(0.1, 4, "Pa*s"),
    "displayed": lambda r: r.choice([True, False]),
    "measured": lambda r: r.choice([True, False]),
    "subject": lambda r: r.choice(["cooling", "holding", "titanium white"]),
}
# fmt: on


def good(name: str, argument: str, spec: Any, r: random.Random) -> Any:
    """Return something that the declaration of an argument lets in."""
    short = name.rpartition(".")[2]
    for key in (f"{name}, {argument}", f"{short}, {argument}", argument):
        if key in GOOD and not isinstance(spec, Measure):
            return GOOD[key](r)
    if isinstance(spec, Measure):
        return q(number_within(spec, r), spec.unit_name)
    if isinstance(spec, OneOf):
        return r.choice(spec.words)
    raise LookupError(f"{name}, {argument}: add a good one to tests/calculators/declared.py")


def number_within(spec: Measure, r: random.Random) -> float:
    """Return a number of the kitchen unit inside the limits, now and then at an end."""
    low = spec.low if spec.low is not None else spec.above
    low = low if low is not None else -1000.0
    high = spec.high if spec.high is not None else max(low, 0) + 1000.0
    dice = r.random()
    if dice < 0.1 and spec.low is not None:
        return low
    if dice < 0.2 and spec.high is not None:
        return high
    share = r.random() ** r.choice((1, 1, 3, 8))
    value = low + (high - low) * max(share, 1e-9)
    return min(value, high)


def arguments(name: str, function: Any, r: random.Random) -> dict[str, Any]:
    """Return a full set of arguments that the declaration lets in, one by one."""
    told = declaration(function)
    assert told is not None
    return {a: good(name, a, s, r) for a, s in told.arguments.items()}


def in_other_units(thing: Any, r: random.Random) -> Any:
    """Return a list, a table or a shape with each quantity in another unit."""
    if is_quantity(thing):
        for kitchen, others in ALSO.items():
            if others and thing.is_compatible_with(kitchen) and kitchen:
                return thing.to(r.choice([u for u in others if u] or [kitchen]))
        return thing
    if isinstance(thing, list | tuple) and not hasattr(thing, "_fields"):
        return type(thing)(in_other_units(part, r) for part in thing)
    if isinstance(thing, dict):
        return {name: in_other_units(part, r) for name, part in thing.items()}
    ours = coating.Shape | formula.Formula | Line | glucose.Syrup | mixture.Mixture | mixture.Tub
    if isinstance(thing, ours | Band):
        given = {
            part.name: in_other_units(getattr(thing, part.name), r)
            for part in fields(thing)
            if part.init
        }
        return type(thing)(**given)
    return thing


# --- what comes back --------------------------------------------------------------------------


def quantities(answer: Any) -> Iterator[Any]:
    """Yield every quantity and every float in an answer, however deep."""
    if is_quantity(answer) or isinstance(answer, float):
        yield answer
    elif isinstance(answer, dict):
        for value in answer.values():
            yield from quantities(value)
    elif isinstance(answer, tuple | list):
        for value in answer:
            yield from quantities(value)
    elif is_dataclass(answer) and not isinstance(answer, type):
        for part in fields(answer):
            yield from quantities(getattr(answer, part.name))
    elif hasattr(answer, "items") and callable(answer.items):
        for _, value in answer.items():
            yield from quantities(value)


def bands(answer: Any) -> Iterator[Band]:
    """Yield every band in an answer, however deep."""
    if isinstance(answer, Band):
        yield answer
    elif isinstance(answer, tuple | list):
        for value in answer:
            yield from bands(value)
    elif is_dataclass(answer) and not isinstance(answer, type):
        for part in fields(answer):
            yield from bands(getattr(answer, part.name))
    elif hasattr(answer, "items") and callable(answer.items):
        for _, value in answer.items():
            yield from bands(value)
