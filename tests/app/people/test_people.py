from datetime import timedelta

import pytest

from app.errors import Conflict, NotAllowed, NotFound, TooManyTries, UsageError
from app.people import Role
from app.people.passwords import wait_after
from tests.app.both_grounds import all_bytes
from tests.app.records_house import PASSWORD, House, open_house


def wrong(house: House, times: int, name: str = "Inspector") -> None:
    for _ in range(times):
        with pytest.raises(NotAllowed, match="Name or password is wrong"):
            house.people.sign_in(name, "wrong password")


def test_who_signs_in_is_known_by_his_token_until_he_signs_out(house: House) -> None:
    token = house.people.sign_in("Inspector", PASSWORD)
    assert house.people.person_of(token) == house.inspector
    house.people.sign_out(token)
    assert house.people.person_of(token) is None
    house.people.sign_out(token)


def test_two_sessions_of_one_person_end_one_by_one(house: House) -> None:
    phone, tablet = (house.people.sign_in("Inspector", PASSWORD) for _ in range(2))
    assert phone != tablet
    house.people.sign_out(phone)
    assert house.people.person_of(tablet) == house.inspector


def test_a_session_expires(house: House) -> None:
    token = house.people.sign_in("Inspector", PASSWORD)
    house.clock.at += timedelta(hours=11, minutes=59)
    assert house.people.person_of(token) == house.inspector
    house.clock.at += timedelta(minutes=1)
    assert house.people.person_of(token) is None


def test_a_session_outlives_the_server(house: House) -> None:
    token = house.people.sign_in("Inspector", PASSWORD)
    again = open_house(house.ground)
    assert again.people.person_of(token) == house.inspector
    again.archive.close()


def test_neither_token_nor_password_can_be_read_in_the_archive(house: House) -> None:
    token = house.people.sign_in("Inspector", PASSWORD)
    stored = all_bytes(house)
    assert b"argon2id" in stored
    assert token.encode() not in stored
    assert PASSWORD.encode() not in stored


@pytest.mark.parametrize("token", ["", "x", "\ud800", "0" * 64])
def test_a_token_that_is_none_is_nobodys(house: House, token: str) -> None:
    assert house.people.person_of(token) is None


@pytest.mark.parametrize("name", ["inspector", "  INSPECTOR ", "Ｉnspector"])
def test_a_name_is_known_however_it_is_written(house: House, name: str) -> None:
    assert house.people.person_of(house.people.sign_in(name, PASSWORD)) == house.inspector


@pytest.mark.parametrize(
    ("name", "password"), [("Inspector", "x"), ("Nobody", PASSWORD), ("", ""), ("\ud800", "\ud800")]
)
def test_a_wrong_name_and_a_wrong_password_get_the_same_answer(
    house: House, name: str, password: str
) -> None:
    with pytest.raises(NotAllowed, match=r"^Name or password is wrong: type both again\.$"):
        house.people.sign_in(name, password)


def test_five_wrong_tries_cost_nothing_and_the_sixth_has_to_wait(house: House) -> None:
    house.clock.step = timedelta(0)
    wrong(house, 5)
    with pytest.raises(TooManyTries, match=r"wait 5 s,"):
        house.people.sign_in("Inspector", PASSWORD)
    house.clock.at += timedelta(seconds=4.9)
    with pytest.raises(TooManyTries, match=r"wait 1 s,"):
        house.people.sign_in("Inspector", PASSWORD)
    house.clock.at += timedelta(seconds=0.1)
    assert house.people.sign_in("Inspector", PASSWORD)


def test_asking_while_one_has_to_wait_does_not_make_it_longer(house: House) -> None:
    house.clock.step = timedelta(0)
    wrong(house, 5)
    for _ in range(3):
        with pytest.raises(TooManyTries):
            house.people.sign_in("Inspector", PASSWORD)
    house.clock.at += timedelta(seconds=5)
    assert house.people.sign_in("Inspector", PASSWORD)


def test_a_right_password_begins_to_count_anew(house: House) -> None:
    wrong(house, 4)
    house.people.sign_in("Inspector", PASSWORD)
    wrong(house, 5)


def test_a_name_that_nobody_has_is_slowed_alike(house: House) -> None:
    house.clock.step = timedelta(0)
    wrong(house, 5, "Nobody")
    with pytest.raises(TooManyTries):
        house.people.sign_in("Nobody", "wrong password")


def test_one_persons_wrong_tries_do_not_slow_another(house: House) -> None:
    wrong(house, 5)
    assert house.people.sign_in("Mechanic", PASSWORD)


def test_signatures_are_slowed_with_the_same_count(house: House) -> None:
    house.clock.step = timedelta(0)
    wrong(house, 3)
    assert not house.people.check_password(house.inspector, "wrong")
    assert not house.people.check_password(house.inspector, "wrong")
    with pytest.raises(TooManyTries):
        house.people.check_password(house.inspector, PASSWORD)


def test_the_waiting_doubles_up_to_five_minutes() -> None:
    seconds = [wait_after(wrong).total_seconds() for wrong in (0, 4, 5, 6, 7, 10, 11, 1000)]
    assert seconds == [0, 0, 5, 10, 20, 160, 300, 300]


def test_a_password_is_checked_for_a_signature(house: House) -> None:
    assert house.people.check_password(house.inspector, PASSWORD)
    assert not house.people.check_password(house.inspector, PASSWORD + " ")
    assert not house.people.check_password(house.inspector, "")


def test_a_name_is_taken_once_capitals_or_not(house: House) -> None:
    with pytest.raises(Conflict, match="somebody named inSPECTOR already"):
        house.people.enter("inSPECTOR", frozenset({Role.INSPECTOR}), PASSWORD)


@pytest.mark.parametrize("password", ["", "seven77", "x" * 201])
def test_a_password_is_neither_short_nor_endless(house: House, password: str) -> None:
    with pytest.raises(UsageError, match=rf"8 to 200 letters, not {len(password)}"):
        house.people.enter("New", frozenset({Role.MECHANIC}), password)


def test_persons_are_listed_by_name_and_found_by_id(house: House) -> None:
    new = house.people.enter("  another  ", frozenset({Role.MECHANIC, Role.INSPECTOR}), PASSWORD)
    assert [one.name for one in house.people.everyone()] == [
        "another",
        "Inspector",
        "Inspector 2",
        "Mechanic",
    ]
    assert house.people.find(new.id) == new
    with pytest.raises(NotFound, match="no person 'nobody'"):
        house.people.find("nobody")
