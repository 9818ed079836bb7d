"""How much a place on a ribbon stands out from the stretches before and behind it.

Light that is mirrored in a hose comes and goes slowly along it; a rub begins and ends.  Each place is
therefore held against both of its neighbours along the hose, and the brighter neighbour counts.
"""

from collections.abc import Iterator

import cv2
import numpy as np
from numpy.typing import NDArray
from scipy import fft

from vision.hose.course import Array, Picture

_LENGTHS = (0.2, 0.32, 0.5, 0.8, 1.25, 2.0)  # hose widths
_HEIGHTS = (0.16, 0.34)  # hose widths
_LEAST_BOX = 4, 3  # columns, rows
_BOX_SIGMAS = 3.0
_LEAST_KNOWN = 0.3
_NOWHERE = -9.0
_DARKEST = -0.12  # ln units
_SMOOTH_ROWS = 2
_ALL = slice(None)


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
    waves: dict[int, _Waves] = {}
    done = set()
    lengths = [max(_LEAST_BOX[0], round(share * width)) | 1 for share in _LENGTHS]
    longest = max((length for length in lengths if 4 * length <= signal.shape[1]), default=0)
    for share, length in zip(_LENGTHS, lengths, strict=True):
        if length > longest:
            continue
        for part in _HEIGHTS:
            height = max(_LEAST_BOX[1], round(min(part, share) * width)) | 1
            if (length, height) in done:
                continue
            done.add((length, height))
            if height not in waves:
                waves[height] = _Waves(_across(both, height), longest)
            here, flank = (_mean(*waves[height].along(one)) for one in (length, max(3, length // 2) | 1))
            away = length // 2 + max(3, length // 2) // 2 + max(2, length // 5)
            before, behind = _moved(flank, away), _moved(flank, -away)
            beside = np.maximum(before, behind)
            # A dark place (a wet one) makes nothing beside it bright, and where one neighbour is not known,
            # what is steady along stands for it.
            np.maximum(beside, _DARKEST, out=beside)
            one_only = np.minimum(before, behind) <= _NOWHERE
            beside[one_only] = np.maximum(beside[one_only], 0)
            contrast = here - beside
            contrast[here <= _NOWHERE] = 0
            yield contrast, beside, length, height


def spread(contrast: Picture, rows: slice = _ALL) -> Picture:
    """Robust sigma of some rows (R, 1), smoothed over rows."""
    first, last, _ = rows.indices(len(contrast))
    before = min(first, _SMOOTH_ROWS)
    near = contrast[first - before : last + _SMOOTH_ROWS]
    if not near.size:
        return np.zeros((0, 1), np.float32)
    mad = _medians(np.abs(near - _medians(near)))
    even = cv2.blur(np.asarray(1.4826 * mad, np.float32), (1, 2 * _SMOOTH_ROWS + 1))
    return np.asarray(np.maximum(even, 0.008), np.float32)[before : before + last - first]


def _medians(picture: Picture) -> Picture:
    """The middle value of each row (R, 1); of an even number the upper one of the two."""
    half = picture.shape[1] // 2
    return np.asarray(np.partition(picture, half, axis=1)[:, half : half + 1], np.float32)


class _Waves:
    """Weights and weighted signal (R, C, 2) as waves along: however long the box, one product evens them."""

    def __init__(self, both: Picture, longest: int) -> None:
        self._columns = both.shape[1]
        self._room = len(_kernel(longest)) // 2
        self._size = int(fft.next_fast_len(self._columns + 2 * self._room))
        more = self._size - self._columns - self._room
        wide = cv2.copyMakeBorder(both, 0, 0, self._room, more, cv2.BORDER_REFLECT)
        # Both in one transform, as the real and the imaginary part: a symmetric kernel keeps them apart.
        self._waves = fft.fft(wide.view(np.complex64)[..., 0], axis=1)

    def along(self, length: int) -> tuple[Picture, Picture]:
        """Both evened over a box of so many columns, the longest at most; softly, or a weave would beat."""
        kernel = _kernel(length)
        about = np.zeros(self._size)
        about[: len(kernel)] = kernel
        passes = fft.fft(np.roll(about, -(len(kernel) // 2))).real.astype(np.float32)
        even = fft.ifft(self._waves * passes, axis=1, overwrite_x=True)
        even = even[:, self._room : self._room + self._columns]
        return even.real, even.imag


def _across(both: Picture, height: int) -> Picture:
    """The picture (R, C, 2) evened over a box's rows."""
    even = cv2.sepFilter2D(both, -1, np.ones(1), _kernel(height), borderType=cv2.BORDER_REFLECT)
    return np.asarray(even, np.float32)


def _kernel(box: int) -> Array:
    """A Gaussian as wide as a box."""
    return np.asarray(cv2.getGaussianKernel(round(8 * box / _BOX_SIGMAS + 1) | 1, box / _BOX_SIGMAS)[:, 0])


def _mean(total: Picture, value: Picture) -> Picture:
    """Mean about each place, of evened weights and the evened, weighted signal."""
    mean = value / np.maximum(total, 1e-6)
    mean[total <= _LEAST_KNOWN] = _NOWHERE
    return np.asarray(mean, np.float32)


def _moved(picture: Picture, by: int) -> Picture:
    """What lies `by` columns further on; nothing is known beyond the ends."""
    out = np.full_like(picture, _NOWHERE)
    if by > 0:
        out[:, :-by] = picture[:, by:]
    else:
        out[:, -by:] = picture[:, :by]
    return out
