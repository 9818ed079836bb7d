"""How an item moves on: by a confirmation, by hand measurements, and into a discrepancy."""

from dataclasses import replace
from datetime import datetime

from app.inspection.base import new_id
from app.inspection.model import Discrepancy, DiscrepancyState, Item, ItemState, Outcome, Person, Try
from app.inspection.ports import Reader
from app.inspection.rules import Length
from app.inspection.views import Place
from vision.results import Limits
from vision.units import format_mm, format_reading


def moved_by(r: Reader, item: Item, outcome: Outcome) -> Item:
    """Return the item after a confirmation."""
    if outcome is Outcome.WITHIN_CLOSED:
        return closed(r, item)
    if outcome is Outcome.OUTSIDE_DISCREPANCY:
        return replace(item, state=ItemState.DISCREPANCY, hands_wanted=0)
    return by_hand(item, 1 if outcome is Outcome.WITHIN_HAND_WANTED else 2)


def by_hand(item: Item, people: int) -> Item:
    """Return the item as it waits for a new round of hand measurements by so many people."""
    return replace(item, state=ItemState.HAND_WANTED, hands_wanted=people, hand_round=item.hand_round + 1)


def closed(r: Reader, item: Item) -> Item:
    """Return the item as it is closed; while a discrepancy on it is open it stays one."""
    is_open = bool(r.all(Discrepancy, item_id=item.id, state=DiscrepancyState.OPEN))
    return replace(item, state=ItemState.DISCREPANCY if is_open else ItemState.CLOSED, hands_wanted=0)


def open_discrepancy(
    place: Place, by: Person, at: datetime, length: Length, limits: Limits, try_: Try | None
) -> Discrepancy:
    """Return the discrepancy that a length outside its limits opens.

    Parameters
    ----------
    try_ : Try or None
        The try whose photo shows it; None where it was measured by hand.
    """
    shown = format_reading(length.value_mm, length.expanded_u_mm, "mm")
    how = "measured by hand" if try_ is None else "read on the photo and confirmed"
    return Discrepancy(
        id=new_id(),
        item_id=place.item.id,
        try_id=None if try_ is None else try_.id,
        place=f"{place.leg.position} leg, strut",
        text=f"Strut extension {shown}, {how}, is outside its limits: {limits_words(limits)}.",
        photo=None if try_ is None else try_.photo,
        opened_by=by.id,
        opened_at=at,
    )


def limits_words(limits: Limits) -> str:
    """Return limits in words, e.g. ``"82.55 mm to 95.25 mm"``."""
    if limits.lower is None or limits.upper is None:
        only = limits.upper if limits.lower is None else limits.lower
        side = "at most" if limits.lower is None else "at least"
        return "none are told" if only is None else f"{side} {format_mm(only)}"
    return f"{format_mm(limits.lower)} to {format_mm(limits.upper)}"
