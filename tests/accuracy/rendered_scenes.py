"""Scenes of the rendered tier with what the measurement is told of them, and their truth files."""

import json
import re
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

import numpy as np

from tests.scenes.physical.fair import fair_scene
from tests.scenes.physical.geometry import Z, card_frame, strut_to_world
from tests.scenes.physical.legs import LEGS, leg_toml
from tests.scenes.physical.scene import StrutScene
from tests.scenes.physical.textures import Textures
from tests.scenes.physical.truth import truth
from tests.scenes.physical.wide import wide_scene
from vision.card import supplied_cards

STREAM = {"fair": 91, "wide": 92}
TOLD_U_MM, RULE_U_MM = 1.0, 0.15


@dataclass(frozen=True)
class RenderedScene:
    """One picture and what is told of it.

    Attributes
    ----------
    kind : str
        ``"fair"`` or ``"wide"``.
    scene : StrutScene
    features : tuple of str
        What is bad about it.
    print_scale : (float, float)
        Across and along the card.
    stand_off : (float, float) or None
        As told, with its u, mm.
    bars : (float, float) or None
        As measured, along and across, mm.
    leg : str
        LEG.toml as text, wrong where `features` says so.
    """

    kind: str
    scene: StrutScene
    features: tuple[str, ...]
    print_scale: tuple[float, float]
    stand_off: tuple[float, float] | None
    bars: tuple[float, float] | None
    leg: str

    @property
    def card_size_mm(self) -> tuple[float, float]:
        """Of this copy as printed."""
        strip = next(card for card in supplied_cards() if card.name == "strip")
        return strip.width_mm * self.print_scale[0], strip.height_mm * self.print_scale[1]

    def textures(self, nominal: Textures) -> Textures:
        """The textures with this copy's size of the card."""
        return replace(nominal, card_size_mm=self.card_size_mm)


def rendered_scene(kind: str, seed: int, k: int) -> RenderedScene:
    """The k-th scene of a seed, ``"fair"`` or ``"wide"``; the same for ever."""
    rng = np.random.default_rng([seed, k, STREAM[kind]])
    if kind == "fair":
        scene, features, wrong = fair_scene(seed, k), (), {}
    else:
        drawn = wide_scene(seed, k)
        scene, features, wrong = drawn.scene, drawn.features, drawn.wrong
    scale = 1 + rng.uniform(-0.01, 0.01, 2)
    errors = rng.normal(size=3)
    knows = rng.random(2)
    card = RenderedScene(kind, scene, features, (float(scale[0]), float(scale[1])), None, None, "")
    stand_off = true_stand_off(scene, card.card_size_mm) + TOLD_U_MM * float(errors[0])
    bars = (float(200 * scale[1] + RULE_U_MM * errors[1]), float(30 * scale[0] + RULE_U_MM * errors[2]))
    return replace(
        card,
        stand_off=(stand_off, TOLD_U_MM) if kind == "fair" or knows[0] < 0.4 else None,
        bars=bars if kind == "fair" or knows[1] < 0.5 else None,
        leg=_leg(scene, wrong),
    )


def true_stand_off(scene: StrutScene, card_size_mm: tuple[float, float]) -> float:
    """What a straight edge laid on the card shows: card's face behind the piston's front, along its normal, mm."""
    frame = card_frame(scene, *card_size_mm)
    middle = strut_to_world(scene) @ (-scene.leg.extension_mm / 2 * Z)
    return float((middle - frame.pivot) @ frame.normal + scene.leg.piston_mm / 2)


def _leg(scene: StrutScene, wrong: dict[str, float]) -> str:
    text = leg_toml(LEGS[Path(scene.leg_file).stem])
    for key, factor in wrong.items():
        text = re.sub(rf"(?m)^{key} = (.*)$", lambda m, f=factor, k=key: f"{k} = {float(m[1]) * f:.3f}", text)
    return text


def is_fair(scene: StrutScene, told: dict[str, Any], scale: float) -> bool:
    """The issue's own words: px/mm ≥ 2, elevation within ± 12°, tilt ≤ 20°, blur ≤ 1.8 px."""
    return bool(
        told["px_per_mm"] / scale >= 2
        and abs(told["elevation_deg"]) <= 12
        and told["card"]["obliqueness_deg"] <= 20
        and scene.post.psf_sigma_px <= 1.8
    )


def write_truth(rendered: RenderedScene, scale: float, picture: Path) -> None:
    """Write the truth file beside a picture, in the form of `tests.accuracy`."""
    scene = rendered.scene
    content = truth(scene, rendered.card_size_mm, scale)
    del content["expected"]
    # A fair draw that misses the words' bounds is told among the others.
    fair = rendered.kind == "fair" and is_fair(scene, content, scale)
    content |= {
        "tier": "rendered",
        "others": "wide",
        "fair": fair,
        "leg": rendered.leg,
        "stand_off_mm": rendered.stand_off,
        "true_stand_off_mm": true_stand_off(scene, rendered.card_size_mm),
        "check_bars_mm": rendered.bars,
        "print_scale": rendered.print_scale,
        "features": rendered.features,
        "cell": {
            "light": scene.light.kind,
            "backdrop": scene.light.backdrop,
            "collar": scene.finish.collar,
            "gear": scene.leg.running_gear,
        },
    }
    if rendered.kind == "fair" and not fair:
        content["features"] = ["a fair draw outside the bounds"]
    picture.with_suffix(".truth.json").write_text(json.dumps(content, indent=1) + "\n", encoding="utf-8")
