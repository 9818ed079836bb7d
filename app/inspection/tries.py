"""What the mechanic does: begin a try, give the photo, his own rule reading, send."""

from collections.abc import Mapping, Sequence
from dataclasses import replace
from datetime import datetime
from typing import Any

from app.errors import Conflict, NotAllowed, UsageError
from app.inspection.base import (
    checked_length,
    checked_text,
    clean_text,
    new_id,
    require_mechanic,
    require_open,
    require_performer,
    tries_of,
)
from app.inspection.canonical import canonical, sha256
from app.inspection.model import (
    STRUT_EXTENSION,
    Confirmation,
    Inspection,
    Item,
    ItemState,
    LegEntry,
    Outcome,
    Person,
    Try,
    TryState,
)
from app.inspection.ports import Reader
from app.inspection.rounds.common import (
    is_photo_item,
    programme_item,
    require_condition,
    require_programme,
    require_strut,
    require_worker,
    round_of,
)
from app.inspection.rounds.hose_pair_rules import is_second
from app.inspection.rounds.model import CardCopy, Evidence
from app.inspection.rounds.photo_age import BECAUSE, checked_age, question_of
from app.inspection.rounds.search_photo import require_room_for_search_photo
from app.inspection.rounds.search_rules import is_search_photo
from app.inspection.rounds.sight import as_seen
from app.inspection.rounds.stepping import Stepping
from app.inspection.rounds.tire_rules import require_room_for_photo
from app.inspection.rounds.tools import usable_card
from app.inspection.settling import by_hand
from app.inspection.visits import Visits

_BEFORE_A_READING = (TryState.AWAITING_PHOTO, TryState.STORED, TryState.MEASURING)
_READ = (TryState.READ, TryState.REFUSED, TryState.SENT, TryState.SETTLED)


