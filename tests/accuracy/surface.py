"""``python -m tests.accuracy surface``: recall and false flags of the surface search on composited photos.

A flag hits a mark if their outlines overlap by 30 % of the smaller one.  What was set aside does not count as
found, and is told beside it.  Rows are appended to a JSONL file and kept: a run that is started again goes on
where it stopped.
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
from tests.scenes.surface import HEIGHT, KINDS, WIDTH, surface_case
from vision.photo import read_photo
from vision.results import Refusal
from vision.surface import search_surface

Row = dict[str, Any]
OVERLAP = 0.3


def main(argv: Sequence[str]) -> int:
    """Run the seeds asked for that are not in the file yet, then print the figures."""
    parser = argparse.ArgumentParser(prog="python -m tests.accuracy surface", description=__doc__)
    parser.add_argument("--kinds", nargs="+", choices=KINDS, default=list(KINDS))
    parser.add_argument("--first", type=int, default=0, help="first seed")
    parser.add_argument("--n", type=int, default=120, help="number of photos of each kind")
    parser.add_argument("--processes", type=int, default=2)
    parser.add_argument("--out", type=Path, required=True, help="JSONL file of the rows")
    asked = parser.parse_args(argv)
    kept = [json.loads(line) for line in asked.out.read_text().splitlines()] if asked.out.exists() else []
    todo = [(seed, kind) for seed in range(asked.first, asked.first + asked.n) for kind in asked.kinds]
    rows = [row for row in kept if (row["seed"], row["kind"]) in todo]
    done = {(row["seed"], row["kind"]) for row in rows}
    progress = Progress("surface", len(todo))
    for _ in rows:
        progress.step(fresh=False)
    left = [case for case in todo if case not in done]
    with ProcessPoolExecutor(asked.processes) as pool, asked.out.open("a") as file:
        for row in pool.map(one_row, *zip(*left, strict=True)) if left else ():
            file.write(json.dumps(row) + "\n")
            file.flush()
            rows.append(row)
            progress.step()
    print("\n".join(table(rows)))
    return 0


def one_row(seed: int, kind: str) -> Row:
    """Draw, search and judge one photo."""
    case = surface_case(seed, kind)
    row: Row = {
        "seed": seed, "kind": kind, "surface": case.surface, "form": case.form,
        "things": [thing.kind for thing in case.things], "false": 0, "false_on": [],
    }  # fmt: skip
    row["marks"] = [
        {"how": mark.how, "grade": mark.grade, "size_px": mark.size_px, "found": False, "aside": None}
        for mark in case.marks
    ]
    began = time.perf_counter()
    try:
        found = search_surface(read_photo(case.photo_bytes), case.region_px)
    except Exception as error:  # a crash is a row of its own kind: the benchmark goes on and names it
        return row | {"refused": f"crash: {error!r}"}
    row["seconds"] = time.perf_counter() - began
    began = time.perf_counter()
    cv2.imdecode(np.frombuffer(case.photo_bytes, np.uint8), cv2.IMREAD_COLOR)
    row["decode"] = time.perf_counter() - began
    row["refused"] = found.reason if isinstance(found, Refusal) else None
    if isinstance(found, Refusal):
        return row
    row["share"] = found.coverage.share
    hit = set()
    for mark, said in zip(case.marks, row["marks"], strict=True):
        mine = {k for k, one in enumerate(found.flags) if overlap(one.outline_px, mark.outline_px) >= OVERLAP}
        hit |= mine
        said["found"] = bool(mine)
        kinds = [one.kind for one in found.set_aside if overlap(one.outline_px, mark.outline_px) >= OVERLAP]
        said["aside"] = kinds[0] if kinds else None
    for k, one in enumerate(found.flags):
        if k not in hit:
            row["false"] += 1
            on = [
                thing.kind
                for thing in case.things
                if any(overlap(one.outline_px, outline) >= OVERLAP for outline in thing.outlines_px)
            ]
            row["false_on"].append([*on, "bare"][0])
    return row


def overlap(one: np.ndarray, other: np.ndarray) -> float:
    """Common area of two outlines (N, 2) px as a share of the smaller."""
    if (one.min(axis=0) > other.max(axis=0)).any() or (other.min(axis=0) > one.max(axis=0)).any():
        return 0.0
    masks = []
    for outline in (one, other):
        mask = np.zeros((HEIGHT, WIDTH), np.uint8)
        cv2.fillPoly(mask, [np.round(outline).astype(np.int32)], 1)
        masks.append(mask.astype(bool))
    smaller = min(int(mask.sum()) for mask in masks)
    return float((masks[0] & masks[1]).sum()) / smaller if smaller else 0.0


def table(rows: Sequence[Row]) -> Iterator[str]:
    """The figures as lines; refused photos count as missed marks."""
    marks = [mark | {"surface": row["surface"]} for row in rows for mark in row["marks"]]
    yield f"recall: {_recall(marks)}"
    for name, key in (("grade", "grade"), ("how", "how"), ("surface", "surface"), ("px", "px")):
        some = [mark | {"px": _size(mark["size_px"])} for mark in marks]
        for value in sorted({mark[key] for mark in some}):
            yield f"recall, {name} {value}: {_recall([mark for mark in some if mark[key] == value])}"
    for grade in (1, 2, 3):
        for px in ("028–060", "060–120", "120–220"):
            some = [mark for mark in marks if mark["grade"] == grade and _size(mark["size_px"]) == px]
            yield f"recall, grade {grade}, {px} px: {_recall(some)}"
    aside = [mark["aside"] for mark in marks if not mark["found"] and mark["aside"]]
    yield f"marks set aside: {', '.join(sorted(aside)) or 'none'}"
    searched = [row for row in rows if row["refused"] is None]
    for kind in KINDS:
        some = [row for row in searched if row["kind"] == kind]
        if some:
            yield f"false flags a photo, {kind}: {np.mean([row['false'] for row in some]):.2f} on {len(some)}"
            yield f"{kind} photos without a false flag: {Share(sum(not row['false'] for row in some), len(some))}"
            for surface in sorted({row["surface"] for row in some}):
                mine = [row["false"] for row in some if row["surface"] == surface]
                yield f"  {surface}: {np.mean(mine):.2f} a photo, none on {mine.count(0)} of {len(mine)}"
    on = [one for row in searched for one in row["false_on"]]
    yield "false flags lie on " + ", ".join(f"{kind} {on.count(kind)}" for kind in sorted(set(on)))
    yield f"searched share, median: {np.median([row['share'] for row in searched]):.2f}"
    yield f"photos of which nothing counts as searched: {sum(row['share'] == 0 for row in searched)}"
    ratio = [row["seconds"] / row["decode"] for row in searched]
    yield f"time: {np.median(ratio):.1f} × decode, median; largest {max(ratio):.1f}"
    for reason in sorted({row["refused"] for row in rows if row["refused"]}):
        yield f"refused, {reason}: {sum(row['refused'] == reason for row in rows)}"


def _recall(marks: Sequence[Row]) -> Share:
    return Share(sum(mark["found"] for mark in marks), len(marks))


def _size(px: float) -> str:
    """The class of a mark's longest side."""
    return "028–060" if px < 60 else "060–120" if px < 120 else "120–220"
