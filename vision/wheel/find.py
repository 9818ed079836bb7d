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
FEWEST = 60
MOST_VOTERS = 4500
FEW_POINTS = 2500
SMALLEST, LARGEST = 0.05, 0.6  # radii looked for, of the picture's long side
ALIGNED = 0.96  # cosine between an edge's normal and the radius
MIN_SHARE = 0.28  # of a ring's course that must be seen
CELL = 2  # px of the reduced picture, of a vote for a centre
RADIUS_STEP = 4.0  # px, of the radii that an edge votes from: less than the votes are blurred
CENTRES = 2
ROUNDS = 3
MOST_FLAT = 0.5  # how much longer than wide a ring may look, as a share
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
    """Places (2, N) px and unit normals (2, N), in single precision: they are votes, not measurements."""

    at: NDArray[np.float32]
    normal: NDArray[np.float32]

    @property
    def count(self) -> int:
        return int(self.at.shape[1])

    def every(self, step: int) -> "_Edges":
        return _Edges(*(np.ascontiguousarray(part[:, ::step]) for part in (self.at, self.normal)))

    def where(self, keep: NDArray[np.bool_]) -> "_Edges":
        return _Edges(self.at[:, keep], self.normal[:, keep])

    def about(
        self, centre: Array, shape: Array
    ) -> tuple[NDArray[np.float32], NDArray[np.float32], NDArray[np.float32]]:
        """Squared radius (N,), where the ellipses of a shape about a centre are circles, and two products.

        The products are of radius and normal and of the normal with itself, the normal of any length.
        """
        # Written out: this is asked for a hundred times for each centre.
        a, b, c, d = (np.float32(v) for v in shape.ravel())
        x, y = (part - np.float32(middle) for part, middle in zip(self.at, centre, strict=True))
        x, y = a * x + b * y, c * x + d * y
        u, v = self.normal
        u, v = d * u - c * v, a * v - b * u
        return x * x + y * y, x * u + y * v, u * u + v * v


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
    if edges.count < FEWEST:
        return
    voters = edges.every(-(-edges.count // MOST_VOTERS))
    votes = _votes(voters, small.shape[1], small.shape[0])
    for _ in range(ROUNDS):
        if edges.count < FEWEST:
            return
        fresh: list[Ring] = []
        for centre in _centres(votes, max(small.shape)):
            fresh += _rings_about(edges, centre, max(small.shape))
        if not fresh:
            return
        edges = edges.where(_off(edges, fresh))
        left = _off(voters, fresh)
        votes -= _votes(voters.where(~left), small.shape[1], small.shape[0])
        voters = voters.where(left)
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


def _off(edges: _Edges, rings: list[Ring]) -> NDArray[np.bool_]:
    """Which edges lie on none of the rings."""
    keep = np.ones(edges.count, np.bool_)
    for ring in rings:
        r = np.sqrt(edges.about(ring.centre, ring.shape)[0])
        keep &= np.abs(r - ring.radius) > max(0.015 * ring.radius, 2.0)
    return keep


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
    if len(x) > MOST_POINTS:
        # Drawn by a fixed seed: the same photo gives the same answer.
        keep = np.sort(np.random.default_rng(0).choice(len(x), MOST_POINTS, replace=False))
        x, y = x[keep], y[keep]
    normal = np.array([gx[y, x], gy[y, x]], np.float32)
    normal /= np.maximum(np.hypot(*normal), np.float32(1e-9))
    return _Edges(np.array([x, y], np.float32), normal)


def _votes(edges: _Edges, width: int, height: int) -> Array:
    """How many edges point at each cell of the picture; a whole circle counts the same at every radius."""
    long = max(width, height)
    columns, rows = width // CELL + 1, height // CELL + 1
    # In cells.  The farthest votes of an edge fall beside the picture: on a margin, which is cut off.
    radii = np.arange(SMALLEST * long, LARGEST * long, RADIUS_STEP).astype(np.float32) / CELL
    margin = int(radii[-1]) + 2
    wide, high = columns + 2 * margin, rows + 2 * margin
    x, y = edges.at / CELL + np.float32(margin + 0.5)
    nx, ny = edges.normal
    total = np.zeros(wide * high)
    # By blocks that fit a processor's cache.
    block = max(1, 60_000 // max(len(x), 1))
    signed = np.concatenate([-radii, radii])
    for k in range(0, len(signed), block):
        r = signed[k : k + block, None]
        cell = (y + r * ny).astype(np.int32) * np.int32(wide) + (x + r * nx).astype(np.int32)
        weight = np.broadcast_to(1 / np.abs(r), cell.shape)
        total += np.bincount(cell.ravel(), weight.ravel(), wide * high)
    return np.ascontiguousarray(total.reshape(high, wide)[margin : margin + rows, margin : margin + columns])


def _centres(votes: Array, long: int) -> list[Array]:
    """Places where the normals of many edges meet, best first."""
    soft = cv2.GaussianBlur(votes, (0, 0), 0.008 * long / CELL)
    out: list[Array] = []
    apart = round(0.06 * long / CELL)
    first = 0.0
    for _ in range(CENTRES):
        y, x = np.unravel_index(int(np.argmax(soft)), soft.shape)
        if out and soft[y, x] < 0.35 * first:
            break
        first = float(soft[y, x]) if not out else first
        out.append(np.array([x, y], float) * CELL)
        soft[max(y - apart, 0) : y + apart + 1, max(x - apart, 0) : x + apart + 1] = 0
    return out


def _shape(flat: Array) -> Array:
    """Matrix that stretches by |flat|, 1 / cos(tilt) − 1, along half the angle of `flat` (2,).

    With twice the angle flattenings add up like vectors.
    """
    u, v = float(flat[0]) / 2, float(flat[1]) / 2
    mean = 1 + float(np.hypot(u, v))
    return np.array([[mean + u, v], [v, mean - u]])


def _shares(edges: _Edges, centre: Array, shape: Array, long: float) -> Array:
    """Share of each ring's course that shows aligned edges, over bins of ln(radius)."""
    rr, along, normal = edges.about(centre, shape)
    # Squares: nothing here needs a root but the weights of those that are aligned.
    good = np.flatnonzero((along * along > ALIGNED**2 * (rr * normal)) & (rr > (SMALLEST * long) ** 2))
    bins = int(np.log(LARGEST * 1.3 / SMALLEST) / _BIN) + 1
    rr = rr[good]
    place = np.log(rr) * np.float32(0.5 / _BIN) - np.float32(np.log(SMALLEST * long) / _BIN)
    low = np.clip(place.astype(np.int32), 0, bins)
    weight = 1 / np.sqrt(rr)
    upper = weight * (place - low)
    # What lies beyond the last bin is counted in two more, which are cut off.
    count = np.bincount(low, weight - upper, bins + 2) + np.bincount(low + 1, upper, bins + 2)
    return np.asarray(count[:bins] / (2 * np.pi))


def _score(shares: Array) -> float:
    return float(np.sum(np.minimum(shares, 1.0) ** 2))


def _rings_about(edges: _Edges, centre: Array, long: float) -> list[Ring]:
    few = edges.every(-(-edges.count // FEW_POINTS))
    turns = np.arange(6) * np.pi / 3
    ways = np.column_stack([np.cos(turns), np.sin(turns)])
    flats = [np.zeros(2)] + [k * way for k in (0.02, 0.06, 0.13, 0.22) for way in ways]
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
        # A quarter turn is the opposite way: six ways are all that there are.
        for way in ways:
            bent = flat + bend * way
            if np.hypot(*bent) > MOST_FLAT:
                continue
            score = _score(_shares(few, at, _shape(bent), long))
            if score > best:
                best, flat = score, bent
        step, bend = 0.65 * step, 0.65 * bend
    shares = _shares(edges, at, _shape(flat), long)
    return _peaks(edges, at, _shape(flat), shares, long)


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
        rr, along, normal = edges.about(near.centre, near.shape)
        band = max(reach * near.radius, 1.2)
        on = np.abs(np.sqrt(rr) - near.radius) < band
        on &= along * along > 0.9**2 * rr * normal
        if on.sum() < 20:
            return None
        # Offset, flattening and radius as small corrections of the circle that it should be.
        a, r = _polar(edges, near, on)
        columns = np.column_stack([np.ones(len(a)), np.cos(a), np.sin(a), np.cos(2 * a), np.sin(2 * a)])
        off = r - near.radius
        weight = 1 / (1 + (off / (0.5 * band)) ** 2)
        ridge = np.diag([1e-9, 1e-9, 1e-9, 2.0, 2.0])
        # Short arcs cannot tell flattening from offset: the common shape holds them.
        fit = np.linalg.solve(columns.T @ (weight[:, None] * columns) + ridge, columns.T @ (weight * off))
        back = np.linalg.inv(near.shape)
        e = fit[3:] / near.radius
        bent = np.array([[1 - e[0], -e[1]], [-e[1], 1 + e[0]]])
        near = Ring(near.centre + back @ fit[1:3], bent @ near.shape, near.radius + float(fit[0]), 0.0)
    r = np.sqrt(edges.about(near.centre, near.shape)[0])
    a, _ = _polar(edges, near, np.abs(r - near.radius) < max(0.012 * near.radius, 1.2))
    turn = np.floor((a + np.pi) / (2 * np.pi) * 90).astype(int) % 90
    share = len(np.unique(turn)) / 90
    return Ring(near.centre, near.shape, near.radius, share)


def _polar(edges: _Edges, ring: Ring, on: NDArray[np.bool_]) -> tuple[Array, Array]:
    """Angle (rad) and radius (N,) of some of the edges, where the ring is a circle."""
    x, y = ring.shape @ (edges.at[:, on] - ring.centre[:, None])
    return np.arctan2(y, x), np.hypot(x, y)


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
