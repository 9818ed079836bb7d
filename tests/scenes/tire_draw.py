"""Random tires for the fast tier: fair ones, wide ones that hurt, and faults that must be noticed.

"Fair" is the issue's: tilt ≤ 20°, pitch −8 to +10°, rim ≥ 70 % visible, px/mm ≥ 1.5.  What the measuring
side is told differs from the truth as it would in use: the section's width by ± 20 %, the outside
diameter within the book's range, the flange by a calliper's error, focal length and gravity by theirs.
Sizes of tires are those of the makers' data handbook and between; widths of contact scatter about Smiley and Horne's.
"""

from dataclasses import dataclass, replace

import numpy as np

from tests.scenes.wheel_scene import WheelScene, clock_direction

# outside diameter, flange diameter, section width, mm (tire makers' data handbook, bias tires; the last one twin-sized)
FAMILIES = (
    (436.0, 190.5, 159.0), (550.0, 295.0, 171.0), (645.0, 406.0, 168.0), (700.0, 380.0, 220.0), (1118.0, 615.0, 419.0),
)  # fmt: skip
FAULTS = (
    "no line", "line elsewhere", "two lines", "no mark", "rim only", "tire only", "two marks",
    "faint remnant", "second circle tapped", "outline tapped", "flange tapped", "wrong flange told",
)  # fmt: skip
PHONE_MM = 60.0  # the lowest that a lens is held above the ground


@dataclass(frozen=True)
class TireCase:
    """One scene with what the measuring side is told about it."""

    scene: WheelScene
    kind: str
    outside_told: float
    flange_told: float
    width_told: float
    focal_told: float
    focal_u: float
    k1_told: float
    k1_u: float
    gravity_error_deg: tuple[float, float] | None  # about the wheel's axle, and out of its plane
    reference: str
    fault: str = ""


