"""A tire's results drawn on a copy of its photo: one sheet, as for a strut."""

from collections.abc import Sequence

import numpy as np

from vision.overlay.foot import foot
from vision.overlay.sheet import LEAST_WIDTH_PX, MAX_SIDE_PX, encoded
from vision.overlay.strip import Strip
from vision.overlay.tire_details import tire_details
from vision.overlay.tire_marks import TireMarks, paint_tire, usable_tire_marks
from vision.overlay.tire_rows import tire_banner
from vision.overlay.view import view_of
from vision.overlay.window import Window
from vision.photo import Photo
from vision.results import Reading, Result


def annotate_tire(
    photo: Photo, results: Sequence[Result], level_from: str | None, *, unit: str = "mm"
) -> bytes:
    """Draw the results of one tire on a copy of its photo.

    Parameters
    ----------
    photo : Photo
        As measured; it stays as it is.
    results : sequence of Reading or Refusal
        Of one photo, in the contract's order; evidence that is missing or unusable is not drawn.
    level_from : str or None
        Which witness told level.
    unit : str
        ``"mm"`` or ``"in"``: which of the two a length is shown in first.

    Returns
    -------
    bytes
        A JPEG, `MAX_SIDE_PX` long at most, that calls itself an annotated copy in its EXIF.

    Raises
    ------
    ValueError
        `unit` is another one, there is no result, or a value cannot be printed.
    """
    if unit not in ("mm", "in"):
        msg = f'a length is shown in "mm" or "in", not in {unit!r}: choose one of the two'
        raise ValueError(msg)
    if not results:
        msg = "a tire's sheet needs at least one result: give what was measured"
        raise ValueError(msg)
    height, width = photo.pixels.shape[:2]
    marks = usable_tire_marks([result.evidence for result in results], width, height)
    sheet_width = min(max(width, LEAST_WIDTH_PX), MAX_SIDE_PX)
    while True:
        view = view_of(width, height, sheet_width)
        head, below = _strips(photo, results, level_from, unit, marks, view, sheet_width)
        total = head.height + view.shown_height + sum(strip.height for strip in below)
        if total <= MAX_SIDE_PX:
            break
        sheet_width = min(sheet_width - 1, int(sheet_width * MAX_SIDE_PX / total))
    picture = paint_tire(photo.pixels, view, marks, sheet_width)
    return encoded(np.vstack([head.paint(), picture, *(strip.paint() for strip in below if strip.height)]))


def _strips(
    photo: Photo,
    results: Sequence[Result],
    level_from: str | None,
    unit: str,
    marks: TireMarks,
    view: Window,
    width: int,
) -> tuple[Strip, list[Strip]]:
    told = next((result for result in results if isinstance(result, Reading)), results[0])
    head = tire_banner(results, level_from, width, unit)
    return head, [tire_details(photo.pixels, marks, view, width), foot(told, width)]
