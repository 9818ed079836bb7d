"""What a signed visit has wrong and no new answer can put right: its times, and a reading by photo or hand.

Nothing is measured anew on a visit that is signed off.  A reading that does not stand
is therefore withdrawn with its reason, and a discrepancy takes its place, which the
next visit shows first.  The aircraft's times come from its log: an authorised
signatory puts them right, as he entered them.  What was signed stays in both cases.
"""

from dataclasses import dataclass
from typing import Any

from app.errors import Conflict, NotAllowed
from app.inspection.base import checked_text, new_id, tries_of
from app.inspection.canonical import canonical, plain, sha256
from app.inspection.model import (
    BlindReading,
    Confirmation,
    Discrepancy,
    HandReading,
    Inspection,
    Item,
    ItemState,
    Person,
    Role,
)
from app.inspection.ports import Reader
from app.inspection.rounds.closing import item_faulty
from app.inspection.rounds.common import (
    RoundCases,
    is_photo_item,
    leg_of,
    programme_item,
    require_programme,
    require_seen,
    title_of,
)
from app.inspection.rounds.crew import require_signatory
from app.inspection.rounds.model import CorrectedTimes, Meaning, SignOff, Withdrawal
from app.inspection.rounds.proposing import Proposed
from app.inspection.rounds.times import Times, check_times

_WORKING = frozenset({Role.MECHANIC, Role.INSPECTOR})


@dataclass(frozen=True)
class Withdrawable:
    """An item of a signed visit whose reading can be withdrawn."""

    item: Item
    leg: str
    title: str


