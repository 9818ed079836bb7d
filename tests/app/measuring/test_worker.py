"""The worker process: what it answers, and what happens when it dies, hangs or is stopped."""

import contextlib
import os
import signal
import subprocess
import sys
import threading
import time
from collections.abc import Iterator
from pathlib import Path

import pytest

from app.errors import MeasuringError
from app.inspection.model import Measured
from app.measuring.job import DRAWING, MEASURING, READING
from app.measuring.worker import Worker, WorkerStoppedError
from tests.app.cli_files import LEG, ROOT, SPRING
from tests.scenes.photo_files import encoded, smooth_picture

NO_CARD = encoded(smooth_picture(1600, 1200))


@pytest.fixture(scope="module")
def kept() -> Iterator[Worker]:
    """A worker for the tests that leave it alive."""
    worker = Worker()
    yield worker
    worker.stop()


@pytest.fixture
def worker() -> Iterator[Worker]:
    worker = Worker()
    yield worker
    worker.stop()


@pytest.fixture(scope="module")
def read(kept: Worker, strut_photo: Path) -> Measured:
    return kept.measure(strut_photo.read_bytes(), LEG, {"check_bar_mm": [200.0, 30.0]})


def test_a_photo_is_measured_and_drawn(read: Measured) -> None:
    assert read.result["name"] == "strut_extension"
    assert read.result["status"] == "reading"
    assert abs(read.result["value"] - 88.9) <= max(0.5, read.result["expanded_uncertainty"])
    assert "card-unmeasured" not in {note["code"] for note in read.result["notes"]}
    assert read.annotated is not None
    assert read.annotated.startswith(b"\xff\xd8")


def test_the_stages_are_told_in_their_order(kept: Worker) -> None:
    told: list[str] = []
    measured = kept.measure(NO_CARD, LEG, {}, told.append)
    assert told == [READING, MEASURING, DRAWING]
    assert measured.result["status"] == "refused"


@pytest.mark.parametrize(
    ("photo", "leg", "options", "words"),
    [
        (b"no photo at all", LEG, {}, "the file holds text and no picture"),
        (NO_CARD, "aircraft = ", {}, "the leg's data: no valid TOML"),
        (NO_CARD, SPRING, {}, None),
        (NO_CARD, LEG, {"standoff": 3}, "told beside the photo cannot be used .options knows check_bar_mm"),
        (NO_CARD, LEG, {"check_bar_mm": [7.87]}, "a check bar of 7.87 mm belongs to none of the cards"),
    ],
    ids=["no photo", "no leg", "a refusal", "unknown option", "foreign bar"],
)
def test_what_cannot_be_measured_is_told_in_a_sentence_and_the_next_photo_is_measured(
    kept: Worker, photo: bytes, leg: str, options: dict[str, object], words: str | None
) -> None:
    kept.measure(NO_CARD, LEG, {})
    before = kept.pid
    if words is None:
        assert kept.measure(photo, leg, options).result["cause"] == "form-not-measured"
    else:
        with pytest.raises(MeasuringError, match=words):
            kept.measure(photo, leg, options)
    assert kept.measure(NO_CARD, LEG, {}).result["status"] == "refused"
    assert kept.pid == before


def test_a_worker_killed_in_the_middle_is_replaced_and_its_job_done_once_more(worker: Worker) -> None:
    killed: list[int] = []

    def kill_the_first(stage: str) -> None:
        if stage == MEASURING and not killed:
            assert worker.pid is not None
            killed.append(worker.pid)
            os.kill(worker.pid, signal.SIGKILL)

    measured = worker.measure(NO_CARD, LEG, {}, kill_the_first)
    assert measured.result["status"] == "refused"
    assert killed
    assert worker.pid not in killed


def test_a_job_that_kills_every_worker_is_given_up_with_a_sentence(worker: Worker) -> None:
    killed: list[int] = []

    def kill(stage: str) -> None:
        assert worker.pid is not None
        killed.append(worker.pid)
        os.kill(worker.pid, signal.SIGKILL)
        time.sleep(0.2)

    with pytest.raises(
        MeasuringError, match="stopped 2 times in the middle of this photo: the photo is kept"
    ):
        worker.measure(NO_CARD, LEG, {}, kill)
    assert len(set(killed)) == 2
    assert worker.measure(NO_CARD, LEG, {}).result["status"] == "refused"


def test_a_worker_that_died_between_two_jobs_is_replaced(worker: Worker) -> None:
    worker.start()
    assert worker.pid is not None
    os.kill(worker.pid, signal.SIGKILL)
    assert worker.measure(NO_CARD, LEG, {}).result["status"] == "refused"


