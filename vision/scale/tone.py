"""The camera's tone curve, told by the card's grey wedge.

Phones bend the standard curve to taste.  One exponent on top of it is fitted
to the wedge; an office printer's greys are a weak witness, so the exponent
keeps a prior about 1.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from vision.card import Card
from vision.photo import SRGB, Photo, ToneCurve
from vision.scale.features import apply_homography

Array = NDArray[np.float64]
GAMMA_SD = 0.08  # how far phones stray from the standard curve (from memory)
GREY_SD = 0.12  # of ln reflectance of a printed patch, from an office printer (from memory)
STRAYS = 3.0  # of that sd, in the mean: patches that lie so far off one curve are hidden or shaded, no greys


@dataclass(frozen=True)
class Wedge:
    """What the wedge told: the curve, its exponent with sd, the card's white in linear RGB, burnt share."""

    tone: ToneCurve
    gamma: float
    gamma_sd: float
    white: Array  # (3,) linear light of a perfect white at the card
    clipped_share: float


def read_wedge(photo: Photo, card: Card, h: Array) -> Wedge:
    """Fit the tone curve's exponent to the wedge patches of a card found at homography h."""
    samples = [_patch(photo, h, patch.rect_mm) for patch in card.wedge]
    rho = np.array([patch.reflectance for patch in card.wedge])
    clipped = np.array([s[1] for s in samples]) if samples else np.zeros(0)
    linear = np.array([s[0] for s in samples]).reshape(-1, 3)
    usable = (clipped < 0.02) & (linear.min(axis=1) > 0.002) if len(linear) else np.zeros(0, bool)
    burnt = float(np.mean(clipped)) if len(clipped) else 0.0
    if usable.sum() < 3:
        return Wedge(SRGB, 1.0, GAMMA_SD, _paper_white(photo, card, h), burnt)
    y = np.log(linear[usable].mean(axis=1))
    x = np.log(rho[usable])
    # gamma · y = a + x: gamma from the slope of x on y, drawn towards 1 by its prior.
    dy, dx = y - y.mean(), x - x.mean()
    information = (dy @ dy) / GREY_SD**2
    gamma = float((dy @ dx / GREY_SD**2 + 1 / GAMMA_SD**2) / (information + 1 / GAMMA_SD**2))
    gamma = float(np.clip(gamma, 0.6, 1.6))
    if np.sqrt(np.mean((gamma * dy - dx) ** 2)) > STRAYS * GREY_SD:
        return Wedge(SRGB, 1.0, GAMMA_SD, _paper_white(photo, card, h), burnt)
    white = np.exp(np.mean(gamma * np.log(linear[usable]) - x[:, None], axis=0))
    return Wedge(
        SRGB.with_gamma(gamma), gamma, float(1 / np.sqrt(information + 1 / GAMMA_SD**2)), white, burnt
    )


def _patch(photo: Photo, h: Array, rect: tuple[float, float, float, float]) -> tuple[Array, float]:
    """Return the mean linear RGB (3,) of the middle of a rectangle on the card, and its burnt share."""
    x, y, w, height = rect
    inner = np.array([[x + 0.25 * w, y + 0.25 * height], [x + 0.75 * w, y + 0.75 * height]])
    corners = np.array([inner[0], [inner[1, 0], inner[0, 1]], inner[1], [inner[0, 0], inner[1, 1]]])
    px = apply_homography(h, corners)
    # The upright box inside the (perhaps turned) quadrilateral.
    xs, ys = np.sort(px[:, 0]), np.sort(px[:, 1])
    x0, x1 = int(np.ceil(xs[1])), int(np.floor(xs[2])) + 1
    y0, y1 = int(np.ceil(ys[1])), int(np.floor(ys[2])) + 1
    if x1 <= x0 or y1 <= y0:
        centre = np.round(px.mean(axis=0)).astype(int)
        x0, y0, x1, y1 = centre[0] - 1, centre[1] - 1, centre[0] + 2, centre[1] + 2
    patch = photo.linear(x0, y0, x1, y1)
    if patch.size == 0:
        return np.zeros(3), 1.0
    return np.asarray(patch.reshape(-1, 3).mean(axis=0), float), float(photo.clipped(x0, y0, x1, y1).mean())


def _paper_white(photo: Photo, card: Card, h: Array) -> Array:
    """Without a usable wedge: the bright end of what the card shows."""
    corners = apply_homography(h, np.array([[0, 0], [card.width_mm, 0], [card.width_mm, card.height_mm]]))
    x0, y0 = np.floor(corners.min(axis=0)).astype(int)
    x1, y1 = np.ceil(corners.max(axis=0)).astype(int) + 1
    patch = photo.linear(int(x0), int(y0), int(x1), int(y1))
    if patch.size == 0:
        return np.ones(3)
    return np.maximum(np.percentile(patch.reshape(-1, 3), 90, axis=0), 1e-3).astype(float)
