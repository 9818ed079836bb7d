"""What the use cases of a round share: its programme, its parts, signatures, who may work."""

from collections.abc import Mapping
from functools import lru_cache
from typing import Any

from app import programme as programmes
from app.errors import Conflict, NotAllowed, NotFound
from app.inspection.base import UseCases, new_id
from app.inspection.canonical import canonical, plain, sha256
from app.inspection.model import (
    STRUT_EXTENSION,
    Discrepancy,
    Inspection,
    Item,
    LegEntry,
    Person,
    Role,
)
from app.inspection.ports import Reader, Work
from app.inspection.rounds.model import (
    OPENING,
    Action,
    Certificate,
    Look,
    Meaning,
    ProgrammeEntry,
    Round,
    Signature,
    Stated,
)
from vision.leg import Leg, read_leg

REINSPECTION = "reinspection_"
"""Begins the key of an item that looks again after an action; the action's id follows."""


WHEEL = "@"
"""Parts a programme's key from the wheel, in the key of an item done for each: ``"tire_line@left"``."""
TWIN_WHEELS = ("left", "right")


def base_key(key: str) -> str:
    """Return the programme's key in an item's key."""
    return key.partition(WHEEL)[0]


def wheel_of(r: Reader, item: Item) -> str:
    """Return which of a leg's twin wheels an item is of, a re-inspection's too; empty where there is one."""
    return original_item(r, item).key.partition(WHEEL)[2]


@lru_cache(maxsize=32)
def programme_in(toml: str) -> programmes.Programme:
    """Return the programme that a kept text states; it was valid when it was entered."""
    return programmes.read_programme(toml, "the kept programme")


@lru_cache(maxsize=256)
def leg_in(toml: str, position: str) -> Leg:
    """Return a leg's data."""
    return read_leg(toml, position)


def round_of(r: Reader, inspection_id: str) -> Round | None:
    """Return what a visit follows, or None for one without a programme."""
    return next(iter(r.all(Round, id=inspection_id)), None)


def require_programme(r: Reader, inspection_id: str) -> programmes.Programme:
    """Return the programme of a visit.

    Raises
    ------
    NotFound
        It follows none.
    """
    found = round_of(r, inspection_id)
    if found is None:
        msg = "This visit follows no programme: it holds strut extensions only."
        raise NotFound(msg)
    return programme_in(r.get(ProgrammeEntry, found.programme_id).toml)


def action_of(r: Reader, item: Item) -> Action | None:
    """Return the action that a re-inspection looks at again, or None for another item."""
    if not item.key.startswith(REINSPECTION):
        return None
    return r.get(Action, item.key.removeprefix(REINSPECTION))


def original_item(r: Reader, item: Item) -> Item:
    """Return the item that a re-inspection looks at again; another item is its own."""
    found = action_of(r, item)
    return item if found is None else r.get(Item, r.get(Discrepancy, found.discrepancy_id).item_id)


def programme_item(r: Reader, programme: programmes.Programme, item: Item) -> programmes.Item:
    """Return what the programme says of an item; of a re-inspection, what it says of the one it repeats.

    Raises
    ------
    NotFound
        The programme of this visit does not hold it: a discrepancy that was carried
        from a visit by another programme.
    """
    key = base_key(original_item(r, item).key)
    try:
        return programme.item(key)
    except KeyError:
        msg = f"This visit's programme has no item {key!r}: have one entered that has it."
        raise NotFound(msg) from None


def newest(rows: tuple[Any, ...]) -> Any:
    """Return the newest of some entries by `at`, or None."""
    return max(rows, key=lambda one: (one.at, one.id), default=None)


def certificate_of(r: Reader, person_id: str) -> str:
    """Return a person's certificate as ``"kind number"``, empty where there is none."""
    found = newest(r.all(Certificate, person_id=person_id))
    return "" if found is None else f"{found.kind} {found.number}"


def require_worker(person: Person) -> None:
    """Refuse who may not answer for work by himself."""
    if not person.is_worker:
        msg = "This is for people who answer for the work: ask a mechanic or an inspector."
        raise NotAllowed(msg)


def require_keeper(person: Person | None) -> None:
    """Refuse who may not keep a shop's lists: a trainee; None is the program itself."""
    if person is not None and (Role.TRAINEE in person.roles or not person.roles):
        msg = "Programmes, instruments and cards are entered by who answers for them: ask one of them."
        raise NotAllowed(msg)


