"""Where the tire meets the ground: the contact's front line, its angle, and the axle's height above it.

The line is searched as the topmost long step from rubber to ground under the wheel, in log light, over
directions and distances from the axle; then it is read at full size in the contact's middle half, where
it is straight (its ends bend away from the camera: 0.8° and more over the whole patch).
"""

from collections.abc import Iterator
from dataclasses import dataclass, replace

import cv2
import numpy as np
from numpy.typing import NDArray

from vision.camera import Camera
from vision.edges import fit_steps
from vision.photo import Photo
from vision.tire.contact_step import LEAST_STEP, MIDDLE_HALF, parts_tire_and_ground
from vision.tire.crevice import REACH_MM, STEP_MM, courses, deepest, gap_above, log_light
from vision.tire.light import grey_at, pixels_of
from vision.tire.profile import Ground, Shape, contact_depth, to_camera
from vision.wheel import CirclePose

Array = NDArray[np.float64]

TURN_DEG = 24.0  # of down against the picture's down, where nothing tells it
_SMOOTH_MM = 11.0  # steps of things narrower than half of this, such as a painted line, do not count
_WINDOW_MM = 9
_RIVAL = 0.2  # of the strongest step: a contact in shadow is faint
# Of a step further up that parts tire and ground and could not be read: what is fainter is no contact but
# the edge of a shadow on the ground before it.
_AS_PLAIN = 0.5
MOST_FLAT, LEAST_FLAT = 0.22, 0.1  # of the section's height: left at most squashed, and taken at least
LIP_U_MM = 2.0  # how far behind the contact's edge the last rubber is seen, judged
# The ground under the tire's overhang is as dark as rubber, so the edge that is seen lies below the contact:
# by 0.72 mm in the mean of 38 traced contacts (standard deviation 0.37), hardly more where seen steeply.
CREVICE_MM, CREVICE_U_MM = 0.7, 0.4
GAP_U = 0.1  # of a dark gap: how well the place where it is deepest tells the contact, judged
NEARER_MM = 3.0  # from where a gap is deepest: an edge found there is the contact
ONE_ENDED_U_DEG = 0.08  # a contact whose two ends lie at different depths, judged


@dataclass(frozen=True)
class Contact:
    """The contact line as read.

    Attributes
    ----------
    px : (N, 2) array
        Points on it.
    along_mm : (N,) array
        Their places along the ground from under the axle.
    sigma_mm : float
        Standard deviation of a point about the line, in the wheel's plane.
    ground : Ground
        As read with the nominal shape.
    share : float
        Part of the middle half that gave a point.
    step : float
        ln(light) across it.
    gap_mm : float
        Where it was read as the depth of a dark gap, how far that lies above the gap's edge; else 0.
    """

    px: Array
    along_mm: Array
    sigma_mm: float
    ground: Ground
    share: float
    step: float
    gap_mm: float = 0.0

    @property
    def parting_u_mm(self) -> float:
        """Standard uncertainty of where rubber and ground part, across the line as it was read."""
        return float(np.hypot(CREVICE_U_MM, GAP_U * self.gap_mm))


def find_contact(
    photo: Photo, camera: Camera, pose: CirclePose, shape: Shape, down: Array | None
) -> Contact | None:
    """Find the contact line; None where no step runs along under the wheel.

    Parameters
    ----------
    down : (2,) array or None
        Unit vector in the wheel's plane, downward to about 5°, where something tells it.
    """
    failed = 0.0
    for ground, polarity, step in _search(photo, camera, pose, shape, down):
        if step < _AS_PLAIN * failed:
            continue
        found = _refined(photo, camera, pose, shape, ground, polarity)
        if found is not None:
            return found
        failed = max(failed, step)
    return None


def _refined(
    photo: Photo, camera: Camera, pose: CirclePose, shape: Shape, ground: Ground, polarity: float
) -> Contact | None:
    found: Contact | None = None
    # The second time nearer by: a painted line a little above has steps of its own.
    for reach_mm in (5.0, 2.5, 2.5):
        found = _read(photo, camera, pose, shape, ground, polarity, reach_mm)
        if found is None:
            return None
        ground = found.ground
    outside = shape.outside_diameter / 2
    if ground.distance > outside - LEAST_FLAT * (outside - shape.flange_radius):
        # Hardly flattened: so the tread's outline looks, beside a contact that nobody sees.
        return None
    # What was found on a grid may have been drawn to something else beside it.
    if found is None or not parts_tire_and_ground(photo, camera, pose, shape, ground, polarity, 1.0):
        return None
    return _above_shadow(photo, camera, pose, shape, found) if polarity > 0 else found


