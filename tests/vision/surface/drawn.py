"""Plain painted surfaces with known places: enough to hold the search to its words, not to rate it."""

import cv2
import numpy as np

WIDTH, HEIGHT = 1000, 760
REGION = ((60.0, 60.0), (900.0, 700.0))


def light_of(seed: int = 0, rough: float = 0.03) -> np.ndarray:
    """Return linear light (h, w) of grey paint; a sharp dark band beside the region tells the sharpness."""
    rng = np.random.default_rng(seed)
    grain = cv2.GaussianBlur(rng.normal(size=(HEIGHT, WIDTH)), (0, 0), 1.2)
    light = 0.3 * (1 + rough * grain / grain.std())
    light[:, 930:960] = 0.05
    return light


def spot(light: np.ndarray, at: tuple[float, float], radius: float, strength: float = 0.5) -> np.ndarray:
    """Return the light with a soft place that is brighter and smoother, or darker, by a share."""
    y, x = np.mgrid[:HEIGHT, :WIDTH]
    share = 1 / (1 + np.exp(np.clip((np.hypot(x - at[0], y - at[1]) / radius - 1) / 0.1, -40, 40)))
    return (
        (0.3 + (light - 0.3) * (1 - 0.8 * share)) * (1 + strength * share)
        if strength > 0
        else light * (1 + strength * share)
    )


def jpeg(light: np.ndarray, blur: float = 0.8, seed: int = 9) -> bytes:
    """Return a photo of linear light (h, w) or (h, w, 3) as JPEG."""
    colour = light if light.ndim == 3 else cv2.merge([light] * 3)
    picture = cv2.GaussianBlur(colour, (0, 0), blur)
    picture = picture + np.random.default_rng(seed).normal(0, 0.002, picture.shape)
    coded = (255 * np.clip(picture, 0, 1) ** (1 / 2.2)).round().astype(np.uint8)
    quality = [cv2.IMWRITE_JPEG_QUALITY, 94]
    return cv2.imencode(".jpg", coded[..., ::-1], quality)[1].tobytes()


def cylinder(light: np.ndarray, lamp_row: float = 300.0) -> np.ndarray:
    """Return it as the side of a lying cylinder, with a streak of mirrored light along it."""
    y = np.mgrid[:HEIGHT, :WIDTH][0]
    angle = np.arcsin(np.clip((y - HEIGHT / 2) / 420, -1, 1))
    lamp = np.arcsin((lamp_row - HEIGHT / 2) / 420)
    return light * (0.35 + 0.65 * np.cos(angle - lamp)) + 0.25 * np.exp(-(((angle - lamp) / 0.12) ** 2))
