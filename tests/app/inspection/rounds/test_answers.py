from collections.abc import Callable
from datetime import timedelta

import pytest

from app.errors import Conflict, NotAllowed, UsageError
from app.inspection import ItemState
from app.inspection.rounds.given import ByEye
from app.inspection.rounds.model import Finding
from app.programme import ItemCondition
from tests.app.records_house import PASSWORD
from tests.app.rounds_house import FAULT, GOOD, LONG_AGO, RESTORED, SWING, RoundHouse, counted

Open = Callable[..., RoundHouse]


def test_each_leg_gets_each_item_of_the_programme_and_the_visit_keeps_its_version(round_of: Open) -> None:
    opened = round_of("hoses", "bolts", strut=True)
    items = opened.use.items(opened.visit.id)
    assert sorted(one.key for one in items) == ["bolts"] * 2 + ["hoses"] * 2 + ["strut_extension"] * 2
    record = opened.use.record(opened.visit.id)
    assert record["programme"]["version"] == opened.use.programme_of(opened.visit.id).version


def test_what_is_not_fitted_by_the_legs_features_is_no_item(round_of: Open) -> None:
    opened = round_of("hoses", "tension")
    leg = opened.house.primary.id
    opened.use.answer_features(None, leg, {"cables": "none"})
    assert len(opened.use.items(opened.visit.id)) == 4  # the open visit keeps what it began with
    with pytest.raises(UsageError, match="choose one of fitted, none"):
        opened.use.answer_features(None, leg, {"cables": "some"})


def test_two_people_close_an_item_each_by_his_own_answer(round_of: Open) -> None:
    opened = round_of("hoses")
    made = opened.use.answer(opened.mechanic, opened.item("hoses").id, GOOD)
    assert opened.item("hoses").state is ItemState.TO_DO  # until it is signed
    opened.sign_work(opened.mechanic)
    assert opened.again(opened.item("hoses")).state is ItemState.WAITING
    assert [one.key for one in opened.use.to_look_at(opened.inspector, opened.visit.id)] == ["hoses"]
    look = opened.look(opened.item("hoses"))
    assert look.answer_id == made.id
    assert opened.item("hoses").state is ItemState.CLOSED


def test_nobody_looks_a_second_time_at_his_own_work(round_of: Open) -> None:
    opened = round_of("hoses")
    opened.answer("hoses", person=opened.house.inspector_2)
    with pytest.raises(NotAllowed, match="Nobody looks a second time at his own work"):
        opened.use.look(opened.house.inspector_2, opened.item("hoses").id, GOOD)
    assert opened.use.to_look_at(opened.house.inspector_2, opened.visit.id) == ()


def test_a_second_look_is_signed_only_after_an_answer_of_ones_own(round_of: Open) -> None:
    opened = round_of("hoses")
    opened.answer("hoses")
    nothing = opened.use.looks_to_sign(opened.inspector, opened.visit.id)
    with pytest.raises(Conflict, match="look at the items first"):
        opened.use.sign_looks(opened.inspector, opened.visit.id, PASSWORD, nothing.record_hash)


def test_a_mechanic_does_not_look_a_second_time(round_of: Open) -> None:
    opened = round_of("hoses")
    opened.answer("hoses")
    with pytest.raises(NotAllowed, match="This takes an inspector"):
        opened.use.look(opened.mechanic_2, opened.item("hoses").id, GOOD)


def test_an_unsigned_answer_is_not_looked_at(round_of: Open) -> None:
    opened = round_of("hoses")
    opened.use.answer(opened.mechanic, opened.item("hoses").id, GOOD)
    with pytest.raises(Conflict, match="does not wait for a second look"):
        opened.use.look(opened.inspector, opened.item("hoses").id, GOOD)


