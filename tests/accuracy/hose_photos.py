"""Traced hoses in a folder: their truth files in the form that the composited ones have."""

import json
from pathlib import Path
from typing import Any

import numpy as np

from tests.scenes.hose import HoseTruth
from tests.scenes.hose_light import Hose, Spot
from tests.scenes.hose_things import Distractor
from tests.scenes.physical.hose_truth import TIER
from vision.leg import HoseData

Places = tuple[tuple[float, float], ...]


def find_hoses(folder: Path) -> list[Path]:
    """Every photo below a folder with the truth file of traced hoses beside it, in order."""
    return [path for path in sorted(folder.rglob("*.jpg")) if _beside(path).get("tier") == TIER]


def traced_hoses(path: Path) -> tuple[HoseTruth, dict[int, Places], list[HoseData]]:
    """Return one photo's truth, the places tapped on each hose, and the hoses' true data.

    A hose on which fewer than three places can be tapped is hidden or out of the picture: nobody shows it.
    """
    beside = _beside(path)
    taps = {k: tuple(map(tuple, one["taps_px"])) for k, one in enumerate(beside["hoses"])}
    legs = [
        HoseData(f"hose {k}", one["diameter_mm"], 0.01 * one["diameter_mm"], one["cover"], "scene")
        for k, one in enumerate(beside["hoses"])
    ]
    hoses = tuple(_hose(one) for one in beside["hoses"])
    spots = tuple(_spot(one, hoses[one["hose"]]) for one in beside["worn"])
    things = tuple(Distractor(t["kind"], np.array(t["outline_px"]), t["hose"]) for t in beside["things"])
    scale = 2 * hoses[0].radius_px / hoses[0].diameter_mm
    shown = {k: places for k, places in taps.items() if len(places) >= 3}
    return HoseTruth(hoses, spots, things, scale, None), shown, legs


def _beside(path: Path) -> dict[str, Any]:
    truth = path.with_suffix(".truth.json")
    found: dict[str, Any] = json.loads(truth.read_text(encoding="utf-8")) if truth.exists() else {}
    return found


def _hose(one: dict[str, Any]) -> Hose:
    line, mm = np.array(one["centre_line_px"]), np.array(one["along_mm"])
    way = np.concatenate([[0.0], np.cumsum(np.hypot(*np.diff(line, axis=0).T))])
    ends = np.interp(one["cover_mm"], mm, way)
    radius = float(np.median(one["radius_px"]))
    return Hose(line, one["diameter_mm"], radius, one["cover"], 0.0, 0, (float(ends[0]), float(ends[1])))


def _spot(one: dict[str, Any], hose: Hose) -> Spot:
    outline = np.array(one["outline_px"])
    nearest = np.hypot(*(hose.centre_line_px - outline.mean(axis=0)).T).argmin()
    half = one["around_mm"] / hose.diameter_mm
    ends = one["angle_rad"] + np.array([-half, half])
    seen = float(np.diff(np.clip(ends, -np.pi / 2, np.pi / 2))[0] / np.diff(ends)[0])
    return Spot(
        outline, float(hose.along_px[nearest]), one["angle_rad"], one["size_mm"], one["around_mm"],
        one["size_px"], one["grade"], one["hose"], seen,
    )  # fmt: skip