class Amending(RoundCases):
    """The times of a signed visit put right, and readings withdrawn."""

    def times_of(self, inspection_id: str) -> tuple[Times, tuple[CorrectedTimes, ...]]:
        """Return the times that were signed off, and how they were corrected since, the first one first.

        Raises
        ------
        Conflict
            The visit is not signed off.
        """
        with self._records.look() as r:
            signed = _signed(r, inspection_id)
            first = Times(signed.total_time_h, signed.cycles, signed.landings)
            return first, corrected_times(r, inspection_id)

    def propose_times(self, person: Person, inspection_id: str, times: Times, reason: str) -> Proposed:
        """Return corrected times as they will be signed; raises as `correct_times`, but for the password."""
        with self._records.look() as r:
            record = self._times_record(r, person, inspection_id, times, reason)
        return Proposed(record, sha256(canonical(record)))

    def correct_times(
        self, person: Person, inspection_id: str, times: Times, reason: str, password: str, seen: str
    ) -> CorrectedTimes:
        """Sign other times in place of those that stand on a signed visit.

        Raises
        ------
        NotAllowed
            The person is no authorised signatory today, has no certificate entered, or
            the password is wrong.
        Conflict
            The visit is open, the times are those that stand, or what is signed is not
            what was shown.
        UsageError
            A time is none, or the reason is missing.
        """
        self._check_signature(person, password)
        with self._records.begin() as work:
            record = self._times_record(work, person, inspection_id, times, reason)
            require_seen(record, seen)
            before = corrected_times(work, inspection_id)
            signed = self._sign(work, person, inspection_id, Meaning.TIMES_CORRECTED, record)
            made = CorrectedTimes(
                new_id(),
                inspection_id,
                person.id,
                times.total_time_h,
                times.cycles,
                times.landings,
                before[-1].id if before else None,
                record["reason"],
                signed.id,
                self._clock.now(),
            )
            work.enter("times-corrected", person, inspection_id, made)
        return made

    def withdrawable(self, inspection_id: str) -> tuple[Withdrawable, ...]:
        """Return the items of a signed visit that stand on a photo's or a hand's reading."""
        with self._records.look() as r:
            if r.get(Inspection, inspection_id).closed_at is None:
                return ()
            programme = require_programme(r, inspection_id)
            found = [
                one for one in r.all(Item, inspection_id=inspection_id)
                if is_photo_item(one) and one.state is not ItemState.DISCREPANCY and _read_by(r, one)
            ]  # fmt: skip
            told = [Withdrawable(one, leg_of(r, one).position, title_of(r, programme, one)) for one in found]
        return tuple(sorted(told, key=lambda one: one.leg))

    def propose_withdrawal(self, person: Person, item_id: str, reason: str) -> Proposed:
        """Return a withdrawal as it will be signed; raises as `withdraw`, but for the password."""
        with self._records.look() as r:
            record = self._withdrawal_record(r, person, item_id, reason)
        return Proposed(record, sha256(canonical(record)))

    def withdraw(self, person: Person, item_id: str, reason: str, password: str, seen: str) -> Withdrawal:
        """Sign that the reading of a signed visit's item does not stand; a discrepancy takes its place.

        Raises
        ------
        NotAllowed
            The person neither took nor confirmed the reading nor works in the role of
            one who did, or the password is wrong.
        Conflict
            The visit is open, the item holds no such reading, a discrepancy stands there
            already, or what is signed is not what was shown.
        UsageError
            The reason is missing.
        """
        self._check_signature(person, password)
        with self._records.begin() as work:
            record = self._withdrawal_record(work, person, item_id, reason)
            require_seen(record, seen)
            item = work.get(Item, item_id)
            programme = require_programme(work, item.inspection_id)
            wanted = programme_item(work, programme, item)
            signed = self._sign(work, person, item.inspection_id, Meaning.WITHDRAWN, record)
            words = f"its reading was withdrawn after the sign-off: {record['reason']}"
            now = self._clock.now()
            rows = item_faulty(work, programme, wanted, item, person, words, "", None, now)
            opened = [one for one in rows if isinstance(one, Discrepancy)]
            made = Withdrawal(
                new_id(), item_id, person.id, record["reason"], opened[0].id, signed.id, now
            )  # fmt: skip
            work.enter("withdrawn", person, item.inspection_id, *rows, made)
        return made

    def _times_record(
        self, r: Reader, person: Person, inspection_id: str, times: Times, reason: str
    ) -> dict[str, Any]:
        check_times(times)
        signed = _signed(r, inspection_id)
        require_signatory(r, person, self._today())
        stands: SignOff | CorrectedTimes = next(reversed(corrected_times(r, inspection_id)), signed)
        if (stands.total_time_h, stands.cycles, stands.landings) == (
            times.total_time_h, times.cycles, times.landings,
        ):  # fmt: skip
            msg = "These are the times that stand already: type what the log says."
            raise Conflict(msg)
        return {
            "what": "times corrected after sign-off",
            "inspection": inspection_id,
            "person": {"id": person.id, "name": person.name},
            "corrects": plain(stands),
            "now": plain(times),
            "reason": checked_text(reason, "The reason of the correction", 500),
        }

    def _withdrawal_record(self, r: Reader, person: Person, item_id: str, reason: str) -> dict[str, Any]:
        item = r.get(Item, item_id)
        inspection = r.get(Inspection, item.inspection_id)
        if inspection.closed_at is None:
            msg = "This visit is still open: take the photo again, or measure by hand."
            raise Conflict(msg)
        read_by = _read_by(r, item) if is_photo_item(item) else set()
        if not read_by:
            msg = "No photo's and no hand's reading stands here: correct the entry itself."
            raise Conflict(msg)
        if item.state is ItemState.DISCREPANCY:
            msg = (
                "A discrepancy stands here already: enter there what was found, in the aircraft's next visit."
            )
            raise Conflict(msg)
        roles = frozenset[Role]().union(*(self._people.find(one).roles for one in read_by)) & _WORKING
        entitled = person.id in read_by or bool(person.roles & roles)
        if person.is_administrator or not person.is_worker or not entitled:
            msg = "A reading is withdrawn by one who took or confirmed it, or who works in his role."
            raise NotAllowed(msg)
        programme = require_programme(r, item.inspection_id)
        return {
            "what": "reading withdrawn after sign-off",
            "inspection": item.inspection_id,
            "programme": programme.version,
            "person": {"id": person.id, "name": person.name},
            "leg": leg_of(r, item).position,
            "title": title_of(r, programme, item),
            "item": item.id,
            "readings": sorted(plain(tries_of(r, item.id)), key=lambda one: one["id"]),
            "reason": checked_text(reason, "The reason of the withdrawal", 500),
        }


def corrected_times(r: Reader, inspection_id: str) -> tuple[CorrectedTimes, ...]:
    """Return how the times of a visit were corrected, the first one first."""
    found = r.all(CorrectedTimes, inspection_id=inspection_id)
    return tuple(sorted(found, key=lambda one: (one.at, one.id)))


def withdrawals_of(r: Reader, inspection_id: str) -> list[Withdrawal]:
    """Return the readings of a visit that were withdrawn, the first one first."""
    found = [
        one for item in r.all(Item, inspection_id=inspection_id) for one in r.all(Withdrawal, item_id=item.id)
    ]
    return sorted(found, key=lambda one: (one.at, one.id))


def _signed(r: Reader, inspection_id: str) -> SignOff:
    found = next(iter(r.all(SignOff, inspection_id=inspection_id)), None)
    if found is None:
        msg = "This visit is not signed off: its times are typed at the sign-off."
        raise Conflict(msg)
    return found


def _read_by(r: Reader, item: Item) -> set[str]:
    """Return who took and who confirmed the readings that an item stands on."""
    found = {one.person_id for one in r.all(HandReading, item_id=item.id)}
    for one in tries_of(r, item.id):
        found |= {each.person_id for each in r.all(BlindReading, try_id=one.id)}
        for each in r.all(Confirmation, try_id=one.id):
            found |= {each.performer_id, each.confirmer_id}
    return found
