"""Steps of the work: leaves, base, blade, jug, ribbon, skin, trimming.

Each is one function of a glaze and the lengths behind it, and returns a scene.  Shapes of
tools are plain and of no maker; lengths are from memory.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import numpy as np

from course.kit.plates import cakes
from course.kit.plates.cakes import Glaze
from course.kit.plates.fields import DENSITY, GRAVITY, TENSION, Array, blobs, bump, sample, step
from course.kit.plates.marble import linear
from course.kit.plates.surface import FRONT, Mesh, Scene, Surface, around, profile

STEEL, WHITE, BLACK = np.array([0.62, 0.63, 0.65]), np.array([0.72, 0.72, 0.70]), np.ones(3) * 0.02


# --- tools -------------------------------------------------------------------------------


def turned(
    corners: list[tuple[float, float]],
    radii: list[float],
    shade: Array,
    *,
    kind: str = "glaze",
    gloss: float = 0.12,
    spout: float | None = None,
    at: tuple[float, float] = (0.0, 0.0),
) -> Mesh:
    """Return a vessel: a line turned round; `spout` is the angle at which its lip opens."""
    line = profile(corners, radii, 0.06)
    body = Surface(line, around(float(line[:, 0].max()), 0.06), at)
    points = body.mesh().points
    if spout is not None:
        off = np.angle(np.exp(1j * (body.t - spout)))
        high = step(body.z, float(body.z.max()) - 3.2, float(body.z.max()))
        out = high**1.5 * 1.25 * bump(off, 0.24) - 0.22 * high * bump(np.abs(off) - 0.55, 0.2)
        points = points + np.stack(
            [out * np.cos(body.t), out * np.sin(body.t), 0.25 * high * bump(off, 0.2)], -1
        )
    return Mesh(points, shade, gloss=gloss, kind=kind)


def tube(
    path: Array, radius: Array | float, shade: Array, *, flat: float = 1.0, **how: Any
) -> Mesh:
    """Return a tube along a path; `flat` widens it sideways."""
    way = np.gradient(path, axis=0)
    way /= np.linalg.norm(way, axis=1, keepdims=True)
    aside = np.cross(way, [0.0, 0.0, 1.0])
    aside = np.where(np.linalg.norm(aside, axis=1, keepdims=True) < 1e-3, [0.0, 1.0, 0.0], aside)
    aside /= np.linalg.norm(aside, axis=1, keepdims=True)
    up = np.cross(aside, way)
    a = np.linspace(0, 2 * np.pi, 33)[None, :, None]
    r = np.broadcast_to(np.asarray(radius, float).reshape(-1, 1, 1), (len(path), 1, 1))
    points = path[:, None] + r * (flat * np.cos(a) * aside[:, None] + np.sin(a) * up[:, None])
    return Mesh(points, shade, **how)


def handle(radius: float, low: float, high: float, angle: float, shade: Array) -> Mesh:
    """Return a jug's handle."""
    f = np.linspace(0, np.pi, 40)
    out = radius - 0.3 + 3.0 * np.sin(f) ** 0.8
    z = low + (high - low) * (1 - np.cos(f)) / 2
    path = np.stack([out * np.cos(angle), out * np.sin(angle), z], 1)
    return tube(path, 0.42, shade, flat=1.6, gloss=0.12)


JUG_LEVEL, JUG_RADIUS = 6.4, 5.2


def jug(shade: Array = WHITE, *, spout: float = -0.5, held: float = 2.6) -> list[Mesh]:
    """Return an empty pouring jug with lip and handle."""
    body = turned(
        [(4.6, 0.3), (5.35, 9.2), (5.62, 9.2), (4.95, 0.0), (0.01, 0.0)],
        [0.3, 0.12, 0.1, 0.3],
        shade,
        spout=spout,
    )
    return [body, handle(5.4, 2.2, 8.2, held, shade)]


def bowl(shade: Array = WHITE, *, kind: str = "glaze", gloss: float = 0.08) -> Mesh:
    """Return a bowl of 17 cm."""
    return turned(
        [(0.01, 0.5), (4.6, 0.5), (8.3, 5.6), (8.65, 5.6), (4.8, 0.0), (0.01, 0.0)],
        [2.2, 0.12, 0.12, 0.5],
        shade,
        kind=kind,
        gloss=gloss,
    )


