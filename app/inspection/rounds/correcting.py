"""Corrections after the sign-off: a new answer supersedes, with its reason, and the old one stays.

| the new answer says | what follows |
|---|---|
| nothing wrong, or not fitted | the item waits for a second look by another person |
| a fault, or a reading that is undecided | a discrepancy is opened at once, and goes to the next visit |
| a fault in other words, where one was found | the words; the discrepancy goes its own way |
| nothing wrong, where a fault was found | refused: a fault ends by what is done about it |
| nothing wrong, where photos were judged | refused: those judgements stay |

A second look that does not agree opens a discrepancy as well: nothing is measured
anew on a visit that is signed off.  The instrument is held to the day on which the
earlier answer was given, the limits to the leg's data as they were at the sign-off.
"""

from dataclasses import dataclass, replace
from enum import StrEnum
from typing import Any

from app.errors import Conflict, NotAllowed
from app.inspection.base import checked_text, new_id
from app.inspection.canonical import canonical, plain, sha256
from app.inspection.model import Inspection, Item, ItemState, Person, Role
from app.inspection.ports import Reader
from app.inspection.rounds.answers import require_steps
from app.inspection.rounds.batches import Line, batch_of, is_signed, measured_with
from app.inspection.rounds.closing import item_closed, item_faulty
from app.inspection.rounds.commissioning import leg_as_of
from app.inspection.rounds.common import (
    RoundCases,
    leg_in,
    leg_of,
    programme_item,
    require_programme,
    require_seen,
    title_of,
)
from app.inspection.rounds.crew import require_may_look
from app.inspection.rounds.fault_words import fault_words
from app.inspection.rounds.given import Given
from app.inspection.rounds.judging import Judged, judged
from app.inspection.rounds.looks import everybody_on
from app.inspection.rounds.model import Answer, Finding, Look, LookOutcome, Meaning, Signature
from app.inspection.rounds.proposing import Proposed
from app.inspection.rounds.search_state import require_not_judged
from app.inspection.rounds.second import look_outcome

_WORKING = frozenset({Role.MECHANIC, Role.INSPECTOR})
_RIGHT = (Finding.GOOD, Finding.NOT_FITTED)


class CorrectionState(StrEnum):
    """What became of a correction."""

    WAITS = "waits"
    CONFIRMED = "confirmed"
    DISCREPANCY = "discrepancy"
    SUPERSEDED = "superseded"


@dataclass(frozen=True)
class Correction:
    """An answer given after the sign-off, beside the one that it supersedes."""

    answer: Answer
    before: Answer
    now: Line
    was: Line
    state: CorrectionState


