"""What people see for themselves on a searched photo, and how they judge each place that is looked at.

Conventions as in `model`.  A place is named on its photo: ``"flag-1"`` and ``"aside-1"``
by its number in the result, ``"mark-<id of the marking>-1"`` a person's own mark.
"""

from dataclasses import dataclass
from datetime import datetime
from enum import StrEnum
from typing import Any

from app.inspection.rounds.model_found import Finding


class Judged(StrEnum):
    """What a person takes a place for."""

    WEAR = "wear"
    REFLECTION = "reflection"
    DIRT = "dirt"
    FLUID = "fluid"
    CANNOT_TELL = "cannot_tell"


class HandKind(StrEnum):
    """What was inspected by hand, mirror and light.

    ALL_ROUND: all hoses, with doors and steering at their extremes, or all of a surface.
    NOT_SEARCHED: what the photos did not search of one hose, or of the surface.  SETTLES: one
    place of which the photo cannot tell.
    """

    ALL_ROUND = "all_round"
    NOT_SEARCHED = "not_searched"
    SETTLES = "settles"


@dataclass(frozen=True)
class BareMarking:
    """What a person saw himself on the bare photo, before a flag was shown to him.

    Attributes
    ----------
    marks : tuple of dict
        Each with ``x`` and ``y``, px of the upright photo, and ``text``, which may be empty.
    none_seen : bool
        He states that he saw none; that is of the photo, not of the hose or the surface.
    """

    id: str
    try_id: str
    person_id: str
    marks: tuple[dict[str, Any], ...]
    none_seen: bool
    at: datetime


@dataclass(frozen=True)
class PlaceOpened:
    """A person was shown one place of a photo that he had marked himself."""

    id: str
    try_id: str
    person_id: str
    place: str
    marking_id: str
    at: datetime


@dataclass(frozen=True)
class Judging:
    """What a person takes one place for that he has opened; his last word, the events keep those before."""

    id: str
    try_id: str
    person_id: str
    place: str
    opened_id: str
    judged: Judged
    text: str
    at: datetime


@dataclass(frozen=True)
class HandEntry:
    """What a person inspected by hand, mirror and light, and what he found there.

    Attributes
    ----------
    hose : str
        Of NOT_SEARCHED, the hose's name (may be empty where the leg has one); else, and of a
        surface, empty.
    judging_id : str or None
        Of SETTLES, his judgement that the photo cannot tell.
    finding : Finding
        GOOD, nothing that needs action was found there, or FAULT with words.
    told : dict
        ALL_ROUND: ``doors`` and ``steering``, of a surface ``how``; NOT_SEARCHED: ``how``, and
        ``stood``, what was not searched when he said so.  ``wet`` where he found fluid.
    """

    id: str
    item_id: str
    person_id: str
    kind: HandKind
    hose: str
    judging_id: str | None
    finding: Finding
    text: str
    told: dict[str, Any]
    at: datetime
