"""Scenes of the rendered tier, their truth files, and one tiny picture through the whole of it."""

import json
from dataclasses import replace
from pathlib import Path

import pytest

from tests.accuracy.jobs import read_rows
from tests.accuracy.photos import leg_of_truth, read_truth
from tests.accuracy.rendered_scenes import is_fair, rendered_scene, true_stand_off, write_truth
from tests.scenes.physical.fair import fair_scene
from tests.scenes.physical.wide import FEATURES, WRONG_DATA, wide_scene


def test_scenes_are_the_same_again_and_fair_ones_are_those_of_the_renderer() -> None:
    assert rendered_scene("wide", 2, 5) == rendered_scene("wide", 2, 5)
    assert rendered_scene("fair", 2, 5).scene == fair_scene(2, 5)


def test_every_feature_comes_up_among_wide_scenes() -> None:
    assert {name for k in range(120) for name in wide_scene(0, k).features} == {*FEATURES, *WRONG_DATA}


def test_a_fair_scene_is_told_its_stand_off_and_bars_within_their_doubt() -> None:
    for k in range(20):
        scene = rendered_scene("fair", 1, k)
        assert scene.stand_off is not None
        assert scene.bars is not None
        assert abs(scene.stand_off[0] - true_stand_off(scene.scene, scene.card_size_mm)) < 4.0
        assert scene.bars[0] / 200 == pytest.approx(scene.print_scale[1], abs=0.003)


def test_the_stand_off_of_a_card_square_to_the_camera_is_the_one_it_hangs_at() -> None:
    scene = fair_scene(1, 0)
    hung = replace(scene, card=replace(scene.card, pitch_deg=0.0, roll_deg=0.0, stand_off_mm=12.0))
    assert true_stand_off(hung, (50.0, 236.0)) == pytest.approx(12.0, abs=1e-9)


def test_a_truth_file_is_one_of_the_benchmark(tmp_path: Path) -> None:
    rendered = rendered_scene("wide", 0, 3)
    write_truth(rendered, 0.5, tmp_path / "wide_0_003.jpg")
    truth = read_truth(tmp_path / "wide_0_003.jpg")
    assert truth["extension_mm"] == rendered.scene.leg.extension_mm
    assert truth["fair"] is False
    assert leg_of_truth(truth, tmp_path / "wide_0_003.jpg", tmp_path).strut is not None


def test_fair_is_what_the_words_say() -> None:
    scene = fair_scene(0, 0)
    told = {"px_per_mm": 3.0, "elevation_deg": 5.0, "card": {"obliqueness_deg": 10.0}}
    assert is_fair(scene, told, 1.0)
    assert is_fair(scene, told | {"px_per_mm": 0.3}, 0.1)
    for wrong in ({"px_per_mm": 1.9}, {"elevation_deg": -12.5}, {"card": {"obliqueness_deg": 21.0}}):
        assert not is_fair(scene, told | wrong, 1.0)


def test_a_tiny_picture_is_traced_finished_and_measured_once(tmp_path: Path) -> None:
    pytest.importorskip("mitsuba", reason="install the scenes extra")
    from tests.accuracy.strut import main  # noqa: PLC0415 - after the renderer is known to be there

    options = ["--tier", "rendered", "--variant", "scalar_rgb", "--spp", "1", "--scale", "0.05"]
    options += ["--scenes", "1", "--sets", "fair", "--processes", "1"]
    options += ["--out", str(tmp_path / "out"), "--pictures", str(tmp_path / "pictures")]
    assert main(options) == 0
    picture = tmp_path / "pictures" / "fair_0_000.jpg"
    made = picture.stat().st_mtime_ns
    assert main(options) == 0
    rows = read_rows(tmp_path / "out" / "rows.jsonl")
    assert [row["name"] for row in rows] == ["fair_0_000.jpg"]
    assert picture.stat().st_mtime_ns == made
    assert json.loads(picture.with_suffix(".truth.json").read_text(encoding="utf-8"))["tier"] == "rendered"
    assert (tmp_path / "out" / "table.md").read_text(encoding="utf-8").count("rendered") > 1
