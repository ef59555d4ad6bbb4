"""Cakes and their faults: what each does to coat, colour and shine.

A state is one function: a cake, a glaze, and the lengths that make it.  The lengths are
the ``numbers`` of a plate.  Levelling, drainage, roughness and mixing follow published
laws; sizes and shapes of bubbles, lumps, cracks and slides are from memory, set by eye.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from itertools import pairwise
from typing import Any

import numpy as np
from PIL import Image, ImageDraw, ImageFilter

from course.kit.plates.fields import Array, between, blobs, bump, levelled, step
from course.kit.plates.marble import linear
from course.kit.plates.surface import FRONT, Mesh, Surface, around, profile

WAVELENGTH = 0.55  # µm, green light


@dataclass(frozen=True)
class Glaze:
    """What was poured: shares and shades of its colours, the marble's seed, the cake's shade."""

    shares: Mapping[str, float]
    shades: Mapping[str, str]
    seed: int
    cake: str = "#5b3a26"
    swirl: float = 1.0


# --- shapes ------------------------------------------------------------------------------


def cylinder(*, close: bool = False) -> Surface:
    """Return an entremets of 18 by 4.5 cm, its rim rounded as a silicone mould does."""
    corners = [(1e-3, 4.5), (8.75, 4.5), (9.0, 0.02)]
    if close:
        return Surface(profile(corners, [1.2], 0.022), around(9, 0.05, near=2.5))
    return Surface(profile(corners, [1.2], 0.036), around(9, 0.036))


def ring(*, close: bool = False) -> Surface:
    """Return a ring of 18/6 by 5 cm."""
    corners = [(3.05, 0.02), (3.0, 0.3), (3.2, 5.0), (8.8, 5.0), (9.0, 0.02)]
    fine = 0.024 if close else 0.036
    across = around(9, 0.05, near=2.5) if close else around(9, fine)
    return Surface(profile(corners, [0.1, 1.5, 1.3], fine), across)


def dome(at: tuple[float, float] = (0.0, 0.0), *, close: bool = False) -> Surface:
    """Return a dome of 7 cm."""
    a = np.linspace(0, np.pi / 2, 200 if close else 170)
    arc = np.stack([np.maximum(3.5 * np.sin(a), 1e-3), 0.02 + 3.5 * np.cos(a)], 1)
    return Surface(arc, around(3.5, 0.025 if close else 0.032), at)


DOMES = ((-5.6, 1.5), (0.6, -2.9), (6.2, 2.1))


def cakes(shape: str, *, close: bool) -> list[Surface]:
    """Return what stands on the bench: one cake, or three domes."""
    if shape == "dome":
        return [dome(at, close=close) for at in DOMES]
    return [ring(close=close) if shape == "ring" else cylinder(close=close)]


# --- states ------------------------------------------------------------------------------


def right(
    c: Surface,
    g: Glaze,
    *,
    coat_mm: float = 1.8,
    roughness_um: float = 0.018,
    uneven: float = 0.003,
) -> None:
    """Level, closed, glossy: a coat that has run and set as it should."""
    c.base = c.base * 0 + linear(g.cake)
    c.coat(coat_mm)
    c.unevenness(g.seed + 50, uneven, 3.0, coat_mm / 10)
    c.paint(g.shares, g.shades, g.seed, g.swirl)
    lost(c, roughness_um, 8.0)


def lost(c: Surface, roughness_um: float, texture_um: float, where: Array | float = 1.0) -> None:
    """Take from the mirror what a roughness scatters.

    Share lost = 1 - exp(-(4 pi roughness cos a / wavelength)²) at a = 53° [bennett-porteus1961];
    width of the haze = 2 roughness / texture length [beckmann-spizzichino1963].
    """
    share = 1 - np.exp(-((4 * np.pi * roughness_um * 0.6 / WAVELENGTH) ** 2))
    c.dull = np.maximum(c.dull, share * where)
    if share > 0.1:
        c.haze = float(np.clip(2 * roughness_um / texture_um, 0.08, 0.5))


def dull(
    c: Surface,
    g: Glaze,
    *,
    coat_mm: float,
    roughness_um: float,
    texture_um: float,
    patchy: float = 0.0,
) -> None:
    """No mirror: the skin scatters what it should reflect."""
    right(c, g, coat_mm=coat_mm)
    where: Array | float = 1.0
    if patchy:
        where = step(blobs(g.seed + 7, 7.0)(c.u, c.v), -patchy - 0.35, -patchy + 0.35)
    lost(c, roughness_um, texture_um, where)


def pits(
    c: Surface,
    g: Glaze,
    *,
    coat_mm: float,
    bubble_mm: float,
    per_cm2: float,
    still_closed: float = 0.15,
) -> None:
    """Bubbles that burst as the coat set: round hollows, the deepest down to the cake."""
    right(c, g, coat_mm=coat_mm)
    before = c.h.copy()
    crowd = 0.15 + step(blobs(g.seed + 11, 4.0)(c.u, c.v), -0.4, 1.4)
    places, rng = c.spots(per_cm2, g.seed + 12, crowd)
    for s, t in places:
        size = min(bubble_mm / 20 * float(np.exp(0.45 * rng.standard_normal())), 0.2)
        at, down, aside = c.near(s, t, 2.2 * size)
        d = np.hypot(down, aside) / size
        if rng.random() < still_closed:
            c.h[at] += 0.42 * size * np.sqrt(np.clip(1 - d**2, 0, 1))
            continue
        deep = min(1.1 * size, float(before[at].mean()) * 0.93 if d.size else 0)
        bowl = np.clip(1 - d**3, 0, 1)
        c.h[at] = np.minimum(c.h[at], before[at] - deep * bowl)
        c.h[at] += 0.07 * size * bump(d - 1.12, 0.16)


def waves(
    c: Surface,
    g: Glaze,
    *,
    coat_mm: float,
    wave_mm: float,
    foot_mm: float,
    viscosity: float,
    fronts: int = 3,
) -> None:
    """Poured too cold: waves stand on top, tongues have stopped on the wall, the foot is thick."""
    right(c, g, coat_mm=coat_mm)
    c.coat(coat_mm, rim=0.15, drain=0.1, foot=0)
    round_ = 9 * np.cos(c.t), 9 * np.sin(c.t)
    aside = np.hypot(c.u - 2.2, c.v + 3.4)  # where the last of the pour fell
    rings = np.sin(2 * np.pi * (aside + 1.1 * blobs(g.seed + 21, 5)(c.u, c.v)) / 2.6)
    rough = 0.6 * rings * step(aside, 0.3, 2.0)
    rough = rough + levelled(g.seed + 22, viscosity, coat_mm / 10)(c.u, c.v)
    c.h += wave_mm / 20 * rough * (1 - 0.7 * c.wall)
    high = float(np.ptp(c.z))
    outside = c.r > 0.55 * c.r.max()
    fall = np.where(outside | (c.line[0, 0] < 0.1), c.z.max() - c.z, 0)
    for k in range(fronts):
        lobes = blobs(g.seed + 23 + k, 3.4)(*round_) + 0.5 * blobs(g.seed + 33 + k, 1.7)(*round_)
        reach = high * (0.42 + 0.42 * k / max(fronts - 1, 1)) + 0.13 * high * lobes
        back = reach - fall
        roll = np.sqrt(np.clip(1 - ((back - 0.32) / 0.32) ** 2, 0, 1)) * (back < 0.32)
        behind = (back >= 0.32) * (0.45 + 0.55 * bump(back - 0.32, 0.55))
        c.h += step(fall, 0.1, 0.9) * coat_mm / 10 * 0.85 * (roll + behind)
    heavy = 1 + 0.35 * blobs(g.seed + 41, 2.6)(*round_)
    low = c.z - c.z.min()
    c.h += outside * c.wall * foot_mm / 10 * np.maximum(heavy, 0.25) * np.exp(-((low / 0.75) ** 2))


def thin_rim(
    c: Surface, g: Glaze, *, film_mm: float, rim_mm: float, reach_cm: float, runs: float = 0.6
) -> None:
    """Poured too warm: the glaze has run off the rim, and the cake shows in veils and fingers."""
    right(c, g, coat_mm=film_mm)
    c.hiding = 0.028
    round_ = 9 * np.cos(c.t), 9 * np.sin(c.t)
    turn = np.abs(np.arctan2(c.nr, c.nz) - np.pi / 4)
    edge = c.s.ravel()[int(np.argmin(turn[c.r.ravel() > 3.2]) + np.argmax(c.r.ravel() > 3.2))]
    if c.r.max() < 4:  # a dome is thin where it grows steep
        edge = 3.6
    ragged = 0.5 * blobs(g.seed + 51, 2.2)(*round_) + 0.25 * blobs(g.seed + 52, 0.8)(*round_)
    off = (c.s - edge) / reach_cm
    gap = np.where(
        off < 0, np.exp(-((off / 0.55) ** 2)), np.exp(-((off / (1 + 0.5 * ragged)) ** 2))
    )
    fingers = blobs(g.seed + 53, 0.9)(*round_) + 0.5 * blobs(g.seed + 54, 0.4)(*round_)
    fingers = fingers + 0.5 * blobs(g.seed + 55, 0.7)(9 * c.t, 0.25 * c.s + 0 * c.t)
    veil = 1 - gap * (1 - runs * 0.55 * step(fingers, 0.2, 1.5) * step(off, -0.1, 0.5))
    c.h = rim_mm / 10 + (c.h - rim_mm / 10) * np.clip(veil, 0, 1)
    c.bare = 0.75 * np.exp(-c.h / 0.02)


def slid(
    c: Surface,
    g: Glaze,
    *,
    coat_mm: float,
    slip_cm: float,
    wide_deg: float,
    at_deg: float = 0.0,
    folds_mm: float = 1.6,
) -> None:
    """Let the coat slip on a cold or wet wall: a sheet hangs lower, bare cake above it."""
    high = float(np.ptp(c.z))
    edge = float(c.s[np.argmax((c.wall > 0.55) & (c.r > 0.7 * c.r.max())), 0])
    around_ = np.angle(np.exp(1j * (c.t - FRONT - np.radians(at_deg))))
    round_ = 9 * np.cos(c.t), 9 * np.sin(c.t)
    ragged = 0.55 * blobs(g.seed + 61, 2.6)(*round_) + 0.3 * blobs(g.seed + 62, 0.9)(*round_)
    half = np.radians(wide_deg) / 2
    there = 1 - step(np.abs(around_) + 0.10 * ragged, 0.55 * half, half)
    slip = slip_cm * there * np.clip(1 + 0.3 * ragged, 0.5, 1.6)
    right(c, g, coat_mm=coat_mm)
    c.paint(g.shares, g.shades, g.seed, g.swirl, slip=np.where(c.s > edge, slip, 0))
    fine = 0.09 * blobs(g.seed + 63, 0.5)(c.u, c.v) + 0.14 * blobs(g.seed + 64, 1.1)(c.u, c.v)
    upper = edge - 0.1 + 0.16 * ragged + fine
    lower = upper + slip + 1.4 * fine * (slip > 0.2)
    gap = np.minimum(c.s - upper, lower - c.s)
    open_ = step(gap, 0.0, 0.06) * step(slip, 0.12, 0.3)
    lip = bump(gap + 0.10, 0.10) * step(slip, 0.12, 0.4)
    below = step(c.s - lower, 0.0, 0.3) * step(slip, 0.1, 0.6)
    fall = (c.s - lower) / max(high - slip_cm, 0.8)
    creases = np.sin(2 * np.pi * ((c.s - lower) / 0.8 + 0.3 * ragged))
    c.h += below * (folds_mm / 10 * (0.4 + 0.6 * creases) * np.clip(fall, 0, 1))
    c.h += below * slip * 0.20 * np.clip(fall, 0, 1.2) ** 1.5
    c.h = (c.h + 0.09 * lip) * (1 - open_) + open_ * 0.002
    crumb = blobs(g.seed + 65, 0.16)(c.u, c.v)
    c.base = c.base * (1 + 0.10 * crumb + 0.16 * blobs(g.seed + 66, 1.5)(c.u, c.v))[..., None]
    c.h += open_ * 0.006 * crumb
    c.bare = open_


def cracks(
    c: Surface,
    g: Glaze,
    *,
    coat_mm: float,
    gap_mm: float,
    number: int,
    length_cm: float,
    seed: int = 1,
) -> None:
    """Set too firm, then bent or frozen hard: fine lines that meet in T's, cake in the gaps."""
    right(c, g, coat_mm=coat_mm)
    rng = np.random.default_rng(seed)
    side, per_cm = 3600, 120.0
    taken = np.zeros((side // 6, side // 6), bool)
    page = Image.new("L", (side, side), 0)
    pen = ImageDraw.Draw(page)
    lines: list[list[Array]] = []
    main = rng.uniform(-0.5, 0.5)

    def cell(p: Array) -> tuple[int, int]:
        k = np.clip(((p + 15) * per_cm / 6).astype(int), 0, side // 6 - 1)
        return int(k[0]), int(k[1])

    for k in range(number):
        if k < max(3, number // 3) or not lines:
            start = np.array([rng.uniform(-8, 8), rng.uniform(-12.5, -1.5)])
            way = main + rng.normal(0, 0.35)
        else:  # from the side of an older one, square to it
            old = lines[int(rng.integers(len(lines)))]
            j = int(rng.integers(2, max(3, len(old) - 2)))
            start = old[min(j, len(old) - 1)]
            along = old[min(j + 1, len(old) - 1)] - old[max(j - 1, 0)]
            way = np.arctan2(along[1], along[0]) + rng.choice([-1, 1]) * rng.normal(1.5, 0.15)
        for sense in (0.0, np.pi) if k < max(3, number // 3) else (0.0,):
            p, a, line = start.copy(), way + sense, [start.copy()]
            bend = rng.normal(0, 0.005)
            for n in range(int(length_cm * float(np.exp(rng.normal(0, 0.5))) / 0.07)):
                a += bend + rng.normal(0, 0.11)
                p = p + 0.07 * np.array([np.cos(a), np.sin(a)])
                line.append(p.copy())
                if n > 4 and taken[cell(p)]:
                    break
            for q in line[:-3]:
                taken[cell(q)] = True
            lines.append(line)
            for n, (p0, p1) in enumerate(pairwise(line)):
                taper = min(1.0, (len(line) - n) / 14 + 0.25)
                wide = max(1, round(gap_mm / 10 * per_cm * taper * float(rng.uniform(0.7, 1.3))))
                pen.line([tuple((p0 + 15) * per_cm), tuple((p1 + 15) * per_cm)], 255, wide)
    fine = np.asarray(page.filter(ImageFilter.GaussianBlur(1.2)), float) / 255
    soft = np.asarray(page.filter(ImageFilter.GaussianBlur(11)), float) / 255
    u, v = (np.clip((p + 15) * per_cm, 0, side - 2) for p in (c.u, c.v))
    open_ = step(between(fine, u, v), 0.1, 0.75)
    c.h = (c.h + 0.02 * soft[v.astype(int), u.astype(int)]) * (1 - 0.97 * open_)
    c.base = c.base * 0.55
    c.bare = np.maximum(c.bare, open_)


def streaks(
    c: Surface,
    g: Glaze,
    *,
    coat_mm: float,
    blade_cm: float,
    furrow_mm: float,
    ridge_mm: float,
    at_cm: float = -2.0,
    tracks: int = 2,
    seed: int = 1,
) -> None:
    """Draw a knife over a coat that had begun to set: dull combed tracks between torn ridges."""
    rng = np.random.default_rng(seed)
    right(c, g, coat_mm=coat_mm)
    paths = [
        (
            at_cm + 3.0 * k + float(rng.uniform(-0.4, 0.4)),
            float(rng.uniform(-14, 14)),
            float(rng.uniform(-0.02, 0.02)),
        )
        for k in range(tracks)
    ]

    def track(x: Array, y: Array, k: int) -> tuple[Array, Array, float]:
        off, turn, curve = paths[k]
        a = np.radians(turn)
        along = x * np.cos(a) + y * np.sin(a)
        aside = -x * np.sin(a) + y * np.cos(a) - off - curve * along**2
        aside = aside + 0.07 * np.sin(along * 0.9 + k)
        return along, aside, a

    def bend(x: Array, y: Array) -> tuple[Array, Array]:
        for k in range(tracks - 1, -1, -1):
            along, aside, a = track(x, y, k)
            comb = 0.75 + 0.25 * blobs(seed + 70 + k, 0.8)(aside, 0.01 * along)
            pull = 2.6 * comb * (1 - step(np.abs(aside), 0.36 * blade_cm, 0.56 * blade_cm))
            pull = pull * step(along, -7.6, -4.5)
            x, y = x - pull * np.cos(a), y - pull * np.sin(a)
        return x, y

    c.paint(g.shares, g.shades, g.seed, g.swirl, bend=bend)
    top = 1 - c.wall
    for k in range(tracks):
        along, aside, _ = track(c.x, c.y, k)
        end = 6.2 - 1.6 * k
        on = step(along, -8.2, -7.0) * (1 - step(along, end, end + 0.25)) * top
        inside = (1 - step(np.abs(aside), 0.40 * blade_cm, 0.52 * blade_cm)) * on
        comb = blobs(seed + 80 + k, 0.34)(aside, 0.008 * along)
        comb = comb + 0.5 * blobs(seed + 85 + k, 0.20)(aside, 0.008 * along)
        c.h += inside * (-furrow_mm / 10 + furrow_mm / 95 * comb)
        heap = np.clip(0.75 + 0.6 * blobs(seed + 90 + k, 1.1)(along, 4 * np.sign(aside)), 0.1, 2.2)
        c.h += ridge_mm / 10 * heap * on * bump(np.abs(aside) - 0.60 * blade_cm, 0.13)
        pile = bump(along - end - 0.2, 0.28) * (
            1 - step(np.abs(aside), 0.4 * blade_cm, 0.6 * blade_cm)
        )
        c.h += top * pile * ridge_mm / 7 * np.clip(1 + 0.5 * comb, 0.2, 2)
        lost(c, 0.13, 1.1, inside * np.clip(0.85 + 0.15 * comb, 0, 1))
    c.h = np.maximum(c.h, 0.012)


def muddy(c: Surface, g: Glaze, *, coat_mm: float, stirred: float, over_cm: float) -> None:
    """Colours stirred into one another: the shades go to their mixture, which is grey."""
    right(c, g, coat_mm=coat_mm)
    c.muddle(stirred, over_cm)


def lumps(
    c: Surface, g: Glaze, *, coat_mm: float, grain_mm: float, per_cm2: float, tail_mm: float
) -> None:
    """Colour that was not blended in: raised grains, each with a tail where it bled."""
    right(c, g, coat_mm=coat_mm)
    c.rgb = c.mixed().copy()
    names = list(g.shares)[1:] or list(g.shares)
    strong = [linear(g.shades[n]) ** 1.7 * 0.55 for n in names]
    if len(g.shares) == 1:
        strong = [linear(g.shades[names[0]]) ** 2.2 * 0.35]
    places, rng = c.spots(per_cm2, g.seed + 95)
    for s, t in places:
        shade = strong[int(rng.integers(len(strong)))]
        for _ in range(int(rng.integers(1, 3))):
            size = min(grain_mm / 20 * float(np.exp(0.4 * rng.standard_normal())), 0.28)
            tail = tail_mm / 10 * float(rng.uniform(0.4, 1.4)) * size / (grain_mm / 20)
            s1, t1 = s + float(rng.normal(0, 0.5)), t + float(rng.normal(0, 0.06))
            at, down, aside = c.near(s1, t1, tail + 3 * size)
            if not down.size:
                continue
            angle = np.arctan2(aside, down)
            edge = size * (1 + 0.14 * np.sin(3 * angle + s * 9) + 0.10 * np.sin(5 * angle + t * 31))
            d = np.hypot(down, aside)
            sway = 0.10 * np.sin(2.2 * down + s * 7)
            narrow = size * (0.75 - 0.45 * np.clip(down / tail, 0, 1))
            off = aside - sway * np.clip(down, 0, None)
            smear = np.exp(-((off / narrow) ** 2))
            smear = (
                smear
                * step(down, -0.3 * size, 0.2 * size)
                * np.exp(-np.clip(down, 0, None) / (0.5 * tail))
            )
            grain = 1 - step(d, 0.75 * edge, 1.15 * edge)
            weight = np.maximum(grain, 0.9 * smear)[..., None]
            c.rgb[at] = c.rgb[at] * (1 - weight) + shade * weight
            c.h[at] += 0.5 * size * np.clip(1 - (d / (1.15 * edge)) ** 2, 0, 1) ** 0.7


def wet(
    c: Surface,
    g: Glaze,
    *,
    coat_mm: float,
    drop_mm: float,
    per_cm2: float,
    contact_deg: float,
    ran: float = 0.15,
) -> None:
    """Water on the skin, from dew or from a gel that weeps: clear beads, some have run."""
    right(c, g, coat_mm=coat_mm)
    places, rng = c.spots(per_cm2, g.seed + 105)
    sizes = np.sort(
        np.minimum(drop_mm / 20 * (rng.pareto(2.2, len(places)) + 0.6), drop_mm / 20 * 4.5)
    )
    kept: list[tuple[Array, float]] = []
    points: list[Array] = []
    normals: list[Array] = []
    faces: list[Array] = []
    count = 0
    for (s, t), size in zip(reversed(places), sizes[::-1], strict=True):
        middle = c.place(s, t)
        if any(np.linalg.norm(middle - p) < 0.92 * (size + r) for p, r in kept):
            continue
        kept.append((middle, float(size)))
        n = c.normal(s, t)
        runs = n[2] < 0.5 and rng.random() < ran
        p, m, f = _cap(middle, n, float(size), contact_deg, 3.0 if runs else 1.0, rng)
        points.append(p)
        normals.append(m)
        faces.append(f + count)
        count += len(p)
    if points:
        c.extra.append(
            Mesh(
                np.concatenate(points),
                np.ones(3),
                np.concatenate(normals),
                kind="water",
                faces=np.concatenate(faces),
            )
        )


def _cap(
    middle: Array, n: Array, size: float, contact_deg: float, long: float, rng: np.random.Generator
) -> tuple[Array, Array, Array]:
    """Return a drop: a cap that meets the skin at the contact angle; a run is longer."""
    up = np.array([0, 0, 1.0]) if abs(n[2]) < 0.9 else np.array([0, 1.0, 0])
    e = np.cross(up, n)
    e /= np.linalg.norm(e)
    f = np.cross(n, e)
    bend = np.radians(contact_deg)
    ball = size / np.sin(bend)
    tilt = np.linspace(0, bend * 1.12, 12)[:, None]
    a = np.linspace(0, 2 * np.pi, 29)[None]
    lump = 1 + 0.07 * np.sin(2 * a + rng.uniform(0, 6)) + 0.05 * np.sin(3 * a + rng.uniform(0, 6))
    x, y = ball * np.sin(tilt) * np.cos(a) * lump, ball * np.sin(tilt) * np.sin(a) * lump
    z = ball * (np.cos(tilt) - np.cos(bend)) + 0 * a
    nx, ny, nz = np.sin(tilt) * np.cos(a), np.sin(tilt) * np.sin(a), np.cos(tilt) + 0 * a
    if long > 1:  # it hangs: full below, drawn out above
        y = np.where(y > 0, y * long, y * 1.15)
        x = x * np.where(y > 0, 1 - 0.5 * np.clip(y / (size * long), 0, 1), 1)
        z = z * np.where(y > 0, 1 - 0.6 * np.clip(y / (size * long), 0, 1), 1)
        ny = np.where(ny > 0, ny / long, ny)
    grid = np.stack([x, y, z], -1) @ np.stack([e, f, n]) + middle
    m = np.stack([nx, ny, nz], -1) @ np.stack([e, f, n])
    m /= np.linalg.norm(m, axis=-1, keepdims=True)
    rows, columns = grid.shape[:2]
    index = np.arange(rows * columns).reshape(rows, columns)
    p, q, r, s = index[:-1, :-1], index[:-1, 1:], index[1:, :-1], index[1:, 1:]
    faces = np.concatenate(
        [np.stack([p, r, q], -1).reshape(-1, 3), np.stack([q, r, s], -1).reshape(-1, 3)]
    )
    return grid.reshape(-1, 3), m.reshape(-1, 3), faces


def drips(
    c: Surface,
    g: Glaze,
    *,
    coat_mm: float,
    longest_mm: float,
    number: int,
    bead_mm: float,
    lift: float = 3.2,
) -> None:
    """Not trimmed before it set: tails hang below the foot, each with the drop that froze."""
    right(c, g, coat_mm=coat_mm)
    rng = np.random.default_rng(g.seed + 115)
    R = float(c.r[-1, 0])  # noqa: N806
    where = np.sort(rng.uniform(-np.pi, np.pi, number) + 0.12 * rng.standard_normal(number)) + FRONT
    longs = longest_mm / 10 * np.clip(rng.beta(1.3, 2.2, number) * 1.35, 0.12, 1)
    low = c.z - c.z.min()
    lobes = np.zeros_like(c.t)
    for a, long in zip(where, longs, strict=True):
        lobes = lobes + bump(np.angle(np.exp(1j * (c.t - a))) * R, 0.55) * (
            0.4 + 0.6 * long / longs.max()
        )
    c.h += c.wall * bead_mm / 10 * (0.35 + np.minimum(lobes, 1.4)) * bump(low, 0.45)
    shades = c.mixed()[int(len(c.s) * 0.93)]
    for a, long in zip(where, longs, strict=True):
        j = int(np.argmin(np.abs(np.angle(np.exp(1j * (c.t.ravel() - a))))))
        long = min(long, lift - 0.15)
        thick = float(rng.uniform(0.10, 0.19))
        z = np.linspace(0.42, -long, 70)
        f = np.clip(-z / long, 0, 1)
        r = thick * (1 - 0.55 * step(f, 0, 0.6)) + 0.30 * np.exp(-np.clip(0.42 - z, 0, None) / 0.22)
        ball = float(rng.uniform(1.0, 1.5)) * thick * 0.85
        r = np.maximum(r, np.sqrt(np.clip(ball**2 - (z + long - ball) ** 2, 0, None)))
        r[-1] = 1e-3
        place = R + 0.02 + coat_mm / 20
        tail = Surface(
            np.stack([r, z], 1),
            around(0.3, 0.05),
            (c.at[0] + place * np.cos(a), c.at[1] + place * np.sin(a)),
        )
        tail.rgb = np.ones((*tail.h.shape, 3)) * shades[j]
        tail.hiding, tail.gloss = 0, c.gloss
        c.extra.append(tail.mesh())


def stand(c: Surface, lift: float) -> Mesh:
    """Return what a cake stands on while it drips: narrower than its foot."""
    r = 0.74 * float(c.r[-1, 0])
    line = np.array([[1e-3, 0], [r - 0.05, 0], [r, -0.05], [r, -lift]])
    under = Surface(line, around(r, 0.3), c.at)
    return Mesh(under.mesh().points, np.ones(3) * 0.30, gloss=0.3)


STATES: dict[str, Callable[..., Any]] = {
    "right": right,
    "dull": dull,
    "pits": pits,
    "waves": waves,
    "thin rim": thin_rim,
    "slid": slid,
    "cracks": cracks,
    "streaks": streaks,
    "muddy": muddy,
    "lumps": lumps,
    "drops": wet,
    "drips": drips,
}
