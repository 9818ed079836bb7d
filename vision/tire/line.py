"""The pressure line on the sidewall: found at the clock positions that mean something, and its angle.

A line is a bar, lighter or darker than the rubber on both of its sides, straight, 20 to 200 mm long.
A step is none (both sides are asked), nor is a moulded ring (it bends with the tire), nor a letter (short).
The search runs in log light on a map of the sidewall, the reading in linear light on a strip along the line.
"""

from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray

from vision.camera import Camera
from vision.photo import Photo
from vision.tire.light import grey_at, pixels_of
from vision.tire.line_pieces import LEAST_CONTRAST, PROBE_MM, pieces, take
from vision.tire.profile import Ground, Shape, depth_at, meet
from vision.wheel import CirclePose

Array = NDArray[np.float64]

SHORTEST_MM, LONGEST_MM = 18.0, 215.0
TIMES_NOISE = 6.0
RIVAL = 0.5  # of the first line's strength
STRAIGHT_MM = 0.45  # rms about a straight line
SIDE_MM = 6.0  # from a bar's middle to where its side is asked
EDGE_MM = 5.0  # from the flange and the tread: what lies nearer is no line
_TRIES = 6


@dataclass(frozen=True)
class Line:
    """A line read on the sidewall.

    Attributes
    ----------
    px : (N, 2) array
        Points along its middle, px.
    weight : (N,) array
        Their weights in a straight fit.
    clock_deg : float, 0 to 360
        Of its middle, 180 over the ground contact.
    length_mm, width_mm : float
    contrast : float
        ln(light) of the line over the rubber; negative for a dark line.
    strength : float
        Contrast times √length: what one line is compared with another by.
    scatter_mm : float
        Of points about the straight line.
    rough_mm : float
        Of points about a smooth course.
    middle_mm : (2,) array
        In the wheel's plane.
    """

    px: Array
    weight: Array
    clock_deg: float
    length_mm: float
    width_mm: float
    contrast: float
    strength: float
    scatter_mm: float
    rough_mm: float
    middle_mm: Array


_SEARCHED_MM = (0.55, 0.8)  # a map's pixel: the narrowest line is 2 mm wide


@dataclass(frozen=True)
class Scene:
    """What a reading on the sidewall needs."""

    photo: Photo
    camera: Camera
    pose: CirclePose
    shape: Shape
    ground: Ground | None
    down: Array
    px_per_mm: float


def find_lines(scene: Scene, clock_deg: tuple[float, float]) -> list[Line]:
    """Return the lines whose middle lies between two clock angles, clockwise; the strongest first."""
    first, last = clock_deg
    span = (last - first) % 360 or 360.0
    parts = max(1, int(np.ceil(span / 62)))
    found: list[Line] = []
    for k in range(parts):
        middle = first + span * (k + 0.5) / parts
        for line in _about(scene, middle, span / parts / 2):
            same = [np.linalg.norm(line.middle_mm - other.middle_mm) < 12 for other in found]
            if within(line.clock_deg, clock_deg, 1.0) and not any(same):
                found.append(line)
    return sorted(found, key=lambda line: -line.strength)


def within(clock_deg: float, allowed: tuple[float, float], margin_deg: float) -> bool:
    """Return whether a clock angle lies in an allowed sector, clockwise from its first to its last angle."""
    first, last = allowed
    span = (last - first) % 360 or 360.0
    return (clock_deg - first + margin_deg) % 360 <= span + 2 * margin_deg


def _axes(scene: Scene, clock_deg: float) -> tuple[Array, Array]:
    """Unit vectors (2,) along the sidewall (counter-clockwise as seen) and outward at a clock angle."""
    a = np.radians(clock_deg - 180.0)
    # 180 is down; clockwise as seen from down goes to the left.
    right = np.array([scene.down[1], -scene.down[0]])
    out = np.cos(a) * scene.down - np.sin(a) * right
    along = np.cos(a) * right + np.sin(a) * scene.down
    return np.asarray(along), np.asarray(out)


