"""Wheel and tire on the stage: rubber, lettering, line, slip mark, rim."""

import numpy as np

from tests.scenes.physical import tire_paint, tire_rim, tire_surface
from tests.scenes.physical.meshes import Array, Mesh
from tests.scenes.physical.stage import Bsdf, Stage, matt, metal, paint
from tests.scenes.physical.tire_letters import strokes
from tests.scenes.physical.tire_scene import TireScene
from tests.scenes.wheel_scene import clock_direction


def _rng(scene: TireScene, stream: int) -> np.random.Generator:
    return np.random.default_rng([scene.wheel.seed, stream])


def add_tire(stage: Stage, scene: TireScene) -> None:
    """The body with its moulded rings and letters."""
    wheel, looks = scene.wheel, scene.looks
    image = tire_paint.rubber(wheel.rubber_level, looks.tire_dust, looks.scuffs, _rng(scene, 41))
    whole = tire_surface.body(wheel, looks.grooves)
    stage.mesh(whole, paint(image, looks.rubber_alpha), smooth=True)
    if looks.twin:
        away = np.array([0.0, 0.0, 1.35 * wheel.section_width_mm])
        stage.mesh(whole.moved(np.eye(3), away), matt(0.03), smooth=True)
    plain = paint(np.mean(image, axis=(0, 1)), looks.rubber_alpha)
    height = wheel.outside_diameter_mm / 2 - wheel.flange_radius
    if wheel.rib:
        rib = tire_surface.ring(wheel.flange_radius + wheel.rib * height, 2.4)
        stage.mesh(
            tire_surface.raised(wheel, tire_surface.on_tire(wheel, rib), looks.rib_mm), plain, smooth=True
        )
    for text, clock, size in looks.lettering:
        for places in strokes(text, clock, wheel.flange_radius + 0.45 * height, size):
            stage.mesh(tire_surface.raised(wheel, places, 0.7), plain, smooth=True)


def line_meshes(scene: TireScene) -> list[Mesh]:
    """The sidewall's lines, each exactly where the analytic tier draws it."""
    wheel, found = scene.wheel, []
    for share in (wheel.line_radius, wheel.second_line_radius):
        if share is None or wheel.line_angle_deg is None:
            continue
        r = wheel.flange_radius + share * (wheel.outside_diameter_mm / 2 - wheel.flange_radius)
        centre = r * clock_direction(wheel.line_clock_deg)
        places = tire_surface.bar(centre, wheel.line_angle_deg, wheel.line_length_mm, wheel.line_width_mm)
        found.append(tire_surface.raised(wheel, places, scene.looks.line_raised_mm))
    return found


def add_line(stage: Stage, scene: TireScene) -> None:
    """Light or dark, painted or moulded."""
    wheel, rng = scene.wheel, _rng(scene, 42)
    for mesh in line_meshes(scene):
        wear = 0.5 * scene.looks.mark_wear
        image = tire_paint.chipped(np.full(3, wheel.line_level), np.full(3, wheel.rubber_level), wear, rng)
        stage.mesh(mesh, paint(image, 0.3), smooth=True)


def tire_stripe(scene: TireScene, clock: float, crept: float, width: float) -> Mesh:
    """The tire's part of a slip mark, from under the lip outwards."""
    wheel = scene.wheel
    radius = wheel.flange_radius
    radii = np.linspace(radius - 0.6, radius + wheel.mark_length_mm, 60)
    skew = float(np.tan(np.radians(wheel.mark_skew_deg)))
    places = tire_surface.stripe(clock, radii, width / 2, skew, radius)
    return tire_surface.laid(wheel, tire_surface.turned(places, crept))


def rim_stripe(scene: TireScene, clock: float, width: float) -> Mesh:
    """The rim's part of a slip mark, over the lip and down the well."""
    wheel = scene.wheel
    skew = float(np.tan(np.radians(wheel.mark_skew_deg)))
    radii = tire_rim.profile_radii(scene, wheel.mark_length_mm)
    return tire_rim.painted(scene, tire_surface.stripe(clock, radii, width / 2, skew, wheel.flange_radius))


def add_marks(stage: Stage, scene: TireScene) -> None:
    """The slip mark, a second one, and what is left of an old one."""
    wheel, looks, rng = scene.wheel, scene.looks, _rng(scene, 43)
    rubber, rim = np.full(3, wheel.rubber_level), np.full(3, wheel.rim_level)
    rgb = np.asarray(wheel.mark_rgb)

    def coat(under: Array, strength: float = 1.0) -> Bsdf:
        mixed = strength * rgb + (1 - strength) * under
        return paint(tire_paint.chipped(mixed, under, looks.mark_wear, rng), looks.mark_alpha)

    for clock in (wheel.mark_clock_deg, wheel.second_mark_clock_deg):
        if clock is None:
            continue
        if wheel.mark_parts in ("both", "tire"):
            stage.mesh(
                tire_stripe(scene, clock, wheel.creep_deg, wheel.mark_width_mm), coat(rubber), smooth=True
            )
        if wheel.mark_parts in ("both", "rim"):
            stage.mesh(rim_stripe(scene, clock, wheel.mark_width_mm), coat(rim), smooth=True)
    if wheel.remnant is not None:
        clock, part, strength, width = wheel.remnant
        if part in ("both", "tire"):
            stage.mesh(tire_stripe(scene, clock, 0.0, width), coat(rubber, strength), smooth=True)
        if part in ("both", "rim"):
            stage.mesh(rim_stripe(scene, clock, width), coat(rim, strength), smooth=True)


def add_rim(stage: Stage, scene: TireScene) -> None:
    """Lip, well, disc, hub, bolts and valve."""
    wheel, looks, rng = scene.wheel, scene.looks, _rng(scene, 44)
    if looks.bare_rim:
        lip = disc = metal("Al", looks.rim_alpha)
    else:
        tint = np.array([1.0, 1.0, 0.98])
        lip = paint(tire_paint.rim(wheel.rim_level * tint, looks.brake_dust, rng), looks.rim_alpha)
        disc = paint(tire_paint.rim(0.9 * wheel.rim_level * tint, looks.brake_dust, rng), looks.rim_alpha)
    stage.mesh(tire_rim.lip_mesh(scene), lip, smooth=True)
    stage.mesh(tire_rim.disc_mesh(scene), disc, smooth=True)
    stage.meshes(tire_rim.hub_meshes(scene), metal("Al", 0.25), smooth=True)
    stage.meshes(tire_rim.bolts(scene), metal("Al", 0.3))
    _, second, _ = tire_rim.inner_radii(scene)
    at = 0.9 * second * np.array([*clock_direction(looks.pocket_clock_deg + 7.0), 0.0])
    z = looks.well_mm - 0.06 * 0.1 * second
    stage.rod(at + [0, 0, z], at + [0, 0, z - 16], 4.0, metal("Al", 0.25))
    stage.rod(at + [0, 0, z - 16], at + [0, 0, z - 24], 5.0, matt(0.03))
