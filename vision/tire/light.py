"""Linear light at places of the wheel, and the reading of a grid laid over the sidewall."""

import numpy as np
from numpy.typing import NDArray

from vision.camera import Camera
from vision.photo import Photo
from vision.tire.profile import to_camera
from vision.wheel import CirclePose

Array = NDArray[np.float64]


def pixels_of(camera: Camera, pose: CirclePose, points: Array) -> Array:
    """Return the pixels (…, 2) of points (…, 3) of the wheel's frame."""
    flat = camera.project(to_camera(pose, points.reshape(-1, 3)))
    return flat.reshape(*points.shape[:-1], 2)


def light_at(photo: Photo, px: Array, outside: float = 0.1) -> Array | None:
    """Return the linear light (…, 3) at pixels (…, 2); None where more than a share lies outside."""
    rows = _within(photo, px, outside)
    if rows is None:
        return None
    return np.asarray(photo.linear_at(*rows).reshape(*px.shape[:-1], 3), np.float64)


def grey_at(photo: Photo, px: Array, outside: float = 0.1) -> Array | None:
    """Return the mean (…) of the colours' linear light; else as `light_at`, and in half its time."""
    rows = _within(photo, px, outside)
    return None if rows is None else np.asarray(photo.grey_at(*rows).reshape(px.shape[:-1]), np.float64)


def _within(photo: Photo, px: Array, outside: float) -> tuple[Array, Array] | None:
    """Places x, y in rows (N, T); None where more than a share of them lies outside the photo."""
    height, width = photo.pixels.shape[:2]
    rows = px.reshape(-1, px.shape[-2], 2)
    x, y = rows[..., 0], rows[..., 1]
    beyond = (x < 0) | (x > width - 1) | (y < 0) | (y > height - 1)
    return None if beyond.mean() > outside else (x, y)
