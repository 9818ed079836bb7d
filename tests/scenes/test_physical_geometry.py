"""The truth beside the rendered photos: geometry without the renderer."""

import json
from io import BytesIO

import cv2
import numpy as np
import pytest
from PIL import Image

from tests.scenes.physical import geometry
from tests.scenes.physical.demo import demo
from tests.scenes.physical.fair import fair_scenes
from tests.scenes.physical.finish import finish, lens
from tests.scenes.physical.legs import LEGS, SPRING_TOML, leg_toml
from tests.scenes.physical.render import margin_px, steady_mean
from tests.scenes.physical.scene import CameraPose, CardHang, LegShape, StrutScene, from_dict, to_dict
from tests.scenes.physical.truth import NOTICE, truth
from vision.leg import load_leg
from vision.notes import REMEDIES

CARD_MM = (45.0, 236.0)
SCENES = [scene for scenes in demo().values() for scene in scenes]
LEANING = StrutScene(
    "leaning",
    5,
    leg=LegShape(rake_side_deg=4.0, rake_fore_deg=-6.0),
    card=CardHang(azimuth_deg=7.0, pitch_deg=1.2, roll_deg=2.0, stand_off_mm=12.0),
    camera=CameraPose(azimuth_deg=-9.0, elevation_deg=8.0, roll_deg=3.0, k1=-0.03, f35_mm=28.0),
)


def test_projection_agrees_with_opencv():
    # OpenCV 5, projectPoints: an outside implementation of the same lens model.
    view = geometry.camera(LEANING)
    points = np.random.default_rng(3).uniform(-150, 150, (200, 3))
    K = np.array([[view.f_px, 0, view.cx], [0, view.f_px, view.cy], [0, 0, 1]])
    turn = cv2.Rodrigues(view.R)[0]
    lens_model = np.array([view.k1, 0.0, 0.0, 0.0, 0.0])
    expected = cv2.projectPoints(points, turn, -view.R @ view.centre, K, lens_model)[0].reshape(-1, 2)
    np.testing.assert_allclose(view.project(points), expected, rtol=0, atol=1e-6)


def test_camera_frame_is_right_handed_and_upright():
    view = geometry.camera(LEANING)
    assert np.linalg.det(view.R) == pytest.approx(1.0, abs=1e-12)
    above, below = view.project(np.array([[0, 0, 50.0], [0, 0, -50.0]]))
    assert above[1] < below[1]


def test_focal_length_follows_the_diagonal_rule():
    # The common definition of the 35 mm equivalent by the diagonal, 43.27 mm (CIPA DCG-001, from memory).
    view = geometry.camera(LEANING)
    assert view.f_px == pytest.approx(28.0 / 43.2666 * 5040, abs=0.01)


def test_front_point_is_the_rings_nearest_point_to_the_camera():
    radius, s = 36.0, -63.5
    angle = np.radians(np.arange(0, 360, 0.001))
    ring = np.column_stack([radius * np.cos(angle), radius * np.sin(angle), np.full(len(angle), s)])
    world = ring @ geometry.strut_to_world(LEANING).T
    nearest = world[np.argmin(np.linalg.norm(world - geometry.camera(LEANING).centre, axis=1))]
    np.testing.assert_allclose(geometry.front_point(LEANING, radius, s), nearest, rtol=0, atol=1e-3)


def test_elevation_on_the_axis_is_the_one_asked_for():
    assert geometry.elevation_at(LEANING, np.zeros(3)) == pytest.approx(8.0, abs=1e-9)


def test_extension_is_the_distance_of_the_two_rings_along_the_axis():
    content = truth(LEANING, CARD_MM)
    step = np.array(content["to_mm"]) - np.array(content["from_mm"])
    assert step @ content["axis"] == pytest.approx(LEANING.leg.extension_mm, abs=1e-9)


def test_stand_off_is_the_card_planes_distance_behind_the_pistons_tangent_plane():
    frame = geometry.card_frame(LEANING, *CARD_MM)
    lean = geometry.strut_to_world(LEANING)
    tangent = lean @ (22.5 * geometry.direction(7.0) - 63.5 / 2 * geometry.Z)
    # The card's pitch of 1.2 degrees turns about its middle line: seen along the unpitched normal.
    assert (tangent - frame.pivot) @ (lean @ geometry.direction(7.0)) == pytest.approx(12.0, abs=1e-9)


def test_bent_card_keeps_its_length_and_its_radius():
    flat = StrutScene("bent", 1, card=CardHang(bend_radius_mm=350.0))
    frame = geometry.card_frame(flat, *CARD_MM)
    y = np.linspace(0, 236, 20001)
    line = frame.points(np.column_stack([np.full(y.shape, 20.0), y]))
    assert np.linalg.norm(np.diff(line, axis=0), axis=1).sum() == pytest.approx(236.0, abs=1e-4)
    a, b, c = (np.linalg.norm(line[i] - line[j]) for i, j in ((0, 10000), (10000, 20000), (0, 20000)))
    area = np.sqrt((p := (a + b + c) / 2) * (p - a) * (p - b) * (p - c))
    assert a * b * c / (4 * area) == pytest.approx(350.0, abs=1e-3)
    view = geometry.camera(flat)
    depth = (line - view.centre) @ view.R[2]
    assert depth[10000] < depth[0] and depth[10000] < depth[-1]


