"""The tire's benchmark: ``python -m tests.accuracy.tire --scenes 200 --seed 0 --out build/accuracy-tire``.

With ``--photos DIR`` it measures traced tires that ``python -m tests.scenes.physical tires`` wrote.  Else it
draws fair, wide and faulty tires (`tests/scenes/tire_draw.py`), measures each, and writes `tire_rows.jsonl`, one
line a photo, and `tire_table.md`.  It goes on where it was stopped: rows that are there are not measured again.
Any change of the measurement is judged by this table before and after, at the same seeds.
``--plumbed`` and ``--width-u 0.04`` measure each drawn photo once more, told of better (`tests/scenes/tire_told.py`).
"""

import argparse
import json
import time
from collections.abc import Iterator, Sequence
from concurrent.futures import ProcessPoolExecutor
from pathlib import Path
from typing import Any

from tests.accuracy.jobs import spawning
from tests.accuracy.tire_case import measure_told
from tests.accuracy.tire_photos import find_tires, measure_tire_photo
from tests.accuracy.tire_table import table
from tests.scenes.tire_told import AS_DRAWN, ways_of

KINDS = ("fair", "wide", "faults")


def main(argv: Sequence[str] | None = None) -> int:
    parser = argparse.ArgumentParser(prog="python -m tests.accuracy tire", description=__doc__)
    parser.add_argument("--scenes", type=int, default=60, help="of each set")
    parser.add_argument("--seed", type=int, default=0, help="of the first")
    parser.add_argument("--sets", nargs="+", choices=KINDS, default=list(KINDS))
    parser.add_argument("--processes", type=int, default=2)
    parser.add_argument("--minutes", type=float, help="stop asking for more after this long")
    parser.add_argument("--out", type=Path, default=Path("build/accuracy-tire"))
    parser.add_argument(
        "--plumbed", action="store_true", help="also by a calibrated phone whose own down is known"
    )
    parser.add_argument(
        "--width-u", type=float, help="also with the section's width told within this share, and its doubt"
    )
    parser.add_argument(
        "--photos", type=Path, help="measure the traced tires in this folder instead of drawing any"
    )
    options = parser.parse_args(argv)
    if options.photos is not None and (options.plumbed or options.width_u is not None):
        parser.error("--plumbed and --width-u tell more of drawn tires, not of those in a folder of --photos")
    options.out.mkdir(parents=True, exist_ok=True)
    path = options.out / "tire_rows.jsonl"
    rows = _read(path)
    if options.photos is not None:
        return _photos(options, path, rows)
    done: dict[tuple[int, str], set[str]] = {}
    for row in rows:
        done.setdefault((row["seed"], row["kind"]), set()).add(row.get("told", AS_DRAWN))
    ways = {AS_DRAWN, *ways_of(options.plumbed, options.width_u)}
    wanted = [
        (options.seed + i, kind, options.plumbed, options.width_u, done.get((options.seed + i, kind), set()))
        for i in range(options.scenes) for kind in options.sets
        if ways - done.get((options.seed + i, kind), set())
    ]  # fmt: skip
    start = time.monotonic()
    with path.open("a", encoding="utf-8") as file:
        for count, told in enumerate(_measured(wanted, options.processes, options.minutes), start=1):
            file.writelines(json.dumps(row) + "\n" for row in told)
            file.flush()
            rows += told
            passed = time.monotonic() - start
            left = (len(wanted) - count) * passed / count
            print(
                f"\r{count}/{len(wanted)}, {count / passed:.2f}/s, {left / 60:.1f} min left ",
                end="",
                flush=True,
            )
    print()
    text = table(rows)
    (options.out / "tire_table.md").write_text(text, encoding="utf-8")
    print(text)
    return 0


def _photos(options: argparse.Namespace, path: Path, rows: list[dict[str, Any]]) -> int:
    """The rows of a folder's photos: what has a row is not measured again."""
    done = {row.get("name") for row in rows}
    wanted = [photo for photo in find_tires(options.photos) if photo.name not in done]
    with (
        path.open("a", encoding="utf-8") as file,
        ProcessPoolExecutor(options.processes, mp_context=spawning()) as pool,
    ):
        for count, row in enumerate(pool.map(measure_tire_photo, wanted), start=1):
            file.write(json.dumps(row) + "\n")
            file.flush()
            rows.append(row)
            print(f"\r{count}/{len(wanted)} ", end="", flush=True)
    text = table([row for row in rows if "name" in row])
    (options.out / "tire_table.md").write_text(text, encoding="utf-8")
    print("\n" + text)
    return 0


def _read(path: Path) -> list[dict[str, Any]]:
    if not path.exists():
        return []
    rows = []
    for line in path.read_text(encoding="utf-8").splitlines():
        try:
            rows.append(json.loads(line))
        except ValueError:  # stopped in the middle of a line
            continue
    return rows


def _measured(
    wanted: Sequence[tuple[int, str, bool, float | None, set[str]]], processes: int, minutes: float | None
) -> Iterator[list[dict[str, Any]]]:
    end = float("inf") if minutes is None else time.monotonic() + 60 * minutes
    if processes <= 1:
        for one in wanted:
            if time.monotonic() > end:
                return
            yield measure_told(*one)
        return
    with ProcessPoolExecutor(processes, mp_context=spawning()) as pool:
        # In small lots, so that a stop by time loses little.
        for first in range(0, len(wanted), 4 * processes):
            if time.monotonic() > end:
                return
            lot = wanted[first : first + 4 * processes]
            yield from pool.map(measure_told, *zip(*lot, strict=True))


if __name__ == "__main__":
    raise SystemExit(main())
