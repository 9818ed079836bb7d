"""A wheel in a real photograph: the rim's plane by its circle against the plane by structured light.

The photograph is the left one of scikit-image's stereo motorcycle (Scharstein et al., GCPR 2014):
f = 994.978 px, principal point (311.193, 254.877), depth = 193.001 f / (d + 31.086) mm.
The rear rim's outer edge was tapped by eye on the enlarged picture, to about 1 px; a silencer
and a bracket hide a part of it, and 37 % of the edge is found.  The rim stands still in the plane that the depths of
the rim and the sidewall about it lie in, found robustly; sidewalls bulge evenly about a rim.

Measured: the nearer root lies 3.1° from that plane (2.8° where the rim alone gives the depths), the
other 52°.  The stated standard uncertainty is 0.3°, so this photograph is not covered.
The size of the data set's mm is not used: the direction of the plane is free of it.
"""

import importlib.util
from functools import cache
from pathlib import Path

import numpy as np
import pytest
from PIL import Image

from vision.photo import FocalPrior, Photo, PhotoFacts
from vision.results import Refusal
from vision.scale.model import CameraKnowledge
from vision.wheel import WheelFit, fit_flange

pytestmark = pytest.mark.needs_package("scikit-image")
F, CX, CY = 994.978, 311.193, 254.877
ENLARGED = np.array(
    [
        [208, 400], [222, 290], [300, 165], [400, 105], [510, 88], [640, 110],
        [240, 560], [330, 670], [440, 740], [550, 768], [700, 740],
    ],
    float,
)  # fmt: skip
TAPS = (ENLARGED + 0.5) / 6 - 0.5 + [110, 250]


def folder() -> Path:
    spec = importlib.util.find_spec("skimage")
    place = Path(str(spec.origin)).parent / "data" if spec else Path()
    if not (place / "motorcycle_disp.npz").exists():
        pytest.skip("the motorcycle is not in this installation: install the wheel of scikit-image")
    return place


def plane_by_depth() -> np.ndarray:
    """Unit normal (3,), towards the camera, of the depths on rim and sidewall."""
    disparity = np.load(folder() / "motorcycle_disp.npz")["arr_0"].astype(float)
    y, x = np.mgrid[0 : disparity.shape[0], 0 : disparity.shape[1]].astype(float)
    middle, half = TAPS.mean(axis=0), np.ptp(TAPS, axis=0)[1] / 2
    r = np.hypot(x - middle[0], y - middle[1]) / half
    on = (r > 0.93) & (r < 1.15) & (x < middle[0] + 0.35 * half) & np.isfinite(disparity)
    # In x, y and disparity a plane is a plane: no bias from turning noise into depth.
    a = np.column_stack([x[on] - CX, y[on] - CY, np.ones(on.sum())])
    d = disparity[on] + 31.086
    keep = np.ones(len(d), bool)
    for _ in range(10):
        fit = np.linalg.lstsq(a[keep], d[keep], rcond=None)[0]
        off = d - a @ fit
        spread = 1.4826 * np.median(np.abs(off[keep] - np.median(off[keep])))
        keep = np.abs(off - np.median(off[keep])) < 2.5 * spread
    # d = b f / Z: (a0 f) X + (a1 f) Y + a2 Z is constant on the plane.
    normal = np.array([fit[0] * F, fit[1] * F, fit[2]])
    return -normal / np.linalg.norm(normal) * np.sign(normal[2])


@cache
def against_depth() -> tuple[list[float], list[WheelFit]]:
    """Angles (deg) between each root's plane and the plane by depth, and the roots."""
    pixels = np.asarray(Image.open(folder() / "motorcycle_left.png").convert("RGB"))
    photo = Photo(
        pixels, PhotoFacts("PNG", pixels.shape[1], pixels.shape[0], FocalPrior(F, 1.0, "published"))
    )
    found = fit_flange(photo, CameraKnowledge(F, 1.0, CX, CY, 0.0, 0.002), 400.0, 4.0, TAPS)
    assert not isinstance(found, Refusal)
    true = plane_by_depth()
    return [float(np.degrees(np.arccos(fit.pose.normal @ true))) for fit in found], list(found)


def test_one_root_of_the_real_rim_is_near_the_plane_of_its_depths_and_the_other_is_far() -> None:
    apart, _ = against_depth()
    assert min(apart) < 4.0
    assert max(apart) > 40.0


@pytest.mark.xfail(
    reason="3.1° apart at a stated u of 0.3°: on 37 % of a rim 60 px in radius the fit claims too much"
)
def test_the_real_rims_doubt_covers_the_plane_of_its_depths() -> None:
    apart, found = against_depth()
    k = int(np.argmin(apart))
    assert apart[k] < 2.45 * found[k].normal_u_deg
