"""How to share a glaze out into colours, layer them in a jug, and what comes of it.

Shares, cling and pour order are plain reckoning and common practice.  The patterns
follow a published model of ink on water.  They illustrate shares: nobody can
foretell the marble of a real pour.  No published table of marbled glazes was found.
"""

from __future__ import annotations

import hashlib
import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise
from typing import Any, TypeAlias

from calculators import colour as _colour
from calculators.faults import Fault, FaultsError, refuse
from calculators.sources import table
from calculators.units import Measure, Quantity, Thing, is_quantity, q, say, takes

Point: TypeAlias = tuple[float, float]
Shares: TypeAlias = Mapping[str, Any]

_SHARES = Thing(Mapping, "a table of shares by colour")
_MASS = Measure("g", above=0, high=1_000_000)
_CLOSE = 1e-6  # the shares must sum to one this closely
_ONCE, _TWICE = q(1), q(2)


# --- sharing out --------------------------------------------------------------------


@takes("a mass for each colour", total=_MASS, shares=_SHARES)
def split(total: Quantity, shares: Shares) -> dict[str, Quantity]:
    """Return what each colour gets of a mass of glaze.

    The mass of a colour is total x its share.

    Parameters
    ----------
    total : quantity
        Above 0 and at most 1000 kg.
    shares : mapping
        A share for each colour, above 0; together they make one.

    Returns
    -------
    dict
        A mass in g for each colour; they sum to the total.

    Examples
    --------
    >>> shares = {"white": q(50, "percent"), "red": 0.25, "blue": 0.25}
    >>> [say(mass) for mass in split(q(1.2, "kg"), shares).values()]
    ['600 g', '300 g', '300 g']

    Notes
    -----
    *Watch out*: a quarter may be too little to cover the blade: see
    ``blending.smallest_batch``.

    Source: a balance of masses; nothing to look up.
    """
    parts = _fractions("split", shares)
    return {name: q(total.m * part, "g") for name, part in parts.items()}


@takes(
    "a mass for each colour",
    total_needed=_MASS,
    shares=_SHARES,
    cling_per_jug=Measure("g", low=0, high=10_000),
)
def split_with_cling(
    total_needed: Quantity, shares: Shares, cling_per_jug: Quantity
) -> dict[str, Quantity]:
    """Return what to weigh into each jug, so that enough of it can be poured.

    The mass in a jug is total x share + what clings to that jug.

    Parameters
    ----------
    total_needed : quantity
        What must leave the jugs; above 0 and at most 1000 kg.
    shares : mapping
        A share for each colour, above 0; together they make one.
    cling_per_jug : quantity
        What stays on the wall of each jug, from 0 to 10 kg.

    Returns
    -------
    dict
        A mass in g for each jug.

    Examples
    --------
    >>> shares = {"white": 0.5, "red": 0.25, "blue": 0.25}
    >>> jugs = split_with_cling(q(1.2, "kg"), shares, q(12, "g"))
    >>> [say(mass) for mass in jugs.values()]
    ['612 g', '312 g', '312 g']

    Notes
    -----
    *Watch out*: adding the cling to the total and sharing that out leaves the small
    jugs short: each jug keeps the same, however little is in it.  The jug in which
    the layers are poured keeps some as well; count it into the total.

    Source: a balance of masses; the cling itself is from memory, see
    ``data/marbling.csv``.
    """
    masses = split(total_needed, _fractions("split_with_cling", shares))
    return {name: mass + cling_per_jug for name, mass in masses.items()}


@dataclass(frozen=True)
class Dominance:
    """The colour that there is most of, and whether there is enough of it.

    Parameters
    ----------
    colour : str
        Its name; the first one where two are equal.
    share : quantity
        Its share in percent.
    enough : bool
        Whether it has at least half.
    """

    colour: str
    share: Quantity
    enough: bool

    def __str__(self) -> str:
        """Return it as a sentence."""
        least = say(dominant_share())
        verdict = (
            f"at least the {least} that keep the other colours apart"
            if self.enough
            else f"less than {least}, so the colours will run together"
        )
        return f"{self.colour} has {say(self.share)}: {verdict}."


@takes("a share in percent")
def dominant_share() -> Quantity:
    """Return the least share of the colour that there is most of.

    Returns
    -------
    quantity
        In percent, a rule of the trade.

    Examples
    --------
    >>> dominant_share().m
    50.0

    Notes
    -----
    *Watch out*: it is a rule for three colours with a white base, not a law.

    Source: common practice, see ``data/marbling.csv``.
    """
    return table("marbling")["dominant share"].quantity


