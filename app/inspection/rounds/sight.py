"""Who may see what: nobody who may yet have to read a photo himself learns what was read on it."""

from dataclasses import replace

from app.inspection.base import tries_of
from app.inspection.model import BlindReading, HandReading, Item, ItemState, Person, Try, TryState
from app.inspection.ports import Reader
from app.inspection.rounds.model import Answer, Look
from app.inspection.rounds.search_rules import is_search_photo
from app.inspection.rounds.search_state import sees_search
from app.inspection.rounds.tire_sight import left_to_read
from app.inspection.rounds.tire_wheel import is_tire_try
from app.inspection.rules import was_read
from app.inspection.views import Hand

OWN_RULE = "own rule reading, before the photo's was shown"


def knows_reading(person: Person, tries: tuple[Try, ...]) -> bool:
    """Return whether one of these photos was read for the person, who so may confirm none of them."""
    return any(one.performer_id == person.id and was_read(one.result) for one in tries)


def sees_result(r: Reader, person: Person, asked: Try) -> bool:
    """Return whether a person may see what was read on the photo of a try.

    Who took it may; who had another photo of the item read (and so can confirm
    none of its readings); who has placed his own points on this photo or a later
    one of the item, or looked at the item himself; and everybody once the try is settled or the item closed.
    Of a photo that was searched nobody may, who took it included, before his own marking of it.
    A tire's photo shows line and mark at once: only who took it may while another item of that
    wheel is left for the person to read himself, also where its own item is closed.
    """
    if is_search_photo(asked) and was_read(asked.result):
        return sees_search(r, person, asked)
    if asked.performer_id == person.id:
        return True
    if is_tire_try(asked) and left_to_read(r, person, asked):
        return False
    if asked.state is TryState.SETTLED:
        return True
    tries = tries_of(r, asked.item_id)
    if r.get(Item, asked.item_id).state is ItemState.CLOSED or knows_reading(person, tries):
        return True
    later = (one for one in tries if one.begun_at >= asked.begun_at)
    placed = any(r.all(BlindReading, try_id=one.id, person_id=person.id) for one in later)
    return placed or _has_looked(r, person, asked)


def _has_looked(r: Reader, person: Person, asked: Try) -> bool:
    """Whether he has given his own answer to an item whose photo is answered for, as a tire's is."""
    answers = (one for one in r.all(Answer, item_id=asked.item_id) if one.at >= asked.begun_at)
    return any(r.all(Look, answer_id=one.id, person_id=person.id) for one in answers)


def sees_photo(r: Reader, person: Person, asked: Try) -> bool:
    """Return whether a person may see a photo: his own, a sent one, or one whose result he sees.

    A bare photo to be searched tells nothing that was found on it, so everybody may; and a settled
    one can be seen where its result is withheld, as a tire's may be.
    """
    sent = asked.state in (TryState.SENT, TryState.SETTLED)
    return is_search_photo(asked) or sent or sees_result(r, person, asked)


def as_seen(r: Reader, person: Person, one: Try) -> Try:
    """Return a try as a person may see it."""
    return one if sees_result(r, person, one) else bare_of(one)


def bare_of(one: Try) -> Try:
    """Return a try without anything that tells the length."""
    return replace(one, result=None, annotated=None, own_hand_mm=None, own_hand_u_mm=None)


def hands_on(r: Reader, tries: tuple[Try, ...], item_id: str) -> tuple[Hand, ...]:
    """Return every hand measurement on an item in time order, the performers' own among them."""
    own = [
        Hand(one.performer_id, one.own_hand_mm, one.own_hand_u_mm, OWN_RULE, one.begun_at)
        for one in tries
        if one.own_hand_mm is not None and one.own_hand_u_mm is not None
    ]
    made = [
        Hand(one.person_id, one.value_mm, one.expanded_u_mm, one.instrument, one.at)
        for one in r.all(HandReading, item_id=item_id)
    ]
    return tuple(sorted(own + made, key=lambda one: (one.at, one.person_id)))