def condition_now(r: Reader, inspection_id: str) -> Stated | None:
    """Return the condition that the aircraft is stated to be in, or None before the first statement."""
    found = [one for one in r.all(Stated, inspection_id=inspection_id) if one.what != OPENING]
    return newest(tuple(found))  # type: ignore[no-any-return]


def require_condition(r: Reader, person: Person, item: Item, wanted: programmes.Item) -> Stated:
    """Return the statement under which an item may be done now.

    Raises
    ------
    Conflict
        The person has not read the opening card on this visit, or the aircraft is
        not stated to be in the item's condition.
    """
    if not r.all(Stated, inspection_id=item.inspection_id, what=OPENING, by=person.id):
        msg = "Before the first photo and the first answer of a visit: read and state the opening card."
        raise Conflict(msg)
    now = condition_now(r, item.inspection_id)
    if now is None or now.what != wanted.condition.value:
        is_now = "no condition is stated" if now is None else f"the aircraft is stated {_words(now.what)}"
        msg = (
            f"{wanted.title} is done {_words(wanted.condition.value)}, and {is_now}: "
            "bring the aircraft into that condition and state it."
        )
        raise Conflict(msg)
    return now


def _words(condition: str) -> str:
    return condition.replace("_", " ")


def title_of(r: Reader, programme: programmes.Programme, item: Item) -> str:
    """Return an item's title as it is shown and signed."""
    title = programme_item(r, programme, item).title
    wheel = wheel_of(r, item)
    title = f"{title}, {wheel} wheel" if wheel else title
    return f"Re-inspection: {title}" if item.key.startswith(REINSPECTION) else title


def is_photo_item(item: Item) -> bool:
    """Return whether an item is settled by measured photos and hand measurements, not by answers."""
    return item.key == STRUT_EXTENSION


def require_strut(item: Item) -> None:
    """Refuse what is done with a strut's photo only.

    Raises
    ------
    Conflict
        It is another item's: its photo is entered as an answer, and looked at a second time.
    """
    if not is_photo_item(item):
        msg = "This photo is no strut's: go to its item in the round."
        raise Conflict(msg)


class RoundCases(UseCases):
    """What the use cases of a round stand on."""

    def _sign(
        self, work: Work, person: Person, inspection_id: str, meaning: Meaning, record: Mapping[str, Any]
    ) -> Signature:
        """Enter a person's signature on a record; the event holds the whole record."""
        signed = sha256(canonical(record))
        certificate = certificate_of(work, person.id)
        event = work.enter(
            "signed",
            person,
            inspection_id,
            data={
                "record": plain(record),
                "signed": signed,
                "authenticated": "password",
                "meaning": meaning.value,
                "name": person.name,
                "certificate": certificate,
            },
        )
        made = Signature(
            new_id(), inspection_id, person.id, meaning, certificate, signed, event, self._clock.now()
        )
        work.enter("signature", person, inspection_id, made)
        return made

    def _today(self) -> Any:
        return self._clock.now().date()


def require_seen(record: Mapping[str, Any], seen: str) -> None:
    """Refuse a signature on something else than what was shown.

    Raises
    ------
    Conflict
        The content has changed since.
    """
    if sha256(canonical(record)) != seen:
        msg = "What is signed has changed since you looked, so nothing was signed: look again."
        raise Conflict(msg)


def leg_of(r: Reader, item: Item) -> LegEntry:
    """Return the leg of an item."""
    return r.get(LegEntry, item.leg_id)


def own_look(r: Reader, person: Person, look_id: str) -> Look:
    """Return a look to the person who made it: what stands beside it is for nobody who has not looked.

    Raises
    ------
    NotAllowed
        It is another person's.
    """
    found = r.get(Look, look_id)
    if found.person_id != person.id:
        msg = "This look is another person's: look yourself first."
        raise NotAllowed(msg)
    return found


def open_visit(r: Reader, inspection_id: str) -> Inspection:
    """Return a visit that is open.

    Raises
    ------
    Conflict
        It is closed.
    """
    found = r.get(Inspection, inspection_id)
    if found.closed_at is not None:
        msg = "This inspection is signed off and does not change any more: open a new one."
        raise Conflict(msg)
    return found
