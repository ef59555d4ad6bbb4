"""From the course's own marble to a map of colours that a cake can wear.

The pattern is :func:`calculators.marbling.pattern`: outlines in radii of the puddle.
Here they are painted on a grid and looked up where a point of the cake lies.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from functools import cache

import numpy as np
from numpy.typing import NDArray
from PIL import Image, ImageDraw

from calculators import marbling
from course.kit.plates.fields import Array, between, blobs, straight

_REACH = 1.25  # radii of the puddle that the map covers, each way
_PIXELS = 1700
_FINE = 2  # painted so much finer, then averaged


def linear(shade: str) -> Array:
    """Return "#rrggbb" as linear light."""
    c = np.array([int(shade[i : i + 2], 16) for i in (1, 3, 5)]) / 255
    return np.where(c <= 0.04045, c / 12.92, ((c + 0.055) / 1.055) ** 2.4)


def hand(seed: int, swirl: float = 1.0) -> list[marbling.Wave | marbling.Vortex | marbling.Tine]:
    """Return the movements of a pour: it sways, turns and drags; more `swirl` goes further."""
    rng = np.random.default_rng(seed)
    strokes: list[marbling.Wave | marbling.Vortex | marbling.Tine] = []
    for length, size in ((1.9, 0.30), (1.2, 0.17), (0.8, 0.09)):
        angle = float(rng.uniform(0, 180))
        for turned in (0, 70 + float(rng.uniform(0, 40))):
            strokes.append(
                marbling.Wave(angle + turned, size * swirl * float(rng.uniform(0.7, 1.2)), length)
            )
        x, y = rng.uniform(-0.55, 0.55, 2)
        turn = float(rng.uniform(70, 150) * rng.choice([-1, 1])) * swirl
        strokes.append(marbling.Vortex(float(x), float(y), turn, 0.22))
    strokes.append(marbling.Tine(angle=float(rng.uniform(0, 180)), pull=0.35 * swirl, reach=0.15))
    return strokes


@cache
def _painted(
    names: tuple[str, ...], parts: tuple[float, ...], seed: int, swirl: float, rounds: int
) -> NDArray[np.float32]:
    """Return each colour's cover on the grid, from 0 to 1."""
    shares = dict(zip(names, parts, strict=True))
    pattern = marbling.pattern(shares, names[0], hand(seed, swirl), seed, rounds)
    side = _PIXELS * _FINE
    page = Image.new("L", (side, side), 0)
    pen = ImageDraw.Draw(page)
    for patch in pattern.patches:
        outline = (np.array(patch.outline) / _REACH + 1) / 2 * side
        pen.polygon([tuple(p) for p in outline], fill=names.index(patch.colour))
    covers = []
    for k in range(len(names)):
        alone = page.point([255 * (i == k) for i in range(256)]).reduce(_FINE)
        covers.append(np.asarray(alone, np.float32) / 255)
    return np.stack(covers, -1)


def cover(
    x: Array,
    y: Array,
    shares: Mapping[str, float],
    seed: int,
    swirl: float = 1.0,
    rounds: int = 3,
    wisps: float = 1.0,
) -> Array:
    """Return the cover of each colour at points of the puddle, given in its radii.

    The first colour is the base.  Fine wisps are a flow free of divergence, which keeps
    areas as the pattern's own movements do.
    """
    names, parts = tuple(shares), tuple(shares.values())
    if len(names) == 1:
        return np.ones((*x.shape, 1))
    for turn, (length, far) in enumerate(((5.0, 0.30), (2.0, 0.10))):
        dx, dy = blobs(10 * seed + turn, length).slopes()
        for _ in range(2):
            u, v = x * 12 + 20, y * 12 + 20
            x, y = (
                x - wisps * far * length / 24 * straight(dy, u, v),
                y + wisps * far * length / 24 * straight(dx, u, v),
            )
    painted = _painted(names, parts, seed, swirl, rounds)
    u, v = (np.clip((p / _REACH + 1) / 2 * _PIXELS - 0.5, 0, _PIXELS - 2) for p in (x, y))
    return between(painted, u, v)


def stirred(cover_: Array, shades: Sequence[Array]) -> Array:
    """Return the colour of pigments stirred together.

    K/S = (1 - R)² / 2R for each of red, green and blue; absorption K and scatter S add up
    by share.  A light shade holds white, which scatters more.  Source: [kubelka-munk1931];
    the factor 2.5 for white is from memory.
    """
    light = np.clip(np.array(shades), 0.04, 0.97)
    scatter = 1 + 2.5 * light.mean(-1, keepdims=True)
    absorbed = cover_ @ (scatter * (1 - light) ** 2 / (2 * light))
    ratio = absorbed / (cover_ @ scatter)
    return np.asarray(1 + ratio - np.sqrt(ratio**2 + 2 * ratio))
