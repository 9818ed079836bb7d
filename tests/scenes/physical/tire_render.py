"""Traces one tire scene and makes a phone's JPEG of it."""

import tempfile
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

from tests.scenes.physical.geometry import without_distortion
from tests.scenes.physical.metering import metered
from tests.scenes.physical.render import (
    DEPTH,
    FIREFLY,
    SAMPLES_A_PASS,
    _ready,
    margin_px,
    seen_by,
    steady_mean,
)
from tests.scenes.physical.stage import Stage
from tests.scenes.physical.tire_parts import add_line, add_marks, add_rim, add_tire
from tests.scenes.physical.tire_place import add_place
from tests.scenes.physical.tire_scene import WORLD, TireScene, carrier, scaled, view


def stage_tire(scene: TireScene, folder: Path) -> dict[str, Any]:
    """Every body of the scene as plain dictionaries; meshes are written into `folder`."""
    stage = Stage(folder, WORLD)
    add_tire(stage, scene)
    add_line(stage, scene)
    add_marks(stage, scene)
    add_rim(stage, scene)
    add_place(stage, scene)
    return stage.items


def render_tire(scene: TireScene, spp: int, scale: float, variant: str) -> NDArray[np.float32]:
    """Linear radiance (H + 2 margin, W + 2 margin, 3) of a thin lens without distortion."""
    import mitsuba as mi  # noqa: PLC0415 - the projection is testable without it

    mi.set_variant(variant)
    mi.set_log_level(mi.LogLevel.Error)
    with tempfile.TemporaryDirectory() as folder:
        world = {name: _ready(mi, item) for name, item in stage_tire(scene, Path(folder)).items()}
        world |= {"type": "scene", "integrator": {"type": "path", "max_depth": DEPTH, "rr_depth": 5}}
        built = mi.load_dict(world | {"sensor": tire_sensor(mi, scene, scale)})
        passes = (
            np.array(
                mi.render(built, spp=min(spp, SAMPLES_A_PASS), seed=scene.wheel.seed % 100_000 * 1000 + k)
            )
            for k in range(max(1, -(-spp // SAMPLES_A_PASS)))
        )
        return steady_mean((one[..., :3] for one in passes), FIREFLY)


def tire_sensor(mi: Any, scene: TireScene, scale: float) -> dict[str, Any]:
    """The camera of a tire's scene."""
    seen = without_distortion(view(scaled(scene.wheel, scale)))
    return seen_by(mi, seen, margin_px(carrier(scene), scale), scene.aperture_mm)


def finish_tire(linear: NDArray[np.float32], scene: TireScene, scale: float) -> bytes:
    """JPEG bytes of a traced picture: metering, lens, blur, noise, tone, sharpening."""
    from tests.scenes.physical import finish  # noqa: PLC0415 - tracing does without OpenCV

    strut, seen = carrier(scene), view(scaled(scene.wheel, scale))
    rng = np.random.default_rng([scene.wheel.seed, 31])
    light = finish.lens(
        metered(linear, scene.post.cast, scene.wheel.exposure / 0.85), strut, seen, margin_px(strut, scale)
    )
    light = finish.sensor_noise(finish.blur(light, strut, scale), strut, rng)
    coded = finish.sharpen(finish.tone(light, scene.post.s_curve), scene.post.sharpen, scale)
    return finish.jpeg(np.round(255 * np.clip(coded, 0, 1)).astype(np.uint8), strut)
