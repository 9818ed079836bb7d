"""A photo's hoses searched: found or tapped, laid straight, and what stands out told with its place."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from vision import notes
from vision.hose.aside import aside_as, hidden
from vision.hose.by_net import one_list
from vision.hose.course import Array, Course
from vision.hose.coverage import covered
from vision.hose.find import LEAST_WIDTH_PX, find_hoses, nearest, searched_size
from vision.hose.joined import joined
from vision.hose.net import classes_along
from vision.hose.proven import proven
from vision.hose.result import Flag, Hose, Searched
from vision.hose.ribbon import Ribbon, straighten
from vision.hose.rounded import rounded
from vision.hose.shaken import shaken
from vision.hose.sharp import sharp
from vision.hose.sides import Sides, find_sides, to_limb
from vision.hose.spots import MOST_SPOTS, Spot, find_spots, grade_of, outline
from vision.hose.tapped import tapped_hose
from vision.leg import HoseData
from vision.photo import Photo
from vision.results import Refusal

NAME = "hose_search"
_OF_ITS_DIAMETER = 0.25
_THINNER = 0.6
_ENDS = 0.75  # widths
_NO_TAPS = np.zeros((0, 2))
_WET = "has the look of a wet place: it may be fluid"
_WORN = "has the look of wear"
WHY = {
    "rubber": "brighter and smoother than the hose beside it",
    "textile": "lighter or rougher than the weave beside it",
    "metal_braid": "the braid's pattern breaks here",
}


@dataclass(frozen=True)
class Tap:
    """Places along one hose, px (x, y) of the upright photo in their order, and its name where told."""

    points: tuple[tuple[float, float], ...]
    name: str = ""


@dataclass(frozen=True, eq=False)
class Laid:
    """A searched hose with its ribbon and spots, for holding a second photo against it.

    `many` where more stands out than is told of.
    """

    hose: Hose
    ribbon: Ribbon
    spots: Sequence[Spot]
    many: bool = False


def search_hoses(
    photo: Photo,
    hoses: Sequence[HoseData] = (),
    taps: Sequence[Tap] = (),
    px_per_mm: float | None = None,
    *,
    network: bool = True,
) -> Searched | Refusal:
    """Search the hoses of one photo for places that a person should look at.

    Parameters
    ----------
    photo : Photo
    hoses : sequence of HoseData
        The leg's; their diameters give the scale, their covers what wear looks like.
    taps : sequence of Tap
        Hoses that a person showed, three to nine places along each; with none, what looks like a hose is
        searched, with fewer than three no part of it counts as searched.
    px_per_mm : float, optional, > 0
        Scale at the hoses, from a card held beside them.
    network : bool
        False searches by the rules of light alone.

    Returns
    -------
    Searched or Refusal
        A refusal where no hose is found.  Without a flag nothing is said of wear: see `Coverage`.
    """
    laid = lay_hoses(photo, hoses, taps, px_per_mm, network=network)
    return laid if isinstance(laid, Refusal) else told(laid, bool(taps))


def lay_hoses(
    photo: Photo,
    hoses: Sequence[HoseData],
    taps: Sequence[Tap],
    px_per_mm: float | None,
    *,
    network: bool = True,
) -> list[Laid] | Refusal:
    """Return every hose searched with its ribbon, or why there is none."""
    chosen: list[tuple[Course, str, Array]] = []
    if taps:
        small = searched_size(photo)
        for tap in taps:
            points = np.array(tap.points, np.float64)
            course = tapped_hose(photo, points, small)
            if course is None:
                where = ", ".join(f"{x:.0f},{y:.0f}" for x, y in tap.points)
                return Refusal(NAME, notes.HOSE_NOT_AT_TAP, f"tapped at {where}")
            chosen.append((course, tap.name, points))
    else:
        found = find_hoses(photo)
        chosen = [(course, "", _NO_TAPS) for course in _not_much_thinner(found, hoses)]
    if not chosen:
        return Refusal(NAME, notes.HOSE_NOT_FOUND)
    wide = [one for one in chosen if one[0].width_px >= LEAST_WIDTH_PX]
    # What a person showed is searched or refused, never left out in silence.
    if not wide or (taps and len(wide) < len(chosen)):
        widest = (min if taps else max)(course.width_px for course, *_ in chosen)
        return Refusal(
            NAME, notes.HOSE_TOO_SMALL, f"{widest:.0f} px wide, {LEAST_WIDTH_PX:.0f} px are needed"
        )
    widest = max(course.width_px for course, *_ in wide)
    return [
        _laid(photo, course, points, _data(course, name, hoses, px_per_mm, widest), px_per_mm, network)
        for course, name, points in wide
    ]


def told(laid: Sequence[Laid], named: bool) -> Searched:
    """Return flags and what was set aside, the strongest first; `named` where a person showed the hoses."""
    flags: list[Flag] = []
    aside: list[Flag] = []
    for index, one in enumerate(laid):
        for spot in one.spots:
            reason = aside_as(spot, one.ribbon, one.hose.cover)
            others = [other.hose.course for other in laid if other is not one]
            if reason is None and hidden(outline(spot, one.ribbon), others):
                reason = ("crossing", "lies where another hose crosses or touches")
            flag = _flag(spot, one, index, reason)
            (flags if reason is None else aside).append(flag)
    flags.sort(key=lambda flag: -flag.grade)
    said = [notes.HOSE_ONE_SIDE]
    if not named:
        said.append(notes.HOSE_NOT_NAMED)
    if any(one.hose.diameter_mm is None for one in laid):
        said.append(notes.HOSE_NO_SCALE)
    if any(one.many for one in laid):
        said.append(notes.HOSE_MANY_PLACES)
    hoses = [one.hose for one in laid]
    return Searched(flags, joined(aside, hoses), hoses, said)


def _not_much_thinner(found: list[Course], hoses: Sequence[HoseData]) -> list[Course]:
    """Drop cables: what is much thinner than the widest, by more than the leg's own hoses differ."""
    if not found:
        return []
    known = [hose.diameter_mm for hose in hoses if hose.diameter_mm]
    share = _THINNER * (min(known) / max(known) if known else 0.5)
    widest = max(course.width_px for course in found)
    return [course for course in found if course.width_px >= share * widest]