BOWL_LEVEL, BOWL_RADIUS = 4.0, 7.2


def liquid(g: Glaze, radius: float, level: float, **marbled: Any) -> Surface:
    """Return the surface of a glaze at rest in a vessel, drawn up a little at the wall."""
    r = np.linspace(1e-3, radius, int(radius / 0.03))
    c = Surface(np.stack([r, np.full_like(r, level)], 1), around(radius, 0.034))
    c.paint(g.shares, g.shades, g.seed, **marbled)
    c.hiding = 0
    c.h += 0.16 * np.exp((c.r - radius) / 0.16) + 0.004 * blobs(g.seed, 3.0)(c.u, c.v)
    return c


def froth(
    c: Surface, at: tuple[float, float], reach: float, number: int, seed: int, mm: float
) -> None:
    """Set bubbles on a liquid around a place: each a low dome in a fine furrow."""
    rng = np.random.default_rng(seed)
    rgb = c.mixed().copy()
    for _ in range(number):
        a, far = (
            rng.uniform(-np.pi, np.pi),
            reach * np.sqrt(rng.uniform(0.0, 1)) * float(rng.uniform(0.5, 1.1)),
        )
        x, y = at[0] + far * np.cos(a), at[1] + far * np.sin(a)
        size = min(mm / 20 * float(np.exp(0.5 * rng.standard_normal())), 0.45)
        s, t = float(np.hypot(x, y)), float(np.arctan2(y, x))
        t = (t - FRONT + np.pi) % (2 * np.pi) - np.pi + FRONT
        if s + size > c.r.max() - 0.1 or s < 0.5:
            continue
        cells, down, aside = c.near(s, t, 1.4 * size)
        d = np.hypot(down, aside) / size
        c.h[cells] = np.maximum(c.h[cells], 0.62 * size * np.sqrt(np.clip(1 - d**2, 0, 1)))
        c.h[cells] -= 0.05 * size * bump(d - 1.08, 0.12)
        light = (0.25 * (1 - step(d, 0.8, 1.05)))[..., None]
        rgb[cells] = rgb[cells] * (1 - light) + light * (0.5 + 0.5 * rgb[cells])
    c.rgb = rgb


# --- steps -------------------------------------------------------------------------------


def layered_jug(g: Glaze, *, layers: int, drop_cm: float) -> Scene:
    """Return the marbled jug from above: each layer poured gently onto the last."""
    c = liquid(
        g, JUG_RADIUS - 0.12, JUG_LEVEL, swirl=0.10 + 0.02 * drop_cm, rounds=layers, wisps=0.5
    )
    return Scene().add(c.mesh(), *jug())


