"""The demo's tires: consistent with the demo's legs, beyond their limits where they are to be, written whole."""

import json
from pathlib import Path

import numpy as np
import pytest

from tests.scenes.physical.__main__ import parser
from tests.scenes.physical.legs import LEGS, leg_toml
from tests.scenes.physical.tire_command import run
from tests.scenes.physical.tire_demo import tire_demo
from tests.scenes.physical.tire_scene import TireScene, from_dict, to_dict
from tests.scenes.wheel_scene import truth_of
from vision.leg import load_leg, read_leg
from vision.tire import asked

DEMO_LEGS = Path(__file__).parents[2] / "demo_images" / "legs"
SCENES = [pytest.param(scene, id=scene.name) for scenes in tire_demo().values() for scene in scenes]
# What a careful photo's U is: medians of the benchmark's table, doubled.
LINE_U_DEG, CREEP_U_MM = 1.1, 1.4


def test_there_are_three_lists_and_every_scene_has_a_name_and_a_seed_of_its_own() -> None:
    lists = tire_demo()
    assert {name: len(scenes) for name, scenes in lists.items()} == {
        "reads_within": 3, "reads_outside": 2, "refuses": 3
    }  # fmt: skip
    every = [scene for scenes in lists.values() for scene in scenes]
    assert len({scene.name for scene in every}) == len({scene.wheel.seed for scene in every}) == len(every)


@pytest.mark.parametrize("leg", LEGS.values(), ids=LEGS.keys())
def test_the_demos_leg_files_are_those_that_the_renderer_writes(leg: object) -> None:
    name = next(name for name, one in LEGS.items() if one is leg)
    assert (DEMO_LEGS / f"{name}.toml").read_text(encoding="utf-8") == leg_toml(LEGS[name])


@pytest.mark.parametrize("scene", SCENES)
def test_what_the_case_is_told_is_what_the_leg_says(scene: TireScene) -> None:
    tire = load_leg(DEMO_LEGS / scene.leg_file).require_tire()
    told = (scene.case.outside_told, scene.case.flange_told, scene.case.width_told)
    assert told == (tire.outside_diameter_mm, tire.flange_diameter_mm, tire.section_width_mm)
    assert tuple(scene.expected) == asked(tire)


@pytest.mark.parametrize("scene", SCENES)
def test_the_tire_is_one_of_its_leg_and_the_photo_is_a_careful_one(scene: TireScene) -> None:
    wheel, case = scene.wheel, scene.case
    assert abs(wheel.flange_diameter_mm - case.flange_told) < 1.0  # two standard uncertainties of a calliper
    assert abs(wheel.outside_diameter_mm / case.outside_told - 1) < 0.019  # a grown tire's range
    assert abs(wheel.section_width_mm / case.width_told - 1) < 0.1
    assert abs(wheel.tilt_deg) <= 20 and -8 <= wheel.pitch_deg <= 10
    assert wheel.focal_px / wheel.distance_mm > 1.5
    assert 0.24 < truth_of(wheel).deflection < 0.42


@pytest.mark.parametrize("scene", SCENES)
def test_a_verdict_that_is_expected_follows_from_the_truth_by_more_than_u(scene: TireScene) -> None:
    tire = read_leg(leg_toml(LEGS[scene.leg_file.removesuffix(".toml")]), "demo").require_tire()
    true = truth_of(scene.wheel)
    assert true.line_angle_deg is not None
    assert tire.line_limit_deg is not None and tire.creep_limit_mm is not None
    for name, size, limit, u in (
        ("pressure_line_angle", true.line_angle_deg, tire.line_limit_deg, LINE_U_DEG),
        ("creep_arc", true.creep_arc_mm, tire.creep_limit_mm, CREEP_U_MM),
    ):
        verdict = scene.expected[name].get("verdict")
        if verdict == "within":
            assert abs(size) < limit - u
        elif verdict == "outside":
            assert abs(size) > limit + u


@pytest.mark.parametrize("scene", SCENES)
def test_a_line_has_turned_with_its_wheel(scene: TireScene) -> None:
    wheel = scene.wheel
    assert wheel.line_angle_deg is not None
    assert wheel.line_clock_deg == pytest.approx(180 - wheel.line_angle_deg, abs=1e-9)


@pytest.mark.parametrize("scene", SCENES)
def test_a_scene_survives_json(scene: TireScene) -> None:
    assert from_dict(json.loads(json.dumps(to_dict(scene)))) == scene


def test_the_command_sorts_truth_files_into_the_lists_beside_the_legs(tmp_path: Path) -> None:
    run(parser().parse_args(["tires", "--list", "demo", "--truth-only", "--out", str(tmp_path)]))
    for folder, scenes in tire_demo().items():
        written = {path.name for path in (tmp_path / folder).iterdir()}
        assert written == {f"{scene.name}.truth.json" for scene in scenes}
        for scene in scenes:
            truth = json.loads((tmp_path / folder / f"{scene.name}.truth.json").read_text(encoding="utf-8"))
            assert (tmp_path / "legs" / truth["leg_file"]).is_file()
            assert (truth["tier"], truth["expected"]) == ("traced tire", scene.expected)
            true = truth_of(scene.wheel)
            assert truth["truth"]["line_angle_deg"] == true.line_angle_deg
            assert truth["truth"]["creep_arc_mm"] == pytest.approx(
                np.radians(true.creep_deg) * scene.wheel.flange_radius, abs=1e-9
            )


def test_only_the_scenes_that_are_named_are_written(tmp_path: Path) -> None:
    asked_for = ["tires", "--list", "demo", "--truth-only", "--only", "tire_crept", "--out", str(tmp_path)]
    run(parser().parse_args(asked_for))
    assert [path.name for path in tmp_path.rglob("*.truth.json")] == ["tire_crept.truth.json"]
