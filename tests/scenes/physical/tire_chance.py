"""Traced tires drawn by chance: the analytic tier's cases before a phone's camera of 12 megapixels."""

from dataclasses import replace

import numpy as np

from tests.scenes.physical.geometry import DIAGONAL_35_MM
from tests.scenes.physical.scene import Light, Post
from tests.scenes.physical.tire_scene import TireLooks, TireScene
from tests.scenes.tire_draw import PHONE_MM, TireCase, draw_tire
from tests.scenes.wheel_scene import WheelScene

WIDTH_PX, HEIGHT_PX = 4032, 3024
STREAM = {"fair": 61, "wide": 62, "faults": 63}
Rng = np.random.Generator
TEXTS = ("18X5.5-8 TL", "TUBELESS", "8PR", "REBALANCE", "1624", "LUNAR")


def tire_scenes(kind: str, count: int, seed: int) -> list[TireScene]:
    """`count` scenes of a kind; the k-th depends on (seed, k) only."""
    return [tire_scene(kind, seed, k) for k in range(count)]


def tire_scene(kind: str, seed: int, k: int) -> TireScene:
    """The k-th scene of a seed: "fair", "wide" or "faults"."""
    rng = np.random.default_rng([seed, k, STREAM[kind]])
    # 12 faults in turn, whatever the seed.
    case = draw_tire(12_000 * (1 + seed) + k, kind)
    case = before_phone(case, rng, fair=kind != "wide")
    return TireScene(
        f"tire_{kind}_{seed}_{k:03d}",
        case,
        _looks(rng, case.scene),
        _light(rng),
        _post(rng, kind),
        aperture_mm=float(rng.uniform(0.5, 1.2)),
        lateral_colour=float(rng.normal(0, 1e-4)),
    )


def before_phone(case: TireCase, rng: Rng, *, fair: bool) -> TireCase:
    """The case seen by a phone: nominal focal length of its lens in the file, the wheel well inside the picture."""
    scene = case.scene
    nominal = float(rng.choice([24, 26, 28, 48, 52], p=[0.25, 0.3, 0.15, 0.15, 0.15]))
    focal = (nominal + rng.uniform(-0.45, 0.45)) * np.hypot(WIDTH_PX, HEIGHT_PX) / DIAGONAL_35_MM
    outside = scene.outside_diameter_mm
    nearest = max(1.7, focal / (0.76 * HEIGHT_PX))
    farthest = max(min(nearest * 1.7, focal / ((1.5 if fair else 1.0) * outside)), nearest)
    distance = float(rng.uniform(nearest, farthest)) * outside
    calibrated = case.k1_u < 0.01
    told = (
        focal * (1 + 0.005 * rng.normal())
        if calibrated
        else nominal * np.hypot(WIDTH_PX, HEIGHT_PX) / DIAGONAL_35_MM
    )
    seen = replace(
        scene,
        width_px=WIDTH_PX,
        height_px=HEIGHT_PX,
        focal_px=float(focal),
        distance_mm=distance,
        aim_mm=(float(rng.normal() * 0.04 * outside), float(rng.normal() * 0.03 * outside)),
        seed=scene.seed % 100_000,
        rib=0.0 if _under_line(scene) else scene.rib,
    )
    # Nobody holds a phone below the ground: at this distance too.
    lowest = -float(np.degrees(np.arcsin(np.clip((scene.loaded_radius_mm - PHONE_MM) / distance, 0.0, 1.0))))
    seen = replace(seen, pitch_deg=max(scene.pitch_deg, lowest))
    return replace(
        case, scene=seen, focal_told=float(told), focal_u=float(case.focal_u / case.scene.focal_px * focal)
    )


def _under_line(scene: WheelScene) -> bool:
    """Whether a moulded ring would cross the line: no maker lays one over the other."""
    height = scene.outside_diameter_mm / 2 - scene.flange_radius
    away = abs(scene.rib - scene.line_radius) * height
    half = scene.line_length_mm / 2
    bow = half**2 / (2 * (scene.flange_radius + scene.line_radius * height)) + half * np.sin(np.radians(5.0))
    return bool(scene.rib and away < bow + 8.0)


def _looks(rng: Rng, wheel: WheelScene) -> TireLooks:
    marks = [wheel.line_clock_deg] + [c for c in (wheel.mark_clock_deg,) if c is not None]
    height = wheel.outside_diameter_mm / 2 - wheel.flange_radius
    letters = []
    for text in rng.permutation(TEXTS)[: int(rng.integers(1, 4))]:
        clock = float(rng.uniform(0, 360))
        if all(abs((clock - m + 180) % 360 - 180) > 48 for m in marks):
            letters.append((str(text), clock, float(np.clip(0.17 * height, 6, 22))))
            marks.append(clock)
    return TireLooks(
        lip_round_mm=float(rng.uniform(1.2, 3.2)),
        lip_face=float(rng.uniform(0.89, 0.96)),
        well_mm=float(rng.uniform(6, 26)),
        pockets=int(rng.choice([0, 6, 8, 9])),
        pocket_clock_deg=float(rng.uniform(0, 60)),
        rim_alpha=float(rng.uniform(0.1, 0.3)),
        bare_rim=bool(rng.random() < 0.2),
        brake_dust=float(rng.uniform(0, 0.7)),
        rubber_alpha=float(rng.uniform(0.3, 0.55)),
        tire_dust=float(rng.uniform(0, 0.7)),
        scuffs=int(rng.integers(0, 16)),
        grooves=int(rng.choice([0, 2, 4])),
        rib_mm=float(rng.uniform(0.3, 0.8)),
        line_raised_mm=float(rng.choice([0.0, rng.uniform(0.3, 0.8)])),
        mark_wear=float(rng.uniform(0, 0.3)),
        mark_alpha=float(rng.uniform(0.1, 0.3)),
        lettering=tuple(letters),
        twin=bool(rng.random() < 0.2),
        leg_radius_mm=float(rng.uniform(0.06, 0.1) * wheel.outside_diameter_mm),
        hides=str(rng.choice(["panel", "dark"])),
        floor_level=wheel.ground_level,
    )


def _light(rng: Rng) -> Light:
    return Light(
        kind=str(rng.choice(["hangar", "door", "overcast", "sun", "night"])),
        turn_deg=float(rng.uniform(0, 360)),
        warmth=float(rng.uniform(-0.3, 0.6)),
        belly_mm=float(rng.choice([0.0, rng.uniform(400, 1000)])),
        backdrop=str(rng.choice(["wall", "split", "clutter", "open"])),
    )


def _post(rng: Rng, kind: str) -> Post:
    wide = kind == "wide"
    return Post(
        psf_sigma_px=float(rng.uniform(0.6, 1.8 if wide else 1.2)),
        full_well_e=float(rng.uniform(3500, 12000)),
        s_curve=float(rng.uniform(-0.1, 0.25)),
        cast=(float(rng.normal(1, 0.03)), float(rng.normal(1, 0.03))),
        sharpen=float(rng.uniform(0, 0.5)),
        jpeg_quality=int(rng.integers(70 if wide else 80, 93)),
        motion_px=float(rng.choice([0.0, rng.uniform(1, 4)])) if wide else 0.0,
        motion_deg=float(rng.uniform(0, 180)),
    )