class Correcting(RoundCases):
    """What can still be said of a visit that is signed off."""

    def standing(self, person: Person, inspection_id: str) -> tuple[Line, ...]:
        """Return the answers that stand on a signed visit, in the order in which they were given."""
        with self._records.look() as r:
            found = sorted(r.all(Answer, inspection_id=inspection_id), key=lambda one: (one.at, one.id))
            replaced = {one.supersedes for one in found}
            stand = [one for one in found if one.id not in replaced and is_signed(one)]
            return batch_of(r, person, inspection_id, stand).lines

    def corrections(self, person: Person, inspection_id: str) -> tuple[Correction, ...]:
        """Return what was corrected after the sign-off, the first one first."""
        with self._records.look() as r:
            found = []
            for one in corrections_of(r, inspection_id):
                before = r.get(Answer, one.supersedes or "")
                now, was = batch_of(r, person, inspection_id, [one, before]).lines
                found.append(Correction(one, before, now, was, state_of(r, one)))
            return tuple(found)

    def propose_correction(
        self, person: Person, answer_id: str, given: Given, reason: str, place: str = ""
    ) -> Proposed:
        """Return a correction as it will be signed; raises as `correct`, but for the password."""
        with self._records.look() as r:
            _, record = self._correction(r, person, answer_id, given, reason, place)
        return Proposed(record, sha256(canonical(record)))

    def correct(
        self,
        person: Person,
        answer_id: str,
        given: Given,
        reason: str,
        password: str,
        seen: str,
        place: str = "",
    ) -> Answer:
        """Sign a new answer in place of one that is signed off.

        Parameters
        ----------
        place : str
            Of a fault: where on the leg.
        seen : str
            Hash of the record that was shown.

        Raises
        ------
        NotAllowed
            The person neither gave the answer nor works in the same role, or the password is wrong.
        Conflict
            The visit is open, the answer is corrected already, a fault was found, or
            what is signed is not what was shown.
        UsageError
            The reason is missing, or the answer does not fit the item.
        """
        self._check_signature(person, password)
        with self._records.begin() as work:
            (finding, text, reading, instrument), record = self._correction(
                work, person, answer_id, given, reason, place
            )
            require_seen(record, seen)
            before = work.get(Answer, answer_id)
            item = work.get(Item, before.item_id)
            signed = self._sign(work, person, item.inspection_id, Meaning.CORRECTED, record)
            made = replace(
                before,
                id=new_id(),
                person_id=person.id,
                finding=finding,
                text=text,
                reading=reading,
                instrument_id=instrument,
                supervisor_id=None,
                supersedes=before.id,
                reason=record["reason"],
                signature_id=signed.id,
                supervisor_signature_id=None,
                at=self._clock.now(),
            )
            rows: list[Any] = [made]
            if finding in _RIGHT:
                rows.append(replace(item, state=ItemState.WAITING))
            elif before.finding is not Finding.FAULT and item.state is not ItemState.DISCREPANCY:
                programme = require_programme(work, item.inspection_id)
                wanted = programme_item(work, programme, item)
                words = f"{fault_words(text, reading)} (corrected after sign-off)"
                rows += item_faulty(work, programme, wanted, item, person, words, place, None, made.at)
            work.enter("corrected", person, item.inspection_id, *rows)
        return made

    def propose_second(self, person: Person, answer_id: str, given: Given) -> Proposed:
        """Return a second look at a correction as it will be signed; raises as `second`."""
        with self._records.look() as r:
            _, record = self._second(r, person, answer_id, given)
        return Proposed(record, sha256(canonical(record)))

    def second(self, person: Person, answer_id: str, given: Given, password: str, seen: str) -> Look:
        """Sign what the second person found himself, at the aircraft, of an item that was corrected.

        Raises
        ------
        NotAllowed
            Own work, no authorisation for this item today, or the password is wrong.
        Conflict
            The correction does not wait, or what is signed is not what was shown.
        UsageError
            The answer does not fit the item.
        """
        self._check_signature(person, password)
        with self._records.begin() as work:
            (finding, text, reading, instrument), record = self._second(work, person, answer_id, given)
            require_seen(record, seen)
            first = work.get(Answer, answer_id)
            item = work.get(Item, first.item_id)
            signed = self._sign(work, person, item.inspection_id, Meaning.SECOND_LOOK, record)
            outcome = look_outcome(first.finding, first.reading, finding, reading)
            closes = outcome is LookOutcome.CLOSED
            made = Look(
                new_id(),
                item.inspection_id,
                first.id,
                first.person_id,
                person.id,
                finding,
                text,
                reading,
                instrument,
                "aircraft",
                LookOutcome.CLOSED if closes else LookOutcome.DISCREPANCY,
                signed.id,
                self._clock.now(),
            )
            rows: list[Any] = [made]
            if closes:
                rows += item_closed(work, item, made.at)
            else:
                programme = require_programme(work, item.inspection_id)
                wanted = programme_item(work, programme, item)
                apart = "the second person does not find what the correction says"
                words = f"{text or apart} (corrected after sign-off)"
                rows += item_faulty(work, programme, wanted, item, person, words, "", None, made.at)
            work.enter("look-signed", person, item.inspection_id, *rows)
        return made

    def _correction(
        self, r: Reader, person: Person, answer_id: str, given: Given, reason: str, place: str
    ) -> tuple[Judged, dict[str, Any]]:
        before = r.get(Answer, answer_id)
        item, inspection = _signed_off(r, before)
        if r.all(Answer, supersedes=before.id):
            msg = "That answer was corrected already: look at what stands now."
            raise Conflict(msg)
        self._require_entitled(person, before)
        why = checked_text(reason, "The reason of the correction", 500)
        told = self._judged(r, item, inspection, before, given)
        if told[0] in _RIGHT:
            require_not_judged(before)
        if told[0] in _RIGHT and (before.finding is Finding.FAULT or item.state is ItemState.DISCREPANCY):
            msg = (
                "Something was found wrong here, and a correction does not undo it: "
                "enter what was done about the discrepancy, in the aircraft's next visit."
            )
            raise Conflict(msg)
        record = _record(r, person, item, "correction after sign-off", told)
        return told, record | {"corrects": plain(before), "reason": why, "place": place.strip()}

    def _second(
        self, r: Reader, person: Person, answer_id: str, given: Given
    ) -> tuple[Judged, dict[str, Any]]:
        first = r.get(Answer, answer_id)
        item, inspection = _signed_off(r, first)
        if item.state is not ItemState.WAITING or state_of(r, first) is not CorrectionState.WAITS:
            msg = "This does not wait for a second look: choose one from the list of corrections."
            raise Conflict(msg)
        wanted = programme_item(r, require_programme(r, item.inspection_id), item)
        require_may_look(r, person, wanted, everybody_on(r, item), self._today())
        told = self._judged(r, item, inspection, None, given)
        record = _record(r, person, item, "second look at a correction, at the aircraft", told)
        return told, record | {"held_against": plain(first)}

    def _judged(
        self, r: Reader, item: Item, inspection: Inspection, before: Answer | None, given: Given
    ) -> Judged:
        leg = leg_as_of(r, leg_of(r, item), inspection.closed_at)
        day = self._today() if before is None else before.at.date()
        wanted = programme_item(r, require_programme(r, item.inspection_id), item)
        told = judged(wanted, given, leg_in(leg.toml, leg.position), day, *measured_with(r))
        if before is not None:
            require_steps(r, wanted, item, told[0], told[1])
        return told

    def _require_entitled(self, person: Person, before: Answer) -> None:
        if person.is_administrator:
            msg = "An administrator answers for no work and corrects none: who did it has to."
            raise NotAllowed(msg)
        stood_for = self._people.find(before.supervisor_id or before.person_id)
        own = person.id in (before.person_id, before.supervisor_id)
        if not person.is_worker or not (own or person.roles & stood_for.roles & _WORKING):
            msg = (
                f"This was answered for by {stood_for.name}: he corrects it, "
                "or another person who works in the same role."
            )
            raise NotAllowed(msg)


