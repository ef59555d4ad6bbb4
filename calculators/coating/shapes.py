"""The shapes of cakes, their areas and volumes."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import fields
from typing import ClassVar

from calculators.faults import Fault, fault_error, refuse
from calculators.frozen import frozen
from calculators.units import InstanceOf, Measure, Quantity, calculator, is_quantity, q, say

# --- the shapes ---------------------------------------------------------------------


@frozen
class Shape:
    """A cake to be glazed; the kinds below say what it is measured by.

    Every size is a length above zero and at most 2 m.  ``covers`` says which
    faces take glaze.
    """

    covers: ClassVar[str] = ""
    _size: ClassVar[Measure] = Measure("cm", above=0, high=200)
    _centimetres: ClassVar[dict[str, float]]  # of one cake, set when it is made

    def __post_init__(self) -> None:
        kind = type(self).__name__
        checked = {
            size.name: self._size.check(f"{kind}, {size.name}", getattr(self, size.name))
            for size in fields(self)
        }
        refuse(fault for _, fault in checked.values() if fault)
        centimetres = {name: float(value.m) for name, (value, _) in checked.items()}
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


@frozen
class _Upright(Shape):
    """A cake with a flat top and upright walls: its plan and its height say all."""

    def _plan(self) -> tuple[float, float]:
        """Area and edge of the top, cm² and cm; the edge of a hole counts."""
        raise NotImplementedError

    def _area(self) -> float:
        top, edge = self._plan()
        return top + edge * self._cm("height")

    def _volume(self) -> float:
        return self._plan()[0] * self._cm("height")


@frozen
class Cylinder(_Upright):
    """A round cake: the top and the wall take glaze.

    Parameters
    ----------
    diameter, height : quantity
        Lengths, above 0 and at most 2 m.
    """

    diameter: Quantity
    height: Quantity
    covers: ClassVar[str] = "the top and the wall"

    def _plan(self) -> tuple[float, float]:
        d = self._cm("diameter")
        return math.pi / 4 * d**2, math.pi * d


@frozen
class Ring(_Upright):
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

    def _plan(self) -> tuple[float, float]:
        out, hole = self._cm("outer"), self._cm("inner")
        return math.pi / 4 * (out**2 - hole**2), math.pi * (out + hole)


@frozen
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


@frozen
class YuleLog(Shape):
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


@frozen
class Slab(_Upright):
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

    def _plan(self) -> tuple[float, float]:
        a, b = self._cm("length"), self._cm("width")
        return a * b, 2 * (a + b)


@frozen
class _Tube(Shape):
    """A ring that is round: a torus, or the upper half of one."""

    outer: Quantity
    inner: Quantity
    _share: ClassVar[float]  # how much of a torus it is

    def _fits(self) -> None:
        _hole_fits(self, self.outer, self.inner)

    def _radii(self) -> tuple[float, float]:
        """Radius to the middle of the tube, and radius of the tube, in cm."""
        outer, inner = self._cm("outer"), self._cm("inner")
        return (outer + inner) / 4, (outer - inner) / 4

    def _area(self) -> float:
        middle, tube = self._radii()
        return self._share * 4 * math.pi**2 * middle * tube

    def _volume(self) -> float:
        middle, tube = self._radii()
        return self._share * 2 * math.pi**2 * middle * tube**2


@frozen
class Savarin(_Tube):
    """A round-topped ring, half a torus on its flat side: the curved face takes glaze.

    Parameters
    ----------
    outer, inner : quantity
        Diameter of the cake and of its hole, measured at the base; at most 2 m.
    """

    covers: ClassVar[str] = "the curved face"
    _share: ClassVar[float] = 0.5


@frozen
class Torus(_Tube):
    """A whole torus, round all the way: all of its face takes glaze.

    Parameters
    ----------
    outer, inner : quantity
        Widest diameter of the cake and narrowest of its hole; at most 2 m.
    """

    covers: ClassVar[str] = "the whole face"
    _share: ClassVar[float] = 1.0


@frozen
class Loaf(_Upright):
    """A cake with rounded corners: the top and the wall all round take glaze.

    Parameters
    ----------
    length, width, height : quantity
        Lengths, above 0 and at most 2 m.
    corner : quantity
        Radius of its four corners, at most half its width.
    """

    length: Quantity
    width: Quantity
    height: Quantity
    corner: Quantity
    covers: ClassVar[str] = "the top and the wall all round"

    def _fits(self) -> None:
        most = min(self._cm("length"), self._cm("width")) / 2
        if self._cm("corner") > most:
            raise fault_error(
                "Loaf, corner",
                "is rounder than the cake is wide",
                f"{self._cm('corner'):g} cm",
                f"It must be at most {most:g} cm, half the narrow side",
                "Give the radius of a corner",
            )

    def _plan(self) -> tuple[float, float]:
        a, b, r = self._cm("length"), self._cm("width"), self._cm("corner")
        return a * b - (4 - math.pi) * r * r, 2 * (a + b) - (8 - 2 * math.pi) * r


@frozen
class Heart(_Upright):
    """A heart: a square on its tip with a half circle on two sides; top and wall take glaze.

    Parameters
    ----------
    width, height : quantity
        Across both bows, and of the wall; at most 2 m.  A heart with a longer tip has
        more: measure its area.
    """

    width: Quantity
    height: Quantity
    covers: ClassVar[str] = "the top and the wall"

    def _plan(self) -> tuple[float, float]:
        side = self._cm("width") / (1 + math.sqrt(0.5))  # of its square
        return side**2 * (1 + math.pi / 4), side * (2 + math.pi)


@frozen
class Egg(Shape):
    """A half egg on its flat side, both ends alike: the curved face takes glaze.

    Parameters
    ----------
    length, width : quantity
        Of its base, at most 2 m; it is half as high as wide.
    """

    length: Quantity
    width: Quantity
    covers: ClassVar[str] = "the curved face"

    def _fits(self) -> None:
        if self._cm("length") < self._cm("width"):
            raise fault_error(
                "Egg, length",
                "is shorter than the egg is wide",
                f"{self._cm('length'):g} cm",
                f"It must be at least {self._cm('width'):g} cm",
                "Swap the two",
            )

    def _area(self) -> float:
        half, across = self._cm("length") / 2, self._cm("width") / 2
        bend = math.sqrt(1 - (across / half) ** 2)
        stretched = 1.0 if bend < 1e-6 else math.asin(bend) / bend
        return math.pi * across * (across + half * stretched)

    def _volume(self) -> float:
        return math.pi / 12 * self._cm("length") * self._cm("width") ** 2


@frozen
class Measured(Shape):
    """Any cake whose face was measured: wrapped in paper, the paper cut and weighed.

    Parameters
    ----------
    area : quantity
        Of all that takes glaze, above 0 and at most 4 m².
    """

    area: Quantity
    covers: ClassVar[str] = "all that was measured"
    _size: ClassVar[Measure] = Measure("cm**2", above=0, high=40_000)

    def _area(self) -> float:
        return self._cm("area")

    def _volume(self) -> float:
        raise fault_error(
            "volume, shape",
            "is known by its area alone",
            say(self.area),
            "An area says nothing of how much is under it",
            "Weigh the mousse, or fill the mould with water",
        )


SHAPES: dict[str, type[Shape]] = {
    "cylinder": Cylinder,
    "ring": Ring,
    "dome": Dome,
    "log": YuleLog,
    "slab": Slab,
    "savarin": Savarin,
    "torus": Torus,
    "loaf": Loaf,
    "heart": Heart,
    "egg": Egg,
}
OTHER = "other"  # a cake that is known by its area alone


# --- how much glaze -----------------------------------------------------------------


@calculator(
    returns="a shape",
    name=InstanceOf(str, "the name of a shape"),
    sizes=InstanceOf(Mapping, "a table of sizes by name"),
)
def shape(name: str, sizes: Mapping[str, Quantity]) -> Shape:
    """Return a shape from its name and its sizes, as a scheme of work writes them.

    Parameters
    ----------
    name : str
        One of :data:`SHAPES`: cylinder, ring, dome, log, slab, savarin, torus, loaf,
        heart, egg; any, or *other*, where its area is given.
    sizes : mapping
        The sizes by name, each a length above 0 and at most 2 m; or its *area* alone.

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
    if (name in SHAPES or name == OTHER) and set(sizes) == {"area"}:
        return Measured(sizes["area"])
    if name not in SHAPES:
        raise fault_error(
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
    refuse(faults)
    return SHAPES[name](**sizes)


@calculator(returns="cm**2", shape=InstanceOf(Shape, "a shape such as Cylinder or Ring"))
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


@calculator(returns="cm**3", shape=InstanceOf(Shape, "a shape such as Cylinder or Ring"))
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


def _hole_fits(ring: Shape, outer: Quantity, inner: Quantity) -> None:
    if inner >= outer:
        raise fault_error(
            f"{type(ring).__name__}, inner",
            "is not smaller than the cake",
            f"{inner.to('cm').m:g} cm",
            f"It must be below {outer.to('cm').m:g} cm",
            "Give diameters, and the hole second",
        )
