"""The truth beside each traced photo of hoses, in pixels of the upright photo, with a leg's data for it."""

from typing import Any

import numpy as np

from tests.scenes.physical.hose_demo import LEG_FILE, NAMES
from tests.scenes.physical.hose_scene import Array, HoseScene, Seen, Thing, Worn, to_dict
from tests.scenes.physical.truth import NOTICE

TIER = "traced hose"
TAPS = 5
LIMB_RAD = 1.45  # the outline of what goes on round the limb ends here
_EVERY = 4  # of the course's points that a truth file keeps
WIDER = {"clamp": 0.7, "p_clamp": 2.2, "tape": 0.35, "tie": 1.1, "fitting": 0.0}  # mm beyond the cover


def hose_truth(scene: HoseScene, scale: float = 1.0) -> dict[str, Any]:
    """The truth file's content: hoses, worn places and what is no wear, and all that the scene is made of."""
    seen = Seen(scene, scale)
    return {
        "notice": NOTICE,
        "tier": TIER,
        "name": scene.name,
        "leg_file": scene.leg_file or f"{scene.name}.leg.toml",
        "expected": scene.expected,
        "width_px": seen.view.width,
        "height_px": seen.view.height,
        "hoses": [_hose(seen, index) for index in range(len(scene.hoses))],
        "worn": [_worn(seen, one) for one in scene.worn],
        "things": [_thing(seen, one) for one in scene.things],
        "scale": scale,
        "scene": to_dict(scene),
    }


def leg_text(scene: HoseScene) -> str:
    """A LEG.toml with the scene's hoses."""
    lines = [f'aircraft = "demo"\nposition = "{scene.name}"\ndocument = "rendered scene"\n']
    for index, hose in enumerate(scene.hoses):
        lines.append(
            f'[[hose]]\nname = "hose {index}"\ndiameter_mm = {hose.diameter_mm:.3f}\n'
            f'diameter_u_mm = {0.01 * hose.diameter_mm:.3f}\ncover = "{hose.cover}"\n'
        )
    return "\n".join(lines)


def names(scene: HoseScene) -> list[str]:
    """What the leg's data call the scene's hoses: the demo's leg has one of each cover, else they are counted."""
    if scene.leg_file == LEG_FILE:
        by_cover = {cover: name for name, cover in NAMES.items()}
        return [by_cover[hose.cover] for hose in scene.hoses]
    return [f"hose {index}" for index in range(len(scene.hoses))]


def _hose(seen: Seen, index: int) -> dict[str, Any]:
    hose, line = seen.scene.hoses[index], seen.curves[index]
    pixels, scale = seen.px(line.points), seen.px_per_mm(line.points)
    there = np.flatnonzero(seen.inside(pixels, -0.1 * seen.view.width))
    part = slice(there[0], there[-1] + 1, _EVERY) if len(there) else slice(0, 2)
    return {
        "name": names(seen.scene)[index],
        "diameter_mm": hose.diameter_mm,
        "cover": hose.cover,
        "centre_line_px": np.round(pixels[part], 2).tolist(),
        "along_mm": np.round(line.arc[part], 2).tolist(),
        "radius_px": np.round(hose.diameter_mm / 2 * scale[part], 2).tolist(),
        "cover_mm": [max(hose.start_mm, float(line.arc[0])), min(hose.end_mm, float(line.arc[-1]))],
        "taps_px": np.round(_taps(seen, index), 1).tolist(),
    }