def corrections_of(r: Reader, inspection_id: str) -> list[Answer]:
    """Return the answers that were given after the sign-off, the first one first."""
    signed = {
        one.id for one in r.all(Signature, inspection_id=inspection_id) if one.meaning is Meaning.CORRECTED
    }
    found = [one for one in r.all(Answer, inspection_id=inspection_id) if one.signature_id in signed]
    return sorted(found, key=lambda one: (one.at, one.id))


def state_of(r: Reader, one: Answer) -> CorrectionState:
    """Return what became of a correction."""
    if r.all(Answer, supersedes=one.id):
        return CorrectionState.SUPERSEDED
    if one.finding not in _RIGHT:
        return CorrectionState.DISCREPANCY
    outcomes = {look.outcome for look in r.all(Look, answer_id=one.id) if look.signature_id}
    if LookOutcome.DISCREPANCY in outcomes:
        return CorrectionState.DISCREPANCY
    return CorrectionState.CONFIRMED if outcomes else CorrectionState.WAITS


def told_of(r: Reader, inspection_id: str) -> list[dict[str, Any]]:
    """Return the corrections as the work record holds them."""
    programme = None
    told = []
    for one in corrections_of(r, inspection_id):
        programme = programme or require_programme(r, inspection_id)
        item = r.get(Item, one.item_id)
        told.append(
            {
                "said": "corrected after sign-off",
                "answer_id": one.id,
                "supersedes": one.supersedes,
                "leg": leg_of(r, item).position,
                "title": title_of(r, programme, item),
                "person_id": one.person_id,
                "at": plain(one.at),
                "reason": one.reason,
                "state": state_of(r, one).value,
            }
        )
    return told


def _signed_off(r: Reader, one: Answer) -> tuple[Item, Inspection]:
    item = r.get(Item, one.item_id)
    inspection = r.get(Inspection, item.inspection_id)
    if inspection.closed_at is None:
        msg = "This visit is still open: correct the answer at its item, no signature is needed for that."
        raise Conflict(msg)
    return item, inspection


def _record(r: Reader, person: Person, item: Item, what: str, told: Judged) -> dict[str, Any]:
    programme = require_programme(r, item.inspection_id)
    finding, text, reading, instrument = told
    return {
        "what": what,
        "inspection": item.inspection_id,
        "programme": programme.version,
        "person": {"id": person.id, "name": person.name},
        "leg": leg_of(r, item).position,
        "title": title_of(r, programme, item),
        "item": item.id,
        "now": {
            "finding": finding.value,
            "text": text,
            "reading": plain(reading),
            "instrument_id": instrument,
        },
    }
