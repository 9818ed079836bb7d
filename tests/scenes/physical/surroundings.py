"""Hangar or ramp: what lights the strut and what the chrome mirrors, drawn from the scene's seed."""

from itertools import pairwise

import numpy as np

from tests.scenes.physical.geometry import camera
from tests.scenes.physical.meshes import Array, Mesh, beam, bezier, ellipsoid, grid, tube
from tests.scenes.physical.running_gear import floor_height
from tests.scenes.physical.scene import StrutScene
from tests.scenes.physical.stage import Stage, colour, matt, paint

Z = np.array([0.0, 0.0, 1.0])
ENV = (512, 1024)


def light_map(scene: StrutScene) -> Array:
    """Radiance (rows from up to down, columns azimuth, 3) of everything far away."""
    rng = np.random.default_rng([scene.seed, 21])
    rows, columns = ENV
    up = 90 - 180 * (np.arange(rows) + 0.5) / rows
    turn = 360 * (np.arange(columns) + 0.5) / columns
    up, turn = np.meshgrid(up, turn, indexing="ij")
    draw = {"hangar": _hangar, "door": _hangar, "night": _hangar, "overcast": _sky, "sun": _sky}
    grey = draw[scene.light.kind](scene.light.kind, up, turn, rng)
    warm = scene.light.warmth
    return np.clip(grey * (1 + np.array([0.22, 0.02, -0.28]) * warm), 0, None)


def _patch(up: Array, turn: Array, box: tuple[float, float, float, float], soft: float = 0.6) -> Array:
    """1 inside (up0, up1, turn0, turn1) in degrees, with soft borders; turn wraps."""
    up0, up1, turn0, turn1 = box
    middle, half = (turn0 + turn1) / 2, (turn1 - turn0) / 2
    away = np.abs((turn - middle + 180) % 360 - 180) - half
    rise = np.maximum(up0 - up, up - up1)
    return np.clip(-np.maximum(away, rise) / soft + 0.5, 0, 1)[..., None]


def _hangar(kind: str, up: Array, turn: Array, rng: np.random.Generator) -> Array:
    lamps, door = {"hangar": (22.0, 1.5), "door": (2.0, 9.0), "night": (26.0, 0.0)}[kind]
    image = np.where(up[..., None] > 24, 0.08, np.where(up[..., None] > 0, 0.24, 0.15)) * np.ones(3)
    for turn0 in np.arange(0, 360, 24):  # wall panels and columns
        image = image * (1 - 0.35 * _patch(up, turn, (-3, 24, turn0, turn0 + 1.6)))
        shade = rng.uniform(0.6, 1.25) * np.array([1, rng.uniform(0.95, 1.02), rng.uniform(0.85, 1.05)])
        box = _patch(up, turn, (-2, 22, turn0 + 1.6, turn0 + 24))
        image = image * (1 - box) + image * box * shade
    for row in (34, 50, 68):  # roof lamps in rows, some of them out
        for turn0 in np.arange(rng.uniform(0, 20), 360, {34: 24, 50: 40, 68: 72}[row]):
            if rng.random() < 0.8:
                image = image + lamps * _patch(up, turn, (row, row + 2.4, turn0, turn0 + 12))
    start = rng.uniform(150, 210)
    sky = np.array([0.92, 0.98, 1.08])
    image = image + door * sky * _patch(up, turn, (-1, 19, start, start + rng.uniform(45, 80)))
    for _ in range(4):
        turn0 = rng.uniform(0, 360)
        image = image + 0.4 * door * sky * _patch(up, turn, (12, 20, turn0, turn0 + 6))
    return image


def _sky(kind: str, up: Array, turn: Array, rng: np.random.Generator) -> Array:
    height = np.clip(up, 0, 90)[..., None] / 90
    blue, white = np.array([0.35, 0.62, 1.1]), np.array([1.0, 1.02, 1.05])
    cover = 1.0 if kind == "overcast" else 0.25
    sky = (blue * height**0.6 + white * (1 - height**0.6)) * (1 - cover) + white * (
        0.75 + 0.5 * height
    ) * cover
    for _ in range(14):  # broad clouds
        at, wide = rng.uniform(8, 75), rng.uniform(10, 45)
        soft = _patch(up, turn, (at, at + wide * 0.3, *(rng.uniform(0, 360) + np.array([0, wide]))), 14.0)
        sky = sky + rng.uniform(-0.15, 0.35) * soft
    image = np.where(up[..., None] > 0, sky, np.array([0.26, 0.26, 0.25]))
    for _ in range(9):  # buildings and trees along the horizon
        turn0, wide, high = rng.uniform(0, 360), rng.uniform(8, 40), rng.uniform(2, 9)
        box = _patch(up, turn, (-2, high, turn0, turn0 + wide), 0.4)
        image = image * (1 - box) + box * rng.uniform(0.08, 0.5) * np.array([1, rng.uniform(0.9, 1.1), 0.9])
    if kind == "sun":
        at = rng.uniform(35, 55)
        image = image + 900.0 * _patch(up, turn, (at, at + 2.2, 215, 217.8)) * np.array([1, 0.95, 0.86])
    return image


