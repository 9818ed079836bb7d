"""What all use cases stand on: the ports, ids, and the checks that come first everywhere."""

import math
import uuid

from app.errors import Conflict, NotAllowed, UsageError
from app.inspection.model import Aircraft, Inspection, Item, LegEntry, Person, Try
from app.inspection.ports import Clock, Measurer, Photos, Reader, Records, Signatories
from app.inspection.views import Place


class UseCases:
    """The ports that every use case works with."""

    def __init__(
        self, records: Records, photos: Photos, clock: Clock, measurer: Measurer, people: Signatories
    ) -> None:
        self._records = records
        self._photos = photos
        self._clock = clock
        self._measurer = measurer
        self._people = people

    def _check_signature(self, person: Person, password: str) -> None:
        if person.is_administrator:
            msg = "An administrator signs nothing: a person who works on the aircraft has to sign."
            raise NotAllowed(msg)
        if not self._people.check_password(person, password):
            msg = "That is not your password, so nothing was signed: type it again."
            raise NotAllowed(msg)


def new_id() -> str:
    """Return a new id that nobody can guess."""
    return uuid.uuid4().hex


def place_of(r: Reader, item: Item) -> Place:
    """Return where an item is."""
    inspection = r.get(Inspection, item.inspection_id)
    leg = r.get(LegEntry, item.leg_id)
    return Place(item, inspection, r.get(Aircraft, leg.aircraft_id), leg)


def tries_of(r: Reader, item_id: str) -> tuple[Try, ...]:
    """Return all tries at an item in time order."""
    return tuple(sorted(r.all(Try, item_id=item_id), key=lambda one: (one.begun_at, one.id)))


def require_mechanic(person: Person) -> None:
    """Refuse who may not photograph and measure."""
    if not person.is_mechanic:
        msg = "Photos are taken by a mechanic: sign in as one to begin a try."
        raise NotAllowed(msg)


def require_inspector(person: Person) -> None:
    """Refuse who may not confirm the work of others."""
    if not person.is_inspector:
        msg = "Only an inspector confirms: ask one to look at this."
        raise NotAllowed(msg)


def require_performer(person: Person, try_: Try) -> None:
    """Refuse who did not begin this try."""
    if person.id != try_.performer_id:
        msg = "This try belongs to another person: begin one of your own."
        raise NotAllowed(msg)


def require_open(inspection: Inspection) -> None:
    """Refuse changes to an inspection that is closed."""
    if inspection.closed_at is not None:
        msg = "This inspection is closed and does not change any more: open a new one."
        raise Conflict(msg)


def checked_length(value_mm: float, expanded_u_mm: float) -> tuple[float, float]:
    """Return a person's length and its expanded uncertainty, mm, as floats.

    Raises
    ------
    UsageError
        One of them is not a number that a strut can have.
    """
    value, doubt = float(value_mm), float(expanded_u_mm)
    # No strut shows two metres; inches typed for mm are met where the readings are compared.
    if not (math.isfinite(value) and 0 < value < 2000 and math.isfinite(doubt) and 0 < doubt < 100):
        msg = (
            f"{value_mm} mm ± {expanded_u_mm} mm is no hand measurement of a strut: "
            "give the length in mm, and how far it may be wrong, more than 0 mm"
        )
        raise UsageError(msg)
    return value, doubt


def checked_text(text: str, what: str, longest: int = 200) -> str:
    """Return a person's text without control characters and spaces around it.

    Raises
    ------
    UsageError
        Nothing is left, or it is too long.
    """
    clean = clean_text(text)
    if not clean or len(clean) > longest:
        msg = f"{what} has to be told, in 1 to {longest} letters: {clean[:40]!r} has {len(clean)}"
        raise UsageError(msg)
    return clean


def clean_text(text: str) -> str:
    """Return text that every database and every hash can carry."""
    carried = text.encode("utf-8", "replace").decode("utf-8")
    return "".join(letter for letter in carried if letter.isprintable()).strip()
