"""Traces one scene into a linear picture.  Needs numpy and the renderer, nothing else."""

import tempfile
from collections.abc import Iterable
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

from tests.scenes.physical.card_parts import add_card, add_tag
from tests.scenes.physical.geometry import Camera, camera, strut_to_world
from tests.scenes.physical.running_gear import add_running_gear, add_spring_leaf
from tests.scenes.physical.scene import StrutScene
from tests.scenes.physical.stage import Stage
from tests.scenes.physical.strut_parts import add_strut
from tests.scenes.physical.surroundings import add_surroundings
from tests.scenes.physical.textures import Textures

DEPTH = 8  # bounces: chrome mirrors painted things that mirror the floor
SAMPLES_A_PASS = 16
FIREFLY = 25.0  # a pass's pixel is clipped here (a white card is about 0.3 to 1.5)


def margin_px(scene: StrutScene, scale: float) -> int:
    """Extra border that a barrel lens bends into the picture."""
    return round(160 * scale) if scene.camera.k1 < 0 else round(8 * scale)


def stage_scene(scene: StrutScene, textures: Textures, folder: Path) -> dict[str, Any]:
    """Every body of the scene as plain dictionaries; meshes are written into `folder`."""
    stage = Stage(folder, strut_to_world(scene))
    if scene.leg.form == "spring":
        add_spring_leaf(stage, scene)
    else:
        add_strut(stage, scene)
    add_running_gear(stage, scene)
    add_card(stage, scene, textures)
    add_tag(stage, scene, textures)
    add_surroundings(stage, scene)
    return stage.items


def render(
    scene: StrutScene, textures: Textures, spp: int, scale: float, variant: str
) -> NDArray[np.float32]:
    """Linear radiance (H + 2 margin, W + 2 margin, 3) of a pinhole or thin lens without distortion."""
    with tempfile.TemporaryDirectory() as folder:
        return trace(stage_scene(scene, textures, Path(folder)), scene, spp, scale, variant)


def trace(
    items: dict[str, Any], scene: StrutScene, spp: int, scale: float, variant: str
) -> NDArray[np.float32]:
    """What `render` gives, of a scene staged beforehand; its mesh files must still be there."""
    import mitsuba as mi  # noqa: PLC0415 - the projection is testable without it

    mi.set_variant(variant)
    # Leaning rods trip a check for shear at single precision; their outlines are right
    # (tests/scenes/test_physical_render.py).
    mi.set_log_level(mi.LogLevel.Error)
    world = {name: _ready(mi, item) for name, item in items.items()}
    world |= {"type": "scene", "integrator": {"type": "path", "max_depth": DEPTH, "rr_depth": 5}}
    built = mi.load_dict(world | {"sensor": sensor(mi, scene, scale)})
    pictures = (
        np.array(mi.render(built, spp=min(spp, SAMPLES_A_PASS), seed=scene.seed * 1000 + k))[..., :3]
        for k in range(max(1, -(-spp // SAMPLES_A_PASS)))
    )
    return steady_mean(pictures, 1e6 if scene.light.glare_lamp else FIREFLY)


def steady_mean(pictures: Iterable[NDArray[np.float32]], limit: float) -> NDArray[np.float32]:
    """Mean of the passes with each pixel's brightest pass counted as its second brightest.

    One rare path over chrome to a lamp would otherwise leave a white dot.  With
    16 passes this shifts an edge pixel by under 0.5 % of the edge's step.
    """
    total = first = second = np.float32(0)
    count = 0
    for count, picture in enumerate(pictures, start=1):  # noqa: B007 - the count is used after the loop
        light = np.minimum(picture.astype(np.float32), np.float32(limit))
        total = total + light
        second = np.maximum(second, np.minimum(first, light))
        first = np.maximum(first, light)
    if count >= 4:
        total = total - first + second
    return np.asarray(total / np.float32(count), dtype=np.float32)


def sensor(mi: Any, scene: StrutScene, scale: float) -> dict[str, Any]:
    """The camera of a strut's scene."""
    return seen_by(mi, camera(scene, scale), margin_px(scene, scale), scene.camera.aperture_mm)


def seen_by(mi: Any, view: Camera, edge: int, aperture_mm: float) -> dict[str, Any]:
    """A camera with so many px of margin.

    A box filter: a pixel is the mean over its own square, blur comes later.
    """
    width, height = view.width + 2 * edge, view.height + 2 * edge
    _, down, forward = view.R
    focus = float(view.centre @ -forward)
    pose = mi.ScalarTransform4f().look_at(
        origin=view.centre.tolist(), target=(view.centre + forward).tolist(), up=(-down).tolist()
    )
    lens: dict[str, Any] = {"type": "perspective"}
    if aperture_mm > 0:
        lens = {"type": "thinlens", "aperture_radius": aperture_mm, "focus_distance": focus}
    return lens | {
        "fov_axis": "x",
        "fov": float(2 * np.degrees(np.arctan(width / 2 / view.f_px))),
        "near_clip": 20.0,
        "far_clip": 50000.0,
        "to_world": pose,
        "film": {
            "type": "hdrfilm",
            "width": width,
            "height": height,
            "pixel_format": "rgb",
            "component_format": "float32",
            "rfilter": {"type": "box"},
        },
        "sampler": {"type": "independent"},
    }


def _ready(mi: Any, item: Any) -> Any:
    """Turn the stage's own placeholders (arrays, turned sky) into the renderer's objects."""
    if not isinstance(item, dict):
        return item
    item = {key: _ready(mi, value) for key, value in item.items()}
    if "array" in item:
        item["bitmap"] = mi.Bitmap(item.pop("array"))
    if "turn_deg" in item:
        turn = item.pop("turn_deg")
        item["to_world"] = mi.ScalarTransform4f().rotate([0, 0, 1], turn).rotate([1, 0, 0], 90)
    return item
