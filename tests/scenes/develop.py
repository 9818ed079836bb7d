"""What the phone makes of the light of a fast scene: noise, tone curve, 8 bits, JPEG."""

import cv2
import numpy as np

from tests.scenes.extras import Extras
from tests.scenes.kernels import disc, streak
from tests.scenes.strut_scene import StrutScene

Array = np.ndarray


def soften(linear: Array, extras: Extras) -> Array:
    """Defocus and shake of a linear picture (h, w, 3) at its final size."""
    for kernel in (
        disc(extras.defocus_px) if extras.defocus_px > 0 else None,
        streak(extras.shake_px, extras.shake_deg) if extras.shake_px > 0 else None,
    ):
        if kernel is not None:
            linear = cv2.filter2D(linear, -1, kernel, borderType=cv2.BORDER_REPLICATE)
    return linear


def develop(scene: StrutScene, linear: Array) -> Array:
    """Exposure, shot and read noise, tone curve, 8 bits, JPEG: linear (h, w, 3) → uint8 RGB."""
    rng = np.random.default_rng(scene.seed + 7)
    light = linear * scene.exposure
    light = light + rng.normal(size=light.shape) * scene.noise * np.sqrt(0.15 + 0.85 * np.clip(light, 0, 1))
    light = np.clip(light, 0, 1) ** (1 / scene.gamma)
    if scene.extras is None:
        picture = np.round(255 * srgb(light)).astype(np.uint8)
    else:
        picture = np.round(255 * _finished(light, scene.extras)).astype(np.uint8)
    if scene.jpeg_quality is not None:
        _, data = cv2.imencode(".jpg", picture[:, :, ::-1], [cv2.IMWRITE_JPEG_QUALITY, scene.jpeg_quality])
        picture = cv2.imdecode(data, cv2.IMREAD_COLOR)[:, :, ::-1]
    return picture


def srgb(light: Array) -> Array:
    """IEC 61966-2-1 encoding of light in [0, 1]."""
    return np.where(light <= 0.0031308, 12.92 * light, 1.055 * np.maximum(light, 1e-9) ** (1 / 2.4) - 0.055)


def _finished(light: Array, extras: Extras) -> Array:
    """Another tone curve and the sharpening that phones do, coded values in [0, 1]."""
    if extras.tone == "root":
        coded = light ** (1 / 2.2)
    elif extras.tone == "film":
        # A shoulder: slope 1.35 in the darks, lights rolled off to white.
        coded = srgb(np.clip(1.35 * light / (1 + 0.35 * light), 0, 1))
    else:
        coded = srgb(light)
    if extras.s_curve:
        coded = coded - extras.s_curve * np.sin(2 * np.pi * coded) / (2 * np.pi)
    if extras.sharpen:
        coded = coded.astype(np.float32)
        coded = coded + extras.sharpen * (coded - cv2.GaussianBlur(coded, (0, 0), extras.sharpen_px))
    return np.clip(coded, 0, 1)
