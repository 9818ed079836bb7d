"""Nothing that was acknowledged is lost when the process is killed, wherever it was."""

import json
import os
import random
import signal
import subprocess
import sys
import time
from pathlib import Path

import pytest

from app.archive import Archive, open_archive
from app.inspection import Confirmation, Try
from tests.app.records_house import open_house

ROOT = Path(__file__).resolve().parents[3]
KILLS = 50
LONGEST_DELAY_S = 0.06  # about what one photo or one confirmation takes

pytestmark = pytest.mark.skipif(not hasattr(os, "fork"), reason="needs fork and SIGKILL")


class Victim:
    """The process of killed_child.py."""

    def __init__(self, home: Path) -> None:
        self._process = subprocess.Popen(
            [sys.executable, "-m", "tests.app.archive.killed_child", str(home)],
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            text=True,
            cwd=ROOT,
        )

    def kill_after(self, seed: int, words: int, delay_s: float) -> list[list[str]]:
        """Start a child, kill it so long after so many acknowledgements, return all that it has given."""
        assert self._process.stdin is not None
        self._process.stdin.write(f"{seed}\n")
        self._process.stdin.flush()
        first = sorted([self._line(), self._line()])  # whichever process is first
        assert [line[0] for line in first] == ["child", "open"]
        said = []
        for _ in range(words):
            said.append(self._line())
            assert said[-1][0] != "ended", "the child ended by itself: see its traceback"
        time.sleep(delay_s)
        os.kill(int(first[0][1]), signal.SIGKILL)
        while (line := self._line())[0] != "ended":
            said.append(line)
        assert line[1] == signal.SIGKILL, "the child ended by itself: see its traceback"
        return said

    def _line(self) -> list[str]:
        assert self._process.stdout is not None
        return list(json.loads(self._process.stdout.readline()))

    def end(self) -> None:
        self._process.communicate(timeout=10)


def check_there(archive: Archive, said: list[list[str]]) -> None:
    with archive.records.look() as r:
        for kind, id_, hash_ in said:
            if kind == "stored":
                assert r.get(Try, id_).photo == hash_
                assert archive.photos.get(hash_)
            else:
                assert r.get(Confirmation, id_).event_hash == hash_


def test_what_was_acknowledged_survives_fifty_kills_and_the_chain_verifies_after_each(tmp_path: Path) -> None:
    home = tmp_path / "home"
    open_house(home).archive.close()
    points = random.Random(20240501)
    victim = Victim(home)
    acknowledged: list[list[str]] = []
    try:
        for kill in range(KILLS):
            said = victim.kill_after(kill, points.randint(0, 3), points.uniform(0, LONGEST_DELAY_S))
            acknowledged += said
            with open_archive(home) as archive:
                assert archive.verify().faults == ()
                check_there(archive, said)
    finally:
        victim.end()
    with open_archive(home) as archive:
        check_there(archive, acknowledged)
    kinds = [kind for kind, *_ in acknowledged]
    # Else the kills met nothing under way.
    assert kinds.count("stored") > 20
    assert kinds.count("confirmed") > 10
