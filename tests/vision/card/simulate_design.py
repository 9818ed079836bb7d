"""How well each layout of a strip tells pitch and length: covariance, and the bias of tag corners.

Run ``python -m tests.vision.card.simulate_design`` from the repository's root.

The card hangs 1 m from a camera of f = 3000 px and leans 5°.  Every point has
0.05 px of noise in x and in y; tag corners are besides drawn 0.1 px toward
their tag's middle, as corner detectors do.  Pitch (about the card's horizontal
axis) comes from a pose of six parameters, the length of 160 mm down the card's
middle from a homography of eight.  Figures of this model, none from a photo::

    layout                          points  pitch sd  pitch bias  length sd  length bias
                                               (deg)       (deg)       (mm)         (mm)
    1 tag                                4     1.098       0.009     0.1912       0.5408
    5 tags                              20     0.049      -0.042     0.0084       0.0052
    8 tags                              32     0.050      -0.064     0.0064       0.0049
    two columns of dots, 9 mm apart     48     0.037       0.000     0.0062       0.0000
    two checkers of 5 mm squares        84     0.029       0.000     0.0048       0.0000
    two checkers of 7 mm squares        60     0.036       0.000     0.0057       0.0000
    one field of 7 mm squares          120     0.026       0.000     0.0040       0.0000
    the strip: two checkers of 4.5 mm   94     0.027       0.000     0.0045       0.0000
    the plate                          102     0.030       0.000     0.0067       0.0000

So a single tag cannot carry the scale, many tags leave a bias of the size of their
scatter, which no averaging removes, and saddles have none.  Smaller squares win by
their number; 4.5 mm is what leaves room for tags of 14 mm between the columns.
"""

from collections.abc import Callable
from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray

from vision.card.parts import Checker
from vision.card.supplied import supplied_card

Array = NDArray[np.float64]

FOCAL_PX = 3000.0
DISTANCE_MM = 1000.0
PITCH_DEG = 5.0
NOISE_PX = 0.05
INWARD_PX = 0.1
SPAN_MM = 160.0
SIZE_MM = (45.0, 236.0)


@dataclass(frozen=True)
class Layout:
    """Points (N, 2) in mm about the card's middle, and which way each is biased (0 or unit vectors)."""

    name: str
    points: Array
    inward: Array


@dataclass(frozen=True)
class Figures:
    """Standard deviation and bias of the pitch in degrees and of the length in mm."""

    pitch_sd: float
    pitch_bias: float
    length_sd: float
    length_bias: float


def layouts() -> list[Layout]:
    strip, plate = supplied_card("strip"), supplied_card("plate")
    five = _tags(np.linspace(18, SIZE_MM[1] - 18, 5))
    eight = np.array([marker.corners_mm for marker in strip.markers])
    y = np.arange(13.5, 225, 9.0)
    dots = np.array([(x, v) for x in (9.9, 36.4) for v in y])
    return [
        _from_tags("1 tag", five[2:3]),
        _from_tags("5 tags", five),
        _from_tags("8 tags", eight),
        _plain("two columns of dots, 9 mm apart", dots),
        _plain("two checkers of 5 mm squares", _columns(5.0, 43)),
        _plain("two checkers of 7 mm squares", _columns(7.0, 31)),
        _plain("one field of 7 mm squares", Checker((5.0, 9.5), 7.0, 5, 31).saddles_mm()),
        _plain("the strip: two checkers of 4.5 mm", strip.saddles_mm()),
        _plain("the plate", plate.saddles_mm(), (plate.width_mm, plate.height_mm)),
    ]


