"""The two pictures: readable XML, marks where the numbers are, words that say the result."""

from xml.etree import ElementTree

import numpy as np
import pytest

from tests.vision.agreement.aiag import READINGS
from vision.agreement import difference_plot, gauge_plot, gauge_study, limits_of_agreement
from vision.agreement.svg import Chart, number, round_step, ticks

HAND = np.array([61.2, 75.0, 82.4, 90.1, 104.9, 118.3])
PHOTO = HAND + [0.2, -0.1, 0.4, -0.3, 0.1, 0.0]
SVG = "{http://www.w3.org/2000/svg}"


def drawing(text: str) -> ElementTree.Element:
    return ElementTree.fromstring(text)


def words(root: ElementTree.Element) -> list[str]:
    return [element.text or "" for element in root.iter(f"{SVG}text")]


def crosses(root: ElementTree.Element) -> list[tuple[float, float]]:
    """Middles of the cross marks."""
    marks = [e.get("points", "").split() for e in root.iter(f"{SVG}polyline")]
    corners = [[tuple(map(float, p.split(","))) for p in mark] for mark in marks if len(mark) == 5]
    return [tuple(np.mean([c[0], c[1]], axis=0)) for c in corners]


def test_every_pair_is_marked_at_its_mean_and_difference() -> None:
    limits = limits_of_agreement(PHOTO, HAND)
    root = drawing(difference_plot(limits, PHOTO, HAND))
    marks = np.array(crosses(root))
    assert len(marks) == len(HAND)
    for column, values in ((0, (PHOTO + HAND) / 2), (1, -(PHOTO - HAND))):  # y runs down
        line = np.polyfit(values, marks[:, column], 1)
        assert line[0] > 0
        np.testing.assert_allclose(np.polyval(line, values), marks[:, column], atol=0.02)


def test_bias_and_limits_are_written_and_told_to_screen_readers() -> None:
    root = drawing(difference_plot(limits_of_agreement(PHOTO, HAND), PHOTO, HAND))
    assert root.get("role") == "img"
    assert root.findtext(f"{SVG}title") == "photo minus hand: 6 pairs"
    assert "Bias 0.05 mm; limits of agreement −0.43 to 0.53 mm; 95% sure" in (
        root.findtext(f"{SVG}desc") or ""
    )
    assert "bias 0.05 mm" in words(root)
    assert sum(word.startswith("limit ") for word in words(root)) == 2


def test_labels_never_cover_each_other() -> None:
    rng = np.random.default_rng(66)
    hand = rng.uniform(50, 100, 3000)
    photo = hand + rng.normal(0, 0.2, 3000)  # so many that limits and what is shown nearly coincide
    root = drawing(difference_plot(limits_of_agreement(photo, hand), photo, hand))
    heights = [
        float(e.get("y", 0))
        for e in root.iter(f"{SVG}text")
        if (e.text or "").split()[0] in ("limit", "shown")
    ]
    assert len(heights) == 4
    assert min(np.diff(sorted(heights))) >= 14


def test_names_are_escaped() -> None:
    text = difference_plot(limits_of_agreement(PHOTO, HAND), PHOTO, HAND, names=("<a>", "b & c"))
    assert "<a> minus b & c: 6 pairs" in words(drawing(text))


def test_readings_of_another_study_are_wrong_use() -> None:
    with pytest.raises(ValueError, match="not those that the limits were computed from"):
        difference_plot(limits_of_agreement(PHOTO, HAND), PHOTO + np.arange(6), HAND)
    with pytest.raises(ValueError, match="readings of the study's shape were expected, got \\(3, 9, 3\\)"):
        gauge_plot(gauge_study(READINGS), READINGS[:, :9])
    with pytest.raises(ValueError, match="3 people need as many names, got 2"):
        gauge_plot(gauge_study(READINGS), READINGS, people=("A", "B"))


def test_each_persons_readings_have_a_shape_of_their_own() -> None:
    root = drawing(gauge_plot(gauge_study(READINGS), READINGS, people=("A", "B", "C")))
    circles = list(root.iter(f"{SVG}circle"))
    shapes = [len(e.get("points", "").split()) for e in root.iter(f"{SVG}polyline")]
    # Thirty readings each and one in the key; the joined means have ten corners.
    assert len(circles) == 31
    assert (shapes.count(5), shapes.count(4), shapes.count(10)) == (31, 31, 3)
    assert {"A", "B", "C", "part"} <= set(words(root))
    assert root.findtext(f"{SVG}title") == "Gauge study: 28 % of the spread is the gauge's (conditional)"


@pytest.mark.parametrize(
    ("span", "marks"), [((0.0, 1.0), [0, 0.2, 0.4, 0.6, 0.8, 1]), ((-3.0, 8.0), [-2, 0, 2, 4, 6, 8])]
)
def test_ticks_are_round_and_inside(span: tuple[float, float], marks: list[float]) -> None:
    assert ticks(span) == pytest.approx(marks)


@pytest.mark.parametrize(
    ("value", "step", "text"), [(-0.04, 0.1, "0.0"), (-1.25, 0.05, "−1.25"), (40, 10, "40")]
)
def test_numbers_have_the_decimals_of_their_step(value: float, step: float, text: str) -> None:
    assert number(value, step) == text


@pytest.mark.parametrize("span", [1e-6, 0.013, 7.0, 999.0])
def test_a_step_is_one_two_or_five_times_a_power_of_ten(span: float) -> None:
    step = round_step(span)
    assert f"{step:e}"[:3] in ("1.0", "2.0", "5.0")
    assert 2 <= span / step <= 7.001


def test_corners_of_the_axes_lie_inside_the_picture() -> None:
    chart = Chart("t", "d", "x", "y", (0.0, 1.0), (5.0, 6.0))
    (left, bottom), (right, top) = chart.place(0, 5), chart.place(1, 6)
    assert 0 < left < right < 720
    assert 0 < top < bottom < 440
