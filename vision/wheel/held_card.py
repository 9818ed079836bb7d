"""A scale card held flat against a wheel, and what it says of the flange before both are fitted together.

The card's plane is the wheel's but for the hand that holds it (`PARALLEL_U_DEG`) and the distance
between the two (`StandOff`).  So it tells which of the flange's two poses is the true one, and
where a circle of the flange's diameter runs through few taps.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from vision.camera import Camera
from vision.card import Card
from vision.photo import Photo
from vision.results import Refusal
from vision.scale import CameraKnowledge, CardFix, find_card
from vision.scale.markers import find_markers
from vision.scale.model import P
from vision.scale.told import BAR_U_MM, Bars, StandOff, print_knowledge
from vision.wheel.flange import WheelFit
from vision.wheel.pose import CirclePose

Array = NDArray[np.float64]

PARALLEL_U_DEG = 2.0  # about either axis, of a card that a hand holds flat against a rim; judged
# A plate of 160 mm that touches with one edge and leans by that has its middle 2.8 mm off.
STAND_OFF_U_MM = 3.0
# Not told: before the flange, by the card's own thickness up to that of a cap or of a hub with its bolts.
USUAL_STAND_OFF = StandOff(-20.0, 20.0)
FEWEST_TAPS = 3
WANTED = 4  # markers: fewer lie at one end of a card, and what they predict of the other goes astray


@dataclass(frozen=True)
class ToldCard:
    """What a person tells of a card that he holds against the wheel.

    Attributes
    ----------
    cards : sequence of Card
        One of which is in the photo; disjoint marker ids.
    check_bar_mm, check_bar_u_mm
        Measured lengths of this copy's bars and their standard uncertainty, where known.
    stand_off : StandOff or None
        Of the card's middle, behind (+) or in front (−) of the plane of the flange's edge.
    """

    cards: Sequence[Card]
    check_bar_mm: Bars | None = None
    check_bar_u_mm: float | None = None
    stand_off: StandOff | None = None


@dataclass(frozen=True)
class HeldCard:
    """A card found in the photo, with the stand-off that is taken; `told` says whether anybody told it."""

    fix: CardFix
    stand_off: StandOff
    told: bool

    @property
    def into(self) -> Array:
        """Unit vector (3,) from the card's face into the wheel, camera frame."""
        rotation, _ = self.fix.model.pose_of(self.fix.solution.theta)
        return np.asarray(rotation[:, 2])

    def flange_plane(self) -> CirclePose:
        """Return the flange's plane as the card alone tells it, as a circle of radius 1 mm."""
        _, middle = self.fix.model.pose_of(self.fix.solution.theta)
        return CirclePose(middle - self.stand_off.value_mm * self.into, -self.into, 1.0)


def hold_card(photo: Photo, told: ToldCard, known: CameraKnowledge) -> HeldCard | Refusal:
    """Find the card that a person says he holds against the wheel.

    Raises
    ------
    CardError
        The check bars are not those of the card in the photo.
    """
    fix = find_card(
        photo,
        told.cards,
        known,
        lambda card: print_knowledge(card, told.check_bar_mm, told.check_bar_u_mm or BAR_U_MM),
        find_markers(photo, WANTED, far=True),
    )
    if isinstance(fix, Refusal):
        return fix
    return HeldCard(fix, told.stand_off or USUAL_STAND_OFF, told.stand_off is not None)


def off_parallel(fit: WheelFit, held: HeldCard) -> tuple[float, float]:
    """Return how far a card leans against a pose of the flange, deg, and its square over what is allowed it.

    The second is chi-squared of two degrees of freedom where the pose is the true one.
    """
    x, y, _ = fit.pose.frame
    lean = np.degrees(np.array([held.into @ x, held.into @ y]))
    turns = np.asarray(held.fix.solution.covariance)[P.ROTATION : P.ROTATION + 2, P.ROTATION : P.ROTATION + 2]
    card_u = float(np.degrees(np.sqrt(np.linalg.eigvalsh(turns)[-1])))
    u2 = PARALLEL_U_DEG**2 + fit.normal_u_deg**2 + card_u**2
    return float(np.hypot(*lean)), float(lean @ lean / u2)


def course_by_card(held: HeldCard, camera: Camera, radius_mm: float, rim_px: Array, count: int = 24) -> Array:
    """Return points (count, 2) px of the circle of a known radius that passes nearest to taps on its edge.

    In the card's plane a known radius leaves only the centre open, so three taps are enough, also on a
    short arc, where a free ellipse is not told.

    Parameters
    ----------
    rim_px : (N ≥ 3, 2) array

    Raises
    ------
    ValueError
        The taps lie on no such circle, or behind the card's horizon.
    """
    plane = held.flange_plane()
    at = plane.meet(camera.rays(rim_px))
    centre, off = min((_centre(at, radius_mm, start) for start in _starts(at, radius_mm)), key=lambda c: c[1])
    if not np.isfinite(off) or off > 0.1 * radius_mm:
        msg = "the points do not lie on a circle of the flange's diameter in the card's plane"
        raise ValueError(msg)
    a = np.linspace(0, 2 * np.pi, count, endpoint=False)
    x, y, _ = plane.frame
    xy = centre + radius_mm * np.column_stack([np.cos(a), np.sin(a)])
    points = plane.centre + xy[:, :1] * x + xy[:, 1:] * y
    if (points[:, 2] <= 0).any():
        msg = "the card's plane passes behind the camera"
        raise ValueError(msg)
    return camera.project(points)


def _starts(at: Array, radius: float) -> list[Array]:
    """First guesses of a centre: on either side of the taps, and amid them where they go all round."""
    middle = at.mean(axis=0)
    _, _, vt = np.linalg.svd(at - middle)
    return [middle, middle + radius * vt[1], middle - radius * vt[1]]


def _centre(at: Array, radius: float, start: Array) -> tuple[Array, float]:
    """The centre (2,) of a circle of known radius nearest to points (N, 2), and the rms they lie off it."""
    centre = np.array(start, float)
    for _ in range(20):
        out = at - centre
        r = np.maximum(np.linalg.norm(out, axis=1), 1e-6)
        step = np.linalg.lstsq(out / r[:, None], r - radius, rcond=None)[0]
        centre += np.clip(step, -radius, radius)
    r = np.linalg.norm(at - centre, axis=1)
    return centre, float(np.sqrt(np.mean((r - radius) ** 2)))
