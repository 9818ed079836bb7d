"""What the schema of the whole inspection itself refuses, past all rules of the program."""

from dataclasses import replace
from datetime import date
from typing import Any

import pytest
from sqlalchemy.exc import IntegrityError

from app.errors import Conflict
from app.inspection.rounds.model import (
    Authorisation,
    Deferral,
    Handover,
    Look,
    LookOutcome,
    Meaning,
    Out,
    OutKind,
    PasswordReset,
    Sequence,
    SequenceKind,
    Signature,
    Step,
)
from tests.app.records_house import House
from tests.app.rounds_house import FAULT, GOOD, RoundHouse, open_round, programme


@pytest.fixture
def opened(house: House) -> RoundHouse:
    """A visit with one answer that waits for its second look, and one fault."""
    found = open_round(house, programme("hoses", "leaks"))
    found.answer("hoses")
    found.answer("leaks", FAULT)
    return found


def put(opened: RoundHouse, *rows: Any) -> None:
    with opened.house.archive.records.begin() as work:
        work.enter("for-the-test", None, opened.visit.id, *rows)


def answer(opened: RoundHouse) -> Any:
    from app.inspection.rounds.model import Answer  # noqa: PLC0415 - only here

    with opened.house.archive.records.look() as r:
        return r.all(Answer, item_id=opened.item("hoses").id)[0]


def look(opened: RoundHouse, **changed: Any) -> Look:
    of = answer(opened)
    made = Look(
        "1" * 32, opened.visit.id, of.id, of.person_id, opened.inspector.id, of.finding, "", None, None,
        "aircraft", None, None, opened.house.clock.now(),
    )  # fmt: skip
    return replace(made, **changed)


def signature(opened: RoundHouse) -> Signature:
    with opened.house.archive.records.look() as r:
        return r.all(Signature, person_id=opened.mechanic.id)[0]


def refused(opened: RoundHouse, words: str, *rows: Any) -> None:
    with pytest.raises(IntegrityError, match=words):
        put(opened, *rows)


def test_a_look_at_ones_own_answer_is_refused(opened: RoundHouse) -> None:
    refused(opened, "ck_looks_another_person|another_person", look(opened, person_id=opened.mechanic.id))


def test_a_look_cannot_name_another_performer_than_the_answers(opened: RoundHouse) -> None:
    refused(opened, "(?i)foreign key", look(opened, performer_id=opened.mechanic_2.id))


def test_a_look_has_no_outcome_without_its_signature(opened: RoundHouse) -> None:
    refused(opened, "ck_looks_signed|signed", look(opened, outcome=LookOutcome.CLOSED))


def test_a_look_is_not_signed_by_anothers_signature(opened: RoundHouse) -> None:
    theirs = signature(opened).id
    refused(opened, "(?i)foreign key", look(opened, outcome=LookOutcome.CLOSED, signature_id=theirs))


def test_a_person_looks_once_at_an_answer(opened: RoundHouse) -> None:
    put(opened, look(opened))
    with pytest.raises(Conflict):
        put(opened, look(opened, id="2" * 32))


def test_an_answer_is_not_signed_by_anothers_signature(opened: RoundHouse) -> None:
    made = replace(answer(opened), id="3" * 32, person_id=opened.mechanic_2.id)
    refused(opened, "(?i)foreign key", made)


def test_an_answer_is_corrected_once_and_with_a_reason(opened: RoundHouse) -> None:
    first = answer(opened)
    refused(opened, "reason", replace(first, id="3" * 32, supersedes=first.id))
    put(opened, replace(first, id="3" * 32, supersedes=first.id, reason="wrong leg"))
    with pytest.raises(Conflict):
        put(opened, replace(first, id="4" * 32, supersedes=first.id, reason="again"))


def test_nobody_supervises_himself(opened: RoundHouse) -> None:
    refused(opened, "supervised", replace(answer(opened), id="3" * 32, supervisor_id=opened.mechanic.id))


def test_a_signature_belongs_to_an_event(opened: RoundHouse) -> None:
    refused(opened, "(?i)foreign key", replace(signature(opened), id="5" * 32, event_hash="0" * 64))


