"""Traced hoses: the same for a seed, worn where the truth file says, and nothing hidden that counts as seen."""

import argparse
import json
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from tests.accuracy.hose import overlap, photo_row
from tests.accuracy.hose_photos import find_hoses, traced_hoses
from tests.scenes.physical.hose_chance import hose_scene
from tests.scenes.physical.hose_command import write
from tests.scenes.physical.hose_cover import _ragged, cover, places
from tests.scenes.physical.hose_demo import hose_demo, leg_toml
from tests.scenes.physical.hose_parts import swept
from tests.scenes.physical.hose_scene import HoseScene, Seen, Worn, carrier
from tests.scenes.physical.hose_truth import hose_truth, leg_text
from tests.scenes.physical.meshes import Mesh
from tests.scenes.physical.render import _ready, margin_px, sensor
from tests.scenes.physical.stage import Stage, colour, matt
from vision.leg import load_leg

SCALE = 0.15
ALL = [(kind, k) for kind in ("fair", "clean") for k in range(12)]


def straight(hose: int = 0) -> HoseScene:
    """A scene of one hose and nothing over it, seen by a pinhole."""
    one = hose_scene("fair", 4, 2)
    body = replace(one.hoses[hose], start_mm=0.0, end_mm=1e9)
    camera = replace(one.camera, aperture_mm=0.0, k1=0.0)
    return replace(one, hoses=(body,), worn=(), things=(), camera=camera)


@pytest.mark.parametrize("kind", ["fair", "clean"])
def test_a_seed_gives_the_same_scene_for_ever(kind: str) -> None:
    assert hose_scene(kind, 2, 5) == hose_scene(kind, 2, 5)
    assert hose_scene(kind, 2, 5) != hose_scene(kind, 3, 5)
    truth = hose_truth(hose_scene(kind, 2, 5))
    assert truth == json.loads(json.dumps(truth))


@pytest.mark.parametrize("kind, k", ALL)
def test_worn_places_are_seen_whole_and_lie_apart_from_what_is_no_wear(kind: str, k: int) -> None:
    scene = hose_scene(kind, 1, k)
    truth = hose_truth(scene)
    assert bool(scene.worn) == (kind == "fair")
    for one in truth["worn"]:
        outline = np.array(one["outline_px"])
        assert one["size_px"] >= 12 and 4 <= one["size_mm"] <= 20 and one["grade"] in (1, 2, 3)
        assert (outline > 0).all() and (outline < [truth["width_px"], truth["height_px"]]).all()
        assert not [t for t in truth["things"] if overlap(outline, np.array(t["outline_px"])) > 0.05]
        for other, body in enumerate(truth["hoses"]):
            if other != one["hose"]:
                away = [np.hypot(*(np.array(body["centre_line_px"]) - place).T).min() for place in outline]
                assert min(away) > 0.95 * np.median(body["radius_px"]), "hidden by, or on, another hose"


def test_taps_lie_on_their_own_hose_in_the_picture() -> None:
    for k in range(12):
        truth = hose_truth(hose_scene("fair", 1, k))
        for hose in truth["hoses"]:
            line = np.array(hose["centre_line_px"])
            for tap in hose["taps_px"]:
                assert 0 < tap[0] < truth["width_px"] and 0 < tap[1] < truth["height_px"]
                assert np.hypot(*(line - tap).T).min() < 0.6 * np.max(hose["radius_px"])


def test_the_legs_data_are_those_of_the_scene(tmp_path: Path) -> None:
    scene = hose_scene("fair", 1, 0)
    (tmp_path / "leg.toml").write_text(leg_text(scene), encoding="utf-8")
    leg = load_leg(tmp_path / "leg.toml")
    assert [hose.cover for hose in leg.hoses] == [hose.cover for hose in scene.hoses]
    assert [hose.diameter_mm for hose in leg.hoses] == pytest.approx(
        [hose.diameter_mm for hose in scene.hoses], abs=1e-3
    )


@pytest.mark.parametrize("kind", ["rubber", "textile", "metal_braid"])
def test_wear_changes_the_cover_there_and_only_there_and_more_by_grade(kind: str) -> None:
    hose = replace(straight().hoses[0], cover=kind, dust=0.1, print_rgb=None)
    at = places(hose, 100.0, 140.0, 8.0)
    sound = cover(hose, at, (), ())
    changed = []
    for grade in (1, 2, 3):
        worn = cover(hose, at, [Worn(0, 120.0, 0.2, 12.0, 8.0, grade, 5)], ())
        away = at.ellipse(120.0, 0.2, 12.0, 8.0)
        for name in ("colour", "rough", "height"):
            before, after = getattr(sound, name), getattr(worn, name)
            np.testing.assert_array_equal(after[away > 2.0], before[away > 2.0])
        there = away < 0.7
        of_before = np.polyfit(sound.height[there], worn.height[there], 1)[0]
        assert of_before < 0.8, "the cover's own texture is rubbed off"
        changed.append(float(np.abs(worn.colour - sound.colour)[away < 0.9].mean()))
        if kind != "textile" and grade < 3:
            assert np.mean(worn.rough[away < 0.7]) < 0.9 * np.mean(sound.rough[away < 0.7]), "polished"
    assert changed == sorted(changed) and changed[2] > 1.3 * changed[0] > 0


