"""Uncertainty against the worked examples of the GUM and its Supplement 1."""

import math

import numpy as np
import pytest
from numpy.typing import NDArray

from vision.uncertainty import (
    Distribution,
    Quantity,
    Sampler,
    chi_squared_above,
    combine,
    coverage_factor,
    effective_dof,
    linear_budget,
    monte_carlo,
    propagate,
    rectangular_u,
    second_order_variance,
)

# JCGM 100:2008 H.1, end gauge, all in nm and °C: value, u, degrees of freedom (read).
END_GAUGE = {
    "l_s": Quantity(50_000_623.0, 25.0, 18),
    "d": Quantity(215.0, 5.8, 24),
    "d1": Quantity(0.0, 3.9, 5),
    "d2": Quantity(0.0, 6.7, 8),
    "alpha_s": Quantity(11.5e-6, 1.2e-6),
    "theta": Quantity(-0.1, 0.41),
    "delta_alpha": Quantity(0.0, 0.58e-6, 50),
    "delta_theta": Quantity(0.0, 0.029, 2),
}


def end_gauge(
    *,
    l_s: float,
    d: float,
    d1: float,
    d2: float,
    alpha_s: float,
    theta: float,
    delta_alpha: float,
    delta_theta: float,
) -> float:
    return l_s + d + d1 + d2 - l_s * (delta_alpha * theta + alpha_s * delta_theta)


def test_end_gauge_length_and_combined_uncertainty() -> None:
    # JCGM 100:2008 H.1.5, H.1.8 (read): 50.000838 mm, 32 nm, 31.66 nm unrounded.
    budget = linear_budget(end_gauge, END_GAUGE)
    assert budget.value == pytest.approx(50_000_838, abs=0.5)
    # The printed inputs carry two digits; 31.66 comes from less rounded ones.
    assert budget.u == pytest.approx(31.66, abs=0.1)


def test_end_gauge_contributions_are_the_tabled_ones() -> None:
    # JCGM 100:2008 Table H.1 (from memory): 25, 9.7 from the three differences
    # together, 0, 0, 2.9, 16.6 nm.
    c = linear_budget(end_gauge, END_GAUGE).contributions
    tabled = [c["l_s"], combine([c["d"], c["d1"], c["d2"]]), c["alpha_s"], c["theta"]]
    assert tabled == pytest.approx([25, 9.7, 0, 0], abs=0.05)
    assert [abs(c["delta_alpha"]), abs(c["delta_theta"])] == pytest.approx([2.9, 16.6], abs=0.1)


def test_end_gauge_effective_degrees_of_freedom_and_expanded_uncertainty() -> None:
    # JCGM 100:2008 H.1.6 (from memory): 16.75 truncated to 16, t99 = 2.92, U99 = 93 nm.
    # H.1 takes the three differences together as one of 25.6 degrees of freedom.
    c = linear_budget(end_gauge, END_GAUGE).contributions
    differences = ["d", "d1", "d2"]
    own = effective_dof([c[n] for n in differences], [END_GAUGE[n].dof for n in differences])
    joined = combine(c[name] for name in differences)
    # H.1.3.2 (from memory) rounds their joined u to 9.7 nm before its fourth power: 25.6.
    assert own * (9.7 / joined) ** 4 == pytest.approx(25.6, abs=0.05)
    dof = effective_dof([c["l_s"], joined, c["delta_alpha"], c["delta_theta"]], [18, own, 50, 2])
    assert math.floor(dof) == 16
    # H.1.6 enters the rounded contributions of its table: 16.75.
    assert effective_dof([25, 9.7, 2.9, 16.6], [18, 25.6, 50, 2]) == pytest.approx(16.75, abs=0.02)
    factor = coverage_factor(math.floor(dof), 0.99)
    assert factor == pytest.approx(2.92, abs=0.005)
    assert factor * linear_budget(end_gauge, END_GAUGE).u == pytest.approx(93, abs=1)


def test_taking_the_differences_one_by_one_gives_the_same_degrees_of_freedom() -> None:
    # Welch–Satterthwaite nests: JCGM 100:2008 G.4.1.
    c = linear_budget(end_gauge, END_GAUGE).contributions
    differences = ["d", "d1", "d2"]
    own = effective_dof([c[n] for n in differences], [END_GAUGE[n].dof for n in differences])
    joined = combine(c[n] for n in differences)
    nested = effective_dof([c["l_s"], joined, c["delta_alpha"], c["delta_theta"]], [18, own, 50, 2])
    assert linear_budget(end_gauge, END_GAUGE).dof == pytest.approx(nested, rel=1e-9)


def test_end_gauge_with_second_order_terms() -> None:
    # JCGM 100:2008 H.1.7 (read): 34 nm; its terms l_S u(δα) u(θ) and l_S u(α_S) u(δθ), computed.
    more = second_order_variance(end_gauge, END_GAUGE)
    terms = [END_GAUGE["l_s"].value * 0.58e-6 * 0.41, END_GAUGE["l_s"].value * 1.2e-6 * 0.029]
    assert math.sqrt(more) == pytest.approx(combine(terms), rel=1e-4)
    total = math.sqrt(linear_budget(end_gauge, END_GAUGE).u ** 2 + more)
    assert total == pytest.approx(34, abs=0.5)


