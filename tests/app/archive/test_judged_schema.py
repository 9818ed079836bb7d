"""What the schema of judged photos itself refuses, past all rules of the program."""

from dataclasses import replace
from typing import Any

import pytest
from sqlalchemy.exc import IntegrityError

from app.errors import Conflict
from app.inspection import Try
from app.inspection.rounds.model import (
    BareMarking,
    Finding,
    HandEntry,
    HandKind,
    Judged,
    Judging,
    PlaceOpened,
)
from tests.app.hose_house import flag, found, hose_item, judged, marked, open_hoses, searched
from tests.app.records_house import House
from tests.app.rounds_house import RoundHouse


@pytest.fixture
def opened(house: House) -> RoundHouse:
    """A visit with a photo that the mechanic has marked and judged; another of his is only searched."""
    found_ = open_hoses(house)
    this = searched(found_, found(flag(200.0), flag(300.0)))
    marked(found_, this)
    judged(found_, this, "flag-1", Judged.CANNOT_TELL)
    return found_


def put(opened: RoundHouse, *rows: Any) -> None:
    with opened.house.archive.records.begin() as work:
        work.enter("for-the-test", None, opened.visit.id, *rows)


def one(opened: RoundHouse, kind: Any) -> Any:
    with opened.house.archive.records.look() as r:
        (row,) = r.all(kind)
        return row


def refused(opened: RoundHouse, words: str, *rows: Any) -> None:
    with pytest.raises(IntegrityError, match=words):
        put(opened, *rows)


def new(row: Any, **changed: Any) -> Any:
    return replace(row, **{"id": "1" * 32} | changed)


FOREIGN = "(?i)foreign key"


def test_no_place_is_opened_by_who_has_not_marked_the_photo(opened: RoundHouse) -> None:
    row = one(opened, PlaceOpened)
    refused(opened, FOREIGN, new(row, person_id=opened.inspector.id))
    other = searched(opened, found(flag(200.0)))
    refused(opened, FOREIGN, new(row, try_id=other.id))


def test_no_place_is_judged_that_its_judge_has_not_opened(opened: RoundHouse) -> None:
    row = one(opened, Judging)
    refused(opened, FOREIGN, new(row, place="flag-2"))
    refused(opened, FOREIGN, new(row, person_id=opened.inspector.id))


def test_who_marks_nothing_has_to_say_that_he_sees_none(opened: RoundHouse) -> None:
    row = one(opened, BareMarking)
    who = {"person_id": opened.inspector.id}
    refused(opened, "ck_bare_markings_seen|seen", new(row, none_seen=False, **who))
    mark = ({"x": 1.0, "y": 2.0, "text": ""},)
    refused(opened, "ck_bare_markings_seen|seen", new(row, marks=mark, **who))
    put(opened, new(row, marks=mark, none_seen=False, **who))


@pytest.mark.parametrize("kind", [BareMarking, PlaceOpened, Judging])
def test_a_person_does_each_of_these_once(opened: RoundHouse, kind: Any) -> None:
    with pytest.raises(Conflict):
        put(opened, new(one(opened, kind)))


def test_a_judgement_is_one_of_five(opened: RoundHouse) -> None:
    with pytest.raises(IntegrityError, match="judged"), opened.house.archive.records.begin() as work:
        work.connection.exec_driver_sql("UPDATE judgings SET judged = 'fine'")


def hand(opened: RoundHouse, **changed: Any) -> HandEntry:
    made = HandEntry(
        "2" * 32, hose_item(opened).id, opened.mechanic.id, HandKind.SETTLES, "", one(opened, Judging).id,
        Finding.GOOD, "smooth", {}, opened.house.clock.now(),
    )  # fmt: skip
    return replace(made, **changed)


@pytest.mark.parametrize(
    ("changed", "words"),
    [
        ({"judging_id": None}, "settles"),
        ({"kind": HandKind.ALL_ROUND}, "settles"),
        ({"hose": "brake"}, "hose"),
        ({"finding": Finding.FAULT, "text": ""}, "finding"),
        ({"finding": Finding.UNDECIDED}, "finding"),
        ({"judging_id": "3" * 32}, FOREIGN),
    ],
)
def test_an_inspection_by_hand_is_one_of_its_three_kinds(
    opened: RoundHouse, changed: dict[str, Any], words: str
) -> None:
    refused(opened, words, hand(opened, **changed))


def test_only_who_could_not_tell_settles_a_place(opened: RoundHouse) -> None:
    refused(opened, FOREIGN, hand(opened, person_id=opened.inspector.id))
    put(opened, hand(opened))


def test_all_round_is_entered_once_by_a_person(opened: RoundHouse) -> None:
    all_round = {"kind": HandKind.ALL_ROUND, "judging_id": None}
    put(opened, hand(opened, **all_round))
    with pytest.raises(Conflict):
        put(opened, hand(opened, id="4" * 32, **all_round))
    assert isinstance(one(opened, Try), Try)
