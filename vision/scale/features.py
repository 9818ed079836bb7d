"""The features that measure: checker saddles, dots and marker corners, refined at full size.

All work on linear light.  Saddles and dots are symmetrical about a point, so
neither blur nor the spreading of ink moves them; marker corners are crossings
of lines fitted along the sides.
"""

from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray

from vision.edges import bell_and_step, fit_steps, sample

Array = NDArray[np.float64]
Image = NDArray[np.float32]
SETTLED_PX = 2e-4  # a hundredth of what printing leaves: a saddle that moves by less has arrived


@dataclass(frozen=True)
class Found:
    """Refined features: place (N, 2) px, standard uncertainty (N,) px, blur (N,) px, contrast (N,)."""

    px: Array
    sigma: Array
    blur: Array
    contrast: Array
    good: NDArray[np.bool_]


def apply_homography(h: Array, points: Array) -> Array:
    """Map points (N, 2) by a 3 × 3 homography."""
    p = points @ h[:, :2].T + h[:, 2]
    return np.asarray(p[:, :2] / p[:, 2:])


def local_axes(h: Array, points: Array) -> tuple[Array, Array]:
    """Return the images (N, 2) of one mm along x and y at points (N, 2) mm."""
    step = 0.5
    dx = apply_homography(h, points + [step, 0]) - apply_homography(h, points - [step, 0])
    dy = apply_homography(h, points + [0, step]) - apply_homography(h, points - [0, step])
    return dx, dy


def refine_saddles(image: Image, h: Array, points_mm: Array, square_mm: float, blur: float = 1.0) -> Found:
    """Refine checker saddles predicted by a homography.

    Parameters
    ----------
    image : (H, W) float32
        Linear light.
    h : (3, 3) array
        Card mm → px of this image, good to about a third of a square.
    points_mm : (N, 2) array
        Saddles on the card.
    square_mm : float
        Side of a square.

    Notes
    -----
    Model per saddle: ``m + c g(u) g(v)``, ``g(x) = 2 Φ(x / s) - 1``, u and v the
    distances from the two crossing lines, whose directions the homography gives;
    m, c, s and the place are fitted by Gauss–Newton to the raw pixels.
    """
    predicted = apply_homography(h, points_mm)
    dx, dy = local_axes(h, points_mm)
    lx, ly = np.linalg.norm(dx, axis=1), np.linalg.norm(dy, axis=1)
    # Normals of the card's y-lines and x-lines in the picture.
    nu = np.column_stack([dy[:, 1], -dy[:, 0]]) / ly[:, None]
    nv = np.column_stack([-dx[:, 1], dx[:, 0]]) / lx[:, None]
    square_px = square_mm * float(np.median(np.minimum(lx, ly)))
    radius = int(np.clip(round(0.75 * square_px), 3, 9))
    px, ok = predicted.copy(), np.ones(len(predicted), bool)
    s = np.full(len(px), blur)
    place = predicted
    for _ in range(2):  # the window is laid anew about the refined place
        place, s, sigma, contrast = _saddle_steps(image, place, nu, nv, s, radius, 0.85 * square_px)
    moved = np.linalg.norm(place - predicted, axis=1)
    inside = (place > radius).all(axis=1) & (place < np.array(image.shape[::-1]) - 1 - radius).all(axis=1)
    ok = inside & (moved < 0.6 * square_px) & (sigma < 0.3) & (contrast > 0.02) & np.isfinite(sigma)
    return Found(place, np.maximum(sigma, 0.004), s, contrast, ok)


def _saddle_steps(
    image: Image, place: Array, nu: Array, nv: Array, s: Array, radius: int, reach: float
) -> tuple[Array, Array, Array, Array]:
    """Gauss-Newton steps for all saddles whose place or blur still moves: place, blur, sigma, contrast."""
    grid = np.arange(-radius, radius + 1)
    height, width = image.shape
    base = np.round(place).astype(int)
    ix = np.clip(base[:, 0, None, None] + grid[None, None, :], 0, width - 1)
    iy = np.clip(base[:, 1, None, None] + grid[None, :, None], 0, height - 1)
    value = image[iy, ix].reshape(len(place), -1)
    p, s = place.copy(), s.copy()
    sigma, contrast = np.full(len(p), np.inf), np.zeros(len(p))
    moving = np.arange(len(p))
    for _ in range(7):
        step, sigma[moving], contrast[moving] = _saddle_step(
            value[moving], (p - base)[moving], nu[moving], nv[moving], s[moving], grid, reach
        )
        p[moving] += np.clip(step[:, :2], -1.5, 1.5)
        s[moving] = np.clip(s[moving] + np.clip(step[:, 2], -0.3, 0.3), 0.35, 6.0)
        moving = moving[np.abs(step[:, :3]).max(axis=1) > SETTLED_PX]
        if len(moving) == 0:
            break
    return p, s, sigma, contrast


