"""Queue, worker and records together: what becomes of a stored photo."""

import time
from collections.abc import Iterator

import pytest

from app.inspection import Try, TryState
from app.measuring.jobs import MeasuringJobs
from app.measuring.worker import Worker
from tests.app.records_house import STATED, House
from tests.scenes.photo_files import encoded, smooth_picture

NO_CARD = encoded(smooth_picture(1600, 1200))


@pytest.fixture(scope="module")
def worker() -> Iterator[Worker]:
    worker = Worker()
    yield worker
    worker.stop()


def stored(house: House) -> Try:
    begun = house.inspections.begin_try(house.mechanic, house.primary.id, STATED)
    return house.inspections.photo_arrived(house.mechanic, begun.id, NO_CARD, "IMG_1.jpg")


def measured(house: House, worker: Worker, this: Try) -> Try:
    """The try once the queue, which finds it by itself at its start, is done with it."""
    jobs = MeasuringJobs(house.inspections, worker)
    jobs.start()
    patience = time.monotonic() + 60
    while time.monotonic() < patience:
        now = house.inspections.try_of(house.mechanic, this.id)
        if now.state not in (TryState.STORED, TryState.MEASURING):
            return now
        time.sleep(0.02)
    raise AssertionError(now)


def test_a_stored_photo_is_measured_and_its_annotated_copy_kept(house: House, worker: Worker) -> None:
    done = measured(house, worker, stored(house))
    assert done.state is TryState.REFUSED
    assert done.result is not None
    assert done.result["status"] == "refused"
    assert done.annotated is not None
    assert house.archive.photos.get(done.annotated).startswith(b"\xff\xd8")
    assert house.archive.verify().faults == ()


def test_a_leg_that_cannot_be_read_fails_the_try_with_a_sentence(
    house: House, worker: Worker, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(house.inspections, "task", lambda try_id: (NO_CARD, "[strut]\nextension_mm = ?", {}))
    done = measured(house, worker, stored(house))
    assert done.state is TryState.FAILED
    assert done.failure is not None
    assert done.failure.startswith("the leg's data: no valid TOML")
    assert "correct that line" in done.failure


def test_a_photo_that_was_damaged_on_the_disk_fails_the_try_with_a_sentence(
    house: House, worker: Worker
) -> None:
    this = stored(house)
    assert this.photo is not None
    house.archive.photos.path(this.photo).write_bytes(NO_CARD[:-1])
    done = measured(house, worker, this)
    assert done.state is TryState.FAILED
    assert done.failure is not None
    assert "was changed or damaged: restore" in done.failure
