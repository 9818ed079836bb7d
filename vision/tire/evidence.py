"""Where on the photo a tire was read, as plain JSON values."""

from typing import Any

import numpy as np
from numpy.typing import NDArray

from vision.level import Level
from vision.results import Refusal
from vision.scale import CameraKnowledge
from vision.tire.contact import Contact
from vision.tire.creep import Mark
from vision.tire.light import pixels_of
from vision.tire.line import Line
from vision.tire.profile import contact_depth, depth_at
from vision.tire.wheel import Wheel

Array = NDArray[np.float64]


def _plain(points: Array) -> Any:
    return np.round(points, 2).tolist()


def wheel_evidence(
    wheel: Wheel, known: CameraKnowledge, px_per_mm: float, unheld: Refusal | None = None
) -> dict[str, Any]:
    """What every result of a photo rests on: the flange, its axle, the scale; a card, or why none.

    `unheld` is why a card that a person told of has no part in it.
    """
    fit = wheel.fit
    turn = np.linspace(0, 2 * np.pi, 73)
    return {
        "flange_px": _plain(fit.camera.project(fit.pose.points(turn))),
        "axle_px": _plain(fit.camera.project(fit.pose.centre[None]))[0],
        # Towards the camera, in its frame: x right, y down, z away.
        "axle_direction": np.round(fit.pose.normal, 5).tolist(),
        "flange_seen_share": round(fit.edge.share, 3),
        "tilt_deg": round(fit.pose.tilt_deg, 2),
        "tilt_u_deg": round(fit.normal_u_deg, 3),
        "turn_told_by": wheel.chosen_by,
        "px_per_mm": round(px_per_mm, 4),
        "blur_px": round(fit.edge.blur_px, 2),
        "focal_source": known.source,
        **({} if wheel.card is None else wheel.card.evidence()),
        **({} if unheld is None else {"card_not_used": unheld.reason}),
    }


def outline_evidence(wheel: Wheel) -> dict[str, Any]:
    """Points of the tire's outline, in order around the wheel."""
    outline = wheel.outline
    middle = wheel.fit.camera.project(wheel.fit.pose.centre[None])[0]
    d = outline.px - middle
    # From the left under the axle clockwise: the gap lies below.
    order = np.argsort(np.arctan2(d[:, 0], -d[:, 1]))
    return {"outline_px": _plain(outline.px[order][::2]), "outline_share": round(outline.share, 3)}


def contact_evidence(wheel: Wheel, contact: Contact) -> dict[str, Any]:
    """The contact line as fitted, and the axle's foot on it."""
    low, high = float(contact.along_mm.min()), float(contact.along_mm.max())
    return {
        "contact_px": _plain(_on_ground(wheel, contact, np.array([low, high]))),
        "foot_px": _plain(_on_ground(wheel, contact, np.zeros(1)))[0],
        "contact_share": round(contact.share, 3),
    }


def _on_ground(wheel: Wheel, contact: Contact, along: Array) -> Array:
    down = contact.ground.down
    right = np.array([down[1], -down[0]])
    xy = contact.ground.distance * down + along[:, None] * right
    z = contact_depth(wheel.shape, contact.ground.distance, along)
    return pixels_of(wheel.fit.camera, wheel.fit.pose, np.column_stack([xy, z]))


def line_evidence(wheel: Wheel, line: Line, level: Level) -> dict[str, Any]:
    """The line's ends, and level drawn through its middle."""
    a = np.radians(level.angle_deg)
    run = np.array([np.cos(a), -np.sin(a)]) * 0.75 * line.length_mm
    xy = line.middle_mm + np.array([[-1.0], [1.0]]) * run
    z = depth_at(wheel.shape, None, *np.repeat(line.middle_mm[None], 2, axis=0).T)
    return {
        "line_px": _plain(line.px[[0, -1]]),
        "level_px": _plain(pixels_of(wheel.fit.camera, wheel.fit.pose, np.column_stack([xy, z]))),
        "line_clock_deg": round(line.clock_deg, 1),
        "line_length_mm": round(line.length_mm, 1),
        "line_width_mm": round(line.width_mm, 2),
        "line_is": "light" if line.contrast > 0 else "dark",
        "level_from": level.source,
        "level_reference": level.reference,
    }


def mark_evidence(wheel: Wheel, mark: Mark, down: Array | None) -> dict[str, Any]:
    """Both parts of the mark along their middles, from the flange edge outward and inward."""
    del wheel
    off = 0.0 if down is None else float(np.degrees(np.arctan2(down[0], down[1])))
    return {
        "tire_mark_px": _plain(mark.tire_px[[0, -1]]),
        "rim_mark_px": _plain(mark.rim_px[[0, -1]]),
        "mark_clock_deg": round((mark.rim.clock_deg + off) % 360, 1),
        "mark_width_mm": round(mark.rim.width_mm, 1),
        "remnants_clock_deg": [round((part.clock_deg + off) % 360, 1) for part in mark.remnants],
    }
