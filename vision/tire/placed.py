"""A person's marks on a tire's bare photo, converted by the geometry of the reading.

The confirming person places the two ends of the line, or where the mark's part on
the tire and its part on the rim meet the flange's edge, and never sees the machine's.
The line's ends meet the sidewall as the machine's did; a mark's lie in the flange's plane.

How sure
--------
Camera, flange, sidewall and level are the reading's own.  Their doubt is in both
readings alike and cancels but for the little that the places differ: that is
recomputed with each of them moved.  What is left of the difference are the person's
placing (`PLACING_U_PX` in each direction) and the machine's own reading of edges and paint.
"""

from collections.abc import Callable, Mapping, Sequence
from typing import Any

import numpy as np
from numpy.typing import NDArray

from vision import notes
from vision.results import COVERAGE_FACTOR, BudgetLine, Reading, Refusal, Result
from vision.tire.geometry import TireGeometry, geometry_from
from vision.tire.profile import meet

Array = NDArray[np.float64]
PLACING_U_PX = 1.0
"""Standard uncertainty of a mark in each direction; common practice, no source, as for a strut."""

SHORTEST_MM = 15.0
OFF_SIDEWALL_MM = 5.0
OFF_EDGE_MM = 6.0
MOST_ARC_MM = 70.0  # as wide as a mark may be
_UNITS = {"pressure_line_angle": "deg", "creep_arc": "mm"}
_STEP_PX = 0.5


def placed_on_tire(
    evidence: Mapping[str, Any],
    name: str,
    marks: Sequence[Sequence[float]],
    *,
    placing_u_px: float = PLACING_U_PX,
) -> Result:
    """Convert a person's two marks to the quantity that they mean.

    Parameters
    ----------
    evidence : mapping
        Of the photo's reading of this name, with its ``"geometry"``.
    name : str
        ``"pressure_line_angle"``: the line's ends, in either order.  ``"creep_arc"``: on the mark's
        part of the tire, then on its part of the rim.
    marks : two of (x, y)
        px of the upright photo.
    placing_u_px : float, > 0
        Standard uncertainty of a mark in each direction.

    Returns
    -------
    Reading or Refusal
        Named as the reading with ``_placed`` behind, not held against limits; its evidence has
        ``difference_u``, the standard uncertainty of placed minus read.  Refused where the photo gave
        no reading, or the marks lie on nothing that they could mean.

    Raises
    ------
    ValueError
        There are not two marks of two finite numbers each, the name is another one, or
        `placing_u_px` is not positive.
    """
    if name not in _UNITS:
        msg = f"marks are placed for one of {', '.join(_UNITS)}, not for {name!r}"
        raise ValueError(msg)
    px = np.asarray(marks, float)
    if px.shape != (2, 2) or not np.isfinite(px).all():
        msg = f"two marks of two finite numbers each are placed on a tire, got {marks!r}"
        raise ValueError(msg)
    if not placing_u_px > 0:
        msg = f"the standard uncertainty of a placed mark must be above 0 px, got {placing_u_px}"
        raise ValueError(msg)
    own = f"{name}_placed"
    kept: dict[str, Any] = {"placed_px": px.tolist(), "placing_u_px": placing_u_px}
    if "geometry" not in evidence:
        return Refusal(own, notes.NOTHING_TO_PLACE_ON, evidence=kept)
    try:
        geometry = geometry_from(evidence["geometry"])
    except ValueError as error:
        return Refusal(own, notes.NOTHING_TO_PLACE_ON, str(error), kept)
    off = _line_off(geometry, px) if name == "pressure_line_angle" else _mark_off(geometry, px)
    if off:
        remedy = notes.LINE_PLACED_OFF if name == "pressure_line_angle" else notes.CREEP_PLACED_OFF
        return Refusal(own, remedy, off, kept)
    return _reading(own, geometry, _VALUES[name], px, _UNITS[name], placing_u_px, kept)


