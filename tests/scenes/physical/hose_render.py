"""Traces one scene of hoses and makes a phone's JPEG of it."""

import tempfile
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

from tests.scenes.physical.geometry import camera
from tests.scenes.physical.hose_parts import add_hose
from tests.scenes.physical.hose_place import add_place
from tests.scenes.physical.hose_scene import HoseScene, Seen, carrier
from tests.scenes.physical.metering import metered
from tests.scenes.physical.render import margin_px, trace
from tests.scenes.physical.stage import Stage


def stage_hoses(scene: HoseScene, scale: float, folder: Path) -> dict[str, Any]:
    """Every body of the scene as plain dictionaries; meshes are written into `folder`."""
    seen = Seen(scene, scale)
    stage = Stage(folder, seen.turn)
    for index in range(len(scene.hoses)):
        add_hose(stage, seen, index)
    add_place(stage, Seen(scene))
    return stage.items


def render_hoses(scene: HoseScene, spp: int, scale: float, variant: str) -> NDArray[np.float32]:
    """Linear radiance (H + 2 margin, W + 2 margin, 3) of a thin lens without distortion."""
    with tempfile.TemporaryDirectory() as folder:
        return trace(stage_hoses(scene, scale, Path(folder)), carrier(scene), spp, scale, variant)


def finish_hoses(linear: NDArray[np.float32], scene: HoseScene, scale: float) -> bytes:
    """JPEG bytes of a traced picture: metering, lens, blur, noise, tone, sharpening."""
    from tests.scenes.physical import finish  # noqa: PLC0415 - tracing does without OpenCV

    strut = carrier(scene)
    rng = np.random.default_rng([scene.seed, 31])
    light = metered(linear, scene.post.cast, scene.exposure)
    light = finish.lens(light, strut, camera(strut, scale), margin_px(strut, scale))
    light = finish.sensor_noise(finish.blur(light, strut, scale), strut, rng)
    coded = finish.sharpen(finish.tone(light, scene.post.s_curve), scene.post.sharpen, scale)
    return finish.jpeg(np.round(255 * np.clip(coded, 0, 1)).astype(np.uint8), strut)
