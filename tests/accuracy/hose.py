"""``python -m tests.accuracy hose``: recall and false flags of the hose search on composited photos, or on traced ones (`--photos DIR`).

A flag hits a spot if their outlines overlap by 30 % of the smaller one. Rows are appended to a JSONL file and
kept: a run that is started again goes on where it stopped.
"""

import argparse
import json
import time
from collections import Counter
from collections.abc import Callable, Iterator, Sequence
from concurrent.futures import ProcessPoolExecutor
from functools import partial
from pathlib import Path
from typing import Any

import cv2
import numpy as np
from scipy.spatial import cKDTree

from tests.accuracy.hose_photos import find_hoses, traced_hoses
from tests.accuracy.jobs import run_jobs
from tests.accuracy.progress import Progress
from tests.accuracy.stats import Share
from tests.scenes.hose import HEIGHT, WIDTH, HoseTruth, hose_case
from tests.scenes.hose_light import Hose as Drawn
from tests.scenes.hose_things import FLUID
from vision.hose import Flag, Hose, Searched, Tap, search_hoses
from vision.hose.pair import search_pair
from vision.leg import HoseData
from vision.photo import read_photo
from vision.results import Refusal

Row = dict[str, Any]
OVERLAP = 0.3
LARGEST_PX = 4032
_HOW = ("kind", "taps", "off", "network")
_LEAST_PX = 12
_ON_HOSE, _AS_WIDE = 0.5, 0.3  # radii off the true middle; of the true width


def main(argv: Sequence[str]) -> int:
    """Run the seeds asked for that are not in the file yet, then print the figures."""
    parser = argparse.ArgumentParser(prog="python -m tests.accuracy hose", description=__doc__)
    parser.add_argument("--kind", choices=("fair", "clean", "pair"), default="fair")
    parser.add_argument("--first", type=int, default=0, help="first seed")
    parser.add_argument("--n", type=int, default=120, help="number of photos")
    parser.add_argument("--taps", type=int, default=0, help="places tapped along each hose; 0: none")
    parser.add_argument("--off", type=float, default=0, help="radii by which all taps miss the hose")
    parser.add_argument("--processes", type=int, default=2)
    parser.add_argument("--out", type=Path, required=True, help="JSONL file of the rows")
    parser.add_argument("--light-alone", action="store_true", help="the rules of light, without the network")
    parser.add_argument("--photos", type=Path, help="search the traced hoses in this folder; draw none")
    asked = parser.parse_args(argv)
    if asked.photos is not None:
        return _photos(asked)
    kept = [json.loads(line) for line in asked.out.read_text().splitlines()] if asked.out.exists() else []
    how = (asked.kind, asked.taps, asked.off, not asked.light_alone)
    seeds = range(asked.first, asked.first + asked.n)
    rows = [row for row in kept if row["seed"] in seeds and [row[k] for k in _HOW] == list(how)]
    done = {row["seed"] for row in rows}
    progress = Progress("hose", asked.n)
    for _ in rows:
        progress.step(fresh=False)
    todo = [seed for seed in seeds if seed not in done]
    with ProcessPoolExecutor(asked.processes) as pool, asked.out.open("a") as file:
        for row in pool.map(one_row, todo, *([one] * len(todo) for one in how)):
            file.write(json.dumps(row) + "\n")
            file.flush()
            rows.append(row)
            progress.step()
    print("\n".join(table(rows)))
    return 0


def _photos(asked: argparse.Namespace) -> int:
    """Rows of a folder's traced photos, by name: what has a row is not searched again."""
    photos = {path.name: (path,) for path in find_hoses(asked.photos)}
    progress = Progress("hose", len(photos))
    rows = []
    how = partial(photo_row, network=not asked.light_alone)
    for row, fresh in run_jobs(asked.out, photos, how, lambda row: row.get("name"), asked.processes):
        rows.append(row)
        progress.step(fresh=fresh)
    print("\n".join(table(rows)))
    return 0


def photo_row(path: Path, network: bool = True) -> Row:
    """Search one traced photo with the places tapped that its truth names, and judge it."""
    cv2.setNumThreads(1)
    truth, taps, legs = traced_hoses(path)
    content = path.read_bytes()
    shown = [Tap(places, f"hose {k}") for k, places in taps.items()]
    row: Row = {"name": path.name, "kind": "traced", "taps": sum(map(len, taps.values()))}
    return row | judged(
        truth, content, lambda: search_hoses(read_photo(content), legs, shown, network=network)
    )


