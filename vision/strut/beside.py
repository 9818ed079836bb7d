"""Card and strut side by side in the picture: how near they come, and which hides the other."""

import numpy as np
from numpy.typing import NDArray

from vision.scale import CardFix

Array = NDArray[np.float64]
PAPER = 0.015  # of the distance from the card's middle: paper left beyond the outline
CLEAR_PX = 6.0


def card_distance_px(fix: CardFix, px: Array, grown: float = 0.0) -> Array:
    """How far inside the card's outline pixels (..., 2) lie, px: negative outside.

    Outside a corner the distance to the nearer side's line stands for the
    distance to the corner, which is never less.
    """
    outline = fix.outline_px
    corners = outline + grown * (outline - outline.mean(axis=0))
    along = np.roll(corners, -1, axis=0) - corners
    inward = np.column_stack([-along[:, 1], along[:, 0]]) / np.linalg.norm(along, axis=1, keepdims=True)
    inward *= np.sign(np.sum((corners.mean(axis=0) - corners) * inward, axis=1, keepdims=True))
    depth = np.einsum("...ki,ki->...k", px[..., None, :] - corners, inward)
    return np.asarray(depth.min(axis=-1))


def clear_of_card(fix: CardFix, px: Array) -> NDArray[np.bool_]:
    """Which pixels (N, 2) lie far enough beside the card for an edge there not to be the card's."""
    return np.asarray(card_distance_px(fix, px, PAPER) < -CLEAR_PX)