def test_the_opening_card_comes_before_the_first_answer(round_of: Open) -> None:
    opened = round_of("hoses")
    from app.inspection import Role  # noqa: PLC0415 - only here

    late = opened.house.people.enter("Mechanic 3", frozenset({Role.MECHANIC}), PASSWORD)
    with pytest.raises(Conflict, match="read and state the opening card"):
        opened.use.answer(late, opened.item("hoses").id, GOOD)


def test_an_item_is_refused_in_another_condition_than_its_own(round_of: Open) -> None:
    opened = round_of("hoses", "locks")
    with pytest.raises(Conflict, match="Locks is done swing, and the aircraft is stated on wheels"):
        opened.use.answer(opened.mechanic, opened.item("locks").id, GOOD)
    opened.stand(ItemCondition.SWING, SWING)
    with pytest.raises(Conflict, match="Hoses is done on wheels, and the aircraft is stated swing"):
        opened.use.answer(opened.mechanic, opened.item("hoses").id, GOOD)


def test_a_second_look_too_is_refused_in_another_condition(round_of: Open) -> None:
    opened = round_of("hoses", "closed")
    opened.answer("hoses")
    opened.stand(ItemCondition.RESTORED, RESTORED)
    with pytest.raises(Conflict, match="is stated restored"):
        opened.use.look(opened.inspector, opened.item("hoses").id, GOOD)


def test_a_statement_that_is_missing_or_lacks_its_record_states_nothing(round_of: Open) -> None:
    opened = round_of("hoses")
    with pytest.raises(UsageError, match=r"Not stated yet: The strut has settled\."):
        opened.stand(ItemCondition.ON_WHEELS, {"load": "full", "level": "0"})
    with pytest.raises(UsageError, match="Slope has to be told"):
        opened.stand(ItemCondition.ON_WHEELS, {"load": "full", "level": " ", "settled": ""})


def test_a_required_inspection_takes_who_is_authorised_for_it(round_of: Open) -> None:
    opened = round_of("locks")
    opened.stand(ItemCondition.SWING, SWING)
    opened.answer("locks")
    with pytest.raises(NotAllowed, match="This takes a required inspection"):
        opened.use.look(opened.inspector, opened.item("locks").id, GOOD)
    opened.look(opened.item("locks"), person=opened.required)
    assert opened.item("locks").state is ItemState.CLOSED


@pytest.mark.parametrize("days", [-1, 366])
def test_an_authorisation_counts_only_within_its_days(round_of: Open, days: int) -> None:
    opened = round_of("hoses")
    opened.answer("hoses")
    opened.house.clock.at += timedelta(days=days if days > 0 else -200)
    with pytest.raises(NotAllowed, match="was never given, has run out or was withdrawn"):
        opened.use.look(opened.inspector, opened.item("hoses").id, GOOD)


def test_a_withdrawn_authorisation_counts_no_more(round_of: Open) -> None:
    opened = round_of("hoses")
    opened.answer("hoses")
    for one in opened.use.authorisations():
        opened.use.withdraw_authorisation(opened.administrator, one.id)
    with pytest.raises(NotAllowed, match="withdrawn"):
        opened.use.look(opened.inspector, opened.item("hoses").id, GOOD)


def test_a_wrong_password_signs_nothing(round_of: Open) -> None:
    opened = round_of("hoses")
    opened.use.answer(opened.mechanic, opened.item("hoses").id, GOOD)
    batch = opened.use.to_sign(opened.mechanic, opened.visit.id)
    with pytest.raises(NotAllowed, match="not your password"):
        opened.use.sign_work(opened.mechanic, opened.visit.id, "guessed", batch.record_hash)
    assert opened.item("hoses").state is ItemState.TO_DO


def test_a_signature_on_content_that_changed_since_is_refused(round_of: Open) -> None:
    opened = round_of("hoses", "bolts")
    opened.use.answer(opened.mechanic, opened.item("hoses").id, GOOD)
    seen = opened.use.to_sign(opened.mechanic, opened.visit.id).record_hash
    opened.use.answer(opened.mechanic, opened.item("bolts").id, counted(6))
    with pytest.raises(Conflict, match="has changed since you looked, so nothing was signed"):
        opened.use.sign_work(opened.mechanic, opened.visit.id, PASSWORD, seen)


