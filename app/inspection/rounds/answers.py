"""The first person's answers to the items of a round, and his signature under a batch of them."""

from collections.abc import Sequence as Some
from dataclasses import replace
from typing import Any

from app.errors import Conflict, NotAllowed
from app.inspection.base import checked_text, new_id
from app.inspection.model import Item, ItemState, Person, Role, TryState
from app.inspection.ports import Reader, Work
from app.inspection.rounds.batches import (
    Batch,
    batch_of,
    current_answer,
    is_signed,
    measured_with,
    only_takes_back,
)
from app.inspection.rounds.closing import item_faulty
from app.inspection.rounds.common import (
    RoundCases,
    is_photo_item,
    leg_in,
    leg_of,
    open_visit,
    programme_item,
    require_condition,
    require_programme,
    require_seen,
    require_worker,
)
from app.inspection.rounds.fault_words import fault_words
from app.inspection.rounds.given import Given
from app.inspection.rounds.judging import judged
from app.inspection.rounds.model import (
    Answer,
    Evidence,
    Finding,
    Meaning,
    Sequence,
    SequenceKind,
    Step,
)
from app.inspection.rounds.search_left import require_flags_answered
from app.inspection.rounds.search_ordinary import said_by_hand
from app.inspection.rounds.search_unanswered import is_wet_by_hand
from app.inspection.rounds.sequences import is_through
from app.inspection.rounds.tire_rules import require_no_photo_under_way, tries_moved
from app.programme import Item as ProgrammeItem


class Answers(RoundCases):
    """What the first person answers."""

    def answer(
        self,
        person: Person,
        item_id: str,
        given: Given,
        *,
        supervisor_id: str = "",
        corrects: str = "",
        reason: str = "",
        place: str = "",
        evidence_id: str = "",
    ) -> Answer:
        """Answer an item; a fault opens its discrepancy at once, so that it does not get lost.

        Parameters
        ----------
        supervisor_id : str
            Who supervises, where a trainee answers.
        corrects, reason : str
            The answer that this one corrects, and why; the earlier one stays.
        place, evidence_id : str
            Of a fault: where on the leg, and the photo that shows it.

        Raises
        ------
        NotAllowed
            The person may not do this item, or a trainee has no supervisor.
        Conflict
            The opening card or the condition is not stated, or the item is past this step.
        UsageError
            The answer does not fit the item, or its instrument may not be used.
        """
        with self._records.begin() as work:
            item = work.get(Item, item_id)
            open_visit(work, item.inspection_id)
            programme = require_programme(work, item.inspection_id)
            wanted = programme_item(work, programme, item)
            supervisor = _supervisor(self._people, person, supervisor_id)
            stated = require_condition(work, person, item, wanted)
            _require_room(work, item, corrects)
            why = checked_text(reason, "The reason of the correction", 500) if corrects else None
            finding, text, reading, instrument = judged(
                wanted, given, _leg(work, item), self._today(), *measured_with(work)
            )
            if not corrects:
                require_no_photo_under_way(work, item, fault=finding is Finding.FAULT)
            require_steps(work, wanted, item, finding, text)
            require_flags_answered(work, wanted, item, good=finding in (Finding.GOOD, Finding.NOT_FITTED))
            text = said_by_hand(work, person, wanted, item, finding, text)
            made = Answer(
                new_id(),
                item.inspection_id,
                item.id,
                person.id,
                stated.id,
                finding,
                text,
                reading,
                instrument,
                supervisor,
                corrects or None,
                why,
                None,
                None,
                self._clock.now(),
            )
            rows: list[Any] = [made]
            if finding is Finding.FAULT and item.state is not ItemState.DISCREPANCY:
                photo = work.get(Evidence, evidence_id).photo if evidence_id else None
                rows += item_faulty(
                    work, programme, wanted, item, person, fault_words(text, reading), place, photo, made.at,
                    leak=is_wet_by_hand(work, item),
                )  # fmt: skip
            elif corrects and item.state in (ItemState.WAITING, ItemState.CLOSED):
                rows.append(replace(item, state=ItemState.TO_DO))
            if corrects:  # a photo that the earlier answer stood on waits for nobody any more
                rows += tries_moved(work, work.get(Answer, corrects), TryState.READ)
            work.enter("answered", person, item.inspection_id, *rows)
        return made

    def to_sign(self, person: Person, inspection_id: str) -> Batch:
        """Return the person's answers that wait for his signature, in the order they were given."""
        with self._records.look() as r:
            return batch_of(r, person, inspection_id, _unsigned(r, person, inspection_id))

    def to_supervise(self, person: Person, inspection_id: str) -> Batch:
        """Return the answers that this person supervised and has not signed for."""
        with self._records.look() as r:
            return batch_of(r, person, inspection_id, _unsupervised(r, person, inspection_id))

    def sign_work(self, person: Person, inspection_id: str, password: str, seen: str) -> Batch:
        """Sign the batch that was shown; its items then wait for their second look.

        Parameters
        ----------
        seen : str
            `Batch.record_hash` of what was on the screen.

        Raises
        ------
        NotAllowed
            The password is wrong, or the person signs nothing.
        Conflict
            There is nothing to sign, or it has changed since.
        """
        self._check_signature(person, password)
        with self._records.begin() as work:
            open_visit(work, inspection_id)
            mine = _unsigned(work, person, inspection_id)
            batch = batch_of(work, person, inspection_id, mine)
            _require_some(mine)
            require_seen(batch.record, seen)
            signed = self._sign(work, person, inspection_id, Meaning.PERFORMED, batch.record)
            kept = [replace(one, signature_id=signed.id) for one in mine]
            work.enter("work-signed", person, inspection_id, *kept, *_waiting(work, kept))
        return batch

    def supervise(self, person: Person, inspection_id: str, password: str, seen: str) -> Batch:
        """Sign as supervisor for the answers of trainees; raises as `sign_work`."""
        require_worker(person)
        self._check_signature(person, password)
        with self._records.begin() as work:
            open_visit(work, inspection_id)
            mine = _unsupervised(work, person, inspection_id)
            batch = batch_of(work, person, inspection_id, mine)
            _require_some(mine)
            require_seen(batch.record, seen)
            signed = self._sign(work, person, inspection_id, Meaning.SUPERVISED, batch.record)
            kept = [replace(one, supervisor_signature_id=signed.id) for one in mine]
            work.enter("supervision-signed", person, inspection_id, *kept, *_waiting(work, kept))
        return batch


