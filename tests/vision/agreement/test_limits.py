"""Limits of agreement: the paper's own example, drawn studies, and what cannot be compared."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from vision.agreement import LimitsOfAgreement, limits_of_agreement

# Bland and Altman, Lancet 1986, table 1: peak flow in l/min by a large and a small meter, first
# readings of 17 people (as transcribed in the R package blandr, which cites the paper).
LARGE = [494, 395, 516, 434, 476, 557, 413, 442, 650, 433, 417, 656, 267, 478, 178, 423, 427]
SMALL = [512, 430, 520, 428, 500, 600, 364, 380, 658, 445, 432, 626, 260, 477, 259, 350, 451]


@pytest.fixture
def published() -> LimitsOfAgreement:
    return limits_of_agreement(LARGE, SMALL)


def test_bias_spread_and_bias_interval_are_the_papers(published: LimitsOfAgreement) -> None:
    # −2.1, 38.8 and −22.0 to 17.8 l/min (numbers of the paper from memory).
    assert published.mean == pytest.approx(-2.1, abs=0.05)
    assert published.sd == pytest.approx(38.8, abs=0.05)
    assert published.mean_interval == pytest.approx((-22.0, 17.8), abs=0.06)


def test_the_limits_are_the_papers_but_for_its_rounding_of_196_to_2(published: LimitsOfAgreement) -> None:
    # The paper's limits, mean ± 2 s: −79.7 and 75.5 l/min (from memory).
    for limit, paper in ((published.lower, -79.7), (published.upper, 75.5)):
        assert (limit - published.mean) / 1.959964 * 2 + published.mean == pytest.approx(paper, abs=0.1)


def test_exact_intervals_lie_farther_out_than_the_papers_approximate_ones(
    published: LimitsOfAgreement,
) -> None:
    # Approximate: limit ± t √(3 s²/n) = −114.3 to −45.1 about −79.7 (from memory), symmetric.
    reach = 2.12 * np.sqrt(3 / 17) * published.sd
    assert published.lower_interval[0] < published.lower - reach
    assert published.lower_interval[1] < published.lower + reach
    assert published.upper_interval[1] - published.upper > published.upper - published.upper_interval[0]


def test_what_a_study_has_shown_is_wider_than_its_limits(published: LimitsOfAgreement) -> None:
    assert published.holding[0] < published.lower < published.upper < published.holding[1]
    assert published.shown_within(113.4)
    assert not published.shown_within(113.2)
    assert not replace(published, holding=(-1.0, 5.0)).shown_within(2.0)


def test_a_bias_and_a_drift_are_told_from_chance() -> None:
    rng = np.random.default_rng(61)
    hand = rng.uniform(40, 140, 40)
    photo = hand + rng.normal(0, 0.3, 40)
    plain = limits_of_agreement(photo, hand)
    assert not plain.biased
    assert not plain.drifting
    longer = limits_of_agreement(photo + 0.3, hand)
    assert longer.biased
    assert longer.mean == pytest.approx(plain.mean + 0.3)
    scaled = limits_of_agreement(1.01 * photo, hand)
    assert scaled.drifting
    assert scaled.slope == pytest.approx(0.01, abs=0.004)


def test_intervals_of_bias_and_slope_cover_as_stated() -> None:
    rng, n = np.random.default_rng(62), 1500
    bias = slope = shown = 0
    for _ in range(n):
        hand = rng.uniform(40, 140, 8)
        # Both ways err by 0.2: differences independent of means, sd 0.2 √2.
        found = limits_of_agreement(hand + 0.1 + rng.normal(0, 0.2, 8), hand + rng.normal(0, 0.2, 8))
        bias += found.mean_interval[0] <= 0.1 <= found.mean_interval[1]
        slope += not found.drifting
        reach = 1.959964 * 0.2 * np.sqrt(2)
        shown += found.upper_interval[0] <= 0.1 + reach <= found.upper_interval[1]
    # 0.95 of 1500 is good to 0.006.
    assert [share / n for share in (bias, slope, shown)] == pytest.approx([0.95] * 3, abs=0.018)


@settings(deadline=None, derandomize=True)
@given(
    pairs=st.lists(st.tuples(st.integers(0, 300), st.integers(-9, 9)), min_size=3, max_size=30),
    shift=st.integers(-50, 50),
)
def test_exchanging_the_two_ways_turns_the_limits_round_and_a_shift_moves_them(
    pairs: list[tuple[int, int]], shift: int
) -> None:
    second = np.array([p for p, _ in pairs], float)
    first = second + [d for _, d in pairs]
    found, turned = limits_of_agreement(first, second), limits_of_agreement(second, first)
    assert turned.holding == pytest.approx((-found.holding[1], -found.holding[0]))
    assert turned.lower_interval == pytest.approx((-found.upper_interval[1], -found.upper_interval[0]))
    moved = limits_of_agreement(first + shift, second)
    assert (moved.lower, moved.upper) == pytest.approx((found.lower + shift, found.upper + shift))
    assert found.holding[0] <= found.lower <= found.mean <= found.upper <= found.holding[1]


def test_struts_all_of_one_length_tell_no_drift() -> None:
    found = limits_of_agreement([90.1, 89.9, 90.0], [89.9, 90.1, 90.0])
    assert found.slope_interval == (-np.inf, np.inf)
    assert not found.drifting


@pytest.mark.parametrize(
    ("first", "second", "said"),
    [
        ([1.0, 2.0], [1.0, 2.0], "same 3 or more readings were expected"),
        ([1.0, 2.0, 3.0], [1.0, 2.0], "same 3 or more readings"),
        ([1.0, 2.0, np.nan], [1.0, 2.0, 3.0], "not a finite number: leave out pairs"),
    ],
)
def test_lists_that_are_no_pairs_are_wrong_use(first: list[float], second: list[float], said: str) -> None:
    with pytest.raises(ValueError, match=said):
        limits_of_agreement(first, second)


def test_a_probability_of_one_is_wrong_use() -> None:
    with pytest.raises(ValueError, match=r"lie between 0 and 1, got 1\.0 and 0\.95"):
        limits_of_agreement(LARGE, SMALL, probability=1.0)
