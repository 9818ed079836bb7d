"""The ground contact that a person showed, held against the tire's shape and against what is seen there."""

import numpy as np
from numpy.typing import NDArray

from vision import notes
from vision.level.witness import TAP_U_PX
from vision.results import COVERAGE_FACTOR, Refusal
from vision.tire.contact import LIP_U_MM, Contact, contact_line
from vision.tire.levels import ground_angle_u, ground_of_taps, ray_slope
from vision.tire.wheel import Wheel

LEAST_APART_MM = 10.0  # nearer by, two taps of a finger tell no direction
# Deflection of a tire that stands on something: not lifted by more than a tap's doubt, not on its rim.
LEAST_SQUASHED, MOST_SQUASHED = -0.05, 0.65
# How far two true readings of one contact lie apart besides their own doubts: taps on its bent ends, a
# crevice's dark; judged
APART_U_DEG, APART_U_MM = 0.4, 2.0


def shown_ground(wheel: Wheel, px: NDArray[np.float64], px_per_mm: float) -> Contact | Refusal:
    """Return the contact that two taps (2, 2) px show, or a refusal where no tire could stand there."""
    apart = float(np.hypot(*(px[1] - px[0]))) / px_per_mm
    if apart < LEAST_APART_MM:
        return Refusal("ground", notes.GROUND_SHOWN_ELSEWHERE, f"the two points lie {apart:.0f} mm apart")
    contact = ground_of_taps(wheel, px)
    shape = wheel.shape
    height = contact_line(contact, wheel.fit.camera, wheel.fit.pose, shape)[1]
    outside = shape.outside_diameter / 2
    squashed = (outside - height) / (outside - shape.flange_radius)
    if not LEAST_SQUASHED < squashed < MOST_SQUASHED:
        detail = f"the axle would stand {height:.0f} mm above them, {outside:.0f} mm with no load at all"
        return Refusal("ground", notes.GROUND_SHOWN_ELSEWHERE, detail)
    if np.abs(contact.along_mm).max() > outside:
        return Refusal("ground", notes.GROUND_SHOWN_ELSEWHERE, "a point lies beside the tire")
    return contact


def contradicted(wheel: Wheel, shown: Contact, seen: Contact | None) -> Refusal | None:
    """Return a refusal where the contact seen in the photo is another one than a person showed.

    Neither is believed then: a person who taps along the line on the sidewall, and a shadow's edge that was
    taken for the ground, look the same from here.
    """
    if seen is None:
        return None
    camera, pose, shape = wheel.fit.camera, wheel.fit.pose, wheel.shape
    (angle, height), (other, below) = (contact_line(one, camera, pose, shape) for one in (shown, seen))
    turned = abs((angle - other + 180) % 360 - 180)
    doubts = [u for one in (shown, seen) for u in ground_angle_u(wheel, one).values()]
    most_turned = COVERAGE_FACTOR * float(np.hypot(np.linalg.norm(doubts), APART_U_DEG))
    tap = TAP_U_PX / (camera.f_px / float(pose.centre[2]))
    own = [tap, seen.parting_u_mm, LIP_U_MM * ray_slope(wheel, seen), APART_U_MM]
    most_off = COVERAGE_FACTOR * float(np.linalg.norm(own))
    if turned <= most_turned and abs(height - below) <= most_off:
        return None
    detail = (
        f"{turned:.1f}° and {abs(height - below):.0f} mm from what is seen, "
        f"{most_turned:.1f}° and {most_off:.0f} mm expected at most"
    )
    return Refusal("ground", notes.GROUND_SHOWN_CONTRADICTED, detail)
