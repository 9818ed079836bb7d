"""The demo photos of tires: the demo's invented legs, every value written out; only textures are drawn.

A pressure line that has turned with its wheel stands where the wheel took it: 2° counter-clockwise are
2° less of clock.
"""

from dataclasses import replace
from typing import Any

from tests.scenes.physical.geometry import DIAGONAL_35_MM
from tests.scenes.physical.scene import Light, Post
from tests.scenes.physical.tire_legs import TIRES, DemoTire
from tests.scenes.physical.tire_scene import TireLooks, TireScene
from tests.scenes.tire_draw import TireCase
from tests.scenes.wheel_scene import WheelScene

WIDTH_PX, HEIGHT_PX = 4032, 3024
PX_A_F35 = (WIDTH_PX**2 + HEIGHT_PX**2) ** 0.5 / DIAGONAL_35_MM  # px of focal length for 1 mm of 35 mm film's
FOCAL_U = 0.04  # of the focal length: what a file's own is worth
LINE, CREEP, ARC = "pressure_line_angle", "creep_angle", "creep_arc"
SIZES = ("outside_diameter", "loaded_radius", "deflection")
READING = {"status": "reading"}
WITHIN, OUTSIDE = READING | {"verdict": "within"}, READING | {"verdict": "outside"}


def _refusal(cause: str) -> dict[str, str]:
    return {"status": "refused", "cause": cause}


def _expected(line: dict[str, str] = WITHIN, creep: dict[str, str] = WITHIN) -> dict[str, dict[str, str]]:
    """What each of a tire's results should be; a creep angle has no limit of its own."""
    angle = creep if creep["status"] == "refused" else READING
    return {LINE: line, CREEP: angle, ARC: creep} | dict.fromkeys(SIZES, READING)


def _case(leg: str, f35: float, wheel: dict[str, Any], turned_deg: float) -> TireCase:
    tire: DemoTire = TIRES[leg]
    scene = WheelScene(
        width_px=WIDTH_PX,
        height_px=HEIGHT_PX,
        focal_px=f35 * PX_A_F35,
        flange_diameter_mm=tire.flange_true,
        outside_diameter_mm=tire.outside_true,
        section_width_mm=tire.width_true,
        line_angle_deg=turned_deg,
        line_clock_deg=180.0 - turned_deg,
    )
    return TireCase(
        replace(scene, **wheel),
        "demo",
        outside_told=tire.outside_told,
        flange_told=tire.flange_told,
        width_told=tire.width_told,
        focal_told=round(f35) * PX_A_F35,
        focal_u=FOCAL_U * f35 * PX_A_F35,
        k1_told=0.0,
        k1_u=0.02,
        gravity_error_deg=None,
        reference="ground",
    )


def _scene(
    name: str,
    leg: str,
    taken: str,
    expected: dict[str, Any],
    *,
    f35: float = 26.2,
    turned_deg: float = 0.0,
    wheel: dict[str, Any],
    **parts: Any,
) -> TireScene:
    case = _case(leg, f35, wheel, turned_deg)
    taken = f"2026:03:14 {taken}:00"
    return TireScene(name, case, taken=taken, leg_file=f"{leg}.toml", expected=expected, **parts)


# What all wheels of the aircraft have.
MAIN_WHEEL: dict[str, Any] = {
    "second_circle": 0.84, "hub_circle": 0.4, "loaded_radius_mm": 183.0, "contact_bulge": 0.12,
    "line_radius": 0.42, "line_length_mm": 92.0, "line_width_mm": 4.5, "line_level": 0.5,
    "mark_rgb": (0.5, 0.04, 0.03), "mark_width_mm": 25.0, "mark_length_mm": 25.0,
    "distance_mm": 820.0,
}  # fmt: skip
NOSE_WHEEL: dict[str, Any] = MAIN_WHEEL | {
    "loaded_radius_mm": 137.5, "line_length_mm": 64.0, "line_width_mm": 3.5, "mark_width_mm": 18.0,
    "mark_length_mm": 20.0, "distance_mm": 620.0,
}  # fmt: skip
MAIN_LOOKS = TireLooks(
    pockets=8, lettering=(("18X5.5-8 TL", 20.0, 18.0), ("8PR", 262.0, 18.0)), leg_radius_mm=36.0
)
NOSE_LOOKS = TireLooks(
    pockets=6, lettering=(("TUBELESS", 318.0, 14.0), ("LUNAR", 95.0, 14.0)), leg_radius_mm=26.0
)


