"""Where to stand for the same view: the move and the turn from the present photo to the earlier one.

A flat piece tells both up to two solutions (Faugeras and Lustman 1988; Malis and Vargas,
INRIA RR-6303, 2007, from memory); points off that piece, or else the plainer view, tell which holds.
"""

import math
from collections.abc import Sequence
from dataclasses import asdict, dataclass

import cv2
import numpy as np
from numpy.typing import NDArray

from vision.compare.surfaces import Surface
from vision.compare.view import Matrix

_LITTLE_SHARE, _LITTLE_DEG = 0.03, 2.0
_MOST_WORDS = 3
_NOTHING = 1e-9


@dataclass(frozen=True)
class Stand:
    """How to move and turn, as whoever holds the phone sees it.

    Attributes
    ----------
    right, down, forward : float
        Steps as shares of the distance to what is photographed: 0.1 of 700 mm are 70 mm.
    turn_right_deg, turn_up_deg, roll_clockwise_deg : float
        Turns of the phone, seen from behind it.
    """

    right: float
    down: float
    forward: float
    turn_right_deg: float
    turn_up_deg: float
    roll_clockwise_deg: float

    @property
    def is_same(self) -> bool:
        """Whether it is the same view already, as near as a hand holds it."""
        steps, turns = (self.right, self.down, self.forward), self._turns
        return all(abs(s) < _LITTLE_SHARE for s in steps) and all(abs(t) < _LITTLE_DEG for t in turns)

    @property
    def _turns(self) -> tuple[float, float, float]:
        return self.turn_right_deg, self.turn_up_deg, self.roll_clockwise_deg

    def words(self, distance_mm: float | None = None) -> tuple[str, ...]:
        """Return what to do, the largest first, at most three sentences; empty where nothing is.

        Parameters
        ----------
        distance_mm : float, optional
            To what is photographed, where it is known: steps are then told in cm.
        """
        said: list[tuple[float, str]] = []
        for share, plus, minus in (
            (self.right, "to the right", "to the left"),
            (-self.down, "up", "down"),
            (self.forward, "nearer", "back"),
        ):
            if abs(share) >= _LITTLE_SHARE:
                how = _how_far(abs(share), distance_mm)
                said.append(
                    (abs(share) / _LITTLE_SHARE, f"Move the phone {how} {plus if share > 0 else minus}.")
                )
        for deg, plus, minus in (
            (self.turn_right_deg, "Turn the phone {}° to the right.", "Turn the phone {}° to the left."),
            (self.turn_up_deg, "Tilt the phone {}° up.", "Tilt the phone {}° down."),
            (
                self.roll_clockwise_deg,
                "Roll the phone {}° clockwise.",
                "Roll the phone {}° counter-clockwise.",
            ),
        ):
            if abs(deg) >= _LITTLE_DEG:
                words = (plus if deg > 0 else minus).format(round(abs(deg)))
                said.append((abs(deg) / _LITTLE_DEG, words))
        return tuple(words for _, words in sorted(said, key=lambda one: -one[0])[:_MOST_WORDS])

    def plain(self) -> dict[str, float]:
        """Return the numbers as JSON values."""
        return {name: round(value, 4) for name, value in asdict(self).items()}


def _how_far(share: float, distance_mm: float | None) -> str:
    if distance_mm is not None:
        return f"about {max(1, round(share * distance_mm / 10))} cm"
    return f"about {max(1, round(100 * share))} % of its distance"


def stand_of(surfaces: Sequence[Surface], earlier_camera: Matrix, now_camera: Matrix) -> Stand | None:
    """Return how to move from the present photo's camera to the earlier one's; None where it is not told.

    Parameters
    ----------
    surfaces : sequence of Surface
        The largest first.
    earlier_camera, now_camera : (3, 3) array
        Camera matrices at the size that is worked at.
    """
    if not surfaces:
        return None
    main = surfaces[0]
    pure = np.linalg.inv(now_camera) @ main.matrix @ earlier_camera
    try:
        _, turns, shifts, normals = cv2.decomposeHomographyMat(pure, np.eye(3))
    except cv2.error:
        return None
    rays = _rays(main.earlier, earlier_camera)
    found = []
    for turn, shift, normal in zip(turns, shifts, normals, strict=True):
        # A mere turn tells no plane: its normal is then nothing.
        faces = float(np.median(rays @ np.asarray(normal, float).ravel()))
        if faces > 0 or np.linalg.norm(normal) < _NOTHING:
            others = surfaces[1:]
            off = _off(others, np.asarray(turn), np.asarray(shift, float).ravel(), earlier_camera, now_camera)
            found.append(
                (off, -float(np.asarray(normal).ravel()[2]), np.asarray(turn), np.asarray(shift).ravel())
            )
    if not found:
        return None
    _, _, turn, shift = min(found, key=lambda one: one[:2])
    return Stand(
        float(shift[0]),
        float(shift[1]),
        float(shift[2]),
        math.degrees(math.atan2(turn[0, 2], turn[2, 2])),
        math.degrees(math.atan2(-turn[1, 2], turn[2, 2])),
        math.degrees(math.atan2(turn[1, 0], turn[0, 0])),
    )


def _rays(points: NDArray[np.float64], camera: Matrix) -> NDArray[np.float64]:
    at = np.column_stack([points, np.ones(len(points))])
    return np.asarray(at @ np.linalg.inv(camera).T, np.float64)


def _off(
    surfaces: Sequence[Surface],
    turn: Matrix,
    shift: NDArray[np.float64],
    earlier_camera: Matrix,
    now_camera: Matrix,
) -> float:
    """How far other surfaces' points lie off their epipolar lines, in thousandths of the distance."""
    if not surfaces or np.linalg.norm(shift) < 1e-3:
        return 0.0
    cross = np.array([[0, -shift[2], shift[1]], [shift[2], 0, -shift[0]], [-shift[1], shift[0], 0]])
    essential = cross @ turn / np.linalg.norm(shift)
    offs = []
    for surface in surfaces:
        a, b = _rays(surface.earlier, earlier_camera), _rays(surface.points, now_camera)
        line = a @ essential.T
        offs.append(np.abs(np.sum(b * line, axis=1)) / np.hypot(line[:, 0], line[:, 1]))
    return round(1000 * float(np.median(np.concatenate(offs))))