def _saddle_step(
    value: Image, place: Array, nu: Array, nv: Array, s: Array, grid: NDArray[np.int_], reach: float
) -> tuple[Array, Array, Array]:
    """One step (N, 5) for windows of raw pixels (N, W), in single precision; sigma (N,) and contrast (N,).

    `place` (N, 2) is counted from the middle of each window.
    """
    n = len(value)

    def distance(normal: Array) -> Image:
        x, y = (((grid - place[:, i, None]) * normal[:, i, None]).astype(np.float32) for i in (0, 1))
        return np.asarray((x[:, None, :] + y[:, :, None]).reshape(n, -1), np.float32)

    def column(values: Array) -> Image:
        return values.astype(np.float32)[:, None]

    u, v = distance(nu), distance(nv)
    w = ((np.abs(u) < reach) & (np.abs(v) < reach)).astype(np.float32)
    inverse = column(1 / s)
    (bu, gu), (bv, gv) = bell_and_step(u * inverse), bell_and_step(v * inverse)
    gu, gv = 2 * gu - 1, 2 * gv - 1
    f = gu * gv * w
    total = np.maximum(w.sum(axis=1), 1.0)  # a window far off the picture's saddle may hold nothing of it
    mf, mi = f.sum(axis=1) / total, np.einsum("np,np->n", value, w) / total
    df = f - mf[:, None] * w
    c = np.einsum("np,np->n", df, value) / np.maximum(np.einsum("np,np->n", df, df), 1e-12)
    r = value * w - (mi - c * mf)[:, None] * w - c[:, None] * f
    slope = column(c / s * np.sqrt(2 / np.pi))
    du, dv = slope * bu * gv * w, slope * gu * bv * w
    jac = np.empty((n, 5, value.shape[1]), np.float32)
    for i in (0, 1):
        jac[:, i] = -(du * column(nu[:, i]) + dv * column(nv[:, i]))
    jac[:, 2] = -(du * u + dv * v) * inverse
    jac[:, 3], jac[:, 4] = w, f
    normal = (jac @ jac.swapaxes(1, 2)).astype(float)
    normal += (1e-9 + 1e-7 * np.einsum("nii->n", normal))[:, None, None] * np.eye(5)
    inverse_normal = np.linalg.inv(normal)
    step = (inverse_normal @ (jac @ r[:, :, None]).astype(float))[:, :, 0]
    rms = np.sqrt(np.einsum("np,np->n", r, r) / np.maximum(total - 5, 1))
    sigma = rms * np.sqrt(np.maximum(0.5 * (inverse_normal[:, 0, 0] + inverse_normal[:, 1, 1]), 0))
    return step, sigma, 2 * np.abs(c)


