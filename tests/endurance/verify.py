"""How fast `verify` is beside plain hashlib over the same files, in one run.

``python -m tests.endurance verify --photos 100 --megabytes 3``
"""

import argparse
import hashlib
import os
import random
import tempfile
import time
from pathlib import Path
from statistics import median

from tests.app.records_house import House, open_house, reading

CHUNK = 1 << 20


def fill(house: House, photos: int, size: int, seed: int) -> None:
    """Have so many photos of this size measured, each with an annotated copy of the same size."""
    noise = random.Random(seed)
    use = house.inspections
    for number in range(photos):
        begun = use.begin_try(house.mechanic, house.primary.id, ("On its wheels.",))
        use.photo_arrived(house.mechanic, begun.id, noise.randbytes(size))
        given = reading(88.9)
        use.measured(begun.id, type(given)(given.result, noise.randbytes(size)))
        if number % 20 == 19:
            print(f"{number + 1} photos stored")


def plain(folder: Path) -> tuple[float, int]:
    """Seconds that hashlib takes for every file one after the other, and their bytes."""
    began, total = time.perf_counter(), 0
    for path in sorted(folder.rglob("*.bin")):
        found = hashlib.sha256()
        with path.open("rb", buffering=0) as file:
            while read := file.read(CHUNK):
                found.update(read)
                total += len(read)
        assert found.hexdigest() == path.stem
    return time.perf_counter() - began, total


def ratio(house: House, runs: int) -> tuple[float, float, float]:
    """The median of plain seconds / verify seconds, and the medians of both, each pair taken together."""
    pairs = []
    plain(house.home / "photos")  # so that both find the files in memory
    for _ in range(runs):
        bare, _total = plain(house.home / "photos")
        began = time.perf_counter()
        assert house.archive.verify().faults == ()
        pairs.append((bare, time.perf_counter() - began))
    return (
        median(bare / whole for bare, whole in pairs),
        median(bare for bare, _ in pairs),
        median(whole for _, whole in pairs),
    )


def configure(parser: argparse.ArgumentParser) -> None:
    """Add what `verify` understands."""
    parser.add_argument("--photos", type=int, default=100)
    parser.add_argument("--megabytes", type=float, default=3)
    parser.add_argument("--runs", type=int, default=5)
    parser.add_argument("--seed", type=int, default=1)
    parser.set_defaults(run=run)


def run(options: argparse.Namespace) -> None:
    """Fill an archive, measure, and print the ratio."""
    with tempfile.TemporaryDirectory() as folder:
        house = open_house(Path(folder) / "home")
        fill(house, options.photos, int(options.megabytes * 1e6), options.seed)
        found, bare, whole = ratio(house, options.runs)
        _, total = plain(house.home / "photos")
        house.archive.close()
    print(
        f"{2 * options.photos} files, {total / 1e6:.0f} MB: hashlib {bare:.2f} s, verify {whole:.2f} s, "
        f"verify at {100 * found:.0f} % of hashlib's speed (median of {options.runs} pairs, {os.cpu_count()} cores)"
    )
