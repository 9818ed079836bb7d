"""All photos of one wheel together: what they decide for an item.

One photo shows line and mark at once, whichever item it was taken for.

==================================================  ======================================
on a photo of the wheel since the item's action     then no photo finds the item good:
==================================================  ======================================
what the item asks read outside, on any photo       two people measure by gauge
it could not be told, on a photo of the item        two people measure by gauge
by eye it was not seen to be good, before a photo   two people measure by gauge
of the item
==================================================  ======================================
"""

from collections.abc import Iterable, Mapping
from typing import Any

from app.errors import Conflict
from app.inspection.base import tries_of
from app.inspection.model import Item, Try
from app.inspection.ports import Reader
from app.inspection.rounds.common import action_of, base_key, original_item, require_programme, wheel_of
from app.inspection.rounds.model import Answer, Finding
from app.inspection.rounds.tire_rules import TIRE, asked_in, try_of_answer
from vision.results import Verdict

BY_GAUGE = "measure by gauge at the wheel, and have a second person measure too"
"""What is done where no photo finds an item good."""


def is_tire_try(one: Try) -> bool:
    """Return whether a try is at a tire's photo."""
    return one.options.get("what") == TIRE


def asked_on_wheel(r: Reader, item: Item) -> list[tuple[Item, str]]:
    """Return the items read on photos of an item's wheel on its visit, it included, and what each asks."""
    programme = {one.key: one for one in require_programme(r, item.inspection_id).items}
    wheel = wheel_of(r, item)
    found = []
    for other in r.all(Item, inspection_id=item.inspection_id, leg_id=item.leg_id):
        wanted = programme.get(base_key(original_item(r, other).key))
        asked = None if wanted is None else asked_in(wanted)
        if asked is not None and wheel_of(r, other) == wheel:
            found.append((other, asked))
    return found


def read_of(one: Try, asked: str) -> Mapping[str, Any]:
    """Return what a photo gave for one quantity, whichever item it was taken for; empty where nothing."""
    result = one.result or {}
    some = (result, *(result.get("results") or ()))
    return next((each for each in some if each.get("name") == asked), {})


def finding_by(r: Reader, this: Try) -> Finding:
    """Return what a photo that was read finds on its item.

    Raises
    ------
    Conflict
        It does not decide: undecided, against what was seen by eye, or against another photo of the wheel.
    """
    verdict = (this.result or {}).get("verdict")
    if verdict == Verdict.OUTSIDE:
        return Finding.FAULT
    if verdict != Verdict.WITHIN:
        why = "The photo cannot tell whether it is within its limits"
    elif this.options.get("own") != Finding.GOOD.value:
        why = "The photo reads within, and by eye at the wheel it was not seen to be"
    else:
        why = against_good(r, r.get(Item, this.item_id), this.id)
    if why:
        raise Conflict(f"{why}: {BY_GAUGE}.")
    return Finding.GOOD


def against_good(r: Reader, item: Item, but: str) -> str:
    """Return why no photo finds an item good, by the other photos of its wheel than one; empty where none is.

    An undecided photo, or an eye that saw something wrong, is undone by no retry, as an outside is not.
    """
    asked = dict((other.id, name) for other, name in asked_on_wheel(r, item))[item.id]
    others = [one for one in _photos_since_action(r, item) if one.id != but]
    mine = [one for one in others if one.item_id == item.id]
    if _any(mine, asked, Verdict.OUTSIDE):
        return "Another photo of this item read outside, which no later photo undoes"
    if _any(others, asked, Verdict.OUTSIDE):
        return "A photo taken for another item of this tire read this outside, which no other photo undoes"
    if _any(mine, asked, Verdict.UNDECIDED):
        return "Another photo of this item could not tell, which no later photo undoes"
    if any(one.options.get("own") != Finding.GOOD.value for one in mine):
        return (
            "Before another photo of this item it was not seen to be good by eye, which no later photo undoes"
        )
    return ""


def undone(r: Reader, answer: Answer) -> str:
    """Return why a good answer that stands on a tire's photo does not stand any more; empty where it does."""
    try_id = try_of_answer(answer)
    if try_id is None or answer.finding is not Finding.GOOD or not is_tire_try(r.get(Try, try_id)):
        return ""
    why = against_good(r, r.get(Item, answer.item_id), try_id)
    return f"{why[0].lower()}{why[1:]}: correct its answer by gauge at the wheel" if why else ""


def _any(photos: Iterable[Try], asked: str, verdict: Verdict) -> bool:
    return any(read_of(one, asked).get("verdict") == verdict for one in photos)


def photos_of_wheel(r: Reader, item: Item) -> list[Try]:
    """Return all tries at photos of an item's wheel on its visit."""
    return [one for other, _ in asked_on_wheel(r, item) for one in tries_of(r, other.id)]


def _photos_since_action(r: Reader, item: Item) -> list[Try]:
    """Those that show the wheel as the item has to find it: of a re-inspection, after its action."""
    action = action_of(r, item)
    return [
        one
        for one in photos_of_wheel(r, item)
        if action is None or one.item_id == item.id or one.begun_at > action.at
    ]
