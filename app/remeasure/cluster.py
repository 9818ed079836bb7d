"""Photos measured again on a Dask cluster; a worker that dies loses nothing, its photos go to another.

The workers need this very program installed.  The photos travel with the tasks, so
they need neither the database nor the place of the photos.
"""

import importlib
from collections.abc import Iterable, Iterator
from typing import Any

from app.errors import UsageError
from app.measuring.software import software
from app.remeasure.again import Answer, measure_again
from app.remeasure.local import PhotoOf
from app.remeasure.tasks import Task

_PATIENCE_S = 30
_TRIES = 3
_TASKS_PER_THREAD = 2
"""How many photos are on their way to a worker beside the one that it measures."""


def answers(tasks: Iterable[Task], photo_of: PhotoOf, address: str) -> Iterator[tuple[Task, Answer]]:
    """Return each task with its answer as they come, in no promised order.

    Parameters
    ----------
    address : str
        The scheduler's, e.g. ``tcp://10.0.0.5:8786``.

    Raises
    ------
    UsageError
        The package distributed is missing, the scheduler cannot be reached, it has no workers, or they
        run another version of this program.
    """
    try:
        distributed: Any = importlib.import_module("distributed")  # an extra, and slow to load
    except ImportError as error:
        msg = "a cluster needs the package distributed: install gearwitness with its extra, gearwitness[shop]"
        raise UsageError(msg) from error
    try:
        client = distributed.Client(address, timeout=_PATIENCE_S, set_as_default=False)
    except (OSError, ValueError) as error:
        msg = f"the scheduler at {address} cannot be reached ({error}): start it, or check the address"
        raise UsageError(msg) from error
    with client:
        window = _TASKS_PER_THREAD * _threads(client, address)
        _check_versions(client)
        waiting = iter(tasks)
        under_way: dict[str, Task] = {}
        first = _submit(client, waiting, photo_of, under_way, window)
        done = distributed.as_completed(first, loop=client.loop)
        for future in done:
            task = under_way.pop(future.key)
            yield task, _answer(future)
            future.release()
            for more in _submit(client, waiting, photo_of, under_way, 1):
                done.add(more)


def _submit(
    client: Any, waiting: Iterator[Task], photo_of: PhotoOf, under_way: dict[str, Task], most: int
) -> list[Any]:
    futures = []
    for _, task in zip(range(most), waiting, strict=False):
        key = f"gearwitness-{task.try_id}"
        under_way[key] = task
        futures.append(
            client.submit(
                measure_again, photo_of(task), task.leg_toml, dict(task.options), key=key, retries=_TRIES
            )
        )
    return futures


def _answer(future: Any) -> Answer:
    error = future.exception()
    if error is None:
        found: Answer = future.result()
        return found
    said = f"the measuring of this photo stopped on the cluster ({type(error).__name__}: {error})"
    return Answer(software(), None, said, 0.0)


def _threads(client: Any, address: str) -> int:
    try:
        client.wait_for_workers(1, timeout=_PATIENCE_S)
    except TimeoutError as error:
        msg = f"the cluster at {address} has no workers: start some"
        raise UsageError(msg) from error
    threads: dict[str, int] = client.nthreads()
    return max(1, sum(threads.values()))


def _check_versions(client: Any) -> None:
    mine = software()
    try:
        theirs = client.run(software)
    except Exception as error:  # whatever a worker without this program raises
        msg = f"the cluster's workers cannot run this program ({error}): install version {mine} on them"
        raise UsageError(msg) from error
    other = sorted({version for version in theirs.values() if version != mine})
    if other:
        msg = f"the cluster's workers run version {', '.join(other)}, this is {mine}: install the same on all"
        raise UsageError(msg)