def ribbon(g: Glaze, *, viscosity: float, temperature_degc: float, seconds: float = 5.0) -> Scene:
    """Let a ribbon fall back into the bowl and sink as a deep liquid levels.

    A wave k dies as exp(-t (density gravity / k + tension k) / (2 viscosity)).
    """
    del temperature_degc  # what the viscosity stands for, said beside it
    c = liquid(g, BOWL_RADIUS - 0.05, BOWL_LEVEL)
    size, n = 40.0, 800
    ridge = np.zeros((n, n))
    k = 450.0
    rate = (DENSITY * GRAVITY / k + TENSION * k) / (2 * viscosity)
    many = 900
    for f in np.linspace(0, 1, many):
        x = 4.6 * np.sin(2 * np.pi * 2.25 * f) * (0.55 + 0.45 * f)
        y = 4.0 - 6.2 * f
        x, y = x * 0.9 + 0.3 * np.sin(9 * f), y + 0.5 * np.sin(2 * np.pi * 4.5 * f)
        age = seconds * (1 - f)
        high = 0.62 * np.exp(-rate * age)
        wide = 0.42 * (1 + 0.5 * min(rate * age, 2.0))
        i0, j0 = int((x + 20) / size * n), int((y + 20) / size * n)
        i, j = slice(i0 - 30, i0 + 31), slice(j0 - 30, j0 + 31)
        gx = (np.arange(i0 - 30, i0 + 31) + 0.5) * size / n - 20
        gy = (np.arange(j0 - 30, j0 + 31) + 0.5) * size / n - 20
        d = np.hypot(gx[:, None] - x, gy[None] - y) / wide
        ridge[i, j] = np.maximum(ridge[i, j], high * np.clip(1 - d**2, 0, 1) ** 0.75)
    field = ridge.copy()
    for _ in range(2):
        field = (
            2 * field
            + np.roll(field, 1, 0)
            + np.roll(field, -1, 0)
            + np.roll(field, 1, 1)
            + np.roll(field, -1, 1)
        ) / 6
    c.h = c.h + sample(field, c.u + 20, c.v + 20)
    end = (4.6 * np.sin(2 * np.pi * 2.25) * 0.9 + 0.3 * np.sin(9.0), 4.0 - 6.2)
    z = np.linspace(22, BOWL_LEVEL - 0.2, 160)
    fall = 22 - z
    r = 0.62 / (1 + fall / 4.5) ** 0.25 + 0.5 * np.exp(-(z - BOWL_LEVEL) / 0.35) * step(6 - z, 0, 2)
    stream = Surface(np.stack([r, z], 1), around(0.6, 0.04), end)
    stream.rgb = np.ones((*stream.h.shape, 3)) * c.shades[0]
    stream.hiding = 0
    return Scene().add(c.mesh(), bowl(), stream.mesh())


def skin(g: Glaze, *, wrinkle_mm: float, roughness_um: float, open_cm: float) -> Scene:
    """Return a glaze that stood uncovered: a dull skin, wrinkled where a finger has pushed it."""
    c = liquid(g, BOWL_RADIUS - 0.05, BOWL_LEVEL)
    x, y = c.x - 2.2, c.y + 1.6
    turn = np.radians(35)
    along, aside = x * np.cos(turn) + y * np.sin(turn), -x * np.sin(turn) + y * np.cos(turn)
    shake = 0.35 * blobs(g.seed + 5, 2.4)(c.u, c.v)
    hole = np.hypot(along + 0.8, 0.55 * aside) + 0.5 * shake - open_cm
    inside = 1 - step(hole, -0.05, 0.08)
    ahead = step(along, 0.2, 1.4) * bump(aside, 3.6) * (1 - step(along, 3.0, 6.5))
    folds = np.abs(np.sin(np.pi * (along + 0.9 * shake + 0.06 * aside**2) / 0.75)) ** 0.6
    fine = blobs(g.seed + 6, 0.5)(along, 0.25 * aside)
    c.h += wrinkle_mm / 10 * ahead * (folds - 0.4 + 0.2 * fine) * (1 - inside)
    c.h += 0.05 * (1 - inside) + 0.07 * bump(hole - 0.12, 0.11)
    c.h += 0.006 * blobs(g.seed + 8, 0.9)(c.u, c.v) * (1 - inside)
    cakes.lost(c, roughness_um, 1.0, 1 - inside)
    return Scene().add(c.mesh(), bowl())


def base(g: Glaze, *, chocolate: float, bubbles: int = 40) -> Scene:
    """Return the base in its pan: clear before the chocolate goes in, an opaque cream after."""
    pan = turned(
        [(0.01, 0.3), (7.9, 0.3), (8.0, 7.6), (8.25, 7.6), (8.1, 0.0), (0.01, 0.0)],
        [0.9, 0.12, 0.1, 0.8],
        STEEL,
        kind="metal",
        gloss=0.16,
    )
    grip = tube(
        np.array([[8.1 + d, 2.0 + 0.15 * d, 6.2 + 0.05 * d] for d in np.linspace(0, 12, 20)]),
        0.45,
        STEEL,
        flat=1.7,
        kind="metal",
        gloss=0.2,
    )
    c = liquid(g, 7.9, 3.4)
    scene = Scene().add(pan, grip)
    if chocolate > 0:
        froth(c, (1.0, -1.0), 6.0, bubbles, g.seed, 1.6)
        return scene.add(c.mesh())
    froth(c, (3.0, 3.0), 3.0, bubbles, g.seed, 1.8)
    return scene.add(Mesh(c.mesh().points, linear(next(iter(g.shades.values()))), kind="syrup"))


