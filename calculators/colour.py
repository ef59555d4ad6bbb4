"""What a colour does to a glaze, how much of it to take, and how far apart two are.

What each kind of colourant does to the consistency, and how much of it a bench takes,
is common practice; each maker prints doses of his own.  The water in a colourant is that
of its ingredient, as a band.  The colours on a screen
and their differences follow published standards.  The mixing at the end is an
illustration: it gives the direction and not the shade.
"""

from __future__ import annotations

import math
import re
from collections.abc import Mapping, Sequence
from dataclasses import replace
from functools import cache
from types import MappingProxyType
from typing import Any, NamedTuple, TypeAlias

from calculators.faults import Fault, FaultsError, fault_error, refuse
from calculators.frozen import frozen
from calculators.ingredients import ingredient
from calculators.sources import records, table
from calculators.units import (
    Band,
    InstanceOf,
    Measure,
    OneOf,
    Quantity,
    calculator,
    float_calculator,
    is_quantity,
    q,
)

THINS, LEAVES, THICKENS = "thins", "leaves it", "thickens"
Colour: TypeAlias = str | Sequence[float]


# --- kinds of colourant -------------------------------------------------------------


@frozen
class Kind:
    """A kind of colourant, as it stands on the shelf.

    Parameters
    ----------
    name : str
        What it is called here.
    carrier : str
        What the colour is carried in; *none* for a powder.
    effect : str
        What it does to the glaze: *thins*, *leaves it* or *thickens*.
    why : str
        The reason, in a sentence.
    how : str
        How it is brought into the glaze.
    watch : str
        What to look out for.
    ingredient : str
        What it is called on the shelf of ``ingredients``; blank if it is not there.
    provenance : str
        Of the effect; *common practice* in every row.
    """

    name: str
    carrier: str
    effect: str
    why: str
    how: str
    watch: str
    ingredient: str
    provenance: str


@cache
def kinds() -> Mapping[str, Kind]:
    """Return every kind of colourant by its name.

    >>> list(kinds())[:2]
    ['water-based liquid', 'gel or paste']
    """
    return MappingProxyType({row["name"]: Kind(**row) for row in records("colour_kinds")})


_KIND = OneOf(*kinds())


@calculator(returns="a word", kind=_KIND)
def consistency(kind: str) -> str:
    """Return what a kind of colourant does to the glaze.

    Parameters
    ----------
    kind : str
        One of :func:`kinds`.

    Returns
    -------
    str
        *thins*, *leaves it* or *thickens*: a direction and no more.

    Examples
    --------
    >>> [consistency(kind) for kind in ("water-based liquid", "titanium white")]
    ['thins', 'thickens']

    Notes
    -----
    *Watch out*: colour first, then judge the consistency, then give water or not.

    Source: common practice, see ``data/colour_kinds.csv``.
    """
    return kinds()[kind].effect


@calculator(returns="a band in g", kind=_KIND, glaze=Measure("g", above=0, high=1_000_000))
def dose(kind: str, glaze: Quantity) -> Band:
    """Return how much colourant to begin with, for a mass of glaze.

    Parameters
    ----------
    kind : str
        One of :func:`kinds`.
    glaze : quantity
        Above 0 and at most 1000 kg.

    Returns
    -------
    Band
        In g.  Strength differs from maker to maker by several times.

    Examples
    --------
    >>> from calculators.units import q
    >>> print(dose("gel or paste", q(600, "g")))
    0.3 g to 3.6 g, typically 1.2 g

    Notes
    -----
    *Watch out*: the label's largest dose and the law go before this band.  See
    :func:`legal_note`; your local rules and your supervisor come first.

    Source: common practice, see ``data/colour_bench.csv``.
    """
    return _band(f"dose, {kind}", glaze.m / 1000, "g")


@calculator(returns="a band in g", kind=_KIND, colourant=Measure("g", low=0, high=100_000))
def water_added(kind: str, colourant: Quantity) -> Band:
    """Return how much water a mass of colourant brings into the glaze.

    Parameters
    ----------
    kind : str
        One of :func:`kinds`.
    colourant : quantity
        What is weighed in; from 0 to 100 kg.

    Returns
    -------
    Band
        In g; nothing for a powder or a fat colour that is as good as dry.

    Examples
    --------
    >>> from calculators.units import q
    >>> print(water_added("water-based liquid", q(10, "g")))
    6.5 g to 9.8 g, typically 8.5 g

    Notes
    -----
    *Watch out*: water in which a powder was dissolved or rubbed counts as well.

    Source: ``data/composition.csv``; of a gel or paste ``data/colour_bench.csv``.
    """
    shelf = kinds()[kind].ingredient
    if not shelf:
        return _band(f"water, {kind}", colourant.m / 100, "g")
    share = ingredient(shelf).share("water")
    ends = (colourant.m * end.m / 100 for end in (share.low, share.typical, share.high))
    return Band.of(ends, "g", share.provenance, share.why)


