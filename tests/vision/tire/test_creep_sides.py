"""The sides of a mark's part, and where the lip ends under it: rows of light without a picture."""

import numpy as np

from vision.tire import creep, mark_search
from vision.tire.creep import FEWEST_ROWS, _on_lip, _side
from vision.tire.mark_parts import Part
from vision.tire.profile import Shape

S = np.arange(-20.0, 20.01, 0.25)
WIDTH = 24.0


def rows_of_paint() -> np.ndarray:
    """Twelve rows that a mark fills from -12 to +12 mm, its sides a little soft."""
    edge = np.clip((WIDTH / 2 - np.abs(S)) / 0.6 + 0.5, 0, 1)
    return np.repeat(edge[None, :], 12, axis=0)


def test_a_chip_inside_the_mark_is_not_its_side() -> None:
    paint = rows_of_paint()
    paint[:, np.abs(S - 5.0) < 1.0] = 0.0
    found = _side(paint, S, 1.0, WIDTH, 0.25, 2.5)
    assert found is not None
    place, good = found
    assert good.all()
    np.testing.assert_allclose(place, 12.0, rtol=0, atol=0.1)


def test_a_rims_part_ends_where_the_lip_falls_off_and_the_stripe_jumps_aside() -> None:
    inside = np.arange(1.5, 8.01, 0.5)
    middle = 0.05 * inside
    middle[inside > 6.0] += 1.5
    kept = _on_lip(inside, middle, np.ones(len(inside), np.bool_))
    assert kept.sum() >= FEWEST_ROWS
    assert inside[kept].max() <= 6.0


def test_a_lip_of_two_rows_is_not_mended_by_what_lies_behind_it() -> None:
    inside = np.arange(1.5, 8.01, 0.5)
    middle = np.where(inside > 2.2, 2.0, 0.0)
    assert _on_lip(inside, middle, np.ones(len(inside), np.bool_)).sum() < FEWEST_ROWS


def test_rows_within_the_rim_alone_tell_no_lip() -> None:
    inside = np.arange(11.0, 20.0, 0.5)
    assert not _on_lip(inside, 0 * inside, np.ones(len(inside), np.bool_)).any()


def test_a_mark_on_a_lip_and_behind_it_is_filled_in_every_row_though_lit_otherwise() -> None:
    s = np.arange(-20.0, 20.1, 0.5)
    # A bright lip's face, then what falls off behind it, eight times darker; last a row without the mark.
    light = np.array([0.4, 0.4, 0.05, 0.05, 0.05])[:, None, None] * np.ones((5, len(s), 3))
    light[:4, np.abs(s) < 7.5] *= np.array([0.9, 0.35, 0.1])
    colour = np.log([0.9 / 0.35, 0.35 / 0.1, 1.0])
    part = Part("rim", 0.0, 15.0, colour, 0.2, True, np.array([0.3, 0.1, 0.03]), np.array([0.4, 0.4, 0.4]))
    scalar, good = creep._on_mark(light, s, part)
    assert good.tolist() == [True] * 4 + [False]
    assert np.allclose(scalar[:4, np.abs(s) < 7], 1)
    assert np.allclose(scalar[:4, np.abs(s) > 8], 0)


def test_a_chip_does_not_part_a_mark_but_two_marks_stay_two() -> None:
    shape = Shape(95.0, 445.0, 160.0, 10.0)
    per_mm = 1 / np.radians(mark_search.STEP_DEG) / 95.0
    before, after = [0, round(15 * per_mm)], [round(18 * per_mm), round(34 * per_mm)]
    assert mark_search._one_chip(before, after, shape)
    assert not mark_search._one_chip(before, [round(22 * per_mm), round(38 * per_mm)], shape)
    assert not mark_search._one_chip([0, round(5 * per_mm)], [round(8 * per_mm), round(24 * per_mm)], shape)
