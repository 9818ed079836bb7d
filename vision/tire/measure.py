"""One photo, one tire: how its line stands, whether it has crept, how far it is squashed."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any

import numpy as np
from numpy.typing import NDArray

from vision import notes, quality
from vision.camera_file import CameraFile
from vision.leg import Leg, TireData
from vision.level import Level
from vision.notes import Note
from vision.photo import Photo
from vision.results import Refusal, Result
from vision.scale import CameraKnowledge, camera_knowledge, other_leg
from vision.tire import evidence
from vision.tire.contact import Contact, find_contact
from vision.tire.creep import find_mark
from vision.tire.ground_shown import contradicted, shown_ground
from vision.tire.levels import Told, all_levels, ray_slope
from vision.tire.line import Scene
from vision.tire.profile import USUAL_DEFLECTION, Shape, usual_ground
from vision.tire.readings import Measured, creep_results, line_result, size_results
from vision.tire.section import section_of
from vision.tire.wheel import Wheel, find_wheel
from vision.wheel.held_card import ToldCard, hold_card

Array = NDArray[np.float64]

LEAST_PX_PER_MM = 1.0
STEEPEST = 0.48  # mm that a ray falls for one mm into the wheel, at the contact
MOST_DARK = 0.5  # of the picture's middle: what a lit tire of black rubber alone does not reach
UNUSUAL_WIDTH_U = 0.2  # of the contact's width over the section's; judged
LINE, CREEP_ANGLE, CREEP_ARC = "pressure_line_angle", "creep_angle", "creep_arc"
OUTSIDE, LOADED, DEFLECTION = "outside_diameter", "loaded_radius", "deflection"


@dataclass(frozen=True)
class TireMeasurement:
    """What was asked of one tire.

    Attributes
    ----------
    results : tuple of Reading or Refusal
        In the contract's order.
    level_from : str or None
        Which witness told level; None where none did.
    """

    results: tuple[Result, ...]
    level_from: str | None


def measure_tire(
    photo: Photo,
    leg: Leg,
    *,
    camera: CameraFile | None = None,
    told: Told | None = None,
    card: ToldCard | None = None,
) -> TireMeasurement:
    """Measure one tire on one photo.

    Parameters
    ----------
    photo : Photo
    leg : Leg
        With complete tire data.
    camera : CameraFile, optional
        Calibration as it lies in this photo (`CameraFile.check_fits`).
    told : Told, optional
        What a person showed on the photo where the program could not see it by itself.
    card : ToldCard, optional
        A scale card held flat against the wheel; nothing is looked for where none is told.

    Returns
    -------
    TireMeasurement
        ``pressure_line_angle`` (line minus level, deg) where the leg's data have a line, ``creep_angle``
        (tire part minus rim part, deg) and ``creep_arc`` (mm at the flange edge) where they have a limit
        for it, and always ``outside_diameter``, ``loaded_radius`` (mm) and ``deflection`` (share).

    Raises
    ------
    vision.errors.LegError
        When the leg's tire data are incomplete.
    vision.errors.CardError
        When the check bars are not those of the card in the photo.
    """
    tire = leg.require_tire()
    told = told or Told()
    names = asked(tire)
    early = _unfit(photo, leg)
    if early is not None:
        return _all_refused(names, early)
    known = camera_knowledge(photo, camera)
    held = None if card is None else hold_card(photo, card, known)
    unheld = held if isinstance(held, Refusal) else None
    wheel = find_wheel(photo, tire, known, told.rim_px, None if isinstance(held, Refusal) else held)
    if isinstance(wheel, Refusal):
        return _all_refused(names, _why_unseen(photo, wheel))
    scale = known.f_px / float(wheel.fit.pose.centre[2])
    seen = evidence.wheel_evidence(wheel, known, scale, unheld)
    if scale < LEAST_PX_PER_MM:
        return _all_refused(names, Refusal("wheel", notes.WHEEL_TOO_SMALL, f"{scale:.1f} px per mm", seen))
    if wheel.fit.edge.blur_px > quality.BLUR_REFUSED_PX:
        detail = f"edges {wheel.fit.edge.blur_px:.1f} px soft"
        return _all_refused(names, Refusal("wheel", notes.WHEEL_BLURRED, detail, seen))
    offset = None if camera is None else camera.gravity_offset_deg
    remarks = tuple(_remarks(wheel, known, scale, unheld))
    return _measured(photo, tire, wheel, told, scale, offset, seen, remarks)


def asked(tire: TireData) -> tuple[str, ...]:
    """Return the names of the results that a leg's data ask for, in order."""
    names = [LINE] if tire.line != "none" else []
    if tire.creep_limit_mm is not None:
        names += [CREEP_ANGLE, CREEP_ARC]
    return (*names, OUTSIDE, LOADED, DEFLECTION)