# --- colours on a screen, and how far apart they are ----------------------------------


class Lab(NamedTuple):
    """A colour as the eye spaces it (CIELAB, daylight D65, 2° observer)."""

    lightness: float
    a: float
    b: float

    @property
    def chroma(self) -> float:
        """How far the colour is from grey."""
        return math.hypot(self.a, self.b)


# IEC 61966-2-1: from linear red, green and blue to the tristimulus values.
_TO_XYZ = (
    (0.4124, 0.3576, 0.1805),
    (0.2126, 0.7152, 0.0722),
    (0.0193, 0.1192, 0.9505),
)
_WHITE = (0.95047, 1.0, 1.08883)  # D65, 2° observer [cie-15]
_EPSILON, _KAPPA = 216 / 24389, 24389 / 27
_COLOUR = InstanceOf(
    (str, tuple, list), 'a colour such as "#b5651d" or three numbers from 0 to 255'
)
_LAB = InstanceOf((tuple, list), "three numbers: lightness, a, b")
_MOST, _CLOSE = 1000, 1e-3  # of any of three numbers; of a lightness at its ends


@calculator(returns="lightness, a, b", srgb=_COLOUR)
def lab(srgb: Colour) -> Lab:
    """Return a screen colour as lightness, a (green to red) and b (blue to yellow).

    Parameters
    ----------
    srgb : str or three numbers
        ``"#rrggbb"``, or red, green and blue from 0 to 255.

    Returns
    -------
    Lab
        Plain numbers: lightness from 0 to 100; a and b are zero for a grey.  Good
        to 0.03 for each.

    Examples
    --------
    >>> lightness, a, b = lab("#7b3f00")
    >>> round(lightness, 1), round(a, 1), round(b, 1)
    (33.5, 22.3, 43.8)

    Notes
    -----
    *Watch out*: a photograph is no measurement.  Lamp and camera colour it.

    Source: [iec-61966-2-1] and [cie-15].
    """
    light = _linear(srgb)
    x, y, z = (
        _cube_root(sum(m * c for m, c in zip(row, light, strict=True)) / white)
        for row, white in zip(_TO_XYZ, _WHITE, strict=True)
    )
    return Lab(116 * y - 16, 500 * (x - y), 200 * (y - z))


@calculator(returns="a colour", lab=_LAB)
def srgb(lab: Sequence[float]) -> str:
    """Return the screen colour of lightness, a and b.

    Parameters
    ----------
    lab : three numbers
        Lightness from 0 to 100, a and b, such that a screen can show it.

    Returns
    -------
    str
        ``"#rrggbb"``, the nearest step of 255.

    Examples
    --------
    >>> srgb(lab("#7b3f00"))
    '#7b3f00'

    Notes
    -----
    *Watch out*: a screen can't show every colour that a glaze can have.

    Source: [iec-61966-2-1] and [cie-15], turned round.
    """
    lightness, a, b = _lab("srgb, lab", lab)
    y = (lightness + 16) / 116
    x, z = y + a / 500, y - b / 200
    xyz = [_cube(f) * white for f, white in zip((x, y, z), _WHITE, strict=True)]
    steps = [255 * _companded(c) for c in _solve_three(_TO_XYZ, xyz)]
    if any(not -0.5 <= step <= 255.5 for step in steps):
        raise fault_error(
            "srgb, lab",
            "is a colour that no screen of this kind shows",
            f"lightness {lightness:g}, a {a:g}, b {b:g}",
            "Red, green and blue must each come out from 0 to 255",
            "Bring a and b nearer to 0",
        )
    return _hex(steps)


