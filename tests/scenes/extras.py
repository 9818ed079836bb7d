"""What the hard scenes add to a strut: all absent by default, so that old scenes stay as they were."""

from dataclasses import dataclass


@dataclass(frozen=True)
class Board:
    """A matt rectangle square to the viewing direction: a red tag, a torque link's arm.

    `centre_mm` is in the strut's frame; `turn_deg` turns it in its own plane, counter-clockwise as seen.
    """

    centre_mm: tuple[float, float, float]
    half_mm: tuple[float, float]
    turn_deg: float = 0.0
    rgb: tuple[float, float, float] = (0.5, 0.5, 0.5)


@dataclass(frozen=True)
class Ring:
    """A ring of oil or grime on the chrome: its middle below the rim (negative z), height, and light kept."""

    z_mm: float
    height_mm: float
    rgb: tuple[float, float, float] = (0.55, 0.42, 0.25)


@dataclass(frozen=True)
class Extras:
    """Lengths mm, angles degrees, image lengths in pixels of the full picture.

    Attributes
    ----------
    rake_deg : (float, float)
        The strut leans sideways and fore-and-aft: its surroundings' horizon is turned the other way.
    split : (azimuth, level) or None
        From this azimuth on to the right the far background has another level; the border is sharp.
    red_patch : (azimuth, elevation, half width) or None
        A red thing far away, seen directly or mirrored.
    slots, slots_through_rim : int, bool
        Dark spanner slots in the collar's wall; through its rim where told.
    lip_mm, lip_over_mm : float
        A rubber wiper lip hanging below the rim by so much, standing out from the piston by so much.
    band_dirt : float, 0 to 1
        Share of the band's light that patches of grime may take.
    tone : str
        ``"srgb"``, ``"root"`` (pure 1/2.2) or ``"film"`` (a shoulder that rolls the lights off).
    s_curve : float, |s| < 0.5
        Steepens (+) or flattens (-) the mid tones on top.
    sharpen, sharpen_px : float
        Unsharp mask on coded values: amount and radius.
    defocus_px : float
        Radius of a uniform disc.
    shake_px, shake_deg : float
        Length and direction of a straight shake.
    """

    rake_deg: tuple[float, float] = (0.0, 0.0)
    split: tuple[float, float] | None = None
    red_patch: tuple[float, float, float] | None = None
    slots: int = 0
    slots_through_rim: bool = False
    lip_mm: float = 0.0
    lip_over_mm: float = 2.5
    oil: tuple[Ring, ...] = ()
    band_dirt: float = 0.0
    boards: tuple[Board, ...] = ()
    tone: str = "srgb"
    s_curve: float = 0.0
    sharpen: float = 0.0
    sharpen_px: float = 1.2
    defocus_px: float = 0.0
    shake_px: float = 0.0
    shake_deg: float = 0.0
