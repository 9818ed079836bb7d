"""The sides of a mark's part, and where the lip ends under it: rows of light without a picture."""

import numpy as np

from vision.tire.creep import FEWEST_ROWS, _on_lip, _side

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
