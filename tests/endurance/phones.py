"""Twenty phones send 12-megapixel photos at once: each stored at once, read from a queue, the desk quick meanwhile.

``python -m tests.endurance phones --phones 20``

The server is a process of its own with its worker, held to as many cores as are
asked for; the phones and the desk are this process, held to the same cores.  The
desk signs in as an inspector and asks in turn for the page itself, a thumbnail, the
list of phones, and a whole run of the page *Waiting* through the websocket.
"""

import argparse
import hashlib
import os
import statistics
import tempfile
import time
from collections.abc import Iterator, Sequence
from concurrent.futures import ThreadPoolExecutor
from contextlib import contextmanager
from dataclasses import dataclass, field
from pathlib import Path
from threading import Event, Thread

from streamlit.proto.BackMsg_pb2 import BackMsg
from streamlit.proto.ForwardMsg_pb2 import ForwardMsg
from websockets.sync.client import connect

from app.archive import open_archive
from app.inspection import Basis, Inspections, Role, SystemClock
from app.people import People
from tests.app.cli_files import ROOT
from tests.app.records_house import FAST, PASSWORD, STATED, TenthsPerPixel
from tests.app.serving.processes import Server, server

PHOTOS = ROOT / "demo_images" / "reads_within"
_PHONE_BYTES = 4_000_000
LEG = ROOT / "demo_images" / "legs" / "left_main.toml"


@dataclass
class Figures:
    """What was measured; seconds, bytes."""

    phones: int
    stored: int = 0
    measured: int = 0
    places: list[int] = field(default_factory=list)
    store_s: list[float] = field(default_factory=list)
    desk_s: list[float] = field(default_factory=list)
    page_s: list[float] = field(default_factory=list)
    memory: int = 0
    all_s: float = 0.0

    def text(self) -> str:
        """The figures in a line for each."""
        return (
            f"{self.phones} phones: {self.stored} stored, {self.measured} measured, all after {self.all_s:.1f} s\n"
            f"answer to the photo: median {statistics.median(self.store_s):.2f} s, longest {max(self.store_s):.2f} s\n"
            f"places told: 0 to {max(self.places, default=0)}\n"
            f"desk: {len(self.desk_s)} answers, median {statistics.median(self.desk_s):.3f} s, "
            f"p95 {p95(self.desk_s):.3f} s, longest {max(self.desk_s):.3f} s\n"
            f"of these whole runs of a page: {len(self.page_s)}, p95 {p95(self.page_s):.3f} s\n"
            f"memory of server and worker together, largest: {self.memory / 1e6:.0f} MB"
        )


