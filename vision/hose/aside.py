"""What stands out on a hose and is no wear by its form: set aside with its reason, never thrown away."""

import cv2
import numpy as np

from vision.hose.course import Array, Course
from vision.hose.ribbon import Ribbon
from vision.hose.spots import Spot

FLAGGED = ("worn", "wet")  # by the network

_CHROMA = 0.35  # ln units
# A strong rub has a steep border, too: only what is brighter than rubbing makes a cover is set aside.
_NOT_RUBBED = 1.3  # ln units
_SMOOTH = 0.2  # ln units of fine contrast gone
_NO_BRAID = 1.5  # ln units of fine contrast gone
_FADES, _FAINT = 0.055, 0.25  # ln units a row; ln units
_LINE = 5.0  # times as long as it is high in the mean
_SHARP = 0.22  # ln units a row of the ribbon
_BRIGHTER = 0.2  # ln units over the hose's own streak
_BURNT = 0.3  # share
_THIN, _NARROW = 0.1, 0.4  # of the ribbon's rows
_ACROSS = {
    "clamp": "goes right across with straight ends: a clamp, band or sleeve",
    "fitting": "goes right across at the end of what is seen: a fitting",
    "tape": "has another colour and goes right across: tape or paint",
    "sun": "a bar of sun falls over the hose and over what lies beside it",
}
_NAMED = {
    "clamp": "looks like a clamp, clip or tie round the hose",
    "drop": "looks like a drop or a small wet place",
    "fitting": "looks like an end fitting",
    "label": "looks like a label, tape or print",
    "light": "is only brighter or darker than the hose beside it: it may be light or dirt",
    "sun": "looks like sun or light mirrored in the hose",
    "tape": "looks like tape or paint",
}
_ALSO_OUTSIDE = 0.5  # of the place's own contrast


def aside_as(  # noqa: PLR0911, PLR0912 - one answer a line reads as the list that it is
    spot: Spot, ribbon: Ribbon, cover: str
) -> tuple[str, str] | None:
    """Return kind and reason why a place is set aside; None where a person has to judge it."""
    if spot.named in FLAGGED:
        return None
    if spot.goes_across:
        return spot.goes_across, _ACROSS[spot.goes_across]
    rows = ribbon.residual.shape[0]
    height, length = spot.mask.shape
    width = ribbon.rows_a_width
    across = height / rows
    filled = float(spot.mask.mean())
    slope = spot.rise * spot.peak
    at_border = spot.row == 0 or spot.row + height == rows
    if at_border and across < _NARROW and (across < _THIN or _leaks(spot, ribbon)):
        return "edge", "lies along the hose's edge: background or light mirrored at the side"
    if spot.burnt > _BURNT and (across > _NARROW or length > 1.5 * height):
        return "sun", "so bright that the photo shows nothing there: sun or a lamp"
    right_across = across > 0.9 and filled > 0.4 and length < 3.0 * width and _straight(spot)
    if spot.chroma > _CHROMA and spot.rise > 0.1:
        if right_across:
            return "tape", "has another colour and goes right across: tape or paint"
        return "label", "has another colour than the hose: a label, tape or paint"
    if right_across and spot.contrast > 0 and (slope > 0.12 or cover == "metal_braid"):
        at_end = spot.column < 0.5 * width or spot.column + length > ribbon.residual.shape[1] - 0.5 * width
        if at_end:
            return "fitting", "goes right across at the end of what is seen: a fitting or clamp"
        return "clamp", "goes right across: a clamp, fitting, tape or a border of light"
    fades = slope < _FADES and spot.contrast < _FAINT
    thin = length > _LINE * float(spot.mask.sum()) / length and spot.contrast < _FAINT
    if thin or length > 4.0 * width or (length > 2.6 * height and length > 1.2 * width and fades):
        return "streak", "runs along the hose: light mirrored in it"
    if cover != "metal_braid" and _is_drop(spot, ribbon):
        return "drop", "a small glint with a dark side: a drop or a wet place"
    if (
        cover != "metal_braid"
        and spot.over_streak > _BRIGHTER
        and slope > _SHARP
        and spot.contrast > _NOT_RUBBED
    ):
        return (
            "label",
            "is brighter than rubbing makes a cover and has a sharp border: a label, print or a sunlit patch",
        )
    # Frayed fibres are rough; a braid that wears turns dull and never bright.
    smooth = spot.texture < -_SMOOTH or cover == "metal_braid"
    if cover != "rubber" and spot.lies_on and smooth:
        return "label", "hides the weave: a label, tape or print lies over it"
    if cover == "metal_braid" and spot.contrast > _NOT_RUBBED and spot.texture < -_NO_BRAID:
        return "label", "shows no braid at all: tape, a clamp, a label or a sunlit patch lies over it"
    return (spot.named, _NAMED[spot.named]) if spot.named else None


def _straight(spot: Spot) -> bool:
    """Whether both ends are straight, as of what lies round a hose; wear's are round or ragged."""
    rows = np.flatnonzero(spot.mask.any(axis=1))
    first = spot.mask[rows].argmax(axis=1)
    last = spot.mask.shape[1] - spot.mask[rows][:, ::-1].argmax(axis=1)
    off = [np.std(end - np.polyval(np.polyfit(rows, end, 1), rows)) for end in (first, last)]
    return bool(min(off) < max(1.0, 0.06 * spot.mask.shape[1]))


def _leaks(spot: Spot, ribbon: Ribbon) -> bool:
    """Whether it is one with what stands out in the same columns at the limb, beyond it and further out.

    Wear ends at the limb: where the course lies beside the hose's middle it may reach beyond a side, but not
    further out, and a bright ground behind it is parted from it by the dark limb.
    """
    beyond = ribbon.outside[0 if spot.row == 0 else 1]
    first, length = spot.column, spot.mask.shape[1]
    side = max(3, length // 2)
    last = first + length
    near = np.concatenate([beyond[:, max(first - side, 0) : first], beyond[:, last : last + side]], axis=1)
    if not near.size:
        return False
    rise = beyond[:, first:last].mean(axis=1) - np.median(near, axis=1)
    return bool(rise.min() > _ALSO_OUTSIDE * abs(spot.contrast))


def _is_drop(spot: Spot, ribbon: Ribbon) -> bool:
    height, length = spot.mask.shape
    if max(height, length) > 0.35 * ribbon.rows_a_width:
        return False
    pad = max(2, int(0.8 * max(height, length)))
    # Even, or the noise of a dark cover were a dark side.
    near = cv2.blur(
        ribbon.residual[
            max(spot.row - pad, 0) : spot.row + height + pad,
            max(spot.column - pad, 0) : spot.column + length + pad,
        ],
        (3, 3),
    )
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
