"""A person's marks on analytic scenes: the length they mean, its doubt, and what is refused.

Measured: true ends give the true length within 1e-9 mm on true geometry; on the rendered scene
a mark's placing at 1 px gives U 0.99 mm, of which the geometry shared with the reading is 0.42 mm.
"""

import json
from dataclasses import replace
from functools import cache
from typing import Any

import numpy as np
import pytest

from tests.accuracy.run import leg_of, photo_of
from tests.scenes.analytic import StrutScene, Truth, camera_pose, project, render
from vision.camera import Camera
from vision.card import supplied_cards
from vision.cylinder import Axis
from vision.results import Reading, Refusal, Result, to_json
from vision.strut import StandOff, measure_strut
from vision.strut.geometry import PARAMETERS, StrutGeometry, geometry_from
from vision.strut.placed import NAME, compare, placed_length

Array = np.ndarray
SCENE = StrutScene(stand_off_mm=10.0, seed=3)
VIEWS = [
    replace(SCENE, elevation_deg=e, azimuth_deg=a, roll_deg=r, k1=k1)
    for e, a, r, k1 in ((-8, 5, 0, 0.0), (0, -15, 10, 0.03), (5, 5, -10, -0.03), (14, 20, 5, 0.02))
]
# Standard uncertainties of PARAMETERS as a card with measured bars leaves them, in round numbers.
SD = np.array([0.01, 0.005, 4e-4, 4e-4, 0.15, 1.0, 5e-4, 2e-3, 0.02, 0.03, 0.15, 0.2])


def covariance() -> Array:
    """Standard uncertainties SD with random correlations."""
    factor = np.random.default_rng(11).normal(size=(len(SD), 2 * len(SD)))
    factor *= (SD / np.linalg.norm(factor, axis=1))[:, None]
    return factor @ factor.T


def true_geometry(scene: StrutScene) -> StrutGeometry:
    rotation, centre = camera_pose(scene)
    middle = [(scene.width_px - 1) / 2, (scene.height_px - 1) / 2]
    return StrutGeometry(
        camera=Camera(scene.focal_px, *middle, scene.k1),
        axis=Axis(rotation @ ([0, 0, -30.0] - centre), rotation @ [0, 0, 1.0]),
        piston_radius_mm=scene.piston_diameter_mm / 2,
        collar_radius_mm=scene.collar_diameter_mm / 2,
        from_mm=30.0 - scene.extension_mm,
        to_mm=30.0,
        covariance=covariance(),
    )


def evidence_of(scene: StrutScene, **changes: Any) -> dict[str, Any]:
    geometry = replace(true_geometry(scene), **changes)
    return json.loads(json.dumps({"geometry": geometry.to_json()}))


def on_ring(
    scene: StrutScene, z: float, diameter: float, azimuth_deg: float, beyond_mm: float = 0.0
) -> Array:
    """The pixel of a ring's point; azimuth 0 faces the camera."""
    _, centre = camera_pose(scene)
    a = np.arctan2(centre[1], centre[0]) + np.radians(azimuth_deg)
    r = diameter / 2 + beyond_mm
    return project(scene, np.array([[r * np.cos(a), r * np.sin(a), z]]))[0]


def marks(scene: StrutScene, from_deg: float = 0.0, to_deg: float = 0.0) -> tuple[Array, Array]:
    return (
        on_ring(scene, -scene.extension_mm, scene.piston_diameter_mm, from_deg),
        on_ring(scene, 0.0, scene.collar_diameter_mm, to_deg),
    )


def reading(result: Result) -> Reading:
    assert isinstance(result, Reading)
    return result


def refusal(result: Result) -> Refusal:
    assert isinstance(result, Refusal)
    assert result.name == NAME
    return result


@pytest.mark.parametrize("azimuths", [(0.0, 0.0), (-60.0, 60.0), (75.0, -40.0)])
@pytest.mark.parametrize("scene", VIEWS, ids=lambda scene: f"{scene.elevation_deg} deg")
def test_the_true_ends_give_the_true_length_wherever_on_their_rings(
    scene: StrutScene, azimuths: tuple[float, float]
) -> None:
    found = reading(placed_length(evidence_of(scene), *marks(scene, *azimuths)))
    assert found.value == pytest.approx(scene.extension_mm, abs=1e-6)
    assert (found.name, found.unit, found.verdict) == (NAME, "mm", None)


def test_the_same_marks_by_one_scale_would_be_millimetres_wrong() -> None:
    scene = VIEWS[3]
    start, end = marks(scene, -60.0, 60.0)
    front = np.linalg.norm(np.subtract(*marks(scene)))
    assert abs(np.linalg.norm(end - start) / front - 1) * scene.extension_mm > 5


def test_the_recess_is_added_as_in_the_reading() -> None:
    found = reading(placed_length(evidence_of(SCENE, recess_mm=-1.5), *marks(SCENE)))
    assert found.value == pytest.approx(SCENE.extension_mm - 1.5, abs=1e-6)


