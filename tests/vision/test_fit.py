"""The least squares and its doubts against SciPy, closed forms and Monte Carlo."""

from collections.abc import Sequence

import numpy as np
import pytest
from numpy.typing import NDArray
from scipy.optimize import least_squares

from vision.fit import HUBER, Observations, Prior, Solution, solve

Array = NDArray[np.float64]
STEPS = np.array([1e-6, 1e-6, 1e-6])
X = np.linspace(0.0, 4.0, 30)


def straight(y: Array, sd: float, source: str = "points", robust: bool = False) -> Observations:
    """Points of a straight line theta[0] + theta[1] x."""
    return Observations(source, lambda theta: (theta[0] + theta[1] * X - y) / sd, [0, 1], robust)


def decay(y: Array, sd: float, robust: bool = False) -> Observations:
    """Points of theta[0] exp(-theta[1] x) + theta[2]."""
    return Observations(
        "points",
        lambda theta: (theta[0] * np.exp(-theta[1] * X) + theta[2] - y) / sd,
        [0, 1, 2],
        robust,
    )


DECAY = np.array([3.0, 0.8, 0.5])


def true_decay(theta: Array = DECAY) -> Array:
    return theta[0] * np.exp(-theta[1] * X) + theta[2]


def test_a_straight_line_has_the_closed_form_values_and_covariance() -> None:
    # Linear regression, JCGM 100:2008 H.3.2 (equations H.13 a to f, from memory).
    rng = np.random.default_rng(10)
    y = 1.5 - 0.7 * X + rng.normal(0, 0.2, X.size)
    n, sx, sxx, sy, sxy = X.size, X.sum(), (X * X).sum(), y.sum(), (X * y).sum()
    d = n * sxx - sx**2
    solution = solve(np.zeros(2), STEPS[:2], [straight(y, 0.2)], [])
    assert solution.theta == pytest.approx([(sy * sxx - sxy * sx) / d, (n * sxy - sx * sy) / d], abs=1e-9)
    expected = 0.2**2 / d * np.array([[sxx, -sx], [-sx, n]])
    np.testing.assert_allclose(solution.covariance, expected, rtol=1e-5)


def test_a_nonlinear_fit_is_that_of_scipy() -> None:
    y = true_decay() + np.random.default_rng(11).normal(0, 0.05, X.size)
    block = decay(y, 0.05)
    ours = solve(np.array([2.0, 1.2, 0.0]), STEPS, [block], [])
    theirs = least_squares(block.residuals, [2.0, 1.2, 0.0], xtol=1e-12, ftol=1e-12, gtol=1e-12)
    assert ours.theta == pytest.approx(theirs.x, abs=2e-5)  # a thousandth of the sd: `tolerance`
    np.testing.assert_allclose(ours.covariance, np.linalg.inv(theirs.jac.T @ theirs.jac), rtol=1e-3)


def test_a_prior_is_one_more_observation() -> None:
    y = true_decay() + np.random.default_rng(12).normal(0, 0.05, X.size)
    block, prior = decay(y, 0.05), Prior("plate", 1, 0.9, 0.02)
    ours = solve(np.array([2.0, 1.2, 0.0]), STEPS, [block], [prior])

    def joined(theta: Array) -> Array:
        return np.append(block.residuals(theta), (theta[1] - 0.9) / 0.02)

    theirs = least_squares(joined, [2.0, 1.2, 0.0], xtol=1e-12, ftol=1e-12, gtol=1e-12)
    assert ours.theta == pytest.approx(theirs.x, abs=2e-5)
    np.testing.assert_allclose(ours.covariance, np.linalg.inv(theirs.jac.T @ theirs.jac), rtol=1e-3)


def test_robust_points_are_weighed_by_hubers_rule() -> None:
    # SciPy's loss "huber" minimises the same sum while nothing lies beyond the rejection.
    y = true_decay() + np.random.default_rng(13).normal(0, 0.05, X.size)
    y[[3, 11, 20]] += [0.2, -0.22, 0.24]
    block = decay(y, 0.05, robust=True)
    ours = solve(DECAY, STEPS, [block], [], iterations=60, tolerance=1e-7)
    theirs = least_squares(block.residuals, DECAY, loss="huber", f_scale=HUBER, xtol=1e-12, ftol=1e-12)
    assert ours.theta == pytest.approx(theirs.x, abs=1e-5)
    assert ours.kept_share["points"] == 1.0


