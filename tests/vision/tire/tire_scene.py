"""One small tire that the tests of this folder share, and what the measuring side is told about it."""

from dataclasses import replace
from functools import lru_cache
from typing import Any

import numpy as np

from tests.scenes.wheel import render
from tests.scenes.wheel_scene import WheelScene, project
from vision.leg import Leg, read_leg
from vision.photo import FocalPrior, Photo, PhotoFacts
from vision.results import Reading, Refusal, Result
from vision.tire import TireMeasurement, Told, measure_tire

SCENE = WheelScene(
    width_px=800, height_px=750, focal_px=1250.0, tilt_deg=9.0, pitch_deg=2.0, roll_deg=3.0, clutter=3, rib=0.75,
    contact_bulge=0.12, line_angle_deg=1.5, line_width_mm=4.0, creep_deg=2.0, seed=5,
)  # fmt: skip
# As fine as a card's squares need; a hand holds the plate, so it leans a little.
HELD = replace(
    SCENE, width_px=1000, height_px=938, focal_px=1562.5, card_at_mm=(0.0, -10.0, -12.0), card_turn_deg=15.0,
    card_lean_deg=(1.2, -0.8), mark_clock_deg=270.0,
)  # fmt: skip
LEG = """[tire]
outside_diameter_mm = 445.0
flange_diameter_mm = 190.5
section_width_mm = 160.0
line = "pressure line"
line_limit_deg = 3.0
creep_limit_mm = 5.0
"""


def leg(text: str = LEG, **changes: str) -> Leg:
    """The leg's data, with some lines written otherwise."""
    for key, value in changes.items():
        lines = [line for line in text.splitlines() if not line.startswith(f"{key} =")]
        text = "\n".join([*lines, f"{key} = {value}"]) + "\n"
    return read_leg(text, "leg.toml")


@lru_cache(maxsize=24)
def photo_of(scene: WheelScene, gravity: tuple[float, float, float] | None = None) -> Photo:
    pixels = np.ascontiguousarray(render(scene)[0])
    focal = FocalPrior(scene.focal_px, 0.02 * scene.focal_px, "scene")
    return Photo(pixels, PhotoFacts("JPEG", scene.width_px, scene.height_px, focal, gravity=gravity))


@lru_cache(maxsize=24)
def measured(scene: WheelScene) -> TireMeasurement:
    return measure_tire(photo_of(scene), leg())


def named(found: TireMeasurement, name: str) -> Result:
    return next(result for result in found.results if result.name == name)


def reading(name: str, scene: WheelScene = SCENE) -> Reading:
    result = named(measured(scene), name)
    assert isinstance(result, Reading), result
    return result


def refusal(name: str, **changes: Any) -> Refusal:
    """The refusal of a quantity on the scene with something changed."""
    result = named(measured(replace(SCENE, **changes)), name)
    assert isinstance(result, Refusal), result
    return result


def taps(scene: WheelScene, share: float = 1.0, depth: float = 0.0) -> Told:
    """Eight points tapped on a circle of the wheel, to 1.5 px."""
    a = np.arange(8) * np.pi / 4 + 0.3
    r = share * scene.flange_radius
    at = project(scene, np.column_stack([r * np.cos(a), r * np.sin(a), np.full(8, depth)]))
    return Told(rim_px=at + np.random.default_rng(3).normal(size=at.shape) * 1.5)