def p95(values: Sequence[float]) -> float:
    """The 95th percentile by nearest rank."""
    return sorted(values)[max(0, -(-95 * len(values) // 100) - 1)]


def photos(count: int) -> list[bytes]:
    """So many different files of the demo's photos, with bytes behind their end up to a phone's 4 MB."""
    files = [path.read_bytes() for path in sorted(PHOTOS.glob("left_main*.jpg"))]
    return [
        files[number % len(files)].ljust(_PHONE_BYTES, b"\0") + f"phone {number}".encode()
        for number in range(count)
    ]


def furnish(home: Path, count: int) -> list[str]:
    """Enter a mechanic, an inspector, and so many legs; return a try of each."""
    clock = SystemClock()
    with open_archive(home, clock) as archive:
        people = People(archive.people, clock, session_hours=12, hasher=FAST)
        use = Inspections(archive.records, archive.photos, clock, TenthsPerPixel(), people)
        mechanic = people.enter("Mechanic", frozenset({Role.MECHANIC}), PASSWORD)
        people.enter("Inspector", frozenset({Role.INSPECTOR}), PASSWORD)
        drafts = []
        for number in range(count):
            registration = f"ZZ-G{number:02d}"
            aircraft = use.enter_aircraft(registration, "Aster 210", "demo operator")
            toml = LEG.read_text(encoding="utf-8").replace("ZZ-GWT", registration)
            leg = use.enter_leg(aircraft.id, "left main", toml, Basis.PRIMARY)
            drafts.append(use.begin_try(mechanic, leg.id, STATED).id)
    return drafts


def run_page(running: Server, cookie: str, page: str) -> float:
    """Have a page run through the websocket, as a browser does, to its end; return the seconds it took."""
    began, drawn = time.monotonic(), 0
    address = f"ws://127.0.0.1:{running.port}/_stcore/stream"
    asked = BackMsg()
    asked.rerun_script.query_string = ""
    asked.rerun_script.page_name = page
    with connect(address, origin=running.url, additional_headers={"cookie": cookie}, max_size=None) as socket:
        socket.send(asked.SerializeToString())
        while True:
            message = ForwardMsg()
            message.ParseFromString(socket.recv(30, decode=False))
            drawn += message.WhichOneof("type") == "delta"
            if message.WhichOneof("type") == "script_finished":
                assert drawn > 5  # title block, ways to the other pages, what waits
                return time.monotonic() - began


def memory_of(pid: int) -> int:
    """The proportional set size of a process and its children, bytes (Linux)."""
    pids = [pid]
    for task in Path(f"/proc/{pid}/task").glob("*/children"):
        pids += [int(child) for child in task.read_text(encoding="ascii").split()]
    total = 0
    for one in pids:
        try:
            lines = Path(f"/proc/{one}/smaps_rollup").read_text(encoding="ascii").splitlines()
        except OSError:
            continue
        total += sum(int(line.split()[1]) * 1000 for line in lines if line.startswith("Pss:"))
    return total


@contextmanager
def watched(running: Server, found: Figures) -> Iterator[None]:
    """Look at the memory all the while."""
    over = Event()

    def watch() -> None:
        while not over.wait(0.25):
            found.memory = max(found.memory, memory_of(running.child.pid))

    thread = Thread(target=watch)
    thread.start()
    try:
        yield
    finally:
        over.set()
        thread.join()


@contextmanager
def desk(running: Server, shown: str, found: Figures) -> Iterator[None]:
    """Work at the desk all the while, with a second's thought between two looks."""
    over = Event()
    client = running.browser("Inspector")
    cookie = "; ".join(f"{name}={value}" for name, value in client.cookies.items())

    def asks() -> Iterator[object]:
        while True:
            yield lambda: client.get("/", headers={"accept": "text/html"}).raise_for_status()
            yield lambda: found.page_s.append(run_page(running, cookie, "queue"))
            yield lambda: client.get("/devices").raise_for_status()
            yield lambda: client.get(f"/photos/{shown}/thumb")

    def work() -> None:
        for ask in asks():
            began = time.monotonic()
            ask()  # type: ignore[operator]
            found.desk_s.append(time.monotonic() - began)
            if over.wait(0.2):
                return

    with ThreadPoolExecutor(1) as one:
        ended = one.submit(work)
        try:
            yield
        finally:
            over.set()
        ended.result()


def at_once(home: Path, count: int, patience_s: float) -> Figures:
    """Have so many phones send at once, and follow each to its result."""
    found, data = Figures(count), photos(count)
    drafts = furnish(home, count)
    with server(home) as running:
        phones = [running.browser("Mechanic") for _ in range(count)]

        def send(number: int) -> None:
            began = time.monotonic()
            answer = phones[number].put(f"/drafts/{drafts[number]}/photo", content=data[number], timeout=120)
            found.store_s.append(time.monotonic() - began)
            expected = {"sha256": hashlib.sha256(data[number]).hexdigest(), "bytes": len(data[number])}
            found.stored += answer.status_code == 200 and answer.json() == expected
            follow(number)

        def follow(number: int) -> None:
            patience = time.monotonic() + patience_s
            while time.monotonic() < patience:
                told = phones[number].get(f"/drafts/{drafts[number]}").json()
                if told["result_ready"]:
                    found.measured += told["state"] in ("read", "refused")
                    return
                if told["before"] is not None:
                    found.places.append(told["before"])
                time.sleep(0.6)  # as the phone's page asks

        sha = hashlib.sha256(data[0]).hexdigest()
        began = time.monotonic()
        with watched(running, found), desk(running, sha, found), ThreadPoolExecutor(count) as threads:
            for one in [threads.submit(send, number) for number in range(count)]:
                one.result()
        found.all_s = time.monotonic() - began
    with open_archive(home) as archive:
        assert archive.verify().faults == ()
        assert all(archive.photos.get(hashlib.sha256(one).hexdigest()) == one for one in data)
    return found


def configure(parser: argparse.ArgumentParser) -> None:
    """Add what `phones` understands."""
    parser.add_argument("--phones", type=int, default=20)
    parser.add_argument("--cores", type=int, default=2)
    parser.add_argument("--patience", type=float, default=170, help="seconds until the last reading")
    parser.set_defaults(run=run)


def run(options: argparse.Namespace) -> None:
    """Let them send, and print the figures."""
    if hasattr(os, "sched_setaffinity"):
        os.sched_setaffinity(0, sorted(os.sched_getaffinity(0))[: options.cores])
    with tempfile.TemporaryDirectory() as folder:
        found = at_once(Path(folder) / "home", options.phones, options.patience)
    print(f"{len(os.sched_getaffinity(0))} cores; {found.text()}")
    assert found.stored == found.measured == options.phones
