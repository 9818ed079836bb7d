"""Unfair photos drawn by chance: a fair scene with one to four things done badly or in the way."""

from collections.abc import Callable
from dataclasses import dataclass, replace
from typing import Any

import numpy as np

from tests.scenes.physical.fair import fair_scene
from tests.scenes.physical.scene import StrutScene

STREAM = 6
BASE = 500_000  # of the seeds of the fair scenes beneath
Rng = np.random.Generator


@dataclass(frozen=True)
class WideScene:
    """A scene, what is bad about it, and what its leg's data say wrongly (factors by key)."""

    scene: StrutScene
    features: tuple[str, ...]
    wrong: dict[str, float]


def _far(scene: StrutScene, rng: Rng) -> StrutScene:
    return _camera(scene, distance_mm=float(rng.uniform(900, 1500) * (scene.camera.f35_mm / 26) ** 0.4))


def _high(scene: StrutScene, rng: Rng) -> StrutScene:
    return _camera(scene, elevation_deg=float(rng.choice([rng.uniform(12, 20), rng.uniform(-16, -10)])))


def _aside(scene: StrutScene, rng: Rng) -> StrutScene:
    return _card(
        scene, azimuth_deg=scene.camera.azimuth_deg + float(rng.choice([-1, 1]) * rng.uniform(14, 27))
    )


def _roll(scene: StrutScene, rng: Rng) -> StrutScene:
    return _camera(scene, roll_deg=float(rng.uniform(-40, 40)))


def _rake(scene: StrutScene, rng: Rng) -> StrutScene:
    side, fore = (float(v) for v in rng.uniform(-8, 8, 2))
    return replace(scene, leg=replace(scene.leg, rake_side_deg=side, rake_fore_deg=fore))


def _lens(scene: StrutScene, rng: Rng) -> StrutScene:
    return _camera(scene, k1=float(rng.uniform(-0.04, 0.04)), lateral_colour=float(rng.normal(0, 4e-4)))


def _not_parallel(scene: StrutScene, rng: Rng) -> StrutScene:
    return _card(scene, pitch_deg=float(rng.choice([-1, 1]) * rng.uniform(1.5, 5)))


def _bent(scene: StrutScene, rng: Rng) -> StrutScene:
    return _card(scene, bend_radius_mm=float(rng.choice([-1, 1]) * rng.uniform(300, 2000)))


def _deep(scene: StrutScene, rng: Rng) -> StrutScene:
    return _card(scene, stand_off_mm=float(rng.choice([rng.uniform(-30, -5), rng.uniform(28, 50)])))


def _behind(scene: StrutScene, rng: Rng) -> StrutScene:
    return _card(
        scene, stand_off_mm=scene.leg.piston_mm + float(rng.uniform(8, 30)), gap_mm=float(rng.uniform(-15, 4))
    )


def _low_card(scene: StrutScene, rng: Rng) -> StrutScene:
    return _card(scene, top_mm=float(rng.uniform(-25, 30)))


def _dirty(scene: StrutScene, rng: Rng) -> StrutScene:
    return _finish(scene, band_dirt=float(rng.uniform(0.4, 0.95)))


def _faded(scene: StrutScene, rng: Rng) -> StrutScene:
    fade = float(rng.uniform(0.2, 0.6))
    red = (1 - fade) * np.asarray(scene.finish.band_rgb) + fade * np.array([0.5, 0.36, 0.33])
    return _finish(scene, band_rgb=tuple(float(v) for v in red))


def _glossy(scene: StrutScene, rng: Rng) -> StrutScene:
    return _finish(
        scene, band_alpha=float(rng.uniform(0.02, 0.06)), chrome_alpha=float(rng.uniform(0.005, 0.01))
    )


def _matt_chrome(scene: StrutScene, rng: Rng) -> StrutScene:
    return _finish(scene, chrome_alpha=float(rng.uniform(0.05, 0.12)))


def _glare(scene: StrutScene, _: Rng) -> StrutScene:
    return replace(scene, light=replace(scene.light, glare_lamp=True))


def _shaken(scene: StrutScene, rng: Rng) -> StrutScene:
    return _post(scene, motion_px=float(rng.uniform(1.5, 7)), motion_deg=float(rng.uniform(0, 180)))


def _defocused(scene: StrutScene, rng: Rng) -> StrutScene:
    return _post(scene, defocus_px=float(rng.uniform(1, 4)))


def _smeared(scene: StrutScene, rng: Rng) -> StrutScene:
    return _post(scene, bloom=float(rng.uniform(0.05, 0.25)))


def _developed(scene: StrutScene, rng: Rng) -> StrutScene:
    return _post(
        scene,
        s_curve=float(rng.uniform(-0.25, 0.4)),
        sharpen=float(rng.uniform(0.5, 1.4)),
        jpeg_quality=int(rng.integers(60, 80)),
        cast=(float(rng.normal(1, 0.12)), float(rng.normal(1, 0.12))),
    )


def _burnt(scene: StrutScene, rng: Rng) -> StrutScene:
    return _post(scene, white_level=float(rng.uniform(0.95, 1.2)))


def _camera(scene: StrutScene, **values: Any) -> StrutScene:
    return replace(scene, camera=replace(scene.camera, **values))


def _card(scene: StrutScene, **values: Any) -> StrutScene:
    return replace(scene, card=replace(scene.card, **values))


def _finish(scene: StrutScene, **values: Any) -> StrutScene:
    return replace(scene, finish=replace(scene.finish, **values))


def _post(scene: StrutScene, **values: Any) -> StrutScene:
    return replace(scene, post=replace(scene.post, **values))


FEATURES: dict[str, Callable[[StrutScene, Rng], StrutScene]] = {
    "far away": _far,
    "from above or below": _high,
    "card turned aside": _aside,
    "rolled": _roll,
    "rake": _rake,
    "lens": _lens,
    "card not parallel": _not_parallel,
    "card bent": _bent,
    "deep stand-off": _deep,
    "card behind the strut": _behind,
    "card too low": _low_card,
    "dirty band": _dirty,
    "faded band": _faded,
    "glossy band": _glossy,
    "matt chrome": _matt_chrome,
    "lamp mirrored": _glare,
    "shake": _shaken,
    "defocus": _defocused,
    "smeared lens": _smeared,
    "another development": _developed,
    "burnt out": _burnt,
}
WRONG_DATA = {
    "wrong piston diameter": ("piston_diameter_mm", 0.005, 0.02),
    "wrong collar diameter": ("collar_diameter_mm", 0.005, 0.03),
    "wrong cylinder diameter": ("cylinder_diameter_mm", 0.005, 0.03),
}


def wide_scene(seed: int, k: int) -> WideScene:
    """The k-th unfair scene of a seed; the same for ever."""
    rng = np.random.default_rng([seed, k, STREAM])
    scene = fair_scene(BASE + seed, k)
    count = int(rng.choice([1, 2, 3, 4], p=[0.4, 0.3, 0.2, 0.1]))
    names = [str(name) for name in rng.choice([*FEATURES, *WRONG_DATA], count, replace=False)]
    wrong = {}
    for name in names:
        if name in WRONG_DATA:
            key, least, most = WRONG_DATA[name]
            wrong[key] = 1 + float(rng.choice([-1, 1]) * rng.uniform(least, most))
        else:
            scene = FEATURES[name](
                scene, np.random.default_rng([seed, k, STREAM, list(FEATURES).index(name)])
            )
    scene = replace(scene, name=f"wide_{seed}_{k:03d}", seed=700_000 + 1_000 * seed + k)
    return WideScene(scene, tuple(names), wrong)
