"""A Dask scheduler with workers, each a process of its own on this machine, for tests and figures."""

import contextlib
import json
import os
import subprocess
import sys
import time
from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path

from distributed import Client

ROOT = Path(__file__).resolve().parents[2]
_PATIENCE_S = 60


@dataclass
class Cluster:
    """`address` is the scheduler's; each worker measures one photo at a time."""

    address: str
    workers: list["subprocess.Popen[bytes]"] = field(default_factory=list)

    def kill_a_worker(self) -> None:
        """End one without warning, as a power cut would."""
        self.workers[0].kill()
        self.workers[0].wait()


@contextlib.contextmanager
def cluster(folder: Path, workers: int) -> Iterator[Cluster]:
    """Start a cluster and end all of it."""
    told = folder / "scheduler.json"
    host = ["--host", "127.0.0.1", "--no-dashboard"]
    scheduler = _started(folder, "dask_scheduler", *host, "--port", "0", "--scheduler-file", str(told))
    made = Cluster("")
    try:
        made.address = _address(told)
        for _ in range(workers):
            one = ("--nthreads", "1", "--no-nanny", "--local-directory", str(folder))
            made.workers.append(_started(folder, "dask_worker", made.address, *host, *one))
        with Client(made.address, set_as_default=False) as client:
            client.wait_for_workers(workers, timeout=_PATIENCE_S)
        yield made
    finally:
        for process in (*made.workers, scheduler):
            process.kill()
            process.wait()


def _started(folder: Path, module: str, *options: str) -> "subprocess.Popen[bytes]":
    path = os.pathsep.join(filter(None, [str(ROOT), os.environ.get("PYTHONPATH", "")]))
    with (folder / f"{module}.log").open("ab") as log:
        return subprocess.Popen(
            [sys.executable, "-m", f"distributed.cli.{module}", *options],
            env=os.environ | {"PYTHONPATH": path},
            cwd=folder,
            stdout=log,
            stderr=log,
        )


def _address(told: Path) -> str:
    ends = time.monotonic() + _PATIENCE_S
    while time.monotonic() < ends:
        with contextlib.suppress(OSError, ValueError):
            return str(json.loads(told.read_text(encoding="utf-8"))["address"])
        time.sleep(0.1)
    msg = f"the scheduler has not said its address in {told}: see its log beside it"
    raise TimeoutError(msg)
