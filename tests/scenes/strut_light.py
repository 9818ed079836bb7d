"""What comes from afar: sky, ground and lamps, as level of light over direction."""

import numpy as np

from tests.scenes.strut_scene import StrutScene

Array = np.ndarray


def smooth(x: Array) -> Array:
    """Smoothstep of x clipped to [0, 1]."""
    x = np.clip(x, 0, 1)
    return x * x * (3 - 2 * x)


def horizon(scene: StrutScene, d: Array) -> Array:
    """Level (N,) of sky over ground from the directions d (N, 3)."""
    elevation = np.degrees(np.arctan2(d[:, 2], np.hypot(d[:, 0], d[:, 1])))
    return scene.ground + (scene.sky - scene.ground) * smooth(
        0.5 + elevation / (2 * scene.horizon_softness_deg)
    )


def with_lamps(scene: StrutScene, d: Array, level: Array) -> Array:
    """Lay the lamps over a level (N,), which is changed in place and returned."""
    elevation = np.degrees(np.arctan2(d[:, 2], np.hypot(d[:, 0], d[:, 1])))
    azimuth = azimuth_of(d)
    for lamp in scene.lamps:
        da = np.abs((azimuth - lamp.azimuth_deg + 180) % 360 - 180)
        inside = smooth((lamp.half_width_deg - da) / 3 + 0.5) * smooth(
            (lamp.half_height_deg - np.abs(elevation - lamp.elevation_deg)) / 3 + 0.5
        )
        level += (lamp.level - level) * inside
    return level


def azimuth_of(d: Array) -> Array:
    """Azimuth (N,) in degrees of directions (N, 3): 0 straight into the picture, positive to the right."""
    return np.degrees(np.arctan2(d[:, 0], d[:, 1]))
