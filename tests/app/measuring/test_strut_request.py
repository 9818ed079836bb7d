"""What a person told beside a photo, from plain JSON to the measurement's keywords."""

from typing import Any

import pytest

from app.errors import UsageError
from app.measuring.strut_request import check_bars, told_by
from vision.card import supplied_cards
from vision.strut import StandOff


@pytest.mark.parametrize(
    ("options", "told"),
    [
        ({}, {}),
        ({"check_bar_mm": [199.8]}, {"check_bar_mm": (199.8, None)}),
        ({"check_bar_mm": [199.8, 30]}, {"check_bar_mm": (199.8, 30.0)}),
        ({"stand_off_mm": -3}, {"stand_off": StandOff(-3.0, 1.0)}),
        ({"stand_off_mm": 12, "stand_off_u_mm": 0.5}, {"stand_off": StandOff(12.0, 0.5)}),
        ({"stand_off_u_mm": 0.5}, {}),
        (
            {"pressure_kpa": 5100, "pressure_u_kpa": 40.0},
            {"pressure_kpa": 5100.0, "pressure_u_kpa": 40.0},
        ),
    ],
)
def test_what_was_told_reaches_the_measurement(options: dict[str, Any], told: dict[str, Any]) -> None:
    assert told_by(options) == told


@pytest.mark.parametrize(
    ("options", "words"),
    [
        ({"bars": 1}, "options knows check_bar_mm, pressure_kpa, .* not bars"),
        ({"check_bar_mm": [1.0, 2.0, 3.0]}, "one or two lengths"),
        ({"check_bar_mm": ["200"]}, "a finite number was expected, not '200'"),
        ({"stand_off_mm": float("nan")}, "a finite number was expected"),
        ({"stand_off_mm": 1.0, "stand_off_u_mm": 0}, "above 0, not 0"),
        ({"pressure_kpa": True}, "a finite number was expected, not True"),
    ],
)
def test_what_cannot_be_meant_is_refused(options: dict[str, Any], words: str) -> None:
    with pytest.raises(ValueError, match=words):
        told_by(options)


def test_bars_of_no_card_are_named_as_the_person_knows_them() -> None:
    with pytest.raises(UsageError, match=r"^a check bar of 7\.87 mm belongs to none of the cards"):
        check_bars(supplied_cards(), (7.87, None), "a check bar of")
