"""The demo's photos of hoses: one invented leg with three hoses, every value written out; only textures are drawn."""

from dataclasses import replace
from typing import Any

from tests.scenes.physical.hose_scene import HoseBody, HoseScene, Thing, Worn, curve
from tests.scenes.physical.legs import AIRCRAFT, DOCUMENT
from tests.scenes.physical.scene import CameraPose, Light, Post

LEG_FILE = "left_main_hoses.toml"
NAMES = {"brake line": "rubber", "retract line": "textile", "steering line": "metal_braid"}
DIAMETERS = {"rubber": 15.9, "textile": 19.1, "metal_braid": 12.7}
_CAMERA = CameraPose(
    width_px=4032, height_px=3024, f35_mm=26, distance_mm=360, azimuth_deg=6, elevation_deg=4,
    aim_x_mm=0, aim_s_mm=0, roll_deg=2, aperture_mm=0.7, k1=-0.006,
)  # fmt: skip


def leg_toml() -> str:
    """The leg's data file."""
    text = f"""# Invented leg of an invented aircraft type (Aster 210): demo data, not for any aircraft.
aircraft = "{AIRCRAFT}"
position = "left main"
document = "{DOCUMENT}"
"""
    for name, cover in NAMES.items():
        text += f'\n[[hose]]\nname = "{name}"\ndiameter_mm = {DIAMETERS[cover]}\ncover = "{cover}"\n'
    return text


def _body(cover: str, seed: int, **more: Any) -> HoseBody:
    plain: dict[str, Any] = {
        "turn_deg": 8.0, "offset_mm": 0.0, "bow_mm": 22.0, "wave_mm": 150.0, "phase": 0.4, "depth_mm": 0.0,
        "depth_bow_mm": 8.0, "reach_mm": 620.0, "dust": 0.15,
    }  # fmt: skip
    return HoseBody(diameter_mm=DIAMETERS[cover], cover=cover, seed=seed, **(plain | more))


def _scene(name: str, seed: int, hoses: tuple[HoseBody, ...], **parts: Any) -> HoseScene:
    """Worn places and things are told from the middle of their hose's course."""
    known = {"camera": _CAMERA, "leg_file": LEG_FILE, "taken": f"2026:03:14 1{seed % 6}:05:00"}
    scene = HoseScene(name, seed, hoses, **(known | parts))
    middle = [float(curve(scene, hose).arc[-1]) / 2 for hose in hoses]
    return replace(
        scene,
        worn=tuple(replace(one, at_mm=one.at_mm + middle[one.hose]) for one in scene.worn),
        things=tuple(
            replace(one, first_mm=one.first_mm + middle[one.hose], last_mm=one.last_mm + middle[one.hose])
            for one in scene.things
        ),
    )


def hose_demo() -> list[HoseScene]:
    """Five photos: two with wear, one with all that is none, one from too far away, one shaken."""
    searched: dict[str, Any] = {"status": "searched"}
    rubber = _body("rubber", 4101, print_rgb=(0.55, 0.42, 0.03), line_rad=1.3)
    braid = _body("metal_braid", 4102, turn_deg=-58.0, offset_mm=-70.0, depth_mm=34.0, bow_mm=12.0)
    textile = _body("textile", 4107, turn_deg=-6.0, offset_mm=45.0, phase=2.2)
    return [
        _scene(
            "rubber_worn", 61, (rubber,), expected=searched,
            worn=(Worn(0, -95.0, -0.2, 16.0, 10.0, 3, 11), Worn(0, 60.0, 0.3, 10.0, 7.0, 2, 12)),
            things=(Thing("p_clamp", 0, -30.0, -16.0, 0.6, 13), Thing("label", 0, 120.0, 144.0, -0.1, 14)),
            light=Light("door", 30, 0.1),
        ),
        _scene(
            "textile_and_braid_worn", 62, (textile, braid), expected=searched,
            worn=(Worn(0, -60.0, 0.1, 15.0, 11.0, 3, 21), Worn(1, -90.0, 0.2, 12.0, 8.0, 3, 22)),
            things=(Thing("tie", 0, 80.0, 85.0, 0.4, 23), Thing("clamp", 1, -40.0, -30.0, 0.5, 24)),
            light=Light("overcast", 140, 0.0),
        ),
        _scene(
            "clean_with_tape_and_oil", 63, (rubber, replace(textile, offset_mm=-62.0)), expected=searched,
            things=(
                Thing("tape", 0, -60.0, -35.0, 0.0, 31), Thing("fluid", 0, 70.0, 92.0, 0.2, 32),
                Thing("label", 1, -70.0, -44.0, 0.2, 33), Thing("drop", 1, 40.0, 44.0, 0.1, 34),
                Thing("p_clamp", 1, 90.0, 104.0, -0.6, 35),
            ),
            light=Light("sun", 60, 0.1), bars=1,
        ),
        _scene(
            "too_far_away", 64, (replace(rubber, reach_mm=3500.0, wave_mm=700.0, bow_mm=160.0),), expected={"status": "refused", "cause": "hose-too-small"},
            worn=(Worn(0, 30.0, 0.0, 14.0, 10.0, 2, 41),), camera=replace(_CAMERA, distance_mm=4600),
            light=Light("hangar", 80, 0.2),
        ),
        _scene(
            "shaken", 65, (rubber,), expected={"searched_at_most": 0.05},
            worn=(Worn(0, 20.0, 0.1, 14.0, 10.0, 2, 51),), post=Post(motion_px=60.0, motion_deg=75.0),
            light=Light("night", 200, 0.3),
        ),
    ]  # fmt: skip
