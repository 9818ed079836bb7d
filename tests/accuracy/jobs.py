"""Many cases in a pool of processes, resumable: a line of JSON for each that is done."""

import json
import multiprocessing
from collections.abc import Callable, Iterator, Mapping, Sequence
from concurrent.futures import ProcessPoolExecutor, as_completed
from pathlib import Path
from typing import Any

import cv2

Row = dict[str, Any]


def read_rows(path: Path) -> list[Row]:
    """Every whole row of a file of JSON lines; one that was cut off while it was written is left out."""
    if not path.exists():
        return []
    rows = []
    for line in path.read_text(encoding="utf-8").splitlines():
        try:
            rows.append(json.loads(line))
        except json.JSONDecodeError:
            continue
    return rows


class RowFile:
    """The rows of a run: those that are there, and new ones appended and flushed one by one."""

    def __init__(self, path: Path) -> None:
        self.path = path
        self.rows = read_rows(path)
        # A run that was killed while it wrote has left half a line: it gets its end.
        if path.exists() and path.stat().st_size and not path.read_bytes().endswith(b"\n"):
            with path.open("a", encoding="utf-8") as file:
                file.write("\n")

    def append(self, row: Row) -> None:
        """Write one row behind the others."""
        self.path.parent.mkdir(parents=True, exist_ok=True)
        with self.path.open("a", encoding="utf-8") as file:
            file.write(json.dumps(row) + "\n")
        self.rows.append(row)


def run_jobs(
    path: Path,
    wanted: Mapping[Any, Sequence[Any]],
    job: Callable[..., Row],
    key_of: Callable[[Row], Any],
    processes: int,
) -> Iterator[tuple[Row, bool]]:
    """Yield the row of every wanted case and whether this run made it.

    Parameters
    ----------
    path : Path
        The file of rows.
    wanted : mapping of key to arguments
        What the cases are called, and what `job` takes for each.
    job : callable
        Top-level function that gives a row; it runs in another process.
    key_of : callable
        The key of a row, None for a row of something else.
    """
    file = RowFile(path)
    done = {key_of(row): row for row in file.rows}
    yield from ((done[key], False) for key in wanted if key in done)
    missing = {key: arguments for key, arguments in wanted.items() if key not in done}
    if not missing:
        return
    count = min(processes, len(missing))
    with ProcessPoolExecutor(count, mp_context=spawning(), initializer=quiet_worker) as pool:
        for future in as_completed([pool.submit(job, *arguments) for arguments in missing.values()]):
            row = future.result()
            file.append(row)
            yield row, True


def quiet_worker() -> None:
    """One thread in each process."""
    cv2.setNumThreads(1)


def spawning() -> Any:
    """Fresh processes: one that has opened a graphics card, or OpenCV's threads, must not be forked."""
    return multiprocessing.get_context("spawn")
