"""What a marble looks like: an illustration of shares, after a model of ink on water."""

from __future__ import annotations

import hashlib
import math
from collections.abc import Callable, Sequence
from itertools import pairwise
from typing import TypeAlias

from calculators.faults import Fault, fault_error, refuse
from calculators.frozen import frozen
from calculators.marbling.shares import SHARES, TWICE, Shares, layers
from calculators.units import InstanceOf, Measure, Quantity, calculator, q

Point: TypeAlias = tuple[float, float]


# --- patterns: an illustration of shares -----------------------------------------------

_REACH_LIMIT = 1e3


@frozen
class _Stroke:
    """A movement of a tool; lengths in radii of the poured puddle, angles in degrees."""

    def __post_init__(self) -> None:
        faults = []
        for name, value in vars(self).items():
            plain = isinstance(value, int | float) and not isinstance(value, bool)
            where = f"{type(self).__name__}, {name}"
            if not plain or not abs(value) <= _REACH_LIMIT:
                faults.append(
                    Fault(
                        where,
                        "is not a plain number in range",
                        repr(value)[:40],
                        "It must be from −1000 to 1000",
                        "Give radii of the puddle, or degrees for an angle",
                    )
                )
            elif name in ("reach", "length") and value < 0.01:
                faults.append(
                    Fault(
                        where,
                        "is too short",
                        str(value),
                        "It must be at least 0.01",
                        "Give it in radii of the puddle",
                    )
                )
        refuse(faults)

    def move(self, point: Point) -> Point:
        """Return where a point of the surface goes."""
        raise NotImplementedError

    @property
    def _grain(self) -> float:
        """The length over which the movement changes much."""
        raise NotImplementedError


@frozen
class Tine(_Stroke):
    """A tool drawn along a straight line, which drags the glaze beside it along.

    Parameters
    ----------
    x, y : float
        A point of the line, in radii of the puddle from its middle.
    angle : float
        Direction of the line in degrees, anticlockwise from the right.
    pull : float
        How far the glaze on the line goes.
    reach : float
        At this distance from the line it goes half as far.
    """

    x: float = 0.0
    y: float = 0.0
    angle: float = 90.0
    pull: float = 0.5
    reach: float = 0.1

    def move(self, point: Point) -> Point:
        """Return where a point goes: along the line only, so areas are kept."""
        along = math.cos(math.radians(self.angle)), math.sin(math.radians(self.angle))
        aside = (point[0] - self.x) * along[1] - (point[1] - self.y) * along[0]
        shift = self.pull * 2 ** (-abs(aside) / self.reach)
        return point[0] + shift * along[0], point[1] + shift * along[1]

    @property
    def _grain(self) -> float:
        return self.reach


@frozen
class Wave(_Stroke):
    """A shaking of the whole surface to and fro, in stripes.

    Parameters
    ----------
    angle : float
        Direction of the movement in degrees, anticlockwise from the right.
    size : float
        How far it goes at most, in radii of the puddle.
    length : float
        From one crest to the next, across the direction.
    """

    angle: float = 0.0
    size: float = 0.1
    length: float = 0.5

    def move(self, point: Point) -> Point:
        """Return where a point goes: along one direction only, so areas are kept."""
        along = math.cos(math.radians(self.angle)), math.sin(math.radians(self.angle))
        aside = point[0] * along[1] - point[1] * along[0]
        shift = self.size * math.sin(2 * math.pi * aside / self.length)
        return point[0] + shift * along[0], point[1] + shift * along[1]

    @property
    def _grain(self) -> float:
        return self.length / 4


@frozen
class Vortex(_Stroke):
    """A tool turned on the spot, which takes the glaze around with it.

    Parameters
    ----------
    x, y : float
        Where it turns, in radii of the puddle from its middle.
    turn : float
        How far the glaze at the spot turns, in degrees.
    reach : float
        At this distance it turns half as far.
    """

    x: float = 0.0
    y: float = 0.0
    turn: float = 180.0
    reach: float = 0.3

    def move(self, point: Point) -> Point:
        """Return where a point goes: on its circle only, so areas are kept."""
        dx, dy = point[0] - self.x, point[1] - self.y
        angle = math.radians(self.turn) * 2 ** (-math.hypot(dx, dy) / self.reach)
        c, s = math.cos(angle), math.sin(angle)
        return self.x + c * dx - s * dy, self.y + s * dx + c * dy

    @property
    def _grain(self) -> float:
        return self.reach


@frozen
class Patch:
    """One pour of one colour, as an outline; later patches lie on top of it.

    Parameters
    ----------
    colour : str
        Its name.
    outline : tuple of points
        A closed polygon; x and y in radii of the puddle.
    on : int or None
        The patch in which it was poured, by its place in the pattern.
    """

    colour: str
    outline: tuple[Point, ...]
    on: int | None