def draw_tire(seed: int, kind: str) -> TireCase:
    """Draw one case; the same seed and kind give the same case for ever."""
    rng = np.random.default_rng([seed, {"fair": 1, "wide": 2, "faults": 3}[kind]])
    fair = kind != "wide"
    outside, flange, width = FAMILIES[rng.choice(5, p=[0.3, 0.25, 0.2, 0.2, 0.05])]
    book = outside * rng.uniform(0.97, 1.03)
    flange_told = flange * rng.uniform(0.97, 1.03)
    true_outside = book * (1 + 0.019 * rng.uniform(-1, 1))
    true_width = width * rng.uniform(0.9, 1.1)
    px_per_mm = rng.uniform(1.5, 2.6) if fair else rng.uniform(1.0, 2.2)
    px_per_mm = min(px_per_mm, 1500 / true_outside) if true_outside > 900 else px_per_mm
    px_per_mm = max(px_per_mm, 1.5 if fair else 1.0)
    distance = true_outside * rng.uniform(1.8, 3.2)
    side = int(true_outside * px_per_mm * rng.uniform(1.3, 1.55))
    calibrated = rng.random() < 0.5
    focal = px_per_mm * distance
    focal_u = 0.005 if calibrated else 0.04
    deflection = rng.uniform(0.24, 0.42)
    radius = flange_told / 2 + float(rng.normal()) * 0.25
    loaded = true_outside / 2 - deflection * (true_outside / 2 - radius)
    squash = (true_outside / 2 - loaded) / true_width
    contact = 1.7 * np.sqrt(squash - 2.5 * squash**4 + 1.5 * squash**6) + rng.normal() * 0.05
    light_line = rng.random() < 0.75
    clock = float(180 + rng.uniform(-22, 22))
    mark_clock = float(rng.uniform(0, 360))
    length = float(rng.uniform(30, 0.28 * true_outside))
    roomy = float(np.sqrt(max((0.92 * loaded) ** 2 - (length / 2) ** 2, 1)))
    scene = WheelScene(
        seed=seed,
        width_px=side,
        height_px=int(side * 0.95),
        focal_px=float(focal),
        k1=float(rng.uniform(-0.04, 0.04)) * (0.3 if calibrated else 0.7),
        distance_mm=float(distance),
        tilt_deg=float(rng.uniform(-20, 20) if fair else rng.uniform(-35, 35)),
        pitch_deg=float(rng.uniform(-8, 10) if fair else rng.uniform(-10, 18)),
        roll_deg=float(rng.uniform(-10, 10)),
        aim_mm=(float(rng.normal() * 0.02 * outside), float(rng.normal() * 0.02 * outside)),
        flange_diameter_mm=2 * radius,
        second_circle=float(rng.uniform(0.76, 0.93)),
        hub_circle=float(rng.uniform(0.3, 0.5)),
        cap_depth_mm=float(rng.choice([0.0, rng.uniform(5, 40)])),
        lip=float(rng.choice([0.0, rng.uniform(0.94, 0.97)], p=[0.7, 0.3])),
        rib=float(rng.choice([0.0, rng.uniform(0.1, 0.85)])),
        outside_diameter_mm=float(true_outside),
        section_width_mm=float(true_width),
        bead=float(rng.uniform(0.81, 0.91)),
        exponent=float(rng.uniform(2.0, 2.5)),
        contact_bulge=float(rng.uniform(0.065, 0.185)),
        contact_width=float(np.clip(contact, 0.4, 0.98)),
        loaded_radius_mm=float(loaded),
        camber_deg=float(rng.normal() * 0.8),
        ground_slope_deg=float(rng.uniform(-1.15, 1.15)),
        line_angle_deg=float(rng.uniform(-5, 5)),
        line_clock_deg=clock,
        line_radius=float(
            min(rng.uniform(0.25, 0.7), max((roomy - radius) / (true_outside / 2 - radius), 0.15))
        ),
        line_length_mm=length,
        line_width_mm=float(rng.uniform(2.2, 5.5)),
        line_level=float(rng.uniform(0.15, 0.6) if light_line else rng.uniform(0.005, 0.014)),
        mark_clock_deg=mark_clock,
        creep_deg=float(rng.choice([0.0, rng.uniform(-6, 6)], p=[0.2, 0.8])),
        mark_width_mm=float(rng.uniform(12, 38)),
        mark_length_mm=float(rng.uniform(18, 32)),
        mark_rgb=tuple(
            np.array([(0.5, 0.04, 0.03), (0.6, 0.5, 0.05), (0.55, 0.15, 0.02)][rng.integers(3)])
            * rng.uniform(0.6, 1.2)
        ),
        mark_skew_deg=float(rng.normal() * 4),
        rim_level=float(rng.uniform(0.2, 0.75)),
        rim_shade=float(rng.uniform(0, 0.3)),
        rubber_level=float(rng.uniform(0.03, 0.07)),
        ground_level=float(rng.uniform(0.15, 0.45)),
        wall_level=float(rng.uniform(0.15, 0.6)),
        clutter=int(rng.integers(0, 10)),
        hard_shadow_mm=None if rng.random() < 0.6 else float(rng.uniform(15, 150)),
        exposure=float(rng.uniform(0.6, 1.1)),
        blur_px=float(rng.uniform(0.6, 1.4) if fair else rng.uniform(0.6, 2.2)),
        noise=float(rng.uniform(0.002, 0.012)),
        gamma=float(np.exp(rng.normal() * 0.05)),
        jpeg_quality=int(rng.integers(78, 96) if fair else rng.integers(60, 96)),
    )
    # Of a stream of its own: cases drawn before there was a lip stay what they were.
    edges = np.random.default_rng([seed, 77])
    scene = replace(
        scene,
        lip_round_mm=float(edges.uniform(1.2, 3.2)),
        lip_dark_deg=float(edges.uniform(25, 60)),
        crevice_mm=float(edges.uniform(2, 10)),
    )
    # Nobody holds a phone below the ground.
    lowest = -float(np.degrees(np.arcsin(np.clip((loaded - PHONE_MM) / distance, 0.0, 1.0))))
    scene = replace(scene, pitch_deg=max(scene.pitch_deg, lowest))
    scene = _hidden(rng, scene, fair)
    gravity = rng.random() < 0.6
    case = TireCase(
        scene,
        kind,
        float(book),
        float(flange_told),
        # Told with a rectangular ± 20 % of the truth's width.
        float(true_width / (1 + 0.2 * rng.uniform(-1, 1))),
        float(focal * (1 + focal_u * rng.normal())),
        float(focal_u * focal),
        0.0 if not calibrated else float(scene.k1 + rng.normal() * 0.002),
        0.02 if not calibrated else 0.002,
        (float(rng.normal() * 0.6), float(rng.normal() * 0.6)) if gravity else None,
        "gravity" if gravity and rng.random() < 0.3 else "ground",
    )
    return _faulty(rng, case, FAULTS[seed % len(FAULTS)]) if kind == "faults" else case


