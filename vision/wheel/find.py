"""Rings of a wheel found without a tap: concentric courses of edges, on a reduced picture.

Edges of concentric circles point at their common centre.  Votes along the edges' normals give
candidates of the centre; about each, the flattening of the circles is the one under which the
edges gather at the sharpest set of radii.  What is found are candidates only: which of
the rings is the flange is decided by what lies about it.
"""

from collections.abc import Iterator
from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray

from vision.photo import Photo

Array = NDArray[np.float64]

LONG_SIDE = 640  # of the reduced picture
MOST_POINTS = 9000
FEW_POINTS = 3500
SMALLEST, LARGEST = 0.05, 0.6  # radii looked for, of the picture's long side
ALIGNED = 0.96  # cosine between an edge's normal and the radius
MIN_SHARE = 0.28  # of a ring's course that must be seen
CENTRES = 2
ROUNDS = 3
CROWDED = 0.17  # share of pixels that are edges, within 10 px
STANDS_OUT = 1.3  # times the mean height of the edges about
SHORTEST_RUN = 12  # px, width plus height of a run of edges
_BIN = 0.012  # of ln(radius)


@dataclass(frozen=True)
class Ring:
    """A closed course of edges: an ellipse in the photo's pixels.

    Attributes
    ----------
    centre : (2,) array
        px.
    shape : (2, 2) array
        Takes offsets from the centre (px) to a circle of radius `radius`.
    radius : float
        px, of the ellipse's long half axis.
    share : float, 0 to 1
        Part of its course on which edges were seen.
    """

    centre: Array
    shape: Array
    radius: float
    share: float

    def points(self, count: int = 24) -> Array:
        """Return points (count, 2) px on the course."""
        a = np.linspace(0, 2 * np.pi, count, endpoint=False)
        circle = self.radius * np.column_stack([np.cos(a), np.sin(a)])
        return np.asarray(self.centre + circle @ np.linalg.inv(self.shape).T)


@dataclass(frozen=True)
class _Edges:
    at: Array
    normal: Array

    def every(self, step: int) -> "_Edges":
        return _Edges(self.at[::step], self.normal[::step])


def find_rings(photo: Photo, among_others: bool = False) -> Iterator[list[Ring]]:
    """Give the rings of a photo in rounds, best seen first in each; whoever has found his stops asking.

    Circles at other depths have centres of their own, which stronger rings outvote: each round
    looks without the edges of the rings before it.  Pixels are those of the whole photo.
    `among_others`: a wheel of many holes, or a dusty tire, is itself full of edges as gravel is; then
    those count there that stand out from the others about them.
    """
    height, width = photo.pixels.shape[:2]
    factor = max(1, round(max(height, width) / LONG_SIDE))
    small = photo.reduced(factor)
    edges = _edges(small, among_others)
    for _ in range(ROUNDS):
        if len(edges.at) < 60:
            return
        fresh: list[Ring] = []
        for centre in _centres(edges, small.shape[1], small.shape[0]):
            fresh += _rings_about(edges, centre, max(small.shape))
        if not fresh:
            return
        edges = _without(edges, fresh)
        whole = [
            Ring(ring.centre * factor + (factor - 1) / 2, ring.shape, ring.radius * factor, ring.share)
            for ring in fresh
        ]
        yield sorted(_distinct(whole), key=lambda ring: -ring.share)


def _without_texture(
    lines: NDArray[np.uint8], size: NDArray[np.float32], among_others: bool
) -> NDArray[np.uint8]:
    """Edges that run on for a while, in places that are not full of edges as gravel and grass are.

    `among_others` keeps, in places full of edges, those that are stronger than the others there.
    """
    drawn = (lines > 0).astype(np.float32)
    crowd = cv2.boxFilter(drawn, -1, (21, 21))
    clear = crowd < CROWDED
    if among_others:
        usual = cv2.boxFilter(drawn * size, -1, (21, 21)) / np.maximum(crowd, 1e-6)
        clear |= size > STANDS_OUT * usual
    kept = np.where(clear, lines, 0).astype(np.uint8)
    count, labels, stats, _ = cv2.connectedComponentsWithStats(kept, connectivity=8)
    del count
    long = stats[:, cv2.CC_STAT_WIDTH] + stats[:, cv2.CC_STAT_HEIGHT] >= SHORTEST_RUN
    long[0] = False
    return np.where(long[labels], kept, 0).astype(np.uint8)


def _without(edges: _Edges, rings: list[Ring]) -> _Edges:
    keep = np.ones(len(edges.at), np.bool_)
    for ring in rings:
        r = np.linalg.norm((edges.at - ring.centre) @ ring.shape.T, axis=1)
        keep &= np.abs(r - ring.radius) > max(0.015 * ring.radius, 2.0)
    return _Edges(edges.at[keep], edges.normal[keep])


