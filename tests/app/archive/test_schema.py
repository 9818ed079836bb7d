"""What the schema itself refuses, past all rules of the program."""

from typing import Any

import pytest
from alembic.autogenerate import compare_metadata
from alembic.runtime.migration import MigrationContext
from sqlalchemy import insert, text, update
from sqlalchemy.exc import IntegrityError

from app.archive.tables import (
    KINDS,
    confirmations,
    hand_readings,
    inspections,
    items,
    metadata,
    tries,
)
from app.errors import ArchiveError, Conflict
from app.inspection import BlindReading, Confirmation, Outcome
from tests.app.records_house import WITHIN, House


def signed(house: House) -> dict[str, Any]:
    """A confirmation's row that all constraints allow, of a try that waits."""
    sent = house.sent(WITHIN)
    shown = house.placed(sent, WITHIN)
    assert shown.blind is not None
    with house.archive.records.begin() as work:
        event = work.enter("signed", house.inspector, shown.place.inspection.id, data={"test": True})
    return {
        "id": "c" * 32,
        "try_id": sent.id,
        "confirmer_id": house.inspector.id,
        "performer_id": house.mechanic.id,
        "blind_reading_id": shown.blind.id,
        "agrees": True,
        "difference_mm": 0.0,
        "combined_u_mm": 0.5,
        "outcome": Outcome.WITHIN_CLOSED,
        "signed_at": house.clock.now(),
        "signed_hash": "0" * 64,
        "event_hash": event,
    }


def put(house: House, row: dict[str, Any]) -> None:
    with house.archive.records.begin() as work:
        work.connection.execute(insert(confirmations).values(row))


def test_a_whole_confirmation_is_taken(house: House) -> None:
    put(house, signed(house))


@pytest.mark.parametrize("name", [column.name for column in confirmations.columns])
def test_a_confirmation_lacks_nothing(house: House, name: str) -> None:
    with pytest.raises(IntegrityError, match=r"(?i)not.null"):
        put(house, signed(house) | {name: None})


def test_a_confirmation_without_a_blind_reading_is_refused(house: House) -> None:
    with pytest.raises(IntegrityError, match=r"(?i)foreign key"):
        put(house, signed(house) | {"blind_reading_id": "0" * 32})


def test_a_confirmation_on_anothers_blind_reading_is_refused(house: House) -> None:
    with pytest.raises(IntegrityError, match=r"(?i)foreign key"):
        put(house, signed(house) | {"confirmer_id": house.inspector_2.id})


def test_a_confirmation_on_the_blind_reading_of_another_try_is_refused(house: House) -> None:
    other = house.placed(house.sent(WITHIN, house.supporting), WITHIN)
    assert other.blind is not None
    with pytest.raises(IntegrityError, match=r"(?i)foreign key"):
        put(house, signed(house) | {"blind_reading_id": other.blind.id})


def test_a_confirmation_of_ones_own_work_is_refused(house: House) -> None:
    with pytest.raises(IntegrityError, match=r"(?i)check constraint.* \"?ck_confirmations_another_person"):
        put(house, signed(house) | {"confirmer_id": house.mechanic.id})


def test_a_confirmation_cannot_name_another_performer_than_the_trys(house: House) -> None:
    with pytest.raises(IntegrityError, match=r"(?i)foreign key"):
        put(house, signed(house) | {"performer_id": house.inspector_2.id})


def test_a_confirmation_without_its_event_is_refused(house: House) -> None:
    with pytest.raises(IntegrityError, match=r"(?i)foreign key"):
        put(house, signed(house) | {"event_hash": "0" * 64})


def test_a_second_confirmation_of_a_try_is_a_conflict(house: House) -> None:
    row = signed(house)
    put(house, row)
    with pytest.raises(Conflict, match="Somebody else was faster"):
        put(house, row | {"id": "d" * 32})


def test_a_second_placing_of_a_person_on_a_photo_is_a_conflict(house: House) -> None:
    shown = house.placed(house.sent(WITHIN), WITHIN)
    assert shown.blind is not None
    fields = {name: getattr(shown.blind, name) for name in BlindReading.__dataclass_fields__}
    with pytest.raises(Conflict), house.archive.records.begin() as work:
        again = BlindReading(**fields | {"id": "b" * 32})
        work.enter("placed", house.inspector, shown.place.inspection.id, again)


@pytest.mark.parametrize(
    ("changed", "name"),
    [
        ({"result": None}, "ck_tries_result"),
        ({"photo": None}, "ck_tries_photo"),
        ({"sent_at": None}, "ck_tries_sent"),
        ({"failure": "x"}, "ck_tries_failure"),
        ({"own_hand_mm": 88.9}, "ck_tries_own_hand"),
    ],
)
def test_a_sent_try_has_photo_result_and_time(house: House, changed: dict[str, Any], name: str) -> None:
    house.sent(WITHIN)
    with pytest.raises(IntegrityError, match=rf'(?i)check constraint.* "?{name}'):
        _update(house, tries, changed)


def test_who_waits_for_hands_waits_for_some_and_nobody_else_does(house: House) -> None:
    house.sent(WITHIN)
    with pytest.raises(IntegrityError, match="ck_items_hands_wanted"):
        _update(house, items, {"hands_wanted": 1})


def test_only_one_reading_of_an_item_waits(house: House) -> None:
    house.measured(WITHIN)
    house.sent(WITHIN)
    with pytest.raises(Conflict):
        _update(house, tries, {"state": "sent", "sent_at": house.clock.now()})


def test_only_one_inspection_of_an_aircraft_is_open(house: House) -> None:
    first = house.inspections.open_inspection(house.mechanic, house.aircraft.id)
    house.inspections.close_inspection(house.mechanic, first.id)
    house.inspections.open_inspection(house.mechanic, house.aircraft.id)
    with pytest.raises(Conflict):
        _update(house, inspections, {"closed_at": None})


def test_a_person_measures_once_in_a_round(house: House) -> None:
    sent = house.sent(WITHIN)
    house.by_hand(house.mechanic, sent.item_id, 89.0)
    house.by_hand(house.inspector, sent.item_id, 89.0)
    with pytest.raises(Conflict):
        _update(house, hand_readings, {"person_id": house.mechanic.id})


def test_the_migrations_make_the_schema_that_the_tables_state(house: House) -> None:
    with house.archive.records.look() as r:
        context = MigrationContext.configure(r.connection)
        assert compare_metadata(context, metadata) == []


def test_each_dataclass_has_a_column_for_each_field() -> None:
    for kind, table in KINDS.items():
        assert list(kind.__dataclass_fields__) == list(table.columns.keys())
    assert Confirmation in KINDS


def test_an_archive_of_a_newer_program_is_not_touched(house: House) -> None:
    with house.archive.records.begin() as work:
        work.connection.execute(text("UPDATE alembic_version SET version_num = '9999'"))
    with pytest.raises(ArchiveError, match="revision 9999, which this program does not know"):
        house.ground.open()


def _update(house: House, table: Any, changed: dict[str, Any]) -> None:
    with house.archive.records.begin() as work:
        work.connection.execute(update(table).values(changed))
