"""Random scenes of the analytic tier: fair ones, and ones wide enough to hurt.

"Fair" means what a careful mechanic gives: px/mm ≥ 2, elevation within ± 12°,
tilt ≤ 20°, card flat and whole in view, band and rim clear, blur ≤ 1.8 px, the
leg's diameters right, check bars measured, stand-off told.
"""

from dataclasses import dataclass, field, replace
from typing import Any

import numpy as np

from tests.scenes.analytic import Lamp, StrutScene

STRUTS = (
    # piston, collar, cylinder diameters (mm); invented
    (45.0, 72.0, 66.0),
    (62.0, 98.0, 90.0),
    (80.0, 116.0, 108.0),
)
HAND_STREAM = 31
HAND_DEG_S = 2.0  # from memory


@dataclass(frozen=True)
class Case:
    """One scene with what the measuring side is told about it.

    `leg_changes` are wrong or further data of the leg (a value None leaves the key out);
    `truth_offset_mm` is what the plate's length has more than the scene's rings (a wiper's lip: less);
    `features` names what a hard scene has.
    """

    scene: StrutScene
    f35_told: float
    stand_off_told: tuple[float, float] | None
    bars_told: tuple[float, float] | None
    cell: dict[str, str]
    leg_changes: dict[str, float | None] = field(default_factory=dict)
    truth_offset_mm: float = 0.0
    features: tuple[str, ...] = ()


def _focal(rng: np.random.Generator, width: int, height: int) -> tuple[float, float, str]:
    """True focal length (px), the whole number a phone would write, and the rule it used."""
    f35 = rng.uniform(24, 50)
    rule = "diagonal" if rng.random() < 0.5 else "width"
    unit = np.hypot(width, height) / np.hypot(36, 24) if rule == "diagonal" else max(width, height) / 36
    breathing = 1 + rng.normal() * 0.005
    return float(f35 * unit * breathing), float(round(f35)), rule


def _lamps(rng: np.random.Generator) -> tuple[Lamp, ...]:
    lamps = [
        Lamp(
            float(rng.uniform(-180, 180)),
            float(rng.uniform(-10, 50)),
            float(rng.uniform(3, 25)),
            float(rng.uniform(8, 40)),
            float(rng.choice([rng.uniform(0.02, 0.15), rng.uniform(0.8, 2.0)])),
        )
        for _ in range(int(rng.integers(2, 6)))
    ]
    return (*lamps, Lamp(float(180 + rng.uniform(-15, 15)), -5.0, float(rng.uniform(6, 16)), 30.0, 0.08))


