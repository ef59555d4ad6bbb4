"""How much glaze it takes to cover these cakes.

The area of a cake is plain geometry.  How much glaze stays on a square centimetre
is known only as a band from memory, so weigh your own cakes: a coat found by
:func:`coat` is better than any number here.  No published table of coats was found.

The films at the end of the module (draining, dipping) are an aside.  They show why
a thin hot glaze leaves a thin coat.  They do not foretell the coat: a glaze on a
frozen cake sets before it has drained.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, fields
from typing import Any, ClassVar

from calculators.blending import GRAVITY
from calculators.faults import Fault, FaultsError, refuse
from calculators.sources import Row, table
from calculators.units import Band, Measure, Quantity, Thing, is_quantity, q, say, takes

_SIZE = Measure("cm", above=0, high=200)
_COUNT = Measure("", 1, 10_000)
_DIP_LIMIT = 0.2  # capillary number; Landau and Levich hold well below 1


# --- the shapes ---------------------------------------------------------------------


@dataclass(frozen=True)
class Shape:
    """A cake to be glazed; the kinds below say what it is measured by.

    Every size is a length above nought and at most 2 m.  ``covers`` says which
    faces take glaze.
    """

    covers: ClassVar[str] = ""
    _centimetres: ClassVar[dict[str, float]]  # of one cake, set when it is made

    def __post_init__(self) -> None:
        kind = type(self).__name__
        faults, centimetres = [], {}
        for size in fields(self):
            value, fault = _SIZE.check(f"{kind}, {size.name}", getattr(self, size.name))
            if fault:
                faults.append(fault)
            else:
                centimetres[size.name] = float(value.m)
        if faults:
            raise FaultsError(faults)
        object.__setattr__(self, "_centimetres", centimetres)
        self._fits()

    def _fits(self) -> None:
        """Refuse sizes that do not go together."""

    def _cm(self, name: str) -> float:
        return self._centimetres[name]

    def _area(self) -> float:
        raise NotImplementedError

    def _volume(self) -> float:
        raise NotImplementedError


@dataclass(frozen=True)
class Cylinder(Shape):
    """A round cake: the top and the wall take glaze.

    Parameters
    ----------
    diameter, height : quantity
        Lengths, above 0 and at most 2 m.
    """

    diameter: Quantity
    height: Quantity
    covers: ClassVar[str] = "the top and the wall"

    def _area(self) -> float:
        d, h = self._cm("diameter"), self._cm("height")
        return math.pi * (d * d / 4 + d * h)

    def _volume(self) -> float:
        return math.pi / 4 * self._cm("diameter") ** 2 * self._cm("height")


@dataclass(frozen=True)
class Ring(Shape):
    """A round cake with a straight hole: the top and both walls take glaze.

    Parameters
    ----------
    outer, inner, height : quantity
        Diameter of the cake, diameter of the hole, and height; at most 2 m.
    """

    outer: Quantity
    inner: Quantity
    height: Quantity
    covers: ClassVar[str] = "the top, the outer wall and the inner wall"

    def _fits(self) -> None:
        _hole_fits(self, self.outer, self.inner)

    def _area(self) -> float:
        out, hole, h = self._cm("outer"), self._cm("inner"), self._cm("height")
        return math.pi * ((out * out - hole * hole) / 4 + (out + hole) * h)

    def _volume(self) -> float:
        ring = self._cm("outer") ** 2 - self._cm("inner") ** 2
        return math.pi / 4 * ring * self._cm("height")


@dataclass(frozen=True)
class Dome(Shape):
    """A half ball: the curved face takes glaze.

    Parameters
    ----------
    diameter : quantity
        Of its base, above 0 and at most 2 m.
    """

    diameter: Quantity
    covers: ClassVar[str] = "the curved face"

    def _area(self) -> float:
        return math.pi / 2 * self._cm("diameter") ** 2

    def _volume(self) -> float:
        return math.pi / 12 * self._cm("diameter") ** 3


@dataclass(frozen=True)
class Log(Shape):
    """A half-round log: the curved face and both ends take glaze.

    Parameters
    ----------
    diameter : quantity
        Width of the base, twice the height of the log; at most 2 m.
    length : quantity
        Above 0 and at most 2 m.
    """

    diameter: Quantity
    length: Quantity
    covers: ClassVar[str] = "the curved face and both ends"

    def _area(self) -> float:
        d, long = self._cm("diameter"), self._cm("length")
        return math.pi * (d / 2 * long + d * d / 4)

    def _volume(self) -> float:
        return math.pi / 8 * self._cm("diameter") ** 2 * self._cm("length")


@dataclass(frozen=True)
class Slab(Shape):
    """A cake with square corners: the top and four sides take glaze.

    Parameters
    ----------
    length, width, height : quantity
        Lengths, above 0 and at most 2 m.
    """

    length: Quantity
    width: Quantity
    height: Quantity
    covers: ClassVar[str] = "the top and four sides"

    def _area(self) -> float:
        a, b, h = self._cm("length"), self._cm("width"), self._cm("height")
        return a * b + 2 * (a + b) * h

    def _volume(self) -> float:
        return self._cm("length") * self._cm("width") * self._cm("height")


@dataclass(frozen=True)
class Savarin(Shape):
    """A round-topped ring, half a torus on its flat side: the curved face takes glaze.

    Parameters
    ----------
    outer, inner : quantity
        Diameter of the cake and of its hole, measured at the base; at most 2 m.
    """

    outer: Quantity
    inner: Quantity
    covers: ClassVar[str] = "the curved face"

    def _fits(self) -> None:
        _hole_fits(self, self.outer, self.inner)

    def _area(self) -> float:
        middle, tube = _torus_radii(self)
        return 2 * math.pi**2 * middle * tube

    def _volume(self) -> float:
        middle, tube = _torus_radii(self)
        return math.pi**2 * middle * tube**2


@dataclass(frozen=True)
class Torus(Shape):
    """A whole torus, round all the way: all of its face takes glaze.

    Parameters
    ----------
    outer, inner : quantity
        Widest diameter of the cake and narrowest of its hole; at most 2 m.
    """

    outer: Quantity
    inner: Quantity
    covers: ClassVar[str] = "the whole face"

    def _fits(self) -> None:
        _hole_fits(self, self.outer, self.inner)

    def _area(self) -> float:
        middle, tube = _torus_radii(self)
        return 4 * math.pi**2 * middle * tube

    def _volume(self) -> float:
        middle, tube = _torus_radii(self)
        return 2 * math.pi**2 * middle * tube**2


SHAPES: dict[str, type[Shape]] = {
    "cylinder": Cylinder,
    "ring": Ring,
    "dome": Dome,
    "log": Log,
    "slab": Slab,
    "savarin": Savarin,
    "torus": Torus,
}


# --- how much glaze -----------------------------------------------------------------


@takes(
    "a shape",
    name=Thing(str, "the name of a shape"),
    sizes=Thing(Mapping, "a table of sizes by name"),
)
def shape(name: str, sizes: Mapping[str, Quantity]) -> Shape:
    """Return a shape from its name and its sizes, as a scheme of work writes them.

    Parameters
    ----------
    name : str
        One of :data:`SHAPES`: cylinder, ring, dome, log, slab, savarin, torus.
    sizes : mapping
        The sizes by name, each a length above 0 and at most 2 m.

    Returns
    -------
    Shape
        The cake, checked.

    Examples
    --------
    >>> from calculators.units import q, say
    >>> say(area(shape("dome", {"diameter": q(7, "cm")})))
    '77 cm²'

    Notes
    -----
    *Watch out*: a ring needs the diameter of its hole as well.

    Source: none needed; it only picks a shape.
    """
    if name not in SHAPES:
        raise refuse(
            "shape",
            "is not a known shape",
            name,
            "It must be one of: " + ", ".join(SHAPES),
            "Choose the one that comes nearest",
        )
    wanted = [size.name for size in fields(SHAPES[name])]
    faults = [
        Fault(
            f"{name}, {size}",
            "is missing",
            "",
            f"A {name} is measured by its {' and '.join(wanted)}",
            "Add it as a length",
        )
        for size in wanted
        if size not in sizes
    ] + [
        Fault(
            f"{name}, {size}",
            "is not a size of this shape",
            say(sizes[size]) if is_quantity(sizes[size]) else str(sizes[size]),
            f"A {name} is measured by its {' and '.join(wanted)}",
            "Leave it out, or choose another shape",
        )
        for size in sizes
        if size not in wanted
    ]
    if faults:
        raise FaultsError(faults)
    return SHAPES[name](**sizes)


@takes("cm**2", shape=Thing(Shape, "a shape such as Cylinder or Ring"))
def area(shape: Shape) -> Quantity:
    """Return the area that takes glaze: top and sides, never the base.

    A cylinder has pi (d²/4 + d h); a ring has the inner wall as well.

    Parameters
    ----------
    shape : Shape
        The cake; each size above 0 and at most 2 m.

    Returns
    -------
    quantity
        In cm², exact for the ideal shape.

    Examples
    --------
    >>> from calculators.units import q, say
    >>> say(area(Cylinder(q(18, "cm"), q(4.5, "cm"))))
    '509 cm²'

    Notes
    -----
    *Watch out*: the inner wall of a ring is easily forgotten, and it is glazed.

    Source: geometry; nothing to look up.
    """
    return q(shape._area(), "cm**2")


@takes("cm**3", shape=Thing(Shape, "a shape such as Cylinder or Ring"))
def volume(shape: Shape) -> Quantity:
    """Return how much the mould of a cake holds.

    Parameters
    ----------
    shape : Shape
        The cake; each size above 0 and at most 2 m.

    Returns
    -------
    quantity
        In cm³ (millilitres), exact for the ideal shape.

    Examples
    --------
    >>> from calculators.units import q, say
    >>> say(volume(Cylinder(q(18, "cm"), q(4.5, "cm"))), "ml", digits=4)
    '1145 ml'

    Notes
    -----
    *Watch out*: twice the cake does not need twice the glaze.  The volume grows
    faster than the area.

    Source: geometry; nothing to look up.
    """
    return q(shape._volume(), "cm**3")


@takes(
    "g/cm**2",
    before=Measure("g", above=0, high=100_000),
    after=Measure("g", above=0, high=100_000),
    shape=Thing(Shape, "a shape such as Cylinder or Ring"),
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
        In g/cm².  As good as the scale and the shape: a 5 g step on 110 g of glaze
        is already 5 %.

    Examples
    --------
    >>> from calculators.units import q, say
    >>> say(coat(q(812, "g"), q(924, "g"), Cylinder(q(18, "cm"), q(4.5, "cm"))))
    '0.22 g/cm²'

    Notes
    -----
    *Watch out*: scrape off the skirt before the second weighing, or it counts as
    coat.

    Source: a balance of masses; nothing to look up.
    """
    if after < before:
        raise refuse(
            "coat, after",
            "is less than before",
            f"{after.m:g} g",
            f"It must be at least {before.m:g} g",
            "Check that both weighings had the same card, and their order",
        )
    return q((after.m - before.m) / shape._area(), "g/cm**2")


