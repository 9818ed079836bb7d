"""An export comes into another archive with its ids, hashes and signatures, once, whole or not at all."""

import json
import zipfile
from collections.abc import Mapping
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

from app.archive import Archive, open_archive
from app.archive.exchange import SqlExchange
from app.errors import ArchiveError, UsageError
from app.inspection import Confirmation, Inspection, Role, Try
from app.inspection.exchange import Taken
from app.record.copies import Wishes
from app.record.folder import export, pack
from app.record.reading import Imported, import_folder, unpacked
from tests.app.record.conftest import close, photo_with_place
from tests.app.record.test_export import exported, the_folder, verified
from tests.app.records_house import STATED, House, open_house
from tests.services.ground import Ground


def taken(archive: Archive, out: Path) -> Imported:
    return import_folder(out, SqlExchange(archive.records), archive.photos)


def rows_in_another(house: House, visit_id: str, folder: Path) -> Mapping[tuple[str, str], Any]:
    """Rows of a visit by entry and id, after it came whole into another archive and both verify."""
    assert house.archive.verify().faults == ()
    exported(house, folder / "out")
    with open_archive(folder / "other") as other:
        done = taken(other, folder / "out")
        assert (done.done[Taken.NEW], done.refused) == (1, [])
        assert other.verify().faults == ()
        there = SqlExchange(other.records).bundle(visit_id).own
        assert there == SqlExchange(house.archive.records).bundle(visit_id).own
        return there


@pytest.fixture
def other(tmp_path: Path) -> Archive:
    with open_archive(tmp_path / "other") as archive:
        yield archive


def test_an_export_comes_in_whole_and_verifies(full: House, other: Archive, tmp_path: Path) -> None:
    exported(full, tmp_path / "out")
    done = taken(other, tmp_path / "out")
    assert (done.done[Taken.NEW], done.photos, done.refused) == (1, 4, [])
    assert other.verify().faults == ()
    with full.archive.records.look() as mine, other.records.look() as theirs:
        for kind in (Inspection, Try, Confirmation):
            assert sorted(map(repr, mine.all(kind))) == sorted(map(repr, theirs.all(kind)))


def test_its_chain_has_the_same_hashes(full: House, other: Archive, tmp_path: Path) -> None:
    exported(full, tmp_path / "out")
    taken(other, tmp_path / "out")
    (one,) = SqlExchange(other.records).listed()
    mine = SqlExchange(full.archive.records).bundle(one.inspection_id)
    assert SqlExchange(other.records).bundle(one.inspection_id).events == mine.events


def test_the_same_export_again_changes_nothing(full: House, other: Archive, tmp_path: Path) -> None:
    exported(full, tmp_path / "out")
    taken(other, tmp_path / "out")
    head = other.head()
    done = taken(other, tmp_path / "out")
    assert (done.done[Taken.THERE], done.photos) == (1, 0)
    assert other.head() == head


def test_what_went_on_since_the_last_export_is_added(full: House, other: Archive, tmp_path: Path) -> None:
    exported(full, tmp_path / "first")
    taken(other, tmp_path / "first")
    begun = full.inspections.begin_try(full.mechanic, full.supporting.id, STATED)
    full.inspections.photo_arrived(full.mechanic, begun.id, photo_with_place(5))
    exported(full, tmp_path / "second")
    assert taken(other, tmp_path / "second").done[Taken.LONGER] == 1
    assert taken(other, tmp_path / "first").done[Taken.THERE] == 1
    assert other.verify().faults == ()
    with other.records.look() as r:
        assert r.get(Try, begun.id).photo is not None


def test_what_changed_there_of_people_comes_with_the_next_export_and_never_goes_back(
    full: House, other: Archive, tmp_path: Path
) -> None:
    exported(full, tmp_path / "first")
    taken(other, tmp_path / "first")
    changed = replace(full.mechanic, roles=frozenset({Role.MECHANIC, Role.INSPECTOR}))
    with full.archive.records.begin() as work:
        work.enter("person-changed", None, None, changed)
    full.inspections.begin_try(full.mechanic, full.supporting.id, STATED)
    exported(full, tmp_path / "second")
    assert taken(other, tmp_path / "second").done[Taken.LONGER] == 1
    assert taken(other, tmp_path / "first").done[Taken.THERE] == 1
    assert other.verify().faults == ()
    assert other.people.find(changed.id) == changed


def test_what_this_archive_entered_itself_is_not_written_over(
    full: House, other: Archive, tmp_path: Path
) -> None:
    exported(full, tmp_path / "out")
    with other.records.begin() as work:
        work.enter("person-entered", None, None, replace(full.mechanic, name="Somebody else"))
    ((_, why),) = taken(other, tmp_path / "out").refused
    assert f"persons {full.mechanic.id} is here already and differs in name" in why