def _above_shadow(
    photo: Photo, camera: Camera, pose: CirclePose, shape: Shape, found: Contact
) -> Contact | None:
    """The contact itself, where what was read is the edge of the tire's own shadow before it."""
    large = max(shape.outside_diameter / 500.0, 1.0)
    off = np.arange(-2 * REACH_MM * large, 4.0 + STEP_MM / 2, STEP_MM)
    for _ in range(2):
        ground = found.ground
        half = MIDDLE_HALF * float(np.sqrt(max((shape.outside_diameter / 2) ** 2 - ground.distance**2, 1.0)))
        along = np.linspace(-half, half, 121)
        right = np.array([ground.down[1], -ground.down[0]])
        on_line = ground.distance * ground.down + along[:, None] * right
        points = courses(on_line, ground.down, contact_depth(shape, ground.distance, along), off)
        log = log_light(photo, camera, pose, points)
        scale = camera.f_px / float(pose.centre[2])
        gap, is_one = (0.0, False) if log is None else gap_above(log, off, scale, shape)
        if log is None or gap == 0.0:
            return found
        # Something sharper may stand at the gap's depth: the contact as it is read otherwise.
        nearer = Ground(ground.down, ground.distance - gap + 1.0)
        again = _read(photo, camera, pose, shape, nearer, 1.0, 2.5)
        if again is None or abs(again.ground.distance - nearer.distance) > NEARER_MM:
            if not is_one:
                return None
            below = deepest(log, off, gap)
            seen = np.isfinite(below)
            if seen.mean() < 0.5:
                return None
            at = courses(on_line[seen], ground.down, points[seen, 0, 2], np.zeros(1))[:, 0]
            at[:, :2] += below[seen, None] * ground.down
            px = pixels_of(camera, pose, at)
            read = _fitted(camera, pose, shape, nearer, px, float(seen.mean()), found.step)
            return None if read is None else replace(read, gap_mm=gap)
        found = again
    return None


def _search(
    photo: Photo, camera: Camera, pose: CirclePose, shape: Shape, down: Array | None
) -> Iterator[tuple[Ground, float, float]]:
    """Give the steps that may be the contact, the topmost first, with their polarity and their ln(light)."""
    first = 0.0 if down is None else float(np.degrees(np.arctan2(down[0], down[1])))
    reach = TURN_DEG if down is None else 6.0
    turn = np.radians(first + np.arange(-reach, reach + 0.1, 1.5))
    outside = shape.outside_diameter / 2
    height = outside - shape.flange_radius
    distance = np.arange(
        shape.flange_radius + MOST_FLAT * height - _WINDOW_MM, outside - LEAST_FLAT * height + _WINDOW_MM, 1.0
    )
    along = np.linspace(-0.2, 0.2, 21) * outside
    t, u, d = np.meshgrid(turn, along, distance, indexing="ij")
    x = np.sin(t) * d + np.cos(t) * u
    y = np.cos(t) * d - np.sin(t) * u
    nominal = 0.8 * outside + 0.2 * shape.flange_radius
    z = np.full(x.shape, float(contact_depth(shape, nominal, np.zeros(1))[0]))
    light = grey_at(photo, pixels_of(camera, pose, np.stack([x, y, z], axis=-1)), 0.3)
    if light is None:
        return
    grey = _median(np.log(light + 0.004), 3, int(_SMOOTH_MM))
    total = np.cumsum(np.pad(grey, ((0, 0), (0, 0), (1, 0))), axis=2)
    k = np.arange(_WINDOW_MM, len(distance) - _WINDOW_MM)
    rise = (total[:, :, k + _WINDOW_MM] - 2 * total[:, :, k] + total[:, :, k - _WINDOW_MM]) / _WINDOW_MM
    # What runs along is a step in most columns at once.
    up, dark = np.quantile(rise, 0.25, axis=1), -np.quantile(rise, 0.75, axis=1)
    strongest = max(float(up.max()), float(dark.max()))
    if strongest < LEAST_STEP:
        return
    found: list[tuple[float, float, float, Ground]] = []
    for polarity, score in ((1.0, up), (-1.0, dark)):
        over = score.max(axis=0)
        for i in range(1, len(over) - 1):
            peak = over[i] >= over[i - 1] and over[i] > over[i + 1]
            if peak and over[i] > max(_RIVAL * strongest, 0.7 * LEAST_STEP):
                a = turn[int(np.argmax(score[:, i]))]
                ground = Ground(np.array([np.sin(a), np.cos(a)]), float(distance[k[i]]) - 0.5)
                found.append((ground.distance, polarity, float(over[i]), ground))
    for _, polarity, step, ground in sorted(found, key=lambda one: one[0]):
        if parts_tire_and_ground(photo, camera, pose, shape, ground, polarity, 5.0):
            yield ground, polarity, step


