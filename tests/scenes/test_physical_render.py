"""The renderer puts things on the pixels that the truth file names."""

import cv2
import numpy as np
import pytest

from tests.scenes.physical import geometry
from tests.scenes.physical.card_parts import add_card
from tests.scenes.physical.render import _ready, margin_px, sensor
from tests.scenes.physical.scene import CameraPose, CardHang, LegShape, StrutScene
from tests.scenes.physical.stage import Stage, matt
from tests.scenes.physical.textures import load, prepare
from vision.card import supplied_cards

mi = pytest.importorskip("mitsuba", reason="install the scenes extra")

SCENE = StrutScene(
    "check",
    2,
    leg=LegShape(rake_side_deg=3.0, rake_fore_deg=-4.0),
    card=CardHang(azimuth_deg=5.0, pitch_deg=1.5, roll_deg=1.0),
    camera=CameraPose(
        f35_mm=50.0, azimuth_deg=-8.0, elevation_deg=6.0, roll_deg=2.0, aperture_mm=0.0, k1=-0.02
    ),
)


def trace(items, scene, scale, spp):
    """Emission and first light only: enough for where things are."""
    mi.set_variant("scalar_rgb")
    mi.set_log_level(mi.LogLevel.Error)
    world = {name: _ready(mi, item) for name, item in items.items()}
    world |= {"type": "scene", "integrator": {"type": "direct"}, "sensor": sensor(mi, scene, scale)}
    image = mi.render(mi.load_dict(world), spp=spp, seed=1)
    edge = margin_px(scene, scale)
    return np.array(image)[edge:-edge, edge:-edge, 1].astype(float)


@pytest.mark.parametrize("radius_mm, s_mm", [(22.5, -63.5), (36.0, 0.0)])
def test_marker_at_a_front_point_is_seen_at_its_true_pixel(radius_mm, s_mm):
    scale = 0.1
    point = geometry.front_point(SCENE, radius_mm, s_mm)
    glow = {"type": "area", "radiance": {"type": "rgb", "value": 1.0}}
    ball = {"type": "sphere", "center": point.tolist(), "radius": 3.0, "emitter": glow}
    image = trace({"ball": ball}, SCENE, scale, 256)
    rows, columns = np.mgrid[: image.shape[0], : image.shape[1]]
    centroid = np.array([(image * columns).sum(), (image * rows).sum()]) / image.sum()
    expected = geometry.camera(SCENE, scale).project(point, distorted=False)[0]
    # 0.02 px of this tenth of a picture; sampling noise of a 4 px disc at 256 rays a pixel is 0.01.
    np.testing.assert_allclose(centroid, expected, rtol=0, atol=0.04)


def test_pistons_outline_is_that_of_an_exact_leaning_cylinder(tmp_path):
    scale, radius = 0.1, 22.5
    stage = Stage(tmp_path, geometry.strut_to_world(SCENE))
    stage.rod((0, 0, -400), (0, 0, 400), radius, matt(0.5))
    stage.items["item000"]["emitter"] = {"type": "area", "radiance": {"type": "rgb", "value": 1.0}}
    image = trace(stage.items, SCENE, scale, 256)
    view = geometry.camera(SCENE, scale)
    # Tangent lines of a cylinder from a point at distance d from its axis touch at cos(angle) = R/d.
    toward = geometry.toward_camera(SCENE)
    beside = np.cross([0, 0, 1.0], toward)
    away = np.linalg.norm((geometry.strut_to_world(SCENE).T @ view.centre)[:2])
    cos = radius / away
    sides = [radius * (cos * toward + sign * np.sqrt(1 - cos**2) * beside) for sign in (-1, 1)]
    row = 200
    columns = []
    for side in sides:
        ends = np.array([side - 150 * geometry.Z, side + 150 * geometry.Z]) @ geometry.strut_to_world(SCENE).T
        (x0, y0), (x1, y1) = view.project(ends, distorted=False)
        columns.append(x0 + (row - y0) / (y1 - y0) * (x1 - x0))
    lit = image[row] > 0
    width = image[row].sum()
    middle = (image[row] * np.arange(image.shape[1])).sum() / width
    assert lit.any()
    assert width == pytest.approx(abs(columns[1] - columns[0]), abs=0.1)
    assert middle == pytest.approx(sum(columns) / 2, abs=0.05)


def test_cards_checker_saddles_are_seen_where_the_truth_puts_them(tmp_path):
    scale = 0.25
    prepare(tmp_path, [])
    textures = load(tmp_path)
    stage = Stage(tmp_path, geometry.strut_to_world(SCENE))
    add_card(stage, SCENE, textures)
    # The face glows with its own print, so that no lamp's sampling noise moves a saddle.
    face = stage.items["item000"]
    face["emitter"] = {"type": "area", "radiance": face["bsdf"]["inner"]["reflectance"]}
    image = trace(stage.items, SCENE, scale, 16)
    image = cv2.GaussianBlur(np.minimum(image, 1.0).astype(np.float32), (0, 0), 0.7)
    strip = next(card for card in supplied_cards() if card.name == "strip")
    saddles = np.array(
        [
            [checker.origin_mm[0] + checker.square_mm, checker.origin_mm[1] + k * checker.square_mm]
            for checker in strip.checkers
            for k in range(1, checker.rows)
        ]
    )
    frame = geometry.card_frame(SCENE, *textures.card_size_mm)
    expected = (
        geometry.camera(SCENE, scale).project(frame.points(saddles), distorted=False).astype(np.float32)
    )
    stop = (cv2.TERM_CRITERIA_EPS + cv2.TERM_CRITERIA_MAX_ITER, 50, 1e-3)
    found = cv2.cornerSubPix(image, expected.reshape(-1, 1, 2).copy(), (3, 3), (-1, -1), stop).reshape(-1, 2)
    error = found - expected
    np.testing.assert_allclose(error.mean(axis=0), 0, rtol=0, atol=0.03)
    assert np.abs(error).max() < 0.3