def test_an_imported_inspection_goes_out_again_and_tells_where_it_came_from(
    full: House, other: Archive, tmp_path: Path
) -> None:
    exported(full, tmp_path / "out")
    taken(other, tmp_path / "out")
    exchange = SqlExchange(other.records)
    ids = [one.inspection_id for one in exchange.listed()]
    export(exchange, other.photos, ids, tmp_path / "again", Wishes(), "1.2.3")
    assert verified(tmp_path / "again").returncode == 0
    lines = [
        json.loads(line)
        for line in (the_folder(tmp_path / "again") / "archive.jsonl").read_text().splitlines()
    ]
    (came,) = [body for body in (json.loads(line["body"]) for line in lines) if body["kind"] == "imported"]
    first = [
        json.loads(line) for line in (the_folder(tmp_path / "out") / "archive.jsonl").read_text().splitlines()
    ]
    assert [one["hash"] for one in came["data"]["from"]["events"]] == [one["hash"] for one in first]
    assert came["data"]["from"]["signatures"]
    with open_archive(tmp_path / "third") as third:
        assert taken(third, tmp_path / "again").done[Taken.NEW] == 1
        assert third.verify().faults == ()


def test_what_does_not_verify_is_not_imported(full: House, other: Archive, tmp_path: Path) -> None:
    exported(full, tmp_path / "out")
    path = next((tmp_path / "out" / "inspections").glob("*/photos/*"))
    path.write_bytes(path.read_bytes() + b" ")
    head = other.head()
    with pytest.raises(ArchiveError, match=r"does not verify, so nothing was imported: .*changed or damaged"):
        taken(other, tmp_path / "out")
    assert other.head() == head
    assert list(other.photos.stored()) == []


def test_a_missing_anchor_refuses_the_import(full: House, other: Archive, tmp_path: Path) -> None:
    exported(full, tmp_path / "out")
    with pytest.raises(ArchiveError, match="no chain in this export has this head"):
        import_folder(tmp_path / "out", SqlExchange(other.records), other.photos, "cd" * 32)


def test_an_aircraft_that_is_there_under_another_id_is_refused_and_nothing_of_it_stays(
    full: House, tmp_path: Path
) -> None:
    exported(full, tmp_path / "out")
    another = open_house(Ground(tmp_path / "another"))
    head = another.archive.head()
    done = taken(another.archive, tmp_path / "out")
    ((_, why),) = done.refused
    assert "ZZ-GWT is here already as another entry" in why
    assert another.archive.head() == head
    assert another.archive.verify().faults == ()
    another.archive.close()


def test_an_inspection_that_went_on_apart_is_refused(full: House, tmp_path: Path) -> None:
    exported(full, tmp_path / "out")
    with open_archive(tmp_path / "other") as other:
        taken(other, tmp_path / "out")
        with other.records.begin() as work:
            (inspection,) = work.all(Inspection)
            work.enter("noted", None, inspection.id, data={"text": "here"})
        begun = full.inspections.begin_try(full.mechanic, full.supporting.id, STATED)
        assert begun
        exported(full, tmp_path / "later")
        ((_, why),) = taken(other, tmp_path / "later").refused
        assert "both went on apart from each other" in why
        assert other.verify().faults == ()


def test_an_export_of_copies_is_refused_because_a_record_needs_originals(
    full: House, other: Archive, tmp_path: Path
) -> None:
    exported(full, tmp_path / "out", Wishes(place=True))
    ((_, why),) = taken(other, tmp_path / "out").refused
    assert "copies for 2 originals" in why
    assert SqlExchange(other.records).listed() == ()


def test_a_crash_before_the_entry_leaves_files_and_no_half_inspection(
    full: House, other: Archive, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    exported(full, tmp_path / "out")

    def crash(*_: object) -> None:
        raise KeyboardInterrupt

    with monkeypatch.context() as patched:
        patched.setattr("app.archive.exchange.taking._set_head", crash)
        with pytest.raises(KeyboardInterrupt):
            taken(other, tmp_path / "out")
    found = other.verify()
    assert (found.faults, len(found.orphans)) == ((), 4)
    assert taken(other, tmp_path / "out").done[Taken.NEW] == 1
    assert other.verify().orphans == ()


def test_a_packed_export_comes_in_too(full: House, other: Archive, tmp_path: Path) -> None:
    exported(full, tmp_path / "out")
    pack(tmp_path / "out", tmp_path / "out.zip")
    with unpacked(tmp_path / "out.zip") as folder:
        assert taken(other, folder).done[Taken.NEW] == 1
    assert not list(tmp_path.glob(".import-*"))


def test_a_path_that_leads_out_of_a_zip_file_is_refused(tmp_path: Path) -> None:
    with zipfile.ZipFile(tmp_path / "bad.zip", "w") as packed:
        packed.writestr("../outside.txt", "x")
    with pytest.raises(UsageError, match="leads out of it"), unpacked(tmp_path / "bad.zip"):
        pass
    assert not (tmp_path.parent / "outside.txt").exists()


def test_what_is_no_export_is_refused_in_words(other: Archive, tmp_path: Path) -> None:
    (tmp_path / "empty").mkdir()
    with pytest.raises(UsageError, match="cannot be imported"):
        taken(other, tmp_path / "empty")
    (tmp_path / "file").write_text("x")
    with pytest.raises(UsageError, match="no folder and no zip file"), unpacked(tmp_path / "file"):
        pass


def test_a_closed_inspection_comes_in_beside_an_open_one_of_the_same_aircraft(
    house: House, other: Archive, tmp_path: Path
) -> None:
    closed = close(house)
    house.inspections.begin_try(house.mechanic, house.supporting.id, STATED)
    exported(house, tmp_path / "out")
    assert taken(other, tmp_path / "out").done[Taken.NEW] == 2
    with other.records.look() as r:
        assert r.get(Inspection, closed).closed_at is not None
    assert other.verify().faults == ()
