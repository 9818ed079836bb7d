"""The tries that wait to be measured: one after the other, in the order in which their photos came."""

import logging
from collections import deque
from threading import Condition, Thread

from app.inspection.ports import Jobs
from app.inspection.service import Inspections
from app.measuring.worker import Worker, WorkerStoppedError
from vision.errors import GearwitnessError

_LOG = logging.getLogger(__name__)


class MeasuringJobs(Jobs):
    """A thread that has photos measured and enters what comes out.

    Nothing is kept here that a crash could lose: which tries wait stands in the
    records, and `start` takes them up again.
    """

    def __init__(self, inspections: Inspections, worker: Worker) -> None:
        self._inspections = inspections
        self._worker = worker
        self._waiting: deque[str] = deque()
        self._changed = Condition()
        self._ending = False
        self._thread = Thread(target=self._work, name="measuring", daemon=True)

    def start(self) -> None:
        """Start the worker and take up every try that was left unmeasured."""
        self._worker.start()
        for left in self._inspections.unfinished():
            self.submit(left.id)
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
            if try_id not in self._waiting:
                self._waiting.append(try_id)
                self._changed.notify()

    def _work(self) -> None:
        while True:
            with self._changed:
                self._changed.wait_for(lambda: self._waiting or self._ending)
                if self._ending:
                    return
                try_id = self._waiting[0]
            try:
                self._measure(try_id)
            except WorkerStoppedError:
                return
            except Exception:  # one try's fault must not keep all later ones waiting
                _LOG.exception(
                    "the measuring of try %s could not be entered; the next start repeats it", try_id
                )
            with self._changed:
                self._waiting.popleft()

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
