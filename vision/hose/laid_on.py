"""Where one photo's ribbon lies on another's, told by what is fixed to the hose.

A weave or a braid repeats itself: laid a pitch further on it fits nearly as well, while its own grain,
faults, clamps and worn places fit in one place only, and so weakly that they drown in it. Both ribbons are
therefore whitened along the hose, each period by its own power, before they are correlated (phase
correlation: Kuglin & Hines, Proc. IEEE Conf. Cybernetics and Society 1975, 163; from memory). A braid may
still lie some pitches off by chance; then each part of it by itself lies somewhere else.
"""

import itertools
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

import cv2
import numpy as np

from vision.hose.course import Array, Picture
from vision.hose.ribbon import Ribbon

ROWS = 32
MOST = 0.5  # ln units: what is stronger counts as much
_LEAST_MATCH = 0.3  # of drawn hoses the same mostly fit by more, others by 0.27 at most
_STANDS_OUT = 1.2  # times the next best shift, else chance
_PARTS, _AGREE, _WITHIN = 3, 2, 3  # of what overlaps; of them; columns
_SCALES = 1.005 ** np.arange(-20, 21)  # of px: half a per cent off is some columns at a ribbon's end
_ROWS_OFF = 2  # that a course may lie beside another's
_REACH = 0.75  # share of the shorter ribbon that may be shifted
_LEAST_COMMON = 4 * ROWS  # columns
_SLOW = 2 * ROWS + 1
_NOISE = 0.5  # of the median power: a period without any is not raised to the others


@dataclass(frozen=True, eq=False)
class Match:
    """A ribbon that is laid on another.

    Attributes
    ----------
    there : (ROWS, C) float32 array
        What is fixed to the hose in it, ln units within ± `MOST`, at the other's scale and turned its way.
    fits : float
        Correlation, whitened, 0 to 1.
    shift : int
        Columns by which it lies further on.
    stands_out : float
        How much surer than any other shift.
    dusty : (ROWS, C) float32 array
        `there` with what brown dust adds left in it.
    """

    there: Picture
    fits: float
    shift: int
    stands_out: float
    dusty: Picture


def laid_on(one: Ribbon, others: Sequence[Ribbon], *, either_way: bool) -> Match | None:
    """Return where the best of some ribbons lies on one; None where none is told from chance.

    `either_way` where nobody told in which order the places follow each other: a clamp turned round fits
    itself, so that a way round which is told is kept to.
    """
    turns = (False, True) if either_way else (False,)
    found = [best for other in others for turned in turns if (best := _best(one, other, turned)) is not None]
    match = max(found, key=lambda match: match.fits, default=None)
    if match is None or match.fits < _LEAST_MATCH or match.stands_out < _STANDS_OUT:
        return None
    return match if _agreeing(_even(one, 1.0, one), match) >= _AGREE else None


def _agreeing(here: Picture, match: Match) -> int:
    """How many parts of what overlaps lie, each by itself, best where the whole does."""
    there = match.there
    size = 1 << (here.shape[1] + there.shape[1]).bit_length()
    mine, white = _white(here, size), _white(there, size)
    ends = max(match.shift, 0), min(here.shape[1], there.shape[1] + match.shift)
    cuts = np.linspace(*ends, _PARTS + 1).astype(int)
    power = np.concatenate([[0.0], np.cumsum((white**2).sum(axis=0))])
    agree = 0
    for first, last in itertools.pairwise(cuts):
        at = np.arange(there.shape[1] - (last - first) + 1)
        both = _correlated(white, mine[:, first:last], size)[at]
        value = both / np.sqrt(np.maximum(power[at + last - first] - power[at], 1e-9))
        agree += abs(first - match.shift - int(np.argmax(value))) <= _WITHIN
    return agree