@takes(
    "g/cm**2",
    poured=Measure("g", above=0, high=1_000_000),
    recovered=Measure("g", low=0, high=1_000_000),
    cakes=Thing((list, tuple), "a list of (shape, how many)"),
)
def coat_from_jug(
    poured: Quantity,
    recovered: Quantity,
    cakes: Sequence[tuple[Shape, int]],
) -> Quantity:
    """Return the mean coat of a whole rack, from what was poured and what came back.

    The coat is (poured - recovered) / area of all the cakes.

    Parameters
    ----------
    poured : quantity
        What left the jugs; above 0 and at most 1000 kg.
    recovered : quantity
        What was scraped from the tray, the rack and the skirts.
    cakes : sequence
        Pairs of a shape and how many of it.

    Returns
    -------
    quantity
        In g/cm².  What sticks to tray and scraper counts as coat here, so it comes
        out a little high.

    Examples
    --------
    >>> from calculators.units import q, say
    >>> rack = [(Dome(q(7, "cm")), 24)]
    >>> say(coat_from_jug(q(850, "g"), q(430, "g"), rack))
    '0.227 g/cm²'

    Notes
    -----
    *Watch out*: weigh the jug before and after.  What stays in the jug was never
    poured.

    Source: a balance of masses; nothing to look up.
    """
    if recovered > poured:
        raise refuse(
            "coat_from_jug, recovered",
            "is more than was poured",
            f"{recovered.m:g} g",
            f"It must be at most {poured.m:g} g",
            "Check whether the empty tray was taken off",
        )
    return q((poured.m - recovered.m) / _whole_area(cakes), "g/cm**2")


