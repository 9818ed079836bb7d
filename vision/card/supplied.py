"""The two cards that come with the project."""

import json
from functools import cache
from importlib.resources import files

from vision.card.definition import card_from_json
from vision.card.parts import Card

NAMES = ("strip", "plate")


@cache
def supplied_cards() -> tuple[Card, ...]:
    """Return the supplied cards: the strip for struts, the plate for wheels and doors."""
    return tuple(supplied_card(name) for name in NAMES)


def supplied_card(name: str) -> Card:
    """Return the supplied card called `name`, one of `NAMES`."""
    file_name = f"{name}.json"
    text = files("vision.card").joinpath(file_name).read_text(encoding="utf-8")
    return card_from_json(json.loads(text), file_name)