def _hidden(rng: np.random.Generator, scene: WheelScene, fair: bool) -> WheelScene:
    """Something before a part of the wheel, away from line and mark in fair scenes."""
    if rng.random() < 0.6:
        return scene
    span = float(rng.uniform(5, 70) if fair else rng.uniform(20, 170))
    start = float(rng.uniform(0, 360))
    assert scene.mark_clock_deg is not None
    away = [scene.mark_clock_deg, scene.line_clock_deg]
    reach = [scene.mark_width_mm / scene.flange_radius * 57 + 8, 40.0]
    for _ in range(20):
        clear = all((c - start + r) % 360 > span + 2 * r for c, r in zip(away, reach, strict=True))
        if clear or not fair:
            return replace(scene, hidden_clock_deg=(start, (start + span) % 360))
        start = float(rng.uniform(0, 360))
    return scene


def _faulty(rng: np.random.Generator, case: TireCase, fault: str) -> TireCase:
    scene = replace(case.scene, hidden_clock_deg=None)
    clock = scene.mark_clock_deg
    assert clock is not None
    if fault == "no line":
        scene = replace(scene, line_angle_deg=None)
    elif fault == "line elsewhere":
        at = float(rng.choice([rng.uniform(225, 300), rng.uniform(60, 135)]))
        # Rolled away from the ground: the line turned with the wheel.
        scene = replace(scene, line_clock_deg=at, line_angle_deg=float(180 - at + rng.uniform(-2, 2)))
    elif fault == "two lines":
        room = scene.line_radius
        other = room - 0.2 if room > 0.45 else room + 0.2
        scene = replace(scene, second_line_radius=other, line_length_mm=min(scene.line_length_mm, 80.0))
    elif fault == "no mark":
        scene = replace(scene, mark_clock_deg=None)
    elif fault in ("rim only", "tire only"):
        scene = replace(scene, mark_parts=fault.split(maxsplit=1)[0])
    elif fault == "two marks":
        scene = replace(scene, second_mark_clock_deg=float((clock + rng.uniform(15, 345)) % 360))
    elif fault == "faint remnant":
        at = float((clock + rng.uniform(60, 300)) % 360)
        scene = replace(scene, remnant=(at, str(rng.choice(["tire", "rim"])), 0.3, 15.0))
    elif fault == "wrong flange told":
        # The rim number of the tire's name: 14 to 25 % smaller.
        case = replace(case, flange_told=case.flange_told / float(rng.uniform(1.12, 1.25)))
    return replace(case, scene=scene, fault=fault)


def line_middle(scene: WheelScene) -> np.ndarray:
    """Middle (2,) of the drawn line in the wheel's plane."""
    r = scene.flange_radius + scene.line_radius * (scene.outside_diameter_mm / 2 - scene.flange_radius)
    return np.asarray(r * clock_direction(scene.line_clock_deg))