def _line(geometry: TireGeometry, px: Array) -> float:
    """Angle (deg) of two marks on the sidewall against the reading's level."""
    xy = _wall(geometry, px)
    run = xy[1] - xy[0]
    angle = float(np.degrees(np.arctan2(-run[1], run[0])))
    return (angle - geometry.level_deg + 90) % 180 - 90


def _arc(geometry: TireGeometry, px: Array) -> float:
    """Arc (mm) at the flange from the rim's mark to the tire's, positive counter-clockwise as seen."""
    xy = geometry.pose.meet(geometry.camera.rays(px))
    clock = np.arctan2(xy[:, 0], -xy[:, 1])
    return -float(np.angle(np.exp(1j * (clock[0] - clock[1])))) * geometry.pose.radius_mm


_VALUES: dict[str, Callable[[TireGeometry, Array], float]] = {"pressure_line_angle": _line, "creep_arc": _arc}


def _wall(geometry: TireGeometry, px: Array) -> Array:
    return meet(geometry.shape, geometry.ground, geometry.pose, geometry.camera.rays(px))[:, :2]


def _line_off(geometry: TireGeometry, px: Array) -> str:
    """What is wrong with marks for a line; empty where nothing is."""
    xy = _wall(geometry, px)
    r = np.hypot(xy[:, 0], xy[:, 1])
    low, high = (
        geometry.pose.radius_mm - OFF_SIDEWALL_MM,
        geometry.shape.outside_diameter / 2 + OFF_SIDEWALL_MM,
    )
    if not ((r > low) & (r < high)).all():  # also where a mark far outside the photo has no place
        return "a mark lies beside the sidewall"
    apart = float(np.hypot(*(xy[1] - xy[0])))
    return "" if apart >= SHORTEST_MM else f"the marks lie {apart:.0f} mm apart"


def _mark_off(geometry: TireGeometry, px: Array) -> str:
    xy = geometry.pose.meet(geometry.camera.rays(px))
    off = np.abs(np.hypot(xy[:, 0], xy[:, 1]) - geometry.pose.radius_mm)
    if not (off <= OFF_EDGE_MM).all():
        return f"a mark lies {np.nanmax(off):.0f} mm off the flange's edge"
    apart = abs(_arc(geometry, px))
    return "" if apart <= MOST_ARC_MM else f"the marks lie {apart:.0f} mm apart along the edge"


def _reading(
    own: str, geometry: TireGeometry, value: Callable[[TireGeometry, Array], float], px: Array, unit: str,
    placing_u_px: float, kept: dict[str, Any],
) -> Reading:  # fmt: skip
    placing = _placing(geometry, value, px) * placing_u_px

    def apart(one: TireGeometry) -> float:
        return value(one, px) - value(one, one.read_px)

    here = apart(geometry)
    gradient = np.array([(apart(a) - apart(b)) / step for a, b, step in geometry.moved_each()])
    by_geometry = float(gradient @ geometry.covariance @ gradient)
    by_geometry += sum((apart(one) - here) ** 2 for one in geometry.shapes())
    shared = max(geometry.read_u**2 - geometry.edges_u**2, 0.0)
    doubts = {
        "shared_u": float(np.sqrt(shared)),
        "own_u": placing,
        "difference_u": float(np.sqrt(by_geometry + geometry.edges_u**2 + placing**2)),
    }
    budget = (
        BudgetLine("geometry and level of the photo's reading", doubts["shared_u"]),
        BudgetLine("placing of both marks", placing),
    )
    expanded = COVERAGE_FACTOR * float(np.hypot(doubts["shared_u"], placing))
    return Reading(own, value(geometry, px), unit, expanded, budget, kept | doubts)


def _placing(geometry: TireGeometry, value: Callable[[TireGeometry, Array], float], px: Array) -> float:
    """Standard uncertainty that one pixel in each direction of each mark leaves in the value."""
    total = 0.0
    for mark in range(2):
        for axis in range(2):
            step = np.zeros((2, 2))
            step[mark, axis] = _STEP_PX
            total += ((value(geometry, px + step) - value(geometry, px - step)) / (2 * _STEP_PX)) ** 2
    return float(np.sqrt(total))
