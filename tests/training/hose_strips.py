"""``python -m tests.training.hose_strips``: strips of hoses with what lies on each of their pixels, for training.

Drawn photos (`--first`, `--n`, from seeds that no benchmark uses) or traced ones (`--photos DIR`). Courses are
the true ones, a little off as those that the search finds. One NPZ file a process.
"""

import argparse
import os
from collections.abc import Iterator, Sequence
from concurrent.futures import ProcessPoolExecutor
from pathlib import Path

import cv2
import numpy as np

from tests.accuracy.hose_photos import find_hoses, traced_hoses
from tests.scenes.hose import HoseTruth, hose_case
from vision.hose.course import Course, evenly
from vision.hose.net import CLASSES
from vision.hose.net_strip import COVERS, coded_strip
from vision.photo import Photo, read_photo

ROWS, REACH = 64, 1.6  # more than the network is given: training moves and widens it
CLASS_OF = {"drop": "fluid", "streak": "sun"}
_LEAST_WIDTHS = 3
Strips = dict[str, np.ndarray]


def strips_of(
    photo: Photo, truth: HoseTruth, rng: np.random.Generator
) -> Iterator[tuple[np.ndarray, np.ndarray, int]]:
    """Coded strip (R, C, 3) uint8, class of each pixel (R, C) uint8 and the cover's number, of each hose."""
    height, width = photo.pixels.shape[:2]
    classes = np.zeros((height, width), np.uint8)
    things = sorted(truth.distractors, key=lambda one: one.kind in ("sun", "streak"), reverse=True)
    drawn = [(CLASS_OF.get(one.kind, one.kind), one.outline_px) for one in things]
    drawn += [("wear", spot.outline_px) for spot in truth.spots]
    for kind, outline in drawn:
        clipped = np.clip(outline, -4 * width, 4 * width)
        cv2.fillPoly(classes, [np.round(clipped).astype(np.int32)], CLASSES.index(kind))
    for hose in truth.hoses:
        x, y = hose.centre_line_px.T
        first, last = np.array(hose.cover_px) + 1.5 * hose.radius_px * np.array([-1, 1])
        seen = (
            (x > 4)
            & (x < width - 4)
            & (y > 4)
            & (y < height - 4)
            & (hose.along_px > first)
            & (hose.along_px < last)
        )
        (at,) = np.nonzero(seen)
        if len(at) < 2:
            continue
        line, _ = evenly(hose.centre_line_px[at[0] : at[-1] + 1])
        if len(line) < _LEAST_WIDTHS * 2 * hose.radius_px:
            continue
        way = np.arange(len(line)) / hose.radius_px
        normal = np.stack([-np.gradient(line[:, 1]), np.gradient(line[:, 0])], axis=1)
        normal /= np.maximum(np.hypot(*normal.T)[:, None], 1e-9)
        off = rng.normal() * 0.05 + 0.06 * rng.random() * np.sin(way / rng.uniform(2, 12) + rng.uniform(0, 6))
        line = line + (off * hose.radius_px)[:, None] * normal
        course = Course(line, np.full(len(line), hose.radius_px * rng.uniform(0.94, 1.06)))
        strip, coded = coded_strip(photo.pixels, course, ROWS, REACH)
        told = strip.of(classes, cv2.INTER_NEAREST)
        yield np.round(coded).astype(np.uint8), told.astype(np.uint8), COVERS.index(hose.cover)


def drawn_strips(seed: int) -> list[tuple[np.ndarray, np.ndarray, int]]:
    """Strips of one drawn photo; every fifth one without wear."""
    cv2.setNumThreads(1)
    case = hose_case(seed, "clean" if seed % 5 == 0 else "fair")
    return list(strips_of(read_photo(case.photo_bytes), case.truth, np.random.default_rng([seed, 5])))


def traced_strips(path: Path) -> list[tuple[np.ndarray, np.ndarray, int]]:
    """Strips of one traced photo."""
    cv2.setNumThreads(1)
    truth, _, _ = traced_hoses(path)
    return list(
        strips_of(read_photo(path.read_bytes()), truth, np.random.default_rng([sum(path.name.encode()), 6]))
    )


def main(argv: Sequence[str] | None = None) -> int:
    """Write the strips."""
    parser = argparse.ArgumentParser(prog="python -m tests.training.hose_strips", description=__doc__)
    parser.add_argument("--first", type=int, default=300_000)
    parser.add_argument("--n", type=int, default=100)
    parser.add_argument("--photos", type=Path)
    parser.add_argument("--processes", type=int, default=os.cpu_count() or 1)
    parser.add_argument("--out", type=Path, required=True, help="NPZ file")
    asked = parser.parse_args(argv)
    with ProcessPoolExecutor(asked.processes) as pool:
        if asked.photos is not None:
            found = list(pool.map(traced_strips, find_hoses(asked.photos)))
        else:
            found = list(pool.map(drawn_strips, range(asked.first, asked.first + asked.n), chunksize=4))
    save(asked.out, [one for some in found for one in some])
    return 0


def save(path: Path, strips: Sequence[tuple[np.ndarray, np.ndarray, int]]) -> None:
    """All strips in one file, end to end."""
    ends = np.cumsum([0, *(one[0].shape[1] for one in strips)])
    np.savez_compressed(
        path,
        coded=np.concatenate([one[0] for one in strips], axis=1),
        classes=np.concatenate([one[1] for one in strips], axis=1),
        ends=ends,
        covers=np.array([one[2] for one in strips]),
    )
    print(f"{len(strips)} strips, {ends[-1]} columns, {path.stat().st_size / 1e6:.1f} MB")


if __name__ == "__main__":
    raise SystemExit(main())
