"""Where a map of the sidewall shows pieces of bars: the search for a line, before anything is measured."""

import cv2
import numpy as np
from numpy.typing import NDArray

STEEPEST_DEG = 16.0  # of a line against the sidewall's own direction at its clock
WIDTHS_MM = (2.5, 5.0)
LEAST_CONTRAST = 0.22  # of ln(light)
PROBE_MM = 16.0  # length of the piece that is looked for


def pieces(
    field: NDArray[np.float32], usable: NDArray[np.bool_], step: float
) -> list[tuple[float, int, int, float, float]]:
    """Return the strongest pieces of bars: height over both sides, row, column, angle (rad), sign.

    Parameters
    ----------
    field : (H, W) array
        ln(light) of a map of the sidewall, its slow course taken off; angles are positive downward.
    usable : (H, W) bool array
    step : float
        mm of a map's pixel.
    """
    h, w = field.shape
    length = max(5, round(PROBE_MM / step))
    free = usable.astype(np.uint8) * np.uint8(255)
    out: list[tuple[float, int, int, float, float]] = []
    for degrees in np.arange(-STEEPEST_DEG, STEEPEST_DEG + 0.1, 2.0):
        turn = cv2.getRotationMatrix2D((w / 2, h / 2), float(degrees), 1.0)
        run = cv2.blur(cv2.warpAffine(field, turn, (w, h)), (length, 1))
        turned = cv2.warpAffine(free, turn, (w, h), flags=cv2.INTER_NEAREST)
        clear = (cv2.blur(turned, (length, 1)) > 0.8 * 255).astype(np.uint8)
        back = np.linalg.inv(turn[:, :2])
        side = cv2.blur(run, (1, max(1, round(2.5 / step)) | 1))
        for width in WIDTHS_MM:
            core = cv2.blur(run, (1, max(1, round(width / step)) | 1))
            off = round((width / 2 + 2.4) / step)
            if h <= 2 * off:
                continue
            above, middle, below = side[: h - 2 * off], core[off : h - off], side[2 * off :]
            light = cv2.subtract(middle, cv2.max(above, below))
            dark = cv2.subtract(cv2.min(above, below), middle)
            for sign, score in ((1.0, light), (-1.0, dark)):
                left = clear[off : h - off].copy()
                for _ in range(3):
                    _, best, _, (x, y) = cv2.minMaxLoc(score, left)
                    if best < 0.5 * LEAST_CONTRAST:
                        break
                    at = back @ (np.array([x, y + off]) - turn[:, 2])
                    row, column = (
                        int(np.clip(round(float(a)), 0, n - 1)) for a, n in ((at[1], h), (at[0], w))
                    )
                    out.append((float(best), row, column, float(np.radians(degrees)), sign))
                    left[max(y - off, 0) : y + off + 1, max(x - length, 0) : x + length + 1] = 0
    return sorted(out, reverse=True)


def take(
    taken: NDArray[np.bool_],
    row: int,
    column: int,
    angle: float,
    step: float,
    size_mm: tuple[float, float] | None,
) -> None:
    """Mark a bar's place as looked at, in place; (length, width) mm where it was read as a line."""
    half = (PROBE_MM if size_mm is None else max(size_mm[0], PROBE_MM)) / 2 + 4
    wide = (4.0 if size_mm is None else size_mm[1]) + 5
    mask = taken.astype(np.uint8)
    d = half / step * np.array([np.cos(angle), np.sin(angle)])
    a, b = np.array([column, row]) - d, np.array([column, row]) + d
    cv2.line(mask, (round(a[0]), round(a[1])), (round(b[0]), round(b[1])), 1, max(1, round(wide / step)))
    taken |= mask > 0
