"""The section that a tire's outline tells: found where it is seen askew, left as told where it is not."""

from dataclasses import replace
from functools import lru_cache

import numpy as np
import pytest

from tests.scenes.wheel_scene import WheelScene
from tests.vision.tire.tire_scene import SCENE, leg, named, photo_of
from vision import notes
from vision.results import Reading
from vision.scale import camera_knowledge
from vision.tire import measure, measure_tire
from vision.tire.profile import NUMBERS, shape_of
from vision.tire.quantity import AGAINST, BY_OUTLINE
from vision.tire.section import Section, as_told, section_of
from vision.tire.wheel import Wheel, find_wheel

ASKEW = replace(SCENE, tilt_deg=18.0, pitch_deg=8.0)
WIDTH = list(NUMBERS.values()).index("width")


@lru_cache(maxsize=8)
def wheel_of(scene: WheelScene, width: float) -> Wheel:
    photo = photo_of(scene)
    tire = leg(section_width_mm=f"{width:.0f}").require_tire()
    wheel = find_wheel(photo, tire, camera_knowledge(photo, None))
    assert isinstance(wheel, Wheel)
    return wheel


@pytest.mark.parametrize("told", [133.0, 200.0])
def test_a_width_told_a_fifth_off_is_put_right_by_the_outline(told: float) -> None:
    wheel = wheel_of(ASKEW, told)
    learned = section_of(wheel).learned
    assert learned is not None
    before, after = wheel.shape.section[3], learned.shape.section[3]
    true = ASKEW.section[3]
    assert abs(after - true) < 0.65 * abs(before - true)
    assert (learned.shape.width - told) * (160.0 - told) > 0
    assert learned.covariance[WIDTH, WIDTH] < 0.75


def test_the_loaded_radius_is_less_in_doubt_for_it_and_the_budget_names_the_outline() -> None:
    data = leg(section_width_mm="133.0")
    result = named(measure_tire(photo_of(ASKEW), data), "loaded_radius")
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(measure, "section_of", lambda _wheel: Section())
        plain = named(measure_tire(photo_of(ASKEW), data), "loaded_radius")
    assert isinstance(result, Reading)
    assert isinstance(plain, Reading)
    assert result.expanded_uncertainty < 0.95 * plain.expanded_uncertainty
    assert abs(result.value - 182.0) < result.expanded_uncertainty
    assert BY_OUTLINE in [line.source for line in result.budget]
    assert BY_OUTLINE not in [line.source for line in plain.budget]


def test_seen_nearly_square_on_the_section_stays_as_told() -> None:
    learned = section_of(wheel_of(replace(SCENE, tilt_deg=5.0, pitch_deg=1.0), 133.0)).learned
    assert learned is not None
    assert abs(learned.steps[WIDTH]) < 0.25
    assert learned.covariance[WIDTH, WIDTH] > 0.9


def test_with_both_poses_open_nothing_is_learned() -> None:
    wheel = wheel_of(SCENE, 160.0)
    found = section_of(replace(wheel, other=wheel.fit))
    assert found.learned is None
    assert found.against is None


def test_farther_off_square_than_is_fair_no_doubt_is_taken() -> None:
    found = section_of(wheel_of(replace(SCENE, tilt_deg=26.0), 160.0))
    assert found == Section()


def test_a_short_piece_of_outline_tells_nothing() -> None:
    wheel = wheel_of(ASKEW, 133.0)
    few = replace(wheel.outline, px=wheel.outline.px[:12], sigma=wheel.outline.sigma[:12], share=0.08)
    learned = section_of(replace(wheel, outline=few)).learned
    assert learned is not None
    assert np.linalg.norm(learned.steps) < 0.3
    assert learned.covariance[WIDTH, WIDTH] > 0.93


def test_an_outline_that_contradicts_the_leg_is_not_used_and_the_difference_is_said() -> None:
    wheel = wheel_of(ASKEW, 160.0)
    # A tire that sits far aside on its rim, or another one: nothing of the leg's explains it.
    aside = replace(wheel.outline, px=wheel.outline.px + [14.0, 0.0])
    found = section_of(replace(wheel, outline=aside))
    assert found.learned is None
    assert found.against is not None
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(measure, "section_of", lambda _wheel: found)
        result = named(measure_tire(photo_of(ASKEW), leg()), "outside_diameter")
        radius = named(measure_tire(photo_of(ASKEW), leg()), "loaded_radius")
        creep = named(measure_tire(photo_of(ASKEW), leg()), "creep_angle")
    assert isinstance(result, Reading)
    assert notes.SECTION_CONTRADICTED in result.notes
    # The mark lies at the flange: nothing of the difference is in its U, and nothing of it is said there.
    assert isinstance(creep, Reading)
    assert notes.SECTION_CONTRADICTED not in creep.notes
    assert AGAINST in [line.source for line in result.budget]
    # So much more in doubt that it may be no reading any more; it is none that is wrong.
    assert not isinstance(radius, Reading) or abs(radius.value - 182.0) < radius.expanded_uncertainty


@pytest.mark.parametrize("which", [1, 3, 4, 5])
def test_what_was_learned_follows_the_pose(which: int) -> None:
    wheel = wheel_of(ASKEW, 150.0)
    first = section_of(wheel).learned
    step = np.zeros(9)
    step[which] = 0.2 * np.sqrt(wheel.fit.solution.covariance[which, which])
    solution = replace(wheel.fit.solution, theta=wheel.fit.solution.theta + step)
    second = section_of(replace(wheel, fit=replace(wheel.fit, solution=solution))).learned
    assert first is not None
    assert second is not None
    np.testing.assert_allclose(second.steps - first.steps, first.follows @ step[:8], atol=2e-3)
    assert np.abs(first.follows @ step[:8]).max() > 1e-4


def test_without_anything_learned_all_numbers_are_the_legs() -> None:
    shape = shape_of(leg().require_tire())
    told = as_told(shape)
    assert told.shape == shape
    assert not told.follows.any()
    np.testing.assert_array_equal(told.covariance, np.eye(len(NUMBERS)))