@takes(
    "mm",
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


@takes(
    "a band in g",
    cakes=Thing((list, tuple), "a list of (shape, how many)"),
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
        band 33 to 60 % (from memory).

    Returns
    -------
    Band
        In g.  With both values from your own weighings the band closes to a number.

    Examples
    --------
    >>> from calculators.units import q, say
    >>> rack = [(Cylinder(q(18, "cm"), q(4.5, "cm")), 4)]
    >>> say(glaze_needed(rack, q(0.22, "g/cm**2"), q(50, "percent")).typical)
    '896 g'
    >>> print(glaze_needed(rack))
    456 g to 1530 g, typically 896 g

    Notes
    -----
    *Watch out*: a run-off of 50 % means twice what stays, not half as much again.
    What clings to the jugs comes on top: see ``marbling.split_with_cling``.

    Source: coat and run-off from memory, see ``data/coating.csv``.
    """
    surface = _whole_area(cakes)
    coats = _three("coat", coat)
    runs = _three("run-off", run_off)
    low, typical, high = (
        q(surface * kept / (1 - lost / 100), "g") for kept, lost in zip(coats, runs, strict=True)
    )
    why = (
        "both values are your own weighings"
        if coat is not None and run_off is not None
        else "how much stays and how much runs off differ with glaze, cake and hand"
    )
    return Band(low, typical, high, why=why)


@takes("a band in g/cm**2")
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
    row = table("coating")["coat"]
    low, typical, high = (q(v, row.unit) for v in _three("coat", None))
    return Band(low, typical, high, row.provenance, row.note)


@takes("rows of a table")
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


# --- an aside: films that drain -----------------------------------------------------

_VISCOSITY = Measure("Pa*s", above=0, high=1000)
_DENSITY = Measure("kg/m**3", 900, 1600)
_DISTANCE = Measure("cm", above=0, high=100)


@takes(
    "mm",
    viscosity=_VISCOSITY,
    time=Measure("s", above=0, high=36_000),
    distance=_DISTANCE,
    density=_DENSITY,
)
def film(viscosity: Quantity, time: Quantity, distance: Quantity, density: Quantity) -> Quantity:
    """Return how thick a draining film still is, at a distance below the top edge.

    h = sqrt(viscosity x distance / (density x g x time)).

    Parameters
    ----------
    viscosity : quantity
        Above 0 and at most 1000 Pa s, and the same all the time.
    time : quantity
        Since the pour; above 0 and at most 10 h.
    distance : quantity
        Below the top edge of an upright wall; above 0 and at most 1 m.
    density : quantity
        From 900 to 1600 kg/m³.

    Returns
    -------
    quantity
        In mm.  The formula is exact for a film that does not set; a glaze does.

    Examples
    --------
    >>> from calculators.units import q, say
    >>> say(film(q(2, "Pa*s"), q(30, "s"), q(5, "cm"), q(1250, "kg/m**3")), digits=2)
    '0.52 mm'

    Notes
    -----
    *Watch out*: a glaze on a frozen cake gels within seconds, so real coats are
    thicker.  It holds only well after :func:`film_settles`.

    Source: [jeffreys1930]; the formula is from memory.
    """
    z = distance.m / 100
    return q(1000 * math.sqrt(viscosity.m * z / (density.m * GRAVITY * time.m)), "mm")


@takes(
    "mm",
    viscosity=_VISCOSITY,
    time=Measure("s", above=0, high=36_000),
    height=_DISTANCE,
    density=_DENSITY,
)
def mean_film(viscosity: Quantity, time: Quantity, height: Quantity, density: Quantity) -> Quantity:
    """Return the mean thickness of a draining film over a wall of some height.

    It is two thirds of the thickness at the foot.

    Parameters
    ----------
    viscosity : quantity
        Above 0 and at most 1000 Pa s, and the same all the time.
    time : quantity
        Since the pour; above 0 and at most 10 h.
    height : quantity
        Of the wall; above 0 and at most 1 m.
    density : quantity
        From 900 to 1600 kg/m³.

    Returns
    -------
    quantity
        In mm, with the same limits as :func:`film`.

    Examples
    --------
    >>> from calculators.units import q, say
    >>> say(mean_film(q(2, "Pa*s"), q(30, "s"), q(5, "cm"), q(1250, "kg/m**3")))
    '0.348 mm'

    Notes
    -----
    *Watch out*: the mean hides that the top edge is nearly bare.

    Source: the integral of the film of [jeffreys1930].
    """
    return film(viscosity, time, height, density) * (2 / 3)


@takes(
    "s",
    viscosity=_VISCOSITY,
    distance=_DISTANCE,
    density=_DENSITY,
    first=Measure("mm", above=0, high=50),
)
def film_settles(
    viscosity: Quantity, distance: Quantity, density: Quantity, first: Quantity
) -> Quantity:
    """Return the time before which :func:`film` must not be used.

    t = viscosity x distance / (density x g x first²): until then the wall still
    remembers how thickly it was poured.

    Parameters
    ----------
    viscosity : quantity
        Above 0 and at most 1000 Pa s.
    distance : quantity
        Below the top edge; above 0 and at most 1 m.
    density : quantity
        From 900 to 1600 kg/m³.
    first : quantity
        Thickness of the pour at the start; above 0 and at most 50 mm.

    Returns
    -------
    quantity
        In s.  Wait several times as long before the draining film means anything.

    Examples
    --------
    >>> from calculators.units import q, say
    >>> say(film_settles(q(2, "Pa*s"), q(5, "cm"), q(1250, "kg/m**3"), q(3, "mm")))
    '0.906 s'

    Notes
    -----
    *Watch out*: a glaze that thickens as it cools takes far longer.

    Source: follows from [jeffreys1930].
    """
    z, h = distance.m / 100, first.m / 1000
    return q(viscosity.m * z / (density.m * GRAVITY * h * h), "s")


@takes(
    "mm",
    viscosity=_VISCOSITY,
    speed=Measure("mm/s", above=0, high=1000),
    density=_DENSITY,
    surface_tension=Measure("mN/m", 5, 100),
)
def dipped_film(
    viscosity: Quantity,
    speed: Quantity,
    density: Quantity,
    surface_tension: Quantity,
) -> Quantity:
    """Return the film that a slowly lifted cake takes with it out of a bath.

    h = 0.944 x sqrt(tension / (density x g)) x Ca^(2/3), with
    Ca = viscosity x speed / tension.

    Parameters
    ----------
    viscosity : quantity
        Above 0 and at most 1000 Pa s.
    speed : quantity
        Of the lift; above 0, and so slow that Ca is at most 0.2.
    density : quantity
        From 900 to 1600 kg/m³.
    surface_tension : quantity
        From 5 to 100 mN/m; for a glaze see ``blending.SURFACE_TENSION``.

    Returns
    -------
    quantity
        In mm, before any draining.  The law is of slow lifts: near Ca 0.2 it is too
        thick, by a fifth or so (from memory).

    Examples
    --------
    >>> from calculators.units import q, say
    >>> slow = q(1, "mm/s")
    >>> say(dipped_film(q(1, "Pa*s"), slow, q(1250, "kg/m**3"), q(60, "mN/m")))
    '0.136 mm'

    Notes
    -----
    *Watch out*: thick glazes and quick hands leave its range; then use
    :func:`drawn_film`.

    Source: [landau-levich1942]; the formula is from memory.
    """
    tension = surface_tension.m / 1000
    capillary_number = viscosity.m * speed.m / 1000 / tension
    if capillary_number > _DIP_LIMIT:
        raise refuse(
            "dipped_film, speed",
            "is too quick for this formula",
            f"{speed.m:g} mm/s, Ca {capillary_number:.2g}",
            f"Ca must be at most {_DIP_LIMIT:g}, here "
            f"{_DIP_LIMIT * tension / viscosity.m * 1000:.3g} mm/s",
            "Lift more slowly, or use drawn_film",
        )
    length = math.sqrt(tension / (density.m * GRAVITY))
    return q(1000 * 0.944 * length * capillary_number ** (2 / 3), "mm")


@takes(
    "mm",
    viscosity=_VISCOSITY,
    speed=Measure("mm/s", above=0, high=1000),
    density=_DENSITY,
)
def drawn_film(viscosity: Quantity, speed: Quantity, density: Quantity) -> Quantity:
    """Return the film on a cake that is lifted quickly, when only weight holds it back.

    h = sqrt(viscosity x speed / (density x g)).

    Parameters
    ----------
    viscosity : quantity
        Above 0 and at most 1000 Pa s.
    speed : quantity
        Of the lift; above 0 and at most 1 m/s.
    density : quantity
        From 900 to 1600 kg/m³.

    Returns
    -------
    quantity
        In mm, the most that the lift can carry.

    Examples
    --------
    >>> from calculators.units import q, say
    >>> say(drawn_film(q(1, "Pa*s"), q(10, "mm/s"), q(1250, "kg/m**3")))
    '0.903 mm'

    Notes
    -----
    *Watch out*: it is a limit for thick liquids; slow lifts of thin ones carry less.

    Source: Derjaguin (1943), as quoted in the abstract of [benilov-zubkov2008].
    """
    return q(1000 * math.sqrt(viscosity.m * speed.m / 1000 / (density.m * GRAVITY)), "mm")


# --- helpers ------------------------------------------------------------------------


def _three(name: str, given: Quantity | None) -> tuple[float, float, float]:
    """Low, typical and high of a row, or three times the value that was given."""
    if given is not None:
        return given.m, given.m, given.m
    row = table("coating")[name]
    low, typical, high = row.low, row.value, row.high
    if low is None or typical is None or high is None:
        raise refuse(name, "has no band in data/coating.csv")
    return low, typical, high


def _hole_fits(ring: Shape, outer: Quantity, inner: Quantity) -> None:
    if inner >= outer:
        raise refuse(
            f"{type(ring).__name__}, inner",
            "is not smaller than the cake",
            f"{inner.to('cm').m:g} cm",
            f"It must be below {outer.to('cm').m:g} cm",
            "Give diameters, and the hole second",
        )


def _torus_radii(ring: Shape) -> tuple[float, float]:
    """Radius to the middle of the tube, and radius of the tube, in cm."""
    outer, inner = ring._cm("outer"), ring._cm("inner")
    return (outer + inner) / 4, (outer - inner) / 4


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
    if faults:
        raise FaultsError(faults)
    if not cakes:
        raise refuse("cakes", "is empty", "", "", "Name at least one shape")
    return surface
