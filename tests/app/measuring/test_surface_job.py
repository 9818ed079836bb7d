"""A photo of a surface through the measuring: its bytes and the shown region in, flags and a copy out."""

import pytest

from app.inspection import Measured
from app.inspection.model import Try, TryState
from app.inspection.rounds.search_places import coverage_of_surface, raised
from app.inspection.rules import was_read
from app.measuring.job import SEARCHING_SURFACE, Asked, work
from app.remeasure.changes import Kind, change_of
from tests.vision.surface.drawn import REGION, jpeg, light_of, spot
from vision.errors import LegError

LEG = 'aircraft = "ZZ-GWT"\nposition = "nose"\ndocument = "drawn"\n'
OPTIONS = {"what": "surface", "seen_from": "left wall", "region": [list(one) for one in REGION]}


@pytest.fixture(scope="module")
def photo() -> bytes:
    return jpeg(spot(light_of(), (420, 330), 22))


@pytest.fixture(scope="module")
def told() -> list[str]:
    return []


@pytest.fixture(scope="module")
def measured(photo: bytes, told: list[str]) -> Measured:
    return work(Asked(photo, LEG, OPTIONS), told.append)


def test_the_result_is_that_of_the_search_with_the_software_and_a_copy(
    measured: Measured, told: list[str]
) -> None:
    result = measured.result
    assert was_read(result) and (result["name"], result["status"]) == ("surface_search", "searched")
    assert "software" in result["evidence"]
    assert measured.annotated is not None and measured.annotated.startswith(b"\xff\xd8")
    assert told == ["reading the photo", SEARCHING_SURFACE, "drawing the result"]


def test_its_flag_is_the_place_that_was_drawn_and_its_share_is_told(measured: Measured) -> None:
    this = Try("a" * 32, "b" * 32, "c" * 32, None, (), OPTIONS, TryState.READ, result=measured.result)  # type: ignore[arg-type]
    (place,) = raised(this)
    (x, y), share = measured.result["flags"][0]["middle_px"], measured.result["surface"]["searched_share"]
    assert abs(x - 420) < 15 and abs(y - 330) < 15
    assert (place.hose, place.hose_name, place.along_mm, place.size_mm) == (-1, "", None, None)
    coverage = coverage_of_surface([(1, this)])
    assert 0.5 < share <= 1 and coverage.least == coverage.most == share
    assert coverage.lines[0].startswith(f"Photo 1 (left wall): {100 * share:.0f} % of the region shown on it")


def test_without_a_region_nothing_is_searched_and_one_beyond_the_photo_is_refused(photo: bytes) -> None:
    with pytest.raises(LegError, match="no region is shown on this photo"):
        work(Asked(photo, LEG, OPTIONS | {"region": []}), lambda _: None)
    beyond = OPTIONS | {"region": [[60.0, 60.0], [5000.0, 700.0]]}
    refused = work(Asked(photo, LEG, beyond), lambda _: None)
    assert refused.result["cause"] == "surface-outside" and not was_read(refused.result)
    assert refused.annotated is not None


def test_searched_again_by_the_same_program_nothing_changes_and_another_share_does(
    photo: bytes, measured: Measured
) -> None:
    again = work(Asked(photo, LEG, OPTIONS, draw=False), lambda _: None)
    line = {
        "try": "a" * 32, "registration": "ZZ-GWT", "position": "nose", "begun_at": "2024-05-01T08:00:00+00:00",
        "before": measured.result, "after": again.result,
    }  # fmt: skip
    assert again.annotated is None and change_of(line).kind is Kind.NOTHING
    less = again.result["surface"] | {"searched_share": 0.1}
    assert change_of(line | {"after": again.result | {"surface": less}}).kind is Kind.FLAGS
