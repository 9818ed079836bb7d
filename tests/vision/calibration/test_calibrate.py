"""Cameras calibrated on rendered photos of the plate card, and photos that calibrate nothing.

Measured (95 %): six warped photos, f 1600.0 ± 10.8 px, true 1600; eight analytic renders, f 1499 ± 14 px,
true 1500, k1 0.032 ± 0.004, true 0.03.
"""

import datetime
import json
from dataclasses import replace
from functools import cache
from pathlib import Path

import cv2
import numpy as np
import pytest

from tests.accuracy.run import photo_of
from tests.scenes.analytic import StrutScene, render
from tests.vision.scale.card_photos import F_PX, MATRIX, CardScene, photo_of_card
from vision.calibration import FEWEST_VIEWS, calibrate, camera_json
from vision.camera_file import CameraFile, load_camera
from vision.card import supplied_card, supplied_cards
from vision.errors import CameraError, CardError
from vision.photo import Photo
from vision.results import Refusal

DATE = datetime.date(2026, 3, 9)
PLATE = supplied_card("plate")
BARS = (140.0, 100.0)
TILTS = ((0.45, 0.0), (-0.45, 0.1), (0.0, 0.45), (0.1, -0.45), (0.3, 0.35), (-0.35, 0.3))


@cache
def photos() -> tuple[Photo, ...]:
    """Six photos of the plate tilted all ways, OpenCV's projection, focal length in no file."""
    return tuple(
        photo_of_card(
            PLATE,
            CardScene(rotation=(a, b, 0.5 * k), middle_mm=(15 * (-1) ** k, 10.0 * (k % 3 - 1), 420.0)),
            seed=k,
        )
        for k, (a, b) in enumerate(TILTS)
    )


def calibrated(result: CameraFile | Refusal) -> CameraFile:
    assert isinstance(result, CameraFile), result
    return result


def refused(result: CameraFile | Refusal) -> Refusal:
    assert isinstance(result, Refusal)
    assert result.name == "calibration"
    return result


@cache
def camera() -> CameraFile:
    return calibrated(calibrate(photos(), supplied_cards(), date=DATE, check_bar_mm=BARS))


def test_the_camera_is_found_within_its_doubt() -> None:
    found = camera()
    print(f"f {found.f_px:.1f} ± {found.f_u_px:.1f} px, true {F_PX}; c {found.cx_px:.1f}, {found.cy_px:.1f}")
    assert abs(found.f_px - F_PX) < 1.96 * found.f_u_px
    assert found.f_u_px < 0.01 * F_PX
    assert (found.cx_px, found.cy_px) == pytest.approx((MATRIX[0, 2], MATRIX[1, 2]), abs=6)
    assert abs(found.k1) < 1.96 * found.k1_u
    assert found.rms_px < 0.1


def test_the_file_is_the_contracts_and_is_read_back_as_it_was(tmp_path: Path) -> None:
    path = tmp_path / "CAMERA.json"
    path.write_text(json.dumps(camera_json(camera())), encoding="utf-8")
    assert load_camera(path) == camera()
    keys = {
        "make", "model", "width_px", "height_px", "f_px", "f_u_px", "cx_px", "cy_px", "k1", "k1_u",
        "gravity_offset_deg", "date", "rms_px",
    }  # fmt: skip
    assert set(camera_json(camera())) == keys
    assert camera().date == DATE
    assert camera().gravity_offset_deg is None


def test_the_day_is_that_of_the_latest_photo_where_none_is_told() -> None:
    taken = [
        replace(p, facts=replace(p.facts, taken_at=datetime.datetime(2026, 2, 20 + k)))
        for k, p in enumerate(photos())
    ]
    found = calibrated(calibrate(iter(taken), supplied_cards(), check_bar_mm=BARS))
    assert found.date == datetime.date(2026, 2, 25)
    assert found.f_px == pytest.approx(camera().f_px)


def test_bars_that_were_not_measured_widen_the_doubt() -> None:
    plain = calibrated(calibrate(photos(), supplied_cards(), date=DATE))
    assert plain.f_u_px > camera().f_u_px
    assert abs(plain.f_px - F_PX) < 1.96 * plain.f_u_px


def test_two_cards_bars_are_an_error_that_names_both() -> None:
    with pytest.raises(
        CardError, match='200 mm is not the 140 mm bar of the card in the photos \\("plate"\\)'
    ):
        calibrate(photos(), supplied_cards(), date=DATE, check_bar_mm=(200.0, 30.0))


