"""The tire's benchmark: ``python -m tests.accuracy.tire --scenes 200 --seed 0 --out build/accuracy-tire``.

With ``--photos DIR`` it measures traced tires that ``python -m tests.scenes.physical tires`` wrote.  Else it
draws fair, wide and faulty tires (`tests/scenes/tire_draw.py`), measures each, and writes `tire_rows.jsonl`, one
line a photo, and `tire_table.md`.  It goes on where it was stopped: rows that are there are not measured again.
Any change of the measurement is judged by this table before and after, at the same seeds.
"""

import argparse
import json
import time
from collections.abc import Sequence
from concurrent.futures import ProcessPoolExecutor
from pathlib import Path
from typing import Any

from tests.accuracy.jobs import spawning
from tests.accuracy.tire_case import measure_case
from tests.accuracy.tire_photos import find_tires, measure_tire_photo
from tests.accuracy.tire_table import table

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
        "--photos", type=Path, help="measure the traced tires in this folder instead of drawing any"
    )
    options = parser.parse_args(argv)
    options.out.mkdir(parents=True, exist_ok=True)
    path = options.out / "tire_rows.jsonl"
    rows = _read(path)
    if options.photos is not None:
        return _photos(options, path, rows)
    done = {(row["kind"], row["seed"]) for row in rows}
    wanted = [
        (options.seed + i, kind)
        for i in range(options.scenes) for kind in options.sets
        if (kind, options.seed + i) not in done
    ]  # fmt: skip
    start = time.monotonic()
    with path.open("a", encoding="utf-8") as file:
        for row in _measured(wanted, options.processes, options.minutes):
            file.write(json.dumps(row) + "\n")
            file.flush()
            rows.append(row)
            count, passed = len(rows) - len(done), time.monotonic() - start
            left = (len(wanted) - count) * passed / max(count, 1)
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


def _measured(wanted: list[tuple[int, str]], processes: int, minutes: float | None) -> Any:
    end = float("inf") if minutes is None else time.monotonic() + 60 * minutes
    if processes <= 1:
        for seed, kind in wanted:
            if time.monotonic() > end:
                return
            yield measure_case(seed, kind)
        return
    with ProcessPoolExecutor(processes, mp_context=spawning()) as pool:
        # In small lots, so that a stop by time loses little.
        for first in range(0, len(wanted), 4 * processes):
            if time.monotonic() > end:
                return
            lot = wanted[first : first + 4 * processes]
            yield from pool.map(measure_case, *zip(*lot, strict=True))


if __name__ == "__main__":
    raise SystemExit(main())
