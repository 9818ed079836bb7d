"""A visit without a programme, as before: its discrepancies, too, are acted on and measured again."""

import pytest

from app.errors import Conflict
from app.inspection import DiscrepancyState, ItemState
from app.inspection.rounds.model import ActionKind
from tests.app.records_house import OUTSIDE, PASSWORD, WITHIN, House


def acted(house: House) -> tuple[str, str]:
    """The visit and the discrepancy of a strut that was outside and was serviced."""
    house.confirmed(OUTSIDE)
    (visit,) = house.inspections.inspections()
    (case,) = house.inspections.cases(visit.id)
    told = (case.discrepancy.id, ActionKind.SERVICED, "gas filled in", "manual 32-10")
    seen = house.inspections.propose_action(house.mechanic, visit.id, *told)
    house.inspections.act(house.mechanic, visit.id, *told, PASSWORD, seen.record_hash)
    return visit.id, case.discrepancy.id


def test_after_an_action_it_is_not_closed_before_it_was_measured_again(house: House) -> None:
    visit, _ = acted(house)
    with pytest.raises(Conflict, match="has to be measured again"):
        house.inspections.close_inspection(house.mechanic, visit)


def test_the_new_measurement_clears_it_and_the_visit_closes(house: House) -> None:
    visit, discrepancy = acted(house)
    assert house.item_of(house.confirmed(WITHIN)).state is ItemState.CLOSED
    assert house.inspections.case(visit, discrepancy).discrepancy.state is DiscrepancyState.CLEARED
    assert house.inspections.close_inspection(house.mechanic, visit).closed_at is not None


def test_it_may_be_measured_again_by_hand(house: House) -> None:
    visit, discrepancy = acted(house)
    item = house.inspections.case(visit, discrepancy).place.item
    house.by_hand(house.mechanic, item, 88.9)
    assert house.by_hand(house.inspector, item, 88.8).state is ItemState.CLOSED
    assert house.inspections.case(visit, discrepancy).discrepancy.state is DiscrepancyState.CLEARED


def test_it_may_be_outside_again(house: House) -> None:
    visit, _ = acted(house)
    again = house.confirmed(OUTSIDE)
    assert house.item_of(again).state is ItemState.DISCREPANCY
    states = [one.discrepancy.state for one in house.inspections.cases(visit)]
    assert DiscrepancyState.OPEN in states
    assert house.archive.verify().faults == ()
