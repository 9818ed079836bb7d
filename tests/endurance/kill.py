"""Kills a process again and again while it stores and confirms photos: what it acknowledged has to be there.

``python -m tests.endurance kill --times 300 --on both``
"""

import argparse
import json
import os
import random
import signal
import subprocess
import sys
import tempfile
import time
from collections import Counter
from collections.abc import Callable
from pathlib import Path

from app.archive import Archive
from app.inspection import Confirmation, Try
from tests.app.records_house import open_house
from tests.services.ground import Files, Ground, servers

ROOT = Path(__file__).resolve().parents[2]
LONGEST_DELAY_S = {"files": 0.06, "servers": 0.4}
"""About what one photo and its confirmation take."""


class Victim:
    """The process of tests/app/archive/killed_child.py."""

    def __init__(self, ground: Ground) -> None:
        self._process = subprocess.Popen(
            [sys.executable, "-m", "tests.app.archive.killed_child", ground.words()],
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
    """Assert that all that was acknowledged is there, photos by their bytes."""
    with archive.records.look() as r:
        for kind, id_, hash_ in said:
            if kind == "stored":
                assert r.get(Try, id_).photo == hash_
                assert archive.photos.get(hash_)
            else:
                assert r.get(Confirmation, id_).event_hash == hash_


def kill_often(
    ground: Ground,
    times: int,
    longest_delay_s: float,
    seed: int,
    tell: Callable[[str], None] = lambda _: None,
) -> Counter[str]:
    """Kill so often; after each kill the archive has to verify, and at the end all acknowledged be there.

    Returns
    -------
    Counter
        How many photos and confirmations were acknowledged, and how many orphans were left.
    """
    open_house(ground).archive.close()
    points = random.Random(seed)
    victim = Victim(ground)
    acknowledged: list[list[str]] = []
    orphans: set[str] = set()
    try:
        for kill in range(times):
            said = victim.kill_after(kill, points.randint(0, 3), points.uniform(0, longest_delay_s))
            acknowledged += said
            with ground.open() as archive:
                found = archive.verify()
                assert found.faults == (), found.faults
                orphans |= set(found.orphans)
                check_there(archive, said)
            if kill % 25 == 24:
                tell(f"{kill + 1} kills, {len(acknowledged)} acknowledged")
    finally:
        victim.end()
    with ground.open() as archive:
        check_there(archive, acknowledged)
    return Counter(kind for kind, *_ in acknowledged) + Counter(orphans=len(orphans))


def configure(parser: argparse.ArgumentParser) -> None:
    """Add what `kill` understands."""
    parser.add_argument("--times", type=int, default=300)
    parser.add_argument("--on", choices=["files", "servers", "both"], default="both")
    parser.add_argument("--seed", type=int, default=1)
    parser.set_defaults(run=run)


def run(options: argparse.Namespace) -> None:
    """Kill on each ground and print what came of it."""
    with tempfile.TemporaryDirectory() as folder:
        for name in ("files", "servers") if options.on == "both" else (options.on,):
            began = time.monotonic()
            if name == "files":
                ground = Files().new(Path(folder) / name)
                tally = kill_often(ground, options.times, LONGEST_DELAY_S[name], options.seed, print)
            else:
                with servers() as running:
                    ground = running.new(Path(folder) / name)
                    tally = kill_often(ground, options.times, LONGEST_DELAY_S[name], options.seed, print)
            print(
                f"{name}: {options.times} kills, {tally['stored']} photos and {tally['confirmed']} confirmations "
                f"acknowledged, 0 lost, every verify clean, {tally['orphans']} orphan files, "
                f"{time.monotonic() - began:.0f} s"
            )
