"""A hose out of the archive: its course again, and places of the photo laid along it."""

import numpy as np
import pytest

from tests.vision.hose.stored_case import stored_case
from vision.hose import Tap, search_hoses
from vision.hose.stored import laid_along, stored_hose
from vision.photo import read_photo


def test_the_stored_course_is_the_searched_one_within_half_a_pixel() -> None:
    case = stored_case()
    searched = search_hoses(read_photo(case.photo), (), [Tap(case.taps)])
    course = searched.hoses[0].course  # type: ignore[union-attr]
    again = stored_hose(case.hose).course
    away = [np.hypot(*(course.points - place).T).min() for place in again.points[::5]]
    assert max(away) < 0.5
    assert again.width_px == pytest.approx(course.width_px, abs=0.06)
    assert len(again.points) == pytest.approx(len(course.points), abs=3)


def test_a_place_put_off_the_middle_is_found_along_and_across() -> None:
    course = stored_hose(stored_case().hose).course
    ahead = course.points[420] - course.points[380]
    right = np.array([-ahead[1], ahead[0]]) / np.hypot(*ahead)
    along, across = laid_along(course, (course.points[400] + 12.0 * right)[None])[0]
    assert along == pytest.approx(400, abs=1.5)
    assert across == pytest.approx(12.0, abs=0.3)


def test_a_flags_place_on_the_straight_hose_is_the_one_it_was_told_with() -> None:
    case = stored_case()
    hose = stored_hose(case.hose)
    assert hose.px_per_mm is not None and case.result["flags"]
    for flag in case.result["flags"]:
        along = laid_along(hose.course, np.array(flag["outline_px"]))[:, 0]
        middle_mm = (along.min() + along.max()) / 2 / hose.px_per_mm
        assert middle_mm == pytest.approx(flag["along_mm"], abs=3.0)


def test_without_a_diameter_there_is_no_scale() -> None:
    assert stored_hose(stored_case(scaled=False).hose).px_per_mm is None


@pytest.mark.parametrize("line", [[], [[1.0, 2.0]], [[1.0, 2.0], [float("nan"), 3.0]]])
def test_what_is_no_centre_line_is_refused_with_what_to_do(line: list[list[float]]) -> None:
    with pytest.raises(ValueError, match="search the photo again"):
        stored_hose({"centre_line_px": line, "width_px": 40.0})
