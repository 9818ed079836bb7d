"""The sixteen demo photos: three invented legs, every value written out; only textures are drawn."""

from dataclasses import replace
from typing import Any

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

LISTS = ("reads_within", "reads_outside", "refuses")


def _scene(
    name: str, seed: int, leg: str, extension: float, expected: dict[str, Any], **parts: Any
) -> StrutScene:
    data = LEGS[leg]
    shape = replace(data.shape, extension_mm=extension, **parts.pop("shape", {}))
    minute, hour = divmod(7 * seed, 60)[1], 8 + divmod(7 * seed, 60)[0]
    known = {"tag": TagHang(data.tag), "taken": f"2026:03:14 {hour:02d}:{minute:02d}:00"}
    return StrutScene(name, seed, leg_file=f"{leg}.toml", leg=shape, expected=expected, **(known | parts))


def _reading(verdict: str) -> dict[str, Any]:
    return {"status": "reading", "verdict": verdict}


def _refusal(cause: str) -> dict[str, Any]:
    return {"status": "refused", "cause": cause}


NOSE_CARD = CardHang(gap_mm=18, stand_off_mm=9, top_mm=98)
MAIN_CARD = CardHang(gap_mm=24, stand_off_mm=12, top_mm=74)
LEFT_CARD = replace(MAIN_CARD, side=-1)
NOSE_CAMERA = CameraPose(
    f35_mm=26, distance_mm=560, azimuth_deg=4, elevation_deg=1.5, aim_x_mm=22, aim_s_mm=-25
)
MAIN_CAMERA = CameraPose(
    f35_mm=26, distance_mm=640, azimuth_deg=-5, elevation_deg=2, aim_x_mm=25, aim_s_mm=-35
)


def reads_within() -> list[StrutScene]:
    """Six photos of right struts in different light, from above and below."""
    within = _reading("within")
    return [
        _scene(
            "nose_hangar",
            1,
            "nose",
            62.4,
            within,
            shape={"rake_fore_deg": -4.0, "slots": 6},
            card=replace(NOSE_CARD, azimuth_deg=3, pitch_deg=0.3),
            camera=replace(NOSE_CAMERA, k1=-0.008, roll_deg=1.2),
            light=Light("hangar", 40, 0.15, backdrop="clutter"),
        ),
        _scene(
            "nose_from_above",
            2,
            "nose",
            65.9,
            within,
            shape={"rake_fore_deg": -5.0, "hose_side": -1},
            card=replace(NOSE_CARD, azimuth_deg=-2, pitch_deg=-0.5),
            camera=replace(
                NOSE_CAMERA, distance_mm=620, elevation_deg=10, azimuth_deg=-6, aim_s_mm=-20, k1=-0.012
            ),
            light=Light("overcast", 110, 0.0, belly_mm=800, backdrop="split"),
            finish=Finish(collar="black", paint_rgb=(0.5, 0.52, 0.54)),
        ),
        _scene(
            "left_main_from_below",
            3,
            "left_main",
            90.2,
            within,
            shape={"rake_side_deg": 3.0},
            card=replace(MAIN_CARD, azimuth_deg=-4, pitch_deg=0.4),
            camera=replace(MAIN_CAMERA, elevation_deg=-8, k1=0.006, roll_deg=-1.5),
            light=Light("door", 200, -0.1, belly_mm=700, backdrop="wall"),
            finish=Finish(collar="cadmium", band_dirt=0.25),
        ),
        _scene(
            "left_main_sun",
            4,
            "left_main",
            86.4,
            within,
            shape={"running_gear": "behind", "rake_side_deg": -2.0, "hose_side": 1},
            card=replace(LEFT_CARD, azimuth_deg=6),
            camera=replace(
                MAIN_CAMERA, f35_mm=48, distance_mm=1050, azimuth_deg=3, elevation_deg=4, aim_x_mm=-25
            ),
            light=Light("sun", 20, 0.05, backdrop="open"),
            finish=Finish(chrome_alpha=0.03),
            post=Post(s_curve=0.12, psf_sigma_px=0.9),
        ),
        _scene(
            "right_main_night",
            5,
            "right_main",
            91.0,
            within,
            shape={"rake_side_deg": -3.0, "slots": 8, "hose_side": 1},
            card=replace(LEFT_CARD, azimuth_deg=2, pitch_deg=-0.4, roll_deg=0.5),
            camera=replace(MAIN_CAMERA, azimuth_deg=6, elevation_deg=-2, aim_x_mm=-25, k1=-0.01),
            light=Light("night", 300, 0.6, backdrop="clutter"),
            finish=Finish(collar="grey"),
            orientation=6,
            post=Post(full_well_e=4500, cast=(1.04, 0.94)),
        ),
        _scene(
            "right_main_overcast",
            6,
            "right_main",
            87.5,
            within,
            shape={
                "running_gear": "behind",
                "rake_side_deg": 2.0,
                "link_azimuth_deg": -100.0,
                "hose_side": 0,
            },
            card=replace(MAIN_CARD, gap_mm=20, stand_off_mm=4, azimuth_deg=-5),
            finish=Finish(chrome_alpha=0.015),
            camera=replace(MAIN_CAMERA, distance_mm=780, azimuth_deg=-9, elevation_deg=5, roll_deg=2.0),
            light=Light("overcast", 250, -0.1, backdrop="split"),
        ),
    ]


