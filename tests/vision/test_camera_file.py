"""CAMERA.json: read, refused with its words, and turned with the photo."""

import datetime
import json
from pathlib import Path
from typing import Any

import cv2
import numpy as np
import pytest

from vision.camera_file import CameraFile, load_camera
from vision.errors import CameraError

GOOD: dict[str, Any] = {
    "make": "Meadow",
    "model": "Phone 1",
    "width_px": 4000,
    "height_px": 3000,
    "f_px": 3050.5,
    "f_u_px": 6.0,
    "cx_px": 2010.0,
    "cy_px": 1480.0,
    "k1": 0.04,
    "k1_u": 0.004,
    "gravity_offset_deg": -0.3,
    "date": "2025-03-01",
    "rms_px": 0.21,
}


def load(tmp_path: Path, **changes: Any) -> CameraFile:
    file = tmp_path / "CAMERA.json"
    file.write_text(json.dumps(GOOD | changes), encoding="utf-8")
    return load_camera(file)


def test_every_key_of_the_contract_is_read(tmp_path: Path) -> None:
    camera = load(tmp_path)
    expected = GOOD | {"date": datetime.date(2025, 3, 1)}
    assert {name: getattr(camera, name) for name in GOOD} == expected


def test_a_gravity_offset_may_be_unknown(tmp_path: Path) -> None:
    assert load(tmp_path, gravity_offset_deg=None).gravity_offset_deg is None


@pytest.mark.parametrize(
    ("changes", "words"),
    [
        ({"f_px": "3050"}, "f_px = '3050' is not a finite number"),
        ({"f_px": True}, "f_px = True is not a finite number"),
        ({"f_px": float("nan")}, "f_px = nan is not a finite number"),
        ({"f_px": float("inf")}, "f_px = inf is not a finite number"),
        ({"f_px": 26.0}, r"f_px = 26\.0 is not a focal length of such a picture"),
        ({"f_u_px": -1}, "f_u_px = -1 is not 0 or more"),
        ({"f_u_px": 3000}, r"f_u_px = 3000\.0 is not a standard uncertainty in pixels"),
        ({"cx_px": 20.0}, r"cx_px = 20\.0 is not near the middle of 4000 px"),
        ({"cy_px": 2900}, r"cy_px = 2900\.0 is not near the middle of 3000 px"),
        ({"k1": 40}, r"k1 = 40\.0 is not a radial coefficient"),
        ({"width_px": 4000.5}, r"width_px = 4000\.5 is not a whole number of pixels"),
        ({"height_px": 0}, "height_px = 0 is not a whole number of pixels"),
        ({"make": 5}, "make = 5 is not a text"),
        ({"date": "1 March"}, "date = '1 March' is not a date like 2025-01-31"),
        ({"rms_px": None}, "rms_px = None is not a finite number"),
    ],
)
def test_an_impossible_value_is_refused(tmp_path: Path, changes: dict[str, Any], words: str) -> None:
    with pytest.raises(CameraError, match=rf"CAMERA\.json: {words}"):
        load(tmp_path, **changes)


def test_every_missing_key_is_named(tmp_path: Path) -> None:
    file = tmp_path / "CAMERA.json"
    file.write_text(json.dumps({k: v for k, v in GOOD.items() if k not in ("f_px", "k1")}))
    with pytest.raises(CameraError, match="lacks f_px, k1: calibrate again"):
        load_camera(file)


@pytest.mark.parametrize("data", [b"", b"{", b"\xff\xfe", b"[" * 100_000, b" " * 200_000])
def test_a_file_that_is_no_json_is_refused(tmp_path: Path, data: bytes) -> None:
    file = tmp_path / "CAMERA.json"
    file.write_bytes(data)
    with pytest.raises(CameraError, match="the camera file cannot be read"):
        load_camera(file)


def test_a_json_that_is_no_object_is_refused(tmp_path: Path) -> None:
    file = tmp_path / "CAMERA.json"
    file.write_text("[1, 2]")
    with pytest.raises(CameraError, match="holds no JSON object"):
        load_camera(file)