@calculator(returns="", first=_LAB, second=_LAB)
def difference(first: Sequence[float], second: Sequence[float]) -> Quantity:
    """Return how different two colours look (CIEDE2000).

    Parameters
    ----------
    first, second : three numbers
        Lightness, a and b, as :func:`lab` gives them.

    Returns
    -------
    quantity
        A plain number, zero for equal colours.  About 1 is just seen side by side;
        above 5 nobody calls them the same (from memory).

    Examples
    --------
    >>> from calculators.units import say
    >>> say(difference((50, 2.5, 0), (61, -5, 29)), digits=6)
    '22.8977'

    Notes
    -----
    *Watch out*: it is made for small differences.  Twice the number is not twice as
    different to the eye when it is large.

    Source: [sharma2005], equations 2 to 22.
    """
    (l1, a1, b1), (l2, a2, b2) = _two_labs(first, second)
    mean_chroma = (math.hypot(a1, b1) + math.hypot(a2, b2)) / 2
    stretch = 1 + 0.5 * (1 - _saturating(mean_chroma))
    c1, c2 = math.hypot(stretch * a1, b1), math.hypot(stretch * a2, b2)
    h1, h2 = _hue(stretch * a1, b1), _hue(stretch * a2, b2)

    turn = h2 - h1
    if c1 * c2 == 0:
        turn = 0.0
    elif abs(turn) > 180:
        turn -= math.copysign(360, turn)
    d_light, d_chroma = l2 - l1, c2 - c1
    d_hue = 2 * math.sqrt(c1 * c2) * math.sin(math.radians(turn / 2))

    light, chroma = (l1 + l2) / 2, (c1 + c2) / 2
    hue = _mean_hue(h1, h2, c1 * c2)
    s_light = 1 + 0.015 * (light - 50) ** 2 / math.sqrt(20 + (light - 50) ** 2)
    s_chroma = 1 + 0.045 * chroma
    s_hue = 1 + 0.015 * chroma * _hue_weight(hue)
    twist = 60 * math.exp(-(((hue - 275) / 25) ** 2))
    cross = -2 * _saturating(chroma) * math.sin(math.radians(twist))

    light_part, chroma_part = d_light / s_light, d_chroma / s_chroma
    hue_part = d_hue / s_hue
    return q(
        math.sqrt(light_part**2 + chroma_part**2 + hue_part**2 + cross * chroma_part * hue_part)
    )


# --- mixing: an illustration ----------------------------------------------------------

# Nothing in a kitchen is blacker than this; without it one dark jug would drown all.
_DARKEST = 0.002
_REFLECTANCE = Measure("", above=0, high=1)
_PARTS = InstanceOf((tuple, list), "a list of (colour, how much)")
_MASS, _SHARE = Measure("g", 0), Measure("", 0)


@float_calculator(returns="", reflectance=_REFLECTANCE)
def absorption(reflectance: float) -> float:
    """Return how strongly a covering layer absorbs, beside how strongly it scatters.

    K/S = (1 - R)² / (2 R).

    Parameters
    ----------
    reflectance : quantity or number
        Share of the light that comes back; above 0 and at most 1.

    Returns
    -------
    quantity
        A plain number; zero for perfect white.

    Examples
    --------
    >>> from calculators.units import say
    >>> say(absorption(0.2))
    '1.6'

    Notes
    -----
    *Watch out*: it holds for a layer that hides what is below.  A clear glaze
    doesn't.

    Source: [kubelka-munk1931].
    """
    return (1 - reflectance) ** 2 / (2 * reflectance)


@float_calculator(returns="", absorption=Measure("", low=0))
def reflectance(absorption: float) -> float:
    """Return the share of light that comes back, from the ratio K/S.

    R = 1 + K/S - sqrt((K/S)² + 2 K/S).

    Parameters
    ----------
    absorption : quantity or number
        The ratio K/S, at least 0.

    Returns
    -------
    quantity
        A plain number from 0 to 1.

    Examples
    --------
    >>> from calculators.units import say
    >>> say(reflectance(1.6))
    '0.2'

    Notes
    -----
    *Watch out*: gloss adds a reflection of its own, which this leaves out.

    Source: [kubelka-munk1931].
    """
    ks = absorption
    return 1 / (1 + ks + math.sqrt(ks * ks + 2 * ks))  # the same, without cancelling


