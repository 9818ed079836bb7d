"""One surface in one photo searched: what stands out from its own texture, for a person to judge."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray

from vision import notes
from vision.camera_file import CameraFile
from vision.card import Card
from vision.photo import Photo
from vision.results import Refusal
from vision.scale import CardPlane, card_plane
from vision.surface.aside import Seen, aside_as, in_rows
from vision.surface.coverage import blurred_px, covered, steep_about
from vision.surface.looked import LIGHT, Looked, Picture, look
from vision.surface.own import MOST_SHARE, residual
from vision.surface.places import LEAST_WORKED_PX, Place, find_places
from vision.surface.region import region_of
from vision.surface.result import Array, Flag, Searched
from vision.surface.things import Thing, find_things
from vision.surface.why import why

NAME = "surface_search"
LEAST_NARROW_PX = 120.0
_MOST_LOST = 0.6
_CARD_RIM = 1.06


def search_surface(
    photo: Photo,
    points: Sequence[tuple[float, float]],
    cards: Sequence[Card] = (),
    camera: CameraFile | None = None,
) -> Searched | Refusal:
    """Search a painted or bare surface for places that a person should look at.

    Parameters
    ----------
    photo : Photo
    points : sequence of (x, y)
        The region that a person showed, px of the upright photo: two opposite corners, or three corners
        and more in their order round.
    cards : sequence of Card
        Cards that may lie on the surface; the one that is found tells millimetres, and is not searched.
    camera : CameraFile, optional
        Calibration, for the card.

    Returns
    -------
    Searched or Refusal
        A refusal where the region is too small, blurred, burnt out, dark or beyond the photo.  Without a flag
        nothing is said of wear: see `Coverage`.

    Raises
    ------
    RegionError
        The points bound no region.
    """
    region = region_of(points)
    height, width = photo.pixels.shape[:2]
    if not region.within(width, height):
        return Refusal(NAME, notes.SURFACE_OUTSIDE, f"the photo is {width} × {height} px")
    if region.narrow_px < LEAST_NARROW_PX:
        seen = f"{region.narrow_px:.0f} px across, {LEAST_NARROW_PX:.0f} px are needed"
        return Refusal(NAME, notes.SURFACE_TOO_SMALL, seen)
    looked = look(photo, region)
    for lost, remedy, word in (
        (looked.burnt, notes.SURFACE_BURNT, "burnt out"),
        (looked.dark, notes.SURFACE_DARK, "without light"),
    ):
        share = looked.share_of(lost)
        if share > _MOST_LOST:
            return Refusal(NAME, remedy, f"{share:.0%} {word}")
    steep = steep_about(photo, region)
    blur = blurred_px(steep)
    if blur is not None:
        return Refusal(NAME, notes.SURFACE_BLURRED, f"edges are {blur:.1f} px soft")
    plane = card_plane(photo, cards, camera)
    found = _found(looked, plane, region.narrow_px / looked.factor)
    coverage = covered(looked, region, steep, found.hidden)
    told = [_flag(place, reason, looked, plane, found.own) for place, reason in found.places]
    flags = sorted((flag for flag in told if flag.kind == "spot"), key=lambda flag: -flag.grade)
    aside = [flag for flag in told if flag.kind != "spot"]
    aside += [_thing(thing, looked, plane) for thing in found.things]
    said = [notes.SURFACE_ONE_VIEW, notes.SURFACE_CHROME]
    said.append(notes.SURFACE_NO_SCALE if plane is None else notes.SURFACE_CARD_SCALE)
    if coverage.share == 0:
        said.append(notes.SURFACE_SHARP_UNKNOWN)
    return Searched(
        flags,
        aside,
        region.corners,
        coverage,
        LEAST_WORKED_PX * looked.factor,
        MOST_SHARE * region.narrow_px,
        said,
    )


@dataclass(frozen=True, eq=False)
class _Found:
    places: Sequence[tuple[Place, tuple[str, str] | None]]
    things: Sequence[Thing]
    hidden: NDArray[np.bool_]
    own: Picture


def _found(looked: Looked, plane: CardPlane | None, narrow: float) -> _Found:
    # At the very border of what was shown the surface's own light is told from one side only.
    known = cv2.erode(looked.lit.astype(np.uint8), np.ones((5, 5), np.uint8), borderValue=0).astype(bool)
    hidden = np.zeros(known.shape, bool)
    things: list[Thing] = []
    if plane is not None:
        outline = looked.worked_px(plane.outline_px)
        hidden |= _filled(outline, known.shape)
        things.append(Thing(outline, "card", "the scale card"))
    own, axis = residual(looked, known & ~hidden)
    more, covered_by = find_things(own, known & ~hidden, narrow)
    hidden |= covered_by
    free = known & ~hidden
    own = own * free[..., None]
    light = own[..., LIGHT][free][::3]
    spread = 1.4826 * float(np.median(np.abs(light - np.median(light)))) if light.size else 0.0
    seen = Seen(own, looked.maps[..., LIGHT], free, looked.burnt, spread, narrow, axis)
    places = find_places(own, free, narrow)
    return _Found(list(_judged(places, seen)), things + more, hidden, own)


def _judged(places: Sequence[Place], seen: Seen) -> Iterator[tuple[Place, tuple[str, str] | None]]:
    rows = in_rows(places, seen.narrow)
    for index, place in enumerate(places):
        if index in rows and place.stands_out:
            yield place, ("rivets", "one of a straight row of like places: fasteners")
        elif place.stands_out:
            yield place, aside_as(place, seen)


def _filled(outline: Array, shape: tuple[int, int]) -> NDArray[np.bool_]:
    mask = np.zeros(shape, np.uint8)
    middle = outline.mean(axis=0)
    wider = middle + _CARD_RIM * (outline - middle)
    cv2.fillPoly(mask, [np.round(wider).astype(np.int32)], 1)
    return mask.astype(bool)


def _flag(
    place: Place, reason: tuple[str, str] | None, looked: Looked, plane: CardPlane | None, own: Picture
) -> Flag:
    outline = looked.photo_px(place.outline)
    kind, told = reason or ("spot", why(place, own))
    size = max(place.sides) * looked.factor
    return Flag(outline, place.grade, size, None if plane is None else plane.longest_mm(outline), told, kind)


def _thing(thing: Thing, looked: Looked, plane: CardPlane | None) -> Flag:
    outline = looked.photo_px(thing.outline)
    size = float(max(cv2.minAreaRect(outline.astype(np.float32))[1]))
    mm = None if plane is None else plane.longest_mm(outline)
    return Flag(outline, 3, size, mm, thing.why, thing.kind)
