"""The first axis of a strut: turned and moved until the red band agrees with it.

It is good to about a pixel at the band, so that edges need not be searched far.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from vision import notes
from vision.camera import Camera
from vision.cylinder import Axis, elevation_deg
from vision.notes import Remedy
from vision.scale import CardFix
from vision.scale.told import StandOff
from vision.strut.beside import CLEAR_PX, PAPER, card_distance_px
from vision.strut.model import STANDOFF_MEAN_MM
from vision.strut.search import BandEdge, BandSides, find_band_edge, find_band_sides
from vision.strut.window import Window, straighten

Array = NDArray[np.float64]
LOOKS = 4
MOST_TURN = 0.15  # rad in one look
WIDTH_TOLERANCE = 0.15
LEAST_WIDTH = 0.5  # of the piston's, where the card hides one side
MOST_BEYOND = 0.05  # of the width of the band, where red goes on beyond its edge


@dataclass(frozen=True)
class FirstAxis:
    """An axis whose origin lies in the band, and what was learnt on the way.

    Attributes
    ----------
    axis : Axis
    s_mm : float
        Axial place of the band's upper edge.
    hidden : (bool, bool)
        Whether the red ends at the card on the left, on the right: the card hides the piston's side,
        or so nearly touches it that neither can be told from the other.
    card_behind : bool
        Whether the red reaches over the card: the card hangs behind the piston's sides.
    """

    axis: Axis
    s_mm: float
    hidden: tuple[bool, bool]
    card_behind: bool

    @property
    def obstacle(self) -> str:
        """What the card hides, in words; empty where it hides nothing."""
        sides = [side for side, hidden in zip(("left", "right"), self.hidden, strict=True) if hidden]
        return f"the card hides or touches its {sides[0]} side" if sides else ""


def first_axis(
    fix: CardFix,
    window: Window,
    camera: Camera,
    axis: Axis,
    radii: tuple[float, float],
    told: StandOff | None,
) -> FirstAxis | tuple[Remedy, str]:
    """Turn and move an axis through the band until it is square to the band's edge and between its sides.

    Each look is through the axis that the one before it found: a lean or an
    elevation wrong by some degrees spoils what is read of the other.

    Parameters
    ----------
    radii : (piston, collar)
        mm.
    told : StandOff, optional
        The card's distance behind the piston's front line gives the axis's
        distance where the card hides one side; the usual one where it is not told.

    Returns
    -------
    FirstAxis, or the remedy and detail of a refusal
    """
    piston, collar = radii
    stand_off_mm = told.value_mm if told else STANDOFF_MEAN_MM
    s_band = piston * float(np.tan(np.radians(elevation_deg(axis, 0.0))))
    hidden, behind = (False, False), False
    for look in range(LOOKS):
        view = straighten(window, camera, axis, 1.6 * collar, -30.0, 60.0)
        found = find_band_edge(view, piston, s_band, window.burnt)
        if found is None:
            return notes.BAND_HIDDEN, ""
        edge = found
        s_band = edge.s_mm - edge.height_mm / 2
        if look:  # the sides of a band that leans are no columns of the view
            sides = find_band_sides(view, piston, edge)
            if sides is None:
                return notes.OUTLINE_LOST, "the band's sides"
            left, right = (float(np.median(card_distance_px(fix, px, PAPER))) for px in sides.px)
            hidden = (abs(left) < CLEAR_PX, abs(right) < CLEAR_PX)
            behind = max(left, right) >= CLEAR_PX
            moved = _moved(fix, axis, piston, sides, hidden, stand_off_mm)
            if moved is None:
                return notes.OUTLINE_LOST, "the band's sides"
            axis = moved
        axis = _turned(axis, edge)
    if edge.beyond_share > MOST_BEYOND:
        return (
            notes.BAND_COVERED,
            f"by {edge.beyond_mm:.0f} mm in {edge.beyond_share:.0%} of its width or more",
        )
    return FirstAxis(axis, edge.s_mm, hidden, behind)


def _moved(
    fix: CardFix,
    axis: Axis,
    radius: float,
    sides: BandSides,
    hidden: tuple[bool, bool],
    stand_off_mm: float,
) -> Axis | None:
    """Move the axis between the band's sides, and as far away as their distance tells.

    With one side hidden it comes to lie its radius beside the other, at the
    distance that the card and its stand-off tell.
    """
    left, right = sides.left_mm, sides.right_mm
    width = right - left
    least = LEAST_WIDTH if any(hidden) else 1 - WIDTH_TOLERANCE
    if all(hidden) or not least < width / (2 * radius) < 1 + WIDTH_TOLERANCE:
        return None
    if not any(hidden):
        return Axis((axis.point + (left + right) / 2 * axis.lateral) * (2 * radius / width), axis.direction)
    rotation, translation = fix.model.pose_of(fix.solution.theta)
    n = rotation[:, 2]
    farther = float((n @ translation + radius - stand_off_mm) / (n @ axis.point))
    middle = right - radius / farther if hidden[0] else left + radius / farther
    return Axis((axis.point + middle * axis.lateral) * farther, axis.direction)


def _turned(axis: Axis, edge: BandEdge) -> Axis:
    """Turn the axis about its origin until the band's edge is square to it: by its lean in the view, and by its bow."""
    lean = float(np.clip(edge.tan_lean, -MOST_TURN, MOST_TURN))
    turn = float(np.clip(edge.tan_turn, -MOST_TURN, MOST_TURN))
    toward = np.cross(axis.direction, axis.lateral)
    toward *= -np.sign(toward @ axis.point)
    # A top that leans towards the camera shows more of itself from above.
    direction = axis.direction + turn * toward - lean * axis.lateral
    return Axis(axis.point, direction / np.linalg.norm(direction))
