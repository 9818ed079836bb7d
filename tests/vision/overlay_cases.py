"""Photos, evidence and results that the tests of the overlay share; every number is invented."""

import io
from typing import Any

import numpy as np
from numpy.typing import NDArray
from PIL import Image

from vision import notes
from vision.overlay.banner import banner
from vision.overlay.marks import usable_marks
from vision.overlay.view import view_of
from vision.overlay.window import Window
from vision.photo import Photo, read_photo
from vision.results import Limits, Reading, Refusal, Result, Verdict

LIMITS = Limits(79.38, 90.49, "demo manual 32-10-05 rev 3")
GREY = 120


def photo_of(pixels: NDArray[np.uint8]) -> Photo:
    stream = io.BytesIO()
    Image.new("RGB", (8, 8)).save(stream, "JPEG")
    return Photo(pixels, read_photo(stream.getvalue()).facts)


def grey_photo(width: int = 1200, height: int = 1600) -> Photo:
    return photo_of(np.full((height, width, 3), GREY, np.uint8))


def full_evidence(width: int = 1200, height: int = 1600) -> dict[str, Any]:
    """Return evidence whose marks fill most of the photo, so that the picture shows all of it."""
    x, y = 0.55 * width, 0.5 * height
    half, span = 0.12 * width, 0.2 * height
    arc = np.linspace(-1, 1, 41)
    bow = 0.02 * height * (np.sqrt(1.1 - arc**2) - np.sqrt(1.1))
    return {
        "from_px": [x, y + span],
        "to_px": [x, y - span],
        "from_ring_px": np.column_stack([x + half * arc, y + span + bow]).tolist(),
        "to_ring_px": np.column_stack([x + 1.5 * half * arc, y - span + bow]).tolist(),
        "axis_px": [[x, y + span], [x, y - span]],
        "outline_px": [
            [[x - half, y + span], [x - half, y - span]],
            [[x + half, y + span], [x + half, y - span]],
        ],
        "card_px": [
            [0.78 * width, 0.08 * height],
            [0.93 * width, 0.08 * height],
            [0.93 * width, 0.92 * height],
            [0.78 * width, 0.92 * height],
        ],
        "px_per_mm": 4 * span / 88.9 / 2,
    }


def reading(verdict: Verdict | None = Verdict.WITHIN, **changes: Any) -> Reading:
    given: dict[str, Any] = {
        "name": "strut_extension",
        "value": 84.1,
        "unit": "mm",
        "expanded_uncertainty": 0.243,
        "evidence": full_evidence(),
        "limits": LIMITS if verdict else None,
        "notes": (notes.EXTENSION_ONLY, notes.RESTING_STATE),
        "verdict": verdict,
    }
    return Reading(**(given | changes))


def refusal(**changes: Any) -> Refusal:
    given: dict[str, Any] = {
        "name": "strut_extension",
        "remedy": notes.BAND_HIDDEN,
        "detail": "12 % is clear",
    }
    return Refusal(**(given | changes))


def decoded(data: bytes) -> NDArray[np.uint8]:
    with Image.open(io.BytesIO(data)) as image:
        return np.asarray(image.convert("RGB"))


def picture_in(sheet: NDArray[np.uint8], photo: Photo, result: Result) -> tuple[NDArray[np.uint8], Window]:
    """Return the picture strip cut out of a decoded sheet, and the window of the photo that it shows."""
    rows, columns = photo.pixels.shape[:2]
    width = sheet.shape[1]
    closing = usable_marks(result.evidence, columns, rows) if isinstance(result, Reading) else None
    view = view_of(columns, rows, width, closing)
    top = banner(result, width).height
    left = (width - view.shown_width) // 2
    return sheet[top : top + view.shown_height, left : left + view.shown_width], view
