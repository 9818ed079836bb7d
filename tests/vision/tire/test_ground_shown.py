"""Ground points that a person placed: believed on the contact, else refused, never a number from elsewhere."""

from dataclasses import replace

import numpy as np
import pytest

from tests.scenes.wheel_scene import WheelScene, project, sidewall_depth
from tests.vision.tire.tire_scene import SCENE, leg, measured, named, photo_of
from vision import notes
from vision.results import Reading, Refusal
from vision.tire import TireMeasurement, Told, measure_tire

HEIGHT = 182.0  # mm, of the scene's axle


def shown(
    left: tuple[float, float], right: tuple[float, float], scene: WheelScene = SCENE
) -> TireMeasurement:
    """The scene measured with points placed at (x, y) mm from the axle, y down."""
    x, y = np.array([left, right]).T
    px = project(scene, np.column_stack([x, y, sidewall_depth(scene, x, np.full(2, HEIGHT))]))
    return measure_tire(photo_of(scene), leg(), told=Told(ground_px=px))


def all_refused_as(found: TireMeasurement, remedy: object) -> bool:
    return all(isinstance(one, Refusal) and one.remedy == remedy for one in found.results)


def test_points_on_a_contact_that_is_seen_are_believed() -> None:
    loaded = named(shown((-35, HEIGHT), (35, HEIGHT)), "loaded_radius")
    assert isinstance(loaded, Reading)
    assert abs(loaded.value - HEIGHT) < loaded.expanded_uncertainty


@pytest.mark.parametrize("turn_deg", [-7.0, 7.0])
def test_points_placed_along_a_turned_line_do_not_make_it_level(turn_deg: float) -> None:
    rise = 50 * np.tan(np.radians(turn_deg))
    assert all_refused_as(shown((-50, HEIGHT - rise), (50, HEIGHT + rise)), notes.GROUND_SHOWN_CONTRADICTED)


def test_points_on_the_floor_before_the_tire_are_not_its_ground() -> None:
    assert all_refused_as(shown((-35, HEIGHT + 12), (35, HEIGHT + 12)), notes.GROUND_SHOWN_CONTRADICTED)


@pytest.mark.parametrize(
    ("left", "right"),
    [
        ((-35.0, -HEIGHT), (35.0, -HEIGHT)),  # at the tire's top
        ((-35.0, 100.0), (35.0, 100.0)),  # on the rim
        ((-35.0, 260.0), (35.0, 260.0)),  # far out on the floor
        ((-35.0, HEIGHT), (-33.0, HEIGHT)),  # one place twice
        ((-35.0, HEIGHT), (-35.0, HEIGHT)),
        ((-5.0, 60.0), (5.0, HEIGHT)),  # one above the other
    ],
)  # fmt: skip
def test_where_no_tire_can_stand_nothing_is_told(
    left: tuple[float, float], right: tuple[float, float]
) -> None:
    assert all_refused_as(shown(left, right), notes.GROUND_SHOWN_ELSEWHERE)


def test_where_no_contact_is_seen_the_points_stand_alone() -> None:
    dark = replace(SCENE, ground_level=SCENE.rubber_level)
    assert isinstance(named(measured(dark), "loaded_radius"), Refusal)
    loaded = named(shown((-35, HEIGHT), (35, HEIGHT), dark), "loaded_radius")
    assert isinstance(loaded, Reading)
    assert abs(loaded.value - HEIGHT) < loaded.expanded_uncertainty
