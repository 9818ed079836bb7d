"""The truth beside each traced tire, and the leg's data as a file."""

from typing import Any

from tests.scenes.physical.tire_scene import TireScene, scaled, to_dict
from tests.scenes.physical.truth import NOTICE
from tests.scenes.wheel_scene import truth_of


def tire_truth(scene: TireScene, scale: float = 1.0) -> dict[str, Any]:
    """The truth file's content: every quantity, the scale at the wheel, and all that the scene is made of."""
    true = truth_of(scaled(scene.wheel, scale))
    return {
        "notice": NOTICE,
        "tier": "traced tire",
        "name": scene.name,
        "leg_file": scene.leg_file or f"{scene.name}.leg.toml",
        "expected": scene.expected,
        "truth": {
            "line_angle_deg": true.line_angle_deg,
            "line_to_gravity_deg": true.line_to_gravity_deg,
            "creep_angle_deg": true.creep_deg,
            "creep_arc_mm": true.creep_arc_mm,
            "outside_diameter_mm": true.outside_diameter_mm,
            "loaded_radius_mm": true.loaded_radius_mm,
            "deflection": true.deflection,
        },
        "px_per_mm": true.px_per_mm,
        "gravity": list(true.gravity),
        "scale": scale,
        "scene": to_dict(scene),
    }
