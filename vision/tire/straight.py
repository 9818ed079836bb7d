"""What a straight line tells of the sidewall under it.

A line is moulded or painted straight in the wheel's plane.  Met with a wrong sidewall its points bend, and
how they bend tells which of the section's numbers are wrong, and so by how much the line is turned.
"""

import numpy as np
from numpy.typing import NDArray

from vision.camera import Camera
from vision.tire.line import Line
from vision.tire.profile import Ground, meet
from vision.tire.section import Learned
from vision.wheel import CirclePose

Array = NDArray[np.float64]

STRAIGHT_U_MM = 0.10  # of a line over a few mm, as moulded and as read; judged
SHARED_MM = 5.0  # over which points err alike
MOST_SIGMAS = 2.0


def learn(line: Line, ground: Ground | None, pose: CirclePose, camera: Camera, known: Learned) -> Learned:
    """Return the section under which a line is straightest, weighed against what was known before.

    Least squares with what was known as the prior, linear about the numbers of the leg's data.
    """
    shape = known.shape.by(-known.steps)
    rays = camera.rays(line.px)
    base = _bend(meet(shape, ground, pose, rays)[:, :2], None)
    frame = _axes(meet(shape, ground, pose, rays)[:, :2])
    moved = shape.moved()
    change = np.column_stack(
        [_bend(meet(one, ground, pose, rays)[:, :2], frame) - base for one in moved.values()]
    )
    each = STRAIGHT_U_MM * np.sqrt(max(SHARED_MM * len(base) / max(line.length_mm, SHARED_MM), 1.0))
    weight = np.linalg.inv(known.covariance)
    normal = change.T @ change / each**2 + weight
    steps = np.linalg.solve(normal, weight @ known.steps - change.T @ base / each**2)
    steps = np.clip(steps, -MOST_SIGMAS, MOST_SIGMAS)
    covariance = np.asarray(np.linalg.inv(normal))
    kept = covariance @ weight  # of what was known
    by_outline = kept @ known.by_outline @ kept.T
    return Learned(shape.by(steps), steps, covariance, by_outline, kept @ known.follows)


def _axes(xy: Array) -> tuple[Array, Array]:
    """Middle (2,) of points and the unit vectors (2, 2) along and across their run."""
    middle = xy.mean(axis=0)
    _, _, turn = np.linalg.svd(xy - middle, full_matrices=False)
    return middle, np.asarray(turn)


def _bend(xy: Array, frame: tuple[Array, Array] | None) -> Array:
    """What a straight line leaves of points (N, 2), mm across their run."""
    middle, turn = _axes(xy) if frame is None else frame
    p = (xy - middle) @ turn.T
    columns = np.column_stack([np.ones(len(p)), p[:, 0]])
    return np.asarray(p[:, 1] - columns @ np.linalg.lstsq(columns, p[:, 1], rcond=None)[0])
