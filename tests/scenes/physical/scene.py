"""What a rendered strut photo shows: plain parameters, all in mm and degrees, that turn into JSON.

Frames
------
*Strut frame*: origin on the piston's axis in the plane of the collar's lower
rim, z up along the axis, x to the right and y away as seen from a camera at
azimuth 0.  Heights along z are called *s*: the rim is at s = 0, the band's
upper edge at s = -extension.
*World frame*: same origin, z up against gravity; the strut leans in it by its rake.
"""

import dataclasses
import json
from dataclasses import dataclass, field
from typing import Any, get_type_hints

Rgb = tuple[float, float, float]


@dataclass(frozen=True)
class LegShape:
    """The leg's form; `collar_mm` is the diameter of the lower rim, inside the chamfer."""

    piston_mm: float = 45.0
    collar_mm: float = 72.0
    cylinder_mm: float = 66.0
    extension_mm: float = 63.5
    chamfer_mm: float = 1.0
    collar_height_mm: float = 30.0
    band_height_mm: float = 18.0
    chrome_below_mm: float = 35.0
    slots: int = 0
    rake_side_deg: float = 0.0
    rake_fore_deg: float = 0.0
    form: str = "telescopic"  # or "spring": a flat bent leaf without piston
    running_gear: str = "fork"  # "fork", "side" (wheel beside, on the far side of the card), "behind"
    tire_mm: float = 330.0
    tire_width_mm: float = 120.0
    link_azimuth_deg: float | None = 180.0  # torque links: 0 toward the camera's side, 180 behind
    hose_side: int = -1  # -1 left, 1 right, 0 none


@dataclass(frozen=True)
class Finish:
    """Surfaces: reflectances in linear light, 0 to 1."""

    chrome_alpha: float = 0.02
    band_rgb: Rgb = (0.55, 0.03, 0.03)
    band_alpha: float = 0.12  # roughness of the lacquer; 0.03 mirrors a lamp sharply
    band_dirt: float = 0.0  # 0 clean to 1: share of the band's reflectance that dirt may take
    collar: str = "steel"  # "steel", "black", "grey", "cadmium"
    paint_rgb: Rgb = (0.75, 0.75, 0.73)
    paint_alpha: float = 0.08


@dataclass(frozen=True)
class CardHang:
    """How the scale card hangs; see `geometry.card_frame`.

    `stand_off_mm` is how far the printed face lies behind (+) or in front (-)
    of the piston's front line, along the card's normal; `gap_mm` from the
    piston's limb to the card's near edge; `top_mm` the height s of its top end.
    """

    present: bool = True
    side: int = 1
    gap_mm: float = 16.0
    stand_off_mm: float = 10.0
    top_mm: float = 75.0
    azimuth_deg: float = 0.0
    pitch_deg: float = 0.0
    roll_deg: float = 0.0
    bend_radius_mm: float = 0.0  # 0 flat, + convex toward the camera, - hollow


@dataclass(frozen=True)
class TagHang:
    """The small leg tag on the painted cylinder; `tag_id` None: no tag in the picture."""

    tag_id: int | None = None
    azimuth_deg: float = -12.0
    height_mm: float = 120.0


@dataclass(frozen=True)
class CameraPose:
    """Where the camera stands relative to the strut (azimuth, elevation about the rim's centre).

    `k1` follows OpenCV: x_d = x_u (1 + k1 r_u^2) in normalised coordinates, so
    k1 < 0 is barrel.  `lateral_colour` magnifies red by 1 + it and blue by 1 - it.
    """

    width_px: int = 3024
    height_px: int = 4032
    f35_mm: float = 26.0  # by the diagonal: f_px = f35 * diagonal_px / 43.2666
    distance_mm: float = 700.0
    azimuth_deg: float = 0.0
    elevation_deg: float = 0.0
    aim_x_mm: float = 25.0
    aim_s_mm: float = -30.0
    roll_deg: float = 0.0
    aperture_mm: float = 1.0  # radius of the entrance pupil; 0 is a pinhole
    k1: float = 0.0
    lateral_colour: float = 0.0


@dataclass(frozen=True)
class Light:
    """Surroundings, drawn from the scene's seed."""

    kind: str = "hangar"  # "hangar", "door", "overcast", "sun", "night"
    turn_deg: float = 0.0  # turns the surroundings' light about the vertical
    warmth: float = 0.0  # -1 bluish to 1 yellowish
    glare_lamp: bool = False
    belly_mm: float = 0.0  # height of the fuselage's underside above the rim; 0 none
    backdrop: str = "wall"  # "wall", "split", "clutter", "open"


@dataclass(frozen=True)
class Post:
    """What the phone makes of the light; lengths in pixels of the full-size photo."""

    psf_sigma_px: float = 0.8
    defocus_px: float = 0.0  # radius of a uniform disc
    motion_px: float = 0.0
    motion_deg: float = 0.0
    bloom: float = 0.0  # share of the light scattered widely (flare of a smeared lens)
    full_well_e: float = 9000.0
    read_noise_e: float = 4.0
    white_level: float = 0.8  # where the card's white lands in linear light, 1 clips
    s_curve: float = 0.0  # |s| < 0.5, steepens the mid tones on top of sRGB
    cast: tuple[float, float] = (1.0, 1.0)  # red and blue error of the white balance
    sharpen: float = 0.2
    jpeg_quality: int = 88


@dataclass(frozen=True)
class StrutScene:
    """One picture; everything in it follows from these values."""

    name: str
    seed: int
    leg_file: str = ""
    expected: dict[str, Any] = field(default_factory=dict)
    leg: LegShape = field(default_factory=LegShape)
    finish: Finish = field(default_factory=Finish)
    card: CardHang = field(default_factory=CardHang)
    tag: TagHang = field(default_factory=TagHang)
    camera: CameraPose = field(default_factory=CameraPose)
    light: Light = field(default_factory=Light)
    post: Post = field(default_factory=Post)
    taken: str = "2026:03:14 10:20:00"
    orientation: int = 1  # EXIF orientation of the stored file: 1 upright, 6 as most phones store it


def to_dict(scene: StrutScene) -> dict[str, Any]:
    """The scene as plain JSON values."""
    plain: dict[str, Any] = json.loads(json.dumps(dataclasses.asdict(scene)))
    return plain


def from_dict(data: dict[str, Any]) -> StrutScene:
    """The inverse of `to_dict`."""
    return _build(StrutScene, data)


def _build(kind: Any, data: dict[str, Any]) -> Any:
    hints = get_type_hints(kind)
    values = {}
    for key, value in data.items():
        if dataclasses.is_dataclass(hints[key]):
            values[key] = _build(hints[key], value)
        else:
            values[key] = tuple(value) if isinstance(value, list) else value
    return kind(**values)