class Tries(Visits, Stepping):
    """One try at a photo, until it is sent."""

    def begin_try(
        self,
        person: Person,
        leg_id: str,
        statements: Sequence[str],
        options: Mapping[str, Any] | None = None,
        card: str = "",
    ) -> Try:
        """Begin a try at a leg; finds or opens the aircraft's inspection.

        Parameters
        ----------
        statements : sequence of str
            The condition of the aircraft as the person states it; at least one.
        options : mapping, optional
            What is told beside the photo (`Try.options`); plain JSON values.
        card : str
            Number of the card copy, whose check bars then count; on a visit that
            follows a programme it is asked for where cards are entered.

        Raises
        ------
        NotAllowed
            The person is no mechanic, or the card is unknown, damaged or overdue.
        Conflict
            The item waits for its confirmation or for hand measurements, or is closed;
            on a visit that follows a programme also where its condition is not stated.
        UsageError
            No condition is stated, or an option cannot be written down.
        """
        require_mechanic(person)
        stated = tuple(checked_text(one, "Each statement", 300) for one in statements)
        if not stated:
            msg = "The condition of the aircraft has to be stated before the photo: state what you checked."
            raise UsageError(msg)
        told = dict(options or {})
        try:
            canonical(told)
        except (TypeError, ValueError) as error:
            msg = f"What was told beside the photo cannot be kept ({error}): enter it again."
            raise UsageError(msg) from error
        with self._records.begin() as work:
            leg = work.get(LegEntry, leg_id)
            inspection = self._opened(work, person, leg.aircraft_id)
            (item,) = work.all(Item, inspection_id=inspection.id, leg_id=leg.id, key=STRUT_EXTENSION)
            _require_room_for_a_try(work, item)
            if round_of(work, inspection.id) is not None:
                _require_stated(work, person, item)
            if card or (round_of(work, inspection.id) is not None and work.all(CardCopy)):
                used = usable_card(work, card, self._clock.now().date())
                told.setdefault("check_bar_mm", list(used.bars_mm))
                stated += (f"Card copy {used.number}, check bars by {used.rule}, due {used.due}.",)
            begun = Try(new_id(), item.id, person.id, self._clock.now(), stated, told)
            work.enter("try-begun", person, inspection.id, begun)
        return begun

    def try_of(self, person: Person, try_id: str) -> Try:
        """Return a try to its performer, and once it is settled to anybody.

        Of a searched photo that he has not marked bare it comes without what was found on it.

        A photo that only shows something (`begin_evidence`) comes as a try that is
        settled once it has arrived, so that one route takes both.

        Raises
        ------
        NotAllowed
            It is another person's and not settled.
        """
        with self._records.look() as r:
            for shows in r.all(Evidence, id=try_id):
                return _as_try(person, shows)
            found = r.get(Try, try_id)
            if found.state is not TryState.SETTLED:
                require_performer(person, found)
            return as_seen(r, person, found)

    def photo_arrived(self, person: Person, try_id: str, data: bytes, name: str = "") -> Try:
        """Keep the photo of a try: file first, then the entry; both are durable on return.

        The same bytes again change nothing and return the same try.

        Raises
        ------
        NotAllowed
            The try is another person's.
        Conflict
            The try has another photo already, or its inspection is closed; on a visit
            that follows a programme also where the photo is older than the visit, or was
            sent for another leg or on an earlier visit.
        UsageError
            There are no bytes.
        """
        if not data:
            msg = "The photo arrived empty: send it again."
            raise UsageError(msg)
        taken = self._measurer.taken_at(data)
        with self._records.look() as r:
            shows = r.all(Evidence, id=try_id)
            said: tuple[str, ...] = ()
            if not shows:
                before = r.get(Try, try_id)
                visit = _require_place_for_photo(r, person, before, sha256(data))
                said = _said_of_its_time(r, visit, before, taken, self._clock.now())
        if shows:
            return _as_try(person, self.evidence_arrived(person, try_id, data, name))
        sha = self._photos.put(data)
        with self._records.begin() as work:
            # Between the look and now somebody may have been faster.
            found = work.get(Try, try_id)
            inspection = _require_place_for_photo(work, person, found, sha)
            if found.photo == sha:
                return found
            kept = replace(
                found,
                photo=sha,
                photo_name=clean_text(name)[:200],
                state=TryState.STORED,
                statements=(*found.statements, *said),
            )
            work.enter("photo-stored", person, inspection.id, kept, data={"bytes": len(data)})
        return kept

    def explain_time(self, person: Person, try_id: str, reason: str) -> Try:
        """State why a photo whose time is questioned shows this leg as it is; the question stays beside it.

        Answered once more it changes nothing.  Searched photos are judged by who answers for the
        item, who took them or not: he answers it.

        Raises
        ------
        NotAllowed
            The try is another person's, or of hoses and the person answers for no work.
        UsageError
            No reason is given.
        """
        clean = checked_text(reason, "The reason", 200)
        with self._records.begin() as work:
            found = work.get(Try, try_id)
            if is_search_photo(found):
                require_worker(person)
            else:
                require_performer(person, found)
            item = work.get(Item, found.item_id)
            require_open(work.get(Inspection, item.inspection_id))
            if not question_of(found):
                return found
            if is_second(found):  # else it would change what was entered, or is judged by the second person
                require_room_for_search_photo(work, item)
            kept = replace(found, statements=(*found.statements, f"{BECAUSE}{clean}"))
            work.enter("photo-time-explained", person, item.inspection_id, kept)
        return kept

    def own_hand_reading(self, person: Person, try_id: str, value_mm: float, expanded_u_mm: float) -> Try:
        """Enter the performer's own rule reading, which no machine's reading may have preceded.

        Until then it may be entered again; the events keep each.

        Raises
        ------
        NotAllowed
            A reading of this item was there before: a hand measurement
            (`hand_measurement`) can still be made, and says of itself that it came after.
        """
        value, doubt = checked_length(value_mm, expanded_u_mm)
        with self._records.begin() as work:
            found = work.get(Try, try_id)
            require_performer(person, found)
            item = work.get(Item, found.item_id)
            require_strut(item)
            require_open(work.get(Inspection, item.inspection_id))
            others = (one for one in tries_of(work, item.id) if one.id != found.id)
            if found.state not in _BEFORE_A_READING or any(one.state in _READ for one in others):
                msg = (
                    "Your own rule reading counts only before a reading of this strut is shown, "
                    "and one was there already: enter it as a hand measurement instead."
                )
                raise NotAllowed(msg)
            kept = replace(found, own_hand_mm=value, own_hand_u_mm=doubt)
            work.enter("own-hand-reading", person, item.inspection_id, kept)
        return kept

    def send(self, person: Person, try_id: str) -> Try:
        """Send a reading to be confirmed, or a refusal to have the strut measured by hand.

        Sending again what is sent changes nothing.

        Raises
        ------
        Conflict
            There is nothing to send yet, another try of this item waits already, or the
            photo's time is questioned and nobody has said why it counts (`explain_time`).
        """
        with self._records.begin() as work:
            found = work.get(Try, try_id)
            require_performer(person, found)
            if found.state in (TryState.SENT, TryState.SETTLED):
                return found
            item = work.get(Item, found.item_id)
            require_strut(item)
            require_open(work.get(Inspection, item.inspection_id))
            if found.state not in (TryState.READ, TryState.REFUSED):
                msg = "This try has no result that could be sent: wait for it, or begin a new try."
                raise Conflict(msg)
            _require_room_for_a_try(work, item)
            question = question_of(found) if found.state is TryState.READ else ""
            if question:
                msg = f"{question} Say why it shows this leg in the condition stated, or photograph it again."
                raise Conflict(msg)
            refused = found.state is TryState.REFUSED
            sent = replace(
                found, state=TryState.SETTLED if refused else TryState.SENT, sent_at=self._clock.now()
            )
            moved = (
                _after_refusal(item) if refused else replace(item, state=ItemState.WAITING, hands_wanted=0)
            )
            work.enter("refusal-sent" if refused else "reading-sent", person, item.inspection_id, sent, moved)
        return sent