def test_an_event_holds_one_signature(opened: RoundHouse) -> None:
    with pytest.raises(Conflict):
        put(opened, replace(signature(opened), id="5" * 32, meaning=Meaning.SIGN_OFF))


def test_a_deferral_ends_somewhere(opened: RoundHouse) -> None:
    (case,) = opened.use.cases(opened.visit.id)
    made = Deferral(
        "6" * 32, case.discrepancy.id, opened.visit.id, "r", "C", None, None, "p", opened.mechanic.id,
        opened.mechanic.id, signature(opened).id, opened.house.clock.now(),
    )  # fmt: skip
    refused(opened, "due", made)
    put(opened, replace(made, due_on=date(2030, 1, 1)))


def test_a_step_is_done_once(opened: RoundHouse) -> None:
    (case,) = opened.use.cases(opened.visit.id)
    assert case.sequence is not None
    step = Step(
        "7" * 32, case.sequence.id, 1, "photo", {}, None, opened.mechanic.id, opened.house.clock.now()
    )
    put(opened, step)
    for again in (replace(step, id="8" * 32, number=2), replace(step, id="8" * 32, key="fluid")):
        with pytest.raises(Conflict):
            put(opened, again)


def test_a_leaks_sequence_belongs_to_its_discrepancy(opened: RoundHouse) -> None:
    item = opened.item("leaks")
    made = Sequence(
        "9" * 32,
        SequenceKind.LEAK,
        opened.visit.id,
        item.id,
        None,
        opened.mechanic.id,
        opened.house.clock.now(),
    )
    refused(opened, "discrepancy", made)


@pytest.mark.parametrize("changed", [{"back": 4}, {"back": -1}, {"quantity": 0}])
def test_no_more_come_back_than_went_out(opened: RoundHouse, changed: dict[str, int]) -> None:
    now = opened.house.clock.now()
    made = Out("a" * 32, opened.visit.id, OutKind.PIN, "pins", 3, opened.mechanic.id, now)
    refused(opened, "counts", replace(made, **changed))


def test_giver_and_taker_are_two_people(opened: RoundHouse) -> None:
    made = Handover(
        "b" * 32, opened.visit.id, opened.mechanic.id, opened.mechanic.id, "0" * 64, signature(opened).id,
        opened.house.clock.now(),
    )  # fmt: skip
    refused(opened, "two_people", made)


def test_nobody_authorises_himself_and_days_are_in_order(opened: RoundHouse) -> None:
    made = Authorisation(
        "c" * 32, opened.inspector.id, "inspector", "*", date(2024, 1, 1), date(2025, 1, 1),
        opened.inspector.id, opened.house.clock.now(),
    )  # fmt: skip
    refused(opened, "by_another", made)
    refused(opened, "days", replace(made, by=opened.mechanic.id, ends=date(2023, 1, 1)))


def test_who_reset_a_password_does_not_vouch(opened: RoundHouse) -> None:
    now = opened.house.clock.now()
    made = PasswordReset("d" * 32, opened.inspector.id, opened.administrator.id, now)
    refused(opened, "by_another", replace(made, by=opened.inspector.id))
    for by in (opened.administrator.id, opened.inspector.id):
        refused(opened, "vouched_by_another", replace(made, vouched_by=by, vouched_at=now))


def test_a_visit_is_signed_off_once(opened: RoundHouse) -> None:
    from app.inspection.rounds.model import SignOff  # noqa: PLC0415 - only here

    made = SignOff(
        "e" * 32,
        opened.visit.id,
        opened.mechanic.id,
        1.0,
        1,
        1,
        signature(opened).id,
        opened.house.clock.now(),
    )
    refused(opened, "times", replace(made, total_time_h=0.0))
    put(opened, made)
    with pytest.raises(Conflict):
        put(opened, replace(made, id="f" * 32))


def test_good_answers_are_taken(opened: RoundHouse) -> None:
    opened.look(opened.item("hoses"), GOOD)
    assert opened.house.archive.verify().faults == ()
