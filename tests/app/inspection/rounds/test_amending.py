"""After the sign-off: times put right, readings by photo or hand withdrawn; who may, and what is refused."""

from collections.abc import Callable

import pytest

from app.errors import Conflict, NotAllowed, UsageError
from app.inspection import DiscrepancyState, ItemState, Person
from app.inspection.history import History
from app.inspection.rounds.times import Times
from tests.app.inspection.rounds.test_sign_off import done
from tests.app.records_house import PASSWORD, WITHIN, House
from tests.app.rounds_house import TIMES, RoundHouse, next_visit, open_round, programme

Open = Callable[..., RoundHouse]
RIGHT = Times(TIMES.total_time_h + 100, TIMES.cycles, TIMES.landings)
TYPED = "a digit was left out"
WHY = "the card was of another aircraft"


def with_strut(house: House) -> RoundHouse:
    """A visit with a strut read on both legs, a hand measurement where the photo only supports, signed off."""
    opened = open_round(house, programme("hoses", strut=True))
    house.confirmed(WITHIN)
    item = house.item_of(house.confirmed(WITHIN, house.supporting))
    house.by_hand(house.mechanic, item, 89.0)
    done(opened).whole()
    return opened


@pytest.fixture
def signed(house: House) -> RoundHouse:
    return with_strut(house)


def put_right(opened: RoundHouse, times: Times = RIGHT, who: Person | None = None, reason: str = TYPED):  # type: ignore[no-untyped-def]
    told = (who or opened.signatory, opened.visit.id, times, reason)
    return opened.use.correct_times(*told, PASSWORD, opened.use.propose_times(*told).record_hash)


def withdraw(opened: RoundHouse, leg_id: str = "", who: Person | None = None, reason: str = WHY):  # type: ignore[no-untyped-def]
    told = (who or opened.mechanic, opened.item("strut_extension", leg_id).id, reason)
    return opened.use.withdraw(*told, PASSWORD, opened.use.propose_withdrawal(*told).record_hash)


def test_times_are_put_right_and_what_was_signed_stays(signed: RoundHouse) -> None:
    first = put_right(signed)
    second = put_right(signed, Times(9.0, 1, 2), reason="and that was another aircraft's")
    assert (first.supersedes, second.supersedes) == (None, first.id)
    assert signed.use.times_of(signed.visit.id) == (TIMES, (first, second))
    record = signed.use.record(signed.visit.id)
    assert record["sign_off"]["total_time_h"] == TIMES.total_time_h
    assert [one["total_time_h"] for one in record["corrected_times"]] == [RIGHT.total_time_h, 9.0]
    assert record["signatures"][-1]["meaning"] == "times_corrected"
    assert record["people"][signed.signatory.id]["certificate"]
    assert signed.house.archive.verify().faults == ()


def test_only_an_authorised_signatory_puts_times_right(signed: RoundHouse) -> None:
    for other in (signed.mechanic, signed.inspector, signed.ndi, signed.trainee):
        with pytest.raises(NotAllowed):
            put_right(signed, who=other)
    with pytest.raises(NotAllowed, match="administrator"):
        put_right(signed, who=signed.administrator)


@pytest.mark.parametrize(
    "times", [Times(0.0, 1, 1), Times(float("nan"), 1, 1), Times(1.0, -1, 1), Times(1.0, 1, -1)]
)
def test_times_that_no_log_can_say_are_refused(signed: RoundHouse, times: Times) -> None:
    with pytest.raises(UsageError, match="Total time is more than 0"):
        put_right(signed, times)


def test_the_times_that_stand_are_no_correction(signed: RoundHouse) -> None:
    with pytest.raises(Conflict, match="stand already"):
        put_right(signed, TIMES)
    put_right(signed)
    with pytest.raises(Conflict, match="stand already"):
        put_right(signed, RIGHT)
    assert put_right(signed, TIMES, reason="the log was right at first").supersedes