def draws(scene: StrutScene, at: tuple[Array, Array], u_px: float, n: int) -> tuple[Array, Array]:
    """Placed lengths (n,) and readings (n,) of geometries and marks drawn from their doubts."""
    geometry, rng = true_geometry(scene), np.random.default_rng(12)
    moves = rng.multivariate_normal(np.zeros(len(PARAMETERS)), geometry.covariance, n, method="cholesky")
    noise = rng.normal(0, u_px, (n, 2, 1, 2))
    placed = []
    for move, (start, end) in zip(moves, noise, strict=True):
        a, b = geometry.places(at[0] + start, at[1] + end, move[:10])
        placed.append(float(b[0] - a[0]))
    return np.array(placed), scene.extension_mm + moves[:, 11] - moves[:, 10]


@pytest.mark.parametrize("azimuths", [(0.0, 0.0), (-50.0, 60.0)])
def test_u_and_the_doubt_of_the_difference_are_those_of_a_monte_carlo(azimuths: tuple[float, float]) -> None:
    scene, at = VIEWS[3], marks(VIEWS[3], *azimuths)
    found = reading(placed_length(evidence_of(scene), *at, placing_u_px=1.5))
    placed, read = draws(scene, at, 1.5, 6000)  # an sd of 6000 draws is good to 1 %
    assert found.expanded_uncertainty == pytest.approx(1.96 * placed.std(), rel=0.05)
    assert found.evidence["difference_u_mm"] == pytest.approx((placed - read).std(), rel=0.05)


@pytest.mark.parametrize("azimuth", [0.0, 70.0, 85.0, 89.0])
def test_the_doubt_of_placing_holds_to_the_outline_where_a_ring_turns_back(azimuth: float) -> None:
    scene, at = VIEWS[3], marks(VIEWS[3], azimuth, -azimuth)
    found = reading(placed_length(evidence_of(scene), *at, placing_u_px=1.0))
    noise = np.random.default_rng(13).normal(0, 1.0, (2, 40_000, 2))
    a, b = true_geometry(scene).places(at[0] + noise[0], at[1] + noise[1])
    rms = np.sqrt(np.mean((b - a - scene.extension_mm) ** 2))
    assert found.evidence["own_u_mm"] == pytest.approx(rms, rel=0.05)


def test_the_budget_adds_up_to_u_and_splits_into_shared_and_own() -> None:
    found = reading(placed_length(evidence_of(SCENE, scale_excess=0.5, recess_u_mm=0.3), *marks(SCENE)))
    lines = [line.standard_uncertainty for line in found.budget]
    assert found.expanded_uncertainty == pytest.approx(1.96 * np.linalg.norm(lines))
    assert found.evidence["shared_u_mm"] == pytest.approx(lines[0])
    assert found.evidence["own_u_mm"] == pytest.approx(np.hypot(*lines[1:]))


def test_doubts_that_both_lengths_share_do_not_excuse_a_difference() -> None:
    plain = reading(placed_length(evidence_of(SCENE), *marks(SCENE)))
    vague = reading(placed_length(evidence_of(SCENE, scale_excess=8.0, recess_u_mm=2.0), *marks(SCENE)))
    assert vague.expanded_uncertainty > 2 * plain.expanded_uncertainty
    assert vague.evidence["difference_u_mm"] == plain.evidence["difference_u_mm"]


def test_a_wrong_scale_moves_both_lengths_alike_and_shows_in_neither() -> None:
    true = true_geometry(SCENE)
    big = replace(
        true,
        axis=Axis(1.01 * true.axis.point, true.axis.direction),
        piston_radius_mm=1.01 * true.piston_radius_mm,
        collar_radius_mm=1.01 * true.collar_radius_mm,
    )
    found = reading(placed_length({"geometry": big.to_json()}, *marks(SCENE)))
    assert found.value == pytest.approx(1.01 * SCENE.extension_mm, abs=1e-6)


def test_a_reading_that_took_another_edge_disagrees() -> None:
    evidence = evidence_of(SCENE)
    found = reading(placed_length(evidence, *marks(SCENE)))
    for off, agree in ((0.3, True), (3.0, False)):
        read = Reading("strut_extension", SCENE.extension_mm - off, "mm", 0.3)
        compared = compare(read, found)
        assert compared.difference_mm == pytest.approx(off, abs=1e-6)
        assert compared.agree is agree


def test_only_a_placed_length_can_be_compared() -> None:
    read = Reading("strut_extension", 88.9, "mm", 0.3)
    with pytest.raises(ValueError, match="placed length was expected second, named 'strut_extension_placed'"):
        compare(read, read)


