"""Letters of a print are set aside as one thing; what is far apart or of another kind stays its own."""

from dataclasses import replace

import numpy as np
import pytest

from vision.hose.course import Course
from vision.hose.joined import joined
from vision.hose.result import Coverage, Flag, Hose

WIDTH = 40.0


def hose() -> Hose:
    x = np.arange(1000.0)
    course = Course(np.stack([x, np.full(1000, 100.0)], axis=1), np.full(1000, WIDTH / 2))
    return Hose(course, "", "rubber", 20.0, Coverage(np.zeros((10, 4), bool), 0.3, 1000.0, 500.0))


def letter(x: float, kind: str = "label", on: int = 0, grade: int = 1) -> Flag:
    corners = np.array([[x, 95.0], [x + 8, 95], [x + 8, 107], [x, 107]])
    return Flag(corners, on, grade, 6.0, x / 2, "looks like print", kind)


def test_letters_in_a_row_are_one_place_as_long_as_all_of_them() -> None:
    (one,) = joined([letter(100), letter(112, grade=2), letter(124)], [hose()])
    assert one.kind == "label"
    assert one.grade == 2
    assert np.ptp(one.outline_px[:, 0]) == pytest.approx(32)
    assert one.size_mm == pytest.approx(np.hypot(32, 12) / 2, abs=0.1)  # 40 px are 20 mm


def test_one_between_two_others_joins_both() -> None:
    (one,) = joined([letter(100), letter(180), letter(140)], [hose()])
    assert np.ptp(one.outline_px[:, 0]) == pytest.approx(88)


@pytest.mark.parametrize("other", [letter(160), letter(112, kind="drop"), letter(112, on=1)])
def test_what_is_far_off_or_another_thing_or_on_another_hose_stays_its_own(other: Flag) -> None:
    first = letter(100)
    assert joined([first, other], [hose(), hose()]) == [first, other]


def test_a_print_along_the_whole_hose_is_not_one_place() -> None:
    assert len(joined([letter(12.0 * k) for k in range(60)], [hose()])) > 2


def test_light_at_both_edges_of_a_hose_is_two_places() -> None:
    # What lies between them is sound cover and would be judged with them.
    edges = [letter(100, kind="edge"), letter(100, kind="edge")]
    edges[1] = replace(edges[1], outline_px=edges[1].outline_px + [0, 30])
    assert joined(edges, [hose()]) == edges


def test_where_hoses_cross_each_place_stays_its_own() -> None:
    assert len(joined([letter(100, kind="crossing"), letter(110, kind="crossing")], [hose()])) == 2
