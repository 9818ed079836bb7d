"""The worker: one process that measures, warm from the start, replaced when it dies."""

import os
import pickle
import subprocess
import sys
from collections.abc import Mapping, Sequence
from contextlib import suppress
from datetime import datetime
from pathlib import Path
from threading import Lock, Timer
from typing import Any, cast

import app
from app.errors import MeasuringError
from app.inspection.model import Measured, Pixel, PlacedLength, PlacedValue
from app.inspection.ports import Measurer
from app.measuring.job import Asked, Tell
from vision.errors import PhotoError
from vision.photo import read_photo, taken_at
from vision.results import COVERAGE_FACTOR, Refusal
from vision.scale.markers import find_markers
from vision.strut.placed import placed_length
from vision.tire.placed import placed_on_tire

LONGEST_S = 120.0
"""A photo takes seconds; a job that takes this long hangs, and its process is ended."""

_TRIES = 2
_ROOT = Path(app.__file__).resolve().parent.parent


class WorkerStoppedError(Exception):
    """The server is ending: the job was not done, and is nobody's failure."""


class _DiedError(Exception):
    """The process ended in the middle of a job."""


class Worker(Measurer):
    """Measures photos one after the other in a process of its own; any thread may ask.

    `tells_time` is False in the demo, whose pictures all have the day on which they were made.
    """

    def __init__(self, longest_s: float = LONGEST_S, *, tells_time: bool = True) -> None:
        self._longest_s = longest_s
        self._tells_time = tells_time
        self._turn = Lock()
        self._child: subprocess.Popen[bytes] | None = None
        self._ending = False

    @property
    def pid(self) -> int | None:
        """The process's number, None while there is none."""
        return None if self._child is None else self._child.pid

    def start(self) -> None:
        """Start the process, so that its libraries are loaded before the first photo comes."""
        with self._turn:
            self._running()

    def stop(self) -> None:
        """End the process, also in the middle of a job; it is not started again."""
        self._ending = True
        child = self._child
        if child is not None:
            child.kill()
        with self._turn:
            self._leave()

    def measure(
        self,
        photo: bytes,
        leg_toml: str,
        options: Mapping[str, Any],
        tell: Tell = lambda stage: None,
        *,
        draw: bool = True,
    ) -> Measured:
        """Measure one photo; a job whose process dies is done once more by a new one.

        Parameters
        ----------
        photo : bytes
            The file as it arrived.
        leg_toml : str
            The leg's data as entered.
        options : mapping
            See `strut_request.told_by`.
        tell : callable, optional
            Gets each stage as it begins, in the thread that asked.
        draw : bool
            Whether the result is wanted drawn on a copy too.

        Raises
        ------
        MeasuringError
            There is no result; the message is the sentence for the person.
        WorkerStoppedError
            `stop` was called before the result was there.
        """
        asked = Asked(photo, leg_toml, dict(options), draw)
        with self._turn:
            for _ in range(_TRIES):
                if self._ending:
                    raise WorkerStoppedError
                try:
                    kind, said = self._once(asked, tell)
                except BaseException as error:
                    # Whatever it was, answers of this job must not be taken for the next one's.
                    self._leave()
                    if not isinstance(error, _DiedError):
                        raise
                    continue
                if kind == "failed":
                    raise MeasuringError(said)
                return cast("Measured", said)
        if self._ending:
            raise WorkerStoppedError
        msg = (
            f"the measuring stopped {_TRIES} times in the middle of this photo: the photo is kept; "
            "take a new photo or measure by hand, and report the fault with this photo"
        )
        raise MeasuringError(msg)

    def taken_at(self, photo: bytes) -> datetime | None:  # noqa: D102 - the port's
        if not self._tells_time:
            return None
        try:
            return taken_at(photo)
        except PhotoError:  # what is wrong with the file, the measuring says
            return None

    def leg_tags(self, photo: bytes) -> frozenset[int]:  # noqa: D102 - the port's
        try:
            return frozenset(find_markers(read_photo(photo)).leg_tags)
        except PhotoError:
            return frozenset()

    def length_at(self, result: Mapping[str, Any], from_px: Pixel, to_px: Pixel) -> PlacedLength:
        """Return the length between two points that a person placed, with the geometry of a result.

        It is computed in the process that asks: there is nothing to be decoded.

        Parameters
        ----------
        result : mapping
            The contract's JSON of a reading of this photo.
        from_px, to_px : (x, y)
            Pixels of the upright photo.

        Raises
        ------
        MeasuringError
            The points cannot be those of this strut; the message says why and what to do.
        """
        try:
            read = placed_length(result["evidence"], from_px, to_px)
        except ValueError as error:
            msg = f"the points cannot be used ({error}): place both again"
            raise MeasuringError(msg) from error
        if isinstance(read, Refusal):
            msg = f"{read.reason} {read.advice}"
            raise MeasuringError(msg)
        apart = COVERAGE_FACTOR * float(read.evidence["difference_u_mm"])
        return PlacedLength(read.value, read.expanded_uncertainty, apart)

    def placed_on_tire(self, result: Mapping[str, Any], name: str, marks: Sequence[Pixel]) -> PlacedValue:
        """Return what a person's points on a tire's photo mean, with the geometry of its result.

        Raises
        ------
        MeasuringError
            The points cannot be those of this tire; the message says why and what to do.
        """
        try:
            read = placed_on_tire(result.get("evidence") or {}, name, marks)
        except ValueError as error:
            msg = f"the points cannot be used ({error}): place both again"
            raise MeasuringError(msg) from error
        if isinstance(read, Refusal):
            msg = f"{read.reason} {read.advice}"
            raise MeasuringError(msg)
        apart = COVERAGE_FACTOR * float(read.evidence["difference_u"])
        return PlacedValue(read.value, read.expanded_uncertainty, apart)

    def _once(self, asked: Asked, tell: Tell) -> tuple[str, Any]:
        """Have a job done; return its last answer."""
        child = self._running()
        watch = Timer(self._longest_s, child.kill)
        watch.start()
        try:
            _put(child, asked)
            while True:
                kind, said = _next(child)
                if kind != "stage":
                    return kind, said
                tell(said)
        finally:
            watch.cancel()

    def _running(self) -> "subprocess.Popen[bytes]":
        if self._child is None or self._child.poll() is not None:
            self._leave()
            path = os.pathsep.join(filter(None, [str(_ROOT), os.environ.get("PYTHONPATH", "")]))
            self._child = subprocess.Popen(
                # -P: a folder named app where the server was started is none of ours.
                [sys.executable, "-P", "-m", "app.measuring.child"],
                stdin=subprocess.PIPE,
                stdout=subprocess.PIPE,
                env=os.environ | {"PYTHONPATH": path},
                # Ctrl-C is for the server, which then ends this process.
                start_new_session=True,
            )
        return self._child

    def _leave(self) -> None:
        child, self._child = self._child, None
        if child is None:
            return
        child.kill()
        child.wait()
        for stream in (child.stdin, child.stdout):
            if stream is not None:
                # There may be something left to be written, which a dead process does not take.
                with suppress(OSError):
                    stream.close()


def _put(child: "subprocess.Popen[bytes]", asked: Asked) -> None:
    assert child.stdin is not None
    try:
        pickle.dump(asked, child.stdin)
        child.stdin.flush()
    except OSError as error:
        raise _DiedError from error


def _next(child: "subprocess.Popen[bytes]") -> tuple[str, Any]:
    assert child.stdout is not None
    try:
        kind, said = pickle.load(child.stdout)
    except (EOFError, OSError, pickle.UnpicklingError) as error:
        raise _DiedError from error
    return kind, said