def _about(scene: Scene, clock_deg: float, half_deg: float) -> list[Line]:
    shape = scene.shape
    low, high = shape.flange_radius + EDGE_MM, shape.outside_diameter / 2 - EDGE_MM
    step = float(np.clip(1 / scene.px_per_mm, *_SEARCHED_MM))
    reach = high * np.sin(np.radians(min(half_deg, 40.0))) + 0.45 * PROBE_MM
    u = np.arange(-reach, reach + step, step)
    v = np.arange(low * np.cos(np.radians(half_deg)) - 2, high, step)
    along, out = _axes(scene, clock_deg)
    xy = u[None, :, None] * along + v[:, None, None] * out
    light = grey_at(scene.photo, _coarsely(scene, xy), 0.2)
    if light is None:
        return []
    usable = _usable(scene, xy)
    if not usable.any():
        return []
    grey = np.log(light + 0.003).astype(np.float32)
    grey[~usable] = float(np.median(grey[usable]))
    flat = np.asarray(np.where(usable, grey - cv2.GaussianBlur(grey, (0, 0), 9 / step), 0), np.float32)
    noise = 1.4826 * float(np.median(np.abs(flat[usable])))
    found: list[Line] = []
    taken = ~usable
    tries = 0
    for score, row, column, angle, sign in pieces(flat, usable, step):
        if tries >= _TRIES or score < max(0.5 * LEAST_CONTRAST, 0.7 * noise):
            break
        if taken[row, column]:
            continue
        tries += 1
        at = u[column] * along + v[row] * out
        line = _read(scene, at, np.cos(angle) * along + np.sin(angle) * out, sign)
        # Whatever it was, it is not looked at twice.
        take(taken, row, column, angle, step, None if line is None else (line.length_mm, line.width_mm))
        if line is not None and abs(line.contrast) > max(LEAST_CONTRAST, TIMES_NOISE / 6 * noise):
            found.append(line)
    return found


def _usable(scene: Scene, xy: Array) -> NDArray[np.bool_]:
    """Where a map shows sidewall: between flange and tread, and clear of the ground."""
    r = np.linalg.norm(xy, axis=2)
    low, top = scene.shape.flange_radius, np.full(r.shape, scene.shape.outside_diameter / 2)
    if scene.ground is not None:
        cosine = xy @ scene.ground.down / np.maximum(r, 1e-9)
        top = np.minimum(top, scene.ground.distance / np.maximum(cosine, 0.3))
    return np.asarray((r > low + EDGE_MM) & (r < low + 0.92 * (top - low) - 1))


def _coarsely(scene: Scene, xy: Array) -> Array:
    """Return the pixels (H, W, 2) of a map's places (H, W, 2): every eighth projected, filled in between.

    Good for a search (within 0.1 mm on a sidewall), and a fifth of the time; nothing is measured so.
    """
    rows, columns = (np.minimum(np.arange(0, n + 7, 8), n - 1) for n in xy.shape[:2])
    nodes = xy[np.ix_(rows, columns)]
    px = _to_px(scene, nodes.reshape(-1, 2)).reshape(*nodes.shape[:2], 2).astype(np.float32)
    # Nodes lie at 0, 8, 16 …, the last one nearer.
    y, x = (
        np.interp(np.arange(n), at, np.arange(len(at)))
        for n, at in zip(xy.shape[:2], (rows, columns), strict=True)
    )
    across = np.ascontiguousarray(np.broadcast_to(x[None, :], xy.shape[:2]), np.float32)
    along = np.ascontiguousarray(np.broadcast_to(y[:, None], xy.shape[:2]), np.float32)
    return np.asarray(cv2.remap(px, across, along, cv2.INTER_LINEAR), np.float64)


def _light(scene: Scene, xy: Array) -> Array | None:
    flat = xy.reshape(-1, 2)
    z = depth_at(scene.shape, scene.ground, flat[:, 0], flat[:, 1])
    points = np.column_stack([flat, z]).reshape(*xy.shape[:-1], 3)
    return grey_at(scene.photo, pixels_of(scene.camera, scene.pose, points), 0.2)


