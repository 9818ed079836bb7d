"""Two photos of one view held against each other."""

import numpy as np

from vision import notes
from vision.compare.changes import found_changes
from vision.compare.even import MOST_SIGMA, evened
from vision.compare.match import matched
from vision.compare.refine import refined
from vision.compare.result import Aligned, Answer, Compared
from vision.compare.stand import Stand, stand_of
from vision.compare.structure import Explained, explained
from vision.compare.surfaces import Surface, found_surfaces
from vision.compare.view import View, camera_matrix, view_of
from vision.notes import Remedy
from vision.photo import Photo

_LEAST_USABLE = 0.5
_LEAST_SHARE = 0.25
_LEAST_POINTS = 24
_MOST_CHANGED = 0.25  # of what was compared
_SCALE = (0.5, 2.0)
_MOST_SKEW = 2.0  # one direction stretched twice as much as the other
_EVIDENCE_PX = 3000


def compare_views(earlier: Photo, now: Photo) -> Compared:
    """Compare the present photo with an earlier one of the same view.

    Parameters
    ----------
    earlier, now : Photo
        Upright; their sizes may differ.

    Returns
    -------
    Compared
        Outlines in pixels of the photos.  "Same" speaks of what was compared only (`share`).
    """
    try:
        return _compared(earlier, now)
    except _NotComparableError as refused:
        return Compared(
            Answer.NOT_COMPARABLE, remedy=refused.remedy, detail=refused.detail, stand=refused.stand
        )


class _NotComparableError(Exception):
    """Nothing can be told from these two photos."""

    def __init__(self, remedy: Remedy, detail: str = "", stand: Stand | None = None) -> None:
        super().__init__(remedy.code)
        self.remedy, self.detail, self.stand = remedy, detail, stand


def _compared(earlier: Photo, now: Photo) -> Compared:
    if earlier.pixels.shape == now.pixels.shape and np.array_equal(earlier.pixels, now.pixels):
        raise _NotComparableError(notes.COMPARE_SAME_PHOTO)
    before, after = view_of(earlier), view_of(now)
    for name, view in (("the earlier", before), ("the present", after)):
        if view.lit < _LEAST_USABLE:
            raise _NotComparableError(notes.COMPARE_LIGHT_LOST, f"{name} one, {1 - view.lit:.0%} of it")
    surfaces = found_surfaces(matched(before.grey, after.grey), after.size)
    stand = stand_of(surfaces, camera_matrix(earlier, before), camera_matrix(now, after))
    points = sum(len(surface.points) for surface in surfaces)
    if points < _LEAST_POINTS:
        detail = f"{points} points agree, {_LEAST_POINTS} are needed"
        raise _NotComparableError(notes.COMPARE_NOTHING_SHARED, detail)
    elsewhere = _from_elsewhere(surfaces[0])
    if elsewhere:
        raise _NotComparableError(notes.COMPARE_FROM_ELSEWHERE, elsewhere, stand)
    before, after, sigma = evened(before, after, surfaces[0])
    if sigma >= MOST_SIGMA:
        raise _NotComparableError(notes.COMPARE_BLURRED, "", stand)
    surfaces, by = _explained(surfaces, before, after)
    changes, untold = found_changes(by, surfaces, after.to_photo, before.to_photo)
    share = float((by.compared & ~untold).mean())
    if share < _LEAST_SHARE:
        detail = f"{share:.0%} of the photo can be compared"
        raise _NotComparableError(notes.COMPARE_NOTHING_SHARED, detail, stand)
    changed = float((by.excess > 1).sum() / max(by.compared.sum(), 1))
    if changed > _MOST_CHANGED:
        raise _NotComparableError(notes.COMPARE_ALL_DIFFERS, f"{changed:.0%} of what both show", stand)
    return Compared(
        Answer.CHANGED if changes else Answer.SAME,
        changes,
        share,
        len(surfaces),
        stand=stand,
        aligned=Aligned(before, after, surfaces, by),
    )


def _explained(
    surfaces: tuple[Surface, ...], before: View, after: View
) -> tuple[tuple[Surface, ...], Explained]:
    """The surfaces that explain something of their own, refined, and what they explain together."""
    by = explained(surfaces, before, after)
    own = [index == 0 or pixels > _EVIDENCE_PX for index, pixels in enumerate(by.evidence)]
    if not all(own):
        surfaces = tuple(surface for surface, stays in zip(surfaces, own, strict=True) if stays)
        by = explained(surfaces, before, after)
    better = tuple(
        refined(surface, before, after, (by.surface == index) & by.compared & (by.excess < 1))
        for index, surface in enumerate(surfaces)
    )
    return better, explained(better, before, after)


def _from_elsewhere(surface: Surface) -> str:
    """What tells that the cameras stood too far apart; empty where they did not."""
    middle = surface.earlier.mean(axis=0)
    h = surface.matrix
    depth = h[2] @ [*middle, 1]
    at = (h[:2] @ [*middle, 1]) / depth
    # The homography's derivative: how a small square becomes a parallelogram.
    slope = (h[:2, :2] - np.outer(at, h[2, :2])) / depth
    large, little = np.linalg.svd(slope, compute_uv=False)
    scale = float(np.sqrt(large * little))
    if not _SCALE[0] <= scale <= _SCALE[1]:
        return f"things are {scale:.1f} times as large now"
    if large > _MOST_SKEW * little:
        return "it is seen much more from the side"
    return ""