def _edges(grey: NDArray[np.uint8], among_others: bool) -> _Edges:
    soft = cv2.GaussianBlur(grey, (0, 0), 1.0)
    gx, gy = (cv2.Sobel(soft, cv2.CV_16S, *d, ksize=3) for d in ((1, 0), (0, 1)))
    size = np.hypot(gx.astype(np.float32), gy.astype(np.float32))
    high = max(float(np.quantile(size, 0.93)), 24.0)
    lines = cv2.Canny(
        np.asarray(gx, np.int16), np.asarray(gy, np.int16), 0.35 * high, 0.7 * high, L2gradient=True
    )
    lines = _without_texture(np.asarray(lines, np.uint8), size, among_others)
    y, x = np.nonzero(lines)
    n = np.column_stack([gx[y, x], gy[y, x]]).astype(float)
    n /= np.maximum(np.linalg.norm(n, axis=1, keepdims=True), 1e-9)
    at = np.column_stack([x, y]).astype(float)
    if len(at) > MOST_POINTS:
        # Drawn by a fixed seed: the same photo gives the same answer.
        keep = np.sort(np.random.default_rng(0).choice(len(at), MOST_POINTS, replace=False))
        at, n = at[keep], n[keep]
    return _Edges(at, n)


def _centres(edges: _Edges, width: int, height: int) -> list[Array]:
    """Places where the normals of many edges meet, best first."""
    cell = 2
    long = max(width, height)
    radii = np.arange(SMALLEST * long, LARGEST * long, cell)
    columns, rows = width // cell + 1, height // cell + 1
    total = np.zeros(rows * columns)
    for side in (-1.0, 1.0):
        p = (edges.at[:, None, :] + side * radii[None, :, None] * edges.normal[:, None, :]) / cell
        i, j = np.round(p[..., 0]).astype(int), np.round(p[..., 1]).astype(int)
        inside = (i >= 0) & (i < columns) & (j >= 0) & (j < rows)
        # A whole circle counts the same at every radius.
        weight = np.broadcast_to(1 / radii, inside.shape)[inside]
        total += np.bincount((j * columns + i)[inside], weight, rows * columns)
    votes = cv2.GaussianBlur(total.reshape(rows, columns), (0, 0), 0.008 * long / cell)
    out: list[Array] = []
    apart = round(0.06 * long / cell)
    first = 0.0
    for _ in range(CENTRES):
        y, x = np.unravel_index(int(np.argmax(votes)), votes.shape)
        if out and votes[y, x] < 0.35 * first:
            break
        first = float(votes[y, x]) if not out else first
        out.append(np.array([x, y], float) * cell)
        votes[max(y - apart, 0) : y + apart + 1, max(x - apart, 0) : x + apart + 1] = 0
    return out


def _shape(flat: Array) -> Array:
    """Matrix that stretches along the direction of `flat` (2,), of length 1 / cos(tilt) − 1."""
    size = float(np.linalg.norm(flat))
    if size < 1e-9:
        return np.eye(2)
    e = flat / size
    return np.asarray(np.eye(2) + size * np.outer(e, e))


def _shares(edges: _Edges, centre: Array, shape: Array, long: float) -> Array:
    """Share of each ring's course that shows aligned edges, over bins of ln(radius)."""
    p = (edges.at - centre) @ shape.T
    n = edges.normal @ np.linalg.inv(shape)
    r = np.sqrt(np.einsum("ij,ij->i", p, p))
    along = np.abs(np.einsum("ij,ij->i", p, n)) / np.maximum(r * np.sqrt(np.einsum("ij,ij->i", n, n)), 1e-9)
    good = (along > ALIGNED) & (r > SMALLEST * long)
    bins = int(np.log(LARGEST * 1.3 / SMALLEST) / _BIN) + 1
    place = np.log(np.maximum(r[good], 1e-9) / (SMALLEST * long)) / _BIN
    low = np.floor(place).astype(int)
    part = place - low
    inside = (low >= 0) & (low < bins - 1)
    weight = 1 / r[good][inside]
    low, part = low[inside], part[inside]
    count = np.bincount(low, weight * (1 - part), bins) + np.bincount(low + 1, weight * part, bins)
    return np.asarray(count / (2 * np.pi))


def _score(shares: Array) -> float:
    return float(np.sum(np.minimum(shares, 1.0) ** 2))