def figures(layout: Layout) -> Figures:
    """Return the figures of one layout from the linearised fits."""
    bias = INWARD_PX * layout.inward.ravel()
    pose = np.array([np.radians(PITCH_DEG), 0.0, 0.0, 0.0, 0.0, DISTANCE_MM])
    rows, pseudo = _solved(lambda p: project(p, layout.points), pose)
    homography = true_homography(pose)
    h = (homography / homography[2, 2]).ravel()[:8]
    h_rows, h_pseudo = _solved(lambda p: _map(_matrix(p), layout.points), h)
    ends = _map(homography, np.array([[0.0, -SPAN_MM / 2], [0.0, SPAN_MM / 2]]))
    slope = _derivative(lambda p: np.array([_length(_matrix(p), ends)]), h)[0]
    return Figures(
        pitch_sd=float(np.degrees(NOISE_PX * np.sqrt(rows[0, 0]))),
        pitch_bias=float(np.degrees((pseudo @ bias)[0])),
        length_sd=float(NOISE_PX * np.sqrt(slope @ h_rows @ slope)),
        length_bias=float(slope @ h_pseudo @ bias),
    )


def project(pose: Array, points: Array) -> Array:
    """Return the pixels (N, 2) about the principal point; pose is a rotation vector and a place in mm."""
    turned, _ = cv2.Rodrigues(pose[:3])
    seen = points @ turned[:, :2].T + pose[3:]
    return FOCAL_PX * seen[:, :2] / seen[:, 2:]


def true_homography(pose: Array) -> Array:
    turned, _ = cv2.Rodrigues(pose[:3])
    matrix = np.column_stack([turned[:, 0], turned[:, 1], pose[3:]])
    return np.diag([FOCAL_PX, FOCAL_PX, 1.0]) @ matrix


def table() -> str:
    lines = []
    for layout in layouts():
        f = figures(layout)
        lines.append(
            f"    {layout.name:<34}{len(layout.points):>4}{f.pitch_sd:>10.3f}{f.pitch_bias + 0.0:>12.3f}"
            f"{f.length_sd:>11.4f}{f.length_bias + 0.0:>13.4f}"
        )
    return "\n".join(lines)


def _columns(square: float, rows: int) -> Array:
    """Return two columns of saddles as far apart as rulers of 5.4 and 4.1 mm leave room."""
    left, right = 5.4 + square, SIZE_MM[0] - 4.1 - square
    y = SIZE_MM[1] / 2 + square * (np.arange(1, rows) - rows / 2)
    return np.array([(x, v) for x in (left, right) for v in y])


def _tags(middles: Array) -> Array:
    corners = 7.0 * np.array([[-1, -1], [1, -1], [1, 1], [-1, 1]])
    return np.array([corners + np.array([SIZE_MM[0] / 2, y]) for y in middles])


def _from_tags(name: str, corners: Array) -> Layout:
    inward = corners.mean(axis=1, keepdims=True) - corners
    inward /= np.linalg.norm(inward, axis=2, keepdims=True)
    return Layout(name, corners.reshape(-1, 2) - np.array(SIZE_MM) / 2, inward.reshape(-1, 2))


def _plain(name: str, points: Array, size: tuple[float, float] = SIZE_MM) -> Layout:
    return Layout(name, points - np.array(size) / 2, np.zeros_like(points))


def _solved(model: Callable[[Array], Array], at: Array) -> tuple[Array, Array]:
    """Return the inverse normal matrix and the pseudo-inverse of the model's Jacobian."""
    jacobian = _derivative(model, at)
    pseudo = np.linalg.pinv(jacobian, rcond=1e-14)
    return pseudo @ pseudo.T, pseudo


def _derivative(model: Callable[[Array], Array], at: Array) -> Array:
    columns = []
    for index in range(len(at)):
        step = np.zeros(len(at))
        step[index] = 1e-6 * max(1e-2, abs(at[index]))
        columns.append((model(at + step) - model(at - step)).ravel() / (2 * step[index]))
    return np.column_stack(columns)


def _matrix(h: Array) -> Array:
    return np.append(h, 1.0).reshape(3, 3)


def _map(matrix: Array, points: Array) -> Array:
    mapped = points @ matrix[:, :2].T + matrix[:, 2]
    return mapped[:, :2] / mapped[:, 2:]


def _length(matrix: Array, ends: Array) -> float:
    a, b = _map(np.linalg.inv(matrix), ends)
    return float(np.hypot(*(b - a)))


if __name__ == "__main__":
    print(table())
