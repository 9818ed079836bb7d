"""A second photo of hoses held against the first one: which of the first one's flags slide."""

from collections.abc import Mapping, Sequence
from typing import Any

from app.inspection.rounds.hose_pair_rules import FIRST, HOSE_PAIR, SLIDES, flags_that_slide
from vision.hose import Searched, Tap, to_json
from vision.hose.pair import search_pair
from vision.leg import Leg
from vision.photo import Photo, read_photo
from vision.results import Refusal
from vision.scale import other_leg

COMPARING = "comparing both photos"
"""The second stage of a second photo."""


def held_against(second: Photo, leg: Leg, options: Mapping[str, Any]) -> dict[str, Any]:
    """Return the JSON of what a second photo tells of the first one's flags.

    It has the lists of a search, all empty: nothing of the second photo counts as searched.

    Parameters
    ----------
    options : mapping
        With ``taps`` on the second photo, and of the first one under `FIRST` its ``photo``, ``taps`` and
        ``flags``.

    Raises
    ------
    PhotoError
        The first photo cannot be read.
    """
    first = options[FIRST]
    found: Searched | Refusal | None = other_leg(HOSE_PAIR, leg, second)
    if found is None:
        shown, moved = taps_of(first), taps_of(options)
        found = search_pair(read_photo(first["photo"]), second, leg.hoses, shown, second_taps=moved)
    told = {"name": HOSE_PAIR} | to_json(found)
    if isinstance(found, Refusal):
        return told | {"name": HOSE_PAIR}
    slides = flags_that_slide(first["flags"], told["set_aside"])
    return told | {"flags": [], "set_aside": [], "hoses": [], "notes": [], SLIDES: slides}


def taps_of(options: Mapping[str, Any]) -> Sequence[Tap]:
    """Return the hoses that a person showed on a photo."""
    return [
        Tap(tuple((float(x), float(y)) for x, y in one["points"]), one["name"])
        for one in options.get("taps", ())
    ]
