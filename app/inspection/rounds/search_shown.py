"""What a person shows on a photo before it is searched: hoses of its leg, or the region of a surface."""

import math
from collections.abc import Sequence as Some
from itertools import combinations
from typing import Any

from app.errors import Conflict, UsageError
from app.inspection.model import Item, Pixel, Try
from app.inspection.ports import Reader
from app.inspection.rounds.hose_pair_rules import first_id, is_second
from app.inspection.rounds.search_kinds import SearchKind
from app.inspection.rounds.search_rules import MOST_CORNERS, MOST_POINTS
from app.inspection.rounds.search_state import hoses_of_leg
from app.inspection.rounds.search_views import ShownHose, ShownRegion

Showing = Some[ShownHose] | ShownRegion
"""What a person shows on a photo: hoses of the leg, or a region of a surface."""

_FAR_PX = 100_000


def shown_options(r: Reader, item: Item, kind: SearchKind, shown: Showing, this: Try) -> dict[str, Any]:
    """Return what a person shows on a photo as its option keeps it.

    Raises
    ------
    Conflict
        The photo is one of another kind.
    UsageError
        A hose is none of the leg's that can be searched, its points are none, or a region is none.
    """
    if isinstance(shown, ShownRegion) is kind.of_leg:
        msg = f"This photo shows {kind.these}: show on it what its page asks for."
        raise Conflict(msg)
    if isinstance(shown, ShownRegion):
        return {kind.shown: _corners(shown)}
    return {kind.shown: _taps(r, item, shown, _first_of(r, this))}


def _corners(region: ShownRegion) -> list[list[float]]:
    if not 2 <= len(region.corners) <= MOST_CORNERS:
        msg = (
            f"A region has two opposite corners, or three to {MOST_CORNERS} in their order round, and "
            f"{len(region.corners)} came: tap them again."
        )
        raise UsageError(msg)
    corners = [list(point_of(x, y)) for x, y in region.corners]
    if _cross_anywhere(corners):
        msg = "Two sides of the region cross: tap its corners in their order round."
        raise UsageError(msg)
    return corners


def _taps(r: Reader, item: Item, taps: Some[ShownHose], first: Try | None) -> list[dict[str, Any]]:
    """What is shown, as it is kept; on a second photo only hoses that the first one shows."""
    known = {one.name: one for one in hoses_of_leg(r, item)}
    if first is not None:
        on_first = {one["name"] for one in first.options["taps"]}
        known = {name: one for name, one in known.items() if name in on_first}
    if not taps:
        msg = "No hose is shown: put three points or more along each hose that the photo shows, at most nine."
        raise UsageError(msg)
    kept = []
    for one in taps:
        if one.name not in known:
            names = ", ".join(name or "the hose" for name in known)
            where = "The leg's data have" if first is None else "The first photo shows"
            msg = f"{where} no hose {one.name!r}: choose one of {names}"
            raise UsageError(msg)
        if known[one.name].why_not:
            raise UsageError(known[one.name].why_not)
        if not 1 <= len(one.points) <= MOST_POINTS:
            msg = f"{one.name or 'The hose'}: 1 to {MOST_POINTS} points along it, and {len(one.points)} came"
            raise UsageError(msg)
        kept.append({"name": one.name, "points": [list(point_of(x, y)) for x, y in one.points]})
    return kept


def point_of(x: float, y: float) -> Pixel:
    """Return a place on a photo.

    Raises
    ------
    UsageError
        It is none.
    """
    at = (float(x), float(y))
    if not all(math.isfinite(one) and 0 <= one < _FAR_PX for one in at):
        msg = f"{x}, {y} is no place on a photo: place it again"
        raise UsageError(msg)
    return at


def _cross_anywhere(corners: Some[Some[float]]) -> bool:
    """Whether two sides of a polygon that do not meet at a corner cross."""
    count = len(corners)
    sides = [(corners[k], corners[(k + 1) % count]) for k in range(count)]
    apart = ((i, j) for i, j in combinations(range(count), 2) if j - i > 1 and (j + 1) % count != i)
    return any(_cross(*sides[i], *sides[j]) for i, j in apart)


def _cross(a: Some[float], b: Some[float], c: Some[float], d: Some[float]) -> bool:
    def side(p: Some[float], q: Some[float], r: Some[float]) -> float:
        return (q[0] - p[0]) * (r[1] - p[1]) - (q[1] - p[1]) * (r[0] - p[0])

    return side(a, b, c) * side(a, b, d) < 0 and side(c, d, a) * side(c, d, b) < 0


def _first_of(r: Reader, this: Try) -> Try | None:
    """The try against which a second photo is held."""
    return r.get(Try, first_id(this)) if is_second(this) else None