def reads_outside() -> list[StrutScene]:
    """A nose strut too low and a main strut too high, each beyond its limit by more than 4 mm."""
    outside = _reading("outside")
    return [
        _scene(
            "nose_low",
            7,
            "nose",
            51.8,
            outside,
            shape={"rake_fore_deg": -4.0},
            card=replace(NOSE_CARD, azimuth_deg=4, top_mm=104),
            camera=replace(NOSE_CAMERA, elevation_deg=4, azimuth_deg=-3),
            light=Light("hangar", 150, 0.1, backdrop="split"),
            finish=Finish(band_dirt=0.2),
        ),
        _scene(
            "left_main_high",
            8,
            "left_main",
            100.3,
            outside,
            shape={"rake_side_deg": 2.0, "chrome_below_mm": 42.0},
            card=replace(MAIN_CARD, azimuth_deg=-3, top_mm=70),
            camera=replace(MAIN_CAMERA, elevation_deg=-1, k1=-0.01),
            light=Light("overcast", 60, backdrop="clutter"),
        ),
    ]


def refuses() -> list[StrutScene]:
    """Eight photos that must not give a value."""
    main = dict(camera=MAIN_CAMERA, light=Light("hangar", 80, 0.1, backdrop="split"))
    nose = dict(camera=NOSE_CAMERA, light=Light("overcast", 140, backdrop="split"))
    return [
        _scene("no_card", 9, "nose", 63.0, _refusal("no-card"), card=CardHang(present=False), **nose),
        _scene(
            "shaken",
            10,
            "left_main",
            89.5,
            _refusal("blurred"),
            card=MAIN_CARD,
            post=Post(motion_px=24, motion_deg=65, psf_sigma_px=1.0),
            **main,
        ),
        _scene(
            "glare",
            11,
            "left_main",
            88.0,
            _refusal("glare"),
            card=MAIN_CARD,
            camera=MAIN_CAMERA,
            light=Light("hangar", 80, glare_lamp=True, backdrop="wall"),
            finish=Finish(chrome_alpha=0.014, band_alpha=0.014),
            post=Post(bloom=0.25, white_level=0.85),
        ),
        _scene(
            "bent_card",
            12,
            "nose",
            61.5,
            _refusal("card-bent"),
            card=replace(NOSE_CARD, bend_radius_mm=350),
            **nose,
        ),
        _scene(
            "other_leg",
            13,
            "left_main",
            90.0,
            _refusal("wrong-leg"),
            card=MAIN_CARD,
            **(main | {"tag": TagHang(403)}),
        ),
        StrutScene(
            "spring_leg",
            14,
            leg_file="spring.toml",
            expected=_refusal("form-not-measured"),
            taken="2026:03:14 09:38:00",
            leg=LegShape(form="spring", tire_mm=380, tire_width_mm=130),
            card=CardHang(side=-1, gap_mm=-24, stand_off_mm=-52, top_mm=105),
            camera=replace(NOSE_CAMERA, distance_mm=800, aim_s_mm=-60),
            light=Light("sun", 60, backdrop="open"),
        ),
        _scene(
            "card_too_low",
            15,
            "left_main",
            91.5,
            _refusal("span-outside-card"),
            card=replace(MAIN_CARD, top_mm=-22),
            **main,
        ),
        _scene(
            "from_aside",
            16,
            "nose",
            64.0,
            _refusal("too-oblique"),
            card=replace(NOSE_CARD, gap_mm=24, azimuth_deg=12),
            camera=replace(NOSE_CAMERA, azimuth_deg=-30, distance_mm=620, aim_x_mm=10),
            light=nose["light"],
        ),
    ]


def demo() -> dict[str, list[StrutScene]]:
    """The demo's lists by name."""
    return {"reads_within": reads_within(), "reads_outside": reads_outside(), "refuses": refuses()}
