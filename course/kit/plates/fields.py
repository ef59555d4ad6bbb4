"""Random fields: the unevenness of a pour, of a crumb, of a hand.

Lengths are in centimetres.  A field is periodic, has unit variance, and is the same for
the same seed.
"""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
from numpy.typing import ArrayLike, NDArray

Array = NDArray[np.float64]

TENSION, DENSITY, GRAVITY = 0.06, 1250.0, 9.81  # N/m, kg/m3, m/s2; from memory
SECONDS = 40  # in which a pour levels; from memory
_SIZE, _GRID = 40.0, 800  # cm across, points


def step(x: ArrayLike, low: float | Array, high: float | Array) -> Array:
    """Return a soft step from 0 at `low` to 1 at `high`."""
    t = np.clip((np.asarray(x, float) - low) / (high - low), 0, 1)
    return np.asarray(t * t * (3 - 2 * t))


def bump(x: ArrayLike, width: float) -> Array:
    """Return a bell that is 1 at 0."""
    return np.asarray(np.exp(-((np.asarray(x, float) / width) ** 2)))


class Field:
    """A periodic random field; ``spectrum`` weighs wavenumbers in 1/cm."""

    def __init__(self, seed: int, spectrum: Callable[[Array], Array]) -> None:
        k = np.fft.fftfreq(_GRID, _SIZE / _GRID) * 2 * np.pi
        size = np.hypot(k[:, None], np.abs(k[None, : _GRID // 2 + 1]))
        noise = np.random.default_rng(seed).standard_normal((_GRID, _GRID))
        weight = np.where(size > 0, spectrum(size), 0)
        self.map: Array = np.fft.irfft2(np.fft.rfft2(noise) * weight, s=(_GRID, _GRID))
        self.map /= max(float(self.map.std()), 1e-12)

    def __call__(self, x: ArrayLike, y: ArrayLike) -> Array:
        """Sample it with a cubic B-spline, so that mirrored light shows no facets."""
        return sample(self.map, np.asarray(x, float), np.asarray(y, float))

    def slopes(self) -> tuple[Array, Array]:
        """Return its slopes along x and y, on its own grid."""
        across = _SIZE / _GRID
        turned = [(np.roll(self.map, -1, a) - np.roll(self.map, 1, a)) / 2 for a in (0, 1)]
        return turned[0] / across, turned[1] / across


def sample(values: Array, x: Array, y: Array) -> Array:
    """Sample a periodic grid that covers a field's square."""
    u, v = np.broadcast_arrays(x / _SIZE * _GRID % _GRID, y / _SIZE * _GRID % _GRID)
    i, j = u.astype(np.int32), v.astype(np.int32)
    wide, high = _spline(u - i), _spline(v - j)
    out = np.zeros(u.shape)
    for a in range(4):
        for b in range(4):
            out += wide[a] * high[b] * values[(i + a - 1) % _GRID, (j + b - 1) % _GRID]
    return out


def straight(values: Array, x: Array, y: Array) -> Array:
    """Sample such a grid straight between its points: quicker, where no light shows it."""
    u, v = x / _SIZE * _GRID % _GRID, y / _SIZE * _GRID % _GRID
    i, j = u.astype(np.int32), v.astype(np.int32)
    a, b = u - i, v - j
    k, m = (i + 1) % _GRID, (j + 1) % _GRID
    out = (values[i, j] * (1 - a) + values[k, j] * a) * (1 - b)
    return np.asarray(out + (values[i, m] * (1 - a) + values[k, m] * a) * b)


def between(page: Array | NDArray[np.float32], u: Array, v: Array) -> Array:
    """Sample a page, whose rows are `v`, straight between its points; it may hold several colours."""
    i, j = u.astype(np.int64), v.astype(np.int64)
    a, b = u - i, v - j
    if page.ndim > 2:
        a, b = a[..., None], b[..., None]
    out = (page[j, i] * (1 - a) + page[j, i + 1] * a) * (1 - b)
    return np.asarray(out + (page[j + 1, i] * (1 - a) + page[j + 1, i + 1] * a) * b)


def _spline(f: Array) -> tuple[Array, Array, Array, Array]:
    return (
        (1 - f) ** 3 / 6,
        (3 * f**3 - 6 * f**2 + 4) / 6,
        (-3 * f**3 + 3 * f**2 + 3 * f + 1) / 6,
        f**3 / 6,
    )


def blobs(seed: int, length: float) -> Field:
    """Return a field whose features are about `length` cm across."""
    return Field(seed, lambda k: np.exp(-((k * length / 4) ** 2)))


def levelled(seed: int, viscosity: float, film: float) -> Field:
    """Return what levelling leaves of a pour's unevenness after :data:`SECONDS`.

    A wave k dies as exp(-(tension k⁴ + density gravity k²) film³ t / (3 viscosity)).
    Viscosity in Pa s, film in cm.  Source: [orchard1963].
    """
    thick = film / 100

    def left(k: Array) -> Array:
        q = np.maximum(k, 1e-9) * 100
        rate = thick**3 / (3 * viscosity) * (TENSION * q**4 + DENSITY * GRAVITY * q**2)
        return np.asarray(np.exp(-np.minimum(rate * SECONDS, 60) - (k / 4.5) ** 2))

    return Field(seed, left)
