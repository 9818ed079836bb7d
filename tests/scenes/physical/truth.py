"""The truth beside each picture: what a perfect reader would read, and where."""

from typing import Any

import numpy as np

from tests.scenes.physical.geometry import (
    Z,
    camera,
    card_frame,
    elevation_at,
    front_point,
    strut_to_world,
    tag_frame,
    toward_camera,
)
from tests.scenes.physical.scene import StrutScene, to_dict
from tests.scenes.physical.textures import TAG_CARD_MM

NOTICE = "Rendered scene with known truth; not a photograph"


def truth(scene: StrutScene, card_size_mm: tuple[float, float], scale: float = 1.0) -> dict[str, Any]:
    """The truth file's content.

    `from_px` is the front point of the band's upper edge, `to_px` that of the
    collar's lower rim, `piston_end_px` the (often hidden) front point of the
    piston in the rim's plane.  `camera` describes the photo at `scale`.
    """
    view = camera(scene, scale)
    content: dict[str, Any] = {
        "notice": NOTICE,
        "name": scene.name,
        "leg_file": scene.leg_file,
        "expected": scene.expected,
        "camera": {
            "width_px": view.width,
            "height_px": view.height,
            "f_px": view.f_px,
            "cx_px": view.cx,
            "cy_px": view.cy,
            "k1": view.k1,
            "distortion": "x_d = x_u (1 + k1 r_u^2), normalised coordinates",
            "world_to_camera": view.R.tolist(),
            "centre_mm": view.centre.tolist(),
        },
        "frame": "world: origin on the piston's axis in the rim's plane, z up against gravity, mm",
        "axis": (strut_to_world(scene) @ Z).tolist(),
        "card": _card(scene, card_size_mm, scale),
        "leg_tag": _tag(scene, scale),
        "scene": to_dict(scene),
    }
    return content | (_span(scene, scale) if scene.leg.form == "telescopic" else {"extension_mm": None})


def _span(scene: StrutScene, scale: float) -> dict[str, Any]:
    leg, view = scene.leg, camera(scene, scale)
    band = front_point(scene, leg.piston_mm / 2, -leg.extension_mm)
    rim = front_point(scene, leg.collar_mm / 2, 0.0)
    end = front_point(scene, leg.piston_mm / 2, 0.0)
    pixels = view.project(np.stack([band, rim, end]))
    depth = float(((band + end) / 2 - view.centre) @ view.R[2])
    return {
        "extension_mm": leg.extension_mm,
        "from_mm": band.tolist(),
        "to_mm": rim.tolist(),
        "from_px": pixels[0].tolist(),
        "to_px": pixels[1].tolist(),
        "piston_end_px": pixels[2].tolist(),
        "elevation_deg": elevation_at(scene, rim),
        "px_per_mm": view.f_px / depth,
        "distance_mm": depth,
    }


def _card(scene: StrutScene, size_mm: tuple[float, float], scale: float) -> dict[str, Any] | None:
    if not scene.card.present:
        return None
    width, height = size_mm
    frame = card_frame(scene, width, height)
    corners = frame.points(np.array([[0, 0], [width, 0], [width, height], [0, height]], dtype=float))
    view = camera(scene)
    middle = strut_to_world(scene) @ (
        scene.leg.piston_mm / 2 * toward_camera(scene) - scene.leg.extension_mm / 2 * Z
    )
    ray = view.centre - frame.pivot
    return {
        "corners_px": camera(scene, scale).project(corners).tolist(),
        "stand_off_mm": scene.card.stand_off_mm,
        "stand_off_at_front_line_mm": float((middle - frame.pivot) @ frame.normal),
        "normal": frame.normal.tolist(),
        "obliqueness_deg": float(np.degrees(np.arccos(ray @ frame.normal / np.linalg.norm(ray)))),
    }


def _tag(scene: StrutScene, scale: float) -> dict[str, Any] | None:
    if scene.tag.tag_id is None:
        return None
    side = TAG_CARD_MM
    corners = tag_frame(scene, side).points(
        np.array([[0, 0], [side, 0], [side, side], [0, side]], dtype=float)
    )
    return {"id": scene.tag.tag_id, "corners_px": camera(scene, scale).project(corners).tolist()}
