"""How long find pages take over many rows: ``python -m tests.endurance find --rows 100000 [--servers]``.

Pages are asked for as a person does: the first of everything, of one aircraft, of one
leg, of a verdict, a person, a span of days, words that are rare and words that are nowhere, several
together, and pages far back.
"""

import argparse
import json
import random
import tempfile
import time
from collections.abc import Iterator
from datetime import UTC, datetime, timedelta
from pathlib import Path

from app.archive import Archive
from app.inspection import Person
from app.inspection.finding import FindFilter, FoundVerdict, Mark
from tests.app.archive.many_rows import POSITIONS, fill
from tests.app.records_house import open_house
from tests.services.ground import Files, missing, servers

_BEGAN = datetime(2021, 1, 4, tzinfo=UTC)


def questions(draw: random.Random, people: list[Person], days: int) -> Iterator[tuple[str, FindFilter]]:
    """One of every kind of question, drawn anew at each call."""
    craft, leg = f"ZZ-F{draw.randrange(40):02d}", draw.choice(POSITIONS)
    since = _BEGAN + timedelta(days=draw.randrange(max(1, days)))
    person = draw.choice(people).id
    yield "everything", FindFilter()
    yield "aircraft", FindFilter(registration=craft)
    yield "leg", FindFilter(registration=craft, position=leg)
    yield "position", FindFilter(position=leg)
    yield "item", FindFilter(item="strut_extension")
    yield "outside", FindFilter(verdict=FoundVerdict.OUTSIDE)
    yield "refused", FindFilter(verdict=FoundVerdict.REFUSED)
    yield "person", FindFilter(person_id=person)
    yield "week", FindFilter(since=since, until=since + timedelta(days=7))
    yield "one photo's name", FindFilter(words=f"img_{draw.randrange(1000):06d}")
    yield "words nowhere", FindFilter(words="no such words")
    yield "leg outside", FindFilter(registration=craft, position=leg, verdict=FoundVerdict.OUTSIDE)
    yield "all at once", FindFilter(
        registration=craft, position=leg, item="strut_extension", since=since, person_id=person,
        verdict=FoundVerdict.UNDECIDED, words="limits",
    )  # fmt: skip
    yield "grade", FindFilter(grade="c")


def timed(archive: Archive, people: list[Person], rounds: int, days: int) -> dict[str, list[float]]:
    """Milliseconds of every page by kind of question, pages far back among them."""
    draw = random.Random(11)
    took: dict[str, list[float]] = {}
    for _ in range(rounds):
        for name, asked in questions(draw, people, days):
            mark: Mark | None = None
            for page in range(2):
                began = time.perf_counter()
                found = archive.finds.page(asked, mark)
                took.setdefault(f"{name}, page {page + 1}", []).append(1000 * (time.perf_counter() - began))
                mark = found.older
                if mark is None:
                    break
        back = Mark(f"{(_BEGAN + timedelta(days=days // 3)).isoformat(timespec='microseconds')}", "0" * 32)
        began = time.perf_counter()
        archive.finds.page(FindFilter(), back)
        took.setdefault("far back", []).append(1000 * (time.perf_counter() - began))
    return took


def percentile(values: list[float], share: float) -> float:
    return sorted(values)[min(len(values) - 1, int(share * len(values)))]


def configure(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("--rows", type=int, default=100_000)
    parser.add_argument("--rounds", type=int, default=20)
    parser.add_argument("--servers", action="store_true", help="also on PostgreSQL, where it is installed")
    parser.set_defaults(run=run)


def run(options: argparse.Namespace) -> None:
    with tempfile.TemporaryDirectory() as folder:
        _on("SQLite", Files(), Path(folder), options)
        if options.servers:
            lacking = missing()
            if lacking:
                print(lacking)
                return
            with servers() as running:
                _on("PostgreSQL", running, Path(folder), options)


def _on(name: str, grounds, folder: Path, options: argparse.Namespace) -> None:
    house = open_house(grounds.new(folder / name))
    people = [house.mechanic, house.inspector, house.inspector_2]
    began = time.perf_counter()
    fill(house.archive, people, options.rows)
    filled = time.perf_counter()
    house.archive.finds.page(FindFilter())
    brought_up = time.perf_counter()
    took = timed(house.archive, people, options.rounds, options.rows // 120)
    every = [ms for times in took.values() for ms in times]
    slowest = max(took, key=lambda kind: percentile(took[kind], 0.95))
    told = {
        "database": name, "rows": options.rows, "pages": len(every), "p50_ms": round(percentile(every, 0.5), 1),
        "p95_ms": round(percentile(every, 0.95), 1), "largest_ms": round(max(every), 1),
        "slowest": slowest, "slowest_p95_ms": round(percentile(took[slowest], 0.95), 1),
        "filled_s": round(filled - began, 1), "brought_up_s": round(brought_up - filled, 1),
    }  # fmt: skip
    print(json.dumps(told), flush=True)
    for kind, times in took.items():
        print(f"  {kind}: p95 {percentile(times, 0.95):.1f} ms of {len(times)}")
    house.archive.close()