def _read(scene: Scene, at: Array, direction: Array, sign: float) -> Line | None:
    """Follow a bar to both ends and read its middle column by column."""
    s = np.arange(-LONGEST_MM / 2, LONGEST_MM / 2 + 0.1, 1.0)
    fine = float(np.clip(0.5 / scene.px_per_mm, 0.15, 0.4))
    n = np.arange(-9.0, 9.0 + fine, fine)
    line: Line | None = None
    for first in (True, False):
        across = np.array([-direction[1], direction[0]])
        xy = at + s[:, None, None] * direction + n[None, :, None] * across
        # The first time tells the course only, along which it is read the second time.
        grey = grey_at(scene.photo, _coarsely(scene, xy), 0.2) if first else _light(scene, xy)
        if grey is None:
            return None
        r = np.linalg.norm(at + s[:, None] * direction, axis=1)
        inside = (r > scene.shape.flange_radius + 2) & (r < scene.shape.outside_diameter / 2 - 2)
        # Both sides must be sidewall: what has the ground on one of them is the dark gap over the contact.
        inside &= _usable(scene, xy[:, np.abs(np.abs(n) - SIDE_MM) <= fine / 2]).all(axis=1)
        columns = _middles(grey, n, sign)
        found = _run(columns, s, inside)
        if found is None:
            return None
        where, place, good, width, contrast = found
        line_fit = np.polyfit(s[good], place[good], 1, w=np.ones(int(good.sum())))
        left = np.abs(place - np.polyval(line_fit, s))
        good &= left < max(3 * 1.4826 * float(np.median(left[good])), 0.3)
        if good.sum() < 10:
            return None
        line_fit = np.polyfit(s[good], place[good], 1)
        scatter = float(np.std((place - np.polyval(line_fit, s))[good]))
        # A course that the sidewall's shape bends is smooth, noise and streaks of dust are not.
        smooth = np.polynomial.Polynomial.fit(s[good], place[good], min(3, int(good.sum()) - 2))
        rough = float(np.std(place[good] - smooth(s[good])))
        middle = float(s[where].mean())
        length = float(np.ptp(s[where])) + 1.0
        points = at + s[good, None] * direction + place[good, None] * across
        px = _to_px(scene, points)
        centre = at + middle * direction + float(np.polyval(line_fit, middle)) * across
        if (
            length < SHORTEST_MM
            or scatter > STRAIGHT_MM
            or _bends(s[good], place[good], centre, across, scatter)
        ):
            line = None
        else:
            line = Line(
                px, np.ones(len(px)), _clock(scene, centre), length, width, sign * contrast,
                contrast * float(np.sqrt(length)), scatter, rough, np.asarray(centre),
            )  # fmt: skip
        turn = np.arctan(line_fit[0])
        direction = np.cos(turn) * direction + np.sin(turn) * across
        at = centre
    return line


def _to_px(scene: Scene, xy: Array) -> Array:
    z = depth_at(scene.shape, scene.ground, xy[:, 0], xy[:, 1])
    return pixels_of(scene.camera, scene.pose, np.column_stack([xy, z]))


def _middles(grey: Array, n: Array, sign: float) -> tuple[Array, Array, Array]:
    """Middle (mm), height in ln(light) and width (mm) of the bar in every column, near the strip's axis."""
    smooth = np.asarray(cv2.blur(grey, (1, 3), borderType=cv2.BORDER_CONSTANT), np.float64)
    near = np.abs(n) < 4.0
    # Each side has a level of its own: dust and shading change from one to the other.
    above, below = np.median(smooth[:, n <= -4.0], axis=1), np.median(smooth[:, n >= 4.0], axis=1)
    up = sign * smooth
    k = np.argmax(np.where(near[None, :], up, -np.inf), axis=1)
    rows = np.arange(len(k))
    half_left, half_right = (0.5 * (up[rows, k] + sign * side) for side in (above, below))
    base = np.where(sign > 0, np.maximum(above, below), np.minimum(above, below))
    height = up[rows, k] - sign * base
    fine = float(n[1] - n[0])
    # The nearest sample to either side of the peak that has fallen half-way to that side's level.
    index = np.arange(len(n))[None, :]
    a = np.max(np.where((up <= half_left[:, None]) & (index < k[:, None]), index, 0), axis=1)
    b = np.min(np.where((up <= half_right[:, None]) & (index > k[:, None]), index, len(n) - 1), axis=1)
    left = a + np.clip((half_left - up[rows, a]) / np.maximum(up[rows, a + 1] - up[rows, a], 1e-9), 0, 1)
    right = b - np.clip((half_right - up[rows, b]) / np.maximum(up[rows, b - 1] - up[rows, b], 1e-9), 0, 1)
    middle, width = n[0] + fine * (left + right) / 2, fine * (right - left)
    level = np.maximum(base, 0.003)
    ratio = np.log((level + sign * height + 0.003).clip(1e-4) / (level + 0.003))
    return middle, np.abs(ratio), width


