"""What was inspected by hand on an item that photos can search, from the records."""

from collections.abc import Iterable

from app.inspection.model import Item, Person
from app.inspection.ports import Reader
from app.inspection.rounds.batches import current_answer
from app.inspection.rounds.model import HandEntry, HandKind
from app.inspection.rounds.search_state import rejected_at


def hands_of(r: Reader, person: Person, item: Item, *, second: bool = False) -> tuple[HandEntry, ...]:
    """Return what a person inspected by hand on an item, in time order.

    Where photos did not stand, only what was inspected after that: it is done anew; as a `second` person
    only what he inspected after the answer that he looks at.
    """
    since = rejected_at(r, item)
    answer = current_answer(r, item.id) if second else None
    if answer is not None and (since is None or answer.at > since):
        since = answer.at
    found = r.all(HandEntry, item_id=item.id, person_id=person.id)
    return tuple(sorted((one for one in found if since is None or one.at > since), key=lambda one: one.at))


def hand_light_of(hands: Iterable[HandEntry]) -> HandEntry | None:
    """Return the entry about all of it by hand, mirror and light, or None."""
    return next((one for one in hands if one.kind is HandKind.ALL_ROUND), None)
