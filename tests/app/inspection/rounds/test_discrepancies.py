from collections.abc import Callable
from datetime import date, timedelta

import pytest

from app.errors import Conflict, NotAllowed, UsageError
from app.inspection import DiscrepancyState, Item, ItemState
from app.inspection.rounds.model import ActionKind
from tests.app.records_house import OUTSIDE, PASSWORD, WITHIN
from tests.app.rounds_house import FAULT, GOOD, RoundHouse, counted, next_visit

Open = Callable[..., RoundHouse]
OFF = ({"part": "hose", "serial": "", "position": "brake, lower", "reason": "rubbed", "tag": "T-1"},)
ON = ({"part": "hose", "serial": "", "release": "form 1 no 77", "batch": "B4", "life": "2032"},)


def found(opened: RoundHouse, key: str = "hoses") -> str:
    """The discrepancy that a fault on this item opens."""
    opened.answer(key, FAULT)
    return opened.use.cases(opened.visit.id)[-1].discrepancy.id


def state(opened: RoundHouse, discrepancy_id: str) -> DiscrepancyState:
    return opened.use.case(opened.visit.id, discrepancy_id).discrepancy.state


def reinspection(opened: RoundHouse) -> Item:
    (item,) = (
        one
        for one in opened.use.items(opened.visit.id)
        if one.key.startswith("reinspection_") and one.state is not ItemState.DISCREPANCY
    )
    return item


def looked_again(opened: RoundHouse) -> None:
    """The re-inspection by two people who did not do the work."""
    item = reinspection(opened)
    opened.use.answer(opened.mechanic_2, item.id, GOOD)
    opened.sign_work(opened.mechanic_2)
    opened.look(item)


def test_a_fault_opens_its_discrepancy_the_moment_it_is_entered(round_of: Open) -> None:
    opened = round_of("hoses")
    opened.use.answer(opened.mechanic, opened.item("hoses").id, FAULT, place="brake hose, lower clamp")
    (case,) = opened.use.cases(opened.visit.id)
    assert case.discrepancy.text == "Hoses: rubbed through to the braid."
    assert case.discrepancy.place == "brake hose, lower clamp"


def test_a_fault_followed_by_good_without_an_action_is_refused(round_of: Open) -> None:
    opened = round_of("hoses", "pressure")
    found(opened)
    with pytest.raises(Conflict, match="Another answer does not undo it"):
        opened.use.answer(opened.mechanic_2, opened.item("hoses").id, GOOD)


def test_a_reading_outside_then_within_without_an_action_is_refused(round_of: Open) -> None:
    opened = round_of("pressure")
    tool = opened.gauge()
    opened.answer("pressure", opened.pressed(40, tool))
    with pytest.raises(Conflict, match="Another answer does not undo it"):
        opened.use.answer(opened.mechanic, opened.item("pressure").id, opened.pressed(50, tool))


def test_a_fault_that_was_corrected_to_good_keeps_its_discrepancy(round_of: Open) -> None:
    opened = round_of("hoses")
    id_ = found(opened)
    (answer,) = opened.use.record(opened.visit.id)["legs"][1]["items"][0]["answers"]
    opened.use.answer(
        opened.mechanic, opened.item("hoses").id, GOOD, corrects=answer["id"], reason="pressed the wrong one"
    )
    assert state(opened, id_) is DiscrepancyState.OPEN
    assert opened.item("hoses").state is ItemState.DISCREPANCY


def test_an_action_makes_its_reinspection_an_item_that_two_people_close(round_of: Open) -> None:
    opened = round_of("hoses")
    id_ = found(opened)
    opened.act(id_)
    assert state(opened, id_) is DiscrepancyState.ACTED
    looked_again(opened)
    assert state(opened, id_) is DiscrepancyState.CLEARED
    assert opened.item("hoses").state is ItemState.CLOSED


def test_who_did_the_work_may_not_look_at_it_a_second_time(round_of: Open) -> None:
    opened = round_of("hoses")
    id_ = found(opened)
    told = (id_, ActionKind.REPAIRED, "clamp set", "manual 32-10")
    who = opened.house.inspector_2
    seen = opened.use.propose_action(who, opened.visit.id, *told)
    opened.use.act(who, opened.visit.id, *told, PASSWORD, seen.record_hash)
    item = reinspection(opened)
    opened.use.answer(opened.mechanic_2, item.id, GOOD)
    opened.sign_work(opened.mechanic_2)
    with pytest.raises(NotAllowed, match="own work"):
        opened.use.look(who, item.id, GOOD)


