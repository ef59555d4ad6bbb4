"""A glazed thing described by maps on a grid, and the mesh that comes of it.

A :class:`Surface` is a mould's profile turned round the upright axis: rows along the
profile, columns around it.  On that grid lie the coat's thickness (cm), the cover of each
colour, the dullness and the bareness.  Relief is real geometry; nothing is bump-mapped.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

import numpy as np
from numpy.typing import NDArray

from course.kit.plates.fields import Array, blobs, bump, levelled, step
from course.kit.plates.marble import cover, linear, stirred

FRONT = -np.pi / 2  # where the camera stands
MOUSSE = "#5b3a26"
PUDDLE = 0.84  # of the pattern's radius is what the cake wears; the rest ran off


Bend = Callable[[Array, Array], tuple[Array, Array]]


@dataclass
class Mesh:
    """Points on a grid with their colour, and how they shine; or points and ``faces``.

    ``gloss`` is the roughness of the mirror; ``haze`` that of what ``dull`` takes from it;
    ``dull`` and ``matt`` are maps from 0 to 1 (``matt`` has no mirror at all).  ``kind`` is
    one of glaze, metal, water, glass, film, card.
    """

    points: Array
    colour: Array
    normals: Array | None = None
    gloss: float = 0.02
    haze: float = 0.25
    dull: Array | None = None
    matt: Array | None = None
    kind: str = "glaze"
    faces: NDArray[np.int64] | None = None


def profile(
    corners: Sequence[tuple[float, float]], radii: Sequence[float], spacing: float
) -> Array:
    """Return a line through corners (r, z), rounded there and cut into equal steps."""
    points = [np.array(c, float) for c in corners]
    path = [points[0]]
    for a, b, c, radius in zip(points, points[1:], points[2:], radii, strict=False):
        back, on = (a - b) / np.linalg.norm(a - b), (c - b) / np.linalg.norm(c - b)
        path += [b + radius * (back * (1 - t) ** 2 + on * t**2) for t in np.linspace(0, 1, 40)]
    line = np.array([*path, points[-1]])
    along = np.r_[0, np.cumsum(np.hypot(*np.diff(line, axis=0).T))]
    even = np.linspace(0, along[-1], max(8, int(along[-1] / spacing)))
    return np.stack([np.interp(even, along, line[:, k]) for k in (0, 1)], 1)


def around(radius: float, spacing: float, *, near: float = 0.0) -> Array:
    """Return the angles of the columns; `near` makes those in front so much denser."""
    even = np.linspace(-np.pi, np.pi, int(2 * np.pi * radius / spacing) + 1)
    if not near:
        return even + FRONT
    many = np.linspace(-np.pi, np.pi, 4001)
    weight = 1 + near * bump(many, 0.7)
    reached = np.r_[0, np.cumsum((weight[1:] + weight[:-1]) / 2)]
    count = int(2 * np.pi * radius / spacing)
    return np.interp(np.linspace(0, reached[-1], count + 1), reached, many) + FRONT


class Surface:
    """A profile turned round, with a coat on it.

    Parameters
    ----------
    line : array
        Points (r, z) in cm, from the middle (or the hole's foot) to the outer foot.
    angles : array
        The columns; the last repeats the first.
    at : pair
        Where its axis stands on the bench, cm.
    """

    def __init__(self, line: Array, angles: Array, at: tuple[float, float] = (0.0, 0.0)) -> None:
        self.line, self.at, self.t = line, at, angles[None]
        seg = np.hypot(*np.diff(line, axis=0).T)
        self.s = np.r_[0, np.cumsum(seg)][:, None]
        self.r, self.z = line[:, :1], line[:, 1:]
        d = np.gradient(line, axis=0)
        d = d / np.hypot(d[:, :1], d[:, 1:])
        self.nr, self.nz = -d[:, 1:], d[:, :1]
        rings = np.r_[0, np.cumsum(seg * (line[1:, 0] + line[:-1, 0]) * np.pi)][:, None]
        self.area = float(rings[-1, 0])  # cm2
        self.cell = self.r * np.gradient(self.s.ravel())[:, None] * np.gradient(self.t.ravel())
        self.rho = np.sqrt(rings / rings[-1])  # keeps areas, so the shares stay true
        self.wall = 1 - step(self.nz, 0.15, 0.85)  # 0 on top, 1 on the wall
        shape = (len(line), angles.size)
        flat = self.s if line[0, 0] < 0.1 else self.s - self.s[0] + line[0, 0] * 0.3
        self.u, self.v = flat * np.cos(self.t), flat * np.sin(self.t)
        self.x, self.y = self.r * np.cos(self.t), self.r * np.sin(self.t)
        self.h = np.zeros(shape)
        self.cover = np.ones((*shape, 1))
        self.shades: list[Array] = [np.ones(3) * 0.5]
        self.rgb: Array | None = None  # in place of cover and shades
        self.dull, self.bare = np.zeros(shape), np.zeros(shape)
        self.base = np.ones((*shape, 3)) * linear(MOUSSE)
        self.gloss, self.haze, self.hiding = 0.006, 0.25, 0.03  # cm; 0: no base below
        self.extra: list[Mesh] = []

    # --- coat ---------------------------------------------------------------------------

    def coat(self, mm: float, *, rim: float = 0.4, drain: float = 0.3, foot: float = 0.1) -> None:
        """Lay a coat: thin over the rim by tension, thick at the foot by weight.

        On the wall it follows h ~ sqrt(distance from the rim) [jeffreys1930]; `rim`, `drain`
        and `foot` (cm) are set by eye.
        """
        mean = mm / 10
        bend = np.abs(np.gradient(np.arctan2(self.nr, self.nz).ravel(), self.s.ravel()))
        wide = int(0.5 / float(self.s[1, 0])) * 2 + 1
        window = np.hanning(wide + 2)
        bend = np.convolve(bend, window / window.sum(), "same")[:, None]
        drop = np.clip((self.z.max() - self.z) / max(float(np.ptp(self.z)), 1e-6), 0, 1)
        h = mean * (1 - rim * np.minimum(bend / 1.2, 1))
        h = h * (1 - self.wall * drain * (1 - np.sqrt(drop)))
        h = h + self.wall * foot * bump(self.z - self.z.min() - 0.16, 0.2)
        self.h = self.h * 0 + h

    def unevenness(self, seed: int, cm: float, viscosity: float, film: float) -> None:
        """Add what levelling has left of the pour."""
        self.h += cm * levelled(seed, viscosity, film)(self.u, self.v)

    # --- colour -------------------------------------------------------------------------

    def paint(
        self,
        shares: Mapping[str, float],
        shades: Mapping[str, str],
        seed: int,
        swirl: float = 1.0,
        rounds: int = 3,
        wisps: float = 1.0,
        run: float = 0.7,
        slip: Array | float = 0.0,
        bend: Bend | None = None,
    ) -> None:
        """Wear a marble.  On the wall it is drawn out downwards.

        `slip` (cm) shifts it down; `bend` says for points of the top whence they came.
        """
        rho = np.interp(self.s - slip, self.s.ravel(), self.rho.ravel())
        steep = np.interp(self.s - slip, self.s.ravel(), self.wall.ravel())
        walls = np.nonzero((self.wall.ravel() < 0.5) & (self.r.ravel() > 0.1))[0]
        rim = float(self.rho[walls.max(), 0]) if walls.size else 0.0
        rho = np.where(rho > rim, rho - run * steep * (rho - rim), rho) * PUDDLE
        sway = (
            0.05 * run * blobs(seed + 900, 3.0)(9 * np.cos(self.t), 9 * np.sin(self.t) + self.s / 5)
        )
        t = self.t + self.wall * sway
        x, y = rho * np.cos(t), rho * np.sin(t)
        if bend is not None:
            scale = float(self.rho.max()) * PUDDLE / np.sqrt(self.area / np.pi)
            x, y = (scale * p for p in bend(x / scale, y / scale))
        self.cover = cover(x, y, shares, seed, swirl, rounds, wisps)
        self.shades = [linear(shades[name]) for name in shares]

    def blurred(self, cm: float) -> Array:
        """Return the cover as colours that have bled into one another over a length."""
        rows = max(1, round(cm / float(self.s[1, 0])))
        pitch = np.gradient(self.t.ravel()) * max(float(self.r.max()), 1e-6)
        columns = max(1, round(cm / float(np.median(pitch))))
        return _box(_box(self.cover, rows, 0), columns, 1)

    def colour(self) -> Array:
        """Return what is seen: glaze over cake, a little clear, so that edges are soft."""
        if not self.hiding:
            return self.mixed()
        seen = 1 - np.exp(-np.maximum(self.h, 0) / self.hiding)[..., None]
        return np.asarray(self.mixed() * seen + self.base * (1 - seen))

    def mixed(self) -> Array:
        """Return the glaze's own colour."""
        if self.rgb is not None:
            return self.rgb
        near, deep = self.blurred(0.03), self.blurred(0.16)
        return np.asarray(np.tensordot(0.78 * near + 0.22 * deep, np.array(self.shades), 1))

    def muddle(self, share: float, cm: float) -> None:
        """Stir the colours: a share of each point is the mixture of its surroundings."""
        whole = np.tensordot(self.cell / self.cell.sum(), self.cover, 2)
        local = 0.35 * self.blurred(cm) + 0.65 * whole
        self.rgb = stirred((1 - share) * self.blurred(0.05) + share * local, self.shades)

    # --- places -------------------------------------------------------------------------

    def place(self, s: float, t: float) -> Array:
        """Return a point of the coat, from profile and angle."""
        i = int(np.searchsorted(self.s.ravel(), s).clip(0, len(self.s) - 1))
        j = int(np.searchsorted(self.t.ravel(), t).clip(0, self.t.size - 1))
        h, r, z = self.h[i, j], self.r[i, 0], self.z[i, 0]
        r, z = r + self.nr[i, 0] * h, z + self.nz[i, 0] * h
        return np.array([r * np.cos(t) + self.at[0], r * np.sin(t) + self.at[1], z])

    def normal(self, s: float, t: float) -> Array:
        """Return the outward direction at a place of the profile."""
        i = int(np.searchsorted(self.s.ravel(), s).clip(0, len(self.s) - 1))
        return np.array(
            [self.nr[i, 0] * np.cos(t), self.nr[i, 0] * np.sin(t), self.nz[i, 0]], float
        )

    def spots(
        self, per_cm2: float, seed: int, where: Array | float = 1.0
    ) -> tuple[list[tuple[float, float]], np.random.Generator]:
        """Return places (profile, angle) spread at random, so many per cm²."""
        rng = np.random.default_rng(seed)
        weight = self.cell * where
        total = float(weight.sum())
        count = int(rng.poisson(per_cm2 * total))
        cells = rng.choice(weight.size, count, p=(weight / total).ravel())
        rows, columns = np.unravel_index(cells, weight.shape)
        places = [
            (float(self.s[i, 0]), float(self.t[0, j])) for i, j in zip(rows, columns, strict=True)
        ]
        return places, rng

    def near(self, s: float, t: float, reach: float) -> tuple[Any, Array, Array]:
        """Return the cells within reach of a place, and how far down and aside each lies."""
        rows = slice(*np.searchsorted(self.s.ravel(), [s - reach, s + reach]))
        r = max(float(np.interp(s, self.s.ravel(), self.r.ravel())), 0.3)
        columns = slice(*np.searchsorted(self.t.ravel(), [t - reach / r, t + reach / r]))
        down = self.s[rows] - s
        aside = np.maximum(self.r[rows], 0.05) * (self.t[:, columns] - t)
        return (rows, columns), down + 0 * aside, aside + 0 * down

    # --- mesh ---------------------------------------------------------------------------

    def mesh(self, floor: float | None = None) -> Mesh:
        """Return the coat as a mesh with its maps."""
        r, z = self.r + self.nr * self.h, self.z + self.nz * self.h
        if floor is not None:
            z = np.maximum(z, floor)
        points = np.stack([r * np.cos(self.t) + self.at[0], r * np.sin(self.t) + self.at[1], z], -1)
        points[:, -1] = points[:, 0]
        return Mesh(
            points,
            self.colour(),
            normals_of(points, closed=True),
            gloss=self.gloss,
            haze=self.haze,
            dull=self.dull if self.dull.any() else None,
            matt=self.bare if self.bare.any() else None,
        )


@dataclass
class Scene:
    """What stands on the bench."""

    meshes: list[Mesh] = field(default_factory=list)
    lift: float = 0.0  # cm above the bench

    def add(self, *meshes: Mesh) -> Scene:
        """Put meshes on the bench."""
        self.meshes += meshes
        return self


def _box(values: Array, count: int, axis: int) -> Array:
    """Return values averaged over `2 count + 1` neighbours; around the cake it wraps."""
    ends: list[tuple[int, int]] = [(0, 0)] * values.ndim
    ends[axis] = (count + 1, count)
    padded = np.pad(values, ends, "edge" if axis == 0 else "wrap")
    total = np.cumsum(padded, axis)
    width = 2 * count + 1
    high = np.take(total, np.arange(width, total.shape[axis]), axis)
    low = np.take(total, np.arange(total.shape[axis] - width), axis)
    return np.asarray((high - low) / width)


def normals_of(points: Array, *, closed: bool = False) -> Array:
    """Return the normals of a grid of points, row by column."""
    if closed:
        ring = np.concatenate([points[:, -2:-1], points, points[:, 1:2]], 1)
        along = np.gradient(ring, axis=1)[:, 1:-1]
    else:
        along = np.gradient(points, axis=1)
    n = np.cross(along, np.gradient(points, axis=0))
    # The middle of a top has no size: take the next ring's upright there.
    size = np.linalg.norm(n, axis=-1, keepdims=True)
    n = np.where(size > 1e-12, n / np.maximum(size, 1e-12), [0.0, 0.0, 1.0])
    return np.asarray(n)
