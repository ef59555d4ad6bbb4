"""Lights, ground and cameras: the same bench for all plates, four lights, fourteen views."""

from __future__ import annotations

from typing import Any

import numpy as np

from course.kit.plates.fields import Array
from course.kit.plates.shoot import renderer

# Elevation and field of view in degrees, distance in cm, point looked at.
VIEWS: dict[str, tuple[float, float, float, tuple[float, float, float]]] = {
    "side": (27.0, 21.5, 66.0, (0.0, 0.0, 1.6)),
    "low": (11.0, 22.0, 66.0, (0.0, 0.0, 1.4)),
    "top": (84.0, 25.5, 62.0, (0.0, 0.0, 2.0)),
    "close": (31.0, 14.5, 52.0, (0.0, -6.8, 3.4)),
    "closetop": (50.0, 14.5, 52.0, (0.0, -4.4, 4.0)),
    "trim": (17.0, 23.0, 66.0, (0.8, 0.0, 1.0)),
    "domes": (25.0, 17.0, 66.0, (0.2, 0.0, 1.4)),
    "dome": (31.0, 10.5, 52.0, (0.6, -3.6, 1.9)),
    "jug": (60.0, 19.5, 56.0, (0.5, 0.0, 5.2)),
    "blender": (50.0, 21.0, 58.0, (0.2, 0.0, 6.4)),
    "domestop": (84.0, 18.5, 62.0, (0.2, 0.0, 1.6)),
    "bowl": (47.0, 24.0, 56.0, (0.0, 0.0, 3.0)),
    "bench": (36.0, 25.0, 62.0, (0.0, 0.0, 0.5)),
    "wide": (25.0, 24.5, 70.0, (0.2, 0.0, 1.8)),
}
GROUND = 0.27  # linear reflectance of bench and wall: a neutral middle grey


def rgb(value: Any) -> dict[str, Any]:
    """Return a colour, or one grey, as the renderer wants it."""
    return {"type": "rgb", "value": [float(v) for v in np.broadcast_to(value, 3)]}


def eye(view: str) -> tuple[Array, Array]:
    """Return where the camera stands and what it looks at."""
    height, _, far, aim = VIEWS[view]
    a = np.radians(height)
    target = np.array(aim)
    return target + far * np.array([0, -np.cos(a), np.sin(a)]), target


def _panel(at: Any, aim: Any, wide: float, high: float, light: Any) -> dict[str, Any]:
    mi = renderer()
    way = np.asarray(aim, float) - np.asarray(at, float)
    upright = [0.01, 0.02, 1.0] if np.hypot(way[0], way[1]) > 0.4 * abs(way[2]) else [0.0, 1.0, 0.0]
    return {
        "type": "rectangle",
        "to_world": mi.ScalarTransform4f()
        .look_at(origin=list(map(float, at)), target=list(map(float, aim)), up=upright)
        .scale([wide / 2, high / 2, 1]),
        "emitter": {"type": "area", "radiance": rgb(light)},
    }


def _above(view: str) -> bool:
    """Return whether the camera looks straight down."""
    return VIEWS[view][0] > 80


def _mirrored(view: str, aside: float, far: float = 55.0, above: float = 0.0) -> Array:
    """Return the point that the top mirrors: so far behind, so many cm aside and above."""
    here, target = eye(view)
    way = target - here
    if _above(view):
        return np.array([1.4 * aside, 9.0 + above, 70.0])
    way[2] = -way[2]
    if view == "low":  # what the top mirrors would stand in the picture
        above += 13.0
    return target + way / np.linalg.norm(way) * far + np.array([aside, 0, above])


