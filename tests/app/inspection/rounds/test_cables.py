"""Broken wires and tension.  Check values: AC 43.13-1B 7-149 (read), "more than six within one inch" (practice)."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.errors import UsageError
from app.inspection.rounds.cables import interpolated, wires_verdict, worst_inch
from app.inspection.rounds.given import Break
from vision.results import Verdict

INCH = 25.4
PLACES = st.lists(st.floats(0, 500, allow_nan=False), max_size=12)


def breaks(*at_mm: float, critical: bool = False) -> list[Break]:
    return [Break(one, critical) for one in at_mm]


def test_seven_breaks_within_an_inch_reject_and_six_do_not() -> None:
    six = breaks(*(100 + 4 * number for number in range(6)))
    assert wires_verdict(six, False, 6, 0) is Verdict.WITHIN
    assert wires_verdict([*six, Break(124.0)], False, 6, 0) is Verdict.OUTSIDE


def test_the_worst_inch_is_found_wherever_it_begins() -> None:
    assert worst_inch(breaks(0, 24, 26, 27, 28, 49, 80)) == 5  # from 24 to 49
    assert worst_inch([]) == 0


def test_two_breaks_exactly_an_inch_apart_count_together() -> None:
    assert worst_inch(breaks(10.0, 10.0 + INCH)) == 2
    assert worst_inch(breaks(10.0, 10.0 + INCH + 0.01)) == 1


def test_many_breaks_that_lie_far_apart_do_not_add_up() -> None:
    assert wires_verdict(breaks(*(30 * number for number in range(20))), False, 6, 0) is Verdict.WITHIN


def test_in_a_critical_area_the_stricter_number_counts() -> None:
    assert wires_verdict(breaks(100, critical=True), False, 6, 0) is Verdict.OUTSIDE
    assert wires_verdict(breaks(100, critical=True), False, 6, 1) is Verdict.WITHIN


def test_a_broken_strand_rejects_whatever_is_allowed() -> None:
    assert wires_verdict([], True, 100, 100) is Verdict.OUTSIDE


@given(PLACES)
def test_the_worst_inch_is_what_trying_every_start_finds(places: list[float]) -> None:
    tried = max((sum(start <= one <= start + INCH + 1e-9 for one in places) for start in places), default=0)
    assert worst_inch(breaks(*places)) == tried


@given(PLACES, st.floats(0, 500))
def test_one_more_break_never_makes_it_better(places: list[float], more: float) -> None:
    assert worst_inch(breaks(*places, more)) >= worst_inch(breaks(*places))


CHART = [[0.0, 45.0, 55.0], [30.0, 65.0, 75.0], [40.0, 70.0, 80.0]]


@pytest.mark.parametrize(
    ("at", "expected"), [(0, [45, 55]), (15, [55, 65]), (30, [65, 75]), (35, [67.5, 77.5]), (40, [70, 80])]
)
def test_a_chart_is_read_linearly_between_its_rows(at: float, expected: list[float]) -> None:
    assert interpolated(CHART, at, "x") == pytest.approx(expected)


@pytest.mark.parametrize("at", [-0.1, 40.1])
def test_a_chart_is_never_extended(at: float) -> None:
    with pytest.raises(UsageError, match="lies outside the chart, which goes from 0 to 40"):
        interpolated(CHART, at, f"{at} °C")