def reads_within() -> list[TireScene]:
    """Three tires as they should be, in different light; one has crept a little."""
    return [
        _scene(
            "tire_left_main_hangar",
            "left_main",
            "10:12",
            _expected(),
            turned_deg=0.4,
            wheel=MAIN_WHEEL
            | {"seed": 31, "tilt_deg": 7.0, "pitch_deg": 3.0, "mark_clock_deg": 62.0, "roll_deg": 1.0},
            looks=MAIN_LOOKS,
            light=Light("hangar", 40, 0.15, backdrop="wall"),
        ),
        _scene(
            "tire_right_main_sun",
            "right_main",
            "10:19",
            _expected(),
            turned_deg=-0.6,
            wheel=MAIN_WHEEL
            | {
                "seed": 32, "tilt_deg": -9.0, "pitch_deg": 4.0, "mark_clock_deg": 305.0, "roll_deg": -1.5,
                "k1": -0.01,
            },
            looks=replace(MAIN_LOOKS, tire_dust=0.5, lettering=(("18X5.5-8 TL", 60.0, 18.0),)),
            light=Light("sun", 30, 0.1, backdrop="open"),
            post=Post(s_curve=0.1),
        ),
        _scene(
            "tire_nose_overcast",
            "nose",
            "10:26",
            _expected(),
            turned_deg=0.2,
            wheel=NOSE_WHEEL
            | {
                "seed": 33, "tilt_deg": 6.0, "pitch_deg": 5.0, "mark_clock_deg": 38.0, "creep_deg": 1.6,
                "roll_deg": 2.0,
            },
            looks=NOSE_LOOKS,
            light=Light("overcast", 110, 0.0, belly_mm=800, backdrop="split"),
        ),
    ]  # fmt: skip


def reads_outside() -> list[TireScene]:
    """A line turned and a tire crept, each beyond its limit by more than U."""
    return [
        _scene(
            "tire_line_turned",
            "right_main",
            "10:33",
            _expected(line=OUTSIDE),
            turned_deg=6.4,
            wheel=MAIN_WHEEL
            | {"seed": 34, "tilt_deg": 5.0, "pitch_deg": 2.5, "mark_clock_deg": 290.0, "roll_deg": -1.0},
            looks=replace(MAIN_LOOKS, lettering=(("TUBELESS", 40.0, 18.0),)),
            light=Light("door", 200, -0.1, belly_mm=700, backdrop="wall"),
        ),
        _scene(
            "tire_crept",
            "left_main",
            "10:40",
            _expected(creep=OUTSIDE),
            turned_deg=-0.3,
            wheel=MAIN_WHEEL
            | {
                "seed": 35, "tilt_deg": -6.0, "pitch_deg": 3.5, "mark_clock_deg": 48.0, "creep_deg": 5.8,
                "roll_deg": 0.5,
            },
            looks=replace(MAIN_LOOKS, lettering=(("8PR", 262.0, 18.0),)),
            light=Light("night", 300, 0.5, backdrop="clutter"),
            post=Post(full_well_e=5000),
        ),
    ]  # fmt: skip


def refuses() -> list[TireScene]:
    """Two marks, a line that stands where it means nothing, and a shaken photo."""
    return [
        _scene(
            "tire_two_marks",
            "left_main",
            "10:47",
            _expected(creep=_refusal("slip-marks-several")),
            turned_deg=0.5,
            wheel=MAIN_WHEEL
            | {
                "seed": 36, "tilt_deg": 6.0, "pitch_deg": 3.0, "mark_clock_deg": 62.0,
                "second_mark_clock_deg": 96.0, "creep_deg": 1.2,
            },
            looks=replace(MAIN_LOOKS, lettering=(("18X5.5-8 TL", 300.0, 18.0),)),
            light=Light("overcast", 20, 0.0, backdrop="split"),
        ),
        _scene(
            "tire_line_elsewhere",
            "nose",
            "10:54",
            _expected(line=_refusal("pressure-line-elsewhere")),
            turned_deg=-74.0,
            wheel=NOSE_WHEEL
            | {"seed": 37, "tilt_deg": 7.0, "pitch_deg": 4.0, "mark_clock_deg": 330.0, "roll_deg": -1.0},
            looks=replace(NOSE_LOOKS, lettering=(("TUBELESS", 20.0, 14.0),)),
            light=Light("hangar", 150, 0.1, backdrop="wall"),
        ),
        _scene(
            "tire_shaken",
            "right_main",
            "11:01",
            dict.fromkeys((LINE, CREEP, ARC, *SIZES), _refusal("wheel-blurred")),
            turned_deg=0.3,
            wheel=MAIN_WHEEL
            | {"seed": 38, "tilt_deg": 8.0, "pitch_deg": 3.0, "mark_clock_deg": 300.0},
            looks=MAIN_LOOKS,
            light=Light("hangar", 80, 0.1, backdrop="wall"),
            post=Post(motion_px=40, motion_deg=60, psf_sigma_px=1.0),
        ),
    ]  # fmt: skip


def tire_demo() -> dict[str, list[TireScene]]:
    """The demo's lists by name."""
    return {"reads_within": reads_within(), "reads_outside": reads_outside(), "refuses": refuses()}
