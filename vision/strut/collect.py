"""Edge points along predicted courses: outlines of cylinders and near arcs of rings."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.ndimage import gaussian_filter1d

from vision.camera import Camera
from vision.cylinder import Axis, ring
from vision.edges import binned, fit_limbs, fit_steps, sampled_blur, to_contrast
from vision.strut.model import Points
from vision.strut.red_side import fit_red_sides
from vision.strut.window import Window

Array = NDArray[np.float64]
STEP_PX = 0.5
BURNT_DRIFT = 0.6  # of the blur, and as much either way
LEAST_SHARE = 0.25  # of the bins: fewer that agree may be noise


@dataclass(frozen=True)
class Edge:
    """Points found along a course.

    Attributes
    ----------
    points : Points
        Where the edge lies, with the scatter of each.
    share : float
        Share of the course where the edge is clear.
    contrast : float
        Median height of the step as a share of white.
    blur_px : float
        Median edge-spread sigma.
    offset_px : float
        Median distance from the predicted course, along the normals.
    """

    points: Points
    share: float
    contrast: float
    blur_px: float
    offset_px: float


NOTHING = Edge(Points(np.zeros((0, 2)), np.zeros(0)), 0.0, 0.0, float("nan"), 0.0)


def outline_course(camera: Camera, axis: Axis, radius: float, side: float, s: Array) -> tuple[Array, Array]:
    """Return pixels (N, 2) and outward normals (N, 2) of a cylinder's outline at axial places s (N,)."""
    distance = float(np.linalg.norm(axis.point - (axis.point @ axis.direction) * axis.direction))
    azimuth = side * np.arccos(min(radius / distance, 1.0))
    on = ring(axis, 0.0, radius, np.array([azimuth]))[0] - axis.point
    px = camera.project(axis.point + on + s[:, None] * axis.direction)
    inner = camera.project(axis.point + s[:, None] * axis.direction)
    along = np.gradient(px, axis=0)
    normal = np.column_stack([-along[:, 1], along[:, 0]])
    normal /= np.linalg.norm(normal, axis=1, keepdims=True)
    outward = np.sign(np.sum(normal * (px - inner), axis=1, keepdims=True))
    return px, normal * outward


def ring_course(
    camera: Camera, axis: Axis, s: float, radius: float, low: float, high: float, px_per_mm: float
) -> tuple[Array, Array]:
    """Return pixels and normals (up the axis) of a ring's near arc between azimuth sines low and high.

    Points are about one pixel apart across the axis.
    """
    n = max(int(abs(high - low) * radius * px_per_mm), 2)
    azimuth = np.arcsin(np.linspace(low, high, n))
    px = camera.project(ring(axis, s, radius, azimuth))
    up = camera.project(ring(axis, s + 0.5, radius, azimuth)) - px
    return px, up / np.linalg.norm(up, axis=1, keepdims=True)


