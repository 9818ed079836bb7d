"""Triangle meshes of the simple bodies, and the file format that the renderer reads."""

from dataclasses import dataclass
from itertools import pairwise
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]


@dataclass(frozen=True)
class Mesh:
    """Vertices (N, 3) in mm, faces (M, 3), optional texture coordinates (N, 2) in [0, 1]."""

    vertices: Array
    faces: NDArray[np.int64]
    uv: Array | None = None

    def moved(self, turn: Array, shift: Array) -> "Mesh":
        """The mesh after x -> turn x + shift."""
        return Mesh(self.vertices @ turn.T + shift, self.faces, self.uv)


def grid(points: Array) -> Mesh:
    """A sheet from points (rows, columns, 3); texture u along columns, v along rows."""
    rows, columns = points.shape[:2]
    index = np.arange(rows * columns).reshape(rows, columns)
    a, b, c, d = (index[:-1, :-1], index[:-1, 1:], index[1:, 1:], index[1:, :-1])
    faces = np.concatenate([np.stack([a, b, c], -1).reshape(-1, 3), np.stack([a, c, d], -1).reshape(-1, 3)])
    v, u = np.meshgrid(np.linspace(0, 1, rows), np.linspace(0, 1, columns), indexing="ij")
    return Mesh(points.reshape(-1, 3), faces, np.stack([u, v], -1).reshape(-1, 2))


def lathe(profile: list[tuple[float, float]], turns: int = 720) -> list[Mesh]:
    """Body of revolution about z: a sheet per piece of the profile (radius, z), so edges stay sharp."""
    angle = np.linspace(0, 2 * np.pi, turns + 1)
    ring = np.stack([np.cos(angle), np.sin(angle)], -1)
    sheets = []
    for (r0, z0), (r1, z1) in pairwise(profile):
        ends = [np.column_stack([ring * r, np.full(turns + 1, z)]) for r, z in ((r0, z0), (r1, z1))]
        sheets.append(grid(np.stack(ends)))
    return sheets


def round_lathe(profile: Array, turns: int = 360) -> Mesh:
    """One smooth sheet of revolution about z from a profile (N, 2) of (radius, z)."""
    angle = np.linspace(0, 2 * np.pi, turns + 1)
    r, z = profile[:, :1], profile[:, 1:]
    return grid(np.stack([r * np.cos(angle), r * np.sin(angle), np.broadcast_to(z, (len(r), turns + 1))], -1))


def beam(start: Array, end: Array, width: float, thickness: float, side: Array) -> Mesh:
    """A bar from start to end; `side` is roughly the direction of its width."""
    along = (end - start) / np.linalg.norm(end - start)
    deep = np.cross(along, side)
    deep /= np.linalg.norm(deep)
    wide = np.cross(deep, along)
    corners = [
        base + sx * width / 2 * wide + sy * thickness / 2 * deep
        for base in (start, end)
        for sx, sy in ((-1, -1), (1, -1), (1, 1), (-1, 1))
    ]
    quads = [(0, 1, 2, 3), (4, 5, 6, 7), (0, 1, 5, 4), (1, 2, 6, 5), (2, 3, 7, 6), (3, 0, 4, 7)]
    vertices = np.array([corners[i] for quad in quads for i in quad])
    faces = np.array(
        [(4 * q + a, 4 * q + b, 4 * q + c) for q in range(6) for a, b, c in ((0, 1, 2), (0, 2, 3))]
    )
    return Mesh(vertices, faces)


def tube(line: Array, radius: float, turns: int = 24) -> Mesh:
    """A round hose along points (N, 3)."""
    along = np.gradient(line, axis=0)
    along /= np.linalg.norm(along, axis=1, keepdims=True)
    first = np.cross(along, [0.31, 0.95, 0.05])
    first /= np.linalg.norm(first, axis=1, keepdims=True)
    second = np.cross(along, first)
    angle = np.linspace(0, 2 * np.pi, turns + 1)
    ring = np.cos(angle)[None, :, None] * first[:, None] + np.sin(angle)[None, :, None] * second[:, None]
    return grid(line[:, None] + radius * ring)


def bezier(points: list[Array], count: int = 60) -> Array:
    """A cubic curve through its two end points, (count, 3)."""
    t = np.linspace(0, 1, count)[:, None]
    p0, p1, p2, p3 = points
    return np.asarray((1 - t) ** 3 * p0 + 3 * (1 - t) ** 2 * t * p1 + 3 * (1 - t) * t**2 * p2 + t**3 * p3)


def ellipsoid(radii: tuple[float, float, float], centre: Array) -> Mesh:
    """A closed ellipsoid."""
    lat = np.linspace(-np.pi / 2, np.pi / 2, 25)
    ball = round_lathe(np.stack([np.cos(lat), np.sin(lat)], -1), 48)
    return Mesh(ball.vertices * radii + centre, ball.faces)


def write_ply(mesh: Mesh, path: Path) -> None:
    """Binary little-endian PLY with u, v when the mesh has them."""
    columns = [mesh.vertices] + ([mesh.uv] if mesh.uv is not None else [])
    names = ["x", "y", "z"] + (["u", "v"] if mesh.uv is not None else [])
    header = ["ply", "format binary_little_endian 1.0", f"element vertex {len(mesh.vertices)}"]
    header += [f"property float {name}" for name in names]
    header += [f"element face {len(mesh.faces)}", "property list uchar int vertex_indices", "end_header\n"]
    faces = np.empty(len(mesh.faces), dtype=[("n", "u1"), ("i", "<i4", 3)])
    faces["n"], faces["i"] = 3, mesh.faces
    body = np.hstack(columns).astype("<f4").tobytes() + faces.tobytes()
    path.write_bytes("\n".join(header).encode() + body)
