"""The strut itself: piston, band, collar, painted cylinder, torque links, hose."""

import numpy as np

from tests.scenes.physical.geometry import across, direction
from tests.scenes.physical.meshes import Mesh, beam, bezier, grid, lathe, tube
from tests.scenes.physical.scene import StrutScene
from tests.scenes.physical.stage import Bsdf, Stage, colour, matt, metal, paint

Z = np.array([0.0, 0.0, 1.0])
COLLARS: dict[str, Bsdf] = {
    "steel": metal("Cr", 0.28),
    "cadmium": {
        "type": "twosided",
        "inner": {
            "type": "roughconductor",
            "material": "Al",
            "alpha": 0.3,
            "specular_reflectance": colour((0.72, 0.66, 0.5)),
        },
    },
    "black": paint((0.03, 0.03, 0.033), 0.2),
    "grey": paint((0.3, 0.31, 0.33), 0.15),
}


def foot_height(scene: StrutScene) -> float:
    """Height s where the chrome ends in the fork or axle."""
    leg = scene.leg
    return -leg.extension_mm - leg.band_height_mm - leg.chrome_below_mm


def add_strut(stage: Stage, scene: StrutScene) -> None:
    """Everything from the piston's foot to the top of the painted cylinder."""
    leg, finish = scene.leg, scene.finish
    radius, band_top = leg.piston_mm / 2, -leg.extension_mm
    chrome = metal("Cr", finish.chrome_alpha)
    stage.rod((0, 0, foot_height(scene) - 20), (0, 0, band_top - leg.band_height_mm), radius, chrome)
    stage.rod((0, 0, band_top), (0, 0, 3.0 + leg.chamfer_mm), radius, chrome)
    stage.rod((0, 0, band_top - leg.band_height_mm), (0, 0, band_top), radius, _band(scene))
    _add_collar(stage, scene)
    white = paint(finish.paint_rgb, finish.paint_alpha)
    stage.rod((0, 0, leg.collar_height_mm - 2), (0, 0, 900), leg.cylinder_mm / 2, white)
    _add_cylinder_details(stage, scene, white)
    _add_links(stage, scene, white)
    _add_hose(stage, scene)


def _band(scene: StrutScene) -> Bsdf:
    """Red lacquer; dirt darkens it in soft patches and thin streaks."""
    finish = scene.finish
    if finish.band_dirt == 0:
        return paint(finish.band_rgb, finish.band_alpha)
    rng = np.random.default_rng([scene.seed, 11])
    patches = _smooth(rng.random((96, 1024)), (9, 25))
    specks = rng.random((96, 1024)) > 0.997
    cover = np.clip(finish.band_dirt * (0.4 + 2.2 * (patches - 0.5)) + 0.5 * specks * finish.band_dirt, 0, 1)[
        ..., None
    ]
    image = np.asarray(finish.band_rgb) * (1 - cover) + np.array([0.07, 0.05, 0.04]) * cover
    return paint(image, finish.band_alpha + 0.03)


def _smooth(noise: np.ndarray, radii: tuple[int, int]) -> np.ndarray:
    """Box-smoothed noise stretched back to [0, 1]; wraps round the piston."""
    for axis, radius in enumerate(radii):
        noise = sum(np.roll(noise, k, axis) for k in range(-radius, radius + 1))
    return (noise - noise.min()) / np.ptp(noise)


def _add_collar(stage: Stage, scene: StrutScene) -> None:
    """Gland nut: flat lower face out to the rim, 45 degree chamfer, body, upper chamfer."""
    leg = scene.leg
    surface = COLLARS[scene.finish.collar]
    rim, body = leg.collar_mm / 2, leg.collar_mm / 2 + leg.chamfer_mm
    bore, c, top = leg.piston_mm / 2 + 0.2, leg.chamfer_mm, leg.collar_height_mm
    pieces = lathe([(bore, 3.0), (bore, 0.0), (rim, 0.0), (body, c)], 1440)
    crown = lathe([(body, top - 1.5), (body - 1.5, top), (leg.cylinder_mm / 2 - 1, top)], 1440)
    stage.meshes(pieces + crown, surface, smooth=True)
    if leg.slots:
        stage.mesh(_slotted(body, c, top - 1.5, leg.slots), surface)
    else:
        stage.meshes(lathe([(body, c), (body, top - 1.5)], 1440), surface, smooth=True)


