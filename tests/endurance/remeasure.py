"""An archive's photos measured again: one process, two, a cluster of two workers, and one of them killed.

Prints how long each took, how much faster two are, and whether all say the same.
"""

import argparse
import functools
import signal
import sys
import tempfile
import time
from collections.abc import Iterable, Iterator
from datetime import UTC, datetime
from pathlib import Path

import cv2
import numpy as np

from app.archive.exchange import SqlExchange
from app.inspection import Measured
from app.measuring.software import software
from app.remeasure import cluster as on_cluster
from app.remeasure import local
from app.remeasure.again import Answer
from app.remeasure.changes import Change
from app.remeasure.local import PhotoOf
from app.remeasure.run import Measure, run
from app.remeasure.tasks import Skipped, Task, tasks
from tests.app.records_house import STATED, House, open_house, reading
from tests.scenes.analytic import StrutScene, render
from tests.services.cluster import Cluster, cluster
from tests.services.ground import Ground

EVER = datetime(2020, 1, 1, tzinfo=UTC)
SCENES = 10


def configure(parser: argparse.ArgumentParser) -> None:
    """Add what it understands."""
    parser.set_defaults(run=main)
    parser.add_argument("--photos", type=int, default=100)
    parser.add_argument("--width", type=int, default=1512, help="of the photos, px; they are 3:4 upright")


def main(options: argparse.Namespace) -> None:
    """Run all four and print a table, each line as it is known."""
    # Ended from outside, it still ends what it has started.
    signal.signal(signal.SIGTERM, lambda number, frame: sys.exit(1))
    with tempfile.TemporaryDirectory() as folder:
        here = Path(folder)
        house = open_house(Ground(here / "home"))
        _fill(house, options.photos, options.width)
        print(f"{options.photos} photos of {options.width} x {options.width * 4 // 3} px\n")
        print("| how | s | faster by | photos | same as one process |\n|---|---|---|---|---|", flush=True)
        alone_s, alone = _timed(house, here / "one", functools.partial(local.answers, processes=1))
        _line("one process", alone_s, alone, alone_s, alone)
        two = functools.partial(local.answers, processes=2)
        _line("two processes", *_timed(house, here / "two", two), alone_s, alone)
        for name, kill_after in (("two Dask workers", None), ("the same, one killed", options.photos // 4)):
            aside = here / f"{name} logs"
            aside.mkdir()
            with cluster(aside, 2) as made:
                measure = functools.partial(_on_cluster, made, kill_after)
                _line(name, *_timed(house, here / name, measure), alone_s, alone)
        house.archive.close()


def _line(name: str, seconds: float, said: list[Change], alone_s: float, alone: list[Change]) -> None:
    same = "yes" if said == alone else "NO"
    print(f"| {name} | {seconds:.1f} | {alone_s / seconds:.2f} | {len(said)} | {same} |", flush=True)


def _fill(house: House, photos: int, width: int) -> None:
    pictures = [_picture(number, width) for number in range(min(photos, SCENES))]
    for number in range(photos):
        # Other bytes, so that each is another photo of the same strut.
        pixels = pictures[number % SCENES]
        quality = 96 - number // SCENES % 20
        photo = cv2.imencode(".jpg", pixels, [cv2.IMWRITE_JPEG_QUALITY, quality])[1].tobytes()
        begun = house.inspections.begin_try(house.mechanic, house.supporting.id, STATED, {})
        house.inspections.photo_arrived(house.mechanic, begun.id, photo, "IMG.jpg")
        house.inspections.measured(begun.id, Measured(reading(88.9).result))


def _picture(seed: int, width: int) -> np.ndarray:
    scene = StrutScene(
        seed=seed, width_px=width, height_px=width * 4 // 3, focal_px=width, distance_mm=570 + 10 * seed,
        supersample=1,
    )  # fmt: skip
    return render(scene)[0][:, :, ::-1]


def _timed(house: House, folder: Path, measure: Measure) -> tuple[float, list[Change]]:
    folder.mkdir()
    skipped = Skipped()
    wanted = tasks(SqlExchange(house.archive.records), EVER, skipped)
    began = time.perf_counter()
    changes = run(wanted, house.archive.photos, measure, folder, software(), skipped)
    return time.perf_counter() - began, changes


def _on_cluster(
    made: Cluster, kill_after: int | None, tasks: Iterable[Task], photo_of: PhotoOf
) -> Iterator[tuple[Task, Answer]]:
    for number, one in enumerate(on_cluster.answers(tasks, photo_of, made.address)):
        yield one
        if number == kill_after:
            made.kill_a_worker()
