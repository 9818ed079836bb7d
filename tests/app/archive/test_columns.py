from datetime import UTC, datetime, timedelta, timezone

import pytest
from sqlalchemy import select, text
from sqlalchemy.exc import StatementError

from app.archive.tables import inspections
from app.inspection import Inspection, TryState
from tests.app.records_house import House


def enter(house: House, opened_at: datetime) -> Inspection:
    opened = Inspection("1" * 32, house.aircraft.id, house.mechanic.id, opened_at)
    with house.archive.records.begin() as work:
        work.enter("inspection-opened", house.mechanic, opened.id, opened)
    with house.archive.records.look() as r:
        return r.get(Inspection, opened.id)


def test_a_time_from_anywhere_comes_back_in_utc(house: House) -> None:
    tokyo = datetime(2024, 5, 1, 9, 30, 0, 1, tzinfo=timezone(timedelta(hours=9)))
    back = enter(house, tokyo).opened_at
    assert (back, back.tzinfo) == (tokyo, UTC)
    with house.archive.records.look() as r:
        stored = r.connection.execute(select(text("opened_at")).select_from(inspections)).scalar_one()
    assert stored == "2024-05-01T00:30:00.000001+00:00"


def test_a_time_without_a_zone_is_refused(house: House) -> None:
    with pytest.raises((ValueError, StatementError), match="no time zone"):
        enter(house, datetime(2024, 5, 1, 9, 30))


def test_a_state_that_is_none_is_refused(house: House) -> None:
    stored = house.stored()
    broken = stored.__class__(**{**stored.__dict__, "state": "perhaps"})
    with pytest.raises((ValueError, StatementError), match="perhaps"), house.archive.records.begin() as work:
        work.enter("test", None, None, broken)
    assert house.inspections.try_of(house.mechanic, stored.id).state is TryState.STORED
