"""One drawn tire rendered and measured: a row of plain values."""

import time
from collections.abc import Collection
from typing import Any

import cv2
import numpy as np

from tests.scenes.tire_draw import TireCase, draw_tire
from tests.scenes.tire_leg import leg_text
from tests.scenes.tire_told import AS_DRAWN, ToldCase, camera_of, turned, ways_of
from tests.scenes.wheel import render
from tests.scenes.wheel_scene import WheelTruth, project, truth_of
from vision.leg import Leg, read_leg
from vision.photo import FocalPrior, Photo, PhotoFacts
from vision.results import Reading
from vision.tire import Told, measure_tire

WRONG_ROOT_DEG = 4.0
WRONG_CIRCLE = 0.03  # of its size


def leg_of(case: TireCase) -> Leg:
    """The leg's data as somebody typed them."""
    return read_leg(leg_text(case), "case")


def photo_of(case: TireCase) -> tuple[Photo, WheelTruth]:
    """The rendered photo with what its file would say."""
    pixels, truth = render(case.scene)
    return _filed(pixels, case, truth), truth


def _filed(pixels: np.ndarray, case: TireCase, truth: WheelTruth) -> Photo:
    h, w = pixels.shape[:2]
    focal = FocalPrior(case.focal_told, case.focal_u, "scene")
    return Photo(pixels, PhotoFacts("JPEG", w, h, focal, gravity=gravity_of(case, truth)))


def gravity_of(case: TireCase, truth: WheelTruth) -> tuple[float, float, float] | None:
    """Gravity as the phone would have it, with its error."""
    if case.gravity_error_deg is None:
        return None
    g = np.array(truth.gravity)
    a, b = np.radians(case.gravity_error_deg)
    z = truth.rotation[:, 2]
    if isinstance(case, ToldCase) and case.turned_deg is not None:
        g = turned(g + b * z, -case.turned_deg)
    else:
        g = g + a * np.cross(z, g) + b * z
    g /= np.linalg.norm(g)
    return float(g[0]), float(g[1]), float(g[2])


def taps_of(case: TireCase) -> np.ndarray | None:
    """What a person taps in the faults that are about tapping, (8, 2) px."""
    s = case.scene
    if not case.fault.endswith("tapped"):
        return None
    a = np.arange(8) * np.pi / 4 + 0.3
    share, z = {
        "second circle tapped": (s.second_circle, -s.cap_depth_mm),
        "outline tapped": (s.outside_diameter_mm / s.flange_diameter_mm, 0.9 * s.section[3]),
        "flange tapped": (1.0, 0.0),
    }[case.fault]
    r = share * s.flange_radius
    at = project(s, np.column_stack([r * np.cos(a), r * np.sin(a), np.full(8, z)]))
    return np.asarray(at + np.random.default_rng(s.seed).normal(size=at.shape) * 1.5)


def measure_case(seed: int, kind: str) -> dict[str, Any]:
    """Draw, render and measure one case."""
    cv2.setNumThreads(1)
    case = draw_tire(seed, kind)
    return row_of(seed, case, *photo_of(case))


def measure_told(
    seed: int, kind: str, plumb: bool = False, width_u: float | None = None, done: Collection[str] = ()
) -> list[dict[str, Any]]:
    """Draw and render one case, and measure it as drawn and told of otherwise: a row of each that is not done."""
    cv2.setNumThreads(1)
    case = draw_tire(seed, kind)
    photo, truth = photo_of(case)
    rows = [] if AS_DRAWN in done else [row_of(seed, case, photo, truth)]
    for name, way in ways_of(plumb, width_u).items():
        if name not in done:
            told = way(case)
            rows.append(row_of(seed, told, _filed(photo.pixels, told, truth), truth) | {"told": name})
    return rows


def row_of(seed: int, case: TireCase, photo: Photo, truth: WheelTruth) -> dict[str, Any]:
    """Measure a photo of a case: the row of plain values."""
    told = Told(rim_px=taps_of(case))
    start = time.perf_counter()
    found = measure_tire(photo, leg_of(case), camera=camera_of(case), told=told)
    seconds = time.perf_counter() - start
    line = truth.line_angle_deg if case.reference == "ground" else truth.line_to_gravity_deg
    true = {
        "pressure_line_angle": line, "creep_angle": truth.creep_deg, "creep_arc": truth.creep_arc_mm,
        "outside_diameter": truth.outside_diameter_mm, "loaded_radius": truth.loaded_radius_mm,
        "deflection": truth.deflection,
    }  # fmt: skip
    s = case.scene
    row: dict[str, Any] = {
        "seed": seed, "kind": case.kind, "told": AS_DRAWN, "fault": case.fault, "seconds": round(seconds, 2), "reference": case.reference,
        "level_from": found.level_from, "tilt": s.tilt_deg, "pitch": s.pitch_deg, "px_per_mm": truth.px_per_mm,
        "gravity": case.gravity_error_deg is not None, "calibrated": case.k1_u < 0.01, "results": {},
    }  # fmt: skip
    for result in found.results:
        one: dict[str, Any] = {"true": true[result.name]}
        if isinstance(result, Reading):
            one |= {"value": result.value, "U": result.expanded_uncertainty}
            one["budget"] = {b.source: round(b.standard_uncertainty, 4) for b in result.budget[:6]}
        else:
            one |= {"refused": result.remedy.code, "reason": result.reason}
        row["results"][result.name] = one
    row |= _wheel_of(found.results[0].evidence, case, truth)
    return row


def _wheel_of(evidence: Any, case: TireCase, truth: WheelTruth) -> dict[str, Any]:
    """Whether the wheel that was accepted is the true one: its circle and its root."""
    if "axle_direction" not in evidence:
        return {"wheel": None}
    normal = np.array(evidence["axle_direction"])
    true = truth_of(case.scene).rotation @ [0.0, 0.0, -1.0]
    angle = float(np.degrees(np.arccos(np.clip(normal @ true, -1, 1))))
    a = np.linspace(0, 2 * np.pi, 60, endpoint=False)
    r = case.scene.flange_radius
    ring = project(case.scene, np.column_stack([r * np.cos(a), r * np.sin(a), 0 * a]))
    middle = ring.mean(axis=0)
    size = float(np.linalg.norm(ring - middle, axis=1).max())
    seen = np.array(evidence["flange_px"])
    # The axle's foot is not the ellipse's middle: sizes are compared, which no root changes.
    own = float(np.linalg.norm(seen - seen[:-1].mean(axis=0), axis=1).max())
    off = abs(own / size - 1) + float(np.linalg.norm(seen[:-1].mean(axis=0) - middle)) / size
    del truth
    return {
        "wheel": "wrong circle" if off > WRONG_CIRCLE else "wrong root" if angle > WRONG_ROOT_DEG else "right",
        "normal_error_deg": round(angle, 3), "circle_error": round(off, 4), "told_by": evidence["turn_told_by"],
    }  # fmt: skip