def _unsigned(r: Reader, person: Person, inspection_id: str) -> list[Answer]:
    found = r.all(Answer, inspection_id=inspection_id, person_id=person.id, signature_id=None)
    return sorted(_standing(r, found), key=lambda one: (one.at, one.id))


def _unsupervised(r: Reader, person: Person, inspection_id: str) -> list[Answer]:
    found = r.all(Answer, inspection_id=inspection_id, supervisor_id=person.id, supervisor_signature_id=None)
    return sorted(_standing(r, found), key=lambda one: (one.at, one.id))


def _standing(r: Reader, found: tuple[Answer, ...]) -> list[Answer]:
    """Without what a later answer has corrected before it was signed, and what only took another back."""
    return [one for one in found if not only_takes_back(one) and not r.all(Answer, supersedes=one.id)]


def _waiting(work: Work, kept: Some[Answer]) -> list[Item]:
    """The items of signed answers, as they wait for their second look."""
    items = []
    for one in kept:
        item = work.get(Item, one.item_id)
        good = one.finding in (Finding.GOOD, Finding.NOT_FITTED)
        if good and is_signed(one) and item.state is ItemState.TO_DO:
            items.append(replace(item, state=ItemState.WAITING))
    return items


def _require_some(answers: Some[Any]) -> None:
    if not answers:
        msg = "There is nothing for you to sign: what you answered is signed already."
        raise Conflict(msg)


def _supervisor(people: Any, person: Person, supervisor_id: str) -> str | None:
    if person.is_administrator:
        msg = "An administrator answers for no work: sign in as who does it."
        raise NotAllowed(msg)
    if Role.TRAINEE not in person.roles:
        require_worker(person)
        return None
    if not supervisor_id or supervisor_id == person.id:
        msg = "A trainee works under supervision: name who supervises, and have him sign too."
        raise NotAllowed(msg)
    supervisor = people.find(supervisor_id)
    if not supervisor.is_worker:
        msg = f"{supervisor.name} does not supervise: name a mechanic or an inspector."
        raise NotAllowed(msg)
    return str(supervisor.id)


def _require_room(r: Reader, item: Item, corrects: str) -> None:
    if is_photo_item(item):
        msg = "The strut's extension is answered by its photo or by hand measurement: go to its page."
        raise Conflict(msg)
    current = current_answer(r, item.id)
    if corrects:
        answers = {one.id: one for one in r.all(Answer, item_id=item.id)}
        if corrects not in answers:
            msg = "The answer that is to be corrected is not this item's: look at the item again."
            raise Conflict(msg)
        if any(one.supersedes == corrects for one in answers.values()):
            msg = "That answer was corrected already: look at what stands now."
            raise Conflict(msg)
        return
    if item.state is ItemState.DISCREPANCY:
        msg = (
            "Something was found wrong here: enter what was done about it; "
            "the re-inspection is an item of its own. Another answer does not undo it."
        )
        raise Conflict(msg)
    if current is not None or item.state is not ItemState.TO_DO:
        msg = "This item is answered: to change the answer, correct it and say why."
        raise Conflict(msg)


def require_steps(r: Reader, wanted: ProgrammeItem, item: Item, finding: Finding, text: str) -> None:
    """Servicing is told step by step; a level that needed nothing is told in words."""
    if wanted.sequence != "servicing" or finding is not Finding.GOOD:
        return
    begun = r.all(Sequence, item_id=item.id, kind=SequenceKind.SERVICING)
    through = [is_through(one.kind, r.all(Step, sequence_id=one.id)) for one in begun]
    if not all(through):
        msg = f"{wanted.title}: its servicing was begun and is not through: do its next step first."
        raise Conflict(msg)
    if not through and not text:
        msg = (
            f"{wanted.title}: a tick would not say what was filled in. Enter the servicing step by step, "
            "or write how the level was found."
        )
        raise Conflict(msg)


def _leg(r: Reader, item: Item) -> Any:
    leg = leg_of(r, item)
    return leg_in(leg.toml, leg.position)