def _run(
    columns: tuple[Array, Array, Array], s: Array, inside: NDArray[np.bool_]
) -> tuple[NDArray[np.int_], Array, NDArray[np.bool_], float, float] | None:
    """The unbroken run of columns about the middle in which the bar is seen (gaps to 6 mm)."""
    middle, height, width = columns
    core = np.abs(s) < 0.4 * PROBE_MM
    typical = float(np.median(height[core & inside])) if (core & inside).any() else 0.0
    wide = float(np.median(width[core]))
    if typical < 0.5 * LEAST_CONTRAST or not 0.8 < wide < 7:
        return None
    good = inside & (height > 0.45 * typical) & (np.abs(width - wide) < max(0.5 * wide, 0.8))
    start = int(np.argmin(np.where(good, np.abs(s), np.inf)))
    if not good[start]:
        return None
    low = high = start
    course = float(middle[start])
    for direction in (-1, 1):
        gap, i, last = 0, start, course
        while 0 <= i + direction < len(s) and gap <= 6:
            i += direction
            if good[i] and abs(middle[i] - last) < 0.5 + 0.35 * (gap + 1):
                gap = 0
                last = float(middle[i])
                low, high = min(low, i), max(high, i)
            else:
                good[i] = False
                gap += 1
    where = np.arange(low, high + 1)
    kept = np.zeros(len(s), np.bool_)
    kept[where] = good[where]
    if kept.sum() < 0.6 * len(where) or kept.sum() < 12:
        return None
    # The bar's own ends are half covered columns.
    if len(where) > 16:
        kept[[low, high]] = False
    return where, middle, kept, float(np.median(width[kept])), float(np.median(height[kept]))


def _bends(s: Array, place: Array, centre: Array, across: Array, scatter: float) -> bool:
    """Whether a bar bends as a ring about the axle does."""
    quadratic, *_ = np.polyfit(s, place, 2)
    x = s - s.mean()
    u = scatter / np.sqrt(max(np.sum((x**2 - np.mean(x**2)) ** 2), 1e-9)) * 2.0
    out = float(centre @ across)
    ring = -np.sign(out) / (2 * float(np.linalg.norm(centre)))
    # Nearer to a ring's bend than to none, and told from none.
    return bool(
        abs(quadratic) > 0.5 * abs(ring) and np.sign(quadratic) == np.sign(ring) and abs(quadratic) > 2 * u
    )


def _clock(scene: Scene, xy: Array) -> float:
    right = np.array([scene.down[1], -scene.down[0]])
    return float(np.degrees(np.arctan2(xy @ right, -(xy @ scene.down))) % 360)


def line_angle(line: Line, ground: Ground | None, pose: CirclePose, camera: Camera, shape: Shape) -> float:
    """Return a line's angle (deg, counter-clockwise, −90 to 90) in the wheel's plane and frame."""
    p = meet(shape, ground, pose, camera.rays(line.px))[:, :2]
    d = p - p.mean(axis=0)
    values, vectors = np.linalg.eigh(d.T @ d)
    run = vectors[:, int(np.argmax(values))]
    run = run if run[0] > 0 else -run
    return float(np.degrees(np.arctan2(-run[1], run[0])))


def line_angle_u(line: Line) -> float:
    """Return the standard uncertainty (deg) that the line's own scatter leaves in its angle.

    Neighbouring points share what made them scatter (paint, texture), over 5 mm or so.
    """
    groups = max(line.length_mm / 5.0, 3.0)
    own = float(np.hypot(line.scatter_mm, 0.08))
    return float(np.degrees(own / (line.length_mm * np.sqrt(groups / 12))))
