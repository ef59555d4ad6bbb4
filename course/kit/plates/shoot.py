"""From meshes to a file: the renderer, the denoiser, the print."""

from __future__ import annotations

import importlib
import io
import os
from functools import cache
from pathlib import Path
from typing import Any

import numpy as np
from PIL import Image

from calculators.faults import fault_error
from course.kit.plates.fields import Array
from course.kit.plates.surface import Mesh, Scene, normals_of

LARGEST = 60_000  # bytes in a file
_EXPOSURE = 1.0
VARIANT = "GLOSSBOOK_RENDERER"  # "llvm_ad_rgb" is three times as quick; it needs LLVM 16 or later


@cache
def renderer() -> Any:
    """Return the renderer; refuse where the extra is not installed."""
    try:
        mi = importlib.import_module("mitsuba")
    except ImportError:
        raise fault_error(
            "course.kit.plates",
            "needs a renderer",
            "mitsuba is not installed",
            "A course needs only the rendered files",
            'Install it to make plates: pip install "glossbook[plates]"',
        ) from None
    mi.set_variant(os.environ.get(VARIANT, "scalar_rgb"))
    mi.set_log_level(mi.LogLevel.Error)
    return mi


def render(
    scene: Scene, view: str, light: str, width: int, height: int, samples: int, seed: int
) -> Array:
    """Return the picture as linear light, denoised."""
    from course.kit.plates import studio

    mi = renderer()
    whole: dict[str, Any] = {
        "type": "scene",
        "integrator": {"type": "path", "max_depth": 9 if _clear(scene) else 4, "rr_depth": 4},
        "ground": _mesh(Mesh(studio.ground(scene.lift), np.ones(3) * studio.GROUND, kind="card")),
        **studio.lights(light, view),
        "camera": _camera(view, width, height),
    }
    for k, mesh in enumerate(scene.meshes):
        whole[f"mesh{k}"] = _mesh(mesh)
    loaded = mi.load_dict(whole)
    colour = np.array(mi.render(loaded, spp=samples, seed=seed), np.float32)
    # What is seen apart from light guides the denoiser; one film for both is slower.
    seen = mi.load_dict({"type": "aov", "aovs": "albedo:albedo,normal:sh_normal"})
    guide = np.array(mi.render(loaded, integrator=seen, spp=1, seed=seed), np.float32)
    albedo, normal = (np.ascontiguousarray(part) for part in np.split(guide, 2, -1))
    denoiser = importlib.import_module("mitsuba_oidn")
    clean = denoiser.denoise(
        np.ascontiguousarray(colour[..., :3]), np.clip(albedo, 0, 1), normal, hdr=True
    )
    return np.asarray(clean, float)


def _clear(scene: Scene) -> bool:
    """Return whether light goes through something."""
    return any(m.kind in ("water", "syrup", "glass", "film") for m in scene.meshes)


def _camera(view: str, width: int, height: int) -> dict[str, Any]:
    from course.kit.plates import studio

    mi = renderer()
    here, target = studio.eye(view)
    _, field_of_view, far, _ = studio.VIEWS[view]
    return {
        "type": "thinlens",
        "aperture_radius": 0.22,
        "focus_distance": far - 2.0,
        "fov": field_of_view,
        "fov_axis": "x",
        "to_world": mi.ScalarTransform4f().look_at(
            origin=[float(v) for v in here],
            target=[float(v) for v in target],
            up=[0, 0, 1] if studio.VIEWS[view][0] < 80 else [0, 1, 0],
        ),
        "film": {
            "type": "hdrfilm",
            "width": width,
            "height": height,
            "rfilter": {"type": "box"},
        },
        "sampler": {"type": "independent"},
    }


def _texture(values: Array) -> dict[str, Any]:
    mi = renderer()
    return {
        "type": "bitmap",
        "bitmap": mi.Bitmap(np.ascontiguousarray(values, np.float32)),
        "raw": True,
        "wrap_mode": "clamp",
    }


def _plain(value: Array) -> dict[str, Any]:
    return {"type": "rgb", "value": [float(v) for v in value]}


