"""The first axis on analytic scenes: from poor guesses, and beside a card that hides or is hidden."""

from dataclasses import replace
from functools import cache

import numpy as np
import pytest

from tests.accuracy.run import leg_of, photo_of
from tests.scenes.analytic import StrutScene, camera_pose, render
from vision.card import supplied_cards
from vision.cylinder import Axis, elevation_deg
from vision.photo import Photo
from vision.results import Reading, Refusal, Result
from vision.scale import CardFix, CardKnowledge, camera_knowledge, find_card
from vision.strut import StandOff, measure_strut
from vision.strut.band import find_bands
from vision.strut.first import FirstAxis, first_axis
from vision.strut.window import cut_window

F35 = 26.0
ABOVE = StrutScene(seed=11, elevation_deg=8.0, roll_deg=6.0, stand_off_mm=10.0)
# A card 20 mm before the front line, seen from its own side; and one 50 mm behind it, from the other side:
# either overlaps the piston by 24 px or more.
HIDING = replace(ABOVE, azimuth_deg=15.0, card_gap_mm=5.0, stand_off_mm=-20.0)
SCENES = {
    "free": ABOVE,
    "hiding": replace(HIDING, distance_mm=600.0),
    "hiding, from afar": HIDING,
    "hidden": replace(ABOVE, azimuth_deg=-20.0, card_gap_mm=1.0, stand_off_mm=50.0),
    "covered": replace(ABOVE, band_hidden_deg=(-40.0, 35.0)),
    "half covered": replace(ABOVE, band_hidden_deg=(20.0, 60.0)),
}


@cache
def photo(name: str) -> Photo:
    return photo_of(render(SCENES[name])[0], F35)


@cache
def card(name: str) -> CardFix:
    seen = photo(name)
    fix = find_card(seen, supplied_cards(), camera_knowledge(seen, None), lambda _: CardKnowledge())
    assert isinstance(fix, CardFix)
    return fix


def true_axis(scene: StrutScene) -> Axis:
    """The axis in the camera's frame, its origin in the middle of the band."""
    rotation, centre = camera_pose(scene)
    middle = np.array([0.0, 0.0, -scene.extension_mm - scene.band_height_mm / 2])
    return Axis(rotation @ (middle - centre), rotation[:, 2])


def turned(axis: Axis, lean_deg: float, towards_deg: float) -> Axis:
    toward = -(axis.point - (axis.point @ axis.direction) * axis.direction)
    toward /= np.linalg.norm(toward)
    lean, tip = np.tan(np.radians([lean_deg, towards_deg]))
    direction = axis.direction + lean * axis.lateral + tip * toward
    return Axis(axis.point, direction / np.linalg.norm(direction))


def found(name: str, guess: Axis) -> FirstAxis:
    scene, fix = SCENES[name], card(name)
    camera = fix.model.camera_of(fix.solution.theta)
    axis = true_axis(scene)
    places = [(x, s) for x in (-90.0, 90.0) for s in (-50.0, 150.0)]
    corners = np.array([axis.point + x * axis.lateral + s * axis.direction for x, s in places])
    window = cut_window(photo(name), fix, camera.project(corners))
    assert window is not None
    radii = scene.piston_diameter_mm / 2, scene.collar_diameter_mm / 2
    first = first_axis(fix, window, camera, guess, radii, StandOff(scene.stand_off_mm, 1.0))
    assert isinstance(first, FirstAxis)
    return first


def measure(name: str, told: bool) -> Result:
    scene = SCENES[name]
    return measure_strut(
        photo(name),
        leg_of(scene),
        supplied_cards(),
        check_bar_mm=(200.0, 30.0),
        stand_off=StandOff(scene.stand_off_mm, 1.0) if told else None,
    )


@pytest.mark.parametrize("lean", [-7.0, 0.0, 7.0])
@pytest.mark.parametrize("towards", [-7.0, 7.0])
def test_an_axis_that_leans_and_tips_is_turned_upright(lean: float, towards: float) -> None:
    truth, edge = true_axis(ABOVE), ABOVE.band_height_mm / 2
    first = found("free", turned(truth, lean, towards))
    assert np.degrees(np.arcsin(abs(first.axis.direction @ truth.lateral))) < 0.4
    assert elevation_deg(first.axis, first.s_mm) == pytest.approx(elevation_deg(truth, edge), abs=1.0)
    assert first.s_mm == pytest.approx(edge, abs=0.6)
    assert (first.hidden, first.card_behind) == ((False, False), False)


@pytest.mark.parametrize(("name", "hidden"), [("hiding", (False, True)), ("hidden", (False, False))])
def test_a_card_that_hides_the_pistons_side_is_told_from_one_behind_it(
    name: str, hidden: tuple[bool, bool]
) -> None:
    first = found(name, true_axis(SCENES[name]))
    assert first.hidden == hidden
    assert first.card_behind == (name == "hidden")


def test_a_band_that_ends_at_the_card_counts_as_wide_as_the_piston() -> None:
    diameter = SCENES["hiding"].piston_diameter_mm
    (band,) = find_bands(photo("hiding"), card("hiding"), diameter).bands
    assert band.width_mm == pytest.approx(diameter)
    assert find_bands(photo("hiding"), card("hiding"), 2 * diameter).bands == ()


@pytest.mark.parametrize("name", ["hiding", "hidden"])
def test_beside_a_card_that_hides_or_is_hidden_the_extension_is_right_within_u(name: str) -> None:
    result = measure(name, told=True)
    assert isinstance(result, Reading)
    assert abs(result.value - SCENES[name].extension_mm) <= result.expanded_uncertainty < 0.8


def test_with_one_side_hidden_and_the_stand_off_not_told_the_outline_is_lost() -> None:
    result = measure("hiding", told=False)
    assert isinstance(result, Refusal)
    assert result.remedy.code == "outline-lost"
    assert result.detail == "the card hides or touches its right side"


def test_with_one_side_hidden_and_from_too_far_to_test_the_told_stand_off_there_is_no_reading() -> None:
    # The diameters tell it to 4 mm only: one told 10 mm wrong would give a wrong value unnoticed.
    result = measure("hiding, from afar", told=True)
    assert isinstance(result, Refusal)
    assert result.remedy.code == "outline-lost"


def test_a_strip_across_most_of_the_band_is_not_taken_for_its_edge() -> None:
    # Its lower edge is as straight as the band's own, and most columns show no other.
    result = measure("covered", told=True)
    assert isinstance(result, Refusal)
    assert result.remedy.code == "band-covered"


def test_beside_a_patch_on_the_band_its_edge_is_read() -> None:
    result = measure("half covered", told=True)
    assert isinstance(result, Reading)
    assert abs(result.value - SCENES["half covered"].extension_mm) <= result.expanded_uncertainty < 0.8
