"""The edges' benchmark itself: its bound against simulation, and a small run of it."""

import numpy as np
import pytest

from tests.accuracy.edges import fisher_bound, of_pictures, of_samples


def test_the_bound_of_a_wide_window_is_that_of_the_formula() -> None:
    # Cramér–Rao, levels known: sd ≥ (n/c)·√(2√π·s/M), with the levels free divided by √(1 − 2√π s/W); one row.
    t, blur, noise = np.arange(-30.0, 31.0), 1.0, 2 / 255
    bound = fisher_bound(t, np.zeros(1), np.ones((1, t.size), bool), blur, noise, False)[0]
    formula = (noise / (60 / 255)) * np.sqrt(2 * np.sqrt(np.pi) * blur / (1 - 2 * np.sqrt(np.pi) * blur / 61))
    assert bound == pytest.approx(formula, rel=0.01)


@pytest.mark.parametrize("blur, noise", [(0.7, 1.0), (3.0, 8.0)])
def test_strips_keep_the_allowances(blur: float, noise: float) -> None:
    error, bound, good = of_samples(blur, noise, False, 1000, 5)
    assert good.all()
    assert abs(error.mean()) <= 0.02
    assert (error / bound).std() <= 1.15


def test_strips_sampled_from_pictures_are_placed_without_bias_near_the_bound() -> None:
    error, bound, good = of_pictures(1.0, 4.0, True, 800, 6)
    assert good.mean() > 0.99
    assert abs(error[good].mean()) <= 0.02
    assert (error / bound)[good].std() <= 1.15
