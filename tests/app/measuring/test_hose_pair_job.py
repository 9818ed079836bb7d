"""A second photo through the measuring: held against the first one's stored flags, and nothing more."""

import json
from typing import Any

import cv2
import numpy as np
import pytest

from app.inspection.rounds.hose_pair_rules import FIRST, HOSE_PAIR, SLIDES
from app.inspection.rules import was_read
from app.measuring.hose_pair import COMPARING
from app.measuring.job import Asked, work
from app.measuring.worker import Worker
from tests.vision.hose.drawn import hose_jpeg, middle

SPOT, GLINT = (700.0, 0.2), 1000.0
TAPS = [{"name": "brake", "points": [[float(x), float(middle(x))] for x in range(60, 1350, 180)]}]
LEG = (
    'aircraft = "ZZ-GWT"\nposition = "nose"\ndocument = "drawn"\n'
    '[hose]\nname = "brake"\ndiameter_mm = 15.0\ncover = "rubber"\n'
)


@pytest.fixture(scope="module")
def photo() -> bytes:
    """One worn place and one mirrored light on the same hose."""
    return hose_jpeg(spot=SPOT, glint=GLINT)


@pytest.fixture(scope="module")
def flags(photo: bytes) -> list[dict[str, Any]]:
    """As the archive keeps them."""
    searched = work(Asked(photo, LEG, {"what": "hose", "taps": TAPS}, draw=False), lambda stage: None)
    told: list[dict[str, Any]] = json.loads(json.dumps(searched.result))["flags"]
    return told


def options(photo: bytes, flags: list[dict[str, Any]]) -> dict[str, Any]:
    first = {"photo": photo, "taps": TAPS, "flags": flags}
    return {"what": "hose", "second_of": "a" * 32, "taps": TAPS, FIRST: first}


def over(flag: dict[str, Any], x: float) -> bool:
    across = [one[0] for one in flag["outline_px"]]
    return min(across) < x < max(across)


def test_the_flag_that_moved_is_named_and_the_one_that_stayed_is_not(
    photo: bytes, flags: list[dict[str, Any]]
) -> None:
    stages: list[str] = []
    # The hose moves by 400 px = 100 mm, the mirrored light by a third of that.
    second = hose_jpeg(spot=SPOT, glint=870.0, shift=400.0)
    along = [[float(x), float(middle(x + 400))] for x in range(60, 1350, 180)]
    taps = [{"name": "brake", "points": along}]
    asked = Asked(second, LEG, options(photo, flags) | {"taps": taps})
    measured = work(asked, stages.append)
    told = measured.result
    assert was_read(told) and told["name"] == HOSE_PAIR
    moved = {one["flag"] for one in told[SLIDES]}
    assert moved and moved == {n for n, one in enumerate(flags, 1) if over(one, GLINT)}
    assert any(over(one, SPOT[0]) for one in flags)
    assert all("light mirrored in it" in one["why"] for one in told[SLIDES])
    assert [told[name] for name in ("flags", "set_aside", "hoses", "notes")] == [[], [], [], []]
    assert measured.annotated is None and "software" in told["evidence"]
    assert stages == ["reading the photo", COMPARING]


def test_a_second_photo_from_the_same_place_is_refused_with_the_remedy_also_by_the_worker(
    photo: bytes, flags: list[dict[str, Any]]
) -> None:
    worker = Worker()
    try:
        told = worker.measure(hose_jpeg(1, spot=SPOT, glint=GLINT), LEG, options(photo, flags)).result
    finally:
        worker.stop()
    assert not was_read(told) and told["name"] == HOSE_PAIR
    assert "from the same place" in told["reason"]
    assert (
        told["advice"] == "Move the phone by 100 mm or more along the hose and take the second photo again."
    )


def test_a_second_photo_of_another_leg_is_refused_by_its_tag(
    photo: bytes, flags: list[dict[str, Any]]
) -> None:
    tag = cv2.aruco.generateImageMarker(
        cv2.aruco.getPredefinedDictionary(cv2.aruco.DICT_APRILTAG_36h11), 412, 160
    )
    second = cv2.imdecode(np.frombuffer(hose_jpeg(spot=SPOT, shift=400.0), np.uint8), cv2.IMREAD_COLOR)
    second[450:690, 20:260] = 230
    second[490:650, 60:220] = np.where(tag > 127, 230, 30)[:, :, None]
    leg = LEG.replace("[hose]", "leg_tag = 413\n[hose]")
    told = work(Asked(cv2.imencode(".png", second)[1].tobytes(), leg, options(photo, flags)), print).result
    assert told["name"] == HOSE_PAIR and "tag 412, this leg has 413" in told["reason"]
