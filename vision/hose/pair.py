"""Two photos of one hose: what is on the hose stays on its ribbon, what is mirrored in it slides."""

from collections.abc import Sequence

import cv2
import numpy as np

from vision import notes
from vision.hose.laid_on import MOST, ROWS, Match, laid_on
from vision.hose.result import Flag, Searched
from vision.hose.search import NAME, Laid, Tap, lay_hoses, told
from vision.leg import HoseData
from vision.photo import Photo
from vision.results import Refusal

_STAYS_PX = 3.0
_SLACK = 0.4  # hose widths that a place may lie off along: perspective, which one scale does not tell
_STILL_THERE = 0.25  # of its contrast; faint wear on a braid keeps 0.37, what slides 0.1 at most


def search_pair(
    photo: Photo,
    second: Photo,
    hoses: Sequence[HoseData] = (),
    taps: Sequence[Tap] = (),
    px_per_mm: float | None = None,
    second_taps: Sequence[Tap] = (),
    *,
    network: bool = True,
) -> Searched | Refusal:
    """Search one photo's hoses and drop what does not stay on them in a second one.

    Parameters
    ----------
    photo, second : Photo
        The second from 100 mm or more further along the hose; only a second one from the same place is
        told from that, not one from too near.
    hoses, taps, px_per_mm, network
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
    first = lay_hoses(photo, hoses, taps, px_per_mm, network=network)
    if isinstance(first, Refusal):
        return first
    if _same_place(photo, second):
        return Refusal(NAME, notes.HOSE_PAIR_NO_SHIFT)
    other = lay_hoses(second, hoses, second_taps, px_per_mm, network=network)
    if isinstance(other, Refusal):
        return other
    result = told(first, bool(taps))
    matched = {
        index: laid_on(
            one.ribbon,
            [there.ribbon for there in _same_name(one, other)],
            either_way=not (taps and second_taps),
        )
        for index, one in enumerate(first)
    }
    if all(match is None for match in matched.values()):
        return Refusal(NAME, notes.HOSE_PAIR_NOT_MATCHED)
    flags: list[Flag] = []
    aside = list(result.set_aside)
    for flag in result.flags:
        match = matched[flag.hose]
        if match is None or _stays(flag, first[flag.hose], match):
            flags.append(flag)
        else:
            why = "is not in this place on the hose in the second photo: it may be light mirrored in it"
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


def _stays(flag: Flag, one: Laid, match: Match) -> bool:
    """Whether the second ribbon is brighter, too, where the flag lies.

    Fabric that shows through is brown, and may be taken for dust in one photo only: it is asked for with
    and without what was taken out as dust, and what is there in either stays.
    """
    known = 0.5 * ROWS
    scale = ROWS / one.ribbon.residual.shape[0]
    spots = [spot for spot in one.spots if _is(flag, spot, one)]
    if not spots:
        return True
    spot = spots[0]
    row, column = (spot.row + spot.mask.shape[0] / 2) * scale, (spot.column + spot.mask.shape[1] / 2) * scale
    column -= match.shift
    if not known <= column < match.there.shape[1] - known:
        return True  # not in the second photo, or at its border: nothing is told
    box = [max(3, int(side * scale * 0.6)) | 1 for side in spot.mask.shape]
    up, along = max(2, int(_STAYS_PX * scale)), int(_SLACK * ROWS)
    about = (
        slice(max(int(row) - up, 0), int(row) + up + 1),
        slice(max(int(column) - along, 0), int(column) + along + 1),
    )
    for there in (match.there, match.dusty):
        raised = -there if one.hose.cover == "metal_braid" else there
        part = cv2.blur(np.ascontiguousarray(raised), (box[1], box[0]))[about]
        if part.size and float(part.max()) > _STILL_THERE * min(spot.contrast, MOST):
            return True
    return False


def _is(flag: Flag, spot: object, one: Laid) -> bool:
    from vision.hose.spots import Spot, outline  # noqa: PLC0415

    assert isinstance(spot, Spot)
    line = outline(spot, one.ribbon)
    return line.shape == flag.outline_px.shape and bool(np.allclose(line, flag.outline_px))
