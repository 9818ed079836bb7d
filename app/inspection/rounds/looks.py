"""The second person's own answers, given before he sees the first ones, and his signature under them."""

from collections.abc import Sequence as Some
from dataclasses import dataclass, replace
from typing import Any

from app.errors import Conflict, NotAllowed
from app.inspection.base import new_id
from app.inspection.canonical import canonical, plain, sha256
from app.inspection.model import Item, ItemState, Person, TryState
from app.inspection.ports import Reader
from app.inspection.rounds.batches import Batch, Line, batch_of, current_answer, is_signed, measured_with
from app.inspection.rounds.closing import all_faulty, involved_in, item_closed, item_faulty
from app.inspection.rounds.common import (
    RoundCases,
    is_photo_item,
    leg_in,
    leg_of,
    open_visit,
    own_look,
    programme_item,
    require_condition,
    require_programme,
    require_seen,
    title_of,
)
from app.inspection.rounds.crew import require_may_look
from app.inspection.rounds.given import Given
from app.inspection.rounds.judging import judged
from app.inspection.rounds.model import Answer, Finding, Look, LookOutcome, Meaning
from app.inspection.rounds.search_left import settled_tries
from app.inspection.rounds.search_state import is_by_photo
from app.inspection.rounds.search_unanswered import why_not_closed
from app.inspection.rounds.second import look_outcome
from app.inspection.rounds.tire_pressure import LACKING, lacks_pressure
from app.inspection.rounds.tire_rules import tries_moved
from app.inspection.rounds.tire_wheel import undone
from app.programme import Item as ProgrammeItem


@dataclass(frozen=True)
class Compared:
    """A second person's answer beside the first, once his own is stored."""

    mine: Line
    first: Line
    outcome: LookOutcome


class Looks(RoundCases):
    """Second looks at the aircraft."""

    def to_look_at(self, person: Person, inspection_id: str) -> tuple[Item, ...]:
        """Return the items that this person may be the second one on, not yet looked at by him.

        Nothing of what the first person found is in them.
        """
        with self._records.look() as r:
            programme = require_programme(r, inspection_id)
            found = []
            for item in r.all(Item, inspection_id=inspection_id, state=ItemState.WAITING):
                answer = None if is_photo_item(item) else current_answer(r, item.id)
                if answer is None or r.all(Look, answer_id=answer.id, person_id=person.id):
                    continue
                try:
                    wanted = programme_item(r, programme, item)
                    require_may_look(r, person, wanted, everybody_on(r, item), self._today())
                except NotAllowed:
                    continue
                found.append(item)
            return tuple(found)

    def look(self, person: Person, item_id: str, given: Given) -> Look:
        """Enter the second person's own answer; one for each person and answer, and it stays.

        Raises
        ------
        NotAllowed
            Own work, or no authorisation for this item today.
        Conflict
            The item does not wait, the condition is not the item's, or he has looked.
        UsageError
            The answer does not fit the item, or its instrument may not be used.
        """
        with self._records.begin() as work:
            item = work.get(Item, item_id)
            answer, wanted = self._require_may_look(work, person, item)
            require_condition(work, person, item, wanted)
            if work.all(Look, answer_id=answer.id, person_id=person.id):
                msg = "You have looked at this, and what you found stays: sign it."
                raise Conflict(msg)
            leg = leg_of(work, item)
            finding, text, reading, instrument = judged(
                wanted, given, leg_in(leg.toml, leg.position), self._today(), *measured_with(work)
            )
            if is_by_photo(answer) and finding is not Finding.FAULT:
                msg = (
                    "This was answered with photos: mark each of them bare and judge its places yourself. "
                    "What you find wrong at the aircraft can be entered at once."
                )
                raise Conflict(msg)
            made = Look(
                new_id(),
                item.inspection_id,
                answer.id,
                answer.person_id,
                person.id,
                finding,
                text,
                reading,
                instrument,
                "aircraft",
                None,
                None,
                self._clock.now(),
            )
            work.enter("looked", person, item.inspection_id, made)
        return made

    def compared(self, person: Person, look_id: str) -> Compared:
        """Return the person's own look beside the first answer, and what follows from both.

        Raises
        ------
        NotAllowed
            It is another person's look.
        """
        with self._records.look() as r:
            mine = own_look(r, person, look_id)
            first = r.get(Answer, mine.answer_id)
            lines = batch_of(r, person, mine.inspection_id, [mine, first]).lines
            return Compared(lines[0], lines[1], _outcome(first, mine))

    def looks_to_sign(self, person: Person, inspection_id: str) -> Batch:
        """Return the person's looks that wait for his signature."""
        with self._records.look() as r:
            return _batch(r, person, inspection_id, _unsigned(r, person, inspection_id))

    def looks_held(self, person: Person, inspection_id: str) -> tuple[str, ...]:
        """Return what he looked at and cannot sign yet, each with what it waits for."""
        with self._records.look() as r:
            return tuple(_held(r, person, inspection_id))

    def sign_looks(self, person: Person, inspection_id: str, password: str, seen: str) -> Batch:
        """Sign the looks that were shown, and let follow what follows from each.

        Raises
        ------
        NotAllowed
            The password is wrong, or the person may no longer look at one of them.
        Conflict
            Nothing is to be signed, something has changed since, or another person was first.
        """
        self._check_signature(person, password)
        with self._records.begin() as work:
            open_visit(work, inspection_id)
            mine = _unsigned(work, person, inspection_id)
            if not mine:
                held = _held(work, person, inspection_id)
                msg = "There is nothing for you to sign: look at the items first."
                raise Conflict(f"Nothing was signed: {held[0]}." if held else msg)
            batch = _batch(work, person, inspection_id, mine)
            require_seen(batch.record, seen)
            programme = require_programme(work, inspection_id)
            signed = self._sign(work, person, inspection_id, Meaning.SECOND_LOOK, batch.record)
            for one in mine:
                answer = work.get(Answer, one.answer_id)
                item = work.get(Item, answer.item_id)
                _, wanted = self._require_may_look(work, person, item)
                outcome = _outcome(answer, one)
                rows: list[Any] = [replace(one, outcome=outcome, signature_id=signed.id)]
                rows += tries_moved(work, answer, TryState.SETTLED)
                if is_by_photo(one):  # what he found at the aircraft leaves the photos to be judged
                    rows += settled_tries(work, answer, self._clock.now())
                if outcome is LookOutcome.CLOSED:
                    rows += item_closed(work, item, self._clock.now())
                elif outcome is LookOutcome.ANEW:
                    rows.append(replace(item, state=ItemState.TO_DO))
                elif is_by_photo(one):
                    told = (one.reading or {})["faults"]
                    rows += all_faulty(work, programme, wanted, item, person, told, self._clock.now())
                else:
                    said = one.text or "the second person found it wrong"
                    rows += item_faulty(
                        work, programme, wanted, item, person, said, "", None, self._clock.now()
                    )
                work.enter("look-signed", person, inspection_id, *rows)
        return batch

    def _require_may_look(self, r: Reader, person: Person, item: Item) -> tuple[Answer, ProgrammeItem]:
        open_visit(r, item.inspection_id)
        wanted = programme_item(r, require_programme(r, item.inspection_id), item)
        if is_photo_item(item):
            msg = "The strut's photo is confirmed on its own page, by placing both ends on it."
            raise Conflict(msg)
        answer = current_answer(r, item.id)
        if item.state is not ItemState.WAITING or answer is None:
            msg = "This item does not wait for a second look: choose one from the list."
            raise Conflict(msg)
        require_may_look(r, person, wanted, everybody_on(r, item), self._today())
        return answer, wanted


