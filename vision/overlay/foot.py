"""What stands under the picture: the scale bar, and at the very end the remarks."""

from vision.notes import EXTENSION_ONLY
from vision.overlay.lettering import CAP_HEIGHT, Word, length
from vision.overlay.palette import INK, PAPER, SOFT_INK
from vision.overlay.strip import Strip
from vision.overlay.strokes import Image
from vision.overlay.window import Window
from vision.results import Result

SCALE_BAR_MM = 50
COPY = "Annotated copy, not the original"
_SMALL = 0.032
_LEAST_BAR_PX = 8
_MOST_REMARKS = 8


def scale_row(view: Window, px_per_mm: float | None, width: int) -> Strip:
    """Return the row with the scale bar.

    Its height is 0 where the scale is not known, or the bar would be a speck or wider than the sheet.
    """
    strip = Strip(width)
    size = strip.size(_SMALL)
    label = f"{SCALE_BAR_MM} mm at the strut"
    bar = 0.0 if px_per_mm is None else SCALE_BAR_MM * px_per_mm * view.scale
    after = 0.02 * width
    if not _LEAST_BAR_PX <= bar <= strip.inner - after - length(label, size):
        return strip
    strip.space(0.016)
    left, right = round(strip.margin), round(strip.margin + bar)
    top, bottom = round(strip.y), round(strip.y + size * CAP_HEIGHT)
    thin = max(1, round(width / 500))

    def paint(image: Image) -> None:
        # Two halves as on a map's bar: filled and open.
        image[top:bottom, left:right] = INK
        image[top + thin : bottom - thin, (left + right) // 2 : right - thin] = PAPER

    strip.painters.append(paint)
    strip.words.append(Word(label, right + after, bottom, size, SOFT_INK))
    strip.y = bottom + 0.012 * width
    return strip


def foot(result: Result, width: int) -> Strip:
    """Return the remarks on the result, and what this picture is."""
    strip = Strip(width)
    strip.space(0.01)
    size = strip.size(_SMALL)
    remarks = [note.text for note in result.notes if note.code != EXTENSION_ONLY.code]
    for text in remarks[:_MOST_REMARKS]:
        strip.paragraph(text, size, SOFT_INK)
        strip.space(0.006)
    if len(remarks) > _MOST_REMARKS:
        strip.line(f"and {len(remarks) - _MOST_REMARKS} more remarks in the record", size, SOFT_INK)
    strip.space(0.006)
    strip.rule()
    strip.space(0.014)
    strip.line(COPY, size, SOFT_INK)
    strip.space(0.01)
    return strip
