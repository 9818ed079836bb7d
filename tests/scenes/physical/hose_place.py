"""What lies behind and about traced hoses: a wheel well's skin, stringers, rivets, holes, pipes, cables, shade."""

import numpy as np

from tests.scenes.physical import tire_paint
from tests.scenes.physical.hose_scene import Array, HoseScene, Seen, carrier, eye
from tests.scenes.physical.meshes import Mesh, beam, ellipsoid, grid, round_lathe, tube
from tests.scenes.physical.stage import Stage, matt, metal, paint
from tests.scenes.physical.surroundings import light_map

# Primer, white, grey, grey-green, bare sheet.
SKINS = ((0.19, 0.26, 0.1), (0.62, 0.62, 0.6), (0.3, 0.31, 0.32), (0.24, 0.3, 0.24), (0.45, 0.46, 0.47))
UP = np.array([0.0, 0.0, 1.0])


def add_place(stage: Stage, seen: Seen) -> None:
    """Everything that is no hose and not on one."""
    scene = seen.scene
    rng = np.random.default_rng([scene.seed, 81])
    light = light_map(carrier(scene)).astype(np.float32)
    stage.add({"type": "envmap", "array": light, "turn_deg": scene.light.turn_deg})
    half = 0.5 * scene.camera.width_px / float(seen.px_per_mm(np.zeros((1, 3)))[0])
    behind = max(hose.depth_mm + abs(hose.depth_bow_mm) + hose.diameter_mm for hose in scene.hoses)
    wall = behind + float(rng.uniform(25, 160))
    skin = np.array(SKINS[rng.integers(len(SKINS))]) * rng.uniform(0.75, 1.15)
    _add_skin(stage, rng, wall, half, skin)
    holes = _add_holes(stage, rng, wall, half, skin)
    _add_stringers(stage, rng, wall, half, skin, holes)
    _add_lines(stage, rng, wall, behind, half)
    _add_shade(stage, scene, rng, half)


def _add_skin(stage: Stage, rng: np.random.Generator, wall: float, half: float, skin: Array) -> None:
    """The well's painted sheet, stained, with runs of grime."""
    shape = (1024, 1024)
    grime = np.clip(
        0.12 + 0.13 * tire_paint.noise(shape, 60, rng, 0.4) + 0.06 * tire_paint.noise(shape, 5, rng), 0, 0.7
    )
    image = skin * (1 + 0.03 * tire_paint.noise(shape, 2, rng))[..., None]
    image = image * (1 - grime[..., None]) + grime[..., None] * np.array([0.06, 0.05, 0.04])
    side = 2.2 * half
    corners = np.array([[[x, wall, z] for x in (-side, side)] for z in (side, -side)])
    stage.mesh(grid(corners), paint(np.clip(image, 0.01, 0.9), 0.25))


def _rivets(places: Array, wall: float, radius: float) -> Mesh:
    """Domed heads on the sheet, all one body."""
    parts = [ellipsoid((radius, 0.45 * radius, radius), np.array([x, wall, z])) for x, z in places]
    count = np.cumsum([0] + [len(part.vertices) for part in parts])
    return Mesh(
        np.vstack([part.vertices for part in parts]),
        np.vstack([part.faces + add for part, add in zip(parts, count, strict=False)]),
    )


def _add_stringers(
    stage: Stage, rng: np.random.Generator, wall: float, half: float, skin: Array, holes: Array
) -> None:
    """Ribs across the sheet with rows of rivets beside them, none over a hole (x, z, radius)."""
    bsdf = paint(skin * rng.uniform(0.8, 1.15), 0.2)
    for _ in range(int(rng.integers(1, 4))):
        upright = rng.random() < 0.5
        at, high, wide = rng.uniform(-0.9, 0.9) * half, rng.uniform(8, 22), rng.uniform(12, 30)
        if any(abs(at - hole[0 if upright else 1]) < hole[2] * 1.2 + wide / 2 + 12 for hole in holes):
            continue
        ends = [np.array([at, wall - high / 2, z]) for z in (-2 * half, 2 * half)]
        pitch, radius = rng.uniform(18, 30), rng.uniform(2.0, 3.4)
        row = np.arange(-1.4 * half, 1.4 * half, pitch)
        rivets = [(at + side * (wide / 2 + 8), z) for z in row for side in (-1, 1)]
        if not upright:
            ends = [end[[2, 1, 0]] for end in ends]
            rivets = [(z, x) for x, z in rivets]
        stage.mesh(beam(ends[0], ends[1], wide, high, UP if not upright else np.array([1.0, 0, 0])), bsdf)
        stage.mesh(_rivets(np.array(rivets), wall, radius), bsdf, smooth=True)