@calculator(returns="a colour", parts=_PARTS)
def mix(parts: Sequence[tuple[Colour, Quantity]]) -> str:
    """Return roughly the colour of a mixture of opaque glazes: an illustration.

    In red, green and blue alike, K/S of the mixture is the mean of the parts' K/S,
    weighed by how much there is of each.

    Parameters
    ----------
    parts : sequence
        Pairs of a colour and how much of it: masses, or shares.

    Returns
    -------
    str
        ``"#rrggbb"``.  The direction is right (dark parts win, colours go grey); the
        shade is not.

    Examples
    --------
    >>> from calculators.units import q
    >>> mix([("#ffffff", q(50, "g")), ("#ffffff", q(10, "g"))])
    '#ffffff'
    >>> lab(mix([("#f4efe4", q(300, "g")), ("#c1272d", q(150, "g"))])).lightness < 75
    True

    Notes
    -----
    *Watch out*: three bands of a screen are no spectrum, and one constant takes
    it that white does all the scattering.  In a clear glaze that fails.

    Source: [kubelka-munk1931], one constant, on the linear channels of
    [iec-61966-2-1]; illustration only.
    """
    colours, weights = _weighed(parts)
    lights = _all_linear(colours)
    mixed = [
        mix_reflectances(list(zip((max(c, _DARKEST) for c in channel), weights, strict=True)))
        for channel in zip(*lights, strict=True)
    ]
    return _hex([255 * _companded(r.m) for r in mixed])


@calculator(returns="", parts=InstanceOf((tuple, list), "a list of (reflectance, how much)"))
def mix_reflectances(parts: Sequence[tuple[float, Quantity]]) -> Quantity:
    """Return the reflectance of a mixture, at one wavelength: an illustration.

    Parameters
    ----------
    parts : sequence
        Pairs of a reflectance, above 0 and at most 1, and how much there is of it.

    Returns
    -------
    quantity
        A plain number from 0 to 1.

    Examples
    --------
    >>> from calculators.units import q, say
    >>> half = q(50, "percent")
    >>> say(mix_reflectances([(0.9, half), (0.2, half)]))
    '0.303'

    Notes
    -----
    *Watch out*: the mean of 0.9 and 0.2 would be 0.55.  The dark part wins.

    Source: [kubelka-munk1931], one constant.
    """
    tones, weights = _weighed(parts)
    checked = [
        _REFLECTANCE.check(f"mix_reflectances, parts, row {place}", tone)
        for place, tone in enumerate(tones, 1)
    ]
    refuse(fault for _, fault in checked if fault)
    pairs = zip(checked, weights, strict=True)
    dark = sum(absorption.floats(tone.m) * weight for (tone, _), weight in pairs)
    return q(reflectance.floats(dark / sum(weights)))


# --- helpers ------------------------------------------------------------------------


def _band(name: str, factor: float, unit_name: str) -> Band:
    row = table("colour_bench")[name]
    ends = (factor * value for value in row.three)
    return Band.of(ends, unit_name, row.provenance, row.note or row.condition)


def _linear(colour: Colour) -> tuple[float, ...]:
    """Red, green and blue from 0 to 1, in proportion to light."""
    return tuple(
        c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4
        for c in (step / 255 for step in _steps(colour))
    )


def _all_linear(colours: Sequence[Colour]) -> list[tuple[float, ...]]:
    """Read every colour of a mixture, and tell of all that can't be read at once."""
    lights, faults = [], []
    for place, colour in enumerate(colours, 1):
        try:
            lights.append(_linear(colour))
        except FaultsError as met:
            faults += [replace(f, where=f"parts, row {place}, colour") for f in met.faults]
    refuse(faults)
    return lights


def _steps(colour: Colour) -> tuple[float, ...]:
    if isinstance(colour, str):
        if not re.fullmatch(r"#[0-9a-fA-F]{6}", colour):
            raise fault_error(
                "colour",
                "is not a colour that can be read",
                colour[:40],
                "It is written as # and six signs from 0 to 9 and a to f",
                'Write it like "#b5651d"',
            )
        return tuple(int(colour[i : i + 2], 16) for i in (1, 3, 5))
    steps = _three_numbers("colour", colour)
    if not all(0 <= step <= 255 for step in steps):
        raise fault_error(
            "colour",
            "has a number out of range",
            ", ".join(f"{step:g}" for step in steps),
            "Red, green and blue are each from 0 to 255",
            "Check the three numbers",
        )
    return steps


def _three_numbers(where: str, given: Any) -> tuple[float, ...]:
    if (
        not isinstance(given, tuple | list)
        or len(given) != 3
        or not all(
            isinstance(n, int | float) and not isinstance(n, bool) and abs(n) <= _MOST
            for n in given
        )
    ):
        raise fault_error(
            where,
            "is not three numbers",
            repr(given)[:60],
            f"Each must be from \N{MINUS SIGN}{_MOST} to {_MOST}",
            "Give three plain numbers in brackets",
        )
    return tuple(float(n) for n in given)