@frozen
class Pattern:
    """A marbled puddle seen from above, in the order in which it is painted.

    Parameters
    ----------
    patches : tuple of Patch
        The first lies lowest.
    """

    patches: tuple[Patch, ...]

    def shares(self) -> dict[str, Quantity]:
        """Return each colour's share of the surface, measured from the outlines.

        What is seen of a patch is its area without the patches poured in it.

        Returns
        -------
        dict
            Percent for each colour.
        """
        seen = [polygon_area(patch.outline) for patch in self.patches]
        whole = list(seen)
        for place, patch in enumerate(self.patches):
            if patch.on is not None:
                seen[patch.on] -= whole[place]
        total = sum(seen)
        sums: dict[str, float] = {}
        for patch, area in zip(self.patches, seen, strict=True):
            sums[patch.colour] = sums.get(patch.colour, 0.0) + area
        return {name: q(100 * area / total, "percent") for name, area in sums.items()}


@calculator(
    returns="a pattern",
    shares=SHARES,
    main=InstanceOf(str, "the name of the main colour"),
    strokes=InstanceOf((tuple, list), "a list of strokes such as Tine or Vortex"),
    seed=InstanceOf((int, str), "a whole number or a word"),
    rounds=Measure("", 1, 6),
)
def pattern(
    shares: Shares,
    main: str,
    strokes: Sequence[_Stroke] = (),
    seed: int | str = 1,
    rounds: Quantity = TWICE,
) -> Pattern:
    """Return a marbled puddle whose colours keep their shares: an illustration.

    The layers of the jug are dropped one into another, then each stroke moves the
    whole surface.  A drop of radius r moves a point at distance d to
    sqrt(d² + r²); no step changes an area.

    Parameters
    ----------
    shares : mapping
        A share for each colour, above 0; together they make one.
    main : str
        The colour that goes between the others.
    strokes : sequence
        :class:`Tine`, :class:`Wave` and :class:`Vortex`, in their order.
    seed : int or str
        Decides how the hand wanders; the same seed gives the same pattern.
    rounds : quantity or number
        How many times the colours are gone through, from 1 to 6.

    Returns
    -------
    Pattern
        Outlines in radii of the puddle; its measured shares are those asked for to
        0.2 % of the puddle.  Strokes that stir finer than a picture shows are refused.

    Examples
    --------
    >>> shares = {"white": 0.5, "red": 0.25, "blue": 0.25}
    >>> marble = pattern(shares, "white", [Tine(pull=0.4), Vortex(0.3, 0.1)])
    >>> [round(share.m) for share in marble.shares().values()]
    [50, 25, 25]

    Notes
    -----
    *Watch out*: a real glaze folds, sinks and runs down the side.  The picture shows
    what a half and two quarters look like, and no more.

    Source: [lu-marbling2012]: drop, tine line, wave and vortex; the hand's wandering
    is ours.
    """
    refuse(
        Fault(
            f"pattern, strokes, row {place}",
            "is not a stroke",
            repr(stroke)[:60],
            "It must be a Tine, a Wave or a Vortex",
            "Write it like Tine(angle=90, pull=0.5)",
        )
        for place, stroke in enumerate(strokes, 1)
        if not isinstance(stroke, _Stroke)
    )
    poured: list[Patch] = []
    depth = 0.0
    for place, (name, mass) in enumerate(layers(q(1, "kg"), shares, main, rounds)):
        area = math.pi * mass.m / 1000
        middle = _wander(seed, place, math.sqrt(depth / math.pi))
        on = _patch_under(middle, poured)
        poured = [_moved(patch, _pushed_by(middle, area)) for patch in poured]
        poured.append(Patch(name, _circle(middle, area), on))
        depth += area
    for place, stroke in enumerate(strokes, 1):
        poured = _stroked(poured, stroke, f"pattern, strokes, row {place}")
    return Pattern(tuple(poured))


def polygon_area(outline: Sequence[Point]) -> float:
    """Return the area inside a closed polygon, whichever way round it runs.

    >>> polygon_area([(0, 0), (2, 0), (2, 3), (0, 3)])
    6.0
    """
    try:
        closed = [*outline, *outline[:1]]
        twice = sum(x0 * y1 - x1 * y0 for (x0, y0), (x1, y1) in pairwise(closed))
        area = abs(float(twice)) / 2
    except (TypeError, ValueError, KeyError, ArithmeticError):
        area = math.nan
    if not math.isfinite(area):
        raise fault_error(
            "polygon_area, outline",
            "is not a list of points",
            repr(outline)[:60],
            "A point is (x, y), two plain numbers",
            "Write it like [(0, 0), (2, 0), (2, 3)]",
        )
    return area