def test_times_need_a_reason_a_password_and_what_was_shown(signed: RoundHouse) -> None:
    with pytest.raises(UsageError, match="reason of the correction"):
        put_right(signed, reason=" ")
    told = (signed.signatory, signed.visit.id, RIGHT, TYPED)
    seen = signed.use.propose_times(*told).record_hash
    with pytest.raises(NotAllowed, match="password"):
        signed.use.correct_times(*told, "not the password", seen)
    put_right(signed)
    with pytest.raises(Conflict):  # replayed: other times stand by now
        signed.use.correct_times(*told, PASSWORD, seen)
    with pytest.raises(Conflict, match=r"shown|changed|look"):
        signed.use.correct_times(signed.signatory, signed.visit.id, Times(7.0, 7, 7), TYPED, PASSWORD, seen)
    assert len(signed.use.times_of(signed.visit.id)[1]) == 1


def test_an_open_visit_has_no_times_to_put_right_and_nothing_to_withdraw(round_of: Open) -> None:
    opened = round_of("hoses", strut=True)
    opened.house.confirmed(WITHIN)
    with pytest.raises(Conflict, match="not signed off"):
        put_right(opened)
    with pytest.raises(Conflict, match="still open"):
        withdraw(opened)
    assert opened.use.withdrawable(opened.visit.id) == ()


def test_a_reading_is_withdrawn_and_a_discrepancy_takes_its_place(signed: RoundHouse) -> None:
    first = signed.visit.id
    assert [one.leg for one in signed.use.withdrawable(first)] == ["left main", "nose"]
    made = withdraw(signed)
    item = signed.item("strut_extension")
    assert item.state is ItemState.DISCREPANCY
    (case,) = signed.use.cases(first)
    assert (case.discrepancy.id, case.discrepancy.state) == (made.discrepancy_id, DiscrepancyState.OPEN)
    assert WHY in case.discrepancy.text
    record = signed.use.record(first)
    (one,) = record["withdrawals"]
    assert (one["leg"], one["reason"], one["person_id"]) == ("nose", WHY, signed.mechanic.id)
    assert len(record["owner_list"]) == 1
    tries = [each["tries"] for leg in record["legs"] for each in leg["items"] if each["id"] == item.id]
    assert [len(each) for each in tries] == [1]
    assert [one.leg for one in signed.use.withdrawable(first)] == ["left main"]
    later = next_visit(signed)
    (carried,) = later.use.cases(later.visit.id)
    assert carried.carried
    assert carried.discrepancy.id == made.discrepancy_id
    assert signed.house.archive.verify().faults == ()


def test_a_withdrawn_reading_stands_in_no_trend(signed: RoundHouse) -> None:
    house = signed.house
    past = History(house.archive.records)
    told = (signed.mechanic, house.supporting.id, "strut_extension")
    assert [one.stands for one in past.of_leg(*told)] == [True, True]
    withdraw(signed, house.supporting.id)
    assert [one.stands for one in past.of_leg(*told)] == [False, False]


def test_a_reading_is_withdrawn_once(signed: RoundHouse) -> None:
    withdraw(signed)
    with pytest.raises(Conflict, match="A discrepancy stands here already"):
        withdraw(signed)


def test_who_took_it_who_confirmed_it_or_who_works_in_their_roles_withdraws(signed: RoundHouse) -> None:
    for other in (signed.ndi, signed.trainee, signed.required, signed.signatory):
        with pytest.raises(NotAllowed, match="withdrawn by one who took or confirmed it"):
            withdraw(signed, who=other)
    with pytest.raises(NotAllowed):
        withdraw(signed, who=signed.administrator)
    assert withdraw(signed, who=signed.house.inspector_2).person_id == signed.house.inspector_2.id
    left = signed.house.supporting.id
    assert withdraw(signed, left, who=signed.mechanic_2).person_id == signed.mechanic_2.id


def test_what_was_answered_is_corrected_and_not_withdrawn(signed: RoundHouse) -> None:
    with pytest.raises(Conflict, match="correct the entry itself"):
        signed.use.propose_withdrawal(signed.mechanic, signed.item("hoses").id, WHY)


def test_a_withdrawal_needs_a_reason_and_a_password(signed: RoundHouse) -> None:
    with pytest.raises(UsageError, match="reason of the withdrawal"):
        withdraw(signed, reason="")
    told = (signed.mechanic, signed.item("strut_extension").id, WHY)
    seen = signed.use.propose_withdrawal(*told).record_hash
    with pytest.raises(NotAllowed, match="password"):
        signed.use.withdraw(*told, "not the password", seen)
    assert signed.item("strut_extension").state is ItemState.CLOSED
