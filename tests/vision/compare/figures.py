"""Figures of comparing views: ``python -m tests.vision.compare.figures --pairs 60 --seed 1000``.

Pairs are of the scenes of `scenes.py`: three pieces in space, a camera moved by up to
30 mm and turned by up to 10°, another light; every other pair has three seeded changes of 12 to 30 px.
"""

import argparse
import sys
from dataclasses import dataclass, field

import cv2
import numpy as np

from tests.vision.compare.scenes import (
    Light,
    Piece,
    Pose,
    Taken,
    drawn_pieces,
    other_light,
    retake,
    seeded,
    take,
)
from vision.compare import Answer, Compared, compare_views
from vision.compare.view import moved

SIZE = (1600, 1200)
_SAMPLED = 2000
_HALF_WINDOW = 8


@dataclass
class Pair:
    """What one pair gave."""

    seed: int
    answer: Answer
    changed: bool
    residuals: list[float] = field(default_factory=list)
    found: int = 0
    seen: int = 0
    false: int = 0
    share: float = 0.0


def measured_pair(seed: int, changed: bool, size: tuple[int, int] = SIZE) -> Pair:
    """Take two photos, compare them, and hold the answer against what is known."""
    rng = np.random.default_rng(seed)
    pieces = drawn_pieces(rng)
    before = take(pieces, Pose(), Light(), size, rng)
    # The marks are drawn at `SIZE` pixels on the photo, whatever its own size.
    marks = [seeded(rng, piece, k, rng.uniform(12, 30), size) for k, piece in enumerate(pieces)]
    after = take(pieces, retake(rng), other_light(rng), size, rng, marks if changed else None)
    compared = compare_views(before.photo, after.photo)
    pair = Pair(seed, compared.answer, changed, share=compared.share)
    if compared.aligned is not None:
        pair.residuals = residuals(pieces, before, after, compared, rng)
        _judge(pair, after, compared)
    return pair


def residuals(
    pieces: list[Piece], before: Taken, after: Taken, compared: Compared, rng: np.random.Generator
) -> list[float]:
    """The median distance of found from true places on each piece, px of the photo."""
    aligned = compared.aligned
    assert aligned is not None
    by, factor = aligned.explained, aligned.now.factor
    found = []
    for index in range(len(pieces)):
        true = np.linalg.inv(after.maps[index] @ np.linalg.inv(before.maps[index]))
        owner = after.owner[factor // 2 :: factor, factor // 2 :: factor][
            : by.surface.shape[0], : by.surface.shape[1]
        ]
        y, x = np.nonzero((owner == index) & by.compared)
        if len(x) < _SAMPLED:
            continue
        chosen = rng.choice(len(x), _SAMPLED)
        points = np.stack([x[chosen], y[chosen]], axis=1).astype(float)
        labels = by.surface[y[chosen], x[chosen]]
        there = np.empty_like(points)
        for k, surface in enumerate(aligned.surfaces):
            there[labels == k] = moved(np.linalg.inv(surface.matrix), points[labels == k])
        off = moved(aligned.earlier.to_photo, there) - moved(true, moved(aligned.now.to_photo, points))
        found.append(float(np.median(np.linalg.norm(off, axis=1))))
    return found


def _judge(pair: Pair, after: Taken, compared: Compared) -> None:
    shape = after.owner.shape
    drawn = np.zeros(shape, np.uint8)
    any_mark = np.zeros(shape, bool)
    for mark in after.changed:
        any_mark |= mark
    side = 2 * _HALF_WINDOW + 1
    near = cv2.dilate(any_mark.astype(np.uint8), np.ones((side, side), np.uint8)) > 0
    for change in compared.changes:
        one = np.zeros(shape, np.uint8)
        cv2.fillPoly(one, [change.outline.round().astype(np.int32)], 1)
        pair.false += not (near & (one > 0)).any()
        drawn |= one
    # What left the frame or hides behind a nearer piece is in no photo.
    whole = [mark for mark in after.changed if mark.sum() >= 30]
    pair.seen = len(whole)
    pair.found = sum(bool((mark & (drawn > 0)).any()) for mark in whole)


def summary(pairs: list[Pair]) -> str:
    """A line for each figure."""
    off = [one for pair in pairs for one in pair.residuals]
    still = [pair for pair in pairs if not pair.changed]
    moved_ = [pair for pair in pairs if pair.changed]
    flagged = [pair for pair in still if pair.answer is Answer.CHANGED]
    none = [pair for pair in pairs if pair.answer is Answer.NOT_COMPARABLE]
    seen, found = sum(p.seen for p in moved_), sum(p.found for p in moved_)
    return "\n".join(
        [
            f"pairs {len(pairs)}, not comparable {len(none)} (seeds {[p.seed for p in none]})",
            f"residual per surface, median px: median {np.median(off):.2f}, 95th {np.percentile(off, 95):.2f}, "
            f"largest {max(off):.2f}, at most 1 px in {np.mean(np.array(off) <= 1):.1%} of {len(off)}",
            f"seeded changes found {found} of {seen} ({found / max(seen, 1):.3f})",
            f"unchanged pairs flagged {len(flagged)} of {len(still)} (seeds {[p.seed for p in flagged]})",
            f"false places beside seeded ones {sum(p.false for p in moved_)} in {len(moved_)} pairs",
            f"share compared, median {np.median([p.share for p in pairs]):.2f}",
        ]
    )


def main() -> int:
    parser = argparse.ArgumentParser(prog="python -m tests.vision.compare.figures", description=__doc__)
    parser.add_argument("--pairs", type=int, default=60)
    parser.add_argument("--seed", type=int, default=1000)
    parser.add_argument("--factor", type=float, default=1.0, help="times the size of 1600 × 1200 px")
    options = parser.parse_args()
    size = (round(SIZE[0] * options.factor), round(SIZE[1] * options.factor))
    pairs = []
    for seed in range(options.seed, options.seed + options.pairs):
        pairs.append(measured_pair(seed, changed=seed % 2 == 1, size=size))
        print(pairs[-1], file=sys.stderr, flush=True)
    print(summary(pairs))
    return 0


if __name__ == "__main__":
    raise SystemExit(main())