def _rings_about(edges: _Edges, centre: Array, long: float) -> list[Ring]:
    few = edges.every(max(1, len(edges.at) // FEW_POINTS))
    angles = np.arange(6) * np.pi / 6
    flats = [np.zeros(2)] + [
        k * np.array([np.cos(a), np.sin(a)]) for k in (0.02, 0.06, 0.13, 0.22) for a in angles
    ]
    best = -1.0
    at: Array = centre
    flat: Array = flats[0]
    for one in flats:
        score = _score(_shares(few, centre, _shape(one), long))
        if score > best:
            best, flat = score, one
    # By turns: the centre, then the flattening, in steps that shrink.
    step, bend = 0.012 * long, 0.04
    for _ in range(7):
        for dx, dy in ((1, 0), (-1, 0), (0, 1), (0, -1), (1, 1), (1, -1), (-1, 1), (-1, -1)):
            there = at + step * np.array([dx, dy])
            score = _score(_shares(few, there, _shape(flat), long))
            if score > best:
                best, at = score, there
        for a in angles:
            for sign in (1, -1):
                bent = _added(flat, sign * bend, a)
                if bent is None:
                    continue
                score = _score(_shares(few, at, _shape(bent), long))
                if score > best:
                    best, flat = score, bent
        step, bend = 0.65 * step, 0.65 * bend
    shares = _shares(edges, at, _shape(flat), long)
    return _peaks(edges, at, _shape(flat), shares, long)


def _added(flat: Array, bend: float, angle: float) -> Array | None:
    """Flattening plus another one along an angle, as symmetric matrices; None where it stretches backward."""
    total = _shape(flat) - np.eye(2) + bend * np.outer(*2 * [np.array([np.cos(angle), np.sin(angle)])])
    values, vectors = np.linalg.eigh(total)
    size = float(values[1] - values[0])
    if size > 0.5:
        return None
    return np.asarray(size * vectors[:, 1])


def _peaks(edges: _Edges, centre: Array, shape: Array, shares: Array, long: float) -> list[Ring]:
    """Each peak of the shares as a ring of its own: circles at other depths are a little displaced."""
    wide = np.convolve(shares, [0.5, 1, 1, 1, 0.5], "same")
    out = []
    for k in range(1, len(wide) - 1):
        if wide[k] < MIN_SHARE * 0.8 or wide[k] < wide[k - 1] or wide[k] <= wide[k + 1]:
            continue
        ring = _own(edges, Ring(centre, shape, SMALLEST * long * float(np.exp(k * _BIN)), 0.0))
        if ring is not None and ring.share >= MIN_SHARE:
            out.append(ring)
    return out


def _own(edges: _Edges, ring: Ring) -> Ring | None:
    """Fit a ring's own ellipse to the edges near its course, robustly; None where there are too few."""
    near = ring
    for reach in (0.05, 0.03, 0.02, 0.015):
        p = (edges.at - near.centre) @ near.shape.T
        n = edges.normal @ np.linalg.inv(near.shape)
        r = np.linalg.norm(p, axis=1)
        along = np.abs(np.sum(p * n, axis=1)) / np.maximum(r * np.linalg.norm(n, axis=1), 1e-9)
        band = max(reach * near.radius, 1.2)
        on = (np.abs(r - near.radius) < band) & (along > 0.9)
        if on.sum() < 20:
            return None
        # Offset, flattening and radius as small corrections of the circle that it should be.
        a = np.arctan2(p[on, 1], p[on, 0])
        columns = np.column_stack([np.ones(on.sum()), np.cos(a), np.sin(a), np.cos(2 * a), np.sin(2 * a)])
        off = r[on] - near.radius
        weight = 1 / (1 + (off / (0.5 * band)) ** 2)
        ridge = np.diag([1e-9, 1e-9, 1e-9, 2.0, 2.0])
        # Short arcs cannot tell flattening from offset: the common shape holds them.
        fit = np.linalg.solve(columns.T @ (weight[:, None] * columns) + ridge, columns.T @ (weight * off))
        back = np.linalg.inv(near.shape)
        e = fit[3:] / near.radius
        bent = np.array([[1 - e[0], -e[1]], [-e[1], 1 + e[0]]])
        near = Ring(near.centre + back @ fit[1:3], bent @ near.shape, near.radius + float(fit[0]), 0.0)
    p = (edges.at - near.centre) @ near.shape.T
    r = np.linalg.norm(p, axis=1)
    on = np.abs(r - near.radius) < max(0.012 * near.radius, 1.2)
    turn = np.floor((np.arctan2(p[on, 1], p[on, 0]) + np.pi) / (2 * np.pi) * 90).astype(int) % 90
    share = len(np.unique(turn)) / 90
    return Ring(near.centre, near.shape, near.radius, share)


def _distinct(rings: list[Ring]) -> list[Ring]:
    out: list[Ring] = []
    for ring in sorted(rings, key=lambda ring: -ring.share):
        alike = [
            abs(ring.radius / other.radius - 1) < 0.02
            and float(np.linalg.norm(ring.centre - other.centre)) < 0.03 * ring.radius
            for other in out
        ]
        if not any(alike):
            out.append(ring)
    return out
