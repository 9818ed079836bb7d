"""Limits from the plate's value or from its chart."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.vision.leg.leg_texts import chart_text, strut_text
from vision.errors import LegError
from vision.leg import StrutData, read_leg
from vision.notes import NO_PRESSURE, PRESSURE_OUTSIDE_CHART, PRESSURE_U_ASSUMED
from vision.units import INCH_MM, PSI_KPA


def strut(text: str) -> StrutData:
    return read_leg(text, "LEG.toml").require_strut()


CHARTED = strut(chart_text())


def limits_at(pressure: float, u: float = 10.0) -> tuple[float | None, float | None, float]:
    told = CHARTED.limits(pressure, u)
    assert told.limits is not None
    return told.limits.lower, told.limits.upper, told.u_mm


def test_without_a_chart_the_limits_are_those_of_the_plate() -> None:
    told = strut(strut_text()).limits(4000.0, 10.0)
    assert told.limits is not None
    assert (told.limits.lower, told.limits.upper, told.u_mm, told.notes) == (79.38, 90.49, 0.0, ())
    assert told.limits.document == "demo manual 32-10-05 rev 3"


def test_a_doubt_written_beside_a_limit_is_carried() -> None:
    assert strut(strut_text(lower_u_mm="0.1", upper_u_mm="0.2")).limits().u_mm == 0.2


def test_chart_limits_lie_about_the_value_between_two_rows() -> None:
    lower, upper, u = limits_at(3250.0)
    assert lower == pytest.approx(105.0 - 6.35)
    assert upper == pytest.approx(105.0 + 6.35)
    assert u == pytest.approx(10.0 * 20 / 1000)


@pytest.mark.parametrize(("pressure", "length"), [(3000.0, 110.0), (4000.0, 90.0), (5000.0, 80.0)])
def test_a_row_of_the_chart_gives_its_own_length(pressure: float, length: float) -> None:
    assert limits_at(pressure)[1] == pytest.approx(length + 6.35)


@given(st.floats(3000.0, 5000.0))
def test_chart_limits_never_leave_the_chart(pressure: float) -> None:
    lower, upper, _ = limits_at(pressure)
    assert lower is not None
    assert upper is not None
    assert 80.0 - 6.35 - 1e-9 <= lower < upper <= 110.0 + 6.35 + 1e-9


def test_near_a_row_the_steeper_side_counts() -> None:
    assert limits_at(4015.0, 10.0)[2] == pytest.approx(10.0 * 20 / 1000)
    assert limits_at(4025.0, 10.0)[2] == pytest.approx(10.0 * 10 / 1000)


def test_the_pressures_doubt_agrees_with_draws() -> None:
    # Outside check: numpy's own interpolation over drawn pressures, seed 41.

    drawn = np.random.default_rng(41).normal(3500.0, 60.0, 100_000)
    lengths = np.interp(drawn, [3000, 4000, 5000], [110, 90, 80])
    assert limits_at(3500.0, 60.0)[2] == pytest.approx(float(lengths.std()), rel=0.02)


def test_a_tables_own_doubt_is_added() -> None:
    doubted = strut(chart_text(extension_u_mm="0.3")).limits(3250.0, 20.0)
    assert doubted.u_mm == pytest.approx(math.hypot(0.4, 0.3))
    also = strut(chart_text(extension_table_u_mm="0.3")).limits(3250.0, 20.0)
    assert also.u_mm == doubted.u_mm


def test_a_pressure_without_its_doubt_takes_two_percent_and_says_so() -> None:
    told = CHARTED.limits(3250.0)
    assert told.u_mm == pytest.approx(0.02 * 3250.0 * 20 / 1000)
    assert told.notes == (PRESSURE_U_ASSUMED,)


def test_without_a_pressure_the_limits_cannot_be_told() -> None:
    told = CHARTED.limits()
    assert (told.limits, told.notes, told.reason) == (None, (NO_PRESSURE,), NO_PRESSURE.text)


@pytest.mark.parametrize("pressure", [2999.9, 5000.1, 550.0])
def test_a_chart_is_never_extrapolated(pressure: float) -> None:
    told = CHARTED.limits(pressure, 10.0)
    assert (told.limits, told.notes) == (None, (PRESSURE_OUTSIDE_CHART,))
    assert "outside the plate's chart" in told.reason


@pytest.mark.parametrize(
    ("pressure", "u"), [(math.nan, 1.0), (math.inf, 1.0), (-3.0, 1.0), (4000.0, -1.0), (4000.0, math.nan)]
)
def test_a_pressure_that_cannot_be_is_an_error(pressure: float, u: float) -> None:
    with pytest.raises(LegError, match=r"a strut pressure of .* cannot be"):
        CHARTED.limits(pressure, u)


def test_a_chart_with_one_limit_is_one_sided() -> None:
    told = strut(chart_text(upper_mm=None)).limits(4000.0, 10.0)
    assert told.limits is not None
    assert (told.limits.lower, told.limits.upper) == (pytest.approx(83.65), None)


def test_the_printed_chart_example_is_met() -> None:
    # NAVEDTRA 14315 fig. 13-15 D (read): 550 psi belongs to 1.75 in.  A second row makes it a chart.
    rows = f"[[{550 * PSI_KPA}, {1.75 * INCH_MM}], [{700 * PSI_KPA}, {1.25 * INCH_MM}]]"
    told = strut(chart_text(extension_table=rows)).limits(550 * PSI_KPA, 10.0)
    assert told.limits is not None
    assert told.limits.upper == pytest.approx(44.45 + 6.35)
