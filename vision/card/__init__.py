"""The scale card: its definition, the two supplied ones, and the page it is printed on."""

from vision.card.definition import card_from_json, load_card, to_json
from vision.card.parts import Card, Checker, CopyTag, Dot, Marker, WedgePatch
from vision.card.supplied import supplied_card, supplied_cards

__all__ = [
    "Card",
    "Checker",
    "CopyTag",
    "Dot",
    "Marker",
    "WedgePatch",
    "card_from_json",
    "load_card",
    "supplied_card",
    "supplied_cards",
    "to_json",
]