def refine_dots(image: Image, h: Array, points_mm: Array, diameters_mm: Array) -> Found:
    """Refine dark dots: centroid of the missing light, background taken from the ring about each."""
    predicted = apply_homography(h, points_mm)
    dx, dy = local_axes(h, points_mm)
    place = predicted.copy()
    n = len(place)
    contrast, sigma = np.zeros(n), np.full(n, np.inf)
    inverse = np.linalg.inv(np.stack([dx, dy], axis=-1))
    for i in range(n):
        size = float(np.hypot(*dx[i]) + np.hypot(*dy[i])) / 2 * diameters_mm[i]
        reach = int(np.ceil(0.85 * size)) + 2
        for _ in range(3):
            x0, y0 = int(round(place[i, 0])) - reach, int(round(place[i, 1])) - reach
            patch = image[max(y0, 0) : y0 + 2 * reach + 1, max(x0, 0) : x0 + 2 * reach + 1]
            if x0 < 0 or y0 < 0 or patch.shape != (2 * reach + 1, 2 * reach + 1):
                break
            gx, gy = np.meshgrid(np.arange(2 * reach + 1) + x0, np.arange(2 * reach + 1) + y0)
            off = np.stack([gx - place[i, 0], gy - place[i, 1]], axis=-1) @ inverse[i].T
            rho = np.hypot(off[..., 0], off[..., 1]) / (diameters_mm[i] / 2)
            ring = patch[(rho > 1.3) & (rho < 1.55)]
            core = patch[rho < 0.6]
            if len(ring) < 8 or len(core) < 4:
                break
            white, black = float(np.median(ring)), float(np.median(core))
            missing = np.where(rho < 1.35, white - patch, 0.0)
            total = missing.sum()
            contrast[i] = white - black
            if total <= 0 or contrast[i] < 0.02:
                break
            moved = np.array([(missing * gx).sum(), (missing * gy).sum()]) / total - place[i]
            place[i] += np.clip(moved, -2, 2)
            noise = float(np.std(ring))
            sigma[i] = noise * reach**2 / np.sqrt(2) / total
    moved_by = np.linalg.norm(place - predicted, axis=1)
    good = (contrast > 0.05) & (sigma < 0.3) & (moved_by < 0.5 * diameters_mm * np.linalg.norm(dx, axis=1))
    return Found(place, np.maximum(sigma, 0.01), np.full(n, np.nan), contrast, good)


def refine_corners(image: Image, h: Array, corners_mm: Array, border_mm: float, blur: float = 1.0) -> Found:
    """Refine the corners (4, 2) of one marker: a line along each side, then their crossings."""
    corners = apply_homography(h, corners_mm)
    lines, blurs, heights, sigmas = [], [], [], []
    scale = float(np.mean(np.linalg.norm(np.roll(corners, -1, axis=0) - corners, axis=1)))
    side_mm = float(np.linalg.norm(corners_mm[1] - corners_mm[0]))
    reach = float(np.clip(border_mm / side_mm * scale * 0.9, 2.0, 8.0))
    border = border_mm / side_mm * scale
    for k in range(4):
        a, b = corners[k], corners[(k + 1) % 4]
        along = (b - a) / np.linalg.norm(b - a)
        normal = np.array([along[1], -along[0]])  # outward for clockwise corners, y down
        share = np.linspace(0.1, 0.9, max(6, int(scale * 0.8)))
        foot = a + share[:, None] * (b - a)
        start = np.zeros(len(share))
        width = blur
        for _ in range(3):
            inner = max(border - 2.0 * width, 1.0)
            t = np.arange(np.floor(2 * (start[0] - inner)) / 2, start[0] + reach + 0.01, 0.5)
            x, y = foot[:, :1] + t * normal[0], foot[:, 1:] + t * normal[1]
            profiles = sample(image, x, y)[:, :, 0]
            steps = fit_steps(profiles, t, start, blur, reach, free_blur=True)
            middle = float(np.median(steps.position[steps.good])) if steps.good.any() else 0.0
            start = np.full(len(share), middle)
            width = float(np.median(steps.blur[steps.good])) if steps.good.any() else width
        use = steps.good & (steps.contrast > 0.05)
        if use.sum() < 5:
            return Found(corners, np.full(4, np.inf), np.full(4, np.nan), np.zeros(4), np.zeros(4, bool))
        points = foot[use] + steps.position[use, None] * normal
        lines.append(_robust_line(points, along))
        sigmas.append(float(np.median(steps.sigma[use])) / np.sqrt(use.sum() / 4))
        blurs.append(float(np.median(steps.blur[use])))
        heights.append(float(np.median(steps.contrast[use])))
    px = np.array([np.cross(lines[k - 1], lines[k]) for k in range(4)])
    px = px[:, :2] / px[:, 2:]
    sigma = np.full(4, max(float(np.hypot(np.max(sigmas), 0.01)), 0.01))
    return Found(px, sigma, np.full(4, np.median(blurs)), np.full(4, np.median(heights)), np.ones(4, bool))


def _robust_line(points: Array, along: Array) -> Array:
    """Return the homogeneous line through points (N, 2): Tukey-weighted least squares."""
    result = cv2.fitLine(points.astype(np.float32), cv2.DIST_WELSCH, 0, 0.001, 0.001).reshape(4)
    direction, foot = result[:2].astype(float), result[2:].astype(float)
    if direction @ along < 0:
        direction = -direction
    normal = np.array([direction[1], -direction[0]])
    return np.array([normal[0], normal[1], -normal @ foot])
