"""The dark gap between a tire and the ground: where it is deepest the two touch.

Under the tire's overhang the ground is in shadow.  Where that shadow is deep its edge is a sharper step
than the contact itself, some mm before it, and would be read as the contact: 10 mm low and 1° turned on
large tires seen from above.  From such an edge upward the ground turns darker to where it meets the rubber.
"""

import numpy as np
from numpy.typing import NDArray
from scipy.ndimage import gaussian_filter1d

from vision.camera import Camera
from vision.photo import Photo
from vision.tire.light import grey_at, pixels_of
from vision.tire.profile import Shape
from vision.wheel import CirclePose

Array = NDArray[np.float64]

STEP_MM = 0.25
REACH_MM = 9.0  # above an edge, how far a gap may reach; for a tire of 500 mm, further for larger ones
FOOT_MM, FOOT_PX = 1.5, 1.5  # above an edge, where a contact's own dark line is
DEEPER = 0.35  # of ln(light): how much darker a gap is than that; sound contacts up to 0.2, gaps 0.7 on
MOST_GAP_MM, MOST_GAP_PX = 2.5, 3.0  # a step's own foot: half its blur and the dark line of a sound contact
RISES = 0.12  # of ln(light): what ends the way down into the gap
LIGHTER = 0.2  # of ln(light): how much lighter the rubber above a gap is
_ON_THE_WAY, _BY_THEN = 0.4, 0.1  # so far up to a gap's depth, so much of it must have come: judged
_RUBBER_MM = 8.0  # above a gap's depth, where that rubber is; for a tire of 500 mm
_SMOOTH_MM = 0.8
_NEAR_MM = 3.0  # about the gap's depth in the middle, where each place's own is looked for
_COLUMNS = 9  # averaged: gravel is as rough as the gap is deep


def log_light(photo: Photo, camera: Camera, pose: CirclePose, points: Array) -> Array | None:
    """Return ln(light) (N, M) at points (N, M, 3) of the wheel's frame; None outside the photo."""
    light = grey_at(photo, pixels_of(camera, pose, points), 0.0)
    return None if light is None else np.log(light + 0.004)


def courses(ground_at: Array, down: Array, depth: Array, off: Array) -> Array:
    """Return points (N, M, 3) across a contact.

    Parameters
    ----------
    ground_at : (N, 2) array
        Places on the ground's line in the wheel's plane, mm.
    down : (2,) array
        Unit vector.
    depth : (N,) array
        The contact's front edge behind the flange there, mm.
    off : (M,) array
        mm below the line.
    """
    xy = ground_at[:, None, :] + off[None, :, None] * down
    z = np.broadcast_to(depth[:, None, None], (*xy.shape[:2], 1))
    return np.concatenate([xy, z], axis=2)


def gap_above(log: Array, off: Array, px_per_mm: float, shape: Shape) -> tuple[float, bool]:
    """Return how far (mm) above the place off = 0 the dark gap is deepest, and whether it is one.

    0 where it begins with the edge.  What has no lighter rubber above its darkest place is no gap: it may
    be shaded rubber as well as shaded ground, and nobody knows where the one ends.

    Parameters
    ----------
    log : (N, M) array
        ln(light), rubber dark before lighter ground.
    off : (M,) array
        mm, increasing downward, in `STEP_MM`.
    """
    middle = gaussian_filter1d(np.median(log, axis=0), _SMOOTH_MM / STEP_MM)
    large = max(shape.outside_diameter / 500.0, 1.0)
    foot = int(np.argmin(np.abs(off + FOOT_MM * large + FOOT_PX / px_per_mm)))
    lowest, last = foot, int(np.argmin(np.abs(off + REACH_MM * large)))
    for k in range(foot, last - 1, -1):
        if middle[k] < middle[lowest]:
            lowest = k
        if middle[k] > middle[lowest] + RISES:
            break
    gap, deeper = -float(off[lowest]), float(middle[foot] - middle[lowest])
    if deeper < DEEPER or gap < MOST_GAP_MM * large + MOST_GAP_PX / px_per_mm:
        # Right above the edge it is as dark as anywhere: rubber, of a contact as it ought to look.
        return 0.0, False
    if middle[foot] - middle[foot - round(_ON_THE_WAY * (foot - lowest))] < _BY_THEN * deeper:
        # Rubber as light as at the foot lies between: what is darker further up is a line painted on it.
        return 0.0, False
    above = middle[max(lowest - round(_RUBBER_MM * large / STEP_MM), 0) : lowest + 1]
    return gap, bool(above.max() > middle[lowest] + LIGHTER)


def deepest(log: Array, off: Array, gap: float) -> Array:
    """Return where (N,) mm below off = 0 each place's gap is deepest; NaN where that is unclear."""
    kernel = np.ones(_COLUMNS) / _COLUMNS
    smooth = np.apply_along_axis(
        lambda c: np.convolve(np.pad(c, _COLUMNS // 2, "edge"), kernel, "valid"), 0, log
    )
    smooth = gaussian_filter1d(smooth, _SMOOTH_MM / STEP_MM, axis=1)
    first, last = (int(np.argmin(np.abs(off - at))) for at in (-gap - _NEAR_MM, -gap + _NEAR_MM))
    window = smooth[:, first : last + 1]
    k = np.argmin(window, axis=1)
    rows = np.arange(len(k))
    inside = (k > 0) & (k < window.shape[1] - 1)
    k = np.clip(k, 1, window.shape[1] - 2)
    a, b, c = (window[rows, k + d] for d in (-1, 0, 1))
    sub = np.clip((a - c) / (2 * np.maximum(a - 2 * b + c, 1e-9)), -0.5, 0.5)
    return np.asarray(np.where(inside, off[first + k] + sub * STEP_MM, np.nan))
