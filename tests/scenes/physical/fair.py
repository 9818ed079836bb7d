"""Fair photos drawn by chance: what a careful mechanic's phone would give, broadly varied."""

from dataclasses import replace

import numpy as np

from tests.scenes.physical.legs import LEGS
from tests.scenes.physical.scene import (
    CameraPose,
    CardHang,
    Finish,
    LegShape,
    Light,
    Post,
    StrutScene,
    TagHang,
)


def fair_scenes(count: int, seed: int) -> list[StrutScene]:
    """`count` scenes; the k-th depends on (seed, k) only, so a longer list begins with the shorter one."""
    return [fair_scene(seed, k) for k in range(count)]


def fair_scene(seed: int, k: int) -> StrutScene:
    """The k-th fair scene of a seed."""
    for attempt in range(1000):
        scene = _try(seed, k, np.random.default_rng([seed, k, attempt]))
        if card_is_clear(scene):
            return scene
    msg = f"no fair scene found for seed {seed}, number {k}: the ranges contradict each other"
    raise RuntimeError(msg)


def card_is_clear(scene: StrutScene) -> bool:
    """Whether the card passes beside the collar (3 mm) and spans from below the band to above the rim."""
    leg, card = scene.leg, scene.card
    edge = np.hypot(leg.piston_mm / 2 + card.gap_mm, leg.piston_mm / 2 - card.stand_off_mm)
    clear = edge > leg.collar_mm / 2 + leg.chamfer_mm + 3
    spans = card.top_mm > 30 and card.top_mm - 236 < -leg.extension_mm - 30
    above_fork = (
        leg.running_gear != "fork"
        or card.top_mm - 236 > -leg.extension_mm - leg.band_height_mm - leg.chrome_below_mm - 18
    )
    return bool(clear and spans and above_fork)


def _try(seed: int, k: int, rng: np.random.Generator) -> StrutScene:
    name = ("nose", "left_main", "right_main")[int(rng.integers(3))]
    data = LEGS[name]
    extension = float(rng.uniform(data.lower_mm - 10, data.upper_mm + 10))
    within = data.lower_mm <= extension <= data.upper_mm
    side = int(rng.choice([-1, 1]))
    shape = _shape(data.shape, extension, rng)
    azimuth = float(rng.uniform(-12, 12))
    return StrutScene(
        name=f"fair_{seed}_{k:03d}",
        seed=1_000 + 1_000 * seed + k,
        leg_file=f"{name}.toml",
        expected={"status": "reading", "truth_within_limits": within},
        leg=replace(shape, hose_side=-side * shape.hose_side),
        finish=_finish(rng),
        card=CardHang(
            side=side,
            gap_mm=float(rng.uniform(8, 28)),
            stand_off_mm=float(rng.uniform(-5, 28)),
            top_mm=float(rng.uniform(60, 110)),
            azimuth_deg=azimuth + float(rng.uniform(-12, 12)),
            pitch_deg=float(rng.normal(0, 0.6)),
            roll_deg=float(rng.normal(0, 0.8)),
        ),
        tag=TagHang(data.tag if rng.random() < 0.7 else None, azimuth + float(rng.uniform(-20, 20)), 130.0),
        camera=_camera(rng, azimuth, side, extension),
        light=_light(rng),
        post=_post(rng),
        orientation=int(rng.choice([1, 6])),
    )


def _shape(shape: LegShape, extension: float, rng: np.random.Generator) -> LegShape:
    links = [180.0, float(rng.uniform(85, 110)), float(rng.uniform(-110, -85)), None]
    values = vars(shape) | {
        "extension_mm": extension,
        "chamfer_mm": float(rng.uniform(0.5, 2.0)),
        "collar_height_mm": float(rng.uniform(25, 40)),
        "band_height_mm": float(rng.uniform(12, 25)),
        "chrome_below_mm": float(rng.uniform(20, 60)),
        "slots": int(rng.choice([0, 0, 6, 8])),
        "rake_side_deg": float(rng.uniform(-5, 5)),
        "rake_fore_deg": float(rng.uniform(-6, 6)),
        "running_gear": "fork" if shape.running_gear == "fork" else str(rng.choice(["side", "behind"])),
        "link_azimuth_deg": links[int(rng.integers(4))],
        "hose_side": int(rng.integers(0, 2)),
    }
    return LegShape(**values)


def _finish(rng: np.random.Generator) -> Finish:
    red = rng.uniform(0.35, 0.6)
    grey = rng.uniform(0.3, 0.8)
    return Finish(
        chrome_alpha=float(rng.uniform(0.01, 0.05)),
        band_rgb=(float(red), float(red * rng.uniform(0.04, 0.16)), float(red * rng.uniform(0.04, 0.14))),
        band_dirt=float(max(0.0, rng.uniform(-0.3, 0.4))),
        collar=str(rng.choice(["steel", "black", "grey", "cadmium"])),
        paint_rgb=(float(grey), float(grey), float(grey * rng.uniform(0.94, 1.02))),
        paint_alpha=float(rng.uniform(0.04, 0.15)),
    )


def _camera(rng: np.random.Generator, azimuth: float, side: int, extension: float) -> CameraPose:
    f35 = float(rng.choice([24, 26, 28, 35, 50]))
    return CameraPose(
        f35_mm=f35,
        distance_mm=float(rng.uniform(500, 900) * (f35 / 26) ** 0.8),
        azimuth_deg=azimuth,
        elevation_deg=float(rng.uniform(-10, 13)),
        aim_x_mm=side * float(rng.uniform(5, 45)),
        aim_s_mm=-extension / 2 + float(rng.uniform(-40, 40)),
        roll_deg=float(rng.normal(0, 2)),
        aperture_mm=float(rng.uniform(0.6, 1.4)),
        k1=float(rng.uniform(-0.03, 0.015)),
        lateral_colour=float(rng.normal(0, 1e-4)),
    )


def _light(rng: np.random.Generator) -> Light:
    return Light(
        kind=str(rng.choice(["hangar", "door", "overcast", "sun", "night"])),
        turn_deg=float(rng.uniform(0, 360)),
        warmth=float(rng.uniform(-0.3, 0.6)),
        belly_mm=float(rng.choice([0.0, rng.uniform(600, 1000)])),
        backdrop=str(rng.choice(["wall", "split", "clutter", "open"])),
    )


def _post(rng: np.random.Generator) -> Post:
    return Post(
        psf_sigma_px=float(rng.uniform(0.6, 1.2)),
        full_well_e=float(rng.uniform(3500, 12000)),
        white_level=float(rng.uniform(0.65, 0.85)),
        s_curve=float(rng.uniform(-0.1, 0.25)),
        cast=(float(rng.normal(1, 0.03)), float(rng.normal(1, 0.03))),
        sharpen=float(rng.uniform(0, 0.5)),
        jpeg_quality=int(rng.integers(80, 93)),
    )
