"""Where the tire's own shadow on the ground ends is not where the tire stands."""

from dataclasses import replace

import numpy as np
import pytest

from vision.tire.contact import Contact
from vision.tire.crevice import STEP_MM, deepest, gap_above
from vision.tire.profile import Ground, Shape

OFF = np.arange(-28.0, 4.1, STEP_MM)
SHAPE = Shape(95.0, 445.0, 160.0, 10.0)
PX_PER_MM = 3.0


def across(deep_mm: float, rubber: float, edge: float = 1.0) -> np.ndarray:
    """ln(light) (40, M): rubber, darkest `deep_mm` above the shadow's edge at 0, then the ground."""
    below = np.clip((OFF + deep_mm) / max(deep_mm, 0.5), 0, 1)
    shadow = np.where(-deep_mm > OFF, np.clip((-deep_mm - OFF) / 6.0, 0, 1) * rubber, 0.7 * below)
    return np.tile(-5.0 + shadow + edge * (OFF > 0), (40, 1))


def test_a_contact_whose_dark_line_is_its_own_stays_where_it_was_read() -> None:
    gap, _ = gap_above(across(1.0, 0.6), OFF, PX_PER_MM, SHAPE)
    assert gap == 0.0


@pytest.mark.parametrize("deep", [5.5, 7.0, 8.0])
def test_a_deep_gap_is_told_by_its_depth(deep: float) -> None:
    log = across(deep, 0.6)
    gap, is_one = gap_above(log, OFF, PX_PER_MM, SHAPE)
    assert is_one
    assert gap == pytest.approx(deep, abs=0.8)
    assert np.nanmedian(deepest(log, OFF, gap)) == pytest.approx(-deep, abs=0.8)


def test_what_has_no_lighter_rubber_above_it_is_no_gap() -> None:
    gap, is_one = gap_above(across(7.0, 0.0), OFF, PX_PER_MM, SHAPE)
    assert gap > 0
    assert not is_one


def test_a_line_painted_above_the_gap_is_not_its_depth() -> None:
    log = across(7.0, 0.6)
    log[:, np.abs(OFF + 20.0) < 1.5] = -6.5
    gap, _ = gap_above(log, OFF, PX_PER_MM, SHAPE)
    assert gap == pytest.approx(7.0, abs=0.8)


def test_a_dark_line_on_rubber_as_light_as_above_the_ground_is_no_gap() -> None:
    log = across(1.0, 0.0)
    log[:, np.abs(OFF + 7.0) < 1.5] = -6.5
    assert gap_above(log, OFF, PX_PER_MM, SHAPE)[0] == 0.0


def test_a_contact_read_in_a_gap_is_less_surely_known() -> None:
    read = Contact(np.zeros((2, 2)), np.zeros(2), 0.1, Ground(np.array([0.0, 1.0]), 180.0), 1.0, 0.5)
    assert replace(read, gap_mm=8.0).parting_u_mm > 2 * read.parting_u_mm
