"""The demo's photos of tires: every reading within U of the truth, every verdict and refusal as expected."""

import json
from functools import cache
from pathlib import Path
from typing import Any

import pytest

from vision.leg import load_leg
from vision.photo import read_photo
from vision.results import Reading, Result
from vision.tire import measure_tire

FOLDER = Path(__file__).parent.parent / "demo_images"
# The truth file's name of each quantity by the result's.
TRUE = {
    "pressure_line_angle": "line_angle_deg", "creep_angle": "creep_angle_deg", "creep_arc": "creep_arc_mm",
    "outside_diameter": "outside_diameter_mm", "loaded_radius": "loaded_radius_mm", "deflection": "deflection",
}  # fmt: skip
PHOTOS = {
    "reads_within": ("tire_left_main_hangar", "tire_nose_overcast", "tire_right_main_sun"),
    "reads_outside": ("tire_crept", "tire_line_turned"),
    "refuses": ("tire_line_elsewhere", "tire_shaken", "tire_two_marks"),
}
NAMES = [f"{folder}/{name}" for folder, names in PHOTOS.items() for name in names]
CASES = [pytest.param(name, result, id=f"{name}-{result}") for name in NAMES for result in TRUE]


def told(name: str) -> dict[str, Any]:
    found: dict[str, Any] = json.loads((FOLDER / f"{name}.truth.json").read_text(encoding="utf-8"))
    return found


@cache
def measured(name: str) -> dict[str, Result]:
    photo = read_photo((FOLDER / f"{name}.jpg").read_bytes())
    found = measure_tire(photo, load_leg(FOLDER / "legs" / told(name)["leg_file"]))
    return {result.name: result for result in found.results}


def test_the_lists_hold_these_photos_of_tires_and_no_others() -> None:
    for folder, names in PHOTOS.items():
        assert sorted(path.stem for path in (FOLDER / folder).glob("tire_*.jpg")) == sorted(names)


@pytest.mark.parametrize("name, result", CASES)
def test_a_result_is_right_within_its_own_u_or_refused_for_its_own_cause(name: str, result: str) -> None:
    truth, found = told(name), measured(name)[result]
    expected = truth["expected"][result]
    if expected["status"] == "refused":
        assert not isinstance(found, Reading)
        assert found.remedy.code == expected["cause"]
        assert found.advice
        return
    assert isinstance(found, Reading)
    assert (found.verdict.value if found.verdict else None) == expected.get("verdict")
    assert abs(found.value - truth["truth"][TRUE[result]]) <= found.expanded_uncertainty


@pytest.mark.parametrize("name", NAMES)
def test_the_list_tells_what_is_the_matter(name: str) -> None:
    expected = told(name)["expected"].values()
    kinds = {one.get("verdict", one["status"]) for one in expected}
    folder = name.split("/", maxsplit=1)[0]
    if folder == "refuses":
        assert "refused" in kinds and "outside" not in kinds
    else:
        assert "refused" not in kinds and ("outside" in kinds) == (folder == "reads_outside")