def _measured(
    photo: Photo, tire: TireData, wheel: Wheel, told: Told, scale: float, gravity_offset_deg: float | None,
    seen: Mapping[str, Any], remarks: tuple[Note, ...],
) -> TireMeasurement:  # fmt: skip
    fit = wheel.fit
    contact = _contact(photo, wheel, told, scale)
    if isinstance(contact, Refusal):
        return _all_refused(asked(tire), replace(contact, evidence=seen))
    steep = contact is not None and ray_slope(wheel, contact) > STEEPEST
    if steep:
        contact = None
    if contact is not None:
        wheel = replace(wheel, shape=_unusual(wheel.shape, contact.ground.distance))
    levels = all_levels(photo, wheel, contact, told, gravity_offset_deg)
    down = _down(wheel, contact, levels)
    ground = usual_ground(wheel.shape, down) if contact is None else contact.ground
    section = section_of(wheel)
    measured = Measured(photo, tire, wheel, contact, ground, levels, remarks, scale, seen, section)
    results: list[Result] = []
    level_from: str | None = None
    if tire.line != "none":
        scene = None if down is None else Scene(photo, fit.camera, fit.pose, wheel.shape, ground, down, scale)
        line, level_from = line_result(measured, scene)
        results.append(line)
    elif levels:
        level_from = min(levels, key=lambda level: level.u_deg).source
    if tire.creep_limit_mm is not None:
        mark = find_mark(photo, fit.camera, fit.pose, wheel.shape, ground, scale)
        results += creep_results(measured, mark, down)
    results += size_results(measured)
    return TireMeasurement(tuple(results), level_from)


def _contact(photo: Photo, wheel: Wheel, told: Told, scale: float) -> Contact | Refusal | None:
    if told.ground_px is None:
        return _seen_contact(photo, wheel)
    shown = shown_ground(wheel, told.ground_px, scale)
    if isinstance(shown, Refusal):
        return shown
    against = contradicted(wheel, shown, _seen_contact(photo, wheel))
    return shown if against is None else against


def _seen_contact(photo: Photo, wheel: Wheel) -> Contact | None:
    down = None
    gravity = photo.facts.gravity
    if gravity is not None:
        x, y, _ = wheel.fit.pose.frame
        flat = np.array([x @ gravity, y @ gravity])
        size = float(np.linalg.norm(flat))
        down = flat / size if size > 0.5 else None
    return find_contact(photo, wheel.fit.camera, wheel.fit.pose, wheel.shape, down)


def _unusual(shape: Shape, distance: float) -> Shape:
    """A tire squashed more or less than in use stands on a width that nobody knows well."""
    half = shape.outside_diameter / 2
    deflection = (half - distance) / (half - shape.flange_radius)
    if USUAL_DEFLECTION[0] < deflection < USUAL_DEFLECTION[1]:
        return shape
    return replace(shape, contact_off_u=UNUSUAL_WIDTH_U)


def _down(wheel: Wheel, contact: Contact | None, levels: Sequence[Level]) -> Array | None:
    """The direction that clock angles count from: across the ground, else across what is level."""
    if contact is not None:
        return contact.ground.down
    if not levels:
        return None
    a = np.radians(min(levels, key=lambda level: level.u_deg).angle_deg)
    return np.array([np.sin(a), np.cos(a)])


def _unfit(photo: Photo, leg: Leg) -> Refusal | None:
    height, width = photo.pixels.shape[:2]
    if max(height, width) < quality.SMALLEST_LONG_SIDE:
        return Refusal("wheel", notes.TOO_SMALL, f"{width} × {height} px")
    return other_leg("wheel", leg, photo)


def _why_unseen(photo: Photo, refusal: Refusal) -> Refusal:
    """A wheel that was not found in the dark, or in a photo without one sharp edge: it says so."""
    if refusal.remedy == notes.WHEEL_NOT_FOUND and quality.dark_share(photo) > MOST_DARK:
        return Refusal(refusal.name, notes.WHEEL_DARK)
    spread = quality.edge_spread_px(photo)
    if spread > quality.BLUR_WITHOUT_CARD_PX:
        size = "" if np.isinf(spread) else f"edges about {spread:.0f} px soft"
        return Refusal(refusal.name, notes.WHEEL_BLURRED, size)
    return refusal


def _all_refused(names: Sequence[str], refusal: Refusal) -> TireMeasurement:
    return TireMeasurement(tuple(replace(refusal, name=name) for name in names), None)


def _remarks(wheel: Wheel, known: CameraKnowledge, scale: float, unheld: Refusal | None) -> list[Note]:
    found = [notes.GAUGE_NOT_REPLACED]
    if known.source.startswith("no focal"):
        found.append(notes.FOCAL_UNKNOWN)
    elif not known.source.startswith("calibration"):
        found.append(notes.FOCAL_NOT_CALIBRATED)
    if wheel.shape.width_assumed:
        found.append(notes.SECTION_ASSUMED)
    if wheel.other is not None:
        found.append(notes.ROOT_OPEN)
    if unheld is not None:
        found.append(notes.WHEEL_CARD_NOT_USED)
    if wheel.card is not None:
        found += wheel.card.notes()
    if scale < quality.FEW_PX_PER_MM:
        found.append(notes.WHEEL_FEW_PIXELS)
    if wheel.fit.edge.blur_px > quality.BLUR_NOTE_PX:
        found.append(notes.SOFT)
    return found
