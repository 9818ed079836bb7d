"""What is open and what is out, and the list that giver and taker sign when a shift ends mid-round."""

from dataclasses import replace
from typing import Any

from app.errors import Conflict, NotAllowed, UsageError
from app.inspection.base import checked_text, new_id
from app.inspection.canonical import canonical, plain, sha256
from app.inspection.model import Inspection, Item, ItemState, LegEntry, Person
from app.inspection.ports import Reader
from app.inspection.rounds.batches import current_answer
from app.inspection.rounds.cases import cases_of
from app.inspection.rounds.common import (
    RoundCases,
    condition_now,
    open_visit,
    require_programme,
    require_seen,
    require_worker,
    title_of,
)
from app.inspection.rounds.model import Answer, Handover, Meaning, Opened, OpenedKind, Out, OutKind
from app.inspection.rounds.proposing import Proposed


class Handovers(RoundCases):
    """Opened and closed, out and in, given and taken over."""

    def opened(self, person: Person, inspection_id: str, leg_id: str, kind: OpenedKind, place: str) -> Opened:
        """Enter that something was opened, the moment it is."""
        require_worker(person)
        where = checked_text(place, "The place of what was opened")
        with self._records.begin() as work:
            open_visit(work, inspection_id)
            work.get(LegEntry, leg_id)
            made = Opened(new_id(), inspection_id, leg_id, kind, where, person.id, self._clock.now())
            work.enter("opened", person, inspection_id, made)
        return made

    def closed_again(self, person: Person, opened_id: str) -> Opened:
        """Enter that it is closed again.

        Raises
        ------
        Conflict
            It is closed already.
        """
        require_worker(person)
        with self._records.begin() as work:
            found = work.get(Opened, opened_id)
            open_visit(work, found.inspection_id)
            if found.closed_at is not None:
                msg = "It was closed already: look at the list again."
                raise Conflict(msg)
            made = replace(found, closed_by=person.id, closed_at=self._clock.now())
            work.enter("closed-again", person, found.inspection_id, made)
        return made

    def count_out(self, person: Person, inspection_id: str, kind: OutKind, name: str, quantity: int) -> Out:
        """Count cards, phones, pins or tools out to the aircraft.

        Raises
        ------
        UsageError
            The quantity is none.
        """
        require_worker(person)
        named = checked_text(name, "The name or number of what goes out", 80)
        if not 1 <= quantity <= 1000:
            msg = f"{quantity} of them cannot go out: count 1 or more"
            raise UsageError(msg)
        with self._records.begin() as work:
            open_visit(work, inspection_id)
            made = Out(new_id(), inspection_id, kind, named, quantity, person.id, self._clock.now())
            work.enter("counted-out", person, inspection_id, made)
        return made

    def count_in(self, person: Person, out_id: str, back: int) -> Out:
        """Count what has come back, of all that went out; fewer leave the count open.

        Raises
        ------
        UsageError
            More came back than went out, or fewer than were counted in before.
        """
        require_worker(person)
        with self._records.begin() as work:
            found = work.get(Out, out_id)
            open_visit(work, found.inspection_id)
            if not found.back <= back <= found.quantity:
                msg = (
                    f"{found.quantity} went out and {found.back} were counted in: {back} cannot be right; "
                    "count again, and look for what is missing"
                )
                raise UsageError(msg)
            made = replace(found, back=back, back_by=person.id, back_at=self._clock.now())
            work.enter("counted-in", person, found.inspection_id, made)
        return made

    def opened_and_out(self, inspection_id: str) -> tuple[tuple[Opened, ...], tuple[Out, ...]]:
        """Return everything that was opened or counted out on a visit, oldest first."""
        with self._records.look() as r:
            opened = sorted(r.all(Opened, inspection_id=inspection_id), key=lambda one: one.at)
            return tuple(opened), tuple(
                sorted(r.all(Out, inspection_id=inspection_id), key=lambda one: one.at)
            )

    def handover_list(self, inspection_id: str) -> Proposed:
        """Return what giver and taker sign: everything that stands open on a visit."""
        with self._records.look() as r:
            record = listed(r, r.get(Inspection, inspection_id))
        return Proposed(record, sha256(canonical(record)))

    def pending_handover(self, inspection_id: str) -> Handover | None:
        """Return the handover that is given and not yet taken, or None."""
        with self._records.look() as r:
            return pending(r, inspection_id)

    def hand_over(
        self, person: Person, inspection_id: str, taker_id: str, password: str, seen: str
    ) -> Handover:
        """Sign the list as who gives the work over.

        Raises
        ------
        NotAllowed
            The taker is the giver or answers for no work, or the password is wrong.
        Conflict
            The list has changed since it was shown.
        """
        require_worker(person)
        taker = self._people.find(taker_id)
        if taker.id == person.id or not taker.is_worker:
            msg = "The work is handed over to another person who answers for it: choose one."
            raise NotAllowed(msg)
        self._check_signature(person, password)
        with self._records.begin() as work:
            record = listed(work, open_visit(work, inspection_id))
            require_seen(record, seen)
            signed = self._sign(work, person, inspection_id, Meaning.HANDED_OVER, record)
            made = Handover(new_id(), inspection_id, person.id, taker.id, seen, signed.id, self._clock.now())
            work.enter("handed-over", person, inspection_id, made)
        return made

    def take_over(self, person: Person, handover_id: str, password: str, seen: str) -> Handover:
        """Sign the same list as who takes the work over.

        Raises
        ------
        NotAllowed
            It was given to another person, or the password is wrong.
        Conflict
            It was taken already, or the list is no longer the one that was given.
        """
        with self._records.look() as r:
            if r.get(Handover, handover_id).taker_id != person.id:
                msg = "This was handed over to another person: he has to take it."
                raise NotAllowed(msg)
        self._check_signature(person, password)
        with self._records.begin() as work:
            found = work.get(Handover, handover_id)
            if found.taken_at is not None:
                msg = "This handover is signed by both already."
                raise Conflict(msg)
            record = listed(work, open_visit(work, found.inspection_id))
            require_seen(record, seen)
            if found.listed_hash != seen:
                msg = "Something has changed since it was handed over: the giver has to sign the list anew."
                raise Conflict(msg)
            signed = self._sign(work, person, found.inspection_id, Meaning.TAKEN_OVER, record)
            made = replace(found, taken_signature_id=signed.id, taken_at=self._clock.now())
            work.enter("taken-over", person, found.inspection_id, made)
        return made