def test_a_signature_is_not_replayed_on_a_corrected_answer(round_of: Open) -> None:
    opened = round_of("hoses")
    first = opened.use.answer(opened.mechanic, opened.item("hoses").id, GOOD)
    seen = opened.use.to_sign(opened.mechanic, opened.visit.id).record_hash
    opened.sign_work(opened.mechanic)
    opened.use.answer(
        opened.mechanic, opened.item("hoses").id, ByEye(Finding.NOT_FITTED, "no hoses here"),
        corrects=first.id, reason="wrong leg",
    )  # fmt: skip
    with pytest.raises(Conflict, match="has changed since"):
        opened.use.sign_work(opened.mechanic, opened.visit.id, PASSWORD, seen)


def test_two_second_people_at_once_leave_one_signature(round_of: Open) -> None:
    opened = round_of("hoses")
    opened.answer("hoses")
    item = opened.item("hoses")
    opened.use.look(opened.inspector, item.id, GOOD)
    opened.use.look(opened.house.inspector_2, item.id, GOOD)
    seen = {
        person.id: opened.use.looks_to_sign(person, opened.visit.id).record_hash
        for person in (opened.inspector, opened.house.inspector_2)
    }
    opened.use.sign_looks(opened.inspector, opened.visit.id, PASSWORD, seen[opened.inspector.id])
    with pytest.raises(Conflict, match="nothing for you to sign"):
        opened.use.sign_looks(
            opened.house.inspector_2, opened.visit.id, PASSWORD, seen[opened.house.inspector_2.id]
        )


def test_two_answers_at_once_leave_one(round_of: Open) -> None:
    opened = round_of("hoses")
    opened.use.answer(opened.mechanic, opened.item("hoses").id, GOOD)
    with pytest.raises(Conflict, match="This item is answered: to change the answer, correct it"):
        opened.use.answer(opened.mechanic_2, opened.item("hoses").id, GOOD)


def test_a_correction_says_why_and_the_corrected_answer_stays(round_of: Open) -> None:
    opened = round_of("hoses")
    first = opened.answer("hoses")
    item = opened.item("hoses")
    with pytest.raises(UsageError, match="The reason of the correction has to be told"):
        opened.use.answer(opened.mechanic, item.id, GOOD, corrects=first.id)
    second = opened.use.answer(
        opened.mechanic,
        item.id,
        ByEye(Finding.NOT_FITTED, "none here"),
        corrects=first.id,
        reason="wrong leg",
    )
    with pytest.raises(Conflict, match="was corrected already"):
        opened.use.answer(opened.mechanic, item.id, GOOD, corrects=first.id, reason="again")
    (leg,) = (one for one in opened.use.record(opened.visit.id)["legs"] if one["position"] == "nose")
    assert [one["id"] for one in leg["items"][0]["answers"]] == [first.id, second.id]
    assert opened.again(item).state is ItemState.TO_DO  # signed and looked at anew


def test_a_correction_after_the_second_look_asks_for_both_again(round_of: Open) -> None:
    opened = round_of("hoses")
    first = opened.answer("hoses")
    item = opened.item("hoses")
    opened.look(item)
    opened.use.answer(opened.mechanic, item.id, GOOD, corrects=first.id, reason="looked at the wrong one")
    opened.sign_work(opened.mechanic)
    assert opened.again(item).state is ItemState.WAITING
    opened.look(item)
    assert opened.again(item).state is ItemState.CLOSED


def test_what_two_people_see_differently_is_answered_anew_by_both(round_of: Open) -> None:
    opened = round_of("hoses")
    opened.answer("hoses")
    item = opened.item("hoses")
    opened.look(item, ByEye(Finding.NOT_FITTED, "no hose on this leg"))
    assert opened.again(item).state is ItemState.TO_DO
    opened.answer("hoses", ByEye(Finding.NOT_FITTED, "no hose on this leg"))
    opened.look(item, ByEye(Finding.NOT_FITTED, "no hose on this leg"), opened.house.inspector_2)
    assert opened.again(item).state is ItemState.CLOSED


