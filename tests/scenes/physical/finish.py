"""What a phone makes of the light: lens, blur, noise, tone curve, eight bits, JPEG.

Needs numpy, OpenCV and Pillow; runs where the picture was traced or later.
"""

import io

import cv2
import numpy as np
from numpy.typing import NDArray
from PIL import Image

from tests.scenes.kernels import disc, streak
from tests.scenes.physical.geometry import Camera, camera, card_frame
from tests.scenes.physical.render import margin_px
from tests.scenes.physical.scene import StrutScene

Image32 = NDArray[np.float32]
CEILING = 150.0  # of the card's white: brighter lamps only make longer flares


def finish(linear: Image32, scene: StrutScene, card_size_mm: tuple[float, float], scale: float) -> bytes:
    """JPEG bytes of a traced picture; `linear` comes from `render.render` at the same scale."""
    view = camera(scene, scale)
    rng = np.random.default_rng([scene.seed, 31])
    light = expose(linear, scene, card_size_mm, scale)
    light = lens(light, scene, view, margin_px(scene, scale))
    light = blur(light, scene, scale)
    light = sensor_noise(light, scene, rng)
    coded = tone(light, scene.post.s_curve)
    coded = sharpen(coded, scene.post.sharpen, scale)
    codes = np.round(255 * np.clip(coded, 0, 1)).astype(np.uint8)
    return jpeg(codes, scene)


def expose(linear: Image32, scene: StrutScene, card_size_mm: tuple[float, float], scale: float) -> Image32:
    """Gain and white balance so that the card's white is neutral and lands on `white_level`.

    Without a card the bright part of the picture's middle takes its place.
    """
    view, edge = camera(scene, scale), margin_px(scene, scale)
    mask = np.zeros(linear.shape[:2], dtype=np.uint8)
    if scene.card.present:
        width, height = card_size_mm
        corners = np.array([[0, 0], [width, 0], [width, height], [0, height]], dtype=float)
        quad = view.project(card_frame(scene, width, height).points(corners), distorted=False) + edge
        cv2.fillConvexPoly(mask, np.round(quad).astype(np.int32), 1)
    else:
        rows, columns = linear.shape[:2]
        mask[rows // 4 : 3 * rows // 4, columns // 3 : 2 * columns // 3] = 1
    white = np.percentile(linear[mask > 0], 88, axis=0)
    cast = np.array([scene.post.cast[0], 1.0, scene.post.cast[1]])
    return np.minimum(linear * (scene.post.white_level * cast / white), CEILING).astype(np.float32)


def lens(light: Image32, scene: StrutScene, view: Camera, edge: int) -> Image32:
    """Bend the pinhole picture to x_d = x_u (1 + k1 r_u^2) and cut the margin off.

    Each output pixel looks up the undistorted place it came from.
    """
    if view.k1 == 0 and scene.camera.lateral_colour == 0:
        return np.ascontiguousarray(light[edge : edge + view.height, edge : edge + view.width])
    x = (np.arange(view.width) - view.cx) / view.f_px
    y = (np.arange(view.height) - view.cy) / view.f_px
    radius = np.hypot(x[None, :], y[:, None])
    flat = radius.copy()
    for _ in range(8):  # Newton on r_u (1 + k1 r_u^2) = r_d
        flat -= (flat * (1 + view.k1 * flat**2) - radius) / (1 + 3 * view.k1 * flat**2)
    ratio = np.where(radius > 0, flat / np.maximum(radius, 1e-12), 1.0)
    channels = []
    for channel, sign in enumerate((1, 0, -1)):
        zoom = view.f_px * ratio / (1 + sign * scene.camera.lateral_colour)
        map_x = (x[None, :] * zoom + view.cx + edge).astype(np.float32)
        map_y = (y[:, None] * zoom + view.cy + edge).astype(np.float32)
        plane = np.ascontiguousarray(light[..., channel])
        channels.append(cv2.remap(plane, map_x, map_y, cv2.INTER_LANCZOS4, borderMode=cv2.BORDER_REPLICATE))
    return np.maximum(np.stack(channels, -1), 0)


def blur(light: Image32, scene: StrutScene, scale: float) -> Image32:
    """Point spread in linear light: flare, defocus disc, shake, then the lens's Gaussian."""
    post = scene.post
    if post.bloom > 0:
        # Wide tails need no full resolution.
        small = cv2.resize(light, None, fx=0.125, fy=0.125, interpolation=cv2.INTER_AREA)
        wide = sum(cv2.GaussianBlur(small, (0, 0), s * scale / 8) for s in (24.0, 100.0)) / 2
        veil = cv2.resize(wide, light.shape[1::-1], interpolation=cv2.INTER_LINEAR)
        light = (1 - post.bloom) * light + post.bloom * veil
    if post.defocus_px > 0:
        light = cv2.filter2D(light, -1, disc(post.defocus_px * scale))
    if post.motion_px > 0:
        light = cv2.filter2D(light, -1, streak(post.motion_px * scale, post.motion_deg))
    return cv2.GaussianBlur(light, (0, 0), max(post.psf_sigma_px, 0.3))


def sensor_noise(light: Image32, scene: StrutScene, rng: np.random.Generator) -> Image32:
    """Shot and read noise in linear light; demosaicing spreads a pixel's noise to its neighbours."""
    post = scene.post
    sigma = np.sqrt(np.clip(light, 0, 1) / post.full_well_e + (post.read_noise_e / post.full_well_e) ** 2)
    noise = cv2.GaussianBlur(rng.standard_normal(light.shape, dtype=np.float32), (0, 0), 0.55)
    return np.asarray(light + sigma * noise, dtype=np.float32)


def tone(light: Image32, s_curve: float) -> Image32:
    """IEC 61966-2-1 (sRGB) encoding with an optional S-curve on the coded value."""
    clipped = np.clip(light, 0, 1)
    coded = np.where(clipped <= 0.0031308, 12.92 * clipped, 1.055 * clipped ** (1 / 2.4) - 0.055)
    if s_curve:
        coded = coded - s_curve * np.sin(2 * np.pi * coded) / (2 * np.pi)
    return coded.astype(np.float32)


def sharpen(coded: Image32, amount: float, scale: float) -> Image32:
    """Unsharp mask on coded values, as phones do it."""
    if amount == 0:
        return coded
    return coded + amount * (coded - cv2.GaussianBlur(coded, (0, 0), max(1.5 * scale, 0.8)))


def jpeg(codes: NDArray[np.uint8], scene: StrutScene) -> bytes:
    """JPEG with EXIF that says what the picture is."""
    image = Image.fromarray(codes)
    if scene.orientation == 6:  # stored turned a quarter to the left; the tag turns it back
        image = image.transpose(Image.Transpose.ROTATE_90)
    exif = Image.Exif()
    exif[0x010E] = "Rendered scene with known truth; not a photograph"
    exif[0x010F] = "Rendered"
    exif[0x0110] = "synthetic scene"
    exif[0x0112] = scene.orientation
    exif[0x0131] = "Gearwitness scene renderer"
    exif[0x0132] = scene.taken
    details = exif.get_ifd(0x8769)
    details[0x9003] = scene.taken
    details[0xA405] = round(scene.camera.f35_mm)
    out = io.BytesIO()
    image.save(out, "JPEG", quality=scene.post.jpeg_quality, subsampling=2, exif=exif)
    return out.getvalue()
