"""Seeded faults: ``python -m tests.accuracy faults …``.

Fair scenes with one thing wrong in what the measurement is told, or in the card.  A fault is *caught* when
the photo or the data are refused, or a note of the reading names it, or \\|error\\| ≤ U.
"""

import argparse
from collections import Counter
from collections.abc import Callable, Sequence
from dataclasses import replace
from pathlib import Path

import numpy as np

from tests.accuracy.draw import Case, draw, in_hand
from tests.accuracy.jobs import Row, run_jobs
from tests.accuracy.overlays import draw_large
from tests.accuracy.progress import Progress
from tests.accuracy.run import measure_picture, photo_and_scale
from tests.accuracy.stats import Share, covered, name_of, readings
from vision.overlay import annotate

STREAM = 31
Fault = Callable[[Case, float], Case]


def _told(case: Case, sign: float) -> Case:
    value, u = case.stand_off_told or (case.scene.stand_off_mm, 1.0)
    return replace(case, stand_off_told=(value + 5.0 * sign, u))


def _leg(case: Case, **changes: float | None) -> Case:
    return replace(case, leg_changes=case.leg_changes | changes)


def _piston(case: Case, sign: float) -> float:
    return round(case.scene.piston_diameter_mm * (1 + 0.01 * sign), 3)


def _piston_stand_off(case: Case, sign: float) -> Case:
    return _leg(case, piston_diameter_mm=_piston(case, sign), cylinder_diameter_mm=None)


def _piston_cylinder(case: Case, sign: float) -> Case:
    return replace(_leg(case, piston_diameter_mm=_piston(case, sign)), stand_off_told=None)


def _piston_both(case: Case, sign: float) -> Case:
    return _leg(case, piston_diameter_mm=_piston(case, sign))


def _bent(case: Case, sign: float) -> Case:
    return replace(case, scene=replace(case.scene, card_bend_radius_mm=500.0 * sign))


def _print(case: Case, sign: float) -> Case:
    off = 1 + 0.01 * sign
    return replace(case, scene=replace(case.scene, card_scale=(off, off)), bars_told=None)


def _exchanged(case: Case, _: float) -> Case:
    scene = case.scene
    return _leg(
        case, piston_diameter_mm=scene.collar_diameter_mm, collar_diameter_mm=scene.piston_diameter_mm
    )


FAULTS: dict[str, Fault] = {
    "stand-off told 5 mm wrong": _told,
    "piston 1 % wrong, stand-off told, no second diameter": _piston_stand_off,
    "piston 1 % wrong, second diameter, stand-off not told": _piston_cylinder,
    "piston 1 % wrong, stand-off told and second diameter": _piston_both,
    "collar and piston exchanged": _exchanged,
    "card bent to 0.5 m": _bent,
    "print 1 % off, bars not measured": _print,
}
# Faults of what is told leave the picture as it is: one rendering serves them all.
SAME_PICTURE = tuple(FAULTS)[:5]
# Notes that tell the person of the very fault.
NAMED_BY: dict[str, tuple[str, ...]] = {}


def faulty(name: str, seed: int) -> Case:
    """A fair case with a fault; its sign is drawn from the seed."""
    sign = float(np.random.default_rng([seed, STREAM]).choice([-1, 1]))
    case = in_hand(FAULTS[name](draw(seed, True), sign))
    return replace(case, cell=case.cell | {"set": name, "sign": f"{sign:+.0f}"})


def measure_seed(seed: int, names: tuple[str, ...]) -> Row:
    """Measure the faults of one seed that share a picture; the row holds a row for each."""
    photo, scale = photo_and_scale(faulty(names[0], seed))
    rows = {name: measure_picture(faulty(name, seed), photo, scale)[1] for name in names}
    return {"key": [seed, names[0]], "faults": rows}


def caught(row: Row) -> str:
    """How a fault was caught: ``"refused"``, ``"noted"``, ``"within U"``; empty where it was not."""
    if row["status"] != "reading":
        return "refused" if row["status"] == "refused" else ""
    if set(row["notes"]) & set(NAMED_BY.get(row["cell"]["set"], ())):
        return "noted"
    return "within U" if covered(row) else ""


def report(rows: Sequence[Row]) -> str:
    """The table of faults as Markdown, and every one that was not caught."""
    lines = [
        "| fault | caught (exact 95 % interval) | refused | within U | largest \\|error\\| beyond U, mm | refused as |",
        "|---|---|---|---|---|---|",
    ]
    missed = []
    for name in FAULTS:
        some = [row for row in rows if row["cell"]["set"] == name]
        if not some:
            continue
        how = Counter(caught(row) for row in some)
        past = [row for row in readings(some) if not caught(row)]
        missed += past + [row for row in some if row["status"] == "crash"]
        worst = max((abs(row["error"]) for row in past), default=0.0)
        causes = Counter(row["cause"] for row in some if row["status"] == "refused")
        told = ", ".join(f"{cause} {count}" for cause, count in causes.most_common())
        share = Share(len(some) - how[""], len(some))
        lines.append(f"| {name} | {share} | {how['refused']} | {how['within U']} | {worst:.2f} | {told} |")
    lines += ["", f"Not caught: {len(missed)}"]
    for row in missed:
        text = f"error {row['error']:+.3f} mm, U {row['U']:.3f} mm" if "error" in row else row["trace"]
        lines.append(f"- {name_of(row)} ({row['cell']['sign']}): {text}")
    return "\n".join(lines)


def draw_fault(row: Row) -> bytes | None:
    """The annotated copy of a case, rendered and measured again."""
    case = faulty(row["cell"]["set"], row["seed"])
    photo, scale = photo_and_scale(case)
    result, _ = measure_picture(case, photo, scale)
    return None if result is None else annotate(photo, result)


def main(argv: list[str]) -> int:
    """Run, write rows and table, print the table."""
    top = argparse.ArgumentParser(prog="python -m tests.accuracy faults", description=__doc__.splitlines()[0])
    top.add_argument("--seeds", type=int, default=59, help="how many seeds of each fault")
    top.add_argument("--seed", type=int, default=0, help="the first")
    top.add_argument("--faults", nargs="+", type=int, help=f"some only, by number from 1 to {len(FAULTS)}")
    top.add_argument("--out", type=Path, default=Path("build/faults"))
    top.add_argument("--processes", type=int, default=2)
    top.add_argument("--overlays", type=int, default=0, help="draw so many errors above 1 mm")
    options = top.parse_args(argv)
    numbers = options.faults or range(1, len(FAULTS) + 1)
    if not set(numbers) <= set(range(1, len(FAULTS) + 1)):
        top.error(f"faults have the numbers 1 to {len(FAULTS)}: " + "; ".join(FAULTS))
    names = [list(FAULTS)[number - 1] for number in numbers]
    groups = [tuple(n for n in names if n in SAME_PICTURE)] + [(n,) for n in names if n not in SAME_PICTURE]
    seeds = range(options.seed, options.seed + options.seeds)
    wanted = {(s, group[0]): (s, group) for s in seeds for group in groups if group}
    progress = Progress("faults", len(wanted))
    rows = []
    for row, fresh in run_jobs(
        options.out / "rows.jsonl", wanted, measure_seed, lambda row: tuple(row["key"]), options.processes
    ):
        rows += row["faults"].values()
        progress.step(fresh)
    rows.sort(key=lambda row: row["seed"])
    draw_large(rows, options.out / "overlays", draw_fault, options.overlays, options.processes)
    text = report(rows)
    options.out.mkdir(parents=True, exist_ok=True)
    (options.out / "table.md").write_text(text + "\n", encoding="utf-8")
    print(text)
    return 0
