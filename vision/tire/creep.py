"""The slip mark: its parts on tire and rim found and told apart, and how far they stand off each other.

The mark is one stripe painted across the edge where tire and rim meet.  Around the
wheel the ring just inside the flange's edge and the ring just outside it are searched for places of another
colour or brightness; a part on the tire and one on the rim belong together where they look alike.
Slip is read where both meet the flange edge: there the sidewall lies in the flange's plane.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from vision import notes
from vision.camera import Camera
from vision.edges import fit_steps
from vision.photo import Photo
from vision.results import Refusal
from vision.tire.light import light_at, pixels_of
from vision.tire.mark_parts import NAME, Part, choose
from vision.tire.mark_search import find_parts, ring_points
from vision.tire.profile import Ground, Shape, depth_at, lip_depth, meet
from vision.wheel import CirclePose

Array = NDArray[np.float64]

BESIDE_MM = 2.5  # off a part's sides: what is not the mark
LIKE = 0.45  # of a part's difference from its ring, in ln, and its inverse: a row of the same part
LIP_MM = 9.0  # how wide a lip's face is taken to be
FEWEST_ROWS = 5  # half a millimetre apart
# Rows; mm aside for one mm inward, more than which no stripe is painted; a row's own doubt.  Judged.
STRIDE, ASLANT, NOISE_MM = 3, 0.35, 0.35
PAINT_U_MM = 0.25  # how straight a hand paints a mark over the edge, judged


@dataclass(frozen=True)
class Mark:
    """A mark read.

    Attributes
    ----------
    tire_px, rim_px : (N, 2), (M, 2) arrays
        Points along the middle of each part.
    tire, rim : Part
    scatter_mm : float
        Of points about the two courses.
    remnants : tuple of Part
        Fainter pieces away from the mark.
    """

    tire_px: Array
    rim_px: Array
    tire: Part
    rim: Part
    scatter_mm: float
    remnants: tuple[Part, ...]


def find_mark(
    photo: Photo, camera: Camera, pose: CirclePose, shape: Shape, ground: Ground | None, px_per_mm: float
) -> Mark | Refusal:
    """Find the one mark whose slip can be read.

    Returns
    -------
    Mark or Refusal
        Named ``creep``: no mark, one part only, or several that could be meant.
    """
    tire = find_parts(photo, camera, pose, shape, ground, "tire")
    rim = find_parts(photo, camera, pose, shape, ground, "rim")
    if tire is None or rim is None:
        return Refusal(NAME, notes.MARK_NOT_FOUND, "the flange's edge is not all in the photo")
    chosen = choose(tire, rim)
    if isinstance(chosen, Refusal):
        return chosen
    one, other, remnants = chosen
    courses = [_course(photo, camera, pose, shape, ground, part, px_per_mm) for part in (one, other)]
    if courses[0] is None or courses[1] is None:
        side = "tire" if courses[0] is None else "rim"
        return Refusal(NAME, notes.MARK_NOT_FOUND, f"its sides on the {side} are not clear")
    mark = Mark(courses[0], courses[1], one, other, 0.0, remnants)
    _, scatter = _offsets(mark, pose, camera, shape, ground)
    return Mark(courses[0], courses[1], one, other, scatter, remnants)


def _course(
    photo: Photo,
    camera: Camera,
    pose: CirclePose,
    shape: Shape,
    ground: Ground | None,
    part: Part,
    px_per_mm: float,
) -> Array | None:
    """Points (N, 2) px along the middle of a part, from its two sides, row by row from the flange edge."""
    off = np.arange(1.5, 24.0, 0.5)
    half = part.width_mm / 2 + max(8.0, 7.0 / px_per_mm)
    step = float(np.clip(0.5 / px_per_mm, 0.12, 0.5))
    s = np.arange(-half, half + step, step)
    clock = np.radians(part.clock_deg) + s / shape.flange_radius
    points = ring_points(shape, ground, part.on, clock, off).transpose(1, 0, 2)
    light = light_at(photo, pixels_of(camera, pose, points), 0.3)
    if light is None:
        return None
    light = (light[:-2] + light[1:-1] + light[2:]) / 3
    off = off[1:-1]
    scalar, good = _on_mark(light, s, part)
    if not good[: len(good) // 3].any():
        return None
    # The part reaches from the edge outward without a gap.
    first = int(np.argmax(good))
    end = first
    while end < len(good) and good[end : end + 4].any():
        end += 1
    rows = np.arange(first, end)[good[first:end]]
    if len(rows) < 6:
        return None
    found = [_side(scalar[rows], s, sign, part.width_mm, step, px_per_mm) for sign in (-1.0, 1.0)]
    sides = [side for side in found if side is not None]
    if len(sides) < 2:
        return None
    (left, ok_left), (right, ok_right) = sides
    middle, width = (left + right) / 2, right - left
    ok = ok_left & ok_right
    if ok.any():
        ok &= np.abs(width - np.median(width[ok])) < max(0.12 * part.width_mm, 1.0)
    if part.on == "rim":
        ok = _on_lip(off[rows], middle, ok)
    if ok.sum() < FEWEST_ROWS:
        return None
    clock = np.radians(part.clock_deg) + middle[ok] / shape.flange_radius
    r = shape.flange_radius + (off[rows][ok] if part.on == "tire" else -off[rows][ok])
    x, y = np.sin(clock) * r, -np.cos(clock) * r
    z = depth_at(shape, ground, x, y) if part.on == "tire" else lip_depth(shape, off[rows][ok])
    return pixels_of(camera, pose, np.column_stack([x, y, z]))


def _on_mark(light: Array, s: Array, part: Part) -> tuple[Array, NDArray[np.bool_]]:
    """Each row's light (rows, S, 3) as 0 beside the mark and 1 on it, and which rows the mark fills.

    Every row has levels of its own: a lip's face is lit otherwise than what falls off behind it.  So what
    a row's middle differs by from its sides must be the part's own difference, in ln.
    """
    core = np.abs(s) < 0.3 * part.width_mm
    aside = np.abs(s) > part.width_mm / 2 + BESIDE_MM
    on, ring = np.median(light[:, core], axis=1), np.median(light[:, aside], axis=1)
    log = np.log(on + 0.004) - np.log(ring + 0.004)
    hue = np.column_stack([log[:, 0] - log[:, 1], log[:, 1] - log[:, 2], log.mean(axis=1)])
    told = slice(0, 2) if part.coloured else slice(2, 3)
    like = hue[:, told] @ part.colour[told] / float(part.colour[told] @ part.colour[told])
    change = on - ring
    size = np.maximum(np.sum(change**2, axis=1), 1e-9)
    scalar = np.einsum("rsc,rc->rs", light - ring[:, None], change) / size[:, None]
    return scalar, np.asarray((like > LIKE) & (like < 1 / LIKE))


def _on_lip(inside: Array, middle: Array, ok: NDArray[np.bool_]) -> NDArray[np.bool_]:
    """Those of a rim part's good rows that lie on the lip: within it the rim falls off, nobody knows how far.

    Seen from aside the stripe is displaced there, so it ends where its middle jumps.
    """
    near = np.flatnonzero(ok & (inside < LIP_MM))
    if len(near) <= STRIDE:
        return np.zeros_like(ok)
    # Over three rows: a single row's middle is known to a tenth of a millimetre or so.
    ahead, behind = near[STRIDE:], near[:-STRIDE]
    jump = np.abs(middle[ahead] - middle[behind]) > NOISE_MM + ASLANT * (inside[ahead] - inside[behind])
    kept = near[: int(np.argmax(jump)) + STRIDE - 1] if jump.any() else near
    out = np.zeros_like(ok)
    out[kept] = True
    return out


def _side(
    scalar: Array, s: Array, sign: float, width: float, step: float, px_per_mm: float
) -> tuple[Array, NDArray[np.bool_]] | None:
    """Places (rows,) of one side of a part, and which of them are good."""
    t = sign * s  # outward
    order = np.argsort(t)
    t, falling = t[order], 1 - scalar[:, order]
    near = (t > 0.1 * width) & (t < t[-1] - 2 * step)
    leaves = near[None, 1:] & (falling[:, :-1] <= 0.5) & (falling[:, 1:] > 0.5)
    has = leaves.any(axis=1)
    if not has.any():
        return None
    # Chips have sides too: the part's own is that nearest to half its width.
    off = np.where(leaves, np.abs(t[None, 1:] - width / 2), np.inf)
    start = t[1:][np.argmin(off, axis=1)]
    fit = fit_steps(falling, t, start, 1.0 / px_per_mm, max(5.0 / px_per_mm, 2.0), free_blur=True)
    good = has & fit.good & (np.abs(fit.position - start) < 2.0 / px_per_mm)
    return sign * fit.position, np.asarray(good, np.bool_)


def _offsets(
    mark: Mark, pose: CirclePose, camera: Camera, shape: Shape, ground: Ground | None
) -> tuple[float, float]:
    """Clock of the tire's part minus the rim's, at the flange edge (rad), and the points' scatter (mm).

    Both parts run on with one slope: the stripe was painted in one go.
    """
    rays = camera.rays(mark.rim_px)
    flat = pose.meet(rays, -shape.lip)
    inside = pose.radius_mm - np.linalg.norm(flat, axis=1)
    flat = pose.meet(rays, lip_depth(shape, inside))
    wall = meet(shape, ground, pose, camera.rays(mark.tire_px))[:, :2]
    edge = pose.radius_mm
    a, off = [], []
    for xy in (wall, flat):
        a.append(np.arctan2(xy[:, 0], -xy[:, 1]))
        off.append(np.linalg.norm(xy, axis=1) - edge)
    mean = [float(np.angle(np.mean(np.exp(1j * angle)))) for angle in a]
    s = [(np.angle(np.exp(1j * (angle - m)))) * (edge + o) for angle, m, o in zip(a, mean, off, strict=True)]
    n, k = len(s[0]), len(s[1])
    columns = np.zeros((n + k, 3))
    columns[:n, 0], columns[n:, 1] = 1, 1
    columns[:, 2] = np.concatenate(off)
    values = np.concatenate(s)
    weight = np.ones(n + k)
    fit = np.zeros(3)
    for _ in range(5):
        weighted = columns.T * weight
        fit = np.linalg.solve(weighted @ columns, weighted @ values)
        left = values - columns @ fit
        size = max(1.4826 * float(np.median(np.abs(left))), 0.05)
        weight = 1 / (1 + (left / (2.5 * size)) ** 2)
    scatter = float(np.sqrt(np.sum(weight * left**2) / np.sum(weight)))
    between = float(np.angle(np.exp(1j * (mean[0] - mean[1]))))
    return between + float(fit[0] - fit[1]) / edge, scatter


def creep_angle(mark: Mark, ground: Ground | None, pose: CirclePose, camera: Camera, shape: Shape) -> float:
    """Return tire part minus rim part in degrees, counter-clockwise as seen positive."""
    return -float(np.degrees(_offsets(mark, pose, camera, shape, ground)[0]))


def creep_own_u_mm(mark: Mark) -> dict[str, float]:
    """Return the standard uncertainties (mm of arc) that the mark itself brings, by source."""
    # Rows share paint and pixels over 3 mm or so; both parts, and the lever to the edge.
    groups = max(min(len(mark.tire_px), len(mark.rim_px)) * 0.5 / 3.0, 1.5)
    return {
        "mark's sides": 2.0 * max(mark.scatter_mm, 0.08) * float(np.sqrt(2 / groups)),
        "mark as painted": PAINT_U_MM,
    }
