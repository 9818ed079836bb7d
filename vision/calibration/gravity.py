"""How far the gravity that a phone writes into its files is turned off: from one photo of a plumb line."""

from collections.abc import Sequence

import numpy as np

from vision import notes
from vision.camera import Camera
from vision.camera_file import CameraFile
from vision.photo import Photo
from vision.results import Refusal

NAME = "gravity"
FARTHEST_DEG = 5.0  # a phone's sensor sits straighter than that


def gravity_offset(
    photo: Photo, camera: CameraFile, plumb_px: Sequence[tuple[float, float]]
) -> float | Refusal:
    """Return what is to be added to the roll that this phone's gravity tells, degrees, counter-clockwise.

    A plumb line lies in a plane through the camera, and gravity lies in that plane at whatever depth and
    pitch the line is seen; so far gravity is turned about the lens's axis until it does.

    Parameters
    ----------
    camera : CameraFile
        Calibration as it lies in this photo (`CameraFile.check_fits`).
    plumb_px : sequence of two (x, y)
        Points on the line, px of the upright photo.

    Returns
    -------
    float or Refusal
        Refused where the file tells no gravity, or what it tells is over 5° off the line.
    """
    if photo.facts.gravity is None:
        return Refusal(NAME, notes.NO_GRAVITY)
    lens = Camera(camera.f_px, camera.cx_px, camera.cy_px, camera.k1)
    first, second = lens.rays(np.asarray(plumb_px, float))
    n = np.cross(first, second)
    n = n / np.linalg.norm(n)
    x, y, z = photo.facts.gravity
    # Turned by a, gravity is (x cos a + y sin a, y cos a - x sin a, z): p cos a + q sin a + r = 0.
    p, q, r = n[0] * x + n[1] * y, n[0] * y - n[1] * x, n[2] * z
    size = float(np.hypot(p, q))
    if abs(r) >= size:
        return Refusal(NAME, notes.PLUMB_FAR_OFF)
    middle, half = float(np.arctan2(q, p)), float(np.arccos(-r / size))
    turns = np.degrees((np.array([middle - half, middle + half]) + np.pi) % (2 * np.pi) - np.pi)
    turn = float(turns[np.argmin(np.abs(turns))])
    if abs(turn) > FARTHEST_DEG:
        return Refusal(NAME, notes.PLUMB_FAR_OFF, f"{abs(turn):.0f}° apart")
    return turn