def blade(g: Glaze, *, under_cm: float, bubbles: int, bubble_mm: float) -> Scene:
    """Stand a stick blender in its jug: the head covered, or at the surface where it draws air."""
    c = liquid(g, JUG_RADIUS - 0.12, JUG_LEVEL, swirl=0.5)
    lean, at = np.array([0.16, 0.10, 1.0]), np.array([0.2, 0.3])
    lean /= np.linalg.norm(lean)
    foot = np.array([at[0], at[1], JUG_LEVEL - under_cm - 1.6])
    bell = [
        (2.85, 0.0),
        (2.95, 0.2),
        (2.6, 1.7),
        (1.5, 2.7),
        (0.95, 3.4),
        (0.9, 12.0),
        (1.35, 13.0),
        (1.4, 24.0),
    ]
    line = profile(bell, [0.1, 1.0, 0.9, 0.4, 0.6, 0.3], 0.1)
    path = foot + line[:, 1:] * lean
    head = tube(path, line[:, 0], STEEL, kind="metal", gloss=0.10)
    near = np.hypot(c.x - at[0], c.y - at[1])
    if under_cm < 1:
        c.h -= 0.35 * bump(near, 3.0)
        froth(c, (at[0], at[1]), 4.7, bubbles, g.seed, bubble_mm)
    else:
        c.h += 0.05 * bump(near - 0.9, 0.2) + 0.012 * np.sin(near * 3.0) * bump(near, 3.5)
    return Scene().add(c.mesh(), head, *jug(spout=-0.9, held=2.2))


def leaf(g: Glaze, *, soaked: float, long_cm: float, wide_cm: float, leaves: int) -> Scene:
    """Gelatin leaves: dry they are stiff and clear, soaked they are limp and swollen."""
    scene = Scene()
    shade = linear(next(iter(g.shades.values())))
    rng = np.random.default_rng(g.seed)
    if not soaked:
        for k in range(leaves):
            x = np.linspace(-long_cm / 2, long_cm / 2, 700)[:, None]
            y = np.linspace(-wide_cm / 2, wide_cm / 2, 260)[None]
            net = np.minimum(*(np.abs((x + s * y) / 1.3 % 1 - 0.5) for s in (-1.0, 1.0)))
            z = (
                0.25
                + 0.32 * k
                + (0.9 + 0.3 * k) * (x / long_cm * 2) ** 2 * 0.5
                - 0.020 * bump(net, 0.10)
            )
            z = z + 0.10 * np.sin(0.7 * y + 0.3 * x + k)
            a = np.radians(float(rng.uniform(8, 16)) * (k - (leaves - 1) / 2) + 14)
            px, py = x + 0 * y, y + 0 * x
            points = np.stack(
                [
                    px * np.cos(a) - py * np.sin(a),
                    px * np.sin(a) + py * np.cos(a) + 1.6 * (k - 1),
                    z + 0 * px,
                ],
                -1,
            )
            scene.add(Mesh(points, shade, kind="film", haze=0.30))
        return scene
    dish = turned(
        [(0.01, 0.35), (8.6, 0.35), (10.2, 3.0), (10.5, 3.0), (9.0, 0.0), (0.01, 0.0)],
        [1.2, 0.12, 0.1, 0.6],
        WHITE,
    )
    for k in range(leaves):
        u = np.linspace(-1, 1, 320)[:, None]
        v = np.linspace(-1, 1, 220)[None]
        fold = blobs(g.seed + 3 * k, 6.0)(6 * u, 5 * v)
        ripple = np.sin(3.0 * u + 0.7 * fold + 0.8 * v) + 0.4 * np.sin(4.2 * v - 1.4 * u + k)
        x = 5.6 * u * (1 - 0.03 * fold) + 0.25 * np.sin(2 * v + k)
        y = 3.4 * v * (1 - 0.03 * np.sin(3 * u)) + 0.5 * np.sin(2.0 * u + 2 * k)
        z = 1.35 + 0.5 * k + 0.26 * ripple + 0.10 * fold
        a = 0.7 * k - 0.3
        points = np.stack(
            [x * np.cos(a) - y * np.sin(a), x * np.sin(a) + y * np.cos(a), np.maximum(z, 0.6)], -1
        )
        scene.add(Mesh(points, shade, gloss=0.05))
    level = Surface(np.array([[r, 1.3] for r in np.linspace(1e-3, 9.05, 60)]), around(9, 0.2))
    return scene.add(dish, Mesh(level.mesh().points, np.ones(3), kind="water"))