@pytest.mark.parametrize("k1", [-0.03, 0.02])
def test_distorted_picture_shows_a_spot_where_the_truth_says(k1):
    scale = 0.1
    scene = StrutScene("spot", 1, camera=CameraPose(k1=k1))
    view, edge = geometry.camera(scene, scale), margin_px(scene, scale)
    target = view.R.T @ np.array([0.3, 0.42, 1.0]) * 600 + view.centre
    x, y = view.project(target, distorted=False)[0] + edge
    rows, columns = np.mgrid[: view.height + 2 * edge, : view.width + 2 * edge]
    spot = np.exp(-((columns - x) ** 2 + (rows - y) ** 2) / (2 * 1.5**2))
    seen = lens(np.repeat(spot[..., None], 3, 2).astype(np.float32), scene, view, edge)[..., 1]
    rows, columns = np.mgrid[: view.height, : view.width]
    centroid = np.array([(seen * columns).sum(), (seen * rows).sum()]) / seen.sum()
    # 0.02 px: the local magnification changes over the spot's own width.
    np.testing.assert_allclose(centroid, view.project(target)[0], rtol=0, atol=0.02)
    assert np.linalg.norm(view.project(target)[0] - (np.array([x, y]) - edge)) > 0.5


def test_scene_survives_json():
    for scene in SCENES + fair_scenes(3, 4):
        assert from_dict(json.loads(json.dumps(to_dict(scene)))) == scene


def test_demo_shows_what_its_lists_promise():
    for folder, scenes in demo().items():
        for scene in scenes:
            if folder == "refuses":
                assert scene.expected["cause"] in REMEDIES
                continue
            leg = LEGS[scene.leg_file.removesuffix(".toml")]
            room = min(scene.leg.extension_mm - leg.lower_mm, leg.upper_mm - scene.leg.extension_mm)
            assert room > 2 if folder == "reads_within" else room < -4
    assert [len(scenes) for scenes in demo().values()] == [6, 2, 8]


def test_demo_points_lie_in_the_picture_with_enough_pixels():
    for scene in SCENES:
        content = truth(scene, CARD_MM)
        if scene.leg.form == "spring":
            continue
        spots = np.array([content["from_px"], content["to_px"]])
        assert np.all(spots > 100) and np.all(spots < [3024 - 100, 4032 - 100])
        assert content["px_per_mm"] > 2
        if content["card"]:
            corners = np.array(content["card"]["corners_px"])
            assert np.all(corners > 20) and np.all(corners < [3004, 4012])
            assert content["card"]["obliqueness_deg"] > 35 or scene.name != "from_aside"
            assert content["card"]["obliqueness_deg"] < 20 or scene.expected["status"] == "refused"


def test_demo_legs_are_read_as_leg_data(tmp_path):
    for leg in LEGS.values():
        path = tmp_path / f"{leg.file}.toml"
        path.write_text(leg_toml(leg), encoding="utf-8")
        read = load_leg(path)
        assert read.leg_tag == leg.tag
    (tmp_path / "spring.toml").write_text(SPRING_TOML, encoding="utf-8")
    assert load_leg(tmp_path / "spring.toml").strut.form == "spring"


def test_finished_picture_says_that_it_is_rendered():
    scene = SCENES[4]
    view = geometry.camera(scene, 0.05)
    edge = margin_px(scene, 0.05)
    light = np.full((view.height + 2 * edge, view.width + 2 * edge, 3), 0.4, dtype=np.float32)
    image = Image.open(BytesIO(finish(light, scene, CARD_MM, 0.05)))
    exif = image.getexif()
    assert exif[0x010E] == NOTICE
    assert exif[0x010F] == "Rendered"
    assert exif.get_ifd(0x8769)[0xA405] == 26
    assert (image.width > image.height) == (exif[0x0112] == 6)
    # The card's white lands where the exposure puts it: 0.8 in linear light is 231 as sRGB code.
    upright = np.asarray(image, dtype=float).mean(axis=(0, 1))
    assert upright[1] == pytest.approx(231, abs=1.0)


def test_longer_random_lists_begin_with_the_shorter_one():
    assert fair_scenes(5, 9)[:3] == fair_scenes(3, 9)


def test_mean_of_the_passes_ignores_one_rare_flash():
    passes = [np.full((2, 2, 3), value, dtype=np.float32) for value in (1.0, 2.0, 3.0, 2.0)]
    passes[1][0, 0] = 20.0
    mean = steady_mean(passes, 25.0)
    np.testing.assert_allclose(mean[0, 0], (1 + 3 + 3 + 2) / 4)
    np.testing.assert_allclose(mean[1, 1], (1 + 2 + 2 + 2) / 4)
