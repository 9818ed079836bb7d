"""Flags drawn on a copy of the photo: what to look at, what was set aside, and how far was searched."""

from collections.abc import Sequence

import cv2
import numpy as np
from PIL import Image as PilImage

from vision.hose import Flag, Searched
from vision.overlay.lettering import Word, letter
from vision.overlay.palette import AMBER, GREY, HALO, MARK, SOFT_INK
from vision.overlay.picture import on_sheet
from vision.overlay.sheet import LEAST_WIDTH_PX, MAX_SIDE_PX, encoded
from vision.overlay.strip import Strip
from vision.overlay.strokes import Image, Stroke, dashes, draw
from vision.overlay.view import view_of
from vision.overlay.window import Window, shown
from vision.photo import Photo
from vision.results import Refusal

_TITLE, _MEDIUM, _SMALL = 0.05, 0.032, 0.026
_ROOM_PX = 5.0
STRENGTH = {1: "faint", 2: "clear", 3: "strong"}
"""A flag's grade in a word."""
_LISTED = 12


def annotate_hoses(photo: Photo, result: Searched | Refusal) -> bytes:
    """Draw what a search found on a copy of its photo.

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
    picture = _picture(photo, view, result, sheet)
    return encoded(np.vstack([head.paint(), picture, foot.paint()]))


def _head(result: Searched | Refusal, width: int) -> Strip:
    strip = Strip(width)
    strip.space(0.02)
    if isinstance(result, Refusal):
        strip.line("Not searched", strip.size(_TITLE))
        strip.paragraph(result.reason, strip.size(_MEDIUM))
        strip.paragraph(f"What to do: {result.advice}", strip.size(_MEDIUM), SOFT_INK)
        return strip
    count = len(result.flags)
    searched = any(hose.coverage.share > 0 for hose in result.hoses)
    title = (
        f"{count} place{'' if count == 1 else 's'} to look at"
        if count
        else "Nothing flagged in what was searched"
        if searched
        else "Not inspected"
    )
    strip.line(title, strip.size(_TITLE))
    for index, hose in enumerate(result.hoses):
        name = f"{_letter(index)} {hose.name or 'taken for a hose'}"
        share = f"{100 * hose.coverage.share:.0f} % of its surface here was searched"
        strip.paragraph(f"{name}: {share}, the rest is not inspected", strip.size(_SMALL), SOFT_INK, 2)
    strip.space(0.01)
    return strip


def _foot(result: Searched | Refusal, width: int) -> Strip:
    strip = Strip(width)
    strip.space(0.012)
    size = strip.size(_SMALL)
    if isinstance(result, Searched):
        for number, flag in enumerate(result.flags[:_LISTED], 1):
            strip.paragraph(f"{number} on {_letter(flag.hose)}, {told_flag(flag)}", size)
        if result.set_aside:
            kinds = ", ".join(sorted({flag.kind for flag in result.set_aside}))
            strip.paragraph(f"Set aside, dashed: {len(result.set_aside)} ({kinds})", size, SOFT_INK)
    for note in result.notes:
        strip.paragraph(note.text, size, SOFT_INK)
    strip.paragraph("Annotated copy, not the original", size, SOFT_INK)
    strip.space(0.01)
    return strip


def told_flag(flag: Flag) -> str:
    """Return a flag in words: how strong, how large, where, why."""
    size = "" if flag.size_mm is None else f", {flag.size_mm:.0f} mm"
    along = "" if flag.along_mm is None else f", {flag.along_mm:.0f} mm along"
    return f"{STRENGTH[flag.grade]}{size}{along}: {flag.why}"


def _picture(photo: Photo, view: Window, result: Searched | Refusal, width: int) -> Image:
    picture = shown(photo.pixels, view)
    if isinstance(result, Searched):
        _draw(picture, view, result, width)
    return on_sheet(picture, view, width)


def _draw(picture: Image, view: Window, result: Searched, width: int) -> None:
    thin = max(1.0, 0.0016 * width)
    lines = [around(view.points(flag.outline_px)) for flag in result.flags]
    for hose in result.hoses:
        line = view.points(hose.course.points[:: max(1, int(hose.course.width_px / 4))])
        cuts = dashes(line, [0.006 * width, 0.018 * width])
        clear = [cut for cut in cuts if not any(_touches(cut, line) for line in lines)]
        draw(picture, [Stroke(cut, 1.4 * thin, thin) for cut in clear], opacity=0.8)
    for flag in result.set_aside:
        line = around(view.points(flag.outline_px))
        cuts = dashes(line, [0.006 * width, 0.006 * width])
        draw(picture, [Stroke(cut, thin, thin) for cut in cuts], colour=GREY)
    draw(picture, [Stroke(line, 1.6 * thin, 1.2 * thin) for line in lines], colour=AMBER)
    lettered = PilImage.fromarray(picture)
    size = max(10, round(0.02 * width))
    places = [_free(view.points(hose.course.points), lines, 2 * size) for hose in result.hoses]
    names = [
        Word(_letter(index), float(x) + size / 2, float(y) - size / 2, size, MARK, max(1, size // 8), HALO)
        for index, (x, y) in enumerate(places)
    ]
    letter(lettered, [*names, *_numbers(lines, size, picture.shape[1])])
    picture[:] = np.asarray(lettered)


def _touches(cut: np.ndarray, around: np.ndarray, room: float = 0.0) -> bool:
    """Whether a line comes into a flag's outline: what is to be judged stays bare."""
    polygon = around.astype(np.float32)
    return any(cv2.pointPolygonTest(polygon, (float(x), float(y)), True) >= -room for x, y in cut)


def _free(course: np.ndarray, lines: Sequence[np.ndarray], room: float) -> np.ndarray:
    """A place for a hose's letter: its middle, or the first place from there that no flag is near."""
    shares = (0.5, 0.4, 0.6, 0.3, 0.7, 0.2, 0.8, 0.1, 0.9)
    places = [course[int(share * (len(course) - 1))] for share in shares]
    free = (at for at in places if not any(_touches(at[None], line, room) for line in lines))
    return np.asarray(next(free, places[0]))


def _letter(index: int) -> str:
    return chr(ord("A") + index % 26)


def _numbers(lines: Sequence[np.ndarray], size: int, width: int) -> list[Word]:
    words = []
    for number, line in enumerate(lines, 1):
        x = float(min(line[:, 0].max() + 4, width - 1.5 * size))
        words.append(Word(str(number), x, float(line[:, 1].min()), size, MARK, max(1, size // 8), HALO))
    return words


def around(outline: np.ndarray) -> np.ndarray:
    """Return the outline moved outwards, so that the line hides nothing that is to be judged."""
    middle = outline.mean(axis=0)
    off = outline - middle
    far = np.maximum(np.hypot(*off.T)[:, None], 1e-6)
    hull = cv2.convexHull((outline + off / far * _ROOM_PX).astype(np.float32))[:, 0].astype(np.float64)
    return np.vstack([hull, hull[:1]])
