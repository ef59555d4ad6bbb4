"""How much glaze these cakes take."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from calculators.coating.shapes import Shape
from calculators.faults import Fault, fault_error, refuse
from calculators.sources import Row, table
from calculators.units import Band, InstanceOf, Measure, Quantity, calculator, q

_COUNT = Measure("", 1, 10_000)
_MOST = 2.0  # g/cm², ten times a usual coat


@calculator(
    returns="g/cm**2",
    before=Measure("g", above=0, high=100_000),
    after=Measure("g", above=0, high=100_000),
    shape=InstanceOf(Shape, "a shape such as Cylinder or Ring"),
)
def coat(before: Quantity, after: Quantity, shape: Shape) -> Quantity:
    """Return how much glaze a square centimetre keeps, from weighing the cake.

    The coat is (after - before) / area.

    Parameters
    ----------
    before : quantity
        Mass of the cake on its card before glazing; above 0 and at most 100 kg.
    after : quantity
        Mass once it no longer drips, on the same card; at most 100 kg.
    shape : Shape
        The cake; each size above 0 and at most 2 m.

    Returns
    -------
    quantity
        In g/cm², at most 2.  As good as the scale and the shape: a 5 g step on 110 g of glaze
        is already 5 %.

    Examples
    --------
    >>> from calculators.units import q, say
    >>> from calculators.coating import Cylinder
    >>> say(coat(q(812, "g"), q(924, "g"), Cylinder(q(18, "cm"), q(4.5, "cm"))))
    '0.22 g/cm²'

    Notes
    -----
    *Watch out*: scrape off the skirt before the second weighing, or it counts as
    coat.

    Source: a balance of masses; nothing to look up.
    """
    if after < before:
        raise fault_error(
            "coat, after",
            "is less than before",
            f"{after.m:g} g",
            f"It must be at least {before.m:g} g",
            "Check that both weighings had the same card, and their order",
        )
    kept = (after.m - before.m) / shape._area()
    if kept > _MOST:
        raise fault_error(
            "coat, after",
            "is more than any coat weighs",
            f"{kept:.3g} g/cm²",
            f"The coat must be at most {_MOST:g} g/cm²",
            "Check both weighings and the sizes of the cake, and scrape off the skirt",
        )
    return q(kept, "g/cm**2")


@calculator(
    returns="mm",
    coat=Measure("g/cm**2", low=0, high=2),
    density=Measure("kg/m**3", 900, 1600),
)
def thickness(coat: Quantity, density: Quantity) -> Quantity:
    """Return how thick a coat is.

    The thickness is coat / density.

    Parameters
    ----------
    coat : quantity
        From 0 to 2 g/cm².
    density : quantity
        Of the glaze without air, from 900 to 1600 kg/m³.

    Returns
    -------
    quantity
        In mm, the mean over the cake.

    Examples
    --------
    >>> from calculators.units import q, say
    >>> say(thickness(q(0.22, "g/cm**2"), q(1250, "kg/m**3")))
    '1.76 mm'

    Notes
    -----
    *Watch out*: it is a mean.  The wall is thinner near the top and thicker at the
    foot.

    Source: the definition of density.
    """
    return q(coat.m / density.m * 1e4, "mm")


@calculator(
    returns="a band in g",
    cakes=InstanceOf((list, tuple), "a list of (shape, how many)"),
    coat=Measure("g/cm**2", above=0, high=2),
    run_off=Measure("percent", low=0, high=90),
)
def glaze_needed(
    cakes: Sequence[tuple[Shape, int]],
    coat: Quantity | None = None,
    run_off: Quantity | None = None,
) -> Band:
    """Return how much glaze to have in the jugs for these cakes.

    What is poured is area x coat / (1 - run-off).

    Parameters
    ----------
    cakes : sequence
        Pairs of a shape and how many of it.
    coat : quantity, optional
        What a square centimetre keeps, above 0 and at most 2 g/cm²; without it the
        band 0.15 to 0.30 g/cm² (from memory).
    run_off : quantity, optional
        Share of the pour that runs off the cake, from 0 to 90 %; without it the
        band 33 to 60 % (common practice).

    Returns
    -------
    Band
        In g.  With both values from your own weighings the band closes to a number.

    Examples
    --------
    >>> from calculators.units import q, say
    >>> from calculators.coating import Cylinder
    >>> rack = [(Cylinder(q(18, "cm"), q(4.5, "cm")), 4)]
    >>> say(glaze_needed(rack, q(0.22, "g/cm**2"), q(50, "percent")).typical)
    '896 g'
    >>> print(glaze_needed(rack))
    456 g to 1530 g, typically 896 g

    Notes
    -----
    *Watch out*: a run-off of 50 % means twice what stays, not half as much again.
    What clings to the jugs comes on top: see ``marbling.split_with_cling``.

    Source: coat from memory, run-off common practice, see ``data/coating.csv``.
    """
    surface = _whole_area(cakes)
    coats = _three("coat", coat)
    runs = _three("run-off", run_off)
    ends = (surface * kept / (1 - lost / 100) for kept, lost in zip(coats, runs, strict=True))
    why = (
        "both values are your own weighings"
        if coat is not None and run_off is not None
        else "how much stays and how much runs off differ with glaze, cake and hand"
    )
    return Band.of(ends, "g", why=why)


@calculator(returns="a band in g/cm**2")
def coat_band() -> Band:
    """Return the coat that is usual on a frozen cake, as a band from memory.

    Returns
    -------
    Band
        In g/cm².

    Examples
    --------
    >>> print(coat_band())
    0.15 g/cm² to 0.3 g/cm², typically 0.22 g/cm²

    Notes
    -----
    *Watch out*: weigh your own cakes; no measured source was found.

    Source: from memory, see ``data/coating.csv``.
    """
    return table("coating")["coat"].band()


@calculator(returns="rows of a table")
def reuse() -> tuple[Row, ...]:
    """Return what practice knows of glaze that is caught and used again.

    Returns
    -------
    tuple of Row
        Each with its note and provenance; directions and no numbers.

    Examples
    --------
    >>> print(reuse()[0].note)
    Each reheating drives off water, so a reused glaze needs water back

    Notes
    -----
    *Watch out*: never across allergens, and in doubt throw it out: see
    ``safety.caution("reuse")``.  How much water: ``formula.water_to_give_back``.
    Your local rules and your supervisor come first.

    Source: common practice, see ``data/coating_reuse.csv``.
    """
    return tuple(table("coating_reuse").values())


# --- helpers ------------------------------------------------------------------------


def _three(name: str, given: Quantity | None) -> tuple[float, float, float]:
    """Low, typical and high of a row, or three times the value that was given."""
    if given is not None:
        return given.m, given.m, given.m
    return table("coating")[name].three


def _whole_area(cakes: Sequence[Any]) -> float:
    """Area of all the cakes in cm²; every row that is not right is told at once."""
    faults, surface = [], 0.0
    for place, row in enumerate(cakes, 1):
        where = f"cakes, row {place}"
        if not (isinstance(row, tuple | list) and len(row) == 2 and isinstance(row[0], Shape)):
            faults.append(
                Fault(
                    where,
                    "is not a shape and how many",
                    repr(row)[:60],
                    "A row is (shape, how many)",
                    "Write it like (Dome(diameter), 24)",
                )
            )
            continue
        count, fault = _COUNT.check(where, row[1])
        if fault or count.m != round(count.m):
            faults.append(
                Fault(
                    where,
                    "does not say how many cakes",
                    fault.given if fault else f"{count.m:g}",
                    "It must be a whole number from 1 to 10000",
                    "Count the cakes of this shape",
                )
            )
        else:
            surface += row[0]._area() * count.m
    refuse(faults)
    if not cakes:
        raise fault_error("cakes", "is empty", "", "", "Name at least one shape")
    return surface