def test_a_job_that_hangs_is_ended() -> None:
    worker = Worker(longest_s=0.3)
    try:
        worker.start()
        assert worker.pid is not None
        os.kill(worker.pid, signal.SIGSTOP)
        with pytest.raises(MeasuringError, match="stopped 2 times"):
            # The second process does not hang, but it cannot even be loaded in this time.
            worker.measure(NO_CARD, LEG, {})
    finally:
        worker.stop()


def test_a_fault_of_the_one_who_listens_does_not_mix_the_answers_of_two_photos(
    worker: Worker, strut_photo: Path
) -> None:
    def fail(stage: str) -> None:
        raise RuntimeError(stage)

    with pytest.raises(RuntimeError, match=READING):
        worker.measure(strut_photo.read_bytes(), LEG, {}, fail)
    assert worker.measure(NO_CARD, LEG, {}).result["status"] == "refused"


def test_a_worker_that_is_stopped_leaves_its_job_undone_and_starts_no_other(worker: Worker) -> None:
    stopping: list[threading.Thread] = []

    def stop(stage: str) -> None:
        if not stopping:
            stopping.append(threading.Thread(target=worker.stop))
            stopping[0].start()
            time.sleep(0.2)

    with pytest.raises(WorkerStoppedError):
        worker.measure(NO_CARD, LEG, {}, stop)
    stopping[0].join()
    with pytest.raises(WorkerStoppedError):
        worker.measure(NO_CARD, LEG, {})
    assert worker.pid is None


def test_a_folder_named_app_where_the_server_was_started_is_not_taken_for_ours(
    worker: Worker, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    (tmp_path / "app").mkdir()
    (tmp_path / "app" / "__init__.py").write_text("raise RuntimeError", encoding="utf-8")
    monkeypatch.chdir(tmp_path)
    assert worker.measure(NO_CARD, LEG, {}).result["status"] == "refused"


@pytest.mark.skipif(os.name != "posix", reason="asks for a process by its number as POSIX does")
def test_the_process_ends_with_its_parent_however_that_ends() -> None:
    parent = (
        "import os, sys; from app.measuring.worker import Worker; worker = Worker(); worker.start();"
        "print(worker.pid, flush=True); os._exit(1)"
    )
    done = subprocess.run(
        [sys.executable, "-c", parent], cwd=ROOT, stdout=subprocess.PIPE, text=True, check=False
    )
    pid, patience = int(done.stdout), time.monotonic() + 30
    with contextlib.suppress(ProcessLookupError):
        while time.monotonic() < patience and "python" in _command(pid):
            time.sleep(0.1)
    assert "python" not in _command(pid)


def _command(pid: int) -> str:
    """The process's command line; empty once it has ended, also where nobody has yet asked how."""
    try:
        return Path(f"/proc/{pid}/cmdline").read_text(encoding="utf-8")
    except (FileNotFoundError, ProcessLookupError):
        return ""


def test_points_that_a_person_placed_are_converted_by_the_geometry_of_the_reading(
    kept: Worker, read: Measured
) -> None:
    evidence = read.result["evidence"]
    placed = kept.length_at(read.result, evidence["from_px"], evidence["to_px"])
    assert placed.value_mm == pytest.approx(read.result["value"], abs=0.05)
    assert placed.difference_u_mm > 0
    assert placed.expanded_u_mm > read.result["expanded_uncertainty"] * 0.9
    lower = [evidence["from_px"][0], evidence["from_px"][1] + evidence["px_per_mm"]]
    moved = kept.length_at(read.result, lower, evidence["to_px"])
    assert abs(abs(moved.value_mm - placed.value_mm) - 1) < 0.1


@pytest.mark.parametrize(
    ("move", "words"),
    [
        ((float("nan"), 0.0), "the points cannot be used .* place both again"),
        ((5000.0, 0.0), "does not lie on the strut.* Place the mark again"),
    ],
)
def test_points_that_are_not_on_the_strut_are_refused_with_what_to_do(
    kept: Worker, read: Measured, move: tuple[float, float], words: str
) -> None:
    evidence = read.result["evidence"]
    moved = [a + b for a, b in zip(evidence["from_px"], move, strict=True)]
    with pytest.raises(MeasuringError, match=words):
        kept.length_at(read.result, moved, evidence["to_px"])


def test_points_on_a_photo_that_gave_no_reading_are_refused(kept: Worker) -> None:
    refused = kept.measure(NO_CARD, LEG, {})
    with pytest.raises(MeasuringError, match="gave no reading"):
        kept.length_at(refused.result, (1.0, 2.0), (3.0, 4.0))
