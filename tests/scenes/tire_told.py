"""A drawn tire told of better than most: a phone whose own down was found, a section's width from the table.

Both are drawn from streams of their own, so a case stays what it is and its photo is drawn once for all of them.
"""

import dataclasses
from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace

import numpy as np

from tests.scenes.tire_draw import TireCase
from tests.scenes.wheel_scene import Array
from vision.calibration import gravity_offset
from vision.camera import Camera
from vision.camera_file import CameraFile, read_camera
from vision.photo import FocalPrior, Photo, PhotoFacts
from vision.results import Refusal

AS_DRAWN, PLUMBED = "", "plumbed"
OWN_DEG = 0.8  # how far a phone's sensor is turned in its case, standard deviation
# What it tells of its roll scatters from photo to photo (hand, temperature).  With the taps of the plumb
# line this leaves about 0.4°, the middle of the 0.1 to 0.5° that phones are said to keep to (from memory).
ROLL_DEG, PITCH_DEG = 0.25, 0.6
TAP_PX = 1.5
CALIBRATED_F, CALIBRATED_K1 = 0.005, 0.002


@dataclass(frozen=True)
class ToldCase(TireCase):
    """A case with what it is told of beyond a common one.

    `turned_deg` is by how much the phone's gravity is turned off in this photo, `offset_deg` what its
    calibration says of that (None where it says nothing), `width_u` half the range of the told width, as a share.
    """

    turned_deg: float | None = None
    offset_deg: float | None = None
    width_u: float | None = None


def plumbed(case: TireCase) -> ToldCase:
    """The same photo by a calibrated phone whose gravity was held against a plumb line, where it tells any."""
    rng = np.random.default_rng([case.scene.seed, 78])
    focal, k1 = rng.normal(size=2)
    told = _told(case)
    if case.k1_u > 0.01:
        s = case.scene
        told = replace(
            told,
            focal_told=float(s.focal_px * (1 + CALIBRATED_F * focal)),
            focal_u=CALIBRATED_F * s.focal_px,
            k1_told=float(s.k1 + CALIBRATED_K1 * k1),
            k1_u=CALIBRATED_K1,
        )
    if case.gravity_error_deg is None:
        return told
    own = float(OWN_DEG * rng.normal())
    offset = _found_offset(told, own, rng)
    return replace(told, turned_deg=own + float(ROLL_DEG * rng.normal()), offset_deg=offset)


def width_known(case: TireCase, share: float) -> ToldCase:
    """The same case, its section's width told within a share of the truth, as from the size's table."""
    u = np.random.default_rng([case.scene.seed, 79]).uniform(-1, 1)
    width = float(case.scene.section_width_mm / (1 + share * u))
    return replace(_told(case), width_told=width, width_u=share)


def ways_of(plumb: bool, width_u: float | None) -> Mapping[str, Callable[[TireCase], TireCase]]:
    """Return what else is told of each case, by the name that its rows get."""
    ways: dict[str, Callable[[TireCase], TireCase]] = {}
    if plumb:
        ways[PLUMBED] = plumbed
    if width_u is not None:
        share = width_u
        ways[f"width ± {100 * share:g} %"] = lambda case: width_known(case, share)
    return ways


def camera_of(case: TireCase) -> CameraFile | None:
    """A calibration where the case has one, as a CAMERA.json that was written and read."""
    if case.k1_u > 0.01:
        return None
    s = case.scene
    offset = case.offset_deg if isinstance(case, ToldCase) else None
    return read_camera(
        {
            "make": "", "model": "", "width_px": s.width_px, "height_px": s.height_px, "f_px": case.focal_told,
            "f_u_px": case.focal_u, "cx_px": (s.width_px - 1) / 2, "cy_px": (s.height_px - 1) / 2,
            "k1": case.k1_told, "k1_u": case.k1_u, "gravity_offset_deg": offset, "date": "2026-01-01", "rms_px": 0.2,
        }
    )  # fmt: skip


def turned(down: Array, degrees: float) -> Array:
    """A direction (3,) of the camera's frame after a turn counter-clockwise as seen."""
    a = np.radians(degrees)
    x, y, z = down
    return np.array([x * np.cos(a) + y * np.sin(a), y * np.cos(a) - x * np.sin(a), z])


def _told(case: TireCase) -> ToldCase:
    return ToldCase(**{one.name: getattr(case, one.name) for one in dataclasses.fields(TireCase)})


def _found_offset(case: TireCase, own: float, rng: np.random.Generator) -> float:
    """What `calibrate --plumb-photo` finds: a line tapped on a photo of its own, and the phone's scatter on it."""
    s = case.scene
    pitch, roll = np.radians(rng.uniform(-10, 10)), float(rng.uniform(-5, 5))
    down = turned(np.array([0.0, np.cos(pitch), np.sin(pitch)]), roll)
    reach = 0.4 * s.height_px / s.focal_px * 1000.0  # of the line, mm either way, a metre before the lens
    middle = np.array([rng.uniform(-0.5, 0.5) * reach, 0.0, 1000.0])
    true = Camera(s.focal_px, (s.width_px - 1) / 2, (s.height_px - 1) / 2, s.k1)
    taps = true.project(np.array([middle - reach * down, middle + reach * down]))
    taps = taps + TAP_PX * rng.normal(size=taps.shape)
    tipped = down + np.radians(PITCH_DEG * rng.normal()) * np.array([0.0, -np.sin(pitch), np.cos(pitch)])
    writes = turned(tipped / np.linalg.norm(tipped), -own - ROLL_DEG * float(rng.normal()))
    facts = PhotoFacts(
        "JPEG", s.width_px, s.height_px, FocalPrior(case.focal_told, case.focal_u, "scene"),
        gravity=(float(writes[0]), float(writes[1]), float(writes[2])),
    )  # fmt: skip
    camera = camera_of(case)
    assert camera is not None
    photo = Photo(np.zeros((8, 8, 3), np.uint8), facts)
    found = gravity_offset(photo, camera, [(float(x), float(y)) for x, y in taps])
    assert not isinstance(found, Refusal), found
    return round(found, 2)  # as the command writes it