def one_row(seed: int, kind: str, taps: int = 0, off: float = 0.0, network: bool = True) -> Row:
    """Draw, search and judge one photo; the leg's data name its hoses' true diameters and covers."""
    case = hose_case(seed, kind)
    photo = read_photo(case.photo_bytes)
    legs = [
        HoseData(f"hose {index}", one.diameter_mm, 0.01 * one.diameter_mm, one.cover, "scene")
        for index, one in enumerate(case.truth.hoses)
    ]
    shown = [tapped(one, f"hose {k}", taps, off) for k, one in enumerate(case.truth.hoses)] if taps else []

    def search() -> Searched | Refusal:
        if case.second_bytes is None:
            return search_hoses(photo, legs, shown, network=network)
        moved = [
            tapped(one, f"hose {k}", taps, off, case.truth.moved_px) for k, one in enumerate(case.truth.hoses)
        ]
        second = read_photo(case.second_bytes)
        return search_pair(photo, second, legs, shown, second_taps=moved if taps else (), network=network)

    row: Row = {"seed": seed, "kind": kind, "taps": taps, "off": off, "network": network}
    return row | judged(case.truth, case.photo_bytes, search)


def judged(truth: HoseTruth, photo_bytes: bytes, search: Callable[[], Searched | Refusal]) -> Row:
    """Search and hold what was found against the truth; processor seconds of both it and decoding."""
    row: Row = {"false": 0, "claimed": 0, "on_hose": 0}
    row["spots"] = [
        {
            "cover": truth.hoses[spot.hose].cover,
            "grade": spot.grade,
            "size_mm": spot.size_mm,
            "px": spot.size_px,
            "found": False,
            "aside": None,
        }
        for spot in truth.spots
    ]
    began = time.process_time()
    try:
        found = search()
    except Exception as error:  # a crash is a row of its own kind: the benchmark goes on and names it
        return row | {"refused": f"crash: {error}"}
    row["seconds"] = time.process_time() - began
    began = time.process_time()
    cv2.imdecode(np.frombuffer(photo_bytes, np.uint8), cv2.IMREAD_COLOR)
    row["decode"] = time.process_time() - began
    row["refused"] = found.reason if isinstance(found, Refusal) else None
    flags = [] if isinstance(found, Refusal) else [flag.outline_px for flag in found.flags]
    aside = [] if isinstance(found, Refusal) else found.set_aside
    hit = set()
    for spot, said in zip(truth.spots, row["spots"], strict=True):
        mine = {k for k, flag in enumerate(flags) if overlap(flag, spot.outline_px) >= OVERLAP}
        hit |= mine
        said["found"] = bool(mine)
        said["aside"] = next(
            (f.kind for f in aside if overlap(f.outline_px, spot.outline_px) >= OVERLAP), None
        )
    row["wet"], wet = _wet(truth, [] if isinstance(found, Refusal) else found.flags)
    wrong = [flag for k, flag in enumerate(flags) if k not in hit | wet]
    row["false"] = len(wrong)
    # "" where nothing was drawn: light, weave or grain.
    row["false_on"] = [
        next((one.kind for one in truth.distractors if overlap(flag, one.outline_px) >= OVERLAP), "")
        for flag in wrong
    ]
    # What a second photo does not show, it tells nothing of.
    row["false_in_both"] = [bool(_inside(flag + np.array(truth.moved_px)).all()) for flag in wrong]
    row["things"] = [
        [one.kind, sorted({f.kind for f in aside if overlap(f.outline_px, one.outline_px) >= OVERLAP})]
        for one in truth.distractors
    ]
    row["cover"] = truth.hoses[0].cover
    for hose in () if isinstance(found, Refusal) else found.hoses:
        claimed, right = claims(hose, truth.hoses)
        row["claimed"] += claimed
        row["on_hose"] += right
    return row


def _wet(truth: HoseTruth, flags: Sequence[Flag]) -> tuple[list[Any], set[int]]:
    """Each drop and wet place drawn, and whether a flag calls it wet; which flags are right in that."""
    told, right = [], set()
    for one in truth.distractors:
        if one.kind in FLUID:
            mine = {
                k
                for k, flag in enumerate(flags)
                if flag.kind == "wet" and overlap(flag.outline_px, one.outline_px) >= OVERLAP
            }
            told.append([one.kind, bool(mine)])
            right |= mine
    return told, right


def tapped(hose: Drawn, name: str, taps: int, off: float, moved_px: tuple[float, float] = (0, 0)) -> Tap:
    """Return places evenly along what the photo shows of a hose, `off` radii beside its middle."""
    line = hose.centre_line_px + moved_px
    x, y = line.T
    # A person taps as far as the middle of an end fitting's ferrule, which is 1.5 widths long.
    first, last = np.array(hose.cover_px) + 1.5 * hose.radius_px * np.array([-1, 1])
    on_cover = (hose.along_px > first) & (hose.along_px < last)
    (seen,) = np.nonzero((x > 20) & (x < WIDTH - 20) & (y > 20) & (y < HEIGHT - 20) & on_cover)
    at = seen[np.linspace(0, len(seen) - 1, taps).astype(int)]
    points = line[at] + off * hose.radius_px * hose.normals[at]
    return Tap(tuple((float(a), float(b)) for a, b in points), name)


