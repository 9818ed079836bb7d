"""One pose of a flange on trial: how well the tire's outline, gravity and a card agree with it."""

from dataclasses import dataclass

import numpy as np

from vision.leg import TireData
from vision.photo import Photo
from vision.tire.outline import Outline, find_outline
from vision.tire.profile import Shape
from vision.wheel import WheelFit
from vision.wheel.held_card import HeldCard, off_parallel

MIN_OUTLINE = 0.45
CONCENTRIC_U_MM = 1.2  # of a tire on its rim, judged
OUTLINE_U = 0.004  # of the diameter, what the section's shape leaves in the outline
LEAN_U_DEG = 2.0  # of an axle about level and of a phone's gravity, together, judged


@dataclass(frozen=True)
class Trial:
    """A pose with its outline.

    Attributes
    ----------
    squared : float
        Sigmas off, squared, of the outline's shift and diameter and of the axle's lean together.
    lean : float or None
        Of the axle against level, deg, where the file tells gravity.
    card : float
        The same as `squared`, of a card's lean against the pose; 0 without one.
    """

    fit: WheelFit
    outline: Outline
    squared: float
    lean: float | None
    card: float = 0.0

    @property
    def total(self) -> float:
        """All of it."""
        return self.squared + self.card


def try_pose(
    photo: Photo, tire: TireData, shape: Shape, fit: WheelFit, held: HeldCard | None
) -> Trial | None:
    """Hold a pose against what else is seen; None where the tire's outline is not found about it."""
    up = np.array([0.0, -1.0])
    gravity = photo.facts.gravity
    if gravity is not None:
        x, y, _ = fit.pose.frame
        down = np.array([x @ gravity, y @ gravity])
        up = -down / max(float(np.linalg.norm(down)), 1e-9)
    outline = find_outline(photo, fit.camera, fit.pose, shape, up)
    if outline is None or outline.share < MIN_OUTLINE:
        return None
    size = outline.diameter_mm
    size_u = np.hypot(tire.outside_diameter_u_mm, size * OUTLINE_U)
    size_u = np.hypot(size_u, size * tire.flange_diameter_u_mm / tire.flange_diameter_mm)
    depth = shape.section[3]
    slant = np.tan(np.radians(min(fit.pose.tilt_deg, 60.0)))
    depth_u = np.hypot(depth * shape.width_u / shape.width, 0.12 * depth)
    shift_u = np.sqrt(CONCENTRIC_U_MM**2 + (depth_u * slant) ** 2 + (depth * fit.normal_u_deg / 57.3) ** 2)
    squared = ((size - tire.outside_diameter_mm) / size_u) ** 2
    squared += float(outline.shift_mm @ outline.shift_mm) / shift_u**2
    lean = None
    if gravity is not None:
        lean = float(np.degrees(np.arcsin(np.clip(fit.pose.normal @ np.array(gravity), -1, 1))))
        squared += (lean / LEAN_U_DEG) ** 2
    card = 0.0 if held is None else off_parallel(fit, held)[1]
    return Trial(fit, outline, float(squared), lean, card)
