from collections.abc import Callable

import pytest

from app.errors import Conflict, NotAllowed, UsageError
from app.inspection.rounds.model import OpenedKind, OutKind
from app.programme import ItemCondition
from tests.app.records_house import PASSWORD
from tests.app.rounds_house import FAULT, GOOD, RESTORED, SWING, RoundHouse

Open = Callable[..., RoundHouse]


def gave(opened: RoundHouse):  # type: ignore[no-untyped-def]
    seen = opened.use.handover_list(opened.visit.id).record_hash
    return opened.use.hand_over(opened.mechanic, opened.visit.id, opened.mechanic_2.id, PASSWORD, seen)


def test_giver_and_taker_sign_the_same_list_of_everything_open(round_of: Open) -> None:
    opened = round_of("hoses", "bolts")
    opened.use.opened(
        opened.mechanic, opened.visit.id, opened.house.primary.id, OpenedKind.LINE_OPEN, "brake"
    )
    opened.use.count_out(opened.mechanic, opened.visit.id, OutKind.CARD, "card 3", 1)
    opened.answer("hoses", FAULT)
    shown = opened.use.handover_list(opened.visit.id)
    assert shown.record["opened"][0]["kind"] == "line_open"
    assert shown.record["out"] == [{"kind": "card", "name": "card 3", "out": 1, "back": 0}]
    assert shown.record["discrepancies"][0]["state"] == "open"
    assert shown.record["condition"]["what"] == "on_wheels"
    given = gave(opened)
    taken = opened.use.take_over(opened.mechanic_2, given.id, PASSWORD, shown.record_hash)
    assert taken.taken_at is not None
    assert opened.use.pending_handover(opened.visit.id) is None


def test_nobody_hands_over_to_himself_or_to_who_answers_for_nothing(round_of: Open) -> None:
    opened = round_of("hoses")
    seen = opened.use.handover_list(opened.visit.id).record_hash
    for taker in (opened.mechanic, opened.trainee, opened.administrator):
        with pytest.raises(NotAllowed, match="handed over to another person who answers for it"):
            opened.use.hand_over(opened.mechanic, opened.visit.id, taker.id, PASSWORD, seen)


def test_only_the_named_taker_takes_it_and_once(round_of: Open) -> None:
    opened = round_of("hoses")
    given = gave(opened)
    seen = opened.use.handover_list(opened.visit.id).record_hash
    with pytest.raises(NotAllowed, match="handed over to another person"):
        opened.use.take_over(opened.inspector, given.id, PASSWORD, seen)
    with pytest.raises(NotAllowed, match="not your password"):
        opened.use.take_over(opened.mechanic_2, given.id, "wrong one", seen)
    opened.use.take_over(opened.mechanic_2, given.id, PASSWORD, seen)
    with pytest.raises(Conflict, match="signed by both already"):
        opened.use.take_over(opened.mechanic_2, given.id, PASSWORD, seen)


def test_a_list_that_changed_since_it_was_given_is_given_anew(round_of: Open) -> None:
    opened = round_of("hoses")
    given = gave(opened)
    opened.use.count_out(opened.mechanic, opened.visit.id, OutKind.TOOL, "torch", 1)
    seen = opened.use.handover_list(opened.visit.id).record_hash
    with pytest.raises(Conflict, match="the giver has to sign the list anew"):
        opened.use.take_over(opened.mechanic_2, given.id, PASSWORD, seen)
    with pytest.raises(Conflict, match="has changed since you looked"):
        opened.use.take_over(opened.mechanic_2, given.id, PASSWORD, given.listed_hash)
    again = gave(opened)
    assert opened.use.take_over(opened.mechanic_2, again.id, PASSWORD, seen).taken_at


def test_what_is_out_blocks_the_swing_until_all_of_it_is_back(round_of: Open) -> None:
    opened = round_of("locks")
    pins = opened.use.count_out(opened.mechanic, opened.visit.id, OutKind.PIN, "gear pins", 3)
    opened.use.count_in(opened.mechanic, pins.id, 2)
    with pytest.raises(Conflict, match="out: 1 of 3 pin gear pins"):
        opened.stand(ItemCondition.SWING, SWING)
    opened.use.count_in(opened.mechanic_2, pins.id, 3)
    opened.stand(ItemCondition.SWING, SWING)


def test_what_is_opened_blocks_the_swing_until_it_is_closed(round_of: Open) -> None:
    opened = round_of("locks")
    open_ = opened.use.opened(
        opened.mechanic, opened.visit.id, opened.house.primary.id, OpenedKind.NUT_UNPINNED, "axle nut"
    )
    with pytest.raises(Conflict, match="opened: nut unpinned, axle nut"):
        opened.stand(ItemCondition.SWING, SWING)
    opened.use.closed_again(opened.mechanic_2, open_.id)
    opened.stand(ItemCondition.SWING, SWING)
    with pytest.raises(Conflict, match="closed already"):
        opened.use.closed_again(opened.mechanic_2, open_.id)


@pytest.mark.parametrize("back", [-1, 1, 4])
def test_no_more_come_back_than_went_out_and_none_go_out_again(round_of: Open, back: int) -> None:
    opened = round_of("hoses")
    pins = opened.use.count_out(opened.mechanic, opened.visit.id, OutKind.PIN, "gear pins", 3)
    opened.use.count_in(opened.mechanic, pins.id, 2)
    with pytest.raises(UsageError, match="cannot be right"):
        opened.use.count_in(opened.mechanic, pins.id, back)


def test_a_second_shift_goes_on_where_the_first_left_off(round_of: Open) -> None:
    opened = round_of("hoses", "closed")
    opened.answer("hoses")
    given = gave(opened)
    opened.use.take_over(opened.mechanic_2, given.id, PASSWORD, given.listed_hash)
    opened.use.state_condition(opened.mechanic_2, opened.visit.id, ItemCondition.RESTORED, RESTORED)
    opened.answer("closed", GOOD, opened.mechanic_2)
    people = {one["by"] for one in opened.use.record(opened.visit.id)["statements"]}
    assert {opened.mechanic.id, opened.mechanic_2.id} <= people
