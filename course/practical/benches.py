"""What each bench has before it: cakes, jugs and weighings."""

from __future__ import annotations

from collections.abc import Sequence

from calculators import blending, marbling
from calculators.ingredients import ingredient
from calculators.kitchen import Line
from calculators.units import Quantity, q, say
from course.practical.amounts import batch_for, layers_of, pour_of
from course.practical.model import COARSE, FINE, CakeRow, JugRow, Station, Weighed
from course.practical.orders import dose_for, in_stores, note_on
from course.practical.steps import bench_steps, soak_water
from course.scheme.model import Colour, Scheme

# --- a bench --------------------------------------------------------------------------------------


def alike(scheme: Scheme, benches: Sequence[Sequence[int]]) -> tuple[Station, ...]:
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
    batch = batch_for(scheme, cakes)
    jugs = _jugs(scheme, batch)
    return Station(
        numbers=tuple(place + 1 for place in places),
        students=students,
        cakes=_cake_rows(scheme, cakes),
        batch=batch,
        weigh=tuple(weighed_on_scale(scheme, line, batch) for line in in_stores(scheme, batch)),
        jugs=jugs,
        layers=layers_of(scheme, batch),
        steps=bench_steps(scheme, batch, cakes, jugs),
    )


def weighed_on_scale(scheme: Scheme, line: Line, batch: Quantity) -> Weighed:
    """Return a line as it is weighed, in whole steps of its scale."""
    fine = ingredient(line.ingredient).kind in FINE
    step = scheme.stores.fine_scale if fine else scheme.stores.scale
    mass = _on_scale(line.mass, step)
    note = note_on(scheme, line.ingredient, batch)
    soak = soak_water(scheme, batch)
    if line.ingredient == "water" and soak is not None and soak < line.mass:
        shown = _shown(_on_scale(soak, scheme.stores.scale), scheme.stores.scale)
        note = f"Of it {shown} to soak the gelatin."
    if abs(mass.m - line.mass.m_as("g")) > COARSE * line.mass.m_as("g"):
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
    for kind, (cake, count) in enumerate(zip(scheme.cakes, cakes, strict=True)):
        if count:
            sizes = ", ".join(f"{name} {say(size)}" for name, size in cake.sizes.items())
            rows.append(CakeRow(f"{cake.shape}, {sizes}", count, pour_of(scheme, kind)))
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
            dose_for(jug, parts[jug.name]),
            bool(parts[jug.name] < least),
        )
        for jug in colours
    )
