"""Lettering on a sidewall: strokes of a plain alphabet, bent round the wheel."""

import numpy as np

from tests.scenes.physical.meshes import Array

# Strokes of a glyph in a box 0.6 wide and 1 high, y up: pairs of points.
_P = {"a": (0, 1), "b": (0.6, 1), "c": (0, 0.5), "d": (0.6, 0.5), "e": (0, 0), "f": (0.6, 0), "m": (0.3, 1), "n": (0.3, 0), "o": (0.3, 0.5)}  # fmt: skip
_GLYPHS = {
    "0": "ab bf fe ea", "1": "mn", "2": "ab bd dc ce ef", "3": "ab bf fe cd", "4": "ac cd bf", "5": "ba ac cd df fe",
    "6": "ba ae ef fd dc", "7": "ab bn", "8": "ab bf fe ea cd", "9": "dc ca ab bf fe", "X": "af be", "-": "cd",
    "T": "ab mn", "U": "ae ef fb", "B": "ab bf fe ea cd", "E": "ba ae ef cd", "L": "ae ef", "S": "ba ac cd df fe",
    "P": "ea ab bd dc", "R": "ea ab bd dc cf", "A": "em mf cd", "I": "mn", "N": "ea af fb", "H": "ae bf cd", "K": "ae bc cf",
}  # fmt: skip
WIDTH, ADVANCE = 0.14, 0.85  # of the capitals' height


def strokes(text: str, clock_deg: float, radius: float, height: float) -> list[Array]:
    """Places (rows, columns, 2) of every stroke; letters stand with their feet towards the axle."""
    found = []
    start = -ADVANCE * height * len(text) / 2
    for k, letter in enumerate(text):
        for pair in _GLYPHS.get(letter, "").split():
            ends = np.array([_P[name] for name in pair]) * height
            ends[:, 0] += start + k * ADVANCE * height
            found.append(_bent(_stroke(ends, WIDTH * height), np.radians(clock_deg), radius))
    return found


def _stroke(ends: Array, width: float) -> Array:
    along = ends[1] - ends[0]
    long = float(np.linalg.norm(along))
    along = along / long
    side = np.array([-along[1], along[0]])
    u = np.linspace(-width / 2, long + width / 2, max(8, round(long / 0.8)))
    v = np.linspace(-width / 2, width / 2, 7)
    return np.asarray(ends[0] + u[None, :, None] * along + v[:, None, None] * side)


def _bent(flat: Array, clock: float, radius: float) -> Array:
    angle = clock + flat[..., 0] / radius
    r = radius + flat[..., 1]
    return np.stack([r * np.sin(angle), -r * np.cos(angle)], -1)