def draw(seed: int, fair: bool) -> Case:
    """Draw one case; the same seed gives the same case for ever."""
    rng = np.random.default_rng([seed, int(fair)])
    width, height = 3024, 4032
    focal, f35, rule = _focal(rng, width, height)
    piston, collar, cylinder = STRUTS[rng.integers(len(STRUTS))]
    extension = float(rng.uniform(20, 160))
    low, high = (0.5, 1.1) if fair else (0.5, 1.5)
    distance = float(np.clip(rng.uniform(low, high) * 1000, 0, focal / 2.1 if fair else 1500))
    # A strut with its card must fit into the picture.
    distance = max(distance, focal * 300 / (0.92 * height), focal * (collar + 120) / (0.92 * width))
    elevation = float(rng.uniform(-10, 12) if fair else rng.uniform(-10, 20))
    told = (float(rng.uniform(-30, 50)), 1.0)
    stand_off = told[0] + float(rng.normal() * told[1])
    scale = 1 + rng.uniform(-0.01, 0.01, 2)
    bars = tuple(
        float(b) for b in (200 * scale[1] + rng.normal() * 0.15, 30 * scale[0] + rng.normal() * 0.15)
    )
    knows_stand_off, knows_bars = fair or rng.random() < 0.4, fair or rng.random() < 0.5
    # Above the collar's middle, below the band: aim somewhere between.
    aim = (float(rng.uniform(-10, 40)), 0.0, float(-extension / 2 + rng.uniform(-40, 40)))
    bend = None
    if not fair and rng.random() < 0.25:
        bend = float(rng.uniform(300, 2000) * rng.choice([-1, 1]))
    scene = StrutScene(
        seed=seed,
        width_px=width,
        height_px=height,
        focal_px=focal,
        k1=float(rng.uniform(-0.04, 0.04) * (0.5 if fair else 1.0)),
        distance_mm=distance,
        elevation_deg=elevation,
        azimuth_deg=float(rng.uniform(-18, 18) if fair else rng.uniform(-25, 25)),
        roll_deg=float(rng.uniform(-12, 12)),
        aim_mm=aim,
        extension_mm=extension,
        piston_diameter_mm=piston,
        collar_diameter_mm=collar,
        cylinder_diameter_mm=cylinder,
        chamfer_mm=float(rng.choice([0.0, 0.5, 1.0, 1.5, 2.0])),
        collar_height_mm=float(rng.uniform(22, 40)),
        band_height_mm=float(rng.uniform(12, 24)),
        below_mm=float(rng.uniform(30, 70)),
        band_rgb=tuple(np.array([0.42, 0.035, 0.03]) * rng.uniform(0.6, 1.2) + rng.uniform(0, 0.05)),
        collar_level=float(rng.uniform(0.08, 0.7)),
        face_level=float(rng.uniform(0.05, 0.4)),
        cylinder_level=float(rng.uniform(0.15, 0.8)),
        card_side=int(rng.choice([-1, 1])),
        card_gap_mm=float(rng.uniform(6, 25)),
        card_low_mm=float(rng.uniform(8, max(10.0, min(60.0, 220 - extension - 10)))),
        stand_off_mm=stand_off,
        card_pitch_deg=float(rng.normal() * 1.0 if fair else rng.uniform(-5, 5)),
        card_yaw_deg=float(rng.normal() * 3.0),
        card_roll_deg=float(rng.uniform(-3, 3)),
        card_bend_radius_mm=bend,
        card_scale=(float(scale[0]), float(scale[1])),
        sky=float(rng.uniform(0.3, 0.8)),
        ground=float(rng.uniform(0.08, 0.3)),
        horizon_softness_deg=float(rng.uniform(4, 25)),
        lamps=_lamps(rng),
        light=(float(rng.uniform(-1, 1)), -0.7, float(rng.uniform(0.1, 0.9))),
        exposure=float(rng.uniform(0.6, 1.0)),
        blur_px=float(rng.uniform(0.6, 1.4) if fair else rng.uniform(0.6, 2.2)),
        noise=float(rng.uniform(0.002, 0.012)),
        gamma=float(np.exp(rng.normal() * 0.05)),
        jpeg_quality=int(rng.integers(78, 96) if fair else rng.integers(60, 96)),
    )
    cell = {
        "set": "fair" if fair else "wide",
        "elevation": f"{int(np.floor(elevation / 5) * 5):+d}°",
        "extension": f"{int(extension // 50 * 50)} mm",
        "stand-off": "told" if knows_stand_off else "not told",
        "bars": "measured" if knows_bars else "not measured",
        "bent": "flat" if bend is None else ("bent < 1 m" if abs(bend) < 1000 else "bent 1–2 m"),
        "rule": rule,
        "blur": "≤ 1" if scene.blur_px <= 1 else ("≤ 1.8" if scene.blur_px <= 1.8 else "> 1.8"),
    }
    return Case(scene, f35, told if knows_stand_off else None, bars if knows_bars else None, cell)


def in_hand(case: Case) -> Case:
    """Return the case as a hand photographs it: the camera turns at 2°/s (sd) while 10 to 30 ms of rows are read.

    A random stream of its own, so that the scenes of any seed stay what they are.
    """
    rng = np.random.default_rng([case.scene.seed, HAND_STREAM])
    read_out_s = float(rng.uniform(0.01, 0.03)) * case.scene.focal_px / case.scene.height_px
    right, down = np.radians(rng.normal(0, HAND_DEG_S, 2)) * read_out_s
    return replace(case, scene=replace(case.scene, shutter=(float(right), float(down))))


def describe(case: Case) -> dict[str, Any]:
    """What the measuring side is told, for the truth file of an exported picture."""
    return {
        "focal_35mm": case.f35_told,
        "stand_off": case.stand_off_told,
        "check_bars": case.bars_told,
        "cell": case.cell,
    }
