"""The wheel inside the tire: lip, well, disc with openings, hub cap, bolts, valve; in the wheel's frame."""

import numpy as np

from tests.scenes.physical.meshes import Array, Mesh, grid, lathe, round_lathe
from tests.scenes.physical.tire_scene import TireScene
from tests.scenes.physical.tire_surface import LIFT_MM, TURNS

POCKET_MM = 26.0


def inner_radii(scene: TireScene) -> tuple[float, float, float]:
    """Radii of the lip's inner edge, of the disc's rim (the second circle) and of the hub."""
    wheel, radius = scene.wheel, scene.wheel.flange_radius
    lip = min(scene.looks.lip_face * radius, radius - scene.looks.lip_round_mm - 2.5)
    second = min(wheel.second_circle * radius, lip - 0.03 * radius)
    return lip, second, min(wheel.hub_circle * radius, second - 0.15 * radius)


def lip_profile(scene: TireScene) -> Array:
    """Profile (N, 2) of radius and depth from the flange's edge inwards to the disc's rim.

    The lip is round and widest in the flange's plane: its edge is the circle that is measured.
    """
    radius, looks = scene.wheel.flange_radius, scene.looks
    lip, second, _ = inner_radii(scene)
    rho, small = looks.lip_round_mm, min(2.0, looks.lip_round_mm)
    t = np.linspace(0, np.pi / 2, 17)
    outer = np.column_stack([radius - rho + rho * np.cos(t), -rho * np.sin(t)])
    # The face falls off a little, then turns over a small rounding into the well.
    edge = np.column_stack([lip - small * np.sin(t), -rho + 0.4 + small * (1 - np.cos(t))])
    wall = np.array(
        [[second + 3.0, looks.well_mm - 3.0], [second + 1.0, looks.well_mm - 0.8], [second, looks.well_mm]]
    )
    return np.concatenate([outer, edge, wall])


def lip_mesh(scene: TireScene) -> Mesh:
    """The lip and the well's wall, with a little behind the flange's edge that the tire hides."""
    behind = np.array([[scene.wheel.flange_radius - 0.3, 0.8]])
    return round_lathe(np.concatenate([behind, lip_profile(scene)]), TURNS)


def disc_mesh(scene: TireScene) -> Mesh:
    """The disc from the second circle to the hub, its openings sunk."""
    looks = scene.looks
    _, second, hub = inner_radii(scene)
    clock = np.linspace(0, 2 * np.pi, TURNS + 1)[None, :]
    r = np.linspace(second, hub, 140)[:, None]
    z = looks.well_mm - 0.06 * (second - r) + 0 * clock
    if looks.pockets:
        step = 2 * np.pi / looks.pockets
        turn = (clock - np.radians(looks.pocket_clock_deg)) % step - step / 2
        away = np.hypot((r - 0.52 * (second + hub)) / (0.27 * (second - hub)), turn / (0.3 * step))
        z = z + POCKET_MM * np.clip((1 - away) / 0.1, 0, 1)
    return grid(np.stack([r * np.sin(clock), -r * np.cos(clock), z], -1))


def hub_meshes(scene: TireScene) -> list[Mesh]:
    """The hub's cap, standing out by the analytic scene's depth of it."""
    _, _, hub = inner_radii(scene)
    front = -scene.wheel.cap_depth_mm if scene.wheel.cap_depth_mm else scene.looks.well_mm - 9.0
    well = scene.looks.well_mm - 0.06 * (inner_radii(scene)[1] - hub)
    t = np.linspace(0, np.pi / 2, 9)
    edge = np.column_stack([hub - 3 + 3 * np.cos(t), front + 3 - 3 * np.sin(t)])
    dome = np.array(
        [[0.55 * hub, front - 1.5], [0.5 * hub, front - 1.0], [0.48 * hub, front + 2.0], [0.0, front + 1.5]]
    )
    return [round_lathe(np.concatenate([[[hub, well + 0.5]], edge, dome]), 360)]


def bolts(scene: TireScene) -> list[Mesh]:
    """Hexagonal bolts round the hub, between it and the openings."""
    _, second, hub = inner_radii(scene)
    radius = hub + 0.1 * (second - hub)
    z = scene.looks.well_mm - 0.06 * (second - radius)
    size = min(8.0, 0.07 * (second - hub) + 2)
    parts = []
    for k in range(8):
        a = 2 * np.pi * (k + 0.5) / 8
        spot = np.array([radius * np.sin(a), -radius * np.cos(a), z])
        parts += [sheet.moved(np.eye(3), spot) for sheet in lathe([(size, 0.5), (size, -6.0), (0, -6.0)], 6)]
    return parts


def painted(scene: TireScene, places: Array) -> Mesh:
    """A coat of paint on the lip: places (rows, columns, 2), every row on one circle, sunk to the rim's profile.

    The row's radius tells its height on the profile; a place that is beyond the flange's edge is not there.
    """
    profile = lip_profile(scene)
    r = np.hypot(places[..., 0], places[..., 1])
    z = np.interp(r, profile[::-1, 0], profile[::-1, 1])
    slope = np.gradient(profile, axis=0)
    slope = slope / np.linalg.norm(slope, axis=1, keepdims=True)
    # Square to the profile, towards the viewer.
    normal = np.column_stack([-slope[:, 1], slope[:, 0]])
    lift = [np.interp(r, profile[::-1, 0], normal[::-1, k]) for k in (0, 1)]
    radial = places / r[..., None]
    flat = places + LIFT_MM * lift[0][..., None] * radial
    return grid(np.concatenate([flat, (z + LIFT_MM * lift[1])[..., None]], -1))


def profile_radii(scene: TireScene, depth_mm: float) -> Array:
    """Radii of the profile's own corners from the flange's edge inwards, as far as a mark reaches."""
    radius = scene.wheel.flange_radius
    r = lip_profile(scene)[:, 0]
    fine = np.linspace(radius - depth_mm, radius, 40)
    return np.unique(np.concatenate([r[r > radius - depth_mm], fine]))
