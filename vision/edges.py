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

Array = NDArray[np.float64]
Image = NDArray[np.float32]
SETTLED_PX = 1e-4  # an edge whose place moves by less has arrived


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


def bell_and_step(u: Array | Image) -> tuple[Image, Image]:
    """Return exp(-u²/2) and the normal distribution function Φ(u), float32, right to 3e-7.

    A fit asks for both at thousands of places, and in single precision processors work out several
    at a time: a tenth of the time of `scipy.special.ndtr`.  Source: Abramowitz and Stegun 7.1.26.
    """
    x = np.abs(u, dtype=np.float32)
    x *= np.float32(np.sqrt(0.5))
    bell = np.exp(-x * x)
    x *= np.float32(0.3275911)
    x += np.float32(1.0)
    s = np.reciprocal(x, out=x)
    tail = s * np.float32(1.061405429)
    for a in (-1.453152027, 1.421413741, -0.284496736, 0.254829592):
        tail += np.float32(a)
        tail *= s
    tail *= np.float32(-0.5)
    tail *= bell
    tail += np.float32(0.5)
    step = np.copysign(tail, u, dtype=np.float32)
    step += np.float32(0.5)
    return bell, step


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
    own, values, w = _windows(profiles, t, start, reach)
    t0, s = start.astype(float).copy(), np.full(len(start), float(blur))
    count = 4 if free_blur else 3
    r, height = np.zeros_like(values), np.zeros(len(start))
    normal = np.zeros((len(start), count, count))
    moving = np.arange(len(start))
    for _ in range(iterations):
        here, place, soft = w[moving], t0[moving], s[moving]
        z = (own[moving] - place[:, None]) / soft[:, None]
        bell, phi = bell_and_step(z)
        # For given t0 and s the two levels are linear: solve them exactly.
        low, rise = _levels(values[moving], phi, here)
        left = (values[moving] - low[:, None] - rise[:, None] * phi) * here
        J = np.empty((len(moving), count, own.shape[1]))
        J[:, 0], J[:, 1] = here, phi * here
        J[:, 2] = (-rise / (soft * np.sqrt(2 * np.pi)))[:, None] * bell * here
        if free_blur:
            J[:, 3] = J[:, 2] * z
        part = J @ J.swapaxes(1, 2)
        part += np.eye(count) * (1e-9 + 1e-6 * np.einsum("bii->b", part))[:, None, None]
        step = np.linalg.solve(part, J @ left[:, :, None])[:, :, 0]
        t0[moving] = place + np.clip(step[:, 2], -0.7 * soft, 0.7 * soft)
        if free_blur:
            s[moving] = np.clip(soft + np.clip(step[:, 3], -0.3 * soft, 0.3 * soft), 0.3, reach)
        r[moving], height[moving], normal[moving] = left, rise, part
        moving = moving[np.abs(step[:, 2:]).max(axis=1) >= SETTLED_PX]
        if len(moving) == 0:
            break
    used = w.sum(axis=1)
    rms = np.sqrt((r * r).sum(axis=1) / np.maximum(used - count, 1))
    covariance = np.linalg.inv(normal)
    # Samples closer than the pixels they were interpolated from share their noise.
    step_px = float(t[1] - t[0])
    shared = np.sqrt(1.5 / step_px) if step_px < 1 else 1.0
    sigma = rms * np.sqrt(np.maximum(covariance[:, 2, 2], 0)) * shared
    contrast = np.abs(height)
    good = (np.abs(t0 - start) < 0.5 * reach) & (sigma < 0.5) & (contrast > 4 * rms) & (used > 4)
    return Steps(t0, np.maximum(sigma, 1e-3), contrast, s, good)


def _windows(profiles: Array, t: Array, start: Array, reach: float) -> tuple[Array, Array, Array]:
    """Offsets, profiles and weights (B, K) of the samples within reach of each start."""
    spacing = float(t[1] - t[0])
    first = np.clip(np.floor((start - reach - t[0]) / spacing), 0, len(t) - 1).astype(int)
    index = np.minimum(first[:, None] + np.arange(int(2 * reach / spacing) + 3), len(t) - 1)
    fresh = np.diff(index, axis=1, prepend=-1) > 0  # the last sample counts once
    own = t[index]
    w = ((np.abs(own - start[:, None]) <= reach) & fresh).astype(float)
    return own, np.take_along_axis(profiles, index, axis=1), w


