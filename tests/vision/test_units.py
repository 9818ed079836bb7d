"""Inches, fractions and mm, read and printed."""

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from vision.units import format_inch_fraction, format_mm, format_reading, parse_length_mm


@pytest.mark.parametrize(
    ("text", "mm"),
    [
        ("84.1 mm", 84.1),
        ("84mm", 84.0),
        ("3.31 in", 84.074),
        ("3 5/16 in", 84.1375),
        ('3-5/16"', 84.1375),
        ("3 5/16 IN.", 84.1375),
        ("3½ in", 88.9),
        ("5/16 inch", 7.9375),
        (".25 in", 6.35),
        ("-1/4 in", -6.35),
        ("1 3/32''", 27.78125),
    ],
)
def test_a_length_is_read_exactly(text: str, mm: float) -> None:
    # 1 in = 25.4 mm exactly, so each value is a short decimal.
    assert parse_length_mm(text) == mm


@pytest.mark.parametrize(
    "text", ["", "84.1", "3 5/16", "84,1 mm", "1e3 mm", "nan mm", "inf in", "3 ft", "3 5/16 in or so", "mm"]
)
def test_what_is_not_one_length_with_its_unit_is_refused(text: str) -> None:
    with pytest.raises(ValueError, match='is not a length: write a number and "mm" or "in"'):
        parse_length_mm(text)


def test_a_very_long_text_is_refused() -> None:
    with pytest.raises(ValueError, match="is not a length"):
        parse_length_mm("9" * 1000 + " mm")


def test_a_fraction_of_a_mm_is_refused() -> None:
    with pytest.raises(ValueError, match="write mm with a decimal point"):
        parse_length_mm("3 5/16 mm")


@pytest.mark.parametrize("text", ["35/16 in", "3 16/16 in", "3 5/0 in"])
def test_a_fraction_that_is_not_proper_is_refused_because_a_gap_may_be_lost(text: str) -> None:
    with pytest.raises(ValueError, match="holds no proper fraction"):
        parse_length_mm(text)


@given(st.integers(-2000, 2000), st.sampled_from([2, 4, 8, 16, 32, 64]))
def test_a_printed_fraction_reads_back_as_itself(steps: int, denominator: int) -> None:
    mm = float(Fraction(steps, denominator) * Fraction(127, 5))
    assert parse_length_mm(format_inch_fraction(mm, denominator)) == mm


@pytest.mark.parametrize(
    ("mm", "denominator", "text"),
    [
        (84.14, 16, "3 5/16 in"),
        (76.2, 16, "3 in"),
        (7.9375, 16, "5/16 in"),
        (84.1375, 8, "3 1/4 in"),  # half-way between 3 1/4 and 3 3/8: to even
        (-6.35, 16, "-1/4 in"),
        (0.0, 16, "0 in"),
        (0.3, 64, "1/64 in"),
    ],
)
def test_a_fraction_is_the_nearest_in_lowest_terms(mm: float, denominator: int, text: str) -> None:
    assert format_inch_fraction(mm, denominator) == text


def test_a_denominator_must_be_positive() -> None:
    with pytest.raises(ValueError, match="must be positive, got 0"):
        format_inch_fraction(10.0, 0)


def test_mm_are_printed_without_a_minus_before_zero() -> None:
    assert (format_mm(84.1375), format_mm(-0.001), format_mm(84.0, 1)) == ("84.14 mm", "0.00 mm", "84.0 mm")


@pytest.mark.parametrize(
    ("value", "doubt", "unit", "text"),
    [
        (84.1375, 0.243, "mm", "84.14 mm ± 0.25 mm"),
        (84.1375, 0.31, "mm", "84.1 mm ± 0.4 mm"),
        (84.1375, 0.3, "mm", "84.1 mm ± 0.3 mm"),
        (84.1375, 0.1 + 0.2, "mm", "84.1 mm ± 0.3 mm"),
        (84.1375, 0.96, "mm", "84.1 mm ± 1.0 mm"),
        (84.1375, 2.91, "mm", "84.1 mm ± 3.0 mm"),
        (84.1375, 12.3, "mm", "84 mm ± 13 mm"),
        (1234.0, 345.0, "mm", "1200 mm ± 400 mm"),
        (-0.004, 0.3, "deg", "0.0° ± 0.3°"),
        (0.3512, 0.0199, "1", "0.351 ± 0.020"),
    ],
)
def test_value_and_uncertainty_are_printed_by_the_written_rule(
    value: float, doubt: float, unit: str, text: str
) -> None:
    assert format_reading(value, doubt, unit) == text


def test_the_resistance_example_of_the_guide_is_rounded_up() -> None:
    # JCGM 100:2008 7.2.6: u_c(y) = 10.47 mΩ "might be rounded up to 11 mΩ" (from memory).
    assert format_reading(1000.0, 10.47, "mΩ") == "1000 mΩ ± 11 mΩ"


@given(st.floats(-1e4, 1e4), st.floats(1e-6, 1e4))
def test_a_printed_uncertainty_is_never_smaller_and_not_a_third_larger(value: float, doubt: float) -> None:
    shown = float(format_reading(value, doubt, "mm").split(" ± ")[1].removesuffix(" mm"))
    assert doubt * (1 - 2e-9) <= shown < doubt * (1 + 1 / 3 + 1e-9)


@pytest.mark.parametrize("doubt", [0.0, -1.0])
def test_an_uncertainty_that_is_not_positive_is_not_printed(doubt: float) -> None:
    with pytest.raises(ValueError, match="must be positive to be printed"):
        format_reading(84.0, doubt, "mm")


def test_what_is_not_finite_is_not_printed() -> None:
    with pytest.raises(ValueError, match="only finite numbers"):
        format_reading(float("nan"), 1.0, "mm")