def _two_labs(first: Any, second: Any) -> list[tuple[float, ...]]:
    """Read both colours, and tell what is wrong with either at once."""
    read: list[tuple[float, ...]] = []
    faults: list[Fault] = []
    for name, given in (("first", first), ("second", second)):
        try:
            read.append(_lab(f"difference, {name}", given))
        except FaultsError as met:
            faults += met.faults
    refuse(faults)
    return read


def _lab(where: str, given: Any) -> tuple[float, ...]:
    lightness, a, b = _three_numbers(where, given)
    if not -_CLOSE <= lightness <= 100 + _CLOSE:
        raise fault_error(
            where,
            "has a lightness out of range",
            f"{lightness:g}",
            "Lightness is from 0 (black) to 100 (white)",
            "Give lightness first, then a and b",
        )
    return lightness, a, b


def _companded(light: float) -> float:
    if light <= 0.0031308:
        return 12.92 * light
    return 1.055 * light ** (1 / 2.4) - 0.055


def _hex(steps: Sequence[float]) -> str:
    return "#" + "".join(f"{min(255, max(0, round(step))):02x}" for step in steps)


def _cube_root(t: float) -> float:
    return t ** (1 / 3) if t > _EPSILON else (_KAPPA * t + 16) / 116


def _cube(f: float) -> float:
    return f**3 if f**3 > _EPSILON else (116 * f - 16) / _KAPPA


def _solve_three(matrix: Sequence[Sequence[float]], right: Sequence[float]) -> list[float]:
    """Solve three equations by determinants, so that no second matrix is typed."""

    def determinant(m: Sequence[Sequence[float]]) -> float:
        (a, b, c), (d, e, f), (g, h, i) = m
        return a * (e * i - f * h) - b * (d * i - f * g) + c * (d * h - e * g)

    whole = determinant(matrix)
    return [
        determinant([[*row[:k], r, *row[k + 1 :]] for row, r in zip(matrix, right, strict=True)])
        / whole
        for k in range(3)
    ]


def _saturating(chroma: float) -> float:
    return math.sqrt(chroma**7 / (chroma**7 + 25.0**7))


def _hue(a: float, b: float) -> float:
    return math.degrees(math.atan2(b, a)) % 360 if a or b else 0.0


def _mean_hue(h1: float, h2: float, chromas: float) -> float:
    if chromas == 0:
        return h1 + h2
    if abs(h1 - h2) <= 180:
        return (h1 + h2) / 2
    return (h1 + h2 + (360 if h1 + h2 < 360 else -360)) / 2


def _hue_weight(hue: float) -> float:
    waves = ((-0.17, 1, -30), (0.24, 2, 0), (0.32, 3, 6), (-0.20, 4, -63))
    return 1 + sum(
        size * math.cos(math.radians(times * hue + shift)) for size, times, shift in waves
    )


def _weighed(parts: Sequence[Any]) -> tuple[list[Any], list[float]]:
    """Split a list of pairs; amounts may be masses, shares or plain numbers."""
    faults, things, weights, dimensions = [], [], [], set()
    for place, row in enumerate(parts, 1):
        where = f"parts, row {place}"
        if not (isinstance(row, tuple | list) and len(row) == 2):
            faults.append(
                Fault(
                    where,
                    "is not a pair",
                    repr(row)[:60],
                    "",
                    "Write it (what, how much)",
                )
            )
            continue
        what, amount = row
        weighs = is_quantity(amount) and amount.is_compatible_with(_MASS.unit)
        value, fault = (_MASS if weighs else _SHARE).check(where, amount)
        if fault:
            faults.append(
                Fault(
                    where,
                    "does not say how much",
                    fault.given,
                    "It must be a mass or a share, at least 0",
                    "Weigh it, or give its share",
                )
            )
            continue
        dimensions.add(weighs)
        things.append(what)
        weights.append(float(value.m))
    if len(dimensions) > 1:
        faults.append(Fault("parts", "mixes masses and shares", "", "", "Give all as masses"))
    if not faults and sum(weights) <= 0:
        faults.append(Fault("parts", "holds nothing", "", "It must be more than 0", "Add a part"))
    refuse(faults)
    return things, weights
