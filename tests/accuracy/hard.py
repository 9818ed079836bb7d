"""Hard scenes: a fair or wide one with one to four things that happen to real photos.

Drawn from random streams of their own, so that fair and wide scenes of any
seed stay what they are.  A scene names its features; the report has a line for each.
"""

from collections.abc import Callable
from dataclasses import replace
from typing import Any

import numpy as np

from tests.accuracy.draw import Case, draw, in_hand
from tests.scenes.analytic import Lamp, StrutScene
from tests.scenes.extras import Board, Extras, Ring

STREAM = 77  # of the features
BASE = 50_000_000  # the seeds of the scenes beneath
Change = Callable[[Case, np.random.Generator], Case]


def _scene(case: Case, **values: Any) -> Case:
    return replace(case, scene=replace(case.scene, **values))


def _extras(case: Case, **values: Any) -> Case:
    return _scene(case, extras=replace(case.scene.extras or Extras(), **values))


def _roll(case: Case, rng: np.random.Generator) -> Case:
    s = case.scene
    roll = float(rng.uniform(-180, 180))
    size = (s.width_px, s.height_px) if abs(np.cos(np.radians(roll))) > 0.7 else (s.height_px, s.width_px)
    # Turned, strut and card must still fit into the narrower side.
    distance = max(s.distance_mm, s.focal_px * 300 / (0.92 * min(size)))
    return _scene(case, roll_deg=roll, width_px=size[0], height_px=size[1], distance_mm=distance)


def _rake(case: Case, rng: np.random.Generator) -> Case:
    side, fore = rng.uniform(-8, 8, 2)
    return _extras(
        _scene(case, roll_deg=case.scene.roll_deg - float(side)), rake_deg=(float(side), float(fore))
    )


def _card_behind(case: Case, rng: np.random.Generator) -> Case:
    stand_off = case.scene.piston_diameter_mm + float(rng.uniform(2, 25))
    told = None if case.stand_off_told is None else (stand_off + float(rng.normal()), 1.0)
    changed = _scene(case, stand_off_mm=stand_off, card_gap_mm=float(rng.uniform(-16, 4)))
    return replace(changed, stand_off_told=told)


def _span_beyond(case: Case, rng: np.random.Generator) -> Case:
    return _scene(case, card_low_mm=float(-rng.uniform(2, 60)))


def _other_bars(case: Case, rng: np.random.Generator) -> Case:
    along, across = 1 + rng.uniform(-0.01, 0.01, 2)
    return replace(case, bars_told=(float(200 * along), float(30 * across)))


def _print_scales(case: Case, rng: np.random.Generator) -> Case:
    x, y = 1 + rng.uniform(-0.01, 0.01, 2)
    return replace(_scene(case, card_scale=(float(x), float(y))), bars_told=None)


def _lamp_at_camera(scene: StrutScene, level: float, half: float) -> Lamp:
    return Lamp(180.0 - scene.azimuth_deg, scene.elevation_deg, half, half, level)


def _flash(case: Case, rng: np.random.Generator) -> Case:
    s = case.scene
    e, a = np.radians([s.elevation_deg, s.azimuth_deg])
    toward = (float(np.cos(e) * np.sin(a)), float(-np.cos(e) * np.cos(a)), float(np.sin(e)))
    dimmed = tuple(replace(lamp, level=0.3 * lamp.level) for lamp in s.lamps)
    flash = _lamp_at_camera(s, float(rng.uniform(15, 60)), float(rng.uniform(1.6, 3)))
    return _scene(case, light=toward, sky=0.3 * s.sky, ground=0.3 * s.ground, lamps=(*dimmed, flash))


def _sun(case: Case, rng: np.random.Generator) -> Case:
    azimuth, height = float(rng.uniform(-180, 180)), float(rng.uniform(15, 60))
    e, a = np.radians([height, azimuth])
    light = (float(np.cos(e) * np.sin(a)), float(np.cos(e) * np.cos(a)), float(np.sin(e)))
    sun = Lamp(azimuth, height, 1.7, 1.7, 150.0)
    return _scene(case, light=light, lamps=(*case.scene.lamps, sun), sky=float(rng.uniform(0.5, 0.9)))