def glowing(stage: Stage, scene: HoseScene) -> np.ndarray:
    mi = pytest.importorskip("mitsuba", reason="install the scenes extra")
    mi.set_variant("scalar_rgb")
    mi.set_log_level(mi.LogLevel.Error)
    world = {name: _ready(mi, item) for name, item in stage.items.items()}
    world |= {
        "type": "scene",
        "integrator": {"type": "direct"},
        "sensor": sensor(mi, carrier(scene), SCALE),
    }
    image = np.array(mi.render(mi.load_dict(world), spp=64, seed=1))[..., 1].astype(float)
    edge = margin_px(carrier(scene), SCALE)
    return image[edge:-edge, edge:-edge]


def test_a_worn_place_is_traced_where_the_truth_outlines_it(tmp_path: Path) -> None:
    scene = straight()
    seen = Seen(scene, SCALE)
    line, hose = seen.curves[0], scene.hoses[0]
    middle = float(line.arc[seen.inside(seen.px(line.points), 60)].mean())
    scene = replace(scene, worn=(Worn(0, middle + 15, 0.4, 20.0, 10.0, 3, 8),))
    at = places(hose, middle - 40, middle + 40, 6.0)
    mask = _ragged(scene.worn[0], at, 2.0)
    arc = np.linspace(middle - 40, middle + 40, 60)
    body = swept(line, arc, np.full(60, hose.diameter_mm / 2))
    stage = Stage(tmp_path, seen.turn)
    lamp = {"type": "area", "radiance": colour(mask[..., None])}
    # Lamps shine from one side only: the cover's outside.
    corners = body.vertices[body.faces]
    outward = np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0])
    away = corners.mean(axis=1) - np.mean(line.at(arc)[0], axis=0)
    if (outward * away).sum() < 0:
        body = Mesh(body.vertices, body.faces[:, ::-1], body.uv)
    stage.mesh(body, matt(0.0), smooth=True, emitter=lamp)
    image = glowing(stage, scene)
    rows, columns = np.mgrid[: image.shape[0], : image.shape[1]]
    centroid = np.array([(image * columns).sum(), (image * rows).sum()]) / image.sum()
    outline = np.array(hose_truth(scene, SCALE)["worn"][0]["outline_px"])
    np.testing.assert_allclose(
        centroid, outline.mean(axis=0), rtol=0, atol=0.12 * np.ptp(outline, axis=0).max()
    )
    assert image.sum() == pytest.approx(_area(outline), rel=0.3)


def _area(outline: np.ndarray) -> float:
    x, y = outline.T
    return float(abs(np.sum(x * np.roll(y, 1) - y * np.roll(x, 1))) / 2)


def test_a_run_goes_on_where_it_stopped_and_its_photos_can_be_measured(tmp_path: Path) -> None:
    pytest.importorskip("mitsuba", reason="install the scenes extra")
    scene = hose_scene("fair", 1, 0)
    options = argparse.Namespace(scale=0.06, spp=1, variant="scalar_rgb")
    write(scene, tmp_path, options)
    picture = tmp_path / f"{scene.name}.jpg"
    first = picture.stat().st_mtime_ns
    write(scene, tmp_path, options)
    assert picture.stat().st_mtime_ns == first
    assert find_hoses(tmp_path) == [picture]
    truth, taps, _ = traced_hoses(picture)
    assert len(truth.spots) == len(scene.worn) and all(len(places) >= 3 for places in taps.values())
    row = photo_row(picture)
    assert row["name"] == picture.name and len(row["spots"]) == len(scene.worn)
    assert not str(row["refused"]).startswith("crash")


def test_the_demos_hoses_are_those_of_its_leg_and_their_worn_places_are_in_the_picture(
    tmp_path: Path,
) -> None:
    (tmp_path / "leg.toml").write_text(leg_toml(), encoding="utf-8")
    known = {hose.name: hose.cover for hose in load_leg(tmp_path / "leg.toml").hoses}
    for scene in hose_demo():
        truth = hose_truth(scene)
        assert {one["name"]: one["cover"] for one in truth["hoses"]}.items() <= known.items()
        for one in (*truth["worn"], *truth["things"]):
            outline = np.array(one["outline_px"])
            assert (outline > 0).all() and (outline < [truth["width_px"], truth["height_px"]]).all()
            assert "worn" in scene.name or scene.name in ("too_far_away", "shaken") or one in truth["things"]
