"""Leaks, cracks and servicing, step by step; photos that show and are not measured."""

from collections.abc import Mapping
from dataclasses import replace

from app.errors import Conflict, NotAllowed, UsageError
from app.inspection.base import checked_text, clean_text, new_id
from app.inspection.canonical import plain
from app.inspection.model import Discrepancy, DiscrepancyState, Inspection, Item, Person, Role
from app.inspection.rounds.cases import steps_of
from app.inspection.rounds.common import RoundCases, open_visit, require_worker
from app.inspection.rounds.crew import require_authorised
from app.inspection.rounds.model import (
    ALL_CLASSES,
    Evidence,
    Meaning,
    Sequence,
    SequenceKind,
    Step,
)
from app.inspection.rounds.photo_age import checked_age
from app.inspection.rounds.sequences import checked_step, is_through, rule_of, still_leaks


class Stepping(RoundCases):
    """Work whose steps have an order."""

    def begin_servicing(self, person: Person, item_id: str) -> Sequence:
        """Begin to service an item, e.g. the strut's fluid; an open one is gone on with."""
        require_worker(person)
        with self._records.begin() as work:
            item = work.get(Item, item_id)
            open_visit(work, item.inspection_id)
            for there in work.all(Sequence, item_id=item_id, kind=SequenceKind.SERVICING):
                if not is_through(there.kind, steps_of(work, there)):
                    return there
            made = Sequence(
                new_id(),
                SequenceKind.SERVICING,
                item.inspection_id,
                item_id,
                None,
                person.id,
                self._clock.now(),
            )
            work.enter("sequence-begun", person, item.inspection_id, made)
        return made

    def begin_again(self, person: Person, inspection_id: str, discrepancy_id: str) -> Sequence:
        """Begin a leak's steps anew because it still leaks, or the re-inspection found it open again.

        Raises
        ------
        Conflict
            It is not open, or its steps are not at their end.
        """
        require_worker(person)
        with self._records.begin() as work:
            open_visit(work, inspection_id)
            found = work.get(Discrepancy, discrepancy_id)
            before = max(work.all(Sequence, discrepancy_id=found.id), key=lambda one: one.at, default=None)
            if before is None or found.state is not DiscrepancyState.OPEN:
                msg = "There are no steps to begin anew here: the discrepancy is not open, or has none."
                raise Conflict(msg)
            steps = steps_of(work, before)
            if not (is_through(before.kind, steps) or still_leaks(steps)):
                msg = "Its steps are not at their end: go on with the next one."
                raise Conflict(msg)
            made = Sequence(
                new_id(), before.kind, inspection_id, before.item_id, found.id, person.id, self._clock.now()
            )
            work.enter("sequence-begun", person, inspection_id, made)
        return made

    def steps(self, sequence_id: str) -> tuple[Sequence, tuple[Step, ...]]:
        """Return a sequence with its steps in order."""
        with self._records.look() as r:
            found = r.get(Sequence, sequence_id)
            return found, steps_of(r, found)

    def step(
        self,
        person: Person,
        inspection_id: str,
        sequence_id: str,
        key: str,
        told: Mapping[str, str],
        evidence_id: str = "",
        password: str = "",
    ) -> Step:
        """Enter the next step.

        Parameters
        ----------
        inspection_id : str
            The visit in which it is done; of a carried discrepancy a later one.
        password : str
            Of the technician who signs the result of a non-destructive inspection.

        Raises
        ------
        NotAllowed
            The person answers for no work; or the result is not signed by an
            authorised technician, other than who ordered the inspection.
        Conflict
            It is not the next step, or was done.
        UsageError
            Something that it asks for is missing.
        """
        require_worker(person)
        with self._records.look() as r:
            kind = r.get(Sequence, sequence_id).kind
        is_result = kind is SequenceKind.CRACK and key == "result"
        if is_result:
            with self._records.look() as r:
                require_authorised(r, person, Role.NDI_TECHNICIAN, ALL_CLASSES, self._today())
            self._check_signature(person, password)
        with self._records.begin() as work:
            open_visit(work, inspection_id)
            sequence = work.get(Sequence, sequence_id)
            if sequence.discrepancy_id is not None:
                found = work.get(Discrepancy, sequence.discrepancy_id)
                if found.state not in (DiscrepancyState.OPEN, DiscrepancyState.DEFERRED):
                    msg = "This discrepancy is past its steps: look at what was done about it."
                    raise Conflict(msg)
            done = steps_of(work, sequence)
            photo = bool(evidence_id) and work.get(Evidence, evidence_id).photo is not None
            kept = checked_step(kind, done, key, told, photo)
            made = Step(
                new_id(),
                sequence_id,
                len(done) + 1,
                rule_of(kind, key).key,
                kept,
                evidence_id or None,
                person.id,
                self._clock.now(),
            )
            if is_result:
                ordered = next(one for one in done if one.key == "ordered")
                record = {
                    "what": "result of a non-destructive inspection",
                    "inspection": inspection_id,
                    "sequence": sequence_id,
                    "ordered": plain(ordered),
                    "told": kept,
                }
                self._sign(work, person, inspection_id, Meaning.NDI_RESULT, record)
            work.enter("step-done", person, inspection_id, made)
        return made

    def begin_evidence(self, person: Person, item_id: str, place: str) -> Evidence:
        """Begin a photo that shows something; its id is the draft's, under which the photo arrives."""
        if person.is_administrator or not person.roles:
            msg = "Photos are taken by who works on the aircraft."
            raise NotAllowed(msg)
        where = checked_text(place, "The place that the photo shows")
        with self._records.begin() as work:
            item = work.get(Item, item_id)
            open_visit(work, item.inspection_id)
            made = Evidence(new_id(), item_id, person.id, where, self._clock.now())
            work.enter("evidence-begun", person, item.inspection_id, made)
        return made

    def evidence(self, evidence_id: str) -> Evidence:
        """Return a photo's entry."""
        with self._records.look() as r:
            return r.get(Evidence, evidence_id)

    def evidence_of(self, item_id: str) -> tuple[Evidence, ...]:
        """Return an item's photos that show something, in time order."""
        with self._records.look() as r:
            return tuple(sorted(r.all(Evidence, item_id=item_id), key=lambda one: (one.begun_at, one.id)))

    def servicing_of(self, item_id: str) -> Sequence | None:
        """Return the newest servicing of an item, or None."""
        with self._records.look() as r:
            found = r.all(Sequence, item_id=item_id, kind=SequenceKind.SERVICING)
            return max(found, key=lambda one: one.at, default=None)

    def evidence_arrived(self, person: Person, evidence_id: str, data: bytes, name: str = "") -> Evidence:
        """Keep the photo, file first, then the entry; the same bytes again change nothing.

        Raises
        ------
        NotAllowed
            It is another person's.
        Conflict
            It has another photo already, or this one is older than its visit.
        UsageError
            There are no bytes.
        """
        if not data:
            msg = "The photo arrived empty: send it again."
            raise UsageError(msg)
        taken = self._measurer.taken_at(data)
        with self._records.look() as r:
            before = r.get(Evidence, evidence_id)
            _require_mine(person, before)
            if before.photo is None:
                visit = r.get(Inspection, r.get(Item, before.item_id).inspection_id)
                checked_age(r, visit, before.begun_at, taken, self._clock.now())
        sha = self._photos.put(data)
        with self._records.begin() as work:
            found = work.get(Evidence, evidence_id)
            _require_mine(person, found)
            if found.photo == sha:
                return found
            if found.photo is not None:
                msg = "This has another photo already, which stays: begin a new one."
                raise Conflict(msg)
            item = work.get(Item, found.item_id)
            open_visit(work, item.inspection_id)
            kept = replace(found, photo=sha, photo_name=clean_text(name)[:200])
            work.enter("evidence-stored", person, item.inspection_id, kept, data={"bytes": len(data)})
        return kept


def _require_mine(person: Person, found: Evidence) -> None:
    if found.person_id != person.id:
        msg = "This photo was begun by another person: begin one of your own."
        raise NotAllowed(msg)
