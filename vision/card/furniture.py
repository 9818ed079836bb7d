"""What the supplied cards carry beside their measuring features: rulers, check bars, words."""

import math
from collections.abc import Iterator
from dataclasses import dataclass

from vision.card import design
from vision.card.definition import to_json
from vision.card.parts import Card
from vision.card.primitives import Box, Primitive, Shape, Words

BAR_THICKNESS_MM = 0.6
_BAR_AT_MM = 4.3  # from the edge to the near side of a bar that runs beside a ruler
_LINE_MM = 0.14
_NUMERAL_PT = 4.4
_NUMERAL_AT_MM = 3.75  # the numerals' feet, from the edge
_SIXTEENTH_MM = 25.4 / 16


@dataclass(frozen=True)
class Furniture:
    """What a supplied card carries beside its features, and its open middle (x, y, w, h) if any."""

    primitives: tuple[Primitive, ...]
    window_mm: tuple[float, float, float, float] | None = None


def furniture(card: Card, copy: int) -> Furniture:
    """Return the rulers, check bars and words of copy `copy` of `card`.

    The definition does not say where a card has its bars; only the supplied
    cards' layout is known.  Another card gets its bars outside of its edge,
    where they tell the print's scale as well.
    """
    definition = to_json(card)
    if definition == design.strip():
        return Furniture(tuple(_strip(card, copy)))
    if definition == design.plate():
        return Furniture(tuple(_plate(card, copy)), _window(card))
    return Furniture(tuple(_bars_outside(card)))


def _bars_outside(card: Card) -> Iterator[Primitive]:
    if card.check_bars_xy_mm is None:
        return
    x_bar, y_bar = card.check_bars_xy_mm
    yield Box((card.width_mm - x_bar) / 2, card.height_mm + 3.0, x_bar, BAR_THICKNESS_MM)
    yield Box(card.width_mm + 3.0, (card.height_mm - y_bar) / 2, BAR_THICKNESS_MM, y_bar)


def _strip(card: Card, copy: int) -> Iterator[Primitive]:
    width, height = card.width_mm, card.height_mm
    middle = width / 2
    yield from _millimetres(height, 2.0)
    yield from _sixteenths(height, width, 2.0)
    yield Box(_BAR_AT_MM, (height - 200.0) / 2 - 1.0, BAR_THICKNESS_MM, 200.0)
    yield Box(middle - 15.0, height - 7.6, 30.0, BAR_THICKNESS_MM)
    yield Shape((((middle, 1.4), (middle + 1.6, 3.6), (middle - 1.6, 3.6)),))
    yield Words(middle, 6.6, "this end to the collar", 7.5, "middle", bold=True)
    tags = (design.STRIP_LEFT + 2 * design.STRIP_SQUARE + design.STRIP_RIGHT) / 2
    top = design.STRIP_TOP + design.STRIP_WORDS_SLOT * design.STRIP_SLOT
    yield Words(tags, top + 5.6, "strip", 9.0, "middle", bold=True)
    yield Words(tags, top + 9.6, f"copy {copy}", 7.5, "middle")
    yield Words(tags - 7.0, top + 14.4, "due", 5.5)
    yield Box(tags - 3.2, top + 14.5, 10.2, 0.1, grey=0.3)
    yield Words(middle, height - 3.0, "print at 100 %", 7.5, "middle")


def _plate(card: Card, copy: int) -> Iterator[Primitive]:
    width, height = card.width_mm, card.height_mm
    yield from _millimetres(height, 5.0)
    yield from _sixteenths(height, width, 5.0)
    yield Box(_BAR_AT_MM, (height - 140.0) / 2, BAR_THICKNESS_MM, 140.0)
    yield Box((width - 100.0) / 2, height - _BAR_AT_MM - BAR_THICKNESS_MM, 100.0, BAR_THICKNESS_MM)
    inner = height - design.PLATE_FRAME + 1.9
    yield Words(width / 2, inner, f"plate · copy {copy} · print at 100 %", 6.0, "middle")


def _window(card: Card) -> tuple[float, float, float, float]:
    frame = design.PLATE_FRAME
    return frame, frame, card.width_mm - 2 * frame, card.height_mm - 2 * frame


def _millimetres(height: float, margin: float) -> Iterator[Primitive]:
    """Graduations of 1 mm down the left side, counted from the card's top edge."""
    for number in _graduations(height, 1.0, margin):
        length = 2.3 if number % 10 == 0 else 1.8 if number % 5 == 0 else 1.2
        yield Box(0.0, number - _LINE_MM / 2, length, _LINE_MM)
        if number % 10 == 0 and margin + 2 < number < height - margin - 2:
            # Turned so that three digits fit between the tick and the check bar.
            yield Words(_NUMERAL_AT_MM, number, str(number), _NUMERAL_PT, "middle", turn_deg=-90.0)


def _sixteenths(height: float, width: float, margin: float) -> Iterator[Primitive]:
    """Graduations of 1/16 inch down the right side, counted from the card's top edge."""
    for number in _graduations(height, _SIXTEENTH_MM, margin):
        length = next(size for step, size in ((16, 2.3), (8, 2.0), (4, 1.6), (1, 1.2)) if number % step == 0)
        y = number * _SIXTEENTH_MM
        yield Box(width - length, y - _LINE_MM / 2, length, _LINE_MM)
        if number % 16 == 0:
            yield Words(width - 2.7, y, f"{number // 16} in", _NUMERAL_PT, "middle", turn_deg=-90.0)


def _graduations(height: float, step: float, margin: float) -> range:
    return range(math.ceil(margin / step), math.floor((height - margin) / step) + 1)
