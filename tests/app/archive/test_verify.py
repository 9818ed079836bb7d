"""Whatever is changed behind the program's back is found, and named."""

import json
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest
from sqlalchemy import Double, Integer, TypeDecorator, bindparam, delete, insert, select, text, update

from app.archive import Verification, chain, open_archive
from app.archive.tables import KINDS, confirmations, discrepancies, events, heads, legs, persons, tries
from app.inspection import Discrepancy
from app.inspection.canonical import canonical, sha256
from app.inspection.exchange import PHOTO_DELETED
from tests.app.archive.tampering import behind, change_file
from tests.app.both_grounds import Grounds
from tests.app.records_house import OUTSIDE, WITHIN, House, open_house
from tests.services.ground import Ground

THE_STRUTS = {
    "persons", "aircraft", "legs", "inspections", "items", "tries", "blind_readings", "hand_readings",
    "confirmations", "discrepancies",
}  # fmt: skip
"""The tables in which the way of a strut leaves rows."""


@pytest.fixture(scope="module")
def full_ground(
    grounds: Grounds, empty_ground: Ground, tmp_path_factory: pytest.TempPathFactory
) -> Iterator[Ground]:
    """The ground of a house with an entry in each table, to be copied."""
    ground = grounds.copy(empty_ground, tmp_path_factory.mktemp("full") / "home")
    house = open_house(ground)
    item = house.item_of(house.confirmed(WITHIN, house.supporting))
    house.by_hand(house.mechanic, item, 89.0)
    house.confirmed(OUTSIDE)
    assert house.archive.verify() == Verification((), ())
    house.archive.close()
    yield ground
    grounds.drop(ground)


@pytest.fixture
def full(grounds: Grounds, full_ground: Ground, tmp_path: Path) -> Iterator[House]:
    """A house with an entry in each table."""
    ground = grounds.copy(full_ground, tmp_path / "home")
    house = open_house(ground)
    yield house
    house.archive.close()
    grounds.drop(ground)


def faults(house: House) -> list[str]:
    return [f"{one.where}: {one.what}" for one in house.archive.verify().faults]


def test_every_kind_of_entry_is_there_and_verifies(full: House) -> None:
    with full.archive.records.look() as r:
        assert all(r.all(kind) for kind, table in KINDS.items() if table.name in THE_STRUTS)
    assert faults(full) == []


def test_one_changed_value_in_any_column_is_found_and_named(full: House) -> None:
    missed = []
    for table in KINDS.values():
        for column in table.columns:
            if column.name in ("id", "stage"):
                continue
            with full.archive.records.look() as r:
                query = select(table.c.id, text(f'"{column.name}"'))
                row = r.connection.execute(query).first()
            if row is None:
                assert table.name not in THE_STRUTS
                continue
            id_, value = row
            change = text(f'UPDATE {table.name} SET "{column.name}" = :new WHERE id = :id')
            nothing = (
                1.5 if isinstance(column.type, Double) else 7 if isinstance(column.type, Integer) else "x"
            )
            behind(full, change.bindparams(new=nothing if value is None else _another(value), id=id_))
            if f"{table.name} {id_}: not what the events say in {column.name}" not in faults(full):
                missed.append(f"{table.name}.{column.name}")
            # Put back, so that one house does for all columns.
            behind(full, change.bindparams(bindparam("new", value, _plain_type(column.type)), id=id_))
    assert missed == []
    assert faults(full) == []


def _plain_type(kind: Any) -> Any:
    """What a column's type is below ours; a missing value needs it."""
    return kind.impl_instance if isinstance(kind, TypeDecorator) else kind


def _another(value: Any) -> Any:
    """A value of the same kind that differs as little as can be."""
    if isinstance(value, bool):
        return not value
    if isinstance(value, int):
        return 1 - value if value in (0, 1) else value + 1
    if isinstance(value, float):
        return value * (1 + 1e-15) or 1e-300
    return value[:-1] + chr(ord(value[-1]) ^ 1)


def test_a_row_that_is_gone_is_named(full: House) -> None:
    with full.archive.records.look() as r:
        (id_,) = r.connection.execute(select(discrepancies.c.id)).scalars()
    behind(full, delete(discrepancies))
    assert f"discrepancies {id_}: the events tell of this row, and it is gone" in faults(full)


def test_a_row_that_no_event_tells_of_is_named(full: House) -> None:
    behind(full, insert(persons).values(id="p" * 32, name="Visitor", roles=["inspector"]))
    assert f"persons {'p' * 32}: no event tells of this row" in faults(full)


@pytest.mark.parametrize("number", [1, 4, 9])
def test_one_changed_event_is_named(full: House, number: int) -> None:
    name = _chain(full)
    where = (events.c.chain == name) & (events.c.number == number)
    with full.archive.records.look() as r:
        body = json.loads(r.connection.execute(select(events.c.body).where(where)).scalar_one())
    body["by"] = full.inspector_2.id
    behind(full, update(events).where(where).values(body=canonical(body)))
    assert f"event {number} of chain {name}: its bytes do not have its hash: they were changed" in faults(
        full
    )


def test_an_event_changed_together_with_its_hash_breaks_the_chain_at_the_next(full: House) -> None:
    name = _chain(full)
    where = (events.c.chain == name) & (events.c.number == 4)
    with full.archive.records.look() as r:
        row = r.connection.execute(select(events).where(where)).one()
    body = row.body.replace(b'"by":"', b'"by":"0')
    behind(full, update(events).where(where).values(body=body, hash=chain.link(row.previous, body)))
    assert faults(full)[0] == f"event 5 of chain {name}: it does not follow from the event before it"


