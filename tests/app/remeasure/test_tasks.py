"""What is measured again: measured photos since a day, each with its leg data and options as they were."""

import json
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from pathlib import Path

from app.archive import open_archive
from app.archive.exchange import SqlExchange
from app.inspection import Measured
from app.inspection.exchange import Bundle, Link
from app.record.copies import Wishes
from app.record.folder import export
from app.record.reading import import_folder
from app.remeasure.tasks import Skipped, Task, tasks, tasks_of
from tests.app.records_house import STATED, House, reading
from tests.app.remeasure.conftest import put

EVER = datetime(2020, 1, 1, tzinfo=UTC)


def found(house: House, since: datetime = EVER) -> list[Task]:
    return list(tasks(SqlExchange(house.archive.records), since, Skipped()))


def test_a_measured_try_comes_with_its_result_options_leg_and_place(house: House) -> None:
    begun = house.inspections.begin_try(house.mechanic, house.supporting.id, STATED, {"stand_off_mm": 4.5})
    house.inspections.photo_arrived(house.mechanic, begun.id, b"photo", "IMG.jpg")
    house.inspections.measured(begun.id, Measured(reading(88.9).result))
    (task,) = found(house)
    assert (task.try_id, task.options, task.failure) == (begun.id, {"stand_off_mm": 4.5}, None)
    assert (task.registration, task.position) == ("ZZ-GWT", "left main")
    assert task.leg_toml == house.supporting.toml
    assert task.before is not None
    assert task.before["value"] == 88.9
    assert house.archive.photos.get(task.photo) == b"photo"


def test_what_was_not_measured_is_no_task_and_what_could_not_be_is_one(house: House) -> None:
    house.stored()
    failed = house.stored(house.supporting)
    house.inspections.measuring_failed(failed.id, "it is no photo")
    (task,) = found(house)
    assert (task.try_id, task.before, task.failure) == (failed.id, None, "it is no photo")


def test_only_what_was_begun_since_counts(house: House) -> None:
    put(house, b"early")
    border = house.clock.now()
    later = put(house, b"late")
    assert [task.try_id for task in found(house, border)] == [later]
    assert found(house, house.clock.now() + timedelta(days=1)) == []


def test_a_leg_s_data_are_those_of_the_time_of_the_measuring(house: House) -> None:
    before = put(house, b"before")
    changed = house.supporting.toml.replace("upper_mm = 95.25", "upper_mm = 94.0")
    with house.archive.records.begin() as work:
        work.enter("leg-changed", None, None, replace(house.supporting, toml=changed))
    after = put(house, b"after")
    legs = {task.try_id: task.leg_toml for task in found(house)}
    assert legs == {before: house.supporting.toml, after: changed}


def test_an_imported_inspection_has_its_leg_data_of_that_time_too(house: House, tmp_path: Path) -> None:
    put(house, b"photo")
    exchange = SqlExchange(house.archive.records)
    ids = [one.inspection_id for one in exchange.listed()]
    export(exchange, house.archive.photos, ids, tmp_path / "out", Wishes(), "1")
    with open_archive(tmp_path / "other") as other:
        assert import_folder(tmp_path / "out", SqlExchange(other.records), other.photos).refused == []
        (there,) = tasks(SqlExchange(other.records), EVER, Skipped())
    (here,) = found(house)
    assert there == here


def test_a_photo_that_was_deleted_by_an_act_is_counted_and_left_out(house: House) -> None:
    put(house, b"photo")
    (one,) = SqlExchange(house.archive.records).listed()
    bundle = SqlExchange(house.archive.records).bundle(one.inspection_id)
    (task,) = tasks_of(bundle, EVER, Skipped())
    act = {"kind": "photo-deleted", "data": {"photos": [task.photo]}}
    link = Link("archive", 99, "", "", json.dumps(act).encode())
    without = Bundle(bundle.inspection_id, bundle.events, (*bundle.context, link))
    skipped = Skipped()
    assert list(tasks_of(without, EVER, skipped)) == []
    assert skipped.deleted == 1
