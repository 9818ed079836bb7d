"""What stands out at a place, in words: what is seen, and what it may come from."""

import cv2
import numpy as np

from vision.surface.looked import LIGHT, Picture
from vision.surface.places import Place

_ALSO = 3.0  # robust sigmas
_ONE_WAY = 0.35


_PHRASES = (
    "brighter than the surface about it",
    "darker than the surface about it: may be worn through, dirt or fluid",
    "smoother than the surface about it: may be rubbed or polished",
    "rougher than the surface about it",
    "of another colour than the surface about it: may be another layer, dirt or fluid",
)


def why(place: Place, own: Picture) -> str:
    """Return one phrase for a place."""
    _, _, smoother, rougher, _ = place.others
    if rougher > _ALSO and _one_way(place, own):
        return "fine lines along one direction: may be scratched or scuffed"
    if place.signal == 0 and smoother > _ALSO:
        return "brighter and smoother than the surface about it: may be rubbed or polished"
    return _PHRASES[place.signal]


def _one_way(place: Place, own: Picture) -> bool:
    """Whether the fine structure lies along one direction, by its structure tensor."""
    rows, columns = place.mask.shape
    box = slice(place.row, place.row + rows), slice(place.column, place.column + columns)
    light = own[box][..., LIGHT]
    if min(light.shape) < 5:
        return False
    fine = light - cv2.GaussianBlur(light, (0, 0), 2.0)
    gy, gx = np.gradient(fine)
    xx, yy, xy = (float(one[place.mask].mean()) for one in (gx * gx, gy * gy, gx * gy))
    return float(np.hypot(xx - yy, 2 * xy)) > _ONE_WAY * max(xx + yy, 1e-12)
