"""What decides a picture of the fast tier: the scene's numbers, and the truth kept beside it.

Strut frame, mm: origin where the piston enters the collar's lower face;
x to the right, y into the picture (away from the viewer), z up the axis.
"""

from dataclasses import dataclass, field
from typing import Any

from tests.scenes.extras import Extras


@dataclass(frozen=True)
class Lamp:
    """A bright (or dark) patch of the surroundings, soft at its border."""

    azimuth_deg: float
    elevation_deg: float
    half_width_deg: float
    half_height_deg: float
    level: float


@dataclass(frozen=True)
class StrutScene:
    """Everything that decides the picture.  Lengths mm, angles degrees."""

    seed: int = 1
    # camera
    width_px: int = 3024
    height_px: int = 4032
    focal_px: float = 3000.0
    k1: float = 0.0
    distance_mm: float = 1000.0
    elevation_deg: float = 5.0  # of the ray at the collar, positive from above
    azimuth_deg: float = 5.0
    roll_deg: float = 0.0
    aim_mm: tuple[float, float, float] = (20.0, 0.0, -60.0)
    # A rolling shutter: the camera's turn from the picture's middle row to one focal length
    # below it, to the right and downward, rad.
    shutter: tuple[float, float] = (0.0, 0.0)
    # strut
    extension_mm: float = 88.9
    piston_diameter_mm: float = 62.0
    collar_diameter_mm: float = 98.0
    cylinder_diameter_mm: float = 90.0
    chamfer_mm: float = 1.0
    collar_height_mm: float = 32.0
    band_height_mm: float = 18.0
    below_mm: float = 60.0
    band_rgb: tuple[float, float, float] = (0.42, 0.035, 0.03)
    band_hidden_deg: tuple[float, float] | None = None  # azimuths of a dirt patch over the band's edge
    collar_level: float = 0.35
    face_level: float = 0.18
    cylinder_level: float = 0.6
    # card
    card: str = "strip"
    card_side: int = 1
    card_gap_mm: float = 12.0
    card_low_mm: float = 25.0  # how far the card's lower end hangs below the band's upper edge
    stand_off_mm: float = 0.0  # printed face behind (+) or in front (-) of the piston's front line
    card_pitch_deg: float = 0.0
    card_yaw_deg: float = 0.0
    card_roll_deg: float = 0.0
    card_bend_radius_mm: float | None = None
    card_scale: tuple[float, float] = (1.0, 1.0)
    card_copy: int = 101
    # light
    sky: float = 0.55
    ground: float = 0.22
    horizon_softness_deg: float = 12.0
    lamps: tuple[Lamp, ...] = (
        Lamp(145, 25, 8, 20, 1.6),
        Lamp(-120, 10, 15, 40, 0.9),
        Lamp(180, -5, 14, 30, 0.08),
    )
    light: tuple[float, float, float] = (-0.4, -0.7, 0.6)
    chrome_f0: float = 0.6
    # camera electronics
    exposure: float = 0.85
    blur_px: float = 0.9
    noise: float = 0.006
    gamma: float = 1.0
    jpeg_quality: int | None = 88
    supersample: int = 2
    tags: dict[str, Any] = field(default_factory=dict)
    extras: Extras | None = None  # what the hard set adds; None draws as ever


@dataclass(frozen=True)
class Truth:
    """What the picture was made from."""

    extension_mm: float
    elevation_deg: float
    px_per_mm: float
    from_px: tuple[float, float]
    to_px: tuple[float, float]
    scene: dict[str, Any]
