"""Sub-pixel edges: a blurred step fitted to averaged profiles of linear light.

Everything here works on *linear* light: on gamma-coded values a blurred edge
shifts towards its dark side by about half a pixel.

A profile is sampled across an edge at offsets t (pixels).  Neighbouring
profiles are averaged in bins along the edge after they have been aligned to
its predicted course, then each bin's position is found by least squares of
``low + (high - low) Φ((t - t0) / s)``, Φ the normal distribution function.
"""

from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray
from scipy.special import ndtr

Array = NDArray[np.float64]
Image = NDArray[np.float32]


@dataclass(frozen=True)
class Steps:
    """Steps found in B profiles.

    Attributes
    ----------
    position : (B,) array
        Offset t0 of the edge, px.
    sigma : (B,) array
        Its standard uncertainty from the scatter about the fit, px.
    contrast : (B,) array
        Height of the step as a share of full white.
    blur : (B,) array
        Edge-spread sigma s, px.
    good : (B,) bool array
        Whether the fit converged inside the window on a step clear of the noise.
    """

    position: Array
    sigma: Array
    contrast: Array
    blur: Array
    good: NDArray[np.bool_]


def sample(image: Image, x: Array, y: Array) -> Array:
    """Sample an image (H, W, C) at pixels x, y (N, T): bilinear, (N, T, C)."""
    values = cv2.remap(
        image, x.astype(np.float32), y.astype(np.float32), cv2.INTER_LINEAR, borderMode=cv2.BORDER_REPLICATE
    )
    return np.asarray(values.reshape(*x.shape, -1), float)


def sampled_blur(blur: float) -> float:
    """Return the edge-spread sigma (px) that profiles taken with `sample` show where the picture has `blur`.

    Linear interpolation at a fraction f between two pixels spreads light with the variance f (1 - f), 1/6 px²
    in the mean over all fractions.  Left out, a sigma of 1.2 px passes for 1.13, and an outline
    whose light changes towards it comes out 0.05 px too far outside.
    """
    return float(np.sqrt(blur * blur + 1 / 6))


def binned(profiles: Array, size: int) -> Array:
    """Average profiles (N, T, C) in runs of `size`: (N // size, T, C)."""
    n = len(profiles) // size
    return np.asarray(profiles[: n * size].reshape(n, size, *profiles.shape[1:]).mean(axis=1))


def to_contrast(profiles: Array, t: Array, centre: Array, gap: float, reach: float) -> tuple[Array, Array]:
    """Project colour profiles (B, T, C) on the colour that changes across the edge.

    Returns the scalar profiles (B, T), in which the step has its full height as
    a share of white, and that height (B,).  Light adds up linearly, so a
    projection of colours keeps an edge where it is.
    """
    off = t[None, :] - centre[:, None]
    before = ((off < -gap) & (off > -reach))[:, :, None]
    after = ((off > gap) & (off < reach))[:, :, None]
    with np.errstate(invalid="ignore", divide="ignore"):
        low = (profiles * before).sum(axis=1) / before.sum(axis=1)
        high = (profiles * after).sum(axis=1) / after.sum(axis=1)
    delta = np.nan_to_num(high - low)
    height = np.linalg.norm(delta, axis=1)
    direction = delta / np.maximum(height, 1e-9)[:, None]
    return np.einsum("btc,bc->bt", profiles, direction), height


def fit_steps(
    profiles: Array,
    t: Array,
    start: Array,
    blur: float,
    reach: float,
    free_blur: bool = False,
    iterations: int = 10,
) -> Steps:
    """Fit one blurred step to each scalar profile (B, T) sampled at t (T,).

    Parameters
    ----------
    start : (B,) array
        First guess of the positions, within about two blurs.
    blur : float
        Edge-spread sigma, px; kept unless `free_blur`.
    reach : float
        Samples farther than this from the guess are not used.

    Notes
    -----
    The window is fixed about the start, so the fit cannot wander off to a
    neighbour; a position that leaves half the reach is marked not good.
    """
    inside = np.abs(t[None, :] - start[:, None]) <= reach
    w = inside.astype(float)
    t0, s = start.astype(float).copy(), np.full(len(start), float(blur))
    for _ in range(iterations):
        z = (t[None, :] - t0[:, None]) / s[:, None]
        phi = ndtr(z)
        # For given t0 and s the two levels are linear: solve them exactly.
        low, height = _levels(profiles, phi, w)
        r = (profiles - low[:, None] - height[:, None] * phi) * w
        bell = np.exp(-0.5 * z * z) / np.sqrt(2 * np.pi)
        slope = -height / s
        jt = slope[:, None] * bell * w
        columns = [w, phi * w, jt]
        if free_blur:
            columns.append(jt * z)
        J = np.stack(columns, axis=-1)
        normal = np.einsum("bti,btj->bij", J, J)
        normal += np.eye(J.shape[-1]) * (1e-9 + 1e-6 * np.einsum("bii->b", normal))[:, None, None]
        step = np.linalg.solve(normal, np.einsum("bti,bt->bi", J, r)[:, :, None])[:, :, 0]
        t0 = t0 + np.clip(step[:, 2], -0.7 * s, 0.7 * s)
        if free_blur:
            s = np.clip(s + np.clip(step[:, 3], -0.3 * s, 0.3 * s), 0.3, reach)
    used = w.sum(axis=1)
    rms = np.sqrt((r * r).sum(axis=1) / np.maximum(used - J.shape[-1], 1))
    covariance = np.linalg.inv(normal)
    # Samples closer than the pixels they were interpolated from share their noise.
    step_px = float(t[1] - t[0])
    shared = np.sqrt(1.5 / step_px) if step_px < 1 else 1.0
    sigma = rms * np.sqrt(np.maximum(covariance[:, 2, 2], 0)) * shared
    contrast = np.abs(height)
    good = (np.abs(t0 - start) < 0.5 * reach) & (sigma < 0.5) & (contrast > 4 * rms) & (used > 4)
    return Steps(t0, np.maximum(sigma, 1e-3), contrast, s, good)