def _median(values: Array, rows: int, columns: int) -> Array:
    """Medians of windows of the last two axes, the border repeated; a quarter of a general filter's time."""
    before = ((0, 0), (rows // 2,) * 2, (columns // 2,) * 2)
    padded = np.pad(values.astype(np.float32), before, mode="edge")
    windows = np.lib.stride_tricks.sliding_window_view(padded, (rows, columns), axis=(1, 2))
    size = rows * columns
    ordered = np.partition(windows.reshape(*values.shape, size), size // 2, axis=-1)
    return ordered[..., size // 2].astype(float)


def _read(
    photo: Photo, camera: Camera, pose: CirclePose, shape: Shape, ground: Ground, polarity: float,
    reach_mm: float,
) -> Contact | None:  # fmt: skip
    chord = np.sqrt(max((shape.outside_diameter / 2) ** 2 - ground.distance**2, 1.0))
    half = MIDDLE_HALF * float(chord)
    along = np.linspace(-half, half, 121)
    right = np.array([ground.down[1], -ground.down[0]])
    xy = ground.distance * ground.down + along[:, None] * right
    z = contact_depth(shape, ground.distance, along)
    at = camera.project(to_camera(pose, np.column_stack([xy, z])))
    below = camera.project(to_camera(pose, np.column_stack([xy + ground.down, z])))
    scale = float(np.median(np.linalg.norm(below - at, axis=1)))  # px per mm
    normal = (below - at) / np.linalg.norm(below - at, axis=1, keepdims=True)
    reach = max(0.8 * reach_mm + 1.0, reach_mm * scale)
    t = np.arange(-reach - 8, reach + 8.01, 0.5)
    height, width = photo.pixels.shape[:2]
    px = at[:, None, :] + t[None, :, None] * normal[:, None, :]
    inside = ((px > 0) & (px < np.array([width - 1, height - 1]))).all(axis=(1, 2))
    if inside.sum() < 40:
        return None
    grey = photo.grey_at(px[..., 0], px[..., 1]).astype(float)
    # Neighbours share their light: gravel is as rough as the step is high.
    grey = np.asarray(cv2.blur(grey, (1, 5), borderType=cv2.BORDER_CONSTANT), np.float64)
    log = np.log(grey + 0.004)
    k = 8
    total = np.cumsum(np.pad(log, ((0, 0), (1, 0))), axis=1)
    n = np.arange(k, len(t) - k)
    rise = polarity * (total[:, n + k] - 2 * total[:, n] + total[:, n - k]) / k
    allowed = np.abs(t[n]) <= reach
    start = t[n][allowed][np.argmax(rise[:, allowed], axis=1)] - 0.25
    steps = fit_steps(polarity * grey, t, start, 1.5, 6.0, free_blur=True)
    height_ln = rise[:, allowed].max(axis=1)
    good = steps.good & inside & (height_ln > 0.5 * float(np.median(height_ln))) & (steps.blur < 5)
    good &= (np.arange(len(along)) > 2) & (np.arange(len(along)) < len(along) - 3)
    if good.sum() < 30:
        return None
    points = at + steps.position[:, None] * normal
    return _fitted(camera, pose, shape, ground, points[good], float(good.mean()), float(np.median(height_ln)))


def _fitted(
    camera: Camera, pose: CirclePose, shape: Shape, ground: Ground, px: Array, share: float, step: float
) -> Contact | None:
    keep = np.ones(len(px), np.bool_)
    along, off = ground_places(camera, pose, shape, ground, px)
    curve = curve_prior(camera, pose, ground, px)
    line = np.zeros(3)
    for _ in range(6):
        line, _ = straight(along[keep], off[keep], curve)
        left = np.abs(off - np.polyval(line, along))
        keep = left < max(3 * 1.4826 * float(np.median(left)), 0.15)
    if keep.mean() < 0.5:
        return None
    left = (off - np.polyval(line, along))[keep]
    turn = float(np.arctan(line[1]))
    c, s = np.cos(turn), np.sin(turn)
    right = np.array([ground.down[1], -ground.down[0]])
    down = c * ground.down - s * right
    # The line's foot under the axle, across the line itself.
    found = Ground(np.asarray(down / np.linalg.norm(down)), float((ground.distance + line[2]) * c))
    return Contact(px[keep], along[keep], float(np.std(left)), found, share * float(keep.mean()), step)


def straight(along: Array, off: Array, curve: float) -> tuple[Array, Array]:
    """Fit a line that may bow a little: its bow, slope and foot (3,), and the inverse normal matrix (3, 3).

    How the contact's edge bends away is known roughly only, and what is left would turn a line
    through points that lie to one side.  `curve` is the standard uncertainty of the bow, 1/mm.
    """
    columns = np.column_stack([along**2, along, np.ones(len(along))])
    # One point in 6 mm tells something of its own, to 0.2 mm: that is what the prior is weighed against.
    each = max(6.0 * len(along) / max(float(np.ptp(along)), 6.0), 1.0) * 0.2**2
    normal = columns.T @ columns / each
    normal[0, 0] += 1 / curve**2
    inverse = np.linalg.inv(normal)
    return np.asarray(inverse @ (columns.T @ off) / each), np.asarray(inverse)


def curve_prior(camera: Camera, pose: CirclePose, ground: Ground, px: Array) -> float:
    """Return the standard uncertainty (1/mm) of the bow that is left in a contact line."""
    ray = camera.rays(px).mean(axis=0)
    x, y, z = pose.frame
    slope = abs(float(ray @ (ground.down[0] * x + ground.down[1] * y)) / float(ray @ z))
    # The edge's depth at the middle half's ends is known to 2 mm, judged.
    half = max(0.25 * ground.distance, 10.0)
    return max(2.0 * slope, 0.1) / half**2


def ground_places(
    camera: Camera, pose: CirclePose, shape: Shape, ground: Ground, px: Array
) -> tuple[Array, Array]:
    """Return places (N,) mm along the ground, and below it, of pixels (N, 2) on the contact's edge."""
    right = np.array([ground.down[1], -ground.down[0]])
    rays = camera.rays(px)
    along = np.zeros(len(px))
    for _ in range(3):
        z = contact_depth(shape, ground.distance, along)
        x, y, axle = pose.frame
        t = (pose.centre @ axle + z) / (rays @ axle)
        p = t[:, None] * rays - pose.centre
        xy = np.column_stack([p @ x, p @ y])
        along = xy @ right
    return along, xy @ ground.down - ground.distance


def contact_line(contact: Contact, camera: Camera, pose: CirclePose, shape: Shape) -> tuple[float, float]:
    """Return the ground's angle (deg, counter-clockwise, in the wheel's frame) and the axle's height (mm).

    The height is that of the ground itself, a little above the edge that is seen.
    """
    along, off = ground_places(camera, pose, shape, contact.ground, contact.px)
    if len(along) == 2:
        slope, foot = np.polyfit(along, off, 1)
    else:
        (_, slope, foot), _ = straight(along, off, curve_prior(camera, pose, contact.ground, contact.px))
    turn = float(np.arctan(slope))
    down = contact.ground.down
    # Level runs across down; the frame's y is down, so a positive turn below the ground is clockwise.
    angle = float(np.degrees(np.arctan2(down[0], down[1]) - turn))
    return angle, float((contact.ground.distance + foot) * np.cos(turn)) - CREVICE_MM
