"""A photo from the gallery goes out with its inspection and comes in elsewhere; phones and waiting photos stay."""

from pathlib import Path

from app.archive import open_archive
from app.archive.exchange import SqlExchange
from app.inspection import Try
from app.inspection.gathered import Gathered
from app.people.devices_model import Device
from app.record.reading import import_folder
from tests.app.record.conftest import photo_with_place
from tests.app.record.test_export import exported
from tests.app.records_house import STATED, House


def test_what_was_gathered_travels_as_the_photo_of_its_try_alone(full: House, tmp_path: Path) -> None:
    use, who = full.inspections, full.mechanic
    full.people.devices.register(full.people.devices.new_code().code, who, "Hangar phone")
    given, waits = (use.photo_gathered(who, full.aircraft.id, photo_with_place(n)) for n in (7, 8))
    this = use.give_to_leg(who, given.id, full.primary.id, STATED, why="Taken an hour ago.")
    exported(full, tmp_path / "out")
    with open_archive(tmp_path / "other") as other:
        import_folder(tmp_path / "out", SqlExchange(other.records), other.photos)
        assert other.verify().faults == ()
        assert other.verify().orphans == ()
        with other.records.look() as r:
            assert r.get(Try, this.id).photo == given.photo
            assert r.all(Gathered) == ()
            assert r.all(Device) == ()
        assert not other.photos.has(waits.photo)
    assert full.archive.verify().faults == ()