def _overcast(case: Case, rng: np.random.Generator) -> Case:
    softness = float(rng.uniform(15, 40))
    return _scene(
        case, sky=float(rng.uniform(0.8, 1.1)), ground=0.35, lamps=(), horizon_softness_deg=softness
    )


def _split(case: Case, rng: np.random.Generator) -> Case:
    # A border within the picture: behind the strut or a little beside it.
    border = -case.scene.azimuth_deg + float(rng.uniform(-6, 6))
    return _extras(case, split=(border, float(rng.choice([0.04, 0.15, 0.9, 1.3]))))


def _slots(case: Case, rng: np.random.Generator) -> Case:
    return _extras(case, slots=int(rng.choice([4, 6, 8])), slots_through_rim=bool(rng.random() < 0.5))


def _lip(case: Case, rng: np.random.Generator) -> Case:
    lip = float(rng.uniform(1.0, 4.0))
    changed = _extras(case, lip_mm=lip, lip_over_mm=float(rng.uniform(1.5, 4)))
    return replace(changed, leg_changes=case.leg_changes | {"collar_recess_mm": -lip}, truth_offset_mm=-lip)


def _dirty_band(case: Case, rng: np.random.Generator) -> Case:
    return _extras(case, band_dirt=float(rng.uniform(0.3, 0.9)))


def _faded_band(case: Case, rng: np.random.Generator) -> Case:
    fade = float(rng.uniform(0.2, 0.7))
    faded = (1 - fade) * np.array([0.42, 0.035, 0.03]) + fade * np.array([0.45, 0.3, 0.27])
    return _scene(case, band_rgb=tuple(float(v) for v in faded))


def _half_hidden_band(case: Case, rng: np.random.Generator) -> Case:
    start, wide = float(rng.uniform(-90, 60)), float(rng.uniform(20, 90))
    return _scene(case, band_hidden_deg=(start, start + wide))


def _oil(case: Case, rng: np.random.Generator) -> Case:
    s = case.scene
    places = [-float(rng.uniform(1.5, 6)), -s.extension_mm + float(rng.uniform(2, 8)), -s.extension_mm / 2]
    kept = [z for z in places if rng.random() < 0.6] or places[:1]
    brown = np.array([0.55, 0.42, 0.25]) * rng.uniform(0.4, 1.5)
    rings = [Ring(z, float(rng.uniform(0.8, 3)), tuple(float(v) for v in brown)) for z in kept]
    return _extras(case, oil=tuple(rings))


def _red_near(case: Case, rng: np.random.Generator) -> Case:
    s = case.scene
    side = -s.card_side * (s.collar_diameter_mm / 2 + float(rng.uniform(8, 45)))
    centre = (side, float(rng.uniform(-60, 60)), -s.extension_mm + float(rng.uniform(-60, 60)))
    half = (float(rng.uniform(8, 25)), float(rng.uniform(8, 60)))
    red = Board(centre, half, float(rng.uniform(-15, 15)), (0.45, 0.03, 0.03))
    return _extras(case, boards=(*(s.extras or Extras()).boards, red))


def _red_mirrored(case: Case, rng: np.random.Generator) -> Case:
    # Behind the photographer, so that it is seen in the chrome alone.
    azimuth = 180 - case.scene.azimuth_deg + float(rng.uniform(-70, 70))
    return _extras(case, red_patch=(azimuth, float(rng.uniform(-25, 25)), float(rng.uniform(4, 18))))


def _links(case: Case, rng: np.random.Generator) -> Case:
    s = case.scene
    turn, side = float(rng.uniform(25, 65) * rng.choice([-1, 1])), -s.card_side * float(rng.uniform(5, 40))
    depth = -s.cylinder_diameter_mm / 2 - float(rng.uniform(20, 70))
    centre = (side, depth, -s.extension_mm * float(rng.uniform(0.2, 0.8)))
    grey = float(rng.uniform(0.2, 0.7))
    arm = Board(centre, (140.0, float(rng.uniform(6, 12))), turn, (grey, grey, grey))
    return _extras(case, boards=(*(s.extras or Extras()).boards, arm))