def find_edge(
    window: Window,
    course: tuple[Array, Array],
    blur: float,
    search: float,
    bin_size: int = 8,
    least_contrast: float = 0.02,
    reach: float | None = None,
    coloured: bool = False,
    limb: float | None = None,
) -> Edge:
    """Find the edge along a course: a common offset first, then each bin's own.

    Parameters
    ----------
    course : (px (N, 2), normals (N, 2))
    blur : float
        Expected edge-spread sigma of the picture, px.
    search : float
        How far off the course the edge may lie, px.
    bin_size : int
        Neighbouring profiles averaged into one.
    least_contrast : float
        Lower steps are not taken for the edge.
    reach : float, optional
        Half window of the fit, px; 3.5 blurs and a pixel by default.
    coloured : bool
        Whether the two sides differ in colour (the red band).
    limb : float, optional
        For outlines: how far inside the limb its shading is fitted, px; normals point outward.
    """
    px, normal = course
    blur = sampled_blur(blur)
    reach = reach or 3.5 * blur + 1.0
    extent = search + max(reach, limb or 0.0) + 1
    t = np.arange(-extent, extent + 0.01, STEP_PX)
    if len(px) < 2 * bin_size:
        return NOTHING
    where = px[:, None, :] + t[None, :, None] * normal[:, None, :]
    profiles = binned(window.lumas(where)[:, :, None], bin_size)[:, :, 0]
    colours = binned(window.colours(where), bin_size) if coloured else None
    feet = binned(px[:, None, :], bin_size)[:, 0]
    normals = binned(normal[:, None, :], bin_size)[:, 0]
    strength = _strength(profiles[:, :, None] if colours is None else colours, blur)
    near = np.abs(t) <= search
    # The median over the bins: a streak or a bracket in some of them does not lead the rest astray.
    common = float(t[near][np.argmax(_typical(strength)[near])])
    close = np.abs(t - common) <= max(2.0, 1.5 * blur)
    start = t[close][np.argmax(strength[:, close], axis=1)]
    scalar, height, typical = profiles, None, blur
    noise = window.noise / np.sqrt(bin_size)
    red_side = colours is not None and limb is not None
    if colours is not None and limb is None:
        scalar, height = _mixture(window, profiles, colours, t, start, blur, reach)
    if limb is None:
        steps = fit_steps(scalar, t, start, blur, reach, free_blur=True)
        typical = float(np.median(steps.blur[steps.good])) if steps.good.any() else blur
        steps = fit_steps(scalar, t, start, typical, reach)
    elif colours is None:
        steps = fit_limbs(scalar, t, start, blur, limb, 4 * blur + 1)
    else:
        steps = fit_red_sides(window, profiles, colours, t, common, blur, limb, 4 * blur + 1, noise)
    height = steps.contrast if height is None else height
    good = steps.good & (height > max(least_contrast, 5 * noise))
    good &= np.abs(steps.position - common) < max(2.5, 2 * blur) + (0 if limb is None else 2.5)
    good = _in_line(steps.position, good)
    if good.sum() < max(3, LEAST_SHARE * len(good)):
        return NOTHING
    bright = _burnt_side(window, profiles, t, steps.position, reach)
    # A red side's fit knows where light is cut off, an inner edge has little of it.
    drift = BURNT_DRIFT * blur * (0.5 if red_side else 1.0)
    position = steps.position + (0.0 if limb is None else drift) * bright
    least = 0.12 if coloured and limb is None else 0.06
    # What scatters more than its own fit admits is no better known than it scatters.
    scatter = _scatter(position, good)
    own = np.maximum(steps.sigma, scatter) * _together(position, good, scatter > blur)
    # The drift is alike in all such bins, so that their number does not help.
    burnt = bright != 0
    sigma = np.hypot(own, np.where(burnt, max(drift, 0.3) * np.sqrt((burnt & good).sum()), least))
    found = feet[good] + position[good, None] * normals[good]
    return Edge(
        Points(found, sigma[good]),
        float(good.mean()),
        float(np.median(height[good])),
        typical,
        float(np.median(position[good])),
    )


def _burnt_side(window: Window, profiles: Array, t: Array, position: Array, reach: float) -> Array:
    """Return on which side of each position light is burnt out about it: +1, -1, or 0 for none (B,).

    There the step's height is unknown.  Light may be four times what the camera can tell, and the
    outline then appears up to 1.4 blurs too far from it: about half of that is taken off, and is its doubt.
    """
    off = t[None, :] - position[:, None]
    bright = (profiles > window.burnt) & (np.abs(off) < reach)
    return np.where(bright.any(axis=1), np.where((bright * off).sum(axis=1) >= 0, 1.0, -1.0), 0.0)


