"""A surface's flags drawn on a copy of the photo: what to look at, what was set aside, what was searched."""

from collections.abc import Sequence

import numpy as np
from PIL import Image as PilImage

from vision.overlay.hose import STRENGTH, around
from vision.overlay.lettering import Word, letter
from vision.overlay.marks import Points
from vision.overlay.palette import AMBER, GREY, HALO, MARK, SOFT_INK
from vision.overlay.picture import on_sheet
from vision.overlay.sheet import LEAST_WIDTH_PX, MAX_SIDE_PX, encoded
from vision.overlay.strip import Strip
from vision.overlay.strokes import Image, Stroke, dashes, draw
from vision.overlay.view import view_of
from vision.overlay.window import Window, shown
from vision.photo import Photo
from vision.results import Refusal
from vision.surface import Flag, Searched

_TITLE, _MEDIUM, _SMALL = 0.05, 0.032, 0.026
_LISTED = 12


def annotate_surface(photo: Photo, result: Searched | Refusal) -> bytes:
    """Draw what a search of a surface found on a copy of its photo.

    Returns
    -------
    bytes
        A JPEG, `MAX_SIDE_PX` long at most, that calls itself an annotated copy in its EXIF.
    """
    height, width = photo.pixels.shape[:2]
    sheet = min(max(width, LEAST_WIDTH_PX), MAX_SIDE_PX)
    while True:
        view = view_of(width, height, sheet)
        head, foot = _head(result, sheet), _foot(result, sheet)
        total = head.height + view.shown_height + foot.height
        if total <= MAX_SIDE_PX:
            break
        sheet = min(sheet - 1, int(sheet * MAX_SIDE_PX / total))
    return encoded(np.vstack([head.paint(), _picture(photo, view, result, sheet), foot.paint()]))


def _head(result: Searched | Refusal, width: int) -> Strip:
    strip = Strip(width)
    strip.space(0.02)
    if isinstance(result, Refusal):
        strip.line("Not searched", strip.size(_TITLE))
        strip.paragraph(result.reason, strip.size(_MEDIUM))
        strip.paragraph(f"What to do: {result.advice}", strip.size(_MEDIUM), SOFT_INK)
        return strip
    count, share = len(result.flags), result.coverage.share
    title = "Nothing flagged in what was searched" if share > 0 else "Not inspected"
    if count:
        title = f"{count} place{'' if count == 1 else 's'} to look at"
    strip.line(title, strip.size(_TITLE))
    searched = f"{100 * share:.0f} % of the region was searched, the rest is not inspected"
    sizes = f"looked for: {result.least_px:.0f} to {result.most_px:.0f} px long"
    strip.paragraph(f"{searched}; {sizes}", strip.size(_SMALL), SOFT_INK, 2)
    strip.space(0.01)
    return strip


def _foot(result: Searched | Refusal, width: int) -> Strip:
    strip = Strip(width)
    strip.space(0.012)
    size = strip.size(_SMALL)
    if isinstance(result, Searched):
        for number, flag in enumerate(result.flags[:_LISTED], 1):
            strip.paragraph(f"{number} {_told(flag)}", size)
        if len(result.flags) > _LISTED:
            strip.paragraph(f"and {len(result.flags) - _LISTED} more, numbered in the picture", size)
        if result.set_aside:
            kinds = ", ".join(sorted({flag.kind for flag in result.set_aside}))
            strip.paragraph(f"Set aside, dashed: {len(result.set_aside)} ({kinds})", size, SOFT_INK)
        if result.coverage.blind():
            strip.paragraph("Crossed squares were not searched", size, SOFT_INK)
    for note in result.notes:
        strip.paragraph(note.text, size, SOFT_INK)
    strip.paragraph("Annotated copy, not the original", size, SOFT_INK)
    strip.space(0.01)
    return strip


def _told(flag: Flag) -> str:
    size = "size not known" if flag.size_mm is None else f"{flag.size_mm:.0f} mm"
    return f"{STRENGTH[flag.grade]}, {size}: {flag.why}"


def _picture(photo: Photo, view: Window, result: Searched | Refusal, width: int) -> Image:
    picture = shown(photo.pixels, view)
    if isinstance(result, Searched):
        _draw(picture, view, result, width)
    return on_sheet(picture, view, width)


def draw_region(
    picture: Image, view: Window, corners: Points, blind: Sequence[Sequence[float]], width: int
) -> None:
    """Draw a region's outline dashed, and a cross in each square of it that was not searched.

    Parameters
    ----------
    corners : (N, 2) array
        px of the photo.
    blind : sequence of (x0, y0, x1, y1)
        px of the photo.
    width : int
        Of the sheet, px, which tells how thin a line is.
    """
    thin = max(1.0, 0.0016 * width)
    crosses = []
    for x0, y0, x1, y1 in blind:
        inset = 0.25 * (x1 - x0)
        for ends in (((x0, y0), (x1, y1)), ((x0, y1), (x1, y0))):
            ends_px = np.clip(np.array(ends), [x0 + inset, y0 + inset], [x1 - inset, y1 - inset])
            crosses.append(Stroke(view.points(ends_px), thin, 0.5 * thin))
    draw(picture, crosses, opacity=0.6)
    cuts = dashes(view.points(np.vstack([corners, corners[:1]])), [0.006 * width, 0.018 * width])
    draw(picture, [Stroke(cut, 1.4 * thin, thin) for cut in cuts], opacity=0.8)


def _draw(picture: Image, view: Window, result: Searched, width: int) -> None:
    thin = max(1.0, 0.0016 * width)
    lines = [around(view.points(flag.outline_px)) for flag in result.flags]
    draw_region(picture, view, result.region_px, result.coverage.blind(), width)
    for flag in result.set_aside:
        cuts = dashes(around(view.points(flag.outline_px)), [0.006 * width, 0.006 * width])
        draw(picture, [Stroke(cut, thin, thin) for cut in cuts], colour=GREY)
    draw(picture, [Stroke(line, 1.6 * thin, 1.2 * thin) for line in lines], colour=AMBER)
    lettered = PilImage.fromarray(picture)
    size = max(10, round(0.02 * width))
    words = []
    for number, line in enumerate(lines, 1):
        x = float(min(line[:, 0].max() + 4, picture.shape[1] - 1.5 * size))
        y = float(max(line[:, 1].min(), size))
        words.append(Word(str(number), x, y, size, MARK, max(1, size // 8), HALO))
    letter(lettered, words)
    picture[:] = np.asarray(lettered)
