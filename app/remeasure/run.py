"""A whole run: what is left is measured, every answer kept at once, and the report made of all of them."""

from collections.abc import Callable, Iterable, Iterator
from pathlib import Path

from app.errors import ArchiveError, NotFound
from app.inspection.ports import Photos
from app.remeasure.again import Answer
from app.remeasure.changes import Change, change_of
from app.remeasure.journal import Journal
from app.remeasure.local import PhotoOf
from app.remeasure.table import in_order
from app.remeasure.tasks import Skipped, Task

JOURNAL = "answers.jsonl"
Measure = Callable[[Iterable[Task], PhotoOf], Iterator[tuple[Task, Answer]]]
Tell = Callable[[int, int], None]


def run(
    tasks: Iterable[Task],
    photos: Photos,
    measure: Measure,
    folder: Path,
    version: str,
    skipped: Skipped,
    tell: Tell = lambda done, of: None,
) -> list[Change]:
    """Measure what this version has not measured yet; return what would change, gravest first.

    Parameters
    ----------
    measure : callable
        Gives each task with its answer: `local.answers` or `cluster.answers` with their last argument.
    folder : Path
        Where the journal is; it is made where it is missing.
    skipped : Skipped
        Gets the tries whose photos cannot be read.
    tell : callable, optional
        Gets how many are done, of how many.
    """
    wanted = {task.try_id: task for task in tasks}
    unreadable: dict[str, str] = {}

    def photo_of(task: Task) -> bytes:
        try:
            return photos.get(task.photo)
        except (ArchiveError, NotFound) as error:
            unreadable[task.try_id] = str(error)
            return b""

    with Journal(folder / JOURNAL, version) as journal:
        left = [task for task in wanted.values() if not journal.has(task)]
        done = len(wanted) - len(left)
        for task, answer in measure(left, photo_of):
            # That a bucket is down says nothing of a photo: it is asked for again the next time.
            if task.try_id not in unreadable:
                journal.add(task, answer)
            done += 1
            tell(done, len(wanted))
        lines = [line for line in journal.lines if line["try"] in wanted]
    skipped.unreadable += sorted(unreadable.items())
    return in_order(map(change_of, lines))