def _slotted(radius: float, low: float, high: float, slots: int) -> Mesh:
    """The body's wall with spanner slots cut 2.5 mm deep; they stay clear of the chamfer."""
    angle = np.linspace(0, 2 * np.pi, 2881)
    floor = low + 0.35 * (high - low)
    heights = np.array([low, floor, floor + 0.05, high])
    turn = (angle[None] * slots / (2 * np.pi)) % 1.0
    cut = (np.abs(turn - 0.5) < 0.5 * slots * 8.0 / (2 * np.pi * radius)) & (heights[:, None] > floor + 0.01)
    r = radius - 2.5 * cut
    return grid(
        np.stack([r * np.cos(angle), r * np.sin(angle), np.broadcast_to(heights[:, None], r.shape)], -1)
    )


def _add_cylinder_details(stage: Stage, scene: StrutScene, white: Bsdf) -> None:
    """A clamp ring, a charging valve and a data plate, so that the cylinder is no bare pipe."""
    radius = scene.leg.cylinder_mm / 2
    stage.meshes(
        lathe([(radius, 250), (radius + 6, 252), (radius + 6, 276), (radius, 278)]), white, smooth=True
    )
    valve = direction(scene.tag.azimuth_deg + 75)
    stage.rod(radius * valve + 215 * Z, (radius + 22) * valve + 215 * Z, 7, metal("Al", 0.2))
    stage.rod((radius + 22) * valve + 215 * Z, (radius + 30) * valve + 215 * Z, 4.5, matt(0.03))
    angles = np.radians(np.linspace(18, 62, 24)) + np.radians(scene.camera.azimuth_deg)
    plate = np.array(
        [
            [[(radius + 0.6) * np.sin(a), -(radius + 0.6) * np.cos(a), s] for a in angles]
            for s in (185.0, 155.0)
        ]
    )
    stage.mesh(grid(plate), paint((0.35, 0.35, 0.36), 0.2), smooth=True)


def _add_links(stage: Stage, scene: StrutScene, white: Bsdf) -> None:
    """Torque links: two forked arms that meet in a knee."""
    azimuth, leg = scene.leg.link_azimuth_deg, scene.leg
    if azimuth is None:
        return
    out, side = direction(azimuth), across(azimuth)
    low = foot_height(scene) - 12
    knee = (leg.cylinder_mm / 2 + 95) * out + (low + 75) / 2 * Z
    ends = [(leg.cylinder_mm / 2 + 4) * out + 78 * Z, (leg.piston_mm / 2 + 14) * out + low * Z]
    for end in ends:
        for hand in (-1, 1):
            stage.mesh(beam(end + hand * 26 * side, knee + hand * 9 * side, 13, 20, side), white)
        stage.rod(end - 38 * side, end + 38 * side, 9, metal("Al", 0.3))
    stage.mesh(beam(ends[0] - 30 * out - 30 * side, ends[0] - 30 * out + 30 * side, 34, 50, Z), white)
    stage.rod(knee - 24 * side, knee + 24 * side, 8, metal("Al", 0.3))


def _add_hose(stage: Stage, scene: StrutScene) -> None:
    """A brake hose that sags from the cylinder to the foot, clear of the piston."""
    side = scene.leg.hose_side
    if side == 0:
        return
    right, front = across(scene.camera.azimuth_deg), direction(scene.camera.azimuth_deg)
    reach, low = scene.leg.cylinder_mm / 2, foot_height(scene)
    line = bezier(
        [
            side * (reach + 8) * right + 20 * front + 340 * Z,
            side * (reach + 22) * right + 26 * front + 90 * Z,
            side * (reach + 95) * right + 30 * front + 0.5 * low * Z,
            side * (reach + 6) * right - 5 * front + (low - 55) * Z,
        ]
    )
    stage.mesh(tube(line, 6.5), paint((0.02, 0.02, 0.02), 0.25), smooth=True)
    stage.rod(line[0] - 4 * Z, line[0] + 40 * Z, 8.5, metal("Al", 0.25))
    clamp = (reach * side * right + 15 * front) * 0.9 + 300 * Z
    stage.mesh(beam(clamp, line[7], 16, 3, Z), metal("Al", 0.3))
