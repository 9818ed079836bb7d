"""The red band's side before any background, in luma alone.

JPEG keeps colour at half size, and a lacquer's gloss washes the red out towards
the limb: by its colour the band ends up to a pixel too early or too late.  Luma
is sharp, but it is a curved function of a mixture of red and grey, and where
both are equally bright it dips or swells at the edge.  So the luma that the
mixture must have is computed and fitted: background, and red that is shaded
towards the limb, mixed by the lens in linear light.
"""

import numpy as np
from numpy.typing import NDArray

from vision.edges import Steps, limb_basis
from vision.strut.window import Window

Array = NDArray[np.float64]
ITERATIONS = 10
SHADE_SD = 0.5  # of white: how much the shading over the limb may be
_TRIAL = np.array([0.02, 1e-3, 1e-3, 1e-3, 1e-3])


def fit_red_sides(
    window: Window,
    lumas: Array,
    colours: Array,
    t: Array,
    common: float,
    blur: float,
    inside: float,
    outside: float,
    noise: float,
) -> Steps:
    """Fit the side of a red cylinder to profiles, t growing outward.

    Parameters
    ----------
    lumas : (B, T) array
        Linear luma, as `Window.lumas`.
    colours : (B, T, 3) array
        For the hue on either side only.
    common : float
        First guess of the side in all profiles, px.
    blur : float
        Edge-spread sigma, px.
    inside, outside : float
        How far from the guess samples are used on either side, px.
    noise : float
        Standard deviation of a profile's luma.
    """
    off = t - common
    out = np.median(colours[:, (off > blur + 1.5) & (off < outside + 1)], axis=1)
    red = np.median(colours[:, (off < -blur - 2) & (off > -inside)], axis=1)
    # Unknown in every profile: place, light outside, and the red's step, root and line (`fit_limbs`).
    theta = np.column_stack([np.full(len(lumas), common), out.mean(axis=1), red[:, 0], 0 * out[:, :2]])
    hue_out = (out / np.maximum(out.mean(axis=1, keepdims=True), 1e-4))[:, None]
    hue_red = (red / np.maximum(red[:, :1], 1e-4))[:, None]
    used = (off > -inside) & (off < outside)
    full = 1 / window.white

    def seen(p: Array) -> Array:
        """Lumas (K, B, T) for K sets of unknowns (K, B, 5)."""
        basis = limb_basis(t[used], p[..., 0].ravel(), blur, inside)
        basis = basis.reshape(*p.shape[:2], *basis.shape[1:])
        shade = (basis[..., 1:] @ p[..., 2:, None])[..., 0]
        light = (1 - basis[..., 1]) * p[..., 1:2]
        return window.luma_of(np.clip(light[..., None] * hue_out + shade[..., None] * hue_red, 0, full))

    values = lumas[:, used]
    weak = np.array([0.0, 0.0, 0.0, 1.0, 1.0]) * (noise / SHADE_SD) ** 2
    for _ in range(ITERATIONS):
        now, *ahead = seen(theta + np.vstack([np.zeros(5), np.diag(_TRIAL)])[:, None])
        left = values - now
        slopes = np.stack([(a - now) / step for a, step in zip(ahead, _TRIAL, strict=True)], axis=1)
        normal = slopes @ slopes.swapaxes(1, 2) + np.diag(weak) + 1e-9 * np.eye(5)
        damped = normal * (1 + 1e-3 * np.eye(5))
        right = (slopes @ left[:, :, None])[:, :, 0] - weak * theta
        step = np.linalg.solve(damped, right[:, :, None])[:, :, 0]
        step[:, 0] = np.clip(step[:, 0], -0.5 * blur, 0.5 * blur)
        theta = theta + step
        theta[:, 0] = np.clip(theta[:, 0], common - 0.8 * outside, common + 0.8 * outside)
        theta[:, 1] = np.clip(theta[:, 1], 0, 4)
    rms = np.sqrt((left * left).sum(axis=1) / max(used.sum() - 5, 1))
    # Samples closer than the pixels they were interpolated from share their noise.
    shared = np.sqrt(1.5 / float(t[1] - t[0]))
    sigma = rms * np.sqrt(np.linalg.inv(normal)[:, 0, 0]) * shared
    place = theta[:, 0]
    contrast = np.linalg.norm(out - red, axis=1)
    good = (sigma < 1.0) & (np.abs(place - common) < 0.75 * outside)
    return Steps(place, np.maximum(sigma, 1e-3), contrast, np.full(len(place), blur), good)
