"""Traced tires: the same for a seed, and on the pixels where the analytic tier puts them."""

import json
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from tests.scenes.physical.meshes import Mesh
from tests.scenes.physical.render import _ready, margin_px
from tests.scenes.physical.stage import Stage, matt
from tests.scenes.physical.tire_chance import tire_scene
from tests.scenes.physical.tire_parts import line_meshes, tire_stripe
from tests.scenes.physical.tire_render import tire_sensor
from tests.scenes.physical.tire_scene import WORLD, TireScene, carrier, from_dict, scaled, to_dict, view
from tests.scenes.physical.tire_surface import laid, on_tire, ring
from tests.scenes.wheel_scene import project, sidewall_depth

SCALE = 0.15
GLOW = {"type": "area", "radiance": {"type": "rgb", "value": 1.0}}


def scene() -> TireScene:
    drawn = tire_scene("fair", 3, 4)
    wheel = replace(drawn.wheel, hidden_clock_deg=None, cap_depth_mm=0.0, mark_clock_deg=60.0)
    return replace(drawn, case=replace(drawn.case, scene=wheel), aperture_mm=0.0)


def traced(stage: Stage, one: TireScene) -> np.ndarray:
    mi = pytest.importorskip("mitsuba", reason="install the scenes extra")
    mi.set_variant("scalar_rgb")
    mi.set_log_level(mi.LogLevel.Error)
    world = {name: _ready(mi, item) for name, item in stage.items.items()}
    world |= {"type": "scene", "integrator": {"type": "direct"}, "sensor": tire_sensor(mi, one, SCALE)}
    image = np.array(mi.render(mi.load_dict(world), spp=64, seed=1))[..., 1].astype(float)
    edge = margin_px(carrier(one), SCALE)
    return np.minimum(image[edge:-edge, edge:-edge], 1.0)


def facing(mesh: Mesh) -> Mesh:
    """The mesh with its lamps' side towards the viewer: lamps shine from one side only."""
    corners = mesh.vertices[mesh.faces]
    near = corners[..., 2].mean(axis=1) <= np.median(corners[..., 2])
    normal = np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0])[near]
    return mesh if normal[:, 2].sum() < 0 else Mesh(mesh.vertices, mesh.faces[:, ::-1], mesh.uv)


def centroid(image: np.ndarray) -> np.ndarray:
    rows, columns = np.mgrid[: image.shape[0], : image.shape[1]]
    return np.array([(image * columns).sum(), (image * rows).sum()]) / image.sum()


def pinhole(one: TireScene) -> object:
    return replace(scaled(one.wheel, SCALE), k1=0.0)


@pytest.mark.parametrize("kind", ["fair", "wide", "faults"])
def test_a_seed_gives_the_same_scene_for_ever_and_it_survives_json(kind: str) -> None:
    drawn = tire_scene(kind, 2, 5)
    assert drawn == tire_scene(kind, 2, 5)
    assert from_dict(json.loads(json.dumps(to_dict(drawn)))) == drawn
    assert drawn != tire_scene(kind, 3, 5)


def test_fair_scenes_keep_the_bounds_of_fair() -> None:
    for k in range(30):
        wheel = tire_scene("fair", 1, k).wheel
        assert abs(wheel.tilt_deg) <= 20 and -8 <= wheel.pitch_deg <= 10
        assert wheel.focal_px / wheel.distance_mm >= 1.5 - 1e-9


def test_the_traced_camera_is_the_analytic_one() -> None:
    wheel = scene().wheel
    points = np.random.default_rng(3).uniform(-200, 200, (50, 3))
    np.testing.assert_allclose(
        view(wheel).project(points @ WORLD.T), project(wheel, points), rtol=0, atol=1e-6
    )


def test_line_and_mark_are_traced_where_the_analytic_tier_projects_them(tmp_path: Path) -> None:
    one = scene()
    wheel = one.wheel
    for mesh, middle in (
        (line_meshes(one)[0], None),
        (tire_stripe(one, 60.0, wheel.creep_deg, wheel.mark_width_mm), 60.0 - wheel.creep_deg),
    ):
        stage = Stage(tmp_path, WORLD)
        stage.mesh(facing(mesh), matt(0.0), smooth=True, emitter=GLOW)
        corners = project(pinhole(one), mesh.vertices)[mesh.faces]
        (a, b), (c, d) = (corners[:, 1] - corners[:, 0]).T, (corners[:, 2] - corners[:, 0]).T
        size, seen = np.abs(a * d - b * c), corners.mean(axis=1)
        expected = (seen * size[:, None]).sum(axis=0) / size.sum()
        np.testing.assert_allclose(centroid(traced(stage, one)), expected, rtol=0, atol=0.3)
        x, y = mesh.vertices[:, :2].T
        assert np.nanmax(np.abs(mesh.vertices[:, 2] - sidewall_depth(wheel, x, y))) < 1.0
        if middle is not None:
            clock = np.degrees(np.arctan2(x.mean(), -y.mean()))
            assert clock == pytest.approx(
                middle, abs=np.degrees(0.1 * wheel.mark_length_mm / wheel.flange_radius)
            )


def test_a_rib_that_the_ground_cuts_off_stays_a_body() -> None:
    wheel = replace(scene().wheel, rib=0.85)
    height = wheel.outside_diameter_mm / 2 - wheel.flange_radius
    places = ring(wheel.flange_radius + wheel.rib * height, 2.4)
    assert np.isnan(laid(wheel, places).vertices).any(), "the ring does run out of the section"
    assert np.isfinite(laid(wheel, on_tire(wheel, places)).vertices).all()
