"""Two photos of one hose: what is on the hose stays on its ribbon, what is mirrored in it slides."""

from collections.abc import Sequence

import cv2
import numpy as np

from vision import notes
from vision.hose.course import Picture
from vision.hose.result import Flag, Searched
from vision.hose.ribbon import Ribbon
from vision.hose.search import NAME, Laid, Tap, lay_hoses, told
from vision.leg import HoseData
from vision.photo import Photo
from vision.results import Refusal

_ROWS = 32
_STAYS_PX = 3.0
_MOST = 0.5  # ln units: what is stronger counts as much
_SLACK = 0.4  # hose widths that a place may lie off along: the two ribbons are not equally long
_STILL_THERE = 0.35  # of its contrast
_LEAST_MATCH = 0.25
_STANDS_OUT = 1.3  # times the next best shift, else chance
_SCALES = (0.88, 0.91, 0.94, 0.97, 1.0, 1.03, 1.06, 1.09, 1.13)  # widths are read a few per cent apart
_REACH = 0.75  # share of the shorter ribbon that may be shifted


def search_pair(
    photo: Photo,
    second: Photo,
    hoses: Sequence[HoseData] = (),
    taps: Sequence[Tap] = (),
    px_per_mm: float | None = None,
    second_taps: Sequence[Tap] = (),
) -> Searched | Refusal:
    """Search one photo's hoses and drop what does not stay on them in a second one.

    Parameters
    ----------
    photo, second : Photo
        The second from 100 mm or more further along the hose; only a second one from the same place is
        told from that, not one from too near.
    hoses, taps, px_per_mm
        As for `search_hoses`; taps are of the first photo.
    second_taps : sequence of Tap
        The same hoses shown in the second photo, in the same order of places; a hose is held against the
        one of its name.  Without them the second photo's hoses are looked for.

    Returns
    -------
    Searched or Refusal
        What slides is set aside as ``"slides"``.  A refusal where a hose is not found in one of
        them, where they cannot be laid on each other, or where nothing has moved between them.
    """
    first = lay_hoses(photo, hoses, taps, px_per_mm)
    if isinstance(first, Refusal):
        return first
    if _same_place(photo, second):
        return Refusal(NAME, notes.HOSE_PAIR_NO_SHIFT)
    other = lay_hoses(second, hoses, second_taps, px_per_mm)
    if isinstance(other, Refusal):
        return other
    result = told(first, bool(taps))
    matched = {index: _matched(one, _same_name(one, other)) for index, one in enumerate(first)}
    if all(match is None for match in matched.values()):
        return Refusal(NAME, notes.HOSE_PAIR_NOT_MATCHED)
    flags: list[Flag] = []
    aside = list(result.set_aside)
    for flag in result.flags:
        match = matched[flag.hose]
        if match is None or _stays(flag, first[flag.hose], match):
            flags.append(flag)
        else:
            why = "is not in this place on the hose in the second photo: light mirrored in it"
            aside.append(
                Flag(flag.outline_px, flag.hose, flag.grade, flag.size_mm, flag.along_mm, why, "slides")
            )
    return Searched(flags, aside, result.hoses, result.notes)


def _same_name(one: Laid, others: Sequence[Laid]) -> Sequence[Laid]:
    """Those of one hose's name, or all where none has it."""
    return [other for other in others if one.hose.name and other.hose.name == one.hose.name] or others


def _same_place(photo: Photo, second: Photo) -> bool:
    """Whether the two pictures lie on each other as they are: nothing has moved."""
    size = (320, 240)
    one, two = (
        cv2.resize(cv2.cvtColor(p.pixels, cv2.COLOR_RGB2GRAY), size, interpolation=cv2.INTER_AREA).astype(
            np.float32
        )
        for p in (photo, second)
    )
    window = cv2.createHanningWindow(size, cv2.CV_32F)
    (dx, dy), response = cv2.phaseCorrelate(one, two, window)
    return response > 0.3 and float(np.hypot(dx, dy)) < 0.02 * size[0]


