"""What a person tells of a card beside the photo: its bars' measured lengths, how far off it is held."""

from dataclasses import dataclass

import numpy as np

from vision.card import Card
from vision.errors import CardError
from vision.scale.model import UNMEASURED_PRINT, CardKnowledge

BAR_U_MM = 0.15
"""Standard uncertainty of a check bar measured with a steel rule, read by eye."""

Bars = tuple[float, float | None]
_NOT_THESE = 0.05  # of a bar: measured so far off it is another card's


@dataclass(frozen=True)
class StandOff:
    """How far the card's printed face lies behind (+) or in front (−) of what is measured, mm.

    Of a strut that is the piston's front line, of a wheel the plane of its flange's edge.
    """

    value_mm: float
    u_mm: float


def print_knowledge(card: Card, bars: Bars | None, u_mm: float = BAR_U_MM) -> CardKnowledge:
    """Return what measured check bars tell of a card copy's print.

    Parameters
    ----------
    bars : (along, across or None) or None
        Measured lengths, mm.
    u_mm : float, > 0
        Their standard uncertainty.

    Raises
    ------
    CardError
        They are not the bars of this card.
    """
    if bars is None or card.check_bars_xy_mm is None or card.check_bars_mm is None:
        return CardKnowledge()
    for told, printed in zip(bars, card.check_bars_mm, strict=True):
        if told is not None and abs(told / printed - 1) > _NOT_THESE:
            msg = (
                f"The check bar measured as {told:g} mm is not the {printed:g} mm bar of the card in the "
                f'photo ("{card.name}"); give the lengths measured on this card, in mm, the long bar first.'
            )
            raise CardError(msg)
    along = bars[0] / card.check_bars_mm[0]
    along_u = u_mm / card.check_bars_mm[0]
    # One bar alone says little of the other direction: printers scale the two differently.
    across, across_u = along, float(np.hypot(along_u, UNMEASURED_PRINT))
    if bars[1] is not None:
        across, across_u = bars[1] / card.check_bars_mm[1], u_mm / card.check_bars_mm[1]
    if card.height_mm >= card.width_mm:
        return CardKnowledge(across, along, across_u, along_u, True)
    return CardKnowledge(along, across, along_u, across_u, True)
