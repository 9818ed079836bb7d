"""How much a place on a ribbon stands out from the stretches before and behind it.

Light that is mirrored in a hose comes and goes slowly along it; a rub begins and ends.  Each place is
therefore held against both of its neighbours along the hose, and the brighter neighbour counts.
"""

from collections.abc import Iterator

import cv2
import numpy as np
from numpy.typing import NDArray

from vision.hose.course import Picture

_LENGTHS = (0.2, 0.32, 0.5, 0.8, 1.25, 2.0)  # hose widths
_HEIGHTS = (0.16, 0.34)  # hose widths
_LEAST_BOX = 4, 3  # columns, rows
_BOX_SIGMAS = 3.0
_LEAST_KNOWN = 0.3
_NOWHERE = -9.0
_DARKEST = -0.12  # ln units


def contrasts(
    signal: Picture, known: NDArray[np.bool_], width: float
) -> Iterator[tuple[Picture, Picture, int, int]]:
    """Yield for each size: contrast, level of the brighter neighbour, box length and height.

    Parameters
    ----------
    signal : (R, C) float32 array
        What wear raises.
    known : (R, C) bool array
        False where something else lies on the hose: it is nobody's neighbour.
    width : float
        Rows that the hose's whole width takes.
    """
    weight = known.astype(np.float32)
    both = np.dstack([weight, signal * weight])
    done = set()
    for share in _LENGTHS:
        length = max(_LEAST_BOX[0], round(share * width)) | 1
        if 4 * length > signal.shape[1]:
            continue
        along = None
        for part in _HEIGHTS:
            height = max(_LEAST_BOX[1], round(min(part, share) * width)) | 1
            if (length, height) in done:
                continue
            done.add((length, height))
            if along is None:
                along = [_along(both, one) for one in (length, max(3, length // 2) | 1)]
            here, flank = (_mean(one, height) for one in along)
            away = length // 2 + max(3, length // 2) // 2 + max(2, length // 5)
            before, behind = _moved(flank, away), _moved(flank, -away)
            beside = np.maximum(before, behind)
            # Where one neighbour is not known, what is steady along stands for it; a dark place (a wet
            # one) makes nothing beside it bright.
            one_only = np.minimum(before, behind) <= _NOWHERE
            beside = np.maximum(beside, np.where(one_only, 0.0, _DARKEST))
            lost = here <= _NOWHERE
            contrast = np.where(lost, 0, here - beside)
            yield contrast.astype(np.float32), beside.astype(np.float32), length, height


def spread(contrast: Picture) -> Picture:
    """Robust sigma of each row (R, 1), smoothed over rows."""
    mad = _medians(np.abs(contrast - _medians(contrast)))
    even = cv2.blur(np.asarray(1.4826 * mad, np.float32), (1, 5))
    return np.asarray(np.maximum(even, 0.008), np.float32)


def _medians(picture: Picture) -> Picture:
    """The middle value of each row (R, 1); of an even number the upper one of the two."""
    half = picture.shape[1] // 2
    return np.asarray(np.partition(picture, half, axis=1)[:, half : half + 1], np.float32)


def _along(both: Picture, length: int) -> Picture:
    """Weights and weighted signal (R, C, 2) evened along; softly, or a weave would beat with a box."""
    return _blurred(both, (length, 0))


def _mean(along: Picture, height: int) -> Picture:
    """Mean about each place of what is evened along, evened across, too."""
    total, value = cv2.split(_blurred(along, (0, height)))
    mean = value / np.maximum(total, 1e-6)
    return np.asarray(np.where(total > _LEAST_KNOWN, mean, _NOWHERE), np.float32)


def _blurred(picture: Picture, box: tuple[int, int]) -> Picture:
    """The picture (R, C, 2) evened over a box's columns and rows."""
    x, y = (
        cv2.getGaussianKernel(round(8 * one / _BOX_SIGMAS + 1) | 1, one / _BOX_SIGMAS) if one else np.ones(1)
        for one in box
    )
    return np.asarray(cv2.sepFilter2D(picture, -1, x, y, borderType=cv2.BORDER_REFLECT), np.float32)


def _moved(picture: Picture, by: int) -> Picture:
    """What lies `by` columns further on; nothing is known beyond the ends."""
    out = np.full_like(picture, _NOWHERE)
    if by > 0:
        out[:, :-by] = picture[:, by:]
    else:
        out[:, -by:] = picture[:, :by]
    return out
