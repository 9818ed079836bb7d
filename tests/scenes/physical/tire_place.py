"""Where the wheel stands: light from afar, floor, wall, shop things, leg, and what hides a part of the wheel."""

from itertools import pairwise

import numpy as np

from tests.scenes.physical import tire_paint
from tests.scenes.physical.meshes import Array, Mesh, beam, grid, lathe, tube
from tests.scenes.physical.stage import Stage, matt, metal, paint
from tests.scenes.physical.surroundings import light_map
from tests.scenes.physical.tire_scene import TireScene, carrier, outward
from tests.scenes.wheel_scene import pose

TILE_MM = 1100.0
FAR_MM = 9000.0
NEARER = 0.12  # of the way to the camera: where a thing stands that hides a part of the wheel
COLOURS = [(0.03, 0.12, 0.4), (0.6, 0.45, 0.04), (0.1, 0.1, 0.1), (0.35, 0.05, 0.04), (0.5, 0.5, 0.5)]


def floor_mesh(scene: TireScene) -> Mesh:
    """The ground's plane in the wheel's frame, its tile repeated."""
    normal = outward(scene.wheel)
    across, away = np.array([1.0, 0.0, 0.0]), np.cross(normal, [1.0, 0.0, 0.0])
    foot = np.array([0.0, scene.wheel.loaded_radius_mm, 0.0])
    corners = np.array([[foot + u * across + v * away for u in (-FAR_MM, FAR_MM)] for v in (-FAR_MM, FAR_MM)])
    sheet = grid(corners)
    assert sheet.uv is not None
    return Mesh(sheet.vertices, sheet.faces, sheet.uv * (2 * FAR_MM / TILE_MM))


def add_place(stage: Stage, scene: TireScene) -> None:
    """Everything that is not wheel or tire."""
    rng = np.random.default_rng([scene.wheel.seed, 51])
    light = light_map(carrier(scene)).astype(np.float32)
    stage.add({"type": "envmap", "array": light, "turn_deg": scene.light.turn_deg})
    image = tire_paint.floor(scene.looks.floor_level, rng).astype(np.float32)
    tile = {"type": "bitmap", "array": image, "raw": True, "wrap_mode": "repeat"}
    stage.mesh(floor_mesh(scene), matt(tile))
    _add_joint(stage, scene, rng)
    if scene.light.backdrop != "open":
        _add_wall(stage, scene, rng)
    if scene.light.backdrop == "clutter":
        _add_things(stage, scene, rng)
    _add_leg(stage, scene)
    if scene.light.belly_mm:
        _add_belly(stage, scene)
    if scene.wheel.hidden_clock_deg is not None:
        stage.mesh(hiding_mesh(scene), paint((0.6, 0.6, 0.58) if scene.looks.hides == "panel" else 0.02, 0.2))


def _on_floor(scene: TireScene, x: float, z: float) -> Array:
    """The point of the ground's plane over x and z of the wheel's frame."""
    normal = outward(scene.wheel)
    low = scene.wheel.loaded_radius_mm
    return np.array([x, low - z * normal[2] / normal[1], z])


def _add_joint(stage: Stage, scene: TireScene, rng: np.random.Generator) -> None:
    """A joint of the concrete and a painted guide line, neither before the contact."""
    normal = outward(scene.wheel)
    z = scene.wheel.section[3] + scene.wheel.section_width_mm * rng.uniform(0.8, 2.5)
    lean = rng.uniform(-250, 250)
    ends = [_on_floor(scene, x, z + sign * lean) for x, sign in ((-4000.0, -1), (4000.0, 1))]
    stage.mesh(
        beam(ends[0], ends[1], rng.uniform(4, 9), 0.4, np.cross(normal, ends[1] - ends[0])), matt(0.03)
    )
    far = [_on_floor(scene, x, z + 500 + sign * lean) for x, sign in ((-4000.0, -1), (4000.0, 1))]
    stage.mesh(beam(far[0], far[1], 90, 0.6, np.cross(normal, far[1] - far[0])), matt((0.6, 0.42, 0.03)))


