"""Which of several bars may be the line that is meant, and which ring lies about a tire."""

from dataclasses import replace
from typing import cast

import numpy as np
import pytest

from vision.tire import readings
from vision.tire import wheel as wheels
from vision.tire.line import Line, Scene
from vision.wheel.find import Ring

FIRST = Line(
    np.zeros((2, 2)), np.ones(2), 180.0, 90.0, 3.6, -0.6, 6.0, 0.07, 0.06, np.array([0.0, 150.0])
)  # fmt: skip
OTHER = replace(FIRST, clock_deg=174.0, middle_mm=np.array([15.0, 165.0]))


class _Seen:
    px_per_mm = 3.0


def may_be_meant(other: Line, monkeypatch: pytest.MonkeyPatch) -> bool:
    monkeypatch.setattr(readings, "_continues", lambda *_: False)
    return readings._may_be_meant(other, FIRST, cast("Scene", _Seen()))


def test_a_second_line_as_smooth_as_the_first_is_a_rival(monkeypatch: pytest.MonkeyPatch) -> None:
    assert may_be_meant(replace(OTHER, strength=4.0), monkeypatch)


def test_a_streak_that_wavers_is_no_rival_of_a_smooth_line(monkeypatch: pytest.MonkeyPatch) -> None:
    assert not may_be_meant(replace(OTHER, strength=4.0, rough_mm=0.3), monkeypatch)


def test_beside_a_worn_line_a_worn_one_is_a_rival(monkeypatch: pytest.MonkeyPatch) -> None:
    worn = replace(FIRST, rough_mm=0.24)
    monkeypatch.setattr(readings, "_continues", lambda *_: False)
    assert readings._may_be_meant(replace(OTHER, rough_mm=0.3), worn, cast("Scene", _Seen()))


class _Camera:
    def project(self, points: np.ndarray) -> np.ndarray:
        return points[:, :2]


class _Pose:
    centre = np.zeros(3)


class _Fit:
    camera, pose = _Camera(), _Pose()


class _Outline:
    px = 100.0 * np.column_stack([np.cos(np.arange(60)), np.sin(np.arange(60))])


def wider(centre: float, radius: float) -> bool:
    ring = Ring(np.array([centre, 0.0]), np.eye(2), radius, 0.6)
    return wheels._wider(cast("wheels.WheelFit", _Fit()), cast("wheels.Outline", _Outline()), [ring])


def test_a_ring_with_room_all_round_lies_about_the_outline() -> None:
    assert wider(10.0, 130.0)
    assert wider(30.0, 200.0)


def test_a_course_that_cuts_the_outline_on_one_side_does_not() -> None:
    assert not wider(29.0, 123.0)
