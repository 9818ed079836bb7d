"""The turn of a phone's own down, from a plumb line whose place in the photo is known."""

import datetime
from dataclasses import replace

import numpy as np
import pytest

from vision import notes
from vision.calibration import gravity_offset
from vision.camera_file import CameraFile
from vision.photo import FocalPrior, Photo, PhotoFacts
from vision.results import Refusal

CAMERA = CameraFile(
    "", "", 4032, 3024, 3010.0, 9.0, 2015.5, 1511.5, 0.0, 0.001, None, datetime.date(2026, 3, 9), 0.1
)


def turned(direction: np.ndarray, degrees: float) -> np.ndarray:
    """A direction after a turn counter-clockwise as seen (x right, y down)."""
    a = np.radians(degrees)
    x, y, z = direction
    return np.array([x * np.cos(a) + y * np.sin(a), y * np.cos(a) - x * np.sin(a), z])


def photo_and_line(
    pitch_deg: float, roll_deg: float, offset_deg: float
) -> tuple[Photo, list[tuple[float, float]]]:
    """A phone that tells its down wrong by so much, and the picture of a line 300 mm aside, 1 m before it."""
    p = np.radians(pitch_deg)
    down = turned(np.array([0.0, np.cos(p), np.sin(p)]), roll_deg)
    top = np.array([300.0, -400.0, 1000.0])
    ends = [top, top + 700.0 * down]
    px = [(3010.0 * e[0] / e[2] + 2015.5, 3010.0 * e[1] / e[2] + 1511.5) for e in ends]
    told = turned(down, -offset_deg)
    facts = PhotoFacts("JPEG", 4032, 3024, FocalPrior(3010.0, 9.0, "test"), gravity=tuple(map(float, told)))
    return Photo(np.zeros((8, 8, 3), np.uint8), facts), px


@pytest.mark.parametrize(("pitch", "roll"), [(0.0, 0.0), (12.0, 3.0), (-15.0, -8.0)])
@pytest.mark.parametrize("offset", [-0.7, 0.0, 1.4])
def test_the_offset_is_found_at_any_pitch_and_roll(pitch: float, roll: float, offset: float) -> None:
    photo, px = photo_and_line(pitch, roll, offset)
    assert gravity_offset(photo, CAMERA, px) == pytest.approx(offset, abs=0.01)


def test_a_file_without_gravity_has_no_offset() -> None:
    photo, px = photo_and_line(0.0, 0.0, 0.5)
    silent = Photo(photo.pixels, replace(photo.facts, gravity=None))
    found = gravity_offset(silent, CAMERA, px)
    assert isinstance(found, Refusal)
    assert found.remedy == notes.NO_GRAVITY


def test_points_on_something_else_than_the_plumb_line_are_refused() -> None:
    photo, px = photo_and_line(0.0, 0.0, 9.0)
    found = gravity_offset(photo, CAMERA, px)
    assert isinstance(found, Refusal)
    assert found.remedy == notes.PLUMB_FAR_OFF