def _finish(mesh: Mesh) -> dict[str, Any]:
    """Return how a mesh takes light."""
    shade = _plain(mesh.colour) if mesh.colour.ndim == 1 else _texture(mesh.colour)
    if mesh.kind == "water":
        return {"type": "dielectric", "int_ior": 1.333}
    if mesh.kind == "syrup":
        return {"type": "dielectric", "int_ior": 1.45, "specular_transmittance": shade}
    if mesh.kind == "glass":
        return {"type": "thindielectric", "int_ior": 1.5}
    if mesh.kind == "film":  # a leaf: clear, a little milky
        return {
            "type": "blendbsdf",
            "weight": mesh.haze,
            "a": {"type": "thindielectric", "int_ior": 1.5},
            "b": {"type": "roughplastic", "alpha": 0.12, "diffuse_reflectance": shade},
        }
    if mesh.kind == "metal":
        return {
            "type": "roughconductor",
            "alpha": mesh.gloss,
            "specular_reflectance": shade,
            "material": "Cr",
        }
    if mesh.kind == "card":
        return {"type": "diffuse", "reflectance": shade}
    lobe = {
        "type": "roughplastic",
        "int_ior": 1.47,
        "alpha": mesh.gloss,
        "nonlinear": True,
        "diffuse_reflectance": shade,
    }
    out: dict[str, Any] = lobe
    if mesh.dull is not None:
        out = {
            "type": "blendbsdf",
            "weight": _texture(np.clip(mesh.dull, 0, 1)[..., None]),
            "a": out,
            "b": dict(lobe, alpha=mesh.haze),
        }
    if mesh.matt is not None:
        out = {
            "type": "blendbsdf",
            "weight": _texture(np.clip(mesh.matt, 0, 1)[..., None]),
            "a": out,
            "b": {"type": "diffuse", "reflectance": shade},
        }
    return out


def _mesh(mesh: Mesh) -> Any:
    mi = renderer()
    finish = _finish(mesh)
    if _opaque(finish):
        finish = {"type": "twosided", "bsdf": finish}
    props = mi.Properties()
    props["mesh_bsdf"] = mi.load_dict(finish)
    faces, normals, places = mesh.faces, mesh.normals, np.zeros((len(mesh.points), 2))
    if faces is None:
        rows, columns = mesh.points.shape[:2]
        index = np.arange(rows * columns).reshape(rows, columns)
        a, b = index[:-1, :-1].ravel(), index[:-1, 1:].ravel()
        c, d = index[1:, :-1].ravel(), index[1:, 1:].ravel()
        faces = np.concatenate([np.stack([a, c, b], 1), np.stack([b, c, d], 1)])
        across = (np.arange(columns) + 0.5) / columns, (np.arange(rows) + 0.5) / rows
        places = np.stack(np.meshgrid(*across), -1)
        normals = normals_of(mesh.points) if normals is None else normals
    made = mi.Mesh(
        "mesh",
        mesh.points.size // 3,
        len(faces),
        has_vertex_normals=True,
        has_vertex_texcoords=True,
        props=props,
    )
    values = mi.traverse(made)
    for key, value in (
        ("vertex_positions", mesh.points),
        ("vertex_normals", normals),
        ("vertex_texcoords", places),
    ):
        values[key] = np.ascontiguousarray(value, np.float32).ravel()
    values["faces"] = faces.astype(np.uint32).ravel()
    values.update()
    return made


def _opaque(finish: dict[str, Any]) -> bool:
    if finish["type"] == "blendbsdf":
        return _opaque(finish["a"]) and _opaque(finish["b"])
    return finish["type"] not in ("dielectric", "thindielectric")


def printed(light: Array) -> Image.Image:
    """Return linear light as a picture: straight up to half, then a soft shoulder."""
    x = np.maximum(light * _EXPOSURE, 0)
    knee = 0.5
    x = np.where(x < knee, x, knee + (1 - knee) * (1 - np.exp(-(x - knee) / (1 - knee))))
    x = np.where(x <= 0.0031308, 12.92 * x, 1.055 * np.maximum(x, 1e-9) ** (1 / 2.4) - 0.055)
    return Image.fromarray((np.clip(x, 0, 1) * 255 + 0.5).astype(np.uint8))


def save(picture: Image.Image, path: Path, width: int, largest: int = LARGEST) -> int:
    """Write a WebP of a width, as good as its size allows; return its bytes."""
    height = round(picture.height * width / picture.width)
    small = picture.resize((width, height), Image.Resampling.LANCZOS)
    for quality in (88, 82, 76, 70, 62, 54, 46):
        out = io.BytesIO()
        small.save(out, "WEBP", quality=quality, method=4)
        if out.tell() <= largest:
            break
    path.write_bytes(out.getvalue())
    return out.tell()
