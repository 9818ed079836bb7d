"""Verdicts and conformance probabilities against JCGM 106:2012."""

import math

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st
from scipy import integrate, optimize, stats

from vision.results import Limits, Verdict
from vision.verdict import conformance_probability, judge

LIMITS = Limits(79.38, 90.49)

numbers = st.floats(-1e3, 1e3)
doubts = st.floats(0, 1e3)
bounds = st.one_of(st.none(), numbers)


@st.composite
def limit_pairs(draw: st.DrawFn) -> Limits:
    lower, upper = draw(bounds), draw(bounds)
    assume(lower is not None or upper is not None)
    assume(lower is None or upper is None or lower <= upper)
    return Limits(lower, upper)


# --- JCGM 106:2012, numbers --------------------------------------------------


def test_breakdown_voltage_of_a_diode_with_an_upper_limit() -> None:
    # JCGM 106:2012 7.4 (from memory): -5.47 V, u 0.05 V, T_U -5.40 V: 0.92.
    assert conformance_probability(-5.47, 0.05, Limits(upper=-5.40)) == pytest.approx(0.92, abs=0.005)


def test_burst_pressure_with_a_lower_limit() -> None:
    # JCGM 106:2012 7.4 (from memory): 509.7, u 8.6, T_L 490: 0.99.
    assert conformance_probability(509.7, 8.6, Limits(lower=490)) == pytest.approx(0.99, abs=0.005)


def test_viscosity_between_two_limits() -> None:
    # JCGM 106:2012 7.5 (from memory): 13.6, u 1.8, 12.5 to 16.3: 0.66.
    assert conformance_probability(13.6, 1.8, Limits(12.5, 16.3)) == pytest.approx(0.66, abs=0.005)


@pytest.mark.parametrize(
    ("probability", "z"),
    [(0.80, 0.8416), (0.90, 1.2816), (0.95, 1.6449), (0.99, 2.3263), (0.999, 3.0902)],
)
def test_distance_to_one_limit_that_gives_a_conformance_probability(probability: float, z: float) -> None:
    # JCGM 106:2012 7.3 Table 1 (from memory; computed).  z has 4 decimals.
    u = 0.25
    assert conformance_probability(90.0 - z * u, u, Limits(upper=90.0)) == pytest.approx(
        probability, abs=0.00005 * stats.norm.pdf(z) + 1e-12
    )
    assert conformance_probability(90.0 + z * u, u, Limits(lower=90.0)) == pytest.approx(
        probability, abs=0.00005 * stats.norm.pdf(z) + 1e-12
    )


def test_a_guard_band_of_two_u_leaves_a_fortieth_of_false_acceptance_at_most() -> None:
    # JCGM 106:2012 8.3.2 (computed): w = 2 u at one limit, at most 2.275 %.
    u, limits = 0.25, Limits(upper=90.49)
    at_acceptance_limit = 90.49 - 2 * u
    assert 1 - conformance_probability(at_acceptance_limit, u, limits) == pytest.approx(0.02275, abs=5e-6)
    assert judge(at_acceptance_limit - 1e-9, 2 * u, limits) is Verdict.WITHIN
    assert judge(at_acceptance_limit + 1e-9, 2 * u, limits) is Verdict.UNDECIDED


class TestBallBearings:
    """JCGM 106:2012 9.5.4 (read): gamma(4, 4/µm) prior of the form error, T_U 2 µm, u_m 0.25 µm."""

    prior = stats.gamma(4, scale=1 / 4)
    tolerance_um = 2.0
    u_um = 0.25

    def consumers_risk(self, acceptance_um: float) -> float:
        """Share of all bearings that do not conform and read below the acceptance limit."""

        def density(true_um: float) -> float:
            accepted = conformance_probability(true_um, self.u_um, Limits(upper=acceptance_um))
            return float(self.prior.pdf(true_um)) * accepted

        return float(integrate.quad(density, self.tolerance_um, 8.0, epsabs=1e-12)[0])

    def test_share_that_does_not_conform(self) -> None:
        assert self.prior.sf(self.tolerance_um) == pytest.approx(0.04238, abs=5e-6)

    def test_consumers_risk_without_a_guard_band(self) -> None:
        assert self.consumers_risk(self.tolerance_um) == pytest.approx(0.00802, abs=5e-6)

    def test_acceptance_limit_for_a_risk_of_one_in_a_thousand(self) -> None:
        limit = optimize.brentq(lambda a: self.consumers_risk(a) - 0.001, 1.0, 2.0, xtol=1e-7)
        assert limit == pytest.approx(1.6718, abs=5e-5)


# --- the rule ----------------------------------------------------------------


