"""What stands out on a hose and is no wear by its form: set aside with its reason, never thrown away."""

import numpy as np

from vision.hose.course import Array, Course
from vision.hose.ribbon import Ribbon
from vision.hose.spots import Spot

_CHROMA = 0.35  # ln units
# A strong rub has a steep border, too: only what is brighter than rubbing makes a cover is set aside.
_NOT_RUBBED = 1.15  # ln units
_NO_BRAID = 1.5  # ln units of fine contrast gone
_FADES, _FAINT = 0.055, 0.25  # ln units a row; ln units
_SHARP = 0.22  # ln units a row of the ribbon


def aside_as(  # noqa: PLR0911 - one answer a line reads as the list that it is
    spot: Spot, ribbon: Ribbon, cover: str
) -> tuple[str, str] | None:
    """Return kind and reason why a place is set aside; None where a person has to judge it."""
    rows = ribbon.residual.shape[0]
    height, length = spot.mask.shape
    width = ribbon.rows_a_width
    across = height / rows
    filled = float(spot.mask.mean())
    slope = spot.rise * spot.peak
    at_border = spot.row == 0 or spot.row + height == rows
    if at_border and across < 0.4 and (across < 0.2 or length > 1.5 * height):
        return "edge", "lies along the hose's edge: background or light mirrored at the side"
    if spot.chroma > _CHROMA and spot.rise > 0.1:
        return "colour", "has another colour than the hose: tape, a label or paint"
    if across > 0.93 and filled > 0.4 and length < 3.0 * width and (slope > 0.12 or cover == "metal_braid"):
        return "band", "goes right across: a clamp, fitting, tape, label or a border of light"
    fades = slope < _FADES and spot.contrast < _FAINT
    if length > 4.0 * width or (length > 2.6 * height and length > 1.2 * width and fades):
        return "streak", "runs along the hose: light mirrored in it"
    if _is_drop(spot, ribbon):
        return "drop", "a small glint with a dark side: a drop or a wet place"
    if cover != "metal_braid" and slope > _SHARP and spot.contrast > _NOT_RUBBED:
        return (
            "sharp",
            "has a sharp border, which rubbing does not make: a label, a clamp, print or a sunlit patch",
        )
    if cover == "metal_braid" and spot.contrast > _NO_BRAID:
        return "sharp", "shows no braid at all: tape, a clamp, a label or a sunlit patch lies over it"
    return None


def _is_drop(spot: Spot, ribbon: Ribbon) -> bool:
    height, length = spot.mask.shape
    if max(height, length) > 0.35 * ribbon.rows_a_width:
        return False
    pad = max(2, int(0.8 * max(height, length)))
    near = ribbon.residual[
        max(spot.row - pad, 0) : spot.row + height + pad,
        max(spot.column - pad, 0) : spot.column + length + pad,
    ]
    return float(np.quantile(near, 0.08)) < -0.25 and spot.peak > 0.3


def hidden(line: Array, others: list[Course]) -> bool:
    """Whether a place (N, 2), px, lies mostly where another hose crosses or runs close by."""
    for other in others:
        away = np.hypot(
            *(line[:, None] - other.points[None, :: max(1, int(other.width_px / 4))]).transpose(2, 0, 1)
        )
        if float(np.mean(away.min(axis=1) < 1.3 * np.median(other.radius))) > 0.4:
            return True
    return False
