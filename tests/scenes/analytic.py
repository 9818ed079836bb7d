"""The fast tier: struts ray-cast in numpy, with truth known to the last digit.

A scene is one strut with collar, band and card, seen by a pinhole camera with
radial distortion.  Only the window around strut and card is cast; the rest of
the picture is flat.  What matters for edges is physical: chrome mirrors the
surroundings, the collar's face and the card (Schlick's Fresnel term), the
band and the paint are matt, light adds up linearly, and only then come blur,
noise, the tone curve and JPEG.

Question -> file: the numbers of a scene `strut_scene`, of what the hard scenes add `extras`; camera and
card in space `strut_camera`; light from afar `strut_light`; what a ray meets `caster`, in hard scenes
`hard_caster`; noise, tone and JPEG `develop`.  A seed's picture must stay as it is, bit by bit
(`test_analytic_stays.py`): new features are extras, drawn from random streams of their own.
"""

from dataclasses import asdict

import cv2
import numpy as np

from tests.scenes.caster import Caster
from tests.scenes.develop import develop, soften
from tests.scenes.hard_caster import HardCaster
from tests.scenes.strut_camera import camera_pose, card_frame, project, undistort, unrolled
from tests.scenes.strut_scene import Lamp, StrutScene, Truth

__all__ = [
    "Lamp",
    "StrutScene",
    "Truth",
    "camera_pose",
    "card_frame",
    "cast_window",
    "develop",
    "project",
    "render",
]

BLOCK = 1 << 16  # samples cast at once: the working set stays in cache
Array = np.ndarray


def _window(scene: StrutScene, caster: Caster) -> tuple[int, int, int, int]:
    rc = scene.collar_diameter_mm / 2 + scene.chamfer_mm + 14
    low = -scene.extension_mm - scene.band_height_mm - 25
    high = scene.chamfer_mm + scene.collar_height_mm + 40
    points = [(x, y, z) for x in (-rc, rc) for y in (-rc, rc) for z in (low, high)]
    if caster.card is not None:
        for x in (-4, caster.card.width_mm + 4):
            for y in (-4, caster.card.height_mm + 4):
                points.append(caster.card_origin + x * caster.card_axes[0] + y * caster.card_axes[1])
    px = project(scene, np.array(points))
    limit = [scene.width_px, scene.height_px]
    x0, y0 = np.clip((px.min(axis=0) // 16 * 16).astype(int), 0, limit)
    x1, y1 = np.clip(((px.max(axis=0) + 16) // 16 * 16).astype(int), 0, limit)
    return int(x0), int(y0), int(x1), int(y1)


def cast_window(scene: StrutScene) -> tuple[Array, tuple[int, int]]:
    """Return the linear window (h, w, 3) after the lens's blur, and its corner (x0, y0)."""
    caster = Caster(scene) if scene.extras is None else HardCaster(scene)
    rng = np.random.default_rng(scene.seed)
    rotation, centre = camera_pose(scene)
    x0, y0, x1, y1 = _window(scene, caster)
    ss = scene.supersample
    width, height = (x1 - x0) * ss, (y1 - y0) * ss
    image = np.empty((height, width, 3), np.float32)
    middle = np.array([(scene.width_px - 1) / 2, (scene.height_px - 1) / 2])
    rows = max(1, BLOCK // width)
    columns = np.arange(width)
    for top in range(0, height, rows):
        r = np.arange(top, min(top + rows, height))
        # Jitter inside each cell: unbiased edges even where they run along the grid.
        jitter = rng.random((len(r), width, 2))
        px = np.stack(np.broadcast_arrays(columns[None, :], r[:, None]), axis=-1) + jitter
        px = (px / ss - 0.5 + [x0, y0] - middle).reshape(-1, 2) / scene.focal_px
        u = undistort(unrolled(px, scene.shutter), scene.k1)
        d = np.column_stack([u, np.ones(len(u))]) @ rotation
        d /= np.linalg.norm(d, axis=1, keepdims=True)
        image[r] = caster.cast(centre, d).reshape(len(r), width, 3)
    sigma = scene.blur_px * ss
    if sigma > 0:
        image = cv2.GaussianBlur(image, (0, 0), sigma, borderType=cv2.BORDER_REPLICATE)
    image = cv2.resize(image, (width // ss, height // ss), interpolation=cv2.INTER_AREA)
    if scene.extras is not None:
        image = soften(image, scene.extras)
    return image, (x0, y0)


def render(scene: StrutScene) -> tuple[Array, Truth]:
    """Return the upright picture (H, W, 3) uint8 RGB and its truth."""
    linear, (x0, y0) = cast_window(scene)
    window = develop(scene, linear)
    picture = np.empty((scene.height_px, scene.width_px, 3), np.uint8)
    picture[:] = np.median(window.reshape(-1, 3), axis=0).astype(np.uint8)
    picture[y0 : y0 + window.shape[0], x0 : x0 + window.shape[1]] = window
    rotation, centre = camera_pose(scene)
    ends = []
    rings = ((-scene.extension_mm, scene.piston_diameter_mm / 2), (0.0, scene.collar_diameter_mm / 2))
    for z, radius in rings:
        front = np.array([centre[0], centre[1]]) / np.hypot(centre[0], centre[1]) * radius
        ends.append([*front, z])
    px = project(scene, np.array(ends))
    depth = (np.array([0, 0, -scene.extension_mm / 2]) - centre) @ rotation[2]
    truth = Truth(
        extension_mm=scene.extension_mm,
        elevation_deg=scene.elevation_deg,
        px_per_mm=scene.focal_px / depth,
        from_px=(float(px[0, 0]), float(px[0, 1])),
        to_px=(float(px[1, 0]), float(px[1, 1])),
        scene=asdict(scene),
    )
    return picture, truth
