"""The ordinary answer of an item that photos can search: never without hand, mirror and light.

Whether no photo was taken, one was refused, the item looks again after an action, or a
second person could not tell: "nothing wrong" is said by who has gone round every hose and
entered it, and the answer tells so.  An item by hand and eye is that already: of a surface it is
asked for only where photos of it did not stand.  A fault that a hand found beside photos is passed
by on none.
"""

from app.errors import Conflict
from app.inspection.model import Item, ItemState, Person, Role
from app.inspection.ports import Reader
from app.inspection.rounds.batches import current_answer
from app.inspection.rounds.common import open_visit, require_condition, require_worker
from app.inspection.rounds.model import Finding
from app.inspection.rounds.search_entered import hand_light_of, hands_of
from app.inspection.rounds.search_kinds import kind_wanted
from app.inspection.rounds.search_state import (
    is_by_photo,
    is_rejected,
    require_search_item,
)
from app.inspection.rounds.search_unanswered import require_none_by_hand, with_others
from app.inspection.rounds.search_words import light_words
from app.programme import Item as ProgrammeItem

_ANSWERED = "This item is answered: to change the answer, correct it and say why."


def said_by_hand(
    r: Reader, person: Person, wanted: ProgrammeItem, item: Item, finding: Finding, text: str
) -> str:
    """Return an ordinary answer's words, with what hand, mirror and light have to say before "nothing wrong".

    Those of a fault tell what other people's hands found, too, so that its discrepancy does.

    Raises
    ------
    Conflict
        Nothing wrong is answered, and the person has not entered it, or a hand found something wrong.
    """
    kind = kind_wanted(wanted)
    if kind is None:
        return text
    if finding not in (Finding.GOOD, Finding.NOT_FITTED):
        return with_others(r, person, item, text)
    require_none_by_hand(r, person, item)
    if finding is not Finding.GOOD or not (kind.of_leg or is_rejected(r, item)):
        return text
    light = hand_light_of(hands_of(r, person, item))
    if light is None:
        raise Conflict(kind.by_hand_left)
    return ". ".join(one.rstrip(".") for one in (text, light_words(light, kind)) if one) + "."


def require_room_all_round(r: Reader, person: Person, item: Item) -> None:
    """Refuse the entry of hand, mirror and light where no answer of the person is still to come.

    It has room before every answer, also after photos that did not stand, and beside an
    ordinary answer that was given without it and is to be corrected, where "nothing wrong" needs it.
    A trainee enters it himself: who supervises him signs for the answer that tells of it.

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
        kind = kind_wanted(wanted)
        needs_it = (kind is not None and kind.of_leg) or is_rejected(r, item)
        has_room = needs_it and hand_light_of(hands_of(r, person, item)) is None
    if not has_room or (answer is not None and answer.person_id != person.id):
        raise Conflict(_ANSWERED)
