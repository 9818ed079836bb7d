"""What the phone makes of a wheel's light: exposure, noise, tone curve, 8 bits, JPEG."""

import cv2
import numpy as np

from tests.scenes.wheel_scene import WheelScene

Array = np.ndarray


def develop(scene: WheelScene, linear: Array) -> Array:
    """Return the picture (H, W, 3) uint8 RGB of linear light (H, W, 3)."""
    rng = np.random.default_rng(scene.seed + 7)
    light = linear * scene.exposure
    light = light + rng.normal(size=light.shape) * scene.noise * np.sqrt(0.15 + 0.85 * np.clip(light, 0, 1))
    light = np.clip(light, 0, 1) ** (1 / scene.gamma)
    # IEC 61966-2-1
    coded = np.where(light <= 0.0031308, 12.92 * light, 1.055 * np.maximum(light, 1e-9) ** (1 / 2.4) - 0.055)
    picture = np.round(255 * coded).astype(np.uint8)
    if scene.jpeg_quality is not None:
        _, data = cv2.imencode(".jpg", picture[:, :, ::-1], [cv2.IMWRITE_JPEG_QUALITY, scene.jpeg_quality])
        picture = cv2.imdecode(data, cv2.IMREAD_COLOR)[:, :, ::-1]
    return np.ascontiguousarray(picture)
