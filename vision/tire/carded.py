"""A wheel with a card held against it: what the card adds to its pose, and whether the two fit together.

A card that contradicts the flange is no witness to be outvoted: one of the leg's data, the copy's print,
the stand-off or the way it was held is wrong, and which one nobody can see. So there is no value.
"""

from dataclasses import dataclass, replace
from typing import Any

import numpy as np

from vision import notes
from vision.leg import TireData
from vision.notes import Note
from vision.results import Refusal
from vision.scale import CameraKnowledge
from vision.wheel import WheelFit
from vision.wheel.card_fit import PARALLEL, PRINT, STAND_OFF, Joint, fit_together
from vision.wheel.held_card import HeldCard, off_parallel

NAME = "wheel"
# 1 in 400 for each of several tests where nothing is wrong.
SIGMAS = 3.0
MOST_SQUARED = 11.8  # the same, of two degrees of freedom
SAME_POSE_DEG = 0.5  # two roots that the card brought so near are one


@dataclass(frozen=True)
class WheelCard:
    """What stands beside every result of a wheel that was fitted together with a card."""

    held: HeldCard
    joint: Joint

    def evidence(self) -> dict[str, Any]:
        """Return where the card was, how it leaned, and what it tells of the flange, as plain JSON values."""
        return {
            "card_px": np.round(self.held.fix.outline_px, 2).tolist(),
            "card_lean_deg": round(self.joint.lean_deg, 2),
            "card_tells_flange_mm": round(self.joint.flange_mm, 1),
        }

    def notes(self) -> list[Note]:
        """Return what is to be said of the card beside each reading."""
        found = []
        if not self.held.told:
            found.append(notes.WHEEL_STAND_OFF_UNKNOWN)
        if not self.held.fix.knowledge.measured:
            found.append(notes.CARD_UNMEASURED)
        if self.held.fix.card.copy_tag is not None and self.held.fix.sighting.copy_number is None:
            found.append(notes.CARD_DIFFERS)
        return found


def with_card(
    fit: WheelFit, other: WheelFit | None, held: HeldCard, tire: TireData, known: CameraKnowledge
) -> tuple[WheelFit, WheelFit | None, WheelCard] | Refusal:
    """Fit a flange's chosen pose, and the one that was left open beside it, together with the card.

    Returns
    -------
    (WheelFit, WheelFit or None, WheelCard) or Refusal
        Refused where card and flange contradict each other.
    """
    joint = _joint(fit, held, tire, known)
    if joint is None:
        return Refusal(NAME, notes.CARD_NOT_IN_WHEEL_PLANE, "no pose explains both")
    fault = contradiction(joint, tire)
    if fault is not None:
        return fault
    second = None if other is None else _joint(other, held, tire, known)
    if other is not None and second is None:
        # That it cannot be fitted with the card does not rule the other way out.
        return Refusal(NAME, notes.ROOTS_UNDECIDED, "beside the card the other way could not be fitted")
    beside = None if second is None or _same(joint.fit, second.fit) else second.fit
    return joint.fit, beside, WheelCard(held, joint)


def contradiction(joint: Joint, tire: TireData) -> Refusal | None:
    """Return the refusal of a card that contradicts the flange, or None."""
    lean, scale = joint.contradictions[PARALLEL], _scale_off(joint)
    # A card that no hand holds so comes first: its scale is of another plane.
    if lean > SIGMAS and lean >= scale:
        return Refusal(NAME, notes.CARD_NOT_IN_WHEEL_PLANE, _leans(joint.lean_deg))
    return Refusal(NAME, notes.WHEEL_SCALES_DISAGREE, _sizes(joint, tire)) if scale > SIGMAS else None


def against_pose(fit: WheelFit, other: WheelFit, held: HeldCard) -> Refusal | None:
    """Return the refusal of a card that is not parallel to the pose that was chosen, or None."""
    lean, squared = off_parallel(fit, held)
    if squared <= MOST_SQUARED:
        return None
    if off_parallel(other, held)[1] <= MOST_SQUARED:
        return Refusal(NAME, notes.ROOTS_UNDECIDED, "the tire's outline and the card tell different ways")
    return Refusal(NAME, notes.CARD_NOT_IN_WHEEL_PLANE, _leans(lean))


def told_by_card(
    refusal: Refusal, fit: WheelFit, held: HeldCard, tire: TireData, known: CameraKnowledge
) -> Refusal:
    """Return the refusal of a circle that does not fit the leg's diameters, with what the card says of it."""
    joint = _joint(fit, held, tire, known)
    if joint is None or _scale_off(joint) <= SIGMAS:
        return refusal
    return replace(refusal, detail=f"{refusal.detail}; {_sizes(joint, tire)}")


def _scale_off(joint: Joint) -> float:
    """Sigmas by which the one scale that the card tells and the other that the flange tells stand apart."""
    return max(joint.contradictions[name] for name in ("flange diameter", STAND_OFF, PRINT))


def _leans(lean_deg: float) -> str:
    return f"it leans {lean_deg:.0f}° against the wheel"


def _sizes(joint: Joint, tire: TireData) -> str:
    return (
        f"by the card the circle is {joint.flange_mm:.0f} mm, the leg says {tire.flange_diameter_mm:.0f} mm"
    )


def _joint(fit: WheelFit, held: HeldCard, tire: TireData, known: CameraKnowledge) -> Joint | None:
    try:
        return fit_together(fit, held, known, tire.flange_diameter_mm, tire.flange_diameter_u_mm)
    except (ValueError, np.linalg.LinAlgError):
        return None


def _same(first: WheelFit, second: WheelFit) -> bool:
    cosine = float(np.clip(first.pose.normal @ second.pose.normal, -1, 1))
    return float(np.degrees(np.arccos(cosine))) < SAME_POSE_DEG