def test_an_action_that_did_not_help_is_open_again_and_acted_on_anew(round_of: Open) -> None:
    opened = round_of("hoses")
    id_ = found(opened)
    opened.act(id_)
    opened.use.answer(opened.mechanic_2, reinspection(opened).id, FAULT)
    opened.sign_work(opened.mechanic_2)
    assert state(opened, id_) is DiscrepancyState.OPEN
    opened.act(id_, ActionKind.REPLACED, removed=OFF, fitted=ON)
    looked_again(opened)
    assert state(opened, id_) is DiscrepancyState.CLEARED
    assert {
        one.state for one in opened.use.items(opened.visit.id) if one.leg_id == opened.house.primary.id
    } == {ItemState.CLOSED}


def test_a_part_replaced_has_its_papers(round_of: Open) -> None:
    opened = round_of("hoses")
    id_ = found(opened)
    with pytest.raises(UsageError, match="enter what was removed and what was fitted"):
        opened.act(id_, ActionKind.REPLACED)
    with pytest.raises(UsageError, match="A part fitted is told with release too"):
        opened.act(id_, ActionKind.REPLACED, removed=OFF, fitted=({"part": "hose"},))
    made = opened.act(id_, ActionKind.REPLACED, removed=OFF, fitted=ON)
    assert made.removed[0]["tag"] == "T-1" and made.fitted[0]["release"] == "form 1 no 77"


def test_an_action_names_its_approved_data(round_of: Open) -> None:
    opened = round_of("hoses")
    with pytest.raises(UsageError, match="The approved data by which it was done has to be told"):
        opened.use.propose_action(
            opened.mechanic, opened.visit.id, found(opened), ActionKind.REPAIRED, "mended", " "
        )


def test_an_action_is_signed_as_it_was_shown(round_of: Open) -> None:
    opened = round_of("hoses")
    id_ = found(opened)
    seen = opened.use.propose_action(
        opened.mechanic, opened.visit.id, id_, ActionKind.REPAIRED, "mended", "manual"
    )
    with pytest.raises(Conflict, match="has changed since you looked"):
        opened.use.act(
            opened.mechanic,
            opened.visit.id,
            id_,
            ActionKind.REPAIRED,
            "replaced",
            "manual",
            PASSWORD,
            seen.record_hash,
        )


def test_a_discrepancy_is_not_acted_on_twice_at_once(round_of: Open) -> None:
    opened = round_of("hoses")
    id_ = found(opened)
    opened.act(id_)
    with pytest.raises(Conflict, match="Something was done about this already"):
        opened.act(id_)


def test_a_deferral_is_signed_by_an_authorised_signatory(round_of: Open) -> None:
    opened = round_of("hoses")
    id_ = found(opened)
    told = (id_, "list item 32-1", "C", date(2024, 9, 1), None, "placard")
    with pytest.raises(NotAllowed, match="This takes an authorised signatory"):
        opened.use.defer(opened.inspector, opened.visit.id, *told, PASSWORD, "")
    made = opened.defer(id_)
    assert (made.authoriser_id, made.asked_by) == (opened.signatory.id, opened.mechanic.id)
    assert state(opened, id_) is DiscrepancyState.DEFERRED


@pytest.mark.parametrize(
    ("due", "landings", "words"),
    [
        (None, None, "ends on a day or at a number of landings"),
        (date(2024, 4, 30), None, "would be overdue at once"),
        (None, 0, "more than 0"),
    ],
)
def test_a_deferral_ends_somewhere_ahead(
    round_of: Open, due: date | None, landings: int | None, words: str
) -> None:
    opened = round_of("hoses")
    with pytest.raises(UsageError, match=words):
        opened.defer(found(opened), due, landings)


@pytest.mark.parametrize("lacking", [1, 2, 5])
def test_a_deferral_lacks_neither_reference_nor_category_nor_placard(round_of: Open, lacking: int) -> None:
    opened = round_of("hoses")
    told = [found(opened), "list item 32-1", "C", date(2024, 9, 1), None, "placard"]
    told[lacking] = ""
    with pytest.raises(UsageError, match="has to be told"):
        opened.use.propose_deferral(opened.signatory, opened.visit.id, *told)


def test_a_deferral_is_not_renewed(round_of: Open) -> None:
    opened = round_of("hoses")
    id_ = found(opened)
    opened.defer(id_)
    with pytest.raises(Conflict, match="a deferral is not renewed here"):
        opened.defer(id_)


