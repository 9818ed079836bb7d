import re
from datetime import timedelta

import pytest

from app.errors import Conflict, NotAllowed, NotFound, UsageError
from app.people import Role
from app.people.devices import CODE_LASTS
from app.people.devices_model import Device
from tests.app.both_grounds import all_bytes
from tests.app.records_house import PASSWORD, House, open_house

USED_UP = "used up, too old or mistyped"


def registered(house: House, name: str = "Hangar phone") -> tuple[Device, str]:
    devices = house.people.devices
    return devices.register(devices.new_code().code, house.mechanic, name)


def test_a_code_registers_one_device_and_then_counts_no_more(house: House) -> None:
    devices = house.people.devices
    code = devices.new_code().code
    device, token = devices.register(code, house.mechanic, " Hangar phone ")
    assert (device.name, device.person_id) == ("Hangar phone", house.mechanic.id)
    assert devices.known(token) == device
    with pytest.raises(NotAllowed, match=USED_UP):
        devices.register(code, house.mechanic, "Another phone")


def test_a_code_typed_with_its_gap_and_in_small_letters_is_the_same_code(house: House) -> None:
    devices = house.people.devices
    assert devices.register(devices.new_code().spaced.lower(), house.mechanic, "Phone")


def test_a_code_is_over_after_ten_minutes(house: House) -> None:
    code = house.people.devices.new_code().code
    house.clock.at += CODE_LASTS
    with pytest.raises(NotAllowed, match=USED_UP):
        house.people.devices.register(code, house.mechanic, "Phone")


@pytest.mark.parametrize("code", ["", "x", "A" * 10, "\ud800"])
def test_a_code_that_was_never_shown_opens_nothing(house: House, code: str) -> None:
    house.people.devices.new_code()
    with pytest.raises(NotAllowed, match=USED_UP):
        house.people.devices.require_code(code)


def test_a_code_is_kept_when_the_phone_has_no_name_yet(house: House) -> None:
    devices = house.people.devices
    code = devices.new_code().code
    with pytest.raises(UsageError, match="The phone's name has to be told"):
        devices.register(code, house.mechanic, " ")
    assert devices.register(code, house.mechanic, "Phone")


def test_a_server_that_starts_anew_knows_the_devices_and_not_the_codes(house: House) -> None:
    _, token = registered(house)
    code = house.people.devices.new_code().code
    again = open_house(house.ground)
    assert again.people.devices.known(token) is not None
    with pytest.raises(NotAllowed, match=USED_UP):
        again.people.devices.require_code(code)
    again.archive.close()


def test_a_device_expires(house: House) -> None:
    device, token = registered(house)
    house.clock.at = device.expires_at - timedelta(minutes=1)
    assert house.people.devices.known(token) == device
    house.clock.at = device.expires_at
    assert house.people.devices.known(token) is None
    assert not house.people.devices.is_in_use(device)


def test_a_session_ends_with_its_device_at_the_latest(house: House) -> None:
    device, _ = registered(house)
    house.clock.at = device.expires_at - timedelta(hours=1)
    session = house.people.sign_in("Mechanic", PASSWORD, device)
    house.clock.at = device.expires_at
    assert house.people.person_of(session) is None


def test_sessions_made_before_a_device_was_shut_out_are_over(house: House) -> None:
    device, token = registered(house)
    on_it = house.people.sign_in("Mechanic", PASSWORD, device)
    at_the_desk = house.people.sign_in("Mechanic", PASSWORD)
    house.people.devices.revoke(house.mechanic, device.id)
    assert house.people.devices.known(token) is None
    assert house.people.person_of(on_it) is None
    assert house.people.person_of(at_the_desk) == house.mechanic


def test_a_session_counts_only_on_the_device_that_it_was_begun_on(house: House) -> None:
    (one, one_token), (_, other_token) = registered(house, "One"), registered(house, "Other")
    session = house.people.sign_in("Mechanic", PASSWORD, one)
    assert house.people.devices.known(one_token, session) == one
    assert house.people.devices.known(other_token, session) is None
    at_the_desk = house.people.sign_in("Mechanic", PASSWORD)
    assert house.people.devices.known(one_token, at_the_desk) is None


def test_a_device_is_shut_out_by_its_person_or_an_administrator_alone(house: House) -> None:
    device, _ = registered(house)
    with pytest.raises(NotAllowed, match="by the person who registered it, or by an administrator"):
        house.people.devices.revoke(house.inspector, device.id)
    administrator = house.people.enter("Administrator", frozenset({Role.ADMINISTRATOR}), PASSWORD)
    assert house.people.devices.revoke(administrator, device.id).ended_by == administrator.id
    with pytest.raises(Conflict, match="shut out before"):
        house.people.devices.revoke(house.mechanic, device.id)
    with pytest.raises(NotFound, match="no such phone"):
        house.people.devices.revoke(administrator, "x")


def test_one_sees_ones_own_devices_and_an_administrator_sees_all(house: House) -> None:
    device, _ = registered(house)
    administrator = house.people.enter("Administrator", frozenset({Role.ADMINISTRATOR}), PASSWORD)
    assert house.people.devices.list_for(house.mechanic) == (device,)
    assert house.people.devices.list_for(house.inspector) == ()
    assert house.people.devices.list_for(administrator) == (device,)


def test_registering_and_shutting_out_are_events_that_verify(house: House) -> None:
    device, token = registered(house)
    house.people.devices.revoke(house.mechanic, device.id)
    assert house.archive.verify().faults == ()
    stored = all_bytes(house)
    for kind in (b"device-registered", b"device-ended"):
        assert len(re.findall(kind, stored)) >= 1
    assert token.encode() not in stored
