"""Places that the rules of light found and those that the network names, made one list.

What the network calls worn, and a wet place of some length, is for a person to judge.  What the rules found
and the network names otherwise is set aside with that name; nothing that the rules found gets lost, but
what lies by half or more in a place of the network, or close about a worn one, is told as that place.
"""

from collections.abc import Iterator, Sequence
from dataclasses import replace

import cv2
import numpy as np
from numpy.typing import NDArray
from scipy import ndimage

from vision.hose.course import Picture
from vision.hose.net import CLASSES
from vision.hose.ribbon import Ribbon
from vision.hose.spots import Box, Spot, measured, signal_of

_WORN, _SURE = 0.5, 0.7  # probability all over a place, and somewhere in it
_NAMED = 0.5  # probability in the mean
_PERHAPS = 0.05  # probability of wear: below it the network is sure that there is none
_LEAST = 0.012  # hose widths squared
_WET = 0.5  # hose widths: shorter ones are drops
_BESIDE = 0.3  # hose widths: what a place is held against
_RIM = 0.1  # hose widths about a place in which the network still says something of it
_SAME = 0.5  # share of a place that lies in one of the network's, or close about a worn one
_ASIDE_AS = {"fluid": "drop"}
_THINGS = CLASSES[CLASSES.index("wear") + 1 :]


def one_list(found: Sequence[Spot], named: Picture, ribbon: Ribbon, cover: str) -> list[Spot]:
    """Return the network's places, the strongest first, and behind them what else the rules found.

    Parameters
    ----------
    found : sequence of Spot
        By the rules.
    named : (8, R, C) float32 array
        Probability of each of `CLASSES` on the ribbon's pixels.
    """
    worn, wet = (named[CLASSES.index(kind)] for kind in ("wear", "fluid"))
    signal = signal_of(ribbon, cover)
    least = _LEAST * ribbon.rows_a_width**2
    mine = [replace(_placed(box, signal, ribbon), named="worn") for box in _parts(worn, least)]
    long = [box for box in _parts(wet, least) if max(box[2].shape) >= _WET * ribbon.rows_a_width]
    mine += [replace(_placed(box, signal, ribbon), named="wet") for box in long]
    taken = _all(mine, signal.shape)
    rim = np.ones((2 * round(_RIM * ribbon.rows_a_width) + 1,) * 2, np.uint8)
    worn_only = _all([one for one in mine if one.named == "worn"], signal.shape)
    # Close about a worn place the network's word for wear is that place's own.
    about_worn = cv2.dilate(worn_only.astype(np.uint8), rim) > 0
    others = [
        replace(spot, named=_name(spot, named, ~about_worn))
        for spot in found
        if (about_worn | taken)[_slices(spot)][spot.mask].mean() < _SAME
    ]
    mine.sort(key=lambda spot: -spot.contrast)
    for spot in others:
        taken[_slices(spot)] |= spot.mask
    return mine + others + list(_things(named, taken, signal, ribbon, least))


def _things(
    named: Picture, taken: NDArray[np.bool_], signal: Picture, ribbon: Ribbon, least: float
) -> Iterator[Spot]:
    """What the network alone sees lying on the hose: shown as set aside."""
    for kind in _THINGS:
        for box in _parts(named[CLASSES.index(kind)], least):
            spot = replace(_placed(box, signal, ribbon), named=_ASIDE_AS.get(kind, kind))
            if not taken[_slices(spot)][spot.mask].any():
                yield spot


def _parts(share: Picture, least: float) -> list[Box]:
    """Row, column and mask of what hangs together, is sure somewhere and no speck of fewer pixels."""
    labels, _ = ndimage.label(share > _WORN)
    parts = [
        (where[0].start, where[1].start, labels[where] == index)
        for index, where in enumerate(ndimage.find_objects(labels), start=1)
    ]
    return [
        (row, column, mask)
        for row, column, mask in parts
        if mask.sum() >= least
        and share[row : row + mask.shape[0], column : column + mask.shape[1]][mask].max() >= _SURE
    ]


def _placed(box: Box, signal: Picture, ribbon: Ribbon) -> Spot:
    """The place with its contrast against what lies about it."""
    row, column, mask = box
    reach = max(3, round(_BESIDE * ribbon.rows_a_width))
    top, left = max(row - reach, 0), max(column - reach, 0)
    about = signal[top : row + mask.shape[0] + reach, left : column + mask.shape[1] + reach]
    here = np.zeros(about.shape, np.uint8)
    here[row - top : row - top + mask.shape[0], column - left : column - left + mask.shape[1]] = mask
    beside = about[cv2.dilate(here, np.ones((3, 3), np.uint8)) == 0]
    return measured(ribbon, signal, box, float(np.median(beside)) if beside.size else 0.0)


def _name(spot: Spot, named: Picture, free: NDArray[np.bool_]) -> str:
    """What the network calls a place of the rules; "" where it may be worn after all.

    `free` (R, C) is False in and close about what the network itself calls worn.
    """
    box = _slices(spot)
    shares = np.array([float(one[box][spot.mask].mean()) for one in named])
    if (named[CLASSES.index("wear")][box] >= _PERHAPS)[spot.mask & free[box]].any():
        return ""
    things = shares.copy()
    things[: CLASSES.index("wear") + 1] = 0
    if things.sum() < _NAMED:
        return "light"
    kind = CLASSES[int(things.argmax())]
    return _ASIDE_AS.get(kind, kind)


def _all(spots: Sequence[Spot], shape: tuple[int, ...]) -> NDArray[np.bool_]:
    """Where any of these places lies."""
    there = np.zeros(shape, bool)
    for spot in spots:
        there[_slices(spot)] |= spot.mask
    return there


def _slices(spot: Spot) -> tuple[slice, slice]:
    rows, columns = spot.mask.shape
    return slice(spot.row, spot.row + rows), slice(spot.column, spot.column + columns)
