"""The tries that wait to be measured: one after the other, in the order in which their photos came.

The queue holds ids only, and no more than `LONGEST` of them: a photo is read when its
turn comes, so that twenty phones at once cost the memory of one reading.  What has no
room stands in the records all the same and is taken up from there.
"""

import logging
from collections import deque
from threading import Condition, Thread

from app.inspection.ports import Jobs
from app.inspection.service import Inspections
from app.measuring.worker import Worker, WorkerStoppedError
from vision.errors import GearwitnessError

LONGEST = 100
"""Tries in the queue; further ones wait in the records alone."""

_AGAIN_S = 5.0
_LOG = logging.getLogger(__name__)


class MeasuringJobs(Jobs):
    """A thread that has photos measured and enters what comes out.

    Nothing is kept here that a crash could lose: which tries wait stands in the
    records, and `start` takes them up again.
    """

    def __init__(self, inspections: Inspections, worker: Worker, longest: int = LONGEST) -> None:
        self._inspections = inspections
        self._worker = worker
        self._longest = longest
        self._waiting: deque[str] = deque()
        self._more_in_records = False
        self._given_up: set[str] = set()
        self._changed = Condition()
        self._ending = False
        self._thread = Thread(target=self._work, name="measuring", daemon=True)

    def start(self) -> None:
        """Start the worker and take up every try that was left unmeasured."""
        self._worker.start()
        self._take_up()
        self._thread.start()

    def stop(self) -> None:
        """End at once; what was being measured is taken up at the next start."""
        with self._changed:
            self._ending = True
            self._changed.notify()
        self._worker.stop()
        if self._thread.is_alive():
            self._thread.join()

    def submit(self, try_id: str) -> None:
        """Have the try's photo measured soon; a second call for the same try changes nothing."""
        with self._changed:
            if try_id in self._waiting:
                return
            # Once one stands in the records alone, later ones must not go before it.
            if self._more_in_records or len(self._waiting) >= self._longest:
                self._more_in_records = True
                return
            self._given_up.discard(try_id)
            self._waiting.append(try_id)
            self._changed.notify()

    def before(self, try_id: str) -> int | None:
        """Return how many photos are read before this one; None where it does not wait."""
        with self._changed:
            waiting, more = tuple(self._waiting), self._more_in_records
        if try_id in waiting:
            return waiting.index(try_id)
        if not more:
            return None
        later = [one.id for one in self._inspections.unfinished() if one.id not in waiting]
        return len(waiting) + later.index(try_id) if try_id in later else None

    def _take_up(self) -> None:
        """Fill the queue with what the records say was left unmeasured."""
        left = [one.id for one in self._inspections.unfinished()]
        with self._changed:
            new = [one for one in left if one not in self._waiting and one not in self._given_up]
            room = self._longest - len(self._waiting)
            self._waiting.extend(new[:room])
            self._more_in_records = len(new) > room
            self._changed.notify()

    def _work(self) -> None:
        while True:
            with self._changed:
                self._changed.wait_for(lambda: self._waiting or self._ending or self._more_in_records)
                if self._ending:
                    return
                try_id = self._waiting[0] if self._waiting else None
            if try_id is None:
                self._refill()
                continue
            try:
                self._measure(try_id)
            except WorkerStoppedError:
                return
            except Exception:  # one try's fault must not keep all later ones waiting
                _LOG.exception(
                    "the measuring of try %s could not be entered; the next start repeats it", try_id
                )
                self._given_up.add(try_id)
            with self._changed:
                self._waiting.popleft()

    def _refill(self) -> None:
        try:
            self._take_up()
        except Exception:  # a database that is away comes back
            _LOG.exception("the tries that wait in the records could not be looked up; tried again soon")
            with self._changed:
                self._changed.wait_for(lambda: self._ending, _AGAIN_S)

    def _measure(self, try_id: str) -> None:
        try:
            task = self._inspections.task(try_id)
            measured = self._worker.measure(*task, lambda stage: self._tell(try_id, stage))
        except GearwitnessError as error:
            self._inspections.measuring_failed(try_id, str(error))
        else:
            self._inspections.measured(try_id, measured)

    def _tell(self, try_id: str, stage: str) -> None:
        try:
            self._inspections.measuring(try_id, stage)
        except Exception:  # how far it is can be missed, the result cannot
            _LOG.exception("stage %r of try %s could not be entered", stage, try_id)