def _after_refusal(item: Item) -> Item:
    """A discrepancy stays one, and a hand measurement that is wanted already stays wanted."""
    return item if item.state in (ItemState.DISCREPANCY, ItemState.HAND_WANTED) else by_hand(item, 2)


def _require_room_for_a_try(r: Reader, item: Item) -> None:
    """Refuse a try at an item that is past it, or that a hand measurement has to settle."""
    if item.state is ItemState.WAITING:
        msg = "A reading of this strut waits for its confirmation: let an inspector look at it first."
        raise Conflict(msg)
    if item.state is ItemState.CLOSED:
        msg = "This strut is closed in this inspection: close the inspection and open a new one."
        raise Conflict(msg)
    if item.state is ItemState.HAND_WANTED and _confirmed_for_hand(r, item):
        # Else one could photograph on until a photo says what is wished.
        msg = (
            "A hand measurement was asked for when this strut's photo was confirmed, "
            "and another photo cannot replace it: measure by hand."
        )
        raise Conflict(msg)


def _confirmed_for_hand(r: Reader, item: Item) -> bool:
    signed = [one for try_ in tries_of(r, item.id) for one in r.all(Confirmation, try_id=try_.id)]
    last = max(signed, key=lambda one: one.signed_at, default=None)
    return last is not None and last.outcome in (Outcome.HAND_WANTED, Outcome.WITHIN_HAND_WANTED)


def _require_place_for_photo(r: Reader, person: Person, found: Try, sha: str) -> Inspection:
    require_performer(person, found)
    item = r.get(Item, found.item_id)
    inspection = r.get(Inspection, item.inspection_id)
    if found.photo not in (None, sha):
        msg = "This try has another photo already, which stays: begin a new try for this one."
        raise Conflict(msg)
    _require_new(r, found, sha)
    if found.photo is None:
        require_open(inspection)
        if is_search_photo(found):
            require_room_for_search_photo(r, item)
        elif not is_photo_item(item):
            require_room_for_photo(r, item, sha)
    return inspection


def _said_of_its_time(
    r: Reader, visit: Inspection, found: Try, taken: datetime | None, now: datetime
) -> tuple[str, ...]:
    """What a photo's time adds to the statements, on a visit that follows a programme."""
    if found.photo is not None or round_of(r, visit.id) is None:
        return ()
    words = checked_age(r, visit, found.begun_at, taken, now)
    return (words,) if words else ()


def _require_stated(r: Reader, person: Person, item: Item) -> None:
    wanted = programme_item(r, require_programme(r, item.inspection_id), item)
    require_condition(r, person, item, wanted)


def _require_new(r: Reader, found: Try, sha: str) -> None:
    """On a visit that follows a programme, refuse a photo of another leg or of an earlier visit."""
    item = r.get(Item, found.item_id)
    if round_of(r, item.inspection_id) is None:
        return
    for one in r.all(Try, photo=sha):
        other = r.get(Item, one.item_id)
        if other.leg_id != item.leg_id:
            msg = "This very photo was sent for another leg: photograph this one."
            raise Conflict(msg)
        if other.inspection_id != item.inspection_id:
            msg = "This very photo was sent on an earlier visit: photograph the leg as it is now."
            raise Conflict(msg)


def _as_try(person: Person, shows: Evidence) -> Try:
    if shows.person_id != person.id:
        msg = "This photo was begun by another person: begin one of your own."
        raise NotAllowed(msg)
    state = TryState.AWAITING_PHOTO if shows.photo is None else TryState.SETTLED
    return Try(
        shows.id, shows.item_id, shows.person_id, shows.begun_at, (), state=state, photo=shows.photo,
        photo_name=shows.photo_name,
    )  # fmt: skip