def strut_photos() -> list[Photo]:
    """Eight analytic photos of the plate beside a strut, by a lens with distortion, from all about it."""
    made = []
    for k, (elevation, azimuth, roll) in enumerate(
        (
            (25, 0, 0),
            (-25, 5, 90),
            (0, 28, 30),
            (5, -28, -60),
            (20, 20, 180),
            (-20, 18, -90),
            (18, -22, 60),
            (0, 0, 120),
        )
    ):
        scene = StrutScene(
            seed=80 + k,
            card="plate",
            k1=0.03,
            width_px=1512,
            height_px=2016,
            focal_px=1500.0,
            supersample=1,
            distance_mm=430,
            elevation_deg=elevation,
            azimuth_deg=azimuth,
            roll_deg=roll,
            aim_mm=(103.0 + 45 * np.cos(2.4 * k), 0.0, -34.0 + 55 * np.sin(2.4 * k)),
        )
        made.append(photo_of(render(scene)[0], 26.0))
    return made


def test_a_lens_with_distortion_is_found_on_photos_beside_a_strut(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("tests.scenes.analytic.BLOCK", 1 << 14)  # cv2.remap takes no more at once on the card
    found = calibrated(calibrate(strut_photos(), supplied_cards(), date=DATE, check_bar_mm=BARS))
    print(
        f"f {found.f_px:.1f} ± {found.f_u_px:.1f} px, true 1500; k1 {found.k1:.4f} ± {found.k1_u:.4f}, true 0.03"
    )
    assert abs(found.f_px - 1500) < 1.96 * found.f_u_px
    assert abs(found.k1 - 0.03) < 1.96 * found.k1_u
    assert (found.cx_px, found.cy_px) == pytest.approx((755.5, 1007.5), abs=6)
    assert (found.make, found.model) == ("Rendered", "synthetic scene")


def test_too_few_photos_are_refused_with_their_reasons() -> None:
    empty = replace(photos()[0], pixels=np.full_like(photos()[0].pixels, 90))
    result = refused(calibrate([*photos()[:3], empty], supplied_cards(), date=DATE))
    assert result.reason.startswith(
        "Too few of the photos show the whole card clearly. (3 of 4 can be used, "
    )
    assert f"{FEWEST_VIEWS} are needed; photo 4: No scale card was found" in result.reason
    assert result.advice.startswith("Photograph the plate card eight times or more")


def test_no_card_at_all_is_refused() -> None:
    empty = replace(photos()[0], pixels=np.full_like(photos()[0].pixels, 90))
    assert "0 of 5 can be used" in refused(calibrate([empty] * 5, supplied_cards(), date=DATE)).reason


def test_photos_that_look_alike_are_refused() -> None:
    scene = CardScene(rotation=(0.02, -0.03, 0.0), middle_mm=(0.0, 0.0, 420.0))
    alike = [photo_of_card(PLATE, scene, seed=90 + k) for k in range(FEWEST_VIEWS)]
    result = refused(calibrate(alike, supplied_cards(), date=DATE, check_bar_mm=BARS))
    assert result.reason.startswith("The photos look at the card too much alike to tell the camera.")
    assert result.advice.startswith(
        "Photograph the card again, tilted by 20 to 30 degrees to the left, right"
    )


def test_check_bars_that_all_photos_contradict_are_refused() -> None:
    result = refused(calibrate(photos(), supplied_cards(), date=DATE, check_bar_mm=(142.8, 100.0)))
    assert result.reason.startswith("The card is bent, or not printed as its definition says. (its height ")
    assert "off what was told" in result.reason
    assert result.advice == "Use a flat card copy printed at 100 % and photograph again."


def zoomed(photo: Photo, factor: float) -> Photo:
    """The middle of a photo enlarged to its size, as a digital zoom does that no file tells."""
    height, width = photo.pixels.shape[:2]
    middle = (width / 2 - 0.5, height / 2 - 0.5)
    turn = cv2.getRotationMatrix2D(middle, 0, factor)
    return replace(photo, pixels=cv2.warpAffine(photo.pixels, turn, (width, height), flags=cv2.INTER_CUBIC))


def test_photos_at_two_zooms_that_their_files_hide_are_refused() -> None:
    mixed = [zoomed(photo, 1.15) if k % 2 else photo for k, photo in enumerate(photos())]
    result = refused(calibrate(mixed, supplied_cards(), date=DATE, check_bar_mm=BARS))
    assert result.reason.startswith("One simple lens does not explain the photos. (")
    assert result.advice.startswith("Photograph a flat card again with the main camera at its normal zoom")


@pytest.mark.parametrize(
    ("change", "said"),
    [
        ({"make": "Other"}, "photo 3 has another make than photo 1 \\('Other', not ''\\)"),
        ({"model": "Two"}, "another model"),
        ({"width_px": 1000, "height_px": 1200}, "another size in px"),
        ({"orientation": 3}, "another way the camera was held"),
        ({"focal_35mm": 52.0}, "another focal length in mm"),
        ({"digital_zoom": 2.0}, "another digital zoom"),
    ],
)
def test_photos_of_two_cameras_or_zooms_are_wrong_use(change: dict[str, object], said: str) -> None:
    mixed = list(photos())
    mixed[2] = replace(mixed[2], facts=replace(mixed[2].facts, **change))
    with pytest.raises(CameraError, match=said + ".*give original photos of one camera at one zoom"):
        calibrate(mixed, supplied_cards(), date=DATE)
