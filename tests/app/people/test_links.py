"""Accounts at the shop's provider: linked by the person alone, ended by him or an administrator."""

import re

import pytest

from app.errors import Conflict, NotAllowed, NotFound, TooManyTries
from app.people import Person, Role
from app.people.links import LONGEST_SUBJECT
from app.people.links_model import Identity
from tests.app.both_grounds import all_bytes
from tests.app.records_house import PASSWORD, House, open_house

MINE = Identity("https://shop.example", "248289761001")


@pytest.fixture
def administrator(house: House) -> Person:
    return house.people.enter("Administrator", frozenset({Role.ADMINISTRATOR}), PASSWORD)


def test_a_linked_account_opens_a_session_of_its_person_and_an_unlinked_one_none(house: House) -> None:
    assert house.people.sign_in_by_provider(MINE) is None
    house.people.links.link(house.mechanic, PASSWORD, MINE)
    token = house.people.sign_in_by_provider(MINE)
    assert token is not None
    assert house.people.person_of(token) == house.mechanic


@pytest.mark.parametrize(
    "other", [Identity("https://other.example", "248289761001"), Identity(MINE.issuer, "2")]
)
def test_only_issuer_and_subject_together_are_somebody(house: House, other: Identity) -> None:
    house.people.links.link(house.mechanic, PASSWORD, MINE)
    assert house.people.sign_in_by_provider(other) is None


def test_it_takes_the_person_s_own_password_and_wrong_ones_are_slowed(house: House) -> None:
    for _ in range(5):
        with pytest.raises(NotAllowed, match="not your password, so nothing was linked"):
            house.people.links.link(house.mechanic, "not it", MINE)
    with pytest.raises(TooManyTries, match="wait"):
        house.people.links.link(house.mechanic, PASSWORD, MINE)
    assert house.people.sign_in_by_provider(MINE) is None


def test_who_reset_a_password_cannot_link_an_account_with_it(house: House, administrator: Person) -> None:
    temporary = house.people.reset_password(administrator, house.mechanic.id)
    with pytest.raises(NotAllowed, match="was reset: change the temporary one"):
        house.people.links.link(house.mechanic, temporary, MINE)


def test_an_account_is_one_person_s_at_a_time(house: House) -> None:
    link = house.people.links.link(house.mechanic, PASSWORD, MINE)
    with pytest.raises(Conflict, match="linked already"):
        house.people.links.link(house.inspector, PASSWORD, MINE)
    house.people.links.end(house.mechanic, link.id)
    house.people.links.link(house.inspector, PASSWORD, MINE)
    assert house.people.links.person_of(MINE) == house.inspector.id


@pytest.mark.parametrize("subject", ["", "x" * (LONGEST_SUBJECT + 1)])
def test_a_subject_beyond_the_standard_s_length_is_not_kept(house: House, subject: str) -> None:
    with pytest.raises(Conflict, match="cannot be kept"):
        house.people.links.link(house.mechanic, PASSWORD, Identity(MINE.issuer, subject))


def test_ending_a_link_ends_the_person_s_sessions(house: House) -> None:
    link = house.people.links.link(house.mechanic, PASSWORD, MINE)
    token = house.people.sign_in_by_provider(MINE)
    assert token is not None
    house.people.links.end(house.mechanic, link.id)
    assert house.people.person_of(token) is None
    assert house.people.sign_in_by_provider(MINE) is None


def test_a_link_is_ended_by_its_person_or_an_administrator_alone(house: House, administrator: Person) -> None:
    link = house.people.links.link(house.mechanic, PASSWORD, MINE)
    with pytest.raises(NotAllowed, match="by the person whose it is, or by an administrator"):
        house.people.links.end(house.inspector, link.id)
    assert house.people.links.end(administrator, link.id).ended_by == administrator.id
    with pytest.raises(Conflict, match="ended before"):
        house.people.links.end(house.mechanic, link.id)
    with pytest.raises(NotFound, match="no such link"):
        house.people.links.end(administrator, "x")


def test_one_sees_ones_own_links_and_an_administrator_sees_all(house: House, administrator: Person) -> None:
    link = house.people.links.link(house.mechanic, PASSWORD, MINE)
    assert house.people.links.list_for(house.mechanic) == (link,)
    assert house.people.links.list_for(house.inspector) == ()
    assert house.people.links.list_for(administrator) == (link,)


def test_links_are_events_that_verify_and_a_server_started_anew_knows_them(house: House) -> None:
    link = house.people.links.link(house.mechanic, PASSWORD, MINE)
    again = open_house(house.ground)
    assert again.people.links.person_of(MINE) == house.mechanic.id
    again.archive.close()
    house.people.links.end(house.mechanic, link.id)
    assert house.archive.verify().faults == ()
    stored = all_bytes(house)
    for kind in (b"identity-linked", b"identity-ended"):
        assert len(re.findall(kind, stored)) >= 1
