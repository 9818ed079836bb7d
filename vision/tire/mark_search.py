"""Where tire and rim show pieces of a slip mark: places of another colour or light about the flange."""

import numpy as np
from numpy.typing import NDArray
from scipy.ndimage import median_filter

from vision.camera import Camera
from vision.photo import Photo
from vision.tire.light import light_at, pixels_of
from vision.tire.mark_parts import Part, apart
from vision.tire.profile import Ground, Shape, depth_at, lip_depth
from vision.wheel import CirclePose

Array = NDArray[np.float64]

FROM_EDGE_MM, TO_EDGE_MM = 2.5, 16.0  # of the rings that are searched, off the flange edge
STEP_DEG = 0.2
LIP_ROWS = 3  # of those rings, on the lip alone
COLOURED = 0.45  # ln(red / green) or ln(green / blue) against the ring's own
BRIGHTER = 0.9  # ln(light) against the ring's own, for a mark without colour
NARROWEST_MM, WIDEST_MM = 5.0, 70.0
CHIP_MM, CHIP_SHARE = 4.0, 0.4  # what breaks off a mark, and of the shorter piece left beside it; judged
FILLED = 0.7  # of a part's greatest change against the ring, in ln: rows that it fills


def ring_points(shape: Shape, ground: Ground | None, on: str, clock: Array, off: Array) -> Array:
    """Return points (len(clock), len(off), 3) of the wheel's frame at distances off the flange edge."""
    r = shape.flange_radius + (off if on == "tire" else -off)
    x = np.sin(clock)[:, None] * r[None, :]
    y = -np.cos(clock)[:, None] * r[None, :]
    z = np.broadcast_to(lip_depth(shape, off), x.shape)
    if on == "tire":
        z = depth_at(shape, ground, x.ravel(), y.ravel()).reshape(x.shape)
    return np.stack([x, y, z], axis=-1)


def find_parts(
    photo: Photo, camera: Camera, pose: CirclePose, shape: Shape, ground: Ground | None, on: str
) -> list[Part] | None:
    """Return the pieces on one side ("tire" or "rim") of the flange's edge; None outside the photo."""
    clock = np.radians(np.arange(0, 360, STEP_DEG))
    off = np.arange(FROM_EDGE_MM, TO_EDGE_MM + 0.1, 1.5)
    light = light_at(photo, pixels_of(camera, pose, ring_points(shape, ground, on, clock, off)), 0.4)
    if light is None:
        return None
    # Nearest the edge: marks may be short, and on the rim they may end with a narrow lip.
    parts = _in_rows(on, light[:, : len(off) // 2 + 2], shape)
    if on == "rim":
        short = [part for part in _in_rows(on, light[:, :LIP_ROWS], shape) if part.coloured]
        parts += [part for part in short if all(_clear(part, other, shape) for other in parts)]
    return parts


def _clear(part: Part, other: Part, shape: Shape) -> bool:
    """Whether two parts of a ring do not overlap."""
    between = np.radians(abs(apart(part.clock_deg, other.clock_deg))) * shape.flange_radius
    return bool(between > (part.width_mm + other.width_mm) / 2)


def _in_rows(on: str, light: Array, shape: Shape) -> list[Part]:
    """Parts of a mark in the light (clocks, rows, 3) of a ring."""
    ring = np.median(light, axis=1)
    log = np.log(ring + 0.004)
    feature = np.column_stack([log[:, 0] - log[:, 1], log[:, 1] - log[:, 2], log.mean(axis=1)])
    window = round(110 / STEP_DEG) | 1
    base = np.column_stack([median_filter(f, window, mode="wrap") for f in feature.T])
    back = np.column_stack([median_filter(c, window, mode="wrap") for c in ring.T])
    off_base = feature - base
    noise = 1.4826 * np.median(np.abs(off_base), axis=0)
    colour = np.abs(off_base[:, :2]).max(axis=1)
    bright = np.abs(off_base[:, 2])
    is_colour = colour > max(COLOURED, 6 * float(noise[:2].max()))
    is_bright = bright > max(BRIGHTER, 6 * float(noise[2]))
    parts = _segments(on, is_colour, off_base, light, back, shape, True)
    return parts + [
        part
        for part in _segments(on, is_bright & ~is_colour, off_base, light, back, shape, False)
        if all(abs(apart(part.clock_deg, other.clock_deg)) > 4 for other in parts)
    ]


def _segments(
    on: str, mask: NDArray[np.bool_], feature: Array, light: Array, back: Array, shape: Shape, coloured: bool
) -> list[Part]:
    n = len(mask)
    if mask.all() or not mask.any():
        return []
    start = int(np.flatnonzero(~mask)[0])
    turned = np.roll(mask, -start)
    # Gaps of half a degree are dirt.
    edges = np.flatnonzero(np.diff(np.concatenate([[False], turned, [False]]).astype(int)))
    runs = [[int(a), int(b)] for a, b in edges.reshape(-1, 2)]
    joined: list[list[int]] = []
    for run in runs:
        if joined and _one_chip(joined[-1], run, shape):
            joined[-1][1] = run[1]
        else:
            joined.append(run)
    parts = []
    for a, b in joined:
        width = np.radians((b - a) * STEP_DEG) * shape.flange_radius
        if not NARROWEST_MM <= width <= WIDEST_MM:
            continue
        index = (np.arange(a, b) + start) % n
        core = index[len(index) // 5 : max(len(index) - len(index) // 5, len(index) // 5 + 1)]
        middle = ((a + b - 1) / 2 + start) * STEP_DEG % 360
        colour = np.median(feature[core], axis=0)
        beside = np.median(back[core], axis=0)
        own = _own(light[core], beside)
        strength = float(np.linalg.norm(own - beside))
        parts.append(Part(on, float(middle), float(width), colour, strength, coloured, own, beside))
    return parts


def _one_chip(before: list[int], run: list[int], shape: Shape) -> bool:
    """Whether what parts two runs of a ring is dirt or a chip: little beside both of them."""
    gap = run[0] - before[1]
    shorter = min(before[1] - before[0], run[1] - run[0])
    mm = np.radians(gap * STEP_DEG) * shape.flange_radius
    return gap <= round(0.6 / STEP_DEG) or bool(mm < CHIP_MM and gap < CHIP_SHARE * shorter)


def _own(light: Array, beside: Array) -> Array:
    """Return a part's own light (3,), from those rows (clocks, rows, 3) that it fills.

    A short part ends within the ring: a median over all rows would be a mixture there.
    """
    rows = np.median(light, axis=0)
    change = np.linalg.norm(np.log(rows + 0.004) - np.log(beside + 0.004), axis=1)
    return np.asarray(np.median(rows[change > FILLED * change.max()], axis=0))
