"""Sizes on hoses by a card that lies beside them."""

from dataclasses import replace

import cv2
import numpy as np

from vision import notes
from vision.hose.result import Coverage, Flag, Hose, Searched
from vision.notes import Note
from vision.scale import CardPlane

_LEAST_NEAR_PX = 20  # of a course
_AGREE = 0.15  # a card 70 mm before or behind a hose half a metre away


def sized_by_card(found: Searched, plane: CardPlane) -> Searched:
    """Return a search with its sizes told by the card where it lies near the hose, else as they were.

    Where the hose's diameter tells a scale that differs by more than 15 %, the card does not lie beside the
    hose, and the diameter's stands.
    """
    scales = [_scale(hose, plane) for hose in found.hoses]
    said: list[Note] = [note for note in found.notes if note is not notes.HOSE_NO_SCALE]
    agree = [
        scale is not None and _agrees(hose, scale) for hose, scale in zip(found.hoses, scales, strict=True)
    ]
    if any(scale is not None and not good for scale, good in zip(scales, agree, strict=True)):
        said.append(notes.HOSE_CARD_ELSEWHERE)
    by = [scale if good else None for scale, good in zip(scales, agree, strict=True)]
    hoses = [_hose(hose, scale) for hose, scale in zip(found.hoses, by, strict=True)]
    if any(scale is not None for scale in by):
        said.append(notes.HOSE_CARD_SCALE)
    if any(hose.diameter_mm is None for hose in hoses):
        said.append(notes.HOSE_NO_SCALE)
    flags, aside = (
        [_flag(flag, found.hoses[flag.hose], by[flag.hose], plane) for flag in some]
        for some in (found.flags, found.set_aside)
    )
    return Searched(flags, aside, hoses, said)


def _scale(hose: Hose, plane: CardPlane) -> float | None:
    """The card's px/mm at a hose, None where none of it lies near the card."""
    near = hose.course.points[plane.near(hose.course.points)]
    return float(np.median(plane.px_per_mm(near))) if len(near) >= _LEAST_NEAR_PX else None


def _agrees(hose: Hose, scale: float) -> bool:
    return hose.px_per_mm is None or abs(scale / hose.px_per_mm - 1) <= _AGREE


def _hose(hose: Hose, scale: float | None) -> Hose:
    """A hose of unknown diameter gets the one that the card tells."""
    if scale is None or hose.diameter_mm is not None:
        return hose
    seen = hose.coverage
    length = Coverage(seen.seen, seen.facing, seen.length_px, seen.length_px / scale)
    return replace(hose, diameter_mm=hose.course.width_px / scale, coverage=length)


def _flag(flag: Flag, hose: Hose, scale: float | None, plane: CardPlane) -> Flag:
    if scale is None:
        return flag
    mm = plane.longest_mm(flag.outline_px)
    if mm is None:  # farther along than the card tells
        mm = flag.size_mm or float(max(cv2.minAreaRect(flag.outline_px.astype(np.float32))[1])) / scale
    along = flag.along_mm
    if along is None:
        middle = flag.outline_px.mean(axis=0)
        along = float(np.hypot(*(hose.course.points - middle).T).argmin()) / scale
    return replace(flag, size_mm=mm, along_mm=along)
