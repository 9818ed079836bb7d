"""Photos measured again in processes on this machine, each replaced when it dies."""

import time
from collections.abc import Callable, Iterable, Iterator
from concurrent.futures import FIRST_COMPLETED, Future, ThreadPoolExecutor, wait
from queue import SimpleQueue

from app.errors import MeasuringError
from app.measuring.software import software
from app.measuring.worker import Worker
from app.remeasure.again import Answer
from app.remeasure.tasks import Task

PhotoOf = Callable[[Task], bytes]


def answers(tasks: Iterable[Task], photo_of: PhotoOf, processes: int) -> Iterator[tuple[Task, Answer]]:
    """Return each task with its answer as they come, in no promised order.

    Parameters
    ----------
    photo_of : callable
        Returns a task's photo; called in a thread, one after the other for each process.
    processes : int, > 0
        How many photos are measured at once.
    """
    version = software()
    workers = [Worker() for _ in range(processes)]
    idle: SimpleQueue[Worker] = SimpleQueue()
    for worker in workers:
        idle.put(worker)

    def one(task: Task) -> Answer:
        began = time.perf_counter()
        worker = idle.get()
        try:
            after = worker.measure(photo_of(task), task.leg_toml, task.options, draw=False).result
        except MeasuringError as error:
            return Answer(version, None, str(error), time.perf_counter() - began)
        finally:
            idle.put(worker)
        return Answer(version, after, None, time.perf_counter() - began)

    under_way: dict[Future[Answer], Task] = {}
    with ThreadPoolExecutor(processes) as pool:
        try:
            for task in tasks:
                under_way[pool.submit(one, task)] = task
                # Few wait, because each holds a photo once it is begun, and a stop should be soon.
                while len(under_way) >= 2 * processes:
                    yield from _finished(under_way)
            while under_way:
                yield from _finished(under_way)
        finally:
            for future in under_way:
                future.cancel()
            for worker in workers:
                worker.stop()


def _finished(under_way: dict[Future[Answer], Task]) -> Iterator[tuple[Task, Answer]]:
    done, _ = wait(under_way, return_when=FIRST_COMPLETED)
    for future in done:
        task = under_way.pop(future)
        yield task, future.result()
