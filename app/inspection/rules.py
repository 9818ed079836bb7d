"""What follows from readings, as pure functions: agreement, outcome, settling by hand.

Nothing here closes an item on the word of one person, or on a reading that
another one on the record contradicts.

**A photo reading** stands as the item's value when the inspector's blind
reading agrees with it.  Then

========== =========================================== ======================
verdict    on the item                                 outcome
========== =========================================== ======================
outside    (whatever else)                             discrepancy
undecided  (whatever else)                             two measure by hand
within     another try read outside, or a hand         two measure by hand
           measurement does not stand beside it
within     supporting leg, no hand measurement         one measures by hand
within     otherwise                                   closed
========== =========================================== ======================

and where it does not agree, two measure by hand, whatever the verdict.

**A hand measurement stands beside** a photo reading that is within when both
agree and the hand's own value lies within the limits as written.

**Settling by hand**: each person measures once in a round.

- One was wanted: it stands beside the photo reading → closed.  It does not →
  it counts as the first of two.
- Two were wanted: two people, at least one of them an inspector.  They disagree
  → both measure anew (next round).  They agree and one is outside → discrepancy;
  all are within → closed; otherwise → both measure anew, with a better instrument.
"""

import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from enum import StrEnum
from itertools import combinations
from typing import Any, Protocol

from app.inspection.model import Basis, BlindReading, Outcome, Try
from vision.results import Limits, Verdict


class Length(Protocol):
    """A length with its doubt, mm."""

    @property
    def value_mm(self) -> float: ...  # noqa: D102

    @property
    def expanded_u_mm(self) -> float: ...  # noqa: D102


@dataclass(frozen=True)
class PhotoReading:
    """What of a photo's result the rules look at."""

    value_mm: float
    expanded_u_mm: float
    verdict: Verdict
    limits: Limits


def photo_reading(result: Mapping[str, Any] | None) -> PhotoReading | None:
    """Return the reading in a result's JSON, or None where there is none; no verdict counts as undecided.

    Raises
    ------
    ValueError
        The result calls itself a reading and holds no finite length with its doubt in mm.
    """
    if result is None or result.get("status") != "reading":
        return None
    value, doubt = _number(result.get("value")), _number(result.get("expanded_uncertainty"))
    if not (doubt > 0 and result.get("unit") == "mm"):
        msg = f"a reading has U above 0 and is in mm, got {doubt} {result.get('unit')!r}"
        raise ValueError(msg)
    limits = result.get("limits") or {}
    return PhotoReading(
        value,
        doubt,
        Verdict(result.get("verdict") or Verdict.UNDECIDED),
        Limits(limits.get("lower"), limits.get("upper"), limits.get("document") or ""),
    )


def was_read(result: Mapping[str, Any] | None) -> bool:
    """Return whether a result's JSON is a reading, of whatever quantity, or of a photo that was searched.

    Raises
    ------
    ValueError
        It calls itself a reading and holds no finite value with its doubt, or searched and holds no
        lists of flags and of what was searched, or is none of these and no refusal.
    """
    if result is None:
        return False
    if result.get("status") not in ("reading", "searched", "refused"):
        msg = f"a result is a reading, searched or refused, got {result.get('status')!r}"
        raise ValueError(msg)
    if result["status"] == "refused":
        return False
    if result["status"] == "searched":
        if not all(isinstance(result.get(name), list) for name in ("flags", "set_aside", "hoses")):
            msg = "what was searched has lists of flags, of what was set aside and of hoses"
            raise ValueError(msg)
        return True
    _number(result.get("value"))
    if not (_number(result.get("expanded_uncertainty")) > 0 and result.get("unit")):
        msg = f"a reading has U above 0 and a unit, got {result.get('unit')!r}"
        raise ValueError(msg)
    return True


def _number(value: Any) -> float:
    if isinstance(value, bool) or not isinstance(value, int | float) or not math.isfinite(value):
        msg = f"a reading's value and U are finite numbers, got {value!r}"
        raise ValueError(msg)
    return float(value)


def agrees(value: float, expanded_u: float, other: float, other_expanded_u: float) -> bool:
    """Return whether two independent lengths differ by no more than their combined U, √(U1² + U2²)."""
    return abs(value - other) <= math.hypot(expanded_u, other_expanded_u)


