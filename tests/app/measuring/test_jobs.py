"""The queue of tries: their order, their stages, what is entered, what one fault does to the next."""

import threading
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, field
from types import SimpleNamespace
from typing import Any

import pytest

from app.errors import ArchiveError, MeasuringError
from app.inspection.model import Measured
from app.measuring.jobs import MeasuringJobs
from app.measuring.worker import WorkerStoppedError

Tell = Callable[[str], None]


@dataclass
class Entered:
    """The use cases that the queue needs, remembering what was entered."""

    left: tuple[str, ...] = ()
    entered: list[tuple[str, ...]] = field(default_factory=list)
    changed: threading.Condition = field(default_factory=threading.Condition)

    def unfinished(self) -> tuple[SimpleNamespace, ...]:
        return tuple(SimpleNamespace(id=name) for name in self.left)

    def task(self, try_id: str) -> tuple[bytes, str, dict[str, Any]]:
        if try_id == "damaged":
            msg = "the photo's file is damaged"
            raise ArchiveError(msg)
        return try_id.encode(), "leg", {"told": try_id}

    def _enter(self, *what: str) -> None:
        with self.changed:
            self.entered.append(what)
            self.changed.notify_all()

    def measuring(self, try_id: str, stage: str) -> None:
        self._enter("stage", try_id, stage)
        if try_id == "no room":
            raise OSError(stage)

    def measured(self, try_id: str, measured: Measured) -> None:
        if try_id == "cannot be entered":
            raise ArchiveError(try_id)
        self._enter("measured", try_id, measured.result["value"])

    def measuring_failed(self, try_id: str, sentence: str) -> None:
        self._enter("failed", try_id, sentence)

    def wait_for(self, *what: str) -> None:
        with self.changed:
            assert self.changed.wait_for(lambda: what in self.entered, timeout=10), self.entered


class Answers:
    """A worker that answers with the photo's bytes, once it may."""

    def __init__(self) -> None:
        self.may = threading.Event()
        self.may.set()
        self.asked: list[str] = []
        self.ended = False

    def start(self) -> None:
        pass

    def stop(self) -> None:
        self.ended = True
        self.may.set()

    def measure(self, photo: bytes, leg_toml: str, options: Mapping[str, Any], tell: Tell) -> Measured:
        name = photo.decode()
        assert (leg_toml, options) == ("leg", {"told": name})
        self.asked.append(name)
        tell("measuring the strut")
        assert self.may.wait(10)
        if self.ended:
            raise WorkerStoppedError
        if name == "unreadable":
            msg = "the photo cannot be read"
            raise MeasuringError(msg)
        return Measured({"value": name})


@pytest.fixture
def worker() -> Answers:
    return Answers()


@pytest.fixture
def entered() -> Entered:
    return Entered()


@pytest.fixture
def jobs(entered: Entered, worker: Answers) -> Iterator[MeasuringJobs]:
    jobs = MeasuringJobs(entered, worker)  # type: ignore[arg-type]
    yield jobs
    jobs.stop()


def test_a_try_is_measured_and_its_stage_entered_on_the_way(jobs: MeasuringJobs, entered: Entered) -> None:
    jobs.start()
    jobs.submit("one")
    entered.wait_for("measured", "one", "one")
    assert entered.entered == [("stage", "one", "measuring the strut"), ("measured", "one", "one")]


def test_what_was_left_unmeasured_is_taken_up_at_the_start_the_oldest_first(
    jobs: MeasuringJobs, entered: Entered, worker: Answers
) -> None:
    entered.left = ("oldest", "older")
    jobs.submit("new")
    jobs.start()
    entered.wait_for("measured", "older", "older")
    entered.wait_for("measured", "new", "new")
    assert set(worker.asked) == {"oldest", "older", "new"}
    assert worker.asked.index("oldest") < worker.asked.index("older")


def test_a_try_that_waits_or_is_being_measured_is_not_queued_again(
    jobs: MeasuringJobs, entered: Entered, worker: Answers
) -> None:
    worker.may.clear()
    jobs.start()
    for _ in range(3):
        jobs.submit("one")
        jobs.submit("two")
        entered.wait_for("stage", "one", "measuring the strut")
    worker.may.set()
    entered.wait_for("measured", "two", "two")
    assert worker.asked == ["one", "two"]


