from typing import Any

import pytest

from app.practice import Case, Choice, Practice
from app.screens.practice import NOT_A_RECORD
from tests.app.records_house import House
from tests.app.screens.looking import Open, press, said


@pytest.fixture
def practice(house: House) -> Practice:
    return Practice(house.archive.practice)


def turn(practice: Practice, house: House) -> Case:
    found = practice.next_case(house.mechanic.id)
    assert found is not None
    return found


def until(practice: Practice, house: House, *, usable: bool, wrong: bool) -> Case:
    """Answer cases until such a one has its turn."""
    for _ in range(200):
        case = turn(practice, house)
        if case.is_usable is usable and practice.shown(house.mechanic.id, case).is_wrong is wrong:
            return case
        practice.answer(house.mechanic.id, case.name, Choice.NO_VALUE)
    raise AssertionError


def placed(monkeypatch: pytest.MonkeyPatch, case: Case) -> None:
    def both(*_: Any, **__: Any) -> tuple[Any, ...]:
        return (case.from_px, case.to_px)

    monkeypatch.setattr("app.screens.practice.place_points", both)


def test_the_machine_s_value_is_not_there_before_the_own_reading(
    open_page: Open, house: House, practice: Practice
) -> None:
    text = said(open_page("practice", house.mechanic))
    assert NOT_A_RECORD in text
    assert "Read it yourself first" in text
    assert "A machine says" not in text
    assert f"{turn(practice, house).truth_mm:.2f}" not in text


def test_a_wrong_value_that_was_followed_is_said_at_once_and_counted(
    open_page: Open, house: House, practice: Practice, monkeypatch: pytest.MonkeyPatch
) -> None:
    case = until(practice, house, usable=True, wrong=True)
    placed(monkeypatch, case)
    app = open_page("practice", house.mechanic)
    assert "A machine says" in said(app)
    made = practice.last(house.mechanic.id)
    press(app, "It stands")
    last = practice.last(house.mechanic.id)
    assert last is not None
    assert last != made
    text = said(open_page("practice", house.mechanic, answered=last.id))
    assert "Not right" in text
    assert "wrong, and you let it stand" in text
    assert "wrong on purpose" in text
    assert f"{case.truth_mm:.2f} mm" in text
    assert "a hit" in text
    assert "1 of 1" in text


def test_a_photo_without_a_value_is_recognised(open_page: Open, house: House, practice: Practice) -> None:
    case = until(practice, house, usable=False, wrong=True)
    press(open_page("practice", house.mechanic), "It gives no value")
    last = practice.last(house.mechanic.id)
    assert last is not None
    text = said(open_page("practice", house.mechanic, answered=last.id))
    assert "and you saw it" in text
    assert case.why_unusable in text
    assert "The machine's value" not in text


def test_without_the_pictures_the_page_says_where_they_are(
    open_page: Open, house: House, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("app.practice.service.cases", tuple)
    assert "come with a clone" in said(open_page("practice", house.mechanic))