def test_second_order_terms_of_a_square_are_those_of_the_normal_distribution() -> None:
    # x² of x ~ N(3, 0.2): variance 4 μ² σ² + 2 σ⁴, a textbook moment.
    more = second_order_variance(lambda x: x * x, {"x": Quantity(3.0, 0.2)})
    assert more == pytest.approx(2 * 0.2**4, rel=1e-9)


def test_second_order_terms_of_a_cube_are_those_of_the_normal_distribution() -> None:
    # x³ of x ~ N(μ, σ): variance 9 μ⁴ σ² + 36 μ² σ⁴ + 15 σ⁶, a textbook moment; σ/μ is small here.
    more = second_order_variance(lambda x: x**3, {"x": Quantity(2.0, 0.02)})
    assert more == pytest.approx(36 * 2.0**2 * 0.02**4, rel=1e-3)


def scaled_t(mean: float, scale: float, dof: float) -> Sampler:
    return lambda rng, n: mean + scale * rng.standard_t(dof, n)


def rectangular(low: float, high: float) -> Sampler:
    return lambda rng, n: rng.uniform(low, high, n)


def normal(mean: float, u: float) -> Sampler:
    return lambda rng, n: rng.normal(mean, u, n)


def curvilinear_trapezoid(low: float, high: float, doubt: float) -> Sampler:
    """Rectangle whose ends are themselves uncertain by ± doubt (JCGM 101:2008 6.4.3)."""

    def draw(rng: np.random.Generator, n: int) -> NDArray[np.float64]:
        start = rng.uniform(low - doubt, low + doubt, n)
        return start + (low + high - 2 * start) * rng.uniform(0, 1, n)

    return draw


def cyclic(half_width: float) -> Sampler:
    return lambda rng, n: half_width * np.sin(rng.uniform(0, 2 * np.pi, n))


def test_end_gauge_by_monte_carlo() -> None:
    # JCGM 101:2008 9.5 Table 11 (read): 838 nm, u 36 nm, 99 % interval [745, 932] nm.
    # The input distributions are those of its Table 10 (from memory).
    samplers = {
        "l_s": scaled_t(50_000_623, 25, 18),
        "d": scaled_t(215, 6, 24),
        "d1": scaled_t(0, 4, 5),
        "d2": scaled_t(0, 7, 8),
        "alpha_s": rectangular(9.5e-6, 13.5e-6),
        "theta_0": normal(-0.1, 0.2),
        "swing": cyclic(0.5),
        "delta_alpha": curvilinear_trapezoid(-1.0e-6, 1.0e-6, 0.1e-6),
        "delta_theta": curvilinear_trapezoid(-0.050, 0.050, 0.025),
    }

    def deviation(*, theta_0: NDArray[np.float64], swing: NDArray[np.float64], **rest: NDArray[np.float64]):
        return end_gauge(theta=theta_0 + swing, **rest) - 50_000_000

    result = monte_carlo(deviation, samplers, 1_000_000, seed=9)
    assert result.mean == pytest.approx(838, abs=0.6)  # half its last digit, and 0.1 of sampling
    assert result.u == pytest.approx(36, abs=0.5)
    # Sampling adds 0.25 nm (sd) to an end of the 99 % interval at a million draws.
    for kind in ("symmetric", "shortest"):
        assert result.interval(0.99, kind) == pytest.approx((745, 932), abs=1.3)


@pytest.mark.parametrize(
    ("samplers", "u", "half_width", "last_digit"),
    [
        # JCGM 101:2008 9.2 Tables 2, 3 and 4 (from memory).
        ([normal(0, 1)] * 4, 2.00, 3.92, 0.01),
        ([rectangular(-math.sqrt(3), math.sqrt(3))] * 4, 2.00, 3.88, 0.01),
        (
            [rectangular(-math.sqrt(3), math.sqrt(3))] * 3
            + [rectangular(-10 * math.sqrt(3), 10 * math.sqrt(3))],
            10.1,
            17.0,
            0.1,
        ),
    ],
)
def test_sum_of_four_inputs(samplers: list[Sampler], u: float, half_width: float, last_digit: float) -> None:
    named = {f"x{i}": sampler for i, sampler in enumerate(samplers)}
    result = monte_carlo(lambda **x: sum(x.values()), named, 1_000_000, seed=92)
    low, high = result.interval(0.95)
    assert result.u == pytest.approx(u, abs=last_digit)
    # Half a last digit, and three times the 0.004 of sampling (normal case).
    assert (high - low) / 2 == pytest.approx(half_width, abs=last_digit / 2 + 0.012)


def test_the_linear_budget_overstates_the_interval_of_one_dominant_rectangle() -> None:
    # JCGM 101:2008 9.2.4 (from memory): ±19.8 by the GUM where ±17.0 is right.
    names = {"a": 1.0, "b": 1.0, "c": 1.0, "d": 10.0}
    budget = linear_budget(lambda **x: sum(x.values()), {n: Quantity(0.0, u) for n, u in names.items()})
    assert budget.u == pytest.approx(10.1, abs=0.05)
    assert coverage_factor() * budget.u == pytest.approx(19.9, abs=0.1)