@takes("a verdict", shares=_SHARES)
def dominance(shares: Shares) -> Dominance:
    """Tell which colour there is most of, and whether it has at least half.

    Parameters
    ----------
    shares : mapping
        A share for each colour, above 0; together they make one.

    Returns
    -------
    Dominance
        The colour, its share and the verdict.

    Examples
    --------
    >>> dominance({"white": 0.5, "red": 0.25, "blue": 0.25}).enough
    True
    >>> dominance({"white": 0.4, "red": 0.3, "blue": 0.3}).enough
    False

    Notes
    -----
    *Watch out*: thirds look fair in the jugs and muddy on the cake.

    Source: common practice, see ``data/marbling.csv``.
    """
    parts = _fractions("dominance", shares)
    name = max(parts, key=lambda colour: parts[colour])
    share = q(100 * parts[name], "percent")
    return Dominance(name, share, share >= dominant_share() - q(1e-4, "percent"))


@takes(
    "a list of layers",
    base=Thing(str, "the name of the base"),
    colours=Thing((tuple, list), "a list of the other colours"),
)
def pour_order(base: str, colours: Sequence[str]) -> tuple[str, ...]:
    """Return the order in which the colours go into the pouring jug.

    The base comes first, between any two colours, and last.

    Parameters
    ----------
    base : str
        The colour that there is most of.
    colours : sequence of str
        The others, in the order wanted; a colour may come more than once.

    Returns
    -------
    tuple of str
        The layers, the first at the bottom of the jug.

    Examples
    --------
    >>> pour_order("white", ["red", "blue"])
    ('white', 'red', 'white', 'blue', 'white')

    Notes
    -----
    *Watch out*: two colours that touch make a third.  Hold all jugs in one bath to
    one temperature first, and do not stir.

    Source: common practice, no source.
    """
    faults = [
        Fault(
            f"pour_order, colours, row {place}",
            "is not a colour beside the base",
            str(name),
            f"The base is {base}",
            "Name another colour, or leave it out",
        )
        for place, name in enumerate(colours, 1)
        if name == base or not isinstance(name, str)
    ]
    if not colours:
        faults.append(Fault("pour_order, colours", "is empty", "", "", "Name at least one colour"))
    if faults:
        raise FaultsError(faults)
    order = [base]
    for name in colours:
        order += [name, base]
    return tuple(order)


@takes(
    "a list of layers with masses",
    total=_MASS,
    shares=_SHARES,
    base=Thing(str, "the name of the base"),
    rounds=Measure("", 1, 6),
)
def layers(
    total: Quantity, shares: Shares, base: str, rounds: Quantity = _ONCE
) -> tuple[tuple[str, Quantity], ...]:
    """Return the layers of the pouring jug with the mass of each.

    Every layer of a colour is equally heavy; see :func:`pour_order` for the order.

    Parameters
    ----------
    total : quantity
        What goes into the pouring jug; above 0 and at most 1000 kg.
    shares : mapping
        A share for each colour, above 0; together they make one.
    base : str
        The colour that goes between the others.
    rounds : quantity or number
        How many times the colours are gone through, from 1 to 6.

    Returns
    -------
    tuple
        Pairs of a colour and a mass in g; they sum to the total.

    Examples
    --------
    >>> shares = {"white": 0.5, "red": 0.25, "blue": 0.25}
    >>> for name, mass in layers(q(1.2, "kg"), shares, "white"):
    ...     print(name, say(mass))
    white 200 g
    red 300 g
    white 200 g
    blue 300 g
    white 200 g

    Notes
    -----
    *Watch out*: pour each layer gently onto the last, from close by, or the layers
    mix in the jug.

    Source: common practice for the order; the rest is a balance of masses.
    """
    parts = _fractions("layers", shares)
    if base not in parts:
        raise refuse(
            "layers, base",
            "has no share",
            base,
            "It must be one of: " + ", ".join(parts),
            "Choose the base among the colours",
        )
    if rounds.m != round(rounds.m):
        raise refuse(
            "layers, rounds",
            "is not a whole number",
            f"{rounds.m:g}",
            "It must be from 1 to 6",
            "Count how many times the colours are gone through",
        )
    order = pour_order(base, [n for n in parts if n != base] * round(rounds.m))
    return tuple((n, q(total.m * parts[n] / order.count(n), "g")) for n in order)


@takes(
    "a colour",
    left=Thing(Mapping, "a table of masses by colour"),
    colours=Thing(Mapping, "a table of colours by name"),
)
def left_over_colour(left: Mapping[str, Quantity], colours: Mapping[str, Any]) -> str:
    """Return roughly the colour of all left-overs mixed: an illustration.

    Parameters
    ----------
    left : mapping
        What is left of each colour: masses, or shares.
    colours : mapping
        The colour of each on a screen, ``"#rrggbb"``.

    Returns
    -------
    str
        ``"#rrggbb"``.  Bright colours together go grey, which is why left-overs are
        recoloured dark; the shade itself is not to be trusted.

    Examples
    --------
    >>> left = {"yellow": q(150, "g"), "blue": q(150, "g"), "red": q(150, "g")}
    >>> jugs = {"yellow": "#f2c230", "blue": "#2757a5", "red": "#c1272d"}
    >>> grey = _colour.lab(left_over_colour(left, jugs)).chroma
    >>> grey < min(_colour.lab(jug).chroma for jug in jugs.values()) / 2
    True

    Notes
    -----
    *Watch out*: a dark colour hides the grey and no crumbs.  Sieve, cool fast, label
    and date, and never across allergens.  Your local rules and your supervisor come
    first.

    Source: common practice for the grey, see ``coating.reuse``; [kubelka-munk1931]
    through ``colour.mix``.
    """
    faults = [
        Fault(
            "left_over_colour, colours",
            "has no colour for one of the left-overs",
            str(name),
            "",
            'Add it, like "#b5651d"',
        )
        for name in left
        if name not in colours
    ]
    if faults:
        raise FaultsError(faults)
    try:
        return _colour.mix([(colours[name], amount) for name, amount in left.items()])
    except FaultsError as met:
        rows = {f"parts, row {n}": str(name) for n, name in enumerate(left, 1)}
        raise FaultsError(_named(fault, rows) for fault in met.faults) from None