def trimming(
    g: Glaze, *, coat_mm: float, longest_mm: float, number: int, bead_mm: float, done_deg: float
) -> Scene:
    """Trim the foot: a palette knife goes round under the edge."""
    lift = 3.2
    c = cakes.cylinder()
    cakes.drips(c, g, coat_mm=coat_mm, longest_mm=longest_mm, number=number, bead_mm=bead_mm)
    here = FRONT + np.radians(done_deg)
    cut = step(np.angle(np.exp(1j * (here - c.t))), -0.06, 0.02)  # 1 on the left: still there
    clean = cakes.cylinder()
    cakes.right(clean, g, coat_mm=coat_mm)
    c.h = c.h * cut + np.minimum(clean.h, coat_mm / 10) * (1 - cut)
    left = [m for m in c.extra if _turn(m, here) < -0.05]
    scene = Scene(lift=lift).add(c.mesh(), cakes.stand(c, lift), *left)
    x = np.linspace(-3.0, 9.5, 90)[:, None]
    y = np.linspace(-1, 1, 24)[None]
    tip = np.sqrt(np.clip(1 - (np.clip(-1.6 - x, 0, None) / 1.4) ** 2, 0.0, 1))
    turn = here + np.pi / 2 - 0.55
    middle = np.array([9.0 * np.cos(here), 9.0 * np.sin(here), -0.06])
    way = np.array([np.cos(turn), np.sin(turn), -0.02])
    aside = np.array([-np.sin(turn), np.cos(turn), 0.5])
    flat = middle + x[..., None] * way + (1.15 * y * tip)[..., None] * aside
    scene.add(Mesh(flat, STEEL, kind="metal", gloss=0.10))
    grip = middle + np.linspace(9.3, 20, 30)[:, None] * way
    return scene.add(tube(grip, np.r_[0.5, np.full(28, 0.85), 0.6], BLACK, flat=1.25, gloss=0.2))


def _turn(mesh: Mesh, here: float) -> float:
    """Return how far round from an angle a mesh stands."""
    x, y = mesh.points[0, :, 0].mean(), mesh.points[0, :, 1].mean()
    return float(np.angle(np.exp(1j * (np.arctan2(y, x) - here))))


def _still(g: Glaze, parts: list[tuple[str, float, float]]) -> Scene:
    scene = Scene()
    for k, (shape, x, y) in enumerate(parts):
        cake = cakes.dome((x, y)) if shape == "dome" else cakes.cakes(shape, close=False)[0]
        cake.at = (x, y)
        cakes.right(cake, Glaze(g.shares, g.shades, g.seed + k, g.cake))
        scene.add(cake.mesh(floor=0.004))
    return scene


def title(g: Glaze) -> Scene:
    """Return a cake and three domes."""
    return _still(
        g, [("cylinder", -5.6, 2.0), ("dome", 7.0, 3.6), ("dome", 3.2, -6.2), ("dome", 10.0, -3.6)]
    )


def readme(g: Glaze) -> Scene:
    """Return a ring and two domes."""
    return _still(g, [("ring", 3.6, 1.6), ("dome", -9.2, 0.6), ("dome", -5.4, -6.6)])


STEPS: dict[str, Callable[..., Scene]] = {
    "leaf": leaf,
    "base": base,
    "blade": blade,
    "layered jug": layered_jug,
    "ribbon": ribbon,
    "skin": skin,
    "trimming": trimming,
    "title": title,
    "readme": readme,
}
