"""Ten people at once in two programs on one PostgreSQL database: no lost update, no double confirmation.

``python -m tests.endurance people --seconds 600``

Five mechanics and five inspectors want the same few struts.  Whatever one of them is
told is done has to be in the chain, once; the rest has to be refused in words.
"""

import argparse
import json
import random
import tempfile
import time
from collections import Counter
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

from sqlalchemy import func, select

from app.archive import Archive
from app.archive.tables import confirmations, events, items, tries
from app.errors import InspectionError
from app.inspection import Basis, Inspections, ItemState, Person, Role, SystemClock
from app.people import People
from tests.app.records_house import FAST, PASSWORD, STATED, WITHIN, TenthsPerPixel, leg_toml, reading
from tests.services.ground import Ground, servers

MECHANICS = INSPECTORS = 5
AIRCRAFT = ("ZZ-GWA", "ZZ-GWB", "ZZ-GWC")
POSITIONS = ("nose", "left main")
LONGER_S = 120


class Program:
    """One running program on the ground."""

    def __init__(self, ground: Ground) -> None:
        clock = SystemClock()
        self.archive: Archive = ground.open(clock)
        self.people = People(self.archive.people, clock, session_hours=12, hasher=FAST)
        self.inspections = Inspections(
            self.archive.records, self.archive.photos, clock, TenthsPerPixel(), self.people
        )


class Worker:
    """One person at work; `done` are the acts that were acknowledged, by kind of their event."""

    def __init__(self, program: Program, person: Person, seed: int) -> None:
        self.program = program
        self.person = person
        self.random = random.Random(seed)
        self.done: Counter[str] = Counter()
        self.refused = 0

    def work(self, goes_on: Callable[[], bool]) -> None:
        """Act for as long as it goes on."""
        act = self._photograph if self.person.is_mechanic else self._confirm
        while goes_on():
            try:
                act()
            except InspectionError:
                self.refused += 1
                time.sleep(self.random.uniform(0, 0.01))

    def _photograph(self) -> None:
        use = self.program.inspections
        aircraft = self.random.choice(use.aircraft())
        leg = self.random.choice(use.legs(aircraft.id))
        begun = use.begin_try(self.person, leg.id, STATED)
        self.done["try-begun"] += 1
        use.photo_arrived(self.person, begun.id, self.random.randbytes(2000))
        self.done["photo-stored"] += 1
        use.measured(begun.id, reading(WITHIN))
        use.send(self.person, begun.id)
        self.done["reading-sent"] += 1

    def _confirm(self) -> None:
        use = self.program.inspections
        waiting = use.queue(self.person)
        if not waiting:
            self._close()
            return
        # The oldest, as everybody takes it: so they meet.
        try_id = waiting[0].try_id
        if use.bare(self.person, try_id).mine is None:
            use.place(self.person, try_id, (0.0, 0.0), (0.0, 10 * WITHIN))
            self.done["placed"] += 1
        shown = use.comparison(self.person, try_id)
        use.confirm(self.person, try_id, PASSWORD, shown.record_hash or "")
        self.done["confirmed"] += 1

    def _close(self) -> None:
        use = self.program.inspections
        for one in use.inspections():
            states = {item.state for item in use.items(one.id)}
            if one.closed_at is None and states == {ItemState.CLOSED}:
                use.close_inspection(self.person, one.id)
                self.done["inspection-closed"] += 1
        time.sleep(0.02)


def furnish(program: Program) -> list[Person]:
    """Enter people, aircraft and legs; return the people."""
    for number in range(MECHANICS):
        program.people.enter(f"Mechanic {number}", frozenset({Role.MECHANIC}), PASSWORD)
    for number in range(INSPECTORS):
        program.people.enter(f"Inspector {number}", frozenset({Role.INSPECTOR}), PASSWORD)
    for registration in AIRCRAFT:
        entered = program.inspections.enter_aircraft(registration, "Aster 210", "demo operator")
        for position in POSITIONS:
            program.inspections.enter_leg(
                entered.id, position, leg_toml(registration, position), Basis.PRIMARY
            )
    return list(program.people.everyone())


def ten_at_once(ground: Ground, seconds: float, seed: int, least: int = 6) -> Counter[str]:
    """Let all work for so long, until so much is confirmed, and check; return the acts, and ``refused``."""
    programs = [Program(ground), Program(ground)]
    people = furnish(programs[0])
    workers = [Worker(programs[n % 2], person, seed + n) for n, person in enumerate(people)]
    began = time.monotonic()

    def goes_on() -> bool:
        passed = time.monotonic() - began
        confirmed = sum(one.done["confirmed"] for one in workers)
        closed = sum(one.done["inspection-closed"] for one in workers)
        # On a busy machine a short time may end before anybody has met anybody.
        return passed < seconds or ((confirmed < least or not closed) and passed < seconds + LONGER_S)

    with ThreadPoolExecutor(len(workers)) as threads:
        for done in [threads.submit(one.work, goes_on) for one in workers]:
            done.result()
    check(programs[0].archive, workers)
    for one in programs:
        one.archive.close()
    total: Counter[str] = Counter()
    for worker in workers:
        total += worker.done
    total["refused"] = sum(worker.refused for worker in workers)
    return total


def check(archive: Archive, workers: list[Worker]) -> None:
    """Assert that what was acknowledged is what the events tell, once each, and that all verifies."""
    assert archive.verify().faults == ()
    told: Counter[tuple[str, str]] = Counter()
    with archive.records.look() as r:
        for body in r.connection.execute(select(events.c.body)).scalars():
            event = json.loads(bytes(body))
            told[event["by"], event["kind"]] += 1
        twice = select(confirmations.c.try_id).group_by(confirmations.c.try_id).having(func.count() > 1)
        assert r.connection.execute(twice).all() == []
        signed = r.connection.execute(select(func.count()).select_from(confirmations)).scalar_one()
        waiting = select(func.count()).select_from(items).where(items.c.state == ItemState.WAITING)
        sent = select(func.count()).select_from(tries).where(tries.c.state == "sent")
        assert r.connection.execute(waiting).scalar_one() == r.connection.execute(sent).scalar_one()
    for worker in workers:
        for kind, count in worker.done.items():
            assert told[worker.person.id, kind] == count, (worker.person.name, kind, count)
    assert signed == sum(worker.done["confirmed"] for worker in workers)


def configure(parser: argparse.ArgumentParser) -> None:
    """Add what `people` understands."""
    parser.add_argument("--seconds", type=float, default=600)
    parser.add_argument("--seed", type=int, default=1)
    parser.set_defaults(run=run)


def run(options: argparse.Namespace) -> None:
    """Let them work and print what they did."""
    with tempfile.TemporaryDirectory() as folder, servers() as running:
        done = ten_at_once(running.new(Path(folder) / "home"), options.seconds, options.seed)
    acts = ", ".join(f"{count} {kind}" for kind, count in sorted(done.items()))
    print(
        f"10 people for {options.seconds:.0f} s: {acts}; no lost update, no double confirmation, verify clean"
    )
