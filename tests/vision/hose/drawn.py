"""Plain hoses with known places: enough to hold the search to its words, not to rate it."""

import cv2
import numpy as np

RADIUS_PX = 30.0
WIDTH, HEIGHT = 1400, 700


def hose_jpeg(
    seed: int = 0,
    *,
    spot: tuple[float, float] | None = None,
    strength: float = 0.9,
    band: float | None = None,
    shift: float = 0.0,
    glint: float | None = None,
) -> bytes:
    """Return a photo of one dark hose with a streak, its middle at `middle`.

    Parameters
    ----------
    spot : (x, across), optional
        A soft bright place 40 px long at column x, `across` radii off the middle.
    band : float, optional
        A light band right across at that column.
    shift : float
        By how much all but the glint lies further left, px.
    glint : float, optional
        Column in the photo of a soft mirrored light, on the streak.
    """
    rng = np.random.default_rng(seed)
    y, x = np.mgrid[:HEIGHT, :WIDTH].astype(float)
    x = x + shift
    ground = 0.3 + 0.03 * np.sin(x / 150) + 0.02 * np.cos(y / 90)
    off = (y - middle(x)) / RADIUS_PX
    round_ = np.sqrt(np.clip(1 - off**2, 0, 1))
    grain = cv2.GaussianBlur(np.random.default_rng(seed + 1).normal(0, 1, (HEIGHT, WIDTH + 600)), (0, 0), 1.5)
    grain = grain[:, int(shift) : int(shift) + WIDTH] * 0.15
    light = (0.03 + 0.03 * round_) * (1 + grain) + 0.03 * np.exp(-0.5 * ((off + 0.3) / 0.2) ** 2)
    if spot is not None:
        away = np.hypot(x - spot[0], (off - spot[1]) * RADIUS_PX) / 20
        light *= 1 + strength / (1 + np.exp(np.clip((away - 1) / 0.12, -40, 40)))
    if band is not None:
        light = np.where(np.abs(x - band) < 16, 0.4 * (0.4 + 0.6 * round_), light)
    if glint is not None:
        away = np.hypot(x - shift - glint, (off + 0.2) * RADIUS_PX) / 20
        light *= 1 + strength / (1 + np.exp(np.clip((away - 1) / 0.12, -40, 40)))
    inside = np.clip(0.5 - (np.abs(off) - 1) * RADIUS_PX, 0, 1)
    picture = cv2.GaussianBlur(ground * (1 - inside) + light * inside, (0, 0), 1.0)
    picture = picture + rng.normal(0, 0.002, picture.shape)
    coded = (255 * np.clip(picture, 0, 1) ** (1 / 2.2)).round().astype(np.uint8)
    return cv2.imencode(".jpg", cv2.merge([coded] * 3), [cv2.IMWRITE_JPEG_QUALITY, 92])[1].tobytes()


def middle(x: np.ndarray | float) -> np.ndarray | float:
    """Return the row of the hose's middle at a column."""
    return 350 + 60 * np.sin(np.asarray(x) / 260)