@pytest.mark.parametrize(
    ("value", "doubt", "verdict"),
    [
        (84.14, 0.25, Verdict.WITHIN),
        (79.64, 0.25, Verdict.WITHIN),
        (79.62, 0.25, Verdict.UNDECIDED),
        (79.38, 0.25, Verdict.UNDECIDED),
        (79.14, 0.25, Verdict.UNDECIDED),
        (79.12, 0.25, Verdict.OUTSIDE),
        (90.73, 0.25, Verdict.UNDECIDED),
        (90.75, 0.25, Verdict.OUTSIDE),
        (84.14, 6.0, Verdict.UNDECIDED),
        (84.14, 100.0, Verdict.UNDECIDED),
    ],
)
def test_within_and_outside_need_the_whole_interval(value: float, doubt: float, verdict: Verdict) -> None:
    assert judge(value, doubt, LIMITS) is verdict


def test_a_limit_that_is_not_given_is_not_held_against_the_value() -> None:
    assert judge(500.0, 0.25, Limits(lower=79.38)) is Verdict.WITHIN
    assert judge(-500.0, 0.25, Limits(upper=90.49)) is Verdict.WITHIN
    assert judge(500.0, 0.25, Limits(upper=90.49)) is Verdict.OUTSIDE


@pytest.mark.parametrize("limits", [None, Limits()])
def test_without_limits_there_is_no_verdict(limits: Limits | None) -> None:
    assert judge(84.14, 0.25, limits) is None


def test_nothing_is_rounded_before_it_is_compared() -> None:
    # All three print as 90.49 ± 0.25 mm against 90.74 mm.
    limits = Limits(upper=90.74)
    assert judge(90.4900, 0.25, limits) is Verdict.WITHIN
    assert judge(90.4901, 0.25, limits) is Verdict.UNDECIDED
    assert judge(90.4900, 0.2501, limits) is Verdict.UNDECIDED


@given(numbers, doubts, limit_pairs())
def test_the_verdict_is_the_interval_against_the_limits(value: float, doubt: float, limits: Limits) -> None:
    low, high = value - doubt, value + doubt
    inside = (limits.lower is None or low >= limits.lower) and (limits.upper is None or high <= limits.upper)
    outside = (limits.lower is not None and high < limits.lower) or (
        limits.upper is not None and low > limits.upper
    )
    assert not (inside and outside)
    verdict = judge(value, doubt, limits)
    assert (verdict is Verdict.WITHIN, verdict is Verdict.OUTSIDE) == (inside, outside)


@given(numbers, doubts, doubts, limit_pairs())
def test_more_doubt_never_decides_what_less_doubt_did_not(
    value: float, doubt: float, more: float, limits: Limits
) -> None:
    before, after = judge(value, doubt, limits), judge(value, doubt + more, limits)
    assert after in (before, Verdict.UNDECIDED)


@given(numbers, doubts, limit_pairs())
def test_the_mirror_image_gets_the_same_verdict(value: float, doubt: float, limits: Limits) -> None:
    mirrored = Limits(
        None if limits.upper is None else -limits.upper, None if limits.lower is None else -limits.lower
    )
    assert judge(-value, doubt, mirrored) is judge(value, doubt, limits)


@given(numbers, st.floats(1e-3, 1e3), limit_pairs())
def test_within_means_a_conformance_probability_of_95_percent_and_more(
    value: float, u: float, limits: Limits
) -> None:
    probability = conformance_probability(value, u, limits)
    assert 0 <= probability <= 1
    verdict = judge(value, 1.959964 * u, limits)
    if verdict is Verdict.WITHIN:
        assert probability >= 0.95 - 1e-7
    if verdict is Verdict.OUTSIDE:
        assert probability <= 0.025 + 1e-7


@pytest.mark.parametrize(
    ("value", "doubt", "limits", "words"),
    [
        (math.nan, 1.0, LIMITS, "only finite numbers can be judged"),
        (84.0, math.inf, LIMITS, "only finite numbers can be judged"),
        (84.0, 1.0, Limits(upper=math.nan), "only finite numbers can be judged"),
        (84.0, -1.0, LIMITS, "cannot be negative"),
        (84.0, 1.0, Limits(91.0, 90.0), "lower limit 91.0 is above the upper limit 90.0"),
    ],
)
def test_what_cannot_be_judged_is_refused(value: float, doubt: float, limits: Limits, words: str) -> None:
    with pytest.raises(ValueError, match=words):
        judge(value, doubt, limits)


def test_a_conformance_probability_needs_doubt() -> None:
    with pytest.raises(ValueError, match="standard uncertainty above 0"):
        conformance_probability(84.0, 0.0, LIMITS)
