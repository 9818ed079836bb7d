"""What was measured again already: a file of JSON lines that a stop or a crash leaves usable.

Each line holds a try and the version that measured it, so one file can serve
several versions, and a run goes on where another one was stopped.
"""

import json
import os
from collections.abc import Iterator, Mapping
from pathlib import Path
from types import TracebackType
from typing import Any

from app.errors import UsageError
from app.remeasure.again import Answer
from app.remeasure.tasks import Task

Line = Mapping[str, Any]


class Journal:
    """A file of answers, read when it is opened and then only appended to.

    Raises
    ------
    UsageError
        The file holds something else.
    """

    def __init__(self, path: Path, version: str) -> None:
        self._path = path
        self._version = version
        self._lines: dict[str, Line] = {}
        end = 0
        for line, ends in _lines(path):
            if line["version"] == version:
                self._lines[line["try"]] = line
            end = ends
        self._file = path.open("ab")
        # A line that a crash cut off is no answer.
        self._file.truncate(end)

    @property
    def lines(self) -> tuple[Line, ...]:
        """All answers of this version."""
        return tuple(self._lines.values())

    def has(self, task: Task) -> bool:
        """Return whether this version has measured this try, from the same result then."""
        line = self._lines.get(task.try_id)
        return line is not None and line["photo"] == task.photo and line["before"] == task.before

    def add(self, task: Task, answer: Answer) -> Line:
        """Append an answer, durable on return; return its line."""
        line = {
            "try": task.try_id,
            "version": answer.version,
            "registration": task.registration,
            "position": task.position,
            "begun_at": task.begun_at,
            "photo": task.photo,
            "before": None if task.before is None else dict(task.before),
            "failure_before": task.failure,
            "after": None if answer.after is None else dict(answer.after),
            "failure_after": answer.failure,
            "seconds": round(answer.seconds, 3),
        }
        self._file.write(json.dumps(line, ensure_ascii=True, allow_nan=False).encode("ascii") + b"\n")
        self._file.flush()
        os.fsync(self._file.fileno())
        self._lines[task.try_id] = line
        return line

    def __enter__(self) -> "Journal":
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self._file.close()


def _lines(path: Path) -> Iterator[tuple[Line, int]]:
    """Return each whole line with the place behind it."""
    if not path.exists():
        return
    end = 0
    with path.open("rb") as file:
        for raw in file:
            if not raw.endswith(b"\n"):
                return
            end += len(raw)
            try:
                line = json.loads(raw)
                _ = line["try"], line["version"], line["photo"], line["before"]
            except (ValueError, KeyError, TypeError) as error:
                msg = f"{path} holds something else than answers: name another folder with --out"
                raise UsageError(msg) from error
            yield line, end
