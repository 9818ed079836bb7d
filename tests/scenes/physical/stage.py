"""Collects bodies and surfaces into the renderer's scene dictionary.

Only plain dictionaries are made here; `render` hands them to the renderer.
"""

from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

from tests.scenes.physical.meshes import Mesh, write_ply

Bsdf = dict[str, Any]


def matt(rgb: Any) -> Bsdf:
    """Diffuse, seen from both sides."""
    return {"type": "twosided", "inner": {"type": "diffuse", "reflectance": colour(rgb)}}


def paint(rgb: Any, alpha: float = 0.08) -> Bsdf:
    """Gloss paint or plastic."""
    inner = {"type": "roughplastic", "diffuse_reflectance": colour(rgb), "alpha": alpha, "int_ior": 1.5}
    return {"type": "twosided", "inner": inner}


def metal(name: str, alpha: float) -> Bsdf:
    """A metal of the renderer's own table ("Cr", "Al") with roughness alpha."""
    return {
        "type": "twosided",
        "inner": {"type": "roughconductor", "material": name, "alpha": alpha, "distribution": "ggx"},
    }


def colour(value: Any) -> Any:
    """An rgb triple, one grey, or a linear image (H, W, 1 or 3) as the renderer wants it."""
    if isinstance(value, dict):
        return value
    if isinstance(value, np.ndarray) and value.ndim == 3:
        return {"type": "bitmap", "array": value.astype(np.float32), "raw": True, "wrap_mode": "clamp"}
    triple = [float(v) for v in np.broadcast_to(np.asarray(value, dtype=float), 3)]
    return {"type": "rgb", "value": triple}


class Stage:
    """A growing scene in world coordinates; strut parts are turned by `lean` on the way in."""

    def __init__(self, folder: Path, lean: NDArray[np.float64]) -> None:
        self.folder = folder
        self.lean = lean
        self.items: dict[str, Any] = {}

    def add(self, item: dict[str, Any]) -> None:
        """One renderer item in world coordinates."""
        self.items[f"item{len(self.items):03d}"] = item

    def mesh(self, mesh: Mesh, bsdf: Bsdf, *, smooth: bool = False, world: bool = False, **more: Any) -> None:
        """One mesh given in the strut frame, or in the world frame."""
        if not world:
            mesh = mesh.moved(self.lean, np.zeros(3))
        path = self.folder / f"mesh{len(self.items):03d}.ply"
        write_ply(mesh, path)
        self.add({"type": "ply", "filename": str(path), "face_normals": not smooth, "bsdf": bsdf} | more)

    def meshes(self, parts: list[Mesh], bsdf: Bsdf, *, smooth: bool = False, world: bool = False) -> None:
        """Several meshes of one surface."""
        for part in parts:
            self.mesh(part, bsdf, smooth=smooth, world=world)

    def rod(self, start: Any, end: Any, radius: float, bsdf: Bsdf) -> None:
        """An exact round rod of the strut frame (no tessellation: its outline is what is measured)."""
        ends = [[float(v) for v in self.lean @ np.asarray(p, dtype=float)] for p in (start, end)]
        self.add({"type": "cylinder", "p0": ends[0], "p1": ends[1], "radius": radius, "bsdf": bsdf})