def lights(name: str, view: str) -> dict[str, Any]:
    """Return the lights: window, lamp, strips or panel."""
    aim = np.array([0.0, 0.0, 3.0])
    much = 2.0 if _above(view) else 1.0  # straight down, a skin mirrors least
    out: dict[str, Any] = {}
    if name == "window":  # six panes, daylight from the left
        middle = _mirrored(view, -7.0, above=-1)
        back = (aim - middle) / np.linalg.norm(aim - middle)
        across = np.cross([0, 0, 1], back) if not _above(view) else np.array([1.0, 0, 0])
        across = across / np.linalg.norm(across)
        up = np.cross(back, across)
        for k in range(6):
            at = middle + across * (k % 3 - 1) * 7.6 + up * (k // 3 - 0.5) * 8.6
            out[f"pane{k}"] = _panel(at, at + back, 6.8, 7.8, much * np.array([6.0, 6.2, 6.6]))
        out["left"] = _panel((-40, -18, 24), aim, 22, 36, [7.6, 7.7, 8.0])
        out["right"] = _panel((44, -14, 22), aim, 12, 26, [4.0, 3.9, 3.8])
        out["sky"] = {"type": "constant", "radiance": rgb([0.46, 0.47, 0.49])}
    elif name == "lamp":  # one round lamp, warm, from the right
        middle = _mirrored(view, 8.0)
        out["lamp"] = _panel(middle, aim, 1, 1, much * np.array([8.2, 7.8, 7.2]))
        out["lamp"]["type"] = "disk"
        mi = renderer()
        out["lamp"]["to_world"] = (
            mi.ScalarTransform4f()
            .look_at(origin=[float(v) for v in middle], target=[0.0, 0.0, 3.0], up=[0.01, 0.02, 1])
            .scale(7.5)
        )
        out["right"] = _panel((42, -22, 26), aim, 18, 30, [9.5, 9.1, 8.5])
        out["left"] = _panel((-44, -10, 18), aim, 10, 30, [3.6, 3.6, 3.7])
        out["sky"] = {"type": "constant", "radiance": rgb([0.42, 0.41, 0.40])}
    elif name == "strips":  # two tubes of a kitchen ceiling
        for k, aside in enumerate((-9.0, 7.0)):
            at = _mirrored(view, aside, above=2 * k)
            out[f"tube{k}"] = _panel(at, aim, 4.2, 34.0, much * np.array([7.0, 7.2, 7.4]))
        out["front"] = _panel((0, -46, 46), aim, 60, 14, [5.4, 5.5, 5.6])
        out["left"] = _panel((-42, -16, 18), aim, 12, 28, [6.5, 6.6, 6.8])
        out["sky"] = {"type": "constant", "radiance": rgb([0.46, 0.47, 0.48])}
    else:  # panel: one wide soft light behind, with an edge across the top
        at = _mirrored(view, 3.0, above=11.0)
        out["panel"] = _panel(at, aim, 50, 18, much * np.array([3.6, 3.6, 3.65]))
        out["left"] = _panel((-42, -20, 22), aim, 16, 32, [6.0, 6.0, 6.1])
        out["right"] = _panel((42, -20, 22), aim, 16, 32, [6.0, 6.0, 6.1])
        out["sky"] = {"type": "constant", "radiance": rgb([0.46, 0.46, 0.47])}
    return out


def ground(lift: float) -> Array:
    """Return bench and wall in one sweep, as a grid of points."""
    y = [np.linspace(-260, 75, 60), 75 + 60 * np.sin(np.linspace(0.05, np.pi / 2, 40))]
    z = [np.zeros(60), 60 - 60 * np.cos(np.linspace(0.05, np.pi / 2, 40))]
    line_y, line_z = np.r_[y[0], y[1], 135.0], np.r_[z[0], z[1], 260.0]
    x = np.linspace(-300, 300, 40)
    return np.stack(
        [
            np.broadcast_to(x, (line_y.size, x.size)),
            np.broadcast_to(line_y[:, None], (line_y.size, x.size)),
            np.broadcast_to(line_z[:, None] - lift, (line_y.size, x.size)),
        ],
        -1,
    )
