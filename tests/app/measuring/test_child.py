"""The worker process's own side: answers that nothing can get between, faults that end one job only."""

import io
import pickle
import subprocess
import sys
from typing import Any

from app.measuring.job import Asked
from tests.app.cli_files import ROOT

# The real process with another way to work: it prints, as a library may, and falls over on request.
CHILD = """
import sys
from app.measuring import child
def work(asked, tell):
    print("a library's own words")
    tell("first")
    if asked.photo == b"fault":
        raise ZeroDivisionError("three by nought")
    return asked.leg_toml
child.work = work
sys.exit(child.main())
"""


def answers(*jobs: Asked) -> tuple[list[tuple[str, Any]], str, int]:
    done = subprocess.run(
        [sys.executable, "-c", CHILD],
        input=b"".join(map(pickle.dumps, jobs)),
        cwd=ROOT,
        capture_output=True,
        check=False,
    )
    stream, told = io.BytesIO(done.stdout), []
    while stream.tell() < len(done.stdout):
        told.append(pickle.load(stream))
    return told, done.stderr.decode(), done.returncode


def test_what_a_library_prints_does_not_get_between_the_answers() -> None:
    told, said, status = answers(Asked(b"photo", "the leg", {}))
    assert told == [("stage", "first"), ("done", "the leg")]
    assert "a library's own words" in said
    assert status == 0


def test_a_fault_of_the_program_is_told_in_a_sentence_logged_and_ends_one_job_only() -> None:
    told, said, status = answers(Asked(b"fault", "", {}), Asked(b"photo", "next", {}))
    kind, sentence = told[1]
    assert kind == "failed"
    assert sentence.startswith(
        "a fault in the program (ZeroDivisionError: three by nought), no value was given"
    )
    assert "take a hand measurement" in sentence
    assert "Traceback" in said
    assert told[2:] == [("stage", "first"), ("done", "next")]
    assert status == 0