def done_but_for(opened: RoundHouse, *keys: str) -> None:
    """Close these items on both legs."""
    for leg in (opened.house.primary, opened.house.supporting):
        for key in keys:
            item = opened.item(key, leg.id)
            if item.state is ItemState.TO_DO:
                opened.use.answer(opened.mechanic, item.id, GOOD if key == "hoses" else counted(6))
    opened.sign_work(opened.mechanic)
    for one in opened.use.to_look_at(opened.inspector, opened.visit.id):
        opened.use.look(opened.inspector, one.id, GOOD if one.key == "hoses" else counted(6))
    batch = opened.use.looks_to_sign(opened.inspector, opened.visit.id)
    opened.use.sign_looks(opened.inspector, opened.visit.id, PASSWORD, batch.record_hash)


def test_a_deferred_discrepancy_is_carried_to_the_next_visit_and_stands_first(round_of: Open) -> None:
    opened = round_of("hoses", "bolts")
    id_ = found(opened)
    opened.defer(id_)
    done_but_for(opened, "hoses", "bolts")
    opened.whole()
    next_visit(opened)
    opened.answer("bolts", counted(2))
    cases = opened.use.cases(opened.visit.id)
    assert [(one.discrepancy.id == id_, one.carried) for one in cases] == [(True, True), (False, False)]


def test_a_carried_discrepancy_is_acted_on_and_looked_at_again_in_the_later_visit(round_of: Open) -> None:
    opened = round_of("hoses")
    id_ = found(opened)
    opened.defer(id_)
    done_but_for(opened, "hoses")
    opened.whole()
    earlier = opened.item("hoses")
    next_visit(opened)
    opened.act(id_)
    looked_again(opened)
    assert state(opened, id_) is DiscrepancyState.CLEARED
    assert opened.again(earlier).state is ItemState.DISCREPANCY  # a closed visit does not change
    assert [one.carried for one in opened.use.cases(opened.visit.id)] == [True]


def test_an_overdue_deferral_blocks_the_sign_off(round_of: Open) -> None:
    opened = round_of("hoses")
    opened.defer(found(opened), date(2024, 6, 1))
    done_but_for(opened, "hoses")
    assert opened.use.gaps(opened.visit.id) == ()
    opened.house.clock.at += timedelta(days=40)
    assert [one.what.split(":")[0] for one in opened.use.gaps(opened.visit.id)] == ["deferral overdue"]
    with pytest.raises(Conflict, match="deferral overdue: Hoses"):
        opened.whole()


def test_a_deferral_until_landings_is_held_against_the_aircrafts(round_of: Open) -> None:
    opened = round_of("hoses")
    opened.defer(found(opened), None, 5890)
    done_but_for(opened, "hoses")
    assert [one.what[:14] for one in opened.use.gaps(opened.visit.id, 5889)] == []
    assert [one.what[:16] for one in opened.use.gaps(opened.visit.id, 5890)] == ["deferral overdue"]
    assert "give the aircraft's landings" in opened.use.gaps(opened.visit.id)[0].what


def test_another_aircrafts_discrepancy_is_not_acted_on_here(round_of: Open) -> None:
    opened = round_of("hoses")
    id_ = found(opened)
    other = opened.use.enter_aircraft("ZZ-OTH", "Aster 210", "demo operator")
    visit = opened.use.open_inspection(opened.mechanic, other.id)
    with pytest.raises(Conflict, match="another aircraft's"):
        opened.use.propose_action(opened.mechanic, visit.id, id_, ActionKind.REPAIRED, "x", "y")


def test_a_strut_outside_is_serviced_and_measured_anew(round_of: Open) -> None:
    opened = round_of("hoses", strut=True)
    house = opened.house
    house.confirmed(OUTSIDE)
    (case,) = opened.use.cases(opened.visit.id)
    again = house.measured(WITHIN)
    house.inspections.send(house.mechanic, again.id)
    assert house.sign(house.inspector, house.placed(again, WITHIN)).outcome == "hand_wanted"
    opened.act(case.discrepancy.id, ActionKind.SERVICED, "gas topped up")
    assert opened.item("strut_extension").state is ItemState.TO_DO
    house.confirmed(WITHIN)
    assert opened.item("strut_extension").state is ItemState.CLOSED
    assert state(opened, case.discrepancy.id) is DiscrepancyState.CLEARED
    assert house.archive.verify().faults == ()
