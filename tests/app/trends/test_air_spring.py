"""The air spring against the worked case: 50,000 lb static, stroke 20 in, 375/1500/4500 psi absolute.

Formula of NACA Report 1154 (read in part); the ratios 4:1 and 3:1 from Currey, *Aircraft
Landing Gear Design*, chapter 5 (from memory); the numbers computed by hand from both, with
the load as pressure × area without ambient, as textbooks do.
"""

import math
from dataclasses import replace

import pytest

from app.trends import AirSpring, at_most

IN, LBF, PSI = 25.4, 4.4482216, 6.894757
CASE = AirSpring(
    area_mm2=50_000 / 1500 * IN**2,
    full_volume_mm3=727.2727 * IN**3,
    full_pressure_kpa=375 * PSI,
    stroke_mm=20 * IN,
    temperature_k=293.15,
    ambient_kpa=0.0,
)


@pytest.mark.parametrize(
    ("stroke_in", "load_lb"),
    [(0, 12_500), (4, 15_306), (8, 19_737), (12, 27_778), (16, 46_875), (18, 71_429), (20, 150_000)],
)
def test_the_load_along_the_stroke_is_the_worked_cases(stroke_in: float, load_lb: float) -> None:
    assert CASE.load_n((20 - stroke_in) * IN) / LBF == pytest.approx(load_lb, abs=0.6)


def test_the_extension_left_under_the_static_load_is_two_elevenths_of_the_stroke() -> None:
    assert CASE.extension_mm(50_000 * LBF) / IN == pytest.approx(20 * 2 / 11, abs=0.001)  # 3.636 in


@pytest.mark.parametrize(("share", "inches"), [(1.1, -0.496), (0.9, 0.606)])
def test_a_tenth_more_or_less_load_moves_it_as_computed(share: float, inches: float) -> None:
    moved = CASE.extension_mm(share * 50_000 * LBF) - CASE.extension_mm(50_000 * LBF)
    assert moved / IN == pytest.approx(inches, abs=0.001)


@pytest.mark.parametrize(("kelvin", "inches"), [(1, 0.0186), (-40, -0.744)])
def test_temperature_moves_it_as_computed(kelvin: float, inches: float) -> None:
    moved = CASE.extension_mm(50_000 * LBF, 293.15 + kelvin) - CASE.extension_mm(50_000 * LBF)
    assert moved / IN == pytest.approx(inches, abs=0.0005)


@pytest.mark.parametrize(("extension_in", "share"), [(20.0, 0.039), (20 * 2 / 11, 0.0098)])
def test_leaving_ambient_out_is_490_lb_of_force(extension_in: float, share: float) -> None:
    over = replace(CASE, ambient_kpa=101.325)
    left_out = CASE.load_n(extension_in * IN) - over.load_n(extension_in * IN)
    assert left_out / LBF == pytest.approx(490, abs=1)
    assert left_out / CASE.load_n(extension_in * IN) == pytest.approx(share, abs=0.0005)


def test_read_as_gauge_pressures_the_extension_is_the_traps() -> None:
    # 375, 1500 and 4500 psi taken for gauge readings: 14.7 psi more of each, absolute.  The volume
    # that gives the first at full extension and the last at the end of the stroke is another one.
    first, last, ambient = (375 + 14.696) * PSI, (4500 + 14.696) * PSI, 14.696 * PSI
    swept = CASE.area_mm2 * CASE.stroke_mm
    volume = swept * last / (last - first)
    gauge = replace(CASE, full_pressure_kpa=first, full_volume_mm3=volume, ambient_kpa=ambient)
    assert gauge.extension_mm(50_000 * LBF) / IN == pytest.approx(3.742, abs=0.001)


@pytest.mark.parametrize("n", [1.0, 1.12])
@pytest.mark.parametrize("ambient", [0.0, 101.325])
def test_load_and_extension_are_each_others_inverse(n: float, ambient: float) -> None:
    spring = replace(CASE, n=n, ambient_kpa=ambient)
    for extension in (40.0, 92.4, 250.0, 480.0):
        assert spring.extension_mm(spring.load_n(extension, 270.0), 270.0) == pytest.approx(
            extension, abs=1e-6
        )


def test_the_stops_hold() -> None:
    assert CASE.extension_mm(1.0) == CASE.stroke_mm
    assert CASE.extension_mm(1e9) == 0.0


def test_the_most_that_load_and_temperature_account_for_has_both_ends() -> None:
    static = 50_000 * LBF
    found = at_most(CASE, (0.9 * static, 1.1 * static), (253.15, 293.15), nominal=(static, 293.15))
    assert found.expected_mm == pytest.approx(3.636 * IN, abs=0.02)
    assert found.high_mm == pytest.approx(0.606 * IN, abs=0.02)
    cold_heavy = CASE.extension_mm(1.1 * static, 253.15) - CASE.extension_mm(static, 293.15)
    assert found.low_mm == pytest.approx(cold_heavy)
    assert "force on the strut is the gas pressure less the ambient one" in found.words
    assert found.words.endswith("The verdict stays as it is.")
    assert "at most −" in found.words


@pytest.mark.parametrize(
    ("changed", "words"),
    [
        ({"area_mm2": 0.0}, "are numbers above 0"),
        ({"full_volume_mm3": math.nan}, "are numbers above 0"),
        ({"ambient_kpa": 5000.0}, "ambient lies below the gas pressure"),
        ({"n": 1.4}, "n between 1 and 1.12"),
        ({"full_volume_mm3": 600.0 * IN**3}, "squeeze the gas to nothing"),
    ],
)
def test_a_gas_that_cannot_be_is_refused(changed: dict[str, float], words: str) -> None:
    with pytest.raises(ValueError, match=words):
        replace(CASE, **changed)


@pytest.mark.parametrize("load", [0.0, -1.0, math.inf])
def test_a_load_is_above_nothing(load: float) -> None:
    with pytest.raises(ValueError, match="a load is a number above 0 N"):
        CASE.extension_mm(load)


def test_bounds_that_are_turned_round_are_refused() -> None:
    with pytest.raises(ValueError, match="bounds go from low to high"):
        at_most(CASE, (2.0, 1.0), (280.0, 290.0))
