"""Dust on a dark cover: told by its colour and taken out of the light, so that it hides no wear.

Dust lies in patches, is browner than rubber and brightens it by as much as rubbing does, while a rubbed
place is greyer than the dust about it.  How much light goes with the brown is the same all over one hose.
"""

import cv2
import numpy as np

from vision.hose.course import Picture

_EVEN = 0.04  # hose widths: the colour of single pixels is noise
_EVEN_LIGHT = 5  # columns and rows
_MOST_BROWN, _MOST_LIGHT = 0.3, 0.6  # ln units: beyond it is a label or a clamp
_EVERY = 7  # pixels: neighbours say the same
_LEAST = 100  # pixels before the every-seventh rule
_FITS, _LEAST_OFF = 6, 0.03  # times; ln units
_NOISE = 1e-4  # ln units², which holds a slope without any brown near 0
_SLOPES = (0.3, 4.0)  # ln light a ln unit of brown: less is no dust, more no brightening by it
FLOOR = 0.004  # of full light, below which a colour is noise


def brown(linear: Picture, width: float) -> Picture:
    """Return ln of red over blue (R, C) of linear light (R, C, 3), evened over a share of a hose's width."""
    even = cv2.GaussianBlur(linear, (0, 0), _EVEN * width)
    return np.asarray(np.log(even[..., 0] + FLOOR) - np.log(even[..., 2] + FLOOR), np.float32)


def dust_light(residual: Picture, browner: Picture) -> Picture:
    """Return the part of the light that goes with the brown.

    Parameters
    ----------
    residual : (R, C) float32 array
        ln light less what is steady along the hose.
    browner : (R, C) float32 array
        `brown` less what is steady along the hose.

    Returns
    -------
    (R, C) float32 array
        ln units, to be taken from the light. 0 where brighter places are not browner: the hose is clean, or
        the dust is grey and can't be told from wear.

    Notes
    -----
    One slope through the origin by least absolute deviations (iteratively reweighted), which the few
    pixels of a worn place do not move.  Fabric that shows through is brown like dust and is dimmed by it,
    too; it is brighter by more than dust of its colour would be.
    """
    even = cv2.blur(residual, (_EVEN_LIGHT, _EVEN_LIGHT))
    known = (np.abs(browner) < _MOST_BROWN) & (np.abs(even) < _MOST_LIGHT)
    if known.sum() < _LEAST:
        return np.zeros_like(residual)
    x, y = (one[known][::_EVERY].astype(np.float64) for one in (browner, even))
    weight, slope = np.ones_like(x), 0.0
    for _ in range(_FITS):
        slope = float((weight * x * y).sum() / ((weight * x * x).sum() + len(x) * _NOISE))
        weight = 1 / np.maximum(np.abs(y - slope * x), _LEAST_OFF)
    least, most = _SLOPES
    if slope < least:
        return np.zeros_like(residual)
    return np.asarray(min(slope, most) * np.clip(browner, -_MOST_BROWN, _MOST_BROWN), np.float32)
