"""Corrections after the sign-off: who may, what follows, what is refused; the earlier answer stays."""

import threading
from collections.abc import Callable

import pytest

from app.errors import Conflict, NotAllowed, UsageError
from app.inspection import DiscrepancyState, ItemState
from app.inspection.rounds.correcting import CorrectionState
from app.inspection.rounds.given import ByEye, Given
from app.inspection.rounds.model import Answer, Finding, Look
from tests.app.inspection.rounds.test_sign_off import done
from tests.app.records_house import PASSWORD
from tests.app.rounds_house import FAULT, GOOD, RoundHouse, counted, next_visit

Open = Callable[..., RoundHouse]
CLAMP = ByEye(Finding.GOOD, "clamp 3 was seen as well")
WHY = "the clamp was left out"


@pytest.fixture
def signed(round_of: Open) -> RoundHouse:
    """A visit by eye that is signed off."""
    opened = done(round_of("hoses"))
    opened.whole()
    return opened


def answer_of(opened: RoundHouse) -> Answer:
    with opened.house.archive.records.look() as r:
        replaced = {one.supersedes for one in r.all(Answer)}
        (found,) = (one for one in r.all(Answer, item_id=opened.item("hoses").id) if one.id not in replaced)
        return found


def correct(opened: RoundHouse, given: Given = CLAMP, reason: str = WHY, who=None, password=PASSWORD):  # type: ignore[no-untyped-def]
    person = who or opened.mechanic
    old = answer_of(opened)
    seen = opened.use.propose_correction(person, old.id, given, reason).record_hash
    return opened.use.correct(person, old.id, given, reason, password, seen)


def second(opened: RoundHouse, answer: Answer, given: Given = GOOD, who=None) -> Look:  # type: ignore[no-untyped-def]
    person = who or opened.inspector
    seen = opened.use.propose_second(person, answer.id, given).record_hash
    return opened.use.second(person, answer.id, given, PASSWORD, seen)


def state(opened: RoundHouse) -> CorrectionState:
    return opened.use.corrections(opened.mechanic, opened.visit.id)[-1].state


def told(opened: RoundHouse) -> dict:  # type: ignore[type-arg]
    return opened.use.record(opened.visit.id)


def test_a_correction_waits_for_its_second_look_and_both_answers_stay(signed: RoundHouse) -> None:
    made = correct(signed)
    assert signed.item("hoses").state is ItemState.WAITING
    assert state(signed) is CorrectionState.WAITS
    second(signed, made)
    assert signed.item("hoses").state is ItemState.CLOSED
    assert state(signed) is CorrectionState.CONFIRMED
    record = told(signed)
    (one,) = record["corrections"]
    assert (one["said"], one["reason"], one["person_id"]) == (
        "corrected after sign-off", WHY, signed.mechanic.id,
    )  # fmt: skip
    (item,) = (
        each for leg in record["legs"] for each in leg["items"] if each["id"] == signed.item("hoses").id
    )
    assert [each["text"] for each in item["answers"]] == ["", CLAMP.text]
    assert item["answers"][1]["supersedes"] == item["answers"][0]["id"]
    assert [each["meaning"] for each in record["signatures"]][-2:] == ["corrected", "second_look"]
    assert signed.house.archive.verify().faults == ()


def test_a_signed_visit_without_corrections_has_none_in_its_record(signed: RoundHouse) -> None:
    assert "corrections" not in told(signed)


def test_a_fault_found_later_opens_a_discrepancy_that_the_next_visit_shows_first(signed: RoundHouse) -> None:
    first = signed.visit.id
    correct(signed, FAULT)
    assert state(signed) is CorrectionState.DISCREPANCY
    (case,) = signed.use.cases(first)
    assert case.discrepancy.state is DiscrepancyState.OPEN
    assert "corrected after sign-off" in case.discrepancy.text
    assert [one["text"] for one in told(signed)["owner_list"]] == [case.discrepancy.text]
    later = next_visit(signed)
    (carried,) = later.use.cases(later.visit.id)
    assert carried.carried
    assert carried.discrepancy.id == case.discrepancy.id
    assert signed.house.archive.verify().faults == ()


def test_a_second_person_who_finds_it_wrong_opens_a_discrepancy(signed: RoundHouse) -> None:
    made = correct(signed)
    second(signed, made, FAULT)
    assert state(signed) is CorrectionState.DISCREPANCY
    (case,) = signed.use.cases(signed.visit.id)
    assert "rubbed through" in case.discrepancy.text


def test_two_counts_that_differ_open_a_discrepancy_since_nothing_is_counted_anew(round_of: Open) -> None:
    opened = round_of("bolts")
    for item in opened.use.items(opened.visit.id):
        if item.key == "bolts":
            opened.use.answer(opened.mechanic, item.id, counted(6))
    opened.sign_work(opened.mechanic)
    for item in opened.use.to_look_at(opened.inspector, opened.visit.id):
        opened.look(item, counted(6))
    opened.whole()
    item = opened.item("bolts")
    with opened.house.archive.records.look() as r:
        (old,) = r.all(Answer, item_id=item.id)
    told = (old.id, counted(7), "one bolt is hidden by the bracket")
    seen = opened.use.propose_correction(opened.mechanic, *told).record_hash
    made = opened.use.correct(opened.mechanic, *told, PASSWORD, seen)
    second(opened, made, counted(6))
    assert opened.item("bolts").state is ItemState.DISCREPANCY