def _tone(case: Case, rng: np.random.Generator) -> Case:
    kind = str(rng.choice(["srgb", "root", "film"]))
    return _extras(case, tone=kind, s_curve=float(rng.uniform(-0.25, 0.35)))


def _halo(case: Case, rng: np.random.Generator) -> Case:
    return _extras(case, sharpen=float(rng.uniform(0.4, 1.6)), sharpen_px=float(rng.uniform(0.8, 2.5)))


def _jpeg(case: Case, rng: np.random.Generator) -> Case:
    return _scene(case, jpeg_quality=int(rng.integers(60, 75)))


def _defocus(case: Case, rng: np.random.Generator) -> Case:
    return _extras(case, defocus_px=float(rng.uniform(1.0, 4.5)))


def _shake(case: Case, rng: np.random.Generator) -> Case:
    return _extras(case, shake_px=float(rng.uniform(1.5, 8)), shake_deg=float(rng.uniform(0, 180)))


def _wrong(key: str, least: float, most: float) -> Change:
    def change(case: Case, rng: np.random.Generator) -> Case:
        factor = 1 + float(rng.uniform(least, most) * rng.choice([-1, 1]))
        right = getattr(case.scene, key)
        return replace(case, leg_changes=case.leg_changes | {key: round(right * factor, 3)})

    return change


def _no_cylinder(case: Case, _: np.random.Generator) -> Case:
    return replace(case, leg_changes=case.leg_changes | {"cylinder_diameter_mm": None})


FEATURES: dict[str, Change] = {
    "roll any": _roll,
    "rake": _rake,
    "card behind the strut": _card_behind,
    "span beyond the card": _span_beyond,
    "another copy's bars": _other_bars,
    "print scales not measured": _print_scales,
    "flash": _flash,
    "sun": _sun,
    "overcast": _overcast,
    "split background": _split,
    "slotted collar": _slots,
    "wiper lip": _lip,
    "dirty band": _dirty_band,
    "faded band": _faded_band,
    "half-hidden band": _half_hidden_band,
    "oil line": _oil,
    "red thing near": _red_near,
    "red thing mirrored": _red_mirrored,
    "torque link across": _links,
    "another tone curve": _tone,
    "sharpening halo": _halo,
    "JPEG 60–74": _jpeg,
    "defocus": _defocus,
    "shake": _shake,
    "wrong piston diameter": _wrong("piston_diameter_mm", 0.005, 0.02),
    "wrong collar diameter": _wrong("collar_diameter_mm", 0.005, 0.03),
    "wrong cylinder diameter": _wrong("cylinder_diameter_mm", 0.005, 0.03),
    "no cylinder diameter": _no_cylinder,
}


def draw_hard(seed: int) -> Case:
    """Draw one hard case; the same seed gives the same case for ever.

    Half stand on a fair scene, half on a wide one; with one to four features, later lights over earlier.
    """
    rng = np.random.default_rng([seed, STREAM])
    fair = bool(rng.random() < 0.5)
    base = draw(BASE + seed, fair)
    case = replace(base, scene=replace(base.scene, seed=seed, extras=Extras()))
    count = int(rng.choice([1, 2, 3, 4], p=[0.4, 0.3, 0.2, 0.1]))
    names = [str(name) for name in rng.choice(list(FEATURES), count, replace=False)]
    for name in names:
        # A stream for each, so that a feature drawn otherwise in future leaves the rest as they are.
        case = FEATURES[name](case, np.random.default_rng([seed, STREAM, list(FEATURES).index(name)]))
    cell = base.cell | {
        "set": "hard",
        "under": "fair" if fair else "wide",
        "features": str(count),
        "stand-off": "told" if case.stand_off_told else "not told",
        "bars": "measured" if case.bars_told else "not measured",
    }
    return in_hand(replace(case, cell=cell, features=tuple(names)))


def draw_kind(kind: str, seed: int) -> Case:
    """Draw a case of one of the sets ``"fair"``, ``"wide"`` and ``"hard"``."""
    if kind == "hard":
        return draw_hard(seed)
    if kind not in ("fair", "wide"):
        msg = f'the sets are "fair", "wide" and "hard", not {kind!r}: choose one of the three'
        raise ValueError(msg)
    return in_hand(draw(seed, kind == "fair"))
