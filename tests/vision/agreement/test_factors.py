"""Factors of limits: against a reference library, tables, closed forms and drawn samples."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy import stats

from vision.agreement.factors import one_limit_factor, two_limit_factor

P196 = 2 * stats.norm.cdf(1.96) - 1


@pytest.mark.parametrize(
    ("n", "confidence", "factor"),
    # Computed with pyCompare 1.5.4 (its port of the tables' program of Carkeet's), z = 1.96.
    [
        (5, 0.025, 1.23975), (5, 0.975, 6.15701), (17, 0.025, 1.49002),
        (17, 0.975, 3.08247), (30, 0.025, 1.58086), (30, 0.975, 2.68545),
    ],
)  # fmt: skip
def test_both_limits_together_are_those_of_a_reference_library(
    n: int, confidence: float, factor: float
) -> None:
    assert two_limit_factor(n, P196, confidence) == pytest.approx(factor, abs=1e-5)


@pytest.mark.parametrize(("n", "factor"), [(5, 5.077), (10, 3.393), (20, 2.760), (50, 2.382), (100, 2.234)])
def test_the_95_95_tolerance_factors_are_those_of_the_exact_tables(n: int, factor: float) -> None:
    # ISO 16269-6, two-sided, exact; from memory.
    assert two_limit_factor(n, 0.95, 0.95) == pytest.approx(factor, abs=6e-4)


@pytest.mark.parametrize("n", [3, 10, 200])
@pytest.mark.parametrize("confidence", [0.025, 0.5, 0.975])
def test_one_limit_is_the_percentile_of_the_noncentral_t(n: int, confidence: float) -> None:
    k = one_limit_factor(n, 1.96, confidence)
    assert stats.nct.cdf(k * np.sqrt(n), n - 1, 1.96 * np.sqrt(n)) == pytest.approx(confidence, abs=1e-8)


def test_a_limit_of_0_is_the_mean_and_has_student_s_interval() -> None:
    k = one_limit_factor(12, 0.0, 0.975)
    assert k == pytest.approx(stats.t.ppf(0.975, 11) / np.sqrt(12), rel=1e-9)


@settings(deadline=None, derandomize=True)
@given(n=st.integers(3, 2000), probability=st.floats(0.5, 0.999), confidence=st.floats(0.05, 0.99))
def test_more_pairs_and_less_confidence_make_the_holding_interval_narrower(
    n: int, probability: float, confidence: float
) -> None:
    k = two_limit_factor(n, probability, confidence)
    assert two_limit_factor(n, probability, confidence / 2) < k
    assert two_limit_factor(n, probability / 2, confidence) < k
    if confidence > 0.6:  # below, few pairs may even need less
        assert two_limit_factor(2 * n, probability, confidence) < k


def test_with_very_many_pairs_every_factor_is_that_of_the_population() -> None:
    assert two_limit_factor(1_000_000, 0.95, 0.95) == pytest.approx(1.96, abs=0.005)
    assert one_limit_factor(100_000, 1.96, 0.975) == pytest.approx(1.96, abs=0.015)


@pytest.mark.parametrize("n", [4, 12])
def test_drawn_samples_hold_as_often_as_stated(n: int) -> None:
    rng = np.random.default_rng(60)
    x = rng.normal(size=(40_000, n))  # a share of 0.95 in 40 000 is good to 0.0011
    mean, sd = x.mean(axis=1), x.std(axis=1, ddof=1)
    k = two_limit_factor(n, 0.95, 0.95)
    held = stats.norm.cdf(mean + k * sd) - stats.norm.cdf(mean - k * sd)
    assert np.mean(held >= 0.95) == pytest.approx(0.95, abs=0.004)
    low, high = (mean + one_limit_factor(n, 1.96, c) * sd for c in (0.025, 0.975))
    assert np.mean((low <= 1.96) & (high >= 1.96)) == pytest.approx(0.95, abs=0.004)
