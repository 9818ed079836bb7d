"""The record of an open visit tells nobody what he may yet have to find himself as the second person."""

from typing import Any

import pytest

from app.inspection import Person
from app.inspection.rounds.record_sight import WITHHELD
from tests.app.records_house import PASSWORD, STATED, WITHIN, House, reading
from tests.app.rounds_house import FAULT, GOOD, RoundHouse, open_round, programme

HIDDEN = ("withheld", WITHHELD, None)


@pytest.fixture
def opened(house: House) -> RoundHouse:
    return open_round(house, programme("hoses", "pressure"))


def told(opened: RoundHouse, person: Person | None, key: str = "pressure") -> tuple[Any, ...]:
    """Finding, words and reading of an item's only answer, as this reader's record has them."""
    record = opened.use.record(opened.visit.id, person)
    (leg,) = (one for one in record["legs"] if one["id"] == opened.house.primary.id)
    (item,) = (one for one in leg["items"] if one["key"] == key)
    (answer,) = item["answers"]
    return answer["finding"], answer["text"], answer["reading"]


def gauge(opened: RoundHouse) -> None:
    opened.answer("pressure", opened.pressed(50.0, opened.gauge()))


def test_a_gauge_reading_is_told_to_who_took_it_and_to_no_inspector_who_may_be_second(
    opened: RoundHouse,
) -> None:
    gauge(opened)
    finding, _, reading = told(opened, opened.mechanic)
    assert finding == "good" and reading["as_read"]["values"] == [50.0]
    assert "344.7" in str(reading)
    for person in (opened.inspector, opened.house.inspector_2, None):
        assert told(opened, person) == HIDDEN
    assert "344.7" not in str(opened.use.record(opened.visit.id, opened.inspector)["legs"])  # 50 psi in kPa


def test_nor_before_the_first_person_has_signed_it(opened: RoundHouse) -> None:
    opened.use.answer(opened.mechanic, opened.item("hoses").id, GOOD)
    assert told(opened, opened.mechanic, "hoses")[0] == "good"
    assert told(opened, opened.inspector, "hoses") == HIDDEN


def test_who_may_not_be_the_second_person_reads_it(opened: RoundHouse) -> None:
    opened.answer("hoses", GOOD)
    assert told(opened, opened.mechanic_2, "hoses")[0] == "good"


def test_it_is_told_once_he_has_answered_himself_and_to_everybody_once_that_is_signed(
    opened: RoundHouse,
) -> None:
    opened.answer("hoses", GOOD)
    item = opened.item("hoses")
    opened.use.look(opened.inspector, item.id, GOOD)
    assert told(opened, opened.inspector, "hoses")[0] == "good"
    assert told(opened, opened.house.inspector_2, "hoses") == HIDDEN
    batch = opened.use.looks_to_sign(opened.inspector, opened.visit.id)
    opened.use.sign_looks(opened.inspector, opened.visit.id, PASSWORD, batch.record_hash)
    for person in (opened.house.inspector_2, None):
        assert told(opened, person, "hoses")[0] == "good"


def test_a_fault_is_told_to_everybody(opened: RoundHouse) -> None:
    opened.answer("hoses", FAULT)
    for person in (opened.inspector, None):
        assert told(opened, person, "hoses")[:2] == ("fault", FAULT.text)


def test_a_struts_reading_is_told_to_who_took_it_alone_and_named_as_withheld(house: House) -> None:
    opened = open_round(house, programme(strut=True))
    begun = opened.use.begin_try(opened.mechanic, house.primary.id, STATED, {"stand_off_mm": 4.0})
    opened.use.photo_arrived(opened.mechanic, begun.id, b"photo of a strut", "IMG_1.jpg")
    opened.use.measured(begun.id, reading(WITHIN))
    opened.use.send(opened.mechanic, begun.id)
    mine, other, unknown = (
        next(
            item["tries"][0]
            for leg in opened.use.record(opened.visit.id, person)["legs"]
            for item in leg["items"]
            if item.get("tries")
        )
        for person in (opened.mechanic, opened.inspector, None)
    )
    assert mine["result"] is not None and "withheld" not in mine
    for one in (other, unknown):
        assert (one["result"], one["annotated"], one["withheld"]) == (None, None, WITHHELD)
