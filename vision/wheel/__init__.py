"""A wheel's rim flange, a circle of known diameter, seen by one camera.

Question -> file: which two poses a conic allows `pose`; the flange's edge found about
a tap and fitted with its doubt `flange`, `rim_edge`; a card held against the wheel
`held_card`, and both fitted together `card_fit`.  Nothing here chooses between the
two poses: the measurement does, by evidence.
"""

from vision.wheel.flange import WheelFit, fit_flange
from vision.wheel.pose import CirclePose, circle_poses, conic_of_points, conic_through_camera

__all__ = [
    "CirclePose",
    "WheelFit",
    "circle_poses",
    "conic_of_points",
    "conic_through_camera",
    "fit_flange",
]
