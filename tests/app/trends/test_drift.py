import random
from datetime import UTC, datetime, timedelta

import pytest

from app.trends import Drift, NoDrift, Point, Refused, Source, drift

BEGAN = datetime(2025, 3, 3, 7, tzinfo=UTC)


def point(day: float, value: float, u: float = 0.4, **more: object) -> Point:
    return Point(BEGAN + timedelta(days=day), value, u, **more)  # type: ignore[arg-type]


def falling(
    n: int = 12, slope: float = -0.05, step: float = 5.0, seed: int = 1, u: float = 0.4
) -> list[Point]:
    draw = random.Random(seed)
    return [point(step * k, 92.0 + slope * step * k + draw.gauss(0, u / 1.96), u) for k in range(n)]


def told(points: list[Point], serviced: list[datetime] | None = None) -> Drift:
    found = drift(points, serviced or [])
    assert isinstance(found, Drift), found
    return found


def test_exact_points_give_their_line() -> None:
    found = told([point(day, 90.0 - 0.1 * day) for day in (0, 7, 15, 21, 40)])
    assert found.slope == pytest.approx(-0.1, abs=1e-12)
    assert found.line(30) == pytest.approx(87.0)
    assert found.birge == pytest.approx(0, abs=1e-9)


def test_what_was_measured_well_counts_more() -> None:
    points = [point(10 * k, 90.0, 0.2) for k in range(6)] + [point(55, 92.0, 4.0)]
    assert abs(told(points).slope) < 0.002


def test_a_drift_that_is_there_is_shown_and_one_that_is_not_is_not() -> None:
    assert told(falling()).is_shown
    assert not told(falling(slope=0.0)).is_shown


def test_the_interval_of_the_slope_holds_the_true_one_in_95_of_100() -> None:
    hits = 0
    for seed in range(400):
        low, high = told(falling(n=8, seed=seed)).slope_interval
        hits += low <= -0.05 <= high
    # U is known here, so Student's t with widening by scatter is on the safe side.
    assert 0.95 <= hits / 400 <= 1.0


def test_the_prediction_interval_holds_a_further_reading_in_95_of_100() -> None:
    hits = 0
    for seed in range(400):
        points = falling(n=9, seed=seed)
        low, high = told(points[:-1]).interval(40.0)
        hits += low <= points[-1].value <= high
    assert 0.95 <= hits / 400 <= 1.0


def test_the_earliest_day_at_a_limit_comes_before_the_lines_own() -> None:
    found = told(falling(n=12, slope=-0.05))
    (lower,) = found.reach(82.55 + 5.5, None)
    assert lower.earliest is not None
    crossing = (lower.limit - found.level) / found.slope
    day = (lower.earliest - found.since).total_seconds() / 86400
    assert found.span_days <= day < crossing
    low, _ = found.interval(day)
    assert low < lower.limit


def test_nothing_is_told_farther_ahead_than_was_looked_back() -> None:
    found = told(falling(slope=-0.001))
    assert [one.earliest for one in found.reach(60.0, 120.0)] == [None, None]
    assert found.last == found.since + timedelta(days=2 * found.span_days)


def refused(points: list[Point], serviced: list[datetime] | None = None) -> Refused:
    found = drift(points, serviced or [])
    assert isinstance(found, Refused)
    return found


def test_four_readings_carry_no_drift() -> None:
    found = refused(falling(n=4))
    assert found.why is NoDrift.FEW
    assert found.words == "A drift needs 5 readings that stand since the last servicing. There are 4."


def test_tries_that_were_set_aside_are_not_counted() -> None:
    points = falling(n=4) + [point(60, 70.0, stands=False)]
    assert refused(points).why is NoDrift.FEW
    assert told(falling() + [point(30, 60.0, stands=False)]).n == 12


def test_one_week_is_too_short() -> None:
    found = refused(falling(n=8, step=1.0))
    assert found.why is NoDrift.SHORT
    assert "They span 7." in found.words


def test_a_servicing_between_begins_anew() -> None:
    points = falling(n=12)
    assert refused(points, [BEGAN + timedelta(days=43)]).why is NoDrift.FEW
    assert told(points, [BEGAN + timedelta(days=12)]).n == 9
    assert told(points, [BEGAN + timedelta(days=400)]).n == 12


def test_one_visit_long_ago_and_a_heap_now_carry_no_slope() -> None:
    points = [point(0, 90.0), *(point(300 + k, 89.0) for k in range(6))]
    assert refused(points).why is NoDrift.HEAPED


def test_readings_that_jump_lie_on_no_line() -> None:
    points = [point(5 * k, 90.0 if k % 2 else 94.0) for k in range(12)]
    found = refused(points)
    assert found.why is NoDrift.NO_LINE
    assert "times as far" in found.words
    assert not found


def test_the_photos_and_the_rules_beside_them_are_not_counted_twice() -> None:
    photos = falling(n=8)
    rules = [point(5 * k, 91.0, 1.0, source=Source.HAND) for k in range(8)]
    assert told(photos + rules).n == 8
    assert told(rules + photos[:2]).n == 10
