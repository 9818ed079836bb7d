"""Standard output and standard error that may be closed, full, or unable to write a ±."""

import io
import os
import sys
from pathlib import Path
from typing import TextIO

from app.errors import UsageError


def prepare() -> None:
    """Make both streams usable: a sink where one is closed, letters it cannot show replaced."""
    # Without a standard error, argparse would print its complaints on standard output.
    sys.stdout = sys.stdout or _sink()
    sys.stderr = sys.stderr or _sink()
    for stream in (sys.stdout, sys.stderr):
        if isinstance(stream, io.TextIOWrapper):
            stream.reconfigure(errors="backslashreplace")


def say(text: str) -> None:
    """Print a result on standard output.

    A reader that went away (``| head``) is no failure: the command goes on and
    its exit status keeps telling what was measured.

    Raises
    ------
    UsageError
        Standard output cannot take it, e.g. a full disk.
    """
    try:
        print(text, flush=True)
    except BrokenPipeError:
        _silence(sys.stdout)
    except OSError as error:
        _silence(sys.stdout)
        msg = f"standard output cannot be written ({error}): send it elsewhere and run again"
        raise UsageError(msg) from error


def complain(text: str) -> None:
    """Print a message or progress on standard error, if anybody listens there."""
    try:
        print(text, file=sys.stderr, flush=True)
    except OSError:
        _silence(sys.stderr)


def finish() -> None:
    """Write what argparse has left in the buffers, so that the interpreter's end cannot fail on it."""
    for stream in (sys.stdout, sys.stderr):
        try:
            stream.flush()
        except OSError:
            _silence(stream)


def _sink() -> TextIO:
    return Path(os.devnull).open("w", encoding="utf-8")


def _silence(stream: TextIO) -> None:
    # The buffer is flushed once more at the interpreter's end; there it finds a sink.
    sink = os.open(os.devnull, os.O_WRONLY)
    os.dup2(sink, stream.fileno())
    os.close(sink)
