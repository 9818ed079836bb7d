"""Is a circle the wheel's last one?  Outside a flange's outer edge there is rubber and no stronger ring.

A hub cap, the bead seat or a lip's inner edge is a circle too, as round and as sharp as the flange.
"""

import cv2
import numpy as np
from numpy.typing import NDArray

from vision.camera import Camera
from vision.photo import SRGB, Photo
from vision.wheel.pose import CirclePose

Array = NDArray[np.float64]

FARTHEST = 1.30  # of the radius, where nothing else is known: well inside any tire's sidewall
_BESIDE = 0.012  # of the radius: what lies right beside a circle
_OUTSHONE, _ALIKE = 2.0, 0.25  # a fine line's ring inside over its own step; light across it over that ring's
MOST_BEYOND = 0.55  # of the circle's own step
_STEP, _WINDOW = 0.008, 3  # of the radius; steps averaged on either side


def step_beyond(
    photo: Photo, camera: Camera, pose: CirclePose, farthest: float = FARTHEST, azimuths: int = 180
) -> float:
    """Return the strongest step of light outside a circle over the circle's own, the median about it.

    It is looked for out to `farthest` radii.  Azimuths where the circle itself shows no step, hidden
    behind something, do not count.
    """
    share = np.arange(0.93, farthest + 0.03, _STEP)
    grey = _across(photo, camera, pose, share, azimuths)
    if grey is None:
        return float("inf")
    k, rise = _rises(grey)
    at = share[k] - _STEP / 2
    own = rise[:, np.abs(at - 1) < 0.02].max(axis=1)
    beyond = rise[:, (at > 1.035) & (at < farthest)].max(axis=1)
    clear = own > max(0.3 * float(np.quantile(own, 0.75)), 0.01)
    if clear.sum() < 0.25 * azimuths:
        return float("inf")
    return float(np.median(beyond[clear] / own[clear]))


def is_fine_line(photo: Photo, camera: Camera, pose: CirclePose, azimuths: int = 180) -> bool:
    """Return whether a circle is a fine line on one surface, with a far stronger ring close inside.

    So a moulded rib of the sidewall looks: rubber on both sides of it.  A flange parts metal from rubber.
    """
    share = np.arange(0.8, 1.06, _STEP)
    grey = _across(photo, camera, pose, share, azimuths)
    if grey is None:
        return False
    k, rise = _rises(grey)
    at = share[k] - _STEP / 2
    own = rise[:, np.abs(at - 1) < 0.02].max(axis=1)
    inside = np.maximum(rise[:, at < 0.965].max(axis=1), 1e-4)
    inner, outer = (np.abs(share - place) < _BESIDE / 2 for place in (1 - 1.5 * _BESIDE, 1 + 1.5 * _BESIDE))
    between = np.abs(np.median(grey[:, inner], axis=1) - np.median(grey[:, outer], axis=1))
    return bool(
        np.median(inside / np.maximum(own, 1e-4)) > _OUTSHONE and np.median(between / inside) < _ALIKE
    )


def _across(
    photo: Photo, camera: Camera, pose: CirclePose, share: Array, azimuths: int
) -> NDArray[np.float64] | None:
    """Light (azimuths, len(share)) across a circle; None where it goes out of the photo."""
    a = np.linspace(0, 2 * np.pi, azimuths, endpoint=False)
    x, y, _ = pose.frame
    out = np.cos(a)[:, None] * x + np.sin(a)[:, None] * y
    points = pose.centre + (pose.radius_mm * share)[None, :, None] * out[:, None, :]
    px = camera.project(points.reshape(-1, 3))
    height, width = photo.pixels.shape[:2]
    if (px.max(axis=0) < 4).any() or (px.min(axis=0) > np.array([width, height]) - 5).any():
        return None
    local = px.reshape(azimuths, len(share), 2).astype(np.float32)
    # Nothing is located here, so samples are taken from the coded picture and only they brought to light.
    coded = cv2.remap(
        photo.pixels, local[..., 0], local[..., 1], cv2.INTER_LINEAR, borderMode=cv2.BORDER_REPLICATE
    )
    return np.asarray(SRGB.linear(np.asarray(coded, np.uint8)).mean(axis=2), np.float64)


def _rises(grey: Array) -> tuple[NDArray[np.int_], Array]:
    """Steps of light (azimuths, K) and where they are: indices (K,) of the first sample after each."""
    total = np.cumsum(np.pad(grey, ((0, 0), (1, 0))), axis=1)
    k = np.arange(_WINDOW, grey.shape[1] - _WINDOW)
    return k, np.abs(total[:, k + _WINDOW] - 2 * total[:, k] + total[:, k - _WINDOW]) / _WINDOW