def _named(fault: Fault, rows: Mapping[str, str]) -> Fault:
    """Return a fault of a row of the mixture under the name of its left-over."""
    row, comma, rest = fault.where.partition(", colour")
    name = rows.get(row)
    if name is None:
        return replace(fault, where=f"left_over_colour, {fault.where}")
    table_of = "colours" if comma else "left"
    return replace(fault, where=f"left_over_colour, {table_of}, {name}{rest}")


# --- patterns: an illustration of shares -----------------------------------------------

_REACH_LIMIT = 1e3


@dataclass(frozen=True)
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
        if faults:
            raise FaultsError(faults)

    def move(self, point: Point) -> Point:
        """Return where a point of the surface goes."""
        raise NotImplementedError

    @property
    def _grain(self) -> float:
        """The length over which the movement changes much."""
        raise NotImplementedError


@dataclass(frozen=True)
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


@dataclass(frozen=True)
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


@dataclass(frozen=True)
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


@dataclass(frozen=True)
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


@dataclass(frozen=True)
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


@takes(
    "a pattern",
    shares=_SHARES,
    base=Thing(str, "the name of the base"),
    strokes=Thing((tuple, list), "a list of strokes such as Tine or Vortex"),
    seed=Thing((int, str), "a whole number or a word"),
    rounds=Measure("", 1, 6),
)
def pattern(
    shares: Shares,
    base: str,
    strokes: Sequence[_Stroke] = (),
    seed: int | str = 1,
    rounds: Quantity = _TWICE,
) -> Pattern:
    """Return a marbled puddle whose colours keep their shares: an illustration.

    The layers of the jug are dropped one into another, then each stroke moves the
    whole surface.  A drop of radius r moves a point at distance d to
    sqrt(d² + r²); no step changes an area.

    Parameters
    ----------
    shares : mapping
        A share for each colour, above 0; together they make one.
    base : str
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
    wrong = [
        Fault(
            f"pattern, strokes, row {place}",
            "is not a stroke",
            repr(stroke)[:60],
            "It must be a Tine, a Wave or a Vortex",
            "Write it like Tine(angle=90, pull=0.5)",
        )
        for place, stroke in enumerate(strokes, 1)
        if not isinstance(stroke, _Stroke)
    ]
    if wrong:
        raise FaultsError(wrong)
    poured: list[Patch] = []
    depth = 0.0
    for place, (name, mass) in enumerate(layers(q(1, "kg"), shares, base, rounds)):
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
        raise refuse(
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


def _fractions(where: str, shares: Shares) -> dict[str, float]:
    """Return the shares as fractions of one; tell everything that is not right."""
    faults, parts = [], {}
    for name, share in shares.items():
        size = share.to("").m if is_quantity(share) and share.dimensionless else share
        plain = isinstance(size, int | float) and not isinstance(size, bool)
        if not plain or not 0 < size <= 1:
            faults.append(
                Fault(
                    f"{where}, shares, {name}",
                    "is not a share",
                    say(share) if is_quantity(share) else str(share),
                    "It must be above 0 and at most 1",
                    'Write a quarter as 0.25 or q(25, "percent")',
                )
            )
        else:
            parts[name] = float(size)
    if not shares:
        faults.append(Fault(f"{where}, shares", "is empty", "", "", "Name at least one colour"))
    total = sum(parts.values())
    if not faults and abs(total - 1) > _CLOSE:
        faults.append(
            Fault(
                f"{where}, shares",
                "do not make a whole",
                f"{100 * total:.6g} % together",
                "They must sum to 100 %",
                "Give what is missing to the base"
                if total < 1
                else "Take the surplus from the largest",
            )
        )
    if faults:
        raise FaultsError(faults)
    return parts


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
            raise refuse(
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
    for place in range(len(poured) - 1, -1, -1):
        if _inside(point, poured[place].outline):
            return place
    return None


def _inside(point: Point, outline: Sequence[Point]) -> bool:
    x, y = point
    odd = False
    for (x0, y0), (x1, y1) in pairwise([*outline, outline[0]]):
        if (y0 > y) != (y1 > y) and x < x0 + (y - y0) * (x1 - x0) / (y1 - y0):
            odd = not odd
    return odd
