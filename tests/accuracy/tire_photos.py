"""Traced tires in a folder, measured as they lie there: rows in the form of the analytic ones."""

import json
from dataclasses import replace
from pathlib import Path
from typing import Any

import cv2

from tests.accuracy.tire_case import gravity_of, row_of
from tests.scenes.physical.tire_scene import from_dict, scaled
from tests.scenes.tire_draw import TireCase
from tests.scenes.wheel_scene import WheelTruth, truth_of
from vision.photo import Photo, read_photo

TIER = "traced tire"


def find_tires(folder: Path) -> list[Path]:
    """Every photo below a folder with the truth file of a traced tire beside it, in order."""
    photos = sorted(folder.rglob("*.jpg"))
    return [path for path in photos if _truth(path).get("tier") == TIER]


def measure_tire_photo(path: Path) -> dict[str, Any]:
    """Measure one photo; focal length is the file's own unless the case has a calibration."""
    cv2.setNumThreads(1)
    case = case_beside(path)
    truth = truth_of(case.scene)
    photo = read_tire(path.read_bytes(), case, truth)
    return row_of(case.scene.seed, case, photo, truth) | {"name": path.name}


def case_beside(path: Path) -> TireCase:
    """The case of a photo's truth file, at the photo's size."""
    beside = _truth(path)
    scene = from_dict(beside["scene"])
    factor = float(beside["scale"])
    return replace(
        scene.case,
        scene=scaled(scene.wheel, factor),
        focal_told=scene.case.focal_told * factor,
        focal_u=scene.case.focal_u * factor,
    )


def read_tire(data: bytes, case: TireCase, truth: WheelTruth) -> Photo:
    """The photo of a case from its file's bytes."""
    photo = read_photo(data)
    # No program reads gravity from these files: it is told as an original file would have it.
    return replace(photo, facts=replace(photo.facts, gravity=gravity_of(case, truth)))


def _truth(path: Path) -> dict[str, Any]:
    beside = path.with_suffix(".truth.json")
    found: dict[str, Any] = json.loads(beside.read_text(encoding="utf-8")) if beside.exists() else {}
    return found
