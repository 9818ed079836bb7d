"""Everything in a photo that tells what is level, in the frame of the wheel that was found."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from vision.camera import Camera
from vision.level import Level, from_gravity, from_ground_line, from_horizon, from_level_edge, from_plumb_line
from vision.level.witness import TAP_U_PX
from vision.photo import Photo
from vision.tire.contact import (
    ONE_ENDED_U_DEG,
    Contact,
    contact_line,
    curve_prior,
    ground_places,
    straight,
)
from vision.tire.profile import Ground, contact_depth
from vision.tire.wheel import Wheel
from vision.wheel import CirclePose

Array = NDArray[np.float64]
Places = Sequence[tuple[float, float]]

GROUND, GROUND_TAPS = "ground contact", "ground contact, two taps"


@dataclass(frozen=True)
class Told:
    """What a person showed on the photo, in its pixels.

    Attributes
    ----------
    rim_px : (N ≥ 5, 2) array or None
        Points around the flange's outer edge.
    ground_px : (2, 2) array or None
        Two points where the tire meets the ground, in the middle half of the contact.
    plumb_px : (2, 2) array or None
        Two points on a plumb line, or on a building's upright edge.
    horizon_px : (2, 2) array or None
        Two points far apart on the horizon.
    level_edge : (3,) array or None
        Direction in the camera's frame of an edge held level, such as a card's.
    level_edge_u_deg : float
        Its standard uncertainty, and that of the hand that held it level.
    """

    rim_px: Array | None = None
    ground_px: Array | None = None
    plumb_px: Array | None = None
    horizon_px: Array | None = None
    level_edge: Array | None = None
    level_edge_u_deg: float = 0.4

    @classmethod
    def of(
        cls, rim: Places | None, ground: Places | None, plumb: Places | None, horizon: Places | None = None
    ) -> "Told":
        """Return what plain (x, y) places tell, px of the upright photo; None where nothing was shown."""

        def array(places: Places | None) -> Array | None:
            return None if places is None else np.array(places, float)

        return cls(array(rim), array(ground), array(plumb), array(horizon))


def ground_of_taps(wheel: Wheel, px: Array) -> Contact:
    """Return the contact that two taps (2, 2) px show."""
    camera, pose, shape = wheel.fit.camera, wheel.fit.pose, wheel.shape
    ground = Ground(np.array([0.0, 1.0]), 0.82 * shape.outside_diameter / 2)
    contact = Contact(px, np.zeros(2), 0.0, ground, 1.0, float("nan"))
    for _ in range(4):
        angle, height = contact_line(contact, camera, pose, shape)
        a = np.radians(angle)
        ground = Ground(np.array([np.sin(a), np.cos(a)]), height)
        along, _ = ground_places(camera, pose, shape, ground, px)
        scale = camera.f_px / float(pose.centre[2])
        contact = Contact(px, along, TAP_U_PX / scale, ground, 1.0, float("nan"))
    return contact


def ground_angle_u(wheel: Wheel, contact: Contact) -> dict[str, float]:
    """Return the standard uncertainties (deg) of the contact's angle that are its own, by source."""
    length = max(float(np.ptp(contact.along_mm)), 1.0)
    if len(contact.px) == 2:
        own = np.degrees(np.sqrt(2) * contact.sigma_mm / length)
    else:
        curve = curve_prior(wheel.fit.camera, wheel.fit.pose, contact.ground, contact.px)
        _, inverse = straight(contact.along_mm, np.zeros(len(contact.px)), curve)
        own = np.degrees(np.sqrt(inverse[1, 1])) * max(contact.sigma_mm / 0.2, 0.75)
    fit = wheel.fit
    lopsided = ONE_ENDED_U_DEG * (1 + 3 * np.tan(np.radians(min(fit.pose.tilt_deg, 50))))
    return {"ground contact": float(own), "contact's ends": float(lopsided)}


def all_levels(
    photo: Photo, wheel: Wheel, contact: Contact | None, told: Told, gravity_offset_deg: float | None
) -> list[Level]:
    """Return every witness of level in the photo, in the wheel's frame; the offset is the phone's own."""
    fit, shape = wheel.fit, wheel.shape
    levels: list[Level] = []
    if contact is not None:

        def angle(pose: CirclePose, camera: Camera) -> float:
            return contact_line(contact, camera, pose, shape)[0]

        own = float(np.sqrt(sum(u * u for u in ground_angle_u(wheel, contact).values())))
        source = GROUND_TAPS if told.ground_px is not None else GROUND
        levels.append(from_ground_line(fit, angle, own, source))
    if photo.facts.gravity is not None:
        level = from_gravity(fit, np.array(photo.facts.gravity), offset_deg=gravity_offset_deg)
        levels += [] if level is None else [level]
    if told.plumb_px is not None:
        levels.append(from_plumb_line(fit, told.plumb_px))
    if told.horizon_px is not None:
        level = from_horizon(fit, told.horizon_px)
        levels += [] if level is None else [level]
    if told.level_edge is not None:
        levels.append(from_level_edge(fit, told.level_edge, told.level_edge_u_deg))
    return levels


def ray_slope(wheel: Wheel, contact: Contact) -> float:
    """Return how fast a ray at the contact falls: mm down for one mm into the wheel."""
    fit = wheel.fit
    ray = fit.camera.rays(contact.px).mean(axis=0)
    x, y, z = fit.pose.frame
    down = contact.ground.down[0] * x + contact.ground.down[1] * y
    return float((ray @ down) / (ray @ z))


def depth_below_middle(wheel: Wheel, contact: Contact) -> float:
    """Return how far (mm) the contact's front edge lies before the tire's middle plane."""
    z = contact_depth(wheel.shape, contact.ground.distance, np.zeros(1))
    return float(wheel.shape.section[3] - z[0])