def _taps(seen: Seen, index: int) -> Array:
    """Places that a person taps: evenly along what is seen of the cover, not on what crosses before it."""
    hose, line = seen.scene.hoses[index], seen.curves[index]
    pixels, scale = seen.px(line.points), seen.px_per_mm(line.points)
    ferrule = 0.75 * hose.diameter_mm  # an end is tapped on the middle of its ferrule
    good = (line.arc > hose.start_mm - ferrule) & (line.arc < hose.end_mm + ferrule)
    good &= seen.inside(pixels, 20 * seen.view.width / 1600)
    seen_arc = line.arc[good]
    for other, body in enumerate(seen.scene.hoses):
        if other != index and body.turn_deg != hose.turn_deg and body.depth_mm < hose.depth_mm:
            before = seen.px(seen.curves[other].points[::4])
            away = np.array([np.hypot(*(before - pixel).T).min() for pixel in pixels[good][::4]])
            hidden = np.interp(seen_arc, seen_arc[::4], away) < 0.6 * body.diameter_mm * scale[good]
            good[np.flatnonzero(good)[hidden]] = False
    if not good.any():
        return np.zeros((0, 2))
    wanted = np.linspace(seen_arc[0], seen_arc[-1], TAPS)
    free = np.flatnonzero(good)
    at = np.unique([free[np.abs(line.arc[free] - one).argmin()] for one in wanted])
    rng = np.random.default_rng([seen.scene.seed, index, 91])
    return pixels[at] + rng.normal(size=(len(at), 2)) * (0.12 * hose.diameter_mm / 2 * scale[at])[:, None]


def patch(seen: Seen, hose: int, at: float, angle: float, long: float, wide: float) -> Array:
    """The outline (48, 2) px of an ellipse on the cover; what lies behind the limb is laid on it."""
    turn = np.linspace(0, 2 * np.pi, 48, endpoint=False)
    diameter = seen.scene.hoses[hose].diameter_mm
    around = np.clip(angle + wide / diameter * np.sin(turn), -LIMB_RAD, LIMB_RAD)
    return seen.px(seen.curves[hose].on(at + long / 2 * np.cos(turn), around, np.full(48, diameter / 2)))


def band(seen: Seen, one: Thing) -> Array:
    """The outline of what goes right round a hose."""
    radius = seen.scene.hoses[one.hose].diameter_mm / 2
    wide = 1.28 * radius if one.kind == "fitting" else radius + WIDER.get(one.kind, 0.0)
    arc = np.linspace(one.first_mm, one.last_mm, 12)
    line = seen.curves[one.hose]
    sides = [line.on(arc, np.full(12, side * np.pi / 2), np.full(12, wide)) for side in (-1, 1)]
    return seen.px(np.concatenate([sides[0], sides[1][::-1]]))


def _worn(seen: Seen, one: Worn) -> dict[str, Any]:
    outline = patch(seen, one.hose, one.at_mm, one.angle_rad, one.size_mm, one.around_mm)
    place = seen.curves[one.hose].at(np.array([one.at_mm]))[0]
    return {
        "outline_px": np.round(outline, 2).tolist(),
        "hose": one.hose,
        "cover": seen.scene.hoses[one.hose].cover,
        "grade": one.grade,
        "size_mm": one.size_mm,
        "around_mm": one.around_mm,
        "size_px": one.size_mm * float(seen.px_per_mm(place)[0]),
        "at_mm": one.at_mm,
        "angle_rad": one.angle_rad,
    }


def _thing(seen: Seen, one: Thing) -> dict[str, Any]:
    long, middle = one.last_mm - one.first_mm, (one.first_mm + one.last_mm) / 2
    diameter = seen.scene.hoses[one.hose].diameter_mm
    if one.kind in WIDER:
        outline = band(seen, one)
    else:
        wide = {"label": 1.5, "fluid": 1.1}.get(one.kind, 0.0) * diameter / 2 or 0.8 * long
        outline = patch(
            seen, one.hose, middle, one.angle_rad, long * (1.2 if one.kind == "label" else 1), wide
        )
    # The contract's word for a cushioned clip and a tie is that of a clamp.
    kind = {"p_clamp": "clamp", "tie": "clamp"}.get(one.kind, one.kind)
    return {"kind": kind, "drawn_as": one.kind, "hose": one.hose, "outline_px": np.round(outline, 2).tolist()}
