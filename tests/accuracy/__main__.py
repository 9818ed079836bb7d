"""The benchmark: ``python -m tests.accuracy strut --scenes 2000 --seed 0 --out build/accuracy``."""

import argparse
import sys
import time
from pathlib import Path

from tests.accuracy.report import table
from tests.accuracy.run import run_many


def main() -> int:
    parser = argparse.ArgumentParser(prog="python -m tests.accuracy", description=__doc__)
    parser.add_argument("what", choices=["strut"])
    parser.add_argument("--tier", choices=["analytic"], default="analytic")
    parser.add_argument("--scenes", type=int, default=200, help="scenes of each set")
    parser.add_argument("--seed", type=int, default=0, help="first seed")
    parser.add_argument("--sets", nargs="+", choices=["fair", "wide"], default=["fair", "wide"])
    parser.add_argument("--out", type=Path, default=Path("build/accuracy"))
    parser.add_argument("--processes", type=int, default=2)
    options = parser.parse_args()
    options.out.mkdir(parents=True, exist_ok=True)
    rows = []
    seeds = range(options.seed, options.seed + options.scenes)
    for kind in options.sets:
        began = time.monotonic()
        cases = run_many(options.out / "rows.jsonl", seeds, kind == "fair", options.processes)
        for count, row in enumerate(cases, 1):
            rows.append(row)
            if count % 20 == 0 or count == options.scenes:
                print(f"{kind} {count}/{options.scenes} {time.monotonic() - began:.0f} s", file=sys.stderr)
    report = table(rows)
    (options.out / "table.md").write_text(report + "\n", encoding="utf-8")
    print(report)
    return 0


if __name__ == "__main__":
    raise SystemExit(main())