def test_points_far_off_pull_no_more() -> None:
    clean = true_decay() + np.random.default_rng(14).normal(0, 0.05, X.size)
    wrong = clean.copy()
    wrong[[5, 17]] += [40.0, -25.0]
    keep = np.delete(np.arange(X.size), [5, 17])
    ours = solve(DECAY, STEPS, [decay(wrong, 0.05, robust=True)], [])
    rest = Observations("points", lambda theta: decay(clean, 0.05).residuals(theta)[keep], [0, 1, 2])
    assert ours.theta == pytest.approx(solve(DECAY, STEPS, [rest], []).theta, abs=1e-4)
    assert ours.kept_share["points"] == pytest.approx(28 / 30)


def test_the_parts_of_the_variance_add_up_and_belong_to_their_sources() -> None:
    blocks = [straight(1 + X, 0.2, "left"), straight(1 + X, 0.5, "right")]
    priors = [Prior("plate", 0, 1.0, 0.03), Prior("rule", 1, 1.0, 0.04)]
    solution = solve(np.zeros(2), STEPS[:2], blocks, priors)
    gradient = np.array([1.0, 2.5])
    parts = solution.variance_by_source(gradient)
    assert set(parts) == {"left", "right", "plate", "rule"}
    assert sum(parts.values()) == pytest.approx(solution.variance(gradient), rel=1e-9)
    # Each part is the variance that this source's noise alone causes: (∂g/∂observation)² u².
    slope = solution.covariance @ gradient
    assert parts["plate"] == pytest.approx((slope[0] / 0.03**2 * 0.03) ** 2, rel=1e-9)
    design = np.column_stack([np.ones(X.size), X])
    assert parts["right"] == pytest.approx(float(np.sum((design @ slope / 0.5) ** 2)), rel=1e-6)


def noisy_line_with_priors(rng: np.random.Generator) -> tuple[list[Observations], list[Prior]]:
    y = 1.0 + 2.0 * X + rng.normal(0, 0.3, X.size)
    return [straight(y, 0.3)], [
        Prior("plate", 0, 1.0 + rng.normal(0, 0.1), 0.1),
        Prior("rule", 1, 2.0 + rng.normal(0, 0.03), 0.03),
    ]


@pytest.mark.parametrize("index", [0, 1])
def test_without_a_prior_is_the_fit_without_it(index: int) -> None:
    blocks, priors = noisy_line_with_priors(np.random.default_rng(15))
    value, sd = solve(np.zeros(2), STEPS[:2], blocks, priors).without(priors[index])
    again = solve(np.zeros(2), STEPS[:2], blocks, [p for p in priors if p is not priors[index]])
    assert value == pytest.approx(again.theta[index], abs=1e-6)
    assert sd == pytest.approx(float(np.sqrt(again.covariance[index, index])), rel=1e-5)


@pytest.mark.parametrize("index", [0, 1])
def test_a_quantity_moves_without_a_prior_as_the_fit_without_it_says(index: int) -> None:
    blocks, priors = noisy_line_with_priors(np.random.default_rng(19))
    gradient = np.array([1.5, -4.0])
    whole = solve(np.zeros(2), STEPS[:2], blocks, priors)
    again = solve(np.zeros(2), STEPS[:2], blocks, [p for p in priors if p is not priors[index]])
    moved = float(gradient @ (again.theta - whole.theta))
    assert whole.shift_without(priors[index], gradient) == pytest.approx(moved, abs=1e-6)
    other, gone = priors[1 - index], priors[index]
    alone = Observations(
        gone.source,
        lambda theta: np.array([(theta[gone.index] - gone.mean) / gone.sd]),
        [gone.index],
        robust=False,
    )
    told = solve(np.zeros(2), STEPS[:2], [*blocks, alone], [other])
    assert told.scalar_shift_without(gone.source, gradient) == pytest.approx(abs(moved), rel=1e-4)