def _mixture(
    window: Window, profiles: Array, colours: Array, t: Array, start: Array, blur: float, reach: float
) -> tuple[Array, Array]:
    """Share (B, T) of the second colour along profiles between two colours, and their contrast (B,).

    Luma is a curved function of the mixture of two colours; with the colours of
    both sides known it is inverted.  Where both have the same luma the colours
    themselves must do, blunt as JPEG leaves them.
    """
    gap = 2.0 + blur  # beyond the reach of half-size colour
    by_colour, height = to_contrast(colours, t, start, gap, max(reach, gap + 3.0))
    off = t[None, :] - start[:, None]
    sides = []
    for side in (-1, 1):
        near = ((side * off > gap) & (side * off < max(reach, gap + 3.0)))[:, :, None]
        sides.append((colours * near).sum(axis=1) / np.maximum(near.sum(axis=1), 1))
    mix = np.linspace(-0.25, 1.25, 31)
    result = by_colour.copy()
    for b in range(len(profiles)):
        table = window.luma_of(np.maximum(sides[0][b] + mix[:, None] * (sides[1][b] - sides[0][b]), 0.0))
        rise = np.diff(table)
        if abs(table[25] - table[5]) < 0.06 or not ((rise > 0).all() or (rise < 0).all()):
            continue
        order = np.argsort(table)
        result[b] = np.interp(profiles[b], table[order], mix[order]) * height[b]
    return result, height


def _strength(profiles: Array, blur: float) -> Array:
    """How steeply the colour changes: (B, T), smoothed to about the blur."""
    smooth = gaussian_filter1d(profiles, max(0.7 * blur, 0.5) / STEP_PX, axis=1, mode="nearest")
    return np.asarray(np.linalg.norm(np.gradient(smooth, axis=1), axis=2))


def _typical(strength: Array) -> Array:
    """Mean over the bins after each is cut at its own strong level, so that no bin outvotes the others."""
    cap = np.quantile(strength, 0.9, axis=1, keepdims=True)
    return np.asarray(np.minimum(strength / np.maximum(cap, 1e-6), 2.0).mean(axis=0))


def _scatter(position: Array, good: NDArray[np.bool_]) -> float:
    """Robust standard deviation of the good positions about a straight line."""
    u = np.linspace(-1, 1, len(position))[good]
    off = np.abs(position[good] - _smooth(u, position[good], 1 if len(u) > 3 else 0, u))
    return float(max(1.4826 * np.median(off), np.sqrt(np.mean(off**2)) / 2))


def _together(position: Array, good: NDArray[np.bool_], strays: bool) -> float:
    """Return by how much each sigma must grow because neighbouring positions err together.

    A streak taken for the outline over a stretch is one error, not fifty.  With
    the correlation ρ of neighbours about a smooth course, n positions are worth
    n (1 - ρ) / (1 + ρ); what chance alone makes of ρ is taken off.  Positions
    that stray by more than the blur were not fitted to one edge but chosen
    between rivals, and the choice leans to one side: all of them count as one.
    """
    if strays:
        return float(np.sqrt(good.sum()))
    if good.sum() < 8:
        return 1.0
    u = np.linspace(-1, 1, len(position))[good]
    off = position[good] - _smooth(u, position[good], 2, u)
    alike = float(np.sum(off[1:] * off[:-1]) / max(np.sum(off * off), 1e-12)) - 2 / np.sqrt(len(u))
    rho = float(np.clip(alike, 0.0, 0.95))
    return float(np.sqrt((1 + rho) / (1 - rho)))


def _smooth(u: Array, values: Array, degree: int, at: Array) -> Array:
    """Value (M,) at `at` of the polynomial of best fit through values (N,) at u (N,) between -1 and 1."""
    powers = u[:, None] ** np.arange(degree + 1)
    # Over -1 to 1 the normal equations of a parabola are sound, and quicker than `numpy.polyfit`.
    c = np.linalg.solve(powers.T @ powers + 1e-12 * np.eye(degree + 1), powers.T @ values)
    return np.asarray(at[:, None] ** np.arange(degree + 1) @ c)


def _in_line(position: Array, good: NDArray[np.bool_]) -> NDArray[np.bool_]:
    """Drop bins that stand off from a smooth course through the others (3 MAD)."""
    if good.sum() < 5:
        return good
    u = np.linspace(-1, 1, len(position))
    keep = good.copy()
    for _ in range(3):
        off = np.abs(position - _smooth(u[keep], position[keep], 2, u))
        limit = max(3 * 1.4826 * float(np.median(off[keep])), 0.25)
        new = good & (off < limit)
        if new.sum() < 5 or (new == keep).all():
            break
        keep = new
    return keep
