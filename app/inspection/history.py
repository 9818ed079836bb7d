"""Readings of one item of one leg over all visits, and photos of the same view: what trends are drawn from.

Nobody learns here what he may yet have to read blind: only what `sight.sees_result` lets a
person see is told.
"""

from dataclasses import dataclass, replace
from datetime import datetime
from typing import Any

from app.inspection.base import tries_of
from app.inspection.comparing import confirmation_of
from app.inspection.model import (
    BlindReading,
    Confirmation,
    HandReading,
    Inspection,
    Item,
    ItemState,
    Outcome,
    Person,
    Try,
    TryState,
)
from app.inspection.ports import Reader, Records
from app.inspection.rounds.model import Withdrawal
from app.inspection.rounds.sight import sees_result

_STANDING = (Outcome.WITHIN_CLOSED, Outcome.WITHIN_HAND_WANTED, Outcome.OUTSIDE_DISCREPANCY)


@dataclass(frozen=True)
class PastReading:
    """One value of an item: from a photo or by hand.

    Attributes
    ----------
    stands : bool
        Whether a second person's reading agreed with it, or for a hand measurement whether it
        belongs to the round that settled the item.
    result : dict or None
        Of a photo, the contract's JSON; None by hand.
    photo : str or None
    own_hand_mm, own_hand_u_mm : float or None
        The performer's rule reading before the photo's was shown.
    placed : BlindReading or None
        Of who confirmed.
    options : dict
        What was told beside the photo.
    """

    id: str
    at: datetime
    item_id: str
    value: float | None
    expanded_u: float | None
    stands: bool
    settled: bool
    result: dict[str, Any] | None = None
    photo: str | None = None
    own_hand_mm: float | None = None
    own_hand_u_mm: float | None = None
    placed: BlindReading | None = None
    options: dict[str, Any] | None = None
    hands: tuple[HandReading, ...] = ()


class History:
    """Looks through past visits; never writes."""

    def __init__(self, records: Records) -> None:
        self._records = records

    def of_leg(self, person: Person, leg_id: str, key: str) -> tuple[PastReading, ...]:
        """Return every reading of an item of a leg that the person may see, oldest first."""
        with self._records.look() as r:
            found: list[PastReading] = []
            for item in r.all(Item, leg_id=leg_id, key=key):
                found += _of_item(r, person, item)
        return tuple(sorted(found, key=lambda one: (one.at, one.id)))

    def of_all(self, person: Person, key: str) -> tuple[PastReading, ...]:
        """Return every settled photo reading of an item on all legs, oldest first."""
        with self._records.look() as r:
            found = [one for item in r.all(Item, key=key) for one in _of_item(r, person, item)]
        shown = (one for one in found if one.settled and one.result is not None)
        return tuple(sorted(shown, key=lambda one: (one.at, one.id)))

    def withdrawn(self) -> dict[str, str]:
        """Return why each reading withdrawn after its sign-off does not stand, by its item's id."""
        with self._records.look() as r:
            return {one.item_id: one.reason for one in r.all(Withdrawal)}

    def visits(self, leg_id: str, key: str) -> dict[str, datetime]:
        """Return when each item of this key on this leg was opened, by the item's id."""
        with self._records.look() as r:
            items = r.all(Item, leg_id=leg_id, key=key)
            return {item.id: r.get(Inspection, item.inspection_id).opened_at for item in items}


def _of_item(r: Reader, person: Person, item: Item) -> list[PastReading]:
    hands = tuple(sorted(r.all(HandReading, item_id=item.id), key=lambda one: one.at))
    tries = tries_of(r, item.id)
    hidden = False
    found = []
    for one in tries:
        if one.photo is None:
            continue
        if not sees_result(r, person, one):
            hidden = True
            continue
        found.append(_of_try(r, item, one, hands))
    withdrawn = bool(r.all(Withdrawal, item_id=item.id))
    if withdrawn:  # after the sign-off: it is told, and stands for nothing
        found = [replace(one, stands=False) for one in found]
    if not hidden:
        closed = item.state in (ItemState.CLOSED, ItemState.DISCREPANCY)
        found += [
            PastReading(
                hand.id,
                hand.at,
                item.id,
                hand.value_mm,
                hand.expanded_u_mm,
                closed and hand.round == item.hand_round and not withdrawn,
                closed,
            )
            for hand in hands
        ]
    return found


def _of_try(r: Reader, item: Item, one: Try, hands: tuple[HandReading, ...]) -> PastReading:
    signed = confirmation_of(r, one)
    result = one.result or {}
    reads = result.get("status") == "reading"
    return PastReading(
        one.id,
        one.begun_at,
        item.id,
        result.get("value") if reads else None,
        result.get("expanded_uncertainty") if reads else None,
        signed is not None and signed.agrees and signed.outcome in _STANDING,
        one.state is TryState.SETTLED,
        one.result,
        one.photo,
        one.own_hand_mm,
        one.own_hand_u_mm,
        None if signed is None else _placed(r, one, signed),
        dict(one.options),
        hands,
    )


def _placed(r: Reader, one: Try, signed: Confirmation) -> BlindReading | None:
    return next((b for b in r.all(BlindReading, try_id=one.id) if b.id == signed.blind_reading_id), None)