def _levels(profiles: Array, phi: Array | Image, w: Array) -> tuple[Array, Array]:
    n = w.sum(axis=1)
    mean_phi = (phi * w).sum(axis=1) / n
    mean_p = (profiles * w).sum(axis=1) / n
    dphi = (phi - mean_phi[:, None]) * w
    height = (dphi * profiles).sum(axis=1) / np.maximum((dphi * dphi).sum(axis=1), 1e-12)
    return mean_p - height * mean_phi, height


_ROOT_STEP = 0.05  # of the blur


def _root_table() -> tuple[Array, Array]:
    """√u for u > 0 blurred by a unit Gaussian, tabulated over u in units of the blur."""
    u = np.arange(-8.0, 80.01, _ROOT_STEP)
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
    # Each profile's own samples: the profiles reach farther, to where edges were looked for.
    spacing = float(t[1] - t[0])
    first = np.clip(np.floor((start - inside - t[0]) / spacing), 0, len(t) - 1).astype(int)
    index = np.minimum(first[:, None] + np.arange(int((inside + outside) / spacing) + 2), len(t) - 1)
    fresh = np.diff(index, axis=1, prepend=-1) > 0  # the last sample counts once
    own, values = t[index], np.take_along_axis(profiles, index, axis=1)
    off = own - start[:, None]
    w = ((off > -inside) & (off < outside) & fresh).astype(float)
    values = values * w
    used = w.sum(axis=1)
    place = start.astype(float).copy()
    r, power = np.zeros_like(values), np.ones(len(place))
    moving = np.arange(len(place))
    for _ in range(iterations):
        here = w[moving, None]
        terms = _limb_terms(own[moving], place[moving], blur, inside) * here
        ahead = _limb_terms(own[moving], place[moving] + 0.02, blur, inside) * here
        levels, left = _levels_of(terms, values[moving])
        _, free = _levels_of(terms, (levels[:, None] @ (ahead - terms))[:, 0] / 0.02)
        strength = np.maximum((free * free).sum(axis=1), 1e-12)
        step = np.clip((free * left).sum(axis=1) / strength, -0.5 * blur, 0.5 * blur)
        bound = 0.8 * outside
        place[moving] = np.clip(place[moving] + step, start[moving] - bound, start[moving] + bound)
        r[moving], power[moving] = left, strength
        moving = moving[np.abs(step) > SETTLED_PX]
        if len(moving) == 0:
            break
    rms = np.sqrt((r * r).sum(axis=1) / np.maximum(used - 6, 1))
    sigma = rms * np.sqrt(2 / power)
    middle = profiles.mean(axis=1, keepdims=True)
    change = np.ptp(np.where(w > 0, values, middle), axis=1)
    good = (sigma < 1.0) & (change > 4 * rms) & (np.abs(place - start) < 0.75 * outside)
    return Steps(place, np.maximum(sigma, 1e-3), change, np.full(len(place), blur), good)


def limb_basis(t: Array, place: Array, blur: float, inside: float) -> Array:
    """Return the terms of `fit_limbs`, (B, T, 4), for limbs at places (B,): constant, step, root, line."""
    return _limb_terms(t[None], place, blur, inside).swapaxes(1, 2)


def _limb_terms(t: Array, place: Array, blur: float, inside: float) -> Array:
    """The terms (B, 4, T) at offsets t (B, T)."""
    u = (place[:, None] - t) / blur
    bell, step = bell_and_step(u)
    # The table is even: the place in it needs no search.
    at = np.clip((u - _ROOT_U[0]) * (1 / _ROOT_STEP), 0.0, len(_ROOT_U) - 1.001)
    index = at.astype(np.intp)
    low = _ROOT_VALUE.take(index)
    terms = np.empty((len(u), 4, u.shape[1]))
    terms[:, 0], terms[:, 1] = 1.0, step
    terms[:, 2] = (low + (at - index) * (_ROOT_VALUE.take(index + 1) - low)) * np.sqrt(blur / inside)
    terms[:, 3] = (u * step + bell * np.float32(1 / np.sqrt(2 * np.pi))) * (blur / inside)
    return terms


def _levels_of(terms: Array, values: Array) -> tuple[Array, Array]:
    """Least-squares levels (B, K) of terms (B, K, T) under a tiny ridge, and what they leave (B, T)."""
    normal = terms @ terms.swapaxes(1, 2)
    normal += 1e-6 * np.eye(terms.shape[1])
    levels = np.linalg.solve(normal, terms @ values[:, :, None])
    return np.asarray(levels[:, :, 0]), values - (levels.swapaxes(1, 2) @ terms)[:, 0]
