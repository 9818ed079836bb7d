"""Below the piston: fork, axle, wheel and tyre; and the leaf of a spring leg."""

import numpy as np

from tests.scenes.physical.geometry import across, direction, rotation
from tests.scenes.physical.meshes import Array, beam, grid, lathe, round_lathe
from tests.scenes.physical.scene import StrutScene
from tests.scenes.physical.stage import Stage, matt, metal, paint
from tests.scenes.physical.strut_parts import foot_height

Z = np.array([0.0, 0.0, 1.0])
CLEARANCE_MM = 22.0
LEAF_TURN_DEG = 48.0


def axle_point(scene: StrutScene) -> Array:
    """Wheel centre in the strut frame."""
    leg, foot = scene.leg, foot_height(scene)
    if leg.form == "spring":
        return np.array([-leg.tire_width_mm * 0.5 - 30, 10.0, -300.0])
    if leg.running_gear == "fork":
        return np.array([0, 0, foot - 45 - CLEARANCE_MM - leg.tire_mm / 2])
    reach = leg.piston_mm / 2 + leg.tire_width_mm / 2 + 45
    away = -scene.card.side * across(scene.camera.azimuth_deg)
    if leg.running_gear == "behind":
        away = -direction(scene.camera.azimuth_deg)
    return np.asarray(reach * away + (foot - 40) * Z)


def floor_height(scene: StrutScene) -> float:
    """World z of the ground, the tyre pressed in by a twentieth of its diameter."""
    return float(axle_point(scene)[2] - 0.46 * scene.leg.tire_mm)


def add_running_gear(stage: Stage, scene: StrutScene) -> None:
    """Wheel with its axle and what holds it."""
    leg, foot, centre = scene.leg, foot_height(scene), axle_point(scene)
    cast = paint(np.asarray(scene.finish.paint_rgb) * 0.8, 0.15)
    azimuth = scene.camera.azimuth_deg
    right = across(azimuth)
    axle = right
    if leg.form != "spring":
        hub = leg.piston_mm / 2 + 10
        stage.meshes(
            lathe([(leg.piston_mm / 2, foot), (hub, foot - 4), (hub, foot - 60), (0, foot - 60)]),
            cast,
            smooth=True,
        )
    if leg.running_gear == "fork" and leg.form != "spring":
        half = leg.tire_width_mm / 2 + 22
        stage.mesh(
            beam(
                -(half + 12) * right + (foot - 45) * Z,
                (half + 12) * right + (foot - 45) * Z,
                50,
                34,
                np.array([0, 1.0, 0]),
            ),
            cast,
        )
        for hand in (-1, 1):
            top = hand * half * right + (foot - 25) * Z
            stage.mesh(beam(top, hand * half * right + (centre[2] - 30) * Z, 20, 52, right), cast)
        stage.rod(
            -(half + 25) * right + centre[2] * Z, (half + 25) * right + centre[2] * Z, 15, metal("Al", 0.3)
        )
    elif leg.form != "spring":
        axle = centre * [1, 1, 0] / np.linalg.norm(centre[:2])
        stage.rod((foot - 40) * Z - 30 * axle, centre, 24, cast)
        stage.rod((foot - 40) * Z - 36 * axle, (foot - 40) * Z - 30 * axle, 18, metal("Al", 0.25))
    _add_wheel(stage, scene, stage.lean @ centre, stage.lean @ axle * [1, 1, 0])


def _add_wheel(stage: Stage, scene: StrutScene, centre: Array, axle: Array) -> None:
    """Tyre and two-part rim in the world frame, upright however the strut leans."""
    axle = axle / np.linalg.norm(axle)
    turn = np.column_stack([np.cross(axle, Z), Z, axle])
    radius, half = scene.leg.tire_mm / 2, scene.leg.tire_width_mm / 2
    rim = 0.47 * radius
    angle = np.linspace(-0.5 * np.pi, 0.5 * np.pi, 61) * 1.22
    depth = radius - rim
    # A superellipse section, the tread cut by four grooves.
    power = 0.62
    r = rim + depth * np.sign(np.cos(angle)) * np.abs(np.cos(angle)) ** power
    r = np.maximum(r, rim - 4)
    z = half * np.sign(np.sin(angle)) * np.abs(np.sin(angle)) ** power
    tread = (np.abs(z) < 0.62 * half) & (np.abs(((z / half + 1.0) * 4) % 1 - 0.5) < 0.12)
    r = r - 5.0 * tread
    rubber = matt((0.03, 0.03, 0.032))
    stage.mesh(round_lathe(np.stack([r, z], -1)).moved(turn, centre), rubber, smooth=True, world=True)
    flange = [(rim + 6, 0.80 * half), (rim, 0.86 * half), (rim - 8, 0.80 * half), (rim - 16, 0.35 * half)]
    disc = [(0.42 * rim, 0.3 * half), (0.40 * rim, 0.62 * half), (0.2 * rim, 0.66 * half), (0.0, 0.66 * half)]
    cast = paint((0.55, 0.56, 0.57), 0.2)
    for hand in (1, -1):
        for sheet in lathe([(a, hand * b) for a, b in flange + disc], 240):
            stage.mesh(sheet.moved(turn, centre), cast, smooth=True, world=True)
        for k in range(8):
            spot = rotation(np.array([0, 0, 1.0]), 45 * k) @ np.array([0.66 * rim, 0, hand * 0.33 * half])
            bolt = [m.moved(np.eye(3), spot) for m in lathe([(9, 0), (9, hand * 9.0), (0, hand * 9.0)], 6)]
            stage.meshes([m.moved(turn, centre) for m in bolt], metal("Al", 0.3), world=True)


def _leaf(t: Array) -> Array:
    """Middle line of the spring leaf before its turn about z; t from 0 (top) to 1 (axle)."""
    return np.stack([330 - 330 * t**0.85, np.zeros_like(t), 560 - 870 * t**1.15], -1)


def leaf_line(t: float) -> Array:
    """A point of the leaf's middle line in the strut frame."""
    return rotation(Z, LEAF_TURN_DEG) @ _leaf(np.array(t))


def add_spring_leaf(stage: Stage, scene: StrutScene) -> None:
    """A flat tapered leaf that comes down and outward to the axle: no piston, nothing to measure."""
    t = np.linspace(0, 1, 60)
    x, _, z = _leaf(t).T
    wide = 62 - 20 * t
    left, right = (np.stack([x, -wide, z], -1), np.stack([x, wide, z], -1))
    along = np.gradient(np.stack([x, z], -1), axis=0)
    normal = np.stack([along[:, 1], np.zeros(60), -along[:, 0]], -1)
    normal = 13 * normal / np.linalg.norm(normal, axis=1, keepdims=True)
    loop = np.stack([left - normal, left + normal, right + normal, right - normal, left - normal], 1)
    stage.mesh(grid(loop).moved(rotation(Z, LEAF_TURN_DEG), np.zeros(3)), paint(scene.finish.paint_rgb, 0.08))
    stage.rod((0, 0, -318), axle_point(scene) - 18 * Z, 22, metal("Al", 0.3))
