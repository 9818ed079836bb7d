"""The whole sheet: strips one below the other, fitted, written as JPEG."""

import io
from dataclasses import dataclass

import numpy as np
from PIL import Image as PilImage

from vision.overlay.banner import banner
from vision.overlay.details import details
from vision.overlay.foot import COPY, foot, scale_row
from vision.overlay.marks import Marks, usable_marks
from vision.overlay.picture import label_text, paint_picture
from vision.overlay.strip import Strip
from vision.overlay.strokes import Image
from vision.overlay.view import view_of
from vision.overlay.window import Window
from vision.photo import Photo
from vision.results import Reading, Result

MAX_SIDE_PX = 2400
LEAST_WIDTH_PX = 640
"""Narrower photos get a sheet of this width, so that the words can be read."""

_QUALITY = 88
_IMAGE_DESCRIPTION, _SOFTWARE = 0x010E, 0x0131  # Exif 2.32


@dataclass(frozen=True, eq=False)
class _Plan:
    """Everything whose height is known before anything is painted."""

    width: int
    view: Window
    head: Strip
    below: tuple[Strip, ...]

    @property
    def height(self) -> int:
        return self.head.height + self.view.shown_height + sum(strip.height for strip in self.below)


def annotate(photo: Photo, result: Result, *, unit: str = "mm") -> bytes:
    """Draw a result on a copy of its photo.

    Parameters
    ----------
    photo : Photo
        As measured; it stays as it is.
    result : Reading or Refusal
        Its evidence in pixels of the upright photo (x right, y down, centres at integers); what is
        missing or unusable is not drawn.
    unit : str
        ``"mm"`` or ``"in"``: which of the two a length is shown in first.

    Returns
    -------
    bytes
        A JPEG, `MAX_SIDE_PX` long at most, that calls itself an annotated copy in its EXIF.  The same
        photo and result give the same bytes with the same version of Pillow.

    Raises
    ------
    ValueError
        `unit` is another one, or a reading's value is not finite or its U not positive.
    """
    if unit not in ("mm", "in"):
        msg = f'a length is shown in "mm" or "in", not in {unit!r}: choose one of the two'
        raise ValueError(msg)
    height, width = photo.pixels.shape[:2]
    marks = usable_marks(result.evidence, width, height)
    plan = _fitted(photo, result, marks, unit)
    picture = paint_picture(photo.pixels, plan.view, marks, label_text(result, unit), plan.width)
    strips = [strip.paint() for strip in plan.below if strip.height]
    return encoded(np.vstack([plan.head.paint(), picture, *strips]))


def _fitted(photo: Photo, result: Result, marks: Marks, unit: str) -> _Plan:
    """Return the widest plan that keeps to the longest side."""
    width = min(max(photo.pixels.shape[1], LEAST_WIDTH_PX), MAX_SIDE_PX)
    while True:
        plan = _planned(photo, result, marks, unit, width)
        if plan.height <= MAX_SIDE_PX:
            return plan
        # Heights go with the width but for line breaks and rounding, hence more than one step.
        width = min(width - 1, int(width * MAX_SIDE_PX / plan.height))


def _planned(photo: Photo, result: Result, marks: Marks, unit: str, width: int) -> _Plan:
    photo_height, photo_width = photo.pixels.shape[:2]
    # A refusal is understood from the whole photo.
    view = view_of(photo_width, photo_height, width, marks if isinstance(result, Reading) else None)
    below = (
        scale_row(view, marks.px_per_mm, width),
        details(photo.pixels, view, marks, width),
        foot(result, width),
    )
    return _Plan(width, view, banner(result, width, unit), below)


def encoded(sheet: Image) -> bytes:
    """Return a sheet as a JPEG that calls itself an annotated copy in its EXIF."""
    exif = PilImage.Exif()
    exif[_IMAGE_DESCRIPTION] = COPY
    exif[_SOFTWARE] = "Gearwitness"
    stream = io.BytesIO()
    # Full colour resolution: halved, the thin bright strokes would lose their colour to the halo.
    PilImage.fromarray(sheet).save(stream, "JPEG", quality=_QUALITY, subsampling=0, exif=exif)
    return stream.getvalue()