def add_surroundings(stage: Stage, scene: StrutScene) -> None:
    """Light from afar, ground, backdrop, fuselage and photographer."""
    turn = scene.light.turn_deg
    stage.add({"type": "envmap", "array": light_map(scene).astype(np.float32), "turn_deg": turn})
    rng = np.random.default_rng([scene.seed, 22])
    ground = floor_height(scene)
    image = _concrete(rng)
    size = 6000.0
    floor = np.array([[[-size, size, 0], [size, size, 0]], [[-size, -size, 0], [size, -size, 0]]])
    stage.mesh(grid(floor).moved(np.eye(3), ground * Z), matt(image), world=True)
    _add_lines(stage, rng, ground)
    if scene.light.backdrop != "open":
        _add_backdrop(stage, scene, rng, ground)
    if scene.light.belly_mm:
        _add_belly(stage, scene)
    _add_photographer(stage, scene, ground)
    if scene.light.glare_lamp:
        _add_glare_lamp(stage, scene)


def _concrete(rng: np.random.Generator) -> Array:
    """Reflectance (1536, 1536, 3) of a used floor: grain, cloudy patches, drips, joints every 3 m."""
    size = 1536
    image = 0.24 + 0.03 * rng.standard_normal((size, size))
    for cells, amount in ((12, 0.05), (48, 0.035), (192, 0.025)):
        coarse = rng.standard_normal((cells, cells))
        fine = np.repeat(np.repeat(coarse, size // cells, 0), size // cells, 1)
        step = size // cells // 2
        for axis in (0, 1):
            fine = sum(np.roll(fine, k, axis) for k in range(-step, step + 1)) / (2 * step + 1)
        image = image + amount * fine
    y, x = np.mgrid[:size, :size]
    for _ in range(60):
        at, radius = rng.uniform(0, size, 2), rng.uniform(1.5, 9)
        image = np.where(np.hypot(x - at[0], y - at[1]) < radius, 0.55 * image, image)
    image[:: size // 4] *= 0.4
    image[:, :: size // 4] *= 0.4
    return np.clip(image[..., None] * np.array([1, 0.985, 0.95]), 0.04, 0.6)


def _sheeting(tint: Array, ribs: int, rng: np.random.Generator) -> Array:
    """Reflectance of profiled wall sheet: ribs, stains, a dirty foot."""
    rows, columns = 256, 1024
    wave = 1 + 0.10 * np.sign(np.sin(2 * np.pi * ribs * np.arange(columns) / columns))
    stain = 1 + 0.05 * rng.standard_normal((1, columns)) + 0.03 * rng.standard_normal((rows, columns))
    foot = 1 - 0.35 * np.exp(-np.arange(rows)[::-1] / 30.0)
    return np.clip((wave * stain * foot[:, None])[..., None] * tint, 0.02, 0.85)


def _add_lines(stage: Stage, rng: np.random.Generator, ground: float) -> None:
    """A painted guide line on the floor."""
    at, lean = rng.uniform(500, 1500), rng.uniform(-0.4, 0.4)
    start, end = (np.array([x, at + lean * x, ground + 0.8]) for x in (-4000.0, 4000.0))
    stage.mesh(beam(start, end, 90, 0.6, np.array([0, 1.0, 0])), matt((0.6, 0.42, 0.03)), world=True)


def _facing(scene: StrutScene, away: float, sideways: float, height: float) -> Array:
    """A world point `away` behind the strut and `sideways` to the right as the camera sees it."""
    view = camera(scene)
    back = view.R[2] * [1, 1, 0] / np.linalg.norm(view.R[2][:2])
    return np.asarray(away * back + sideways * np.array([back[1], -back[0], 0]) + height * Z)


def _panel(scene: StrutScene, away: float, sides: tuple[float, float], heights: tuple[float, float]) -> Mesh:
    left, right = sides
    low, high = heights
    corners = [[_facing(scene, away, x, z) for x in (left, right)] for z in (high, low)]
    return grid(np.array(corners))


def _add_backdrop(stage: Stage, scene: StrutScene, rng: np.random.Generator, ground: float) -> None:
    """Wall panels, doors and shop things behind the strut."""
    away = rng.uniform(2500, 5000)
    edges = np.sort(rng.uniform(-1800, 1800, 4)) if scene.light.backdrop != "wall" else np.array([])
    edges = np.concatenate([[-6000], edges, [6000]])
    for left, right in pairwise(edges):
        grey = rng.uniform(0.12, 0.7)
        tint = grey * np.array([1, rng.uniform(0.93, 1.03), rng.uniform(0.85, 1.08)])
        image = _sheeting(tint, max(2, round((right - left) / 240)), rng)
        wall = _panel(scene, away + rng.uniform(0, 60), (left, right), (ground, ground + 3800))
        stage.mesh(wall, matt(image), world=True)
    kick = _panel(scene, away - 5, (-6000, 6000), (ground, ground + 120))
    stage.mesh(kick, matt(0.08), world=True)
    if scene.light.backdrop != "clutter":
        return
    colours = [(0.03, 0.12, 0.4), (0.6, 0.45, 0.04), (0.1, 0.1, 0.1), (0.35, 0.05, 0.04), (0.5, 0.5, 0.5)]
    for k in range(7):
        x, z = rng.uniform(-1500, 1500), rng.uniform(350, 1250)
        foot = _facing(scene, rng.uniform(1100, away - 600), x, ground)
        body = beam(foot, foot + z * Z, rng.uniform(250, 700), rng.uniform(200, 450), _facing(scene, 0, 1, 0))
        stage.mesh(body, paint(colours[k % 5], 0.25), world=True)


def _add_belly(stage: Stage, scene: StrutScene) -> None:
    """The fuselage's underside: a wide white arc overhead."""
    angle = np.radians(np.linspace(-70, 70, 60))
    arc = 1300.0
    rows = [
        np.stack([arc * np.sin(angle), np.full(60, y), scene.light.belly_mm + arc * (1 - np.cos(angle))], -1)
        for y in (-2500.0, 3500.0)
    ]
    stage.mesh(grid(np.stack(rows)), paint((0.72, 0.72, 0.7), 0.1), world=True, smooth=True)


def _add_photographer(stage: Stage, scene: StrutScene, ground: float) -> None:
    """Whoever holds the phone: a dark shape around and behind the camera, as every chrome picture shows."""
    view = camera(scene)
    right, down, forward = view.R
    rng = np.random.default_rng([scene.seed, 23])
    phone = view.centre - 6 * forward + 45 * down
    stage.mesh(beam(phone - 78 * down, phone + 78 * down, 76, 8, right), paint(0.02, 0.1), world=True)
    level = forward * [1, 1, 0] / np.linalg.norm(forward[:2])
    head = view.centre - 330 * level + np.array([0, 0, rng.uniform(0, 60)])
    stage.mesh(ellipsoid((85, 95, 120), head), matt((0.4, 0.26, 0.19)), smooth=True, world=True)
    cloth = matt(rng.uniform(0.02, 0.12) * np.array([0.8, 0.95, 1.3]))
    side = np.array([level[1], -level[0], 0])
    turn = np.column_stack([side, level, Z])
    chest = head - 80 * level - 420 * Z
    body = ellipsoid((230, 140, 330), np.zeros(3))
    stage.mesh(body.moved(turn, chest), cloth, smooth=True, world=True)
    legs = chest - 250 * Z
    for hand in (-1, 1):
        shoulder = chest + hand * 200 * side + 220 * Z
        hold = phone + hand * 45 * right + 30 * down - 20 * forward
        elbow = (shoulder + hold) / 2 + hand * 130 * side - 150 * Z
        stage.mesh(tube(bezier([shoulder, elbow, elbow, hold], 24), 45), cloth, smooth=True, world=True)
        stage.mesh(ellipsoid((28, 40, 48), hold), matt((0.42, 0.27, 0.2)), smooth=True, world=True)
        stand = legs + hand * 100 * side
        if stand[2] - ground > 100:
            stage.mesh(tube(np.linspace(stand, [*stand[:2], ground], 8), 85), cloth, smooth=True, world=True)


def _add_glare_lamp(stage: Stage, scene: StrutScene) -> None:
    """A bare strip lamp bowed round the strut, its mirror image right on the band's upper edge.

    It passes under the camera, as far from the axis: outside the picture, before the photographer.
    """
    place = stage.lean.T @ camera(scene).centre
    height = -2 * scene.leg.extension_mm - place[2]
    away = float(np.hypot(*place[:2]))
    angle = np.radians(np.linspace(-75, 75, 49)) + np.arctan2(place[1], place[0])
    rows = [
        np.stack([away * np.cos(angle), away * np.sin(angle), np.full(49, height + z)], -1) for z in (-18, 18)
    ]
    lamp = {"type": "area", "radiance": colour(900.0)}
    strip = grid(np.stack(rows))
    facing_strut = Mesh(strip.vertices, strip.faces[:, ::-1])
    stage.mesh(facing_strut, matt(0.5), emitter=lamp)
