"""Who tampers is found, and where the archive stops being what was entered is named, on both grounds."""

import json
from collections.abc import Iterator
from pathlib import Path

import pytest
from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PrivateKey
from sqlalchemy import delete, select, update

from app.archive import Fault, anchor_of, chain
from app.archive.keys import signer_of, write_key
from app.archive.tables import (
    archive_keys,
    confirmations,
    events,
    hand_readings,
    head_signatures,
    heads,
    tries,
)
from app.errors import UsageError
from app.inspection.canonical import canonical
from tests.app.archive.tampering import (
    behind,
    chain_of,
    change_file,
    rewrite,
    rewrite_all,
    sign_all,
)
from tests.app.both_grounds import Grounds
from tests.app.records_house import OUTSIDE, WITHIN, House, open_house
from tests.services.ground import Ground

OTHER = signer_of(Ed25519PrivateKey.from_private_bytes(b"another key than that of a house"))


@pytest.fixture(scope="module")
def worked_ground(
    grounds: Grounds, empty_ground: Ground, tmp_path_factory: pytest.TempPathFactory
) -> Iterator[Ground]:
    """A house with two confirmed readings and a hand measurement, to be copied."""
    ground = grounds.copy(empty_ground, tmp_path_factory.mktemp("worked") / "home")
    house = open_house(ground)
    item = house.item_of(house.confirmed(WITHIN, house.supporting))
    house.by_hand(house.mechanic, item, 89.0)
    house.confirmed(OUTSIDE)
    house.archive.close()
    yield ground
    grounds.drop(ground)


@pytest.fixture
def worked(grounds: Grounds, worked_ground: Ground, tmp_path: Path) -> Iterator[House]:
    ground = grounds.copy(worked_ground, tmp_path / "home")
    house = open_house(ground)
    yield house
    house.archive.close()
    grounds.drop(ground)


def found(house: House, *anchors: str) -> list[Fault]:
    return list(house.archive.verify(anchors).faults)


def the_chain(house: House) -> str:
    return house.inspections.inspections()[0].id


def at(house: House, name: str, number: int) -> str:
    return str(json.loads(bytes(chain_of(house, name)[number - 1].body))["at"])


def changed(house: House, name: str, number: int) -> list[bytes]:
    """The bodies of a chain with another person in one event."""
    bodies = [bytes(row.body) for row in chain_of(house, name)]
    told = json.loads(bodies[number - 1])
    told["by"] = house.inspector_2.id
    bodies[number - 1] = canonical(told)
    return bodies


def test_an_untouched_archive_has_no_fault_and_says_what_was_checked(worked: House) -> None:
    head = worked.archive.head()
    given = worked.archive.verify(
        [anchor_of(head), head.hash[:16], chain_of(worked, the_chain(worked))[2].hash]
    )
    assert given.faults == ()
    assert given.notes == ()
    assert given.head == head
    assert given.checked["files"] == 4
    assert given.checked["anchors"] == 3
    assert given.checked["signatures"] > 10
    assert given.checked["events"] > given.checked["signatures"]


def test_progress_is_told_for_every_stage_and_ends_where_all_is_done(worked: House) -> None:
    told = []
    worked.archive.verify(progress=told.append)
    assert {one.stage for one in told} == {"chains", "files"}  # so few rows are below one step
    assert all(one.done <= one.total for one in told)
    assert told[-1].done == told[-1].total == 4


@pytest.mark.parametrize("bit", [0, 7])
def test_one_bit_of_a_file_is_located_by_file_row_and_event(worked: House, bit: int) -> None:
    with worked.archive.records.look() as r:
        row = r.connection.execute(select(tries.c.id, tries.c.photo)).first()
    assert row is not None
    change_file(worked, row.photo, lambda data: bytes([data[0] ^ 1 << bit]) + data[1:])
    (fault,) = found(worked)
    assert (fault.where, fault.what) == (
        f"photo {row.photo}",
        f"the file was changed or damaged (photo of tries {row.id})",
    )
    assert fault.began.startswith("after event ")
    number = int(fault.began.split()[2])
    event = json.loads(bytes(chain_of(worked, the_chain(worked))[number - 1].body))
    assert event["kind"] == "photo-stored"
    assert event["data"]["rows"][0]["set"]["photo"] == row.photo


def test_one_row_is_located_by_its_last_true_event(worked: House) -> None:
    behind(worked, update(hand_readings).values(value_mm=89.5))
    row, signature = found(worked)
    with worked.archive.records.look() as r:
        id_ = r.connection.execute(select(hand_readings.c.id)).scalar_one()
    assert (row.where, row.what) == (f"hand_readings {id_}", "not what the events say in value_mm")
    assert row.began.startswith("after event ")
    assert f"of chain {the_chain(worked)}" in row.began
    assert signature == Fault(f"hand_readings {id_}", "it is not what was signed")


