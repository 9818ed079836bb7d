"""Whether a step of light under a wheel is the one from rubber to ground."""

import numpy as np
from numpy.typing import NDArray

from vision.camera import Camera
from vision.photo import Photo
from vision.tire.crevice import courses, log_light
from vision.tire.profile import Ground, Shape, contact_depth
from vision.wheel import CirclePose

Array = NDArray[np.float64]

_PARTS = ((-0.8, -0.5), (-0.4, -0.15), (-0.15, 0.15), (0.15, 0.4), (0.5, 0.8))  # of half the chord
_IN_PART = 0.4  # of the whole step: what each part must show
_FAR_MM = (11.0, 22.0)  # where a step must have stayed one
LEAST_STEP = 0.16  # of ln(light)
MIDDLE_HALF = 0.43  # of half the chord: the contact's middle half


def parts_tire_and_ground(
    photo: Photo,
    camera: Camera,
    pose: CirclePose,
    shape: Shape,
    ground: Ground,
    polarity: float,
    loose: float,
) -> bool:
    """Whether a step within `loose` mm is one from rubber to ground.

    It is sharp (shading is not), it stays as light or dark as it became (a painted line does not), it
    ends with the tire (a shadow's edge on the ground goes on beside it), and it is there in every part of
    the contact's length (the tread's outline beside the contact is not, nor what crosses the contact).
    """
    chord = float(np.sqrt(max((shape.outside_diameter / 2) ** 2 - ground.distance**2, 1.0)))
    right = np.array([ground.down[1], -ground.down[0]])
    z = float(contact_depth(shape, ground.distance, np.zeros(1))[0])
    large = max(shape.outside_diameter / 500.0, 1.0)
    most = (_FAR_MM[1] + 6) * large
    off = np.arange(-most, most + 0.1, 0.5)

    def profile(first: float, last: float) -> Array | None:
        u = np.linspace(first, last, 24) * chord
        # Beyond the contact its front edge has no depth: the middle's is as good as any.
        depth = contact_depth(shape, ground.distance, u) if max(-first, last) < 1 else np.full(len(u), z)
        on_line = ground.distance * ground.down + u[:, None] * right
        log = log_light(photo, camera, pose, courses(on_line, ground.down, depth, off))
        return None if log is None else polarity * np.median(log, axis=0)

    def steps(log: Array, first: float, last: float, at: Array) -> Array:
        """From the median before to that after, at places (P,)."""
        past = off - at[:, None]
        after = (past >= first) & (past <= last)
        before = (-past >= first) & (-past <= last)
        return np.asarray(_medians(log, after) - _medians(log, before))

    def step(log: Array, first: float, last: float, at: float = 0.0) -> float:
        return float(steps(log, first, last, np.array([at]))[0])

    # On the grid a large tire's line may be turned by some mm from end to end.
    size = large if loose > 2 else 1.0
    inside = profile(-0.4, 0.4)
    if inside is None:
        return False
    # Found on a grid: the step itself may lie a few mm beside.
    reach = np.arange(-loose * size, loose * size + 0.1, 0.5)
    shift = float(reach[int(np.argmax(steps(inside, size, 4.0 * size, reach)))])
    close = step(inside, size, 4.0 * size, shift)
    middle = step(inside, 5.0 * size, 10.0 * size, shift)
    far = step(inside, _FAR_MM[0] * size, _FAR_MM[1] * size, shift)
    if close < 0.6 * LEAST_STEP or close < 0.5 * middle or min(middle, far) < 0.5 * close:
        return False
    for part in _PARTS:
        log = profile(*part)
        # Its ends bend, the more so the larger the tire, and on the grid the line may be turned.
        ends = max(np.abs(part)) > MIDDLE_HALF
        slack = (loose + 1.0) * large if ends else max(loose, 1.0) * size
        places = shift + np.arange(-slack, slack + 0.1, 0.5)
        if log is None:
            return False
        over = steps(log, size, 4.0 * size, places)
        best = int(np.argmax(over))
        here, at = float(over[best]), float(places[best])
        # As sharp as a step, here too: rubber that turns darker towards the ground is none.
        if here < _IN_PART * close or here < 0.4 * step(log, 5.0 * size, 10.0 * size, at):
            return False
    near = shift + np.arange(-2.5, 2.6, 0.5)
    beside = [
        steps(log, size, 4.0 * size, near).max() > 0.6 * close
        for part in ((-1.55, -1.2), (1.2, 1.55)) if (log := profile(*part)) is not None
    ]  # fmt: skip
    # On one side only it may be a shadow's edge that crosses the contact's line there.
    return not (beside and all(beside))


def _medians(values: Array, where: NDArray[np.bool_]) -> Array:
    """Median of those values (N,) that each row of a mask (P, N) names; at least one in each."""
    ordered = np.sort(np.where(where, values, np.inf), axis=1)
    count = where.sum(axis=1)
    rows = np.arange(len(where))
    return np.asarray((ordered[rows, (count - 1) // 2] + ordered[rows, count // 2]) / 2)