def test_a_chain_rewritten_to_its_end_is_found_by_the_archives_chain(full: House) -> None:
    name = _chain(full)
    query = select(events).where(events.c.chain == name).order_by(events.c.number)
    with full.archive.records.look() as r:
        rows = list(r.connection.execute(query))
    previous, changes = chain.GENESIS, []
    for row in rows:
        body = row.body.replace(b'"kind":"placed"', b'"kind":"pLaced"')
        hash_ = chain.link(previous, body)
        where = (events.c.chain == name) & (events.c.number == row.number)
        changes.append(update(events).where(where).values(previous=previous, hash=hash_, body=body))
        previous = hash_
    behind(full, *changes, update(heads).where(heads.c.chain == name).values(hash=previous))
    said = f"chain {name}: it ends with event {len(rows)}, which the archive's chain does not say"
    assert said in faults(full)


@pytest.mark.parametrize("numbers", [[3], [1]], ids=["between", "the first"])
def test_an_event_that_is_gone_is_named_by_the_one_after_it(full: House, numbers: list[int]) -> None:
    name = _chain(full)
    behind(full, delete(events).where(events.c.chain == name, events.c.number.in_(numbers)))
    after = f"event {numbers[-1] + 1} of chain {name}: it follows event {numbers[0] - 1}: what was between is gone"
    assert after in faults(full)


def test_last_events_that_are_gone_are_missed(full: House) -> None:
    name = _chain(full)
    with full.archive.records.look() as r:
        last = chain.head(r.connection, name).number
    behind(full, delete(events).where(events.c.chain == name, events.c.number == last))
    assert any(one.startswith(f"chain {name}: it ends with event {last - 1}") for one in faults(full))


def test_bytes_that_are_no_event_are_named_and_the_rest_is_still_checked(full: House) -> None:
    name = _chain(full)
    behind(full, update(events).where(events.c.chain == name, events.c.number == 2).values(body=b"\xff{"))
    found = faults(full)
    assert f"event 2 of chain {name}: its bytes do not have its hash: they were changed" in found
    assert any(one.startswith(f"event 2 of chain {name}: its bytes are no event") for one in found)


def test_a_confirmation_hung_on_another_signature_is_named(full: House) -> None:
    with full.archive.records.look() as r:
        first, second = r.connection.execute(select(confirmations).order_by(confirmations.c.signed_at))
    behind(
        full,
        update(confirmations).where(confirmations.c.id == first.id).values(event_hash=second.event_hash),
    )
    assert f"confirmations {first.id}: it is not what was signed" in faults(full)


def test_a_changed_photo_and_a_changed_annotated_copy_are_named(full: House) -> None:
    with full.archive.records.look() as r:
        row = r.connection.execute(select(tries)).first()
    assert row is not None
    for sha, what in ((row.photo, "photo"), (row.annotated, "annotated")):
        change_file(full, sha, lambda data: data + b" ")
        assert f"photo {sha}: the file was changed or damaged ({what} of tries {row.id})" in faults(full)


def test_a_photo_that_is_gone_is_named(full: House) -> None:
    sha = sha256(b"photo 1")
    change_file(full, sha, lambda data: None)
    (found,) = faults(full)
    assert found.startswith(f"photo {sha}: the file is gone (photo of tries ")


def test_a_file_that_nothing_refers_to_is_an_orphan_and_no_fault(full: House) -> None:
    sha = full.archive.photos.put(b"stored, and then the crash came")
    found = full.archive.verify()
    assert (found.faults, found.orphans) == ((), (f"{sha[:2]}/{sha}.bin",))


def test_a_half_written_file_is_an_orphan_and_no_fault(tmp_path: Path) -> None:
    with open_archive(tmp_path / "home") as archive:
        (tmp_path / "home" / "photos" / "incoming" / "half").write_bytes(b"hal")
        assert archive.verify() == Verification((), ("incoming/half",))


def test_a_photo_deleted_by_an_act_is_told_as_deleted_and_no_fault(full: House) -> None:
    sha = sha256(b"photo 1")
    with full.archive.records.begin() as work:
        work.enter(PHOTO_DELETED, full.inspector, None, data={"photos": [sha], "why": "asked", "rule": "1"})
    found = full.archive.verify()
    assert (found.faults, found.deleted) == ((), ())
    assert found.notes[0].startswith(f"Photo {sha} was to be deleted by event ")
    full.archive.photos.remove(sha)
    found = full.archive.verify()
    assert (found.faults, found.deleted, found.notes) == ((), (sha,), ())


def test_a_row_that_two_chains_tell_of_is_what_the_later_one_says(full: House) -> None:
    with full.archive.records.look() as r:
        (found,) = r.all(Discrepancy)
    # The later transaction's chain sorts before the earlier one's.
    for chain_, text_ in (("f" * 32, "told first"), ("0" * 32, "told last")):
        with full.archive.records.begin() as work:
            work.enter("test", None, chain_, replace(found, text=text_))
    assert full.archive.verify().faults == ()


def test_a_role_given_behind_the_programs_back_is_named(full: House) -> None:
    behind(full, update(persons).where(persons.c.name == "Mechanic").values(roles=["inspector", "mechanic"]))
    assert faults(full) == [f"persons {full.mechanic.id}: not what the events say in roles"]


def test_limits_changed_behind_the_programs_back_are_named(full: House) -> None:
    changed = full.primary.toml.replace("95.25", "99.25")
    behind(full, update(legs).where(legs.c.id == full.primary.id).values(toml=changed))
    assert faults(full) == [f"legs {full.primary.id}: not what the events say in toml"]


def _chain(house: House) -> str:
    return house.inspections.inspections()[0].id
