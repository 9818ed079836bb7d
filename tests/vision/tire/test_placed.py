"""A person's marks on a tire's bare photo mean what the machine's reading of the same places means."""

import json
import re
from dataclasses import replace

import numpy as np
import pytest

from tests.vision.tire.tire_scene import SCENE, reading
from vision.results import Reading, Refusal
from vision.tire.placed import placed_on_tire

LINE, ARC = "pressure_line_angle", "creep_arc"


def evidence_of(name: str, scene=SCENE) -> dict[str, object]:  # type: ignore[no-untyped-def]
    """As it comes out of an archive."""
    kept: dict[str, object] = json.loads(json.dumps(dict(reading(name, scene).evidence)))
    return kept


def at_edge(kept: dict[str, object]) -> np.ndarray:
    """Where the mark's two parts meet the flange's edge: its points carried on to the edge as it was found."""
    edge = np.array(kept["flange_px"])
    marks = []
    for name in ("tire_mark_px", "rim_mark_px"):
        near, far = sorted(np.array(kept[name]), key=lambda p: np.min(np.hypot(*(edge - p).T)))
        line = near + np.linspace(-12, 12, 241)[:, None] * (near - far) / np.hypot(*(near - far))
        marks.append(line[np.argmin(np.hypot(*(line[:, None] - edge).transpose(2, 0, 1)).min(axis=1))])
    return np.array(marks)


@pytest.mark.parametrize("angle", [-2.5, 0.0, 1.5])
def test_the_lines_own_ends_placed_give_the_reading(angle: float) -> None:
    scene = replace(SCENE, line_angle_deg=angle)
    kept = evidence_of(LINE, scene)
    placed = placed_on_tire(kept, LINE, kept["line_px"])  # type: ignore[arg-type]
    assert isinstance(placed, Reading) and placed.unit == "deg"
    # The machine fits all points of the line, a person has its two ends only.
    assert placed.value == pytest.approx(reading(LINE, scene).value, abs=0.35)
    assert abs(placed.value - angle) < placed.expanded_uncertainty


def test_the_ends_may_be_placed_in_either_order() -> None:
    kept = evidence_of(LINE)
    one, other = kept["line_px"]  # type: ignore[misc]
    first, second = (placed_on_tire(kept, LINE, marks) for marks in ([one, other], [other, one]))
    assert isinstance(first, Reading) and isinstance(second, Reading)
    assert first.value == pytest.approx(second.value, abs=1e-9)


def test_a_line_turned_by_two_degrees_reads_two_degrees_more() -> None:
    kept = evidence_of(LINE)
    (x0, y0), (x1, y1) = kept["line_px"]  # type: ignore[misc]
    rise = np.hypot(x1 - x0, y1 - y0) * np.tan(np.radians(2.0))
    straight = placed_on_tire(kept, LINE, [(x0, y0), (x1, y1)])
    turned = placed_on_tire(kept, LINE, [(x0, y0), (x1, y1 - rise)])
    assert isinstance(straight, Reading) and isinstance(turned, Reading)
    assert turned.value - straight.value == pytest.approx(2.0, abs=0.3)  # the wheel is seen at 9°


@pytest.mark.parametrize("creep", [-4.0, 2.0, 4.0])
def test_the_marks_parts_placed_at_the_edge_give_the_slip_with_its_sign(creep: float) -> None:
    scene = replace(SCENE, creep_deg=creep)
    kept = evidence_of(ARC, scene)
    placed = placed_on_tire(kept, ARC, at_edge(kept))
    assert isinstance(placed, Reading) and placed.unit == "mm"
    read = reading(ARC, scene)
    # Carried on by two points each: a person sees the edge itself.
    assert placed.value == pytest.approx(read.value, abs=1.0)
    assert np.sign(placed.value) == np.sign(creep)