def test_a_removed_event_is_located_between_its_neighbours(worked: House) -> None:
    name = the_chain(worked)
    behind(worked, delete(events).where(events.c.chain == name, events.c.number == 4))
    assert found(worked)[0] == Fault(
        f"event 5 of chain {name}",
        "it follows event 3: what was between is gone",
        f"after event 3 of {at(worked, name, 3)}, which is as it was entered",
    )


def test_two_events_in_another_order_are_located_at_the_first(worked: House) -> None:
    name = the_chain(worked)
    own = events.c.chain == name
    behind(
        worked,
        update(events).where(own, events.c.number == 4).values(number=1004),
        update(events).where(own, events.c.number == 5).values(number=4),
        update(events).where(own, events.c.number == 1004).values(number=5),
    )
    faults = found(worked)
    assert [one.where for one in faults[:3]] == [f"event {n} of chain {name}" for n in (4, 5, 6)]
    assert {one.what for one in faults[:3]} == {"it does not follow from the event before it"}
    assert {one.began for one in faults[:3]} == {
        f"after event 3 of {at(worked, name, 3)}, which is as it was entered"
    }


def test_an_inspections_chain_that_was_hashed_anew_is_located_by_the_archives_chain(worked: House) -> None:
    name = the_chain(worked)
    rewrite(worked, name, changed(worked, name, 6))
    faults = [one for one in found(worked) if one.where == f"chain {name}"]
    assert len(faults) == 1
    assert "which the archive's chain does not say" in faults[0].what
    assert faults[0].began == (
        f"after event 5 of {at(worked, name, 5)}, which is still the one that was entered; "
        "event 6 is another one"
    )


def test_an_archive_that_was_hashed_anew_as_a_whole_is_located_by_its_signatures(worked: House) -> None:
    name = the_chain(worked)
    before = worked.archive.verify().head
    with worked.archive.records.look() as r:
        signed = list(r.connection.execute(select(head_signatures.c.number).order_by("number")).scalars())
    entered = [
        row.number
        for row in chain_of(worked, chain.ARCHIVE)
        if json.loads(bytes(row.body)).get("data", {}).get("number") == 6
    ]
    rewrite_all(worked, name, changed(worked, name, 6))
    assert worked.archive.head() != before
    fault = next(one for one in found(worked) if one.where == "chain archive")
    first = next(number for number in signed if number >= entered[0])
    good = max(number for number in signed if number < first)
    assert fault.what.startswith(f"event {first}: it is not the event that was signed (and so on, ")
    assert (
        fault.began == f"after event {good} of {at(worked, 'archive', good)}, the last whose signature fits"
    )


def test_whole_and_signed_anew_with_another_key_is_found_by_the_key(worked: House) -> None:
    name = the_chain(worked)
    rewrite_all(worked, name, changed(worked, name, 6))
    sign_all(worked, OTHER, public_too=False)
    fault = next(one for one in found(worked) if one.where == "chain archive")
    assert "its signature is not by the archive's key" in fault.what


def test_whole_with_another_key_in_the_keys_place_is_found_by_the_key_that_is_kept(worked: House) -> None:
    name = the_chain(worked)
    rewrite_all(worked, name, changed(worked, name, 6))
    sign_all(worked, OTHER, public_too=True)
    (fault,) = (one for one in found(worked) if one.where == "chain archive")
    assert fault.what == "it is signed with another key than the one that is kept beside the archive"
    assert fault.began == "with event 1, which enters that key, or before"


def test_whole_with_another_key_everywhere_is_found_and_located_by_anchors(worked: House) -> None:
    name = the_chain(worked)
    old = chain_of(worked, chain.ARCHIVE)
    first, last = (f"{row.number}:{row.hash}" for row in (old[4], old[-1]))
    rewrite_all(worked, name, changed(worked, name, 6))
    sign_all(worked, OTHER, public_too=True)
    worked.archive.key_file.unlink()
    write_key(worked.archive.key_file, OTHER.private)
    assert not [one for one in found(worked) if one.where.startswith("chain")]
    missed = [one for one in found(worked, first, last) if one.where.startswith("anchor")]
    assert [one.where for one in missed] == [f"anchor {first}", f"anchor {last}"]
    assert missed[0].what == "event 5 of chain archive is another one: the chain was rewritten since"
    assert missed[0].began.endswith("not later than event 5")