def test_a_file_that_is_not_there_is_refused(tmp_path: Path) -> None:
    with pytest.raises(CameraError, match=r"gone\.json: the camera file cannot be read"):
        load_camera(tmp_path / "gone.json")


# --- whose photo is it -------------------------------------------------------


@pytest.mark.parametrize(
    ("make", "model"), [("Meadow", "Phone 1"), (" MEADOW ", "phone  1"), (None, None), ("", "")]
)
def test_a_photo_of_the_same_camera_fits(tmp_path: Path, make: str | None, model: str | None) -> None:
    camera = load(tmp_path)
    assert camera.check_fits(make, model, 4000, 3000) == camera


@pytest.mark.parametrize(("make", "model"), [("Brook", "Phone 1"), ("Meadow", "Phone 2")])
def test_a_photo_of_another_camera_is_refused(tmp_path: Path, make: str, model: str) -> None:
    with pytest.raises(CameraError, match=r"the calibration is of m.* the photo of"):
        load(tmp_path).check_fits(make, model, 4000, 3000)


@pytest.mark.parametrize(("width", "height"), [(2000, 1500), (4000, 2250), (3000, 3000)])
def test_a_photo_of_another_size_is_refused(tmp_path: Path, width: int, height: int) -> None:
    with pytest.raises(
        CameraError, match=rf"4000 × 3000 px, the photo has {width} × {height}: send the original"
    ):
        load(tmp_path).check_fits("Meadow", "Phone 1", width, height)


@pytest.mark.parametrize(
    ("turns", "rotation"),
    [(1, cv2.ROTATE_90_CLOCKWISE), (2, cv2.ROTATE_180), (3, cv2.ROTATE_90_COUNTERCLOCKWISE)],
)
def test_the_principal_point_turns_with_the_picture(turns: int, rotation: int) -> None:
    # Outside check: one white pixel in a picture that OpenCV turns.
    camera = CameraFile("", "", 40, 30, 31.0, 0.1, 23.0, 11.0, 0.0, 0.0, None, datetime.date(2025, 3, 1), 0.2)
    picture = np.zeros((30, 40), np.uint8)
    picture[11, 23] = 255
    turned = cv2.rotate(picture, rotation)
    y, x = np.argwhere(turned)[0]
    fitted = camera.check_fits(None, None, turned.shape[1], turned.shape[0], quarter_turns=turns)
    assert (fitted.cx_px, fitted.cy_px, fitted.f_px) == (x, y, 31.0)


def test_an_upright_photo_turned_nobody_knows_which_way_takes_the_centre(tmp_path: Path) -> None:
    camera = load(tmp_path)
    unknown = camera.check_fits("Meadow", "Phone 1", 3000, 4000)
    assert (unknown.cx_px, unknown.cy_px) == (1499.5, 1999.5)
    ways = [camera.check_fits(None, None, 3000, 4000, turns) for turns in (1, 3)]
    assert unknown.cx_px == np.mean([way.cx_px for way in ways])
    assert unknown.cy_px == np.mean([way.cy_px for way in ways])


@pytest.mark.parametrize(
    ("size", "turns", "kept"),
    [
        ((4000, 3000), None, -0.3),
        ((4000, 3000), 0, -0.3),
        ((4000, 3000), 2, None),
        ((3000, 4000), 1, None),
        ((3000, 4000), None, None),
    ],
)
def test_a_phones_own_down_is_that_of_the_way_it_was_held(
    tmp_path: Path, size: tuple[int, int], turns: int | None, kept: float | None
) -> None:
    found = load(tmp_path).check_fits("Meadow", "Phone 1", *size, turns)
    assert found.gravity_offset_deg == kept


def test_turns_that_do_not_give_the_photos_size_are_refused(tmp_path: Path) -> None:
    with pytest.raises(CameraError, match="1 quarter turns do not give a photo of 4000 × 3000 px"):
        load(tmp_path).check_fits(None, None, 4000, 3000, quarter_turns=1)
