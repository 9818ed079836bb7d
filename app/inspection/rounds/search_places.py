"""The places of a searched photo out of its stored result, and what of each hose was searched; pure.

A photo shows one side of a hose and a part of its length, and where on the hose that part
lies is not known.  So shares of several photos are told as a range: all of them may show
the same, or none of them.
"""

import math
from collections.abc import Iterator, Mapping, Sequence
from itertools import pairwise
from typing import Any

from app.inspection.model import Pixel, Try
from app.inspection.rounds.model import BareMarking
from app.inspection.rounds.search_kinds import UNTOLD
from app.inspection.rounds.search_views import PlaceKind, SearchCoverage, SearchedPlace

Line = Sequence[Sequence[float]]


def raised(this: Try) -> tuple[SearchedPlace, ...]:
    """Return the flags of a photo's result, numbered as on its annotated copy."""
    flags = (this.result or {}).get("flags", ())
    return tuple(_of_result(this, PlaceKind.FLAG, number, one) for number, one in enumerate(flags, 1))


def set_aside(this: Try) -> tuple[SearchedPlace, ...]:
    """Return what a photo's result set aside."""
    aside = (this.result or {}).get("set_aside", ())
    return tuple(_of_result(this, PlaceKind.ASIDE, number, one) for number, one in enumerate(aside, 1))


def marked(this: Try, marking: BareMarking, own: bool, elsewhere: str = UNTOLD) -> Iterator[SearchedPlace]:
    """Return a person's marks as places; what he wrote to them only as his own.

    Parameters
    ----------
    elsewhere : str
        The hose of a mark that lies on none of those searched: the leg's only one, else `UNTOLD`.
    """
    for number, one in enumerate(marking.marks, 1):
        at = (float(one["x"]), float(one["y"]))
        hose, name, along = _nearest(this, at, elsewhere)
        yield SearchedPlace(
            f"{PlaceKind.MARK}-{marking.id}-{number}", PlaceKind.MARK, number, hose, name, (at,), along,
            None, None, "", words=one["text"] if own else "", own=own,
        )  # fmt: skip


def _of_result(this: Try, kind: PlaceKind, number: int, told: Mapping[str, Any]) -> SearchedPlace:
    hose = int(told.get("hose", -1))
    return SearchedPlace(
        f"{kind}-{number}", kind, number, hose, hose_name(this, hose),
        tuple((float(x), float(y)) for x, y in told["outline_px"]), told["along_mm"], told["size_mm"],
        told["grade"], told["why"], aside_as=told.get("kind", ""),
    )  # fmt: skip


def hose_name(this: Try, index: int) -> str:
    """Return the name of one of a result's hoses; that of the first one shown where it has none."""
    hoses = (this.result or {}).get("hoses", ())
    name = str(hoses[index]["name"]) if 0 <= index < len(hoses) else ""
    taps = this.options.get("taps", ())
    return name or (str(taps[0]["name"]) if taps else "")


def _nearest(this: Try, at: Pixel, elsewhere: str) -> tuple[int, str, float | None]:
    """The hose on which a point lies, its name, and how far along it the point lies, mm.

    Where nothing was searched, the one whose shown line is nearest.  A point that is farther
    than its width from the middle of every searched hose lies on none of them.
    """
    hoses = (this.result or {}).get("hoses", ())
    if not hoses:
        return -1, _nearest_shown(this, at, elsewhere), None
    away, along, index = min((*_on(one["centre_line_px"], at), n) for n, one in enumerate(hoses))
    if away > float(hoses[index]["width_px"]):
        return -1, elsewhere, None
    per_px = _mm_per_px(hoses[index])
    return index, hose_name(this, index), None if per_px is None else round(along * per_px, 1)


def _nearest_shown(this: Try, at: Pixel, elsewhere: str) -> str:
    taps = this.options.get("taps", ())
    if not taps:
        return elsewhere
    return str(min(taps, key=lambda one: _on(one["points"], at)[0])["name"])


def _on(line: Line, at: Pixel) -> tuple[float, float]:
    """How far a point lies from a line, and how far along the line the nearest place is, px."""
    best, done = (math.dist(line[0], at), 0.0), 0.0
    for (x, y), (to_x, to_y) in pairwise(line):
        long = math.hypot(to_x - x, to_y - y)
        share = 0.0
        if long > 0:
            share = ((at[0] - x) * (to_x - x) + (at[1] - y) * (to_y - y)) / long**2
            share = min(max(share, 0.0), 1.0)
        away = math.hypot(x + share * (to_x - x) - at[0], y + share * (to_y - y) - at[1])
        best = min(best, (away, done + share * long))
        done += long
    return best


