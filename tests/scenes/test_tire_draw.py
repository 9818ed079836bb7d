"""The drawer of tires: the same seed gives the same case, and what is told differs as it should."""

import numpy as np
import pytest

from tests.scenes.tire_draw import FAULTS, draw_tire
from tests.scenes.wheel_scene import truth_of


@pytest.mark.parametrize("kind", ["fair", "wide", "faults"])
def test_the_same_seed_gives_the_same_case(kind: str) -> None:
    assert draw_tire(7, kind) == draw_tire(7, kind)
    assert draw_tire(7, kind) != draw_tire(8, kind)


def test_fair_cases_keep_to_what_the_issue_calls_fair() -> None:
    for seed in range(60):
        scene = draw_tire(seed, "fair").scene
        assert abs(scene.tilt_deg) <= 20
        assert -8 <= scene.pitch_deg <= 10
        assert truth_of(scene).px_per_mm > 1.45
        if scene.hidden_clock_deg is not None:
            first, last = scene.hidden_clock_deg
            assert (last - first) % 360 <= 0.3 * 360


def test_the_section_is_told_within_a_fifth_and_the_diameter_within_the_books_range() -> None:
    cases = [draw_tire(seed, "fair") for seed in range(80)]
    width = np.array([case.scene.section_width_mm / case.width_told - 1 for case in cases])
    outside = np.array([case.scene.outside_diameter_mm / case.outside_told - 1 for case in cases])
    assert 0.1 < np.abs(width).max() <= 0.2
    assert 0.01 < np.abs(outside).max() <= 0.019


def test_every_fault_comes_up() -> None:
    assert {draw_tire(seed, "faults").fault for seed in range(len(FAULTS))} == set(FAULTS)
