"""The strut's benchmark: ``python -m tests.accuracy strut …``."""

import argparse
from pathlib import Path

from tests.accuracy import rendered
from tests.accuracy.jobs import Row
from tests.accuracy.overlays import draw_analytic, draw_large
from tests.accuracy.photos import draw_photo, find_photos, run_photos
from tests.accuracy.plots import write_plots
from tests.accuracy.progress import Progress
from tests.accuracy.report import table
from tests.accuracy.run import run_set

SETS = ("fair", "wide", "hard")


def parser() -> argparse.ArgumentParser:
    """The options; those of the rendered tier stand in a group of their own."""
    top = argparse.ArgumentParser(prog="python -m tests.accuracy strut", description=__doc__.splitlines()[0])
    top.add_argument("--tier", choices=["analytic", "rendered", "photos"], default="analytic")
    top.add_argument("--scenes", type=int, default=200, help="scenes of each set")
    top.add_argument("--seed", type=int, default=0, help="first seed")
    top.add_argument("--sets", nargs="+", choices=SETS, default=["fair", "wide"])
    top.add_argument("--photos", type=Path, help="folder of photos with truth files (see tests.accuracy)")
    top.add_argument("--out", type=Path, default=Path("build/accuracy"))
    top.add_argument("--processes", type=int, default=2)
    top.add_argument("--overlays", type=int, help="draw so many of the worst accepted errors above 1 mm")
    rendered.add_options(top.add_argument_group("rendered tier"))
    return top


def main(argv: list[str]) -> int:
    """Run, write rows, table and pictures, print the table."""
    top = parser()
    options = top.parse_args(argv)
    if options.photos is not None:
        options.tier = "photos"
    if options.tier == "photos" and (options.photos is None or not options.photos.is_dir()):
        top.error(f"--tier photos needs --photos DIR, a folder that is there (got {options.photos})")
    options.out.mkdir(parents=True, exist_ok=True)
    run = {"analytic": _analytic, "rendered": _rendered, "photos": _photos}[options.tier]
    rows = run(options)
    report = table(rows)
    (options.out / "table.md").write_text(report + "\n", encoding="utf-8")
    write_plots(rows, options.out)
    print(report)
    return 0


def _analytic(options: argparse.Namespace) -> list[Row]:
    rows = []
    seeds = range(options.seed, options.seed + options.scenes)
    for kind in options.sets:
        progress = Progress(kind, options.scenes)
        for row, fresh in run_set(options.out / "rows.jsonl", seeds, kind, options.processes):
            rows.append(row)
            progress.step(fresh)
    rows.sort(key=lambda row: (SETS.index(row["cell"]["set"]), row["seed"]))
    _draw(options, rows, draw_analytic, 12)
    return rows


def _photos(options: argparse.Namespace) -> list[Row]:
    paths = find_photos(options.photos)
    if not paths:
        msg = f"no photo with a .truth.json beside it lies below {options.photos}: see the docstring of tests.accuracy"
        raise SystemExit(msg)
    progress = Progress("photos", len(paths))
    rows = []
    for row, fresh in run_photos(options.out / "rows.jsonl", options.photos, options.processes):
        rows.append(row)
        progress.step(fresh)
    rows.sort(key=lambda row: row["name"])
    _draw(options, rows, draw_photo, 12)
    return rows


def _rendered(options: argparse.Namespace) -> list[Row]:
    rows = rendered.run_rendered(options)
    _draw(options, rows, draw_photo, 6)
    return rows


def _draw(options: argparse.Namespace, rows: list[Row], draw: object, most: int) -> None:
    count = most if options.overlays is None else options.overlays
    draw_large(rows, options.out / "overlays", draw, count, options.processes)
