"""The gauge's rules held against published and computed values."""

import math

import pytest

from vision.gauge import Pressure, at_temperature, loss_per_day, to_loaded, to_unloaded
from vision.units import PSI_KPA


def celsius(fahrenheit: float) -> float:
    return (fahrenheit - 32) / 1.8


def test_five_fahrenheit_are_0_964_per_cent_of_the_absolute_pressure_at_59_f() -> None:
    # 0.964 % of absolute pressure at 59 °F (computed, gas law).
    absolute = 500.0
    warmer = at_temperature(Pressure(absolute - 100), celsius(59), celsius(64), ambient_kpa=100.0)
    assert (warmer.kpa + 100) / absolute - 1 == pytest.approx(0.00964, abs=5e-6)


def test_five_fahrenheit_are_1_25_per_cent_of_a_50_psi_gauge_reading() -> None:
    # 1.25 % of a 50 psi gauge reading (computed, gas law).
    read = Pressure(50 * PSI_KPA)
    warmer = at_temperature(read, celsius(59), celsius(64))
    assert warmer.kpa / read.kpa - 1 == pytest.approx(0.0125, abs=1e-4)


def test_a_loaded_tire_reads_four_per_cent_more() -> None:
    # FAA-H-8083-31 ch. 13 (read in a derived text): loaded = unloaded × 1.04.
    assert to_loaded(Pressure(500.0, 5.0)) == Pressure(520.0, 5.2)
    assert to_unloaded(to_loaded(Pressure(480.0))).kpa == pytest.approx(480.0)


def test_five_per_cent_in_a_day_are_five_per_cent_in_a_day() -> None:
    # AC 20-97B (read in a quotation): 5 % in 24 h after the stretch.
    assert loss_per_day(Pressure(1000.0), Pressure(950.0), 24.0)[0] == pytest.approx(0.05)


def test_two_days_of_one_leak_are_not_twice_one_day() -> None:
    assert loss_per_day(Pressure(1000.0), Pressure(902.5), 48.0)[0] == pytest.approx(0.05)


def test_a_short_wait_makes_the_loss_doubtful() -> None:
    share, u = loss_per_day(Pressure(1000.0, 5.0), Pressure(1000.0, 5.0), 3.0)
    assert share == 0
    assert u == pytest.approx(8 * math.hypot(0.005, 0.005), rel=1e-9)


def test_the_temperatures_doubt_reaches_the_pressure() -> None:
    cold = at_temperature(Pressure(900.0, 0.0), 30.0, 15.0, temperature_u_c=2.0)
    assert cold.u_kpa == pytest.approx((900 + 101.325) / 303.15 * 2.0)


@pytest.mark.parametrize("kpa", [0.0, -3.0, math.nan, math.inf])
def test_a_pressure_that_cannot_be_is_an_error_that_says_so(kpa: float) -> None:
    with pytest.raises(ValueError, match="cannot be: give kPa above 0"):
        to_unloaded(Pressure(kpa))


def test_a_temperature_below_absolute_zero_is_an_error() -> None:
    with pytest.raises(ValueError, match="give °C above −273"):
        at_temperature(Pressure(500.0), -300.0, 15.0)


def test_no_time_between_two_readings_is_an_error() -> None:
    with pytest.raises(ValueError, match="give more than 0"):
        loss_per_day(Pressure(500.0), Pressure(490.0), 0.0)
