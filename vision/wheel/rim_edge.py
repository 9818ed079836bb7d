"""The flange's outer edge about a guess, found in linear light across its predicted course."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from vision.camera import Camera
from vision.edges import binned, fit_steps, to_contrast
from vision.photo import Photo
from vision.wheel.pose import CirclePose

Array = NDArray[np.float64]
BIN = 3  # profiles averaged to one point
SYSTEMATIC_PX = 0.05  # what paint, dirt and the edge's own roundness leave at a point, judged


@dataclass(frozen=True)
class EdgePoints:
    """Points (N, 2) px with the unit normals (N, 2) across the edge, outward, and sd (N,) px.

    `share` is the part of the circle's course that gave a point, `polarity` +1 where the
    edge turns brighter outward and −1 where it turns darker.  `blur_px` is the edge-spread sigma.
    """

    px: Array
    normal: Array
    sigma: Array
    share: float
    polarity: float
    blur_px: float = float("nan")


def edge_points(photo: Photo, camera: Camera, pose: CirclePose, reach_px: float, count: int) -> EdgePoints:
    """Find the edge nearest to a circle's predicted course, of the polarity that prevails.

    Parameters
    ----------
    reach_px : float, > 0
        How far from the course the edge may lie.
    count : int
        Points about the whole circle.
    """
    azimuth = np.linspace(0, 2 * np.pi, count * BIN, endpoint=False)
    course = camera.project(pose.points(azimuth))
    along = np.roll(course, -1, axis=0) - np.roll(course, 1, axis=0)
    normal = np.column_stack([along[:, 1], -along[:, 0]])
    normal /= np.linalg.norm(normal, axis=1, keepdims=True)
    outward = course - course.mean(axis=0)
    normal *= np.sign(np.sum(normal * outward, axis=1, keepdims=True))
    half = reach_px + 6.0
    t = np.arange(-half, half + 0.01, 0.5)
    height, width = photo.pixels.shape[:2]
    low = np.maximum(np.floor(course.min(axis=0) - half - 2), 0).astype(int)
    high = np.minimum(np.ceil(course.max(axis=0) + half + 3), [width, height]).astype(int)
    middle, across = binned(course, BIN), binned(normal, BIN)
    across = across / np.linalg.norm(across, axis=1, keepdims=True)
    inside: NDArray[np.bool_] = np.asarray(
        ((middle > half) & (middle < np.array([width, height]) - 1 - half)).all(axis=1), np.bool_
    )
    if (high - low < 8).any() or not inside.any():
        return EdgePoints(np.zeros((0, 2)), np.zeros((0, 2)), np.zeros(0), 0.0, 0.0)
    x, y = (course[:, None, k] + t * normal[:, None, k] for k in (0, 1))
    profiles = binned(photo.linear_at(x, y).astype(float), BIN)
    rough, polarity = _rough_places(profiles.mean(axis=2), t, reach_px, inside)
    scalar, _ = to_contrast(profiles, t, rough, 1.5, 5.0)
    steps = fit_steps(scalar, t, rough, 1.2, 5.0, free_blur=True)
    good = steps.good & inside & (steps.contrast > 0.02) & (np.abs(steps.position) < reach_px)
    # to_contrast turns every step upward; its polarity is that of the grey about it.
    grey = profiles.mean(axis=2)
    off = t[None, :] - steps.position[:, None]
    rise = _mean(grey, (off > 1.5) & (off < 5)) - _mean(grey, (off < -1.5) & (off > -5))
    good &= np.sign(rise) == polarity
    px = middle + steps.position[:, None] * across
    sigma = np.hypot(steps.sigma, SYSTEMATIC_PX)
    blur = float(np.median(steps.blur[good])) if good.any() else float("nan")
    return EdgePoints(px[good], across[good], sigma[good], float(good.mean()), polarity, blur)


def _rough_places(grey: Array, t: Array, reach: float, inside: NDArray[np.bool_]) -> tuple[Array, float]:
    """Steepest place (B,) of each profile within reach, for the polarity that most profiles have."""
    width = 6  # samples on either side, 3 px
    total = np.cumsum(np.pad(grey, ((0, 0), (1, 0))), axis=1)
    rise = np.zeros_like(grey)
    n = grey.shape[1]
    k = np.arange(width, n - width)
    rise[:, k] = (total[:, k + width] - total[:, k] - total[:, k] + total[:, k - width]) / width
    rise[:, np.abs(t) > reach] = 0
    up, down = rise.max(axis=1), -rise.min(axis=1)
    polarity = 1.0 if np.median((up - down)[inside]) > 0 else -1.0
    return t[np.argmax(polarity * rise, axis=1)] - 0.25, polarity


def _mean(values: Array, where: NDArray[np.bool_]) -> Array:
    return np.asarray((values * where).sum(axis=1) / np.maximum(where.sum(axis=1), 1))
