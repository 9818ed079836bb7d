"""The worker process: ``python -m app.measuring.child``, jobs on standard input, answers on standard output.

It is a plain child and no `multiprocessing` one: that runs the parent's main module
again in the child, and in a Streamlit server the main module is the page that was
shown last.  Only its parent ever writes to it, so pickles are safe between them.

A job is an `Asked`; the answers are ("stage", text) … and at last ("done", Measured) or
("failed", sentence).  It ends when its standard input does, thus also with its parent.
"""

import os
import pickle
import sys
import traceback
from typing import IO, Any, cast

from app.measuring.job import Asked, work
from vision.errors import GearwitnessError

_NICE = 10


def main() -> int:
    """Answer jobs until there are no more; return the exit status."""
    # Answers have a stream of their own: a library that prints must not write between them.
    answers = os.fdopen(os.dup(sys.stdout.fileno()), "wb")
    os.dup2(sys.stderr.fileno(), sys.stdout.fileno())
    # A person at the desk who waits for a page goes before a photo that is being read.
    if hasattr(os, "nice"):
        os.nice(_NICE)
    while True:
        try:
            asked = pickle.load(sys.stdin.buffer)
        except EOFError:
            return 0
        try:
            _answer(cast("Asked", asked), answers)
        except BrokenPipeError:  # the parent is gone
            return 0


def _answer(asked: Asked, answers: IO[bytes]) -> None:
    try:
        last: tuple[str, Any] = ("done", work(asked, lambda stage: _send(answers, ("stage", stage))))
    except GearwitnessError as error:
        last = ("failed", str(error))
    except BrokenPipeError:
        raise
    except Exception as error:  # one photo's fault must not take the next one's turn
        traceback.print_exc()
        last = ("failed", _fault(error))
    _send(answers, last)


def _send(answers: IO[bytes], message: tuple[str, Any]) -> None:
    pickle.dump(message, answers)
    answers.flush()


def _fault(error: Exception) -> str:
    return (
        f"a fault in the program ({type(error).__name__}: {error}), no value was given: "
        "take a hand measurement, and report the fault with the photo"
    )


if __name__ == "__main__":
    sys.exit(main())