def test_without_a_prior_is_the_fit_without_it_also_where_the_model_is_curved() -> None:
    y = true_decay() + np.random.default_rng(16).normal(0, 0.05, X.size)
    prior = Prior("plate", 1, 0.82, 0.03)
    value, sd = solve(DECAY, STEPS, [decay(y, 0.05)], [prior]).without(prior)
    again = solve(DECAY, STEPS, [decay(y, 0.05)], [])
    assert value == pytest.approx(again.theta[1], abs=0.1 * sd)
    assert sd == pytest.approx(float(np.sqrt(again.covariance[1, 1])), rel=0.1)


def test_nobody_else_knows_a_parameter_that_only_the_prior_tells() -> None:
    prior = Prior("plate", 2, 7.0, 0.5)
    solution = solve(np.zeros(3), STEPS, [straight(1 + X, 0.2)], [prior])
    assert solution.without(prior) == (pytest.approx(7.0), float("inf"))
    assert solution.contradiction(prior) == 0.0
    assert solution.shift_without(prior, np.ones(3)) == 0.0


def simulated(n: int, seed: int) -> list[tuple[Solution, Sequence[Prior]]]:
    """Solutions of `noisy_line_with_priors`, the rule given as an observation of its own."""
    rng, result = np.random.default_rng(seed), []
    for _ in range(n):
        blocks, (plate, rule) = noisy_line_with_priors(rng)
        alone = Observations(
            "rule", lambda theta, r=rule: np.array([(theta[1] - r.mean) / r.sd]), [1], robust=False
        )
        result.append((solve(np.array([1.0, 2.0]), STEPS[:2], [*blocks, alone], [plate]), [plate]))
    return result


def test_contradictions_of_honest_sources_are_standard_normal() -> None:
    # Baarda's w-test; the sd of 400 draws scatters by 3.5 %, their mean by 0.05.
    cases = simulated(400, seed=17)
    for w in (
        np.array([solution.contradiction(priors[0]) for solution, priors in cases]),
        np.array([solution.scalar_contradiction("rule") for solution, _ in cases]),
    ):
        assert 0.93 < w.std(ddof=1) < 1.07
        assert abs(w.mean()) < 0.15


def test_a_wrong_prior_contradicts() -> None:
    blocks, (plate, rule) = noisy_line_with_priors(np.random.default_rng(18))
    wrong = Prior("plate", 0, plate.mean + 1.0, plate.sd)
    assert abs(solve(np.zeros(2), STEPS[:2], blocks, [wrong, rule]).contradiction(wrong)) > 5


def test_the_covariance_of_a_curved_model_is_that_of_monte_carlo() -> None:
    # The GUM's law of propagation against its Supplement 1: within 5 %; 1500 draws scatter by 1.8 %.
    rng, draws = np.random.default_rng(19), []
    for _ in range(1500):
        y = true_decay() + rng.normal(0, 0.1, X.size)
        prior = Prior("plate", 2, 0.5 + rng.normal(0, 0.05), 0.05)
        draws.append(solve(DECAY, STEPS, [decay(y, 0.1)], [prior], iterations=7).theta)
    told = solve(DECAY, STEPS, [decay(true_decay(), 0.1)], [Prior("plate", 2, 0.5, 0.05)])
    gradients = [*np.eye(3), np.array([0.3, -2.0, 1.0])]
    for gradient in gradients:
        seen = float(np.std(np.array(draws) @ gradient, ddof=1))
        assert np.sqrt(told.variance(gradient)) == pytest.approx(seen, rel=0.05)


def test_a_parameter_that_no_source_uses_is_refused() -> None:
    with pytest.raises(np.linalg.LinAlgError):
        solve(np.zeros(3), STEPS, [straight(1 + X, 0.2)], [])


def test_two_parameters_of_which_only_the_sum_is_told_are_refused() -> None:
    both = Observations("points", lambda theta: (theta[0] + theta[2] + theta[1] * X - X) / 0.2, [0, 1, 2])
    with pytest.raises(np.linalg.LinAlgError, match="Singular"):
        solve(np.zeros(3), STEPS, [both], [])
