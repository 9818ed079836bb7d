"""What a traced tire photo shows: a case of the analytic tier with the looks that only tracing gives it.

All geometry is the analytic scene's (`tests/scenes/wheel_scene.py`): its camera, its section, its line and
mark.  The world is the wheel's frame turned upright: x right, y into the wheel, z up.
"""

import dataclasses
import json
from dataclasses import dataclass, field, replace
from typing import Any

import numpy as np

from tests.scenes.physical.geometry import DIAGONAL_35_MM, Array, Camera
from tests.scenes.physical.scene import CameraPose, Light, Post, StrutScene
from tests.scenes.tire_draw import TireCase
from tests.scenes.wheel_scene import WheelScene, pose

WORLD = np.array([[1.0, 0.0, 0.0], [0.0, 0.0, 1.0], [0.0, -1.0, 0.0]])  # wheel's frame to world


@dataclass(frozen=True)
class TireLooks:
    """Surfaces and neighbours; lengths mm, angles degrees, reflectances in linear light."""

    lip_round_mm: float = 2.5  # rounding of the flange's lip
    lip_face: float = 0.94  # inner edge of the lip's face, of the flange's radius
    well_mm: float = 14.0  # depth of the rim's disc behind the flange's edge
    pockets: int = 8  # openings in the disc
    pocket_clock_deg: float = 0.0
    rim_alpha: float = 0.2
    bare_rim: bool = False  # bare metal instead of paint
    brake_dust: float = 0.3  # 0 to 1
    rubber_alpha: float = 0.4
    tire_dust: float = 0.3  # 0 to 1: grey dust on the sidewall
    scuffs: int = 20
    grooves: int = 4
    rib_mm: float = 0.6  # height of moulded rings
    line_raised_mm: float = 0.0  # 0 painted
    mark_wear: float = 0.1  # 0 to 1: share chipped off inside the mark
    mark_alpha: float = 0.15
    lettering: tuple[tuple[str, float, float], ...] = ()  # text, clock, height of the capitals
    twin: bool = False  # a second wheel behind
    leg_radius_mm: float = 35.0
    hides: str = "panel"  # what hides a part of the wheel where the case has that hidden
    floor_level: float = 0.25


@dataclass(frozen=True)
class TireScene:
    """One picture; everything in it follows from these values."""

    name: str
    case: TireCase
    looks: TireLooks = field(default_factory=TireLooks)
    light: Light = field(default_factory=Light)
    post: Post = field(default_factory=Post)
    aperture_mm: float = 0.8
    lateral_colour: float = 0.0
    taken: str = "2026:03:14 10:20:00"
    leg_file: str = ""
    expected: dict[str, Any] = field(default_factory=dict)

    @property
    def wheel(self) -> WheelScene:
        """The analytic scene."""
        return self.case.scene

    @property
    def f35_mm(self) -> float:
        """35 mm equivalent by the diagonal."""
        wheel = self.wheel
        return wheel.focal_px * DIAGONAL_35_MM / float(np.hypot(wheel.width_px, wheel.height_px))


def scaled(wheel: WheelScene, scale: float) -> WheelScene:
    """The same view on a picture of another size."""
    return replace(
        wheel,
        width_px=round(wheel.width_px * scale),
        height_px=round(wheel.height_px * scale),
        focal_px=wheel.focal_px * scale,
    )


def view(wheel: WheelScene) -> Camera:
    """The camera of an analytic scene, in the world."""
    turn, place = pose(wheel)
    return Camera(
        R=turn @ WORLD.T,
        centre=WORLD @ place,
        f_px=wheel.focal_px,
        cx=(wheel.width_px - 1) / 2,
        cy=(wheel.height_px - 1) / 2,
        width=wheel.width_px,
        height=wheel.height_px,
        k1=wheel.k1,
    )


def carrier(scene: TireScene) -> StrutScene:
    """Light, lens and electronics in the form that the strut's tier takes them; its pose means nothing."""
    wheel = scene.wheel
    return StrutScene(
        scene.name,
        wheel.seed,
        camera=CameraPose(
            width_px=wheel.width_px,
            height_px=wheel.height_px,
            f35_mm=scene.f35_mm,
            aperture_mm=scene.aperture_mm,
            k1=wheel.k1,
            lateral_colour=scene.lateral_colour,
        ),
        light=scene.light,
        post=scene.post,
        taken=scene.taken,
    )


def outward(wheel: WheelScene) -> Array:
    """Unit normal (3,) of the ground, in the wheel's frame."""
    g = np.radians(wheel.camber_deg)
    return np.array([0.0, -np.cos(g), np.sin(g)])


def to_dict(scene: TireScene) -> dict[str, Any]:
    """The scene as plain JSON values."""
    plain: dict[str, Any] = json.loads(json.dumps(dataclasses.asdict(scene)))
    return plain


def case_from_dict(data: dict[str, Any]) -> TireCase:
    """The inverse of a case's part of `to_dict`."""
    values = {key: _tuples(value) for key, value in data.items() if key != "scene"}
    return TireCase(WheelScene(**{key: _tuples(value) for key, value in data["scene"].items()}), **values)


def from_dict(data: dict[str, Any]) -> TireScene:
    """The inverse of `to_dict`."""
    values = dict(data)
    looks = TireLooks(**{key: _tuples(value) for key, value in values.pop("looks").items()})
    light, post = Light(**values.pop("light")), Post(**{k: _tuples(v) for k, v in values.pop("post").items()})
    return TireScene(case=case_from_dict(values.pop("case")), looks=looks, light=light, post=post, **values)


def _tuples(value: Any) -> Any:
    return tuple(_tuples(one) for one in value) if isinstance(value, list) else value