def test_what_both_readings_share_is_left_out_of_the_doubt_of_their_difference() -> None:
    for name in (LINE, ARC):
        kept = evidence_of(name)
        marks = kept["line_px"] if name == LINE else at_edge(kept)
        placed = placed_on_tire(kept, name, marks)  # type: ignore[arg-type]
        assert isinstance(placed, Reading)
        read_u = reading(name).expanded_uncertainty / 1.96
        told = placed.evidence
        assert told["difference_u"] >= told["own_u"] > 0
        assert placed.expanded_uncertainty == pytest.approx(1.96 * np.hypot(told["shared_u"], told["own_u"]))
        assert told["shared_u"] < read_u
        assert told["difference_u"] < np.hypot(read_u, placed.expanded_uncertainty / 1.96)


def test_placing_by_a_shaky_hand_is_covered_by_the_doubt_of_the_difference() -> None:
    kept, rng = evidence_of(LINE), np.random.default_rng(4)
    ends, read = np.array(kept["line_px"]), reading(LINE).value
    placed = [placed_on_tire(kept, LINE, ends + rng.normal(size=(2, 2))) for _ in range(300)]
    off = [
        abs(one.value - read) <= 1.96 * one.evidence["difference_u"]
        for one in placed
        if isinstance(one, Reading)
    ]
    assert len(off) == 300
    assert np.mean(off) >= 0.93  # 95 % less three standard deviations of 300


def test_a_longer_line_is_placed_better() -> None:
    kept = evidence_of(LINE)
    a, b = (np.array(p) for p in kept["line_px"])  # type: ignore[union-attr]
    whole, half = (placed_on_tire(kept, LINE, [a, a + share * (b - a)]) for share in (1.0, 0.5))
    assert isinstance(whole, Reading) and isinstance(half, Reading)
    assert half.evidence["own_u"] == pytest.approx(2 * whole.evidence["own_u"], rel=0.1)


@pytest.mark.parametrize(
    ("name", "marks", "why"),
    [
        (LINE, [(5, 5), (795, 5)], "not the two ends of a line on the sidewall.*beside the sidewall"),
        (LINE, "close", "0 mm apart"),
        (LINE, "axle", "beside the sidewall"),
        (ARC, "axle", "where the mark meets the flange's edge"),
        (ARC, "far", "apart along the edge"),
        (LINE, [(-1e7, 5), (795, 5)], "beside the sidewall"),
    ],
)  # fmt: skip
def test_marks_on_nothing_are_refused_with_what_to_do(name: str, marks: object, why: str) -> None:
    kept = evidence_of(name)
    if marks == "close":
        marks = [kept["line_px"][0], np.array(kept["line_px"][0]) + 0.2]  # type: ignore[index]
    elif marks == "axle":
        marks = [kept["axle_px"], np.array(kept["axle_px"]) + 40]
    elif marks == "far":
        marks = [kept["flange_px"][0], kept["flange_px"][30]]  # type: ignore[index]
    placed = placed_on_tire(kept, name, marks)  # type: ignore[arg-type]
    assert isinstance(placed, Refusal)
    assert re.search(why, placed.reason) and placed.advice.startswith("Place both marks")


def test_a_photo_without_a_reading_takes_no_marks() -> None:
    for kept in ({}, {"geometry": {"format": 9}}, {"geometry": {"format": 1}}):
        placed = placed_on_tire(kept, LINE, [(1, 1), (2, 2)])
        assert isinstance(placed, Refusal) and "gave no reading" in placed.reason


@pytest.mark.parametrize(
    ("name", "marks", "u"),
    [("deflection", [(1, 1), (2, 2)], 1.0), (LINE, [(1, 1)], 1.0), (LINE, [(1, 1), (2, float("nan"))], 1.0),
     (LINE, [(1, 1), (2, 2)], 0.0)],
)  # fmt: skip
def test_wrong_use_is_an_error(name: str, marks: list[tuple[float, float]], u: float) -> None:
    with pytest.raises(ValueError, match=r"placed|px"):
        placed_on_tire({}, name, marks, placing_u_px=u)