@pytest.mark.parametrize(("beyond_mm", "used"), [(2.0, True), (4.0, False)])
@pytest.mark.parametrize("which", [0, 1])
def test_a_mark_just_beyond_an_outline_is_used_and_one_on_nothing_is_refused(
    which: int, beyond_mm: float, used: bool
) -> None:
    at = list(marks(SCENE))
    ends = ((-SCENE.extension_mm, SCENE.piston_diameter_mm), (0.0, SCENE.collar_diameter_mm))
    at[which] = on_ring(SCENE, *ends[which], 89.0, beyond_mm)
    result = placed_length(evidence_of(SCENE), *at)
    if used:
        assert reading(result).value == pytest.approx(SCENE.extension_mm, abs=0.5)
    else:
        what = ("the band's edge", "the rim")[which]
        assert refusal(result).reason.startswith("A placed mark does not lie on the strut. (that of " + what)
        assert refusal(result).advice.startswith("Place the mark again on the edge itself")


def test_marks_placed_the_wrong_way_round_are_refused() -> None:
    start, end = marks(SCENE)
    result = refusal(placed_length(evidence_of(SCENE), end, start))
    assert result.reason.startswith("The mark for the band lies beyond the mark for the collar's rim.")
    assert result.advice.startswith("Place both marks again, the band's upper edge first")


@pytest.mark.parametrize("mark", [(1.0,), (1.0, np.nan), (1.0, 2.0, 3.0)])
def test_a_mark_that_is_not_two_numbers_is_wrong_use(mark: tuple[float, ...]) -> None:
    with pytest.raises(ValueError, match="a placed mark is two finite numbers \\(x, y\\) in px"):
        placed_length(evidence_of(SCENE), mark, (1.0, 2.0))


def test_a_placing_without_doubt_is_wrong_use() -> None:
    with pytest.raises(ValueError, match="must be above 0 px, got 0"):
        placed_length(evidence_of(SCENE), *marks(SCENE), placing_u_px=0.0)


def test_evidence_without_geometry_is_refused_with_the_rule() -> None:
    result = refusal(placed_length({"card": "strip"}, *marks(SCENE)))
    assert result.remedy.code == "nothing-to-place-on"
    assert result.advice == "Measure this strut by hand with a rule."
    assert result.evidence["from_px"] == pytest.approx(marks(SCENE)[0])


@pytest.mark.parametrize(
    ("key", "value", "said"),
    [
        ("format", 2, "of format 2, 1 was expected"),
        ("axis_point_mm", [1.0, 2.0], "incomplete .*finite numbers expected"),
        ("covariance", [[1.0]], "incomplete"),
        ("k1", None, "incomplete"),
        ("recess_mm", float("inf"), "not finite"),
    ],
)
def test_geometry_that_cannot_be_read_is_refused_not_guessed(key: str, value: Any, said: str) -> None:
    evidence = evidence_of(SCENE)
    evidence["geometry"][key] = value
    with pytest.raises(ValueError, match=said):
        geometry_from(evidence["geometry"])
    assert refusal(placed_length(evidence, *marks(SCENE))).remedy.code == "nothing-to-place-on"


@cache
def rendered() -> tuple[Any, Truth]:
    return render(SCENE)


def measured(stand_off: StandOff | None = None) -> Result:
    photo = photo_of(rendered()[0], 26.0)
    return measure_strut(
        photo, leg_of(SCENE), supplied_cards(), check_bar_mm=(200.0, 30.0), stand_off=stand_off
    )


def test_on_a_photo_the_true_ends_agree_and_ends_two_millimetres_off_do_not() -> None:
    read, truth = reading(measured()), rendered()[1]
    evidence = json.loads(json.dumps(to_json(read)))["evidence"]
    placed = reading(placed_length(evidence, truth.from_px, truth.to_px))
    assert abs(placed.value - SCENE.extension_mm) <= 1.96 * placed.evidence["shared_u_mm"]
    compared = compare(read, placed)
    assert compared.agree
    # The scale's doubt is in both U and in the difference only once or not at all.
    assert compared.expanded_mm < 0.95 * np.hypot(read.expanded_uncertainty, placed.expanded_uncertainty)
    wrong = on_ring(SCENE, 2.0, SCENE.collar_diameter_mm, 0.0)
    assert not compare(read, reading(placed_length(evidence, truth.from_px, wrong))).agree


def test_the_machines_own_points_placed_give_the_machines_own_value() -> None:
    read = reading(measured())
    placed = reading(placed_length(read.evidence, read.evidence["from_px"], read.evidence["to_px"]))
    assert placed.value == pytest.approx(read.value, abs=0.01)  # the points are rounded to 0.01 px


def test_a_refused_photo_offers_no_geometry() -> None:
    result = measured(StandOff(0.0, 1.0))
    assert isinstance(result, Refusal)
    assert "from_px" in result.evidence
    assert refusal(placed_length(result.evidence, *marks(SCENE))).remedy.code == "nothing-to-place-on"