def _add_wall(stage: Stage, scene: TireScene, rng: np.random.Generator) -> None:
    """Panels of a wall behind, in several shades."""
    away = rng.uniform(1500, 4500)
    foot = scene.wheel.loaded_radius_mm + 200
    edges = np.concatenate([[-7000], np.sort(rng.uniform(-1600, 1600, 4)), [7000]])
    if scene.light.backdrop == "wall":
        edges = np.array([-7000.0, 7000.0])
    for left, right in pairwise(edges):
        tint = rng.uniform(0.12, 0.7) * np.array([1, rng.uniform(0.93, 1.03), rng.uniform(0.85, 1.08)])
        ribs = np.sign(np.sin(np.linspace(0, 2 * np.pi * max(2, round((right - left) / 240)), 2048)))
        image = tint * (
            1 + 0.07 * ribs[None, :, None] + 0.04 * tire_paint.noise((128, 2048), 6, rng)[..., None]
        )
        depth = away + rng.uniform(0, 60)
        corners = np.array([[[x, y, depth] for x in (left, right)] for y in (-3500.0, foot)])
        stage.mesh(grid(corners), matt(np.clip(image, 0.02, 0.85)))


def _add_things(stage: Stage, scene: TireScene, rng: np.random.Generator) -> None:
    """Boxes, carts and a coiled hose in the background."""
    for k in range(6):
        at = _on_floor(scene, rng.uniform(-1400, 1400), rng.uniform(700, 1450))
        top = at + np.array([0, -rng.uniform(200, 1100), 0])
        size = rng.uniform(200, 600), rng.uniform(200, 450)
        stage.mesh(
            beam(at, top, *size, np.array([1.0, 0, rng.uniform(-0.3, 0.3)])), paint(COLOURS[k % 5], 0.25)
        )
    a = np.linspace(0, 6 * np.pi, 200)
    at = _on_floor(scene, rng.choice([-1, 1]) * rng.uniform(350, 800), rng.uniform(500, 900))
    coil = at + np.stack([(150 + 6 * a) * np.cos(a), -14 - 1.2 * a, (150 + 6 * a) * np.sin(a)], -1)
    stage.mesh(tube(coil, 12), paint((0.5, 0.12, 0.03), 0.3), smooth=True)


def _add_leg(stage: Stage, scene: TireScene) -> None:
    """Axle, and the leg that comes down behind the wheel, with a brake's housing and a line to it."""
    wheel, radius = scene.wheel, scene.looks.leg_radius_mm
    back = wheel.section[3] + wheel.section_width_mm / 2
    away = back + radius + (1.5 * wheel.section_width_mm if scene.looks.twin else 25.0)
    stage.rod((0, 0, wheel.section[3]), (0, 0, away + radius), 0.6 * radius, metal("Al", 0.3))
    stage.rod((0, 60, away), (0, -wheel.outside_diameter_mm * 0.62, away), radius, metal("Cr", 0.05))
    top = -wheel.outside_diameter_mm * 0.6
    stage.rod((0, top, away), (0, top - 900, away), 1.45 * radius, paint((0.72, 0.72, 0.7), 0.1))
    brake = [
        (0.0, 0.0),
        (0.7 * wheel.flange_radius, 0.0),
        (0.7 * wheel.flange_radius, 0.25 * wheel.section_width_mm),
    ]
    for sheet in lathe(brake, 240):
        stage.mesh(sheet.moved(np.eye(3), np.array([0, 0, wheel.section[3] + 10])), matt(0.06), smooth=True)
    t = np.linspace(0, 1, 60)[:, None]
    side = radius + 18
    line = np.array([side, 0, away]) + t * np.array([0, 1.4 * top, 0])
    line = line + np.array([1.0, 0, -0.4]) * 40 * np.sin(np.pi * t)
    stage.mesh(tube(line, 6.0), paint(0.02, 0.25), smooth=True)


def _add_belly(stage: Stage, scene: TireScene) -> None:
    """A wing's or fuselage's underside overhead."""
    angle = np.radians(np.linspace(-60, 60, 60))
    y = -scene.light.belly_mm - scene.wheel.outside_diameter_mm - 1500.0 * (1 - np.cos(angle))
    rows = [np.stack([1500.0 * np.sin(angle), y, np.full(60, z)], -1) for z in (-1500.0, 3500.0)]
    stage.mesh(grid(np.stack(rows)), paint((0.72, 0.72, 0.7), 0.1), smooth=True)


def hiding_mesh(scene: TireScene) -> Mesh:
    """A plate that, seen from the camera, covers exactly the sector of the wheel that the case hides."""
    span = scene.wheel.hidden_clock_deg
    assert span is not None
    first, wide = span[0], (span[1] - span[0]) % 360
    clock = np.radians(first + np.linspace(0, wide, 120))[None, :]
    r = np.linspace(42, 0.62 * scene.wheel.outside_diameter_mm, 40)[:, None]
    flat = np.stack([r * np.sin(clock), -r * np.cos(clock), 0 * r * clock], -1)
    camera = pose(scene.wheel)[1]
    return grid(flat + NEARER * (camera - flat))
