"""What of a wheel's photo a person must not learn yet: it shows line and mark at once.

The other items of the wheel are left for him to read blind, from this photo or another one,
until he has placed on or looked at each, or nothing is left of it to read.
"""

from collections.abc import Iterable

from app.inspection.model import Inspection, Item, ItemState, Person, Try
from app.inspection.ports import Reader
from app.inspection.rounds.batches import current_answer
from app.inspection.rounds.common import action_of
from app.inspection.rounds.model import Answer, Look
from app.inspection.rounds.tire_wheel import asked_on_wheel, photos_of_wheel, read_of

_DONE = (ItemState.CLOSED, ItemState.DISCREPANCY)


def knows(person: Person, photos: Iterable[Try], asked: str) -> bool:
    """Return whether one of these photos, taken by the person, gave him a reading of what is asked."""
    return any(
        one.performer_id == person.id and read_of(one, asked).get("status") == "reading" for one in photos
    )


def left_to_read(r: Reader, person: Person | None, this: Try) -> tuple[Item, ...]:
    """Return the other items of a photo's wheel that a person may yet have to read blind.

    None is anybody.  Nothing is left of an item that is closed or found faulty, that the person
    answered or looked at himself, or that he knows by a photo of his own; nor on a closed visit.
    """
    item = r.get(Item, this.item_id)
    if r.get(Inspection, item.inspection_id).closed_at is not None:
        return ()
    photos = photos_of_wheel(r, item)
    return tuple(
        other
        for other, asked in asked_on_wheel(r, item)
        if other.id != item.id
        and other.state not in _DONE
        and not _looks_again_after(r, other, this)
        and not (person is not None and (knows(person, photos, asked) or _has_answered(r, person, other)))
    )


def _looks_again_after(r: Reader, item: Item, this: Try) -> bool:
    """Whether an item looks again after an action that the photo does not show."""
    action = action_of(r, item)
    return action is not None and action.at >= this.begun_at


def _has_answered(r: Reader, person: Person, item: Item) -> bool:
    """Whether he gave an answer to an item, or his look at the one that it stands on."""
    answers = r.all(Answer, item_id=item.id)
    if any(person.id in (one.person_id, one.supervisor_id) for one in answers):
        return True
    now = current_answer(r, item.id)
    return any(r.all(Look, answer_id=one.id, person_id=person.id) for one in answers if now in (None, one))
