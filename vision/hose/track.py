"""Followed from a firm place both ways: a course goes on straight through what hides it for a while."""

import numpy as np
from numpy.typing import NDArray

from vision.hose.course import Array, evenly
from vision.hose.pairs import DIRECTIONS, Pairs

_SEED, _GOES_ON, _LEAST_MEAN = 75, 45, 55
_GAP_WIDTHS = 4.0
_MOST_TRACKS = 60
_OFFSETS = np.arange(-2, 3)
_TURNS = np.arange(-1, 2)


def tracks(pairs: Pairs) -> list[tuple[Array, float, float]]:
    """Return courses: points (N, 2) one px apart, width in px, mean score (100 is firm)."""
    score = pairs.score
    top = score.max(axis=0)
    seen = np.zeros((DIRECTIONS, (top.shape[0] >> 2) + 1, (top.shape[1] >> 2) + 1), bool)
    rows, columns = np.nonzero(top[2:-2:4, 2:-2:4] >= _SEED)
    rows, columns = rows * 4 + 2, columns * 4 + 2
    order = np.argsort(-top[rows, columns].astype(int), kind="stable")
    found: list[tuple[Array, float, float]] = []
    tried = 0
    for k in order:
        y, x = int(rows[k]), int(columns[k])
        direction = int(np.argmax(score[:, y, x]))
        if seen[direction, y >> 2, x >> 2]:
            continue
        tried += 1
        if tried > 6 * _MOST_TRACKS or len(found) == _MOST_TRACKS:
            break
        line, width, mean = both_ways(pairs, x, y, direction)
        _mark(seen, line, width)
        if len(line) < 4 * width:
            continue
        if mean >= _LEAST_MEAN:
            found.append((line, width, mean))
    return found


def both_ways(pairs: Pairs, x: int, y: int, direction: int) -> tuple[Array, float, float]:
    """Return the course through a place: points (N, 2) one px apart, width in px, mean score."""
    width = float(pairs.widths[pairs.which[direction, y, x]])
    angle = np.pi * direction / DIRECTIONS
    ahead, scores_a = _follow(pairs, x, y, angle, width)
    back, scores_b = _follow(pairs, x, y, angle + np.pi, width)
    points = np.array([*back[::-1], (x, y), *ahead], dtype=np.float64)
    line = evenly(points)[0] if len(points) > 1 else points
    return line, width, float(np.mean([*scores_a, *scores_b, pairs.score[direction, y, x]]))


def _follow(
    pairs: Pairs, x: float, y: float, angle: float, width: float
) -> tuple[list[tuple[float, float]], list[float]]:
    score, widths = pairs.score, pairs.widths
    height, wide = score.shape[1:]
    step = max(3.0, 0.4 * width)
    points: list[tuple[float, float]] = []
    scores: list[float] = []
    firm = 0
    for _ in range(int(3 * (height + wide) / step)):
        x0, y0 = x + step * np.cos(angle), y + step * np.sin(angle)
        xs = np.rint(x0 - _OFFSETS * np.sin(angle)).astype(int)
        ys = np.rint(y0 + _OFFSETS * np.cos(angle)).astype(int)
        if xs.min() < 0 or ys.min() < 0 or xs.max() >= wide or ys.max() >= height:
            break
        bins = (round(angle * DIRECTIONS / np.pi) + _TURNS) % DIRECTIONS
        value = score[bins[:, None], ys, xs].astype(np.float64)
        off = np.abs(np.log(widths[pairs.which[bins[:, None], ys, xs]] / width))
        value = (
            np.where(off > 0.28, 0.4 * value, value)
            - 4 * np.abs(_OFFSETS)[None]
            - 4 * np.abs(_TURNS)[:, None]
        )
        turn, aside = np.unravel_index(int(np.argmax(value)), value.shape)
        best = float(value[turn, aside])
        if best >= _GOES_ON:
            x, y = float(xs[aside]), float(ys[aside])
            if points:
                # Between the bins: the way that was gone, over some steps.
                px, py = points[-min(len(points), 4)]
                gone = np.arctan2(y - py, x - px)
                bin_angle = angle + _TURNS[turn] * np.pi / DIRECTIONS
                angle = float(np.angle(2 * np.exp(1j * gone) + np.exp(1j * bin_angle)))
        else:
            x, y = x0, y0
        points.append((x, y))
        scores.append(max(best, 0.0))
        if best >= _GOES_ON:
            firm = len(points)
        elif (len(points) - firm) * step > _GAP_WIDTHS * width:
            break
    return points[:firm], scores[:firm]


def _mark(seen: NDArray[np.bool_], points: Array, width: float) -> None:
    """Places near a course, about along it, start no other."""
    line, _ = evenly(points, 2.0)
    way = np.gradient(line, axis=0) if len(line) > 1 else np.array([[1.0, 0.0]] * len(line))
    bins = np.rint(np.arctan2(way[:, 1], way[:, 0]) * DIRECTIONS / np.pi).astype(int)
    x, y = (line[:, 0] / 4).astype(int), (line[:, 1] / 4).astype(int)
    reach = max(1, int(width / 8))
    for dx in range(-reach, reach + 1):
        for dy in range(-reach, reach + 1):
            for turn in (-1, 0, 1):
                seen[
                    (bins + turn) % DIRECTIONS,
                    (y + dy).clip(0, seen.shape[1] - 1),
                    (x + dx).clip(0, seen.shape[2] - 1),
                ] = True