def _best(one: Ribbon, other: Ribbon, turned: bool) -> Match | None:
    """The surest of all scales and shifts."""
    here = _even(one, 1.0, one)
    tries = [_even(other, float(scale), one, turned=turned) for scale in _SCALES]
    size = 1 << (here.shape[1] + tries[-1].shape[1]).bit_length()
    mine = _white(here, size)
    best: tuple[float, float, Match] | None = None
    for scale, there in zip(_SCALES, tries, strict=True):
        for sure, match in _shifted(mine, there, size):
            if best is None or sure > best[0]:
                best = sure, float(scale), match
    if best is None:
        return None
    _, scale, match = best
    return replace(match, dusty=_even(other, scale, one, turned=turned, dusty=True))


def _even(
    ribbon: Ribbon, scale: float, like: Ribbon, *, turned: bool = False, dusty: bool = False
) -> Picture:
    """What is fixed to the hose, `ROWS` across and as many px along a column as in `like`, times a scale."""
    px = like.strip.step * like.marks.shape[0] / ROWS
    columns = max(8, round(ribbon.marks.shape[1] * ribbon.strip.step / px * scale))
    marks = ribbon.marks + ribbon.dust if dusty and ribbon.dust is not None else ribbon.marks
    small = cv2.resize(marks, (columns, ROWS), interpolation=cv2.INTER_AREA)
    return np.clip(np.ascontiguousarray(small[::-1, ::-1]) if turned else small, -MOST, MOST)


def _white(strip: Picture, size: int) -> Array:
    """The strip (ROWS, C) without slow light and with much the same power in each period along."""
    fine = strip - cv2.blur(strip, (_SLOW, _SLOW))
    waves = np.fft.rfft(fine, size, axis=1)
    power = np.convolve(np.mean(np.abs(waves) ** 2, axis=0), np.full(3, 1 / 3), "same")
    white = np.fft.irfft(waves / np.sqrt(power + _NOISE * np.median(power) + 1e-12), size, axis=1)
    return np.asarray(white[:, : strip.shape[1]], np.float64)


def _shifted(mine: Array, there: Picture, size: int) -> Iterator[tuple[float, Match]]:
    """Yield how sure, and the shift, at which a strip lies best on one that is whitened; none without room.

    A short overlap correlates by chance: the correlation counts times the root of what overlaps.
    """
    long, short = mine.shape[1], there.shape[1]
    reach = min(int(_REACH * min(long, short)), min(long, short) - _LEAST_COMMON)
    if reach < 1:
        return
    white = _white(there, size)
    both = _correlated(mine, white, size)
    power = [np.concatenate([[0.0], np.cumsum((strip**2).sum(axis=0))]) for strip in (mine, white)]
    shifts = np.arange(-reach, reach + 1)
    first, second = np.maximum(shifts, 0), np.maximum(-shifts, 0)
    common = np.minimum(long - first, short - second)
    shared = (power[0][first + common] - power[0][first]) * (power[1][second + common] - power[1][second])
    value = both[shifts % size] / (np.sqrt(np.maximum(shared, 0)) + 1e-9)
    sure = value * np.sqrt(common)
    at = int(np.argmax(sure))
    others = sure[np.abs(shifts - shifts[at]) > ROWS // 2]
    stands_out = float(sure[at] / max(others.max(initial=0.0), 1e-9))
    yield float(sure[at]), Match(there, float(value[at]), int(shifts[at]), stands_out, there)


def _correlated(one: Array, other: Array, size: int) -> Array:
    """Sum of products (size,) at each shift, at the best of some rows aside."""
    waves = [np.fft.rfft(strip, size, axis=1) for strip in (one, other)]
    both = np.full(size, -np.inf)
    for off in range(-_ROWS_OFF, _ROWS_OFF + 1):
        upper, lower = (
            part[max(by, 0) : ROWS + min(by, 0)] for part, by in zip(waves, (off, -off), strict=True)
        )
        both = np.maximum(both, np.fft.irfft((upper * lower.conj()).sum(axis=0), size))
    return both
