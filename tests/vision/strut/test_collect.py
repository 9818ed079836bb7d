"""Edge points and their doubt on pictures of one upright edge: what errs together counts once."""

import numpy as np
import pytest
from numpy.typing import NDArray
from scipy.special import ndtr

from vision.strut.collect import Edge, find_edge
from vision.strut.window import Window

Array = NDArray[np.float64]
ROWS, PLACE, BLUR, BIN = 1280, 40.0, 1.0, 8


def edge_at(places: Array, bright: float | Array = 0.6, limb: float | None = None) -> Edge:
    """The edge found along x = 40 on a picture whose rows have theirs at `places`, dark on the left."""
    rng = np.random.default_rng(5)
    height = np.broadcast_to(bright, ROWS)[:, None] - 0.15
    light = 0.15 + height * ndtr((np.arange(80.0) - places[:, None]) / BLUR)
    picture = light + rng.normal(0, 0.004, (ROWS, 80))
    picture = np.clip(picture, 0, 1).astype(np.float32)
    colour = np.repeat(picture[:, :, None], 3, axis=2)
    window = Window(colour, picture, np.zeros(2), 0.004, np.ones(3), 1.0)
    y = np.arange(8.0, ROWS - 8)
    course = np.column_stack([np.full(len(y), PLACE), y]), np.tile([1.0, 0.0], (len(y), 1))
    return find_edge(window, course, BLUR, 4.0, BIN, limb=limb)


def together(edge: Edge) -> float:
    """Standard uncertainty of the mean of all points."""
    return float(1 / np.sqrt(np.sum(edge.points.sigma**-2.0)))


def test_an_edge_is_found_where_it_is_and_as_well_as_it_scatters() -> None:
    edge = edge_at(np.full(ROWS, PLACE + 0.7))
    assert edge.share == 1.0
    assert edge.points.px[:, 0].mean() == pytest.approx(PLACE + 0.7, abs=0.02)
    assert together(edge) < 0.01


def test_points_that_err_together_over_a_stretch_weigh_as_few() -> None:
    # The same places in both pictures, once row after row in three waves, once with the bins shuffled.
    bins = np.arange(ROWS) // BIN
    waves = 0.5 * np.sin(6 * np.pi * np.arange(bins.max() + 1) / bins.max())
    shuffled = np.random.default_rng(6).permutation(waves)
    assert together(edge_at(PLACE + waves[bins])) > 2 * together(edge_at(PLACE + shuffled[bins]))


def test_an_outline_before_burnt_out_light_is_known_to_no_more_than_half_a_blur() -> None:
    # Drawn as the outline of something dark on the left; the light is cut off at 1.
    places = np.full(ROWS, PLACE)
    for bright in (1.3, 2.0, 4.0):
        edge = edge_at(places, bright, limb=10.0)
        assert 0.5 * BLUR <= together(edge) < 0.7 * BLUR
        assert edge.points.px[:, 0].mean() == pytest.approx(PLACE, abs=2 * together(edge))
    assert together(edge_at(places, 0.8, limb=10.0)) < 0.02


def test_a_few_bins_that_happen_to_agree_are_no_edge() -> None:
    shown = np.where(np.arange(ROWS) // BIN % 5 == 0, 0.6, 0.15)
    assert edge_at(np.full(ROWS, PLACE), bright=0.6).share == 1.0
    assert edge_at(np.full(ROWS, PLACE), bright=shown).share == 0.0
