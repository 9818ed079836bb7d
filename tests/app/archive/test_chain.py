"""The events: their bytes, their hashes, and that each change has one."""

import hashlib
import json
from datetime import UTC, datetime
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from sqlalchemy import select

from app.archive import chain
from app.archive.tables import events, heads
from app.inspection import BlindReading, Measured, TryState
from app.inspection.canonical import canonical
from tests.app.records_house import UNDECIDED, WITHIN, House, reading


def told(house: House, name: str) -> list[dict[str, Any]]:
    """The events of a chain in their order."""
    query = select(events.c.body).where(events.c.chain == name).order_by(events.c.number)
    with house.archive.records.look() as r:
        return [json.loads(body) for body in r.connection.execute(query).scalars()]


def test_the_form_of_an_event_and_of_its_hash_are_frozen() -> None:
    at = datetime(2024, 5, 2, 9, tzinfo=UTC)
    body = chain.body_of("kind", at, "person", "inspection", {"b": 1.0, "a": [0.1]})
    assert body == (
        b'{"at":"2024-05-02T09:00:00.000000+00:00","by":"person","data":{"a":[0.1],"b":1.0},'
        b'"inspection":"inspection","kind":"kind"}'
    )
    first = chain.link(chain.GENESIS, body)
    assert first == hashlib.sha256(bytes(32) + body).hexdigest()
    assert chain.link(first, b"{}") == hashlib.sha256(bytes.fromhex(first) + b"{}").hexdigest()


def test_the_whole_way_of_an_item_stands_in_its_inspections_chain(house: House) -> None:
    signed = house.confirmed(UNDECIDED)
    item = house.item_of(signed)
    house.by_hand(house.mechanic, item, 93.0)
    house.by_hand(house.inspector, item, 93.1)
    house.inspections.close_inspection(house.inspector, item.inspection_id)
    found = told(house, item.inspection_id)
    assert [(one["kind"], one["by"]) for one in found] == [
        ("inspection-opened", house.mechanic.id),
        ("items-added", house.mechanic.id),
        ("try-begun", house.mechanic.id),
        ("photo-stored", house.mechanic.id),
        ("measured", None),
        ("reading-sent", house.mechanic.id),
        ("placed", house.inspector.id),
        ("signed", house.inspector.id),
        ("confirmed", house.inspector.id),
        ("signed", house.mechanic.id),
        ("hand-measured", house.mechanic.id),
        ("signed", house.inspector.id),
        ("hand-measured", house.inspector.id),
        ("inspection-closed", house.inspector.id),
    ]
    assert {one["inspection"] for one in found} == {item.inspection_id}
    assert found[-1]["data"]["not_inspected"] == [
        one.id for one in house.inspections.items(item.inspection_id) if one.id != item.id
    ]


def test_a_signature_tells_who_signed_what_and_how(house: House) -> None:
    signed = house.confirmed(WITHIN)
    item = house.item_of(signed)
    (event,) = (one for one in told(house, item.inspection_id) if one["kind"] == "signed")
    assert event["by"] == house.inspector.id
    assert event["data"]["signed"] == signed.signed_hash
    assert event["data"]["authenticated"] == "password"
    assert event["data"]["record"]["blind"]["person_id"] == house.inspector.id
    with house.archive.records.look() as r:
        row = r.connection.execute(select(events).where(events.c.hash == signed.event_hash)).one()
    assert json.loads(row.body) == event


def test_no_secret_stands_in_any_event(house: House) -> None:
    token = house.people.sign_in("Inspector", "only for the tests")
    house.confirmed(WITHIN)
    with house.archive.records.look() as r:
        bodies = b"".join(r.connection.execute(select(events.c.body)).scalars())
    for secret in (b"only for the tests", b"argon2", token.encode()):
        assert secret not in bodies


def test_every_transaction_enters_the_heads_that_it_moved_into_the_archives_chain(house: House) -> None:
    house.sent(WITHIN)
    name = house.inspections.inspections()[0].id
    entered = [one["data"] for one in told(house, chain.ARCHIVE) if one["kind"] == "head"]
    with house.archive.records.look() as r:
        head = r.connection.execute(select(heads.c.number, heads.c.hash).where(heads.c.chain == name)).one()
    assert entered[-1] == {"number": head.number, "hash": head.hash}
    # opening, its items and the first try are one transaction
    assert [one["number"] for one in entered] == [3, 4, 5, 6]


def test_an_error_amid_a_change_leaves_nothing_of_it(house: House) -> None:
    before = told(house, chain.ARCHIVE)
    with pytest.raises(RuntimeError), house.archive.records.begin() as work:
        work.enter("test", house.mechanic, None, data={"x": 1})
        raise RuntimeError
    assert told(house, chain.ARCHIVE) == before


def test_progress_is_no_event(house: House) -> None:
    stored = house.stored()
    house.inspections.measuring(stored.id, "reading the photo")
    count = len(told(house, house.item(stored.item_id).inspection_id))
    house.inspections.measuring(stored.id, "finding the card")
    now = house.inspections.try_of(house.mechanic, stored.id)
    assert (now.state, now.stage) == (TryState.MEASURING, "finding the card")
    assert len(told(house, house.item(stored.item_id).inspection_id)) == count
    assert house.archive.verify().faults == ()


@settings(max_examples=25, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(
    value=st.floats(1, 500),
    u=st.floats(1e-300, 50),
    evidence=st.floats(allow_nan=False, allow_infinity=False),
)
def test_no_bit_of_a_float_is_lost_on_its_way(house: House, value: float, u: float, evidence: float) -> None:
    result = reading(value, u).result | {"evidence": {"x": evidence}}
    stored = house.stored()
    house.inspections.measured(stored.id, Measured(result))
    event = told(house, house.item(stored.item_id).inspection_id)[-1]
    read = house.inspections.try_of(house.mechanic, stored.id)
    # canonical bytes also tell -0.0 from 0.0, and 1 from 1.0
    assert canonical(read.result) == canonical(result)
    assert canonical(event["data"]["rows"][0]["set"]["result"]) == canonical(result)


@settings(max_examples=25, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(value=st.floats(1e-300, 1e300), x=st.floats(-1e6, 1e6))
def test_no_bit_of_a_column_of_floats_is_lost(house: House, value: float, x: float) -> None:
    house.photos += 1
    placed = BlindReading(
        f"{house.photos:032}",
        house.measured(WITHIN).id,  # another try for each placing, since a person places once on each
        house.inspector.id,
        (x, -x),
        (0.1, x),
        value,
        value,
        value,
        house.clock.now(),
    )
    with house.archive.records.begin() as work:
        work.enter("placed", None, None, placed)
    with house.archive.records.look() as r:
        assert r.get(BlindReading, placed.id) == placed
