"""Whatever is changed behind the program's back is found, and named."""

import json
import shutil
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from sqlalchemy import create_engine, delete, insert, select, text, update

from app.archive import Verification, chain
from app.archive.archive import DATABASE
from app.archive.tables import KINDS, confirmations, discrepancies, events, heads, legs, persons, tries
from app.inspection.canonical import canonical, sha256
from tests.app.records_house import OUTSIDE, WITHIN, House, open_house


@pytest.fixture(scope="module")
def full_home(tmp_path_factory: pytest.TempPathFactory, empty_home: Path) -> Path:
    """The folder of a house with an entry in each table, to be copied."""
    home = tmp_path_factory.mktemp("full") / "home"
    shutil.copytree(empty_home, home)
    house = open_house(home)
    item = house.item_of(house.confirmed(WITHIN, house.supporting))
    house.by_hand(house.mechanic, item, 89.0)
    house.confirmed(OUTSIDE)
    assert house.archive.verify() == Verification((), ())
    house.archive.close()
    return home


@pytest.fixture
def full(tmp_path: Path, full_home: Path) -> Iterator[House]:
    """A house with an entry in each table."""
    shutil.copytree(full_home, tmp_path / "home")
    house = open_house(tmp_path / "home")
    yield house
    house.archive.close()


def behind(house: House, *statements: Any) -> None:
    """Change the database as another program would, without constraints in the way."""
    engine = create_engine(f"sqlite:///{house.home / DATABASE}")
    with engine.begin() as connection:
        connection.execute(text("PRAGMA ignore_check_constraints = ON"))
        for statement in statements:
            connection.execute(statement)
    engine.dispose()


def faults(house: House) -> list[str]:
    return [f"{one.where}: {one.what}" for one in house.archive.verify().faults]


def test_every_kind_of_entry_is_there_and_verifies(full: House) -> None:
    with full.archive.records.look() as r:
        assert all(r.all(kind) for kind in KINDS)
    assert faults(full) == []


def _columns() -> list[tuple[str, str]]:
    return [
        (table.name, column.name)
        for table in KINDS.values()
        for column in table.columns
        if column.name not in ("id", "stage")
    ]


@pytest.mark.parametrize(("table", "column"), _columns())
def test_one_changed_value_in_any_column_is_found_and_named(full: House, table: str, column: str) -> None:
    (target,) = (one for one in KINDS.values() if one.name == table)
    with full.archive.records.look() as r:
        id_, value = r.connection.execute(select(target.c.id, text(f'"{column}"'))).first() or ("", None)
    changed = _another(value)
    behind(
        full,
        text(f'UPDATE {table} SET "{column}" = :new WHERE id = :id').bindparams(new=changed, id=id_),
    )
    named = f"{table} {id_}: not what the events say in {column}"
    assert named in faults(full)


def _another(value: Any) -> Any:
    """A value of the same kind that differs as little as can be."""
    if isinstance(value, int):
        return 1 - value if value in (0, 1) else value + 1
    if isinstance(value, float):
        return value * (1 + 1e-15) or 1e-300
    return "x" if value is None else value[:-1] + chr(ord(value[-1]) ^ 1)


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
        path = full.archive.photos.path(sha)
        path.write_bytes(path.read_bytes() + b" ")
        assert f"photo {sha}: the file was changed or damaged ({what} of tries {row.id})" in faults(full)


def test_a_photo_that_is_gone_is_named(full: House) -> None:
    sha = sha256(b"photo 1")
    full.archive.photos.path(sha).unlink()
    (found,) = faults(full)
    assert found.startswith(f"photo {sha}: the file is gone (photo of tries ")


def test_a_file_that_nothing_refers_to_is_an_orphan_and_no_fault(full: House) -> None:
    sha = full.archive.photos.put(b"stored, and then the crash came")
    left = full.archive.photos.path(sha).parent.parent / "incoming" / "half"
    left.write_bytes(b"hal")
    found = full.archive.verify()
    assert (found.faults, sorted(found.orphans)) == ((), sorted([f"{sha[:2]}/{sha}.bin", "incoming/half"]))


def test_a_role_given_behind_the_programs_back_is_named(full: House) -> None:
    behind(full, update(persons).where(persons.c.name == "Mechanic").values(roles=["inspector", "mechanic"]))
    assert faults(full) == [f"persons {full.mechanic.id}: not what the events say in roles"]


def test_limits_changed_behind_the_programs_back_are_named(full: House) -> None:
    changed = full.primary.toml.replace("95.25", "99.25")
    behind(full, update(legs).where(legs.c.id == full.primary.id).values(toml=changed))
    assert faults(full) == [f"legs {full.primary.id}: not what the events say in toml"]


def _chain(house: House) -> str:
    return house.inspections.inspections()[0].id