def _matched(one: Laid, others: Sequence[Laid]) -> tuple[Picture, float, int] | None:
    """Return the second ribbon's residual, how well it fits, and its shift in columns."""
    best: tuple[float, Picture, float, int, float] | None = None
    here = _even(one.ribbon)
    for other in others:
        whole = _even(other.ribbon)
        for scale in _SCALES:
            size = (round(scale * whole.shape[1]), _ROWS)
            even = np.asarray(cv2.resize(whole, size, interpolation=cv2.INTER_AREA), np.float32)
            for there in (even, np.ascontiguousarray(even[::-1, ::-1])):
                fit = _shifted(here, there)
                if fit is not None and (best is None or fit[0] > best[0]):
                    best = (fit[0], there, *fit[1:])
    if best is None or best[2] < _LEAST_MATCH or best[4] < _STANDS_OUT:
        return None
    return best[1:4]


def _even(ribbon: Ribbon) -> Picture:
    """Residual with texture kept and slow light taken away, `_ROWS` across."""
    columns = max(8, round(ribbon.marks.shape[1] * _ROWS / ribbon.marks.shape[0]))
    small = cv2.resize(ribbon.marks, (columns, _ROWS), interpolation=cv2.INTER_AREA)
    return np.asarray(np.clip(small, -_MOST, _MOST), np.float32)


def _shifted(here: Picture, there: Picture) -> tuple[float, float, int, float] | None:
    """Return how sure, correlation, shift (columns) at which two strips lie best on each other, and how far
    that stands out from any other.

    A short overlap correlates by chance: the correlation counts times the root of what overlaps.
    """
    long, short = here.shape[1], there.shape[1]
    reach = min(int(_REACH * min(long, short)), min(long, short) - 4 * _ROWS)
    if reach < 1:
        return None
    fine = [(strip - cv2.blur(strip, (9, 9))).astype(np.float64) for strip in (here, there)]
    size = 1 << (long + short).bit_length()
    one, two = (np.fft.rfft(strip, size, axis=1) for strip in fine)
    both = np.fft.irfft((one * two.conj()).sum(axis=0), size)
    power = [np.concatenate([[0.0], np.cumsum((strip**2).sum(axis=0))]) for strip in fine]
    shifts = np.arange(-reach, reach + 1)
    first, second = np.maximum(shifts, 0), np.maximum(-shifts, 0)
    common = np.minimum(long - first, short - second)
    shared = (power[0][first + common] - power[0][first]) * (power[1][second + common] - power[1][second])
    value = both[shifts % size] / (np.sqrt(np.maximum(shared, 0)) + 1e-9)
    sure = value * np.sqrt(common)
    at = int(np.argmax(sure))
    others = sure[np.abs(shifts - shifts[at]) > _ROWS // 2]
    stands_out = float(sure[at] / max(others.max(initial=0.0), 1e-9))
    return float(sure[at]), float(value[at]), int(shifts[at]), stands_out


def _stays(flag: Flag, one: Laid, match: tuple[Picture, float, int]) -> bool:
    """Whether the second ribbon is brighter, too, where the flag lies."""
    there, _, shift = match
    known = 0.5 * _ROWS
    scale = _ROWS / one.ribbon.residual.shape[0]
    spots = [spot for spot in one.spots if _is(flag, spot, one)]
    if not spots:
        return True
    spot = spots[0]
    row, column = (spot.row + spot.mask.shape[0] / 2) * scale, (spot.column + spot.mask.shape[1] / 2) * scale
    column -= shift
    if not known <= column < there.shape[1] - known:
        return True  # not in the second photo, or at its border: nothing is told
    raised = -there if one.hose.cover == "metal_braid" else there
    box = [max(3, int(side * scale * 0.6)) | 1 for side in spot.mask.shape]
    even = cv2.blur(np.ascontiguousarray(raised), (box[1], box[0]))
    up, along = max(2, int(_STAYS_PX * scale)), int(_SLACK * _ROWS)
    part = even[
        max(int(row) - up, 0) : int(row) + up + 1, max(int(column) - along, 0) : int(column) + along + 1
    ]
    return bool(part.size and float(part.max()) > _STILL_THERE * min(spot.contrast, _MOST))


def _is(flag: Flag, spot: object, one: Laid) -> bool:
    from vision.hose.spots import Spot, outline  # noqa: PLC0415

    assert isinstance(spot, Spot)
    line = outline(spot, one.ribbon)
    return line.shape == flag.outline_px.shape and bool(np.allclose(line, flag.outline_px))