def test_a_trainee_answers_only_under_somebody_who_signs_too(round_of: Open) -> None:
    opened = round_of("hoses")
    item = opened.item("hoses")
    with pytest.raises(NotAllowed, match="A trainee works under supervision"):
        opened.use.answer(opened.trainee, item.id, GOOD)
    opened.use.answer(opened.trainee, item.id, GOOD, supervisor_id=opened.house.inspector_2.id)
    opened.sign_work(opened.trainee)
    assert opened.again(item).state is ItemState.TO_DO
    seen = opened.use.to_supervise(opened.house.inspector_2, opened.visit.id).record_hash
    opened.use.supervise(opened.house.inspector_2, opened.visit.id, PASSWORD, seen)
    assert opened.again(item).state is ItemState.WAITING
    with pytest.raises(NotAllowed, match="own work"):
        opened.use.look(opened.house.inspector_2, item.id, GOOD)
    opened.look(item)
    assert opened.again(item).state is ItemState.CLOSED


def test_an_administrator_answers_nothing_looks_at_nothing_and_signs_nothing(round_of: Open) -> None:
    opened = round_of("hoses")
    item = opened.item("hoses")
    with pytest.raises(NotAllowed, match="An administrator answers for no work"):
        opened.use.answer(opened.administrator, item.id, GOOD)
    opened.answer("hoses")
    with pytest.raises(NotAllowed, match="This takes an inspector"):
        opened.use.look(opened.administrator, item.id, GOOD)
    with pytest.raises(NotAllowed, match="An administrator signs nothing"):
        opened.use.sign_work(opened.administrator, opened.visit.id, PASSWORD, "0" * 64)


def test_an_overdue_or_withdrawn_instrument_reads_nothing(round_of: Open) -> None:
    opened = round_of("pressure")
    item = opened.item("pressure")
    overdue = opened.gauge(LONG_AGO)
    with pytest.raises(UsageError, match="was due on 2024-04-30"):
        opened.use.answer(opened.mechanic, item.id, opened.pressed(50, overdue))
    good = opened.gauge()
    opened.use.withdraw_instrument(opened.mechanic, good.id, "dropped")
    with pytest.raises(UsageError, match=r"was withdrawn \(dropped\)"):
        opened.use.answer(opened.mechanic, item.id, opened.pressed(50, good))


def test_an_instrument_of_another_quantity_reads_nothing(round_of: Open) -> None:
    opened = round_of("pressure")
    rule = opened.gauge(quantity="length", unit="mm")
    with pytest.raises(UsageError, match="reads length, and pressure is asked for"):
        opened.use.answer(opened.mechanic, opened.item("pressure").id, opened.pressed(50, rule))


def test_fault_words_are_asked_for(round_of: Open) -> None:
    opened = round_of("hoses")
    with pytest.raises(UsageError, match="What is wrong, or why it is not fitted, has to be told"):
        opened.use.answer(opened.mechanic, opened.item("hoses").id, ByEye(Finding.FAULT))
    opened.answer("hoses", FAULT)
    assert opened.item("hoses").state is ItemState.DISCREPANCY


def test_a_reading_is_not_answered_by_a_tick(round_of: Open) -> None:
    opened = round_of("pressure", "bolts")
    for key in ("pressure", "bolts"):
        with pytest.raises(UsageError, match="a reading or a number is asked for, not a tick"):
            opened.use.answer(opened.mechanic, opened.item(key).id, GOOD)


def test_the_archive_verifies_after_all_of_it(round_of: Open) -> None:
    opened = round_of("hoses")
    opened.answer("hoses")
    opened.look(opened.item("hoses"))
    assert opened.house.archive.verify().faults == ()
