"""Shape, word and colour of a verdict: any one of the three is enough to tell it."""

from dataclasses import dataclass
from typing import Literal

import numpy as np

from vision.overlay.palette import AMBER, BLUE_GREEN, GREY, INK, PAPER, VERMILION, Colour
from vision.overlay.strokes import Image, Points, fill, line
from vision.results import Reading, Result, Verdict

Shape = Literal["disc", "diamond", "triangle", "hollow square", "bar"]


@dataclass(frozen=True)
class VerdictMark:
    """How a result is told: `rest` is a smaller line under the word, empty where none is needed."""

    shape: Shape
    word: str
    colour: Colour
    rest: str = ""


MARKS: dict[Verdict | None, VerdictMark] = {
    Verdict.WITHIN: VerdictMark("disc", "Within limits", BLUE_GREEN),
    Verdict.OUTSIDE: VerdictMark("diamond", "Outside limits", VERMILION),
    Verdict.UNDECIDED: VerdictMark("triangle", "Undecided", AMBER, "measure by hand"),
    None: VerdictMark("bar", "Not judged", GREY, "no limits given"),
}
NOT_MEASURED = VerdictMark("hollow square", "Not measured", GREY)


def mark_of(result: Result) -> VerdictMark:
    """Return how a reading's verdict, or a refusal, is told."""
    return MARKS[result.verdict] if isinstance(result, Reading) else NOT_MEASURED


def draw_shape(image: Image, mark: VerdictMark, x: float, y: float, size: float) -> None:
    """Draw the shape about (x, y), `size` px high, in place.

    The ink outline carries the contrast that amber lacks on paper.
    """
    points = np.array([x, y]) + _outline(mark.shape) * size / 2
    fill(image, points, mark.colour)
    if mark.shape == "hollow square":
        fill(image, np.array([x, y]) + _outline(mark.shape) * size * 0.29, PAPER)
    else:
        line(image, points, INK, size / 24, closed=True)


def _outline(shape: Shape) -> Points:
    if shape == "disc":
        turn = np.linspace(0, 2 * np.pi, 97)[:-1]
        return np.column_stack([np.cos(turn), np.sin(turn)])
    corners = {
        "diamond": [(0, -1.1), (1.1, 0), (0, 1.1), (-1.1, 0)],
        "triangle": [(0, -1), (1.12, 0.95), (-1.12, 0.95)],
        "hollow square": [(-0.9, -0.9), (0.9, -0.9), (0.9, 0.9), (-0.9, 0.9)],
        "bar": [(-1, -0.22), (1, -0.22), (1, 0.22), (-1, 0.22)],
    }
    return np.array(corners[shape], dtype=np.float64)
