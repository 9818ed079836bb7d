"""All readings of a try side by side, and the record that a signature on them binds to."""

from collections.abc import Mapping
from dataclasses import replace
from typing import Any

from app.inspection.base import place_of, tries_of
from app.inspection.canonical import canonical, plain, sha256
from app.inspection.model import BlindReading, Confirmation, Item, Try
from app.inspection.ports import Reader, Signatories
from app.inspection.rounds.closing import acted_at, tries_since_action
from app.inspection.rounds.sight import hands_on
from app.inspection.rules import another_outside, blind_agrees, combined_u, outcome_of, photo_reading
from app.inspection.views import Comparison


def confirmation_of(r: Reader, asked: Try) -> Confirmation | None:
    """Return the confirmation of a try, or None."""
    return next(iter(r.all(Confirmation, try_id=asked.id)), None)


def blind_of(r: Reader, asked: Try, person_id: str) -> BlindReading | None:
    """Return what a person placed on the photo of a try, or None."""
    return next(iter(r.all(BlindReading, try_id=asked.id, person_id=person_id)), None)


def compared(r: Reader, people: Signatories, asked: Try, blind: BlindReading | None) -> Comparison:
    """Return the readings of a try beside a blind reading, with what follows from both.

    Nothing follows, and there is no record to sign, where one of the two is missing.
    """
    tries = tries_of(r, asked.item_id)
    shown = Comparison(
        try_=asked,
        place=place_of(r, r.get(Item, asked.item_id)),
        performer=people.find(asked.performer_id),
        blind=blind,
        hands=hands_on(r, tries, asked.item_id),
        earlier=tuple(one for one in tries if one.id != asked.id),
        confirmation=confirmation_of(r, asked),
    )
    photo = photo_reading(asked.result)
    if photo is None or blind is None:
        return shown
    agreed = blind_agrees(photo, blind)
    outside = another_outside(asked, tries_since_action(r, asked.item_id, tries))
    # What was measured before the strut was serviced says nothing about it now.
    since = acted_at(r, asked.item_id)
    hands = [one for one in shown.hands if since is None or one.at >= since]
    follows: dict[str, Any] = {
        "agrees": agreed,
        "difference_mm": blind.value_mm - photo.value_mm,
        "combined_u_mm": combined_u(photo, blind),
        "outcome": outcome_of(photo, agreed, shown.place.leg.basis, hands, outside),
    }
    record = _record(shown, follows)
    return replace(shown, **follows, record=record, record_hash=sha256(canonical(record)))


def _record(shown: Comparison, follows: Mapping[str, Any]) -> dict[str, Any]:
    """Everything that the signature stands for, as plain values; the blind reading names who signs."""
    place = shown.place
    signed = plain(shown.try_)
    # How far the measuring was is progress, and after the confirmation the state is another one.
    del signed["stage"], signed["state"]
    record: dict[str, Any] = {
        "what": "confirmation of a photo reading",
        "inspection": place.inspection.id,
        "aircraft": plain(place.aircraft),
        "leg": {
            "id": place.leg.id,
            "position": place.leg.position,
            "basis": place.leg.basis.value,
            "toml_sha256": sha256(place.leg.toml.encode()),
        },
        "item": {"id": place.item.id, "key": place.item.key},
        "try": signed,
        "blind": plain(shown.blind),
        "hands": plain(shown.hands),
        "other_tries": [
            {"id": one.id, "photo": one.photo, "verdict": (one.result or {}).get("verdict")}
            for one in shown.earlier
        ],
    }
    return record | dict(plain(follows))
