"""A scale card held against the wheel of a drawn tire, as a hand holds it, and what is told of it.

The picture is drawn finer than the case's own where it must be: a card's squares of 5 mm need some 2 px for
a millimetre, which a photo of 12 megapixels gives.
"""

from dataclasses import dataclass, replace

import numpy as np

from tests.scenes.tire_draw import TireCase
from tests.scenes.wheel_scene import clock_direction
from vision.card import supplied_cards
from vision.scale.told import StandOff
from vision.wheel.held_card import ToldCard

PX_PER_MM = 1.6
CORNER_MM = 100.0  # from the plate's middle
LEAN_DEG = 1.5  # standard deviation about either axis; less than what the measurement allows


@dataclass(frozen=True)
class CardCase:
    """A case with its card in the scene, and what the measuring side is told of the card."""

    case: TireCase
    told: ToldCard


def finer(case: TireCase) -> TireCase:
    """Return the case with at least `PX_PER_MM` at the wheel, nothing else changed."""
    s = case.scene
    k = max(1.0, PX_PER_MM * s.distance_mm / s.focal_px)
    scene = replace(s, width_px=int(s.width_px * k), height_px=int(s.height_px * k), focal_px=s.focal_px * k)
    return replace(case, scene=scene, focal_told=case.focal_told * k, focal_u=case.focal_u * k)


def hold(case: TireCase, seed: int) -> CardCase:
    """Return the case with a plate held against its hub or rim, clear of the slip mark, by a stream of its own."""
    rng = np.random.default_rng([seed, 79])
    s = case.scene
    room = max(s.flange_radius - s.mark_length_mm - CORNER_MM, 0.0)
    away = (s.mark_clock_deg or 0.0) + rng.uniform(60, 300)
    at = clock_direction(away) * rng.uniform(0, room)
    # It lies on what stands out most, with a millimetre or some of its own.
    before = s.cap_depth_mm + s.lip_round_mm + rng.uniform(1, 6)
    print_x, print_y = 1 + rng.uniform(-0.008, 0.008, 2)
    scene = replace(
        s,
        card_at_mm=(float(at[0]), float(at[1]), -float(before)),
        card_turn_deg=float(rng.uniform(-25, 25)),
        card_lean_deg=(float(rng.normal() * LEAN_DEG), float(rng.normal() * LEAN_DEG)),
        card_print=(float(print_x), float(print_y)),
    )
    told = told_of(rng, -before, (140 * print_y, 100 * print_x))
    return CardCase(replace(case, scene=scene), told)


def told_of(rng: np.random.Generator, z_mm: float, bars_mm: tuple[float, float]) -> ToldCard:
    """What a person tells: the stand-off in most cases, to 2 mm; the bars in most cases, to 0.15 mm."""
    cards = tuple(card for card in supplied_cards() if card.name == "plate")
    stand_off = StandOff(float(z_mm + 2 * rng.normal()), 3.0) if rng.random() < 0.8 else None
    bars = None
    if rng.random() < 0.8:
        along, across = bars_mm + 0.15 * rng.normal(size=2)
        bars = (float(along), float(across))
    return ToldCard(cards, bars, None, stand_off)