def blind_agrees(photo: PhotoReading, blind: BlindReading) -> bool:
    """Return whether the inspector's placing lets the photo reading stand."""
    return abs(blind.value_mm - photo.value_mm) <= combined_u(photo, blind)


def combined_u(photo: PhotoReading, blind: BlindReading) -> float:
    """Return the expanded uncertainty of blind minus photo reading, mm.

    The two are not independent: they share the photo's geometry, so the doubt of
    their difference is told with the placing.  It is never taken larger than
    √(U1² + U2²).
    """
    return min(blind.difference_u_mm, math.hypot(photo.expanded_u_mm, blind.expanded_u_mm))


def stands_beside(hand: Length, photo: PhotoReading) -> bool:
    """Return whether a hand measurement supports a photo reading."""
    lower, upper = photo.limits.lower, photo.limits.upper
    inside = (lower is None or lower <= hand.value_mm) and (upper is None or hand.value_mm <= upper)
    return inside and agrees(hand.value_mm, hand.expanded_u_mm, photo.value_mm, photo.expanded_u_mm)


def another_outside(this: Try, tries: Iterable[Try]) -> bool:
    """Return whether any other try at the item read outside, sent or not.

    What was outside does not become within by another photo; only a recorded
    action does that: the tries before it are not among `tries`.
    """
    readings = (photo_reading(one.result) for one in tries if one.id != this.id)
    return any(one is not None and one.verdict is Verdict.OUTSIDE for one in readings)


def outcome_of(
    photo: PhotoReading, agreed: bool, basis: Basis, hands: Sequence[Length], outside_besides: bool
) -> Outcome:
    """Return what a confirmation does to the item.

    Parameters
    ----------
    photo : PhotoReading
        The try's reading.
    agreed : bool
        Whether the confirming person's blind reading agrees with it.
    basis : Basis
        Of the leg.
    hands : sequence of Length
        Every hand measurement on the item.
    outside_besides : bool
        Whether another try at the item read outside.
    """
    if not agreed or photo.verdict is Verdict.UNDECIDED:
        return Outcome.HAND_WANTED
    if photo.verdict is Verdict.OUTSIDE:
        return Outcome.OUTSIDE_DISCREPANCY
    if outside_besides or not all(stands_beside(hand, photo) for hand in hands):
        return Outcome.HAND_WANTED
    if basis is Basis.SUPPORTING and not hands:
        return Outcome.WITHIN_HAND_WANTED
    return Outcome.WITHIN_CLOSED


class Settlement(StrEnum):
    """What the hand measurements of a round do to the item."""

    CLOSED = "closed"
    DISCREPANCY = "discrepancy"
    ANOTHER_PERSON = "another_person"
    ANEW = "anew"


@dataclass(frozen=True)
class HandJudged:
    """One hand measurement of the present round, with its own verdict and whether an inspector took it."""

    value_mm: float
    expanded_u_mm: float
    verdict: Verdict
    by_inspector: bool


def settle_by_hand(people_wanted: int, hands: Sequence[HandJudged], photo: PhotoReading | None) -> Settlement:
    """Return what the round's hand measurements do to the item.

    Parameters
    ----------
    people_wanted : int
        1 beside a confirmed photo reading, else 2.
    hands : sequence of HandJudged
        Of different people, at least one.
    photo : PhotoReading or None
        The confirmed photo reading that the one measurement stands beside.
    """
    if people_wanted == 1 and photo is not None and len(hands) == 1:
        return Settlement.CLOSED if stands_beside(hands[0], photo) else Settlement.ANOTHER_PERSON
    if len(hands) < 2 or not any(hand.by_inspector for hand in hands):
        return Settlement.ANOTHER_PERSON
    for one, other in combinations(hands, 2):
        if not agrees(one.value_mm, one.expanded_u_mm, other.value_mm, other.expanded_u_mm):
            return Settlement.ANEW
    verdicts = {hand.verdict for hand in hands}
    if Verdict.OUTSIDE in verdicts:
        return Settlement.DISCREPANCY
    return Settlement.CLOSED if verdicts == {Verdict.WITHIN} else Settlement.ANEW