def _add_holes(stage: Stage, rng: np.random.Generator, wall: float, half: float, skin: Array) -> Array:
    """Lightening holes with a flanged rim; returns (N, 3) of x, z, radius."""
    holes = []
    for _ in range(int(rng.integers(0, 3))):
        x, z, r = rng.uniform(-0.8, 0.8) * half, rng.uniform(-0.7, 0.7) * half, rng.uniform(18, 60)
        rim = np.array([[r * 1.12, 0.2], [r * 1.04, -3.5], [r * 0.96, -2.0], [r * 0.94, 3.0]])
        turn = np.array([[1.0, 0, 0], [0, 0, 1.0], [0, 1.0, 0]])
        stage.mesh(round_lathe(rim, 120).moved(turn, np.array([x, wall, z])), paint(skin, 0.2), smooth=True)
        a = np.linspace(0, 2 * np.pi, 90)
        disc = np.stack(
            [np.stack([x + q * np.cos(a), 0 * a + wall - 0.5, z + q * np.sin(a)], -1) for q in (0, 0.95 * r)]
        )
        stage.mesh(grid(disc), matt(0.006))
        holes.append((x, z, r))
    return np.array(holes).reshape(-1, 3)


def _add_lines(stage: Stage, rng: np.random.Generator, wall: float, behind: float, half: float) -> None:
    """Rigid pipes and a bundle of cables between hoses and sheet."""
    for _ in range(int(rng.integers(0, 3))):
        radius = float(rng.uniform(3, 8))
        depth = float(rng.uniform(behind + radius, max(wall - radius, behind + radius + 1)))
        turn, at = rng.uniform(-0.5, 0.5) + (np.pi / 2) * (rng.random() < 0.4), rng.uniform(-0.6, 0.6) * half
        along = np.array([np.cos(turn), 0, np.sin(turn)])
        middle = np.array([-at * np.sin(turn), depth, at * np.cos(turn)])
        steel = metal("Al", 0.25) if rng.random() < 0.6 else paint((0.5, 0.5, 0.48), 0.15)
        stage.rod(middle - 3 * half * along, middle + 3 * half * along, radius, steel)
    if rng.random() < 0.4:
        t = np.linspace(-2, 2, 240) * half
        low = rng.uniform(-0.7, 0.7) * half
        for k in range(int(rng.integers(3, 7))):
            sway = low + 2.6 * (k % 3) + 7 * np.sin(t / 90 + 0.4 * k)
            line = np.stack([t, np.full(240, wall - 4.0 - 2.7 * (k // 3)), sway], -1)
            shade = (0.45, 0.42, 0.36) if rng.random() < 0.6 else (0.03, 0.03, 0.03)
            stage.mesh(tube(line, float(rng.uniform(1.2, 1.9)), 16), paint(shade, 0.3), smooth=True)


def _add_shade(stage: Stage, scene: HoseScene, rng: np.random.Generator, half: float) -> None:
    """Bars beside the view between lamps and hoses: they part the light on them."""
    place = eye(scene)
    for _ in range(scene.bars):
        turn = rng.uniform(0, 2 * np.pi)
        out = np.array([np.cos(turn), 0, np.sin(turn)])
        across = np.array([-np.sin(turn), 0, np.cos(turn)]) + 0.3 * rng.normal(size=3)
        # Halfway to the camera the view is half as wide: the bars stand beside it.
        middle = 0.5 * place + rng.uniform(0.95, 1.3) * half * out
        stage.mesh(
            beam(middle - half * across, middle + half * across, float(rng.uniform(15, 70)), 6.0, out),
            matt(0.25),
        )


__all__ = ["add_place"]
