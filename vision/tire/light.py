"""Linear light at places of the wheel, and the reading of a grid laid over the sidewall."""

import numpy as np
from numpy.typing import NDArray

from vision.camera import Camera
from vision.edges import sample
from vision.photo import Photo
from vision.tire.profile import to_camera
from vision.wheel import CirclePose

Array = NDArray[np.float64]
_ROW = 2048  # OpenCV takes no more than 32 767 columns at once


def pixels_of(camera: Camera, pose: CirclePose, points: Array) -> Array:
    """Return the pixels (…, 2) of points (…, 3) of the wheel's frame."""
    flat = camera.project(to_camera(pose, points.reshape(-1, 3)))
    return flat.reshape(*points.shape[:-1], 2)


def light_at(photo: Photo, px: Array, outside: float = 0.1) -> Array | None:
    """Return the linear light (…, 3) at pixels (…, 2); None where more than a share lies outside."""
    height, width = photo.pixels.shape[:2]
    flat = px.reshape(-1, 2)
    beyond = ((flat < 0) | (flat > np.array([width - 1, height - 1]))).any(axis=1)
    if beyond.mean() > outside:
        return None
    inner = flat[~beyond]
    low = np.maximum(np.floor(inner.min(axis=0)) - 1, 0).astype(int)
    high = np.minimum(np.ceil(inner.max(axis=0)) + 2, [width, height]).astype(int)
    image = photo.linear(int(low[0]), int(low[1]), int(high[0]), int(high[1]))
    rest = -len(flat) % _ROW
    padded = np.concatenate([flat, np.repeat(flat[-1:], rest, axis=0)]).reshape(-1, _ROW, 2)
    out = sample(image, padded[..., 0] - low[0], padded[..., 1] - low[1]).reshape(-1, 3)
    return np.asarray(out[: len(flat)].reshape(*px.shape[:-1], 3))
