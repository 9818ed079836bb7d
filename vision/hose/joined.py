"""Places set aside close together as the same thing made one: the letters of a print are a print."""

from collections.abc import Sequence
from dataclasses import replace

import cv2
import numpy as np

from vision.hose.result import Flag, Hose

_NEAR = 1.0  # hose widths between two of them
_LONGEST = 5.0  # hose widths: a whole hose's print stays several
_LIKE = ("label", "tape", "drop", "clamp", "fitting")  # what is one thing in several pieces
_EVERY = 64  # points of an outline that are asked


def joined(aside: Sequence[Flag], hoses: Sequence[Hose]) -> list[Flag]:
    """Return what was set aside with neighbours of one kind on one hose made one, in the order of the first.

    The outline of several is their convex hull, px of the photo.
    """
    done: list[Flag] = []
    for flag in aside:
        width = hoses[flag.hose].course.width_px
        while (other := next((one for one in done if _belongs(one, flag, width)), None)) is not None:
            done.remove(other)
            flag = _both(other, flag, hoses[flag.hose])  # noqa: PLW2901 - grows until nothing more is near
        done.append(flag)
    return done


def _belongs(one: Flag, other: Flag, width: float) -> bool:
    if (one.hose, one.kind) != (other.hose, other.kind) or one.kind not in _LIKE:
        return False
    few, others = (line[:: len(line) // _EVERY + 1] for line in (one.outline_px, other.outline_px))
    apart = np.hypot(*(few[:, None] - others[None]).transpose(2, 0, 1))
    return bool(apart.min() < _NEAR * width and apart.max() < _LONGEST * width)


def _both(one: Flag, other: Flag, hose: Hose) -> Flag:
    points = np.concatenate([one.outline_px, other.outline_px])
    hull = cv2.convexHull(points.astype(np.float32))[:, 0].astype(np.float64)
    larger = max(one, other, key=lambda flag: float(np.ptp(flag.outline_px, axis=0).max()))
    scale = hose.px_per_mm
    ends = np.hypot(*(hull[:, None] - hull[None]).transpose(2, 0, 1)).max()
    places = [flag.along_mm for flag in (one, other) if flag.along_mm is not None]
    return replace(
        larger,
        outline_px=hull,
        grade=max(one.grade, other.grade),
        size_mm=None if scale is None else float(ends) / scale,
        along_mm=float(np.mean(places)) if places else None,
    )