def test_a_correction_without_a_reason_is_refused(signed: RoundHouse) -> None:
    with pytest.raises(UsageError, match="reason of the correction"):
        correct(signed, reason="  ")


def test_a_wrong_password_corrects_nothing(signed: RoundHouse) -> None:
    with pytest.raises(NotAllowed, match="password"):
        correct(signed, password="not the password")
    assert "corrections" not in told(signed)


def test_an_administrator_corrects_nothing(signed: RoundHouse) -> None:
    with pytest.raises(NotAllowed, match="administrator"):
        correct(signed, who=signed.administrator)


def test_who_works_in_another_role_corrects_nothing(signed: RoundHouse) -> None:
    for other in (signed.signatory, signed.ndi, signed.trainee, signed.inspector):
        with pytest.raises(NotAllowed, match="he corrects it, or another person who works in the same role"):
            correct(signed, who=other)


def test_another_mechanic_may_correct(signed: RoundHouse) -> None:
    assert correct(signed, who=signed.mechanic_2).person_id == signed.mechanic_2.id


def test_nobody_confirms_his_own_correction_or_one_of_his_answer(signed: RoundHouse) -> None:
    made = correct(signed, who=signed.mechanic_2)
    for own in (signed.mechanic, signed.mechanic_2):
        with pytest.raises(NotAllowed, match="Nobody looks a second time at his own work"):
            second(signed, made, who=own)


def test_a_second_look_takes_an_authorisation(signed: RoundHouse) -> None:
    made = correct(signed)
    with pytest.raises(NotAllowed):
        second(signed, made, who=signed.signatory)


def test_two_who_correct_at_once_leave_one_correction(signed: RoundHouse) -> None:
    old, use = answer_of(signed), signed.use
    people = (signed.mechanic, signed.mechanic_2)
    seen = [use.propose_correction(one, old.id, CLAMP, WHY).record_hash for one in people]
    gone: list[str] = []
    together = threading.Barrier(2)

    def press(number: int) -> None:
        together.wait()
        try:
            use.correct(people[number], old.id, CLAMP, WHY, PASSWORD, seen[number])
        except Conflict as refused:
            gone.append(str(refused))

    threads = [threading.Thread(target=press, args=(number,)) for number in range(2)]
    for one in threads:
        one.start()
    for one in threads:
        one.join()
    assert gone == ["That answer was corrected already: look at what stands now."]
    assert len(told(signed)["corrections"]) == 1
    assert signed.house.archive.verify().faults == ()


def test_a_signature_on_changed_content_corrects_nothing(signed: RoundHouse) -> None:
    old = answer_of(signed)
    seen = signed.use.propose_correction(signed.mechanic, old.id, CLAMP, WHY).record_hash
    for given, reason in ((GOOD, WHY), (CLAMP, "another reason")):
        with pytest.raises(Conflict, match="changed since you looked"):
            signed.use.correct(signed.mechanic, old.id, given, reason, PASSWORD, seen)


def test_a_second_look_on_changed_content_or_once_more_signs_nothing(signed: RoundHouse) -> None:
    made = correct(signed)
    seen = signed.use.propose_second(signed.inspector, made.id, GOOD).record_hash
    with pytest.raises(Conflict, match="changed since you looked"):
        signed.use.second(signed.inspector, made.id, CLAMP, PASSWORD, seen)
    signed.use.second(signed.inspector, made.id, GOOD, PASSWORD, seen)
    with pytest.raises(Conflict, match="does not wait for a second look"):
        signed.use.second(signed.inspector, made.id, GOOD, PASSWORD, seen)


def test_a_fault_is_not_corrected_away(signed: RoundHouse) -> None:
    correct(signed, FAULT)
    with pytest.raises(Conflict, match="a correction does not undo it"):
        correct(signed, GOOD)
    correct(signed, ByEye(Finding.FAULT, "rubbed, not through"), "the braid is whole")
    assert len(signed.use.cases(signed.visit.id)) == 1


def test_a_correction_is_corrected_in_its_turn(signed: RoundHouse) -> None:
    correct(signed)
    made = correct(signed, GOOD, "clamp 3 is of another hose")
    second(signed, made)
    states = [one.state for one in signed.use.corrections(signed.mechanic, signed.visit.id)]
    assert states == [CorrectionState.SUPERSEDED, CorrectionState.CONFIRMED]


def test_an_open_visit_is_corrected_at_its_items(round_of: Open) -> None:
    opened = round_of("hoses")
    made = opened.answer("hoses")
    with pytest.raises(Conflict, match="still open"):
        opened.use.propose_correction(opened.mechanic, made.id, CLAMP, WHY)
