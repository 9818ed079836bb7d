"""The ordinary answer of an item that photos can search: never without hand, mirror and light.

Whether no photo was taken, one was refused, the item looks again after an action, or a
second person could not tell: "nothing wrong" is said by who has gone round every hose and
entered it, and the answer tells so.  An item by hand and eye is that already: of a surface it is
asked for only where photos of it did not stand.
"""

from app.errors import Conflict
from app.inspection.model import Item, ItemState, Person, Role
from app.inspection.ports import Reader
from app.inspection.rounds.batches import current_answer
from app.inspection.rounds.common import open_visit, require_condition, require_worker
from app.inspection.rounds.model import Finding
from app.inspection.rounds.search_kinds import kind_wanted
from app.inspection.rounds.search_state import (
    hand_light_of,
    hands_of,
    is_by_photo,
    is_rejected,
    require_search_item,
)
from app.inspection.rounds.search_words import is_wet, light_words
from app.programme import Item as ProgrammeItem

_ANSWERED = "This item is answered: to change the answer, correct it and say why."


def said_by_hand(
    r: Reader, person: Person, wanted: ProgrammeItem, item: Item, finding: Finding, text: str
) -> str:
    """Return an ordinary answer's words, with what hand, mirror and light have to say before "nothing wrong".

    Raises
    ------
    Conflict
        Nothing wrong is answered, and the person has not entered it, or found something wrong.
    """
    kind = kind_wanted(wanted)
    if finding is not Finding.GOOD or kind is None or not (kind.of_leg or is_rejected(r, item)):
        return text
    hands = hands_of(r, person, item)
    light = hand_light_of(hands)
    if light is None:
        raise Conflict(kind.by_hand_left)
    wrong = next((one for one in hands if one.finding is Finding.FAULT), None)
    if wrong is not None:
        msg = f"By hand you found something wrong ({wrong.text}): open a discrepancy for it."
        raise Conflict(msg)
    return ". ".join(one.rstrip(".") for one in (text, light_words(light, kind)) if one) + "."


def is_wet_by_hand(r: Reader, person: Person, item: Item) -> bool:
    """Return whether a person's hands found fluid beside an item's photos: a fault of his is a leak then."""
    return any(is_wet(one) for one in hands_of(r, person, item))


def require_room_all_round(r: Reader, person: Person, item: Item) -> None:
    """Refuse the entry of hand, mirror and light where no answer of the person is still to come.

    It has room before every answer, also after photos that did not stand, and beside an
    ordinary answer that was given without it and is to be corrected.  A trainee enters it
    himself: who supervises him signs for the answer that tells of it.

    Raises
    ------
    NotAllowed
        The person does no work here.
    Conflict
        The item is answered, or not in its condition.
    """
    open_visit(r, item.inspection_id)
    wanted = require_search_item(r, item)
    if Role.TRAINEE not in person.roles:
        require_worker(person)
    require_condition(r, person, item, wanted)
    answer = current_answer(r, item.id)
    if answer is None:
        has_room = item.state is ItemState.TO_DO
    elif is_by_photo(answer):
        has_room = answer.signature_id is None and item.state is ItemState.TO_DO
    else:
        has_room = hand_light_of(hands_of(r, person, item)) is None
    if not has_room or (answer is not None and answer.person_id != person.id):
        raise Conflict(_ANSWERED)
