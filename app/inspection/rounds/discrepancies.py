"""Discrepancies to their end: what was done, looked at again, or carried on until a day."""

from collections.abc import Mapping
from collections.abc import Sequence as Some
from dataclasses import replace
from datetime import date

from app.inspection.base import new_id
from app.inspection.canonical import canonical, sha256
from app.inspection.model import (
    STRUT_EXTENSION,
    Discrepancy,
    DiscrepancyState,
    Inspection,
    Item,
    ItemState,
    Person,
    Role,
)
from app.inspection.ports import Work
from app.inspection.rounds.cases import Case, case_of, cases_of
from app.inspection.rounds.closing import opened_by_deferral
from app.inspection.rounds.common import (
    REINSPECTION,
    RoundCases,
    is_photo_item,
    require_programme,
    require_seen,
    require_worker,
)
from app.inspection.rounds.crew import require_authorised
from app.inspection.rounds.model import (
    ALL_CLASSES,
    Action,
    ActionKind,
    Deferral,
    Meaning,
)
from app.inspection.rounds.proposing import Proposed, action_record, deferral_record, opened_again


class Discrepancies(RoundCases):
    """What is done about what was found wrong."""

    def cases(self, inspection_id: str) -> tuple[Case, ...]:
        """Return the aircraft's discrepancies that are not cleared, and those of this visit.

        Carried ones come first, then in the order they were opened.
        """
        with self._records.look() as r:
            return cases_of(r, r.get(Inspection, inspection_id))

    def case(self, inspection_id: str, discrepancy_id: str) -> Case:
        """Return one discrepancy as this visit sees it."""
        with self._records.look() as r:
            return case_of(r, r.get(Inspection, inspection_id), r.get(Discrepancy, discrepancy_id))

    def propose_action(
        self,
        person: Person,
        inspection_id: str,
        discrepancy_id: str,
        kind: ActionKind,
        text: str,
        data_reference: str,
        removed: Some[Mapping[str, str]] = (),
        fitted: Some[Mapping[str, str]] = (),
    ) -> Proposed:
        """Return an action as it will be signed.

        Raises
        ------
        Conflict
            The discrepancy is past this, or its sequence is not through.
        UsageError
            Words, data or a part's papers are missing.
        """
        with self._records.look() as r:
            record = action_record(
                r, person, inspection_id, discrepancy_id, kind, text, data_reference, removed, fitted
            )
        return Proposed(record, sha256(canonical(record)))

    def act(
        self,
        person: Person,
        inspection_id: str,
        discrepancy_id: str,
        kind: ActionKind,
        text: str,
        data_reference: str,
        password: str,
        seen: str,
        removed: Some[Mapping[str, str]] = (),
        fitted: Some[Mapping[str, str]] = (),
    ) -> Action:
        """Sign what was done; its re-inspection becomes an item of this visit, to be done by two people.

        Raises
        ------
        NotAllowed
            The password is wrong, or the person answers for no work.
        Conflict, UsageError
            As `propose_action`; Conflict also where it is not what was shown.
        """
        require_worker(person)
        self._check_signature(person, password)
        with self._records.begin() as work:
            record = action_record(
                work, person, inspection_id, discrepancy_id, kind, text, data_reference, removed, fitted
            )
            require_seen(record, seen)
            signed = self._sign(work, person, inspection_id, Meaning.ACTION, record)
            found = work.get(Discrepancy, discrepancy_id)
            id_ = new_id()
            again = _reinspection(work, found, inspection_id, id_)
            made = Action(
                id_,
                discrepancy_id,
                inspection_id,
                kind,
                record["text"],
                record["data_reference"],
                tuple(record["removed"]),
                tuple(record["fitted"]),
                person.id,
                again.id,
                signed.id,
                self._clock.now(),
            )
            acted = replace(found, state=DiscrepancyState.ACTED)
            work.enter("acted", person, inspection_id, acted, again, made)
        return made

    def opened_by_deferral(self, inspection_id: str, discrepancy_id: str) -> tuple[str, ...]:
        """Return the titles of items whose photos two people have to judge once this is deferred."""
        with self._records.look() as r:
            return tuple(opened_again(r, inspection_id, r.get(Discrepancy, discrepancy_id)))

    def propose_deferral(
        self,
        person: Person,
        inspection_id: str,
        discrepancy_id: str,
        reference: str,
        category: str,
        due_on: date | None,
        due_landings: int | None,
        placard: str,
    ) -> Proposed:
        """Return a deferral as it will be signed; raises as `defer`."""
        with self._records.look() as r:
            require_authorised(r, person, Role.AUTHORISED_SIGNATORY, ALL_CLASSES, self._today())
            record = deferral_record(
                r,
                self._today(),
                inspection_id,
                discrepancy_id,
                reference,
                category,
                due_on,
                due_landings,
                placard,
            )
        return Proposed(record, sha256(canonical(record)))

    def defer(
        self,
        person: Person,
        inspection_id: str,
        discrepancy_id: str,
        reference: str,
        category: str,
        due_on: date | None,
        due_landings: int | None,
        placard: str,
        password: str,
        seen: str,
    ) -> Deferral:
        """Carry a discrepancy on until a day or a number of landings, as authorised signatory.

        An item of it whose photos raised what two people have not judged is to do again for these.

        Raises
        ------
        NotAllowed
            The person is no authorised signatory today, or the password is wrong.
        Conflict
            It cannot be deferred (a crack), is past this, or is not what was shown.
        UsageError
            Reference, category, placard or a due date that lies ahead is missing.
        """
        with self._records.look() as r:
            require_authorised(r, person, Role.AUTHORISED_SIGNATORY, ALL_CLASSES, self._today())
        self._check_signature(person, password)
        with self._records.begin() as work:
            record = deferral_record(
                work,
                self._today(),
                inspection_id,
                discrepancy_id,
                reference,
                category,
                due_on,
                due_landings,
                placard,
            )
            require_seen(record, seen)
            found = work.get(Discrepancy, discrepancy_id)
            signed = self._sign(work, person, inspection_id, Meaning.DEFERRAL, record)
            made = Deferral(
                new_id(),
                discrepancy_id,
                inspection_id,
                record["reference"],
                record["category"],
                due_on,
                due_landings,
                record["placard"],
                found.opened_by,
                person.id,
                signed.id,
                self._clock.now(),
            )
            again = opened_by_deferral(work, found, inspection_id, made.at)
            work.enter(
                "deferred",
                person,
                inspection_id,
                replace(found, state=DiscrepancyState.DEFERRED),
                made,
                *again,
            )
        return made


def _reinspection(work: Work, found: Discrepancy, inspection_id: str, action_id: str) -> Item:
    """The item that looks again: the strut's own is measured anew, any other has one of its own."""
    item = work.get(Item, found.item_id)
    if is_photo_item(item):
        (own,) = work.all(Item, inspection_id=inspection_id, leg_id=item.leg_id, key=STRUT_EXTENSION)
        return replace(own, state=ItemState.TO_DO, hands_wanted=0)
    require_programme(work, inspection_id)
    return Item(new_id(), inspection_id, item.leg_id, REINSPECTION + action_id, ItemState.TO_DO)
