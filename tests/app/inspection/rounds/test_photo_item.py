"""The strut's photo on a visit that follows a programme: condition, card, and photos that are not of here and now."""

from collections.abc import Callable
from datetime import date, timedelta

import pytest

from app.errors import Conflict, NotAllowed
from app.inspection import ItemState
from app.programme import ItemCondition
from tests.app.records_house import PASSWORD, STATED, WITHIN
from tests.app.rounds_house import FAULT, GOOD, RESTORED, RoundHouse

Open = Callable[..., RoundHouse]


def begun(opened: RoundHouse, card: str = ""):  # type: ignore[no-untyped-def]
    return opened.use.begin_try(opened.mechanic, opened.house.primary.id, STATED, card=card)


def test_the_strut_is_photographed_on_its_wheels_only(round_of: Open) -> None:
    opened = round_of("closed", strut=True)
    opened.stand(ItemCondition.RESTORED, RESTORED)
    with pytest.raises(Conflict, match="Strut extension is done on wheels"):
        begun(opened)
    with pytest.raises(Conflict, match="Strut extension is done on wheels"):
        opened.house.by_hand(opened.mechanic, opened.item("strut_extension"), 88.9)


def test_a_card_that_is_unknown_overdue_or_damaged_measures_nothing(round_of: Open) -> None:
    opened = round_of("hoses", strut=True)
    card = opened.use.enter_card(
        opened.mechanic, "strip", "3", (200.2, 30.0), "steel rule 17", date(2024, 6, 1)
    )
    for number in ("", "4"):
        with pytest.raises(NotAllowed, match="There is no card"):
            begun(opened, number)
    made = begun(opened, "3")
    assert made.options["check_bar_mm"] == [200.2, 30.0]
    assert "Card copy 3, check bars by steel rule 17, due 2024-06-01." in made.statements
    opened.house.clock.at += timedelta(days=60)
    with pytest.raises(NotAllowed, match="Card 3 was due on 2024-06-01"):
        begun(opened, "3")
    opened.use.damage_card(opened.mechanic, card.id, "creased")
    with pytest.raises(NotAllowed, match=r"Card 3 is damaged \(creased\)"):
        begun(opened, "3")


def test_the_very_photo_of_another_leg_is_refused(round_of: Open) -> None:
    opened = round_of("hoses", strut=True)
    use = opened.use
    use.photo_arrived(opened.mechanic, begun(opened).id, b"the nose strut")
    other = use.begin_try(opened.mechanic, opened.house.supporting.id, STATED)
    with pytest.raises(Conflict, match="This very photo was sent for another leg"):
        use.photo_arrived(opened.mechanic, other.id, b"the nose strut")


def test_the_very_photo_of_an_earlier_visit_is_stale(round_of: Open) -> None:
    opened = round_of("hoses", strut=True)
    use = opened.use
    use.photo_arrived(opened.mechanic, begun(opened).id, b"the nose strut")
    with opened.house.archive.records.begin() as work:
        from dataclasses import replace  # noqa: PLC0415 - only here

        work.enter(
            "closed-for-the-test", None, None, replace(opened.visit, closed_at=opened.house.clock.now())
        )
    visit = use.open_inspection(opened.mechanic, opened.house.aircraft.id)
    opened.visit = visit
    opened.opened_by(opened.mechanic)
    opened.stand(ItemCondition.ON_WHEELS, {"load": "x", "level": "0", "settled": ""})
    with pytest.raises(Conflict, match="This very photo was sent on an earlier visit"):
        use.photo_arrived(opened.mechanic, begun(opened).id, b"the nose strut")


def test_a_strut_is_confirmed_only_by_who_is_authorised_for_it(round_of: Open) -> None:
    opened = round_of("hoses", strut=True)
    sent = opened.house.sent(WITHIN)
    for one in opened.use.authorisations():
        opened.use.withdraw_authorisation(opened.administrator, one.id)
    with pytest.raises(NotAllowed, match="has no authorisation as inspector for 'strut'"):
        opened.use.place(opened.inspector, sent.id, (0.0, 0.0), (0.0, 889.0))


def test_a_strut_is_not_answered_by_eye_and_a_hose_not_measured_as_one(round_of: Open) -> None:
    opened = round_of("hoses", strut=True)
    with pytest.raises(Conflict, match="answered by its photo or by hand measurement"):
        opened.use.answer(opened.mechanic, opened.item("strut_extension").id, GOOD)
    with pytest.raises(Conflict, match="Only a strut's extension is entered here"):
        opened.use.hand_measurement(opened.mechanic, opened.item("hoses").id, 88.9, 0.5, "rule 4", PASSWORD)


def test_a_strut_within_and_confirmed_closes_its_item_in_the_round(round_of: Open) -> None:
    opened = round_of("hoses", strut=True)
    opened.house.confirmed(WITHIN)
    assert opened.item("strut_extension").state is ItemState.CLOSED
    walk = opened.use.walk(opened.mechanic, opened.visit.id, opened.house.primary.id)
    assert (walk.done, len(walk.stops)) == (1, 2)
    assert walk.next_after() is walk.stops[1]


def test_a_walk_goes_on_after_the_item_and_comes_back_to_what_was_left(round_of: Open) -> None:
    opened = round_of("hoses", "bolts", "leaks")
    leg = opened.house.primary.id
    opened.answer("bolts", FAULT)
    walk = opened.use.walk(opened.mechanic, opened.visit.id, leg)
    assert [one.item.key for one in walk.stops] == ["hoses", "bolts", "leaks"]
    after = walk.next_after(opened.item("hoses").id)
    assert after is not None and after.item.key == "leaks"
    back = walk.next_after(opened.item("leaks").id)
    assert back is not None and back.item.key == "hoses"
