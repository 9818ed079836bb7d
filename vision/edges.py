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
    sigma = rms * np.sqrt(np.maximum(covariance[:, 2, 2], 0))
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