def claims(hose: Hose, drawn: Sequence[Drawn]) -> tuple[int, int]:
    """Return how many px of the course count as searched, and how many of these lie on the hose drawn.

    What is claimed on another hose than the one tapped is wrong, too; without taps any hose will do.
    """
    points, radius = hose.course.points, hose.course.radius
    seen = hose.coverage.seen.any(axis=1)
    (at,) = np.nonzero(seen[np.arange(len(points)) * len(seen) // len(points)])
    right = np.zeros(len(at), bool)
    for k, one in enumerate(drawn):
        if hose.name in ("", f"hose {k}"):
            away = cKDTree(one.centre_line_px).query(points[at])[0]
            as_wide = np.abs(radius[at] / one.radius_px - 1) < _AS_WIDE
            right |= (away < _ON_HOSE * one.radius_px) & as_wide
    return len(at), int(right.sum())


def overlap(one: np.ndarray, other: np.ndarray) -> float:
    """Common area of two outlines (N, 2) px as a share of the smaller."""
    # What lies outside any photo, such as the ends of a bar of sun, does not count.
    low, high = (
        np.clip(end([end(one, axis=0), end(other, axis=0)], axis=0), 0, LARGEST_PX).astype(int)
        for end in (np.min, np.max)
    )
    width, height = high - low + 2
    masks = []
    for outline in (one, other):
        mask = np.zeros((height, width), np.uint8)
        cv2.fillPoly(mask, [np.round(outline - low).astype(np.int32)], 1)
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
    wide = [spot for spot in spots if spot["px"] >= _LEAST_PX]
    yield f"recall, at {_LEAST_PX} px and more: {Share(sum(s['found'] for s in wide), len(wide))}"
    searched = [row for row in rows if row["refused"] is None]
    if searched:
        claimed = sum(row["claimed"] for row in searched)
        right = sum(row["on_hose"] for row in searched)
        with_claim = sum(row["claimed"] > 0 for row in searched)
        yield f"honest coverage: {right} of {claimed} px claimed lie on the hose, {with_claim} photos claim any"
        wrong = sum(row["on_hose"] < 0.95 * row["claimed"] for row in searched)
        yield f"photos where over 5 % of the claim is wrong: {Share(wrong, len(searched))}"
        yield f"false flags a photo: {np.mean([row['false'] for row in searched]):.2f} on {len(searched)}"
        yield from _in_both(searched)
        for kind in sorted({kind for row in searched for kind in row["false_on"]}):
            on = sum(row["false_on"].count(kind) for row in searched)
            yield f"false flags on {kind or 'nothing drawn'}: {on}"
        for kind in FLUID:
            wet = [right for row in searched for what, right in row["wet"] if what == kind]
            yield f"{kind} flagged as wet: {Share(sum(wet), len(wet))}"
        things = [thing for row in searched for thing in row["things"]]
        for kind in sorted({thing[0] for thing in things}):
            said = Counter("+".join(thing[1]) or "not named" for thing in things if thing[0] == kind)
            yield f"{kind} set aside as: {dict(said.most_common())}"
        for cover in sorted({row["cover"] for row in searched}):
            some = [row["false"] for row in searched if row["cover"] == cover]
            yield f"false flags a photo, first hose {cover}: {np.mean(some):.2f} on {len(some)}"
        yield f"photos without a false flag: {Share(sum(not row['false'] for row in searched), len(searched))}"
        yield f"time: {np.median([row['seconds'] / row['decode'] for row in searched]):.1f} × decode, median"
    lost = Counter(spot["aside"] for spot in spots if not spot["found"] and spot["aside"])
    if lost:
        yield f"missed, because set aside as: {dict(lost.most_common())}"
    for reason in sorted({row["refused"] for row in rows if row["refused"]}):
        yield f"refused, {reason}: {sum(row['refused'] == reason for row in rows)}"


def _in_both(pairs: Sequence[Row]) -> Iterator[str]:
    """Of pairs, what is fixed to the hose and stays by right apart from light, weave and grain."""
    told = [
        (bool(kind), both)
        for row in pairs
        if row["kind"] == "pair"
        for kind, both in zip(row["false_on"], row["false_in_both"], strict=True)
    ]
    for fixed in (True, False) if any(row["kind"] == "pair" for row in pairs) else ():
        both, one = (told.count((fixed, seen)) for seen in (True, False))
        what = "what is fixed there" if fixed else "nothing drawn"
        yield (
            f"false flags on {what}: {both / len(pairs):.2f} a pair in view of both photos, "
            f"{one / len(pairs):.2f} of the first only"
        )


def _inside(points: np.ndarray) -> np.ndarray:
    """Which points (N, 2), px, lie in the photo."""
    return np.asarray(((points >= 0) & (points < (WIDTH, HEIGHT))).all(axis=1))


def _size(spot: Row) -> str:
    """The class of a spot's length."""
    return "04–08" if spot["size_mm"] < 8 else "08–14" if spot["size_mm"] < 14 else "14–20"