# --- helpers ------------------------------------------------------------------------

_SIDES = 120  # of a fresh drop
_LONGEST = 0.1  # an edge that a movement has stretched beyond this is cut in two
_BENT = 0.001  # a movement that bends an edge by more has it cut in two as well
_MOST_POINTS = 200_000  # in all outlines: more than a picture shows
_CUTS = 24  # an edge close by the middle of a drop is stretched most


def _wander(seed: int | str, place: int, radius: float) -> Point:
    """Return where the hand is: within a third of the puddle that is there already."""
    digest = hashlib.blake2b(f"{seed}/{place}".encode(), digest_size=8).digest()
    far = int.from_bytes(digest[:4], "big") / 2**32 * radius / 3
    angle = int.from_bytes(digest[4:], "big") / 2**32 * 2 * math.pi
    return far * math.cos(angle), far * math.sin(angle)


def _circle(middle: Point, area: float) -> tuple[Point, ...]:
    """Return a polygon of many equal sides that has exactly this area."""
    step = 2 * math.pi / _SIDES
    radius = math.sqrt(2 * area / (_SIDES * math.sin(step)))
    return tuple(
        (
            middle[0] + radius * math.cos(i * step),
            middle[1] + radius * math.sin(i * step),
        )
        for i in range(_SIDES)
    )


def _pushed_by(middle: Point, area: float) -> Callable[[Point], Point]:
    """Return how a fresh drop pushes every other point away from its middle."""
    x, y = middle
    square = area / math.pi

    def push(point: Point) -> Point:
        dx, dy = point[0] - x, point[1] - y
        away = math.sqrt(1 + square / max(dx * dx + dy * dy, 1e-18))
        return x + dx * away, y + dy * away

    return push


def _stroked(poured: Sequence[Patch], stroke: _Stroke, where: str) -> list[Patch]:
    """Return all patches moved by a stroke; one too fine to be drawn is refused."""
    moved: list[Patch] = []
    points = 0
    for patch in poured:
        moved.append(_moved(patch, stroke.move, stroke._grain))
        points += len(moved[-1].outline)
        if points > _MOST_POINTS:
            raise fault_error(
                where,
                "stirs it finer than a picture shows",
                str(stroke),
                f"The outlines must have at most {_MOST_POINTS} points together",
                "Leave this stroke out, or make it gentler and wider",
            )
    return moved


def _moved(patch: Patch, move: Callable[[Point], Point], grain: float = 1.0) -> Patch:
    """Return a patch moved, with points added wherever an edge was stretched or bent."""
    outline: list[Point] = []
    closed = [*patch.outline, patch.outline[0]]
    images = [move(point) for point in closed]
    for before, after in zip(pairwise(closed), pairwise(images), strict=True):
        outline.append(after[0])
        _cut(*before, *after, move, grain / 2, outline, _CUTS)
    return Patch(patch.colour, tuple(outline), patch.on)


def _cut(
    start: Point,
    end: Point,
    moved_start: Point,
    moved_end: Point,
    move: Callable[[Point], Point],
    grain: float,
    outline: list[Point],
    cuts: int,
) -> None:
    if cuts == 0 or len(outline) > _MOST_POINTS:
        return
    stretched = math.dist(moved_start, moved_end) > _LONGEST
    still = math.dist(start, moved_start) < _BENT and math.dist(end, moved_end) < _BENT
    if still and not stretched:
        return
    middle = (start[0] + end[0]) / 2, (start[1] + end[1]) / 2
    moved = move(middle)
    if not stretched and math.dist(start, end) <= grain:
        across = moved_start[0] + moved_end[0], moved_start[1] + moved_end[1]
        if math.dist(moved, (across[0] / 2, across[1] / 2)) <= _BENT:
            return
    rest = move, grain, outline, cuts - 1
    _cut(start, middle, moved_start, moved, *rest)
    outline.append(moved)
    _cut(middle, end, moved, moved_end, *rest)


def _patch_under(point: Point, poured: Sequence[Patch]) -> int | None:
    """Return the place of the topmost patch that holds a point."""
    places = reversed(range(len(poured)))
    return next((n for n in places if _inside(point, poured[n].outline)), None)


def _inside(point: Point, outline: Sequence[Point]) -> bool:
    x, y = point
    odd = False
    for (x0, y0), (x1, y1) in pairwise([*outline, outline[0]]):
        if (y0 > y) != (y1 > y) and x < x0 + (y - y0) * (x1 - x0) / (y1 - y0):
            odd = not odd
    return odd