@pytest.mark.parametrize(
    ("name", "outcome"),
    [
        ("unreadable", ("failed", "unreadable", "the photo cannot be read")),
        ("damaged", ("failed", "damaged", "the photo's file is damaged")),
        ("no room", ("measured", "no room", "no room")),
    ],
    ids=["a photo that fails", "a file that is damaged", "a stage that cannot be entered"],
)
def test_one_try_s_fault_is_entered_where_it_can_be_and_the_next_is_measured(
    jobs: MeasuringJobs, entered: Entered, name: str, outcome: tuple[str, ...]
) -> None:
    jobs.start()
    jobs.submit(name)
    jobs.submit("next")
    entered.wait_for("measured", "next", "next")
    assert outcome in entered.entered


def test_each_try_is_told_how_many_are_read_before_it(
    jobs: MeasuringJobs, entered: Entered, worker: Answers
) -> None:
    worker.may.clear()
    jobs.start()
    for name in ("one", "two", "three"):
        jobs.submit(name)
    entered.wait_for("stage", "one", "measuring the strut")
    assert [jobs.before(name) for name in ("one", "two", "three", "unknown")] == [0, 1, 2, None]
    worker.may.set()
    entered.wait_for("measured", "three", "three")


def test_a_full_queue_leaves_the_rest_in_the_records_and_takes_it_up_in_its_order(
    entered: Entered, worker: Answers
) -> None:
    names = tuple(f"try {number}" for number in range(7))
    jobs = MeasuringJobs(entered, worker, longest=3)  # type: ignore[arg-type]
    worker.may.clear()
    jobs.start()
    entered.left = names  # as the records have them once their photos came
    for name in names:
        jobs.submit(name)
    assert len(jobs._waiting) == 3
    assert [jobs.before(name) for name in names] == list(range(7))
    # What is measured is no longer unmeasured.
    entered.measured = _taking_away(entered)  # type: ignore[method-assign]
    worker.may.set()
    entered.wait_for("measured", "try 6", "try 6")
    assert worker.asked == list(names)
    jobs.stop()


def _taking_away(entered: Entered) -> Callable[[str, Measured], None]:
    enter = entered.measured

    def measured(try_id: str, result: Measured) -> None:
        entered.left = tuple(name for name in entered.left if name != try_id)
        enter(try_id, result)

    return measured


def test_records_that_cannot_be_looked_up_are_asked_again(
    entered: Entered, worker: Answers, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("app.measuring.jobs._AGAIN_S", 0.01)
    jobs = MeasuringJobs(entered, worker, longest=1)  # type: ignore[arg-type]
    worker.may.clear()
    jobs.start()
    entered.left = ("one", "two")
    jobs.submit("one")
    jobs.submit("two")
    look, failures = entered.unfinished, iter([True, True])

    def away() -> Any:
        if next(failures, False):
            msg = "the database is away"
            raise ArchiveError(msg)
        return look()

    entered.unfinished = away  # type: ignore[method-assign]
    entered.measured = _taking_away(entered)  # type: ignore[method-assign]
    worker.may.set()
    entered.wait_for("measured", "two", "two")
    jobs.stop()


def test_a_result_that_cannot_be_entered_is_logged_and_left_for_the_next_start(
    jobs: MeasuringJobs, entered: Entered, caplog: pytest.LogCaptureFixture
) -> None:
    jobs.start()
    jobs.submit("cannot be entered")
    jobs.submit("next")
    entered.wait_for("measured", "next", "next")
    assert "try cannot be entered could not be entered; the next start repeats it" in caplog.text
    assert ("failed", "cannot be entered", "cannot be entered") not in entered.entered


def test_stopping_leaves_the_try_as_it_is_and_measures_nothing_more(
    jobs: MeasuringJobs, entered: Entered, worker: Answers
) -> None:
    worker.may.clear()
    jobs.start()
    jobs.submit("one")
    jobs.submit("two")
    entered.wait_for("stage", "one", "measuring the strut")
    jobs.stop()
    assert entered.entered == [("stage", "one", "measuring the strut")]
    assert worker.asked == ["one"]
