"""The best ways along strips and the robust line, against slower and known ones."""

import numpy as np
import pytest
from scipy import stats

from vision.hose.course import Course, robust_line, strip_along
from vision.hose.ways import best_ways


def gathered(gain: np.ndarray, way: np.ndarray) -> float:
    """What a way over pairs of columns gathers, less 0.4 for each row that it moves."""
    total = gain[way, np.arange(len(way))].sum()
    return float(total - 0.4 * np.abs(np.diff(way[::2])).sum())


def most_of_all(gain: np.ndarray) -> float:
    """The same by trying every way."""
    rows, columns = gain.shape
    best = -np.inf
    stack = [[row] for row in range(rows)]
    while stack:
        way = stack.pop()
        if len(way) == columns // 2:
            best = max(best, gathered(gain, np.repeat(way, 2)))
            continue
        stack += [[*way, row] for row in range(max(way[-1] - 1, 0), min(way[-1] + 2, rows))]
    return best


@pytest.mark.parametrize("seed", range(5))
def test_no_way_of_all_gathers_more(seed: int) -> None:
    gain = np.random.default_rng(seed).random((2, 5, 14)) * 2
    for strip, way in zip(gain, best_ways(gain), strict=True):
        assert gathered(strip, way) == pytest.approx(most_of_all(strip))


def test_a_way_follows_a_slanted_edge_over_a_gap_and_ends_at_an_odd_column() -> None:
    row = np.arange(201) // 20 + 4
    gain = np.zeros((1, 20, 201))
    gain[0, row, np.arange(201)] = 1.0
    gain[0, :, 60:90] = 0
    way = best_ways(gain)[0]
    assert way.shape == (201,)
    there = np.r_[0:60, 90:200]
    assert np.abs(way - row)[there].max() <= 1


def test_one_column_gives_its_greatest_row() -> None:
    gain = np.zeros((2, 6, 1))
    gain[0, 3], gain[1, 5] = 1, 1
    assert [way.tolist() for way in best_ways(gain)] == [[3], [5]]


def test_strips_of_unlike_length_and_height_go_their_own_ways_together() -> None:
    rng = np.random.default_rng(8)
    gains = [rng.random(shape) * 2 for shape in ((6, 40), (9, 7), (4, 121), (5, 1))]
    for gain, way in zip(gains, best_ways(gains), strict=True):
        assert way.tolist() == best_ways([gain])[0].tolist()


def test_a_hose_at_the_far_end_of_a_panorama_is_straightened_as_in_a_photo() -> None:
    picture = np.random.default_rng(2).integers(0, 255, (60, 400, 3)).astype(np.uint8)
    line = np.stack([np.arange(40.0, 300.0), 30 + 5 * np.sin(np.arange(260) / 40)], axis=1)
    near = strip_along(Course(line, np.full(260, 9.0)), 15, 1.5).of(picture)
    wide = np.zeros((60, 33000 + 400, 3), np.uint8)
    wide[:, 33000:] = picture
    far = strip_along(Course(line + [33000, 0], np.full(260, 9.0)), 15, 1.5).of(wide)
    assert np.abs(far - near).mean() < 2  # a place so far out is known to 1/256 px only


def test_the_robust_line_is_scipy_s() -> None:
    rng = np.random.default_rng(3)
    at = rng.permutation(60).astype(float)
    values = 0.3 * at + 2 + rng.normal(0, 0.5, 60)
    values[:14] += 40
    assert robust_line(at, values) == pytest.approx(tuple(stats.theilslopes(values, at)[:2]))
