"""A photo of a hose through the measuring: its bytes and the shown points in, flags and a copy out."""

import math
from itertools import pairwise

import pytest

from app.errors import UsageError
from app.inspection import Measured
from app.inspection.model import Try, TryState
from app.inspection.rounds.search_places import coverage_of, raised, shown_mm
from app.inspection.rules import was_read
from app.measuring.job import SEARCHING_HOSES, Asked, work
from app.measuring.worker import Worker
from app.remeasure.changes import Kind, change_of
from tests.scenes.hose import hose_case
from tests.vision.hose.stored_case import SEED, StoredCase, places_along, stored_case
from vision.errors import LegError


@pytest.fixture(scope="module")
def case() -> StoredCase:
    return stored_case(SEED)


@pytest.fixture(scope="module")
def leg(case: StoredCase) -> str:
    hose = case.truth.hoses[0]
    return (
        'aircraft = "ZZ-GWT"\nposition = "nose"\ndocument = "drawn"\n'
        f'[hose]\nname = "brake"\ndiameter_mm = {hose.diameter_mm}\ncover = "{hose.cover}"\n'
    )


@pytest.fixture(scope="module")
def options(case: StoredCase) -> dict:  # type: ignore[type-arg]
    points = [list(one) for one in case.taps]
    return {"what": "hose", "seen_from": "front", "taps": [{"name": "brake", "points": points}]}


@pytest.fixture(scope="module")
def told() -> list[str]:
    return []


@pytest.fixture(scope="module")
def measured(case: StoredCase, leg: str, options: dict, told: list[str]) -> Measured:  # type: ignore[type-arg]
    return work(Asked(case.photo, leg, options), told.append)


def test_the_result_is_that_of_the_search_with_the_software_and_a_copy(
    measured: Measured, case: StoredCase, told: list[str]
) -> None:
    result = measured.result
    assert was_read(result) and (result["name"], result["status"]) == ("hose_search", "searched")
    assert result["flags"] and result["hoses"][0]["name"] == "brake"
    assert {name: result[name] for name in ("flags", "set_aside", "hoses")} == {
        name: case.result[name] for name in ("flags", "set_aside", "hoses")
    }
    assert "software" in result["evidence"]
    assert measured.annotated is not None and measured.annotated.startswith(b"\xff\xd8")
    assert told == ["reading the photo", SEARCHING_HOSES, "drawing the result"]


def test_its_flags_are_places_and_its_length_is_told_in_mm(
    measured: Measured, case: StoredCase, options: dict
) -> None:  # type: ignore[type-arg]
    this = Try("a" * 32, "b" * 32, "c" * 32, None, (), options, TryState.READ, result=measured.result)  # type: ignore[arg-type]
    assert [one.hose_name for one in raised(this)] == ["brake"] * len(measured.result["flags"])
    long = shown_mm(measured.result["hoses"][0])
    # Its ends are left out, and it bends a little between the places that were shown.
    between = sum(math.dist(one, other) for one, other in pairwise(case.taps)) / case.truth.px_per_mm
    assert long == pytest.approx(between, rel=0.08)
    share = measured.result["hoses"][0]["searched_share"]
    told = coverage_of("brake", [(1, this)])
    assert 0 < share < 0.5 and told.least == told.most == pytest.approx(share)
    assert told.lines[-1].startswith("Not searched: every side of it that no photo shows")


def test_points_beside_the_hose_are_refused_and_none_at_all_are_an_error(
    case: StoredCase, leg: str, options: dict
) -> None:  # type: ignore[type-arg]
    beside = options | {"taps": [{"name": "brake", "points": [[800.0, 300.0]]}]}
    wrong = work(Asked(case.photo, leg, beside), lambda _: None)
    assert wrong.result["cause"] == "hose-not-at-tap" and not was_read(wrong.result)
    assert wrong.annotated is not None
    along_nothing = options | {
        "taps": [{"name": "brake", "points": [[200.0, 100.0], [500.0, 120.0], [900.0, 90.0]]}]
    }
    blind = work(Asked(case.photo, leg, along_nothing, draw=False), lambda _: None).result
    assert [one["searched_share"] for one in blind["hoses"]] == [0.0]  # what was shown is not proven a hose
    with pytest.raises(LegError, match="no hose is shown on this photo"):
        work(Asked(case.photo, leg, options | {"taps": []}), lambda _: None)
    with pytest.raises(UsageError, match="lies outside the photo"):
        far = options | {"taps": [{"name": "brake", "points": [[1e4, 5.0]]}]}
        work(Asked(case.photo, leg, far), lambda _: None)


def test_searched_again_by_the_same_program_nothing_changes_and_another_photo_does(
    case: StoredCase, leg: str, options: dict, measured: Measured  # type: ignore[type-arg]
) -> None:  # fmt: skip
    again = work(Asked(case.photo, leg, options, draw=False), lambda _: None)
    line = {
        "try": "a" * 32, "registration": "ZZ-GWT", "position": "nose", "begun_at": "2024-05-01T08:00:00+00:00",
        "before": measured.result, "after": again.result,
    }  # fmt: skip
    assert again.annotated is None
    change = change_of(line)
    assert (change.kind, change.before) == (Kind.NOTHING, f"searched: {len(measured.result['flags'])} flags")
    fewer = again.result | {"flags": again.result["flags"][1:]}
    assert change_of(line | {"after": fewer}).kind is Kind.FLAGS


def test_the_worker_searches_in_a_process_of_its_own(leg: str) -> None:
    drawn = hose_case(SEED)
    points = [list(one) for one in places_along(drawn.truth)]
    worker = Worker()
    worker.start()
    try:
        found = worker.measure(
            drawn.photo_bytes,
            leg,
            {"what": "hose", "taps": [{"name": "brake", "points": points}]},
            lambda _: None,
        )
    finally:
        worker.stop()
    assert was_read(found.result)
