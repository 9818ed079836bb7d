"""A strip of the sheet: its height is known before it is painted, so that the sheet can be fitted."""

from collections.abc import Callable
from dataclasses import dataclass, field

import numpy as np
from PIL import Image as PilImage

from vision.overlay.lettering import CAP_HEIGHT, Word, letter, wrap
from vision.overlay.palette import INK, PAPER, RULE, Colour
from vision.overlay.strokes import Image

MARGIN_SHARE = 0.035
LEADING = 1.32
"""Baseline to baseline over the font's size."""


@dataclass
class Strip:
    """Words and painters on paper, filled from the top down.

    Attributes
    ----------
    width : int
        Of the sheet, px.
    y : float
        How far down the strip is filled, px.
    words : list of Word
    painters : list of callables
        Each draws on the strip's (H, W, 3) uint8 RGB array, in place, before the words.
    """

    width: int
    y: float = 0.0
    words: list[Word] = field(default_factory=list)
    painters: list[Callable[[Image], None]] = field(default_factory=list)

    @property
    def margin(self) -> float:
        """Free border at left and right, px."""
        return MARGIN_SHARE * self.width

    @property
    def inner(self) -> float:
        """Width between the margins, px."""
        return self.width - 2 * self.margin

    @property
    def height(self) -> int:
        """Of the whole strip, px; whole JPEG blocks of 8, so that no block mixes words and picture."""
        return 8 * int(np.ceil(self.y / 8))

    def size(self, share: float) -> int:
        """Return a font size as a share of the width."""
        return max(6, round(share * self.width))

    def space(self, share: float) -> None:
        """Leave room, as a share of the width."""
        self.y += share * self.width

    def line(
        self, text: str, size: int, colour: Colour = INK, *, x: float | None = None, weight: int = 0
    ) -> None:
        """Put one line and step below it."""
        baseline = self.y + size * CAP_HEIGHT
        self.words.append(Word(text, self.margin if x is None else x, baseline, size, colour, weight))
        self.y += size * LEADING

    def paragraph(self, text: str, size: int, colour: Colour = INK, most_lines: int = 4) -> None:
        """Put a text broken into lines that fit between the margins."""
        for text_line in wrap(text, size, self.inner, most_lines):
            self.line(text_line, size, colour)

    def rule(self) -> None:
        """Draw a hairline across, between the margins."""
        top, bottom = int(self.y), int(self.y) + max(1, round(self.width / 500))
        left, right = round(self.margin), round(self.width - self.margin)

        def paint(image: Image) -> None:
            image[top:bottom, left:right] = RULE

        self.painters.append(paint)
        self.y = float(bottom)

    def paint(self) -> Image:
        """Return the strip, (height, width, 3) uint8 RGB."""
        image: Image = np.full((self.height, self.width, 3), PAPER, dtype=np.uint8)
        for painter in self.painters:
            painter(image)
        lettered = PilImage.fromarray(image)
        letter(lettered, self.words)
        return np.asarray(lettered, dtype=np.uint8)