def _levels(profiles: Array, phi: Array, w: Array) -> tuple[Array, Array]:
    n = w.sum(axis=1)
    mean_phi = (phi * w).sum(axis=1) / n
    mean_p = (profiles * w).sum(axis=1) / n
    dphi = (phi - mean_phi[:, None]) * w
    height = (dphi * profiles).sum(axis=1) / np.maximum((dphi * dphi).sum(axis=1), 1e-12)
    return mean_p - height * mean_phi, height


def _root_table() -> tuple[Array, Array]:
    """√u for u > 0 blurred by a unit Gaussian, tabulated over u in units of the blur."""
    u = np.arange(-8.0, 80.01, 0.05)
    fine = np.arange(-8.0, 8.0001, 0.02)
    bell = np.exp(-0.5 * fine * fine)
    bell /= bell.sum()
    return u, np.asarray([np.sum(bell * np.sqrt(np.maximum(x - fine, 0.0))) for x in u])


_ROOT_U, _ROOT_VALUE = _root_table()


def fit_limbs(
    profiles: Array, t: Array, start: Array, blur: float, inside: float, outside: float, iterations: int = 10
) -> Steps:
    """Fit the limb of a cylinder to scalar profiles (B, T), t growing outward.

    Within the limb light changes with the surface's slant, that is with the
    root of the distance u from it: a matt cylinder darkens so, and chrome
    mirrors directions that turn away so.  Model: background + a step + a root
    term + a linear term inside, all blurred; the four levels are free in every
    profile (variable projection), the limb's place is fitted.

    Parameters
    ----------
    start : (B,) array
        First guess of the limb, within about two blurs.
    blur : float
        Edge-spread sigma, px.
    inside, outside : float
        How far from the guess samples are used on either side, px.
    """
    off = t[None, :] - start[:, None]
    w = ((off > -inside) & (off < outside)).astype(float)
    place = start.astype(float).copy()
    used = w.sum(axis=1)
    for _ in range(iterations):
        basis = limb_basis(t, place, blur, inside) * w[:, :, None]
        levels, r = _levels_of(basis, profiles * w)
        ahead = np.einsum("bti,bi->bt", limb_basis(t, place + 0.02, blur, inside) * w[:, :, None], levels)
        slope = (ahead - np.einsum("bti,bi->bt", basis, levels)) / 0.02
        _, free = _levels_of(basis, slope)
        power = np.maximum((free * free).sum(axis=1), 1e-12)
        place = place + np.clip((free * r).sum(axis=1) / power, -0.5 * blur, 0.5 * blur)
        place = np.clip(place, start - 0.8 * outside, start + 0.8 * outside)
    rms = np.sqrt((r * r).sum(axis=1) / np.maximum(used - 6, 1))
    sigma = rms * np.sqrt(2 / power)
    change = np.ptp(np.where(w > 0, profiles, profiles.mean(axis=1, keepdims=True)), axis=1)
    good = (sigma < 1.0) & (change > 4 * rms) & (np.abs(place - start) < 0.75 * outside)
    return Steps(place, np.maximum(sigma, 1e-3), change, np.full(len(place), blur), good)


def limb_basis(t: Array, place: Array, blur: float, inside: float) -> Array:
    """Return the terms of `fit_limbs`, (B, T, 4), for limbs at places (B,): constant, step, root, line."""
    u = (place[:, None] - t[None, :]) / blur
    step = ndtr(u)
    root = np.interp(u, _ROOT_U, _ROOT_VALUE) * np.sqrt(blur / inside)
    line = (u * step + np.exp(-0.5 * u * u) / np.sqrt(2 * np.pi)) * blur / inside
    return np.stack([np.ones_like(u), step, root, line], axis=-1)


def _levels_of(basis: Array, values: Array) -> tuple[Array, Array]:
    """Least-squares levels (B, K) under a tiny ridge, and what they leave (B, T)."""
    normal = np.einsum("bti,btj->bij", basis, basis)
    normal += 1e-6 * np.eye(basis.shape[-1])
    levels = np.linalg.solve(normal, np.einsum("bti,bt->bi", basis, values)[:, :, None])[:, :, 0]
    return levels, values - np.einsum("bti,bi->bt", basis, levels)
