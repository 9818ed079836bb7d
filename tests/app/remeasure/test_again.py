"""Archived photos measured again: by one process, by two, by a cluster that loses a worker; always the same."""

import functools
import json
from collections.abc import Iterable, Iterator
from datetime import UTC, datetime
from pathlib import Path

import pytest

from app.archive.exchange import SqlExchange
from app.errors import UsageError
from app.inspection.canonical import sha256
from app.measuring.software import software
from app.remeasure import cluster as on_cluster
from app.remeasure import local
from app.remeasure.again import Answer, measure_again
from app.remeasure.changes import Change, Kind
from app.remeasure.local import PhotoOf
from app.remeasure.run import Measure, run
from app.remeasure.tasks import Skipped, Task, tasks
from tests.app.cli_files import cli
from tests.app.records_house import House
from tests.app.remeasure.conftest import PHOTOS, put

pytest.importorskip("distributed")
from tests.services.cluster import Cluster, cluster

EVER = datetime(2020, 1, 1, tzinfo=UTC)
ONE_PROCESS = functools.partial(local.answers, processes=1)


def measured(house: House, folder: Path, measure: Measure = ONE_PROCESS) -> list[Change]:
    folder.mkdir(exist_ok=True)
    skipped = Skipped()
    wanted = tasks(SqlExchange(house.archive.records), EVER, skipped)
    return run(wanted, house.archive.photos, measure, folder, software(), skipped)


def test_what_the_present_version_reads_is_held_against_what_was_read_then(
    shop: House, tmp_path: Path
) -> None:
    head = shop.archive.head()
    changes = measured(shop, tmp_path / "out", functools.partial(local.answers, processes=2))
    assert len(changes) == PHOTOS
    assert all(one.value_after == pytest.approx(88.9, abs=0.3) for one in changes)
    (wrong,) = (one for one in changes if one.value_before == 90.9)
    assert (wrong.kind, wrong.beyond) == (Kind.VALUE, True)
    assert shop.archive.head() == head


def test_what_is_no_photo_is_an_answer_and_not_the_end(
    house: House, photos: list[bytes], tmp_path: Path
) -> None:
    bad = put(house, b"this is no photo")
    put(house, photos[0])
    changes = {one.try_id: one.kind for one in measured(house, tmp_path / "out")}
    assert changes.pop(bad) is Kind.FAILED
    assert len(changes) == 1
    line = json.loads((tmp_path / "out" / "answers.jsonl").read_text().splitlines()[0])
    assert "no photo" in line["failure_after"] or "JPEG" in line["failure_after"]


def test_a_photo_that_cannot_be_read_is_told_and_asked_for_again(
    house: House, photos: list[bytes], tmp_path: Path
) -> None:
    gone = put(house, photos[0])
    put(house, photos[1])
    sha = sha256(photos[0])
    house.archive.photos.remove(sha)
    told = ("--home", house.home, "--since", "2024-01-01", "--out", tmp_path / "out", "--processes", "1")
    ended = cli("archive", "remeasure", *told)
    assert ended.status == 3
    assert f"not measured again: try {gone}: There is no photo '{sha}'" in ended.err
    house.archive.photos.put(photos[0])
    assert cli("archive", "remeasure", *told).err.count("not measured again") == 0
    assert len((tmp_path / "out" / "answers.jsonl").read_text().splitlines()) == 2


def test_a_run_that_was_stopped_goes_on_where_it_was(shop: House, tmp_path: Path) -> None:
    asked: list[str] = []

    def stopped(tasks: Iterable[Task], photo_of: PhotoOf) -> Iterator[tuple[Task, Answer]]:
        for number, task in enumerate(tasks):
            if number == 2:
                raise KeyboardInterrupt
            yield task, measure_again(photo_of(task), task.leg_toml, task.options)

    def noted(tasks: Iterable[Task], photo_of: PhotoOf) -> Iterator[tuple[Task, Answer]]:
        for task in tasks:
            asked.append(task.try_id)
            yield task, measure_again(photo_of(task), task.leg_toml, task.options)

    with pytest.raises(KeyboardInterrupt):
        measured(shop, tmp_path / "out", stopped)
    first = measured(shop, tmp_path / "out", noted)
    assert len(asked) == PHOTOS - 2
    assert measured(shop, tmp_path / "out", noted) == first
    assert len(asked) == PHOTOS - 2


@pytest.fixture(scope="module")
def two_workers(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Cluster]:
    with cluster(tmp_path_factory.mktemp("cluster"), 2) as made:
        yield made


def test_a_cluster_that_loses_one_of_two_workers_answers_all_and_the_same_as_one_process(
    shop: House, tmp_path: Path, two_workers: Cluster
) -> None:
    def with_a_loss(tasks: Iterable[Task], photo_of: PhotoOf) -> Iterator[tuple[Task, Answer]]:
        for number, one in enumerate(on_cluster.answers(tasks, photo_of, two_workers.address)):
            yield one
            if number == 0:
                two_workers.kill_a_worker()

    lost = measured(shop, tmp_path / "cluster", with_a_loss)
    assert [one.try_id for one in lost] == [one.try_id for one in measured(shop, tmp_path / "one")]
    assert lost == measured(shop, tmp_path / "one")


def test_the_cluster_s_version_must_be_this_one(
    shop: House, tmp_path: Path, two_workers: Cluster, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("app.remeasure.cluster.software", _another_version)
    with pytest.raises(UsageError, match=r"workers run version .*, this is 9\.9"):
        measured(shop, tmp_path / "out", functools.partial(on_cluster.answers, address=two_workers.address))


class _Another:
    """Is 9.9 here, and what the worker says there."""

    def __call__(self) -> str:
        return "9.9"

    def __reduce__(self) -> tuple[object, tuple[()]]:
        return (_theirs, ())


def _theirs() -> object:
    return software


_another_version = _Another()


def test_a_cluster_that_is_not_there_is_told_in_words(
    shop: House, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("app.remeasure.cluster._PATIENCE_S", 1)
    with pytest.raises(UsageError, match=r"scheduler at tcp://127\.0\.0\.1:1 cannot be reached"):
        measured(shop, tmp_path / "out", functools.partial(on_cluster.answers, address="tcp://127.0.0.1:1"))


def test_the_command_writes_the_report_and_ends_with_3_where_something_would_change(
    shop: House, tmp_path: Path
) -> None:
    home = ("--home", shop.home, "--since", "2024-01-01", "--out", tmp_path / "out", "--processes", "2")
    ended = cli("archive", "remeasure", *home)
    assert ended.status == 3
    assert "# Measured again" in ended.out
    assert f"{PHOTOS} of {PHOTOS}" in ended.err
    names = sorted(path.name for path in (tmp_path / "out").iterdir())
    assert names == ["answers.jsonl", "report.csv", "report.json", "report.md"]
    assert json.loads((tmp_path / "out" / "report.json").read_text())["summary"]["tries"] == PHOTOS


def test_a_day_after_all_photos_is_wrong_use(shop: House, tmp_path: Path) -> None:
    ended = cli(
        "archive", "remeasure", "--home", shop.home, "--since", "2031-01-01", "--out", tmp_path / "out"
    )
    assert (ended.status, ended.out) == (2, "")
    assert "no measured photo since 2031-01-01" in ended.err
    ended = cli("archive", "remeasure", "--home", shop.home, "--since", "May", "--out", tmp_path / "out")
    assert ended.status == 2
    assert "'May' is no day" in ended.err
