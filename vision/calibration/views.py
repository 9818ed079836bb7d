"""What one photo of a card tells about the camera."""

from collections.abc import Sequence

import numpy as np

from vision.calibration.fit import View
from vision.card import Card
from vision.photo import Photo
from vision.results import Refusal
from vision.scale import CameraKnowledge, CardFix, CardKnowledge, find_card
from vision.scale.model import UNMEASURED_PRINT

# Wide, so that a lens nobody knows yet is not taken for a bent card.
_F_DOUBT, _K1_DOUBT = 0.3, 0.3
Bars = tuple[float, float]


def find_view(photo: Photo, cards: Sequence[Card]) -> CardFix | Refusal:
    """Return the card in a photo, nothing supposed of the camera but its file's focal length, loosely."""
    height, width = photo.pixels.shape[:2]
    prior = photo.facts.focal
    camera = CameraKnowledge(
        prior.f_px,
        _F_DOUBT * prior.f_px,
        (width - 1) / 2,
        (height - 1) / 2,
        k1_u=_K1_DOUBT,
        source=prior.rule,
    )
    return find_card(photo, cards, camera, lambda _: CardKnowledge())


def view_of(fix: CardFix, bars_mm: Bars | None) -> View:
    """Return a card's points as they are printed: its height over its width by the measured check bars."""
    middle = np.array([fix.card.width_mm, fix.card.height_mm]) / 2
    stretch = print_stretch(fix.card, bars_mm)
    return View(fix.px, (fix.xy_mm - middle) * [1, stretch], fix.sigma_px)


def print_stretch(card: Card, bars_mm: Bars | None) -> float:
    """Height over width of a card's copy, against its definition's."""
    if bars_mm is None or card.check_bars_mm is None:
        return 1.0
    along, across = (told / drawn for told, drawn in zip(bars_mm, card.check_bars_mm, strict=True))
    return along / across if card.height_mm >= card.width_mm else across / along


def print_stretch_u(card: Card, bars_mm: Bars | None, bar_u_mm: float) -> float:
    """Standard uncertainty of `print_stretch`."""
    if bars_mm is None or card.check_bars_mm is None:
        return float(np.hypot(UNMEASURED_PRINT, UNMEASURED_PRINT))
    return float(np.hypot(bar_u_mm / bars_mm[0], bar_u_mm / bars_mm[1]))
