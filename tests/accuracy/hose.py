"""``python -m tests.accuracy hose``: recall and false flags of the hose search on composited photos.

A flag hits a spot if their outlines overlap by 30 % of the smaller one. Rows are appended to a JSONL file and
kept: a run that is started again goes on where it stopped.
"""

import argparse
import json
import time
from collections.abc import Iterator, Sequence
from concurrent.futures import ProcessPoolExecutor
from pathlib import Path
from typing import Any

import cv2
import numpy as np

from tests.accuracy.progress import Progress
from tests.accuracy.stats import Share
from tests.scenes.hose import HEIGHT, WIDTH, hose_case
from vision.hose import search_hoses
from vision.leg import HoseData
from vision.photo import read_photo
from vision.results import Refusal

Row = dict[str, Any]
OVERLAP = 0.3


def main(argv: Sequence[str]) -> int:
    """Run the seeds asked for that are not in the file yet, then print the figures."""
    parser = argparse.ArgumentParser(prog="python -m tests.accuracy hose", description=__doc__)
    parser.add_argument("--kind", choices=("fair", "clean"), default="fair")
    parser.add_argument("--first", type=int, default=0, help="first seed")
    parser.add_argument("--n", type=int, default=120, help="number of photos")
    parser.add_argument("--processes", type=int, default=2)
    parser.add_argument("--out", type=Path, required=True, help="JSONL file of the rows")
    asked = parser.parse_args(argv)
    kept = [json.loads(line) for line in asked.out.read_text().splitlines()] if asked.out.exists() else []
    seeds = range(asked.first, asked.first + asked.n)
    rows = [row for row in kept if row["kind"] == asked.kind and row["seed"] in seeds]
    done = {row["seed"] for row in rows}
    progress = Progress("hose", asked.n)
    for _ in rows:
        progress.step(fresh=False)
    todo = [seed for seed in seeds if seed not in done]
    with ProcessPoolExecutor(asked.processes) as pool, asked.out.open("a") as file:
        for row in pool.map(one_row, todo, [asked.kind] * len(todo)):
            file.write(json.dumps(row) + "\n")
            file.flush()
            rows.append(row)
            progress.step()
    print("\n".join(table(rows)))
    return 0


def one_row(seed: int, kind: str) -> Row:
    """Draw, search and judge one photo; the leg's data name its hoses' true diameters and covers."""
    case = hose_case(seed, kind)
    photo = read_photo(case.photo_bytes)
    legs = [
        HoseData(f"hose {index}", one.diameter_mm, 0.01 * one.diameter_mm, one.cover, "scene")
        for index, one in enumerate(case.truth.hoses)
    ]
    began = time.perf_counter()
    try:
        found = search_hoses(photo, legs)
    except Exception as error:  # a crash is a row of its own kind: the benchmark goes on and names it
        return {"seed": seed, "kind": kind, "spots": [], "false": 0, "refused": f"crash: {error}"}
    seconds = time.perf_counter() - began
    row: Row = {"seed": seed, "kind": kind, "seconds": seconds, "spots": [], "false": 0}
    began = time.perf_counter()
    cv2.imdecode(np.frombuffer(case.photo_bytes, np.uint8), cv2.IMREAD_COLOR)
    row["decode"] = time.perf_counter() - began
    row["refused"] = found.reason if isinstance(found, Refusal) else None
    flags = [] if isinstance(found, Refusal) else [flag.outline_px for flag in found.flags]
    hit = set()
    for spot in case.truth.spots:
        mine = {k for k, flag in enumerate(flags) if overlap(flag, spot.outline_px) >= OVERLAP}
        hit |= mine
        cover = case.truth.hoses[spot.hose].cover
        row["spots"].append(
            {"cover": cover, "grade": spot.grade, "size_mm": spot.size_mm, "found": bool(mine)}
        )
    row["false"] = len(flags) - len(hit)
    return row


def overlap(one: np.ndarray, other: np.ndarray) -> float:
    """Common area of two outlines (N, 2) px as a share of the smaller."""
    masks = []
    for outline in (one, other):
        mask = np.zeros((HEIGHT, WIDTH), np.uint8)
        cv2.fillPoly(mask, [np.round(outline).astype(np.int32)], 1)
        masks.append(mask.astype(bool))
    smaller = min(int(mask.sum()) for mask in masks)
    return float((masks[0] & masks[1]).sum()) / smaller if smaller else 0.0


def table(rows: Sequence[Row]) -> Iterator[str]:
    """The figures as lines; refused photos count as missed spots."""
    spots = [spot for row in rows for spot in row["spots"]]
    for name, key in (("cover", lambda s: s["cover"]), ("grade", lambda s: s["grade"]), ("mm", _size)):
        for value in sorted({key(spot) for spot in spots}):
            some = [spot for spot in spots if key(spot) == value]
            yield f"recall, {name} {value}: {Share(sum(s['found'] for s in some), len(some))}"
    searched = [row for row in rows if row["refused"] is None]
    if searched:
        yield f"false flags a photo: {np.mean([row['false'] for row in searched]):.2f} on {len(searched)}"
        yield f"photos without a false flag: {Share(sum(not row['false'] for row in searched), len(searched))}"
        yield f"time: {np.median([row['seconds'] / row['decode'] for row in searched]):.1f} × decode, median"
    for reason in sorted({row["refused"] for row in rows if row["refused"]}):
        yield f"refused, {reason}: {sum(row['refused'] == reason for row in rows)}"


def _size(spot: Row) -> str:
    """The class of a spot's length."""
    return "04–08" if spot["size_mm"] < 8 else "08–14" if spot["size_mm"] < 14 else "14–20"