def pending(r: Reader, inspection_id: str) -> Handover | None:
    """Return the newest handover where it is given and not taken, or None."""
    found = max(r.all(Handover, inspection_id=inspection_id), key=lambda one: one.given_at, default=None)
    return None if found is None or found.taken_at is not None else found


def listed(r: Reader, inspection: Inspection) -> dict[str, Any]:
    """Return the list of a handover as plain JSON; the same state gives the same list."""
    programme = require_programme(r, inspection.id)
    condition = condition_now(r, inspection.id)
    items = r.all(Item, inspection_id=inspection.id)
    legs = {one.id: one.position for one in r.all(LegEntry, aircraft_id=inspection.aircraft_id)}
    unsigned = []
    for one in r.all(Answer, inspection_id=inspection.id, signature_id=None):
        current = current_answer(r, one.item_id)
        if current is not None and current.id == one.id:
            unsigned.append({"item": title_of(r, programme, r.get(Item, one.item_id)), "by": one.person_id})
    by_state = {
        state.value: {
            leg: sum(one.leg_id == id_ and one.state is state for one in items) for id_, leg in legs.items()
        }
        for state in ItemState
    }
    cases = [
        {
            "place": one.discrepancy.place,
            "text": one.discrepancy.text,
            "state": one.discrepancy.state.value,
            "carried": one.carried,
            "steps_done": [step.key for step in one.steps],
        }
        for one in cases_of(r, inspection)
    ]
    return {
        "what": "handover",
        "inspection": inspection.id,
        "condition": None if condition is None else plain(condition),
        "opened": sorted(
            ({"kind": one.kind.value, "leg": legs.get(one.leg_id, ""), "place": one.place, "by": one.by}
             for one in r.all(Opened, inspection_id=inspection.id) if one.closed_at is None),
            key=str,
        ),
        "out": sorted(
            ({"kind": one.kind.value, "name": one.name, "out": one.quantity, "back": one.back}
             for one in r.all(Out, inspection_id=inspection.id) if one.back < one.quantity),
            key=str,
        ),
        "unsigned": sorted(unsigned, key=str),
        "discrepancies": cases,
        "items": by_state,
    }  # fmt: skip
