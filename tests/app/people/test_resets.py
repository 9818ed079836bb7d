"""A password that was reset: nobody uses it unseen."""

import pytest

from app.errors import Conflict, NotAllowed, TooManyTries, UsageError
from app.people import Person, Role
from tests.app.both_grounds import all_bytes
from tests.app.records_house import PASSWORD, WITHIN, House

NEW = "a new one of my own"


@pytest.fixture
def administrator(house: House) -> Person:
    return house.people.enter("Administrator", frozenset({Role.ADMINISTRATOR}), PASSWORD)


def reset_and_changed(house: House, administrator: Person) -> None:
    temporary = house.people.reset_password(administrator, house.inspector.id)
    house.people.change_password(house.inspector, temporary, NEW)


def test_a_reset_ends_the_old_password_and_every_session(house: House, administrator: Person) -> None:
    token = house.people.sign_in("Inspector", PASSWORD)
    temporary = house.people.reset_password(administrator, house.inspector.id)
    assert house.people.person_of(token) is None
    with pytest.raises(NotAllowed):
        house.people.sign_in("Inspector", PASSWORD)
    assert house.people.sign_in("Inspector", temporary)


def test_who_reset_a_password_cannot_sign_with_it(house: House, administrator: Person) -> None:
    shown = house.placed(house.sent(WITHIN), WITHIN)
    temporary = house.people.reset_password(administrator, house.inspector.id)
    with pytest.raises(NotAllowed, match="change the temporary one before you sign anything"):
        house.inspections.confirm(house.inspector, shown.try_.id, temporary, shown.record_hash or "")
    house.people.change_password(house.inspector, temporary, NEW)
    with pytest.raises(NotAllowed, match="another person who works on the aircraft has to vouch"):
        house.inspections.confirm(house.inspector, shown.try_.id, NEW, shown.record_hash or "")


def test_another_person_vouches_and_then_it_signs_again(house: House, administrator: Person) -> None:
    reset_and_changed(house, administrator)
    house.people.vouch(house.mechanic, house.inspector.id, PASSWORD)
    assert house.people.pending_reset(house.inspector.id) is None
    assert house.people.check_password(house.inspector, NEW)


def test_neither_the_person_nor_who_reset_vouches(house: House, administrator: Person) -> None:
    reset_and_changed(house, administrator)
    for by in (house.inspector, administrator):
        with pytest.raises(NotAllowed, match="not who reset the password"):
            house.people.vouch(by, house.inspector.id, PASSWORD)
    with pytest.raises(NotAllowed, match="That is not your password"):
        house.people.vouch(house.mechanic, house.inspector.id, "wrong password")


def test_two_resets_at_once_do_not_vouch_for_each_other(house: House, administrator: Person) -> None:
    reset_and_changed(house, administrator)
    temporary = house.people.reset_password(administrator, house.inspector_2.id)
    house.people.change_password(house.inspector_2, temporary, NEW)
    with pytest.raises(NotAllowed, match="Another person"):
        house.people.vouch(house.inspector_2, house.inspector.id, NEW)


def test_a_temporary_password_is_changed_before_anybody_vouches(house: House, administrator: Person) -> None:
    house.people.reset_password(administrator, house.inspector.id)
    with pytest.raises(Conflict, match="was not changed yet"):
        house.people.vouch(house.mechanic, house.inspector.id, PASSWORD)


def test_only_an_administrator_resets_and_not_his_own(house: House, administrator: Person) -> None:
    for by, whose in ((house.mechanic, house.inspector), (administrator, administrator)):
        with pytest.raises(NotAllowed, match="reset by an administrator, and never his own"):
            house.people.reset_password(by, whose.id)


def test_changing_ones_own_password_takes_the_old_one(house: House) -> None:
    with pytest.raises(NotAllowed, match="not your present password"):
        house.people.change_password(house.mechanic, "wrong password", NEW)
    with pytest.raises(Conflict, match="The new password is the old one"):
        house.people.change_password(house.mechanic, PASSWORD, PASSWORD)
    house.people.change_password(house.mechanic, PASSWORD, NEW)
    assert house.people.check_password(house.mechanic, NEW)


def test_guessing_the_present_password_has_to_wait_too(house: House) -> None:
    house.clock.step *= 0
    for _ in range(5):
        with pytest.raises(NotAllowed):
            house.people.change_password(house.mechanic, "wrong password", NEW)
    with pytest.raises(TooManyTries):
        house.people.change_password(house.mechanic, PASSWORD, NEW)


def test_each_step_is_an_event_and_no_password_is_in_it(house: House, administrator: Person) -> None:
    temporary = house.people.reset_password(administrator, house.inspector.id)
    house.people.change_password(house.inspector, temporary, NEW)
    house.people.vouch(house.mechanic, house.inspector.id, PASSWORD)
    assert house.archive.verify().faults == ()
    stored = all_bytes(house)
    for kind in (b"password-reset", b"password-changed", b"reset-vouched"):
        assert kind in stored
    assert temporary.encode() not in stored and NEW.encode() not in stored


@pytest.mark.parametrize("role", [Role.ADMINISTRATOR, Role.TRAINEE])
def test_an_administrator_and_a_trainee_have_no_other_role(house: House, role: Role) -> None:
    with pytest.raises(UsageError, match="has no other role"):
        house.people.enter("Somebody", frozenset({role, Role.INSPECTOR}), PASSWORD)


def test_an_administrator_signs_and_closes_nothing(house: House, administrator: Person) -> None:
    sent = house.sent(WITHIN)
    with pytest.raises(NotAllowed, match="entered by a mechanic or an inspector"):
        house.inspections.hand_measurement(administrator, sent.item_id, 88.9, 0.5, "rule 4", PASSWORD)
    with pytest.raises(NotAllowed, match="Only a mechanic or an inspector closes"):
        house.inspections.close_inspection(administrator, house.inspections.inspections()[0].id)