def _data(
    course: Course, name: str, hoses: Sequence[HoseData], px_per_mm: float | None, widest: float
) -> HoseData | None:
    if name:
        return next((hose for hose in hoses if hose.name == name), None)
    if px_per_mm is None:
        if len(hoses) != 1:
            return None
        return hoses[0] if course.width_px > (1 - _OF_ITS_DIAMETER) * widest else None
    mm = course.width_px / px_per_mm
    near = [hose for hose in hoses if hose.diameter_mm and abs(mm / hose.diameter_mm - 1) < _OF_ITS_DIAMETER]
    return min(near, key=lambda hose: abs(mm - (hose.diameter_mm or 0))) if near else None


def _laid(
    photo: Photo, course: Course, taps: Array, data: HoseData | None, px_per_mm: float | None, network: bool
) -> Laid:
    found: Sides | None = None
    for room in (0.4, 0.25):
        sides = find_sides(photo.pixels, course, 0.7, room, swells=not len(taps))
        if sides is not None and abs(sides.course.width_px / course.width_px - 1) < room:
            course, found = sides.course, sides
    sure = proven(found, taps)
    if sure.any() and not rounded(photo, course):
        sure = np.zeros_like(sure)
    course = to_limb(photo.pixels, course)
    # At its very ends a course runs on as it came, wherever the hose goes.
    end = min(int(_ENDS * course.width_px), len(course.points) // 4) if len(taps) else 0
    course = Course(course.points[end : -end or None], course.radius[end : -end or None], course.strength)
    sure = np.append(sure[end : -end or None], False)
    cover = (data and data.cover) or "rubber"
    ribbon = straighten(photo, course, cover)
    diameter = data.diameter_mm if data and data.diameter_mm else None
    if diameter is None and px_per_mm is not None:
        diameter = course.width_px / px_per_mm
    columns = (np.arange(ribbon.usable.shape[1]) * ribbon.strip.step).astype(int)
    searched = sure & np.append(sharp(photo, course), False)[: len(sure)] if sure.any() else sure
    if searched.any() and shaken(photo, course):
        searched = np.zeros_like(searched)
    on_hose = searched[np.minimum(columns, len(searched) - 1)]
    length = float(len(course.points))
    mm = None if diameter is None else length * diameter / course.width_px
    coverage = covered(ribbon, on_hose, length, mm)
    hose = Hose(course, data.name if data else "", cover, diameter, coverage)
    spots = find_spots(ribbon, cover)
    many = sum(not spot.lies_on for spot in spots) >= MOST_SPOTS
    if network:
        columns = ribbon.residual.shape[1]
        named = classes_along(photo, course, cover).on(ribbon.strip.across, columns, ribbon.strip.step)
        spots = one_list(spots, named, ribbon, cover)
    return Laid(hose, ribbon, spots, many)


def _flag(spot: Spot, one: Laid, index: int, reason: tuple[str, str] | None) -> Flag:
    line: Array = outline(spot, one.ribbon)
    scale = one.hose.px_per_mm
    size = max(spot.mask.shape) * one.ribbon.strip.step
    along = float(np.mean(spot.along)) * one.ribbon.strip.step
    kind, why = reason or ("spot", WHY[one.hose.cover])
    if reason is None and spot.named:
        kind, why = ("wet", _WET) if spot.named == "wet" else ("spot", _WORN)
    return Flag(
        line,
        index,
        grade_of(spot),
        None if scale is None else size / scale,
        None if scale is None else along / scale,
        why,
        kind,
    )


__all__ = ["Laid", "Tap", "lay_hoses", "nearest", "search_hoses", "told"]