def test_a_skewed_distribution_has_a_shorter_shortest_interval() -> None:
    # Exponential of mean 1: symmetric [−ln 0.975, −ln 0.025], shortest [0, −ln 0.05] (closed form).
    draws = monte_carlo(lambda x: x, {"x": lambda rng, n: rng.exponential(1.0, n)}, 400_000, seed=77)
    symmetric = (-math.log(0.975), -math.log(0.025))
    assert draws.interval(0.95) == pytest.approx(symmetric, abs=0.03)
    assert draws.interval(0.95, "shortest") == pytest.approx((0, -math.log(0.05)), abs=0.03)


def test_interval_ends_are_the_order_statistics_of_the_supplement() -> None:
    # JCGM 101:2008 7.7: q = 95 of 100 draws; r = (100 − 95 + 1)/2 = 3, so y(3) and y(98).
    assert Distribution(np.arange(1.0, 101.0)).interval(0.95) == (3.0, 98.0)


def test_too_few_draws_for_an_interval_are_refused() -> None:
    with pytest.raises(ValueError, match=r"10 draws cannot tell a 0\.99 interval"):
        Distribution(np.arange(10.0)).interval(0.99)


def test_the_same_seed_gives_the_same_draws() -> None:
    first, again, other = (monte_carlo(lambda x: x, {"x": normal(0, 1)}, 50, seed=s) for s in (1, 1, 2))
    assert np.array_equal(first.draws, again.draws)
    assert not np.array_equal(first.draws, other.draws)


def test_a_function_that_fails_for_some_draws_is_refused() -> None:
    with pytest.raises(ValueError, match="must give 100 finite numbers"):
        monte_carlo(lambda x: np.where(x > 0, x, np.nan), {"x": normal(0, 1)}, 100, seed=3)


def test_propagation_with_correlation_one_adds_and_subtracts_plainly() -> None:
    # JCGM 100:2008 5.2.2 note 1: fully correlated contributions add linearly.
    covariance = np.outer([3.0, 4.0], [3.0, 4.0])
    assert propagate([1, 1], covariance) == pytest.approx(7.0)
    assert propagate([1, -1], covariance) == pytest.approx(1.0)
    assert propagate([4, -3], covariance) == 0.0


def test_propagation_without_correlation_is_the_root_sum_of_squares() -> None:
    assert propagate([1, 1], np.diag([9.0, 16.0])) == pytest.approx(combine([3, 4])) == pytest.approx(5.0)


@pytest.mark.parametrize(
    ("covariance", "words"),
    [
        ([[1.0, 0.0]], "needs a covariance"),
        ([[1.0, 0.5], [0.0, 1.0]], "must be symmetric"),
        ([[1.0, -2.0], [-2.0, 1.0]], "negative variance"),
        ([[1.0, math.nan], [math.nan, 1.0]], "must be finite"),
    ],
)
def test_a_covariance_that_cannot_be_is_refused(covariance: list[list[float]], words: str) -> None:
    with pytest.raises(ValueError, match=words):
        propagate([1.0, 1.0], covariance)


def test_coverage_factors_of_student() -> None:
    # JCGM 100:2008 Table G.2 (from memory): 95 % at 1, 10, 50 and infinitely many.
    factors = [coverage_factor(dof) for dof in (1, 10, 50, math.inf)]
    assert factors == pytest.approx([12.71, 2.23, 2.01, 1.960], abs=0.005)


@pytest.mark.parametrize(("dof", "probability"), [(0.0, 0.95), (5.0, 1.0), (5.0, 0.0)])
def test_an_impossible_coverage_is_refused(dof: float, probability: float) -> None:
    with pytest.raises(ValueError, match="needs 0 < probability < 1 and dof > 0"):
        coverage_factor(dof, probability)


def test_chi_squared_is_that_of_a_table() -> None:
    # The 95 % points of Abramowitz and Stegun's table 26.8 (from memory).
    above = [chi_squared_above(value, dof) for value, dof in ((3.841, 1), (7.815, 3), (18.307, 10))]
    assert above == pytest.approx([0.05] * 3, abs=2e-5)


@pytest.mark.parametrize(("value", "dof"), [(-1.0, 3), (1.0, 0)])
def test_an_impossible_chi_squared_is_refused(value: float, dof: float) -> None:
    with pytest.raises(ValueError, match="needs a value of 0 or more and dof > 0"):
        chi_squared_above(value, dof)


def test_infinite_degrees_of_freedom_stay_infinite() -> None:
    assert effective_dof([1.0, 2.0], [math.inf, math.inf]) == math.inf


def test_a_rectangle_of_known_half_width() -> None:
    # JCGM 100:2008 4.3.7: a/√3, checked against draws.
    draws = np.random.default_rng(5).uniform(-2, 2, 200_000)
    assert rectangular_u(2.0) == pytest.approx(float(draws.std()), abs=0.01)
    with pytest.raises(ValueError, match="half-width must be 0 or more"):
        rectangular_u(-1.0)