def everybody_on(r: Reader, item: Item) -> set[str]:
    """Everybody who answered, supervised, corrected, or did the work that is looked at again."""
    answers = r.all(Answer, item_id=item.id)
    return {id_ for one in answers for id_ in (one.person_id, one.supervisor_id) if id_} | involved_in(
        r, item
    )


def _outcome(first: Answer, mine: Look) -> LookOutcome:
    return look_outcome(first.finding, first.reading, mine.finding, mine.reading)


def _batch(r: Reader, person: Person, inspection_id: str, looks: Some[Look]) -> Batch:
    """The batch of looks; the record also holds the answers they were held against, and what follows."""
    batch = batch_of(r, person, inspection_id, looks)
    answers = [r.get(Answer, one.answer_id) for one in looks]
    follows = [
        {"answer": plain(first), "outcome": _outcome(first, mine).value}
        for first, mine in zip(answers, looks, strict=True)
    ]
    record = {**batch.record, "what": "batch of second looks, at the aircraft", "held_against": follows}
    return Batch(batch.lines, record, sha256(canonical(record)))


def _unsigned(r: Reader, person: Person, inspection_id: str) -> list[Look]:
    return [one for one in _standing(r, person, inspection_id) if not _why_held(r, one)]


def _held(r: Reader, person: Person, inspection_id: str) -> list[str]:
    programme = require_programme(r, inspection_id)
    held = ((one, _why_held(r, one)) for one in _standing(r, person, inspection_id))
    return [
        f"{title_of(r, programme, r.get(Item, r.get(Answer, one.answer_id).item_id))}: {why}"
        for one, why in held
        if why
    ]


def _why_held(r: Reader, one: Look) -> str:
    """Why an item may not close by a look: a tire without a good cold gauge reading, a fault passed by.

    A good answer by a tire's photo may also have come to stand against another photo of that wheel.
    """
    answer = r.get(Answer, one.answer_id)
    if _outcome(answer, one) is not LookOutcome.CLOSED:
        return ""
    item = r.get(Item, answer.item_id)
    if answer.finding is Finding.GOOD and lacks_pressure(r, item):
        return LACKING
    return undone(r, answer) or why_not_closed(r, item)


def _standing(r: Reader, person: Person, inspection_id: str) -> list[Look]:
    found = r.all(Look, inspection_id=inspection_id, person_id=person.id, signature_id=None)
    standing = []
    for one in found:
        answer = r.get(Answer, one.answer_id)
        # What was corrected, or closed by another person meanwhile, is nothing to sign any more.
        current = current_answer(r, answer.item_id)
        waits = r.get(Item, answer.item_id).state is ItemState.WAITING
        if waits and current is not None and current.id == answer.id and is_signed(answer):
            standing.append(one)
    return sorted(standing, key=lambda one: (one.at, one.id))
