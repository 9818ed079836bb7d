"""A person's two marks on the bare photo, converted by the geometry of the reading.

The confirming person places the band's visible edge and the rim's visible
front, and never sees the machine's.  The ray of each mark meets the cylinder of
the piston's (band) or of the collar's (rim) radius on its near side; only the
place along the axis counts, so a mark beside the front line, where a ring is
bowed, gives the same length as one on it.

How sure
--------
Camera, axis and radii are the reading's own.  Their doubt, the scale above all,
moves the person's length and the machine's alike: it belongs into the U of
each, and *not twice* into the doubt of their difference.  So a placed reading
carries, in its evidence, three standard uncertainties in mm:

``shared_u_mm``
    of the common geometry; agreement says nothing about it.  The scale is
    tested elsewhere: card against diameters, and a mark on the card's graduations.
``own_u_mm``
    of the placing alone.
``difference_u_mm``
    of *placed minus read*, from the joint covariance: what both share has
    cancelled, what is left are the person's marks and the machine's own edges.
    `compare` uses it.  Combining the two U as if they were independent would
    accept differences that edges alone cannot explain.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from vision import notes
from vision.notes import Remedy
from vision.results import COVERAGE_FACTOR, BudgetLine, Reading, Refusal, Result
from vision.strut.geometry import StrutGeometry, geometry_from

Array = NDArray[np.float64]
NAME = "strut_extension_placed"
# Dragged at quarter speed at full zoom, so that the hand adds a fraction of a pixel; what is left is
# where in a blur of one or two pixels an eye puts the edge.  Common practice, no source: a shop finds
# its own with a repeatability study (vision/agreement) and gives it.
PLACING_U_PX = 1.0
BEYOND_MM = 3.0  # a mark this far off an outline was still meant for the edge's end
# Nodes for a normal error of placing: exact for polynomials to the ninth degree, so that the
# square root at an outline does no harm.
_NODES, _WEIGHTS = np.polynomial.hermite_e.hermegauss(5)


@dataclass(frozen=True)
class Comparison:
    """A placed length against a reading of the same photo.

    Attributes
    ----------
    difference_mm : float
        Placed minus read.
    expanded_mm : float, > 0
        95 % of the difference where nobody erred: geometry counted once.
    """

    difference_mm: float
    expanded_mm: float

    @property
    def agree(self) -> bool:
        """Whether the doubts of the edges explain the difference."""
        return abs(self.difference_mm) <= self.expanded_mm


def placed_length(
    evidence: Mapping[str, Any],
    from_px: Sequence[float],
    to_px: Sequence[float],
    *,
    placing_u_px: float = PLACING_U_PX,
) -> Result:
    """Convert a person's marks to the extension that they mean.

    Parameters
    ----------
    evidence : mapping
        Of the photo's reading, with its ``"geometry"``.
    from_px, to_px : (x, y)
        Marks on the band's upper edge and on the collar's lower rim, in px of the upright photo.
    placing_u_px : float, > 0
        Standard uncertainty of a mark, in each direction.

    Returns
    -------
    Reading or Refusal
        Named ``strut_extension_placed``, value in mm; not held against limits.
        It is refused where the photo gave no reading, or a mark lies on nothing.

    Raises
    ------
    ValueError
        A mark is not two finite numbers, or `placing_u_px` is not positive.
    """
    start, end = _mark(from_px), _mark(to_px)
    if not placing_u_px > 0:
        msg = f"the standard uncertainty of a placed mark must be above 0 px, got {placing_u_px}"
        raise ValueError(msg)
    marks = {"from_px": start.tolist(), "to_px": end.tolist(), "placing_u_px": placing_u_px}
    if "geometry" not in evidence:
        return Refusal(NAME, notes.NOTHING_TO_PLACE_ON, evidence=marks)
    try:
        geometry = geometry_from(evidence["geometry"])
    except ValueError as error:
        return Refusal(NAME, notes.NOTHING_TO_PLACE_ON, str(error), marks)
    off = _off_the_strut(geometry, start, end)
    if off is not None:
        return Refusal(NAME, *off, evidence=marks)
    (s_from,), (s_to,) = geometry.places(start[None], end[None])
    if s_to <= s_from:
        return Refusal(NAME, notes.MARKS_EXCHANGED, f"by {s_from - s_to:.0f} mm", marks)
    return _reading(geometry, start, end, placing_u_px, marks)


def compare(reading: Reading, placed: Reading) -> Comparison:
    """Compare a placed length with the reading of the same photo, the common geometry counted once.

    Raises
    ------
    ValueError
        The second is no placed length.
    """
    if placed.name != NAME:
        msg = f"a placed length was expected second, named {NAME!r}, got {placed.name!r}"
        raise ValueError(msg)
    return Comparison(
        placed.value - reading.value, COVERAGE_FACTOR * float(placed.evidence["difference_u_mm"])
    )


def _mark(px: Sequence[float]) -> Array:
    mark = np.asarray(px, float)
    if mark.shape != (2,) or not np.isfinite(mark).all():
        msg = f"a placed mark is two finite numbers (x, y) in px, got {px!r}"
        raise ValueError(msg)
    return mark


def _off_the_strut(geometry: StrutGeometry, start: Array, end: Array) -> tuple[Remedy, str] | None:
    for what, px, radius in (
        ("the band's edge", start, geometry.piston_radius_mm),
        ("the rim", end, geometry.collar_radius_mm),
    ):
        beyond = geometry.beyond_outline_mm(px, radius)
        if not beyond <= BEYOND_MM:  # also where a mark far outside the photo has no ray
            return notes.MARK_OFF_STRUT, f"that of {what}, by {beyond:.0f} mm"
    return None


def _placing(geometry: StrutGeometry, start: Array, end: Array, u_px: float) -> tuple[float, float]:
    """Standard uncertainties (mm) that placing gives to the two ends."""
    dx, dy = (grid.ravel() for grid in np.meshgrid(_NODES, _NODES))
    weights = np.outer(_WEIGHTS, _WEIGHTS).ravel() / _WEIGHTS.sum() ** 2
    off = u_px * np.column_stack([dx, dy])
    there = geometry.places(start + off, end + off)
    here = geometry.places(start[None], end[None])
    band, rim = (float(np.sqrt(weights @ (a - b) ** 2)) for a, b in zip(there, here, strict=True))
    return band, rim


def _reading(
    geometry: StrutGeometry, start: Array, end: Array, u_px: float, marks: dict[str, Any]
) -> Reading:
    (s_from,), (s_to,) = geometry.places(start[None], end[None])
    band_u, rim_u = _placing(geometry, start, end, u_px)
    own = float(np.hypot(band_u, rim_u))
    gradient = geometry.gradient(start, end)
    shared = geometry.recess_u_mm**2 + float(gradient @ geometry.covariance @ gradient)
    shared *= 1 + geometry.scale_excess
    # Placed minus read: the reading is to_mm − from_mm.
    apart = gradient.copy()
    apart[-2:] -= [-1.0, 1.0]
    edges = float(apart @ geometry.covariance @ apart) + geometry.own_u_mm**2
    doubts = {
        "shared_u_mm": float(np.sqrt(shared)),
        "own_u_mm": own,
        "difference_u_mm": float(np.sqrt(max(edges, 0.0) + own**2)),
    }
    budget = (
        BudgetLine("geometry of the photo's reading", doubts["shared_u_mm"]),
        BudgetLine("placing of the rim", rim_u),
        BudgetLine("placing of the band's edge", band_u),
    )
    return Reading(
        NAME,
        float(s_to - s_from) + geometry.recess_mm,
        "mm",
        COVERAGE_FACTOR * float(np.hypot(doubts["shared_u_mm"], own)),
        budget,
        marks | doubts,
        (notes.EXTENSION_ONLY,),
    )