def test_an_anchor_that_still_fits_narrows_where_a_rewriting_began(worked: House) -> None:
    name = the_chain(worked)
    old = chain_of(worked, chain.ARCHIVE)
    early, last = f"5:{old[4].hash}", f"{old[-1].number}:{old[-1].hash}"
    rewrite_all(worked, name, changed(worked, name, 6))
    missed = [one for one in found(worked, early, last) if one.where.startswith("anchor")]
    assert [one.where for one in missed] == [f"anchor {last}"]
    assert missed[0].began == (
        f"after event 5 of {at(worked, 'archive', 5)}, which an anchor fits, "
        f"and not later than event {old[-1].number}"
    )


def test_an_archive_put_back_to_an_earlier_day_is_found_by_an_anchor(
    worked: House, worked_ground: Ground
) -> None:
    with worked.archive.records.begin() as work:
        work.enter("test", None, None, data={})
    head = worked.archive.head()
    behind(
        worked,
        delete(events).where(events.c.chain == "archive", events.c.number == head.number),
        delete(head_signatures).where(head_signatures.c.number == head.number),
        update(heads)
        .where(heads.c.chain == "archive")
        .values(number=head.number - 1, hash=chain_of(worked, "archive")[-2].hash),
    )
    assert found(worked) == []
    (fault,) = found(worked, anchor_of(head))
    assert fault.what.startswith(
        f"chain archive ends with event {head.number - 1}: what came after was removed"
    )


def test_a_bare_hash_of_no_event_is_another_archives(worked: House) -> None:
    (fault,) = found(worked, "ab" * 32)
    assert fault.where == f"anchor {'ab' * 32}"
    assert "this is another archive's" in fault.what


@pytest.mark.parametrize(
    "text", ["", "12", "12:", "0:" + "a" * 64, "a" * 15, "a" * 65, "g" * 64, "x:" + "a" * 64]
)
def test_what_is_no_anchor_is_told_before_anything_is_read(worked: House, text: str) -> None:
    with pytest.raises(UsageError, match="is no anchor: give NUMBER:HASH as it is printed"):
        worked.archive.verify([text])


def test_an_anchor_may_be_typed_in_groups_and_capitals(worked: House) -> None:
    head = worked.archive.head()
    typed = f" {head.number}: " + " ".join(head.hash[n : n + 4].upper() for n in range(0, 64, 4))
    assert found(worked, typed) == []


def test_a_confirmations_signature_moved_to_another_record_is_located(worked: House) -> None:
    with worked.archive.records.look() as r:
        first, second = r.connection.execute(select(confirmations).order_by(confirmations.c.signed_at))
    behind(
        worked,
        update(confirmations).where(confirmations.c.id == first.id).values(event_hash=second.event_hash),
    )
    row, signature = found(worked)
    assert (row.where, row.what) == (
        f"confirmations {first.id}", "not what the events say in event_hash",
    )  # fmt: skip
    assert signature == Fault(f"confirmations {first.id}", "it is not what was signed")


def test_a_heads_signature_moved_to_another_event_is_located(worked: House) -> None:
    with worked.archive.records.look() as r:
        rows = list(r.connection.execute(select(head_signatures).order_by(head_signatures.c.number)))
    own = head_signatures.c.number
    behind(worked, update(head_signatures).where(own == rows[5].number).values(signature=rows[4].signature))
    (fault,) = found(worked)
    assert fault == Fault(
        "chain archive",
        f"event {rows[5].number}: its signature is not by the archive's key",
        f"after event {rows[4].number} of {at(worked, 'archive', rows[4].number)}, the last whose signature fits",
    )


def test_events_at_the_end_that_nothing_signs_are_located(worked: House) -> None:
    with worked.archive.records.look() as r:
        numbers = list(r.connection.execute(select(head_signatures.c.number).order_by("number")).scalars())
    behind(worked, delete(head_signatures).where(head_signatures.c.number == numbers[-1]))
    first = numbers[-2] + 1
    assert found(worked) == [
        Fault("chain archive", f"nothing signs its events {first} to {numbers[-1]}", f"with event {first}")
    ]


def test_a_key_slipped_into_the_table_is_named(worked: House) -> None:
    with worked.archive.records.begin() as work:
        work.connection.execute(
            archive_keys.insert().values(id=OTHER.key_id, public=OTHER.public, entered_at=worked.clock.now())
        )
    assert found(worked) == [
        Fault(f"archive_keys {OTHER.key_id}", "it is not the key that the events tell of")
    ]
