"""Points of a plate card as OpenCV projects them, with known camera and errors.

Nothing here uses the project's own camera or geometry.
"""

from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray

from vision.calibration import View
from vision.card import supplied_card

Array = NDArray[np.float64]
SIZE = (3024, 4032)
F_PX, CENTRE = 3000.0, (1531.5, 2000.5)
PLATE = supplied_card("plate")
SADDLES_MM = np.concatenate([np.asarray(c.saddles_mm(), float) for c in PLATE.checkers])
SADDLES_MM -= np.array([PLATE.width_mm, PLATE.height_mm]) / 2


@dataclass(frozen=True)
class Camera:
    """What decides the points."""

    k1: float = 0.03
    k2: float = 0.0
    noise_px: float = 0.06
    rolling: float = 0.0005  # sd of stretch and shear of each picture
    print_ratio: float = 0.0  # height over width of the print, minus 1


def pose(rng: np.random.Generator, tilt_deg: float) -> tuple[Array, Array]:
    """A card tilted about a random direction, turned in its plane, somewhere in the picture."""
    about, tilt = rng.uniform(0, 2 * np.pi), np.radians(tilt_deg) * rng.uniform(0.7, 1.0)
    lean = cv2.Rodrigues(tilt * np.array([np.cos(about), np.sin(about), 0]))[0]
    turn = cv2.Rodrigues(np.array([0, 0, rng.uniform(-np.pi, np.pi)]))[0]
    far = rng.uniform(350, 550)
    move = far * np.array([*(rng.uniform(-0.25, 0.25, 2) * SIZE / F_PX), 1.0])
    return np.asarray(lean @ turn), move


def view(rng: np.random.Generator, camera: Camera, tilt_deg: float) -> View:
    rotation, move = pose(rng, tilt_deg)
    printed = SADDLES_MM * [1 - camera.print_ratio / 2, 1 + camera.print_ratio / 2]
    stretch, shear = rng.normal(0, camera.rolling, 2) if camera.rolling else (0.0, 0.0)
    unit, _ = cv2.projectPoints(
        np.column_stack([printed, np.zeros(len(printed))]),
        cv2.Rodrigues(rotation)[0],
        move,
        np.eye(3),
        np.array([camera.k1, camera.k2, 0, 0]),
    )
    px = F_PX * unit[:, 0] @ np.array([[1 + stretch, shear], [shear, 1 - stretch]]) + CENTRE
    noise = rng.normal(0, camera.noise_px, px.shape) if camera.noise_px else 0.0
    return View(px + noise, SADDLES_MM, np.full(len(px), max(camera.noise_px, 0.01)))


def views(seed: int, camera: Camera, n: int = 8, tilt_deg: float = 30.0) -> list[View]:
    rng = np.random.default_rng(seed)
    return [view(rng, camera, tilt_deg) for _ in range(n)]