def _mm_per_px(hose: Mapping[str, Any]) -> float | None:
    diameter = hose["diameter_mm"]
    return None if not diameter else float(diameter) / float(hose["width_px"])


def shown_mm(hose: Mapping[str, Any]) -> float | None:
    """Return how much of a hose's length a photo shows, by its own diameter; None where that is not told."""
    per_px = _mm_per_px(hose)
    if per_px is None:
        return None
    return per_px * sum(math.hypot(b[0] - a[0], b[1] - a[1]) for a, b in pairwise(hose["centre_line_px"]))


def coverage_of(name: str, photos: Sequence[tuple[int, Try]]) -> SearchCoverage:
    """Return what numbered photos searched of the hose with this name.

    Where the same photo was searched again, the search that covers more counts.
    """
    lines: list[str] = []
    by_photo: dict[str, tuple[float, float]] = {}
    for number, this in photos:
        for index, hose in enumerate((this.result or {}).get("hoses", ())):
            if hose_name(this, index) != name:
                continue
            lines.append(_line(number, this, hose))
            long, share = shown_mm(hose) or 1.0, float(hose["searched_share"])
            now = (long * share, long)
            by_photo[this.photo or this.id] = max(by_photo.get(this.photo or this.id, (0.0, 0.0)), now)
    if not by_photo:
        return SearchCoverage(
            name, ("No photo that was searched shows it: nothing of it was searched.",), 0, 0
        )
    longest = max(long for _, long in by_photo.values())
    areas = [area for area, _ in by_photo.values()]
    least, most = max(areas) / longest, min(sum(areas) / longest, float(len(areas)))
    if len(by_photo) > 1:
        lines.append(
            f"Together {_percent(least)} of the round of the longest stretch shown, where all photos show "
            f"the same of it, and {_percent(most)} where none does."
        )
    lines.append(
        "Not searched: every side of it that no photo shows, and all of its length beyond the photos."
    )
    return SearchCoverage(name, tuple(lines), least, most)


def coverage_of_surface(photos: Sequence[tuple[int, Try]]) -> SearchCoverage:
    """Return what numbered photos searched of an item's surface: of each region its share, and never more."""
    told = [(number, one, (one.result or {}).get("surface")) for number, one in photos]
    searched = [(number, one, surface) for number, one, surface in told if surface]
    if not searched:
        return SearchCoverage("", ("No photo that was searched shows it: nothing of it was searched.",), 0, 0)
    shares = [float(surface["searched_share"]) for _, _, surface in searched]
    lines = [_region_line(*one) for one in searched]
    lines.append(
        "Not searched: every part of it that lies in no photo's region, and all that is not of these sizes."
    )
    return SearchCoverage("", tuple(lines), min(shares), max(shares))


def _region_line(number: int, this: Try, surface: Mapping[str, Any]) -> str:
    least, most = surface["looked_for_px"]
    said = (
        f"Photo {number} ({this.options.get('seen_from', '')}): {_percent(surface['searched_share'])} of the "
    )
    said += f"region shown on it was searched, for places {least:.0f} to {most:.0f} px long"
    blind = len(surface["not_searched_px"])
    squares = "one square of it was" if blind == 1 else f"{blind} squares of it were"
    return f"{said}; {squares} not searched." if blind else f"{said}."


def _line(number: int, this: Try, hose: Mapping[str, Any]) -> str:
    long = shown_mm(hose)
    of = "the length shown" if long is None else f"{long:.0f} mm shown"
    said = f"Photo {number} ({this.options.get('seen_from', '')}): {_percent(hose['searched_share'])} of the "
    said += f"surface of {of} was searched, all round taken as 100 %"
    gaps = [_gap(start, end, long) for start, end in hose["not_searched"]]
    return f"{said}; not searched at all: {', '.join(gaps)}." if gaps else f"{said}."


def _gap(start: float, end: float, long: float | None) -> str:
    if long is None:
        return f"{100 * start:.0f} to {100 * end:.0f} % of it"
    return f"{long * start:.0f} to {long * end:.0f} mm"


def _percent(share: float) -> str:
    return f"{100 * share:.0f} %"
