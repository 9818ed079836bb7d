"""Two photos of one surface from different places: what is on it stays, light mirrored in it slides.

Only what is brighter than the surface can be mirrored light, so nothing darker is set aside.  A flat surface
is laid on itself by one homography; where the photos tell none for a place, the place stays.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace

import cv2
import numpy as np
from numpy.typing import NDArray

from vision import notes
from vision.camera_file import CameraFile
from vision.card import Card
from vision.compare.match import Matches, matched
from vision.compare.stand import Stand, stand_of
from vision.compare.surfaces import FEWEST_POINTS, Surface, found_surfaces
from vision.compare.view import Matrix, View, camera_matrix, moved, view_of
from vision.photo import Photo
from vision.results import Refusal
from vision.surface.looked import LIGHT, TEXTURE, Looked, look
from vision.surface.own import residual
from vision.surface.region import Array, Region, region_of
from vision.surface.result import Flag, Searched
from vision.surface.search import NAME, search_surface

LEAST_SHIFT = 0.08
"""Of the distance to the surface: 80 mm at a metre."""

_STILL_THERE = 0.35  # of what it stood out by
_TELLS = 0.04  # ln units: what stands out by less in a signal is not asked for it
_ABOUT = 9  # worked px round a place
_LEAST_SEEN = 0.7  # of a place, in the second photo


@dataclass(frozen=True, eq=False)
class _Laid:
    """The second photo laid on the first one's region, and where this can be trusted."""

    looked: Looked
    own: NDArray[np.float32]
    seen: NDArray[np.bool_]
    trusted: Array  # hull (N, 1, 2) of the points that agree, px of the first photo


def search_surface_pair(
    photo: Photo,
    second: Photo,
    points: Sequence[tuple[float, float]],
    cards: Sequence[Card] = (),
    camera: CameraFile | None = None,
) -> Searched | Refusal:
    """Search one photo's surface and set aside what does not stay on it in a second photo.

    Parameters
    ----------
    photo, second : Photo
        The second from another place, the phone moved sideways by a tenth of its distance or more.
    points, cards, camera
        As for `search_surface`; the region is shown on the first photo.

    Returns
    -------
    Searched or Refusal
        What slides is set aside as ``"slides"``.  Beside the refusals of `search_surface`: the second photo
        does not show the surface well enough to be laid on the first, or was taken from the same place.
    """
    found = search_surface(photo, points, cards, camera)
    if isinstance(found, Refusal):
        return found
    region = region_of(points)
    here, there = view_of(photo), view_of(second)
    surface = _of_region(here, there, region)
    if surface is None:
        return Refusal(NAME, notes.SURFACE_PAIR_NOT_MATCHED)
    stand = stand_of([surface], camera_matrix(photo, here), camera_matrix(second, there))
    shift = 0.0 if stand is None else _sideways(stand)
    if shift < LEAST_SHIFT:
        return Refusal(
            NAME,
            notes.SURFACE_PAIR_NO_SHIFT,
            f"moved by {shift:.0%} of the distance, {LEAST_SHIFT:.0%} are needed",
        )
    matrix = there.to_photo @ surface.matrix @ np.linalg.inv(here.to_photo)
    laid = _lay(photo, second, region, matrix, moved(here.to_photo, surface.earlier))
    first = look(photo, region)
    own, _ = residual(first, first.lit)
    flags: list[Flag] = []
    slid: list[Flag] = []
    for flag in found.flags:
        (slid if _slides(flag, first, own, laid) else flags).append(flag)
    why = "is not in this place on the surface in the second photo: it may be light mirrored in it"
    aside = [*found.set_aside, *(replace(flag, kind="slides", why=why) for flag in slid)]
    return replace(found, flags=flags, set_aside=aside)


def _of_region(here: View, there: View, region: Region) -> Surface | None:
    """The flat piece with the most points within the region; None where too few agree."""
    points = matched(here.grey, there.grey)
    corners = moved(np.linalg.inv(here.to_photo), region.corners).astype(np.float32)
    inside = np.array(
        [cv2.pointPolygonTest(corners, (float(x), float(y)), False) >= 0 for x, y in points.earlier], bool
    )
    if inside.sum() < FEWEST_POINTS:
        return None
    surfaces = found_surfaces(Matches(points.earlier[inside], points.now[inside]), there.size)
    return surfaces[0] if surfaces else None


def _sideways(stand: Stand) -> float:
    return float(np.hypot(stand.right, stand.down))


def _lay(photo: Photo, second: Photo, region: Region, matrix: Matrix, agreeing: Array) -> _Laid:
    height, width = photo.pixels.shape[:2]
    how = cv2.INTER_LINEAR | cv2.WARP_INVERSE_MAP
    pixels = cv2.warpPerspective(second.pixels, matrix, (width, height), flags=how)
    ones = np.full(second.pixels.shape[:2], 255, np.uint8)
    shown = cv2.warpPerspective(ones, matrix, (width, height), flags=how)
    looked = look(replace(photo, pixels=np.asarray(pixels, np.uint8)), region)
    rows, columns = looked.inside.shape
    f = looked.factor
    part = shown[looked.top : looked.top + rows * f, looked.left : looked.left + columns * f]
    part = cv2.resize(part, (columns, rows), interpolation=cv2.INTER_AREA)
    seen = looked.lit & ~looked.burnt & (part > 250)
    own, _ = residual(looked, seen)
    hull = cv2.convexHull(agreeing.astype(np.float32))
    return _Laid(looked, own, seen, np.asarray(hull, np.float64))


def _slides(flag: Flag, first: Looked, own: NDArray[np.float32], laid: _Laid) -> bool:
    """Whether a bright place of the first photo is seen to be gone from its place in the second."""
    middle = (flag.middle_px[0], flag.middle_px[1])
    if cv2.pointPolygonTest(laid.trusted.astype(np.float32), middle, False) < 0:
        return False
    place = np.zeros(first.inside.shape, np.uint8)
    cv2.fillPoly(place, [np.round(first.worked_px(flag.outline_px)).astype(np.int32)], 1)
    about = cv2.dilate(place, np.ones((2 * _ABOUT + 1, 2 * _ABOUT + 1), np.uint8)) > 0
    inside = place > 0
    ring = about & ~inside & first.lit & laid.seen
    if not inside.any() or not ring.any() or laid.seen[inside].mean() < _LEAST_SEEN:
        return False
    before = own[inside].mean(axis=0) - own[ring].mean(axis=0)
    after = laid.own[inside & laid.seen].mean(axis=0) - laid.own[ring].mean(axis=0)
    if before[LIGHT] < _TELLS:
        return False
    # A warped photo's fine texture is not its own: light and both colours tell.
    stood, stands = before[:TEXTURE], after[:TEXTURE]
    tells = np.abs(stood) > _TELLS
    kept = stands * np.sign(stood) > _STILL_THERE * np.abs(stood)
    return not bool((tells & kept).any())
